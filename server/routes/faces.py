"""Faces: skins and linings, how each driver sits under them, the grille, the bare stage, the wood's year."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_faces import faces
from calc.evaluate_wood import wood
from calc.project_cabinet import PANELS
from calc.shop.feed import feed
from server.documents import amend, at, without
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import lengths

router = APIRouter(prefix="/projects/{key}/faces")

FLUSH = 1e-4
"""A flange within this of its face is called flush (common practice, no source). [m]"""


@router.get("")
def show(request: Request, key: str):
    """Show what covers the cabinet."""
    now = bench(request, key)
    return render(request, "faces", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited layers, seats, grille and climate, or add and drop them."""
    return take(request, key, "faces", typed, view, ACTIONS, brings)


def brings(bench, path, value):
    """A soft layer that is taken away takes its stiffness and its loss along."""
    if path.startswith("cabinet.layers.") and path.endswith(".soft") and value is None:
        layer = path.rpartition(".")[0]
        return {f"{layer}.soft_G": None, f"{layer}.soft_loss": None}
    return {}


def view(bench):
    """The seats in section, the layers, the grille, the bare stage and the year."""
    from server.drawings.seat_section import seat_section

    project, result, write = bench.project, bench.result, lengths(bench)
    now = faces(project, result)
    sections = {}
    for name, seated in now.seatings.items():
        bored = result.seats.get(name)
        if seated is not None and bored is not None:
            frame = project.drivers[project.cabinet.seats[name].driver].frame
            under = seated.below + seated.recess
            sections[name] = seat_section(
                seated,
                frame.flange_thickness,
                under,
                bored.ledge or 0.01,
                write,
                name=f"seat-{len(sections)}",
            )
    return {
        "feed": feed,
        "now": now,
        "off": [
            name
            for name, seated in now.seatings.items()
            if seated is not None and project.cabinet.seats[name].flush and abs(seated.proud) > FLUSH
        ],
        "sections": sections,
        "wood": wood(project, result),
        "flush": FLUSH,
        "panels": [(panel, panel.capitalize()) for panel in PANELS],
        "sheet_names": [(key, each.name or key) for key, each in project.workshop.sheets.items()],
    }


# --- Actions


def add_layer(document, panel, typed, result):
    """Glue a layer onto a panel: a skin, of the thinnest sheet in stock."""
    if panel not in PANELS:
        raise InputError("cabinet.layers", GONE)
    names = document["cabinet"].get("layers", {})
    name = next(f"{panel} skin{n}" for n in ("", *range(2, 99)) if f"{panel} skin{n}" not in names)
    sheets = document["workshop"]["sheets"]
    thin = min(sheets, key=lambda key: sheets[key]["thickness"])
    return amend(document, {f"cabinet.layers.{name}": {"panel": panel, "sheet": thin, "place": "outside"}})


def drop_layer(document, name, typed, result):
    """Take a layer off."""
    return without(document, f"cabinet.layers.{name}")


def earlier(document, name, typed, result):
    """Glue a layer on before the one that it comes after."""
    layers = dict(document["cabinet"].get("layers", {}))
    names = list(layers)
    if name not in names:
        raise InputError("cabinet.layers", GONE)
    n = names.index(name)
    if n:
        names[n - 1], names[n] = names[n], names[n - 1]
    return amend(document, {"cabinet.layers": {key: layers[key] for key in names}})


def add_ring(document, name, typed, result):
    """Lay a spacer ring under a driver's flange."""
    if at(document, f"cabinet.seats.{name}") is None:
        raise InputError("cabinet.seats", GONE)
    sheets = document["workshop"]["sheets"]
    thin = min(sheets, key=lambda key: sheets[key]["thickness"])
    return amend(document, {f"cabinet.seats.{name}.ring": {"sheet": thin}})


def drop_ring(document, name, typed, result):
    """Take a spacer ring out."""
    return amend(document, {f"cabinet.seats.{name}.ring": None})


def add_grille(document, _, typed, result):
    """Put a grille before the front."""
    return amend(document, {"cabinet.grille": {"sheet": document["cabinet"]["panels"]["front"]}})


def drop_grille(document, _, typed, result):
    """Leave the grille away."""
    return amend(document, {"cabinet.grille": None})


ACTIONS = {
    "add-layer": add_layer, "drop-layer": drop_layer, "earlier": earlier, "add-ring": add_ring,
    "drop-ring": drop_ring, "add-grille": add_grille, "drop-grille": drop_grille,
}  # fmt: skip
