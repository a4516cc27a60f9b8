"""The lowest note of a panel, between two bounds, and what braces and their placing do to it.

A panel's edge is neither a hinge nor a vice. With all edges supported (free to turn) its first mode lies
lower than it really is, with all edges clamped higher; the real one lies between. Frequency goes with
thickness, with the root of stiffness by density, and with one over the square of the span.

Notes
-----
Thin plates: holds while the shorter span is ten thicknesses or more. At eight it is some 5 to 10 percent
high, more in plywood and wood, which shear easily. Air on both sides, driver holes and what is screwed to the
panel are left out; a brace is a rigid line, though one with a wide window gives a little.
"""

from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from math import log2, pi, sqrt

import numpy as np

from calc.cabinet.plates import Layer, glued
from calc.errors import InputError, require_not_negative, require_positive, require_within

THIN = 8
"""Thicknesses that a free span must have for this theory; in a shorter one shear lowers the note by more."""

_HAIR = 1e-6  # m; a span that short is none
_TERMS = 5  # beam functions of each symmetry; the first mode is converged to 1e-6

# Points and weights of the integrals over -1..1; exact for the polynomials below.
_x, _w = np.polynomial.legendre.leggauss(24)


def supported_modes(plate, a, b, count=1):
    r"""Lowest modes of a rectangular plate whose edges are held but free to turn.

    .. math:: \omega^2 m = D_1 k_a^4 + 2 H k_a^2 k_b^2 + D_2 k_b^4, \quad
        k_a = p\pi/a, \; k_b = q\pi/b

    Parameters
    ----------
    plate : Plate
    a, b : float
        Sides. [m]
    count : int
        How many modes.

    Returns
    -------
    f : ndarray, shape (count,)
        From low to high. [Hz]

    References
    ----------
    .. [1] A. W. Leissa, *Vibration of Plates*, NASA SP-160, 1969, for the closed form (from memory).
    """
    require_positive(a=a, b=b)
    _require_count(count)
    n = np.arange(1, count + 1)
    ka, kb = (n[:, None] * pi / a) ** 2, (n[None, :] * pi / b) ** 2
    squared = (plate.D1 * ka**2 + 2 * plate.H * ka * kb + plate.D2 * kb**2) / plate.m
    return np.sort(np.sqrt(squared), axis=None)[:count] / (2 * pi)


def clamped_modes(plate, a, b, count=1):
    """Lowest modes of a rectangular plate whose edges neither move nor turn.

    Parameters and result as of `supported_modes`; at most ten modes.

    Notes
    -----
    Ritz's method with the modes of a beam that is clamped at both ends, five of each symmetry along each
    side: an upper bound of the exact clamped plate, by less than 1e-4 for the first mode.
    """
    require_positive(a=a, b=b)
    _require_count(count)
    squared = [_ritz(plate, a, b, odd_a, odd_b)[:count] for odd_a in (0, 1) for odd_b in (0, 1)]
    return np.sqrt(np.sort(np.concatenate(squared))[:count]) / (2 * pi)


def _require_count(count):
    if count not in range(1, 11):
        raise InputError("count", "must be from one to ten modes")


def _ritz(plate, a, b, odd_a=0, odd_b=0):
    """Squares of the angular frequencies of one symmetry, low to high, shape (_TERMS²,)."""
    along, over, mixed = _parts(odd_a, odd_b)
    sa, sb = (2 / a) ** 2, (2 / b) ** 2
    return np.linalg.eigvalsh(
        (plate.D1 * sa**2 * along + plate.D2 * sb**2 * over + plate.H * sa * sb * mixed) / plate.m
    )


@cache
def _parts(odd_a, odd_b):
    """What D1, D2 and H bring to the stiffness of a square of side 2, in products of beam modes."""
    (bend_a, slope_a), (bend_b, slope_b), one = _beams(odd_a), _beams(odd_b), np.eye(_TERMS)
    along, over = np.kron(np.diag(bend_a), one), np.kron(one, np.diag(bend_b))
    return along, over, 2 * np.kron(slope_a, slope_b)


@cache
def _beams(odd):
    """Even or odd modes of a clamped beam on -1..1: its k⁴ and the integrals of their slopes' products.

    Made of (1 - x²)² times Legendre's polynomials, whose ends neither move nor turn.
    """
    clamp = np.polynomial.Polynomial([1, 0, -1]) ** 2
    shapes = [
        clamp * np.polynomial.Legendre.basis(2 * n + odd).convert(kind=np.polynomial.Polynomial)
        for n in range(_TERMS)
    ]
    values, slopes, bends = (np.array([shape.deriv(n)(_x) for shape in shapes]) for n in (0, 1, 2))
    mass, slope, bend = ((each * _w) @ each.T for each in (values, slopes, bends))
    root = np.linalg.inv(np.linalg.cholesky(mass))
    k4, modes = np.linalg.eigh(root @ bend @ root.T)
    modes = root.T @ modes
    return k4, modes.T @ slope @ modes


@lru_cache(maxsize=1024)  # a cabinet has many fields alike
def first_mode_bounds(plate, a, b):
    """First mode with all edges supported, and with all clamped; the real one lies between. [Hz]"""
    require_positive(a=a, b=b)
    ka, kb = (pi / a) ** 2, (pi / b) ** 2
    low = sqrt((plate.D1 * ka**2 + 2 * plate.H * ka * kb + plate.D2 * kb**2) / plate.m)
    return low / (2 * pi), float(sqrt(_ritz(plate, a, b)[0])) / (2 * pi)


@dataclass(frozen=True)
class Field:
    """One free field of a panel between braces and edges.

    along, over : (low, high) along the panel's a and b [m].
    between, beside : names of what bounds it along a and along b.
    supported, clamped : bounds of its first mode [Hz].
    """

    along: tuple
    over: tuple
    between: tuple
    beside: tuple
    supported: float
    clamped: float

    @property
    def a(self):
        """Free span along a. [m]"""
        return self.along[1] - self.along[0]

    @property
    def b(self):
        """Free span along b. [m]"""
        return self.over[1] - self.over[0]


def free_spans(length, braces, ends=("start", "end")):
    """The free spans that braces leave of a length.

    Parameters
    ----------
    length : float
        From edge to edge. [m]
    braces : iterable of (str, float, float)
        Name, middle and width of each brace. [m]
    ends : (str, str)
        Names of the two edges.

    Returns
    -------
    spans : tuple of ((float, float), (str, str))
        Low and high [m] of each span, and what bounds it; a span of no length is left out.

    Raises
    ------
    InputError
        A brace off the length, or over another one.
    """
    require_positive(length=length)
    stops = [(0.0, ends[0])]
    for name, middle, width in sorted(braces, key=lambda brace: brace[1]):
        require_not_negative(**{f"braces.{name}.width": width})
        low, high = middle - width / 2, middle + width / 2
        if not (low >= -_HAIR and high <= length + _HAIR):
            raise InputError(f"braces.{name}.at", "must lie within the panel's free length")
        if low < stops[-1][0] - _HAIR:
            raise InputError(f"braces.{name}.at", f"must stand clear of “{stops[-1][1]}”")
        stops += [(low, name), (high, name)]
    stops.append((length, ends[1]))
    return tuple(
        ((low, high), (before, after))
        for (low, before), (high, after) in zip(stops[::2], stops[1::2], strict=True)
        if high - low > _HAIR
    )


def free_fields(plate, along, over):
    """The fields of a panel between the `free_spans` along its a and over its b, as `Field`s."""
    return tuple(
        Field(
            (low, high), (left, right), between, beside,
            *first_mode_bounds(plate, round(high - low, 7), round(right - left, 7)),
        )
        for (low, high), between in along
        for (left, right), beside in over
    )  # fmt: skip


def weakest(fields):
    """The field whose first mode is the lowest."""
    return min(fields, key=lambda field: field.supported)


@dataclass(frozen=True)
class Placing:
    """Braces across a panel in one way of placing them.

    at : middle of each brace from the panel's edge [m]. fields : from that edge on.
    weakest : the lowest first mode (supported, clamped) [Hz].
    spread : from the lowest to the highest first mode [octaves].
    nearest : least distance of two neighbours in pitch [octaves]; what two fields of one size have is 0.
    """

    at: tuple
    fields: tuple
    weakest: tuple
    spread: float
    nearest: float


UNEVEN = 1.25
"""Each span by the one before it, where braces are to spread the modes. Our own choice: up to two thirds of
an octave between neighbours, and no span much too long."""


def placing(plate, a, b, count, thickness, ratio=1.0):
    """Braces across the side a of a panel, its spans alike or each `ratio` times the one before it.

    Parameters
    ----------
    plate : Plate
    a, b : float
        Free sides; the braces stand across a, each as long as b. [m]
    count : int
        How many braces.
    thickness : float
        Of each brace. [m]
    ratio : float
        1 for equal spans; `UNEVEN` spreads them.

    Returns
    -------
    Placing

    Raises
    ------
    InputError
        Where the braces leave no span.

    Notes
    -----
    Equal spans keep the weakest field as stiff as so many braces can. They also ring alike: all fields of a
    panel then sound one note. Unequal spans spread the notes and give some of the stiffness away.
    """
    require_positive(a=a, b=b)
    require_not_negative(thickness=thickness)
    require_within(0.2, 5, "must be from a fifth to five times the span before", ratio=ratio)
    if count not in range(1, 10):
        raise InputError("count", "must be from one to nine braces")
    free = a - count * thickness
    if not free > (count + 1) * _HAIR:
        raise InputError("count", "must leave free spans between the braces")
    shares = ratio ** np.arange(count + 1.0)
    ends = np.cumsum(free * shares / shares.sum()) + thickness * np.arange(count + 1)
    at = tuple(float(end) + thickness / 2 for end in ends[:-1])
    braces = [(str(n), middle, thickness) for n, middle in enumerate(at, 1)]
    fields = free_fields(plate, free_spans(a, braces), (((0.0, b), ("", "")),))
    first = sorted(field.supported for field in fields)
    low = weakest(fields)
    return Placing(
        at, fields, (low.supported, low.clamped), log2(first[-1] / first[0]),
        min(log2(high / low) for low, high in pairwise(first)),
    )  # fmt: skip


@dataclass(frozen=True)
class PanelStiffness:
    """How stiff one panel of a cabinet is.

    name, material : of the panel and of what it is made of; material None where that is not known, and then
        there are no fields.
    a, b : its free sides inside, along its length and along its width [m]. thickness [m].
    bare : (supported, clamped) first mode without braces [Hz].
    fields : its `Field`s between braces; weakest : the lowest of them, None where braces leave nothing free.
    thin : whether the weakest field's shorter span is `THIN` thicknesses or more; if not, its note is lower
        than both bounds tell.
    """

    name: str
    material: str | None
    a: float
    b: float
    thickness: float
    bare: tuple | None
    fields: tuple
    weakest: Field | None

    @property
    def thin(self):
        return self.weakest is not None and min(self.weakest.a, self.weakest.b) >= THIN * self.thickness


_SIDES = {
    "front": ("height", "width"), "back": ("height", "width"), "left": ("height", "depth"),
    "right": ("height", "depth"), "top": ("depth", "width"), "bottom": ("depth", "width"),
}  # fmt: skip
"""Of the inside: which size lies along each panel's length, and which along its width."""

_ENDS = {"width": ("left", "right"), "height": ("bottom", "top"), "depth": ("front", "back")}
_AXIS = {"width": 0, "depth": 1, "height": 2}
_CROSSED = {
    "shelf": ("height", ("left", "right", "front", "back")),
    "rib": ("width", ("top", "bottom", "front", "back")),
    "frame": ("depth", ("left", "right", "top", "bottom")),
}
"""Which side of the inside each kind of plate divides, and the panels that it meets."""


def panel_report(carcass, braces, materials):
    """How stiff the panels of a cabinet are between their braces.

    Parameters
    ----------
    carcass : Carcass-like
        `inner` (width, height, depth) [m] and `panels` by name, each with its `thickness` [m].
    braces : dict of str to BraceSolid-like
        `kind`, `low`, `high` (x, y, z) in the cabinet [m].
    materials : dict of str to (Material-like or None)
        Of each panel: `name`, `density`, `E_along`, `E_across`, `G`, `nu`; None where it is not known.

    Returns
    -------
    tuple of PanelStiffness
        In the order of the carcass's panels.

    Notes
    -----
    The face grain is taken along each blank's length. A brace holds the panel wherever it meets it, as a
    rigid line: glued to all that it only touches too. A bar or a dowel holds one place and is left out: the
    true notes lie no lower than those told. The driver holes in a front are left out;
    a driver's frame stiffens and loads the front that it sits in.
    """
    inner = dict(zip(("width", "height", "depth"), carcass.inner, strict=True))
    return tuple(
        _panel_stiffness(name, panel.thickness, inner, _met(name, carcass, braces), materials.get(name))
        for name, panel in carcass.panels.items()
    )


def placings(name, carcass, material, thickness, counts=(1, 2, 3)):
    """Braces across one panel, evenly and unevenly placed.

    Parameters
    ----------
    name : str
        Of the panel. Shelves divide the height of a wall, ribs the width of top and bottom.
    carcass, material
        See `panel_report`; one material, known.
    thickness : float
        Of each brace. [m]
    counts : iterable of int
        How many braces; a count that leaves spans shorter than `THIN` thicknesses is left out.

    Returns
    -------
    kind : "shelf" or "rib"
    rows : tuple of (int, Placing, Placing)
        Count, equal spans, and spans that grow by `UNEVEN`; places count from the bottom or the left inside.
    """
    inner = dict(zip(("width", "height", "depth"), carcass.inner, strict=True))
    kind = "rib" if name in _CROSSED["rib"][1][:2] else "shelf"
    divided = _CROSSED[kind][0]
    a, b = (inner[side] for side in sorted(_SIDES[name], key=lambda side: side != divided))
    h = carcass.panels[name].thickness
    plate = glued(layer_of(material if kind == "shelf" else material.turned, h))
    rows = [
        (count, placing(plate, a, b, count, thickness), placing(plate, a, b, count, thickness, UNEVEN))
        for count in counts
        if a - count * thickness >= (count + 1) * THIN * h
    ]
    return kind, tuple(rows)


def layer_of(material, thickness):
    """A board of a known material as a `Layer` for bending; `thickness` [m]."""
    return Layer(thickness, material.density, material.E_along, material.E_across, material.G, material.nu)


def _panel_stiffness(name, thickness, inner, met, material):
    along, over = _SIDES[name]
    a, b = inner[along], inner[over]
    if material is None:
        return PanelStiffness(name, None, a, b, thickness, None, (), None)
    plate = glued(layer_of(material, thickness))
    fields = free_fields(
        plate, free_spans(a, met[along], _ENDS[along]), free_spans(b, met[over], _ENDS[over])
    )
    bare = first_mode_bounds(plate, a, b)
    weak = weakest(fields) if fields else None
    return PanelStiffness(name, material.name, a, b, thickness, bare, fields, weak)


def _met(name, carcass, braces):
    """The braces that meet a panel, by the side that they divide: {side: [(name, middle, width)]}. [m]"""
    met = {side: [] for side in _AXIS}
    for brace, solid in braces.items():
        side, panels = _CROSSED.get(solid.kind, (None, ()))
        if name in panels:
            axis = _AXIS[side]
            low, high = solid.low[axis], solid.high[axis]
            start = carcass.panels[_ENDS[side][0]].thickness
            met[side].append((brace, (low + high) / 2 - start, high - low))
    return met
