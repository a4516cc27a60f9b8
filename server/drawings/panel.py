"""One panel as its blank leaves the saw and what is cut into it, seen from inside the cabinet."""

from typing import NamedTuple

from server.drawings.paper import FOOT, Sheet
from server.drawings.plate import Plate, spread
from server.drawings.shapes import FACING
from server.drawings.solids import opening_rim

WIDTH, TOP = 620, 40
TALL = 430
"""How high the part itself is drawn at most."""

# From inside: paper's right, paper's up, as (axis, direction); and the word at each edge of the paper.
VIEWS = {
    "front": ((0, -1), (2, 1)),
    "back": ((0, 1), (2, 1)),
    "left": ((1, 1), (2, 1)),
    "right": ((1, -1), (2, 1)),
    "top": ((0, -1), (1, 1)),
    "bottom": ((0, 1), (1, 1)),
}
ENDS = {(0, -1): "left", (0, 1): "right", (1, -1): "front", (1, 1): "back", (2, -1): "bottom", (2, 1): "top"}


class Paper(NamedTuple):
    """That a part is drawn to be printed: units, title of the project, whether the pair mirrors."""

    show: str
    title: str
    mirrored: bool = False


def panel(solid, openings=(), *, write, letter="", name=None, paper=None, tall=TALL):
    """Draw one panel with its dimensions.

    Parameters
    ----------
    solid : calc.cabinet.panels.PanelSolid
    openings : list of server.drawings.openings.Opening
        Of this panel.
    write : callable
        Writes a length [m] as text.
    letter : str
        The part's letter in the cut list.
    name : str or None
        Begins the ids within the SVG; ``panel-<name>`` if None.
    paper : Paper or None
        Draws it to scale on a sheet that is printed at full size.
    tall : float
        How high the part is drawn at most, where it is not on paper.

    Returns
    -------
    Drawing
    """
    return Board(solid, openings, write, letter, name or f"panel-{solid.name}", paper, tall).drawing()


class Board:
    """A flat part on its paper; what is special of a panel can be told otherwise by another part."""

    sides = "width", "length"  # what runs across the paper, and up it
    grain = "grainv"
    recess = "hid"  # it is cut into the far face

    def __init__(self, solid, openings, write, letter, name, paper=None, tall=TALL):
        self.paper, self.tall = paper, tall
        self.solid, self.openings, self.write, self.letter = solid, openings, write, letter
        (self.u, self.su), (self.v, self.sv) = self.view()
        self.normal = 3 - self.u - self.v
        self.across = solid.high[self.u] - solid.low[self.u]
        self.along = solid.high[self.v] - solid.low[self.v]
        self.columns, self.levels = self.places()
        self.labels = []  # what the openings' diameters take: (x, y, half, half)
        self.notes = self.cut_notes()
        self.margin = min(104 + 62 * len(self.levels), 300)
        self.below = 92 + 34 * len(self.columns)
        (self.lay_on_paper if paper else self.lay_out)(name)
        self.right = self.left + self.across * self.scale
        self.down = self.up + self.along * self.scale

    def lay_out(self, name):
        """A plate as high as it must be."""
        room = WIDTH - self.margin - (210 if self.notes else 60)
        self.scale = min(room / self.across, self.tall / self.along)
        tall = self.along * self.scale
        self.plate = Plate(name, WIDTH, max(tall + TOP + self.below, 70 * len(self.notes) + 60, 280))
        self.left = self.margin + (room - self.across * self.scale) / 2
        self.up = TOP + (self.plate.height - TOP - self.below - tall) / 2

    def lay_on_paper(self, name):
        """A sheet of paper, to scale."""
        self.plate = Sheet(name, self.paper.show)
        wide = self.plate.width - self.margin - (210 if self.notes else 60)
        tall = self.plate.height - FOOT - 2 * TOP - self.below
        self.scale = self.plate.fit(self.across, self.along, wide, tall)
        self.left = self.margin + (wide - self.across * self.scale) / 2
        self.up = 2 * TOP + (tall - self.along * self.scale) / 2

    def view(self):
        return VIEWS[self.solid.name]

    def places(self):
        """What is dimensioned beside the whole: from the paper's left edge, and from the lower one. [m]"""
        columns = sorted({round(self.from_left(o), 5) for o in self.openings})
        return columns, sorted({round(o.y - self.solid.low[2], 5) for o in self.openings})

    def x(self, u):
        from_left = u - self.solid.low[self.u] if self.su > 0 else self.solid.high[self.u] - u
        return self.left + from_left * self.scale

    def y(self, v):
        return self.up + (self.solid.high[self.v] - v) * self.scale

    def from_left(self, o):
        return o.x - self.solid.low[0] if self.su > 0 else self.solid.high[0] - o.x

    def drawing(self):
        self.blank()
        for cut in self.solid.cuts:
            outline = self.seen(cut.body.corners)
            self.plate.polygon("pw", outline)
            self.plate.polygon("cutline", outline, "slant")
        self.shapes()
        self.edge_words()
        self.sizes()
        self.write_notes()
        if self.letter:
            self.plate.disc(*self.clear_place(), self.letter)
        self.datum()
        if self.paper:
            self.head_and_foot()
        return self.plate.finished(self.sentence())

    def datum(self):
        """The two edges that all is measured from: a bold line and a flag on each, left and lower.

        An edge that runs aslant is none: then it is the right one.
        """
        x, y, other, out = self.left, self.down, self.right, -1
        if self.slanted_left():
            x, other, out = other, x, 1
        self.plate.line("tick", (x, y), (x, self.up))
        self.plate.line("tick", (x, y), (other, y))
        self.plate.polygon("dot", ((x, y - 34), (x + 11 * out, y - 40), (x + 11 * out, y - 28)))
        self.plate.polygon("dot", ((x - 34 * out, y), (x - 34 * out - 6, y + 11), (x - 34 * out + 6, y + 11)))

    def slanted_left(self):
        """Whether the part's left edge runs aslant."""
        mates = {_mate(edge, self.solid.name) for edge in getattr(self.solid, "tapers", ())}
        return ENDS[self.u, -self.su] in mates

    def head_and_foot(self):
        """What the sheet is, which face it shows, and what the other cabinet of a pair needs."""
        letter = f"{self.letter}. " if self.letter else ""
        self.plate.text(6, 24, f"{letter}{self.solid.name.capitalize()}: {self.face_words}", "big")
        sides = ("right", "left") if self.slanted_left() else ("left", "right")
        said = f"▲ datum edges: {sides[0]} and lower. All is measured from them."
        if self.paper.mirrored:
            said = (
                f"▲ datum: {sides[0]} and lower. Right-hand cabinet: mirror it, datum {sides[1]} and lower."
            )
        self.plate.text(6, 46, said)
        self.plate.foot(f"{letter}{self.solid.name.capitalize()}, {self.paper.title}")
        self.plate.note(f"Scale {self.plate.scale_words}")

    face_words = "its inside face, the outside lies down"

    def blank(self):
        """The wood as it is seen, and within it the face that is seen where bevels leave that smaller."""
        whole, face = self.seen(self.solid.body.corners), self.seen(self.near_face())
        self.plate.polygon("face", whole)
        if self.solid.bevels:
            self.plate.polygon("cutline", whole, "level")
            self.plate.polygon("pw", face)
            self.plate.polygon("cutline", face, self.grain)
        else:
            self.plate.polygon("none", whole, self.grain, faint=True)

    def near_face(self):
        """Corners of the blank's inner face."""
        _, outwards = FACING[self.solid.name]
        depths = [outwards * corner[self.normal] for corner in self.solid.body.corners]
        return [c for c, d in zip(self.solid.body.corners, depths, strict=True) if d < min(depths) + 1e-7]

    def seen(self, corners):
        """The outline on the paper of a convex body with these corners."""
        return hull([(self.x(corner[self.u]), self.y(corner[self.v])) for corner in corners])

    def shapes(self):
        """The openings."""
        for o in self.openings:
            self.opening(o)

    def sentence(self):
        words = f"{self.solid.name.capitalize()} panel, seen from inside: "
        words += f"{self.write(self.solid.length)} long, {self.write(self.solid.width)} wide"
        return words + (", with its joints and openings." if self.notes else ".")

    def opening(self, o):
        x, y, s = self.x(o.x), self.y(o.y), self.scale
        half_x, half_y = o.width * s / 2, o.height * s / 2
        if o.round:
            self.plate.circle("leaf" if o.known else "hid", x, y, half_x)
            if o.recess and o.known:
                half_x = half_y = o.recess[0] * s / 2
                if o.rim:
                    self.plate.polygon(self.recess, [(self.x(a), self.y(b)) for a, b in o.rim.corners()])
                else:
                    self.plate.circle(self.recess, x, y, half_x)
        else:
            self.plate.polygon("leaf", [(self.x(a), self.y(b)) for a, b in opening_rim(o)])
        self.plate.line("mid", (x - half_x - 8, y), (x + half_x + 8, y))
        self.plate.line("mid", (x, y - half_y - 8), (x, y + half_y + 8))
        if o.round and o.known:
            self.labels.append(
                self.plate.diameter(x, y, o.width * s / 2, self.write(o.width), self.right - 8)
            )

    def clear_place(self):
        """Where the part's letter covers neither an opening nor a groove."""
        taken = [
            (self.x(o.x), self.y(o.y), o.width * self.scale / 2, o.height * self.scale / 2)
            for o in self.openings
        ] + self.labels
        for cut in self.solid.cuts:
            us = (self.x(cut.low[self.u]), self.x(cut.high[self.u]))
            vs = (self.y(cut.low[self.v]), self.y(cut.high[self.v]))
            taken.append((sum(us) / 2, sum(vs) / 2, abs(us[0] - us[1]) / 2, abs(vs[0] - vs[1]) / 2))

        def covered(place):
            return sum(abs(place[0] - x) < rx + 18 and abs(place[1] - y) < ry + 18 for x, y, rx, ry in taken)

        wide, tall = self.right - self.left, self.down - self.up
        rows, columns = self.disc_grid(wide)
        places = [(self.left + wide * i / 12, self.up + tall * j / 12) for j in rows for i in columns]
        return min(places, key=covered)

    @staticmethod
    def disc_grid(wide):
        """Twelfths of the height and of the width where the letter is tried, the best first."""
        return (10, 9, 8, 7, 6, 5, 4, 3, 2), (2, 3, 6, 9, 10) if wide > 130 else (6,)

    def edge_words(self):
        """Which edge is which, outside above and below, inside at the sides."""
        self.plate.text((self.left + self.right) / 2 + 30, self.up - 12, ENDS[self.v, self.sv], "em mid-a")
        self.plate.text(self.right - 8, self.down + 20, ENDS[self.v, -self.sv], "em end-a")
        if self.right - self.left > 130:
            level = self.up + 0.22 * (self.down - self.up)
            self.plate.text(self.left + 8, level, ENDS[self.u, -self.su], "em")
            self.plate.text(self.right - 8, level, ENDS[self.u, self.su], "em end-a")

    def sizes(self):
        for lane, place in enumerate([*self.columns, self.across]):
            y, end = self.down + 46 + 34 * lane, self.left + place * self.scale
            words = self.write(place)
            self.plate.across(self.left, end, y, words, start=self.down + 6, clear=self.right + 14)
        below = self.down + 46 + 34 * len(self.columns) + 30
        self.sum_text((self.left + self.right) / 2, below, self.sides[0], "mid-a")
        pitch = min(62, (self.left - 100) / max(1, len(self.levels)))
        for lane, place in enumerate([*self.levels, self.along]):
            x, y = self.left - 52 - lane * pitch, self.down - place * self.scale
            at = 0.5 if lane == len(self.levels) else 0.85
            self.plate.upright(y, self.down, x, self.write(place), start=self.left - 6, kind="", at=at)
        self.sum_text(10, self.up - 14, self.sides[1], "")

    def sum_text(self, x, y, side, kind):
        """`long: 400.0 + 2 × 9.0` where the blank is a sum."""
        base, adds = self.solid.sums[side]
        terms = [
            f"{count} × {self.write(add)}" if count > 1 else self.write(add) for count, add in adds if add > 0
        ]
        if terms:
            label = "wide" if side == "width" else "long"
            self.plate.text(x, y, f"{label}: {' + '.join([self.write(base), *terms])}", kind)

    def cut_notes(self):
        """For each cut or bevel, a point (u, v) of it and the lines that say how it is made."""
        notes = [self.cut_note(cut) for cut in self.solid.cuts]
        for edge, angle in self.solid.bevels.items():
            mate = _mate(edge, self.solid.name)
            notes.append((self.edge_point(mate), [f"{mate}: bevel", f"saw at {angle:.3g}°"]))
        return notes

    def cut_note(self, cut):
        size = [b - a for a, b in zip(cut.low, cut.high, strict=True)]
        middle = [(a + b) / 2 for a, b in zip(cut.low, cut.high, strict=True)]
        if size[self.u] > size[self.v]:  # a level one is pointed at near its right end
            end, other = (cut.high, cut.low) if self.su > 0 else (cut.low, cut.high)
            middle[self.u] = end[self.u] + 0.04 * (other[self.u] - end[self.u])
        else:  # those left and right of the middle at different heights, so that leaders keep apart
            on_left = (middle[self.u] < (self.solid.low[self.u] + self.solid.high[self.u]) / 2) == (
                self.su > 0
            )
            middle[self.v] = cut.low[self.v] + (0.62 if on_left else 0.45) * size[self.v]
        through = size[self.normal] >= self.solid.thickness - 1e-9
        depth = "cut through" if through else f"{self.write(size[self.normal])} deep"
        kind = ("stopped " if cut.stopped else "") + cut.kind
        name = short(_mate(cut.name, self.solid.name) or cut.name)
        width = self.write(min(size[self.u], size[self.v]))
        lines = [f"{name}: {kind}", f"{depth}, {width} wide"]
        if cut.kind == "groove":
            axis, up = (self.v, self.sv) if size[self.u] > size[self.v] else (self.u, self.su)
            edge = (
                (cut.low[axis] - self.solid.low[axis]) if up > 0 else (self.solid.high[axis] - cut.high[axis])
            )
            lines.append(f"{self.write(edge)} from {ENDS[axis, -up]}")
        return (middle[self.u], middle[self.v]), lines

    def edge_point(self, mate):
        axis, side = FACING[mate]
        point = [a + 0.55 * (b - a) for a, b in zip(self.solid.low, self.solid.high, strict=True)]
        point[axis] = (self.solid.high if side > 0 else self.solid.low)[axis]
        if axis == self.v:
            end, other = (
                (self.solid.high, self.solid.low) if self.su > 0 else (self.solid.low, self.solid.high)
            )
            point[self.u] = end[self.u] + 0.1 * (other[self.u] - end[self.u])
        elif (side > 0) != (self.su > 0):
            point[self.v] = self.solid.low[self.v] + 0.7 * self.along
        return point[self.u], point[self.v]

    def write_notes(self):
        x = self.plate.width - 182
        notes = sorted(self.notes, key=lambda note: self.y(note[0][1]))
        wanted = [self.y(v) for (_, v), _ in notes]
        tallest = max((len(lines) for _, lines in notes), default=0)
        lowest = self.plate.height - (FOOT if self.paper else 0) - 19 * tallest
        tops = spread(wanted, 19 * tallest + 12, 24, lowest)
        for ((u, _), lines), y, top in zip(notes, wanted, tops, strict=True):
            self.plate.circle("dot", self.x(u), y, 3)
            self.plate.line("dim", (self.x(u), y), (x - 14, y), (x - 14, top), (x - 5, top))
            for n, line in enumerate(lines):
                self.plate.text(x, top + 5 + 19 * n, line)


def hull(points):
    """Corners of the least convex polygon about the points."""
    points = sorted({(round(x, 3), round(y, 3)) for x, y in points})

    def chain(points):
        kept = []
        for x, y in points:
            while len(kept) > 1 and (kept[-1][0] - kept[-2][0]) * (y - kept[-2][1]) <= (
                kept[-1][1] - kept[-2][1]
            ) * (x - kept[-2][0]):
                kept.pop()
            kept.append((x, y))
        return kept

    return chain(points)[:-1] + chain(points[::-1])[:-1]


def _mate(edge, panel):
    """The other panel of an edge, or "" for what is no edge of this panel."""
    names = edge.split("-")
    return next((n for n in names if n != panel), "") if panel in names and len(names) == 2 else ""


def short(words):
    return words if len(words) < 12 else words[:10] + "…"
