"""Which joints can be cut, how a refusal names its edge, and the usual constructions."""

import pytest

from calc.cabinet.joints import (
    CORNERS,
    EDGES,
    all_butt,
    all_mitred,
    constructions,
    covered,
    joint_faults,
    mitred_carcass,
    rabbeted,
)
from calc.cabinet.panels import carcass
from calc.errors import InputError
from calc.project_cabinet import Edge

THICKNESSES = {
    "front": 0.025, "back": 0.012, "left": 0.018, "right": 0.018, "top": 0.018, "bottom": 0.018,
}  # fmt: skip


class Loose:
    """An edge that was never checked by the document."""

    def __init__(self, into=None, depth=0.0, mitre=False):
        self.into, self.depth, self.mitre = into, depth, mitre


def joints(plain):
    return {name: Edge(**edge) for name, edge in plain.items()}


def faults(edges):
    return {fault.field: fault.problem for fault in joint_faults(THICKNESSES, edges)}


def test_twelve_edges_and_eight_corners():
    assert len(EDGES) == 12 and len(CORNERS) == 8


@pytest.mark.parametrize(
    "plain", [all_butt(), covered(), rabbeted(0.009, 0.006), mitred_carcass(0.005), all_mitred()]
)
def test_usual_constructions_can_be_cut(plain):
    assert set(plain) == set(EDGES)
    assert faults(joints(plain)) == {}


def test_offered_constructions_are_named_and_can_be_cut_in_thin_and_thick_wood():
    for factor in (0.2, 1, 3):
        thicknesses = {name: factor * t for name, t in THICKNESSES.items()}
        offered = constructions(thicknesses)
        assert len({offer.name for offer in offered}) == len(offered) == 5
        for offer in offered:
            assert offer.words.endswith(".")
            assert not joint_faults(thicknesses, joints(offer.edges))
            assert not carcass((0.2, 0.4, 0.3), "inner", {k: (t, 700) for k, t in thicknesses.items()},
                               joints(offer.edges)).facts or offer.name == "All mitred"  # fmt: skip


@pytest.mark.parametrize(
    ("edge", "field", "says"),
    [
        (Loose("left", 0.018), "edges.left-top.depth", "thickness of the left panel"),
        (Loose("top", 0.0181), "edges.left-top.depth", "thickness of the top panel"),
        (Loose("left", -0.001), "edges.left-top.depth", "zero or a number above"),
        (Loose("left", float("nan")), "edges.left-top.depth", "zero or a number above"),
        (Loose("left", float("inf")), "edges.left-top.depth", "zero or a number above"),
        (Loose(None, 0.004, True), "edges.left-top.depth", "a mitre"),
        (Loose(), "edges.left-top.into", "choose a mitre"),
        (Loose("left", 0.0, True), "edges.left-top.into", "choose a mitre"),
        (Loose("front"), "edges.left-top.into", "own two panels"),
    ],
)
def test_an_impossible_joint_is_refused_at_its_field(edge, field, says):
    found = faults(joints(all_butt()) | {"left-top": edge})
    assert list(found) == [field] and says in found[field]


def test_every_bad_edge_is_told_at_once():
    edges = joints(all_butt()) | {"left-top": Loose("left", 1.0), "back-right": Loose("top")}
    assert set(faults(edges)) == {"edges.left-top.depth", "edges.back-right.into"}


def test_missing_and_unknown_edges_are_named():
    edges = joints(all_butt())
    edges["top-left"] = edges.pop("left-top")
    assert set(faults(edges)) == {"edges.left-top", "edges.top-left"}


def test_a_ring_at_a_corner_is_refused_with_the_corners_name():
    # front over left, left over top, top over front
    edges = joints(all_butt() | {"front-top": {"into": "top"}})
    found = faults(edges)
    assert "front left top corner" in found["edges.front-left.into"]
    with pytest.raises(InputError) as refusal:
        carcass((0.2, 0.4, 0.3), "inner", {name: (t, 700) for name, t in THICKNESSES.items()}, edges)
    assert refusal.value.field == "edges.front-left.into"


def test_two_mitres_and_a_square_joint_are_refused_at_the_square_one():
    found = faults(joints(all_butt() | {"front-left": {"mitre": True}, "front-top": {"mitre": True}}))
    assert "front left top corner" in found["edges.left-top.into"]


def test_a_panel_between_two_mitred_ones_is_refused():
    # left and top mitred; the back runs over the left and into the top
    edges = joints(mitred_carcass(0.005) | {"back-left": {"into": "back"}})
    found = faults(edges)
    assert set(found) == {"edges.back-left.into"}
    assert "the back panel must run over both mitred panels, or both over it" in found["edges.back-left.into"]


def test_walls_that_chase_each_other_round_the_box_are_no_ring_at_a_corner():
    pinwheel = {
        "left-top": {"into": "left"}, "right-top": {"into": "top"},
        "right-bottom": {"into": "right"}, "left-bottom": {"into": "bottom"},
    }  # fmt: skip
    assert faults(joints(covered() | pinwheel)) == {}
