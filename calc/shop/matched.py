"""Parts that show one run of grain: cut from the sheet as one blank, and then apart, a kerf between them."""

from dataclasses import dataclass, replace
from typing import NamedTuple

from calc.shop.sheet_layout import Pass, Piece, Placed

ALIKE = 1e-3
"""Sizes that differ by less are taken to be meant equal. [m]"""

_HAIR = 1e-6  # m; layouts are whole micrometres


class Member(NamedTuple):
    """One part of a run: the letter of its row, its size [m]; `turned`: its width lies along the grain."""

    name: str
    length: float
    width: float
    turned: bool = False

    @property
    def extent(self):
        """Along the grain and across it, as it lies on the sheet. [m]"""
        return (self.width, self.length) if self.turned else (self.length, self.width)


@dataclass(frozen=True)
class Run:
    """`members` in their order, `way` "end" to end along the grain or "side" by side across it."""

    key: str
    way: str
    members: tuple

    @property
    def axis(self):
        """Along which they follow each other: 0 is along the grain."""
        return 0 if self.way == "end" else 1

    @property
    def across(self):
        """How far the widest of them reaches across the run. [m]"""
        return max(member.extent[1 - self.axis] for member in self.members)

    def blank(self, kerf):
        """The `Piece` that they are cut from."""
        along = sum(member.extent[self.axis] for member in self.members) + kerf * (len(self.members) - 1)
        sides = (along, self.across) if self.axis == 0 else (self.across, along)
        return Piece(self.key, *(round(side, 6) for side in sides), 1, "length")


def lying(way, parts):
    """Members of a run from (letter, length, width): who is as long as the run is wide is turned.

    The first lies with its grain along its length. One whose other side is nearer to the width of the run,
    as that of a top between two sides, is turned, so that the grain runs on over it.
    """
    across = 1 if way == "end" else 0
    wide = parts[0][1:][across]
    return tuple(
        Member(*part, abs(part[1:][1 - across] - wide) < ALIKE <= abs(part[1:][across] - wide))
        for part in parts
    )


def cut_apart(sawn, runs, kerf):
    """A `SawnSheet` whose blanks are cut into their members, after all its other cuts.

    Parameters
    ----------
    sawn : SawnSheet
    runs : dict of str to Run
        By the name of their blank.
    kerf : float

    Returns
    -------
    SawnSheet
    """
    pieces, cuts, offcuts = [], list(sawn.cuts), list(sawn.offcuts)
    for placed in sawn.pieces:
        if placed.name not in runs:
            pieces.append(placed)
            continue
        for member, found, rest in _members(runs[placed.name], placed, kerf):
            pieces.append(member)
            cuts += found
            offcuts += rest
    return replace(
        sawn,
        pieces=tuple(pieces),
        cuts=tuple(cuts),
        offcuts=tuple(sorted(offcuts, key=lambda each: -each[2] * each[3])),
    )


def _members(run, placed, kerf):
    """Of each member: where it lies, the cuts that free it, and what is left beside it."""
    axis, across = run.axis, 1 - run.axis
    at, end = [placed.x, placed.y], [placed.x + placed.length, placed.y + placed.width]
    for n, member in enumerate(run.members):
        size, cuts, rest = member.extent, [], []
        if n < len(run.members) - 1:
            cuts.append(Pass("xy"[across], at[axis] + size[axis], at[across], end[across]))
        left = end[across] - at[across] - size[across]
        if left > _HAIR:
            cuts.append(Pass("xy"[axis], at[across] + size[across], at[axis], at[axis] + size[axis]))
        if left > kerf + _HAIR:
            corner, extent = list(at), list(size)
            corner[across], extent[across] = at[across] + size[across] + kerf, left - kerf
            rest.append((*corner, *extent))
        yield Placed(member.name, *at, member.length, member.width, member.turned), cuts, rest
        at[axis] += size[axis] + kerf
