"""More than one driver in a way of a crossover, as the document holds its parts: doubled, or shared out."""

from calc.errors import InputError


def doubled(parts, name, how):
    """Parts with a second driver as the one `name`, in "parallel" with it or in "series".

    Raises
    ------
    InputError
        At "parts" of what is no driver or way to join two.
    """
    one = _driver(parts, name)
    if how not in ("parallel", "series"):
        raise InputError("parts", "can have a second driver in parallel or in series")
    other = _free(f"{one['driver']} ", parts)
    if how == "parallel":
        return {**parts, other: dict(one)}
    joints = {joint for each in parts.values() for joint in (each["start"], each["end"])}
    joint = _free("n", joints)
    return {**parts, name: {**one, "end": joint}, other: {**one, "start": joint}}


def shared_out(parts, name, count):
    """Parts where a driver part for a group of `count` in parallel is one part for each of them."""
    one = {**_driver(parts, name), "alone": True}
    found = {**parts, name: one}
    for _ in range(count - 1):
        found[_free(f"{one['driver']} ", found)] = dict(one)
    return found


def _driver(parts, name):
    if parts.get(name, {}).get("kind") != "driver":
        raise InputError("parts", "has no such driver")
    return parts[name]


def _free(name, taken):
    return next(f"{name}{i}" for i in range(2, len(taken) + 4) if f"{name}{i}" not in taken)
