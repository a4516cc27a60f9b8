"""Which drivers are reversed, from tests that ohms cannot replace: a null by ear, a cone's kick by eye."""

from itertools import chain, combinations
from typing import NamedTuple


class Null(NamedTuple):
    """Two neighbouring drivers, and what exchanging the leads of one did near where they meet.

    `right` is what it does if both are joined as drawn, `heard` what it did: "quieter" or "louder"; None
    while nobody tried.
    """

    low: str
    high: str
    right: str
    heard: str | None = None


def reversals(nulls, kicks):
    """Every set of reversed drivers that fits what was heard and seen, the smallest first.

    Parameters
    ----------
    nulls : iterable of Null
    kicks : dict of str to str
        What a cone did when a battery's plus touched the tag where its plus wire sits: "out" where that is
        right, "in" where it is reversed.

    Returns
    -------
    tuple of frozenset
        Of the drivers that any test is about; empty where the tests contradict each other.

    Notes
    -----
    A null compares two drivers: it is turned about if one of them is reversed, and not if both are. A kick
    tells of one.
    """
    nulls = tuple(nulls)
    names = tuple(dict.fromkeys((*(name for null in nulls for name in null[:2]), *kicks)))
    sets = chain.from_iterable(combinations(names, n) for n in range(len(names) + 1))
    return tuple(frozenset(each) for each in sets if _fits(set(each), nulls, kicks))


def _fits(turned, nulls, kicks):
    if any((name in turned) != (kick == "in") for name, kick in kicks.items()):
        return False
    tried = (null for null in nulls if null.heard is not None)
    return all(
        ((null.low in turned) != (null.high in turned)) == (null.heard != null.right) for null in tried
    )
