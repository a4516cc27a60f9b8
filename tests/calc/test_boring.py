"""Driver seats: the circle jig, the recess, its passes, and what is refused."""

import json
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.shop.boring import circle_jig, router_passes, seat

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]

WOOFER = {
    "flange": 0.1852, "flange_thickness": 0.0055, "gasket": 0.001, "cutout": 0.158, "finish": 0.0003,
    "flush": True, "panel_thickness": 0.018, "bit": 0.0127, "clearance": 0.0008,
    "pass_depth": 0.0032, "web": 0.0015,
}  # fmt: skip


@pytest.mark.parametrize("record", DATA["circle_jig"], ids=lambda record: f"{record['diameter'] * 1e3:g} mm")
def test_the_jig_is_set_as_the_reference_says(record):
    centre, edge = circle_jig(record["diameter"], record["bit"])
    assert_allclose((centre, edge), (record["centre_for_hole"], record["edge_for_hole"]), rtol=0, atol=1e-9)
    centre, edge = circle_jig(record["diameter"], record["bit"], keep="disc")
    assert_allclose(centre, record["centre_for_disc"], rtol=0, atol=1e-9)
    assert_allclose(edge, record["diameter"] / 2, rtol=0, atol=1e-9)  # the bit's near edge makes the disc


def test_router_passes_are_those_of_the_reference():
    record = DATA["router_passes"]
    assert [router_passes(record["depth"], step) for step in record["steps"]] == record["passes"]


def test_the_recess_and_through_hole_of_the_reference():
    record = DATA["recess"]
    bored = seat(**WOOFER)
    *rings, through = bored.steps
    assert_allclose(bored.recess, record["recess"], rtol=1e-12)
    assert_allclose(bored.ledge, record["ledge"], rtol=1e-12)
    assert_allclose(rings[0].centre, record["outer_centre"], rtol=1e-12)
    assert_allclose(through.centre, record["through_centre"], rtol=1e-12)
    assert len(rings) == record["rings"]
    assert [step.cut for step in bored.steps] == ["recess", "recess", "through"]


def test_finish_flange_and_gasket_end_level_with_the_face():
    bored = seat(**WOOFER)
    # From the recess's floor: up to the finished face, and up to the flange's.
    assert_allclose(bored.recess_depth + 0.0003, 0.0055 + 0.001, rtol=1e-12)
    assert_allclose(bored.below, 0.018 - 0.0062, rtol=1e-12)


def test_passes_are_equal_and_end_at_the_web():
    *rings, through = seat(**WOOFER).steps
    assert_allclose(rings[0].depths, (0.0031, 0.0062), rtol=1e-12)
    assert rings[0].depths == rings[1].depths
    # 18 - 1.5 - 6.2 = 10.3 mm left to cut: four passes of 2.575.
    assert_allclose(through.depths, (0.008775, 0.01135, 0.013925, 0.0165), rtol=1e-12)


@given(
    flange=st.floats(0.05, 0.4), ledge=st.floats(0.002, 0.05), bit=st.floats(0.003, 0.02),
    t=st.floats(0.012, 0.04), pass_depth=st.floats(0.001, 0.01),
)  # fmt: skip
def test_the_rings_sweep_the_whole_ledge_and_no_pass_is_too_deep(flange, ledge, bit, t, pass_depth):
    cutout = flange - 2 * ledge
    assume(cutout > bit)
    case = WOOFER | {
        "flange": flange,
        "cutout": cutout,
        "bit": bit,
        "panel_thickness": t,
        "pass_depth": pass_depth,
    }
    bored = seat(**case)
    *rings, through = bored.steps
    outer = bored.recess / 2
    for ring in rings:
        assert ring.centre + bit / 2 >= outer - 1e-12, "no ridge is left between two rings"
        outer = ring.edge
    assert outer <= cutout / 2 + 1e-12
    assert_allclose(rings[0].centre + bit / 2, bored.recess / 2, rtol=1e-12)
    if len(rings) > 1:
        assert rings[-1].edge >= cutout / 2 - 1e-12, "no wood is cut that the through hole would have held"
    for step in bored.steps:
        depths = (bored.recess_depth if step is through else 0.0, *step.depths)
        assert all(0 < b - a <= pass_depth + 1e-9 for a, b in zip(depths, depths[1:], strict=False))
    assert_allclose(through.depths[-1], t - case["web"], rtol=1e-12)
    assert_allclose(through.centre + bit / 2, cutout / 2, rtol=1e-12)


def test_on_the_face_there_is_no_recess():
    bored = seat(**WOOFER | {"flush": False})
    assert (bored.recess, bored.recess_depth) == (None, 0.0)
    assert [step.cut for step in bored.steps] == ["through"]
    assert_allclose(bored.ledge, (0.1852 - 0.158) / 2, rtol=1e-12)
    assert bored.below == 0.018
    unknown = seat(**WOOFER | {"flush": False, "flange": None, "flange_thickness": None})
    assert unknown.ledge is None and len(unknown.steps) == 1


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"flange_thickness": 0.02}, "flange_thickness"),
        ({"flange_thickness": None}, "flange_thickness"),
        ({"flange": None}, "flange"),
        ({"cutout": 0.19}, "cutout"),
        ({"bit": 0.158}, "bit"),
        ({"bit": 1e-9}, "bit"),
        ({"finish": 0.0065}, "finish"),
        ({"web": 0.0118}, "web"),
        ({"pass_depth": 1e-12}, "pass_depth"),
        ({"gasket": -0.001}, "gasket"),
        ({"clearance": float("nan")}, "clearance"),
        ({"panel_thickness": 0.0}, "panel_thickness"),
        ({"cutout": float("inf")}, "cutout"),
    ],
)
def test_what_cannot_be_bored_is_refused_at_its_field(change, field):
    with pytest.raises(InputError) as refusal:
        seat(**WOOFER | change)
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("change", "fields"),
    [
        ({}, []),
        ({"cutout": 0.1770}, ["cutout"]),
        ({"flange_thickness": 0.009}, ["flange_thickness"]),
        ({"flange": 0.05, "cutout": 0.034}, ["bit"]),
    ],
)
def test_facts_are_told_and_nothing_is_refused(change, fields):
    assert [field for field, _ in seat(**WOOFER | change).facts] == fields


@pytest.mark.parametrize(("depth", "step"), [(0.0, 0.003), (0.018, 0.0), (float("nan"), 0.003)])
def test_no_depth_has_no_passes(depth, step):
    with pytest.raises(InputError):
        router_passes(depth, step)
