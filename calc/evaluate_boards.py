"""Project and its cabinet -> where its crossover boards run into something, or do not go in at all."""

from calc.cabinet.boards import driver_room, goes_through, overlap, room, sticks_out
from calc.cabinet.clash import Clash, Party


def rooms(project, carcass):
    """The room of each board, {name: `Convex`}."""
    made = project.cabinet
    lined = dict.fromkeys(carcass.panels, 0.0)
    for layer in carcass.layers.values():
        if layer.place == "inside":
            lined[layer.panel] += layer.thickness + layer.soft
    return {name: room(board, carcass, lined[board.panel]) for name, board in made.boards.items()}


def board_clashes(project, made):
    """The `Clash` of each board with what it meets, and of those that no opening lets in."""
    found = rooms(project, made.carcass)
    bodies = {name: brace.body for name, brace in made.braces.items()} | dict(_drivers(project, made))
    for n, (name, solid) in enumerate(found.items()):
        out = sticks_out(solid, made.carcass.air)
        if out:
            yield _clash(name, "the walls", out)
        for other, body in (*bodies.items(), *list(found.items())[n + 1 :]):
            if by := overlap(solid, body):
                yield _clash(name, f"“{other}”", by)
        if not _goes_in(project, made, project.cabinet.boards[name]):
            said = (
                f"“{name}” does not go straight through any round opening: fit it before the box is closed,"
                " or saw the board in two."
            )
            yield Clash("board", f"boards.{name}.width", said, said, parties=(Party(f"boards.{name}", name),))


def _clash(name, other, by):
    parties = Party(f"boards.{name}", f"“{name}”"), Party(other, other)
    return Clash(
        "board",
        f"boards.{name}.x",
        f"“{name}” runs into {other}: move the board.",
        f"“{name}” runs {{by}} into {other}: move the board.",
        by,
        parties=parties,
    )


def _goes_in(project, made, board):
    """Whether an opening, or a panel that comes off, lets a board in."""
    if project.cabinet.lid is not None:
        return True
    return any(each.round and each.width and goes_through(board, each.width) for each in made.openings)


def _drivers(project, made):
    """The room of each driver of the front whose depth is known."""
    for each in made.openings:
        if each.kind != "seat" or each.panel != "front":
            continue
        frame = project.drivers[project.cabinet.seats[each.name].driver].frame
        if frame.depth and each.width:
            radius = max(each.width, frame.magnet or 0.0) / 2
            yield each.name, driver_room(each, made.carcass.facing("front"), frame.depth, radius, 0.0)
