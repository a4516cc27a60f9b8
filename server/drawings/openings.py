"""Drivers, ports and terminals where they open the front and the back, as the drawings show them."""

from dataclasses import dataclass

from calc.cabinet.flat_shapes import outline
from server.drawings.profile import profile, radiator_profile


@dataclass(frozen=True)
class Opening:
    """One opening of a panel. Lengths [m].

    kind : "seat", "port", "radiator" or "hole". x, y : its centre from the cabinet's outer lower left corner,
    seen from the front; in a shelf y runs from the front backwards.
    width, height : of the hole through the panel, equal if it is `round`.
    recess : (diameter, depth) from the outer face, or None. screws : (count, circle's diameter), or None.
    known : False where the driver's sheet does not give its size and the usual one stands in.
    corner : radius of a rectangular hole's corners. rim : shape of what a plate covers of the face, or of a
    flange or a recess that is no circle; else None. places : (x, y) of each screw from the centre.
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
    corner: float = 0.0
    rim: object = None
    places: tuple = ()


def openings(placed, panel, *, seats=None, drivers=None, bored=None, radiator=None, radiator_bored=None):
    """The `Opening`s of the front, the back, or a shelf that drivers sit in.

    Parameters
    ----------
    placed : iterable of calc.cabinet.openings.Opening
        All of the cabinet.
    panel : str
        "front", "back" or the shelf's name.
    seats, drivers : dicts of calc.project.Seat, Driver
    bored : dict of calc.shop.boring.Seat by the seat's name
        How each seat is cut; where one is missing, recess and hole are those of the driver's frame.
    radiator : calc.project.Radiator or None
    radiator_bored : calc.shop.boring.Seat or None
        How each passive radiator's seat is cut.

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
            driver = drivers[seat.driver]
            found.append(_seat(each, seat, driver.frame, profile(driver), (bored or {}).get(each.name)))
        elif each.kind == "radiator":
            found.append(_seat(each, radiator, radiator.frame, radiator_profile(radiator), radiator_bored))
        else:
            found.append(
                Opening(
                    each.name,
                    each.kind,
                    each.x,
                    each.y,
                    each.width,
                    each.height,
                    each.round,
                    corner=each.corner,
                    rim=outline(each) if each.outline else None,
                    places=each.screws,
                )  # fmt: skip
            )
    return sorted(found, key=lambda opening: (-opening.y, opening.x))


def _seat(placed, mount, frame, shape, bored):
    screws = (frame.screws, frame.screw_circle) if frame.screws and frame.screw_circle else None
    name, kind, x, y = placed.name, placed.kind, placed.x, placed.y
    if bored is not None:
        recess = (bored.recess, bored.recess_depth) if bored.recess else None
        rim = outline(placed) if placed.edge else None
        return Opening(
            name, kind, x, y, bored.cutout, bored.cutout, True, recess, screws, rim=rim, places=placed.screws
        )
    recess = (shape.flange, shape.flange_thickness + frame.gasket) if mount.flush else None
    known = None not in (frame.about, frame.cutout)
    return Opening(
        name, kind, x, y, shape.cutout, shape.cutout, True, recess, screws, known,
        rim=outline(placed) if placed.edge else None, places=placed.screws,
    )  # fmt: skip
