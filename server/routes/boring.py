"""Boring: where each driver sits on the front, and the router's settings that make its seat."""

from fastapi import APIRouter, Depends, Request

from calc.cabinet.clashes import distances
from calc.cabinet.face_clashes import SCREW_EDGE
from calc.cabinet.mirrored import other_side
from calc.cabinet.places import seat_place
from calc.errors import InputError
from calc.evaluate_boring import breathing, corner_marks, marks, other_tools, plugs, relief_that_fits, windows
from calc.evaluate_cabinet import cover
from calc.evaluate_drilling import screws
from calc.shop.boring import MANUAL_PASS, SHOP_PASS, WEBS
from calc.shop.feed import feed
from server.documents import amend, read_project, without
from server.drawings.front import WIDTH
from server.drilling import drilling
from server.mending import mend, mends
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import cabinet_openings, decisions, hatched, lengths, recess_above
from server.units import rule_size

router = APIRouter(prefix="/projects/{key}/boring")


@router.get("")
def show(request: Request, key: str):
    """Show the front and each seat."""
    now = bench(request, key)
    return render(request, "boring", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited places and settings, or add and drop seats, holes and bits."""
    return take(request, key, "boring", typed, view, ACTIONS)


def view(bench):
    """The panels with their seats, and for each seat its section and the circle jig."""
    from server.drawings.feed import ways

    project = bench.project
    drawn = faces(bench)
    radiator = getattr(project.alternatives[project.chosen].box, "radiator", None)
    return {
        "plate": drawn.pop("front"),
        "others": drawn,
        "drawn": seat_drawings(bench),
        **_pair(bench),
        "mends": mends(bench),
        "distances": distances(
            bench.result.cabinet.carcass,
            bench.result.openings,
            lengths=bench.result.cabinet.port_lengths,
            braces=bench.result.cabinet.braces,
            finish=cover(project),
            **decisions(project),
        ),
        "screw_edge": SCREW_EDGE,
        "breathing": breathing(project, bench.result),
        "marks": marks(project, bench.result),
        "corner_marks": corner_marks(project, bench.result),
        "plugs": plugs(project, bench.result),
        "tools": other_tools(bench.result),
        "windows": windows(bench.project, bench.result),
        **drilling(bench),
        "pilots_drawn": _pilots_drawn(bench),
        "ways": ways(),
        "feed": feed,
        "manual_pass": MANUAL_PASS,
        "shop_pass": SHOP_PASS,
        "webs": WEBS,
        "radiator": radiator,
        "radiator_drawn": radiator_drawing(bench),
        "driver_names": [(key, each.name or key) for key, each in project.drivers.items()],
        "bit_names": [
            (name, f"{name}, {lengths(bench)(size)}") for name, size in project.workshop.bits.items()
        ],
    }


def _pair(bench):
    """Of a mirrored pair: each opening's (name, panel, x left, x right, y), and the right cabinet's front."""
    from server.drawings.front import front

    carcass = bench.result.cabinet.carcass
    if not bench.project.cabinet.mirrored:
        return {"both_places": (), "right_front": None}
    places = [
        (each.name, each.panel, each.x, other_side(carcass.outer[0], each.x), each.y)
        for each in bench.result.openings
        if each.panel in ("front", "back")
    ]
    right = front(
        carcass, cabinet_openings(bench, "front"), write=lengths(bench), mirrored=True, name="front-right"
    )
    return {"both_places": places, "right_front": right}


def faces(bench, wide=WIDTH):
    """The front, the back if it shows more than holes, each shelf with a driver: {name: Drawing}.

    `wide` is how wide front and back are drawn.
    """
    from server.drawings.brace import brace
    from server.drawings.front import front

    result, write = bench.result, lengths(bench)

    def face(panel):
        return front(
            result.cabinet.carcass, cabinet_openings(bench, panel), write=write, panel=panel,
            clashes=hatched(bench, panel), wide=wide,
        )  # fmt: skip

    drawn = {"front": face("front")}
    behind = [each for each in result.openings if each.panel == "back"]
    if hatched(bench, "back") or any(each.kind == "radiator" or each.outline for each in behind):
        drawn["back"] = face("back")
    for name in dict.fromkeys(seat.wall for seat in bench.project.cabinet.seats.values() if seat.wall):
        drawn[name] = brace(
            result.cabinet.braces[name], cabinet_openings(bench, name), write=write,
            near=recess_above(bench, name), name=f"face-{name}", clashes=hatched(bench, name),
        )  # fmt: skip
    return drawn


def seat_drawings(bench):
    """For each driver's seat that can be bored: (section, jig)."""
    cabinet = bench.project.cabinet
    drawn = {}
    for name, bored in bench.result.seats.items():
        if bored:
            seat = cabinet.seats[name]
            frame = bench.project.drivers[seat.driver].frame
            parts = bench.result.cabinet.braces if seat.wall else bench.result.cabinet.carcass.panels
            finish = 0.0 if seat.wall else cover(bench.project)
            thickness = parts[seat.wall or "front"].thickness
            drawn[name] = _drawn(bench, bored, frame, thickness, finish, name)
    return drawn


def radiator_drawing(bench):
    """The same of the seat of each passive radiator; None where there is none, or its sizes are not known."""
    bored = bench.result.radiator_seat
    if bored is None:
        return None
    each = bench.project.alternatives[bench.project.chosen].box.radiator
    thickness = bench.result.cabinet.carcass.panels[each.panel].thickness
    finish = cover(bench.project, each.panel)
    return _drawn(bench, bored, each.frame, thickness, finish, "radiator.")


def _drawn(bench, bored, frame, thickness, finish, name):
    from server.drawings.boring import jig, seat_section

    shop, write = bench.project.workshop, lengths(bench)
    return (
        seat_section(bored, frame, thickness, write, finish=finish, name=f"seat-{name}"),
        jig(bored, bored.steps[0], shop.bits[shop.bit], write, name=f"jig-{name}"),
    )


def _pilots_drawn(bench):
    """Of each driver, radiator and plate that is screwed on, and is alike no earlier one: (name, Drawing)."""
    from server.drawings.pilot import pilot_section

    shop, write, found = bench.project.workshop, lengths(bench), {}
    for line in screws(bench.project, bench.result):
        if line.wood and line.pilot and line.depth.hole and line.kind not in ("lid", "feet"):
            drill = line.pilot.drills[bench.project.show == "imperial"]
            alike = round(line.wood, 6), round(line.lifted, 6), round(line.depth.hole, 6)
            found.setdefault(alike, (line.name, drill, line))
    return [
        (name, pilot_section(shop.screw, drill, line.lifted, (line.depth.hole, line.wood), write,
                             name=f"pilot-{n}"))
        for n, (name, drill, line) in enumerate(found.values())
    ]  # fmt: skip


def add_seat(document, driver, typed, result):
    """Give a driver a seat in the middle of the front, where it is clear of the others if there is room."""
    if driver not in document["drivers"]:
        raise InputError("cabinet.seats", GONE)
    _, height, _ = result.cabinet.carcass.outer
    names = document["cabinet"].get("seats", {})
    name = next(f"{driver}{n}" for n in ("", *(f" {n}" for n in range(2, 99))) if f"{driver}{n}" not in names)
    highest = max((seat["y"] for seat in names.values()), default=height / 3)
    wanted = round((highest + height) / 2, 4)
    project, cabinet = read_project(document), result.cabinet
    room = seat_place(
        driver, wanted, cabinet.carcass, cabinet.openings, lengths=cabinet.port_lengths,
        braces=cabinet.braces, finish=project.cabinet.finish, clearance=project.workshop.flange_clearance,
        **decisions(project),
    )  # fmt: skip
    place = {"driver": driver, "x": None, "y": wanted if room is None else round(room, 6)}
    return amend(document, {f"cabinet.seats.{name}": place})


def drop_seat(document, name, typed, result):
    """Take a seat out."""
    if name in document["cabinet"]["seats"] and document["cabinet"]["seats"][name].get("wall"):
        document = to_front(document, name, typed, result)  # which leaves its shelf where it stands
    return without(document, f"cabinet.seats.{name}")


def centre(document, name, typed, result):
    """Put a seat in the middle of the front's width, to stay there."""
    if name not in document["cabinet"]["seats"]:
        raise InputError("cabinet.seats", GONE)
    return amend(document, {f"cabinet.seats.{name}.x": None})


def add_relief(document, name, typed, result):
    """Chamfer a driver's hole from the inside, as deep as the wood allows, at most half of it."""
    if name not in document["cabinet"]["seats"]:
        raise InputError("cabinet.seats", GONE)
    fits = relief_that_fits(read_project(document), result, name)
    return amend(document, {f"cabinet.seats.{name}.relief": {"depth": fits, "angle": 45.0}})


def drop_relief(document, name, typed, result):
    """Leave a hole's chamfer out."""
    if name not in document["cabinet"]["seats"]:
        raise InputError("cabinet.seats", GONE)
    return amend(document, {f"cabinet.seats.{name}.relief": None})


def into_wall(document, name, typed, result):
    """Seat a driver in the shelf between two chambers, in its middle; put that shelf in if there is none."""
    cabinet = document["cabinet"]
    if name not in cabinet["seats"]:
        raise InputError("cabinet.seats", GONE)
    braces = cabinet.get("braces") or {}
    closed = [key for key, brace in braces.items() if brace["kind"] == "shelf" and not brace.get("window")]
    depth = result.cabinet.carcass.inner[2]
    edits = {}
    if closed:
        wall = closed[0]
    else:
        wall = next(f"wall{n}" for n in ("", *range(2, 99)) if f"wall{n}" not in braces)
        edits[f"cabinet.braces.{wall}"] = {
            "kind": "shelf", "at": None, "sheet": cabinet["panels"]["left"],
            "depth": rule_size(0.006, document),
        }  # fmt: skip
    front = result.cabinet.carcass.panels["front"].thickness
    seat = f"cabinet.seats.{name}"
    place = {f"{seat}.wall": wall, f"{seat}.x": None, f"{seat}.y": round(front + depth / 2, 4)}
    return amend(document, edits | place)


def to_front(document, name, typed, result):
    """Take a driver out of the shelf and seat it in the front; the shelf stays."""
    if name not in document["cabinet"]["seats"]:
        raise InputError("cabinet.seats", GONE)
    _, height, _ = result.cabinet.carcass.outer
    seat = f"cabinet.seats.{name}"
    document = amend(
        document,
        {f"{seat}.wall": None, f"{seat}.x": None, f"{seat}.y": rule_size(round(height / 2, 4), document)},
    )
    wall = _wall_of(result, name)
    loose = document["cabinet"]["braces"].get(wall, {})
    if "at" in loose and loose["at"] is None and not _sat_in(document, wall):
        solid, floor = result.cabinet.braces[wall], result.cabinet.carcass.panels["bottom"].thickness
        middle = (solid.low[2] + solid.high[2]) / 2 - floor
        document = amend(document, {f"cabinet.braces.{wall}.at": round(middle, 4)})
    return document


def _wall_of(result, name):
    """The shelf that a driver sits in now."""
    return next((each.panel for each in result.openings if (each.kind, each.name) == ("seat", name)), None)


def _sat_in(document, wall):
    return any(seat.get("wall") == wall for seat in document["cabinet"]["seats"].values())


def add_hole(document, _, typed, result):
    """Add a round hole in the back, for terminals."""
    names = document["cabinet"].get("holes", {})
    name = next(f"hole{n}" for n in ("", *range(2, 99)) if f"hole{n}" not in names)
    _, height, _ = result.cabinet.carcass.outer
    y = rule_size(round(height / 3, 4), document)
    hole = {"panel": "back", "diameter": rule_size(0.05, document), "x": None, "y": y}
    return amend(document, {f"cabinet.holes.{name}": hole})


def square(document, name, typed, result):
    """Make a hole rectangular, as high and as wide as it was, for a plate with rounded corners."""
    hole = _hole_of(document, name)
    if hole.get("width"):
        return document
    side = hole["diameter"]
    radius = min(rule_size(0.005, document), side / 2)
    return _reshaped(document, name, {"diameter": None, "width": side, "height": side, "radius": radius})


def rounded(document, name, typed, result):
    """Make a hole round, as wide as its smaller side."""
    hole = _hole_of(document, name)
    if not hole.get("width"):
        return document
    across = min(hole["width"], hole["height"])
    return _reshaped(document, name, {"diameter": across, "width": None, "height": None, "radius": 0.0})


def _hole_of(document, name):
    hole = document["cabinet"]["holes"].get(name)
    if hole is None:
        raise InputError("cabinet.holes", GONE)
    return hole


def _reshaped(document, name, shape):
    hole = {**_hole_of(document, name), "screws": 0, **shape}  # other plates have others
    return amend(document, {f"cabinet.holes.{name}": hole})


def drop_hole(document, name, typed, result):
    """Close a hole."""
    return without(document, f"cabinet.holes.{name}")


def add_bit(document, _, typed, result):
    """Add a bit to the shop and put it in the router; its size is typed next."""
    bits = document["workshop"]["bits"]
    name = next(f"bit{n}" for n in range(2, 99) if f"bit{n}" not in bits)
    return amend(document, {f"workshop.bits.{name}": rule_size(0.008, document), "workshop.bit": name})


def drop_bit(document, name, typed, result):
    """Drop a bit that is not in the router."""
    if name == document["workshop"]["bit"]:
        raise InputError(f"workshop.bits.{name}", "this bit cuts the seats; choose another one first")
    return without(document, f"workshop.bits.{name}")


ACTIONS = {
    "wall": into_wall, "front": to_front, "add-seat": add_seat, "drop-seat": drop_seat, "centre": centre,
    "add-relief": add_relief, "drop-relief": drop_relief, "add-hole": add_hole, "drop-hole": drop_hole,
    "square": square, "round": rounded, "add-bit": add_bit, "drop-bit": drop_bit, "mend": mend,
}  # fmt: skip
