"""Mass by part, centre of gravity, tipping, stands, and who lifts it."""

import json
from math import atan, cos, degrees, radians, sin, tan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.balance import (
    GRAVITY,
    Base,
    Stand,
    base_for,
    feet_base,
    lifting_limit,
    mass_and_centre,
    on_stand,
    people_to_lift,
    push_test,
    rectangle,
    standing,
    tip_angle,
    tipping_force,
)
from calc.errors import InputError

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]
EXAMPLE = DATA["tipping_example"]
EDGES = ("left", "right", "front", "back")


@pytest.mark.parametrize("row", DATA["tipping"], ids=lambda row: f"{row['angle']}")
def test_tip_angles_and_the_ten_degrees(row):
    assert_allclose(tip_angle(row["x"], row["z"]), row["angle"], rtol=0, atol=row["tolerance"])
    stood = standing(10.0, (0.0, 0.0, row["z"]), rectangle(-5, 5, -row["x"], 5))
    assert (stood.weakest, stood.stable) == ("front", row["stable"])
    assert_allclose(stood.margin, row["angle"] - 10, rtol=0, atol=row["tolerance"])


def example():
    """The worked example, its middle in x; the front is y = 0."""
    return mass_and_centre([(mass, (0.1, y, z)) for mass, y, z in EXAMPLE["parts"]])


def test_the_worked_example_weighs_and_tips_as_the_moments_say():
    mass, centre = example()
    tolerance = EXAMPLE["tolerance"]
    assert_allclose(mass, EXAMPLE["mass"])
    assert_allclose(centre[1:], (EXAMPLE["from_front"], EXAMPLE["height"]), rtol=0, atol=1e-5)
    stood = standing(mass, centre, rectangle(0, 0.2, 0, EXAMPLE["depth"]))
    assert_allclose(stood.angles["front"], EXAMPLE["forward"], rtol=0, atol=tolerance)
    assert stood.stable and stood.weakest in ("left", "right") and stood.push == {}
    assert stood.angles["left"] == pytest.approx(degrees(atan(0.1 / EXAMPLE["height"])), abs=1e-3)


def test_the_push_test_on_the_worked_example():
    mass, centre = example()
    push = push_test(mass, centre[1], EXAMPLE["push_height"])
    expected = (EXAMPLE["push"], EXAMPLE["overturning"], EXAMPLE["restoring"])
    found = push.force, push.overturning, push.restoring
    assert_allclose(found, expected, rtol=EXAMPLE["push_tolerance"])
    assert push.holds and not push_test(mass, centre[1], 0.8).holds
    # the force that just tips it is where the two moments meet
    assert_allclose(tipping_force(mass, centre[1], 0.75) * 0.75, push.restoring)


def test_the_push_stops_at_what_the_standard_says():
    assert push_test(1000, 0.1, 1.5).force == 250
    with pytest.raises(InputError) as refusal:
        push_test(20, 0.1, 1.6)
    assert refusal.value.field == "height"


PLACES = st.tuples(st.floats(-0.15, 0.15), st.floats(-0.15, 0.15), st.floats(0.1, 1.5))


@given(centre=PLACES, half=st.floats(0.2, 0.6))
def test_at_its_tip_angle_the_centre_stands_over_the_edge(centre, half):
    """Second route: the body is turned about the edge, and its centre must come to lie straight above it."""
    stood = standing(20.0, centre, rectangle(-half, half, -half, half))
    for edge, axis, sign in (("left", 0, -1), ("right", 0, 1), ("front", 1, -1), ("back", 1, 1)):
        pivot = np.array([sign * half, 0.0])
        arm = np.array([centre[axis], centre[2]]) - pivot
        angle = sign * radians(stood.angles[edge])
        turned = cos(angle) * arm[0] + sin(angle) * arm[1]
        assert abs(turned) < 1e-12
    assert stood.angle == min(stood.angles.values()) == stood.angles[stood.weakest]


def test_what_stands_out_over_its_feet_falls_by_itself():
    stood = standing(10, (0, -0.05, 0.4), rectangle(-0.1, 0.1, 0, 0.2), push_height=0.8)
    assert stood.angles["front"] < 0 and not stood.stable and stood.push["front"] == 0
    assert tip_angle(-0.05, 0.4) == -tip_angle(0.05, 0.4)


@given(mass=st.floats(1, 80), x=st.floats(0.01, 0.5), height=st.floats(0.1, 2))
def test_the_tipping_force_does_the_work_that_lifts_the_centre(mass, x, height):
    """Virtual work: a turn by d about the edge lifts the centre by x d and moves the push by height d."""
    d = 1e-6
    assert_allclose(tipping_force(mass, x, height) * height * d, mass * GRAVITY * x * d, rtol=1e-12)
    stood = standing(mass, (x, 0, 1.0), rectangle(0, 1, -1, 1), push_height=height)
    assert stood.push["left"] == tipping_force(mass, x, height)


STAND = Stand(mass=9.0, height=0.6, centre=0.2, base=(0.3, 0.35))


def test_on_a_stand_both_tip_as_their_moments_say():
    """By hand. Cabinet 12 kg, 0.2 x 0.4 x 0.3, centre 0.02 before its middle and 0.18 up; stand 9 kg.

    It lies on pads 0.24 apart, the front ones 0.03 from its front edge.
    z = (12 x 0.78 + 9 x 0.2) / 21 = 0.531429, y = 12 x (-0.02) / 21 = -0.011429 from the stand's middle:
    forward atan((0.175 - 0.011429) / 0.531429) = 17.11 deg. Alone on the pads:
    forward atan((0.12 - 0.02) / 0.18) = 29.05 deg; sideways atan(0.1 / 0.18) = 29.05 deg too.
    """
    stood = on_stand(
        12, (0.1, 0.13, 0.18), rectangle(0, 0.2, 0.03, 0.27), (0.1, 0.15), STAND, push_height=0.9
    )
    assert_allclose(stood.mass, 21)
    assert_allclose(stood.centre, (0, -0.0114286, 0.5314286), atol=1e-6)
    assert_allclose(stood.together.angles["front"], 17.108, atol=2e-3)
    assert_allclose(stood.together.angles["left"], degrees(atan(0.15 / 0.5314286)), atol=1e-3)
    assert_allclose(stood.cabinet.angles["front"], 29.055, atol=1e-3)
    assert_allclose(stood.cabinet.angles["left"], 29.055, atol=1e-3)
    assert_allclose(stood.together.push["front"], 21 * GRAVITY * (0.175 - 0.0114286) / 0.9, rtol=1e-6)


@given(stand_mass=st.floats(0.5, 40))
def test_a_heavier_stand_with_a_low_centre_stands_firmer(stand_mass):
    def angle(mass):
        stand = Stand(mass, 0.6, 0.1, (0.3, 0.3))
        return on_stand(10, (0.1, 0.12, 0.2), rectangle(0, 0.2, 0, 0.3), (0.1, 0.15), stand).together.angle

    assert angle(stand_mass + 1) > angle(stand_mass)


def test_moving_the_cabinet_back_shifts_what_it_tips_over():
    lie = rectangle(0, 0.2, 0, 0.3)
    before = on_stand(12, (0.1, 0.12, 0.18), lie, (0.1, 0.15), STAND)
    after = on_stand(12, (0.1, 0.12, 0.18), lie, (0.1, 0.12), STAND)
    assert after.together.angles["front"] > before.together.angles["front"]
    assert after.together.angles["back"] < before.together.angles["back"]
    assert after.cabinet == before.cabinet


def test_three_feet_tip_over_the_line_between_two_of_them():
    """By hand. Feet of no width at (0, 0), (0.2, 0) and (0.1, 0.2); the centre over (0.1, 0.08), 0.3 up.

    The line from (0.2, 0) to (0.1, 0.2) has the normal (2, 1)/sqrt(5) and lies 0.4/sqrt(5) from the origin:
    it passes (0.4 - 0.28)/sqrt(5) = 0.0536656 from the centre, atan(0.0536656 / 0.3) = 10.142 deg. Straight
    to the right it is 0.06 away, atan(0.2) = 11.310 deg; to the back foot 0.12, to the front line 0.08.
    """
    stood = standing(10, (0.1, 0.08, 0.3), Base(((0, 0), (0.2, 0), (0.1, 0.2))), push_height=0.6)
    assert_allclose(stood.angle, 10.1420, atol=1e-3)
    found = [stood.angles[way] for way in ("left", "right", "front", "back")]
    expected = [11.3099, 11.3099, degrees(atan(0.08 / 0.3)), degrees(atan(0.12 / 0.3))]
    assert_allclose(found, expected, atol=1e-3)
    assert stood.weakest in ("back left", "back right"), "the normal lies 26.6 degrees off sideways"
    assert_allclose(stood.least_push, 10 * GRAVITY * 0.0536656 / 0.6, rtol=1e-5)


def test_feet_bear_at_their_outermost_points():
    """Four feet, 40 wide, 30 in from the edges of 200 x 300: they reach to 10 from each edge."""
    base = feet_base(0, 0.2, 0, 0.3, 4, 0.03, 0.04)
    stood = standing(10, (0.1, 0.15, 0.2), base)
    assert_allclose(stood.angles["left"], degrees(atan(0.09 / 0.2)), atol=1e-9)
    assert_allclose(stood.angles["front"], degrees(atan(0.14 / 0.2)), atol=1e-9)
    three = standing(10, (0.1, 0.15, 0.2), feet_base(0, 0.2, 0, 0.3, 3, 0.03, 0.04))
    assert_allclose(three.angles["front"], stood.angles["front"], atol=1e-9)
    assert three.angle < stood.angle and three.weakest in ("back left", "back right", "left", "right")


@given(
    centre=PLACES,
    places=st.lists(st.tuples(st.floats(-0.6, 0.6), st.floats(-0.6, 0.6)), min_size=3, max_size=9),
)
def test_no_way_is_weaker_than_the_weakest_and_turning_turns_them_all(centre, places):
    """Turned by 90 degrees about the upright axis, left becomes front, front right, right back, back left."""
    points = tuple((round(x, 2), round(y, 2)) for x, y in places)
    try:
        base = Base(points)
    except InputError:
        return
    x, y, z = centre
    stood = standing(20.0, centre, base)
    turned = standing(20.0, (-y, x, z), Base(tuple((-b, a) for a, b in points)))
    for way, other in (("left", "front"), ("front", "right"), ("right", "back"), ("back", "left")):
        assert_allclose(turned.angles[other], stood.angles[way], atol=1e-6)
    assert_allclose(turned.angle, stood.angle, atol=1e-9)
    if stood.angle >= 0:
        assert all(angle >= stood.angle - 1e-9 for angle in stood.angles.values())


def test_the_base_that_a_tilt_needs():
    """Derived: tan(10 deg) = 0.176327, so a centre 0.4 m high wants its edge 70.53 mm away."""
    assert_allclose(base_for(0.05, 0.4), 0.0705308, atol=1e-6)
    assert base_for(0.2, 0.4) == 0.2
    assert_allclose(tip_angle(base_for(0.0, 0.7, 12), 0.7), 12)
    assert_allclose(base_for(0.0, 1.0, 45), tan(radians(45)))


@pytest.mark.parametrize("row", DATA["lifting"]["rows"], ids=lambda row: f"{row['limit']} kg")
def test_lifting_by_the_revised_equation(row):
    limit = lifting_limit(row["H"], row["V"], row["D"], row["A"], row["FM"], row["CM"])
    assert_allclose(limit, row["limit"], rtol=row["tolerance"])
    if "load" in row:
        assert_allclose(row["load"] / limit, row["index"], rtol=row["tolerance"])
        assert people_to_lift(row["load"], limit) == 2


def test_nearer_than_the_body_allows_is_no_better():
    assert lifting_limit(0.1, 0.75, 0.1) == lifting_limit(0.25, 0.75, 0.25)
    assert lifting_limit(0.3, 0.75, 0.25, A=90) < lifting_limit(0.3, 0.75, 0.25)


@pytest.mark.parametrize(("mass", "people"), [(0.2, 1), (15, 1), (15.1, 2), (30, 2), (46, 4)])
def test_so_many_lift_it_that_nobody_has_more_than_his_share(mass, people):
    assert people_to_lift(mass) == people
    assert mass / people <= 15 + 1e-9


@pytest.mark.parametrize(
    ("field", "act"),
    [
        ("z", lambda: tip_angle(0.1, 0)),
        ("x", lambda: tip_angle(float("nan"), 1)),
        ("right", lambda: rectangle(0.2, 0.1, 0, 1)),
        ("back", lambda: rectangle(0, 0.1, 0.3, 0.3)),
        ("right", lambda: rectangle(float("nan"), 0.1, 0, 0.3)),
        ("x", lambda: Base(((float("nan"), 0), (1, 0), (0, 1)))),
        ("points", lambda: Base(((0, 0), (1, 0), (2, 0)))),
        ("inset", lambda: feet_base(0, 0.2, 0, 0.3, 4, 0.1, 0.02)),
        ("floor", lambda: standing(10, (0, 0, -0.1), rectangle(-1, 1, -1, 1))),
        ("mass", lambda: standing(0, (0, 0, 1), rectangle(-1, 1, -1, 1))),
        ("tilt", lambda: standing(1, (0, 0, 1), rectangle(-1, 1, -1, 1), tilt=90)),
        ("push_height", lambda: standing(1, (0, 0, 1), rectangle(-1, 1, -1, 1), push_height=-1)),
        ("height", lambda: tipping_force(1, 1, 0)),
        ("mass", lambda: Stand(-1, 0.5, 0.1, (1, 1))),
        ("centre", lambda: Stand(1, 0.5, 0.6, (1, 1))),
        ("base.depth", lambda: Stand(1, 0.5, 0.1, (1, 0))),
        ("mass", lambda: people_to_lift(float("inf"))),
        ("H", lambda: lifting_limit(0.7, 0.5, 0.5)),
        ("V", lambda: lifting_limit(0.3, 2, 0.5)),
        ("CM", lambda: lifting_limit(0.3, 1, 0.5, CM=1.2)),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(field, act):
    with pytest.raises(InputError) as refusal:
        act()
    assert refusal.value.field == field
