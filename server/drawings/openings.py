"""Drivers, ports and terminals where they open the front and the back, as the drawings show them."""

from dataclasses import dataclass

from server.drawings.profile import profile


@dataclass(frozen=True)
class Opening:
    """One opening of a panel. Lengths [m].

    kind : "seat", "port" or "hole". x, y : its centre from the cabinet's outer lower left corner, seen
    from the front. width, height : of the hole through the panel, equal if it is `round`.
    recess : (diameter, depth) from the outer face, or None. screws : (count, circle's diameter), or None.
    known : False where the driver's sheet does not give its size and the usual one stands in.
    """

    name: str
    kind: str
    x: float
    y: float
    width: float
    height: float
    round: bool = True
    recess: tuple | None = None
    screws: tuple | None = None
    known: bool = True


def openings(placed, panel, *, seats=None, drivers=None, bored=None):
    """The `Opening`s of the front or the back.

    Parameters
    ----------
    placed : iterable of calc.cabinet.openings.Opening
        All of the cabinet.
    panel : "front" or "back"
    seats, drivers : dicts of calc.project.Seat, Driver
    bored : dict of calc.shop.boring.Seat by the seat's name
        How each seat is cut; where one is missing, recess and hole are those of the driver's frame.

    Returns
    -------
    openings : list of Opening
        From the top down.
    """
    found = []
    for each in placed:
        if each.panel != panel:
            continue
        if each.kind == "seat":
            seat = seats[each.name]
            found.append(_seat(each, seat, drivers[seat.driver], (bored or {}).get(each.name)))
        else:
            found.append(Opening(each.name, each.kind, each.x, each.y, each.width, each.height, each.round))
    return sorted(found, key=lambda opening: (-opening.y, opening.x))


def _seat(placed, seat, driver, bored):
    shape, frame = profile(driver), driver.frame
    screws = (frame.screws, frame.screw_circle) if frame.screws and frame.screw_circle else None
    name, x, y = placed.name, placed.x, placed.y
    if bored is not None:
        recess = (bored.recess, bored.recess_depth) if bored.recess else None
        return Opening(name, "seat", x, y, bored.cutout, bored.cutout, True, recess, screws)
    recess = (shape.flange, shape.flange_thickness + frame.gasket) if seat.flush else None
    known = None not in (frame.flange, frame.cutout)
    return Opening(name, "seat", x, y, shape.cutout, shape.cutout, True, recess, screws, known)
