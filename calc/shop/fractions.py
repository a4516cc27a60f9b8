"""Lengths as fractions of an inch, the way a rule is read."""

from math import floor, gcd, isfinite

from calc.errors import InputError

INCH = 0.0254
"""One inch. [m] Exact, by the international agreement of 1959."""

_HALF = 0.5 + 1e-9  # a half that floats write as 0.4999999... still rounds up


def nearest_fraction(metres, denominator):
    """A length as whole inches and a reduced fraction, half rounded up.

    Parameters
    ----------
    metres : float
        The length. [m]
    denominator : int
        The finest part of an inch: 1, 2, 4 ... 64.

    Returns
    -------
    whole, numerator, denominator : int
        Inches and the fraction in its lowest terms, 0/1 where none is left. Below zero, both `whole` and
        `numerator` carry the sign.
    error : float
        The fraction less the true length. [m]

    Raises
    ------
    InputError
        If the length is not a finite number, or the denominator no part that a rule has.
    """
    if not isfinite(metres):
        raise InputError("metres", "must be a length")
    if denominator not in (1, 2, 4, 8, 16, 32, 64, 128):
        raise InputError("denominator", "must be a part of an inch that a rule shows, such as 16, 32 or 64")
    parts = floor(metres / INCH * denominator + _HALF)
    error = parts / denominator * INCH - metres
    sign = -1 if parts < 0 else 1
    whole, part = divmod(abs(parts), denominator)
    shared = gcd(part, denominator)
    return sign * whole, sign * part // shared, denominator // shared, error


def fraction_words(metres, denominator):
    """The same as text: "7 5/16", "31/32", "4", "-1 1/2"."""
    whole, numerator, lowest, _ = nearest_fraction(metres, denominator)
    sign = "-" if whole < 0 or numerator < 0 else ""
    part = f"{abs(numerator)}/{lowest}" if numerator else ""
    inches = str(abs(whole)) if whole or not part else ""
    return sign + " ".join(filter(None, (inches, part)))
