"""What is said of a box, and of the differences between two."""

import re
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound.differences import LEVEL_STEP, REACH_STEP, compare, octave_means
from calc.sound.verdict import Numbers, PortNeed, verdict

F = np.geomspace(10, 1000, 500)


def closed_level(fc, Qtc):
    """Derived: |G|² = x⁴/((1 - x²)² + x²/Q²), x = f/fc, written out here."""
    x = F / fc
    return 10 * np.log10(x**4 / ((1 - x**2) ** 2 + x**2 / Qtc**2))


CLOSED = Numbers(
    key="A", kind="closed", Vb=0.012, f=F, level=closed_level(60, np.sqrt(0.5)), reference=87.0, f3=60.0,
    limit=80 + 40 * np.log10(F / 30), by=np.where(F < 100, "travel", "power"), speakers=2, settled=0.0098,
    delay=0.0045,
)  # fmt: skip
VENTED = replace(
    CLOSED, key="B", kind="vented", Vb=0.02, f3=41.2, level=closed_level(41.2, 0.8), settled=0.025,
    speed=12.0, ports=(PortNeed(count=1, length=0.15, fits=True, breathes=True),), delay=0.012,
    limit=CLOSED.limit + 6,
)  # fmt: skip
RADIATORS = replace(CLOSED, key="C", kind="passive_radiator", radiators=2, added=0.03)
BAND_PASS = replace(
    VENTED, key="D", kind="band_pass", Vr=0.015, Vf=0.01, Vb=0.025, f3=40.0, upper=80.0, level=np.where(
        (F > 40) & (F < 80), 0.0, -20.0
    ),
)  # fmt: skip
BOXES = [CLOSED, VENTED, RADIATORS, BAND_PASS]


def said(parts, about):
    """The one thing that is said about something."""
    found = [each for each in parts if each.about == about]
    assert len(found) == 1, [each.about for each in parts]
    return found[0]


def require_whole(parts):
    """Every name in a sentence has its value and every value its place; a sentence ends like one."""
    for each in parts:
        assert set(re.findall(r"{(\w+)}", each.words)) == set(each.values), each
        assert each.words.endswith(".")
        for quantity, value in each.values.values():
            assert isinstance(value, str) if not quantity else np.isfinite(value)


@pytest.mark.parametrize("box", BOXES, ids=lambda box: box.kind)
def test_a_verdict_says_reach_loudness_stop_cabinet_and_bass(box):
    parts = verdict(box)
    assert [each.about for each in parts] == ["reach", "loud", "stop", "cabinet", "bass"]
    require_whole(parts)


def test_lowest_note():
    part = said(verdict(VENTED), "reach")
    assert part.values == {
        "f3": ("frequency", 41.2),
        "note": ("", "E1"),
        "known": ("", "the lowest string of a bass guitar"),
    }
    assert "never comes within 3 dB" in said(verdict(replace(CLOSED, f3=None)), "reach").words
    deep = said(verdict(replace(CLOSED, f3=5.0)), "reach")
    assert deep.values == {"f3": ("frequency", 5.0)} and "note" in deep.words


def test_band_of_a_band_pass():
    """Exact: 40 to 80 Hz is one octave."""
    part = said(verdict(BAND_PASS), "reach")
    assert part.values["upper"] == ("frequency", 80.0) and part.values["octaves"] == ("number", 1.0)
    assert said(verdict(replace(BAND_PASS, upper=None)), "reach").words == "It carries from {f3} up."


def test_loudness_at_the_lowest_note_or_at_50_hz():
    """Derived: 80 + 40 lg(60/30) = 92.04 dB, and 6.02 dB more for two that play the same."""
    part = said(verdict(CLOSED), "loud")
    assert part.values["at"] == ("frequency", 60.0)
    assert_allclose(part.values["loud"][1], 92.04, atol=0.01)
    assert_allclose(part.values["all"][1], 98.06, atol=0.01)
    assert "two together" in part.words
    assert said(verdict(VENTED), "loud").values["at"] == ("frequency", 50.0)
    assert replace(BAND_PASS, upper=45.0).loud_at == 45.0
    assert replace(CLOSED, f3=1800.0).loud_at == F[-1]
    four = said(verdict(replace(CLOSED, speakers=4)), "loud")
    assert "4 together" in four.words
    assert_allclose(four.values["all"][1] - four.values["loud"][1], 12.04, atol=0.01)
    one = said(verdict(replace(CLOSED, speakers=1)), "loud")
    assert "together" not in one.words and "all" not in one.values


@pytest.mark.parametrize(
    ("by", "words"),
    [
        ("travel", "Cone travel"),
        ("power", "heat"),
        ("port", "air in its port"),
        ("amplifier", "amplifier"),
        ("radiator", "passive radiators"),
    ],
)
def test_what_stops_it(by, words):
    assert words in said(verdict(replace(CLOSED, by=np.full(F.shape, by))), "stop").words


def test_it_is_what_stops_it_at_that_note():
    """The limits of CLOSED change over at 100 Hz."""
    assert CLOSED.stopped_by(60) == "travel" and CLOSED.stopped_by(150) == "power"


def test_limits_that_are_not_known():
    silent = replace(CLOSED, limit=None, by=None, unknown=("travel", "power", "port"))
    parts = verdict(silent)
    assert "unknown until" in said(parts, "loud").words
    assert "stop" not in [each.about for each in parts]
    half = said(verdict(replace(CLOSED, unknown=("power", "port"))), "stop").words
    assert "silent on the power it bears" in half and "Xmax" not in half
    assert (
        "its Xmax and the power it bears"
        in said(verdict(replace(CLOSED, unknown=("travel", "power"))), "stop").words
    )
    cones = replace(RADIATORS, unknown=("travel", "power", "radiator"))
    words = "its Xmax and the power it bears and the Xmax of its passive radiators"
    assert words in said(verdict(cones), "stop").words
    free = verdict(replace(CLOSED, limit=np.full(F.shape, np.inf)))
    assert "nothing that is known stops it" in said(free, "loud").words
    require_whole(free)


@pytest.mark.parametrize(
    ("fits", "breathes", "words"),
    [
        (True, True, "has room"),
        (True, False, "inner end comes too near"),
        (False, False, "too long to lie straight"),
    ],
)
def test_what_a_vented_box_asks_of_the_cabinet(fits, breathes, words):
    port = PortNeed(count=1, length=0.15, fits=fits, breathes=breathes)
    part = said(verdict(replace(VENTED, ports=(port,))), "cabinet")
    assert words in part.words
    assert part.values == {"Vb": ("volume", 0.02), "length0": ("length", 0.15)}


def test_what_other_boxes_ask_of_the_cabinet():
    assert "no opening" in said(verdict(CLOSED), "cabinet").words
    part = said(verdict(RADIATORS), "cabinet")
    assert "2 passive radiators" in part.words and "to each" in part.words
    assert part.values["added"] == ("moving mass", 0.03)
    assert "one passive radiator with" in said(verdict(replace(RADIATORS, radiators=1)), "cabinet").words
    part = said(verdict(BAND_PASS), "cabinet")
    assert part.values["Vr"] == ("volume", 0.015) and part.values["Vf"] == ("volume", 0.01)
    pair = (*VENTED.ports, PortNeed(count=2, length=0.1, fits=True, breathes=False))
    part = said(verdict(replace(VENTED, ports=pair)), "cabinet")
    assert "a port {length0} long and 2 ports {length1} long, whose inner ends come" in part.words


def test_tight_and_boomy():
    """Derived: the closed response of Qtc 1.6 peaks by Q²/sqrt(Q² - 1/4) = 1.684: 4.53 dB."""
    assert "tight enough" in said(verdict(CLOSED), "bass").words
    boomy = replace(CLOSED, level=closed_level(60, 1.6))
    part = said(verdict(boomy), "bass")
    assert "swells" in part.words
    assert_allclose(part.values["peak"][1], 4.53, atol=0.02)
    assert "a little full" in said(verdict(replace(CLOSED, level=closed_level(60, 1.1))), "bass").words
    assert "It rings" in said(verdict(replace(CLOSED, settled=0.3)), "bass").words
    assert "cannot be told" in said(verdict(replace(CLOSED, settled=None)), "bass").words
    assert CLOSED.peak == pytest.approx(0, abs=1e-9)


def test_a_kind_that_nobody_knows_is_refused():
    with pytest.raises(InputError) as refusal:
        verdict(replace(CLOSED, kind="horn"))
    assert refusal.value.field == "kind"


# --- differences ---


@pytest.mark.parametrize("a", BOXES, ids=lambda box: box.kind)
@pytest.mark.parametrize("b", BOXES, ids=lambda box: box.kind)
def test_all_pairs_are_told_apart_the_same_way_from_both_sides(a, b):
    found, turned = compare(a, b), compare(b, a)
    for name in ("heard", "unheard", "untold"):
        require_whole(getattr(found, name))
        assert [each.about for each in getattr(found, name)] == [e.about for e in getattr(turned, name)]
    if a is b:
        assert not found.heard


def test_a_third_of_an_octave_is_deeper():
    """Exact: 40 to 50.4 Hz is a third of an octave, 4 semitones."""
    low = replace(CLOSED, f3=40.0)
    part = said(compare(low, replace(CLOSED, key="B", f3=40.0 * REACH_STEP.value * 1.001)).heard, "reach")
    assert part.values["steps"] == ("count", 4) and part.values["deep"] == ("", "A")
    assert said(compare(low, replace(CLOSED, f3=40.0 * REACH_STEP.value * 0.999)).unheard, "reach")
    nothing = compare(low, replace(CLOSED, f3=None))
    assert "reach" not in [each.about for each in nothing.heard + nothing.unheard]


def test_octave_means_of_a_slope():
    """Exact: the mean over log f of k dB an octave is the value in the middle of each octave."""
    at, means = octave_means(F, 6 * np.log2(F))
    assert_allclose(means, 6 * np.log2(at), atol=1e-9)
    assert_allclose([at[0], at[-1]], [20 * np.sqrt(2), 200 / np.sqrt(2)], rtol=1e-9)
    with pytest.raises(InputError):
        octave_means(F[F > 30], F[F > 30])


def test_one_decibel_over_an_octave_is_heard():
    flat = replace(CLOSED, level=np.zeros(F.shape))
    fuller = replace(flat, key="B", level=np.where((F > 50) & (F < 120), LEVEL_STEP.value * 1.02, 0.0))
    part = said(compare(flat, fuller).heard, "tone")
    assert part.values["full"] == ("", "B") and 70 < part.values["at"][1] < 86
    narrow = replace(flat, level=np.where((F > 60) & (F < 80), 2.0, 0.0))  # 2 dB over 0.4 octave
    part = said(compare(flat, narrow).unheard, "tone")
    assert_allclose(part.values["by"][1], 2.0 * np.log2(80 / 60), atol=0.05)
    faint = (
        replace(flat, level=np.where(F < 40, -40.0, 0.0)),
        replace(flat, level=np.where(F < 40, -20.0, 0.0)),
    )
    assert said(compare(*faint).unheard, "tone").values["by"][1] == 0


def test_a_louder_setting_is_told_as_one():
    part = said(compare(CLOSED, replace(CLOSED, key="B", reference=90.0)).heard, "level")
    assert part.values == {"by": ("level", 3.0), "loud": ("", "B"), "soft": ("", "A")}
    assert "level" not in [each.about for each in compare(CLOSED, replace(CLOSED, reference=87.9)).heard]


def test_loudness_at_the_higher_of_both_lowest_notes():
    """VENTED may play 6 dB louder everywhere; 60 Hz is the lowest note of CLOSED."""
    part = said(compare(CLOSED, VENTED).heard, "loud")
    assert part.values["strong"] == ("", "B") and part.values["at"] == ("frequency", 60.0)
    assert_allclose(part.values["by"][1], 6.0)
    assert said(compare(CLOSED, replace(CLOSED, limit=CLOSED.limit + 0.5)).unheard, "loud")
    for limit in (None, np.full(F.shape, np.inf)):
        found = compare(CLOSED, replace(CLOSED, limit=limit))
        assert "loud" not in [each.about for each in found.heard + found.unheard]


@pytest.mark.parametrize(
    ("one", "other", "words"),
    [
        (None, 9.0, None),
        (12.0, 16.0, None),
        (20.0, 30.0, None),
        (9.0, 12.0, "may begin to be heard; {quiet} stays quieter"),
        (None, 12.0, "may begin to be heard; {quiet} has no port"),
        (12.0, 18.0, "will be heard"),
    ],
)
def test_port_air_is_told_where_it_begins_to_be_heard(one, other, words):
    heard = compare(replace(CLOSED, speed=one), replace(CLOSED, key="B", speed=other)).heard
    found = [each for each in heard if each.about == "port"]
    assert bool(found) is (words is not None)
    if words:
        assert words in found[0].words and found[0].values["speed"] == ("speed", other)


def test_time_is_heard_only_where_it_outlasts_a_room():
    assert "covers both" in said(compare(CLOSED, VENTED).unheard, "time").words
    part = said(compare(CLOSED, replace(VENTED, settled=0.2)).heard, "time")
    assert part.values["late"] == ("time", 0.2) and part.values["long"] == ("", "B")
    found = compare(CLOSED, replace(VENTED, settled=None))
    assert "time" not in [each.about for each in found.heard + found.unheard]


def test_group_delay_is_left_open():
    part = said(compare(CLOSED, VENTED).untold, "delay")
    assert (part.values["soon"], part.values["much"]) == (("time", 0.0045), ("time", 0.012))


def test_air_is_not_heard():
    part = said(compare(CLOSED, VENTED).unheard, "cabinet")
    assert part.values["large"] == ("", "B")
    assert_allclose(part.values["by"][1], 0.008)
    same = compare(CLOSED, replace(CLOSED, Vb=0.0121)).unheard
    assert "cabinet" not in [each.about for each in same]


def test_a_name_with_braces_stays_a_name():
    """Names are values too: what stands in them is never read as a place in the sentence."""
    require_whole(compare(replace(CLOSED, key="{x}"), replace(VENTED, key="{0}")).heard)
