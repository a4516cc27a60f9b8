"""In which order the parts of a box go together: found by taking it apart, one way for each part."""

from typing import NamedTuple


class Move(NamedTuple):
    """One step of putting together: the `parts` that come in as one, moved along `way`, a key of the ways."""

    parts: tuple
    way: str


class Order(NamedTuple):
    """`moves` in working order, and the parts that are `locked`: no one of them comes in last."""

    moves: tuple
    locked: tuple


def order(parts, meets, ways, together=()):
    """An order in which parts go together.

    Parameters
    ----------
    parts : iterable of str
        The one that should come in last first.
    meets : callable
        (part, way out, other) -> whether the part, moved out along that way, would meet the other.
    ways : dict of str to iterable of str
        {part: the ways out to try, the best first}.
    together : iterable of tuples of str
        Parts that may come in as one where none comes in alone, as plates that cross.

    Returns
    -------
    Order
        A move's `way` is the way out: the parts come in against it.

    Notes
    -----
    What comes out of the whole by one straight move goes in by it reversed, and a part that is free stays
    free when others are gone. So taking out whatever is free, in any order, ends with nothing exactly if
    there is an order of such moves; what is left over is locked.
    """
    left, moves, together = list(parts), [], [*together]
    while left:
        move = _free(left, meets, ways, together)
        if move is None:
            return Order((), tuple(left))
        moves.append(move)
        left = [part for part in left if part not in move.parts]
    return Order(tuple(reversed(moves)), ())


def _free(left, meets, ways, together):
    """The first of what is left that can be taken out, with its way out; None where nothing can."""
    groups = [(part,) for part in left] + [group for group in together if set(group) <= set(left)]
    for group in groups:
        rest = set(left) - set(group)
        for way in ways[group[0]]:
            if not any(meets(part, way, other) for part in group for other in rest):
                return Move(group, way)
    return None
