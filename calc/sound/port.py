"""Ports: length and tuning, what the air at their ends adds, what they lose and how fast they may blow."""

from dataclasses import dataclass
from math import asinh, pi, sin, sqrt

from calc.errors import InputError
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


# --- ends ---


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


def port_length(Vb, fb, count, area, corrections, c):
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

    Raises
    ------
    InputError
        At "fb" where the ends alone tune the box lower than that.
    """
    length = effective_length(Vb, fb, count, area, c) - sum(corrections)
    if length < 0:
        raise InputError("fb", _SHORT)
    return length


def port_tuning(Vb, length, count, area, corrections, c):
    """Tuning [Hz] of `count` equal ports cut to `length` [m]; the rest as for `port_length`."""
    _require_ports(Vb, count, area, c)
    require_physical(length=length)
    return c / (2 * pi) * sqrt(count * area / (Vb * (length + sum(corrections))))


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
