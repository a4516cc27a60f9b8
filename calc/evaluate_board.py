"""What the page Wiring asks of a project's crossover boards: the one that is laid out, and a bought one."""

from dataclasses import dataclass

from calc.network.board import TERMINALS, Lead, built_parts, leads_of, mistakes, polar_of
from calc.network.board_places import Layout, Spot, comfortable, layout
from calc.network.faults import meter_reading
from calc.network.part_sizes import capacitor_body, coil_body, resistor_body
from calc.project_network import SOURCE

THICKNESS = 0.009
"""Of the board itself, plywood (common practice, no source). [m]"""

WOOD = 650.0
"""What plywood weighs (common practice, no source). [kg/m³]"""

STANDS_OFF = 0.005
"""How far a resistor stands off the board, to stay cool (common practice, no source). [m]"""


@dataclass(frozen=True)
class Boarded:
    """The crossover on a board of one's own.

    ends : {Lead: node}; layout : `Layout`; guessed : names of the parts whose size nobody measured
    mistakes : of pads and wires against the network, by the joints that they make
    """

    ends: dict
    layout: Layout
    guessed: tuple
    mistakes: tuple

    @property
    def depth(self):
        """From the panel behind the board to the top of its tallest part. [m]"""
        return THICKNESS + max((_tall(spot) for spot in self.layout.spots.values()), default=0.0)

    @property
    def volume(self):
        """Air that board and parts take. [m³]"""
        return self._board + sum(spot.body.volume for spot in self.layout.spots.values())

    @property
    def mass(self):
        """[kg]"""
        return WOOD * self._board + sum(spot.body.mass for spot in self.layout.spots.values())

    @property
    def _board(self):
        return self.layout.width * self.layout.height * THICKNESS


def _tall(spot):
    """How high a part reaches over the board. [m]"""
    if spot.turn == "flat":
        return spot.body.length
    return spot.body.width + (STANDS_OFF if spot.body.kind == "resistor" else 0.0)


@dataclass(frozen=True)
class Bought:
    """The crossover in the holes of a bought board.

    ends : {Lead: node}; built : {Lead: hole}; links : holes that a track joins
    mistakes : against the network; reading : what a meter shows across its terminals [ohm], None while a lead
        goes nowhere or a driver's Re is not known
    """

    ends: dict
    built: dict
    links: tuple
    mistakes: tuple
    reading: float | None


def parts_of(project):
    """The crossover's parts as a netlist, drivers without their impedance."""
    return tuple(each.part(name) for name, each in project.network.parts.items())


def bodies_of(project):
    """The `Body` of each part that lies on a board, by its value or as it was measured."""
    plan, found = project.network.board, {}
    for name, each in project.network.parts.items():
        if each.kind == "driver":
            continue
        body = _usual(each)
        decided = plan.parts.get(name) if plan else None
        if decided:
            body = body._replace(length=decided.length or body.length, width=decided.width or body.width)
        found[name] = body
    return found


def _usual(part):
    if part.kind == "coil":
        return coil_body(part.inductance, part.Rdc)
    return capacitor_body(part.capacitance) if part.kind == "capacitor" else resistor_body()


def proposed(project):
    """Width and height of a board that takes the crossover with ease. [m, m]"""
    return comfortable(leads_of(parts_of(project), SOURCE), bodies_of(project))


def boarded(project):
    """The `Boarded` of a project; None without a board."""
    plan = project.network.board if project.network else None
    if plan is None:
        return None
    parts, bodies = parts_of(project), bodies_of(project)
    ends = leads_of(parts, SOURCE)
    fixed = {
        name: Spot(each.x, each.y, each.turn, bodies[name])
        for name, each in plan.parts.items()
        if name in bodies and each.x is not None
    }
    made = layout(plan.width, plan.height, ends, bodies, fixed)
    measured = {name for name, each in plan.parts.items() if each.length and each.width}
    return Boarded(
        ends=ends,
        layout=made,
        guessed=tuple(name for name in bodies if name not in measured),
        mistakes=mistakes(ends, made.built, made.links, polar_of(parts)),
    )


def bought(project, loaded=None):
    """The `Bought` of a project; None without such a board. `loaded` are its parts, drivers with their Re."""
    board = project.network.bought if project.network else None
    if board is None:
        return None
    parts = parts_of(project)
    ends = leads_of(parts, SOURCE)
    holes = {Lead(TERMINALS, 0): board.red, Lead(TERMINALS, 1): board.black}
    for name, each in board.parts.items():
        holes |= {Lead(name, 0): each.start, Lead(name, 1): each.end}
    built = {lead: holes[lead].upper() for lead in ends if holes.get(lead)}
    found = mistakes(ends, built, board.joined, polar_of(parts))
    whole = loaded is not None and len(built) == len(ends)
    reading = meter_reading(*built_parts(loaded, SOURCE, built, board.joined)) if whole else None
    return Bought(ends, built, board.joined, found, reading)
