"""Glue and clamps: how much, how long it stays open, how many clamps that reach, and whether it is square."""

from itertools import pairwise
from math import ceil, hypot
from typing import NamedTuple

from calc.errors import require_positive

SPREAD = 0.2
"""PVA glue that a joint takes [kg/m²]; see `USUAL_SPREAD`."""

USUAL_SPREAD = 0.15, 0.25
"""What is usual [kg/m²]; common practice, no source."""

OPEN = 300.0, 600.0
"""PVA glue stays open for 5 to 10 minutes [s]; common practice, no source: the bottle has the last word."""

PSI = 6894.757  # Pa

PRESSURE = {
    "softwood": (100 * PSI, 150 * PSI),
    "medium wood": (150 * PSI, 200 * PSI),
    "hardwood": (200 * PSI, 300 * PSI),
}
"""Wanted on the glue [Pa]; a glue maker's guide (seen). The same maker
was also quoted at 175 to 250 for hardwood, and a test wanted far more: advice, never a limit."""

INSET = 1.5 * 0.0254, 2 * 0.0254
"""A clamp's middle stands so far in from the edge: 1.5 to 2 in, the same guide (seen). [m]"""

SHEET_PRESSURE = 1.0e6
"""What is reckoned with for sheet goods: 150 psi, the upper end for softwood. [Pa]"""

APART = 0.25
"""From clamp to clamp; a glue maker's guide says 200 to 300 mm (seen). [m]"""

HELD = 30 * 60.0, 24 * 3600.0
"""Clamped for half an hour at least, not loaded for a day [s]: a glue maker's guide (seen)."""

FORCES = {"one hand": 500.0, "parallel jaw": 1600.0, "pipe": 4700.0, "I-beam": 6000.0}
"""What each kind of clamp presses with [N]: a trade magazine's test as quoted (seen second-hand); of one-hand
clamps, 0.5 to 1.3 kN, the weakest."""


def glue(area):
    """Glue for a joint `area` [m²] large. [kg]"""
    return SPREAD * area


CAUL = 0.025
"""Thickness of a caul under each end of a clamp (common practice, no source). [m]"""


def bars(joints, apart=APART, near=INSET[1]):
    """Where clamps stand that press joints in one direction, each place once.

    Parameters
    ----------
    joints : iterable of ((u, v), (u, v))
        Each as the line along its middle, in the plane that the clamps are square to. [m]
    apart : float
        As far as two clamps may stand from each other along a joint. [m]
    near : float
        A clamp that stands so near to a joint presses it, too. [m]

    Returns
    -------
    places : list of (u, v)
        Every joint has one near each of its ends, and none further apart than `apart` along it. [m]

    Notes
    -----
    Joints that meet at a corner share the clamp there. The ends come first, then what is missing between
    them, the longest joint first; that this is the least number is not proved.
    """
    joints = sorted(joints, key=lambda joint: -hypot(*_to(*joint)))
    places = []
    for joint in joints:
        for end in joint:
            if all(hypot(*_to(place, end)) > near for place in places):
                places.append(end)
    for joint in joints:
        long = hypot(*_to(*joint))
        stops = sorted({0.0, long, *_along(joint, places, near)})
        for before, after in pairwise(stops):
            more = ceil((after - before) / apart - 1e-9)
            places += [_at(joint, (before + (after - before) * n / more) / long) for n in range(1, more)]
    return places


def _to(a, b):
    return b[0] - a[0], b[1] - a[1]


def _at(joint, share):
    (u0, v0), (u1, v1) = joint
    return u0 + share * (u1 - u0), v0 + share * (v1 - v0)


def _along(joint, places, near):
    """How far along a joint the places lie that press it. [m]"""
    start, way = joint[0], _to(*joint)
    long = hypot(*way)
    for place in places:
        u, v = _to(start, place)
        at = (u * way[0] + v * way[1]) / long if long else 0.0
        beside = abs(u * way[1] - v * way[0]) / long if long else hypot(u, v)
        if beside <= near and 0 < at < long:
            yield at


def pressing(area, places, pressure=SHEET_PRESSURE, force=FORCES["parallel jaw"]):
    """How many clamps press the joints of one direction.

    Parameters
    ----------
    area : float
        Of the joints at that end of the box that has more. [m²]
    places : list
        Where clamps must stand at least, as `bars` finds them.
    pressure : float
        Wanted on the glue. [Pa]
    force : float
        Of one clamp, which presses both ends alike. [N]

    Returns
    -------
    count : int
        Enough for the pressure, and one at each place. Few shops reach that pressure.
    """
    require_positive(area=area, pressure=pressure, force=force)
    return max(ceil(pressure * area / force - 1e-9), len(places))


class Square(NamedTuple):
    """Whether a frame is square: `diagonal` [m], and how far its top leans over [m] for each metre that its
    diagonals differ."""

    diagonal: float
    lean: float


def square(width, height):
    """The `Square` of a frame `width` by `height` [m].

    Notes
    -----
    A frame that leans over by d has diagonals with D1² - D2² = 4 w d; with D1 + D2 = 2 D, their difference
    is 2 w d / D, so d is D / (2 w) of it.
    """
    require_positive(width=width, height=height)
    diagonal = hypot(width, height)
    return Square(diagonal, diagonal / (2 * width))


SAME_DIAGONALS = 0.001
"""Diagonals of a carcass that differ by no more are called equal [m]; common practice, no source."""


def short_of(needed, owned):
    """How many clamps are missing.

    Parameters
    ----------
    needed : iterable of (int, float)
        How many at once, and how far they must reach [m].
    owned : iterable of (int, float)
        The same of each kind that is owned.

    Returns
    -------
    missing : int
        Each is given to the shortest joint that it reaches; what is left of the others is missing.
    """
    stock = sorted(([reach, count] for count, reach in owned), key=lambda kind: kind[0])
    missing = 0
    for count, reach in sorted(needed, key=lambda joint: -joint[1]):
        for kind in reversed(stock):
            if kind[0] >= reach:
                taken = min(kind[1], count)
                kind[1] -= taken
                count -= taken
        missing += count
    return missing
