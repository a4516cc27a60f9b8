"""Skins and linings: sizes, exact filling, and a modelling kernel's judgement."""

from collections import Counter
from math import cos, radians, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.bracing import braces
from calc.cabinet.joints import PANELS, covered, joint_faults
from calc.cabinet.layers import growth, layered, lined
from calc.cabinet.panels import carcass, grooved
from calc.cabinet.polyhedra import sums
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.project_cabinet import Brace, Layer
from server.beginnings import demo
from server.documents import amend, read_project
from tests.calc.test_panels import INNER, boards, boxes, brace_sets, joints

MICRO = 1e-15


def covered_box(layers, slope=0.0):
    return layered(carcass(INNER, "inner", boards(), joints(covered()), slope), layers)


def on(panel, t, place="outside", **more):
    return Layer(panel, "veneer", place, **more), t, 700.0


def test_each_skin_covers_the_edges_of_the_earlier_ones():
    """Derived: the carcass is 236 x 436 x 337; a skin is as large as its face as it stands."""
    box = covered_box({"left": on("left", 0.003), "front": on("front", 0.004), "top": on("top", 0.002)})
    left, front, top = (box.layers[name] for name in ("left", "front", "top"))
    width, height, depth = box.outer
    assert_allclose((left.length, left.width), (height, depth), atol=1e-12)
    assert_allclose((front.length, front.width), (height, width + 0.003), atol=1e-12)
    assert_allclose((top.length, top.width), (depth + 0.004, width + 0.003), atol=1e-12)
    assert_allclose(box.finished, (width + 0.003, height + 0.002, depth + 0.004), atol=1e-12)
    assert_allclose(front.low, (-0.003, -0.004, 0.0), atol=1e-12)
    assert box.layers.keys() == {"left", "front", "top"} and list(box.layers) == ["left", "front", "top"]


def test_a_soft_layer_takes_room_and_weighs_as_rubber_does():
    """Common practice, no source: rubbery glue and damping sheet weigh about 1100 kg/m³."""
    soft = {"skin": on("left", 0.004, soft=0.001)}
    skin = covered_box(soft).layers["skin"]
    assert_allclose(growth(soft, 0.0), (0.005, 0, 0))
    assert_allclose(skin.volume, 0.005 * skin.length * skin.width, rtol=1e-12)
    assert_allclose(skin.mass, (700 * 0.004 + 1100 * 0.001) * skin.length * skin.width, rtol=1e-12)


def test_the_later_of_two_linings_is_cut_shorter():
    layers = {"a": on("left", 0.01, "inside"), "b": on("bottom", 0.02, "inside")}
    box = covered_box(layers)
    w, h, d = INNER
    assert_allclose((box.layers["a"].length, box.layers["a"].width), (h, d), atol=1e-12)
    assert_allclose((box.layers["b"].length, box.layers["b"].width), (d, w - 0.01), atol=1e-12)
    assert_allclose(sum(lined(box.walls, layers).values()), 0.01 * h * d + 0.02 * d * (w - 0.01), rtol=1e-12)
    assert box.finished == box.outer


def test_a_lining_is_cut_out_around_a_brace():
    """Derived: a shelf of 18 mm across the whole depth leaves a lining of 10 mm two pieces."""
    thicknesses = {name: t for name, (t, _) in boards().items()}
    shelf = braces(INNER, thicknesses, {"shelf": (Brace("shelf", 0.2, "ply", 0.005), 0.018, 700.0)}).braces
    box = carcass(INNER, "inner", boards(), joints(covered()))
    lining = layered(box, {"a": on("left", 0.01, "inside")}, shelf.values()).layers["a"]
    assert_allclose(lining.volume, 0.01 * INNER[2] * (INNER[1] - 0.018), rtol=1e-12)


def test_a_lining_that_fills_the_box_is_refused():
    with pytest.raises(InputError) as refusal:
        covered_box({"thick": on("left", 0.25, "inside")})
    assert refusal.value.field == "layers.thick.sheet"


@st.composite
def layer_sets(draw):
    """Up to five layers anywhere."""
    return {
        f"layer {n}": on(
            draw(st.sampled_from(PANELS)),
            draw(st.floats(0.0006, 0.012)),
            draw(st.sampled_from(("outside", "inside"))),
            soft=draw(st.sampled_from((None, 0.001))),
        )
        for n in range(draw(st.integers(0, 5)))
    }


def _modelled(body):
    from manifold3d import Manifold

    return Manifold.hull_points(np.array(body.corners) * 1e3)


def test_leaning_boxes_with_layers_are_filled_exactly_and_no_two_parts_overlap():
    """Inner + panels + layers = finished body to 1 mm³, by the planes; by a modelling kernel, no overlap."""
    seen = Counter()

    @settings(max_examples=160, deadline=None, derandomize=True)
    @given(st.data())
    def check(data):
        size, panels, edges = data.draw(boxes())
        slope = data.draw(st.sampled_from((0.0, 3.0, 8.0, 20.0)))
        layers = data.draw(layer_sets())
        thicknesses = {name: t for name, (t, _) in panels.items()}
        if joint_faults(thicknesses, edges):
            return
        try:
            box = carcass(size, "inner", panels, edges, slope)
            plates = {} if slope else data.draw(brace_sets(size, thicknesses))
            bracing = braces(size, thicknesses, plates)
            box = layered(grooved(box, bracing.grooves), layers, bracing.braces.values())
        except InputError:
            seen["refused"] += 1
            return
        linings = sum(each.volume for each in box.layers.values() if each.place == "inside")
        assert_allclose(sum(lined(box.walls, layers, bracing.braces.values()).values()), linings, atol=1e-15)
        skins = sum(each.volume for each in box.layers.values() if each.place == "outside")
        width, height, depth = box.finished
        body = width * height * (depth - height * tan(radians(slope)) / 2)
        wood = sum(panel.volume for panel in box.panels.values())
        tongues = sum(brace.volume - brace.displaced for brace in bracing.braces.values())
        assert abs(box.gross + wood + tongues + skins - body) < 1e-9, "1 mm³"
        seen["leaning" if slope else "upright"] += 1
        seen["layers"] += bool(box.layers)
        seen["braced"] += bool(bracing.braces)
        solids = [_modelled(each.body) for each in box.layers.values()]
        for n, solid in enumerate(solids):
            body = list(box.layers.values())[n].body
            assert_allclose(solid.volume(), sums(body)[0] * 1e9, rtol=1e-6)
            assert all((solid ^ other).volume() < 1e-3 for other in solids[n + 1 :])
            for blank in box.panels.values():
                assert (solid ^ _modelled(blank.body)).volume() < 1e-3

    check()
    print(dict(seen))
    assert min(seen["leaning"], seen["upright"], seen["layers"]) > 20 and seen["braced"] > 5, seen


def test_leaning_panels_agree_with_solid_modelling():
    """Each panel's blank less its mates' blanks, by a modelling kernel, and none overlaps another."""
    from manifold3d import Manifold, OpType

    seen = Counter()

    @settings(max_examples=60, deadline=None, derandomize=True)
    @given(boxes(), st.sampled_from((2.0, 9.0, 25.0)))
    def check(drawn, slope):
        size, panels, edges = drawn
        if joint_faults({name: t for name, (t, _) in panels.items()}, edges):
            return
        try:
            box = carcass(size, "inner", panels, edges, slope)
        except InputError:
            seen["refused"] += 1
            return
        solids = {}
        for name, panel in box.panels.items():
            solid = _modelled(panel.body)
            for cut in panel.cuts:
                mate = next(each for each in cut.name.split("-") if each != name)
                solid -= _modelled(box.panels[mate].body)
            solids[name] = solid
            assert_allclose(panel.volume * 1e9, solid.volume(), rtol=1e-6, err_msg=name)
        together = Manifold.batch_boolean(list(solids.values()), OpType.Add).volume()
        assert_allclose(together, sum(solid.volume() for solid in solids.values()), rtol=1e-6)
        seen["mitred" if any(edge.mitre for edge in edges.values()) else "square"] += 1

    check()
    print(dict(seen))
    assert min(seen["mitred"], seen["square"]) > 5, seen


def test_one_skin_on_a_leaning_front_is_its_face():
    box = covered_box({"skin": on("front", 0.004)}, 10.0)
    skin = box.layers["skin"]
    assert set(skin.bevels) == {"front-top", "front-bottom"}
    assert_allclose(list(skin.bevels.values()), 10.0)
    assert_allclose(skin.length, box.outer[1] / cos(radians(10)) + 0.004 * tan(radians(10)), atol=1e-12)


# --- Through the whole chain


def pair(**edits):
    return evaluate(read_project(amend(demo("reading_room"), edits)))


def layer(panel, place, **more):
    return {"cabinet.layers.more": {"panel": panel, "place": place, "sheet": "ply"} | more}


def test_a_skin_moves_no_air_and_the_held_outside_is_the_finished_one():
    bare, skinned = pair().cabinet, pair(**layer("left", "outside")).cabinet
    t = bare.carcass.panels["left"].thickness
    assert skinned.net == bare.net and skinned.carcass.inner == bare.carcass.inner
    assert_allclose(skinned.carcass.finished[0], bare.carcass.outer[0] + t, atol=1e-12)
    skin = skinned.carcass.layers["more"]
    assert_allclose(skinned.mass - bare.mass, skin.mass, rtol=1e-9)
    size = {"cabinet.size": dict(zip(("width", "height", "depth"), bare.carcass.outer, strict=True))}
    held = pair(**{"cabinet.hold": "outer"} | size | layer("left", "outside")).cabinet
    assert_allclose(held.carcass.finished, bare.carcass.outer, atol=1e-12)
    assert_allclose(held.carcass.inner[0], bare.carcass.inner[0] - t, atol=1e-12)


def test_a_lining_is_displaced_air_and_the_held_air_grows_for_it():
    bare, lined = pair().cabinet, pair(**layer("back", "inside")).cabinet
    taken = dict(lined.ledger.displaced)["more"]
    assert 0 < taken == pytest.approx(bare.net - lined.net, abs=1e-12)
    held = pair(**{"cabinet.hold": "volume"} | layer("back", "inside"))
    assert_allclose(held.cabinet.net, held.cabinet.wanted, atol=1e-11)
    assert_allclose(dict(held.cabinet.ledger.displaced)["more"], held.cabinet.carcass.layers["more"].volume)


def test_a_laminated_board_thickens_its_panel_and_is_a_row_of_its_own():
    """Both boards are cut as one: the same blank twice, and the joints count both."""
    bare, thick = pair(), pair(**layer("front", "through"))
    t = bare.cabinet.carcass.panels["front"].thickness
    assert_allclose(thick.cabinet.carcass.panels["front"].thickness, 2 * t)
    assert_allclose(thick.cabinet.carcass.outer[2], bare.cabinet.carcass.outer[2] + t, atol=1e-12)
    (row,) = (row for row in thick.cut_list if "front" in row.names)
    assert "more" in row.names and row.count == 4
    assert_allclose(row.thickness, t)
    assert "more" not in thick.cabinet.carcass.layers


def test_a_skin_is_cut_from_its_sheet():
    result = pair(**layer("top", "outside"))
    (row,) = (row for row in result.cut_list if "more" in row.names)
    skin = result.cabinet.carcass.layers["more"]
    assert (row.length, row.width, row.sheet) == (skin.length, skin.width, "ply")


def test_skins_thicker_than_the_held_outside_are_refused_at_the_size():
    edits = {"cabinet.hold": "outer", "cabinet.size": {"width": 0.03, "height": 0.4, "depth": 0.3}}
    skins = {f"cabinet.layers.s{n}": {"panel": "left", "sheet": "ply"} for n in range(2)}
    with pytest.raises(InputError) as refusal:
        pair(**edits | skins)
    assert refusal.value.field == "cabinet.size.width"
