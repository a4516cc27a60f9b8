"""How much way the air behind a cone finds between the wood about its hole and its magnet."""

from math import hypot, pi, radians, tan
from typing import NamedTuple

from calc.errors import InputError, require_not_negative, require_positive

THICK = 0.5
"""Wood behind a seat over the way past it from which a chamfer is worth it (common practice, no source)."""


class Way(NamedTuple):
    """The way out: `gap` from the wood to the magnet's rim [m], and the `area` that it sweeps round [m²]."""

    gap: float
    area: float


def way_out(cutout, magnet, iron, below, depth=0.0, angle=45.0):
    """The narrowest `Way` from the wood of a hole to the front rim of the magnet.

    Parameters
    ----------
    cutout, magnet : float
        Diameters of the hole and of the magnet. [m]
    iron : float
        From the seat back to the magnet's front. [m]
    below : float
        Wood behind the seat. [m]
    depth, angle : float
        Of a chamfer from the inner face [m], from the hole's axis [deg].

    Notes
    -----
    The shortest straight line from the rim to the wood, turned about the axis, sweeps the side of a cone's
    frustum. The basket's own legs, which take the same share of it before and after, are left out. Where the
    wood reaches past the magnet's front without a chamfer, it is the ring between hole and magnet.
    """
    require_positive(cutout=cutout, magnet=magnet, iron=iron, below=below)
    require_not_negative(depth=depth)
    if magnet >= cutout:
        raise InputError("magnet", "must be smaller than the hole that it goes through")
    R, w = cutout / 2, depth * tan(radians(angle))
    rim = magnet / 2, iron
    wall = _nearest(rim, (R, 0.0), (R, below - depth))
    slope = _nearest(rim, (R, below - depth), (R + w, below))
    gap, radius = min(wall, slope)
    return Way(gap, pi * (radius + rim[0]) * gap)


def _nearest(point, start, end):
    """Distance from a point to a straight piece of the wood's outline, and the radius there. [m]"""
    run = end[0] - start[0], end[1] - start[1]
    long = run[0] ** 2 + run[1] ** 2
    share = 0.0
    if long > 0:
        share = ((point[0] - start[0]) * run[0] + (point[1] - start[1]) * run[1]) / long
    share = min(max(share, 0.0), 1.0)
    radius, at = start[0] + share * run[0], start[1] + share * run[1]
    return hypot(radius - point[0], at - point[1]), radius


def wants_chamfer(below, gap):
    """Whether wood `below` a seat is thick against the `gap` past it. [m]"""
    return below > THICK * gap
