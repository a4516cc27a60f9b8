"""Ways of a loudspeaker at the listener: their delays, their sum, one of them reversed, how two meet."""

from dataclasses import dataclass
from math import pi

import numpy as np

from calc.errors import InputError, require_within
from calc.sound.ranges import require_physical

FARTHEST = 1.0
"""How far an acoustic centre may lie off the front, either way. [m]"""


def delayed(H, f, offset, c):
    """Sound whose source lies farther off, after the time that the way takes.

    Parameters
    ----------
    H : ndarray of complex, shape (m,) or (k, m)
        Pressure of a source at the front. [any unit]
    f : array_like, shape (m,)
        [Hz]
    offset : float
        How much farther from the listener the acoustic centre lies; below zero nearer. [m]
    c : float
        [m/s]

    Returns
    -------
    ndarray of complex
        [unit of H]

    Notes
    -----
    Delay alone: the level that a few centimetres cost at the listener is left out.
    """
    require_physical(f=f, c=c)
    require_within(
        -FARTHEST, FARTHEST, "must be how far behind the front the sound comes from", offset=offset
    )
    return H * np.exp(-2j * pi * np.asarray(f, dtype=float) * offset / c)


def resonant_high_pass(f, fs, Q):
    """A driver in a sealed chamber, 1 far above its resonance: s²/(s² + s/Q + 1).

    Parameters
    ----------
    f : array_like, shape (m,)
        [Hz]
    fs, Q : float
        Resonance [Hz] and total Q [-] where it sits.

    Returns
    -------
    ndarray of complex, shape (m,)
        [-]

    References
    ----------
    R. H. Small, "Closed-Box Loudspeaker Systems, Part I: Analysis," J. Audio Eng. Soc. 20(10), 1972.
    """
    require_physical(f=f, fs=fs, Qtc=Q)
    s = 1j * np.asarray(f, dtype=float) / fs
    return s**2 / (s**2 + s / Q + 1)


def turned(ways):
    """The ways, [ndarray of complex] from the lowest to the highest, with every second one reversed.

    So each meets its neighbours the other way round: what adds up well makes a hole, and the deeper it is,
    the better they agree.
    """
    return [-way if i % 2 else way for i, way in enumerate(ways)]


def level(H):
    """20 log |H| [dB], never less than -400, which stands for a perfect null."""
    return 20 * np.log10(np.maximum(abs(np.asarray(H)), 1e-20))


@dataclass(frozen=True)
class Meeting:
    """Where two ways are equally loud, and how they meet there.

    f : [Hz]; angle : of the higher way before the lower, within ±180 [deg]
    gain : of the sum over one of them [dB]; null : least level of the sum with one reversed, over the sum
    there, within an octave of `f` [dB], at `null_f` [Hz]
    bump : of the sum at `f` over what it has an octave below and above, on the mean [dB]
    """

    f: float
    angle: float
    gain: float
    null: float
    null_f: float
    bump: float

    @property
    def better_turned(self):
        """Whether the two would be louder with one reversed."""
        return abs(self.angle) > 90


def meeting(f, low, high):
    """How two neighbouring ways meet.

    Parameters
    ----------
    f : ndarray, shape (m,)
        Rising. [Hz]
    low, high : ndarray of complex, shape (m,)
        Pressures at the listener. [any unit]

    Returns
    -------
    Meeting or None
        None where they are nowhere equally loud. Where they are so several times, the loudest counts.

    Notes
    -----
    Between two frequencies level and phase are straight lines over ln f, so f should be no coarser than a
    24th of an octave. Two equal sounds apart by the angle a add up to 2 cos(a/2) and, one reversed, to
    2 sin(a/2): a null of -20 dB says that a is 11 degrees, one of -10 dB 35 degrees, -6 dB 53.
    """
    f = np.asarray(f, dtype=float)
    if f.ndim != 1 or np.any(np.diff(f) <= 0):
        raise InputError("f", "must rise from the lowest to the highest")
    apart = level(high) - level(low)
    passes = np.flatnonzero((apart[:-1] < 0) & (apart[1:] >= 0))
    if not passes.size:
        return None
    i = int(passes[np.argmax(level(low)[passes])])
    share = apart[i] / (apart[i] - apart[i + 1])
    x = np.log(f)
    at = x[i] + share * (x[i + 1] - x[i])
    one, other = high[i : i + 2] / low[i : i + 2]
    angle = np.angle(one) + share * np.angle(other / one)
    whole, against = low + high, low - high
    near = abs(x - at) <= np.log(2)
    depth = np.where(near, level(against) - level(whole), np.inf)
    null = int(np.argmin(depth))
    around = np.interp([at - np.log(2), at, at + np.log(2)], x, level(whole))
    return Meeting(
        f=float(np.exp(at)),
        angle=float(np.degrees(np.angle(np.exp(1j * angle)))),
        gain=float(level(1 + np.exp(1j * angle))),
        null=float(depth[null]),
        null_f=float(f[null]),
        bump=float(around[1] - (around[0] + around[2]) / 2),
    )
