"""Reversed drivers by every way of reversing them, and nulls by the sum that is really solved."""

from itertools import product

import numpy as np
import pytest

from calc.evaluate import evaluate
from calc.evaluate_network import F, network
from calc.evaluate_starts import textbook
from calc.evaluate_sum import acoustic_sum
from calc.evaluate_wiring import before_power, polarity
from calc.network.polarity import Null, reversals
from server.beginnings import demo
from server.documents import amend, read_project


@pytest.mark.parametrize("turned", list(product((False, True), repeat=3)))
def test_two_nulls_and_a_kick_tell_any_reversal_of_three_ways(turned):
    low, mid, high = turned

    def heard(one, other, right):
        return right if one == other else {"quieter": "louder", "louder": "quieter"}[right]

    nulls = (
        Null("low", "mid", "quieter", heard(low, mid, "quieter")),
        Null("mid", "high", "louder", heard(mid, high, "louder")),
    )
    wanted = frozenset(name for name, each in zip(("low", "mid", "high"), turned, strict=True) if each)
    assert reversals(nulls, {"low": "in" if low else "out"}) == (wanted,)
    both = reversals(nulls, {})
    assert len(both) == 2 and wanted in both, "nulls alone cannot tell all from none"


def test_tests_that_contradict_leave_nothing():
    nulls = (Null("low", "high", "quieter", "louder"),)
    assert reversals(nulls, {"low": "out", "high": "out"}) == ()
    assert reversals((Null("low", "high", "quieter"),), {}) == tuple(
        map(frozenset, ((), ("low",), ("high",), ("low", "high")))
    )


def textbook_parts(family, order):
    project = read_project(demo("reading_room"))
    return textbook(project, family, order, [2500.0])


def solved(parts, **more):
    project = read_project(amend(demo("reading_room"), {"network": {"parts": parts, **more}}))
    return project, evaluate(project)


def wired(family, order, **more):
    return solved(textbook_parts(family, order), **more)


def told(project, result):
    return polarity(project, acoustic_sum(project, result, network(project, result)))


def total(project, result):
    return abs(acoustic_sum(project, result, network(project, result)).total)


FILTERS = [("linkwitz-riley", 2), ("linkwitz-riley", 4), ("butterworth", 2)]


@pytest.mark.parametrize(("family", "order"), FILTERS)
def test_what_exchanging_leads_does_is_what_the_sum_does(family, order):
    """The sum solved again with the dome turned, at the pair's meeting."""
    parts = textbook_parts(family, order)
    dome = parts["dome"]
    turned = {**parts, "dome": {**dome, "start": dome["end"], "end": dome["start"]}}
    found = told(*solved(parts))
    at = int(np.argmin(abs(np.log(F / found.at[0]))))
    ((low, high, right, _),) = found.nulls
    assert (low, high) == ("woofer", "dome")
    assert (total(*solved(turned))[at] < total(*solved(parts))[at]) == (right == "quieter")


def test_a_null_that_is_none_names_the_dome_or_the_woofer_and_a_kick_decides():
    project, result = wired("linkwitz-riley", 4)
    right = told(project, result).nulls[0].right
    wrong = "louder" if right == "quieter" else "quieter"
    assert told(project, result).fits is None
    heard = told(*wired("linkwitz-riley", 4, nulls={"dome": wrong}))
    assert set(heard.fits) == {frozenset({"woofer"}), frozenset({"dome"})}
    kicks = {"woofer": "out", "dome": "in"}
    seen = told(*wired("linkwitz-riley", 4, nulls={"dome": wrong}, kicks=kicks))
    assert seen.fits == (frozenset({"dome"}),), (
        "a tweeter is never kicked, so what was typed of it is ignored"
    )


def test_readings_at_the_tags_by_hand():
    """Order 2: the woofer, 5.6 ohm, behind a coil of 0.3; the dome, 5.2, beside a coil of 0.3 (derived)."""
    read = before_power(*wired("linkwitz-riley", 2))
    found = {(a, b): R for a, b, R in read.tags}
    assert found[("woofer", "plus"), ("woofer", "minus")] == pytest.approx(5.6)
    assert found["in", ("woofer", "plus")] == pytest.approx(0.3)
    assert found["0", ("woofer", "minus")] == 0
    assert found[("dome", "plus"), ("dome", "minus")] == pytest.approx(1 / (1 / 0.3 + 1 / 5.2))
    assert found["0", ("dome", "plus")] == 0, "the dome of a filter of order 2 is turned"
    across = 1 / (1 / 0.3 + 1 / 5.2)
    assert found["in", ("dome", "minus")] == pytest.approx(5.9 + across), "no way but through the woofer"
