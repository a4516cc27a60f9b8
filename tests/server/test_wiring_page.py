"""Wiring: read with a meter before the power goes on."""

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, said

from calc.evaluate_wiring import before_power
from server.documents import read_project
from server.pages import QUESTIONS


def begun(desk, start="linkwitz-riley 2", project="reading_room"):
    """A project with a textbook crossover, as its owner has it."""
    sitting = desk(project)
    check(sitting.type("crossover", f"begin:{start}"))
    return sitting


def readings(sitting):
    return before_power(read_project(sitting.document), sitting.result)


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("wiring")
    check(page)
    assert page.heading == QUESTIONS["wiring"]


def test_the_reading_to_expect_follows_the_parts(desk):
    """Coil 0.3 ohm and woofer 5.6 in series; behind the capacitor nothing (derived)."""
    sitting = begun(desk)
    assert readings(sitting).healthy == pytest.approx(5.9)
    sitting.type("crossover", **{"network.parts.low L1.Rdc": "0.8"})
    page = sitting.look("wiring")
    check(page)
    assert readings(sitting).healthy == pytest.approx(6.4) and said(6.4, "resistance") in page.lead


def test_a_bridged_capacitor_is_named_from_its_reading(desk):
    """The tweeter's capacitor bridged leaves its coil's wire, 0.3 ohm, across the rest (derived)."""
    sitting = begun(desk)
    page = sitting.type("wiring", **{"network.reading": "0.29"})
    check(page)
    named = page.says("named")
    assert "high C1: bridged" in named and "It is one of these" in named


def test_a_sound_reading_tells_what_it_cannot_see_and_the_next_test(desk):
    sitting = begun(desk)
    page = sitting.type("wiring", **{"network.reading": "5.9"})
    named = page.says("named")
    assert "It reads as it should" in named and "dome: plus and minus exchanged" in named
    assert "Polarity does not change ohms" in named and "Never a tweeter" in named
    assert "Next test: meter from" in named
    page = sitting.type("wiring", **{"network.reading": "", "network.reads_open": "yes"})
    check(page)
    assert "low L1: open" in page.says("named") and "high C1: open" not in page.says("named")
    page = sitting.type("wiring", **{"network.reading": "40", "network.reads_open": ""})
    assert "No single mistake reads so" in page.says("named")


def test_what_cannot_be_is_refused_where_it_stands(desk):
    sitting = begun(desk)
    good = ("network.reads_open", "yes", True)
    check_refusal(sitting, "wiring", "network.reading", "-1", "less than zero", good)
    check_answers(begun(desk), "wiring", "network.reading", "6.1")


def test_who_may_look_types_nothing(desk, stranger):
    check_looking(stranger(begun(desk)), "wiring")
