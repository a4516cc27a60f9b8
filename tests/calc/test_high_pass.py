"""What stands before a box: an active filter, a series capacitor, and the volts that are left."""

from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy import signal

from calc.errors import InputError
from calc.sound.band_pass import band_pass, double_band_pass
from calc.sound.circuit import laplace
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.high_pass import ORDERS, HighPass
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
F = np.geomspace(8, 800, 50)
DRIVER = constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, Le=0.4e-3)


def closed(f=F, driver=DRIVER, **more):
    return closed_box(f, driver, 0.018, C, RHO, QL=20.0, **more)


def vented(f=F, driver=DRIVER, **more):
    return vented_box(f, driver, 0.022, 40.0, C, RHO, QL=10.0, port_area=0.004, **more)


def radiator(f=F, driver=DRIVER, **more):
    return passive_radiator_box(f, driver, 0.016, 1, 0.0133, 1.5e-3, 0.032, 0.58, C, RHO, **more)


def fourth_order(f=F, driver=DRIVER, **more):
    return band_pass(f, driver, 0.015, 0.02, 60.0, C, RHO, QL=15.0, port_area=0.004, **more)


def sixth_order(f=F, driver=DRIVER, **more):
    return double_band_pass(
        f, driver, 0.02, 35.0, 0.015, 80.0, C, RHO, QLr=15.0, rear_area=0.003, front_area=0.004, **more
    )


EVERY = (closed, vented, radiator, fourth_order, sixth_order)
MOVED = ("cone", "port_speed", "rear_port_speed", "radiator", "voltage")


# --- the filter ---


@pytest.mark.parametrize("order", ORDERS)
def test_the_filter_against_a_general_library(order):
    """scipy.signal.butter, analog: another route (poles) to the same transfer function."""
    H = HighPass(order, 30.0).transfer(laplace(F)).value
    _, wanted = signal.freqs(*signal.butter(order, 2 * pi * 30.0, "highpass", analog=True), 2 * pi * F)
    assert_allclose(H, wanted, rtol=1e-9)


@pytest.mark.parametrize("order", ORDERS)
def test_half_the_power_at_its_corner_and_a_slope_of_its_order(order):
    H = abs(HighPass(order, 30.0).transfer(laplace([30.0, 0.3, 0.6])).value)
    assert_allclose(H[0], sqrt(0.5), rtol=1e-12)
    assert_allclose(20 * np.log10(H[2] / H[1]), 6.0206 * order, atol=0.01)


@pytest.mark.parametrize("order", ORDERS)
def test_the_slope_is_the_derivative(order):
    step = 1e-6
    high, here, low = (
        HighPass(order, 30.0).transfer(laplace(F * scale)) for scale in (1 + step, 1, 1 - step)
    )
    assert_allclose(here.slope, (high.value - low.value) / (2j * pi * F * 2 * step), rtol=1e-6, atol=1e-12)


@pytest.mark.parametrize("value", [0, 5, 2.5, -1, True, None, "2"])
def test_an_order_that_is_none_is_refused(value):
    with pytest.raises(InputError, match="^order: "):
        HighPass(value, 30.0)


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_an_impossible_corner_is_refused(value):
    with pytest.raises(InputError, match="^f: "):
        HighPass(2, value)


# --- before a box ---


@pytest.mark.parametrize("box", EVERY)
@pytest.mark.parametrize("order", ORDERS)
def test_it_multiplies_all_that_moves_and_leaves_the_load(box, order):
    """A linear box behind a filter: amplitudes times |H|, angles plus H's, the impedance as it was."""
    H = HighPass(order, 33.0)
    _, response = signal.freqs(*signal.butter(order, 2 * pi * 33.0, "highpass", analog=True), 2 * pi * F)
    bare, behind = box(Rs=0.4), box(Rs=0.4, high_pass=H)
    assert_allclose(behind.level, bare.level + 20 * np.log10(abs(response)), atol=1e-9)
    turned = np.exp(1j * np.radians(behind.phase - bare.phase))
    assert_allclose(turned, response / abs(response), atol=1e-9)
    assert_allclose(behind.Z, bare.Z, rtol=1e-12)
    assert_allclose(behind.Z_phase, bare.Z_phase, atol=1e-9)
    for quantity in MOVED:
        if getattr(bare, quantity) is not None:
            assert_allclose(getattr(behind, quantity), getattr(bare, quantity) * abs(response), rtol=1e-9)


@pytest.mark.parametrize("box", EVERY)
@pytest.mark.parametrize(
    "before",
    [{"high_pass": HighPass(3, 30.0)}, {"capacitor": 300e-6}, {"capacitor": 1e-3, "Rs": 2.0}],
    ids=str,
)
def test_the_delay_is_the_slope_of_the_phase(box, before):
    step = 1e-5
    turn = box(F * (1 + step), **before).phase - box(F * (1 - step), **before).phase
    turn = np.radians((turn + 180) % 360 - 180)
    delay = box(F, **before).group_delay
    assert_allclose(delay, -turn / (2 * pi * F * 2 * step), rtol=1e-4, atol=2e-7)


@pytest.mark.parametrize("box", EVERY)
@given(st.floats(20e-6, 5e-3), st.sampled_from([0.0, 1.3]))
def test_a_capacitor_shares_the_volts_with_the_box(box, farads, Rs):
    """Second route: the divider Z/(Z + Rs + 1/(jwC)) with the impedance that the box shows without it."""
    bare, behind = box(), box(capacitor=farads, Rs=Rs)
    Z = bare.Z * np.exp(1j * np.radians(bare.Z_phase))
    share = Z / (Z + Rs + 1 / (2j * pi * F * farads))
    assert_allclose(behind.voltage, 2.83 * abs(share), rtol=1e-9)
    assert_allclose(behind.level, bare.level + 20 * np.log10(abs(share)), atol=1e-8)
    assert_allclose(behind.cone, bare.cone * abs(share), rtol=1e-9)
    assert_allclose(behind.Z, bare.Z, rtol=1e-9)


def test_before_a_resistance_a_capacitor_is_a_filter_of_first_order():
    """Far above the resonance the coil is its resistance: corner 1/(2 pi Re C), by hand."""
    still = constants(1.0, 4.5, 0.4, 5.0, 0.0133, 5.7, C, RHO)  # resonance at 1 Hz, judged from 200 Hz on
    f, corner = np.array([200.0, 500.0, 2000.0]), 500.0
    farads = 1 / (2 * pi * 5.7 * corner)
    one = closed_box(f, still, 10.0, C, RHO, capacitor=farads)
    two = closed_box(f, still, 10.0, C, RHO, high_pass=HighPass(1, corner))
    assert_allclose(one.voltage, two.voltage, rtol=0.02)
    assert_allclose(one.voltage[1], 2.83 * sqrt(0.5), rtol=0.01)


def test_before_a_vented_box_a_capacitor_is_no_such_filter():
    """The two impedance peaks spoil it: at the lower one, where the cone needs help, it holds back little."""
    peak = F[F < 35][vented().Z[F < 35].argmax()]
    corner = 40.0
    share = vented([peak], capacitor=1 / (2 * pi * 5.7 * corner)).voltage / 2.83
    assert share > 1.3 * abs(HighPass(1, corner).transfer(laplace([peak])).value)


def test_volts_are_all_there_without_anything_before_the_box():
    assert_allclose(vented().voltage, 2.83, rtol=1e-12)
    behind = vented(Rs=0.7)
    Z = behind.Z * np.exp(1j * np.radians(behind.Z_phase))
    assert_allclose(behind.voltage, 2.83 * abs(Z / (Z + 0.7)), rtol=1e-12)


def test_a_huge_capacitor_is_a_wire():
    assert_allclose(vented(capacitor=10.0).level, vented().level, atol=0.01)


@pytest.mark.parametrize("box", EVERY)
@pytest.mark.parametrize("value", [0.0, -1e-6, float("nan"), 1e300])
def test_an_impossible_capacitor_is_refused(box, value):
    with pytest.raises(InputError, match="^capacitor: "):
        box(capacitor=value)
