"""The charts of how loud a box may play: what stops it, what moves below the music, what heat takes."""

import numpy as np
import plotly.graph_objects as go
from markupsafe import Markup

from calc.evaluate_loudness import WATCHED
from server.charts import (
    LISTED,
    PENCILS,
    STOPS,
    Chart,
    Line,
    _figure,
    _json,
    _level_line,
    _note,
    _plain,
    _rounded,
    _stated,
)

BELOW = (2, 3, 5, 8, 10, 12, 16, 20, 25, 30, 40, 60, 100)
"""Frequencies of the table of travel. [Hz]"""


def loudness_charts(box, found):
    """The charts by name; `found` is the `LoudnessResult` of the box."""
    charts = (ceiling_chart(box, found), below_chart(box, found), heat_chart(box, found))
    return {chart.name: chart for chart in charts if chart}


def ceiling_chart(box, found):
    """The largest level by each limit, and the lowest of them; None where no limit is known."""
    told = box.limits
    if told.level is None:
        return None
    f = box.response.f
    inside = (f >= 25) & (f <= 300) & np.isfinite(told.level)
    top = float(np.max(told.level[inside])) + 3 if inside.any() else 110.0
    singles = {name: getattr(told, name) for name in STOPS if getattr(told, name) is not None}
    lines = [Line("clean", 0, np.minimum(told.level, top + 40))]
    lines += [Line(name, 1 + i % 3, np.minimum(y, top + 40)) for i, (name, y) in enumerate(singles.items())]
    sentence = Markup(
        "{}. The lowest line rules; louder only comes from changing what stops it there."
    ).format(_ruled(box.key, found.ruled))
    figure = _figure(f, lines, "dB at 1 m, one speaker, a sine", (top - 40, top))
    at = [int(np.argmin(abs(np.log(f / each)))) for each in LISTED]
    rows = tuple(
        (f"{each}", _level(told.level[i]), STOPS[str(told.by[i])], *(_level(y[i]) for y in singles.values()))
        for each, i in zip(LISTED, at, strict=True)
    )
    columns = ("Hz", "clean to, dB", "stopped by", *(f"by {name}, dB" for name in singles))
    return Chart("ceiling", sentence, _plain(sentence), _json(figure), columns, rows)


def _level(value):
    return f"{value:.1f}" if np.isfinite(value) else "–"


def _ruled(key, ruled):
    """Which limit rules where, as a sentence of a few parts: what is narrow is left to the chart."""
    wide = [each for each in ruled if each.high / each.low > 1.15]
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


def below_chart(box, found):
    """Travel at the stated drive from 2 Hz up, as it is fed, and what a filter would make of it."""
    x, at = found.most_travel
    traces = [_line(WATCHED, found.travel * 1e3, "as it is fed", 0)]
    fed_otherwise = not np.allclose(found.travel, found.bare)
    if fed_otherwise:
        traces.insert(0, _line(WATCHED, found.bare * 1e3, "without filter or capacitor", 1))
    if found.player:
        traces.append(_line(found.player.now.f, found.player.now.x * 1e3, "record player", 2))
    Xmax = box.Xmax
    shapes, notes = [], []
    if Xmax:
        shapes.append(_level_line(Xmax * 1e3))
        notes.append(_note(f"{Xmax * 1e3:.1f}: end of its clean travel", 1, Xmax * 1e3, xref="paper",
                           xanchor="right", yanchor="bottom"))  # fmt: skip
    words = "; the sheet gives no Xmax" if Xmax is None else _against(x, Xmax)
    sentence = Markup(
        "At {} the cone of {} moves most at <b>{:.0f}&nbsp;Hz</b>, watched from 10 up: {:.1f} mm each way{}."
    ).format(_stated(box), box.key, at, x * 1e3, words)
    top = 1.1 * max(float(np.max(found.travel[WATCHED >= 10])), Xmax or 0) * 1e3
    figure = _own(
        traces,
        (2, 200),
        (2, 5, 10, 20, 50, 100, 200),
        (0, top),
        "mm each way",
        "frequency, Hz",
        shapes,
        notes,
    )
    curves = [found.travel] + ([found.bare] if fed_otherwise else [])
    columns = ("Hz", "as it is fed, mm") + (("without filter or capacitor, mm",) if fed_otherwise else ())
    rows = tuple(
        (f"{each}", *(f"{1e3 * np.interp(each, WATCHED, curve):.2f}" for curve in curves)) for each in BELOW
    )
    return Chart("below", sentence, _plain(sentence), _json(figure), columns, rows)


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
    ).format(_stated(box), float(told.now.rise), loss, _taken(loss))
    mark = dict(
        type="scatter", x=[box.watts], y=[loss], mode="markers", marker=dict(color="var(--ink)", size=9),
        hoverinfo="skip",
    )  # fmt: skip
    low, high = float(told.watts[0]), float(told.watts[-1])
    ticks = [tick for tick in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000) if low <= tick <= high]
    figure = _own(
        [_line(told.watts, told.loss, "dB lost", 0), mark], (low, high), ticks,
        (0, 1.1 * float(told.loss[-1])), "dB less than a cold coil gives", "watts into the cold coil", (), (),
    )  # fmt: skip
    rows = tuple(
        (f"{tick}", f"{np.interp(np.log(tick), np.log(told.watts), told.loss):.1f}") for tick in ticks
    )
    return Chart("heat", sentence, _plain(sentence), _json(figure), ("W", "dB lost"), rows)


def _taken(loss):
    if loss < 1:
        return "Under 1 dB hardly matters."
    if loss < 3:
        return "It dulls what should be loud; it comes back as the coil cools."
    return "That is much: less drive, a driver that bears more, or several."


def _line(x, y, name, pencil):
    return dict(
        type="scatter", x=_rounded(x, 2), y=_rounded(y, 3), mode="lines", name=name, line=PENCILS[pencil]
    )


def _own(traces, span_x, ticks, span_y, unit, words, shapes, notes):
    """A figure over an x axis of its own."""
    layout = dict(
        xaxis=dict(
            range=[float(np.log10(end)) for end in span_x], tickvals=list(ticks),
            ticktext=[str(tick) for tick in ticks],
        ),
        yaxis=dict(range=list(span_y)),
        shapes=list(shapes),
        annotations=[
            *notes,
            _note(unit, 0, 1, xref="paper", yref="paper", xanchor="left", yanchor="bottom", yshift=4),
            _note(words, 1, 0, xref="paper", yref="paper", xanchor="right", yanchor="top", yshift=-24),
        ],
    )  # fmt: skip
    return go.Figure(dict(data=traces, layout=layout), _validate=False)
