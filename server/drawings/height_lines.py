"""Lines of equal height over a grid, as a surveyor's map has them."""

from math import hypot

import numpy as np


def height_lines(z, level):
    """The lines on which a surface has the height `level`.

    Parameters
    ----------
    z : array_like, shape (n, m)
        Heights at the crossings of a grid; straight between neighbours.
    level : float

    Returns
    -------
    list of list of (float, float)
        Each line by its points, in steps of the grid: i along the first axis, j along the second. A line
        that closes ends where it began.

    Notes
    -----
    Marching squares. Where a line crosses all four sides of a cell, the mean of its corners tells which of
    them belong together. A height that equals the level counts as above it.
    """
    z = np.asarray(z, dtype=float)
    above = z >= level
    corners = above[:-1, :-1] * 1 + above[1:, :-1] * 2 + above[1:, 1:] * 4 + above[:-1, 1:] * 8
    links = {}
    for i, j in np.argwhere((corners > 0) & (corners < 15)).tolist():
        for a, b in _crossed(int(corners[i, j]), z[i : i + 2, j : j + 2].mean() >= level):
            start, end = _side(i, j, a), _side(i, j, b)
            links.setdefault(start, []).append(end)
            links.setdefault(end, []).append(start)
    return [[_meeting(z, level, side) for side in chain] for chain in _chains(links)]


_SIDES = {
    1: ((3, 0),), 2: ((0, 1),), 3: ((3, 1),), 4: ((1, 2),), 6: ((0, 2),), 7: ((3, 2),), 8: ((2, 3),),
    9: ((2, 0),), 11: ((2, 1),), 12: ((1, 3),), 13: ((1, 0),), 14: ((0, 3),),
}  # fmt: skip
"""Sides of a cell that a line joins, by which corners lie above it. 0 is the side at j, 1 that at i + 1."""


def _crossed(corners, middle):
    if corners == 5:
        return ((0, 1), (2, 3)) if middle else ((3, 0), (1, 2))
    if corners == 10:
        return ((3, 0), (1, 2)) if middle else ((0, 1), (2, 3))
    return _SIDES[corners]


def _side(i, j, side):
    """A side of the cell (i, j) by a name that its neighbour calls it, too: where it begins, and its axis."""
    return ((i, j, 0), (i + 1, j, 1), (i, j + 1, 0), (i, j, 1))[side]


def _meeting(z, level, side):
    """Where a line crosses a side, in steps of the grid."""
    i, j, axis = side
    here, there = float(z[i, j]), float(z[i + 1, j] if axis == 0 else z[i, j + 1])
    share = (level - here) / (there - here)
    return (i + share, float(j)) if axis == 0 else (float(i), j + share)


def _chains(links):
    """The sides in the order in which lines pass them: open lines from their ends first, then the closed."""
    chains, left = [], dict(links)
    for start in [side for side, others in links.items() if len(others) == 1] + list(links):
        if start not in left:
            continue
        chain = [start]
        while True:
            following = [side for side in left.pop(chain[-1]) if side in left]
            if not following:
                break
            chain.append(following[0])
        if len(chain) > 2 and len(links[start]) == 2 and chain[-1] in links[start]:
            chain.append(start)
        chains.append(chain)
    return chains


def spot_on(line, share):
    """The point `share` of the way along a line of points, and the direction there: (x, y), (dx, dy)."""
    steps = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(line, line[1:], strict=False)]
    wanted = share * sum(steps)
    for a, b, step in zip(line, line[1:], steps, strict=False):
        if wanted <= step and step > 0:
            part = wanted / step
            return (a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])), (b[0] - a[0], b[1] - a[1])
        wanted -= step
    return line[-1], (line[-1][0] - line[-2][0], line[-1][1] - line[-2][1])


def long(line):
    """Length of a line of points."""
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(line, line[1:], strict=False))
