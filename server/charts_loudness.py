"""The charts of how loud a box may play: what stops it, what moves below the music, what heat takes."""

import numpy as np
from markupsafe import Markup

from calc.evaluate_loudness import WATCHED
from server.charts import FROM, LISTED, STOPS, TO, Line, over_frequency, stated
from server.figures import PENCILS, above, axis_words, chart, curve, dot, level_line, log_axis, name_at

STROKES = {
    "travel": dict(color="var(--p2)", dash="11px,5px", width=2.5),
    "power": dict(color="var(--p3)", dash="2px,4px", width=3),
    "port": dict(color="var(--p4)", dash="12px,4px,2px,4px", width=2.5),
    "amplifier": dict(color="var(--p1)", dash="5px,5px", width=1.5),
    "radiator": dict(color="var(--p2)", dash="3px,3px", width=2),
}
"""How the line of each limit is drawn; its name stands beside it."""

SEMITONE = 2 ** (1 / 12)

BELOW = (2, 3, 5, 8, 10, 12, 16, 20, 25, 30, 40, 60, 100)
"""Frequencies of the table of travel. [Hz]"""


def loudness_charts(box, found):
    """The charts by name; `found` is the `LoudnessResult` of the box."""
    charts = (ceiling_chart(box, found), below_chart(box, found), heat_chart(box, found))
    return {each.name: each for each in charts if each}


def ceiling_chart(box, found):
    """The largest level by each limit, and the lowest of them; None where no limit is known."""
    told = box.limits
    if told.level is None:
        return None
    f = box.response.f
    inside = (f >= 25) & (f <= 300) & np.isfinite(told.level)
    top = float(np.max(told.level[inside])) + 3 if inside.any() else 110.0
    singles = {name: getattr(told, name) for name in STOPS if getattr(told, name) is not None}
    sentence = Markup(
        "{}. The lowest line rules; louder only comes from changing what stops it there."
    ).format(_ruled(box.key, found.ruled))
    span = top - 40, top
    drawn = {name: np.minimum(y, top + 40) for name, y in singles.items()}
    at = [int(np.argmin(abs(np.log(f / each)))) for each in LISTED]
    rows = (
        (f"{each}", _level(told.level[i]), STOPS[str(told.by[i])], *(_level(y[i]) for y in singles.values()))
        for each, i in zip(LISTED, at, strict=True)
    )
    columns = ("Hz", "clean to, dB", "stopped by", *(f"by {name}, dB" for name in singles))
    return over_frequency(
        "ceiling", sentence, columns, rows, f, [Line("clean", 0, np.minimum(told.level, top + 40))],
        "dB at 1 m, one speaker, a sine", span,
        under=[curve(f, y, name, STROKES[name], places=3) for name, y in drawn.items()],
        notes=_names(f, drawn, span),
    )  # fmt: skip


def _level(value):
    return f"{value:.1f}" if np.isfinite(value) else "–"


def _ruled(key, ruled):
    """Which limit rules where, as a sentence: what is narrower than a semitone is left to the chart."""
    wide = [each for each in ruled if each.high / each.low > SEMITONE]
    parts = []
    for each in wide:
        if parts and parts[-1][0] == each.by:
            parts[-1][1] = each.high
        else:
            parts.append([each.by, each.high])
    if len(parts) <= 1:
        by = STOPS[(parts or [[ruled[0].by]])[0][0]]
        return Markup("<b>{}</b> stops {} at every note").format(by[0].upper() + by[1:], key)
    said = [Markup("{} up to <b>{:.0f}&nbsp;Hz</b>").format(STOPS[by], high) for by, high in parts[:-1]]
    said.append(Markup("{} above").format(STOPS[parts[-1][0]]))
    return Markup("What stops {}: ").format(key) + Markup(", then ").join(said)


def _names(f, lines, span):
    """The name of each limit on its line, where it is in sight, off the other lines and off other names."""
    low, high = span
    grid = np.geomspace(FROM * 1.35, TO / 1.6, 80)
    across = np.log(grid / FROM) / np.log(TO / FROM)
    up = {name: (np.interp(grid, f, y) - low) / (high - low) for name, y in lines.items()}
    notes, taken = [], []
    for name, mine in up.items():
        others = [abs(mine - other) for key, other in up.items() if key != name]
        room = np.minimum(np.min(others, axis=0) if others else 1.0, 0.08)
        for x, y in taken:
            room = np.where((abs(across - x) < 0.2) & (abs(mine - y) < 0.12), -1.0, room)
        room = np.where((mine > 0.06) & (mine < 0.92), room - 0.01 * abs(across - 0.4), -2.0)
        best = int(np.argmax(room))
        if room[best] <= -2:
            continue
        taken.append((across[best], mine[best]))
        height = low + mine[best] * (high - low)
        notes.append(name_at(f"<b>{name}</b>", np.log10(grid[best]), height, STROKES[name]))
    return notes


def below_chart(box, found):
    """Travel at the stated drive from 2 Hz up, as it is fed, and what a filter would make of it."""
    x, at = found.most_travel
    traces = [curve(WATCHED, found.travel * 1e3, "as it is fed", PENCILS[0], places=3)]
    fed_otherwise = not np.allclose(found.travel, found.bare)
    if fed_otherwise:
        bare = curve(WATCHED, found.bare * 1e3, "without filter or capacitor", PENCILS[1], places=3)
        traces.insert(0, bare)
    if found.player:
        player = found.player.now
        traces.append(curve(player.f, player.x * 1e3, "record player", PENCILS[2], places=3))
    Xmax = box.Xmax
    shapes, notes = [], [*axis_words("mm each way", "frequency, Hz")]
    if Xmax:
        words = f"{Xmax * 1e3:.1f}: end of its clean travel"
        shapes.append(level_line(Xmax * 1e3))
        notes.append(above(words, Xmax * 1e3, bgcolor="var(--leaf)"))
    words = "; the sheet gives no Xmax" if Xmax is None else _against(x, Xmax)
    sentence = Markup(
        "At {} the cone of {} moves most at <b>{:.0f}&nbsp;Hz</b>, watched from 10 up: {:.1f} mm each way{}."
    ).format(stated(box), box.key, at, x * 1e3, words)
    if fed_otherwise:
        sentence += Markup(" Dashed: without filter or capacitor.")
    if found.player:
        sentence += Markup(" Dotted: the record player alone.")
    top = 1.1 * max(float(np.max(found.travel[WATCHED >= 10])), Xmax or 0) * 1e3
    curves = [found.travel] + ([found.bare] if fed_otherwise else [])
    columns = ("Hz", "as it is fed, mm") + (("without filter or capacitor, mm",) if fed_otherwise else ())
    rows = ((f"{at}", *(f"{1e3 * np.interp(at, WATCHED, each):.2f}" for each in curves)) for at in BELOW)
    axis = log_axis(2, 200, (2, 5, 10, 20, 50, 100, 200))
    return chart("below", sentence, columns, rows, traces, axis, (0, top), notes, shapes)


def _against(x, Xmax):
    if x <= Xmax:
        return Markup(", inside its {:.1f}").format(Xmax * 1e3)
    return Markup(", more than its {:.1f}: what lies under the music must not reach it").format(Xmax * 1e3)


def heat_chart(box, found):
    """Level lost to the warm coil over the drive, in noise; None where the rated power is not known."""
    told = found.heated
    if told is None:
        return None
    loss = float(told.now.loss)
    sentence = Markup(
        "After long noise of {} the coil is <b>{:.0f}&nbsp;K</b> warmer and takes {:.1f} dB away. {}"
    ).format(stated(box), float(told.now.rise), loss, _taken(loss))
    low, high = float(told.watts[0]), float(told.watts[-1])
    ticks = [tick for tick in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000) if low <= tick <= high]
    traces = [curve(told.watts, told.loss, "dB lost", PENCILS[0], places=3), dot(box.watts, loss)]
    rows = ((f"{tick}", f"{np.interp(np.log(tick), np.log(told.watts), told.loss):.1f}") for tick in ticks)
    return chart(
        "heat", sentence, ("W", "dB lost"), rows, traces, log_axis(low, high, ticks),
        (0, 1.1 * float(told.loss[-1])),
        axis_words("dB less than a cold coil gives", "watts into the cold coil"),
    )  # fmt: skip


def _taken(loss):
    if loss < 1:
        return "Under 1 dB hardly matters."
    if loss < 3:
        return "It dulls what should be loud; it comes back as the coil cools."
    return "That is much: less drive, a driver that bears more, or several."
