"""The charts and drawings of the port page: they show the calculation, and plotly and the paper take them."""

import json
import re
from math import isfinite

import numpy as np
import plotly.graph_objects as go
import pytest
from reading import made
from test_drawings import check_dress, check_paper

from calc.evaluate import evaluate
from calc.evaluate_port_detail import port_detail
from server.charts_port import loudest, pipe_chart, power_chart
from server.documents import amend, read_project
from server.drawings.port_room import port_places
from server.figures import TEMPLATE

BOX = "alternatives.B.box"
FLARED = {f"{BOX}.port.outer": "flared", f"{BOX}.port.inner": "flared", f"{BOX}.port.flare": 0.02}
CASES = {
    "as it comes": ("reading_room", {}),
    "a slot": ("hall_subwoofer", {}),
    "rounded ends": ("reading_room", FLARED),
    "crossed over": ("reading_room", {"alternatives.B.low_pass": {"f": 300.0, "order": 2}}),
    "two sizes": ("two ports", {}),
    "a band-pass": ("band-pass", {}),
    "both chambers vented": ("double band-pass", {}),
    "far too fast": ("reading_room", {"alternatives.B.P": 5e4}),
    "a whisper": ("reading_room", {"alternatives.B.P": 0.001}),
    "a box like a barn": ("reading_room", {f"{BOX}.Vb": 4.0, f"{BOX}.fb": 5.0}),
    "an elbow": ("reading_room", {f"{BOX}.port.bends": 2}),
}


@pytest.fixture(params=CASES, scope="module")
def told(request):
    name, edits = CASES[request.param]
    project = read_project(amend(made(name), edits))
    result = evaluate(project)
    return result, port_detail(project, result)


def drawn(told):
    result, detail = told
    both = power_chart(detail.blowing, result.box.watts), pipe_chart(detail.pipes)
    return {chart.name: chart for chart in both if chart}


def test_plotly_accepts_them_and_every_number_is_one(told):
    template = json.loads(TEMPLATE)
    for name, chart in drawn(told).items():
        figure = json.loads(chart.figure)
        text = json.dumps({**figure, "layout": {**figure["layout"], "template": template}})
        text = re.sub(r"var\(--(ink|leaf|hair|p[1-4])\)", "#123456", text)
        assert "var(" not in text, name
        go.Figure(json.loads(text), skip_invalid=False)
        for line in figure["data"]:
            assert all(isfinite(y) for y in line["y"]) and list(line["x"]) == sorted(line["x"])
        for axis in ("xaxis", "yaxis"):
            low, high = figure["layout"][axis]["range"]
            assert high > low and len(figure["layout"]["xaxis"]["tickvals"]) > 1, name


def test_a_sentence_is_the_same_for_eye_and_ear(told):
    for chart in drawn(told).values():
        assert (
            re.sub("<.*?>", "", str(chart.sentence)).replace("&nbsp;", " ").replace("\xa0", " ")
            == chart.words
        )
        assert chart.words.endswith(".") and all(len(row) == len(chart.columns) for row in chart.rows)


def test_the_lines_and_the_table_are_the_calculation(told):
    result, detail = told
    blowing, chart = detail.blowing, drawn(told)["power"]
    lines = {line["name"]: line for line in json.loads(chart.figure)["data"]}
    np.testing.assert_allclose(lines["no loss"]["y"], blowing.speed, atol=0.01)
    assert ("least loss" in lines) == (blowing.zeta[0] != blowing.zeta[1])
    for row, i in zip(chart.rows, range(0, len(blowing.power), 3), strict=True):
        assert float(row[0]) == pytest.approx(blowing.power[i], rel=0.06)
        if blowing.loss_most is not None:
            assert float(row[-1]) == pytest.approx(blowing.loss_most[i], abs=0.051)


def test_the_pipe_is_drawn_as_it_was_told(told):
    result, detail = told
    pipes, chart = detail.pipes, drawn(told).get("pipe")
    assert (chart is None) == (pipes.level is None)
    if chart is None:
        return
    lines = {line["name"]: line for line in json.loads(chart.figure)["data"]}
    np.testing.assert_allclose(lines["as it is"]["y"], pipes.level, atol=0.01)
    assert ("best lined" in lines) == (pipes.dead is not None)
    assert ("crossed over" in lines) == (pipes.filtered is not None)
    assert [row[0] for row in chart.rows] == [f"{each.f:.0f}" for each in pipes.resonances]
    each = loudest(pipes)
    if each:
        assert f"first at {each.f:.0f} Hz" in chart.words


def test_the_places_stay_on_their_paper(told):
    result, detail = told
    for panel, room in detail.rooms.items():
        drawing = port_places(
            result.cabinet.carcass, room, result.openings, result.cabinet.braces, name=f"places {panel}"
        )
        check_paper(panel, drawing)
        check_dress(panel, drawing)
        assert ("no room" in str(drawing.svg)) == (room.best is None)
