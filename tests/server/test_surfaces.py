"""Surfaces of sawn solids against two other routes: cells of a grid, and a boolean solid model."""

from math import pi, sin

import manifold3d
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.drawings.surfaces import block, edged, moved, prism, round_surface, surface, triangles

EDGES = st.sampled_from((0.0, 0.25, 0.4, 0.5, 0.75, 1.0))
BOXES = st.tuples(*[st.tuples(EDGES, st.sampled_from((0.1, 0.25, 0.35, 0.5))) for _ in range(3)])


def volume(shape):
    """Volume inside a closed surface: the sum of the tetrahedra under its triangles."""
    total = 0.0
    for face in shape.faces:
        for (ax, ay, az), (bx, by, bz), (cx, cy, cz) in triangles(face):
            total += ax * (by * cz - bz * cy) - ay * (bx * cz - bz * cx) + az * (bx * cy - by * cx)
    return total / 6


@given(st.lists(BOXES, max_size=5))
def test_what_boxes_leave_of_a_cube_is_what_the_cells_of_a_grid_leave(cuts):
    boxes = [tuple(zip(*[(a, a + b) for a, b in cut], strict=True)) for cut in cuts]
    stops = sorted({0.0, 1.0, *(c for box in boxes for corner in box for c in corner if 0 < c < 1)})
    left = 0.0
    for x0, x1 in zip(stops, stops[1:], strict=False):
        for y0, y1 in zip(stops, stops[1:], strict=False):
            for z0, z1 in zip(stops, stops[1:], strict=False):
                middle = ((x0 + x1) / 2, (y0 + y1) / 2, (z0 + z1) / 2)
                if not any(
                    all(a < m < b for a, m, b in zip(low, middle, high, strict=True)) for low, high in boxes
                ):
                    left += (x1 - x0) * (y1 - y0) * (z1 - z0)
    shape = surface(block((0.0, 0.0, 0.0), (1.0, 1.0, 1.0)), tuple(block(*box) for box in boxes))
    assert volume(shape) == pytest.approx(left, abs=1e-12)


@given(
    st.lists(
        st.tuples(*[st.floats(-0.7, 0.7)] * 3, st.floats(0.1, 0.6), st.integers(3, 9)), min_size=1, max_size=4
    )
)
def test_leaning_cuts_leave_what_a_boolean_solid_model_leaves(cuts):
    """Second route: manifold3d."""
    cube = manifold3d.Manifold.cube((1.0, 1.0, 1.0), True)
    holes = []
    for x, y, lean, r, n in cuts:
        base = [(x + r * np.cos(2 * pi * k / n), y + r * np.sin(2 * pi * k / n), -0.6) for k in range(n)]
        run = (lean, lean / 2, 1.2)
        holes.append(prism(base, run))
        points = np.array([*base, *(np.array(base) + run)])
        cube = cube - manifold3d.Manifold.hull_points(points)
    shape = surface(block((-0.5, -0.5, -0.5), (0.5, 0.5, 0.5)), tuple(holes))
    assert volume(shape) == pytest.approx(cube.volume(), abs=2e-6)


def test_a_bored_board_inks_its_rims_and_no_seam():
    """32 corners of a circle: area n/2 r² sin(2 pi / n), derived. Its wall is smooth: no line along it."""
    rim = [
        (0.1 + 0.05 * np.cos(2 * pi * k / 32), 0.0, 0.2 + 0.05 * np.sin(2 * pi * k / 32)) for k in range(32)
    ]
    shape = surface(block((0.0, 0.0, 0.0), (0.2, 0.02, 0.4)), (prism(rim, (0.0, 0.02, 0.0)),))
    assert volume(shape) == pytest.approx(0.02 * (0.2 * 0.4 - 16 * 0.05**2 * sin(2 * pi / 32)))
    ink = sum(
        np.linalg.norm(np.subtract(p, q))
        for line in shape.strokes
        for p, q in zip(line, line[1:], strict=False)
    )
    assert ink == pytest.approx(4 * (0.2 + 0.02 + 0.4) + 2 * 64 * 0.05 * sin(pi / 32))


def test_each_face_bears_its_own_edges():
    shape = surface(block((0.0, 0.0, 0.0), (1.0, 2.0, 3.0)))
    assert sorted(len(face.strokes) for face in shape.faces) == [1] * 6
    for face in shape.faces:
        (loop,) = face.strokes
        assert len(loop) == 5 and loop[0] == loop[-1]


def test_what_is_turned_encloses_cones_and_cylinders():
    """A cylinder and a frustum of n facets: n/2 sin(2 pi / n) in place of pi, derived."""
    shape = round_surface([(0.0, 0.05), (0.02, 0.05), (0.06, 0.02)], lambda a, b, depth: (depth, a, b))
    facets = 16 * sin(2 * pi / 32)
    frustum = 0.04 * (0.05**2 + 0.05 * 0.02 + 0.02**2) / 3
    assert volume(shape) == pytest.approx(facets * (0.02 * 0.05**2 + frustum))
    mirrored = round_surface([(0.0, 0.05), (0.02, 0.05)], lambda a, b, depth: (-depth, a, b))
    assert volume(mirrored) == pytest.approx(facets * 0.02 * 0.05**2)


def test_a_moved_surface_keeps_its_volume_and_its_planes():
    shape = surface(block((0.0, 0.0, 0.0), (0.1, 0.2, 0.3)))
    there = moved(shape, (1.0, -2.0, 0.5))
    assert volume(there) == pytest.approx(0.006)
    for face in there.faces:
        for piece in face.pieces:
            for point in piece:
                assert np.dot(face.normal, point) == pytest.approx(face.offset)
    assert edged(there.faces).strokes and len(there.strokes) == len(shape.strokes)
