"""Side by side: the boxes in plain words, on the same charts, and in a table of what differs."""

import json
import re
from math import log2

import numpy as np
import plotly.graph_objects as go
import pytest
from reading import MADE, check, check_looking, made

from calc.evaluate import evaluate
from calc.evaluate_side_by_side import side_by_side
from calc.sound.closed_box import closed_box_peak
from calc.sound.notes import nearest_note
from server import units
from server.beginnings import demo
from server.documents import amend, read_project
from server.pages import QUESTIONS
from server.routes.side_by_side import rows
from server.telling import told


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("side_by_side")
    check(page)
    assert page.heading == QUESTIONS["side_by_side"]


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial"])
def test_each_number_of_the_table_is_the_results_and_each_difference_is_from_the_chosen(desk, name):
    sitting = desk(name)
    page, result = sitting.look("side_by_side"), sitting.result
    show = sitting.plain["show"]
    head, *body = page.rows("What differs")
    keys = [f"{key}{', chosen' if key == result.chosen else ''}" for key in result.boxes]
    assert head == ["What", *keys, "Which is better"]
    for cells, (what, quantity, values, better) in zip(body, rows_of(sitting), strict=True):
        assert (cells[0], cells[-1]) == (what, better)
        base = values[result.chosen]
        for cell, (key, value) in zip(cells[1:-1], values.items(), strict=True):
            if value is None:
                assert cell == "–"
                continue
            shown, *by = read(cell, quantity)
            assert shown == pytest.approx(units.in_unit(value, quantity, show), rel=0.03, abs=0.051), (
                what,
                key,
            )
            if key == result.chosen or base is None:
                assert not by
            elif by:
                change = units.in_unit(value, quantity, show) - units.in_unit(base, quantity, show)
                assert by == [pytest.approx(change, rel=0.05, abs=0.101)], (what, key)
            else:
                assert abs(value - base) <= 0.01 * abs(base)


def rows_of(sitting):
    """The rows as the page's own functions give them."""
    result = sitting.result
    return rows(result, side_by_side(read_project(sitting.plain), result).numbers)


def read(cell, quantity):
    """The numbers of a cell, with their signs; fractions of an inch too."""
    found = re.findall(r"([+−]?)(\d+(?:\.\d+)?)?(?: ?(\d+)/(\d+))?", cell)
    return [
        (-1 if sign == "−" else 1) * (float(whole or 0) + (int(over) / int(under) if under else 0))
        for sign, whole, over, under in found
        if whole or under
    ]


def test_the_rows_by_hand(desk):
    sitting = desk()
    result = sitting.result
    table = {what: values for what, _, values, _ in rows_of(sitting)}
    boxes = result.boxes
    assert table["Air inside"] == {"A": 0.009, "B": 0.014, "C": 0.018}
    assert "Radiators move" not in table, "nobody has any"
    assert table["Tuned to"]["A"] is None and table["Tuned to"]["B"] == pytest.approx(46)
    assert table["Total Q, closed"] == {"A": boxes["A"].Qtc, "B": None, "C": None}
    assert table["Falls 6 dB at"]["C"] == boxes["C"].cutoffs[6.0]
    assert table["Port air, peak"]["A"] is None and table["Port air, peak"]["C"] == boxes["C"].port.speed
    near = abs(boxes["B"].response.f - 40).argmin()
    assert table["Clean level at 40 Hz"]["B"] == pytest.approx(boxes["B"].limits.level[near], abs=0.2)
    assert table["Least load"]["A"] == boxes["A"].least_Z
    assert table["A push dies to a tenth in"]["A"] < table["A push dies to a tenth in"]["C"] < 0.1
    assert table["Latest bass"]["B"] == boxes["B"].delay_peak


def test_the_rise_of_a_closed_box_is_that_of_its_Q(desk):
    """Second route: Q²/sqrt(Q² - 1/4) of the lossless closed box, the table's from the solved circuit."""
    sitting = desk()
    small = {"alternatives.A.box.Vb": "3", "alternatives.A.box.QL": "", "alternatives.A.Rs": "4"}
    sitting.type("box", chosen="A")
    sitting.type("box", **small)
    Qtc = sitting.result.boxes["A"].Qtc
    rise = {what: values for what, _, values, _ in rows_of(sitting)}["Rises above its middle"]["A"]
    assert Qtc > 0.75 and rise == pytest.approx(closed_box_peak(Qtc)[0], abs=0.25)
    assert rise == 0 or rise > 0.1


def test_its_answer_names_the_deepest_the_loudest_and_the_smallest(desk):
    sitting = desk()
    lead, boxes = sitting.look("side_by_side").lead, sitting.result.boxes
    deepest = min(boxes.values(), key=lambda box: box.cutoffs[3.0])
    f3 = deepest.cutoffs[3.0]
    assert f"{deepest.key} reaches lowest, {f3:.0f} Hz, about {nearest_note(f3).name};" in lead
    assert "A is the smallest, 9.0 litre" in lead
    table = {what: values for what, _, values, _ in rows_of(sitting)}["Clean level at 40 Hz"]
    assert f"{max(table, key=table.get)} plays loudest at 40 Hz" in lead


def test_with_one_box_and_without_a_driver_it_says_so(desk):
    sitting = desk()
    sitting.type("side_by_side", "drop:A")
    page = sitting.type("side_by_side", "drop:C")
    assert "only one box on the bench" in page.lead
    page = desk("plan").look("side_by_side")
    assert "unknown until driver data" in page.lead and not list(page.root.all("figure", class_="chart"))


def test_boxes_that_know_their_driver_stand_beside_one_that_does_not(desk):
    sitting = desk()
    page = sitting.type("box", **{"alternatives.B.driver": "dome"})
    page = sitting.look("side_by_side")
    check(page)
    assert page.rows("What differs")[4][2] == "–", "B has no cut-off"
    figure = json.loads(next(page.root.all("div", class_="plot")).attributes["data-figure"])
    assert {line["name"] for line in figure["data"] if "name" in line} == {"A", "C"}


BOXES = {
    "passive_radiator": {
        "kind": "passive_radiator", "Vb": 0.016, "fb": 45.0,
        "radiator": {"count": 2, "Sp": 0.0133, "fp": 30.0, "Qmp": 6.0, "Mmp": 0.02, "Xmax": 0.008},
    },
    "band_pass": {"kind": "band_pass", "Vr": 0.012, "Vf": 0.008, "fb": 60.0,
                  "port": {"count": 1, "shape": {"kind": "round", "diameter": 0.05}}},
}  # fmt: skip


def of_all_kinds(show="metric"):
    """The pair, with a closed, a vented, a radiator and a band-pass box."""
    document = {**demo("reading_room"), "show": show}
    driver = document["alternatives"]["A"]["driver"]
    for key, kind in zip("CD", BOXES, strict=True):
        document["alternatives"][key] = {"driver": driver, "box": BOXES[kind]}
    return document


@pytest.mark.parametrize("show", ["metric", "imperial"])
def test_every_kind_of_box_is_put_in_words(desk, show):
    document = of_all_kinds(show)
    page = desk(document).look("side_by_side")
    check(page)
    project = read_project(document)
    result = evaluate(project)
    weighed = side_by_side(project, result)
    assert list(weighed.verdicts) == list("ABCD") and [box.kind for box in result.boxes.values()] == [
        "closed", "vented", "passive_radiator", "band_pass",
    ]  # fmt: skip
    for key, parts in weighed.verdicts.items():
        said = page.says(f"verdict-{key}")
        for part in parts:
            assert told(part, project).replace("\N{NO-BREAK SPACE}", " ") in said
    assert f"{result.boxes['A'].cutoffs[3.0]:.0f} Hz" in page.says("verdict-A")
    assert "two together to" in page.says("verdict-B")
    assert "2 passive radiators with" in page.says("verdict-C") and " g screwed to each" in page.says(
        "verdict-C"
    )
    assert (
        f"carries {result.boxes['D'].cutoffs[3.0]:.0f} Hz to {result.boxes['D'].upper:.0f} Hz"
        in page.says("verdict-D")
    )
    table = {row[0]: row[1:-1] for row in page.rows("What differs")}
    moved = result.boxes["C"].radiator
    assert [cell == "–" for cell in table["Radiators move"]] == [True, True, False, True]
    assert table["Radiators move"][2].startswith(f"{moved.travel * 1e3:.1f} mm")
    assert table["Screwed to each radiator"][2].startswith(f"{moved.added * 1e3:.1f} g")
    unit = "ft³" if show == "imperial" else "litre"
    assert all(f" {unit} " in page.says(f"verdict-{key}") for key in "ABCD")


def test_what_tells_boxes_apart_is_said_of_each_other_box(desk):
    sitting = desk()
    page = sitting.look("side_by_side")
    project = read_project(sitting.plain)
    weighed = side_by_side(project, sitting.result)
    others = [key for key in sitting.result.boxes if key != sitting.result.chosen]
    assert list(weighed.differences) == others
    for key, apart in weighed.differences.items():
        said = page.says(f"apart-{key}")
        assert "what you can hear" in said
        for part in (*apart.heard, *apart.unheard, *apart.untold):
            assert told(part, project).replace("\N{NO-BREAK SPACE}", " ") in said
        folded = page.says(f"unheard-{key}")
        assert all(
            told(part, project).replace("\N{NO-BREAK SPACE}", " ") not in folded for part in apart.heard
        )
    low, high = (sitting.result.boxes[key].cutoffs[3.0] for key in "BA")
    semitones = round(12 * log2(high / low))
    words = f"B reaches deeper, to {low:.0f} Hz where A ends at {high:.0f} Hz: {semitones} semitones."
    assert words in page.says("apart-A")


def test_a_copy_is_told_as_one_that_sounds_the_same(desk):
    sitting = desk()
    sitting.type("side_by_side", "drop:A")
    page = sitting.type("side_by_side", "copy:B")
    assert "nothing that you could hear" in page.says("apart-B")
    assert "No octave of the bass differs by more than 0.0 dB." in page.says("apart-B")


def test_without_a_driver_nothing_is_said_of_the_sound(desk):
    page = desk("plan").look("side_by_side")
    assert not {"verdicts", "apart", "hearing", "verdict-A"} & set(page.ids)
    sitting = desk()
    sitting.type("box", **{"alternatives.B.driver": "dome"})
    page = sitting.look("side_by_side")
    assert "verdict-A" in page.ids and "verdict-B" not in page.ids
    assert "apart" not in page.ids, "the chosen box is the unknown one"


def test_loud_sound_has_its_caution_and_thresholds_their_source(desk):
    page = desk().look("side_by_side")
    assert "protect the ears" in page.text
    assert "Zwicker" in page.says("hearing") and "no source" in page.says("hearing")


def test_the_chart_of_a_sudden_push(desk):
    sitting = desk()
    page = sitting.look("side_by_side")
    weighed = side_by_side(read_project(sitting.plain), sitting.result)
    plot = next(page.root.all(id="plot-step"))
    figure = go.Figure(json.loads(plot.attributes["data-figure"]))  # with plotly's own validators
    assert {trace.name for trace in figure.data} == {"A", "B", "C"}
    for trace in figure.data:
        step = weighed.steps[trace.name]
        x, y = np.array(trace.x), np.array(trace.y)
        assert y == pytest.approx(np.interp(x / 1e3, step.t, step.p, right=0.0), abs=4e-3)
        assert y[0] == pytest.approx(1.0, abs=1e-3)
        assert x[-1] >= 0.99e3 * step.settled
    assert f"{weighed.steps['B'].settled * 1e3:.2g} ms in B" in page.says("chart-step")
    table = next(page.root.all(id="table-step")).all("tr")
    head, *body = [[cell.text for cell in row.inside if not isinstance(cell, str)] for row in table]
    assert head == ["ms", "B", "A", "C"] and body[0] == ["0", "1.00", "1.00", "1.00"]
    letters = [note.text for note in figure.layout.annotations if note.text.startswith("<b>")]
    assert sorted(letters) == ["<b>A</b>", "<b>B</b>", "<b>C</b>"]


def test_a_box_that_cannot_be_told_has_no_line(desk):
    document = amend(made("reading_room"), {"alternatives.A.box.Vb": 1e-5})
    page = desk(document).look("side_by_side")
    check(page)
    assert "cannot be told" in page.says("verdict-A")
    figure = json.loads(next(page.root.all(id="plot-step")).attributes["data-figure"])
    assert {trace["name"] for trace in figure["data"]} == {"B", "C"}
    table = {row[0]: row[1:] for row in page.rows("What differs")}
    assert table["A push dies to a tenth in"][0] == "–"


def test_another_box_can_be_chosen_and_the_differences_turn_round(desk):
    sitting = desk()
    before = sitting.result.built.fb
    page = sitting.type("side_by_side", chosen="C")
    assert sitting.document["chosen"] == "C" and page.fields["chosen"].value == "C"
    assert page.rows("What differs")[1][1:4] == [
        "9.0 litre −9.0 litre",
        "14.0 litre −4.0 litre",
        "18.0 litre",
    ]
    by = sitting.result.built.fb - before  # of the cabinet as it stands, with the other port
    assert (
        page.sill["Tuning"][1]
        == f"{'▲' if by > 0 else '▼'} {abs(by):.0f} Hz {'higher' if by > 0 else 'lower'}"
    )
    page = sitting.refused("side_by_side", chosen="E")
    assert "must be one of the boxes" in page.fields["chosen"].says


def test_drop_and_copy(desk):
    sitting = desk()
    page = sitting.type("side_by_side", "drop:A")
    assert list(sitting.document["alternatives"]) == ["B", "C"]
    assert [do for do in page.buttons if do.startswith("drop")] == ["drop:C"]
    assert "choose another one first" in sitting.refused("side_by_side", "drop:B").text
    sitting.type("side_by_side", "copy:C")
    assert list(sitting.document["alternatives"]) == ["B", "C", "A"]


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "side_by_side")
