"""The drill list of whole projects: what is drilled where, how deep, and whether it holds."""

from math import hypot, pi, sqrt

import pytest
from numpy.testing import assert_allclose

from calc.evaluate import evaluate
from calc.evaluate_drilling import BEYOND, blind, screws
from calc.shop.screws import KEPT
from server.beginnings import demo
from server.documents import amend, read_project

MDF = {"workshop.sheets.ply.name": "MDF 19", "workshop.sheets.ply.density": 740.0}
PLATE = {"cabinet.holes.terminals.rim": 0.012, "cabinet.holes.terminals.screws": 4}
LID = {"cabinet.lid": {"panel": "back", "screws": 10}}
ROD = {
    "kind": "dowel", "at": 0.3, "also_at": 0.1, "width": 0.02, "sheet": "ply", "depth": 0.006,
}  # fmt: skip


def drilled(edits=(), name="reading_room"):
    project = read_project(amend(demo(name), dict(edits)))
    result = evaluate(project)
    return project, result, {(line.kind, line.name): line for line in screws(project, result)}


def test_a_driver_s_pilots_lie_on_its_circle_and_stop_in_the_wood():
    """Birch ply of 18.3 mm, 5.5 of recess: 12.8 stay, of which 9.8 are drilled. Derived."""
    project, result, lines = drilled()
    woofer = lines["driver", "woofer"]
    frame = project.drivers["woofer"].frame
    seat = next(each for each in result.openings if each.name == "woofer")
    assert woofer.count == frame.screws == len(woofer.places) and woofer.sunk
    for place in woofer.places:
        assert_allclose(hypot(place.left - seat.x, place.low - seat.y), frame.screw_circle / 2, rtol=1e-9)
    assert woofer.stuff == "dense" and woofer.length is None
    assert_allclose(woofer.depth.hole, 0.0183 - 0.0055 - 0.003, atol=1e-9)


def test_on_the_face_the_pilots_are_deeper_and_a_chamfer_makes_them_shallower():
    _, _, lines = drilled({"cabinet.seats.woofer.flush": False})
    assert_allclose(lines["driver", "woofer"].depth.hole, 0.0183 - KEPT, atol=1e-9)
    _, result, lines = drilled({"cabinet.seats.woofer.relief": {"depth": 0.006, "angle": 45.0}})
    under = result.seats["woofer"].chamfer.under_screws
    assert under < result.seats["woofer"].below
    assert_allclose(lines["driver", "woofer"].depth.hole, under - KEPT, atol=1e-9)


@pytest.mark.parametrize(("length", "over"), [(0.013, False), (0.0153, False), (0.016, True)])
def test_a_screw_that_is_too_long_is_told_and_its_hole_stays_stopped(length, over):
    """5.5 of flange and gasket, 9.8 of wood to be used: 15.3 mm are the most. Derived."""
    _, _, lines = drilled({"workshop.screw_length": length})
    depth = lines["driver", "woofer"].depth
    assert bool(depth.over) == over
    assert_allclose(depth.hole, min(length - 0.0055, 0.0098), atol=1e-9)


def test_what_the_screws_of_a_woofer_hold_by_hand():
    """1.9 kg is 18.63 N on 6 screws; Bl^2 = 2 pi fs Mms Re / Qes moves it, see below.

    Birch ply of 680 kg/m³: G = 0.6071. A screw of 3.5 mm with 9.8 mm in it tears out at
    108.25 x 0.6071^2 x 3.5 x 9.8 = 1368.6 N; 2850/15700 of that is allowed: 248.4 N. Derived.
    """
    project, result, lines = drilled()
    hold = lines["driver", "woofer"].hold
    driver = project.drivers["woofer"]
    assert_allclose(hold.weight, 18.633, rtol=1e-4)
    assert_allclose(hold.allowed, 248.4, rtol=1e-3)
    Cms = driver.Vas / (1.2041 * 343.2**2 * driver.Sd**2)
    Mms = 1 / ((2 * pi * driver.fs) ** 2 * Cms)
    Bl = sqrt(2 * pi * driver.fs * Mms * driver.Re / driver.Qes)
    assert_allclose(hold.drive, Bl * sqrt(2 * driver.Pe / driver.Re), rtol=0.01)
    assert_allclose(hold.each, (hold.weight + hold.drive) / 6, rtol=1e-9)
    assert_allclose(hold.margin, hold.allowed / hold.each, rtol=1e-9)


def test_no_number_is_made_up_for_mdf():
    _, _, lines = drilled(MDF | LID)
    woofer, lid = lines["driver", "woofer"], lines["lid", "back"]
    assert woofer.stuff == "MDF face" and woofer.hold.allowed is None and woofer.hold.margin is None
    assert lid.stuff == "MDF edge" and lid.hold is None


@pytest.mark.parametrize(
    ("name", "density", "stuff"),
    [("Spruce", 450.0, "soft"), ("Maple", 705.0, "dense"), ("some board", 700.0, "dense"),
     ("Fir ply", 525.0, "soft"), ("particleboard 19", 670.0, "MDF face")],
)  # fmt: skip
def test_wood_is_drilled_by_its_weight_and_fibres_by_their_name(name, density, stuff):
    edits = {"workshop.sheets.ply.name": name, "workshop.sheets.ply.density": density}
    _, _, lines = drilled(edits)
    woofer = lines["driver", "woofer"]
    assert woofer.stuff == stuff
    assert (woofer.hold.allowed is None) == (name in ("some board", "particleboard 19"))


def test_a_lid_s_screws_go_through_it_into_the_edges():
    """2.5 x 18.3 = 45.75, sold as 50; 18.3 and 3 of gasket pass first; 28.7 in, drilled 2 deeper. Derived."""
    project, result, lines = drilled(LID)
    lid = lines["lid", "back"]
    assert lid.count == 10 and lid.panel == "edges of left, right, top, bottom"
    assert_allclose([lid.length, lid.lifted], [0.05, 0.0213], atol=1e-9)
    assert_allclose([lid.depth.thread, lid.depth.hole], [0.0287, 0.0287 + BEYOND], atol=1e-9)
    assert_allclose(lid.apart * 10, result.cabinet.carcass.gasket.around, rtol=1e-12)


def test_a_lid_s_screws_are_shared_out_among_the_sheets_that_it_lies_on():
    """Sides 400.6 high, top and bottom 216.6 wide: 801.2/1234.4 of 12 screws, 7.8, go into the sides."""
    board = {"name": "MDF 19", "thickness": 0.0183, "density": 740.0}
    mixed = {"workshop.sheets.mdf": board, "cabinet.panels.left": "mdf", "cabinet.panels.right": "mdf"}
    mixed["cabinet.lid"] = {"panel": "back", "screws": 12}
    project = read_project(amend(demo("reading_room"), mixed))
    found = [line for line in screws(project, evaluate(project)) if line.kind == "lid"]
    told = [(line.panel, line.stuff, line.count) for line in found]
    assert told == [("edges of left, right", "MDF edge", 8), ("edges of top, bottom", "dense", 4)]


def test_a_plate_and_feet_are_drilled_where_they_are_drawn():
    _, _, lines = drilled(PLATE | {"cabinet.feet": {"count": 4, "inset": 0.03}})
    plate, feet = lines["plate", "terminals"], lines["feet", "feet"]
    assert plate.count == len(plate.places) == 4 and plate.places[0].face == "outside"
    one, _, other, _ = plate.places
    assert_allclose(hypot(one.left - other.left, one.low - other.low), 0.05 + 0.012, rtol=1e-9)
    corners = {(round(min(p.left, p.right), 6), round(min(p.low, p.high), 6)) for p in feet.places}
    assert corners == {(0.03, 0.03)} and len({(p.left, p.low) for p in feet.places}) == 4
    assert_allclose([plate.depth.hole, feet.depth.hole], 0.0183 - KEPT, atol=1e-9)
    _, _, lines = drilled({"cabinet.feet": {"count": 3}, "cabinet.plinth": {"sheet": "ply", "height": 0.05}})
    assert lines["feet", "feet"].panel == "edge of the plinth" and lines["feet", "feet"].count == 3


def test_blind_holes_of_grille_and_dowel_end_in_the_wood():
    project, result, _ = drilled({"cabinet.grille": {"sheet": "ply"}, "cabinet.braces.rod": ROD})
    found = blind(project, result)
    assert {(each.name, each.panel) for each in found} == {
        ("magnets", "front"), ("magnets", "grille’s frame"), ("rod", "left"), ("rod", "right"),
    }  # fmt: skip
    for each in found:
        assert 0 < each.depth <= 0.0183 - KEPT
        assert each.name != "rod" or (each.count == 1 and abs(each.diameter - 0.02) < 1e-9)
    left, right = (each for each in found if each.name == "rod")
    assert_allclose(left.places[0][0] + right.places[0][0], result.cabinet.carcass.panels["left"].width,
                    atol=1e-6)  # fmt: skip


def test_without_screws_there_is_no_list():
    project, result, lines = drilled(name="reading_room", edits={
        "drivers.woofer.frame.screws": 0, "drivers.dome.frame.screws": 0})  # fmt: skip
    assert not lines and not blind(project, result)


def test_radiators_have_their_own_pilots():
    frame = {"flange": 0.166, "flange_thickness": 0.004, "cutout": 0.146, "screws": 6, "screw_circle": 0.156,
             "mass": 0.4}  # fmt: skip
    radiator = {"count": 1, "Sp": 0.0133, "fp": 30.0, "Qmp": 5.0, "Mmp": 0.018, "Xmax": 0.008, "frame": frame,
                "y": 0.25}  # fmt: skip
    box = {"kind": "passive_radiator", "Vb": 0.014, "fb": 44.0, "radiator": radiator}
    _, _, lines = drilled(
        {"alternatives.A": {"driver": "woofer", "box": box}, "chosen": "A", "cabinet.holes": {}}
    )
    (line,) = (line for (kind, _), line in lines.items() if kind == "radiator")
    assert line.count == len(line.places) == 6 and line.panel == "back" and line.hold.drive is None
