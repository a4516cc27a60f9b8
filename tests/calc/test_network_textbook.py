"""Starting points: published element values, exact sums, each small network solved whole."""

from math import pi, sqrt

import numpy as np
import pytest
from crossover_values import CHECKS, check, dB
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.network import textbook
from calc.network.netlist import Capacitor, Coil, DriverPart, Network, Resistor, Sheet
from calc.network.solve import solve

PROTOTYPES = {
    **{f"B{n}": textbook.butterworth(n) for n in (1, 2, 3, 4)},
    **{f"LR{n}": textbook.linkwitz_riley(n) for n in (2, 4)},
    **{f"BES{n}_phase": textbook.bessel(n) for n in (1, 2, 3, 4)},
    **{f"BES{n}_mag": textbook.bessel_at_3_db(n) for n in (1, 2, 3, 4)},
}
FILTERS = [name.removeprefix("filter.") for name in CHECKS if name.startswith("filter.")]
SUMS = [name.removeprefix("sum.") for name in CHECKS if name.startswith("sum.")]
F = np.geomspace(20, 20e3, 200)


def both_ways(name, f, f0=1000.0, R=8.0):
    """Transfers of the low- and the high-pass of a prototype into resistors, from one solved network."""
    g = textbook.ladder(PROTOTYPES[name])
    loads = Resistor("woofer", ("w", "0"), R), Resistor("tweeter", ("t", "0"), R)
    low = textbook.as_parts(textbook.low_pass(g, R, f0), "in", "w", "low ")
    high = textbook.as_parts(textbook.high_pass(g, R, f0), "in", "t", "high ")
    solution = solve(Network((*low, *high, *loads)), f)
    return [solution.transfer(load) for load in loads]


# --- filters ---


@pytest.mark.parametrize("name", FILTERS)
def test_element_values(name):
    at, wanted, tolerance = check(f"filter.{name}")
    g = textbook.ladder(PROTOTYPES[name])
    assert_allclose(g, wanted["g"], rtol=tolerance["rel"])
    for make in (textbook.low_pass, textbook.high_pass):
        elements = make(g, at["R"], at["f0"])
        assert_allclose([one.value for one in elements], wanted[make.__name__], rtol=tolerance["rel"])
        assert [one.place for one in elements] == ["series", "across", "series", "across"][: len(g)]
        first = "coil" if make is textbook.low_pass else "capacitor"
        assert [one.kind == first for one in elements] == [True, False, True, False][: len(g)]


@pytest.mark.parametrize("name", FILTERS)
def test_level_at_the_corner(name):
    """Of the low-pass; the high-pass has the same, except where a Bessel is scaled to -3 dB as well."""
    at, wanted, tolerance = check(f"filter.{name}")
    low, high = both_ways(name, [at["f0"]], at["f0"], at["R"])
    assert_allclose(dB(low), wanted["level"], atol=tolerance["abs_db"])
    assert_allclose(dB(high), wanted["level"], atol=tolerance["abs_db"])


@pytest.mark.parametrize("name", PROTOTYPES)
def test_the_ladder_is_the_prototype(name):
    """The solved network against 1/D(s) of the polynomial itself, low-pass and mirrored high-pass."""
    low, high = both_ways(name, F)
    s = 1j * F / 1000.0
    assert_allclose(low, 1 / np.polyval(PROTOTYPES[name], s), rtol=1e-9)
    assert_allclose(high, 1 / np.polyval(PROTOTYPES[name], 1 / s), rtol=1e-9)


@pytest.mark.parametrize("n", [1, 2, 3, 4])
def test_a_butterworth_is_flattest(n):
    """|D|² = 1 + w^2n, the definition itself."""
    omega = np.geomspace(0.1, 10, 50)
    assert_allclose(
        abs(np.polyval(textbook.butterworth(n), 1j * omega)) ** 2, 1 + omega ** (2 * n), rtol=1e-12
    )


@pytest.mark.parametrize("n", [1, 2, 3, 4])
def test_a_bessel_has_the_flattest_delay(n):
    """Its defining property: the first n - 1 derivatives of the delay by w² vanish at 0.

    So the delay departs from its low limit as w^2n: doubling w makes the departure 4^n times as large.
    """
    D = textbook.bessel(n)

    def delay(omega):
        s = 1j * omega
        return (np.polyval(np.polyder(D), s) / np.polyval(D, s)).real

    departures = [delay(0.0) - delay(w) for w in (0.1, 0.2)]
    assert_allclose(departures[1] / departures[0], 4**n, rtol=0.12)


@pytest.mark.parametrize("n", [1, 2, 3, 4])
def test_both_scalings_of_a_bessel_are_one_curve(n):
    """At w -> infinity the one that is scaled by slope is w^-n; the other is -3 dB at 1 exactly."""
    assert_allclose(abs(np.polyval(textbook.bessel(n), 1e6j)), 1e6**n, rtol=1e-5)
    assert_allclose(abs(np.polyval(textbook.bessel_at_3_db(n), 1j)), sqrt(2), rtol=1e-12)


# --- sums ---


@pytest.mark.parametrize("name", SUMS)
def test_sums(name):
    at, wanted, tolerance = check(f"sum.{name}")
    low, high = both_ways(name, 1000.0 * np.array(at["f_over_f0"]))
    found = {
        "low_pass": dB(low),
        "high_pass": dB(high),
        "sum": dB(low + high),
        "reversed": dB(low - high),
        "power": 10 * np.log10(abs(low) ** 2 + abs(high) ** 2),
    }
    for key, levels in found.items():
        for level, sought in zip(levels, wanted[key], strict=True):
            if sought == -200:
                assert level < tolerance["null_db"]
            else:
                assert_allclose(level, sought, atol=tolerance["abs_db"], err_msg=key)
    lead = np.degrees(np.angle(high / low)) - wanted["lead"]
    assert abs((lead + 180) % 360 - 180).max() < tolerance["phase"]


def test_an_lr4_sums_flat_and_an_lr2_needs_one_driver_reversed():
    """Linkwitz's point, at 200 frequencies; the wrong polarity leaves a hole at the crossover."""
    at = np.append(F, 1000.0)
    low, high = both_ways("LR4", at)
    assert abs(dB(low + high)).max() < 1e-9
    assert dB(low - high)[-1] < -100
    low, high = both_ways("LR2", at)
    assert abs(dB(low - high)).max() < 1e-9
    assert dB(low + high)[-1] < -100


def test_group_delays():
    at, wanted, tolerance = check("group_delay")
    f0, x = at["f0"], np.array(at["f_over_f0"])
    step = 1e-4

    def delay(sound):
        """From the phase a little below and above."""
        below, above = (sound(f0 * x * (1 + sign * step)) for sign in (-1, 1))
        return -np.angle(above / below) / (2 * pi * f0 * x * 2 * step)

    for key, make in {
        "B2_lowpass": lambda f: both_ways("B2", f)[0],
        "LR2_lowpass": lambda f: both_ways("LR2", f)[0],
        "B3_sum_allpass_normal": lambda f: np.add(*both_ways("B3", f)),
        "B3_sum_inverted": lambda f: np.subtract(*both_ways("B3", f)),
        "LR2_sum_inverted": lambda f: np.subtract(*both_ways("LR2", f)),
        "LR4_sum": lambda f: np.add(*both_ways("LR4", f)),
    }.items():
        assert_allclose(delay(make), wanted[key], atol=tolerance["abs"], err_msg=key)
    assert len(wanted) == 6


# --- small networks, each solved ---


def test_the_pad_takes_what_it_should_and_keeps_the_load():
    at, wanted, tolerance = check("l_pad")
    Z = at["Z"]
    for i, A in enumerate(at["A"]):
        series, across = textbook.l_pad(Z, A)
        assert_allclose([series, across], [wanted["series"][i], wanted["across"][i]], rtol=tolerance["rel"])
        network = Network((
            Resistor("s", ("in", "t"), series), Resistor("p", ("t", "0"), across),
            Resistor("Z", ("t", "0"), Z),
        ))  # fmt: skip
        solution = solve(network, [1000.0])
        assert_allclose(solution.Z, Z, rtol=1e-12)
        assert_allclose(dB(solution.transfer(network.parts[2])), -A, rtol=1e-12)


def test_a_compensated_coil_is_a_resistor():
    at, wanted, tolerance = check("impedance_compensation")
    R, C = textbook.impedance_compensation(at["Re"], at["Le"])
    assert wanted["R"] == R
    assert_allclose(C, wanted["C"], rtol=tolerance["rel_C"])  # printed to six figures
    network = Network((
        Coil("coil", ("in", "0"), at["Le"], at["Re"]), Resistor("R", ("in", "z"), R),
        Capacitor("C", ("z", "0"), C),
    ))  # fmt: skip
    Z = solve(network, at["f"]).Z
    assert_allclose(abs(Z), wanted["Z"], rtol=tolerance["rel"])
    assert_allclose(np.degrees(np.angle(Z)), wanted["Z_phase"], atol=1e-6)


def test_a_notch_makes_a_resistor_of_a_resonance():
    at, wanted, tolerance = check("series_notch")
    one = [at[symbol] for symbol in ("fs", "Qms", "Qes", "Re")]
    R, L, C = textbook.series_notch(*one)
    assert_allclose([R, L, C], [wanted["R"], wanted["L"], wanted["C"]], rtol=tolerance["rel"])
    driver = DriverPart("D", ("in", "0"), Sheet(at["Re"], at["fs"], at["Qms"], at["Qes"]))
    assert_allclose(abs(driver.impedance(at["f"])), wanted["driver"], rtol=tolerance["rel"])
    parts = Resistor("R", ("in", "a"), R), Coil("L", ("a", "b"), L), Capacitor("C", ("b", "0"), C)
    assert_allclose(solve(Network((driver, *parts)), at["f"]).Z, wanted["together"], rtol=tolerance["rel"])
    assert_allclose(solve(Network((driver, *parts)), F).Z, at["Re"], rtol=1e-10)


def test_the_step_is_half_done_in_its_middle():
    at, wanted, tolerance = check("baffle_step")
    R, L = textbook.baffle_step(at["Z"], at["A"], at["fm"])
    assert_allclose([R, L], [wanted["R"], wanted["L"]], rtol=tolerance["rel"])
    load = Resistor("Z", ("w", "0"), at["Z"])
    network = Network((Resistor("R", ("in", "w"), R), Coil("L", ("in", "w"), L), load))
    level = dB(solve(network, at["f"]).transfer(load))
    assert_allclose(level, wanted["level"], atol=tolerance["abs_db"])
    assert_allclose(dB(solve(network, [at["fm"]]).transfer(load)), -at["A"] / 2, atol=1e-9)


def test_the_step_of_a_sphere():
    """0.2 m wide: 543.14 Hz. Derived: the sphere's series is -3.01 dB at ka = 0.99205, c 344 m/s."""
    assert_allclose(textbook.step_of_a_sphere(0.2, 344.0), 543.143, rtol=1e-3)


def trapped(R, L, C, Z, f):
    load = Resistor("Z", ("w", "0"), Z)
    across = Resistor("R", ("in", "w"), R), Coil("L", ("in", "w"), L), Capacitor("C", ("in", "w"), C)
    return dB(solve(Network((*across, load)), f).transfer(load))


def test_a_trap_is_deepest_at_its_resonance():
    at, wanted, tolerance = check("parallel_trap")
    f0 = textbook.coil_and_capacitor_resonance(at["L"], at["C"])
    assert_allclose(f0, wanted["f0"], rtol=tolerance["rel"])
    level = trapped(at["R"], at["L"], at["C"], at["Z"], at["f"])
    assert_allclose(level, wanted["level"], atol=tolerance["abs_db"])
    # and designed back from what it does: its depth, and where half of that is lost
    x = (9.0 / 4) ** 0.5 / (at["R"] * sqrt(at["C"] / at["L"]))  # by hand: Q x = sqrt(k), k = 18/8
    f2 = f0 * (x / 2 + sqrt(1 + x**2 / 4))
    made = textbook.parallel_trap(at["Z"], 20 * np.log10(9 / 4), f0**2 / f2, f2)
    assert_allclose(made, [at["R"], at["L"], at["C"]], rtol=1e-12)


def test_a_trap_takes_half_at_both_of_its_sides():
    R, L, C = textbook.parallel_trap(6.0, 5.0, 2000.0, 4500.0)
    assert_allclose(trapped(R, L, C, 6.0, [2000.0, 3000.0, 4500.0]), [-2.5, -5.0, -2.5], atol=1e-9)


def test_the_protecting_capacitor_takes_what_it_should():
    C = textbook.protecting_capacitor(6.0, 500.0, 12.0)
    load = Resistor("Z", ("t", "0"), 6.0)
    solution = solve(Network((Capacitor("C", ("in", "t"), C), load)), [500.0, 5.0, 2.5])
    at, low, lower = dB(solution.transfer(load))
    assert_allclose(at, -12.0, atol=1e-9)
    assert_allclose(lower - low, -6.02, atol=0.01)


def test_both_parts_of_a_resonance_off_by_their_tolerance():
    at, wanted, tolerance = check("tolerance.resonance")
    for off, lowest, highest in zip(at["tolerance"], wanted["lowest"], wanted["highest"], strict=True):
        f0, low, high = (
            textbook.coil_and_capacitor_resonance(1e-3 * k, 1e-5 * k) for k in (1, 1 + off, 1 - off)
        )
        assert_allclose([low / f0 - 1, high / f0 - 1], [lowest, highest], atol=tolerance["abs"])


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: textbook.butterworth(5), "n"),
        (lambda: textbook.linkwitz_riley(3), "n"),
        (lambda: textbook.bessel(0), "n"),
        (lambda: textbook.ladder([1.0, -1.0, 1.0]), "D"),
        (lambda: textbook.ladder([1.0, 1.0, 1.0, 1.0]), "D"),
        (lambda: textbook.low_pass([1.0], 0.0, 1000.0), "R"),
        (lambda: textbook.high_pass([1.0], 8.0, float("nan")), "f0"),
        (lambda: textbook.l_pad(8.0, 0.0), "A"),
        (lambda: textbook.l_pad(8.0, 1e-20), "A"),
        (lambda: textbook.l_pad(8.0, 1e9), "A"),
        (lambda: textbook.parallel_trap(8.0, 3.0, 2000.0, 1000.0), "f2"),
        (lambda: textbook.parallel_trap(8.0, 1e-20, 1000.0, 2000.0), "A"),
        (lambda: textbook.baffle_step(8.0, -1.0, 400.0), "A"),
        (lambda: textbook.protecting_capacitor(8.0, 400.0, 1e-20), "A"),
        (lambda: textbook.impedance_compensation(0.0, 1e-3), "Re"),
    ],
)
def test_impossible_starting_points_are_refused_at_their_field(make, field):
    with pytest.raises(InputError) as refusal:
        make()
    assert refusal.value.field == field
