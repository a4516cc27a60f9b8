"""Box: the volume and the tuning, and what they do to the drivers."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate import closed_starts, vented_starts
from server import units
from server.documents import amend, without
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import cabinet_section

router = APIRouter(prefix="/projects/{key}/box")

LETTERS = "ABCD"
"""Four pencils, so four boxes at a time."""

USUAL_QL = 10.0
"""A leak that an ordinary glued box with gaskets has (common practice, no source)."""


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
    chosen = project.alternatives[project.chosen]
    ask = ("net", "tuning", "port", "length", "depth", *(f"driver.{seat}" for seat in project.cabinet.seats))
    return {
        "plate": cabinet_section(bench, ask),
        "charts": box_charts(result),
        "pencils": {key: n for n, key in enumerate(pencilled(result))},
        "labels": labels(project, result),
        "driver_names": [(key, each.name or key) for key, each in project.drivers.items()],
        "closed_starts": closed_starts(result, chosen.driver),
        "vented_starts": vented_starts(result, chosen.driver, chosen.box.QL or USUAL_QL),
        "starts_QL": chosen.box.QL or USUAL_QL,
        "room_for_more": len(project.alternatives) < len(LETTERS),
    }


def labels(project, result):
    """What each box is called: its own name, or its kind and volume."""
    return {
        key: each.name or _label(each.box, result.boxes[key].Vb, project)
        for key, each in project.alternatives.items()
    }


def _label(box, Vb, project):
    kind = "Closed" if box.kind == "closed" else "Vented"
    if box.Vb is None:
        return f"{kind}, as the cabinet is"
    return f"{kind}, {units.in_unit(Vb, 'volume', project.show):.3g} {units.unit('volume', project.show)}"


def add_closed(document, Qtc, typed, result):
    """Weigh the closed starting point of that Qtc."""
    start = next((s for s in closed_starts(result, _driver(document)) if f"{s.Qtc}" == Qtc and s.Vb), None)
    if start is None:
        raise InputError("alternatives", "this starting point does not belong to the driver any more")
    return _with(document, {"kind": "closed", "Vb": round(start.Vb, 6), "QL": USUAL_QL})


def add_vented(document, name, typed, result):
    """Weigh the vented starting point of that name, with one round port near the guideline's area."""
    QL = document["alternatives"][document["chosen"]]["box"].get("QL") or USUAL_QL
    start = next((s for s in vented_starts(result, _driver(document), QL) if s.name == name), None)
    if start is None:
        raise InputError("alternatives", "this starting point does not belong to the driver any more")
    return _with(document, {
        "kind": "vented", "Vb": round(start.Vb, 6), "fb": round(start.fb, 2), "QL": QL,
        "port": {"count": 1, "shape": {"kind": "round", "diameter": 0.05}, "panel": "back",
                 **_port_place(document)},
    })  # fmt: skip


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


ACTIONS = {"add-closed": add_closed, "add-vented": add_vented, "copy": copy, "drop": drop}


def _driver(document):
    return document["alternatives"][document["chosen"]]["driver"]


def _port_place(document):
    """The middle of the back, a third from the top, where a new port stands until it is moved."""
    for each in document["alternatives"].values():
        port = each["box"].get("port") or {}
        if port.get("y") is not None:
            return {"x": port.get("x"), "y": port["y"]}
    return {}


def _with(document, box):
    now = document["alternatives"][document["chosen"]]
    return _added(document, {**now, "name": "", "box": box})


def _added(document, alternative):
    free = [letter for letter in LETTERS if letter not in document["alternatives"]]
    if not free:
        raise InputError("alternatives", "four boxes can be weighed at a time; drop one first")
    return amend(document, {f"alternatives.{free[0]}": alternative, "chosen": free[0]})
