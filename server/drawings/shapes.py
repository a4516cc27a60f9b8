"""Geometry of sawn panels for the drawings: outlines, sections with their joints, oblique solids."""

from bisect import bisect_left

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
    return lines


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


def oblique_faces(low, high, cuts=(), mitres=()):
    """The faces of a sawn plate that show in an oblique view from the front, the right and above.

    The plate is split into cells by its cuts; cells are drawn from the far to the near one, so that
    a near one covers what lies behind it.

    Parameters
    ----------
    low, high : tuple (x, y, z)
        Corners of the blank. [m]
    cuts : iterable of (low, high)
        Boxes taken out. [m]
    mitres : iterable of (u, v, outer, inner)
        As of `mitre_lines`.

    Returns
    -------
    faces : list of (side, corners, edges)
        In drawing order. `side` is "front", "right", "top" or "mitre"; `corners` are (x, y, z) [m];
        `edges` tells for each corner whether the edge from it to the next one is to be inked.
    """
    grid = [sorted({low[a], high[a], *_cut_places(cuts, low, high, a)}) for a in range(3)]
    counts = [len(places) - 1 for places in grid]
    cells = {(i, j, k) for i in range(counts[0]) for j in range(counts[1]) for k in range(counts[2])}
    for cut_low, cut_high in cuts:
        spans = [
            range(bisect_left(grid[a], cut_low[a]), bisect_left(grid[a], min(cut_high[a], high[a])))
            for a in range(3)
        ]
        cells -= {(i, j, k) for i in spans[0] for j in spans[1] for k in spans[2]}
    planes = [_plane(mitre, low, high) for mitre in mitres]
    faces = []
    for cell in sorted(cells, key=lambda c: (-c[1], c[0], c[2])):
        faces += _cell_faces(cell, cells, grid, planes)
    return faces


def _cut_places(cuts, low, high, axis):
    places = (corner[axis] for cut in cuts for corner in cut)
    return (place for place in places if low[axis] < place < high[axis])


def _plane(mitre, low, high):
    """(normal, offset) of a mitre, its normal pointing out of the wood."""
    u, v, outer, inner = mitre
    normal = [0.0, 0.0, 0.0]
    normal[u], normal[v] = outer[1] - inner[1], inner[0] - outer[0]
    offset = normal[u] * outer[0] + normal[v] * outer[1]
    middle = sum(n * (a + b) / 2 for n, a, b in zip(normal, low, high, strict=True))
    if middle > offset:
        normal, offset = [-n for n in normal], -offset
    return tuple(normal), offset


# For each visible side: the axis that it faces along, the neighbour that would hide it, its two other axes.
_SIDES = (("front", 1, -1, 0, 2), ("right", 0, 1, 1, 2), ("top", 2, 1, 0, 1))


def _cell_faces(cell, cells, grid, planes):
    faces = []
    for number, (normal, offset) in enumerate(planes):
        if normal[1] - RIGHT * normal[0] - UP * normal[2] < -1e-12:  # it turns towards the eye
            others = planes[:number] + planes[number + 1 :]
            faces += _trimmed("mitre", *_plane_in_cell(cell, cells, grid, normal, offset), others)
    for side, axis, sign, u, v in _SIDES:
        if _moved(cell, axis, sign) not in cells:
            corners, edges = _rectangle(cell, cells, grid, axis, sign, u, v)
            faces += _trimmed(side, corners, edges, planes)
    return faces


def _moved(cell, axis, step):
    return tuple(c + step * (a == axis) for a, c in enumerate(cell))


def _rectangle(cell, cells, grid, axis, sign, u, v):
    """The face of a cell; an edge is inked unless the wood's surface goes on flat beyond it."""
    place = [grid[axis][cell[axis] + (sign > 0)]] * 3
    ends = [(grid[a][cell[a]], grid[a][cell[a] + 1]) for a in range(3)]
    corners, edges = [], []
    for (iu, iv), (across, step) in zip(
        ((0, 0), (1, 0), (1, 1), (0, 1)), ((v, -1), (u, 1), (v, 1), (u, -1)), strict=True
    ):
        corner = list(place)
        corner[u], corner[v] = ends[u][iu], ends[v][iv]
        corners.append(tuple(corner))
        beside = _moved(cell, across, step)
        edges.append(not (beside in cells and _moved(beside, axis, sign) not in cells))
    return corners, edges


def _plane_in_cell(cell, cells, grid, normal, offset):
    """The part of a mitre's plane within a cell; its ends along the edge are inked where the wood ends."""
    u, v = (a for a in range(3) if normal[a] != 0)
    along = 3 - u - v
    ends = [(grid[a][cell[a]], grid[a][cell[a] + 1]) for a in range(3)]
    points = set()
    for pu in ends[u]:
        pv = (offset - normal[u] * pu) / normal[v]
        if ends[v][0] - 1e-12 <= pv <= ends[v][1] + 1e-12:
            points.add((round(pu, 12), round(pv, 12)))
    for pv in ends[v]:
        pu = (offset - normal[v] * pv) / normal[u]
        if ends[u][0] - 1e-12 <= pu <= ends[u][1] + 1e-12:
            points.add((round(pu, 12), round(pv, 12)))
    if len(points) < 2:
        return [], []
    first, last = min(points), max(points)
    corners = []
    for pair, place in ((first, 0), (last, 0), (last, 1), (first, 1)):
        corner = [ends[along][place]] * 3
        corner[u], corner[v] = pair
        corners.append(tuple(corner))
    capped = [_moved(cell, along, step) not in cells for step in (-1, 1)]
    return corners, [capped[0], True, capped[1], True]


def _trimmed(side, corners, edges, planes):
    """The face with what lies beyond the mitres taken off; the new edges are inked."""
    for normal, offset in planes:
        heights = [sum(n * c for n, c in zip(normal, p, strict=True)) - offset for p in corners]
        if all(h <= 1e-9 for h in heights):
            continue
        kept, inked = [], []
        for i, p in enumerate(corners):
            j = (i + 1) % len(corners)
            hp, hq = heights[i], heights[j]
            if hp <= 1e-9:
                kept.append(p)
                inked.append(edges[i])
            if (hp < -1e-9 and hq > 1e-9) or (hp > 1e-9 and hq < -1e-9):
                share = hp / (hp - hq)
                kept.append(tuple(a + share * (b - a) for a, b in zip(p, corners[j], strict=True)))
                inked.append(True if hp < 0 else edges[i])
            elif -1e-9 <= hp <= 1e-9 and hq > 1e-9 and inked:
                inked[-1] = True
        corners, edges = kept, inked
        if len(corners) < 3:
            return []
    return [(side, corners, edges)] if len(corners) > 2 else []
