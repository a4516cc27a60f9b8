"""Stock: sheets and offcuts that the shop has, and what of this work comes out of them."""

from collections import Counter

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_layout import SAME_THICKNESS, fits_thickness, layouts
from calc.evaluate_offcut import LEAST, at_least, change, cut_from, suits, worth_keeping
from server.documents import amend, plain, read_project, without
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import lengths
from server.units import rule_size

router = APIRouter(prefix="/projects/{key}/stock")


@router.get("")
def show(request: Request, key: str, piece: str = ""):
    """Show what the shop has, and which parts come out of one piece of it."""
    now = bench(request, key)
    return render(request, "stock", now, **view(now, piece))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited pieces of stock, or add and drop them."""
    return take(request, key, "stock", typed, view, ACTIONS)


def view(bench, piece=""):
    """The layouts, what of them comes out of the stock, how thick it is, and what fits one `piece` of it."""
    workshop, found = bench.project.workshop, layouts(bench.project, bench.result.cut_list)
    return {
        "layouts": found,
        "begun": _begun(found),
        "off": {key: _off(workshop, piece) for key, piece in workshop.stock.items()},
        "other_thickness": [k for k, piece in workshop.stock.items() if not fits_thickness(workshop, piece)],
        "same": SAME_THICKNESS,
        "asked": _asked(bench, piece) if piece in workshop.stock else None,
        "left": list(_left(workshop, found)),
        "least": LEAST,
        "sheet_names": [(key, each.name or key) for key, each in workshop.sheets.items()],
    }


def _asked(bench, key):
    """What fits one piece of stock: its key, `Suits`, drawing, and the `Change` if its parts are cut so."""
    from server.drawings.sheet import sheet_layout

    found = suits(bench.project, bench.result, key)
    drawn = found.sawn and sheet_layout(found.sawn, found.size, found.trim, lengths(bench), name="suits")
    new = _newly(bench.project, bench.result, key, found)
    return {
        "key": key,
        "suits": found,
        "drawing": drawn,
        "change": change(bench.project, bench.result, key, new) if new else None,
        "new": new,
    }


def _newly(project, result, key, found):
    """Of the parts that fit for every speaker those that are not cut from this sheet good already."""
    piece, of = (
        project.workshop.stock[key],
        {name: row.sheet for row in result.cut_list for name in row.names},
    )
    if fits_thickness(project.workshop, piece):
        return tuple(name for name in found.whole if of[name] != piece.sheet)
    return found.whole


def _left(workshop, found):
    """Offcuts of all sheets that are worth their place: (laid, number, length, width, key if it is kept).

    Of equal ones as many are kept as lie aside.
    """
    kept = [key for key, piece in workshop.stock.items() if piece.aside for _ in range(piece.count)]
    for laid in (laid for layout in found.values() for laid in layout.laid):
        for number, length, width in worth_keeping(laid):
            size = at_least(length), at_least(width)
            same = next((key for key in kept if _is(workshop.stock[key], laid.good, *size)), None)
            if same:
                kept.remove(same)
            yield laid, number, *size, same


def _is(piece, good, *size):
    return (piece.sheet, piece.length, piece.width) == (good, *size)


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
    length, width = (rule_size(side, document) for side in ORDINARY)
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


def keep(document, which, typed, result):
    """Put what a sheet leaves into the rack, for another job: it is not there before this one is sawn."""
    project = read_project(document)
    for laid, number, length, width, kept in _left(project.workshop, layouts(project, result.cut_list)):
        if which == f"{laid.good}:{laid.number}:{number}" and not kept:
            piece = {
                "sheet": laid.good, "length": length, "width": width, "aside": True,
                "name": f"from {laid.words}"[:60],
                "thickness": laid.stock and project.workshop.stock[laid.stock].thickness,
            }  # fmt: skip
            return amend(document, {f"workshop.stock.{free_name(document, 'offcut')}": piece})
    raise InputError("workshop.stock", GONE)


def cut(document, key, typed, result):
    """Cut the parts that fit a piece of stock, for every speaker, from it: its thickness becomes theirs."""
    project = read_project(document)
    if key not in project.workshop.stock:
        raise InputError("workshop.stock", GONE)
    names = _newly(project, result, key, suits(project, result, key))
    if not names:
        raise InputError(f"workshop.stock.{key}.length", "takes no part for every speaker")
    return plain(cut_from(project, key, names))


ACTIONS = {"offcut": offcut, "whole": whole, "drop": drop, "keep": keep, "cut": cut}
