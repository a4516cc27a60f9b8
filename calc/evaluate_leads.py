"""Project and its result -> the wires of one speaker: where from, where to, how long, and what they take."""

from dataclasses import dataclass
from math import ceil

from calc.evaluate_network import in_box
from calc.network.leads import GAUGES, Qts_behind, level_lost, loop_resistance, thinnest
from calc.network.netlist import GROUND
from calc.project_cabinet import PANELS

ENDS = 0.06
"""Wire at both ends of a run for stripping and soldering (common practice, no source). [m]"""

HAND = 0.10
"""Wire more than just reaches, so that a hand gets between (common practice, no source). [m]"""


@dataclass(frozen=True)
class Run:
    """A pair of wires. Lengths of one wire [m].

    key : "amplifier", "terminals", or the seat of a driver; driver : of that seat, else None
    start, end : where in the cabinet [m]; None outside
    route : along the walls; slack : to lay the driver beside the box; length : to cut
    gauge : name of the wire; R : there and back [ohm]; Z : the least behind it [ohm]; lost : there [dB]
    reversed : whether its plus goes to the black side
    """

    key: str
    driver: str | None
    start: tuple | None
    end: tuple | None
    route: float
    slack: float
    length: float
    gauge: str
    R: float
    Z: float
    lost: float
    reversed: bool = False


@dataclass(frozen=True)
class Leads:
    """The runs of one speaker, each once, and what they do to the drivers.

    Q : {seat: (Qts alone, Qts behind the wires to it [-], their resistance [ohm])}, of the driver in the box
    on_board : name of the board in the cabinet, None: it is taken to be at the terminals
    terminals : name of the terminals' hole, None: there is none, and runs begin at the middle of the back
    total : wire of one speaker, both of each pair, without the amplifier's [m]
    unseated : names of drivers of the crossover that have no seat in the cabinet
    """

    runs: tuple
    Q: dict
    on_board: str | None
    terminals: str | None
    total: float
    unseated: tuple


def leads(project, result, least):
    """The `Leads` of a project whose crossover lacks nothing (`evaluate_network.lacking`).

    `least` is the lowest impedance of its load. [ohm]
    """
    plan = project.network.leads
    parts = project.network.parts
    terminals, inlet = _terminals(result)
    on_board, middle = _board(project, result, inlet)
    runs = []
    if plan.cable is not None:
        runs.append(_run("amplifier", None, None, None, plan.cable, 0.0, plan.gauge, least))
    runs.append(_run("terminals", None, inlet, middle, _way(inlet, middle), 0.0, plan.gauge, least))
    for part in (each for each in parts.values() if each.kind == "driver"):
        for seat, at in _seats(project, result, part.driver):
            slack = plan.slack if plan.slack is not None else _slack(result, at, project.drivers[part.driver])
            way, Z, turned = _way(middle, at), _own(project, result, part.driver), part.start == GROUND
            runs.append(_run(seat, part.driver, middle, at, way, slack, plan.gauge, Z, turned))
    before = sum(run.R for run in runs if run.driver is None)
    return Leads(
        runs=tuple(runs),
        Q=_Q(result, [run for run in runs if run.driver and in_box(project, run.driver)], before),
        on_board=on_board,
        terminals=terminals,
        unseated=tuple(
            name
            for name, each in parts.items()
            if each.driver and each.driver not in {run.driver for run in runs}
        ),
        total=2 * sum(run.length for run in runs if run.key != "amplifier"),
    )


def _run(key, driver, start, end, route, slack, gauge, Z, turned=False):
    length = ceil(round(100 * (route + slack + ENDS), 6)) / 100
    gauge = gauge or thinnest(length, Z)
    R = loop_resistance(length, GAUGES[gauge])
    return Run(key, driver, start, end, route, slack, length, gauge, R, Z, level_lost(Z, R), turned)


def _way(start, end):
    """Along the walls: the three distances one after the other. [m]"""
    return sum(abs(a - b) for a, b in zip(start, end, strict=True))


def _terminals(result):
    """Name and inner place of the terminals' hole: by its name, or the first on the back."""
    carcass = result.cabinet.carcass
    holes = [each for each in result.openings if each.kind == "hole"]
    holes.sort(key=lambda each: ("terminal" not in each.name.lower(), each.panel != "back"))
    if holes:
        one = holes[0]
        return one.name, carcass.facing(one.panel).at(one.x, one.y, carcass.panels[one.panel].thickness)
    width, height, _ = carcass.outer
    return None, carcass.facing("back").at(width / 2, height / 2, carcass.panels["back"].thickness)


def _board(project, result, inlet):
    """Name and place of the crossover's board, at the terminals where the cabinet has none."""
    carcass = result.cabinet.carcass
    for name, board in project.cabinet.boards.items():
        return name, carcass.facing(board.panel).at(board.x, board.y, carcass.panels[board.panel].thickness)
    return None, inlet


def _seats(project, result, driver):
    """(seat, place in the cabinet) of each of a driver's seats."""
    carcass = result.cabinet.carcass
    for each in result.openings:
        if each.kind == "seat" and project.cabinet.seats[each.name].driver == driver:
            if each.panel in PANELS:
                panel = carcass.panels[each.panel]
                yield each.name, carcass.facing(each.panel).at(each.x, each.y, panel.thickness)
            else:  # in a shelf: y runs from the front
                yield each.name, (each.x, each.y, result.cabinet.braces[each.panel].low[2])


def _slack(result, at, driver):
    """Wire that lets a driver lie on the bench: before the standing box, or beside the box on its back."""
    width, _, depth = result.cabinet.carcass.outer
    standing, lying = at[2], min(at[0], width - at[0]) + depth
    return min(standing, lying) + (driver.frame.about or 0.0) / 2 + HAND


def _own(project, result, key):
    """The least impedance of a driver: its Re. [ohm]"""
    known = result.drivers[key].constants or project.drivers[key]
    return known.Re


def _Q(result, runs, before):
    found = {}
    for run in runs:
        known = result.drivers[run.driver].constants
        R = before + run.R
        found[run.key] = (
            Qts_behind(known.Qms, known.Qes, known.Re, 0.0),
            Qts_behind(known.Qms, known.Qes, known.Re, R),
            R,
        )
    return found
