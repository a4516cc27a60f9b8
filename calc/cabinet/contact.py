"""How bodies of wood stand to each other: what lies in the way of one that is moved, and where two touch."""

from math import inf, sqrt

from calc.cabinet.polyhedra import Plane, clipped, common

_TOUCH = 1e-6  # m; bodies that are nearer touch, and what overlaps by less does not meet


def pieces(body, cuts):
    """Convex pieces that fill a convex `body` less the convex `cuts`, apart from each other."""
    left = [body]
    for cut in cuts:
        rest = []
        for piece in left:
            if common(piece, cut) is None:
                rest.append(piece)
                continue
            for plane, _ in cut.faces:
                outside = clipped(piece, plane.turned())
                if outside is not None:
                    rest.append(outside)
                piece = clipped(piece, plane)
                if piece is None:
                    break
        left = rest
    return left


class Sweep:
    """What a convex `solid` passes over when it is moved without end along `way`, a unit vector (x, y, z)."""

    def __init__(self, solid, way):
        self._low = [-inf if w < 0 else a for a, w in zip(solid.low, way, strict=True)]
        self._high = [inf if w > 0 else b for b, w in zip(solid.high, way, strict=True)]
        self._planes = tuple(
            Plane(*plane[:3], plane.at + _TOUCH) for plane in (*_kept(solid, way), *_sides(solid, way))
        )

    def meets(self, solid):
        """Whether it passes through a convex solid."""
        reach = zip(self._low, self._high, solid.low, solid.high, strict=True)
        if any(c >= b - _TOUCH or d <= a + _TOUCH for a, b, c, d in reach):
            return False
        return clipped(solid, *self._planes) is not None


def _dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _kept(solid, way):
    """The faces that are not left by going along."""
    return [plane for plane, _ in solid.faces if _dot(plane, way) > -1e-9]


def _sides(solid, way):
    """Planes along `way` through the edges at which what is left meets what is not."""
    meets, found = {}, []
    for plane, ring in solid.faces:
        for n, end in enumerate(ring):
            meets.setdefault(frozenset((ring[n - 1], end)), []).append(_dot(plane, way))
    middle = [sum(corner[k] for corner in solid.corners) / len(solid.corners) for k in range(3)]
    for edge, lean in meets.items():
        if len(edge) < 2 or min(lean) > -1e-9 or max(lean) < 1e-9:
            continue
        a, b = (solid.corners[n] for n in edge)
        ex, ey, ez = (q - p for p, q in zip(a, b, strict=True))
        normal = ey * way[2] - ez * way[1], ez * way[0] - ex * way[2], ex * way[1] - ey * way[0]
        long = sqrt(_dot(normal, normal))
        if long < 1e-12:
            continue
        normal = [each / long for each in normal]
        plane = Plane(*normal, _dot(normal, a))
        found.append(plane if plane.above(middle) > 0 else plane.turned())
    return found


def touching(ones, others):
    """Where pieces of two bodies touch: [(normal out of the first, area [m²], low, high), ...].

    `low` and `high` are the corners (x, y, z) of the box round about the place. [m]
    """
    found = []
    for one in ones:
        for other in others:
            if any(
                one.low[k] > other.high[k] + _TOUCH or other.low[k] > one.high[k] + _TOUCH for k in range(3)
            ):
                continue
            found += _faces_touching(one, other)
    return found


def _faces_touching(one, other):
    for plane, ring in one.faces:
        for against, its in other.faces:
            if _dot(plane, against) > -1 + 1e-9 or abs(plane.at + against.at) > _TOUCH:
                continue
            shared = [one.corners[n] for n in ring]
            corners = [other.corners[n] for n in its]
            middle = [sum(corner[k] for corner in corners) / len(corners) for k in range(3)]
            for n, end in enumerate(corners):
                shared = _within(shared, corners[n - 1], end, against, middle)
            area = _area(shared)
            if area > _TOUCH**2:
                low, high = (tuple(end(c[k] for c in shared) for k in range(3)) for end in (min, max))
                yield (-plane.x, -plane.y, -plane.z), area, low, high


def _within(ring, start, end, plane, middle):
    """What of a flat ring lies on that side of an edge of a face in `plane` where its `middle` lies."""
    if len(ring) < 3:
        return []
    ex, ey, ez = (q - p for p, q in zip(start, end, strict=True))
    nx, ny, nz = plane[:3]
    normal = ny * ez - nz * ey, nz * ex - nx * ez, nx * ey - ny * ex
    long = sqrt(_dot(normal, normal))
    if long < 1e-12:
        return ring
    if _dot(normal, [q - p for p, q in zip(start, middle, strict=True)]) < 0:
        normal = [-each for each in normal]
    side = [_dot(normal, [q - p for p, q in zip(start, corner, strict=True)]) / long for corner in ring]
    kept = []
    for n, s in enumerate(side):
        before = side[n - 1]
        if (s > 0) != (before > 0):
            share = before / (before - s)
            kept.append(tuple(a + share * (b - a) for a, b in zip(ring[n - 1], ring[n], strict=True)))
        if s > 0:
            kept.append(ring[n])
    return kept


def _area(ring):
    if len(ring) < 3:
        return 0.0
    x = y = z = 0.0
    a = [[q - p for p, q in zip(ring[0], corner, strict=True)] for corner in ring[1:]]
    for b, c in zip(a, a[1:], strict=False):
        x += b[1] * c[2] - b[2] * c[1]
        y += b[2] * c[0] - b[0] * c[2]
        z += b[0] * c[1] - b[1] * c[0]
    return sqrt(x * x + y * y + z * z) / 2
