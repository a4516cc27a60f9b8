"""Wires inside and outside a loudspeaker: how thick, what they cost, and what they do to a driver's Q."""

from math import log10, pi

from calc.errors import InputError, require_not_negative, require_positive
from calc.network.part_sizes import RHO

INCH = 0.0254

SHARE = 0.05
"""Wires there and back stay under this part of the lowest impedance behind them (common practice, no source).
[-]"""


def awg_diameter(number):
    """Diameter of a wire of a gauge number, 0.005 in x 92^((36 - n)/39) (ASTM B258). [m]"""
    return 0.005 * INCH * 92 ** ((36 - number) / 39)


GAUGES = {f"{square} mm²": square * 1e-6 for square in (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0)} | {
    f"AWG {number}": pi / 4 * awg_diameter(number) ** 2 for number in (20, 18, 16, 14, 12, 10)
}
"""Copper of wires that are sold, by their names. [m²]"""


def loop_resistance(length, area):
    """Resistance of a pair of copper wires, there and back: 2 rho l / A.

    Parameters
    ----------
    length : float
        One way. [m]
    area : float
        Copper of one wire. [m²]

    Returns
    -------
    float
        [ohm]

    Notes
    -----
    At 20 °C, 0.4 percent more for each degree. Stranded wire may have a few percent more than solid wire.

    References
    ----------
    IEC 60028, 58 MS/m.
    """
    require_not_negative(length=length)
    require_positive(area=area)
    return 2 * RHO * length / area


def level_lost(Z, R):
    """What a resistance R [ohm] before a load Z [ohm] takes from the level there: 20 log((Z + R)/Z). [dB]"""
    require_positive(Z=Z)
    require_not_negative(R=R)
    return 20 * log10((Z + R) / Z)


def Qts_behind(Qms, Qes, Re, R):
    """Total Q of a driver behind a resistance R [ohm]: it joins Re, so Qes grows by 1 + R/Re. [-]

    References
    ----------
    R. H. Small, "Direct-Radiator Loudspeaker System Analysis," J. Audio Eng. Soc. 20(5), 1972 (from memory).
    """
    require_positive(Qms=Qms, Qes=Qes, Re=Re)
    require_not_negative(R=R)
    behind = Qes * (1 + R / Re)
    return Qms * behind / (Qms + behind)


def thinnest(length, Z, names=tuple(GAUGES), share=SHARE):
    """Name of the thinnest of some wires that takes no more than its `share`, the thickest if none does.

    Parameters
    ----------
    length : float
        One way. [m]
    Z : float
        Lowest impedance behind it. [ohm]
    names : iterable of str
        Of `GAUGES`.
    """
    require_positive(Z=Z)
    rising = sorted(names, key=GAUGES.get)
    if not rising:
        raise InputError("gauge", "needs a wire to choose from")
    return next((name for name in rising if loop_resistance(length, GAUGES[name]) <= share * Z), rising[-1])
