"""Quick layouts: strips as a panel saw makes them, and pieces that each go where they fit best."""

from random import Random

from calc.shop.layout_tree import Leaf, Split

ORDERS = (
    lambda w, h: w * h,
    lambda w, h: max(w, h),
    lambda w, h: min(w, h),
    lambda w, h: w + h,
    lambda w, h: w,
    lambda w, h: h,
)
"""What pieces may be sorted by, largest first."""


def in_strips(kinds, room, axis, along, order, rng=None, sheets=None):
    """A layout in two stages: strips across the sheet, then pieces off each strip.

    Every piece goes into the first strip that takes it, else it opens a strip of its own height in the first
    sheet that has room for one (first fit, decreasing height).

    Parameters
    ----------
    kinds : sequence of Kind
    room : (int, int)
    axis : {0, 1}
        Along which the strips run.
    along : bool
        Pieces that may be turned lie with their long side along the strip; else across it.
    order : sequence of int
        A kind number for every piece, in the order in which strips are opened and filled.
    rng : random.Random, optional
        If given, it tosses for each piece that may be turned.
    sheets : int, optional
        How many sheets there are; what is too much for them is left out.

    Returns
    -------
    list of (Leaf, Split or None)
        One tree a sheet.
    """
    across = 1 - axis
    opened = []
    for kind in order:
        long_way = along if rng is None else rng.random() < 0.5
        ways = sorted(kinds[kind].laid, key=lambda way: way[axis], reverse=long_way)
        _into_strip(opened, kind, ways, room, axis, across, sheets)
    return [_strips_tree(sheet, axis, across) for sheet in opened]


def _into_strip(opened, kind, ways, room, axis, across, sheets):
    for sheet in opened:
        for strip in sheet:
            for way in ways:
                if way[across] <= strip[0] and strip[1] + way[axis] <= room[axis]:
                    strip[1] += way[axis]
                    strip[2].append(Leaf(kind, *way))
                    return
    for way in ways:
        if way[axis] > room[axis] or way[across] > room[across]:
            continue
        for sheet in opened:
            if sum(strip[0] for strip in sheet) + way[across] <= room[across]:
                sheet.append([way[across], way[axis], [Leaf(kind, *way)]])
                return
        if sheets is None or len(opened) < sheets:
            opened.append([[way[across], way[axis], [Leaf(kind, *way)]]])
            return


def _strips_tree(sheet, axis, across):
    tree = None
    for height, _, pieces in reversed(sheet):
        row = None
        for piece in reversed(pieces):
            row = Split(axis, piece[1 + axis], piece, row)
        tree = Split(across, height, row, tree)
    return tree


def best_places(kinds, room, order, fit, rip, sheets=None):
    """A layout that puts each piece, in `order`, into the offcut that it fits best.

    Parameters
    ----------
    kinds, room, order, sheets
        As of `in_strips`.
    fit : {0, 1, 2}
        Best by the smaller gap left, by the larger one, or by area.
    rip : {0, 1, 2, 3}
        How what is left of the offcut is parted: the first cut along the shorter gap, along the longer gap,
        always along x, always along y.

    Returns
    -------
    list of (Leaf, Split or None)
    """
    roots, offcuts, holes = [], [], []
    least = [min(way[axis] for kind in kinds for way in kind.laid) for axis in (0, 1)]
    for kind in order:
        best = _best_offcut(offcuts, kinds[kind].laid, fit)
        if best is None:
            if sheets is not None and len(roots) == sheets:
                continue
            roots.append([None])
            offcuts.append((room[0], room[1], roots[-1]))
            _, way, _ = _best_offcut(offcuts[-1:], kinds[kind].laid, fit)
            place = len(offcuts) - 1
        else:
            _, way, place = best
        width, height, home = offcuts[place]
        offcuts[place] = offcuts[-1]
        offcuts.pop()
        offcuts += _put(kind, way, width, height, home, rip, least)
        holes.append(home)
    for hole in reversed(holes):  # what is inside a hole was filled after it
        hole[0] = _grown(hole[0])
    return [root[0] for root in roots]


def _best_offcut(offcuts, ways, fit):
    """(score, way, number) of the offcut that a piece fits best, or None."""
    best = None
    for number, (width, height, _) in enumerate(offcuts):
        for way in ways:
            gap, other = width - way[0], height - way[1]
            if gap < 0 or other < 0:
                continue
            if fit == 0:
                score = gap if gap < other else other
            elif fit == 1:
                score = other if gap < other else gap
            else:
                score = width * height
            if best is None or score < best[0]:
                best = (score, way, number)
    return best


def _put(kind, way, width, height, home, rip, least):
    """Put a piece into an offcut; returns what is left of it that any piece may fit."""
    gap, other = width - way[0], height - way[1]
    axis = (int(gap < other), int(gap >= other), 1, 0)[rip]
    near, far = [None], [None]
    home[0] = (axis, way[axis], (1 - axis, way[1 - axis], Leaf(kind, *way), near), far)
    inner = (way[0], other) if axis == 0 else (gap, way[1])
    outer = (gap, height) if axis == 0 else (width, other)
    return [
        (*size, hole)
        for size, hole in ((inner, near), (outer, far))
        if size[0] >= least[0] and size[1] >= least[1]
    ]


def _grown(node):
    axis, size, (across, height, leaf, inner), outer = node
    strip = leaf if inner[0] is None else Split(across, height, leaf, inner[0])
    return Split(axis, size, strip, outer[0])


def tries(kinds, room, many, sheets=None, by_value=False, seed=7):
    """Quick layouts, strips first, then ever more shuffled ones; the same ones on every run.

    Parameters
    ----------
    kinds, room, sheets
        As of `in_strips`.
    many : int
        How many shuffled layouts follow the strips.
    by_value : bool
        Sort by what a piece is worth for its area too.
    seed : int

    Yields
    ------
    list of (Leaf, Split or None)
    """
    for axis in (0, 1):
        for along in (True, False):
            order = by_size(kinds, lambda kind, axis=axis, along=along: _height(kind, axis, along))
            yield in_strips(kinds, room, axis, along, order, sheets=sheets)
    rng = Random(seed)
    for number in range(many):
        order = shuffled(kinds, rng, number, by_value)
        if number % 6 == 5:
            yield in_strips(kinds, room, rng.randrange(2), True, order, rng, sheets)
        else:
            yield best_places(kinds, room, order, rng.randrange(3), rng.randrange(4), sheets)


def _height(kind, axis, along):
    """How high a strip along `axis` must be for a piece of `kind`."""
    return sorted(kind.laid, key=lambda way: way[axis], reverse=along)[0][1 - axis]


def by_size(kinds, size):
    numbers = sorted(range(len(kinds)), key=lambda n: -size(kinds[n]))
    return [n for n in numbers for _ in range(kinds[n].count)]


def shuffled(kinds, rng, number, by_value):
    """Kind numbers, largest first by some measure that chance bends the more the later the try."""
    measure = ORDERS[number % len(ORDERS)]
    bend = min(0.6, number / 60)
    weight = {n: measure(*kind.laid[0]) for n, kind in enumerate(kinds)}
    if by_value and number % 2:
        weight = {n: (kind.value / kind.area) ** 3 * kind.area for n, kind in enumerate(kinds)}
    if number % 3 == 2:
        keys = [
            (weight[n] * rng.uniform(1 - bend, 1 + bend), n)
            for n, k in enumerate(kinds)
            for _ in range(k.count)
        ]
        return [n for _, n in sorted(keys, reverse=True)]
    bent = {n: weight[n] * rng.uniform(1 - bend, 1 + bend) for n in weight}
    return _sorted_by(bent, kinds)


def _sorted_by(weight, kinds):
    return [n for n in sorted(weight, key=lambda n: -weight[n]) for _ in range(kinds[n].count)]
