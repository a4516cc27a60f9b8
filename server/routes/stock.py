"""Stock: sheets and offcuts that the shop has, and what of this work comes out of them."""

from collections import Counter

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_layout import SAME_THICKNESS, fits_thickness, layouts
from server.documents import amend, without
from server.pages import GONE, bench, render, take, typed_fields

router = APIRouter(prefix="/projects/{key}/stock")


@router.get("")
def show(request: Request, key: str):
    """Show what the shop has."""
    now = bench(request, key)
    return render(request, "stock", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited pieces of stock, or add and drop them."""
    return take(request, key, "stock", typed, view, ACTIONS)


def view(bench):
    """The layouts with what of them comes out of the stock, and how thick each piece of it is."""
    workshop, found = bench.project.workshop, layouts(bench.project, bench.result.cut_list)
    return {
        "layouts": found,
        "begun": _begun(found),
        "off": {key: _off(workshop, piece) for key, piece in workshop.stock.items()},
        "other_thickness": [k for k, piece in workshop.stock.items() if not fits_thickness(workshop, piece)],
        "same": SAME_THICKNESS,
        "sheet_names": [(key, each.name or key) for key, each in workshop.sheets.items()],
    }


def _begun(found):
    """The pieces of stock that are cut: {key: {letter of a row: how many of it come off them}}."""
    begun = {}
    for layout in found.values():
        for laid in layout.laid:
            if laid.stock:
                counts = begun.setdefault(laid.stock, Counter())
                counts.update(sorted(piece.name for piece in laid.sawn.pieces))
    return begun


def _off(workshop, piece):
    """How much thicker a piece is than its sheet good is said to be. [m]"""
    good = workshop.sheets[piece.sheet].thickness
    return 0.0 if piece.thickness is None else piece.thickness - good


# --- Actions


ORDINARY = (0.6, 0.4)
"""Of an offcut that is just added, to be measured. [m]"""


def offcut(document, good, typed, result):
    """Add an offcut of a sheet good, to be measured."""
    length, width = ORDINARY
    return _added(document, good, "offcut", length, width)


def whole(document, good, typed, result):
    """Add a whole sheet of a sheet good as it is sold."""
    sheet = document["workshop"]["sheets"].get(good)
    if sheet is None:
        raise InputError("workshop.stock", GONE)
    return _added(document, good, "sheet", sheet["length"], sheet["width"])


def _added(document, good, kind, length, width):
    if good not in document["workshop"]["sheets"]:
        raise InputError("workshop.stock", GONE)
    piece = {"sheet": good, "kind": kind, "length": length, "width": width}
    return amend(document, {f"workshop.stock.{free_name(document, kind)}": piece})


def free_name(document, kind):
    """A name for a new piece of stock."""
    stock = document["workshop"]["stock"]
    return next(f"{kind} {n}" for n in range(1, len(stock) + 2) if f"{kind} {n}" not in stock)


def drop(document, name, typed, result):
    """Take a piece out of the stock."""
    if name not in document["workshop"]["stock"]:
        raise InputError("workshop.stock", GONE)
    return without(document, f"workshop.stock.{name}")


ACTIONS = {"offcut": offcut, "whole": whole, "drop": drop}
