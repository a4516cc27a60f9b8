"""Port: how long, how fast its air, how it sounds, how it is cut and where it has room."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_port_detail import BEND, port_detail
from calc.sound import port_flow
from calc.sound.port import AIR_DOUBT, CAUTIOUS_SPEED, ENDS_DOUBT, OLDER_SPEED, diameter_of, slot_of
from server.documents import amend, at, read_project
from server.drawings.port_room import port_places
from server.mending import mend, mends
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import cabinet_section
from server.units import rule_size

router = APIRouter(prefix="/projects/{key}/port")

GUIDANCE = {
    "Cautious": (CAUTIOUS_SPEED, "m/s"),
    "Older": (OLDER_SPEED, "m/s"),
    "Turbulence": (port_flow.TRANSITION, ""),
    "A gentle flare": (port_flow.GENTLE_FLARE, "dB"),
    "The best flare": (port_flow.BEST_FLARE, "dB"),
    "A port curved along its length": (port_flow.CURVED, ""),
}
"""What published work says of air in ports, and the unit of its figure."""


@router.get("")
def show(request: Request, key: str):
    """Show the port of the chosen box."""
    now = bench(request, key)
    return render(request, "port", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited values, or what a button does: hold, shape, open, add a second port, or move it."""
    return take(request, key, "port", typed, view, ACTIONS, brings)


def view(bench):
    """The section with the port's values on it, its charts and drawings, and what is said of air speed."""
    from server.charts import pencilled, port_chart  # plotly takes its time: not before it is asked for
    from server.charts_port import pipe_chart, power_chart

    result = bench.result
    detail = port_detail(bench.project, result)
    known = pencilled(result)
    blowing, pipes = (detail.blowing, detail.pipes) if detail else (None, None)
    return {
        "plate": cabinet_section(bench, ("tuning", "port", "length")),
        "chart": known and port_chart(known, known.get(result.chosen, next(iter(known.values())))),
        "detail": detail,
        "mends": mends(bench),
        "power": blowing and power_chart(blowing, result.box.watts),
        "pipe": pipes and pipe_chart(pipes, bench.project.alternatives[result.chosen].box.port.panel),
        "maps": _maps(result, detail) if detail else {},
        "cautious": CAUTIOUS_SPEED,
        "older": OLDER_SPEED,
        "guidance": GUIDANCE,
        "doubts": (AIR_DOUBT, ENDS_DOUBT),
        "transition": port_flow.TRANSITION,
        "bend": BEND,
    }


def _maps(result, detail):
    """A drawing of each panel with the places for the port."""
    made = result.cabinet
    return {
        panel: port_places(made.carcass, room, result.openings, made.braces, name=f"places {panel}")
        for panel, room in detail.rooms.items()
    }


def brings(bench, path, value):
    """What a value brings: a rounded end its radius."""
    if value == "flared" and path.endswith((".outer", ".inner")):
        radius = f"{path.rpartition('.')[0]}.flare"
        if at(bench.document, radius) is None:
            return {radius: _usual_flare(bench, path)}
    return {}


def _usual_flare(bench, path):
    """A quarter of the narrow way [m], in whole millimetres: as much as a router bit rounds."""
    found = bench.result.box.ports.get(path.split(".")[-2])
    return max(0.001, round(found.narrow / 4, 3)) if found else 0.01


def _box(document):
    key = document["chosen"]
    return f"alternatives.{key}.box", document["alternatives"][key]["box"]


def _must_have_port(result, path):
    if result.box.port is None:
        raise InputError(path, f"{KINDS.get(result.box.kind, 'this box')} has no port")


KINDS = {"closed": "a closed box", "passive_radiator": "a box with passive radiators"}


def hold(document, which, typed, result):
    """Hold the tuning, and let the length follow; or the other way about."""
    path, _ = _box(document)
    box = result.box
    _must_have_port(result, f"{path}.fb")
    if which == "length":
        return amend(document, {f"{path}.fb": None, f"{path}.port.length": round(box.port.length, 4)})
    return amend(document, {f"{path}.fb": round(box.fb, 1), f"{path}.port.length": None})


def shape(document, which, typed, result):
    """Change round ports to slots of the same area, or back; "slot", "round", or "slot other"."""
    kind, _, name = which.partition(" ")
    name = name or "port"
    path = f"{_box(document)[0]}.{name}.shape"
    _must_have_port(result, path)
    if name not in result.box.ports:
        raise InputError(path, GONE)
    area = result.box.ports[name].area
    if kind == "slot":
        width, height = (round(side, 4) for side in slot_of(area))
        return amend(
            document, {path: {"kind": "slot", "width": width, "height": height, "along_wall": False}}
        )
    return amend(document, {path: {"kind": "round", "diameter": round(diameter_of(area), 4)}})


def vent(document, argument, typed, result):
    """Open a closed box with one round port, tuned to the driver's own resonance."""
    path, box = _box(document)
    if box["kind"] in ("vented", "band_pass"):
        return document
    if box["kind"] != "closed":
        raise InputError(f"{path}.fb", GONE)
    driver = result.drivers[document["alternatives"][document["chosen"]]["driver"]].constants
    fb = round(driver.fs, 1) if driver else 45.0
    kept = {name: box.get(name) for name in ("Vb", "QL", "QA", "filling", "lining")}
    port = {"count": 1, "shape": {"kind": "round", "diameter": rule_size(0.05, document)}, "panel": "back"}
    return amend(document, {path: {"kind": "vented", "fb": fb, "port": port, **kept}})


def other(document, which, typed, result):
    """Add ports of another size beside the first, half as wide; or take them out."""
    path, box = _box(document)
    if box["kind"] != "vented":
        raise InputError(f"{path}.other", GONE)
    if which == "remove":
        return amend(document, {f"{path}.other": None})
    if box.get("other"):
        return document
    diameter = rule_size(round(diameter_of(result.box.port.area) / 2, 3), document)
    added = {"count": box["port"]["count"], "shape": {"kind": "round", "diameter": diameter},
             "panel": box["port"]["panel"], "wall": box["port"]["wall"]}  # fmt: skip
    return amend(document, {f"{path}.other": added})


def place(document, panel, typed, result):
    """Put the port where a panel has most room for it."""
    path, _ = _box(document)
    _must_have_port(result, f"{path}.port.y")
    best = _best(document, panel)
    if best is None:
        raise InputError(f"{path}.port.y", f"has no room on the {panel}")
    x, y = best
    return amend(
        document,
        {f"{path}.port.panel": panel, f"{path}.port.x": round(x, 4), f"{path}.port.y": round(y, 4)},
    )


def _best(document, panel):
    """Where a panel has most room, with all that was typed beside the button. [m]"""
    project = read_project(document)
    detail = port_detail(project, evaluate(project))
    return detail.rooms[panel].best if panel in detail.rooms else None


def forget(document, what, typed, result):
    """Take back what was said of the woofer's crossover."""
    return amend(document, {f"alternatives.{document['chosen']}.low_pass": None})


ACTIONS = {
    "hold": hold, "shape": shape, "vent": vent, "other": other, "place": place, "forget": forget,
    "mend": mend,
}  # fmt: skip
