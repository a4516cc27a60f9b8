"""What opens the front and the back: where each opening lies, and what of it does not fit.

Places are seen from the front: x from the cabinet's outer left, y up from its lower edge.
"""

from dataclasses import dataclass
from math import ceil

from calc.cabinet.frames import body
from calc.errors import InputError

LEAST_WOOD = 0.005
"""Wood between two openings of one panel, at least (common practice, no source). [m]"""

_HAIR = 1e-9  # m; nearer than this, two edges touch


@dataclass(frozen=True)
class Opening:
    """One opening of a panel. Lengths [m].

    kind : "seat", "port" or "hole". panel : "front" or "back". x, y : its centre.
    width, height : of the hole through the panel, equal if it is `round`; None where a driver's sheet does
        not give its cut-out. That of a tube is its outside: the tube goes through the panel.
    outline : diameter of a driver's recess, or of its flange where that sits on the face; else None.
    """

    name: str
    kind: str
    panel: str
    x: float
    y: float
    width: float | None
    height: float | None
    round: bool = True
    outline: float | None = None


def openings(carcass, *, seats=None, drivers=None, port=None, holes=None, braces=None, clearance=0.0):
    """Every `Opening` of a cabinet.

    Parameters
    ----------
    carcass : Carcass
    seats, drivers, holes : dicts of Seat-like, Driver-like and Hole-like decisions
    port : Port-like or None
        That of the box which is built.
    braces : dict of BraceSolid
        Kept clear by a port whose height is not settled.
    clearance : float
        Added to a flange's diameter where it is recessed. [m]

    Returns
    -------
    openings : tuple of Opening
        Seats, ports and other holes, in the order of their decisions.

    Raises
    ------
    InputError
        At ``seats.<name>.x``, ``holes.<name>.y``, ``port.x`` and so on, for a centre outside its panel.
    """
    seats, drivers, holes, braces = seats or {}, drivers or {}, holes or {}, braces or {}
    found = [_seat(carcass, name, seat, drivers[seat.driver], clearance) for name, seat in seats.items()]
    cut = [_hole(carcass, name, hole) for name, hole in holes.items()]
    if port is not None:
        found += _ports(carcass, port, _port_height(carcass, port, seats, drivers, braces, holes))
    return (*found, *cut)


def _seat(carcass, name, seat, driver, clearance):
    frame = driver.frame
    x = _place(carcass, "front", seat.x, seat.y, f"seats.{name}")
    outline = None if frame.flange is None else frame.flange + (clearance if seat.flush else 0.0)
    return Opening(name, "seat", "front", x, seat.y, frame.cutout, frame.cutout, True, outline)


def _hole(carcass, name, hole):
    x = _place(carcass, hole.panel, hole.x, hole.y, f"holes.{name}")
    return Opening(name, "hole", hole.panel, x, hole.y, hole.diameter, hole.diameter)


def _place(carcass, panel, x, y, field):
    """The x of a centre on `panel`: as it was decided, or the middle; refused outside the panel."""
    solid = carcass.panels[panel]
    for name, axis, at in (("x", 0, x), ("y", 2, y)):
        if at is not None and not solid.low[axis] <= at <= solid.high[axis]:
            raise InputError(f"{field}.{name}", f"must lie on the {panel}")
    return middle(carcass, panel) if x is None else x


def middle(carcass, panel):
    """The middle of the width of the front or the back. [m]"""
    solid = carcass.panels[panel]
    return (solid.low[0] + solid.high[0]) / 2


def _ports(carcass, port, y):
    """Equal ports side by side about their place, a third of their width apart, closer where the panel is
    narrow; in several rows where one does not hold them all.
    """
    x = _place(carcass, port.panel, port.x, y, "port")
    width, height = _port_size(port)
    low, high = _inside(carcass)
    columns, rows = _port_grid(carcass, port)
    outer = _outer(port)[0]
    pitch = outer + min(width / 3, max(0.0, (high[0] - low[0] - columns * outer) / (columns + 1)))
    found = []
    for n in range(port.count):
        row, column = divmod(n, columns)
        name = "port" if port.count == 1 else f"port {n + 1}"
        place = x + (column - (columns - 1) / 2) * pitch, y + ((rows - 1) / 2 - row) * _drop(port)
        found.append(Opening(name, "port", port.panel, *place, width, height, port.shape.kind == "round"))
    return found


def _port_size(port):
    """Width and height of the hole that one port needs in its panel: a tube goes through it. [m]"""
    return _outer(port) if port.shape.kind == "round" else (port.shape.width, port.shape.height)


def _outer(port):
    """Width and height of one port over its own walls. [m]"""
    shape = port.shape
    sides = (shape.diameter, shape.diameter) if shape.kind == "round" else (shape.width, shape.height)
    return sides[0] + 2 * port.wall, sides[1] + 2 * port.wall


def _port_grid(carcass, port):
    """Columns and rows in which equal ports stand."""
    low, high = _inside(carcass)
    columns = min(port.count, max(1, int((high[0] - low[0] + _HAIR) / _outer(port)[0])))
    return columns, ceil(port.count / columns)


def _drop(port):
    """From one row of ports to the next. [m]"""
    return _outer(port)[1] + _port_size(port)[1] / 3


def _port_height(carcass, port, seats, drivers, braces, holes):
    """Height of the ports' middle over the cabinet's lower edge [m]; if not settled, the roomiest."""
    if port.y is not None:
        return port.y
    low, high = _inside(carcass)
    _, rows = _port_grid(carcass, port)
    half = ((rows - 1) * _drop(port) + _outer(port)[1]) / 2
    if port.shape.kind == "slot" and port.shape.along_wall:
        return low[2] + half - port.wall
    solids = [(brace.low[2], brace.high[2]) for brace in braces.values() if brace.kind == "shelf"]
    solids += [
        (hole.y - hole.diameter, hole.y + hole.diameter)
        for hole in holes.values()
        if hole.panel == port.panel
    ]
    for seat in seats.values():
        driver = drivers[seat.driver]
        sizes = body(driver.frame, driver.kind, driver.Sd)
        reach = (sizes.flange if port.panel == "front" else sizes.magnet) / 2
        solids.append((seat.y - reach, seat.y + reach))
    lowest, highest = low[2] + half, max(high[2] - half, low[2] + half)

    def room(y):
        walls = min(y - low[2], high[2] - y)
        return round(min(walls, 2 * half, *(max(a - y, y - b) for a, b in solids), 1.0), 6)

    return max((lowest + (highest - lowest) * step / 48 for step in range(48, -1, -1)), key=room)


def _inside(carcass):
    """Low and high corner of the air inside, in cabinet coordinates. [m]"""
    panels = carcass.panels
    low = panels["left"].thickness, panels["front"].thickness, panels["bottom"].thickness
    width, height, depth = carcass.outer
    high = (
        width - panels["right"].thickness,
        depth - panels["back"].thickness,
        height - panels["top"].thickness,
    )
    return low, high
