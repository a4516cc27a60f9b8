"""What the tests of standing waves share: air, an invented driver, lines with hard or ordinary walls."""

import numpy as np

from calc.sound import lined_line as tube
from calc.sound.driver import constants

C, RHO, MU = 343.2, 1.204, 1.81e-5
AIR = dict(c=C, rho=RHO, mu=MU)
STILL = dict(c=C, rho=RHO, mu=1e-13)
"""Air that hardly rubs, where a test wants none of it."""

SHEET = dict(fs=36.0, Qms=4.5, Qes=0.4, Vas=0.032, Sd=0.0133, Re=5.7, Le=0.00045)
DRIVER = constants(**SHEET, c=C, rho=RHO)
"""Invented."""

F = np.geomspace(12, 700, 160)


def line(*layers, walls=tube.BARE_WALLS):
    return tube.Line(0.42, 0.05, 0.9, layers, walls)


def hard(*layers):
    """The same with walls that take nothing: between them and `STILL` air nothing is lost."""
    return line(*layers, walls=0.0)
