"""Phase from level: exact straight lines, analytic filters, and what must be refused."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound.minimum_phase import minimum_phase

F = np.geomspace(5, 96e3, 24 * 14)


def dB(H):
    return 20 * np.log10(abs(H))


def second_high(f, f0=80.0, Q=0.9):
    s = 1j * np.asarray(f) / f0
    return s**2 / (s**2 + s / Q + 1)


def second_low(f, f0=6000.0, Q=2**-0.5):
    s = 1j * np.asarray(f) / f0
    return 1 / (s**2 + s / Q + 1)


@pytest.mark.parametrize("n", [-4, -2, -1, 0, 1, 2, 3])
def test_a_straight_slope_turns_by_a_quarter_a_power(n):
    """H = s^n has the phase n times 90 degrees everywhere (exact)."""
    f = np.geomspace(10, 1000, 7)
    assert_allclose(minimum_phase(f, dB(f**n)), 90 * n, atol=1e-9)


def test_a_level_shifted_as_a_whole_keeps_its_phase():
    level = dB(second_high(F))
    assert_allclose(minimum_phase(F, level + 86), minimum_phase(F, level), atol=1e-9)


def test_a_band_pass_of_a_driver():
    """High-pass of 80 Hz, Q 0.9, times Butterworth low-pass of 6 kHz: phases by its formula (derived).

    A transform on a linear grid without tails is wrong by 13.8 degrees at 10 kHz; that must not pass.
    """
    f = [100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0]
    wanted = [66.6015, 25.1814, 3.57, -8.52, -25.39, -74.45, -126.52]
    found = minimum_phase(F, dB(second_high(F) * second_low(F)), 12, -12)
    assert_allclose(np.interp(np.log(f), np.log(F), found), wanted, atol=0.15)


@pytest.mark.parametrize("H", [second_high, second_low, lambda f: 1 + 1j * np.asarray(f) / 900])
def test_filters_with_known_slopes_beyond(H):
    """Against the angle of the analytic transfer itself, all along."""
    ends = [dB(H(F[at + 1]) / H(F[at])) / np.log2(F[at + 1] / F[at]) for at in (0, -2)]
    assert_allclose(minimum_phase(F, dB(H(F)), *ends), np.degrees(np.unwrap(np.angle(H(F)))), atol=0.2)


def test_a_slope_that_is_not_told_is_that_of_the_last_half_octave():
    """Cut off where the slopes have become straight: as good as told."""
    f = np.geomspace(0.5, 9e5, 24 * 21)
    H = second_high(f) * second_low(f)
    assert_allclose(minimum_phase(f, dB(H)), np.degrees(np.unwrap(np.angle(H))), atol=0.1)


def test_finer_is_nearer():
    """The error of straight lines falls with the square of their length."""

    def error(an_octave):
        f = np.geomspace(5, 96e3, int(an_octave * np.log2(96e3 / 5)))
        H = second_high(f, Q=3.0)
        inside = (f > 40) & (f < 400)
        return abs(minimum_phase(f, dB(H), 12, 0) - np.degrees(np.angle(H)))[inside].max()

    coarse, fine = error(12), error(24)
    assert fine < coarse / 2.5 and fine < 0.3


def test_a_wrong_slope_beyond_the_end_costs_what_is_said_of_it():
    """(2/pi) chi_2(1/4) = 9.2 degrees two octaves inside, a quarter of pi at the end (derived)."""
    f = np.geomspace(100, 1600, 24 * 4 + 1)
    wrong = minimum_phase(f, 0 * f, 0, -6.0206)
    assert_allclose(wrong[[-1, 48]], [-45, -9.2], atol=0.05)


@pytest.mark.parametrize(
    ("f", "level", "field"),
    [
        ([100.0], [0.0], "f"),
        ([100.0, 100.0], [0.0, 0.0], "f"),
        ([200.0, 100.0], [0.0, 0.0], "f"),
        ([0.0, 100.0], [0.0, 0.0], "f"),
        ([100.0, 200.0], [0.0], "level"),
        ([100.0, 200.0], [0.0, np.inf], "level"),
    ],
)
def test_refusals(f, level, field):
    with pytest.raises(InputError) as refusal:
        minimum_phase(f, level)
    assert refusal.value.field == field
