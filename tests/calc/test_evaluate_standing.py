"""How firm a whole speaker stands: on its bottom, on feet and a plinth, on a stand."""

from math import atan, degrees

import pytest
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_standing import stood
from server.beginnings import demo
from server.documents import amend, read_project

FEET = {"count": 4, "height": 0.02, "inset": 0.03, "diameter": 0.02}
STAND = {"height": 0.5, "width": 0.3, "depth": 0.34, "mass": 8.0}


def solved(**edits):
    """The reading-room pair with edits (a point in a path is two underscores), and how it stands."""
    edits = {path.replace("__", "."): value for path, value in edits.items()}
    project = read_project(amend(demo("reading_room"), edits))
    result = evaluate(project)
    return result.cabinet, stood(project, result)


def test_on_its_bottom_it_stands_as_its_weight_says():
    cabinet, found = solved()
    width, height, depth = cabinet.carcass.outer
    x, y, z = cabinet.centre
    expected = {"left": x, "right": width - x, "front": y, "back": depth - y}
    for way, reach in expected.items():
        assert_allclose(found.weakest.stands.angles[way], degrees(atan(reach / z)))
    assert_allclose(found.weakest.pull_top * height, cabinet.mass * min(expected.values()))
    assert found.lift == 0 and found.top == height and found.people == 1
    assert solved(workshop__sheets__ply__density=1700.0)[1].people == 2


def test_masses_of_the_parts_are_the_whole():
    cabinet, _ = solved(cabinet__plinth={"sheet": "ply", "height": 0.06})
    assert_allclose(sum(mass for _, _, mass, _ in cabinet.masses), cabinet.mass)
    moments = [sum(mass * at[axis] for _, _, mass, at in cabinet.masses) for axis in range(3)]
    assert_allclose([moment / cabinet.mass for moment in moments], cabinet.centre)
    names = [name for name, *_ in cabinet.masses]
    assert {"front", "shelf", "woofer", "dome", "crossover", "plinth left"} <= set(names)
    assert len(names) == len(set(names))


def test_feet_lift_it_and_take_its_edges_in():
    """Outermost points 30 - 10 = 20 inside the edges, the floor 20 below the bottom."""
    cabinet, found = solved(cabinet__feet=FEET)
    x, _, z = cabinet.centre
    assert_allclose(found.weakest.stands.angles["left"], degrees(atan((x - 0.02) / (z + 0.02))))
    assert_allclose(found.top - cabinet.carcass.outer[1], 0.02)
    _, three = solved(cabinet__feet={**FEET, "count": 3})
    assert three.weakest.stands.angle < found.weakest.stands.angle


def test_a_plinth_carries_the_feet():
    plinth = {"sheet": "ply", "height": 0.06, "setback": 0.01}
    cabinet, found = solved(cabinet__feet=FEET, cabinet__plinth=plinth)
    x, _, z = cabinet.centre
    assert_allclose(found.weakest.stands.angles["left"], degrees(atan((x - 0.03) / (z + 0.08))))
    woofer = next(each for each in cabinet.openings if each.name == "dome")
    assert_allclose(found.tweeter, woofer.y + 0.08)


def test_a_plinth_that_stands_out_makes_it_firmer():
    _, plain = solved()
    _, wide = solved(cabinet__plinth={"sheet": "ply", "height": 0.01, "setback": -0.04})
    assert wide.weakest.stands.angle > plain.weakest.stands.angle


def test_on_a_stand_it_tips_alone_or_with_it():
    cabinet, found = solved(stand=STAND)
    mass, (x, y, z) = cabinet.mass, cabinet.centre
    width, height, depth = cabinet.carcass.outer
    # moments about the floor: the stand's 8 kg at half its height, its middle under the cabinet's
    both = mass + 8
    up = (mass * (z + 0.5) + 8 * 0.25) / both
    off = mass * (y - depth / 2) / both
    together = next(way for way in found.ways if "Both" in way.words)
    assert_allclose(together.stands.angles["front"], degrees(atan((0.17 + off) / up)))
    reach = min(0.17 + off, 0.17 - off, 0.15 - abs(mass * (x - width / 2) / both))
    assert_allclose(together.pull_top, both * reach / (height + 0.5))
    alone = next(way for way in found.ways if "on its stand" in way.words)
    assert_allclose(alone.stands.angles["front"], degrees(atan(y / z)))
    assert found.ways[0].stands.angle == min(way.stands.angle for way in found.ways)
    _, fixed = solved(stand={**STAND, "fixed": True})
    assert [way.words for way in fixed.ways] == [together.words]


def test_a_skin_carries_the_edge_with_it():
    """A skin t thick on the left side: its left edge lies t further out, all else stays where it was."""
    skin = {"panel": "left", "sheet": "ply", "place": "outside"}
    cabinet, found = solved(cabinet__layers={"skin": skin})
    t = cabinet.carcass.layers["skin"].thickness
    x, _, z = cabinet.centre
    assert_allclose(found.weakest.stands.angles["left"], degrees(atan((x + t) / z)))
    assert "skin" in [name for name, *_ in cabinet.masses]


def test_a_front_that_leans_back_takes_its_drivers_with_it():
    _, plain = solved()
    cabinet, leaning = solved(cabinet__slope=10.0)
    assert leaning.weakest.stands.angles["front"] > plain.weakest.stands.angles["front"]
    dome = next(each for each in cabinet.openings if each.name == "dome")
    assert leaning.tweeter < dome.y


@pytest.mark.parametrize(
    ("field", "edits"),
    [
        ("cabinet.plinth.setback", {"cabinet__plinth": {"sheet": "ply", "height": 0.06, "setback": 0.1}}),
        ("cabinet.feet.inset", {"cabinet__feet": {**FEET, "inset": 0.2}}),
    ],
)
def test_what_nothing_can_stand_on_is_refused_at_its_field(field, edits):
    with pytest.raises(InputError) as refusal:
        solved(**edits)
    assert refusal.value.field == field
