"""The breathing chamfer: a hole widened from the inside, so that thick wood does not choke a basket."""

from math import cos, pi, radians, tan
from typing import NamedTuple

from calc.errors import InputError, require_positive
from calc.shop.boring import router_passes

UNDER_SCREWS = 2.0
"""Wood that screws keep under the flange, over their diameter, at least (common practice, no source)."""

BEARING = 0.004
"""Straight wall that a guide bearing wants to run on (common practice, no source). [m]"""


class Chamfer(NamedTuple):
    """A hole's chamfer. Lengths [m], `angle` [deg] from the hole's axis.

    depth : along the axis, from the inner face. mouth : diameter at the inner face. slope : along the
    chamfer, which the bit's edge must cover. straight : what is left of the hole's straight wall.
    under_screws : least wood under the screws, None where their circle is not known. depths : of the bit,
    pass by pass. facts : ((field, sentence), ...).
    """

    depth: float
    angle: float
    mouth: float
    slope: float
    straight: float
    under_screws: float | None
    depths: tuple
    facts: tuple


def mouth(cutout, depth, angle):
    """Diameter of a chamfered hole at the inner face. [m]"""
    return cutout + 2 * depth * tan(radians(angle))


def widened(cutout, depth, angle):
    r"""Wood that a chamfer takes from a panel, which is air then. [m³]

    Parameters
    ----------
    cutout, depth : float
        The hole's diameter, and the chamfer's depth from the inner face. [m]
    angle : float
        From the hole's axis. [deg]

    Notes
    -----
    A cone's frustum less the cylinder in it, ``R`` the hole's radius and ``w = depth tan(angle)``:

    .. math:: \frac{\pi d}{3}(R^2 + R(R + w) + (R + w)^2) - \pi R^2 d = \pi d w (R + w / 3)
    """
    w = depth * tan(radians(angle))
    return pi * depth * w * (cutout / 2 + w / 3)


def air_gained(seat, frame):
    """What the chamfer of a seat gives the box [m³]; nothing without one, or while the hole is not known."""
    if seat.relief is None or frame.cutout is None:
        return 0.0
    return widened(frame.cutout, seat.relief.depth, seat.relief.angle)


def chamfer(cutout, depth, angle, below, pass_depth, screw_circle=None, screw=0.0):
    """How to chamfer a driver's hole from the inside.

    Parameters
    ----------
    cutout : float
        The hole's diameter. [m]
    depth, angle : float
        As the chamfer is wanted, from the inner face [m] and from the hole's axis [deg].
    below : float
        Wood left behind the recess: where the chamfer must end. [m]
    pass_depth : float
        Deepest pass of the router. [m]
    screw_circle, screw : float
        Diameters of the circle that the flange's screws stand on, None if not known, and of a screw. [m]

    Returns
    -------
    Chamfer

    Raises
    ------
    InputError
        At ``depth``, where it would meet the recess, or leave the screws too little wood.
    """
    require_positive(cutout=cutout, depth=depth, angle=angle, below=below, pass_depth=pass_depth)
    if depth >= below:
        raise InputError("depth", "must end before the floor of the recess: leave some straight wall")
    across = tan(radians(angle))
    under = None
    if screw_circle is not None:
        ledge = max(0.0, (screw_circle - screw) / 2 - cutout / 2)  # from the hole to the screw's near side
        cut = max(0.0, depth - ledge / across)
        under = below - cut
        if cut and under < UNDER_SCREWS * screw:
            raise InputError(
                "depth",
                "must leave two screw diameters of wood under the screws: less deep, or a smaller angle",
            )
    passes = router_passes(depth, pass_depth)
    depths = tuple(depth * (n + 1) / passes for n in range(passes))
    straight = below - depth
    return Chamfer(
        depth, angle, mouth(cutout, depth, angle), depth / cos(radians(angle)), straight, under, depths,
        tuple(_facts(straight, under, below, screw_circle)),
    )  # fmt: skip


def _facts(straight, under, below, screw_circle):
    if straight < BEARING:
        yield (
            "relief.depth",
            "Little straight wall is left for the bit's bearing to run on: try it on scrap, or go less deep.",
        )
    if under is not None and under < below:
        yield (
            "relief.depth",
            "The chamfer reaches under the screws: nuts pressed in from behind find no flat wood there.",
        )
    if screw_circle is None:
        yield (
            "relief.depth",
            "The circle of the screws is not known: lay the frame on first, and keep wood under each screw.",
        )
