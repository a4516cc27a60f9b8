"""Braces: what stiffens the panels, and where it stands."""

from fastapi import APIRouter, Depends, Request

from calc.cabinet.brace_places import NORMAL, WALLS
from calc.cabinet.partitions import called
from calc.cabinet.places import bar_place, brace_place
from calc.errors import InputError
from calc.evaluate_wood import wood
from calc.sound.closed_box import closed_box_tuning
from server.documents import amend, at, read_project, without
from server.mending import mend, mends
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import cabinet_openings, decisions, lengths, letters, recess_above
from server.units import rule_size

router = APIRouter(prefix="/projects/{key}/braces")

KINDS = (*NORMAL, "bar", "dowel")
"""All kinds of braces."""

EDGES = {
    "shelf": ("front", "back", "left", "right"),
    "rib": ("front", "back", "bottom", "top"),
    "frame": ("bottom", "top", "left", "right"),
}
"""The panels that the edges of each kind of plate face."""

ENDS = {
    "shelf": ("left", "right"), "rib": ("bottom", "top"), "frame": ("left", "right"),
    "sides": ("left", "right"), "front and back": ("front", "back"), "top and bottom": ("bottom", "top"),
}  # fmt: skip
"""The panels at the low and the high end, by kind or by what a bar lies between."""

PLACES = {
    "shelf": ("Height of its middle",), "rib": ("Middle, from the left",),
    "frame": ("Middle, from the front",), "sides": ("Height", "From the front"),
    "front and back": ("From the left", "Height"), "top and bottom": ("From the left", "From the front"),
}  # fmt: skip
"""What places each kind of plate or bar."""

GROOVE = 0.006
"""How deep a new plate's ends stand in their grooves. [m]"""


@router.get("")
def show(request: Request, key: str):
    """Show what stiffens the cabinet."""
    now = bench(request, key)
    return render(request, "braces", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited braces, or add and drop them."""
    return take(request, key, "braces", typed, view, ACTIONS)


def view(bench):
    """How stiff the panels are, weakest first, and each brace with its drawing."""
    from server.drawings.brace import brace
    from server.drawings.free_spans import free_spans

    project, cabinet, labels = bench.project, bench.result.cabinet, letters(bench.result)
    now = wood(project, bench.result)
    notes = sorted({_note(panel) for panel in now.panels if panel.weakest})
    numbers = {panel.name: notes.index(_note(panel)) + 1 for panel in now.panels if panel.weakest}
    return {
        "wood": now,
        "chambers": list(_chambers(bench)),
        "numbers": numbers,
        "weakest_in": _named([name for name, number in numbers.items() if number == 1]),
        "spans": free_spans({panel.name: panel for panel in now.panels}, numbers),
        "fields": {panel.name: _field_words(panel) for panel in now.panels if panel.weakest},
        "drawn": {
            name: brace(
                solid, cabinet_openings(bench, name), write=lengths(bench), letter=labels[name],
                near=recess_above(bench, name),
            )
            for name, solid in cabinet.braces.items()
        },
        "kinds": KINDS,
        "edges": {kind: [(side, f"the {side}") for side in sides] for kind, sides in EDGES.items()},
        "ends": ENDS,
        "counted": PLACES,
        "plates": tuple(NORMAL),
        "smallest_bit": min(project.workshop.bits.values(), default=None),
        "walls": {seat.wall: name for name, seat in project.cabinet.seats.items() if seat.wall},
        "sheet_names": [(key, each.name or key) for key, each in project.workshop.sheets.items()],
        "stands": {name: _stands(solid, cabinet) for name, solid in cabinet.braces.items()},
        "mends": mends(bench),
    }  # fmt: skip


def _stands(solid, cabinet):
    """Where the middle of a plate stands, as `at` says it [m]; None of a bar."""
    if solid.kind not in NORMAL:
        return None
    axis, carcass = NORMAL[solid.kind], cabinet.carcass
    floor = carcass.panels["bottom"].thickness
    start = carcass.panels["left"].thickness, carcass.front_inner(floor), floor
    return (solid.low[axis] + solid.high[axis]) / 2 - start[axis]


def _chambers(bench):
    """(Chamber, what it is called, fc [Hz] and Qtc of its one driver; None where they are not known)."""
    project, result = bench.project, bench.result
    for chamber in result.cabinet.rooms:
        tuned = None
        keys = [project.cabinet.seats[seat].driver for seat in chamber.seats]
        v = result.drivers[keys[0]].constants if len(keys) == 1 else None
        if v is not None:
            tuned = closed_box_tuning(v.fs, v.Qts, v.Vas, chamber.air)
        yield chamber, called(chamber), tuned


def _named(panels):
    """Panels in a sentence; left and right are sides."""
    if {"left", "right"} <= set(panels):
        panels = ["both sides", *(name for name in panels if name not in ("left", "right"))]
    words = [f"the {name} side" if name in ("left", "right") else name for name in panels]
    return " and ".join(word if " " in word else f"the {word}" for word in words)


def _note(panel):
    """What two panels have in common that ring alike, as far as the page tells it. [Hz]"""
    return round(panel.weakest.supported), round(panel.weakest.clamped)


def _field_words(panel):
    """Where a panel's weakest field lies: "between shelf and top, left and rib"."""
    field, words = panel.weakest, []
    if any(other.along != field.along for other in panel.fields):
        words.append(" and ".join(field.between))
    if any(other.over != field.over for other in panel.fields):
        words.append(" and ".join(field.beside))
    return "between " + ", ".join(words) if words else "the whole of it"


# --- Actions


def add_brace(document, kind, typed, result):
    """Add a brace of a kind where it is clear; a plate with a window that leaves a broad rim."""
    if kind not in KINDS:
        raise InputError("cabinet.braces", "must be a shelf, a rib, a frame, a bar or a dowel")
    names = document["cabinet"].get("braces", {})
    name = next(f"{kind}{n}" for n in ("", *range(2, 99)) if f"{kind}{n}" not in names)
    cabinet, decided = result.cabinet, decisions(read_project(document))
    around = cabinet.carcass, cabinet.openings, cabinet.braces
    thickness = cabinet.carcass.panels["left"].thickness
    brace = {"kind": kind, "sheet": document["cabinet"]["panels"]["left"], "depth": 0.0}
    if kind not in NORMAL:
        width = rule_size(0.02 if kind == "dowel" else 0.04, document)
        deep = width if kind == "dowel" else thickness
        height, behind = bar_place(kind, deep, width, *around, **decided)
        place = {
            "at": rule_size(round(height, 4), document), "also_at": rule_size(round(behind, 4), document),
            "width": width,
        }  # fmt: skip
        return amend(document, {f"cabinet.braces.{name}": brace | place | {"between": "sides"}})
    place = brace_place(kind, thickness, *around, **decided)
    if place is None:  # then the page says what it runs into
        place = _free_place(kind, cabinet)
    width, height, depth = cabinet.carcass.inner
    sides = {"shelf": (width, depth), "rib": (depth, height), "frame": (width, height)}[kind]
    window = [rule_size(round(side - 2 * min(0.05, side / 4), 3), document) for side in sides]
    radius = min(rule_size(0.012, document), *(side / 2 for side in window))
    brace["at"] = rule_size(round(place, 4), document)
    brace["depth"] = 0.0 if kind == "frame" else rule_size(GROOVE, document)
    brace["window"] = {"width": window[0], "height": window[1], "radius": radius}
    return amend(document, {f"cabinet.braces.{name}": brace})


def _free_place(kind, cabinet):
    """The middle of the widest gap between plates of a kind."""
    axis = NORMAL[kind]
    span = cabinet.carcass.inner[(0, 2, 1)[axis]]
    start = cabinet.carcass.panels[("left", "front", "bottom")[axis]].thickness
    alike = (each for each in cabinet.braces.values() if each.kind == kind)
    ends = [0.0, *sorted((each.low[axis] + each.high[axis]) / 2 - start for each in alike), span]
    low, high = max(zip(ends, ends[1:], strict=False), key=lambda gap: gap[1] - gap[0])
    return (low + high) / 2


def drop_brace(document, name, typed, result):
    """Take a brace out."""
    return without(document, f"cabinet.braces.{name}")


def open_window(document, name, typed, result):
    """Saw a window into a plate that has none, or close it."""
    path = f"cabinet.braces.{name}.window"
    if at(document, path):
        return amend(document, {path: None})
    solid = result.cabinet.braces.get(name)
    if solid is None:
        raise InputError("cabinet.braces", GONE)
    side = rule_size(round(min(solid.width, solid.length) / 2, 3), document)
    return amend(document, {path: {"width": side, "height": side, "radius": rule_size(0.01, document)}})


def seal(document, name, typed, result):
    """Let a plate part the air: its window and its notches are closed; or let it be a brace again."""
    path = f"cabinet.braces.{name}"
    brace = at(document, path)
    if brace is None:
        raise InputError("cabinet.braces", GONE)
    if brace.get("seals"):
        if brace.get("encloses") is not None:
            document = enclose(document, name, typed, result)
        return amend(document, {f"{path}.seals": False})
    return amend(document, {path: {**brace, "seals": True, "window": None, "notches": {}}})


def enclose(document, name, typed, result):
    """Let a plate hold the air that it parts off now, and move for it; or let it stay where it stands now."""
    path = f"cabinet.braces.{name}"
    brace, solid = at(document, path), result.cabinet.braces.get(name)
    if brace is None or solid is None:
        raise InputError("cabinet.braces", GONE)
    if brace.get("encloses") is not None:
        stands = round(_stands(solid, result.cabinet), 5)
        return amend(document, {f"{path}.encloses": None, f"{path}.at": stands})
    air = next((each.air for each in result.cabinet.rooms if each.plate == name), None)
    if air is None:
        raise InputError(f"{path}.seals", "must part off a chamber that is not the box's own to hold its air")
    return amend(document, {f"{path}.encloses": round(air, 6), f"{path}.at": None})


def add_notch(document, name, typed, result):
    """Bite a notch out of the first edge of a plate that stands in no groove, in its middle."""
    solid = result.cabinet.braces.get(name)
    if solid is None or solid.kind not in NORMAL:
        raise InputError("cabinet.braces", GONE)
    path = f"cabinet.braces.{name}.notches"
    there = at(document, path) or {}
    notch = next(f"notch{n}" for n in ("", *range(2, 99)) if f"notch{n}" not in there)
    taken = {each["side"] for each in there.values()}
    free = [side for side in reversed(EDGES[solid.kind]) if side not in (*WALLS[solid.kind], *taken)]
    side = free[0] if free else "back"
    along = solid.length if side not in WALLS[solid.kind] else solid.width
    bite = {"side": side, "at": rule_size(round(along / 2, 4), document)}
    bite |= {"width": rule_size(0.03, document), "depth": rule_size(0.01, document)}
    return amend(document, {path: there | {notch: bite}})


def drop_notch(document, where, typed, result):
    """Leave a notch out."""
    name, _, notch = where.rpartition("/")
    return without(document, f"cabinet.braces.{name}.notches.{notch}")


ACTIONS = {
    "seal": seal, "enclose": enclose,
    "add-brace": add_brace, "drop-brace": drop_brace, "window": open_window, "add-notch": add_notch,
    "drop-notch": drop_notch, "mend": mend,
}  # fmt: skip
