"""A board is the network or it is not: graphs by scipy, mistakes made on purpose, and the voltages."""

from itertools import combinations

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from test_network_faults import two_way
from test_network_simulator import network as random_network

from calc.network.board import (
    TERMINALS,
    Lead,
    built_parts,
    joined,
    leads_of,
    mistakes,
    polar_of,
)
from calc.network.netlist import Network
from calc.network.solve import solve

PARTS = two_way().parts
WANTED = leads_of(PARTS, "in")
POLAR = polar_of(PARTS)


def found(built, links=()):
    return mistakes(WANTED, built, links, POLAR)


def moved(*changes):
    return {**WANTED, **{Lead(*lead): place for lead, place in changes}}


def test_joined_places_are_the_components_of_the_graph():
    """scipy's connected components of 200 random graphs."""
    rng = np.random.default_rng(11)
    for _ in range(200):
        n, m = int(rng.integers(2, 14)), int(rng.integers(0, 14))
        pairs = rng.integers(0, n, (m, 2))
        groups = joined([f"P{i}" for i in range(n)], [(f"P{a}", f"P{b}") for a, b in pairs])
        graph = coo_array((np.ones(m), (pairs[:, 0], pairs[:, 1])), shape=(n, n))
        _, labels = connected_components(graph, directed=False)
        for a, b in combinations(range(n), 2):
            assert (groups[f"P{a}"] == groups[f"P{b}"]) == (labels[a] == labels[b])


def test_a_board_made_by_the_drawing_is_the_network():
    assert found(WANTED) == ()
    pads = {lead: f"{node}{lead.part}{lead.end}" for lead, node in WANTED.items()}  # each on a pad of its own
    links = [(pads[a], pads[b]) for a, b in combinations(WANTED, 2) if WANTED[a] == WANTED[b]]
    assert found(pads, links) == () and found(pads, links[1:] + links[:1]) == ()
    assert found(pads), "nothing is joined yet"


def test_which_way_round_an_unpolar_part_lies_does_not_matter():
    assert found(moved((("C1", 0), "0"), (("C1", 1), "w"), (("R1", 0), "u"), (("R1", 1), "t"))) == ()


def test_a_driver_or_the_terminals_turned_are_reversed():
    for name, plus, minus in (("tweeter", "u", "0"), (TERMINALS, "in", "0"), ("woofer", "w", "0")):
        (one,) = found(moved(((name, 0), minus), ((name, 1), plus)))
        assert (one.kind, one.parts) == ("reversed", (name,))


def test_two_parts_in_each_others_place_are_swapped():
    (one,) = found(moved((("C1", 0), "in"), (("C1", 1), "t"), (("C2", 0), "w"), (("C2", 1), "0")))
    assert (one.kind, one.parts) == ("swapped", ("C1", "C2"))
    (one,) = found(moved((("woofer", 0), "u"), (("tweeter", 0), "w")))
    assert (one.kind, set(one.parts)) == ("swapped", {"woofer", "tweeter"})


def test_a_lead_that_ends_alone_is_open_and_one_elsewhere_is_astray():
    (one,) = found(moved((("R2", 1), "nowhere")))
    assert (one.kind, one.leads, one.nodes) == ("open", (Lead("R2", 1),), ("0",))
    (one,) = found(moved((("R2", 1), "in")))
    assert (one.kind, one.leads, one.nodes, one.places) == ("astray", (Lead("R2", 1),), ("0",), ("in",))


def test_every_pair_of_joints_that_is_bridged_is_named():
    nodes = sorted(set(WANTED.values()))
    for a, b in combinations(nodes, 2):
        bridged = found(WANTED, [(a, b)])
        assert [one.kind for one in bridged] == ["bridged"] and set(bridged[0].nodes) == {a, b}


def test_a_joint_in_two_pieces_is_open_and_names_the_leads_that_are_cut_off():
    cut = found(moved((("L2", 1), "far"), (("R2", 1), "far"), (("tweeter", 1), "far")))
    assert [one.kind for one in cut] == ["open"] and cut[0].nodes == ("0",)
    assert {lead.part for lead in cut[0].leads} == {"L2", "R2", "tweeter"} and cut[0].places == ("far",)


def test_what_is_not_there_yet_is_left_off():
    built = {lead: node for lead, node in WANTED.items() if lead != Lead("L1", 1)}
    (one,) = found(built)
    assert (one.kind, one.leads) == ("left off", (Lead("L1", 1),))


@pytest.mark.parametrize("seed", range(40))
def test_a_board_without_mistakes_sounds_as_it_was_drawn(seed):
    """Random networks on pads and wires of their own: voltages by the solver, to rounding.

    And one lead taken elsewhere is always found.
    """
    rng = np.random.default_rng(seed)
    parts = random_network(rng, ("ladder", "bridge", "two ways", "mesh")[seed % 4]).parts
    wanted, polar = leads_of(parts, "in"), polar_of(parts)
    pads = {lead: f"{node}.{rng.integers(3)}" for lead, node in wanted.items()}
    links = [(f"{node}.0", f"{node}.1", f"{node}.2") for node in set(wanted.values())]
    for part in parts:  # unpolar ones any way round
        a, b = Lead(part.name, 0), Lead(part.name, 1)
        if part.name not in polar and rng.integers(2):
            pads[a], pads[b] = pads[b], pads[a]
    assert mistakes(wanted, pads, links, polar) == ()
    f = np.geomspace(20, 20e3, 7)
    drawn = solve(Network(parts), f)
    made, node = built_parts(parts, "in", pads, links)
    built = solve(Network(made, node), f)
    for a, b in zip(Network(parts).drivers, Network(made, node).drivers, strict=True):
        np.testing.assert_allclose(built.transfer(b), drawn.transfer(a), rtol=1e-9)
    astray = list(pads)[int(rng.integers(len(pads)))]
    other = [pad for pad in links if pads[astray] not in pad][0][0]
    assert mistakes(wanted, {**pads, astray: other}, links, polar) != ()
