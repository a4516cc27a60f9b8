"""Project and its cabinet -> the chambers that its sealing plates part off, and what is wrong with them."""

from dataclasses import replace
from typing import NamedTuple

from calc.cabinet.boards import air_taken
from calc.cabinet.brace_places import NORMAL
from calc.cabinet.bracing import braces as braced
from calc.cabinet.clash import Clash, Party
from calc.cabinet.facing import facing
from calc.cabinet.layers import lining_bodies
from calc.cabinet.panels import walls_about
from calc.cabinet.partitions import called, chambers, place_for, rooms
from calc.cabinet.polyhedra import sums
from calc.errors import InputError
from calc.shop.chamfer import air_gained

UNEVEN = 0.02
"""How far the shares of a twin box may be off before it is told, over one share."""


class _Inside(NamedTuple):
    """What plates part: the `air`, `linings` as bodies, and where `seats` and `takers` of air stand."""

    air: object
    linings: tuple
    seats: dict
    takers: tuple

    def rooms(self, plates, braces):
        """The `Room`s that plates leave; both are {name: BraceSolid}."""
        return rooms(self.air, plates, braces.values(), self.linings, self.takers)


def parted_off(project, inner, thicknesses, layers, braces, cups=()):
    """(`Chamber`s, `Twin`s) of a cabinet with an `inner` size [m]; both empty where no plate seals.

    `layers` is as `calc.cabinet.layers.lined` takes it, `cups` are those of terminals: (name, air that each
    takes [m³], its hole).
    """
    plates = {name: solid for name, solid in braces.items() if project.cabinet.braces[name].seals}
    if not plates:
        return (), ()
    inside = _inside(project, inner, thicknesses, layers, cups)
    return chambers(inside.rooms(plates, braces), plates, inside.seats)


def _inside(project, inner, thicknesses, layers, cups):
    made = project.cabinet
    walls = walls_about(inner, thicknesses, made.slope)
    outer = walls.outer[0], walls.outer[2], walls.outer[1]
    front = facing("front", outer, made.slope)
    mine = project.alternatives[project.chosen].driver
    seats, takers = {}, []
    for name, seat in made.seats.items():
        if seat.wall is None:
            point = front.at(outer[0] / 2 if seat.x is None else seat.x, seat.y, thicknesses["front"])
            seats[name] = point, seat.driver == mine
            frame = project.drivers[seat.driver].frame
            takers.append((name, point, frame.volume - air_gained(seat, frame)))
    for name, air, hole in cups:
        face = facing(hole.panel, outer, made.slope)
        across = outer[0] / 2 if hole.x is None else hole.x
        takers.append((name, face.at(across, hole.y, thicknesses[hole.panel]), air))
    for name, board in made.boards.items():
        face = facing(board.panel, outer, made.slope)
        middle = face.at(board.x, board.y, thicknesses[board.panel] + board.depth / 2)
        takers.append((name, middle, air_taken(board)))
    return _Inside(walls.air, tuple(lining_bodies(walls, layers).values()), seats, tuple(takers))


# --- Plates that stand where their chamber holds its air


def placed_by_air(project, inner, thicknesses, layers, plates, cups=()):
    """The `plates` as `calc.cabinet.bracing.braces` takes them, those that enclose some air in their places.

    Raises
    ------
    InputError
        At ``braces.<name>.encloses``, where a plate finds no place.
    """
    wanted = [name for name, (brace, *_) in plates.items() if brace.encloses is not None]
    if not wanted:
        return plates
    inside = _inside(project, inner, thicknesses, layers, cups)
    placed = {name: each for name, each in plates.items() if name not in wanted}
    for _ in range(8 if len(wanted) > 1 else 1):  # one plate's place changes the air of another that it meets
        before = [placed[name][0].at for name in wanted if name in placed]
        for name in wanted:
            others = {other: each for other, each in placed.items() if other != name}
            at = _place(inside, inner, thicknesses, project.cabinet.slope, others, name, plates[name])
            brace, *rest = plates[name]
            placed[name] = _standing(brace, at), *rest
        if before == [placed[name][0].at for name in wanted]:
            break
    return {name: placed[name] for name in plates}


def _standing(brace, at):
    """A plate that enclosed some air, in its place."""
    return replace(brace, at=at, encloses=None)


def _place(inside, inner, thicknesses, slope, others, name, plate):
    """Where a plate parts off the air that it is to enclose: behind drivers of other ways, if it can be."""
    brace, t, density = plate
    axis = NORMAL[brace.kind]
    span = (inner[0], inner[2], inner[1])[axis]

    def air(at, high):
        here = others | {name: (_standing(brace, at), t, density)}
        solids = braced(inner, thicknesses, here, slope).braces
        sealing = {n: solid for n, solid in solids.items() if n == name or others[n][0].seals}
        faces = solids[name].low[axis], solids[name].high[axis]
        return sum(
            room.net
            for room in inside.rooms(sealing, solids)
            if (room.low[axis] == faces[1] if high else room.high[axis] == faces[0])
        )

    area = sums(inside.air)[0] / span
    found, refusal = [], None
    for high in (True, False):
        try:
            at = place_for(lambda at, high=high: air(at, high), brace.encloses, span, t, area, high)
        except InputError as error:
            refusal = error
            continue
        start = inside.air.low[axis]
        behind = [box for point, box in inside.seats.values() if (point[axis] > start + at) == high]
        if not any(behind):
            found.append((len(behind), high, at))
    if found:
        return max(found)[2]
    reason = f"which {refusal.problem}" if refusal else "which the box's own driver does not open"
    raise InputError(f"braces.{name}.encloses", f"finds no place for its plate, {reason}")


def own_heights(project, carcass, braces):
    """Between which heights the box's own air lies, where shelves part some of it off. [m]

    None where no shelf does, or where one lies between the box's own drivers.
    """
    made, mine = project.cabinet, project.alternatives[project.chosen].driver
    shelves = [solid for name, solid in braces.items() if made.braces[name].seals and solid.kind == "shelf"]
    front, thickness = carcass.facing("front"), carcass.panels["front"].thickness
    seats = [seat for seat in made.seats.values() if seat.driver == mine and seat.wall is None]
    own = [front.at(0.0, seat.y, thickness)[2] for seat in seats]
    low, high = carcass.air.low[2], carcass.air.high[2]
    for shelf in shelves:
        middle = (shelf.low[2] + shelf.high[2]) / 2
        if own and max(own) < middle:
            high = min(high, shelf.low[2])
        elif own and min(own) > middle:
            low = max(low, shelf.high[2])
    return (low, high) if shelves else None


def partition_clashes(project, made, room):
    """What is wrong with chambers: nobody uses one, a port opens one, or a twin's shares are uneven.

    `room` is the cabinet's `Room`.
    """
    alternative = project.alternatives[project.chosen]
    for chamber in made.rooms:
        plate = f"braces.{chamber.plate}"
        if not chamber.seats:
            yield _told(plate, f"“{chamber.plate}” parts off air that no driver uses.")
        for each in made.openings:
            if each.kind not in ("port", "radiator") or each.panel not in ("front", "back"):
                continue
            thick = made.carcass.panels[each.panel].thickness
            inside = made.carcass.facing(each.panel).at(each.x, each.y, thick)
            if chamber.room.holds(inside):
                said = f"The {each.name} opens the {called(chamber)}, not the box: move one of them."
                yield _told(plate, said, room.party(each))
    for twin in made.twins:
        plate = f"braces.{twin.plate}"
        if alternative.chambers == 1:
            said = (
                f"“{twin.plate}” parts drivers of one box from each other: give the box two chambers, or let"
                " it open."
            )
            yield _told(plate, said)
        elif abs(twin.airs[0] / sum(twin.airs) - 0.5) > UNEVEN / 2:
            said = f"“{twin.plate}” leaves the two chambers unequal air: move it to where they are alike."
            yield _told(plate, said)


def _told(plate, said, *others):
    party = Party(plate, f"“{plate.partition('.')[2]}”")
    return Clash("parted", f"{plate}.at", said, said, parties=(party, *others))
