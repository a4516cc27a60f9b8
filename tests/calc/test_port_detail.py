"""What is told of the ports of a box, held against the parts that it is made of, and against other boxes."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.evaluate import evaluate
from calc.evaluate_port_detail import port_detail
from calc.sound import port
from server.beginnings import demo
from server.documents import amend, read_project

BOX = "alternatives.B.box"
OTHER = {"shape": {"kind": "round", "diameter": 0.03}, "y": 0.08}
BAND_PASS = {
    "kind": "band_pass", "Vr": 0.008, "Vf": 0.01, "fb": 70.0,
    "port": {"shape": {"kind": "round", "diameter": 0.06}},
}  # fmt: skip
DOUBLE = {**BAND_PASS, "fr": 35.0, "rear": {"shape": {"kind": "round", "diameter": 0.04}, "y": 0.15}}


def told(name="reading_room", **edits):
    project = read_project(amend(demo(name), edits))
    result = evaluate(project)
    return result, port_detail(project, result)


def test_a_closed_box_has_no_port_to_tell_of():
    assert told(chosen="A")[1] is None


@pytest.mark.parametrize("edits", [{}, {f"{BOX}.other": OTHER}, {f"{BOX}.other": {**OTHER, "length": 0.1}}])
def test_lengths_around_the_tuning(edits):
    """The one for the tuning is that of the result; the others, typed, bring what they are for."""
    result, detail = told(**edits)
    table = dict(detail.cutting.lengths)
    box = result.box
    assert_allclose(table[box.fb], box.port.length, rtol=1e-9)
    assert list(table.values()) == sorted(table.values(), reverse=True)
    changed = {f"{BOX}.fb": None, f"{BOX}.port.length": table[box.fb - 3]}
    assert_allclose(told(**edits, **changed)[0].box.fb, box.fb - 3, rtol=2e-3)
    assert detail.cutting.leave > box.port.length
    assert detail.cutting.moved == ("both" if edits and "length" not in edits[f"{BOX}.other"] else "port")


def test_a_tuning_that_no_port_reaches_is_left_out():
    """The ends alone tune the box of 14 litres lower than that: derived, c/2 pi sqrt(S/(Vb e))."""
    result, detail = told(**{f"{BOX}.fb": 112.0})
    e = sum(adds for *_, adds in detail.ends)
    highest = result.air.c / (2 * np.pi) * np.sqrt(result.box.port.area / (result.box.apparent * e))
    assert 112 < highest < 116
    for fb, length in detail.cutting.lengths:
        assert (length is None) == (fb > highest)


def test_powers_and_speeds_belong_together():
    """The page's own speed at the stated power; the guidance's where the table says; losses slow it down."""
    result, detail = told()
    blowing, box = detail.blowing, result.box
    at = np.interp(box.watts, blowing.power, blowing.speed)
    assert_allclose(at, box.port.speed, rtol=2e-3)
    at = np.interp(blowing.power_at["older"], blowing.power, blowing.speed)
    assert_allclose(at, port.OLDER_SPEED.value, rtol=5e-3)
    assert np.all(blowing.most < blowing.speed) and np.all(np.diff(blowing.loss_most) > 0)
    assert_allclose(np.interp(blowing.decibel, blowing.power, blowing.loss_most), 1.0, atol=0.01)
    double = told(**{"alternatives.B.P": 2 * box.watts})[1].blowing
    assert_allclose(double.power_at["older"], blowing.power_at["older"], rtol=1e-6)
    assert double.now[1] > blowing.now[1]


def test_two_sizes_that_are_one_cost_what_one_costs():
    """Two tubes of one size, once as a pair and once as a second size: the same air, the same loss."""
    pair = {f"{BOX}.port.count": 2, f"{BOX}.port.shape.diameter": 0.04, f"{BOX}.port.y": 0.3}
    single = pair | {f"{BOX}.port.count": 1}
    apart = single | {f"{BOX}.other": {"shape": {"kind": "round", "diameter": 0.04}, "y": 0.1}}
    one, two = told(**pair)[1].blowing, told(**apart)[1].blowing
    assert_allclose(two.loss_most, one.loss_most, rtol=1e-6)
    assert_allclose(two.most, one.most, rtol=1e-6)


def test_rounded_ends_cost_less_and_are_told_as_a_range():
    sharp = told()[1].blowing
    edits = {f"{BOX}.port.outer": "flared", f"{BOX}.port.inner": "flared", f"{BOX}.port.flare": 0.02}
    flared = told(**edits)[1].blowing
    assert sharp.now[0] == sharp.now[1]
    assert flared.now[0] < flared.now[1] < sharp.now[1]
    assert flared.judgement.held is not None and sharp.judgement.held is None


def test_a_port_that_is_blown_beyond_any_model_still_has_its_powers():
    blowing = told(**{"alternatives.B.P": 5e5})[1].blowing
    assert blowing.now is None and blowing.power[-1] < 5e5 and np.all(np.isfinite(blowing.most))


def test_shares_of_two_sizes_are_those_of_the_speeds():
    result, detail = told(**{f"{BOX}.other": OTHER})
    shares, ports = detail.shares, result.box.ports
    assert_allclose(sum(share for share, _ in shares.values()), 1)
    assert_allclose(shares["port"][1] / shares["other"][1], ports["port"].speed / ports["other"].speed)
    assert told()[1].shares == {}


def test_what_the_length_leaves_out():
    """A panel and neighbours make it act longer and tune lower, an elbow the other way."""
    near = told(**{f"{BOX}.fb": 50.0})[1].uncounted
    assert [each.name for each in near] == ["panel"] and near[0].by > 0 > near[0].df
    two = told(**{f"{BOX}.port.count": 2, f"{BOX}.port.shape.diameter": 0.035})[1].uncounted
    assert {each.name for each in two} == {"panel", "neighbours"} or two[0].by is None
    result, bent = told(**{f"{BOX}.port.bends": 1})
    (elbow,) = bent.uncounted
    assert elbow.by < 0 < elbow.df
    first = result.box.port
    longer = port.port_tuning(result.box.apparent, first.length, 1, first.area, (first.effective_length
                              - first.length + elbow.by,), result.air.c)  # fmt: skip
    assert_allclose(longer - result.box.fb, elbow.df, rtol=0.02)


def test_the_pipe_is_told_with_the_box_or_not_at_all():
    result, detail = told(**{f"{BOX}.fb": 60.0})
    pipes = detail.pipes
    assert pipes.dead is not None and pipes.filtered is None and pipes.untold is None
    first = [each for each in pipes.resonances if each.of == "pipe"][0]
    assert_allclose(first.f, result.box.port.pipe_resonance, rtol=0.12)
    hidden = told(**{f"{BOX}.fb": 60.0, "alternatives.B.low_pass": {"f": 100.0, "order": 4}})[1].pipes
    assert np.all(hidden.filtered <= hidden.level) and all(each.hidden for each in hidden.resonances)
    bent = told(**{f"{BOX}.port.bends": 2})[1].pipes
    assert bent.dead is None and bent.level is not None, "nobody knows where it ends: one spring"


@pytest.mark.parametrize(("box", "why"), [(BAND_PASS, "chambers"), (DOUBLE, "chambers")])
def test_what_the_line_cannot_tell(box, why):
    result, detail = told(**{BOX: box})
    assert detail.pipes.untold == why and detail.pipes.level is None
    assert set(detail.pipes.half_waves) == set(result.box.ports)
    assert (detail.blowing.now is None) == (box is DOUBLE)


def test_without_a_driver_only_lengths_and_places():
    edits = {f"drivers.woofer.{symbol}": None for symbol in ("fs", "Qms", "Qes", "Qts", "Vas")}
    _, detail = told(**edits)
    assert detail.blowing is None and detail.pipes.untold == "driver"
    assert detail.cutting.leave > 0 and detail.rooms["back"].share > 0


def test_the_rooms_are_those_of_the_port_that_is_there():
    result, detail = told()
    mouth = next(each for each in result.openings if each.of == "port")
    room = detail.rooms["back"]
    row, column = np.argmin(abs(room.y - mouth.y)), np.argmin(abs(room.x - mouth.x))
    stands = not any("port" in field for field, _ in result.misfits)
    assert room.clear[row, column] == stands
    moved = {f"{BOX}.port.x": room.best[0], f"{BOX}.port.y": room.best[1]}
    there, _ = told(**moved)
    assert not [each for each in there.misfits if each[0].endswith((".port.x", ".port.y"))]


def test_ends_are_listed_as_they_are_reckoned():
    result, detail = told(**{f"{BOX}.other": OTHER})
    total = sum(adds for name, *_, adds in detail.ends if name == "other")
    other = result.box.ports["other"]
    assert_allclose(total, other.effective_length - other.length)
