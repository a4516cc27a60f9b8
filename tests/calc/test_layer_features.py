"""What is glued onto a panel or stands beside the box, as it is cut: against the solids, and by shapely."""

from math import isclose, pi

import pytest
from shapely.affinity import translate
from shapely.geometry import Point, box
from shapely.ops import unary_union
from test_features import shape_of

from calc.evaluate import evaluate
from calc.evaluate_board import boarded
from calc.evaluate_features import handed, parts
from calc.shop.features import PRICKED
from server.documents import amend, read_project
from tests.server.reading import BAND_PASS, made

GLUED = {
    "cabinet.layers.face": {"panel": "front", "sheet": "thin"},
    "cabinet.layers.cheek": {"panel": "left", "sheet": "thin"},
    "cabinet.layers.front lining": {"panel": "front", "sheet": "thin", "place": "inside"},
    "cabinet.layers.back lining": {"panel": "back", "sheet": "thin", "place": "inside", "soft": 0.002},
    "cabinet.layers.side lining": {"panel": "left", "sheet": "thin", "place": "inside"},
    "cabinet.layers.second": {"panel": "front", "sheet": "thin", "place": "through"},
}
TRUNCATED = {"drivers.woofer.frame.shape": "truncated", "drivers.woofer.frame.across": 0.155}
SQUARE = {"drivers.woofer.frame.shape": "square", "drivers.woofer.frame.across": 0.16,
          "drivers.woofer.frame.corner": 0.01, "cabinet.seats.woofer.turn": 10.0}  # fmt: skip


def built(**changes):
    """(project, result, parts) of the demo, with a thin sheet in stock."""
    document = made("reading_room")
    ply = document["workshop"]["sheets"]["ply"]
    document["workshop"]["sheets"]["thin"] = {**ply, "name": "Thin ply", "thickness": 0.006}
    project = read_project(amend(document, changes))
    result = evaluate(project)
    return project, result, parts(project, result)


def left_of(part):
    """The part's outline less all that goes through it."""
    outline, *others = part.features
    through = [shape_of(each) for each in others if each.through]
    return shape_of(outline).difference(unary_union(through))


@pytest.mark.parametrize("flange", [{}, TRUNCATED, SQUARE])
def test_a_layer_weighs_what_its_template_leaves(flange):
    """Second route: what shapely leaves of the outline, times thickness and density, is the mass that came
    from the solids and from their bores; there the arcs of a flange with flats are polygons. A soft layer
    under a lining is weighed with it."""
    project, result, found = built(**GLUED, **flange)
    masses = {name: mass for name, kind, mass, _ in result.cabinet.masses if kind == "layer"}
    assert set(masses) == {"face", "cheek", "front lining", "back lining", "side lining"}
    for name, mass in masses.items():
        solid = result.cabinet.carcass.layers[name]
        density = solid.mass / solid.volume * (solid.thickness + solid.soft)
        near = 2e-4 if flange == TRUNCATED else 2e-5
        assert isclose(left_of(found[name]).area * density, mass, rel_tol=near), name
    assert {f.name for f in found["face"].features if f.through} == {"outline", "woofer", "dome"}
    assert {f.name for f in found["back lining"].features if f.through} >= {"port", "terminals"}


def test_a_skin_is_open_as_wide_as_the_flange_with_its_clearance():
    project, result, found = built(**GLUED)
    front = {f.name: f for f in found["second"].features}
    for name, driver in (("woofer", "woofer"), ("dome", "dome")):
        hole = next(f for f in found["face"].features if f.name == name)
        flange = project.drivers[driver].frame.flange + project.workshop.flange_clearance
        assert isclose(hole.shape.diameter, flange)
        assert (hole.shape.x, hole.shape.y) != (0.0, 0.0)
        assert isclose(front[name].shape.diameter, project.drivers[driver].frame.cutout)
    # A cheek of 6 mm on the left: the front skin, glued first, does not cover its edge.
    assert isclose(found["face"].width, result.cabinet.carcass.outer[0])


def test_a_driver_on_the_face_of_a_skin_needs_its_hole_alone():
    project, result, found = built(**GLUED, **{"cabinet.seats.woofer.flush": False})
    hole = next(f for f in found["face"].features if f.name == "woofer" and f.kind == "opening")
    assert isclose(hole.shape.diameter, project.drivers["woofer"].frame.cutout)
    pricks = [f for f in found["face"].features if f.name == "woofer" and f.kind == "screw"]
    assert len(pricks) == project.drivers["woofer"].frame.screws


def test_a_lining_is_as_open_as_the_chamfer_before_it():
    """By hand: 45° over 6 mm make the hole 12 mm wider, and the lining behind it leaves that air its way."""
    project, _, found = built(**GLUED, **{"cabinet.seats.woofer.relief": {"depth": 0.006, "angle": 45.0}})
    hole = next(f for f in found["front lining"].features if f.name == "woofer")
    assert isclose(hole.shape.diameter, project.drivers["woofer"].frame.cutout + 0.012)
    assert hole.face == "inside"


def test_the_second_board_has_the_holes_of_its_panel():
    project, result, found = built(**GLUED)
    own, panel = found["second"], found["front"]
    assert (own.width, own.height, own.thickness) == (panel.width, panel.height, 0.006)
    assert isclose(panel.thickness, 0.0183 + 0.006)
    holes = [{f.name: f.shape for f in part.features if f.kind == "opening"} for part in (own, panel)]
    assert holes[0] == holes[1] and len(holes[0]) == 2


@pytest.mark.parametrize("mitred", [False, True])
def test_plinth_boards(mitred):
    """Derived: a board on edge has the volume of its rectangle times its thickness t; mitres of 45° take
    t²/2 of its plan at each of two ends, t² times its height."""
    _, result, found = built(**{"cabinet.plinth": {"sheet": "ply", "height": 0.05, "mitred": mitred}})
    for name, solid in result.cabinet.plinth.items():
        part, t = found[name], solid.thickness
        off = t**2 * solid.width if mitred else 0.0
        assert isclose(left_of(part).area * t - off, solid.volume), name
        assert bool(part.bevels) == mitred and part.grain == "x"


@pytest.mark.parametrize("skin", [{}, {"cabinet.layers.face": {"panel": "front", "sheet": "thin"}}])
def test_a_grille(skin):
    """The four bars, where they stand before the front, are the frame, and the magnets of both meet."""
    _, result, found = built(**{"cabinet.grille": {"sheet": "thin", "bar": 0.02}}, **skin)
    frame = result.cabinet.grille
    bars, magnets = [], set()
    for name, bar in frame.bars.items():
        part, (x, y) = found[name], bar.middle
        assert isclose(left_of(part).area, bar.length * bar.width)
        bars.append(translate(left_of(part), x - part.width / 2, y - part.height / 2))
        magnets |= {
            (round(x - part.width / 2 + f.shape.x, 9), round(y - part.height / 2 + f.shape.y, 9))
            for f in part.features
            if f.kind == "hole"
        }
    whole = found["grille frame"]
    left, low = bars[0].union(unary_union(bars)).bounds[:2]
    assert translate(left_of(whole), left, low).symmetric_difference(unary_union(bars)).area < 1e-9
    assert magnets == {(round(x, 9), round(y, 9)) for x, y in frame.holes}
    # On the front, its own corner is the finished front's: nothing is glued to the sides here.
    boards = [found["face"]] if skin else []
    for board in (*boards, found["front"]):
        own = {(round(f.shape.x, 9), round(f.shape.y, 9)) for f in board.features if f.kind == "hole"}
        assert own == magnets, board.name
    deep = sum(
        next(f for f in board.features if f.kind == "hole").depth for board in (*boards, found["front"])
    )
    assert isclose(deep, frame.hole_depth[0])


@pytest.mark.parametrize("flange", [{}, TRUNCATED, SQUARE])
@pytest.mark.parametrize("wide", [None, 0.19])
def test_a_spacer_ring(flange, wide):
    """The flange, by shapely from circles and boxes, or the ring's own circle; less the cut-out. It weighs
    that."""
    project, result, found = built(**flange, **{
        "cabinet.layers.face": {"panel": "front", "sheet": "ply"},
        "cabinet.seats.woofer.ring": {"sheet": "thin", "diameter": wide},
    })  # fmt: skip
    frame, ring = project.drivers["woofer"].frame, found["woofer ring"]
    about = Point(0, 0).buffer((wide or frame.flange) / 2, quad_segs=512)
    if flange == TRUNCATED and not wide:
        about = about.intersection(box(-frame.across / 2, -1, frame.across / 2, 1))
    if flange == SQUARE and not wide:
        half = frame.across / 2 - frame.corner
        about = box(-half, -half, half, half).buffer(frame.corner, quad_segs=512)
    assert isclose(left_of(ring).area, about.area - pi / 4 * frame.cutout**2, rel_tol=3e-5)
    outline = shape_of(ring.features[0]).bounds
    assert outline == pytest.approx((0, 0, ring.width, ring.height), abs=2e-6)
    sheet = project.workshop.sheets["thin"]
    weighed = {name: mass for name, kind, mass, _ in result.cabinet.masses if kind == "ring"}
    left = left_of(ring).area * sheet.thickness * sheet.density
    assert weighed == {"woofer ring": pytest.approx(left, rel=3e-5)}


def test_the_board_of_the_crossover():
    project, _, found = built()
    made_of, board = boarded(project).layout, found["crossover board"]
    assert left_of(board).area == pytest.approx(made_of.width * made_of.height)
    places = {(f.name, f.shape.x, f.shape.y) for f in board.features if f.kind == "pad"}
    assert places == {(pad.name, pad.x, pad.y) for pad in made_of.pads} and len(places) > 4
    leads = [f for f in board.features if f.kind == "lead"]
    assert len(leads) == len(made_of.leads) and all(f.kind in PRICKED for f in leads)


@pytest.mark.parametrize("slope", [0.0, 8.0])
def test_every_cut_lies_on_its_layer(slope):
    """And its outline begins at the corner of what it is drawn on."""
    *_, found = built(**GLUED, **TRUNCATED, **{"cabinet.slope": slope})
    for name in ("face", "cheek", "front lining", "back lining", "side lining", "second"):
        blank = shape_of(found[name].features[0])
        assert blank.bounds == pytest.approx((0, 0, found[name].width, found[name].height), abs=1e-9)
        for feature in found[name].features:
            assert blank.buffer(1e-6).covers(shape_of(feature)), (name, feature)


def test_what_must_be_a_mirror_image_in_the_right_cabinet():
    """By hand: a dome off the middle moves its hole in front and skin; a cheek on one side alone changes
    sides, one on both sides does not. A plain shelf is turned over, one with a driver in it is not."""
    pair = {"cabinet.mirrored": True}
    aside = {"cabinet.seats.dome.x": 0.09}
    cheeks = {f"cabinet.layers.{side} cheek": {"panel": side, "sheet": "thin"} for side in ("left", "right")}

    def hands(**changes):
        project, result, found = built(**changes)
        return handed(project, result, found)

    assert hands(**GLUED) == hands(**GLUED, **aside) == set()
    one_side = {"cheek", "side lining"}
    assert hands(**GLUED, **pair) == one_side
    assert hands(**GLUED, **pair, **aside) == {"front", "face", "second", "front lining"} | one_side
    assert hands(**cheeks, **pair) == set()
    wall = {
        "alternatives.A": {"driver": "woofer", "box": BAND_PASS}, "chosen": "A",
        "cabinet.braces.shelf.window": None, "cabinet.braces.shelf.at": 0.15,
        "cabinet.seats.woofer.wall": "shelf", "cabinet.seats.woofer.y": 0.14,
    }  # fmt: skip
    assert hands(**pair, **wall) == set()
    assert hands(**pair, **wall, **{"cabinet.seats.woofer.x": 0.105}) == {"shelf"}
