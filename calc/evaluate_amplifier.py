"""Project and its result -> the amplifier that the level at the seat takes, and what that does to ears."""

from dataclasses import dataclass
from math import log10

from calc.evaluate_box import TEST_VOLTS
from calc.evaluate_loudness import loudness
from calc.evaluate_network import F
from calc.network.amplifier import more_needed, rating_borne_out, room_gain
from calc.sound.exposure import dose
from calc.sound.noise import pink_rms
from calc.sound.weighting import A_weighting


@dataclass(frozen=True)
class Amplifier:
    """What an amplifier must be, with pink noise from 20 Hz to 20 kHz for the music.

    level : one speaker at 1 m with 2.83 V of noise [dB, A-weighted]; weighted : of that, what the weighting
        takes [dB]
    volts : of noise for the mean; most : of a sine as large as the loud moments [volt rms]
    Z, f : least of the load [ohm] and where [Hz]; rating : what the speaker may be called, None: below all
        [ohm]; watts : `most` into that rating, None without
    bears : loudest clean noise [volt rms] and what stops it, (None, None) where no limit is known
    reached : level at the seat of that noise [dB, A-weighted], None where it is not known
    owned : largest sine of the amplifier that is there [volt rms], None while none is stated; short : by how
        much it falls short of `most`, below zero where there is more [dB]
    dose : of a day's sound, 1 being all that is commonly allowed [-]
    room : what its air and reverberation add at the seat [dB], None while they are not known
    guessed : keys of drivers whose level nobody gave
    """

    level: float
    weighted: float
    volts: float
    most: float
    Z: float
    f: float
    rating: float | None
    watts: float | None
    bears: tuple
    reached: float | None
    owned: float | None
    short: float | None
    dose: float
    room: float | None
    guessed: tuple


def amplifier(project, result, found, heard):
    """The `Amplifier` of a project; None where no driver's level is known.

    Parameters
    ----------
    project, result
    found : calc.evaluate_network.NetworkResult
    heard : calc.evaluate_sum.SumResult or None
    """
    if heard is None:
        return None
    seat, pressure = project.network.listening, abs(heard.total)
    plain = 20 * log10(pink_rms(F, pressure))
    level = 20 * log10(pink_rms(F, pressure * 10 ** (A_weighting(F) / 20)))
    room = _room(seat)
    need = more_needed(seat.level, level, seat.distance, seat.gain + (room or 0.0), project.speakers)
    volts = TEST_VOLTS * 10 ** (need / 20)
    most = volts * 10 ** (seat.headroom / 20)
    rating = rating_borne_out(found.least.Z)
    clean = loudness(project, result)
    bears = (None, None)
    if clean is not None and clean.loudest.V is not None:
        bears = float(clean.loudest.V), str(clean.loudest.by)
    owned = project.alternatives[project.chosen].amplifier
    return Amplifier(
        level=level,
        weighted=level - plain,
        volts=volts,
        most=most,
        Z=found.least.Z,
        f=found.least.f,
        rating=rating,
        watts=None if rating is None else most**2 / rating,
        bears=bears,
        reached=None if bears[0] is None else seat.level + 20 * log10(bears[0] / volts),
        owned=owned,
        short=None if owned is None else 20 * log10(most / owned),
        dose=dose(seat.level, seat.hours),
        room=room,
        guessed=tuple(key for key, voice in heard.voices.items() if voice.guessed),
    )


def _room(seat):
    """What the room adds at the seat [dB], None while it is not known."""
    if seat.room is None or seat.reverberation is None:
        return None
    return room_gain(seat.distance, seat.room, seat.reverberation)
