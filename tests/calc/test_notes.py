"""Names of notes."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound.notes import KNOWN, NAMES, everyday, nearest_note, pitch

# Derived: 440 x 2^(n/12), n steps from A4. That these are the notes' printed frequencies (two decimals): from
# memory of any table of equal temperament, and the same digits come out of the line above by hand.
TABLE = {
    "C0": (-57, 16.35), "A0": (-48, 27.50), "B0": (-46, 30.87), "C1": (-45, 32.70), "E1": (-41, 41.20),
    "A1": (-36, 55.00), "C2": (-33, 65.41), "E2": (-29, 82.41), "G3": (-14, 196.00), "C4": (-9, 261.63),
    "A4": (0, 440.00), "C8": (39, 4186.01),
}  # fmt: skip


@pytest.mark.parametrize("name", TABLE)
def test_notes_of_a_table(name):
    _, printed = TABLE[name]
    assert nearest_note(printed).name == name
    assert_allclose(pitch(name), printed, atol=0.005)
    assert_allclose(nearest_note(printed).f, printed, atol=0.005)


def test_fifths_and_octaves():
    """Exact: an octave is a ratio of 2 and keeps the letter; E1 is seven steps over A0."""
    for octave in range(8):
        assert_allclose(pitch(f"A{octave}"), 27.5 * 2**octave, rtol=1e-12)
    assert_allclose(pitch("E1") / pitch("A0"), 2 ** (7 / 12), rtol=1e-12)
    assert_allclose(pitch("B3"), pitch("C4") / 2 ** (1 / 12), rtol=1e-12)


@given(st.floats(8, 19e3))
def test_a_note_is_never_more_than_half_a_step_away(f):
    note = nearest_note(f)
    assert -50.0001 <= note.cents <= 50.0001
    assert_allclose(note.f * 2 ** (note.cents / 1200), f, rtol=1e-12)
    assert_allclose(pitch(note.name), note.f, rtol=1e-12)


def test_cents_by_hand():
    """Derived: 45 Hz lies 12 log2(45/43.6535) = 0.526 steps above F1, so 0.474 under F sharp 1."""
    note = nearest_note(45.0)
    assert note.name == "F♯1"
    assert_allclose(note.cents, -47.4, atol=0.1)


@pytest.mark.parametrize("f", [7.9, 20001, 0, -5, float("nan"), float("inf")])
def test_what_is_no_note_is_refused(f):
    with pytest.raises(InputError) as refusal:
        nearest_note(f)
    assert refusal.value.field == "f"


@pytest.mark.parametrize("name", ["", "H1", "E", "4", "E♭1", "E♯1", "E-", "E12x", "A4.5", "4A"])
def test_what_is_no_name_is_refused(name):
    with pytest.raises(InputError) as refusal:
        pitch(name)
    assert refusal.value.field == "name"


def test_known_sounds_stand_from_low_to_high():
    assert all(pitch(a) < pitch(b) for a, b in pairwise(KNOWN))
    assert all(name.rstrip("0123456789") in NAMES for name in KNOWN)


@pytest.mark.parametrize(
    ("f", "words"),
    [
        (41.2, "the lowest string of a bass guitar"),
        (42.0, "the lowest string of a bass guitar"),  # 33 cents above E1
        (45.0, "between the lowest string of a bass guitar and the lowest string of a cello"),
        (9.0, "below the longest pipe of a large organ"),
        (9000.0, "above the highest key of a piano"),
    ],
)
def test_everyday_words(f, words):
    assert everyday(f) == words
