"""What the page Crossover begins with: textbook filters, and the values of small networks at a driver."""

from calc.errors import InputError
from calc.evaluate_network import in_box
from calc.network import textbook as book
from calc.network.netlist import GROUND, Coil
from calc.project_network import SOURCE

ORDERS = {"butterworth": (1, 2, 3, 4), "linkwitz-riley": (2, 4), "bessel": (1, 2, 3, 4)}

WIRE = 0.3
"""Resistance of a coil's wire that a textbook value begins with (common practice, no source). [ohm]"""


# --- filters


def textbook(project, result, family, order, f0):
    """Parts of a document: a low-pass to the chosen box's driver, a high-pass to the first tweeter.

    Each is reckoned for a resistor as large as its driver's nominal impedance; without one, Re x 1.2. Where
    the filters add up only with one driver reversed, the tweeter is.

    Raises
    ------
    InputError
        At "order" or "f0"; at "drivers" where there are no two to divide the music between.
    """
    if order not in ORDERS[family]:
        raise InputError("order", "must be 2 or 4" if family == "linkwitz-riley" else "must be from 1 to 4")
    low = project.alternatives[project.chosen].driver
    high = next((key for key, each in project.drivers.items() if each.kind == "tweeter" and key != low), None)
    if high is None:
        raise InputError("drivers", "has no tweeter to hand the high notes to")
    g = book.ladder(book.FAMILIES[family](order))
    ways = (
        book.low_pass(g, nominal(project, result, low), f0),
        book.high_pass(g, nominal(project, result, high), f0),
    )
    made = {}
    for prefix, way, driver in zip(("low ", "high "), ways, (low, high), strict=True):
        end = f"{prefix}out"
        for part in book.as_parts(way, SOURCE, end, prefix):
            made[part.name] = _plain(part)
        start, stop = (GROUND, end) if order == 2 and driver == high else (end, GROUND)
        made[driver] = {"kind": "driver", "start": start, "end": stop, "driver": driver}
    return made


def _plain(part):
    start, end = part.nodes
    value = _coil(part.L) if isinstance(part, Coil) else _capacitor(part.C)
    return {**value, "start": start, "end": end}


# --- the driver as the textbook sees it


def nominal(project, result, driver):
    """The resistor that the textbook takes a driver for, or the whole group in the chosen box. [ohm]"""
    each = project.drivers[driver]
    if each.Z is None and each.Re is None:
        raise InputError(f"drivers.{driver}.Z", "is needed: what the driver is sold as, such as 8 ohms")
    return (each.Z or 1.2 * each.Re) * _wired(project, result, driver)


def _wired(project, result, driver):
    """Impedance of the group that a driver stands for, over that of one. [-]"""
    known = result.drivers[driver].constants
    if not in_box(project, driver) or known is None or result.box.group is None:
        return 1.0
    return result.box.group.Re / known.Re


def _sheet(project, result, driver, *names):
    """Values of a driver alone; of the one in the box `Re` and `Le` of its group."""
    each = result.drivers[driver].constants or project.drivers[driver]
    ratio = _wired(project, result, driver)
    found = {name: getattr(each, name) for name in names}
    for name, value in found.items():
        if not value:
            raise InputError(f"drivers.{driver}.{name}", "is needed for this: see the driver’s sheet")
    return [value * (ratio if name in ("Re", "Le") else 1) for name, value in found.items()]


# --- small networks


def small_network(project, result, name, kind, **asked):
    """Parts of the textbook's small network for the driver part `name`, for `calc.small_networks.put`.

    `asked` are A [dB] of a "pad"; A, f1, f2 [Hz] of a "trap"; A, fm [Hz] of a "step"; A, f [Hz] of a "guard".
    "zobel" and "notch" follow from the driver's sheet.

    Raises
    ------
    InputError
        At one of `asked`; at what the driver's sheet lacks; at "parts" of a notch for a driver in the box.
    """
    part = project.network.parts.get(name)
    if part is None or part.kind != "driver" or kind not in VALUES:
        raise InputError("parts", "has no such driver to put a network at")
    return VALUES[kind](project, result, part.driver, **asked)


def _resistor(R):
    return {"kind": "resistor", "resistance": R}


def _coil(L):
    return {"kind": "coil", "inductance": L, "Rdc": WIRE}


def _capacitor(C):
    return {"kind": "capacitor", "capacitance": C}


def _pad(project, result, driver, A):
    series, across = book.l_pad(nominal(project, result, driver), A)
    return {"R1": _resistor(series), "R2": _resistor(across)}


def _zobel(project, result, driver):
    R, C = book.impedance_compensation(*_sheet(project, result, driver, "Re", "Le"))
    return {"R": _resistor(R), "C": _capacitor(C)}


def _notch(project, result, driver):
    if in_box(project, driver):
        raise InputError("parts", "has it in the box, whose peaks are the box’s: a notch does not fit")
    R, L, C = book.series_notch(*_sheet(project, result, driver, "fs", "Qms", "Qes", "Re"))
    return {"R": _resistor(R - WIRE), "L": _coil(L), "C": _capacitor(C)}


def _trap(project, result, driver, A, f1, f2):
    R, L, C = book.parallel_trap(nominal(project, result, driver), A, f1, f2)
    return {"R": _resistor(R), "L": _coil(L), "C": _capacitor(C)}


def _step(project, result, driver, A, fm):
    R, L = book.baffle_step(nominal(project, result, driver), A, fm)
    return {"R": _resistor(R), "L": _coil(L)}


def _guard(project, result, driver, A, f):
    return {"C": _capacitor(book.protecting_capacitor(nominal(project, result, driver), f, A))}


VALUES = {"pad": _pad, "zobel": _zobel, "notch": _notch, "trap": _trap, "step": _step, "guard": _guard}
