"""A layout as the saw makes it: a tree of cuts, each from edge to edge of what it cuts.

All sizes here are whole numbers that hold one kerf each way: a piece of l + k by w + k on a sheet of L + k by
W + k. Packed so without a kerf, the pieces keep one between them, and the last cut of a strip may run off its
edge. What stands at the sheet's edge needs no kerf, what leaves an offcut does: the sums are exact.
"""

from collections import deque
from dataclasses import dataclass
from typing import NamedTuple


@dataclass(frozen=True)
class Kind:
    """Pieces that are alike.

    `laid` are the (extent along x, extent along y) that they may lie in, `count` how many there are, `value`
    what one is worth.
    """

    laid: tuple
    count: int
    value: float

    @property
    def area(self):
        return self.laid[0][0] * self.laid[0][1]


class Leaf(NamedTuple):
    """One piece of kind number `kind`, as it lies: `w` along x and `h` along y."""

    kind: int
    w: int
    h: int


class Split(NamedTuple):
    """A cut that takes `size` off along `axis` (0 is x): `near` lies in that part, `far` in the rest."""

    axis: int
    size: int
    near: object
    far: object


class Cut(NamedTuple):
    """A pass of the saw along `axis`, its near edge `at` the other one, between `start` and `end`."""

    axis: int
    at: int
    start: int
    end: int


class Laid(NamedTuple):
    """One piece of kind number `kind` with its lower left corner at `x`, `y`."""

    kind: int
    x: int
    y: int
    w: int
    h: int


def sawn(tree, room, kerf, by_stage=False):
    """Pieces and cuts of a layout, in sawing order.

    Strips that lie side by side are all taken off before one of them is cut further, so that the saw goes
    on at one setting as long as it can.

    Parameters
    ----------
    tree : Leaf, Split or None
        What is to come out of the sheet.
    room : (int, int)
        The sheet, kerf included.
    kerf : int
        Width of the cut.
    by_stage : bool
        All strips of the sheet are cut further in one direction before any is in the other.

    Returns
    -------
    pieces : list of Laid
        With the kerf taken off their sizes again.
    cuts : list of Cut
        `at` is the near edge of the kerf; `start` and `end` are the edges of what is cut.
    """
    pieces, cuts, waiting = [], [], deque([(tree, (0, 0), room)])
    while waiting:
        node, corner, size = waiting.popleft()
        strips, parted = [], []
        while node is not None:
            axis, take, near, node = _next_strip(node, size)
            if take < size[axis]:
                cuts.append(_cut(axis, take, corner, size, kerf))
            if near is not None:
                strips.append((near, corner, _with(size, axis, take)))
            corner = _with(corner, axis, corner[axis] + take)
            size = _with(size, axis, size[axis] - take)
        for near, place, extent in strips:
            if isinstance(near, Leaf) and (near.w, near.h) == extent:
                pieces.append(Laid(near.kind, *place, near.w - kerf, near.h - kerf))
            else:
                parted.append((near, place, extent))
        if by_stage:
            waiting.extend(parted)
        else:
            waiting.extendleft(reversed(parted))
    return pieces, cuts


def _next_strip(node, size):
    """(axis, how much is taken off, what lies in it, what lies in the rest) of a node in a room of `size`."""
    if isinstance(node, Split):
        return node
    axis = 0 if node.w < size[0] else 1
    return axis, (node.w, node.h)[axis], node, None


def _cut(axis, take, corner, size, kerf):
    across = 1 - axis
    return Cut(across, corner[axis] + take - kerf, corner[across], corner[across] + size[across] - kerf)


def _with(pair, axis, value):
    return (value, pair[1]) if axis == 0 else (pair[0], value)


def leaves(tree):
    """The pieces of a layout, as a list of `Leaf`."""
    found, waiting = [], [tree]
    while waiting:
        node = waiting.pop()
        if isinstance(node, Leaf):
            found.append(node)
        elif node is not None:
            waiting += [node.near, node.far]
    return found


def rebuilt(tree, leaf, size, axis=lambda split: split.axis):
    """The same layout with every piece as `leaf` has it, every cut along `axis` and taking off `size`.

    Without recursion, since a row of pieces is as deep as it is long.
    """
    done, waiting = [], [(tree, False)]
    while waiting:
        node, parts_done = waiting.pop()
        if node is None:
            done.append(None)
        elif isinstance(node, Leaf):
            done.append(leaf(node))
        elif parts_done:
            far, near = done.pop(), done.pop()
            done.append(Split(axis(node), size(node), near, far))
        else:
            waiting += [(node, True), (node.far, False), (node.near, False)]
    return done.pop()


def renumbered(tree, numbers):
    """The same layout with kind n as number `numbers[n]`."""
    return rebuilt(tree, lambda leaf: leaf._replace(kind=numbers[leaf.kind]), lambda split: split.size)
