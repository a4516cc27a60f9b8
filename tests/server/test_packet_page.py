"""Packet: what goes on the shop wall."""

import re

import pytest
from reading import MADE, check, said

from server.pages import QUESTIONS


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("packet")
    check(page)
    assert page.heading == QUESTIONS["packet"]


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial", "plan", "drivers imperial"])
def test_its_numbers_are_the_results(desk, name):
    sitting = desk(name)
    page, result = sitting.look("packet"), sitting.result
    system = sitting.plain["show"], sitting.plain["fraction"]
    carcass = result.cabinet.carcass
    assert f"{result.cabinet.net * 1e3:.2f} litre" in page.says("packet-net")
    outside = [said(carcass.outer[axis], "length", *system) for axis in (0, 2, 1)]
    assert page.says("packet-outside") == " × ".join(
        [side.rpartition(" ")[0] for side in outside[:2]] + outside[2:]
    )
    if result.built.port:
        assert page.says("packet-port") == said(result.built.port.length, "length", *system)
        assert f"Tuning {result.built.fb:.1f} Hz" in page.text.replace("Tuning", "Tuning ").replace("  ", " ")
    for number, seat in enumerate(result.seats.values(), 1):
        if seat:
            assert page.says(f"packet-recess-{number}") == said(seat.recess, "length", *system)
    assert said(result.cabinet.mass, "mass", *system) in page.text
    assert ("unknown until driver data" in page.text) == bool(result.built.missing)


def test_its_lists_are_those_of_the_other_pages(desk):
    sitting = desk()
    packet, cutting, saw, boring = (sitting.look(p) for p in ("packet", "cutting", "saw", "boring"))
    assert packet.rows("The cut list") == cutting.rows("The cut list")
    first, *others = packet.root.all("ol", class_="walk")
    settings = [each.text for each in next(saw.root.all("ol", class_="walk")).all("h3")]
    assert [each.text for each in first.all("h3")] == settings
    bored = [walk.text for walk in boring.root.all("ol", class_="walk")]
    assert bored and [walk.text for walk in others][: len(bored)] == bored


def test_each_panel_and_each_brace_is_drawn(desk):
    page = desk().look("packet")
    panels = next(page.root.all("div", class_="panels"))
    assert [caption.text.split(".")[0] for caption in panels.all("figcaption")] == [
        "Front", "Back", "Left", "Right", "Top", "Bottom", "Shelf",
    ]  # fmt: skip
    assert all(drawing.attributes.get("aria-label") for drawing in page.root.all("svg", role="img"))


def test_it_is_the_packet_of_one_revision_and_says_of_which_sheet(desk):
    sitting = desk()
    sitting.type("history", notes="For the hall, mind the step")
    page = sitting.look("packet")
    assert "Reading-room pair, revision 2" in page.lead and "For the hall, mind the step" in page.text
    assert "this packet is for 18.3 mm" in page.text
    assert re.search(r"100 mm on paper", page.text)


def test_nothing_is_typed_on_it(desk):
    sitting = desk()
    page = sitting.look("packet")
    assert not page.fields and not page.buttons
    assert sitting.send("packet", title="x").status_code == 405


def test_looking(desk, stranger):
    page = stranger(desk()).look("packet")
    check(page)
    assert "Looking only" in page.text


def test_the_sheets_and_the_wiring_are_those_of_their_pages(desk):
    sitting = desk()
    packet, wiring, board = (sitting.look(page) for page in ("packet", "wiring", "wiring/board"))
    tables = "What ends at each pad", "Wires of one speaker, in pairs", "Readings at the tags, all joined"
    for table in (*tables, "Readings across the terminals"):
        assert packet.rows(table) == wiring.rows(table)
    drawn = {drawing.attributes["aria-label"] for drawing in packet.root.all("svg", role="img")}
    for page in (board, sitting.look("cutting")):
        labels = {each.attributes["aria-label"] for each in page.root.all("svg", role="img")}
        sheets = {label for label in labels if "The board at" in label or "pieces on a sheet" in label}
        assert sheets and sheets <= drawn
    for words in (
        "Before the power goes on",
        "5.9 Ω",
        "speaker 1",
        "Only ever at a woofer’s own tags",
        "licensed",
    ):
        assert words in packet.text


def test_without_a_crossover_nothing_is_wired(desk):
    page = desk("hall_subwoofer").look("packet")
    assert "Wiring" not in [each.text for each in page.root.all("h2")]
