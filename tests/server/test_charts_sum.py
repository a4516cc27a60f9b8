"""The charts of what is heard, fitted and loose: valid figures that show what calc found."""

import json

import numpy as np
import plotly.graph_objects as go
import pytest

from calc import evaluate_fit
from calc.evaluate_network import F, network
from calc.evaluate_sum import acoustic_sum
from calc.evaluate_tolerance import loosened, tolerance
from calc.network import fit
from calc.sound.summation import Meeting, level
from server.charts_fit import fit_chart
from server.charts_sum import phase_chart, sound_chart, verdict, voices_chart
from server.charts_tolerance import band_chart, pair_chart
from server.documents import read_project


@pytest.fixture
def found(desk):
    sitting = desk()
    project, result = read_project(sitting.document), sitting.result
    electric = network(project, result)
    heard = acoustic_sum(project, result, electric)
    task = evaluate_fit.task(project, result, electric, heard)
    return heard, task, fit.judged(task, task.start), tolerance(loosened(project, result, heard))


def traces(chart):
    figure = json.loads(chart.figure)
    go.Figure(figure)  # plotly's own validators
    for row in chart.rows:
        assert len(row) == len(chart.columns)
    return {trace["name"]: trace for trace in figure["data"]}


def test_every_chart_is_valid_and_shows_what_was_found(found):
    heard, task, judged, loose = found
    drawn = traces(sound_chart(heard))
    assert np.allclose(drawn["together"]["y"], level(heard.total), atol=0.06)
    assert {"woofer", "dome", "together", "one reversed"} == set(drawn)
    assert set(traces(phase_chart(heard))) == set(traces(voices_chart(heard))) == {"woofer", "dome"}
    drawn = traces(fit_chart(task, judged))
    assert np.allclose(drawn["together"]["y"], level(heard.total), atol=0.06)
    drawn = traces(band_chart(loose))
    assert np.all(np.array(drawn["lowest"]["y"]) <= np.array(drawn["highest"]["y"]))
    assert traces(pair_chart(loose))["pairs"]["y"][-1] == 0


def test_the_sum_of_the_chart_is_that_of_its_ways(found):
    """A second route: pressures added from the document's parts, without the page's own sum."""
    heard = found[0]
    assert np.allclose(sum(heard.ways.values()), heard.total)
    assert np.allclose(heard.ways["woofer"] - heard.ways["dome"], heard.inverted)
    assert F.shape == heard.total.shape


@pytest.mark.parametrize(
    ("angle", "null", "bump", "words"),
    [
        (4, -31, 0.2, "they pull together"),
        (25, -13, 0.2, "nearly together"),
        (70, -3, 0.2, "hardly at all"),
        (170, 4, -18, "against each other"),
        (4, -31, 2.1, "a hump of 2.1 dB"),
        (4, -31, -1.4, "a dip of 1.4 dB"),
    ],
)
def test_the_verdict_follows_the_meeting(found, angle, null, bump, words):
    heard = found[0]
    met = Meeting(f=2500.0, angle=angle, gain=6.0, null=null, null_f=2500.0, bump=bump)
    vars(heard)["meetings"] = (("woofer", "dome", met),)
    (said,) = verdict(heard)
    assert words in said.striptags().replace("\N{NO-BREAK SPACE}", " ")


def test_ways_that_never_meet_are_told(found):
    heard = found[0]
    vars(heard)["meetings"] = ()
    (said,) = verdict(heard)
    assert "never as loud as the next" in said
