"""Fit: a target, values that follow it in one go, rows of values compared, and a drawer of parts."""

import numpy as np
import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal

from calc import evaluate_fit
from calc.evaluate_network import network
from calc.evaluate_sum import acoustic_sum
from calc.network import fit
from calc.network.preferred_values import decades
from calc.project_network import Stock, Target
from server import drawer_text
from server.documents import amend, read_project
from server.pages import QUESTIONS


def now(sitting):
    project, result = read_project(sitting.document), sitting.result
    found = network(project, result)
    task = evaluate_fit.task(project, result, found, acoustic_sum(project, result, found))
    return task, fit.judged(task, task.start)


DRAWER = """# left from the last pair
0.82 mH; 0,3 ohm; 7.50
0.33 mH; 0.2 ohm; 5
0.10 mH; 0.1 ohm; 3

4.7 mH; 0.9 ohm; 12
4.7 µF; 2.20
6,8 uF; 3.10
10 uF; 4
15 uF; 5"""


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("fit")
    check(page)
    assert page.heading == QUESTIONS["fit"]


def test_the_demo_reaches_its_target_within_a_decibel(desk):
    """Its values spoilt by 60 percent either way, then fitted: flat over its band, the load kept up."""
    demo = desk().document
    kinds = {"coil": "inductance", "capacitor": "capacitance", "resistor": "resistance"}
    spoilt = {
        f"network.parts.{name}.{kinds[part['kind']]}": part[kinds[part["kind"]]] * 1.6 ** (-1) ** i
        for i, (name, part) in enumerate(demo["network"]["parts"].items())
        if part["kind"] in kinds
    }
    for source in ("exact", "E12"):
        sitting = desk(amend(demo, spoilt))
        assert now(sitting)[1].off_sum > 1.5
        page = sitting.type("fit", f"fit:{source}")
        check(page)
        task, after = now(sitting)
        assert after.off_sum < 1 and after.least >= task.least
        assert f"±{after.off_sum:.1f} dB" in page.lead and "⚠" not in page.lead
    series = decades("E12", 1e-7, 1e3)
    for value in task.start:
        assert np.isclose(series, value, rtol=1e-9).any()


def test_what_is_held_stays(sitting):
    before = sitting.document["network"]["parts"]
    sitting.type("fit", **{"network.parts.high C1.fixed": "yes"})
    sitting.type("fit", "fit:E6")
    after = sitting.document["network"]["parts"]
    assert after["high C1"]["capacitance"] == before["high C1"]["capacitance"]
    assert after["low C2"]["capacitance"] != before["low C2"]["capacitance"]
    assert {part["Rdc"] for part in after.values()} == {part["Rdc"] for part in before.values()}


def test_rows_are_compared_before_anything_changes(sitting):
    sitting.type("fit", "stock:", drawer_lines=DRAWER)
    plain = sitting.plain
    page = sitting.look("fit?compare=yes")
    check(page)
    rows = page.rows("What each row of values makes of it")
    assert [row[0] for row in rows[1:]] == [
        "as they are", "E6 values", "E12 values", "E24 values", "exact values",
        "your drawer",
    ]  # fmt: skip
    assert sitting.plain == plain
    drawer = rows[-1]
    sitting.type("fit", "fit:drawer")
    task, after = now(sitting)
    assert drawer[1] == f"±{after.off_sum:.2f} dB", "the row and what the button makes are the same"
    owned = {part["value"]: part for part in sitting.document["drawer"]}
    parts = sitting.document["network"]["parts"]
    coils = [part for part in parts.values() if part["kind"] == "coil"]
    assert all(owned[part["inductance"]]["Rdc"] == part["Rdc"] for part in coils)
    caps = [owned[part["capacitance"]] for part in parts.values() if part["kind"] == "capacitor"]
    price = sum(each["price"] for each in caps) + sum(owned[part["inductance"]]["price"] for part in coils)
    assert float(drawer[4]) == pytest.approx(price)


def test_a_drawer_that_lacks_a_kind_says_so(sitting):
    sitting.type("fit", "stock:", drawer_lines="4.7 µF; 2.20")
    page = sitting.look("fit?compare=yes")
    check(page)
    assert "The drawer has nothing to take the place of low L1" in page.text
    refused = sitting.refused("fit", "fit:drawer")
    assert "nothing to take the place of low L1" in refused.text


def test_the_drawer_is_read_and_written_alike():
    parts = drawer_text.drawer(DRAWER)
    assert len(parts) == 8
    assert parts[0] == {"kind": "coil", "value": pytest.approx(0.82e-3), "Rdc": 0.3, "price": 7.5}
    assert parts[5] == {"kind": "capacitor", "value": pytest.approx(6.8e-6), "Rdc": 0.0, "price": 3.1}
    again = drawer_text.drawer(drawer_text.text_of(Stock(**each) for each in parts))
    assert [each["value"] for each in again] == pytest.approx([each["value"] for each in parts])
    assert [(each["kind"], each["Rdc"], each["price"]) for each in again] == [
        (each["kind"], each["Rdc"], each["price"]) for each in parts
    ]
    assert drawer_text.drawer("4R7 ohm")[0]["value"] == 4.7
    assert drawer_text.drawer("12.75 µF")[0]["value"] == pytest.approx(12.75e-6)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("4.7", "needs a unit in line 2"),
        ("4.7 kg", "line 2 that is not so many"),
        ("ten µF", "line 2 that is not so many"),
        ("1 mH; x", "in line 2"),
        ("1 mH; 0.2 ohm; 3; 4", "more in line 2"),
        ("1 µF; 3; 4", "more in line 2"),
        ("1 µF; -3", "price below zero in line 2"),
    ],
)
def test_a_drawer_with_a_bad_line(sitting, line, words):
    page = sitting.refused("fit", "stock:", drawer_lines=f"4.7 µF\n{line}")
    check(page)
    assert words in page.fields["drawer_lines"].says or words in page.text
    assert line in page.fields["drawer_lines"].value


def test_the_middle_of_three_ways_passes_both_filters():
    """Products of the published denominators; two and a half octaves apart the middle nearly reaches 1."""
    f = np.geomspace(20, 20e3, 50)
    low, middle, high = evaluate_fit.shapes(Target("linkwitz-riley 4", 500.0, 4000.0, 100.0, 16e3), 3, f)
    two = evaluate_fit.shapes(Target("linkwitz-riley 4", 500.0, None, 100.0, 16e3), 2, f)
    assert np.allclose(low, two[0] / np.polyval([1, 2**1.5, 4, 2**1.5, 1], 1j * f / 4000.0))
    assert np.allclose(abs(high[-1]), 1, atol=0.01) and 0.95 < abs(middle).max() < 1
    assert np.allclose(abs(middle * (1j * f / 500.0) ** -4), abs(low * 1), rtol=1e-6)


def test_three_ways_need_two_places_to_part(sitting, desk):
    third = {"kind": "driver", "driver": "dome", "start": "in", "end": "0"}
    sitting = desk(amend(sitting.document, {"network.parts.third": third}))
    page = sitting.look("fit")
    check(page)
    assert "upper parting is needed: three ways part at two places" in page.lead
    assert "three ways part" in sitting.refused("fit", "fit:E6").text
    sitting.type("fit", **{"target.f_upper": "4000"})
    assert "strays by" in sitting.look("fit").lead


def test_a_load_that_nothing_rates_is_not_bounded(desk):
    sitting = desk(amend(desk().document, {"drivers.woofer.Z": None, "drivers.dome.Z": None}))
    task, _ = now(sitting)
    assert task.least == 0
    page = sitting.type("fit", "fit:exact")
    check(page)
    assert now(sitting)[1].off_sum < 1 and "⚠" not in page.lead


def test_what_cannot_be_is_refused_where_it_stands(sitting):
    good = ("target.f1", "250", 250.0)
    check_refusal(sitting, "fit", "target.f2", "3000", "an octave", good)
    page = sitting.refused("fit", **{"target.f1": "2000"})
    assert "an octave" in page.fields["target.f1"].says
    page = sitting.refused("fit", **{"target.f_upper": "2000"})
    assert "above where" in page.fields["target.f_upper"].says
    assert "not there yet" in sitting.refused("fit", "fit:E48").text


def test_a_crossover_must_be_there(desk):
    sitting = desk()
    sitting.type("crossover", "clear:")
    assert "begin with a filter" in sitting.refused("fit", "fit:E6").text


def test_it_answers_and_is_looked_at(sitting, stranger):
    check_answers(sitting, "fit", "target.f", "2400")
    check_looking(stranger(sitting), "fit")
