"""Preferred values: the standard's numbers, the nearest by ratio, across decades, pairs by a plain search."""

from math import log

import numpy as np
import pytest
from crossover_values import check
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.network.preferred_values import SERIES, above, below, decades, nearest, nearest_pair


def test_the_series_of_the_standard():
    """IEC 60063, from memory; E24 differs from rounded powers of ten at eight places."""
    assert SERIES["E6"] == (100, 150, 220, 330, 470, 680)
    assert SERIES["E12"] == (100, 120, 150, 180, 220, 270, 330, 390, 470, 560, 680, 820)
    rounded = [10 * round(10 * 10 ** (i / 24)) for i in range(24)]
    odd = [one for one, other in zip(SERIES["E24"], rounded, strict=True) if one != other]
    assert odd == [270, 300, 330, 360, 390, 430, 470, 820]
    # from memory, a few of E96 and E48
    assert {102, 316, 499, 715, 976} <= set(SERIES["E96"]) and {105, 316, 487, 953} <= set(SERIES["E48"])
    assert SERIES["E48"] == SERIES["E96"][::2]
    assert [len(values) for values in SERIES.values()] == [6, 12, 24, 48, 96]


def test_a_value_is_written_as_one_would_write_it():
    assert decades("E6", 1e-6, 1e-5).tolist() == [1e-6, 1.5e-6, 2.2e-6, 3.3e-6, 4.7e-6, 6.8e-6, 1e-5]


def test_capacitors_alone_and_in_pairs():
    at, wanted, tolerance = check("preferred.pairs")
    for i, target in enumerate(at["target"]):
        single = nearest(target, "E12")
        assert_allclose(single, wanted["single"][i], rtol=1e-12)
        assert_allclose(single / target - 1, wanted["single_error"][i], atol=tolerance["abs"])
        pair = nearest_pair(target, "E12", at["low"], at["high"])
        assert_allclose(sum(pair) / target - 1, wanted["pair_error"][i], atol=tolerance["abs"])


def test_coils_or_resistors_side_by_side():
    """By a plain search over all pairs."""
    one, other = nearest_pair(5.3, "E6", 1.0, 100.0, joined="product over sum")
    values = decades("E6", 1.0, 100.0)
    best = min((abs(log(a * b / (a + b) / 5.3)), a, b) for a in values for b in values)
    assert_allclose(abs(log(one * other / (one + other) / 5.3)), best[0], rtol=1e-9)
    assert one <= other


@pytest.mark.parametrize("series", SERIES)
@given(value=st.floats(1e-12, 1e7))
def test_neighbours_lie_around_a_value(series, value):
    low, near, high = below(value, series), nearest(value, series), above(value, series)
    step = 10 ** (1 / int(series[1:])) * 1.1  # rounding makes some steps wider than the mean
    assert low <= value * (1 + 1e-9) and high >= value * (1 - 1e-9)
    assert high / low <= step
    assert near in (low, high)
    assert abs(log(near / value)) <= min(abs(log(low / value)), abs(log(high / value))) + 1e-12


@pytest.mark.parametrize("value", [1e-6, 4.7e-6, 8.2, 100.0, 0.00022])
def test_a_value_of_the_series_is_its_own_neighbour(value):
    assert below(value, "E12") == nearest(value, "E12") == above(value, "E12") == value
    assert nearest(value * (1 + 1e-14), "E12") == value


def test_the_nearest_may_lie_in_the_next_decade():
    assert nearest(9.6, "E12") == 10.0
    assert below(9.6, "E12") == 8.2
    assert np.isclose(above(9.6e-6, "E6"), 1e-5)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: nearest(0.0, "E12"), "value"),
        (lambda: below(float("nan"), "E12"), "value"),
        (lambda: above(1.0, "E13"), "series"),
        (lambda: decades("E12", 2.0, 1.0), "high"),
        (lambda: nearest_pair(1.0, "E6", 1.1, 1.2), "high"),
        (lambda: nearest_pair(1.0, "E6", 1.0, 10.0, joined="twisted"), "joined"),
    ],
)
def test_impossible_wishes_are_refused_at_their_field(make, field):
    with pytest.raises(InputError) as refusal:
        make()
    assert refusal.value.field == field
