"""The chart of a box with all that may become of it."""

import numpy as np
from markupsafe import Markup

from server.charts import LISTED, Chart, Line, _figure, _json, _plain, grey


def doubt_chart(box, found):
    """Level on paper in the band where 19 of 20 speakers lie; `found` is a `DoubtResult`."""
    told = found.told
    at, height = found.widest
    if height < 0.05:
        sentence = Markup("With every spread at nothing there is no band: a real pair is not like that.")
    else:
        sentence = Markup(
            "19 of 20 speakers lie in the grey. It is highest near <b>{:.0f}&nbsp;Hz</b>: {:.1f} dB. "
            "Flat and narrow is good; what is listed first below narrows it most."
        ).format(at, height)
    paper = box.circuit.response(told.f).level
    top = float(np.max(told.band.high[(told.f > 15) & (told.f < 500)]))
    figure = _figure(
        told.f, [Line(box.key, 0, paper)], "dB at 1 m for 2.83 V", (top - 32, top + 3),
        under=grey(told.f, told.band),
    )  # fmt: skip
    curves = (paper, *told.band)
    rows = tuple((f"{f}", *(f"{np.interp(f, told.f, curve):.1f}" for curve in curves)) for f in LISTED)
    columns = ("Hz", "on paper, dB", "lowest, dB", "middle, dB", "highest, dB")
    return Chart("doubt", sentence, _plain(sentence), _json(figure), columns, rows)
