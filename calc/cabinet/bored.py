"""The wood that openings take out of the boards that they go through, for the scale: where, and how much."""

from math import hypot, inf, pi
from typing import NamedTuple

from calc.cabinet.flat_shapes import cut, outline


class Bore(NamedTuple):
    """A hole of some `area` [m²], from the depth `start` to the depth `end` below the bare face. [m]"""

    area: float
    start: float
    end: float


def area(shape):
    """Area of a `Shape` or an `Outline`: its ring, a band around that, and the corners' arcs. [m²]"""
    ring = shape.ring()
    sides = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    inner = sum(a * d - b * c for (a, b), (c, d) in sides) / 2
    around = sum(hypot(c - a, d - b) for (a, b), (c, d) in sides)
    return inner + around * shape.radius + pi * shape.radius**2


def bores(opening, sunk=None):
    """The `Bore`s of an opening: its hole, and over that its recess, down to `sunk` below the bare face [m].

    Skins are cut out to the recess. `sunk` None is an opening without one. An opening of unknown width takes
    nothing.
    """
    hole = cut(opening)
    if hole is None:
        return ()
    if sunk is None:
        return (Bore(area(hole), -inf, inf),)
    return Bore(area(outline(opening)), -inf, sunk), Bore(area(hole), sunk, inf)


def lost(bored, start, end):
    """Volume [m³] that `Bore`s take of a board from one depth to another, and the depth of its middle [m]."""
    cuts = [(each.area, max(start, each.start), min(end, each.end)) for each in bored]
    parts = [(a * (high - low), (low + high) / 2) for a, low, high in cuts if high > low]
    volume = sum(part for part, _ in parts)
    return volume, sum(part * at for part, at in parts) / volume if volume else (start + end) / 2
