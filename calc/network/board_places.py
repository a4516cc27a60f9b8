"""Where each part lies on a crossover board, clear of the others, cool, and out of the coils' fields.

x runs to the right and y up, from the board's lower left corner. A part lies `level`, its length along x, or
`upright`, its length along y; a coil whose axis points up lies `flat`. Terminals come in from the left, the
drivers' wires leave to the right.
"""

from dataclasses import dataclass
from itertools import combinations
from math import ceil, sqrt

import numpy as np

from calc.network.board import TERMINALS, Lead, nodes_of
from calc.network.board_pads import are_near, pads_of
from calc.network.coupling import NOTICED, coupling

GAP = 0.008
"""Room between two parts, and from a part to the board's edge, for leads, ties and fingers (common practice,
no source). [m]"""

HEAT = 0.015
"""Room that a resistor keeps from a capacitor (common practice, no source). [m]"""

CANDIDATES = 700
"""As many places are tried for each part: the grid is as fine as that allows."""

TURNS = {"coil": ("flat", "level", "upright")}
AXES = {"flat": (0.0, 0.0, 1.0), "level": (1.0, 0.0, 0.0), "upright": (0.0, 1.0, 0.0)}


@dataclass(frozen=True)
class Spot:
    """The middle x, y [m] of a part, how it is turned, and the part's `Body`."""

    x: float
    y: float
    turn: str
    body: object

    @property
    def size(self):
        """Along x and along y. [m]"""
        return size(self.body, self.turn)

    @property
    def ends(self):
        """Where its two leads leave it: (x, y) of the left or lower one first. [m]"""
        wide, tall = self.size
        dx, dy = (0.0, tall / 2) if self.turn == "upright" else (wide / 2, 0.0)
        return (self.x - dx, self.y - dy), (self.x + dx, self.y + dy)


def size(body, turn):
    """What a body covers along x and along y. [m]"""
    if turn == "flat":
        return body.width, body.width
    return (body.length, body.width) if turn == "level" else (body.width, body.length)


@dataclass(frozen=True)
class BoardFact:
    """What a layout does not keep: `kind`, the names of the parts, and by how much.

    unplaced  no room is left; off edge  sticks out of the board [m]; overlap  two lie on each other [m]
    heat      a resistor that much from a capacitor [m]; coupled  the coupling factor of two coils [-]
    """

    kind: str
    names: tuple
    by: float = 0.0


@dataclass(frozen=True)
class Layout:
    """A board `width` by `height` [m] and what lies on it.

    spots : {part: Spot}; pads : tuple of `board_pads.Pad`; links : pairs of pads of one node, joined by wire
    leads : {Lead: (x, y) where it leaves its part [m]}; facts : `BoardFact`s
    """

    width: float
    height: float
    spots: dict
    pads: tuple
    links: tuple
    leads: dict
    facts: tuple

    @property
    def built(self):
        """Where each lead ends, {Lead: name of its pad}."""
        return {lead: pad.name for pad in self.pads for lead in pad.leads}

    @property
    def neighbours(self):
        """Pairs of nodes whose pads lie so near each other that a folded lead bridges them."""
        near = {tuple(sorted((a.node, b.node))) for a, b in combinations(self.pads, 2) if are_near(a, b)}
        return tuple(sorted(near))


def layout(width, height, ends, bodies, fixed):
    """Lay parts out on a board.

    Parameters
    ----------
    width, height : float
        [m]
    ends : dict of Lead to str
        The node of each lead, see `board.leads_of`; leads of what has no body are wires from elsewhere.
    bodies : dict of str to Body
        The parts that lie on the board.
    fixed : dict of str to Spot
        Those whose place was decided; they stay there whatever they meet.

    Returns
    -------
    Layout

    Notes
    -----
    The largest part first, coils before all, each goes where it is clear of the others, near what it is
    joined to, and caught least by the coils' fields. That is a sound board, not the best one.
    """
    spots = dict(fixed)
    order = sorted(
        (name for name in bodies if name not in fixed),
        key=lambda name: (bodies[name].kind != "coil", -bodies[name].length * bodies[name].width),
    )
    for name in order:
        spot = _best(width, height, name, bodies, spots, ends)
        if spot is not None:
            spots[name] = spot
    spots = {name: spots[name] for name in bodies if name in spots}
    pads, links, leads = pads_of(width, height, ends, spots)
    facts = tuple(_facts(width, height, bodies, spots))
    return Layout(width, height, spots, pads, links, leads, facts)


def comfortable(ends, bodies):
    """Width and height of a board that takes all parts and keeps them apart, to whole 10 mm. [m, m]

    Grown from half as much again as the parts cover, four to three, until nothing is left to say of its
    layout.
    """
    covered = sum((body.width + GAP) * (max(body.length, body.width) + GAP) for body in bodies.values())
    scale = 1.0
    for _ in range(12):
        width, height = (ceil(100 * sqrt(1.5 * covered * way) * scale) / 100 for way in (4 / 3, 3 / 4))
        if not layout(width, height, ends, bodies, {}).facts:
            break
        scale *= 1.08
    return width, height


# --- Places


def _best(width, height, name, bodies, spots, ends):
    """The `Spot` that serves a part best beside those that lie there, None where no room is left."""
    body = bodies[name]
    tries = [_grid(width, height, body, turn) for turn in TURNS.get(body.kind, ("level", "upright"))]
    turns = np.concatenate([np.full(len(at), i) for i, (_, at) in enumerate(tries)])
    at = np.concatenate([at for _, at in tries])
    if not len(at):
        return None
    names = [turn for turn, _ in tries]
    half = np.array([size(body, turn) for turn in names])[turns] / 2
    cost, free, cool = np.zeros(len(at)), np.ones(len(at), bool), np.ones(len(at), bool)
    for other, spot in spots.items():
        between = np.array([spot.x, spot.y]) - at
        gap = (abs(between) - half - np.array(spot.size) / 2).max(axis=1)
        free &= gap >= GAP
        if {body.kind, spot.body.kind} == {"resistor", "capacitor"}:
            cool &= gap >= HEAT
        cost += _ties(ends, name, other) * np.hypot(*between.T)
        if body.kind == spot.body.kind == "coil":
            cost += _caught(body, names, turns, between, spot)
    cost += _pulled(width, height, ends, bodies, name, at)
    for allowed in (free & cool, free):
        if allowed.any():
            best = int(np.where(allowed, cost, np.inf).argmin())
            return Spot(float(at[best][0]), float(at[best][1]), names[turns[best]], body)
    return None


def _grid(width, height, body, turn):
    """(turn, places of the middle, shape (n, 2)) all over the board but for a rim."""
    low = np.array(size(body, turn)) / 2 + GAP
    room = np.array([width, height]) - 2 * low
    if (room < 0).any():
        return turn, np.empty((0, 2))
    step = max(0.004, float(np.sqrt((room[0] + 0.004) * (room[1] + 0.004) / CANDIDATES)))
    x, y = (low[i] + np.linspace(0, room[i], int(room[i] / step) + 1) for i in (0, 1))
    return turn, np.stack(np.meshgrid(x, y), -1).reshape(-1, 2)


def _ties(ends, one, other):
    """How many joints two parts share."""
    return len(nodes_of(ends, one) & nodes_of(ends, other))


def _caught(body, names, turns, between, spot):
    """What a coupling is worth avoiding, in metres of lead: one hundredth is worth 0.3 m."""
    axes = np.array([AXES[name] for name in names])[turns]
    apart = np.column_stack([between, np.zeros(len(between))])
    apart[:, 2] += 1e-6  # two middles on one spot are refused as an overlap, not divided by
    return 30 * coupling(body.width / 4, spot.body.width / 4, axes, AXES[spot.turn], apart)


def _pulled(width, height, ends, bodies, name, at):
    """The way to the edge where the terminals or a driver's wires are, in metres of lead."""
    nodes, cost = nodes_of(ends, name), 0.05 * abs(at[:, 1] - height / 2)
    source = nodes_of(ends, TERMINALS)
    if ends[Lead(TERMINALS, 0)] in nodes:  # ground is all over the board
        cost += 0.5 * at[:, 0]
    wires = {lead.part for lead in ends} - {TERMINALS, *bodies}
    if any(nodes & nodes_of(ends, wire) - source for wire in wires):
        cost += 0.5 * (width - at[:, 0])
    return cost


def _facts(width, height, bodies, spots):
    """Each `BoardFact`: room first, then heat, then fields."""
    yield from (BoardFact("unplaced", (name,)) for name in bodies if name not in spots)
    for name, spot in spots.items():
        wide, tall = spot.size
        out = max(wide / 2 - spot.x, spot.x + wide / 2 - width, tall / 2 - spot.y, spot.y + tall / 2 - height)
        if out > 1e-9:
            yield BoardFact("off edge", (name,), out)
    for (a, one), (b, other) in combinations(spots.items(), 2):
        gap = _gap(one, other)
        if gap < -1e-9:
            yield BoardFact("overlap", (a, b), -gap)
        elif {one.body.kind, other.body.kind} == {"resistor", "capacitor"} and gap < HEAT - 1e-9:
            yield BoardFact("heat", (a, b), gap)
    for (a, one), (b, other) in combinations(spots.items(), 2):
        if one.body.kind == other.body.kind == "coil":
            k = coupled(one, other)
            if k > NOTICED:
                yield BoardFact("coupled", (a, b), k)


def _gap(one, other):
    """Clear room between two spots, below zero where they lie on each other. [m]"""
    apart = abs(one.x - other.x), abs(one.y - other.y)
    return max(way - (a + b) / 2 for way, a, b in zip(apart, one.size, other.size, strict=True))


def coupled(one, other):
    """Coupling factor of the coils at two spots. [-]"""
    between = (other.x - one.x, other.y - one.y, 0.0)
    if not any(between):
        return 1.0
    sides = one.body.width / 4, other.body.width / 4
    return float(coupling(*sides, AXES[one.turn], AXES[other.turn], between))
