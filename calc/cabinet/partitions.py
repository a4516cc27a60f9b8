"""Plates that part the air: the rooms that they leave, and which of those is a chamber of its own."""

from itertools import product
from math import inf
from typing import NamedTuple

from calc.cabinet.brace_places import NORMAL
from calc.cabinet.layers import lining_volume
from calc.cabinet.polyhedra import Plane, clipped, sums
from calc.cabinet.wood_within import wood_within
from calc.errors import InputError

EXACT = 1e-13
"""How near a plate comes to the air that it is to part off. [m³]"""

_STEPS = 40


class Room(NamedTuple):
    """Air between sealing plates.

    low, high : its corners, without end where no plate bounds it [m]. reach : the same as far as the middles
    of those plates. body : the air as a solid, with what stands in it. plates : those that bound it, by name.
    things : what stands in it, by name. gross, net [m³].
    """

    low: tuple
    high: tuple
    reach: tuple
    body: object
    plates: tuple
    things: tuple
    gross: float
    net: float

    def holds(self, point):
        """Whether a point lies in it; what lies in a plate lies where it is nearer to the air."""
        low, high = self.reach
        return all(a < c <= b for a, c, b in zip(low, point, high, strict=True))


class Chamber(NamedTuple):
    """Air that a plate parts off: the `plate`, the `seats` that open it, its net `air` [m³], its `room`."""

    plate: str
    seats: tuple
    air: float
    room: Room


class Twin(NamedTuple):
    """A plate with the box's drivers on both its sides, and the air that it leaves them. [m³]"""

    plate: str
    airs: tuple


def rooms(air, plates, braces=(), linings=(), things=()):
    """What sealing plates make of the air.

    Parameters
    ----------
    air : Convex
        Between the walls.
    plates : dict of BraceSolid
        Those that seal, by name.
    braces : iterable of BraceSolid
        All of them.
    linings : iterable of Convex
        The bodies of the linings.
    things : iterable of (str, point, float)
        What else takes air: its name, where it stands [m], and its volume [m³].

    Returns
    -------
    tuple of Room
        From the left, the front and the floor.

    Raises
    ------
    InputError
        At ``braces.<name>.at``, where a plate leaves no air on one side, or what stands there fills it.
    """
    braces, linings, things = tuple(braces), tuple(linings), tuple(things)
    spans = (_spans(plates, axis) for axis in range(3))
    return tuple(_room(air, each, braces, linings, things) for each in product(*spans))


class _Span(NamedTuple):
    """From face to face, from middle to middle, and between which plates. [m]"""

    low: float
    high: float
    start: float
    end: float
    plates: tuple


def _spans(plates, axis):
    """The `_Span`s of the rooms along an axis."""
    across = {name: plate for name, plate in plates.items() if NORMAL[plate.kind] == axis}
    faces = sorted((plate.low[axis], plate.high[axis], name) for name, plate in across.items())
    lows = [(-inf, -inf, ()), *((high, (low + high) / 2, (name,)) for low, high, name in faces)]
    highs = [*((low, (low + high) / 2, (name,)) for low, high, name in faces), (inf, inf, ())]
    return [_Span(a, b, c, d, (*m, *n)) for (a, c, m), (b, d, n) in zip(lows, highs, strict=True)]


def _room(air, spans, braces, linings, things):
    low, high, start, end, names = zip(*spans, strict=True)
    plates = tuple(name for each in names for name in each)
    body = _between(air, low, high)
    if body is None:
        raise InputError(f"braces.{plates[0]}.at", "must leave air on both its sides")
    room = Room(low, high, (start, end), body, plates, (), sums(body)[0], 0.0)
    here = [each for each in things if room.holds(each[1])]
    parts = [part for each in linings if (part := _between(each, low, high)) is not None]
    taken = wood_within(braces, low, high) + sum(lining_volume(part, braces) for part in parts)
    net = room.gross - taken - sum(volume for *_, volume in here)
    if net <= 0 and plates:
        raise InputError(f"braces.{plates[0]}.at", "leaves a chamber that is filled by what stands in it")
    return room._replace(things=tuple(name for name, *_ in here), net=net)


def _between(solid, low, high):
    """What of a solid lies between two corners, or None."""
    planes = []
    for axis in range(3):
        out = tuple(float(k == axis) for k in range(3))
        if low[axis] > -inf:
            planes.append(Plane(*out, low[axis]))
        if high[axis] < inf:
            planes.append(Plane(*(-n for n in out), -high[axis]))
    return clipped(solid, *planes)


def chambers(parted, plates, seats):
    """What rooms are to a box.

    Parameters
    ----------
    parted : tuple of Room
        As `rooms` makes them of the same `plates`.
    seats : dict of str to (point, bool)
        Where each driver sits [m], and whether it is one of the box's.

    Returns
    -------
    own, twins : tuple of Chamber, tuple of Twin
        Rooms that are not the box's, and what parts those that are. A box without a driver has the first.
    """
    here = [tuple(name for name, (point, _) in seats.items() if room.holds(point)) for room in parted]
    ours = [any(seats[name][1] for name in names) for names in here]
    if not any(ours):
        ours[0] = True
    box = [room for room, mine in zip(parted, ours, strict=True) if mine]
    own = [
        Chamber(_parting(room, box, plates), names, room.net, room)
        for room, names, mine in zip(parted, here, ours, strict=True)
        if not mine
    ]
    order = list(plates)
    own.sort(key=lambda chamber: order.index(chamber.plate))
    return tuple(own), tuple(_twins(box, plates))


def _parting(room, box, plates):
    """The plate that parts a room from the box's, or from what lies between."""
    bounds = {name: NORMAL[plates[name].kind] for name in plates if name in room.plates}
    beside = (name for name, axis in bounds.items() if any(_differ(room, each) == {axis} for each in box))
    return next(beside, next(iter(bounds)))


def _differ(room, other):
    """The axes along which two rooms lie apart."""
    return {axis for axis in range(3) if room.low[axis] != other.low[axis]}


def _twins(box, plates):
    """Plates with some of the box's rooms on both their sides."""
    for name, plate in plates.items():
        axis = NORMAL[plate.kind]
        low = sum(room.net for room in box if room.high[axis] <= plate.low[axis])
        high = sum(room.net for room in box if room.low[axis] >= plate.high[axis])
        if low and high:
            yield Twin(name, (low, high))


def place_for(air, wanted, span, t, area, high):
    """Where the middle of a plate parts off a wanted net volume. [m]

    Parameters
    ----------
    air : callable
        The net air [m³] behind the plate, by where it stands [m]. It may refuse a place.
    wanted : float
        That air. [m³]
    span, t : float
        Of the box across the plate, and thickness of the plate. [m]
    area : float
        Of the box along the plate, about. [m²]
    high : bool
        Whether the air lies at the far end of the span.

    Raises
    ------
    InputError
        What `air` refuses near the place, or at ``at`` where it jumps over the wanted volume.

    Notes
    -----
    Straight lines through the last two places, from the one that an empty box would have.
    """
    way = -1.0 if high else 1.0
    at = wanted / area + t / 2
    at = span - at if high else at
    before, found = None, air(at)
    for _ in range(_STEPS):
        if abs(found - wanted) <= EXACT:
            return at
        if found == (before and before[1]):
            break
        steep = way * area if before is None else (found - before[1]) / (at - before[0])
        before = at, found
        at += (wanted - found) / steep
        found = air(at)
    raise InputError("at", "would have to cut through what takes the air")


def called(chamber):
    """What a chamber is called."""
    return f"chamber of {' and '.join(chamber.seats)}" if chamber.seats else f"chamber behind {chamber.plate}"
