"""Where ports may stand in the front or the back, and what is near their inner ends.

Places are those of a panel's face, as `calc.cabinet.facing` counts them. [m]
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from calc.cabinet.bodies import Body, shadow, way_behind
from calc.cabinet.flat_shapes import Shape, circle, outline
from calc.cabinet.openings import LEAST_WOOD, wall_of

_HAIR = 1e-9  # m; nearer than this, two edges touch


@dataclass(frozen=True)
class PortRoom:
    """Where the middle of a box's ports may stand on one panel.

    panel : "front" or "back". x, y : places that were tried, (n,), (m,) [m].
    margin : how far each is from touching anything that it must keep clear of, below zero where it does
        touch, (m, n) [m]
    """

    panel: str
    x: np.ndarray
    y: np.ndarray
    margin: np.ndarray

    @property
    def clear(self):
        """Where nothing is in the way, (m, n)."""
        return self.margin >= -_HAIR

    @property
    def share(self):
        """Of all places between the walls, how many are clear. [-]"""
        return float(self.clear.mean())

    @property
    def best(self):
        """The place (x, y) farthest from everything, of equals the most central; None where none is clear."""
        if not self.clear.any():
            return None
        off = np.hypot(self.x[None] - self.x.mean(), self.y[:, None] - self.y.mean())
        score = np.round(self.margin, 5) - 1e-9 * off
        row, column = np.unravel_index(np.argmax(score), score.shape)
        return float(self.x[column]), float(self.y[row])

    @property
    def regions(self):
        """Clear places as rectangles (left, low, right, high) [m], one for each run of each row of places."""
        return tuple(
            (float(self.x[first]), float(y), float(self.x[last]), float(y))
            for y, row in zip(self.y, self.clear, strict=True)
            for first, last in _runs(row)
        )


def _runs(row):
    """First and last index of each unbroken run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], row, [False]]).astype(int)))
    return [(int(first), int(last) - 1) for first, last in zip(edges[::2], edges[1::2], strict=True)]


def port_room(carcass, openings, port, port_length, panel, *, of="port", seats=None, drivers=None,
              braces=None, finish=0.0, step=0.005, least_wood=LEAST_WOOD):  # fmt: skip
    """The `PortRoom` of a panel for all ports of one kind together, standing to each other as they do now.

    Parameters
    ----------
    carcass : Carcass
    openings : tuple of Opening
        All of the cabinet, its ports among them.
    port : Port-like
        That of the box.
    port_length : float
        Of each port, from the outer face. [m]
    panel : "front" or "back"
    of : "port", "other" or "rear"
        The port's name in its box.
    seats, drivers : dicts of Seat-like and Driver-like decisions
    braces : dict of BraceSolid
    finish : float
        Paint or veneer on the front. [m]
    step : float
        From one place that is tried to the next. [m]
    least_wood : float
        Between two openings of one panel. [m]

    Notes
    -----
    The rules of `clashes.clashes`: between the walls, `least_wood` from every other opening of the panel,
    clear of braces, clear of magnets that the tube of a port through the back would meet, and in its own one
    of two chambers. Places are a grid, so that a gap narrower than a step may be missed.
    """
    seats, braces = seats or {}, braces or {}
    ports, others = _apart(openings, of)
    x, y = _places(carcass, panel, step)
    face = carcass.facing(panel)
    margin = np.full((len(y), len(x)), np.inf)
    middle = [_middle([getattr(each, axis) for each in ports]) for axis in ("x", "y")]
    obstacles = _outlines(others, panel)
    deep = max(carcass.outer) if port.bends else port_length
    seen = (shadow(brace.body, face, 0.0, deep) for brace in braces.values())
    solid = [each[0] for each in seen if each]
    if panel == "back" and not port.bends:
        solid += _met(carcass, port_length, openings, seats, drivers or {}, finish)
    for each in ports:
        at_x, at_y = x + each.x - middle[0], y[:, None] + each.y - middle[1]
        hole, tube = _hole(each), _tube(each, port)
        margin = np.minimum(margin, _between_walls(carcass, panel, at_x, at_y, hole))
        if obstacles:
            margin = np.minimum(margin, _gap(at_x, at_y, hole, obstacles) - least_wood)
        if solid:
            margin = np.minimum(margin, _gap(at_x, at_y, tube, solid))
        level = face.origin[2] + at_y * face.up[2] + carcass.panels[panel].thickness * face.inward[2]
        margin = np.minimum(margin, _in_chamber(level, wall_of(seats, braces), of))
    return PortRoom(panel, x, y, margin)


def _apart(openings, of):
    """The ports that are called `of` in their box, and all other openings."""
    ports = [each for each in openings if each.kind == "port" and each.of == of]
    return ports, [each for each in openings if each not in ports]


def _middle(places):
    """Between the outermost of several places: what a port's x and y say of all. [m]"""
    return (min(places) + max(places)) / 2


def _places(carcass, panel, step):
    left, low, right, high = carcass.clear_bounds(panel)
    return (
        np.linspace(left, right, max(2, round((right - left) / step) + 1)),
        np.linspace(low, high, max(2, round((high - low) / step) + 1)),
    )


def _hole(opening):
    """(half_x, half_y, radius) of the hole through the panel. [m]"""
    if opening.round:
        return 0.0, 0.0, opening.width / 2
    return opening.width / 2, opening.height / 2, 0.0


def _tube(opening, port):
    """The same of what stands inside: a channel with its boards."""
    if opening.round:
        return _hole(opening)
    return opening.width / 2 + port.wall, opening.height / 2 + port.wall, 0.0


def _between_walls(carcass, panel, x, y, size):
    left, low, right, high = carcass.clear_bounds(panel)
    half_x, half_y, radius = size
    across = np.minimum(x - left, right - x) - half_x - radius
    up = np.minimum(y - low, high - y) - half_y - radius
    return np.minimum(across, up)


def _gap(x, y, size, shapes):
    """From a shape of `size` at each place to the nearest of `shapes`; below zero, how deep they overlap."""
    half_x, half_y, radius = size
    nearest = np.inf
    for each in shapes:
        across = abs(x - each[0]) - half_x - each[2]
        up = abs(y - each[1]) - half_y - each[3]
        apart = np.where(
            (across < 0) & (up < 0),
            np.maximum(across, up),
            np.hypot(np.maximum(across, 0.0), np.maximum(up, 0.0)),
        )
        nearest = np.minimum(nearest, apart - radius - each[4])
    return nearest


def _outlines(openings, panel):
    """What other openings take of the outer face of a panel, as (x, y, half_x, half_y, radius)."""
    found = []
    for each in openings:
        if each.panel == panel and (taken := outline(each)) is not None:
            found.append(taken if isinstance(taken, Shape) else circle(each.x, each.y, each.outline))
    return found


def _met(carcass, port_length, openings, seats, drivers, finish):
    """Magnets that a tube through the back would meet before its end, as seen from the front."""
    seen = (
        magnet.seen_level(carcass.outer[2] - port_length)
        for _, magnet in _magnets(carcass, openings, seats, drivers, finish)
    )
    return [each for each in seen if each]


def _in_chamber(level, wall, of):
    """How far heights lie on their own side of the shelf that parts two chambers; endless where none does."""
    if wall is None:
        return np.inf
    plate, rear_below = wall
    over = level - (plate.low[2] + plate.high[2]) / 2
    return -over if rear_below == (of == "rear") else over


def _magnets(carcass, openings, seats, drivers, finish):
    """(opening, `Body` of its magnet) of each driver of the front where it is known."""
    for each in openings:
        if each.kind != "seat" or each.panel != "front":
            continue
        seat = seats[each.name]
        frame = drivers[seat.driver].frame
        if frame.magnet is None or frame.depth is None:
            continue
        recess = max(0.0, (frame.flange_thickness or 0.0) + frame.gasket - finish) if seat.flush else 0.0
        magnet = Shape(each.x, each.y, 0.0, 0.0, frame.magnet / 2)
        yield each, Body(magnet, 0.0, recess + frame.depth, carcass.facing("front"))


class Near(NamedTuple):
    """Something near a port's inner end: what, how far [m], and if it is "ahead" or "beside" the tube."""

    name: str
    distance: float
    where: str


def near_inner_end(
    carcass, openings, port, port_length, *, of="port", seats=None, drivers=None, braces=None, finish=0.0
):
    """What stands nearest to the inner ends of a box's ports.

    Parameters as for `port_room`.

    Returns
    -------
    tuple of Near
        The nearest ahead, then the nearest beside, where there is one; below zero, an overlap. Ahead stand
        the panel across and the magnet of a driver in line with the tube; beside, braces and walls.

    Notes
    -----
    For a straight port. Leave a diameter ahead; beside, half of one keeps the end open (common practice, no
    source). The magnet is a cylinder.
    """
    ports, _ = _apart(openings, of)
    if not ports:
        return ()
    face, thickness = carcass.facing(port.panel), carcass.panels[port.panel].thickness
    tubes = [Shape(each.x, each.y, *_tube(each, port)) for each in ports]
    ahead, beside = [], []
    for tube in tubes:
        across, way = way_behind(carcass, port.panel, tube)
        ahead.append(Near(across, way - (port_length - thickness), "ahead"))
        if port.panel == "back":
            depth = carcass.outer[2] - port_length
            ahead += [
                Near(seat.name, depth - magnet.high[1], "ahead")
                for seat, magnet in _magnets(carcass, openings, seats or {}, drivers or {}, finish)
                if (lump := magnet.seen_level(-1.0)) and tube.gap(lump) < 0
            ]
        for name, brace in (braces or {}).items():
            seen, (start, _) = shadow(brace.body, face, 0.0, max(carcass.outer))
            gap = tube.gap(seen)
            if start < port_length:
                beside.append(Near(name, gap, "beside"))
            elif gap < 0:
                ahead.append(Near(name, start - port_length, "ahead"))
        if not (port.shape.kind == "slot" and port.shape.along_wall):
            beside.append(Near("wall", tube.within(*carcass.clear_bounds(port.panel)), "beside"))
    nearest = [min(found, key=lambda near: near.distance) for found in (ahead, beside) if found]
    return tuple(nearest)
