"""From a project's result to what is said of its boxes."""

from math import pi

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.signal import TransferFunction, step

from calc.evaluate import evaluate
from calc.evaluate_side_by_side import side_by_side, step_of, verdict_of
from server.beginnings import demo, from_plan
from server.documents import amend, read_project


def weighed(document, **edits):
    project = read_project(amend(document, edits))
    result = evaluate(project)
    return project, result, side_by_side(project, result)


def test_a_push_on_a_closed_box_is_that_of_its_resonance_and_Q():
    """Second route: fc and Qtc of the result, stepped by a general library; the box has next to no losses."""
    loss_free = {"alternatives.A.box.QL": 1e6, "alternatives.A.box.QA": 1e6}
    _, result, found = weighed(demo("reading_room"), **loss_free)
    box, pushed = result.boxes["A"], found.steps["A"]
    high_pass = TransferFunction([1, 0, 0], [1, 1 / box.Qtc, 1])
    _, p = step(high_pass, T=pushed.t * 2 * pi * box.fc)
    assert_allclose(pushed.p, p, atol=5e-3)
    assert found.numbers["A"].settled == pushed.settled == step_of(box).settled


def test_what_is_said_rests_on_the_result():
    project, result, found = weighed(demo("reading_room"))
    for key, box in result.boxes.items():
        numbers = found.numbers[key]
        assert (numbers.f3, numbers.Vb, numbers.delay) == (box.cutoffs[3.0], box.Vb, box.delay_peak)
        assert numbers.loudest(100) == pytest.approx(np.interp(100, box.response.f, box.limits.level))
        assert numbers.speakers == project.speakers == 2
        assert numbers.speed == (box.port.speed if box.port else None)
        at_cutoff = np.interp(box.cutoffs[3.0], numbers.f, numbers.level)
        assert at_cutoff == pytest.approx(-3, abs=0.02), "the level over its middle, where it is 3 dB down"
        assert found.verdicts[key] == verdict_of(project, box)


def test_the_chambers_of_a_band_pass_share_its_air():
    port = {"count": 1, "shape": {"kind": "round", "diameter": 0.05}}
    box = {"kind": "band_pass", "Vr": 0.012, "Vf": 0.008, "fb": 60.0, "port": port}
    _, _, found = weighed(demo("reading_room"), **{"alternatives.A.box": box})
    numbers = found.numbers["A"]
    assert numbers.Vr == pytest.approx(0.012) and numbers.Vf == pytest.approx(0.008)
    assert numbers.f3 < 60 < numbers.upper
    assert numbers.level[int(np.argmin(abs(numbers.f - 60)))] == pytest.approx(0, abs=0.05)


def test_nothing_is_said_before_the_driver_is_known():
    project, result, found = weighed(from_plan("metric"))
    assert not found.numbers and not found.verdicts and not found.differences
    assert verdict_of(project, result.box) == ()
    _, _, found = weighed(demo("reading_room"), **{"alternatives.B.driver": "dome"})
    assert set(found.verdicts) == {"A", "C"} and not found.differences, "the chosen one is the unknown one"
    _, _, found = weighed(demo("reading_room"), **{"alternatives.A.driver": "dome"})
    assert set(found.differences) == {"C"}
