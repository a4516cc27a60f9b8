"""Convex solids: cut by planes, met with each other, and summed to volume and first moments.

A solid's *sums* are (V, Mx, My, Mz): its volume [m³] and the integrals of x, y, z over it [m⁴]. Sums of
parts add up and sums of cuts are taken away, which is all that a panel with joints needs.
"""

from dataclasses import dataclass
from functools import cached_property
from math import atan2
from typing import NamedTuple

NOTHING = (0.0, 0.0, 0.0, 0.0)

_HAIR = 1e-12  # m; a corner that lies nearer to a plane lies on it


class Plane(NamedTuple):
    """The half-space x X + y Y + z Z >= `at`, with the unit normal (x, y, z) pointing into it; `at` [m]."""

    x: float
    y: float
    z: float
    at: float

    def above(self, point):
        """How far a point lies inside. [m]"""
        return self.x * point[0] + self.y * point[1] + self.z * point[2] - self.at

    def turned(self):
        """The other side of the same plane."""
        return Plane(-self.x, -self.y, -self.z, -self.at)


@dataclass(frozen=True)
class Convex:
    """A convex solid: its `corners` (x, y, z) [m] and `faces`, each a `Plane` and its ring of corners."""

    corners: tuple
    faces: tuple

    @cached_property
    def low(self):
        """The bounding box's low corner. [m]"""
        return tuple(map(min, zip(*self.corners, strict=True)))

    @cached_property
    def high(self):
        """The bounding box's high corner. [m]"""
        return tuple(map(max, zip(*self.corners, strict=True)))

    @cached_property
    def square(self):
        """Whether it is a `block`."""
        return len(self.corners) == 8 and set(self.corners) == set(_corners(self.low, self.high))

    def span(self, direction):
        """Lowest and highest of the corners along a `direction`. [m]"""
        x, y, z = direction
        reached = [x * a + y * b + z * c for a, b, c in self.corners]
        return min(reached), max(reached)


def block(low, high):
    """The box between two corners."""
    faces = (
        (Plane(1.0, 0.0, 0.0, low[0]), (0, 2, 6, 4)),
        (Plane(-1.0, 0.0, 0.0, -high[0]), (1, 3, 7, 5)),
        (Plane(0.0, 1.0, 0.0, low[1]), (0, 1, 5, 4)),
        (Plane(0.0, -1.0, 0.0, -high[1]), (2, 3, 7, 6)),
        (Plane(0.0, 0.0, 1.0, low[2]), (0, 1, 3, 2)),
        (Plane(0.0, 0.0, -1.0, -high[2]), (4, 5, 7, 6)),
    )
    return Convex(_corners(low, high), faces)


def _corners(low, high):
    (a, b, c), (d, e, f) = low, high
    return (a, b, c), (d, b, c), (a, e, c), (d, e, c), (a, b, f), (d, b, f), (a, e, f), (d, e, f)


def clipped(solid, *planes):
    """What of a solid lies inside all `planes`, or None if that has no volume."""
    for plane in planes:
        if solid is None:
            return None
        solid = _clip(solid, plane)
    return solid


def common(solid, other):
    """What two solids share, or None if they share no volume."""
    if solid is None or other is None:
        return None
    apart = zip(solid.low, solid.high, other.low, other.high, strict=True)
    if any(b <= c + _HAIR or d <= a + _HAIR for a, b, c, d in apart):
        return None
    if solid.square and other.square:
        return block(tuple(map(max, solid.low, other.low)), tuple(map(min, solid.high, other.high)))
    return clipped(solid, *(plane for plane, _ in other.faces))


def sums(solid):
    """Sums of a convex solid, or of None.

    Notes
    -----
    The solid is cut into tetrahedra from its own first corner to the faces away from it, so that a thin
    solid far from the origin loses no digits.
    """
    if solid is None:
        return NOTHING
    ox, oy, oz = solid.corners[0]
    away = [(x - ox, y - oy, z - oz) for x, y, z in solid.corners]
    volume = mx = my = mz = 0.0
    for _, ring in solid.faces:
        if 0 in ring:
            continue
        ax, ay, az = away[ring[0]]
        bx, by, bz = away[ring[1]]
        for n in ring[2:]:
            cx, cy, cz = away[n]
            v = abs(ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx))
            volume += v
            mx += v * (ax + bx + cx)
            my += v * (ay + by + cy)
            mz += v * (az + bz + cz)
            bx, by, bz = cx, cy, cz
    volume /= 6
    return volume, mx / 24 + volume * ox, my / 24 + volume * oy, mz / 24 + volume * oz


def hull(points):
    """Outline of flat points (x, y): the corners of the smallest convex polygon, counter-clockwise."""
    points = sorted((round(x, 12), round(y, 12)) for x, y in points)
    rings = []
    for way in (points, points[::-1]):
        ring = []
        for x, y in way:
            while len(ring) > 1:
                (ax, ay), (bx, by) = ring[-2:]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > _HAIR * (abs(bx - ax) + abs(by - ay)):
                    break
                ring.pop()
            ring.append((x, y))
        rings.append(ring[:-1])
    return (*rings[0], *rings[1])


def added(*parts):
    """Sums of solids that lie apart."""
    return tuple(map(sum, zip(*parts, strict=True)))


def taken(whole, *cuts):
    """Sums of a solid less parts of it that lie apart."""
    return tuple(full - sum(parts) for full, *parts in zip(whole, *cuts, strict=True))


def box_sums(low, high):
    """Sums of the box between two corners."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    return lump((x1 - x0) * (y1 - y0) * (z1 - z0), ((x0 + x1) / 2, (y0 + y1) / 2, (z0 + z1) / 2))


def lump(volume, centre):
    """Sums of a solid of known `volume` [m³] and `centre` (x, y, z) [m]."""
    return (volume, *(volume * at for at in centre))


def _clip(solid, plane):
    x, y, z, at = plane
    (a, b, c), (d, e, f) = solid.low, solid.high
    if x * (a if x > 0 else d) + y * (b if y > 0 else e) + z * (c if z > 0 else f) - at >= -_HAIR:
        return solid  # even the nearest corner of the box about it lies inside
    if x * (d if x > 0 else a) + y * (e if y > 0 else b) + z * (f if z > 0 else c) - at <= _HAIR:
        return None
    axis = next((k for k in range(3) if abs(plane[k]) == 1.0), None)
    if axis is not None and solid.square:
        return _shorter(solid, plane, axis)
    side = [x * a + y * b + z * c - at for a, b, c in solid.corners]
    if min(side) >= -_HAIR:
        return solid
    if max(side) <= _HAIR:
        return None
    side = [0.0 if -_HAIR < s < _HAIR else s for s in side]
    corners, number, cut = [], {}, {}
    for n, s in enumerate(side):
        if s >= 0:
            number[n] = len(corners)
            corners.append(solid.corners[n])
    faces = []
    for face, old in solid.faces:
        signs = [side[n] for n in old]
        if max(signs) <= 0:
            continue
        if min(signs) >= 0:
            faces.append((face, tuple([number[n] for n in old])))
            continue
        ring, before = [], old[-1]
        for here in old:
            if side[before] * side[here] < 0:
                edge = (before, here) if before < here else (here, before)
                if edge not in cut:
                    cut[edge] = len(corners)
                    corners.append(_between(solid.corners, side, *edge, plane, axis))
                ring.append(cut[edge])
            if side[here] >= 0:
                ring.append(number[here])
            before = here
        faces.append((face, tuple(ring)))
    cap = [number[n] for n, s in enumerate(side) if s == 0] + list(cut.values())
    return Convex(tuple(corners), (*faces, (plane, _ring(cap, corners, plane))))


def _shorter(solid, plane, axis):
    """A block cut square to one of its sides."""
    low, high = list(solid.low), list(solid.high)
    (low if plane[axis] > 0 else high)[axis] = plane[axis] * plane.at
    return block(tuple(low), tuple(high))


def _between(corners, side, n, m, plane, axis):
    """Where the edge between two corners, which lie off a plane by `side`, goes through it: square to an
    axis, to the last digit."""
    share = side[n] / (side[n] - side[m])
    point = [a + share * (d - a) for a, d in zip(corners[n], corners[m], strict=True)]
    if axis is not None:
        point[axis] = plane[axis] * plane.at
    return tuple(point)


def _ring(cap, corners, plane):
    """Corner numbers of a convex face in the order that goes round it."""
    if len(cap) < 4:
        return tuple(cap)
    first = max(range(3), key=lambda k: abs(plane[k]))
    u, v = (k for k in range(3) if k != first)
    middle_u = sum(corners[n][u] for n in cap) / len(cap)
    middle_v = sum(corners[n][v] for n in cap) / len(cap)
    return tuple(sorted(cap, key=lambda n: atan2(corners[n][v] - middle_v, corners[n][u] - middle_u)))
