"""The map of a project: its designs lie on it as they are, and a tried box is what taking it gives."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_map import land, tried
from calc.project import Port, VentedBox
from server.beginnings import demo, from_drivers
from server.documents import amend, read_project


def solved(name="reading_room", **changes):
    project = read_project(amend(demo(name), changes))
    return project, evaluate(project)


def nearest(values, wanted):
    return int(np.argmin(abs(np.log(np.asarray(values) / wanted))))


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer"])
@pytest.mark.parametrize("chosen", ["B", "C"])
def test_the_chosen_box_lies_on_its_map_with_its_own_numbers(name, chosen):
    """Between the four points of the map around it, whose steps are a few percent (monotonic there)."""
    project, result = solved(name, chosen=chosen)
    seen, box = land(project, result), result.box
    assert np.all(np.diff(seen.Vb) > 0) and np.all(np.diff(seen.fb) > 0)
    i, j = np.searchsorted(seen.Vb, box.Vb), np.searchsorted(seen.fb, box.fb)
    around = np.s_[i - 1 : i + 1, j - 1 : j + 1]
    for values, own in (
        (seen.boxes.f3, box.cutoffs[3.0]),
        (seen.boxes.travel, box.travel_peak),
        (seen.length, box.port.length),
        (seen.boxes.port_speed, box.port.speed),
    ):
        low, high = values[around].min(), values[around].max()
        assert low * 0.99 <= own <= high * 1.01
    assert any(spot.name == chosen and (spot.Vb, spot.fb) == (box.Vb, box.fb) for spot in seen.designs)


def test_the_strip_has_the_closed_box():
    project, result = solved(chosen="A")
    seen, box = land(project, result), result.box
    assert seen.length is None and seen.boxes.port_speed is None
    assert_allclose(np.interp(box.Vb, seen.Vb, seen.strip.f3), box.cutoffs[3.0], rtol=0.005)
    assert_allclose(np.interp(box.Vb, seen.Vb, seen.strip.Qtc), box.Qtc, rtol=0.005)
    assert seen.lower is seen.both is None and seen.wider > 0


@pytest.mark.parametrize("chosen", ["A", "B"])
def test_a_tried_box_is_what_taking_it_gives(chosen):
    """The project with that box, solved whole (a second route)."""
    project, result = solved(chosen=chosen)
    Vb, fb = 0.019, None if chosen == "A" else 41.0
    box = tried(project, result, Vb, fb)
    path = f"alternatives.{chosen}.box"
    taken = solved(chosen=chosen, **{f"{path}.Vb": Vb} | ({f"{path}.fb": fb} if fb else {}))[1].box
    assert_allclose(box.f3, taken.cutoffs[3.0], rtol=1e-6)
    assert_allclose(box.travel, taken.travel_peak, rtol=1e-6)
    if fb:
        assert_allclose((box.length, box.speed), (taken.port.length, taken.port.speed), rtol=1e-6)
    else:
        assert box.length is box.speed is None


def test_the_answer_is_told_by_boxes_that_were_tried():
    """Half as much air again, and 15 percent lower; losses are held, so within half a percent."""
    project, result = solved()
    seen, box = land(project, result), result.box
    for told, Vb, fb in (
        (seen.wider, 1.5 * box.Vb, box.fb),
        (seen.lower, box.Vb, 0.85 * box.fb),
        (seen.both, 1.5 * box.Vb, 0.85 * box.fb),
    ):
        assert_allclose(told, tried(project, result, Vb, fb).f3, rtol=0.02)


def test_a_tuning_that_no_port_reaches_is_told_and_the_rest_still_known():
    project, result = solved()
    seen = land(project, result)
    shut = np.ma.getmaskarray(seen.length)
    assert shut.any() and not shut.all()
    assert np.all(np.diff(shut.astype(int), axis=1) >= 0), "from some tuning on upward"
    i, j = np.argwhere(shut)[0]
    box = tried(project, result, seen.Vb[i], seen.fb[j] * 1.02)
    assert "shorter than nothing" in box.refused and box.length is box.speed is None
    assert_allclose(box.f3, seen.boxes.f3[i, j], rtol=0.05)


def test_another_kind_than_the_chosen_one_is_told_without_a_port():
    project, result = solved(chosen="A")
    box = tried(project, result, 0.02, 40.0)
    assert box.length is box.speed is box.refused is None and 30 < box.f3 < 60
    closed = tried(*solved(chosen="B"), 0.009, None)  # with the losses of B, which is lined otherwise
    assert_allclose(closed.f3, result.box.cutoffs[3.0], rtol=0.06)


def test_two_sizes_of_port_are_cut_alike_or_the_second_is_given():
    other = Port(shape=replace(Port().shape, diameter=0.03), count=1)
    for length in (None, 0.12):
        project, _ = solved()
        box = project.alternatives["B"].box
        ports = VentedBox(
            Vb=box.Vb, fb=box.fb, port=replace(box.port, y=0.3), other=replace(other, length=length, y=0.08)
        )
        whole = replace(
            project, alternatives={**project.alternatives, "B": replace(project.alternatives["B"], box=ports)}
        )
        result = evaluate(whole)
        seen = land(whole, result)
        i, j = nearest(seen.Vb, box.Vb), nearest(seen.fb, box.fb)
        at = tried(whole, result, float(seen.Vb[i]), float(seen.fb[j]))
        assert_allclose(seen.length[i, j], at.length, rtol=0.01)


def test_the_families_are_the_drivers_own():
    """The closed box of flattest level has a Qtc of 0.707: Vb = Vas/((Qtc/Qts)² - 1), and f3 = fc."""
    project, result = solved(chosen="A")
    spot = next(s for s in land(project, result).families if s.name == "flattest level" and s.fb is None)
    driver, Qts = result.box.group, result.box.Qts
    assert_allclose(spot.Vb, driver.Vas / ((0.707 / Qts) ** 2 - 1), rtol=1e-6)
    assert driver.fs * sqrt(1 + driver.Vas / spot.Vb) == pytest.approx(driver.fs * 0.707 / Qts)


def test_without_driver_data_nothing_is_told():
    project = read_project(from_drivers("metric"))
    result = evaluate(project)
    assert land(project, result) is None and tried(project, result, 0.02, None) is None


@pytest.mark.parametrize(("field", "Vb", "fb"), [("Vb", 0.0, 40.0), ("Vb", np.nan, None), ("fb", 0.02, -3.0)])
def test_bad_sizes_are_refused(field, Vb, fb):
    with pytest.raises(InputError) as refusal:
        tried(*solved(), Vb, fb)
    assert refusal.value.field == field
