"""Reference level, cut-offs and the largest level."""

from dataclasses import replace
from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from printed import CHECKS, compare

from calc.errors import InputError
from calc.sound import limits as lim
from calc.sound.band_pass import double_band_pass
from calc.sound.circuit import laplace
from calc.sound.closed_box import closed_box, closed_box_tuning, cutoff_ratio, displacement_power_constant
from calc.sound.driver import constants, eta0, level_1w, level_2v83, without_inductance
from calc.sound.high_pass import HighPass
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.response import Response
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
F = np.geomspace(10, 500, 60)


def driver(**coil):
    return constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, **coil)


# --- levels ---


def test_volume_velocity():
    check = CHECKS["spl.volume_velocity"]
    at = check["inputs"]
    compare(check, {"level": lim.volume_velocity_level(at["f"], at["U"], RHO, at["distance"])})


def test_level_and_power_that_the_travel_allows():
    check = CHECKS["spl.displacement_limit"]
    at = check["inputs"]
    f, Vd = at["f"], at["Sd"] * at["Xmax"]
    found = {
        "level": lim.travel_limited_level(f, Vd, RHO),
        "acoustic_power": lim.travel_limited_power(f, Vd, C, RHO),
    }
    compare(check, found)
    check = CHECKS["spl.volume_needed"]
    one_litre = lim.travel_limited_level(check["inputs"]["f"], 1e-3, RHO)
    compare(check, {"Vd": 1e-3 * 10 ** ((check["inputs"]["level"] - one_litre) / 20)})


def test_power_limits_of_a_flat_closed_box():
    check = CHECKS["spl.power_limit"]
    at = check["inputs"]
    acoustic = displacement_power_constant(sqrt(0.5), C, RHO) * at["f3"] ** 4 * at["Vd"] ** 2
    electric = acoustic / at["eta0"]
    found = {
        "thermal_db": level_1w(at["eta0"], C, RHO) + 10 * np.log10(at["power"]),
        "acoustic_limit": acoustic,
        "electric_limit": electric,
        "displacement_db": level_1w(at["eta0"], C, RHO) + 10 * np.log10(electric),
    }
    compare(check, found)


def test_reference_level_is_that_of_the_efficiency():
    """Second route: motor, area and mass here, fs, Vas and Qes there."""
    one = driver(Le=1e-3)
    wanted = level_2v83(eta0(one.fs, one.Vas, one.Qes, C), one.Re, C, RHO)
    assert_allclose(lim.reference_level(one, 2.83, 0.0, C, RHO), wanted, atol=1e-9)
    assert_allclose(lim.reference_level(one, 2.83, 5.7, C, RHO, 2.0), wanted - 12.0412, atol=1e-4)


def test_a_box_comes_to_its_reference_far_above_resonance():
    plain = without_inductance(driver(Le=1e-3))
    for box in (
        closed_box([20e3], plain, 0.02, C, RHO),
        vented_box([20e3], plain, 0.02, 40.0, C, RHO, QL=7.0),
    ):
        assert_allclose(box.level, lim.reference_level(plain, 2.83, 0.0, C, RHO), atol=1e-3)


# --- cut-offs ---


def closed(one, Vb, **more):
    return lambda f: closed_box(f, one, Vb, C, RHO, **more)


@given(st.floats(0.2, 1.2), st.floats(20, 90), st.floats(0.002, 0.2))
def test_cutoffs_of_a_closed_box_by_its_formula(Qes, fs, Vb):
    one = constants(fs, 5.0, Qes, 0.03, 0.0133, 5.7, C, RHO)
    fc, Qtc = closed_box_tuning(fs, one.Qts, 0.03, Vb)
    found = lim.cutoffs(closed(one, Vb), lim.reference_level(one, 2.83, 0.0, C, RHO))
    for drop, f in found.items():
        assert_allclose(f, fc * cutoff_ratio(Qtc, drop), atol=0.01)
    assert found.keys() == {3.0, 6.0, 10.0}


@given(st.floats(10, 45), st.floats(0.01, 0.1), st.sampled_from([None, 5.0, 20.0]))
def test_below_a_cutoff_the_level_stays_under(fb, Vb, QL):
    one = driver()
    reference = lim.reference_level(one, 2.83, 0.0, C, RHO)
    box = lambda f: vented_box(f, one, Vb, fb, C, RHO, QL=QL)  # noqa: E731
    for drop, f in lim.cutoffs(box, reference).items():
        assert_allclose(box([f]).level, reference - drop, atol=1e-3)
        above = box(np.geomspace(f * 1.0005, 5000, 400)).level
        assert above[0] > reference - drop
        assert (above > reference - drop).all(), "the highest rise: it never dips under again"


def test_a_dip_above_is_not_passed_over():
    """A level that rises, dips under once more and rises for good: the last rise counts."""

    def box(f):
        level = np.interp(np.log2(f), np.log2([10, 40, 60, 80, 100, 1e4]), [-40, 0, 0, -8, 0, 0])
        return replace(closed_box(f, driver(), 0.02, C, RHO), level=level)

    found = lim.cutoffs(box, 0.0, (6.0, 10.0))
    # by hand: between 80 and 100 Hz the level climbs 8 dB evenly in log f, 2 dB to -6; from 10 to 40 Hz 40 dB
    assert_allclose([found[6.0], found[10.0]], [80 * (100 / 80) ** 0.25, 10 * 4**0.75], atol=0.01)


def test_what_is_never_reached_is_none():
    one = driver()
    reference = lim.reference_level(one, 2.83, 0.0, C, RHO)
    assert lim.cutoffs(closed(one, 0.02), reference + 30) == {3.0: None, 6.0: None, 10.0: None}
    assert lim.cutoffs(closed(one, 0.02), -400.0, (3.0,)) == {3.0: None}


def test_the_notch_of_a_passive_radiator_lies_below_the_cutoffs():
    one = driver()
    reference = lim.reference_level(one, 2.83, 0.0, C, RHO)
    found = lim.cutoffs(
        lambda f: passive_radiator_box(f, one, 0.016, 1, 0.0133, 1.5e-3, 0.032, 0.578, C, RHO), reference
    )
    assert 30 < found[10.0] < found[6.0] < found[3.0] < 60


# --- largest level ---


def vented():
    return vented_box(F, driver(), 0.022, 40.0, C, RHO, QL=7.0, port_area=0.0025)


def test_each_limit_is_met_exactly_where_it_rules():
    """Second route: drive the box with the volts that the largest level stands for, and look at the parts."""
    limit = {"Xmax": 0.004, "Pe": 50.0, "port_limit": 17.0}
    found = lim.largest_level(vented(), 2.83, 5.7, **limit)
    volts = 2.83 * 10 ** ((found.level - vented().level) / 20)
    driven = vented_box(F, driver(), 0.022, 40.0, C, RHO, V=volts[:, None], QL=7.0, port_area=0.0025)
    at = np.arange(len(F))
    ratios = {
        "travel": driven.cone[at, at] / 0.004,
        "power": volts**2 / 5.7 / 50.0,
        "port": driven.port_speed[at, at] / 17.0,
    }
    assert_allclose(np.max(list(ratios.values()), axis=0), 1, rtol=1e-9)
    for name, ratio in ratios.items():
        assert_allclose(ratio[found.by == name], 1, rtol=1e-9)
    assert set(found.by) == {"travel", "power", "port"}
    assert found.unknown == ()


def test_power_stands_for_volts_over_the_coil():
    found = lim.largest_level(vented(), 2.83, 5.7, Pe=50.0)
    assert_allclose(found.level, vented_box(F, driver(), 0.022, 40.0, C, RHO, V=sqrt(50 * 5.7), QL=7.0).level)
    assert set(found.by) == {"power"}
    assert found.unknown == ("travel", "port")


def test_what_is_not_known_is_said():
    nothing = lim.largest_level(vented(), 2.83, 5.7)
    assert nothing == lim.LargestLevel(None, None, None, None, None, ("travel", "power", "port"))
    shut = lim.largest_level(closed_box(F, driver(), 0.02, C, RHO), 2.83, 5.7, Xmax=0.005, port_limit=17.0)
    assert shut.unknown == ("power", "port")
    assert shut.port is None and set(shut.by) == {"travel"}


def with_radiators(**more):
    return passive_radiator_box(F, driver(), 0.016, 2, 0.0133, 1.5e-3, 0.032, 0.578, C, RHO, **more)


def test_amplifier_and_radiators_are_met_exactly_behind_a_filter_and_a_capacitor():
    """Second route: the circuit at the volts that the largest level stands for, the filter in front of it."""
    filtered = HighPass(2, 30.0)
    fed = {"capacitor": 1e-3, "high_pass": filtered, "Rs": 0.4}
    passed = abs(filtered.transfer(laplace(F)).value)
    limit = {"Xmax": 0.004, "Pe": 40.0, "amplifier": 15.0, "radiator_Xmax": 0.005}
    at_rest = with_radiators(**fed)
    found = lim.largest_level(at_rest, 2.83, 5.7, **limit, passed=passed)
    volts = 2.83 * 10 ** ((found.level - at_rest.level) / 20)
    driven, at = with_radiators(V=volts[:, None], **fed), np.arange(len(F))
    ratios = {
        "travel": driven.cone[at, at] / 0.004,
        "power": driven.voltage[at, at] ** 2 / 5.7 / 40.0,
        "amplifier": volts * passed / 15.0,
        "radiator": driven.radiator[at, at] / 0.005,
    }
    assert_allclose(np.max(list(ratios.values()), axis=0), 1, rtol=1e-9)
    for name, ratio in ratios.items():
        assert_allclose(ratio[found.by == name], 1, rtol=1e-9)
    assert {"amplifier", "radiator", "travel"} <= set(found.by)
    assert found.unknown == ("port",)


def test_a_stronger_amplifier_raises_only_what_it_stopped():
    weak, strong = (lim.largest_level(vented(), 2.83, 5.7, Xmax=0.004, amplifier=V) for V in (5.0, 10.0))
    assert_allclose(strong.amplifier - weak.amplifier, 6.0206, atol=1e-4)
    raised = strong.level - weak.level
    assert (raised[weak.by == "travel"] == 0).all() and (raised[weak.by == "amplifier"] > 0).any()


def test_radiators_of_unknown_travel_are_told():
    assert lim.largest_level(with_radiators(), 2.83, 5.7, Xmax=0.004).unknown == ("power", "port", "radiator")


def test_the_faster_of_two_ports_counts():
    box = double_band_pass(F, driver(), 0.02, 30.0, 0.01, 70.0, C, RHO, rear_area=0.001, front_area=0.003)
    air = lim.fastest_air(box)
    assert (air >= box.port_speed).all() and (air >= box.rear_port_speed).all()
    assert (air == box.port_speed).any() and (air == box.rear_port_speed).any()
    found = lim.largest_level(box, 2.83, 5.7, port_limit=17.0)
    assert_allclose(found.level, box.level + 20 * np.log10(17.0 / air))
    assert lim.fastest_air(closed_box(F, driver(), 0.02, C, RHO)) is None


def test_variants_have_their_limits_each():
    Vb = np.array([[0.01], [0.03]])
    both = vented_box(F, driver(), Vb, 40.0, C, RHO, port_area=0.0025)
    limit = {"Xmax": 0.004, "Pe": 50.0, "port_limit": 17.0, "amplifier": 12.0}
    found = lim.largest_level(both, 2.83, 5.7, **limit)
    for i, V in enumerate(Vb[:, 0]):
        alone = lim.largest_level(
            vented_box(F, driver(), V, 40.0, C, RHO, port_area=0.0025), 2.83, 5.7, **limit
        )
        assert_allclose(found.level[i], alone.level, rtol=1e-12)
        assert list(found.by[i]) == list(alone.by)


def test_which_limit_rules_at_which_note():
    f = np.array([10.0, 20.0, 40.0, 80.0, 160.0])
    found = lim.stretches(f, np.array(["travel", "travel", "port", "port", "travel"]))
    assert [stretch.by for stretch in found] == ["travel", "port", "travel"]
    assert_allclose([s.low for s in found], [10, sqrt(800), sqrt(12800)])
    assert_allclose([s.high for s in found], [sqrt(800), sqrt(12800), 160])
    assert lim.stretches(f, np.array(["power"] * 5)) == (lim.Stretch("power", 10.0, 160.0),)


def test_a_cone_that_stands_still_sets_no_limit():
    still = Response(
        *[np.ones(2)] * 4, cone=np.array([0.0, 1e-3]), port_speed=None, Z=np.ones(2), Z_phase=np.ones(2)
    )
    found = lim.largest_level(still, 2.83, 5.7, Xmax=0.002, Pe=5.7)
    assert found.travel[0] == inf
    assert list(found.by) == ["power", "travel"] and np.isfinite(found.level).all()


@pytest.mark.parametrize("field", ["V", "Re", "Xmax", "Pe", "port_limit", "amplifier", "radiator_Xmax"])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_impossible_limits_are_refused(field, value):
    with pytest.raises(InputError) as refusal:
        lim.largest_level(vented(), **({"V": 2.83, "Re": 5.7} | {field: value}))
    assert refusal.value.field == field
