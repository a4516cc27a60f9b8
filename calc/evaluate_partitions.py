"""Project and its cabinet -> the chambers that its sealing plates part off, and what is wrong with them."""

from calc.cabinet.boards import air_taken
from calc.cabinet.clash import Clash, Party
from calc.cabinet.facing import facing
from calc.cabinet.layers import lining_bodies
from calc.cabinet.panels import walls_about
from calc.cabinet.partitions import called, chambers, rooms
from calc.shop.chamfer import air_gained

UNEVEN = 0.02
"""How far the shares of a twin box may be off before it is told, over one share."""


def parted_off(project, inner, thicknesses, layers, braces, cups=()):
    """(`Chamber`s, `Twin`s) of a cabinet with an `inner` size [m]; both empty where no plate seals.

    `layers` is as `calc.cabinet.layers.lined` takes it, `cups` are those of terminals: (name, air that each
    takes [m³], its hole).
    """
    made = project.cabinet
    plates = {name: solid for name, solid in braces.items() if made.braces[name].seals}
    if not plates:
        return (), ()
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
    linings = lining_bodies(walls, layers).values()
    return chambers(rooms(walls.air, plates, braces.values(), linings, takers), plates, seats)


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
