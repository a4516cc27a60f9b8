"""The six panels: sizes of blanks, exact volumes, and the rule that wood and air fill the outer box."""

import json
from collections import Counter
from itertools import product
from math import cos, radians, tan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.bracing import braces
from calc.cabinet.joints import (
    CORNERS,
    EDGES,
    FACES,
    PANELS,
    all_butt,
    all_mitred,
    covered,
    edge_between,
    joint_faults,
    mitred_carcass,
    rabbeted,
)
from calc.cabinet.panels import carcass, grooved
from calc.errors import InputError
from calc.project_cabinet import EDGES as PROJECT_EDGES
from calc.project_cabinet import PANELS as PROJECT_PANELS
from calc.project_cabinet import Brace, Edge, Window

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]
WORKED = DATA["worked_box"]
INNER = tuple(WORKED["inner"][word] for word in ("width", "height", "depth"))
OUTER = tuple(WORKED["outer"][word] for word in ("width", "height", "depth"))
MICRO = 1e-15  # m³: a millionth of a cubic millimetre


def joints(plain):
    return {name: Edge(**edge) for name, edge in plain.items()}


def boards(density=750.0, **thicknesses):
    return {name: (t, density) for name, t in (WORKED["thickness"] | thicknesses).items()}


def worked(edges=None, hold="inner", size=None, **thicknesses):
    size = size or (INNER if hold == "inner" else OUTER)
    return carcass(size, hold, boards(**thicknesses), joints(edges or rabbeted(0.009, 0.009)))


def volume(size):
    return size[0] * size[1] * size[2]


def wood(box):
    return sum(panel.volume for panel in box.panels.values())


VARIANTS = {
    "rabbeted": rabbeted(0.009, 0.009),
    "all butt": all_butt(),
    "butted ring": covered(),
    "mitred carcass": mitred_carcass(0.009),
    "all mitred": all_mitred(),
    "unequal depths": rabbeted(0.004, 0.011),
}
variants = pytest.mark.parametrize("edges", VARIANTS.values(), ids=VARIANTS.keys())


def test_joints_and_document_name_the_same_panels_and_edges():
    assert (PANELS, EDGES) == (PROJECT_PANELS, PROJECT_EDGES)


def test_the_worked_box_has_the_outer_size_of_the_reference():
    assert_allclose(worked().outer, OUTER, rtol=0, atol=1e-12)


@pytest.mark.parametrize("name", PANELS)
def test_the_worked_box_has_the_blanks_of_the_reference(name):
    panel = worked().panels[name]
    assert_allclose((panel.length, panel.width, panel.thickness), WORKED["blanks"][name], rtol=0, atol=1e-12)


@pytest.mark.parametrize("name", PANELS)
def test_the_worked_box_has_the_net_volumes_of_the_reference(name):
    assert_allclose(worked().panels[name].volume, WORKED["volumes"][name], rtol=0, atol=MICRO)


def test_the_worked_box_balances_and_weighs_what_the_reference_says():
    box = worked()
    assert_allclose(volume(box.inner), WORKED["inner_volume"], rtol=0, atol=MICRO)
    assert_allclose(wood(box), WORKED["panels"], rtol=0, atol=MICRO)
    assert_allclose(volume(box.outer), WORKED["outer_volume"], rtol=0, atol=MICRO)
    assert_allclose(sum(panel.mass for panel in box.panels.values()), WORKED["mass"], rtol=0, atol=1e-4)


@pytest.mark.parametrize("name", PANELS)
def test_the_all_butt_box_has_the_blanks_of_the_reference(name):
    panel = worked(all_butt()).panels[name]
    blank = DATA["all_butt"]["blanks"][name]
    # The reference lists top and bottom across the grain first: 200 x 312; a length here runs with the depth.
    assert_allclose(sorted((panel.length, panel.width)), sorted(blank[:2]), rtol=0, atol=1e-12)
    assert_allclose(panel.volume, np.prod(blank), rtol=0, atol=MICRO)


def test_the_mitred_ring_has_the_long_points_and_volume_of_the_reference():
    ring = DATA["mitred_carcass"]
    mitres = {name: {"mitre": True} for name in ("left-top", "left-bottom", "right-top", "right-bottom")}
    # Front and back laid over both ends, so that the ring is as deep as the inside.
    box = carcass((0.2, 0.4, ring["depth"]), "inner", boards(), joints(covered() | mitres))
    assert_allclose(box.panels["left"].length, ring["side_long_point"], rtol=0, atol=1e-12)
    assert_allclose(box.panels["top"].width, ring["top_long_point"], rtol=0, atol=1e-12)
    walls = sum(box.panels[name].volume for name in ("left", "right", "top", "bottom"))
    assert_allclose(walls, ring["volume"], rtol=0, atol=MICRO)
    assert box.panels["top"].bevels == {"left-top": 45.0, "right-top": 45.0}


@variants
def test_inner_and_panels_make_up_the_outer_box(edges):
    box = worked(edges)
    assert_allclose(volume(box.inner) + wood(box), volume(box.outer), rtol=0, atol=MICRO)


@variants
def test_no_blank_is_smaller_than_what_is_made_of_it(edges):
    for panel in worked(edges).panels.values():
        assert panel.volume <= panel.length * panel.width * panel.thickness + MICRO


@pytest.mark.parametrize("depth", [0.0, 0.003, 0.009, 0.0179])
def test_a_deeper_joint_moves_neither_box_nor_total_only_the_inserted_blank(depth):
    box, butt = worked(rabbeted(depth, 0.004)), worked(rabbeted(0.0, 0.004))
    assert box.outer == butt.outer and box.inner == butt.inner == INNER
    assert_allclose(wood(box), wood(butt), rtol=0, atol=MICRO)
    for name, panel in box.panels.items():
        grown = 2 * depth if name in ("top", "bottom") else 0.0
        assert_allclose(panel.width - butt.panels[name].width, grown, rtol=0, atol=1e-12)
        assert_allclose(panel.length, butt.panels[name].length, rtol=0, atol=1e-12)


@pytest.mark.parametrize("edge", ["left-top", "left-bottom", "right-top", "right-bottom"])
def test_a_joint_at_one_end_lets_the_blank_grow_by_its_depth_once(edge):
    one = all_butt() | {edge: {"into": edge.split("-")[0], "depth": 0.007}}
    name = edge.split("-")[1]
    grown = worked(one).panels[name].width - worked(all_butt()).panels[name].width
    assert_allclose(grown, 0.007, rtol=0, atol=1e-12)


@variants
def test_while_the_inner_size_is_held_thickness_moves_only_the_outer(edges):
    thin, thick = worked(edges), worked(edges, left=0.0215)
    assert thick.inner == thin.inner == INNER
    assert_allclose(np.subtract(thick.outer, thin.outer), (0.0035, 0, 0), rtol=0, atol=1e-12)


@variants
def test_while_the_outer_size_is_held_thickness_moves_only_the_inner(edges):
    thin, thick = (worked(edges, "outer"), worked(edges, "outer", top=0.0215))
    assert thick.outer == thin.outer == OUTER
    assert_allclose(np.subtract(thick.inner, thin.inner), (0, -0.0035, 0), rtol=0, atol=1e-12)


def test_holding_inner_or_outer_is_the_same_box():
    inside, outside = worked(hold="inner"), worked(hold="outer")
    assert_allclose(outside.inner, inside.inner, rtol=0, atol=1e-12)
    for name, panel in inside.panels.items():
        assert_allclose(outside.panels[name].centroid, panel.centroid, rtol=0, atol=1e-12)


@variants
def test_every_sum_adds_up_to_its_blank(edges):
    box = worked(edges)
    for panel in box.panels.values():
        for word, size in (("length", panel.length), ("width", panel.width)):
            base, adds = panel.sums[word]
            assert_allclose(base + sum(count * add for count, add in adds), size, rtol=0, atol=1e-12)
            reaches = [allowance.add for allowance in panel.allowances if allowance.along == word]
            assert len(reaches) == 2
            inner = {"width": box.inner[0], "height": box.inner[1], "depth": box.inner[2]}
            lying = panel.name in ("top", "bottom")
            across = "depth" if panel.name in ("left", "right") else "width"
            along = "depth" if lying else "height"
            clear = inner[along if word == "length" else across]
            assert_allclose(clear + sum(reaches), size, rtol=0, atol=1e-12)


def test_the_sum_of_an_inserted_panel_is_the_clear_size_and_twice_the_depth():
    assert worked().panels["top"].sums["width"] == (0.2, ((2, 0.009),))
    assert worked().panels["back"].sums["length"] == (0.4, ((2, 0.009),))
    base, adds = worked().panels["left"].sums["length"]
    assert (round(base, 9), adds) == (0.436, ())


def test_cuts_lie_where_the_mate_stands_and_end_where_it_ends():
    box = worked()
    cuts = {cut.name: cut for cut in box.panels["left"].cuts}
    assert_allclose(cuts["left-top"].low, (0.009, 0.025, 0.418), atol=1e-12)
    assert_allclose(cuts["left-top"].high, (0.018, 0.337, 0.436), atol=1e-12)
    assert_allclose(cuts["back-left"].low, (0.009, 0.325, 0.009), atol=1e-12)
    assert_allclose(cuts["back-left"].high, (0.018, 0.337, 0.427), atol=1e-12)
    assert all(cut.kind == "rabbet" and not cut.stopped for cut in cuts.values()), "all run out"


def test_a_rabbet_that_ends_in_the_wood_is_called_stopped():
    # Top and bottom only butt against the sides, so the sides' rabbet for the back must stop short of
    # both ends: 9 mm past the inner faces.
    cuts = worked(rabbeted(0.0, 0.009)).panels["left"].cuts
    assert [(cut.name, cut.stopped) for cut in cuts] == [("back-left", True)]


def test_a_rabbet_that_ends_in_a_bevel_runs_out():
    assert not worked(mitred_carcass(0.009)).panels["left"].cuts[0].stopped
    # With a thicker top the bevel is flatter and no longer reaches the rabbet's bottom corner.
    edges = mitred_carcass(0.009) | {"back-top": {"into": "top", "depth": 0.002}}
    assert worked(edges).panels["left"].cuts[0].stopped


def test_unequal_mitres_meet_at_the_corners_and_steep_ones_are_told():
    box = worked(all_mitred())
    front, left = (box.panels[name].bevels["front-left"] for name in ("front", "left"))
    assert_allclose(front, np.degrees(np.arctan2(18, 25)), rtol=1e-12)
    assert_allclose(front + left, 90, rtol=1e-12)
    told = {fact.field for fact in box.facts}
    assert "edges.front-left.into" in told and "edges.left-top.into" not in told


def test_a_rabbet_through_more_than_half_of_the_wood_is_told():
    """Walls of 18 mm, back of 12: rabbets alike are told once."""
    assert worked(rabbeted(0.009, 0.009)).facts == ()
    (fact,) = worked(rabbeted(0.010, 0.009)).facts
    assert fact == (
        "edges.left-top.depth",
        "The rabbets of top and bottom take more than half of the sides' thickness.",
    )
    (fact,) = worked(rabbeted(0.009, 0.010)).facts
    assert fact == (
        "edges.back-left.depth",
        "The rabbet of the back takes more than half of the thickness of sides, top and bottom.",
    )
    edges = rabbeted(0.009, 0.009)
    edges["right-top"]["depth"] = edges["back-left"]["depth"] = 0.011
    assert [fact.sentence for fact in worked(edges).facts] == [
        "The rabbet of the back takes more than half of the left side's thickness.",
        "The rabbet of the top takes more than half of the right side's thickness.",
    ]


def test_equal_steep_bevels_are_told_once():
    """A front of 25 mm between walls of 18: each wall's bevel is atan(25/18) = 54.2 degrees from square."""
    steep = {fact.field: fact.sentence for fact in worked(all_mitred()).facts}
    walls = steep["edges.front-left.into"]
    assert walls.startswith(
        "Sides, top and bottom need a bevel of 54.2° from square where they meet the front"
    )
    assert len(steep) == 2, "and theirs at the thinner back"
    back = steep["edges.back-left.into"]
    assert back.startswith("The back needs a bevel of 56.3° from square where it meets sides, top and bottom")


@pytest.mark.parametrize(
    ("field", "hold", "size", "panels"),
    [
        ("size.width", "outer", (0.036, 0.4, 0.3), boards()),
        ("size.depth", "outer", (0.2, 0.4, 0.0371), boards()),
        ("size.height", "inner", (0.2, float("nan"), 0.3), boards()),
        ("size.height", "inner", (0.2, float("inf"), 0.3), boards()),
        ("size.depth", "inner", (0.2, 0.4, -0.3), boards()),
        ("size.width", "inner", (1e300, 0.4, 0.3), boards()),
        ("size.width", "inner", (1e-300, 0.4, 0.3), boards()),
        ("hold", "volume", (0.2, 0.4, 0.3), boards()),
        ("panels.top.thickness", "inner", (0.2, 0.4, 0.3), boards(top=0.0)),
        ("panels.top.thickness", "inner", (0.2, 0.4, 0.3), boards(top=7.0)),
        ("panels.front.density", "inner", (0.2, 0.4, 0.3), boards(density=float("nan"))),
        ("panels.bottom", "inner", (0.2, 0.4, 0.3), {k: v for k, v in boards().items() if k != "bottom"}),
    ],
)
def test_an_impossible_box_is_refused_at_its_field(field, hold, size, panels):
    with pytest.raises(InputError) as refusal:
        carcass(size, hold, panels, joints(all_butt()))
    assert refusal.value.field == field


# --- A front that leans back ---------------------------------------------------------------------------


def lean(edges, slope, hold="inner", size=INNER):
    return carcass(size, hold, boards(), joints(edges), slope)


# Derived: a front through the lower front edge takes a triangle of H and H tan(a) off each cross section.
@variants
@pytest.mark.parametrize("slope", [3.0, 12.0, 30.0])
def test_air_and_panels_fill_the_body_of_a_leaning_front(edges, slope):
    box = lean(edges, slope)
    (width, height, depth), (w, h, d), t = box.outer, box.inner, tan(radians(slope))
    assert_allclose(box.gross, w * h * (d - h * t / 2), rtol=1e-14)
    body = width * height * (depth - height * t / 2)
    assert_allclose(box.gross + wood(box), body, rtol=0, atol=MICRO)
    again = lean(edges, slope, "outer", box.outer)
    assert_allclose(again.inner, box.inner, rtol=0, atol=1e-12)


def test_a_leaning_front_is_longer_by_the_secant_and_its_ends_are_bevelled():
    """Laid over a ring: length H / cos a on each face, its slanted ends t tan a further."""
    box, a = lean(covered(), 10.0), radians(10)
    front = box.panels["front"]
    assert_allclose(front.spans["length"], (box.outer[1] / cos(a),) * 2, atol=1e-12)
    assert_allclose(front.length, box.outer[1] / cos(a) + front.thickness * tan(a), atol=1e-12)
    assert_allclose(list(front.bevels.values()), (10.0, 10.0))
    assert set(front.bevels) == {"front-top", "front-bottom"}


def test_the_sides_of_a_leaning_front_are_trapezoids():
    """Between front and back: their top is shorter than their bottom by the height times tan a."""
    box = lean(covered(), 10.0)
    side = box.panels["left"]
    assert side.tapers == {"front-left": pytest.approx(10.0)} and side.bevels == {}
    low, high = ([x for x, y in side.outline if abs(y - at) < 1e-9] for at in (0.0, box.outer[1]))
    shorter = (max(low) - min(low)) - (max(high) - min(high))
    assert_allclose(shorter, box.outer[1] * tan(radians(10)), atol=1e-9)
    assert_allclose(side.width, max(low) - min(low), atol=1e-9)


@variants
def test_the_inner_face_of_a_leaning_front_is_where_the_air_begins(edges):
    box = lean(edges, 9.0)
    front = [y for x, y, z in box.air.corners if abs(y - box.front_inner(z)) < 1e-12]
    assert len(front) == 4
    assert_allclose(
        box.outer[2] - box.panels["back"].thickness - box.front_inner(0.018), INNER[2], atol=1e-12
    )


def test_the_mean_depth_is_that_half_way_up():
    box = lean(covered(), 8.0)
    assert_allclose(box.mean_inner[2], box.depth_at(0.018 + INNER[1] / 2), atol=1e-12)
    assert_allclose(volume(box.mean_inner), box.gross, rtol=1e-14)


def test_a_lean_that_leaves_no_depth_at_the_top_is_refused():
    with pytest.raises(InputError) as refusal:
        lean(all_butt(), 30.0, size=(0.2, 0.6, 0.3))
    assert refusal.value.field == "slope"


# --- Boxes drawn at random -------------------------------------------------------------------------

MILLIMETRE_CUBED = 1e-9


@st.composite
def joint_sets(draw):
    """Twelve edges: any joints at all, or an order of the panels with some edges mitred and some turned."""
    if draw(st.integers(0, 4)) == 0:
        return {name: draw(st.sampled_from((*name.split("-"), None))) for name in EDGES}
    order = draw(st.permutations(PANELS))
    into = {name: min(name.split("-"), key=order.index) for name in EDGES}
    kind = draw(st.sampled_from(("square", "some mitres", "ring", "all mitres", "pinwheel")))
    if kind == "some mitres":
        into |= dict.fromkeys(draw(st.lists(st.sampled_from(EDGES), max_size=2)), None)
    if kind in ("ring", "pinwheel"):
        axis = draw(st.integers(0, 2))
        a, b, c, d = (name for name in PANELS if FACES[name][0] != axis)
        ring = [(a, c), (c, b), (b, d), (d, a)]
        into |= {edge_between(p, q): p if kind == "pinwheel" else None for p, q in ring}
        for end in (name for name in PANELS if FACES[name][0] == axis):
            over = draw(st.booleans())
            into |= {edge_between(end, wall): end if over else wall for wall in (a, b, c, d)}
    if kind == "all mitres":
        into = dict.fromkeys(EDGES, None)
    return into


@st.composite
def boxes(draw):
    """Inner size, six boards and twelve edges."""
    length = st.floats(0.03, 1.5)
    thicknesses = {name: draw(st.floats(0.003, 0.05)) for name in PANELS}
    edges = {}
    for name, into in draw(joint_sets()).items():
        depth = 0.0 if into is None else draw(st.sampled_from((0, 0.25, 0.5, 0.77))) * thicknesses[into]
        edges[name] = Edge(into=into, depth=depth, mitre=into is None)
    size = draw(st.tuples(length, length, length))
    return size, {name: (t, draw(st.floats(300, 900))) for name, t in thicknesses.items()}, edges


@st.composite
def brace_sets(draw, inner, thicknesses):
    """Up to two shelves and two ribs, apart from each other, with grooves and windows."""
    plates = {}
    for kind, across, room in (("shelf", 1, (0, 2)), ("rib", 0, (2, 1))):
        walls = ("left", "right") if kind == "shelf" else ("bottom", "top")
        for n in range(draw(st.integers(0, 2))):
            t = draw(st.floats(0.05, 0.2)) * inner[across]
            at = inner[across] * (0.25 + 0.5 * n + draw(st.floats(-0.1, 0.1)))
            depth = draw(st.floats(0, 0.9)) * min(thicknesses[wall] for wall in walls)
            window = None
            width, height = ((inner[axis] - 0.0401) * draw(st.floats(0.1, 1)) for axis in room)
            if min(width, height) > 0.001 and draw(st.booleans()):
                window = Window(width, height, draw(st.floats(0, 0.5)) * min(width, height))
            plates[f"{kind} {n}"] = Brace(kind, at, "ply", depth, window), t, 600.0
    return plates


def owners(into, corner, fractions, point):
    """The panels that hold a point of a corner, by what each joint says; exactly one must.

    `point` and `fractions` are shares of the thicknesses: how deep below each outer face the point lies,
    and how deep each inserted panel goes into its mate.
    """

    def reaches(panel):
        for mate in set(corner) - {panel}:
            edge = edge_between(panel, mate)
            if into[edge] is None and not point[mate] > point[panel]:
                return False
            if into[edge] == mate and not point[mate] > 1 - fractions[edge]:
                return False
        return True

    def yields(panel):
        return any(
            into[edge_between(panel, mate)] == panel and reaches(mate) for mate in set(corner) - {panel}
        )

    return [panel for panel in corner if reaches(panel) and not yields(panel)]


def test_boxes_of_any_joints_thicknesses_and_braces_are_filled_exactly():
    seen = Counter()

    @settings(max_examples=400, deadline=None, derandomize=True)
    @given(st.data())
    def check(data):
        inner, panels, edges = data.draw(boxes())
        thicknesses = {name: t for name, (t, _) in panels.items()}
        faults = joint_faults(thicknesses, edges)
        if faults:
            seen["refused"] += 1
            _assert_a_corner_is_open(faults, edges)
            return
        box = carcass(inner, "inner", panels, edges)
        seen["mitred" if any(edge.mitre for edge in edges.values()) else "square"] += 1
        assert abs(volume(inner) + wood(box) - volume(box.outer)) <= 1e-6 * MILLIMETRE_CUBED + 1e-15
        bracing = braces(inner, thicknesses, data.draw(brace_sets(inner, thicknesses)))
        seen["braced"] += bool(bracing.braces)
        cut = grooved(box, bracing.grooves)
        tongues = sum(brace.volume - brace.displaced for brace in bracing.braces.values())
        assert abs(volume(inner) + wood(cut) + tongues - volume(box.outer)) <= 1e-3 * MILLIMETRE_CUBED
        _assert_the_centre_is_the_boxs(box, thicknesses)
        for panel in cut.panels.values():
            blank = panel.length * panel.width * panel.thickness
            assert 0 < panel.volume <= blank * (1 + 1e-12)
            assert all(
                low < at < high for low, at, high in zip(panel.low, panel.centroid, panel.high, strict=True)
            )

    check()
    assert seen["square"] > 60 and seen["mitred"] > 60 and seen["braced"] > 60, seen
    assert 20 < seen["refused"] < 250, seen


def _assert_the_centre_is_the_boxs(box, thicknesses):
    """First moments fill the outer box too: panels and the air inside balance where the whole box does."""
    outer, inner = (np.array(size)[[0, 2, 1]] for size in (box.outer, box.inner))
    start = np.array([thicknesses[name] for name in ("left", "front", "bottom")])
    moment = sum(panel.volume * np.array(panel.centroid) for panel in box.panels.values())
    moment += inner.prod() * (start + inner / 2)
    assert_allclose(moment, outer.prod() * outer / 2, rtol=1e-12)


def _assert_a_corner_is_open(faults, edges):
    into = {name: edge.into for name, edge in edges.items()}
    for fault in faults:
        corner = next(corner for corner in CORNERS if " ".join(corner) in fault.problem)
        assert fault.field.split(".")[1] in {edge_between(a, b) for a in corner for b in corner if a < b}
        assert not _corner_is_filled(into, corner), "only a corner that cannot be filled may be refused"


def _corner_is_filled(into, corner):
    """Every point of a corner has one owner, at a few depths of the joints."""
    names = [edge_between(corner[i], corner[j]) for i, j in ((0, 1), (0, 2), (1, 2))]
    grid = (0.04, 0.21, 0.33, 0.48, 0.59, 0.71, 0.93)
    steps = (0.0, 0.003, 0.007)  # moves the points apart, so that none lies on a mitre
    for depths in product((0.0, 0.3, 0.6), repeat=3):
        fractions = dict(zip(names, depths, strict=True))
        for shares in product(grid, repeat=3):
            point = {panel: s + step for panel, s, step in zip(corner, shares, steps, strict=True)}
            if len(owners(into, corner, fractions, point)) != 1:
                return False
    return True


@pytest.mark.parametrize("choice", list(product((0, 1, None), repeat=3)))
def test_a_corner_is_refused_exactly_where_its_joints_leave_a_hole_or_claim_wood_twice(choice):
    """All 27 kinds of corner, judged point by point from what each joint says."""
    corner = ("front", "left", "top")
    names = ("front-left", "front-top", "left-top")
    into = {
        name: None if pick is None else name.split("-")[pick]
        for name, pick in zip(names, choice, strict=True)
    }
    plain = {name: {"into": panel, "mitre": panel is None} for name, panel in into.items()}
    faults = joint_faults(WORKED["thickness"], joints(all_butt() | plain))
    refused = any("front left top corner" in fault.problem for fault in faults)
    assert refused != _corner_is_filled(into, corner)


# --- A second route: solid modelling ---------------------------------------------------------------


def _solids_by_modelling(outer, thicknesses, edges):
    """The panels by a modelling kernel: slabs trimmed at the joints, less the mates let into them."""
    from manifold3d import Manifold

    outer = np.array(outer)

    def trimmed(name, mate, solid):
        """`solid` without what the joint with `mate` keeps from the panel `name`."""
        edge = edges[edge_between(name, mate)]
        (i, i_end), (j, j_end) = FACES[name], FACES[mate]
        normal = np.zeros(3)
        corner = np.array([outer[k] if (k == i and i_end) or (k == j and j_end) else 0.0 for k in range(3)])
        if edge.mitre:
            normal[j], normal[i] = (
                (-1 if j_end else 1) * thicknesses[name],
                (1 if i_end else -1) * thicknesses[mate],
            )
        elif edge.into == mate:
            normal[j] = -1 if j_end else 1
            corner[j] += (thicknesses[mate] - edge.depth) * normal[j]
        else:
            return solid
        normal /= np.linalg.norm(normal)
        return solid.trim_by_plane(tuple(normal), float(normal @ corner))

    slabs = {}
    for name, (axis, end) in FACES.items():
        size, at = outer.copy(), np.zeros(3)
        size[axis] = thicknesses[name]
        at[axis] = outer[axis] - thicknesses[name] if end else 0.0
        solid = Manifold.cube(tuple(size)).translate(tuple(at))
        for mate in PANELS:
            if FACES[mate][0] != axis:
                solid = trimmed(name, mate, solid)
        slabs[name] = solid
    solids = {}
    for name, solid in slabs.items():
        for mate in PANELS:
            if FACES[mate][0] != FACES[name][0] and edges[edge_between(name, mate)].into == name:
                solid = solid - slabs[mate]
        solids[name] = solid
    return solids


def _centroid(solid):
    mesh = solid.to_mesh64()
    corners = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts)]
    volumes = np.einsum("ni,ni->n", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    return volumes @ corners.sum(axis=1) / 4 / volumes.sum()


def _assert_modelling_agrees(size, panels, edges):
    from manifold3d import Manifold, OpType

    box = carcass(size, "inner", panels, edges)
    thicknesses = {name: t for name, (t, _) in panels.items()}
    width, height, depth = box.outer
    # In millimetres, where the kernel's own tolerance is smallest beside the sizes.
    scaled = {name: Edge(edge.into, edge.depth * 1e3, edge.mitre) for name, edge in edges.items()}
    solids = _solids_by_modelling(
        (width * 1e3, depth * 1e3, height * 1e3), {k: t * 1e3 for k, t in thicknesses.items()}, scaled
    )
    for name, solid in solids.items():
        panel = box.panels[name]
        assert_allclose(panel.volume * 1e9, solid.volume(), rtol=1e-9, err_msg=name)
        assert_allclose(np.array(panel.centroid) * 1e3, _centroid(solid), rtol=1e-8, err_msg=name)
        low, high = np.reshape(solid.bounding_box(), (2, 3))
        assert_allclose(np.subtract(panel.high, panel.low) * 1e3, high - low, rtol=1e-9, err_msg=name)
    together = Manifold.batch_boolean(list(solids.values()), OpType.Add).volume()
    assert_allclose(together, sum(solid.volume() for solid in solids.values()), rtol=1e-9)


@variants
def test_the_worked_box_agrees_with_solid_modelling(edges):
    _assert_modelling_agrees(INNER, boards(), joints(edges))


def test_random_boxes_agree_with_solid_modelling():
    modelled = Counter()

    @settings(max_examples=60, deadline=None, derandomize=True)
    @given(boxes())
    def check(drawn):
        size, panels, edges = drawn
        if joint_faults({name: t for name, (t, _) in panels.items()}, edges):
            return
        _assert_modelling_agrees(size, panels, edges)
        modelled["mitred" if any(edge.mitre for edge in edges.values()) else "square"] += 1

    check()
    assert min(modelled["mitred"], modelled["square"]) > 8, modelled


def test_front_and_back_that_meet_in_the_joint_of_the_top_are_refused():
    """Derived: 17.5 mm up in the top, a lean of 30 degrees takes 17.5 tan 30° = 10.1 mm more."""
    thicknesses = dict.fromkeys(PANELS, 0.018)
    panels = {name: (t, 700.0) for name, t in thicknesses.items()}
    into = {
        "front-left": "left", "front-right": "right", "front-top": "top", "front-bottom": "bottom",
        "back-left": "left", "back-right": "right", "back-top": "top", "back-bottom": "bottom",
        "left-top": "top", "left-bottom": "bottom", "right-top": "top", "right-bottom": "bottom",
    }  # fmt: skip
    edges = {edge: Edge(into=mate, depth=0.0175) for edge, mate in into.items()}
    size = 0.2, 0.3, 0.3 * tan(radians(30.0))
    for more, refused in ((0.0095, True), (0.011, False)):
        built = (size[0], size[1], size[2] + more), "inner", panels, edges, 30.0
        if refused:
            with pytest.raises(InputError) as refusal:
                carcass(*built)
            assert refusal.value.field == "slope"
        else:
            assert carcass(*built).gross > 0
