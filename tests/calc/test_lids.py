"""A front or back that comes off: its bed, its gasket and its play fill the box with the rest."""

from collections import Counter
from math import radians, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.joints import all_butt, all_mitred, covered, joint_faults, rabbeted
from calc.cabinet.layers import layered
from calc.cabinet.panels import carcass
from calc.errors import InputError
from calc.project_cabinet import Layer, Lid
from tests.calc.test_panels import INNER, boards, boxes, joints, volume


def lidded(edges, lid, slope=0.0):
    return carcass(INNER, "inner", boards(), joints(edges), slope, lid)


def body_of(box):
    width, height, depth = box.outer
    return width * height * (depth - height * tan(radians(box.slope)) / 2)


def filled(box):
    wood = sum(panel.volume for panel in box.panels.values())
    return box.gross + wood + box.gasket.volume + box.gasket.play


def test_a_lid_laid_over_a_ring_shortens_the_walls_by_the_gasket():
    """Derived: the outside stays; the walls end 3 mm lower, and the ring is what they had there."""
    box, plain = lidded(covered(), Lid("front")), lidded(covered(), None)
    assert box.outer == plain.outer and box.inner == plain.inner and box.gross == plain.gross
    front = box.panels["front"]
    assert (front.length, front.width) == (plain.panels["front"].length, plain.panels["front"].width)
    for name, word in (("left", "width"), ("top", "length")):
        short = getattr(plain.panels[name], word) - getattr(box.panels[name], word)
        assert_allclose(short, 0.003, atol=1e-12)
    ring = box.outer[0] * box.outer[1] - INNER[0] * INNER[1]
    assert_allclose(box.gasket.volume, 0.003 * ring, rtol=1e-12)
    assert box.gasket.play == pytest.approx(0.0, abs=1e-15)
    assert_allclose(box.gasket.around, 2 * (INNER[0] + INNER[1]))
    assert_allclose(filled(box), volume(box.outer), rtol=0, atol=1e-15)


def test_a_lid_in_a_rabbet_is_smaller_by_its_play_and_its_bed_is_deeper_by_the_gasket():
    box, plain = lidded(rabbeted(0.009, 0.011), Lid("back")), lidded(rabbeted(0.009, 0.011), None)
    back, before = box.panels["back"], plain.panels["back"]
    assert_allclose((before.length - back.length, before.width - back.width), 0.002, atol=1e-12)
    rabbet = next(cut for cut in box.panels["left"].cuts if cut.name == "back-left")
    assert_allclose(rabbet.high[1] - rabbet.low[1], back.thickness + 0.003, atol=1e-12)
    w, h = INNER[:2]
    assert_allclose(box.gasket.volume, 0.003 * ((w + 0.022) * (h + 0.022) - w * h), rtol=1e-10)
    gap = (w + 0.022) * (h + 0.022) - (w + 0.02) * (h + 0.02)
    assert_allclose(box.gasket.play, back.thickness * gap, rtol=1e-9)
    assert_allclose(filled(box), volume(box.outer), rtol=0, atol=1e-15)
    for panel in box.panels.values():
        for word in ("length", "width"):
            base, adds = panel.sums[word]
            assert_allclose(base + sum(n * add for n, add in adds), getattr(panel, word), atol=1e-12)


@pytest.mark.parametrize(
    ("edges", "lid", "field", "words"),
    [
        (all_mitred(), Lid("front"), "lid.panel", "mitre"),
        (all_butt(), Lid("back"), "lid.panel", "nothing to press"),
        (
            covered() | {"front-top": {"into": "front", "depth": 0.005}},
            Lid("front"),
            "lid.panel",
            "rabbet of it",
        ),
        (rabbeted(0.009, 0.004), Lid("back", play=0.004), "lid.play", "less than the rabbet"),
    ],
)
def test_a_lid_that_cannot_come_off_is_refused(edges, lid, field, words):
    with pytest.raises(InputError) as refusal:
        lidded(edges, lid)
    assert refusal.value.field == field and words in refusal.value.problem


def test_screws_too_far_apart_are_told():
    """Around 200 x 400 mm run 1.2 m: eight screws at 150 mm."""
    assert not lidded(covered(), Lid("front", screws=8)).facts
    (fact,) = lidded(covered(), Lid("front", screws=7)).facts
    assert fact.field == "lid.screws" and "wants 8 screws" in fact.sentence


def test_a_skin_over_the_edge_of_a_lid_is_told():
    skin = {"veneer": (Layer("left", "veneer"), 0.001, 700.0)}
    (fact,) = layered(lidded(covered(), Lid("front")), skin).facts
    assert fact.field == "layers.veneer.panel"
    assert not layered(lidded(rabbeted(0.009, 0.009), Lid("back")), skin).facts


def test_any_box_with_a_lid_is_filled_exactly():
    seen = Counter()

    @settings(max_examples=250, deadline=None, derandomize=True)
    @given(boxes(), st.sampled_from(("front", "back")), st.sampled_from((0.0, 6.0, 15.0)))
    def check(drawn, panel, slope):
        size, panels, edges = drawn
        if joint_faults({name: t for name, (t, _) in panels.items()}, edges):
            return
        try:
            box = carcass(size, "inner", panels, edges, slope, Lid(panel, 0.002, 0.0004))
        except InputError as refusal:
            seen[refusal.field] += 1
            return
        assert abs(filled(box) - body_of(box)) < 1e-9, "1 mm³"
        seen["in rabbets" if box.gasket.play > 1e-12 else "laid over"] += 1

    check()
    print(dict(seen))
    assert min(seen["in rabbets"], seen["laid over"]) > 3, seen
