"""Lines of equal height: on surfaces whose lines are known, they lie there, whole and once."""

from math import hypot, tau

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from server.drawings.height_lines import height_lines, long, spot_on


def test_a_plane_has_one_straight_line():
    """Exact: heights are straight between neighbours, and a plane is straight everywhere."""
    i, j = np.mgrid[0:9, 0:7]
    (line,) = height_lines(2.0 * i + 3.0 * j, 12.7)
    points = np.array(line)
    assert_allclose(2 * points[:, 0] + 3 * points[:, 1], 12.7, rtol=1e-12)
    ends = {tuple(np.round(line[0], 9)), tuple(np.round(line[-1], 9))}
    assert ends == {(6.35, 0.0), (0.0, round(12.7 / 3, 9))}


def test_a_cone_has_a_ring_that_closes():
    """A circle of radius 11: its length is 2 pi r, straight pieces a little less (derived)."""
    i, j = np.mgrid[0:41, 0:41]
    (line,) = height_lines(np.hypot(i - 20, j - 20), 11.0)
    assert line[0] == line[-1]
    assert all(abs(hypot(x - 20, y - 20) - 11) < 0.02 for x, y in line)
    assert tau * 11 * (1 - 2e-3) < long(line) < tau * 11


def test_a_saddle_is_cut_as_its_middle_says():
    """Corners 1 0 / 0 1: over their mean of a half the high corners stand apart, under it the low ones."""
    z = np.array([[1.0, 0.0], [0.0, 1.0]])
    for level, together in ((0.6, False), (0.4, True)):
        lines = height_lines(z, level)
        assert len(lines) == 2
        sides = [{"low i" if p[0] == 0 else "high i" if p[0] == 1 else p[1] for p in line} for line in lines]
        first = next(side for side in sides if "low i" in side)
        assert (0.0 in first) is not together, "round the corner (0, 0) while it stands apart"


def test_none_where_the_height_is_not_reached():
    assert height_lines(np.zeros((4, 4)), 1.0) == []
    assert height_lines(np.ones((4, 4)), 1.0) == [], "a height that equals the level counts as above"


@given(st.integers(0, 10**6), st.floats(-1, 1))
def test_every_crossing_is_passed_once(seed, level):
    """Each side of the grid whose ends lie on either side of the level is met by one line, at its height."""
    z = np.random.default_rng(seed).normal(size=(6, 7))
    lines = height_lines(z, level)
    met = [point for line in lines for point in (line[:-1] if line[0] == line[-1] else line)]
    above = z >= level
    crossed = np.sum(above[1:] != above[:-1]) + np.sum(above[:, 1:] != above[:, :-1])
    assert len(met) == len(set(met)) == crossed
    for i, j in met:
        a, b = (int(np.floor(i)), int(np.floor(j)))
        c, d = (int(np.ceil(i)), int(np.ceil(j)))
        share = (i - a) + (j - b)
        assert_allclose(z[a, b] * (1 - share) + z[c, d] * share, level, atol=1e-9)
    for line in lines:
        inner = [point for point in (line[0], line[-1]) if 0 < point[0] < 5 and 0 < point[1] < 6]
        assert line[0] == line[-1] or not inner, "an open line ends at the edge of the map"


@pytest.mark.parametrize(("share", "at"), [(0.0, (0, 0)), (0.25, (1, 0)), (0.5, (2, 0)), (1.0, (2, 2))])
def test_a_spot_on_a_line(share, at):
    assert_allclose(spot_on([(0.0, 0.0), (2.0, 0.0), (2.0, 2.0)], share)[0], at)
