"""The order of the cuts: held against every other order there is, and against rules written down anew."""

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.shop.fence_plan import before, fence_plan, fewest_settings, settings_of
from calc.shop.saw_cuts import SawCut, Tool

MOST = 7


def groups(order):
    """How often the setting changes along an order, the first setting included."""
    return sum(n == 0 or order[n - 1] != each for n, each in enumerate(order))


def every_order(settings, earlier, made=()):
    """The fewest settings of all orders that keep the rules, by trying every one of them."""
    if len(made) == len(settings):
        return groups([settings[n] for n in made])
    following = [n for n in range(len(settings)) if n not in made and earlier[n] <= set(made)]
    return min(every_order(settings, earlier, (*made, n)) for n in following)


@st.composite
def jobs(draw):
    """Up to seven cuts at a few settings, each after some of those before it, in a shuffled order."""
    many = draw(st.integers(1, MOST))
    settings = draw(st.lists(st.integers(0, 3), min_size=many, max_size=many))
    names = draw(st.permutations(range(many)))
    earlier = [set() for _ in range(many)]
    for place in range(many):
        chosen = draw(st.sets(st.integers(0, max(place - 1, 0)), max_size=3)) if place else set()
        earlier[names[place]] = {names[other] for other in chosen}
    return settings, earlier


@given(jobs())
def test_no_order_at_all_has_fewer_settings(job):
    """Source: all permutations, *derived* by trying them."""
    settings, earlier = job
    blocks, proved = fewest_settings(settings, earlier)
    order = [n for block in blocks for n in block]
    assert sorted(order) == list(range(len(settings)))
    assert all(earlier[n] <= set(order[:place]) for place, n in enumerate(order))
    assert all(len({settings[n] for n in block}) == 1 for block in blocks)
    assert proved and len(blocks) == every_order(settings, earlier)


def test_a_setting_that_must_come_twice():
    """a1 before b before a2: no order has fewer than three. *Derived.*"""
    blocks, _ = fewest_settings(["a", "b", "a"], [set(), {0}, {1}])
    assert blocks == [[0], [1], [2]]


KINDS = ("rip", "crosscut", "groove", "bevel")


def cut(kind, part, distance, guide="fence", sheet="ply", first="rip"):
    tool = {"groove": Tool("stack", 0.018), "bevel": Tool("blade", 0.0, 45.0)}.get(kind, Tool("blade"))
    return SawCut(part, (part,), 1, sheet, kind, tool, guide, distance, 0.5, distance, 0.018,
                  turn=int(kind in ("rip", "crosscut") and kind != first))  # fmt: skip


@st.composite
def sawn(draw, first):
    """Up to seven cuts of two parts from one or two sheets, at few distances so that some agree."""
    guides = st.sampled_from(("fence", "gauge", "sled"))
    sheet = {"A": "ply", "B": draw(st.sampled_from(("ply", "oak")))}
    which = draw(st.lists(st.tuples(st.sampled_from("AB"), st.sampled_from(KINDS)), min_size=1, max_size=MOST,
                          unique=True))  # fmt: skip
    return [
        cut(kind, part, draw(st.sampled_from((0.1, 0.2, 0.3))), draw(guides), sheet[part], first)
        for part, kind in which
    ]


def allowed(cuts, order, first):
    """The rules once more, read off an order as a woodworker would check it."""
    placed = [cuts[n] for n in order]
    for part in "AB":
        kinds = [each.kind for each in placed if each.row == part]
        other = "crosscut" if first == "rip" else "rip"
        wanted = sorted(kinds, key=(first, other, "groove", "bevel").index)
        if kinds != wanted:
            return False
    for sheet in ("ply", "oak"):
        widths = [each.distance for each in placed if each.kind == "rip" and each.sheet == sheet]
        if widths != sorted(widths, reverse=True):
            return False
    return True


@pytest.mark.parametrize("first", ["rip", "crosscut"])
@given(st.data())
def test_with_its_safety_rules_no_order_has_fewer_either(first, data):
    """Source: all permutations that a second writing of the rules lets pass, *derived* by trying them."""
    cuts = data.draw(sawn(first))
    plan = fence_plan(cuts)
    stations = [("sled" if each.guide == "sled" else "fence", each.tool, each.distance) for each in cuts]
    orders = [order for order in permutations(range(len(cuts))) if allowed(cuts, order, first)]
    fewest = min(groups([stations[n] for n in order]) for order in orders)
    assert plan.proved and len(plan.steps) == fewest
    made = [cuts.index(each) for step in plan.steps for each in step.cuts]
    assert sorted(made) == list(range(len(cuts)))
    assert allowed(cuts, made, first)


def test_equal_distances_are_one_setting_and_a_hair_is_equal():
    cuts = [cut("rip", "A", 0.2), cut("rip", "B", 0.20004, sheet="oak"), cut("rip", "C", 0.2002)]
    wide, middle, apart = settings_of(cuts)
    assert wide == middle and wide.distance == 0.20004 and apart != wide


def test_gauge_and_fence_share_a_setting_and_the_sled_has_its_own():
    cuts = [cut("groove", "A", 0.2), cut("groove", "B", 0.2, "gauge"), cut("groove", "C", 0.2, "sled")]
    one, two, three = settings_of(cuts)
    assert one == two != three


def test_the_wider_rip_comes_first_and_grooves_after_both_sizes():
    sizes = [("groove", "A", 0.05), ("rip", "A", 0.1), ("crosscut", "A", 0.3), ("rip", "B", 0.4)]
    assert before([cut(*each) for each in sizes]) == [{1, 2}, {3}, {1}, set()]
    cuts = [cut(*each, first="crosscut") for each in sizes]
    assert before(cuts) == [{1, 2}, {2, 3}, set(), set()]
    cuts[2] = replace(cuts[2], after=("B",))
    assert before(cuts) == [{1, 2}, {2, 3}, {3}, set()], "A lies in the strip that B's rip parts"


def test_one_piece_after_the_other_by_hand():
    """Two pieces of A at rip 0.3, crosscut 0.4, then one of B at rip 0.3, crosscut 0.2: *derived*.

    0.3 0.4 0.3 0.4 0.3 0.2 are six settings; together 0.3, 0.4 and 0.2 are three.
    """
    cuts = [
        SawCut(row, names, 2 if row == "A" else 1, "ply", kind, Tool("blade"), "fence", at, 1.0, at, 0.018,
               turn=int(kind == "crosscut"))
        for row, names, kind, at in (
            ("A", ("a",), "rip", 0.3), ("A", ("a",), "crosscut", 0.4),
            ("B", ("b",), "rip", 0.3), ("B", ("b",), "crosscut", 0.2),
        )
    ]  # fmt: skip
    plan = fence_plan(cuts)
    assert plan.one_by_one == 6 and len(plan.steps) == 3
    assert plan.steps[0].passes == 3


@pytest.mark.parametrize("many", [10, 24])
def test_many_parts_are_ordered_at_once_and_proved(many):
    cuts = [
        cut(kind, f"part {n}", 0.1 + 0.01 * ((n * 7 + place * 3) % 11))
        for n in range(many)
        for place, kind in enumerate(KINDS)
    ]
    plan = fence_plan(cuts)
    assert plan.proved and len(plan.steps) >= len(set(settings_of(cuts)))
