"""Doubt: how far the speakers that will stand there may lie off those on paper, and what to do about it."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_doubt import NOTE, box_doubt
from calc.explore.spread import BUILT, USUAL
from calc.sound.port import OLDER_SPEED
from server.documents import amend
from server.pages import bench, render, take, typed_fields

router = APIRouter(prefix="/projects/{key}/doubt")

MEASURED = {"fs": 0.01, "Qms": 0.05, "Qes": 0.03, "Vas": 0.08, "Sd": 0.02, "Re": 0.01, "Le": 0.05}
"""Spread of what is measured at home on the very drivers that go in (common practice, no source)."""

SOURCES = {
    "mass": "A heavier cone",
    "suspension": "A softer suspension",
    "motor": "A stronger motor",
    "losses": "More loss in the suspension",
    "coil": "More resistance in the coil",
    "cone": "A larger cone",
    "own fs": "A higher fs alone",
    "own Qms": "A higher Qms alone",
    "own Qes": "A higher Qes alone",
    "own Vas": "A larger Vas alone",
    "own Sd": "A larger Sd alone",
    "own Re": "A higher Re alone",
    "Le": "More inductance in the coil",
    "Xmax": "More clean travel than the sheet says",
    "Vb": "More air in the box",
    "Vr": "More air behind the cone",
    "Vf": "More air in the front chamber",
    "port fb": "A port that tunes higher",
    "port fr": "A rear port that tunes higher",
    "radiator": "Lighter radiators, tuned higher",
    "leak": "A tighter box",
}
"""Each source of doubt as what it is when it lies high."""

ADVICE = {
    "leak": "Glue every corner full, put a gasket under all that is screwed on, and feel for air with a wet "
    "hand while the cone is pushed in.",
    "Vb": "Measure the inside with the braces in, and count what stands in the air.",
    "Vr": "Measure the rear chamber with all that stands in it.",
    "Vf": "Measure the front chamber with all that stands in it.",
    "port fb": "Leave the port long, find the dip between the two peaks of the impedance, and trim.",
    "port fr": "Leave the rear port long, find its dip in the impedance, and trim.",
    "radiator": "Weigh what you screw to the radiators, find the dip of the impedance, and trim the mass.",
    "cone": "Measure the cone across, from the middle of the surround to the middle.",
    "Xmax": "Ask how the sheet's Xmax was meant: by the coil's height, or by measured distortion.",
}
"""What makes each source surer; the driver's own values by measuring them."""

MEASURE = (
    "Measure your own drivers before you cut: fs and the Qs from an impedance curve, Vas with an added mass."
)

WORTH = 0.01
"""A source is listed from this share on of the variance of the lowest note, or of the level."""


@router.get("")
def show(request: Request, key: str):
    """Show how sure the chosen box is."""
    now = bench(request, key)
    return render(request, "doubt", now, place="box", **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited spreads, or those of measured or of usual drivers."""
    return take(request, key, "doubt", typed, view, {"measured": measured, "usual": usual})


def view(bench):
    """The band, what matters most, what chance each wish has, the spreads of this driver and this box."""
    from server.charts_doubt import doubt_chart  # plotly takes its time: not before it is asked for

    project, result = bench.project, bench.result
    try:
        found, beyond = box_doubt(project, result), False
    except InputError:
        found, beyond = None, True
    each = project.alternatives[project.chosen]
    matters = found.matters if found else ()
    listed = [m for m in matters if max(m.shares["level"], m.shares.get("f3", 0.0)) >= WORTH]
    return {
        "found": found,
        "beyond": beyond,
        "chart": doubt_chart(result.box, found) if found else None,
        "listed": listed,
        "spread_path": f"drivers.{each.driver}.spread",
        "stated": {name: project.drivers[each.driver].spread.get(name) for name in USUAL},
        "usual": USUAL,
        "built": _built(result.box, found),
        "sources": SOURCES,
        "advice": _advice(matters),
        "note": NOTE,
        "older": OLDER_SPEED,
    }


def _advice(matters):
    """What would make the number surer that moves the lowest note most."""
    if not matters:
        return ""
    name = matters[0].source.name
    if name.startswith("own "):
        return f"Measure {name[4:]} once more, in another way: as it stands nothing else vouches for it."
    return ADVICE.get(name, MEASURE)


def _built(box, found):
    """The usual spread of what this box has of what is built."""
    tuned = box.fb is not None
    leaks = found is None or any(source.name == "leak" for source in found.told.sources)
    words = {"Vb": True, "fb": tuned, "QL": leaks}
    return {name: spread for name, spread in BUILT.items() if words[name]}


def measured(document, argument, typed, result):
    """The spreads of drivers that were measured at home."""
    path = f"drivers.{_driver(document)}.spread"
    return amend(document, {path: {**document["drivers"][_driver(document)]["spread"], **MEASURED}})


def usual(document, argument, typed, result):
    """The usual spreads of everything again."""
    return amend(document, {f"drivers.{_driver(document)}.spread": {}, "doubt": {}})


def _driver(document):
    return document["alternatives"][document["chosen"]]["driver"]
