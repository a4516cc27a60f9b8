"""Crossover: its parts, what reaches each driver, and what the amplifier meets."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_network import in_box, lacking, network, strains
from calc.evaluate_starts import is_pair, small_network, textbook
from calc.evaluate_sum import acoustic_sum
from calc.more_drivers import doubled, shared_out
from calc.network.textbook import FAMILIES
from calc.project_network import added, removed
from calc.small_networks import put, standing, taken_out
from server import units
from server.documents import amend, read_project, without
from server.pages import GONE, bench, render, take, typed_fields
from server.starting import ASIDE, CORNER, LOWER, SMALL, STARTS, asked, corners, turned, usual_texts, ways_of
from server.telling_network import joint_words

router = APIRouter(prefix="/projects/{key}/crossover")

KEPT = ("leads", "listening")
"""What stays when a crossover is begun again: wires and the seat know nothing of its parts."""


@router.get("")
def show(request: Request, key: str):
    """Show the crossover."""
    now = bench(request, key)
    return render(request, "crossover", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited values, begin from a textbook, add and take out parts."""
    return take(request, key, "crossover", typed, view, ACTIONS, aside=ASIDE, stays=ASIDE)


def view(bench):
    """The charts and the burdens."""
    from server.charts_crossover import load_chart, transfer_chart
    from server.charts_sum import phase_chart, sound_chart, verdict
    from server.plates_network import drawn_ways

    project, result = bench.project, bench.result
    parts = project.network.parts if project.network else {}
    missing = lacking(project, result) if project.network else {}
    found = network(project, result) if project.network and not missing else None
    heard = found and acoustic_sum(project, result, found)
    ways, undrawn = drawn_ways(project) if project.network else ((), "")
    return {
        "ways": ways,
        "undrawn": undrawn,
        "heard": heard,
        "verdict": verdict(heard) if heard else (),
        "sum_charts": [sound_chart(heard), phase_chart(heard)] if heard else [],
        "found": found,
        "strains": strains(project, found) if found else {},
        "missing": missing,
        "charts": [transfer_chart(found), load_chart(found)] if found else [],
        "starts": STARTS,
        "corner": units.write(CORNER, "frequency", project.show),
        "lower": units.write(LOWER, "frequency", project.show),
        "divisions": ways_of(project),
        "count": project.alternatives[project.chosen].count if is_pair(project) else 1,
        "joint_words": joint_words,
        "steps": {name: turned(each) for name, each in parts.items()},
        "small": SMALL,
        "in_box": in_box,
        "usual": usual_texts(project, result),
        "drivers": [name for name, each in parts.items() if each.kind == "driver"],
        "there": {(kind, name): bool(standing(parts, name, kind)) for kind in SMALL for name in parts},
    }


# --- Actions


def begin(document, start, typed, result):
    """Write the parts of a textbook filter, at the frequency that was typed, in place of what is there."""
    if start not in STARTS:
        raise InputError("network.parts", "must begin from one of the filters that are offered")
    family, _, order = start.partition(" ")
    assert family in FAMILIES
    project, ways = read_project(document), typed.get("ways", "two")
    if ways not in ways_of(project):
        raise InputError("ways", "must be one that there are drivers for")
    parts = textbook(project, family, int(order), corners(typed, ways), ways)
    kept = {name: value for name, value in (document.get("network") or {}).items() if name in KEPT}
    return amend(document, {"network": {**kept, "parts": parts}})


def _parts(document):
    if not document.get("network"):
        raise InputError("network", "is not there yet: begin with a filter")
    return document["network"]["parts"]


def add(document, what, typed, result):
    """Add a part: "kind how name", such as "coil before dome"."""
    kind, _, rest = what.partition(" ")
    how, _, name = rest.partition(" ")
    return amend(document, {"network.parts": _named(added, document, name, kind, how)})


def _named(change, document, *arguments):
    parts = _parts(document)
    try:
        return change(parts, *arguments)
    except InputError as error:
        raise InputError(f"network.{error.field}", error.problem) from None


def drop(document, name, typed, result):
    """Take a part out."""
    document = amend(document, {"network.parts": _named(removed, document, name)})
    for board in ("board", "bought"):  # what was decided of it goes too
        document = without(document, f"network.{board}.parts.{name}")
    return document


def double(document, what, typed, result):
    """Put a second driver beside one that is not in the box: "parallel dome" or "series dome"."""
    how, _, name = what.partition(" ")
    part = _parts(document).get(name, {})
    if part.get("driver") == document["alternatives"][document["chosen"]]["driver"]:
        raise InputError("network.parts", "has that driver in the box: how many there are, the page Box says")
    return amend(document, {"network.parts": _named(doubled, document, name, how)})


def share_out(document, name, typed, result):
    """Give each of two drivers in the box leads of its own."""
    project = read_project(document)
    part = project.network.parts.get(name) if project.network else None
    if part is None or part.kind != "driver" or part.alone or not in_box(project, part.driver):
        raise InputError("network.parts", GONE)
    if not is_pair(project):
        raise InputError("network.parts", "can only part two drivers in parallel")
    return amend(document, {"network.parts": _named(shared_out, document, name, 2)})


def put_small(document, what, typed, result):
    """Put one of the textbook's small networks at a driver: "kind name", such as "pad dome"."""
    kind, _, name = what.partition(" ")
    if kind not in SMALL:
        raise InputError("network.parts", GONE)
    parts = _parts(document)
    numbers = asked(kind, typed)
    try:
        values = small_network(read_project(document), result, name, kind, **numbers)
    except InputError as error:
        if error.field in numbers:
            raise InputError(f"{kind}.{error.field}", error.problem) from None
        raise
    return amend(document, {"network.parts": put(parts, name, kind, values)})


def drop_small(document, what, typed, result):
    """Take a small network out again."""
    kind, _, name = what.partition(" ")
    parts = _parts(document)
    if kind not in SMALL or not standing(parts, name, kind):
        raise InputError("network.parts", GONE)
    return amend(document, {"network.parts": taken_out(parts, name, kind)})


def turn(document, name, typed, result):
    """Turn a part end for end: a driver's plus and minus."""
    part = _parts(document).get(name)
    if part is None:
        raise InputError("network.parts", "has no such part to turn")
    return amend(
        document,
        {f"network.parts.{name}.start": part["end"], f"network.parts.{name}.end": part["start"]},
    )


def clear(document, argument, typed, result):
    """Take the whole crossover away."""
    return amend(document, {"network": None})


ACTIONS = {
    "begin": begin,
    "add": add,
    "drop": drop,
    "double": double,
    "share-out": share_out,
    "small": put_small,
    "small-out": drop_small,
    "turn": turn,
    "clear": clear,
}
