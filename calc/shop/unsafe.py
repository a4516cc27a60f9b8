"""Which cuts are not made against the fence, and what is done instead.

No law that was found gives a length or a width; the limits here are what shops do, so a page tells them as
that. What the law does say: see `PUSH_STICK` and those after it.
"""

from typing import NamedTuple

SHORT = 0.3
"""A piece shorter along the fence is not ripped by hand (common practice, no source). [m]"""

NARROW, SLIVER = 0.15, 0.05
"""Fence gaps below which a push stick guides, or a push block (common practice, no source). [m]"""

TALL = 0.2
"""Standing on edge, a piece higher than this wants a tall fence (common practice, no source). [m]"""

PUSH_STICK, PUSHED = 0.45, 0.3
"""Least length of a push stick, and over how much of the cut's end it is used. [m]
HSE (UK), Circular saw bench (rip saw), and WIS16; as transcribed."""

KNIFE_GAP = 0.008
"""Riving knife to blade, at most. [m] HSE (UK), as above."""

RAIL = 0.2
"""Width of wood that a rail lies on safely; on less it tips (common practice, no source). [m]"""

SLED = 0.6
"""Reach of a crosscut sled along the blade; what is longer there is cut along a clamped straightedge (common
practice, no source). [m]"""

HANDS = 0.3
"""No hand comes nearer to the front of the blade. [m] A contractor's standard that cites HSE's WIS16."""

ABOVE = 0.003, 0.006
"""How far the teeth stand above the work (common practice, no source). [m]"""

OUTFEED, FENCE_OVERLAP = 1.2, 0.018
"""The table reaches at least so far behind the spindle; the fence ends at most so far past the blade's front,
so that a piece cannot jam between the two. [m] HSE, Circular saw bench (rip saw); as transcribed."""

LEAST_BLADE, BRAKE = 0.6, 10.0
"""Smallest blade over the largest that the saw takes; time in which it comes to rest [s]. HSE, the same page,
and WIS16 rev 2; as transcribed."""

_HAIR = 1e-9


class Held(NamedTuple):
    """How a piece is led past the blade: the `guide`, and the names of the `dangers` that asked for it."""

    guide: str
    dangers: tuple


def held(along, across, distance, *, through, stopped=False, reach=float("inf")):
    """How a piece is held for a cut at the fence, or away from it where that is unsafe.

    Parameters
    ----------
    along, across : float
        Of the piece, along the fence and across it. [m]
    distance : float
        From the fence to the near side of the blade. [m]
    through : bool
        Whether the cut parts the piece.
    stopped : bool
        Whether it ends within the piece.
    reach : float
        How far the fence goes from the blade. [m]

    Returns
    -------
    Held
        `guide` is "fence", "gauge" (a mitre gauge with the fence as its stop, which is safe only where
        nothing is cut off), "sled" (with a stop), "track" (a clamped straightedge) or "router".
        `dangers` are of "wide", "short", "narrow", "sliver", "stopped", "far".

    Notes
    -----
    A piece wider across the fence than it is long along it turns on the blade and is thrown back. Fence and
    mitre gauge are never used together on a through cut: the offcut would be trapped.
    """
    if stopped:
        return Held("router", ("stopped",))
    if distance > reach + _HAIR:
        return Held("track" if through else "router", ("far",))
    wide, short = along < across - _HAIR, along < SHORT - _HAIR
    turning = (*(("wide",) if wide else ()), *(("short",) if short else ()))
    if turning:
        return Held("sled" if through else "gauge", turning)
    if through and distance < SLIVER:
        return Held("fence", ("sliver",))
    if through and distance < NARROW:
        return Held("fence", ("narrow",))
    return Held("fence", ())


def railed(along, distance, rail):
    """How a rail leads a cut.

    Parameters
    ----------
    along : float
        How long the cut is. [m]
    distance : float
        From the edge to the line, which the rail lies beside on the piece that is kept. [m]
    rail : float
        The longest cut that it leads. [m]

    Returns
    -------
    Held
        By the "rail"; `dangers` are of "beyond" (longer than the rail) and "tips" (too narrow for it).
    """
    beyond = ("beyond",) if along > rail + _HAIR else ()
    return Held("rail", beyond + (("tips",) if distance < RAIL - _HAIR else ()))


def on_edge(height):
    """The dangers of a piece that stands `height` [m] over the table: ("tall",) or none."""
    return ("tall",) if height > TALL + _HAIR else ()


def passes(depth, step):
    """How many passes of at most `step` make a cut of this `depth`. [m]"""
    return max(1, -int(-(depth - _HAIR) // step))
