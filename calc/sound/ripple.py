"""What the waves along the sides of a box add to its level, by where the driver and the port stand."""

from math import pi
from typing import NamedTuple

import numpy as np

from calc.sound import circuit
from calc.sound.driver import P_REF
from calc.sound.lined_line import Line, air_mass, impedances, require_places, wall_loss
from calc.sound.ranges import require_physical


def line_level(
    f, driver, line, cones, c, rho, mu, ports=(), opening=None,
    absorption=0.0, leak=0.0, V=2.83, Rs=0.0, capacitor=None, distance=1.0,
):  # fmt: skip
    """Level of cones, ports and leaks together if the box is a line. [dB re 20 µPa, half space]

    Parameters
    ----------
    f : array_like, shape (n,)
        [Hz]
    driver : Constants
        Of the wired group, in this air.
    line : Line
        As much air as the box seems to hold: length times area.
    cones, ports : sequence of float
        Where they are along the line. [m]
    c, rho, mu : float
        Speed of sound [m/s], density [kg/m³] and viscosity [Pa s] of air.
    opening : ndarray of complex, shape (n,), optional
        Acoustic impedance of all ports or passive radiators together; None is a closed box. [Pa s/m³]
    absorption : float
        In series with the box's air. [Pa s/m³]
    leak : float
        Of the box, at the cones. [m³/(s Pa)]
    V, Rs, capacitor : float
        Source [volt rms], and what lies before the terminals [ohm], [farad].
    distance : float
        [m]

    Returns
    -------
    ndarray, shape (n,)

    Notes
    -----
    Several cones move alike; several ports share their flow equally. Rigid walls; what comes through a thin
    cone from inside is left out, and so is the port's own length as a pipe. Holds below the first wave across
    the box. Against the lumped box see `ripple`.
    """
    Z = _pressures(f, line, cones, ports, opening, c, rho, mu)
    return _level(f, driver, Z, rho, opening, absorption, leak, V, Rs, capacitor, distance)


def _pressures(f, line, cones, ports, opening, c, rho, mu):
    """Pressure for each unit of flow: at the cones by the cones, across, and at the ports by the ports."""
    require_places(line, cones=cones)
    if opening is not None:
        require_places(line, ports=ports)
    return impedances(f, line, _pairs(cones, ports, opening), c, rho, mu)


def _pairs(cones, ports, opening):
    return ((cones, cones),) if opening is None else ((cones, cones), (cones, ports), (ports, ports))


def ripple(
    f, driver, line, cones, c, rho, mu, ports=(), opening=None,
    absorption=0.0, leak=0.0, Rs=0.0, capacitor=None,
):  # fmt: skip
    """What one line adds to the level of the lumped box. [dB], shape (n,)

    Arguments as for `line_level`; see `axial_ripple`, of which this is the case of one side.
    """
    sides = (Placed(line, cones, ports),)
    return axial_ripple(f, driver, sides, c, rho, mu, opening, absorption, leak, Rs, capacitor)


class Placed(NamedTuple):
    """One side of a box as a `Line`, and where along it cones and ports are [m]."""

    line: Line
    cones: tuple
    ports: tuple = ()


def axial_ripple(
    f, driver, sides, c, rho, mu, opening=None, absorption=0.0, leak=0.0, Rs=0.0, capacitor=None
):
    """What the waves along some sides of a box add to the level of the lumped box. [dB], shape (n,)

    Parameters
    ----------
    sides : sequence of Placed
        Each side as a line of the same air: length times area.
    f, driver, c, rho, mu, opening, absorption, leak, Rs, capacitor
        As for `line_level`.

    Notes
    -----
    In a rectangular box the pressure is a sum over all waves, so that the sides add: the spring, which they
    share, and what each line has beside it. With all three sides only the waves that swing along two or
    three of them at once are left out: it holds below the first of those.

    The mass of the air in a line and its friction at bare walls are taken out: the tuning, the moving mass
    and the losses are those in the box, and hold them already. So it is 0 at low frequencies, but for the
    friction of lining that lies between cone and port, which is a loss at the tuning too.
    """
    volume = sides[0].line.length * sides[0].line.area
    spring = rho * c**2 / (2j * pi * np.asarray(f, dtype=float) * volume)
    waves = [[Z - spring for Z in _waves(f, side, opening, c, rho, mu)] for side in sides]
    lined, lumped = (
        _level(f, driver, Z, rho, opening, absorption, leak, 2.83, Rs, capacitor, 1.0)
        for Z in ([spring + sum(of_all) for of_all in zip(*waves, strict=True)], [spring] * 3)
    )
    return lined - lumped


def _waves(f, side, opening, c, rho, mu):
    """The pressures of `_pressures` without the mass and friction of the bare line's air."""
    line, cones, ports = side
    omega = 2 * pi * np.asarray(f, dtype=float)
    lossy = 1j * omega * (1 - 1j * wall_loss(omega, line, c, rho, mu))
    pressures = _pressures(f, line, cones, ports, opening, c, rho, mu)
    masses = [air_mass(line, one, other, rho) for one, other in _pairs(cones, ports, opening)]
    return [Z - lossy * mass for Z, mass in zip(pressures, masses, strict=True)]


def _level(f, driver, Z, rho, opening, absorption, leak, V, Rs, capacitor, distance):
    """Level [dB] from the pressures Z of `_pressures`."""
    require_physical(V=V, Rs=Rs, capacitor=capacitor, distance=distance)
    s = circuit.laplace(f)
    cone, heard = Z[0] + absorption, 1.0
    if opening is not None:
        across, all_of_port = Z[1] + absorption, opening + Z[2] + absorption
        heard = 1 - across / all_of_port  # the port takes in a share of what the cone gives out
        cone = cone - across**2 / all_of_port
    shunt = 1 + leak * cone
    coil = circuit.coil(s, driver).value + circuit.before_terminals(s, Rs, capacitor).value
    moving = circuit.moving_parts(s, driver).value + driver.Sd**2 * cone / shunt
    flow = V * driver.Bl * driver.Sd / (coil * moving + driver.Bl**2) * heard / shunt
    return 20 * np.log10(rho / (2 * pi * distance * P_REF) * abs(s.value * flow))
