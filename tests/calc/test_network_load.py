"""What the amplifier sees and what the parts bear."""

from math import log, pi, sqrt

import numpy as np
import pytest
from crossover_values import check
from numpy.testing import assert_allclose
from test_network_solve import as_drawn

from calc.errors import InputError
from calc.network import load
from calc.network.netlist import Capacitor, Coil, Network, Resistor
from calc.network.solve import solve

F = np.geomspace(20, 20e3, 601)


def test_the_least_impedance_of_the_two_way():
    """The simulator's figure on its own grid, 60 points a decade, 10 Hz to 20 kHz (derived in tests/data)."""
    _, wanted, tolerance = check("two_way")
    f = np.geomspace(10, 20e3, 199)
    least = load.least_impedance(f, solve(as_drawn(), f).Z)
    assert_allclose(least.Z, wanted["least_Z"], rtol=tolerance["rel"])
    assert_allclose(least.f, wanted["least_f"], rtol=1e-5)
    assert load.least_allowed(6.0) < least.Z < load.least_allowed(8.0)
    assert_allclose(load.highest_rating(least.Z), 6.16, atol=0.01)


def test_four_fifths_of_the_rated_value():
    at, wanted, tolerance = check("load.least")
    for rated, least in zip(at["rated"], wanted["least"], strict=True):
        assert_allclose(load.least_allowed(rated), least, rtol=tolerance["rel"])
        assert_allclose(load.highest_rating(least), rated, rtol=tolerance["rel"])


def test_the_share_of_pink_noise_below_a_crossover():
    at, wanted, tolerance = check("load.pink_share")
    found = [load.pink_share(f) for f in at["f"]]
    assert_allclose(found, wanted["below"], atol=tolerance["abs"])


def first_order(R=8.0, f0=1000.0):
    parts = Coil("L", ("in", "w"), R / (2 * pi * f0)), Resistor("R", ("w", "0"), R)
    return Network(parts), parts[1]


def test_a_resistor_at_the_terminals_bears_all():
    """20 V rms into 8 ohm is 50 W; noise whose peaks reach the same has 2/crest² of that."""
    R = Resistor("R", ("in", "0"), 8.0)
    found = load.burden(solve(Network((R,)), F, V=20.0), R, crest=4.0)
    assert_allclose([found.sine_power, found.peak_voltage], [50.0, 20 * sqrt(2)], rtol=1e-12)
    assert_allclose([found.noise_power, found.noise_voltage], [50 * 2 / 16, 20 * sqrt(2) / 4], rtol=1e-9)


def test_noise_through_a_first_order_low_pass():
    """By hand: the mean of 1/(1 + x²) over ln x is [ln x - ln(1 + x²)/2] between the ends, over ln(x2/x1)."""
    network, R = first_order()
    found = load.burden(solve(network, F, V=sqrt(8.0)), R, crest=sqrt(2))
    x1, x2 = 0.02, 20.0
    mean = (log(x2 / x1) - log((1 + x2**2) / (1 + x1**2)) / 2) / log(x2 / x1)
    assert_allclose(found.noise_power, mean, rtol=1e-4)
    assert_allclose(found.noise_voltage, sqrt(8 * mean), rtol=1e-4)
    assert_allclose(found.sine_power, 1 / (1 + x1**2), rtol=1e-9)
    assert found.f == 20.0


def test_a_capacitor_at_resonance_bears_more_than_the_amplifier_gives():
    """Series resonance of Q 5: the capacitor's voltage is 5 times the source's at f0, exactly."""
    f0, R, Q = 1000.0, 2.0, 5.0
    L, C = Q * R / (2 * pi * f0), 1 / (2 * pi * f0 * Q * R)
    parts = Resistor("R", ("in", "a"), R), Coil("L", ("a", "b"), L), Capacitor("C", ("b", "0"), C)
    f = np.array([500.0, f0, 2000.0])
    found = load.burden(solve(Network(parts), f, V=1.0), parts[2], crest=4.0)
    assert_allclose(found.peak_voltage, 5 * sqrt(2), rtol=1e-9)
    assert found.sine_power == 0.0


TWO = first_order(np.array([8.0, 9.0]))[0]


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: load.least_impedance([], []), "Z"),
        (lambda: load.least_impedance([10.0, 20.0], [8.0]), "Z"),
        (lambda: load.least_allowed(0.0), "rated"),
        (lambda: load.highest_rating(-1.0), "least"),
        (lambda: load.pink_share(10.0), "f"),
        (lambda: load.pink_share(100.0, 200.0, 100.0), "f2"),
        (lambda: load.burden(solve(first_order()[0], F), first_order()[1], crest=0.5), "crest"),
        (lambda: load.burden(solve(first_order()[0], F[::-1]), first_order()[1], crest=4.0), "f"),
        (
            lambda: load.burden(solve(first_order(np.array([8.0, 9.0]))[0], F), first_order()[1], crest=4.0),
            "f",
        ),
    ],
)
def test_impossible_questions_are_refused_at_their_field(make, field):
    with pytest.raises(InputError) as refusal:
        make()
    assert refusal.value.field == field
