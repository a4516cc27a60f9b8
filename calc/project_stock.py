"""What the shop has of its sheet goods before anything is bought: see `calc.project`."""

from dataclasses import dataclass
from typing import Literal

from calc.errors import InputError, require_positive, require_whole, require_within

MOST = 200
"""Pieces of stock that one project lists."""


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
