"""The charts: what plotly would say of them, and that they show the result and nothing else."""

import json
import re
from math import isfinite
from pathlib import Path

import numpy as np
import plotly.graph_objects as go
import plotly.offline
import pytest

from calc.evaluate import evaluate
from server.beginnings import demo, from_plan
from server.charts import box_charts, pencilled
from server.documents import amend, read_project
from server.figures import PENCILS, TEMPLATE

ROOT = Path(__file__).parent.parent.parent
NAMES = ["level", "port", "travel", "impedance", "largest", "delay"]
BARE = {f"drivers.woofer.{symbol}": None for symbol in ("Xmax", "Pe")}
EDITS = {
    "as it comes": {},
    "a closed one chosen": {"chosen": "A"},
    "no limits known": BARE,
    "a driver that is not known": {"alternatives.C.driver": "dome"},
    "the chosen one is not known": {"alternatives.B.driver": "dome"},
    "a port far too fast": {"alternatives.B.P": 5000.0},
    "a whisper": {"alternatives.B.P": 0.001},
    "hardly any bass": {"alternatives.A.box.Vb": 1e-5, "chosen": "A"},
    "a box like a barn": {
        "alternatives.A.box.Vb": 50.0,
        "alternatives.B.box.Vb": 4.0,
        "alternatives.B.box.fb": 5.0,
    },
    "a wild driver": {"drivers.woofer.Qms": 900.0, "drivers.woofer.Qes": 90.0},
    "words that look like markup": {"alternatives.B.name": "<b>&"},
}


def result_of(name="reading_room", **edits):
    return evaluate(read_project(amend(demo(name), edits)))


CASES = {f"reading_room, {what}": ("reading_room", edits) for what, edits in EDITS.items()}
CASES["hall_subwoofer"] = ("hall_subwoofer", {})


@pytest.fixture(params=CASES, scope="module")
def drawn(request):
    """A result and its charts."""
    name, edits = CASES[request.param]
    result = result_of(name, **edits)
    return result, box_charts(result)


def figures(drawn):
    for name, chart in drawn[1].items():
        yield name, json.loads(chart.figure)


def test_plotly_accepts_every_word(drawn):
    template = json.loads(TEMPLATE)
    allowed = "var(--ink)", "var(--leaf)", "var(--hair)", "var(--p1)", "var(--p2)", "var(--p3)", "var(--p4)"
    for name, figure in ((name, json.loads(chart.figure)) for name, chart in drawn[1].items()):
        text = json.dumps({**figure, "layout": {**figure["layout"], "template": template}})
        for token in allowed:  # plotly's own check knows no tokens of a style sheet
            text = text.replace(token, "#123456")
        assert "var(" not in text, name
        go.Figure(json.loads(text), skip_invalid=False)


def test_that_check_would_refuse_a_word_of_ours():
    with pytest.raises(ValueError, match="linecolour"):
        go.Figure({"data": [], "layout": {"xaxis": {"linecolour": "red"}}}, skip_invalid=False)


def test_colours_are_tokens_of_the_style_sheet(drawn):
    sheet = (ROOT / "static" / "app.css").read_text()
    for source in (*(json.dumps(figure) for _, figure in figures(drawn)), TEMPLATE):
        for token in set(re.findall(r"var\((--[\w-]+)\)", source)):
            assert f"{token}:" in sheet, token
        assert not re.search(r"#[0-9a-fA-F]{3,6}\b", source)


def test_every_number_is_one_and_every_range_has_room(drawn):
    def numbers(part):
        if isinstance(part, dict):
            for value in part.values():
                yield from numbers(value)
        elif isinstance(part, list):
            for value in part:
                yield from numbers(value)
        elif isinstance(part, float | int):
            yield part
        else:
            assert part is not None, "a gap"

    for name, figure in figures(drawn):
        assert all(isfinite(number) for number in numbers(figure)), name
        for axis in ("xaxis", "yaxis", "yaxis2"):
            if axis in figure["layout"]:
                low, high = figure["layout"][axis]["range"]
                assert high > low, (name, axis)


def test_the_tables_are_the_curves_at_those_frequencies(drawn):
    result, drawn_charts = drawn
    known = pencilled(result)
    curves = {
        "level": lambda box: box.response.level,
        "port": lambda box: box.response.port_speed * box.drive,
        "travel": lambda box: box.response.cone * box.drive * 1e3,
        "largest": lambda box: box.limits.level,
        "delay": lambda box: box.response.group_delay * 1e3,
    }
    for name, curve in curves.items():
        if name not in drawn_charts:
            continue
        chart = drawn_charts[name]
        letters = [column.split(",")[0] for column in chart.columns[1:]]
        assert letters and all(len(row) == len(letters) + 1 for row in chart.rows)
        for row in chart.rows:
            for letter, cell in zip(letters, row[1:], strict=True):
                box = known[letter]
                assert float(cell) == pytest.approx(
                    np.interp(float(row[0]), box.response.f, curve(box)), abs=0.0501
                ), (name, letter, row[0])


def test_the_lines_are_the_curves(drawn):
    result, _ = drawn
    known = pencilled(result)
    for name, figure in figures(drawn):
        if name != "level":
            continue
        lines = {line["name"]: line for line in figure["data"] if line.get("mode") == "lines"}
        assert set(lines) == set(known)
        for letter, line in lines.items():
            f, level = known[letter].response.f, known[letter].response.level
            near = np.argmin(np.abs(f[:, None] - np.array(line["x"])), axis=0)
            assert np.max(np.abs(f[near] - line["x"])) <= 0.0501
            assert np.max(np.abs(level[near] - line["y"])) <= 0.00501
            assert line["x"][0] < 16 and line["x"][-1] > 480


def test_the_chosen_box_has_the_first_pencil_and_each_letter_its_own_dash_everywhere(drawn):
    result, _ = drawn
    order = list(pencilled(result))
    expected = {key: PENCILS[n] for n, key in enumerate(order)}
    dashes = {pencil["dash"] for pencil in PENCILS}
    assert len(dashes) == len(PENCILS) == 4, "colour never tells alone"
    for name, figure in figures(drawn):
        if name == "impedance":
            continue
        for line in figure["data"]:
            if line.get("mode") == "lines":
                assert line["line"] == expected[line["name"]], name
        letters = [
            re.sub("<.*?>", "", note["text"])
            for note in figure["layout"]["annotations"]
            if note["text"][:3] == "<b>"
        ]
        assert len(letters) == len(set(letters)) and set(letters) <= set(order)
    if not result.box.missing:
        assert order[0] == result.chosen


def test_a_sentence_for_the_eye_is_the_words_for_the_ear(drawn):
    for name, chart in drawn[1].items():
        assert re.sub("<.*?>", "", str(chart.sentence)).replace("&nbsp;", " ") == chart.words.replace(
            "&", "&"
        )
        assert chart.name == name and chart.words.endswith("."), name


def test_each_sentence_says_the_results_numbers():
    result = result_of()
    box, drawn = result.box, box_charts(result)
    assert list(drawn) == NAMES
    assert f"B falls 3 dB at {box.cutoffs[3.0]:.0f} Hz; A, closed, " in drawn["level"].words
    assert f"peaks at {box.port.speed:.0f} m/s near {box.port.speed_at:.0f} Hz" in drawn["port"].words
    assert f"inside its 5.5 mm down to {box.travel_from:.0f} Hz" in drawn["travel"].words
    assert f"less than {box.least_Z:.1f} Ω, at {box.least_Z_at:.0f} Hz" in drawn["impedance"].words
    assert f"{box.delay_peak * 1e3:.0f} ms late, near {box.delay_at:.0f} Hz" in drawn["delay"].words
    near50 = int(np.argmin(abs(box.response.f - 50)))
    by = {"travel": "cone travel", "power": "power", "port": "port air"}[str(box.limits.by[near50])]
    assert f"where {by} stops it" in drawn["largest"].words
    at50 = float(re.search(r"clean to (\d+) dB", drawn["largest"].words)[1])
    assert at50 == pytest.approx(box.limits.level[near50], abs=1)


def test_the_impedance_has_its_phase():
    result = result_of()
    box, chart = result.box, box_charts(result)["impedance"]
    figure = json.loads(chart.figure)
    (phase,) = [line for line in figure["data"] if line.get("yaxis") == "y2"]
    exact = np.interp(phase["x"], box.response.f, box.response.Z_phase)
    assert np.max(np.abs(exact - np.array(phase["y"]))) < 1.5
    for f, Z, turn in chart.rows:
        assert float(Z) == pytest.approx(np.interp(float(f), box.response.f, box.response.Z), abs=0.051)
        assert float(turn) == pytest.approx(
            np.interp(float(f), box.response.f, box.response.Z_phase), abs=0.51
        )


def test_what_cannot_be_known_has_no_chart():
    assert box_charts(evaluate(read_project(from_plan("metric")))) == {}
    closed_only = amend(demo("reading_room"), {"chosen": "A"})
    closed_only["alternatives"] = {"A": closed_only["alternatives"]["A"]}
    assert "port" not in box_charts(evaluate(read_project(closed_only)))
    none_limited = amend(closed_only, BARE)
    assert "largest" not in box_charts(evaluate(read_project(none_limited)))


def test_the_page_draws_with_the_version_that_the_figures_are_made_for():
    version = plotly.offline.get_plotlyjs_version()
    vendor = ROOT / "static" / "vendor"
    for bundle in ("cartesian", "gl3d"):
        path = vendor / f"plotly-{bundle}-{version}.min.js"
        assert path.is_file() and version in path.read_text("utf-8")[:300], bundle
    macro = (ROOT / "templates" / "macros" / "chart.html").read_text()
    assert re.findall(
        r"/static/vendor/plotly-\S*?-(\d+\.\d+\.\d+)\.min\.js", macro.replace("{{ kind }}", "kind")
    ) == [version]


def test_a_figure_is_small_and_says_nothing_twice(drawn):
    for name, chart in drawn[1].items():
        assert len(chart.figure) < 14_000, name
        assert "template" not in json.loads(chart.figure)["layout"]


@pytest.mark.parametrize("place", ["box", "side_by_side", "loudness", "inside", "doubt", "port"])
def test_every_chart_tells_its_model_and_how_far_it_holds(desk, place):
    page = desk().look(place)
    told = list(page.root.all("p", class_="holds"))
    drawn = [each for each in page.ids if each.startswith("plot-")]
    assert len(told) == len(drawn) >= 1
    assert all("holds " in each.text for each in told)
