"""One project -> how loud its chosen box may play, what stops it, and what would keep it safe."""

from dataclasses import dataclass, replace
from math import log10, pi

import numpy as np

from calc.evaluate_box import grouped, own_limits
from calc.sound import heat, noise, record_player
from calc.sound.box_circuit import ClosedCircuit
from calc.sound.exposure import hours_a_day, level_at
from calc.sound.high_pass import ORDERS, HighPass
from calc.sound.limits import stretches
from calc.sound.pipe import low_pass_level
from calc.sound.protection import (
    LOWEST,
    Corner,
    capacitor_corner,
    capacitor_transfer,
    safe_high_pass,
)
from calc.sound.ranges import LIMITS, problem

NOTE = 50.0
"""Where the largest level is told: near the lowest that most small speakers play. [Hz]"""

AWAY = 3.0
"""A chair in a living room. [m]"""

NOISE = np.geomspace(20.0, 20e3, 300)
"""The noise reaches over all that is heard, in 30 points an octave. [Hz]"""

WATCHED = np.geomspace(2.0, 200.0, 320)
"""Where travel is watched: what a record player sends, and the bass. [Hz]"""

JUDGED = np.geomspace(LOWEST, 200.0, 210)
"""Where travel is judged. [Hz]"""

USUAL_FILTER = HighPass(3, 20.0)
"""A filter against what lies below the music, where none is stated (common practice, no source)."""


@dataclass(frozen=True)
class Heated:
    """A coil after long playing of noise at the stated drive.

    now : `heat.Warm` there; most : the same at the loudest clean noise, None where that is not known
    growth : of the coil's resistance at the stated drive, over the cold one [-]
    rated : rise that was taken for the rated power [K]; assumed : whether nobody stated it
    Q : `heat.WarmQ` at the stated drive, cold the same before; Qtc is None but for a closed box
    watts, loss : a curve of level lost [dB] over the drive [W into Re]
    """

    now: heat.Warm
    most: heat.Warm | None
    growth: float
    rated: float
    assumed: bool
    cold: heat.WarmQ
    Q: heat.WarmQ
    watts: np.ndarray
    loss: np.ndarray


@dataclass(frozen=True)
class Guard:
    """A high-pass of `order` before the amplifier: its `Corner`, None if none is needed.

    `cost` [dB] is what it takes at the box's own cut-off; None where either is not known.
    """

    order: int
    corner: Corner | None
    cost: float | None


@dataclass(frozen=True)
class Capacitor:
    """What a capacitor in series does to travel, against the same box without it.

    `stated` tells whether it is the user's; else it is the one that a plain resistor would need instead of
    the first-order filter. corner : that of a plain resistor [Hz]; bare, behind : largest travel from 10 Hz
    up [m]; behind_at [Hz]; boost : most that it adds to the volts [dB], at `boost_at` [Hz]; 0 if nowhere
    """

    capacitance: float
    stated: bool
    corner: float
    bare: float
    behind: float
    behind_at: float
    boost: float
    boost_at: float


@dataclass(frozen=True)
class Player:
    """What a record player does to the cone, at `level` [dB] below the stated drive.

    now : `Subsonic` with the filter that is there; bare : without it; filtered : with `filter`, the stated
    one or the usual one; closed : the same air closed, None if it is; share : now over Xmax, None without
    free : where travel ends as the frequency goes to zero with nothing but the suspension to hold it, without
        filter or capacitor [m]; None for a box whose air always holds the cone
    """

    level: float
    now: record_player.Subsonic
    bare: record_player.Subsonic
    filtered: record_player.Subsonic
    filter: HighPass
    stated: bool
    closed: record_player.Subsonic | None
    share: float | None
    free: float | None


@dataclass(frozen=True)
class LoudnessResult:
    """How loud the chosen box may play. Levels at 1 m, half space, without room.

    at_note : largest level of a sine at `NOTE` and what stops it; (None, None) where nothing is known
    ruled : `Stretch`es from 20 to 500 Hz
    motion : `NoiseMotion` at the stated drive; loudest : `LargestNoise`
    fastest : air in the fastest port there [m/s], None without; Pe : of all drivers [W], None if not known
    levels : {limit: level of the noise that it would allow alone [dB]}
    together : the loudest noise of all speakers [dB]; away : the same at `AWAY`, without a room [dB];
        hours : how long a day `together` is commonly allowed [h]; all None where it is not known
    travel : peak travel over `WATCHED` at the stated drive, as it is fed; bare : without filter or capacitor
    most_travel : (largest from 10 Hz up [m], at [Hz])
    heated : None where the rated power is not known
    guards : one `Guard` for each order; empty without Xmax
    capacitor, player : None where there is nothing to tell
    """

    at_note: tuple
    ruled: tuple
    motion: noise.NoiseMotion
    fastest: float | None
    Pe: float | None
    loudest: noise.LargestNoise
    levels: dict
    together: float | None
    away: float | None
    hours: float | None
    travel: np.ndarray
    bare: np.ndarray
    most_travel: tuple
    heated: Heated | None
    guards: tuple
    capacitor: Capacitor | None
    player: Player | None


def loudness(project, result):
    """The `LoudnessResult` of the chosen box as it is wanted; None while its driver is not known."""
    box, each = result.box, project.alternatives[result.chosen]
    if box.missing:
        return None
    sheet = project.drivers[each.driver]
    limits = own_limits(each, sheet.Xmax, sheet.Pe, box.ports)
    passed, crossed = _fed(each, box.circuit)
    circuit = replace(box.circuit, V=box.volts)
    motion = noise.noise_motion(circuit.response(NOISE), box.volts, box.group.Re, each.crest, passed, crossed)
    loudest = noise.largest_noise(motion, **limits)
    together = None if loudest.level is None else float(loudest.level) + 10 * log10(project.speakers)
    bare = replace(circuit, capacitor=None, high_pass=None)
    travel = circuit.response(WATCHED).cone
    judged = circuit.response(JUDGED).cone
    most = int(np.argmax(judged))
    guards = _guards(circuit, box, sheet.Xmax)
    return LoudnessResult(
        at_note=_at_note(box),
        ruled=_ruled(box),
        motion=motion,
        fastest=None if motion.port_speed is None else float(motion.port_speed) * box.fastest_over_mean,
        Pe=limits["Pe"],
        loudest=loudest,
        levels={name: float(motion.level) + 20 * log10(V / box.volts) for name, V in loudest.volts.items()},
        together=together,
        away=None if together is None else level_at(together, AWAY),
        hours=None if together is None else hours_a_day(together),
        travel=travel,
        bare=bare.response(WATCHED).cone,
        most_travel=(float(judged[most]), float(JUDGED[most])),
        heated=_heated(each, sheet, box, circuit, limits["Pe"], loudest, result, passed * crossed),
        guards=guards,
        capacitor=_capacitor(each, bare, guards),
        player=_player(each, circuit, box, sheet.Xmax),
    )


def _fed(each, circuit):
    """What the filter before the amplifier, and the crossover behind it, leave of each frequency. [-]"""
    first, last = circuit.high_pass, each.low_pass
    passed = np.ones(NOISE.size) if first is None else first.gain(NOISE)
    crossed = np.ones(NOISE.size) if last is None else 10 ** (low_pass_level(NOISE, last.f, last.order) / 20)
    return passed, crossed


def _at_note(box):
    if box.limits.level is None:
        return None, None
    at = int(np.argmin(abs(np.log(box.response.f / NOTE))))
    level = float(box.limits.level[at])
    return (level, str(box.limits.by[at])) if np.isfinite(level) else (None, None)


def _ruled(box):
    """Which limit rules where, in the range that the charts show."""
    if box.limits.level is None:
        return ()
    told = (box.response.f >= 20) & (box.response.f <= 500)
    return stretches(box.response.f[told], box.limits.by[told])


def _heated(each, sheet, box, circuit, Pe, loudest, result, fed):
    if Pe is None:
        return None
    rated = heat.RISE_AT_RATED if sheet.rated_rise is None else sheet.rated_rise
    resistance = heat.thermal_resistance(Pe, rated)
    driver = grouped(result.drivers[each.driver].constants, each, warm=False)
    cold = replace(circuit, driver=driver)
    response = cold.response(NOISE)
    top = min(max(2 * Pe, 2 * box.watts, 4.0), 0.99 * LIMITS["V"][1] ** 2 / driver.Re)
    watts = np.geomspace(1.0, top, 24)
    bearable = loudest.V is not None and not problem("V", loudest.V)
    drives = [box.volts, *([float(loudest.V)] if bearable else [])]
    warm = heat.warm_coil(
        np.concatenate([drives, np.sqrt(watts * driver.Re)]),
        driver.Re,
        resistance,
        Z=response.Z * np.exp(1j * np.radians(response.Z_phase)),
        weights=heat.pink_weights(NOISE, fed),
        Rs=_before(circuit),
    )
    now, *loud = (heat.Warm(*(curve[i] for curve in warm)) for i in range(len(drives)))
    source = (driver.Re + circuit.Rs) / driver.Re
    alpha = driver.Vas / circuit.Vb if box.kind == "closed" else None
    Qs = [heat.warm_Q(driver.Qms, driver.Qes, source * by, alpha) for by in (1.0, float(now.ratio))]
    return Heated(
        now, loud[0] if loud else None, float(now.Re) / driver.Re - 1, rated, sheet.rated_rise is None, *Qs,
        watts, warm.loss[len(drives) :],
    )  # fmt: skip


def _before(circuit):
    """Impedance before the terminals over `NOISE`. [ohm]"""
    if circuit.capacitor is None:
        return circuit.Rs
    return circuit.Rs + 1 / (2j * pi * NOISE * circuit.capacitor)


def _guards(circuit, box, Xmax):
    """A `Guard` of each order, before the box and whatever capacitor it has."""
    if Xmax is None:
        return ()
    free = replace(circuit, high_pass=None)
    found, f3 = [], box.cutoffs[3.0]
    for order in ORDERS:
        corner = safe_high_pass(lambda f: free.response(f).cone, Xmax, order)
        cost = None
        if corner and corner.f and f3:
            cost = -20 * log10(float(HighPass(order, corner.f).gain(f3)))
        found.append(Guard(order, corner, cost))
    return tuple(found)


def _capacitor(each, bare, guards):
    """The stated capacitor, or the one that seems to do what the first-order filter does; None if neither."""
    total = bare.driver.Re + bare.Rs
    capacitance = each.capacitor
    if capacitance is None:
        if not guards or guards[0].corner is None or guards[0].corner.f is None:
            return None
        capacitance = float(f"{1 / (2 * pi * total * guards[0].corner.f):.1e}")  # as one would buy it
        if problem("capacitor", capacitance):
            return None
    response = bare.response(JUDGED)
    H = abs(capacitor_transfer(JUDGED, response.Z, response.Z_phase, capacitance, bare.Rs))
    behind, most = response.cone * H, int(np.argmax(H))
    worst = int(np.argmax(behind))
    return Capacitor(
        capacitance, each.capacitor is not None, capacitor_corner(total, capacitance),
        float(response.cone.max()), float(behind[worst]), float(JUDGED[worst]),
        max(0.0, 20 * log10(H[most])), float(JUDGED[most]),
    )  # fmt: skip


def _player(each, circuit, box, Xmax):
    if each.subsonic is None:
        return None

    def moved(by):
        return record_player.subsonic_travel(lambda f: by.response(f).cone, each.subsonic)

    stated = each.high_pass is not None
    chosen = circuit.high_pass if stated else USUAL_FILTER
    shut = None
    if box.kind != "closed":
        Vb = circuit.Vr + circuit.Vf if box.kind == "band_pass" else circuit.Vb
        shut = ClosedCircuit(
            driver=circuit.driver, c=circuit.c, rho=circuit.rho, Vb=Vb, QL=circuit.QL, **circuit.source
        )
    now, free = moved(circuit), None
    if box.kind == "vented":
        free = record_player.standstill_travel(circuit.driver, box.volts, circuit.Rs) * 10 ** (
            each.subsonic / 20
        )
    return Player(
        level=each.subsonic,
        now=now,
        bare=moved(replace(circuit, high_pass=None)),
        filtered=moved(replace(circuit, high_pass=chosen)),
        filter=chosen,
        stated=stated,
        closed=None if shut is None else moved(shut),
        share=None if Xmax is None else now.worst / Xmax,
        free=free,
    )
