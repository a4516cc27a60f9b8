"""The dado stack: held against the printed example and against every subset of its parts."""

from itertools import combinations
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from shapely import box as rectangle
from shapely import union_all

from calc.shop.dado import Owned, Stack, correction, routed, stack_for, turned, two_passes
from calc.shop.fractions import INCH

FULL = Owned(
    0.125 * INCH,
    {"chipper 1": 0.125 * INCH, "chipper 2": 0.125 * INCH, "chipper 3": 0.125 * INCH, "thin": 0.0625 * INCH},
    {"shim": 0.031 * INCH},
)
METRIC = Owned(
    0.003,
    {"a": 0.003, "b": 0.003, "c": 0.003, "thin": 0.0016},
    {"0.1": 0.0001, "0.2": 0.0002, "0.3": 0.0003, "0.5": 0.0005, "0.8": 0.0008},
)


def every_sum(owned, known=()):
    """Every set of parts there is, with its width. [m]"""
    parts = owned.chippers | owned.shims
    for many in range(len(parts) + 1):
        for names in combinations(parts, many):
            yield set(names), 2 * owned.outer + sum(parts[name] for name in names)


def test_the_printed_stack_for_23_32():
    """23/32 in by two outers, three 1/8, one 1/16 and one .031 shim: .7185 in.

    Source: project reference for shops, sum *derived*, parts of a usual set *from memory*.
    """
    stack = stack_for(0.71875 * INCH, FULL)
    assert stack.chippers == ("chipper 1", "chipper 2", "chipper 3", "thin") and stack.shims == ("shim",)
    assert_allclose(stack.width, 0.7185 * INCH, rtol=0, atol=1e-9)


@given(st.floats(0.006, 0.02), st.floats(0, 2e-4))
def test_no_set_of_parts_comes_nearer(wanted, play):
    """Source: all 512 subsets, *derived* by adding them up."""
    least = wanted - play
    stack = stack_for(wanted, METRIC, least)
    allowed = [width for _, width in every_sum(METRIC) if width >= least - 6e-7]
    nearest = min((abs(width - wanted) for width in allowed), default=inf)
    if stack is None:
        assert nearest > 0.002 - 1e-6
    else:
        assert abs(stack.width - wanted) <= nearest + 2e-5 + 2e-6
        assert stack.width >= least - 2e-6
        parts = METRIC.chippers | METRIC.shims
        assert stack.width == pytest.approx(0.006 + sum(parts[name] for name in stack.parts), abs=1e-12)


def test_what_no_stack_cuts():
    assert stack_for(0.005, METRIC) is None, "narrower than its outer blades"
    assert stack_for(0.04, METRIC) is None, "wider than all of it"


@given(st.floats(0.009, 0.026))
def test_two_passes_clear_the_whole_groove(wanted):
    """Source: the two strips laid on each other by a geometry library."""
    both = two_passes(wanted, METRIC)
    if both is None:
        assert wanted > 2 * max(width for names, width in every_sum(METRIC._replace(shims={})))
        return
    stack, nudge = both
    strips = [rectangle(at, 0, at + stack.width, 1) for at in (0, nudge)]
    assert_allclose(union_all(strips).area, wanted, rtol=1e-9)
    assert not stack.shims and nudge > 0


def again(owned, wanted, measured, least, used):
    """The stack that is set up once a groove cut with `used` was measured, and what it says."""
    wider = measured - used.width
    then = stack_for(wanted - wider, owned, least - wider)
    return correction(used, then, wanted, measured)


def test_take_out_the_tenth():
    """18.4 wanted, 18.5 cut by a stack with the 0.1 shim in it: without it, 18.4. *Derived.*"""
    owned = METRIC._replace(chippers=dict.fromkeys(("a", "b", "c", "d"), 0.003))
    used = stack_for(0.0184, owned)
    assert used == Stack(("a", "b", "c", "d"), ("0.1", "0.3"), pytest.approx(0.0184))
    said = again(owned, 0.0184, 0.0185, 0.0183, used)
    assert said.out == ("0.1",) and said.into == () and said.nudge is None
    assert said.error == pytest.approx(0.0, abs=1e-9)


def test_a_narrow_groove_wants_a_shim_or_a_nudge():
    owned = METRIC._replace(chippers=dict.fromkeys(("a", "b", "c", "d"), 0.003))
    used = Stack(("a", "b", "c", "d"), ("0.3",), 0.0183)
    said = again(owned, 0.01845, 0.0183, 0.0183, used)
    assert said.nudge == pytest.approx(0.00015)
    assert (said.out, said.into) in (((), ("0.1",)), (("0.3",), ("0.5",)), ((), ("0.2",)))
    assert abs(said.error) < 6e-5


def test_a_good_groove_is_left_alone():
    used = stack_for(0.0148, METRIC)
    said = again(METRIC, 0.0148, 0.01481, 0.0146, used)
    assert (said.out, said.into, said.nudge) == ((), (), None)


@given(st.floats(-4e-4, 4e-4))
def test_the_next_groove_is_as_near_as_any_set_of_parts_makes_it(off):
    """Source: all subsets once more; the groove is wider than its parts by the same after the change."""
    used = stack_for(0.0148, METRIC, 0.0146)
    measured = used.width + off
    said = again(METRIC, 0.0148, measured, 0.0146, used)
    parts = METRIC.chippers | METRIC.shims
    after = measured - sum(parts[n] for n in said.out) + sum(parts[n] for n in said.into)
    assert after - 0.0148 == pytest.approx(said.error, abs=1e-9)
    best = min(abs(w + off - 0.0148) for _, w in every_sum(METRIC) if w + off >= 0.0146 - 6e-7)
    assert abs(said.error) <= best + 2e-5 + 3e-6


def test_turning_end_for_end_centres_and_widens():
    """A strip and its mirror image about the middle of a piece of 300: *derived* by a geometry library."""
    length, width, offset = 0.3, 0.018, 0.0004
    near = (length - width) / 2 + offset
    far = length - near - width
    both = union_all([rectangle(at, 0, at + width, 1) for at in (near, far)])
    west, _, east, _ = both.bounds
    assert_allclose((west + east) / 2, length / 2, atol=1e-12)
    assert_allclose(east - west, turned(width, offset), atol=1e-12)


@given(st.floats(0.006, 0.03), st.floats(0.002, 0.02))
def test_the_router_clears_the_groove_lane_by_lane(width, depth):
    made = routed(width, depth, {"small": 0.006, "large": 0.012}, 0.0032)
    lanes = union_all([rectangle(at, 0, at + made.diameter, 1) for at in made.lanes])
    assert_allclose(lanes.area, width, rtol=1e-9)
    steps = [b - a for a, b in zip((0.0, *made.depths), made.depths, strict=False)]
    assert max(steps) <= 0.0032 + 1e-8 and made.depths[-1] == pytest.approx(depth)
    assert made.bit == ("large" if width >= 0.012 else "small")


def test_a_groove_narrower_than_every_bit():
    assert routed(0.005, 0.004, {"small": 0.006}, 0.003) is None
