"""How the saw of a whole project is set: what may be loose, which stack, and that nothing is left out."""

from dataclasses import replace

import pytest
from sawing import outline, saw

from calc.evaluate import evaluate
from calc.evaluate_layout import layouts
from calc.evaluate_sawing import SLIP, sawing, stacked, widened
from calc.shop.sheet_layout import Sheet
from server.beginnings import demo
from server.documents import amend, read_project


def sawn(name="reading_room", **edits):
    project = read_project(amend(demo(name), edits))
    result = evaluate(project)
    return project, result, sawing(project, result)


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer"])
def test_every_piece_is_sized_and_every_cut_of_every_panel_is_in_the_plan(name):
    project, result, made = sawn(name)
    cuts = [cut for step in made.plan.steps for cut in step.cuts]
    for kind in ("rip", "crosscut"):
        mine = {cut.row: cut.count for cut in cuts if cut.kind == kind}
        assert mine == {row.label: row.count for row in result.cut_list}
    panels = result.cabinet.carcass.panels.values()
    wanted = project.speakers * sum(len(panel.cuts) for panel in panels)
    assert sum(cut.count * cut.each for cut in cuts if cut.kind in ("groove", "rabbet")) == wanted
    assert len(made.plan.steps) <= made.plan.one_by_one


def test_a_shelf_may_be_loose_but_a_plate_that_seals_and_the_back_may_not():
    _, _, made = sawn()
    assert [(groove.mates, groove.loose) for groove in made.grooves] == [(("shelf",), True)]
    assert not any(rabbet.loose for rabbet in made.rabbets)
    sealing = {"cabinet.braces.shelf.seals": True, "cabinet.braces.shelf.window": None}
    _, _, made = sawn(**sealing)
    assert [groove.loose for groove in made.grooves] == [False]


def test_the_stack_is_set_by_the_measured_thickness_and_by_what_the_scrap_said():
    project, _, made = sawn()
    (groove,) = made.grooves
    sheet = project.workshop.sheets["ply"]
    assert groove.least == pytest.approx(sheet.thickness)
    assert groove.wanted == pytest.approx(sheet.thickness + project.workshop.saw.play)
    saw = project.workshop.saw
    wider = replace(saw, wider=1e-4)
    cut = stacked(wider, groove.wanted, groove.least)
    assert groove.least - 2e-6 <= cut <= groove.wanted + 6e-5, "the groove stays, the parts change"
    assert widened(groove) == pytest.approx(groove.wanted + 2 * SLIP)


def test_a_thicker_sheet_moves_the_stack():
    _, _, thin = sawn()
    _, _, thick = sawn(**{"workshop.sheets.ply.thickness": 0.0187})
    assert thick.grooves[0].wanted - thin.grooves[0].wanted == pytest.approx(0.0004)
    assert thick.grooves[0].stack.width > thin.grooves[0].stack.width


def test_a_plate_thinner_than_the_outer_blades_is_left_to_the_router():
    _, _, made = sawn(
        **{
            "workshop.sheets.thin": {"name": "thin", "thickness": 0.005, "density": 700.0},
            "cabinet.braces.shelf.sheet": "thin",
        }
    )
    (groove,) = made.grooves
    assert groove.stack is None and {cut.guide for cut in groove.cuts} == {"router"}


def test_the_datum_of_a_panel_is_where_its_grooves_are_set_from():
    _, _, made = sawn()
    assert made.datums == {"left": ("bottom",), "right": ("bottom",)}


def sized_last(laid, kerf):
    """By letter the sides that the saw gives its pieces last, seen by the independent saw cut by cut."""
    cuts = [(cut.axis, cut.at, cut.start, cut.end) for cut in laid.sawn.cuts]
    sheet, last = Sheet(laid.length, laid.width, laid.trim), {}
    for piece in laid.sawn.pieces:
        middle, sizes = outline(piece).centroid, []
        for n in range(len(cuts) + 1):
            (part,) = (part for part in saw(sheet, kerf, cuts[:n]) if part.contains(middle))
            left, low, right, high = part.bounds
            sizes.append((round(right - left, 6), round(high - low, 6)))
        length = next(n for n, (size, _) in enumerate(sizes) if size == round(piece.length, 6))
        width = next(n for n, (_, size) in enumerate(sizes) if size == round(piece.width, 6))
        last.setdefault(piece.name, set()).add("length" if length > width else "width")
    return last


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer"])
@pytest.mark.parametrize("first", ["rip", "crosscut", "any"])
def test_the_fence_plan_sizes_every_piece_as_it_comes_off_its_sheet(name, first):
    """All pieces of a row wait for those of them that are sized the other way about."""
    project, result, made = sawn(name, **{"workshop.saw.first": first})
    kinds = {}
    for step in made.plan.steps:
        for cut in step.cuts:
            if cut.kind in ("rip", "crosscut"):
                kinds.setdefault(cut.row, []).append(cut.kind)
    usual = "width" if first == "crosscut" else "length"
    for layout in layouts(project, result.cut_list).values():
        last = {}
        for laid in layout.laid:
            for row, sides in sized_last(laid, project.workshop.kerf).items():
                last.setdefault(row, set()).update(sides)
        for row, sides in last.items():
            side = usual if sides == {usual} else ({"length", "width"} - {usual}).pop()
            assert kinds[row][-1] == {"length": "crosscut", "width": "rip"}[side], row


def test_each_kind_of_saw_has_an_order_that_it_likes_and_another_may_be_chosen():
    """Common practice, no source: see `calc.project_saw.LIKES`."""
    for kind, order in (("table", "rip"), ("track", "crosscut"), ("panel", "crosscut")):
        assert sawn(**{"workshop.saw.kind": kind})[0].workshop.saw.order == order
        edits = {"workshop.saw.kind": kind, "workshop.saw.first": "any"}
        assert sawn(**edits)[0].workshop.saw.order == "any"


def test_a_track_saw_and_a_panel_saw_size_the_pieces_without_the_fence():
    _, _, made = sawn(**{"workshop.saw.kind": "track", "workshop.saw.rail": 0.5})
    sizing = [cut for step in made.plan.steps for cut in step.cuts if cut.kind in ("rip", "crosscut")]
    assert {cut.guide for cut in sizing} == {"rail"}
    for cut in sizing:
        assert ("beyond" in cut.dangers) == (cut.along > 0.5)
        assert ("tips" in cut.dangers) == (cut.distance < 0.2), (
            "a rail is as wide, common practice, no source"
        )
    _, _, made = sawn(**{"workshop.saw.kind": "panel"})
    sizing = [cut for step in made.plan.steps for cut in step.cuts if cut.kind in ("rip", "crosscut")]
    assert {(cut.guide, cut.dangers) for cut in sizing} == {("panel", ())}


def test_a_project_that_says_rip_still_means_it():
    document = demo("reading_room")
    document["workshop"]["saw"] = {"first": "rip"}
    assert read_project(document).workshop.saw.order == "rip"
