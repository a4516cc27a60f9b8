"""A port as the pipe that it is: its lengthwise resonances, with the depth of the box behind it."""

from dataclasses import dataclass
from math import pi
from typing import NamedTuple

import numpy as np

from calc.errors import InputError, require_positive
from calc.sound import circuit
from calc.sound.driver import P_REF
from calc.sound.ranges import require_physical

GAMMA, PRANDTL = 1.40, 0.71
"""Ratio of the specific heats of air, and its drag over its conduction of heat (textbooks, from memory)."""

HIDDEN = -20.0
"""A resonance this far under the woofer's level is taken as hidden: common practice, no source. [dB]"""


@dataclass(frozen=True)
class Tube:
    """`count` equal ports. Of one: area [m²], perimeter [m], length [m].

    `outer` and `inner` [m] are what the air adds at the ends, below zero for wide flares: see
    `port.end_correction`.
    """

    area: float
    perimeter: float
    length: float
    outer: float
    inner: float
    count: int = 1

    def __post_init__(self):
        require_physical(area=self.area, length=self.length)
        require_positive(perimeter=self.perimeter)
        if not self.effective_length > 0:
            raise InputError("length", "must be longer than its rounded ends")

    @property
    def effective_length(self):
        """With the air at its ends. [m]"""
        return self.length + self.outer + self.inner


class Chamber(NamedTuple):
    """The air behind the ports: Vb [m³], as deep as `depth`, a line with the ports' inner ends at `at` [m].

    `at` counts from the plane of the drivers. Without a depth the air is one spring. `dead` is a line from
    whose end nothing comes back: what lining can do at best, and wrong while it is short against a wave.
    """

    Vb: float
    depth: float | None = None
    at: float | None = None
    dead: bool = False


class PipeResponse(NamedTuple):
    """Of drivers and ports at f [Hz], each (m,): levels [dB] re 20 µPa, half space, at 1 m.

    `level` : of cones, ports and leak together. `port` : of the ports alone. `flow` : what all ports breathe
    out, complex. [m³/s rms]
    """

    f: np.ndarray
    level: np.ndarray
    port: np.ndarray
    flow: np.ndarray


def wall_line(f, area, perimeter, c, rho, mu):
    """Propagation k [1/m] and characteristic impedance [Pa s/m³] of a smooth duct, both complex, (m,).

    C. Zwikker and C. Kosten, Sound Absorbing Materials, 1949: the drag of the wall on the air's motion, and
    its heat on the air's pressure. Exact for a round duct; another is reckoned as the round one of its ratio
    of area to perimeter, right while the boundary layer is thin against it.
    """
    from scipy.special import jve

    require_physical(f=f, area=area, c=c, rho=rho)
    require_positive(mu=mu, perimeter=perimeter)
    w = 2 * pi * np.asarray(f, dtype=float)
    z = 2 * area / perimeter * np.sqrt(-1j * w * rho / mu)
    zt = z * PRANDTL**0.5
    mass = rho / (1 - 2 * jve(1, z) / (z * jve(0, z)))
    spring = (1 + (GAMMA - 1) * 2 * jve(1, zt) / (zt * jve(0, zt))) / (rho * c**2)
    return w * np.sqrt(mass * spring), np.sqrt(mass / spring) / area


def line(k, Z, length):
    """The chain matrix (A, B, C, D) of a line: pressure and flow at its start from those at its end."""
    kl = k * length
    return np.cos(kl), 1j * Z * np.sin(kl), 1j * np.sin(kl) / Z, np.cos(kl)


def input_impedance(chain, load):
    """What is seen at the start of a chain (A, B, C, D) that ends in the impedance `load`. [Pa s/m³]"""
    A, B, C, D = chain
    return (A * load + B) / (C * load + D)


def pipe_response(f, driver, tubes, chamber, fb, c, rho, mu, V=2.83, Rs=0.0, QL=None, QA=None):
    """Response of a vented box whose ports are pipes, not plugs of air.

    Parameters
    ----------
    f : array_like, shape (m,)
        [Hz]
    driver : Constants
        Of the wired group, in this air; single values.
    tubes : sequence of Tube
        One for each size of port.
    chamber : Chamber
    fb : float
        Where QL and QA hold. [Hz]
    c, rho, mu : float
        Of the air. [m/s], [kg/m³], [Pa s]
    V, Rs, QL, QA : float, optional
        As for `vented_box`; QA is spread along the depth.

    Returns
    -------
    PipeResponse

    Raises
    ------
    InputError
        At a symbol, or at "at" for an inner end that lies outside the box.

    Notes
    -----
    Plane waves along the ports and along the box's depth, end corrections as masses, radiation of small
    sources in a wall. Holds below the first cross mode of the box, c over twice its longest other side, and
    while the bore is a small part of a wave. Cone break-up, and what the box's other sides do, are not in it.
    At low frequencies it is the vented box of the lumped circuit.
    """
    require_physical(f=f, fb=fb, c=c, rho=rho, V=V, Rs=Rs, QL=QL, QA=QA, Vb=chamber.Vb)
    f = np.asarray(f, dtype=float)
    s = circuit.laplace(f)
    w = 2 * pi * f
    ports, through = _ports(w, f, tubes, c, rho, mu)
    leak = circuit.leak(chamber.Vb / (rho * c**2), 2 * pi * fb, QL)
    before, Y = _air(w, chamber, 2 * pi * fb, QA, c, rho, ports + leak)
    A, B, C, D = before
    at_front = (A + B * Y) / (C + D * Y)
    still = (circuit.coil(s, driver) + Rs).value
    cone = circuit.moving_parts(s, driver).value
    U = V * driver.Bl / (still * driver.Sd) / ((cone + driver.Bl**2 / still) / driver.Sd**2 + at_front)
    p = -U / (C + D * Y)
    flow = p * through

    def level(U):
        return 20 * np.log10(rho * w * np.maximum(abs(U), 1e-300) / (2 * pi * P_REF))

    return PipeResponse(f, level(U + flow + p * leak), level(flow), flow)


def _ports(w, f, tubes, c, rho, mu):
    """Admittance of all tubes from inside, and what flows out of them for a pressure there. [m³/(s Pa)]

    They lie in parallel between the air inside and the radiation that all share outside: U = G p1 - H p2 out,
    F p1 - G p2 in.
    """
    radiation = rho * w**2 / (2 * pi * c)
    F = G = H = 0.0
    for tube in tubes:
        k, Z = wall_line(f, tube.area, tube.perimeter, c, rho, mu)
        A, B, C, D = line(k, Z, tube.length)
        outer, inner = (1j * w * rho * end / tube.area for end in (tube.outer, tube.inner))
        A, B = A + inner * C, B + inner * D
        B, D = B + outer * A, D + outer * C
        F, G, H = F + tube.count * D / B, G + tube.count / B, H + tube.count * A / B
    through = G / (1 + H * radiation)
    return F - G * radiation * through, through


def _air(w, chamber, omega, QA, c, rho, opening):
    """The chain from the drivers to the ports' inner ends, and the admittance of all that lies there."""
    Cab = chamber.Vb / (rho * c**2)
    lossy = Cab if QA is None else Cab / (1 + 1j * w / (omega * QA))
    if chamber.depth is None:
        return (1.0, 0.0, 0.0, 1.0), 1j * w * lossy + opening
    depth, at = chamber.depth, chamber.at
    require_positive(depth=depth)
    if at is None or not 0 <= at <= depth:
        raise InputError("at", "must lie within the depth of the box")
    mass, spring = rho / (chamber.Vb / depth), lossy / depth
    k, Z = w * np.sqrt(mass * spring), np.sqrt(mass / spring)
    beyond = 1 / Z if chamber.dead else 1j * np.tan(k * (depth - at)) / Z
    return line(k, Z, at), beyond + opening


def half_waves(effective_length, c, count=3):
    """Frequencies at which whole numbers of half waves fit the port: n c/(2 Leff). [Hz]"""
    require_positive(effective_length=effective_length)
    return tuple(n * c / (2 * effective_length) for n in range(1, count + 1))


def plane_below(width, height, c):
    """Up to where the inside is a line along its depth: half a wave across the longer other side. [Hz]"""
    require_positive(width=width, height=height)
    return c / (2 * max(width, height))


def low_pass_level(f, crossover, order):
    """What a Butterworth low-pass of `order` at `crossover` [Hz] leaves at f [Hz]. [dB]"""
    require_physical(f=f)
    require_positive(crossover=crossover)
    if order not in (1, 2, 3, 4):
        raise InputError("order", "must be 1, 2, 3 or 4")
    return -10 * np.log10(1 + (np.asarray(f, dtype=float) / crossover) ** (2 * order))


@dataclass(frozen=True)
class Resonance:
    """Where the port sounds of itself: at f [Hz], its `level` over the woofer's mid band [dB].

    `filtered` [dB] is what the woofer's low-pass leaves of it, `hidden` whether that is far enough down; both
    None where no low-pass is known. `of` is "pipe" or "depth": what fits its half waves there.
    """

    f: float
    level: float
    filtered: float | None
    hidden: bool | None
    of: str


def resonances(response, reference, tubes, c, depth=None, low_pass=None, start=150.0):
    """The `Resonance`s in a `PipeResponse`: where the ports alone come up and fall again, low to high.

    Parameters
    ----------
    response : PipeResponse
        At rising frequencies, close together.
    reference : float
        Level of the woofer in mid band. [dB]
    tubes : sequence of Tube
    c : float
        [m/s]
    depth : float, optional
        Of the box, to tell its half waves from the port's. [m]
    low_pass : (float, int), optional
        Frequency [Hz] and order of the woofer's crossover.
    start : float
        Lowest that is looked at, above the tuning. [Hz]
    """
    f, port = response.f, response.port
    inner = np.flatnonzero((port[1:-1] > port[:-2]) & (port[1:-1] >= port[2:])) + 1
    found = []
    for i in inner[f[inner] >= start]:
        at, level = _top(f[i - 1 : i + 2], port[i - 1 : i + 2])
        level -= reference
        filtered = None if low_pass is None else level + float(low_pass_level(at, *low_pass))
        found.append(
            Resonance(
                at,
                level,
                filtered,
                None if filtered is None else filtered <= HIDDEN,
                _cause(at, tubes, c, depth),
            )
        )
    return tuple(found)


def _top(f, level):
    """Highest point of the parabola through three neighbours."""
    a, b, _ = np.polyfit(f - f[1], level, 2)
    x = float(np.clip(-b / (2 * a), f[0] - f[1], f[2] - f[1]))
    return float(f[1] + x), float(level[1] + b * x + a * x**2)


def _cause(f, tubes, c, depth):
    off = min(_off(f, tube.effective_length, c) for tube in tubes)
    return "depth" if depth is not None and _off(f, depth, c) < off else "pipe"


def _off(f, length, c):
    """How far f lies from a whole number of half waves along a length, over f. [-]"""
    halves = f * 2 * length / c
    return abs(halves - max(round(halves), 1)) / halves
