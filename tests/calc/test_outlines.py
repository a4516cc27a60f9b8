"""Flanges that are no circle: outlines against shapely, refusals, and how their recess is cut."""

from math import degrees, hypot, pi, radians, sin, sqrt

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from shapely import affinity

from calc.cabinet.flat_shapes import Shape, circle, common, outline, way_out
from calc.cabinet.outlines import square, truncated
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.project_cabinet import Frame, Seat
from calc.shop.boring import seat
from calc.shop.flats import square_flats, swing, truncated_flats
from server.beginnings import demo
from server.documents import amend, read_project

DOME = "drivers.dome.frame"
SQUARE = {f"{DOME}.shape": "square", f"{DOME}.across": 0.1, f"{DOME}.corner": 0.01}
CUT = {f"{DOME}.shape": "truncated", f"{DOME}.across": 0.09}


def result_of(**edits):
    return evaluate(read_project(amend(demo("reading_room"), edits)))


def opening(result, name):
    return next(each for each in result.openings if each.name == name)


# --- outlines, drawn once more by shapely


def drawn_truncated(diameter, across, turn):
    whole = shapely.Point(0, 0).buffer(diameter / 2, quad_segs=200)
    cut = whole.intersection(shapely.box(-across / 2, -1, across / 2, 1))
    return affinity.rotate(cut, -degrees(turn), origin=(0, 0))


def drawn_square(side, corner, turn):
    half = side / 2 - corner
    whole = shapely.box(-half, -half, half, half).buffer(corner, quad_segs=200)
    return affinity.rotate(whole, -degrees(turn), origin=(0, 0))


def drawn(shape):
    x, y = shape.half_x, shape.half_y
    box = shapely.MultiPoint([(-x, -y), (x, -y), (x, y), (-x, y)]).convex_hull
    return affinity.translate(box.buffer(shape.radius, quad_segs=200), shape.x, shape.y)


@given(diameter=st.floats(0.05, 0.3), share=st.floats(0.5, 0.99), turn=st.floats(-pi, pi))
def test_a_truncated_flange_is_the_circle_less_its_flats(diameter, share, turn):
    sizes = diameter, share * diameter, turn
    made, expected = truncated(*sizes), drawn_truncated(*sizes)
    assert_allclose(shapely.Polygon(made.corners()).area, expected.area, rtol=1e-3)
    assert_allclose(made.bounds(), expected.bounds, atol=2e-4 * diameter)
    assert made.reach == pytest.approx(diameter / 2)


@given(side=st.floats(0.05, 0.3), share=st.floats(0.01, 0.99), turn=st.floats(-pi, pi))
def test_a_square_flange_is_its_sides_with_rounded_corners(side, share, turn):
    corner = share * side / 2
    made, expected = square(side, corner, turn), drawn_square(side, corner, turn)
    assert_allclose(shapely.Polygon(made.corners()).area, expected.area, rtol=2e-3)
    assert_allclose(made.bounds(), expected.bounds, atol=1e-6)
    assert_allclose(made.reach, side / sqrt(2) - corner * (sqrt(2) - 1), rtol=1e-9)


@given(
    turn=st.floats(-pi, pi), x=st.floats(-0.3, 0.3), y=st.floats(-0.3, 0.3),
    half_x=st.sampled_from((0.0, 0.02, 0.1)),
    half_y=st.sampled_from((0.0, 0.06)), radius=st.floats(0.005, 0.05), flat=st.booleans(),
)  # fmt: skip
def test_gaps_are_those_of_shapely(turn, x, y, half_x, half_y, radius, flat):
    a = truncated(0.16, 0.14, turn) if flat else square(0.15, 0.02, turn)
    own = drawn_truncated(0.16, 0.14, turn) if flat else drawn_square(0.15, 0.02, turn)
    b = Shape(x, y, half_x, half_y, radius)
    gap, apart = a.gap(b), own.distance(drawn(b))
    assert b.gap(a) == gap
    assert_allclose(max(gap, 0.0), apart, atol=5e-5)
    if gap < -1e-4:
        assert own.intersection(drawn(b)).area > 0


def test_two_that_overlap_are_parted_by_their_amount():
    """Two squares of 100 whose middles stand 90 apart overlap by 10, turned by a quarter as well. Derived."""
    for turn in (0.0, pi / 2, pi):
        assert square(0.1, 0.0, turn).gap(square(0.1, 0.0).shifted(0.09, 0.02)) == pytest.approx(-0.01)
    a, b = square(0.1, 0.0, pi / 4), circle(0.12, 0.0, 0.1)
    assert a.gap(b) == pytest.approx(0.12 - 0.05 - 0.1 / sqrt(2))


@given(turn=st.floats(-pi, pi), x=st.floats(-0.1, 0.1), y=st.floats(-0.1, 0.1))
def test_the_way_out_ends_where_they_stand_apart(turn, x, y):
    a, b = truncated(0.16, 0.14, turn), circle(x, y, 0.05)
    assume(a.gap(b) < 0)
    way = way_out(a, b, 0.005, 1, 0)
    assert a.shifted(way, 0).gap(b) == pytest.approx(0.005, abs=1e-6)


def test_what_two_have_in_common_is_their_intersection():
    a, b = square(0.1, 0.01, 0.3), truncated(0.1, 0.08, 1.0).shifted(0.05, 0.01)
    expected = drawn_square(0.1, 0.01, 0.3).intersection(
        affinity.translate(drawn_truncated(0.1, 0.08, 1.0), 0.05, 0.01)
    )
    assert_allclose(shapely.Polygon(common(a.corners(), b.corners())).area, expected.area, rtol=2e-3)


def test_grown_it_is_as_far_off_all_round():
    """A polygon grown by r gains its perimeter times r and a circle of r (Steiner's formula, from memory)."""
    made = square(0.1, 0.0, 0.2)
    grown = shapely.Polygon(made.grown(0.01).corners())
    assert_allclose(grown.area, 0.1**2 + 0.4 * 0.01 + pi * 0.01**2, rtol=2e-4)


# --- frames


@pytest.mark.parametrize(
    ("sizes", "field"),
    [
        ({"shape": "truncated", "flange": 0.1, "across": 0.1}, "across"),
        ({"shape": "truncated", "flange": 0.1, "across": 0.07, "cutout": 0.074}, "across"),
        ({"shape": "square", "across": 0.07, "cutout": 0.074}, "across"),
        ({"shape": "square", "across": 0.1, "corner": 0.051}, "corner"),
        ({"shape": "square", "corner": -0.01}, "corner"),
        ({"across": 5.0}, "across"),
        ({"flange": 0.1, "cutout": 0.1}, "cutout"),
    ],
)
def test_what_no_flange_can_be_is_refused(sizes, field):
    with pytest.raises(InputError) as refused:
        Frame(**sizes)
    assert refused.value.field == field


def test_a_square_flange_asks_for_no_diameter():
    """The circle about a square of 100 with corners of 10: 141.42 less 2 * 10 * 0.41421. Derived."""
    frame = Frame(shape="square", across=0.1, corner=0.01, flange=0.05, cutout=0.08)
    assert (frame.wide, frame.narrow) == (0.1, 0.1)
    assert frame.about == pytest.approx(0.133137, abs=1e-6)
    assert Frame(shape="truncated", flange=0.1).narrow is None


# --- on the front


def test_the_recess_of_a_square_is_its_flange_with_play():
    result = result_of(**SQUARE)
    dome = opening(result, "dome")
    play = read_project(demo("reading_room")).workshop.flange_clearance
    assert_allclose(outline(dome).bounds(), (
        dome.x - 0.05 - play / 2, dome.y - 0.05 - play / 2, dome.x + 0.05 + play / 2, dome.y + 0.05 + play / 2
    ), atol=1e-9)  # fmt: skip


def test_flats_that_face_each_other_bring_two_drivers_closer():
    """Turned by 90° the dome's flat lies toward the woofer: 7.4 of its 104.8 is gone there. Derived."""
    upright, level = (result_of(**CUT, **{"cabinet.seats.dome.turn": turn}) for turn in (0.0, 90.0))
    gaps = [outline(opening(each, "dome")).gap(outline(opening(each, "woofer"))) for each in (upright, level)]
    across = read_project(demo("reading_room")).drivers["dome"].frame.flange
    assert gaps[1] - gaps[0] == pytest.approx((across - 0.09) / 2, abs=2e-5)


def test_a_turned_corner_over_the_edge_is_told_with_its_amount():
    """A square of 100 without rounding, turned by 45°, reaches 70.7 from its middle, 50 upright. Derived."""
    sharp = SQUARE | {f"{DOME}.corner": 0.0, "cabinet.seats.dome.flush": False, "cabinet.seats.dome.x": 0.06}
    plain = result_of(**sharp)
    assert not [each for each in plain.clashes if each.kind == "edge"]
    (clash,) = [
        each
        for each in result_of(**sharp, **{"cabinet.seats.dome.turn": 45.0}).clashes
        if each.kind == "edge"
    ]
    assert clash.amount == pytest.approx(0.1 / sqrt(2) - 0.06, abs=1e-9)


def test_screws_turn_with_their_flange():
    still, turned = (
        opening(result_of(**SQUARE, **{"cabinet.seats.dome.turn": turn}), "dome") for turn in (0.0, 45.0)
    )
    (x, y), (u, v) = still.screws[0], turned.screws[0]
    assert hypot(u, v) == pytest.approx(hypot(x, y))
    assert (x * u + y * v) / hypot(x, y) ** 2 == pytest.approx(sqrt(0.5)), "by 45°"
    assert x * v - y * u < 0, "to the right"


@pytest.mark.parametrize(("turn", "handed"), [(0.0, ()), (90.0, ()), (30.0, ("front",))])
def test_a_flange_that_is_turned_askew_makes_a_front_of_one_hand(turn, handed):
    pair = {"cabinet.mirrored": True, "cabinet.seats.dome.turn": turn}
    assert result_of(**CUT, **pair).handed == handed
    assert result_of(**SQUARE, **pair).handed == handed


@pytest.mark.parametrize("turn", [-181.0, 200.0])
def test_a_turn_beyond_all_round_is_refused(turn):
    with pytest.raises(InputError) as refused:
        Seat("dome", 0.1, turn=turn)
    assert refused.value.field == "turn"


# --- at the router

CASE = {
    "flange": 0.1, "flange_thickness": 0.004, "gasket": 0.001, "cutout": 0.074, "finish": 0.0, "flush": True,
    "panel_thickness": 0.018, "bit": 0.00635, "clearance": 0.0008, "pass_depth": 0.0032, "web": 0.0015,
}  # fmt: skip


def test_flats_by_hand():
    """100 with 0.8 play, 88.8 from flat to flat: 44.4 to the side, 41.225 to the bit. Derived.

    By Pythagoras its length is 2 sqrt(50.4² - 44.4²) = 47.699.
    """
    made = truncated_flats(0.1008, 0.0888, 0.00635)
    assert_allclose((made.edge, made.centre, made.length), (0.0444, 0.041225, 0.0476991), atol=1e-7)


@given(across=st.floats(0.08, 0.099), bit=st.floats(0.003, 0.012))
def test_where_the_arm_stops_the_bit_touches_the_flat(across, bit):
    """Its middle is then half a bit from the flat: centre * sin(swing) + bit / 2 = edge."""
    made = seat(**{**CASE, "bit": bit}, shape="truncated", across=across)
    assert made.flats.count == 2 and made.flats.depths[-1] == pytest.approx(0.005)
    for step in made.steps:
        free = step.centre + bit / 2 <= made.flats.edge + 1e-9
        if step.cut == "through" or free:
            assert step.swing is None
        else:
            beside = step.centre * sin(radians(step.swing))
            assert beside + bit / 2 == pytest.approx(made.flats.edge)
    assert swing(made.steps[0].centre, made.flats) == made.steps[0].swing


def test_the_least_ledge_is_at_the_flats():
    """(88 + 0.8 - 74) / 2 = 7.4, where the whole circle would leave 13.4. Derived."""
    assert seat(**CASE, shape="truncated", across=0.088).ledge == pytest.approx(0.0074)
    assert seat(**CASE).ledge == pytest.approx(0.0134)


def test_the_rings_of_a_square_begin_where_they_touch_its_sides():
    made = seat(**CASE, shape="square", corner=0.008)
    assert made.flats.count == 4 and made.flats.length == pytest.approx(0.1008)
    assert made.steps[0].centre == pytest.approx(made.flats.centre)
    assert all(step.swing is None for step in made.steps)


@given(
    side=st.floats(0.05, 0.2), bit=st.floats(0.003, 0.03), corner=st.floats(0.0005, 0.02),
    clearance=st.floats(0.0, 0.003),
)  # fmt: skip
def test_the_flange_goes_in_unless_a_chisel_is_called_for(side, bit, corner, clearance):
    """By shapely: the flange of arcs of 90° within the recess as the bit leaves it."""
    recess = side + clearance
    assume(bit < recess and corner < side / 2)
    made = square_flats(recess, bit, corner, clearance)
    goes_in = corner + sqrt(2) / (2 * (sqrt(2) - 1)) * clearance
    assume(abs(bit / 2 - goes_in) > 2e-4)
    opened = drawn_square(recess, bit / 2, 0).buffer(1e-7)
    assert opened.covers(drawn_square(side, corner, 0)) == (not made.chisel)


def test_a_bit_that_is_too_round_is_told():
    facts = [sentence for _, sentence in seat(**{**CASE, "bit": 0.0127}, shape="square", corner=0.002).facts]
    assert any("chisel" in sentence for sentence in facts)
    facts = [sentence for _, sentence in seat(**CASE, shape="square", corner=0.008).facts]
    assert not any("chisel" in sentence for sentence in facts)


def test_flats_wider_than_the_circle_are_refused():
    with pytest.raises(InputError) as refused:
        truncated_flats(0.1, 0.1, 0.006)
    assert refused.value.field == "across"


def test_without_flats_it_waits():
    waiting = result_of(**CUT | {f"{DOME}.across": None})
    assert waiting.seats["dome"] is None
    assert opening(waiting, "dome").edge is None
