"""Terminal plates: outlines against shapely, screws, air, how they are sawn, and what a cup runs into."""

from math import pi

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.flat_shapes import cut, outline
from calc.cabinet.rims import circle_screws, cup_air, opened, plate_screws, rim_shape
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.project_cabinet import Hole
from calc.shop.boring import BLADE, sawn_hole
from server.beginnings import demo
from server.documents import FieldErrors, amend, read_project

CUP = "cabinet.holes.terminals"
PLATE = {"panel": "back", "x": None, "y": 0.1, "width": 0.09, "height": 0.06, "radius": 0.008, "rim": 0.012,
         "screws": 4, "depth": 0.05}  # fmt: skip


def result_of(plate, **edits):
    document = amend(demo("reading_room"), edits)
    return evaluate(read_project(amend(document, {CUP: {**PLATE, **plate}})))


def hole(**sizes):
    return Hole("back", 0.1, **{"width": 0.09, "height": 0.06, **sizes})


def drawn(shape):
    """The shape by shapely: the rectangle of its half sizes, grown by its radius."""
    box = shapely.box(
        shape.x - shape.half_x, shape.y - shape.half_y, shape.x + shape.half_x, shape.y + shape.half_y
    )
    return box.buffer(shape.radius, quad_segs=256)


# --- as decided


@pytest.mark.parametrize(
    ("sizes", "field"),
    [
        ({"width": None}, "diameter"),
        ({"height": None}, "height"),
        ({"diameter": 0.05}, "diameter"),
        ({"radius": 0.031}, "radius"),
        ({"radius": -0.001}, "radius"),
        ({"rim": 0.2}, "rim"),
        ({"depth": 0.6}, "depth"),
        ({"screws": 4}, "rim"),
        ({"screws": 3, "rim": 0.01}, "screws"),
    ],
)
def test_what_no_plate_can_be_is_refused_at_its_field(sizes, field):
    with pytest.raises(InputError) as refused:
        hole(**sizes)
    assert refused.value.field == field


def test_a_refusal_stands_at_the_documents_field():
    with pytest.raises(FieldErrors) as refused:
        result_of({"radius": 0.05})
    assert set(refused.value.by_field) == {f"{CUP}.radius"}


# --- shapes


@given(
    width=st.floats(0.02, 0.2), height=st.floats(0.02, 0.2), share=st.floats(0.01, 0.99),
    rim=st.floats(0.001, 0.05),
)  # fmt: skip
def test_hole_and_rim_are_those_that_shapely_draws(width, height, share, rim):
    """The area of a rounded rectangle loses four corners of (1 - π/4) r² each."""
    plate = hole(width=width, height=height, radius=share * min(width, height) / 2, rim=rim)
    r = plate.radius
    assert_allclose(opened(plate), width * height - 4 * (1 - pi / 4) * r**2, rtol=1e-12)
    around = drawn(rim_shape(plate))
    assert_allclose(around.bounds[2:], (width / 2 + rim, height / 2 + rim), rtol=1e-12)
    sharp = (width + 2 * rim) * (height + 2 * rim)
    assert_allclose(around.area, sharp - (4 - pi) * r**2, rtol=1e-5)


def test_distances_of_a_plate_are_those_of_shapely():
    result = result_of({"x": 0.08, "y": 0.07})
    plate, port = (next(o for o in result.openings if o.name == name) for name in ("terminals", "port"))
    assert_allclose(drawn(cut(plate)).area, opened(hole(radius=0.008)), rtol=1e-5)
    assert port.panel == "back"
    assert_allclose(
        outline(plate).gap(outline(port)), drawn(outline(plate)).distance(drawn(outline(port))), rtol=1e-6
    )


def test_a_rim_over_the_edge_is_told_with_its_amount():
    """A plate 114 wide, its middle 60 from the left of a back that begins 9.3 in: 57 - 50.7 = 6.3 over."""
    clash = next(each for each in result_of({"x": 0.06, "depth": 0}).clashes if each.kind == "edge")
    left = next(iter(result_of({}).cabinet.carcass.panels["back"].low))
    assert clash.amount == pytest.approx(0.057 - (0.06 - left), abs=1e-9)
    assert "The rim of “terminals” reaches over the edge" in clash.sentence


# --- screws


def test_screws_of_a_rectangle_stand_in_the_middle_of_its_rim():
    """90 x 60 with a rim of 12: the corners of 102 x 72. Derived."""
    assert set(plate_screws(hole(rim=0.012, screws=4))) == {
        (-0.051, -0.036), (0.051, -0.036), (0.051, 0.036), (-0.051, 0.036)
    }  # fmt: skip
    six = plate_screws(hole(rim=0.012, screws=6))
    assert len(six) == 6 and {(0.0, 0.036), (0.0, -0.036)} < set(six), "along the longer sides"
    assert len(set(plate_screws(hole(rim=0.012, screws=8)))) == 8


@pytest.mark.parametrize("count", [2, 4, 6, 8])
def test_every_screw_has_half_the_rim_on_both_sides(count):
    plate = hole(rim=0.012, screws=count)
    outer = drawn(rim_shape(plate)).exterior
    for place in plate_screws(plate):
        point = shapely.Point(place)
        assert point.distance(outer) == pytest.approx(0.006, abs=1e-6)
        inner = shapely.box(-0.045, -0.03, 0.045, 0.03)
        assert inner.distance(point) >= 0.006 - 1e-12


def test_round_screws_turn_to_the_right():
    """One of four a quarter turn apart: the first at 45°; turned by 45° it stands at the right."""
    first = circle_screws(4, 0.1, pi / 4)[0]
    assert_allclose(first, (0.05, 0.0), atol=1e-12)


def test_a_screw_near_the_edge_of_the_panel_is_told():
    wide = {"width": 0.176, "height": 0.05, "rim": 0.009, "y": 0.1, "depth": 0, "screws": 2}
    kinds = [each.kind for each in result_of(wide).clashes]
    assert "screw" in kinds


# --- air and seams


def test_a_cup_takes_what_it_stands_into_the_box():
    """90 x 60 with corners of 8, 50 from the face, 18.3 of it wood: 31.7 inside. Derived."""
    area = 0.09 * 0.06 - (4 - pi) * 0.008**2
    assert cup_air(hole(radius=0.008, depth=0.05), 0.0183) == pytest.approx(area * 0.0317, rel=1e-9)
    flat, sunk = result_of({"depth": 0}), result_of({})
    assert flat.cabinet.net - sunk.cabinet.net == pytest.approx(area * 0.0317, rel=1e-6)
    assert dict(sunk.cabinet.ledger.displaced)["terminals"] == pytest.approx(area * 0.0317, rel=1e-6)
    assert "terminals" not in dict(flat.cabinet.ledger.displaced)


# --- what a cup runs into


def test_a_cup_that_is_deeper_than_the_box_is_told_by_how_much():
    result = result_of({"depth": 0.4, "y": 0.1})
    clash = next(each for each in result.clashes if each.kind == "cup" and each.field.endswith("depth"))
    inner = result.cabinet.carcass.inner[2]
    assert clash.amount == pytest.approx(0.4 - 0.0183 - inner, abs=1e-9)


def test_a_cup_meets_the_basket_that_reaches_it_and_no_other():
    """The basket reaches 76 mm in from a recess of 5.5; a cup that leaves it 1 mm of room stays clear."""
    result = result_of({})
    woofer = next(each for each in result.openings if each.name == "woofer")
    outer = result.cabinet.carcass.outer[2]
    ports = {"cabinet.braces": {}, "alternatives.B.box.port.panel": "front"}
    just = {"y": woofer.y, "depth": outer - 0.0055 - 0.076}

    def cups(more):
        made = result_of({**just, "depth": just["depth"] + more}, **ports)
        return [each for each in made.clashes if each.kind == "cup" and "woofer" in each.sentence]

    assert not cups(-0.001)
    (clash,) = cups(0.001)
    assert clash.parties[0].of == "holes.terminals" and clash.parties[1].of == "seats.woofer"
    back, forth = clash.shifts(clash.parties[0], 1)
    far = result_of({**just, "depth": just["depth"] + 0.001, "y": woofer.y + back - 1e-6}, **ports)
    assert back < 0 < forth
    assert not [each for each in far.clashes if each.kind == "cup" and "woofer" in each.sentence]


def test_a_brace_behind_a_cup_is_told():
    shelf = {"kind": "shelf", "at": 0.1, "sheet": "ply18", "depth": 0.006}
    document = demo("reading_room")
    sheet = document["cabinet"]["panels"]["left"]
    result = result_of({"y": 0.16}, **{"cabinet.braces": {"shelf": {**shelf, "sheet": sheet, "at": 0.14}}})
    assert any(each.kind == "brace" and "terminals" in each.sentence for each in result.clashes)


# --- sawing


def test_corners_as_round_as_a_drill_need_no_file():
    """90 x 60 about (100, 80), corners of 8: a 16 mm drill, 37 and 22 off the middle. Derived."""
    made = sawn_hole("terminals", "back", 0.09, 0.06, 0.008, 0.1, 0.08)
    assert made.drill == pytest.approx(0.016) and not made.filed
    assert_allclose(
        made.centres, ((0.063, 0.058), (0.137, 0.058), (0.137, 0.102), (0.063, 0.102)), atol=1e-12
    )


@given(width=st.floats(0.004, 0.3), height=st.floats(0.004, 0.3), share=st.floats(0, 1))
def test_the_drill_stays_inside_the_hole_and_touches_both_sides(width, height, share):
    radius = share * min(width, height) / 2
    made = sawn_hole("slot", "front", width, height, radius, 0.0, 0.0)
    x, y = made.centres[2]
    assert x + made.drill / 2 == pytest.approx(width / 2) and y + made.drill / 2 == pytest.approx(height / 2)
    assert made.filed == (made.drill > 2 * radius + 1e-9)
    assert made.drill >= min(BLADE, width, height) - 1e-12


def test_a_slot_is_sawn_and_a_plate_too():
    assert [each.name for each in result_of({}).sawn] == ["terminals"]
    assert [each.name for each in evaluate(read_project(demo("hall_subwoofer"))).sawn] == ["port"]
