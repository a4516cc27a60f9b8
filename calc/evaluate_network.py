"""What the page Crossover asks of a project: transfer to each driver, load, burden."""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from calc.network.load import burden, least_allowed, least_impedance
from calc.network.netlist import Measured, Network, Sheet
from calc.network.rating import heat, volts
from calc.network.solve import solve
from calc.project_network import SOURCE
from calc.sound.several_drivers import strings

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
    largest = chosen.amplifier or result.box.volts or sqrt(chosen.P * 8)
    solution = solve(made, F, V=largest)
    least = least_impedance(F, solution.Z)
    keys = {each.driver for each in project.network.parts.values() if each.driver}
    nominal = [project.drivers[key].Z * wired(project, key) for key in keys if project.drivers[key].Z]
    rated = min(nominal, default=None)
    return NetworkResult(
        transfer={part.name: solution.transfer(part) for part in made.drivers},
        Z=solution.Z,
        least=least,
        rated=rated,
        allowed=rated and least_allowed(rated),
        volts=largest,
        crest=chosen.crest,
        burdens={part.name: burden(solution, part, chosen.crest) for part in made.parts},
    )


def assembled(project, result):
    """The crossover with its drivers' impedances: in the chosen box for the one that fills it."""
    parts = project.network.parts
    which = {(each.driver, each.alone) for each in parts.values() if each.kind == "driver"}
    loads = {(key, alone): _load(project, result, key, alone) for key, alone in which}
    return Network(
        tuple(each.part(name, loads.get((each.driver, each.alone))) for name, each in parts.items()), SOURCE
    )


def strains(project, found):
    """{name: `rating.Strain`} of each part that is known to bear so much."""
    made = {}
    for name, part in project.network.parts.items():
        each = found.burdens[name]
        if part.kind == "resistor" and part.rated_power:
            made[name] = heat(each, part.rated_power)
        elif part.kind == "capacitor" and part.rated_voltage:
            made[name] = volts(each, part.rated_voltage)
        elif part.kind == "driver" and project.drivers[part.driver].Pe:
            in_series, in_parallel = (1, 1) if part.alone else _wiring(project, part.driver)
            made[name] = heat(each, project.drivers[part.driver].Pe * in_series * in_parallel)
    return made


def in_box(project, driver):
    """Whether a driver is the one that fills the chosen box."""
    return project.alternatives[project.chosen].driver == driver


def _wiring(project, driver):
    """How many of the group in the chosen box lie in series, and how many such strings in parallel."""
    chosen = project.alternatives[project.chosen]
    return strings(chosen.count, chosen.wiring) if chosen.driver == driver else (1, 1)


def wired(project, driver):
    """Impedance of all that a driver stands for, its group in the chosen box, over that of one. [-]"""
    in_series, in_parallel = _wiring(project, driver)
    return in_series / in_parallel


def share_of_sound(project, part):
    """Pressure of a driver part over that of its group, both with the same volts at their terminals. [-]

    Of n equal drivers, s in series in each of p strings, each gets 1/s of the volts: n/s = p times one alone.
    """
    return 1 / _wiring(project, part.driver)[1] if part.alone else 1.0


def _load(project, result, driver, alone):
    """Impedance of a driver; of one of a group in the box as long as all of it gets the same."""
    each = project.drivers[driver]
    if in_box(project, driver):
        box, ratio = result.box, wired(project, driver) if alone else 1.0
        response = box.circuit.response(F)
        return Measured(F, response.Z / ratio, response.Z_phase, box.group.Re / ratio, each.name or driver)
    known = result.drivers[driver].constants or each
    return Sheet(known.Re, known.fs, known.Qms, known.Qes, known.Le or 0.0, known.Le2, known.Re2)
