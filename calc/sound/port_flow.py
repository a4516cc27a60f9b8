"""How hard the air in a port may blow: speed against power, what published work says, what its ends lose."""

from math import pi, sqrt
from typing import NamedTuple

import numpy as np

from calc.errors import InputError, require_positive
from calc.sound.port import CAUTIOUS_SPEED, OLDER_SPEED, Guidance, air_travel

TRANSITION = Guidance(
    500.0,
    "Reynolds number by the boundary layer, peak speed x sqrt(2 mu/(rho w)) x rho/mu, from which air that "
    "swings in a smooth pipe bursts into turbulence; from memory, after Hino, Sawamoto and Takasu, "
    "Experiments on Transition to Turbulence in an Oscillatory Pipe Flow, J. Fluid Mech. 75, 1976",
)
GENTLE_FLARE = Guidance(
    8.0,
    "Fewer dB of blowing noise near a pipe resonance, of a port that widens gently to rounded ends; seen, "
    "abstract of Roozen and others, Vortex Sound in Bass-Reflex Ports of Loudspeakers, Part I, J. Acoust. "
    "Soc. Am. 104, 1998",
)
BEST_FLARE = Guidance(
    10.0,
    "dB at least that a port with the best flare may be driven harder than a straight one before it is heard "
    "(10 to 16), but only 1 to 3 more than one flared a little less or more; seen, abstract of Bezzola, "
    "Loudspeaker Port Design for Optimal Performance and Listening Experience, Audio Eng. Soc. convention",
)
CURVED = Guidance(
    0.5,
    "Length over twice the radius of a port curved along all its length, found the best compromise; generous "
    "flares were best at low level, straight ports at extreme level; seen second-hand, after Salvatti, "
    "Devantier and Button, Maximizing Performance from Loudspeaker Ports, J. Audio Eng. Soc. 50, 2002",
)


# --- speed against power ---


def speed_at_power(v, P, powers):
    """Peak air speed [m/s] at each of `powers` [W], shape (n,), where it is v [m/s] at P [W].

    As the root of power: the air at the ends is taken to follow, see `separated` for what it loses.
    """
    require_positive(v=v, P=P)
    powers = np.asarray(powers, dtype=float)
    if not (np.all(powers >= 0) and np.all(np.isfinite(powers))):
        raise InputError("powers", "must be zero or numbers above it")
    return v * np.sqrt(powers / P)


def power_at_speed(v, P, limit):
    """Power [W] at which the peak air speed comes to `limit` [m/s], where it is v [m/s] at P [W]."""
    require_positive(v=v, P=P, limit=limit)
    return P * (limit / v) ** 2


class Judgement(NamedTuple):
    """What is said of an air speed: `word` "quiet", "near" or "heard", and whether rounded ends hold it.

    `held` is None for sharp ends; else whether the air's travel is less than the radius of the rounding.
    """

    word: str
    held: bool | None


def judgement(v, f, flare=None):
    """The `Judgement` of a peak air speed v [m/s] at f [Hz] in a port with ends rounded by `flare` [m].

    Guidance, not physics: "quiet" up to `CAUTIOUS_SPEED`, "near" up to `OLDER_SPEED`, "heard" over it, all
    of a plain tube. Air that travels less than the radius of an edge turns round it without tearing off, in
    the order of magnitude: common practice, no source.
    """
    require_positive(f=f, flare=flare)
    word = "quiet" if v <= CAUTIOUS_SPEED.value else "near" if v <= OLDER_SPEED.value else "heard"
    return Judgement(word, None if flare is None else bool(air_travel(f, v) <= flare))


# --- what the ends lose ---

EXIT = 1.0
"""Pressure lost where a jet leaves a pipe into still air, over rho v²/2: all of it. Textbook pipe flow."""

FLUSH = 0.5
"""The same where air goes into a sharp end flush in a wall (textbook, from memory)."""

STANDING = 0.8
"""The same of a sharp end that stands in the open air (textbook, from memory; 1 if it is thin)."""

ROUNDED = ((0.0, 0.02, 0.04, 0.06, 0.1, 0.15), (1.0, 0.56, 0.48, 0.3, 0.18, 0.08))
"""Radius of an edge over the bore, and what that leaves of a sharp end's loss at the entrance (the same)."""


def end_losses(outer, inner, diameter, flare=None):
    """Least and largest loss at both ends of a port, over rho v|v|/2, mean of blowing out and in. [-]

    Parameters
    ----------
    outer, inner : {"flanged", "free", "flared"}
    diameter : float
        Of the bore; of a slot that of the circle of its area. [m]
    flare : float, optional
        Radius of rounded ends. [m]

    Returns
    -------
    least, most : float
        Equal for sharp ends. A rounded end loses least while the air follows it to its mouth and leaves
        there slower, in proportion to the area; most once the jet tears off at the bore.

    Notes
    -----
    Coefficients of steady flow in pipes. They hold for air that swings where its travel is far over the
    radius of the bore (w a/v well below 1); below that the true loss is less.
    """
    require_positive(diameter=diameter, flare=flare)
    pairs = [_losses_of(end, diameter, flare) for end in (outer, inner)]
    return tuple(sum(one[which] for one in pairs) / 2 for which in (0, 1))


def _losses_of(end, diameter, flare):
    """(least, largest) of going in and out of one end."""
    sharp = {"flanged": FLUSH, "free": STANDING}
    if end in sharp:
        return (sharp[end] + EXIT,) * 2
    if end != "flared" or flare is None:
        raise InputError("ends", "must be flanged, free or flared, and flared ends need a radius")
    entrance = FLUSH * float(np.interp(flare / diameter, *ROUNDED))
    mouth = (diameter / (diameter + 2 * flare)) ** 4
    return entrance + EXIT * mouth, entrance + EXIT


def end_Q(f, v, effective_length, zeta):
    """QP [-] at f [Hz] if only the ends lose, where the peak speed is v [m/s].

    A pressure zeta rho v|v|/2 against v cos(w t) has the first harmonic 8/(3 pi) zeta rho v²/2: over the flow
    v S a resistance 4 rho zeta v/(3 pi S), so that QP = w rho Leff/S over that. It falls as the port is blown
    harder.
    """
    require_positive(f=f, v=v, effective_length=effective_length, zeta=zeta)
    return 3 * pi * (2 * pi * f) * effective_length / (4 * zeta * v)


FASTEST = 100.0
"""Air speed [m/s peak] up to which the air in a port is reckoned as not squeezed by its own flow."""


class Separated(NamedTuple):
    """Of n drives at m frequencies, (n, m): speed [m/s peak] and level lost [dB], the ends' loss counted."""

    speed: np.ndarray
    loss: np.ndarray


def separated(solve, drives, fb, effective_length, zeta, QP=None):
    """What a box loses because the air tears off at the ends of its port.

    Parameters
    ----------
    solve : callable
        Takes QP, shape (n, m) or one number, gives the `Response` at the m frequencies for a drive of 1.
    drives : array_like, shape (n,)
        How many times that drive. [-]
    fb : float
        Where QP holds. [Hz]
    effective_length : float
        Of the port; of several the mean, total area over `conductance`. [m]
    zeta : float
        See `end_losses`. [-]
    QP : float, optional
        Friction of the port without that; None is none. [-]

    Notes
    -----
    A describing function: the first harmonic of the ends' pressure alone, which makes their resistance grow
    with the speed. The flow through a resistance R at the end of any linear circuit obeys
    1/|U|² = A + B R + C R²; three solutions give A, B, C, and U² (A + B k U + C k² U²) = drive² has one root.
    Holds for sine waves, to some 3 dB of loss; harmonics and the noise of the jet are not told. At low speed
    the loss is overstated (`end_losses`). Where the port works against the cone the loss is below zero.

    Raises
    ------
    InputError
        At "drives" where the air would blow faster than `FASTEST`.
    """
    require_positive(fb=fb, effective_length=effective_length, zeta=zeta, QP=QP)
    drives = np.asarray(drives, dtype=float)[:, None]
    if not (np.all(drives > 0) and np.all(np.isfinite(drives))):
        raise InputError("drives", "must be numbers above zero")
    still = 0.0 if QP in (None, float("inf")) else 1 / QP
    plain = solve(QP)
    q0, one, two = (1 / r.port_speed**2 for r in (plain, solve(1 / (still + 1)), solve(1 / (still + 2))))
    q2 = (two - 2 * one + q0) / 2
    q1 = one - q0 - q2
    k = 1 / end_Q(fb, 1.0, effective_length, zeta)  # 1/QP for each m/s
    v = _root(q0, q1 * k, q2 * k**2, drives)
    if np.any(v > FASTEST):
        raise InputError("drives", "blow faster than any model of a port can tell")
    level = solve(1 / (still + k * v)).level
    return Separated(v, np.broadcast_to(plain.level, v.shape) - level)


def _root(q0, q1, q2, drives):
    """v > 0 of v² (q0 + q1 v + q2 v²) = drives², halved down from the speed without loss."""
    low, high = np.zeros_like(drives / np.sqrt(q0)), drives / np.sqrt(q0)
    for _ in range(50):
        v = (low + high) / 2
        over = v**2 * (q0 + q1 * v + q2 * v**2) > drives**2
        low, high = np.where(over, low, v), np.where(over, v, high)
    return (low + high) / 2


def drive_for_loss(losses, drives, wanted):
    """Drive at which the largest loss over frequency comes to `wanted` [dB]; None beyond the drives. [-]

    `losses` (n, m) belong to rising `drives` (n,); straight between neighbours.
    """
    most = np.max(losses, axis=1)
    if most[-1] < wanted or most[0] > wanted:
        return None
    return float(np.interp(wanted, most, drives))


def boundary_reynolds(f, v, rho, mu):
    """Reynolds number [-] by the boundary layer: v sqrt(2 rho/(mu w)); see `TRANSITION`."""
    require_positive(f=f, rho=rho, mu=mu)
    return v * sqrt(rho / (pi * f * mu))
