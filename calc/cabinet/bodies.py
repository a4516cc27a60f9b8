"""What stands behind a panel, straight along its normal, and what of the inside is seen along it.

Magnets, baskets and tubes follow the panel that carries them: those of a front that leans back point down.
"""

from math import hypot
from typing import NamedTuple

from calc.cabinet.facing import Facing
from calc.cabinet.flat_shapes import HAIR, Shape, rectangle
from calc.cabinet.polyhedra import Convex, Plane, block, clipped

TOUCHING = 1e-4
"""A brace that stands no farther behind a hole closes it. [m]"""


class Body(NamedTuple):
    """A `shape` of a panel's face, drawn out from `start` to `end` [m] below that `face`."""

    shape: Shape
    start: float
    end: float
    face: Facing

    def reach(self, direction):
        """How far it reaches along a unit vector of the cabinet. [m]"""
        across, up, along = (
            _dot(direction, axis) for axis in (self.face.right, self.face.up, self.face.inward)
        )
        x, y, half_x, half_y, radius = self.shape
        middle = _dot(direction, self.face.origin) + x * across + y * up
        half = half_x * abs(across) + half_y * abs(up) + radius * hypot(across, up)
        return middle + half + max(self.start * along, self.end * along)

    @property
    def low(self):
        return tuple(-self.reach(tuple(-a for a in axis)) for axis in _AXES)

    @property
    def high(self):
        return tuple(self.reach(axis) for axis in _AXES)

    def beyond(self, plane):
        """How far it reaches through a `Plane`, below zero how far it stays off [m]."""
        return self.reach((-plane.x, -plane.y, -plane.z)) + plane.at

    def way_to(self, plane):
        """How much longer it may grow before it meets a `Plane` [m]; endless if it points away from it."""
        closing = -_dot(self.face.inward, plane[:3])
        return -self.beyond(plane) / closing if closing > HAIR else float("inf")

    @property
    def solid(self):
        """The convex solid about it: of a round body, the square one. [m]"""
        x, y, half_x, half_y, radius = self.shape
        low = x - half_x - radius, y - half_y - radius, self.start
        high = x + half_x + radius, y + half_y + radius, self.end
        return laid_on(block(low, high), self.face)

    def seen_level(self, beyond):
        """What of a round body of the front lies farther back than `beyond`, seen from there; None if none.

        Seen level, a body that leans is a circle drawn out downwards: a little more than it takes. [m]
        """
        _, back, down = self.face.inward
        radius = self.shape.radius
        start, end = (self.face.at(self.shape.x, self.shape.y, deep) for deep in (self.start, self.end))
        if end[1] + radius * abs(self.face.up[1]) <= beyond:
            return None
        before = max(0.0, beyond - radius * abs(self.face.up[1]) - start[1]) / back
        top, bottom = start[2] + before * down, end[2]
        return Shape(self.shape.x, (top + bottom) / 2, 0.0, abs(top - bottom) / 2, radius)


def shadow(solid, face, start, end):
    """What of a convex solid lies from `start` to `end` below a face [m], as seen along its normal.

    Returns
    -------
    (Shape, (float, float)) or None
        The rectangle about it on the face, and from where to where it lies below the face [m].
    """
    placed = [face.of(corner) for corner in solid.corners]
    least, most = min(deep for *_, deep in placed), max(deep for *_, deep in placed)
    if most <= start or least >= end:
        return None
    if least < start or most > end:
        at = _dot(face.inward, face.origin)
        part = clipped(solid, Plane(*face.inward, at + start), Plane(*face.inward, at + end).turned())
        if part is None:
            return None
        placed = [face.of(corner) for corner in part.corners]
    across, up, deep = zip(*placed, strict=True)
    return rectangle(min(across), min(up), max(across), max(up)), (min(deep), max(deep))


def cast(body, face, start, end):
    """What a `Body` or a convex solid takes of a face between two depths below it, as `shadow`.

    Notes
    -----
    A round body along the normal of the face, or of a leaning front seen from the back, is taken as round;
    any other as the square one about it.
    """
    if not isinstance(body, Body):
        return shadow(body, face, start, end)
    if body.face == face:
        deep = max(start, body.start), min(end, body.end)
        return (body.shape, deep) if deep[1] > deep[0] else None
    seen = shadow(body.solid, face, start, end)
    rod = body.shape.radius and not body.shape.half_x and body.face.inward[1] > 0.5
    if seen and rod and face.inward == _BACK and (shape := body.seen_level(face.origin[1] - end)):
        return shape, seen[1]
    return seen


def lined_walls(carcass):
    """The plane of each inner face with what lines it, the air on its inner side: {panel: `Plane`}."""
    walls = carcass.walls
    return {name: walls.plane(name, t + carcass.lining(name)) for name, t in walls.thicknesses.items()}


def way_behind(carcass, panel, shape):
    """How far a straight body goes behind its panel until it meets what wall: (name, [m])."""
    thickness = carcass.panels[panel].thickness
    start = Body(shape, thickness, thickness, carcass.facing(panel))
    ways = ((name, start.way_to(plane)) for name, plane in lined_walls(carcass).items())
    return min(ways, key=lambda way: way[1])


def laid_on(solid, face):
    """A convex solid that is told in places and depths of a face, as it lies in the cabinet."""

    def plane(own):
        normal = tuple(
            own.x * r + own.y * u + own.z * i
            for r, u, i in zip(face.right, face.up, face.inward, strict=True)
        )
        return Plane(*normal, own.at + _dot(normal, face.origin))

    return Convex(
        tuple(face.at(*corner) for corner in solid.corners),
        tuple((plane(own), ring) for own, ring in solid.faces),
    )


def _dot(a, b):
    return sum(p * q for p, q in zip(a, b, strict=True))


_BACK = (0.0, -1.0, 0.0)  # inward from the back's face
_AXES = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
