"""The cabinet from the front, the side and above on one sheet of paper, to scale, with its sizes."""

from typing import NamedTuple

from server.drawings.paper import FOOT, Sheet
from server.drawings.projection import flat, merged, outlines, showing

LANE = 36
"""From one dimension line to the next."""

GAP = 64
"""Between two views, beside their dimension lines."""

HIDDEN = ("brace", "board", "driver", "radiator", "port")
"""Kinds of part that are dashed where the walls hide them, as are the walls' inner faces."""

INSIDE = ("brace", "board", "port", "gasket", "ring")
"""Kinds of part that nobody sees from without."""

SIDE = {"first": "left", "third": "right"}
"""From which side the view beside the front one is seen."""


class Place(NamedTuple):
    """An opening of the front or the back: where its middle lies in the cabinet, and its size. [m]

    `height` is None of a round one.
    """

    panel: str
    at: tuple
    width: float
    height: float | None


class Marks(NamedTuple):
    """Places of what is inside, each dimensioned from the left, the front at the floor, and the floor. [m]"""

    across: tuple = ()
    deep: tuple = ()
    high: tuple = ()


def three_views(parts, air, places, marks, write, *, show="metric", title="", name="three-views"):
    """Draw the three views.

    Parameters
    ----------
    parts : list of server.parts.Part
    air : server.drawings.surfaces.Surface
        The inside, wall to wall.
    places : list of Place
    marks : Marks
        Of the braces.
    write : callable
        Writes a length [m] as text.
    title : str
        What the foot says beside the drawing's own name.
    show : "metric" or "imperial"
        Metric shops read first-angle projection: each view lies opposite to where one looks from. Others
        read third-angle: it lies on that side. Common practice, no source.

    Returns
    -------
    Drawing
    """
    return _ThreeViews(parts, air, places, marks, write, show, title, name).drawing()


class _ThreeViews:
    def __init__(self, parts, air, places, marks, write, show, title, name):
        self.parts, self.air, self.places, self.marks, self.write = parts, air, places, marks, write
        self.title = title
        self.angle = "first" if show == "metric" else "third"
        self.side = SIDE[self.angle]
        self.plate = Sheet(name, show)
        measured = [part.shape.faces for part in parts if part.kind not in ("driver", "grille")]
        points = [p for faces in measured for face in faces for p in (face.low, face.high)]
        self.low, self.high = (tuple(f(values) for values in zip(*points, strict=True)) for f in (min, max))
        (x0, y0, z0), (x1, y1, z1) = self.low, self.high
        self.wide, self.deep, self.tall = x1 - x0, y1 - y0, z1 - z0
        self.lanes()
        self.lay_out()

    def lanes(self):
        """What is dimensioned: heights left of the front, widths below it, and the same of the side view."""
        fronts = [each for each in self.places if each.panel == "front"]
        backs = [each for each in self.places if each.panel == "back"]
        middle = (self.low[0] + self.high[0]) / 2
        self.heights = self.sorted_lanes([each.at[2] for each in fronts], 0.0, self.tall)
        off = [each.at[0] for each in self.places if abs(each.at[0] - middle) > 1e-4]
        self.widths = self.sorted_lanes([*off, *self.marks.across], self.low[0], self.wide)
        self.side_heights = self.sorted_lanes([*(each.at[2] for each in backs), *self.marks.high], 0.0, None)
        self.depths = self.sorted_lanes(self.marks.deep, self.low[1], self.deep)

    @staticmethod
    def sorted_lanes(places, start, whole):
        """Distances from `start`, each once and not more than five, the whole last."""
        found = sorted(
            {round(place - start, 4): place - start for place in places if place > start}.values()
        )[:5]
        return [*found, whole] if whole is not None else found

    def lay_out(self):
        left = 40 + LANE * len(self.heights)
        right = 20 + LANE * len(self.side_heights)
        under = 40 + LANE * max(len(self.widths), len(self.depths))
        room_wide = self.plate.width - left - right - GAP
        room_tall = self.plate.height - FOOT - 30 - under - GAP
        self.scale = self.plate.fit(self.wide + self.deep, self.tall + self.deep, room_wide, room_tall)
        w, d, h = (a * self.scale for a in (self.wide, self.deep, self.tall))
        spare_wide = (room_wide - w - d) / 3
        spare_tall = (room_tall - h - d) / 3
        self.left = left + spare_wide
        self.left_side = self.left + w + GAP + spare_wide
        if self.angle == "first":
            self.floor = 30 + spare_tall + h
            self.floor_top = self.floor + under + GAP + spare_tall + d
        else:
            self.floor_top = 30 + spare_tall + d
            self.floor = self.floor_top + GAP + spare_tall + h

    # Where a view lies on the paper

    def at(self, view, u, v):
        """A point of a view, (right, up) from its corner [m], on the paper."""
        left, floor = {
            "front": (self.left, self.floor),
            "top": (self.left, self.floor_top),
        }.get(view, (self.left_side, self.floor))
        return left + u * self.scale, floor - v * self.scale

    def corner(self, view):
        """What lies at the lower left corner of a view: (right, up). [m]"""
        (x0, y0, z0), (_, y1, _) = self.low, self.high
        return {"front": (x0, z0), "top": (x0, y0), "left": (-y1, z0), "right": (y0, z0)}[view]

    def drawing(self):
        outside = tuple(part.shape for part in self.parts if part.kind not in INSIDE)
        for view in ("front", self.side, "top"):
            self.hidden(view)
            self.lines("o", view, showing(outside, view))
        for each in self.places:
            self.opening(each)
        self.sizes()
        self.symbol()
        self.words()
        self.plate.foot("Three views" + (f", {self.title}" if self.title else ""))
        self.plate.note(f"{self.angle.capitalize()}-angle projection, scale {self.plate.scale_words}")
        return self.plate.finished(self.sentence())

    def lines(self, kind, view, lines):
        u0, v0 = self.corner(view)
        data = []
        for line in lines:
            points = [self.at(view, u - u0, v - v0) for u, v in line]
            data.append("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points))
        if data:
            self.plate.path(kind, "".join(data))

    def hidden(self, view):
        """The walls' inner faces, and what stands inside, dashed."""
        shapes = [self.air, *(part.shape for part in self.parts if part.kind in HIDDEN)]
        if view == "front":  # what opens the front is drawn as it is seen
            shapes = [self.air, *(part.shape for part in self.parts if part.kind in ("brace", "board"))]
        strokes = [
            [flat(point, view) for point in line] for shape in shapes for line in outlines(shape, view)
        ]
        self.lines("hid", view, merged(strokes))

    def opening(self, each):
        """Centre lines, and the size: on the front as it is seen, on the back as it lies behind."""
        x, _, z = (a - b for a, b in zip(each.at, self.low, strict=True))
        half = (each.width / 2, (each.height or each.width) / 2)
        (cx, cy), reach = self.at("front", x, z), [a * self.scale + 10 for a in half]
        self.plate.line("mid", (cx - reach[0], cy), (cx + reach[0], cy))
        self.plate.line("mid", (cx, cy - reach[1]), (cx, cy + reach[1]))
        if each.panel == "back":
            self.plate.path("hid", _outline(cx, cy, *(a * self.scale for a in half), each.height is None))
            return
        if each.height is None:
            right = self.at("front", self.wide, 0)[0] - 4
            self.plate.diameter(cx, cy, half[0] * self.scale, self.write(each.width), right)
        else:
            words = f"{self.write(each.width)} × {self.write(each.height)}"
            self.plate.text(cx, cy + reach[1] + 10, words, "mid-a")

    def sizes(self):
        x0, y0 = self.at("front", 0, 0)
        for lane, level in enumerate(self.heights):
            whole = level is self.tall  # with feet and plinth; the others are measured from the lower edge
            start = 0.0 if whole else -self.low[2]
            (_, y), (_, foot) = self.at("front", 0, start + level), self.at("front", 0, start)
            at = 0.5 if whole else 0.86
            self.plate.upright(
                y, foot, x0 - 34 - LANE * lane, self.write(level), start=x0 - 5, kind="", at=at
            )
        for lane, place in enumerate(self.widths):
            x, _ = self.at("front", place, 0)
            clear = self.at("front", self.wide, 0)[0] + 8
            self.plate.across(
                x0, x, y0 + 34 + LANE * lane, self.write(place), start=y0 + 5, kind="", clear=clear
            )
        self.side_sizes()

    def side_sizes(self):
        near = self.left_side + (self.deep * self.scale if self.side == "left" else 0)
        far = self.left_side + self.deep * self.scale
        inwards = -1 if self.side == "left" else 1
        for lane, level in enumerate(self.side_heights):
            (_, y), (_, foot) = (self.at("side", 0, z - self.low[2]) for z in (level, 0.0))
            self.plate.upright(
                foot, y, far + 30 + LANE * lane, self.write(level), start=far + 5, kind="", at=0.86
            )
        for lane, place in enumerate(self.depths):
            x, y = near + inwards * place * self.scale, self.floor + 34 + LANE * lane
            self.plate.across(near, x, y, self.write(place), start=self.floor + 5, kind="", clear=far + 8)

    def symbol(self):
        """The truncated cone that tells first from third angle, in its two views."""
        x, y = self.plate.width - 96, 30
        cone = [(0, -8), (34, -14), (34, 14), (0, 8)]
        rings = (58, 8, 14)
        if self.angle == "third":
            cone, rings = [(24 + a, b) for a, b in cone], (0, 8, 14)
        self.plate.polygon("o", [(x + a, y + b) for a, b in cone])
        for radius in rings[1:]:
            self.plate.circle("o", x + rings[0], y, radius)
        self.plate.text(x - 24, y + 5, f"{self.angle} angle", "end-a")

    def words(self):
        """Under or over each view, from where it is seen."""
        tops = {
            "front": (self.left, self.floor - self.tall * self.scale - 9),
            self.side: (self.left_side, self.floor - self.tall * self.scale - 9),
            "top": (self.left, self.floor_top - self.deep * self.scale - 9),
        }
        for view, (x, y) in tops.items():
            said = {"front": "from the front", "top": "from above"}.get(view, f"from the {view}")
            self.plate.text(x, y, said, "em")

    def sentence(self):
        many = len(self.places)
        return (
            f"The cabinet from the front, from the {self.side} and from above: {self.write(self.wide)} wide, "
            f"{self.write(self.deep)} deep, {self.write(self.tall)} high, with {many} "
            f"opening{'s' * (many != 1)}. What stands inside is dashed."
        )


def _outline(x, y, half_x, half_y, is_round):
    if is_round:
        arc = f"A{half_x:.1f} {half_x:.1f} 0 1 1"
        return f"M{x - half_x:.1f} {y:.1f}{arc} {x + half_x:.1f} {y:.1f}{arc} {x - half_x:.1f} {y:.1f}Z"
    return f"M{x - half_x:.1f} {y - half_y:.1f}H{x + half_x:.1f}V{y + half_y:.1f}H{x - half_x:.1f}Z"
