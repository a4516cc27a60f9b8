"""Braces: what stiffens the panels, each brace with its drawing, and where they do most."""

import pytest
from reading import MADE, check, check_looking, check_refusal, said

from calc.evaluate_wood import wood
from server.documents import read_project
from server.pages import QUESTIONS


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("braces")
    check(page)
    assert page.heading == QUESTIONS["braces"]


REFUSALS = [
    ("cabinet.braces.shelf.at", "500", "must"),
    ("cabinet.braces.shelf.window.width", "400", "must"),
    ("cabinet.braces.shelf.window.radius", "90", "must be at most half the window's smaller side"),
    ("cabinet.braces.shelf.sheet", "oak", "must be one of this project's sheets"),
    ("cabinet.braces.shelf.depth_far", "18.3", "must be less than the thickness of the right panel"),
    ("cabinet.braces.shelf.window.count", "7", "must be a whole number"),
]


@pytest.mark.parametrize(("path", "text", "says"), REFUSALS)
def test_refusals_stand_at_their_fields(desk, path, text, says):
    check_refusal(desk(), "braces", path, text, says, ("cabinet.braces.shelf.depth", "5", 0.005))


def test_one_bad_value_is_one_refusal(desk):
    """A window of no width also contradicts its corners' radius; that follows, and is not said."""
    page = desk().refused("braces", **{"cabinet.braces.shelf.window.width": "0"})
    assert "1 value needs another look" in page.alert
    assert [name for name, field in page.fields.items() if field.wrong] == [
        "cabinet.braces.shelf.window.width"
    ]


@pytest.mark.parametrize("kind", ["shelf", "rib", "frame", "bar", "dowel"])
def test_a_brace_more_and_less(desk, kind):
    sitting = desk()
    before = sitting.result.cabinet
    page = sitting.type("braces", f"add-brace:{kind}")
    check(page)
    (name,) = set(sitting.document["cabinet"]["braces"]) - {"shelf"}
    assert sitting.document["cabinet"]["braces"][name]["kind"] == kind
    assert sitting.result.cabinet.net < before.net and "less" in page.sill["Net volume"][1]
    assert f"cabinet.braces.{name}.at" in page.fields
    page = sitting.type("braces", f"drop-brace:{name}")
    assert sitting.result.cabinet.net == before.net and list(sitting.document["cabinet"]["braces"]) == [
        "shelf"
    ]


def test_a_window_closed_and_sawn(desk):
    sitting = desk()
    full = sitting.result.cabinet.braces["shelf"].displaced
    page = sitting.type("braces", "window:shelf")
    assert sitting.document["cabinet"]["braces"]["shelf"]["window"] is None
    assert sitting.result.cabinet.braces["shelf"].displaced == pytest.approx(0.0183 * 0.18 * 0.25)
    assert full < 0.6 * 0.0183 * 0.18 * 0.25
    assert "cabinet.braces.shelf.window.width" not in page.fields
    page = sitting.type("braces", "window:shelf")
    assert sitting.document["cabinet"]["braces"]["shelf"]["window"]["width"] > 0.05
    assert "cabinet.braces.shelf.window.width" in page.fields
    assert "not there any more" in sitting.refused("braces", "window:ghost").text


def test_it_says_how_stiff_the_panels_are_weakest_first(desk):
    sitting = desk()
    page, found = sitting.look("braces"), wood(read_project(sitting.document), sitting.result)
    rows = page.rows(label="How stiff the panels are")[1:]
    assert [row[0].split(". ")[-1].lower() for row in rows] == [each.name for each in found.panels]
    for row, each in zip(rows, found.panels, strict=True):
        low, high = (f"{hertz:.0f}" for hertz in (each.weakest.supported, each.weakest.clamped))
        assert row[1] == "birch plywood" and row[4] == f"{low} to {high}"
        assert row[5] == f"{each.bare[0]:.0f} to {each.bare[1]:.0f}"
    assert (
        rows[0][0] == "1. Left" and rows[0][2] == "between shelf and top" and rows[-1][2] == "the whole of it"
    )
    assert "lies in both sides, between shelf and top" in page.lead and "real edges lie between" in page.lead


def test_a_shelf_stiffens_what_it_meets(desk):
    sitting = desk()
    before = sitting.look("braces").rows(label="How stiff the panels are")
    page = sitting.type("braces", "drop-brace:shelf")
    after = page.rows(label="How stiff the panels are")
    notes = [float(rows[1][4].split()[0]) for rows in (before, after)]
    assert notes[0] > notes[1] and after[1][4] == after[1][5], "without braces there is nothing between"


def test_braces_evenly_and_unevenly_placed(desk):
    sitting = desk()
    page, found = sitting.look("braces"), wood(read_project(sitting.document), sitting.result)
    rows = page.rows(label="Braces evenly and unevenly placed")[1:]
    assert len(rows) == 2 * len(found.placings) and [row[1] for row in rows[:2]] == ["evenly", "unevenly"]
    assert rows[0][4] == "one note" and rows[1][4].endswith("octave")
    assert float(rows[0][3].split()[0]) > float(rows[1][3].split()[0])


def test_a_plate_is_notched_and_the_notch_left_out(desk):
    sitting = desk()
    before = sitting.result.cabinet.braces["shelf"].displaced
    page = sitting.type("braces", "add-notch:shelf")
    check(page)
    assert sitting.document["cabinet"]["braces"]["shelf"]["notches"]["notch"]["side"] == "back"
    assert sitting.result.cabinet.braces["shelf"].displaced == pytest.approx(before - 0.0183 * 0.03 * 0.01)
    assert "notch" in page.markup
    page = sitting.type("braces", **{"cabinet.braces.shelf.notches.notch.width": "50"})
    assert sitting.result.cabinet.braces["shelf"].displaced == pytest.approx(before - 0.0183 * 0.05 * 0.01)
    sitting.type("braces", "drop-notch:shelf/notch")
    assert sitting.result.cabinet.braces["shelf"].displaced == before
    assert "not there any more" in sitting.refused("braces", "add-notch:ghost").text


def test_several_windows_stand_in_a_row(desk):
    sitting = desk()
    edits = {"cabinet.braces.shelf.window.height": "50", "cabinet.braces.shelf.window.count": "2"}
    page = sitting.type("braces", **edits)
    check(page)
    assert len(sitting.result.cabinet.braces["shelf"].windows) == 2
    assert "2 windows, each" in page.markup and "cabinet.braces.shelf.window.bridge" in page.fields


def test_a_corner_tighter_than_the_smallest_bit_is_told(desk):
    page = desk().type("braces", **{"cabinet.braces.shelf.window.radius": "1"})
    assert "Your smallest bit leaves corners" in page.markup


def test_a_dowel_is_no_part_of_the_cut_list(desk):
    sitting = desk()
    rows = len(sitting.result.cut_list)
    page = sitting.type("braces", "add-brace:dowel")
    assert len(sitting.result.cut_list) == rows and "not cut from a sheet" in page.markup
    for place in ("cabinet", "views", "cutting", "packet", "boring"):
        check(sitting.look(place))


@pytest.mark.parametrize("slope", ["0", "6"])
def test_one_of_each_is_drawn_on_every_page(desk, slope):
    sitting = desk()
    sitting.type("braces", "drop-brace:shelf")
    for kind in ("frame", "bar", "dowel"):
        sitting.type("braces", f"add-brace:{kind}")
    sitting.type("cabinet", **{"cabinet.slope": slope})
    assert set(sitting.result.cabinet.braces) == {"frame", "bar", "dowel"}
    for place in ("braces", "cabinet", "views", "cutting", "packet"):
        check(sitting.look(place))


def test_what_a_brace_runs_into_is_told_here_with_what_clears_it(desk):
    page = desk().type("braces", **{"cabinet.braces.shelf.at": "240"})
    assert "runs" in page.markup and "into" in page.markup


def test_a_sheet_whose_name_says_nothing_is_not_reckoned(desk):
    sitting = desk()
    sitting.type("cabinet", **{"workshop.sheets.ply.name": "From the attic"})
    page = sitting.look("braces")
    check(page)
    assert "That cannot be told" in page.lead and "is not known" in page.markup
    sitting.type("cabinet", **{"workshop.sheets.ply.name": "MDF"})
    page = sitting.look("braces")
    assert {row[1] for row in page.rows(label="How stiff the panels are")[1:]} == {"MDF"}


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "braces")


def test_a_plate_parts_off_a_chamber_and_becomes_a_brace_again(desk):
    sitting = desk("reading_room")
    sitting.type("braces", **{"cabinet.braces.shelf.at": "280"})
    before = sitting.result.cabinet.net
    page = sitting.type("braces", "seal:shelf")
    check(page)
    (chamber,) = sitting.result.cabinet.rooms
    assert sitting.result.cabinet.net < before - chamber.air + 1e-6
    assert f"{said(chamber.air, 'volume')} net" in page.text and "Chamber of dome" in page.text
    for place in ("cabinet", "boring", "views", "faces"):
        check(sitting.look(place))
    page = sitting.type("braces", "seal:shelf")
    assert not sitting.result.cabinet.rooms and "Chambers of their own" not in page.text


def test_a_plate_holds_the_air_behind_it_and_lets_go_again(desk):
    sitting = desk("reading_room")
    sitting.type("braces", **{"cabinet.braces.shelf.at": "280"})
    sitting.type("braces", "seal:shelf")
    before = sitting.result.cabinet.rooms[0].air
    page = sitting.type("braces", "enclose:shelf")
    check(page)
    assert sitting.plain["cabinet"]["braces"]["shelf"]["at"] is None and "Net air behind it" in page.markup
    assert sitting.result.cabinet.rooms[0].air == pytest.approx(before, abs=1e-6)
    sitting.type("braces", **{"cabinet.braces.shelf.encloses": "2.5"})
    assert sitting.result.cabinet.rooms[0].air == pytest.approx(0.0025, abs=1e-11)
    sitting.type("cabinet", **{"workshop.sheets.ply.thickness": "21"})
    assert sitting.result.cabinet.rooms[0].air == pytest.approx(0.0025, abs=1e-11)
    for place in ("cabinet", "boring", "views", "faces"):
        check(sitting.look(place))
    page = sitting.refused("braces", **{"cabinet.braces.shelf.encloses": "400"})
    assert "finds no place" in page.fields["cabinet.braces.shelf.encloses"].says
    page = sitting.type("braces", "enclose:shelf")
    assert sitting.plain["cabinet"]["braces"]["shelf"]["encloses"] is None
    assert sitting.result.cabinet.rooms[0].air == pytest.approx(0.0025, abs=1e-6)
    sitting.type("braces", "enclose:shelf")
    sitting.type("braces", "seal:shelf")
    assert not sitting.result.cabinet.rooms and sitting.plain["cabinet"]["braces"]["shelf"]["at"] is not None
