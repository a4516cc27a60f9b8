"""Shelves and ribs: blanks, grooves, windows, crossings, and the air that they take."""

from math import pi

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.cabinet.brace_faults import brace_faults
from calc.cabinet.bracing import braces
from calc.cabinet.joints import all_butt, mitred_carcass
from calc.cabinet.panels import carcass, grooved
from calc.errors import InputError
from calc.project_cabinet import Brace, Edge, Notch, Window

INNER = (0.2, 0.4, 0.3)
THICKNESSES = {
    "front": 0.025, "back": 0.012, "left": 0.018, "right": 0.016, "top": 0.020, "bottom": 0.022,
}  # fmt: skip
MICRO = 1e-15  # m³


def braced(**plates):
    return braces(INNER, THICKNESSES, {name: (plate, 0.015, 700.0) for name, plate in plates.items()})


def shelf(at=0.15, depth=0.006, window=None):
    return Brace("shelf", at, "ply", depth, window)


def rib(at=0.09, depth=0.006, window=None):
    return Brace("rib", at, "ply", depth, window)


def test_a_shelf_spans_width_and_depth_and_its_ends_stand_in_the_sides():
    plate = braced(s=shelf()).braces["s"]
    assert_allclose((plate.length, plate.width, plate.thickness), (0.212, 0.3, 0.015), rtol=1e-12)
    assert_allclose(plate.low, (0.012, 0.025, 0.022 + 0.15 - 0.0075), rtol=1e-12)
    assert_allclose(plate.high, (0.224, 0.325, 0.022 + 0.15 + 0.0075), rtol=1e-12)
    assert plate.sums["length"] == (0.2, ((2, 0.006),))


def test_a_rib_spans_height_and_depth_and_its_ends_stand_in_top_and_bottom():
    plate = braced(r=rib()).braces["r"]
    assert_allclose((plate.length, plate.width, plate.thickness), (0.412, 0.3, 0.015), rtol=1e-12)
    assert_allclose(plate.low, (0.018 + 0.09 - 0.0075, 0.025, 0.016), rtol=1e-12)
    assert_allclose(plate.high, (0.018 + 0.09 + 0.0075, 0.325, 0.428), rtol=1e-12)


def test_a_plain_plate_displaces_its_inner_part_and_weighs_with_its_tongues():
    bracing = braced(s=shelf())
    plate = bracing.braces["s"]
    assert_allclose(plate.displaced, 0.2 * 0.3 * 0.015, rtol=0, atol=MICRO)
    assert_allclose(plate.volume, 0.212 * 0.3 * 0.015, rtol=0, atol=MICRO)
    assert_allclose(plate.mass, 700 * 0.212 * 0.3 * 0.015, rtol=1e-12)
    assert_allclose(plate.centroid, (0.118, 0.175, 0.172), rtol=1e-12)
    assert bracing.displaced == plate.displaced


def test_a_window_takes_its_rectangle_less_the_rounded_corners():
    plain, open_ = braced(s=shelf()), braced(s=shelf(window=Window(0.12, 0.2, 0.03)))
    taken = (0.12 * 0.2 - (4 - pi) * 0.03**2) * 0.015
    assert_allclose(plain.displaced - open_.displaced, taken, rtol=0, atol=MICRO)
    round_ = braced(s=shelf(window=Window(0.1, 0.1, 0.05)))
    assert_allclose(plain.displaced - round_.displaced, pi * 0.05**2 * 0.015, rtol=0, atol=MICRO)


def test_the_tongues_fill_the_grooves_exactly():
    panels = {name: (t, 750.0) for name, t in THICKNESSES.items()}
    edges = {name: Edge(**edge) for name, edge in all_butt().items()}
    box = carcass(INNER, "inner", panels, edges)
    bracing = braced(s=shelf(), r=rib(depth=0.01))
    cut = grooved(box, bracing.grooves)
    lost = {name: box.panels[name].volume - cut.panels[name].volume for name in panels}
    groove, wide = 0.006 * 0.3 * 0.015, 0.010 * 0.3 * 0.015
    expected = {"front": 0, "back": 0, "left": groove, "right": groove, "top": wide, "bottom": wide}
    assert_allclose([lost[name] for name in panels], [expected[name] for name in panels], rtol=0, atol=MICRO)
    tongues = sum(plate.volume - plate.displaced for plate in bracing.braces.values())
    assert_allclose(tongues, sum(lost.values()), rtol=0, atol=MICRO)
    # A groove takes wood from the inner face, so the left side's centre moves out.
    assert cut.panels["left"].centroid[0] < box.panels["left"].centroid[0]
    assert cut.panels["left"].mass == pytest.approx(750 * cut.panels["left"].volume, rel=1e-12)
    assert cut.panels["left"].length == box.panels["left"].length


def test_grooves_run_out_where_front_and_back_only_cover_the_ends_of_the_walls():
    panels = {name: (t, 750.0) for name, t in THICKNESSES.items()}
    covered = carcass(INNER, "inner", panels, {name: Edge(**edge) for name, edge in all_butt().items()})
    grooves = braced(s=shelf()).grooves
    (cut,) = grooved(covered, grooves).panels["left"].cuts
    # The sides reach behind the back, so the groove must stop there.
    assert (cut.name, cut.kind, cut.stopped) == ("s", "groove", True)
    edges = {name: Edge(**edge) for name, edge in mitred_carcass(0.009).items()}
    rabbet, cut = grooved(carcass(INNER, "inner", panels, edges), grooves).panels["left"].cuts
    assert rabbet.kind == "rabbet" and cut.kind == "groove"
    assert not cut.stopped, "at the back it runs out into the rabbet, which is deeper"


def test_crossing_plates_share_their_wood_once_and_each_gives_up_half():
    alone = braced(s=shelf()).displaced, braced(r=rib()).displaced
    both = braced(s=shelf(), r=rib())
    overlap = 0.015 * 0.015 * 0.3
    assert_allclose(both.displaced, sum(alone) - overlap, rtol=0, atol=MICRO)
    assert_allclose(both.braces["s"].displaced, alone[0] - overlap / 2, rtol=0, atol=MICRO)
    assert_allclose(both.braces["r"].displaced, alone[1] - overlap / 2, rtol=0, atol=MICRO)


def test_the_shelf_is_slotted_from_the_back_and_the_rib_from_the_front():
    both = braced(s=shelf(), r=rib())
    (back,), (front,) = both.braces["s"].cuts, both.braces["r"].cuts
    assert (back.name, back.kind, front.name) == ("r", "slot", "s")
    assert_allclose((back.low[1], back.high[1]), (0.175, 0.325), rtol=1e-12)
    assert_allclose((front.low[1], front.high[1]), (0.025, 0.175), rtol=1e-12)
    assert_allclose((back.high[0] - back.low[0], front.high[2] - front.low[2]), (0.015, 0.015), rtol=1e-12)
    # The slot's own wood, 0.0075 of the way: centre of a plate with a box taken from one half.
    plate, slot = 0.212 * 0.3 * 0.015, 0.015 * 0.015 * 0.15
    assert_allclose(both.braces["s"].centroid[1], (plate * 0.175 - slot * 0.25) / (plate - slot), rtol=1e-12)
    assert_allclose(both.braces["s"].centroid[0], (plate * 0.118 - slot * 0.108) / (plate - slot), rtol=1e-12)


def test_two_shelves_and_two_ribs_cross_four_times():
    four = braced(a=shelf(0.1), b=shelf(0.3), c=rib(0.05), d=rib(0.15))
    plates = 2 * 0.2 * 0.3 * 0.015 + 2 * 0.4 * 0.3 * 0.015
    assert_allclose(four.displaced, plates - 4 * 0.015**2 * 0.3, rtol=0, atol=MICRO)
    assert [cut.name for cut in four.braces["a"].cuts] == ["c", "d"]


def _modelled(plate, window, radius, across):
    """A plate (low, high) with a rounded window as a solid, in millimetres; `across` is its normal's axis."""
    from manifold3d import CrossSection, JoinType, Manifold

    low, high = np.array(plate.low) * 1e3, np.array(plate.high) * 1e3
    solid = Manifold.cube(tuple(high - low)).translate(tuple(low))
    if window is None:
        return solid
    sides = np.array(window) * 1e3 - 2e3 * radius
    outline = CrossSection.square(tuple(sides), True)
    if radius:
        outline = outline.offset(radius * 1e3, JoinType.Round, circular_segments=1024)
    hole = outline.extrude(1e3).translate((0, 0, -500))
    if across == 0:
        hole = hole.rotate((90, 0, 0)).rotate((0, 0, 90))  # the section's x to y, its y to z
    return solid - hole.translate(tuple((low + high) / 2))


@pytest.mark.parametrize(
    ("shelf_window", "rib_window", "at"),
    [
        (None, None, 0.09),
        ((0.12, 0.2, 0.03), (0.2, 0.3, 0.03), 0.1),  # the crossing runs through both windows
        ((0.12, 0.2, 0.06), (0.2, 0.3, 0.1), 0.05),  # the rib passes a rounded corner of the shelf's window
        ((0.06, 0.05, 0.0), (0.2, 0.3, 0.08), 0.125),  # the rib passes the edge of a square window
        ((0.15, 0.26, 0.07), (0.26, 0.3, 0.13), 0.17),  # the rib passes the end of a corner arc
    ],
)
def test_crossing_windows_agree_with_solid_modelling(shelf_window, rib_window, at):
    bracing = braced(
        s=shelf(0.17, 0.0, shelf_window and Window(*shelf_window)),
        r=rib(at, 0.0, rib_window and Window(*rib_window)),
    )
    plates = bracing.braces
    s = _modelled(plates["s"], shelf_window and shelf_window[:2], shelf_window and shelf_window[2], 2)
    r = _modelled(plates["r"], rib_window and rib_window[:2], rib_window and rib_window[2], 0)
    # 1024 chords lie inside their circle by 6e-6 of its area.
    assert_allclose(bracing.displaced * 1e9, (s + r).volume(), rtol=1e-5)
    assert_allclose((plates["s"].volume + plates["r"].volume) * 1e9, (s + r).volume(), rtol=1e-5)
    assert_allclose(plates["s"].volume * 1e9, s.volume() - (s ^ r).volume() / 2, rtol=1e-5)
    moment = sum(plate.volume * np.array(plate.centroid) for plate in plates.values()) / bracing.displaced
    mesh = (s + r).to_mesh64()
    corners = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts)]
    parts = np.einsum("ni,ni->n", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    assert_allclose(moment * 1e3, parts @ corners.sum(axis=1) / 4 / parts.sum(), rtol=1e-5)


@pytest.mark.parametrize(
    ("plates", "field"),
    [
        ({"s": shelf(at=0.007)}, "braces.s.at"),
        ({"s": shelf(at=0.394)}, "braces.s.at"),
        ({"r": rib(at=0.194)}, "braces.r.at"),
        ({"s": shelf(depth=0.016)}, "braces.s.depth"),
        ({"r": rib(depth=0.02)}, "braces.r.depth"),
        ({"s": shelf(window=Window(0.161, 0.2))}, "braces.s.window.width"),
        ({"s": shelf(window=Window(0.1, 0.261))}, "braces.s.window.height"),
        ({"r": rib(window=Window(0.261, 0.2))}, "braces.r.window.width"),
        ({"r": rib(window=Window(0.2, 0.361))}, "braces.r.window.height"),
        ({"a": shelf(0.15), "b": shelf(0.1649)}, "braces.b.at"),
        ({"a": rib(0.15), "b": rib(0.1351)}, "braces.a.at"),
    ],
)
def test_an_impossible_brace_is_refused_at_its_field(plates, field):
    with pytest.raises(InputError) as refusal:
        braced(**plates)
    assert refusal.value.field == field


def test_plates_that_only_touch_are_taken():
    touching = braced(a=shelf(0.0075), b=shelf(0.0225), c=rib(0.1925, window=Window(0.26, 0.36)))
    assert touching.displaced > 0


def test_a_bad_board_and_an_unknown_kind_are_refused():
    class Odd:
        kind, at, depth, window = "strut", 0.1, 0.0, None

    plates = {"a": (Odd(), 0.015, 700.0), "b": (shelf(), 0.0, 700.0), "c": (rib(), 0.015, float("nan"))}
    found = {fault.field for fault in brace_faults(INNER, THICKNESSES, plates)}
    assert {"braces.a.kind", "braces.b.thickness", "braces.c.density"} <= found


def frame(at=0.15, depth=0.0, window=None, notches=None):
    return Brace("frame", at, "ply", depth, window, notches=notches or {})


def bar(at=0.3, also_at=0.1, kind="bar", width=0.03, **more):
    return Brace(kind, at, "ply", also_at=also_at, width=width, **more)


def bitten(side, at, width=0.04, depth=0.03, **more):
    return Brace("shelf", 0.15, "ply", 0.006, notches={"n": Notch(side, at, width, depth)}, **more)


@pytest.mark.parametrize(
    ("plates", "field", "said"),
    [
        ({"f": frame(0.293)}, "f.at", "inside the box"),
        ({"f": frame(depth=0.017)}, "f.depth", "right panel"),
        ({"s": Brace("shelf", 0.15, "ply", 0.0, depth_far=0.016)}, "s.depth_far", "right panel"),
        ({"f": frame(window=Window(0.05, 0.1, 0.0, 4, 0.05))}, "f.window.height", "around the windows"),
        ({"f": frame(window=Window(0.17, 0.1))}, "f.window.width", "rim"),
        ({"s": shelf(), "f": frame(depth=0.006)}, "f.depth", "cross the groove of “s”"),
        ({"s": shelf(), "r": rib(), "f": frame()}, "f.at", "in one point"),
        ({"f": frame(0.15), "g": frame(0.16)}, "g.at", "two frames overlap"),
        ({"b": bar(0.007)}, "b.at", "whole of it inside"),
        ({"b": bar(also_at=0.014)}, "b.also_at", "whole of it inside"),
        ({"b": bar(width=0.35)}, "b.width", "width of a bar"),
        ({"s": shelf(0.3), "b": bar(0.3)}, "b.at", "lead it through a window"),
        ({"r": rib(), "b": bar()}, "b.at", "lead it through a window"),
        ({"a": bar(), "b": bar(0.1, 0.3, between="front and back")}, "b.at", "runs into “a”"),
        ({"a": bar(), "b": bar(0.31, kind="dowel")}, "b.at", "runs into “a”"),
        ({"s": bitten("top", 0.1)}, "s.notches.n.side", "faces"),
        ({"s": bitten("left", 0.1)}, "s.notches.n.side", "in no groove"),
        ({"s": bitten("back", 0.19)}, "s.notches.n.at", "on the edge"),
        ({"s": bitten("back", 0.1, depth=0.281)}, "s.notches.n.depth", "rim"),
        ({"s": bitten("back", 0.1, depth=0.12, window=Window(0.1, 0.1))}, "s.notches.n.depth", "window"),
    ],
)
def test_what_cannot_stand_together_is_refused_with_its_reason(plates, field, said):
    with pytest.raises(InputError) as refusal:
        braced(**plates)
    assert refusal.value.field == f"braces.{field}"
    assert said in refusal.value.problem


def test_two_notches_that_overlap_are_refused():
    two = {"a": Notch("back", 0.08, 0.04, 0.03), "b": Notch("back", 0.11, 0.04, 0.03)}
    with pytest.raises(InputError, match="runs into the notch “a”"):
        braced(s=Brace("shelf", 0.15, "ply", notches=two))


def test_a_front_that_leans_back_is_kept_clear_of():
    def leaning(**plates):
        named = {name: (plate, 0.015, 700.0) for name, plate in plates.items()}
        return [fault.field for fault in brace_faults(INNER, THICKNESSES, named, 10.0)]

    # At 10 degrees the front has come in by 0.4 x tan 10° = 70.5 mm at the ceiling.
    assert leaning(f=frame(0.07)) == ["braces.f.at"]
    assert leaning(f=frame(0.09)) == []
    assert leaning(b=bar(0.3, 0.05)) == ["braces.b.at"]
    assert leaning(b=bar(0.1, 0.1, between="front and back", depth=0.004)) == ["braces.b.depth"]
    assert leaning(s=bitten("front", 0.1)) == ["braces.s.notches.n.side"]


def test_a_dowel_passes_where_a_window_or_a_notch_leaves_it_room():
    open_ = braced(r=rib(window=Window(0.1, 0.2, 0.02)), d=bar(0.2, 0.15, kind="dowel"))
    assert open_.braces["d"].displaced == pytest.approx(pi * 0.015**2 * 0.2, rel=1e-12)
    near = Window(0.2, 0.3, 0.1)
    with pytest.raises(InputError, match="lead it through"):
        braced(r=rib(window=near), d=bar(0.335, 0.235, kind="dowel"))  # in the square, outside the arc


def test_windows_in_a_row_take_each_its_own():
    one, three = (braced(f=frame(window=Window(0.1, 0.08, 0.01, n, 0.03))) for n in (1, 3))
    taken = (0.1 * 0.08 - (4 - pi) * 0.01**2) * 0.015
    assert_allclose(one.displaced - three.displaced, 2 * taken, rtol=0, atol=MICRO)
    heights = [(low[1] - 0.022, high[1] - 0.022) for low, high, _ in three.braces["f"].windows]
    assert_allclose(heights, [(0.05, 0.13), (0.16, 0.24), (0.27, 0.35)], rtol=1e-9)


def test_a_leaning_front_shortens_a_shelf_and_bevels_it():
    """Derived: the inner face lies tan 10° x height further back, so the section is a trapezium."""
    plate = braces(INNER, THICKNESSES, {"s": (shelf(depth=0.0), 0.015, 700.0)}, 10.0).braces["s"]
    lean = np.tan(np.radians(10))
    lower, upper = 0.3 - (0.15 - 0.0075) * lean, 0.3 - (0.15 + 0.0075) * lean
    assert_allclose(plate.width, lower, rtol=1e-12)
    assert_allclose(plate.volume, 0.2 * 0.015 * (lower + upper) / 2, rtol=1e-12)


def test_all_bad_braces_are_told_at_once():
    plates = {"a": (shelf(0.5), 0.015, 700.0), "b": (rib(0.1, 0.05), 0.015, 700.0)}
    found = [fault.field for fault in brace_faults(INNER, THICKNESSES, plates)]
    assert found == ["braces.a.at", "braces.b.depth"]
