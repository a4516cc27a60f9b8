"""What opens the front and the back: where each opening lies, and what of it does not fit.

Places are seen from the front: x from the cabinet's outer left, y up from its lower edge.
"""

from dataclasses import dataclass
from math import ceil, hypot
from typing import NamedTuple

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


# --- What does not fit


class Misfit(NamedTuple):
    """Something that does not fit: the field that it hangs on, and a sentence."""

    field: str
    sentence: str


class _Shape(NamedTuple):
    """A rectangle about (x, y) and all that lies within `radius` of it; a circle has no half sizes. [m]"""

    x: float
    y: float
    half_x: float
    half_y: float
    radius: float = 0.0

    def gap(self, other):
        """From this shape to the other [m]; below zero, how deep they overlap."""
        across = abs(self.x - other.x) - self.half_x - other.half_x
        up = abs(self.y - other.y) - self.half_y - other.half_y
        apart = max(across, up) if across < 0 and up < 0 else hypot(max(across, 0.0), max(up, 0.0))
        return apart - self.radius - other.radius

    def beyond(self, left, low, right, high):
        """Which sides of a rectangle this shape crosses."""
        x, y = self.half_x + self.radius, self.half_y + self.radius
        over = {
            "left": left - (self.x - x),
            "right": self.x + x - right,
            "bottom": low - (self.y - y),
            "top": self.y + y - high,
        }
        return [side for side, by in over.items() if by > _HAIR]


def _circle(x, y, diameter):
    return _Shape(x, y, 0.0, 0.0, diameter / 2)


def _cut(opening):
    """The hole through the panel; None where the driver's sheet does not give it."""
    if opening.width is None:
        return None
    if opening.round:
        return _circle(opening.x, opening.y, opening.width)
    return _Shape(opening.x, opening.y, opening.width / 2, opening.height / 2)


def _outline(opening):
    """All that an opening takes of the panel's outer face."""
    if opening.outline is None:
        return _cut(opening)
    return _circle(opening.x, opening.y, opening.outline)


def misfits(carcass, openings, *, seats=None, drivers=None, port=None, port_length=0.0, braces=None,
            finish=0.0):  # fmt: skip
    """What of a cabinet's openings does not fit the wood, each other or what stands inside.

    Parameters
    ----------
    carcass : Carcass
    openings : tuple of Opening
        All of the cabinet.
    seats, drivers : dicts of Seat-like and Driver-like decisions
    port : Port-like or None
    port_length : float
        Length of each port, from the outer face. [m]
    braces : dict of BraceSolid
    finish : float
        Paint or veneer on the front, which makes a recess shallower. [m]

    Returns
    -------
    misfits : tuple of Misfit
        Fields start at ``seats``, ``holes``, ``port``, ``fb``, ``braces`` or ``drivers``. Facts of good
        input, each told once.

    Notes
    -----
    A brace touches front and back over its whole width and leaves a rim around its window, so that it is
    in the way of an opening whose outline it crosses, wherever its window lies. A driver takes a straight
    tube of its cut-out's diameter, its magnet one of the magnet's.
    """
    room = _Room(
        carcass, tuple(openings), seats or {}, drivers or {}, port, port_length, braces or {}, finish
    )
    found = [
        *room.over_edges(), *room.into_walls(), *room.too_close(), *room.crossed(), *room.too_deep(),
        *room.port_misfits(),
    ]  # fmt: skip
    return tuple(dict.fromkeys(found))


@dataclass(frozen=True)
class _Room:
    """A cabinet with its openings, as `misfits` takes them."""

    carcass: object
    openings: tuple
    seats: dict
    drivers: dict
    port: object
    port_length: float
    braces: dict
    finish: float

    def over_edges(self):
        """Recesses and flanges that reach over the edge of the front."""
        front = self.carcass.panels["front"]
        for each in self.openings:
            if each.outline is None:
                continue
            over = _outline(each).beyond(front.low[0], front.low[2], front.high[0], front.high[2])
            if over:
                part = "recess" if self.seats[each.name].flush else "flange"
                yield Misfit(
                    f"{_field(each)}.{_axis(over[0])}",
                    f"The {part} of {self.called(each)} reaches over the edge of the front.",
                )

    def into_walls(self):
        """Through holes that are not clear of the walls behind their panel."""
        low, high = _inside(self.carcass)
        for each in self.openings:
            cut = _cut(each)
            walls = cut.beyond(low[0], low[2], high[0], high[2]) if cut else []
            if walls:
                panels = " and ".join(walls) + (" panels" if len(walls) > 1 else " panel")
                yield Misfit(
                    f"{_field(each)}.{_axis(walls[0])}",
                    f"The hole for {self.called(each)} runs into the {panels}: keep it between the walls.",
                )

    def too_close(self):
        """Openings of one panel that overlap, or leave too little wood between them."""
        for n, b in enumerate(self.openings):
            for a in self.openings[:n]:
                if a.panel != b.panel or None in (_outline(a), _outline(b)):
                    continue
                gap = _outline(a).gap(_outline(b))
                if gap >= LEAST_WOOD - _HAIR:
                    continue
                field = f"{_field(b)}.{'x' if abs(a.x - b.x) > abs(a.y - b.y) else 'y'}"
                both = (
                    self.called(b) if a.kind == b.kind == "port" else f"{self.called(a)} and {self.called(b)}"
                )
                words = (
                    f"overlap on the {b.panel}."
                    if gap < -_HAIR
                    else f"leave hardly any wood between them on the {b.panel}."
                )
                yield Misfit(field, f"{both[:1].upper()}{both[1:]} {words}")

    def crossed(self):
        """Braces that stand in the way of a driver, a port or a hole."""
        for name, brace in self.braces.items():
            plate = _plate(brace.low, brace.high)
            for each in self.openings:
                taken = self.taken(each)
                if taken and taken.gap(plate) < -_HAIR:
                    yield Misfit(f"braces.{name}.at", f"“{name}” {self.meets(each)}: move one of them.")

    def meets(self, opening):
        if opening.kind == "seat":
            return f"runs into the basket of {self.called(opening)}"
        if opening.kind == "port":
            return f"runs into {self.called(opening)}"
        return f"stands behind the hole for {self.called(opening)}"

    def taken(self, opening):
        """What an opening needs clear behind its panel, seen from the front; None where that is unknown."""
        cut = _cut(opening)
        if opening.kind == "port":
            return self.tube(opening)
        if cut is None or opening.kind == "hole":
            return cut
        depth = self.drivers[self.seats[opening.name].driver].frame.depth
        front = self.carcass.panels["front"].thickness
        shallow = depth is not None and self.recess(opening) + depth <= front
        return None if shallow else cut

    def tube(self, opening):
        """A port with its own walls, as far as they stand inside."""
        if opening.round:
            return _cut(opening)
        low, high = _inside(self.carcass)
        half_x, half_y = opening.width / 2 + self.port.wall, opening.height / 2 + self.port.wall
        left, right = max(opening.x - half_x, low[0]), min(opening.x + half_x, high[0])
        below, above = max(opening.y - half_y, low[2]), min(opening.y + half_y, high[2])
        return _plate((left, 0.0, below), (right, 0.0, above))

    def recess(self, opening):
        """From the front's face down to the seat of a driver. [m]"""
        seat = self.seats[opening.name]
        frame = self.drivers[seat.driver].frame
        return max(0.0, (frame.flange_thickness or 0.0) + frame.gasket - self.finish) if seat.flush else 0.0

    def reach(self, opening):
        """From the front's face to the back of a driver's magnet; None where that is not known. [m]"""
        depth = self.drivers[self.seats[opening.name].driver].frame.depth
        return None if depth is None else self.recess(opening) + depth

    def too_deep(self):
        """Drivers that the back stops."""
        back = self.carcass.outer[2] - self.carcass.panels["back"].thickness
        for each in self.openings:
            if each.kind == "seat" and (reach := self.reach(each)) is not None and reach > back + _HAIR:
                yield Misfit(
                    f"drivers.{self.seats[each.name].driver}.frame.depth",
                    f"{self.called(each)} is deeper than the box: its magnet meets the back.",
                )

    def port_misfits(self):
        """A port that is longer than the inside, or meets a magnet."""
        ports = [each for each in self.openings if each.kind == "port"]
        if not ports:
            return
        inside = self.port_length - self.carcass.panels[self.port.panel].thickness
        if inside >= self.carcass.inner[2]:
            field = "port.length" if self.port.length is not None else "fb"
            one = len(ports) == 1
            is_longer, needs = ("port is", "it needs") if one else ("ports are", "they need")
            yield Misfit(field, f"The {is_longer} longer than the box is deep: {needs} an elbow.")
        elif self.port.panel == "back":
            yield from self.magnets_met(ports)

    def magnets_met(self, ports):
        end = self.carcass.outer[2] - self.port_length
        for seat in self.openings:
            if seat.kind != "seat":
                continue
            magnet, reach = self.drivers[self.seats[seat.name].driver].frame.magnet, self.reach(seat)
            if magnet is None or reach is None or reach <= end:
                continue
            for each in ports:
                if self.tube(each).gap(_circle(seat.x, seat.y, magnet)) < -_HAIR:
                    words = "runs" if len(ports) == 1 else "run"
                    called = self.called(each)
                    yield Misfit("port.y", f"T{called[1:]} {words} into the magnet of {self.called(seat)}.")

    def called(self, opening):
        """What a sentence calls an opening; equal ports are told together."""
        if opening.kind == "port":
            return "the port" if opening.name == "port" else "the ports"
        return f"“{opening.name}”"


def _field(opening):
    """The document's place of an opening, below the cabinet or the box."""
    return {"seat": f"seats.{opening.name}", "hole": f"holes.{opening.name}", "port": "port"}[opening.kind]


def _axis(side):
    return "x" if side in ("left", "right") else "y"


def _plate(low, high):
    """A box's corners (x, y, z) [m] as seen from the front."""
    return _Shape(
        (low[0] + high[0]) / 2, (low[2] + high[2]) / 2, (high[0] - low[0]) / 2, (high[2] - low[2]) / 2
    )


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
