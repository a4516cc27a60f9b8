"""Pieces laid out on what the shop has before anything is bought: offcuts, then sheets, then new ones."""

from collections import Counter
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil

from calc.errors import InputError
from calc.shop.sheet_layout import Sheet, fewest_sheets, fits, most_from_one_sheet

ONLY_HERE = 100.0
"""How many times its area a piece counts for that fits no new sheet: it goes first where it fits."""

_HAIR = 1e-9


@dataclass(frozen=True)
class Held:
    """`count` equal pieces of stock, known as `key`; `whole` sheets are begun after all offcuts."""

    key: str
    sheet: Sheet
    count: int = 1
    whole: bool = False

    @property
    def area(self):
        return self.sheet.length * self.sheet.width


@dataclass(frozen=True)
class FromStock:
    """What is cut from what.

    laid : ((key of the stock, or None for a new sheet, `SawnSheet`), ...), new ones last. bought : how many
    of them are new. bound : no layout buys fewer.
    """

    laid: tuple
    bought: int
    bound: int

    @property
    def proved(self):
        """Whether no layout buys fewer."""
        return self.bought == self.bound


@lru_cache(maxsize=64)  # a page asks again for the same parts at every change of something else
def from_stock(pieces, held, new, kerf, order="any"):
    """Layout of all pieces on stock, and on as few new sheets as are needed beside it.

    Parameters
    ----------
    pieces : tuple of Piece
    held : tuple of Held
        In the unit of `new`; pieces lie with their grain as on it.
    new : Sheet
        What is bought, as many as it takes.
    kerf : float
    order : str
        As of `fewest_sheets`.

    Returns
    -------
    FromStock

    Raises
    ------
    InputError
        As `fewest_sheets`, where a piece fits neither stock nor a new sheet.

    Notes
    -----
    Fewest new sheets first; then fewest whole sheets of the stock; then fewest pieces of it, and of those the
    smallest. An offcut is filled as well as quick layouts can before the next one is begun, so that the
    fewest is a good answer, and no proof, unless it is `proved`.
    """
    held = tuple(each for each in held if any(fits(piece, each.sheet, kerf) for piece in pieces))
    plain = None
    if not held or all(fits(piece, new, kerf) for piece in pieces):
        found = fewest_sheets(pieces, new, kerf, order)
        plain = FromStock(tuple((None, sawn) for sawn in found.sheets), int(found.used), int(found.bound))
    least = _at_least(pieces, held, new, kerf)
    if not held or plain and plain.bought == least:
        return plain  # there is no stock, or it would save no sheet and stays as it is
    offcuts_first = tuple(sorted(held, key=lambda each: (each.whole, each.area)))
    large_first = tuple(sorted(held, key=lambda each: (each.whole, -each.area)))
    saw = kerf, order
    tried = [_laid(pieces, stock, new, saw) for stock in dict.fromkeys((offcuts_first, large_first))]
    tried += [list(plain.laid)] if plain else []
    best = min(tried, key=lambda laid: _score(laid, held))
    best = _sparing(pieces, best, offcuts_first, new, saw)
    bought = sum(key is None for key, _ in best)
    return FromStock(tuple(best), bought, min(bought, least))


def _laid(pieces, held, new, saw):
    """(key, sawn) in the order in which stock is begun: [...]; all of it that takes something is filled."""
    laid, left = [], pieces
    alike = [each for each in held if each.sheet == new]  # they need no filling one by one
    others = tuple(each for each in held if each.sheet != new)
    for n, each in enumerate(others):
        whole = _all_on_one(left, [*others[n:], *alike], saw)
        if whole:
            return laid + whole
        for _ in range(each.count):
            layout = most_from_one_sheet(_valued(left, new, saw[0]), each.sheet, *saw, quick=True)
            if not layout.sheets:
                break
            laid.append((each.key, layout.sheets[0]))
            left = _less(left, layout.sheets[0])
    keys = [each.key for each in alike for _ in range(each.count)]
    rest = fewest_sheets(left, new, *saw).sheets if left else ()
    return laid + [(keys[n] if n < len(keys) else None, sawn) for n, sawn in enumerate(rest)]


def _all_on_one(left, held, saw):
    """All that is left on pieces of one kind of stock, the least that takes it; None where none does."""
    area, found = sum(piece.count * piece.length * piece.width for piece in left), []
    for each in held:
        if left and area <= each.count * each.area:
            try:
                layout = fewest_sheets(left, each.sheet, *saw)
            except InputError:
                continue  # one of them does not fit it
            if layout.used <= each.count:
                found.append((each.whole, layout.used * each.area, each.key, layout))
    if not found:
        return None
    *_, key, layout = min(found, key=lambda each: each[:3])
    return [(key, sawn) for sawn in layout.sheets]


def _sparing(pieces, laid, held, new, saw):
    """The layout with every piece of stock left untouched that it can do without, whole sheets first."""
    counts = {each.key: each.count for each in held}
    for each in reversed(held):
        while used := Counter(key for key, _ in laid)[each.key]:
            fewer = counts | {each.key: used - 1}
            rest = tuple(replace(one, count=fewer[one.key]) for one in held if fewer[one.key])
            try:
                other = _laid(pieces, rest, new, saw)
            except InputError:
                break  # what fits here alone cannot do without it
            if _score(other, held) >= _score(laid, held):
                break
            laid, counts = other, fewer
    return laid


def _score(laid, held):
    """What a layout takes, the dearest first: new sheets, whole ones, pieces of stock, their area."""
    by_key = {each.key: each for each in held}
    used = [by_key[key] for key, _ in laid if key is not None]
    whole = sum(each.whole for each in used)
    return len(laid) - len(used), whole, len(used), sum(each.area for each in used)


def _valued(pieces, new, kerf):
    dear = (replace(piece, value=ONLY_HERE * piece.length * piece.width) for piece in pieces)
    return tuple(
        piece if fits(piece, new, kerf) else dearer for piece, dearer in zip(pieces, dear, strict=True)
    )


def _less(pieces, sawn):
    """The pieces without those that came off a sheet."""
    off = Counter(placed.name for placed in sawn.pieces)
    left = (replace(piece, count=piece.count - off[piece.name]) for piece in pieces)
    return tuple(piece for piece in left if piece.count)


def _at_least(pieces, held, new, kerf):
    """New sheets that no layout can do without, by area: of all beside the stock, and of what fits none."""

    def room(sheet):
        length, width = sheet.length - 2 * sheet.trim, sheet.width - 2 * sheet.trim
        return (length + kerf) * (width + kerf)

    def taken(some):
        return sum(each.count * (each.length + kerf) * (each.width + kerf) for each in some)

    homeless = [each for each in pieces if not any(fits(each, one.sheet, kerf) for one in held)]
    beside = taken(pieces) - sum(each.count * room(each.sheet) for each in held)
    return max(0, ceil(max(beside, taken(homeless)) / room(new) - _HAIR))
