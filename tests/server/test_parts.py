"""What hangs on the cabinet and lies in it as bodies: grille, spacer rings, gasket, seats under skins."""

from types import SimpleNamespace

import pytest

from calc.evaluate import evaluate
from server.beginnings import demo
from server.documents import amend, read_project
from server.parts import parts

THICK = {**demo("reading_room")["workshop"]["sheets"]["ply"], "thickness": 0.008}
SKIN = {"workshop.sheets.thick": THICK, "cabinet.layers.skin": {"panel": "front", "sheet": "thick"}}


def built(**edits):
    project = read_project(amend(demo("reading_room"), edits))
    bench = SimpleNamespace(project=project, result=evaluate(project))
    return bench, {part.name: part for part in parts(bench)}


def span(part, axis):
    corners = [point[axis] for face in part.shape.faces for point in (face.low, face.high)]
    return min(corners), max(corners)


def test_the_grille_stands_before_the_finished_front():
    grille = {"cabinet.grille": {"sheet": "ply", "holds": "magnets", "diameter": 0.01}}
    bench, found = built(**grille, **SKIN)
    frame, (width, height, _) = bench.result.cabinet.grille, bench.result.cabinet.carcass.outer
    assert all(found[name].letter for name in frame.bars), "they are in the cut list"
    for name in frame.bars:
        assert span(found[name], 1) == pytest.approx((-0.008 - 0.0183, -0.008))
    left, right = span(found["grille left"], 0)[0], span(found["grille right"], 0)[1]
    assert (left, right) == pytest.approx(((width - frame.width) / 2, (width + frame.width) / 2))
    low, high = span(found["grille bottom"], 2)[0], span(found["grille top"], 2)[1]
    assert (low, high) == pytest.approx(((height - frame.height) / 2, (height + frame.height) / 2))


def test_a_flange_under_a_thick_skin_lies_as_deep_as_it_stands():
    """Derived: the skin of 8 mm is cut out to the flange, whose back with its gasket lies on the bare front.
    Flush without the skin; with a ring of 8 mm again, and the front is routed for what that is over.
    """
    bench, bare = built()
    frame = bench.project.drivers["woofer"].frame
    thick = frame.flange_thickness + frame.gasket
    assert thick < 0.008, "else it is let into the front"
    depth = span(bare["woofer"], 1)[1] - (-bench.project.cabinet.finish)
    _, sunk = built(**SKIN)
    assert span(sunk["woofer"], 1)[1] == pytest.approx(depth - thick)
    _, lifted = built(**SKIN, **{"cabinet.seats.woofer.ring": {"sheet": "thick"}})
    assert span(lifted["woofer"], 1)[1] == pytest.approx(depth - 0.008)
    assert "woofer ring" not in sunk


def test_a_spacer_ring_lies_under_its_flange():
    bench, found = built(**SKIN, **{"cabinet.seats.woofer.ring": {"sheet": "thick"}})
    frame, ring = bench.project.drivers["woofer"].frame, found["woofer ring"]
    floor = frame.flange_thickness + frame.gasket - bench.project.cabinet.finish
    assert span(ring, 1) == pytest.approx((floor - 0.008, floor), abs=1e-9)
    opening = next(each for each in bench.result.cabinet.openings if each.name == "woofer")
    assert ring.sizes == (frame.flange, None, 0.008), "as the template has it, without the recess's play"
    area = 3.14159265 / 4 * (frame.flange**2 - opening.width**2)
    assert ring.mass == pytest.approx(area * 0.008 * THICK["density"], rel=1e-6)
    assert ring.mass in [mass for name, _, mass, _ in bench.result.cabinet.masses if name == "woofer ring"]


def test_the_gasket_closes_the_bed_of_the_lid():
    bench, found = built(**{"cabinet.lid": {"panel": "front"}})
    carcass = bench.result.cabinet.carcass
    t = carcass.panels["front"].thickness
    assert span(found["gasket"], 1) == pytest.approx((t, t + carcass.gasket.thickness))
    inner = {(round(p[0], 6), round(p[2], 6)) for line in found["gasket"].shape.strokes for p in line}
    left, floor = carcass.panels["left"].thickness, carcass.panels["bottom"].thickness
    assert (round(left, 6), round(floor, 6)) in inner, "it is open where the air is"
    assert "gasket" not in built()[1]
