"""The front, or the back, as the router meets it: every seat with its centre, circles and screws."""

from server.drawings.plate import Plate, spread
from server.drawings.solids import opening_rim

WIDTH, TOP = 1100, 50
BESIDE = 240
"""What stands beside it on the right takes so much at least."""


def front(
    carcass, openings, *, write, mirrored=False, ask=(), panel="front", name=None, clashes=(), wide=WIDTH
):
    """Draw the front, seen from outside, with its openings dimensioned from the lower left corner.

    The back is drawn as it lies behind the front, so that left is left on both.

    Parameters
    ----------
    carcass : calc.cabinet.panels.Carcass
    openings : list of server.drawings.openings.Opening
        Of that panel.
    write : callable
        Writes a length [m] as text.
    mirrored : bool
        The other one of a mirrored pair.
    ask : iterable of str
        Seats (or "port") whose place the page asks for; their dimensions are left to its fields.
    panel : "front" or "back"
    name : str or None
        Begins the ids within the SVG; the panel's name if None.
    clashes : iterable of corners ((x, y), ...)
        What does not fit on it. [m]
    wide : float
        Width of the drawing: less leaves its lettering larger against the panel.

    Returns
    -------
    Drawing
        With spots ``<seat>.x`` and ``<seat>.y`` for those in `ask`.
    """
    return _Front(carcass, openings, write, mirrored, set(ask), panel, name or panel, clashes, wide).drawing()


class _Front:
    def __init__(self, carcass, openings, write, mirrored, ask, panel, name, clashes, wide):
        self.carcass, self.openings, self.write, self.face = carcass, openings, write, panel
        self.mirrored, self.ask, self.clashes = mirrored, ask, tuple(clashes)
        self.W, self.H, _ = carcass.outer
        self.places = sorted({round(o.x, 5) for o in openings if o.name not in ask})
        self.below = 60 + 36 * (len(self.places) + 1)
        middle = (430 if ask else 570) * wide / WIDTH
        room = min(430, 2 * (wide - BESIDE - middle))
        self.scale = min(room / self.W, (850 - TOP - self.below) / self.H)
        tall = self.H * self.scale
        height = min(max(tall + TOP + self.below, 560 if wide == WIDTH else 0), 860)
        self.plate = Plate(name, wide, height)
        self.left = middle - self.W * self.scale / 2
        self.up = TOP + (height - TOP - self.below - tall) / 2

    def x(self, x):
        return self.left + (self.W - x if self.mirrored else x) * self.scale

    def y(self, z):
        return self.up + (self.H - z) * self.scale

    def drawing(self):
        self.panels()
        for opening in self.openings:
            self.opening(opening)
        for corners in self.clashes:
            self.plate.clash([(self.x(x), self.y(y)) for x, y in corners])
        self.heights()
        self.widths()
        self.notes_beside()
        self.fields()
        hand = " of the mirrored cabinet" if self.mirrored else ""
        count = len(self.openings)
        corner = "right" if self.mirrored else "left"
        many = f"{count} opening{'s' * (count != 1)}, dimensioned from the lower {corner} corner"
        seen = "seen from outside" if self.face == "front" else "as it lies behind the front"
        hatched = " What does not fit is hatched." if self.clashes else ""
        return self.plate.finished(f"{self.face.capitalize()}{hand}, {seen}: {many}.{hatched}")

    def panels(self):
        """The panel, and the edges of those that run past it."""
        for name, plies in (("left", "plyv"), ("right", "plyv"), ("top", "plyh"), ("bottom", "plyh")):
            panel = self.carcass.panels[name]
            past = (
                panel.low[1] < 1e-9 if self.face == "front" else panel.high[1] > self.carcass.outer[2] - 1e-9
            )
            if past:
                self.rect("cutface", panel, plies)
        self.rect("face", self.carcass.panels[self.face])
        self.rect("none", self.carcass.panels[self.face], "grainv", faint=True)

    def rect(self, kind, panel, fill=None, faint=False):
        corners = (self.x(panel.low[0]), self.y(panel.low[2]), self.x(panel.high[0]), self.y(panel.high[2]))
        self.plate.rect(kind, *corners, fill, faint)

    def opening(self, o):
        x, y, s = self.x(o.x), self.y(o.y), self.scale
        reach_x, reach_y = o.width * s / 2, o.height * s / 2
        if not o.known:
            self.plate.circle("hid", x, y, reach_x)
            self.plate.note("A dashed seat has the usual size: the driver's sheet does not give it.")
        elif o.round:
            if o.recess and o.rim:
                self.plate.polygon("face", [(self.x(a), self.y(b)) for a, b in o.rim.corners()])
            elif o.recess:
                self.plate.circle("face", x, y, o.recess[0] * s / 2)
                reach_x = reach_y = o.recess[0] * s / 2
            self.plate.circle("leaf", x, y, o.width * s / 2)
        else:
            self.plate.polygon("leaf", [(self.x(a), self.y(b)) for a, b in opening_rim(o)])
        if o.rim:
            if not o.recess:
                self.plate.polygon("hid", [(self.x(a), self.y(b)) for a, b in o.rim.corners()])
            left, low, right, high = o.rim.bounds()
            reach_x, reach_y = (right - left) * s / 2, (high - low) * s / 2
        if o.known:
            self.screws(o)
        self.plate.line("mid", (x - reach_x - 12, y), (x + reach_x + 12, y))
        self.plate.line("mid", (x, y - reach_y - 12), (x, y + reach_y + 12))
        if o.round and o.known:
            right = self.left + self.W * s - 8
            self.plate.diameter(x, y, o.width * s / 2, self.write(o.width), right)

    def screws(self, o):
        for x, y in o.places:
            self.plate.circle("dot", self.x(o.x + x), self.y(o.y + y), 2.5)

    def heights(self):
        """Heights of the centres, each from the lower edge; the whole height outermost."""
        levels = sorted({round(o.y, 5) for o in self.openings if o.name not in self.ask}) + [self.H]
        pitch = min(84, (self.left - 100) / max(1, len(levels) - 1))
        for lane, level in enumerate(levels):
            x = self.left - 56 - lane * pitch
            at = 0.5 if level == self.H else 0.8
            self.plate.upright(self.y(level), self.y(0), x, self.write(level), start=self.left - 8, at=at)

    def widths(self):
        """Places of the centres from the edge, then the whole width."""
        clear = self.left + self.W * self.scale + 14
        for lane, place in enumerate([*self.places, self.W]):
            y, start = self.y(0) + 40 + 36 * lane, self.y(0) + 8
            self.plate.across(self.x(0), self.x(place), y, self.write(place), start=start, clear=clear)

    def notes_beside(self):
        """What each opening measures, on the right; where fields stand there, their page says it."""
        if self.ask:
            return
        groups = {}
        for o in self.openings:  # equal ones are told once
            alike = o.kind in ("port", "radiator")
            groups.setdefault(tuple(self.measures(o)) if alike else o.name, (o, self.measures(o)))
        right = self.left + self.W * self.scale
        tallest = max((len(lines) for _, lines in groups.values()), default=0) * 20 + 20
        wanted = [self.y(o.y) for o, _ in groups.values()]
        tops = spread(wanted, tallest, 40, self.plate.height - tallest)
        for (o, lines), y, top in zip(groups.values(), wanted, tops, strict=True):
            start = self.x(o.x) + (o.recess[0] if o.recess else o.width) / 2 * self.scale + 12
            self.plate.line("dim", (start, y), (right + 26, y), (right + 26, top), (right + 44, top))
            for n, line in enumerate(lines):
                self.plate.text(right + 52, top + 6 + 20 * n, line, "" if n else "big")

    def measures(self, o):
        called = o.name.rstrip("0123456789 ") if o.kind in ("port", "radiator") else o.name
        title = called[:1].upper() + called[1:]
        lines = [title if len(title) < 22 else title[:20] + "…"]
        if not o.known:
            return [*lines, "size not given"]
        if o.recess:
            lines.append(f"recess {self.write(o.recess[0])}, {self.write(o.recess[1])} deep")
        if o.round:
            lines.append(f"through {self.write(o.width)}")
        else:
            lines.append(f"{self.write(o.width)} × {self.write(o.height)}")
        if o.kind == "hole" and o.places:
            lines.append(f"{len(o.places)} screws in its rim")
        if o.screws:
            lines.append(f"{o.screws[0]} screws on {self.write(o.screws[1])}")
        return lines

    def fields(self):
        """Places for a pair of fields for each opening whose centre the page asks for."""
        asked = [o for o in self.openings if o.name in self.ask]
        wanted = [self.y(o.y) / self.plate.row(1) for o in asked]
        right = self.left + self.W * self.scale
        for o, row in zip(asked, spread(wanted, 2, 1.5, 11), strict=True):
            row = int(row + 0.5)
            y, level = self.y(o.y), self.plate.row(row)
            reach = (o.recess[0] if o.recess else o.width) / 2 * self.scale + 12
            elbow = right + 30
            points = [
                (self.x(o.x) + reach, y),
                (elbow, y),
                (elbow, level),
                (self.plate.column(9) - 76, level),
            ]
            self.plate.line("dim", *points)
            self.plate.spot(f"{o.name}.x", 9, row, (min(elbow, 748), y - 21))
            self.plate.spot(f"{o.name}.y", 11, row, (min(elbow, 748) + 42, y - 21))
