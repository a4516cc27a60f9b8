"""What opens the front and the back, and where each opening lies.

Places are seen from the front: x from the cabinet's outer left, y up from its lower edge.
"""

from dataclasses import dataclass
from math import ceil, radians
from typing import NamedTuple

from calc.cabinet.frames import body, edge_of
from calc.cabinet.rims import circle_screws, plate_screws, rim_shape
from calc.errors import InputError
from calc.shop.chamfer import mouth

LEAST_WOOD = 0.005
"""Wood between two openings of one panel, at least (common practice, no source). [m]"""

_HAIR = 1e-9  # m; nearer than this, two edges touch


@dataclass(frozen=True)
class Opening:
    """One opening of a panel. Lengths [m].

    kind : "seat", "port", "radiator" or "hole". panel : "front", "back", or the name of the shelf that a
        driver sits in. x, y : its centre; in a shelf, y runs from the cabinet's front backwards.
    width, height : of the hole through the panel, equal if it is `round`; None where a sheet does not give
        the cut-out. That of a tube is its outside: the tube goes through the panel.
    outline : diameter of the circle about a recess, a flange or a rim on the face; else None.
    of : of a port, its place in the box: "port", "other" or "rear".
    mouth : diameter at the panel's inner face of a hole that is chamfered there; else None.
    corner : radius of a rectangular hole's corners. edge : shape of the recess, flange or rim about (0, 0)
        where that is no circle. screws : (x, y) of each from the centre. sunk : how far a cup stands below
        the face.
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
    of: str = ""
    mouth: float | None = None
    corner: float = 0.0
    edge: object = None
    screws: tuple = ()
    sunk: float = 0.0


def openings(carcass, *, seats=None, drivers=None, ports=None, radiator=None, holes=None, braces=None,
             clearance=0.0, heights=None):  # fmt: skip
    """Every `Opening` of a cabinet.

    Parameters
    ----------
    carcass : Carcass
    seats, drivers, holes : dicts of Seat-like, Driver-like and Hole-like decisions
    ports : dict of Port-like
        Those of the box which is built, by their names in it: "port", "other", "rear".
    radiator : Radiator-like or None
    braces : dict of BraceSolid
        Kept clear by what has no height of its own. A shelf that a driver sits in parts two chambers.
    clearance : float
        Added to a flange's diameter where it is recessed. [m]
    heights : (float, float), optional
        Between which heights the air lies that ports and radiators open, where plates part it. [m]

    Returns
    -------
    openings : tuple of Opening
        Seats, ports, radiators and other holes, in the order of their decisions.

    Raises
    ------
    InputError
        At ``seats.<name>.x``, ``holes.<name>.y``, ``port.x`` and so on, for a centre outside its panel; at
        ``seats.<name>.wall`` for a plate that no driver can sit in.
    """
    seats, drivers, holes, braces = seats or {}, drivers or {}, holes or {}, braces or {}
    found = [
        _seat(carcass, name, seat, drivers[seat.driver], braces, clearance) for name, seat in seats.items()
    ]
    cut = [_hole(carcass, name, hole) for name, hole in holes.items()]
    groups = [_port_group(name, port) for name, port in (ports or {}).items()]
    if radiator is not None:
        groups.append(_radiator_group(radiator, clearance))
    placed = []
    for group in sorted(groups, key=lambda group: group.y is None):  # what is settled stands in the way
        height = _height(carcass, group, seats, drivers, braces, (*cut, *placed), heights)
        placed += _side_by_side(carcass, group, height)
    order = [group.of for group in groups]
    placed.sort(key=lambda each: order.index(each.of or "radiator"))
    return (*found, *placed, *cut)


def wall_of(seats, braces):
    """The shelf that parts two chambers: (its solid, whether the rear one lies below it); None if none."""
    for seat in seats.values():
        if seat.wall in braces:
            return braces[seat.wall], seat.faces == "up"
    return None


def _seat(carcass, name, seat, driver, braces, clearance):
    frame = driver.frame
    more = clearance if seat.flush else 0.0
    edge = edge_of(frame, more, seat.turn)
    outline = None if frame.about is None else frame.about + more if edge is None else 2 * edge.reach
    if seat.wall is None:
        panel, x = "front", _place(carcass, "front", seat.x, seat.y, f"seats.{name}")
    else:
        panel, x = seat.wall, _place_in_wall(carcass, seat, braces, f"seats.{name}")
    wide = None
    if seat.relief and frame.cutout:
        wide = mouth(frame.cutout, seat.relief.depth, seat.relief.angle)
    return Opening(
        name, "seat", panel, x, seat.y, frame.cutout, frame.cutout, True, outline, mouth=wide, edge=edge,
        screws=circle_screws(frame.screws, frame.screw_circle, radians(seat.turn)),
    )  # fmt: skip


def _place_in_wall(carcass, seat, braces, field):
    """The x of a centre in a shelf; refused outside it, and in a plate that does not part the air."""
    plate = braces.get(seat.wall)
    if plate is None or plate.kind != "shelf" or plate.window is not None:
        raise InputError(f"{field}.wall", "must be a shelf without a window, or it parts no air")
    low, high = inside(carcass)
    x = (low[0] + high[0]) / 2 if seat.x is None else seat.x
    for name, axis, at in (("x", 0, x), ("y", 1, seat.y)):
        if not low[axis] <= at <= high[axis]:
            raise InputError(f"{field}.{name}", f"must lie on “{seat.wall}”")
    return x


def _hole(carcass, name, hole):
    x = _place(carcass, hole.panel, hole.x, hole.y, f"holes.{name}")
    sides = (hole.width, hole.height) if hole.width else (hole.diameter, hole.diameter)
    edge = rim_shape(hole)
    return Opening(
        name, "hole", hole.panel, x, hole.y, *sides, hole.width is None,
        None if edge is None else 2 * edge.reach,
        corner=hole.radius, edge=None if hole.width is None else edge,
        screws=plate_screws(hole), sunk=hole.depth,
    )  # fmt: skip


def _place(carcass, panel, x, y, field):
    """The x of a centre on `panel`: as it was decided, or the middle; refused outside the panel."""
    left, low, right, high = carcass.face_bounds(panel)
    for name, start, at, end in (("x", left, x, right), ("y", low, y, high)):
        if at is not None and not start <= at <= end:
            raise InputError(f"{field}.{name}", f"must lie on the {panel}")
    return middle(carcass, panel) if x is None else x


def middle(carcass, panel):
    """The middle of the width of the front or the back. [m]"""
    solid = carcass.panels[panel]
    return (solid.low[0] + solid.high[0]) / 2


# --- Equal openings, side by side


class _Group(NamedTuple):
    """Equal ports or passive radiators. Lengths [m].

    over : width and height of one with its walls or flange. hole : of its hole, None where that is not known.
    gaps : between two beside each other, and between two rows, where there is room. along_floor : how high
    its middle lies over the floor that it stands on, None if it does not.
    """

    of: str
    kind: str
    name: str
    panel: str
    count: int
    x: float | None
    y: float | None
    over: tuple
    hole: tuple | None
    gaps: tuple
    round: bool = True
    outline: float | None = None
    screws: tuple = ()
    edge: object = None
    along_floor: float | None = None


CALLED = {"port": "port", "other": "other port", "rear": "rear port"}

_BETWEEN = 0.02  # m of wood between two passive radiators (a shop's habit)


def _port_group(of, port):
    hole, over = port_size(port), _outer(port)
    on_floor = port.shape.kind == "slot" and port.shape.along_wall
    return _Group(
        of, "port", CALLED[of], port.panel, port.count, port.x, port.y, over, hole,
        (hole[0] / 3, hole[1] / 3), port.shape.kind == "round", None, (), None,
        over[1] / 2 - port.wall if on_floor else None,
    )  # fmt: skip


def _radiator_group(each, clearance):
    frame = each.frame
    usual = body(frame, "woofer", each.Sp).flange
    more = clearance if each.flush else 0.0
    edge = edge_of(frame, more)
    outline = None if frame.about is None else frame.about + more if edge is None else 2 * edge.reach
    hole = None if frame.cutout is None else (frame.cutout, frame.cutout)
    over = (outline or usual,) * 2
    return _Group(
        "radiator", "radiator", "radiator", each.panel, each.count, each.x, each.y, over, hole,
        (_BETWEEN, _BETWEEN), True, outline, circle_screws(frame.screws, frame.screw_circle), edge,
    )  # fmt: skip


def _side_by_side(carcass, group, y):
    """Equal openings about their place, closer where the panel is narrow, in rows where one does not do."""
    x = _place(carcass, group.panel, group.x, y, group.of)
    low, high = inside(carcass)
    columns, rows = _grid(carcass, group)
    outer = group.over[0]
    pitch = outer + min(group.gaps[0], max(0.0, (high[0] - low[0] - columns * outer) / (columns + 1)))
    found = []
    for n in range(group.count):
        row, column = divmod(n, columns)
        name = group.name if group.count == 1 else f"{group.name} {n + 1}"
        place = x + (column - (columns - 1) / 2) * pitch, y + ((rows - 1) / 2 - row) * _drop(group)
        of = "" if group.kind == "radiator" else group.of
        sides = group.hole or (None, None)
        found.append(
            Opening(
                name,
                group.kind,
                group.panel,
                *place,
                *sides,
                group.round,
                group.outline,
                of,
                screws=group.screws,
                edge=group.edge,
            )  # fmt: skip
        )
    return found


def port_size(port):
    """Width and height of the hole that one port needs in its panel: a tube goes through it. [m]"""
    return _outer(port) if port.shape.kind == "round" else (port.shape.width, port.shape.height)


def _outer(port):
    """Width and height of one port over its own walls. [m]"""
    shape = port.shape
    sides = (shape.diameter, shape.diameter) if shape.kind == "round" else (shape.width, shape.height)
    return sides[0] + 2 * port.wall, sides[1] + 2 * port.wall


def _grid(carcass, group):
    """Columns and rows in which equal openings stand."""
    low, high = inside(carcass)
    columns = min(group.count, max(1, int((high[0] - low[0] + _HAIR) / group.over[0])))
    return columns, ceil(group.count / columns)


def _drop(group):
    """From one row to the next. [m]"""
    return group.over[1] + group.gaps[1]


def _height(carcass, group, seats, drivers, braces, placed, heights):
    """Height of a group's middle over the cabinet's lower edge [m]; if not settled, the roomiest."""
    if group.y is not None:
        return group.y
    low, high = (_along(carcass, group.panel, z) for z in _chamber(carcass, group, seats, braces, heights))
    _, rows = _grid(carcass, group)
    half = ((rows - 1) * _drop(group) + group.over[1]) / 2
    if group.along_floor is not None:
        return low + (rows - 1) * _drop(group) / 2 + group.along_floor
    solids = [
        tuple(_along(carcass, group.panel, z) for z in (brace.low[2], brace.high[2]))
        for brace in braces.values()
        if brace.kind == "shelf"
    ]
    for each in placed:
        if each.panel == group.panel:
            reach = each.height if each.kind == "hole" else (each.outline or each.height or 0.0) / 2
            solids.append((each.y - reach, each.y + reach))
    shallow = group.kind == "radiator" and group.panel == "back"  # magnets of the front are far away
    solids += [
        _stands(carcass, seat, drivers[seat.driver], group.panel, braces)
        for seat in seats.values()
        if not shallow or seat.wall in braces
    ]
    lowest, highest = low + half, max(high - half, low + half)

    def room(y):
        walls = min(y - low, high - y)
        return round(min(walls, 2 * half, *(max(a - y, y - b) for a, b in solids), 1.0), 6)

    return max((lowest + (highest - lowest) * step / 48 for step in range(48, -1, -1)), key=room)


def _along(carcass, panel, z):
    """The place on a panel, along its face, behind which its inner face lies at the height `z`. [m]"""
    y = carcass.front_inner(z) if panel == "front" else carcass.outer[2]
    return carcass.facing(panel).of((0.0, y, z))[1]


def _stands(carcass, seat, driver, panel, braces):
    """Between which places of a panel a driver stands in the way of what opens it. [m]"""
    sizes = body(driver.frame, driver.kind, driver.Sd)
    if seat.wall in braces:
        plate = braces[seat.wall]
        low, high = (
            (plate.low[2] - sizes.depth, plate.high[2]) if seat.faces == "up" else
            (plate.low[2], plate.high[2] + sizes.depth)
        )  # fmt: skip
        return _along(carcass, panel, low), _along(carcass, panel, high)
    if panel == "front":
        return seat.y - sizes.flange / 2, seat.y + sizes.flange / 2
    middle = carcass.facing("front").at(0.0, seat.y, sizes.depth)[2]
    return middle - sizes.magnet / 2, middle + sizes.magnet / 2


def _chamber(carcass, group, seats, braces, heights):
    """The floor and the ceiling of the chamber that a group opens. [m]"""
    low, high = inside(carcass)
    wall = wall_of(seats, braces)
    if wall is None:
        return heights or (low[2], high[2])
    plate, rear_below = wall
    below = rear_below == (group.of == "rear")
    return (low[2], plate.low[2]) if below else (plate.high[2], high[2])


def inside(carcass):
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
