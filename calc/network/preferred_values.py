"""The values that parts are sold in: the E series."""

from math import floor, log10

import numpy as np

from calc.errors import InputError, require_positive

_E24 = (
    10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
)  # fmt: skip


def _rounded(n):
    return tuple(int(round(100 * 10 ** (i / n))) for i in range(n))


SERIES = {
    "E6": tuple(10 * one for one in _E24[::4]),
    "E12": tuple(10 * one for one in _E24[::2]),
    "E24": tuple(10 * one for one in _E24),
    "E48": _rounded(48),
    "E96": _rounded(96),
}
"""Hundred times the values of one decade, from IEC 60063: E6 to E24 from memory; E48 and E96 are powers of
ten rounded to three figures, which E24 is not between 2.7 and 4.7 nor at 8.2."""


def decades(series, low, high):
    """All values of a series ("E6" to "E96") from low to high, rising; any unit. ndarray, shape (p,)"""
    require_positive(low=low, high=high)
    if not low <= high:
        raise InputError("high", "must not lie below the lowest value")
    powers = range(floor(log10(low)) - 3, floor(log10(high)) - 1)
    values = [_scaled(one, power) for power in powers for one in _of(series)]
    return np.array([value for value in values if low <= value <= high])


def _of(series):
    if series not in SERIES:
        raise InputError("series", "must be one of " + ", ".join(SERIES))
    return SERIES[series]


def _scaled(figures, power):
    # from its digits, so that 4.7e-6 is the number that one would write
    return float(f"{figures}e{power}")


def below(value, series):
    """The largest value of a series that is not larger. [unit of value]"""
    return float(_around(value, series)[0])


def above(value, series):
    """The smallest value of a series that is not smaller. [unit of value]"""
    return float(_around(value, series)[1])


def nearest(value, series):
    """The value of a series that is nearest by ratio, since tolerances are ratios. [unit of value]"""
    low, high = _around(value, series)
    return float(low if value / low <= high / value else high)


def _around(value, series):
    require_positive(value=value)
    all_near = decades(series, value / 10, value * 10)
    at = np.searchsorted(all_near, value * (1 - 1e-12))
    exact = all_near[at] <= value * (1 + 1e-12)  # a value that was computed, off by its last digit
    return all_near[at if exact else at - 1], all_near[at]


def nearest_pair(value, series, low, high, joined="sum"):
    """Two values of a series between low and high that together come nearest.

    Parameters
    ----------
    value, low, high : float
        [any unit]
    series : str
        "E6" to "E96".
    joined : {"sum", "product over sum"}
        Capacitors in parallel, coils and resistors in series add up; the other way round they do not.

    Returns
    -------
    one, other : float
        The smaller first. [unit of value]
    """
    require_positive(value=value)
    values = decades(series, low, high)
    if not values.size:
        raise InputError("high", "leaves no value of the series")
    a, b = np.meshgrid(values, values)
    if joined == "sum":
        together = a + b
    elif joined == "product over sum":
        together = a * b / (a + b)
    else:
        raise InputError("joined", "must be sum or product over sum")
    best = np.argmin(abs(np.log(together / value)))
    one, other = sorted((float(a.flat[best]), float(b.flat[best])))
    return one, other
