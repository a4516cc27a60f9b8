"""Materials: what the sheets in stock are made of, and the table from which one is taken."""

from fastapi import APIRouter, Depends, Request

from calc.cabinet.materials import MATERIALS, SHEET_GOODS, material_of
from calc.errors import InputError
from server.documents import amend
from server.pages import bench, render, take, typed_fields
from server.routes.cabinet import add_sheet, drop_sheet

router = APIRouter(prefix="/projects/{key}/materials")


@router.get("")
def show(request: Request, key: str):
    """Show what each sheet is made of."""
    now = bench(request, key)
    return render(request, "materials", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take what somebody chose or measured, or a row of the table into the stock."""
    return take(request, key, "materials", typed, view, ACTIONS)


def view(bench):
    """The sheets with what they are taken as, and both tables."""
    sheets = bench.project.workshop.sheets
    return {
        "taken": {key: material_of(each, key) for key, each in sheets.items()},
        "rows": MATERIALS,
        "choices": [(name, name) for name in MATERIALS],
        "goods": SHEET_GOODS,
    }


def take_row(document, number, typed, result):
    """Put a row of the table of sheets into the stock, to be measured."""
    if not number.isdecimal() or int(number) >= len(SHEET_GOODS):
        raise InputError("workshop.sheets", "must be a row of the table")
    good, sheets = SHEET_GOODS[int(number)], document["workshop"]["sheets"]
    name = next(f"sheet{n}" for n in range(2, 999) if f"sheet{n}" not in sheets)
    length, width = good.sizes[0]
    sheet = {
        "name": good.name, "thickness": good.thickness, "nominal": good.nominal,
        "density": float(good.density), "length": length, "width": width, "material": good.board,
    }  # fmt: skip
    return amend(document, {f"workshop.sheets.{name}": sheet})


ACTIONS = {"take": take_row, "add-sheet": add_sheet, "drop-sheet": drop_sheet}
