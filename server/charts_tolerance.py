"""The charts of loose parts: the band that speakers lie in, and how matching brings a pair together."""

import numpy as np
from markupsafe import Markup

from calc.evaluate_tolerance import AUDIBLE
from server.figures import PENCILS, above, axis_words, chart, curve, level_line, log_axis, rounded

EDGE = dict(color="var(--soft)", dash="3px,3px", width=1.5)


def band_chart(found):
    """Level of the whole as printed, and the band that holds 19 of 20 speakers."""
    wide, where = found.worst
    span = float(found.low.min()) - 2, float(found.high.max()) + 2
    between = dict(fill="tonexty", fillcolor="var(--hair)")
    curves = found.low, found.printed, found.high
    sentence = Markup(
        "19 of 20 speakers lie within <b>±{:.1f}&nbsp;dB</b>, widest at {:.0f}&nbsp;Hz."
    ).format(wide, where)
    return chart(
        "band",
        sentence,
        ("Hz", "lowest, dB", "as printed, dB", "highest, dB"),
        [(f"{found.f[i]:.0f}", *(f"{y[i]:.1f}" for y in curves)) for i in range(0, found.f.size, 5)],
        [curve(found.f, found.low, "lowest", EDGE),
         curve(found.f, found.high, "highest", EDGE) | between,
         curve(found.f, found.printed, "as printed", PENCILS[0])],
        log_axis(found.f[0], found.f[-1], (50, 100, 200, 500, 1000, 2000, 5000, 10000)), span,
        notes=axis_words("dB at 1 m, 2.83 V", "frequency, Hz"),
    )  # fmt: skip


def pair_chart(found):
    """How far 19 of 20 pairs differ at most, with none, one, two ... of their parts matched."""
    many = np.arange(found.apart.size)
    names = ["nothing", *found.influence]
    top = max(1.2 * AUDIBLE, float(found.apart.max()) * 1.1)
    sentence = Markup(
        "Unmatched, 19 of 20 pairs differ by less than <b>{:.1f}&nbsp;dB</b> at their worst."
    ).format(found.apart[0])
    return chart(
        "pairs", sentence, ("matched so far", "pairs differ by, dB"),
        [(name if i == 0 else f"and {name}", f"{found.apart[i]:.2f}") for i, name in enumerate(names)],
        [dict(type="bar", x=[float(i) for i in many], y=rounded(found.apart, 2), width=0.6,
              marker=dict(color="var(--p1)"), name="pairs")],
        dict(type="linear", range=[-0.6, many[-1] + 0.6], tickvals=[int(i) for i in many],
             ticktext=[str(i) for i in many]),
        (0.0, top),
        notes=(above("as good as alike", AUDIBLE, "right"), *axis_words("dB", "parts matched")),
        shapes=[level_line(AUDIBLE)],
    )  # fmt: skip
