"""Weighting, power and dose against printed tables; the demo's amplifier by a second route."""

import numpy as np
import pytest

from calc.evaluate import evaluate
from calc.evaluate_amplifier import amplifier
from calc.evaluate_network import F, network
from calc.evaluate_starts import textbook
from calc.evaluate_sum import acoustic_sum
from calc.network.amplifier import more_needed, rating_borne_out, room_gain
from calc.sound.exposure import dose
from calc.sound.weighting import A_weighting
from server.beginnings import demo
from server.documents import amend, read_project

OCTAVES = {31.5: -39.4, 63: -26.2, 125: -16.1, 250: -8.6, 500: -3.2, 1000: 0.0, 2000: 1.2, 4000: 1.0,
           8000: -1.1, 16000: -6.6}  # fmt: skip
"""The A-weighting at the middles of octaves (IEC 61672-1, from memory). [dB]"""


def test_the_weighting_is_the_printed_one():
    """To the tenth that is printed; the nominal middles are rounded, the real ones are 1000 x 10^(3n/10)."""
    exact = 1000 * 10 ** (0.3 * np.arange(-5, 5))
    assert A_weighting(exact) == pytest.approx(list(OCTAVES.values()), abs=0.06)


@pytest.mark.parametrize(("wanted", "watts"), [(96, 71.5), (102, 284.6)])
def test_watts_for_a_level(wanted, watts):
    """87 dB at 1 W and 1 m, 3 m away, free field (derived, in the references)."""
    assert 10 ** (more_needed(wanted, 87, 3.0) / 10) == pytest.approx(watts, rel=1e-3)


def test_a_second_speaker_and_a_room_help():
    one = more_needed(90, 87, 2.0)
    assert one - more_needed(90, 87, 2.0, speakers=2) == pytest.approx(3.0103, abs=1e-4)
    assert one - more_needed(90, 87, 2.0, gain=4.0) == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("least", "rating"), [(6.4, 8), (6.39, 6), (4.931, 6), (4.8, 6), (3.2, 4), (3.19, 3), (1.5, None)]
)
def test_what_a_speaker_may_be_called(least, rating):
    """80 percent of its rating at the lowest: 8, 6, 4 ohm from 6.4, 4.8, 3.2 (IEC 60268-5, from memory);
    4.931 ohm is a 6 ohm speaker (derived, in the references)."""
    assert rating_borne_out(least) == rating


def test_a_room_adds_its_echo():
    """r 3 m, V 60 m³, T 0.45 s, Q 2: direct -17.52, reverberant -7.30, together -6.90 dB re the power,
    critical distance 0.924 m (derived, in the references)."""
    assert room_gain(3.0, 60.0, 0.45) == pytest.approx(-6.90 + 17.52, abs=0.015)
    assert room_gain(0.924, 60.0, 0.45) == pytest.approx(3.01, abs=0.01)
    assert room_gain(0.3, 1e5, 0.5) == pytest.approx(0, abs=0.01)


def test_dose_of_the_printed_example():
    """30 min at 97 dB and 60 min at 91 are 150 percent (NIOSH 98-126, seen)."""
    assert dose(97, 0.5) + dose(91, 1.0) == pytest.approx(1.5)
    assert dose(85, 8) == pytest.approx(1) and dose(82, 16) == pytest.approx(1)


def wired(**more):
    bare = read_project(demo("reading_room"))
    parts = textbook(bare, "linkwitz-riley", 4, [2500.0])
    project = read_project(amend(demo("reading_room"), {"network": {"parts": parts}, **more}))
    return project, evaluate(project)


def told(project, result):
    found = network(project, result)
    return amplifier(project, result, found, acoustic_sum(project, result, found))


def test_the_amplifier_of_the_demo_by_octaves():
    """Pink noise has equal power in each octave: the sum over ten octaves of the printed weighting and of the
    level in each, at 2.83 V, to half a decibel."""
    project, result = wired()
    found = told(project, result)
    heard = abs(acoustic_sum(project, result, network(project, result)).total)
    power = 0.0
    for middle, weight in OCTAVES.items():
        within = (middle / 2**0.5 <= F) & (middle * 2**0.5 > F)
        power += (heard[within] ** 2).mean() * 10 ** (weight / 10) / 10
    assert found.level == pytest.approx(10 * np.log10(power), abs=0.5)
    assert -4 < found.weighted < 0


def test_the_seat_asks_for_volts():
    """Each piece by hand: 20 log of the distance, 3 dB for the pair, headroom and rating."""
    project, result = wired(**{"network.listening": {"level": 80.0, "distance": 4.0, "headroom": 20.0}})
    found = told(project, result)
    need = 80 - found.level + 20 * np.log10(4.0) - 10 * np.log10(2)
    assert found.volts == pytest.approx(2.83 * 10 ** (need / 20), rel=1e-3)
    assert found.most == pytest.approx(10 * found.volts)
    assert found.watts == pytest.approx(found.most**2 / found.rating)
    assert found.dose == pytest.approx(2 / (8 * 2 ** (5 / 3)))
    assert found.owned is None and found.short is None
    assert found.reached == pytest.approx(80 + 20 * np.log10(found.bears[0] / found.volts))


def test_the_amplifier_that_is_there_is_held_against_it():
    bare = wired()
    most = told(*bare).most
    project, result = wired(**{"alternatives.B.amplifier": most / 2})
    found = told(project, result)
    assert found.owned == pytest.approx(most / 2) and found.short == pytest.approx(6.0206, abs=1e-3)


def test_the_room_of_the_seat_takes_volts_off():
    before, seat = told(*wired()), {"room": 60.0, "reverberation": 0.45, "distance": 2.5}
    after = told(*wired(**{"network.listening": seat}))
    assert before.room is None and after.room == pytest.approx(room_gain(2.5, 60.0, 0.45))
    assert after.volts == pytest.approx(before.volts * 10 ** (-after.room / 20))
    assert told(*wired(**{"network.listening": {"room": 60.0}})).volts == pytest.approx(before.volts)
