"""A network read as parts in series and in parallel, which is how a schematic of it is drawn."""

from collections import defaultdict
from dataclasses import dataclass


@dataclass(frozen=True)
class Leaf:
    """One part, passed from its start to its end, or `turned`."""

    name: str
    turned: bool = False

    def reversed(self):
        return Leaf(self.name, not self.turned)

    @property
    def names(self):
        return (self.name,)


@dataclass(frozen=True)
class Series:
    """What follows one another from the near joint to the far one."""

    parts: tuple

    def reversed(self):
        return Series(tuple(each.reversed() for each in self.parts[::-1]))

    @property
    def names(self):
        return tuple(name for each in self.parts for name in each.names)


@dataclass(frozen=True)
class Parallel:
    """What lies side by side between the same two joints."""

    parts: tuple

    def reversed(self):
        return Parallel(tuple(each.reversed() for each in self.parts))

    @property
    def names(self):
        return tuple(name for each in self.parts for name in each.names)


def series_parallel(parts, start, end):
    """The parts of a network between two joints as `Series` and `Parallel` of `Leaf`.

    Parameters
    ----------
    parts : dict of str to (str, str)
        The joints at the start and the end of each part.
    start, end : str
        The two joints that it is seen from.

    Returns
    -------
    Leaf, Series, Parallel or None
        None for a bridge, which no such reading holds.

    Notes
    -----
    Parts between the same two joints become one, and so do two that meet in a joint of their own, until one
    is left (R. J. Duffin, "Topology of Series-Parallel Networks," J. Math. Anal. Appl. 10, 1965; from
    memory). Which is merged first does not matter.
    """
    edges = [(a, b, Leaf(name)) for name, (a, b) in parts.items()]
    count = None
    while count != len(edges):
        count = len(edges)
        edges = _in_series(_in_parallel(edges), start, end)
    if len(edges) != 1:
        return None
    a, b, tree = edges[0]
    if {a, b} != {start, end}:
        return None
    return tree if a == start else tree.reversed()


def _in_parallel(edges):
    """Edges between the same joints as one."""
    between = defaultdict(list)
    for a, b, tree in edges:
        between[frozenset((a, b))].append((a, b, tree))
    found = []
    for (a, b, tree), *others in between.values():
        parts = _flat(Parallel, tree)
        for other, _, beside in others:
            parts += _flat(Parallel, beside if other == a else beside.reversed())
        found.append((a, b, Parallel(tuple(parts)) if others else tree))
    return found


def _in_series(edges, start, end):
    """Two edges that alone meet in a joint as one, once over."""
    for joint in dict.fromkeys(end for a, b, _ in edges for end in (a, b)):
        meeting = [edge for edge in edges if joint in edge[:2]]
        if joint in (start, end) or len(meeting) != 2:
            continue
        (a, b, one), (c, d, other) = meeting
        if b != joint:
            a, one = b, one.reversed()
        if c != joint:
            d, other = c, other.reversed()
        merged = a, d, Series((*_flat(Series, one), *_flat(Series, other)))
        place = edges.index(meeting[0])
        rest = [edge for edge in edges if edge not in meeting]
        edges = [*rest[:place], merged, *rest[place:]]
    return edges


def _flat(kind, tree):
    return list(tree.parts) if isinstance(tree, kind) else [tree]
