"""Parts seen square on from one side: which of their edges show, and which lie behind others."""

from collections import defaultdict
from functools import lru_cache
from itertools import pairwise
from math import hypot

import numpy as np

from server.drawings.surfaces import edged, triangles

SIDES = {
    "front": ((1, 0, 0), (0, 0, 1), (0, 1, 0)),
    "back": ((-1, 0, 0), (0, 0, 1), (0, -1, 0)),
    "left": ((0, -1, 0), (0, 0, 1), (1, 0, 0)),
    "right": ((0, 1, 0), (0, 0, 1), (-1, 0, 0)),
    "top": ((1, 0, 0), (0, 1, 0), (0, 0, -1)),
}
"""For each side that one looks from: the directions to the paper's right, up, and away from the eye."""

BEHIND = 1e-4
"""So much farther from the eye than a face, an edge is hidden by it. [m]"""


@lru_cache(maxsize=512)
def outlines(shape, side):
    """The edges of a `Surface` that turn towards the eye, its silhouette among them: lines of (x, y, z)."""
    away = SIDES[side][2]
    return edged([face for face in shape.faces if _dot(face.normal, away) < -1e-9]).strokes


def flat(point, side):
    """A point on the paper: (right, up). [m]"""
    right, up, _ = SIDES[side]
    return _dot(point, right), _dot(point, up)


@lru_cache(maxsize=64)
def showing(shapes, side):
    """What is seen of the edges of all `shapes` (a tuple) from a side, each in front of what lies behind it.

    Returns
    -------
    lines : list of ((u0, v0), (u1, v1))
        On the paper. [m]
    """
    axes = np.array(SIDES[side], dtype=float).T
    corners = [
        triangle
        for shape in shapes
        for face in shape.faces
        if _dot(face.normal, SIDES[side][2]) < -1e-9
        for triangle in triangles(face)
    ]
    hiding = _Screens(np.array(corners) @ axes)
    lines = []
    for shape in shapes:
        for stroke in outlines(shape, side):
            points = np.array(stroke) @ axes
            for p, q in zip(points[:-1], points[1:], strict=True):
                if abs(p[0] - q[0]) + abs(p[1] - q[1]) < 1e-7:
                    continue
                for a, b in hiding.gaps(p, q):
                    ends = (p + t * (q - p) for t in (a, b))
                    lines.append(tuple((float(u), float(v)) for u, v, _ in ends))
    return merged(lines)


class _Screens:
    """Triangles (n, corner, (right, up, away)) that hide what lies behind them."""

    def __init__(self, corners):
        u, v, w = corners[:, :, 0], corners[:, :, 1], corners[:, :, 2]
        area = (u[:, 1] - u[:, 0]) * (v[:, 2] - v[:, 0]) - (u[:, 2] - u[:, 0]) * (v[:, 1] - v[:, 0])
        kept = np.abs(area) > 1e-12
        u, v, w, area = u[kept], v[kept], w[kept], area[kept]
        sign = np.sign(area)[:, None]
        nu, nv = np.roll(u, -1, axis=1), np.roll(v, -1, axis=1)
        # Inside where a u + b v + c > 0 for each of the three edges.
        self.a, self.b = -(nv - v) * sign, (nu - u) * sign
        self.c = -(self.a * u + self.b * v)
        # The plane's depth as a linear function of the place on the paper.
        self.du = (
            (w[:, 1] - w[:, 0]) * (v[:, 2] - v[:, 0]) - (w[:, 2] - w[:, 0]) * (v[:, 1] - v[:, 0])
        ) / area
        self.dv = (
            (w[:, 2] - w[:, 0]) * (u[:, 1] - u[:, 0]) - (w[:, 1] - w[:, 0]) * (u[:, 2] - u[:, 0])
        ) / area
        self.d0 = w[:, 0] - self.du * u[:, 0] - self.dv * v[:, 0]
        self.low, self.high = np.stack([u, v], -1).min(axis=1), np.stack([u, v], -1).max(axis=1)

    def gaps(self, p, q):
        """The parts of the line from `p` to `q` that no triangle hides, as shares of it."""
        low, high = np.minimum(p, q)[:2], np.maximum(p, q)[:2]
        near = np.all((self.low <= high) & (self.high >= low), axis=1).nonzero()[0]
        step = q - p
        inside = self.a[near] * p[0] + self.b[near] * p[1] + self.c[near]
        turns = self.a[near] * step[0] + self.b[near] * step[1]
        behind = p[2] - (self.d0[near] + self.du[near] * p[0] + self.dv[near] * p[1]) - BEHIND
        sinks = step[2] - self.du[near] * step[0] - self.dv[near] * step[1]
        values, slopes = np.column_stack([inside, behind]), np.column_stack([turns, sinks])
        level = np.abs(slopes) < 1e-15
        crossings = -values / np.where(level, 1.0, slopes)
        start = np.where(~level & (slopes > 0), crossings, 0.0).max(axis=1, initial=0.0)
        end = np.where(~level & (slopes < 0), crossings, 1.0).min(axis=1, initial=1.0)
        end = np.where(np.any(level & (values <= 0), axis=1), 0.0, end)  # nowhere behind it
        hidden = sorted((float(a), float(b)) for a, b in zip(start, end, strict=True) if b - a > 1e-9)
        reach, found = 0.0, []
        for a, b in hidden:
            if a > reach + 1e-6:
                found.append((reach, a))
            reach = max(reach, b)
        if reach < 1 - 1e-6:
            found.append((reach, 1.0))
        return found


def merged(lines):
    """The strokes of all `lines` ((u, v), ...), those that lie over each other drawn once."""
    runs = defaultdict(list)
    for line in lines:
        for p, q in pairwise(line):
            (u0, v0), (u1, v1) = sorted((p, q))
            length = hypot(u1 - u0, v1 - v0)
            if length < 1e-6:
                continue
            along = (round((u1 - u0) / length, 4) + 0.0, round((v1 - v0) / length, 4) + 0.0)
            beside = round(along[0] * v0 - along[1] * u0, 5) + 0.0
            start = along[0] * u0 + along[1] * v0
            runs[along, beside].append((start, start + length, (u0, v0), (u1, v1)))
    strokes = []
    for same in runs.values():
        same.sort()
        _, reach, first, last = same[0]
        for start, end, p, q in same[1:]:
            if start > reach + 1e-6:
                strokes.append((first, last))
                first, reach, last = p, end, q
            elif end > reach:
                reach, last = end, q
        strokes.append((first, last))
    return strokes


def _dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
