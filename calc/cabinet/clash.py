"""A clash: two things of a cabinet that are in each other's way, by how much, where, and what parts them.

Places are those of a panel's face, as `calc.cabinet.facing` counts them.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

from calc.cabinet.facing import Facing
from calc.cabinet.flat_shapes import HAIR, Shape, common, rectangle, way_out


class Party(NamedTuple):
    """One of two that clash.

    of : its place in the document below the cabinet or the box ("seats.dome", "port", "braces.shelf"), or the
    name of a panel, which does not move. moves : (field, the axis of its plane: 0 or 1) of each number that
    moves it.
    """

    of: str
    called: str
    moves: tuple = ()


class Pair(NamedTuple):
    """Where two parties meet: their shapes on a face, and from where to where that is below the face. [m]"""

    a: Shape
    b: Shape
    deep: tuple
    face: Facing


@dataclass(frozen=True)
class Clash:
    """Something that does not fit. Lengths [m].

    kind : "edge", "wall", "close", "screw", "brace", "deep", "long", "magnet", "across", "tube", "chamber",
        "parted" or "board".
    field, sentence : the field that it hangs on, and what is told of it without a number.
    words, values : the same with its amount, {name in braces: (quantity, SI value)}.
    parties : those that clash; the first is moved first.
    need : what must stand between them. pairs : where they meet. over : {side: how far one party reaches over
    it}. panel : whose face it shows on; None if it lies inside alone. away : how much farther from the face
    of its `pairs` the first party must stand.
    """

    kind: str
    field: str
    sentence: str
    words: str
    amount: float | None = None
    least: float | None = None
    parties: tuple = ()
    need: float = 0.0
    pairs: tuple = ()
    over: dict = field(default_factory=dict)
    panel: str | None = None
    away: float = 0.0

    @property
    def values(self):
        return {"by": ("length", self.amount), "least": ("length", self.least)}

    @property
    def key(self):
        """What tells it from other clashes, whatever its amount."""
        return self.kind, frozenset(party.of for party in self.parties), self.panel

    def shifts(self, party, axis):
        """How far `party` must move along an axis of its plane to clear it: (back, forth) [m]; none if never.

        Reaching over both of two sides, nothing clears it.
        """
        if self.over:
            sides = (("right", "left"), ("top", "bottom"))[axis]
            back, forth = (self.over.get(side, 0.0) for side in sides)
            others = set(self.over) - set(sides)
            return () if others or (back and forth) else ((-back,) if back else (forth,) if forth else ())
        if not self.pairs or len({each.of for each in self.parties}) == 1:
            return ()
        first = party.of == self.parties[0].of
        found = []
        for sign in (-1, 1):
            steps = (sign, 0) if axis == 0 else (0, sign)
            ways = [
                way_out(a, b, self.need, *steps) if first else way_out(b, a, self.need, *steps)
                for a, b, *_ in self.pairs
            ]
            found.append(sign * max(ways))
        return tuple(found)

    def marks(self):
        """What to hatch: (panel or "section", corners) of each; the section is (depth, height). [m]"""
        found = []
        for a, b, deep, face in self.pairs:
            grown = self.need / 2 if self.kind in ("close", "screw") else 0.0
            lens = common(a.grown(grown).corners(), b.grown(grown).corners())
            if len(lens) < 3:
                continue
            if self.panel:
                found.append((self.panel, tuple(lens)))
            up = [y for _, y in lens]
            side = rectangle(min(up), deep[0], max(up), deep[1])
            if side.half_x > HAIR / 2 and side.half_y > HAIR / 2:
                found.append(("section", tuple(face.at(0.0, y, z)[1:] for y, z in side.corners())))
        return tuple(found)


@dataclass(frozen=True)
class Remedy:
    """One change that clears a clash and brings no other.

    name : what kind of change ("move seats.dome"). words, values : the sentence, {name in braces: (quantity,
    SI value)}. edits : {dotted path in the document: value}.
    """

    name: str
    words: str
    values: dict
    edits: dict


class Misfit(NamedTuple):
    """Something that does not fit: the field that it hangs on, and a sentence."""

    field: str
    sentence: str
