"""Clashes: by how much two things are in each other's way, where, and which single changes clear it."""

from math import acos, hypot, isclose, pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.cabinet.clashes import distances
from calc.cabinet.flat_shapes import Shape, circle, common, rectangle, way_out
from calc.evaluate import evaluate
from calc.evaluate_clashes import STEPS, edited, mendings
from server.beginnings import demo
from server.documents import amend, read_project

SEAT, DOME, CUP = "cabinet.seats.woofer", "cabinet.seats.dome", "cabinet.holes.terminals"
PORT, SHELF = "alternatives.B.box.port", "cabinet.braces.shelf.at"
FRAME = "drivers.woofer.frame"

CROWDED = {
    "dome over woofer": {f"{DOME}.y": 0.31},
    "dome close to woofer": {f"{DOME}.y": 0.327},
    "shelf behind woofer": {SHELF: 0.1},
    "woofer over the edge": {f"{SEAT}.x": 0.08},
    "port too long": {"alternatives.B.box.fb": 40.0},
    "port too long for its own length": {"alternatives.B.box.fb": None, f"{PORT}.length": 0.3},
    "woofer too deep": {f"{FRAME}.depth": 0.265},
    "woofer a little too deep": {f"{FRAME}.depth": 0.2645},
    "port in the magnet": {f"{PORT}.y": 0.24, "cabinet.braces": {}, "cabinet.holes": {},
                           f"{FRAME}.depth": 0.13},
    "cup in a corner": {f"{CUP}.y": 0.04, f"{CUP}.x": 0.03},
    "four ports": {f"{PORT}.count": 4},
    "screw at the edge": {f"{SEAT}.x": 0.0834, f"{FRAME}.cutout": 0.12, f"{FRAME}.screw_circle": 0.164},
}  # fmt: skip


def solved(edits, show="metric"):
    document = amend(demo("reading_room"), {**edits, "show": show})
    project = read_project(document)
    return document, project, evaluate(project)


def by_kind(result):
    return {clash.kind: clash for clash in result.clashes}


# --- amounts


def test_an_overlap_by_hand():
    """Centres 120.4 mm apart, recesses of 166.8 and 104.8 mm: 83.4 + 52.4 - 120.4 = 15.4 mm (derived)."""
    _, _, result = solved(CROWDED["dome over woofer"])
    (clash,) = result.clashes
    assert clash.kind == "close" and clash.amount == pytest.approx(0.0154)
    assert clash.words == "“woofer” and “dome” overlap by {by} on the front."
    assert clash.values["by"] == ("length", clash.amount)


def test_a_thin_wall_is_told_by_what_is_left():
    """Centres 137.4 mm apart leave 1.6 mm (derived); 5 mm is the least."""
    _, _, result = solved(CROWDED["dome close to woofer"])
    (clash,) = result.clashes
    assert clash.amount == pytest.approx(0.0016) and clash.least == 0.005
    assert "leave only {by} of wood" in clash.words


def test_a_recess_over_the_edge_by_hand():
    """Its middle 80 mm from the edge, half of it 83.4: 3.4 mm over (derived)."""
    _, _, result = solved(CROWDED["woofer over the edge"])
    assert by_kind(result)["edge"].amount == pytest.approx(0.0034)
    assert by_kind(result)["wall"].amount == pytest.approx(0.0183 + 0.073 - 0.08)


def test_a_brace_by_how_far_it_must_give_way():
    """The shelf's upper face against the lower edge of a hole of 146 mm about 189.6 mm (derived)."""
    _, _, result = solved(CROWDED["shelf behind woofer"])
    shelf = result.cabinet.braces["shelf"]
    assert by_kind(result)["brace"].amount == pytest.approx(shelf.high[2] - (0.1896 - 0.073))


def test_a_driver_too_deep_by_hand():
    """Recess of 5.5 mm and its depth, against the outer depth less the back (derived)."""
    _, _, result = solved(CROWDED["woofer too deep"])
    outer, back = result.cabinet.carcass.outer[2], result.cabinet.carcass.panels["back"].thickness
    assert by_kind(result)["deep"].amount == pytest.approx(0.265 + 0.0055 - (outer - back))


def test_a_screw_needs_two_diameters():
    """A screw on a circle of 164 mm, 30 degrees off the level: 82 cos 0 = 82 of 83.4 mm (derived)."""
    _, _, result = solved(CROWDED["screw at the edge"])
    (clash,) = result.clashes
    assert clash.kind == "screw" and clash.least == pytest.approx(2 * 0.0035)
    assert clash.amount == pytest.approx(0.0834 - 0.082, abs=1e-6)


# --- remedies


@pytest.mark.parametrize("show", STEPS)
@pytest.mark.parametrize("name", CROWDED)
def test_every_remedy_clears_its_clash_and_makes_no_other(name, show):
    """Each is put into the document and all of it solved again."""
    document, project, result = solved(CROWDED[name], show)
    assert result.clashes
    for mending in mendings(project, result):
        assert mending.remedies or mending.vain
        for remedy in mending.remedies:
            again = evaluate(read_project(amend(document, remedy.edits)))
            keys = {clash.key for clash in again.clashes}
            assert mending.clash.key not in keys
            assert keys <= {clash.key for clash in result.clashes}


@pytest.mark.parametrize("show", STEPS)
def test_a_move_is_the_least_whole_step_that_does(show):
    document, project, result = solved(CROWDED["dome over woofer"], show)
    (mending,) = mendings(project, result)
    moves = [each for each in mending.remedies if each.name.startswith("move")]
    assert len(moves) == 2, "either may give way"
    for remedy in moves:
        ((path, value),) = remedy.edits.items()
        (quantity, by) = remedy.values["by"]
        assert quantity == "length" and by / STEPS[show] == pytest.approx(round(by / STEPS[show]))
        assert by == pytest.approx(20.4e-3, abs=STEPS[show]) and by > 20.4e-3 - 1e-9, "15.4 and 5 mm of wood"
        now = result.openings[0].y if path.startswith(SEAT) else result.openings[1].y
        assert abs(value - now) == pytest.approx(by, abs=1e-6)
        short = value - (1 if value > now else -1) * STEPS[show]
        assert evaluate(read_project(amend(document, {path: short}))).clashes, "one step less does not"


def test_the_corner_is_left_both_ways_at_once():
    _, project, result = solved(CROWDED["cup in a corner"])
    (mending,) = mendings(project, result)
    assert {frozenset(each.edits) for each in mending.remedies} == {frozenset({f"{CUP}.x", f"{CUP}.y"})}


def test_what_does_not_do_is_said_and_not_offered():
    """The woofer has the shelf below and the dome above it."""
    _, project, result = solved(CROWDED["shelf behind woofer"])
    (mending,) = mendings(project, result)
    assert mending.vain == ("Moving “woofer” alone does not clear it.",)
    assert not any(SEAT in path for each in mending.remedies for path in each.edits)


def test_a_port_too_long_is_tuned_or_narrowed_until_it_breathes():
    document, project, result = solved(CROWDED["port too long"])
    (mending,) = [each for each in mendings(project, result) if each.clash.kind == "long"]
    offered = {each.name: each for each in mending.remedies}
    assert {"bend", "tune", "narrow"} <= set(offered)
    for name in ("tune", "narrow"):
        port = evaluate(read_project(amend(document, offered[name].edits))).box.port
        assert port.fits and port.breathes


@settings(max_examples=40)
@given(
    x=st.floats(0.05, 0.16), y=st.floats(0.06, 0.34), dome=st.floats(0.06, 0.36), shelf=st.floats(0.02, 0.3),
    port_x=st.floats(0.03, 0.18), port_y=st.floats(0.03, 0.37),
)  # fmt: skip
def test_remedies_hold_wherever_things_are_put(x, y, dome, shelf, port_x, port_y):
    edits = {f"{SEAT}.x": x, f"{SEAT}.y": y, f"{DOME}.y": dome, SHELF: shelf,
             f"{PORT}.x": port_x, f"{PORT}.y": port_y}  # fmt: skip
    _, project, result = solved(edits)
    before = {clash.key for clash in result.clashes}
    for mending in mendings(project, result):
        for remedy in mending.remedies:
            after = {clash.key for clash in evaluate(edited(project, remedy.edits)).clashes}
            assert mending.clash.key not in after and after <= before


# --- shapes


def area(corners):
    pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2


def test_two_circles_have_a_lens_in_common():
    """Radii r, distance d: area 2 r² acos(d / 2r) - d/2 sqrt(4r² - d²) (textbook, from memory)."""
    r, d = 1.0, 1.2
    exact = 2 * r**2 * acos(d / (2 * r)) - d / 2 * sqrt(4 * r**2 - d**2)
    lens = common(circle(0, 0, 2 * r).corners(), circle(d, 0, 2 * r).corners())
    assert area(lens) == pytest.approx(exact, rel=0.03) and area(lens) < exact, "corners lie on the circles"
    assert area(circle(0, 0, 2).corners()) == pytest.approx(pi, rel=0.01)


def test_what_lies_apart_has_nothing_in_common():
    assert len(common(circle(0, 0, 1).corners(), rectangle(2, -1, 3, 1).corners())) < 3


def test_common_of_two_rectangles_is_a_rectangle():
    found = common(rectangle(0, 0, 2, 2).corners(), rectangle(1, -1, 3, 1).corners())
    assert sorted(set(found)) == [(1.0, 0.0), (1.0, 1.0), (2.0, 0.0), (2.0, 1.0)]


@given(
    st.floats(-0.1, 0.1), st.floats(-0.1, 0.1), st.floats(0.01, 0.1), st.floats(0.01, 0.1),
    st.floats(0, 0.02), st.sampled_from([(1, 0), (-1, 0), (0, 1), (0, -1)]),
)  # fmt: skip
def test_the_way_out_of_a_circle_is_pythagoras(x, y, a, b, need, along):
    """From (x, y) along an axis until the middles are a + b + need apart."""
    far = a + b + need
    if hypot(x, y) >= far:
        expected = 0.0
    else:
        ahead, aside = x * along[0] + y * along[1], x * along[1] + y * along[0]
        expected = sqrt(far**2 - aside**2) - ahead
    found = way_out(circle(x, y, 2 * a), circle(0, 0, 2 * b), need, *along)
    assert isclose(found, expected, abs_tol=1e-6)


def test_a_shape_is_over_the_sides_that_it_crosses():
    assert Shape(0.01, 0.5, 0.02, 0.02).over(0, 0, 1, 1) == {"left": pytest.approx(0.01)}
    assert circle(0.5, 0.99, 0.1).over(0, 0, 1, 1) == {"top": pytest.approx(0.04)}


def test_a_demo_that_fits_has_nothing_to_mend():
    _, project, result = solved({})
    assert result.clashes == () and mendings(project, result) == ()


def test_what_is_left_about_each_opening_by_hand():
    """Front 216.6 x 400.6 mm, woofer in the middle at 189.6, dome at 330.6 (derived below)."""
    _, project, result = solved({})
    made = result.cabinet
    left = {
        each.name: each
        for each in distances(
            made.carcass, made.openings, seats=project.cabinet.seats, drivers=project.drivers,
            ports={"port": project.alternatives["B"].box.port}, lengths=made.port_lengths,
            braces=made.braces,
        )
    }  # fmt: skip
    woofer, dome = left["woofer"], left["dome"]
    assert woofer.edge == pytest.approx(0.1083 - 0.0834) and woofer.wall == pytest.approx(
        0.1083 - 0.073 - 0.0183
    )
    assert woofer.beside == "dome" and woofer.wood == pytest.approx(0.141 - 0.0834 - 0.0524)
    assert dome.beside == "woofer" and dome.wood == pytest.approx(woofer.wood)
    assert woofer.rim == pytest.approx(0.078 - 0.073, abs=1e-6), "a circle of 156 about a hole of 146 mm"
    assert dome.edge == pytest.approx(0.4006 - 0.3306 - 0.0524)
    (port, cup) = left["port"], left["terminals"]
    assert [port.wood, cup.wood] == pytest.approx([0.084, 0.084]) and port.screw is None


def test_the_workshop_decides_how_much_wood_is_left():
    assert solved({"workshop.least_wood": 0.006})[2].misfits[0][1].startswith("“woofer” and “dome” leave")
    assert solved({"workshop.least_wood": 0.005})[2].misfits == ()
    thick = solved({**CROWDED["screw at the edge"], "workshop.screw": 0.005})[2].clashes
    assert thick[0].least == pytest.approx(0.01)


# --- remedies that are no move along a panel


def cleared(edits, kind, show="metric"):
    """The clashes of a kind, and the names of remedies after each was made and the cabinet solved anew."""
    _, project, result = solved(edits, show)
    found = [each for each in mendings(project, result) if each.clash.kind == kind]
    names = set()
    for each in found:
        for remedy in each.remedies:
            after = evaluate(edited(project, remedy.edits))
            assert each.clash.key not in {clash.key for clash in after.clashes}, remedy.name
            names.add(remedy.name)
    return found, names


FRAME_BRACE = {"kind": "frame", "at": 0.05, "sheet": "ply", "depth": 0.0}
BAR = {"kind": "bar", "at": 0.17, "also_at": 0.05, "sheet": "ply", "width": 0.04, "between": "sides"}


LOW_PORT = {f"{PORT}.panel": "front", f"{PORT}.y": 0.06, f"{PORT}.shape.diameter": 0.03}


def test_a_frame_or_a_bar_is_moved_off_a_driver():
    """The woofer reaches to 81.5 mm below the face; the frame's near side stands at 50 + 9 mm (derived)."""
    found, names = cleared({"cabinet.braces": {"frame": FRAME_BRACE}, **LOW_PORT}, "brace")
    assert "move braces.frame towards the back" in names
    (clash, *_) = [each.clash for each in found if "woofer" in each.clash.sentence]
    assert clash.away == pytest.approx(0.0815 - (0.0183 + 0.05 - 0.0183 / 2))
    _, names = cleared({"cabinet.braces": {"bar": BAR}, **LOW_PORT}, "brace")
    assert "move braces.bar towards the back" in names and "move braces.bar down" in names


def test_a_shelf_is_notched_for_a_driver_that_grazes_it():
    """The notch is as wide as the shelf cuts the circle, and 5 mm more on each side (derived)."""
    edits = {"cabinet.braces.shelf.window": None, SHELF: 0.1}
    found, names = cleared(edits, "brace")
    assert "notch braces.shelf for seats.woofer" in names
    (notched,) = [remedy for each in found for remedy in each.remedies if "notch" in remedy.name]
    (bite,) = notched.edits.values()
    radius, middle, top = 0.073, 0.1896, 0.0183 + 0.1 + 0.0183 / 2
    half = sqrt(radius**2 - (middle - top) ** 2)
    assert bite.width == pytest.approx(2 * half + 0.01, abs=1e-5)
    assert bite.depth == pytest.approx(0.0815 - 0.0183 + 0.005) and bite.side == "front"


TWIN = {
    "cabinet.braces": {"wall": {"kind": "shelf", "at": 0.21, "sheet": "ply", "depth": 0.0, "seals": True}},
    "cabinet.holes": {},
}


def test_what_parts_the_wrong_air_is_let_open_or_moved():
    found, names = cleared(TWIN, "parted")
    assert found and "open braces.wall" in names
    assert not any("alone does not clear" in each for mending in found for each in mending.vain)
