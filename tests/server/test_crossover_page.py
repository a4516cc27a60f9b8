"""Crossover: begun from a textbook, and changed part by part."""

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, made, said

from calc.evaluate_network import network
from server.documents import amend, read_project
from server.pages import QUESTIONS
from server.routes.crossover import STARTS


def found(sitting):
    return network(read_project(sitting.document), sitting.result)


def begun(desk, start="linkwitz-riley 2", **typed):
    sitting = desk()
    check(sitting.type("crossover", f"begin:{start}", **typed))
    return sitting


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("crossover")
    check(page)
    assert page.heading == QUESTIONS["crossover"]


@pytest.mark.parametrize("start", STARTS)
def test_every_textbook_filter_makes_a_whole_page(desk, start):
    sitting = begun(desk, start, corner="2,2 kHz")
    page, now = sitting.look("crossover"), found(sitting)
    check(page)
    assert said(now.least.Z, "resistance") in page.lead
    assert len(page.rows("What each part bears")) == 1 + len(sitting.document["network"]["parts"])


def test_each_way_is_drawn_with_the_values_that_are_typed(desk):
    sitting = begun(desk)
    sitting.type("crossover", **{"network.parts.low L1.inductance": "1,23"})
    low, high = (
        each.attributes["aria-label"].replace("\xa0", " ")
        for each in sitting.look("crossover").root.all("svg")
        if each.attributes.get("aria-label", "").startswith("The way to")
    )
    assert low.startswith("The way to woofer: low L1 1.23 mH, then (low C2 ")
    assert "beside dome with its plus away from the red terminal" in high


def test_a_bridge_is_told_and_not_drawn(desk):
    parts = {
        "R1": {"kind": "resistor", "start": "in", "end": "a", "resistance": 5.0},
        "R2": {"kind": "resistor", "start": "in", "end": "b", "resistance": 6.0},
        "R3": {"kind": "resistor", "start": "a", "end": "0", "resistance": 7.0},
        "woofer": {"kind": "driver", "start": "a", "end": "b", "driver": "woofer"},
        "R4": {"kind": "resistor", "start": "b", "end": "0", "resistance": 8.0},
    }
    page = desk(amend(made("reading_room"), {"network": {"parts": parts}})).look("crossover")
    check(page)
    assert "A bridge leads from one way to another" in page.text and "The way to" not in page.text


def test_a_second_order_filter_has_its_printed_values(desk):
    """Linkwitz-Riley of order 2 at 2500 Hz: L = 2 R / w, C = 1 / (2 R w) (derived: D = (s + 1)^2)."""
    parts = begun(desk).document["network"]["parts"]
    omega = 2 * 3.141592653589793 * 2500
    assert parts["low L1"]["inductance"] == pytest.approx(2 * 8 / omega)
    assert parts["low C2"]["capacitance"] == pytest.approx(1 / (2 * 8 * omega))
    assert parts["high C1"]["capacitance"] == pytest.approx(1 / (2 * 6 * omega))
    assert parts["high L2"]["inductance"] == pytest.approx(2 * 6 / omega)
    assert (parts["woofer"]["start"], parts["dome"]["start"]) == ("low out", "0")


def test_a_value_moves_the_load_and_a_new_part_its_burden(desk):
    sitting = begun(desk)
    before = found(sitting)
    page = sitting.type("crossover", **{"network.parts.low L1.Rdc": "0.8"})
    check(page)
    moved = found(sitting)
    assert moved.burdens["low L1"].noise_power > before.burdens["low L1"].noise_power
    page = sitting.type("crossover", "add:resistor before dome")
    check(page)
    assert sitting.document["network"]["parts"]["R1"]["resistance"] == 4.7
    assert found(sitting).burdens["dome"].noise_power < before.burdens["dome"].noise_power
    sitting.type("crossover", "drop:R1")
    assert set(sitting.document["network"]["parts"]) == set(before.burdens)
    sitting.type("crossover", "drop:low L1")  # in series: its ends become one joint
    assert sitting.document["network"]["parts"]["woofer"]["start"] == "in"


def test_a_driver_is_turned_and_all_is_taken_away(desk):
    sitting = begun(desk)
    sitting.type("crossover", "turn:dome")
    assert sitting.document["network"]["parts"]["dome"]["start"] == "high out"
    sitting.type("crossover", "clear:")
    assert sitting.document["network"] is None


def test_what_cannot_be_is_refused_where_it_stands(desk):
    path = "network.parts.low L1.inductance"
    good = ("network.parts.low C2.capacitance", "6.8", pytest.approx(6.8e-6))
    check_refusal(begun(desk), "crossover", path, "0", "above zero", good)
    sitting = desk()
    assert "15000" in sitting.refused("crossover", "begin:butterworth 2", corner="20").fields["corner"].says
    alone = desk("hall_subwoofer").refused("crossover", "begin:butterworth 2", corner="2500")
    assert "no tweeter" in alone.text


def test_it_answers_and_is_looked_at(desk, stranger):
    sitting = begun(desk)
    check_answers(sitting, "crossover", "network.parts.low L1.inductance", "0.9")
    check_looking(stranger(sitting), "crossover")
