"""The air of a box as a tube along one of its sides, with lining in it: how it answers, what rings in it."""

from dataclasses import dataclass
from itertools import pairwise
from math import inf, pi, sqrt

import numpy as np

from calc.errors import InputError, require_not_negative, require_positive, require_within
from calc.sound.cavity import require_half_waves, require_sigma
from calc.sound.ranges import require_physical

GAMMA, PRANDTL = 1.402, 0.71
"""Ratio of specific heats and Prandtl number of air (from memory, any table of air at 20 °C)."""

BARE_WALLS = 0.05
"""Share of a wave that bare thick boards take at each reflection: handbook tables give 0.04 to 0.1 for wooden
floors and boards at middle frequencies (from memory). The height of a bare box's resonances hangs on it."""

_INSIDE = "must lie inside the box, between the two end walls"
_CHOKED = "is so dense over this length that no sound comes through: take less or looser lining"


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
        require_sigma(self.sigma)
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


def bare_Q(f, line, c, rho, mu):
    """What bare walls leave a mode along the line: its Q [-] at f [Hz].

    Friction and heat at the side walls, d P/(2 S) (1 + (gamma - 1)/sqrt(Pr)) with the boundary layer
    d = sqrt(2 mu/(rho w)) (G. Kirchhoff 1868, wide tube; from memory), and what boards take: walls of a small
    admittance walls/(8 rho c), which absorb `walls` of diffuse sound, feel the whole pressure at the ends and
    half its square along the sides, c walls (2/L + P/(2 S))/(4 w) (derived).
    """
    require_physical(f=f, c=c, rho=rho)
    return 1 / wall_loss(2 * pi * f, line, c, rho, mu)


def wall_loss(omega, line, c, rho, mu):
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
    air = rho * (1 - 1j * wall_loss(omega, line, c, rho, mu))
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
    require_places(line, sources=sources, listeners=listeners)
    return impedances(f, line, ((sources, listeners),), c, rho, mu)[0]


def impedances(f, line, pairs, c, rho, mu):
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
    require_places(line, sources=sources, listeners=listeners)
    x, y = np.meshgrid(np.asarray(sources, float), np.asarray(listeners, float))
    near, far = np.minimum(x, y), np.maximum(x, y)
    squares = near**2 / 2 + (line.length - far) ** 2 / 2 - line.length**2 / 6
    return rho / (line.area * line.length) * squares.mean()


def require_places(line, **places):
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
    require_half_waves(n)
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
