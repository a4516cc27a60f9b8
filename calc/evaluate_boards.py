"""Project and its cabinet -> where its crossover boards run into something, or do not go in at all."""

from calc.cabinet.boards import goes_through, met, room, sticks_out
from calc.cabinet.bodies import Body
from calc.cabinet.clash import Clash, Pair, Party
from calc.cabinet.clash_room import field_of
from calc.cabinet.flat_shapes import Shape, cut
from calc.cabinet.inside_clashes import lets_through


def rooms(project, carcass):
    """The room of each board, {name: `Body`}."""
    return {name: room(board, carcass) for name, board in project.cabinet.boards.items()}


def board_clashes(project, made, inside):
    """The `Clash` of each board with what it meets, and of those that no opening lets in.

    `inside` is the cabinet's `Room`.
    """
    boards = rooms(project, made.carcass)
    solids = [
        *((inside.brace_party(name), brace.body, brace) for name, brace in made.braces.items()),
        *_bodies(inside),
        *((_party(name), body, None) for name, body in boards.items()),
    ]
    for n, (name, body) in enumerate(boards.items()):
        yield from _through_walls(name, body, inside)
        for other, solid, brace in (
            solids[: len(solids) - len(boards)] + solids[len(solids) - len(boards) + n + 1 :]
        ):
            found = met(body, solid)
            if found is None or (brace and lets_through(brace, body, *found[1:])):
                continue
            by, shape, deep = found
            yield Clash(
                "board",
                f"boards.{name}.x",
                f"“{name}” runs into {other.called}: move the board.",
                f"“{name}” runs {{by}} into {other.called}: move the board.",
                by,
                parties=(_party(name), other._replace(moves=() if brace else other.moves)),
                pairs=(Pair(body.shape, shape, deep, body.face),),
            )
        if not _goes_in(project, made, project.cabinet.boards[name]):
            said = (
                f"“{name}” does not go straight through any opening: fit it before the box is closed, or saw"
                " the board in two."
            )
            yield Clash("board", f"boards.{name}.width", said, said, parties=(_party(name),))


def _party(name):
    return Party(f"boards.{name}", f"“{name}”", (("x", 0), ("y", 1)))


def _through_walls(name, body, inside):
    for wall, (by, side, along) in sticks_out(body, inside.walls).items():
        end = "move the board." if side else "take a flatter one."
        yield Clash(
            "board",
            f"boards.{name}.{_field(side)}",
            f"“{name}” runs into the {wall} panel: {end}",
            f"“{name}” runs {{by}} into the {wall} panel: {end}",
            by,
            parties=(_party(name), Party(wall, f"the {wall}")),
            over={side: along} if side else {},
        )


def _field(side):
    return {"left": "x", "right": "x", "bottom": "y", "top": "y"}.get(side, "depth")


def _bodies(inside):
    """(party, `Body`, None) of each thing that stands behind an opening."""
    for each in inside.openings:
        if each.panel not in inside.carcass.panels:
            low, high = inside.hangs(each)
            if (hole := cut(each)) is not None:
                yield (
                    Party(field_of(each), inside.called(each)),
                    Body(hole, low, high, inside.facing(each.panel)),
                    None,
                )
            continue
        if each.kind == "port" and inside.ports[each.of].bends:
            continue  # where its inner leg stands is not known
        party = Party(field_of(each), inside.called(each))
        body = inside.body(each)
        if body is not None:
            if each.kind == "seat" and (magnet := inside.frame(each).magnet):
                wide = max(body.shape.radius, magnet / 2)
                body = body._replace(shape=Shape(each.x, each.y, 0.0, 0.0, wide))
            yield party, body, None


def _goes_in(project, made, board):
    """Whether an opening, or what a panel that comes off leaves open, lets a board in."""
    lid = project.cabinet.lid
    if lid is not None:
        left, low, right, high = made.carcass.clear_bounds(lid.panel)
        if goes_through(board, right - left, high - low):
            return True
    return any(
        goes_through(board, each.width, None if each.round else each.height)
        for each in made.openings
        if each.width and each.kind != "port"
    )
