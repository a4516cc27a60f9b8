"""How a driver seat is bored: the seat in section, and the router's circle jig from above."""

from server.drawings.plate import Plate

WIDTH = 600


def seat_section(seat, frame, panel_thickness, write, *, finish=0.0, name="seat"):
    """Draw a driver seat in section, the face of the panel upwards.

    The panel's thickness, the recess and the ledge are to one scale; the hole is cut short by zigzags.
    On the left the bare wood, on the right with gasket and flange in it.

    Parameters
    ----------
    seat : calc.shop.boring.Seat
    frame : calc.project.Frame
    panel_thickness, finish : float
        Of the front, and of the paint or veneer that comes on it. [m]
    write : callable
        Writes a length [m] as text.
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    return _Seat(seat, frame, panel_thickness, write, finish, name).drawing()


class _Seat:
    FACE, EDGE = 122, 104  # y of the bare face, x of the panel's left break

    def __init__(self, seat, frame, panel_thickness, write, finish, name):
        self.seat, self.frame, self.thickness = seat, frame, panel_thickness
        self.write, self.finish = write, finish
        ledge = seat.ledge or 0.01
        cut = seat.chamfer
        wide = (cut.mouth - seat.cutout) / 2 if cut else 0.0
        self.scale = min(104 / panel_thickness, 68 / ledge, 66 / max(wide - ledge, 1e-9))
        self.ledge, self.wide = ledge * self.scale, wide * self.scale
        self.deep = seat.recess_depth * self.scale
        self.low = self.FACE + panel_thickness * self.scale
        self.plate = Plate(name, WIDTH, self.low + 104)
        self.shoulder = 196  # x where the recess, or the flange on the face, begins; mirrored on the right
        self.hole = self.shoulder + self.ledge

    def drawing(self):
        self.wood()
        self.driver()
        self.across()
        self.depths()
        self.chamfer()
        seat = self.seat
        if seat.recess:
            words = f"recess {self.write(seat.recess)} across and {self.write(seat.recess_depth)} deep, "
        else:
            words = "flange on the face, "
        cut = seat.chamfer
        inside = f"; from the inside a chamfer of {cut.angle:g}°, {self.write(cut.depth)} deep" if cut else ""
        return self.plate.finished(
            f"Driver seat in section: {words}hole {self.write(seat.cutout)} through{inside}."
        )

    def mirror(self, points, right):
        return [(WIDTH - x, y) for x, y in points] if right else points

    def wood(self):
        for right in (False, True):
            face, low, deep = self.FACE, self.low, self.FACE + self.deep
            middle = (face + low) / 2
            broken = [
                (self.EDGE, low), (self.EDGE, middle + 12), (self.EDGE - 8, middle + 5),
                (self.EDGE + 8, middle - 5), (self.EDGE, middle - 12), (self.EDGE, face),
            ]  # fmt: skip
            outline = [
                *broken,
                (self.shoulder, face),
                (self.shoulder, deep),
                (self.hole, deep),
                *self.inner_edge(),
            ]
            self.plate.polygon("cutface", self.mirror(outline, right), "plyh")
            self.plate.line("dim", *self.mirror([(self.hole, deep), (WIDTH / 2 - 14, deep)], right))
            edge = self.hole - self.wide
            self.plate.line("dim", *self.mirror([(edge, low), (WIDTH / 2 - 14, low)], right))
        if self.finish > 0:
            thin = max(2.0, self.finish * self.scale)
            for right in (False, True):
                ends = [(self.EDGE, self.FACE), (self.EDGE, self.FACE - thin)]
                ends += [(self.shoulder, self.FACE - thin), (self.shoulder, self.FACE)]
                self.plate.polygon("leaf", self.mirror(ends, right))
        for x in (WIDTH / 2 - 14, WIDTH / 2 + 14):  # the hole is longer than it is drawn
            top, bottom = self.FACE + self.deep - 10, self.low + 10
            middle = (top + bottom) / 2
            zigzag = [
                (x, top),
                (x, middle - 9),
                (x - 7, middle - 4),
                (x + 7, middle + 4),
                (x, middle + 9),
                (x, bottom),
            ]
            self.plate.line("dim", *zigzag)

    def inner_edge(self):
        """The hole's lower edge: sharp, or chamfered."""
        if not self.seat.chamfer:
            return [(self.hole, self.low)]
        start = self.low - self.seat.chamfer.depth * self.scale
        return [(self.hole, start), (self.hole - self.wide, self.low)]

    def chamfer(self):
        """The chamfer's words, led to its slope on the right."""
        cut = self.seat.chamfer
        if not cut:
            return
        x, y = WIDTH - self.hole + self.wide / 2, self.low - cut.depth * self.scale / 2
        level = self.low + 74
        self.plate.line("dim", (x, y), (x, level), (x + 16, level))
        self.plate.circle("dot", x, y, 3)
        self.plate.text(
            x + 20, level + 6, f"{cut.angle:g}°, {self.write(cut.depth)} deep, ⌀ {self.write(cut.mouth)}"
        )

    def driver(self):
        """Flange and gasket in the right half."""
        gasket = max(self.frame.gasket * self.scale, 2.5 if self.frame.gasket else 0.0)
        flange = (self.frame.flange_thickness or 0.005) * self.scale
        floor = self.FACE + self.deep
        clearance = (
            ((self.seat.recess - self.frame.wide) / 2 * self.scale)
            if self.seat.recess and self.frame.wide
            else 0.0
        )
        rim, inner = WIDTH - self.shoulder - min(clearance, 6), WIDTH - self.hole - 14
        if gasket:
            self.plate.rect("cutline", WIDTH - self.hole + 2, floor - gasket, rim - 2, floor, "cross")
        self.plate.rect("leaf", inner, floor - gasket - flange, rim, floor - gasket)
        self.plate.rect("none", inner, floor - gasket - flange, rim, floor - gasket, "slant", faint=True)
        x = rim - 0.4 * self.ledge
        self.plate.line(
            "dim", (x, floor - gasket - flange / 2), (x, self.FACE - 34), (x + 16, self.FACE - 34)
        )
        self.plate.circle("dot", x, floor - gasket - flange / 2, 3)
        self.plate.text(x + 20, self.FACE - 29, "flange" + (", on its gasket" if gasket else ""))

    def across(self):
        mirrored = WIDTH - self.shoulder
        sign = "" if self.frame.shape == "square" else "⌀ "
        if self.seat.recess:
            self.broken(self.shoulder, mirrored, 34, self.write(self.seat.recess), self.FACE - 6, sign)
        elif self.frame.wide:
            self.broken(self.shoulder, mirrored, 34, self.write(self.frame.wide), self.FACE - 6, sign)
        self.broken(self.hole, WIDTH - self.hole, self.low + 34, self.write(self.seat.cutout), self.low + 6)
        if self.seat.ledge:
            words = f"ledge {self.write(self.seat.ledge)}"
            y = self.low + 74
            self.plate.across(self.shoulder, self.hole, y, "", start=self.low + 6)
            self.plate.line("dim", (self.shoulder - 14, y), (self.shoulder, y))
            self.plate.text(self.shoulder - 20, y + 6, words, "end-a")

    def broken(self, x1, x2, y, words, start, sign="⌀ "):
        self.plate.across(x1, x2, y, sign + words, start=start)

    def depths(self):
        floor, x = self.FACE + self.deep, self.EDGE - 34
        if self.deep > 0:
            self.plate.line("dim", (x - 8, floor), (self.EDGE - 14, floor))
            self.plate.line("dim", (x - 8, self.FACE), (self.EDGE - 6, self.FACE))
            self.plate.line("dim", (x, self.FACE - 16), (x, floor + 16))
            self.plate.tick(x, self.FACE)
            self.plate.tick(x, floor)
            self.plate.text(12, self.FACE - 24, f"{self.write(self.seat.recess_depth)} deep", "big")
        right = WIDTH - self.EDGE + 50
        words = self.write(self.thickness)
        self.plate.upright(self.FACE, self.low, right, words, start=WIDTH - self.EDGE + 8)


def jig(seat, step, bit, write, *, name="jig"):
    """Draw the circle jig from above at one setting: the pin, the arm, and the bit on its ring.

    Parameters
    ----------
    seat : calc.shop.boring.Seat
    step : calc.shop.boring.Step
        The setting.
    bit : float
        Diameter of the bit. [m]
    write : callable
        Writes a length [m] as text.
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    plate = Plate(name, WIDTH, 380)
    widest = max(seat.recess or 0.0, seat.cutout, 2 * step.centre + bit)
    scale = 264 / widest
    x, y = 168.0, 176.0
    centre, half = step.centre * scale, bit / 2 * scale
    outer, inner = centre + half, max(centre - half, 0.0)
    square = seat.flats is not None and seat.flats.left is not None
    for diameter in {None if square else seat.recess, seat.cutout} - {None}:
        plate.circle("hid", x, y, diameter / 2 * scale)
    if seat.flats:  # with the arm along two of them
        edge, run = seat.flats.edge * scale, seat.flats.length / 2 * scale
        for side in (-1, 1):
            plate.line("o", (x - run, y + side * edge), (x + run, y + side * edge))
            if square:
                plate.line("o", (x + side * edge, y - run), (x + side * edge, y + run))
    plate.path("cutline", _circle(x, y, outer, 1) + _circle(x, y, inner, 0), "slant")
    arm = [(x - 22, y - 15), (x + centre + 60, y - 15), (x + centre + 60, y + 15), (x - 22, y + 15)]
    plate.polygon("leaf", arm)
    plate.polygon("none", arm, "grain", faint=True)
    plate.circle("leaf", x + centre, y, max(half, 5))
    plate.line("mid", (x + centre - half - 9, y), (x + centre + half + 9, y))
    plate.line("mid", (x + centre, y - half - 9), (x + centre, y + half + 9))
    plate.circle("dot", x, y, 5)
    level = y + 176
    plate.across(x, x + centre, level, write(step.centre), start=(y + 22, y + 22))
    note = x + outer + 70 if outer < 150 else 372.0
    plate.text(note, 104, "pin to middle of bit", "")
    plate.text(note, 128, write(step.centre), "big")
    plate.text(note, 172, "pin to near edge", "")
    plate.text(note, 196, write(step.edge), "big")
    cut = "recess" if step.cut == "recess" else "hole through the panel"
    passes = len(step.depths)
    plate.text(note, 240, f"{passes} pass{'es' * (passes != 1)}, to {write(step.depths[-1])} deep")
    return plate.finished(
        f"Circle jig from above, for the {cut}: pin to middle of the bit {write(step.centre)}, "
        f"to its near edge {write(step.edge)}."
    )


def _circle(x, y, r, turn):
    """Path data of a circle; two that turn against each other leave a ring."""
    return (
        f"M{x - r:.1f} {y:.1f}A{r:.1f} {r:.1f} 0 1 {turn} {x + r:.1f} {y:.1f}"
        f"A{r:.1f} {r:.1f} 0 1 {turn} {x - r:.1f} {y:.1f}Z"
    )
