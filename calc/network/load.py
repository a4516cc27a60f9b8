"""What a network asks of the amplifier, and what heat and voltage it gives to each part."""

from math import log, sqrt
from typing import NamedTuple

import numpy as np

from calc.errors import InputError, require_positive
from calc.sound.noise import LEAST_CREST, MOST_CREST, pink_rms
from calc.sound.ranges import require_physical

LEAST_OF_RATED = 0.8
"""The impedance may fall to this part of its rated value (IEC 60268-5, from memory). [-]"""


class Least(NamedTuple):
    """The lowest impedance [ohm] and where it lies [Hz]."""

    Z: float
    f: float


def least_impedance(f, Z):
    """The lowest magnitude among Z [ohm, shape (m,)] at f [Hz, shape (m,)], no finer than f; see `Least`."""
    require_physical(f=f)
    size = abs(np.asarray(Z))
    if size.shape != np.shape(f) or size.ndim != 1 or not size.size:
        raise InputError("Z", "needs one impedance for each frequency")
    at = int(size.argmin())
    return Least(float(size[at]), float(np.asarray(f)[at]))


def least_allowed(rated):
    """How low the impedance of a loudspeaker may fall that is called `rated` [ohm]. [ohm]"""
    require_positive(rated=rated)
    return LEAST_OF_RATED * rated


def highest_rating(least):
    """The highest rated impedance that a lowest impedance `least` [ohm] bears out. [ohm]"""
    require_positive(least=least)
    return least / LEAST_OF_RATED


def pink_share(f, f1=20.0, f2=20e3):
    """Part of the power of pink noise from f1 to f2 [Hz] that lies below f [Hz]: ln(f/f1)/ln(f2/f1). [-]"""
    require_positive(f=f, f1=f1, f2=f2)
    if not f1 < f2:
        raise InputError("f2", "must lie above the lower end of the noise")
    if not f1 <= f <= f2:
        raise InputError("f", "must lie within the noise")
    return log(f / f1) / log(f2 / f1)


class Burden(NamedTuple):
    """What one part bears, from the same amplifier at the edge of clipping each time.

    `sine_power` [W] is the most of any single tone, at `f` [Hz]; `noise_power` [W] that of pink noise;
    `peak_voltage` [V] the most of any single tone; `noise_voltage` [V] the rms of pink noise.
    """

    sine_power: float
    f: float
    noise_power: float
    peak_voltage: float
    noise_voltage: float


def burden(solution, part, crest):
    """What a part bears, see `Burden`.

    Parameters
    ----------
    solution : Solution
        Of one variant, f rising over the band of the noise; its source is the amplifier's largest sine.
    part : Resistor, Coil, Capacitor or DriverPart
        One of its network's.
    crest : float
        Peak over rms of the noise. Its peaks reach those of the sine. [-]

    Raises
    ------
    InputError
        At "crest", or at "f" unless it rises.

    Notes
    -----
    The noise has equal power in every octave between the first and the last frequency. Music puts less
    into the tweeter. Noise through a filter may peak higher than its crest factor says at the source, so
    only its rms is told of it.
    """
    if not LEAST_CREST <= crest <= MOST_CREST:
        raise InputError("crest", "must be at least that of a square wave, and not beyond all music")
    f, across = solution.f, abs(solution.across(part))
    power = np.broadcast_to(solution.power(part), across.shape)
    if across.ndim != 1:
        raise InputError("f", "must belong to one variant of the network")
    softer = sqrt(2) / crest  # rms of the noise over rms of the sine, where both peak alike
    at = int(power.argmax())
    return Burden(
        sine_power=float(power[at]),
        f=float(f[at]),
        noise_power=float(pink_rms(f, np.sqrt(power)) * softer) ** 2,
        peak_voltage=float(sqrt(2) * across.max()),
        noise_voltage=float(pink_rms(f, across) * softer),
    )
