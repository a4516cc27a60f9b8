"""The cut list, its fence settings, and fractions of an inch."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.bracing import braces
from calc.cabinet.joints import rabbeted
from calc.cabinet.panels import carcass
from calc.errors import InputError
from calc.project_cabinet import Brace, Edge
from calc.shop.cut_list import cut_list, label
from calc.shop.fractions import fraction_words, nearest_fraction

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]
WORKED = DATA["worked_box"]
INNER = (0.2, 0.4, 0.3)


def worked(**turned):
    panels = {name: (t, 750.0) for name, t in WORKED["thickness"].items()}
    edges = {name: Edge(**edge) for name, edge in (rabbeted(0.009, 0.009) | turned).items()}
    return carcass(INNER, "inner", panels, edges)


def shelves():
    plates = {
        f"shelf {n}": (Brace("shelf", at, "ply", 0.009), 0.018, 700.0) for n, at in ((1, 0.1), (2, 0.3))
    }
    return braces(INNER, WORKED["thickness"], plates).braces


def test_equal_blanks_are_one_row_and_every_speaker_counts():
    rows = cut_list(worked(), speakers=2)
    assert [(row.label, row.names, row.count) for row in rows] == [
        ("A", ("front",), 2),
        ("B", ("back",), 2),
        ("C", ("left", "right"), 4),
        ("D", ("top", "bottom"), 4),
    ]


def test_the_rows_have_the_blanks_of_the_reference():
    for row in cut_list(worked()):
        for name in row.names:
            blank = WORKED["blanks"][name]
            assert_allclose((row.length, row.width, row.thickness), blank, rtol=0, atol=1e-12)


def test_sums_travel_with_the_rows():
    rows = {row.names[0]: row for row in cut_list(worked())}
    assert rows["top"].width_sum == (0.2, ((2, 0.009),))
    assert rows["back"].length_sum == (0.4, ((2, 0.009),))


def test_blanks_of_one_size_from_other_joints_or_other_sheets_stay_apart():
    deeper = worked(**{"left-bottom": {"into": "left", "depth": 0.006}})
    assert [row.names for row in cut_list(deeper)][-2:] == [("top",), ("bottom",)]
    sheets = {"left": "birch", "right": "oak"}
    assert [row.names for row in cut_list(worked(), sheets=sheets)][2:4] == [("left",), ("right",)]
    assert [row.sheet for row in cut_list(worked(), sheets=sheets)][2:4] == ["birch", "oak"]


def test_braces_follow_the_panels():
    rows = cut_list(worked(), shelves(), 2)
    assert (rows[-1].label, rows[-1].names, rows[-1].count) == ("E", ("shelf 1", "shelf 2"), 4)
    assert rows == cut_list(worked(), list(shelves().values()), 2)


def test_the_list_holds_every_piece_once():
    rows = cut_list(worked(), shelves(), 3)
    assert sum(row.count for row in rows) == 3 * 8
    assert sorted(name for row in rows for name in row.names) == sorted([*WORKED["thickness"], *shelves()])


def test_no_speaker_is_refused():
    with pytest.raises(InputError):
        cut_list(worked(), speakers=0)


def test_rows_after_z_go_on_with_two_letters():
    assert [label(n) for n in (0, 25, 26, 27, 51, 52, 701, 702)] == [
        "A",
        "Z",
        "AA",
        "AB",
        "AZ",
        "BA",
        "ZZ",
        "AAA",
    ]


@pytest.mark.parametrize("record", DATA["fractions"], ids=lambda record: f"{record['length'] * 1e3:g} mm")
@pytest.mark.parametrize("denominator", [16, 32, 64])
def test_lengths_read_as_on_a_rule(record, denominator):
    assert fraction_words(record["length"], denominator) == record[str(denominator)]


@pytest.mark.parametrize("denominator", [16, 64])
def test_a_full_fraction_is_carried_to_the_whole_inch(denominator):
    carry = DATA["fraction_carry"]
    for inches, words in zip(carry["inches"], carry[str(denominator)], strict=True):
        assert fraction_words(inches * 0.0254, denominator) == words


def test_below_zero_there_is_one_sign():
    assert fraction_words(-0.0381, 16) == "-1 1/2"
    assert fraction_words(-0.0127, 16) == "-1/2"
    assert fraction_words(-1e-6, 16) == "0"
    assert nearest_fraction(-0.0381, 16)[:3] == (-1, -1, 2)


def test_the_error_says_how_far_the_fraction_is_off():
    # 18 mm at 1/16: 11/16 in = 17.4625 mm.
    assert_allclose(nearest_fraction(0.018, 16)[3], -0.0005375, rtol=1e-9)


@given(st.floats(-3, 3), st.sampled_from((16, 32, 64)))
def test_a_fraction_is_the_nearest_one_in_its_lowest_terms(metres, denominator):
    whole, numerator, lowest, error = nearest_fraction(metres, denominator)
    assert abs(error) <= 0.0254 / denominator / 2 * (1 + 1e-6)
    assert_allclose((whole + numerator / lowest) * 0.0254 - metres, error, rtol=0, atol=1e-12)
    assert abs(numerator) < lowest <= denominator and denominator % lowest == 0
    assert lowest == 1 or numerator % 2 == 1
    assert "16/16" not in fraction_words(metres, 16)


@pytest.mark.parametrize(
    ("metres", "denominator"), [(float("nan"), 16), (float("inf"), 16), (0.1, 0), (0.1, 10)]
)
def test_what_no_rule_shows_is_refused(metres, denominator):
    with pytest.raises(InputError):
        nearest_fraction(metres, denominator)


def test_a_part_that_is_fitted_is_a_row_of_its_own_and_keeps_its_size():
    rows = cut_list(worked(), over={"left": (0.002, 0.0)})
    left, right = (next(row for row in rows if name in row.names) for name in ("left", "right"))
    assert left.names == ("left",) and right.names == ("right",), "one is cut longer than the other"
    assert (left.length, left.width) == (right.length, right.width)
    assert_allclose((left.cut_length - right.cut_length, left.cut_width), (0.002, right.width), atol=1e-12)
