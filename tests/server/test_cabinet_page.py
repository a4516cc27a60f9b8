"""Cabinet: what is held, how it is joined, what stands in it, where the air goes."""

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, made, said

from calc.cabinet.joints import constructions
from calc.evaluate_standing import stood
from calc.evaluate_wood import wood
from calc.project_cabinet import EDGES, PANELS
from server.documents import read_project
from server.pages import QUESTIONS

SIDES = ("width", "height", "depth")


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("cabinet")
    check(page)
    assert page.heading == QUESTIONS["cabinet"]


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial", "plan imperial"])
def test_its_answer_its_sizes_and_its_ledger_are_the_results(desk, name):
    sitting = desk(name)
    page, cabinet, document = sitting.look("cabinet"), sitting.result.cabinet, sitting.plain
    system = document["show"], document["fraction"]
    for axis in (0, 1, 2):
        assert said(cabinet.carcass.outer[axis], "length", *system).rpartition(" ")[0] in page.lead
    held = document["cabinet"]["hold"]
    for axis, side in enumerate(SIDES):
        path = f"cabinet.size.{side}"
        assert path in page.fields
        for which, size in (("inner", cabinet.carcass.inner), ("outer", cabinet.carcass.outer)):
            if which != held:
                assert said(size[axis], "length", *system) in page.text
    rows = page.rows("Volume ledger")[1:]
    shown = {row[0].split(". ")[-1]: row[1].replace("− ", "") for row in rows if row[0] != "Difference"}
    ledger = {"Inside, wall to wall": cabinet.ledger.gross, "Net": cabinet.net}
    for name, volume in {**dict(cabinet.ledger.displaced), **ledger}.items():
        if name in document["cabinet"]["seats"] and not volume:
            assert shown[name.capitalize()] == "not given: to Drivers"
            continue
        assert float(shown[name.capitalize()]) == pytest.approx(volume * 1e3, abs=0.00501), name
    assert said(cabinet.mass, "mass", *system) in page.text


def test_the_ledgers_letters_are_those_under_its_bar(desk):
    """What takes no air has no letter and no part of the bar; the others keep their order."""
    sitting = desk()
    sitting.type("drivers", **{"drivers.woofer.frame.volume": "0"})
    sitting.type("cabinet", "add-thing", thing="label")
    page = sitting.type("cabinet", **{"cabinet.displaced.label.volume": "0"})
    check(page)
    heads = [row[0] for row in page.rows("Volume ledger")[2:]]
    assert heads[:6] == ["Woofer", "a. Dome", "b. Shelf", "c. Port", "d. Crossover", "Label"]
    rows = {row[0]: row[1:] for row in page.rows("Volume ledger")}
    assert rows["Woofer"] == ["not given: to Drivers"] and rows["Label"][0] == "− 0.000"
    bar = next(page.root.all("div", class_="ledger"))
    assert [text.text for text in bar.all("text")][1:] == ["a", "b", "c", "d"]
    assert sum(mark.attributes.get("class") == "cutline" for mark in bar.all("path")) == 4
    (link,) = [each for each in page.root.all("a") if each.text == "to Drivers"]
    assert link.attributes["href"] == "drivers#drivers.woofer.frame.volume"
    assert "drivers.woofer.frame.volume" in sitting.look("drivers").ids


@pytest.mark.parametrize("which", ["volume", "inner", "outer"])
@pytest.mark.parametrize("by", ["the choice", "the button"])
def test_what_is_held_from_now_on_is_what_it_has_now(desk, which, by):
    sitting = desk()
    sitting.type("cabinet", **{"cabinet.hold": "volume" if which == "inner" else "inner"})
    before = sitting.result.cabinet
    if by == "the choice":
        page = sitting.type("cabinet", **{"cabinet.hold": which})
    else:
        page = sitting.type("cabinet", f"hold:{which}")
    after = sitting.result.cabinet
    assert sitting.document["cabinet"]["hold"] == which and page.fields["cabinet.hold"].value == which
    if which == "volume":
        assert after.net == pytest.approx(0.014, abs=1e-9), "held at what box B wants"
    else:
        assert after.carcass.outer == pytest.approx(before.carcass.outer, abs=2e-6)
        assert page.fields["cabinet.size.width"].value != ""
    check(page)


def test_held_air_takes_what_the_cabinet_leaves_where_no_box_wants_anything(desk):
    sitting = desk("plan")
    before = sitting.result.cabinet.net
    page = sitting.type("cabinet", **{"cabinet.hold": "volume"})
    assert sitting.document["alternatives"]["A"]["box"]["Vb"] == pytest.approx(before, abs=1e-6)
    assert "The air is held" in page.lead and "alternatives.A.box.Vb" in page.fields


@pytest.mark.parametrize("side", ["width", "height", "depth"])
def test_one_side_alone_may_follow_the_air(desk, side):
    sitting = desk()
    sitting.type("cabinet", **{"cabinet.hold": "volume"})
    before = sitting.result.cabinet.carcass.inner
    page = sitting.type("cabinet", **{"cabinet.moves": side})
    assert f"the {side} grows" in page.lead
    assert f"cabinet.size.{side}" not in page.fields, "what follows is not typed"
    assert sitting.result.cabinet.carcass.inner == pytest.approx(before, abs=2e-6), (
        "nothing moves by the choice"
    )
    sitting.type("cabinet", **{"cabinet.displaced.crossover.volume": "0.9"})
    after, axis = sitting.result.cabinet.carcass.inner, ("width", "height", "depth").index(side)
    assert after[axis] > before[axis] + 1e-4
    assert [after[i] for i in range(3) if i != axis] == pytest.approx(
        [before[i] for i in range(3) if i != axis], abs=2e-6
    )
    page = sitting.refused("cabinet", **{"cabinet.moves": "sideways"})
    assert page.fields["cabinet.moves"].says == "must be all, width, height or depth"


@pytest.mark.parametrize("moves", ["all", "depth"])
def test_a_leaning_front_leaves_the_held_air_as_it_is(desk, moves):
    sitting = desk()
    sitting.type("cabinet", **{"cabinet.hold": "volume", "cabinet.moves": moves})
    before, air = sitting.result.cabinet.carcass.inner, sitting.result.cabinet.net
    page = sitting.type("cabinet", **{"cabinet.slope": "6"})
    carcass = sitting.result.cabinet.carcass
    assert page.fields["cabinet.slope"].value == "6" and carcass.slope == 6.0
    assert sitting.result.cabinet.net == pytest.approx(air, abs=1e-9)
    assert carcass.inner[2] > before[2] + 1e-3, "it grows at the floor for what it loses at the top"
    page = sitting.refused("cabinet", **{"cabinet.slope": "31"})
    assert page.fields["cabinet.slope"].says == "must be an angle from 0° to 30° off upright; 6 is kept"


def test_the_fronts_edges_are_rounded_and_left_square_again(desk):
    sitting = desk()
    before = sitting.result.cabinet.mass
    page = sitting.type("cabinet", do="round:")
    assert page.fields["cabinet.rounding.size"].value and sitting.result.cabinet.mass < before
    sitting.type("cabinet", **{"cabinet.rounding.kind": "chamfer", "cabinet.rounding.along": "all"})
    assert sitting.document["cabinet"]["rounding"]["along"] == "all"
    page = sitting.refused("cabinet", **{"cabinet.rounding.size": "100"})
    assert page.fields["cabinet.rounding.size"].says.startswith("reaches the air inside")
    page = sitting.type("cabinet", do="square:")
    assert "cabinet.rounding.size" not in page.fields
    assert sitting.result.cabinet.mass == before


def test_a_front_comes_off_and_is_glued_on_again(desk):
    sitting = desk()
    page = sitting.type("cabinet", do="lid:front")
    assert page.fields["cabinet.lid.gasket"].value and sitting.result.cabinet.carcass.gasket.volume > 0
    assert not [f for f, _ in sitting.result.facts if f == "cabinet.lid.screws"], "screws enough at once"
    page = sitting.type("cabinet", **{"cabinet.lid.screws": "4"})
    assert [field for field, _ in sitting.result.facts if field == "cabinet.lid.screws"]
    page = sitting.type("cabinet", do="fix:")
    assert "cabinet.lid.gasket" not in page.fields and sitting.result.cabinet.carcass.gasket is None


def test_a_whole_form_without_script_changes_only_what_was_changed(desk):
    """Then every field is sent; a choice that stayed must not stand in the way of one that did not."""
    sitting = desk()
    before = sitting.plain
    typed = {name: field.value for name, field in sitting.look("cabinet").fields.items()}
    typed["cabinet.edges.left-top.depth"] = "5"
    assert sitting.send("cabinet", panel=False, **typed).status_code == 303
    after = sitting.plain
    for edge in EDGES:
        alike = edge in ("left-top", "left-bottom", "right-top", "right-bottom")
        expected = {**before["cabinet"]["edges"][edge]} | ({"depth": 0.005} if alike else {})
        assert after["cabinet"]["edges"][edge] == expected, edge
    assert {**after, "cabinet": {**after["cabinet"], "edges": None}} == {
        **before, "cabinet": {**before["cabinet"], "edges": None},
    }  # fmt: skip


def test_a_depth_is_all_fours_while_they_are_alike_and_one_edges_when_they_are_not(desk):
    sitting = desk()
    sitting.type("cabinet", **{"cabinet.edges.back-left.depth": "6"})
    depths = {edge: each["depth"] for edge, each in sitting.document["cabinet"]["edges"].items()}
    assert {depths[f"back-{wall}"] for wall in ("left", "right", "top", "bottom")} == {0.006}
    sitting.type("cabinet", **{"cabinet.edges.back-right.depth": "4"})
    sitting.type("cabinet", **{"cabinet.edges.back-right.depth": "6", "cabinet.edges.back-left.depth": "3"})
    depths = {edge: each["depth"] for edge, each in sitting.document["cabinet"]["edges"].items()}
    assert (depths["back-left"], depths["back-right"], depths["back-top"]) == (0.003, 0.006, 0.006)
    page = sitting.look("cabinet")
    assert "Back to the four walls" not in page.text, "they are not alike any more"
    sitting.type("cabinet", **{"cabinet.edges.back-left.depth": "5"})
    depths = {edge: each["depth"] for edge, each in sitting.document["cabinet"]["edges"].items()}
    assert (depths["back-left"], depths["back-right"]) == (0.005, 0.006)


def test_a_joint_moves_the_blanks_and_neither_size(desk):
    sitting = desk()
    before = sitting.result.cabinet.carcass
    page = sitting.type("cabinet", **{"cabinet.edges.left-top.depth": "4"})
    after = sitting.result.cabinet.carcass
    assert (after.inner, after.outer) == (before.inner, before.outer)
    assert after.panels["top"].volume < before.panels["top"].volume
    assert page.sill["Net volume"][1] == ""


@pytest.mark.parametrize("number", range(5))
def test_every_usual_construction_can_be_used(desk, number):
    sitting = desk()
    carcass = sitting.result.cabinet.carcass
    each = constructions({name: solid.thickness for name, solid in carcass.panels.items()})[number]
    page = sitting.type("cabinet", f"use:{each.name}")
    check(page)
    assert sitting.document["cabinet"]["edges"] == each.edges
    pressed = [button.text for button in page.root.all("button", aria_pressed="true")]
    assert pressed == [each.name] and each.words in page.text
    assert sitting.result.cabinet.carcass.inner == carcass.inner


def test_a_mitre_and_back(desk):
    sitting = desk()
    page = sitting.type("cabinet", **{"cabinet.edges.left-top.into": ""})
    assert sitting.document["cabinet"]["edges"]["left-top"] == {"into": None, "depth": 0.0, "mitre": True}
    assert page.fields["cabinet.edges.left-top.into"].value == ""
    sitting.type("cabinet", **{"cabinet.edges.left-top.into": "top"})
    assert sitting.document["cabinet"]["edges"]["left-top"] == {"into": "top", "depth": 0.0, "mitre": False}


def test_corners_that_cannot_be_cut_are_told_at_the_edge_that_was_chosen(desk):
    sitting = desk()
    sitting.type("cabinet", **{"cabinet.edges.left-top.into": ""})
    before = sitting.document
    page = sitting.refused("cabinet", **{"cabinet.edges.front-left.into": "", "cabinet.finish": "1"})
    field = page.fields["cabinet.edges.front-left.into"]
    assert field.wrong and field.value == "" and "corner" in field.says
    assert "1 value needs" in page.alert
    assert sitting.document["cabinet"]["finish"] == 0.001
    assert sitting.document["cabinet"]["edges"] == before["cabinet"]["edges"]


REFUSALS = [
    ("cabinet.size.width", "wide", "cannot be read as a number"),
    ("cabinet.size.height", "0", "must be a number above zero"),
    ("cabinet.size.depth", "-1", "cannot be less than zero"),
    ("cabinet.size.width", "3/8", "is a fraction: say whether it is mm or inch"),
    ("cabinet.edges.left-top.depth", "18.3", "must be less than the thickness of the left panel"),
    ("cabinet.edges.left-top.into", "front", "must be one of the edge's own two panels"),
    ("workshop.sheets.ply.thickness", "0.2 m", "must be the thickness of one sheet"),
    ("workshop.sheets.ply.thickness", "5", "must be less than the thickness"),
    ("workshop.sheets.ply.density", "680 kg", "this is a weight; a density is wanted here"),
    ("cabinet.panels.left", "oak", "must be one of this project's sheets"),
    ("cabinet.displaced.crossover.volume", "20", "take more air than the box holds"),
    ("cabinet.displaced.crossover.mass", "heavy", "cannot be read as a number"),
    ("cabinet.hold", "breath", "must be volume, inner or outer"),
]


@pytest.mark.parametrize(("path", "text", "words"), REFUSALS)
def test_refusals(desk, path, text, words):
    check_refusal(desk(), "cabinet", path, text, words, ("workshop.sheets.ply.name", "Birch", "Birch"))


def test_a_thing_is_named_put_in_and_taken_out(desk):
    sitting = desk()
    page = sitting.type("cabinet", thing="terminal cup")
    assert page.fields["thing"].value == "terminal cup", "kept while something else is typed"
    assert "terminal cup" not in sitting.document["cabinet"]["displaced"]
    page = sitting.type("cabinet", "add-thing", thing="terminal cup")
    assert page.fields["thing"].value == ""
    path = "cabinet.displaced.terminal cup"
    assert page.fields[f"{path}.volume"].value == "0.3"
    assert dict(sitting.result.cabinet.ledger.displaced)["terminal cup"] == 0.0003
    sitting.type("cabinet", "add-thing")
    assert set(sitting.document["cabinet"]["displaced"]) == {"crossover", "terminal cup", "crossover board"}
    page = sitting.type("cabinet", "drop-thing:terminal cup")
    assert f"{path}.volume" not in page.fields
    page = sitting.refused("cabinet", "add-thing", thing="<cup>")
    assert "a name holds letters" in page.text and page.fields["thing"].value == "<cup>"


def test_a_sheet_more_measured_used_and_dropped(desk):
    sitting = desk()
    page = sitting.type("cabinet", "add-sheet")
    assert sitting.document["workshop"]["sheets"]["sheet2"]["thickness"] == 0.0183
    typed = {"workshop.sheets.sheet2.thickness": "12", "cabinet.panels.back": "sheet2"}
    page = sitting.type("cabinet", **typed)
    assert sitting.result.cabinet.carcass.panels["back"].thickness == 0.012
    assert sitting.result.cabinet.carcass.outer[2] == pytest.approx(0.25 + 0.0183 + 0.012)
    assert page.sill["Sheets"][0] == "2 at least"
    assert "parts are cut from this sheet" in sitting.refused("cabinet", "drop-sheet:sheet2").text
    sitting.type("cabinet", **{"cabinet.panels.back": "ply"})
    sitting.type("stock", "offcut:sheet2")
    sitting.type("stock", **{"workshop.stock.offcut 1.name": "No. 7"})
    for place in ("cabinet", "materials"):
        page = sitting.refused(place, "drop-sheet:sheet2")
        assert "your stock has some of this sheet: No. 7" in page.fields["workshop.sheets.sheet2.name"].says
    sitting.type("stock", "drop:offcut 1")
    sitting.type("cabinet", "drop-sheet:sheet2")
    assert list(sitting.document["workshop"]["sheets"]) == ["ply"]


def test_each_panel_has_its_sheet_to_choose(desk):
    fields = desk().look("cabinet").fields
    assert all(fields[f"cabinet.panels.{panel}"].value == "ply" for panel in PANELS)


def test_answers(desk):
    check_answers(desk(), "cabinet", "cabinet.size.width", "190")


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "cabinet")


def test_it_tells_its_braces_in_a_line_and_how_firm_it_stands(desk):
    sitting = desk()
    page, found = sitting.look("cabinet"), wood(read_project(sitting.document), sitting.result)
    section = page.says("stiff")
    low = f"{found.weakest.weakest.supported:.0f}"
    assert f"1 brace stiffens it; its weakest panel’s first note lies between {low} and" in section
    stands = stood(read_project(sitting.document), sitting.result).weakest.stands
    assert f"it tips at {stands.angle:.0f}°" in section


def test_sheets_by_their_names_grow_with_the_damp(desk):
    sitting = desk()
    sitting.type("cabinet", **{"workshop.sheets.ply.name": "MDF"})
    assert "grow by" in sitting.look("faces").says("year")


@pytest.mark.parametrize("show", ["metric", "imperial"])
def test_a_front_of_solid_wood_tells_its_year(desk, show):
    document = {**made("reading_room"), "show": show}
    document["workshop"]["sheets"]["oak"] = {"name": "White oak", "thickness": 0.022, "density": 750.0}
    document["cabinet"]["panels"]["front"] = "oak"
    sitting = desk(document)
    page, found = sitting.look("faces"), wood(read_project(sitting.document), sitting.result)
    check(page)
    (front,) = found.solid
    told = page.says("year")
    assert said(front.year.swing, "fine length", show) in told
    assert f"a slot {said(front.slot.length, 'length', show)} long" in told
    for seat, room in front.seats.items():
        assert f"recess of the {seat} must be {said(room.diameter, 'fine length', show)}" in told


def test_a_slim_cabinet_is_told_to_stand_on_broader_feet(desk):
    sitting = desk()
    slim = {"cabinet.hold": "inner", "cabinet.size.height": "1400", "cabinet.size.width": "180"}
    page = sitting.type("cabinet", **slim)
    check(page)
    found = stood(read_project(sitting.document), sitting.result)
    assert not found.weakest.stands.stable and "too easily" in page.says("stiff")
    assert "reach further out" in sitting.look("standing").lead


def test_it_says_what_the_last_change_moved_and_why(desk):
    sitting = desk("reading_room imperial")
    assert "moved" not in sitting.look("cabinet").ids
    page = sitting.type("cabinet", **{"cabinet.edges.left-top.depth": "7/16"})
    check(page)
    before, after = 0.009, 7 / 16 * 0.0254
    system = sitting.plain["show"], sitting.plain["fraction"]
    by = said(2 * (after - before), "length", *system)
    assert f"Top and bottom are {by} wider (2 ×" in page.says("moved") and "by its joints" in page.says(
        "moved"
    )
    page = sitting.type("cabinet", **{"workshop.sheets.ply.name": "Birch"})
    assert "moved" not in page.ids


def test_a_crossover_board_is_laid_in_moved_and_taken_out(desk):
    sitting = desk()
    before = sitting.result.cabinet.net
    page = sitting.type("cabinet", "add-board")
    check(page)
    assert sitting.result.cabinet.net < before
    page = sitting.type("cabinet", **{"cabinet.boards.board.x": "60"})
    assert "“board” runs" in page.text and "into the left panel" in page.text
    page = sitting.refused("cabinet", **{"cabinet.boards.board.depth": "0"})
    assert page.fields["cabinet.boards.board.depth"].wrong
    check(sitting.look("boring"))
    sitting.type("cabinet", "drop-board:board")
    assert sitting.result.cabinet.net == pytest.approx(before)
