"""Assembly: in which order the box goes together, with how much glue and how many clamps."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_assembly import assembly, ways_out
from calc.shop.gluing import APART, FORCES, HELD, INSET, OPEN, PRESSURE, SAME_DIAGONALS, USUAL_SPREAD
from server.documents import amend, without
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import all_openings, letters
from server.units import rule_size

router = APIRouter(prefix="/projects/{key}/assembly")

WAYS = {
    "front": "from the front", "back": "from the back", "left": "from the left", "right": "from the right",
    "top": "from above", "bottom": "from below", "forward": "level, from the front",
}  # fmt: skip


@router.get("")
def show(request: Request, key: str):
    """Show the order, glue-up by glue-up."""
    now = bench(request, key)
    return render(request, "assembly", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take the clamps that somebody owns, and what the scale says."""
    return take(request, key, "assembly", typed, view, ACTIONS)


def view(bench):
    """The order with its glue and clamps, and what is bored before the box is closed."""
    from server.drawings.exploded import exploded

    cabinet, shown = bench.result.cabinet, put_together(bench)
    apart = exploded(
        cabinet.carcass, braces=cabinet.braces, letters=shown["letters"], openings=all_openings(bench)
    )
    return shown | {
        "apart": apart,
        "drill": list(before_closing(bench.project, bench.result)),
        "kinds": [(kind, kind.capitalize()) for kind in FORCES],
        "spacing": APART,
        "open": OPEN,
        "held": HELD,
        "pressure": PRESSURE,
        "inset": INSET,
        "spread": USUAL_SPREAD,
    }


def put_together(bench):
    """What page and paper both tell: the glue-ups, each step of them drawn."""
    built = assembly(bench.project, bench.result)
    return {
        "built": built,
        "pictures": _pictures(bench, built),
        "letters": letters(bench.result),
        "ways": WAYS,
        "same": SAME_DIAGONALS,
    }


def _pictures(bench, built):
    """Of each glue-up a drawing of each step: what stands, and what comes in from where."""
    from server.drawings.coming_in import coming_in

    cabinet, named, openings = bench.result.cabinet, letters(bench.result), all_openings(bench)
    there, found = [], []
    for n, stage in enumerate(built.stages):
        found.append([])
        for k, step in enumerate(stage.steps):
            way = ways_out(cabinet.carcass)[step.way] if there else None
            found[-1].append(
                coming_in(
                    cabinet.carcass,
                    there,
                    step.parts,
                    way,
                    braces=cabinet.braces,
                    letters=named,
                    openings=openings,
                    name=f"step-{n}-{k}",
                )  # fmt: skip
            )
            there += step.parts
    return found


def before_closing(project, result):
    """What is done while both faces of every panel can still be reached, as sentences."""
    for name in ("front", "back"):
        here = [each.name for each in result.openings if each.panel == name]
        if here:
            yield f"Bore the {name}: {', '.join(here)}."
    seats, drivers = project.cabinet.seats.items(), project.drivers
    screwed = [name for name, seat in seats if drivers[seat.driver].frame.screws]
    if screwed:
        yield f"Drill the pilot holes for the screws of {', '.join(screwed)}, each in its seat as the guide."
    if project.cabinet.boards:
        yield f"Screw in {', '.join(project.cabinet.boards)}, and solder the leads to it on the bench."
    if project.cabinet.holes:
        yield "Draw the leads of the terminals in, with length to spare, and knot them."
    if result.cabinet.grille:
        yield "Bore the blind holes of the grille in the front."
    if project.cabinet.feet:
        yield "Bore the holes of the feet in the bottom."
    yield "Look at every joint from inside; run a finger of glue along each inner corner as a seal."


def add_clamp(document, argument, typed, result):
    """Put a kind of clamp on the list, to be changed."""
    owned = document["workshop"].get("clamps") or {}
    name = next(f"clamps{n}" for n in range(1, 999) if f"clamps{n}" not in owned)
    return amend(
        document,
        {f"workshop.clamps.{name}": {"kind": "parallel jaw", "count": 4, "reach": rule_size(0.6, document)}},
    )


def drop_clamp(document, name, typed, result):
    """Take a kind of clamp off the list."""
    owned = document["workshop"].get("clamps") or {}
    if name not in owned:
        raise InputError("workshop.clamps", GONE)
    return without(document, f"workshop.clamps.{name}")


ACTIONS = {"add-clamp": add_clamp, "drop-clamp": drop_clamp}
