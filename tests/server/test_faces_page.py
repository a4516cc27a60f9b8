"""The page of faces: layers, rings, grille, the bare stage and the year, each kept, told and refused."""

import pytest
from reading import BOXES, MADE, check, check_answers, check_looking, said

from calc.evaluate_faces import faces
from server.documents import read_project
from server.pages import QUESTIONS


def found(sitting):
    return faces(read_project(sitting.plain), sitting.result)


@pytest.mark.parametrize("name", [*MADE, *BOXES])
def test_it_opens(desk, name):
    page = desk(name).look("faces")
    check(page)
    assert page.heading == QUESTIONS["faces"]


def test_a_thick_skin_asks_for_a_ring(desk):
    sitting = desk("reading_room")
    page = sitting.type("faces", "add-layer:front")
    seated = found(sitting).seatings["woofer"]
    assert "Not flush" in page.lead and "woofer" in page.lead
    assert f"A ring {said(seated.wanted, 'fine length')} thick brings it flush" in page.text
    page = sitting.type("faces", "add-ring:woofer")
    assert "Take the ring out" in page.text
    assert sitting.plain["cabinet"]["seats"]["woofer"]["ring"]["sheet"] == "ply"
    page = sitting.type("faces", "drop-ring:woofer")
    assert sitting.plain["cabinet"]["seats"]["woofer"]["ring"] is None


def test_skins_go_on_in_their_order(desk):
    sitting = desk("reading_room")
    sitting.type("faces", "add-layer:left")
    sitting.type("faces", "add-layer:front")
    before = sitting.result.cabinet.carcass.layers
    sitting.type("faces", "earlier:front skin")
    assert list(sitting.plain["cabinet"]["layers"]) == ["front skin", "left skin"]
    after = sitting.result.cabinet.carcass.layers
    assert after["front skin"].width < before["front skin"].width, "the side now covers its edge"
    sitting.type("faces", "drop-layer:front skin")
    assert list(sitting.plain["cabinet"]["layers"]) == ["left skin"]


def test_bare_and_finished_stand_side_by_side(desk):
    sitting = desk("reading_room")
    sitting.type("faces", "add-layer:back")
    page = sitting.type("faces", **{"cabinet.layers.back skin.later": "yes", "cabinet.lead": "4 mm"})
    stage = found(sitting).stage
    rows = page.rows(label="Bare and finished")[1:]
    assert [row[0] for row in rows] == [words for words, *_ in stage.rows]
    assert [row[1] for row in rows] == [said(bare, quantity) for _, quantity, bare, _ in stage.rows]
    assert f"{stage.leads * 100:.1f} percent of the port’s opening" in page.text


def test_a_soft_layer_goes_with_its_numbers(desk):
    sitting = desk("reading_room")
    sitting.type("faces", "add-layer:left")
    path = "cabinet.layers.left skin."
    sitting.type("faces", **{path + "soft": "0,5"})
    page = sitting.type("faces", **{path + "soft_G": "1 MPa", path + "soft_loss": "0,8"})
    assert "gives it a loss factor of" in page.text
    sitting.type("faces", **{path + "soft": ""})
    layer = sitting.plain["cabinet"]["layers"]["left skin"]
    assert layer["soft"] is None and layer["soft_G"] is None and layer["soft_loss"] is None


def test_a_grille_and_what_it_covers(desk):
    sitting = desk("reading_room")
    page = sitting.type("faces", "add-grille")
    parts = sitting.result.cabinet.grille
    assert said(parts.height, "length") in page.text
    covered = [near for near in parts.near if near.beside < 0]
    assert page.text.count("The frame covers the rim of") == len(covered) > 0
    page = sitting.refused("faces", **{"cabinet.grille.bar": "150"})
    assert page.fields["cabinet.grille.bar"].wrong
    page = sitting.type("faces", "drop-grille")
    assert "Build a grille" in page.text


def test_the_year_follows_the_climate(desk):
    sitting = desk("reading_room")
    before = found(sitting) and sitting.look("faces").text
    page = sitting.type("faces", **{"climate.dry": "20", "climate.damp": "80"})
    assert "From 20 to 80 percent humidity" in page.text and "From 35 to 65" in before
    page = sitting.refused("faces", **{"climate.damp": "10"})
    assert page.fields["climate.damp"].wrong


def test_who_only_looks_sees_it_without_fields(desk, stranger):
    check_looking(stranger(desk("reading_room")), "faces")


def test_its_answers_are_those_of_a_plain_form(desk):
    check_answers(desk("reading_room"), "faces", "climate.dry", "30")
