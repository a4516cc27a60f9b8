"""The most that one sheet gives, and no layout more: recursion over all edge-to-edge cuts.

Where pieces may be taken any number of times, the best way to cut a rectangle is to leave it a piece or to
cut it in two and do the best with both (Gilmore and Gomory). Cuts need to be tried only where pieces laid end
to end reach (normal positions), since everything can be pushed to the lower left.
"""

import numpy as np

from calc.shop.layout_tree import Leaf, Split

POSITIONS = 2_000_000_000
"""Limit of (positions along x) x (along y) x (both): above it, positions are thinned out."""

PASSES = 12
"""Doublings of the strips in a column; 2^12 are more strips than there are positions."""

GRID = 96
"""Steps of the coarse sheet on which `outside` is reckoned where positions are many."""


def normal_positions(sizes, counts, room, cap=3_000_000):
    """Lengths up to `room` that pieces laid end to end can reach, 0 among them, ascending.

    Parameters
    ----------
    sizes : sequence of sequence of int
        For each kind of piece, the extents that it may have in this direction.
    counts : sequence of int
        How many pieces of each kind there are.
    room : int
    cap : int
        With a longer `room` than this nothing is reckoned.

    Returns
    -------
    ndarray of int64, or None
        None where `room` is above `cap`.
    """
    if room > cap:
        return None
    reached, mask = 1, (1 << (room + 1)) - 1
    copies = [min(count, room // min(extents)) for extents, count in zip(sizes, counts, strict=True)]
    few = sum(copies) <= 400
    for extents, many in zip(sizes, copies, strict=True):
        if few:
            for _ in range(many):
                before = reached
                for extent in set(extents):
                    reached |= (before << extent) & mask
        else:  # as if without limit: a few positions too many do no harm
            for extent in set(extents):
                while extent <= room:
                    reached |= (reached << extent) & mask
                    extent *= 2
    flags = np.frombuffer(reached.to_bytes(room // 8 + 1, "little"), dtype=np.uint8)
    return np.flatnonzero(np.unpackbits(flags, bitorder="little")).astype(np.int64)


class BestCuts:
    """The best values of all rectangles between positions `xs` and `ys`, pieces without limit.

    Parameters
    ----------
    kinds : sequence of Kind
    xs, ys : ndarray of int, shape (n,), (m,)
        Ascending, from 0.
    """

    def __init__(self, kinds, xs, ys):
        self.kinds, self.xs, self.ys = kinds, xs, ys
        self.across = [self._parts(xs, i) for i in range(len(xs))]
        self.up = self._all_parts(ys)
        self.V = np.zeros((len(xs), len(ys)))
        self._start()
        for i in range(1, len(xs)):
            self._row(i)

    def _start(self):
        for kind in self.kinds:
            for w, h in kind.laid:
                i, j = np.searchsorted(self.xs, w), np.searchsorted(self.ys, h)
                np.maximum(self.V[i:, j:], kind.value, out=self.V[i:, j:])

    def _row(self, i):
        one, other = self.across[i]
        V = self.V
        for start in range(0, len(one), 64):
            part = V[one[start : start + 64]] + V[other[start : start + 64]]
            np.maximum(V[i], part.max(axis=0), out=V[i])
        one, other, first = self.up
        if len(one) == 0:
            return
        for _ in range(PASSES):  # a strip of strips: twice as many at each pass
            better = np.maximum.reduceat(V[i][one] + V[i][other], first[0])
            grown = V[i].copy()
            grown[first[1]] = np.maximum(grown[first[1]], better)
            if np.array_equal(grown, V[i]):
                return
            V[i] = grown

    @staticmethod
    def _parts(at, i):
        """Numbers of the two parts for every cut of the length ``at[i]`` up to its middle."""
        one = np.arange(1, np.searchsorted(at, at[i] // 2, side="right"))
        return one, np.searchsorted(at, at[i] - at[one], side="right") - 1

    def _all_parts(self, at):
        parts = [self._parts(at, i) for i in range(len(at))]
        kept = [i for i, (one, _) in enumerate(parts) if len(one)]
        if not kept:
            return np.array([], int), np.array([], int), None
        one, other = (np.concatenate([parts[i][n] for i in kept]) for n in (0, 1))
        starts = np.cumsum([0, *(len(parts[i][0]) for i in kept[:-1])])
        return one, other, (starts, np.array(kept))

    def value(self, w, h):
        """Best value of a rectangle `w` by `h`."""
        return self.V[
            np.searchsorted(self.xs, w, side="right") - 1, np.searchsorted(self.ys, h, side="right") - 1
        ]

    def tree(self, w, h, most):
        """The best layout of a rectangle `w` by `h`; None if it is of more than `most` pieces."""
        self.left = most
        tree = self._tree(w, h)
        return tree if self.left >= 0 else None

    def _tree(self, w, h):
        i = int(np.searchsorted(self.xs, w, side="right")) - 1
        j = int(np.searchsorted(self.ys, h, side="right")) - 1
        value = self.V[i, j]
        if value <= 0 or self.left < 0:
            return None
        for number, kind in enumerate(self.kinds):
            for way in kind.laid:
                if kind.value == value and way[0] <= self.xs[i] and way[1] <= self.ys[j]:
                    self.left -= 1
                    return Leaf(number, *way)
        for axis, at, (one, other), line in (
            (0, self.xs, self.across[i], self.V[:, j]),
            (1, self.ys, self._parts(self.ys, j), self.V[i]),
        ):
            sums = (line[one] + line[other])[::-1]  # near the middle first: a flat tree
            if len(sums) and sums.max() >= value:
                size = int(at[one[::-1][sums.argmax()]])
                inner, outer = ((size, h), (w - size, h)) if axis == 0 else ((w, size), (w, h - size))
                return Split(axis, size, self._tree(*inner), self._tree(*outer))
        raise AssertionError("every best value comes from a piece or a cut")


def unlimited(kinds, room, most):
    """The best layout of one sheet of pieces without limit.

    Parameters
    ----------
    kinds : sequence of Kind
    room : (int, int)
    most : int
        Pieces that a layout may have.

    Returns
    -------
    tree : Leaf, Split or None
        None if it has more pieces than `most`.
    bound : float
        No layout is worth more; infinite where positions had to be thinned out.

    References
    ----------
    P. C. Gilmore and R. E. Gomory, "The Theory and Computation of Knapsack Functions," Operations Research
    14 (1966), for the recursion.
    """
    counts = [max(room) for _ in kinds]
    at = [normal_positions([[way[a] for way in k.laid] for k in kinds], counts, room[a]) for a in (0, 1)]
    exact = all(line is not None for line in at) and len(at[0]) * len(at[1]) * sum(map(len, at)) <= POSITIONS
    if not exact:
        at = [_thinned(kinds, room[a], a, at[a]) for a in (0, 1)]
    best = BestCuts(kinds, *at)
    return best.tree(*room, most), float(best.value(*room)) if exact else np.inf


def _thinned(kinds, room, axis, positions, many=350):
    """Positions that keep every row of equal pieces and every pair, and some of the others."""
    singles = sorted({way[axis] for kind in kinds for way in kind.laid})
    rows = {
        n * way[axis]
        for kind in kinds
        for way in kind.laid
        for n in range(min(kind.count, room // way[axis]) + 1)
    }
    pairs = {a + b for a in singles for b in singles if a + b <= room}
    kept = sorted(rows | set(singles))
    kept = kept[:: max(1, len(kept) // many)] if len(kept) > many else kept
    more = sorted(pairs - set(kept)) if positions is None else [int(p) for p in positions]
    step = max(1, len(more) // max(1, many - len(kept)))
    return np.array(sorted({0, *kept, *more[::step]}), dtype=np.int64)


class Outside:
    """What the rest of a sheet is worth at most, beside a rectangle that is cut from it.

    Sizes are rounded down to a sheet of few steps, so that all that fits the real sheet fits the coarse one:
    its values can only be too high.

    Parameters
    ----------
    kinds : sequence of Kind
    room : (int, int)
    """

    def __init__(self, kinds, room):
        self.steps = [min(GRID, size) for size in room]
        self.room = room
        coarse = [
            type(kind)(
                tuple((self.step(w, 0), self.step(h, 1)) for w, h in kind.laid), kind.count, kind.value
            )
            for kind in kinds
        ]
        self.useful = all(min(way) > 0 for kind in coarse for way in kind.laid)
        if self.useful:
            n, m = self.steps
            self.U = BestCuts(coarse, np.arange(n + 1), np.arange(m + 1)).V
            self.rest = self._rest()
            self.most = float(self.U[n, m])

    def step(self, size, axis):
        """`size` along `axis` in whole steps, rounded down; works on arrays."""
        return size * self.steps[axis] // self.room[axis]

    def _rest(self):
        n, m = self.steps
        rest = np.full((n + 1, m + 1), -np.inf)
        rest[n, m] = 0.0
        j = np.arange(m + 1)
        gap = j[None, :] - j[:, None]
        for i in range(n, -1, -1):
            line = rest[i].copy()
            if i < n:
                line = np.maximum(line, (rest[i + 1 :] + self.U[1 : n - i + 1]).max(axis=0))
            wide = np.where(gap >= 0, self.U[i][np.maximum(gap, 0)], -np.inf)
            rest[i] = (wide + line[None, :]).max(axis=1)
        return rest

    def __call__(self, w, h):
        """Most that the sheet gives beside rectangles `w` by `h` (arrays)."""
        return self.rest[self.step(w, 0), self.step(h, 1)]
