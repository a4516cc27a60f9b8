"""A cone below all music: exact limits at a standstill of frequency, and one box against another."""

from math import sqrt

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound import record_player as player
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.high_pass import HighPass
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
VAS, VB = 0.032, 0.022
DRIVER = constants(36.0, 4.5, 0.4, VAS, 0.0133, 5.7, C, RHO, Le=5e-4)
STANDSTILL = [0.01]


def vented(f, **more):
    return vented_box(f, DRIVER, VB, 40.0, C, RHO, V=10.0, **more)


def closed(f, **more):
    return closed_box(f, DRIVER, VB, C, RHO, V=10.0, **more)


@pytest.mark.parametrize("Rs", [0.0, 0.7])
def test_the_limits_at_a_standstill(Rs):
    """Statics: the force Bl V/(Re + Rs) against the suspension alone, against suspension and air together
    (stiffer by 1 + alpha), and against both with radiators that yield (air and radiators in series: derived).
    """
    free = player.standstill_travel(DRIVER, 10.0, Rs)
    force = DRIVER.Bl * 10.0 / (5.7 + Rs)
    assert_allclose(free, sqrt(2) * force * DRIVER.Cms)
    assert_allclose(vented(STANDSTILL, Rs=Rs).cone, free, rtol=1e-4)
    assert_allclose(closed(STANDSTILL, Rs=Rs).cone, free / (1 + VAS / VB), rtol=1e-4)
    Sp, Cmp = 0.0133, 1.5e-3
    yielding = passive_radiator_box(STANDSTILL, DRIVER, VB, 2, Sp, Cmp, 0.03, 0.5, C, RHO, V=10.0, Rs=Rs)
    air = VB / (RHO * C**2) + 2 * Sp**2 * Cmp  # compliance of air and both radiators
    stiffness = 1 / DRIVER.Cms + DRIVER.Sd**2 / air
    assert_allclose(yielding.cone, sqrt(2) * force / stiffness, rtol=1e-4)


def test_a_vented_box_lets_go_of_its_cone():
    loose, held = (player.subsonic_travel(lambda f, box=box: box(f).cone) for box in (vented, closed))
    assert (loose.x > held.x).all()
    assert_allclose(loose.x[0] / held.x[0], 1 + VAS / VB, rtol=0.02)


def test_the_level_counts_against_the_music():
    found = player.subsonic_travel(lambda f: vented(f).cone, -20.0)
    assert_allclose(found.x, vented(found.f).cone / 10)
    assert found.f[0] == 2 and found.f[-1] == pytest.approx(16)
    assert found.worst == found.x.max() == found.x[np.flatnonzero(found.f == found.at)[0]]
    louder = player.subsonic_travel(lambda f: vented(f).cone, -14.0)
    assert_allclose(louder.worst / found.worst, 10**0.3)


def test_a_filter_takes_it_away():
    """Of order 4 at 20 Hz: at 10 Hz 1/sqrt(1 + 2^8) = 0.0624 of the travel is left (derived)."""
    f = np.array([10.0])
    bare = player.subsonic_travel(lambda f: vented(f).cone, f=f)
    filtered = player.subsonic_travel(lambda f: vented(f, high_pass=HighPass(4, 20.0)).cone, f=f)
    assert_allclose(filtered.x / bare.x, 1 / sqrt(257), rtol=1e-9)


def test_once_a_turn():
    assert_allclose(1 / player.TURN, 1.8)  # seconds a turn, 33 1/3 in a minute


@pytest.mark.parametrize("level", [0.1, -121.0, float("nan"), float("-inf")])
def test_a_level_above_the_music_is_refused(level):
    with pytest.raises(InputError) as refusal:
        player.subsonic_travel(lambda f: f, level)
    assert refusal.value.field == "subsonic"


def test_an_impossible_drive_is_refused():
    with pytest.raises(InputError) as refusal:
        player.standstill_travel(DRIVER, 0.0)
    assert refusal.value.field == "V"
