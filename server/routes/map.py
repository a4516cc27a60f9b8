"""Map: every size and tuning that the drivers could have, and what any one of them would do."""

from dataclasses import dataclass, field, replace

import numpy as np
from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse

from calc.errors import InputError
from calc.evaluate_map import land, tried
from calc.sound.box_map import LITTLE
from calc.sound.limits import AUDIBLE
from calc.sound.port import CAUTIOUS_SPEED, OLDER_SPEED
from server import units
from server.documents import amend
from server.drawings.box_map import Fence, Ground, Scale, box_map_drawing, even_levels, known_levels
from server.pages import bench, render, take, templates, typed_fields
from server.routes.box import first_port, weighed

router = APIRouter(prefix="/projects/{key}/map")

HEIGHTS = {
    "f3": "Lowest note",
    "peak": "Rise",
    "travel": "Cone travel",
    "speed": "Port air",
    "length": "Port length",
}
"""What the lines of the map may be, by their names on the buttons."""

OF_PORTS = ("speed", "length")


@dataclass(frozen=True)
class Look:
    """How the map is looked at: which lines, and which box is tried, in SI; `typed` as it was typed.

    Vb None is the chosen box itself. `errors` are sentences at what cannot be tried.
    """

    of: str = "f3"
    Vb: float | None = None
    fb: float | None = None
    typed: dict = field(default_factory=dict)
    errors: dict = field(default_factory=dict)


@router.get("")
def show(request: Request, key: str, of: str = "f3", Vb: str | None = None, fb: str = ""):
    """Show the map, with the box that is tried on it."""
    now = bench(request, key)
    look = _look(now, of, Vb, fb)
    seen = view(now, look)
    status = 422 if seen["look"].errors else 200
    return render(request, "map", now, status, place="box", **seen)


@router.get("/at")
def at(request: Request, key: str, Vb: float, fb: float | None = None):
    """What one box would do, for a mark that is being dragged: its numbers, and where the mark snaps to."""
    now = bench(request, key)
    Vb, fb = float(f"{Vb:.3g}"), None if fb is None else float(f"{fb:.3g}")
    try:
        box = tried(now.project, now.result, Vb, fb)
    except InputError as error:
        return JSONResponse({"errors": {error.field: error.problem}}, 422)
    if box is None:
        return JSONResponse({"errors": {"driver": "is not known yet"}}, 422)
    macro = templates.env.get_template("macros/tried.html").make_module(_words(now))
    return {
        "Vb": Vb,
        "fb": fb,
        "typed": _typed(now, Vb, fb),
        "words": str(macro.called(box)),
        "html": str(macro.tried(box)),
        "takes": now.result.box.kind == ("closed" if fb is None else "vented"),
    }


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take the tried box into the one being weighed, or weigh it beside."""
    look = Look(of=typed.get("tried.of", "f3"))
    aside = ("tried.of", "tried.Vb", "tried.fb")
    return take(request, key, "map", typed, lambda now: view(now, look), ACTIONS, aside=aside)


def _look(bench, of, Vb, fb):
    """The `Look` at what was asked for in the address, as it is typed there."""
    of = of if of in HEIGHTS else "f3"
    box = bench.result.box
    if Vb is None or (box.Vb and (Vb.strip(), fb.strip()) == tuple(_typed(bench, box.Vb, box.fb).values())):
        return Look(of)
    show, found, errors = bench.project.show, {}, {}
    for name, text, quantity in (("Vb", Vb, "volume"), ("fb", fb, "frequency")):
        try:
            found[name] = units.read(text, quantity, show) if text.strip() or name == "Vb" else None
        except units.Unreadable as refusal:
            errors[name] = refusal.sentence
    return Look(of, None if errors else found["Vb"], found.get("fb"), {"Vb": Vb, "fb": fb}, errors)


def _typed(bench, Vb, fb):
    """Volume and tuning as they stand in their fields."""
    show = bench.project.show
    return {"Vb": units.write(Vb, "volume", show), "fb": units.write(fb, "frequency", show)}


def view(bench, look=None):
    """The drawn map, the tried box, and the answer to the page's question."""
    look = look or Look()
    seen = land(bench.project, bench.result)
    if seen is None:
        return {"land": None, "look": look}
    look, here = _found(bench, seen, look)
    of = look.of if look.of in _heights(seen) else "f3"
    scale = Scale(seen.Vb, seen.fb)
    return {
        "land": seen,
        "look": replace(look, of=of, typed=look.typed if look.errors else _typed(bench, here.Vb, here.fb)),
        "heights": {name: HEIGHTS[name] for name in _heights(seen)},
        "map": _drawn(bench, seen, of),
        "ground": scale.edges(),
        "mark": scale.share(here.Vb, here.fb),
        "here": here,
        **_words(bench),
    }


def _found(bench, seen, look):
    """The box that is tried, the one asked for or else the one that the map begins at: (`Look`, `Tried`)."""
    if look.Vb is not None:
        try:
            return look, tried(bench.project, bench.result, look.Vb, look.fb)
        except InputError as error:
            look = replace(look, errors={error.field if error.field == "fb" else "Vb": error.problem})
    return look, tried(bench.project, bench.result, *_beginning(bench.result.box, seen))


def _beginning(box, seen):
    """The chosen box; of a kind that is not on the map, what filter theory would put in its place."""
    if box.kind in ("closed", "vented"):
        return box.Vb, box.fb
    spots = sorted(seen.families, key=lambda spot: spot.fb is None)
    return (spots[0].Vb, spots[0].fb) if spots else (box.Vb, None)


def _words(bench):
    """What the numbers of a tried box are told beside."""
    project, box = bench.project, bench.result.box
    show = project.show, project.fraction
    return {
        "own": tried(project, bench.result, box.Vb, box.fb) if box.kind in ("closed", "vented") else None,
        "letter": box.key,
        "kind": box.kind,
        "watts": box.watts,
        "Xmax": box.Xmax,
        "cautious": CAUTIOUS_SPEED.value,
        "older": OLDER_SPEED.value,
        "floor": AUDIBLE,
        "little": LITTLE,
        "w": lambda value, quantity: units.with_unit(value, quantity, *show),
    }


def _heights(seen):
    return [name for name in HEIGHTS if name not in OF_PORTS or seen.length is not None]


# --- The drawing


def _drawn(bench, seen, of):
    show = bench.project.show
    box = bench.result.box
    return box_map_drawing(
        seen,
        _ground(bench, seen, of),
        _fences(box, seen, of),
        volumes=[(Vb, words) for Vb, words in _ticks(show) if seen.Vb[0] <= Vb <= seen.Vb[-1]],
        tunings=[(fb, f"{fb}") for fb in TUNINGS if seen.fb[0] <= fb <= seen.fb[-1]],
        volume_words=units.unit("volume", show),
        label=f"Map of all boxes for these drivers: {HEIGHTS[of].lower()} over volume and tuning",
    )


TUNINGS = (8, 10, 12, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 100, 120, 150, 200, 300, 400, 600, 800, 1000)
NOTES = (8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 32, 34, 36, 38, 40, 42, 44, 46, 48, 50, 55, 60, 65,
         70, 75, 80, 90, 100, 110, 120, 140, 160, 180, 200, 250, 300, 350, 400, 500, 600, 800)  # fmt: skip
NICE = tuple(step * 10.0**power for power in range(-6, 5) for step in (1, 2, 5))
FINER = tuple(step * 10.0**power for power in range(-6, 5) for step in (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8))
RISES = (0.1, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)
INCHES = (0.5, 1, 2, 3, 4, 6, 8, 12, 16, 24, 36, 48, 72, 96, 144)


def _ticks(show):
    """Volumes [m³] along the edge, and what stands at them."""
    one = units.read("1", "volume", show)
    return [(each * one, f"{each:.4g}") for each in NICE]


def _ground(bench, seen, of):
    """The heights of the map and the levels of its lines."""
    boxes, strip = seen.boxes, seen.strip
    if of == "length":
        return Ground(seen.length, None, _length_levels(bench.project.show, seen.length))
    if of == "speed":
        return Ground(boxes.port_speed, None, _levels(boxes.port_speed, 1.0))
    if of == "travel":
        return Ground(boxes.travel, strip.travel, _levels(boxes.travel, 1e-3))
    if of == "peak":
        levels = known_levels([(each, f"{each:g}") for each in RISES], *_ends(boxes.peak))
        return Ground(boxes.peak, strip.peak, levels)
    return Ground(boxes.f3, strip.f3, known_levels([(each, f"{each}") for each in NOTES], *_ends(boxes.f3)))


def _levels(z, unit):
    """Levels in a unit of that size: evenly apart, or where the map spans much, by equal ratios."""
    low, high = _ends(z)
    if high < 4 * low:
        return even_levels(low, high, lambda height: f"{height / unit:g}")
    return known_levels([(each * unit, f"{each:g}") for each in FINER], low, high)


def _length_levels(show, z):
    if show == "imperial":
        return known_levels([(each * 0.0254, f"{each:g}″") for each in INCHES], *_ends(z))
    return known_levels([(each / 1e3, f"{each:g}") for each in FINER if each >= 10], *_ends(z))


def _ends(z):
    """Lowest and highest of what is known of a map; nothing between them where nothing is."""
    known = np.ma.compressed(z)
    return (float(known.min()), float(known.max())) if known.size else (0.0, 0.0)


def _fences(box, seen, of):
    """The limits that cross the map: the one of what is shown, or all of them on a map of the response."""
    known = {
        "travel": (seen.boxes.travel, box.Xmax, "cone at its Xmax"),
        "speed": (seen.boxes.port_speed, OLDER_SPEED.value, f"port air {OLDER_SPEED.value:.0f} m/s"),
        "length": (seen.length, box.port and box.port.room, "as long as the box is deep"),
    }
    wanted = [of] if of in known else known
    return [
        Fence(np.ma.getdata(z), level, words)
        for z, level, words in (known[name] for name in wanted)
        if z is not None and level is not None
    ]


# --- Taking it


def take_box(document, argument, typed, result):
    """Give the chosen box the volume and the tuning that were tried."""
    Vb, fb = _asked(typed)
    path = f"alternatives.{document['chosen']}.box"
    box = result.box
    if box.kind == "vented" and fb is not None:
        return amend(document, {f"{path}.Vb": Vb, f"{path}.fb": fb, f"{path}.port.length": None})
    if box.kind == "closed" and fb is None:
        return amend(document, {f"{path}.Vb": Vb})
    raise InputError(f"{path}.fb", "this box is of another kind: weigh the tried one beside it")


def weigh(document, argument, typed, result):
    """Weigh the tried box beside the others; a vented one begins with one round port that fits it."""
    Vb, fb = _asked(typed)
    if fb is None:
        return weighed(document, {"kind": "closed", "Vb": Vb})
    box = document["alternatives"][document["chosen"]]["box"]
    if box["kind"] == "vented":
        port = {**box["port"], "length": None}
        return weighed(document, {**box, "Vb": Vb, "fb": fb, "port": port})
    port = first_port(document, result, Vb, fb)
    return weighed(document, {"kind": "vented", "Vb": Vb, "fb": fb, "port": port})


def _asked(typed):
    """Volume [m³] and tuning [Hz] of the box that was tried, None for a closed one."""
    try:
        Vb = float(typed.get("tried.Vb", ""))
        fb = float(typed["tried.fb"]) if typed.get("tried.fb") else None
    except ValueError:
        raise InputError("map", "no box was tried: set the mark once more") from None
    return round(Vb, 6), None if fb is None else round(fb, 2)


ACTIONS = {"take": take_box, "weigh": weigh}
