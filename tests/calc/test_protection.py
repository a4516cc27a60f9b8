"""Filters and capacitors before a box: by the filter itself, by the circuit, and by a general library."""

from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.signal import butter, freqs

from calc.errors import InputError
from calc.sound import protection as keep
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.high_pass import HighPass
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
DRIVER = constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, Le=5e-4)


def vented(f, **more):
    return vented_box(f, DRIVER, 0.022, 40.0, C, RHO, QL=7.0, **more)


def closed(f, **more):
    return closed_box(f, DRIVER, 0.012, C, RHO, **more)


WATCHED = np.geomspace(10, 2000, 4000)


@settings(max_examples=30)
@given(st.sampled_from([closed, vented]), st.integers(1, 4), st.floats(4, 30), st.floats(0.002, 0.008))
def test_the_corner_is_the_lowest_that_keeps_the_cone_in(box, order, V, Xmax):
    """Second route: the box solved with that very filter before it, and with one a little lower."""
    corner = keep.safe_high_pass(lambda f: box(f, V=V).cone, Xmax, order)
    if corner is None:
        assert box(WATCHED, V=V).cone.max() <= Xmax * (1 + 1e-4)
        return
    if corner.f is None:
        at_limit = box(WATCHED, V=V, high_pass=HighPass(order, keep.HIGHEST)).cone
        assert at_limit.max() > Xmax * (1 - 1e-4)
        return
    held = box(WATCHED, V=V, high_pass=HighPass(order, corner.f)).cone
    assert_allclose(held.max(), Xmax, rtol=1e-3)
    assert_allclose(WATCHED[held.argmax()], corner.at, rtol=0.02)
    lower = box(WATCHED, V=V, high_pass=HighPass(order, 0.98 * corner.f)).cone
    assert lower.max() > Xmax


@pytest.mark.parametrize("order", [1, 2, 3, 4])
def test_a_cone_that_needs_no_filter_gets_none(order):
    assert keep.safe_high_pass(lambda f: vented(f, V=0.5).cone, 0.006, order) is None


def test_what_no_filter_can_keep_in():
    found = keep.safe_high_pass(lambda f: vented(f, V=400.0).cone, 0.001, 1)
    assert found.f is None and found.at >= 10


@pytest.mark.parametrize("order", [1, 2, 3, 4])
def test_a_travel_that_is_the_same_everywhere(order):
    """x/Xmax = 2 up to a wall at 40 Hz: |H|² = 1/4 there asks for fc = 40 x 3^(1/2n) (derived)."""
    wall = lambda f: np.where(f <= 40.0, 2.0, 0.1) * 1e-3  # noqa: E731
    found = keep.safe_high_pass(wall, 1e-3, order)
    assert_allclose(found.f, 40 * 3 ** (1 / (2 * order)), rtol=1e-3)
    assert_allclose(found.at, 40.0, rtol=1e-3)


@pytest.mark.parametrize("order", [1, 2, 3, 4])
def test_gain_of_the_filter(order):
    """Source: Butterworth design and frequency response of a general library."""
    f = np.geomspace(5, 500, 40)
    _, H = freqs(*butter(order, 2 * pi * 35.0, "high", analog=True), 2 * pi * f)
    assert_allclose(HighPass(order, 35.0).gain(f), abs(H), rtol=1e-9)


F = np.geomspace(8, 300, 400)


@pytest.mark.parametrize("capacitor", [100e-6, 470e-6, 2e-3])
@pytest.mark.parametrize("Rs", [0.0, 0.6])
@pytest.mark.parametrize("box", [closed, vented])
def test_what_a_capacitor_leaves_is_what_the_circuit_leaves(box, capacitor, Rs):
    """Second route: the circuit with the capacitor in it."""
    bare, behind = box(F, Rs=Rs), box(F, Rs=Rs, capacitor=capacitor)
    H = keep.capacitor_transfer(F, bare.Z, bare.Z_phase, capacitor, Rs)
    assert_allclose(bare.cone * abs(H), behind.cone, rtol=1e-9)
    assert_allclose(bare.voltage * abs(H), behind.voltage, rtol=1e-9)
    turned = np.radians(behind.phase - bare.phase)
    assert_allclose(np.exp(1j * turned), H / abs(H), atol=1e-9)


def test_a_resistor_behind_a_capacitor():
    """Exact: half the power at 1/(2 pi R C), and the first-order slope; 159.155 Hz for 1 ohm and 1 mF."""
    assert_allclose(keep.capacitor_corner(1.0, 1e-3), 159.1549431, rtol=1e-9)
    corner = keep.capacitor_corner(5.7, 470e-6)
    H = abs(keep.capacitor_transfer(F, np.full(F.size, 5.7), np.zeros(F.size), 470e-6))
    assert_allclose(H, HighPass(1, corner).gain(F), rtol=1e-12)
    assert_allclose(np.interp(corner, F, H), sqrt(0.5), rtol=1e-4)


def test_a_capacitor_hardly_protects_a_vented_box():
    """At the lower impedance peak the box takes nearly all the volts; a plain resistor would get far less."""
    C_ = 470e-6
    bare = vented(F, V=20.0)
    low = F < 30
    at = int(np.argmax(np.where(low, bare.Z, 0)))
    H = abs(keep.capacitor_transfer(F, bare.Z, bare.Z_phase, C_))
    wanted = HighPass(1, keep.capacitor_corner(5.7, C_)).gain(F)
    assert wanted[at] < 0.35 and H[at] > 0.8
    below = np.arange(F.size) < at
    assert H[below].max() > 1, "an inductive box rings with the capacitor: more volts than without it"
    held = vented(F, V=20.0, capacitor=C_).cone[low].max()
    filtered = vented(F, V=20.0, high_pass=HighPass(1, keep.capacitor_corner(5.7, C_))).cone[low].max()
    assert held > 2 * filtered


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: keep.safe_high_pass(lambda f: f, 0.005, 5), "order"),
        (lambda: keep.safe_high_pass(lambda f: f, 0.005, True), "order"),
        (lambda: keep.safe_high_pass(lambda f: f, 0.0, 2), "Xmax"),
        (lambda: keep.capacitor_transfer(F, F, F, 0.0), "capacitor"),
        (lambda: keep.capacitor_transfer(F, F, F, 1e-3, -1.0), "Rs"),
        (lambda: keep.capacitor_corner(0.0, 1e-3), "Re"),
    ],
)
def test_impossible_values_are_refused(call, field):
    with pytest.raises(InputError) as refusal:
        call()
    assert refusal.value.field == field
