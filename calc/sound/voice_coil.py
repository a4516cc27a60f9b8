"""The coil that drives the cone: warmer than the sheet had it, and no plain inductance."""

from math import log, pi
from typing import NamedTuple

import numpy as np

from calc.errors import InputError
from calc.sound import circuit
from calc.sound.driver import LEAST_N, MOST_N, hot_coil, require_exponent
from calc.sound.ranges import require_physical


def hot(Re, rise):
    """Resistance [ohm] of a copper coil of Re [ohm] at 20 °C, warmer by `rise` [K]: Re (1 + 0.00393 rise)."""
    require_physical(Re=Re)
    return Re * hot_coil(rise).resistance


def held_still(f, driver):
    """Impedance [ohm] of the coil of a driver (`Constants`) whose cone is held still; complex, shape (m,)."""
    return circuit.coil(circuit.laplace(f), driver).value


def level_lost(f, driver):
    """How much less a driver gives at f [Hz] than it would with a coil of resistance alone. [dB]

    Holds well above the resonance, where the moving mass rules and adds little to the impedance. Of the
    coil alone: the baffle, the cone's break-up and the lining of the box change the upper response too.
    """
    return 20 * np.log10(abs(held_still(f, driver)) / driver.Re)


def semi_inductance(f, K, n):
    r"""Impedance of a coil whose iron carries eddy currents.

    .. math:: Z = K (j \omega)^n

    Parameters
    ----------
    f : array_like, shape (m,)
        [Hz]
    K : float or ndarray, shape (k, 1)
        [ohm s^n]
    n : float or ndarray, shape (k, 1)
        0.5 to 1; at 1, K is an inductance [H]. [-]

    Returns
    -------
    Z : ndarray of complex, shape (m,) or (k, m)
        Resistance and reactance rise together, at the same angle of 90° n everywhere. [ohm]

    Notes
    -----
    For small signals, a coil at rest in the middle of its gap, from about the impedance minimum above the
    resonance to the end of hearing. Far below, the true impedance is that of a plain inductance; beside Re
    the difference does not count there.

    References
    ----------
    W. M. Leach, "Loudspeaker Voice-Coil Inductance Losses: Circuit Models, Parameter Estimation, and Effect
    on Frequency Response," J. Audio Eng. Soc. 50(6), 2002.
    """
    require_physical(f=f, K=K)
    require_exponent(n)
    return K * (2 * pi * np.asarray(f, dtype=float)) ** n * np.exp(0.5j * pi * np.asarray(n))


class Parallel(NamedTuple):
    """An inductance `L` [H] and a resistance `R` [ohm] side by side, at each frequency."""

    L: np.ndarray
    R: np.ndarray


def parallel_parts(f, K, n):
    """The coil and the resistor that, side by side, are the semi-inductance at f [Hz]; see `Parallel`.

    L falls and R grows with frequency: that is why one fixed pair fits over a few octaves only.
    """
    Y = 1 / semi_inductance(f, K, n)
    omega = 2 * pi * np.asarray(f, dtype=float)
    R = np.full(Y.shape, np.inf)  # a plain inductance has nothing beside it
    np.divide(1.0, Y.real, out=R, where=Y.real > 1e-12 * abs(Y))
    return Parallel(-1 / (omega * Y.imag), R)


def two_powers(f, Kr, Xr, Ki, Xi):
    """Impedance [ohm] of a coil whose resistance and reactance follow a power of omega each.

    Z = Kr omega^Xr + j Ki omega^Xi: freer than `semi_inductance`, but the two halves of such an impedance
    do not belong to one physical circuit, so boxes are not reckoned with it.

    References
    ----------
    J. R. Wright, "An Empirical Model for Loudspeaker Motor Impedance," J. Audio Eng. Soc. 38(10), 1990; its
    form as restated by Leach 2002.
    """
    require_physical(f=f, Kr=Kr, Ki=Ki)
    omega = 2 * pi * np.asarray(f, dtype=float)
    return Kr * omega**Xr + 1j * Ki * omega**Xi


ROUNDING = 1e-9
"""How far past its ends an exponent may lie by the computer's rounding. [-]"""


class SemiInductance(NamedTuple):
    """`K` [ohm s^n] and `n` [-] of Z = K (j omega)^n."""

    K: float
    n: float


def semi_inductance_from(Re, f1, Z1, f2, Z2, fs=None, Qms=None, Qes=None):
    """K and n from two magnitudes read off an impedance curve, above its minimum.

    Parameters
    ----------
    Re : float
        [ohm]
    f1, Z1, f2, Z2 : float
        Two readings, the second at the higher frequency. [Hz], [ohm]
    fs, Qms, Qes : float, optional
        Of the driver in free air, in which the curve was taken: what its motion adds at the readings.
        Without all three the cone counts as standing still. [Hz], [-], [-]

    Returns
    -------
    SemiInductance

    Raises
    ------
    InputError
        At "f2" if it does not lie above f1, at "Z1" or "Z2" for readings that no coil gives.

    Notes
    -----
    |Re + Zm + K (j omega)^n| is to be Z1 and Z2, with Zm = Re/Qes / (1/Qms + j (f/fs - fs/f)) of the moving
    cone. For any n a square root gives K omega^n at each reading; n is where their ratio is that of the
    frequencies to the power n.

    Two readings bind two numbers and prove nothing: it holds between them and about an octave beyond, as far
    as the real coil keeps to one power. Good readings lie at least five times above the resonance and three
    octaves apart (1 and 10 kHz, say), with cone break-up, which shows as small bumps, not under them.
    """
    require_physical(Re=Re, f1=f1, f2=f2, Z1=Z1, Z2=Z2, fs=fs, Qms=Qms, Qes=Qes)
    if f2 < 1.2 * f1:
        raise InputError("f2", "must lie well above the first: the rise between the two is what tells")
    rests = [Re + _motion(f, Re, fs, Qms, Qes) for f in (f1, f2)]
    for name, Z, rest in zip(("Z1", "Z2"), (Z1, Z2), rests, strict=True):
        if abs(rest) >= Z:
            raise InputError(name, "must be above what the coil has without any inductance")
    if Z2 <= Z1:
        raise InputError("Z2", "must be above the first: take both from where the curve climbs")

    def steepness(n):
        """How much steeper than n the two readings are, once Re is taken off at the angle of n."""
        first, second = _rises(n, rests, (Z1, Z2))
        return log(second / first) / log(f2 / f1) - n

    low, high = LEAST_N, MOST_N
    if steepness(low) < -ROUNDING:
        raise InputError("Z2", "climbs less from the first than any coil does: read both again")
    if steepness(high) > ROUNDING:
        raise InputError("Z2", "climbs more from the first than a pure inductance: read both again")
    for _ in range(60):  # halves the doubt each time, past the last digit
        middle = (low + high) / 2
        low, high = (middle, high) if steepness(middle) > 0 else (low, middle)
    n = (low + high) / 2
    return SemiInductance(_rises(n, rests, (Z1, Z2))[0] / (2 * pi * f1) ** n, n)


def _motion(f, Re, fs, Qms, Qes):
    """What the moving cone adds to the impedance at f [Hz]; 0 if it is not known. [ohm]"""
    if None in (fs, Qms, Qes):
        return 0.0
    return Re / Qes / (1 / Qms + 1j * (f / fs - fs / f))


def _rises(n, rests, Zs):
    """|K (j omega)^n| at each reading: x with |rest + x exp(j pi n/2)| = Z. [ohm]"""
    turn = np.exp(0.5j * pi * n)
    found = []
    for rest, Z in zip(rests, Zs, strict=True):
        along = (rest * turn.conjugate()).real
        found.append((along**2 + Z**2 - abs(rest) ** 2) ** 0.5 - along)
    return found
