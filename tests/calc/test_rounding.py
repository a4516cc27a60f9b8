"""Rounded and chamfered edges against the exact cross sections of arc and chamfer."""

from math import cos, pi, radians, tan

import pytest
from numpy.testing import assert_allclose

from calc.cabinet.joints import all_mitred, covered
from calc.cabinet.layers import layered
from calc.cabinet.panels import carcass
from calc.cabinet.rounding import rounded
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.project_cabinet import Layer, Rounding
from server.beginnings import demo
from server.documents import amend, read_project
from tests.calc.test_panels import INNER, VARIANTS, boards, joints


def made(rounding=None, edges=None, slope=0.0, layers=None, **thick):
    box = layered(carcass(INNER, "inner", boards(**thick), joints(edges or covered()), slope), layers or {})
    return rounded(box, rounding, layers or {}) if rounding else box


def solid(box):
    return sum(part.volume for part in (*box.panels.values(), *box.layers.values()))


def lost(rounding, **more):
    return solid(made(**more)) - solid(made(rounding, **more))


# Derived: a square corner loses r² (1 - pi/4) to an arc, c²/2 to a chamfer, all along the edge.
@pytest.mark.parametrize("edges", VARIANTS.values(), ids=VARIANTS.keys())
@pytest.mark.parametrize(("along", "axis", "count"), [("top", 0, 1), ("sides", 1, 2)])
def test_one_edge_loses_what_the_arc_takes(edges, along, axis, count):
    box = made(edges=edges)
    arc = (1 - pi / 4) * 0.015**2 * box.outer[axis] * count
    assert_allclose(lost(Rounding(0.015, "round", along), edges=edges), arc, rtol=1e-9)
    bevel = 0.012**2 / 2 * box.outer[axis] * count
    assert_allclose(lost(Rounding(0.012, "chamfer", along), edges=edges), bevel, rtol=1e-9)


# Derived: faces that meet at more than a right angle turn by less: r² (tan(turn/2) - turn/2); a chamfer's
# triangle has c² sin(turn) / 2.
def test_the_top_edge_of_a_leaning_front_is_blunter():
    width, turn = made().outer[0], radians(90 - 10)
    arc = 0.01**2 * (tan(turn / 2) - turn / 2) * width
    assert_allclose(lost(Rounding(0.01, "round", "top"), slope=10.0), arc, rtol=1e-9)
    bevel = 0.01**2 / 2 * cos(radians(10)) * width
    assert_allclose(lost(Rounding(0.01, "chamfer", "top"), slope=10.0), bevel, rtol=1e-9)


def test_corners_where_two_roundings_meet_lose_less_than_both():
    """Two arcs at a corner share what both would take there: less than a cube of the radius each."""
    sides, top = (lost(Rounding(0.015, "round", along)) for along in ("sides", "top"))
    both = lost(Rounding(0.015, "round", "sides and top"))
    assert 0 < sides + top - both < 2 * 0.015**3 * (1 - pi / 4)


def test_skins_are_rounded_with_the_front():
    """From the finished faces: 4 mm of skin on front and side, and the same arc along a longer edge."""
    skins = {name: (Layer(name, "veneer"), 0.004, 700.0) for name in ("front", "left")}
    box, whole = made(Rounding(0.01, "round", "sides"), layers=skins), made(layers=skins)
    assert_allclose(solid(whole) - solid(box), 2 * (1 - pi / 4) * 0.01**2 * box.outer[1], rtol=1e-9)
    assert box.layers["front"].volume < whole.layers["front"].volume
    assert box.layers["left"].volume < whole.layers["left"].volume
    assert box.layers["left"].mass / box.layers["left"].volume == pytest.approx(700.0)


def test_a_rounding_draws_the_centre_back():
    """First moments: what is left and what was taken balance where the whole did."""
    whole, box = made(), made(Rounding(0.02, "round", "all"))
    before, after = whole.panels["front"].centroid, box.panels["front"].centroid
    assert after[1] > before[1]
    assert_allclose((after[0], after[2]), (before[0], before[2]), atol=1e-12)


def test_a_rounding_that_reaches_the_air_is_refused():
    with pytest.raises(InputError) as refusal:
        made(Rounding(0.08, "round", "sides"))
    assert refusal.value.field == "rounding.size"


def test_a_rounding_through_the_front_is_told_but_not_at_a_mitre():
    """The front is 25 mm thick."""
    assert not made(Rounding(0.02)).facts
    (fact,) = made(Rounding(0.035)).facts
    assert fact.field == "rounding.size" and "into the sides" in fact.sentence
    told = made(Rounding(0.02, "round", "all"), edges=all_mitred()).facts
    assert "rounding.size" not in [fact.field for fact in told]


def test_through_the_whole_chain_a_rounding_weighs_less_and_moves_no_air():
    whole, cut = (evaluate(read_project(amend(demo("reading_room"), edits))).cabinet for edits in (
        {}, {"cabinet.rounding": {"size": 0.012, "along": "sides"}}))  # fmt: skip
    assert cut.net == whole.net and cut.carcass.outer == whole.carcass.outer
    front = whole.carcass.panels["front"]
    taken = 2 * (1 - pi / 4) * 0.012**2 * whole.carcass.outer[1]
    assert_allclose(whole.mass - cut.mass, taken * front.density, rtol=1e-6)
