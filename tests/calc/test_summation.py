"""Ways that are added up: published crossovers, delays, and how two of them meet."""

from math import sqrt

import numpy as np
import pytest
from crossover_values import check, dB
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.network import textbook
from calc.sound.summation import delayed, level, meeting, resonant_high_pass, turned

F = np.geomspace(100, 10e3, 48 * 7)
F0 = 1000.0


def both(D, f=F):
    """Low- and high-pass of a denominator at 1 kHz."""
    s = 1j * np.asarray(f) / F0
    return 1 / np.polyval(D, s), 1 / np.polyval(D, 1 / s)


FLAT = {
    "B1": (textbook.butterworth(1), False),
    "B1 turned": (textbook.butterworth(1), True),
    "LR2 turned": (textbook.linkwitz_riley(2), True),
    "B3": (textbook.butterworth(3), False),
    "B3 turned": (textbook.butterworth(3), True),
    "LR4": (textbook.linkwitz_riley(4), False),
}


@pytest.mark.parametrize("name", FLAT)
def test_these_add_up_flat(name):
    """All-passes by exact algebra (Linkwitz 1976, Lipshitz and Vanderkooy 1986; multiplied out)."""
    D, one_turned = FLAT[name]
    ways = both(D)
    assert_allclose(level(sum(turned(ways) if one_turned else ways)), 0, atol=1e-9)


@pytest.mark.parametrize("name", ["B1", "B2", "B3", "B4", "LR2", "LR4"])
def test_the_angle_of_two_ways_where_they_meet(name):
    """Published: the high-pass leads by 90 degrees an order; level of one at the corner, and of the sum."""
    _, wanted, tolerance = check(f"sum.{name}")
    make = textbook.butterworth if name[0] == "B" else textbook.linkwitz_riley
    low, high = both(make(int(name[-1])))
    met = meeting(F, low, high)
    assert met.f == pytest.approx(F0, rel=1e-4)
    off = (met.angle - wanted["lead"][1] + 180) % 360 - 180
    assert abs(off) < 0.01
    assert met.gain <= -60 or met.gain == pytest.approx(
        wanted["sum"][1] - wanted["low_pass"][1], abs=tolerance["abs_db"]
    )
    assert met.better_turned == (name[-1] == "2")


def test_a_fourth_order_has_a_deep_null_and_a_second_only_once_it_is_turned():
    """Exact: infinitely deep at the corner; a grid of 48 an octave comes within 0.5 percent of it."""
    low, high = both(textbook.linkwitz_riley(4))
    met = meeting(F, low, high)
    assert met.null < -35 and met.null_f == pytest.approx(F0, rel=0.01) and abs(met.bump) < 1e-6
    low, high = both(textbook.linkwitz_riley(2))
    assert meeting(F, low, high).null > -6.1
    met = meeting(F, low, -high)
    assert met.null < -35 and not met.better_turned and abs(met.bump) < 1e-3


@pytest.mark.parametrize(("angle", "null"), [(11.42, -20), (35.1, -10), (53.14, -6)])
def test_how_deep_a_null_is_for_an_angle(angle, null):
    """Two equal sounds: tan(a/2) (derived)."""
    low = np.full(F.size, 1 + 0j)
    high = low * np.exp(1j * np.radians(angle)) * F / F0
    near = abs(np.log(F / F0)) < 1e-9 + np.log(F[1] / F[0])
    met = meeting(F[near], low[near], high[near])
    assert met.null == pytest.approx(null, abs=0.05)


def test_the_hump_of_a_butterworth():
    """Of order 2, turned: 3.010 dB at the corner, 1.675 dB an octave off (published)."""
    low, high = both(textbook.butterworth(2))
    assert meeting(F, low, -high).bump == pytest.approx(3.0103 - 1.6749, abs=0.002)


def test_ways_that_never_meet_and_ways_that_meet_twice():
    low, high = both(textbook.linkwitz_riley(4))
    assert meeting(F, low, low / 2) is None
    assert meeting(F, high, low) is None, "from above, the higher way falls below the lower"
    gap = np.where(F < 200, 1e-2, 1)  # of the woofer, where a resonance of the tweeter stands
    resonance = 0.02 * np.exp(-((np.log(F / 150) / 0.1) ** 2))
    met = meeting(F, low * gap, high + resonance)
    assert met.f == pytest.approx(F0, rel=1e-3), "the louder meeting counts"


def test_a_delay_turns_the_phase_and_keeps_the_level():
    """Half a wave of 1 kHz is 0.172 m at 344 m/s."""
    one = np.ones(3, dtype=complex)
    late = delayed(one, [500.0, 1000.0, 2000.0], 0.172, 344.0)
    assert_allclose(np.angle(late, deg=True) % 360, [270, 180, 0], atol=1e-9)
    assert_allclose(abs(late), 1)
    assert_allclose(delayed(late, [500.0, 1000.0, 2000.0], -0.172, 344.0), one)


def test_half_a_wave_of_distance_makes_a_null_of_a_flat_sum():
    low, high = both(textbook.linkwitz_riley(4))
    met = meeting(F, delayed(low, F, 344.0 / F0 / 2, 344.0), high)
    assert met.better_turned and abs(abs(met.angle) - 180) < 0.1


def test_a_tweeter_in_its_chamber():
    """At fs the level is Q, far below it falls 12 dB an octave, far above it is 1 (exact)."""
    H = resonant_high_pass([780.0, 7.8, 15.6, 78e3], 780.0, 0.633)
    assert_allclose(abs(H[0]), 0.633, rtol=1e-12)
    assert_allclose(np.angle(H[0], deg=True), 90)
    assert_allclose(dB(H[2] / H[1]), 12.04, atol=0.01)
    assert_allclose(abs(H[3]), 1, atol=1e-3)


def test_three_ways_have_the_middle_one_turned():
    assert [way[0] for way in turned([np.array([1.0])] * 3)] == [1, -1, 1]


def test_a_perfect_null_has_a_finite_level():
    assert_allclose(level([0, 1, sqrt(10)]), [-400, 0, 10])


def test_refusals():
    with pytest.raises(InputError) as refusal:
        delayed(np.ones(1), [100.0], 1.5, 344.0)
    assert refusal.value.field == "offset"
    with pytest.raises(InputError):
        meeting(F[::-1], *both(textbook.butterworth(1)))
