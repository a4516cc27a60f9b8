"""A record player as source: slow movement below all music, which moves the cone and makes no sound.

No published spectrum of it was found and none is used: how strong it is, is stated in dB below the music.
"""

from typing import NamedTuple

import numpy as np

from calc.errors import InputError
from calc.sound.ranges import require_physical

TURN = 100 / 3 / 60
"""Once per turn of a long-playing record, 33 1/3 in a minute: a warp comes by this often. [Hz]"""

ARM = (8.0, 12.0)
"""Where arm and cartridge usually resonate on the stylus' spring (common practice, no source). [Hz]"""

USUAL_LEVEL = -20.0
"""Subsonic level against the drive of the music, where the user does not know it (common practice, no
source). [dB]"""

LOOKED_AT = np.geomspace(2.0, 16.0, 145)
"""Warps with their harmonics, the arm, and the rumble of the bearing, 48 points an octave. [Hz]"""


class Subsonic(NamedTuple):
    """Peak travel `x` [m] of one cone at each of `f` [Hz]; the most, `worst` [m], comes at `at` [Hz]."""

    f: np.ndarray
    x: np.ndarray
    worst: float
    at: float


def subsonic_travel(travel_of, level=USUAL_LEVEL, f=LOOKED_AT):
    """How far a record player moves the cone below the music.

    Parameters
    ----------
    travel_of : callable
        Takes frequencies [Hz], gives the peak travel of one cone at the drive of the music [m]: by the
        circuit, filter and capacitor included.
    level : float
        Of a steady subsonic sine against that drive, not above 0. [dB]
    f : ndarray, shape (m,)
        [Hz]

    Returns
    -------
    Subsonic

    Raises
    ------
    InputError
        At "subsonic" for a level above the music's.

    Notes
    -----
    One sine at a time, at the same level at each frequency: a real player has its peak where arm and
    cartridge resonate. It comes on top of the travel that the music asks for.
    """
    if not -120 <= level <= 0:
        raise InputError("subsonic", "must be a level below the music's, such as −20 dB")
    x = travel_of(f) * 10 ** (level / 20)
    most = int(np.argmax(x))
    return Subsonic(f, x, float(x[most]), float(f[most]))


def standstill_travel(driver, V, Rs=0.0):
    """Peak travel [m] of a cone in free air as the frequency goes to zero: sqrt(2) V Bl Cms/(Re + Rs).

    A vented box comes to the same: far below its tuning the port lets the air out, and nothing but the
    suspension holds the cone. A closed box divides it by 1 + Vas/Vb.

    `driver` is the `Constants` of the wired group, V [volt rms], Rs [ohm].
    """
    require_physical(V=V, Rs=Rs)
    return 2**0.5 * V * driver.Bl * driver.Cms / (driver.Re + Rs)
