"""Materials: what a sheet is taken as, what its user measured, and rows taken into the stock."""

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, said

from calc.cabinet.materials import BOARDS, SHEET_GOODS
from calc.evaluate_wood import wood
from server.documents import read_project
from server.pages import QUESTIONS

SHEET = "workshop.sheets.ply"


def notes(desk):
    """The first notes of the panels, weakest first."""
    return [each.weakest.supported for each in wood(read_project(desk.document), desk.result).panels]


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("materials")
    check(page)
    assert page.heading == QUESTIONS["materials"]


def test_what_is_chosen_and_measured_sets_the_notes_of_the_panels(desk):
    """A plate's notes go with the root of its stiffness at one weight: four times E is twice the note."""
    sitting = desk()
    sitting.type("materials", **{f"{SHEET}.material": "MDF"})
    mdf = notes(sitting)
    assert "reckoned as MDF" in sitting.look("materials").lead
    four = str(4 * BOARDS["MDF"].E_along / 1e9)
    page = sitting.type("materials", **{f"{SHEET}.E": four})
    check(page)
    assert notes(sitting) == pytest.approx([2 * note for note in mdf])
    assert "as you measured" in page.lead and said(4 * BOARDS["MDF"].E_along, "stiffness") in page.lead
    sitting.type("materials", **{f"{SHEET}.material": "", f"{SHEET}.E": ""})
    assert sitting.document["workshop"]["sheets"]["ply"]["material"] in (None, "")


def test_a_row_is_taken_into_the_stock(desk):
    sitting = desk()
    before = set(sitting.document["workshop"]["sheets"])
    number = next(n for n, good in enumerate(SHEET_GOODS) if good.name == "MDF 22 mm")
    check(sitting.type("materials", f"take:{number}"))
    sheets = sitting.document["workshop"]["sheets"]
    (new,) = set(sheets) - before
    assert (sheets[new]["thickness"], sheets[new]["density"], sheets[new]["material"]) == (0.022, 740, "MDF")
    check(sitting.type("materials", f"drop-sheet:{new}"))
    assert set(sitting.document["workshop"]["sheets"]) == before


def test_the_table_tells_every_sheet_with_its_source(desk):
    rows = (
        desk().look("materials").rows("Sheets as they are usually sold; the calliper has the last word")[1:]
    )
    assert len(rows) == len(SHEET_GOODS)
    for row, good in zip(rows, SHEET_GOODS, strict=True):
        assert row[1] == said(good.nominal, "length") and said(good.thickness, "fine length") in row[2]
        assert good.source in row[5] and good.confidence in row[5]


def test_refusals_stand_in_their_fields(desk, stranger):
    beside = (f"{SHEET}.density", "700", 700.0)
    check_refusal(desk(), "materials", f"{SHEET}.loss", "3", "from 0 to 1", beside)
    assert "beside the one across" in desk().refused("materials", **{f"{SHEET}.E_across": "5"}).text
    check_answers(desk(), "materials", f"{SHEET}.density", "690")
    check_looking(stranger(desk()), "materials")
