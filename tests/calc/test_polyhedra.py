"""Convex solids against exact limits and a modelling kernel."""

from math import radians, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.polyhedra import NOTHING, Plane, block, clipped, common, hull, sums

CUBE = block((1.0, 2.0, 3.0), (2.0, 3.0, 4.0))


def test_a_block_is_its_own_volume_about_its_middle():
    assert_allclose(sums(CUBE), (1.0, 1.5, 2.5, 3.5))


def test_nothing_sums_to_nothing():
    assert sums(None) == NOTHING
    assert common(CUBE, block((2.0, 2.0, 3.0), (3.0, 3.0, 4.0))) is None, "they only touch"


# Derived: a plane through three corners that meet in none cuts a cube's corner of a sixth, whose centre lies
# at a quarter of its edges.
def test_a_corner_of_a_cube_is_a_sixth():
    s = 3**-0.5
    corner = clipped(CUBE, Plane(-s, -s, -s, -7 * s))
    assert_allclose(sums(corner), (1 / 6, 1.25 / 6, 2.25 / 6, 3.25 / 6))


# Derived: through the middle of a cube, across a long diagonal, the section is a regular hexagon.
def test_half_a_cube_has_a_hexagon_for_its_cut():
    s = 3**-0.5
    half = clipped(CUBE, Plane(s, s, s, 7.5 * s))
    assert_allclose(sums(half)[0], 0.5)
    assert max(len(ring) for _, ring in half.faces) == 6


def test_a_plane_that_grazes_takes_nothing():
    assert clipped(CUBE, Plane(1.0, 0.0, 0.0, 1.0)) is CUBE
    assert clipped(CUBE, Plane(1.0, 0.0, 0.0, 2.0)) is None


def test_a_hull_leaves_out_what_lies_inside_or_on_a_line():
    square = [(0, 0), (1, 0), (1, 1), (0, 1)]
    assert hull([*square, (0.5, 0.0), (0.5, 0.5)]) == tuple(square)


@pytest.mark.parametrize("thin", [1e-3, 1e-5])
def test_a_thin_wedge_far_away_loses_no_digits(thin):
    """A tenth of a degree off a sheet: b h²/2 with h = width x tan."""
    wedge = clipped(
        block((5.0, 5.0, 5.0), (6.0, 6.0, 5.0 + thin)),
        Plane(1.0, 0.0, 0.0, 6.0 - thin),
    )
    assert_allclose(sums(wedge)[0], thin * thin, rtol=1e-10)


def test_random_cuts_agree_with_solid_modelling():
    from manifold3d import Manifold

    cut = 0

    @settings(max_examples=150, deadline=None, derandomize=True)
    @given(st.lists(st.tuples(*[st.floats(-1, 1)] * 3, st.floats(-0.4, 0.4)), min_size=1, max_size=6))
    def check(drawn):
        nonlocal cut
        solid, model = block((-0.5, -0.5, -0.5), (0.5, 0.5, 0.5)), Manifold.cube((1, 1, 1), True)
        for *normal, at in drawn:
            long = np.linalg.norm(normal)
            if long < 0.1:
                return
            normal = [n / long for n in normal]
            solid = clipped(solid, Plane(*normal, at))
            model = model.trim_by_plane(normal, at)
            if solid is None:
                assert model.volume() < 1e-9
                return
        cut += 1
        assert_allclose(sums(solid)[0], model.volume(), atol=1e-9)

    check()
    assert cut > 60, cut


def test_a_lean_is_told_by_its_tangent():
    """Sawing a block along a plane through its lower edge leaves H D - H² tan(a) / 2 of each width."""
    a = radians(10)
    plane = Plane(0.0, np.cos(a), -np.sin(a), 0.0)
    left = clipped(block((0.0, 0.0, 0.0), (1.0, 0.3, 0.4)), plane)
    assert_allclose(sums(left)[0], 0.4 * 0.3 - 0.4**2 * tan(a) / 2)
