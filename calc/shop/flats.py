"""Straight sides of a recess: a round flange's two flats, or a square flange's four sides."""

from math import asin, degrees, sqrt
from typing import NamedTuple

from calc.errors import InputError, require_not_negative, require_positive


class Flats(NamedTuple):
    """Sides of a recess that are cut against a straightedge. Lengths [m].

    count : 2 or 4. edge : from the pin to the finished side, `centre` to the middle of the bit that cuts it.
    length : of each side. left : radius that the bit leaves in a square's corners, None where there are none.
    chisel : whether that keeps the flange out. depths : of the bit below the face, pass by pass.
    """

    count: int
    edge: float
    centre: float
    length: float
    left: float | None
    chisel: bool
    depths: tuple = ()


def truncated_flats(recess, across, bit):
    """The two `Flats` of a recess of diameter `recess`, `across` apart, for a `bit`. [m]"""
    require_positive(recess=recess, across=across, bit=bit)
    if across >= recess:
        raise InputError("across", "must be less than the diameter: the flats are cut from it")
    edge = across / 2
    return Flats(2, edge, edge - bit / 2, 2 * sqrt((recess / 2) ** 2 - edge**2), None, False)


def square_flats(side, bit, corner, clearance):
    r"""The four `Flats` of a square recess.

    Parameters
    ----------
    side, bit : float
        Of the recess, and the bit's diameter. [m]
    corner, clearance : float
        Radius of the flange's corners, and what the recess is wider than the flange. [m]

    Notes
    -----
    A bit leaves its own radius `b` in the corners. The flange's corner of radius `r` goes in while it is not
    farther out along the diagonal than the recess's, both as far from the sides' meeting point as
    :math:`(\sqrt 2 - 1)` times their radius:

    .. math:: b \le r + \frac{\sqrt 2}{2 (\sqrt 2 - 1)} c
    """
    require_positive(side=side, bit=bit)
    require_not_negative(corner=corner, clearance=clearance)
    goes_in = corner + sqrt(2) / (2 * (sqrt(2) - 1)) * clearance
    return Flats(4, side / 2, side / 2 - bit / 2, side, bit / 2, bit / 2 > goes_in + 1e-9)


def swing(centre, flats):
    """How far the arm of a circle jig turns to each side of an arc's middle before the bit meets a flat.

    Parameters
    ----------
    centre : float
        From the pin to the middle of the bit. [m]
    flats : Flats

    Returns
    -------
    angle : float or None
        From the line along the flats [deg]; None where it turns all round.
    """
    return None if centre <= flats.centre + 1e-9 else degrees(asin(flats.centre / centre))
