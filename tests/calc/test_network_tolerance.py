"""Loose parts: published spreads, exact worst cases, pairs that are matched."""

from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest
from crossover_values import check, dB
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.network.netlist import Capacitor, Coil, DriverPart, Network, Resistor
from calc.network.tolerance import Loose, apart, band, influence

R, F0 = 8.0, 2500.0
OMEGA = 2 * pi * F0


class Plain:
    """A driver that is a resistor."""

    Re = R

    def impedance(self, f):
        return np.full(np.shape(f), R + 0j)


def low_pass(tolerance, f):
    """Butterworth of order 2 into 8 ohm, heard as its voltage."""
    network = Network(
        (
            Coil("L", ("in", "w"), sqrt(2) * R / OMEGA),
            Capacitor("C", ("w", "0"), 1 / (sqrt(2) * R * OMEGA)),
            DriverPart("driver", ("w", "0"), Plain()),
        )
    )
    f = np.asarray(f, dtype=float)
    return Loose(network, {"L": tolerance, "C": tolerance}, f, {"driver": np.ones(f.size)})


@pytest.mark.parametrize("percent", ["5", "10"])
def test_the_band_of_a_filter(percent):
    """Percentiles of 200,000 trials with uniform tolerances (derived elsewhere, tests/data)."""
    at, wanted, tolerance = check("tolerance.spread")
    low, high = band(low_pass(int(percent) / 100, F0 * np.array(at["f_over_f0"])), 20_000)
    rows = np.array(wanted[percent])
    assert_allclose(low, rows[:, 2], atol=tolerance["percentile"])
    assert_allclose(high, rows[:, 3], atol=tolerance["percentile"])


def test_few_speakers_tell_nearly_the_same():
    f = F0 * np.array([0.5, 1.0, 2.0])
    for few, many in zip(band(low_pass(0.05, f)), band(low_pass(0.05, f), 20_000), strict=True):
        assert_allclose(few, many, atol=0.06)


def test_the_influence_of_one_part():
    """A divider of 4 and 8 ohm, exact: 8/(12 ± 0.4) against 8/12."""
    f = np.array([100.0, 1000.0])
    network = Network((Resistor("R", ("in", "a"), 4.0), DriverPart("driver", ("a", "0"), Plain())))
    found = influence(Loose(network, {"R": 0.1}, f, {"driver": np.ones(2)}))
    assert found["R"][0] == pytest.approx(dB(12 / 11.6), abs=1e-9)
    loose = low_pass(0.05, F0 * np.geomspace(0.25, 4, 17))
    found = influence(loose)
    s = 1j * loose.f / F0
    printed = s**2 + sqrt(2) * s + 1
    off = {"L": lambda k: k * s**2 + k * sqrt(2) * s + 1, "C": lambda k: k * s**2 + sqrt(2) * s + 1}
    for name, (change, _) in found.items():
        by_hand = max(abs(dB(printed / off[name](k))).max() for k in (0.95, 1.05))
        assert change == pytest.approx(by_hand, abs=1e-9)
    assert list(found) == sorted(found, key=lambda name: -found[name][0])


def test_matched_parts_bring_two_speakers_together():
    loose = low_pass(0.1, F0 * np.geomspace(0.25, 2, 10))
    by_turns = apart(loose, ["L", "C"])
    assert by_turns[0] > by_turns[1] > by_turns[2] == 0
    assert_allclose(apart(loose, ["C", "L"])[[0, 2]], by_turns[[0, 2]])


def test_two_speakers_far_apart_in_one_value():
    """One resistor: 19 of 20 pairs lie within 2 t (1 - sqrt(1/20)) of each other (derived)."""
    f = np.array([1000.0])
    network = Network((Resistor("R", ("in", "a"), 8.0), DriverPart("driver", ("a", "0"), Plain())))
    loose = Loose(network, {"R": 0.01}, f, {"driver": np.ones(1)})
    off = 2 * 0.01 * (1 - sqrt(0.05))
    wanted = 20 / np.log(10) * off * 8.0 / 16.0
    assert apart(loose, [], 20_000)[0] == pytest.approx(wanted, rel=0.02)


def test_the_same_speakers_are_drawn_each_time():
    loose = low_pass(0.05, [F0])
    assert band(loose) == band(loose)
    assert_allclose(apart(loose, ["L"]), apart(loose, ["L"]), rtol=0, atol=0)


def test_a_band_grows_with_the_tolerance():
    f = F0 * np.geomspace(0.3, 3, 9)
    widths = [np.ptp(band(low_pass(tolerance, f)), axis=0) for tolerance in (0.01, 0.05, 0.1)]
    assert np.all(widths[0] < widths[1]) and np.all(widths[1] < widths[2])


def test_refusals():
    loose = low_pass(0.05, [F0])
    with pytest.raises(InputError) as refusal:
        replace(loose, tolerances={"L": 0.7})
    assert refusal.value.field == "L"
    with pytest.raises(InputError) as refusal:
        replace(loose, tolerances={"L": 0.0})
    assert refusal.value.field == "tolerances"
