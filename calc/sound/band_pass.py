"""A driver between a closed rear chamber and a vented front one: only the port is heard."""

from math import log10, pi
from typing import NamedTuple

from calc.errors import InputError
from calc.sound import circuit
from calc.sound.ranges import require_physical


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


def band_pass(f, driver, Vr, Vf, fb, c, rho, V=2.83, Rs=0.0, QL=None, QP=None, port_area=None, distance=1.0):
    """Full response of a driver between a closed chamber Vr and a vented one Vf, tuned to fb.

    QL and QP are of the front chamber, at fb; the rear chamber is lossless. The other arguments are those of
    `vented_box`. The level is that of port and leak; the cone counts as positive toward the front chamber.
    """
    require_physical(Vr=Vr, Vf=Vf, fb=fb, c=c, rho=rho, V=V, Rs=Rs, QL=QL, QP=QP)
    require_physical(port_area=port_area, distance=distance)
    s = circuit.laplace(f)
    Cab, omega = Vf / (rho * c**2), 2 * pi * fb
    opening = circuit.port(s, Cab, omega, QP)
    radiating = opening + circuit.leak(Cab, omega, QL)
    rear = s.inverse() * (driver.Sd**2 * rho * c**2 / Vr)
    return circuit.solved(
        s, driver, circuit.box_air(s, Cab, omega) + radiating, radiating, rho, V, Rs, distance,
        rear=rear, opening=opening, port_area=port_area,
    )  # fmt: skip
