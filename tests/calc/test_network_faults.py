"""What a meter reads: Ohm's law by hand, and each faulty netlist solved at a thousandth of a hertz."""

from dataclasses import replace
from itertools import combinations
from math import inf, isinf

import numpy as np
import pytest
from crossover_values import check
from numpy.testing import assert_allclose
from test_network_solve import random_network, two_ways

from calc.errors import InputError
from calc.network.faults import (
    HEALTHY,
    Fault,
    explain,
    faulted,
    groups,
    meter_reading,
    next_probe,
    readings,
    single_faults,
)
from calc.network.netlist import Capacitor, Coil, DriverPart, Measured, Network, Resistor, Sheet
from calc.network.solve import solve

WOOFER = Sheet(Re=6.0, fs=50.0, Qms=4.0, Qes=0.4, Le=5e-4)
TWEETER = Sheet(Re=4.8, fs=900.0, Qms=3.0, Qes=1.2, Le=5e-5)


def two_way():
    return Network((
        Coil("L1", ("in", "w"), 1.5e-3, 0.35), Capacitor("C1", ("w", "0"), 15e-6),
        DriverPart("woofer", ("w", "0"), WOOFER), Capacitor("C2", ("in", "t"), 6.8e-6),
        Coil("L2", ("t", "0"), 0.3e-3, 0.25), Resistor("R1", ("t", "u"), 2.2),
        Resistor("R2", ("u", "0"), 10.0), DriverPart("tweeter", ("u", "0"), TWEETER),
    ))  # fmt: skip


# --- by hand ---


def ohms(*parts):
    """Resistors as (node, node, ohm)."""
    return meter_reading([Resistor(f"R{i}", (a, b), R) for i, (a, b, R) in enumerate(parts)], "in")


def test_ohms_law():
    """The five speakers of tests/data, each as what is left of it at rest."""
    _, wanted, tolerance = check("meter")
    found = {
        "two_way": ohms(("in", "a", 0.06), ("a", "b", 0.35), ("b", "0", 5.6)),
        "parallel": ohms(("in", "a", 0.2), ("a", "0", 6.4), ("a", "0", 6.4)),
        "series": ohms(("in", "a", 0.4), ("a", "b", 3.3), ("b", "0", 3.3)),
        "two_and_a_half": ohms(("in", "0", 5.9), ("in", "0", 6.5)),
        "bridged": ohms(("in", "0", 5.95), ("in", "0", 4.8), ("in", "0", 0.25)),
    }
    assert found.keys() == wanted.keys()
    for key, R in found.items():
        assert_allclose(R, wanted[key], atol=tolerance["abs"], err_msg=key)


def test_a_bridge_of_resistors():
    """By hand: the delta of 2, 3 and 5 ohm is a star of 2*3/10, 2*5/10 and 3*5/10."""
    R = 0.6 + 1 / (1 / (1.0 + 4.0) + 1 / (1.5 + 6.0))
    found = ohms(("in", "a", 2.0), ("in", "b", 3.0), ("a", "b", 5.0), ("a", "0", 4.0), ("b", "0", 6.0))
    assert_allclose(found, R, rtol=1e-14)


def test_the_faults_of_a_two_way_by_hand():
    expected = readings(two_way())

    def read(kind, *names):
        return expected[Fault(kind, names)]

    def beside(*R):
        return 1 / sum(1 / one for one in R)

    pad = 2.2 + beside(10.0, 4.8)
    assert_allclose(read("healthy"), 6.35)
    assert read("unfed") == read("open", "L1") == read("open", "woofer") == inf
    assert_allclose(read("bridged", "C2"), beside(6.35, 0.25, pad))
    assert_allclose(read("bridged", "C1"), 0.35)
    assert_allclose(read("bridged", "L1"), 6.0)
    assert_allclose(read("swapped", "woofer", "tweeter"), 5.15)
    assert_allclose(read("swapped", "L1", "L2"), 6.25)
    for hidden in ("tweeter", "R1", "R2", "L2", "C1", "C2"):
        assert_allclose(read("open", hidden), 6.35)  # behind a capacitor, or one itself
    assert_allclose(read("reversed", "woofer"), 6.35)


def test_a_bridge_from_terminal_to_ground_reads_nothing():
    assert readings(two_way(), neighbours=[("in", "0")])[Fault("bridged", ("in", "0"))] == 0.0


def test_coils_without_resistance_are_wires():
    wires = [Coil("a", ("in", "x"), 1e-3), Coil("b", ("x", "y"), 1e-3), Coil("c", ("in", "y"), 1e-3)]
    assert_allclose(meter_reading([*wires, Resistor("R", ("y", "0"), 8.0)], "in"), 8.0)
    assert meter_reading([*wires, Coil("d", ("y", "0"), 1e-3)], "in") == 0.0


# --- every faulty netlist, solved ---


def at_rest(parts, node):
    """What the network solver finds at a thousandth of a hertz; None where it refuses what is left."""
    try:
        network = Network(tuple(part for part in parts if part.nodes[0] != part.nodes[1]), node)
    except InputError:
        return None
    return abs(solve(network, [1e-3]).Z[0])


def without_islands(parts, node):
    """The parts that join the fed node, ground apart: a meter meets no others, the solver refuses them."""
    joined, grown = set(), {node}
    while grown != joined:
        joined = set(grown)
        grown |= {end for part in parts if joined & (set(part.nodes) - {"0"}) for end in part.nodes}
        grown -= {"0"}
    return [part for part in parts if joined & set(part.nodes)]


def networks():
    rng = np.random.default_rng(5)
    return [two_way(), two_ways()["sheet"], *(random_network(rng, nodes=5, extra=4) for _ in range(8))]


@pytest.mark.parametrize("i", range(10))
def test_each_fault_against_the_solver_at_a_very_low_frequency(i):
    """The largest capacitors, 300 µF, are half a megohm there: what reads open must exceed a part of that."""
    network = networks()[i]
    nodes = sorted({end for part in network.parts for end in part.nodes})
    neighbours = list(zip(nodes, nodes[1:], strict=False))
    expected = readings(network, neighbours)
    assert len(expected) > 2 * len(network.parts)
    for fault, R in expected.items():
        parts, node = faulted(network, fault)
        if fault.kind == "unfed":
            assert inf == R
            continue
        Z = 0.0 if node == "0" else at_rest(as_meter_meets(parts, node), node)
        if isinf(R):
            assert Z is None or Z > 1e5, fault
        else:
            assert Z is not None, fault
            assert_allclose(Z, R, rtol=1e-3, atol=2e-4, err_msg=str(fault))


def as_meter_meets(parts, node):
    """Drivers as resistors, so that the solver does not mind one that nothing reaches."""
    kept = without_islands(parts, node)
    return [Resistor(p.name, p.nodes, p.dc) if isinstance(p, DriverPart) else p for p in kept]


# --- groups ---


def test_what_a_meter_cannot_tell_apart():
    expected = readings(two_way())
    found = groups(expected)
    assert sum(len(group.faults) for group in found) == len(expected) == len(single_faults(two_way()))
    (healthy,) = (group for group in found if group.healthy)
    assert {Fault("reversed", ("tweeter",)), Fault("open", ("tweeter",)), Fault("open", ("C1",))} <= set(
        healthy.faults
    )
    assert found[-1].low == inf and Fault("open", ("L1",)) in found[-1].faults
    for one, other in zip(found, found[1:], strict=False):
        assert other.low - one.high > 0.1


def test_a_finer_meter_tells_more_apart():
    expected = readings(two_way())
    coarse, fine = groups(expected, meter=1.0), groups(expected, meter=0.0, share=0.001)
    assert len(coarse) < len(groups(expected)) <= len(fine)
    swapped = Fault("swapped", ("L1", "L2"))  # 0.1 ohm less than healthy
    assert any(group.healthy and swapped in group.faults for group in coarse)
    assert not any(group.healthy and swapped in group.faults for group in fine)


def test_a_reading_is_explained():
    expected = readings(two_way())
    assert Fault("bridged", ("C2",)) in explain(expected, 0.23)
    assert HEALTHY in explain(expected, 6.3) and Fault("reversed", ("woofer",)) in explain(expected, 6.3)
    assert explain(expected, 5.15) == (Fault("swapped", ("woofer", "tweeter")),)
    assert set(explain(expected, inf)) == {fault for fault, R in expected.items() if inf == R}
    assert explain(expected, 20.0) == ()
    assert explain(expected, 0.0, meter=0.0, share=0.0) == ()


def test_the_next_place_for_the_meter():
    """By hand, at the tweeter's own tags: 4.8 beside 10 beside 2.2 + 0.25, and less one of them."""
    suspects = [HEALTHY, Fault("open", ("tweeter",)), Fault("open", ("R1",)), Fault("open", ("L2",))]
    probe = next_probe(two_way(), suspects)
    assert len(probe.groups) == 4, "all four told apart"
    across = {fault: group for group in probe.groups for fault in group.faults}
    assert set(probe.nodes) < {"0", "in", "w", "t", "u"}

    def beside(*R):
        return 1 / sum(1 / one for one in R)

    assert_allclose(meter_reading(two_way().parts, "u"), beside(4.8, 10.0, 2.45))
    assert_allclose(meter_reading(two_way().parts, "0", "u"), beside(4.8, 10.0, 2.45))
    assert_allclose(meter_reading(two_way().parts, "u", "t"), beside(2.2, 0.25 + beside(4.8, 10.0)))
    assert across[HEALTHY].healthy and not across[suspects[1]].healthy


def test_what_no_ohms_can_tell_has_no_next_place():
    """Polarity, and a capacitor that is open anyway."""
    assert next_probe(two_way(), [HEALTHY, Fault("reversed", ("woofer",)), Fault("open", ("C1",))]) is None
    assert next_probe(two_way(), []) is None


def test_a_dry_joint_at_the_terminals_is_told_from_a_burned_woofer():
    probe = next_probe(two_way(), [Fault("unfed"), Fault("open", ("woofer",)), Fault("bridged", ("in", "w"))])
    assert len(probe.groups) == 3


@pytest.mark.parametrize("i", range(10))
def test_a_meter_between_any_two_nodes_against_the_nodal_matrix(i):
    """A general library's solve of the conductances, one ampere in at one node and out at the other."""
    parts = [part for part in networks()[i].parts if not isinf(part.dc) and part.dc > 0]
    nodes = sorted({end for part in parts for end in part.nodes})
    G = np.zeros((len(nodes), len(nodes)))
    for part in parts:
        a, b = (nodes.index(end) for end in part.nodes)
        G[[a, b], [a, b]] += 1 / part.dc
        G[[a, b], [b, a]] -= 1 / part.dc
    inverse = np.linalg.pinv(G)
    for one, other in combinations(nodes, 2):
        x = np.zeros(len(nodes))
        x[[nodes.index(one), nodes.index(other)]] = 1, -1
        joined = np.allclose(G @ inverse @ x, x)  # else no current can flow between them
        R = x @ inverse @ x if joined else inf
        assert_allclose(meter_reading(parts, one, other), R, rtol=1e-6, err_msg=f"{one} {other}")


def test_equal_parts_are_no_swap():
    twins = Network((
        DriverPart("one", ("in", "m"), WOOFER), DriverPart("other", ("m", "0"), WOOFER),
        Resistor("R1", ("in", "0"), 5.0), Resistor("R2", ("in", "0"), 5.0),
    ))  # fmt: skip
    assert not [fault for fault in single_faults(twins) if fault.kind == "swapped"]


def test_a_driver_of_unknown_coil_is_refused():
    unknown = Measured([20.0, 20e3], [8.0, 8.0], [0.0, 0.0])
    network = Network((DriverPart("D", ("in", "0"), unknown),))
    with pytest.raises(InputError, match="^D.Re: is needed"):
        readings(network)
    known = Network((DriverPart("D", ("in", "0"), replace(unknown, Re=6.2)),))
    assert readings(known)[HEALTHY] == pytest.approx(6.2)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: faulted(two_way(), Fault("open", ("C9",))), "names"),
        (lambda: faulted(two_way(), Fault("bridged", ("t", "x9"))), "names"),
        (lambda: faulted(two_way(), Fault("haunted", ("C1",))), "kind"),
        (lambda: next_probe(two_way(), [Fault("bridged", ("C9",))]), "names"),
        (lambda: explain({HEALTHY: 6.0}, float("nan")), "reading"),
        (lambda: explain({HEALTHY: 6.0}, -1.0), "reading"),
        (lambda: groups({HEALTHY: 6.0}, meter=-1.0), "meter"),
    ],
)
def test_impossible_questions_are_refused_at_their_field(make, field):
    with pytest.raises(InputError) as refusal:
        make()
    assert refusal.value.field == field
