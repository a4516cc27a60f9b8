"""What the page Crossover asks of a project: transfer to each driver, load, burden."""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from calc.network.load import burden, least_allowed, least_impedance
from calc.network.netlist import Measured, Network, Sheet
from calc.network.solve import solve
from calc.project_network import SOURCE

F = np.geomspace(20, 20e3, 301)
"""Where a crossover is reckoned, and the band of its noise. [Hz]"""


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
