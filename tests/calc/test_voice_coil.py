"""The coil: warm, and with iron about it. Against check values, exact limits and a curve read back."""

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from printed import CHECKS, compare

from calc.errors import InputError
from calc.sound import voice_coil as vc
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants, without_inductance
from calc.sound.several_drivers import group
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
F = np.geomspace(20, 20e3, 60)


def driver(**coil):
    return constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, **coil)


# --- the models themselves ---


def test_a_coil_with_eddy_currents():
    check = CHECKS["vc.leach"]
    at = check["inputs"]
    Z = vc.semi_inductance(**at)
    side_by_side = vc.parallel_parts(**at)
    angle = np.degrees(np.angle(Z))
    assert_allclose(angle, angle[0], rtol=1e-12)
    compare(check, {"re": Z.real, "im": Z.imag, "angle": angle[0]} | side_by_side._asdict())


def test_two_free_powers():
    check = CHECKS["vc.wright"]
    Z = vc.two_powers(**check["inputs"])
    compare(check, {"re": Z.real, "im": Z.imag})


@given(st.floats(1e-3, 1), st.floats(0.5, 1))
def test_both_models_are_one_where_their_powers_are(K, n):
    """Z = K w^n (cos(n pi/2) + j sin(n pi/2)): two powers with Xr = Xi = n."""
    resistance, reactance = K * np.cos(n * pi / 2), K * np.sin(n * pi / 2)
    free = vc.two_powers(F, max(resistance, 1e-12), n, reactance, n)
    assert_allclose(vc.semi_inductance(F, K, n), free, rtol=1e-9, atol=1e-7)


def test_a_plain_coil_has_nothing_beside_it():
    parts = vc.parallel_parts(F, 0.5e-3, 1.0)
    assert_allclose(parts.L, 0.5e-3, rtol=1e-12)
    assert np.isinf(parts.R).all()


def test_a_coil_about_solid_iron_turns_by_45_degrees_and_rises_by_ten_decibels_a_decade():
    Z = vc.semi_inductance([100.0, 1000.0], 0.05, 0.5)
    assert_allclose(Z.real, Z.imag, rtol=1e-12)
    assert_allclose(20 * np.log10(abs(Z[1] / Z[0])), 10.0, rtol=1e-12)


def test_a_hot_coil_resists_more():
    """0.393 % a kelvin: 200 K make 1.786 of it, the ratio of the check thermal.compression."""
    assert_allclose(vc.hot(5.7, 200.0), 5.7 * CHECKS["thermal.compression"]["expected"]["r_ratio"], rtol=1e-9)
    assert vc.hot(5.7, 0.0) == 5.7
    with pytest.raises(InputError, match="^rise: "):
        vc.hot(5.7, float("nan"))


# --- in a box ---


@pytest.mark.parametrize("box", [closed_box, vented_box])
def test_with_an_exponent_of_one_it_is_an_inductance(box):
    args = (0.02, 40.0) if box is vented_box else (0.02,)
    by_K = box(F, driver(K=0.7e-3, n=1.0), *args, C, RHO, Rs=0.3)
    by_Le = box(F, driver(Le=0.7e-3), *args, C, RHO, Rs=0.3)
    for quantity in ("level", "group_delay", "cone", "Z", "Z_phase", "voltage"):
        assert_allclose(getattr(by_K, quantity), getattr(by_Le, quantity), rtol=1e-9, err_msg=quantity)


@given(st.floats(0.003, 0.05), st.floats(0.55, 0.95), st.floats(100, 8000), st.sampled_from([0.0, 0.3e-3]))
def test_at_one_frequency_it_is_a_coil_and_a_resistor_side_by_side(K, n, f, Le):
    """Second route: the pair Le2, Re2 that has the same impedance at f, and only there."""
    parts = vc.parallel_parts(f, K, n)
    pair = driver(Le=Le, Le2=float(parts.L), Re2=float(parts.R))
    one, two = (vented_box([f], each, 0.02, 40.0, C, RHO) for each in (driver(Le=Le, K=K, n=n), pair))
    for quantity in ("level", "phase", "cone", "Z", "Z_phase"):
        assert_allclose(getattr(one, quantity), getattr(two, quantity), rtol=1e-9, atol=1e-9)


@given(st.floats(0.003, 0.05), st.floats(0.5, 1.0))
def test_its_delay_is_the_slope_of_the_phase(K, n):
    box = (driver(K=K, n=n), 0.02, 40.0, C, RHO)
    f, step = np.geomspace(15, 2000, 12), 1e-5
    turn = vented_box(f * (1 + step), *box).phase - vented_box(f * (1 - step), *box).phase
    turn = np.radians((turn + 180) % 360 - 180)
    delay = vented_box(f, *box).group_delay
    assert_allclose(delay, -turn / (2 * pi * f * 2 * step), rtol=1e-4, atol=1e-8)


def test_it_tilts_the_top_and_leaves_the_bass():
    """By hand: at 2 kHz the mass alone moves, which the amplifier sees as -j Re fs/(f Qes)."""
    bare, real = (
        closed_box([40.0, 2000.0], each, 0.02, C, RHO) for each in (driver(), driver(K=0.02, n=0.7))
    )
    assert abs(real.level[0] - bare.level[0]) < 1
    without = 5.7 - 1j * 5.7 * 36.0 / (2000.0 * 0.4)
    ratio = abs(without / (without + vc.semi_inductance(2000.0, 0.02, 0.7)))
    assert_allclose(real.level[1] - bare.level[1], 20 * np.log10(ratio), atol=0.01)
    assert real.level[1] < bare.level[1] - 3


def test_what_the_coil_takes_off_the_top():
    """Second route: the whole circuit with and without inductance, far above the resonance of 36 Hz."""
    real = driver(Le=0.2e-3, Le2=0.4e-3, Re2=6.0, K=0.005, n=0.7)
    f = [2000.0, 5000.0, 10000.0]
    whole = closed_box(f, driver(), 0.02, C, RHO).level - closed_box(f, real, 0.02, C, RHO).level
    assert_allclose(vc.level_lost(f, real), whole, atol=0.25)
    assert_allclose(vc.level_lost(f, driver()), 0.0, atol=1e-12)
    assert_allclose(
        vc.held_still(f, driver(K=0.02, n=0.7)), 5.7 + vc.semi_inductance(f, 0.02, 0.7), rtol=1e-12
    )


def test_a_group_scales_it_and_a_cut_off_is_judged_without_it():
    one = driver(Le=0.1e-3, K=0.02, n=0.7)
    for wiring, ohms in (("parallel", 0.5), ("series", 2.0)):
        two = group(one, 2, wiring)
        assert (two.K, two.n) == (0.02 * ohms, 0.7)
        single = closed_box(F, one, 0.02, C, RHO)
        assert_allclose(closed_box(F, two, 0.04, C, RHO).Z, ohms * single.Z, rtol=1e-12)
    assert without_inductance(one) == driver()


# --- read off a curve ---


def curve(one, f):
    """|Z| of a driver in free air: in a room of ten thousand cubic metres."""
    return closed_box(f, one, 1e4, C, RHO).Z


@settings(max_examples=60)
@given(st.floats(0.53, 0.97), st.floats(3.0, 40.0), st.floats(400, 2000), st.floats(2.0, 20.0))
def test_two_readings_give_back_the_coil(n, x, f1, ratio):
    """The whole circuit's curve in free air, read at two frequencies; the room stiffens it by a millionth."""
    K = x / (2 * pi * f1) ** n
    one = driver(K=K, n=n)
    f2 = f1 * ratio
    Z1, Z2 = curve(one, [f1, f2])
    found = vc.semi_inductance_from(5.7, f1, Z1, f2, Z2, 36.0, 4.5, 0.4)
    assert_allclose(found, (K, n), rtol=2e-3)
    again = driver(K=found.K, n=found.n)
    assert_allclose(curve(again, F), curve(one, F), rtol=1e-4)


@given(st.floats(0.5, 1.0), st.floats(1.0, 40.0))
def test_a_coil_held_still_is_found_exactly(n, x):
    K = x / (2 * pi * 1000) ** n
    Z1, Z2 = abs(5.7 + vc.semi_inductance([1000.0, 9000.0], K, n))
    found = vc.semi_inductance_from(5.7, 1000.0, Z1, 9000.0, Z2)
    assert_allclose(found, (K, n), rtol=1e-6)


def test_leaving_the_cone_out_of_account_costs_more_than_keeping_it():
    one = driver(K=0.03, n=0.65)
    Z1, Z2 = curve(one, [600.0, 6000.0])
    kept = vc.semi_inductance_from(5.7, 600.0, Z1, 6000.0, Z2, 36.0, 4.5, 0.4)
    left_out = vc.semi_inductance_from(5.7, 600.0, Z1, 6000.0, Z2)
    assert abs(kept.n - 0.65) < 1e-4 < 0.01 < abs(left_out.n - 0.65)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"f2": 1000.0}, "f2"), ({"f2": 500.0}, "f2"), ({"Z1": 5.7}, "Z1"), ({"Z1": 3.0}, "Z1"),
        ({"Z2": 7.9}, "Z2"), ({"Z2": 5.0}, "Z2"), ({"Z2": 8.05}, "Z2"), ({"Z2": 200.0}, "Z2"),
        ({"Re": 0.0}, "Re"), ({"f1": float("nan")}, "f1"), ({"Qms": -1.0}, "Qms"),
    ],
)  # fmt: skip
def test_what_no_coil_shows_is_refused_at_its_reading(change, field):
    readings = {"Re": 5.7, "f1": 1000.0, "Z1": 8.0, "f2": 10000.0, "Z2": 25.0}
    assert 0.5 < vc.semi_inductance_from(**readings).n < 1
    with pytest.raises(InputError) as refusal:
        vc.semi_inductance_from(**(readings | change))
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("coil", "field"),
    [({"K": 0.02}, "n"), ({"n": 0.7}, "K"), ({"K": 0.02, "n": 0.4}, "n"), ({"K": 0.02, "n": 1.1}, "n"),
     ({"K": 0.0, "n": 0.7}, "K"), ({"K": 0.02, "n": float("nan")}, "n"),
     ({"K": float("inf"), "n": 0.7}, "K")],
)  # fmt: skip
def test_half_a_pair_or_an_impossible_one_is_refused(coil, field):
    with pytest.raises(InputError) as refusal:
        driver(**coil)
    assert refusal.value.field == field


def test_a_box_that_is_never_named_keeps_its_coil():
    """Constants made before there was a semi-inductance have none."""
    assert replace(driver(), Le=0.0) == driver(Le=0.0)
    assert driver().K is driver().n is None
