"""Layouts built from the pieces upward: two rectangles side by side or one above the other, again and again.

Every guillotine layout comes about so. Rectangles that promise too little are dropped: what a sheet can give
at most that holds them is known. If nothing else had to be dropped, what was not found does not exist.
"""

from dataclasses import dataclass

import numpy as np

from calc.shop.layout_tree import Leaf, Split
from calc.shop.layout_value import normal_positions

HAIR = 1e-9
"""Relative width of what rounding may do to a value."""

OVERHEAD = 1000
"""Pairs that could be looked at in the time that one look takes, however few they are."""

SORTED = 20_000
"""Rectangles of one number of pieces that are compared with each other at the least."""


@dataclass
class _Level:
    """Rectangles of the same number of pieces. `words` (n, m) holds how many of each kind, bit by bit.

    `from_` (n, 5): level and number of the near one, of the far one, and the axis; for a piece its kind.
    """

    w: np.ndarray
    h: np.ndarray
    words: np.ndarray
    value: np.ndarray
    promise: np.ndarray
    from_: np.ndarray

    def __len__(self):
        return len(self.w)

    def taken(self, keep):
        return _Level(*(part[keep] for part in vars(self).values()))


class Merging:
    """Search for layouts of one sheet.

    Parameters
    ----------
    kinds : sequence of Kind
        With counts that are all limited.
    room : (int, int)
    outside : callable, optional
        Bound on what is worth having beside rectangles w, h (arrays); see `calc.shop.layout_value.Outside`.

    Attributes
    ----------
    complete : bool
        After `run`: no layout better than those found and worth the target exists.
    dropped : float
        No layout that was missed is worth more.
    """

    def __init__(self, kinds, room, outside=None):
        self.kinds, self.room, self.outside = kinds, room, outside
        self.total = sum(kind.count for kind in kinds)
        self.density = max(kind.value / kind.area for kind in kinds)
        counts = [kind.count for kind in kinds]
        at = [normal_positions([[way[a] for way in k.laid] for k in kinds], counts, room[a]) for a in (0, 1)]
        self.reach = at
        self._fields(counts)

    def _fields(self, counts):
        """Where each kind's counter stands among the 62 bits of a word, with a guard bit above it."""
        place, self.word, self.shift = 0, [], []
        for count in counts:
            width = count.bit_length() + 1
            if place % 62 + width > 62:
                place = (place // 62 + 1) * 62
            self.word.append(place // 62)
            self.shift.append(place % 62)
            place += width
        many = self.word[-1] + 1
        self.limit, self.guard = np.zeros(many, np.int64), np.zeros(many, np.int64)
        for kind, count in enumerate(counts):
            self.limit[self.word[kind]] += count << self.shift[kind]
            self.guard[self.word[kind]] += 1 << (self.shift[kind] + count.bit_length())

    def run(self, target, width, budget, enough=1):
        """Look for layouts worth `target` at least, or better ones than any found so far.

        Parameters
        ----------
        target : float
            Value below which a layout is of no use.
        width : int
            Rectangles kept of each number of pieces.
        budget : int
            Pairs of rectangles that are looked at.
        enough : int
            Layouts after which it stops; 0 looks for ever better ones.

        Returns
        -------
        list of (float, tree)
            Layouts worth `target` or more, each worth more than the former if `enough` is 0.
        """
        self.complete, self.dropped, self.left = True, -np.inf, budget
        self.target, self.enough, self.found = target * (1 - HAIR), enough, []
        self.levels = [None, self._kept(self._singles(), width)]
        self._look(1)
        top = 1
        for n in range(2, self.total + 1):
            if n > 2 * top:
                break
            if self.left <= 0:
                self._cut_short()
                break
            if enough and len(self.found) >= enough:
                break
            made = [self._pairs(i, n - i) for i in range(1, n // 2 + 1)]
            made = [level for level in made if level is not None]
            empty = self._singles().taken(slice(0))
            self.levels.append(self._kept(joined(made), width) if made else empty)
            self._look(n)
            top = n if len(self.levels[n]) else top
        return [(value, self._tree(level, number)) for value, level, number in self.found]

    def _cut_short(self):
        self.complete = False
        self.dropped = max([self.dropped, *(level.promise.max() for level in self.levels[1:] if len(level))])

    def _singles(self):
        rows = [(kind, *way) for kind, k in enumerate(self.kinds) for way in k.laid]
        kind, w, h = (np.array(column, dtype=np.int64) for column in zip(*rows, strict=True))
        words = np.zeros((len(rows), len(self.limit)), np.int64)
        for row, number in enumerate(kind):
            words[row, self.word[number]] = 1 << self.shift[number]
        value = np.array([self.kinds[number].value for number in kind], float)
        from_ = np.zeros((len(rows), 5), np.int32)
        from_[:, 0] = kind
        fits = (w <= self.room[0]) & (h <= self.room[1])
        return _Level(w, h, words, value, self._promise(w, h, value), from_).taken(fits)

    def _promise(self, w, h, value):
        """Most that a sheet can be worth that holds rectangles `w` by `h` worth `value`."""
        W, H = self.room
        w, h = np.minimum(w, W), np.minimum(h, H)
        lost = _gap(self.reach[0], W - w) * h.astype(float) + _gap(self.reach[1], H - h) * w.astype(float)
        free = float(W) * float(H) - w.astype(float) * h - lost
        promise = value + self.density * free
        return promise if self.outside is None else np.minimum(promise, value + self.outside(w, h))

    def _pairs(self, i, j):
        a, b = self.levels[i], self.levels[j]
        if not len(a) or not len(b):
            return None
        made = [self._side_by_side(axis, i, j, a, b) for axis in (0, 1)]
        return joined(made)

    def _side_by_side(self, axis, i, j, a, b):
        """All of `a` with all of `b` along `axis` that fit, have the pieces, and promise enough."""
        along, over = (("w", "h"), ("h", "w"))[axis]
        one, other = self._near_in_height(getattr(a, along), getattr(a, over), getattr(b, over))
        length = getattr(a, along)[one] + getattr(b, along)[other]
        fits = length <= self.room[axis]
        if i == j:
            fits &= one <= other  # the mirror image adds nothing
        one, other, length = one[fits], other[fits], length[fits]
        fits = np.ones(len(one), bool)
        for word in range(len(self.limit)):
            sums = a.words[one, word] + b.words[other, word]
            fits &= ((self.limit[word] + self.guard[word] - sums) & self.guard[word]) == self.guard[word]
        one, other, length = one[fits], other[fits], length[fits]
        height = np.maximum(getattr(a, over)[one], getattr(b, over)[other])
        w, h = (length, height) if axis == 0 else (height, length)
        value = a.value[one] + b.value[other]
        promise = self._promise(w, h, value)
        good = promise >= self._least()
        one, other = one[good], other[good]
        from_ = np.empty((len(one), 5), np.int32)
        from_[:, 0], from_[:, 1], from_[:, 2], from_[:, 3], from_[:, 4] = i, one, j, other, axis
        words = a.words[one] + b.words[other]
        return _Level(w[good], h[good], words, value[good], promise[good], from_)

    def _near_in_height(self, length, height, others):
        """Numbers of pairs whose heights differ by no more than the loss beside the lower one may be."""
        spare = self.density * float(self.room[0]) * float(self.room[1]) - self._least()
        order = np.argsort(others, kind="stable")
        ranked = others[order]
        allowed = np.inf if self.density <= 0 else spare / self.density * (1 + HAIR) + 1
        least = self._narrowest
        with np.errstate(over="ignore"):
            low = np.searchsorted(ranked, height - allowed / np.maximum(1, least))
            high = np.searchsorted(ranked, height + allowed / length, side="right")
        many = high - low
        if many.sum() > self.left:
            many[:] = 0
            self._cut_short()
            self.left = 0
        else:
            self.left -= int(many.sum()) + OVERHEAD
        one = np.repeat(np.arange(len(many)), many)
        starts = np.cumsum(many) - many
        other = order[np.arange(int(many.sum())) - np.repeat(starts, many) + np.repeat(low, many)]
        return one, other

    @property
    def _narrowest(self):
        return min(min(way) for kind in self.kinds for way in kind.laid)

    def _least(self):
        """What a rectangle must promise to be of use."""
        if self.enough or not self.found:
            return self.target
        return max(self.target, self.found[-1][0] * (1 + HAIR))

    def _kept(self, level, width):
        """Of rectangles with the same pieces those that no other one fits within; of these the best."""
        if not len(level):
            return level
        level = self._best(level, max(12 * width, SORTED))  # sorting many more takes longer than it is worth
        return self._best(_undominated(level), width)

    def _best(self, level, many):
        if len(level) <= many:
            return level
        order = np.argsort(-level.promise, kind="stable")
        self.complete = False
        self.dropped = max(self.dropped, float(level.promise[order[many]]))
        return level.taken(np.sort(order[:many]))

    def _look(self, n):
        level = self.levels[n]
        if not len(level):
            return
        if self.enough:
            good = np.flatnonzero(level.value >= self.target)
            good = good[np.argsort(-level.value[good], kind="stable")]
            self.found += [(float(level.value[k]), n, int(k)) for k in good[: self.enough]]
        else:
            best = int(level.value.argmax())
            if level.value[best] >= self._least():
                self.found.append((float(level.value[best]), n, best))

    def _tree(self, level, number):
        near, one, far, other, axis = (int(k) for k in self.levels[level].from_[number])
        if level == 1:
            return Leaf(near, int(self.levels[1].w[number]), int(self.levels[1].h[number]))
        size = self.levels[near].w[one] if axis == 0 else self.levels[near].h[one]
        return Split(axis, int(size), self._tree(near, one), self._tree(far, other))


def _gap(reach, room):
    """How much of the lengths `room` no pieces laid end to end can fill."""
    if reach is None:
        return np.zeros(len(room))
    return (room - reach[np.searchsorted(reach, room, side="right") - 1]).astype(float)


def joined(levels):
    return _Level(
        *(np.concatenate(parts) for parts in zip(*(vars(level).values() for level in levels), strict=True))
    )


def _undominated(level):
    """The rectangles of which no other with the same pieces is as small both ways."""
    if not len(level):
        return level
    order = np.lexsort((level.h, level.w, *level.words.T))
    level = level.taken(order)
    new = np.ones(len(level), bool)
    new[1:] = (level.words[1:] != level.words[:-1]).any(axis=1)
    group = np.cumsum(new)
    # Within a group w rises: one is kept if its h is below all before it. Groups are set far apart.
    far = int(level.h.max()) + 1
    depth = level.h - group * far
    before = np.minimum.accumulate(depth)
    keep = np.ones(len(level), bool)
    keep[1:] = depth[1:] < before[:-1]
    return level.taken(keep)
