"""Which differences between two boxes can be heard, which cannot, and which nobody has settled."""

from dataclasses import dataclass
from math import isfinite, log2

import numpy as np

from calc.errors import InputError
from calc.sound.port import CAUTIOUS_SPEED, OLDER_SPEED, Guidance
from calc.sound.time_domain import room_tenth
from calc.sound.verdict import BASS, Said

LEVEL_STEP = Guidance(
    1.0,
    "Smallest change of level in dB that is just noticed, side by side and at ordinary levels; from memory, "
    "after E. Zwicker and H. Fastl, Psychoacoustics: Facts and Models",
)
REACH_STEP = Guidance(
    2 ** (1 / 3),
    "Ratio of two lowest notes, a third of an octave, from which one box is called deeper; common practice, "
    "no source",
)
FAINT = -15.0
"""What lies further under the middle level is covered by the rest (common practice, no source). [dB]"""


@dataclass(frozen=True)
class Compared:
    """The differences of two boxes, tuples of `Said`: `heard`, `unheard`, and `untold` where nobody knows."""

    heard: tuple
    unheard: tuple
    untold: tuple


def compare(a, b):
    """Which differences between two boxes can be heard, and which cannot.

    Parameters
    ----------
    a, b : Numbers
        See `calc.sound.verdict`.

    Returns
    -------
    Compared

    Notes
    -----
    For the boxes alone, side by side in the same place. A room moves single notes by far more than these
    differences, but it moves those of both boxes alike. Thresholds: `LEVEL_STEP`, `REACH_STEP`, and in the
    ports `CAUTIOUS_SPEED` and `OLDER_SPEED`; time is held against `room_tenth`.
    """
    found = {"heard": [], "unheard": [], "untold": []}
    for judged in (_reach, _tone, _level, _loudness, _port, _time, _delay, _air):
        verdict = judged(a, b)
        if verdict:
            found[verdict[0]].append(verdict[1])
    return Compared(**{name: tuple(said) for name, said in found.items()})


def _name(**boxes):
    return {place: ("", box.key) for place, box in boxes.items()}


def _reach(a, b):
    if a.f3 is None or b.f3 is None:
        return None
    low, high = sorted((a, b), key=lambda box: box.f3)
    values = {"low": ("frequency", low.f3), "high": ("frequency", high.f3)}
    if high.f3 / low.f3 < REACH_STEP.value:
        words = "Both reach about as low, {low} and {high}: less than a third of an octave apart."
        return "unheard", Said("reach", words, values)
    values |= {"steps": ("count", round(12 * log2(high.f3 / low.f3)))}
    words = "{deep} reaches deeper, to {low} where {other} ends at {high}: {steps} semitones."
    return "heard", Said("reach", words, values | _name(deep=low, other=high))


def octave_means(f, level):
    """Means of a level over every octave of the bass: their middles [Hz] and the means [dB], each (n,).

    The mean is over log f; the octaves begin a twelfth of one apart, from 20 Hz to 100 Hz.

    Parameters
    ----------
    f, level : ndarray, shape (m,)
        [Hz], rising and from 20 Hz or less to 200 Hz or more; [dB].
    """
    low, high = BASS
    if f[0] > low or f[-1] < high:
        raise InputError("f", "must cover the bass")
    starts = np.linspace(0, log2(high / low) - 1, 29)
    octave = (np.arange(48) + 0.5) / 48
    grid = low * 2.0 ** (starts[:, None] + octave)
    return low * 2.0 ** (starts + 0.5), np.interp(np.log(grid), np.log(f), level).mean(axis=1)


def _tone(a, b):
    at, one = octave_means(a.f, np.maximum(a.level, FAINT))
    _, other = octave_means(b.f, np.maximum(b.level, FAINT))
    most = int(np.argmax(abs(one - other)))
    by = float(one[most] - other[most])
    values = {"by": ("level", abs(by))}
    if abs(by) < LEVEL_STEP.value:
        return "unheard", Said("tone", "No octave of the bass differs by more than {by}.", values)
    full, lean = (a, b) if by > 0 else (b, a)
    values |= {"at": ("frequency", float(at[most]))}
    words = "In the octave around {at}, {full} is {by} fuller than {lean}."
    return "heard", Said("tone", words, values | _name(full=full, lean=lean))


def _level(a, b):
    by = a.reference - b.reference
    if abs(by) < LEVEL_STEP.value:
        return None
    loud, soft = (a, b) if by > 0 else (b, a)
    words = "At the same setting {loud} is {by} louder; turn {soft} up and it is gone."
    return "heard", Said("level", words, {"by": ("level", abs(by))} | _name(loud=loud, soft=soft))


def _loudness(a, b):
    at = max(a.loud_at, b.loud_at)
    one, other = a.loudest(at), b.loudest(at)
    if one is None or other is None or not isfinite(one - other):
        return None
    values = {"by": ("level", abs(one - other)), "at": ("frequency", at)}
    if abs(one - other) < LEVEL_STEP.value:
        return "unheard", Said("loud", "At {at} both may play as loud, within {by}.", values)
    words = "Turned up as far as they go, {strong} plays {by} louder at {at}."
    return "heard", Said("loud", words, values | _name(strong=a if one > other else b))


def _noise(box):
    """0 quiet or no port, 1 where a plain tube begins to be heard, 2 where it is heard."""
    return sum(box.speed is not None and box.speed > mark.value for mark in (CAUTIOUS_SPEED, OLDER_SPEED))


def _port(a, b):
    quiet, noisy = sorted((a, b), key=_noise)
    if _noise(quiet) == _noise(noisy):
        return None
    may = "will be heard" if _noise(noisy) == 2 else "may begin to be heard"
    rest = "has no port" if quiet.speed is None else "stays quieter"
    words = f"At the stated power {{noisy}}'s port air peaks at {{speed}} and {may}; {{quiet}} {rest}."
    return "heard", Said("port", words, {"speed": ("speed", noisy.speed)} | _name(noisy=noisy, quiet=quiet))


def _time(a, b):
    if a.settled is None or b.settled is None:
        return None
    short, long = sorted((a, b), key=lambda box: box.settled)
    room = room_tenth()
    values = {"soon": ("time", short.settled), "late": ("time", long.settled), "room": ("time", room)}
    values |= _name(short=short, long=long)
    if long.settled > room:
        words = (
            "{long} rings on for {late} after a sudden push, longer than a furnished room's {room}; {short} "
            "for {soon}."
        )
        return "heard", Said("time", words, values)
    words = (
        "A sudden push dies to a tenth in {soon} in {short} and {late} in {long}; a furnished room takes "
        "some {room} and covers both."
    )
    return "unheard", Said("time", words, values)


def _delay(a, b):
    early, late = sorted((a, b), key=lambda box: box.delay)
    words = (
        "The bass comes up to {soon} late from {early} and {much} late from {late}: no agreed threshold for "
        "hearing that was found so low."
    )
    values = {"soon": ("time", early.delay), "much": ("time", late.delay)}
    return "untold", Said("delay", words, values | _name(early=early, late=late))


def _air(a, b):
    small, large = sorted((a, b), key=lambda box: box.Vb)
    by = large.Vb - small.Vb
    if by <= 0.02 * large.Vb:
        return None
    words = "{large} takes {by} more air: a larger cabinet is seen and lifted, not heard as such."
    return "unheard", Said("cabinet", words, {"by": ("volume", by)} | _name(large=large))
