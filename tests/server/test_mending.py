"""A clash is told with its amount, and a button beside it makes the change that clears it."""

from math import hypot

import pytest
from reading import check, made, said

from calc.evaluate import evaluate
from calc.evaluate_clashes import mendings
from server.documents import amend, read_project

DOME, SHELF, PORT = "cabinet.seats.dome.y", "cabinet.braces.shelf.at", "alternatives.B.box.port"


def buttons(page):
    """{words: argument} of the buttons that mend."""
    return {
        each.text: each.attributes["value"]
        for each in page.root.all("button")
        if each.attributes.get("value", "").startswith("mend:")
    }


CASES = [
    ("boring", {DOME: 0.31}, "Move “dome” up by 21 mm", DOME, 0.331),
    ("cabinet", {DOME: 0.31}, "Move “woofer” down by 21 mm", "cabinet.seats.woofer.y", 0.1686),
    ("cabinet", {SHELF: 0.1}, "Move “shelf” down by 11 mm", SHELF, 0.089),
    ("port", {f"{PORT}.x": 0.035}, "Move the port to the right by 15 mm, seen from the front",
     f"{PORT}.x", 0.05),
]  # fmt: skip


def at(document, path):
    for name in path.split("."):
        document = document[name]
    return document


@pytest.mark.parametrize(("place", "edits", "words", "path", "value"), CASES)
def test_a_button_clears_the_clash_on_its_page(desk, place, edits, words, path, value):
    sitting = desk(amend(made("reading_room"), edits))
    page = sitting.look(place)
    check(page)
    assert words in buttons(page), "worked by hand in tests/calc/test_clashes.py"
    page = sitting.type(place, buttons(page)[words])
    check(page)
    assert at(sitting.document, path) == pytest.approx(value)
    assert sitting.result.misfits == () and not buttons(page) and "Does not fit" not in page.text


def test_all_remedies_stand_as_buttons_in_the_units_of_the_project(desk):
    sitting = desk(amend(made("reading_room imperial"), {DOME: 0.31, SHELF: 0.1}))
    page = sitting.look("cabinet")
    check(page)
    project, result = read_project(sitting.document), sitting.result
    remedies = [remedy for each in mendings(project, result) for remedy in each.remedies]
    assert len(buttons(page)) == len(remedies) >= 2
    for remedy in remedies:
        for quantity, value in remedy.values.values():
            assert any(
                said(value, quantity, "imperial", project.fraction) in words for words in buttons(page)
            )
    assert "Moving “woofer” alone does not clear it." in page.text


def test_where_no_single_change_does_the_page_says_so(desk):
    """A driver half a metre deep: no box is made twice as deep for it."""
    page = desk(amend(made("reading_room"), {"drivers.woofer.frame.depth": 0.5})).look("cabinet")
    check(page)
    assert "“woofer” is 237.2 mm deeper than the box" in page.text
    assert page.text.count("No single change clears it.") == 1 and not buttons(page)


def test_a_remedy_that_is_not_there_any_more_is_refused(desk):
    sitting = desk(amend(made("reading_room"), {DOME: 0.31}))
    do = next(iter(buttons(sitting.look("boring")).values()))
    sitting.type("boring", **{DOME: "331"})
    before = sitting.document
    assert "is not there any more" in sitting.refused("boring", do).text
    assert sitting.document == before


def test_what_is_typed_beside_the_button_counts(desk):
    """The dome typed 5 mm higher beside the button: it is moved from there."""
    sitting = desk(amend(made("reading_room"), {DOME: 0.31}))
    do = buttons(sitting.look("boring"))["Move “dome” up by 21 mm"]
    sitting.type("boring", do, **{DOME: "315"})
    assert at(sitting.document, DOME) == pytest.approx(0.331)


def pathed(page, kind):
    """The corners of each closed shape of a class in the drawings of a page."""
    return [
        [tuple(map(float, point.split())) for point in each.attributes["d"].strip("MZ").split("L")]
        for each in page.root.all("path", class_=kind)
    ]


def test_an_overlap_is_hatched_where_both_are(desk):
    """Every corner lies within both recesses, drawn to scale, half of the wood that is lacking round each."""
    page = desk(amend(made("reading_room"), {DOME: 0.31})).look("boring")
    (lens,) = pathed(page, "clash")
    assert len(lens) > 8 and "What does not fit is hatched." in page.text
    circles = [
        tuple(float(each.attributes[name]) for name in ("cx", "cy", "r"))
        for each in page.root.all("circle", class_="face")
    ][:2]
    scale = circles[0][2] / max(0.0834, 0.0524) if circles[0][2] > circles[1][2] else circles[0][2] / 0.0524
    for cx, cy, r in circles:
        for x, y in lens:
            assert hypot(x - cx, y - cy) <= r + 0.0025 * scale + 0.2
    fills = [each.attributes["fill"] for each in page.root.all("path", class_="clash")]
    assert fills == ["url(#front-clash)"], "hatched, never by colour alone"


@pytest.mark.parametrize(
    ("edits", "panel"),
    [({f"{PORT}.x": 0.035}, "back"), ({SHELF: 0.1}, "front"), ({"cabinet.seats.woofer.x": 0.08}, "front")],
)
def test_a_clash_is_hatched_on_its_panel_and_in_the_section(desk, edits, panel):
    sitting = desk(amend(made("reading_room"), edits))
    count = len(sitting.result.clashes)
    fills = [each.attributes["fill"] for each in sitting.look("boring").root.all("path", class_="clash")]
    assert fills == [f"url(#{panel}-clash)"] * count
    assert len(pathed(sitting.look("port"), "clash")) == count, "in the section"


def test_what_is_longer_than_the_paper_ends_at_its_edge(desk):
    page = desk(amend(made("reading_room"), {"alternatives.B.box.fb": 25.0})).look("packet")
    (corners,) = pathed(page, "clash")
    assert all(0 <= x <= 1100 for x, _ in corners)


def test_what_fits_is_not_hatched(desk):
    for place in ("boring", "packet", "port"):
        assert pathed(desk().look(place), "clash") == []


def test_a_looker_has_no_live_button(desk, stranger):
    sitting = desk(amend(made("reading_room"), {DOME: 0.31}))
    page = stranger(sitting).look("boring")
    assert "overlap by 15.4 mm" in page.text
    assert all("disabled" in each.attributes for each in page.root.all("fieldset", class_="bare"))


def test_the_remedy_holds_in_the_whole_result(desk):
    document = amend(made("hall_subwoofer"), {"cabinet.seats.woofer.x": 0.15})
    result = evaluate(read_project(document))
    for each in mendings(read_project(document), result):
        for remedy in each.remedies:
            keys = {clash.key for clash in evaluate(read_project(amend(document, remedy.edits))).clashes}
            assert each.clash.key not in keys
