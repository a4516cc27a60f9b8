"""How low a box reaches and how loud it can play before cone, coil or port gives out."""

from dataclasses import dataclass
from math import log10, pi

import numpy as np

from calc.errors import InputError
from calc.sound.driver import P_REF
from calc.sound.ranges import require_physical

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

    level : [dB], (m,); None if no limit is known; infinite where nothing that is limited moves
    by : "travel", "power" or "port" for each frequency, (m,); None if no limit is known
    travel, power, port : [dB], (m,); each None if it cannot be told
    unknown : names of the limits that cannot be told
    """

    level: np.ndarray | None
    by: np.ndarray | None
    travel: np.ndarray | None
    power: np.ndarray | None
    port: np.ndarray | None
    unknown: tuple


def largest_level(response, V, Re, Xmax=None, Pe=None, port_limit=None):
    """Largest level of a box against frequency: the lowest of what travel, power and port allow.

    Parameters
    ----------
    response : Response
        At `V`; the model is linear.
    V : float
        [volt rms]
    Re : float
        Coil resistance of the wired group. [ohm]
    Xmax : float, optional
        Peak travel of one cone. [m]
    Pe : float, optional
        Power that the whole group bears; it stands for V = sqrt(Pe Re) at every frequency. [W]
    port_limit : float, optional
        Peak air speed that is accepted in the port. [m/s]

    Returns
    -------
    LargestLevel
    """
    require_physical(V=V, Re=Re, Xmax=Xmax, Pe=Pe)
    if port_limit is not None and not 0 < port_limit < 1000:
        raise InputError("port_limit", "must be an air speed above zero")
    singles = {
        "travel": None if Xmax is None else _allowed(response, Xmax, response.cone),
        "power": None if Pe is None else response.level + 20 * log10((Pe * Re) ** 0.5 / V),
        "port": None
        if port_limit is None or response.port_speed is None
        else _allowed(response, port_limit, response.port_speed),
    }
    known = [name for name, single in singles.items() if single is not None]
    unknown = tuple(name for name in singles if name not in known)
    if not known:
        return LargestLevel(None, None, **singles, unknown=unknown)
    stack = np.stack([singles[name] for name in known])
    return LargestLevel(stack.min(axis=0), np.array(known)[stack.argmin(axis=0)], **singles, unknown=unknown)


def _allowed(response, most, actual):
    """The level once `actual` is driven up to `most`; infinite where nothing moves."""
    ratio = np.full(actual.shape, np.inf)
    np.divide(most, actual, out=ratio, where=actual > 0)
    return response.level + 20 * np.log10(ratio)


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
