"""Hours in the noise, and the distance that helps."""

import pytest
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound import exposure


@pytest.mark.parametrize(
    ("level", "hours"), [(85, 8), (88, 4), (91, 2), (94, 1), (100, 0.25), (106, 1 / 16), (80.2, 24), (60, 24)]
)
def test_hours_of_the_table(level, hours):
    """Table of the NIOSH criterion, 1998 (from memory): 85 dB for 8 h, half the time for each 3 dB."""
    assert_allclose(exposure.hours_a_day(level), hours, rtol=1e-9)


def test_twice_the_distance_is_six_decibels_less():
    assert_allclose(exposure.level_at(90.0, 1.0), 90.0)
    assert_allclose(exposure.level_at(90.0, 2.0), 83.9794, atol=1e-4)


@pytest.mark.parametrize("distance", [0.0, -1.0, float("nan")])
def test_no_distance_is_refused(distance):
    with pytest.raises(InputError) as refusal:
        exposure.level_at(90.0, distance)
    assert refusal.value.field == "distance"
