r"""The phase that belongs to a level, where nothing in the sound arrives late but the sound itself.

Bode's integral, with the level a chain of straight lines over the logarithm of frequency, each line's part
in closed form:

.. math:: \varphi(\omega_0) = \frac{1}{\pi} \sum_i n_i \,[G(u_{i+1}) - G(u_i)], \qquad
   u = \ln(\omega / \omega_0), \qquad
   G(u) = \int_0^u \ln\coth\frac{|t|}{2}\,dt = \pm\left(\frac{\pi^2}{4} - 2\chi_2(e^{-|u|})\right)

n is the slope, d ln|H| / d ln f, and chi Legendre's function of order 2.
"""

from functools import lru_cache
from math import pi

import numpy as np

from calc.errors import InputError
from calc.sound.ranges import require_physical

EDGE = 0.5
"""Over how many octaves at each end the slope is taken that goes on beyond. [octaves]"""


def minimum_phase(f, level, low_slope=None, high_slope=None):
    """Phase that belongs to a level.

    Parameters
    ----------
    f : array_like, shape (m,)
        Rising, at least two. [Hz]
    level : array_like, shape (m,)
        [dB]
    low_slope, high_slope : float, optional
        How the level goes on below and above, in dB an octave; None takes the slope of the outermost half
        octave.

    Returns
    -------
    ndarray, shape (m,)
        [deg], continuous

    Raises
    ------
    InputError
        At "f" or "level".

    Notes
    -----
    Exact for straight lines in dB over ln f. A real curve must be given about 24 times an octave, and its
    slopes beyond both ends must be known: a slope that is wrong by 6 dB an octave turns the phase by 45
    degrees at that end and by 9 degrees two octaves inside. A driver on a baffle is of minimum phase but
    for the way its sound takes; several drivers added up at different distances, or echoes, are not.

    References
    ----------
    H. W. Bode, "Network Analysis and Feedback Amplifier Design," 1945 (from memory); the integral of the
    weight is worked out from ln coth(t/2) = 2 sum of exp(-(2k+1)t)/(2k+1).
    """
    require_physical(f=f)
    f, level = np.asarray(f, dtype=float), np.asarray(level, dtype=float)
    if f.ndim != 1 or f.size < 2 or np.any(np.diff(f) <= 0):
        raise InputError("f", "must rise from the lowest to the highest, two of them at least")
    if level.shape != f.shape or not np.all(np.isfinite(level)):
        raise InputError("level", "needs one number of decibels for each frequency")
    x, A = np.log(f), level * np.log(10) / 20
    octave = np.log(10) / 20 / np.log(2)  # from dB an octave to d ln|H| / d ln f
    slopes = np.concatenate((
        [_edge(x, A, 0) if low_slope is None else low_slope * octave],
        np.diff(A) / np.diff(x),
        [_edge(x, A, -1) if high_slope is None else high_slope * octave],
    ))  # fmt: skip
    return np.degrees(_shares(tuple(x)) @ slopes / pi)


@lru_cache(maxsize=4)
def _shares(x):
    """What each slope weighs at each of x = ln f, those beyond the ends first and last; shape (m, m + 1)."""
    x = np.array(x)
    weights = np.full((x.size, x.size + 2), pi**2 / 4)
    weights[:, 0] = -(pi**2) / 4
    weights[:, 1:-1] = _weight(x - x[:, None])
    return np.diff(weights, axis=1)


def _edge(x, A, end):
    """Slope of the outermost half octave at one end, 0 or -1. [-]"""
    near = abs(x - x[end]) <= EDGE * np.log(2) * (1 + 1e-9)
    if near.sum() < 2:
        near = np.zeros(x.size, dtype=bool)
        near[:2] = end == 0
        near[-2:] |= end == -1
    return np.polyfit(x[near], A[near], 1)[0]


def _weight(u):
    """Integral of ln coth|t/2| from 0 to u. [-]"""
    from scipy.special import spence  # Li2(z) = spence(1 - z); costs 50 ms, so only where phase is missing

    z = np.exp(-abs(u))
    chi = (spence(1 - z) - spence(1 + z)) / 2
    return np.sign(u) * (pi**2 / 4 - 2 * chi)
