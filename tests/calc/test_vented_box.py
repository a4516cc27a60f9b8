"""Vented boxes, and the two that share their circuit: passive radiators and band-pass."""

from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from printed import CHECKS, checks, compare, name, tolerance

from calc.errors import InputError
from calc.sound import alignments
from calc.sound.band_pass import band_pass, symmetric_band_pass
from calc.sound.closed_box import closed_box, efficiency_constant
from calc.sound.driver import constants
from calc.sound.limits import reference_level
from calc.sound.passive_radiator import passive_radiator_box, radiator_mass, radiator_tuning
from calc.sound.port import speed_for_level
from calc.sound.vented_box import vented_box, vented_box_response

C, RHO = 343.2, 1.204
SIX = ("fs", "Qms", "Qes", "Vas", "Sd", "Re")


def driver(**coil):
    return constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, **coil)


def of_ratios(alpha, h, Qts, Qms=1e4, fs=30.0):
    """A driver of total Q `Qts` and a box of alpha and h: (driver, Vb, fb)."""
    Qes = 1 / (1 / Qts - 1 / Qms)
    return constants(fs, Qms, Qes, 0.05, 0.02, 6.0, C, RHO), 0.05 / alpha, h * fs


def from_the_circuit(f, alpha, h, Qts, **losses):
    """G [dB] and |X| relative to free air, from the full circuit."""
    one, Vb, fb = of_ratios(alpha, h, Qts)
    response = vented_box(np.asarray(f) * one.fs, one, Vb, fb, C, RHO, **losses)
    still = sqrt(2) * 2.83 * one.Bl * one.Cms / one.Re
    return response.level - reference_level(one, 2.83, 0.0, C, RHO), response.cone / still


# --- normalised ---


def test_response_and_travel_of_the_flattest_box():
    check = CHECKS["vented.tf.B4.QL7"]
    at = check["inputs"]
    G, X = vented_box_response(at["f_fs"], 1.0, at["Qts"], at["alpha"], at["h"], at["QL"])
    compare(check, {"g_db": 20 * np.log10(abs(G)), "x_mag": abs(X)})


@pytest.mark.parametrize("check", checks("vented.tf."), ids=name)
def test_every_kind_of_loss(check):
    at = check["inputs"]
    losses = {symbol: at[symbol] for symbol in ("QL", "QA", "QP") if symbol in at}
    G, X = from_the_circuit(at["f_fs"], at["alpha"], at["h"], at["Qts"], **losses)
    compare(check, {"g_db": G, "x_mag": X})


@given(st.floats(0.2, 8), st.floats(0.5, 2), st.floats(0.15, 0.8), st.none() | st.floats(3, 100))
def test_circuit_and_polynomial_are_one(alpha, h, Qts, QL):
    f = np.geomspace(0.2, 20, 60)
    G, X = vented_box_response(f, 1.0, Qts, alpha, h, QL)
    level, travel = from_the_circuit(f, alpha, h, Qts, QL=QL)
    assert_allclose(level, 20 * np.log10(abs(G)), atol=1e-6)
    assert_allclose(travel, abs(X), rtol=1e-6, atol=1e-12)


def test_power_that_the_travel_allows():
    """kP = 4 pi³ rho/c over (f3/fs)⁴ |X|², the largest travel from f3 up."""
    check = CHECKS["vented.power_const_b4"]
    rows = []
    for QL in check["inputs"]["QL"]:
        start = alignments.alignment(*alignments.butterworth(), QL)
        f = np.linspace(start.f3, 4, 100001)
        X = abs(vented_box_response(f, 1.0, start.Qts, start.alpha, start.h, QL)[1])
        rows.append((4 * pi**3 * RHO / C / (start.f3**4 * X.max() ** 2), X.max(), f[X.argmax()]))
    compare(check, dict(zip(("kP", "x_max", "f_xmax_fs"), np.transpose(rows), strict=True)))


def efficiency_of(filter, c):
    found = alignments.alignment(*filter)
    return 4 * pi**2 / c**3 * found.alpha / (found.f3**3 * found.Qts)


def best_closed(c):
    return max(efficiency_constant(Q, c) for Q in np.linspace(1.0, 1.3, 3001))


def test_efficiency_for_a_size_and_a_cutoff():
    k = efficiency_of(alignments.butterworth(), C)
    compare(CHECKS["vented.eff_const"], {"k_b4": k, "ratio_to_closed_max": k / best_closed(C)})
    ks = np.linspace(0.4, 0.7, 301)
    most = [efficiency_of(alignments.chebyshev(k), C) for k in ks]
    found = {
        "k_eta_max": max(most),
        "k_at_max": ks[int(np.argmax(most))],
        "k_eta_max_c345": max(most) * (C / 345) ** 3,
        "db_above_closed_max": 10 * np.log10(max(most) / best_closed(C)),
    }
    compare(CHECKS["vented.eff_const_max"], found)


# --- impedance ---


def extremes(alpha, h, Qes, Qms, **losses):
    """The two peaks and the dip between of |Z|/Re, as {fL, fM, fH: f/fs, rL, rM, rH}."""
    one = constants(30.0, Qms, Qes, 0.05, 0.02, 6.0, C, RHO)
    f = np.geomspace(0.3, 3, 400001)
    Z = vented_box(f * 30.0, one, 0.05 / alpha, h * 30.0, C, RHO, **losses).Z / 6.0
    inner = (Z[1:-1] - Z[:-2]) * (Z[2:] - Z[1:-1]) < 0
    at = np.flatnonzero(inner) + 1
    assert len(at) == 3
    return dict(zip(("fL", "fM", "fH"), f[at], strict=True)) | dict(
        zip(("rL", "rM", "rH"), Z[at], strict=True)
    )


def test_two_peaks_and_three_identities():
    check = CHECKS["vented.peaks_lossless"]
    alpha, h = check["inputs"]["alpha"], check["inputs"]["h"]
    e = extremes(alpha, h, Qes=0.4, Qms=1e4)
    fL, fH, fb2 = e["fL"], e["fH"], e["fL"] ** 2 + e["fH"] ** 2 - (1 + alpha)
    found = {
        "fL_fs": fL,
        "fH_fs": fH,
        "fL_fH_over_fs_fb": fL * fH / h,
        "fb_from_peaks_and_fc": sqrt(fb2),
        "alpha_from_peaks": (fH**2 - fb2) * (fb2 - fL**2) / (fH * fL) ** 2,
    }
    compare(check, found)


@pytest.mark.parametrize("check", checks("vented.impedance."), ids=name)
def test_the_leak_can_be_read_from_the_dip(check):
    at = check["inputs"]
    e = extremes(at["alpha"], at["h"], at["Qes"], at["Qms"], QL=at["QL"])
    found = {
        "fL_fs": e["fL"], "fM_fs": e["fM"], "fH_fs": e["fH"], "rL": e["rL"], "rM": e["rM"], "rH": e["rH"],
        "QL_recovered": at["h"] / at["alpha"] * (1 / (at["Qes"] * (e["rM"] - 1)) - 1 / at["Qms"]),
        "fb_est_from_peaks_fs": e["fL"] * e["fH"],
    }  # fmt: skip
    compare(check, found)


# --- full circuit ---


@pytest.mark.parametrize("check", checks("ngspice.vented_"), ids=name)
def test_the_full_response_against_a_circuit_simulator(check):
    at, wanted = check["inputs"], check["expected"]
    sheet = at["driver"]
    coil = {symbol: sheet[symbol] for symbol in ("Le", "Le2", "Re2") if symbol in sheet}
    one = constants(*(sheet[symbol] for symbol in SIX), at["c"], at["rho"], **coil)
    losses = {symbol: at.get(symbol) for symbol in ("QL", "QA", "QP")}
    area = at["ports"] * at["port_area"]
    f = [row["f"] for row in wanted]
    response = vented_box(f, one, at["Vb"], at["fb"], at["c"], at["rho"], at["V"], port_area=area, **losses)
    for key in wanted[0].keys() - {"f"}:
        column = [row[key] for row in wanted]
        assert_allclose(getattr(response, key), column, **tolerance(check, key, column), err_msg=key)


def test_exactly_at_the_tuning_of_a_perfect_box_the_port_alone_sounds():
    """The cone stands still; the air in the port moves Sd u' with Bl V/(Re Sd) of pressure behind it."""
    one = driver()
    response = vented_box([40.0], one, 0.022, 40.0, C, RHO, port_area=0.004)
    assert response.cone < 1e-12
    assert_allclose(response.Z, 5.7, rtol=1e-9)
    # by hand: u = 0, so the box pressure holds the motor's force Bl V/Re; U = w Cab p
    U = 2 * pi * 40.0 * 0.022 / (RHO * C**2) * one.Bl * 2.83 / one.Re / one.Sd
    assert_allclose(response.level, 20 * np.log10(RHO * 40.0 * U / 2e-5), atol=1e-9)
    assert_allclose(response.port_speed, sqrt(2) * U / 0.004, rtol=1e-9)
    assert np.isfinite(response.group_delay).all()


@pytest.mark.parametrize("losses", [{}, {"QA": 20.0, "QP": 50.0}, {"QL": 7.0}])
def test_twenty_four_decibels_an_octave(losses):
    response = vented_box([0.005, 0.01], driver(), 0.022, 40.0, C, RHO, **losses)
    wanted = 24.0824 if losses.get("QP") is None else 18.0618  # friction in the port lets the air slip
    assert_allclose(response.level[1] - response.level[0], wanted, atol=0.02)


def test_losses_that_vanish_are_no_losses():
    f = np.geomspace(5, 500, 50)
    perfect = vented_box(f, driver(), 0.022, 40.0, C, RHO)
    for loss in ("QL", "QA", "QP"):
        for value in (1e12, np.inf):
            almost = vented_box(f, driver(), 0.022, 40.0, C, RHO, **{loss: value})
            for quantity in ("level", "group_delay", "Z"):
                assert_allclose(getattr(almost, quantity), getattr(perfect, quantity), rtol=1e-7)


def test_a_port_tuned_to_nearly_nothing_is_a_closed_box():
    f = np.geomspace(20, 500, 50)
    shut = vented_box(f, driver(Le=0.4e-3), 0.022, 0.1, C, RHO)
    closed = closed_box(f, driver(Le=0.4e-3), 0.022, C, RHO)
    for quantity in ("level", "cone", "Z", "group_delay"):
        assert_allclose(getattr(shut, quantity), getattr(closed, quantity), rtol=2e-4)


def test_air_speed_from_the_level_where_the_port_does_all_the_work():
    check = CHECKS["port.speed_for_level"]
    at = check["inputs"]
    compare(check, {"speed": speed_for_level(at["f"], at["level"], at["area"], at["rho"])})
    response = vented_box([40.0], driver(), 0.022, 40.0, C, RHO, port_area=0.004)
    assert_allclose(response.port_speed, speed_for_level(40.0, response.level[0], 0.004, RHO), rtol=1e-9)


def test_air_speed_needs_an_area_and_halves_with_twice_of_it():
    def speed(**port):
        return vented_box([30.0], driver(), 0.022, 40.0, C, RHO, QL=7.0, **port).port_speed

    assert speed() is None
    assert_allclose(speed(port_area=0.008) * 2, speed(port_area=0.004), rtol=1e-12)


def test_many_boxes_at_once_are_the_boxes_one_by_one():
    f = np.geomspace(10, 500, 20)
    Vb, fb = np.array([[0.01], [0.02], [0.05]]), np.array([[60.0], [40.0], [25.0]])
    at_once = vented_box(
        f, driver(), Vb, fb, C, RHO, QL=7.0, QP=np.array([[30.0], [50.0], [np.inf]]), port_area=0.003
    )
    assert at_once.level.shape == at_once.port_speed.shape == (3, 20)
    for row, QP in enumerate((30.0, 50.0, None)):
        single = vented_box(
            f, driver(), float(Vb[row, 0]), float(fb[row, 0]), C, RHO, QL=7.0, QP=QP, port_area=0.003
        )
        for quantity in ("level", "phase", "group_delay", "cone", "Z", "Z_phase", "port_speed"):
            assert_allclose(getattr(at_once, quantity)[row], getattr(single, quantity), rtol=1e-10)


loss = st.none() | st.floats(3, 100)


@given(
    st.floats(15, 80),
    st.floats(0.15, 0.9),
    st.floats(1, 12),
    st.floats(0.2, 8),
    st.floats(0.5, 2),
    loss,
    loss,
    loss,
)
def test_delay_is_the_slope_of_the_phase(fs, Qes, Qms, alpha, h, QL, QA, QP):
    """A central difference over some millionths of the frequency, against the analytic delay."""
    one = constants(fs, Qms, Qes, 0.05, 0.02, 6.0, C, RHO, 0.6e-3, 1e-3, 9.0)
    box = (one, 0.05 / alpha, fs * h, C, RHO)
    losses = {"QL": QL, "QA": QA, "QP": QP}
    f = np.geomspace(fs / 4, fs * 20, 15)
    step = 1e-5
    here = vented_box(f, *box, **losses)
    turn = vented_box(f * (1 + step), *box, **losses).phase - vented_box(f * (1 - step), *box, **losses).phase
    turn = np.radians((turn + 180) % 360 - 180)
    assert_allclose(here.group_delay, -turn / (2 * pi * f * 2 * step), rtol=1e-4, atol=1e-7 / fs + 1e-9)


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf"), 1e-300, 1e300])
@pytest.mark.parametrize("field", ["Vb", "fb", "c", "rho", "V", "port_area", "distance"])
def test_impossible_values_are_refused_at_their_symbol(field, value):
    with pytest.raises(InputError) as refusal:
        vented_box([50.0], driver(), **({"Vb": 0.02, "fb": 40.0, "c": C, "rho": RHO} | {field: value}))
    assert refusal.value.field == field


# --- passive radiators ---


def test_radiator_response_and_notch():
    """Second route for the circuit: Small's transfer function, as printed in the check."""
    check = CHECKS["pr.tf"]
    at = check["inputs"]
    one, Vb, _ = of_ratios(at["alpha"], 1.0, at["Qts"])
    Sp, fp = 0.03, at["fp_fs"] * one.fs
    Cmp = at["delta"] * Vb / (RHO * C**2) / Sp**2
    Mmp = 1 / ((2 * pi * fp) ** 2 * Cmp)
    Rmp = 2 * pi * fp * Mmp / at["Qmp"]
    f = np.array(at["f_fs"]) * one.fs
    response = passive_radiator_box(f, one, Vb, 1, Sp, Cmp, Mmp, Rmp, C, RHO)
    still = sqrt(2) * 2.83 * one.Bl * one.Cms / one.Re * (1 + at["delta"]) / (1 + at["delta"] + at["alpha"])
    found = {
        "fb_fs": radiator_tuning(Vb, 1, Sp, Cmp, Mmp, C, RHO).fb / one.fs,
        "g_db": response.level - reference_level(one, 2.83, 0.0, C, RHO),
        "x_mag_rel_dc": response.cone / still,
    }
    compare(check, found)


def test_radiator_tuning_there_and_back():
    check = CHECKS["pr.tuning"]
    at = check["inputs"]
    Mmp = radiator_mass(at["fb"], at["Vb"], 1, at["Sp"], at["Cmp"], C, RHO)
    tuned = radiator_tuning(at["Vb"], 1, at["Sp"], at["Cmp"], Mmp, C, RHO)
    compare(check, {"delta": tuned.delta, "fp": tuned.fp, "Mmp": Mmp})
    assert_allclose(tuned.fb, at["fb"], rtol=1e-12)


@pytest.mark.parametrize("check", checks("ngspice.pr_"), ids=name)
def test_radiators_against_a_circuit_simulator(check):
    at, wanted = check["inputs"], check["expected"]
    sheet = at["driver"]
    coil = {symbol: sheet[symbol] for symbol in ("Le", "Le2", "Re2") if symbol in sheet}
    one = constants(*(sheet[symbol] for symbol in SIX), at["c"], at["rho"], **coil)
    radiator = {symbol: at["radiator"][symbol] for symbol in ("count", "Sp", "Cmp", "Mmp")}
    f = [row["f"] for row in wanted]
    response = passive_radiator_box(
        f, one, at["Vb"], **radiator, Rmp=at["radiator"]["Rmp"], c=C, rho=RHO, V=at["V"], QL=at.get("QL")
    )
    for key in wanted[0].keys() - {"f"}:
        column = [row[key] for row in wanted]
        assert_allclose(getattr(response, key), column, **tolerance(check, key, column), err_msg=key)


def test_a_very_soft_radiator_is_a_port():
    one, f, Sp = driver(), np.geomspace(15, 500, 40), 0.01
    mass = radiator_mass(40.0, 0.022, 1, Sp, 9.0, C, RHO)
    soft = passive_radiator_box(f, one, 0.022, 1, Sp, 9.0, mass, 1e-9, C, RHO, QL=7.0)
    vent = vented_box(f, one, 0.022, 40.0, C, RHO, QL=7.0, port_area=Sp)
    assert_allclose(soft.level, vent.level, atol=0.02)
    assert_allclose(soft.radiator * 2 * pi * f, vent.port_speed, rtol=2e-3)


# --- band-pass ---


@pytest.mark.parametrize("check", checks("bandpass4."), ids=name)
def test_symmetric_band_pass(check):
    at = check["inputs"]
    box = symmetric_band_pass(at["fs"], at["Qts"], at["Vas"], at["Qtc"], at["S"])
    one = constants(at["fs"], 1e4, 1 / (1 / at["Qts"] - 1e-4), at["Vas"], 0.03, 6.0, C, RHO)
    f = np.geomspace(box.f0 / 4, box.f0 * 4, 200001)
    level = band_pass(f, one, box.Vr, box.Vf, box.f0, C, RHO).level - reference_level(one, 2.83, 0.0, C, RHO)
    middle = level[len(f) // 2]
    passed = f[level >= middle - 10 * np.log10(2)]
    found = {
        "Vf": box.Vf, "Vr": box.Vr, "f0": box.f0, "beta": box.beta, "midband_gain_db": middle,
        "ripple_db": level.max() - middle, "fL": passed[0], "fH": passed[-1],
    }  # fmt: skip
    compare(check, found)
    assert_allclose(middle, box.gain, atol=1e-3)


def test_only_the_opening_of_a_band_pass_is_heard():
    """The level is that of port and leak alone: without a leak, of the port's air speed."""
    response = band_pass([20.0, 60.0, 200.0], driver(), 0.015, 0.02, 60.0, C, RHO, QP=40.0, port_area=0.005)
    assert_allclose(response.level, [
        20 * np.log10(RHO * f * v * 0.005 / sqrt(2) / 2e-5)
        for f, v in zip((20.0, 60.0, 200.0), response.port_speed, strict=True)
    ], atol=1e-9)  # fmt: skip


def test_a_band_pass_falls_twelve_decibels_an_octave_on_both_sides():
    level = band_pass([0.5, 1.0, 8e3, 16e3], driver(), 0.015, 0.02, 60.0, C, RHO, QL=10.0).level
    assert_allclose(level[1] - level[0], 12.04, atol=0.1)
    lossless = band_pass([0.5, 1.0, 8e3, 16e3], driver(), 0.015, 0.02, 60.0, C, RHO).level
    assert_allclose([lossless[1] - lossless[0], lossless[2] - lossless[3]], 12.0412, atol=0.02)


def test_a_chamber_cannot_lower_the_q():
    with pytest.raises(InputError, match="^Qtc: "):
        symmetric_band_pass(32.0, 0.5, 0.08, 0.4, 0.7)
    with pytest.raises(InputError, match="^S: "):
        symmetric_band_pass(32.0, 0.3, 0.08, 0.6, 0.0)
