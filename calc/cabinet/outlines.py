"""Outlines of flanges that are no circle: convex polygons with rounded corners, turned as the driver is."""

from math import acos, atan2, ceil, cos, hypot, pi, sin
from typing import NamedTuple

import numpy as np

ARC = 2 * pi / 120
"""Between two corners of an arc that is drawn as a polygon; it lies within 4e-4 of its radius. [rad]"""

HAIR = 1e-9
"""Nearer than this, two edges touch. [m]"""


class Outline(NamedTuple):
    """A convex polygon about (x, y) and all that lies within `radius` of it. [m]

    points : its corners from (x, y), counter-clockwise. It answers what a `flat_shapes.Shape` answers.
    """

    x: float
    y: float
    points: tuple
    radius: float = 0.0

    def ring(self):
        """Corners of the polygon alone, where they lie. [m]"""
        return [(self.x + a, self.y + b) for a, b in self.points]

    @property
    def reach(self):
        """From (x, y) to its farthest place. [m]"""
        return max(hypot(*point) for point in self.points) + self.radius

    def gap(self, other):
        """From this outline to another or a shape [m]; below zero, how deep they overlap."""
        return convex_gap(self.ring(), other.ring()) - self.radius - other.radius

    def bounds(self):
        """Left, low, right and high of the rectangle about it. [m]"""
        across, up = zip(*self.ring(), strict=True)
        r = self.radius
        return min(across) - r, min(up) - r, max(across) + r, max(up) + r

    def over(self, left, low, right, high):
        """{side of a rectangle that this outline crosses: how far it reaches over it}. [m]"""
        x0, y0, x1, y1 = self.bounds()
        over = {"left": left - x0, "right": x1 - right, "bottom": low - y0, "top": y1 - high}
        return {side: by for side, by in over.items() if by > HAIR}

    def within(self, left, low, right, high):
        """From this outline to the nearest side of a rectangle about it [m]; below zero, how far over it."""
        x0, y0, x1, y1 = self.bounds()
        return min(x0 - left, right - x1, y0 - low, high - y1)

    def shifted(self, across, up):
        return self._replace(x=self.x + across, y=self.y + up)

    def grown(self, by):
        return self._replace(radius=max(0.0, self.radius + by))

    def corners(self):
        """The whole outline as corners, counter-clockwise, its rounded ones as arcs. [m]"""
        ring = self.ring()
        if self.radius <= HAIR:
            return ring
        found = []
        for before, here, after in zip((ring[-1], *ring[:-1]), ring, (*ring[1:], ring[0]), strict=True):
            start, end = _normal(before, here), _normal(here, after)
            turn = (end - start) % (2 * pi)
            steps = max(1, ceil(turn / (2 * ARC)))
            for n in range(steps + 1):
                t = start + turn * n / steps
                found.append((here[0] + self.radius * cos(t), here[1] + self.radius * sin(t)))
        return found


def _normal(start, end):
    """Direction out of a counter-clockwise polygon across one of its sides. [rad]"""
    return atan2(end[1] - start[1], end[0] - start[0]) - pi / 2


def truncated(diameter, across, turn=0.0):
    """A circle about (0, 0) less what lies beyond two flats `across` apart [m], turned to the right [rad].

    At a turn of 0 the flats stand upright.
    """
    half = acos(min(1.0, across / diameter))
    span = pi - 2 * half
    steps = 2 * max(1, ceil(span / (2 * ARC)))
    turns = [start + span * n / steps for start in (half, pi + half) for n in range(steps + 1)]
    radius = diameter / 2
    return Outline(0.0, 0.0, tuple((radius * cos(t - turn), radius * sin(t - turn)) for t in turns))


def square(side, corner, turn=0.0):
    """A square of `side` with corners of radius `corner` [m], about (0, 0), turned to the right [rad]."""
    half = side / 2 - corner
    square_ = ((-half, -half), (half, -half), (half, half), (-half, half))
    c, s = cos(turn), sin(turn)
    return Outline(0.0, 0.0, tuple((x * c + y * s, y * c - x * s) for x, y in square_), corner)


def convex_gap(a, b):
    """From one convex polygon to another [m]; below zero, how deep they overlap. One of them has an area.

    Notes
    -----
    Two that overlap are parted least far along the normal of one of their sides. Two that do not are as far
    from each other as a corner of one from a side of the other.
    """
    a, b = np.asarray(a), np.asarray(b)
    parted = max(_parted(a, b), _parted(b, a))
    if parted <= 0:
        return float(parted)
    return float(min(_corner_to_side(a, b), _corner_to_side(b, a)))


def _parted(a, b):
    """The largest distance by which a side of `a` parts it from `b`; below zero, the least overlap. [m]"""
    run = np.roll(a, -1, axis=0) - a
    long = np.hypot(*run.T)
    real = long > HAIR
    if not real.any():
        return -np.inf
    out = np.column_stack((run[real, 1], -run[real, 0])) / long[real, None]
    return ((b @ out.T) - (a[real] * out).sum(axis=1)).min(axis=0).max()


def _corner_to_side(a, b):
    """The least distance from a corner of `a` to a side of `b`. [m]"""
    run = np.roll(b, -1, axis=0) - b
    square_ = np.maximum((run**2).sum(axis=1), HAIR**2)
    from_start = a[:, None, :] - b[None, :, :]
    share = np.clip((from_start * run).sum(axis=2) / square_, 0.0, 1.0)
    return np.hypot(*np.moveaxis(from_start - share[..., None] * run, 2, 0)).min()
