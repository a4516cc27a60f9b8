"""What is said of a box on its page, and how numbers are spoken in it."""

import pytest
from reading import check

from calc.evaluate_side_by_side import verdict_of
from server.beginnings import demo
from server.documents import read_project
from server.telling import spoken, told


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial"])
def test_the_box_page_says_what_its_box_does(desk, name):
    sitting = desk(name)
    for key in sitting.result.boxes:
        page = sitting.type("box", chosen=key)
        check(page)
        project = read_project(sitting.plain)
        parts = verdict_of(project, sitting.result.box)
        assert [part.about for part in parts] == ["reach", "loud", "stop", "cabinet", "bass"]
        for part in parts:
            assert told(part, project).replace("\N{NO-BREAK SPACE}", " ") in page.says("verdict")
        assert f"{sitting.result.box.cutoffs[3.0]:.0f} Hz, about" in page.says("verdict")
        assert "between it and the others" in page.says("verdict")


def test_it_says_nothing_of_a_driver_that_it_does_not_know(desk):
    sitting = desk("plan")
    page = sitting.look("box")
    assert "verdict" not in page.ids
    assert verdict_of(read_project(sitting.plain), sitting.result.box) == ()


def test_one_box_alone_is_not_sent_to_the_others(desk):
    sitting = desk()
    sitting.type("box", "drop:A")
    page = sitting.type("box", "drop:C")
    assert "In plain words" in page.text and "between it and the others" not in page.text


def test_a_change_moves_what_is_said(desk):
    sitting = desk()
    before = sitting.look("box").says("verdict")
    after = sitting.type("box", **{"alternatives.B.box.Vb": "10"}).says("verdict")
    assert "10.0 litre" in after and "10.0 litre" not in before


@pytest.mark.parametrize(
    ("value", "quantity", "words"),
    [
        (47.0995, "frequency", "47 Hz"),
        (9.26, "frequency", "9.3 Hz"),
        (101.2, "level", "101 dB"),
        (5.693, "level", "5.7 dB"),
        (0.0076, "time", "7.6 ms"),
        (0.01681, "time", "17 ms"),
        (0.1333333, "time", "130 ms"),
        (0.00012, "time", "0.12 ms"),
        (0.0, "time", "0 ms"),
        (0.014, "volume", "14.0 litre"),
        (9, "count", "9"),
        (1.0, "number", "1.0"),
        ("E1", "", "E1"),
    ],
)
def test_numbers_are_spoken_as_coarse_as_they_are_heard(value, quantity, words):
    project = read_project(demo("reading_room"))
    assert spoken(value, quantity, project).replace("\N{NO-BREAK SPACE}", " ") == words


def test_other_units_are_those_of_the_project():
    project = read_project({**demo("reading_room"), "show": "imperial"})
    assert spoken(0.0254, "length", project).replace("\N{NO-BREAK SPACE}", " ") == "1 in"
    assert spoken(47.0, "frequency", project).endswith("Hz")
