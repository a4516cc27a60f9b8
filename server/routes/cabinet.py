"""Cabinet: what is held, the joints, and where the air goes."""

from math import ceil

from fastapi import APIRouter, Depends, Request

from calc.cabinet.joints import constructions
from calc.cabinet.lids import APART
from calc.cabinet.moved import moved
from calc.errors import InputError
from calc.evaluate_standing import stood
from calc.evaluate_wood import wood
from server.documents import amend, at, read_project, without
from server.mending import mend, mends
from server.pages import bench, render, take, typed_fields
from server.plates import all_openings, lengths, letters, volumes
from server.telling import told
from server.units import rule_size

router = APIRouter(prefix="/projects/{key}/cabinet")

GROUPS = {
    "Top and bottom to the sides": ("left-top", "left-bottom", "right-top", "right-bottom"),
    "Back to the four walls": ("back-left", "back-right", "back-top", "back-bottom"),
    "Front to the four walls": ("front-left", "front-right", "front-top", "front-bottom"),
}
"""Edges that are usually joined alike. While they are, a depth typed at the first is all four's."""


@router.get("")
def show(request: Request, key: str):
    """Show the cabinet with its front lifted off."""
    now = bench(request, key)
    return render(request, "cabinet", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited sizes and joints, or add and drop parts."""
    return take(request, key, "cabinet", typed, view, ACTIONS, brings, aside=("thing",))


def brings(bench, path, value):
    """What a choice brings: a mitre has no depth, a held size is the present one, four edges go alike."""
    if path == "cabinet.hold":
        return _held(bench.document, value, bench.result)
    if path == "cabinet.moves":
        return _held(bench.document, "volume", bench.result)
    edge, _, what = path.rpartition(".")
    if edge.startswith("cabinet.edges.") and what == "into":
        return {f"{edge}.mitre": value is None} | ({f"{edge}.depth": 0.0} if value is None else {})
    if edge.startswith("cabinet.edges.") and what == "depth":
        for _, (first, *others) in groups(bench.project):
            if edge == f"cabinet.edges.{first}":
                return {f"cabinet.edges.{other}.depth": value for other in others}
    return {}


def view(bench):
    """The drawings of the cabinet, its joints by group, and the usual constructions."""
    from server.drawings.exploded import exploded, lifted
    from server.drawings.joints import joint
    from server.drawings.ledger import ledger_bar

    project, cabinet = bench.project, bench.result.cabinet
    carcass, write = cabinet.carcass, lengths(bench)
    thicknesses = {name: solid.thickness for name, solid in carcass.panels.items()}
    openings = all_openings(bench)
    return {
        "wood": wood(project, bench.result),
        "stood": stood(project, bench.result),
        "moved": _moved(bench),
        "plate": lifted(carcass, braces=cabinet.braces, openings=openings),
        "apart": exploded(carcass, braces=cabinet.braces, letters=letters(bench.result), openings=openings),
        "bar": ledger_bar(cabinet.ledger.gross, cabinet.ledger.displaced, cabinet.ledger.net, volumes(bench)),
        "joints": {
            words: (edges, _drawn(joint, edges, project, thicknesses, write))
            for words, edges in groups(project)
        },
        "constructions": constructions(thicknesses),
        "used": _construction(project, thicknesses),
        "built": bench.result.built,
        "mends": mends(bench),
        "wall": project.cabinet.panels["left"],
        "walls": {seat.wall: name for name, seat in project.cabinet.seats.items() if seat.wall},
        "sheet_names": [(key, each.name or key) for key, each in project.workshop.sheets.items()],
    }


def _moved(bench):
    """What the last change moved in the cabinet and why, as sentences."""
    if bench.before is None:
        return []
    return [told(said, bench.project) for said in moved(bench.before, (bench.project, bench.result))]


def groups(project):
    """The groups of edges that are joined alike in this project: (words, edges)."""
    return [(words, edges) for words, edges in GROUPS.items() if _alike(project, edges)]


def _alike(project, edges):
    """Whether four edges have one joint, each going into its side, or all into one panel."""
    joints = [project.cabinet.edges[edge] for edge in edges]
    places = {
        edge.split("-").index(joint.into) if joint.into else None
        for edge, joint in zip(edges, joints, strict=True)
    }
    return len({(joint.depth, joint.mitre) for joint in joints}) == 1 and len(places) == 1


def _drawn(joint, edges, project, thicknesses, write):
    """The group's first joint, cut open."""
    first = project.cabinet.edges[edges[0]]
    a, b = edges[0].split("-")
    into, other = (a, b) if first.mitre or first.into == a else (b, a)
    return joint(thicknesses[into], thicknesses[other], first, write=write, name=f"joint-{edges[0]}")


def _construction(project, thicknesses):
    """Name of the usual construction whose joints these are, whatever their depths; None for a mixture."""

    def kind(edge):
        return edge["into"], edge["mitre"], edge["depth"] > 0

    now = {name: (edge.into, edge.mitre, edge.depth > 0) for name, edge in project.cabinet.edges.items()}
    for each in constructions(thicknesses):
        if {name: kind(edge) for name, edge in each.edges.items()} == now:
            return each.name
    return None


# --- Actions


def hold(document, what, typed, result):
    """Hold another size."""
    if what not in ("volume", "inner", "outer"):
        raise InputError("cabinet.hold", "must be the air, the inside or the outside")
    if what == document["cabinet"]["hold"]:
        return document
    return amend(document, {"cabinet.hold": what, **_held(document, what, result)})


def _held(document, what, result):
    """What is held from now on is just what the cabinet has now, so that nothing moves."""
    carcass = result.cabinet.carcass
    size = carcass.finished if what == "outer" else carcass.inner
    width, height, depth = (round(side, 6) for side in size)
    edits = {"cabinet.size": {"width": width, "height": height, "depth": depth}}
    box = f"alternatives.{document['chosen']}.box.Vb"
    if what == "volume" and at(document, box) is None:
        edits[box] = round(result.cabinet.net, 6)
    return edits


def use(document, name, typed, result):
    """Join the whole cabinet in one of the usual ways."""
    thicknesses = {panel: solid.thickness for panel, solid in result.cabinet.carcass.panels.items()}
    for each in constructions(thicknesses):
        if each.name == name:
            return amend(document, {"cabinet.edges": each.edges})
    raise InputError("cabinet.edges", "must be one of the usual constructions")


def add_board(document, _, typed, result):
    """Lay a crossover board on the floor, in its middle."""
    names = document["cabinet"].get("boards", {})
    name = next(f"board{n}" for n in ("", *range(2, 99)) if f"board{n}" not in names)
    width, _, depth = result.cabinet.carcass.outer
    inner = result.cabinet.carcass.inner
    board = {
        "panel": "bottom", "mass": 0.5, "depth": rule_size(0.05, document),
        "width": rule_size(round(min(0.1, 0.6 * inner[0]), 3), document),
        "height": rule_size(round(min(0.15, 0.6 * inner[2]), 3), document),
        "x": rule_size(round(width / 2, 4), document), "y": rule_size(round(depth / 2, 4), document),
    }  # fmt: skip
    return amend(document, {f"cabinet.boards.{name}": board})


def drop_board(document, name, typed, result):
    """Take a crossover board out."""
    return without(document, f"cabinet.boards.{name}")


def add_thing(document, _, typed, result):
    """Add something that takes air: a crossover board, a terminal cup."""
    names = document["cabinet"].get("displaced", {})
    wanted = (typed.get("thing") or "crossover board").strip().replace(".", " ")[:40] or "crossover board"
    name = next(f"{wanted}{n}" for n in ("", *(f" {n}" for n in range(2, 99))) if f"{wanted}{n}" not in names)
    return amend(document, {f"cabinet.displaced.{name}": {"volume": 0.0003, "mass": 0.5}})


def drop_thing(document, name, typed, result):
    """Take something out of the box."""
    return without(document, f"cabinet.displaced.{name}")


def add_sheet(document, _, typed, result):
    """Add a sheet good to the stock, as a copy of the sides' to be measured."""
    sheets = document["workshop"]["sheets"]
    name = next(f"sheet{n}" for n in range(2, 99) if f"sheet{n}" not in sheets)
    return amend(document, {f"workshop.sheets.{name}": {**sheets[document["cabinet"]["panels"]["left"]],
                                                        "name": f"Another sheet, {name[5:]}"}})  # fmt: skip


def drop_sheet(document, name, typed, result):
    """Take a sheet good that nothing is cut from, and no stock is of, off the list."""
    project = read_project(document)
    named = [path for path, sheet in project.sheets_named() if sheet == name]
    stock = [path.split(".")[2] for path in named if path.startswith("workshop.stock.")]
    if len(named) > len(stock):
        why = "parts are cut from this sheet; give them another first"
    elif stock:
        words = ", ".join(project.workshop.stock[key].name or key for key in stock)
        why = f"your stock has some of this sheet: {words}; take it off the list on Stock first"
    else:
        return without(document, f"workshop.sheets.{name}")
    raise InputError(f"workshop.sheets.{name}.name", why)


def round_edges(document, _, typed, result):
    """Round the front's upright edges a little."""
    return amend(document, {"cabinet.rounding": {"size": rule_size(0.006, document)}})


def square_edges(document, _, typed, result):
    """Leave the front's edges as they are cut."""
    return without(document, "cabinet.rounding")


def come_off(document, panel, typed, result):
    """Screw a panel on over a gasket, with screws close enough."""
    if panel not in ("front", "back"):
        raise InputError("cabinet.lid.panel", "must be the front or the back")
    width, height, _ = result.cabinet.carcass.inner
    return amend(document, {"cabinet.lid": {"panel": panel, "screws": ceil(2 * (width + height) / APART)}})


def fix(document, _, typed, result):
    """Glue the panel on that came off."""
    return without(document, "cabinet.lid")


ACTIONS = {
    "lid": come_off, "fix": fix,
    "round": round_edges, "square": square_edges,
    "hold": hold, "use": use, "add-thing": add_thing, "drop-thing": drop_thing,
    "add-board": add_board, "drop-board": drop_board, "add-sheet": add_sheet,
    "drop-sheet": drop_sheet, "mend": mend,
}  # fmt: skip
