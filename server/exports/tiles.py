"""Templates at full size on ordinary paper: pages that overlap, marks to join them, lines to measure."""

from datetime import UTC, datetime
from io import BytesIO
from math import ceil
from typing import NamedTuple

import numpy as np
from reportlab.pdfbase.pdfmetrics import stringWidth

from calc.shop.features import PRICKED, Circle
from calc.shop.fractions import INCH
from calc.shop.rings import flattened
from server.exports.words import Spots, traced, words

MM = 72 / 25.4
"""Points of a PDF in a millimetre."""

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of each paper. [mm]"""

EDGE, FOOT, OVERLAP = 8.0, 22.0, 12.0
"""What no printer reaches, the room of the foot, what two pages share. [mm]"""

LIGHT, BOLD = 0.25, 0.9
"""Line weights. [pt]"""

FONT, HEAD = ("Helvetica", 8), ("Helvetica-Bold", 10)
"""Of what is written on a page, and of what the page is. [pt]"""

CROSS = np.array([(0.0, 0.0), (-4.0, 0.0), (4.0, 0.0), (0.0, -4.0), (0.0, 4.0)])
"""Places on a mark to join pages by, about its middle. [mm]"""


class Tile(NamedTuple):
    """One page of a template: its column and row from the lower left, counted from 1, of how many.

    left, low : the place on the part at the page's lower left corner. [mm]
    """

    column: int
    row: int
    columns: int
    rows: int
    left: float
    low: float


def tiles(width, height, paper):
    """The `Tile`s that cover a part `width` by `height` [mm], with `OVERLAP` between neighbours."""
    wide, tall = room(paper)
    columns, rows = (
        max(1, ceil(round((side + 2 * MARGIN - OVERLAP) / (page - OVERLAP), 6)))
        for side, page in ((width, wide), (height, tall))
    )
    return [
        Tile(
            column + 1, row + 1, columns, rows,
            column * (wide - OVERLAP) - MARGIN, row * (tall - OVERLAP) - MARGIN,
        )
        for row in range(rows)
        for column in range(columns)
    ]  # fmt: skip


MARGIN = 4.0
"""Paper round the part's outline. [mm]"""


def room(paper):
    """Width and height of what a page of a paper shows of a part. [mm]"""
    width, height = PAPERS[paper]
    return width - 2 * EDGE, height - 2 * EDGE - FOOT


def sides_pdf(sides, paper, title, write):
    """Templates of parts as the bytes of a PDF that viewers are asked not to shrink.

    Parameters
    ----------
    sides : iterable of calc.shop.features.Side
    paper : "a4" or "letter"
    title : str
        Of the project and its revision; stands on each page.
    write : callable
        Writes a length [m] as text.
    """
    from reportlab.pdfgen.canvas import Canvas

    file = BytesIO()
    width, height = PAPERS[paper]
    canvas = Canvas(file, pagesize=(width * MM, height * MM), pageCompression=0)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setTitle(latin(title))
    for each in sides:
        for tile in tiles(1e3 * each.part.width, 1e3 * each.part.height, paper):
            _Page(canvas, paper, each, tile, write).draw(title)
            canvas.showPage()
    canvas.save()
    return file.getvalue()


def latin(text):
    """A text in the letters that the printer's own fonts have; a question mark for each other."""
    plain = text.replace("″", '"').replace("−", "-").replace("⌀", "Ø")
    return plain.encode("cp1252", "replace").decode("cp1252")


class _Page:
    """One page; places are millimetres on the part."""

    def __init__(self, canvas, paper, side, tile, write):
        self.canvas, self.paper, self.side, self.tile, self.write = canvas, paper, side, tile, write
        self.wide, self.tall = room(paper)

    def at(self, x, y):
        """A place on the part [mm] as points on the page."""
        return (EDGE + x - self.tile.left) * MM, (EDGE + FOOT + y - self.tile.low) * MM

    def draw(self, title):
        canvas = self.canvas
        canvas.setLineWidth(LIGHT)
        left, low = EDGE * MM, (EDGE + FOOT) * MM
        canvas.rect(left, low, self.wide * MM, self.tall * MM)
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(left, low, self.wide * MM, self.tall * MM)
        canvas.clipPath(frame, stroke=0)
        for feature in self.side.features:
            self.feature(feature)
        for x, y in self.joins():
            self.cross(x, y, 5.0)
            canvas.circle(*self.at(x, y), 1.5 * MM)
        self.label()
        canvas.restoreState()
        self.foot(title)

    def feature(self, feature):
        canvas = self.canvas
        canvas.setLineWidth(BOLD if feature.through else LIGHT * 2)
        canvas.setDash([] if feature.through or feature.kind in PRICKED else [6, 3])
        if isinstance(feature.shape, Circle):
            x, y, diameter = (1e3 * each for each in feature.shape)
            canvas.circle(*self.at(x, y), diameter / 2 * MM)
            self.cross(x, y, 3.0 if feature.kind in PRICKED else min(8.0, diameter / 2 - 1.0))
        else:
            self.ring(feature.shape)
        canvas.setDash([])

    def ring(self, ring):
        path = self.canvas.beginPath()
        for n, (x, y) in enumerate(flattened(ring)):
            (path.lineTo if n else path.moveTo)(*self.at(1e3 * x, 1e3 * y))
        path.close()
        self.canvas.drawPath(path, stroke=1, fill=0)

    def cross(self, x, y, reach):
        self.canvas.setDash([])
        self.canvas.setLineWidth(LIGHT)
        self.canvas.line(*self.at(x - reach, y), *self.at(x + reach, y))
        self.canvas.line(*self.at(x, y - reach), *self.at(x, y + reach))

    def label(self):
        """What each cut is, on every page that shows some of it."""
        lines = [traced(each.shape) for each in self.side.features]
        left, low = self.tile.left, self.tile.low
        circles = (each.shape for each in self.side.features if isinstance(each.shape, Circle))
        middles = [(1e3 * each.x, 1e3 * each.y) for each in circles]
        marks = [np.array(place)[None] + CROSS for place in (*self.joins(), *middles)]
        spots = Spots((left, low, left + self.wide, low + self.tall), np.concatenate([*lines, *marks]))
        for feature, line in zip(self.side.features, lines, strict=True):
            said = latin(words(feature, self.side.called, self.write))
            if not said:
                continue
            spot = spots.place(line, stringWidth(said, *FONT) / MM, FONT[1] / MM)
            if spot:
                self.text(said, *spot)

    def text(self, said, x, y, upright):
        """Words from their lower left corner on."""
        self.canvas.saveState()
        self.canvas.setFont(*FONT)
        self.canvas.translate(*self.at(x + (FONT[1] / MM if upright else 0.0), y))
        self.canvas.rotate(90 if upright else 0)
        self.canvas.drawString(0, FONT[1] * 0.22, said)
        self.canvas.restoreState()

    def joins(self):
        """Where crosses stand in what two pages share, which lie on each other when they are joined."""
        tile = self.tile
        xs = [k * (self.wide - OVERLAP) + OVERLAP / 2 - MARGIN for k in range(1, tile.columns)]
        ys = [k * (self.tall - OVERLAP) + OVERLAP / 2 - MARGIN for k in range(1, tile.rows)]
        across = [tile.left + share * self.wide for share in (0.25, 0.75)]
        up = [tile.low + share * self.tall for share in (0.25, 0.75)]
        return [*((x, y) for x in xs for y in up), *((x, y) for y in ys for x in across)]

    def foot(self, title):
        """What the page is, which of how many, and the lines that tell whether the printer kept the size."""
        canvas, tile = self.canvas, self.tile
        page = (
            f"column {tile.column} of {tile.columns} from the left, row {tile.row} of {tile.rows} from below"
        )
        canvas.setFont(*FONT)
        canvas.drawRightString((EDGE + self.wide) * MM, (EDGE + FOOT - 5) * MM, page)
        name = self.side.name[:1].upper() + self.side.name[1:]
        self.line(name, EDGE + FOOT - 5, self.wide - stringWidth(page, *FONT) / MM - 4, HEAD)
        self.line(title, EDGE + FOOT - 9, self.wide, FONT)
        other = () if self.side.first else ("Its outline is cut from the other face.",)
        self.line(" ".join((*other, *self.side.part.notes)), EDGE + FOOT - 12.5, self.wide, FONT)
        self.check(EDGE, EDGE + 6, 100.0, "100 mm")
        self.check(EDGE, EDGE + 1, 4e3 * INCH, "4 in")
        canvas.setFont(*FONT)
        canvas.drawString((EDGE + 118) * MM, (EDGE + 6) * MM, "Print at 100 %, never “fit to page”.")
        canvas.drawString(
            (EDGE + 118) * MM, (EDGE + 1.5) * MM, "Measure both lines with your own rule first."
        )

    def line(self, text, y, room, font):
        """One line at the left edge, cut short where it is longer than its room. [mm]"""
        text = latin(text)
        while stringWidth(text, *font) > room * MM:
            text = text[:-4] + "..."
        self.canvas.setFont(*font)
        self.canvas.drawString(EDGE * MM, y * MM, text)

    def check(self, x, y, long, words):
        canvas = self.canvas
        canvas.setLineWidth(LIGHT)
        canvas.line(x * MM, y * MM, (x + long) * MM, y * MM)
        for end in (x, x + long):
            canvas.line(end * MM, (y - 1.5) * MM, end * MM, (y + 1.5) * MM)
        canvas.setFont("Helvetica", 7)
        canvas.drawString((x + long + 1.5) * MM, (y - 1) * MM, words)


def stamped(title, revision):
    """What stands on each page: the project, its revision and the day it was printed."""
    return f"{title}, revision {revision}, printed {datetime.now(UTC):%d.%m.%Y}"
