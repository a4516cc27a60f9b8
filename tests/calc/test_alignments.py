"""Starting points: the filters, the boxes that make them, and which of them belongs to a driver."""

from math import sqrt
from time import perf_counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from printed import CHECKS, checks, compare, name
from scipy import signal

from calc.errors import InputError
from calc.sound import alignments as al
from calc.sound.vented_box import vented_box_response

FREQUENCIES = np.geomspace(0.05, 50, 20001)


def high_pass(filter, w):
    s = 1j * np.asarray(w)
    return s**4 / (s**4 + filter.a1 * s**3 + filter.a2 * s**2 + filter.a3 * s + 1)


def inverted(poles):
    """The high-pass of a low-pass prototype, by its poles, scaled to unit constant term: scipy's way."""
    a = np.poly(1 / np.asarray(poles)).real
    scale = a[4] ** 0.25
    return a[1] / scale, a[2] / scale**2, a[3] / scale**3


# --- filters ---


def test_filters_against_a_filter_library():
    assert_allclose(al.butterworth(), inverted(signal.buttap(4)[1]), rtol=1e-12)
    assert_allclose(al.bessel(), inverted(signal.besselap(4, norm="phase")[1]), rtol=1e-9)
    for ripple in (0.001, 0.05, 0.5, 1.0):
        k = np.tanh(np.arcsinh(1 / sqrt(10 ** (ripple / 10) - 1)) / 4)
        assert_allclose(al.chebyshev(k), inverted(signal.cheb1ap(4, ripple)[1]), rtol=1e-9)
        assert_allclose(al.ripple_of_chebyshev(k), ripple, rtol=1e-9)


def test_ripple_by_the_drawing_in_of_poles():
    check = CHECKS["vented.c4_ripple"]
    compare(check, {"ripple_db": [al.ripple_of_chebyshev(k) for k in check["inputs"]["k"]]})


@given(st.floats(0.3, 0.95))
def test_the_ripple_is_where_the_response_rises(k):
    level = 20 * np.log10(abs(high_pass(al.chebyshev(k), FREQUENCIES)))
    assert_allclose(level.max(), al.ripple_of_chebyshev(k), rtol=1e-3, atol=1e-9)
    assert_allclose(al.peak(al.chebyshev(k)), al.ripple_of_chebyshev(k), rtol=1e-6, atol=1e-9)


@given(st.floats(0, 20))
def test_quasi_third_order_has_only_its_two_terms(B):
    """|G|² = w⁸/(w⁸ + B² w² + 1), as it is defined."""
    w = np.geomspace(0.2, 5, 30)
    assert_allclose(
        abs(high_pass(al.quasi_third_order(B), w)) ** 2, w**8 / (w**8 + B**2 * w**2 + 1), rtol=1e-8
    )


def test_both_families_begin_at_the_flattest():
    """Exact limits: B = 0 and k = 1 are Butterworth's filter."""
    a = sqrt(4 + sqrt(8))
    assert_allclose(al.butterworth(), (a, 2 + sqrt(2), a), rtol=1e-15)
    assert_allclose(al.quasi_third_order(0.0), al.butterworth(), rtol=1e-12)
    assert_allclose(al.chebyshev(1.0), al.butterworth(), rtol=1e-12)
    assert al.ripple_of_chebyshev(1.0) == 0
    assert_allclose(al.half_power(al.butterworth()), 1, rtol=1e-9)


@pytest.mark.parametrize(
    ("filter", "field"),
    [(lambda: al.chebyshev(0.0), "k"), (lambda: al.chebyshev(1.1), "k"),
     (lambda: al.chebyshev(float("nan")), "k"),
     (lambda: al.quasi_third_order(-1.0), "B"), (lambda: al.quasi_third_order(float("inf")), "B")],
)  # fmt: skip
def test_parameters_outside_their_family_are_refused(filter, field):
    with pytest.raises(InputError, match=f"^{field}: "):
        filter()


# --- filter and box ---


def filter_named(at):
    value = at["parameter"].split("=")[-1].split("(")[0].strip()
    if at["kind"] == "QB3":
        return al.quasi_third_order(float(value))
    if at["parameter"].startswith("k"):
        return al.chebyshev(float(value))
    if at["parameter"].startswith("ripple"):
        ripple = float(value.removeprefix("ripple").removesuffix("dB"))
        return al.chebyshev(np.tanh(np.arcsinh(1 / sqrt(10 ** (ripple / 10) - 1)) / 4))
    return {"B4": al.butterworth, "BL4": al.bessel}[at["kind"]]()


@pytest.mark.parametrize("check", checks("vented.align."), ids=name)
def test_alignment(check):
    at = check["inputs"]
    filter = filter_named(at)
    assert_allclose(filter, (at["a1"], at["a2"], at["a3"]), rtol=2e-9)
    found = al.alignment(*filter, at["QL"])
    compare(check, {"h": found.h, "alpha": found.alpha, "Qts": found.Qts, "f3_fs": found.f3})


@pytest.mark.parametrize("check", checks("vented.thiele_row_"), ids=name)
def test_thiele_table(check):
    """Lossless, at the printed Qt: the family member is looked for, not looked up."""
    at = check["inputs"]
    fs, Vas = 40.0, 0.06
    start = al.vented_starting_point(fs, at["Qts"], Vas, QL=None)[0]
    assert start.family == at["kind"] or at["kind"] == "B4"
    compare(check, {"f3_fs": start.f3 / fs, "h": start.h, "alpha": start.alpha})


def test_the_flattest_boxes_at_ql_7():
    flat, late = (al.alignment(*filter, 7.0) for filter in (al.butterworth(), al.bessel()))
    f = np.linspace(0.5, 1, 500001)
    G = abs(vented_box_response(f, 1.0, flat.Qts, flat.alpha, flat.h, 7.0)[0])
    f10 = f[np.searchsorted(G, 10**-0.5)]
    compare(CHECKS["vented.table_seen_ql7"], {
        "B4_Qts": flat.Qts, "b4_alpha": flat.alpha, "b4_f3_fs": flat.f3, "b4_h": flat.h, "b4_f10_fs": f10,
        "BL4_Qts": late.Qts, "bl4_alpha": late.alpha, "bl4_f3_fs": late.f3, "bl4_h": late.h,
    })  # fmt: skip


FILTERS = st.floats(0, 15).map(al.quasi_third_order) | st.floats(0.3, 1).map(al.chebyshev)


@given(FILTERS, st.sampled_from([None, 3.0, 5.0, 7.0, 10.0, 100.0]))
def test_an_alignment_makes_its_filter_again(filter, QL):
    """Second route: the box's own transfer function at the found ratios is the filter, shifted by sqrt(h)."""
    try:
        found = al.alignment(*filter, QL)
    except InputError as refusal:
        assert refusal.field == "QL" and QL is not None
        return
    assert_allclose(al.filter_of(found.Qts, found.alpha, found.h, QL), filter, rtol=1e-9)
    w = np.geomspace(0.3, 5, 20)
    G, _ = vented_box_response(w * sqrt(found.h), 1.0, found.Qts, found.alpha, found.h, QL)
    assert_allclose(G, high_pass(filter, w), rtol=1e-8)
    G, _ = vented_box_response([found.f3, found.f3 * 1.0001], 1.0, found.Qts, found.alpha, found.h, QL)
    assert_allclose(abs(G[0]) ** 2, 0.5, rtol=1e-8)
    assert abs(G[1]) > abs(G[0])


def test_a_leak_that_vanishes_is_no_leak():
    for filter in (al.butterworth(), al.bessel(), al.chebyshev(0.5), al.quasi_third_order(4.0)):
        assert_allclose(al.alignment(*filter, 1e12), al.alignment(*filter), rtol=1e-9)


def test_a_sieve_cannot_be_tuned():
    with pytest.raises(InputError, match="^QL: "):
        al.alignment(*al.chebyshev(0.3), 1.0)
    with pytest.raises(InputError, match="^QL: "):
        al.alignment(*al.butterworth(), -7.0)


# --- closed starting points ---


def test_closed_starts_have_their_q():
    for start in al.closed_starting_points(36.0, 0.36, 0.032):
        ratio = sqrt(1 + 0.032 / start.Vb)
        assert_allclose([0.36 * ratio, 36.0 * ratio], [start.Qtc, start.fc], rtol=1e-12)
        assert start.refused is None and start.reason
    assert [start.Qtc for start in al.closed_starting_points(36.0, 0.36, 0.032)] == [0.5, 0.577, 0.707, 0.9]
    flat = al.closed_starting_points(36.0, 0.36, 0.032)[2]
    assert_allclose(flat.f3, flat.fc, rtol=1e-3)
    assert flat.suits


def test_closed_starts_below_the_drivers_own_q_are_refused_with_the_reason():
    starts = al.closed_starting_points(36.0, 0.577, 0.032)
    assert [start.refused is None for start in starts] == [False, False, True, True]
    for start in starts[:2]:
        assert (start.Vb, start.fc, start.f3, start.peak, start.suits) == (None, None, None, None, False)
        assert "Qts" in start.refused


@pytest.mark.parametrize(
    ("Qts", "Qes", "row", "word"),
    [(0.49, None, 0, "more than twice"), (0.2, None, 3, "less than a tenth"), (0.36, 0.2, 2, "fs/Qes")],
)
def test_closed_boxes_that_do_not_suit_say_why(Qts, Qes, row, word):
    start = al.closed_starting_points(36.0, Qts, 0.032, Qes)[row]
    assert not start.suits
    assert word in start.reason


# --- vented starting points ---


@given(st.floats(0.12, 0.9), st.sampled_from([None, 5.0, 7.0, 10.0, 15.0, 50.0]), st.floats(15, 120))
def test_the_member_for_a_driver_has_exactly_its_q(Qts, QL, fs):
    """And the box that it names, at this Qts and QL, has the half-power point and the peak that it names."""
    start = al.vented_starting_point(fs, Qts, 0.05, QL)[0]
    assert start.family in ("QB3", "C4")
    assert start.off == 0
    assert_allclose(start.Qts, Qts, rtol=1e-8)
    assert_allclose([0.05 / start.Vb, start.fb / fs], [start.alpha, start.h], rtol=1e-12)
    G, _ = vented_box_response([start.f3], fs, Qts, start.alpha, start.h, QL)
    assert_allclose(abs(G) ** 2, 0.5, rtol=1e-5)
    w = np.geomspace(fs / 5, fs * 30, 4000)
    G, _ = vented_box_response(w, fs, Qts, start.alpha, start.h, QL)
    assert_allclose(20 * np.log10(abs(G).max()), start.peak, atol=2e-4, rtol=1e-3)
    if start.family == "C4":
        assert_allclose(start.peak, al.ripple_of_chebyshev(start.parameter), rtol=1e-4, atol=1e-8)


@given(st.floats(0.15, 0.7), st.sampled_from([None, 7.0]))
def test_near_misses_show_what_this_driver_makes_of_them(Qts, QL):
    near = al.vented_starting_point(30.0, Qts, 0.05, QL)[1:]
    assert [start.name for start in near] == ["flattest level", "flattest delay"]
    for start, filter in zip(near, (al.butterworth(), al.bessel()), strict=True):
        assert_allclose(start.Qts, al.alignment(*filter, QL).Qts, rtol=1e-12)
        assert_allclose(start.off, Qts / start.Qts - 1, atol=1e-8)
        assert start.suits <= (abs(start.off) <= 0.1)
        G, _ = vented_box_response([start.f3], 30.0, Qts, start.alpha, start.h, QL)
        assert_allclose(abs(G) ** 2, 0.5, rtol=1e-6)


def test_families_meet_at_the_flattest():
    Qts = al.alignment(*al.butterworth(), 7.0).Qts
    below, at, above = (
        al.vented_starting_point(30.0, Q, 0.05, 7.0)[0] for Q in (Qts - 1e-6, Qts, Qts + 1e-6)
    )
    assert (below.family, above.family) == ("QB3", "C4")
    for start in (below, at, above):
        assert_allclose([start.alpha, start.h], [1.0613, 1.0], rtol=2e-3)


@pytest.mark.parametrize(
    ("Qts", "QL", "Qes", "suits", "word"),
    [
        (0.38, 7.0, 0.42, True, "exactly"), (0.38, 7.0, 0.7, False, "fs/Qes"),
        (0.12, 7.0, 0.13, False, "strong"), (0.6, 4.0, 0.4, False, "five times"),
        (0.85, 7.0, 0.4, False, "1 dB"),
    ],
)  # fmt: skip
def test_vented_boxes_that_do_not_suit_say_why(Qts, QL, Qes, suits, word):
    start = al.vented_starting_point(30.0, Qts, 0.05, QL, Qes)[0]
    assert start.suits == suits
    assert word in start.reason


def test_a_q_beyond_every_family_leaves_only_the_near_misses():
    starts = al.vented_starting_point(30.0, 3.0, 0.05, 7.0)
    assert [start.family for start in starts] == ["single", "single"]
    assert not any(start.suits for start in starts)


@pytest.mark.parametrize("value", [0.0, -0.4, float("nan"), float("inf"), 1e300])
@pytest.mark.parametrize("field", ["fs", "Qts", "Vas"])
def test_impossible_drivers_are_refused(field, value):
    driver = {"fs": 30.0, "Qts": 0.4, "Vas": 0.05} | {field: value}
    for starts in (al.closed_starting_points, al.vented_starting_point):
        with pytest.raises(InputError) as refusal:
            starts(**driver)
        assert refusal.value.field == field


def test_they_come_at_once():
    """Under 5 ms on a quiet core; the bound here leaves room for a busy one."""
    best = 1.0
    for Qts in (0.2, 0.3, 0.5, 0.8) * 3:
        start = perf_counter()
        al.vented_starting_point(30.0, Qts, 0.05, 7.0, 0.4)
        best = min(best, perf_counter() - start)
    assert best < 0.02


# --- band-pass ---


@pytest.mark.parametrize("check", checks("bandpass4."), ids=name)
def test_edges_of_a_band_pass(check):
    low, high = al.band_edges(check["expected"]["beta"], check["inputs"]["S"])
    f0 = check["expected"]["f0"]
    assert_allclose([low * f0, high * f0], [check["expected"]["fL"], check["expected"]["fH"]], rtol=1e-4)


@pytest.mark.parametrize(("fs", "Qts", "Vas"), [(32.0, 0.35, 0.08), (24.0, 0.5, 0.2)])
def test_band_pass_starts_hold_what_they_promise(fs, Qts, Vas):
    for start in al.band_pass_starting_points(fs, Qts, Vas):
        # G = 1/(p² + p/Qtc + beta), p = s/w0 + w0/s (derived in the reference of `symmetric_band_pass`)
        beta = 1 / (2 * start.S * start.Qtc) ** 2
        x = np.array([start.low, start.f0, start.high]) / start.f0
        p = 1j * (x - 1 / x)
        level = -20 * np.log10(abs(p**2 + p / start.Qtc + beta))
        assert_allclose(level[[0, 2]], level[1] - 10 * np.log10(2), atol=1e-9)
        assert_allclose(level[1], start.gain, atol=1e-9)
        assert_allclose(start.f0, fs * sqrt(1 + Vas / start.Vr), rtol=1e-12)


def test_a_driver_whose_Q_is_high_already_gets_no_band_pass():
    low, high = al.band_pass_starting_points(40.0, 0.8, 0.05)
    assert low.refused and low.Vr is None
    assert high.refused is None and high.Vr > 0
