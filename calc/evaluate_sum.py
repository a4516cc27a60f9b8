"""From volts to sound: each way of a crossover at the listener, their sum, and how they meet."""

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from calc.errors import inputs_at
from calc.evaluate_box import TEST_VOLTS
from calc.evaluate_network import F, in_box, share_of_sound
from calc.project_network import Way
from calc.sound.minimum_phase import minimum_phase
from calc.sound.summation import delayed, level, meeting, resonant_high_pass, turned

LOWEST = F[0] * 2.0 ** (np.arange(-96, 0) / 24)
"""Where a stand-in goes on below `F`, so that a phase is known from a level there. [Hz]"""


@dataclass(frozen=True)
class Voice:
    """How one driver sounds by itself, for 2.83 V at its own terminals at 1 m.

    H : pressure re 20 µPa [-], complex, shape of `F`, its offset's delay included
    kind : what it is from: a "curve", the "box" that it fills, or its "sheet"
    guessed : whether its level is only that of the driver in the box; minimum : whether its phase is reckoned
    known : from where to where the curve reaches [Hz]; beyond, the stand-in goes on. None of a stand-in
    """

    H: np.ndarray
    kind: Literal["curve", "box", "sheet"]
    guessed: bool
    minimum: bool
    known: tuple | None


@dataclass(frozen=True)
class SumResult:
    """What is heard at 1 m on the axis with 2.83 V at the terminals of the crossover.

    names : of the driver parts, from the lowest way to the highest
    voices : {key of a driver: `Voice`}; own : {name of a part: pressure re 20 µPa of 2.83 V at it, complex}
    ways : the same with what the crossover lets through
    total, inverted : their sum, and that with every second way reversed [-, complex]
    meetings : [(name, name, `summation.Meeting`)] of neighbours that meet
    """

    names: tuple
    voices: dict
    own: dict
    ways: dict
    total: np.ndarray
    inverted: np.ndarray
    meetings: tuple

    @property
    def stand_ins(self):
        """Keys of the drivers that nobody has measured."""
        return tuple(key for key, voice in self.voices.items() if voice.kind != "curve")


def acoustic_sum(project, result, found):
    """The `SumResult` of a project, its result and its `evaluate_network.NetworkResult`.

    None where nothing tells how loud a driver is, not even the one in the box.
    """
    parts = {name: project.network.parts[name].driver for name in found.transfer}
    voices = {key: voice(project, result, key) for key in dict.fromkeys(parts.values())}
    if None in voices.values():
        return None
    shares = {name: share_of_sound(project, project.network.parts[name]) for name in parts}
    own = {name: voices[key].H * shares[name] for name, key in parts.items()}
    ways = {name: found.transfer[name] * H for name, H in own.items()}
    names = tuple(sorted(ways, key=lambda name: _middle(ways[name])))
    ordered = [ways[name] for name in names]
    met = ((one, other, meeting(F, ways[one], ways[other])) for one, other in pairwise(names))
    return SumResult(
        names=names,
        voices=voices,
        own=own,
        ways={name: ways[name] for name in names},
        total=sum(ordered),
        inverted=sum(turned(ordered)),
        meetings=tuple(each for each in met if each[2] is not None),
    )


def _middle(H):
    """The middle, in octaves, of what is within 10 dB of a way's loudest. [Hz]"""
    loud = level(H) >= level(H).max() - 10
    return float(np.exp(np.log(F[loud]).mean()))


def voice(project, result, key):
    """The `Voice` of one driver: its curve where it has been measured, else a stand-in, if one is known."""
    way = project.ways.get(key, Way())
    kind, guessed, stand_in = _stand_in(project, result, key)
    if guessed and way.curve is None and result.box.circuit is None:
        return None
    known, minimum, H = None, False, stand_in(F)
    if way.curve is not None:
        curve, kind, guessed = way.curve, "curve", False
        known, minimum = (curve.f[0], curve.f[-1]), curve.phase is None
        H = _measured(curve.f, curve.level, curve.phase, stand_in)
    with inputs_at(f"ways.{key}"):
        H = delayed(H, F, way.offset or 0.0, result.air.c)
    return Voice(H, kind, guessed, minimum, known)


def _measured(rows, dB, phase, stand_in):
    """A curve at `F`; beyond its first and last row the stand-in goes on from the level and phase there."""
    f, x, known = F, np.log(F), np.log(rows)
    inside = (f >= rows[0]) & (f <= rows[-1])
    tail = stand_in(f) / np.where(f < rows[0], *stand_in(np.array([rows[0], rows[-1]])))
    levels = np.interp(x, known, dB) + np.where(inside, 0, level(tail))
    if phase is None:
        return _pressure(levels, _reckoned(levels, stand_in))
    turns = np.interp(x, known, np.unwrap(phase, period=360))
    return _pressure(levels, turns + np.where(inside, 0, np.angle(tail, deg=True)))


def _pressure(level, phase):
    """Of a level [dB re 20 µPa] and a phase [deg]. [re 20 µPa]"""
    return 10 ** (level / 20) * np.exp(1j * np.radians(phase))


def _reckoned(levels, stand_in):
    """Minimum phase of a level at `F`, which goes on below as the stand-in does. [deg]"""
    low = levels[0] + level(stand_in(LOWEST)) - level(stand_in(F[:1]))
    return minimum_phase(np.concatenate((LOWEST, F)), np.concatenate((low, levels)))[LOWEST.size :]


def _stand_in(project, result, key):
    """(kind, whether its level is guessed, function of f [Hz] to pressure re 20 µPa) of an unmeasured driver.

    The driver in the chosen box as that box lets it sound, flat above; each other as a second-order
    high-pass at its fs.
    """
    if in_box(project, key):
        return "box", False, lambda f: _of_box(result.box.circuit, f)
    each, known = project.drivers[key], result.drivers[key]
    loud = each.sensitivity if each.sensitivity is not None else known.level_2v83
    guessed = loud is None
    if guessed:
        loud = float(level(_of_box(result.box.circuit, F[-1:]))[0]) if result.box.circuit else 0.0
    sheet = known.constants or each
    Q = sheet.Qms * sheet.Qes / (sheet.Qms + sheet.Qes)
    return "sheet", guessed, lambda f: 10 ** (loud / 20) * resonant_high_pass(f, sheet.fs, Q)


def _of_box(circuit, f):
    """What a box does with 2.83 V at its terminals, its coil without inductance: flat above. [re 20 µPa]"""
    bare = replace(circuit.plain, V=TEST_VOLTS, Rs=0.0, capacitor=None, high_pass=None)
    response = bare.response(f)
    return _pressure(response.level, response.phase)
