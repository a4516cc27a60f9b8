"""The page of what was really cut: what is measured is kept, told, refused at its field and forgotten."""

import pytest
from reading import MADE, check, check_answers, check_looking, said

from calc.evaluate import evaluate
from calc.evaluate_as_cut import built
from calc.evaluate_free_play import free_play
from server.documents import read_project
from server.pages import QUESTIONS

REAL = "cabinet.as_cut."


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("as_cut")
    check(page)
    assert page.heading == QUESTIONS["as_cut"]
    assert "What is left empty is as planned" in page.lead


def test_a_short_top_is_told_with_what_mends_it(desk):
    sitting = desk("reading_room")
    page = sitting.type("as_cut", **{REAL + "parts.top.width": "196,5"})
    assert sitting.plain["cabinet"]["as_cut"]["parts"]["top"]["width"] == pytest.approx(0.1965)
    now = built(read_project(sitting.plain), sitting.result)
    (saving,) = now.savings
    assert "The top is 1.5 mm short along the width" in page.text
    way = next(way for way in saving.remedies if "twins" in way.values)
    assert f"the net volume falls by {said(way.values['lost'][1], 'volume')}" in page.text
    assert f"{said(way.values['more'][1], 'length')} more depth inside gives it back" in page.text
    assert "goes on a sled" in page.text


def test_planned_and_cut_stand_side_by_side(desk):
    sitting = desk("reading_room imperial")
    sizes = {REAL + "parts.top.width": "7 3/4", REAL + "parts.bottom.width": "7 3/4"}
    page = sitting.type("as_cut", **sizes)
    now = built(read_project(sitting.plain), evaluate(read_project(sitting.plain)))
    rows = page.rows(label="Planned and as cut")[1:]
    assert [row[0] for row in rows] == [words for words, *_ in now.rows]
    fraction = sitting.plain["fraction"]
    for row, (_, quantity, planned, cut) in zip(rows, now.rows, strict=True):
        assert row[1] == said(planned, quantity, "imperial", fraction)
        assert row[2] == said(cut, quantity, "imperial", fraction)


def test_a_bad_size_is_refused_at_its_field(desk):
    sitting = desk("reading_room")
    page = sitting.refused(
        "as_cut", **{REAL + "parts.left.thickness": "hello", REAL + "parts.right.thickness": "18.4"}
    )
    check(page)
    refused = page.fields[REAL + "parts.left.thickness"]
    assert refused.wrong and refused.value == "hello" and "cannot be read as a number" in refused.says
    parts = sitting.plain["cabinet"]["as_cut"]["parts"]
    assert "left" not in parts and parts["right"]["thickness"] == 0.0184


@pytest.mark.parametrize("text", ["0", "-3"])
def test_no_part_is_nothing(desk, text):
    sitting = desk("reading_room")
    page = sitting.refused("as_cut", **{REAL + "parts.left.length": text})
    assert page.fields[REAL + "parts.left.length"].wrong


def test_what_does_not_go_together_says_why(desk):
    page = desk("reading_room").type("as_cut", **{REAL + "parts.left.thickness": "5"})
    assert "What was cut does not go together" in page.lead and "thickness of the left panel" in page.lead


def test_all_is_forgotten_by_its_button(desk):
    sitting = desk("reading_room")
    sitting.type("as_cut", **{REAL + "parts.top.width": "196,5"})
    page = sitting.type("as_cut", "forget")
    assert not sitting.plain["cabinet"]["as_cut"]["parts"]
    assert "Nothing to mend" in page.text


@pytest.mark.parametrize("group", ["sizes", "joints", "places"])
def test_the_play_of_a_group_is_a_table(desk, group):
    sitting = desk("reading_room")
    page = sitting.look(f"as_cut?play={group}")
    check(page)
    rows = page.rows(label="Free play")[1:]
    plays = free_play(read_project(sitting.plain), sitting.result, group)
    assert [row[1] for row in rows] == [said(play.value, "length") for play in plays]
    assert [row[3] for row in rows] == [said(abs(play.less.by), "length") for play in plays]
    for row, play in zip(rows, plays, strict=True):
        if play.more.clash is not None:
            assert play.more.clash.sentence in row[5]


def test_who_only_looks_sees_it_without_fields(desk, stranger):
    check_looking(stranger(desk("reading_room")), "as_cut")


def test_its_answers_are_those_of_a_plain_form(desk):
    check_answers(desk("reading_room"), "as_cut", REAL + "parts.top.width", "196,5")
