"""Layouts by shapely, coil sizes by printed coils, coupling by adding up their turns."""

from itertools import combinations

import numpy as np
import pytest
from shapely.geometry import Point, box
from test_network_faults import two_way
from test_network_simulator import network as random_network

from calc.errors import InputError
from calc.network.board import TERMINALS, Lead, leads_of, mistakes, polar_of
from calc.network.board_pads import NEAR, REACH
from calc.network.board_places import GAP, HEAT, Spot, comfortable, coupled, layout
from calc.network.coupling import NOTICED, coupling
from calc.network.netlist import Capacitor, Coil, Resistor
from calc.network.part_sizes import Body, air_coil_side, capacitor_body, coil_body, resistor_body

# --- sizes ---


def test_a_coil_is_as_large_as_the_printed_one():
    """Two coils of Brooks's shape with 1.0 mm copper: c = 15 mm, 200 turns, 1.5295 mH, 0.621 ohm; and
    c = 20 mm, 250 turns, 3.186 mH, 1.035 ohm (own loop sums, as in the shop reference; seen).

    The second's 250 turns of 1.06 mm leave room in 20 x 20 mm, so it could be smaller: 20 mm is its most.
    """
    assert air_coil_side(1.5295e-3, 0.621) == pytest.approx(0.015, rel=2e-3)
    assert 0.016 < air_coil_side(3.186e-3, 1.035) < 0.020


def test_bodies_grow_with_their_values():
    assert coil_body(1e-3, 0.3).width > coil_body(1e-3, 0.6).width > coil_body(0.2e-3, 0.6).width
    assert coil_body(1e-3, 0.0).width > 0
    small, large = capacitor_body(1e-6), capacitor_body(8e-6)
    assert large.width == pytest.approx(2 * small.width) and large.length == 2 * large.width
    with pytest.raises(InputError):
        capacitor_body(0.0)


# --- coupling ---


def turns(c, axis, middle, n=4, corners=40):
    """Filaments of a Brooks coil: n x n circles as polygons, shape (n n, corners, 3)."""
    axis = np.asarray(axis, float)
    side = np.cross(axis, (0.3, 0.5, 0.81))
    side /= np.linalg.norm(side)
    other = np.cross(axis, side)
    phi = 2 * np.pi * (np.arange(corners) + 0.5) / corners
    steps = (np.arange(n) + 0.5) / n
    circle = np.cos(phi)[:, None] * side + np.sin(phi)[:, None] * other
    return np.array([middle + c * (1 + r) * circle + (z - 0.5) * c * axis for r in steps for z in steps])


def mutual(one, other):
    """Neumann's double sum for coils of one turn in all, mu0/(4 pi) sum dl dl'/r. [H]"""
    a, b = (each.reshape(-1, 3) for each in (one, other))
    da, db = (
        (np.roll(each, -1, axis=1) - np.roll(each, 1, axis=1)).reshape(-1, 3) / 2 for each in (one, other)
    )
    r = np.linalg.norm(a[:, None] - b[None], axis=-1)
    return 1e-7 * ((da @ db.T) / r).sum() / len(one) / len(other)


@pytest.mark.parametrize(
    "axis1, axis2, between, tolerance",
    [
        ((0, 0, 1), (0, 0, 1), (0.16, 0, 0), 0.15),
        ((0, 0, 1), (0, 0, 1), (0, 0, 0.16), 0.15),
        ((1, 0, 0), (0, 1, 0), (0.12, 0.12, 0), 0.15),
        ((0, 0, 1), (0, 0, 1), (0.5, 0, 0), 0.02),
    ],
)
def test_coupling_is_the_sum_over_all_turns(axis1, axis2, between, tolerance):
    """Neumann's formula over 16 x 16 circles; L of each by the printed factor."""
    c = 0.02
    M = mutual(turns(c, axis1, np.zeros(3)), turns(c, axis2, np.array(between, float)))
    L = 1.6994e-6 * 1.5 * c  # of one turn
    assert coupling(c, c, axis1, axis2, between) == pytest.approx(abs(M) / L, rel=tolerance)


def test_a_coil_lying_and_one_standing_catch_nothing_of_each_other():
    """By symmetry: the field of a flat coil is upright all over its plane."""
    body = coil_body(1e-3, 0.3)
    flat = Spot(0.05, 0.05, "flat", body)
    for turn in ("level", "upright"):
        assert coupled(flat, Spot(0.15, 0.08, turn, body)) == 0
    assert coupled(flat, Spot(0.14, 0.05, "flat", body)) > NOTICED
    assert coupled(flat, Spot(0.05, 0.05, "level", body)) == 1


# --- layouts ---


def bodies_of(parts):
    made = {}
    for part in parts:
        if isinstance(part, Coil):
            made[part.name] = coil_body(part.L, part.Rdc)
        elif isinstance(part, Capacitor):
            made[part.name] = capacitor_body(part.C)
        elif isinstance(part, Resistor):
            made[part.name] = resistor_body()
    return made


def usual(parts):
    """The parts with values that are bought, whatever a random network has."""
    for i, part in enumerate(parts):
        if isinstance(part, Coil):
            yield Coil(part.name, part.nodes, (0.2e-3, 0.5e-3, 1e-3)[i % 3], 0.3)
        elif isinstance(part, Capacitor):
            yield Capacitor(part.name, part.nodes, (3.3e-6, 6.8e-6, 15e-6)[i % 3])
        else:
            yield part


def covered(spot):
    (wide, tall) = spot.size
    return box(spot.x - wide / 2, spot.y - tall / 2, spot.x + wide / 2, spot.y + tall / 2)


@pytest.mark.parametrize("seed", range(12))
def test_a_board_found_keeps_all_that_it_promises(seed):
    rng = np.random.default_rng(seed)
    parts = tuple(usual(random_network(rng, ("ladder", "two ways", "mesh")[seed % 3]).parts))
    ends, bodies = leads_of(parts, "in"), bodies_of(parts)
    width, height = comfortable(ends, bodies)
    made = layout(width, height, ends, bodies, {})
    assert made.facts == () and set(made.spots) == set(bodies)
    board = box(0, 0, width, height)
    for spot in made.spots.values():
        assert board.contains(covered(spot).buffer(GAP - 1e-9, join_style="mitre"))
    for one, other in combinations(made.spots.values(), 2):
        apart = covered(one).distance(covered(other))
        assert apart >= GAP - 1e-9
        if {one.body.kind, other.body.kind} == {"resistor", "capacitor"}:
            assert apart >= HEAT - 1e-9
        if one.body.kind == other.body.kind == "coil":
            assert coupled(one, other) <= NOTICED
    assert mistakes(ends, made.built, made.links, polar_of(parts)) == ()


def test_pads_are_clear_of_parts_and_in_reach_of_the_leads():
    parts = two_way().parts
    ends, bodies = leads_of(parts, "in"), bodies_of(parts)
    made = layout(0.28, 0.21, ends, bodies, {})
    for pad in made.pads:
        assert all(covered(spot).distance(Point(pad.x, pad.y)) > 0 for spot in made.spots.values())
        assert len({ends[lead] for lead in pad.leads} | {pad.node}) == 1
        for lead in pad.leads:
            if lead.part in made.spots:
                near = min(np.hypot(pad.x - x, pad.y - y) for x, y in made.spots[lead.part].ends)
                assert near <= REACH + 2 * NEAR  # a pad gives way to parts and to other pads
    assert sorted(lead for pad in made.pads for lead in pad.leads) == sorted(ends)
    red = next(pad for pad in made.pads if Lead(TERMINALS, 0) in pad.leads)
    assert red.x == min(pad.x for pad in made.pads if pad.node == "in")


def test_what_was_decided_stays_and_what_is_wrong_with_it_is_told():
    parts = two_way().parts
    ends, bodies = leads_of(parts, "in"), bodies_of(parts)
    coil = bodies["L1"]
    fixed = {
        "L1": Spot(0.05, 0.05, "flat", coil),
        "L2": Spot(0.05 + (coil.width + bodies["L2"].width) / 2 + 0.001, 0.05, "flat", bodies["L2"]),
        "C1": Spot(0.01, 0.15, "level", bodies["C1"]),
        "R1": Spot(0.01, 0.15 + bodies["C1"].width / 2 + 0.01, "level", bodies["R1"]),
        "C2": Spot(0.2, 0.15, "level", bodies["C2"]),
        "R2": Spot(0.2, 0.152, "level", bodies["R2"]),
    }
    made = layout(0.3, 0.22, ends, bodies, fixed)
    assert {name: made.spots[name] for name in fixed} == fixed
    told = {(fact.kind, fact.names): fact.by for fact in made.facts}
    assert told["off edge", ("C1",)] == pytest.approx(bodies["C1"].length / 2 - 0.01)
    assert told["heat", ("C1", "R1")] == pytest.approx(0.01 - bodies["R1"].width / 2)
    assert told["coupled", ("L1", "L2")] > NOTICED
    assert told["overlap", ("C2", "R2")] == pytest.approx(
        (bodies["C2"].width + bodies["R2"].width) / 2 - 0.002
    )
    tiny = layout(0.05, 0.04, ends, bodies, {})
    assert {fact.names[0] for fact in tiny.facts if fact.kind == "unplaced"} >= {"L1", "C1"}


def test_pads_side_by_side_are_neighbours():
    parts = two_way().parts
    ends = leads_of(parts, "in")
    small = {name: Body("resistor", 0.006, 0.003) for name in bodies_of(parts)}
    made = layout(0.12, 0.06, ends, small, {})
    nodes = {frozenset(pair) for pair in made.neighbours}
    for a, b in combinations(made.pads, 2):
        near = a.node != b.node and np.hypot(a.x - b.x, a.y - b.y) < NEAR
        assert not near or {a.node, b.node} in nodes
