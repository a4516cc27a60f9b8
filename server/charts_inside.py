"""The chart of the page "Inside": what the first standing wave adds to the level, lined or not."""

import numpy as np
from markupsafe import Markup

from server.figures import PENCILS, axis_words, chart, curve, log_axis, name_at, note, shaded

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
        curve(f, way.ripple, WAYS[name], PENCILS[pencil], places_x=1)
        for pencil, (name, way) in reversed(list(enumerate(ways.items())))
    ]
    notes = [*axis_words("dB beside the box without waves", "frequency, Hz"), *_letters(f, ways, high)]
    edge = dict(x=float(np.log10(f[-1])), xanchor="right", y=1, yref="paper", yanchor="top")
    notes.append(note("slanting waves join", **edge))
    columns = ("Hz", *(f"{LETTERS[name]}: {WAYS[name]}, dB" for name in ways))
    rows = (
        (f"{at:.0f}", *(f"{np.interp(at, f, way.ripple):+.1f}" for way in ways.values()))
        for at in _listed(inside)
    )
    axis = log_axis(f[0], f[-1], [at for at in TICKS if f[0] <= at <= f[-1]])
    slanting = shaded(0, 1, xref="x", yref="paper", x0=inside.slanting, x1=float(f[-1]))
    return chart("ripple", sentence, columns, rows, traces, axis, (-high, high), notes, [slanting])


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


def _letters(f, ways, high):
    """Each line's letter beside it, where it stands out most from the others."""
    notes, grid = [], np.arange(40, len(f) - 30, 6)
    for pencil, (name, way) in enumerate(ways.items()):
        others = [other.ripple[grid] for key, other in ways.items() if key != name]
        apart = np.min([abs(way.ripple[grid] - other) for other in others], axis=0)
        for taken in notes:
            apart = np.where(abs(np.log10(f[grid]) - taken["x"]) < 0.1, -1.0, apart)
        best = int(grid[int(np.argmax(np.where(abs(way.ripple[grid]) < 0.85 * high, apart, -2.0)))])
        notes.append(name_at(f"<b>{LETTERS[name]}</b>", np.log10(f[best]), way.ripple[best], PENCILS[pencil]))
    return notes
