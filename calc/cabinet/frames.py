"""Outer sizes of a driver: what its sheet gives, and the usual shape of its kind for what it leaves out."""

from math import pi, radians, sqrt
from typing import NamedTuple

from calc.cabinet.outlines import square, truncated

IRON = 0.32
"""Height of a magnet over the depth of its driver, of the usual shape (common practice, no source)."""


class Body(NamedTuple):
    """How much room a driver takes. Lengths [m].

    flange, cutout, magnet : diameters, that of a square flange about its corners. depth : from the seat to
    the back of the magnet. dome : diameter of what moves. known : whether the sheet gave flange, cutout and
    depth.
    """

    flange: float
    cutout: float
    depth: float
    magnet: float
    dome: float
    known: bool


def body(frame, kind="woofer", Sd=None):
    """The `Body` of a driver.

    Parameters
    ----------
    frame : Frame-like
        `.about` (its flange), `.cutout`, `.depth`, `.magnet` [m], each None where the sheet does not give it.
    kind : str
        "tweeter", or another for a cone driver.
    Sd : float or None
        Area of the cone. [m²]

    Notes
    -----
    The ratios are those of ordinary drivers (common practice, no source): enough to draw one, and to keep
    a port clear of it, never to cut by.
    """
    across = 2 * sqrt(Sd / pi) if Sd else (0.025 if kind == "tweeter" else 0.13)
    if kind == "tweeter":
        flange = frame.about or (1.35 * frame.cutout if frame.cutout else max(0.1, 2 * across))
        cutout, depth = frame.cutout or 0.72 * flange, frame.depth or 0.35 * flange
    else:
        flange = frame.about or (1.18 * frame.cutout if frame.cutout else 1.3 * across)
        cutout, depth = frame.cutout or 0.85 * flange, frame.depth or 0.48 * flange
    return Body(
        flange, min(cutout, 0.98 * flange), depth, min(frame.magnet or 0.55 * flange, 0.94 * cutout),
        min(across, 0.8 * cutout), None not in (frame.about, frame.cutout, frame.depth),
    )  # fmt: skip


def edge_of(frame, more=0.0, turn=0.0):
    """Outline of a flange that is no circle, about (0, 0); None of a round one, or while it is not known.

    Parameters
    ----------
    frame : Frame-like
    more : float
        By which its recess is wider. [m]
    turn : float
        To the right. [deg]
    """
    if frame.shape == "round" or frame.across is None or frame.wide is None:
        return None
    if frame.shape == "truncated":
        return truncated(frame.flange + more, frame.across + more, radians(turn))
    return square(frame.across + more, frame.corner + more / 2, radians(turn))
