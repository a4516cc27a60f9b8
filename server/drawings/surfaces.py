"""The surface of a sawn solid: what is left of a convex body when convex bodies are taken out of it.

A convex body is a list of flat faces, each the corners (x, y, z) of a convex polygon in metres.
"""

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from math import cos, hypot, pi, sin, sqrt

HAIR = 1e-8
"""Nearer than this to a plane, a point lies in it. [m]"""

SMOOTH = 0.88
"""Cosine of the angle under which two facets of a curve meet without an inked edge."""


@dataclass(frozen=True)
class SolidFace:
    """A flat part of a solid's surface, corners (x, y, z) in metres.

    normal : unit vector, out of the wood. offset : normal · point. pieces : convex polygons that make it up,
    anticlockwise as seen from outside. strokes : its sharp edges as lines of corners, to be inked.
    low, high : corners of the box around it.
    """

    normal: tuple
    offset: float
    pieces: tuple
    strokes: tuple
    low: tuple
    high: tuple


@dataclass(frozen=True)
class Surface:
    """A solid's `faces`, and as `strokes` the sharp edges of them all, each once."""

    faces: tuple
    strokes: tuple


def block(low, high):
    """The faces of the box from `low` to `high`."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    return prism(((x0, y0, z0), (x1, y0, z0), (x1, y1, z0), (x0, y1, z0)), (0.0, 0.0, z1 - z0))


def prism(base, run):
    """The faces of the prism over the convex polygon `base`, which reaches to `base` moved by `run`."""
    base = tuple(tuple(point) for point in base)
    top = tuple(tuple(a + b for a, b in zip(point, run, strict=True)) for point in base)
    ends = zip(base, base[1:] + base[:1], top[1:] + top[:1], top, strict=True)
    return (base, top, *ends)


def faces_of(convex):
    """The faces of a `calc.cabinet.polyhedra.Convex`."""
    return tuple(tuple(convex.corners[n] for n in ring) for _, ring in convex.faces)


@lru_cache(maxsize=512)  # a change moves some parts; the others come back as they were
def surface(body, holes=()):
    """The `Surface` of a body less the holes.

    Parameters
    ----------
    body : tuple of faces
    holes : tuple of bodies
        Convex; they may reach over each other and out of the body.
    """
    solid, gaps = _sides(body), [_sides(hole) for hole in holes]
    boxes = [_box(hole) for hole in holes]
    sides = defaultdict(list)
    for polygon, normal, offset in solid:
        pieces = [polygon]
        for gap, box in zip(gaps, boxes, strict=True):
            pieces = _outside(pieces, normal, gap, box, (True,))
        sides[_key(normal, offset)] += pieces
    for n, (gap, own) in enumerate(zip(gaps, boxes, strict=True)):
        for polygon, normal, offset in gap:
            pieces = _within(polygon, normal, solid)
            for m, (other, box) in enumerate(zip(gaps, boxes, strict=True)):
                if m != n and pieces and _touch(own, box):
                    pieces = _outside(pieces, normal, other, box, (False, True) if m < n else (False,))
            turned = tuple(-a for a in normal)
            sides[_key(turned, -offset)] += [piece[::-1] for piece in pieces]
    return edged([_face(*key, pieces) for key, pieces in sides.items() if pieces])


def round_surface(profile, at, steps=32):
    """The `Surface` of a body of revolution.

    Parameters
    ----------
    profile : list of (depth, radius)
        From one end to the other; ends that lie off the axis are closed flat. [m]
    at : callable
        From (across, across, depth) to (x, y, z), turning right-handed into right-handed. [m]
    steps : int
        Facets around.
    """

    turns = [(cos(2 * pi * n / steps), sin(2 * pi * n / steps)) for n in range(steps)]
    rings = [[at(r * c, r * s, depth) for c, s in turns] for depth, r in profile]
    ahead = _minus(at(0.0, 0.0, 1.0), at(0.0, 0.0, 0.0))
    faces = [_flat(rings[0], tuple(-a for a in ahead)), _flat(rings[-1], ahead)]
    for (near, far), ((d0, r0), (d1, r1)) in zip(pairwise(rings), pairwise(profile), strict=True):
        if hypot(d1 - d0, r1 - r0) < HAIR:
            continue
        for n, (c, s) in enumerate(turns):
            m = (n + 1) % steps
            out = at((d1 - d0) * c, (d1 - d0) * s, r0 - r1)
            corners = [near[n], near[m], far[m], far[n]]
            corners = [p for i, p in enumerate(corners) if _far_from(p, corners[i - 1])]
            if len(corners) > 2:
                faces.append(_flat(corners, _minus(out, at(0.0, 0.0, 0.0))))
    strokes = tuple((*ring, ring[0]) for ring, (_, r) in zip(rings, profile, strict=True) if r > HAIR)
    return Surface(tuple(faces), strokes)


def sawn(shape, axis, at):
    """Outlines where the plane `axis` = `at` cuts a `Surface`: closed lines of corners, holes among them."""
    lines = []
    for face in shape.faces:
        if not face.low[axis] < at < face.high[axis]:
            continue
        for piece in face.pieces:
            ends = []
            for p, q in zip(piece, piece[1:] + piece[:1], strict=True):
                if (p[axis] - at > 0) != (q[axis] - at > 0):
                    share = (at - p[axis]) / (q[axis] - p[axis])
                    ends.append(tuple(a + share * (b - a) for a, b in zip(p, q, strict=True)))
            if len(ends) == 2 and _far_from(*ends):
                lines.append(tuple(ends))
    return [loop for loop in _chained(lines) if len(loop) > 3]


def beyond(shape, axis, at):
    """The `Surface` of what lies below `at` along an `axis`, without the face that the saw leaves."""
    normal = tuple(1.0 if a == axis else 0.0 for a in range(3))
    faces = []
    for face in shape.faces:
        if face.high[axis] <= at:
            faces.append(face)
        elif face.low[axis] < at:
            pieces = [below for piece in face.pieces if (below := _split(list(piece), normal, at)[1])]
            if pieces:
                faces.append(_face(face.normal, face.offset, pieces))
    return edged(faces)


def moved(shape, step):
    """A `Surface` moved by the vector `step`."""
    if not any(step):
        return shape

    def at(point):
        return tuple(a + b for a, b in zip(point, step, strict=True))

    faces = tuple(
        SolidFace(
            face.normal, face.offset + _dot(face.normal, step),
            tuple(tuple(at(p) for p in piece) for piece in face.pieces),
            tuple(tuple(at(p) for p in stroke) for stroke in face.strokes), at(face.low), at(face.high),
        )
        for face in shape.faces
    )  # fmt: skip
    return Surface(faces, tuple(tuple(at(p) for p in stroke) for stroke in shape.strokes))


def triangles(face):
    """The triangles of a `SolidFace`, anticlockwise as seen from outside."""
    for piece in face.pieces:
        for b, c in zip(piece[1:-1], piece[2:], strict=True):
            yield piece[0], b, c


# Cutting ----------------------------------------------------------------------------------------------


def _sides(body):
    """(polygon, normal, offset) of each face of a convex body, normals outwards."""
    corners = [point for face in body for point in face]
    middle = tuple(sum(values) / len(corners) for values in zip(*corners, strict=True))
    sides = []
    for face in body:
        polygon = list(face)
        normal = _normal(polygon)
        if normal is None:
            continue
        offset = _dot(normal, polygon[0])
        if _dot(normal, middle) > offset:
            normal, offset, polygon = tuple(-a for a in normal), -offset, polygon[::-1]
        sides.append((polygon, normal, offset))
    return sides


def _normal(polygon):
    """Unit normal of a polygon whose corners run anticlockwise; None where it has no area."""
    x0, y0, z0 = polygon[0]
    nx = ny = nz = 0.0
    for (ax, ay, az), (bx, by, bz) in zip(polygon[1:-1], polygon[2:], strict=True):
        ux, uy, uz, vx, vy, vz = ax - x0, ay - y0, az - z0, bx - x0, by - y0, bz - z0
        nx, ny, nz = nx + uy * vz - uz * vy, ny + uz * vx - ux * vz, nz + ux * vy - uy * vx
    length = sqrt(nx * nx + ny * ny + nz * nz)
    return None if length < 1e-14 else (nx / length, ny / length, nz / length)


def _outside(pieces, normal, gap, box, takes):
    """The parts of coplanar `pieces` that lie outside the convex `gap`.

    `takes` tells whether the gap takes what lies in one of its own faces: one that looks the other way
    (False in it), or the same way (True in it).
    """
    kept = []
    for piece in pieces:
        kept += [piece] if not _touch(_box([piece]), box) else _less(piece, normal, gap, takes)
    return kept


def _less(piece, normal, gap, takes):
    kept, rest = [], piece
    for _, other, offset in gap:
        if _in_plane(rest, other, offset):
            if (_dot(normal, other) > 0) not in takes:
                return [piece]
            continue
        out, rest = _split(rest, other, offset)
        if out:
            kept.append(out)
        if not rest:
            return [piece]
    return kept


def _within(polygon, normal, body):
    """What of a hole's face lies inside the body, as a list of one piece or none."""
    rest = polygon
    for _, other, offset in body:
        if _in_plane(rest, other, offset):
            return []
        _, rest = _split(rest, other, offset)
        if not rest:
            return []
    return [rest]


def _in_plane(polygon, normal, offset):
    return all(abs(_dot(normal, point) - offset) <= HAIR for point in polygon)


def _split(polygon, normal, offset):
    """The parts of a convex polygon beyond a plane and below it; None for one without area."""
    heights = [_dot(normal, point) - offset for point in polygon]
    if max(heights) <= HAIR:
        return None, polygon
    if min(heights) >= -HAIR:
        return polygon, None
    above, below = [], []
    for i, (p, h) in enumerate(zip(polygon, heights, strict=True)):
        if h >= -HAIR:
            above.append(p)
        if h <= HAIR:
            below.append(p)
        j = (i + 1) % len(polygon)
        k = heights[j]
        if (h > HAIR and k < -HAIR) or (h < -HAIR and k > HAIR):
            share = h / (h - k)
            q = tuple(a + share * (b - a) for a, b in zip(p, polygon[j], strict=True))
            above.append(q)
            below.append(q)
    return above if len(above) > 2 else None, below if len(below) > 2 else None


# Faces and edges ----------------------------------------------------------------------------------------


def _key(normal, offset):
    return _rounded(*normal, 7), round(offset, 7) + 0.0


def _face(normal, offset, pieces):
    low, high = _box(pieces)
    return SolidFace(normal, offset, tuple(tuple(piece) for piece in pieces), (), low, high)


def _flat(polygon, outwards):
    """A face of one polygon, turned so that it looks `outwards`."""
    normal = _normal(polygon)
    if _dot(normal, outwards) < 0:
        polygon, normal = polygon[::-1], tuple(-a for a in normal)
    return _face(normal, _dot(normal, polygon[0]), [polygon])


def edged(faces):
    """The `Surface` of `faces`: sharp where two meet at an angle, not at seams between pieces of one face."""
    lines = defaultdict(list)
    for n, face in enumerate(faces):
        for piece in face.pieces:
            for p, q in zip(piece, piece[1:] + piece[:1], strict=True):
                start, end, sign = (p, q, 1) if p < q else (q, p, -1)
                (x, y, z), (u, v, w) = start, _minus(end, start)
                length = sqrt(u * u + v * v + w * w)
                if length < 1e-7:
                    continue
                u, v, w = along = _rounded(u / length, v / length, w / length, 6)
                t = u * x + v * y + w * z
                foot = _rounded(x - t * u, y - t * v, z - t * w, 5)
                lines[along, foot].append((t, _dot(along, end), n, sign, start))
    own, strokes = [[] for _ in faces], []
    for (along, _), runs in lines.items():
        for line, there in _inked(along, runs, faces):
            strokes.append(line)
            for n in there:
                own[n].append(line)
    faces = tuple(
        replace(face, strokes=tuple(_chained(lines))) for face, lines in zip(faces, own, strict=True)
    )
    return Surface(faces, tuple(_chained(strokes)))


def _inked(along, runs, faces):
    """The parts of one line that are sharp edges, each with the numbers of the faces that meet there."""
    stops = []
    for stop in sorted({end for run in runs for end in run[:2]}):
        if not stops or stop - stops[-1] > 1e-7:
            stops.append(stop)
    found, (t_at, *_, start) = [], runs[0]
    for a, b in pairwise(stops):
        middle, sums = (a + b) / 2, defaultdict(int)
        for t0, t1, face, sign, _ in runs:
            if t0 < middle < t1:
                sums[face] += sign
        there = [face for face, total in sums.items() if total]
        if not there or (len(there) == 2 and _dot(*(faces[n].normal for n in there)) > SMOOTH):
            continue
        if found and abs(found[-1][1] - a) < 1e-9 and found[-1][2] == there:
            found[-1] = (found[-1][0], b, there)
        else:
            found.append((a, b, there))

    def at(t):
        return tuple(p + (t - t_at) * d for p, d in zip(start, along, strict=True))

    return [((at(a), at(b)), there) for a, b, there in found]


def _chained(lines):
    """Lines whose ends meet, joined to longer ones."""
    spots = [(_rounded(*p, 6), _rounded(*q, 6)) for p, q in lines]
    ends = defaultdict(list)
    for n, (p, q) in enumerate(spots):
        ends[p].append(n)
        ends[q].append(n)
    left, strokes = set(range(len(lines))), []
    for n in range(len(lines)):
        if n not in left:
            continue
        left.discard(n)
        stroke = list(lines[n])
        for side in (1, 0):
            spot = spots[n][side]
            while (m := next((m for m in ends[spot] if m in left), None)) is not None:
                left.discard(m)
                far = spots[m].index(spot) ^ 1
                stroke.insert(len(stroke) if side else 0, lines[m][far])
                spot = spots[m][far]
        strokes.append(tuple(stroke))
    return strokes


def _rounded(x, y, z, places):
    """A point or a direction as a key: what is nearly the same is the same, minus zero is zero."""
    return round(x, places) + 0.0, round(y, places) + 0.0, round(z, places) + 0.0


def _box(polygons):
    xs, ys, zs = zip(*[point for polygon in polygons for point in polygon], strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def _touch(one, other):
    return all(
        a0 <= b1 + HAIR and b0 <= a1 + HAIR
        for a0, a1, b0, b1 in zip(one[0], one[1], other[0], other[1], strict=True)
    )


def _far_from(p, q):
    return sum((a - b) ** 2 for a, b in zip(p, q, strict=True)) > HAIR**2


def _minus(p, q):
    return p[0] - q[0], p[1] - q[1], p[2] - q[2]


def _dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
