"""The page that tells how sure the numbers are, and the band on the Box page's level chart."""

import json
from math import isfinite

import numpy as np
import plotly.graph_objects as go
import pytest
from reading import BOXES, MADE, check, check_answers, check_looking, check_refusal, said

from calc.evaluate import evaluate
from calc.evaluate_doubt import box_band, box_doubt
from calc.explore.spread import BUILT, USUAL
from server.charts import box_charts
from server.charts_doubt import doubt_chart
from server.documents import read_project
from server.pages import QUESTIONS
from server.routes.doubt import ADVICE, MEASURE, MEASURED, SOURCES, WORTH

SPREAD = "drivers.woofer.spread."


def found(desk):
    return box_doubt(read_project(desk.plain), desk.result)


@pytest.mark.parametrize("name", [*MADE, *BOXES])
def test_it_opens(desk, name):
    page = desk(name).look("doubt")
    check(page)
    assert page.heading == QUESTIONS["doubt"] == "How sure are these numbers?"
    row = page.root.one("nav", class_="rooms")
    assert next(row.all("a", aria_current="page")).text == "Doubt"


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial", *BOXES])
def test_its_answer_and_its_tables_are_the_results(desk, name):
    sitting = desk(name)
    page, told = sitting.look("doubt"), found(sitting)
    begins = "begin" if sitting.result.box.upper else "fall 3 dB"
    low, high = f"{told.lowest.low:.0f}", f"{told.lowest.high:.0f}"
    span = f"at {low} Hz" if low == high else f"between {low} and {high} Hz"
    first = told.matters[0]
    assert f"{begins} {span}. {SOURCES[first.source.name]} would change that most." in page.lead

    chances = page.rows(label="Chances")[1:]
    for (f, chance), row in zip(told.reach, chances, strict=False):
        assert row[0] == f"{begins} at {f:.0f} Hz or lower"
        said = f"{100 * chance.share:.0f} in 100 {100 * chance.low:.0f} to {100 * chance.high:.0f}"
        assert row[1] == said or row[1].startswith(("all", "none", "over", "under"))
    rest = [row[0].split(" at ")[0] for row in chances[len(told.reach) :]]
    wanted = [
        (told.clean, "keep the cone"),
        (told.quiet, "keep the port's air"),
        (told.free, "keep the radiators"),
    ]
    wanted = [words for chance, words in wanted if chance]
    assert len(rest) == len(wanted)
    assert all(row.startswith(words) for row, words in zip(rest, wanted, strict=True))

    rows = page.rows(label="What matters")[1:]
    listed = [matter for matter in told.matters if max(matter.shares["f3"], matter.shares["level"]) >= WORTH]
    for row, matter in zip(rows, listed, strict=True):
        assert row[0].startswith(SOURCES[matter.source.name])
        assert float(row[1].removesuffix(" Hz").replace("−", "-")) == pytest.approx(
            matter.effects["f3"], abs=0.051
        )
        assert float(row[2].removesuffix(" dB").replace("−", "-")) == pytest.approx(
            matter.effects["level"], abs=0.051
        )
        assert row[3] == f"{100 * matter.shares['f3']:.0f} %"
    advice = next(page.root.all("p", class_="aside")).text
    assert advice == ADVICE.get(first.source.name, MEASURE)


@pytest.mark.parametrize(
    "name", ["reading_room", "compound", "radiators", "two ports", "reading_room imperial"]
)
def test_it_tells_between_what_each_number_lies(desk, name):
    sitting = desk(name)
    facts = next(sitting.look("doubt").root.all("dl", class_="facts"))
    told = dict(zip([e.text for e in facts.all("dt")], [e.text for e in facts.all("dd")], strict=True))
    box, ranges, show = sitting.result.box, found(sitting).ranges, sitting.plain["show"]

    def span(name, quantity):
        low, high = (said(value, quantity, show) for value in (ranges[name].low, ranges[name].high))
        return low if low == high else f"{low.rsplit(' ', 1)[0]} to {high}"

    assert told["Lowest note, −3 dB"] == span("f3", "frequency")
    assert ranges["f3"].low < box.cutoffs[3.0] < ranges["f3"].high
    assert ranges["travel"].low < np.max(box.response.cone[box.response.f >= box.cutoffs[3.0]]) * box.drive
    assert ("Qtc" in told) == (box.kind == "closed")
    if "Qtc" in told:
        assert (
            ranges["Qtc"].low < box.Qtc < ranges["Qtc"].high and ranges["fc"].low < box.fc < ranges["fc"].high
        )
        low, high = told["Qtc"].split(" to ")
        assert (float(low), float(high)) == (
            pytest.approx(ranges["Qtc"].low, abs=0.0051),
            pytest.approx(ranges["Qtc"].high, abs=0.0051),
        )
    if box.port:
        assert told["Air in the port"] == span("port_speed", "speed")
        fastest = max(port.speed for name, port in box.ports.items() if name != "rear")
        assert ranges["port_speed"].low < fastest < ranges["port_speed"].high
    if box.radiator:
        assert told["Radiators, each way"] == span("radiator", "travel")


def test_without_a_driver_the_spreads_can_be_stated_and_nothing_is_judged(desk):
    sitting = desk("plan")
    page = sitting.look("doubt")
    assert "Unknown until driver data" in page.lead
    assert not list(page.root.all("table")) and not list(page.root.all("figure"))
    assert "doubt.Vb" in page.fields
    page = sitting.type("doubt", **{"doubt.Vb": "4"})
    assert sitting.document["doubt"] == {"Vb": 0.04}


def test_every_source_has_its_words_and_every_box_its_fields(desk):
    names = set()
    for kind, tuned in {
        "band-pass": True,
        "double band-pass": True,
        "radiators": True,
        "compound": False,
    }.items():
        sitting = desk(kind)
        names |= {source.name for source in found(sitting).told.sources}
        page = sitting.look("doubt")
        assert ("doubt.fb" in page.fields) == tuned
        assert all(SPREAD + value in page.fields for value in USUAL)
    assert names <= SOURCES.keys()
    assert set(ADVICE) < set(SOURCES)


def test_what_is_surer_narrows_the_answer(desk):
    sitting = desk()
    before = found(sitting)
    page = sitting.type("doubt", **{"doubt.QL": "5"})
    check(page)
    after = found(sitting)
    assert sitting.document["doubt"] == {"QL": 0.05}
    assert after.lowest.high - after.lowest.low < before.lowest.high - before.lowest.low
    assert page.fields["doubt.QL"].value == "5"
    assert f"usual: {100 * BUILT['QL']:.0f} %" in page.fields["doubt.QL"].note


def test_a_spread_can_be_taken_out_again(desk):
    sitting = desk()
    sitting.type("doubt", **{SPREAD + "fs": "3 %"})
    assert sitting.document["drivers"]["woofer"]["spread"]["fs"] == pytest.approx(0.03)
    usual = found(desk()).lowest
    page = sitting.type("doubt", **{SPREAD + "fs": ""})
    check(page)
    assert page.fields[SPREAD + "fs"].value == ""
    assert found(sitting).lowest == usual


def test_measured_drivers_and_back_to_the_usual(desk):
    sitting = desk()
    sitting.type("doubt", **{SPREAD + "Xmax": "20", "doubt.Vb": "1"})
    page = sitting.type("doubt", "measured")
    check(page)
    spread = sitting.document["drivers"]["woofer"]["spread"]
    assert spread == {"Xmax": 0.2, **MEASURED}, "what no home can measure stays as it was"
    told = found(sitting)
    assert told.unexplained.keys() == {"Vas"}
    assert f"{100 * told.unexplained['Vas']:.0f} % of the doubt in Vas is taken as its own" in page.text
    page = sitting.type("doubt", "usual")
    check(page)
    assert sitting.document["drivers"]["woofer"].get("spread") in ({}, None)
    assert sitting.document.get("doubt") in ({}, None) and "taken as its own" not in page.text


def test_with_no_doubt_at_all_it_says_so(desk):
    sitting = desk()
    nothing = {SPREAD + name: "0" for name in USUAL} | {f"doubt.{name}": "0" for name in BUILT}
    page = sitting.type("doubt", **nothing)
    check(page)
    assert "nothing is in doubt: a real pair is not like that" in page.lead
    assert found(sitting).matters == ()
    assert sitting.look("box").text.count("stay within 0.0 dB") == 1


def test_a_box_without_bass_is_told_as_that(desk):
    """A motor so strong that no sample comes within 3 dB of its middle level below 1500 Hz."""
    sitting = desk()
    sitting.type("box", chosen="A")
    page = sitting.type(
        "drivers", **{"drivers.woofer.Qes": "0.01", "drivers.woofer.Qts": "", "drivers.woofer.Bl": ""}
    )
    page = sitting.look("doubt")
    check(page)
    assert found(sitting).lowest is None
    assert "Not every speaker built to plan A comes within 3 dB" in page.lead
    assert page.rows(label="What matters")[0] == ["What may differ", "at 40 Hz", "share"]
    assert not any("or lower" in row[0] for row in page.rows(label="Chances"))


def test_where_some_speakers_would_be_none_nothing_is_told_and_no_page_breaks(desk):
    """A Qms of 9000 can be typed; a fifth more cannot be."""
    sitting = desk()
    sitting.type(
        "drivers", **{"drivers.woofer.Qms": "9000", "drivers.woofer.Qts": "", "drivers.woofer.Rms": ""}
    )
    page = sitting.look("doubt")
    check(page)
    assert "That cannot be told" in page.lead and SPREAD + "Qms" in page.fields
    assert "shaded" not in sitting.look("box").text
    page = sitting.type("doubt", **{SPREAD + "Qms": "1", SPREAD + "fs": "0", SPREAD + "Vas": "0"})
    assert "built to plan" in page.lead


def test_without_a_travel_limit_travel_is_not_judged(desk):
    sitting = desk()
    sitting.type("drivers", **{"drivers.woofer.Xmax": ""})
    page = sitting.look("doubt")
    assert found(sitting).clean is None and "the sheet gives no Xmax" in page.text
    assert not any("cone" in row[0] for row in page.rows(label="Chances"))


@pytest.mark.parametrize(
    "path, text, words",
    [
        (SPREAD + "Vas", "70", "from 0 to 60 percent"),
        (SPREAD + "Re", "some", ""),
        ("doubt.QL", "-3", "less than zero"),
    ],
)
def test_what_is_no_spread_is_refused_at_its_field(desk, path, text, words):
    check_refusal(desk(), "doubt", path, text, words, ("doubt.Vb", "3", 0.03))


def test_it_answers_as_every_page(desk, stranger):
    sitting = desk()
    check_answers(sitting, "doubt", "doubt.Vb", "3.5")
    check_looking(stranger(sitting), "doubt")


# --- the charts ---


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer", *BOXES])
def test_the_chart_shows_the_band(desk, name):
    sitting = desk(name)
    box, told = sitting.result.box, found(sitting)
    chart = doubt_chart(box, told)
    figure = json.loads(chart.figure)
    low, high, plan = figure["data"]
    assert high["fill"] == "tonexty" and set(plan["y"]) == {0.0}
    paper = np.interp(low["x"], told.told.f, box.circuit.response(told.told.f).level)
    for trace, edge in ((low, told.told.band.low), (high, told.told.band.high)):
        assert np.allclose(paper + trace["y"], np.interp(trace["x"], told.told.f, edge), atol=0.1)
        assert all(isfinite(y) for y in trace["y"])
    bottom, top = figure["layout"]["yaxis"]["range"]
    heard = [x > 15 for x in low["x"]]
    assert bottom < min(np.array(low["y"])[heard]) and max(np.array(high["y"])[heard]) < top
    at, height = told.widest
    assert f"widest near {at:.0f} Hz: {height:.1f} dB" in chart.words
    for row in chart.rows:
        f, paper, least, middle, most = map(float, row)
        assert least <= middle <= most
        assert paper == pytest.approx(np.interp(f, box.response.f, box.response.level), abs=0.11)
    text = chart.figure.replace("var(--ink)", "#123456").replace("var(--leaf)", "#123456")
    for token in ("var(--hair)", "var(--p1)"):
        text = text.replace(token, "#123456")
    assert "var(" not in text
    go.Figure(json.loads(text), skip_invalid=False)


def test_the_level_chart_shades_the_chosen_box(desk):
    sitting = desk()
    project = read_project(sitting.plain)
    result = evaluate(project)
    f, band = box_band(project, result)
    chart = box_charts(result, (f, band))["level"]
    low, high, *_ = json.loads(chart.figure)["data"]
    assert np.allclose(low["y"], np.interp(low["x"], f, band.low), atol=0.15)
    whole = box_doubt(project, result).told
    for quick, slow in zip(band, whole.band, strict=True):
        heard = f > 25
        assert np.allclose(quick[heard], np.interp(f[heard], whole.f, slow), atol=0.15)
    paper = np.interp(f, result.box.response.f, result.box.response.level)
    heard = (f >= 20) & (f <= 200)
    off = max(np.max((band.high - paper)[heard]), np.max((paper - band.low)[heard]))
    assert f"19 of 20 like it stay within {off:.1f} dB, shaded" in chart.words
    assert f"stay within {off:.1f} dB, shaded" in sitting.look("box").text
    assert "shaded" not in box_charts(result)["level"].words


def test_an_unknown_driver_has_no_band(desk):
    sitting = desk("plan")
    project = read_project(sitting.plain)
    assert box_band(project, sitting.result) is None and box_doubt(project, sitting.result) is None
