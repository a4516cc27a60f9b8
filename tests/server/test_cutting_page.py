"""Cutting: every blank with its sum, by sheet."""

import re
from math import floor

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, said

from calc.evaluate_layout import layouts
from calc.evaluate_sawing import sawing
from server.documents import read_project
from server.pages import QUESTIONS


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("cutting")
    check(page)
    assert page.heading == QUESTIONS["cutting"]


@pytest.mark.parametrize("name", ["reading_room", "reading_room imperial", "hall_subwoofer", "plan imperial"])
def test_the_cut_list_is_the_results(desk, name):
    sitting = desk(name)
    page, result = sitting.look("cutting"), sitting.result
    show, fraction = sitting.plain["show"], sitting.plain["fraction"]
    body = page.rows("The cut list")[1:]
    assert len(body) == len(result.cut_list)
    for cells, row in zip(body, result.cut_list, strict=True):
        assert cells[0].startswith(f"{row.label}. ") and cells[1] == f"{row.count} off"
        for cell, size, (base, adds) in (
            (cells[2], row.length, row.length_sum), (cells[3], row.width, row.width_sum),
        ):  # fmt: skip
            number = said(size, "length", show, fraction).rpartition(" ")[0]
            assert cell.split("= ")[-1] == number
            assert ("=" in cell) == bool(adds)
            assert size == pytest.approx(base + sum(count * add for count, add in adds), abs=1e-12)
        other = "metric" if show == "imperial" else "imperial"
        sizes = [said(size, "length", other, fraction).rpartition(" ")[0] for size in (row.length, row.width)]
        assert cells[4].replace("″", "") == " × ".join(sizes)


def test_a_sum_reads_as_it_is_cut(desk):
    body = desk().look("cutting").rows("The cut list")[1:]
    sums = {cells[0].split(". ")[1]: (cells[2], cells[3]) for cells in body}
    assert sums["Top, bottom"] == ("268.3", "180 + 2 × 9 = 198") or sums["Top, bottom"][1].startswith(
        "180 + 2 × 9"
    )


def test_a_sum_of_fractions_that_a_rule_has_stays_in_fractions(desk):
    sitting = desk("drivers imperial")
    sums = {cells[0].split(". ")[1]: cells[3] for cells in sitting.look("cutting").rows("The cut list")[1:]}
    assert sums["Top, bottom"] == "7 + 2 × 5/16 = 7 5/8"
    sitting.type("cabinet", **{"cabinet.size.width": "180 mm"})
    sums = {cells[0].split(". ")[1]: cells[3] for cells in sitting.look("cutting").rows("The cut list")[1:]}
    assert sums["Top, bottom"] == "7.087 + 2 × 0.312 = 7 23/32", "fractions that are rounded do not add up"


def test_it_tells_how_many_settings_the_saw_takes(desk):
    sitting = desk()
    plan = sawing(read_project(sitting.plain), sitting.result).plan
    page = sitting.look("cutting")
    assert f"{len(plan.steps)} settings of the saw" in page.lead
    assert f"{sum(row.count for row in sitting.result.cut_list)} pieces" in page.lead


def test_two_speakers_take_twice_the_pieces_of_one(desk):
    sitting = desk()
    page = sitting.type("cutting", speakers="1")
    assert "for one speaker" in page.text and "A. Front" in page.text
    one = {row.label: row.count for row in sitting.result.cut_list}
    page = sitting.type("cutting", speakers="3")
    assert "for 3 speakers" in page.text
    assert {row.label: row.count for row in sitting.result.cut_list} == {k: 3 * n for k, n in one.items()}
    assert page.sill["Sheets"][0].endswith("at least")


def test_units_and_fractions(desk):
    sitting = desk()
    page = sitting.type("cutting", show="imperial", fraction="16")
    assert sitting.document["show"] == "imperial" and sitting.document["fraction"] == 16
    assert "Rounded to 1/16 of an inch a size may be off by 0.8 mm" in page.text
    assert page.rows("The cut list")[0][4] == "Millimetres" and "/64" not in page.rows("The cut list")[1][2]
    assert page.fields["workshop.kerf"].value == "0.126" and page.fields["workshop.kerf"].note.startswith(
        "3.2"
    )


def test_a_panel_larger_than_the_sheet_is_told(desk):
    sitting = desk()
    sitting.type("cabinet", **{"workshop.sheets.ply.length": "300", "workshop.sheets.ply.width": "300"})
    page = sitting.look("cutting")
    assert "Larger than the sheet" in page.text
    too_big = sitting.result.sheets_at_least["ply"].too_big
    assert too_big and all(label in page.text for label in too_big)


REFUSALS = [
    ("workshop.kerf", "0", "must be as wide as a saw cuts"),
    ("workshop.kerf", "thin", "cannot be read as a number"),
    ("workshop.trim", "-2", "cannot be less than zero"),
    ("workshop.saw.kind", "axe", "must be table, track or panel"),
    ("workshop.saw.first", "cross", "must be"),
    ("speakers", "21", "must be a whole number from 1 to 20"),
    ("speakers", "1.5", "must be a whole number"),
    ("fraction", "7", "must be 16, 32 or 64"),
    ("show", "cubits", "must be metric or imperial"),
]


@pytest.mark.parametrize(("path", "text", "words"), REFUSALS)
def test_refusals(desk, path, text, words):
    beside = ("speakers", "4", 4) if path != "speakers" else ("workshop.kerf", "3", 0.003)
    check_refusal(desk(), "cutting", path, text, words, beside)


def test_a_sheet_that_its_trim_leaves_nothing_of(desk):
    sitting = desk()
    sitting.type("cabinet", **{"workshop.sheets.ply.length": "150", "workshop.sheets.ply.width": "150"})
    page = sitting.type("cutting", **{"workshop.trim": "80"})
    check(page)
    assert "Larger than the sheet" in page.text, "every piece is"


def test_answers(desk):
    check_answers(desk(), "cutting", "workshop.kerf", "2.8")


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "cutting")


def test_each_panel_and_each_brace_is_drawn_with_its_letter(desk):
    sitting = desk()
    sitting.type("braces", "add-brace:rib")
    page, result = sitting.look("cutting"), sitting.result
    letters = {name: row.label for row in result.cut_list for name in row.names}
    figures = list(page.root.one("div", class_="panels").all("figure"))
    names = [*result.cabinet.carcass.panels, "shelf", "rib"]
    assert [figure.one("figcaption").text.split(".")[0].lower() for figure in figures] == names
    for figure, name in zip(figures, names, strict=True):
        assert letters[name] in [text.text for text in figure.all("text")], name
    assert (
        "Shelf, seen from above: 192 long, 250 wide, with its window and a slot for the rib." in page.markup
    )


FULL = "Exact, rounded to 1/64 of an inch, and left long"


def test_a_part_left_long_is_packed_long_and_fitted_later(desk):
    sitting = desk()
    page = sitting.type("cutting", **{"cabinet.fitted.shelf": "length", "workshop.over": "2"})
    check(page)
    (row,) = (row for row in sitting.result.cut_list if row.names == ("shelf",))
    assert row.cut_length == pytest.approx(row.length + 0.002) and row.cut_width == row.width
    sizes = next(cells for cells in page.rows(FULL) if "Shelf" in cells[0])
    assert (
        sizes[3]
        == f"fit: {said(row.cut_length, 'fine length').split()[0]} × {said(row.width, 'fine length')}"
    )
    laid = layouts(read_project(sitting.plain), sitting.result.cut_list)["ply"]
    packed = {piece.length for s in laid.sheets for piece in s.pieces if piece.name == row.label}
    assert packed == {row.cut_length}
    steps = sawing(read_project(sitting.plain), sitting.result).plan.steps
    kinds = [cut.kind for step in steps for cut in step.cuts if "shelf" in cut.parts]
    assert kinds.count("fit") == 1 and kinds.index("fit") > max(kinds.index("rip"), kinds.index("crosscut"))


def test_the_fitted_length_is_typed_back(desk):
    sitting = desk()
    sitting.type("cutting", **{"cabinet.fitted.shelf": "both"})
    page = sitting.type("cutting", **{"cabinet.as_cut.parts.shelf.length": "191.6"})
    assert page.fields["cabinet.as_cut.parts.shelf.length"].value == "191.6"
    assert sitting.plain["cabinet"]["as_cut"]["parts"]["shelf"]["length"] == pytest.approx(0.1916)
    assert "cabinet.as_cut.parts.shelf.width" in page.fields
    page = sitting.type("cutting", **{"cabinet.fitted.shelf": ""})
    assert "cabinet.as_cut.parts.shelf.length" not in page.fields


def test_a_rounded_size_says_how_far_it_is_off(desk):
    """400.6 mm reads as 15 49/64 in: 15.765625 x 25.4 = 400.447, 0.153 short, *derived*."""
    page = desk().look("cutting")
    (cells,) = (c for c in page.rows(FULL) if "Left, right" in c[0])
    assert "15 49/64″ 0.15 mm short" in cells[2]
    assert cells[4] == "left lower edge; right lower edge"


def test_each_piece_has_its_label(desk):
    sitting = desk()
    page = sitting.look("cutting")
    labels = [each.text for each in page.root.one("ul", class_="labels").all("li")]
    assert len(labels) == sum(row.count for row in sitting.result.cut_list)
    assert labels[0].startswith("A front, left speaker") and labels[1].startswith("A front, right speaker")
    assert "datum lower edge" in next(label for label in labels if label.startswith("C left"))


def test_the_shop_breaks_the_sheets_down_to_what_comes_home(desk):
    """2440 halved with one kerf of 3.2 is 1218.4: *derived*."""
    sitting = desk()
    page = sitting.type("cutting", **{"workshop.most_length": "1300"})
    check(page)
    assert "into 2 equal parts, 2 along its length: 1218.4 × 1220 mm" in page.text
    assert "2 parts of 1 sheet" in page.lead or "1 part of 1 sheet" in page.lead
    laid = layouts(read_project(sitting.plain), sitting.result.cut_list)["ply"]
    ends = [piece.x + piece.length for sheet in laid.sheets for piece in sheet.pieces]
    assert max(ends) <= 1.2184 - 0.01 + 1e-9


def test_parts_too_small_for_a_piece_are_told(desk):
    page = desk().type("cutting", **{"workshop.most_length": "300", "workshop.most_width": "300"})
    check(page)
    assert "Not every piece comes out of parts that small" in page.text


def test_the_largest_offcut_is_told(desk):
    sitting = desk()
    page = sitting.look("cutting")
    laid = layouts(read_project(sitting.plain), sitting.result.cut_list)["ply"]
    *_, length, width = laid.sheets[0].offcuts[0]
    length, width = (floor(side * 1000) / 1000 for side in (length, width))
    whole = f"{said(length, 'length').split()[0]} × {said(width, 'length')} stays whole"
    assert whole in page.text
    assert length * width > 0.4 * 2.42 * 1.2


def axes(sitting):
    """The directions of the cuts of all sheets, in order."""
    found = layouts(read_project(sitting.plain), sitting.result.cut_list)
    return ["".join(cut.axis for cut in laid.sawn.cuts) for of in found.values() for laid in of.laid]


def test_the_saw_and_its_order_are_chosen_beside_the_layout(desk):
    sitting = desk()
    assert "Rips first: all cuts along the sheet" in sitting.look("cutting").text
    assert all(re.fullmatch("x*y*x*", each) for each in axes(sitting))
    page = sitting.type("cutting", **{"workshop.saw.kind": "panel"})
    check(page)
    assert "Crosscuts first: all cuts across the sheet" in page.text
    assert all(re.fullmatch("y*x*y*", each) for each in axes(sitting))
    page = sitting.type("cutting", **{"workshop.saw.first": "rip"})
    assert "Rips first" in page.text and all(re.fullmatch("x*y*x*", each) for each in axes(sitting))
    page = sitting.type("cutting", **{"workshop.saw.first": "any"})
    assert "In any order" in page.text and "with rips first" not in page.lead
    assert "workshop.saw.rail" not in page.fields


def test_the_rail_of_a_track_saw(desk):
    sitting = desk()
    page = sitting.type("cutting", **{"workshop.saw.kind": "track"})
    check(page)
    assert page.fields["workshop.saw.rail"].value == "1400"
    page = sitting.refused("cutting", **{"workshop.saw.rail": "100"})
    assert page.fields["workshop.saw.rail"].says.startswith("must be the longest cut")


def test_the_fronts_of_a_pair_are_matched_and_drawn_in_their_order(desk):
    sitting = desk()
    page = sitting.type("cutting", "match:fronts")
    check(page)
    assert page.fields["matched.fronts.parts.1"].value == "front"
    assert "From the lower edge upwards: front left speaker, front right speaker." in page.text
    assert page.markup.count("1 of 2") == page.markup.count("2 of 2") == 1, "numbered on the sheet"
    assert "match:fronts" not in page.buttons and "match:wrap" in page.buttons
    page = sitting.type("cutting", **{"matched.fronts.way": "end", "matched.fronts.pair": ""})
    check(page)
    assert "one part alone makes no run" in page.text, "a front for each speaker"
    assert "unmatch:fronts" in page.buttons
    page = sitting.type("cutting", "unmatch:fronts")
    assert sitting.plain["matched"] == {} and "1 of 2" not in page.markup


def test_a_wrap_turns_the_top_and_its_label(desk):
    sitting = desk()
    page = sitting.type("cutting", "match:wrap")
    check(page)
    assert "From left to right: left left speaker, top left speaker, right left speaker." in page.text
    labels = [each.text for each in page.root.one("ul", class_="labels").all("li")]
    turned = {label.split(",")[0] for label in labels if "↕ grain" in label}
    assert turned == {"D top"}
    assert "Turned: top. The grain runs on over the width there" in page.text


def test_a_run_that_costs_a_sheet_says_so_and_one_too_large_what_to_do(desk):
    sitting = desk()
    sitting.type("cutting", "match:wrap")
    page = sitting.type("cabinet", **{"workshop.sheets.ply.length": "1100"})
    page = sitting.look("cutting")
    check(page)
    assert "no sheet is large enough" not in page.text
    page = sitting.type("cutting", **{"matched.wrap.pair": "yes"})
    check(page)
    assert "no sheet is large enough" in page.text and "give each speaker its own run" in page.text


def test_a_run_has_eight_places_and_each_part_one(desk):
    sitting = desk()
    sitting.type("cutting", "match:run")
    sitting.type("cutting", **{"matched.run.parts.1": "left"})
    page = sitting.refused("cutting", **{"matched.run.parts.2": "left"})
    assert page.fields["matched.run.parts.2"].wrong
    assert "twice" in page.fields["matched.run.parts.2"].says
    page = sitting.refused("cutting", "match:unheard")
    assert "must be one of the runs that a button makes" in page.text
    assert "not there any more" in sitting.refused("cutting", "unmatch:ghost").text


@pytest.mark.parametrize(
    ("kind", "face", "led", "care"),
    [
        ("table", "Good face up", ("fence at", "on the sled, stop at"), "Sheet on a table saw"),
        ("track", "Good face down", ("rail below the line", "rail on the left of the line"), "Track saw"),
        ("panel", "Good face up", ("stop at",), "Panel saw"),
    ],
)
def test_the_words_of_each_cut_follow_the_saw(desk, kind, face, led, care):
    """Which face lies up, how each cut is led, what to mind (common practice, no source)."""
    sitting = desk()
    page = sitting.type("cutting", **{"workshop.saw.kind": kind, "workshop.saw.rail": "500"})
    cuts = [item.text for item in page.root.one("ol", class_="cuts").all("li")]
    assert len(cuts) == sum(map(len, axes(sitting)))
    assert all(any(words in cut for words in led) for cut in cuts)
    assert all(any(words in cut for cut in cuts) for words in led)
    assert f"{face}: you look at the" in page.text and f"⚠ {care}." in page.text
    assert any("comes off" in cut for cut in cuts)
    beyond = [cut for cut in cuts if "Longer than the rail" in cut]
    long = [cut for cut in cuts if float(re.search(r"([\d.]+) mm long", cut)[1]) > 500]
    assert beyond == (long if kind == "track" else []) and long


def test_the_pieces_of_a_pair_are_named_on_the_sheet(desk):
    page = desk().look("cutting")
    (drawn,) = (svg for svg in re.findall(r"<svg.*?</svg>", page.markup, flags=re.S) if "in order" in svg)
    words = re.findall(r"<text[^>]*>([^<]*)</text>", drawn)
    assert words.count("left") == words.count("right") == 2
    assert drawn.count('class="cutline"') == 4, "a bar along the front edge of each side"
