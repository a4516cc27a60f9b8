"""Cutting: every blank with its sums, each sheet laid out, and each panel drawn."""

from collections import Counter
from dataclasses import replace
from functools import partial

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_layout import carried, layouts, matches
from calc.evaluate_offcut import at_least
from calc.evaluate_sawing import good_face_up, sawing, sheets_as_sawn
from calc.project_saw import LIKES
from calc.shop.air_limits import DUST, FORMALDEHYDE, THIN
from calc.shop.fractions import INCH, nearest_fraction
from calc.shop.kerf import KERFS, TRIMMED
from calc.shop.sheet_layout import broken
from server import units
from server.documents import amend, without
from server.drawings.panel import TALL
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import cabinet_openings, lengths, letters, recess_above
from server.routes.saw import EDGES

router = APIRouter(prefix="/projects/{key}/cutting")

FACES = {True: "Good face up: you look at the outside.", False: "Good face down: you look at the inside."}
"""What a sheet's drawing says below it, by whether the outside of the parts lies up."""

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
    return take(request, key, "cutting", typed, view, ACTIONS)


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
        "at_least": at_least,
        "kerfs": KERFS,
        "trimmed": TRIMMED,
    }
    return shown | sheet_drawings(bench) | _matched(bench)


def _matched(bench):
    """The runs of grain, what they cost in sheets, and those that a button makes."""
    project, rows = bench.project, bench.result.cut_list
    found = matches(project, rows, project.workshop.kerf)
    taken = {part for match in project.matched.values() for part in match.order}
    return {
        "matches": found,
        "turned": {
            name
            for each in found
            if each.run
            for (name, _), member in zip(each.parts, each.run.members, strict=True)
            if member.turned
        },
        "costs": _costs(project, rows) if project.matched else {},
        "part_names": [(name, name) for name in dict.fromkeys(name for row in rows for name in row.names)],
        "ready": [
            (name, words)
            for name, (words, match) in READY.items()
            if not taken & set(match["parts"].values()) and (project.speakers > 1 or len(match["parts"]) != 1)
        ],
    }


def _costs(project, rows):
    """How many more sheets each sheet good takes for its runs, where it does."""
    with_runs, without = layouts(project, rows), layouts(replace(project, matched={}), rows)
    more = {good: layout.bought - without[good].bought for good, layout in with_runs.items()}
    return {good: many for good, many in more.items() if many > 0}


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
    on = sheets_as_sawn(bench.project, bench.result, found)
    note = FACES[good_face_up(workshop.saw)]
    drawn = {
        name: [
            (
                each,
                sheet_layout(
                    each.laid.sawn, each.laid.size, each.laid.trim, write, marks=each.marks,
                    runs=each.laid.runs, note=note, name=f"{name}-{each.laid.number}",
                ),
            )
            for each in sheets
        ]
        for name, sheets in on.items()
    }  # fmt: skip
    return {"layouts": found, "sheets": drawn, "broken": parts, "counted": counted}


def counted(sawn, numbers):
    """The pieces of those numbers by their letters: ``2 C, E``."""
    letters = Counter(sawn.pieces[n].name for n in numbers)
    return ", ".join(f"{many} {letter}" if many > 1 else letter for letter, many in letters.items())


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

    Inches stand in it as decimals where one of them is no exact fraction, since fractions that are rounded
    one by one do not add up.
    """
    show, fraction = bench.project.show, bench.project.fraction

    def words(total):
        base, adds = total
        if not adds:
            return ""
        write = partial(units.write, quantity="length", show=show, fraction=fraction)
        if show == "imperial" and not all(
            _exact(each, fraction) for each in (base, *(add for _, add in adds))
        ):
            write = _decimal_inches
        parts = [
            write(base),
            *(f"{count} × {write(add)}" if count > 1 else write(add) for count, add in adds),
        ]
        return " + ".join(parts)

    return words


def _decimal_inches(metres):
    return f"{metres / INCH:.3f}"


def _exact(metres, fraction):
    """Whether a length is a fraction of an inch that the rule has, to a thousandth of a millimetre."""
    return abs(nearest_fraction(metres, fraction)[3]) < 1e-6


# --- Actions

READY = {
    "fronts": ("Match the fronts of the pair", {"way": "side", "pair": True, "parts": {"1": "front"}}),
    "wrap": (
        "Wrap the grain round: left, top, right",
        {"way": "end", "pair": False, "parts": {"1": "left", "2": "top", "3": "right"}},
    ),
    "run": ("A run of your own", {"way": "side", "pair": True, "parts": {}}),
}  # fmt: skip
"""Runs of grain that a button makes: its words and the decision."""


def match(document, name, typed, result):
    """Add a run of grain."""
    if name not in READY:
        raise InputError("matched", "must be one of the runs that a button makes")
    runs = document["matched"]
    key = next(key for key in (name, *(f"{name} {n}" for n in range(2, len(runs) + 3))) if key not in runs)
    return amend(document, {f"matched.{key}": READY[name][1]})


def unmatch(document, name, typed, result):
    """Cut the parts of a run one by one again."""
    if name not in document["matched"]:
        raise InputError("matched", GONE)
    return without(document, f"matched.{name}")


ACTIONS = {"match": match, "unmatch": unmatch}
