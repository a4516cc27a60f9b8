"""The crossover's board as it is decided: a board of one's own, and a bought one with lettered holes."""

from dataclasses import dataclass, field
from typing import Literal

from calc.errors import InputError, require_pair, require_within

HOLES = 200
"""More than any bought board has."""


@dataclass(frozen=True)
class BoardPart:
    """Where a part lies: its middle x, y [m] from the board's lower left corner, and how it is turned.

    None lets us find it. `length` along its leads, of a coil along its axis, and `width` across [m] are as
    measured; None takes a usual size.
    """

    x: float | None = None
    y: float | None = None
    turn: Literal["flat", "level", "upright"] | None = None
    length: float | None = None
    width: float | None = None

    def __post_init__(self):
        require_within(0, 1, "must be a place on the board, from its lower left corner", x=self.x, y=self.y)
        require_within(0.001, 0.3, "must be the size of a part", length=self.length, width=self.width)
        require_pair(x=self.x, y=self.y)
        if self.x is not None and self.turn is None:
            raise InputError("turn", "is needed: how does the part lie at its place?")


@dataclass(frozen=True)
class BoardPlan:
    """A board `width` by `height` [m], and what was decided of its parts, by their names."""

    width: float
    height: float
    parts: dict[str, BoardPart] = field(default_factory=dict)

    def __post_init__(self):
        require_within(
            0.02, 1, "must be the size of a board, 20 mm to 1 m", width=self.width, height=self.height
        )


@dataclass(frozen=True)
class Holes:
    """The holes that a part's `start`, a driver's plus, and its `end` go to; empty while not known."""

    start: str = ""
    end: str = ""

    def __post_init__(self):
        for name in ("start", "end"):
            require_hole(name, getattr(self, name))


@dataclass(frozen=True)
class BoughtBoard:
    """A board with lettered holes: which ones its track joins, where the terminals and the parts go.

    `tracks` names the holes of one piece of track after the other: "A C D; B E". Two leads in one hole are
    joined as well.
    """

    tracks: str = ""
    red: str = ""
    black: str = ""
    parts: dict[str, Holes] = field(default_factory=dict)

    def __post_init__(self):
        require_hole("red", self.red)
        require_hole("black", self.black)
        holes = [hole for track in self.joined for hole in track]
        if len(holes) > HOLES:
            raise InputError("tracks", "names more holes than any board has")
        for hole in holes:
            require_hole("tracks", hole)

    @property
    def joined(self):
        """The holes of each piece of track, in capitals."""
        lines = self.tracks.upper().replace("\n", ";").replace(",", " ").split(";")
        return tuple(tuple(line.split()) for line in lines if line.split())


def require_hole(field, hole):
    """Refuse what cannot be printed beside a hole: more than a few letters or figures."""
    if len(hole) > 6 or not all(letter.isalnum() or letter in "+-−" for letter in hole):
        raise InputError(field, "must be the letters beside a hole, such as A or B2, at most six")
