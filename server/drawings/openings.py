"""Where drivers, ports and terminals open the front and the back, as the drawings show them."""

from dataclasses import dataclass
from math import ceil

from server.drawings.profile import profile
from server.drawings.shapes import inside


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


def openings(carcass, panel, *, seats=None, drivers=None, bored=None, port=None, holes=None, braces=None):
    """The `Opening`s of the front or the back.

    Parameters
    ----------
    carcass : calc.cabinet.panels.Carcass
    panel : "front" or "back"
    seats, drivers, holes : dicts of calc.project.Seat, Driver, Hole
    bored : dict of calc.shop.boring.Seat by the seat's name
        How each seat is cut; where one is missing, recess and hole are those of the driver's frame.
    port : calc.project.Port or None
    braces : dict of calc.cabinet.bracing.BraceSolid
        Kept clear by a port whose place is not settled.

    Returns
    -------
    openings : list of Opening
        From the top down.
    """
    seats, drivers, holes, braces = seats or {}, drivers or {}, holes or {}, braces or {}
    found = [
        Opening(name, "hole", hole.x, hole.y, hole.diameter, hole.diameter)
        for name, hole in holes.items()
        if hole.panel == panel
    ]
    if panel == "front":
        found += [
            _seat(name, seat, drivers[seat.driver], (bored or {}).get(name)) for name, seat in seats.items()
        ]
    if port is not None and port.panel == panel:
        found += _ports(carcass, port, port_height(carcass, port, seats, drivers, braces, holes))
    return sorted(found, key=lambda opening: (-opening.y, opening.x))


def _seat(name, seat, driver, bored):
    shape, frame = profile(driver), driver.frame
    screws = (frame.screws, frame.screw_circle) if frame.screws and frame.screw_circle else None
    if bored is not None:
        recess = (bored.recess, bored.recess_depth) if bored.recess else None
        return Opening(name, "seat", seat.x, seat.y, bored.cutout, bored.cutout, True, recess, screws)
    recess = (shape.flange, shape.flange_thickness + frame.gasket) if seat.flush else None
    known = None not in (frame.flange, frame.cutout)
    return Opening(name, "seat", seat.x, seat.y, shape.cutout, shape.cutout, True, recess, screws, known)


def _ports(carcass, port, y):
    """Equal ports side by side about their place, a third of their width apart, closer where the panel is
    narrow; in several rows where one does not hold them all.
    """
    shape = port.shape
    is_round = shape.kind == "round"
    width, height = (shape.diameter, shape.diameter) if is_round else (shape.width, shape.height)
    low, high = inside(carcass)
    room, outer = high[0] - low[0], width + 2 * port.wall
    columns = min(port.count, max(1, int(room / outer)))
    rows = ceil(port.count / columns)
    pitch = outer + min(width / 3, max(0.0, (room - columns * outer) / (columns + 1)))
    drop = height + 2 * port.wall + height / 3
    middle = (low[0] + high[0]) / 2 if port.x is None else port.x
    found = []
    for n in range(port.count):
        row, column = divmod(n, columns)
        x = middle + (column - (columns - 1) / 2) * pitch
        name = "port" if port.count == 1 else f"port {n + 1}"
        found.append(Opening(name, "port", x, y + ((rows - 1) / 2 - row) * drop, width, height, is_round))
    return found


def port_height(carcass, port, seats, drivers, braces, holes):
    """Height of a port's axis over the cabinet's lower edge [m]; the roomiest one if it is not settled."""
    low, high = inside(carcass)
    shape = port.shape
    half = shape.diameter / 2 if shape.kind == "round" else shape.height / 2
    if port.y is not None:
        return port.y
    if shape.kind == "slot" and shape.along_wall:
        return low[2] + half
    half += port.wall
    solids = [(brace.low[2], brace.high[2]) for brace in braces.values() if brace.kind == "shelf"]
    solids += [(hole.y - hole.diameter, hole.y + hole.diameter) for hole in holes.values()]
    for seat in seats.values():
        driver = profile(drivers[seat.driver])
        reach = driver.flange / 2 if port.panel == "front" else driver.magnet / 2
        solids.append((seat.y - reach, seat.y + reach))
    lowest, highest = low[2] + half, max(high[2] - half, low[2] + half)

    def room(y):
        walls = min(y - low[2], high[2] - y)
        return round(min(walls, 2 * half, *(max(a - y, y - b) for a, b in solids), 1.0), 6)

    return max((lowest + (highest - lowest) * step / 48 for step in range(48, -1, -1)), key=room)
