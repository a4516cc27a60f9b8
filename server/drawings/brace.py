"""One brace as it leaves the saw: its blank, its window, and the slots where others cross it."""

from server.drawings.panel import ENDS, Board, short
from server.drawings.plate import rounded
from server.drawings.shapes import window_corners

# Paper's right and up, as (axis, direction): a shelf from above, a rib from the right.
VIEWS = {"shelf": ((0, 1), (1, 1)), "rib": ((1, 1), (2, 1))}
_SEEN = {"shelf": "above", "rib": "the right"}


def brace(solid, openings=(), *, write, letter="", near=True, name=None, clashes=(), paper=None):
    """Draw one brace with its dimensions.

    Parameters
    ----------
    solid : calc.cabinet.bracing.BraceSolid
    openings : list of server.drawings.openings.Opening
        Drivers that sit in a shelf.
    write : callable
        Writes a length [m] as text.
    letter : str
        The part's letter in the cut list.
    near : bool
        Whether their recesses are cut into the face that is seen.
    name : str or None
        Begins the ids within the SVG; ``brace-<name>`` if None.
    clashes : iterable of corners ((x, depth), ...)
        What does not fit on a shelf. [m]
    paper : server.drawings.panel.Paper or None
        Draws it to scale on a sheet that is printed at full size.

    Returns
    -------
    Drawing
    """
    name = name or f"brace-{solid.name}"
    return _Brace(solid, openings, write, letter, near, name, clashes, paper).drawing()


class _Brace(Board):
    def __init__(self, solid, openings, write, letter, near, name, clashes, paper):
        self.clashes = tuple(clashes)
        self.recess = "o" if near else "hid"
        self.sides = ("length", "width") if solid.kind == "shelf" else ("width", "length")
        self.grain = "grain" if solid.kind == "shelf" else "grainv"
        self.face_words = f"seen from {_SEEN[solid.kind]}"
        super().__init__(solid, openings, write, letter, name, paper)
        if solid.window:
            (u0, v0), (u1, v1) = window_corners(solid)
            half = (u1 - u0) * self.scale / 2, (v1 - v0) * self.scale / 2
            self.labels.append((self.x((u0 + u1) / 2), self.y((v0 + v1) / 2), *half))

    def view(self):
        return VIEWS[self.solid.kind]

    def places(self):
        """Both edges of the window, or the middles of openings, from the left and from below."""
        if self.solid.window is None:
            columns = sorted({round(o.x - self.solid.low[0], 5) for o in self.openings})
            return columns, sorted({round(o.y - self.solid.low[1], 5) for o in self.openings})
        low, high = window_corners(self.solid)
        starts = self.solid.low[self.u], self.solid.low[self.v]
        columns, levels = (
            [round(a - start, 5), round(b - start, 5)] for a, b, start in zip(low, high, starts, strict=True)
        )
        return columns, levels

    def blank(self):
        low, high = self.solid.low, self.solid.high
        corners = (self.x(low[self.u]), self.y(low[self.v]), self.x(high[self.u]), self.y(high[self.v]))
        self.plate.rect("face", *corners)
        self.plate.rect("none", *corners, self.grain, faint=True)

    def shapes(self):
        """The window, drivers' seats, and what goes into the grooves."""
        for o in self.openings:
            self.opening(o)
        for corners in self.clashes:
            self.plate.clash([(self.x(x), self.y(depth)) for x, depth in corners])
        self.plate.note(f"Seen from {_SEEN[self.solid.kind]}")
        if self.solid.window:
            (u0, v0), (u1, v1) = window_corners(self.solid)
            radius = self.solid.window[2] * self.scale
            self.plate.path("leaf", rounded(self.x(u0), self.y(v1), self.x(u1), self.y(v0), radius))
        low, high = self.solid.low, self.solid.high
        _, adds = self.solid.sums["length"]
        for _, depth in adds:
            for end in (low, high):
                inwards = depth if end is low else -depth
                if self.solid.kind == "shelf":
                    x = self.x(end[0] + inwards)
                    self.plate.line("hid", (x, self.y(low[1])), (x, self.y(high[1])))
                else:
                    y = self.y(end[2] + inwards)
                    self.plate.line("hid", (self.x(low[1]), y), (self.x(high[1]), y))

    @staticmethod
    def disc_grid(wide):
        """On the rim too, since a window leaves little else."""
        return (11, 10, 6, 2, 1), (6, 1, 11, 2, 10)

    def edge_words(self):
        """Which edge is which, all outside: a rim is too narrow for words."""
        above, middle = self.up - 12, (self.left + self.right) / 2
        self.plate.text(middle, above, ENDS[self.v, self.sv], "em mid-a")
        self.plate.text(middle, self.down + 20, ENDS[self.v, -self.sv], "em mid-a")
        if self.right - self.left > 130:
            self.plate.text(self.left, above, ENDS[self.u, -self.su], "em")
            self.plate.text(self.right, above, ENDS[self.u, self.su], "em end-a")

    def cut_notes(self):
        notes = [self.slot_note(cut) for cut in self.solid.cuts]
        for o in self.openings:
            if o.recess and o.known:
                lines = [
                    short(o.name),
                    f"recess {self.write(o.recess[0])},",
                    f"{self.write(o.recess[1])} deep",
                ]
                notes.append(((o.x + o.recess[0] / 2, o.y), lines))
        if self.solid.window:
            width, height, radius = self.solid.window
            (_, v0), (u1, v1) = window_corners(self.solid)
            lines = ["window", f"{self.write(width)} × {self.write(height)}"]
            lines.append(f"corners R {self.write(radius)}" if radius > 0 else "square corners")
            notes.append(((u1, v0 + 0.7 * (v1 - v0)), lines))
        _, adds = self.solid.sums["length"]
        for _, depth in adds:
            point = [self.solid.high[self.u], self.solid.low[self.v] + 0.2 * self.along]
            if self.solid.kind == "rib":
                point = [self.solid.high[1] - 0.1 * self.across, self.solid.high[2]]
            notes.append((tuple(point), ["each end", f"{self.write(depth)} into its groove"]))
        return notes

    def slot_note(self, cut):
        """How a slot is cut: from which edge, how wide and long, and how far from the part's end."""
        run, across = (1, 0) if self.solid.kind == "shelf" else (1, 2)
        side = "back" if cut.high[1] >= self.solid.high[1] - 1e-9 else "front"
        start = "left" if self.solid.kind == "shelf" else "bottom"
        lines = [
            f"slot for {short(cut.name)}",
            f"{self.write(cut.high[across] - cut.low[across])} wide, "
            f"{self.write(cut.high[run] - cut.low[run])} long",
            f"open to the {side}",
            f"{self.write(cut.low[across] - self.solid.low[across])} from {start}",
        ]
        middle = [(a + b) / 2 for a, b in zip(cut.low, cut.high, strict=True)]
        middle[run] = cut.low[run] + (0.9 if side == "back" else 0.1) * (cut.high[run] - cut.low[run])
        return (middle[self.u], middle[self.v]), lines

    def sentence(self):
        solid = self.solid
        words = f"{solid.name.capitalize()}, seen from {_SEEN[solid.kind]}: "
        words += f"{self.write(solid.length)} long, {self.write(solid.width)} wide"
        parts = ["its window"] if solid.window else [f"the seat of {o.name}" for o in self.openings]
        parts += [f"a slot for the {cut.name}" for cut in solid.cuts]
        return words + (f", with {' and '.join(parts)}." if parts else ".")
