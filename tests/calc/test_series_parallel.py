"""A network read as series and parallel: its impedance so is what nodal analysis of the netlist finds."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, note
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.network.netlist import GROUND, Capacitor, Coil, DriverPart, Network, Resistor, Sheet
from calc.network.series_parallel import Leaf, Parallel, Series, series_parallel
from calc.network.solve import solve

F = np.geomspace(20, 20e3, 17)
SHEET = Sheet(6.0, 40.0, 4.0, 0.5, 0.0005)


@st.composite
def networks(draw, start="in", end=GROUND):
    """{name: (start, end)} of a network that was built by putting parts in series and in parallel."""
    ends, joints = {"p0": (start, end)}, 0
    for n in range(1, draw(st.integers(0, 9)) + 1):
        name = draw(st.sampled_from(sorted(ends)))
        a, b = ends[name]
        new = f"p{n}"
        if draw(st.booleans()):
            ends[new] = (a, b)
        else:
            joints += 1
            ends[name], ends[new] = (a, f"n{joints}"), (f"n{joints}", b)
        if draw(st.booleans()):
            ends[new] = ends[new][::-1]
    names = draw(st.permutations(sorted(ends)))
    return {name: ends[name] for name in names}


def made(ends):
    kinds = (
        lambda name, nodes, n: Resistor(name, nodes, 1.0 + n),
        lambda name, nodes, n: Coil(name, nodes, 1e-4 * (1 + n), 0.3),
        lambda name, nodes, n: Capacitor(name, nodes, 3e-6 * (1 + n), 0.1),
        lambda name, nodes, n: DriverPart(name, nodes, SHEET),
    )
    return {name: kinds[n % 4](name, nodes, n) for n, (name, nodes) in enumerate(ends.items())}


def impedance(tree, parts):
    if isinstance(tree, Leaf):
        return parts[tree.name].impedance(F)
    each = [impedance(part, parts) for part in tree.parts]
    return sum(each) if isinstance(tree, Series) else 1 / sum(1 / Z for Z in each)


def passed(tree, a, b, joints):
    """Yield (leaf, near joint, far joint), new joints named as they come."""
    if isinstance(tree, Leaf):
        yield tree, a, b
    elif isinstance(tree, Parallel):
        for each in tree.parts:
            yield from passed(each, a, b, joints)
    else:
        between = [a, *(f"j{next(joints)}" for _ in tree.parts[1:]), b]
        for each, (near, far) in zip(tree.parts, pairwise(between), strict=True):
            yield from passed(each, near, far, joints)


@given(networks())
def test_it_is_the_netlist(ends):
    tree = series_parallel(ends, "in", GROUND)
    note(f"{tree}")
    assert sorted(tree.names) == sorted(ends)
    joined = {}
    for leaf, near, far in passed(tree, "in", GROUND, iter(range(100))):
        for mine, theirs in zip(ends[leaf.name], (far, near) if leaf.turned else (near, far), strict=True):
            assert joined.setdefault(mine, theirs) == theirs, "one joint in both, and the part turned as told"
    assert len(set(joined.values())) == len(joined)
    parts = made(ends)
    Z = impedance(tree, parts) * np.ones(len(F))
    network = Network((*parts.values(), DriverPart("own", ("in", GROUND), SHEET)), "in")
    Y = 1 / solve(network, F).Z - 1 / SHEET.impedance(F)
    assert_allclose(1 / Y, Z, rtol=1e-6)


BRIDGE = {"a": ("in", "m"), "b": ("in", "n"), "c": ("m", "n"), "d": ("m", "0"), "e": ("n", "0")}


def test_a_bridge_is_none():
    assert series_parallel(BRIDGE, "in", "0") is None
    without = {name: ends for name, ends in BRIDGE.items() if name != "c"}
    assert series_parallel(without, "in", "0") == Parallel(
        (Series((Leaf("a"), Leaf("d"))), Series((Leaf("b"), Leaf("e"))))
    )


@pytest.mark.parametrize("ends", [{"a": ("x", "y")}, {"a": ("in", "x")}, {}])
def test_what_does_not_lead_from_one_to_the_other_is_none(ends):
    assert series_parallel(ends, "in", "0") is None


def test_a_ladder_reads_as_one():
    ends = {"L": ("in", "m"), "C": ("0", "m"), "woofer": ("0", "m")}
    assert series_parallel(ends, "in", "0") == Series(
        (Leaf("L"), Parallel((Leaf("C", True), Leaf("woofer", True))))
    )
