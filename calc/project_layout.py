"""What parts are cut from: stock of the shop, and parts that show one run of grain (see `calc.project`)."""

from dataclasses import dataclass, field
from typing import Literal

from calc.errors import InputError, require_positive, require_whole, require_within

MOST = 200
"""Pieces of stock that one project lists."""

Place = Literal["1", "2", "3", "4", "5", "6", "7", "8"]
"""Where a part stands in its run."""


@dataclass(frozen=True)
class StockPiece:
    """`count` equal pieces of the sheet good `sheet`, each `length` by `width` [m].

    kind : a whole "sheet", whose factory edges are trimmed first, or an "offcut", measured between straight
    edges. grain : the side that it runs along. thickness : as measured [m]; None: that of its sheet good.
    aside : it is kept for another job.
    """

    sheet: str
    length: float
    width: float
    name: str = ""
    kind: Literal["offcut", "sheet"] = "offcut"
    count: int = 1
    grain: Literal["length", "width"] = "length"
    thickness: float | None = None
    aside: bool = False

    def __post_init__(self):
        require_positive(length=self.length, width=self.width, thickness=self.thickness)
        carried = "must be a size of a board, from 2 cm to 10 m"
        require_within(0.02, 10, carried, length=self.length, width=self.width)
        require_within(0.001, 0.1, "must be a thickness, measured with a calliper", thickness=self.thickness)
        require_whole(1, 50, count=self.count)
        if len(self.name) > 60:
            raise InputError("name", "must be a short name or number, as it is written on the board")


@dataclass(frozen=True)
class Match:
    """Parts cut next to each other, so that the figure of the sheet runs on over them.

    way : "end" to end along the grain, or "side" by side across it. pair : the parts of all speakers in one
    run, speaker after speaker; else each speaker has a run of its own. parts : by their place in the run.
    Where the cabinets are a mirrored pair, the right one's parts follow each other the other way round.
    """

    way: Literal["end", "side"] = "side"
    pair: bool = True
    parts: dict[Place, str | None] = field(default_factory=dict)

    def __post_init__(self):
        named = [part for part in self.parts.values() if part]
        for place, part in self.parts.items():
            if part and named.count(part) > 1:
                raise InputError(f"parts.{place}", "stands in this run twice")

    @property
    def order(self):
        """Its parts in order."""
        return tuple(part for _, part in sorted(self.parts.items()) if part)
