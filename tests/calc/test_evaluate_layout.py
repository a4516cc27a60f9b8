"""The cut list of a project on its stock and its sheets."""

from collections import Counter

import pytest
from sawing import inspect, outline
from shapely import box

from calc.evaluate import evaluate
from calc.evaluate_buying import buying
from calc.evaluate_layout import held, layouts, matches
from calc.evaluate_nested import nested
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


# Runs of grain ------------------------------------------------------------------------------------------


def members(laid, rows):
    """Of each run on a sheet: ((part, speaker), where it lies as a rectangle of shapely), in order."""
    letters = {name: row.label for row in rows for name in row.names}
    for match, blank in laid.runs:
        inside = box(blank.x, blank.y, blank.x + blank.length, blank.y + blank.width).buffer(2e-6)
        held_in = [piece for piece in laid.sawn.pieces if inside.covers(outline(piece))]
        held_in.sort(key=lambda piece: (piece.x, piece.y))
        assert [piece.name for piece in held_in] == [letters[name] for name, _ in match.parts]
        yield match, list(zip(match.parts, held_in, strict=True))


def run_of(document, **match):
    project, result = solved(amend(document, {"matched": {"run": match}}))
    rows = result.cut_list
    found = layouts(project, rows)
    return (
        project,
        result,
        [each for of in found.values() for laid in of.laid for each in members(laid, rows)],
    )


FRONTS = {"way": "side", "pair": True, "parts": {"1": "front"}}
WRAP = {"way": "end", "pair": False, "parts": {"1": "left", "2": "top", "3": "right"}}


def test_the_fronts_of_a_pair_come_from_one_blank():
    project, result, ((match, found),) = run_of(made("reading_room"), **FRONTS)
    assert match.parts == (("front", 1), ("front", 2)) and match.problem is None
    (_, one), (_, other) = found
    assert other.y - one.y == pytest.approx(one.width + project.workshop.kerf, abs=2e-6)
    assert one.x == pytest.approx(other.x) and not one.turned


def test_a_wrap_runs_over_the_turned_top_of_each_speaker():
    project, result, found = run_of(made("reading_room"), **WRAP)
    assert [match.parts for match, _ in found] == [
        (("left", n), ("top", n), ("right", n)) for n in (1, 2)
    ]  # fmt: skip
    for _, run in found:
        assert [piece.turned for _, piece in run] == [False, True, False]
        for (_, one), (_, other) in zip(run, run[1:], strict=False):
            end = outline(one).bounds[2]
            assert other.x - end == pytest.approx(project.workshop.kerf, abs=2e-6)


def test_a_mirrored_pair_reads_its_runs_the_other_way_round():
    document = amend(made("reading_room"), {"cabinet.mirrored": True})
    *_, ((match, _),) = run_of(document, **WRAP | {"pair": True, "parts": {"1": "left", "2": "right"}})
    assert match.parts == (("left", 1), ("right", 1), ("right", 2), ("left", 2))
    project, result, found = run_of(document, **WRAP)
    assert [match.parts[0] for match, _ in found] == [("left", 1), ("right", 2)]


def checked_runs(project, result):
    """All pieces come off as before, members of runs among them, turned or not."""
    for name, layout in layouts(project, result.cut_list).items():
        mine = {row.label: row for row in result.cut_list if row.sheet == name}
        off = Counter()
        for laid in layout.laid:
            sheet, grain = Sheet(laid.length, laid.width, laid.trim), {True: "width", False: "length"}
            turned = {piece.name for piece in laid.sawn.pieces if piece.turned}
            pieces = [
                Piece(
                    p.name, p.length, p.width, mine[p.name].count, "any" if p.name in turned else grain[False]
                )
                for p in laid.sawn.pieces
            ]
            pieces = list({piece.name: piece for piece in pieces}.values())
            off += inspect(Layout((laid.sawn,), 1, 1), pieces, sheet, project.workshop.kerf, 8e-6)
        assert off == {label: row.count for label, row in mine.items()}


@pytest.mark.parametrize("name", MADE[:4])
@pytest.mark.parametrize("match", [FRONTS, WRAP, {**WRAP, "pair": True}, {**FRONTS, "way": "end"}])
def test_every_piece_is_cut_as_often_as_without_runs(name, match):
    checked_runs(*run_of(made(name), **match)[:2])


def test_one_speaker_takes_its_own_part_of_a_run():
    project, result, _ = run_of(made("reading_room"), **FRONTS)
    lines = {line.key: line for line in buying(project, result).lines}
    assert lines["sheet ply"].one == 1


@pytest.mark.parametrize(
    ("match", "words"),
    [
        ({"parts": {"1": "ghost", "2": "front"}}, "ghost: not cut from a sheet in one piece"),
        ({"pair": False, "parts": {"1": "front"}}, "one part alone"),
        ({"parts": {}}, "one part alone"),
        ({"parts": {"1": "front", "2": "left"}}, "different sheet goods"),
        (
            {"way": "side", "parts": {"1": "left", "2": "right", "3": "top", "4": "bottom", "5": "back"}},
            "no sheet is large enough",
        ),
    ],
)
def test_a_run_that_cannot_be_is_told_and_its_parts_are_cut_one_by_one(match, words):
    document = made("reading_room")
    mdf = {**document["workshop"]["sheets"]["ply"], "name": "MDF"}
    document = amend(document, {"workshop.sheets.mdf": mdf, "cabinet.panels.front": "mdf"})
    project, result = solved(amend(document, {"matched": {"run": match}}))
    assert words in matches(project, result.cut_list, project.workshop.kerf)[0].problem
    checked(project, result)


def test_a_part_stands_in_one_run_once():
    for matched, field in (
        ({"a": {"parts": {"1": "left", "2": "left"}}}, "matched.a.parts.1"),
        ({"a": FRONTS, "b": FRONTS}, "matched.b.parts.1"),
        ({"a": {"parts": {"9": "left"}}}, "matched.a.parts.9"),
        ({"a": {"way": "round"}}, "matched.a.way"),
    ):
        with pytest.raises(FieldErrors) as refusal:
            read_project(amend(made("reading_room"), {"matched": matched}))
        assert field in refusal.value.by_field


@pytest.mark.parametrize("match", [FRONTS, WRAP, {**WRAP, "pair": True}])
def test_the_sheet_for_the_router_holds_every_part_once_and_those_of_a_run_in_order(match):
    document = amend(made("reading_room"), {"cabinet.mirrored": True, "cabinet.seats.dome.x": 0.12})
    project, result, _ = run_of(document, **match)
    names = Counter()
    for sheets in nested(project, result).values():
        for sheet in sheets:
            found = [(part.side.part.name, part.side.hand) for part in sheet.parts]
            names.update(found)
            for number, (name, speaker) in sheet.laid.named.items():
                hand = ("left cabinet", "right cabinet")[speaker - 1] if name in result.handed else ""
                assert found[number] == (name, hand)
    assert sum(names.values()) == sum(row.count for row in result.cut_list)
    assert names["front", "left cabinet"] == names["front", "right cabinet"] == 1
    assert {name for name, hand in names if names[name, hand] != (1 if hand else 2)} == set()
