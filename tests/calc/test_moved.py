"""What a change moved and why: sentences against sums worked by hand, and causes that add up."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.moved import _panel_causes, moved
from calc.evaluate import evaluate
from calc.project_cabinet import PANELS
from server.beginnings import demo
from server.documents import amend, read_project
from server.telling import told

SIDE_JOINTS = ("left-top", "left-bottom", "right-top", "right-bottom")


def solved(document):
    project = read_project(document)
    return project, evaluate(project)


def sentences(edits, start=None):
    """What `edits` move in the reading-room pair, where `start` was before."""
    document = amend(demo("reading_room"), start or {})
    before, now = solved(document), solved(amend(document, edits))
    return [told(each, now[0]) for each in moved(before, now)]


def test_what_stays_says_nothing():
    assert sentences({}) == [] and sentences({"title": "Another", "drivers.woofer.fs": 40.0}) == []


def test_a_deeper_rabbet_lengthens_the_blanks_that_go_into_it_and_nothing_else():
    """By hand: 9 -> 12 mm at both ends is 2 x 3 = 6 mm; outside, inside and air stay."""
    found = sentences({f"cabinet.edges.{edge}.depth": 0.012 for edge in SIDE_JOINTS})
    assert found == ["Top and bottom are 6\xa0mm wider (2 × 3\xa0mm more by its joints)."]


def test_a_thicker_sheet_moves_the_outside_alone():
    """By hand: 18.3 -> 18.6 mm, the inside held: two walls are 0.6; the rabbeted top keeps its width."""
    found = sentences({"workshop.sheets.ply.thickness": 0.0186})
    assert (
        "0.6\xa0mm wider, 0.6\xa0mm higher and 0.6\xa0mm deeper: the panels’ thickness changed." in found[0]
    )
    assert not any(each.startswith("Inside") for each in found)
    assert any(
        each.startswith("Top and bottom are 0.3\xa0mm longer (its mates’ thickness)") for each in found
    )


def test_where_the_air_is_held_the_inside_follows_what_takes_room():
    hold = {"cabinet.hold": "volume"}
    found = sentences({"cabinet.braces.shelf.window": None}, hold)
    (inside,) = [each for each in found if each.startswith("Inside")]
    assert "for the air is held: “shelf” takes 0.357\xa0litre more" in inside
    assert any(each.startswith("Left and right are") and "(the inside)" in each for each in found)
    assert not any("air is left" in each for each in found)


def test_paint_on_the_front_and_what_comes_and_goes():
    found = sentences({"cabinet.finish": 0.0005})
    assert "The recess of “woofer” is cut 0.5\xa0mm shallower." in found
    (gone, air) = sentences({"cabinet.braces": {}})
    assert gone == "Shelf is gone from the cut list."
    assert air.startswith("0.479\xa0litre more air is left: “shelf” takes")


def test_the_port_is_told_with_why():
    """More held air at the same tuning needs a shorter port."""
    found = sentences({"alternatives.B.box.Vb": 0.016}, {"cabinet.hold": "volume"})
    (port,) = [each for each in found if each.startswith("The port")]
    assert port.endswith("shorter, to keep its tuning.")
    assert any("2.0\xa0litre more air is wanted" in each for each in found)


@settings(max_examples=25)
@given(
    depth=st.floats(0.0, 0.015),
    back=st.floats(0.0, 0.015),
    t=st.floats(0.016, 0.022),
    width=st.floats(0.17, 0.22),
)
def test_causes_add_up_to_what_each_blank_changed(depth, back, t, width):
    document = demo("reading_room")
    edits = {f"cabinet.edges.{edge}.depth": depth for edge in SIDE_JOINTS}
    edits |= {f"cabinet.edges.back-{wall}.depth": back for wall in ("left", "right", "top", "bottom")}
    edits |= {"workshop.sheets.ply.thickness": t, "cabinet.size.width": width}
    (old_project, old), (new_project, new) = solved(document), solved(amend(document, edits))
    for name in PANELS:
        was, panel = old.cabinet.carcass.panels[name], new.cabinet.carcass.panels[name]
        for side in ("length", "width"):
            edges = old_project.cabinet.edges, new_project.cabinet.edges
            causes = _panel_causes(side, was, panel, *edges)
            change = getattr(panel, side) - getattr(was, side)
            assert_allclose(sum(count * by for count, by in causes.values()), change, atol=1e-9)
            axis = {"length": (2 if name in ("top", "bottom") else 1), "width": None}[side]
            if axis is not None and name in ("top", "bottom"):
                inside = new.cabinet.carcass.inner[axis] - old.cabinet.carcass.inner[axis]
                assert_allclose(causes["the inside"][1], inside, atol=1e-9)


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer"])
def test_back_again_tells_the_same_sizes_the_other_way(name):
    document = demo(name)
    wide = amend(document, {"cabinet.size.width": document["cabinet"]["size"]["width"] + 0.01})
    there = [told(each, solved(wide)[0]) for each in moved(solved(document), solved(wide))]
    back = [told(each, solved(document)[0]) for each in moved(solved(wide), solved(document))]
    assert len(there) == len(back) and there != back
