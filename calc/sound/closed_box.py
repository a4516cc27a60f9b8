"""A driver in a closed box: its resonance and Q, its normalised curves, and its full response."""

from math import log10, pi, sqrt

import numpy as np

from calc.errors import InputError
from calc.sound import circuit
from calc.sound.ranges import require_physical


def closed_box_tuning(fs, Qts, Vas, Vb):
    r"""Resonance and total Q of a driver mounted in a closed box.

    The air in the box stiffens the suspension, which raises both alike [1]_:

    .. math:: f_c / f_s = Q_{tc} / Q_{ts} = \sqrt{1 + V_{as} / V_b}

    Parameters
    ----------
    fs : float
        Free-air resonance of the driver. [Hz]
    Qts : float
        Total Q of the driver at `fs`, source resistance included. [-]
    Vas : float
        Volume of air as compliant as the suspension. [m³]
    Vb : float
        Net air volume of the box, as large as its filling makes it seem. [m³]

    Returns
    -------
    fc, Qtc : float
        Resonance [Hz] and total Q [-] of driver and box together, the box without losses.

    Raises
    ------
    InputError
        If any argument is not a size that a loudspeaker can have.

    References
    ----------
    .. [1] R. H. Small, "Closed-Box Loudspeaker Systems, Part I: Analysis,"
       J. Audio Eng. Soc. 20(10), 1972.
    """
    require_physical(fs=fs, Qts=Qts, Vas=Vas, Vb=Vb)
    ratio = (1 + Vas / Vb) ** 0.5
    return fs * ratio, Qts * ratio


def closed_box_lossy_Q(Qtc, alpha, QL=None, QA=None):
    """Total Q [-] of a closed box whose air leaks and absorbs.

    Qtc is that without box losses, alpha = Vas/Vb; QL and QA hold at the resonance fc. What the box's air
    resists at fc is added to the driver's own resistance, in the share alpha/(1 + alpha) that the air has of
    the stiffness. A leak also moves the resonance, by less than 1 % for QL above 7: that is left out here,
    and in the full response it is not.
    """
    require_physical(Qtc=Qtc, QL=QL, QA=QA)
    absorption = 0.0 if QA is None else 1 / QA
    z = absorption - 1j  # the air and its absorption, in units of 1/(wc Cab)
    if QL is not None:
        z = 1 / (1 / z + 1 / QL)
    return 1 / (1 / Qtc + alpha / (1 + alpha) * z.real)


def closed_box_volume(Qts, Vas, Qtc):
    """Net volume [m³] that gives a driver of Qts and Vas [m³] the total Q `Qtc` in a closed box.

    Refused at "Qtc" where it is not above Qts: a box can only raise it.
    """
    require_physical(Qts=Qts, Vas=Vas, Qtc=Qtc)
    if Qtc <= Qts:
        raise InputError("Qtc", "must be above the driver's own Qts: a closed box can only raise it")
    return Vas / ((Qtc / Qts) ** 2 - 1)


def closed_box_response(f, fc, Qtc):
    """Pressure response of a closed box, 1 well above resonance.

    Parameters
    ----------
    f : array_like, shape (n,)
        Frequencies. [Hz]
    fc, Qtc : float
        Resonance [Hz] and total Q [-], see `closed_box_tuning`.

    Returns
    -------
    G : ndarray of complex, shape (n,)
        Far-field pressure relative to the pass band. [-]
    """
    require_physical(Qtc=Qtc, fs=fc, f=f)
    s = 1j * np.asarray(f, dtype=float) / fc
    return s**2 / (s**2 + s / Qtc + 1)


def closed_box_displacement(f, fc, Qtc):
    """Cone travel of a closed box relative to that at a standstill of frequency, 1 well below fc.

    Arguments as for `closed_box_response`; complex, shape (n,). [-]
    """
    require_physical(Qtc=Qtc, fs=fc, f=f)
    s = 1j * np.asarray(f, dtype=float) / fc
    return 1 / (s**2 + s / Qtc + 1)


def cutoff_ratio(Qtc, drop=None):
    """f/fc [-] where the response of a closed box lies `drop` [dB] under its pass band, half power if None.

    From |G|² = 10^(-drop/10): x² + (1/Qtc² - 2) x + 1 - 10^(drop/10) = 0 with x = (fc/f)².
    """
    require_physical(Qtc=Qtc)
    power = 2.0 if drop is None else 10 ** (drop / 10)
    a = 1 / Qtc**2 - 2
    # the root (-a + sqrt(...))/2 in the form that does not cancel for a large a
    root = sqrt(a**2 + 4 * (power - 1))
    inverse = 2 * (power - 1) / (a + root) if a > 0 else (root - a) / 2
    return 1 / sqrt(inverse)


def closed_box_peak(Qtc):
    """Peak of the response and where it lies: (level [dB], f/fc [-]).

    (0, None) for Qtc up to 0.7071, whose response has no peak. The travel peaks as high at the inverse
    of that frequency ratio.
    """
    require_physical(Qtc=Qtc)
    if Qtc <= sqrt(0.5) * (1 + 1e-9):
        return 0.0, None
    return 20 * log10(Qtc**2 / sqrt(Qtc**2 - 0.25)), 1 / sqrt(1 - 1 / (2 * Qtc**2))


def displacement_power_constant(Qtc, c, rho):
    """kP [W s⁴/m⁶ = SI] of P = kP f3⁴ Vd²: the acoustic power at which the cone of a closed box meets Xmax.

    For a sine at any frequency from f3 up, half space (Small, Closed-Box Part I, 1972).
    """
    require_physical(Qtc=Qtc, c=c, rho=rho)
    peak, _ = closed_box_peak(Qtc)
    f3 = cutoff_ratio(Qtc)
    return 4 * pi**3 * rho / c / (f3**4 * 10 ** (peak / 10))


def efficiency_constant(Qtc, c):
    """k [s³/m³] of eta0 = k f3³ Vb, all compliance the box's and all loss the motor's (Small 1972)."""
    require_physical(Qtc=Qtc, c=c)
    return 4 * pi**2 / (c**3 * cutoff_ratio(Qtc) ** 3 * Qtc)


def closed_box(
    f, driver, Vb, c, rho,
    V=2.83, Rs=0.0, QL=None, QA=None, fq=None, distance=1.0, capacitor=None, high_pass=None,
):  # fmt: skip
    """Full response of a driver in a closed box.

    Parameters
    ----------
    f : array_like, shape (m,)
        Frequencies, in any order. [Hz]
    driver : Constants
        Of the wired group, in this air; its values may be variants, shape (n, 1).
    Vb : float or ndarray, shape (n, 1)
        Net volume, as large as its filling makes it seem. [m³]
    c, rho : float
        Speed of sound [m/s] and density [kg/m³] of the air.
    V, Rs : float or ndarray, shape (n, 1)
        Source [volt rms] and the resistance before the terminals [ohm].
    QL, QA : float or ndarray, shape (n, 1), optional
        Leak and absorption of the box; None or infinity is none. [-]
    fq : float, optional
        Where QL and QA hold; fs sqrt(1 + Vas/Vb) if None. [Hz]
    distance : float
        [m]
    capacitor : float or ndarray, shape (n, 1), optional
        In series before the terminals, where it meets the box's impedance. [F]
    high_pass : HighPass, optional
        An active filter before the amplifier.

    Returns
    -------
    Response

    Raises
    ------
    InputError
        If an argument is not a size that a loudspeaker can have.

    References
    ----------
    R. H. Small, "Closed-Box Loudspeaker Systems," J. Audio Eng. Soc. 20(10), 1972 and 21(1), 1973.
    """
    require_physical(Vb=Vb, c=c, rho=rho, V=V, Rs=Rs, QL=QL, QA=QA, fq=fq, distance=distance)
    require_physical(capacitor=capacitor)
    s = circuit.laplace(f)
    Cab = Vb / (rho * c**2)
    omega = 2 * pi * (driver.fs * (1 + driver.Vas / Vb) ** 0.5 if fq is None else fq)
    air = circuit.box_air(s, Cab, omega, QA)
    Y = air + circuit.leak(Cab, omega, QL)
    return circuit.solved(s, driver, Y, air, rho, V, Rs, distance, capacitor=capacitor, high_pass=high_pass)
