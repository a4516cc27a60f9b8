"""What a crossover begins with: filters that meet where they should, networks that do what they are for."""

from dataclasses import replace

import numpy as np
import pytest
from crossover_values import dB
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_network import F, assembled
from calc.evaluate_network import network as crossover
from calc.evaluate_starts import ORDERS, VALUES, WIRE, nominal, small_network, textbook
from calc.evaluate_sum import acoustic_sum
from calc.more_drivers import doubled, shared_out
from calc.network.netlist import Coil, DriverPart, Network, Resistor, Sheet
from calc.network.solve import solve
from calc.project_network import NetworkPart, removed
from calc.small_networks import put, standing, taken_out
from server.beginnings import demo
from server.documents import amend, read_project

MADE = read_project(demo("reading_room"))
RESULT = evaluate(MADE)
STARTS = [(name, n) for name, orders in ORDERS.items() for n in orders]
ASKED = {
    "pad": {"A": 4.0},
    "zobel": {},
    "notch": {},
    "trap": {"A": 5.0, "f1": 2000.0, "f2": 4500.0},
    "step": {"A": 4.0, "fm": 500.0},
    "guard": {"A": 12.0, "f": 200.0},
}

CORNERS = {
    **dict.fromkeys([("butterworth", n) for n in (1, 2, 3, 4)], 3.0103),
    **dict.fromkeys([("linkwitz-riley", n) for n in (2, 4)], 6.0206),
    ("bessel", 1): 3.010, ("bessel", 2): 4.771, ("bessel", 3): 6.2355, ("bessel", 4): 7.578,
}  # fmt: skip
"""How far down both ways are at the corner. [dB]

Butterworth's and Linkwitz-Riley's by their definition; Bessel's derived: 1/|D(j)| of its reverse polynomial,
order 2: D = s² + 1.732 s + 1, so 1/sqrt(3); order 3: |15 - 6 a² + j (15 a - a³)|/15 with a³ = 15.
"""


def document(parts):
    return amend(demo("reading_room"), {"network": {"parts": parts}})


def read(parts):
    return read_project(document(parts))


def into_resistors(made, parts):
    """The network of a document's parts, each driver the resistor that it is sold as, coils without loss."""
    found = []
    for name, given in parts.items():
        each = NetworkPart(**given)
        part = each.part(name)
        if isinstance(part, DriverPart):
            part = Resistor(name, part.nodes, nominal(made, each.driver, each.alone))
        found.append(replace(part, Rdc=0.0) if isinstance(part, Coil) else part)
    return Network(tuple(found))


def way(network, f, name):
    (part,) = (part for part in network.parts if part.name == name)
    return solve(network, f).transfer(part)


@pytest.mark.parametrize(("family", "order"), STARTS)
def test_textbook_ways_into_resistors_cross_where_they_should(family, order):
    network = into_resistors(MADE, textbook(MADE, family, order, [2000.0]))
    low, high = (way(network, [2000.0], name)[0] for name in ("woofer", "dome"))
    assert_allclose([-dB(low), -dB(high)], CORNERS[family, order], atol=0.02)
    assert abs(low + high) > 0.97 * abs(low - high), "odd orders are a quarter turn apart, the others none"


def test_a_filter_is_for_the_whole_group_in_the_box():
    """Two woofers of 8 ohm in parallel are 4 ohm: half the coil, twice the capacitor."""
    two = read_project(amend(demo("reading_room"), {"alternatives.B.count": 2}))
    one, both = (textbook(made, "butterworth", 2, [2000.0]) for made in (MADE, two))
    assert_allclose(both["low L1"]["inductance"], one["low L1"]["inductance"] / 2, rtol=1e-12)
    assert_allclose(both["low C2"]["capacitance"], one["low C2"]["capacitance"] * 2, rtol=1e-12)
    assert both["high C1"] == one["high C1"]


def test_what_no_filter_can_begin_with_is_refused():
    with pytest.raises(InputError, match="2 or 4"):
        textbook(MADE, "linkwitz-riley", 3, [2000.0])
    lonely = read_project(demo("hall_subwoofer"))
    with pytest.raises(InputError, match="no tweeter"):
        textbook(lonely, "butterworth", 2, [2000.0])


# --- small networks


@pytest.fixture(params=[2, 4], ids=["dome turned", "dome not turned"])
def parts(request):
    """Of a filter whose dome has its plus at the black terminal, or not."""
    return textbook(MADE, "linkwitz-riley", request.param, [2500.0])


def with_small(parts, *kinds, name="dome", **asked):
    for kind in kinds:
        values = small_network(read(parts), RESULT, name, kind, **(ASKED[kind] | asked))
        parts = put(parts, name, kind, values)
    return parts


def test_a_pad_softens_and_leaves_the_filter_as_it_was(parts):
    """Into a resistor the whole response falls by its dB, and the source meets the same load."""
    padded = with_small(parts, "pad")
    one, other = into_resistors(MADE, parts), into_resistors(MADE, padded)
    assert_allclose(dB(way(other, F, "dome")) - dB(way(one, F, "dome")), -4.0, atol=1e-9)
    assert_allclose(solve(other, F).Z, solve(one, F).Z, rtol=1e-9)


def test_a_trap_and_a_guard_take_off_what_was_asked():
    """Of a driver that is a resistor of 6 ohm behind nothing else: decibels at the asked frequencies."""
    bare = {"dome": {"kind": "driver", "start": "in", "end": "0", "driver": "dome"}}
    trapped = into_resistors(MADE, with_small(bare, "trap"))
    assert_allclose(dB(way(trapped, [2000.0, 3000.0, 4500.0], "dome")), [-2.5, -5.0, -2.5], atol=1e-9)
    guarded = into_resistors(MADE, with_small(bare, "guard"))
    assert_allclose(dB(way(guarded, [200.0], "dome")), -12.0, atol=1e-9)
    stepped = into_resistors(MADE, with_small(bare, "step"))
    assert_allclose(dB(way(stepped, [1.0, 500.0, 250e3], "dome")), [0.0, -2.0, -4.0], atol=1e-3)


def test_notch_and_compensation_together_make_a_resistor_of_the_dome():
    """Of its sheet: fs 780, Qms 1.9, Qes 0.95, Re 5.2, Le 30 µH. The notch alone is exact without the Le.

    Both together are so as far as the Le is small against Re at the resonance: 0.15 ohm of 5.2.
    """
    bare = {"dome": {"kind": "driver", "start": "in", "end": "0", "driver": "dome"}}
    load = Sheet(5.2, 780.0, 1.9, 0.95, 30e-6)
    made = read(with_small(bare, "notch", "zobel")).network.parts
    alone = [
        each.part(name, Sheet(5.2, 780.0, 1.9, 0.95)) for name, each in made.items() if "zobel" not in name
    ]
    found = [each.part(name, load) for name, each in made.items()]
    assert_allclose(abs(solve(Network(tuple(alone)), F).Z), 5.2, rtol=1e-9)
    assert made["dome notch R"].resistance + WIRE == pytest.approx(5.2 * (1 + 0.95 / 1.9))
    Z = solve(Network(tuple(found)), F).Z
    assert_allclose(abs(Z), 5.2, rtol=0.06)
    assert abs(abs(load.impedance(F)) - 5.2).max() > 9


def test_compensation_is_for_the_group_in_the_box():
    """Re² C = Le of the sheet: 400 µH and 5.6 ohm, and twice C, half R for two in parallel."""
    parts = textbook(MADE, "linkwitz-riley", 2, [2500.0])
    one = with_small(parts, "zobel", name="woofer")
    assert one["woofer zobel R"]["resistance"] == pytest.approx(5.6)
    assert one["woofer zobel C"]["capacitance"] == pytest.approx(400e-6 / 5.6**2)
    made = read_project(amend(document(parts), {"alternatives.B.count": 2}))
    values = small_network(made, evaluate(made), "woofer", "zobel")
    assert values["R"]["resistance"] == pytest.approx(2.8)
    assert values["C"]["capacitance"] == pytest.approx(2 * 400e-6 / 5.6**2)


@pytest.mark.parametrize("seed", range(6))
def test_in_whatever_order_they_are_put_they_stand_in_theirs(parts, seed):
    """Guard, step, trap, pad, then what lies across: the same load and the same voltage at the dome."""
    kinds = list(VALUES)
    wanted = read(with_small(parts, *kinds))
    np.random.default_rng(seed).shuffle(kinds)
    made = read(with_small(parts, *kinds))
    assert set(made.network.parts) == set(wanted.network.parts)
    for one in (lambda s, n: s.Z, lambda s, n: s.transfer(n.drivers[-1])):
        a, b = (one(solve(n, F), n) for n in (assembled(wanted, RESULT), assembled(made, RESULT)))
        assert_allclose(a, b, rtol=1e-9)


@pytest.mark.parametrize("kind", VALUES)
def test_a_small_network_gets_new_values_and_goes_as_it_came(parts, kind):
    once = with_small(parts, kind)
    assert with_small(once, kind) == once
    assert taken_out(once, "dome", kind) == parts
    there = standing(once, "dome", kind)
    assert all(name.startswith(f"dome {kind} ") for name in there) and there
    halved = removed(once, there[0])
    again = with_small(halved, kind)
    assert set(again) == set(once)
    assert_allclose(solve(assembled(read(again), RESULT), F).Z, solve(assembled(read(once), RESULT), F).Z)


def test_where_no_small_network_can_go():
    parts = textbook(MADE, "linkwitz-riley", 2, [2500.0])
    with pytest.raises(InputError, match="the box’s"):
        small_network(read(parts), RESULT, "woofer", "notch")
    for name, kind in (("high C1", "pad"), ("nobody", "pad"), ("dome", "magic")):
        with pytest.raises(InputError):
            small_network(read(parts), RESULT, name, kind)
        with pytest.raises(InputError):
            put(parts, name, kind, {})
    without = read_project(amend(document(parts), {"drivers.dome.Le": None}))
    with pytest.raises(InputError) as refused:
        small_network(without, evaluate(without), "dome", "zobel")
    assert refused.value.field == "drivers.dome.Le"


# --- more ways, more drivers

PAIR = {"alternatives.B.count": 2, "alternatives.B.wiring": "parallel"}


def three():
    """The demo with a midrange of 8 ohm beside."""
    plain = demo("reading_room")
    middle = {**plain["drivers"]["dome"], "kind": "midrange", "fs": 120.0, "Z": 8.0}
    return read_project(amend(plain, {"drivers.middle": middle}))


@pytest.mark.parametrize(("family", "order"), STARTS)
def test_three_ways_far_apart_are_each_the_textbooks_own(family, order):
    """The limit: with corners a factor 10,000 apart the midrange's two filters do not see each other."""
    made = three()
    network = into_resistors(made, textbook(made, family, order, [2.5, 25e3], "three"))
    two = [into_resistors(made, textbook(made, family, order, [f])) for f in (2.5, 25e3)]
    f = np.array([1.0, 2.5, 6.0])
    assert_allclose(way(network, f, "woofer"), way(two[0], f, "woofer"), rtol=1e-3)
    assert_allclose(abs(way(network, f, "middle")), abs(way(two[0], f, "dome")), rtol=2e-3)
    f = f * 1e4
    assert_allclose(abs(way(network, f, "middle")), abs(way(two[1], f, "woofer")), rtol=2e-3)
    assert_allclose(abs(way(network, f, "dome")), abs(way(two[1], f, "dome")), rtol=1e-3)


@pytest.mark.parametrize("order", [2, 4])
def test_three_linkwitz_riley_ways_far_apart_sum_flat(order):
    made = three()
    network = into_resistors(made, textbook(made, "linkwitz-riley", order, [10.0, 20e3], "three"))
    f = np.geomspace(2, 80e3, 60)
    total = sum(way(network, f, name) for name in ("woofer", "middle", "dome"))
    assert_allclose(dB(total), 0, atol=0.03)


def test_in_two_and_a_half_ways_one_woofer_leaves_off():
    """A single coil into 8 ohm: -3.01 dB at the corner, 6.02 dB an octave far above (derived)."""
    made = read_project(amend(demo("reading_room"), PAIR))
    parts = textbook(made, "linkwitz-riley", 4, [400.0, 2500.0], "two and a half")
    network = into_resistors(made, parts)
    half = dB(way(network, [1.0, 400.0, 40e3, 80e3], "woofer 2"))
    assert_allclose(half[:2], [0, -3.0103], atol=1e-3)
    assert_allclose(half[3] - half[2], -6.0206, atol=1e-3)
    assert_allclose(dB(way(network, [1.0, 2500.0], "woofer")), [0, -6.0206], atol=1e-3)
    assert [parts[name].get("alone") for name in ("woofer", "woofer 2", "dome")] == [True, True, None]


@pytest.mark.parametrize("wiring", ["parallel", "series"])
def test_drivers_with_leads_of_their_own_are_the_group_that_they_make(wiring):
    """Two beside or behind each other on leads of their own: load and sound of the two wired in the box."""
    document = amend(demo("reading_room"), {"alternatives.B.count": 2, "alternatives.B.wiring": wiring})
    whole = {"woofer": {"kind": "driver", "start": "in", "end": "0", "driver": "woofer"}}
    lone = {"woofer": {**whole["woofer"], "alone": True}}
    parts = shared_out(whole, "woofer", 2) if wiring == "parallel" else doubled(lone, "woofer", "series")
    assert len(parts) == 2 and all(each["alone"] for each in parts.values())
    found = []
    for each in (whole, parts):
        made = read_project(amend(document, {"network": {"parts": each}}))
        result = evaluate(made)
        solved = crossover(made, result)
        found.append((solved.Z, acoustic_sum(made, result, solved).total, solved.rated))
    for one, other in zip(*found, strict=True):
        assert_allclose(other, one, rtol=1e-9)
    assert found[0][2] == (4 if wiring == "parallel" else 16)


@pytest.mark.parametrize("how", ["parallel", "series"])
def test_a_second_tweeter_halves_or_doubles_the_load(how):
    """Ohm's law, and 6 dB more or none: each in parallel gets all the volts, each in series half."""
    one = {
        "woofer": {"kind": "driver", "start": "in", "end": "0", "driver": "woofer"},
        "dome": {"kind": "driver", "start": "0", "end": "in", "driver": "dome"},
    }
    alone = {"dome": one["dome"]}
    two = doubled(alone, "dome", how)
    assert set(two) == {"dome", "dome 2"}
    Z = [solve(assembled(read(each), RESULT), F).Z for each in (alone, two)]
    assert_allclose(Z[1], Z[0] * (0.5 if how == "parallel" else 2), rtol=1e-9)
    sums = []
    for each in (one, doubled(one, "dome", how)):
        made = read(each)
        heard = acoustic_sum(made, RESULT, crossover(made, RESULT))
        sums.append(sum(H for name, H in heard.ways.items() if name != "woofer"))
    assert_allclose(sums[1], sums[0] * (2 if how == "parallel" else 1), rtol=1e-9)


def test_ways_that_there_are_no_drivers_for_are_refused():
    for ways, corners, field in (
        ("three", [400.0, 2500.0], "drivers"),
        ("two and a half", [400.0, 2500.0], "alternatives.B.count"),
        ("two", [400.0, 2500.0], "corners"),
    ):
        with pytest.raises(InputError) as refused:
            textbook(MADE, "butterworth", 2, corners, ways)
        assert refused.value.field == field
    with pytest.raises(InputError):
        textbook(three(), "butterworth", 2, [2500.0, 400.0], "three")
    for arguments in (("high C1", "parallel"), ("dome", "beside")):
        with pytest.raises(InputError):
            doubled(textbook(MADE, "butterworth", 2, [2500.0]), *arguments)
