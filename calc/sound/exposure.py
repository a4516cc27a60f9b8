"""How long a loud place may be borne: the usual limits for hearing, in hours."""

from math import log10

from calc.sound.ranges import require_physical

CRITERION = 85.0
"""Level that is commonly taken as the most for a whole working day, A-weighted (criterion of NIOSH, and upper
action value of the European rules; from memory). [dB]"""

DAY = 8.0
"""[h]"""

HALVING = 3.0
"""How much louder halves the time: the same energy (same sources, from memory). [dB]"""


def hours_a_day(level):
    """How long a steady level [dB, A-weighted] is commonly allowed in a day; never more than 24. [h]

    A bass-heavy level that is not A-weighted counts for less than it seems, so taking it as it is errs on
    the safe side. Local rules come first; ears differ, and no limit keeps every ear whole.
    """
    return min(24.0, DAY * 2 ** ((CRITERION - level) / HALVING))


def dose(level, hours):
    """Part of a day's allowance that `hours` [h] of a level [dB, A-weighted] use up; 1 is all of it. [-]

    The sum of hours over allowed hours, of which a quiet level has more than a day has: see `hours_a_day`.
    """
    return hours / (DAY * 2 ** ((CRITERION - level) / HALVING))


def level_at(level, distance):
    """Level [dB] at `distance` [m] of a loudspeaker that gives `level` [dB] at 1 m, without any room.

    A room keeps the sound in, so far from the loudspeaker it is louder than this.
    """
    require_physical(distance=distance)
    return level - 20 * log10(distance)
