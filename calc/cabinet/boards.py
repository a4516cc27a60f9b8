"""Crossover boards inside: the room that each takes on its panel, what it meets, and whether it goes in."""

from math import hypot

from calc.cabinet.polyhedra import block, common, sums

SHARE = 1 / 3
"""Air that a board takes, over its room, where nobody has measured it (common practice, no source)."""

_NOTHING = 1e-9  # m³; less is what floats leave of two faces that touch


def room(board, carcass, lined=0.0):
    """The `Convex` about a board and its parts, on the inner face of its panel.

    `lined` is what lies between that face and the board. [m] On a front that leans it is the upright box
    about the room: on the safe side where something stands near.
    """
    face, start = carcass.facing(board.panel), carcass.panels[board.panel].thickness + lined
    corners = [
        face.at(board.x + a * board.width / 2, board.y + b * board.height / 2, start + c * board.depth)
        for a in (-1, 1)
        for b in (-1, 1)
        for c in (0, 1)
    ]
    low, high = (tuple(way(at) for at in zip(*corners, strict=True)) for way in (min, max))
    return block(low, high)


def air_taken(board):
    """Air that a board takes: as decided, or a share of its room. [m³]"""
    if board.volume is not None:
        return board.volume
    return SHARE * board.width * board.height * board.depth


def overlap(one, other):
    """How far two solids run into each other: the least way that parts them along an axis [m]; 0 if not."""
    both = common(one, other)
    if both is None or sums(both)[0] < _NOTHING:
        return 0.0
    ways = (
        min(a_high - b_low, b_high - a_low)
        for a_low, a_high, b_low, b_high in zip(one.low, one.high, other.low, other.high, strict=True)
    )
    return min(ways)


def sticks_out(solid, air):
    """How far a solid reaches beyond the air between the walls [m]; 0 if it lies in it."""
    inside = common(solid, air)
    if inside is not None and sums(solid)[0] - sums(inside)[0] < _NOTHING:
        return 0.0
    low, high = (solid.low, solid.high) if inside is None else (inside.low, inside.high)
    if inside is None:
        return max(h - lo for lo, h in zip(low, high, strict=True))
    return max(
        max(a - b for a, b in zip(low, solid.low, strict=True)),
        max(a - b for a, b in zip(solid.high, high, strict=True)),
    )


def goes_through(board, diameter):
    """Whether a board goes endways and straight through a round opening, turned to its best.

    The two shorter of its three sides make the rectangle that must pass; tilting on the way is not tried.
    """
    a, b, _ = sorted((board.width, board.height, board.depth))
    return hypot(a, b) <= diameter


def driver_room(opening, facing, depth, radius, start):
    """The `Convex` about a driver's body behind its panel: a square prism about its basket.

    start, depth : from the outer face to the seat, and from the seat to the back of the magnet. [m]
    """
    corners = [
        facing.at(opening.x + a * radius, opening.y + b * radius, start + c * depth)
        for a in (-1, 1)
        for b in (-1, 1)
        for c in (0, 1)
    ]
    low, high = (tuple(way(at) for at in zip(*corners, strict=True)) for way in (min, max))
    return block(low, high)
