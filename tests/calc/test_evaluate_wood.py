"""What the wood of a whole cabinet does: panels in order, the year, standing, lifting."""

import json
from pathlib import Path

import pytest
from numpy.testing import assert_allclose

from calc.cabinet.materials import board_called
from calc.cabinet.panel_modes import panel_report
from calc.cabinet.wood_movement import MOVEMENT
from calc.evaluate import evaluate
from calc.evaluate_wood import wood
from calc.project import Climate
from server.beginnings import demo
from server.documents import amend, read_project

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]


def solved(**edits):
    """The reading-room pair with edits, and what follows."""
    project = read_project(amend(demo("reading_room"), edits))
    result = evaluate(project)
    return project, result, wood(project, result)


def test_panels_come_weakest_first_and_are_those_of_the_report():
    project, result, found = solved()
    cabinet = result.cabinet
    birch = board_called("birch ply", project.workshop.sheets["ply"].density)
    report = panel_report(cabinet.carcass, cabinet.braces, dict.fromkeys(cabinet.carcass.panels, birch))
    assert sorted(found.panels, key=lambda each: each.name) == sorted(report, key=lambda each: each.name)
    notes = [each.weakest.supported for each in found.panels]
    assert notes == sorted(notes) and found.weakest is found.panels[0]
    assert found.kind == "shelf" and found.placings


def test_a_sheet_of_unknown_stuff_comes_last_and_is_not_reckoned():
    edits = {"workshop.sheets.other": {"name": "From the attic", "thickness": 0.018, "density": 600.0}}
    _, _, found = solved(**edits, **{"cabinet.panels.left": "other"})
    assert found.panels[-1].name == "left" and found.panels[-1].weakest is None
    assert found.weakest.name == "right"
    _, _, none = solved(**{"workshop.sheets.ply.name": "From the attic"})
    assert none.weakest is None and (none.kind, none.placings, none.sheets) == (None, (), ())


def test_a_sheet_hardly_moves():
    """MDF, at most 0.33 % over thirty points of humidity: the 400.6 mm of the front by 1.32 mm."""
    _, result, found = solved(**{"workshop.sheets.ply.name": "MDF"})
    (sheet,) = found.sheets
    assert sheet.board == "MDF" and found.solid == ()
    longest = max(max(each.length, each.width) for each in result.cabinet.carcass.panels.values())
    assert sheet.length == longest
    assert_allclose(sheet.change, 0.0033 * longest * (Climate().damp - Climate().dry) / 0.30)


def test_a_front_of_solid_wood_moves_and_wants_room_for_its_drivers():
    """By the printed table at 21 °C: 35 % is 6.9, 50 % 9.2, 65 % 12.0 percent; walnut flatsawn 0.00274."""
    edits = {"workshop.sheets.walnut": {"name": "Black walnut", "thickness": 0.022, "density": 610.0}}
    _, result, found = solved(**edits, **{"cabinet.panels.front": "walnut"})
    (front,) = found.solid
    width = result.cabinet.carcass.panels["front"].width
    assert (front.name, front.species, front.year.made) == ("front", "Walnut, black", width)
    C = MOVEMENT["Walnut, black"].CT
    assert_allclose(front.year.narrowest - width, width * C * (6.9 - 9.2), rtol=0.05)
    assert_allclose(front.year.widest - width, width * C * (12.0 - 9.2), rtol=0.05)
    # held along its middle: half of the swing at each edge, the hole, and half a millimetre at each end
    assert_allclose(front.slot.length, front.year.swing / 2 + 0.0045 + 2 * 0.0005, rtol=1e-6)
    assert_allclose(front.gap, (front.year.widest - width) / 2 + 0.0005, rtol=1e-6)
    assert front.seats.keys() == {"woofer", "dome"}
    for room in front.seats.values():
        assert room.tightest < room.diameter < room.widest
    assert [each.board for each in found.sheets] == ["birch plywood"]


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer"])
def test_both_demos_stand_and_are_known(name):
    project = read_project(demo(name))
    found = wood(project, evaluate(project))
    assert found.weakest and found.sheets


def test_a_drier_house_moves_it_more():
    oak = {"workshop.sheets.oak": {"name": "white oak", "thickness": 0.022, "density": 750.0}}
    swings = [
        solved(**oak, **{"cabinet.panels.front": "oak", "climate.dry": dry})[2].solid[0].year.swing
        for dry in (0.2, 0.35, 0.5)
    ]
    assert swings[0] > swings[1] > swings[2]
