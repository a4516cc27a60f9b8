"""Parts as the saw really cut them: how they go together, and what mends them.

The demo pair: inside 180 × 364 × 250 mm, sheet 18.3 mm; top and bottom 9 mm deep in rabbets of the sides, the
back 9 mm in all four, the front over all. Every number below is derived from these.
"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.as_cut import bored, fits, misjoints
from calc.evaluate import evaluate
from calc.evaluate_as_cut import as_made, built
from calc.project_cabinet import AsCut, RealGroove, RealOpening, RealPart
from server.beginnings import demo
from server.documents import amend, read_project

PROJECT = read_project(amend(demo("reading_room"), {"show": "metric"}))
RESULT = evaluate(PROJECT)
CARCASS, BRACES = RESULT.cabinet.carcass, RESULT.cabinet.braces
PANELS, T = CARCASS.panels, CARCASS.panels["left"].thickness


def measured(parts=None, grooves=None, openings=None):
    real = AsCut(
        {name: RealPart(**sizes) for name, sizes in (parts or {}).items()},
        {name: RealGroove(**sizes) for name, sizes in (grooves or {}).items()},
        {name: RealOpening(**sizes) for name, sizes in (openings or {}).items()},
    )
    return replace(PROJECT, cabinet=replace(PROJECT.cabinet, as_cut=real))


def gone_together(**real):
    project = measured(**real)
    return fits(CARCASS, BRACES, project.cabinet.edges, project.cabinet.as_cut)


def now(**real):
    project = measured(**real)
    return built(project, evaluate(project))


def offs(found):
    return {(fit.part, fit.side): fit.off for fit in found}


def test_nothing_measured_is_as_planned_exactly():
    inner, found = gone_together()
    assert inner == CARCASS.inner and found == ()
    made = now()
    assert made.as_planned and not made.savings and not made.audible and not made.new
    assert all(planned == cut for *_, planned, cut in made.rows)


def test_the_longer_of_top_and_bottom_says_how_far_apart_the_sides_stand():
    inner, found = gone_together(parts={"top": {"width": PANELS["top"].width - 0.0015}})
    assert_allclose(inner, CARCASS.inner)
    assert offs(found) == {("top", "width"): pytest.approx(0.0015)}
    (fit,) = found
    assert fit.how == "in" and fit.hidden == pytest.approx(0.018)


def test_both_short_bring_the_sides_together_and_all_that_comes_later_is_too_long():
    short = {"width": PANELS["top"].width - 0.0015}
    inner, found = gone_together(parts={"top": short, "bottom": short})
    assert_allclose(inner, (0.1785, *CARCASS.inner[1:]))
    assert offs(found) == {(name, "width"): pytest.approx(-0.0015) for name in ("front", "back", "shelf")}


def test_a_thicker_side_leaves_the_front_that_covers_it_short():
    inner, found = gone_together(parts={"left": {"thickness": T + 0.0007}})
    assert_allclose(inner, CARCASS.inner)
    assert offs(found) == {("front", "width"): pytest.approx(0.0007)}


def test_a_shallow_rabbet_holds_the_sides_apart():
    inner, found = gone_together(grooves={"left top": {"depth": 0.008}})
    assert inner[0] == pytest.approx(CARCASS.inner[0] + 0.001)
    assert offs(found)["bottom", "width"] == pytest.approx(0.001)
    assert ("top", "width") not in offs(found)


def test_short_sides_make_a_lower_box():
    inner, _ = gone_together(
        parts={side: {"length": PANELS[side].length - 0.002} for side in ("left", "right")}
    )
    assert inner[1] == pytest.approx(CARCASS.inner[1] - 0.002)


def test_a_leaning_front_counts_by_its_length_upright():
    leaning = evaluate(replace(PROJECT, cabinet=replace(PROJECT.cabinet, slope=10.0, hold="inner")))
    box = leaning.cabinet
    length = box.carcass.panels["front"].length - 0.001
    real = AsCut({"front": RealPart(length=length)})
    _, found = fits(box.carcass, box.braces, PROJECT.cabinet.edges, real)
    assert offs(found) == {("front", "height"): pytest.approx(0.001 * 0.984808, rel=1e-5)}  # cos 10°


# 1.5 mm off the width of 180 x 364 x 250 inside is 0.1365 litre; the shelf gives a little of it back.
def test_what_was_cut_is_solved_again_with_the_ports_as_they_are():
    short = {"width": PANELS["top"].width - 0.0015}
    made = now(parts={"top": short, "bottom": short})
    cabinet = made.result.cabinet
    lost = RESULT.cabinet.net - cabinet.net
    shelf = BRACES["shelf"].displaced - cabinet.braces["shelf"].displaced
    assert lost == pytest.approx(0.0015 * 0.364 * 0.25 - shelf, rel=1e-6)
    assert cabinet.port_lengths == RESULT.cabinet.port_lengths
    assert made.result.built.fb > RESULT.built.fb
    assert not made.audible


def test_a_box_that_is_off_by_a_twentieth_is_heard():
    shallow = {
        name: {("length" if name in ("top", "bottom") else "width"): 0.255}
        for name in ("left", "right", "top", "bottom")
    }
    assert "Net volume" in now(parts=shallow).audible


def test_cutting_the_others_down_gives_what_it_says():
    made = now(parts={"top": {"width": PANELS["top"].width - 0.0015}})
    (saving,) = made.savings
    way = next(way for way in saving.remedies if way.words.startswith("Cut {twins}"))
    inner = (CARCASS.inner[0] - 0.0015, *CARCASS.inner[1:])
    project = measured()
    narrow = evaluate(as_made(project, RESULT, inner))
    assert way.values["lost"][1] == pytest.approx(RESULT.cabinet.net - narrow.cabinet.net)
    deeper = (inner[0], inner[1], inner[2] + way.values["more"][1])
    assert evaluate(as_made(project, RESULT, deeper)).cabinet.net == pytest.approx(
        RESULT.cabinet.net, abs=1e-9
    )


def test_a_part_that_is_long_is_trimmed_to_what_the_ring_encloses():
    made = now(parts={"back": {"length": PANELS["back"].length + 0.001}})
    (saving,) = made.savings
    (way,) = saving.remedies
    assert way.values["off"][1] == pytest.approx(0.001)
    assert way.values["size"][1] == pytest.approx(PANELS["back"].length)


def test_the_size_that_a_remedy_names_leaves_nothing_to_mend():
    made = now(parts={"back": {"length": PANELS["back"].length + 0.001}})
    size = made.savings[0].remedies[0].values["size"][1]
    assert now(parts={"back": {"length": size}}).savings == ()


@given(
    st.sampled_from(["top", "bottom", "left", "right", "back", "front"]),
    st.sampled_from(["length", "width"]),
    st.floats(-0.004, 0.004),
)
def test_cutting_every_part_alike_leaves_no_gap(part, word, by):
    """A box whose parts are all longer along one side is a longer box."""
    from calc.cabinet.as_cut import along

    side = along(PANELS[part])[word]
    solids = (*PANELS.values(), *BRACES.values())
    parts = {
        each.name: {at: getattr(each, at) + by}
        for each in solids
        for at, other in along(each).items()
        if other == side
    }
    inner, found = gone_together(parts=parts)
    n = ("width", "height", "depth").index(side)
    assert inner[n] == pytest.approx(CARCASS.inner[n] + by, abs=1e-12)
    assert found == ()


# --- Grooves


def test_grooves_tell_tight_loose_off_and_deep():
    project = measured(
        grooves={
            "left shelf": {"width": T - 0.0002},
            "right shelf": {"width": T + 0.001, "off": 0.002},
            "left top": {"depth": 0.010},
        }
    )
    found = misjoints(CARCASS, BRACES, project.cabinet.edges, project.cabinet.as_cut)
    told = {(each.panel, each.mate): each for each in found}
    assert told["left", "shelf"].loose == pytest.approx(-0.0002)
    assert told["right", "shelf"].loose == pytest.approx(0.001) and told["right", "shelf"].off == 0.002
    assert told["left", "top"].deeper == pytest.approx(0.001)


def test_a_shelf_goes_where_its_grooves_are_by_the_mean_of_both():
    made = now(grooves={"left shelf": {"off": 0.002}, "right shelf": {"off": 0.002}})
    assert made.result.cabinet.braces["shelf"].low[2] == pytest.approx(BRACES["shelf"].low[2] + 0.002)
    half = now(grooves={"left shelf": {"off": 0.002}})
    assert half.result.cabinet.braces["shelf"].low[2] == pytest.approx(BRACES["shelf"].low[2] + 0.001)


# --- Openings


# Flange 166, hole 146: planned ledge 10; a hole of 160 leaves 3. A recess 1 mm too shallow leaves the flange
# 1 mm proud; one of 165 is 1 mm too small.
def test_an_opening_tells_its_ledge_and_how_the_flange_sits():
    each = bored(
        "woofer", RealOpening(width=0.16, recess=0.0045, outline=0.165), 0.146, 0.166, 0.1668, 0.0055
    )
    assert each.ledge == pytest.approx(0.003)
    assert each.proud == pytest.approx(0.001)
    assert each.tight == pytest.approx(0.001)
    assert each.plug == pytest.approx(0.165)
    assert bored("x", RealOpening(off_x=0.003, off_y=-0.004), None, None, None, None).off == pytest.approx(
        0.005
    )


def test_an_opening_takes_its_driver_along():
    made = now(openings={"woofer": {"off_x": 0.012, "off_y": -0.003}})
    planned = next(each for each in RESULT.openings if each.name == "woofer")
    moved = next(each for each in made.result.openings if each.name == "woofer")
    assert (moved.x, moved.y) == (pytest.approx(planned.x + 0.012), pytest.approx(planned.y - 0.003))


def test_a_woofer_bored_into_its_shelf_clashes_as_cut():
    made = now(openings={"woofer": {"off_y": -0.03}})
    assert [each.kind for each in made.new] == ["brace"]


def test_what_cannot_be_built_says_why():
    made = now(parts={"left": {"thickness": 0.005}})
    assert made.result is None and "thickness of the left panel" in made.refusal
