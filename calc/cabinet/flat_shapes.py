"""Rectangles and circles on a panel: how far apart, over an edge, to be moved, and where they overlap."""

from math import cos, hypot, pi, sin, sqrt
from typing import NamedTuple

HAIR = 1e-9
"""Nearer than this, two edges touch. [m]"""

CORNERS = 48
"""How many corners a circle is drawn with."""


class Shape(NamedTuple):
    """A rectangle about (x, y) and all that lies within `radius` of it; a circle has no half sizes. [m]"""

    x: float
    y: float
    half_x: float
    half_y: float
    radius: float = 0.0

    @property
    def reach(self):
        """From (x, y) to its farthest place. [m]"""
        return hypot(self.half_x, self.half_y) + self.radius

    def bounds(self):
        """Left, low, right and high of the rectangle about it. [m]"""
        x, y = self.half_x + self.radius, self.half_y + self.radius
        return self.x - x, self.y - y, self.x + x, self.y + y

    def ring(self):
        """Corners of its rectangle alone. [m]"""
        x, y = self.half_x, self.half_y
        return [(self.x + a, self.y + b) for a, b in ((-x, -y), (x, -y), (x, y), (-x, y))]

    def gap(self, other):
        """From this shape to another or an `Outline` [m]; below zero, how deep they overlap."""
        if not isinstance(other, Shape):
            return other.gap(self)
        across = abs(self.x - other.x) - self.half_x - other.half_x
        up = abs(self.y - other.y) - self.half_y - other.half_y
        apart = max(across, up) if across < 0 and up < 0 else hypot(max(across, 0.0), max(up, 0.0))
        return apart - self.radius - other.radius

    def over(self, left, low, right, high):
        """{side of a rectangle that this shape crosses: how far it reaches over it}. [m]"""
        x, y = self.half_x + self.radius, self.half_y + self.radius
        over = {
            "left": left - (self.x - x),
            "right": self.x + x - right,
            "bottom": low - (self.y - y),
            "top": self.y + y - high,
        }
        return {side: by for side, by in over.items() if by > HAIR}

    def within(self, left, low, right, high):
        """From this shape to the nearest side of a rectangle about it [m]; below zero, how far over it."""
        x, y = self.half_x + self.radius, self.half_y + self.radius
        return min(self.x - x - left, right - self.x - x, self.y - y - low, high - self.y - y)

    def within_reach_of(self, other):
        """The rectangle about what this shape shares with a rectangle that it overlaps. [m]"""
        off_x = max(0.0, abs(self.x - other.x) - other.half_x - self.half_x)
        off_y = max(0.0, abs(self.y - other.y) - other.half_y - self.half_y)
        x = self.half_x + sqrt(max(0.0, self.radius**2 - off_y**2))
        y = self.half_y + sqrt(max(0.0, self.radius**2 - off_x**2))
        return rectangle(
            max(self.x - x, other.x - other.half_x), max(self.y - y, other.y - other.half_y),
            min(self.x + x, other.x + other.half_x), min(self.y + y, other.y + other.half_y),
        )  # fmt: skip

    def shifted(self, across, up):
        return self._replace(x=self.x + across, y=self.y + up)

    def grown(self, by):
        return self._replace(radius=max(0.0, self.radius + by))

    def corners(self):
        """Its outline as corners, counter-clockwise. [m]"""
        turns = [2 * pi * n / CORNERS for n in range(CORNERS)] if self.radius > HAIR else []
        if not turns:
            return self.ring()
        return [
            (
                self.x + (self.half_x if cos(t) > 0 else -self.half_x) + self.radius * cos(t),
                self.y + (self.half_y if sin(t) > 0 else -self.half_y) + self.radius * sin(t),
            )
            for t in turns
        ]


def circle(x, y, diameter):
    """A circle. [m]"""
    return Shape(x, y, 0.0, 0.0, diameter / 2)


def rectangle(left, low, right, high):
    """The rectangle between two corners. [m]"""
    return Shape((left + right) / 2, (low + high) / 2, (right - left) / 2, (high - low) / 2)


def plate(low, high):
    """A box between its corners (x, y, z) [m], as seen from the front."""
    return rectangle(low[0], low[2], high[0], high[2])


def cut(opening):
    """The hole of an `Opening` through its panel; None where the driver's sheet does not give it."""
    if opening.width is None:
        return None
    if opening.round:
        return circle(opening.x, opening.y, opening.width)
    half_x, half_y = opening.width / 2 - opening.corner, opening.height / 2 - opening.corner
    return Shape(opening.x, opening.y, half_x, half_y, opening.corner)


def cut_inside(opening):
    """The same where it opens to the inside, wider by a chamfer."""
    return cut(opening) if opening.mouth is None else circle(opening.x, opening.y, opening.mouth)


def outline(opening):
    """All that an `Opening` takes of its panel's outer face."""
    if opening.edge is not None:
        return opening.edge.shifted(opening.x, opening.y)
    if opening.outline is None:
        return cut(opening)
    return circle(opening.x, opening.y, opening.outline)


def way_out(shape, other, need, across, up):
    """How far `shape` must move along (across, up), a step of length 1, to stand `need` from `other`. [m]

    Notes
    -----
    Two convex shapes are too near each other over one unbroken stretch of any straight way, so that its end
    is found by halving.
    """
    low, high = 0.0, 2 * (shape.reach + other.reach) + need + hypot(shape.x - other.x, shape.y - other.y)
    if shape.gap(other) >= need - HAIR:
        return 0.0
    while high - low > HAIR:
        middle = (low + high) / 2
        if shape.shifted(middle * across, middle * up).gap(other) >= need:
            high = middle
        else:
            low = middle
    return high


def common(a, b):
    """Corners of what two convex outlines, each counter-clockwise, have in common; empty if nothing. [m]"""
    found = list(a)
    for start, end in zip(b, (*b[1:], b[0]), strict=True):
        found, whole = [], found
        for here, there in zip(whole, (*whole[1:], *whole[:1]), strict=True):
            now, then = _left_of(start, end, here), _left_of(start, end, there)
            if now >= 0:
                found.append(here)
            if (now < 0) != (then < 0):
                share = now / (now - then)
                found.append(tuple(p + share * (q - p) for p, q in zip(here, there, strict=True)))
    return found


def _left_of(start, end, point):
    """Above zero where `point` lies to the left of the way from `start` to `end`."""
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])
