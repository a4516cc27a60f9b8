"""What all charts are made of: their record, pencils, lines, words, and the template that they share.

Colours are the names of the sheet's own tokens (``var(--p1)``): the browser puts in what they are in its
scheme, so one figure serves light, dark and paper. Numbers are rounded to what the eye sees. A figure is
plain values: turning each into an object and back cost more than all else; the tests hold every figure
against plotly's own validators.
"""

from dataclasses import dataclass

import numpy as np
import orjson
import plotly.graph_objects as go
import plotly.io
from markupsafe import Markup

plotly.io.templates.default = None  # ours goes out once a page; theirs would go with every figure

TICKS = (20, 50, 100, 200, 500)

PENCILS = (
    dict(color="var(--p1)", dash="solid", width=3.25),
    dict(color="var(--p2)", dash="11px,5px", width=2.5),
    dict(color="var(--p3)", dash="2px,4px", width=3),
    dict(color="var(--p4)", dash="12px,4px,2px,4px", width=2.5),
)
"""The chosen box, then the others in their order. The dash goes with the letter everywhere."""

FONT = 'Seravek, "Gill Sans Nova", Ubuntu, Calibri, "Noto Sans", "DejaVu Sans Condensed", sans-serif'

_template = go.layout.Template(
    layout=dict(
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        font=dict(family=FONT, size=15, color="var(--ink)"),
        showlegend=False,
        hovermode="x unified",
        hoverlabel=dict(bgcolor="var(--leaf)", bordercolor="var(--ink)", font=dict(color="var(--ink)")),
        margin=dict(l=44, r=16, t=28, b=48),
        height=250,
        dragmode=False,
        xaxis=dict(
            type="log", showline=True, showgrid=False, zeroline=False, linecolor="var(--ink)", linewidth=1.5,
            ticks="outside",
            tickvals=list(TICKS), ticktext=[str(tick) for tick in TICKS], fixedrange=True, hoverformat=".0f",
        ),
        yaxis=dict(gridcolor="var(--hair)", gridwidth=1, zeroline=False, nticks=5, fixedrange=True),
    )
)  # fmt: skip

TEMPLATE = orjson.dumps(_template.to_plotly_json(), option=orjson.OPT_SERIALIZE_NUMPY).decode()
"""What all charts share. It goes out once a page (templates/macros/chart.html), not in every figure."""


@dataclass(frozen=True)
class Chart:
    """A chart ready for templates/macros/chart.html; `figure` is plotly's JSON."""

    name: str
    sentence: str
    words: str
    figure: str
    columns: tuple
    rows: tuple


def chart(name, sentence, columns, rows, traces, xaxis, span, notes=(), shapes=(), **layout):
    """The `Chart` of `traces` over `xaxis` (plotly's), y from `span[0]` to `span[1]`."""
    low, high = span
    layout |= dict(
        xaxis=xaxis,
        yaxis=dict(range=[float(low), float(high)]),
        annotations=list(notes),
        shapes=list(shapes),
    )
    # what is not finite becomes null, which plotly.js draws as a gap
    figure = orjson.dumps(dict(data=list(traces), layout=layout), option=orjson.OPT_SERIALIZE_NUMPY).decode()
    words = Markup(sentence).striptags().replace("\N{NO-BREAK SPACE}", " ")
    return Chart(name, sentence, words, figure, tuple(columns), tuple(rows))


def log_axis(low, high, ticks=None):
    """A logarithmic x axis; its ticks are the template's unless given."""
    axis = dict(range=[float(np.log10(low)), float(np.log10(high))])
    if ticks is None:
        return axis
    return axis | dict(tickvals=list(ticks), ticktext=[f"{tick:g}" for tick in ticks])


def curve(x, y, name, stroke, places=2, places_x=2):
    """A line's trace, y rounded to `places` and x to `places_x` decimals."""
    return dict(
        type="scatter", x=rounded(x, places_x), y=rounded(y, places), mode="lines", name=name, line=stroke
    )


def dot(x, y):
    """A trace of one point."""
    return dict(type="scatter", x=[float(x)], y=[float(y)], mode="markers",
                marker=dict(color="var(--ink)", size=9), hoverinfo="skip")  # fmt: skip


def rounded(values, places):
    """What the eye sees, in four bytes: they are written with no more digits than they have."""
    return np.round(values, places).astype(np.float32)


def level_line(y):
    """A dashed line from side to side."""
    return dict(type="line", xref="paper", x0=0, x1=1, y0=float(y), y1=float(y),
                line=dict(color="var(--ink)", width=1.5, dash="3px,3px"))  # fmt: skip


def upright(x, low, high):
    """A dotted line from `low` up to `high`."""
    return dict(type="line", x0=float(x), x1=float(x), y0=float(low), y1=float(high),
                line=dict(color="var(--ink)", width=1.5, dash="2px,3px"))  # fmt: skip


def shaded(low, high, **across):
    """A shaded band from side to side, or between ``x0`` and ``x1`` of the axis ``xref``."""
    reach = dict(xref="paper", x0=0, x1=1) | across
    return dict(type="rect", y0=low, y1=high, fillcolor="var(--hair)", opacity=0.35, line=dict(width=0),
                layer="below", **reach)  # fmt: skip


def note(text, x, y, **rest):
    """Words at a place; on a logarithmic axis x is the power of ten."""
    return dict(text=text, x=x, y=y, showarrow=False, borderpad=1, **rest)


def above(text, y, side="right", **rest):
    """Words just above a level line, at the `side` of the chart."""
    return note(text, {"left": 0, "right": 1}[side], y, xref="paper", xanchor=side, yanchor="bottom", **rest)


def beside(text, x, y, **rest):
    """Words to the right of an upright line at x, on paper of their own."""
    return note(text, float(np.log10(x)), float(y), xanchor="left", bgcolor="var(--leaf)", **rest)


def name_at(text, x, y, stroke, **rest):
    """A line's name or letter upon it, in the colour of its stroke."""
    font = dict(color=stroke["color"], size=16)
    return note(text, float(x), float(y), bgcolor="var(--leaf)", font=font, **rest)


def axis_words(up, along):
    """What the axes show, each with its unit: above the one, below the other."""
    return (
        note(up, 0, 1, xref="paper", yref="paper", xanchor="left", yanchor="bottom", yshift=4),
        note(along, 1, 0, xref="paper", yref="paper", xanchor="right", yanchor="top", yshift=-24),
    )
