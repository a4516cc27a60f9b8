"""Step responses and group delay of boxes."""

import subprocess
from math import exp, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import simpson
from scipy.signal import TransferFunction, step

from calc.errors import InputError
from calc.sound.band_pass import band_pass
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.high_pass import HighPass
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.time_domain import character, latest, room_tenth, step_response
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
FS, QMS, QES, VAS, SD, RE = 36.0, 4.5, 0.4, 0.032, 0.0133, 5.7
DRIVER = constants(FS, QMS, QES, VAS, SD, RE, C, RHO)


def closed_of(Qtc, fc):
    """A closed box of any Qtc and fc, as the air alone sets it: a driver that is half as stiff, Vas = Vb."""
    Qts = Qtc / sqrt(2)
    driver = constants(fc / sqrt(2), 2 * Qts, 2 * Qts, 0.03, SD, RE, C, RHO)
    return lambda f: closed_box(f, driver, 0.03, C, RHO)


# --- exact limits ---


def test_critically_damped():
    """Derived: s/(s + w)² is (1 - w t) e^(-w t): through rest at w t = 1, and at 2 it turns, at -e^-2.

    It stays below a tenth from (w t - 1) e^(-w t) = 0.1 on: w t = 2.994, by hand (1.994 e^-2.994 = 0.0999).
    """
    fc = 50.0
    w = 2 * pi * fc
    found = step_response(closed_of(0.5, fc))
    assert_allclose(found.p, (1 - w * found.t) * np.exp(-w * found.t), atol=1e-4)
    assert_allclose(found.rebound, exp(-2), atol=1e-4)
    assert_allclose(found.settled * w, 2.994, atol=0.006)
    assert found.swings == 1
    assert abs(found.p[-1]) <= 0.01 and found.length == found.t[-1]


@settings(max_examples=25)
@given(st.floats(0.3, 6.0), st.floats(15, 150))
def test_closed_boxes_of_all_kinds_of_damping(Qtc, fc):
    """Second route: a general library's step of the second-order high-pass, from its poles.

    Energy, derived: s/(s² + s/Q + 1) has the square integral Q/2 (of b s/(s² + a s + 1) it is b²/(2 a)).
    """
    found = step_response(closed_of(Qtc, fc))
    w = 2 * pi * fc
    t, p = step(TransferFunction([1, 0, 0], [1, 1 / Qtc, 1]), T=found.t * w)
    assert_allclose(found.p, p, atol=2e-3)
    assert_allclose(found.rebound, max(-p), atol=2e-3)
    energy = simpson(found.p**2, x=found.t * w)
    assert_allclose(energy, Qtc / 2, rtol=5e-3)


@settings(max_examples=25)
@given(st.floats(0.3, 3), st.floats(0.6, 1.6), st.floats(4, 60))
def test_vented_boxes(alpha, h, QL):
    """Second route: Small's fourth-order transfer (Vented-Box I, rederived), stepped by a general library."""
    fb, Vb = h * FS, VAS / alpha
    found = step_response(lambda f: vented_box(f, DRIVER, Vb, fb, C, RHO, QL=QL))
    Qt, Tb = 1 / (1 / QMS + 1 / QES), 1 / h
    D = [Tb**2, Tb**2 / Qt + Tb / QL, (alpha + 1) * Tb**2 + Tb / (QL * Qt) + 1, Tb / QL + 1 / Qt, 1]
    _, p = step(TransferFunction([Tb**2, 0, 0, 0, 0], D), T=found.t * 2 * pi * FS)
    assert_allclose(found.p, p, atol=2e-3)
    after = np.flatnonzero(abs(p) > 0.1)[-1]
    assert found.t[after] <= found.settled <= found.t[min(after + 1, len(p) - 1)] + 1e-9


@pytest.mark.parametrize("kind", ["closed", "vented", "filtered"])
def test_nothing_moves_air_for_ever(kind):
    """Exact: A(0) = 0, so the step sums to zero over all time."""
    box = {
        "closed": closed_of(0.7, 60),
        "vented": lambda f: vented_box(f, DRIVER, 0.022, 40, C, RHO, QL=10),
        "filtered": lambda f: vented_box(f, DRIVER, 0.022, 40, C, RHO, QL=10, high_pass=HighPass(2, 30.0)),
    }[kind]
    found = step_response(box)
    total = np.trapezoid(abs(found.p), found.t)
    assert abs(np.trapezoid(found.p, found.t)) < 0.03 * total, "all but what is cut off below 1 %"


def test_swings_by_hand():
    """Derived: p = e^(-t/(2 Q)) (cos r t - sin(r t)/(2 Q r)), r = sqrt(1 - 1/(4 Q²)), t in units of 1/wc.

    Its tops follow each other by half turns and shrink by e^(-pi/(2 Q r)) each, 0.6731 for Q = 4: from the
    first rebound, 0.695, they go 0.468, 0.315, 0.212, 0.143 and 0.096: five above a tenth.
    """
    Q = 4.0
    r = sqrt(1 - 1 / (4 * Q**2))
    t = np.linspace(0, 60, 200001)
    p = np.exp(-t / (2 * Q)) * (np.cos(r * t) - np.sin(r * t) / (2 * Q * r))
    first = -p.min()
    tops = first * exp(-pi / (2 * Q * r)) ** np.arange(12)
    found = step_response(closed_of(Q, 40))
    assert_allclose(found.rebound, first, atol=1e-3)
    assert found.swings == np.count_nonzero(tops > 0.1) == 5


# --- a circuit simulator steps the same boxes ---

SIMULATED = {
    "passive_radiator": [
        "Ea m5 0 0 a {Sd}", "Fa a 0 Vu {Sd}", "Cab a 0 {Cab}", "Vp a p 0", "Lap p q {Lap}", "Rap q v {Rap}",
        "Cap v 0 {Cap}", "Rdv v 0 1e15", "F1 0 o Vu {Sd}", "F2 0 o Vp 1",
    ],
    "band_pass": [
        "Er m5 m6 0 r {Sd}", "Ea m6 0 a 0 {Sd}", "Fr r 0 Vu {Sd}", "Fa 0 a Vu {Sd}", "Cr r 0 {Cr}",
        "Cab a 0 {Cab}", "Vp a p 0", "Lap p q {Lap}", "Rap q 0 {Rap}", "F2 0 o Vp 1",
    ],
}  # fmt: skip


def volume_velocity_of(kind, values, length, folder):
    """The simulator's flow of all that faces outside, over time, after a step of 1 volt at 0."""
    lines = [
        "* a step", "Vg g 0 PULSE(0 1 0 1n 1n 100 200)", "Re g x {Re}", "Hemf x w Vu {Bl}", "Vi w 0 0",
        "Hf m1 0 Vi {Bl}", "Lm m1 m2 {Mms}", "Rm m2 m3 {Rms}", "Cm m3 m4 {Cms}", "Rdm m3 m4 1e13",
        "Vu m4 m5 0", *SIMULATED[kind], "Rda a 0 1e15", "Ro o 0 1",
        ".options gmin=1e-20 reltol=1e-7 abstol=1e-20 vntol=1e-15 method=trap",
        ".control", "set numdgt=12", "set wr_singlescale", f"tran 50u {length} 0 50u uic",
        "wrdata out.txt v(o)", "quit", ".endc", ".end",
    ]  # fmt: skip
    if kind == "band_pass":
        lines.insert(1, "Rdr r 0 1e15")
    (folder / "step.cir").write_text("\n".join(lines).format(**values) + "\n")
    done = subprocess.run(
        ["ngspice", "-b", "step.cir"], cwd=folder, capture_output=True, text=True, timeout=60, check=False
    )
    assert (folder / "out.txt").exists(), done.stdout[-1500:] + done.stderr[-1500:]
    return np.loadtxt(folder / "out.txt").T


@pytest.mark.parametrize("kind", SIMULATED)
def test_the_simulator_steps_the_same_way(kind, tmp_path):
    """The flow is what the pressure sums to: p is its rate of change."""
    Sp, Cmp, Mmp, Rmp, Vb, fb = 0.0133, 0.0015, 0.032, 0.58, 0.016, 55.0
    Vr, stiffness = 0.02, RHO * C**2
    Cab = Vb / stiffness
    if kind == "passive_radiator":
        found = step_response(lambda f: passive_radiator_box(f, DRIVER, Vb, 1, Sp, Cmp, Mmp, Rmp, C, RHO))
        air = {"Lap": Mmp / Sp**2, "Rap": Rmp / Sp**2, "Cap": Cmp * Sp**2}
    else:
        found = step_response(lambda f: band_pass(f, DRIVER, Vr, Vb, fb, C, RHO, QP=20.0))
        w = 2 * pi * fb
        air = {"Lap": 1 / (w**2 * Cab), "Rap": 1 / (w * Cab * 20.0), "Cr": Vr / stiffness}
    motor = {name: getattr(DRIVER, name) for name in ("Re", "Bl", "Mms", "Rms", "Cms", "Sd")}
    t, U = volume_velocity_of(kind, {**motor, **air, "Cab": Cab}, found.length, tmp_path)
    p = found.p
    summed = np.concatenate([[0], np.cumsum((p[1:] + p[:-1]) / 2) * found.t[1]])
    U = np.interp(found.t, t, U)
    scale = np.dot(U, summed) / np.dot(U, U)
    assert_allclose(summed, U * scale, atol=4e-3 * np.max(abs(summed)))


def test_a_band_pass_starts_gently_and_its_largest_push_counts_as_one():
    found = step_response(lambda f: band_pass(f, DRIVER, 0.02, 0.016, 55.0, C, RHO))
    assert abs(found.p[0]) < 1e-3 and np.max(found.p) == 1.0 and -1 <= found.p.min() < 0


def test_several_variants_at_once_are_refused():
    with pytest.raises(InputError) as refusal:
        step_response(lambda f: vented_box(f, DRIVER, np.array([[0.02], [0.03]]), 40, C, RHO))
    assert refusal.value.field == "box"


def test_what_rings_for_ever_has_no_step():
    driver = constants(5.0, 9e3, 9e3, 0.03, SD, RE, C, RHO)
    assert step_response(lambda f: closed_box(f, driver, 0.03, C, RHO)) is None


def test_a_resonance_far_above_the_bass_has_no_step():
    assert step_response(closed_of(2.0, 1900.0)) is None
    assert step_response(closed_of(2.0, 190.0)) is not None


# --- group delay ---


def test_group_delay_of_a_butterworth_closed_box():
    """Derived: of s²/(s² + s/Q + 1) it is (1/(Q w0)) (1 + x²)/((1 - x²)² + x²/Q²), x = f/f0; Q² = 1/2 makes
    that sqrt(2)/w0 (1 + x²)/(1 + x⁴), largest where x⁴ + 2 x² = 1: x² = sqrt(2) - 1, 1.2071 x sqrt(2)/w0.
    """
    fc = 60.0
    f = np.linspace(15, 250, 4000)
    found = latest(f, closed_of(sqrt(0.5), fc)(f).group_delay)
    assert_allclose(found.f, fc * sqrt(sqrt(2) - 1), rtol=2e-3)
    assert_allclose(found.delay, sqrt(2) / (2 * pi * fc) * (1 + sqrt(2)) / 2, rtol=1e-6)
    assert_allclose(found.periods, found.delay * found.f)


def test_only_the_bass_is_looked_at():
    f = np.array([10.0, 30.0, 100.0, 300.0])
    found = latest(f, np.array([9.0, 1.0, 2.0, 8.0]))
    assert (found.f, found.delay, found.periods) == (100.0, 2.0, 200.0)
    with pytest.raises(InputError):
        latest([300.0], [1.0])


# --- words ---


def test_a_room_falls_to_a_tenth_in_a_third_of_its_decay():
    """Exact: 20 of 60 dB."""
    assert_allclose(room_tenth(0.6), 0.2)
    for bad in (0, -1, float("nan"), float("inf")):
        with pytest.raises(InputError):
            room_tenth(bad)


@pytest.mark.parametrize(
    ("settled", "peak", "word"),
    [
        (0.02, 0.0, "held"),
        (0.02, 1.5, "full"),
        (0.02, 3.0, "swells"),
        (0.5, 0.0, "rings"),
        (None, 0.5, "rings"),
    ],
)
def test_character(settled, peak, word):
    assert character(settled, peak) == word
    assert character(0.02, 0.0, decay=0.05) == "rings"
