"""The note that a frequency is, and where people have heard it."""

import re
from dataclasses import dataclass
from math import log2

from calc.errors import InputError

A4 = 440.0
"""Standard tuning frequency, ISO 16:1975. [Hz]"""

NAMES = ("C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B")

LOWEST, HIGHEST = 8.0, 20e3
"""What is called a note here. [Hz]"""

OUTSIDE = "must be a note: not lower than a building shakes, nor higher than anybody hears"

KNOWN = {
    "C0": "the longest pipe of a large organ",
    "A0": "the lowest key of a piano",
    "B0": "the lowest string of a five-string bass guitar",
    "E1": "the lowest string of a bass guitar",
    "C2": "the lowest string of a cello",
    "E2": "the lowest string of a guitar",
    "C3": "the lowest string of a viola",
    "G3": "the lowest string of a violin",
    "C4": "the middle C of a piano",
    "A4": "the A that an orchestra tunes to",
    "C8": "the highest key of a piano",
}
"""Sounds that people know, by their notes in scientific pitch (from memory: instruments as usually tuned)."""


@dataclass(frozen=True)
class Note:
    """A note in scientific pitch: `name` such as "E1" at `f` [Hz]; what was asked lies `cents` above it."""

    name: str
    f: float
    cents: float


def nearest_note(f):
    """The note nearest to f [Hz], in equal temperament from A4.

    Each octave is twelve equal steps of 100 cents. Refused at "f" outside 8 Hz to 20 kHz.

    Returns
    -------
    Note
    """
    if not LOWEST <= f <= HIGHEST:
        raise InputError("f", OUTSIDE)
    steps = 12 * log2(f / A4)
    whole = round(steps)
    octave, name = divmod(whole + 57, 12)  # A4 is the 57th step above C0
    return Note(f"{NAMES[name]}{octave}", A4 * 2 ** (whole / 12), 100 * (steps - whole))


def pitch(name):
    """Frequency [Hz] of a note by its name: of "A4" 440. Refused at "name" where there is no such note."""
    read = re.fullmatch(r"([A-G]♯?)(-?[0-9]+)", name)
    if read is None or read[1] not in NAMES:
        raise InputError("name", "must be a note and its octave, such as E1")
    return A4 * 2 ** ((NAMES.index(read[1]) + 12 * int(read[2]) - 57) / 12)


def everyday(f):
    """What people know at f [Hz], as the end of a sentence: "the lowest string of a cello".

    Where no known sound has the nearest note, the known ones below and above are named.
    """
    note = nearest_note(f)
    if note.name in KNOWN:
        return KNOWN[note.name]
    below = [words for name, words in KNOWN.items() if pitch(name) < note.f]
    above = [words for name, words in KNOWN.items() if pitch(name) > note.f]
    if not below:
        return f"below {above[0]}"
    if not above:
        return f"above {below[-1]}"
    return f"between {below[-1]} and {above[0]}"
