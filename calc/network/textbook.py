"""Where a crossover begins: the textbook's filters and small networks, exact into a resistor.

A driver is no resistor and its sound no flat line: these values are a place to start from.
"""

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from calc.errors import InputError, require_positive
from calc.network.netlist import GROUND, Capacitor, Coil

# --- prototypes: the denominator of a low-pass 1/D(s), highest power first, s = 1 at the corner ---


def butterworth(n):
    r"""Denominator of order n, 1 to 4: flattest pass band, -3 dB at the corner.

    .. math:: |D(j\omega)|^2 = 1 + \omega^{2n}

    Returns
    -------
    D : ndarray, shape (n + 1,)
        Highest power first. [-]

    References
    ----------
    S. Butterworth, "On the Theory of Filter Amplifiers," Wireless Engineer 7, 1930 (from memory).
    """
    _require_order(n, (1, 2, 3, 4))
    k = np.arange(n)
    return np.real(np.poly(np.exp(0.5j * pi * (2 * k + n + 1) / n)))


def linkwitz_riley(n):
    """Denominator of order n, 2 or 4: a Butterworth of half the order twice over, -6 dB at the corner.

    Both outputs have the same phase, or for order 2 the opposite one, so that they add up to a flat sum:
    for order 2 with one driver reversed.

    References
    ----------
    S. H. Linkwitz, "Active Crossover Networks for Noncoincident Drivers," J. Audio Eng. Soc. 24, 1976.
    """
    _require_order(n, (2, 4))
    return np.polymul(butterworth(n // 2), butterworth(n // 2))


def bessel(n):
    """Denominator of order n, 1 to 4: flattest delay, far slope that of a Butterworth of the same corner.

    Low- and high-pass mirror each other and have the same phase at the corner. The level there is -3.0,
    -4.8, -6.2 and -7.6 dB for orders 1 to 4.

    References
    ----------
    W. E. Thomson, "Delay Networks Having Maximally Flat Frequency Characteristics," Proc. IEE 96, 1949
    (from memory).
    """
    _require_order(n, (1, 2, 3, 4))
    reverse = {1: (1, 1), 2: (1, 3, 3), 3: (1, 6, 15, 15), 4: (1, 10, 45, 105, 105)}[n]
    return _rescaled(reverse, reverse[-1] ** (1 / n))


def bessel_at_3_db(n):
    """Denominator of order n, 1 to 4: as `bessel`, but so scaled that the corner lies at -3 dB."""
    D = bessel(n)
    even = np.polymul(D, D * (-1.0) ** np.arange(n, -1, -1))  # D(s) D(-s), a polynomial in s²
    square = even[::2] * (-1.0) ** np.arange(n, -1, -1)  # of omega²
    square[-1] -= 2 * even[-1]
    roots = np.roots(square)
    (corner,) = (sqrt(r.real) for r in roots if r.real > 0 and abs(r.imag) < 1e-9 * abs(r))
    return _rescaled(D, corner)


FAMILIES = {"butterworth": butterworth, "linkwitz-riley": linkwitz_riley, "bessel": bessel}
"""Prototypes by their name in the document and on the pages."""


def _rescaled(D, corner):
    """D(s corner), made 1 for s = 0."""
    D = np.asarray(D, dtype=float) * corner ** np.arange(len(D) - 1.0, -1.0, -1.0)
    return D / D[-1]


def _require_order(n, orders):
    if n not in orders:
        words = ", ".join(map(str, orders[:-1]))
        raise InputError("n", f"must be {words} or {orders[-1]}")


def ladder(D):
    """Elements g of the ladder that is 1/D(s) between an ideal source and a load of 1 ohm.

    The even and the odd part of D, divided into each other again and again: each quotient is an element,
    from the load's end on.

    Parameters
    ----------
    D : array_like, shape (n + 1,)
        Highest power first, all roots in the left half plane. [-]

    Returns
    -------
    g : ndarray, shape (n,)
        From the source on; the first is in series, the next across, and so on. [H, F, H, F]

    Raises
    ------
    InputError
        At "D" if no ladder of coils and capacitors has this denominator.

    References
    ----------
    W. Cauer's continued fraction, as in L. Weinberg, *Network Analysis and Synthesis*, 1962 (from memory).
    """
    D = np.asarray(D, dtype=float)
    n = len(D) - 1
    upper, lower = D.copy(), D.copy()
    upper[1::2], lower[0::2] = 0, 0
    lower = lower[1:]
    g = []
    for _ in range(n):
        g.append(upper[0] / lower[0] if lower[0] else -1.0)
        if not g[-1] > 0:
            raise InputError("D", "must have all roots in the left half plane")
        rest = upper - g[-1] * np.append(lower, 0)
        upper, lower = lower, rest[2:]
    return np.array(g[::-1])


# --- filters of coils and capacitors ---


@dataclass(frozen=True)
class Element:
    """One part of a ladder: "coil" [H] or "capacitor" [F], "series" or "across" the load."""

    kind: str
    place: str
    value: float


def low_pass(g, R, f0):
    """Elements of a low-pass, from the source on.

    Parameters
    ----------
    g : array_like, shape (n,)
        See `ladder`. [-]
    R : float
        Load. [ohm]
    f0 : float
        Corner. [Hz]

    Returns
    -------
    tuple of Element
    """
    require_positive(R=R, f0=f0)
    omega = 2 * pi * f0
    return tuple(
        Element("capacitor", "across", float(one / (R * omega)))
        if i % 2
        else Element("coil", "series", float(one * R / omega))
        for i, one in enumerate(g)
    )


def high_pass(g, R, f0):
    """Elements of the high-pass that mirrors the `low_pass` of the same g at f0: s becomes 1/s."""
    require_positive(R=R, f0=f0)
    omega = 2 * pi * f0
    return tuple(
        Element("coil", "across", float(R / (one * omega)))
        if i % 2
        else Element("capacitor", "series", float(1 / (one * R * omega)))
        for i, one in enumerate(g)
    )


def as_parts(elements, start, end, prefix=""):
    """The elements of a ladder as parts of a netlist, from node `start` to the load at node `end`.

    Parts are named L1, C2, ... in their order from the source on, nodes between them n1, n2, ..., all
    behind the prefix.
    """
    series = [i for i, element in enumerate(elements) if element.place == "series"]
    parts, node = [], start
    for i, element in enumerate(elements):
        if element.place == "series":
            beyond = end if i == series[-1] else f"{prefix}n{i + 1}"
            nodes, node = (node, beyond), beyond
        else:
            nodes = (node, GROUND)
        make, letter = (Coil, "L") if element.kind == "coil" else (Capacitor, "C")
        parts.append(make(f"{prefix}{letter}{i + 1}", nodes, element.value))
    return tuple(parts)


# --- small networks ---


def impedance_compensation(Re, Le):
    """Resistor [ohm] and capacitor [F] that, in series across a driver, cancel the rise of its coil.

    Re + s Le beside R + 1/(s C) is Re at every frequency if R = Re and C = Le/Re². A real coil rises more
    slowly than a plain inductance, and R up to a quarter above Re then fits better (common practice, no
    source).

    References
    ----------
    The dual branch of O. J. Zobel's constant-resistance networks, Bell Syst. Tech. J. 7, 1928 (from memory);
    multiplied out, the product of both over their sum is Re.
    """
    require_positive(Re=Re, Le=Le)
    return Re, Le / Re**2


def l_pad(Z, A):
    """Resistors that take A [dB] off a driver of Z [ohm] and still load the filter with Z.

    Returns
    -------
    series, across : float
        In front of the driver, and across it. [ohm]

    Notes
    -----
    Z is a resistor; at the driver's resonance the pad takes less. From two equations: the divider is
    k = 10^(-A/20), the input Z.
    """
    require_positive(Z=Z, A=A)
    k = 10 ** (-A / 20)
    if k in (0.0, 1.0):
        raise InputError("A", "is too little to be made of resistors" if k else "is too much for a pad")
    return Z * (1 - k), Z * k / (1 - k)


def series_notch(fs, Qms, Qes, Re):
    """Resistor, coil and capacitor that, in series across a driver, flatten its resonance.

    Returns
    -------
    R, L, C : float
        `R` counts the resistance of the coil: buy a resistor that is smaller by it. [ohm, H, F]

    Notes
    -----
    With no Le the driver and its notch are Re together at all frequencies; an Le is compensated apart.

    References
    ----------
    Dual of the driver's motional branch: L = Re² Ces, C = Les/Re², R = Re + Re²/Res, with
    Ces = Qes/(2 pi fs Re), Les = Re/(2 pi fs Qes), Res = Re Qms/Qes.
    """
    require_positive(fs=fs, Qms=Qms, Qes=Qes, Re=Re)
    omega = 2 * pi * fs
    return Re * (1 + Qes / Qms), Qes * Re / omega, 1 / (omega * Qes * Re)


def parallel_trap(Z, A, f1, f2):
    """Resistor, coil and capacitor that, side by side in series with a driver, take out a hump.

    Parameters
    ----------
    Z : float
        Of the driver there. [ohm]
    A : float
        Depth in the middle, at sqrt(f1 f2). [dB]
    f1, f2 : float
        Where half of A is taken off. [Hz]

    Returns
    -------
    R, L, C : float
        [ohm, H, F]

    Notes
    -----
    With k = (Z + R)/Z = 10^(A/20) and x = f/f0 - f0/f the transfer is (1 + jQx)/(k + jQx), Q = R sqrt(C/L);
    its square is 1/k where Q² x² = k, and x = (f2 - f1)/f0 at f2. Hence Q = sqrt(k) f0/(f2 - f1).
    """
    require_positive(Z=Z, A=A, f1=f1, f2=f2)
    if not f2 > f1:
        raise InputError("f2", "must lie above the lower frequency")
    k, f0 = 10 ** (A / 20), sqrt(f1 * f2)
    R, Q = Z * (k - 1), sqrt(k) * f0 / (f2 - f1)
    require_positive(A=R)
    return R, R / (2 * pi * f0 * Q), Q / (2 * pi * f0 * R)


def baffle_step(Z, A, fm):
    """Resistor and coil that, side by side in series with a driver, lower all that lies above fm.

    Parameters
    ----------
    Z : float
        Of the driver there, its own rise compensated. [ohm]
    A : float
        Loss far above. [dB]
    fm : float
        Where half of A is lost. [Hz]

    Returns
    -------
    R, L : float
        [ohm, H]

    Notes
    -----
    The transfer is Z (R + sL)/(Z R + s L (Z + R)): its zero R/L and its pole lie a factor 1 + R/Z apart,
    and fm is their geometric mean. How deep and how high the step is, the baffle and the room say.
    """
    require_positive(Z=Z, A=A, fm=fm)
    R = Z * (10 ** (A / 20) - 1)
    require_positive(A=R)
    return R, R / (2 * pi * fm * sqrt(1 + R / Z))


def step_of_a_sphere(W, c):
    """Where the sound of a point on a hard sphere as wide as the front, W [m], is 3 dB down. [Hz]

    A box of that width has it lower, the more so the taller it is; c is the speed of sound [m/s].

    References
    ----------
    ka solved from the series for a point source on a sphere, as in L. L. Beranek and T. J. Mellow,
    *Acoustics*, 2nd ed., 12.5.
    """
    require_positive(W=W, c=c)
    return 0.99205 * c / (pi * W)


def coil_and_capacitor_resonance(L, C):
    """Where a coil [H] and a capacitor [F] resonate: 1/(2 pi sqrt(L C)). [Hz]"""
    require_positive(L=L, C=C)
    return 1 / (2 * pi * np.sqrt(L * C))


def protecting_capacitor(Z, f, A):
    """Capacitor in front of a driver of Z [ohm] that takes A [dB] off at f [Hz], against a wrong lead. [F]

    |1 + 1/(j 2 pi f C Z)|² = 10^(A/10), solved for C. Far below it loses 6 dB an octave.
    """
    require_positive(Z=Z, f=f, A=A)
    lost = 10 ** (A / 10) - 1
    require_positive(A=lost)
    return 1 / (2 * pi * f * Z * sqrt(lost))
