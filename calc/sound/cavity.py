"""Standing waves of the air in a box: its modes, the line along its longest side, and what lining does."""

from dataclasses import dataclass
from itertools import pairwise
from math import inf, pi, sqrt
from typing import NamedTuple

import numpy as np

from calc.errors import InputError, require_not_negative, require_positive, require_within
from calc.sound import circuit
from calc.sound.driver import P_REF
from calc.sound.ranges import problem, require_physical

SIDES = ("width", "height", "depth")

GAMMA, PRANDTL = 1.402, 0.71
"""Ratio of specific heats and Prandtl number of air (from memory, any table of air at 20 °C)."""

BARE_WALLS = 0.05
"""Share of a wave that bare thick boards take at each reflection: handbook tables give 0.04 to 0.1 for wooden
floors and boards at middle frequencies (from memory). The height of a bare box's resonances hangs on it."""

MOST_MODES = 20_000

_INSIDE = "must lie inside the box, between the two end walls"
_CHOKED = "is so dense over this length that no sound comes through: take less or looser lining"


# --- the rectangular box ---


@dataclass(frozen=True)
class Mode:
    """A standing wave: `f` [Hz], and how many half waves fit along width, height and depth."""

    f: float
    half_waves: tuple[int, int, int]

    @property
    def along(self):
        """The sides along which the air swings: one, two or three of `SIDES`."""
        return tuple(side for side, n in zip(SIDES, self.half_waves, strict=True) if n)

    @property
    def axial(self):
        """Whether it swings along one side only: the strongest kind."""
        return len(self.along) == 1


def modes(width, height, depth, c, up_to):
    r"""Standing waves of a box with rigid walls, lowest first.

    .. math:: f = \frac{c}{2} \sqrt{(n_x/w)^2 + (n_y/h)^2 + (n_z/d)^2}

    Parameters
    ----------
    width, height, depth : float
        Inside. [m]
    c : float
        Speed of sound. [m/s]
    up_to : float
        Highest frequency. [Hz]

    Returns
    -------
    tuple of Mode

    Raises
    ------
    InputError
        If a side is no size of a box, or `up_to` asks for more than `MOST_MODES`.

    Notes
    -----
    Exact for a rectangular inside with rigid walls and nothing in it (Rayleigh). Braces, drivers and a port's
    tube shift a mode by some percent; lining lowers it a little.

    References
    ----------
    P. M. Morse and K. U. Ingard, Theoretical Acoustics, 1968, section 9.2 (from memory; derived: cosines
    meet rigid walls).
    """
    sides = (width, height, depth)
    _require_sides(sides)
    require_physical(c=c)
    require_positive(up_to=up_to)
    most = [2 * up_to * side / c for side in sides]
    if max(most) > MOST_MODES or np.prod([n + 1 for n in most]) > MOST_MODES:
        raise InputError("up_to", "asks for more standing waves than can be told apart")
    counts = [np.arange(int(n + 1e-9) + 1) for n in most]
    n = np.stack(np.meshgrid(*counts, indexing="ij"), -1).reshape(-1, 3)[1:]  # without the one at rest
    f = c / 2 * np.sqrt(((n / sides) ** 2).sum(-1))
    order = np.lexsort((*n.T, f))
    kept = order[f[order] <= up_to * (1 + 1e-12)]
    return tuple(Mode(float(f[i]), tuple(int(k) for k in n[i])) for i in kept)


def longest_side(width, height, depth):
    """Name of the longest side, its length [m], and the two others [m], the longer first."""
    _require_sides((width, height, depth))
    ordered = sorted(zip(SIDES, (width, height, depth), strict=True), key=lambda side: -side[1])
    return ordered[0][0], ordered[0][1], ordered[1][1], ordered[2][1]


def pressure_along(n, x, length):
    """Pressure [-] of `n` half waves at x [m] from one end: 1 at the ends. What a cone or a port there feels.

    A driver where it is 0 does not drive the mode, and a port there does not hear it.
    """
    return np.cos(n * pi * np.asarray(x, dtype=float) / length)


def speed_along(n, x, length):
    """Speed of the air [-] of `n` half waves at x [m], 0 at the ends and 1 at most."""
    return np.sin(n * pi * np.asarray(x, dtype=float) / length)


def still_places(n, length):
    """Where `n` half waves have no pressure and the air moves most [m], shape (n,).

    There a driver drives the mode least, and there lining does most.
    """
    _require_half_waves(n)
    require_positive(length=length)
    return (np.arange(n) + 0.5) * length / n


def _require_sides(sides):
    for name, side in zip(SIDES, sides, strict=True):
        if sentence := problem("width", side):
            raise InputError(name, sentence)


def _require_half_waves(n):
    if not (isinstance(n, int | np.integer) and 1 <= n <= MOST_MODES):
        raise InputError("n", "must be a whole number from 1 on")


# --- a porous layer on a wall ---


def quarter_wave(f, c):
    """Depth [m] at which lining and the air behind it reach where the air moves most: c/(4 f)."""
    require_physical(f=f, c=c)
    return c / (4 * f)


def layer_absorption(f, thickness, sigma, c, rho, gap=0.0):
    """Share of a wave's power that a porous layer before a rigid wall takes, striking it squarely. [-]

    Parameters
    ----------
    f : array_like, shape (n,)
        [Hz]
    thickness, gap : float
        Of the layer, and of the air between it and the wall. [m]
    sigma : float
        Flow resistivity of the layer. [Pa s/m²]
    c, rho : float
        Speed of sound [m/s] and density [kg/m³] of air.

    Returns
    -------
    ndarray, shape (n,)

    Notes
    -----
    Air of density rho + sigma/(j w) between fibres at rest, as in `Line`. Why a quarter wave: at the wall the
    air stands still, and what stands still loses nothing to friction. A thin layer of resistance rho c takes
    all at a gap of a quarter wave and nothing at half a wave (derived).
    """
    require_physical(f=f, c=c, rho=rho)
    require_positive(thickness=thickness)
    require_not_negative(gap=gap)
    _require_sigma(sigma)
    omega = 2 * pi * np.asarray(f, dtype=float)
    p, v = np.cos(omega / c * gap), 1j * np.sin(omega / c * gap)  # v in units of p/(rho c)
    heavier = np.sqrt(1 + sigma / (1j * omega * rho))
    echo = np.exp(-2j * omega / c * heavier * thickness)
    cos, jsin = 1 + echo, 1 - echo  # but for a factor that both share
    p, v = p * cos + heavier * jsin * v, v * cos + jsin / heavier * p
    return 1 - abs((p - v) / (p + v)) ** 2


def _require_sigma(sigma):
    require_within(0, 1e6, "is no flow resistivity of a lining that lets air through", sigma=sigma)


# --- the line along the longest side ---


@dataclass(frozen=True)
class Layer:
    """Lining on a stretch of a `Line`.

    start, end : along the line [m]
    sigma : flow resistivity [Pa s/m²]
    share : of the section that it fills, 1 from wall to wall [-]
    depth : off the side walls [m], if it does not fill the section
    """

    start: float
    end: float
    sigma: float
    share: float = 1.0
    depth: float = 0.0

    def __post_init__(self):
        _require_sigma(self.sigma)
        require_not_negative(start=self.start, depth=self.depth)
        require_within(0, 1, "must be between nothing and the whole section", share=self.share)
        if not self.start < self.end < inf:
            raise InputError("end", "must lie beyond the start of the lining")


@dataclass(frozen=True)
class Line:
    """The air of a box taken as a tube along its longest side, closed at both ends.

    length [m], area [m²] and perimeter [m] of its section, the `layers` of lining, which do not overlap, and
    the share of a wave that its bare `walls` take [-].
    """

    length: float
    area: float
    perimeter: float
    layers: tuple[Layer, ...] = ()
    walls: float = BARE_WALLS

    def __post_init__(self):
        require_positive(length=self.length, area=self.area, perimeter=self.perimeter)
        require_within(0, 0.3, "must be a small share: lining has its own place", walls=self.walls)
        ordered = sorted(self.layers, key=lambda layer: layer.start)
        if ordered and ordered[-1].end > self.length * (1 + 1e-9):
            raise InputError("layers", _INSIDE)
        if any(first.end > second.start * (1 + 1e-9) for first, second in pairwise(ordered)):
            raise InputError("layers", "must not overlap")

    def layer_at(self, x):
        """The layer at x [m], or None."""
        return next((layer for layer in self.layers if layer.start <= x < layer.end), None)


def end_layers(length, depth, sigma):
    """Lining of that depth [m] on both end walls of a line, as `Layer`s; all of it where they meet."""
    if 2 * depth >= length:
        return (Layer(0.0, length, sigma),)
    return (Layer(0.0, depth, sigma), Layer(length - depth, length, sigma))


def side_layer(start, end, sides, depth, sigma):
    """Lining of that depth [m] on the four side walls of a section with these `sides`, start to end."""
    a, b = sides
    left = max(a - 2 * depth, 0.0) * max(b - 2 * depth, 0.0)
    return Layer(start, end, sigma, 1 - left / (a * b), depth)


def slab_layer(length, thickness, across, sigma, faces):
    """Lining as thick as `thickness` [m] of the `across` [m] of the section, all along a line, as a `Layer`.

    `faces` is 1 for one that lies on a wall, 2 for one that air reaches from both sides.
    """
    share = min(1.0, thickness / across)
    return Layer(0.0, length, sigma, share, thickness / faces)


def wall_layers(length, sides, depth, sigma):
    """Lining of that depth [m] on all six walls, as `Layer`s of the line along `length`."""
    if 2 * depth >= length:
        return end_layers(length, depth, sigma)
    first, last = end_layers(length, depth, sigma)
    return (first, side_layer(depth, length - depth, sides, depth, sigma), last)


def middle_layer(length, thickness, sigma):
    """A pad from wall to wall across the middle of a line, or all of it where it is as thick."""
    half = min(thickness, length) / 2
    return Layer(length / 2 - half, length / 2 + half, sigma)


def walls_share(width, height, depth, thickness):
    """Share [-] of a box that lining of that `thickness` [m] on all six walls takes; all where it meets."""
    _require_sides((width, height, depth))
    require_not_negative(thickness=thickness)
    left = [max(side - 2 * thickness, 0.0) / side for side in (width, height, depth)]
    return 1 - left[0] * left[1] * left[2]


def lining_depth(width, height, depth, share):
    """How deep lining lies on all six walls of a box, if it fills a `share` [-] of it. [m]

    The inverse of `walls_share`, from 0 to half the shortest side, halved down to.
    """
    _require_sides((width, height, depth))
    require_within(0, 1, "must be a share of the box", share=share)
    low, high = 0.0, min(width, height, depth) / 2
    for _ in range(60):
        middle = (low + high) / 2
        if walls_share(width, height, depth, middle) < share:
            low = middle
        else:
            high = middle
    return high


def bare_Q(f, line, c, rho, mu):
    """What bare walls leave a mode along the line: its Q [-] at f [Hz].

    Friction and heat at the side walls, d P/(2 S) (1 + (gamma - 1)/sqrt(Pr)) with the boundary layer
    d = sqrt(2 mu/(rho w)) (G. Kirchhoff 1868, wide tube; from memory), and what boards take: walls of a small
    admittance walls/(8 rho c), which absorb `walls` of diffuse sound, feel the whole pressure at the ends and
    half its square along the sides, c walls (2/L + P/(2 S))/(4 w) (derived).
    """
    require_physical(f=f, c=c, rho=rho)
    return 1 / _loss(2 * pi * f, line, c, rho, mu)


def _loss(omega, line, c, rho, mu):
    """1/Q of bare walls; omega [rad/s] may be complex."""
    slope = line.perimeter / (2 * line.area)
    friction = np.sqrt(2 * mu / (rho * omega)) * slope * (1 + (GAMMA - 1) / sqrt(PRANDTL))
    return friction + c * line.walls * (2 / line.length + slope) / (4 * omega)


def _medium(omega, line, layer, c, rho, mu):
    """Wave number [1/m] and characteristic impedance [Pa s/m³] of one stretch; omega [rad/s] may be complex.

    Air and fibres lie side by side under one pressure gradient: their mobilities 1/density add by their
    shares. The pressure must also find its way into lining on the side walls, which is a diffusion: that
    share of the compliance is tan(z)/z with z² = -j w sigma depth²/(rho c²). All that bare walls take is put
    down as friction, so that slow air stays a spring.
    """
    air = rho * (1 - 1j * _loss(omega, line, c, rho, mu))
    mobility, compliance = 1 / air, 1.0
    if layer is not None and layer.share * layer.sigma > 0:
        fibres = air + layer.sigma / (1j * omega)
        mobility = (1 - layer.share) / air + layer.share / fibres
        if layer.share < 1 and layer.depth > 0:
            z = layer.depth * np.sqrt(-1j * omega * layer.sigma / rho) / c
            compliance = 1 - layer.share + layer.share * np.tan(z) / z
    k = omega / c * np.sqrt(compliance / (rho * mobility))
    return k, rho * c / line.area / np.sqrt(rho * mobility * compliance)


def _walk(omega, line, stops, c, rho, mu):
    """Pressure, and flow back to the closed end, at each of `stops` from there on; pressure 1 at that end."""
    p, q = np.ones_like(omega, dtype=complex), np.zeros_like(omega, dtype=complex)
    states, across = [(p, q)], 0.0
    for start, end in pairwise(stops):
        k, Z = _medium(omega, line, line.layer_at((start + end) / 2), c, rho, mu)
        across += float(abs(k.imag).max()) * (end - start)
        if across > 300:
            raise InputError("sigma", _CHOKED)
        wave = np.exp(1j * k * (end - start))
        cos, jsin = (wave + 1 / wave) / 2, (wave - 1 / wave) / 2
        p, q = p * cos + Z * jsin * q, q * cos + jsin / Z * p
        states.append((p, q))
    return states


def _mirrored(line):
    turned = tuple(
        Layer(max(0.0, line.length - a.end), line.length - a.start, a.sigma, a.share, a.depth)
        for a in line.layers
    )
    return Line(line.length, line.area, line.perimeter, turned, line.walls)


def _stops(line, places):
    edges = [edge for layer in line.layers for edge in (layer.start, min(layer.end, line.length))]
    return sorted({0.0, float(line.length), *edges, *places})


def line_impedance(f, line, sources, listeners, c, rho, mu):
    """Pressure at `listeners` for each unit of flow that enters at `sources`. [Pa s/m³]

    Parameters
    ----------
    f : array_like, shape (n,)
        [Hz]
    line : Line
    sources, listeners : sequence of float
        Distances from the line's beginning; the flow is shared out equally, and the pressure is the mean. [m]
    c, rho, mu : float
        Speed of sound [m/s], density [kg/m³] and viscosity [Pa s] of air.

    Returns
    -------
    ndarray of complex, shape (n,)

    Raises
    ------
    InputError
        Where a place lies outside, or no sound comes through the lining.

    Notes
    -----
    Transmission line with rigid ends: the waves that meet the left and the right end, joined at the source.
    For one bare stretch that is rho c/S cos(k x) cos(k (L - x0))/(j sin(k L)), at low frequencies the
    compliance of the air, whatever the lining. Fibres stand still, fill no room and add no heat: their heat
    is in the box's apparent volume. Holds below the first wave across the box, for drivers and ports that
    are points, without braces.
    """
    _require_places(line, sources=sources, listeners=listeners)
    return _impedances(f, line, ((sources, listeners),), c, rho, mu)[0]


def _impedances(f, line, pairs, c, rho, mu):
    """`line_impedance` for several pairs of sources and listeners, the waves from both ends walked once."""
    require_physical(f=f, c=c, rho=rho)
    omega = 2 * pi * np.asarray(f, dtype=float)
    stops = _stops(line, {place for pair in pairs for places in pair for place in places})
    left = _walk(omega, line, stops, c, rho, mu)
    back = [line.length - stop for stop in reversed(stops)]
    right = list(reversed(_walk(omega, _mirrored(line), back, c, rho, mu)))
    (p, q), (p_right, q_right) = left[-1], right[-1]
    joined = q * p_right + q_right * p  # the same at every place
    return [_mean_pressure(stops, left, right, *pair) / joined for pair in pairs]


def _mean_pressure(stops, left, right, sources, listeners):
    """The mean over sources and listeners of the pressures of both walks, before they are joined."""
    total = 0.0
    for source in sources:
        for listener in listeners:
            near, far = sorted((stops.index(float(source)), stops.index(float(listener))))
            total = total + left[near][0] * right[far][0]
    return total / (len(sources) * len(listeners))


def air_mass(line, sources, listeners, rho):
    """Acoustic mass [kg/m⁴] of the bare line's air between places: the next term after its spring.

    rho/(S L) (x²/2 + (L - y)²/2 - L²/6) for x before y, from the closed form of `line_impedance` at small k.
    Below zero between the two ends: a longer way round is stiffer, not heavier.
    """
    _require_places(line, sources=sources, listeners=listeners)
    x, y = np.meshgrid(np.asarray(sources, float), np.asarray(listeners, float))
    near, far = np.minimum(x, y), np.maximum(x, y)
    squares = near**2 / 2 + (line.length - far) ** 2 / 2 - line.length**2 / 6
    return rho / (line.area * line.length) * squares.mean()


def _require_places(line, **places):
    for name, values in places.items():
        if not len(values):
            raise InputError(name, "needs at least one place")
        if not all(0 <= x <= line.length for x in values):
            raise InputError(name, _INSIDE)


def mode_Q(n, line, c, rho, mu):
    """Q [-] and frequency [Hz] of the mode of `n` half waves along a lined line; None if it does not ring.

    Parameters
    ----------
    n : int
    line : Line
    c, rho, mu : float
        Speed of sound [m/s], density [kg/m³] and viscosity [Pa s] of air.

    Returns
    -------
    (Q, f) or None
        None where the lining leaves less than one half: nothing swings any more.

    Notes
    -----
    The complex frequency at which the closed line sounds by itself, followed while the lining grows from
    nothing to what it is. For light lining 1/Q is the mean of friction over mass, weighed by the square of
    the air's speed: a slice d at an end wall counts (2/3)(n pi)² (d/L)³, one at the speed's peak 2 d/L.
    """
    _require_half_waves(n)
    require_physical(c=c, rho=rho)
    at_rest = n * pi * c / line.length
    omega = at_rest * (1 + 0.5j / bare_Q(n * c / (2 * line.length), line, c, rho, mu))
    before = omega
    for part in _growing(line, at_rest, rho):
        thinner = tuple(Layer(a.start, a.end, part * a.sigma, a.share, a.depth) for a in line.layers)
        lined = Line(line.length, line.area, line.perimeter, thinner, line.walls)
        found = _root(lambda w, lined=lined: _closed_end(w, lined, c, rho, mu), 2 * omega - before, at_rest)
        if found is None or found.imag >= found.real:
            return None
        before, omega = omega, found
    return omega.real / (2 * omega.imag), omega.real / (2 * pi)


def _growing(line, omega, rho):
    """Parts of its friction by which to follow a line's lining: the more it brakes, the finer."""
    friction = sum(a.sigma * a.share * (a.end - a.start) for a in line.layers) / line.length
    steps = int(np.clip(np.ceil(10 * friction / (omega * rho)), 1, 12))
    return (np.arange(1, steps + 1) / steps) ** 2


def _closed_end(omega, line, c, rho, mu):
    """Flow into the far end when the near one is closed: 0 at a complex frequency of the line's own."""
    return _walk(np.complex128(omega), line, _stops(line, ()), c, rho, mu)[-1][1]


def _root(function, start, scale):
    """A zero of an analytic function near `start`, by the secant rule; None where it runs away."""
    a, b = start, start + scale * (1e-4 + 1e-4j)
    at_a, at_b = function(a), function(b)
    for _ in range(30):
        if at_a == at_b:
            return None
        a, b, at_a = b, b - at_b * (b - a) / (at_b - at_a), at_b
        if not (abs(b - start) < 0.5 * scale):
            return None
        if abs(b - a) < 1e-8 * scale:
            return complex(b)
        at_b = function(b)
    return None


# --- driver and port on the line ---


def line_level(
    f, driver, line, cones, c, rho, mu, ports=(), opening=None,
    absorption=0.0, leak=0.0, V=2.83, Rs=0.0, capacitor=None, distance=1.0,
):  # fmt: skip
    """Level of cones, ports and leaks together if the box is a line. [dB re 20 µPa, half space]

    Parameters
    ----------
    f : array_like, shape (n,)
        [Hz]
    driver : Constants
        Of the wired group, in this air.
    line : Line
        As much air as the box seems to hold: length times area.
    cones, ports : sequence of float
        Where they are along the line. [m]
    c, rho, mu : float
        Speed of sound [m/s], density [kg/m³] and viscosity [Pa s] of air.
    opening : ndarray of complex, shape (n,), optional
        Acoustic impedance of all ports or passive radiators together; None is a closed box. [Pa s/m³]
    absorption : float
        In series with the box's air. [Pa s/m³]
    leak : float
        Of the box, at the cones. [m³/(s Pa)]
    V, Rs, capacitor : float
        Source [volt rms], and what lies before the terminals [ohm], [farad].
    distance : float
        [m]

    Returns
    -------
    ndarray, shape (n,)

    Notes
    -----
    Several cones move alike; several ports share their flow equally. Rigid walls; what comes through a thin
    cone from inside is left out, and so is the port's own length as a pipe. Holds below the first wave across
    the box. Against the lumped box see `ripple`.
    """
    Z = _pressures(f, line, cones, ports, opening, c, rho, mu)
    return _level(f, driver, Z, rho, opening, absorption, leak, V, Rs, capacitor, distance)


def _pressures(f, line, cones, ports, opening, c, rho, mu):
    """Pressure for each unit of flow: at the cones by the cones, across, and at the ports by the ports."""
    _require_places(line, cones=cones)
    if opening is not None:
        _require_places(line, ports=ports)
    return _impedances(f, line, _pairs(cones, ports, opening), c, rho, mu)


def _pairs(cones, ports, opening):
    return ((cones, cones),) if opening is None else ((cones, cones), (cones, ports), (ports, ports))


def ripple(
    f, driver, line, cones, c, rho, mu, ports=(), opening=None,
    absorption=0.0, leak=0.0, Rs=0.0, capacitor=None,
):  # fmt: skip
    """What one line adds to the level of the lumped box. [dB], shape (n,)

    Arguments as for `line_level`; see `axial_ripple`, of which this is the case of one side.
    """
    sides = (Placed(line, cones, ports),)
    return axial_ripple(f, driver, sides, c, rho, mu, opening, absorption, leak, Rs, capacitor)


class Placed(NamedTuple):
    """One side of a box as a `Line`, and where along it cones and ports are [m]."""

    line: Line
    cones: tuple
    ports: tuple = ()


def axial_ripple(
    f, driver, sides, c, rho, mu, opening=None, absorption=0.0, leak=0.0, Rs=0.0, capacitor=None
):
    """What the waves along some sides of a box add to the level of the lumped box. [dB], shape (n,)

    Parameters
    ----------
    sides : sequence of Placed
        Each side as a line of the same air: length times area.
    f, driver, c, rho, mu, opening, absorption, leak, Rs, capacitor
        As for `line_level`.

    Notes
    -----
    In a rectangular box the pressure is a sum over all waves, so that the sides add: the spring, which they
    share, and what each line has beside it. With all three sides only the waves that swing along two or
    three of them at once are left out: it holds below the first of those.

    The mass of the air in a line and its friction at bare walls are taken out: the tuning, the moving mass
    and the losses are those in the box, and hold them already. So it is 0 at low frequencies, but for the
    friction of lining that lies between cone and port, which is a loss at the tuning too.
    """
    volume = sides[0].line.length * sides[0].line.area
    spring = rho * c**2 / (2j * pi * np.asarray(f, dtype=float) * volume)
    waves = [[Z - spring for Z in _waves(f, side, opening, c, rho, mu)] for side in sides]
    lined, lumped = (
        _level(f, driver, Z, rho, opening, absorption, leak, 2.83, Rs, capacitor, 1.0)
        for Z in ([spring + sum(of_all) for of_all in zip(*waves, strict=True)], [spring] * 3)
    )
    return lined - lumped


def _waves(f, side, opening, c, rho, mu):
    """The pressures of `_pressures` without the mass and friction of the bare line's air."""
    line, cones, ports = side
    omega = 2 * pi * np.asarray(f, dtype=float)
    lossy = 1j * omega * (1 - 1j * _loss(omega, line, c, rho, mu))
    pressures = _pressures(f, line, cones, ports, opening, c, rho, mu)
    masses = [air_mass(line, one, other, rho) for one, other in _pairs(cones, ports, opening)]
    return [Z - lossy * mass for Z, mass in zip(pressures, masses, strict=True)]


def _level(f, driver, Z, rho, opening, absorption, leak, V, Rs, capacitor, distance):
    """Level [dB] from the pressures Z of `_pressures`."""
    require_physical(V=V, Rs=Rs, capacitor=capacitor, distance=distance)
    s = circuit.laplace(f)
    cone, heard = Z[0] + absorption, 1.0
    if opening is not None:
        across, all_of_port = Z[1] + absorption, opening + Z[2] + absorption
        heard = 1 - across / all_of_port  # the port takes in a share of what the cone gives out
        cone = cone - across**2 / all_of_port
    shunt = 1 + leak * cone
    coil = circuit.coil(s, driver).value + circuit.before_terminals(s, Rs, capacitor).value
    moving = circuit.moving_parts(s, driver).value + driver.Sd**2 * cone / shunt
    flow = V * driver.Bl * driver.Sd / (coil * moving + driver.Bl**2) * heard / shunt
    return 20 * np.log10(rho / (2 * pi * distance * P_REF) * abs(s.value * flow))
