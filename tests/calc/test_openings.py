"""Openings: what stands in the middle stays there, ports find their places, and what does not fit is told."""

import json
from math import hypot
from pathlib import Path

import pytest

from calc.errors import InputError
from calc.evaluate import evaluate
from server.beginnings import demo
from server.documents import amend, read_project

PORT = "alternatives.B.box.port"


def result_of(document, **edits):
    return evaluate(read_project(amend(document, edits)))


def pair(**edits):
    """The reading-room pair: outside 216.6 x 400.6 mm, walls of 18.3 mm, its port 62 mm over its wall."""
    return result_of(demo("reading_room"), **edits)


def by_name(result):
    return {opening.name: opening for opening in result.openings}


# --- places


@pytest.mark.parametrize("width", [0.17, 0.18, 0.25])
def test_what_stands_in_the_middle_stays_there_whatever_becomes_of_the_cabinet(width):
    result = pair(**{"cabinet.size.width": width})
    assert set(by_name(result)) == {"woofer", "dome", "port", "terminals"}
    for opening in result.openings:
        assert opening.x == pytest.approx((width + 2 * 0.0183) / 2)
        assert opening.x == pytest.approx(result.cabinet.carcass.outer[0] / 2)


def test_what_was_placed_stays_in_its_place():
    edits = {"cabinet.seats.dome.x": 0.07, "cabinet.holes.terminals.x": 0.1, f"{PORT}.x": 0.09}
    for width in (0.18, 0.25):
        found = by_name(pair(**edits, **{"cabinet.size.width": width}))
        assert [found[name].x for name in ("dome", "terminals", "port")] == [0.07, 0.1, 0.09]


def test_a_document_that_says_where_its_openings_are_keeps_them():
    """One that was written before a middle could be left out."""
    data = json.loads((Path(__file__).parents[1] / "data" / "project_format_1.json").read_text())
    found = by_name(evaluate(read_project(data)))
    for kind in ("seats", "holes"):
        for name, each in data["cabinet"][kind].items():
            assert (found[name].x, found[name].y) == (each["x"], each["y"])


def test_the_middle_of_a_back_between_unequal_sides_is_its_own():
    """The back lies 9 mm into sides of 18.3 and 30 mm: from 9.3 to 18.3 + 180 + 9, its middle at 108.3."""
    thick = {"name": "Thick", "thickness": 0.03, "density": 680.0}
    edits = {"workshop.sheets.thick": thick, "cabinet.panels.right": "thick"}
    found = by_name(pair(**edits))
    assert found["terminals"].x == pytest.approx(0.1083)
    assert found["woofer"].x == pytest.approx((0.0183 + 0.18 + 0.03) / 2), "the front covers all"


def test_a_tube_goes_through_its_panel_with_its_wall_and_a_slot_without():
    port = by_name(pair())["port"]
    assert (port.width, port.height, port.round) == (pytest.approx(0.062), pytest.approx(0.062), True)
    slot = {"kind": "slot", "width": 0.1, "height": 0.03, "along_wall": False}
    port = by_name(pair(**{f"{PORT}.shape": slot, f"{PORT}.wall": 0.012}))["port"]
    assert (port.width, port.height, port.round) == (0.1, 0.03, False)


def test_a_recess_is_wider_than_its_flange_and_a_flange_on_the_face_is_not():
    assert by_name(pair())["woofer"].outline == pytest.approx(0.1668)
    assert by_name(pair(**{"cabinet.seats.woofer.flush": False}))["woofer"].outline == 0.166
    bare = by_name(pair(**{"drivers.woofer.frame.flange": None, "drivers.woofer.frame.cutout": None}))
    assert (bare["woofer"].outline, bare["woofer"].width) == (None, None)


def test_equal_ports_stand_about_their_middle():
    edits = {f"{PORT}.count": 2, f"{PORT}.shape.diameter": 0.04, "alternatives.B.box.fb": 60.0}
    first, second = (by_name(pair(**edits))[name] for name in ("port 1", "port 2"))
    assert (first.x + second.x) / 2 == pytest.approx(0.1083) and first.y == second.y == 0.3
    assert second.x - first.x > 0.046


def test_ports_that_find_no_room_beside_each_other_stand_in_rows():
    edits = {f"{PORT}.count": 3, f"{PORT}.y": 0.2, "alternatives.B.box.fb": 60.0}
    ports = [each for each in pair(**edits).openings if each.kind == "port"]
    assert len({each.y for each in ports}) == 2
    assert (ports[0].y + ports[-1].y) / 2 == pytest.approx(0.2)
    assert all(hypot(a.x - b.x, a.y - b.y) > 0.062 for a in ports for b in ports if a is not b)


def test_a_port_without_a_height_keeps_clear_of_drivers_shelves_and_terminals():
    """Between magnets of 100 and 72 mm, a shelf at 76 to 94 mm and terminals of 50 mm at 160 mm."""
    for panel in ("front", "back"):
        result = pair(**{f"{PORT}.y": None, f"{PORT}.panel": panel, f"{PORT}.shape.diameter": 0.02})
        port = by_name(result)["port"]
        half = port.height / 2
        shelf = result.cabinet.braces["shelf"]
        taken = [(shelf.low[2], shelf.high[2])]
        for name, magnet in (("woofer", 0.1), ("dome", 0.072)):
            seat = by_name(result)[name]
            reach = (seat.outline - 0.0008 if panel == "front" else magnet) / 2
            taken.append((seat.y - reach, seat.y + reach))
        assert 0.0183 + half <= port.y <= 0.4006 - 0.0183 - half
        assert all(port.y + half <= low or port.y - half >= high for low, high in taken), panel


def test_a_slot_along_a_wall_lies_on_the_floor():
    document = amend(demo("hall_subwoofer"), {f"{PORT}.y": None})
    port = by_name(evaluate(read_project(document)))["port"]
    assert port.y - port.height / 2 == pytest.approx(0.0178)


def test_the_weight_hangs_where_the_driver_hangs():
    """The woofer's 1.9 kg move 30 mm to the left; the whole balances so much further left."""
    before, after = pair(), pair(**{"cabinet.seats.woofer.x": 0.0783})
    moved = before.cabinet.centre[0] - after.cabinet.centre[0]
    assert moved == pytest.approx(0.03 * 1.9 / before.cabinet.mass)
    assert before.cabinet.centre[0] == pytest.approx(0.1083)


REFUSED = {
    "cabinet.seats.woofer.x": (0.22, "must lie on the front"),
    "cabinet.seats.dome.y": (0.41, "must lie on the front"),
    "cabinet.holes.terminals.x": (0.005, "must lie on the back"),
    "cabinet.holes.terminals.y": (0.5, "must lie on the back"),
    f"{PORT}.x": (-0.1, "must lie on the back"),
    f"{PORT}.y": (0.4, "must lie on the back"),
}


@pytest.mark.parametrize("field", REFUSED)
def test_a_centre_outside_its_panel_is_refused_at_its_field(field):
    value, words = REFUSED[field]
    with pytest.raises(InputError) as refusal:
        pair(**{field: value})
    assert (refusal.value.field, refusal.value.problem) == (field, words)
