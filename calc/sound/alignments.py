"""Starting points for a box, from filter theory: no table, every curve solved for this driver.

A closed box is judged by its total Q. A vented box is a fourth-order high-pass filter
G = s⁴/(s⁴ + a1 s³ + a2 s² + a3 s + 1), and a family of such filters gives one box for each driver Q.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import cos, log10, pi, sin, sqrt
from typing import NamedTuple

import numpy as np

from calc.errors import InputError
from calc.sound.band_pass import symmetric_band_pass
from calc.sound.closed_box import closed_box_peak, closed_box_volume, cutoff_ratio
from calc.sound.ranges import require_physical

# --- filters ---


class Filter(NamedTuple):
    """Coefficients of G = s⁴/(s⁴ + a1 s³ + a2 s² + a3 s + 1). [-]"""

    a1: float
    a2: float
    a3: float


def chebyshev(k):
    """Fourth-order filter of equal ripple: Butterworth's poles, their real parts drawn in by k, 0.01 to 1.

    Its 0 dB is the response far above cut-off; the ripple lies above that.
    """
    if not 0.01 <= k <= 1:
        raise InputError("k", "must be from 0.01, more ripple than anyone wants, to 1, none")
    pairs = [(2 * k * sin(angle), k**2 * sin(angle) ** 2 + cos(angle) ** 2) for angle in (pi / 8, 3 * pi / 8)]
    (p, P), (q, Q) = pairs  # (s² + p s + P)(s² + q s + Q), the low-pass; reversed below
    b0, b1, b2, b3 = P * Q, p * Q + q * P, P + Q + p * q, p + q
    return Filter(b1 / b0**0.75, b2 / b0**0.5, b3 / b0**0.25)


def butterworth():
    """Fourth-order filter that is flat as long as it can be."""
    a = sqrt(4 + sqrt(8))
    return Filter(a, 2 + sqrt(2), a)


def bessel():
    """Fourth-order filter of the flattest delay: s⁴ + 10 s³ + 45 s² + 105 s + 105, made a high-pass."""
    b = 105**0.25
    return Filter(105 / b**3, 45 / b**2, 10 / b)


def quasi_third_order(B):
    """Filter with |G|² = w⁸/(w⁸ + B² w² + 1): a1² = 2 a2, a2² + 2 = 2 a1 a3, a3² - 2 a2 = B², B >= 0.

    With y = a1² the three are y⁴/64 - 3 y²/4 - B² y + 1 = 0, whose largest root is meant.
    """
    if not 0 <= B <= 1e6:
        raise InputError("B", "must be zero or a number above it")
    y = 7 + (64 * B**2) ** (1 / 3) * 1.5  # above the root: from there the steps fall and never overshoot
    for _ in range(100):
        step = (y**4 / 64 - 0.75 * y**2 - B**2 * y + 1) / (y**3 / 16 - 1.5 * y - B**2)
        y -= step
        if abs(step) <= 1e-15 * y:
            break
    a1 = sqrt(y)
    return Filter(a1, y / 2, a1**3 / 8 + 1 / a1)


def ripple_of_chebyshev(k):
    """Ripple [dB] of `chebyshev(k)`, exact."""
    K = 1 / k**2 - 1
    return 10 * log10(1 + K**4 / (64 + 128 * K + 80 * K**2 + 16 * K**3))


# --- filter and box ---


class Alignment(NamedTuple):
    """A driver's Qts and a box, as ratios: alpha = Vas/Vb, h = fb/fs, f3 over fs. [-]"""

    Qts: float
    alpha: float
    h: float
    f3: float


def alignment(a1, a2, a3, QL=None):
    """The driver and box that make a filter, the box leaking with QL (None: not at all).

    Returns
    -------
    Alignment

    Raises
    ------
    InputError
        At "QL" where so leaky a box cannot make that filter.

    References
    ----------
    R. H. Small, "Vented-Box Loudspeaker Systems, Part I," J. Audio Eng. Soc. 21(5), 1973; solved for
    y = sqrt(h) from y⁴/QL - a1 y³ + a3 y - 1/QL = 0.
    """
    require_physical(QL=QL)
    found = _ratios(a1, a2, a3, QL)
    if found is None:
        raise InputError("QL", "is too low: a box that leaks so much cannot be given this response")
    Qts, alpha, h = found
    return Alignment(Qts, alpha, h, sqrt(h) * half_power(Filter(a1, a2, a3)))


def _ratios(a1, a2, a3, QL):
    """Qts, alpha, h; None where they would not all be above zero."""
    leak = 0.0 if QL is None else 1 / QL
    y = sqrt(a3 / a1)
    for _ in range(60):
        step = ((y**4 - 1) * leak - a1 * y**3 + a3 * y) / (4 * y**3 * leak - 3 * a1 * y**2 + a3)
        y -= step
        if not 0 < y < 1e6:
            return None
        if abs(step) <= 1e-14 * y:
            break
    else:
        return None
    h = y**2
    motor = y * a1 - h * leak  # 1/Qts
    alpha = h * (a2 - h - leak * motor) - 1
    return (1 / motor, alpha, h) if motor > 0 and alpha > 0 else None


def filter_of(Qts, alpha, h, QL=None):
    """The `Filter` that a driver of Qts makes in a box of alpha, h and QL: the way back from `alignment`."""
    leak = 0.0 if QL is None else 1 / QL
    y = sqrt(h)
    return Filter(1 / (y * Qts) + y * leak, (alpha + 1) / h + h + leak / Qts, leak / y + y / Qts)


def _power_terms(a1, a2, a3):
    """A, B, C of |G|² = x⁴/(x⁴ + A x³ + B x² + C x + 1), x = w²."""
    return a1**2 - 2 * a2, a2**2 + 2 - 2 * a1 * a3, a3**2 - 2 * a2


def half_power(filter):
    """Highest frequency, over that of the filter, at which it rises through half power. [-]"""
    A, B, C = _power_terms(*filter)
    roots = np.roots([1, -A, -B, -C, -1])
    return sqrt(max(roots[abs(roots.imag) < 1e-9 * abs(roots)].real))


def peak(filter):
    """How far [dB] the response rises above its pass band; 0 if it does not."""
    A, B, C = _power_terms(*filter)
    roots = np.roots([A, 2 * B, 3 * C, 4])  # where 4/x equals the slope of ln(denominator)
    x = roots[(abs(roots.imag) < 1e-6 * abs(roots)) & (roots.real > 0)].real
    if not x.size:
        return 0.0
    y = 1 / x  # in 1/x, which stays small where x is huge
    return max(0.0, float(np.max(-10 * np.log10(1 + A * y + B * y**2 + C * y**3 + y**4))))


# --- starting points ---


@dataclass(frozen=True)
class ClosedStart:
    """A closed box to begin with. Vb [m³], fc, f3 [Hz] and peak [dB] are None where `refused` says why."""

    name: str
    Qtc: float
    Vb: float | None = None
    fc: float | None = None
    f3: float | None = None
    peak: float | None = None
    refused: str | None = None
    suits: bool = False
    reason: str = ""


CLOSED = (
    ("critically damped", 0.5),
    ("flattest delay", 0.577),
    ("flattest level", 0.707),
    ("full and small", 0.9),
)


def closed_starting_points(fs, Qts, Vas, Qes=None):
    """Closed boxes that give a driver the usual total Qs.

    Parameters
    ----------
    fs, Qts, Vas : float
        Resonance [Hz], total Q with all that lies before the driver [-], Vas [m³].
    Qes : float, optional
        Lets the ratio fs/Qes speak for or against a closed box. [-]

    Returns
    -------
    tuple of ClosedStart
        One for each of Qtc 0.5, 0.577, 0.707 and 0.9.
    """
    require_physical(fs=fs, Qts=Qts, Vas=Vas, Qes=Qes)
    return tuple(_closed_start(name, Qtc, fs, Qts, Vas, Qes) for name, Qtc in CLOSED)


def _closed_start(name, Qtc, fs, Qts, Vas, Qes):
    if Qtc <= Qts:
        refused = "The driver's own Qts is as high already, and a closed box can only raise it."
        return ClosedStart(name, Qtc, refused=refused, reason=refused)
    Vb = closed_box_volume(Qts, Vas, Qtc)
    fc = fs * Qtc / Qts
    suits, reason = _closed_suits(Vas / Vb, fs, Qes)
    return ClosedStart(
        name, Qtc, Vb, fc, fc * cutoff_ratio(Qtc), closed_box_peak(Qtc)[0], None, suits, reason
    )


def _closed_suits(alpha, fs, Qes):
    if alpha < 0.5:
        return (
            False,
            "It wants a box more than twice as large as Vas: hardly more than free air behind the cone.",
        )
    if alpha > 10:
        return False, (
            "It wants a box less than a tenth of Vas: the bass would end far above the driver's resonance, "
            "and every small hollow in the box would count."
        )
    if Qes is not None and fs / Qes > EBP_VENTED:
        return False, (
            "The motor is strong for its resonance (fs/Qes above 100): a vented box makes more of it."
        )
    if alpha < 1:
        return True, "A roomy box for this Vas: the driver's own suspension still rules more than the air."
    if alpha < 3:
        return True, "The air in the box rules the suspension, and the size is a usual one for this Vas."
    return True, "A small box for this Vas: the air rules, and each hollow in it counts."


EBP_CLOSED, EBP_VENTED = 50.0, 100.0
"""Usual bounds of fs/Qes [Hz]: below the first a closed box, above the second a vented one; from memory."""


@dataclass(frozen=True)
class VentedStart:
    """A vented box to begin with: Vb [m³], fb [Hz], and what this very driver does in it: f3 [Hz], peak [dB].

    `Qts` is the Q that the response belongs to, `off` the driver's Q over it less 1 (0 for the member that
    was solved for this driver). `parameter` is B or k of the family, None for a single response.
    """

    name: str
    family: str
    Qts: float
    off: float
    alpha: float
    h: float
    Vb: float
    fb: float
    f3: float
    peak: float
    suits: bool
    reason: str
    parameter: float | None = None


@lru_cache(maxsize=64)  # a page asks for the same driver's again after each change to its box
def vented_starting_point(fs, Qts, Vas, QL=7.0, Qes=None):
    """The vented box that belongs to a driver, and the ones that nearly do.

    Parameters
    ----------
    fs, Qts, Vas : float
        Resonance [Hz], total Q with all that lies before the driver [-], Vas [m³].
    QL : float, optional
        Leak of the box at its tuning; 7 is a good first guess for boxes of moderate size (Small,
        Vented-Box Part III, 1973). None is none. [-]
    Qes : float, optional
        Lets the ratio fs/Qes speak for or against a vented box. [-]

    Returns
    -------
    tuple of VentedStart
        First the member of the quasi-third-order family (low Qts) or the equal-ripple one (high Qts) that
        this Qts belongs to, if there is one; then the flattest level and the flattest delay, whose Qts is
        fixed, with the curve that this driver really makes in those boxes.
    """
    require_physical(fs=fs, Qts=Qts, Vas=Vas, QL=QL, Qes=Qes)
    starts = []
    member = _member(Qts, QL)
    if member is not None:
        starts.append(_vented_start(*member, fs, Qts, Vas, QL, Qes))
    for name, filter in (("flattest level", butterworth()), ("flattest delay", bessel())):
        if _ratios(*filter, QL) is not None:
            starts.append(_vented_start(name, "single", None, filter, fs, Qts, Vas, QL, Qes))
    return tuple(starts)


def _member(Qts, QL):
    """Name, family, parameter and filter of the family member for this Qts; None if no family reaches it."""
    middle = _ratios(*butterworth(), QL)
    if middle is None:
        return None
    if Qts <= middle[0]:
        B = _root(lambda B: _Q(quasi_third_order(B), QL), Qts, 0.0, 1e4)
        return None if B is None else ("quasi-third-order", "QB3", B, quasi_third_order(B))
    # toward small k the leak leaves no box at all: the family ends where alpha comes to nothing
    k = _root(lambda k: _Q(chebyshev(k), QL), Qts, 1.0, 0.05)
    return None if k is None else ("equal ripple", "C4", k, chebyshev(k))


def _Q(filter, QL):
    found = _ratios(*filter, QL)
    return None if found is None else found[0]


def _root(curve, wanted, near, far):
    """Where a monotonic `curve` from `near` to `far` passes `wanted`, by halving; None if it never does.

    Beyond the end of the family the curve gives None, which counts as too far.
    """
    rising = wanted > curve(near)
    for _ in range(60):
        middle = (near + far) / 2
        here = curve(middle)
        if here is None or (here > wanted) == rising:
            far = middle
        else:
            near = middle
    here = curve(near)
    return near if abs(here / wanted - 1) < 1e-9 else None


def _vented_start(name, family, parameter, filter, fs, Qts, Vas, QL, Qes):
    its_Qts, alpha, h = _ratios(*filter, QL)
    real = filter_of(Qts, alpha, h, QL)
    f3, rise, off = sqrt(h) * half_power(real), peak(real), Qts / its_Qts - 1
    if abs(off) < 1e-8:
        off = 0.0
    suits, reason = _vented_suits(alpha, f3, rise, off, fs, Qes)
    return VentedStart(
        name, family, its_Qts, off, alpha, h, Vas / alpha, h * fs, f3 * fs, rise, suits, reason, parameter
    )


def _vented_suits(alpha, f3, rise, off, fs, Qes):
    if abs(off) > 0.1:
        side = "above" if off > 0 else "below"
        return False, f"The driver's Qts lies {abs(off):.0%} {side} the one that this response belongs to."
    if rise > 1:
        return False, "The level would rise more than 1 dB above the rest before it falls."
    if alpha < 0.2:
        return False, "It wants a box more than five times Vas, and would gain little by it."
    if f3 > 2.5:
        return False, (
            "The motor is so strong (Qts so low) that the bass ends far above the driver's resonance; "
            "a resistance before the driver would bring it lower."
        )
    if Qes is not None and fs / Qes < EBP_CLOSED:
        return False, (
            "The motor is weak for its resonance (fs/Qes below 50): a closed box makes more of this driver."
        )
    if off:
        return True, "The driver's Qts is near enough to the one that this response belongs to."
    return True, "This response belongs to exactly this Qts."


@dataclass(frozen=True)
class BandPassStart:
    """A band-pass box to begin with: Vr, Vf [m³], tuned to f0, within 3 dB from `low` to `high` [Hz].

    `gain` [dB] is that of the middle over the driver's own level. All None where `refused` says why.
    """

    name: str
    Qtc: float
    S: float
    Vr: float | None = None
    Vf: float | None = None
    f0: float | None = None
    low: float | None = None
    high: float | None = None
    gain: float | None = None
    refused: str | None = None


BAND_PASS = (("flat, large and low", 0.7, sqrt(0.5)), ("flat, small and high", 1.0, sqrt(0.5)))


def band_pass_starting_points(fs, Qts, Vas):
    """Symmetric band-pass boxes, closed behind and vented before the driver, without ripple.

    Parameters and refusals as for `closed_starting_points`; tuple of `BandPassStart`.
    """
    require_physical(fs=fs, Qts=Qts, Vas=Vas)
    return tuple(_band_pass_start(*each, fs, Qts, Vas) for each in BAND_PASS)


def _band_pass_start(name, Qtc, S, fs, Qts, Vas):
    if Qtc <= Qts:
        refused = "The driver's own Qts is as high already, and the closed chamber can only raise it."
        return BandPassStart(name, Qtc, S, refused=refused)
    box = symmetric_band_pass(fs, Qts, Vas, Qtc, S)
    low, high = (box.f0 * ratio for ratio in band_edges(box.beta, S))
    return BandPassStart(name, Qtc, S, box.Vr, box.Vf, box.f0, low, high, box.gain)


def band_edges(beta, S):
    """Where a symmetric band-pass lies 3 dB under its middle: lower and upper frequency over f0. [-]

    With x = f/f0 - f0/f and 1/Qtc² = 4 S² beta, |G|² is half that of the middle where
    (beta - x²)² + 4 S² beta x² = 2 beta².
    """
    x = sqrt(beta * (1 - 2 * S**2 + sqrt((1 - 2 * S**2) ** 2 + 1)))
    upper = (x + sqrt(x**2 + 4)) / 2
    return 1 / upper, upper
