"""Runs of grain: members lie next to each other, one kerf between them, and a saw can make it."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sawing import inspect, outline
from shapely import box

from calc.shop.matched import Member, Run, cut_apart, lying
from calc.shop.sheet_layout import Layout, Piece, Sheet, fewest_sheets

SHEET, KERF = Sheet(2.44, 1.22, 0.01), 0.0032


def adjacent(pieces, way, kerf):
    """Hold placed members against what a run is: each a kerf beyond the one before, at one edge."""
    for one, other in zip(pieces, pieces[1:], strict=False):
        first, second = outline(one).bounds, outline(other).bounds
        i = 0 if way == "end" else 1
        assert second[i] - first[i + 2] == pytest.approx(kerf, abs=2e-6), "one kerf between them"
        assert second[1 - i] == pytest.approx(first[1 - i], abs=2e-6), "at one edge"
        between = box(*outline(one).union(outline(other)).bounds)
        assert all(
            between.intersection(outline(each)).area < 1e-9
            for each in pieces
            if each is not one and each is not other
        ), "nothing between them"


def test_two_fronts_side_by_side_by_hand():
    """400 x 200 twice and a kerf of 3: a blank of 400 x 403, ripped at 200 from its edge. Derived."""
    run = Run("fronts", "side", lying("side", [("A", 0.4, 0.2), ("A", 0.4, 0.2)]))
    blank = run.blank(0.003)
    assert (blank.length, blank.width, blank.count, blank.grain) == (0.4, 0.403, 1, "length")
    (sawn,) = fewest_sheets([blank], Sheet(1.0, 0.6, 0.01), 0.003).sheets
    apart = cut_apart(sawn, {"fronts": run}, 0.003)
    assert [(p.name, round(p.x, 6), round(p.y, 6)) for p in apart.pieces] == [
        ("A", 0.01, 0.01), ("A", 0.01, 0.213),
    ]  # fmt: skip
    last = apart.cuts[-1]
    assert (last.axis, last.at) == ("x", pytest.approx(0.21))
    assert (last.start, last.end) == (pytest.approx(0.01), pytest.approx(0.41))
    assert len(apart.cuts) == len(sawn.cuts) + 1


def test_a_top_between_two_sides_is_turned_so_that_the_grain_runs_over_it():
    """Sides 400 x 268, top 268 deep and 198 wide: 400 + 198 + 400 and two kerfs, 268 across. Derived."""
    members = lying("end", [("C", 0.4, 0.268), ("D", 0.268, 0.198), ("C", 0.4, 0.268)])
    assert [member.turned for member in members] == [False, True, False]
    blank = Run("wrap", "end", members).blank(0.003)
    assert (blank.length, blank.width) == (pytest.approx(1.004), pytest.approx(0.268))


def test_what_is_as_wide_as_the_run_is_not_turned():
    assert not any(m.turned for m in lying("end", [("A", 0.3, 0.2), ("B", 0.2, 0.2), ("C", 0.25, 0.21)]))
    assert [m.turned for m in lying("side", [("A", 0.3, 0.2), ("B", 0.2, 0.3)])] == [False, True]


sizes = st.tuples(st.integers(60, 500), st.integers(60, 400))


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(st.sampled_from(["end", "side"]), st.lists(sizes, min_size=2, max_size=4)),
        min_size=1, max_size=3,
    ),
    st.lists(st.tuples(sizes, st.integers(1, 4)), max_size=4),
    st.sampled_from([0.0018, 0.0032]),
    st.sampled_from(["any", "rip", "crosscut"]),
)  # fmt: skip
def test_runs_are_cut_apart_and_all_else_is_as_before(groups, others, kerf, order):
    """The checker is shapely's: cuts replayed, no overlap, a kerf between all, members next to each other."""
    runs = {}
    for n, (way, members) in enumerate(groups):
        parts = [(f"r{n}m{m}", a / 1000, b / 1000) for m, (a, b) in enumerate(members)]
        runs[f"run {n}"] = Run(f"run {n}", way, lying(way, parts))
    blanks = [run.blank(kerf) for run in runs.values()]
    blanks = [blank for blank in blanks if blank.length <= 2.42 and blank.width <= 1.2]
    rest = [Piece(f"p{n}", a / 1000, b / 1000, many, "length") for n, ((a, b), many) in enumerate(others)]
    layout = fewest_sheets([*blanks, *rest], SHEET, kerf, order)
    apart = Layout(tuple(cut_apart(sawn, runs, kerf) for sawn in layout.sheets), layout.used, layout.bound)
    pieces, wanted = list(rest), Counter({piece.name: piece.count for piece in rest})
    for blank in blanks:
        for member in runs[blank.name].members:
            grain = "width" if member.turned else "length"
            pieces.append(Piece(member.name, member.length, member.width, 1, grain))
            wanted[member.name] += 1
    assert inspect(apart, pieces, SHEET, kerf, 8e-6) == wanted
    for blank in blanks:
        run = runs[blank.name]
        names = [member.name for member in run.members]
        (home,) = [sawn for sawn in apart.sheets if names[0] in {piece.name for piece in sawn.pieces}]
        found = {piece.name: piece for piece in home.pieces}
        adjacent([found[name] for name in names], run.way, kerf)
    for before, after in zip(layout.sheets, apart.sheets, strict=True):
        assert after.cuts[: len(before.cuts)] == before.cuts
        for x, y, length, width in after.offcuts:
            spare = box(x, y, x + length, y + width)
            assert all(spare.intersection(outline(piece)).area < 1e-8 for piece in after.pieces)


def test_extent_follows_how_it_lies():
    assert Member("A", 0.3, 0.2).extent == (0.3, 0.2) and Member("A", 0.3, 0.2, True).extent == (0.2, 0.3)
