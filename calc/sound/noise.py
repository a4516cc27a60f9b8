"""Pink noise at a loudspeaker: what it moves and heats, how high it peaks, and how loud it may get.

Music is no sine: it spreads over many notes at once and peaks above its mean. No published spectrum of music
was found that a box could be judged by, and none is invented here: noise of equal power in every octave,
between two stated frequencies, with a stated ratio of peak to rms, stands in for it.
"""

from dataclasses import dataclass
from math import erfc, log10, sqrt

import numpy as np

from calc.errors import InputError
from calc.sound.limits import fastest_air, require_limits
from calc.sound.ranges import require_physical

MUSIC_CREST = 4.0
"""Peak over rms of the noise that stands in for music, 12 dB (common practice, no source). [-]"""

TEST_CREST = 2.0
"""Peak over rms of the noise that drivers are rated with, 6 dB (after IEC 60268-5, from memory). [-]"""

LEAST_CREST, MOST_CREST = 1.0, 20.0
"""A square wave has 1; beyond 20 nothing is left to judge. [-]"""


def pink_rms(f, X):
    r"""Rms of what pink noise makes of a quantity whose answer to a sine is known.

    Pink noise of rms 1 between f[0] and f[-1] has the power density 1/(f ln(f[-1]/f[0])), so

    .. math:: x^2 = \frac{1}{\ln(f_2/f_1)} \int_{f_1}^{f_2} |X(f)|^2 \frac{df}{f}

    Parameters
    ----------
    f : array_like, shape (m,)
        Rising, at least two; the first and the last bound the noise. [Hz]
    X : array_like, shape (m,) or (n, m)
        Magnitude per rms of a sine at each frequency. [any unit]

    Returns
    -------
    rms : float or ndarray, shape (n,)
        For noise of the rms that the sines had. [unit of X]

    Raises
    ------
    InputError
        At "f" unless it rises.

    Notes
    -----
    Between two neighbours |X|² is taken as a power of f, which is exact for any slope in dB an octave and
    close where a resonance is drawn with 20 points an octave or more.
    """
    require_physical(f=f)
    f, square = np.asarray(f, dtype=float), np.asarray(X, dtype=float) ** 2
    steps = np.diff(np.log(f))
    if f.size < 2 or not (steps > 0).all():
        raise InputError("f", "must rise from the lowest to the highest frequency of the noise")
    mean = (_means(square[..., :-1], square[..., 1:]) * steps).sum(axis=-1) / steps.sum()
    return mean**0.5


def _means(a, b):
    """Mean of a power of f between its values a and b, over ln f: (b - a)/ln(b/a)."""
    plain = (a + b) / 2  # right to the last digit where the two are near, and the way out where one is zero
    steep = (a > 0) & (b > 0) & (abs(b - a) > 1e-4 * plain)
    log_ratio = np.ones_like(plain)
    np.divide(b, a, out=log_ratio, where=steep)
    np.log(log_ratio, out=log_ratio, where=steep)
    means = plain.copy()
    np.divide(b - a, log_ratio, out=means, where=steep)
    return means


def share_beyond(crest):
    """Share of the time [-] that a normal quantity spends beyond `crest` times its rms, both ways.

    What passes a resonance tends to a normal distribution whatever its own peaks were, since each moment
    adds up many that went before; so a crest factor is an agreement on how rare a peak may be passed over,
    not the highest peak that ever comes.
    """
    require_crest(crest)
    return erfc(crest / sqrt(2))


def require_crest(crest):
    """Refuse a ratio of peak to rms that no noise has."""
    if not LEAST_CREST <= crest <= MOST_CREST:
        raise InputError("crest", "must be a peak over its rms: 1.4 for a sine, 4 for music")


@dataclass(frozen=True)
class NoiseMotion:
    """What noise of `V` [volt rms] does. Each is a float, or an ndarray (n,) for n variants.

    travel, radiator : peak, crest x rms [m]; port_speed : the same [m/s]; None where there is none
    volts : peak that the amplifier has to give [volt]
    current : rms through the terminals [A]; power : mean heat in the coil [W]
    level : [dB], of the rms; its peaks lie 20 log10(crest) higher
    """

    V: float
    crest: float
    travel: np.ndarray
    port_speed: np.ndarray | None
    radiator: np.ndarray | None
    volts: np.ndarray
    current: np.ndarray
    power: np.ndarray
    level: np.ndarray


def noise_motion(response, V, Re, crest=MUSIC_CREST, passed=1.0, crossed=1.0):
    """What pink noise of the rms `V` does to a box.

    Parameters
    ----------
    response : Response
        At V rms, at frequencies that rise from the lowest to the highest of the noise.
    V : float
        Of the whole noise, before every filter. [volt rms]
    Re : float
        Coil resistance of the wired group. [ohm]
    crest : float
        Peak over rms. [-]
    passed : array_like, shape (m,), optional
        What a filter before the amplifier lets through (the response knows it already). [-]
    crossed : array_like, shape (m,), optional
        What a crossover behind the amplifier leaves of each frequency to this box (the response does not
        know it). [-]

    Returns
    -------
    NoiseMotion

    Notes
    -----
    As linear as the circuit is. One crest factor holds for all quantities, by agreement: see `share_beyond`.
    The power is the heat in Re by the current that really flows, so the impedance peaks count.
    """
    require_physical(V=V, Re=Re)
    require_crest(crest)
    f, shape = response.f, response.level.shape
    crossed = np.broadcast_to(np.asarray(crossed, dtype=float), shape)

    def rms(curve):
        return pink_rms(f, curve * crossed)

    def peak(curve):
        return None if curve is None else crest * rms(curve) / 2**0.5  # curves hold the peak of a sine

    current = rms(_at_terminals(response, V) / response.Z)
    pressure = rms(10 ** (response.level / 20))
    return NoiseMotion(
        V=V, crest=crest,
        travel=peak(response.cone),
        port_speed=peak(fastest_air(response)),
        radiator=peak(response.radiator),
        volts=crest * V * pink_rms(f, np.broadcast_to(np.asarray(passed, dtype=float), shape)),
        current=current,
        power=current**2 * Re,
        level=20 * np.log10(pressure),
    )  # fmt: skip


def _at_terminals(response, V):
    return V if response.voltage is None else response.voltage


@dataclass(frozen=True)
class LargestNoise:
    """The loudest noise that a box plays clean. Floats, or ndarrays (n,) for n variants.

    V : [volt rms]; level : [dB] of its rms; both None if no limit is known
    by : "travel", "power", "port", "amplifier" or "radiator"; None if no limit is known
    volts : {limit: volt rms that it would allow alone}, of what is known
    unknown : names of the limits of driver and box that cannot be told
    """

    V: np.ndarray | None
    level: np.ndarray | None
    by: np.ndarray | None
    volts: dict
    unknown: tuple


def largest_noise(motion, Xmax=None, Pe=None, port_limit=None, amplifier=None, radiator_Xmax=None):
    """The loudest pink noise that stays inside every limit.

    Parameters
    ----------
    motion : NoiseMotion
        At any drive; the model is linear.
    Xmax, radiator_Xmax : float, optional
        Peak travel of one cone, of one passive radiator: held by the peaks. [m]
    Pe : float, optional
        Power that the whole group bears: held by the mean heat in the coil. [W]
    port_limit : float, optional
        Peak air speed that is accepted: held by the peaks. [m/s]
    amplifier : float, optional
        The largest sine before it clips, sqrt(2) times less than the peak that it gives. [volt rms]

    Returns
    -------
    LargestNoise
    """
    require_physical(Xmax=Xmax, Pe=Pe)
    require_limits(port_limit, amplifier, radiator_Xmax)
    drives = {
        "travel": _drive(Xmax, motion.travel),
        "power": None if Pe is None else _drive(Pe, motion.power) ** 0.5,
        "port": _drive(port_limit, motion.port_speed),
        "amplifier": None if amplifier is None else _drive(2**0.5 * amplifier, motion.volts),
        "radiator": _drive(radiator_Xmax, motion.radiator),
    }
    volts = {name: motion.V * drive for name, drive in drives.items() if drive is not None}
    may_lack = ("travel", "power") + tuple(
        name for name, has in (("port", motion.port_speed), ("radiator", motion.radiator)) if has is not None
    )
    unknown = tuple(name for name in may_lack if name not in volts)
    if not volts:
        return LargestNoise(None, None, None, volts, unknown)
    stack = np.stack(np.broadcast_arrays(*volts.values()))
    most = stack.min(axis=0)
    by = np.array(tuple(volts))[stack.argmin(axis=0)]
    return LargestNoise(most, motion.level + 20 * np.log10(most / motion.V), by, volts, unknown)


def _drive(most, actual):
    """How many times the drive brings `actual` up to `most`; infinite where nothing moves. [-]"""
    if most is None or actual is None:
        return None
    actual = np.asarray(actual, dtype=float)
    ratio = np.full(actual.shape, np.inf)
    np.divide(most, actual, out=ratio, where=actual > 0)
    return ratio


def decibels(crest):
    """A crest factor [-] as the peak's height above the rms. [dB]"""
    require_crest(crest)
    return 20 * log10(crest)
