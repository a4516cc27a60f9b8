"""The cabinet sawn through the middle on a sheet of paper, to scale, with all that stands inside."""

from server.drawings.paper import FOOT, Sheet
from server.drawings.projection import flat, showing
from server.drawings.surfaces import beyond, sawn

LANE = 36


def paper_section(parts, middle, inner, write, *, show="metric", title="", name="paper-section"):
    """Draw the section, seen from the right, the front at the left.

    Parameters
    ----------
    parts : list of server.parts.Part
    middle : float
        Where it is sawn through, from the left. [m]
    inner : (low, high)
        Corners of the air inside at the floor. [m]
    write : callable
        Writes a length [m] as text.
    show : "metric" or "imperial"
    title : str
        What the foot says beside the drawing's own name.

    Returns
    -------
    Drawing
    """
    return _Section(parts, middle, inner, write, show, title, name).drawing()


class _Section:
    def __init__(self, parts, middle, inner, write, show, title, name):
        self.parts, self.middle, self.inner, self.write, self.title = parts, middle, inner, write, title
        self.plate = Sheet(name, show)
        ends = [(f.low, f.high) for part in parts for f in part.shape.faces]
        self.low = tuple(min(low[a] for low, _ in ends) for a in range(3))
        self.high = tuple(max(high[a] for _, high in ends) for a in range(3))
        room = self.plate.width - 240, self.plate.height - FOOT - 190
        self.scale = self.plate.fit(self.high[1] - self.low[1], self.high[2] - self.low[2], *room)
        self.left = (self.plate.width - (self.high[1] - self.low[1]) * self.scale) / 2 - self.low[
            1
        ] * self.scale
        self.floor = 40 + (room[1] + (self.high[2] - self.low[2]) * self.scale) / 2 + self.low[2] * self.scale

    def at(self, y, z):
        return self.left + y * self.scale, self.floor - z * self.scale

    def drawing(self):
        far = tuple(beyond(part.shape, 0, self.middle) for part in self.parts)
        lines = showing(tuple(shape for shape in far if shape.faces), "right")
        self.plate.path("dim", "".join(self.data(line) for line in lines))
        for part in self.parts:
            self.sawn(part)
        self.sizes()
        self.plate.foot("Section through the middle" + (f", {self.title}" if self.title else ""))
        self.plate.note(f"Seen from the right, scale {self.plate.scale_words}")
        return self.plate.finished(
            "Section through the middle of the cabinet, front at the left: what is sawn through is hatched, "
            "what lies behind is drawn thinly."
        )

    def data(self, line):
        return "M" + "L".join("{:.1f} {:.1f}".format(*self.at(*point)) for point in line)

    def sawn(self, part):
        loops = [
            [self.at(*flat(point, "right")) for point in loop] for loop in sawn(part.shape, 0, self.middle)
        ]
        if not loops:
            return
        if part.letter:
            xs, ys = zip(*[point for loop in loops for point in loop], strict=True)
            upright = max(xs) - min(xs) < max(ys) - min(ys)  # plies run along the board
            self.plate.shapes("cutface", loops, "plyv" if upright else "plyh")
        else:
            self.plate.shapes("leaf", loops)

    def sizes(self):
        """Outside below and at the left, inside above it and at the right."""
        (_, y0, z0), (_, y1, z1) = self.inner
        outer = [self.outer(axis) for axis in (1, 2)]
        (oy0, oy1), (oz0, oz1) = outer
        below, right = self.floor - oz0 * self.scale, self.left + oy1 * self.scale
        for lane, (a, b) in enumerate(((y0, y1), (oy0, oy1))):
            (xa, _), (xb, _) = self.at(a, 0), self.at(b, 0)
            self.plate.across(xa, xb, below + 40 + LANE * lane, self.write(b - a), start=below + 6, kind="")
        for lane, (a, b) in enumerate(((z0, z1), (oz0, oz1))):
            (_, ya), (_, yb) = self.at(0, a), self.at(0, b)
            self.plate.upright(ya, yb, right + 46 + 50 * lane, self.write(b - a), start=right + 6, kind="")

    def outer(self, axis):
        """From where to where the wood reaches along an axis. [m]"""
        wood = [f for part in self.parts if part.letter for f in part.shape.faces]
        return min(f.low[axis] for f in wood), max(f.high[axis] for f in wood)
