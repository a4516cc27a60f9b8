"""Pieces laid out on sheets of stock, cut by a saw that only cuts from edge to edge.

Widths of the kerf, trimmed edges and the grain of each piece are kept exactly: lengths are compared as whole
numbers (micrometres where they come in millimetres), since sums of floats are a hair off.
"""

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import partial
from math import ceil, inf, isfinite
from typing import NamedTuple

from calc.errors import InputError, require_not_negative, require_positive
from calc.shop.layout_offcuts import offcuts
from calc.shop.layout_search import ANY, PIECES, all_pieces, most_from_one
from calc.shop.layout_staged import STAGED, turned
from calc.shop.layout_tree import Kind, sawn

_HAIR = 1e-9

LARGEST = 2e6
"""Longest sheet, in whatever unit."""

FINE, COARSE = 10**6, 10**3
"""Parts of the unit that lengths are compared in: fine on sheets up to `UNITS`, as in metres and inches."""

UNITS = 2000

ORDERS = ("any", "rip", "crosscut")
"""Orders of the cuts of a sheet: any from edge to edge; or all of its rips along its length first, then
crosscuts, then last rips; or the other way about: crosscuts, rips, last crosscuts."""


@dataclass(frozen=True)
class Piece:
    """What is to be cut.

    `grain` says along which side of the sheet the length lies: "length", "width" or "any". `count` None is
    any number, `value` None is its area. Length and width in the unit of the sheet.
    """

    name: str
    length: float
    width: float
    count: int | None = 1
    grain: str = "any"
    value: float | None = None


@dataclass(frozen=True)
class Sheet:
    """Stock that is cut up; `trim` is taken off all four edges first."""

    length: float
    width: float
    trim: float = 0.0


@dataclass(frozen=True)
class Placed:
    """A piece on its sheet.

    `x` runs along the sheet's length and `y` along its width, from the corner of the untrimmed sheet to the
    piece's nearest corner. `length` and `width` are the piece's own; if `turned`, its length lies along y.
    """

    name: str
    x: float
    y: float
    length: float
    width: float
    turned: bool


@dataclass(frozen=True)
class Pass:
    """One cut along `axis` ("x" or "y"), from `start` to `end`; `at` is the near edge of the kerf."""

    axis: str
    at: float
    start: float
    end: float


@dataclass(frozen=True)
class SawnSheet:
    """The pieces of one sheet, and the cuts that yield them from the trimmed sheet, in sawing order.

    offcuts : (x, y, length along the sheet, width) of what is left, the largest first.
    """

    pieces: tuple
    cuts: tuple
    offcuts: tuple = ()


@dataclass(frozen=True)
class Layout:
    """What was laid out: `used` sheets (or the value of one), and the `bound` that no layout can beat."""

    sheets: tuple
    used: float
    bound: float

    @property
    def proved(self):
        """Whether no layout can be better."""
        return abs(self.used - self.bound) <= _HAIR * abs(self.bound)


def fewest_sheets(pieces, sheet, kerf, order="any"):
    """Layout of all pieces on few sheets.

    Parameters
    ----------
    pieces : sequence of Piece
    sheet : Sheet
    kerf : float
        Width of the saw's cut.
    order : str
        One of `ORDERS`.

    Returns
    -------
    Layout
        With `used` and `bound` in sheets.

    Raises
    ------
    InputError
        At ``pieces.N.length`` and the like, N from 0.

    Notes
    -----
    The answer is the same on every run. Up to some twenty pieces it is mostly the fewest there are, and said
    to be so where that is proved; with hundreds it is a good layout.
    """
    stock = _Stock(sheet, kerf)
    kinds, rows = stock.sorted(pieces)
    for n, piece in enumerate(pieces):
        if piece.count is None:
            raise InputError(f"pieces.{n}.count", "is needed where all pieces are to be cut")
        if piece.count and not stock.ways(piece):
            raise InputError(
                f"pieces.{n}.{stock.too_long(piece)}",
                "must fit on the sheet within its trim, as its grain runs",
            )
    if not kinds:
        return Layout((), 0, 0)
    trees, bound = _in_order(order, all_pieces, kinds, stock.room)
    return Layout(stock.sheets(trees, rows, pieces, order), len(trees), bound)


def _in_order(order, search, kinds, room):
    """What a search finds in an order: crosscuts first are rips first on the sheet turned round."""
    if order == "any":
        return search(kinds, room, ANY)
    if order == "rip":
        return search(kinds, room, STAGED)
    kinds = [replace(kind, laid=tuple((h, w) for w, h in kind.laid)) for kind in kinds]
    found, *rest = search(kinds, room[::-1], STAGED)
    return [turned(tree) for tree in found] if isinstance(found, list) else turned(found), *rest


def most_from_one_sheet(pieces, sheet, kerf, order="any", quick=False):
    """Layout of one sheet that is worth the most; also what answers which spare parts fit an offcut.

    Parameters
    ----------
    pieces : sequence of Piece
        One that does not fit is left out, and so is one that is worth nothing.
    sheet : Sheet
    kerf : float
    order : str
        One of `ORDERS`.
    quick : bool
        Only quick layouts are looked at, in some milliseconds: where many offcuts are tried.

    Returns
    -------
    Layout
        With `used` and `bound` in value. One sheet, or none if nothing fits.

    Raises
    ------
    InputError
    """
    stock = _Stock(sheet, kerf)
    kinds, rows = stock.sorted(pieces, by_value=True)
    if not kinds:
        return Layout((), 0.0, 0.0)
    for kind, row in zip(kinds, rows, strict=True):
        if min(kind.count, stock.room[0] * stock.room[1] // kind.area) > PIECES:
            raise InputError(f"pieces.{row[0][0]}.count", "is too many for one sheet of such small pieces")
    tree, value, bound = _in_order(order, partial(most_from_one, quick=quick), kinds, stock.room)
    return Layout(stock.sheets([tree], rows, pieces, order), value, bound)


def fits(piece, sheet, kerf):
    """Whether a piece comes out of a sheet as its grain runs; nothing does where the trim uses it up."""
    try:
        return bool(_Stock(sheet, kerf).ways(piece))
    except InputError:
        return False


class Broken(NamedTuple):
    """A sheet that the shop breaks down: `along` by `across` equal parts of `length` by `width`. [m]"""

    along: int
    across: int
    length: float
    width: float

    @property
    def parts(self):
        return self.along * self.across


def broken(sheet, kerf, most=(None, None)):
    """The fewest equal parts of a sheet that are at most so long and so wide, as a `Broken`.

    Parameters
    ----------
    sheet : Sheet-like
        With `.length`, `.width`. [m]
    kerf : float
        Of the shop's saw. [m]
    most : (float or None, float or None)
        Largest length and width that can be carried home; None is any. [m]
    """
    many = [
        1 if top is None else max(1, ceil((size + kerf) / (top + kerf) - _HAIR))
        for size, top in zip((sheet.length, sheet.width), most, strict=True)
    ]
    sizes = [(size - (n - 1) * kerf) / n for size, n in zip((sheet.length, sheet.width), many, strict=True)]
    return Broken(*many, *sizes)


class _Stock:
    """A sheet and its saw in whole numbers, one kerf added each way (see `calc.shop.layout_tree`)."""

    def __init__(self, sheet, kerf):
        require_positive(**{"sheet.length": sheet.length, "sheet.width": sheet.width})
        require_not_negative(**{"sheet.trim": sheet.trim, "kerf": kerf})
        for side, size in (("length", sheet.length), ("width", sheet.width)):
            if size > LARGEST:
                raise InputError(f"sheet.{side}", "is longer than any sheet")
            if 2 * sheet.trim >= size:
                raise InputError("sheet.trim", "must leave something of the sheet")
        if kerf >= min(sheet.length, sheet.width):
            raise InputError("kerf", "must be narrower than the sheet")
        self.scale = FINE if max(sheet.length, sheet.width) <= UNITS else COARSE
        self.trim, self.kerf = self.whole(sheet.trim), self.whole(kerf)
        self.room = tuple(
            self.whole(size) - 2 * self.trim + self.kerf for size in (sheet.length, sheet.width)
        )
        if min(self.room) <= self.kerf:
            raise InputError("sheet.trim", "must leave something of the sheet")

    def whole(self, length):
        return round(length * self.scale)

    def sorted(self, pieces, by_value=False):
        """Kinds of pieces that lie alike, and for each the numbers of their rows with their counts."""
        rows = defaultdict(list)
        for n, piece in enumerate(pieces):
            self.refuse(piece, n)
            value = piece.length * piece.width if piece.value is None else float(piece.value)
            if piece.count == 0 or not self.ways(piece) or by_value and value == 0:
                continue
            key = tuple(sorted(self.ways(piece))), value if by_value else None
            rows[key].append([n, inf if piece.count is None else piece.count])
        if not by_value and sum(count for row in rows.values() for _, count in row if count < inf) > PIECES:
            raise InputError("pieces", "are too many for one layout; lay them out in batches")
        kinds = [
            Kind(laid, sum(count for _, count in row), 0.0 if value is None else value)
            for (laid, value), row in rows.items()
        ]
        return kinds, list(rows.values())

    def refuse(self, piece, n):
        for word in ("length", "width"):
            size = getattr(piece, word)
            require_positive(**{f"pieces.{n}.{word}": size})
            if size <= LARGEST and self.whole(size) == 0:
                raise InputError(f"pieces.{n}.{word}", "is too small to be cut")
        require_not_negative(**{f"pieces.{n}.count": piece.count, f"pieces.{n}.value": piece.value})
        if piece.value is None and not isfinite(piece.length * piece.width):
            raise InputError(f"pieces.{n}.length", "is longer than any sheet")

    def ways(self, piece):
        """(extent along x, along y) that the piece may lie in, as far as they fit the sheet."""
        if max(piece.length, piece.width) > LARGEST:
            return []
        length, width = self.whole(piece.length) + self.kerf, self.whole(piece.width) + self.kerf
        ways = {"length": [(length, width)], "width": [(width, length)]}
        both = ways.get(piece.grain, [(length, width), (width, length)])
        return sorted({way for way in both if way[0] <= self.room[0] and way[1] <= self.room[1]})

    def too_long(self, piece):
        """The side of a piece that does not fit: the length if it alone is too much, or else the width."""
        along, across = (self.room[1], self.room[0]) if piece.grain == "width" else self.room
        if piece.grain == "any":
            along, across = max(self.room), min(self.room)
            if piece.width > piece.length:
                along, across = across, along
        return "length" if min(piece.length, LARGEST) * self.scale + self.kerf > along else "width"

    def sheets(self, trees, rows, pieces, order):
        """The trees as sheets in the caller's unit, every piece with the name of its row."""
        left = [[list(row) for row in kind] for kind in rows]
        return tuple(self._sheet(tree, left, pieces, order) for tree in trees)

    def _sheet(self, tree, left, pieces, order):
        laid, cuts = sawn(tree, self.room, self.kerf, by_stage=order != "any")
        return SawnSheet(
            tuple(self._placed(spot, left[spot.kind], pieces) for spot in laid),
            tuple(Pass("xy"[cut.axis], *(self._place(at) for at in cut[1:])) for cut in cuts),
            tuple(self._rest(rest) for rest in offcuts(tree, self.room) if min(rest[2:]) > self.kerf),
        )

    def _placed(self, spot, rows, pieces):
        row = next(row for row in rows if row[1] > 0)
        row[1] -= 1
        piece = pieces[row[0]]
        length = self.whole(piece.length)
        turned = piece.grain == "width" or piece.grain == "any" and spot.w != length
        return Placed(piece.name, self._place(spot.x), self._place(spot.y), piece.length, piece.width, turned)

    def _rest(self, rest):
        x, y, w, h = rest
        return self._place(x), self._place(y), (w - self.kerf) / self.scale, (h - self.kerf) / self.scale

    def _place(self, whole):
        return (whole + self.trim) / self.scale


@dataclass(frozen=True)
class SheetNeed:
    """Of one sheet good: no layout buys fewer than `at_least` sheets; `too_big` are labels that fit none."""

    at_least: int
    too_big: tuple


def sheets_at_least(rows, sheets, kerf, trim, stock=None):
    """Lower bound on the sheets that are bought for the rows of a cut list.

    Every piece takes its own size and one kerf each way; the sheet, less `trim` at each edge, gains one
    kerf, since the last cut needs none. Area alone, so a real layout may need more.

    Parameters
    ----------
    rows : iterable of calc.shop.cut_list.Row
    sheets : dict of str to Sheet-like
        With `.length`, `.width`. [m]
    kerf, trim : float
        Width of the saw's cut, and what is taken off each factory edge. [m]
    stock : dict of str to sequence of calc.shop.stock_layout.Held, optional
        What the shop has of them, which takes some of the pieces. [m]

    Returns
    -------
    dict of str to SheetNeed
    """
    needs = {}
    for name in dict.fromkeys(row.sheet for row in rows):
        length, width = sheets[name].length - 2 * trim, sheets[name].width - 2 * trim
        mine = [row for row in rows if row.sheet == name]
        area = sum(row.count * (row.cut_length + kerf) * (row.cut_width + kerf) for row in mine)
        room = (length + kerf) * (width + kerf)
        held = (stock or {}).get(name, ())
        area -= sum(each.count * (each.sheet.length + kerf) * (each.sheet.width + kerf) for each in held)
        inside = [(length, width), *((each.sheet.length, each.sheet.width) for each in held)]
        too_big = tuple(row.label for row in mine if not any(_fits(row, *size) for size in inside))
        least = max(0 if held else 1, ceil(area / room - _HAIR))
        needs[name] = SheetNeed(least if length > 0 < width else 0, too_big)
    return needs


def _fits(row, length, width):
    sides = sorted((row.cut_length, row.cut_width))
    return sides[0] <= min(length, width) + _HAIR and sides[1] <= max(length, width) + _HAIR
