"""Loudness: how loud the chosen box may play, what stops it first, and what would keep it safe."""

from math import ceil

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_loudness import AWAY, NOTE, loudness
from calc.sound.heat import COIL_SECONDS, RISE_AT_RATED
from calc.sound.noise import TEST_CREST, decibels, share_beyond
from calc.sound.port import OLDER_SPEED
from calc.sound.record_player import ARM, TURN, USUAL_LEVEL
from server import units
from server.documents import amend, read_project
from server.pages import bench, render, take, typed_fields

router = APIRouter(prefix="/projects/{key}/loudness")


@router.get("")
def show(request: Request, key: str):
    """Show how loud the chosen box may play."""
    now = bench(request, key)
    return render(request, "loudness", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited values, put a filter in or take it out, say that there is a record player."""
    return take(request, key, "loudness", typed, view, ACTIONS)


def view(bench):
    """What stops it, the charts, the filters that would keep the cone in."""
    from server.charts_loudness import loudness_charts  # plotly takes its time: not before it is asked for

    project, result = bench.project, bench.result
    found, each = loudness(project, result), project.alternatives[project.chosen]
    return {
        "found": found,
        "charts": loudness_charts(result.box, found) if found else {},
        "stops": _stops(project, result.box, each, found) if found else (),
        "names": STOPS,
        "note": NOTE,
        "crest": decibels(each.crest),
        "rarely": share_beyond(each.crest),
        "rated_rise": RISE_AT_RATED,
        "usual_subsonic": USUAL_LEVEL,
        "older": OLDER_SPEED,
        "away": AWAY,
        "test_crest": TEST_CREST,
        "coil_seconds": COIL_SECONDS,
        "turn": 1 / TURN,
        "arm": ARM,
    }


STOPS = {
    "travel": "cone travel",
    "port": "the air in the port",
    "radiator": "the travel of the radiators",
    "power": "heat in the coil",
    "amplifier": "the amplifier",
}
"""What stops a box, as this page says it."""

HELPS = {
    "travel": "more cone area, less air, a filter below the music",
    "port": "more port area, rounded ends",
    "radiator": "more or larger radiators",
    "power": "a driver that bears more, or several",
    "amplifier": "an amplifier with more volts",
}


def _stops(project, box, each, found):
    """A row for each limit: what noise at the stated drive makes, what may be, the level it allows alone."""

    def said(value, quantity):
        return units.with_unit(value, quantity, project.show, project.fraction)

    motion, radiator = found.motion, box.radiator
    rows = {
        "travel": (motion.travel, box.Xmax, "travel", "give Xmax on Drivers"),
        "power": (motion.power, found.Pe, "power", "give the power on Drivers"),
        "amplifier": (
            float(f"{motion.volts:.3g}"),
            each.amplifier and 2**0.5 * each.amplifier,
            "voltage",
            "give its volts above",
        ),
    }
    if found.fastest is not None:
        rows["port"] = (found.fastest, OLDER_SPEED.value, "speed", "")
    if radiator:
        rows["radiator"] = (motion.radiator, radiator.Xmax, "travel", "give their travel on Box")
    return [
        {
            "name": STOPS[name],
            "now": said(float(now), quantity),
            "may": missing if may is None else said(float(may), quantity),
            "over": may is not None and now > may,
            "level": f"{found.levels[name]:.0f} dB" if name in found.levels else "–",
            "first": found.loudest.by is not None and str(found.loudest.by) == name,
            "helps": HELPS[name],
        }
        for name, (now, may, quantity, missing) in rows.items()
    ]  # fmt: skip


def guard(document, order, typed, result):
    """Put the lowest high-pass of that order before the amplifier that keeps the cone in."""
    path = f"alternatives.{document['chosen']}.high_pass"
    project = read_project(document)
    found = loudness(project, evaluate(project))
    guards = {str(each.order): each.corner for each in (found.guards if found else ())}
    corner = guards.get(order)
    if corner is None or corner.f is None:
        raise InputError(path, "has nothing to keep in any more, or cannot")
    return amend(document, {path: {"order": int(order), "f": ceil(2 * corner.f) / 2}})


def unguard(document, argument, typed, result):
    """Take the filter out again."""
    return amend(document, {f"alternatives.{document['chosen']}.high_pass": None})


def uncross(document, argument, typed, result):
    """No crossover after all: the box gets every note."""
    return amend(document, {f"alternatives.{document['chosen']}.low_pass": None})


def records(document, argument, typed, result):
    """There is a record player, as strong below the music as is usual; or there is none."""
    level = USUAL_LEVEL if argument == "yes" else None
    return amend(document, {f"alternatives.{document['chosen']}.subsonic": level})


ACTIONS = {"guard": guard, "unguard": unguard, "uncross": uncross, "records": records}
