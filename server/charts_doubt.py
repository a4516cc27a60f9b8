"""The chart of how far a box may lie off its plan."""

import numpy as np
from markupsafe import Markup

from calc.explore.doubt import Range
from server.charts import LISTED, Line, over_frequency, shade


def doubt_chart(box, found):
    """Where the level of 19 of 20 speakers lies, against that on paper; `found` is a `DoubtResult`."""
    told = found.told
    at, height = found.widest
    if height < 0.05:
        sentence = Markup("With every spread at nothing there is no band: a real pair is not like that.")
    else:
        sentence = Markup(
            "19 of 20 speakers lie in the shaded band about plan {}. It is widest near "
            "<b>{:.0f}&nbsp;Hz</b>: {:.1f} dB from edge to edge. Narrow is good; what the list below begins "
            "with narrows it most."
        ).format(box.key, at, height)
    paper = box.circuit.response(told.f).level
    off = Range(*(edge - paper for edge in told.band))
    heard = (told.f > 15) & (told.f < 500)
    top = max(1.0, 1.25 * float(np.max(np.abs([off.low[heard], off.high[heard]]))))
    line = Line(box.key, 0, np.zeros(len(told.f)))
    curves = (paper, *told.band)
    rows = ((f"{f}", *(f"{np.interp(f, told.f, each):.1f}" for each in curves)) for f in LISTED)
    columns = ("Hz", "on paper, dB", "lowest, dB", "middle, dB", "highest, dB")
    return over_frequency(
        "doubt", sentence, columns, rows, told.f, [line], "dB above or below the plan", (-top, top),
        under=shade(told.f, off),
    )  # fmt: skip
