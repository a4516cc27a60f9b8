"""One brace as it leaves the saw: its blank, its window, and the slots where others cross it."""

from calc.cabinet.brace_places import NORMAL, SPAN, plane_axes
from server.drawings.panel import ENDS, TALL, Board, short
from server.drawings.plate import rounded

# Paper's right and up, as (axis, direction), and from where that is seen.
_ABOVE = ((0, 1), (1, 1)), "above"
_RIGHT = ((1, 1), (2, 1)), "the right"
_FRONT = ((0, 1), (2, 1)), "the front"
_PLATES = {"shelf": _ABOVE, "rib": _RIGHT, "frame": _FRONT}
_BARS = _ABOVE, _RIGHT, _RIGHT
_ENDS = ("left", "right"), ("front", "back"), ("bottom", "top")


def _seen(solid):
    """The view of a brace, a bar so that its wide side shows."""
    return _PLATES[solid.kind] if solid.axis is None else _BARS[solid.axis]


def _end_axis(solid):
    """The axis from end to end."""
    return SPAN[solid.kind] if solid.axis is None else solid.axis


def brace(solid, openings=(), *, write, letter="", near=True, name=None, clashes=(), paper=None, tall=TALL):
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
    tall : float
        How high the brace is drawn at most, where it is not on paper.

    Returns
    -------
    Drawing
    """
    name = name or f"brace-{solid.name}"
    return _Brace(solid, openings, write, letter, near, name, clashes, paper, tall).drawing()


class _Brace(Board):
    def __init__(self, solid, openings, write, letter, near, name, clashes, paper, tall):
        self.clashes = tuple(clashes)
        self.recess = "o" if near else "hid"
        level = _seen(solid)[0][0][0] == _end_axis(solid)
        self.sides = ("length", "width") if level else ("width", "length")
        self.grain = "grain" if level else "grainv"
        self.face_words = f"seen from {_seen(solid)[1]}"
        super().__init__(solid, openings, write, letter, name, paper, tall)
        for (u0, v0), (u1, v1), _ in solid.windows:
            half = (u1 - u0) * self.scale / 2, (v1 - v0) * self.scale / 2
            self.labels.append((self.x((u0 + u1) / 2), self.y((v0 + v1) / 2), *half))

    def view(self):
        return _seen(self.solid)[0]

    def places(self):
        """Both edges of the window, or the middles of openings, from the left and from below."""
        starts = self.solid.low[self.u], self.solid.low[self.v]
        gaps = [(low, high) for low, high, _ in self.solid.windows]
        gaps += [
            ((cut.low[self.u], cut.low[self.v]), (cut.high[self.u], cut.high[self.v]))
            for cut in self.solid.cuts
            if cut.kind == "notch"
        ]
        if not gaps:
            columns = sorted({round(o.x - self.solid.low[0], 5) for o in self.openings})
            return columns, sorted({round(o.y - self.solid.low[1], 5) for o in self.openings})
        sides = (self.solid.high[axis] - start for axis, start in zip((self.u, self.v), starts, strict=True))
        return tuple(
            sorted(
                {
                    at
                    for low, high in gaps
                    for at in (round(low[n] - start, 5), round(high[n] - start, 5))
                    if 1e-5 < at < side - 1e-5
                }
            )
            for n, (start, side) in enumerate(zip(starts, sides, strict=True))
        )

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
        self.plate.note(f"Seen from {_seen(self.solid)[1]}")
        for (u0, v0), (u1, v1), radius in self.solid.windows:
            d = rounded(self.x(u0), self.y(v1), self.x(u1), self.y(v0), radius * self.scale)
            self.plate.path("leaf", d)
        low, high, axis = self.solid.low, self.solid.high, _end_axis(self.solid)
        near, far = self.solid.tongues
        for at in [low[axis] + near] * bool(near) + [high[axis] - far] * bool(far):
            if axis == self.u:
                self.plate.line("hid", (self.x(at), self.y(low[self.v])), (self.x(at), self.y(high[self.v])))
            else:
                self.plate.line("hid", (self.x(low[self.u]), self.y(at)), (self.x(high[self.u]), self.y(at)))

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
        notes = [self.slot_note(cut) for cut in self.solid.cuts if cut.kind == "slot"]
        notes += [self.notch_note(cut) for cut in self.solid.cuts if cut.kind == "notch"]
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
            (_, v0), (u1, v1), _ = self.solid.windows[-1]
            many = len(self.solid.windows)
            lines = [
                f"{many} windows, each" if many > 1 else "window",
                f"{self.write(width)} × {self.write(height)}",
            ]
            lines.append(f"corners R {self.write(radius)}" if radius > 0 else "square corners")
            notes.append(((u1, v0 + 0.7 * (v1 - v0)), lines))
        near, far = self.solid.tongues
        level = _end_axis(self.solid) == self.u
        hole = "hole" if self.solid.kind == "dowel" else "groove"
        for depth, end in ((far, self.solid.high), (near, self.solid.low)):
            if depth and not (end is self.solid.low and near == far):
                words = (
                    "each end"
                    if near == far
                    else f"{_ENDS[_end_axis(self.solid)][end is self.solid.high]} end"
                )
                at = (end[self.u], self.solid.low[self.v] + 0.2 * self.along)
                if not level:
                    at = (self.solid.high[self.u] - 0.1 * self.across, end[self.v])
                notes.append((at, [words, f"{self.write(depth)} into its {hole}"]))
        return notes

    def notch_note(self, cut):
        """How a notch is sawn: how wide along the edge and how deep into the plate."""
        wide, high = (cut.high[axis] - cut.low[axis] for axis in (self.u, self.v))
        middle = (cut.low[self.u] + cut.high[self.u]) / 2, (cut.low[self.v] + cut.high[self.v]) / 2
        return middle, [short(cut.name), f"{self.write(wide)} × {self.write(high)}"]

    def other_normal(self, cut):
        """The axis across the plate that goes through a slot: along it the slot is narrow."""
        return min(plane_axes(self.solid.kind), key=lambda axis: cut.high[axis] - cut.low[axis])

    def slot_note(self, cut):
        """How a slot is cut: from which edge, how wide and long, and how far from the part's end."""
        run = 3 - NORMAL[self.solid.kind] - self.other_normal(cut)
        across = self.other_normal(cut)
        upper = cut.high[run] >= self.solid.high[run] - 1e-9 and cut.low[run] > self.solid.low[run] + 1e-9
        side, start = _ENDS[run][upper], _ENDS[across][0]
        lines = [
            f"slot for {short(cut.name)}",
            f"{self.write(cut.high[across] - cut.low[across])} wide, "
            f"{self.write(cut.high[run] - cut.low[run])} long",
            f"open to the {side}",
            f"{self.write(cut.low[across] - self.solid.low[across])} from {start}",
        ]
        middle = [(a + b) / 2 for a, b in zip(cut.low, cut.high, strict=True)]
        middle[run] = cut.low[run] + (0.9 if upper else 0.1) * (cut.high[run] - cut.low[run])
        return (middle[self.u], middle[self.v]), lines

    def sentence(self):
        solid = self.solid
        words = f"{solid.name.capitalize()}, seen from {_seen(solid)[1]}: "
        words += f"{self.write(solid.length)} long, {self.write(solid.width)} wide"
        many = len(solid.windows)
        parts = (
            ["its window" if many == 1 else f"{many} windows"]
            if many
            else [f"the seat of {o.name}" for o in self.openings]
        )
        parts += [f"a slot for the {cut.name}" for cut in solid.cuts if cut.kind == "slot"]
        parts += [f"the {cut.name}" for cut in solid.cuts if cut.kind == "notch"]
        return words + (f", with {' and '.join(parts)}." if parts else ".")
