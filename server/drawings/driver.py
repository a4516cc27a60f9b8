"""One driver sawn through its middle, with the five sizes that the saw and the router must know."""

from dataclasses import replace

from server.drawings.plate import Plate
from server.drawings.profile import half_profile, inner_lines, profile

WIDTH, HEIGHT = 1100, 520
AXIS = HEIGHT / 2
TALLEST, DEEPEST, LEFT = 390, 296, 264  # what the driver may fill, and where that begins
ELBOW = 156  # where a leader to the left margin turns
FIELD = 60  # half the height of a field, and some air

COLUMNS = {"flange": (11, 8), "cutout": (9, 4), "magnet": (7, 6)}
"""Column of each upright size, and the row that it would have; the largest outermost."""

NEEDS = {
    "woofer": (
        ("flange", "flange_thickness"), ("flange", "cutout"), ("cutout",), ("cutout", "depth"),
        ("depth", "magnet"), ("depth", "magnet"), ("depth", "magnet"),
    ),
    "tweeter": (
        ("flange", "flange_thickness"), ("flange", "cutout"), ("cutout",), ("depth", "cutout", "magnet"),
        ("depth", "magnet"), ("depth", "magnet"),
    ),
}  # fmt: skip
"""The sizes that fix each stroke of a driver's outline, from the flange's front to the magnet's back."""

WORDS = {
    "flange": "flange", "flange_thickness": "flange's thickness", "cutout": "hole", "depth": "depth",
    "magnet": "magnet",
}  # fmt: skip


def driver_section(key, driver, name=None):
    """Draw a driver sawn through its middle, to scale, its front at the left.

    Parameters
    ----------
    key : str
        The driver's name in the project.
    driver : calc.project.Driver
        What its sheet leaves out is of the usual shape, and dashed.
    name : str or None
        Begins the ids within the SVG; made of `key` where None.

    Returns
    -------
    Drawing
        With spots ``flange`` (across), ``flange_thickness``, ``cutout`` (across), ``depth`` (behind the
        seat) and ``magnet`` (across).
    """
    return _Driver(driver, name or f"driver-{key}").drawing()


class _Driver:
    def __init__(self, driver, name):
        frame, shape = driver.frame, profile(driver)
        self.given = {size for size in WORDS if getattr(frame, size) is not None} - {"flange"}
        self.given |= {"flange"} if frame.wide is not None else set()
        self.dome_given = driver.Sd is not None or driver.kind != "tweeter"
        self.shape = replace(shape, cutout=frame.cutout or shape.cutout, magnet=frame.magnet or shape.magnet)
        self.plate = Plate(name, WIDTH, HEIGHT)
        self.kind = driver.kind
        for share in (1.0, 0.95, 0.9, 0.85, 0.8):  # smaller, until every value finds room between the lines
            self.fit(share)
            if None not in self.rows.values():
                break

    def fit(self, share):
        """Choose the scale, and the rows of the upright sizes."""
        shape = self.shape
        self.bulge = 0.21 * shape.dome if shape.kind == "tweeter" else 0.0  # of the dome, as it is drawn
        deep = self.bulge + shape.flange_thickness + shape.depth
        self.tall = max(shape.flange, shape.cutout, shape.magnet)
        self.scale = min(share * TALLEST / self.tall, DEEPEST / deep)
        self.seat = LEFT + DEEPEST / 2 + (deep / 2 - shape.depth) * self.scale
        self.rows = {size: self.free_row(size) for size in COLUMNS}

    def x(self, depth):
        return self.seat + depth * self.scale

    def y(self, radius):
        return AXIS - radius * self.scale

    def ends(self, size):
        half = getattr(self.shape, size) / 2
        return self.y(half), self.y(-half)

    def free_row(self, size):
        """The row nearest to the wanted one where the value hides no end of its own or an outer line."""
        column, wanted = COLUMNS[size]
        lines = [y for other, (c, _) in COLUMNS.items() if c >= column for y in self.ends(other)]
        rows = sorted(range(1, 12), key=lambda row: (abs(row - wanted), row))
        clear = (row for row in rows if all(abs(y - self.plate.row(row)) >= FIELD for y in lines))
        return next(clear, None)

    def drawing(self):
        self.body()
        self.upright("flange", self.x(0), (740, self.ends("flange")[0]))
        self.thickness()
        self.upright("cutout", self.x(0) + 4, (740, self.ends("cutout")[1]))
        self.depth()
        self.upright("magnet", self.x(self.shape.depth), (self.plate.column(7), AXIS))
        if len(self.given) < len(WORDS) or not self.dome_given:
            self.plate.note("What the sheet leaves out is dashed, drawn as such drivers usually are.")
        if "magnet" in self.given and "cutout" in self.given and self.shape.magnet >= self.shape.cutout:
            self.plate.note("The magnet is as wide as the hole or wider: it does not go in from the front.")
        return self.plate.finished(self.sentence())

    def line(self, *sizes):
        """The stroke for an edge that these sizes fix: an outline, or dashed where one is not given."""
        return "o" if self.given.issuperset(sizes) else "hid"

    # The driver ---------------------------------------------------------------------------------------

    def body(self):
        shape, plate = self.shape, self.plate
        half = half_profile(shape, -shape.flange_thickness, 0.0)
        above = [(self.x(y), self.y(r)) for y, r in half]
        below = [(self.x(y), self.y(-r)) for y, r in half]
        plate.polygon("pad", above + below[::-1])
        plate.polygon("none", [*above[-2:], *below[:-3:-1]], "slant", faint=True)
        for side in (above, below):  # the flange as a ring, sawn through
            rim = (side[0][0], side[2][1])
            plate.polygon("none", [*side[:3], rim], "slant", faint=True)
        needs = NEEDS["tweeter" if shape.kind == "tweeter" else "woofer"]
        for side in (above, below):
            for start, end, sizes in zip(side[:-1], side[1:], needs, strict=False):
                plate.line(self.line(*sizes), start, end)
        plate.line(self.line("flange"), above[0], below[0])
        plate.line(self.line(*needs[-1]), above[-1], below[-1])
        inside = self.line("cutout", "depth")
        if shape.kind == "tweeter":
            inside = "o" if self.dome_given else "hid"
        inner_lines(plate, shape, inside, self.x, self.y, -shape.flange_thickness, 0.0)
        foremost = self.x(-shape.flange_thickness - self.bulge)
        plate.line("mid", (foremost - 30, AXIS), (self.x(shape.depth) + 14, AXIS))

    # Its sizes ----------------------------------------------------------------------------------------

    def upright(self, size, start, key):
        """A size across, its value on the line where that is long enough, else above or below."""
        column, _ = COLUMNS[size]
        row, x = self.rows[size], self.plate.column(column)
        top, low = self.ends(size)
        level = self.plate.row(row)
        self.plate.upright(top, low, x, start=start)
        if not top < level < low:
            self.plate.line("dim", (x, top if level < top else low), (x, level))
        self.plate.spot(size, column, row, key)

    def thickness(self):
        """The flange's thickness, above it."""
        top = self.y(self.tall / 2)
        row = max(row for row in range(1, 5) if row == 1 or self.plate.row(row) <= top - 20)
        y, start = self.plate.row(row), self.ends("flange")[0]
        front, seat = self.x(-self.shape.flange_thickness), self.x(0)
        self.plate.across(front, seat, y, start=start - 4)
        self.plate.line("dim", (seat, y), (seat + 18, y))
        self.beside("flange_thickness", front, y, max(row, 2), (front - 60, y))

    def depth(self):
        """The depth behind the seat, below it."""
        low = self.y(-self.tall / 2)
        row = min(row for row in range(8, 12) if row == 11 or self.plate.row(row) >= low + 20)
        y, seat, back = self.plate.row(row), self.x(0), self.x(self.shape.depth)
        self.plate.across(seat, back, y, start=(self.ends("flange")[1] + 4, self.ends("magnet")[1] + 4))
        self.beside("depth", seat, y, min(row, 10), ((seat + back) / 2, y))

    def beside(self, size, x, y, row, key):
        """A value at the left margin, with a leader from (x, y)."""
        level = self.plate.row(row)
        turn = [] if level == y else [(ELBOW, y), (ELBOW, level)]
        self.plate.line("dim", (x, y), *turn, (112, level))
        self.plate.spot(size, 1, row, key)

    def sentence(self):
        lacking = [words for size, words in WORDS.items() if size not in self.given]
        lacking += [] if self.dome_given else ["dome"]
        told = f" Not given, and dashed: {', '.join(lacking)}." if lacking else ""
        return f"A {self.kind} sawn through its middle, front at the left, to scale.{told}"
