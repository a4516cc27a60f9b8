"""Side by side: the boxes on the same charts, and a table of what differs."""

import json
import re

import pytest
from reading import MADE, check, check_looking

from server import units
from server.pages import QUESTIONS
from server.routes.side_by_side import rows


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("side_by_side")
    check(page)
    assert page.heading == QUESTIONS["side_by_side"]


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial"])
def test_each_number_of_the_table_is_the_results_and_each_difference_is_from_the_chosen(desk, name):
    sitting = desk(name)
    page, result = sitting.look("side_by_side"), sitting.result
    show = sitting.plain["show"]
    head, *body = page.rows("What differs")
    keys = [f"{key}{', chosen' if key == result.chosen else ''}" for key in result.boxes]
    assert head == ["What", *keys, "Which is better"]
    for cells, (what, quantity, values, better) in zip(body, rows(result), strict=True):
        assert (cells[0], cells[-1]) == (what, better)
        base = values[result.chosen]
        for cell, (key, value) in zip(cells[1:-1], values.items(), strict=True):
            if value is None:
                assert cell == "–"
                continue
            shown, *by = read(cell, quantity)
            assert shown == pytest.approx(units.in_unit(value, quantity, show), rel=0.03, abs=0.051), (
                what,
                key,
            )
            if key == result.chosen or base is None:
                assert not by
            elif by:
                change = units.in_unit(value, quantity, show) - units.in_unit(base, quantity, show)
                assert by == [pytest.approx(change, rel=0.05, abs=0.101)], (what, key)
            else:
                assert abs(value - base) <= 0.01 * abs(base)


def read(cell, quantity):
    """The numbers of a cell, with their signs; fractions of an inch too."""
    found = re.findall(r"([+−]?)(\d+(?:\.\d+)?)?(?: ?(\d+)/(\d+))?", cell)
    return [
        (-1 if sign == "−" else 1) * (float(whole or 0) + (int(over) / int(under) if under else 0))
        for sign, whole, over, under in found
        if whole or under
    ]


def test_the_rows_by_hand(desk):
    result = desk().result
    table = {what: values for what, _, values, _ in rows(result)}
    boxes = result.boxes
    assert table["Air inside"] == {"A": 0.009, "B": 0.014, "C": 0.018}
    assert table["Tuned to"]["A"] is None and table["Tuned to"]["B"] == pytest.approx(46)
    assert table["Total Q, closed"] == {"A": boxes["A"].Qtc, "B": None, "C": None}
    assert table["Falls 6 dB at"]["C"] == boxes["C"].cutoffs[6.0]
    assert table["Port air, peak"]["A"] is None and table["Port air, peak"]["C"] == boxes["C"].port.speed
    near = abs(boxes["B"].response.f - 40).argmin()
    assert table["Clean level at 40 Hz"]["B"] == pytest.approx(boxes["B"].limits.level[near], abs=0.2)
    assert table["Least load"]["A"] == boxes["A"].least_Z


def test_its_answer_names_the_deepest_the_loudest_and_the_smallest(desk):
    sitting = desk()
    lead, boxes = sitting.look("side_by_side").lead, sitting.result.boxes
    deepest = min(boxes.values(), key=lambda box: box.cutoffs[3.0])
    assert f"{deepest.key} reaches lowest, {deepest.cutoffs[3.0]:.0f} Hz" in lead
    assert "A is the smallest, 9.0 litre" in lead
    table = {what: values for what, _, values, _ in rows(sitting.result)}["Clean level at 40 Hz"]
    assert f"{max(table, key=table.get)} plays loudest at 40 Hz" in lead


def test_with_one_box_and_without_a_driver_it_says_so(desk):
    sitting = desk()
    sitting.type("side_by_side", "drop:A")
    page = sitting.type("side_by_side", "drop:C")
    assert "only one box on the bench" in page.lead
    page = desk("plan").look("side_by_side")
    assert "unknown until driver data" in page.lead and not list(page.root.all("figure", class_="chart"))


def test_boxes_that_know_their_driver_stand_beside_one_that_does_not(desk):
    sitting = desk()
    page = sitting.type("box", **{"alternatives.B.driver": "dome"})
    page = sitting.look("side_by_side")
    check(page)
    assert page.rows("What differs")[4][2] == "–", "B has no cut-off"
    figure = json.loads(next(page.root.all("div", class_="plot")).attributes["data-figure"])
    assert {line["name"] for line in figure["data"] if "name" in line} == {"A", "C"}


def test_another_box_can_be_chosen_and_the_differences_turn_round(desk):
    sitting = desk()
    before = sitting.result.built.fb
    page = sitting.type("side_by_side", chosen="C")
    assert sitting.document["chosen"] == "C" and page.fields["chosen"].value == "C"
    assert page.rows("What differs")[1][1:4] == [
        "9.0 litre −9.0 litre",
        "14.0 litre −4.0 litre",
        "18.0 litre",
    ]
    by = sitting.result.built.fb - before  # of the cabinet as it stands, with the other port
    assert (
        page.sill["Tuning"][1]
        == f"{'▲' if by > 0 else '▼'} {abs(by):.0f} Hz {'higher' if by > 0 else 'lower'}"
    )
    page = sitting.refused("side_by_side", chosen="E")
    assert "must be one of the boxes" in page.fields["chosen"].says


def test_drop_and_copy(desk):
    sitting = desk()
    page = sitting.type("side_by_side", "drop:A")
    assert list(sitting.document["alternatives"]) == ["B", "C"]
    assert [do for do in page.buttons if do.startswith("drop")] == ["drop:C"]
    assert "choose another one first" in sitting.refused("side_by_side", "drop:B").text
    sitting.type("side_by_side", "copy:C")
    assert list(sitting.document["alternatives"]) == ["B", "C", "A"]


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "side_by_side")
