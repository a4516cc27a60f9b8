"""Project and the rows of its cut list -> what each of them is cut from: the layout that all pages show."""

from dataclasses import dataclass
from math import ceil

from calc.errors import InputError
from calc.shop.sheet_layout import Piece, Sheet, broken
from calc.shop.stock_layout import Held, from_stock

SAME_THICKNESS = 1e-4
"""Stock that differs by no more from its sheet good is used like it (common practice, no source). [m]"""


@dataclass(frozen=True)
class Laid:
    """One sheet, part of a sheet that the shop breaks down, or piece of stock, and what comes off it.

    good : its name among the workshop's sheets. number : among those of its good, from 1. words : what it is
    called among them. sawn : a `SawnSheet`. length, width : before its edges are trimmed by `trim` [m]; the
    grain runs along the length. stock : its key in the stock, None where it is bought.
    """

    good: str
    number: int
    words: str
    sawn: object
    length: float
    width: float
    trim: float
    stock: str | None

    @property
    def many(self):
        """How many pieces come off it."""
        return len(self.sawn.pieces)

    @property
    def size(self):
        return self.length, self.width


@dataclass(frozen=True)
class GoodLayout:
    """What is cut from one sheet good.

    laid : `Laid` in the order in which they are cut, those from stock first. used : new sheets that it takes,
    or parts of sheets where the shop breaks each of them down into `broken`. bound : no layout takes fewer.
    proved : whether that is reached.
    """

    laid: tuple
    used: int
    bound: int
    proved: bool
    broken: object

    @property
    def sheets(self):
        return tuple(each.sawn for each in self.laid)

    @property
    def bought(self):
        """Whole sheets that are bought."""
        return ceil(self.used / self.broken.parts)


def carried(workshop):
    """The largest length and width that a sheet may come home with, None where it comes whole. [m]"""
    return workshop.most_length, workshop.most_width


def layouts(project, rows, kerf=None):
    """{name of a sheet good: `GoodLayout`} of all that the rows of a cut list ask for.

    `kerf` [m] is how far the pieces lie apart, None as far as the shop's saw cuts.

    Without the sheets on which a piece does not fit as its grain runs: the page tells it with the parts that
    are too large.
    """
    found = {}
    for name in dict.fromkeys(row.sheet for row in rows):
        try:
            found[name] = _of_good(project.workshop, name, [row for row in rows if row.sheet == name], kerf)
        except InputError:
            continue
    return found


def _of_good(workshop, name, rows, kerf):
    part, stock = broken(workshop.sheets[name], workshop.kerf, carried(workshop)), held(workshop, name)
    pieces = tuple(Piece(row.label, row.cut_length, row.cut_width, row.count, "length") for row in rows)
    new = Sheet(part.length, part.width, workshop.trim)
    apart = workshop.kerf if kerf is None else kerf
    layout = from_stock(pieces, stock, new, apart, workshop.saw.order)
    sheets = {each.key: each.sheet for each in stock} | {None: new}
    laid, bought = [], 0
    for n, (key, sawn) in enumerate(layout.laid, 1):
        bought += key is None
        words = _called(workshop, key) if key else f"{'part' if part.parts > 1 else 'sheet'} {bought}"
        sheet = sheets[key]
        laid.append(Laid(name, n, words, sawn, sheet.length, sheet.width, sheet.trim, key))
    return GoodLayout(tuple(laid), layout.bought, layout.bound, layout.proved, part)


def _called(workshop, key):
    return workshop.stock[key].name or key


# The stock ------------------------------------------------------------------------------------------------


def held(workshop, good):
    """What the shop has of a sheet good for this work, each with its grain along its length."""
    return tuple(
        Held(key, laid_with_grain(piece, workshop.trim), piece.count, piece.kind == "sheet")
        for key, piece in workshop.stock.items()
        if piece.sheet == good and not piece.aside and fits_thickness(workshop, piece)
    )


def laid_with_grain(piece, trim):
    """A `StockPiece` as the `Sheet` that is laid out: its grain along x, factory edges trimmed."""
    sides = (piece.length, piece.width) if piece.grain == "length" else (piece.width, piece.length)
    return Sheet(*sides, trim if piece.kind == "sheet" else 0.0)


def fits_thickness(workshop, piece):
    """Whether a piece of stock is as thick as its sheet good is said to be, but for a hair."""
    good = workshop.sheets[piece.sheet].thickness
    return piece.thickness is None or abs(piece.thickness - good) <= SAME_THICKNESS * (1 + 1e-9)
