"""What a layout leaves over, and the choice among equally good ones of that which leaves most in one piece.

Whole numbers as in `calc.shop.layout_tree`: each rectangle holds one kerf each way.
"""

from calc.shop.layout_tree import Leaf

TRIES = 24
"""Shuffled layouts that are looked at, besides the strips."""

FEW = 200
"""Pieces above which only the strips are looked at."""


def offcuts(tree, room):
    """The rectangles (x, y, width, height) that are left when a layout is sawn, the largest first."""
    left, waiting = [], [(tree, (0, 0), room)]
    while waiting:
        node, corner, size = waiting.pop()
        if node is None:
            if min(size) > 0:
                left.append((*corner, *size))
            continue
        axis, take, near, far = _parted(node, size)
        if take is None:
            continue
        beyond = list(corner), list(size)
        beyond[0][axis] += take
        beyond[1][axis] -= take
        kept = list(size)
        kept[axis] = take
        waiting += [(far, *map(tuple, beyond)), (near, corner, tuple(kept))]
    return sorted(left, key=lambda each: -each[2] * each[3])


def _parted(node, size):
    """(axis, what is taken off, what lies in it, what in the rest); nothing is taken off a leaf that fits."""
    if not isinstance(node, Leaf):
        return node
    for axis, extent in enumerate((node.w, node.h)):
        if extent < size[axis]:
            return axis, extent, node, None
    return 0, None, None, None


def wholest(kinds, room, trees, tries):
    """Of quick layouts (`tries`) on as many sheets, and of `trees`, the one with the largest offcut."""
    total = sum(kind.count for kind in kinds)
    best, most = trees, _largest(trees, room)
    for other in tries(kinds, room, TRIES if total <= FEW else 0):
        if len(other) == len(trees) and (rest := _largest(other, room)) > most:
            best, most = other, rest
    return best


def _largest(trees, room):
    """Area of the largest offcut of a layout."""
    return max((w * h for tree in trees for _, _, w, h in offcuts(tree, room)[:1]), default=0)
