"""What the page Crossover begins with: textbook filters, and the values of small networks at a driver."""

from dataclasses import dataclass

from calc.errors import InputError
from calc.evaluate_network import in_box, wired
from calc.network import textbook as book
from calc.network.netlist import GROUND, Coil
from calc.project_network import SOURCE

ORDERS = {"butterworth": (1, 2, 3, 4), "linkwitz-riley": (2, 4), "bessel": (1, 2, 3, 4)}

WIRE = 0.3
"""Resistance of a coil's wire that a textbook value begins with (common practice, no source). [ohm]"""


WAYS = {"two": 1, "two and a half": 2, "three": 2}
"""Into how many ways a textbook parts the music, and at how many frequencies."""


# --- filters


@dataclass(frozen=True)
class _Band:
    """One way: its driver, from `low` to `high` [Hz], None where it goes on."""

    name: str
    driver: str
    low: float | None
    high: float | None
    alone: bool = False
    turned: bool = False

    @property
    def half(self):
        return self.name == "half"


def textbook(project, family, order, corners, ways="two"):
    """Parts of a document: a low-pass to the chosen box's driver, a high-pass to the first tweeter.

    Each is reckoned for a resistor as large as its driver's nominal impedance; without one, Re x 1.2. Where
    neighbours add up only with one of them reversed, one of them is. `corners` [Hz] rise. In "three" ways the
    first midrange has a high-pass, and behind it a low-pass: exact only where both corners are far apart. In
    "two and a half" ways one of two drivers in the box has a coil alone, from the lower corner on.

    Raises
    ------
    InputError
        At "order" or "corners"; at "drivers" or at the box where these are not the drivers for such ways.
    """
    if order not in ORDERS[family]:
        raise InputError("order", "must be 2 or 4" if family == "linkwitz-riley" else "must be from 1 to 4")
    if len(corners) != WAYS[ways] or list(corners) != sorted(set(corners)):
        raise InputError("corners", "must rise, one for every two neighbours")
    g = book.ladder(book.FAMILIES[family](order))
    made = {}
    for band in _bands(project, corners, ways):
        made |= _way(project, g, band)
        end = f"{band.name} out"
        start, stop = (GROUND, end) if order == 2 and band.turned else (end, GROUND)
        driver = {"kind": "driver", "start": start, "end": stop, "driver": band.driver}
        name = f"{band.driver} 2" if band.half else band.driver
        made[name] = driver | ({"alone": True} if band.alone else {})
    return made


def _bands(project, corners, ways):
    woofer = project.alternatives[project.chosen].driver
    tweeter = _first(project, "tweeter", "has no tweeter to hand the high notes to")
    low, high = corners[0], corners[-1]
    if ways == "three":
        middle = _first(project, "midrange", "has no midrange for the notes between")
        return (
            _Band("low", woofer, None, low),
            _Band("mid", middle, low, high, turned=True),
            _Band("high", tweeter, high, None),
        )
    above = _Band("high", tweeter, high, None, turned=True)
    if ways == "two":
        return _Band("low", woofer, None, low), above
    if not is_pair(project):
        words = "must be two drivers in parallel, not behind each other, for two and a half ways"
        raise InputError(f"alternatives.{project.chosen}.count", words)
    return _Band("half", woofer, None, low, alone=True), _Band("low", woofer, None, high, alone=True), above


def is_pair(project):
    """Whether the chosen box has two drivers that can get leads of their own."""
    chosen = project.alternatives[project.chosen]
    return chosen.count == 2 and chosen.wiring == "parallel" and not chosen.compound


def _first(project, kind, words):
    """The first driver of a kind that is not in the box."""
    for key, each in project.drivers.items():
        if each.kind == kind and not in_box(project, key):
            return key
    raise InputError("drivers", words)


def _way(project, g, band):
    """Parts from the source to the driver of one way."""
    Z, end, prefix = nominal(project, band.driver, band.alone), f"{band.name} out", f"{band.name} "
    high = book.high_pass(g, Z, band.low) if band.low else ()
    low = book.low_pass([1.0] if band.half else g, Z, band.high) if band.high else ()
    between = f"{prefix}in" if high and low else SOURCE if low else end
    parts = [
        *book.as_parts(high, SOURCE, between, prefix),
        *book.as_parts(low, between, end, f"{prefix}top " if high else prefix),
    ]
    return {part.name: _plain(part) for part in parts}


def _plain(part):
    start, end = part.nodes
    value = _coil(part.L) if isinstance(part, Coil) else _capacitor(part.C)
    return {**value, "start": start, "end": end}


# --- the driver as the textbook sees it


def nominal(project, driver, alone=False):
    """The resistor that the textbook takes a driver for: all of its group in the chosen box, or one. [ohm]"""
    each = project.drivers[driver]
    if each.Z is None and each.Re is None:
        raise InputError(f"drivers.{driver}.Z", "is needed: what the driver is sold as, such as 8 ohms")
    return (each.Z or 1.2 * each.Re) * (1.0 if alone else wired(project, driver))


def _sheet(project, result, part, *names):
    """Values of a driver alone; of the one in the box `Re` and `Le` of its group."""
    driver = part.driver
    each = result.drivers[driver].constants or project.drivers[driver]
    ratio = 1.0 if part.alone else wired(project, driver)
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
    return VALUES[kind](project, result, part, **asked)


def _resistor(R):
    return {"kind": "resistor", "resistance": R}


def _coil(L):
    return {"kind": "coil", "inductance": L, "Rdc": WIRE}


def _capacitor(C):
    return {"kind": "capacitor", "capacitance": C}


def _pad(project, result, part, A):
    series, across = book.l_pad(nominal(project, part.driver, part.alone), A)
    return {"R1": _resistor(series), "R2": _resistor(across)}


def _zobel(project, result, part):
    R, C = book.impedance_compensation(*_sheet(project, result, part, "Re", "Le"))
    return {"R": _resistor(R), "C": _capacitor(C)}


def _notch(project, result, part):
    if in_box(project, part.driver):
        raise InputError("parts", "has it in the box, whose peaks are the box’s: a notch does not fit")
    R, L, C = book.series_notch(*_sheet(project, result, part, "fs", "Qms", "Qes", "Re"))
    return {"R": _resistor(R - WIRE), "L": _coil(L), "C": _capacitor(C)}


def _trap(project, result, part, A, f1, f2):
    R, L, C = book.parallel_trap(nominal(project, part.driver, part.alone), A, f1, f2)
    return {"R": _resistor(R), "L": _coil(L), "C": _capacitor(C)}


def _step(project, result, part, A, fm):
    R, L = book.baffle_step(nominal(project, part.driver, part.alone), A, fm)
    return {"R": _resistor(R), "L": _coil(L)}


def _guard(project, result, part, A, f):
    return {"C": _capacitor(book.protecting_capacitor(nominal(project, part.driver, part.alone), f, A))}


VALUES = {"pad": _pad, "zobel": _zobel, "notch": _notch, "trap": _trap, "step": _step, "guard": _guard}
