"""What is written beside a cut, and where: within the paper, clear of other words, across few lines."""

import numpy as np

from calc.shop.features import PRICKED, Circle
from calc.shop.rings import flattened

GAP = 1.5
"""Least room between words, and from words to the edge of the paper. [mm]"""

STEP = 2.0
"""How far apart places lie at which a line is looked for. [mm]"""


def called(feature, part):
    """A cut by what it is for: ``rabbet for the back``, ``woofer: opening``."""
    ends = [word for word in feature.name.split("-") if word != part]
    if feature.kind in ("rabbet", "groove", "slot", "notch"):
        edge = "-" in feature.name and len(ends) == 1
        return f"{feature.kind} for {'the ' + ends[0] if edge else feature.name}"
    return feature.kind if feature.name == feature.kind else f"{feature.name}: {feature.kind}"


def words(feature, part, write):
    """What is written beside a cut of a `part`; "" of its outline and of what needs no words."""
    if feature.kind == "pad":
        return feature.name
    if feature.kind == "outline" or feature.kind in PRICKED:
        return ""
    deep = "through" if feature.through else f"{write(feature.depth)} deep"
    across = f" Ø {write(feature.shape.diameter)}," if isinstance(feature.shape, Circle) else ""
    return f"{called(feature, part)},{across} {deep}"


def traced(shape):
    """Places along a shape, none farther than `STEP` from the next: an array (n, 2). [mm]"""
    if isinstance(shape, Circle):
        turns = np.arange(0.0, 2 * np.pi, 1e-3 * STEP / max(shape.diameter / 2, 1e-3))
        ways = np.stack((np.cos(turns), np.sin(turns)), axis=1)
        return 1e3 * (np.array((shape.x, shape.y)) + shape.diameter / 2 * ways)
    corners = 1e3 * np.array(flattened(shape))
    ahead = np.roll(corners, -1, axis=0)
    many = np.maximum(1, np.ceil(np.hypot(*(ahead - corners).T) / STEP).astype(int))
    return np.concatenate([
        a + (b - a) * np.arange(n)[:, None] / n for a, b, n in zip(corners, ahead, many, strict=True)
    ])  # fmt: skip


BESIDE = 3
"""As many places of a line are rather covered than words set outside of what they tell of."""


class Spots:
    """Where words may stand on a paper that shows `window` (left, low, right, high) of a part. [mm]

    lines : places (n, 2) that words had better not cross.
    """

    def __init__(self, window, lines):
        left, low, right, high = window
        self.window = left + GAP, low + GAP, right - GAP, high - GAP
        self.lines, self.taken = lines, []

    def place(self, line, wide, tall):
        """The best place for words `wide` by `tall` on a traced `line`: (x, y, upright), x and y their lower
        left corner, upright ones read from below; None where nothing of it is on this paper. [mm]"""
        seen = line[(line >= self.window[:2]).all(axis=1) & (line <= self.window[2:]).all(axis=1)]
        if not len(seen):
            return None
        (left, low), (right, high) = seen.min(axis=0), seen.max(axis=0)
        ways = [(wide, tall, False)]
        if right - left < wide and high - low > right - left:
            ways.insert(0, (tall, wide, True))
        best = None
        for across, up, upright in ways:
            for x in self._along(left, right, across, 0):
                for y in self._along(low, high, up, 1):
                    here = x, y, x + across, y + up
                    within = left < x + across / 2 < right and low < y + up / 2 < high
                    worth = self._crossed(here) + abs(y + up / 2 - (low + high) / 2) / 1e3
                    worth += 0.0 if within else BESIDE
                    if best is None or worth < best[0] - 1e-9:
                        best = worth, here, upright
        _, here, upright = best
        self.taken.append(here)
        return here[0], here[1], upright

    def _along(self, start, end, size, axis):
        """Places to try along one axis, all of which keep the words on the paper."""
        first, last = self.window[axis], self.window[axis + 2] - size
        if last < first:  # too long for the paper: as much over one edge as over the other
            return [(first + last) / 2]
        tried = np.linspace(start + GAP, max(start + GAP, end - size - GAP), 13)
        beside = (start - size - GAP, end + GAP)
        return sorted({round(min(max(each, first), last), 3) for each in (*tried, *beside)})

    def _crossed(self, here):
        """How much words in a place would cover: other words weigh most."""
        x0, y0, x1, y1 = here
        x, y = self.lines.T
        lines = np.count_nonzero((x > x0 - 0.5) & (x < x1 + 0.5) & (y > y0 - 0.5) & (y < y1 + 0.5))
        others = sum(
            x0 < b1 + GAP and b0 < x1 + GAP and y0 < d1 + GAP / 2 and d0 < y1 + GAP / 2
            for b0, d0, b1, d1 in self.taken
        )
        return lines + 1000 * others
