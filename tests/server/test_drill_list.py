"""The drill list as Boring, Packet and Steps show it."""

import re

import pytest
from reading import MADE, check, said

from calc.evaluate_drilling import screws
from calc.shop.screws import gauge_diameter
from server.documents import amend, read_project
from server.drawings.feed import ways
from server.drawings.pilot import pilot_section
from server.drilling import drill_words, pilot_words
from server.units import Unreadable, read

MDF = {"workshop.sheets.ply.name": "MDF 19", "workshop.sheets.ply.density": 740.0}


@pytest.mark.parametrize("name", MADE)
def test_the_list_is_that_of_the_result(desk, name):
    sitting = desk(name)
    page = sitting.look("boring")
    check(page)
    lines = screws(read_project(sitting.document), sitting.result)
    if not lines:
        assert "The drill list" not in page.text
        return
    rows = page.rows("The drill list, for one speaker")[1:]
    system = sitting.plain["show"], sitting.plain["fraction"]
    assert len(rows) == len(lines)
    for row, line in zip(rows, lines, strict=True):
        assert row[0] == line.name.capitalize() and row[2] == str(line.count)
        for words in drill_words(system[0], line.pilot.drills):
            assert words.replace("\N{NO-BREAK SPACE}", " ") in row[3]
        assert said(line.depth.hole, "fine length", *system) in row[4]


def test_the_drill_comes_in_both_sets_and_the_page_s_own_leads():
    """A #8 in dense wood: 3 mm, and 8/64 = 1/8 in (see the calc test)."""
    assert drill_words("metric", (0.003, 0.003175)) == ("3\N{NO-BREAK SPACE}mm", "1/8\N{NO-BREAK SPACE}in")
    assert drill_words("imperial", (0.003, 0.003175))[0].startswith("1/8")


@pytest.mark.parametrize("text", ["#8", "# 8", "No. 8", "no 8", "No.8", "8 gauge", "gauge 8", "8ga"])
def test_a_screw_may_be_typed_by_its_number(desk, text):
    sitting = desk()
    page = sitting.type("boring", **{"workshop.screw": text})
    check(page)
    assert sitting.document["workshop"]["screw"] == pytest.approx(gauge_diameter(8), rel=1e-12)
    assert page.fields["workshop.screw"].value == "4.17"
    assert "about #8" in page.fields["workshop.screw"].note


def test_a_screw_in_millimetres_or_inches_is_read_as_ever():
    assert read("4 mm", "screw") == 0.004 and read("4.2", "screw") == 0.0042
    assert read(".164", "screw", "imperial") == pytest.approx(gauge_diameter(8))
    with pytest.raises(Unreadable, match="#0 to #24"):
        read("#25", "screw")
    with pytest.raises(Unreadable):
        read("#8", "length")


def test_what_is_wrong_with_a_screw_is_told_at_its_line(desk):
    sitting = desk()
    page = sitting.type("boring", **{"workshop.screw_length": "20"})
    assert (
        "The screw is too long: its point comes nearer than 3 mm to the other face. 15.3 mm is the most."
        in (page.text)
    )
    page = sitting.type("boring", **{"workshop.screw_length": "5"})
    assert "It does not reach the wood, 5.5 mm down" in page.text and "–" in page.rows("The drill list")[1][4]
    page = sitting.type("boring", **{"workshop.screw_length": "", "workshop.screw": "2"})
    check(page)
    assert "No table tells the root" in page.text and page.rows("The drill list")[1][3] == "on scrap"
    refused = sitting.refused("boring", **{"workshop.screw_length": "400"})
    assert "must be the length of a wood screw" in refused.fields["workshop.screw_length"].says


def test_a_plain_sentence_tells_whether_the_screws_hold(desk):
    """See the calc test: 18.6 and 34.6 N on 6 screws that bear 248 N each: 28 times over."""
    sitting = desk()
    page = sitting.look("boring")
    assert (
        "Face down, 6 screws carry its 18.6 N and at full power 34.6 N of its motor, 8.87 N each;"
        in page.text
    )
    assert "one may bear 248 N for good: they hold 28 times over." in page.text
    imperial = desk("reading_room imperial").look("boring")
    assert "one may bear 55.9 lbf for good: they hold 28 times over." in imperial.text
    page = sitting.type("boring", "add-hole")
    heavy = desk(amend(sitting.document, {"drivers.woofer.frame.mass": 60.0}))
    assert "seat it on nuts behind" in heavy.look("boring").text


def test_mdf_s_edge_and_face_are_told(desk):
    sitting = desk(amend(desk().document, MDF | {"cabinet.lid": {"panel": "back", "screws": 12}}))
    page = sitting.look("boring")
    check(page)
    assert "formula does not cover this board" in page.text
    assert "MDF splits at its edge: no screw within 25 mm of a corner" in page.text
    assert "Screws 50 mm long, one every 90.7 mm round the edge." in page.text


def test_a_step_carries_the_size_of_its_pilots(desk):
    sitting = desk()
    line = screws(read_project(sitting.document), sitting.result)[0]
    words = pilot_words(read_project(sitting.document), line).replace("\N{NO-BREAK SPACE}", " ")
    assert words == "2.5 mm (3/32 in) drill, 9.8 mm deep"
    for place in ("steps", "packet"):
        assert f"Woofer: 6 pilot holes, {words}" in sitting.look(place).text.replace(
            "\N{NO-BREAK SPACE}", " "
        )


def test_the_packet_has_the_list_too(desk):
    sitting = desk()
    assert sitting.look("packet").rows("The drill list, for one speaker") == (
        sitting.look("boring").rows("The drill list, for one speaker")
    )


def test_a_window_is_drilled_in_its_corners_sawn_and_trued(desk):
    """The shelf's window, corners of 10 mm: a drill of 20 turns in them, and a bit of 12.7. Derived."""
    edits = {"cabinet.braces.shelf.window": {"width": 0.1, "height": 0.15, "radius": 0.01}}
    sitting = desk(amend(desk().document, edits))
    page = sitting.look("boring")
    check(page)
    solid = sitting.result.cabinet.braces["shelf"]
    middle = [said((solid.high[n] - solid.low[n]) / 2, "length") for n in (0, 1)]
    assert "Shelf, window: 100 mm by 150 mm" in page.text
    assert f"middle {middle[0]} from the plate’s left or front edge, {middle[1]} from" in page.text
    assert "20 mm drill, one hole in each corner" in page.text and "From the same two edges" in page.text
    assert "the 12.7 mm one turns in its corners of 10 mm radius" in page.text
    assert "Shelf, window: 100 mm by 150 mm" in sitting.look("packet").text
    tight = desk(amend(sitting.document, {"cabinet.braces.shelf.window.radius": 0.002})).look("boring").text
    assert (
        "None of your bits turns in its corners" in tight and "File the corners to a radius of 2 mm" in tight
    )


# --- Drawings


def test_the_pilot_is_drawn_with_its_depth_and_what_stays():
    def write(metres):
        return f"{metres * 1e3:g}"

    drawn = pilot_section(0.0035, 0.0025, 0.0055, (0.0098, 0.0128), write, name="p")
    assert re.findall(r">([^<>]+)</text>", drawn.svg) == ["9.8", "3 stay below; drill 2.5"]
    size = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', drawn.svg)
    points = re.findall(r"[ML](-?[\d.]+)[ ,](-?[\d.]+)", drawn.svg)
    assert len(points) > 20
    for x, y in points:
        assert 0 <= float(x) <= float(size[1]) and 0 <= float(y) <= float(size[2])
    # The hole's depth over the wood's, as drawn: the tip against the panel's lower edge.
    wood = re.search(r'<path class="cutface"[^>]* d="([^"]+)"', drawn.svg)[1]
    ys = [float(y) for _, y in re.findall(r"[ML](-?[\d.]+)[ ,](-?[\d.]+)", wood)]
    top, tip, low = ys[0], ys[3], ys[-1]
    assert (tip - top) / (low - top) == pytest.approx(9.8 / 12.8, rel=0.01)


def test_boring_draws_each_depth_once(desk):
    page = desk().look("boring")
    assert "Woofer: the pilot stops in the wood; broken, the screw." in page.text
    assert "Dome: its own depth." in page.text
    without = desk(amend(desk().document, {"drivers.dome.frame.screws": 0})).look("boring").text
    assert "its own depth" not in without


def test_the_ways_of_the_router_are_drawn_as_they_are_told():
    """On screen y runs down, so that an arc whose sweep flag is 1 turns clockwise."""
    drawn = ways()
    turns = {name: re.findall(r"A[\d.]+ [\d.]+ 0 0 (\d)", each.svg) for name, each in drawn.items()}
    assert turns["opening"] == ["1"] and turns["outside"] == ["0"]
    bits = [re.findall(r"A[\d.]+ [\d.]+ 0 1 (\d)", each.svg) for each in drawn.values()]
    assert bits == [["1"]] * 4, "every bit turns clockwise"
