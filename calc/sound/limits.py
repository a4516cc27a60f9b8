"""How low a box reaches and how loud it can play before cone, coil, port, radiator or amplifier gives out."""

from dataclasses import dataclass
from math import log10, pi
from typing import NamedTuple

import numpy as np

from calc.errors import InputError
from calc.sound.driver import P_REF
from calc.sound.ranges import problem, require_physical

AUDIBLE = 15.0
"""Travel and air speed below this are not judged on any page that speaks of music: none is there, and a
high-pass or the amplifier ends it. [Hz]"""

SEARCHED = np.geomspace(0.5, 20e3, 620)
"""Where a cut-off is looked for, 40 points an octave. [Hz]"""


def reference_level(driver, V, Rs, c, rho, distance=1.0):
    """Level [dB] that a driver would hold in mid band, half space, without box losses and coil inductance.

    Parameters
    ----------
    driver : Constants
        Of the wired group.
    V, Rs : float
        Source [volt rms] and the resistance before the terminals [ohm].
    c, rho : float
        Speed of sound [m/s] and density [kg/m³]; c is not used, since pressure follows acceleration alone.
    distance : float
        [m]

    Notes
    -----
    The mass alone rules there: the acceleration is Bl V / ((Re + Rs) Mms).
    """
    require_physical(V=V, Rs=Rs, c=c, rho=rho, distance=distance)
    A = driver.Sd * driver.Bl * V / ((driver.Re + Rs) * driver.Mms)
    return 20 * log10(rho * A / (2 * pi * distance * P_REF))


def cutoffs(box, reference, drops=(3.0, 6.0, 10.0)):
    """Frequencies below which the level of a box stays under a reference by each of `drops`.

    Parameters
    ----------
    box : callable
        Takes frequencies [Hz], gives a `Response`. Build it from a driver without inductance
        (`driver.without_inductance`), or the coil tilts what is meant to judge the box.
    reference : float
        See `reference_level`. [dB]
    drops : tuple of float
        [dB]

    Returns
    -------
    dict of drop to float or None
        The highest frequency at which the level comes up through reference - drop, to better than 0.01 Hz;
        None where it never does between 0.5 Hz and 20 kHz.
    """
    level = box(SEARCHED).level
    coarse = {drop: _last_rise(level, reference - drop) for drop in drops}
    found = [drop for drop in drops if coarse[drop] is not None]
    if not found:
        return coarse
    f = np.stack([np.linspace(SEARCHED[i], SEARCHED[i + 1], 33) for i in map(coarse.get, found)])
    level = box(f.ravel()).level.reshape(f.shape)
    return coarse | {drop: _meeting(f[row], level[row], reference - drop) for row, drop in enumerate(found)}


def _last_rise(level, wanted):
    """Index of the last interval in which the level comes up through `wanted`; None if there is none."""
    rises = np.flatnonzero((level[:-1] < wanted) & (level[1:] >= wanted))
    return int(rises[-1]) if rises.size else None


def _meeting(f, level, wanted):
    """Where the level comes up through `wanted`, straight between its last two neighbours there."""
    i = _last_rise(level, wanted)
    i = len(f) - 2 if i is None else i  # missed by a rounding, at the far end
    share = (wanted - level[i]) / (level[i + 1] - level[i])
    return float(f[i] + share * (f[i + 1] - f[i]))


@dataclass(frozen=True)
class LargestLevel:
    """How loud each frequency may get, and what stops it.

    level : [dB], (m,) or (n, m); None if no limit is known; infinite where nothing that is limited moves
    by : "travel", "power", "port", "amplifier" or "radiator" for each frequency; None if no limit is known
    travel, power, port, amplifier, radiator : [dB], the same shape; each None if it cannot be told
    unknown : names of the limits of driver and box that cannot be told
    """

    level: np.ndarray | None
    by: np.ndarray | None
    travel: np.ndarray | None
    power: np.ndarray | None
    port: np.ndarray | None
    unknown: tuple
    amplifier: np.ndarray | None = None
    radiator: np.ndarray | None = None


def largest_level(
    response, V, Re, Xmax=None, Pe=None, port_limit=None, amplifier=None, radiator_Xmax=None, passed=1.0
):
    """Largest level of a box against frequency, by a sine: the lowest of what each limit allows.

    Parameters
    ----------
    response : Response
        At `V`; the model is linear.
    V : float
        The source that the response is for. [volt rms]
    Re : float
        Coil resistance of the wired group. [ohm]
    Xmax : float, optional
        Peak travel of one cone. [m]
    Pe : float, optional
        Power that the whole group bears; it stands for sqrt(Pe Re) at the box terminals at every
        frequency, which is how sheets rate it. [W]
    port_limit : float, optional
        Peak air speed that is accepted, in the faster port of a box that has two. [m/s]
    amplifier : float, optional
        The largest sine that it gives before it clips. [volt rms]
    radiator_Xmax : float, optional
        Peak travel of one passive radiator. [m]
    passed : ndarray, shape (m,), optional
        What a filter before the amplifier lets through of the source. [-]

    Returns
    -------
    LargestLevel

    Raises
    ------
    InputError
        For a limit that is no size of a loudspeaker, at its name.
    """
    require_physical(V=V, Re=Re, Xmax=Xmax, Pe=Pe)
    require_limits(port_limit, amplifier, radiator_Xmax)
    speed = fastest_air(response)
    # each limit over what the drive V makes of it; None where either is not known
    singles = {
        "travel": _allowed(response, Xmax, response.cone),
        "power": _allowed(response, None if Pe is None else (Pe * Re) ** 0.5, _at_terminals(response, V)),
        "port": _allowed(response, port_limit, speed),
        "amplifier": _allowed(response, amplifier, V * np.asarray(passed, dtype=float)),
        "radiator": _allowed(response, radiator_Xmax, response.radiator),
    }
    known = [name for name, single in singles.items() if single is not None]
    may_lack = ("travel", "power", "port") + (() if response.radiator is None else ("radiator",))
    unknown = tuple(name for name in may_lack if name not in known)
    if not known:
        return LargestLevel(None, None, **singles, unknown=unknown)
    stack = np.stack([singles[name] for name in known])
    return LargestLevel(stack.min(axis=0), np.array(known)[stack.argmin(axis=0)], **singles, unknown=unknown)


def require_limits(port_limit=None, amplifier=None, radiator_Xmax=None):
    """Refuse a limit that is none, at its own name; None passes as "not given"."""
    if port_limit is not None and not 0 < port_limit < 1000:
        raise InputError("port_limit", "must be an air speed above zero")
    for name, symbol, value in (("amplifier", "V", amplifier), ("radiator_Xmax", "Xmax", radiator_Xmax)):
        if value is not None and (sentence := problem(symbol, value)):
            raise InputError(name, sentence)


def fastest_air(response):
    """Peak speed [m/s] in the faster of a box's ports at each frequency; None where no port is known."""
    speeds = [v for v in (response.port_speed, response.rear_port_speed) if v is not None]
    return np.max(speeds, axis=0) if speeds else None


def _at_terminals(response, V):
    """What is left at the box terminals [volt rms]; the source where the response does not say."""
    return np.full_like(response.level, V) if response.voltage is None else response.voltage


def _allowed(response, most, actual):
    """The level once `actual` is driven up to `most`; infinite where nothing moves, None if either is."""
    if most is None or actual is None:
        return None
    actual = np.broadcast_to(actual, response.level.shape)
    ratio = np.full(actual.shape, np.inf)
    np.divide(most, actual, out=ratio, where=actual > 0)
    return response.level + 20 * np.log10(ratio)


class Stretch(NamedTuple):
    """The notes `low` to `high` [Hz] that one limit, `by`, stops."""

    by: str
    low: float
    high: float


def stretches(f, by):
    """Which limit rules at which note, from the lowest up.

    Parameters
    ----------
    f : ndarray, shape (m,)
        Rising. [Hz]
    by : ndarray of str, shape (m,)
        See `LargestLevel`.

    Returns
    -------
    tuple of Stretch
        They meet halfway, by ratio, between the neighbours at which the limits change.
    """
    changes = np.flatnonzero(by[1:] != by[:-1])
    edges = [f[0], *np.sqrt(f[changes] * f[changes + 1]), f[-1]]
    firsts = [0, *(changes + 1)]
    return tuple(
        Stretch(str(by[i]), float(low), float(high))
        for i, low, high in zip(firsts, edges[:-1], edges[1:], strict=True)
    )


def volume_velocity_level(f, U, rho, distance=1.0):
    """Level [dB] in half space of a small source of volume velocity U [m³/s rms] at f [Hz]."""
    require_physical(f=f, rho=rho, distance=distance)
    return 20 * np.log10(rho * np.asarray(f) * U / distance / P_REF)


def travel_limited_power(f, Vd, c, rho):
    """Acoustic power [W], half space, of a sine at f [Hz] that moves Vd [m³ peak]: 4 pi³ rho/c f⁴ Vd²."""
    require_physical(f=f, c=c, rho=rho)
    return 4 * pi**3 * rho / c * np.asarray(f) ** 4 * Vd**2


def travel_limited_level(f, Vd, rho, distance=1.0):
    """Level [dB] of the same in half space at `distance` [m]."""
    return volume_velocity_level(f, 2 * pi * np.asarray(f) * Vd / np.sqrt(2), rho, distance)
