"""The textbook's small networks put at a driver of a crossover's parts, as the document holds them."""

from calc.errors import InputError
from calc.network.netlist import GROUND
from calc.project_network import removed

IN_SERIES = ("guard", "step", "trap", "pad")
"""Before the driver, in this order from the filter on: a pad last, so that all before it meets its load."""

ACROSS = ("zobel", "notch")
"""Beside the driver, behind all that is in series with it."""


def put(parts, driver, kind, values):
    """Parts with one small network more at a driver; one of that kind that is there gets the new values.

    Parameters
    ----------
    parts : dict
        Of the document.
    driver : str
        Name of a driver part.
    kind : {"guard", "step", "trap", "pad", "zobel", "notch"}
        "step" and "trap" lie side by side in series with the driver, "guard" alone; "pad" is one in series
        and one across; "zobel" and "notch" are one after the other across it.
    values : dict
        Parts of the network by their letter, such as R1, without their ends.

    Raises
    ------
    InputError
        At "parts" of what is no driver or kind.
    """
    if parts.get(driver, {}).get("kind") != "driver" or kind not in (*IN_SERIES, *ACROSS):
        raise InputError("parts", "has no such driver to put a network at")
    named = {f"{driver} {kind} {letter}": value for letter, value in values.items()}
    if all(name in parts for name in named):
        return {name: {**each, **named.get(name, {})} for name, each in parts.items()}
    parts = taken_out(parts, driver, kind)
    hot, cold = _ends(parts[driver])
    if kind in ACROSS:
        return _before(parts, driver, _chain(named, hot, cold, _joints(parts, f"{driver} {kind}")))
    moved = _behind(parts, driver, kind)
    hot = next((_ends(parts[name])[0] for name in moved if name != driver), hot)
    joint = next(_joints(parts, f"{driver} {kind}"))
    parts = {name: _moved(each, hot, joint) if name in moved else each for name, each in parts.items()}
    new = {name: {**value, "start": hot, "end": joint} for name, value in named.items()}
    if kind == "pad":
        *_, across = new
        new[across] |= {"start": joint, "end": cold}
    return _before(parts, driver, new)


def taken_out(parts, driver, kind):
    """Parts without the small network of that kind at a driver; as they are where there is none."""
    for name in standing(parts, driver, kind):
        parts = removed(parts, name)
    return parts


def standing(parts, driver, kind):
    """Names of the parts of the small network of that kind at a driver."""
    return tuple(name for name in parts if name.startswith(f"{driver} {kind} "))


def _ends(part):
    """The end towards the filter and the other one, of a driver whichever way it is turned."""
    start, end = part["start"], part["end"]
    return (end, start) if start == GROUND else (start, end)


def _behind(parts, driver, kind):
    """Names of what a network in series is put in front of: the next one, or driver and all across."""
    for later in IN_SERIES[IN_SERIES.index(kind) + 1 :]:
        if there := standing(parts, driver, later):
            return there
    return (*(name for each in ACROSS for name in standing(parts, driver, each)), driver)


def _moved(part, hot, joint):
    return {**part, **{end: joint for end in ("start", "end") if part[end] == hot}}


def _chain(named, start, end, joints):
    """The parts one after the other from `start` to `end`."""
    at = [start, *(next(joints) for _ in range(len(named) - 1)), end]
    return {
        name: {**value, "start": at[i], "end": at[i + 1]} for i, (name, value) in enumerate(named.items())
    }


def _joints(parts, name):
    """Names for new joints: this one and numbered ones that are not taken."""
    taken = {joint for each in parts.values() for joint in (each["start"], each["end"])}
    numbered = (name, *(f"{name} {i}" for i in range(2, len(taken) + 6)))
    return iter([each for each in numbered if each not in taken])


def _before(parts, driver, new):
    """The new parts listed right before their driver."""
    listed = {}
    for name, each in parts.items():
        listed |= {**new, name: each} if name == driver else {name: each}
    return listed
