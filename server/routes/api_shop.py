"""POST /api/sheet-layout: pieces onto sheets of stock, with the cuts in sawing order."""

from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import Field

from calc.shop.sheet_layout import Piece, Sheet, fewest_sheets, most_from_one_sheet
from server.questions import Name, Strict

router = APIRouter(prefix="/api")


Length = Annotated[float, Field(gt=0, le=2e6)]
Width = Annotated[float, Field(ge=0, le=2e6)]
Count = Annotated[int, Field(ge=0, le=1_000_000)]
Value = Annotated[float, Field(ge=0, le=1e12)]


class PieceIn(Strict):
    """What is to be cut; `grain` says along which side of the sheet its length lies, "any" may be turned."""

    name: Name
    length: Length
    width: Length
    count: Count | None
    grain: Literal["length", "width", "any"] = "any"
    value: Value | None = None


class SheetIn(Strict):
    """A sheet of stock; `trim` is taken off all four edges before the first cut."""

    length: Length
    width: Length
    trim: Width = 0.0


class LayoutIn(Strict):
    """All lengths in one unit, whichever it is."""

    pieces: Annotated[list[PieceIn], Field(max_length=500)]
    sheet: SheetIn
    kerf: Width
    goal: Literal["all", "one sheet"] = "all"
    order: Literal["any", "rip", "crosscut"] = "any"


@router.post("/sheet-layout")
def sheet_layout(asked: LayoutIn) -> dict:
    """All pieces from the fewest sheets, or the most value from one; every cut runs from edge to edge.

    A piece's `length` and `width` are its own; where it is `turned`, its length lies along the sheet's width.
    With `order` "rip" a sheet is ripped along its length first, then crosscut, then ripped once more;
    "crosscut" is the other way about. `bound` then holds for that order.
    """
    pieces = [Piece(**piece.model_dump()) for piece in asked.pieces]
    laid_out = fewest_sheets if asked.goal == "all" else most_from_one_sheet
    layout = laid_out(pieces, Sheet(**asked.sheet.model_dump()), asked.kerf, asked.order)
    sheets = [
        {"pieces": [vars(piece) for piece in sheet.pieces], "cuts": [_cut(cut) for cut in sheet.cuts]}
        for sheet in layout.sheets
    ]
    return {"sheets": sheets, "used": layout.used, "bound": layout.bound}


def _cut(cut):
    return {"axis": cut.axis, "at": cut.at, "from": cut.start, "to": cut.end}
