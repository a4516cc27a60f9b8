"""Layouts that are sawn in three stages: all rips along the sheet, then crosscuts, then last rips to width.

Strips lie along the sheet. Each is crosscut into blocks; a block is one piece, or several equally long ones
side by side, and what is too wide of it is ripped off last. Whole numbers as in `calc.shop.layout_tree`.
"""

from collections import defaultdict
from dataclasses import dataclass
from random import Random

import numpy as np

from calc.shop.layout_greedy import by_size, shuffled
from calc.shop.layout_merge import SORTED, Merging, joined
from calc.shop.layout_search import Way
from calc.shop.layout_tree import Leaf, Split, rebuilt

BLOCK, STRIP, SHEET = 0, 1, 2
"""What a rectangle is, by the stages that part it. A block may stand for a strip, either for a sheet."""


class Staged(Merging):
    """Search upward for layouts in three stages: see `Merging`, whose rectangles may be joined in any order.

    Blocks are made of pieces of one length, strips of blocks end to end, the sheet of strips side by side.
    """

    def _pairs(self, i, j):
        a, b = self.levels[i], self.levels[j]
        if not len(a) or not len(b):
            return None
        # Rectangles of a level stand in order of their stage, so that those of the first two come first.
        ends = self._side_by_side(0, i, j, *(level.taken(slice(_lower(level))) for level in (a, b)))
        ends.from_[:, 4] = _code(0, STRIP)
        sides = self._side_by_side(1, i, j, a, b)
        one, other = sides.from_[:, 1], sides.from_[:, 3]
        block = (_stage(a)[one] == BLOCK) & (_stage(b)[other] == BLOCK) & (a.w[one] == b.w[other])
        sides.from_[:, 4] = _code(1, np.where(block, BLOCK, SHEET))
        return joined([ends, sides])

    def _kept(self, level, width):
        if not len(level):
            return level
        level = self._best(level, max(12 * width, SORTED))
        level = self._best(_of_use(level), width)
        return level.taken(np.argsort(_stage(level), kind="stable"))

    def _tree(self, level, number):
        return _sheet(self._strips(level, number))

    def _strips(self, level, number):
        """The strips of a rectangle as lists of blocks, these as lists of `Leaf`."""
        near, one, far, other, code = (int(k) for k in self.levels[level].from_[number])
        if level == 1:
            return [[[Leaf(near, int(self.levels[1].w[number]), int(self.levels[1].h[number]))]]]
        parts = self._strips(near, one), self._strips(far, other)
        stage = code // 2
        if stage == SHEET:
            return parts[0] + parts[1]
        (first,), (second,) = parts
        return [first + second] if stage == STRIP else [[first[0] + second[0]]]


def _code(axis, stage):
    return axis + 2 * stage


def _stage(level):
    return level.from_[:, 4] // 2


def _lower(level):
    """How many rectangles of a level are blocks or strips."""
    return int(np.searchsorted(_stage(level), SHEET))


def _of_use(level):
    """The rectangles that no other with the same pieces can stand for: one as small, of no later stage.

    A block stands for others only if it is as long as they are, since blocks are stacked by their length.
    """
    stage, length = _stage(level), level.w
    keep = np.zeros(len(level), bool)
    for last in (BLOCK, STRIP, SHEET):
        among = np.flatnonzero(stage <= last)
        words = level.words[among]
        if last == BLOCK:
            words = np.column_stack([words, length[among]])
        kept = among[_smallest(words, length[among], level.h[among], stage[among])]
        keep[kept[stage[kept] == last]] = True
    return level.taken(keep)


def _smallest(words, w, h, stage):
    """Numbers of the rectangles that no other with the same words lies within; of equal ones the first."""
    if not len(w):
        return np.zeros(0, int)
    order = np.lexsort((stage, h, w, *words.T))
    words, h = words[order], h[order]
    new = np.ones(len(order), bool)
    new[1:] = (words[1:] != words[:-1]).any(axis=1)
    depth = h - np.cumsum(new) * (int(h.max()) + 1)  # groups are set far apart
    keep = np.ones(len(order), bool)
    keep[1:] = depth[1:] < np.minimum.accumulate(depth)[:-1]
    return order[keep]


# Trees ---------------------------------------------------------------------------------------------------


def _sheet(strips):
    """The tree of a sheet: the widest strip first, in each the longest blocks, which are set at one stop."""
    tree = None
    for strip in sorted(strips, key=_height):
        row = None
        for block in sorted(strip, key=_order):
            row = Split(0, block[0].w, _stack(block), row)
        tree = Split(1, _height(strip), row, tree)
    return tree


def _height(strip):
    return max(sum(leaf.h for leaf in block) for block in strip)


def _order(block):
    return block[0].w, sum(leaf.h for leaf in block), block[0].kind


def _stack(block):
    if len(block) == 1:
        return block[0]
    tree = None
    for leaf in sorted(block, key=lambda leaf: (leaf.h, leaf.kind)):
        tree = Split(1, leaf.h, leaf, tree)
    return tree


def turned(tree):
    """The same layout with x and y changed over."""
    return rebuilt(
        tree,
        lambda leaf: Leaf(leaf.kind, leaf.h, leaf.w),
        lambda split: split.size,
        lambda split: 1 - split.axis,
    )


# Quick ones ----------------------------------------------------------------------------------------------


def tries(kinds, room, many, sheets=None, by_value=False, seed=7):
    """Quick layouts in three stages, then ever more shuffled ones; the same on every run.

    Parameters and what it yields are those of `calc.shop.layout_greedy.tries`.
    """
    rng = Random(seed)
    for along in (True, False):
        for best in (False, True):
            order = by_size(kinds, lambda kind, along=along: _lying(kind, along)[1])
            yield in_blocks(kinds, room, order, lambda kind, along=along: along, best, sheets)
    for number in range(many):
        order = shuffled(kinds, rng, number, by_value)
        tossed = {n: rng.random() < 0.5 for n in range(len(kinds))}
        yield in_blocks(kinds, room, order, tossed.get, number % 2 == 0, sheets)


def _lying(kind, along):
    """How a piece of `kind` lies: its long side along the strip, or across it."""
    return (max if along else min)(kind.laid, key=lambda way: way[0])


@dataclass
class _Strip:
    """A strip while it is filled: `height`, `used` along it, and its `blocks` of leaves."""

    height: int
    used: int
    blocks: list


def in_blocks(kinds, room, order, along, best, sheets=None):
    """A layout in three stages, piece by piece.

    Each goes beside equally long ones of a block that has room, or at the end of a strip, or opens a strip in
    the first sheet that has room for one.

    Parameters
    ----------
    kinds, room, order, sheets
        As of `calc.shop.layout_greedy.in_strips`.
    along : callable
        Of a kind's number: whether its long side lies along the strip if it may.
    best : bool
        Into the strip that it fits best; else into the first that takes it.

    Returns
    -------
    list of (Split or None)
        One tree a sheet.
    """
    filling = _Filling(room, best, sheets)
    for kind in order:
        preferred = _lying(kinds[kind], along(kind))
        ways = sorted(kinds[kind].laid, key=lambda way: way != preferred)
        filling.put(kind, ways)
    return [_sheet([strip.blocks for strip in sheet]) for sheet in filling.opened] or [None]


class _Filling:
    """Sheets while they are filled; `beside` holds the blocks of each length with the room that they have."""

    def __init__(self, room, best, sheets):
        self.room, self.best, self.sheets = room, best, sheets
        self.opened, self.beside = [], defaultdict(list)

    def put(self, kind, ways):
        return self._beside(kind, ways) or self._at_end(kind, ways) or self._new_strip(kind, ways)

    def _beside(self, kind, ways):
        for w, h in ways:
            for block in self.beside[w]:
                if h <= block[0]:
                    block[0] -= h
                    block[1].append(Leaf(kind, w, h))
                    return True
        return False

    def _at_end(self, kind, ways):
        fitting = [
            (strip.height - h, strip, w, h)
            for sheet in self.opened
            for strip in sheet
            for w, h in ways
            if h <= strip.height and strip.used + w <= self.room[0]
        ]
        if not fitting:
            return False
        _, strip, w, h = min(fitting, key=lambda found: found[0]) if self.best else fitting[0]
        self._into(strip, Leaf(kind, w, h))
        return True

    def _new_strip(self, kind, ways):
        for w, h in ways:
            if w > self.room[0] or h > self.room[1]:
                continue
            sheet = self._sheet_for(h)
            if sheet is not None:
                sheet.append(_Strip(h, 0, []))
                self._into(sheet[-1], Leaf(kind, w, h))
                return True
        return False

    def _sheet_for(self, height):
        """The first sheet that has room for a strip; a new one, if there may be one more."""
        for sheet in self.opened:
            if sum(strip.height for strip in sheet) + height <= self.room[1]:
                return sheet
        if self.sheets is None or len(self.opened) < self.sheets:
            self.opened.append([])
            return self.opened[-1]
        return None

    def _into(self, strip, leaf):
        strip.used += leaf.w
        strip.blocks.append([leaf])
        if strip.height > leaf.h:
            self.beside[leaf.w].append([strip.height - leaf.h, strip.blocks[-1]])


STAGED = Way(tries, Staged)
"""Rips, then crosscuts, then last rips."""
