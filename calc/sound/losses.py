"""What a box loses by its seams: how well it is screwed together, and what that does to its Q."""

from dataclasses import dataclass
from math import inf, pi

import numpy as np

from calc.errors import InputError, require_not_negative, require_positive
from calc.sound.port import boundary_layer
from calc.sound.ranges import require_physical


@dataclass(frozen=True)
class Seal:
    """A way to make tight what is screwed on, the even `gap` [m] that leaks as much, and its source."""

    words: str
    gap: float
    source: str


PRACTICE = "common practice, no source"

SEALS = {
    "gasket": Seal("on a gasket of closed foam, screws even", 0.05e-3, PRACTICE),
    "mastic": Seal("on a bead of mastic or sealing putty", 0.01e-3, PRACTICE),
    "bare": Seal("bare on the wood", 0.15e-3, PRACTICE),
}
"""A leak goes as the cube of its gap, so these tell good from bad, and not more."""

LAND = 0.01
"""How wide a flange usually lies on the wood, where nobody measured it [m]: common practice, no source."""

ORDINARY = ((0.025, 10.0), (0.1, 5.0))
"""Volume [m³] and QB [-] between which ordinary vented boxes lie. R. H. Small, Vented-Box Loudspeaker
Systems, Part III, J. Audio Eng. Soc. 21, 1973: QB of boxes of 25 to 100 litres was mostly 5 to 10, falling as
the volume grows (seen)."""


# --- seams ---


def round_seam(flange, cutout=None):
    """(length, depth) [m] of the seam under a round flange over its cutout, both diameters [m]."""
    require_physical(diameter=flange)
    if cutout is None:
        return pi * (flange - LAND), LAND
    if not 0 < cutout < flange:
        raise InputError("cutout", "must be smaller than the flange")
    return pi * (flange + cutout) / 2, (flange - cutout) / 2


def panel_seam(width, height, land=LAND):
    """The same of a panel screwed over an opening `width` by `height` [m], on a rim `land` [m] wide."""
    require_physical(width=width, height=height)
    require_positive(land=land)
    return 2 * (width + height), land


def leak_length(seams):
    """Length of all seams together [m]; each is (length, depth) [m]."""
    return sum(length for length, _ in seams)


def leak_resistance(length, depth, gap, mu):
    r"""Acoustic resistance of a narrow slit between flat faces. [Pa s/m³]

    Air creeps between two plates as a parabola, u = -(dp/dx) y (g - y)/(2 mu), which meets
    mu d²u/dy² = dp/dx and stands still at both. Its integral over the gap is g³/(12 mu) dp/dx, so

    .. math:: R = \frac{p}{U} = \frac{12 \mu\, \mathrm{depth}}{\mathrm{length}\; g^3}

    Parameters
    ----------
    length : float
        Of the seam, along the edge. [m]
    depth : float
        Way through the seam, from the air in the box to the air outside. [m]
    gap : float
        [m]
    mu : float
        Viscosity of air. [Pa s]

    Returns
    -------
    R : float

    Raises
    ------
    InputError
        If any is not a number above zero.

    Notes
    -----
    Creeping flow: good while the slit's mass is small against its friction, see `slit_mass_share`. At 40 Hz
    that is 1 % for 0.08 mm, 10 % for 0.25 mm, and beyond half a millimetre the friction itself grows above
    this. What the air's speed adds at the ends is nothing for any gap that a gasket leaves. Derived.
    """
    require_positive(length=length, depth=depth, gap=gap, mu=mu)
    return 12 * mu * depth / (length * gap**3)


def slit_mass_share(f, gap, rho, mu):
    """Reactance of the air in a slit over its resistance [-], at f [Hz]: g²/(5 delta²), small for a fine one.

    The mass of creeping flow is 6/5 rho depth/(length gap): the kinetic energy of the parabola.
    """
    require_positive(gap=gap)
    return gap**2 / (5 * boundary_layer(f, rho, mu) ** 2)


def seams_resistance(seams, gap, mu):
    """Resistance of all seams side by side [Pa s/m³], infinite where there are none.

    Parameters
    ----------
    seams : sequence of (float, float)
        Length and depth of each. [m]
    gap : float
        The even gap that leaks as much, of all of them. [m]
    mu : float
        [Pa s]
    """
    require_positive(gap=gap, mu=mu)
    conductance = sum(1 / leak_resistance(length, depth, gap, mu) for length, depth in seams)
    return 1 / conductance if conductance else inf


# --- what they do to a box ---


def leak_Q(f, Vb, R, c, rho):
    """QL [-] of a box at f [Hz]: w Cab R, with Cab = Vb/(rho c²).

    Parameters
    ----------
    f : array_like
        Where the QL is to hold, such as the tuning. [Hz]
    Vb : float
        Air in the box, as large as it seems. [m³]
    R : float
        Resistance of its leaks; infinity is none. [Pa s/m³]
    c, rho : float
        Of air. [m/s], [kg/m³]
    """
    require_physical(f=f, Vb=Vb, c=c, rho=rho)
    if not R > 0:
        raise InputError("R", "must be a number above zero")
    return 2 * pi * np.asarray(f, dtype=float) * Vb / (rho * c**2) * R


def gap_of_Q(QL, f, Vb, seams, c, rho, mu):
    """The even gap [m] of `seams` that a QL [-] at f [Hz] means, if nothing else leaks."""
    require_physical(QL=QL, f=f, Vb=Vb, c=c, rho=rho)
    if not seams:
        raise InputError("seams", "are needed: nothing is screwed on that could leak")
    with_metre_gap = seams_resistance(seams, 1.0, mu)
    return (leak_Q(f, Vb, with_metre_gap, c, rho) / QL) ** (1 / 3)


def combined_Q(*Qs):
    """QB [-] of losses together: 1/QB = 1/QL + 1/QA + 1/QP; None or infinity is no loss.

    All at one frequency. Infinite if there is no loss at all.
    """
    lost = 0.0
    for Q in Qs:
        if Q is not None:
            require_physical(QL=Q)
            lost = lost + 1 / np.asarray(Q, dtype=float)
    with np.errstate(divide="ignore"):
        return 1 / np.asarray(lost)[()]


def ordinary_Q(Vb):
    """QB [-] that ordinary vented boxes of Vb [m³] were measured to have, all their losses together.

    Notes
    -----
    A straight line on logarithmic paper through `ORDINARY`; half way it gives 7, which the same paper calls a
    good first assumption. Outside 25 to 100 litres nothing was reported, and the nearest end is taken:
    see `was_measured`.
    """
    require_physical(Vb=Vb)
    (small, of_small), (large, of_large) = ORDINARY
    return float(np.exp(np.interp(
        np.log(Vb), np.log([small, large]), np.log([of_small, of_large])
    )))  # fmt: skip


def was_measured(Vb):
    """Whether boxes as large as Vb [m³] are among those that `ordinary_Q` stands on."""
    return ORDINARY[0][0] <= Vb <= ORDINARY[1][0]


def built_QL(f, Vb, seams, gap, c, rho, mu, ordinary=True, others=()):
    """QL [-] to start from, of a box as it is built.

    Parameters
    ----------
    f, Vb, c, rho : float
        As for `leak_Q`.
    seams, gap, mu
        As for `seams_resistance`.
    ordinary : bool
        Add what ordinary vented boxes lose besides; leave it out for a closed box, of which no such figure
        was found.
    others : sequence of float
        QA and QP at f, as far as they are reckoned on their own: the ordinary figure holds them already.

    Returns
    -------
    QL : float
        Infinite if nothing leaks.

    Notes
    -----
    A slit of 1 m by 10 mm would have to gape a quarter of a millimetre to give a box of 25 litres at 40 Hz
    a QL of 7; on a gasket the seams alone come to hundreds. So most of what is measured goes another way,
    which no model of slits knows: through the surround, the dust cap and the terminals, through pores of the
    wood, and into walls that bend. That part is taken from what was measured, whole, less `others`.
    """
    require_not_negative(gap=gap)
    slits = leak_Q(f, Vb, seams_resistance(seams, gap, mu), c, rho) if seams and gap else inf
    if not ordinary:
        return float(slits)
    return float(combined_Q(slits, _besides(ordinary_Q(Vb), combined_Q(*others))))


def _besides(whole, part):
    """The Q that together with `part` makes `whole`; infinite where the part alone loses as much."""
    left = 1 / whole - 1 / part
    return 1 / left if left > 0 else inf
