"""Map: every size and tuning, one box tried on it, and how that becomes a box that is weighed."""

import json
import re

import pytest
from reading import BOXES, MADE, Page, check, check_looking, said

from calc.evaluate_map import land, tried
from server.documents import read_project
from server.drawings.box_map import Scale
from server.pages import QUESTIONS
from server.routes.map import HEIGHTS

KNOWN = ("reading_room", "hall_subwoofer", "reading_room imperial", "hall_subwoofer imperial")


def look(sitting, status=200, panel=False, **asked):
    headers = {"HX-Request": "true"} if panel else {}
    answer = sitting.browser.get(f"/projects/{sitting.key}/map", params=asked, headers=headers)
    assert answer.status_code == status, (answer.status_code, answer.text[:300])
    page = Page(answer.text)
    check(page)
    return page


def seen(sitting):
    return land(read_project(sitting.document), sitting.result)


def tried_at(sitting, Vb, fb):
    return tried(read_project(sitting.document), sitting.result, Vb, fb)


@pytest.mark.parametrize("name", [*MADE, *BOXES])
def test_it_opens(desk, name):
    page = look(desk(name))
    assert page.heading == QUESTIONS["map"]
    assert any(link.text == "Every size" for link in page.root.one("nav", class_="rooms").all("a"))


@pytest.mark.parametrize("name", ["drivers", "plan"])
def test_without_driver_data_nothing_is_drawn(desk, name):
    sitting = desk(name)
    page = look(sitting)
    assert "Unknown until driver data" in page.lead and not list(page.root.all("form", id="try"))
    answer = sitting.browser.get(f"/projects/{sitting.key}/map/at", params={"Vb": 0.02, "fb": 40})
    assert answer.status_code == 422 and answer.json() == {"errors": {"driver": "is not known yet"}}


@pytest.mark.parametrize("name", KNOWN)
def test_its_answer_is_the_map(desk, name):
    sitting = desk(name)
    told, box = seen(sitting), sitting.result.box
    lead = look(sitting).lead
    assert f"falls 3 dB from {box.cutoffs[3.0]:.0f} to {told.wider:.0f} Hz" in lead
    assert f"15 percent lower moves it to {told.lower:.0f} Hz, both together to {told.both:.0f} Hz" in lead


@pytest.mark.parametrize("name", KNOWN)
def test_the_numbers_beside_it_are_those_of_the_tried_box(desk, name):
    sitting = desk(name)
    show, fraction = sitting.plain["show"], sitting.plain["fraction"]
    box = sitting.result.box
    Vb, fb = 1.2 * box.Vb, 0.9 * box.fb
    typed = (said(Vb, "volume", show), said(fb, "frequency", show))
    page = look(sitting, Vb=typed[0], fb=typed[1])
    assert [page.fields[name].value for name in ("Vb", "fb")] == [text.split()[0] for text in typed]
    hidden = {name: page.fields[f"tried.{name}"].value for name in ("Vb", "fb", "of")}
    other = tried_at(sitting, float(hidden["Vb"]), float(hidden["fb"]))
    assert float(hidden["Vb"]) == pytest.approx(Vb, rel=0.01) and hidden["of"] == "f3"
    own = tried_at(sitting, box.Vb, box.fb)
    rows = {row[0]: row[1:3] for row in page.rows(label="Tried")[1:]}
    assert rows == {
        words: [said(getattr(each, key), quantity, show, fraction) for each in (own, other)]
        for words, key, quantity in (
            ("Falls 3 dB at", "f3", "frequency"),
            ("Rises by", "peak", "level"),
            ("Cone, each way", "travel", "travel"),
            ("Port air, peak", "speed", "speed"),
            ("Port, long", "length", "length"),
        )
    }
    by = other.f3 - own.f3
    assert f"{abs(by):.0f} Hz {'higher' if by > 0 else 'lower'} than box B" in page.says("tried")


@pytest.mark.parametrize("of", HEIGHTS)
def test_each_kind_of_line_is_drawn_with_its_numbers(desk, of):
    sitting = desk()
    page = look(sitting, of=of)
    assert page.fields["of"].value == of
    drawing = next(page.root.all("svg", role="img"))
    assert HEIGHTS[of].lower() in drawing.attributes["aria-label"]
    words = [text.text for text in drawing.all("text")]
    assert len(list(drawing.all("path", class_="hl"))) >= 4
    assert sum(bool(re.fullmatch(r"[\d.]+", text)) for text in words) >= 12, "lines and edges have numbers"
    assert {"A", "B", "C"} <= set(words), "the boxes that are weighed"
    assert "quasi-third-order" in words
    assert list(drawing.all("path", class_="shut")), "what these ports cannot tune is hatched"
    caption = page.root.one("figcaption").text
    assert "Each line joins boxes" in caption and "Hatched" in caption


def test_places_on_the_paper_and_on_the_map_are_the_same(desk):
    """By the grid, by volume and tuning, and by what a browser reads off: three ways to one place."""
    sitting = desk("hall_subwoofer")
    told = seen(sitting)
    scale = Scale(told.Vb, told.fb)
    for i, j in ((0, 0), (59, 44), (17, 30)):
        assert scale.at(i, j) == pytest.approx((scale.x(told.Vb[i]), scale.y(told.fb[j])))
    edges = scale.edges()
    for Vb, fb in ((0.05, 30.0), (0.1, 20.0)):
        right, down = scale.share(Vb, fb)
        along = (right - edges["left"]) / (edges["right"] - edges["left"])
        up = (edges["low"] - down) / (edges["low"] - edges["top"])
        assert edges["Vb"][0] * (edges["Vb"][1] / edges["Vb"][0]) ** along == pytest.approx(Vb)
        assert edges["fb"][0] * (edges["fb"][1] / edges["fb"][0]) ** up == pytest.approx(fb)
    assert scale.share(1e6, 1e6) == pytest.approx((edges["right"], edges["top"])), "held to the map's edge"
    assert scale.share(0.05, None)[1] == pytest.approx(edges["strip"])
    ground = json.loads(look(sitting).root.one("div", id="land").attributes["data-ground"])
    assert ground["Vb"] == list(edges["Vb"]) and ground["fb"] == list(edges["fb"])


def test_imperial_lines_of_length_are_inches(desk):
    page = look(desk("hall_subwoofer imperial"), of="length")
    assert re.search(r"\b16″", page.root.one("div", id="land").text)


def test_a_closed_box_has_no_lines_of_ports(desk):
    sitting = desk()
    sitting.type("box", chosen="A")
    page = look(sitting, of="length")
    assert page.fields["of"].choices == ("f3", "peak", "travel") and page.fields["of"].value == "f3"
    assert page.fields["fb"].value == "" and "9.0 litre, closed" in page.says("tried")
    assert "Half as much air again" in page.lead and "percent lower" not in page.lead


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("Vb", "", "is needed"),
        ("Vb", "letters", "cannot be read as a number"),
        ("Vb", "40 Hz", "this is a frequency"),
        ("Vb", "0", "must be a number above zero"),
        ("Vb", "1e9", "too large"),
        ("fb", "20 litre", "this is a volume"),
        ("fb", "-4", "cannot be less than zero"),
        ("fb", "0", "must be a number above zero"),
    ],
)
def test_what_cannot_be_tried_is_refused_at_its_field(desk, field, text, words):
    sitting = desk()
    before = sitting.document
    page = look(sitting, 422, **({"Vb": "20", "fb": "40"} | {field: text}))
    assert page.fields[field].wrong and words in page.fields[field].says
    assert page.fields[field].value == text
    other = {"Vb": "fb", "fb": "Vb"}[field]
    assert not page.fields[other].wrong and page.fields[other].value == {"Vb": "20", "fb": "40"}[other]
    assert sitting.document == before


def test_a_box_that_its_ports_cannot_tune_is_told(desk):
    page = look(desk(), Vb="48", fb="62")
    assert "No such port" in page.says("tried") and "shorter than nothing" in page.says("tried")


def test_the_panel_and_the_whole_page(desk):
    sitting = desk()
    for panel in (True, False):
        answer = sitting.browser.get(
            f"/projects/{sitting.key}/map?of=peak&Vb=20&fb=40",
            headers={"HX-Request": "true"} if panel else {},
        )
        assert ("<html" in answer.text) is not panel and "20.0" in answer.text
    assert look(sitting, of="nonsense").fields["of"].value == "f3"


# --- a mark that is drawn


def test_a_mark_gets_the_numbers_of_the_page(desk):
    sitting = desk()
    answer = sitting.browser.get(f"/projects/{sitting.key}/map/at", params={"Vb": 0.021349, "fb": 39.777})
    told = answer.json()
    assert (told["Vb"], told["fb"]) == (0.0213, 39.8) and told["takes"] is True
    assert told["typed"] == {"Vb": "21.3", "fb": "39.8"}
    page = look(sitting, Vb="21.3", fb="39.8")
    assert Page(told["html"]).root.text == page.says("tried")
    closed = sitting.browser.get(f"/projects/{sitting.key}/map/at", params={"Vb": 0.009}).json()
    assert closed["typed"]["fb"] == "" and closed["takes"] is False and "closed" in closed["words"]


@pytest.mark.parametrize(
    "asked", [{}, {"Vb": "much"}, {"Vb": "nan"}, {"Vb": "inf"}, {"Vb": "-1"}, {"Vb": "0.02", "fb": "0"}]
)
def test_a_mark_that_lies_nowhere_is_refused(desk, asked):
    sitting = desk()
    answer = sitting.browser.get(f"/projects/{sitting.key}/map/at", params=asked)
    assert answer.status_code == 422
    assert sitting.browser.get("/projects/nobody/map/at", params={"Vb": 0.02}).status_code == 404


# --- taking it


def of_map(Vb, fb="", of="f3"):
    return {"tried.Vb": str(Vb), "tried.fb": str(fb), "tried.of": of}


def test_the_chosen_box_takes_the_tried_size(desk):
    sitting = desk()
    sitting.type("port", "hold:length")
    page = sitting.type("map", "take", **of_map(0.0213, 41.8, "peak"))
    check(page)
    box = sitting.document["alternatives"]["B"]["box"]
    assert (box["Vb"], box["fb"], box["port"]["length"]) == (0.0213, 41.8, None)
    assert page.fields["of"].value == "peak", "the map is looked at as before"
    assert page.fields["Vb"].value == "21.3" and page.fields["fb"].value == "41.8"
    assert sitting.result.box.fb == pytest.approx(41.8) and sitting.result.box.Vb == 0.0213


def test_a_closed_box_takes_a_closed_size_alone(desk):
    sitting = desk()
    sitting.type("box", chosen="A")
    sitting.type("map", "take", **of_map(0.0111))
    assert sitting.document["alternatives"]["A"]["box"]["Vb"] == 0.0111
    before = sitting.document
    assert "of another kind" in sitting.refused("map", "take", **of_map(0.02, 40)).text
    assert sitting.document == before


def test_what_the_ports_cannot_tune_is_not_taken(desk):
    sitting = desk()
    before = sitting.document
    assert "shorter than nothing" in sitting.refused("map", "take", **of_map(0.048, 62)).text
    assert sitting.document == before


@pytest.mark.parametrize("start", ["reading_room", *BOXES])
def test_the_tried_box_is_weighed_beside(desk, start):
    sitting = desk(start)
    before = sitting.plain["alternatives"]
    chosen = sitting.plain["chosen"]
    page = sitting.type("map", "weigh", **of_map(0.0171, 44.5))
    check(page)
    now = sitting.plain
    assert now["chosen"] not in before
    assert {key: now["alternatives"][key] for key in before} == before
    added = now["alternatives"][now["chosen"]]
    assert (added["box"]["kind"], added["box"]["Vb"], added["box"]["fb"]) == ("vented", 0.0171, 44.5)
    assert added["driver"] == before[chosen]["driver"] and added["count"] == before[chosen]["count"]
    if before[chosen]["box"]["kind"] == "vented":
        assert added["box"]["port"]["shape"] == before[chosen]["box"]["port"]["shape"]
    assert sitting.result.box.port.length > 0


def test_a_closed_one_is_weighed_beside_and_only_four_fit(desk):
    sitting = desk()
    page = sitting.type("map", "weigh", **of_map(0.0111))
    box = sitting.document["alternatives"]["D"]["box"]
    assert (box["kind"], box["Vb"]) == ("closed", 0.0111)
    assert "weigh" not in page.buttons
    assert "four boxes" in sitting.refused("map", "weigh", **of_map(0.0122)).text


@pytest.mark.parametrize("nonsense", [{"tried.Vb": "much"}, {"tried.Vb": "0.02", "tried.fb": "high"}, {}])
@pytest.mark.parametrize("do", ["take", "weigh"])
def test_a_button_without_a_tried_box_is_refused(desk, do, nonsense):
    sitting = desk()
    before = sitting.document
    assert "no box was tried" in sitting.refused("map", do, **nonsense).text
    assert sitting.document == before


def test_a_size_that_no_box_has_is_refused(desk):
    sitting = desk()
    for Vb in ("nan", "-0.02", "inf", "0"):
        sitting.refused("map", "take", **of_map(Vb, 40))


def test_somebody_else_was_faster(desk):
    sitting = desk()
    sitting.type("box", **{"alternatives.B.box.Vb": "15"})
    answer = sitting.send("map", "take", revision=1, **of_map(0.0213, 41.8))
    assert answer.status_code == 409
    assert sitting.document["alternatives"]["B"]["box"]["Vb"] == 0.015


def test_looking(desk, stranger):
    sitting = desk()
    visitor = stranger(sitting)
    check_looking(visitor, "map")
    page = look(visitor, of="travel", Vb="20", fb="40")
    assert "take" not in page.buttons and "20.0 litre, tuned to 40 Hz" in page.says("tried")
    for do in ("take", "weigh"):
        assert visitor.send("map", do, **of_map(0.02, 40)).status_code == 403
