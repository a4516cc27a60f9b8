"""Side by side: the boxes that are weighed, in plain words, on the same charts, in a table of differences."""

from functools import partial

import numpy as np
from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_side_by_side import side_by_side
from calc.sound.differences import LEVEL_STEP, REACH_STEP
from calc.sound.notes import nearest_note
from calc.sound.time_domain import FULL, ROOM_DECAY, SWELL, room_tenth
from server import units
from server.pages import bench, render, take, typed_fields
from server.routes.box import ACTIONS, labels
from server.telling import spoken, told, two_figures

router = APIRouter(prefix="/projects/{key}/side_by_side")


@router.get("")
def show(request: Request, key: str):
    """Show all boxes at once."""
    now = bench(request, key)
    return render(request, "side_by_side", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Choose another box, or drop one."""
    return take(request, key, "side_by_side", typed, view, ACTIONS)


def view(bench):
    """What is said of the boxes, the charts, and the table: (what, {box: cell}, which is better)."""
    from server.charts import box_charts, pencilled  # plotly takes its time: not before it is asked for
    from server.charts_time import step_chart

    project, result = bench.project, bench.result
    weighed = side_by_side(project, result)
    step = step_chart(result, weighed.steps)
    return {
        "charts": box_charts(result) | ({"step": step} if step else {}),
        "pencils": {key: n for n, key in enumerate(pencilled(result))},
        "labels": labels(project, result),
        "weighed": weighed,
        "told": partial(told, project=project),
        "heard_by": ((LEVEL_STEP, "1 dB"), (REACH_STEP, "A third of an octave")),
        "room_decay": spoken(ROOM_DECAY, "time", project),
        "rows": [
            (what, cells(bench, quantity, values), better)
            for what, quantity, values, better in rows(result, weighed.numbers)
        ],
        **_best(result),
    }


def _best(result):
    """The boxes that the answer names; None where no box has the number."""
    known = [box for box in result.boxes.values() if not box.missing]
    deep = [box for box in known if box.cutoffs[3.0] is not None]
    loud = [box for box in known if _clean(box, 40) is not None]
    deepest = min(deep, key=lambda box: box.cutoffs[3.0], default=None)
    return {
        "deepest": deepest,
        "lowest_note": deepest and _note(deepest.cutoffs[3.0]),
        "loudest": max(loud, key=lambda box: _clean(box, 40), default=None),
        "smallest": min(result.boxes.values(), key=lambda box: box.Vb),
    }


def _note(f):
    """The name of a note that music has; None of what lies outside."""
    try:
        return nearest_note(f).name
    except InputError:
        return None


def _clean(box, f):
    """Largest clean level at f [Hz], or None where no limit is known."""
    return None if box.limits.level is None else float(np.interp(f, box.response.f, box.limits.level))


DECIMALS = {"number": 2, "ft³": 3}
"""Of a quantity, or of its unit, where one decimal is not what is read off."""


def cells(bench, quantity, values):
    """(value, how far from the chosen box) as words for each box; the second empty where nothing differs."""
    project = bench.project
    sign = units.unit(quantity, project.show)
    places = DECIMALS.get(sign, DECIMALS.get(quantity, 1))

    def words(value):
        if quantity == "length":
            return units.with_unit(value, quantity, project.show, project.fraction)
        return f"{units.in_unit(value, quantity, project.show):.{places}f}\N{NO-BREAK SPACE}{sign}".rstrip()

    def change(value):
        base = values[bench.result.chosen]
        if base is None or value is base or words(value) == words(base):
            return ""
        return ("+" if value > base else "−") + words(abs(value - base))

    return {
        key: ("–", "") if value is None else (words(value), change(value)) for key, value in values.items()
    }


def rows(result, numbers):
    """What is compared, box by box, but what none of them has; None where a box has no such number.

    `numbers` are those of `side_by_side`.
    """
    boxes = result.boxes
    room = two_figures(room_tenth() * 1e3)

    def each(value):
        return {key: None if box.missing else value(box) for key, box in boxes.items()}

    table = (
        ("Air inside", "volume", {key: box.Vb for key, box in boxes.items()}, "smaller is easier to house"),
        ("Tuned to", "frequency", {key: box.fb for key, box in boxes.items()}, ""),
        ("Total Q, closed", "number", each(lambda box: box.Qtc), "0.71 is flattest; above, the bass swells"),
        ("Falls 3 dB at", "frequency", each(lambda box: box.cutoffs[3.0]), "lower is deeper"),
        ("Falls 6 dB at", "frequency", each(lambda box: box.cutoffs[6.0]), "lower is deeper"),
        (
            "Falls 10 dB at",
            "frequency",
            each(lambda box: box.cutoffs[10.0]),
            "near walls this is what you hear",
        ),
        ("Clean level at 40 Hz", "level", each(lambda box: _clean(box, 40)), "more is louder"),
        ("Clean level at 80 Hz", "level", each(lambda box: _clean(box, 80)), "more is louder"),
        ("Cone inside Xmax from", "frequency", each(lambda box: box.travel_from), "lower is safer"),
        ("Port air, peak", "speed", each(lambda box: box.fastest_air), "less is quieter"),
        ("Port length", "length", {key: box.port and box.port.length for key, box in boxes.items()}, ""),
        ("Radiators move", "travel", each(lambda box: box.radiator and box.radiator.travel), "less is safer"),
        (
            "Screwed to each radiator",
            "moving mass",
            each(lambda box: box.radiator and box.radiator.added),
            "less is easier",
        ),
        ("Least load", "resistance", each(lambda box: box.least_Z), "more is kinder to the amplifier"),
        (
            "Rises above its middle",
            "level",
            each(lambda box: numbers[box.key].peak),
            f"from {FULL:.0f} dB full, from {SWELL:.0f} boomy",
        ),
        (
            "A push dies to a tenth in",
            "time",
            each(lambda box: numbers[box.key].settled),
            f"less is tighter; a room covers it up to some {room} ms",
        ),
        ("Latest bass", "time", each(lambda box: box.delay_peak), "nobody has settled when it is heard"),
    )
    return tuple(row for row in table if any(value is not None for value in row[2].values()))
