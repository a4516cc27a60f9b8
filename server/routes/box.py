"""Box: the volume and the tuning, and what they do to the drivers."""

from functools import partial

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate import band_pass_starts, closed_starts, vented_starts
from calc.evaluate_doubt import box_band
from calc.evaluate_side_by_side import verdict_of
from calc.sound.limits import AUDIBLE
from calc.sound.port import diameter_of, effective_length, round_area, round_end_correction, smallest_area
from server import units
from server.documents import amend, without
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import cabinet_section
from server.telling import told

router = APIRouter(prefix="/projects/{key}/box")

LETTERS = "ABCD"
"""Four pencils, so four boxes at a time."""

KINDS = {
    "closed": "Closed",
    "vented": "Vented",
    "passive_radiator": "Passive radiators",
    "band_pass": "Band-pass",
}
"""Each kind of box as it is called where it has no name of its own."""


@router.get("")
def show(request: Request, key: str):
    """Show the chosen box and what it does to the driver."""
    now = bench(request, key)
    return render(request, "box", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited values, or weigh another box."""
    return take(request, key, "box", typed, view, ACTIONS)


def view(bench):
    """The section with its values, the charts, the starting points of the driver."""
    from server.charts import box_charts, pencilled  # plotly takes its time: not before it is asked for

    project, result = bench.project, bench.result
    vented, QL = vented_starts(result)
    ask = ("net", "tuning", "port", "length", "depth", *(f"driver.{seat}" for seat in project.cabinet.seats))
    return {
        "plate": cabinet_section(bench, ask),
        "charts": box_charts(result, box_band(project, result)),
        "said": verdict_of(project, result.box),
        "told": partial(told, project=project),
        "pencils": {key: n for n, key in enumerate(pencilled(result))},
        "labels": labels(project, result),
        "driver_names": [(key, each.name or key) for key, each in project.drivers.items()],
        "closed_starts": closed_starts(result),
        "vented_starts": vented,
        "band_pass_starts": band_pass_starts(result),
        "starts_QL": QL,
        "audible": AUDIBLE,
        "room_for_more": len(project.alternatives) < len(LETTERS),
    }


def labels(project, result):
    """What each box is called: its own name, or its kind and volume."""
    return {
        key: each.name or _label(each.box, result.boxes[key].Vb, project)
        for key, each in project.alternatives.items()
    }


def _label(box, Vb, project):
    kind = KINDS[box.kind]
    if box.Vb is None:
        return f"{kind}, as the cabinet is"
    return f"{kind}, {units.in_unit(Vb, 'volume', project.show):.3g} {units.unit('volume', project.show)}"


def add_closed(document, Qtc, typed, result):
    """Weigh the closed starting point of that Qtc."""
    start = next((s for s in closed_starts(result) if f"{s.Qtc}" == Qtc and s.Vb), None)
    if start is None:
        raise InputError("alternatives", LOST)
    return weighed(document, {"kind": "closed", "Vb": round(start.Vb, 6)})


def add_vented(document, name, typed, result):
    """Weigh the vented starting point of that name, with one round port near the guideline's area."""
    start = next((s for s in vented_starts(result)[0] if s.name == name), None)
    if start is None:
        raise InputError("alternatives", LOST)
    port = first_port(document, result, start.Vb, start.fb)
    return weighed(document, {
        "kind": "vented", "Vb": round(start.Vb, 6), "fb": round(start.fb, 2), "port": port,
    })  # fmt: skip


def add_band_pass(document, Qtc, typed, result):
    """Weigh the band-pass starting point of that Qtc."""
    start = next((s for s in band_pass_starts(result) if f"{s.Qtc}" == Qtc and s.Vr), None)
    if start is None:
        raise InputError("alternatives", LOST)
    port = first_port(document, result, start.Vf, start.f0)
    return weighed(document, {
        "kind": "band_pass", "Vr": round(start.Vr, 6), "Vf": round(start.Vf, 6), "fb": round(start.f0, 2),
        "port": port,
    })  # fmt: skip


def add_radiators(document, argument, typed, result):
    """Weigh the best vented starting point with two passive radiators in place of its port.

    Until their sheet is typed two of the driver's own cones, without motors, stand in for each that is heard.
    """
    key = _driver(document)
    driver = result.drivers[key].constants
    starts, _ = vented_starts(result)
    if driver is None or not starts:
        raise InputError("alternatives", LOST)
    heard = round(result.box.group.Sd / driver.Sd)
    cone = {
        "count": min(2 * heard, 8), "Sp": round(driver.Sd, 6),
        "fp": round(driver.fs, 2), "Qmp": round(driver.Qms, 2),
        "Mmp": round(driver.Mms, 6), "Xmax": document["drivers"][key].get("Xmax"),
    }  # fmt: skip
    frame = {
        name: document["drivers"][key]["frame"].get(name)
        for name in ("flange", "flange_thickness", "cutout", "depth", "magnet")
    }
    box = {"kind": "passive_radiator", "Vb": round(starts[0].Vb, 6), "fb": round(starts[0].fb, 2)}
    return weighed(document, {**box, "radiator": {**cone, "frame": frame}})


def second_chamber(document, do, typed, result):
    """Vent the rear chamber of a band-pass too, an octave under the front one; or close it again."""
    path = f"alternatives.{document['chosen']}.box"
    box = document["alternatives"][document["chosen"]]["box"]
    if box["kind"] != "band_pass":
        raise InputError(f"{path}.fr", "only a band-pass has a second chamber")
    if do == "close":
        return amend(document, {f"{path}.fr": None, f"{path}.rear": None})
    fr = round(result.box.fb / 2, 1)
    return amend(document, {f"{path}.fr": fr, f"{path}.rear": first_port(document, result, box["Vr"], fr)})


def hold_mass(document, argument, typed, result):
    """Hold what is screwed to the radiators, and let the tuning follow."""
    path, radiator = _radiators(document, result)
    return amend(document, {f"{path}.fb": None, f"{path}.radiator.added": round(radiator.added, 5)})


def hold_tuning(document, argument, typed, result):
    """Hold the tuning, and let what is screwed to the radiators follow."""
    path, radiator = _radiators(document, result)
    return amend(document, {f"{path}.fb": round(radiator.fb, 2), f"{path}.radiator.added": None})


def _radiators(document, result):
    path = f"alternatives.{document['chosen']}.box"
    if result.box.radiator is None:
        raise InputError(f"{path}.fb", "there are no passive radiators to hold")
    return path, result.box.radiator


LOST = "this starting point does not belong to the driver any more"


def first_port(document, result, Vb, fb):
    """Round ports to begin with, one a chamber: as near to the guideline's area as their length fits."""
    chosen = document["alternatives"][document["chosen"]]
    Xmax = document["drivers"][chosen["driver"]].get("Xmax")
    group, count = result.box.group, chosen.get("chambers") or 1
    wanted = 0.05
    if Xmax and group is not None:
        wanted = diameter_of(smallest_area(fb, group.Sd * Xmax) / count)
    fitting = [d / 1000 for d in range(20, 301) if _fits(Vb / count, fb, d / 1000, result.air.c)]
    diameter = min(fitting, key=lambda d: abs(d - wanted), default=0.05)
    return {
        "count": count, "shape": {"kind": "round", "diameter": diameter}, "panel": "back",
        **_port_place(document),
    }  # fmt: skip


def _fits(Vb, fb, diameter, c):
    """Whether a port of that diameter is from 1 cm to four fifths of a cube's side long."""
    ends = [round_end_correction(diameter, end) for end in ("flanged", "free")]
    length = effective_length(Vb, fb, 1, round_area(diameter), c) - sum(ends)
    return 0.01 <= length <= 0.8 * Vb ** (1 / 3)


def copy(document, key, typed, result):
    """Weigh a copy of a box, to change it."""
    if key not in document["alternatives"]:
        raise InputError("alternatives", GONE)
    return _added(document, document["alternatives"][key])


def drop(document, key, typed, result):
    """Weigh one box less; the chosen one stays."""
    if key == document["chosen"]:
        raise InputError("chosen", "the chosen box cannot be dropped; choose another one first")
    return without(document, f"alternatives.{key}")


ACTIONS = {
    "add-closed": add_closed,
    "add-vented": add_vented,
    "add-radiators": add_radiators,
    "add-band-pass": add_band_pass,
    "rear": second_chamber,
    "hold-mass": hold_mass,
    "hold-tuning": hold_tuning,
    "copy": copy,
    "drop": drop,
}


def _driver(document):
    return document["alternatives"][document["chosen"]]["driver"]


def _port_place(document):
    """The middle of the back, a third from the top, where a new port stands until it is moved."""
    for each in document["alternatives"].values():
        port = each["box"].get("port") or {}
        if port.get("y") is not None:
            return {"x": port.get("x"), "y": port["y"]}
    return {}


def weighed(document, box):
    """Weigh one box more, with all that the chosen one has beside its box; it becomes the chosen one."""
    now = document["alternatives"][document["chosen"]]
    return _added(document, {**now, "name": "", "box": box})


def _added(document, alternative):
    free = [letter for letter in LETTERS if letter not in document["alternatives"]]
    if not free:
        raise InputError("alternatives", "four boxes can be weighed at a time; drop one first")
    return amend(document, {f"alternatives.{free[0]}": alternative, "chosen": free[0]})
