"""Where each brace stands in the inside, and what is cut out of a plate in its own plane.

A plate's plane has the two axes that its normal leaves, in the order x, y, z; the first is called its
width's, the second its height's, as windows are measured.
"""

from dataclasses import dataclass
from functools import cached_property
from math import cos, radians, sin, tan
from typing import NamedTuple

from calc.cabinet.polyhedra import Plane, block, clipped

NORMAL = {"shelf": 2, "rib": 0, "frame": 1}
"""Axis across each kind of plate."""

SPAN = {"shelf": 0, "rib": 2, "frame": 0}
"""Axis from groove to groove."""

WALLS = {"shelf": ("left", "right"), "rib": ("bottom", "top"), "frame": ("left", "right")}
"""The two walls, low and high, that carry each kind of plate in grooves."""

BETWEEN = {
    "sides": (0, ("left", "right"), (2, 1)),
    "front and back": (1, ("front", "back"), (0, 2)),
    "top and bottom": (2, ("bottom", "top"), (0, 1)),
}
"""Of a bar: its axis, the walls at its ends, and the axes along which `at` and `also_at` place it."""

SIDES = {"left": (0, 0), "right": (0, 1), "front": (1, 0), "back": (1, 1), "bottom": (2, 0), "top": (2, 1)}
"""Axis of each panel, and whether it lies at the low or the high end."""


def brace_axis(solid, field):
    """The axis of the cabinet along which `at` or `also_at` moves a brace."""
    if solid.kind in NORMAL:
        return NORMAL[solid.kind]
    places = next(places for axis, _, places in BETWEEN.values() if axis == solid.axis)
    return places[field == "also_at"]


def plane_axes(kind):
    """The two axes of a plate's plane."""
    return tuple(axis for axis in range(3) if axis != NORMAL[kind])


class Gap(NamedTuple):
    """A rounded rectangle cut out of a plate, from `low` to `high` in its plane, corners of `radius` [m]."""

    low: tuple
    high: tuple
    radius: float = 0.0

    def clear_of(self, other, least=0.0):
        """Whether at least that much wood [m] lies between two gaps, corners taken as square."""
        return any(
            a + least <= b or c + least <= d
            for a, b, c, d in zip(self.high, other.low, other.high, self.low, strict=True)
        )


@dataclass(frozen=True)
class Inside:
    """The room between the walls: `inner` (width, height, depth at the floor), `thicknesses`, `slope`."""

    inner: tuple
    thicknesses: dict
    slope: float = 0.0

    @cached_property
    def size(self):
        """The same along x, y, z. [m]"""
        return self.inner[0], self.inner[2], self.inner[1]

    @cached_property
    def start(self):
        """Its lower left corner at the front. [m]"""
        floor = self.thicknesses["bottom"]
        return self.thicknesses["left"], self.front(floor), floor

    @cached_property
    def end(self):
        """The corner across. [m]"""
        return tuple(a + b for a, b in zip(self.start, self.size, strict=True))

    def front(self, z):
        """How far back the front's inner face lies at a height. [m]"""
        lean = radians(self.slope)
        return self.thicknesses["front"] / cos(lean) + z * tan(lean)

    @cached_property
    def behind_front(self):
        """The half-space behind the front."""
        lean = radians(self.slope)
        return Plane(0.0, cos(lean), -sin(lean), self.thicknesses["front"])

    def body(self, low, high):
        """A box with what lies before the front's inner face taken off."""
        whole = block(low, high)
        return clipped(whole, self.behind_front) if self.slope else whole


@dataclass(frozen=True)
class Placed:
    """A brace in its place: its part inside from `low` to `high`, `gaps` in its plane; `axis` of a bar."""

    kind: str
    low: tuple
    high: tuple
    windows: tuple = ()
    notches: tuple = ()  # (name, Gap)
    axis: int | None = None

    @property
    def gaps(self):
        """All that is cut out of it beside the slots."""
        return *self.windows, *(gap for _, gap in self.notches)


def ends(brace):
    """How far its low and its high end go into their walls. [m]"""
    return brace.depth, brace.depth if brace.depth_far is None else brace.depth_far


def axis_and_walls(brace):
    """The axis from end to end, and the walls there."""
    if brace.kind in NORMAL:
        return SPAN[brace.kind], WALLS[brace.kind]
    return BETWEEN[brace.between][:2]


def placed(brace, t, inside):
    """The `Placed` of a brace of thickness `t` [m]."""
    low, high = list(inside.start), list(inside.end)
    if brace.kind in NORMAL:
        axis = NORMAL[brace.kind]
        low[axis], high[axis] = _around(inside.start[axis] + brace.at, t)
        low[1] = max(low[1], inside.front(low[2]))
        low, high = tuple(low), tuple(high)
        return Placed(brace.kind, low, high, _windows(brace, low, high), _notches(brace, low, high, inside))
    axis, _, (first, second) = BETWEEN[brace.between]
    deep = brace.width if brace.kind == "dowel" else t
    low[first], high[first] = _around(inside.start[first] + brace.at, deep)
    low[second], high[second] = _around(inside.start[second] + brace.also_at, brace.width)
    if axis == 1:
        low[1] = inside.front(low[2])
    return Placed(brace.kind, tuple(low), tuple(high), axis=axis)


def _around(middle, size):
    return middle - size / 2, middle + size / 2


def _windows(brace, low, high):
    """A row of windows in the middle of the plate, along its longer side."""
    window = brace.window
    if window is None:
        return ()
    u, v = plane_axes(brace.kind)
    middle = (low[u] + high[u]) / 2, (low[v] + high[v]) / 2
    half = window.width / 2, window.height / 2
    row = 0 if high[u] - low[u] >= high[v] - low[v] else 1
    step = 2 * half[row] + window.bridge
    found = []
    for n in range(window.count):
        at = list(middle)
        at[row] += (n - (window.count - 1) / 2) * step
        found.append(
            Gap((at[0] - half[0], at[1] - half[1]), (at[0] + half[0], at[1] + half[1]), window.radius)
        )
    return tuple(found)


def _notches(brace, low, high, inside):
    """The bites; one at a panel that does not meet the plate's edge is left to `brace_faults`."""
    axes, found = plane_axes(brace.kind), []
    for name, notch in brace.notches.items():
        axis, far = SIDES[notch.side]
        if axis not in axes:
            continue
        along = next(each for each in axes if each != axis)
        span = _around(inside.start[along] + notch.at, notch.width)
        bite = (high[axis] - notch.depth, high[axis]) if far else (low[axis], low[axis] + notch.depth)
        sides = {axis: bite, along: span}
        corners = [(sides[each][0], sides[each][1]) for each in axes]
        found.append((name, Gap(tuple(a for a, _ in corners), tuple(b for _, b in corners))))
    return tuple(found)
