"""Crossover boards inside: the room that each takes on its panel, what it meets, and whether it goes in."""

from math import hypot, sqrt

from calc.cabinet.bodies import Body, cast
from calc.cabinet.flat_shapes import HAIR, Shape

SHARE = 1 / 3
"""Air that a board takes, over its room, where nobody has measured it (common practice, no source)."""


def room(board, carcass):
    """The `Body` of a board and its parts, on the inner face of its panel, or on what lines it."""
    start = carcass.panels[board.panel].thickness + carcass.lining(board.panel)
    shape = Shape(board.x, board.y, board.width / 2, board.height / 2)
    return Body(shape, start, start + board.depth, carcass.facing(board.panel))


def air_taken(board):
    """Air that a board takes: as decided, or a share of its room. [m³]"""
    if board.volume is not None:
        return board.volume
    return SHARE * board.width * board.height * board.depth


def sticks_out(body, walls):
    """What a board reaches through: {wall: (how far [m], side that it must move from, how far along it [m])}.

    The side is "left", "right", "bottom" or "top" as places of its panel count, None where only less depth
    clears it. `walls` are {panel: its `Plane` with the air inside}.
    """
    found = {}
    for name, plane in walls.items():
        by = body.beyond(plane)
        if by <= HAIR:
            continue
        across, up = (sum(a * b for a, b in zip(axis, plane[:3], strict=True)) for axis in body.face[1:3])
        side, share = max((("left", "right"), across), (("bottom", "top"), up), key=lambda way: abs(way[1]))
        if abs(share) < HAIR:
            found[name] = by, None, by
        else:
            found[name] = by, side[share < 0], by / abs(share)
    return found


def met(body, other):
    """How far a board and another `Body` or convex solid run into each other, or None.

    Returns
    -------
    (float, Shape, (float, float)) or None
        The least way along its face or square to it that parts them [m], what the other takes of the face,
        and from where to where below it [m].
    """
    seen = cast(other, body.face, body.start, body.end)
    if seen is None:
        return None
    shape, deep = seen
    gap, into = body.shape.gap(shape), deep[1] - deep[0]
    if gap >= -HAIR or into <= HAIR:
        return None
    return min(-gap, into), shape, deep


def goes_through(board, width, height=None):
    """Whether a board goes endways and straight through an opening, turned to its best.

    Parameters
    ----------
    board : Board-like
    width, height : float
        Of a rectangle; a circle's diameter where there is no height. [m]

    Notes
    -----
    The two shorter of its three sides make the rectangle that must pass; tilting on the way is not tried. A
    rectangle passes a rectangle upright, or turned where Carver's condition holds (W. B. Carver, Solution to
    problem E 1225, American Mathematical Monthly 64, 1957; from memory).
    """
    q, p, _ = sorted((board.width, board.height, board.depth))
    if height is None:
        return hypot(p, q) <= width
    b, a = sorted((width, height))
    if p <= a:
        return q <= b
    turned = (2 * p * q * a + (p * p - q * q) * sqrt(max(0.0, p * p + q * q - a * a))) / (p * p + q * q)
    return q <= b and turned <= b
