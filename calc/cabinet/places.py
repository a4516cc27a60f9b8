"""Room for one thing more: where a new brace or a new driver is clear of all that is there."""

from dataclasses import replace
from types import SimpleNamespace

from calc.cabinet.clashes import misfits
from calc.cabinet.frames import body
from calc.cabinet.openings import Opening, middle

STEP = 0.002
"""From one place that is tried to the next. [m]"""


def brace_place(kind, thickness, carcass, openings, braces, **decisions):
    """Where a new brace stands clear.

    Parameters
    ----------
    kind : "shelf" or "rib"
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
        kind, counted from the inner floor or the inner left wall [m]; None where it is clear nowhere. Of
        equal stretches, that nearest to the middle of the cabinet.
    """
    axis, wall = (2, "bottom") if kind == "shelf" else (0, "left")
    span = carcass.inner[1 if kind == "shelf" else 0]
    start = carcass.panels[wall].thickness
    taken = [(brace.low[axis], brace.high[axis]) for brace in braces.values() if brace.kind == kind]

    def clear(at):
        low, high = [0.0, 0.0, 0.0], [*carcass.outer[:1], carcass.outer[2], carcass.outer[1]]
        low[axis], high[axis] = start + at - thickness / 2, start + at + thickness / 2
        if any(low[axis] < b and a < high[axis] for a, b in taken):
            return False
        trial = {**braces, "": SimpleNamespace(low=tuple(low), high=tuple(high), kind=kind)}
        found = misfits(carcass, openings, braces=trial, **decisions)
        return not any(field.startswith("braces..") for field, _ in found)

    runs = _runs(thickness / 2, span - thickness / 2, clear)
    if not runs:
        return None
    low, high = max(runs, key=lambda run: (round(run[1] - run[0], 6), -abs(sum(run) - span)))
    return (low + high) / 2


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
    front = carcass.panels["front"]
    decisions = {"seats": seats, "drivers": drivers, **decisions}
    openings = tuple(_sized(opening, seats, drivers) for opening in openings)
    known = set(misfits(carcass, openings, **decisions))
    new = Opening("", "seat", "front", middle(carcass, "front"), wanted, None, None)
    new = _sized(new, seats, drivers)
    new = replace(new, outline=new.outline + clearance)

    def clear(y):
        found = set(misfits(carcass, (*openings, replace(new, y=y)), **decisions)) - known
        return all(field.startswith("drivers.") for field, _ in found)  # too deep here is so anywhere

    steps = int((front.high[2] - front.low[2]) / STEP)
    heights = sorted((front.low[2] + STEP * n for n in range(steps + 1)), key=lambda y: abs(y - wanted))
    return next((y for y in (wanted, *heights) if clear(y)), None)


def _sized(opening, seats, drivers):
    """An opening with the usual sizes where its driver's sheet gives none."""
    if opening.kind != "seat" or None not in (opening.width, opening.outline):
        return opening
    each = drivers[seats[opening.name].driver]
    sizes = body(each.frame, each.kind, each.Sd)
    width = opening.width or sizes.cutout
    return replace(opening, width=width, height=width, outline=opening.outline or sizes.flange)
