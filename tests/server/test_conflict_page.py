"""Two at one project: the later one sees both values and chooses; nothing is lost on the way."""

import pytest
from reading import NO_NUMBER, Page

from server.pages import path_words

EDITS = {
    "drivers": ("drivers.woofer.fs", "39", "40"),
    "box": ("alternatives.B.box.Vb", "15", "16.0"),
    "side_by_side": ("chosen", "A", "C"),
    "port": ("alternatives.B.box.port.shape.diameter", "57", "58"),
    "cabinet": ("cabinet.size.width", "190", "200"),
    "cutting": ("workshop.kerf", "3", "2.8"),
    "boring": ("cabinet.seats.woofer.y", "191", "192"),
    "history": ("title", "Theirs", "Mine"),
}


def both(answer):
    """What the conflict page shows, path in words -> (mine, theirs), and what "keep mine" would send."""
    page = Page(answer.text)
    assert page.heading == "Which of the two shall stand?"
    assert not NO_NUMBER.search(page.markup)
    rows = {row[0]: tuple(row[1:]) for row in page.rows(label="The two versions")[1:]}
    form = page.root.one("form", id="mine")
    sent = {each.attributes["name"]: each.attributes["value"] for each in form.all("input")}
    return rows, form.attributes["action"], sent


@pytest.mark.parametrize("place", EDITS)
def test_the_later_one_sees_both_and_may_keep_his(desk, place):
    sitting = desk()
    path, theirs, mine = EDITS[place]
    page = sitting.type(place, **{path: theirs})
    answer = sitting.send(place, revision=1, **{path: mine})
    assert answer.status_code == 409
    rows, action, sent = both(answer)
    shown = page.fields[path].value
    assert rows == {path_words(path): (mine, shown)}
    assert sent == {"revision": "2", path: mine} and action == f"/projects/{sitting.key}/{place}"
    assert sitting.look(place).fields[path].value == shown, "nothing of mine was kept yet"
    kept = sitting.browser.post(action, data=sent, headers={"HX-Request": "true"})
    assert kept.status_code == 200 and Page(kept.text).fields[path].value == mine


def test_an_unchanged_page_that_is_old_is_only_shown_anew(desk):
    sitting = desk()
    sitting.type("box", **{"alternatives.B.box.Vb": "15"})
    whole = {name: field.value for name, field in sitting.look("box").fields.items()}
    assert sitting.send("box", revision=1, **whole).status_code == 200
    assert sitting.look("box").revision == "2"


def test_only_what_differs_is_asked_about(desk):
    sitting = desk()
    before = {name: field.value for name, field in sitting.look("box").fields.items()}
    sitting.type("box", **{"alternatives.B.P": "40"})
    answer = sitting.send("box", revision=1, **{**before, "alternatives.B.box.Vb": "15"})
    rows, _, sent = both(answer)
    assert rows[path_words("alternatives.B.box.Vb")] == ("15", "14.0")
    assert rows[path_words("alternatives.B.P")] == ("25", "40")
    assert set(sent) == {"revision", "alternatives.B.box.Vb", "alternatives.B.P"}


def test_what_cannot_be_read_is_not_lost_either(desk):
    sitting = desk()
    sitting.type("box", **{"alternatives.B.P": "40"})
    answer = sitting.send("box", revision=1, **{"alternatives.B.box.Vb": "nineteen"})
    assert answer.status_code == 409
    rows, action, sent = both(answer)
    assert rows[path_words("alternatives.B.box.Vb")] == ("nineteen", "14.0")
    kept = sitting.browser.post(action, data=sent, headers={"HX-Request": "true"})
    assert kept.status_code == 422 and Page(kept.text).fields["alternatives.B.box.Vb"].value == "nineteen"


@pytest.mark.parametrize(
    ("place", "do", "extra"),
    [
        ("box", "copy:B", {}),
        ("cabinet", "add-thing", {"thing": "tea pot"}),
        ("cabinet", "hold:outer", {}),
        ("port", "hold:length", {}),
        ("boring", "add-hole", {}),
        ("drivers", "add:tweeter", {}),
    ],
)
def test_a_pressed_button_is_pressed_again(desk, place, do, extra):
    sitting = desk()
    sitting.type("history", notes="changed meanwhile")
    answer = sitting.send(place, do, revision=1, **extra)
    assert answer.status_code == 409 and "You had also pressed" in answer.text
    page = Page(answer.text)
    form = page.root.one("form", id="mine")
    sent = {each.attributes["name"]: each.attributes["value"] for each in form.all("input")}
    assert sent == {"revision": "2", "do": do, **extra}
    before = sitting.plain
    assert sitting.browser.post(form.attributes["action"], data=sent).status_code == 303
    assert sitting.plain != before and sitting.plain["notes"] == "changed meanwhile"
    if extra:
        assert "tea pot" in sitting.plain["cabinet"]["displaced"]


def test_a_choice_of_what_is_held_is_asked_about_too(desk):
    sitting = desk()
    sitting.type("cabinet", **{"cabinet.size.width": "190"})
    rows, _, sent = both(sitting.send("cabinet", revision=1, **{"cabinet.hold": "outer"}))
    assert rows == {path_words("cabinet.hold"): ("outer", "inner")} and sent["cabinet.hold"] == "outer"


@pytest.mark.parametrize("revision", ["", "x", "0", "99", "-1", "9" * 5000, "1.0"])
def test_a_revision_that_is_none_is_an_old_one(desk, revision):
    sitting = desk()
    answer = sitting.send("box", revision=revision, **{"alternatives.B.P": "40"})
    assert answer.status_code == 409 and sitting.look("box").revision == "1"


def test_whole_or_panel(desk):
    sitting = desk()
    sitting.type("history", title="Theirs")
    for panel in (True, False):
        answer = sitting.send("history", revision=1, panel=panel, title="Mine")
        assert answer.status_code == 409 and ("<html" in answer.text) is not panel


def test_a_helper_meets_the_owner_without_learning_his_address(desk, stranger):
    sitting = desk()
    helper = stranger(sitting, "edit")
    sitting.type("history", title="Theirs")
    answer = helper.send("history", revision=1, title="Mine")
    rows, action, _ = both(answer)
    assert rows == {path_words("title"): ("Mine", "Theirs")}
    assert action == f"/projects/{helper.key}/history" and sitting.key not in answer.text
