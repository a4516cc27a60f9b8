"""Room for one thing more: where a new brace or a new driver is clear of all that is there."""

from dataclasses import replace
from types import SimpleNamespace

from calc.cabinet.brace_places import NORMAL
from calc.cabinet.clashes import misfits
from calc.cabinet.frames import body
from calc.cabinet.openings import Opening, middle
from calc.cabinet.polyhedra import block, common

STEP = 0.002
"""From one place that is tried to the next. [m]"""


def brace_place(kind, thickness, carcass, openings, braces, **decisions):
    """Where a new brace stands clear.

    Parameters
    ----------
    kind : "shelf", "rib" or "frame"
    thickness : float
        Of its plate. [m]
    carcass : Carcass
    openings : tuple of Opening
    braces : dict of BraceSolid
        Those that are there.
    **decisions
        `seats`, `drivers`, `ports` and `radiator`, as for `misfits`.

    Returns
    -------
    at : float or None
        The middle of the widest stretch that is clear of drivers, ports, holes and other braces of its
        kind, counted from the inner floor, left wall or front [m]; None where it is clear nowhere. Of
        equal stretches, that nearest to the middle of the cabinet.
    """
    axis = NORMAL[kind]
    span, start = _along(axis, carcass)
    taken = [(brace.low[axis], brace.high[axis]) for brace in braces.values() if brace.kind == kind]

    def clear(at):
        low, high = [0.0, 0.0, 0.0], [carcass.outer[0], carcass.outer[2], carcass.outer[1]]
        low[axis], high[axis] = start + at - thickness / 2, start + at + thickness / 2
        if any(low[axis] < b and a < high[axis] for a, b in taken):
            return False
        trial = {**braces, "": _trial(kind, low, high, carcass)}
        found = misfits(carcass, openings, braces=trial, **decisions)
        return not any(field.startswith("braces..") for field, _ in found)

    least = thickness / 2
    if kind == "frame":  # a front that leans back comes nearest at the top
        least += carcass.front_inner(carcass.outer[1] - carcass.panels["top"].thickness) - start
    runs = _runs(least, span - thickness / 2, clear)
    if not runs:
        return None
    low, high = max(runs, key=lambda run: (round(run[1] - run[0], 6), -abs(sum(run) - span)))
    return (low + high) / 2


def bar_place(kind, thickness, width, carcass, openings, braces, **decisions):
    """Height and distance from the front [m] of a new bar between the sides, clear of all that is there.

    Of clear places that nearest to the middle of the sides; the very middle where it is clear nowhere.
    Arguments as for `brace_place`; the section is `thickness` high and `width` deep.
    """
    (height, floor), (depth, front) = _along(2, carcass), _along(1, carcass)
    low, high = [0.0, 0.0, 0.0], [carcass.outer[0], 0.0, 0.0]

    def clear(place):
        up, behind = floor + place[0], front + place[1]
        low[1:], high[1:] = (behind - width / 2, up - thickness / 2), (behind + width / 2, up + thickness / 2)
        if low[1] < carcass.front_inner(high[2]):
            return False
        for brace in braces.values():
            if all(low[n] < brace.high[n] and brace.low[n] < high[n] for n in range(3)):
                return False
        trial = {**braces, "": _trial(kind, low, high, carcass)}
        return not any(
            field.startswith("braces..") for field, _ in misfits(carcass, openings, braces=trial, **decisions)
        )

    places = [
        (height * up / 16, depth * behind / 8)
        for up in range(1, 16)
        for behind in range(1, 8)
        if thickness / 2 <= height * up / 16 <= height - thickness / 2
    ]
    middle = height / 2, depth / 2
    places.sort(key=lambda at: (at[0] - middle[0]) ** 2 + (at[1] - middle[1]) ** 2)
    return next((place for place in places if clear(place)), middle)


def _trial(kind, low, high, carcass):
    """A brace between two corners, as far as it lies inside."""
    solid = common(block(low, high), carcass.air)
    return SimpleNamespace(kind=kind, low=tuple(low), high=tuple(high), body=solid)


def _along(axis, carcass):
    """Length of the inside along an axis, and where it begins, at the floor. [m]"""
    start = (
        carcass.panels["left"].thickness,
        carcass.front_inner(carcass.panels["bottom"].thickness),
        carcass.panels["bottom"].thickness,
    )
    return carcass.inner[(0, 2, 1)[axis]], start[axis]


def _runs(low, high, clear):
    """First and last of each unbroken row of clear places from `low` to `high`. [m]"""
    if high < low:
        return []
    count = max(1, round((high - low) / STEP))
    runs, unbroken = [], False
    for step in range(count + 1):
        place = low + (high - low) * step / count
        if clear(place):
            runs.append((runs.pop()[0] if unbroken else place, place))
            unbroken = True
        else:
            unbroken = False
    return runs


def seat_place(driver, wanted, carcass, openings, seats, drivers, clearance=0.0, **decisions):
    """Height at which a new driver sits clear in the middle of the front.

    Parameters
    ----------
    driver : str
        Name of the driver. For it and those that are there, what a sheet leaves out is as usual.
    wanted : float
        Height that would be best. [m]
    carcass : Carcass
    openings : tuple of Opening
    seats, drivers : dicts of Seat-like and Driver-like decisions
    clearance : float
        Added to the flange's diameter, since the seat will be a recess. [m]
    **decisions
        `ports`, `lengths`, `radiator`, `braces` and `finish`, as for `misfits`.

    Returns
    -------
    y : float or None
        The clear height nearest to `wanted`, over the cabinet's lower edge [m]; None where there is none.
    """
    seats = seats | {"": SimpleNamespace(driver=driver, flush=True, wall=None)}
    _, low, _, high = carcass.face_bounds("front")
    decisions = {"seats": seats, "drivers": drivers, **decisions}
    openings = tuple(_sized(opening, seats, drivers) for opening in openings)
    known = set(misfits(carcass, openings, **decisions))
    new = Opening("", "seat", "front", middle(carcass, "front"), wanted, None, None)
    new = _sized(new, seats, drivers)
    new = replace(new, outline=new.outline + clearance)

    def clear(y):
        found = set(misfits(carcass, (*openings, replace(new, y=y)), **decisions)) - known
        if carcass.slope:
            return not found
        return all(field.startswith("drivers.") for field, _ in found)  # too deep here is so anywhere

    heights = sorted(
        (low + STEP * n for n in range(int((high - low) / STEP) + 1)), key=lambda y: abs(y - wanted)
    )
    return next((y for y in (wanted, *heights) if clear(y)), None)


def _sized(opening, seats, drivers):
    """An opening with the usual sizes where its driver's sheet gives none."""
    if opening.kind != "seat" or None not in (opening.width, opening.outline):
        return opening
    each = drivers[seats[opening.name].driver]
    sizes = body(each.frame, each.kind, each.Sd)
    width = opening.width or sizes.cutout
    return replace(opening, width=width, height=width, outline=opening.outline or sizes.flange)
