"""Both chambers vented: by exact limits; the circuit simulator has its own file."""

from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound.band_pass import band_pass, double_band_pass
from calc.sound.driver import constants
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
F = np.geomspace(10, 800, 60)
BOX = {"Vr": 0.03, "fr": 32.0, "Vf": 0.015, "ff": 80.0, "c": C, "rho": RHO}


def driver(**coil):
    return constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, **coil)


def same(one, two, rtol, quantities=("level", "group_delay", "cone", "Z", "Z_phase", "port_speed")):
    """Alike within rtol, and an angle or a level within ten times that, in degree or decibel."""
    for quantity in quantities:
        a, b = getattr(one, quantity), getattr(two, quantity)
        wide = quantity in ("level", "Z_phase")
        tolerance = {"rtol": 0, "atol": 10 * rtol} if wide else {"rtol": rtol, "atol": rtol * abs(b).max()}
        assert_allclose(a, b, **tolerance, err_msg=quantity)


@settings(max_examples=30)
@given(st.floats(0.01, 0.1), st.floats(0.005, 0.05), st.floats(50, 120), st.none() | st.floats(5, 50))
def test_with_its_rear_port_shut_it_is_the_fourth_order(Vr, Vf, ff, QLf):
    """A rear port tuned to a tenth of a hertz lets nothing through."""
    one = driver(Le=0.5e-3)
    f = np.geomspace(20, 800, 40)
    double = double_band_pass(f, one, Vr, 0.1, Vf, ff, C, RHO, QLf=QLf, QPf=30.0, front_area=0.004)
    single = band_pass(f, one, Vr, Vf, ff, C, RHO, QL=QLf, QP=30.0, port_area=0.004)
    same(double, single, 2e-3)


def test_with_a_front_that_is_no_chamber_it_is_a_vented_box():
    """A thimble in front, whose port lets every note pass: the cone itself sounds, with the rear port."""
    double = double_band_pass(
        F, driver(), 0.022, 40.0, 1e-5, 1e5, C, RHO, QLr=10.0, QPr=40.0, rear_area=0.003
    )
    vented = vented_box(F, driver(), 0.022, 40.0, C, RHO, QL=10.0, QP=40.0, port_area=0.003)
    same(double, vented, 2e-3, ("level", "cone", "Z", "group_delay"))
    assert_allclose(double.rear_port_speed, vented.port_speed, rtol=1e-3)


def test_turned_round_it_sounds_the_same():
    """Which chamber is called the front changes the sign of the pressure alone."""
    losses = {"QLr": 9.0, "QPr": 30.0, "QLf": 15.0, "QPf": 60.0, "rear_area": 0.003, "front_area": 0.004}
    one = double_band_pass(F, driver(Le=0.5e-3), **BOX, **losses)
    turned = double_band_pass(
        F, driver(Le=0.5e-3), BOX["Vf"], BOX["ff"], BOX["Vr"], BOX["fr"], C, RHO,
        QLr=15.0, QPr=60.0, QLf=9.0, QPf=30.0, rear_area=0.004, front_area=0.003,
    )  # fmt: skip
    same(one, turned, 1e-9, ("level", "group_delay", "cone", "Z"))
    assert_allclose(one.port_speed, turned.rear_port_speed, rtol=1e-9)
    assert_allclose(abs((one.phase - turned.phase + 360) % 360 - 180), 0, atol=1e-6)


def test_slopes_of_the_sixth_order():
    """Two ports that cancel below: 24 dB an octave; 12 dB above, where the nearer air is a short circuit.

    By hand, without losses: A goes as s^4 below. Above, the port of each chamber passes 1/s² of the cone's
    acceleration, which is flat there.
    """
    level = double_band_pass([0.4, 0.8, 8e3, 16e3], driver(), **BOX).level
    assert_allclose([level[1] - level[0], level[2] - level[3]], [24.0824, 12.0412], atol=0.03)


def test_two_ports_that_are_nearly_alike_nearly_cancel():
    """But at the tuning itself, where without losses the cone stands still and either port sounds alone."""
    f = F[abs(F / 80 - 1) > 0.05]
    near = double_band_pass(f, driver(), **(BOX | {"fr": 80.0 * (1 + 1e-5)}))
    far = double_band_pass(f, driver(), **BOX)
    assert (near.level < far.level - 40).all() and near.level.max() < far.level.max() - 60
    with pytest.raises(InputError, match="^fr: "):
        double_band_pass(F, driver(), **(BOX | {"fr": 80.0}))


@settings(max_examples=30)
@given(st.floats(20, 45), st.floats(55, 110))
def test_at_a_tuning_without_losses_the_cone_stands_and_its_port_alone_sounds(fr, ff):
    """u = 0 there, by hand, so this chamber's pressure holds the motor's force; the other is still."""
    one = driver()
    at_rear = double_band_pass([fr], one, 0.03, fr, 0.015, ff, C, RHO, rear_area=0.003, front_area=0.004)
    at_front = double_band_pass([ff], one, 0.03, fr, 0.015, ff, C, RHO, rear_area=0.003, front_area=0.004)
    for response, f, V, area, sounding, silent in (
        (at_rear, fr, 0.03, 0.003, at_rear.rear_port_speed, at_rear.port_speed),
        (at_front, ff, 0.015, 0.004, at_front.port_speed, at_front.rear_port_speed),
    ):
        U = 2 * pi * f * V / (RHO * C**2) * one.Bl * 2.83 / one.Re / one.Sd
        assert response.cone < 1e-12
        assert_allclose(response.Z, 5.7, rtol=1e-8)
        assert_allclose(sounding, sqrt(2) * U / area, rtol=1e-8)
        assert silent < 1e-9
        assert_allclose(response.level, 20 * np.log10(RHO * f * U / 2e-5), atol=1e-6)


def test_delay_is_the_slope_of_the_phase():
    step, more = 1e-5, {"QLr": 9.0, "QPr": 30.0, "QLf": 15.0, "QPf": 60.0}
    up, down = (
        double_band_pass(F * scale, driver(Le=0.5e-3), **BOX, **more) for scale in (1 + step, 1 - step)
    )
    turn = np.radians((up.phase - down.phase + 180) % 360 - 180)
    delay = double_band_pass(F, driver(Le=0.5e-3), **BOX, **more).group_delay
    assert_allclose(delay, -turn / (2 * pi * F * 2 * step), rtol=1e-4, atol=2e-8)


def test_air_speeds_need_areas():
    response = double_band_pass(F, driver(), **BOX)
    assert response.port_speed is response.rear_port_speed is None
    assert double_band_pass(F, driver(), **BOX, rear_area=0.003).port_speed is None


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), 1e300])
@pytest.mark.parametrize(
    "field", ["Vr", "fr", "Vf", "ff", "QLr", "QPr", "QLf", "QPf", "rear_area", "front_area"]
)
def test_impossible_values_are_refused_at_their_symbol(field, value):
    with pytest.raises(InputError) as refusal:
        double_band_pass([50.0], driver(), **(BOX | {field: value}))
    assert refusal.value.field == field
