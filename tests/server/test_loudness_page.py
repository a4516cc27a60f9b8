"""Loudness: it says the numbers of calc, what is put in keeps the cone in, what is bad is refused."""

import json
import re
from math import log10, sqrt

import numpy as np
import plotly.graph_objects as go
import pytest
from reading import BOXES, MADE, check, check_answers, check_looking, check_refusal, made, said

from calc.evaluate_loudness import NOISE, NOTE, loudness
from calc.sound import heat, noise
from calc.sound.pipe import low_pass_level
from server.charts_loudness import loudness_charts
from server.documents import amend, read_project
from server.pages import QUESTIONS

B = "alternatives.B."
EVERY = (*MADE, *BOXES)


def found_at(sitting):
    """What calc says of the project that a desk has before it."""
    return loudness(read_project(sitting.document), sitting.result)


@pytest.mark.parametrize("name", EVERY)
def test_it_opens(desk, name):
    page = desk(name).look("loudness")
    check(page)
    assert page.heading == QUESTIONS["loudness"]


@pytest.mark.parametrize("name", [name for name in EVERY if not name.startswith(("drivers", "plan"))])
def test_its_answer_is_the_results(desk, name):
    sitting = desk(name)
    page, found, box = sitting.look("loudness"), found_at(sitting), sitting.result.box
    at = int(np.argmin(abs(np.log(box.response.f / NOTE))))
    assert f"At 50 Hz one {box.key} stays clean to {box.limits.level[at]:.0f} dB" in page.lead
    assert f"it reaches {found.loudest.level:.0f} dB" in page.lead
    rows = page.rows(label="Limits")[1:]
    assert len(rows) == 3 + (found.fastest is not None) + (box.radiator is not None)
    (first,) = (row for row in rows if "first" in row[0])
    assert first[3] == f"{found.loudest.level:.0f} dB"
    assert int(first[3].split()[0]) == min(int(row[3].split()[0]) for row in rows if "dB" in row[3])
    together = found.loudest.level + 10 * log10(sitting.plain["speakers"])
    assert f"{together:.0f} dB at 1 m, and {together - 20 * log10(3):.0f} at" in page.text
    assert "Keep to your local rules" in page.text


@pytest.mark.parametrize("name", ["drivers", "plan", "plan imperial"])
def test_without_a_driver_it_is_unknown(desk, name):
    page = desk(name).look("loudness")
    assert "unknown until driver data" in page.lead
    assert not list(page.root.all("figure", class_="chart"))


def test_noise_is_that_of_the_circuit(desk):
    """Second route: the box solved at other frequencies, summed by plain trapezoids."""
    sitting = desk()
    sitting.type("loudness", **{B + "low_pass.f": "1000", B + "crest": "3"})
    found, box = found_at(sitting), sitting.result.box
    f = np.geomspace(20, 20e3, 1501)
    response = box.circuit.response(f)
    square = (response.cone / sqrt(2) * box.drive) ** 2 * 10 ** (low_pass_level(f, 1000.0, 2) / 10)
    rms = sqrt(np.trapezoid(square, np.log(f)) / np.log(1000))
    assert found.motion.travel == pytest.approx(3 * rms, rel=1e-3)
    assert found.levels["travel"] == pytest.approx(
        found.motion.level + 20 * log10(box.Xmax / (3 * rms)), abs=0.01
    )


def test_limits_that_are_not_known_are_told_and_can_be_given(desk):
    sitting = desk()
    sitting.type("drivers", **{"drivers.woofer.Xmax": "", "drivers.woofer.Pe": ""})
    page = sitting.look("loudness")
    check(page)
    assert "give Xmax on Drivers" in page.text and "give the power on Drivers" in page.text
    assert "It cannot be told: the sheet gives no Xmax" in page.text
    sitting.type("box", chosen="A")  # closed: not even a port stops it
    page = sitting.look("loudness")
    check(page)
    assert "Nothing that would stop box A is known" in page.lead
    page = sitting.type("loudness", **{"alternatives.A.amplifier": "20"})
    assert "the amplifier stops it" in page.lead
    found = found_at(sitting)
    volts = float(found.loudest.V)
    assert volts == pytest.approx(20 * sqrt(2) / 4)


def test_an_amplifier_that_clips_stops_it(desk):
    sitting = desk()
    before = found_at(sitting)
    page = sitting.type("loudness", **{B + "amplifier": "2 V"})
    found = found_at(sitting)
    assert str(found.loudest.by) == "amplifier" and found.loudest.level < before.loudest.level
    volts = float(found.loudest.V)
    assert volts == pytest.approx(2 * sqrt(2) / 4)
    assert "the amplifier stops it" in page.lead
    assert "amplifier" in sitting.result.box.limits.by


@pytest.mark.parametrize("order", [1, 2, 3, 4])
def test_a_filter_that_is_put_in_keeps_the_cone_in(desk, order):
    sitting = desk()
    assert found_at(sitting).most_travel[0] > sitting.result.box.Xmax
    page = sitting.type("loudness", f"guard:{order}")
    check(page)
    box = sitting.result.box
    stated = sitting.document["alternatives"]["B"]["high_pass"]
    assert stated["order"] == order and stated["f"] % 0.5 == 0
    travel = box.circuit.response(np.geomspace(10, 500, 2000)).cone * box.drive
    assert 0.9 * box.Xmax < travel.max() <= box.Xmax
    assert page.fields[B + "high_pass.f"].value == f"{stated['f']:.1f}".removesuffix(".0")
    sitting.type("loudness", "unguard")
    assert sitting.document["alternatives"]["B"]["high_pass"] is None


def test_the_table_of_filters_is_calcs(desk):
    sitting = desk()
    page, found = sitting.look("loudness"), found_at(sitting)
    for row, each in zip(page.rows(label="Filters")[1:], found.guards, strict=True):
        assert row[0] == f"{6 * each.order} dB an octave"
        assert row[1] == f"{each.corner.f:.1f} Hz" and row[2] == f"{each.cost:.1f} dB"
    page = sitting.type("loudness", **{B + "P": "0.1"})
    assert "Nothing is needed" in page.text and "guard:2" not in page.buttons
    page = sitting.type("loudness", **{B + "P": "5000"})
    check(page)
    assert "none does" in page.text


def test_a_filter_for_a_cone_that_is_safe_is_refused(desk):
    sitting = desk()
    before = sitting.document
    for do in ("guard:7", "guard:", "guard:two"):
        assert "has nothing to keep in" in sitting.refused("loudness", do).text
    assert sitting.document == before


def test_a_capacitor_is_weighed_by_the_circuit(desk):
    sitting = desk()
    bare = sitting.result.box
    page = sitting.type("loudness", **{B + "capacitor": "500"})
    check(page)
    behind = sitting.result.box
    f = np.geomspace(10, 200, 1500)
    without, held = (box.circuit.response(f).cone.max() * box.drive for box in (bare, behind))
    told = found_at(sitting).capacitor
    assert [told.bare, told.behind] == pytest.approx([without, held], rel=5e-3)
    assert f"moves {said(told.behind, 'travel')} at most" in page.text
    assert f"against {said(told.bare, 'travel')} without it: worse than none" in page.text


def test_a_record_player_moves_the_cone(desk):
    sitting = desk()
    assert B + "subsonic" not in sitting.look("loudness").fields
    page = sitting.type("loudness", "records:yes")
    check(page)
    box, found = sitting.result.box, found_at(sitting)
    f = np.geomspace(2, 16, 600)
    travel = box.circuit.response(f).cone.max() * box.drive / 10
    assert found.player.now.worst == pytest.approx(travel, rel=1e-3)
    assert f"it moves the cone {said(travel, 'travel')}" in page.text
    assert f"{100 * travel / box.Xmax:.0f} % of its travel" in page.text
    assert found.player.closed.worst < found.player.now.worst
    still = box.circuit.response([0.01]).cone[0] * box.drive / 10
    assert f"it ends at {said(still, 'travel')}" in page.text
    sitting.type("loudness", **{B + "subsonic": "-14"})
    assert found_at(sitting).player.now.worst == pytest.approx(travel * 10**0.3, rel=1e-3)
    page = sitting.type("loudness", "guard:3")
    assert "Without the filter it would be" in page.text
    assert found_at(sitting).player.now.worst < 0.3 * travel
    sitting.type("loudness", "records:no")
    assert sitting.document["alternatives"]["B"]["subsonic"] is None


def test_a_warm_coil_costs_level(desk):
    """Second route: the coil in balance, found by stepping to it with the circuit of the warm driver."""
    sitting = desk()
    found, box = found_at(sitting), sitting.result.box
    Pe, Re = sitting.plain["drivers"]["woofer"]["Pe"], box.group.Re
    Z = box.circuit.response(NOISE)
    motion = Z.Z * np.exp(1j * np.radians(Z.Z_phase)) - Re
    rise = 0.0
    for _ in range(60):
        R = Re * (1 + 0.00393 * rise)
        rise = 200 / Pe * R * (noise.pink_rms(NOISE, box.volts / abs(R + motion))) ** 2
    assert found.heated.now.rise == pytest.approx(rise, rel=2e-3)
    page = sitting.look("loudness")
    assert f"{found.heated.now.rise:.0f} K warmer" in page.text
    cooler = sitting.type("loudness", **{"drivers.woofer.rated_rise": "100"})
    assert found_at(sitting).heated.now.rise < 0.6 * rise
    assert "common practice, no source" not in cooler.fields["drivers.woofer.rated_rise"].note
    assert heat.RISE_AT_RATED == 200


@pytest.mark.parametrize("name", ["reading_room", *BOXES])
def test_charts_are_valid_and_show_the_result(desk, name):
    sitting = desk(name)
    box, found = sitting.result.box, found_at(sitting)
    charts = loudness_charts(box, found)
    assert list(charts) == ["ceiling", "below", "heat"]
    for chart in charts.values():
        figure = json.loads(chart.figure)
        go.Figure(figure)  # plotly's own validators
        for row in chart.rows:
            assert len(row) == len(chart.columns)
        assert re.search(r"\d", chart.words) or name == "compound"
    below = json.loads(charts["below"].figure)["data"]
    drawn = next(trace for trace in below if trace["name"] == "as it is fed")
    assert np.max(drawn["y"]) == pytest.approx(1e3 * np.max(found.travel), rel=1e-3)
    at40 = next(row for row in charts["ceiling"].rows if row[0] == "40")
    i = int(np.argmin(abs(np.log(box.response.f / 40))))
    assert at40[1] == f"{box.limits.level[i]:.1f}"


EXTREMES = {
    "far too loud": {B + "P": 1e5},
    "a whisper": {B + "P": 1e-4},
    "no Xmax": {"drivers.woofer.Xmax": None},
    "no power": {"drivers.woofer.Pe": None},
    "a box like a barn": {B + "box.Vb": 4.0, B + "box.fb": 5.0},
    "hardly any bass": {"chosen": "A", "alternatives.A.box.Vb": 1e-5},
    "a square wave, all filters": {
        B + "crest": 1.0, B + "capacitor": 1e-6, B + "high_pass": {"order": 4, "f": 400.0},
        B + "low_pass": {"order": 4, "f": 20.0}, B + "subsonic": 0.0, B + "amplifier": 1e-3,
    },
    "a hot coil behind a long cable": {B + "rise": 250.0, B + "Rs": 5.0, B + "V": 40.0},
    "a coil with iron": {"drivers.woofer.K": 0.02, "drivers.woofer.n": 0.7},
    "a driver that is not known": {B + "driver": "dome"},
}  # fmt: skip


@pytest.mark.parametrize("case", EXTREMES)
def test_it_stands_whatever_is_asked(desk, case):
    sitting = desk(amend(made("reading_room"), EXTREMES[case]))
    page = sitting.look("loudness")
    check(page)
    found = found_at(sitting)
    if found is not None:
        for chart in loudness_charts(sitting.result.box, found).values():
            go.Figure(json.loads(chart.figure))
            assert not re.search(r"\b(nan|inf)\b", str(chart.rows) + chart.sentence)


REFUSALS = [
    (B + "amplifier", "0", "must be a number above zero"),
    (B + "amplifier", "20 ohm", "this is a resistance; a voltage is wanted here"),
    (B + "crest", "0.5", "must be a peak over its rms"),
    (B + "crest", "", "is needed"),
    (B + "capacitor", "-3", "cannot be less than zero"),
    (B + "high_pass.f", "0", "must be a frequency from 1 to 2000 Hz"),
    (B + "low_pass.f", "5", "must be a frequency from 20 to 20000 Hz"),
    (B + "P", "lots", "cannot be read as a number"),
    ("drivers.woofer.rated_rise", "2000", "must be how much warmer"),
]


@pytest.mark.parametrize(("field", "text", "words"), REFUSALS)
def test_refusals(desk, field, text, words):
    beside = (B + "P", "30", 30.0) if field != B + "P" else (B + "amplifier", "20", 20.0)
    check_refusal(desk(), "loudness", field, text, words, beside)


def test_a_record_louder_than_the_music_is_refused(desk):
    sitting = desk()
    sitting.type("loudness", "records:yes")
    page = sitting.refused("loudness", **{B + "subsonic": "5"})
    assert "must be a level below the music" in page.fields[B + "subsonic"].says


def test_answers(desk):
    check_answers(desk(), "loudness", B + "P", "40")


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "loudness")
