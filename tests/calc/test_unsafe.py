"""Which cuts leave the fence. The limits are common practice, no source, except those named below."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.shop.unsafe import held, on_edge, passes

CASES = [
    # along, across, distance, through -> guide, dangers
    ((0.6, 0.4, 0.4, True), "fence", ()),
    ((0.4, 0.4, 0.4, True), "fence", ()),
    ((0.4, 0.41, 0.41, True), "sled", ("wide",)),
    ((0.29, 0.2, 0.2, True), "sled", ("short",)),
    ((0.3, 0.2, 0.2, True), "fence", ()),
    ((0.2, 0.4, 0.4, True), "sled", ("wide", "short")),
    ((0.2, 0.4, 0.1, False), "gauge", ("wide", "short")),
    ((0.6, 0.4, 0.149, True), "fence", ("narrow",)),
    ((0.6, 0.4, 0.15, True), "fence", ()),
    ((0.6, 0.4, 0.049, True), "fence", ("sliver",)),
    ((0.6, 0.4, 0.05, True), "fence", ("narrow",)),
    ((0.6, 0.4, 0.02, False), "fence", ()),
]


@pytest.mark.parametrize(("cut", "guide", "dangers"), CASES)
def test_how_a_piece_is_held(cut, guide, dangers):
    along, across, distance, through = cut
    assert held(along, across, distance, through=through) == (guide, dangers)


lengths = st.floats(0.01, 2.0)


@given(lengths, lengths, st.booleans(), st.booleans())
def test_nothing_wider_than_long_runs_along_the_fence_alone(along, across, through, stopped):
    guide, dangers = held(along, across, across, through=through, stopped=stopped)
    if across > along + 1e-6:
        assert guide != "fence"
    assert guide == "fence" or dangers, "what leaves the fence says why"
    assert not (through and guide == "gauge"), "fence and mitre gauge never meet on a through cut"


def test_a_stopped_groove_and_one_beyond_the_fence_leave_the_saw():
    assert held(0.6, 0.4, 0.1, through=False, stopped=True) == ("router", ("stopped",))
    assert held(2.0, 1.0, 0.8, through=True, reach=0.7) == ("track", ("far",))
    assert held(2.0, 1.0, 0.8, through=False, reach=0.7) == ("router", ("far",))


def test_a_tall_piece_on_edge():
    assert on_edge(0.19) == () and on_edge(0.21) == ("tall",)


def test_passes_of_the_router():
    """18 mm at 3.2, 3.0 and 12.7 a pass: 6, 6 and 2. Reference: ceil(depth / step), *derived*."""
    assert [passes(0.018, step) for step in (0.0032, 0.003, 0.0127)] == [6, 6, 2]
    assert passes(0.009, 0.003) == 3 and passes(1e-4, 0.003) == 1
