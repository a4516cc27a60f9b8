"""The layouts that need the fewest sheets, and the one that takes most from a sheet."""

from dataclasses import replace
from math import gcd, inf
from typing import NamedTuple

from calc.shop.layout_bound import fewest_sheets, most_value
from calc.shop.layout_greedy import tries
from calc.shop.layout_merge import Merging
from calc.shop.layout_offcuts import wholest
from calc.shop.layout_sheets import on_sheets
from calc.shop.layout_tree import Leaf, leaves, rebuilt, renumbered
from calc.shop.layout_value import Outside, unlimited

MERGED = 80
"""Pieces above which layouts are not built upward: there are too many ways, and quick ones do well."""

PIECES = 2000
"""Most pieces that one layout is made of."""

QUICK = 80
"""Rectangles of each number of pieces that the first go at building upward keeps."""

PAIRS = 45_000_000
"""Pairs of rectangles that the second go may look at; it takes about a second."""

WIDEST = 1500
"""Most rectangles that it keeps of each number of pieces."""

TIGHT = 0.12
"""Share of the sheets that may stay empty for the second go to be worth its time with many pieces."""

FEW = 20
"""Pieces up to which the second go is always made."""

SEVERAL = 6_000_000
"""Pairs of rectangles that may be looked at for several sheets; it takes about a second."""

SHUFFLED, HASTY = 120, 40
"""Shuffled layouts of one sheet that are looked at before the search, and where there is no search."""

DEARER = (QUICK, PAIRS // 5), (200, PAIRS // 5), (800, PAIRS // 2)
"""Goes at the dearest sheet: rectangles kept of each number of pieces, pairs that may be looked at."""

FINISHED = 30
"""Pieces up to which the last of these goes is made; with more it takes seconds, and finds little."""

DEAREST = 40
"""Kinds of pieces of one sheet that it is built upward from, if there are more."""

HAIR = 1e-9


class Way(NamedTuple):
    """How layouts are looked for: quick ones from `tries`, others by a `search` upward from the pieces."""

    tries: object
    search: type


ANY = Way(tries, Merging)
"""Cuts in any order, as long as each goes from edge to edge."""


def all_pieces(kinds, room, way=ANY):
    """Layout of all pieces on few sheets.

    Quick layouts first; if they need more sheets than the bound, a search that is aimed at one fewer. Of
    layouts on as many sheets one that leaves a large offcut whole.

    Parameters
    ----------
    kinds : sequence of Kind
        Each fits the sheet in at least one way that it may lie.
    room : (int, int)
    way : Way

    Returns
    -------
    trees : list of (Leaf, Split)
        One a sheet.
    bound : int
        No layout of this way needs fewer.
    """
    kinds, room, steps = _in_steps(kinds, room)
    trees, bound = _fewest(kinds, room, way)
    trees = wholest(kinds, room, trees, way.tries)
    return [_stretched(tree, steps) for tree in trees], bound


def _in_steps(kinds, room):
    """Kinds and room in the largest steps that all pieces are whole numbers of, and these steps."""
    steps = tuple(gcd(*(way[axis] for kind in kinds for way in kind.laid)) for axis in (0, 1))
    fine = [replace(kind, laid=tuple((w // steps[0], h // steps[1]) for w, h in kind.laid)) for kind in kinds]
    return fine, tuple(size // step for size, step in zip(room, steps, strict=True)), steps


def _stretched(tree, steps):
    return rebuilt(
        tree,
        lambda leaf: Leaf(leaf.kind, leaf.w * steps[0], leaf.h * steps[1]),
        lambda split: split.size * steps[split.axis],
    )


def _fewest(kinds, room, way):
    total = sum(kind.count for kind in kinds)
    bound = fewest_sheets(kinds, room)
    best = None
    for trees in way.tries(kinds, room, min(150, max(2, 1500 // total))):
        if best is None or _order(kinds, trees) < _order(kinds, best):
            best = trees
        if len(best) == bound:
            return best, bound
    while len(best) > bound and total <= MERGED:
        trees, impossible = _within(kinds, room, len(best) - 1, way)
        if trees is None:
            return best, max(bound, len(best) if impossible else bound)
        best = trees
    return best, bound


def _order(kinds, trees):
    """Fewer sheets first; then the one that leaves most of a sheet."""
    return len(trees), min(_area(kinds, tree) for tree in trees)


def _area(kinds, tree):
    return sum(kinds[leaf.kind].area for leaf in leaves(tree))


def _within(kinds, room, sheets, way):
    """Trees for at most `sheets` sheets or None, and whether it is proved that there are none."""
    kinds = [replace(kind, value=float(kind.area)) for kind in kinds]
    empty = 1 - sum(kind.value * kind.count for kind in kinds) / (sheets * float(room[0]) * float(room[1]))
    pieces = sum(kind.count for kind in kinds)
    thorough = empty <= TIGHT or pieces <= FEW
    if sheets == 1:
        return _on_one(kinds, room, thorough, way)
    return on_sheets(kinds, room, sheets, SEVERAL if thorough else SEVERAL // 6, way), False


def _on_one(kinds, room, thorough, way):
    total = sum(kind.value * kind.count for kind in kinds)
    pieces = sum(kind.count for kind in kinds)
    for width in (QUICK, _affordable(pieces), WIDEST)[: 3 if thorough else 1]:
        search = way.search(kinds, room)
        for _, tree in search.run(total, width, PAIRS):
            if len(leaves(tree)) == pieces:
                return [tree], False
        if search.complete:
            return None, True
        if width > QUICK and search.left < 0.8 * PAIRS:
            break
    return None, False


def _affordable(pieces):
    """Rectangles to keep of each number of pieces so that all numbers can be gone through."""
    return max(QUICK, min(WIDEST, int((2 * PAIRS / max(4, pieces**2)) ** 0.5)))


def most_from_one(kinds, room, way=ANY, quick=False):
    """Layout of one sheet that is worth the most.

    Parameters
    ----------
    kinds : sequence of Kind
        Each worth something, in a size that fits; `count` infinite for no limit.
    room : (int, int)
    way : Way
    quick : bool
        Only quick layouts are looked at.

    Returns
    -------
    tree : Leaf, Split or None
    value : float
    bound : float
        No layout of this way is worth more.
    """
    kinds, room, steps = _in_steps(kinds, room)
    tree, value, bound = (_quick if quick else _dearest)(kinds, room, way)
    return _stretched(tree, steps), value, bound


def _that_may_fit(kinds, room):
    """The kinds with no more of each than the sheet holds by area."""
    area = room[0] * room[1]
    return [replace(kind, count=int(min(kind.count, area // kind.area))) for kind in kinds]


def _quick(kinds, room, way):
    kinds = _that_may_fit(kinds, room)
    tree = _quick_tree(kinds, room, way, HASTY)
    return tree, _value(kinds, tree), most_value(kinds, room)


def _dearest(kinds, room, way):
    kinds = _that_may_fit(kinds, room)
    tree, bound = unlimited(kinds, room, PIECES)
    if way is ANY and tree is not None and _in_stock(kinds, tree):
        value = _value(kinds, tree)
        return tree, value, max(value, min(bound, most_value(kinds, room)))
    return _limited(kinds, room, min(bound, most_value(kinds, room)), way)


def _in_stock(kinds, tree):
    used = [leaf.kind for leaf in leaves(tree)]
    return all(used.count(n) <= kind.count for n, kind in enumerate(kinds))


def _value(kinds, tree):
    return sum(kinds[leaf.kind].value for leaf in leaves(tree))


def _likely(kinds, room):
    """The kinds with no more of each than the dearest pieces that would cover the sheet twice over."""
    left, counts = 2.0 * room[0] * room[1], {}
    for n in sorted(range(len(kinds)), key=lambda n: -kinds[n].value / kinds[n].area):
        counts[n] = min(kinds[n].count, max(1, int(left / kinds[n].area)))
        left = max(0.0, left - counts[n] * kinds[n].area)
    return [replace(kind, count=counts[n]) for n, kind in enumerate(kinds)]


def _quick_tree(kinds, room, way, most):
    """The best of some quick layouts of one sheet."""
    likely = _likely(kinds, room)
    total = sum(kind.count for kind in likely)
    many = min(most, max(3, 2000 // total))
    quick = (trees[0] for trees in way.tries(likely, room, many, 1, by_value=True))
    return max(quick, key=lambda tree: _value(kinds, tree))


def _limited(kinds, room, bound, way):
    """The best layout of pieces of which there are only so many."""
    tree = _quick_tree(kinds, room, way, SHUFFLED)
    value = _value(kinds, tree)
    outside = Outside(kinds, room)
    if outside.useful:
        bound = min(bound, outside.most)
    total = sum(kind.count for kind in kinds)
    chosen = sorted(range(len(kinds)), key=lambda n: -kinds[n].value / kinds[n].area)[:DEAREST]
    for width, pairs in DEARER if total <= FINISHED else DEARER[:-1]:
        if value >= bound * (1 - HAIR):
            break
        search = way.search([kinds[n] for n in chosen], room, outside if outside.useful else None)
        better = search.run(value * (1 + 2 * HAIR), width, pairs, enough=0)
        if better:
            value, tree = better[-1][0], renumbered(better[-1][1], chosen)
        if len(chosen) == len(kinds):
            bound = min(bound, value if search.complete else max(value, search.dropped))
    return tree, value, max(value, bound if bound < inf else value)
