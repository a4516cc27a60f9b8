"""What stiffens the inside: shelves lie level, ribs stand front to back, frames across, bars join two walls.

A shelf spans the inner width and depth and its two ends stand in grooves of the sides; a rib spans the
inner height and depth and stands in grooves of top and bottom; a frame spans the inner width and height and
stands in grooves of the sides. Elsewhere they only touch: two panels close the box last, and a plate that
stands in four grooves cannot be slid into it. A bar or a dowel joins two walls that face each other.

Where two plates cross, each gets a slot over half of the crossing and they slide into each other. A shelf is
slotted from the back for a rib and from the right for a frame; a rib from the front for a shelf and from
above for a frame; a frame from the left for a shelf and from below for a rib. A bar meets no other wood, but
it may pass through a plate's window or notch.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import product
from math import inf, pi, radians, tan
from typing import NamedTuple

from calc.cabinet.brace_faults import brace_faults
from calc.cabinet.brace_places import NORMAL, Inside, Placed, axis_and_walls, ends, placed, plane_axes
from calc.cabinet.crossings import crossing_parts
from calc.cabinet.panels import Cut
from calc.cabinet.polyhedra import NOTHING, Convex, added, block, lump, sums, taken

PARTNERS = (("shelf", "rib"), ("shelf", "frame"), ("rib", "frame"))
"""Kinds that cross: the first is slotted over the high half of the crossing, the second over the low one."""


@dataclass(frozen=True)
class BraceSolid:
    """One brace: its blank, what is cut out of it, what it weighs, and the air that it takes.

    length, width, thickness : of the blank [m]; length runs from end to end. A dowel is as wide as thick.
    low, high : the blank's corners in the cabinet, tongues included [m]. body : the blank, its front edge
        bevelled where the front leans; a dowel's is the square about it.
    windows : the `Gap`s of its windows in its plane [m].
    cuts : the slots where other plates cross, and the notches.
    sums : {"length" | "width": (base, ((count, add), ...))} [m].
    volume [m³], mass [kg], centroid (x, y, z) [m] : of the finished part.
    displaced : volume inside the box, tongues left out [m³].
    place : the `Placed` that it was made from: its part inside, and the gaps in its plane.
    tongues : how far the low and the high end go into their walls [m].
    axis : from end to end, of a bar or dowel; None of a plate.
    """

    name: str
    kind: str
    length: float
    width: float
    thickness: float
    density: float
    low: tuple
    high: tuple
    body: Convex
    windows: tuple
    cuts: tuple
    sums: dict
    volume: float
    mass: float
    centroid: tuple
    displaced: float
    place: Placed
    tongues: tuple = (0.0, 0.0)
    axis: int | None = None

    @property
    def gaps(self):
        """Corners of its windows and notches in the cabinet, without end across the plate."""
        found = [self._through(gap) for gap in self.windows]
        found += [
            self._through((_in_plane(self, cut.low), _in_plane(self, cut.high)))
            for cut in self.cuts
            if cut.kind == "notch"
        ]
        return tuple(found)

    def _through(self, gap):
        low, high = [-inf] * 3, [inf] * 3
        for axis, a, b in zip(plane_axes(self.kind), gap[0], gap[1], strict=True):
            low[axis], high[axis] = a, b
        return tuple(low), tuple(high)

    @property
    def window(self):
        """Width, height and corner radius of one window [m]; None where there is none."""
        if not self.windows:
            return None
        (u0, v0), (u1, v1), radius = self.windows[0]
        return u1 - u0, v1 - v0, radius


def _in_plane(solid, corner):
    return tuple(corner[axis] for axis in plane_axes(solid.kind))


class Groove(NamedTuple):
    """What an end takes out of a wall: the brace's `name`, the `body`; of a dowel a `round` hole in it."""

    name: str
    body: Convex
    round: bool = False

    @property
    def sums(self):
        """Volume and first moments."""
        whole = sums(self.body)
        return tuple(pi / 4 * each for each in whole) if self.round else whole


@dataclass(frozen=True)
class Bracing:
    """All braces by name, of the decisions `plates`, in the room `inside`."""

    braces: dict
    plates: dict
    inside: Inside

    @cached_property
    def grooves(self):
        """The grooves that they need in the walls: {panel: (Groove, ...)}."""
        return _grooves(self.braces, self.plates, self.inside)

    @property
    def displaced(self):
        """Air that all braces take together; where two cross, the wood counts once. [m³]"""
        return sum(brace.displaced for brace in self.braces.values())


def braces(inner, thicknesses, plates, slope=0.0):
    """The braces of a cabinet.

    Parameters
    ----------
    inner : (float, float, float)
        Inner width, height, depth at the floor. [m]
    thicknesses : dict of str to float
        Thickness of each panel. [m]
    plates : dict of str to (Brace-like, float, float)
        By name: the decision (as `calc.project_cabinet.Brace`), its thickness [m], density [kg/m³].
    slope : float
        How far the front leans back. [deg]

    Returns
    -------
    Bracing

    Raises
    ------
    InputError
        At ``braces.<name>....``, see `brace_faults`.
    """
    for fault in brace_faults(inner, thicknesses, plates, slope):
        raise fault
    inside = Inside(tuple(inner), thicknesses, slope)
    set_up = {name: placed(plate, t, inside) for name, (plate, t, _) in plates.items()}
    slots = _slots(set_up, inside)
    solids = {
        name: _solid(name, plate, t, density, set_up[name], slots[name], inside)
        for name, (plate, t, density) in plates.items()
    }
    return Bracing(solids, plates, inside)


# --- Crossings


def _slots(set_up, inside):
    """The slots of every plate: {name: [(other's name, low, high, sums of the wood that it loses)]}."""
    slots = {name: [] for name in set_up}
    for one, other in product(set_up, set_up):
        if (set_up[one].kind, set_up[other].kind) in PARTNERS:
            upper, lower = _halves(set_up[one], set_up[other], inside)
            slots[one].append((other, *upper))
            slots[other].append((one, *lower))
    return slots


def _halves(one, other, inside):
    """The high and the low half of a crossing: corners, and the sums of the wood that is there."""
    low, high = list(map(max, one.low, other.low)), tuple(map(min, one.high, other.high))
    c = 3 - NORMAL[one.kind] - NORMAL[other.kind]
    start, edge = low[c], NOTHING
    if c == 1 and inside.slope:  # the bevel before it is full wood: windows keep off the front
        start = inside.front(high[2])
        edge = sums(inside.body(low, (high[0], start, high[2])))
        low[1] = inside.front(low[2])
    middle = (low[c] + high[c]) / 2
    upper_low, lower_high = list(low), list(high)
    upper_low[c] = lower_high[c] = middle
    below, upper = crossing_parts(one, other, (start, middle, high[c]))
    lower = added(edge, below)
    return (tuple(upper_low), high, upper), (tuple(low), tuple(lower_high), lower)


# --- Solids


def _solid(name, brace, t, density, place, slots, inside):
    axis, _ = axis_and_walls(brace)
    near, far = ends(brace)
    low, high = list(place.low), list(place.high)
    low[axis] -= near
    high[axis] += far
    if axis == 2 and place.kind in NORMAL:
        low[1] = inside.front(low[2])
    body, within = inside.body(low, high), inside.body(place.low, place.high)
    lost = [*_gap_sums(place), *(wood for *_, wood in slots)]
    if place.kind == "dowel":
        whole, clear = _rod(low, high, axis, inside), _rod(place.low, place.high, axis, inside)
    else:
        whole, clear = sums(body), sums(within)
    volume, *moments = taken(whole, *lost) if lost else whole
    adds = ((2, near),) if near == far and near else tuple((1, each) for each in (near, far) if each)
    width, thickness = _section(brace, t, low, high)
    return BraceSolid(
        name=name, kind=place.kind, length=high[axis] - low[axis], width=width, thickness=thickness,
        density=density, low=tuple(low), high=tuple(high), body=body, windows=place.windows,
        cuts=(
            *(Cut(other, "slot", a, b, True, block(a, b)) for other, a, b, _ in slots),
            *(_bite(notch, gap, place) for notch, gap in place.notches),
        ),
        sums={"length": (place.high[axis] - place.low[axis], adds), "width": (width, ())},
        volume=volume, mass=volume * density, centroid=tuple(moment / volume for moment in moments),
        displaced=clear[0] - sum(each[0] for each in lost), place=place, tongues=(near, far), axis=place.axis,
    )  # fmt: skip


def _section(brace, t, low, high):
    """Width and thickness of the blank. [m]"""
    if brace.kind in NORMAL:
        axis, _ = axis_and_walls(brace)
        over = 3 - NORMAL[brace.kind] - axis
        return high[over] - low[over], t
    return brace.width, brace.width if brace.kind == "dowel" else t


def _gap_sums(place):
    """Sums of what each window and notch takes: its rectangle less what the corner arcs leave standing."""
    if place.kind not in NORMAL:
        return
    axis, axes = NORMAL[place.kind], plane_axes(place.kind)
    t = place.high[axis] - place.low[axis]
    for gap in place.gaps:
        sides = [b - a for a, b in zip(gap.low, gap.high, strict=True)]
        middle = [0.0, 0.0, 0.0]
        middle[axis] = (place.low[axis] + place.high[axis]) / 2
        for each, a, b in zip(axes, gap.low, gap.high, strict=True):
            middle[each] = (a + b) / 2
        yield lump((sides[0] * sides[1] - (4 - pi) * gap.radius**2) * t, middle)


def _bite(name, gap, place):
    low, high = list(place.low), list(place.high)
    for axis, a, b in zip(plane_axes(place.kind), gap.low, gap.high, strict=True):
        low[axis], high[axis] = a, b
    return Cut(name, "notch", tuple(low), tuple(high), False, block(low, high))


def _rod(low, high, axis, inside):
    """Sums of a round rod in the square from `low` to `high`, its front end cut along a leaning front.

    Over the section the length is L - k w, where w is the height over the axis and k the tangent of the
    lean; the moments follow by integrating that over the circle, whose second moment is pi r⁴ / 4.
    """
    other = [each for each in range(3) if each != axis]
    r = (high[other[0]] - low[other[0]]) / 2
    area, second = pi * r**2, pi * r**4 / 4
    middle = [(a + b) / 2 for a, b in zip(low, high, strict=True)]
    if axis != 1 or not inside.slope:
        return lump(area * (high[axis] - low[axis]), middle)
    k, x, z = tan(radians(inside.slope)), middle[0], middle[2]
    near, far = inside.front(z), high[1]
    volume = area * (far - near)
    return volume, x * volume, (area * (far**2 - near**2) - k**2 * second) / 2, z * volume - k * second


def _grooves(solids, plates, inside):
    grooves = {}
    for name, solid in solids.items():
        brace = plates[name][0]
        axis, walls = axis_and_walls(brace)
        near, far = ends(brace)
        start, end = inside.start[axis], inside.end[axis]
        for wall, depth, (a, b) in zip(
            walls, (near, far), ((start - near, start), (end, end + far)), strict=True
        ):
            if depth:
                low, high = list(solid.low), list(solid.high)
                low[axis], high[axis] = a, b
                body = inside.body(low, high) if axis != 1 else block(low, high)
                grooves.setdefault(wall, []).append(Groove(name, body, solid.kind == "dowel"))
    return {wall: tuple(each) for wall, each in grooves.items()}
