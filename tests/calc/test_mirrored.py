"""A mirrored pair: what differs in the right cabinet, by hand and by mirroring twice."""

import pytest
from numpy.testing import assert_allclose

from calc.cabinet.mirrored import handed, other_side
from calc.evaluate import evaluate
from server.beginnings import demo, from_drivers, from_plan
from server.documents import amend, read_project


def solved(**edits):
    edits = {path.replace("__", "."): value for path, value in edits.items()}
    return evaluate(read_project(amend(demo("reading_room"), {"cabinet.mirrored": True, **edits})))


def test_a_cabinet_with_all_in_its_middle_is_its_own_mirror_image():
    assert solved().handed == ()


def test_a_tweeter_off_the_middle_makes_two_fronts():
    """By hand: 120 mm from the left of 216.6 is 96.6 from the left of the mirrored front."""
    result = solved(cabinet__seats__dome__x=0.12)
    assert result.handed == ("front",)
    assert_allclose(other_side(result.cabinet.carcass.outer[0], 0.12), 0.0966, atol=1e-9)
    assert evaluate(read_project(amend(demo("reading_room"), {"cabinet.seats.dome.x": 0.12}))).handed == ()


def test_a_rib_off_the_middle_grooves_top_and_bottom_by_the_hand():
    ribs = {"rib": {"kind": "rib", "at": 0.06, "sheet": "ply", "depth": 0.006}}
    assert solved(cabinet__braces=ribs).handed == ("top", "bottom")
    middle = {"rib": {**ribs["rib"], "at": 0.09}}
    assert solved(cabinet__braces=middle).handed == ()


@pytest.mark.parametrize("x", [0.1, 0.12])
def test_mirroring_keeps_the_mass_and_mirrors_the_centre_of_gravity(x):
    """Second route: the same cabinet with its dome really placed on the other side."""
    left = solved(cabinet__seats__dome__x=x)
    width = left.cabinet.carcass.outer[0]
    right = solved(cabinet__seats__dome__x=other_side(width, x))
    assert_allclose(right.cabinet.mass, left.cabinet.mass)
    assert_allclose(right.cabinet.centre[0], width - left.cabinet.centre[0])
    assert_allclose(right.cabinet.centre[1:], left.cabinet.centre[1:])
    assert handed(left.cabinet.carcass, left.openings) == handed(right.cabinet.carcass, right.openings)


@pytest.mark.parametrize("name", ["drivers", "plan"])
def test_an_opening_of_unknown_size_is_told_by_its_place(name):
    begin = {"drivers": from_drivers, "plan": from_plan}[name]
    project = read_project(amend(begin("metric"), {"cabinet.mirrored": True}))
    assert isinstance(evaluate(project).handed, tuple)
