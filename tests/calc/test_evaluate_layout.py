"""The cut list of a project on its stock and its sheets."""

from collections import Counter

import pytest
from sawing import inspect

from calc.evaluate import evaluate
from calc.evaluate_buying import buying
from calc.evaluate_layout import held, layouts
from calc.shop.sheet_layout import Layout, Piece, Sheet
from server.documents import FieldErrors, amend, read_project
from tests.server.reading import MADE, made

OFFCUT = {"sheet": "ply", "length": 1.2, "width": 0.7}


def solved(document):
    project = read_project(document)
    return project, evaluate(project)


def checked(project, result):
    """Every layout by the independent saw, to the micrometre in which it is laid out; the layouts."""
    found, rows = layouts(project, result.cut_list), result.cut_list
    begun = Counter()
    for name, layout in found.items():
        mine = [row for row in rows if row.sheet == name]
        pieces = [Piece(row.label, row.cut_length, row.cut_width, row.count, "length") for row in mine]
        off = Counter()
        for laid in layout.laid:
            sheet = Sheet(laid.length, laid.width, laid.trim)
            off += inspect(Layout((laid.sawn,), 1, 1), pieces, sheet, project.workshop.kerf, 2e-6)
            begun[laid.stock] += laid.stock is not None
        assert off == {row.label: row.count for row in mine}
        assert [laid.number for laid in layout.laid] == list(range(1, len(layout.laid) + 1))
        assert layout.used == sum(laid.stock is None for laid in layout.laid)
        assert result.sheets_at_least[name].at_least <= layout.bought
    for key, piece in project.workshop.stock.items():
        assert begun[key] <= (0 if piece.aside else piece.count)
    return found


@pytest.mark.parametrize("name", MADE[:4])
def test_every_first_project_is_laid_out(name):
    checked(*solved(made(name)))


def test_each_sheet_good_is_laid_out_for_itself():
    document = made("reading_room")
    mdf = {**document["workshop"]["sheets"]["ply"], "name": "MDF"}
    document = amend(document, {"workshop.sheets.mdf": mdf, "cabinet.panels.front": "mdf"})
    found = checked(*solved(document))
    assert list(found) == ["mdf", "ply"]
    short = amend(document, {"workshop.sheets.mdf.length": 0.3})
    assert list(checked(*solved(short))) == ["ply"], (
        "a front that lies along the grain does not come out of it"
    )


def test_offcuts_that_take_all_leave_nothing_to_buy():
    """Pieces of the demo come to 1.07 m² and three offcuts to 2.5; stock is listed by nobody else."""
    document = amend(made("reading_room"), {"workshop.stock": {"rest": {**OFFCUT, "count": 3}}})
    project, result = solved(document)
    layout = checked(project, result)["ply"]
    assert (layout.used, layout.bought, layout.proved) == (0, 0, True)
    assert {laid.stock for laid in layout.laid} == {"rest"} and layout.laid[0].words == "rest"
    assert "sheet ply" not in {line.key for line in buying(project, result).lines}
    assert result.sheets_at_least["ply"].at_least == 0


def test_stock_of_another_thickness_or_for_another_job_is_left_alone():
    document = made("reading_room")
    thick = read_project(document).workshop.sheets["ply"].thickness
    for edits, used in (
        ({"thickness": thick + 0.0001}, True),
        ({"thickness": thick - 0.00011}, False),
        ({"aside": True}, False),
        ({"thickness": None}, True),
    ):
        piece = {**OFFCUT, "count": 3, **edits}
        project, result = solved(amend(document, {"workshop.stock": {"rest": piece}}))
        assert bool(held(project.workshop, "ply")) is used
        assert (checked(project, result)["ply"].bought == 0) is used


def test_grain_of_an_offcut_runs_along_its_parts():
    """Turned round, the same board is as good; the sides of the demo are longer than it is wide."""
    document = made("reading_room")
    for grain, sides in (("length", (1.2, 0.7)), ("width", (0.7, 1.2))):
        length, width = sides
        piece = {"sheet": "ply", "length": length, "width": width, "count": 3, "grain": grain}
        project, result = solved(amend(document, {"workshop.stock": {"rest": piece}}))
        layout = checked(project, result)["ply"]
        assert layout.bought == 0 and {laid.size for laid in layout.laid} == {(1.2, 0.7)}


def test_only_whole_sheets_are_trimmed():
    document = made("reading_room")
    trim = read_project(document).workshop.trim
    for kind, wanted in (("sheet", trim), ("offcut", 0.0)):
        piece = {"sheet": "ply", "length": 2.44, "width": 1.22, "kind": kind}
        project, result = solved(amend(document, {"workshop.stock": {"rest": piece}}))
        (laid,) = checked(project, result)["ply"].laid
        assert (laid.stock, laid.trim) == ("rest", wanted)


@pytest.mark.parametrize(
    ("edits", "place", "words"),
    [
        ({"length": 0.0}, "length", "above zero"),
        ({"width": 11.0}, "width", "2 cm to 10 m"),
        ({"thickness": 0.2}, "thickness", "calliper"),
        ({"count": 0}, "count", "whole number from 1 to 50"),
        ({"name": "x" * 61}, "name", "short name"),
        ({"sheet": "oak"}, "sheet", "one of this project's sheets"),
        ({"kind": "log"}, "kind", ""),
        ({"grain": "any"}, "grain", ""),
    ],
)
def test_a_piece_of_stock_that_cannot_be_is_refused_at_its_field(edits, place, words):
    with pytest.raises(FieldErrors) as refusal:
        read_project(amend(made("reading_room"), {"workshop.stock": {"rest": {**OFFCUT, **edits}}}))
    ((field, sentence),) = refusal.value.by_field.items()
    assert field == f"workshop.stock.rest.{place}" and words in sentence


def test_the_list_has_an_end():
    stock = {f"offcut {n}": OFFCUT for n in range(201)}
    with pytest.raises(FieldErrors) as refusal:
        read_project(amend(made("reading_room"), {"workshop.stock": stock}))
    assert list(refusal.value.by_field) == ["workshop.stock"]
