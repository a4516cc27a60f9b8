"""Faces as planes: a place that is marked on a panel, and where it lies in the cabinet."""

from math import cos, radians, sin, tan

import pytest
from numpy.testing import assert_allclose

from calc.cabinet.facing import facing

OUTER = 0.236, 0.436, 0.337


def test_an_upright_front_is_as_it_is_seen():
    assert facing("front", OUTER).at(0.1, 0.3, 0.02) == (0.1, 0.02, 0.3)


# Derived: a face that leans back by a has gone back y sin a, and up y cos a, after y along it; its inner
# face, t below it, lies t / cos a further back at the same height.
def test_a_leaning_front_goes_back_as_it_goes_up():
    face = facing("front", OUTER, 10.0)
    lean = radians(10.0)
    assert_allclose(face.at(0.1, 0.3), (0.1, 0.3 * sin(lean), 0.3 * cos(lean)))
    x, y, z = face.at(0.1, 0.3, 0.018)
    assert_allclose(y, z * tan(lean) + 0.018 / cos(lean))


@pytest.mark.parametrize("panel", ["front", "back", "left", "right", "top", "bottom"])
def test_there_and_back_again(panel):
    face = facing(panel, OUTER, 7.0)
    assert_allclose(face.of(face.at(0.07, 0.11, 0.013)), (0.07, 0.11, 0.013), atol=1e-15)


@pytest.mark.parametrize("panel", ["front", "back", "left", "right", "top", "bottom"])
def test_inward_leads_into_the_cabinet(panel):
    x, y, z = facing(panel, OUTER, 5.0).at(0.1, 0.1, 0.05)
    assert 0 < x < OUTER[0] and 0 < y < OUTER[2] and 0 < z < OUTER[1]
