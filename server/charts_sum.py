"""The charts of what is heard: each way of a crossover, their sum, one reversed, and their phases."""

import numpy as np
from markupsafe import Markup

from calc.evaluate_network import F
from calc.sound.summation import level
from server.charts_crossover import LISTED, at
from server.figures import PENCILS, axis_words, chart, curve, log_axis, name_at, upright

TICKS = (20, 100, 500, 2000, 10000)

WHOLE, *WAYS = PENCILS
"""The sum, and its ways from the lowest up; past the third they begin again."""

AGAINST = dict(color="var(--soft)", dash="3px,3px", width=2)

DEEP, FAIR = -20.0, -10.0
"""A null this deep says that two ways are within 11 degrees, or 35 (derived in `summation.meeting`). [dB]"""


def verdict(found):
    """How the ways of a `SumResult` meet, as a sentence for each meeting, and one for those that do not."""
    said = [_met(*each) for each in found.meetings]
    lonely = len(found.names) - 1 - len(found.meetings)
    if lonely and len(found.names) > 1:
        said.append(Markup("⚠ Between 20&nbsp;Hz and 20&nbsp;kHz {} never as loud as the next.").format(
            "one way is" if lonely == 1 else f"{lonely} ways are"))  # fmt: skip
    return said


def _met(one, other, met):
    where = Markup("{} and {} are equally loud at <b>{:.0f}&nbsp;Hz</b>").format(
        one[:1].upper() + one[1:], other, met.f
    )
    if met.better_turned:
        return where + Markup(
            " and work <b>⚠ against each other</b>, {:.0f}° apart: turn plus and minus of one of them."
        ).format(abs(met.angle))
    null = Markup(" With one reversed the sum falls by <b>{:.0f}&nbsp;dB</b>").format(-met.null)
    if met.null <= DEEP:
        said = ": they pull together."
    elif met.null <= FAIR:
        said = ": nearly together; 20&nbsp;dB would be well."
    else:
        said = ", hardly at all: polarity decides little."
    return where + Markup(", {:.0f}° apart.").format(abs(met.angle)) + null + Markup(said) + _bump(met)


def _bump(met):
    if abs(met.bump) < 1:
        return Markup("")
    words = "a hump" if met.bump > 0 else "a dip"
    return Markup(" There the sum has {} of <b>{:.1f}&nbsp;dB</b>.").format(words, abs(met.bump))


def sound_chart(found):
    """Level of each way and of all together, and of all with every second one reversed."""
    ways = {name: level(H) for name, H in found.ways.items()}
    total, against = level(found.total), level(found.inverted)
    top = max(float(total.max()), *(float(y.max()) for y in ways.values()))
    span = top - 45, top + 4
    strokes = _strokes(ways)
    traces = [curve(F, np.maximum(total, span[0] - 20), "together", WHOLE, places=1)]
    if len(ways) > 1:
        traces.append(curve(F, np.maximum(against, span[0] - 20), "one reversed", AGAINST, places=1))
    traces += [
        curve(F, np.maximum(y, span[0] - 20), name, stroke, places=1)
        for (name, y), stroke in zip(ways.items(), strokes, strict=True)
    ]
    notes = _names(ways, strokes)
    sentence = Markup("Between {} and {}&nbsp;Hz it plays at <b>{:.1f}</b> to <b>{:.1f}&nbsp;dB</b>.").format(
        *BAND, *_reach(total)
    )
    return chart(
        "sum", sentence, ("Hz", *(f"{name}, dB" for name in ways), "together, dB", "one reversed, dB"),
        [(f"{f}", *(_dB(y[at(f)]) for y in (*ways.values(), total, against))) for f in LISTED],
        traces, log_axis(F[0], F[-1], TICKS), span,
        notes=(*notes, *axis_words("dB at 1 m, 2.83 V", "frequency, Hz")),
        shapes=[upright(met.f, *span) for *_, met in found.meetings],
    )  # fmt: skip


BAND = (200, 10000)
"""Between what frequencies the sum is judged as flat or not. [Hz]"""


def _reach(total):
    first, last = (at(f) for f in BAND)
    return float(total[first : last + 1].min()), float(total[first : last + 1].max())


def _dB(value):
    return f"{value:.1f}" if value > -100 else "none"


def phase_chart(found):
    """Phase of each way at the listener, the time that all of them travel taken off."""
    ways = {name: np.angle(H, deg=True) for name, H in found.ways.items()}
    strokes = _strokes(ways)
    if found.meetings:
        apart = max(abs(met.angle) for *_, met in found.meetings)
        sentence = Markup("Where two ways meet, they are no more than <b>{:.0f}°</b> apart.").format(apart)
    else:
        sentence = Markup("The phase of each way at the listener.")
    return chart(
        "sum-phase", sentence, ("Hz", *(f"{name}, °" for name in ways)),
        [(f"{f}", *(f"{y[at(f)]:.0f}" for y in ways.values())) for f in LISTED],
        [curve(F, _broken(y), name, stroke, places=1)
         for (name, y), stroke in zip(ways.items(), strokes, strict=True)],
        log_axis(F[0], F[-1], TICKS), (-180.0, 180.0),
        notes=axis_words("phase, °", "frequency, Hz"),
        shapes=[upright(met.f, -180, 180) for *_, met in found.meetings],
    )  # fmt: skip


def _broken(angle):
    """Where an angle leaps round by a whole turn, the line is broken."""
    leap = np.abs(np.diff(angle, prepend=angle[0])) > 180
    return np.where(leap, np.nan, angle)


def voices_chart(found):
    """Each driver by itself, as if it had the amplifier alone: measured, or a stand-in."""
    ways = {key: level(voice.H) for key, voice in found.voices.items()}
    top = max(float(y.max()) for y in ways.values())
    strokes = _strokes(ways)
    known = sum(voice.kind == "curve" for voice in found.voices.values())
    return chart(
        "voices",
        Markup("<b>{} of {}</b> drivers {} measured; the others are stand-ins.").format(
            known, len(ways), "is" if known == 1 else "are"
        ) if known < len(ways) else "All drivers are measured.",
        ("Hz", *(f"{key}, dB" for key in ways)),
        [(f"{f}", *(_dB(y[at(f)]) for y in ways.values())) for f in LISTED],
        [curve(F, np.maximum(y, top - 60), key, stroke, places=1)
         for (key, y), stroke in zip(ways.items(), strokes, strict=True)],
        log_axis(F[0], F[-1], TICKS), (top - 40, top + 4),
        notes=(*_names(ways, strokes), *axis_words("dB at 1 m, 2.83 V", "frequency, Hz")),
    )  # fmt: skip


def _strokes(ways):
    return [WAYS[i % len(WAYS)] for i in range(len(ways))]


def _names(ways, strokes):
    """Each way's name on its line, where it is loudest."""
    peaks = {name: int(np.argmax(y)) for name, y in ways.items()}
    return [
        name_at(name, np.log10(F[i]), float(ways[name][i]), stroke, yshift=-14,
                xanchor="right" if F[i] > 5000 else "left" if F[i] < 50 else "center")
        for (name, i), stroke in zip(peaks.items(), strokes, strict=True)
    ]  # fmt: skip
