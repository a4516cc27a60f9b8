"""How many sheets a cut list asks for at the least, and how its pieces are laid out on them."""

import json
from dataclasses import dataclass
from itertools import product
from math import ceil, inf
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sawing import inspect, saw
from shapely import box as rectangle
from shapely import union_all

from calc.errors import InputError
from calc.shop.layout_bound import most_value
from calc.shop.layout_greedy import in_strips, tries
from calc.shop.layout_merge import Merging
from calc.shop.layout_tree import Kind, Leaf, Split, leaves, rebuilt, sawn
from calc.shop.layout_value import Outside, normal_positions, unlimited
from calc.shop.sheet_layout import Piece as Wood
from calc.shop.sheet_layout import (
    Sheet,
    broken,
    fewest_sheets,
    most_from_one_sheet,
    sheets_at_least,
)

PACKING = json.loads((Path(__file__).parents[1] / "data/packing.json").read_text())

KERF, TRIM = 0.0032, 0.01


@dataclass(frozen=True)
class Stock:
    length: float = 2.44
    width: float = 1.22


@dataclass(frozen=True)
class Piece:
    label: str
    length: float
    width: float
    count: int = 1
    sheet: str = "ply"

    @property
    def cut_length(self):
        return self.length

    @property
    def cut_width(self):
        return self.width


def need(pieces, stock=None, kerf=KERF, trim=TRIM):
    return sheets_at_least(pieces, {"ply": stock or Stock()}, kerf, trim)["ply"]


def test_area_by_hand():
    """Twelve pieces of 600 x 400, a kerf with each, are a thousandth more than a sheet within its trim."""
    piece = Piece("A", 0.6, 0.4, 12)
    share = 12 * 0.6032 * 0.4032 / ((2.44 - 0.02 + 0.0032) * (1.22 - 0.02 + 0.0032))
    assert share == pytest.approx(1.001, abs=1e-4)
    assert need([piece]).at_least == 2
    assert need([Piece("A", 0.6, 0.4, 11)]).at_least == 1
    assert need([piece], kerf=0.0).at_least == 1, "without a kerf they fit"


def test_pieces_that_fill_their_sheets_exactly():
    whole = Piece("A", 2.42, 1.2, 3)
    assert need([whole]) == need([whole]) and need([whole]).at_least == 3
    halves = Piece("A", (2.42 - KERF) / 2, 1.2, 6)
    assert need([halves]).at_least == 3, "the last cut needs no kerf beyond the edge"


@given(st.data())
def test_what_was_sawn_from_n_sheets_never_asks_for_more(data):
    """Sheets are sawn through at random; whatever came off them can be had from as many."""
    sheets = data.draw(st.integers(1, 3))
    kerf = data.draw(st.sampled_from([0.0, 0.0018, 0.0032]))
    pieces = []
    for _ in range(sheets):
        offcuts = [(2.42, 1.2)]
        for _ in range(data.draw(st.integers(0, 8))):
            length, width = offcuts.pop(data.draw(st.integers(0, len(offcuts) - 1)))
            if data.draw(st.booleans()):
                length, width = width, length
            at = data.draw(st.floats(0.05, 0.95)) * (length - kerf)
            offcuts += [(at, width), (length - kerf - at, width)]
        pieces += [Piece("A", *size) for size in offcuts if min(size) > 0.01]
    found = need(pieces, kerf=kerf)
    assert 1 <= found.at_least <= sheets
    assert found.too_big == ()


@given(
    st.lists(st.tuples(st.floats(0.1, 1.1), st.floats(0.1, 1.1), st.integers(1, 9)), min_size=1, max_size=6)
)
def test_never_fewer_than_the_bare_wood_and_more_pieces_never_need_less(sizes):
    pieces = [Piece("A", *size) for size in sizes]
    found = need(pieces).at_least
    wood = sum(piece.length * piece.width * piece.count for piece in pieces)
    assert found >= wood / (2.42 * 1.2) - 1e-9
    assert need([*pieces, Piece("B", 0.5, 0.5)]).at_least in (found, found + 1)


@pytest.mark.parametrize(
    ("length", "width", "fits"),
    [
        (2.42, 1.2, True), (1.2, 2.42, True), (2.4201, 0.1, False), (0.1, 2.4201, False), (1.21, 1.21, False),
        (2.44, 1.22, False),
    ],
)  # fmt: skip
def test_what_comes_out_of_no_sheet_is_named(length, width, fits):
    found = need([Piece("A", 0.5, 0.5), Piece("B", length, width)])
    assert found.too_big == (() if fits else ("B",))


def test_each_sheet_good_is_counted_for_itself():
    rows = [Piece("A", 2.0, 1.0, 2, "ply"), Piece("B", 0.5, 0.5, 1, "mdf"), Piece("C", 0.3, 0.3, 4, "ply")]
    found = sheets_at_least(rows, {"ply": Stock(), "mdf": Stock(1.0, 0.6), "unused": Stock()}, KERF, TRIM)
    assert list(found) == ["ply", "mdf"]
    assert found["ply"].at_least == 2 and found["mdf"].at_least == 1
    assert sheets_at_least([], {"ply": Stock()}, KERF, TRIM) == {}


@pytest.mark.parametrize("trim", [0.61, 0.7, 1.22, 50.0])
def test_a_sheet_that_its_trim_uses_up_gives_nothing(trim):
    found = need([Piece("A", 0.1, 0.1)], trim=trim)
    assert found.at_least == 0 and found.too_big == ("A",)


# Layouts ---------------------------------------------------------------------------------------------


def laid_out(known):
    """Layout, pieces and sheet of an instance of tests/data/packing.json, seen by the independent saw."""
    pieces = [Wood(f"p{n}", grain=known["grain"], **piece) for n, piece in enumerate(known["pieces"])]
    sheet = Sheet(**known["sheet"])
    engine = fewest_sheets if known["goal"] == "all" else most_from_one_sheet
    layout = engine(pieces, sheet, known["kerf"])
    return layout, pieces, inspect(layout, pieces, sheet, known["kerf"])


@pytest.mark.parametrize("known", [k for k in PACKING if k["goal"] == "all"], ids=lambda k: k["name"])
def test_fewest_sheets_of_known_instances(known):
    """Source and confidence stand with each instance."""
    layout, pieces, laid = laid_out(known)
    assert (layout.used, layout.bound) == (known["best"], known["best"]) and layout.proved
    assert len(layout.sheets) == layout.used
    assert laid == {piece.name: piece.count for piece in pieces}


@pytest.mark.parametrize("known", [k for k in PACKING if k["goal"] == "one sheet"], ids=lambda k: k["name"])
def test_most_value_of_known_instances(known):
    """The optimum itself, and it is known to be one. Source and confidence stand with each instance."""
    layout, pieces, laid = laid_out(known)
    assert layout.used == known["best"] and layout.proved
    assert layout.used == sum(laid[piece.name] * piece.value for piece in pieces)


def in_two_stages(pieces, sheet, kerf):
    """Sheets by the plainest strips of all, first fit, pieces as given: what no layout may fall behind."""
    length, width = sheet.length - 2 * sheet.trim, sheet.width - 2 * sheet.trim
    sheets = []
    for piece in sorted((p for p in pieces for _ in range(p.count)), key=lambda p: -p.width):
        strips = [strip for used in sheets for strip in used]
        for strip in strips:
            if piece.width <= strip[0] and strip[1] + kerf + piece.length <= length:
                strip[1] += kerf + piece.length
                break
        else:
            for used in sheets:
                if sum(strip[0] + kerf for strip in used) + piece.width <= width:
                    used.append([piece.width, piece.length])
                    break
            else:
                sheets.append([[piece.width, piece.length]])
    return len(sheets)


sizes = st.tuples(st.integers(60, 1200), st.integers(60, 1200))
woods = st.lists(st.tuples(sizes, st.integers(0, 4), st.sampled_from(["length", "any"])), max_size=9)


@settings(max_examples=60)
@given(woods, st.sampled_from([0.0, 1.8, 3.175]), st.sampled_from([0.0, 10.0]))
def test_any_layout_can_be_sawn_and_is_no_worse_than_strips(rows, kerf, trim):
    """The checker is shapely's; the strips are this test's own."""
    pieces = [Wood(f"p{n}", *size, count, grain) for n, (size, count, grain) in enumerate(rows)]
    sheet = Sheet(2440, 1220, trim)
    layout = fewest_sheets(pieces, sheet, kerf)
    laid = inspect(layout, pieces, sheet, kerf)
    assert laid == {piece.name: piece.count for piece in pieces if piece.count}
    area = sum(p.length * p.width * p.count for p in pieces) / ((2440 - 2 * trim) * (1220 - 2 * trim))
    assert ceil(area - 1e-9) <= layout.bound <= layout.used <= in_two_stages(pieces, sheet, kerf)


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(sizes, st.sampled_from([0, 1, 3, None]), st.sampled_from(["length", "width", "any"]),
                  st.sampled_from([None, 0, 1.0, 2.5])),
        max_size=7,
    ),
    st.sampled_from([0.0, 3.2]),
)  # fmt: skip
def test_the_most_from_an_offcut_can_be_sawn_and_is_worth_what_it_says(rows, kerf):
    pieces = [Wood(f"p{n}", *size, *rest) for n, (size, *rest) in enumerate(rows)]
    sheet = Sheet(1100, 700, 5)
    layout = most_from_one_sheet(pieces, sheet, kerf)
    laid = inspect(layout, pieces, sheet, kerf)
    worth = {p.name: p.length * p.width if p.value is None else p.value for p in pieces}
    assert layout.used == pytest.approx(sum(worth[name] * n for name, n in laid.items()))
    assert layout.used <= layout.bound * (1 + 1e-12)
    fitting = [
        worth[p.name] for p in pieces if p.count != 0
        for way in {"length": [(p.length, p.width)], "width": [(p.width, p.length)]}.get(
            p.grain, [(p.length, p.width), (p.width, p.length)])
        if way[0] <= 1090 and way[1] <= 690
    ]  # fmt: skip
    assert layout.used >= max(fitting, default=0), "at least the dearest single piece"


def test_lengths_are_compared_as_whole_micrometres():
    """3 x 811.2 + 2 x 3.2 is 2440 and fits; in floats it is more by a hair. Derived."""
    assert 3 * 811.2 + 2 * 3.2 > 2440
    sheet = Sheet(2440, 1220)
    row = [Wood("A", 811.2, 1220, 3, "length")]
    assert fewest_sheets(row, sheet, 3.2).used == 1
    assert fewest_sheets(row, sheet, 3.201).used == 2
    metres = [Wood("A", 0.8112, 1.22, 3, "length")]
    assert fewest_sheets(metres, Sheet(2.44, 1.22), 0.0032).used == 1
    assert fewest_sheets(metres, Sheet(2.44, 1.22), 0.003201).used == 2


def test_a_last_cut_may_run_off_the_edge():
    """A piece a millimetre shorter than the sheet: the saw takes that millimetre and no more is there."""
    layout = fewest_sheets([Wood("A", 999, 500, 1)], Sheet(1000, 500), 3)
    (cut,) = layout.sheets[0].cuts
    assert (cut.axis, cut.at, cut.start, cut.end) == ("y", 999, 0, 500)


def test_strips_are_ripped_before_they_are_crosscut():
    layout = fewest_sheets([Wood("A", 600, 300, 12, "length")], Sheet(2440, 1220, 10), 3)
    cuts = layout.sheets[0].cuts
    assert [cut.axis for cut in cuts] == ["x"] * 3 + ["y"] * 12
    assert [cut.at for cut in cuts[:3]] == [310, 613, 916]
    assert {(cut.start, cut.end) for cut in cuts[:3]} == {(10, 2430)}


def test_the_same_layout_on_every_run():
    known = next(k for k in PACKING if k["name"] == "own_cut_16_slack")
    assert laid_out(known)[0] == laid_out(known)[0]


def test_grain_lies_where_it_is_told():
    pieces = [
        Wood("A", 600, 300, 2, "width"),
        Wood("B", 600, 300, 2, "length"),
        Wood("C", 300, 300, 1, "width"),
    ]
    layout = fewest_sheets(pieces, Sheet(1500, 700), 3)
    inspect(layout, pieces, Sheet(1500, 700), 3)
    assert {(p.name, p.turned) for s in layout.sheets for p in s.pieces} == {
        ("A", True),
        ("B", False),
        ("C", True),
    }


def test_rows_of_the_same_size_keep_their_names():
    pieces = [Wood("left", 400, 300, 2), Wood("right", 300, 400, 2), Wood("none", 300, 400, 0)]
    layout = fewest_sheets(pieces, Sheet(1000, 1000), 3)
    assert inspect(layout, pieces, Sheet(1000, 1000), 3) == {"left": 2, "right": 2}


def test_nothing_to_cut_needs_no_sheet():
    for engine in (fewest_sheets, most_from_one_sheet):
        for pieces in ([], [Wood("A", 100, 100, 0)]):
            layout = engine(pieces, Sheet(1000, 500), 3)
            assert (layout.sheets, layout.used, layout.bound) == ((), 0, 0) and layout.proved


def test_what_does_not_fit_an_offcut_is_left_out():
    pieces = [Wood("A", 1200, 100, 1), Wood("B", 400, 300, 1)]
    layout = most_from_one_sheet(pieces, Sheet(1000, 500), 3)
    assert [piece.name for piece in layout.sheets[0].pieces] == ["B"] and layout.proved


SHEET = Sheet(2440, 1220, 10)


@pytest.mark.parametrize(
    ("engine", "pieces", "sheet", "kerf", "field"),
    [
        (fewest_sheets, [Wood("A", 100, 100), Wood("B", 2430, 100)], SHEET, 3, "pieces.1.length"),
        (fewest_sheets, [Wood("A", 100, 2430)], SHEET, 3, "pieces.0.width"),
        (fewest_sheets, [Wood("A", 1300, 1300)], SHEET, 3, "pieces.0.width"),
        (fewest_sheets, [Wood("A", 1300, 100, 1, "width")], SHEET, 3, "pieces.0.length"),
        (fewest_sheets, [Wood("A", 1300, 1300, 1, "length")], SHEET, 3, "pieces.0.width"),
        (fewest_sheets, [Wood("A", 1e9, 100)], SHEET, 3, "pieces.0.length"),
        (fewest_sheets, [Wood("A", 100, 100, None)], SHEET, 3, "pieces.0.count"),
        (fewest_sheets, [Wood("A", 100, 100, 2001)], SHEET, 3, "pieces"),
        (most_from_one_sheet, [Wood("A", 5, 5, None)], SHEET, 0.1, "pieces.0.count"),
        (fewest_sheets, [Wood("A", 0, 100)], SHEET, 3, "pieces.0.length"),
        (fewest_sheets, [Wood("A", 100, float("nan"))], SHEET, 3, "pieces.0.width"),
        (fewest_sheets, [Wood("A", 1e-5, 100)], SHEET, 3, "pieces.0.length"),
        (fewest_sheets, [Wood("A", 100, 100, -1)], SHEET, 3, "pieces.0.count"),
        (most_from_one_sheet, [Wood("A", 100, 100, 1, "any", -1)], SHEET, 3, "pieces.0.value"),
        (fewest_sheets, [], Sheet(0, 1220), 3, "sheet.length"),
        (fewest_sheets, [], Sheet(2440, 1e7), 3, "sheet.width"),
        (fewest_sheets, [], Sheet(2440, 1220, 610), 3, "sheet.trim"),
        (fewest_sheets, [], Sheet(2440, 1220, -1), 3, "sheet.trim"),
        (fewest_sheets, [], SHEET, -0.1, "kerf"),
        (fewest_sheets, [], SHEET, 1220, "kerf"),
        (fewest_sheets, [], SHEET, inf, "kerf"),
    ],
)
def test_what_cannot_be_laid_out_is_refused_at_its_field(engine, pieces, sheet, kerf, field):
    with pytest.raises(InputError) as refusal:
        engine(pieces, sheet, kerf)
    assert refusal.value.field == field
    assert refusal.value.problem[0].islower()


def test_a_thousand_pieces_are_answered():
    pieces = [Wood(f"p{n}", 100 + 7 * n % 611, 80 + 11 * n % 397, 4) for n in range(250)]
    layout = fewest_sheets(pieces, SHEET, 3.2)
    assert sum(inspect(layout, pieces, SHEET, 3.2).values()) == 1000
    assert layout.used <= 1.1 * layout.bound


# The parts that it is made of ---------------------------------------------------------------------------


def every_guillotine_value(room, kinds):
    """Best values by the plain recursion over every whole cut, pieces without limit: a second route."""
    W, H = room
    best = [[0.0] * (H + 1) for _ in range(W + 1)]
    for w, h in product(range(1, W + 1), range(1, H + 1)):
        found = [k.value for k in kinds for way in k.laid if way[0] <= w and way[1] <= h]
        found += [best[a][h] + best[w - a][h] for a in range(1, w)]
        found += [best[w][b] + best[w][h - b] for b in range(1, h)]
        best[w][h] = max(found, default=0.0)
    return best


small = st.lists(
    st.tuples(st.integers(2, 9), st.integers(2, 9), st.integers(1, 30), st.booleans()), min_size=1, max_size=4
)


def kinds_of(rows, count=50):
    return [
        Kind(((w, h), (h, w)) if turn and w != h else ((w, h),), count, float(value))
        for w, h, value, turn in rows
    ]


@settings(max_examples=40)
@given(small)
def test_unlimited_pieces_by_a_second_route(rows):
    room, kinds = (19, 14), kinds_of(rows)
    fitting = [k for k in kinds if any(w <= 19 and h <= 14 for w, h in k.laid)]
    tree, bound = unlimited(fitting, room, 1000)
    assert bound == every_guillotine_value(room, kinds)[19][14]
    assert sum(fitting[leaf.kind].value for leaf in leaves(tree)) == bound
    pieces, _ = sawn(tree, room, 0)
    assert len(pieces) == len(leaves(tree))
    assert unlimited(fitting, room, 0)[0] is None or not leaves(tree)


@settings(max_examples=30)
@given(small, st.integers(1, 3))
def test_merging_upward_finds_the_best_of_limited_pieces(rows, count):
    """Never below what any quick layout is worth, never above the bounds; complete means that both meet."""
    room, kinds = (19, 14), kinds_of(rows, count)
    search = Merging(kinds, room, Outside(kinds, room))
    found = search.run(0.5, 10_000, 10**8, enough=0)
    assert search.complete
    best = found[-1][0]
    quick = [
        sum(kinds[leaf.kind].value for leaf in leaves(trees[0])) for trees in tries(kinds, room, 40, 1, True)
    ]
    assert (
        max(quick) <= best <= min(most_value(kinds, room), every_guillotine_value(room, kinds)[19][14]) + 1e-9
    )
    used = [leaf.kind for leaf in leaves(found[-1][1])]
    assert all(used.count(n) <= count for n in range(len(kinds)))


def test_what_is_dropped_is_told():
    kinds = kinds_of([(3, 4, 12, True), (5, 2, 10, True), (2, 2, 4, False), (4, 4, 15, False)], 4)
    search = Merging(kinds, (19, 14))
    found = search.run(1.0, 3, 10**8, enough=0)
    assert not search.complete and search.dropped >= found[-1][0]


@given(st.lists(st.tuples(st.integers(1, 30), st.integers(1, 30), st.integers(0, 3)), min_size=1, max_size=4))
def test_normal_positions_are_all_sums(rows):
    reached = {0}
    for a, b, count in rows:
        for _ in range(count):
            reached |= {r + e for r in reached for e in (a, b) if r + e <= 60}
    found = normal_positions([(a, b) for a, b, _ in rows], [count for *_, count in rows], 60)
    assert sorted(reached) == list(found)
    assert normal_positions([(1,)], [1], 4_000_000) is None


def test_a_row_of_two_thousand_pieces_is_no_recursion():
    order = [0] * 2000
    (tree,) = in_strips([Kind(((3, 7),), 2000, 1.0)], (6000, 7), 0, True, order)
    assert len(leaves(rebuilt(tree, lambda leaf: leaf, lambda split: split.size))) == 2000
    pieces, cuts = sawn(tree, (6000, 7), 1)
    assert len(pieces) == 2000 and len(cuts) == 1999


def test_sawing_by_hand():
    """Two pieces side by side, the right one lower: three cuts, the last two off the right part. Derived."""
    tree = Split(0, 43, Leaf(0, 43, 53), Leaf(1, 33, 23))
    pieces, cuts = sawn(tree, (103, 53), 3)
    assert [(p.x, p.y, p.w, p.h) for p in pieces] == [(0, 0, 40, 50), (43, 0, 30, 20)]
    assert [tuple(cut) for cut in cuts] == [(1, 40, 0, 50), (1, 73, 0, 50), (0, 20, 43, 73)]


def test_the_independent_saw_refuses_what_no_saw_can_do():
    sheet = Sheet(100, 100)
    with pytest.raises(AssertionError, match="edge to edge"):
        saw(sheet, 0, [("x", 50, 0, 60)])
    assert len(saw(sheet, 3, [("x", 50, 0, 100), ("y", 98, 0, 50)])) == 2, (
        "a kerf that runs off leaves nothing"
    )


@given(st.floats(0.3, 3.0), st.floats(0.3, 3.0))
def test_parts_that_come_home_fill_their_sheet_and_are_as_few_as_can_be(length, width):
    """Parts and kerfs add up to the sheet; one part fewer each way would be too large: *derived*."""
    part = broken(Stock(), KERF, (length, width))
    for size, n, one, most in (
        (2.44, part.along, part.length, length),
        (1.22, part.across, part.width, width),
    ):
        assert n * one + (n - 1) * KERF == pytest.approx(size)
        assert one <= most + 1e-9
        assert n == 1 or (size - (n - 2) * KERF) / (n - 1) > most - 1e-9


def test_a_sheet_that_comes_whole_is_one_part():
    assert broken(Stock(), KERF) == (1, 1, 2.44, 1.22)


@given(
    pieces=st.lists(
        st.tuples(st.integers(50, 900), st.integers(50, 600), st.integers(1, 4)), min_size=1, max_size=6
    )
)
@settings(max_examples=40)
def test_pieces_and_offcuts_are_all_of_the_sheet_but_its_kerfs(pieces):
    """Each rectangle with a kerf on two sides, joined by a geometry library, is the trimmed sheet."""
    wood = [Wood(str(n), length, width, count) for n, (length, width, count) in enumerate(pieces)]
    found = fewest_sheets(wood, Sheet(2440, 1220, 10), 3.2)
    for sheet in found.sheets:
        laid = [(p.x, p.y, *((p.width, p.length) if p.turned else (p.length, p.width))) for p in sheet.pieces]
        boxes = [rectangle(x, y, x + w + 3.2, y + h + 3.2) for x, y, w, h in (*laid, *sheet.offcuts)]
        thin = 2440 * 3.2 + 1220 * 3.2  # offcuts no wider than the saw's cut are dust
        assert sum(box.area for box in boxes) <= 2423.2 * 1203.2 + 1e-3
        assert union_all(boxes).area == pytest.approx(sum(box.area for box in boxes), rel=1e-9)
        assert sum(box.area for box in boxes) >= 2423.2 * 1203.2 - 4 * thin


@given(
    pieces=st.lists(
        st.tuples(st.integers(50, 900), st.integers(50, 600), st.integers(1, 4)), min_size=1, max_size=6
    )
)
@settings(max_examples=40)
def test_no_layout_in_strips_on_as_many_sheets_leaves_more_in_one_piece(pieces):
    """Strips both ways by the rule of every panel saw; the rest above or beside them is theirs alone."""
    wood = [Wood(str(n), length, width, count, "length") for n, (length, width, count) in enumerate(pieces)]
    found = fewest_sheets(wood, Sheet(2440, 1220), 0)
    most = max((w * h for sheet in found.sheets for *_, w, h in sheet.offcuts), default=0.0)
    ordered = sorted((p for p in wood for _ in range(p.count)), key=lambda p: -p.width)
    strips = []
    for piece in ordered:
        strip = next((s for s in strips if s[1] + piece.length <= 2440), None)
        if strip is None:
            strips.append([piece.width, piece.length])
        else:
            strip[1] += piece.length
    if sum(s[0] for s in strips) <= 1220 and found.used == 1:
        assert most >= (1220 - sum(s[0] for s in strips)) * 2440 - 1e-6
