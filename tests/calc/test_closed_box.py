"""Closed boxes: Small's figures, exact limits, a second route, and the full circuit."""

from math import cos, log10, pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from printed import CHECKS, checks, compare, name, tolerance

from calc.errors import InputError
from calc.sound import closed_box as cb
from calc.sound.driver import constants
from calc.sound.limits import reference_level

C, RHO = 343.2, 1.204
Qs = st.floats(0.2, 3.0)


def driver(**coil):
    return constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, **coil)


# --- normalised ---


@pytest.mark.parametrize("check", checks("closed.qtc_"), ids=name)
def test_shape_by_total_q(check):
    Qtc = check["inputs"]["Qtc"]
    level, at = cb.closed_box_peak(Qtc)
    f = np.geomspace(1e-3, 100, 200001)
    X = abs(cb.closed_box_displacement(f, 1.0, Qtc))
    highest = X.argmax()
    found = {
        "f3_fc": cb.cutoff_ratio(Qtc),
        "f6_fc": cb.cutoff_ratio(Qtc, 6.0),
        "f10_fc": cb.cutoff_ratio(Qtc, 10.0),
        "peak_db": level,
        "gain_at_fc_db": 20 * np.log10(abs(cb.closed_box_response([1.0], 1.0, Qtc)))[0],
        "xmax_ratio": X[highest],
        "f_xpeak_fc": f[highest] if X[highest] > 1 + 1e-9 else 0.0,
    }
    if at is not None:
        found["f_peak_fc"] = at
    compare(check, found)


def test_a_driver_in_fifteen_litres():
    check = CHECKS["closed.example"]
    given = check["inputs"]
    fc, Qtc = cb.closed_box_tuning(given["fs"], given["Qts"], given["Vas"], given["Vb"])
    alpha = (fc / given["fs"]) ** 2 - 1
    compare(check, {"alpha": alpha, "fc": fc, "Qtc": Qtc, "f3": fc * cb.cutoff_ratio(Qtc)})


def test_volume_for_a_wanted_q():
    check = CHECKS["closed.volume_for_b2"]
    given = check["inputs"]
    Vb = cb.closed_box_volume(given["Qts"], given["Vas"], given["Qtc"])
    compare(check, {"Vb": Vb, "fc": cb.closed_box_tuning(given["fs"], given["Qts"], given["Vas"], Vb)[0]})


def peak_of(curve, qs):
    values = [curve(Q) for Q in qs]
    return qs[int(np.argmax(values))], max(values)


def test_power_that_the_travel_allows():
    check = CHECKS["closed.power_const"]
    at, most = peak_of(lambda Q: cb.displacement_power_constant(Q, C, RHO), np.linspace(0.8, 1.4, 6001))
    found = {
        "kP_b2": cb.displacement_power_constant(sqrt(0.5), C, RHO),
        "kP_qtc_1_1": cb.displacement_power_constant(1.1, C, RHO),
        "Qtc_at_max": at,
        "kP_max": most,
    }
    compare(check, found)
    check = CHECKS["closed.power_const_small_air"]
    c, rho = check["inputs"]["c"], check["inputs"]["rho"]
    found = {
        "four_pi3_rho_over_c": 4 * pi**3 * rho / c,
        "kP_qtc_1_1": cb.displacement_power_constant(1.1, c, rho),
    }
    compare(check, found)


def test_efficiency_for_a_size_and_a_cutoff():
    at, most = peak_of(lambda Q: cb.efficiency_constant(Q, C), np.linspace(0.8, 1.4, 6001))
    found = {
        "k_b2_per_m3": cb.efficiency_constant(sqrt(0.5), C),
        "k_1_1_per_m3": cb.efficiency_constant(1.1, C),
        "Qtc_at_max": at,
        "k_max": most,
    }
    compare(CHECKS["closed.eff_const"], found)


def test_ideal_filling():
    """Isothermal air: the box seems larger by gamma; fc falls with it, sound slows by its root."""
    check = CHECKS["closed.filling_limits"]
    gamma, alpha = check["inputs"]["gamma"], check["inputs"]["alpha"]
    empty, _ = cb.closed_box_tuning(40.0, 0.4, alpha * 0.02, 0.02)
    filled, _ = cb.closed_box_tuning(40.0, 0.4, alpha * 0.02, gamma * 0.02)
    assert_allclose(
        filled / empty, check["expected"]["fc_ratio_min"], **tolerance(check, "fc_ratio_min", 1.0)
    )


# f3/fc by hand: |G|^2 = 1/2 gives y^2 - a y - 1 = 0 with y = (f3/fc)^2 and
# a = 1/Qtc^2 - 2. Derived; the value 1 at Qtc = 1/sqrt(2) is Butterworth's.
@pytest.mark.parametrize(("Qtc", "ratio"), [(0.5, 1.55377), (sqrt(0.5), 1.0), (1.0, 0.786151)])
def test_minus_3_db_frequency(Qtc, ratio):
    G = cb.closed_box_response([40.0 * ratio], fc=40.0, Qtc=Qtc)
    assert_allclose(abs(G), sqrt(0.5), rtol=1e-5)


@given(Qs, st.floats(0.5, 40))
def test_the_response_lies_where_the_cutoff_says(Qtc, drop):
    """The highest crossing, of a curve that may first rise above the pass band."""
    ratio = cb.cutoff_ratio(Qtc, drop)
    G = abs(cb.closed_box_response([ratio, 1.001 * ratio], 1.0, Qtc))
    assert_allclose(-20 * log10(G[0]), drop, atol=1e-8)
    assert G[1] > G[0]


def test_a_very_damped_box_loses_no_digits():
    """For a small Q, f3 -> fc/Qtc: the two poles part and only the upper one matters."""
    assert_allclose(cb.cutoff_ratio(1e-3) * 1e-3, 1.0, rtol=2e-6)


@pytest.mark.parametrize("Qtc", [0.5, 0.9])
def test_twelve_decibels_an_octave(Qtc):
    levels = 20 * np.log10(abs(cb.closed_box_response([0.01, 0.02], 40.0, Qtc)))
    assert_allclose(levels[1] - levels[0], 12.0412, atol=1e-4)  # 40 log10(2)


# --- full circuit ---


@pytest.mark.parametrize("check", checks("ngspice.sealed_"), ids=name)
def test_the_full_response_against_a_circuit_simulator(check):
    given, wanted = check["inputs"], check["expected"]
    sheet = given["driver"]
    one = constants(
        *(sheet[symbol] for symbol in ("fs", "Qms", "Qes", "Vas", "Sd", "Re")), given["c"], given["rho"],
        sheet["Le"], sheet.get("Le2"), sheet.get("Re2"),
    )  # fmt: skip
    losses = {symbol: given.get(symbol) for symbol in ("QL", "QA", "fq")}
    f = [row["f"] for row in wanted]
    response = cb.closed_box(f, one, given["Vb"], given["c"], given["rho"], given["V"], **losses)
    assert response.port_speed is None
    for key in wanted[0].keys() - {"f"}:
        column = [row[key] for row in wanted]
        assert_allclose(getattr(response, key), column, **tolerance(check, key, column), err_msg=key)


def test_without_losses_and_inductance_it_is_the_textbook_curve():
    """Second route: the normalised response on the reference level, Qtc with the source resistance in it."""
    f, Rs = np.geomspace(5, 2000, 101), 0.6
    one = driver()
    response = cb.closed_box(f, one, 0.018, C, RHO, Rs=Rs)
    Qes = one.Qes * (one.Re + Rs) / one.Re
    fc, Qtc = cb.closed_box_tuning(one.fs, one.Qms * Qes / (one.Qms + Qes), one.Vas, 0.018)
    G = cb.closed_box_response(f, fc, Qtc)
    reference = reference_level(one, 2.83, Rs, C, RHO)
    assert_allclose(response.level, reference + 20 * np.log10(abs(G)), atol=1e-9)
    assert_allclose(np.cos(np.radians(response.phase) - np.angle(G)), 1, atol=1e-12)
    X = abs(cb.closed_box_displacement(f, fc, Qtc))
    still = sqrt(2) * 2.83 * one.Bl * one.Cms / ((one.Re + Rs) * (1 + one.Vas / 0.018))
    assert_allclose(response.cone, still * X, rtol=1e-10)
    # group delay of a second-order high-pass, by hand: phase = pi - atan2(w/(Q wc), 1 - (w/wc)^2)
    x, wc = f / fc, 2 * pi * fc
    assert_allclose(
        response.group_delay, (1 + x**2) / (Qtc * wc * ((1 - x**2) ** 2 + (x / Qtc) ** 2)), rtol=1e-9
    )


def test_impedance_peak_is_the_motor_against_the_suspension():
    """At fc only Rms is left: Z = Re + Bl²/Rms = Re (1 + Qms/Qes), real."""
    one = driver()
    fc, _ = cb.closed_box_tuning(one.fs, one.Qts, one.Vas, 0.018)
    response = cb.closed_box([fc], one, 0.018, C, RHO, Rs=3.0)
    assert_allclose(response.Z, 5.7 * (1 + 4.5 / 0.4), rtol=1e-12)
    assert_allclose(response.Z_phase, 0, atol=1e-9)


def test_far_above_resonance_the_coil_alone_is_left():
    """By hand, the cone too heavy to answer: Re + jw Le, and jw Le2 parallel to Re2 on top."""
    w = 2 * pi * 50e3
    for coil, wanted in (
        ({"Le": 1e-3}, 5.7 + 1j * w * 1e-3),
        (
            {"Le": 1e-3, "Le2": 4e-5, "Re2": 8.0},
            5.7 + 1j * w * 1e-3 + 8.0 * 1j * w * 4e-5 / (8.0 + 1j * w * 4e-5),
        ),
    ):
        found = cb.closed_box([50e3], driver(**coil), 0.018, C, RHO)
        assert_allclose(found.Z * np.exp(1j * np.radians(found.Z_phase)), wanted, rtol=1e-4)


def test_a_huge_box_is_free_air():
    one = driver()
    assert_allclose(cb.closed_box([36.0], one, 9999.0, C, RHO).Z, 5.7 * (1 + 4.5 / 0.4), rtol=1e-4)


def test_losses_that_vanish_are_no_losses():
    f = np.geomspace(5, 500, 50)
    tight = cb.closed_box(f, driver(), 0.018, C, RHO)
    for losses in ({"QL": 1e12}, {"QA": 1e12}, {"QL": np.inf, "QA": np.inf}):
        almost = cb.closed_box(f, driver(), 0.018, C, RHO, **losses)
        for quantity in ("level", "group_delay", "cone", "Z"):
            assert_allclose(getattr(almost, quantity), getattr(tight, quantity), rtol=1e-8)


@pytest.mark.parametrize("losses", [{"QL": 10.0}, {"QA": 10.0}, {"QL": 15.0, "QA": 6.0}])
def test_the_q_with_losses_is_what_the_circuit_shows(losses):
    """Second route: the mechanical impedance is Bl²/(Z - Re); its resistance and the motor's make the Q."""
    one = driver()
    fc, Qtc = cb.closed_box_tuning(one.fs, one.Qts, one.Vas, 0.018)
    response = cb.closed_box([fc], one, 0.018, C, RHO, **losses)
    Z = response.Z[0] * np.exp(1j * np.radians(response.Z_phase[0]))
    resistance = (one.Bl**2 / (Z - one.Re)).real + one.Bl**2 / one.Re
    read = 2 * pi * fc * one.Mms / resistance
    assert_allclose(cb.closed_box_lossy_Q(Qtc, one.Vas / 0.018, **losses), read, rtol=1e-9)
    assert cb.closed_box_lossy_Q(Qtc, one.Vas / 0.018) == pytest.approx(Qtc, rel=1e-12)


def test_the_leak_is_heard_with_the_cone():
    """Far below resonance a leaky box is a cone in free air whose back comes out as well: 18 dB an octave."""
    response = cb.closed_box([0.01, 0.02], driver(), 0.018, C, RHO, QL=10.0)
    assert_allclose(response.level[1] - response.level[0], 18.0618, atol=0.01)  # 60 log10(2)
    tight = cb.closed_box([0.01, 0.02], driver(), 0.018, C, RHO)
    assert_allclose(tight.level[1] - tight.level[0], 12.0412, atol=0.01)


def test_where_the_losses_hold_can_be_said():
    fc, _ = cb.closed_box_tuning(36.0, 0.4, 0.032, 0.018)
    there = cb.closed_box([50.0], driver(), 0.018, C, RHO, QL=10.0, QA=20.0, fq=fc)
    assert there.level == cb.closed_box([50.0], driver(), 0.018, C, RHO, QL=10.0, QA=20.0).level
    # a leak of QL at f is one of QL f/f' at f': the resistance stays
    moved = cb.closed_box([50.0], driver(), 0.018, C, RHO, QL=10.0, fq=50.0)
    assert_allclose(moved.level, cb.closed_box([50.0], driver(), 0.018, C, RHO, QL=20.0, fq=100.0).level)


def test_level_falls_with_distance_and_grows_with_volts():
    near = cb.closed_box([80.0], driver(), 0.018, C, RHO)
    far = cb.closed_box([80.0], driver(), 0.018, C, RHO, V=5.66, distance=4.0)
    assert_allclose(far.level - near.level, -6.0206, atol=1e-4)
    assert_allclose([far.cone / near.cone, far.Z / near.Z], [[2], [1]])


def test_frequencies_come_back_as_they_were_asked():
    f = [100.0, 20.0, 3000.0, 20.0]
    response = cb.closed_box(f, driver(Le=0.5e-3), 0.018, C, RHO)
    alone = [cb.closed_box([one], driver(Le=0.5e-3), 0.018, C, RHO) for one in f]
    assert_allclose(response.f, f, rtol=1e-15)
    for quantity in ("level", "phase", "group_delay", "cone", "Z", "Z_phase"):
        assert_allclose(getattr(response, quantity), [getattr(one, quantity)[0] for one in alone], rtol=1e-12)


def test_many_boxes_at_once_are_the_boxes_one_by_one():
    f = np.geomspace(10, 500, 20)
    Vb, QL = np.array([[0.01], [0.02], [0.05]]), np.array([[5.0], [7.0], [np.inf]])
    at_once = cb.closed_box(f, driver(), Vb, C, RHO, QL=QL, QA=30.0)
    assert at_once.level.shape == at_once.group_delay.shape == at_once.Z.shape == (3, 20)
    for row in range(3):
        single = cb.closed_box(f, driver(), float(Vb[row, 0]), C, RHO, QL=float(QL[row, 0]), QA=30.0)
        for quantity in ("level", "phase", "group_delay", "cone", "Z", "Z_phase"):
            assert_allclose(getattr(at_once, quantity)[row], getattr(single, quantity), rtol=1e-10)


@given(
    st.floats(15, 120), st.floats(0.15, 1.5), st.floats(1, 12), st.floats(0.001, 0.3), st.floats(0.002, 0.3),
    st.floats(3, 50), st.floats(3, 50),
)  # fmt: skip
def test_delay_is_the_slope_of_the_phase(fs, Qes, Qms, Vas, Vb, QL, QA):
    """A central difference over a millionth of the frequency, against the analytic delay."""
    one = constants(fs, Qms, Qes, Vas, 0.02, 6.0, C, RHO, 0.6e-3, 1e-3, 9.0)
    f = np.geomspace(fs / 4, fs * 20, 15)
    step = 1e-5
    here = cb.closed_box(f, one, Vb, C, RHO, QL=QL, QA=QA)
    above = cb.closed_box(f * (1 + step), one, Vb, C, RHO, QL=QL, QA=QA)
    below = cb.closed_box(f * (1 - step), one, Vb, C, RHO, QL=QL, QA=QA)
    turn = np.radians((above.phase - below.phase + 180) % 360 - 180)
    assert_allclose(here.group_delay, -turn / (2 * pi * f * 2 * step), atol=1e-8 / fs + 1e-9, rtol=1e-5)


@given(
    st.floats(15, 120), st.floats(0.15, 1.5), st.floats(1, 12), st.floats(0.001, 0.3), st.floats(0.002, 0.3)
)
def test_an_impedance_takes_power_and_never_gives_it(fs, Qes, Qms, Vas, Vb):
    one = constants(fs, Qms, Qes, Vas, 0.02, 6.0, C, RHO, 0.6e-3)
    response = cb.closed_box(np.geomspace(1, 5000, 200), one, Vb, C, RHO, QL=7.0, QA=20.0)
    assert all(
        Z * cos(phase) >= 6.0 * (1 - 1e-9)
        for Z, phase in zip(response.Z, np.radians(response.Z_phase), strict=True)
    )


# --- refusals ---


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf"), 1e-300, 1e300])
@pytest.mark.parametrize("field", ["Vb", "c", "rho", "V", "fq", "distance"])
def test_impossible_values_are_refused_at_their_symbol(field, value):
    with pytest.raises(InputError) as refusal:
        cb.closed_box([50.0], driver(), **({"Vb": 0.02, "c": C, "rho": RHO} | {field: value}))
    assert refusal.value.field == field


@pytest.mark.parametrize("value", [-1.0, float("nan"), 0.0])
@pytest.mark.parametrize("field", ["QL", "QA"])
def test_impossible_losses_are_refused(field, value):
    with pytest.raises(InputError, match=f"^{field}: "):
        cb.closed_box([50.0], driver(), 0.02, C, RHO, **{field: value})


@pytest.mark.parametrize("f", [[0.0], [50.0, -1.0], [float("nan")], [float("inf")], [1e300]])
def test_impossible_frequencies_are_refused(f):
    with pytest.raises(InputError, match="^f: "):
        cb.closed_box(f, driver(), 0.02, C, RHO)


def test_one_bad_box_among_many_is_refused():
    with pytest.raises(InputError, match="^Vb: "):
        cb.closed_box([50.0], driver(), np.array([[0.02], [-0.02]]), C, RHO)


def test_a_box_cannot_lower_the_q():
    with pytest.raises(InputError, match="^Qtc: "):
        cb.closed_box_volume(Qts=0.5, Vas=0.03, Qtc=0.5)
