"""Glue and clamps: how much, how long it stays open, how many clamps that reach, and whether it is square."""

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


def clamps(area, length, pressure=SHEET_PRESSURE, force=FORCES["parallel jaw"]):
    """How many clamps press one joint.

    Parameters
    ----------
    area, length : float
        Of the joint [m²], [m].
    pressure : float
        Wanted on the glue. [Pa]
    force : float
        Of one clamp. [N]

    Returns
    -------
    count : int
        Enough for the pressure, and never fewer than `spaced` (an own rule). Few shops reach that pressure.
    """
    require_positive(area=area, length=length, pressure=pressure, force=force)
    return max(ceil(pressure * area / force - 1e-9), spaced(length))


def spaced(length):
    """How many clamps stand no further apart than `APART` along a joint of `length` [m], one at each end."""
    return ceil(length / APART - 1e-9) + 1


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
