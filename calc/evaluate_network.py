"""What the page Crossover asks of a project: transfer to each driver, load, burden."""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from calc.errors import InputError
from calc.network.load import burden, least_allowed, least_impedance
from calc.network.netlist import GROUND, Capacitor, Coil, Measured, Network, Sheet
from calc.network.solve import solve
from calc.network.textbook import as_parts, butterworth, high_pass, ladder, linkwitz_riley, low_pass
from calc.project_network import SOURCE

F = np.geomspace(20, 20e3, 301)
"""Where a crossover is reckoned, and the band of its noise. [Hz]"""

FAMILIES = {"butterworth": butterworth, "linkwitz-riley": linkwitz_riley}

ORDERS = {"butterworth": (1, 2, 3, 4), "linkwitz-riley": (2, 4)}

WIRE = 0.3
"""Resistance of a coil's wire that a textbook value begins with (common practice, no source). [ohm]"""


@dataclass(frozen=True)
class NetworkResult:
    """What a crossover does from `F`[0] to `F`[-1], electrically.

    transfer : {name of a driver part: voltage across it over the source, complex}; Z : load [ohm, complex]
    least : `load.Least`; rated : the drivers' lowest nominal impedance, None if no sheet tells it [ohm]
    allowed : how low the load may fall for that [ohm]
    volts, crest : of the amplifier for the burdens; burdens : {name of a part: `load.Burden`}
    """

    transfer: dict
    Z: np.ndarray
    least: object
    rated: float | None
    allowed: float | None
    volts: float
    crest: float
    burdens: dict


def lacking(project, result):
    """What must be known of the network's drivers first: {key of a driver: names of its values}."""
    found = {}
    for part in project.network.parts.values():
        if part.kind == "driver":
            constants = result.drivers[part.driver].constants
            each = project.drivers[part.driver]
            missing = [name for name in ("Re", "fs", "Qms", "Qes") if getattr(each, name) is None]
            if in_box(project, part.driver):
                missing = list(result.box.missing)
            elif constants is not None:
                missing = []
            if missing:
                found[part.driver] = tuple(missing)
    return found


def network(project, result):
    """The `NetworkResult` of a project whose crossover lacks nothing."""
    made = assembled(project, result)
    chosen = project.alternatives[project.chosen]
    volts = chosen.amplifier or result.box.volts or sqrt(chosen.P * 8)
    solution = solve(made, F, V=volts)
    least = least_impedance(F, solution.Z)
    nominal = [project.drivers[each.driver].Z for each in project.network.parts.values() if each.driver]
    rated = min((Z for Z in nominal if Z), default=None)
    return NetworkResult(
        transfer={part.name: solution.transfer(part) for part in made.drivers},
        Z=solution.Z,
        least=least,
        rated=rated,
        allowed=rated and least_allowed(rated),
        volts=volts,
        crest=chosen.crest,
        burdens={part.name: burden(solution, part, chosen.crest) for part in made.parts},
    )


def assembled(project, result):
    """The crossover with its drivers' impedances: in the chosen box for the one that fills it."""
    parts = project.network.parts
    loads = {
        each.driver: _load(project, result, each.driver) for each in parts.values() if each.kind == "driver"
    }
    return Network(tuple(each.part(name, loads.get(each.driver)) for name, each in parts.items()), SOURCE)


def in_box(project, driver):
    """Whether a driver is the one that fills the chosen box."""
    return project.alternatives[project.chosen].driver == driver


def _load(project, result, driver):
    each = project.drivers[driver]
    if in_box(project, driver):
        box = result.box
        response = box.circuit.response(F)
        return Measured(F, response.Z, response.Z_phase, box.group.Re, each.name or driver)
    known = result.drivers[driver].constants or each
    return Sheet(known.Re, known.fs, known.Qms, known.Qes, known.Le or 0.0, known.Le2, known.Re2)


def textbook(project, family, order, f0):
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
    g = ladder(FAMILIES[family](order))
    ways = (low_pass(g, _nominal(project, low), f0), high_pass(g, _nominal(project, high), f0))
    made = {}
    for prefix, way, driver in zip(("low ", "high "), ways, (low, high), strict=True):
        end = f"{prefix}out"
        for part in as_parts(way, SOURCE, end, prefix):
            made[part.name] = _plain(part)
        start, stop = (GROUND, end) if order == 2 and driver == high else (end, GROUND)
        made[driver] = {"kind": "driver", "start": start, "end": stop, "driver": driver}
    return made


def _nominal(project, driver):
    each = project.drivers[driver]
    if each.Z is None and each.Re is None:
        raise InputError(f"drivers.{driver}.Z", "is needed: what the driver is sold as, such as 8 ohms")
    return each.Z or 1.2 * each.Re


def _plain(part):
    start, end = part.nodes
    if isinstance(part, Coil):
        return {"kind": "coil", "start": start, "end": end, "inductance": part.L, "Rdc": WIRE}
    assert isinstance(part, Capacitor)
    return {"kind": "capacitor", "start": start, "end": end, "capacitance": part.C}
