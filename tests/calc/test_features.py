"""What the router cuts, against the solids that it comes from and against flat geometry of another make."""

from math import isclose, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

from calc.cabinet.flat_shapes import outline
from calc.evaluate import evaluate
from calc.evaluate_features import parts
from calc.shop.features import Circle, sides, tool
from calc.shop.rings import area, boned, flattened, holds, mirrored, rectangle, straight
from server.documents import amend, plain, read_project
from tests.server.reading import BOXES, MADE, made

DOCUMENTS = {name: {} for name in (*MADE[:4], *BOXES)}
LEANING = {
    "leaning": {"cabinet.slope": 7.0},
    "mitred": {f"cabinet.edges.{side}-{end}": {"into": None, "depth": 0.0, "mitre": True}
               for side in ("left", "right") for end in ("top", "bottom")},
}  # fmt: skip


def solved(name):
    """(project, result) of a project that a first visit makes, or of one that leans or is mitred."""
    document = made(name) if name in DOCUMENTS else amend(made("reading_room"), LEANING[name])
    project = read_project(document)
    return project, evaluate(project)


def shape_of(feature):
    """A cut as shapely has it."""
    if isinstance(feature.shape, Circle):
        return Point(feature.shape.x, feature.shape.y).buffer(feature.shape.diameter / 2, quad_segs=256)
    return Polygon(flattened(feature.shape, step=0.002))


@pytest.mark.parametrize("name", (*DOCUMENTS, "mitred"))
def test_what_is_cut_leaves_the_finished_solid(name):
    """Second route: blank less the union of its joints, layer by layer in depth, is the solid's own volume,
    which came from planes. Bevels lie outside the outlines, so mitred panels are left out."""
    project, result = solved(name)
    carcass = result.cabinet.carcass
    seen = 0
    solids = carcass.panels | result.cabinet.braces
    found = parts(project, result)
    for part, solid in ((found[name], solid) for name, solid in solids.items()):
        if part.bevels:
            continue
        seen += 1
        joints = [
            f for f in part.features if f.kind in ("rabbet", "groove", "slot", "notch", "window", "hole")
        ]
        blank = shape_of(part.features[0])
        left, before = blank.area * part.thickness, 0.0
        for depth in sorted({round(f.depth, 9) for f in joints}):
            deeper = unary_union([shape_of(f) for f in joints if f.depth > depth - 1e-9]).intersection(blank)
            left -= deeper.area * (depth - before)
            before = depth
        assert isclose(left, solid.volume, rel_tol=2e-6), part.name
    assert seen >= 2


@pytest.mark.parametrize("name", ["reading_room", "leaning", "radiators", "two ports"])
def test_every_cut_lies_on_its_part(name):
    for part in parts(*solved(name)).values():
        blank = Polygon(flattened(part.outline)).buffer(1e-6)
        assert isclose(min(x for x, *_ in part.outline), 0, abs_tol=1e-9)
        assert isclose(max(y for _, y, _ in part.outline), part.height)
        for feature in part.features:
            assert blank.covers(shape_of(feature)), (part.name, feature)
            assert 0 < feature.depth <= part.thickness + 1e-9


def test_a_joint_with_a_leaning_front_is_not_told_as_flat():
    """The top meets the leaning front: where it lies in a rabbet of the side, its front end is cut aslant."""
    document = amend(made("reading_room"), {"cabinet.slope": 7.0})
    edges = {f"cabinet.edges.front-{wall}": {"into": wall, "depth": 0.006, "mitre": False}
             for wall in ("left", "right", "top", "bottom")}  # fmt: skip
    project = read_project(amend(document, edges))
    found = parts(project, evaluate(project))
    rabbets = {f.name: f for f in found["top"].features if f.kind == "rabbet"}
    assert rabbets["front-top"].slanted and not rabbets["back-top"].slanted
    assert not any(f.slanted for f in found["left"].features)


def test_the_seats_are_those_of_the_boring_page():
    project, result = solved("reading_room")
    front = {(f.kind, f.name): f for f in parts(project, result)["front"].features if f.kind != "screw"}
    for name, seat in result.seats.items():
        recess, opening = front["recess", name], front["opening", name]
        assert (recess.shape.diameter, recess.depth) == (seat.recess, seat.recess_depth)
        assert (opening.shape.diameter, opening.depth) == (seat.cutout, project.cabinet and 0.0183)
        assert recess.shape[:2] == opening.shape[:2]
    pricks = [f for f in parts(project, result)["front"].features if f.kind == "screw" and f.name == "woofer"]
    frame = project.drivers["woofer"].frame
    assert len(pricks) == frame.screws
    middle = front["opening", "woofer"].shape
    for prick in pricks:
        away = Point(prick.shape.x, prick.shape.y).distance(Point(middle.x, middle.y))
        assert isclose(2 * away, frame.screw_circle)


def test_left_is_left_on_each_face():
    """By hand: the right side seen from inside has the front at its right hand, the left side at its left; a
    back that is seen from behind has the terminals' x counted from the cabinet's right."""
    project, result = solved("reading_room")
    found = parts(project, result)
    right, left = (sides(found[name])[0] for name in ("right", "left"))
    width = found["right"].width

    def middle(side, name):
        xs = [x for f in side.features if f.name == name for x, *_ in f.shape]
        return (min(xs) + max(xs)) / 2

    assert middle(right, "back-right") < width / 2 < middle(left, "back-left")
    moved = read_project(amend(plain(project), {"cabinet.holes.terminals.x": 0.07}))
    (back,) = sides(parts(moved, evaluate(moved))["back"])
    hole = next(f.shape for f in back.features if f.name == "terminals")
    outer = result.cabinet.carcass.outer[0]
    edge = (outer - found["back"].width) / 2
    assert isclose(hole.x, outer - 0.07 - edge)


def test_the_right_cabinet_of_a_mirrored_pair_is_the_mirror_image():
    project, result = solved("reading_room")
    part = parts(project, result)["left"]
    own, twin = sides(part)[0], sides(part, hand="right cabinet")[0]
    for a, b in zip(own.features, twin.features, strict=True):
        for here, there in zip(mirrored(a.shape, part.width), b.shape, strict=True):
            assert here == pytest.approx(there, abs=1e-12)
        assert isclose(area(a.shape), area(b.shape))
    # What mirrors a left side is a right side: in the right cabinet it stands on the right.
    assert (own.name, twin.name) == ("left, inside up", "right, inside up, right cabinet")
    assert {f.name for f in twin.features} == {"outline", "shelf", "back-right", "right-top", "right-bottom"}


# --- Rings


lengths = st.floats(0.02, 0.5)


@given(lengths, lengths, st.floats(0, 0.3))
def test_a_rounded_rectangle(wide, tall, radius):
    """Exact: w h - (4 - pi) r²; and the same by another library from its points."""
    ring = rectangle(0.1, 0.2, 0.1 + wide, 0.2 + tall, radius)
    r = min(radius, wide / 2, tall / 2)
    assert isclose(area(ring), wide * tall - (4 - pi) * r**2, rel_tol=1e-9)
    assert isclose(Polygon(flattened(ring, step=0.01)).area, area(ring), rel_tol=1e-4)
    assert isclose(area(mirrored(ring, 1.0)), area(ring), rel_tol=1e-9)
    assert Polygon(flattened(mirrored(mirrored(ring, 1.0), 1.0))).equals_exact(Polygon(flattened(ring)), 1e-9)


@given(st.floats(0.012, 0.1), st.floats(0.012, 0.1), st.floats(0.2, 1.0), st.floats(-0.4, 0.4))
def test_a_square_mate_drops_into_a_boned_pocket(wide, tall, share, lean):
    """The bit, rolled round inside the boned outline, clears all of the pocket; and it takes no more wood
    than a round hole in each corner."""
    pocket = straight([(0, 0), (wide, 0), (wide + lean * tall, tall), (lean * tall, tall)])
    bit = share * min(wide, tall) / 2
    ring, bones = boned(pocket, bit, lambda x, y: True)
    assert bones == 4
    r = bit / 2
    cut = Polygon(flattened(ring, step=0.01))
    reached = cut.buffer(-r * 0.998, quad_segs=64).buffer(r, quad_segs=64)
    whole = Polygon([corner[:2] for corner in pocket])
    assert whole.difference(reached).area < 2e-3 * bit**2
    extra = cut.difference(whole).area
    assert 0 < extra < 4 * pi * r**2
    assert isclose(cut.area, area(ring), rel_tol=1e-3)


def test_a_bone_at_a_square_corner_is_a_half_circle():
    """Derived: the circle through a right corner with its centre on the bisector meets both sides at r root
    2, which are the ends of a diameter; half of it lies in the wood: pi r²/2 less the triangle r²."""
    bit = 0.006
    ring, _ = boned(rectangle(0, 0, 0.1, 0.05), bit, lambda x, y: x < 0 and y < 0)
    assert isclose(area(ring) - 0.1 * 0.05, pi * (bit / 2) ** 2 / 2 - (bit / 2) ** 2)
    assert any(isclose(x, bit / sqrt(2)) and y == 0 for x, y, _ in ring)


def test_corners_at_an_edge_or_beside_another_cut_need_no_bone():
    project, result = solved("reading_room")
    part = parts(project, result)["left"]
    plain_, open_ = sides(part)[0], sides(part, bones=True)[0]
    by_name = {f.name: (f, g) for f, g in zip(plain_.features, open_.features, strict=True)}
    groove, boned_groove = by_name["shelf"]
    assert boned_groove.area == groove.area, "from the front edge to the back's rabbet: nothing is stopped"
    rabbet, boned_rabbet = by_name["back-left"]
    assert boned_rabbet.area == rabbet.area, "its corners lie in those of top and bottom, as deep, or outside"


def test_a_hole_is_told_from_wood():
    ring = rectangle(0, 0, 0.1, 0.05)
    assert holds(ring, 0.05, 0.01) and not holds(ring, 0.11, 0.01) and not holds(ring, 0.05, -0.001)


@pytest.mark.parametrize(
    ("narrowest", "square", "wanted"),
    [
        (0.0183, True, 0.0127),
        (0.009, True, 0.00635),
        (0.0065, True, 0.00635),
        (0.0127, False, 0.0127),
        (0.003, True, None),
    ],
)
def test_the_widest_bit_that_leaves_room_for_bones(narrowest, square, wanted):
    assert tool((0.006, 0.00635, 0.0127), narrowest, square=square) == wanted


FLANGES = {
    "truncated": {"drivers.dome.frame.shape": "truncated", "drivers.dome.frame.across": 0.09},
    "square": {"drivers.dome.frame.shape": "square", "drivers.dome.frame.across": 0.096,
               "drivers.dome.frame.corner": 0.01},
}  # fmt: skip


@pytest.mark.parametrize("turn", [0.0, 25.0, -70.0])
@pytest.mark.parametrize("shape", FLANGES)
def test_the_recess_of_a_flange_that_is_no_circle_is_its_outline(shape, turn):
    """The ring of arcs against the polygon that clashes are reckoned with, by shapely."""
    document = amend(made("reading_room"), {**FLANGES[shape], "cabinet.seats.dome.turn": turn})
    project = read_project(document)
    result = evaluate(project)
    front = parts(project, result)["front"]
    recess = next(f for f in front.features if (f.kind, f.name) == ("recess", "dome"))
    dome = next(each for each in result.openings if each.name == "dome")
    expected = Polygon(outline(dome).corners())
    assert isclose(recess.area, expected.area, rel_tol=1e-3)
    assert shape_of(recess).symmetric_difference(expected).area < 2e-3 * expected.area
    pricks = [f.shape[:2] for f in front.features if (f.kind, f.name) == ("screw", "dome")]
    assert len(pricks) == len(dome.screws)
    for (x, y), (across, up) in zip(pricks, dome.screws, strict=True):
        assert isclose(x, dome.x + across) and isclose(y, dome.y + up)


def test_no_bit_wider_than_a_square_recess_has_corners_cuts_it():
    """Corners of 10 with half of 0.8 of play are cut by bits up to 20.8; corners of 1 by none of 6.35."""
    sharp = FLANGES["square"] | {"drivers.dome.frame.corner": 0.001}
    for edits, fits in ((FLANGES["square"], True), (sharp, False)):
        project = read_project(amend(made("reading_room"), edits))
        front = parts(project, evaluate(project))["front"]
        bit = next(f for f in front.features if (f.kind, f.name) == ("recess", "dome")).bit
        assert (bit is not None) == fits and (bit is None or bit <= 0.0208)


def test_the_corners_of_a_plates_hole_are_round():
    plate = {"panel": "back", "x": None, "y": 0.1, "width": 0.08, "height": 0.06, "radius": 0.008,
             "rim": 0.01, "screws": 4}  # fmt: skip
    project = read_project(amend(made("reading_room"), {"cabinet.holes.terminals": plate}))
    back = parts(project, evaluate(project))["back"]
    hole = next(f for f in back.features if (f.kind, f.name) == ("opening", "terminals"))
    assert isclose(hole.area, 0.08 * 0.06 - (4 - pi) * 0.008**2)
    assert hole.bit is not None and hole.bit <= 0.016
    assert sum((f.kind, f.name) == ("screw", "terminals") for f in back.features) == 4
