"""Project and the rows of its cut list -> what each of them is cut from: the layout that all pages show."""

from collections import Counter
from dataclasses import dataclass
from math import ceil

from calc.errors import InputError
from calc.shop.matched import Run, cut_apart, lying
from calc.shop.sheet_layout import Piece, Sheet, broken, fits
from calc.shop.stock_layout import Held, from_stock

SAME_THICKNESS = 1e-4
"""Stock that differs by no more from its sheet good is used like it (common practice, no source). [m]"""


@dataclass(frozen=True)
class Laid:
    """One sheet, part of a sheet that the shop breaks down, or piece of stock, and what comes off it.

    good : its name among the workshop's sheets. number : among those of its good, from 1. words : what it is
    called among them. sawn : a `SawnSheet`. length, width : before its edges are trimmed by `trim` [m]; the
    grain runs along the length. stock : its key in the stock, None where it is bought. runs : ((`Matched`,
    where its blank lies), ...). named : {number of a piece: (part, speaker)}, for those in runs.
    """

    good: str
    number: int
    words: str
    sawn: object
    length: float
    width: float
    trim: float
    stock: str | None
    runs: tuple
    named: dict

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


def layouts(project, rows, kerf=None, speakers=None):
    """{name of a sheet good: `GoodLayout`} of all that the rows of a cut list ask for.

    `kerf` [m] is how far the pieces lie apart, None as far as the shop's saw cuts. `rows` are those of so
    many `speakers`, all of the project's where that is left out. Without the sheets on which a piece does not
    fit as its grain runs: the page tells it with the parts that are too large.
    """
    kerf = project.workshop.kerf if kerf is None else kerf
    wanted = [each for each in matches(project, rows, kerf, speakers) if each.problem is None]
    found = {}
    for name in dict.fromkeys(row.sheet for row in rows):
        mine = [row for row in rows if row.sheet == name]
        runs = {each.run.key: each for each in wanted if each.good == name}
        try:
            found[name] = _of_good(project.workshop, name, mine, runs, kerf)
        except InputError:
            continue
    return found


def _of_good(workshop, name, rows, runs, kerf):
    part = broken(workshop.sheets[name], workshop.kerf, carried(workshop))
    stock, new = held(workshop, name), _new(workshop, name)
    layout = from_stock(_pieces(rows, runs, kerf), stock, new, kerf, workshop.saw.order)
    sheets = {each.key: each.sheet for each in stock} | {None: new}
    laid, bought = [], 0
    for n, (key, sawn) in enumerate(layout.laid, 1):
        bought += key is None
        words = _called(workshop, key) if key else f"{'part' if part.parts > 1 else 'sheet'} {bought}"
        apart = cut_apart(sawn, {key: each.run for key, each in runs.items()}, kerf)
        lying = tuple((runs[placed.name], placed) for placed in sawn.pieces if placed.name in runs)
        sheet = sheets[key]
        size = sheet.length, sheet.width, sheet.trim
        laid.append(Laid(name, n, words, apart, *size, key, lying, _named(sawn, runs)))
    return GoodLayout(tuple(laid), layout.bought, layout.bound, layout.proved, part)


def _pieces(rows, runs, kerf):
    """The rows as pieces, what stands in a run as the blank of that run."""
    taken = Counter(member.name for each in runs.values() for member in each.run.members)
    singles = (
        Piece(row.label, row.cut_length, row.cut_width, row.count - taken[row.label], "length")
        for row in rows
    )
    return (*(each.run.blank(kerf) for each in runs.values()), *(piece for piece in singles if piece.count))


def _named(sawn, runs):
    """Which part each piece is that a run asked for, by its number when the blanks are cut apart."""
    cut = [
        part
        for placed in sawn.pieces
        for part in (runs[placed.name].parts if placed.name in runs else (None,))
    ]
    return {n: part for n, part in enumerate(cut) if part}


def _new(workshop, name):
    part = broken(workshop.sheets[name], workshop.kerf, carried(workshop))
    return Sheet(part.length, part.width, workshop.trim)


def _called(workshop, key):
    return workshop.stock[key].name or key


# Runs of grain --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Matched:
    """One run of grain that the project asks for under `key`.

    parts : ((name, number of its speaker), ...) in order. good : the sheet good that they come from. run : as
    it is laid out; None where it cannot be. problem : why it is not laid out, None where it is.
    """

    key: str
    parts: tuple
    good: str | None
    run: object
    problem: str | None


def matches(project, rows, kerf, speakers=None):
    """Every run of a project as `Matched`; where each speaker has its own, one of each."""
    found, many = [], speakers or project.speakers
    for key, match in project.matched.items():
        each = [
            [(part, n) for part in (match.order[::-1] if _mirrored(project, n) else match.order)]
            for n in range(1, many + 1)
        ]
        orders = [sum(each, [])] if match.pair else each
        found += [_matched(project, key, n, tuple(parts), rows, kerf) for n, parts in enumerate(orders, 1)]
    return tuple(found)


def _mirrored(project, speaker):
    """Whether a speaker is the mirror image, as every second one of a mirrored pair is."""
    return project.cabinet.mirrored and speaker % 2 == 0


def _matched(project, key, number, parts, rows, kerf):
    of = {name: row for row in rows for name in row.names}
    lacking = sorted({name for name, _ in parts if name not in of})
    if lacking:
        return Matched(key, parts, None, None, f"{', '.join(lacking)}: not cut from a sheet in one piece")
    if len(parts) < 2:
        return Matched(key, parts, None, None, "one part alone makes no run")
    goods = {of[name].sheet for name, _ in parts}
    if len(goods) > 1:
        return Matched(key, parts, None, None, "its parts are cut from different sheet goods")
    way = project.matched[key].way
    members = lying(way, [(of[n].label, of[n].cut_length, of[n].cut_width) for n, _ in parts])
    run, (good,) = Run(f"{key} {number}", way, members), goods
    workshop = project.workshop
    blank, stock = run.blank(kerf), [each.sheet for each in held(workshop, good)]
    if not any(fits(blank, sheet, kerf) for sheet in (_new(workshop, good), *stock)):
        return Matched(key, parts, good, run, "no sheet is large enough")
    return Matched(key, parts, good, run, None)


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
