"""Standing waves of the air in a rectangular box: its modes, and how lining on its walls takes them."""

from dataclasses import dataclass
from math import pi

import numpy as np

from calc.errors import InputError, require_not_negative, require_positive, require_within
from calc.sound.ranges import problem, require_physical

SIDES = ("width", "height", "depth")

MOST_MODES = 20_000


# --- waves ---


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
    require_half_waves(n)
    require_positive(length=length)
    return (np.arange(n) + 0.5) * length / n


def _require_sides(sides):
    for name, side in zip(SIDES, sides, strict=True):
        if sentence := problem("width", side):
            raise InputError(name, sentence)


def require_half_waves(n):
    if not (isinstance(n, int | np.integer) and 1 <= n <= MOST_MODES):
        raise InputError("n", "must be a whole number from 1 on")


# --- lining on a wall ---


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
    require_sigma(sigma)
    omega = 2 * pi * np.asarray(f, dtype=float)
    p, v = np.cos(omega / c * gap), 1j * np.sin(omega / c * gap)  # v in units of p/(rho c)
    heavier = np.sqrt(1 + sigma / (1j * omega * rho))
    echo = np.exp(-2j * omega / c * heavier * thickness)
    cos, jsin = 1 + echo, 1 - echo  # but for a factor that both share
    p, v = p * cos + heavier * jsin * v, v * cos + jsin / heavier * p
    return 1 - abs((p - v) / (p + v)) ** 2


def require_sigma(sigma):
    require_within(0, 1e6, "is no flow resistivity of a lining that lets air through", sigma=sigma)


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
