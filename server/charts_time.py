"""The chart of a sudden push: what each box does with a step of voltage, over time."""

import numpy as np
from markupsafe import Markup, escape

from calc.sound.time_domain import room_tenth
from server.charts import pencilled
from server.figures import PENCILS, above, axis_words, chart, curve, level_line, name_at, shaded
from server.telling import two_figures

LISTED = (0, 1, 2, 5, 10, 15, 20, 30, 50, 70, 100, 150, 200, 300, 500, 1000)
"""Times of the table. [ms]"""

POINTS = 240
"""As many of each curve as the eye sees."""


def step_chart(result, steps):
    """Pressure after a sudden push; None where no box can tell. `steps` are those of `side_by_side`."""
    known = {key: steps[key] for key in pencilled(result) if steps[key] is not None}
    if not known:
        return None
    first, *others = known
    rest = "".join(f"; {key} in {_ms(known[key].settled)}" for key in others)
    sentence = Markup(
        "A sudden push dies to a tenth in <b>{}&nbsp;ms</b> in {}{}. Sooner is tighter, but a furnished room "
        "goes on for some {}."
    ).format(two_figures(known[first].settled * 1e3), first, rest, _ms(room_tenth()))
    end = max(step.length for step in known.values())
    t = np.linspace(0, end, POINTS)
    curves = {key: np.interp(t, step.t, step.p, right=0.0) for key, step in known.items()}
    low = min(-0.2, 1.15 * min(float(each.min()) for each in curves.values()))
    pencils = {key: PENCILS[n % len(PENCILS)] for n, key in enumerate(pencilled(result))}
    traces = [curve(t * 1e3, each, key, pencils[key], places=3) for key, each in reversed(curves.items())]
    notes = [
        *axis_words("pressure, over its largest", "time, ms"),
        above("within a tenth", 0.1),
        *_letters(t, curves, low, pencils),
    ]
    axis = dict(type="linear", range=[0, end * 1e3], tickmode="auto", nticks=6, hoverformat=".1f")
    rows = (
        (f"{at}", *(f"{np.interp(at / 1e3, step.t, step.p, right=0.0):.2f}" for step in known.values()))
        for at in LISTED
        if at <= end * 1e3
    )
    shapes = [shaded(-0.1, 0.1), level_line(0)]
    return chart("step", sentence, ("ms", *known), rows, traces, axis, (low, 1.08), notes, shapes)


def _ms(seconds):
    return f"{two_figures(seconds * 1e3)} ms"


def _letters(t, curves, low, pencils):
    """Each curve's letter where it is farthest from the other curves and from letters that stand already."""
    if len(curves) < 2:
        return []
    x, taken, notes = t / t[-1], [], []
    for key, mine in curves.items():
        y = (mine - low) / (1.08 - low)
        room = np.min(
            [abs(mine - other) / (1.08 - low) for name, other in curves.items() if name != key], axis=0
        )
        for x0, y0 in taken:
            room = np.minimum(room, np.hypot(1.6 * (x - x0), y - y0))
        room[(x < 0.02) | (x > 0.97)] = -1
        best = int(np.argmax(room))
        taken.append((x[best], y[best]))
        notes.append(name_at(f"<b>{escape(key)}</b>", t[best] * 1e3, mine[best], pencils[key]))
    return notes
