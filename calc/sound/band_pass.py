"""A driver between two chambers, of which the front one or both are vented: only the ports are heard."""

from math import log10, pi
from typing import NamedTuple

import numpy as np

from calc.errors import InputError
from calc.sound import circuit
from calc.sound.ranges import require_physical

NEARLY_ALIKE = 1e-9
"""How far two tunings must lie apart to be told from each other, over one of them."""


class Symmetric(NamedTuple):
    """A band-pass whose chambers share one resonance f0 [Hz]: Vf, Vr [m³], `beta` [-], `gain` [dB].

    The gain is that in mid band, relative to the driver's own reference level.
    """

    Vf: float
    Vr: float
    f0: float
    beta: float
    gain: float


def symmetric_band_pass(fs, Qts, Vas, Qtc, S):
    """Chambers that give G = 1/(p² + p/Qtc + beta), p = s/w0 + w0/s, with damping S (0.7071 is flat).

    Parameters
    ----------
    fs, Qts, Vas : float
        Of the driver, source resistance included. [Hz], [-], [m³]
    Qtc : float
        Total Q with the rear chamber, above Qts. [-]
    S : float
        Lower ripples and is louder or wider: beta = 1/(2 S Qtc)². [-]
    """
    require_physical(fs=fs, Qts=Qts, Vas=Vas, Qtc=Qtc)
    if Qtc <= Qts:
        raise InputError("Qtc", "must be above the driver's own Qts: a closed chamber can only raise it")
    if not 0.01 <= S <= 100:
        raise InputError("S", "must be a number above zero, near 0.7")
    beta = 1 / (2 * S * Qtc) ** 2
    return Symmetric(
        (2 * S * Qts) ** 2 * Vas, Vas / ((Qtc / Qts) ** 2 - 1), fs * Qtc / Qts, beta, -20 * log10(beta)
    )


def band_pass(
    f, driver, Vr, Vf, fb, c, rho,
    V=2.83, Rs=0.0, QL=None, QP=None, port_area=None, distance=1.0, capacitor=None, high_pass=None,
):  # fmt: skip
    """Full response of a driver between a closed chamber Vr and a vented one Vf, tuned to fb.

    QL and QP are of the front chamber, at fb; the rear chamber is lossless. The other arguments are those of
    `vented_box`. The level is that of port and leak; the cone counts as positive toward the front chamber.
    """
    require_physical(Vr=Vr, Vf=Vf, fb=fb, c=c, rho=rho, V=V, Rs=Rs, QL=QL, QP=QP)
    require_physical(port_area=port_area, distance=distance, capacitor=capacitor)
    s = circuit.laplace(f)
    air, opening, radiating = _chamber(s, Vf, fb, c, rho, QL, QP)
    rear = s.inverse() * (driver.Sd**2 * rho * c**2 / Vr)
    return circuit.solved(
        s, driver, air + radiating, radiating, rho, V, Rs, distance,
        rear=rear, opening=opening, port_area=port_area, capacitor=capacitor, high_pass=high_pass,
    )  # fmt: skip


def double_band_pass(
    f, driver, Vr, fr, Vf, ff, c, rho,
    V=2.83, Rs=0.0, QLr=None, QPr=None, QLf=None, QPf=None, rear_area=None, front_area=None,
    distance=1.0, capacitor=None, high_pass=None,
):  # fmt: skip
    """Full response of a driver between two vented chambers: the rear Vr tuned to fr, the front Vf to ff.

    Parameters
    ----------
    f : array_like, shape (m,)
        Frequencies, in any order. [Hz]
    driver : Constants
        Of the wired group, in this air; its values, as all others but f, may be variants, shape (n, 1).
    Vr, Vf : float or ndarray, shape (n, 1)
        Net volumes, as large as their fillings make them seem. [m³]
    fr, ff : float or ndarray, shape (n, 1)
        Tunings, which must differ. [Hz]
    QLr, QPr, QLf, QPf : float or ndarray, shape (n, 1), optional
        Leak and port friction of the rear chamber, at fr, and of the front one, at ff. [-]
    rear_area, front_area : float or ndarray, shape (n, 1), optional
        Open area of each chamber's ports; without it the air speed there is not told. [m²]

    The other arguments are those of `vented_box`.

    Returns
    -------
    Response
        The level is that of both ports and leaks together; `port_speed` is the front's, `rear_port_speed`
        the rear's. The cone counts as positive toward the front chamber.

    Raises
    ------
    InputError
        For a size that no loudspeaker can have; at "fr" where both chambers are tuned alike.

    Notes
    -----
    The chambers give out what the cone pushes into the front less what it draws from the rear, heard at one
    distance: ports that lie far apart, as seen by the listener, add otherwise above some 200 Hz. Below both
    tunings the ports cancel: the level falls by 24 dB an octave and the cone works on no air spring at all.
    Equally tuned chambers without losses would be silent. Lumped chambers and ports: a real box leaks its
    standing waves and pipe resonances through the ports, some octaves above the band that it passes.

    The sixth order of a driver with both chambers vented follows from the same circuit as `band_pass`, of
    which it is the general case; derived here, and checked by a circuit simulator.
    """
    require_physical(Vr=Vr, fr=fr, Vf=Vf, ff=ff, c=c, rho=rho, V=V, Rs=Rs, QLr=QLr, QPr=QPr, QLf=QLf, QPf=QPf)
    require_physical(rear_area=rear_area, front_area=front_area, distance=distance, capacitor=capacitor)
    if np.any(abs(np.asarray(fr) / ff - 1) < NEARLY_ALIKE):
        raise InputError("fr", "must differ from the front's: ports that are tuned alike cancel each other")
    s = circuit.laplace(f)
    rear_air, rear_port, rear_heard = _chamber(s, Vr, fr, c, rho, QLr, QPr)
    front_air, front_port, front_heard = _chamber(s, Vf, ff, c, rho, QLf, QPf)
    rear, front = rear_air + rear_heard, front_air + front_heard
    # rear front_heard - front rear_heard, less what stands in both and would only cancel
    radiating = front_heard * rear_air + rear_heard * front_air * -1.0
    return circuit.solved(
        s, driver, rear * front, radiating, rho, V, Rs, distance, yielding=rear + front,
        opening=front_port * rear, port_area=front_area, rear_opening=rear_port * front, rear_area=rear_area,
        capacitor=capacitor, high_pass=high_pass,
    )  # fmt: skip


def _chamber(s, V, fb, c, rho, QL, QP):
    """Admittances of a chamber: of its air, of its port, of all that is heard outside. [m³/(s Pa)]"""
    Cab, omega = V / (rho * c**2), 2 * pi * fb
    opening = circuit.port(s, Cab, omega, QP)
    return circuit.box_air(s, Cab, omega), opening, opening + circuit.leak(Cab, omega, QL)
