"""The cabinet in oblique view: every panel moved away from the middle, or only its front lifted off."""

from functools import partial

from calc.cabinet.brace_places import NORMAL
from server.drawings.plate import Plate
from server.drawings.shapes import FACING, RIGHT, UP, oblique_faces
from server.drawings.solids import (
    brace_surface,
    depths,
    layer_surface,
    opening_rim,
    panel_surface,
    recess_rim,
)

WIDTH = 1100
ORDER = ("back", "left", "bottom", "braces", "right", "top", "front")
"""From the far to the near one, as the eye in front, to the right and above meets them."""

PLIES = {
    "front": None, "back": None, "left": "plyv", "right": "plyv", "top": "plyh", "bottom": "plyh",
    "shelf": "plyh", "rib": "plyv", "frame": None, "bar": "plyh", "dowel": None,
}  # fmt: skip
"""How the plies lie in the edge that faces the front; None where that is the sheet's face."""


def exploded(carcass, *, braces=None, letters=None, openings=None, share=1.0, name="exploded", wide=WIDTH):
    """Draw the cabinet taken apart, each panel moved outwards along its own normal.

    Parameters
    ----------
    carcass : calc.cabinet.panels.Carcass
    braces : dict of calc.cabinet.bracing.BraceSolid
    letters : dict of str to str
        Letter of each panel and brace in the cut list.
    openings : dict of lists of server.drawings.openings.Opening
        Those of ``front``, ``back`` and of shelves that drivers sit in.
    share : float
        How far apart, from 0 (put together) to 1.
    name : str
        Begins the ids within the SVG.
    wide : float
        Width of the drawing: less leaves its letters larger against the cabinet.

    Returns
    -------
    Drawing
    """
    view = Oblique(carcass, braces or {}, openings or {}, name)
    view.moves = {panel: along(panel, share * step) for panel, step in _apart(carcass).items()}
    view.fit(wide, 900 / WIDTH * wide)
    view.axes()
    view.draw(ORDER)
    view.discs(letters or {})
    count = len(view.braces)
    inside = f" and {count} brace{'s' * (count != 1)}" if count else ""
    return view.plate.finished(
        f"The cabinet taken apart: six panels{inside}, each moved outwards, its joints and openings in sight."
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
    view = Oblique(carcass, braces or {}, openings or {}, name)
    view.lift_front()
    view.draw_assembled()
    view.lifted_sizes(ask, write)
    return view.plate.finished(
        "The cabinet with its front lifted off and set down to the left: its joints and its inside in sight."
    )


HERE = (0.0, 0.0, 0.0)
"""How far what stays in its place is moved."""


def along(panel, far):
    """A move of a panel along the axis that it faces, as (x, y, z). [m]"""
    return tuple(far * (axis == FACING[panel][0]) for axis in range(3))


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


_DISC_PLACES = [(v, u) for v in (0.5, 0.1, 0.9, 0.3, 0.7) for u in (0.5, 0.14, 0.86, 0.07, 0.93)]
"""Where a part's letter is tried, (v, u) as shares of its face, the best first."""


class Oblique:
    def __init__(self, carcass, braces, openings, name):
        self.carcass, self.braces, self.openings, self.name = carcass, braces, openings, name
        self.moves, self.shift = {}, (0.0, 0.0)

    def fit(self, wide, tallest):
        """Make the paper just so high that the view fills it."""
        corners = [self.flat(self.moved(name, c)) for name in self.shown() for c in self.corners(name)]
        left, right = min(u for u, _ in corners), max(u for u, _ in corners)
        low, high = min(v for _, v in corners), max(v for _, v in corners)
        margin = 36
        self.scale = min((wide - 2 * margin) / (right - left), (tallest - 2 * margin) / (high - low))
        height = max(480 / WIDTH * wide, (high - low) * self.scale + 2 * margin)
        self.plate = Plate(self.name, wide, height)
        self.shift = (
            wide / 2 - (left + right) / 2 * self.scale,
            height / 2 + (low + high) / 2 * self.scale,
        )

    def shown(self):
        """The parts that the drawing must have room for."""
        return tuple(self.carcass.panels)

    def corners(self, name):
        part = self.carcass.panels[name] if name in self.carcass.panels else self.braces[name]
        return [
            (a[0], b[1], c[2])
            for solid in (part, *self.glued(name))
            for a in (solid.low, solid.high)
            for b in (solid.low, solid.high)
            for c in (solid.low, solid.high)
        ]

    def moved(self, name, point):
        return tuple(a + b for a, b in zip(point, self.moves.get(name, HERE), strict=True))

    @staticmethod
    def flat(point):
        """A point in space on the picture's plane, in metres, v up."""
        x, y, z = point
        return x + RIGHT * y, z + UP * y

    def at(self, point):
        x, y, z = point
        return self.shift[0] + (x + RIGHT * y) * self.scale, self.shift[1] - (z + UP * y) * self.scale

    # Solids -------------------------------------------------------------------------------------------

    def draw(self, order):
        for name in order:
            if name == "braces":
                self.draw_braces()
            else:
                self.panel(name)

    def panel(self, name):
        """A panel with what is glued to it, the far one first."""
        shapes = [panel_surface(self.carcass, name)]
        for layer in self.glued(name):
            shape = layer_surface(self.carcass, layer.name)
            shapes.insert(0 if layer.place == "outside" else len(shapes), shape)
        for shape in shapes if name in ("back", "left", "bottom") else reversed(shapes):
            self.faces(shape, name, PLIES[name])
        self.draw_openings(name)

    def glued(self, name):
        """The skins and linings of a panel."""
        return [layer for layer in self.carcass.layers.values() if layer.panel == name]

    def faces(self, shape, name, plies):
        dx, dy, dz = self.moves.get(name, HERE)
        right = self.shift[0] + (dx + RIGHT * dy) * self.scale
        down = self.shift[1] - (dz + UP * dy) * self.scale
        s, su, sv = self.scale, self.scale * RIGHT, self.scale * UP

        def line(corners):
            return "M" + "L".join(
                [f"{right + x * s + y * su:.1f} {down - z * s - y * sv:.1f}" for x, y, z in corners]
            )

        for face in oblique_faces(shape):
            outline = "Z".join([line(piece) for piece in face.pieces]) + "Z"
            front, up = face.normal[1] < -0.8, face.normal[2] > 0.99
            self.plate.path("pw", outline)
            if front and plies:
                self.plate.path("none", outline, plies)
            elif not front and not up:
                self.plate.path("none", outline, "slant", faint=True)
            if face.strokes:
                self.plate.path("o", "".join([line(stroke) for stroke in face.strokes]))

    def draw_openings(self, name):
        """Holes in the face that shows: the front's outer one, the back's inner one."""
        place, (outer, inner) = self.carcass.facing(name).at, depths(self.carcass, name)

        def at(x, y, depth):
            return self.at(self.moved(name, place(x, y, depth)))

        near, far = (outer, inner) if name == "front" else (inner, outer)
        for o in self.openings.get(name, ()):
            rim = opening_rim(o)
            if not o.known:
                self.plate.polygon("hid", [at(x, y, near) for x, y in rim])
            elif o.recess and name == "front":
                floor = min(near + o.recess[1], far)
                hole = partial(self.bore, rim, at, floor, far)
                self.bore(recess_rim(o), at, near, floor, "face", hole)
            else:
                self.bore(rim, at, near, far)

    def bore(self, rim, at, near, far, kind="leaf", within=None):
        """A hole's wall as far as it shows: its near rim, and in it its far one, or the floor of a recess."""
        ring, end = ([at(x, y, depth) for x, y in rim] for depth in (near, far))

        def bottom():
            self.plate.polygon(kind, end)
            if within:
                within()

        self.plate.polygon("face", ring)
        self.plate.clipped(ring, bottom)
        self.plate.polygon("o", ring)

    def draw_braces(self):
        """Braces in place, each with its window, its slots and the holes for its drivers."""
        for brace in sorted(self.braces.values(), key=lambda b: (b.kind == "shelf", b.low[2], b.low[0])):
            self.brace(brace)

    def brace(self, brace):
        known = [o for o in self.openings.get(brace.name, ()) if o.known]
        self.faces(brace_surface(brace, known), brace.name, PLIES[brace.kind])

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
        for name, solid in [*self.carcass.panels.items(), *self.braces.items()]:
            if letters.get(name):
                self.plate.disc(*self.at(self.moved(name, self.disc_place(name, solid))), letters[name])

    def disc_place(self, name, solid):
        """The place on the face that shows which is clear, or clearest, of openings."""
        axis = FACING[name][0] if name in FACING else NORMAL.get(solid.kind, 1 if solid.axis == 2 else 2)
        u, v = (a for a in range(3) if a != axis)
        best, enough = None, 20 / self.scale
        holes = self.holes_in(name, solid)
        for share_v, share_u in _DISC_PLACES:
            wide, tall = solid.high[u] - solid.low[u], solid.high[v] - solid.low[v]
            pu, pv = solid.low[u] + share_u * wide, solid.low[v] + share_v * tall
            clear = min(min(share_u, 1 - share_u) * wide, min(share_v, 1 - share_v) * tall, enough)
            for x, y, half_x, half_y in holes:
                clear = min(clear, max(abs(pu - x) - half_x, abs(pv - y) - half_y))
            if best is None or clear > best[0] + 1e-9:
                point = [0.0, 0.0, 0.0]
                point[axis] = solid.low[1] if axis == 1 else solid.high[axis]
                point[u], point[v] = pu, pv
                best = (clear, tuple(point))
            if clear >= enough:
                break
        return best[1]

    def holes_in(self, name, solid):
        """What a letter should not cover: (middle, middle, half, half) in the plate's plane. [m]"""
        windows = () if name in FACING else solid.windows
        if not windows:
            recesses = [(o, o.recess[0] if o.recess else 0.0) for o in self.openings.get(name, ())]
            return [(o.x, o.y, max(o.width, r) / 2, max(o.height, r) / 2) for o, r in recesses]
        return [
            ((u0 + u1) / 2, (v0 + v1) / 2, (u1 - u0) / 2, (v1 - v0) / 2) for (u0, v0), (u1, v1), _ in windows
        ]

    # The front lifted off -------------------------------------------------------------------------------

    def lift_front(self):
        """Lay out the paper: the front stands left of the carcass on one floor, sizes in row 11 below it."""
        width, height, depth = self.carcass.outer
        total, tall, gap, above = 2 * width + RIGHT * depth, height + UP * depth, 110, 132
        self.scale = min((WIDTH - 280 - gap) / total, 630 / tall)
        below = 66 if width * self.scale >= 230 else 112  # a short line stands clear above its value
        paper = max(560, (tall * self.scale + above + below) * 12 / 11)
        self.plate = Plate(self.name, WIDTH, paper)
        self.front_left = (WIDTH - total * self.scale - gap) / 2
        self.shift = (self.front_left + width * self.scale + gap, self.plate.row(11) - below)

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
        width, height, depth = self.carcass.outer
        inner_width, inner_height, inner_depth = self.carcass.inner
        t = {name: panel.thickness for name, panel in self.carcass.panels.items()}
        values = {
            "outer.width": width, "outer.height": height, "outer.depth": depth, "inner.width": inner_width,
            "inner.height": inner_height, "inner.depth": inner_depth, "thickness": t["left"],
        }  # fmt: skip
        self.asked = set(values if ask is None else ask)
        self.words = {
            name: write(v) if write and name not in self.asked else "" for name, v in values.items()
        }
        self.shown = {name for name in values if self.words[name] or name in self.asked}
        floor, s = self.shift[1], self.scale
        x0 = self.front_left
        self.level_size("outer.width", x0, x0 + width * s)
        self.level_size("inner.width", self.at((t["left"], 0, 0))[0], self.at((width - t["right"], 0, 0))[0])
        self.upright_size("outer.height", floor - height * s, floor, x0, -1)
        far, top = self.at((width, depth, t["bottom"])), self.at((width, depth, height - t["top"]))
        self.upright_size("inner.height", top[1], far[1], far[0], 1)
        self.slanted(self.at((width, t["front"], 0)), self.at((width, depth - t["back"], 0)))
        left = self.carcass.panels["left"]
        edge = self.at((t["left"] / 2, left.low[1], 0.86 * height))
        ridge = self.at((max(width * 0.62, min(width * 0.9, 170 / s)), depth * 0.55, height))
        column = self.pointer("outer.depth", ridge, 12)
        self.pointer("thickness", edge, column - 2)

    def level_size(self, name, x0, x1):
        """A width, its value in the line, or under it where the line is too short for it."""
        if name not in self.shown:
            return
        floor, column = self.shift[1], round(6 * (x0 + x1) / WIDTH)
        short = name in self.asked and self.plate.row(11) - floor > 100
        level = floor + 26 if short else self.plate.row(11)
        self.plate.across(x0, x1, level, self.words[name], start=floor + 8)
        if name in self.asked:
            if short:
                self.plate.line("dim", ((x0 + x1) / 2, level), ((x0 + x1) / 2, self.plate.row(11) - 30))
            self.plate.spot(name, column, 11, ((x0 + x1) / 2, level))

    def upright_size(self, name, y0, y1, x, side):
        """A height beside the drawing, `side` -1 left or 1 right of x, where a column of values is."""
        if name not in self.shown:
            return
        column = 0
        place = x + side * 50
        if name in self.asked:
            step = WIDTH / 12
            column = int((x - 76) / step) if side < 0 else -int(-(x + 76) // step)
            column = min(11, max(1, column))
            place = {1: 66, 11: WIDTH - 66}.get(column, column * step)
        row = min(10, max(2, round(6 * (y0 + y1) / self.plate.height)))
        self.plate.upright(y0, y1, place, self.words[name], start=x + side * 8)
        if column:
            self.plate.spot(name, column, row, (place, (y0 + y1) / 2))

    def slanted(self, a, b):
        """The depth inside, along the lower edge of the right side."""
        if "inner.depth" not in self.shown:
            return
        a, b = (a[0] + 26, a[1] + 15), (b[0] + 26, b[1] + 15)
        x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        self.plate.line("dim", a, b)
        self.plate.tick(*a)
        self.plate.tick(*b)
        if self.words["inner.depth"]:
            self.plate.text(x + 14, y + 20, self.words["inner.depth"], "big")
        else:
            self.plate.spot("inner.depth", *self.below_line(a, b), (x + 22, y + 18))

    def below_line(self, a, b):
        """The place nearest to the middle of a slanted line where a value stands clear below it."""
        x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        slope = (b[1] - a[1]) / (b[0] - a[0])

        def cost(place):
            px, py = min(self.plate.column(place[0]), WIDTH - 66), self.plate.row(place[1])
            clear = py - 50 - (y + slope * (px - 66 - x))
            taken = any(abs(c - place[0]) < 2 and abs(r - place[1]) < 2 for c, r in self.plate.spots.values())
            return (clear < 0 or taken) * 1e6 + abs(px - x) + abs(py - y)

        return min(((column, row) for column in range(7, 12) for row in range(6, 12)), key=cost)

    def pointer(self, name, point, last):
        """A leader from a dot on the part upwards to its value, at most in column `last`."""
        x, y = point
        column = min(last, max(1, round(12 * x / WIDTH)))
        if name in self.shown:
            level = self.plate.row(1) + 6
            self.plate.circle("dot", x, y, 4)
            self.plate.line("dim", (x, y), (x, level))
            if self.words[name]:
                self.plate.text(x, level - 8, self.words[name], "big mid-a")
            else:
                self.plate.spot(name, column, 1, (x, level))
        return column
