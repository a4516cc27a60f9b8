"""Plates across the inside: shelves lie level, ribs stand front to back.

A shelf spans the inner width and depth and its two ends stand in grooves of the sides; a rib spans the
inner height and depth and stands in grooves of top and bottom. Both only touch front and back: those two
close the box last, and a plate that stands in four grooves cannot be slid into it.

Where a shelf and a rib cross, each gets a slot over half its depth and they slide into each other: the
shelf is slotted from the back, the rib from the front.
"""

from dataclasses import dataclass
from itertools import product
from math import pi

import numpy as np

from calc.cabinet.panels import Cut
from calc.cabinet.polyhedra import block, box_sums, lump, taken
from calc.errors import InputError, require_not_negative, require_positive, require_within

RIM = 0.02
"""Wood that is left around a window, at least. [m] A shop's habit; less tears when the window is cut."""

WALLS = {"shelf": ("left", "right"), "rib": ("bottom", "top")}
"""The two walls, low and high, that carry each kind of brace in grooves."""

_NORMAL = {"shelf": 2, "rib": 0}  # axis across the plate
_SPAN = {"shelf": 0, "rib": 2}  # axis from groove to groove

# Points and weights for integrals over 0..1 whose ends may have a vertical tangent, as a window's corner
# arcs have: x = (1 - cos(pi t)) / 2 makes the arcs smooth in t, and Gauss's rule does the rest.
_t, _w = np.polynomial.legendre.leggauss(32)
_POINTS = (1 - np.cos(pi * (_t + 1) / 2)) / 2
_WEIGHTS = _w * np.sin(pi * (_t + 1) / 2) * pi / 4


@dataclass(frozen=True)
class BraceSolid:
    """One brace: its blank, its window and slots, what it weighs, and the air that it takes.

    length, width, thickness : of the blank [m]; length runs from groove to groove, width front to back.
    low, high : the blank's corners in the cabinet, tongues included [m].
    window : (width, height, radius) of the opening [m], or None; width lies along the cabinet's width in
        a shelf and along its depth in a rib.
    cuts : the slots where other braces cross.
    sums : {"length" | "width": (base, ((count, add), ...))} [m].
    volume [m³], mass [kg], centroid (x, y, z) [m] : of the finished plate.
    displaced : volume inside the box, tongues left out [m³].
    """

    name: str
    kind: str
    length: float
    width: float
    thickness: float
    density: float
    low: tuple
    high: tuple
    window: tuple | None
    cuts: tuple
    sums: dict
    volume: float
    mass: float
    centroid: tuple
    displaced: float


@dataclass(frozen=True)
class Bracing:
    """All braces by name, and the grooves {panel: ((brace, low, high), ...)} that they need in the walls."""

    braces: dict
    grooves: dict

    @property
    def displaced(self):
        """Air that all braces take together; where two cross, the wood counts once. [m³]"""
        return sum(brace.displaced for brace in self.braces.values())


def braces(inner, thicknesses, plates):
    """The braces of a cabinet.

    Parameters
    ----------
    inner : (float, float, float)
        Inner width, height, depth. [m]
    thicknesses : dict of str to float
        Thickness of each panel. [m]
    plates : dict of str to (Brace-like, float, float)
        By name: the decision (`.kind`, `.at`, `.depth`, `.window`), its thickness [m], density [kg/m³].

    Returns
    -------
    Bracing

    Raises
    ------
    InputError
        At ``braces.<name>....``: outside the box, over another one, groove through the wall, no rim left.
    """
    for fault in brace_faults(inner, thicknesses, plates):
        raise fault
    size = (inner[0], inner[2], inner[1])
    start = tuple(thicknesses[name] for name in ("left", "front", "bottom"))
    drawn = {name: _plate(plate, t, size, start) for name, (plate, t, _) in plates.items()}
    slots = _slots(drawn)
    solids = {
        name: _solid(name, plate, t, density, drawn[name], slots[name])
        for name, (plate, t, density) in plates.items()
    }
    return Bracing(solids, _grooves(solids, plates, size, start))


def brace_faults(inner, thicknesses, plates):
    """Everything that is wrong with the braces, one at a time, as `InputError`."""
    size = (inner[0], inner[2], inner[1])
    for name, (plate, t, density) in plates.items():
        try:
            _check(plate, t, density, size, thicknesses)
        except InputError as error:
            yield InputError(f"braces.{name}.{error.field}", error.problem)
    for kind in WALLS:
        alike = sorted((plate.at, t, name) for name, (plate, t, _) in plates.items() if plate.kind == kind)
        for (below, t_below, other), (above, t_above, name) in zip(alike, alike[1:], strict=False):
            if above - below < (t_above + t_below) / 2:
                yield InputError(
                    f"braces.{name}.at", f"must stand clear of “{other}”: the two {kind}s overlap"
                )


def _check(plate, t, density, size, thicknesses):
    if plate.kind not in WALLS:
        raise InputError("kind", "must be a shelf or a rib")
    require_positive(thickness=t, density=density, at=plate.at)
    require_not_negative(depth=plate.depth)
    require_within(1e-4, 0.5, "must be the thickness of a board", thickness=t)
    require_within(1, 25e3, "must be the density of a solid board", density=density)
    if not t / 2 <= plate.at <= size[_NORMAL[plate.kind]] - t / 2:
        raise InputError("at", "must keep the whole thickness of the plate inside the box")
    for wall in WALLS[plate.kind]:
        if plate.depth >= thicknesses[wall]:
            raise InputError("depth", f"must be less than the thickness of the {wall} panel")
    if plate.window:
        _check_window(plate.window, *_window_room(plate.kind, size))


def _check_window(window, wide, high):
    require_positive(**{"window.width": window.width, "window.height": window.height})
    require_not_negative(**{"window.radius": window.radius})
    if 2 * window.radius > min(window.width, window.height):
        raise InputError("window.radius", "must be at most half the window's smaller side")
    for word, room in (("width", wide), ("height", high)):
        if getattr(window, word) > room - 2 * RIM:
            raise InputError(f"window.{word}", "must leave a rim of wood around the window, a finger wide")


def _window_room(kind, size):
    """Inner sizes of the plate along the window's width and height."""
    return (size[0], size[1]) if kind == "shelf" else (size[1], size[2])


@dataclass(frozen=True)
class _Drawn:
    """A plate in place: inner part from `low` to `high`, its `window` as (along, over the depth, radius)."""

    kind: str
    low: tuple
    high: tuple
    window: tuple | None

    def open_half(self, s):
        """Half of the window's opening from groove to groove, at depths `s` [m] from the middle."""
        if self.window is None:
            return np.zeros_like(s)
        along, over, radius = self.window
        up = np.clip(s - (over / 2 - radius), 0, radius)
        return np.where(s < over / 2, along / 2 - radius + np.sqrt(radius**2 - up**2), 0.0)

    def turns(self, near, far):
        """Offsets from the middle of the depth at which the wood between `near` and `far` changes its law.

        `near` and `far` are distances [m] from the window's middle to another plate's two faces.
        """
        if self.window is None:
            return []
        along, over, radius = self.window
        turns = [over / 2 - radius, over / 2]
        for face in (abs(near), abs(far)):
            into = face - (along / 2 - radius)
            if 0 < into < radius:
                turns.append(over / 2 - radius + (radius**2 - into**2) ** 0.5)
        return turns


def _plate(plate, t, size, start):
    low, high = list(start), [a + b for a, b in zip(start, size, strict=True)]
    axis = _NORMAL[plate.kind]
    low[axis] = start[axis] + plate.at - t / 2
    high[axis] = start[axis] + plate.at + t / 2
    window = plate.window
    if window:
        turned = plate.kind == "rib"
        along, over = (window.height, window.width) if turned else (window.width, window.height)
        window = (along, over, window.radius)
    return _Drawn(plate.kind, tuple(low), tuple(high), window)


def _slots(drawn):
    """The slots of every plate: {name: [(other's name, low, high, sums of the wood that it loses)]}."""
    slots = {name: [] for name in drawn}
    for shelf, rib in product(drawn, drawn):
        if (drawn[shelf].kind, drawn[rib].kind) == ("shelf", "rib"):
            back, front = _halves(drawn[shelf], drawn[rib])
            slots[shelf].append((rib, *back))
            slots[rib].append((shelf, *front))
    return slots


def _halves(shelf, rib):
    """The back and the front half of a crossing: corners, and the sums of the wood that is there."""
    low, high = tuple(map(max, shelf.low, rib.low)), tuple(map(min, shelf.high, rib.high))
    middle = (low[1] + high[1]) / 2
    volume, mx, my, mz = _crossing(shelf, rib)
    back = (low[0], middle, low[2]), high, (volume, mx, middle * volume + my, mz)
    front = low, (high[0], middle, high[2]), (volume, mx, middle * volume - my, mz)
    return back, front


def _crossing(shelf, rib):
    """Sums of the wood that two crossing plates share in half the depth, y counted from the middle depth.

    At each offset s from the middle, the shared section is a rectangle: the part of the rib's thickness
    that the shelf's window leaves, by the part of the shelf's thickness that the rib's window leaves.
    """
    half = (shelf.high[1] - shelf.low[1]) / 2
    x, z = (shelf.low[0] + shelf.high[0]) / 2, (rib.low[2] + rib.high[2]) / 2  # middles of the windows
    rib_faces, shelf_faces = (rib.low[0] - x, rib.high[0] - x), (shelf.low[2] - z, shelf.high[2] - z)
    turns = {0.0, half, *shelf.turns(*rib_faces), *rib.turns(*shelf_faces)}
    stops = np.array(sorted(turn for turn in turns if 0 <= turn <= half))
    pieces = np.diff(stops)[:, None]
    s, ds = stops[:-1, None] + pieces * _POINTS, pieces * _WEIGHTS
    wide, wide_moment = _wood(*rib_faces, shelf.open_half(s))
    high, high_moment = _wood(*shelf_faces, rib.open_half(s))
    section = wide * high
    volume = float(np.sum(section * ds))
    mx, mz = float(np.sum(wide_moment * high * ds)), float(np.sum(wide * high_moment * ds))
    return volume, mx + x * volume, float(np.sum(section * s * ds)), mz + z * volume


def _wood(near, far, opening):
    """Length of, and first moment over, what lies from `near` to `far` and outside [-opening, opening]."""
    a, b = np.clip(-opening, near, far), np.clip(opening, near, far)
    return (a - near) + (far - b), (a**2 - near**2 + far**2 - b**2) / 2


def _solid(name, plate, t, density, drawn, slots):
    span = _SPAN[plate.kind]
    low, high = list(drawn.low), list(drawn.high)
    low[span] -= plate.depth
    high[span] += plate.depth
    inside = drawn.high[span] - drawn.low[span]
    lost = [_window_sums(drawn, t), *(wood for *_, wood in slots)]
    sums = taken(box_sums(low, high), *lost)
    volume, *moments = sums
    return BraceSolid(
        name=name, kind=plate.kind, length=inside + 2 * plate.depth, width=drawn.high[1] - drawn.low[1],
        thickness=t, density=density, low=tuple(low), high=tuple(high),
        window=plate.window and (plate.window.width, plate.window.height, plate.window.radius),
        cuts=tuple(Cut(other, "slot", a, b, True, block(a, b)) for other, a, b, _ in slots),
        sums={
            "length": (inside, ((2, plate.depth),) if plate.depth else ()),
            "width": (drawn.high[1] - drawn.low[1], ()),
        },
        volume=volume, mass=volume * density, centroid=tuple(moment / volume for moment in moments),
        displaced=taken(box_sums(drawn.low, drawn.high), *lost)[0],
    )  # fmt: skip


def _window_sums(drawn, t):
    """Sums of what the window takes: its rectangle less what the corner arcs leave standing."""
    middle = [(a + b) / 2 for a, b in zip(drawn.low, drawn.high, strict=True)]
    along, over, radius = drawn.window or (0.0, 0.0, 0.0)
    return lump((along * over - (4 - pi) * radius**2) * t, middle)


def _grooves(solids, plates, size, start):
    grooves = {}
    for name, solid in solids.items():
        depth = plates[name][0].depth
        if not depth:
            continue
        axis = _SPAN[solid.kind]
        near, far = start[axis], start[axis] + size[axis]
        for wall, ends in zip(WALLS[solid.kind], ((near - depth, near), (far, far + depth)), strict=True):
            low, high = list(solid.low), list(solid.high)
            low[axis], high[axis] = ends
            grooves.setdefault(wall, []).append((name, tuple(low), tuple(high)))
    return {wall: tuple(boxes) for wall, boxes in grooves.items()}
