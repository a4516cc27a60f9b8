"""Cutting: every blank with its sums, each sheet laid out, and each panel drawn."""

from fastapi import APIRouter, Depends, Request

from calc.evaluate_layout import carried, layouts
from calc.evaluate_sawing import sawing
from calc.project_saw import LIKES
from calc.shop.air_limits import DUST, FORMALDEHYDE, THIN
from calc.shop.fractions import INCH, nearest_fraction
from calc.shop.sheet_layout import broken
from server import units
from server.drawings.panel import TALL
from server.pages import bench, render, take, typed_fields
from server.plates import cabinet_openings, lengths, letters, recess_above
from server.routes.saw import EDGES

router = APIRouter(prefix="/projects/{key}/cutting")

EXACT = 5e-6
"""A rounded length that is off by less is exact. [m]"""


@router.get("")
def show(request: Request, key: str):
    """Show the cut list and the layout."""
    now = bench(request, key)
    return render(request, "cutting", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take the saw's kerf, the units, how many speakers."""
    return take(request, key, "cutting", typed, view)


def view(bench):
    """The rows with both unit systems, and a drawing of each panel."""
    sawn = sawing(bench.project, bench.result)
    shown = {
        "rows": bench.result.cut_list,
        "panels": panel_drawings(bench),
        "both": both(bench),
        "settings": len(sawn.plan.steps),
        "datums": sawn.datums,
        "edge_words": lambda edges: " and ".join(EDGES[edge] for edge in edges),
        "off": _off(bench),
        "fitted": _fitted(bench),
        "sum_words": sum_words(bench),
        "likes": LIKES[bench.project.workshop.saw.kind],
        "dust": DUST,
        "formaldehyde": FORMALDEHYDE,
        "thin": THIN,
    }
    return shown | sheet_drawings(bench)


def _off(bench):
    """A function that says how far a rounded length is off: ``0.1 mm long``."""
    fraction, show = bench.project.fraction, bench.project.show

    def words(metres):
        *_, error = nearest_fraction(metres, fraction)
        if abs(error) < EXACT:
            return "exact"
        size = units.in_unit(abs(error), "fine length", show)
        told = f"{size:.3f} in" if show == "imperial" else f"{size:.2f} mm"
        return f"{told} {'long' if error > 0 else 'short'}"

    return words


def _fitted(bench):
    """The sides of each part that are fitted: {name: ("length", "width")}."""
    names = [name for row in bench.result.cut_list for name in row.names]
    sides = {"length": ("length",), "width": ("width",), "both": ("length", "width")}
    chosen = bench.project.cabinet.fitted
    return {name: sides[chosen[name]] for name in names if chosen.get(name)}


def sheet_drawings(bench):
    """The layouts by sheet good, and of each its sheets drawn: {name: [(Laid, Drawing)]}."""
    from server.drawings.sheet import sheet_layout

    workshop, write = bench.project.workshop, lengths(bench)
    found = layouts(bench.project, bench.result.cut_list)
    parts = {
        name: broken(workshop.sheets[name], workshop.kerf, carried(workshop))
        for name in bench.result.sheets_at_least
    }
    drawn = {
        name: [
            (laid, sheet_layout(laid.sawn, laid.size, laid.trim, write, name=f"{name}-{laid.number}"))
            for laid in layout.laid
        ]
        for name, layout in found.items()
    }
    return {"layouts": found, "sheets": drawn, "broken": parts}


def panel_drawings(bench, paper=None, tall=TALL):
    """A dimensioned drawing of each panel, then of each brace: {name: Drawing}; on `paper` to scale.

    Elsewhere the part is drawn `tall` units high at most.
    """
    from server.drawings.brace import brace
    from server.drawings.panel import panel
    from server.drawings.solids import upright

    labels, write, cabinet = letters(bench.result), lengths(bench), bench.result.cabinet
    panels = {
        name: panel(
            upright(cabinet.carcass, name),
            cabinet_openings(bench, name) if name in ("front", "back") else (),
            write=write,
            letter=labels[name],
            paper=paper,
            name=paper and f"paper-{name}",
            tall=tall,
        )
        for name in cabinet.carcass.panels
    }
    braces = {
        name: brace(
            solid,
            cabinet_openings(bench, name),
            write=write,
            letter=labels[name],
            near=recess_above(bench, name),
            paper=paper,
            name=paper and f"paper-{name}",
            tall=tall,
        )
        for name, solid in cabinet.braces.items()
    }
    return panels | braces


def both(bench):
    """Writers of a length in millimetres and in inches to the project's fraction."""
    fraction = bench.project.fraction
    return {
        "mm": lambda metres: units.write(metres, "length", "metric"),
        "inch": lambda metres: units.write(metres, "length", "imperial", fraction) + "″",
    }


def sum_words(bench):
    """A function that writes a size with its joints: ``300 + 2 × 9``; empty where nothing was added.

    Inches stand in it as decimals, since fractions that are rounded one by one do not add up.
    """
    write = lengths(bench) if bench.project.show == "metric" else lambda metres: f"{metres / INCH:.3f}"

    def words(total):
        base, adds = total
        if not adds:
            return ""
        parts = [
            write(base),
            *(f"{count} × {write(add)}" if count > 1 else write(add) for count, add in adds),
        ]
        return " + ".join(parts)

    return words
