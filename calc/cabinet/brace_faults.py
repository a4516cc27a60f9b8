"""What is wrong with the braces of a cabinet: each refused at its field, all of them at once."""

from itertools import combinations

from calc.cabinet.brace_places import (
    BETWEEN,
    NORMAL,
    SIDES,
    Gap,
    Inside,
    axis_and_walls,
    ends,
    placed,
    plane_axes,
)
from calc.errors import InputError, require_not_negative, require_positive, require_within

RIM = 0.02
"""Wood that is left around a window, at least. [m] A shop's habit; less tears when the window is cut."""

_HAIR = 1e-9  # m; what touches does not overlap

_NAMES = {"shelf": "shelves", "rib": "ribs", "frame": "frames"}


def brace_faults(inner, thicknesses, plates, slope=0.0):
    """Everything that is wrong with the braces, one at a time, as `InputError`; arguments as for `braces`."""
    inside = Inside(tuple(inner), thicknesses, slope)
    sound = {}
    for name, (brace, t, density) in plates.items():
        try:
            _check(brace, t, density, inside)
            sound[name] = placed(brace, t, inside)
        except InputError as error:
            yield InputError(f"braces.{name}.{error.field}", error.problem)
    for (one, a), (other, b) in combinations(sound.items(), 2):
        if said := _met(a, b):
            late = _later(one, other, sound)
            yield InputError(f"braces.{late}.at", said.format(other=one if late == other else other))
    for one, other in combinations(sound, 2):
        if {sound[one].kind, sound[other].kind} == {"shelf", "frame"}:
            deep = [ends(plates[name][0]) for name in (one, other)]
            if any(min(pair) for pair in zip(*deep, strict=True)):
                yield InputError(
                    f"braces.{other}.depth",
                    f"would cross the groove of “{one}” in a side: let one of the two only touch there",
                )
    for trio in combinations(sound, 3):
        if _meet_in_one_point([sound[name] for name in trio]):
            yield InputError(
                f"braces.{trio[2]}.at",
                f"meets “{trio[0]}” and “{trio[1]}” in one point, where no slots can be cut: move one, or"
                " open a window there",
            )


def _check(brace, t, density, inside):
    if brace.kind not in (*NORMAL, "bar", "dowel"):
        raise InputError("kind", "must be a shelf, a rib, a frame, a bar or a dowel")
    require_positive(thickness=t, density=density, at=brace.at)
    require_not_negative(depth=brace.depth, depth_far=brace.depth_far)
    require_within(1e-4, 0.5, "must be the thickness of a board", thickness=t)
    require_within(1, 25e3, "must be the density of a solid board", density=density)
    if brace.kind in NORMAL:
        _check_plate(brace, t, inside)
    else:
        _check_bar(brace, t, inside)
    _check_ends(brace, inside)


def _check_ends(brace, inside):
    axis, walls = axis_and_walls(brace)
    far = "depth" if brace.depth_far is None else "depth_far"
    for wall, field, depth in zip(walls, ("depth", far), ends(brace), strict=True):
        if depth >= inside.thicknesses[wall]:
            raise InputError(field, f"must be less than the thickness of the {wall} panel")
    if axis == 1 and inside.slope and ends(brace)[0]:
        raise InputError("depth", "must be 0: at a front that leans back it only touches")


def _check_bar(brace, t, inside):
    for field in ("also_at", "width"):
        if getattr(brace, field) is None:
            raise InputError(field, "is needed of a bar or a dowel")
    if brace.window is not None or brace.notches:
        raise InputError("kind", "must be a plate to have a window or a notch")
    require_positive(also_at=brace.also_at, width=brace.width)
    require_within(0.003, 0.3, "must be the width of a bar or a rod", width=brace.width)
    axis, _, places = BETWEEN[brace.between]
    deep = brace.width if brace.kind == "dowel" else t
    for field, place, size in zip(("at", "also_at"), places, (deep, brace.width), strict=True):
        at = getattr(brace, field)
        if not size / 2 <= at <= inside.size[place] - size / 2:
            raise InputError(field, "must keep the whole of it inside the box")
    place = placed(brace, t, inside)
    if axis != 1 and place.low[1] < inside.front(place.high[2]) - _HAIR:
        raise InputError(
            "at" if axis == 0 else "also_at", "must stand clear of the front, which leans back over it"
        )


def _check_plate(brace, t, inside):
    axis = NORMAL[brace.kind]
    if not t / 2 <= brace.at <= inside.size[axis] - t / 2:
        raise InputError("at", "must keep the whole thickness of the plate inside the box")
    place = placed(brace, t, inside)
    if axis == 1 and place.low[1] < inside.front(place.high[2]) - _HAIR:
        raise InputError("at", "must stand clear of the front, which leans back over it")
    if brace.window:
        _check_window(brace, place, inside)
    for name, notch in brace.notches.items():
        try:
            _check_notch(name, notch, brace, place, inside)
        except InputError as error:
            raise InputError(f"notches.{name}.{error.field}", error.problem) from None


def _clear_face(place, inside, high):
    """Corners of the plate's clear face in its plane; its front edge where it stands at the height `high`."""
    low = list(place.low)
    low[1] = max(low[1], inside.front(high))
    axes = plane_axes(place.kind)
    return [low[axis] for axis in axes], [place.high[axis] for axis in axes]


def _check_window(brace, place, inside):
    window = brace.window
    require_positive(**{"window.width": window.width, "window.height": window.height})
    require_not_negative(**{"window.radius": window.radius})
    if 2 * window.radius > min(window.width, window.height):
        raise InputError("window.radius", "must be at most half the window's smaller side")
    axes = plane_axes(brace.kind)
    high = place.windows[-1].high[axes.index(2)] if 2 in axes else place.high[2]
    low, top = _clear_face(place, inside, high)
    for n, word in enumerate(("width", "height")):
        least = min(gap.low[n] for gap in place.windows) - low[n]
        most = top[n] - max(gap.high[n] for gap in place.windows)
        if min(least, most) < RIM - _HAIR:
            many = window.count > 1 and len({gap.low[n] for gap in place.windows}) > 1
            around = "around the windows" if many else "around the window"
            raise InputError(f"window.{word}", f"must leave a rim of wood {around}, a finger wide")


def _check_notch(name, notch, brace, place, inside):
    axis, far = SIDES[notch.side]
    if axis not in plane_axes(brace.kind):
        raise InputError("side", f"must be a panel that an edge of the {brace.kind} faces")
    span, walls = axis_and_walls(brace)
    if notch.side in walls and ends(brace)[far]:
        raise InputError("side", "must be an edge that stands in no groove")
    if notch.side == "front" and inside.slope:
        raise InputError("side", "must not be the front edge where the front leans back")
    along = next(each for each in plane_axes(brace.kind) if each != axis)
    if not notch.width / 2 <= notch.at <= inside.size[along] - notch.width / 2:
        raise InputError("at", "must keep the whole notch on the edge")
    gap = next(gap for each, gap in place.notches if each == name)
    low, high = _clear_face(place, inside, gap.high[1] if 2 in plane_axes(brace.kind) else place.high[2])
    n = plane_axes(brace.kind).index(axis)
    if notch.depth > high[n] - low[n] - RIM:
        raise InputError("depth", "must leave a rim of wood beside the notch, a finger wide")
    if along == 1 and gap.low[1 - n] < low[1 - n]:
        raise InputError("at", "must keep the whole notch on the edge")
    for window in place.windows:
        if not gap.clear_of(window):
            raise InputError("depth", "runs into the window: make one of them smaller")
    for other, beside in place.notches:
        if other < name and not gap.clear_of(beside):
            raise InputError("at", f"runs into the notch “{other}”")


# --- Two at once


def _later(one, other, sound):
    """Of two that overlap, the name of the one that is told: the upper of two alike, a bar of unlike ones."""
    a, b = sound[one], sound[other]
    if a.kind == b.kind and a.kind in NORMAL:
        axis = NORMAL[a.kind]
        return max((sum((p.low[axis], p.high[axis])), name) for name, p in ((one, a), (other, b)))[1]
    return one if a.kind not in NORMAL and b.kind in NORMAL else other


def _met(one, other):
    """Why two braces cannot both stand, or None."""
    if not _overlap(one, other):
        return None
    if one.kind in NORMAL and other.kind in NORMAL:
        if one.kind != other.kind:
            return None
        return f"must stand clear of “{{other}}”: the two {_NAMES[one.kind]} overlap"
    if one.kind not in NORMAL and other.kind not in NORMAL:
        if one.axis == other.axis and not _sections_meet(one, other):
            return None
        return "runs into “{other}”: move one of them"
    bar, plate = (one, other) if one.kind not in NORMAL else (other, one)
    if bar.axis == NORMAL[plate.kind] and _passes(bar, plate):
        return None
    return "runs into “{other}”: move it, or lead it through a window or a notch"


def _overlap(one, other):
    return all(
        a + _HAIR < d and c + _HAIR < b
        for a, b, c, d in zip(one.low, one.high, other.low, other.high, strict=True)
    )


def _sections_meet(one, other):
    """Whether the sections of two bars side by side overlap, each a rectangle or a circle."""
    axes = [axis for axis in range(3) if axis != one.axis]
    if one.kind == other.kind == "dowel":
        away = sum(((one.low[a] + one.high[a] - other.low[a] - other.high[a]) / 2) ** 2 for a in axes) ** 0.5
        widths = sum(each.high[axes[0]] - each.low[axes[0]] for each in (one, other))
        return away < widths / 2 - _HAIR
    if one.kind == other.kind:
        return True
    rod, bar = (one, other) if one.kind == "dowel" else (other, one)
    middle = [(rod.low[a] + rod.high[a]) / 2 for a in axes]
    away = (
        sum(max(bar.low[a] - m, 0.0, m - bar.high[a]) ** 2 for a, m in zip(axes, middle, strict=True)) ** 0.5
    )
    return away < (rod.high[axes[0]] - rod.low[axes[0]]) / 2 - _HAIR


def _passes(bar, plate):
    """Whether a bar goes through one gap of a plate without touching its wood."""
    axes = plane_axes(plate.kind)
    low, high = [bar.low[a] for a in axes], [bar.high[a] for a in axes]
    return any(_within(low, high, bar.kind == "dowel", gap) for gap in plate.gaps)


def _within(low, high, round_, gap):
    """Whether a rectangle or a circle lies within a rounded rectangle."""
    if any(a < b - _HAIR for a, b in zip((*low, *gap.high), (*gap.low, *high), strict=True)):
        return False
    radius = gap.radius
    middle = [(a + b) / 2 for a, b in zip(low, high, strict=True)]
    own = (high[0] - low[0]) / 2 if round_ else 0.0
    points = [middle] if round_ else [(u, v) for u in (low[0], high[0]) for v in (low[1], high[1])]
    for point in points:
        # How far the point lies into the square of a corner arc, in both directions.
        into = [
            max(a + radius - p, p - b + radius, 0.0) for p, a, b in zip(point, gap.low, gap.high, strict=True)
        ]
        if min(into) > 0 and (into[0] ** 2 + into[1] ** 2) ** 0.5 + own > radius + _HAIR:
            return False
    return True


def _meet_in_one_point(trio):
    """Whether three plates of three kinds all have wood where they meet."""
    if {each.kind for each in trio} != set(NORMAL):
        return False
    low = tuple(max(each.low[axis] for each in trio) for axis in range(3))
    high = tuple(min(each.high[axis] for each in trio) for axis in range(3))
    for each in trio:
        axes = plane_axes(each.kind)
        cube = Gap(tuple(low[a] for a in axes), tuple(high[a] for a in axes))
        if any(_within(cube.low, cube.high, False, gap) for gap in each.gaps):
            return False
    return True
