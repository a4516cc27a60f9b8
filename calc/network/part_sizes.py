"""About how large crossover parts are, from their values: a first guess, until they are measured."""

from math import pi, sqrt
from typing import NamedTuple

from calc.errors import require_positive

RHO = 1.7241e-8
"""Resistivity of copper at 20 °C (IEC 60028, 58 MS/m). [ohm m]"""

BROOKS = 1.6994e-6
"""L over a N² of a coil of Brooks's proportions, a its mean radius (F. W. Grover, *Inductance Calculations*,
1946, as quoted). [H/m]"""

ENAMEL = 1.06
"""Diameter of a wire over its enamel, over the copper's, for a usual 1 mm (common practice, no source)."""

FILM = 1.25
"""Room of a film capacitor over its capacitance: one for some hundred volts (common practice, no source).
[m³/F]"""

RESISTOR = (0.048, 0.010)
"""Length and thickness of a wire-wound resistor for 10 W (common practice, no source). [m]"""

THIN = 0.05
"""The wire that a coil is taken to have where nobody gave its resistance: over L. [ohm/mH]"""


DENSITY = {"coil": 6300.0, "capacitor": 1300.0, "resistor": 2500.0}
"""What parts weigh over their volume: copper in a square lay fills 0.7 of a coil; the others are common
practice, no source. [kg/m³]"""


class Body(NamedTuple):
    """A part as it lies: `length` along its leads or, of a coil, along its axis; `width` across [m]."""

    kind: str
    length: float
    width: float

    @property
    def volume(self):
        """Air that it takes: a coil's hole is half as wide as the coil, a capacitor is a tube. [m³]"""
        if self.kind == "resistor":
            return self.width**2 * self.length
        return pi / 4 * self.width**2 * self.length * (0.75 if self.kind == "coil" else 1.0)

    @property
    def mass(self):
        """[kg]"""
        return DENSITY[self.kind] * self.volume


def air_coil_side(L, Rdc):
    r"""Side c of the square section of an air coil; it is 4c across and c high, its hole 2c.

    A coil of Brooks's proportions has the mean radius 3c/2, and N = c²/(k d)² turns of copper d, k d over
    the enamel, in a square lay. From L = 1.6994e-6 (3c/2) N² and R = 4 rho (3 pi c N)/(pi d²), N and d
    fall out:

    .. math:: c = k \sqrt{12 \rho L / (1.5 \cdot 1.6994 \cdot 10^{-6} R)}

    Parameters
    ----------
    L, Rdc : float
        Inductance [H] and resistance of the wire [ohm].

    Returns
    -------
    float
        [m]

    Notes
    -----
    A coil with a core is smaller, one wound longer or flatter a little larger.
    """
    require_positive(L=L, Rdc=Rdc)
    return ENAMEL * sqrt(12 * RHO * L / (1.5 * BROOKS * Rdc))


def coil_body(L, Rdc):
    """`Body` of an air coil of L [H] and Rdc [ohm]; with no Rdc one of `THIN` ohms a millihenry."""
    c = air_coil_side(L, Rdc or THIN * L * 1e3)
    return Body("coil", c, 4 * c)


def capacitor_body(C):
    """`Body` of a film capacitor of C [F]: a tube twice as long as it is thick."""
    require_positive(C=C)
    width = (2 * FILM * C / pi) ** (1 / 3)
    return Body("capacitor", 2 * width, width)


def resistor_body():
    """`Body` of a resistor that bears what a crossover gives it."""
    return Body("resistor", *RESISTOR)
