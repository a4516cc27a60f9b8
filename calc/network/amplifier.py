"""What an amplifier must give for a wanted level at the seat, and what its label should say."""

from math import log10

from calc.errors import require_positive
from calc.network.load import least_allowed
from calc.sound.exposure import level_at

RATINGS = (16.0, 8.0, 6.0, 4.0, 3.0, 2.0)
"""Impedances that loudspeakers are sold as and amplifiers rated into (common practice, no source). [ohm]"""

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


def rating_borne_out(least):
    """The highest usual rating that a lowest impedance `least` [ohm] bears out; None below all. [ohm]"""
    return next((rating for rating in RATINGS if least_allowed(rating) <= least * (1 + _HAIR)), None)
