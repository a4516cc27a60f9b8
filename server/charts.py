"""Result -> the charts of its boxes, each with the sentence that it proves and the table behind it."""

from dataclasses import dataclass

import numpy as np
from markupsafe import Markup, escape

from server.figures import (
    PENCILS,
    above,
    axis_words,
    beside,
    chart,
    curve,
    dot,
    level_line,
    log_axis,
    name_at,
    note,
    shaded,
    upright,
)

FROM, TO = 15.0, 500.0
"""What the charts show [Hz]: below, nothing is heard; above, the baffle and the crossover decide."""

LISTED = (20, 25, 30, 40, 50, 60, 80, 100, 150, 200)
"""Frequencies of the tables. [Hz]"""


@dataclass(frozen=True)
class Line:
    """One curve: its letter, its pencil (0 is the chosen box), y over the result's frequencies."""

    letter: str
    pencil: int
    y: np.ndarray


KINDS = {
    "closed": "closed",
    "vented": "vented",
    "passive_radiator": "with passive radiators",
    "band_pass": "band-pass",
}
"""Each kind of box in the words of a sentence."""


def box_charts(result, band=None):
    """The charts of the boxes that can be computed, by name; empty while none can.

    `band` is (f, `Range`) of the chosen box's level, if it is to be shown.
    """
    known = pencilled(result)
    if not known:
        return {}
    chosen = result.box if not result.box.missing else next(iter(known.values()))
    charts = (
        level_chart(known, chosen, band if chosen is result.box else None),
        port_chart(known, chosen),
        travel_chart(known, chosen),
        radiator_chart(known, chosen),
        impedance_chart(known, chosen),
        largest_chart(known, chosen),
        delay_chart(known, chosen),
    )
    return {each.name: each for each in charts if each}


def pencilled(result):
    """The boxes that have curves, the chosen one first: its pencil is the first."""
    order = [result.chosen] + [key for key in result.boxes if key != result.chosen]
    return {key: result.boxes[key] for key in order if not result.boxes[key].missing}


def level_chart(known, chosen, band=None):
    """Level against frequency for 2.83 V; where 19 of 20 lie, shaded, if `band` tells it."""
    lines = _lines(known, lambda box: box.response.level)
    f3 = chosen.cutoffs[3.0]
    if f3 is None:
        sentence = Markup("{} never comes within 3 dB of its middle level.").format(chosen.key)
    else:
        others = [
            f"{key}, {KINDS[box.kind]}, {box.cutoffs[3.0]:.0f}"
            for key, box in known.items()
            if box is not chosen and box.cutoffs[3.0]
        ]
        rest = "; " + "; ".join(others) if others else ""
        if chosen.upper is not None:
            sentence = Markup("{} carries <b>{:.0f}&nbsp;to&nbsp;{:.0f}&nbsp;Hz</b> within 3 dB{}.").format(
                chosen.key, f3, chosen.upper, rest
            )
        else:
            sentence = Markup("{} falls 3 dB at <b>{:.0f}&nbsp;Hz</b>{}. Lower is deeper.").format(
                chosen.key, f3, rest
            )
    if band:
        sentence += Markup(" 19 of 20 like it stay within {:.1f}&nbsp;dB, shaded.").format(
            _off(chosen, *band)
        )
    top = max(float(np.max(line.y)) for line in lines)
    marks = [(at, chosen.reference - 3, f"{at:.0f} Hz") for at in (f3, chosen.upper) if at]
    return _chart(
        "level",
        sentence,
        chosen,
        lines,
        "dB at 1 m for 2.83 V",
        "dB",
        (top - 32, top + 4),
        marks=marks,
        places=1,
        under=shade(*band) if band else (),
    )


def port_chart(known, chosen):
    """Peak air speed in the port at the stated power, with the guidance band."""
    from calc.sound.port import CAUTIOUS_SPEED, OLDER_SPEED

    vented = {key: box for key, box in known.items() if box.port and box.response.port_speed is not None}
    if not vented:
        return None
    lines = _lines(
        vented, lambda box: box.response.port_speed * box.drive * box.fastest_over_mean, among=known
    )
    speaker = chosen if chosen.key in vented else next(iter(vented.values()))
    speed, at = (
        speaker.port.speed / speaker.port.speed_over_mean * speaker.fastest_over_mean,
        speaker.port.speed_at,
    )
    if speed <= CAUTIOUS_SPEED.value:
        verdict = "below what is ever heard"
    elif speed <= OLDER_SPEED.value:
        verdict = "inside the band where a plain tube begins to be heard"
    else:
        verdict = "a plain tube will be heard: more area, or a lower level"
    sentence = Markup("{}'s port air peaks at <b>{:.0f}&nbsp;m/s</b> near {:.0f} Hz, {}.").format(
        speaker.key, speed, at, verdict
    )
    top = max(22.0, 1.1 * max(float(np.max(line.y)) for line in lines))
    return _chart(
        "port", sentence, speaker, lines, f"m/s peak in the port, {stated(speaker)}", "m/s", (0, top),
        places=1,
        band=(CAUTIOUS_SPEED.value, OLDER_SPEED.value, "begins to be heard"),
    )  # fmt: skip


def travel_chart(known, chosen):
    """Cone travel one way at the stated power, with the driver's Xmax."""
    lines = _lines(known, lambda box: box.response.cone * box.drive * 1e3)
    Xmax = chosen.Xmax
    limits = []
    if Xmax is None:
        sentence = Markup(
            "The cone moves <b>{:.1f}&nbsp;mm</b> each way at most; the sheet gives no Xmax."
        ).format(chosen.travel_peak * 1e3)
    else:
        limits.append((Xmax * 1e3, f"{Xmax * 1e3:.1f}: end of its clean travel"))
        if chosen.travel_from is None:
            sentence = Markup("At {} the cone stays inside its <b>{:.1f}&nbsp;mm</b> at every note.").format(
                stated(chosen), Xmax * 1e3
            )
        else:
            sentence = Markup(
                "At {} the cone stays inside its <b>{:.1f}&nbsp;mm</b> down to <b>{:.0f}&nbsp;Hz</b>."
            ).format(stated(chosen), Xmax * 1e3, chosen.travel_from)
    highest = max(float(np.max(line.y)) for line in lines)
    top = min(1.08 * highest, 2.2 * Xmax * 1e3) if Xmax else 1.08 * highest
    return _chart(
        "travel",
        sentence,
        chosen,
        lines,
        f"mm each way, {stated(chosen)}",
        "mm",
        (0, top),
        limits=limits,
        places=1,
    )


def radiator_chart(known, chosen):
    """Travel one way of each passive radiator at the stated power."""
    boxes = {key: box for key, box in known.items() if box.radiator}
    if not boxes:
        return None
    lines = _lines(boxes, lambda box: box.response.radiator * box.drive * 1e3, among=known)
    speaker = chosen if chosen.key in boxes else next(iter(boxes.values()))
    moved = speaker.radiator
    sentence = Markup(
        "At {} each radiator of {} moves <b>{:.1f}&nbsp;mm</b> each way near {:.0f} Hz{}."
    ).format(stated(speaker), speaker.key, moved.travel * 1e3, moved.travel_at, _within(moved))
    limits = [(moved.Xmax * 1e3, f"{moved.Xmax * 1e3:.1f}: end of its travel")] if moved.Xmax else []
    highest = max(float(np.max(line.y)) for line in lines)
    top = 1.08 * max(highest, moved.Xmax * 1e3) if moved.Xmax else 1.08 * highest
    return _chart(
        "radiator", sentence, speaker, lines, f"mm each way, {stated(speaker)}", "mm", (0, top),
        limits=limits, places=1,
    )  # fmt: skip


def _within(moved):
    if moved.Xmax is None:
        return "; its sheet gives no limit"
    return (
        ", inside its limit"
        if moved.travel <= moved.Xmax
        else ", more than it can: lower the level or take more cones"
    )


def impedance_chart(known, chosen):
    """Impedance of the chosen box at its terminals, with phase in the table and on hover."""
    sentence = Markup("The amplifier never sees less than <b>{:.1f}&nbsp;Ω</b>, at {:.0f} Hz.").format(
        chosen.least_Z, chosen.least_Z_at
    )
    Z, phase = chosen.response.Z, chosen.response.Z_phase
    f = chosen.response.f
    line = Line(chosen.key, 0, Z)
    top = 1.12 * float(np.max(Z[(f >= FROM) & (f <= TO)]))
    keep = _shown(f)
    dashes = dict(color="var(--p2)", width=1.75, dash="3px,3px")
    turn = curve(f[keep], phase[keep], "phase, °", dashes, places=0, places_x=1) | dict(yaxis="y2")
    right = dict(
        overlaying="y", side="right", range=[-90, 90], tickvals=[-45, 0, 45], ticktext=["−45°", "0°", "45°"],
        showgrid=False, zeroline=False, fixedrange=True, tickfont=dict(color="var(--p2)"),
    )  # fmt: skip
    words = note("phase", 1, 1, xref="paper", yref="paper", xanchor="right", yanchor="bottom", yshift=4,
                 font=dict(color="var(--p2)"))  # fmt: skip
    rows = (
        (f"{at}", f"{np.interp(at, f, Z):.1f}", f"{np.interp(at, f, phase):.0f}") for at in listed(chosen)
    )
    return over_frequency(
        "impedance", sentence, ("Hz", "Ω", "phase, °"), rows, f, [line], "ohm at the terminals", (0, top),
        traces=[turn], notes=[words], margin=dict(r=46), yaxis2=right,
    )  # fmt: skip


STOPS = {
    "travel": "cone travel",
    "power": "power",
    "port": "port air",
    "amplifier": "the amplifier",
    "radiator": "the radiators' travel",
}
"""What stops a box, in the words of a sentence."""


def largest_chart(known, chosen):
    """The largest clean level: the lower of what travel, power and port air allow."""
    able = {key: box for key, box in known.items() if box.limits.level is not None}
    if not able:
        return None
    speaker = chosen if chosen.key in able else next(iter(able.values()))
    lines = _lines(able, lambda box: box.limits.level, among=known)
    f = speaker.response.f
    at50 = float(np.interp(50, f, speaker.limits.level))
    by = STOPS[str(speaker.limits.by[int(np.argmin(abs(f - 50)))])]
    others = [
        f"{key} to {np.interp(50, f, box.limits.level):.0f}"
        for key, box in able.items()
        if box is not speaker
    ]
    sentence = Markup("At 50 Hz one {} stays clean to <b>{:.0f}&nbsp;dB</b>, where {} stops it{}{}.").format(
        speaker.key,
        at50,
        by,
        "; " + "; ".join(others) if others else "",
        ". The power it bears is not known" if "power" in speaker.limits.unknown else "",
    )
    told = (f >= 25) & (f <= 300)  # without a known power the limit climbs on and on: show where it matters
    top = max(float(np.max(line.y[told & np.isfinite(line.y)])) for line in lines) + 3
    return _chart(
        "largest", sentence, speaker, lines, "dB at 1 m, one speaker", "dB", (top - 40, top), places=1
    )


def delay_chart(known, chosen):
    """Group delay of the volume acceleration."""
    lines = _lines(known, lambda box: box.response.group_delay * 1e3)
    turns = chosen.delay_peak * chosen.delay_at
    sentence = Markup(
        "The lowest notes come at most <b>{:.0f}&nbsp;ms</b> late, near {:.0f} Hz: {:.1f} turns of that wave."
        " Less is better, but from where on it is heard nobody has settled."
    ).format(chosen.delay_peak * 1e3, chosen.delay_at, turns)
    top = 1.15 * max(float(np.max(line.y[_shown(chosen.response.f, every=1)])) for line in lines)
    return _chart("delay", sentence, chosen, lines, "ms later than the treble", "ms", (0, top), places=1)


def stated(box):
    """The drive in words: the stated power of this box."""
    return f"{box.watts:.0f} watts" if box.watts >= 10 else f"{box.watts:.1f} watts"


def _lines(boxes, value, among=None):
    pencils = {key: index for index, key in enumerate(among or boxes)}
    return [Line(key, pencils[key] % len(PENCILS), value(box)) for key, box in boxes.items()]


def _chart(name, sentence, box, lines, unit, short, span, places=1, **drawn):
    f = box.response.f
    rows = ((f"{at}", *(f"{np.interp(at, f, line.y):.{places}f}" for line in lines)) for at in listed(box))
    columns = ("Hz", *(f"{line.letter}, {short}" for line in lines))
    return over_frequency(name, sentence, columns, rows, f, lines, unit, span, places=places, **drawn)


def listed(box):
    """The table's frequencies, with the tuning among them."""
    return sorted({*LISTED, round(box.fb)}) if box.fb else LISTED


def over_frequency(
    name, sentence, columns, rows, f, lines, unit, span,
    limits=(), marks=(), band=None, places=1, traces=(), notes=(), under=(), **layout,
):  # fmt: skip
    """The `Chart` of `Line`s over the bass.

    Parameters
    ----------
    span : (float, float)
        Least and largest y in sight.
    limits : sequence of (float, str)
        Level lines with their words.
    marks : sequence of (float, float, str)
        Frequency [Hz], height and words of points with an upright to them.
    band : (float, float, str), optional
        A band between two heights, with its words.
    traces, under : sequences of dict
        More of plotly's traces, over and under the lines.
    """
    keep = _shown(f)
    low, high = span
    drawn = [
        curve(f[keep], line.y[keep], line.letter, PENCILS[line.pencil], places + 1, 1)
        for line in reversed(lines)
    ]
    traces = [*under, *drawn, *traces]
    notes = [*notes, *axis_words(unit, "frequency, Hz")]
    shapes = []
    if band:
        bottom, top, words = band
        shapes += [shaded(bottom, top), level_line(bottom), level_line(top)]
        notes.append(above(f"{bottom:.0f} to {top:.0f}: {words}", top))
    for at, words in limits:
        shapes.append(level_line(at))
        notes.append(above(words, at))
    for at, y, words in marks:
        shapes.append(upright(at, low, y))
        notes.append(beside(words, at, low + 0.06 * (high - low)))
        traces.append(dot(at, y))
    words_at = [at for at, _ in limits] + ([band[1]] if band else [])
    notes += _letters(f, lines, span, words_at) if len(lines) > 1 else []
    return chart(name, sentence, columns, rows, traces, log_axis(FROM, TO), span, notes, shapes, **layout)


def _off(box, f, band):
    """How far a `Range` over f reaches at most from the level of a box in the bass. [dB]"""
    heard = (f >= 20) & (f <= 200)
    paper = np.interp(f, box.response.f, box.response.level)
    return float(np.max(np.maximum(band.high - paper, paper - band.low)[heard]))


def shade(f, band):
    """The traces of a `Range` over f: its edges, and a shade between them."""
    keep = _shown(f, every=1)
    thin = dict(color="var(--p1)", width=1)
    return [
        curve(f[keep], band.low[keep], "lowest", thin, 2, 1),
        curve(f[keep], band.high[keep], "highest", thin, 2, 1)
        | dict(fill="tonexty", fillcolor="var(--hair)"),
    ]


def _letters(f, lines, span, words_at=()):
    """Each line's letter beside it, where it is in sight and farthest from other lines, letters and words."""
    low, high = span
    grid = np.geomspace(FROM * 1.35, TO / 2, 60)
    notes, taken = [], []
    for line in lines:
        y = np.interp(grid, f, line.y)
        inside = (y > low + 0.06 * (high - low)) & (y < high - 0.08 * (high - low))
        px = np.log(grid / FROM) / np.log(TO / FROM)
        py = (y - low) / (high - low)
        others = [(np.interp(grid, f, other.y) - low) / (high - low) for other in lines if other is not line]
        room = np.min([abs(py - other) for other in others], axis=0)
        for x0, y0 in taken:
            room = np.minimum(room, np.hypot(1.6 * (px - x0), py - y0))
        for at in words_at:  # the words of a limit stand just above it, from the right
            room = np.where((px > 0.25) & (abs(py - (at - low) / (high - low) - 0.05) < 0.1), 0.0, room)
        room = np.where(inside, np.minimum(room, 0.1) - 0.01 * abs(px - 0.4), -1)
        best = int(np.argmax(room))
        if room[best] < 0:
            continue
        taken.append((px[best], py[best]))
        letter = f"<b>{escape(line.letter)}</b>"
        notes.append(name_at(letter, np.log10(grid[best]), y[best], PENCILS[line.pencil]))
    return notes


def _shown(f, every=2):
    return np.flatnonzero((f >= FROM * 0.97) & (f <= TO * 1.03))[::every]
