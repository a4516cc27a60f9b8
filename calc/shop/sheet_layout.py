"""What the cut list asks of the sheets in stock: a lower bound by area. No layout is made here yet."""

from dataclasses import dataclass
from math import ceil

_HAIR = 1e-9


@dataclass(frozen=True)
class SheetNeed:
    """Of one sheet good: no layout needs fewer than `at_least` sheets; `too_big` are labels that fit none."""

    at_least: int
    too_big: tuple


def sheets_at_least(rows, sheets, kerf, trim):
    """Lower bound on the sheets that the rows of a cut list are cut from.

    Every piece takes its own size and one kerf each way; the sheet, less `trim` at each edge, gains one
    kerf, since the last cut needs none. Area alone, so a real layout may need more.

    Parameters
    ----------
    rows : iterable of calc.shop.cut_list.Row
    sheets : dict of str to Sheet-like
        With `.length`, `.width`. [m]
    kerf, trim : float
        Width of the saw's cut, and what is taken off each factory edge. [m]

    Returns
    -------
    dict of str to SheetNeed
    """
    needs = {}
    for name in dict.fromkeys(row.sheet for row in rows):
        length, width = sheets[name].length - 2 * trim, sheets[name].width - 2 * trim
        mine = [row for row in rows if row.sheet == name]
        area = sum(row.count * (row.length + kerf) * (row.width + kerf) for row in mine)
        room = (length + kerf) * (width + kerf)
        too_big = tuple(row.label for row in mine if not _fits(row, length, width))
        needs[name] = SheetNeed(max(1, ceil(area / room - _HAIR)) if length > 0 < width else 0, too_big)
    return needs


def _fits(row, length, width):
    sides = sorted((row.length, row.width))
    return sides[0] <= min(length, width) + _HAIR and sides[1] <= max(length, width) + _HAIR
