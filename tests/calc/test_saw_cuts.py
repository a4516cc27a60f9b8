"""The cuts that are read from the parts: held against the worked box and a replay on its blanks."""

import json
from pathlib import Path

import pytest
from numpy.testing import assert_allclose
from shapely import box as rectangle
from shapely import union_all

from calc.cabinet.bracing import braces
from calc.cabinet.joints import all_butt, mitred_carcass, rabbeted
from calc.cabinet.panels import carcass, grooved
from calc.project_cabinet import Brace, Edge
from calc.shop.cut_list import cut_list
from calc.shop.saw_cuts import BURIED, Shop, saw_cuts, strips
from calc.shop.sheet_layout import Piece, Sheet, fewest_sheets

WORKED = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]["worked_box"]
INNER = (0.2, 0.4, 0.3)


def built(edges, plates=None, slope=0.0, thickness=None):
    sizes = WORKED["thickness"] | (thickness or {})
    panels = {name: (t, 750.0) for name, t in sizes.items()}
    made = carcass(INNER, "inner", panels, {name: Edge(**edge) for name, edge in edges.items()}, slope)
    if plates is None:
        return made, {}
    placed = braces(INNER, sizes, {n: (each, 0.018, 700.0) for n, each in plates.items()}, slope)
    return grooved(made, placed.grooves), placed.braces


def cuts_of(made, plates, shop=None, slope=0.0, speakers=1):
    rows = cut_list(made, plates, speakers)
    faces = {name: made.facing(name) for name in made.panels}
    return saw_cuts(rows, made.panels | plates, faces, plates, shop or Shop(), slope, speakers)


def of(cuts, part, *kinds):
    return [each for each in cuts if part in each.parts and each.kind in kinds]


def replayed(cuts, panel):
    """Volume that the stack takes from a blank when each cut is made from its datum edge. [m³]

    The blank lies with its cabinet x, y or z as they are; the groups of one depth are joined, since two
    cuts that cross take the corner once.
    """
    axes = {"left": (1, 2), "right": (1, 2), "top": (0, 1), "bottom": (0, 1), "front": (0, 2), "back": (0, 2)}
    ends = (("left", "right"), ("front", "back"), ("bottom", "top"))
    (x0, y0), (x1, y1) = ([corner[axis] for axis in axes[panel.name]] for corner in (panel.low, panel.high))
    blank = rectangle(x0, y0, x1, y1)
    taken = []
    for cut in of(cuts, panel.name, "groove", "rabbet"):
        own = {name for pair in (ends[axis] for axis in axes[panel.name]) for name in pair}
        for edge in set(cut.datum) & own:
            axis = next(k for k, a in enumerate(axes[panel.name]) if edge in ends[a])
            high = edge in ("right", "back", "top")
            near, far = cut.distance, cut.distance + cut.tool.width
            a, b = ((x1, y1)[axis] - far, (x1, y1)[axis] - near) if high else (
                (x0, y0)[axis] + near, (x0, y0)[axis] + far)  # fmt: skip
            strip = rectangle(a, y0, b, y1) if axis == 0 else rectangle(x0, a, x1, b)
            taken.append((cut.depth, strip.intersection(blank)))
    depths = {round(depth, 9) for depth, _ in taken}
    assert len(depths) == 1, "the worked box has one depth"
    return union_all([strip for _, strip in taken]).area * depths.pop()


def test_what_the_stack_takes_is_the_waste_of_the_worked_box():
    """Side 144 288 mm³, top 23 544 mm³: the printed sums of the worked box, *derived* there by hand."""
    made, plates = built(rabbeted(0.009, 0.009))
    cuts = cuts_of(made, plates)
    for name, waste in (("left", 144288e-9), ("right", 144288e-9), ("top", 23544e-9), ("bottom", 23544e-9)):
        assert_allclose(replayed(cuts, made.panels[name]), waste, rtol=1e-9)
    assert not of(cuts, "front", "groove", "rabbet") and not of(cuts, "back", "groove", "rabbet")


def test_every_blank_is_ripped_and_crosscut_to_the_worked_sizes():
    made, plates = built(rabbeted(0.009, 0.009))
    cuts = cuts_of(made, plates, speakers=2)
    for name, (length, width, thickness) in WORKED["blanks"].items():
        (rip,), (crosscut,) = of(cuts, name, "rip"), of(cuts, name, "crosscut")
        assert_allclose(
            (rip.distance, crosscut.distance, rip.thickness), (width, length, thickness), atol=1e-12
        )
    assert sum(each.count for each in cuts if each.kind == "rip") == 12


def test_a_rabbet_buries_what_is_too_much_of_the_stack():
    made, plates = built(rabbeted(0.009, 0.009))
    (ends, rear) = sorted(of(cuts_of(made, plates), "left", "rabbet"), key=lambda each: -each.width)
    assert ends.each == 2 and set(ends.datum) == {"top", "bottom"}
    assert_allclose((ends.width, rear.width), (0.018, 0.012), atol=1e-12)
    assert ends.distance == pytest.approx(-BURIED) and rear.distance == pytest.approx(-BURIED)
    assert ends.tool.width == pytest.approx(0.018 + BURIED)


def test_a_groove_has_its_play_and_lends_its_stack_to_the_rabbets():
    made, plates = built(rabbeted(0.009, 0.009), {"shelf": Brace("shelf", 0.2, "ply", 0.006)})
    cuts = cuts_of(made, plates, Shop(play=1.5e-4))
    (groove,) = of(cuts, "left", "groove")
    assert groove.parts == ("left", "right") and groove.mates == ("shelf",) and groove.datum == ("bottom",)
    assert groove.tool.width == pytest.approx(0.01815)
    # outer floor 18, the shelf's middle 200 above it, half its 18 below that: the near side at 209
    assert groove.distance == pytest.approx(0.209)
    rabbets = {round(each.distance, 7) for each in cuts if each.kind == "rabbet"}
    assert rabbets == {-0.00015, -0.00615}, "18 and 12 wide by a stack of 18.15"


def test_grooves_for_one_brace_start_at_one_end():
    made, plates = built(rabbeted(0.009, 0.009), {"rib": Brace("rib", 0.08, "ply", 0.006)})
    grooves = [each for each in cuts_of(made, plates) if each.kind == "groove"]
    assert {edge for each in grooves for edge in each.datum} == {"left"}
    # The top starts 9 inside the outer left side, the rib at 18 + 80 - 9 from it.
    assert {round(each.distance, 9) for each in grooves} == {0.08}


def test_mitres_of_the_worked_carcass():
    """Long points 436 and 236, short points 400 and 200: the worked box, *derived* there.

    The stop holds a long point and the table has the short one: halfway between the two sizes, *derived*.
    """
    made, plates = built(mitred_carcass(0.009))
    (side,), (top,) = (of(cuts_of(made, plates), name, "bevel") for name in ("left", "top"))
    assert_allclose((side.long_point, side.distance), (0.436, 0.418), atol=1e-12)
    assert_allclose((top.long_point, top.distance), (0.236, 0.218), atol=1e-12)
    assert side.each == 2 and side.parts == ("left", "right") and side.tool.angle == 45.0
    assert side.long_face == "outer" and side.guide == "sled"


def test_a_leaning_front_has_tapered_sides_and_a_bevel_on_its_ends():
    made, plates = built(all_butt(), slope=10.0)
    cuts = cuts_of(made, plates, slope=10.0)
    (taper,) = of(cuts, "left", "taper")
    assert taper.guide == "jig" and taper.distance == pytest.approx(10.0)
    bevels = [each for each in cuts if each.kind == "bevel"]
    assert {round(each.tool.angle, 6) for each in bevels} == {10.0}
    lean = [each for each in bevels if "front" in each.parts]
    assert {each.long_face for each in lean} <= {"outer", "inner"}


def test_butted_parts_are_only_sized():
    made, plates = built(all_butt())
    assert {each.kind for each in cuts_of(made, plates)} == {"rip", "crosscut"}


def test_crossing_plates_are_slotted_off_the_saw():
    pair = {"shelf": Brace("shelf", 0.2, "ply", 0.0), "rib": Brace("rib", 0.1, "ply", 0.0)}
    made, plates = built(all_butt(), pair)
    slots = [each for each in cuts_of(made, plates) if each.kind == "slot"]
    assert {each.parts for each in slots} == {("shelf",), ("rib",)}
    assert all(each.guide == "jigsaw" and "tall" in each.dangers for each in slots)
    assert all(each.width == pytest.approx(0.018) for each in slots)


def test_a_saw_without_a_stack_leaves_the_grooves_to_the_router():
    made, plates = built(rabbeted(0.009, 0.009), {"shelf": Brace("shelf", 0.2, "ply", 0.006)})
    cuts = cuts_of(made, plates, Shop(stack=False, play=1.5e-4))
    cut = [each for each in cuts if each.kind in ("groove", "rabbet")]
    assert {each.guide for each in cut} == {"router"} and {each.tool.name for each in cut} == {"bit"}
    assert {round(each.distance, 6) for each in cut} == {0.0, 0.209}


def test_a_part_is_as_long_along_the_fence_as_the_strip_it_comes_from():
    """Three of 500 in a strip of a sheet of 2000 by 300: ripped over 2000, crosscut over their 200."""
    layout = fewest_sheets([Piece("A", 0.5, 0.2, 3, "length")], Sheet(2.0, 0.3), 0.003)
    ripped, crosscut, *_ = strips(layout, 0.003)["A"]
    assert {round(ripped, 6), round(crosscut, 6)} <= {2.0, 0.2, 0.5, 0.3}
    assert round(ripped, 6) == 2.0 and round(crosscut, 6) == 0.2


def test_a_mortise_for_a_bar_says_where_it_begins_and_ends():
    """A bar 30 wide, its middle 100 behind the front: from 85 to 115 of the front edge. *Derived.*"""
    bar = Brace("bar", 0.25, "ply", 0.006, width=0.03, between="sides", also_at=0.1)
    made, plates = built(all_butt(), {"bar": bar})
    (mortise,) = of(cuts_of(made, plates), "left", "groove")
    assert mortise.guide == "router" and mortise.dangers == ("stopped",) and mortise.stop_edge == "front"
    assert mortise.stops == pytest.approx((0.085, 0.115))
    # The bar's middle 250 over the inner floor, that 18 over the lower edge, half its 18 below.
    assert mortise.distance == pytest.approx(0.25 + 0.018 - 0.009)


def test_plates_behind_a_leaning_front_follow_it():
    """A shelf 18 thick under 10°: its short face is 18 tan 10° = 3.174 mm shorter, *derived*."""
    pair = {"shelf": Brace("shelf", 0.2, "ply", 0.0)}
    made, plates = built(all_butt(), pair, slope=10.0)
    (bevel,) = of(cuts_of(made, plates, slope=10.0), "shelf", "bevel")
    assert bevel.long_point - bevel.distance == pytest.approx(0.018 * 0.17632698, rel=1e-6)
    assert bevel.long_point == pytest.approx(plates["shelf"].high[1] - plates["shelf"].low[1])
    assert bevel.long_face == "lower", "the front leans back, so that the upper face is the shorter"
    made, plates = built(all_butt(), {"rib": Brace("rib", 0.1, "ply", 0.0)}, slope=10.0)
    (taper,) = of(cuts_of(made, plates, slope=10.0), "rib", "taper")
    assert taper.distance == 10.0 and taper.guide == "jig"
