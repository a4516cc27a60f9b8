"""History: earlier versions, links to give away, and the settings that every page follows."""

import re

import pytest
from places import PLACES
from reading import MADE, Page, check, check_answers, check_looking, check_refusal

from server.pages import QUESTIONS


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("history")
    check(page)
    assert page.heading == QUESTIONS["history"]


def test_each_change_is_kept_and_can_come_back(desk):
    sitting = desk()
    assert "None yet" in sitting.look("history").text
    first = sitting.document
    sitting.type("box", **{"alternatives.B.box.fb": "50"})
    sitting.type("box", **{"alternatives.B.box.fb": "55"})
    page = sitting.look("history")
    assert "this is revision 3" in page.lead
    assert [row[0] for row in page.rows(label="Earlier versions")[1:]] == ["2", "1"]
    assert {do for do in page.buttons if do.startswith("restore")} == {"restore:2", "restore:1"}
    answer = sitting.send("history", "restore:1")
    assert answer.status_code == 303 and answer.headers["Location"] == f"/projects/{sitting.key}/history"
    assert sitting.document == first
    page = sitting.look("history")
    assert "this is revision 4" in page.lead and "restore:3" in page.buttons
    assert sitting.look("box").sill["Tuning"][1].startswith("▼"), "the sill says what coming back has moved"
    sitting.send("history", "restore:3")
    assert sitting.document["alternatives"]["B"]["box"]["fb"] == 55


@pytest.mark.parametrize("number", ["0", "7", "-1", "one", "²", "٣", "9" * 5000, ""])
def test_a_version_that_never_was_is_not_found(desk, number):
    sitting = desk()
    before = sitting.document
    answer = sitting.send("history", f"restore:{number}")
    assert answer.status_code == 404 and "nothing" in answer.text.lower()
    assert sitting.document == before


def test_coming_back_over_somebody_elses_change_asks_first(desk):
    sitting = desk()
    first = sitting.document
    for fb in ("50", "55"):
        sitting.type("box", **{"alternatives.B.box.fb": fb})
    answer = sitting.send("history", "restore:1", revision=2)
    assert answer.status_code == 409 and "restore, 1" in answer.text
    assert sitting.document["alternatives"]["B"]["box"]["fb"] == 55
    mine = Page(answer.text)
    revision = mine.root.one("form", id="mine").one("input", name="revision").attributes["value"]
    do = mine.root.one("form", id="mine").one("input", name="do").attributes["value"]
    assert sitting.send("history", do, revision=revision).status_code == 303
    assert sitting.document == first
    for nonsense in ("x", "9" * 5000, ""):
        assert sitting.send("history", "restore:1", revision=nonsense).status_code == 409


@pytest.mark.parametrize("kind", ["look", "edit"])
def test_a_link_is_made_anew_and_taken_back(desk, visitor, store, kind):
    sitting = desk()
    assert "Nobody else can see it yet" in sitting.look("history").lead
    answer = sitting.send("history", f"link:{kind}")
    assert answer.status_code == 303 and answer.headers["Location"].endswith("/history#share")
    first = store.links(sitting.project)[kind]
    page = sitting.look("history")
    check(page)
    assert "1 link is out" in page.lead
    (address,) = [a.attributes["href"] for a in page.root.one("p", class_="address").all("a")]
    assert f"/projects/{first}/" in address and list(page.root.all("svg", class_="qr"))
    assert visitor.get(f"/projects/{first}/box").status_code == 200
    sitting.send("history", f"link:{kind}")
    second = store.links(sitting.project)[kind]
    assert visitor.get(f"/projects/{first}/box").status_code == 404
    assert visitor.get(f"/projects/{second}/box").status_code == 200
    sitting.send("history", f"withdraw:{kind}")
    assert visitor.get(f"/projects/{second}/box").status_code == 404
    assert store.links(sitting.project) == {}


def test_a_link_of_no_kind_makes_nothing(desk, store):
    sitting = desk()
    for do in ("link:everything", "link:", "withdraw:ghost"):
        assert sitting.send("history", do).status_code == 303
    assert store.links(sitting.project) == {}


def test_who_edits_by_a_link_sees_versions_and_no_links(desk, stranger):
    sitting = desk()
    helper = stranger(sitting, "edit")
    page = helper.look("history")
    assert not [do for do in page.buttons if do.startswith(("link", "withdraw"))]
    assert "Two links" not in page.text and sitting.key not in page.markup
    helper.type("history", title="By a helper")
    assert sitting.document["title"] == "By a helper"
    assert helper.send("history", "link:look").status_code == 403


def test_the_system_of_units_is_that_of_every_page(desk):
    sitting = desk()
    fraction = re.compile(r"\b\d+/\d+\b")
    sizeless = ("history", "loudness", "doubt", "crossover", "ways", "fit", "tolerance", "steps")
    pages = [place for place in PLACES if place not in sizeless]
    sitting.type("history", show="imperial", fraction="32")
    for place in pages:
        page = sitting.look(place)
        found = set(fraction.findall(page.text)) | {
            part for field in page.fields.values() for part in fraction.findall(field.value or "")
        }
        found -= {"1/64", "1/16"}  # the choices of a finest part
        assert found, f"no fraction of an inch on {place}"
        assert not [part for part in found if int(part.split("/")[1]) > 32], place
        assert page.sill["Net volume"][0].endswith("ft³") and page.sill["Weight, each"][0].endswith("lb")
    sitting.type("history", show="metric")
    for place in pages:
        page = sitting.look(place)
        assert page.sill["Net volume"][0].endswith(("litre", "L")) and page.sill["Weight, each"][0].endswith(
            "kg"
        ), place


def test_settings_are_kept_and_shown(desk):
    sitting = desk()
    page = sitting.type(
        "history", **{"air.T": "-5 °C", "air.humidity": "80 %", "air.p": "980", "notes": " a\r\nb "}
    )
    assert sitting.document["air"] == {"T": 268.15, "p": 98000.0, "humidity": 0.8}
    assert page.fields["air.T"].value == "-5" and sitting.document["notes"] == "a\nb"
    page = sitting.type("history", show="imperial")
    assert page.fields["air.T"].value == "23" and page.fields["air.p"].value == "28.94"
    assert page.fields["fraction"].value == "64" and page.fields["show"].value == "imperial"


def test_markup_in_words_stays_words(desk):
    sitting = desk()
    words = "<script>alert(1)</script> & \"quotes\" 'too'"
    page = sitting.type("history", notes=words, title="<b>bold</b>")
    assert page.fields["notes"].value == words and page.fields["title"].value == "<b>bold</b>"
    for place in PLACES:
        markup = sitting.look(place).markup
        assert "<b>bold" not in markup and "<script>alert" not in markup, place


REFUSALS = [
    ("title", "", "needs a name to find it by"),
    ("title", "   ", "needs a name to find it by"),
    ("air.T", "100", "must be a temperature that people live in"),
    ("air.T", "20 hPa", "this is an air pressure; a temperature is wanted here"),
    ("air.p", "2000", "must be a pressure found on land"),
    ("air.humidity", "101", "must be between 0 and 100 percent"),
    ("speakers", "0", "must be a whole number from 1 to 20"),
]


@pytest.mark.parametrize(("path", "text", "words"), REFUSALS)
def test_refusals(desk, path, text, words):
    beside = ("notes", "kept", "kept")
    if text.strip() == text:
        check_refusal(desk(), "history", path, text, words, beside)
    else:
        assert words in desk().refused("history", **{path: text}).fields[path].says


def test_answers(desk):
    check_answers(desk(), "history", "air.T", "21")


def test_looking(desk, stranger):
    sitting = desk()
    sitting.type("history", notes="once")
    check_looking(stranger(sitting), "history")


def test_a_workbench_that_only_looks(desk, store, client):
    sitting = desk()
    store.read_only = True
    page = sitting.look("history")
    assert "Looking only" in page.text and "Two links" not in page.text
    for do in ("", "restore:1", "link:look", "withdraw:look"):
        assert sitting.send("history", do, title="x").status_code == 403
