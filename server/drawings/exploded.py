"""The cabinet in oblique view: every panel moved away from the middle, or only its front lifted off."""

from math import hypot

from server.drawings.plate import Plate
from server.drawings.shapes import FACING, RIGHT, UP, mitre_lines, oblique_faces, window_corners

WIDTH = 1100
ORDER = ("back", "left", "bottom", "braces", "right", "top", "front")
"""From the far to the near one, as the eye in front, to the right and above meets them."""


def exploded(carcass, *, braces=None, letters=None, openings=None, name="exploded"):
    """Draw the cabinet taken apart, each panel moved outwards along its own normal.

    Parameters
    ----------
    carcass : calc.cabinet.panels.Carcass
    braces : dict of calc.cabinet.bracing.BraceSolid
    letters : dict of str to str
        Letter of each panel and brace in the cut list.
    openings : dict of lists of server.drawings.openings.Opening
        Those of ``front`` and ``back``.
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    view = _Oblique(carcass, braces or {}, openings or {}, name)
    view.moves = _apart(carcass)
    view.fit(900)
    view.axes()
    view.draw(ORDER)
    view.discs(letters or {})
    count = len(view.braces)
    inside = f" and {count} brace{'s' * (count != 1)}" if count else ""
    return view.plate.finished(
        f"The cabinet taken apart: six panels{inside}, each moved outwards, with its joints and openings in sight."
    )


def lifted(carcass, *, braces=None, openings=None, ask=None, write=None, name="lifted"):
    """Draw the cabinet with its front lifted off and set down to the left.

    Parameters
    ----------
    carcass, braces, openings, name
        As for `exploded`.
    ask : iterable of str or None
        The sizes that the page puts on the drawing, of those named below; None for all.
    write : callable or None
        Writes a length [m] as text; given, the drawing letters the sizes that are not asked.

    Returns
    -------
    Drawing
        With spots ``outer.width``, ``outer.height``, ``outer.depth``, ``inner.width``, ``inner.height``,
        ``inner.depth`` and ``thickness`` (of a side).
    """
    view = _Oblique(carcass, braces or {}, openings or {}, name)
    view.lift_front()
    view.draw_assembled()
    view.lifted_sizes(ask, write)
    return view.plate.finished(
        "The cabinet with its front lifted off and set down to the left: its joints and its inside in sight."
    )


def _apart(carcass):
    """How far each panel moves so that hardly one hides another in the oblique view. [m]"""
    width, height, depth = carcass.outer
    t = {name: panel.thickness for name, panel in carcass.panels.items()}
    aside = 0.62 * RIGHT * depth + 0.08 * width + t["left"]
    above = 0.62 * UP * depth + 0.10 * height + t["top"]
    past_sides = (width + aside + t["right"]) / RIGHT
    return {
        "left": -aside,
        "right": aside,
        "top": above,
        "bottom": -above,
        "front": -past_sides,
        "back": past_sides,
    }


class _Oblique:
    def __init__(self, carcass, braces, openings, name):
        self.carcass, self.braces, self.openings, self.name = carcass, braces, openings, name
        self.moves, self.shift = {}, (0.0, 0.0)

    def fit(self, tallest):
        """Make the paper just so high that the view fills it."""
        corners = [self.flat(self.moved(name, c)) for name in self.carcass.panels for c in self.corners(name)]
        left, right = min(u for u, _ in corners), max(u for u, _ in corners)
        low, high = min(v for _, v in corners), max(v for _, v in corners)
        margin = 36
        self.scale = min((WIDTH - 2 * margin) / (right - left), (tallest - 2 * margin) / (high - low))
        height = max(480, (high - low) * self.scale + 2 * margin)
        self.plate = Plate(self.name, WIDTH, height)
        self.shift = (
            WIDTH / 2 - (left + right) / 2 * self.scale,
            height / 2 + (low + high) / 2 * self.scale,
        )

    def corners(self, name):
        solid = self.carcass.panels[name]
        return [
            (a[0], b[1], c[2])
            for a in (solid.low, solid.high)
            for b in (solid.low, solid.high)
            for c in (solid.low, solid.high)
        ]

    def moved(self, name, point):
        if name not in self.moves:
            return point
        axis, _ = FACING[name]
        return tuple(p + self.moves[name] * (a == axis) for a, p in enumerate(point))

    @staticmethod
    def flat(point):
        """A point in space on the picture's plane, in metres, v up."""
        x, y, z = point
        return x + RIGHT * y, z + UP * y

    def at(self, point):
        u, v = self.flat(point)
        return self.shift[0] + u * self.scale, self.shift[1] - v * self.scale

    # Solids -------------------------------------------------------------------------------------------

    def draw(self, order):
        for name in order:
            if name == "braces":
                self.draw_braces()
            else:
                self.panel(name)

    def panel(self, name):
        solid = self.carcass.panels[name]
        cuts = [(cut.low, cut.high) for cut in solid.cuts]
        faces = oblique_faces(solid.low, solid.high, cuts, mitre_lines(self.carcass, name))
        self.faces(faces, lambda point: self.moved(name, point))
        self.draw_openings(name)

    def faces(self, faces, move):
        for side, corners, edges in faces:
            flat = [self.at(move(corner)) for corner in corners]
            self.plate.polygon("pw", flat)
            if side in ("right", "mitre"):
                self.plate.polygon("none", flat, "slant", faint=True)
            self.ink(flat, edges)

    def ink(self, flat, edges):
        strokes = [
            f"M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}"
            for a, b, inked in zip(flat, flat[1:] + flat[:1], edges, strict=True)
            if inked
        ]
        if strokes:
            self.plate.path("o", "".join(strokes))

    def draw_openings(self, name):
        """Holes in the face that shows: the front's outer one, the back's inner one."""
        solid = self.carcass.panels[name]
        for o in self.openings.get(name, ()):
            x, y = self.at(self.moved(name, (o.x, solid.low[1], o.y)))
            s = self.scale
            if not o.known:
                self.plate.circle("hid", x, y, o.width * s / 2)
                continue
            depth = solid.thickness
            if o.recess and name == "front":
                self.plate.circle("o", x, y, o.recess[0] * s / 2)
                self.bore(x, y, o.recess[0] / 2, o.recess[1], "face")
                x, y = x + RIGHT * o.recess[1] * s, y - UP * o.recess[1] * s
                depth -= o.recess[1]
            if o.round:
                self.plate.circle("leaf", x, y, o.width * s / 2)
                self.bore(x, y, o.width / 2, depth, "face")
            else:
                self.slot(x, y, o.width * s / 2, o.height * s / 2, depth * s)

    def bore(self, x, y, radius, depth, kind):
        """The wall of a round hole that shows: what is left of its mouth beside its far end."""
        r, dx, dy = radius * self.scale, RIGHT * depth * self.scale, -UP * depth * self.scale
        gap = hypot(dx, dy)
        if gap >= 2 * r or gap < 1e-6:
            return
        half = (r * r - gap * gap / 4) ** 0.5
        mx, my, ux, uy = x + dx / 2, y + dy / 2, -dy / gap, dx / gap
        a, b = (mx + ux * half, my + uy * half), (mx - ux * half, my - uy * half)
        self.plate.path(
            kind,
            f"M{a[0]:.1f} {a[1]:.1f}A{r:.1f} {r:.1f} 0 1 1 {b[0]:.1f} {b[1]:.1f}"
            f"A{r:.1f} {r:.1f} 0 0 0 {a[0]:.1f} {a[1]:.1f}Z",
        )

    def slot(self, x, y, half_x, half_y, depth):
        dx, dy = min(RIGHT * depth, 2 * half_x), min(UP * depth, 2 * half_y)
        self.plate.rect("leaf", x - half_x, y - half_y, x + half_x, y + half_y)
        left, low = x - half_x, y + half_y
        self.plate.polygon(
            "face",
            [(left, y - half_y), (left, low), (x + half_x, low), (x + half_x, low - dy), (left + dx, low - dy), (left + dx, y - half_y)],
        )  # fmt: skip
        self.plate.line("dim", (left, low), (left + dx, low - dy))

    def draw_braces(self):
        """Braces in place, each with its window and its slots."""
        for brace in sorted(self.braces.values(), key=lambda b: (b.kind == "shelf", b.low[2], b.low[0])):
            cuts = [(cut.low, cut.high) for cut in brace.cuts]
            self.faces(oblique_faces(brace.low, brace.high, cuts), lambda point: point)
            self.window(brace)

    def window(self, brace):
        corners = window_corners(brace)
        if corners is None:
            return
        (u0, v0), (u1, v1) = corners
        ring = _ring(u0, v0, u1, v1, brace.window[2])
        if brace.kind == "shelf":
            top, under = brace.high[2], brace.low[2]
            near = [self.at((u, v, top)) for u, v in ring]
            far = [self.at((u, v, under)) for u, v in ring]
        else:
            right, left = brace.high[0], brace.low[0]
            near = [self.at((right, u, v)) for u, v in ring]
            far = [self.at((left, u, v)) for u, v in ring]
        self.plate.polygon("face", near)
        seen = _both(near, far)
        if len(seen) > 2:
            self.plate.polygon("leaf", seen)

    # Exploded -----------------------------------------------------------------------------------------

    def axes(self):
        """Centre lines along which the panels came apart."""
        middle = [
            extent / 2 for extent in (self.carcass.outer[0], self.carcass.outer[2], self.carcass.outer[1])
        ]
        for low, high in (("left", "right"), ("front", "back"), ("bottom", "top")):
            ends = []
            for name in (low, high):
                point = list(middle)
                axis, side = FACING[name]
                panel = self.carcass.panels[name]
                point[axis] = (panel.low if side < 0 else panel.high)[axis]
                ends.append(self.at(self.moved(name, point)))
            self.plate.line("mid", *ends)

    def discs(self, letters):
        placed = []
        for name, solid in [*self.carcass.panels.items(), *self.braces.items()]:
            if name in letters:
                place = min(self.disc_places(name, solid), key=lambda p: sum(hypot(p[0] - x, p[1] - y) < 34 for x, y in placed))  # fmt: skip
                placed.append(place)
                self.plate.disc(*place, letters[name])

    def disc_places(self, name, solid):
        """Places on the face that shows, clear of its openings, the best first."""
        axis = FACING[name][0] if name in FACING else (2 if solid.kind == "shelf" else 0)
        face = solid.low if axis == 1 else solid.high
        u, v = (a for a in range(3) if a != axis)
        holes = self.openings.get(name, ())
        window = window_corners(solid) if name not in FACING else None
        places = []
        for share_v in (0.5, 0.12, 0.88, 0.3, 0.7, 0.06):
            for share_u in (0.5, 0.14, 0.86, 0.3, 0.08):
                point = [0.0, 0.0, 0.0]
                point[axis] = face[axis]
                point[u] = solid.low[u] + share_u * (solid.high[u] - solid.low[u])
                point[v] = solid.low[v] + share_v * (solid.high[v] - solid.low[v])
                clear = 17 / self.scale
                blocked = any(
                    abs(point[0] - o.x) < max(o.width, o.recess[0] if o.recess else 0) / 2 + clear
                    and abs(point[2] - o.y) < max(o.height, o.recess[0] if o.recess else 0) / 2 + clear
                    for o in holes
                )
                if window:
                    (u0, v0), (u1, v1) = window
                    blocked |= u0 - clear < point[u] < u1 + clear and v0 - clear < point[v] < v1 + clear
                places.append((blocked, self.at(self.moved(name, point))))
        return [place for blocked, place in sorted(places, key=lambda p: p[0])]

    # The front lifted off -------------------------------------------------------------------------------

    def lift_front(self):
        """Lay out the paper: the front stands left of the carcass on one floor."""
        width, height, depth = self.carcass.outer
        total = 2 * width + RIGHT * depth
        gap, margin, above, below = 110, 130, 128, 150
        tall = height + UP * depth
        self.scale = min((WIDTH - 2 * margin - gap - 20) / total, 620 / tall)
        paper = min(max(tall * self.scale + above + below, 620), 900)
        self.plate = Plate(self.name, WIDTH, paper)
        spare = WIDTH - total * self.scale - gap
        self.front_left = spare / 2
        floor = above + (paper - above - below - tall * self.scale) / 2 + tall * self.scale
        self.shift = (self.front_left + width * self.scale + gap, floor)

    def draw_assembled(self):
        """The open carcass as one grid of cells, then the front beside it."""
        self.draw(("back", "left", "bottom"))
        self.draw_braces()
        self.draw(("right", "top"))
        here = self.shift
        front = self.carcass.panels["front"]
        for z in (front.low[2], front.high[2]):
            y0 = self.at((0.0, front.low[1], z))
            self.plate.line(
                "mid", (self.front_left + front.high[0] * self.scale + 6, y0[1]), (y0[0] - 6, y0[1])
            )
        self.shift = (self.front_left - RIGHT * front.low[1] * self.scale, here[1])
        self.panel("front")
        self.shift = here

    def lifted_sizes(self, ask, write):
        """Dimension lines for the outer sizes on the front and for the inner ones on the carcass."""
        names = (
            "outer.width",
            "outer.height",
            "outer.depth",
            "inner.width",
            "inner.height",
            "inner.depth",
            "thickness",
        )
        ask = set(names if ask is None else ask)
        plate, s = self.plate, self.scale
        width, height, depth = self.carcass.outer
        t = {name: panel.thickness for name, panel in self.carcass.panels.items()}
        inner = dict(zip(("width", "height", "depth"), self.carcass.inner, strict=True))

        def words(name, value):
            return write(value) if write and name not in ask else ""

        def shown(name):
            return name in ask or write is not None

        floor = self.shift[1]
        x0, x1 = self.front_left, self.front_left + width * s
        row = min(11, max(10, round((floor + 64) / plate.row(1))))
        level = plate.row(row)
        if shown("outer.width"):
            plate.across(x0, x1, level, words("outer.width", width), start=floor + 8)
        left, right = self.at((t["left"], 0, 0))[0], self.at((width - t["right"], 0, 0))[0]
        if shown("inner.width"):
            plate.across(left, right, level, words("inner.width", inner["width"]), start=floor + 8)
        if shown("outer.height"):
            plate.upright(floor - height * s, floor, x0 - 44, words("outer.height", height), start=x0 - 8)
        near, far = self.at((width, 0, t["bottom"])), self.at((width, depth, t["bottom"]))
        top = self.at((width, depth, height - t["top"]))
        if shown("inner.height"):
            plate.upright(
                top[1], far[1], far[0] + 46, words("inner.height", inner["height"]), start=far[0] + 8
            )
        a = self.at((width, t["front"], 0))
        b = self.at((width, depth - t["back"], 0))
        if shown("inner.depth"):
            self.slanted((a[0] + 26, a[1] + 15), (b[0] + 26, b[1] + 15), words("inner.depth", inner["depth"]))
        ridge = self.at((width * 0.62, depth * 0.55, height))
        edge = self.at(
            (t["left"] / 2, 0 if self.carcass.panels["left"].low[1] < 1e-9 else t["front"], 0.86 * height)
        )
        self.pointer("outer.depth", ridge, words("outer.depth", depth), shown)
        self.pointer("thickness", edge, words("thickness", t["left"]), shown, aside=True)
        mids = {
            "outer.width": ((x0 + x1) / 2, level), "inner.width": ((left + right) / 2, level),
            "outer.height": (x0 - 44, floor - height * s / 2), "inner.height": (far[0] + 46, (top[1] + far[1]) / 2),
            "inner.depth": ((a[0] + b[0]) / 2 + 60, (a[1] + b[1]) / 2 + 60),
        }  # fmt: skip
        for name in names:
            if name in ask:
                x, y = mids[name] if name in mids else self.pointed[name]
                column = max(1, min(11, round(12 * x / WIDTH)))
                plate.spot(name, column, max(1, min(11, round(12 * y / plate.height))), (x, y))

    def slanted(self, a, b, words):
        """A dimension line along the depth."""
        self.plate.line("dim", a, b)
        self.plate.tick(*a)
        self.plate.tick(*b)
        if words:
            self.plate.text((a[0] + b[0]) / 2 + 14, (a[1] + b[1]) / 2 + 20, words, "big")

    def pointer(self, name, point, words, shown, aside=False):
        """A leader from a dot on the part upwards to its value."""
        self.pointed = getattr(self, "pointed", {})
        if not shown(name):
            return
        x, y = point
        level = self.plate.row(1) + 6
        self.plate.circle("dot", x, y, 4)
        self.plate.line("dim", (x, y), (x, level))
        self.pointed[name] = (x, level)
        if words:
            self.plate.text(x, level - 8, words, "big mid-a")


def _ring(u0, v0, u1, v1, radius):
    """Corners of a window, each rounded one as three points."""
    r = min(radius, (u1 - u0) / 2, (v1 - v0) / 2)
    if r <= 0:
        return [(u0, v0), (u1, v0), (u1, v1), (u0, v1)]
    points = []
    for cu, cv, start in ((u1 - r, v0 + r, 0), (u1 - r, v1 - r, 1), (u0 + r, v1 - r, 2), (u0 + r, v0 + r, 3)):
        for share in (0.0, 0.25, 0.5, 0.75, 1.0):
            du, dv = _ARC[share]
            for _ in range(start):
                du, dv = -dv, du
            points.append((cu + r * du, cv + r * dv))
    return points


_ARC = {
    0.0: (0.0, -1.0),
    0.25: (0.3827, -0.9239),
    0.5: (0.7071, -0.7071),
    0.75: (0.9239, -0.3827),
    1.0: (1.0, 0.0),
}


def _both(one, other):
    """What two convex polygons have in common."""
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(other, other[1:] + other[:1], strict=True))
    turn = 1 if area > 0 else -1
    for a, b in zip(other, other[1:] + other[:1], strict=True):
        if hypot(b[0] - a[0], b[1] - a[1]) < 1e-9:
            continue
        kept = []
        for p, q in zip(one, one[1:] + one[:1], strict=True):
            sp, sq = (turn * ((b[0] - a[0]) * (r[1] - a[1]) - (b[1] - a[1]) * (r[0] - a[0])) for r in (p, q))
            if sp >= 0:
                kept.append(p)
            if (sp > 0 > sq) or (sp < 0 < sq):
                share = sp / (sp - sq)
                kept.append((p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])))
        one = kept
        if len(one) < 3:
            return []
    return one
