"""A coil that warms while it plays: it resists more, so the same volts give less sound and brake less."""

from typing import NamedTuple

import numpy as np

from calc.errors import InputError
from calc.sound.driver import COPPER
from calc.sound.ranges import require_physical

RISE_AT_RATED = 200.0
"""How much warmer a coil is taken to be once its rated power has heated it through: what coil glues and
formers are commonly built to bear (common practice, no source). [K]"""

COIL_SECONDS = (1.0, 10.0)
"""How soon a coil warms; its magnet takes minutes (common practice, no source). What is reckoned here is
where both end after long loud playing: a single loud note is over before. [s]"""

HALVINGS = 44
"""Steps of the search for the balance; each halves the doubt. [-]"""


def thermal_resistance(Pe, rise=RISE_AT_RATED):
    """How much a coil warms for each watt of heat in it, after long: rise/Pe. [K/W]

    Parameters
    ----------
    Pe : float
        Rated power, of the whole wired group; taken as heat in the coils. [W]
    rise : float
        Above 20 °C at that power. [K]
    """
    require_physical(Pe=Pe)
    require_rise(rise)
    return rise / Pe


def require_rise(rise):
    """Refuse a rise [K] that no coil has at its rated power."""
    if not 1 <= rise <= 1000:
        raise InputError("rise", "must be how much warmer the coil gets, less than what melts copper")


class Warm(NamedTuple):
    """A coil in balance between what heats and what cools it; arrays of the shape that the drive has.

    rise : above 20 °C [K]
    Re : [ohm]
    power : heat in it [W]
    loss : of level, where the mass rules [dB]; `ratio` is (Re + Rs) over the cold one, which Qes follows [-]
    """

    rise: np.ndarray
    Re: np.ndarray
    power: np.ndarray
    loss: np.ndarray
    ratio: np.ndarray


def warm_coil(V, Re, resistance, Z=None, weights=None, Rs=0.0):
    r"""Where a coil's temperature settles at a stated drive.

    .. math:: \theta = R_\theta \sum_i w_i V^2 \frac{R}{|R - R_e + Z_i + R_s|^2},
              \qquad R = R_e (1 + 0.00393\,\theta)

    Parameters
    ----------
    V : array_like, shape (k,)
        Source, before Rs. [volt rms]
    Re : float
        Coil resistance of the wired group at 20 °C. [ohm]
    resistance : float
        See `thermal_resistance`. [K/W]
    Z : array_like of complex, shape (m,), optional
        Impedance at the box terminals, the coil cold. Re alone if None. [ohm]
    weights : array_like, shape (m,), optional
        Share of V² that lies at each frequency, see `pink_weights`; even if None. [-]
    Rs : float or array_like of complex, shape (m,)
        What lies before the terminals: cable, capacitor. [ohm]

    Returns
    -------
    Warm

    Raises
    ------
    InputError
        For a drive or a coil that no loudspeaker has.

    Notes
    -----
    The warm coil adds to the impedance what it resists more; what the moving cone adds stays, since it does
    not depend on Re. There is one balance only: with Re(Z - Re + Rs) >= 0 each term grows less than in
    proportion to theta (d/dtheta of theta |R + X|²/R is above |X|² Re/R² > 0), so halving an interval finds
    it, and more volts always end warmer. The sheet's rated power is no measured thermal resistance, the
    magnet's own warming is part of it, and air that the cone pumps through the gap, which cools, is left out.
    A rise far above that at rated power is not a prediction: the coil would be gone.
    """
    require_physical(V=V, Re=Re)
    V = np.asarray(V, dtype=float)
    Z = np.atleast_1d(np.asarray(Re if Z is None else Z, dtype=complex))
    weights = np.full(Z.shape, 1 / Z.size) if weights is None else np.asarray(weights, dtype=float)
    rest = Z - Re + Rs
    twice, square = 2 * rest.real, abs(rest) ** 2

    def heat(rise):
        R = Re * (1 + COPPER * rise)[..., None]
        return V**2 * (weights * R / (R**2 + twice * R + square)).sum(axis=-1)

    low, high = np.zeros(V.shape), resistance * V**2 / Re * weights.sum()  # no coil takes more than V²/Re
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        more = resistance * heat(middle) > middle
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    rise = (low + high) / 2
    hot = Re * (1 + COPPER * rise)
    before = float(np.real(np.mean(Rs)))
    ratio = (hot + before) / (Re + before)
    return Warm(rise, hot, heat(rise), 20 * np.log10(ratio), ratio)


def pink_weights(f, crossed=1.0):
    """Share [-] of the mean square of pink noise that lies about each of the frequencies f [Hz], (m,).

    `f` rises and bounds the noise; the shares follow the widths on a logarithmic scale and sum to 1, or to
    less where `crossed`, (m,), what a crossover leaves to the box, takes some away.
    """
    require_physical(f=f)
    x = np.log(np.asarray(f, dtype=float))
    if x.size < 2 or not (np.diff(x) > 0).all():
        raise InputError("f", "must rise from the lowest to the highest frequency of the noise")
    widths = np.convolve(np.diff(x), [0.5, 0.5])
    return widths / (x[-1] - x[0]) * np.asarray(crossed, dtype=float) ** 2


class WarmQ(NamedTuple):
    """Qs [-] of a driver once its coil is warm; Qtc is that in its closed box, None without one."""

    Qes: float
    Qts: float
    Qtc: float | None


def warm_Q(Qms, Qes, ratio, alpha=None):
    """What a warm coil does to damping: Qes grows with the resistance of its circuit.

    Parameters
    ----------
    Qms, Qes : float
        Of the cold driver. [-]
    ratio : float
        Resistance of the warm coil and all before it, over that of the cold coil. [-]
    alpha : float, optional
        Vas/Vb of a closed box without losses. [-]

    Returns
    -------
    WarmQ
    """
    require_physical(Qms=Qms, Qes=Qes)
    warmed = Qes * ratio
    Qts = Qms * warmed / (Qms + warmed)
    return WarmQ(warmed, Qts, None if alpha is None else Qts * (1 + alpha) ** 0.5)
