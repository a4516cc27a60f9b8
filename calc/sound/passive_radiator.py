"""A driver in a box whose port is replaced by cones without motors."""

from math import pi
from typing import NamedTuple

from calc.sound import circuit
from calc.sound.ranges import require_physical


class Tuning(NamedTuple):
    """Resonance `fp` of a radiator in free air, `fb` in the box [Hz]; `delta` is Cap over the air's Cab."""

    fp: float
    fb: float
    delta: float


def radiator_tuning(Vb, count, Sp, Cmp, Mmp, c, rho):
    """Where `count` equal radiators tune a box: fb = fp sqrt(1 + delta).

    Parameters
    ----------
    Vb : float
        [m³]
    count : int
    Sp, Cmp, Mmp : float
        Area [m²], compliance [m/N] and moving mass, added mass included, of one radiator [kg].
    c, rho : float
        [m/s], [kg/m³]

    Returns
    -------
    Tuning
        The response has a notch at `fp`.

    References
    ----------
    R. H. Small, "Passive-Radiator Loudspeaker Systems," J. Audio Eng. Soc. 22(8), 22(9), 1974.
    """
    require_physical(Vb=Vb, Sp=Sp, Cmp=Cmp, Mmp=Mmp, c=c, rho=rho)
    delta = count * Cmp * Sp**2 * rho * c**2 / Vb
    fp = 1 / (2 * pi * (Mmp * Cmp) ** 0.5)
    return Tuning(fp, fp * (1 + delta) ** 0.5, delta)


def radiator_mass(fb, Vb, count, Sp, Cmp, c, rho):
    """Moving mass [kg] of each radiator that tunes the box to fb [Hz]; the rest as for `radiator_tuning`."""
    require_physical(fb=fb, Vb=Vb, Sp=Sp, Cmp=Cmp, c=c, rho=rho)
    delta = count * Cmp * Sp**2 * rho * c**2 / Vb
    return (1 + delta) / ((2 * pi * fb) ** 2 * Cmp)


def passive_radiator_box(
    f, driver, Vb, count, Sp, Cmp, Mmp, Rmp, c, rho,
    V=2.83, Rs=0.0, QL=None, QA=None, fq=None, distance=1.0, capacitor=None, high_pass=None,
):  # fmt: skip
    """Full response of a driver in a box with `count` equal passive radiators.

    Parameters
    ----------
    f : array_like, shape (m,)
        Frequencies, in any order. [Hz]
    driver : Constants
        Of the wired group, in this air; its values, as all others but f, may be variants, shape (n, 1).
    Vb : float or ndarray, shape (n, 1)
        Net volume, as large as its filling makes it seem. [m³]
    count, Sp, Cmp, Mmp, Rmp : int, float
        Radiators, and of one its area [m²], compliance [m/N], moving mass [kg], loss [N s/m].
    fq : float, optional
        Where QL and QA hold; the tuning of the box if None. [Hz]

    The other arguments are those of `closed_box`.

    Returns
    -------
    Response
        With `radiator`, the peak travel of each.
    """
    require_physical(Vb=Vb, Sp=Sp, Cmp=Cmp, Mmp=Mmp, Rmp=Rmp, c=c, rho=rho, V=V, Rs=Rs, QL=QL, QA=QA, fq=fq)
    require_physical(distance=distance, capacitor=capacitor)
    s = circuit.laplace(f)
    Cab = Vb / (rho * c**2)
    omega = 2 * pi * (radiator_tuning(Vb, count, Sp, Cmp, Mmp, c, rho).fb if fq is None else fq)
    air = circuit.box_air(s, Cab, omega, QA)
    opening = circuit.radiator(s, count, Sp, Cmp, Mmp, Rmp)
    Y = air + opening + circuit.leak(Cab, omega, QL)
    return circuit.solved(
        s, driver, Y, air, rho, V, Rs, distance,
        opening=opening, Sp=count * Sp, capacitor=capacitor, high_pass=high_pass,
    )  # fmt: skip
