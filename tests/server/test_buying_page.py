"""To buy: everything that the pair needs, and what it costs."""

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, made

from calc.evaluate_buying import buying
from server.documents import read_project
from server.pages import QUESTIONS


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    sitting = desk(name)
    page = sitting.look("buying")
    check(page)
    assert page.heading == QUESTIONS["buying"]
    found = buying(read_project(sitting.document), sitting.result)
    assert f"{len(found.lines)} things" in page.lead
    assert set(page.fields) >= {f"prices.{line.key}" for line in found.lines}


def test_prices_make_the_sum(desk):
    sitting = desk()
    page = sitting.type("buying", **{"prices.driver woofer": "60.50", "prices.sheet ply": "89"})
    check(page)
    assert sitting.document["prices"] == {"driver woofer": 60.5, "sheet ply": 89.0}
    assert "come to 210.00 for both" in page.lead and "149.50 for one" in page.lead
    rows = page.rows("Drivers")
    assert rows[1][1:] == ["1", "2", "121.00"]
    page = sitting.type("buying", **{"prices.sheet ply": ""})
    assert "come to 121.00" in page.lead


def test_one_speaker_has_no_second_column(desk):
    sitting = desk()
    sitting.type("cutting", speakers="1")
    assert sitting.look("buying").rows("Wood")[0] == ["What", "For one", "Comes to"]


def test_nonsense_is_refused_in_its_field(desk):
    beside = ("prices.glue", "12", 12.0)
    check_refusal(desk(), "buying", "prices.screws", "-3", "less than zero", beside)
    check_refusal(desk(), "buying", "prices.screws", "9999999", "must be a price", beside)
    check_refusal(desk(), "buying", "prices.screws", "cheap", "number", beside)


def test_it_answers_with_and_without_script_and_lets_a_guest_look(desk, stranger):
    sitting = desk()
    check_answers(sitting, "buying", "prices.glue", "12.5")
    check_looking(stranger(sitting), "buying")


def test_the_drawer_is_told_and_its_prices_stand(desk):
    document = made("reading_room")
    document["drawer"] = [
        {"kind": "capacitor", "value": 5.6e-6},
        {"kind": "capacitor", "value": 5.6e-6},
        {"kind": "coil", "value": 0.47e-3, "price": 7.5},
    ]
    page = desk(document).look("buying")
    check(page)
    assert "From your drawer" in page.text and "Capacitor 5.6 µF: you have 2" in page.text
    assert "your drawer says 7.50" in page.text and "15.00 for both" in page.lead
    for words in (
        "Cable ties",
        "Single wire",
        "Push-on sockets",
        "Board for the crossover",
        "Left out on purpose",
    ):
        assert words in page.text
