"""An active high-pass filter before the amplifier: what keeps a cone from notes that it cannot play."""

from dataclasses import dataclass
from math import pi, sin

import numpy as np

from calc.errors import InputError
from calc.sound.ranges import require_physical

ORDERS = (1, 2, 3, 4)
"""A slope of 6, 12, 18 or 24 dB an octave."""


@dataclass(frozen=True)
class HighPass:
    """A Butterworth high-pass of `order` 1 to 4 with its half-power point at `f` [Hz], 1 in its pass band.

    `f` may be an ndarray of shape (n, 1). Refused at "order" or "f".

    Notes
    -----
    An ideal filter that draws nothing from its source and drives an amplifier without resistance; a box's
    impedance does not change it. A coil or capacitor between amplifier and box is another thing: that one
    works against the box's impedance (`capacitor` of the boxes).

    References
    ----------
    S. Butterworth, "On the Theory of Filter Amplifiers," Experimental Wireless 7, 1930: poles at equal
    angles on a circle (from memory; the tests hold it against a general library).
    """

    order: int
    f: float

    def __post_init__(self):
        if self.order not in ORDERS or isinstance(self.order, bool):
            raise InputError("order", "must be 1, 2, 3 or 4")
        require_physical(f=self.f)

    def transfer(self, s):
        """What the filter lets through at `s`, a circuit's `Analytic` of shape (m,), as an `Analytic`. [-]"""
        p = s * (1 / (2 * pi * np.asarray(self.f, dtype=float)))
        H = p * (p + 1).inverse() if self.order % 2 else 1.0
        for k in range(1, self.order // 2 + 1):
            Q = 1 / (2 * sin((2 * k - 1) * pi / (2 * self.order)))
            square = p * p
            H = square * (square + p * (1 / Q) + 1).inverse() * H
        return H

    def gain(self, f):
        """|H| [-] at f [Hz], which needs no poles: 1/sqrt(1 + (corner/f)^2n) by Butterworth's definition."""
        return 1 / np.sqrt(1 + (self.f / np.asarray(f, dtype=float)) ** (2 * self.order))
