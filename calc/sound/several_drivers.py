"""Several equal drivers as one: side by side in one box, or a compound pair behind one opening."""

from dataclasses import replace

from calc.errors import InputError


def group(constants, count, wiring="parallel"):
    """The single driver that `count` equal ones amount to in one box.

    Parameters
    ----------
    constants : Constants
        Of one driver.
    count : int
    wiring : {"parallel", "series", "series_parallel"}
        The last is pairs in series, and the pairs in parallel.

    Returns
    -------
    Constants
        fs and all Qs stay; the reference efficiency grows with `count`. Its cone velocity and travel are
        those of each cone.

    Raises
    ------
    InputError
        For a count below 1, or an odd one of drivers that are wired as pairs.

    Notes
    -----
    Equal drivers move alike, so a wall between them, with an equal share of air and of ports on either side,
    would part nothing: separate chambers of V each sound as one common chamber of count V does. They differ
    in what is no sound: a chamber each keeps one failed driver from working as a passive radiator for the
    others, and is the rib that the box wants anyway; one common chamber needs one port.
    """
    in_series, in_parallel = strings(count, wiring)
    return _wired(replace(
        constants, Sd=constants.Sd * count, Vas=constants.Vas * count, Mms=constants.Mms * count,
        Cms=constants.Cms / count, Rms=constants.Rms * count,
    ), in_series, in_parallel)  # fmt: skip


def compound_pair(constants, wiring="parallel"):
    """The single driver that two equal ones amount to when both drive the same air, one behind the other.

    The area is that of one, the mass that of two, the suspension twice as stiff; so Vas is halved and so is
    the reference efficiency. `wiring` is "parallel" or "series".
    """
    if wiring not in ("parallel", "series"):
        raise InputError("wiring", "must be parallel or series, for a pair")
    in_series, in_parallel = strings(2, wiring)
    return _wired(replace(
        constants, Vas=constants.Vas / 2, Mms=constants.Mms * 2, Cms=constants.Cms / 2,
        Rms=constants.Rms * 2,
    ), in_series, in_parallel)  # fmt: skip


def strings(count, wiring):
    """How many coils lie in series in one string, and how many strings in parallel; see `group`."""
    if not (isinstance(count, int) and count >= 1):
        raise InputError("count", "must be a whole number from 1 on")
    if wiring == "parallel":
        return 1, count
    if wiring == "series":
        return count, 1
    if wiring != "series_parallel":
        raise InputError("wiring", "must be parallel, series or series_parallel")
    if count % 2:
        raise InputError("count", "must be even, to be wired as pairs in series")
    return 2, count // 2


def _wired(driver, in_series, in_parallel):
    ratio = in_series / in_parallel
    more = {name: getattr(driver, name) for name in ("Le2", "Re2", "K")}
    more = {name: value * ratio for name, value in more.items() if value is not None}
    return replace(driver, Re=driver.Re * ratio, Le=driver.Le * ratio, Bl=driver.Bl * in_series, **more)
