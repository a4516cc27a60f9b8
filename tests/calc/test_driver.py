"""The Thiele/Small relations, forward, backward and against a sheet that contradicts itself."""

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from printed import CHECKS, checks, compare, name

from calc.errors import InputError
from calc.sound import driver as d

AIR = {"c": 343.2, "rho": 1.204}
MECHANICAL = {"Re": 5.7, "Sd": 0.0133, "Mms": 0.015, "Cms": 1.2e-3, "Rms": 0.95, "Bl": 7.2}
SIX = ("fs", "Qms", "Qes", "Vas", "Sd", "Re")


def test_from_mechanical_constants_to_the_sheet():
    check = CHECKS["ts.forward"]
    given = check["inputs"]
    v = d.completed(given, **AIR).values
    efficiency = d.eta0(v["fs"], v["Vas"], v["Qes"], AIR["c"])
    found = {symbol: v[symbol] for symbol in ("fs", "Qms", "Qes", "Qts", "Vas")} | {
        "eta0": efficiency,
        "level_1w": d.level_1w(efficiency, **AIR),
        "level_2v83": d.level_2v83(efficiency, v["Re"], **AIR),
        "Vd": d.Vd(v["Sd"], given["Xmax"]),
        "EBP": d.EBP(v["fs"], v["Qes"]),
        "Res": d.Res(v["Bl"], v["Rms"]),
        "Cmes": d.Cmes(v["Mms"], v["Bl"]),
        "Lces": d.Lces(v["Cms"], v["Bl"]),
    }
    compare(check, found)


def test_from_the_sheet_to_mechanical_constants():
    check = CHECKS["ts.inverse"]
    whole = d.constants(**check["inputs"])
    compare(check, {symbol: getattr(whole, symbol) for symbol in check["expected"]})


def test_efficiency_constant():
    check = CHECKS["ts.eta0_constant"]
    compare(check, {"k_per_m3": d.eta0(fs=10.0, Vas=1.0, Qes=1.0, c=check["inputs"]["c"]) / 10.0**3})


def test_level_of_a_perfect_driver():
    compare(CHECKS["ts.spl_at_1w_const"], {"level": d.level_1w(1.0, **AIR)})


def test_resistance_before_the_driver():
    check = CHECKS["ts.source_resistance"]
    found = d.with_source(**check["inputs"])
    compare(check, {"Qes_eff": found.Qes, "Qts_eff": found.Qts, "loss_db": found.loss})
    assert d.with_source(Qms=4.0, Qes=0.4, Re=6.0, Rs=0.0) == (0.4, 4.0 * 0.4 / 4.4, 0.0)


@pytest.mark.parametrize("check", checks("thermal.compression"), ids=name)
def test_a_hot_coil(check):
    hot = d.hot_coil(check["inputs"]["rise"])
    compare(check, {
        "r_ratio": hot.resistance, "loss_db": hot.loss, "qes_ratio": hot.Qes, "power_drawn_ratio": hot.power,
    })  # fmt: skip
    with pytest.raises(InputError, match="^rise: "):
        d.hot_coil(-1.0)


def test_a_suspension_keeps_its_compliance_in_other_air():
    thin = {"c": 345.0, "rho": 0.95}
    sea = d.constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, **AIR)
    Vas = d.Vas_in(0.032, AIR["c"], AIR["rho"], **thin)
    assert_allclose(Vas, 1.27563272e-3 * 0.95 * 345.0**2 * 0.0133**2, rtol=1e-8)
    hill = d.constants(36.0, 4.5, 0.4, Vas, 0.0133, 5.7, **thin)
    assert_allclose([hill.Cms, hill.Mms, hill.Bl], [sea.Cms, sea.Mms, sea.Bl], rtol=1e-12)


# --- completing a sheet ---

ROUTES = [
    SIX,
    ("fs", "Qms", "Qts", "Vas", "Sd", "Re"),
    ("Qts", "Qes", "fs", "Cms", "Sd", "Re"),
    ("Re", "Sd", "Mms", "Cms", "Rms", "Bl"),
    ("fs", "Mms", "Rms", "Bl", "Re", "Sd"),
    ("fs", "Mms", "Qms", "Bl", "Re", "Vas"),
    ("Qms", "Rms", "Cms", "Bl", "Re", "Sd"),  # the resonance from loss and compliance
    ("Qes", "Bl", "Re", "Cms", "Qms", "Vas"),  # the resonance from motor and compliance
    ("Qes", "Rms", "Re", "Bl", "Mms", "Vas"),
    ("fs", "Vas", "Cms", "Qms", "Qes", "Bl"),  # the area and the coil resistance from the rest
    ("fs", "Sd", "Vas", "Rms", "Bl", "Re"),
]


def whole_sheet():
    """fs etc. of `MECHANICAL` by lines of this file, not of calc."""
    Re, Sd, Mms, Cms, Rms, Bl = MECHANICAL.values()
    ws = (Mms * Cms) ** -0.5
    Qms, Qes = ws * Mms / Rms, ws * Mms * Re / Bl**2
    Vas = 1.204 * 343.2**2 * Sd**2 * Cms
    return MECHANICAL | {
        "fs": ws / (2 * pi), "Qms": Qms, "Qes": Qes, "Qts": Qms * Qes / (Qms + Qes), "Vas": Vas,
    }  # fmt: skip


@pytest.mark.parametrize("given", ROUTES, ids="-".join)
def test_any_six_that_suffice_give_the_rest(given):
    sheet = whole_sheet()
    result = d.completed({symbol: sheet[symbol] for symbol in given}, **AIR)
    assert result.missing == ()
    assert result.disagreements == ()
    assert result.values.keys() == sheet.keys()
    assert result.derived.keys() == sheet.keys() - set(given)
    for symbol, value in sheet.items():
        assert_allclose(result.values[symbol], value, rtol=1e-9, err_msg=symbol)
    for sources in result.derived.values():
        assert sources and set(sources) <= set(given)


def test_where_a_value_came_from_is_told_by_what_the_sheet_says():
    derived = d.completed({"fs": 36.0, "Vas": 0.032, "Sd": 0.0133}, **AIR).derived
    assert derived == {"Cms": ("Sd", "Vas"), "Mms": ("Sd", "fs", "Vas")}


@settings(max_examples=40)
@given(
    st.fixed_dictionaries({
        "Re": st.floats(2, 16), "Sd": st.floats(0.003, 0.15), "Mms": st.floats(0.002, 0.3),
        "Cms": st.floats(1e-4, 3e-3), "Rms": st.floats(0.2, 5), "Bl": st.floats(2, 25),
    })
)  # fmt: skip
def test_there_and_back_again(mechanical):
    there = d.completed(mechanical, **AIR).values
    back = d.constants(**{symbol: there[symbol] for symbol in SIX}, **AIR)
    for symbol, value in mechanical.items():
        assert_allclose(getattr(back, symbol), value, rtol=1e-9)
    assert_allclose(back.Qts, there["Qts"], rtol=1e-12)


def test_what_the_sheet_says_twice_is_held_against_itself():
    sheet = whole_sheet()
    sheet["Qts"] *= 1.05
    (only,) = d.completed(sheet, **AIR).disagreements
    assert (only.symbol, only.of) == ("Qts", ("Qms", "Qes"))
    assert_allclose([only.ratio, only.given], [1.05, sheet["Qts"]], rtol=1e-9)
    assert_allclose(only.implied, sheet["Qts"] / 1.05, rtol=1e-9)


def test_a_wrong_force_factor_is_named_once_and_kept():
    sheet = whole_sheet() | {"Bl": 7.2 * 0.9}
    result = d.completed(sheet, **AIR)
    (only,) = result.disagreements
    assert (only.symbol, only.of) == ("Bl", ("Re", "fs", "Qes", "Mms"))
    assert_allclose(only.ratio, 0.9, rtol=1e-9)
    assert result.values["Bl"] == 7.2 * 0.9


def test_a_fact_that_needs_several_steps_is_found_too():
    """Bl from the six, without a mass on the sheet: fs and Vas give the compliance, that gives the motor."""
    sheet = {symbol: whole_sheet()[symbol] for symbol in (*SIX, "Bl")}
    assert d.completed(sheet, **AIR).disagreements == ()
    (only,) = d.completed(sheet | {"Bl": 6.5}, **AIR).disagreements
    assert (only.symbol, only.of) == ("Bl", ("Re", "Sd", "fs", "Qes", "Vas"))
    assert_allclose(only.implied, 7.2, rtol=1e-9)


@pytest.mark.parametrize(("by", "told"), [(1.029, False), (0.972, False), (1.031, True), (0.969, True)])
def test_three_percent_is_the_bound(by, told):
    sheet = whole_sheet()
    sheet["Cms"] *= by
    sheet = {symbol: sheet[symbol] for symbol in ("Cms", "Vas", "Sd")}
    assert bool(d.completed(sheet, **AIR).disagreements) == told


def test_as_many_contradictions_as_wrong_facts():
    sheet = whole_sheet()
    sheet |= {"Qts": sheet["Qts"] * 1.1, "Rms": 1.2, "Vas": sheet["Vas"] * 1.2}
    # Cms and Vas part; mass, motor and the rest still agree with Cms
    assert {one.symbol for one in d.completed(sheet, **AIR).disagreements} == {"Qts", "Cms", "Rms"}


def test_what_is_missing_is_told_in_short():
    sheet = whole_sheet()

    def missing(*symbols):
        return d.completed({symbol: sheet[symbol] for symbol in symbols}, **AIR).missing

    assert missing(*SIX) == ()
    without_motor = missing("fs", "Qms", "Vas", "Sd", "Re")
    assert without_motor[0] == ("Qes",)
    assert set(without_motor) == {("Qes",), ("Qts",), ("Bl",)}
    assert missing() == (("fs", "Qms", "Qes", "Vas", "Sd", "Re"),)
    assert missing("fs", "Re") == (("Qms", "Qes", "Vas", "Sd"),)
    for more in missing("fs", "Vas", "Qms", "Re"):
        assert missing("fs", "Vas", "Qms", "Re", *more) == ()


def test_a_total_q_above_its_parts_is_refused():
    with pytest.raises(InputError) as refusal:
        d.completed({"Qts": 0.5, "Qms": 0.4}, **AIR)
    assert refusal.value.field == "Qts"


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf"), 1e-300, 1e300])
@pytest.mark.parametrize("symbol", SIX)
def test_impossible_values_are_refused_at_their_symbol(symbol, value):
    sheet = {name: whole_sheet()[name] for name in SIX} | {symbol: value}
    for entry in (lambda: d.constants(**sheet, **AIR), lambda: d.completed(sheet, **AIR)):
        with pytest.raises(InputError) as refusal:
            entry()
        assert refusal.value.field == symbol


def test_the_second_inductance_comes_with_its_resistance():
    six = {name: whole_sheet()[name] for name in SIX}
    with pytest.raises(InputError, match="^Re2: "):
        d.constants(**six, **AIR, Le2=1e-3)
    with pytest.raises(InputError, match="^Le2: "):
        d.constants(**six, **AIR, Re2=8.0)
    bare = d.without_inductance(d.constants(**six, **AIR, Le=1e-3, Le2=1e-3, Re2=8.0))
    assert (bare.Le, bare.Le2, bare.Re2) == (0.0, None, None)
    assert bare.Bl == d.constants(**six, **AIR).Bl
