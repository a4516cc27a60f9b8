"""The sizes that a loudspeaker can have: far wider than any that was built, narrow enough to compute with."""

import numpy as np

from calc.errors import InputError

LIMITS = {
    "fs": (0.1, 1e5), "fb": (0.1, 1e5), "fq": (0.1, 1e5), "f": (1e-3, 1e6),
    "f1": (1e-3, 1e6), "f2": (1e-3, 1e6), "fr": (0.1, 1e5), "ff": (0.1, 1e5),
    "Qms": (1e-3, 1e4), "Qes": (1e-3, 1e4), "Qts": (1e-3, 1e4), "Qtc": (1e-3, 1e4),
    "QL": (1e-2, 1e12), "QA": (1e-2, 1e12), "QP": (1e-2, 1e12),
    "QLr": (1e-2, 1e12), "QPr": (1e-2, 1e12), "QLf": (1e-2, 1e12), "QPf": (1e-2, 1e12),
    "Vas": (1e-9, 1e3), "Vb": (1e-7, 1e4), "Vr": (1e-7, 1e4), "Vf": (1e-7, 1e4),
    "Sd": (1e-7, 100.0), "Sp": (1e-7, 100.0), "area": (1e-9, 200.0), "port_area": (1e-9, 2e5),
    "rear_area": (1e-9, 2e5), "front_area": (1e-9, 2e5),
    "diameter": (1e-4, 10.0), "width": (1e-4, 10.0), "height": (1e-4, 10.0), "length": (1e-9, 1e9),
    "Re": (1e-3, 1e6), "Re2": (1e-4, 1e8), "Le": (1e-12, 100.0), "Le2": (1e-12, 100.0), "Rs": (1e-12, 1e6),
    "K": (1e-12, 1e4), "n": (0.5, 1.0), "Kr": (1e-12, 1e4), "Ki": (1e-12, 1e4),
    "Z1": (1e-3, 1e7), "Z2": (1e-3, 1e7), "capacitor": (1e-9, 10.0),
    "Mms": (1e-8, 100.0), "Cms": (1e-9, 10.0), "Rms": (1e-6, 1e5), "Bl": (1e-4, 1e4),
    "Cmp": (1e-9, 10.0), "Mmp": (1e-8, 100.0), "Rmp": (1e-9, 1e5),
    "Xmax": (1e-6, 1.0), "Pe": (1e-6, 1e7), "V": (1e-6, 1e6), "distance": (1e-3, 1e6),
    "c": (100.0, 1000.0), "rho": (0.01, 100.0),
}  # fmt: skip
"""Smallest and largest value of each symbol, in SI units."""

MAY_BE_ZERO = {"Le", "Rs", "length"}  # a port of no length is a hole in a thin wall
MAY_BE_INFINITE = {"QL", "QA", "QP", "QLr", "QPr", "QLf", "QPf"}  # no loss


def problem(symbol, value):
    """What is wrong with a value of `symbol`, as a sentence; None if a loudspeaker can have it.

    Parameters
    ----------
    symbol : str
        A key of `LIMITS`.
    value : float or ndarray
        In SI units; of an array, every member counts.
    """
    low, high = LIMITS[symbol]
    if isinstance(value, float | int) and (low <= value <= high or (value == 0 and symbol in MAY_BE_ZERO)):
        return None  # nearly always, and quick
    value = np.asarray(value, dtype=float)
    if symbol in MAY_BE_ZERO:
        if not np.all((value >= 0) & np.isfinite(value)):
            return "must be zero or a number above it"
        value = np.maximum(value, low)  # however little: it only adds to something
    if symbol in MAY_BE_INFINITE:
        value = np.where(np.isposinf(value), high, value)
    if not np.all((value > 0) & np.isfinite(value)):
        return "must be a number above zero"
    if np.any(value < low):
        return "is too small for any loudspeaker"
    if np.any(value > high):
        return "is too large for any loudspeaker"
    return None


def require_physical(**values):
    """Raise `InputError` for the first value that no loudspeaker can have; None passes as "not given"."""
    for symbol, value in values.items():
        if value is not None and (sentence := problem(symbol, value)):
            raise InputError(symbol, sentence)
