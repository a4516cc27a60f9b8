"""Which parts come out of an offcut, and what it does to cut them from it."""

from collections import Counter

import pytest
from sawing import inspect

from calc.evaluate import evaluate
from calc.evaluate_layout import layouts
from calc.evaluate_offcut import change, cut_from, suits, worth_keeping
from calc.shop.sheet_layout import Layout, Piece, Sheet
from server.documents import amend, plain, read_project
from tests.server.reading import made

PLY = made("reading_room")["workshop"]["sheets"]["ply"]


def solved(edits, **stock):
    project = read_project(amend(made("reading_room"), {"workshop.stock": stock, **edits}))
    return project, evaluate(project)


def offcut(length, width, **more):
    return {"sheet": "ply", "length": length, "width": width, **more}


@pytest.mark.parametrize("order", ["any", "rip"])
@pytest.mark.parametrize("size", [(0.45, 0.3), (0.9, 0.7), (0.42, 1.2), (1.3, 0.4)])
def test_what_fits_can_be_sawn_and_is_counted(size, order):
    """The checker is shapely's; at least the largest single part that fits comes out of it."""
    project, result = solved({"workshop.saw.first": order}, rest=offcut(*size))
    found = suits(project, result, "rest")
    pieces = [Piece(r.label, r.cut_length, r.cut_width, r.count, "length") for r in result.cut_list]
    laid = inspect(Layout((found.sawn,), 1, 1), pieces, Sheet(*size), project.workshop.kerf, 2e-6)
    assert laid == Counter(found.counts)
    area = sum(p.length * p.width * laid[p.name] for p in pieces)
    assert found.share == pytest.approx(area / (size[0] * size[1])) and found.share <= 1
    single = max(p.length * p.width for p in pieces if p.length <= size[0] and p.width <= size[1])
    assert area >= single - 1e-9
    for row in result.cut_list:
        whole = [name for name in row.names if name in found.whole]
        assert len(whole) == laid[row.label] // project.speakers


def test_where_nothing_fits_nothing_is_drawn():
    project, result = solved({}, rest=offcut(0.1, 0.1))
    found = suits(project, result, "rest")
    assert (found.sawn, found.counts, found.share, found.whole) == (None, {}, 0.0, ())
    trimmed = offcut(0.1, 0.02, kind="sheet")
    assert suits(*solved({"workshop.trim": 0.02}, rest=trimmed), "rest").sawn is None


def test_parts_of_its_thickness_come_first():
    """A shelf of 12 mm board, and an offcut of 12 mm that is listed under the thick ply."""
    thin = {**PLY, "thickness": 0.012, "name": "Thin"}
    edits = {"workshop.sheets.thin": thin, "cabinet.braces.shelf.sheet": "thin"}
    project, result = solved(edits, rest=offcut(0.45, 0.3, thickness=0.012))
    (shelf,) = [row for row in result.cut_list if "shelf" in row.names]
    assert shelf.label in suits(project, result, "rest").counts
    small = max(suits(*solved(edits, rest=offcut(0.45, 0.3)), "rest").counts)
    assert small != shelf.label, "where the offcut is as thick as its good, its own parts do"


def test_parts_that_are_cut_from_another_thickness_take_it_and_all_follows():
    """Two walls 0.6 mm thinner: the outside is wider than the inside by 1.2 mm less than before. Derived."""
    sides = offcut(1.9, 0.6, thickness=PLY["thickness"] - 0.0006)
    project, result = solved({}, rest=sides)
    other = cut_from(project, "rest", ("left", "right"))
    after = evaluate(read_project(plain(other)))
    assert other.cabinet.panels["left"] == other.cabinet.panels["right"] == "rest"
    assert other.cabinet.panels["front"] == "ply"
    assert other.workshop.sheets["rest"].thickness == pytest.approx(PLY["thickness"] - 0.0006)
    assert other.workshop.stock["rest"].thickness is None and other.workshop.stock["rest"].sheet == "rest"
    was, now = result.cabinet.carcass, after.cabinet.carcass
    walls = [each.outer[0] - each.inner[0] for each in (was, now)]
    assert walls[0] - walls[1] == pytest.approx(0.0012, abs=1e-9)
    assert after.cabinet.mass < result.cabinet.mass
    found = layouts(other, after.cut_list)
    assert found["rest"].bought == 0 and {laid.stock for laid in found["rest"].laid} == {"rest"}
    told = change(project, result, "rest", ("left", "right"))
    rows = {words: (before, then) for words, _, before, then in told.rows}
    assert rows["Weight, each"] == (result.cabinet.mass, after.cabinet.mass) and told.refusal is None
    assert told.bought[1] == sum(layout.bought for layout in found.values())


def test_stock_as_thick_as_its_good_stays_of_it():
    thin = {**PLY, "name": "Other"}
    project, _ = solved({"workshop.sheets.other": thin, "cabinet.panels.front": "other"}, rest=offcut(1, 0.5))
    other = cut_from(project, "rest", ("front",))
    assert other.cabinet.panels["front"] == "ply" and other.workshop.sheets == project.workshop.sheets


def test_a_thickness_that_no_joint_takes_is_told():
    project, result = solved({}, rest=offcut(1.9, 0.6, thickness=0.003))
    told = change(project, result, "rest", ("left", "right"))
    assert told.refusal and told.rows == ()


def test_only_offcuts_of_a_size_are_worth_their_place():
    project, result = solved({})
    (laid,) = layouts(project, result.cut_list)["ply"].laid
    kept = list(worth_keeping(laid))
    assert kept[0][1:] == laid.sawn.offcuts[0][2:]
    assert all(max(size) >= 0.3 and min(size) >= 0.1 for _, *size in kept)
    left_out = len(laid.sawn.offcuts) - len(kept)
    assert left_out == sum(max(o[2:]) < 0.3 or min(o[2:]) < 0.1 for o in laid.sawn.offcuts)
