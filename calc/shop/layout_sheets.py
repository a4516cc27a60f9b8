"""Layouts of several sheets: one is filled well, and what is left is laid out on the others likewise."""

from dataclasses import replace

from calc.shop.layout_tree import leaves, renumbered

WIDTHS = 60, 150, 400
"""Rectangles kept of each number of pieces, from one go to the next."""

SHEET = 3_000_000
"""Pairs of rectangles that may be looked at for one sheet."""

QUICK = 100_000
"""What the quick tries at a last sheet count for, in such pairs."""


def on_sheets(kinds, room, sheets, pairs, way):
    """Trees that hold all pieces on so many sheets, or None if none were found.

    Parameters
    ----------
    kinds : sequence of Kind
        Each worth its area.
    room : (int, int)
    sheets : int
        Two or more.
    pairs : int
        Pairs of rectangles that may be looked at in all.
    way : calc.shop.layout_search.Way
    """
    search = _Search(kinds, room, pairs, way)
    for width in WIDTHS:
        trees = search.run(tuple(kind.count for kind in kinds), sheets, width)
        if trees or search.left <= 0:
            return trees
    return None


class _Search:
    """Sheets filled one after the other; where the rest does not fit, another filling is tried."""

    def __init__(self, kinds, room, pairs, way):
        self.kinds, self.room, self.left, self.way = kinds, room, pairs, way
        self.area = float(room[0]) * float(room[1])
        self.hopeless = set()

    def run(self, counts, sheets, width):
        """Trees for `counts` pieces of each kind, or None."""
        least = self.worth(counts) - (sheets - 1) * self.area
        asked = counts, sheets, width
        if self.left <= 0 or least > self.area or asked in self.hopeless:
            return None
        trees = self.last(counts, width) if sheets == 1 else self.several(counts, sheets, width, least)
        if trees is None:
            self.hopeless.add(asked)
        return trees

    def several(self, counts, sheets, width, least):
        found = self.fillings(counts, least, width)
        if sheets == 2:
            for filled, tree in found.items():
                if _less(counts, filled) in found:
                    return [tree, found[_less(counts, filled)]]
        for filled in sorted(found, key=self.large, reverse=True):
            others = self.run(_less(counts, filled), sheets - 1, width)
            if others:
                return [found[filled], *others]
        return None

    def last(self, counts, width):
        self.left -= QUICK
        kinds, numbers = self.present(counts)
        for trees in self.way.tries(kinds, self.room, 6, sheets=1):
            if len(leaves(trees[0])) == sum(counts):
                return [renumbered(trees[0], numbers)]
        return list(self.fillings(counts, self.worth(counts), width, enough=1).values()) or None

    def fillings(self, counts, least, width, enough=10**6):
        """Fillings of one sheet that are worth `least`: {how many pieces of each kind: tree}."""
        kinds, numbers = self.present(counts)
        budget = max(0, min(self.left, SHEET))
        search, found = self.way.search(kinds, self.room), {}
        for _, tree in search.run(least, width, budget, enough):
            tree = renumbered(tree, numbers)
            used = [leaf.kind for leaf in leaves(tree)]
            found.setdefault(tuple(used.count(n) for n in range(len(counts))), tree)
        self.left -= budget - search.left
        return found

    def present(self, counts):
        """The kinds of which there are some, and their numbers."""
        numbers = [n for n, count in enumerate(counts) if count]
        return [replace(self.kinds[n], count=counts[n]) for n in numbers], numbers

    def worth(self, counts):
        return sum(kind.value * count for kind, count in zip(self.kinds, counts, strict=True))

    def large(self, counts):
        """High for fillings with large pieces, which are the hardest to place later."""
        return sum(kind.value**2 * count for kind, count in zip(self.kinds, counts, strict=True))


def _less(counts, used):
    return tuple(count - taken for count, taken in zip(counts, used, strict=True))
