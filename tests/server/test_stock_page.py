"""Stock: what the shop has, what comes out of it, and what is then bought no more."""

import re

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal

from server.pages import QUESTIONS

PLACE = "workshop.stock.offcut 1"


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("stock")
    check(page)
    assert page.heading == QUESTIONS["stock"] and "every sheet is bought" in page.lead


@pytest.mark.parametrize("name", ["reading_room", "reading_room imperial", "plan imperial", "drivers"])
def test_an_offcut_has_one_size_on_both_pages(desk, name):
    sitting = desk(name)
    size = r"([\d /.]+ × [\d /.]+\s(?:mm|in))"
    left = re.findall(rf"sheet \d+: {size}", sitting.look("stock").text)
    whole = re.findall(rf"; {size} stays whole", sitting.look("cutting").text)
    assert whole and {each.strip() for each in whole} <= {each.strip() for each in left}


@pytest.fixture
def owning(desk):
    """Somebody with one offcut that takes everything."""
    sitting = desk()
    sitting.type("stock", "offcut:ply")
    sitting.type("stock", **{f"{PLACE}.length": "1800", f"{PLACE}.width": "800", f"{PLACE}.name": "No. 7"})
    return sitting


def test_what_an_offcut_takes_is_bought_no_more(owning):
    page = owning.look("stock")
    check(page)
    total = sum(row.count for row in owning.result.cut_list)
    assert f"{total} of {total} pieces come out of your stock, nothing to buy" in page.lead
    assert page.sill["Sheets to buy"] == ("perhaps none", "▼ 1 fewer")
    assert "2 × A, 2 × B, 4 × C, 4 × D, 2 × E come off it" in page.text
    page = owning.type("stock", **{f"{PLACE}.width": "810"})
    assert page.sill["Sheets to buy"] == ("perhaps none", "")
    cutting = owning.look("cutting")
    check(cutting)
    assert "no sheets to buy. What you have" in cutting.lead
    assert "No. 7 from your stock, 1800 × 810 mm" in cutting.text
    assert "sheet ply" not in owning.look("buying").markup.replace("prices.", "")
    assert "Break down" in owning.look("steps").text and "No. 7: " in owning.look("steps").text
    check(owning.look("full_size"))


def test_an_offcut_that_saves_no_sheet_stays_whole(desk):
    sitting = desk()
    page = sitting.type("stock", "offcut:ply")
    check(page)
    assert "would save no sheet, so it stays whole" in page.lead and "It stays whole." in page.text
    assert "1 sheet to buy" in page.lead


def test_thickness_is_told_against_its_sheet_good(owning):
    good = owning.plain["workshop"]["sheets"]["ply"]["thickness"] * 1e3
    page = owning.type("stock", **{f"{PLACE}.thickness": f"{good + 0.08:.2f}"})
    check(page)
    assert "0.08 mm thicker than its sheet good, within the 0.1 mm" in page.text
    page = owning.type("stock", **{f"{PLACE}.thickness": f"{good - 0.4:.2f}"})
    check(page)
    assert "It is 0.4 mm thinner" in page.text and "1 sheet to buy" in page.lead


def test_pieces_come_and_go(desk):
    sitting = desk()
    sitting.type("stock", "offcut:ply")
    page = sitting.type("stock", "whole:ply")
    check(page)
    whole, sheet = sitting.plain["workshop"]["stock"]["sheet 1"], sitting.plain["workshop"]["sheets"]["ply"]
    assert (whole["length"], whole["width"], whole["kind"]) == (sheet["length"], sheet["width"], "sheet")
    page = sitting.type("stock", "drop:offcut 1")
    assert list(sitting.plain["workshop"]["stock"]) == ["sheet 1"]
    page = sitting.type("stock", **{"workshop.stock.sheet 1.aside": "yes"})
    assert "nothing of this work is cut from it" in page.text
    for verb in ("drop:offcut 1", "whole:oak", "offcut:oak"):
        assert "not there any more" in sitting.refused("stock", verb).text


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("length", "0", "above zero"),
        ("width", "20 m", "2 cm to 10 m"),
        ("thickness", "200", "calliper"),
        ("count", "51", "whole number from 1 to 50"),
        ("count", "1.5", "whole number"),
        ("name", "x" * 61, "short name"),
        ("sheet", "oak", "one of this project's sheets"),
        ("kind", "log", ""),
        ("grain", "across", ""),
        ("aside", "perhaps", "yes or no"),
    ],
)
def test_what_cannot_be_stock_is_refused_in_its_field(owning, name, text, words):
    before = owning.plain
    page = owning.refused("stock", **{f"{PLACE}.{name}": text})
    check(page)
    assert page.fields[f"{PLACE}.{name}"].wrong and words in page.fields[f"{PLACE}.{name}"].says
    assert owning.plain == before


def test_a_good_edit_beside_a_bad_one_is_kept(owning):
    check_refusal(owning, "stock", f"{PLACE}.length", "0", "above zero", (f"{PLACE}.width", "500", 0.5))


def test_it_answers_with_and_without_script_and_lets_a_guest_look(owning, stranger):
    check_answers(owning, "stock", f"{PLACE}.width", "600")
    check_looking(stranger(owning), "stock")


def test_which_parts_fit_an_offcut_is_answered_and_drawn(owning):
    page = owning.look("stock?piece=offcut 1#asked")
    check(page)
    assert "The most that comes out of it at once: 2 × A, 2 × B, 4 × C, 4 × D, 2 × E" in page.text
    assert "For every speaker there is room for front, back, left, right" in page.text
    assert not any(button.startswith("cut:") for button in page.buttons), "they are of its sheet good already"
    check(owning.look("stock?piece=ghost"))
    owning.type("stock", **{f"{PLACE}.length": "100", f"{PLACE}.width": "100"})
    assert "No part of this work comes out of it." in owning.look("stock?piece=offcut 1").text


def test_parts_are_cut_from_an_offcut_of_another_thickness(owning):
    good = owning.plain["workshop"]["sheets"]["ply"]["thickness"]
    owning.type("stock", **{f"{PLACE}.thickness": f"{1e3 * good - 0.5:.2f}", f"{PLACE}.width": "560"})
    page = owning.look("stock?piece=offcut 1")
    check(page)
    assert "Weight, each" in page.text and "→" in page.text and "cut:offcut 1" in page.buttons
    page = owning.type("stock", "cut:offcut 1")
    check(page)
    document = owning.plain
    assert document["workshop"]["sheets"]["offcut 1"]["thickness"] == pytest.approx(good - 0.0005)
    assert "offcut 1" in document["cabinet"]["panels"].values()
    assert page.sill["Weight, each"][1].startswith("▼"), "the foot tells what moved"
    for place in ("cutting", "cabinet", "materials", "buying", "steps", "saw"):
        check(owning.look(place))
    assert "takes no part" in owning.refused("stock", "cut:offcut 1").text
    assert "not there any more" in owning.refused("stock", "cut:ghost").text


def test_of_two_equal_offcuts_the_one_that_was_kept_is_marked(desk):
    """Five speakers from parts no longer than a metre leave two strips of one size."""
    sitting = desk()
    sitting.type("cutting", speakers="5", **{"workshop.most_length": "1000"})

    def strips(page):
        return re.findall(r"791 × 114\s*mm (is kept|Keep it)", page.text)

    page = sitting.look("stock")
    assert strips(page) == ["Keep it", "Keep it"]
    sizes = re.findall(r"([\d.]+ × [\d.]+)\s*mm Keep it", page.text)
    buttons = [each for each in page.buttons if each.startswith("keep:")]
    page = sitting.type("stock", buttons[sizes.index("791 × 114")])
    assert strips(page) == ["is kept", "Keep it"]
    page = sitting.type("stock", **{f"{PLACE}.count": "2"})
    assert strips(page) == ["is kept", "is kept"]


def test_what_is_left_is_kept_for_another_job(desk):
    sitting = desk()
    page = sitting.look("stock")
    (button, *_) = [each for each in page.buttons if each.startswith("keep:")]
    page = sitting.type("stock", button)
    check(page)
    kept = sitting.plain["workshop"]["stock"]["offcut 1"]
    assert kept["aside"] and kept["sheet"] == "ply" and kept["name"] == "from sheet 1"
    assert button not in page.buttons and "is kept as from sheet 1" in page.text
    assert "1 sheet to buy" in page.lead, "it is not there before this work is sawn"
    for verb in (button, "keep:ply:9:0", "keep:oak:1:0", "keep:", "keep:ply"):
        assert "not there any more" in sitting.refused("stock", verb).text
