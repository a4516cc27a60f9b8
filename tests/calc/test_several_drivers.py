"""Several drivers as one, by the check values and by pulling the group apart again."""

import pytest
from numpy.testing import assert_allclose
from printed import checks, compare, name

from calc.errors import InputError
from calc.sound.closed_box import closed_box
from calc.sound.driver import completed, constants, eta0, level_2v83
from calc.sound.several_drivers import compound_pair, group
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
F = [10.0, 30.0, 65.0, 100.0, 300.0, 1000.0]


def one(**coil):
    return constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, **coil)


ARRANGED = {
    "2_parallel": lambda driver: group(driver, 2, "parallel"),
    "2_series": lambda driver: group(driver, 2, "series"),
    "4_series_parallel": lambda driver: group(driver, 4, "series_parallel"),
    "isobaric_parallel": lambda driver: compound_pair(driver, "parallel"),
    "isobaric_series": lambda driver: compound_pair(driver, "series"),
}


@pytest.mark.parametrize("check", checks("multi."), ids=name)
def test_the_single_driver_that_a_group_amounts_to(check):
    given = check["inputs"]
    sheet = completed(given, C, RHO).values
    driver = constants(*(sheet[symbol] for symbol in ("fs", "Qms", "Qes", "Vas", "Sd", "Re")), C, RHO)
    whole = ARRANGED[given["arrangement"]](driver)
    efficiency = eta0(whole.fs, whole.Vas, whole.Qes, C)
    level = level_2v83(efficiency, whole.Re, C, RHO)
    found = {symbol: getattr(whole, symbol) for symbol in check["expected"] if hasattr(whole, symbol)}
    compare(check, found | {"eta0": efficiency, "level_2v83": level})


@pytest.mark.parametrize("wiring", ["parallel", "series", "series_parallel"])
def test_a_group_in_its_box_is_each_driver_in_its_share(wiring):
    """Four drivers share a box as one driver fills a quarter of it; only volts and ohms are shared out."""
    driver = one(Le=0.45e-3, Le2=1.5e-3, Re2=8.0)
    ohms = {"parallel": 1 / 4, "series": 4.0, "series_parallel": 1.0}[wiring]
    volts = {"parallel": 1.0, "series": 1 / 4, "series_parallel": 1 / 2}[wiring]
    share = closed_box(F, driver, 0.018, C, RHO, V=2.83 * volts, QL=20.0)
    all_four = closed_box(F, group(driver, 4, wiring), 0.072, C, RHO, QL=20.0)
    assert_allclose(all_four.Z, share.Z * ohms, rtol=1e-12)
    assert_allclose(all_four.Z_phase, share.Z_phase, atol=1e-9)
    assert_allclose(all_four.cone, share.cone, rtol=1e-12)
    assert_allclose(all_four.level, share.level + 12.0411998, atol=1e-7)  # 20 log10(4)


def test_a_group_keeps_the_relations_among_its_constants():
    whole = group(one(), 6, "series_parallel")
    again = constants(whole.fs, whole.Qms, whole.Qes, whole.Vas, whole.Sd, whole.Re, C, RHO)
    for symbol in ("Qts", "Mms", "Cms", "Rms", "Bl"):
        assert_allclose(getattr(again, symbol), getattr(whole, symbol), rtol=1e-12)
    pair = compound_pair(one(), "series")
    again = constants(pair.fs, pair.Qms, pair.Qes, pair.Vas, pair.Sd, pair.Re, C, RHO)
    assert_allclose([again.Mms, again.Bl], [pair.Mms, pair.Bl], rtol=1e-12)


def test_one_is_one():
    for wiring in ("parallel", "series"):
        assert group(one(), 1, wiring) == one()


@pytest.mark.parametrize(
    ("field", "count", "wiring"),
    [("count", 0, "parallel"), ("count", 2.0, "parallel"), ("count", -2, "series"),
     ("count", 3, "series_parallel"), ("wiring", 2, "star")],
)  # fmt: skip
def test_what_cannot_be_wired_is_refused(field, count, wiring):
    with pytest.raises(InputError) as refusal:
        group(one(), count, wiring)
    assert refusal.value.field == field


def test_a_compound_pair_has_no_pairs_of_its_own():
    with pytest.raises(InputError, match="^wiring: "):
        compound_pair(one(), "series_parallel")


@pytest.mark.parametrize("wiring", ["parallel", "series"])
def test_a_wall_between_equal_drivers_changes_nothing(wiring):
    """Two drivers and two ports in 2 V, against each in its own V with one port, pressures added: + 6 dB."""
    driver = one(Le=0.45e-3, K=0.01, n=0.7)
    ohms, volts = {"parallel": (0.5, 1.0), "series": (2.0, 0.5)}[wiring]
    losses = {"QL": 9.0, "QA": 40.0, "QP": 60.0}
    each = vented_box(F, driver, 0.02, 38.0, C, RHO, V=5.0 * volts, port_area=0.003, **losses)
    common = vented_box(F, group(driver, 2, wiring), 0.04, 38.0, C, RHO, V=5.0, port_area=0.006, **losses)
    assert_allclose(common.level, each.level + 6.0205999, atol=1e-7)
    assert_allclose(common.Z, each.Z * ohms, rtol=1e-12)
    for quantity in ("cone", "port_speed", "group_delay"):
        assert_allclose(getattr(common, quantity), getattr(each, quantity), rtol=1e-9)


def test_a_compound_pair_fills_half_the_box_as_one_driver_does():
    """By hand: Vas/2 in V/2 is the same alpha, so the shape is kept; in series at twice the volts each coil
    carries the current that moves two masses, and the level is that of one driver."""
    pair = closed_box(F, compound_pair(one(), "series"), 0.009, C, RHO, V=5.66)
    single = closed_box(F, one(), 0.018, C, RHO)
    assert_allclose(pair.level, single.level, atol=1e-9)
    assert_allclose(pair.cone, single.cone, rtol=1e-9)
    assert_allclose(pair.Z, 2 * single.Z, rtol=1e-9)
