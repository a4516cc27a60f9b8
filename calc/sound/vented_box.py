"""A driver in a vented box: its normalised transfer functions and its full response."""

from math import pi

import numpy as np

from calc.sound import circuit
from calc.sound.ranges import require_physical


def vented_box(
    f, driver, Vb, fb, c, rho,
    V=2.83, Rs=0.0, QL=None, QA=None, QP=None, port_area=None, distance=1.0, capacitor=None, high_pass=None,
):  # fmt: skip
    """Full response of a driver in a vented box.

    Parameters
    ----------
    f : array_like, shape (m,)
        Frequencies, in any order. [Hz]
    driver : Constants
        Of the wired group, in this air; its values may be variants, shape (n, 1).
    Vb : float or ndarray, shape (n, 1)
        Net volume, as large as its filling makes it seem. [m³]
    fb : float or ndarray, shape (n, 1)
        Tuning of box and ports. [Hz]
    c, rho : float
        Speed of sound [m/s] and density [kg/m³] of the air.
    V, Rs : float or ndarray, shape (n, 1)
        Source [volt rms] and the resistance before the terminals [ohm].
    QL, QA, QP : float or ndarray, shape (n, 1), optional
        Leak, absorption and port friction, all at fb; None or infinity is none. [-]
    port_area : float or ndarray, shape (n, 1), optional
        Total open area; without it the air speed is not told. [m²]
    distance : float
        [m]
    capacitor : float or ndarray, shape (n, 1), optional
        In series before the terminals, where it meets the box's impedance. [F]
    high_pass : HighPass, optional
        An active filter before the amplifier.

    Returns
    -------
    Response
        Its level is that of cone, port and leak together.

    Raises
    ------
    InputError
        If an argument is not a size that a loudspeaker can have.

    References
    ----------
    R. H. Small, "Vented-Box Loudspeaker Systems," J. Audio Eng. Soc. 21(5) to 21(8), 1973.
    """
    require_physical(Vb=Vb, fb=fb, c=c, rho=rho, V=V, Rs=Rs, QL=QL, QA=QA, QP=QP)
    require_physical(port_area=port_area, distance=distance, capacitor=capacitor)
    s = circuit.laplace(f)
    Cab = Vb / (rho * c**2)
    omega = 2 * pi * fb
    air = circuit.box_air(s, Cab, omega, QA)
    opening = circuit.port(s, Cab, omega, QP)
    Y = air + opening + circuit.leak(Cab, omega, QL)
    return circuit.solved(
        s, driver, Y, air, rho, V, Rs, distance,
        opening=opening, port_area=port_area, capacitor=capacitor, high_pass=high_pass,
    )  # fmt: skip


def vented_box_response(f, fs, Qts, alpha, h, QL=None):
    """Normalised response G and cone travel X of a vented box that only leaks.

    Parameters
    ----------
    f : array_like, shape (n,)
        Frequencies. [Hz]
    fs, Qts : float
        Of the driver, source resistance included. [Hz], [-]
    alpha, h : float
        Vas/Vb and fb/fs. [-]
    QL : float, optional
        Leak at fb; None is none. [-]

    Returns
    -------
    G, X : ndarray of complex, shape (n,)
        Pressure relative to the pass band, and travel relative to that far below resonance in free air.

    References
    ----------
    R. H. Small, "Vented-Box Loudspeaker Systems, Part I," J. Audio Eng. Soc. 21(5), 1973.
    """
    require_physical(f=f, fs=fs, Qts=Qts, fb=fs * h, QL=QL)
    s = 1j * np.asarray(f, dtype=float) / fs
    Tb, leak = 1 / h, 0.0 if QL is None else 1 / QL
    D = (
        s**4 * Tb**2
        + s**3 * (Tb**2 / Qts + Tb * leak)
        + s**2 * ((alpha + 1) * Tb**2 + Tb * leak / Qts + 1)
        + s * (Tb * leak + 1 / Qts)
        + 1
    )
    return s**4 * Tb**2 / D, (s**2 * Tb**2 + s * Tb * leak + 1) / D
