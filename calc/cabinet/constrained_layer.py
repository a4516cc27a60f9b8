"""Two boards with a soft layer between them: what it costs in pitch, and how fast the ringing dies."""

from dataclasses import dataclass
from math import pi, sqrt

from calc.cabinet.panel_modes import first_mode_bounds
from calc.cabinet.plates import Plate
from calc.errors import require_not_negative, require_positive, require_within


@dataclass(frozen=True)
class Core:
    """A soft layer between two boards: `h` [m], `G` [Pa], loss factor `eta` [-], `density` [kg/m³].

    Its shear differs tenfold between glues and with warmth; take it from the maker's sheet at the frequency
    that matters.
    """

    h: float
    G: float
    eta: float
    density: float = 1100.0

    def __post_init__(self):
        require_positive(h=self.h, G=self.G, density=self.density)
        require_not_negative(eta=self.eta)
        require_within(0, 5, "must be a loss factor, at most a few", eta=self.eta)


@dataclass(frozen=True)
class Damped:
    """First mode of a three-layer panel: `f` [Hz] and loss factor `eta`, from the core alone."""

    f: float
    eta: float


def constrained_layer(base, core, cover, a, b):
    r"""First mode and loss of two boards with a soft layer between them, supported and clamped.

    Ross, Ungar and Kerwin's three layers [1]_, for a wave of wave number k:

    .. math:: B = (B_1 + B_3)\left(1 + \frac{X^* Y}{1 + X^*}\right), \quad
        X^* = \frac{G(1 + j\eta)}{h k^2}\left(\frac{1}{K_1} + \frac{1}{K_3}\right), \quad
        Y = \frac{d^2}{B_1 + B_3}\frac{K_1 K_3}{K_1 + K_3}

    with K the stretching and B the bending stiffness of a board, d the distance of their middles.

    Parameters
    ----------
    base, cover : Layer
        The two boards. Stiffer along than across: taken as their geometric mean.
    core : Core
    a, b : float
        Free sides of the panel. [m]

    Returns
    -------
    supported, clamped : Damped

    Notes
    -----
    Exact for a plate on supports, whose mode is a pure wave. The clamped plate is given the wave number of
    its own first mode, which is an approximation. The boards' own loss comes on top.

    References
    ----------
    .. [1] D. Ross, E. E. Ungar, E. M. Kerwin, "Damping of plate flexural vibrations by means of viscoelastic
       laminae," in *Structural Damping*, ASME, 1959. From memory.
    """
    require_positive(a=a, b=b)
    unit = Plate(1.0, 1.0, 1.0, 1.0)
    m = base.density * base.h + core.density * core.h + cover.density * cover.h
    found = []
    for f in first_mode_bounds(unit, a, b):
        k2 = 2 * pi * f  # of a plate with D = m = 1, omega is k²
        B = sandwich_stiffness(base, core, cover, sqrt(k2))
        found.append(Damped(float(k2 * sqrt(B.real / m) / (2 * pi)), float(B.imag / B.real)))
    return tuple(found)


def sandwich_stiffness(base, core, cover, k):
    """Complex bending stiffness of two boards and a soft core for waves of wave number `k` [1/m]. [N m]"""
    require_positive(k=k)
    K1, K3 = _stretch(base), _stretch(cover)
    bending = (K1 * base.h**2 + K3 * cover.h**2) / 12
    d = core.h + (base.h + cover.h) / 2
    X = core.G * (1 + 1j * core.eta) / (core.h * k**2) * (1 / K1 + 1 / K3)
    Y = d**2 / bending * K1 * K3 / (K1 + K3)
    return bending * (1 + X * Y / (1 + X))


def _stretch(layer):
    """Stiffness of a board against stretching, the mean of both directions. [N/m]"""
    Q = layer.Q
    return float(sqrt(Q[0, 0] * Q[1, 1])) * layer.h
