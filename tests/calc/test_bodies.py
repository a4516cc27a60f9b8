"""What stands behind a panel, upright and leaning: worked by hand, and against a solid model (manifold3d)."""

from collections import Counter
from math import cos, isclose, radians, sin

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold

from calc.cabinet.bodies import Body, shadow
from calc.cabinet.facing import facing
from calc.cabinet.flat_shapes import Shape, circle
from calc.cabinet.polyhedra import Plane, block
from calc.evaluate import evaluate
from server.beginnings import demo
from server.documents import amend, read_project

OUTER = (0.25, 0.5, 0.35)
LEAN = 10.0
TURNED = radians(LEAN)
CHORDS = 720
seen = Counter()


def solved(**edits):
    changes = {"cabinet.slope": LEAN, **{path.replace("__", "."): value for path, value in edits.items()}}
    return evaluate(read_project(amend(demo("reading_room"), changes)))


def told(result, kind):
    return [each for each in result.clashes if each.kind == kind]


# --- By hand


def test_a_leaning_body_reaches_back_and_down():
    """Along the normal (0, cos, -sin) from (y sin, y cos), the disc's rim by r sin and r cos (derived)."""
    body = Body(circle(0.1, 0.3, 0.12), 0.0, 0.2, facing("front", OUTER, LEAN))
    assert body.high == pytest.approx(
        (0.16, 0.3 * sin(TURNED) + 0.2 * cos(TURNED) + 0.06 * sin(TURNED), (0.3 + 0.06) * cos(TURNED))
    )
    assert body.low == pytest.approx(
        (0.04, (0.3 - 0.06) * sin(TURNED), 0.3 * cos(TURNED) - 0.2 * sin(TURNED) - 0.06 * cos(TURNED))
    )


def test_upright_it_is_as_deep_as_it_is_long():
    body = Body(circle(0.1, 0.3, 0.12), 0.0, 0.2, facing("front", OUTER))
    assert body.low == pytest.approx((0.04, 0.0, 0.24)) and body.high == pytest.approx((0.16, 0.2, 0.36))
    assert body.seen_level(0.15) == Shape(0.1, 0.3, 0.0, 0.0, 0.06)
    assert body.seen_level(0.2001) is None


def test_the_way_to_a_wall_is_along_the_body():
    """From 18 mm below the face the lower rim meets a back at 300 mm after (300 - y) / cos (derived)."""
    face = facing("front", OUTER, LEAN)
    body = Body(circle(0.1, 0.3, 0.05), 0.018, 0.018, face)
    upper_rim = (0.3 + 0.025) * sin(TURNED) + 0.018 * cos(TURNED)
    assert body.way_to(Plane(0.0, -1.0, 0.0, -0.3)) == pytest.approx((0.3 - upper_rim) / cos(TURNED))
    assert body.way_to(Plane(0.0, 1.0, 0.0, 0.0)) == float("inf")


def test_a_shelf_seen_along_a_leaning_front():
    """Corners (y, z) of the shelf from z 200 to 218 mm, back to 330: y' = y sin + z cos (derived)."""
    face = facing("front", OUTER, LEAN)
    shape, deep = shadow(block((0.018, 0.1, 0.2), (0.232, 0.33, 0.218)), face, 0.0, 1.0)
    assert shape.y - shape.half_y == pytest.approx(0.1 * sin(TURNED) + 0.2 * cos(TURNED))
    assert shape.y + shape.half_y == pytest.approx(0.33 * sin(TURNED) + 0.218 * cos(TURNED))
    assert deep == pytest.approx(
        (0.1 * cos(TURNED) - 0.218 * sin(TURNED), 0.33 * cos(TURNED) - 0.2 * sin(TURNED))
    )


def test_a_deep_driver_meets_the_back_sooner_the_higher_it_sits():
    """The upper rim of its magnet lies at (y + r) sin + reach cos; the back's face at depth - t (derived)."""
    low, high = (told(solved(drivers__woofer__frame__depth=0.25, cabinet__seats__woofer__y=y,
                             cabinet__braces={}), "deep") for y in (0.17, 0.19))  # fmt: skip
    assert high[0].amount - low[0].amount == pytest.approx(0.02 * sin(TURNED), abs=1e-9)
    (pair,) = high[0].pairs
    result = solved()
    carcass = result.cabinet.carcass
    reach = pair.deep[1]
    rim = (0.19 + pair.a.radius) * sin(TURNED) + reach * cos(TURNED)
    back = carcass.outer[2] - carcass.panels["back"].thickness
    assert high[0].amount == pytest.approx(rim - back)
    assert high[0].over == {"top": pytest.approx(high[0].amount / sin(TURNED))}


def test_a_low_driver_leans_into_the_bottom():
    """The magnet's lower rim lies at (y - r) cos - reach sin (derived); moving it up clears it."""
    result = solved(cabinet__seats__woofer__y=0.099, drivers__woofer__frame__depth=0.18, cabinet__braces={})
    (clash,) = told(result, "deep")
    assert clash.words == "“woofer” is {by} deeper than the box: its magnet meets the bottom."
    (pair,) = clash.pairs
    rim = (0.099 - pair.a.radius) * cos(TURNED) - pair.deep[1] * sin(TURNED)
    assert clash.amount == pytest.approx(result.cabinet.carcass.panels["bottom"].thickness - rim)
    (up,) = clash.shifts(clash.parties[0], 1)
    cleared = solved(cabinet__seats__woofer__y=0.099 + up + 1e-6, drivers__woofer__frame__depth=0.18,
                     cabinet__braces={})  # fmt: skip
    assert not told(cleared, "deep")


def test_a_place_on_a_leaning_front_is_counted_along_its_face():
    """The front is H / cos long, so that a height above H is still on it (derived)."""
    height = solved().cabinet.carcass.outer[1]
    left, low, right, high = solved().cabinet.carcass.face_bounds("front")
    assert high == pytest.approx(height / cos(TURNED)) or high < height / cos(TURNED)
    assert (left, right) == pytest.approx((0.0, solved().cabinet.carcass.outer[0])) and low >= 0
    clear = solved().cabinet.carcass.clear_bounds("front")
    t = solved().cabinet.carcass.panels["front"].thickness
    bottom = solved().cabinet.carcass.panels["bottom"].thickness
    assert clear[1] == pytest.approx((bottom + t * sin(TURNED)) / cos(TURNED))


# --- Any place


def leaning_rod(face, shape, start, end):
    """The same body as a solid, in mm."""
    section = CrossSection.circle(shape.radius * 1e3, CHORDS)
    solid = section.extrude((end - start) * 1e3)
    turn = np.zeros((3, 4))
    # (right, up, inward) is left-handed: mirror the round section, which leaves it as it is.
    turn[:, 0], turn[:, 1], turn[:, 2] = (-np.array(face.right), face.up, face.inward)
    turn[:, 3] = np.array(face.at(shape.x, shape.y, start)) * 1e3
    return solid.transform(turn)


def places(least, most):
    return st.floats(least, most).map(lambda at: round(at, 3))


@settings(max_examples=150)
@given(
    slope=st.sampled_from((0.0, 4.0, 11.0, 25.0)), y=places(0.05, 0.45), r=places(0.02, 0.08),
    long=places(0.03, 0.3), low=st.tuples(places(0.02, 0.1), places(0.0, 0.25), places(0.02, 0.4)),
    size=st.tuples(places(0.02, 0.2), places(0.02, 0.3), places(0.01, 0.2)),
)  # fmt: skip
def test_a_body_meets_a_block_where_the_solids_do(slope, y, r, long, low, size):
    face = facing("front", OUTER, slope)
    high = tuple(a + b for a, b in zip(low, size, strict=True))
    shape = Shape(0.125, y, 0.0, 0.0, r)
    cast = shadow(block(low, high), face, 0.0, long)
    gap = shape.gap(cast[0]) if cast else None
    both = leaning_rod(face, shape, 0.0, long) ^ Manifold.cube(tuple(1e3 * each for each in size)).translate(
        tuple(1e3 * each for each in low)
    )
    if gap is not None and abs(gap) < 2e-4:
        return  # they graze: the solid model's chords decide
    meets = gap is not None and gap < 0
    seen[meets] += 1
    event(f"meets: {meets}")
    assert meets == (both.volume() > 1e-3), f"{dict(seen)}: {gap}, {both.volume()} mm³"


def test_both_were_among_them():
    assert min(seen[True], seen[False]) >= 20, seen
    print(f"bodies that met a block {seen[True]}, that did not {seen[False]}")


@settings(max_examples=60)
@given(slope=st.sampled_from((0.0, 6.0, 20.0)), y=places(0.1, 0.4), r=places(0.02, 0.06),
       long=places(0.05, 0.2), beyond=places(0.05, 0.25))  # fmt: skip
def test_what_is_seen_level_covers_what_lies_beyond(slope, y, r, long, beyond):
    """No point of the body beyond lies outside the shape; of an upright one the shape is the very circle."""
    body = Body(Shape(0.1, y, 0.0, 0.0, r), 0.0, long, facing("front", OUTER, slope))
    shape = body.seen_level(beyond)
    turns = np.linspace(0, 2 * np.pi, 73)
    found = []
    for deep in np.linspace(0, long, 41):
        for turn in turns:
            point = body.face.at(0.1 + r * np.cos(turn), y + r * np.sin(turn), deep)
            if point[1] > beyond + 1e-9:
                found.append(shape.gap(Shape(point[0], point[2], 0.0, 0.0)))
    assert (shape is None) <= (not found)
    assert all(gap < 1e-9 for gap in found)
    if found and slope == 0:
        assert isclose(max(found), 0.0, abs_tol=1e-9)
