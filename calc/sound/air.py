"""Air: how fast sound runs in it, how heavy and how viscous it is."""

from math import exp, sqrt

from calc.errors import require_within

CO2 = 400e-6  # mole fraction of carbon dioxide in the open air
ZERO_CELSIUS = 273.15


def speed_of_sound(T, p=101325.0, humidity=0.0):
    """Speed of sound in humid air at audio frequencies, by Cramer's polynomial [1]_.

    Parameters
    ----------
    T : float
        Temperature. [K]
    p : float
        Pressure. [Pa]
    humidity : float
        Relative humidity, 0 to 1. [-]

    Returns
    -------
    c : float
        [m/s]

    Raises
    ------
    InputError
        Outside -20 to 60 °C, 500 to 1100 hPa, or 0 to 1.

    Notes
    -----
    Fitted from 0 to 30 °C and 750 to 1020 hPa (0.03 %). Dry air stays within 0.1 % of a real-gas
    equation at 35 °C. Against an ideal mixture of air and water vapour it stays within 0.1 % over all
    that is accepted while less than a tenth of the air is water, and errs by 1 % at the very worst corner
    (60 °C, soaked, at 500 hPa).

    References
    ----------
    .. [1] O. Cramer, "The variation of the specific heat ratio and the speed of sound in air with
       temperature, pressure, humidity, and CO2 concentration," J. Acoust. Soc. Am. 93(5), 1993.
    """
    _require_open_air(T, p, humidity)
    t, w = T - ZERO_CELSIUS, water_fraction(T, p, humidity)
    return (
        331.5024 + 0.603055 * t - 0.000528 * t**2
        + (51.471935 + 0.1495874 * t - 0.000782 * t**2) * w
        + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t**2) * p
        + (-85.20931 - 0.228525 * t + 5.91e-5 * t**2) * CO2
        - 2.835149 * w**2 - 2.15e-13 * p**2 + 29.179762 * CO2**2 + 0.000486 * w * p * CO2
    )  # fmt: skip


def reference_speed_of_sound(T):
    """Speed of sound of ISO 9613-1:1993 [m/s]: 343.2 m/s at 20 °C, as the root of the temperature T [K]."""
    require_within(150.0, 600.0, "must be a temperature of the open air", T=T)
    return 343.2 * sqrt(T / 293.15)


def density(T, p=101325.0, humidity=0.0):
    """Density of humid air by the CIPM-2007 equation [1]_.

    Parameters and refusals are those of `speed_of_sound`.

    Returns
    -------
    rho : float
        [kg/m³]

    Notes
    -----
    Specified for 15 to 27 °C and 600 to 1100 hPa; within 0.05 % of a real-gas equation from 0 to 35 °C.

    References
    ----------
    .. [1] A. Picard et al., "Revised formula for the density of moist air (CIPM-2007)," Metrologia 45,
       2008; constants from memory, checked against a fluid-property library.
    """
    _require_open_air(T, p, humidity)
    t, w = T - ZERO_CELSIUS, water_fraction(T, p, humidity)
    first = (
        1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t**2
        + (5.707e-6 - 2.051e-8 * t) * w + (1.9898e-4 - 2.376e-6 * t) * w**2
    )  # fmt: skip
    compressibility = 1 - p / T * first + (p / T) ** 2 * (1.83e-11 - 0.765e-8 * w**2)
    return p * 0.02896546 / (compressibility * 8.314472 * T) * (1 - 0.3780 * w)


def viscosity(T):
    """Dynamic viscosity of dry air by Sutherland's law [Pa s]; T [K].

    Within 0.6 % of a real-gas equation from 0 to 35 °C; humidity lowers it by less than 1 % there.
    """
    _require_open_air(T)
    return 1.458e-6 * T**1.5 / (T + 110.4)


def water_fraction(T, p, humidity):
    """Mole fraction of water vapour [-] at T [K], p [Pa] and relative humidity 0 to 1 (CIPM-2007)."""
    saturation = exp(1.2378847e-5 * T**2 - 1.9121316e-2 * T + 33.93711047 - 6.3431645e3 / T)
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * (T - ZERO_CELSIUS) ** 2
    return humidity * enhancement * saturation / p


def _require_open_air(T, p=101325.0, humidity=0.0):
    require_within(253.15, 333.15, "must be a temperature that people live in, -20 to 60 °C", T=T)
    require_within(50e3, 110e3, "must be a pressure found on land, 500 to 1100 hPa", p=p)
    require_within(0, 1, "must be between 0 and 100 percent", humidity=humidity)
