"""The network solver: an invented two-way by a circuit simulator, exact limits, second routes, refusals."""

from math import pi, sqrt

import numpy as np
import pytest
from crossover_values import check, dB
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.network.netlist import (
    Capacitor,
    Coil,
    DriverPart,
    Measured,
    Network,
    Resistor,
    Sheet,
    objections,
    without_current,
)
from calc.network.solve import solve

F = np.geomspace(10, 40e3, 61)
TWEETER = Sheet(Re=5.6, fs=900.0, Qms=3.0, Qes=1.2, Le=5e-5)


def between(a, b):
    """The difference of two angles. [deg]"""
    return (np.asarray(a) - b + 180) % 360 - 180


# --- the two-way of tests/data, by a circuit simulator (derived there) ---


def as_drawn():
    """All its elements one by one, the drivers as circuits."""
    made = {"R": Resistor, "L": Coil, "C": Capacitor}
    elements = check("two_way")[0]["elements"]
    return Network(tuple(made[name[0]](name, (a, b), value) for name, a, b, value in elements))


OWN = {"RC1": "C1", "RL1": "L1", "RC2": "C2", "RL2": "L2", "RC3": "C3", "RET": "tweeter", "REW": "woofer"}
"""Resistances that belong to a part here, and are parts of their own there."""


def with_drivers(tweeter, woofer):
    """The same with whole parts: coils with Rdc, capacitors with ESR, drivers."""
    return Network((
        Capacitor("C1", ("in", "t2"), 6.8e-6, 0.08), Coil("L1", ("t2", "0"), 0.27e-3, 0.18),
        Capacitor("C2", ("t2", "t5"), 18e-6, 0.05), Resistor("RN", ("t5", "t6"), 4.7),
        Coil("LN", ("t6", "t7"), 1.2e-3), Capacitor("CN", ("t7", "0"), 18e-6),
        Resistor("RS", ("t5", "tw"), 2.2), Resistor("RP", ("tw", "0"), 12.0),
        DriverPart("tweeter", ("tw", "0"), tweeter), Coil("L2", ("in", "wf"), 1.5e-3, 0.35),
        Capacitor("C3", ("wf", "0"), 15e-6, 0.12), Resistor("RZ", ("wf", "w3"), 6.8),
        Capacitor("CZ", ("w3", "0"), 22e-6), DriverPart("woofer", ("wf", "0"), woofer),
    ))  # fmt: skip


def sheet(Re, Le, R, C, L):
    """A driver from the circuit of its moving parts: fs² = 1/(4 pi² L C), Qms = w R C, Qes = w Re C."""
    omega = 1 / sqrt(L * C)
    return Sheet(Re=Re, fs=omega / 2 / pi, Qms=omega * R * C, Qes=omega * Re * C, Le=Le)


def measured(wanted, name):
    Z = np.array(wanted[f"Z_of_{name}"]) @ [1, 1j]
    return Measured(wanted["f"], abs(Z), np.degrees(np.angle(Z)), name=name)


def two_ways():
    wanted = check("two_way")[1]
    from_sheet = sheet(5.6, 5e-5, 6.4, 28e-6, 0.82e-3), sheet(6.1, 0.62e-3, 38.0, 260e-6, 24e-3)
    from_meter = measured(wanted, "tweeter"), measured(wanted, "woofer")
    return {"sheet": with_drivers(*from_sheet), "measured": with_drivers(*from_meter)}


@pytest.mark.parametrize("kind", ["sheet", "measured"])
def test_a_two_way_with_its_drivers(kind):
    at, wanted, tolerance = check("two_way")
    solution = solve(two_ways()[kind], wanted["f"], at["V"])
    assert_allclose(abs(solution.Z), wanted["Z"], rtol=tolerance["rel"])
    assert abs(between(np.degrees(np.angle(solution.Z)), wanted["Z_phase"])).max() < tolerance["phase"]
    for driver in solution.network.drivers:
        H = solution.transfer(driver)
        assert_allclose(dB(H), wanted[f"level_{driver.name}"], atol=tolerance["abs_db"])
        off = between(np.degrees(np.angle(H)), wanted[f"phase_{driver.name}"])
        assert abs(off).max() < tolerance["phase"]
    heat = {part.name: solution.power(part) for part in solution.network.parts}
    for name, watts in wanted["power"].items():
        name = OWN.get(name, name)
        if name not in heat or (kind == "measured" and name in ("tweeter", "woofer")):
            continue
        loud = np.array(watts) > tolerance["least_watt"]
        assert_allclose(heat[name][loud], np.array(watts)[loud], rtol=tolerance["rel"], err_msg=name)
    if kind == "measured":  # then a driver's share is all that it takes
        assert_allclose(sum(heat.values()), wanted["power_total"], rtol=tolerance["rel"])


def test_the_same_two_way_element_by_element():
    at, wanted, tolerance = check("two_way")
    solution = solve(as_drawn(), wanted["f"], at["V"])
    assert_allclose(abs(solution.Z), wanted["Z"], rtol=tolerance["rel"])
    for part in solution.network.parts:
        if part.name in wanted["power"]:
            watts = np.array(wanted["power"][part.name])
            loud = watts > tolerance["least_watt"]
            assert_allclose(solution.power(part)[loud], watts[loud], rtol=tolerance["rel"], err_msg=part.name)
    assert wanted["power"].keys() <= {part.name for part in solution.network.parts}


# --- exact limits ---


def test_a_divider_of_resistors():
    network = Network((Resistor("a", ("in", "m"), 3.0), Resistor("b", ("m", "0"), 1.0)))
    solution = solve(network, F, V=8.0, Rs=4.0)
    a, b = network.parts
    assert_allclose(solution.Z, np.full(F.shape, 4.0), rtol=1e-15)
    assert_allclose(solution.across(b), 1.0, rtol=1e-15)  # 8 V over 4 + 3 + 1 ohm is 1 A
    assert_allclose(solution.power(a), 3.0, rtol=1e-15)
    assert_allclose(solution.transfer(b), 1 / 8, rtol=1e-15)


def test_a_balanced_bridge_leaves_its_middle_without_voltage():
    """Wheatstone's: 1 : 2 = 3 : 6."""
    network = Network((
        Resistor("a", ("in", "x"), 1.0), Resistor("b", ("x", "0"), 2.0), Resistor("c", ("in", "y"), 3.0),
        Resistor("d", ("y", "0"), 6.0), DriverPart("m", ("x", "y"), TWEETER),
    ))  # fmt: skip
    solution = solve(network, F)
    assert abs(solution.transfer(network.drivers[0])).max() < 1e-15
    assert_allclose(abs(solution.Z), 1 / (1 / 3 + 1 / 9), rtol=1e-14)


def test_milliohms_beside_megohms_lose_no_digits():
    """A megohm behind three joints of a milliohm: 1e6 + 0.003, to the last digit but one."""
    joints = [Resistor(f"j{i}", (a, b), 1e-3) for i, (a, b) in enumerate(["ia", "ab", "bc"])]
    network = Network((*joints, Resistor("m", ("c", "0"), 1e6)), node="i")
    assert_allclose(solve(network, [1000.0]).Z.real, 1e6 + 0.003, rtol=4e-16)


def test_a_reversed_driver_turns_its_voltage_round():
    def wired(*nodes):
        network = Network((Capacitor("C", ("in", "t"), 6.8e-6), DriverPart("T", nodes, TWEETER)))
        return solve(network, F).transfer(network.drivers[0])

    assert_allclose(wired("0", "t"), -wired("t", "0"), rtol=1e-15)


def test_a_driver_of_a_sheet_is_what_its_numbers_say():
    """Re at rest, Re (1 + Qms/Qes) at fs; there with Le2 and Re2 far above their corner only Re2 is added."""
    one = Sheet(Re=5.6, fs=900.0, Qms=3.0, Qes=1.2)
    assert_allclose(one.impedance([1e-3, 900.0]), [5.6, 5.6 * 3.5], rtol=1e-5)
    lossy = Sheet(Re=5.6, fs=30.0, Qms=3.0, Qes=1.2, Le2=1.0, Re2=8.0)
    assert_allclose(lossy.impedance([1e5]), 13.6, rtol=1e-3)


def test_a_measured_impedance_is_straight_between_its_points():
    """A semi-inductance K (jw)^0.7 from two points eight octaves apart, in the wrong order."""
    f = np.geomspace(100.0, 25600.0, 9)
    Z = 0.02 * (2 * pi * f) ** 0.7
    one = Measured(f[[8, 0]], Z[[8, 0]], [63.0, 63.0])
    assert_allclose(one.impedance(f), Z * np.exp(0.7j * pi / 2), rtol=1e-12)


# --- second routes ---


def by_matrix(network, f):
    """Nodal equations as a matrix for each frequency, by a general library; 1 V at the source's node."""
    names = sorted({end for part in network.parts for end in part.nodes} - {"0"})
    Y = np.zeros((len(f), len(names), len(names)), complex)
    for part in network.parts:
        y = 1 / (part.impedance(f) + np.zeros(len(f)))
        at = [names.index(end) for end in part.nodes if end != "0"]
        for i in at:
            Y[:, i, i] += y
        if len(at) == 2:
            Y[:, at[0], at[1]] -= y
            Y[:, at[1], at[0]] -= y
    source = names.index(network.node)
    rest = [i for i in range(len(names)) if i != source]
    V = np.ones((len(f), len(names)), complex)
    V[:, rest] = np.linalg.solve(Y[:, rest][:, :, rest], -Y[:, rest, source][..., None])[..., 0]
    return dict(zip(names, V.T, strict=True))


def random_network(rng, nodes=7, extra=6):
    """A mesh: a chain through all nodes to ground, and further parts anywhere."""
    names = ["in", *(f"n{i}" for i in range(nodes - 1)), "0"]
    pairs = list(zip(names, names[1:], strict=False))
    pairs += [tuple(rng.choice(names, 2, replace=False)) for _ in range(extra)]
    return Network(tuple(random_part(rng, f"P{i}", tuple(map(str, pair))) for i, pair in enumerate(pairs)))


def random_part(rng, name, nodes):
    def size(low, high):
        return float(np.exp(rng.uniform(np.log(low), np.log(high))))

    match rng.integers(4):
        case 0:
            return Resistor(name, nodes, size(0.1, 100))
        case 1:
            return Coil(name, nodes, size(5e-5, 1e-2), size(0.01, 1))
        case 2:
            return Capacitor(name, nodes, size(5e-7, 3e-4), size(0.01, 0.5))
    le2 = {} if rng.integers(2) else dict(Le2=size(1e-4, 2e-3), Re2=size(1, 30))
    qs = dict(Qms=size(1, 10), Qes=size(0.2, 2))
    return DriverPart(name, nodes, Sheet(Re=size(2, 12), fs=size(20, 2000), Le=size(1e-5, 1e-3), **qs, **le2))


@pytest.mark.parametrize("seed", range(20))
def test_meshes_against_the_nodal_matrix(seed):
    network = random_network(np.random.default_rng(seed))
    solution = solve(network, F, V=1.0)
    for node, V in by_matrix(network, F).items():
        assert_allclose(solution.voltages[node], V, rtol=1e-9, atol=1e-12, err_msg=node)


@pytest.mark.parametrize("seed", range(20))
def test_what_goes_in_comes_out_as_heat(seed):
    """Tellegen: the source's power is that of all parts; a driver's is all that it takes, not that of Re."""
    network = random_network(np.random.default_rng(100 + seed))
    solution = solve(network, F, V=2.0, Rs=0.5)
    taken = [(solution.across(part) * np.conj(solution.current(part))).real for part in network.parts]
    at_node = solution.voltages["in"]
    assert_allclose(sum(taken), (abs(at_node) ** 2 / np.conj(solution.Z)).real, rtol=1e-10)
    assert_allclose(at_node, 2.0 * solution.Z / (solution.Z + 0.5), rtol=1e-12)
    for part, watts in zip(network.parts, taken, strict=True):
        heat = solution.power(part)
        if isinstance(part, DriverPart):
            assert np.all(heat <= watts * (1 + 1e-9))
        else:
            assert_allclose(heat, watts, rtol=1e-7, atol=1e-12)


def test_reciprocity():
    """An ampere into A gives B the voltage that an ampere into B gives A."""
    parts = random_network(np.random.default_rng(7)).parts

    def transfer(node, meter):
        solution = solve(Network(parts, node), F, V=1.0)
        return solution.voltages[meter] * solution.Z

    assert_allclose(transfer("in", "n3"), transfer("n3", "in"), rtol=1e-9)


def test_variants_are_what_each_alone_is():
    rng = np.random.default_rng(3)
    L, C, Re = rng.uniform(1, 2, (3, 5)) * np.array([[1e-3], [1e-5], [6.0]])

    def made(L, C, Re):
        return Network((
            Coil("L", ("in", "w"), L, 0.3), Capacitor("C", ("w", "0"), C),
            Resistor("R", ("w", "v"), 0.1), DriverPart("D", ("v", "0"), Sheet(Re, 50.0, 4.0, 0.4, 5e-4)),
        ))  # fmt: skip

    together = solve(made(L, C, Re), F, Rs=0.2)
    assert together.Z.shape == (5, F.size)
    for i in range(5):
        alone = solve(made(L[i], C[i], Re[i]), F, Rs=0.2)
        assert_allclose(together.Z[i], alone.Z, rtol=1e-13)
        for a, b in zip(together.network.parts, alone.network.parts, strict=True):
            assert_allclose(np.broadcast_to(together.power(a), (5, F.size))[i], alone.power(b), rtol=1e-12)


def test_frequencies_may_come_in_any_order():
    network = random_network(np.random.default_rng(11))
    assert_allclose(solve(network, F[::-1]).Z, solve(network, F).Z[::-1], rtol=0, atol=0)


def test_the_spread_of_a_filter_with_loose_parts():
    """Uniform tolerances by 40,000 variants at once; figures of tests/data from 200,000 trials (derived)."""
    at, wanted, tolerance = check("tolerance.spread")
    omega, R = 2 * pi * at["f0"], at["R"]
    for percent, rows in wanted.items():
        rng = np.random.default_rng(20)
        off = rng.uniform(1 - int(percent) / 100, 1 + int(percent) / 100, (2, 40_000))
        network = Network((
            Coil("L", ("in", "w"), sqrt(2) * R / omega * off[0]),
            Capacitor("C", ("w", "0"), 1 / (sqrt(2) * R * omega) * off[1]), Resistor("R", ("w", "0"), R),
        ))  # fmt: skip
        level = dB(solve(network, at["f0"] * np.array(at["f_over_f0"])).transfer(network.parts[2]))
        for column, (mean, std, low, high) in zip(level.T, rows, strict=True):
            assert_allclose(column.mean(), mean, atol=tolerance["mean"])
            assert_allclose(column.std(), std, rtol=tolerance["std_rel"])
            assert_allclose(np.percentile(column, [2.5, 97.5]), [low, high], atol=tolerance["percentile"])


# --- refusals ---


def refusals(*parts, node="in"):
    return [(error.field, error.problem) for error in objections(parts, node)]


R = Resistor("R", ("in", "0"), 8.0)


def test_what_floats_is_named():
    island = Resistor("S", ("p", "q"), 1.0)
    assert refusals(R, island) == [("parts.1.nodes", "node p floats: it meets neither source nor ground")]


def test_an_open_network_is_refused_at_its_source():
    ((field, problem),) = refusals(Resistor("R", ("in", "a"), 8.0), Resistor("S", ("b", "0"), 8.0))
    assert field == "node" and "open" in problem


def test_a_shorted_part_is_named():
    assert refusals(R, Resistor("S", ("in", "in"), 1.0)) == [
        ("parts.1.nodes", "S is shorted: both ends are at in")
    ]


@pytest.mark.parametrize(("node", "word"), [("0", "ground"), ("out", "at no part")])
def test_a_source_at_no_use(node, word):
    ((field, problem),) = refusals(R, node=node)
    assert field == "node" and word in problem


def test_two_parts_of_one_name():
    ((field, _),) = refusals(R, Resistor("R", ("in", "0"), 1.0))
    assert field == "parts.1.name"


def test_a_driver_that_no_current_can_reach_is_named():
    """Both of its leads at a loop that hangs at one node: a level of minus infinity is no answer."""
    loop = Resistor("S", ("a", "b"), 1.0), DriverPart("T", ("b", "a"), TWEETER)
    lead = Resistor("Q", ("in", "a"), 1.0)
    assert refusals(R, lead, *loop) == [("parts.3.nodes", "T is on no way from the source to ground")]
    assert without_current((R, lead, *loop), "in") == {"Q", "S", "T"}


def test_a_dead_end_is_solved_since_its_voltage_is_plain():
    network = Network((R, Coil("L", ("in", "x"), 1e-3), Capacitor("C", ("x", "y"), 1e-6)))
    assert without_current(network.parts, "in") == {"L", "C"}
    solution = solve(network, F)
    assert_allclose(solution.voltages["y"], 2.83, rtol=1e-12)
    assert_allclose(abs(solution.current(network.parts[1])), 0, atol=1e-12)


def test_a_resonance_without_any_loss_is_refused_with_its_node():
    f = 1000.0
    parts = Coil("L", ("in", "x"), 1 / (2 * pi * f)), Capacitor("C", ("x", "0"), 1 / (2 * pi * f))
    with pytest.raises(InputError, match="^parts: node x resonates without any loss"):
        solve(Network(parts), [f])
    lossy = Coil("L", ("in", "x"), 1 / (2 * pi * f), Rdc=1e-3), parts[1]
    assert_allclose(solve(Network(lossy), [f]).Z, 1e-3, rtol=1e-9)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Resistor("R", ("a", "b"), 0.0), "R"),
        (lambda: Resistor("R", ("a", "b"), float("nan")), "R"),
        (lambda: Coil("L", ("a", "b"), 1e9), "L"),
        (lambda: Coil("L", ("a", "b"), 1e-3, -0.1), "Rdc"),
        (lambda: Capacitor("C", ("a", "b"), [1e-6, 0.0]), "C"),
        (lambda: Capacitor("C", ("a", "b"), 1e-6, float("inf")), "ESR"),
        (lambda: Sheet(5.6, 900.0, 3.0, 1.2, Le2=1e-3), "Re2"),
        (lambda: Sheet(5.6, 900.0, 0.0, 1.2), "Qms"),
        (lambda: Measured([10.0, 20.0], [8.0], [0.0, 0.0]), "Z"),
        (lambda: Measured([10.0, 20.0], [8.0, 8.0], [0.0, 91.0]), "Z_phase"),
        (lambda: Measured([10.0, 10.0], [8.0, 8.0], [0.0, 0.0]), "f"),
        (lambda: Measured([], [], []), "f"),
        (lambda: Measured([10.0, 20.0], [8.0, 8.0], [0.0, 0.0]).impedance([9.99]), "f"),
        (lambda: solve(Network((R,)), [0.0]), "f"),
        (lambda: solve(Network((R,)), F, V=0.0), "V"),
        (lambda: solve(Network((R,)), F, Rs=-1.0), "Rs"),
        (lambda: Network(()), "parts"),
    ],
)
def test_impossible_values_are_refused_at_their_field(make, field):
    with pytest.raises(InputError) as refusal:
        make()
    assert refusal.value.field == field
