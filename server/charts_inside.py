"""The chart of the page "Inside": what the first standing wave adds to the level, lined or not."""

import numpy as np
import orjson
import plotly.graph_objects as go
from markupsafe import Markup

from server.charts import PENCILS, Chart

WAYS = {
    "loose": "filled as it is",
    "walls": "lined on all walls",
    "bare": "bare",
    "pad": "with a pad across the middle",
}
"""The linings that the chart shows, as it calls them."""

LETTERS = {"loose": "F", "walls": "W", "bare": "B", "pad": "P"}

TICKS = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


def ripple_chart(inside):
    """What standing waves add to the level, lined or not; None where that cannot be told."""
    if inside.untold:
        return None
    ways = {name: way for name, way in inside.treatments.items() if name in WAYS}
    sentence = _sentence(inside.standing, ways)
    f = inside.f
    high = float(np.ceil(max(3.0, *(np.max(abs(way.ripple)) for way in ways.values())) + 0.5))
    traces = [
        dict(
            type="scatter", mode="lines", name=WAYS[name], line=PENCILS[pencil],
            x=np.round(f, 1).astype(np.float32), y=np.round(way.ripple, 2).astype(np.float32),
        )
        for pencil, (name, way) in reversed(list(enumerate(ways.items())))
    ]  # fmt: skip
    notes = [
        _note("dB beside the box without waves", 0, 1, "left", "bottom", 4),
        _note("frequency, Hz", 1, 0, "right", "top", -24),
        *_letters(f, ways, high),
    ]
    layout = dict(
        xaxis=dict(
            range=[float(np.log10(f[0])), float(np.log10(f[-1]))],
            tickvals=[at for at in TICKS if f[0] <= at <= f[-1]],
            ticktext=[str(at) for at in TICKS if f[0] <= at <= f[-1]],
        ),
        yaxis=dict(range=[-high, high]),
        annotations=notes,
        shapes=_beyond(inside, notes),
    )
    figure = go.Figure(dict(data=traces, layout=layout), _validate=False)
    columns = ("Hz", *(f"{LETTERS[name]}: {WAYS[name]}, dB" for name in ways))
    rows = tuple(
        (f"{at:.0f}", *(f"{np.interp(at, f, way.ripple):+.1f}" for way in ways.values()))
        for at in _listed(inside)
    )
    return Chart(
        "ripple",
        sentence,
        Markup(sentence).striptags().replace("\N{NO-BREAK SPACE}", " "),
        orjson.dumps(figure.to_plotly_json(), option=orjson.OPT_SERIALIZE_NUMPY).decode(),
        columns,
        rows,
    )


def _listed(inside):
    """The table's frequencies: some on the way up, and those of the waves along one side."""
    along = [wave.mode.f for wave in inside.axial if wave.mode.f < inside.f[-1]]
    return sorted({*np.geomspace(inside.spring, inside.slanting, 9).round(), *np.round(along)})


def _sentence(standing, ways):
    """What the chart proves: how much it is as the box stands, and what would change it."""
    others = [f"{WAYS[name]} {way.most:.1f}" for name, way in ways.items() if way is not standing]
    sentence = "Standing waves pull the level up or down by <b>{:.1f}&nbsp;dB</b> near {:.0f} Hz, {}; {}. {}"
    return Markup(sentence).format(
        standing.most, standing.most_at, WAYS[standing.name], ", ".join(others), "Flat is good."
    )


def _beyond(inside, notes):
    """The band in which slanting waves join, with its words put to the notes."""
    f, edge = inside.f, inside.slanting
    right = dict(x=float(np.log10(f[-1])), xanchor="right", y=1, yref="paper", yanchor="top")
    notes.append(dict(text="slanting waves join", showarrow=False, borderpad=2, **right))
    return [
        dict(type="rect", xref="x", yref="paper", x0=edge, x1=float(f[-1]), y0=0, y1=1, layer="below",
             fillcolor="var(--hair)", opacity=0.35, line=dict(width=0))
    ]  # fmt: skip


def _letters(f, ways, high):
    """Each line's letter beside it, where it stands out most from the others."""
    notes, grid = [], np.arange(40, len(f) - 30, 6)
    for pencil, (name, way) in enumerate(ways.items()):
        others = [other.ripple[grid] for key, other in ways.items() if key != name]
        apart = np.min([abs(way.ripple[grid] - other) for other in others], axis=0)
        for note in notes:
            apart = np.where(abs(np.log10(f[grid]) - note["x"]) < 0.1, -1.0, apart)
        best = int(grid[int(np.argmax(np.where(abs(way.ripple[grid]) < 0.85 * high, apart, -2.0)))])
        notes.append(
            dict(
                text=f"<b>{LETTERS[name]}</b>", x=float(np.log10(f[best])), y=float(way.ripple[best]),
                showarrow=False, borderpad=1, bgcolor="var(--leaf)",
                font=dict(color=PENCILS[pencil]["color"], size=16),
            )
        )  # fmt: skip
    return notes


def _note(text, x, y, xanchor, yanchor, yshift):
    return dict(
        text=text, x=x, y=y, xref="paper", yref="paper", xanchor=xanchor, yanchor=yanchor, yshift=yshift,
        showarrow=False, borderpad=1,
    )  # fmt: skip
