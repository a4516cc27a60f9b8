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

    kind : "seat", "port", "radiator" or "hole". panel : "front", "back", or the name of the shelf that a
        driver sits in. x, y : its centre; in a shelf, y runs from the cabinet's front backwards.
    width, height : of the hole through the panel, equal if it is `round`; None where a sheet does not give
        the cut-out. That of a tube is its outside: the tube goes through the panel.
    outline : diameter of a recess, or of a flange that sits on the face; else None.
    of : of a port, its place in the box: "port", "other" or "rear".
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


def openings(carcass, *, seats=None, drivers=None, ports=None, radiator=None, holes=None, braces=None,
             clearance=0.0):  # fmt: skip
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
        height = _height(carcass, group, seats, drivers, braces, (*cut, *placed))
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
    outline = None if frame.flange is None else frame.flange + (clearance if seat.flush else 0.0)
    if seat.wall is None:
        panel, x = "front", _place(carcass, "front", seat.x, seat.y, f"seats.{name}")
    else:
        panel, x = seat.wall, _place_in_wall(carcass, seat, braces, f"seats.{name}")
    return Opening(name, "seat", panel, x, seat.y, frame.cutout, frame.cutout, True, outline)


def _place_in_wall(carcass, seat, braces, field):
    """The x of a centre in a shelf; refused outside it, and in a plate that does not part the air."""
    plate = braces.get(seat.wall)
    if plate is None or plate.kind != "shelf" or plate.window is not None:
        raise InputError(f"{field}.wall", "must be a shelf without a window, or it parts no air")
    low, high = _inside(carcass)
    x = (low[0] + high[0]) / 2 if seat.x is None else seat.x
    for name, axis, at in (("x", 0, x), ("y", 1, seat.y)):
        if not low[axis] <= at <= high[axis]:
            raise InputError(f"{field}.{name}", f"must lie on “{seat.wall}”")
    return x


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
    along_floor: float | None = None


_CALLED = {"port": "port", "other": "other port", "rear": "rear port"}

_BETWEEN = 0.02  # m of wood between two passive radiators (a shop's habit)


def _port_group(of, port):
    hole, over = port_size(port), _outer(port)
    on_floor = port.shape.kind == "slot" and port.shape.along_wall
    return _Group(
        of, "port", _CALLED[of], port.panel, port.count, port.x, port.y, over, hole,
        (hole[0] / 3, hole[1] / 3), port.shape.kind == "round", None,
        over[1] / 2 - port.wall if on_floor else None,
    )  # fmt: skip


def _radiator_group(each, clearance):
    frame = each.frame
    usual = body(frame, "woofer", each.Sp).flange
    outline = None if frame.flange is None else frame.flange + (clearance if each.flush else 0.0)
    hole = None if frame.cutout is None else (frame.cutout, frame.cutout)
    over = (outline or usual,) * 2
    return _Group(
        "radiator", "radiator", "radiator", each.panel, each.count, each.x, each.y, over, hole,
        (_BETWEEN, _BETWEEN), True, outline,
    )  # fmt: skip


def _side_by_side(carcass, group, y):
    """Equal openings about their place, closer where the panel is narrow, in rows where one does not do."""
    x = _place(carcass, group.panel, group.x, y, group.of)
    low, high = _inside(carcass)
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
        found.append(Opening(name, group.kind, group.panel, *place, *sides, group.round, group.outline, of))
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
    low, high = _inside(carcass)
    columns = min(group.count, max(1, int((high[0] - low[0] + _HAIR) / group.over[0])))
    return columns, ceil(group.count / columns)


def _drop(group):
    """From one row to the next. [m]"""
    return group.over[1] + group.gaps[1]


def _height(carcass, group, seats, drivers, braces, placed):
    """Height of a group's middle over the cabinet's lower edge [m]; if not settled, the roomiest."""
    if group.y is not None:
        return group.y
    low, high = _chamber(carcass, group, seats, braces)
    _, rows = _grid(carcass, group)
    half = ((rows - 1) * _drop(group) + group.over[1]) / 2
    if group.along_floor is not None:
        return low + (rows - 1) * _drop(group) / 2 + group.along_floor
    solids = [(brace.low[2], brace.high[2]) for brace in braces.values() if brace.kind == "shelf"]
    for each in placed:
        if each.panel == group.panel:
            reach = each.height if each.kind == "hole" else (each.outline or each.height or 0.0) / 2
            solids.append((each.y - reach, each.y + reach))
    shallow = group.kind == "radiator" and group.panel == "back"  # magnets of the front are far away
    solids += [
        _stands(seat, drivers[seat.driver], group.panel, braces)
        for seat in seats.values()
        if not shallow or seat.wall in braces
    ]
    lowest, highest = low + half, max(high - half, low + half)

    def room(y):
        walls = min(y - low, high - y)
        return round(min(walls, 2 * half, *(max(a - y, y - b) for a, b in solids), 1.0), 6)

    return max((lowest + (highest - lowest) * step / 48 for step in range(48, -1, -1)), key=room)


def _stands(seat, driver, panel, braces):
    """From which height to which a driver stands in the way of what opens a panel. [m]"""
    sizes = body(driver.frame, driver.kind, driver.Sd)
    if seat.wall in braces:
        plate = braces[seat.wall]
        return (plate.low[2] - sizes.depth, plate.high[2]) if seat.faces == "up" else (
            plate.low[2], plate.high[2] + sizes.depth
        )  # fmt: skip
    reach = (sizes.flange if panel == "front" else sizes.magnet) / 2
    return seat.y - reach, seat.y + reach


def _chamber(carcass, group, seats, braces):
    """The floor and the ceiling of the chamber that a group opens. [m]"""
    low, high = _inside(carcass)
    wall = wall_of(seats, braces)
    if wall is None:
        return low[2], high[2]
    plate, rear_below = wall
    below = rear_below == (group.of == "rear")
    return (low[2], plate.low[2]) if below else (plate.high[2], high[2])


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


def misfits(carcass, openings, *, seats=None, drivers=None, ports=None, lengths=None, radiator=None,
            braces=None, finish=0.0):  # fmt: skip
    """What of a cabinet's openings does not fit the wood, each other or what stands inside.

    Parameters
    ----------
    carcass : Carcass
    openings : tuple of Opening
        All of the cabinet.
    seats, drivers : dicts of Seat-like and Driver-like decisions
    ports, lengths : dicts of Port-like, and of the length of each from its outer face [m]
        By their names in the box.
    radiator : Radiator-like or None
    braces : dict of BraceSolid
    finish : float
        Paint or veneer on the front, which makes a recess shallower. [m]

    Returns
    -------
    misfits : tuple of Misfit
        Fields start at ``seats``, ``holes``, ``port``, ``other``, ``rear``, ``radiator``, ``fb``, ``fr``,
        ``braces`` or ``drivers``. Facts of good input, each told once.

    Notes
    -----
    A brace touches front and back over its whole width and leaves a rim around its window, so that it is
    in the way of an opening whose outline it crosses, wherever its window lies. A driver takes a straight
    tube of its cut-out's diameter, its magnet one of the magnet's; a passive radiator is as wide inside as
    its cut-out.
    """
    room = _Room(
        carcass, tuple(openings), seats or {}, drivers or {}, ports or {}, lengths or {}, radiator,
        braces or {}, finish,
    )  # fmt: skip
    found = [
        *room.over_edges(), *room.into_walls(), *room.too_close(), *room.crossed(), *room.too_deep(),
        *room.port_misfits(), *room.met_by_radiators(), *room.chamber_misfits(),
    ]  # fmt: skip
    return tuple(dict.fromkeys(found))


@dataclass(frozen=True)
class _Room:
    """A cabinet with its openings, as `misfits` takes them."""

    carcass: object
    openings: tuple
    seats: dict
    drivers: dict
    ports: dict
    lengths: dict
    radiator: object
    braces: dict
    finish: float

    def face(self, panel):
        """Left, low, right and high edge of a panel's outer face, or of a shelf's from above. [m]"""
        if panel in self.carcass.panels:
            solid = self.carcass.panels[panel]
            return solid.low[0], solid.low[2], solid.high[0], solid.high[2]
        low, high = _inside(self.carcass)
        return low[0], low[1], high[0], high[1]

    def over_edges(self):
        """Recesses and flanges that reach over the edge of their panel."""
        for each in self.openings:
            if each.outline is None:
                continue
            over = _outline(each).beyond(*self.face(each.panel))
            if over:
                part = "recess" if self.mount(each).flush else "flange"
                yield Misfit(
                    f"{_field(each)}.{_axis(over[0])}",
                    f"The {part} of {self.called(each)} reaches over the edge of {self.the(each.panel)}.",
                )

    def mount(self, opening):
        """The decision that a driver or a passive radiator sits by."""
        return self.radiator if opening.kind == "radiator" else self.seats[opening.name]

    def frame(self, opening):
        """The frame of a driver or of a passive radiator."""
        mount = self.mount(opening)
        return mount.frame if opening.kind == "radiator" else self.drivers[mount.driver].frame

    def the(self, panel):
        return f"the {panel}" if panel in self.carcass.panels else f"“{panel}”"

    def into_walls(self):
        """Through holes that are not clear of the walls behind their panel."""
        low, high = _inside(self.carcass)
        for each in self.openings:
            cut = _cut(each) if each.panel in self.carcass.panels else None
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
                alike = self.called(a) == self.called(b)
                both = self.called(b) if alike else f"{self.called(a)} and {self.called(b)}"
                where = self.the(b.panel)
                words = (
                    f"overlap on {where}."
                    if gap < -_HAIR
                    else f"leave hardly any wood between them on {where}."
                )
                yield Misfit(field, f"{both[:1].upper()}{both[1:]} {words}")

    def crossed(self):
        """Braces that stand in the way of a driver, a port or a hole."""
        for name, brace in self.braces.items():
            plate = _plate(brace.low, brace.high)
            for each in self.openings:
                if each.panel not in self.carcass.panels:
                    met = name != each.panel and self.wall_meets(each, brace)
                else:
                    taken = self.taken(each)
                    met = taken and taken.gap(plate) < -_HAIR
                if met:
                    yield Misfit(f"braces.{name}.at", f"“{name}” {self.meets(each)}: move one of them.")

    def wall_meets(self, opening, brace):
        """Whether a driver that sits in a shelf and another brace are in each other's way."""
        cut = _cut(opening)
        if cut is None:
            return False
        low, high = self.hangs(opening)
        across = _Shape(
            (brace.low[0] + brace.high[0]) / 2, (brace.low[1] + brace.high[1]) / 2,
            (brace.high[0] - brace.low[0]) / 2, (brace.high[1] - brace.low[1]) / 2,
        )  # fmt: skip
        return low < brace.high[2] - _HAIR and brace.low[2] + _HAIR < high and cut.gap(across) < -_HAIR

    def hangs(self, opening):
        """From which height to which a driver in a shelf stands, the shelf included. [m]"""
        seat, plate = self.seats[opening.name], self.braces[opening.panel]
        depth = max(0.0, self.reach(opening) or 0.0)
        if seat.faces == "up":
            return min(plate.low[2], plate.high[2] - depth), plate.high[2]
        return plate.low[2], max(plate.high[2], plate.low[2] + depth)

    def meets(self, opening):
        if opening.kind in ("seat", "radiator"):
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
        depth = self.frame(opening).depth
        thickness = self.carcass.panels[opening.panel].thickness
        shallow = depth is not None and self.recess(opening) + depth <= thickness
        return None if shallow else cut

    def tube(self, opening):
        """A port with its own walls, as far as they stand inside."""
        if opening.round:
            return _cut(opening)
        low, high = _inside(self.carcass)
        wall = self.ports[opening.of].wall
        half_x, half_y = opening.width / 2 + wall, opening.height / 2 + wall
        left, right = max(opening.x - half_x, low[0]), min(opening.x + half_x, high[0])
        below, above = max(opening.y - half_y, low[2]), min(opening.y + half_y, high[2])
        return _plate((left, 0.0, below), (right, 0.0, above))

    def recess(self, opening):
        """From a panel's face down to the seat of what sits in it. [m]"""
        if not self.mount(opening).flush:
            return 0.0
        frame = self.frame(opening)
        finish = self.finish if opening.panel == "front" else 0.0
        return max(0.0, (frame.flange_thickness or 0.0) + frame.gasket - finish)

    def reach(self, opening):
        """From a panel's face to the back of what sits in it; None where that is not known. [m]"""
        depth = self.frame(opening).depth
        return None if depth is None else self.recess(opening) + depth

    def too_deep(self):
        """Drivers and radiators that the panel across stops."""
        low, high = _inside(self.carcass)
        for each in self.openings:
            if each.kind not in ("seat", "radiator") or (reach := self.reach(each)) is None:
                continue
            if each.panel in self.carcass.panels:
                across = "back" if each.panel == "front" else "front"
                over = reach > self.carcass.outer[2] - self.carcass.panels[across].thickness + _HAIR
            else:
                stands = self.hangs(each)
                across = "bottom" if self.seats[each.name].faces == "up" else "top"
                over = stands[0] < low[2] - _HAIR or stands[1] > high[2] + _HAIR
            if over:
                what = "magnet" if each.kind == "seat" else "back"
                is_deeper, its = ("is", "its") if self.alone(each) else ("are", "their")
                yield Misfit(
                    f"{self.frame_field(each)}.depth",
                    f"{self.begun(each)} {is_deeper} deeper than the box: {its} {what} meets the {across}.",
                )

    def alone(self, opening):
        return opening.kind == "seat" or self.radiator.count == 1

    def frame_field(self, opening):
        if opening.kind == "radiator":
            return "radiator.frame"
        return f"drivers.{self.seats[opening.name].driver}.frame"

    def port_misfits(self):
        """Ports that are longer than the inside, or meet a magnet."""
        for of, port in self.ports.items():
            ports = [each for each in self.openings if each.kind == "port" and each.of == of]
            if not ports or port.bends:
                continue
            inside = self.lengths.get(of, 0.0) - self.carcass.panels[port.panel].thickness
            if inside >= self.carcass.inner[2]:
                tuned_by = "fr" if of == "rear" else "fb"
                field = f"{of}.length" if port.length is not None or of == "other" else tuned_by
                called = self.begun(ports[0])
                one = len(ports) == 1
                is_longer, needs = ("is", "it needs") if one else ("are", "they need")
                yield Misfit(field, f"{called} {is_longer} longer than the box is deep: {needs} an elbow.")
            elif port.panel == "back":
                yield from self.magnets_met(ports)

    def magnets_met(self, ports):
        of = ports[0].of
        end = self.carcass.outer[2] - self.lengths.get(of, 0.0)
        for seat in self.openings:
            if seat.kind != "seat" or seat.panel != "front":
                continue
            magnet, reach = self.frame(seat).magnet, self.reach(seat)
            if magnet is None or reach is None or reach <= end:
                continue
            for each in ports:
                if self.tube(each).gap(_circle(seat.x, seat.y, magnet)) < -_HAIR:
                    words = "runs" if len(ports) == 1 else "run"
                    yield Misfit(
                        f"{of}.y", f"{self.begun(each)} {words} into the magnet of {self.called(seat)}."
                    )

    def met_by_radiators(self):
        """Passive radiators that meet a driver or a tube from the panel across."""
        for each in self.openings:
            if each.kind != "radiator" or (cut := _cut(each)) is None or self.reach(each) is None:
                continue
            left = self.carcass.outer[2] - self.reach(each)
            for other in self.openings:
                if other.kind != "seat" or other.panel in (each.panel, *self.braces):
                    continue
                frame, reach = self.frame(other), self.reach(other)
                wide = frame.magnet or frame.cutout
                if None in (reach, wide) or reach <= left + _HAIR:
                    continue
                if cut.gap(_circle(other.x, other.y, wide)) < -_HAIR:
                    verb = "meets" if self.radiator.count == 1 else "meet"
                    yield Misfit(
                        "radiator.y", f"{self.begun(each)} {verb} the magnet of {self.called(other)} inside."
                    )

    def tubes_met(self, seat):
        """Names of the kinds of port whose straight tubes run into a driver that sits in a shelf."""
        cut = _cut(seat)
        if cut is None:
            return
        low, high = self.hangs(seat)
        lump = _Shape(seat.x, (low + high) / 2, cut.radius, (high - low) / 2)
        for each in self.openings:
            if each.kind != "port" or self.ports[each.of].bends:
                continue
            length, depth = self.lengths.get(each.of, 0.0), self.carcass.outer[2]
            start, end = (0.0, length) if each.panel == "front" else (depth - length, depth)
            beside = end <= seat.y - cut.radius + _HAIR or start >= seat.y + cut.radius - _HAIR
            if not beside and self.tube(each).gap(lump) < -_HAIR:
                yield each

    def chamber_misfits(self):
        """Ports that open the wrong one of two chambers, or run into the driver between them."""
        for seat in self.openings:
            if seat.kind == "seat" and seat.panel in self.braces:
                for each in self.tubes_met(seat):
                    words = "run" if self.called(each).endswith("s") else "runs"
                    yield Misfit(f"{each.of}.y", f"{self.begun(each)} {words} into {self.called(seat)}.")
        wall = wall_of(self.seats, self.braces)
        if wall is None:
            return
        plate, rear_below = wall
        for each in self.openings:
            if each.kind != "port":
                continue
            below = each.y < (plate.low[2] + plate.high[2]) / 2
            if below != (rear_below == (each.of == "rear")):
                wrong = "front" if each.of == "rear" else "rear"
                yield Misfit(
                    f"{each.of}.y",
                    f"{self.begun(each)} must not open the {wrong} chamber: move across “{plate.name}”.",
                )

    def called(self, opening):
        """What a sentence calls an opening; equal ones are told together."""
        if opening.kind == "port":
            many = sum(each.of == opening.of for each in self.openings if each.kind == "port") > 1
            return f"the {_CALLED[opening.of]}{'s' * many}"
        if opening.kind == "radiator":
            return f"the passive radiator{'s' * (self.radiator.count > 1)}"
        return f"“{opening.name}”"

    def begun(self, opening):
        """The same at the head of a sentence."""
        called = self.called(opening)
        return called[:1].upper() + called[1:]


def _field(opening):
    """The document's place of an opening, below the cabinet or the box."""
    if opening.kind in ("port", "radiator"):
        return opening.of or "radiator"
    return f"{opening.kind}s.{opening.name}"


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
