"""Wiring: a board of one's own and a bought one, and a meter before the power goes on."""

import math
import re

import pytest
from reading import MADE, Page, check, check_answers, check_looking, check_refusal, said

from calc.evaluate_amplifier import amplifier
from calc.evaluate_board import boarded, bodies_of
from calc.evaluate_leads import leads
from calc.evaluate_network import network
from calc.evaluate_sum import acoustic_sum
from calc.evaluate_wiring import before_power, polarity
from server.documents import amend, read_project
from server.drawings.board import board_papers
from server.pages import QUESTIONS


def begun(desk, start="linkwitz-riley 2", project="reading_room"):
    """A project with a textbook crossover, as its owner has it."""
    sitting = desk(project)
    check(sitting.type("crossover", f"begin:{start}"))
    return sitting


def readings(sitting):
    return before_power(read_project(sitting.document), sitting.result)


def solved(sitting):
    """The project with what is reckoned of its crossover: result, network, sum."""
    project, result = read_project(sitting.document), sitting.result
    found = network(project, result)
    return project, result, found, acoustic_sum(project, result, found)


def runs(sitting):
    project, result, found, _ = solved(sitting)
    return leads(project, result, found.least.Z)


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("wiring")
    check(page)
    assert page.heading == QUESTIONS["wiring"]


def test_the_reading_to_expect_follows_the_parts(desk):
    """Coil 0.3 ohm and woofer 5.6 in series; behind the capacitor nothing (derived)."""
    sitting = begun(desk)
    assert readings(sitting).healthy == pytest.approx(5.9)
    sitting.type("crossover", **{"network.parts.low L1.Rdc": "0.8"})
    page = sitting.look("wiring")
    check(page)
    assert readings(sitting).healthy == pytest.approx(6.4) and said(6.4, "resistance") in page.lead


def test_a_bridged_capacitor_is_named_from_its_reading(desk):
    """The tweeter's capacitor bridged leaves its coil's wire, 0.3 ohm, across the rest (derived)."""
    sitting = begun(desk)
    page = sitting.type("wiring", **{"network.reading": "0.29"})
    check(page)
    named = page.says("named")
    assert "high C1: bridged" in named and "It is one of these" in named


def test_a_sound_reading_tells_what_it_cannot_see_and_the_next_test(desk):
    sitting = begun(desk)
    page = sitting.type("wiring", **{"network.reading": "5.9"})
    named = page.says("named")
    assert "It reads as it should" in named and "dome: plus and minus exchanged" in named
    assert "Polarity does not change ohms" in named and "Never a tweeter" in named
    assert "Next test: meter from" in named
    page = sitting.type("wiring", **{"network.reading": "", "network.reads_open": "yes"})
    check(page)
    assert "low L1: open" in page.says("named") and "high C1: open" not in page.says("named")
    page = sitting.type("wiring", **{"network.reading": "40", "network.reads_open": ""})
    assert "No single mistake reads so" in page.says("named")


def test_what_cannot_be_is_refused_where_it_stands(desk):
    sitting = begun(desk)
    good = ("network.reads_open", "yes", True)
    check_refusal(sitting, "wiring", "network.reading", "-1", "less than zero", good)
    check_answers(begun(desk), "wiring", "network.reading", "6.1")


def test_who_may_look_types_nothing(desk, stranger):
    check_looking(stranger(begun(desk)), "wiring")


# --- the board


def boarded_desk(desk, **kinds):
    sitting = begun(desk, **kinds)
    check(sitting.type("wiring", "lay-out:"))
    return sitting


@pytest.mark.parametrize("project", ["reading_room", "reading_room imperial"])
def test_a_board_is_laid_out_with_a_pad_for_every_lead(desk, project):
    """Linkwitz-Riley of order 4: 8 parts, 2 drivers and the terminals have 22 leads between 6 joints."""
    sitting = boarded_desk(desk, start="linkwitz-riley 4", project=project)
    page, made = sitting.look("wiring"), boarded(read_project(sitting.document))
    check(page)
    assert made.layout.facts == () and "join the 22 leads exactly" in page.says("checked")
    rows = page.rows("What ends at each pad")[1:]
    assert len(rows) == len(made.layout.pads) >= 6
    listed = " ".join(row[2] for row in rows)
    for name in ("low L1", "low C2", "high C3"):
        assert listed.count(f"an end of {name} ") == 2
    assert "the wire to the plus of dome" in listed and "the red terminal’s wire" in listed


def test_parts_are_held_moved_and_found_again(desk):
    sitting = boarded_desk(desk)
    check(sitting.type("wiring", "keep:"))
    parts = sitting.document["network"]["board"]["parts"]
    assert set(parts) == {"low L1", "low C2", "high C1", "high L2"} and parts["high C1"]["turn"] != "flat"
    page = sitting.type("wiring", **{"network.board.parts.low C2.x": "2"})
    check(page)
    assert "low C2 sticks" in page.text and "out of the board" in page.text
    bodies = bodies_of(read_project(sitting.document))
    page = sitting.type("wiring", **{"network.board.parts.low C2.length": "55"})
    assert bodies_of(read_project(sitting.document))["low C2"].length == pytest.approx(0.055)
    assert bodies["low C2"].length != pytest.approx(0.055)
    sitting.type("wiring", "find:")
    assert boarded(read_project(sitting.document)).layout.facts == ()
    sitting.type("crossover", "drop:low C2")
    assert "low C2" not in sitting.document["network"]["board"]["parts"]
    sitting.type("wiring", "drop:board")
    assert sitting.document["network"]["board"] is None


def test_a_small_board_says_what_has_no_room(desk):
    sitting = boarded_desk(desk)
    page = sitting.type("wiring", **{"network.board.width": "60", "network.board.height": "50"})
    check(page)
    assert "There is no room left for low L1" in page.text


def test_only_a_coil_lies_flat(desk):
    sitting = boarded_desk(desk)
    sitting.type("wiring", "keep:")
    path = "network.board.parts.high C1.turn"
    good = ("network.board.width", "300", pytest.approx(0.3))
    check_refusal(sitting, "wiring", path, "flat", "only a coil lies flat", good)


@pytest.mark.parametrize("show", ["metric", "imperial"])
def test_the_paper_is_at_full_size(desk, show):
    """Pads are as far apart on paper as on the board, 4 units to a millimetre, on every sheet."""
    made = boarded(read_project(boarded_desk(desk, start="linkwitz-riley 4").document)).layout
    pads = {pad.name: pad for pad in made.pads}
    sheets = board_papers(made, show, "Test")
    assert len(sheets) == -(-(1000 * made.width - 10) // 158) * -(-(1000 * made.height - 10) // 190)
    for sheet in sheets:
        discs = re.findall(
            r'<circle cx="([-\d.]+)" cy="([-\d.]+)" r="13"/><text[^>]*>(\w+)</text>', sheet.svg
        )
        assert len(discs) == len(pads)
        (x0, y0, first), *rest = discs
        for x, y, name in rest:
            right, up = pads[name].x - pads[first].x, pads[name].y - pads[first].y
            assert float(x) - float(x0) == pytest.approx(4000 * right, abs=0.15)
            assert float(y0) - float(y) == pytest.approx(4000 * up, abs=0.15)


def test_the_paper_opens_with_a_board_and_without(desk):
    sitting = begun(desk)
    empty = Page(sitting.browser.get(f"/projects/{sitting.key}/wiring/board").text)
    check(empty)
    assert "no board yet" in empty.lead
    sitting.type("wiring", "lay-out:")
    page = Page(sitting.browser.get(f"/projects/{sitting.key}/wiring/board").text)
    check(page)
    assert len(page.rows("What ends at each pad")) > 4


# --- a bought board

HOLES = {
    "red": "a", "black": "B", "parts.low L1.start": "A", "parts.low L1.end": "C", "parts.low C2.start": "D",
    "parts.low C2.end": "B", "parts.high C1.start": "A", "parts.high C1.end": "E", "parts.high L2.start": "E",
    "parts.high L2.end": "b", "parts.woofer.start": "C", "parts.woofer.end": "B", "parts.dome.start": "B",
    "parts.dome.end": "E", "tracks": "C D",
}  # fmt: skip
"""A board for a filter of order 2, whose dome is turned: its plus lies at the black terminal."""


def bought_desk(desk):
    sitting = begun(desk)
    page = sitting.type("wiring", "bought:")
    check(page)
    told = page.says("bought")
    assert "Nowhere yet go: the red terminal’s wire; the black terminal’s wire; both ends of low L1" in told
    check(sitting.type("wiring", **{f"network.bought.{name}": hole for name, hole in HOLES.items()}))
    return sitting


def test_a_bought_board_that_is_the_crossover(desk):
    page = bought_desk(desk).look("wiring")
    assert "It is the crossover" in page.says("bought") and "5.9 Ω" in page.says("bought")


@pytest.mark.parametrize(
    "typed, said",
    [
        ({"parts.dome.start": "E", "parts.dome.end": "B"}, "Reversed: plus and minus of dome"),
        ({"red": "B", "black": "A"}, "Reversed: plus and minus of the two terminals"),
        ({"tracks": "C D; A E"}, "Bridged: at A these are one: the red terminal; the joint of high C1"),
        ({"tracks": ""}, "Open: an end of low C2, at D, is cut off from the joint of low L1, low C2 and"),
        (
            {"parts.low C2.start": "E"},
            "Astray: an end of low C2 is at E, and belongs to the joint of low L1, low C2 and woofer",
        ),
        (
            {
                "parts.low L1.start": "A", "parts.low L1.end": "E",
                "parts.high C1.start": "A", "parts.high C1.end": "C",
            },
            "Swapped: low L1 and high C1 are in each other’s place",
        ),
        ({"parts.low L1.end": ""}, "Nowhere yet goes: an end of low L1."),
    ],
)  # fmt: skip
def test_each_mistake_on_a_bought_board_is_named(desk, typed, said):
    page = bought_desk(desk).type(
        "wiring", **{f"network.bought.{name}": hole for name, hole in typed.items()}
    )
    check(page)
    assert said in page.says("bought") and "It is the crossover:" not in page.says("bought")


def test_a_bridged_bought_board_reads_what_it_is(desk):
    """Holes A and E joined: the dome's coil, 0.3 ohm, and the dome, 5.2, across the rest (derived)."""
    page = bought_desk(desk).type("wiring", **{"network.bought.tracks": "C D; A E"})
    assert said(1 / (1 / 0.3 + 1 / 5.2 + 1 / 5.9), "resistance") in page.says("bought")


def test_a_hole_is_a_few_letters(desk):
    sitting = bought_desk(desk)
    good = ("network.bought.parts.low L1.start", "F", "F")
    check_refusal(sitting, "wiring", "network.bought.red", "the left one", "at most six", good)
    sitting.type("wiring", "drop:bought")
    assert sitting.document["network"]["bought"] is None


# --- the wires


def test_wires_are_as_long_as_the_cabinet_asks_and_as_thick_as_was_decided(desk):
    sitting = begun(desk)
    page = sitting.type("wiring", **{"network.leads.gauge": "2.5 mm²", "network.leads.slack": "300"})
    check(page)
    found = runs(sitting)
    rows = page.rows("Wires of one speaker")[1:]
    assert [row[0] for row in rows] == ["1. Terminals to board", "2. Board to woofer", "3. Board to dome"]
    for row, run in zip(rows, found.runs, strict=True):
        assert row[1] == said(run.length, "length") and row[2] == "2.5 mm²"
    assert found.runs[1].length == pytest.approx(0.25 + 0.1896 - 0.16 + 0.3 + 0.06, abs=0.01)
    assert "its plus belongs to the black terminal’s side" in page.text
    assert "no board stands in the cabinet yet" in page.text


def test_colours_are_the_users_own(desk):
    sitting = begun(desk)
    path = "network.leads.colours.dome"
    page = sitting.type(
        "wiring", **{f"{path}.plus": "blue", f"{path}.minus": "white", f"{path}.tag": "red dot"}
    )
    check(page)
    assert "the blue wire goes to its plus (red dot), the white wire to its minus" in page.text
    page = sitting.type("wiring", "lay-out:")
    solder = " ".join(row[2] for row in page.rows("What ends at each pad"))
    assert "the blue wire to the plus of dome" in solder and "the wire to the plus of woofer" in solder
    page = sitting.type("wiring", **{"network.leads.joint": "solder", "network.leads.cable": "4 m"})
    assert "take the heat" in page.text and "Amplifier to terminals" in page.text
    good = ("network.leads.joint", "push-on", "push-on")
    check_refusal(sitting, "wiring", "network.leads.slack", "9 m", "3 m", good)


# --- the amplifier


def test_the_amplifier_follows_what_is_wanted_at_the_seat(desk):
    """20 dB more are ten times the volts and a hundred times the watts; 3 dB double the dose."""
    sitting = begun(desk)
    before = amplifier(*solved(sitting))
    page = sitting.type("wiring", **{"network.listening.level": "95", "network.listening.hours": "4"})
    check(page)
    found = amplifier(*solved(sitting))
    assert found.volts == pytest.approx(10 * before.volts) and found.watts == pytest.approx(
        100 * before.watts
    )
    told = page.says("amplifier")
    assert (
        said(found.volts, "voltage") in told
        and f"at least {found.watts:.3g} W into {found.rating:.0f}" in told
    )
    assert "504 percent" in page.text, "4 h of 8 at 85, 10 dB more: 50 x 2^(10/3)"
    assert "Too loud for it" in page.text
    sitting.type("loudness", **{"alternatives.B.amplifier": "10"})
    assert "dB too little" in sitting.look("wiring").says("amplifier")
    page = sitting.type(
        "wiring", **{"network.listening.room": "50", "network.listening.reverberation": "0,4"}
    )
    check(page)
    assert "This room adds" in page.text
    good = ("network.listening.headroom", "12", 12.0)
    check_refusal(sitting, "wiring", "network.listening.level", "200", "30 to 120", good)


# --- before the power


def test_what_to_do_before_power_comes_in_order(desk):
    sitting = boarded_desk(desk)
    page = sitting.look("wiring")
    steps = [each.text for each in page.root.all("h3", class_="set")]
    assert steps == [
        "Look and tug", "Turn the board over", "Meter across the terminals: 5.9 Ω",
        "Meter at the drivers’ tags", "Which way the cone of woofer jumps",
        "First power, as low as the knob goes", "Exchange the leads of dome",
    ]  # fmt: skip
    numbers = [each.text for each in page.root.all("span", class_="no")]
    assert numbers == [str(n + 1) for n in range(len(steps))]
    tags = page.rows("Readings at the tags")[1:]
    assert ["red terminal", "plus of woofer", "0.3 Ω"] in tags
    assert "network.kicks.dome" not in page.fields and "network.kicks.woofer" in page.fields


def test_a_reversed_dome_is_named_by_a_null_and_a_kick(desk):
    """Of order 4 both are joined alike: exchanged, the dome is quieter; if it is louder, one is reversed."""
    sitting = begun(desk, "linkwitz-riley 4")
    project, _, _, heard = solved(sitting)
    (null,) = polarity(project, heard).nulls
    wrong = {"quieter": "louder", "louder": "quieter"}[null.right]
    page = sitting.type("wiring", **{"network.nulls.dome": wrong})
    check(page)
    told = page.says("polarity")
    assert "It is one of these" in told and "which way the cone of woofer jumps" in told
    page = sitting.type("wiring", **{"network.kicks.woofer": "out"})
    assert "It is this: dome: plus and minus exchanged" in page.says("polarity")
    page = sitting.type("wiring", **{"network.nulls.dome": null.right})
    assert "No driver is reversed" in page.says("polarity")
    page = sitting.type("wiring", **{"network.kicks.woofer": "in"})
    assert "It is this: dome and woofer" in page.says("polarity")
    page = sitting.type("wiring", **{"network.kicks.woofer": ""})
    check(page)
    assert "It sounds right. These would sound the same: dome and woofer" in page.says("polarity")


def test_pads_that_lie_close_are_looked_at_twice(desk):
    """Parts so small that their pads crowd."""
    sitting = boarded_desk(desk)
    small = {
        f"network.board.parts.{name}.{side}": "4"
        for name in ("low L1", "low C2", "high C1", "high L2")
        for side in ("length", "width")
    }
    page = sitting.type("wiring", **small, **{"network.board.width": "40", "network.board.height": "26"})
    check(page)
    made = boarded(read_project(sitting.document)).layout
    assert made.neighbours and "these pads lie close together" in page.text
    assert "solder or a folded lead from pad to pad" in page.text


def test_the_board_goes_into_the_cabinet_with_its_own_air(desk):
    """Coils of 18 and 7 mm section and so on: air and weight add up from the bodies (derived)."""
    sitting = boarded_desk(desk)
    made = boarded(read_project(sitting.document))
    bodies = [spot.body for spot in made.layout.spots.values()]
    air = made.layout.width * made.layout.height * 0.009
    for body in bodies:
        if body.kind == "coil":
            air += math.pi * ((body.width / 2) ** 2 - (body.width / 4) ** 2) * body.length
        else:
            air += math.pi * (body.width / 2) ** 2 * body.length
    page = sitting.type("wiring", "into-box:")
    check(page)
    assert "Counted twice" in page.text, "the demo's crossover stands among the things inside"
    (board,) = sitting.document["cabinet"]["boards"].values()
    assert board["volume"] == pytest.approx(air, rel=1e-3)
    assert {board["width"], board["height"]} == {made.layout.width, made.layout.height}
    assert runs(sitting).on_board == "crossover board"
    sitting.type("wiring", **{"network.board.width": "250"})
    sitting.type("wiring", "into-box:")
    (board,) = sitting.document["cabinet"]["boards"].values()
    assert board["width"] == pytest.approx(0.25)


def test_a_crossover_begun_again_keeps_wires_and_seat(desk):
    sitting = boarded_desk(desk)
    sitting.type("wiring", **{"network.leads.gauge": "AWG 16", "network.listening.level": "80"})
    sitting.type("crossover", "begin:butterworth 3")
    net = sitting.document["network"]
    assert net["leads"]["gauge"] == "AWG 16" and net["listening"]["level"] == 80
    assert net.get("board") is None and "low L3" in net["parts"]


def test_several_drivers_and_one_without_a_seat_are_told(desk):
    sitting = begun(desk)
    document = amend(sitting.document, {"alternatives.B.count": 2, "cabinet.seats": {}})
    page = desk(document).look("wiring")
    check(page)
    assert "each plus goes to the one pad" in page.text and "Dome has no seat in the cabinet yet" in page.text


def test_the_demo_has_its_board_and_a_first_visit_sees_it(desk):
    """The board takes about the air and weighs about as much as the demo says of its crossover."""
    sitting = desk()
    page = sitting.look("wiring")
    made = boarded(read_project(sitting.document))
    assert (
        made.layout.facts == () and made.mistakes == () and "exactly as the crossover" in page.says("checked")
    )
    stated = sitting.document["cabinet"]["displaced"]["crossover"]
    assert made.volume == pytest.approx(stated["volume"], rel=0.15)
    assert made.mass == pytest.approx(stated["mass"], rel=0.15)
