"""What an amplifier must give for a wanted level at the seat, and what its label should say."""

from math import log10, pi

from calc.errors import require_positive
from calc.network.load import least_allowed
from calc.sound.exposure import level_at

RATINGS = (16.0, 8.0, 6.0, 4.0, 3.0, 2.0)
"""Impedances that loudspeakers are sold as and amplifiers rated into (common practice, no source). [ohm]"""

HALF_SPACE = 2.0
"""Directivity of a source that sends into one half of the room. [-]"""

_HAIR = 1e-9


def more_needed(wanted, level, distance, gain=0.0, speakers=1):
    """How much more than it is driven with a speaker needs. [dB]

    Parameters
    ----------
    wanted : float
        Level at the seat. [dB]
    level : float
        Of one speaker as it is driven, at 1 m. [dB]
    distance : float
        To the seat. [m]
    gain : float
        What the room adds to free field there, less what the bass loses round a narrow box. [dB]
    speakers : int
        That play together, each its own music: their powers add.

    Notes
    -----
    Free field: 6 dB less for twice the distance. In a room the level falls more slowly, and `gain` is that.
    """
    require_positive(speakers=speakers)
    return wanted - level_at(level, distance) - gain - 10 * log10(speakers)


def room_gain(distance, volume, T):
    r"""How much louder it is at a seat in a room than the direct sound alone. [dB]

    .. math:: 10 \log (1 + 16 \pi r^2 / (Q A)), \quad A = 0.161 V / T, \quad Q = 2

    Parameters
    ----------
    distance : float
        To the seat. [m]
    volume : float
        Of the room. [m³]
    T : float
        Time in which its sound falls by 60 dB. [s]

    Notes
    -----
    A diffuse field behind a source that sends into one half of the room; from a few hundred hertz up, in a
    room without one very short side.

    References
    ----------
    W. C. Sabine's A; direct and diffuse sound as in L. L. Beranek, *Acoustics*, 1954 (from memory).
    """
    require_positive(distance=distance, volume=volume, T=T)
    A = 0.161 * volume / T
    return 10 * log10(1 + 16 * pi * distance**2 / (HALF_SPACE * A))


def rating_borne_out(least):
    """The highest usual rating that a lowest impedance `least` [ohm] bears out; None below all. [ohm]"""
    return next((rating for rating in RATINGS if least_allowed(rating) <= least * (1 + _HAIR)), None)
