"""Geometry of sawn panels for the drawings: outlines, sections with their joints, oblique solids."""

from bisect import bisect_left
from dataclasses import dataclass
from functools import lru_cache

RIGHT, UP = 0.52, 0.30
"""How far an oblique view moves to the right and up for each unit that a point lies further back."""

FACING = {
    "front": (1, -1),
    "back": (1, 1),
    "left": (0, -1),
    "right": (0, 1),
    "top": (2, 1),
    "bottom": (2, -1),
}
"""Axis and direction in which each panel faces outwards."""


def outline(rect, holes):
    """Outlines of a rectangle with rectangles taken out.

    Parameters
    ----------
    rect : tuple (u0, v0, u1, v1)
        The blank.
    holes : iterable of tuples like `rect`
        What is cut away; parts outside the blank do not count.

    Returns
    -------
    loops : list of lists of (u, v)
        Closed outlines, corners only.
    """
    u0, v0, u1, v1 = rect
    holes = [_within(hole, rect) for hole in holes]
    holes = [(a, b, c, d) for a, b, c, d in holes if a < c and b < d]
    us = sorted({u0, u1, *(x for hole in holes for x in (hole[0], hole[2]))})
    vs = sorted({v0, v1, *(y for hole in holes for y in (hole[1], hole[3]))})
    solid = {(i, j) for i in range(len(us) - 1) for j in range(len(vs) - 1)}
    for a, b, c, d in holes:
        for i in range(bisect_left(us, a), bisect_left(us, c)):
            for j in range(bisect_left(vs, b), bisect_left(vs, d)):
                solid.discard((i, j))
    return [[(us[i], vs[j]) for i, j in loop] for loop in _loops(solid)]


def _within(hole, rect):
    return (max(hole[0], rect[0]), max(hole[1], rect[1]), min(hole[2], rect[2]), min(hole[3], rect[3]))


def _loops(cells):
    """Closed walks round the cells (i, j) with the wood on the left; straight runs joined."""
    onward = {}
    for i, j in cells:
        for start, end, beside in (
            ((i, j), (i + 1, j), (i, j - 1)),
            ((i + 1, j), (i + 1, j + 1), (i + 1, j)),
            ((i + 1, j + 1), (i, j + 1), (i, j + 1)),
            ((i, j + 1), (i, j), (i - 1, j)),
        ):
            if beside not in cells:
                onward.setdefault(start, []).append(end)
    while onward:
        start = min(onward)
        walk, here = [], start
        while here in onward:
            walk.append(here)
            ends = onward[here]
            step = ends.pop()
            if not ends:
                del onward[here]
            here = step
        yield _corners(walk)


def _corners(walk):
    ends = zip(walk[-1:] + walk[:-1], walk, walk[1:] + walk[:1], strict=True)
    return [b for a, b, c in ends if (b[0] - a[0]) * (c[1] - b[1]) != (b[1] - a[1]) * (c[0] - b[0])]


def clipped(polygon, a, b, keep):
    """The part of `polygon` on that side of the line through `a` and `b` where the point `keep` lies."""
    normal = (b[1] - a[1], a[0] - b[0])
    if _dot2(normal, keep, a) < 0:
        normal = (-normal[0], -normal[1])
    kept = []
    for p, q in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        sp, sq = _dot2(normal, p, a), _dot2(normal, q, a)
        if sp >= 0:
            kept.append(p)
        if (sp > 0 > sq) or (sp < 0 < sq):
            share = sp / (sp - sq)
            kept.append((p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])))
    return kept


def _dot2(normal, p, a):
    return normal[0] * (p[0] - a[0]) + normal[1] * (p[1] - a[1])


def inside(carcass):
    """The low and high corner of the air inside, in cabinet coordinates. [m]"""
    thickness = {name: panel.thickness for name, panel in carcass.panels.items()}
    low = (thickness["left"], thickness["front"], thickness["bottom"])
    width, height, depth = carcass.outer
    high = (width - thickness["right"], depth - thickness["back"], height - thickness["top"])
    return low, high


def mitre_lines(carcass, name):
    """The mitres of panel `name`: (axis, axis, outer corner, inner corner) in the plane across each edge."""
    low, high = inside(carcass)
    width, height, depth = carcass.outer
    outer = ((0.0, 0.0, 0.0), (width, depth, height))
    lines = []
    for edge in carcass.panels[name].bevels:
        (u, su), (v, sv) = (FACING[panel] for panel in edge.split("-"))
        corner = (outer[su > 0][u], outer[sv > 0][v])
        lines.append((u, v, corner, ((high if su > 0 else low)[u], (high if sv > 0 else low)[v])))
    return tuple(lines)


def section_outline(carcass, name, openings=()):
    """Panel `name` sawn through in the middle of the cabinet's width: outlines in (y, z). [m]

    `openings` are rectangles (y0, z0, y1, z1) that drivers or ports take out.
    """
    panel = carcass.panels[name]
    middle = carcass.outer[0] / 2
    cuts = [
        (cut.low[1], cut.low[2], cut.high[1], cut.high[2])
        for cut in panel.cuts
        if cut.low[0] < middle < cut.high[0]
    ]
    blank = (panel.low[1], panel.low[2], panel.high[1], panel.high[2])
    loops = outline(blank, [*cuts, *openings])
    keep = ((blank[0] + blank[2]) / 2, (blank[1] + blank[3]) / 2)
    for u, v, outer, inner in mitre_lines(carcass, name):
        if (u, v) == (1, 2):
            loops = [clipped(loop, outer, inner, keep) for loop in loops]
    return [loop for loop in loops if len(loop) > 2]


def window_corners(brace):
    """Corners of a brace's window in its plate, ((u0, v0), (u1, v1)): (x, y) of a shelf, (y, z) of a rib. [m]

    None where the plate has no window.
    """
    if brace.window is None:
        return None
    u, v = (0, 1) if brace.kind == "shelf" else (1, 2)
    width, height, _ = brace.window
    middle_u, middle_v = (brace.low[u] + brace.high[u]) / 2, (brace.low[v] + brace.high[v]) / 2
    return (middle_u - width / 2, middle_v - height / 2), (middle_u + width / 2, middle_v + height / 2)


# Oblique solids -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Face:
    """A flat part of a sawn solid's surface, corners (x, y, z) in metres.

    side : "front", "right", "top" or "mitre". loops : closed outlines, those of holes turn the other way.
    strokes : lines of corners that are to be inked; None where that is all outlines.
    low, high : corners of the box around it.
    """

    side: str
    loops: list
    strokes: list | None
    low: tuple
    high: tuple


@lru_cache(maxsize=256)  # a change moves some panels; the others come back as they were
def oblique_faces(low, high, cuts=(), mitres=()):
    """The faces of a sawn plate that show in an oblique view from the front, the right and above.

    Parameters
    ----------
    low, high : tuple (x, y, z)
        Corners of the blank. [m]
    cuts : tuple of (low, high)
        Boxes taken out. [m]
    mitres : tuple of (u, v, outer, inner)
        As of `mitre_lines`.

    Returns
    -------
    faces : tuple of Face
        In drawing order, so that a near one covers what lies behind it.
    """
    grid, cells = _cells(low, high, cuts)
    planes = [_plane(mitre, low, high) for mitre in mitres]
    faces = []
    for side, axis, sign, u, v in _SIDES:
        for index, flat in _layers(cells, axis, sign, u, v).items():
            place = grid[axis][index + (sign > 0)]
            loops = [
                [_point(axis, place, u, grid[u][i], grid[v][j]) for i, j in loop] for loop in _loops(flat)
            ]
            if planes:
                loops = [loop for loop in (_trimmed(loop, planes) for loop in loops) if len(loop) > 2]
            faces.append(_face(side, loops, None))
    for number, plane in enumerate(planes):
        if _towards_eye(plane[0]):
            grid, cells = _cells(low, high, [cut for cut in cuts if _crosses(cut, plane)])
            faces.append(_mitre_face(cells, grid, plane, planes[:number] + planes[number + 1 :]))
    return tuple(_far_to_near([face for face in faces if face.loops]))


# For each visible side: the axis that it faces along, the neighbour that would hide it, its two other axes.
_SIDES = (("front", 1, -1, 0, 2), ("right", 0, 1, 1, 2), ("top", 2, 1, 0, 1))


def _cells(low, high, cuts):
    """The plate as a grid: places along each axis, and the cells (i, j, k) that are wood."""
    grid = []
    for a in range(3):
        places = {corner[a] for cut in cuts for corner in cut if low[a] < corner[a] < high[a]}
        grid.append(sorted({low[a], high[a], *places}))
    counts = [range(len(places) - 1) for places in grid]
    cells = {(i, j, k) for i in counts[0] for j in counts[1] for k in counts[2]}
    for cut_low, cut_high in cuts:
        spans = [
            range(bisect_left(grid[a], cut_low[a]), bisect_left(grid[a], min(cut_high[a], high[a])))
            for a in range(3)
        ]
        cells.difference_update((i, j, k) for i in spans[0] for j in spans[1] for k in spans[2])
    return grid, cells


def _layers(cells, axis, sign, u, v):
    """The exposed cell faces of one side, {index along its axis: cells (u, v)}."""
    layers = {}
    for cell in cells:
        if _moved(cell, axis, sign) not in cells:
            layers.setdefault(cell[axis], set()).add((cell[u], cell[v]))
    return layers


def _moved(cell, axis, step):
    i, j, k = cell
    return (i + step, j, k) if axis == 0 else (i, j + step, k) if axis == 1 else (i, j, k + step)


def _point(axis, place, u, at_u, at_v):
    point = [at_v, at_v, at_v]
    point[axis], point[u] = place, at_u
    return tuple(point)


def _face(side, loops, strokes):
    if not loops:
        return Face(side, [], [], (), ())
    xs, ys, zs = zip(*[point for loop in loops for point in loop], strict=True)
    return Face(side, loops, strokes, (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs)))


def _plane(mitre, low, high):
    """(normal, offset) of a mitre, its normal pointing out of the wood."""
    u, v, outer, inner = mitre
    normal = [0.0, 0.0, 0.0]
    normal[u], normal[v] = outer[1] - inner[1], inner[0] - outer[0]
    offset = normal[u] * outer[0] + normal[v] * outer[1]
    if sum(n * (a + b) / 2 for n, a, b in zip(normal, low, high, strict=True)) > offset:
        normal, offset = [-n for n in normal], -offset
    return tuple(normal), offset


def _towards_eye(normal):
    return normal[1] - RIGHT * normal[0] - UP * normal[2] < -1e-12


def _crosses(box, plane):
    """Whether a box lies on both sides of a plane."""
    (normal, offset), middle, reach = plane, 0.0, 0.0
    for n, a, b in zip(normal, *box, strict=True):
        middle += n * (a + b) / 2
        reach += abs(n) * (b - a) / 2
    return abs(middle - offset) < reach - 1e-12


def _mitre_face(cells, grid, plane, others):
    """A mitre as the cells show it; inked along the edge and where the wood ends, not between cells."""
    loops, strokes = [], []
    for cell in cells:
        corners, inked = _plane_in_cell(cell, cells, grid, *plane)
        if corners:
            loop = _trimmed(corners, others)
            loops.append(loop)
            strokes += [_trimmed(line, others, is_open=True) for line in inked]
            strokes += [
                [p, q] for p, q in zip(loop, loop[1:] + loop[:1], strict=True) if _on_one(p, q, others)
            ]
    return _face(
        "mitre", [loop for loop in loops if len(loop) > 2], [line for line in strokes if len(line) > 1]
    )


def _on_one(p, q, planes):
    """Whether the points `p` and `q` both lie on one of the planes."""
    return any(
        all(abs(n[0] * r[0] + n[1] * r[1] + n[2] * r[2] - d) < 1e-9 for r in (p, q)) for n, d in planes
    )


def _plane_in_cell(cell, cells, grid, normal, offset):
    """The part of a mitre's plane within a cell, and those of its edges that are inked."""
    u, v = (a for a in range(3) if normal[a] != 0)
    along = 3 - u - v
    ends = [(grid[a][cell[a]], grid[a][cell[a] + 1]) for a in range(3)]
    beyond = [normal[u] * pu + normal[v] * pv > offset for pu in ends[u] for pv in ends[v]]
    if all(beyond) or not any(beyond):
        return [], []
    found = [(pu, (offset - normal[u] * pu) / normal[v]) for pu in ends[u]]
    found += [((offset - normal[v] * pv) / normal[u], pv) for pv in ends[v]]
    points = {
        (round(pu, 9), round(pv, 9))
        for pu, pv in found
        if ends[u][0] - 1e-9 <= pu <= ends[u][1] + 1e-9 and ends[v][0] - 1e-9 <= pv <= ends[v][1] + 1e-9
    }
    if len(points) < 2:
        return [], []
    first, last = min(points), max(points)

    def corner(pair, end):
        point = [ends[along][end]] * 3
        point[u], point[v] = pair
        return tuple(point)

    near, far = [corner(first, 0), corner(last, 0)], [corner(first, 1), corner(last, 1)]
    inked = [[near[0], far[0]], [near[1], far[1]]]
    inked += [line for line, step in ((near, -1), (far, 1)) if _moved(cell, along, step) not in cells]
    return [near[0], near[1], far[1], far[0]], inked


def _trimmed(corners, planes, is_open=False):
    """A polygon, or an open line, with what lies beyond the mitres taken off."""
    for normal, offset in planes:
        heights = [normal[0] * x + normal[1] * y + normal[2] * z - offset for x, y, z in corners]
        if all(height <= 1e-9 for height in heights):
            continue
        kept = []
        for i, p in enumerate(corners):
            if heights[i] <= 1e-9:
                kept.append(p)
            j = (i + 1) % len(corners)
            if (
                (is_open and j == 0)
                or min(heights[i], heights[j]) >= -1e-9
                or max(heights[i], heights[j]) <= 1e-9
            ):
                continue
            share = heights[i] / (heights[i] - heights[j])
            kept.append(tuple(a + share * (b - a) for a, b in zip(p, corners[j], strict=True)))
        corners = kept
    return corners


def _far_to_near(faces):
    """The faces in such an order that none is drawn over one that lies nearer to the eye."""
    after = [[g for g in range(len(faces)) if _hides(faces[f], faces[g])] for f in range(len(faces))]
    order, done = [], set()

    def place(index):
        if index not in done:
            done.add(index)
            for behind in after[index]:
                place(behind)
            order.append(faces[index])

    for index in range(len(faces)):
        place(index)
    return order


def _hides(one, other):
    """Whether the face `one` may lie before `other` on the way to the eye."""
    return _nearer(one, other) and not _nearer(other, one)


def _nearer(one, other):
    return (
        one.high[1] <= other.low[1] + 1e-9
        or one.low[0] >= other.high[0] - 1e-9
        or one.low[2] >= other.high[2] - 1e-9
    )
