"""Layouts in three stages: rips along the sheet, then crosscuts, then last rips; or the other way about."""

from itertools import groupby

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sawing import inspect

from calc.shop.layout_search import all_pieces
from calc.shop.layout_staged import STAGED, Staged
from calc.shop.layout_tree import Kind, leaves, sawn
from calc.shop.sheet_layout import Piece, Sheet, fewest_sheets, most_from_one_sheet

STAGES = {"rip": ("x", "y", "x"), "crosscut": ("y", "x", "y")}


def stages(sawn):
    """The directions that the cuts of a sheet run in, one after the other, equal neighbours as one."""
    return [axis for axis, _ in groupby(sawn.cuts, key=lambda cut: cut.axis)]


def in_order(sawn, order):
    """Whether the cuts go through no more than the three stages of an order, some of which may be empty."""
    wanted, found = list(STAGES[order]), stages(sawn)
    return found in (wanted[a:b] for a in range(3) for b in range(a, 4))


sizes = st.tuples(st.integers(60, 1200), st.integers(60, 1200))
woods = st.lists(st.tuples(sizes, st.integers(0, 4), st.sampled_from(["length", "any", "width"])), max_size=8)
orders = st.sampled_from(["rip", "crosscut"])


@settings(max_examples=60)
@given(woods, st.sampled_from([0.0, 1.8, 3.175]), st.sampled_from([0.0, 10.0]), orders)
def test_cuts_go_through_three_stages_and_yield_every_piece(rows, kerf, trim, order):
    """The cuts are replayed by the independent saw, the stages counted from the cuts themselves."""
    pieces = [
        Piece(f"p{n}", *size, count, grain)
        for n, (size, count, grain) in enumerate(rows)
        if grain != "width" or size[0] < 1190
    ]
    sheet = Sheet(2440, 1220, trim)
    layout = fewest_sheets(pieces, sheet, kerf, order)
    assert inspect(layout, pieces, sheet, kerf) == {p.name: p.count for p in pieces if p.count}
    assert all(in_order(sawn, order) for sawn in layout.sheets)
    free = fewest_sheets(pieces, sheet, kerf)
    assert free.bound <= layout.bound <= layout.used
    assert layout.used >= free.bound


@settings(max_examples=12)
@given(
    st.lists(
        st.tuples(st.integers(60, 700), st.integers(60, 700), st.sampled_from([1, 3, None])), max_size=6
    ),
    orders,
)
def test_the_most_from_one_sheet_in_an_order(rows, order):
    """Never worth more than its bound, never less than the dearest piece alone."""
    pieces = [Piece(f"p{n}", *row) for n, row in enumerate(rows)]
    sheet = Sheet(1100, 720, 5)
    layout = most_from_one_sheet(pieces, sheet, 3.2, order)
    laid = inspect(layout, pieces, sheet, 3.2)
    assert all(in_order(sawn, order) for sawn in layout.sheets)
    area = {p.name: p.length * p.width for p in pieces}
    assert layout.used == pytest.approx(sum(area[name] * n for name, n in laid.items()))
    assert max(area.values(), default=0) <= layout.used <= layout.bound * (1 + 1e-12)


# Every layout there is, for a few pieces ------------------------------------------------------------------


def parts_of(bits):
    """All parts of a set that hold its lowest member."""
    lowest = bits & -bits
    rest = bits ^ lowest
    part = rest
    while True:
        yield part | lowest
        if part == 0:
            return
        part = part - 1 & rest


def fewest_of_all(pieces, room):
    """Sheets needed in three stages, by going through every set of pieces: `pieces` are lists of (w, h)."""
    everything = (1 << len(pieces)) - 1
    members = {bits: [n for n in range(len(pieces)) if bits >> n & 1] for bits in range(everything + 1)}

    def blocks(bits):
        for w in {w for n in members[bits] for w, _ in pieces[n]}:
            heights = [min((h for v, h in pieces[n] if v == w), default=None) for n in members[bits]]
            if None not in heights:
                yield w, sum(heights)

    strips = {0: {(0, 0)}}
    for bits in range(1, everything + 1):
        strips[bits] = {
            (length + w, max(height, h))
            for part in parts_of(bits)
            for w, h in blocks(part)
            for length, height in strips[bits ^ part]
            if length + w <= room[0]
        }
    lowest = {bits: min((h for _, h in found), default=room[1] + 1) for bits, found in strips.items()}
    stacked, sheets = {0: 0}, {0: 0}
    for bits in range(1, everything + 1):
        stacked[bits] = min(lowest[part] + stacked[bits ^ part] for part in parts_of(bits))
    for bits in range(1, everything + 1):
        sheets[bits] = 1 + min(
            sheets[bits ^ part] if stacked[part] <= room[1] else len(pieces) for part in parts_of(bits)
        )
    return sheets[everything]


def test_the_brute_force_by_hand():
    """Three of 4 x 3 on 8 x 6: two strips of two. 5 x 3 and two of 3 x 3 on 8 x 6: the last two stand in one
    block of 3 beside the first. Of 5 x 5 on 8 x 6 there is one a sheet."""
    assert fewest_of_all([[(4, 3)]] * 4, (8, 6)) == 1 and fewest_of_all([[(4, 3)]] * 5, (8, 6)) == 2
    assert fewest_of_all([[(5, 6)], [(3, 3)], [(3, 3)]], (8, 6)) == 1
    assert fewest_of_all([[(5, 5)], [(5, 5)]], (8, 6)) == 2


def test_a_layout_that_takes_four_stages_is_none():
    """5 x 6 stands beside a stack of 3 x 2 and, below it, 2 x 4 beside 1 x 4: two stages more than strips,
    by hand. Any order takes one sheet."""
    lists = [[(5, 6)], [(3, 2)], [(2, 4)], [(1, 4)]]
    kinds = [Kind(tuple(ways), 1, 1.0) for ways in lists]
    assert len(all_pieces(kinds, (8, 6))[0]) == 1
    assert fewest_of_all(lists, (8, 6)) == 2
    trees, bound = all_pieces(kinds, (8, 6), STAGED)
    assert (len(trees), bound) == (2, 2), "and that is proved"


few = st.lists(st.tuples(st.integers(1, 9), st.integers(1, 7), st.booleans()), min_size=1, max_size=6)


@settings(max_examples=120)
@given(few, st.tuples(st.integers(9, 12), st.integers(9, 10)))
def test_no_layout_in_three_stages_takes_fewer_sheets(rows, room):
    pieces = [[(w, h), (h, w)] if turns and w != h else [(w, h)] for w, h, turns in rows]
    kinds = [Kind(tuple(sorted(ways)), 1, 1.0) for ways in pieces]
    trees, bound = all_pieces(kinds, room, STAGED)
    assert bound <= fewest_of_all(pieces, room) == len(trees)
    assert sorted(leaf.kind for tree in trees for leaf in leaves(tree)) == list(range(len(kinds)))
    for tree in trees:
        _, cuts = sawn(tree, room, 0, by_stage=True)
        assert [axis for axis, _ in groupby(cut.axis for cut in cuts)] in (
            [], [0], [1], [0, 1], [1, 0], [0, 1, 0],
        )  # fmt: skip


@settings(max_examples=60)
@given(few, st.tuples(st.integers(6, 10), st.integers(5, 8)))
def test_what_the_search_upward_does_not_find_does_not_exist(rows, room):
    """Aimed at all pieces on one sheet, with room for every rectangle: found just where there is one."""
    pieces = [[(w, h), (h, w)] if turns and w != h else [(w, h)] for w, h, turns in rows]
    pieces = [[way for way in ways if way[0] <= room[0] and way[1] <= room[1]] for ways in pieces]
    area = sum(w * h for w, h, _ in rows)
    if not all(pieces) or area > room[0] * room[1]:
        return
    kinds = [Kind(tuple(ways), 1, float(ways[0][0] * ways[0][1])) for ways in pieces]
    search = Staged(kinds, room)
    found = search.run(float(area), 10_000, 10**8)
    assert search.complete or found
    assert bool(found) == (fewest_of_all(pieces, room) == 1)


def test_equal_lengths_share_one_crosscut():
    """Two of 600 x 300 beside one of 900 x 603, kerf 3: one strip, one crosscut and a rip, by hand."""
    pieces = [Piece("A", 900, 603, 1, "length"), Piece("B", 600, 300, 2, "length")]
    layout = fewest_sheets(pieces, Sheet(1503, 603), 3, "rip")
    (sheet,) = layout.sheets
    assert [(cut.axis, cut.at) for cut in sheet.cuts] == [("y", 900), ("x", 300)]
    assert layout.proved


def test_a_thousand_pieces_are_answered_in_order():
    pieces = [Piece(f"p{n}", 100 + 7 * n % 611, 80 + 11 * n % 397, 4) for n in range(250)]
    sheet = Sheet(2440, 1220, 10)
    layout = fewest_sheets(pieces, sheet, 3.2, "crosscut")
    assert sum(inspect(layout, pieces, sheet, 3.2).values()) == 1000
    assert layout.used <= 1.1 * layout.bound
    assert all(in_order(sawn, "crosscut") for sawn in layout.sheets)


def test_the_same_layout_in_order_on_every_run():
    pieces = [Piece(f"p{n}", 300 + 17 * n % 181, 190 + 29 * n % 157, 1) for n in range(24)]
    sheet = Sheet(2000, 1180)
    assert fewest_sheets(pieces, sheet, 3.2, "rip") == fewest_sheets(pieces, sheet, 3.2, "rip")
