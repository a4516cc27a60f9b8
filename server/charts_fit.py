"""The chart of a fit: what is heard beside what was wanted."""

import numpy as np
from markupsafe import Markup

from calc.sound.summation import level
from server.charts_crossover import LISTED, at
from server.charts_sum import TICKS, WAYS, WHOLE
from server.figures import axis_words, chart, curve, level_line, log_axis, name_at, upright

WANTED = dict(color="var(--soft)", dash="4px,3px", width=2)


def fit_chart(to_fit, now):
    """Each way with its target, and their sum; between the dotted lines lies the band of the fit."""
    f = to_fit.f
    ways, total, _ = to_fit.heard(now.values)
    first, last = np.flatnonzero(to_fit.inside)[[0, -1]]
    names = [part.name for part in to_fit.network.drivers]
    wanted = [now.loud + level(to_fit.shapes[name]) for name in names]
    strokes = [WAYS[i % len(WAYS)] for i in range(len(names))]
    span = now.loud - 30, max(float(total.max()), float(ways.max())) + 4
    low = span[0] - 20
    traces = [curve(f, total, "together", WHOLE, places=1)]
    for name, way, aim, stroke in zip(names, ways, wanted, strokes, strict=True):
        traces.append(curve(f, np.maximum(aim, low), f"wanted of {name}", WANTED, places=1))
        traces.append(curve(f, np.maximum(way, low), name, stroke, places=1))
    peaks = [int(np.argmax(way)) for way in ways]
    notes = [
        name_at(name, np.log10(f[i]), float(way[i]), stroke, yshift=-14,
                xanchor="right" if i > 0.8 * f.size else "left" if i < 0.2 * f.size else "center")
        for name, way, i, stroke in zip(names, ways, peaks, strokes, strict=True)
    ]  # fmt: skip
    listed = [at(one) for one in LISTED]
    return chart(
        "fit",
        Markup("Together they stray by <b>±{:.1f}&nbsp;dB</b>, one of them by <b>{:.1f}&nbsp;dB</b>.").format(
            now.off_sum, now.off_ways
        ),
        ("Hz", *(f"{name}, dB" for name in names), *(f"{name} wanted, dB" for name in names), "together, dB"),
        [(f"{f[i]:.0f}", *(f"{way[i]:.1f}" for way in ways), *(f"{max(aim[i], -99):.1f}" for aim in wanted),
          f"{total[i]:.1f}") for i in listed],
        traces, log_axis(f[0], f[-1], TICKS), span,
        notes=(*notes, *axis_words("dB at 1 m, 2.83 V", "frequency, Hz")),
        shapes=[level_line(now.loud), *(upright(f[i], *span) for i in (first, last))],
    )  # fmt: skip
