"""Wood screws: what a gauge number is in thickness, what is drilled for one, how hard wood holds it.

Thicknesses are of the shank [m], as screws are sold by: a number (ASME B18.6.1) or millimetres.
"""

from math import floor
from typing import NamedTuple

from calc.errors import InputError, require_not_negative, require_positive, require_whole

INCH = 0.0254

GAUGES = range(25)
"""Numbers of wood screws, #0 to #24."""

ROOTS = tuple(
    ((0.060 + 0.013 * number) * INCH, root * INCH)
    for number, root in ((4, 0.084), (6, 0.106), (8, 0.131), (10, 0.158), (12, 0.182), (14, 0.207))
)
"""(shank, root) of the screws #4 to #14 [m], the root being what is left between the threads: a screw maker's
table (seen)."""

METRIC_DRILLS = 0.0005
"""Twist drills of an ordinary metric set step by half a millimetre. [m]"""

INCH_DRILLS = INCH / 64
"""Those of an ordinary inch set, by 1/64 of an inch. [m]"""

PILOTS = {"dense": (0.90, 1.00), "soft": (0.70, 0.85), "MDF face": (0.90, 1.00), "MDF edge": (0.90, 1.00)}
"""Least and most of a pilot hole over the root. Hardwood 90 % (Wood Handbook, from memory) to the whole root
(a bolt maker's sheet, seen); softwood 70 % (from memory) to 15 % less than the root (seen). In MDF near the
root, since it has no grain to give way (common practice, no source)."""

DENSE = 0.5
"""Specific gravity from which wood and plywood are drilled as hardwood (an own rule)."""

KEPT = 0.003
"""Wood that a stopped pilot hole leaves before the other face, at least (a shop's habit). [m]"""

CORNER = 0.025
"""A screw into the edge of MDF keeps so far from its corner (from memory). [m]"""

WITHDRAWAL = 108.25e6
"""Of `withdrawal` [N/m²]: 15 700 lb/in² (Wood Handbook, chapter 8; from memory)."""

SAFETY = 15700 / 2850
"""Ultimate over allowable withdrawal: 2850 G² D for each inch is allowed (an engineering handbook, seen)."""

HEAD = 2.0
"""A flat head over its shank, which the countersink makes room for (common practice, no source)."""

_HAIR = 1e-9


def gauge_diameter(number):
    """Thickness of a wood screw of a gauge number. [m]

    Notes
    -----
    d = 0.060 + 0.013 n inches: ASME B18.6.1, as screw makers' tables print it (seen).

    Raises
    ------
    InputError
        At ``number``, unless it is a whole number from 0 to 24.
    """
    require_whole(GAUGES[0], GAUGES[-1], number=number)
    if number != int(number):
        raise InputError("number", "must be a whole number, such as 8")
    return (0.060 + 0.013 * number) * INCH


def nearest_gauge(diameter):
    """The gauge number nearest to a thickness [m]; None where no number is within half a step of it."""
    require_positive(diameter=diameter)
    number = round((diameter / INCH - 0.060) / 0.013)
    return number if number in GAUGES else None


def root_diameter(diameter):
    """Thickness of a screw between its threads [m], from that of its shank [m]; None beyond the table.

    Notes
    -----
    Between the numbers of `ROOTS` on a straight line. Screws for chipboard and MDF have thinner roots than
    these of the old pattern: measure yours, or try the pilot on scrap. Holds from #4 to #14.
    """
    require_positive(diameter=diameter)
    for (d, root), (thicker, next_root) in zip(ROOTS, ROOTS[1:], strict=False):
        if d - _HAIR <= diameter <= thicker + _HAIR:
            return root + (next_root - root) * (diameter - d) / (thicker - d)
    return None


class Pilot(NamedTuple):
    """What is drilled for a screw. [m]

    least, most : the pilot hole that the wood wants. drills : the largest drill of a metric set, and of an
    inch set, no wider than `most`. tight : of each, whether it is narrower than `least`, so that the
    screw goes in hard. clearance : the drills of both sets for the hole in what is screwed on, which the
    shank passes. head : across the countersink.
    """

    least: float
    most: float
    drills: tuple
    tight: tuple
    clearance: tuple
    head: float


def pilot(diameter, stuff):
    """The `Pilot` of a screw `diameter` [m] thick in a `stuff` of `PILOTS`; None beyond the table of roots.

    Raises
    ------
    InputError
        At ``diameter``, if not above zero; at ``stuff``, if it is none of `PILOTS`.
    """
    if stuff not in PILOTS:
        raise InputError("stuff", "must be dense or soft wood, or the face or the edge of MDF")
    root = root_diameter(diameter)
    if root is None:
        return None
    least, most = (share * root for share in PILOTS[stuff])
    drills = tuple(floor(most / step + _HAIR) * step for step in (METRIC_DRILLS, INCH_DRILLS))
    clearance = tuple(-floor(-diameter / step + _HAIR) * step for step in (METRIC_DRILLS, INCH_DRILLS))
    tight = tuple(drill < least - _HAIR for drill in drills)
    return Pilot(least, most, drills, tight, clearance, HEAD * diameter)


class Depth(NamedTuple):
    """Of a pilot hole. [m]

    hole : how deep it is drilled, never nearer than `KEPT` to the other face. thread : how far the screw goes
    into the wood. short : what it lacks to reach the wood at all, else 0. over : how much nearer than `KEPT`
    its point would come to the other face, else 0: then a shorter screw is wanted.
    """

    hole: float
    thread: float
    short: float = 0.0
    over: float = 0.0


def pilot_depth(wood, lifted=0.0, length=None):
    """The `Depth` of a pilot hole.

    Parameters
    ----------
    wood : float
        Under the drill, to the other face. [m]
    lifted : float
        What the screw passes first: flange, gasket, plate. [m]
    length : float or None
        Of the screw [m]; None: the hole, and the screw in it, go as deep as the wood bears.
    """
    require_positive(wood=wood, length=length)
    require_not_negative(lifted=lifted)
    most = max(0.0, wood - KEPT)
    if length is None:
        return Depth(most, most)
    thread = length - lifted
    if thread <= 0:
        return Depth(0.0, 0.0, short=-thread)
    return Depth(min(thread, most), thread, over=max(0.0, thread - most - _HAIR))


def withdrawal(G, D, L):
    """The pull that tears a wood screw out of side grain. [N]

    Parameters
    ----------
    G : float
        Specific gravity of the wood: oven-dry mass by volume at 12 % moisture. [-]
    D : float
        Thickness of the shank. [m]
    L : float
        Thread in the wood. [m]

    Notes
    -----
    p = 108.25 G² D L (N, mm): USDA Forest Products Laboratory, Wood Handbook, chapter 8 (from memory;
    15 700 lb/in² is 108.25 N/mm²). For sound solid wood, across the grain, in a pilot hole of the right size,
    pulled once. Not for end grain, which is not to be loaded so; not for boards of fibres or chips, whose
    face holds far less than their weight promises and whose edge less still: there the board maker's own
    figure counts.
    """
    require_positive(G=G, D=D, L=L)
    return WITHDRAWAL * G**2 * D * L


def allowable(G, D, L):
    """The pull that a screw may carry for good: `withdrawal` over `SAFETY`. [N]"""
    return withdrawal(G, D, L) / SAFETY
