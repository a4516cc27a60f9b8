"""Standing: what one speaker weighs, where it would balance, and how far it is from tipping."""

from fastapi import APIRouter, Depends, Request

from calc.cabinet.balance import PER_PERSON, STEADY
from calc.errors import InputError
from calc.evaluate_standing import stood
from server.documents import amend
from server.pages import bench, render, take, typed_fields
from server.units import rule_size

router = APIRouter(prefix="/projects/{key}/standing")


@router.get("")
def show(request: Request, key: str):
    """Show how firm the speaker stands."""
    now = bench(request, key)
    return render(request, "standing", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited feet, plinth and stand, or add and drop them."""
    return take(request, key, "standing", typed, view, ACTIONS)


def view(bench):
    """The drawing of the balance, the ways in which it tips, and what weighs how much."""
    from server.drawings.balance import balance

    project, cabinet = bench.project, bench.result.cabinet
    found = stood(project, bench.result)
    made = project.cabinet
    return {
        "stood": found,
        "plate": balance(cabinet.carcass, made.feet, made.plinth, found),
        "masses": _by_weight(cabinet),
        "steady": STEADY,
        "per_person": PER_PERSON,
        "sheet_names": [(key, each.name or key) for key, each in project.workshop.sheets.items()],
    }


KINDS = {
    "panel": "panel", "layer": "layer", "brace": "brace", "plinth": "plinth", "driver": "driver",
    "thing": "inside", "board": "board", "grille": "grille", "ring": "ring",
}  # fmt: skip
"""What a part is, in a word of the table."""


def _by_weight(cabinet):
    """(name, kind, mass [kg] or None where nobody gave it, share of the heaviest), the heaviest first."""
    parts = sorted(cabinet.masses, key=lambda part: -part[2])
    most = parts[0][2]
    return [(name, KINDS[kind], mass or None, mass / most) for name, kind, mass, _ in parts]


# --- Actions


def add(document, what, typed, result):
    """Set it on feet, on a plinth or on a stand of an ordinary size, to be changed."""
    width, height, depth = result.cabinet.carcass.outer
    sheet = document["cabinet"]["panels"]["bottom"]
    if what == "feet":
        feet = {
            "count": 4,
            "height": rule_size(0.01, document),
            "inset": rule_size(round(min(0.03, width / 8, depth / 8), 4), document),
            "diameter": rule_size(0.02, document),
        }
        return amend(document, {"cabinet.feet": feet})
    if what == "plinth":
        return amend(
            document,
            {"cabinet.plinth": {"sheet": sheet, "height": rule_size(0.06, document), "setback": 0.0}},
        )
    if what == "stand":
        stand = {
            "height": rule_size(0.6, document), "width": rule_size(round(width, 3), document),
            "depth": rule_size(round(depth, 3), document), "mass": 8.0,
        }  # fmt: skip
        return amend(document, {"stand": stand})
    raise InputError("cabinet.feet", "must be feet, a plinth or a stand")


PLACES = {"feet": "cabinet.feet", "plinth": "cabinet.plinth", "stand": "stand"}


def drop(document, what, typed, result):
    """Take it off its feet, its plinth or its stand."""
    if what not in PLACES:
        raise InputError("cabinet.feet", "must be feet, a plinth or a stand")
    return amend(document, {PLACES[what]: None})


ACTIONS = {"add": add, "drop": drop}
