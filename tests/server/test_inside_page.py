"""The page of what goes on inside: its answers are the results, its buttons line the box."""

import json
import re

import numpy as np
import plotly.graph_objects as go
import pytest
from reading import BOXES, MADE, check, check_answers, check_looking, check_refusal, made, said

from calc.evaluate import evaluate
from calc.evaluate_inside import inside
from calc.sound.filling import DUST, MATERIALS
from server.charts_inside import LETTERS, ripple_chart
from server.documents import amend, read_project
from server.drawings.standing_waves import HEIGHT, WIDTH, standing_wave
from server.pages import QUESTIONS
from server.routes.inside import UNTOLD

BOX = "alternatives.B.box."
LINING = BOX + "lining."


def found(desk):
    return inside(read_project(desk.plain), desk.result)


@pytest.mark.parametrize("name", [*MADE, *BOXES])
def test_it_opens(desk, name):
    page = desk(name).look("inside")
    check(page)
    assert page.heading == QUESTIONS["inside"] == "What goes on inside the box?"
    row = page.root.one("nav", class_="rooms")
    assert next(row.all("a", aria_current="page")).text == "Inside"
    assert DUST in page.text and "clear of the port's inner end" in page.text


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer", "reading_room imperial"])
def test_its_answer_and_its_tables_are_the_results(desk, name):
    sitting = desk(name)
    page, now = sitting.look("inside"), found(sitting)
    show = sitting.plain["show"]
    assert f"Up to about {now.spring:.0f} Hz the air is a spring" in page.lead
    assert f"At {now.first:.0f} Hz it begins to swing along the {now.longest}" in page.lead
    assert f"{now.standing.most:.1f} dB" in page.lead
    for wave in now.axial:
        assert f"{wave.mode.f:.0f} Hz, along the {wave.side}" in page.text
        middle = said(now.sides[wave.side] / 2 / wave.half_waves, "length", show, sitting.plain["fraction"])
        assert f": still {middle} " in page.text
    rows = page.rows(label="Ways to line it")[1:]
    assert len(rows) == len(now.treatments) and "as it stands" in rows[0][0]
    for row, way in zip(rows, now.treatments.values(), strict=True):
        assert row[1] == (said(way.volume, "volume", show) if way.volume else "–")
        assert [cell.split()[0] for cell in row[2:5]] == [f"{Q:.0f}" for Q in way.rings.values()]
        assert row[5] == f"{way.most:.1f} dB, {way.most_at:.0f} Hz"
    lowest = page.rows(label="The lowest waves")[1:]
    assert [row[0] for row in lowest] == [f"{wave.mode.f:.0f}" for wave in now.waves]
    assert [row[1] for row in lowest] == [" and ".join(wave.mode.along) for wave in now.waves]
    losses = page.rows(label="Losses")[1:]
    assert [row[1] for row in losses[:-1]] == [f"{cost.Q:.3g}" for cost in now.costs]
    assert [row[3] for row in losses[:-1]] == [f"{cost.takes:.1f} dB" for cost in now.costs]
    together = 1 / sum(1 / cost.Q for cost in now.costs)
    assert float(losses[-1][1]) == pytest.approx(together, rel=0.01)


@pytest.mark.parametrize(
    ("name", "reason"), [("plan", "driver"), ("band-pass", "chambers"), ("double band-pass", "chambers")]
)
def test_what_cannot_be_told_is_said(desk, name, reason):
    page = desk(name).look("inside")
    assert page.lead.endswith(UNTOLD[reason])
    assert not list(page.root.all("figure", id="chart-ripple"))
    assert len(page.rows(label="Ways to line it")[0]) == 5, "no column for the level"
    unknown = "What they take is unknown until driver data." in page.text
    assert unknown is (reason == "driver")


def test_lining_the_walls_and_taking_it_out(desk):
    sitting = desk()
    before, bare = sitting.document, found(sitting).standing.most
    assert LINING + "share" not in sitting.look("inside").fields
    page = sitting.type("inside", "line:walls")
    check(page)
    lining = sitting.document["alternatives"]["B"]["box"]["lining"]
    assert lining["place"] == "walls" and lining["material"] in MATERIALS
    assert {LINING + name for name in ("material", "share", "density", "place")} <= page.fields.keys()
    assert page.fields[LINING + "share"].note == "25 mm on all walls"
    now = found(sitting)
    assert now.standing.most < bare and f"{now.standing.most:.1f} dB" in page.lead
    kilogram = lining["share"] * lining["density"] * sitting.result.built.Vb
    assert said(kilogram, "mass") in page.text
    assert now.advice.words in page.text
    assert "the lining" in [row[2] for row in page.rows(label="Losses")]
    page = sitting.type("inside", **{LINING + "place": "throughout", LINING + "material": "wool"})
    assert page.rows(label="Ways to line it")[1][0].startswith("Loose, as it is filled")
    sitting.type("inside", "unline")
    after = sitting.document
    assert after["alternatives"]["B"]["box"].get("lining") is None
    assert {**after, "alternatives": 0} == {**before, "alternatives": 0}


def test_filling_it_loosely(desk):
    sitting = desk()
    sitting.type("inside", "line:throughout")
    lining = sitting.document["alternatives"]["B"]["box"]["lining"]
    assert (lining["place"], lining["share"]) == ("throughout", 0.5)
    assert sitting.result.built.apparent > 1.02 * sitting.result.built.Vb


def test_a_lining_of_another_place_is_refused(desk):
    sitting = desk()
    before = sitting.document
    assert "must be on the walls or throughout" in sitting.refused("inside", "line:roof").text
    assert sitting.document == before


def test_another_box_can_be_looked_into(desk):
    sitting = desk()
    page = sitting.type("inside", chosen="A")
    check(page)
    assert sitting.document["chosen"] == "A" and "Port friction" not in page.text
    assert "the port takes" not in page.text and "alternatives.A.box.QL" in page.fields


def test_seals_and_gaps_change_the_leak(desk):
    sitting = desk()
    page = sitting.type("inside", **{BOX + "QL": "", "cabinet.seal": "gasket"})
    tight = sitting.result.built.losses.QL
    assert "empty: as sealed, about 0.05 mm" in page.fields["cabinet.leak_gap"].note
    sitting.type("inside", **{"cabinet.seal": "bare"})
    bare = sitting.result.built.losses.QL
    sitting.type("inside", **{"cabinet.leak_gap": "0.5"})
    gaping = sitting.result.built.losses.QL
    assert tight > bare > gaping
    page = sitting.type("inside", **{BOX + "QL": "7"})
    assert page.rows(label="Losses")[1][1:3] == ["7", "typed"]


REFUSALS = [
    (LINING + "share", "150 %", "must be a share of the box"),
    (LINING + "density", "0", "must be how heavy the packed fibres are"),
    (LINING + "density", "fluffy", "cannot be read as a number"),
    (LINING + "material", "straw", "must be one of the fibres"),
    (BOX + "QL", "-3", "must be a number above zero"),
    (BOX + "filling", "2", "between 1 (empty) and 1.4"),
    ("cabinet.leak_gap", "5 mm", "under 3 mm"),
]


@pytest.mark.parametrize(("field", "text", "words"), REFUSALS)
def test_refusals(desk, field, text, words):
    sitting = desk()
    sitting.type("inside", "line:walls")
    check_refusal(sitting, "inside", field, text, words, (BOX + "QA", "45", 45.0))


def test_answers(desk):
    check_answers(desk(), "inside", BOX + "QL", "12")


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "inside")


# --- its chart


def charted(**edits):
    project = read_project(amend(made("reading_room"), edits))
    now = inside(project, evaluate(project))
    return now, ripple_chart(now)


LINED = {"material": "glass", "share": 0.3, "density": 20.0, "place": "walls"}


@pytest.mark.parametrize(
    "edits",
    [{}, {BOX + "lining": LINED}, {BOX + "lining": LINED | {"place": "throughout"}}, {"chosen": "A"}],
    ids=["bare", "lined", "loose", "closed"],
)
def test_the_chart_is_what_was_reckoned(edits):
    now, chart = charted(**edits)
    figure = json.loads(chart.figure)
    go.Figure(figure)  # plotly's own rules
    shown = {trace["name"]: trace for trace in figure["data"]}
    ways = {name: way for name, way in now.treatments.items() if name in LETTERS}
    assert len(shown) == len(ways)
    for trace, way in zip(reversed(figure["data"]), ways.values(), strict=True):
        assert np.allclose(trace["x"], now.f, atol=0.051)
        assert np.allclose(trace["y"], way.ripple, atol=0.0051)
        low, high = figure["layout"]["yaxis"]["range"]
        assert low < way.ripple.min() and way.ripple.max() < high
    dashes = {json.dumps(trace["line"]) for trace in figure["data"]}
    assert len(dashes) == len(ways), "told apart without colour too"
    letters = [note["text"] for note in figure["layout"]["annotations"] if note["text"].startswith("<b>")]
    assert sorted(letters) == sorted(f"<b>{LETTERS[name]}</b>" for name in ways)
    assert f"{now.standing.most:.1f}" in chart.words and "Flat is good" in chart.words
    (band,) = figure["layout"]["shapes"]
    assert band["x0"] == pytest.approx(now.slanting)
    for row in chart.rows:
        assert len(row) == len(chart.columns) == 1 + len(ways)
        assert float(row[1]) == pytest.approx(np.interp(float(row[0]), now.f, now.standing.ripple), abs=0.35)


def test_there_is_no_chart_of_what_cannot_be_told():
    assert charted(**{BOX + "port.bends": 1})[1] is None


# --- its drawings


@pytest.mark.parametrize("side", ["width", "height", "depth"])
@pytest.mark.parametrize("n", [1, 2, 3])
@pytest.mark.parametrize("size", [(0.4, 0.2), (0.2, 0.4), (1.8, 0.1), (0.1, 1.8)])
def test_a_wave_is_drawn_on_its_paper(side, n, size):
    """The dots: largest at the ends, none where the pressure is still; all of it on the paper."""
    length, breadth = size
    plate = standing_wave(side, n, length, breadth, (0.0, length), (length / 3,), name="w")
    svg = str(plate.svg)
    numbers = [
        (float(x), float(y))
        for d in re.findall(r' d="([^"]+)"', svg)
        for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", d)
    ]
    dots = [tuple(map(float, dot)) for dot in re.findall(r'cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', svg)]
    assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in numbers)
    outline = [
        tuple(map(float, at.split())) for at in re.findall(r'class="o" d="M([^"]+)Z"', svg)[0].split("L")
    ]
    axis = 1 if side == "height" else 0
    low, high = (end(at[axis] for at in outline) for end in (min, max))
    largest = 4.2
    for *at, radius in dots:
        part = (at[axis] - low) / (high - low)
        assert radius == pytest.approx(largest * abs(np.cos(n * np.pi * part)), abs=0.12)
    assert len(dots) > 30
    assert svg.count(">driver<") == 1 and svg.count(">port<") == 1
    assert svg.count('class="mid"') == 2 * n
    assert f"Section along the {side}" in svg


def test_a_wave_without_places_has_no_words():
    svg = str(standing_wave("depth", 1, 0.3, 0.2, name="w").svg)
    assert "driver" not in svg and "port<" not in svg


def test_a_tight_closed_box_loses_so_little_that_it_is_not_counted(desk):
    """Seams alone leave a small closed box a Q of thousands: said in words, never as a power of ten."""
    sitting = desk("drivers")
    sheet = {"fs": 34, "Qms": 4.2, "Qes": 0.42, "Vas": "62 l", "Sd": 214, "Re": 5.8}  # invented
    sizes = {"frame.flange": 208, "frame.cutout": 184}
    typed = {f"drivers.woofer.{name}": str(value) for name, value in (sheet | sizes).items()}
    sitting.type("drivers", **typed)
    losses = sitting.look("inside").rows(label="Losses")[1:]
    assert [row[1] for row in losses] == ["over 1000", "over 1000"]
