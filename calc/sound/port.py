"""Ports: length and tuning, what the air at their ends adds, what they lose and how fast they may blow."""

from dataclasses import dataclass
from math import asinh, pi, sin, sqrt

import numpy as np

from calc.errors import InputError, require_within
from calc.sound.ranges import require_physical

FLANGED = 0.8217
"""End correction over radius of a round pipe in an endless flange: A. Norris and C. Sheng, J. Sound Vib. 135,
1989, give 0.8216 (seen); Y. Nomura 0.8217 (from memory)."""

FREE = 0.6133
"""The same of a thin pipe ending in open air: H. Levine and J. Schwinger, Phys. Rev. 73, 1948."""

PISTON = 8 / (3 * pi)
"""The same of a rigid piston in a flange (Rayleigh): the upper bound of a flanged pipe."""


@dataclass(frozen=True)
class Guidance:
    """A figure to judge by, not physics: `value`, and in words where it comes from."""

    value: float
    source: str


CAUTIOUS_SPEED = Guidance(
    10.0,
    "Peak air speed in m/s taken as a cautious ceiling for a straight port; second-hand, after Salvatti, "
    "Devantier and Button, Maximizing Performance from Loudspeaker Ports, J. Audio Eng. Soc. 50, 2002",
)
OLDER_SPEED = Guidance(
    17.0,
    "Peak air speed in m/s, 5 percent of that of sound, the older limit; from memory, after Small, "
    "Vented-Box Loudspeaker Systems, Part II, J. Audio Eng. Soc. 21, 1973",
)

_SHORT = "is so high that the port would be shorter than nothing: tune lower, or take more or larger ports"
_ALL_FLARE = (
    "is so high that the port would be shorter than its rounded ends: tune lower, or round them less, or take"
    " more or larger ports"
)


# --- ends ---


def end_correction(shape, end, flare=None, in_panel=True):
    """Length [m] that the air outside adds to one end of a port of any shape; below zero for wide flares.

    Parameters
    ----------
    shape : RoundPort-like or SlotPort-like
        `kind` "round" with a `diameter` [m], or "slot" with `width`, `height` [m] and `along_wall`.
    end : {"flanged", "free", "flared"}
        Flush in a wall, in the open air, or with rounded edges.
    flare : float, optional
        Radius of the rounding of a flared end, which lies within the port's length. [m]
    in_panel : bool
        The mouth of a flared end lies flush in a panel; else it stands in the open air.

    Raises
    ------
    InputError
        At "flare" where a flared end has none, or one of no size for a port; at "ends" for another end.

    Notes
    -----
    For waves long against the port. A flared end: see `flare_correction`.
    """
    if end == "flared":
        return flare_correction(shape, flare, in_panel)
    return _sharp_end(shape, end)


def _sharp_end(shape, end):
    if shape.kind == "round":
        return round_end_correction(shape.diameter, end)
    return slot_end_correction(shape.width, shape.height, end, shape.along_wall)


def flare_correction(shape, flare, in_panel=True):
    r"""Length [m] that an end rounded by a quarter circle of radius `flare` [m] adds to a port.

    The flare lies within the port's length; the correction counts from its mouth and may be below zero.
    Other arguments as for `end_correction`.

    Notes
    -----
    The inertance of a horn of varying area, rho times the integral of dx/S. Of a round port the waves are
    taken as spherical caps that meet the wall at right angles: where the wall has turned by t, their area is
    2 pi R²/(1 + cos t) with R = a + r (1 - cos t), and one cap lies h0 from the next on the axis,
    h1 = r dt at the wall, on the average of all flow (h0 - h1)/ln(h0/h1); the last one is a hemisphere over
    the mouth, with a²/(2 (a + r)) outside it. Derived; a lower bound, since the true waves are no spheres
    (Rayleigh's argument). Potential flow on a fine grid is 0.035 of the radius above it where r is a quarter
    of the port's radius, and 0.01 where it equals that. Below a quarter this bound leaves the truth, and the
    value is taken straight across to that of the sharp end, within 0.03 of the radius.

    In the open air the far side of the lip takes off as much as it does from a sharp pipe as wide as the
    mouth: an estimate, 0.04 of the radius below such a grid at worst. A slot is reckoned as the round port of
    its area, and what its own sharp end differs by is added in proportion: an estimate without a check.
    """
    require_within(1e-5, 2.0, "must be the radius that the end is rounded with", flare=_given(flare))
    a = sqrt(area_of(shape) / pi)
    r, least = flare, a / 4
    sharp = FLANGED * a
    rounded = _caps(a, max(r, least))
    if r < least:
        rounded = sharp + (rounded - sharp) * r / least
    if not in_panel:
        rounded -= (FLANGED - FREE) * a**2 / (a + r)
    own = _sharp_end(shape, "flanged") - sharp  # zero for a round port
    return rounded + own * a / (a + r)


def _given(flare):
    if flare is None:
        raise InputError("flare", "is needed: with what radius is the end rounded?")
    return flare


def _caps(a, r):
    """The flanged end of a round port of radius a [m], rounded by r [m], by waves that are caps. [m]"""
    nodes, weights = np.polynomial.legendre.leggauss(40)
    t, weights = (nodes + 1) * pi / 4, weights * pi / 4
    R = a + r * (1 - np.cos(t))
    g = R / (1 + np.cos(t))  # a cap's area is 2 pi R g, and on the axis the next is r dt + g dt away
    return float(weights @ (a**2 / (2 * R * np.log(1 + g / r)))) + a**2 / (2 * (a + r)) - r


def area_of(shape):
    """Open area [m²] of a RoundPort-like or SlotPort-like shape."""
    if shape.kind == "round":
        return round_area(shape.diameter)
    require_physical(width=shape.width, height=shape.height)
    return shape.width * shape.height


def panel_correction(area, clearance):
    """What a panel `clearance` [m] before the inner end adds to it [m]; None where the model cannot tell.

    The image of the end in the panel, S/(8 pi d): see `near_wall_correction`. Potential flow on a fine grid
    says a quarter more at one diameter, 0.02 of the radius; nearer than that it is not told.
    """
    if clearance < diameter_of(area) * (1 - 1e-9):
        return None
    return near_wall_correction(diameter_of(area) / 2, clearance)


def neighbour_correction(area, distances, end):
    """What equal ports `distances` [m] away, centre to centre, add to one end of a port of `area` [m²]. [m]

    The pressure of each neighbour's flow where this end is: S/(2 pi d) in a wall, half as much in the open
    air. Derived for distances well over the diameter; touching ports still agree in the far field only.
    """
    require_physical(area=area)
    d = np.asarray(distances, dtype=float)
    if not np.all(d >= diameter_of(area) * (1 - 1e-9)):
        raise InputError("distances", "must be wider than the ports, which would overlap")
    _factor(end)
    return float(np.sum(area / ((2 if end == "flanged" else 4) * pi * d)))


def bend_correction(radius, bend_radius, angle=pi / 2):
    """What a bend adds to the length along the middle of a round port [m]: nothing or less than that.

    Parameters
    ----------
    radius, bend_radius : float
        Of the bore, and of the middle line of the bend. [m]
    angle : float
        [rad]

    Notes
    -----
    Air that turns without tearing off takes the short way inside, its speed as 1/r about the bend's centre.
    Integrated over the bore, the bend is (1 + sqrt(1 - (a/R)²))/2 of its middle line long: derived, exact for
    a full ring. At R = 2a that is 7 % of the bend, at R = a half of it.
    """
    require_physical(diameter=2 * radius)
    require_within(radius, 100.0, "must be at least the radius of the bore", bend_radius=bend_radius)
    return angle * bend_radius * (sqrt(1 - (radius / bend_radius) ** 2) - 1) / 2


def round_end_correction(diameter, end):
    """Length [m] that the air outside adds to one end of a round port of inside `diameter` [m].

    `end` is "flanged" (flush in a wall) or "free" (in the open air); for waves long against the port.
    """
    require_physical(diameter=diameter)
    return _factor(end) * diameter / 2


def slot_end_correction(width, height, end, along_wall=False):
    """Length [m] that the air outside adds to one end of a slot of `width` by `height` [m].

    Parameters
    ----------
    end : {"flanged", "free"}
    along_wall : bool
        The long side lies against a wall that goes on beyond the opening. Its mirror image doubles the
        short side, and each half bears half of the mass.

    Notes
    -----
    A uniform piston in a flange, exact for that: an upper bound, by some 3 % for a real pipe. Nothing was
    printed for a free slot; its correction is estimated by the ratio that a round port has, 0.6133 to 0.8217.
    """
    require_physical(width=width, height=height)
    long, short = max(width, height), min(width, height)
    integral = mutual_integral(long, 2 * short) / 2 if along_wall else mutual_integral(long, short)
    return integral / (2 * pi * width * height) * _factor(end) / FLANGED


def mutual_integral(a, b):
    """Integral of 1/distance over all pairs of points of a rectangle a by b [m], in closed form. [m³]"""
    logarithms = a**2 * b * asinh(b / a) + a * b**2 * asinh(a / b)
    return 2 * logarithms + 2 / 3 * (a**3 + b**3 - (a**2 + b**2) ** 1.5)


def _factor(end):
    if end == "flanged":
        return FLANGED
    if end == "free":
        return FREE
    raise InputError("ends", "must be flanged or free")


def free_end_correction_at(ka):
    """End correction over radius [-] of a free round end against ka = 2 pi f a/c, up to 1.5.

    J.-P. Dalmont, C. Nederveen and N. Joly, J. Sound Vib. 244, 2001.
    """
    _require_ka(ka, 1.5)
    return FREE * ((1 + 0.044 * ka**2) / (1 + 0.19 * ka**2) - 0.02 * sin(2 * ka) ** 2)


def flanged_end_correction_at(ka):
    """End correction over radius [-] of a flanged round end at ka up to 3.5 (Norris and Sheng, 1989)."""
    _require_ka(ka, 3.5)
    return 0.8216 / (1 + (0.77 * ka) ** 2 / (1 + 0.77 * ka))


def _require_ka(ka, most):
    if not 0 <= ka <= most:
        raise InputError("ka", "is beyond the range in which the fit was made")


def near_wall_correction(radius, distance):
    """What a large wall `distance` [m] before a free end adds [m]; first image only, distance >> radius."""
    require_physical(diameter=2 * radius, distance=distance)
    return radius**2 / (8 * distance)


# --- length and tuning ---


def round_area(diameter):
    """Open area of a round port. [m²]"""
    require_physical(diameter=diameter)
    return pi * diameter**2 / 4


def diameter_of(area):
    """Inside diameter [m] of the round port that is `area` [m²] open."""
    require_physical(area=area)
    return sqrt(4 * area / pi)


def slot_of(area, ratio=6.0, least=0.015):
    """Width and height [m] of a slot that is `area` [m²] open.

    `ratio` times as wide as high, and no lower than `least` [m]: a narrower gap loses air to friction at its
    walls (common practice, no source).
    """
    require_physical(area=area)
    height = max(least, sqrt(area / ratio))
    return area / height, height


def effective_length(Vb, fb, count, area, c):
    """Length [m], ends' air included, of each of `count` ports of `area` [m²] that tune Vb [m³] to fb [Hz].

    Helmholtz: wb² = c² n S/(Vb L).
    """
    _require_ports(Vb, count, area, c)
    require_physical(fb=fb)
    return count * area * c**2 / ((2 * pi * fb) ** 2 * Vb)


def port_length(Vb, fb, count, area, corrections, c, least=0.0):
    """Length to cut each of `count` equal ports. [m]

    Parameters
    ----------
    Vb : float
        Air that the ports work against, as large as its filling makes it seem. [m³]
    fb : float
        Tuning. [Hz]
    count : int
    area : float
        Of one port. [m²]
    corrections : tuple of float
        What the air adds at each end. [m]
    c : float
        Speed of sound. [m/s]
    least : float
        Shortest length that can be made: the radii of rounded ends, which lie within it. [m]

    Raises
    ------
    InputError
        At "fb" where ports of the least length tune the box lower than that.
    """
    return _long_enough(effective_length(Vb, fb, count, area, c) - sum(corrections), least)


def _long_enough(length, least):
    if length < least:
        raise InputError("fb", _ALL_FLARE if least > 0 else _SHORT)
    return length


def port_tuning(Vb, length, count, area, corrections, c):
    """Tuning [Hz] of `count` equal ports cut to `length` [m]; the rest as for `port_length`."""
    _require_ports(Vb, count, area, c)
    require_physical(length=length)
    return c / (2 * pi) * sqrt(count * area / (Vb * (length + sum(corrections))))


def common_length(Vb, fb, ports, c, least=0.0):
    """Length [m] to which ports of different sizes are all cut, so that together they tune Vb to fb.

    Parameters
    ----------
    Vb, fb, c : float
        As for `port_length`.
    ports : sequence of (int, float, float)
        Of each size: how many, the area of one [m²], and what the air adds to both its ends together [m].
    least : float
        Shortest length that can be made, such as the rounded ends themselves. [m]

    Raises
    ------
    InputError
        At "fb" where ports of the least length tune the box lower than that.

    Notes
    -----
    The inertances lie in parallel: the sum of n S/(L + e) equals wb² Vb/c². It falls with L, so there is
    one root, found by halving.
    """
    wanted = _wanted_conductance(Vb, fb, ports, c)

    def short(L):
        return sum(n * S / (L + e) for n, S, e in ports) > wanted

    low = max(least, *(1e-9 - e for _, _, e in ports))
    if not short(low):
        raise InputError("fb", _ALL_FLARE if low > 0 else _SHORT)
    high = sum(n * S for n, S, _ in ports) / wanted - min(e for _, _, e in ports)
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if short(middle) else (low, middle)
    return high


def remaining_length(Vb, fb, port, others, lengths, c, least=0.0):
    """Length [m] of one size of port where those of the others are given.

    Parameters
    ----------
    Vb, fb, c, least : float
        As for `common_length`.
    port : (int, float, float)
        How many, area of one [m²], both ends together [m].
    others : sequence of (int, float, float)
        The same of each other size.
    lengths : sequence of float
        Of `others`. [m]

    Raises
    ------
    InputError
        At "fb" where the other ports alone tune higher, or this one would be shorter than `least`.
    """
    left = _wanted_conductance(Vb, fb, (port, *others), c) - conductance(others, lengths)
    if left <= 0:
        raise InputError(
            "fb", "is lower than the other port alone tunes the box: tune higher, or cut that one longer"
        )
    n, S, e = port
    return _long_enough(n * S / left - e, least)


def ports_tuning(Vb, ports, lengths, c):
    """Tuning [Hz] of ports of different sizes, each cut to its own length [m]; as for `common_length`."""
    for count, area, _ in ports:
        _require_ports(Vb, count, area, c)
    return c / (2 * pi) * sqrt(conductance(ports, lengths) / Vb)


def conductance(ports, lengths):
    """Sum of n S/(L + e) over sizes of port [m]: the air density over their inertance."""
    total = 0.0
    for (count, area, ends), length in zip(ports, lengths, strict=True):
        require_physical(length=length)
        if not length + ends > 0:
            raise InputError("length", "must be longer than its rounded ends")
        total += count * area / (length + ends)
    return total


def flow_shares(ports, lengths):
    """Of each size of port: its share of all flow [-], and its air speed over the mean of all openings [-].

    All see the same pressure, so the speed in each goes as 1/(L + e): the shorter one blows faster.
    """
    total, area = conductance(ports, lengths), sum(n * S for n, S, _ in ports)
    shares = [conductance([port], [length]) / total for port, length in zip(ports, lengths, strict=True)]
    return shares, [share * area / (n * S) for share, (n, S, _) in zip(shares, ports, strict=True)]


def _wanted_conductance(Vb, fb, ports, c):
    for count, area, _ in ports:
        _require_ports(Vb, count, area, c)
    require_physical(fb=fb)
    return (2 * pi * fb) ** 2 * Vb / c**2


AIR_DOUBT, ENDS_DOUBT = 0.05, 0.15
"""How far the air in a box, and that at a port's ends, may be off, over their values: common practice, no
source."""


def length_to_leave(Vb, fb, ports, c, least=0.0, fixed=(), air_doubt=AIR_DOUBT, ends_doubt=ENDS_DOUBT):
    """Length [m] to cut ports to at first, so that the box comes out tuned at fb or lower, never higher.

    Reckoned as if the box held less air by `air_doubt` and the air at the ends were less by `ends_doubt`,
    over their values. `fixed` are lengths [m] of all ports but the first, where those are not cut alike.
    Other arguments as for `common_length`.
    """
    require_within(0, 0.5, "must be a share from 0 to one half", air_doubt=air_doubt, ends_doubt=ends_doubt)
    Vb = Vb * (1 - air_doubt)
    doubted = [(n, S, e - ends_doubt * abs(e)) for n, S, e in ports]
    if fixed:
        return remaining_length(Vb, fb, doubted[0], doubted[1:], fixed, c, least)
    return common_length(Vb, fb, doubted, c, least)


def _require_ports(Vb, count, area, c):
    require_physical(Vb=Vb, area=area, c=c)
    if not (isinstance(count, int) and 1 <= count <= 1000):
        raise InputError("count", "must be a whole number from 1 on")


def pipe_resonance(effective_length, c):
    """First lengthwise resonance [Hz] of a port: half a wave in its effective length [m]."""
    if not effective_length > 0:
        raise InputError("length", "must be a number above zero")
    return c / (2 * effective_length)


# --- losses at the wall ---


def boundary_layer(f, rho, mu):
    """Depth [m] to which the wall drags the air at f [Hz]: sqrt(2 mu/(rho w))."""
    require_physical(f=f, rho=rho)
    return (mu / (rho * pi * f)) ** 0.5


def wall_resistance_wide(f, radius, rho, mu):
    """Acoustic resistance per metre [Pa s/m⁴] of a round port that is wide against the boundary layer.

    sqrt(2 w rho mu)/(a S), I. Crandall. For a slot take the radius of equal perimeter to area and its own
    area: see `wall_resistance`.
    """
    require_physical(f=f, rho=rho, diameter=2 * radius)
    return wall_resistance(f, pi * radius**2, 2 * pi * radius, rho, mu)


def wall_resistance(f, area, perimeter, rho, mu):
    """The same of any smooth duct by its area [m²] and perimeter [m]: sqrt(w rho mu/2) perimeter/area²."""
    require_physical(f=f, area=area, rho=rho)
    return sqrt(pi * f * rho * mu) * perimeter / area**2


def wall_impedance(f, radius, rho, mu):
    """Resistance per metre [Pa s/m⁴] of a round port, and its mass over that of free air [-]; exact.

    C. Zwikker and C. Kosten: j w rho/S / (1 - 2 J1(z)/(z J0(z))), z = a sqrt(-j w rho/mu).
    """
    from scipy.special import jve

    require_physical(f=f, rho=rho, diameter=2 * radius)
    w, S = 2 * pi * f, pi * radius**2
    z = radius * (-1j * w * rho / mu) ** 0.5
    Z = 1j * w * rho / S / (1 - 2 * jve(1, z) / (z * jve(0, z)))
    return float(Z.real), float(Z.imag * S / (w * rho))


def wall_Q(f, area, length, effective_length, resistance, rho):
    """QP [-] if only the wall loses: w rho Leff/S over the `resistance` per metre times the length."""
    require_physical(f=f, area=area, rho=rho)
    if not 0 < length < float("inf"):
        raise InputError("length", "must be a number above zero: a port of no length has no wall")
    return 2 * pi * f * rho * effective_length / area / (resistance * length)


# --- air speed ---


def reynolds(v, diameter, rho, mu):
    """Reynolds number [-] of the peak speed v [m/s] by a diameter, or by the boundary layer [m]."""
    return rho * v * diameter / mu


def mach(v, c):
    """Peak speed over that of sound. [-]"""
    return v / c


def strouhal(f, radius, v):
    """w a/v [-]: radius over the peak travel of the air; well below 1 the jet leaves the end."""
    return 2 * pi * f * radius / v


def air_travel(f, v):
    """Peak travel [m] of the air in a port at f [Hz] and peak speed v [m/s]."""
    return v / (2 * pi * f)


def speed_for_level(f, level, area, rho, distance=1.0):
    """Peak air speed [m/s] if ports of total `area` [m²] alone make `level` [dB] at f [Hz] in half space."""
    require_physical(f=f, area=area, rho=rho, distance=distance)
    U = 2e-5 * 10 ** (level / 20) * distance / (rho * f)
    return sqrt(2) * U / area


def smallest_area(fb, Vd):
    """Total port area [m²] that keeps noise low, 0.8 fb Vd, of a driver that moves Vd [m³ peak].

    A guideline, from memory: R. H. Small, Vented-Box Part II, J. Audio Eng. Soc. 21, 1973.
    """
    require_physical(fb=fb)
    if not 0 < Vd < 100:
        raise InputError("Vd", "must be a number above zero")
    return 0.8 * fb * Vd


# --- sizes ---


def hydraulic_diameter(width, height):
    """Diameter [m] of the round duct with a slot's ratio of area to perimeter."""
    require_physical(width=width, height=height)
    return 2 * width * height / (width + height)


def tube_outer_area(diameter, wall):
    """Area [m²] of a tube's inside `diameter` with its `wall` [m]: what it takes from the box per metre."""
    require_physical(diameter=diameter)
    _require_wall(wall)
    return pi * (diameter + 2 * wall) ** 2 / 4


def channel_outer_area(width, height, wall, along_wall=False):
    """The same of a channel of boards: a wall on each side, or on three where it lies along a panel. [m²]"""
    require_physical(width=width, height=height)
    _require_wall(wall)
    long, short = max(width, height), min(width, height)
    return (long + 2 * wall) * (short + (wall if along_wall else 2 * wall))


def _require_wall(wall):
    if not 0 <= wall <= 1:
        raise InputError("wall", "must be zero or a number above it")
