"""A grille as a thing to build: its frame, its cloth, the holes that hold it, and what it comes near."""

from dataclasses import dataclass
from math import hypot

from calc.errors import InputError, require_positive

FOLD = 0.015
"""Cloth that is folded onto the back of the frame on each side (a shop's habit). [m]"""

TALL = 0.5
"""A frame taller than this is held in its middle too (a shop's habit). [m]"""

NEAR = 0.003
"""Least wood between a blind hole and the other face (a shop's habit). [m]"""


@dataclass(frozen=True)
class Bar:
    """One bar of the frame: a blank of `length`, `width`, `thickness`, and its `middle` on the front [m]."""

    name: str
    length: float
    width: float
    thickness: float
    density: float
    middle: tuple

    @property
    def sums(self):
        """Its sides as base and additions, as of a panel."""
        return {"length": (self.length, ()), "width": (self.width, ())}

    @property
    def mass(self):
        return self.length * self.width * self.thickness * self.density


@dataclass(frozen=True)
class Near:
    """How the frame stands to one opening: `beside` [m] from its inner edge, overlapping below zero."""

    name: str
    beside: float


@dataclass(frozen=True)
class GrilleParts:
    """Lengths [m], seen from the front, places from the finished front's lower left corner.

    width, height : of the frame without its cloth. bars : {name: `Bar`}. cloth : (width, height) to cut.
    holes : ((x, y), ...) of magnets or pegs; `misplaced` are those that run into an opening. hole_depth : in
    the front, and in the frame. near : `Near` of each opening, the nearest first.
    """

    width: float
    height: float
    bars: dict
    cloth: tuple
    holes: tuple
    misplaced: tuple
    hole_depth: tuple
    near: tuple


def grille_parts(grille, front, thickness, density, front_thickness, openings):
    """What a grille is made of.

    Parameters
    ----------
    grille : Grille-like
        `.bar`, `.inset`, `.cloth`, `.diameter`. [m]
    front : (float, float)
        Width and height of the finished front. [m]
    thickness, density : float
        Of the frame's sheet. [m], [kg/m³]
    front_thickness : float
        Of the wood that the blind holes go into. [m]
    openings : iterable of (str, float, float, float)
        Name, centre x, y from the finished front's lower left corner, and radius of what must stay clear. [m]

    Raises
    ------
    InputError
        At ``bar`` where no opening is left between the bars, at ``diameter`` where a bar is too narrow for
        its hole.

    Notes
    -----
    The uprights run through, the cross bars are butted between them. The cloth goes round the edges, so that
    the frame is smaller by its thickness on each side.
    """
    require_positive(thickness=thickness, density=density, front_thickness=front_thickness)
    width, height = (side - 2 * (grille.inset + grille.cloth) for side in front)
    if min(width, height) <= 2 * grille.bar:
        raise InputError("bar", "must leave an opening between the bars")
    if grille.bar < grille.diameter + 2 * NEAR:
        raise InputError("diameter", "must leave wood on both sides of the hole: take wider bars")
    across = width - 2 * grille.bar
    lengths = {"left": height, "right": height, "top": across, "bottom": across}
    edge = grille.inset + grille.cloth
    low, high = edge + grille.bar / 2, front[1] - edge - grille.bar / 2
    left, right = edge + grille.bar / 2, front[0] - edge - grille.bar / 2
    middle = front[0] / 2, front[1] / 2
    middles = {
        "left": (left, middle[1]),
        "right": (right, middle[1]),
        "top": (middle[0], high),
        "bottom": (middle[0], low),
    }
    bars = {
        f"grille {side}": Bar(f"grille {side}", length, grille.bar, thickness, density, middles[side])
        for side, length in lengths.items()
    }
    fold = thickness + min(FOLD, grille.bar)
    rows = (low, (low + high) / 2, high) if height > TALL else (low, high)
    holes = tuple((x, y) for y in rows for x in (left, right))
    deep = tuple(max(0.0, min(wood - NEAR, wood / 2)) for wood in (front_thickness, thickness))
    inner = edge + grille.bar, edge + grille.bar, front[0] - edge - grille.bar, front[1] - edge - grille.bar
    openings = tuple(openings)
    misplaced = tuple(place for place in holes if not _clear(place, grille.diameter / 2, openings))
    near = sorted(
        (Near(name, _beside(inner, x, y, radius)) for name, x, y, radius in openings), key=_beside_of
    )
    return GrilleParts(
        width, height, bars, (width + 2 * fold, height + 2 * fold), holes, misplaced, deep, tuple(near)
    )


def _beside(inner, x, y, radius):
    """From the rim of a round opening to the nearest inner edge of the frame. [m]"""
    left, low, right, high = inner
    return min(x - left, right - x, y - low, high - y) - radius


def _beside_of(near):
    return near.beside


def _clear(place, radius, openings):
    """Whether a blind hole keeps `NEAR` from every opening."""
    return all(hypot(place[0] - x, place[1] - y) >= r + radius + NEAR for _, x, y, r in openings)
