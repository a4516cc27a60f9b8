"""What keeps a cone inside its travel below the music: a filter before the amplifier, or a capacitor."""

from math import pi
from typing import NamedTuple

import numpy as np

from calc.errors import InputError
from calc.sound.high_pass import ORDERS
from calc.sound.ranges import require_physical

LOWEST = 10.0
"""Travel is watched from here up. Below, a source either has nothing or is a record player, which is another
question. [Hz]"""

HIGHEST = 200.0
"""A corner above this would take the bass itself: turning down, or a larger cone, is then the cure. [Hz]"""

PER_OCTAVE = 48


class Corner(NamedTuple):
    """Half-power point `f` [Hz] of the lowest filter that keeps the cone in; None if none may do it.

    `at` [Hz] is the note that asks for it.
    """

    f: float | None
    at: float


def safe_high_pass(travel_of, Xmax, order, lowest=LOWEST, highest=HIGHEST):
    r"""Lowest corner of a Butterworth high-pass before the amplifier that holds the cone's travel.

    Of order n it leaves |H|² = 1/(1 + (fc/f)^{2n}) (Butterworth 1930), so each note f at which the travel x
    is too large asks for

    .. math:: f_c \ge f\,\left((x/X_{max})^2 - 1\right)^{1/2n}

    and the greatest of these is the answer: no search among filters.

    Parameters
    ----------
    travel_of : callable
        Takes frequencies [Hz], gives the peak travel there at the stated drive, without the filter [m].
    Xmax : float
        [m]
    order : int
        1 to 4: 6 to 24 dB an octave.
    lowest, highest : float
        Where the travel is watched from; the highest corner that is accepted. [Hz]

    Returns
    -------
    Corner or None
        None where no filter is needed: the cone stays inside at every note from `lowest` up.

    Raises
    ------
    InputError
        At "order" or "Xmax".

    Notes
    -----
    Watched at 48 points an octave, then once more closely about the worst: good to 0.1 % of the corner.
    A filter built into a player or amplifier is met exactly; of a real one, its stated slope and corner.
    """
    if order not in ORDERS or isinstance(order, bool):
        raise InputError("order", "must be 1, 2, 3 or 4")
    require_physical(Xmax=Xmax)
    f = np.geomspace(lowest, 10 * highest, round(PER_OCTAVE * np.log2(10 * highest / lowest)))
    asked = _corners(travel_of(f), Xmax, order, f)
    worst = int(np.argmax(asked))
    close = np.geomspace(f[max(worst - 1, 0)], f[min(worst + 1, f.size - 1)], 65)
    closely = _corners(travel_of(close), Xmax, order, close)
    best = int(np.argmax(closely))
    corner, at = float(closely[best]), float(close[best])
    if corner == 0:
        return None
    return Corner(corner if corner <= highest else None, at)


def _corners(travel, Xmax, order, f):
    """The corner [Hz] that each note asks for; 0 where the travel is inside already."""
    over = np.maximum((travel / Xmax) ** 2 - 1, 0)
    return f * over ** (1 / (2 * order))


def capacitor_transfer(f, Z, Z_phase, capacitor, Rs=0.0):
    r"""What a capacitor in series leaves at the box terminals, against the same box without it.

    .. math:: H = \frac{Z + R_s}{Z + R_s + 1/(j \omega C)}

    Parameters
    ----------
    f : array_like, shape (m,)
        [Hz]
    Z, Z_phase : array_like, shape (m,) or (n, m)
        Impedance of the box. [ohm], [deg]
    capacitor : float
        [F]
    Rs : float
        Other resistance before the terminals. [ohm]

    Returns
    -------
    H : ndarray of complex, shape (m,) or (n, m)
        [-]

    Notes
    -----
    The box is no resistor. At each impedance peak hardly any current flows, so the capacitor takes hardly
    any voltage and the cone is not protected there; below a peak the box is an inductance, which rings with
    the capacitor, and |H| may exceed 1. A closed box has one such peak, a vented box two, and the lower of
    them is where the cone moves most.
    """
    require_physical(f=f, capacitor=capacitor, Rs=Rs)
    whole = np.asarray(Z) * np.exp(1j * np.radians(Z_phase)) + Rs
    return whole / (whole + 1 / (2j * pi * np.asarray(f, dtype=float) * capacitor))


def capacitor_corner(R, capacitor):
    """Where a capacitor [F] would take half the power from a plain resistor R [ohm]: 1/(2 pi R C). [Hz]"""
    require_physical(Re=R, capacitor=capacitor)
    return 1 / (2 * pi * R * capacitor)
