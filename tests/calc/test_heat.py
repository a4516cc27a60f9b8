"""A warm coil: the check value, closed forms, and the circuit solved once more with what it has become."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from printed import CHECKS
from scipy.optimize import brentq

from calc.errors import InputError
from calc.sound import heat
from calc.sound.closed_box import closed_box, closed_box_tuning
from calc.sound.driver import constants, with_source
from calc.sound.noise import pink_rms
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
DRIVER = constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, Le=5e-4)


def test_two_hundred_kelvin_is_the_check_value():
    """thermal.compression; the drive that ends there is V² = rise (1 + 0.00393 rise) Re/resistance."""
    check = CHECKS["thermal.compression"]["expected"]
    V = sqrt(200 * 1.786 * 5.7 / 3.0)
    warm = heat.warm_coil(V, 5.7, 3.0)
    assert_allclose(warm.rise, 200.0, rtol=1e-9)
    assert_allclose(warm.Re / 5.7, check["r_ratio"], rtol=1e-6)
    assert_allclose(warm.ratio, check["qes_ratio"], rtol=1e-6)
    assert_allclose(warm.loss, check["loss_db"], rtol=1e-5)
    assert_allclose(warm.power / (V**2 / 5.7), check["power_drawn_ratio"], rtol=1e-5)


@given(st.floats(0.1, 60), st.floats(2, 16), st.floats(0.5, 20))
def test_a_plain_coil_by_its_quadratic(V, Re, resistance):
    """rise (1 + a rise) = resistance V²/Re =: h gives rise = (sqrt(1 + 4 a h) - 1)/(2 a) (derived)."""
    h = resistance * V**2 / Re
    wanted = 2 * h / (1 + sqrt(1 + 4 * 0.00393 * h))
    assert_allclose(heat.warm_coil(V, Re, resistance).rise, wanted, rtol=1e-9)


def test_faint_and_very_loud():
    """Exact limits: no feedback when faint; very loud, the rise grows as V, not as V²."""
    assert_allclose(heat.warm_coil(1e-3, 5.7, 3.0).rise, 3.0e-6 / 5.7, rtol=1e-6)
    loud = heat.warm_coil([1e5, 2e5], 5.7, 3.0).rise
    assert_allclose(loud[1] / loud[0], 2, rtol=1e-3)


def test_at_its_rated_power_a_coil_loses_what_is_commonly_found():
    """3 to 6 dB after warm-up at rated power (general practice, from memory), by either reading of it."""
    resistance = heat.thermal_resistance(60.0)
    assert_allclose(resistance, 200 / 60)
    by_the_sheet = heat.warm_coil(sqrt(60 * 5.7), 5.7, resistance).loss
    all_in_the_coil = heat.warm_coil(sqrt(60 * 5.7 * 1.786), 5.7, resistance)
    assert 3 < by_the_sheet < all_in_the_coil.loss < 6
    assert_allclose(all_in_the_coil.power, 60.0, rtol=1e-9)


F = np.geomspace(20, 2000, 60)


def box(driver, **more):
    return vented_box(F, driver, 0.022, 40.0, C, RHO, QL=7.0, **more)


def warmed(Re):
    """The same mechanics about a coil that resists more: Qes follows it."""
    Qes = DRIVER.Qes * Re / DRIVER.Re
    return replace(DRIVER, Re=Re, Qes=Qes, Qts=DRIVER.Qms * Qes / (DRIVER.Qms + Qes))


@pytest.mark.parametrize("Rs", [0.0, 0.8])
@pytest.mark.parametrize("V", [5.0, 20.0, 40.0])
def test_balance_of_a_box_at_one_note(V, Rs):
    """Second route: the circuit with the warm coil draws just the power that keeps it so warm."""
    cold = box(DRIVER)
    for at in (0, 12, 25, 59):
        Z = cold.Z[at] * np.exp(1j * np.radians(cold.Z_phase[at]))
        warm = heat.warm_coil(V, 5.7, 3.0, Z=Z, Rs=Rs)
        hot = box(warmed(float(warm.Re)), V=V, Rs=Rs)
        current = hot.voltage[at] / hot.Z[at]
        assert_allclose(3.0 * current**2 * float(warm.Re), warm.rise, rtol=1e-8)


def test_balance_of_a_box_under_noise():
    """Second route: a root finder of a general library over the circuit and the integral of `pink_rms`."""
    f = np.geomspace(20, 2000, 300)
    cold = vented_box(f, DRIVER, 0.022, 40.0, C, RHO, QL=7.0)
    Z = cold.Z * np.exp(1j * np.radians(cold.Z_phase))
    warm = heat.warm_coil(20.0, 5.7, 3.0, Z=Z, weights=heat.pink_weights(f))

    def excess(rise):
        Re = 5.7 * (1 + 0.00393 * rise)
        hot = vented_box(f, warmed(Re), 0.022, 40.0, C, RHO, QL=7.0, V=20.0)
        return 3.0 * pink_rms(f, hot.voltage / hot.Z) ** 2 * Re - rise

    assert_allclose(warm.rise, brentq(excess, 0, 1000), rtol=1e-3)
    assert warm.rise < heat.warm_coil(20.0, 5.7, 3.0).rise, "where the impedance peaks, less is drawn"


@given(st.floats(0, 60), st.floats(-40, 40), st.floats(0.5, 10))
def test_louder_is_warmer_whatever_the_impedance(motion, reactance, resistance):
    V = np.geomspace(0.1, 100, 30)
    warm = heat.warm_coil(V, 5.7, resistance, Z=[5.7 + motion + 1j * reactance, 5.7])
    assert (np.diff(warm.rise) > 0).all() and (np.diff(warm.loss) > 0).all()
    assert_allclose(warm.rise, resistance * warm.power, rtol=1e-6)


def test_drives_at_once_are_those_one_by_one():
    V = np.array([1.0, 10.0, 30.0])
    many = heat.warm_coil(V, 5.7, 3.0, Z=[6.0 + 2j, 30.0])
    for i, one in enumerate(V):
        assert_allclose(many.rise[i], heat.warm_coil(one, 5.7, 3.0, Z=[6.0 + 2j, 30.0]).rise, rtol=1e-12)


def test_shares_of_pink_noise_sum_up():
    f = np.geomspace(20, 2000, 301)
    assert_allclose(heat.pink_weights(f).sum(), 1)
    X = 1 / (1 + (f / 80) ** 2)
    assert_allclose(np.sqrt(heat.pink_weights(f) @ X**2), pink_rms(f, X), rtol=1e-4)
    assert_allclose(heat.pink_weights(f, np.where(f < 200, 1.0, 0.0)).sum(), 0.5, atol=0.002)


def test_a_warm_coil_brakes_less():
    """Second route: the coil's extra resistance counted as a source resistance, and the box's own tuning."""
    ratio = 1.4
    found = heat.warm_Q(4.5, 0.4, ratio, alpha=0.032 / 0.02)
    behind = with_source(4.5, 0.4, 5.7, 0.4 * 5.7)
    assert_allclose([found.Qes, found.Qts], [behind.Qes, behind.Qts])
    _, Qtc = closed_box_tuning(36.0, behind.Qts, 0.032, 0.02)
    assert_allclose(found.Qtc, Qtc)
    assert heat.warm_Q(4.5, 0.4, ratio).Qtc is None


def test_loss_of_level_is_that_of_the_circuit_where_the_mass_rules():
    f = [4000.0]
    plain = constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO)
    warm = heat.warm_coil(20.0, 5.7, 3.0, Rs=0.5)
    hot = replace(plain, Re=float(warm.Re))
    lost = (closed_box(f, one, 0.02, C, RHO, Rs=0.5).level[0] for one in (plain, hot))
    cold_level, hot_level = lost
    assert_allclose(cold_level - hot_level, warm.loss, atol=0.01)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: heat.thermal_resistance(0.0), "Pe"),
        (lambda: heat.thermal_resistance(60.0, 0.0), "rise"),
        (lambda: heat.thermal_resistance(60.0, float("nan")), "rise"),
        (lambda: heat.warm_coil(0.0, 5.7, 3.0), "V"),
        (lambda: heat.warm_coil(10.0, float("inf"), 3.0), "Re"),
        (lambda: heat.pink_weights([20.0]), "f"),
        (lambda: heat.warm_Q(4.5, -1.0, 1.2), "Qes"),
    ],
)
def test_impossible_values_are_refused(call, field):
    with pytest.raises(InputError) as refusal:
        call()
    assert refusal.value.field == field
