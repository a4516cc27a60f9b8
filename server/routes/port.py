"""Port: how long, how fast its air, and whether it has room."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.sound.port import CAUTIOUS_SPEED, OLDER_SPEED, diameter_of, slot_of
from server.documents import amend
from server.pages import bench, render, take, typed_fields
from server.plates import cabinet_section
from server.routes.box import labels

router = APIRouter(prefix="/projects/{key}/port")


@router.get("")
def show(request: Request, key: str):
    """Show the port of the chosen box."""
    now = bench(request, key)
    return render(request, "port", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited values, or hold the length instead of the tuning."""
    return take(request, key, "port", typed, view, {"hold": hold, "shape": shape, "vent": vent})


def view(bench):
    """The section with the port's values on it, its chart, and what is said of air speed."""
    from server.charts import box_charts  # plotly takes its time: not before it is asked for

    charts = box_charts(bench.result)
    return {
        "plate": cabinet_section(bench, ("tuning", "port", "length")),
        "chart": charts.get("port"),
        "labels": labels(bench.project, bench.result),
        "cautious": CAUTIOUS_SPEED,
        "older": OLDER_SPEED,
    }


def hold(document, which, typed, result):
    """Hold the tuning, and let the length follow; or the other way about."""
    path = f"alternatives.{document['chosen']}.box"
    box = result.box
    if box.port is None:
        raise InputError(f"{path}.fb", "a closed box has no port to hold")
    if which == "length":
        return amend(document, {f"{path}.fb": None, f"{path}.port.length": round(box.port.length, 4)})
    return amend(document, {f"{path}.fb": round(box.fb, 1), f"{path}.port.length": None})


def shape(document, which, typed, result):
    """Change round ports to slots of the same area, or back."""
    path = f"alternatives.{document['chosen']}.box.port.shape"
    if result.box.port is None:
        raise InputError(path, "a closed box has no port to shape")
    area = result.box.port.area
    if which == "slot":
        width, height = (round(side, 4) for side in slot_of(area))
        return amend(
            document, {path: {"kind": "slot", "width": width, "height": height, "along_wall": False}}
        )
    return amend(document, {path: {"kind": "round", "diameter": round(diameter_of(area), 4)}})


def vent(document, argument, typed, result):
    """Open a closed box with one round port, tuned a little under the driver's own resonance."""
    key = document["chosen"]
    box = document["alternatives"][key]["box"]
    if box["kind"] == "vented":
        return document
    driver = result.drivers[document["alternatives"][key]["driver"]].constants
    fb = round(driver.fs, 1) if driver else 45.0
    vented = {"kind": "vented", "Vb": box.get("Vb"), "fb": fb, "QL": box.get("QL"), "QA": box.get("QA"),
              "port": {"count": 1, "shape": {"kind": "round", "diameter": 0.05},
                       "panel": "back"}}  # fmt: skip
    return amend(document, {f"alternatives.{key}.box": vented})
