"""What the parts weigh with their holes, worked by hand on the demo pair."""

from math import pi

import pytest
from numpy.testing import assert_allclose

from calc.cabinet.bored import Bore, area, bores, lost
from calc.cabinet.flat_shapes import Shape, circle
from calc.cabinet.openings import Opening
from calc.cabinet.outlines import square, truncated
from calc.evaluate import evaluate
from server.beginnings import demo
from server.documents import FieldErrors, amend, read_project


def solved(**edits):
    return evaluate(read_project(amend(demo("reading_room"), edits)))


def masses(result):
    return {(kind, name): mass for name, kind, mass, _ in result.cabinet.masses}


def test_areas_of_shapes():
    """Derived: a circle, a rounded rectangle, a square flange, a circle with two flats."""
    assert area(circle(0.1, 0.2, 0.05)) == pytest.approx(pi / 4 * 0.05**2)
    rounded = Shape(0.0, 0.0, 0.03, 0.01, 0.005)
    assert area(rounded) == pytest.approx(0.07 * 0.03 - (4 - pi) * 0.005**2)
    assert area(square(0.1, 0.0)) == pytest.approx(0.01)
    # Less than the circle by two segments: r² (t - sin t) / 2 each, cos(t / 2) = across / diameter.
    segment = 0.05**2 * (2 * 0.6435011 - 0.96) / 2
    assert area(truncated(0.1, 0.08)) == pytest.approx(pi * 0.05**2 - 2 * segment, rel=2e-3)


def test_a_stepped_hole_takes_of_each_board_what_lies_in_it():
    """Derived: a recess of 200 mm, 5 mm deep, over a hole of 150 mm, through a skin of 2 mm and 18 mm."""
    opening = Opening("w", "seat", "front", 0.1, 0.2, 0.15, 0.15, True, 0.2)
    wide, hole = pi / 4 * 0.2**2, pi / 4 * 0.15**2
    bored = bores(opening, 0.005)
    assert bored == (Bore(wide, float("-inf"), 0.005), Bore(hole, 0.005, float("inf")))
    volume, depth = lost(bored, 0.0, 0.018)
    assert volume == pytest.approx(wide * 0.005 + hole * 0.013)
    assert depth == pytest.approx((wide * 0.005 * 0.0025 + hole * 0.013 * 0.0115) / volume)
    assert lost(bored, -0.002, 0.0) == pytest.approx((wide * 0.002, -0.001))
    assert lost(bores(Opening("w", "seat", "front", 0.1, 0.2, None, None)), 0.0, 0.018)[0] == 0.0


def test_panels_weigh_less_their_holes():
    """The demo's front by hand: two drivers sunk by flange and gasket; its back: the port and the cup."""
    project = read_project(demo("reading_room"))
    result = evaluate(project)
    found, carcass = masses(result), result.cabinet.carcass
    for panel in ("front", "back"):
        solid, taken = carcass.panels[panel], 0.0
        for each in result.cabinet.openings:
            if each.panel != panel:
                continue
            hole = pi / 4 * each.width**2 if each.round else each.width * each.height
            sunk = 0.0
            if each.kind == "seat":
                frame = project.drivers[project.cabinet.seats[each.name].driver].frame
                sunk = frame.flange_thickness + frame.gasket - project.cabinet.finish
                taken += sunk * pi / 4 * each.outline**2
            taken += hole * (solid.thickness - sunk)
        assert taken > 2e-5
        assert_allclose(found["panel", panel], solid.mass - taken * solid.density, rtol=1e-12)
    assert found["panel", "left"] == carcass.panels["left"].mass
    assert_allclose(result.cabinet.mass, sum(found.values()), rtol=1e-12)


def test_a_skin_is_cut_out_to_the_flanges():
    """A skin of 2 mm over the front loses both flanges' areas, and what the panel's recess is shallower by
    stays in it."""
    sheets = demo("reading_room")["workshop"]["sheets"] | {}
    thin = {**sheets["ply"], "thickness": 0.002}
    edits = {"workshop.sheets.veneer": thin, "cabinet.layers.skin": {"panel": "front", "sheet": "veneer"}}
    bare, result = solved(), solved(**edits)
    flanges = sum(pi / 4 * e.outline**2 for e in result.cabinet.openings if e.kind == "seat")
    skin = result.cabinet.carcass.layers["skin"]
    assert_allclose(masses(result)["layer", "skin"], skin.mass - flanges * 0.002 * skin.density, rtol=1e-12)
    holes = sum(pi / 4 * e.width**2 for e in result.cabinet.openings if e.kind == "seat")
    density = result.cabinet.carcass.panels["front"].density
    more = masses(result)["panel", "front"] - masses(bare)["panel", "front"]
    assert_allclose(more, (flanges - holes) * 0.002 * density, rtol=1e-9)


def test_a_grille_weighs_before_the_front():
    """Four bars of the frame; magnets of 10 mm in both, by the density of neodymium magnets."""
    edits = {"cabinet.grille": {"sheet": "ply", "holds": "magnets", "diameter": 0.01}}
    bare, result = solved(), solved(**edits)
    found, parts = masses(result), result.cabinet.grille
    bars = sum(found["grille", name] for name in parts.bars)
    assert_allclose(bars, sum(b.length * b.width * b.thickness * b.density for b in parts.bars.values()))
    magnets = len(parts.holes) * pi / 4 * 0.01**2 * sum(parts.hole_depth) * 7500
    assert_allclose(found["grille", "magnets"], magnets, rtol=1e-12)
    assert_allclose(result.cabinet.mass, bare.cabinet.mass + bars + magnets, rtol=1e-12)
    assert result.cabinet.centre[1] < bare.cabinet.centre[1]
    places = {name: place for name, _, _, place in result.cabinet.masses}
    width, height, _ = result.cabinet.carcass.outer
    assert_allclose(places["grille left"][0] + places["grille right"][0], width, rtol=1e-12)
    assert_allclose(places["grille top"][2] + places["grille bottom"][2], height, rtol=1e-12)
    assert places["grille left"][1] == pytest.approx(-parts.bars["grille left"].thickness / 2)
    assert ("grille", "magnets") not in masses(
        solved(**{"cabinet.grille": {"sheet": "ply", "holds": "pegs", "diameter": 0.01}})
    )


@pytest.mark.parametrize("name", ["front", "shelf"])
def test_a_layer_is_not_called_like_a_panel_or_a_brace(name):
    with pytest.raises(FieldErrors) as refusal:
        solved(**{f"cabinet.layers.{name}": {"panel": "front", "sheet": "ply"}})
    assert f"cabinet.layers.{name}" in refusal.value.by_field
