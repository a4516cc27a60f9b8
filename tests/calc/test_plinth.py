"""The plinth's boards: sizes by hand, and what they weigh by a second route."""

import manifold3d
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.plinth import plinth_boards
from calc.errors import InputError


@pytest.mark.parametrize("mitred", [False, True])
def test_four_boards_of_a_plinth(mitred):
    """By hand. 200 x 300 set back 10 all round: 180 x 280 of 18 mm board, 60 high.

    Butted, the sides are 280 - 2 x 18 = 244; mitred, all are measured at the long points. Either way the
    wood fills 180 x 280 - 144 x 244 = 15264 mm² on the floor.
    """
    boards = plinth_boards((0, 0, 0), (0.2, 0.3, 0.4), 0.06, 0.01, 0.018, 700.0, mitred)
    assert_allclose([each.length for each in boards.values()], [0.18, 0.18, *2 * [0.28 if mitred else 0.244]])
    assert_allclose(sum(each.volume for each in boards.values()), 15264e-6 * 0.06)
    assert_allclose(sum(each.mass for each in boards.values()), 15264e-6 * 0.06 * 700)
    for each in boards.values():
        base, adds = each.sums["length"]
        assert_allclose(base + sum(count * add for count, add in adds), each.length)
        assert each.width == 0.06 and each.low[2] == -0.06 and each.high[2] == 0


@given(
    st.floats(0.15, 0.5), st.floats(0.15, 0.5), st.floats(-0.02, 0.03), st.floats(0.009, 0.03), st.booleans()
)
def test_volumes_and_centres_are_those_of_solids(width, depth, setback, t, mitred):
    """Second route: the corners of each board, extruded and measured by a solid modeller (manifold3d)."""
    for name, each in plinth_boards((0, 0, 0), (width, depth, 0.4), 0.05, setback, t, 650.0, mitred).items():
        (x1, y1), (x2, y2) = each.low[:2], each.high[:2]
        corners = [[x1, y1], [x2, y1], [x2, y2], [x1, y2]]
        if mitred:
            inner = {"front": (3, 2), "back": (0, 1), "left": (1, 2), "right": (0, 3)}[name.split()[-1]]
            axis = 0 if name.endswith(("front", "back")) else 1
            for corner, sign in zip(inner, (1, -1), strict=True):
                corners[corner][axis] += sign * t
        solid = manifold3d.CrossSection([corners]).extrude(0.05).translate((0, 0, -0.05))
        assert_allclose(each.volume, solid.volume(), rtol=1e-5)
        mesh = solid.to_mesh()
        points, total, centre = mesh.vert_properties.astype(float), 0.0, 0.0
        for a, b, c in points[mesh.tri_verts]:
            six = a @ [b[1] * c[2] - b[2] * c[1], b[2] * c[0] - b[0] * c[2], b[0] * c[1] - b[1] * c[0]]
            total, centre = total + six, centre + six * (a + b + c) / 4
        assert_allclose(each.centroid, centre / total, atol=1e-6)


def test_a_plinth_that_is_no_frame_is_refused():
    with pytest.raises(InputError) as refusal:
        plinth_boards((0, 0, 0), (0.2, 0.3, 0.4), 0.06, 0.085, 0.018, 700.0)
    assert refusal.value.field == "setback"
