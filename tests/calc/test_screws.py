"""Wood screws against printed tables and the Wood Handbook's formula; pilots, depths and what is refused."""

import json
from math import isclose
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.shop.screws import (
    GAUGES,
    KEPT,
    PILOTS,
    allowable,
    gauge_diameter,
    nearest_gauge,
    pilot,
    pilot_depth,
    root_diameter,
    withdrawal,
)

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]
ROWS = DATA["screws"]["rows"]
POUND = 4.4482216152605  # N
LARGEST = ROWS[-1]["shank"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"#{row['gauge']}")
def test_a_number_is_as_thick_as_printed(row):
    """Inches and millimetres are two columns of the makers' tables: seen."""
    assert_allclose(gauge_diameter(row["gauge"]), row["shank"], rtol=0, atol=DATA["screws"]["tolerance"])
    assert_allclose(gauge_diameter(row["gauge"]) * 1e3, row["printed_mm"], rtol=0, atol=0.006)
    assert nearest_gauge(row["shank"]) == row["gauge"]
    assert_allclose(root_diameter(row["shank"]), row["root"], rtol=1e-9)


@pytest.mark.parametrize("number", GAUGES)
def test_number_and_thickness_go_both_ways(number):
    assert nearest_gauge(gauge_diameter(number)) == number


def test_what_is_no_number_of_a_screw():
    for number in (-1, 25, 7.5, float("nan")):
        with pytest.raises(InputError, match="whole number"):
            gauge_diameter(number)
    assert nearest_gauge(0.0098) is None and nearest_gauge(0.001) is None


def test_beyond_the_table_no_root_is_guessed():
    assert root_diameter(0.0028) is None and root_diameter(0.0063) is None
    assert pilot(0.0025, "dense") is None
    with pytest.raises(InputError):
        root_diameter(0)


@given(st.floats(0.00285, 0.0061), st.floats(0.00001, 0.001))
def test_a_thicker_screw_has_a_thicker_root(d, more):
    thicker = min(d + more, LARGEST)
    assert root_diameter(d) < root_diameter(thicker) < thicker or d >= LARGEST


def test_the_pilot_of_a_number_8_by_hand():
    """Root .131 in = 3.327 mm. Dense 2.995 to 3.327: a drill of 3 mm, or 8/64 in = 3.175.

    Soft 2.329 to 2.828: 2.5 mm, 7/64 in = 2.778. Shank 4.166: 4.5 mm or 11/64 in = 4.366. Derived.
    """
    dense, soft = (pilot(gauge_diameter(8), stuff) for stuff in ("dense", "soft"))
    assert_allclose([dense.least, dense.most], [0.00299466, 0.0033274], rtol=1e-6)
    assert_allclose(dense.drills, [0.003, 0.003175], rtol=1e-9)
    assert_allclose([soft.least, soft.most], [0.00232918, 0.00282829], rtol=1e-6)
    assert_allclose(soft.drills, [0.0025, 7 / 64 * 0.0254], rtol=1e-9)
    assert_allclose(dense.clearance, [0.0045, 11 / 64 * 0.0254], rtol=1e-9)
    assert not any(dense.tight + soft.tight) and isclose(dense.head, 2 * 0.164 * 0.0254)
    with pytest.raises(InputError, match="face or the edge of MDF"):
        pilot(0.004, "granite")


@given(st.floats(0.002845, 0.00614), st.sampled_from(sorted(PILOTS)))
def test_every_drill_is_the_next_one_that_is_not_too_wide(d, stuff):
    found = pilot(d, stuff)
    for drill, tight, step in zip(found.drills, found.tight, (0.0005, 0.0254 / 64), strict=True):
        assert drill <= found.most + 1e-9 < drill + step + 2e-9
        assert isclose(drill / step, round(drill / step), abs_tol=1e-6)
        assert tight == (drill < found.least - 1e-9)
        assert drill < root_diameter(d) + 1e-9 < d, "the thread always finds wood"
    for hole, step in zip(found.clearance, (0.0005, 0.0254 / 64), strict=True):
        assert d <= hole + 1e-9 < d + step + 2e-9


@pytest.mark.parametrize("row", DATA["withdrawal"]["rows"], ids=lambda row: f"G {row['G']}")
def test_withdrawal_is_that_of_the_worked_example(row):
    found = withdrawal(row["G"], row["D"], row["L"])
    tolerance = DATA["withdrawal"]["tolerance"]
    assert_allclose(found / POUND, row["pounds"], rtol=tolerance)
    if "newtons" in row:
        assert_allclose(found, row["newtons"], rtol=tolerance)


def test_the_allowed_pull_is_the_printed_one():
    record = DATA["withdrawal_allowed"]
    found = allowable(record["G"], record["D"], 0.0254) / POUND
    assert_allclose(found, record["pounds_per_inch"], rtol=0, atol=record["tolerance"])


def test_withdrawal_refuses_what_is_no_wood():
    for bad in ({"G": 0}, {"D": -1.0}, {"L": float("nan")}):
        with pytest.raises(InputError, match="above zero"):
            withdrawal(**({"G": 0.5, "D": 0.004, "L": 0.02} | bad))


def test_a_stopped_hole_keeps_three_millimetres():
    """12.7 mm behind the recess: 9.7 deep. A screw of 16 through 5.5 of flange and gasket: 10.5; derived."""
    assert pilot_depth(0.0127) == pytest.approx((0.0097, 0.0097, 0, 0))
    short = pilot_depth(0.0127, 0.0055, 0.012)
    assert short == pytest.approx((0.0065, 0.0065, 0, 0))
    long = pilot_depth(0.0127, 0.0055, 0.016)
    assert long == pytest.approx((0.0097, 0.0105, 0, 0.0008), abs=1e-8)
    assert pilot_depth(0.0127, 0.0055, 0.005) == pytest.approx((0, 0, 0.0005, 0))
    assert pilot_depth(0.002).hole == 0


@given(
    wood=st.floats(1e-3, 0.05),
    lifted=st.floats(0, 0.02),
    length=st.one_of(st.none(), st.floats(1e-3, 0.1)),
)
def test_no_pilot_hole_ever_goes_through(wood, lifted, length):
    found = pilot_depth(wood, lifted, length)
    assert 0 <= found.hole <= max(0.0, wood - KEPT) and found.hole <= found.thread + 1e-12
    if length is not None:
        assert isclose(found.thread - found.short, length - lifted, abs_tol=1e-12)
        assert (found.over > 0) == (found.thread > max(0.0, wood - KEPT) + 1e-9)
