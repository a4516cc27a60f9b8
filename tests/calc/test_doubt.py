"""How sure the numbers of a box are: bands, effects, chances."""

from dataclasses import fields, replace
from math import erf, exp, log, pi, sqrt

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.explore import doubt as d
from calc.explore.spread import BUILT, USUAL, WITHIN, driver_sources, factors, samples
from calc.sound import limits
from calc.sound.box_circuit import (
    BandPassCircuit,
    ClosedCircuit,
    DoubleBandPassCircuit,
    RadiatorCircuit,
    VentedCircuit,
)  # fmt: skip
from calc.sound.closed_box import closed_box_tuning, cutoff_ratio
from calc.sound.driver import constants, without_inductance

C, RHO = 343.2, 1.204
DRIVER = constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, Le=0.00045)
COMMON = dict(driver=DRIVER, c=C, rho=RHO)
LOSSLESS = ClosedCircuit(**COMMON, Vb=0.018)
BOXES = {
    "closed": ClosedCircuit(**COMMON, Vb=0.018, QL=20.0, QA=60.0, Rs=0.3),
    "vented": VentedCircuit(**COMMON, Vb=0.022, fb=40.0, QL=10.0, QA=60.0, QP=90.0, port_area=0.0038),
    "radiator": RadiatorCircuit(
        **COMMON, Vb=0.016, count=1, Sp=0.0133, Cmp=0.0015, Mmp=0.0320867, Rmp=0.578, QL=15.0
    ),
    "band_pass": BandPassCircuit(**COMMON, Vr=0.01, Vf=0.012, fb=55.0, QL=15.0, port_area=0.004),
    "double": DoubleBandPassCircuit(
        **COMMON, Vr=0.01, Vf=0.012, fb=75.0, fr=40.0, QL=15.0, port_area=0.004, rear_area=0.003
    ),
}
SURE = dict.fromkeys(USUAL, 0.0), dict.fromkeys(BUILT, 0.0)
XMAX = 0.0055
each_box = pytest.mark.parametrize("box", BOXES.values(), ids=BOXES)


def only(**spreads):
    """A driver of which nothing is in doubt but these."""
    return SURE[0] | spreads


def effect(matters, source, outcome):
    return next(m for m in matters if m.source.name == source).effects[outcome]


# --- variants ---


@each_box
def test_variants_are_boxes_varied_one_by_one(box):
    sources = d.sources_of(box, {}, {})
    by = factors(sources, samples(40, len(sources)))
    many = d.varied(box, by).response(d.GRID)
    for k in (0, 17, 39):
        one = {value: float(by[value][k, 0]) for value in by}
        coil = constants(
            *(getattr(DRIVER, value) * one[value] for value in ("fs", "Qms", "Qes", "Vas", "Sd", "Re")),
            C, RHO, Le=DRIVER.Le * one["Le"],
        )  # fmt: skip
        own = {each.name for each in fields(box)} & one.keys()
        single = replace(box, driver=coil, **{name: getattr(box, name) * one[name] for name in own})
        assert_allclose(many.level[k], single.response(d.GRID).level, atol=1e-9)
        assert_allclose(many.cone[k], single.response(d.GRID).cone, rtol=1e-9)


def test_the_whole_coil_varies_with_its_inductance():
    coil = constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, Le=3e-4, Le2=8e-4, Re2=5.0, K=0.02, n=0.7)
    twice = d.varied(replace(LOSSLESS, driver=coil), {"Le": np.array([[2.0]])}).driver
    assert (twice.Le, twice.Le2, twice.Re2, twice.K, twice.n) == (6e-4, 16e-4, 5.0, 0.04, 0.7)


@each_box
def test_outcomes_are_those_of_the_plain_path(box):
    """Second route: mid band, cut-off and peaks of single variants by `limits` and by fine frequencies."""
    sources = d.sources_of(box, {}, {})
    by = factors(sources, samples(40, len(sources)))
    many = d.varied(box, by)
    found = d._outcomes(many, many.response(d.GRID), by, 47.3, 3.0, XMAX)
    for k in (0, 17, 39):

        def row(values, k=k):
            return {name: float(v[k, 0]) if isinstance(v, np.ndarray) else v for name, v in values.items()}

        single = replace(box, **row({each.name: getattr(many, each.name) for each in fields(box)}))
        single = replace(single, driver=replace(DRIVER, **row(vars(many.driver))))
        plain = replace(single, driver=without_inductance(single.driver))
        if hasattr(box, "Vf"):
            reference = float(plain.response([plain.fb]).level[0])
        else:
            reference = limits.reference_level(single.driver, single.V, single.Rs, C, RHO)
        assert found.f3[k] == pytest.approx(limits.cutoffs(plain.response, reference)[3.0], abs=0.01)
        fine = np.geomspace(15.2, 1500, 6000)
        response = single.response(fine)
        peak = max(0, np.max(plain.response(fine).level) - reference)
        assert found.peak[k] == pytest.approx(peak, abs=0.01)
        assert found.level[k] == pytest.approx(single.response([47.3]).level[0] + 20 * np.log10(3), abs=0.01)
        assert found.travel[k] == pytest.approx(3 * np.max(response.cone), rel=0.01)
        assert found.share[k] == pytest.approx(found.travel[k] / (XMAX * by["Xmax"][k, 0]))
        for name in ("port_speed", "radiator"):
            curve = getattr(response, name)
            assert (curve is None) == (getattr(found, name) is None)
            if curve is not None:
                assert getattr(found, name)[k] == pytest.approx(3 * np.max(curve), rel=0.01)
    assert (found.Qtc is None) == (box is not BOXES["closed"])


def test_without_a_travel_limit_there_is_no_share_of_it():
    assert d.doubt(LOSSLESS, {}, {}, 40.0, n=60).outcomes.share is None


# --- bands ---


@each_box
def test_where_nothing_is_in_doubt_the_band_is_the_curve(box):
    told = d.doubt(box, *SURE, 40.0, n=60)
    for edge in told.band:
        assert_allclose(edge, box.response(d.GRID).level, atol=1e-9)
    assert np.ptp(told.outcomes.f3) < 1e-9
    assert d.what_matters(told) == ()
    assert d.left((), "f3") is None


def test_the_band_in_mid_band_is_that_of_what_the_level_is_made_of():
    """Derived: far above resonance the level follows Sd Bl/(Re Mms), a product of four independent causes:
    of 0.02, 0.05, 0.05 and 0.04. So 19 of 20 lie within 20/ln 10 times the root of the sum of their squares,
    0.727 dB."""
    box = replace(LOSSLESS, driver=without_inductance(DRIVER))
    told = d.doubt(box, {}, {}, 40.0, n=4000)
    reach = 20 / log(10) * sqrt(0.02**2 + 0.05**2 + 0.05**2 + 0.04**2)
    assert told.band.high[-1] - told.band.median[-1] == pytest.approx(reach, rel=0.03)
    assert told.band.median[-1] - told.band.low[-1] == pytest.approx(reach, rel=0.03)
    assert told.band.median[-1] == pytest.approx(box.response(d.GRID).level[-1], abs=0.02)


def test_the_spread_of_a_cut_off_is_that_of_drivers_built_from_their_parts():
    """Second route for the whole chain, Monte Carlo: parts drawn at random, a lossless closed box, f3 in
    closed form."""
    spreads = {source.name: source.spread for source in driver_sources({})}
    rng = np.random.default_rng(11)
    part = {name: np.exp(rng.normal(0, spread / WITHIN, 20_000)) for name, spread in spreads.items()}
    Mms, Cms, Bl = DRIVER.Mms * part["mass"], DRIVER.Cms * part["suspension"], DRIVER.Bl * part["motor"]
    Rms, Re, Sd = DRIVER.Rms * part["losses"], DRIVER.Re * part["coil"], DRIVER.Sd * part["cone"]
    Vb = 0.018 * np.exp(rng.normal(0, 0.02 / WITHIN, 20_000))
    k = 1 / Cms + RHO * C**2 * Sd**2 / Vb
    wc = np.sqrt(k / Mms)
    Qtc = wc * Mms / (Rms + Bl**2 / Re)
    f3 = wc / (2 * pi) * np.array([cutoff_ratio(float(Q), 3.0) for Q in Qtc])
    found = d.doubt(LOSSLESS, {}, {}, 40.0, n=2000).outcomes
    for ours, theirs in ((found.f3, f3), (found.Qtc, Qtc), (found.fc, wc / (2 * pi))):
        low, middle, high = np.quantile(theirs, [0.025, 0.5, 0.975])
        told = d.range_of(ours)
        assert told.median == pytest.approx(middle, rel=0.005)
        assert told.low == pytest.approx(low, abs=0.06 * (middle - low))
        assert told.high == pytest.approx(high, abs=0.06 * (high - middle))


def test_few_variants_tell_what_many_do():
    few, many = (d.doubt(BOXES["vented"], {}, {}, 40.0, n=n) for n in (d.VARIANTS, 4000))
    heard = (few.f > 20) & (few.f < 300)
    widths = [(told.band.high - told.band.low)[heard] for told in (few, many)]
    assert_allclose(*widths, rtol=0.12)


def test_the_same_question_has_the_same_answer():
    first, second = (d.doubt(BOXES["vented"], {}, {}, 40.0, n=50) for _ in range(2))
    assert np.array_equal(first.band.low, second.band.low)


# --- what matters ---


def test_effects_have_their_exact_small_limits():
    """Derived for fc = sqrt((1/Cms + rho c² Sd²/Vb)/Mms)/(2 pi), alpha = Vas/Vb: d ln fc is -1/2 of
    d ln Mms, -1/(2 (1 + alpha)) of d ln Cms, alpha/(1 + alpha) of d ln Sd, -alpha/(2 (1 + alpha)) of d ln Vb.
    For Qtc = Qts sqrt(1 + alpha): -2 Qts/Qes of d ln Bl and -Qts/Qms of d ln Rms."""
    small = 1e-3
    stated = {value: spread * small for value, spread in USUAL.items()}
    told = d.doubt(LOSSLESS, stated, {"Vb": 0.02 * small}, 40.0)
    matters = d.what_matters(told)
    alpha = DRIVER.Vas / 0.018
    fc, Qtc = closed_box_tuning(DRIVER.fs, DRIVER.Qts, DRIVER.Vas, 0.018)
    spread = {source.name: source.spread for source in told.sources}
    slopes = {"mass": -1 / 2, "suspension": -1 / (2 * (1 + alpha)), "cone": alpha / (1 + alpha),
              "Vb": -alpha / (2 * (1 + alpha)), "motor": 0, "coil": 0}  # fmt: skip
    for source, slope in slopes.items():
        assert effect(matters, source, "fc") == pytest.approx(fc * slope * spread[source], rel=1e-5, abs=1e-9)
    for source, slope in {"motor": -2 * DRIVER.Qts / DRIVER.Qes, "losses": -DRIVER.Qts / DRIVER.Qms}.items():
        assert effect(matters, source, "Qtc") == pytest.approx(Qtc * slope * spread[source], rel=1e-5)
    assert effect(matters, "Xmax", "fc") == 0
    for outcome in ("fc", "Qtc", "level", "travel"):
        assert d.left(matters, outcome) == pytest.approx(0, abs=1e-3), outcome  # small is straight


def test_the_effect_on_the_cut_off_is_that_of_its_closed_form():
    """One spread up and one down, through fc cutoff_ratio(Qtc)."""
    told = d.doubt(LOSSLESS, {}, {}, 40.0)
    matters = d.what_matters(told)

    def f3(Bl):
        Qes = DRIVER.Qes / Bl**2
        fc, Qtc = closed_box_tuning(DRIVER.fs, DRIVER.Qms * Qes / (DRIVER.Qms + Qes), DRIVER.Vas, 0.018)
        return fc * cutoff_ratio(Qtc, 3.0)

    wanted = (f3(exp(0.05)) - f3(exp(-0.05))) / 2
    assert effect(matters, "motor", "f3") == pytest.approx(wanted, abs=0.002)
    assert matters[0].source.name == "motor"
    ordered = [m.shares["f3"] for m in matters]
    assert ordered == sorted(ordered, reverse=True)


def test_of_one_doubt_alone_all_comes_from_it():
    told = d.doubt(LOSSLESS, only(Re=0.02), SURE[1], 40.0)
    (matter,) = d.what_matters(told)
    assert matter.source.name in ("coil", "own Re")
    assert matter.shares["level"] == pytest.approx(1, abs=0.01)


@each_box
def test_shares_of_what_hardly_bends_add_to_nearly_one(box):
    told = d.doubt(box, {}, {}, 40.0, 3.0, XMAX)
    matters = d.what_matters(told)
    assert abs(d.left(matters, "level")) < 0.05
    assert abs(d.left(matters, "travel")) < 0.05
    assert all(0 <= share <= 1.05 for m in matters for share in m.shares.values())


# --- chances ---


@pytest.mark.parametrize("met, n", [(0, 400), (3, 50), (200, 400), (399, 400), (400, 400)])
def test_the_bounds_of_a_chance(met, n):
    """Second route: the same interval by a general library."""
    from scipy.stats import binomtest

    found = d.chance(np.arange(n) < met)
    wanted = binomtest(met, n).proportion_ci(0.95, method="wilson")
    assert_allclose(found, (met / n, *wanted), atol=1e-9)


def test_a_chance_is_that_of_the_normal_distribution():
    """Derived: ln fc is normal where one cause alone moves it, here the volume with slope
    -alpha/(2 (1 + alpha)); the probability follows by the error function."""
    told = d.doubt(LOSSLESS, SURE[0], {"Vb": 0.02}, 40.0)
    alpha = DRIVER.Vas / 0.018
    fc, _ = closed_box_tuning(DRIVER.fs, DRIVER.Qts, DRIVER.Vas, 0.018)
    sigma = 0.02 / WITHIN * alpha / (2 * (1 + alpha))
    for z in (-1.5, 0.0, 0.7):
        found = d.chance(told.outcomes.fc <= fc * exp(z * sigma))
        assert found.share == pytest.approx((1 + erf(z / sqrt(2))) / 2, abs=0.01)


def test_travel_is_held_against_the_own_limit_of_each_sample():
    """With only Xmax in doubt, half of all samples meet it at a drive that just fits it."""
    box = BOXES["closed"]
    just = XMAX / d.doubt(box, *SURE, 40.0, 1.0, XMAX, n=20).outcomes.travel[0]
    told = d.doubt(box, only(Xmax=0.1), SURE[1], 40.0, just, XMAX)
    assert d.chance(told.outcomes.share <= 1).share == pytest.approx(0.5, abs=0.01)
    assert np.ptp(told.outcomes.travel) < 1e-12


# --- refusals and the far end ---


def test_the_drive_scales_what_it_drives():
    one, three = (d.doubt(BOXES["vented"], {}, {}, 40.0, drive, n=50).outcomes for drive in (1.0, 3.0))
    assert_allclose(three.travel, 3 * one.travel)
    assert_allclose(three.port_speed, 3 * one.port_speed)
    assert_allclose(three.level, one.level + 20 * np.log10(3))
    assert_allclose(three.f3, one.f3)


def test_a_cut_off_out_of_sight_is_infinite_and_meets_no_wish():
    """A motor so strong that half power lies about fc/Qtc, beyond 1500 Hz."""
    strong = constants(36.0, 4.5, 0.015, 0.032, 0.0133, 5.7, C, RHO)
    box = replace(LOSSLESS, driver=strong)
    told = d.doubt(box, {}, {}, 40.0)
    assert d.range_of(told.outcomes.f3).median == np.inf
    assert d.chance(told.outcomes.f3 <= 50).share == 0
    matters = d.what_matters(told)
    assert "f3" not in matters[0].shares and d.left(matters, "f3") is None
    ordered = [m.shares["level"] for m in matters]
    assert ordered == sorted(ordered, reverse=True)


@pytest.mark.parametrize("at", [2.9, 1600.0, float("nan")])
def test_a_note_out_of_sight_is_refused(at):
    with pytest.raises(InputError) as refusal:
        d.doubt(LOSSLESS, {}, {}, at)
    assert refusal.value.field == "at"


def test_bad_spreads_and_limits_are_refused_at_their_field():
    for field, call in {
        "fs": lambda: d.doubt(LOSSLESS, {"fs": 0.7}, {}, 40.0),
        "QL": lambda: d.doubt(BOXES["vented"], {}, {"QL": -0.1}, 40.0),
        "Xmax": lambda: d.doubt(LOSSLESS, {}, {}, 40.0, 1.0, -0.001, n=50),
    }.items():
        with pytest.raises(InputError) as refusal:
            call()
        assert refusal.value.field == field


def test_of_two_vented_chambers_the_faster_air_counts():
    box = replace(BOXES["double"], rear_area=0.001)
    told = d.doubt(box, only(), {"Vb": 0.0, "fb": 0.0, "QL": 0.0}, 40.0)
    judged = box.response(np.geomspace(15, 1500, 4000))
    front, rear = judged.port_speed.max(), judged.rear_port_speed.max()
    assert rear > 1.2 * front, "else nothing is tried here"
    assert_allclose(told.outcomes.port_speed, rear, rtol=0.01)
