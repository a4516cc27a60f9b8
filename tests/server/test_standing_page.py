"""Standing: what it weighs, how far it tilts, and what it stands on."""

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, said

from calc.evaluate_standing import stood
from server.documents import read_project
from server.pages import QUESTIONS


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("standing")
    check(page)
    assert page.heading == QUESTIONS["standing"]


def test_its_angles_and_its_weights_are_the_results(desk):
    sitting = desk("reading_room imperial")
    page, found = sitting.look("standing"), stood(read_project(sitting.document), sitting.result)
    rows = page.rows("How far it tilts before it falls")
    assert rows[1][1:5] == [f"{angle:.1f}°" for angle in found.weakest.stands.angles.values()]
    system = sitting.plain["show"], sitting.plain["fraction"]
    weighs = {row[0].split(" ")[0]: row[1] for row in page.rows("What one speaker weighs")[1:]}
    for name, _, mass, _ in sitting.result.cabinet.masses:
        assert weighs[name.capitalize()] == said(mass, "mass", *system)
    assert weighs["Together"] == said(sitting.result.cabinet.mass, "mass", *system)


def test_feet_plinth_and_stand_come_and_go(desk):
    sitting = desk()
    for what in ("feet", "plinth", "stand"):
        check(sitting.type("standing", f"add:{what}"))
    document = sitting.document
    assert document["cabinet"]["feet"]["count"] == 4 and document["stand"]["fixed"] is False
    typed = {"cabinet.feet.count": "3", "stand.fixed": "yes", "stand.height": "450"}
    page = sitting.type("standing", **typed)
    check(page)
    document = sitting.document
    assert document["cabinet"]["feet"]["count"] == 3
    assert (document["stand"]["fixed"], document["stand"]["height"]) == (True, 0.45)
    assert "plinth left" in sitting.look("cutting").text.lower()
    for what in ("feet", "plinth", "stand"):
        page = sitting.type("standing", f"drop:{what}")
    assert (sitting.document["cabinet"]["plinth"], sitting.document["stand"]) == (None, None)


def test_feet_that_pass_each_other_are_refused_in_their_field(desk):
    sitting = desk()
    sitting.type("standing", "add:feet")
    beside = ("cabinet.feet.height", "12", 0.012)
    check_refusal(sitting, "standing", "cabinet.feet.inset", "200", "pass each other", beside)


def test_it_answers_with_and_without_script_and_lets_a_guest_look(desk, stranger):
    sitting = desk()
    sitting.type("standing", "add:feet")
    check_answers(sitting, "standing", "cabinet.feet.height", "15")
    check_looking(stranger(sitting), "standing")
