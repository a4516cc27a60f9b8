"""The wood that two crossing plates share, with what is cut out of either, exact to the rule's rounding."""

from math import pi

import numpy as np

from calc.cabinet.brace_places import NORMAL, plane_axes
from calc.cabinet.polyhedra import box_sums

# Points and weights for integrals over 0..1 whose ends may have a vertical tangent, as a window's corner
# arcs have: x = (1 - cos(pi t)) / 2 makes the arcs smooth in t, and Gauss's rule does the rest.
_t, _w = np.polynomial.legendre.leggauss(32)
_POINTS = (1 - np.cos(pi * (_t + 1) / 2)) / 2
_WEIGHTS = _w * np.sin(pi * (_t + 1) / 2) * pi / 4


def crossing_sums(one, other, start, end):
    """Sums (V, Mx, My, Mz) of the wood that two plates share from `start` to `end` [m] along their crossing.

    Parameters
    ----------
    one, other : Placed
        Plates of two kinds.
    start, end : float
        Along the axis that lies in both planes. [m]
    """
    return crossing_parts(one, other, (start, end))[0]


def crossing_parts(one, other, ends):
    """The same from each of some places to the next.

    Notes
    -----
    At each place along the crossing the shared section is a rectangle: of the thickness of each plate, what
    the gaps of the other leave.
    """
    a, b = NORMAL[one.kind], NORMAL[other.kind]
    c = 3 - a - b
    faces_a, faces_b = (one.low[a], one.high[a]), (other.low[b], other.high[b])
    if not one.gaps and not other.gaps:
        return [_whole({a: faces_a, b: faces_b, c: part}) for part in zip(ends, ends[1:], strict=False)]
    turns = {*ends, *_turns(one, c, faces_b), *_turns(other, c, faces_a)}
    stops = np.array(sorted(turn for turn in turns if ends[0] <= turn <= ends[-1]))
    pieces = np.diff(stops)[:, None]
    s, ds = stops[:-1, None] + pieces * _POINTS, pieces * _WEIGHTS
    along_b, moment_b = _wood(one, c, s, *faces_b)
    along_a, moment_a = _wood(other, c, s, *faces_a)
    found = np.empty((4, len(pieces)))
    found[0] = (along_a * along_b * ds).sum(axis=1)
    found[1 + a] = (moment_a * along_b * ds).sum(axis=1)
    found[1 + b] = (along_a * moment_b * ds).sum(axis=1)
    found[1 + c] = (along_a * along_b * s * ds).sum(axis=1)
    cuts = np.searchsorted(stops, ends)
    return [tuple(found[:, m:n].sum(axis=1).tolist()) for m, n in zip(cuts, cuts[1:], strict=False)]


def _whole(spans):
    """Sums of the box between (from, to) along each axis."""
    return box_sums(*zip(*(spans[axis] for axis in range(3)), strict=True))


def _turns(plate, c, faces):
    """Places along axis `c` where the wood of a plate between two faces changes its law."""
    axes = plane_axes(plate.kind)
    n, m = axes.index(c), 1 - axes.index(c)
    for gap in plate.gaps:
        low, high, radius = gap.low[n], gap.high[n], gap.radius
        yield from (low, low + radius, high - radius, high)
        middle, half = (gap.low[m] + gap.high[m]) / 2, (gap.high[m] - gap.low[m]) / 2
        for face in faces:
            into = abs(face - middle) - (half - radius)
            if 0 < into < radius:
                reach = (radius**2 - into**2) ** 0.5
                yield from (low + radius - reach, high - radius + reach)


def _wood(plate, c, s, near, far):
    """Length of, and first moment over, what a plate's gaps leave from `near` to `far` at places `s`."""
    axes = plane_axes(plate.kind)
    n, m = axes.index(c), 1 - axes.index(c)
    length = np.full_like(s, far - near)
    moment = np.full_like(s, (far**2 - near**2) / 2)
    for gap in plate.gaps:
        middle, half = (gap.low[n] + gap.high[n]) / 2, (gap.high[n] - gap.low[n]) / 2
        away = np.abs(s - middle)
        up = np.clip(away - (half - gap.radius), 0, gap.radius)
        into = gap.radius - np.sqrt(gap.radius**2 - up**2)
        a = np.clip(gap.low[m] + into, near, far)
        b = np.clip(gap.high[m] - into, near, far)
        open_ = (away < half) & (b > a)
        length -= np.where(open_, b - a, 0.0)
        moment -= np.where(open_, (b**2 - a**2) / 2, 0.0)
    return length, moment
