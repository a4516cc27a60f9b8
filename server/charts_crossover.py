"""The charts of a crossover: what reaches each driver, and what the amplifier meets."""

import numpy as np
from markupsafe import Markup

from calc.evaluate_network import F
from server.figures import PENCILS, above, axis_words, chart, curve, dot, level_line, log_axis, name_at

TICKS = (20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000)

LISTED = (30, 60, 125, 250, 500, 1000, 2000, 4000, 8000, 16000)
"""Frequencies of the tables. [Hz]"""


def at(f):
    """Where in `F` a frequency [Hz] lies."""
    return int(np.argmin(abs(np.log(F / f))))


def transfer_chart(found):
    """Voltage across each driver relative to the amplifier's."""
    dB = {name: 20 * np.log10(np.maximum(abs(H), 1e-9)) for name, H in found.transfer.items()}
    meet = _meeting(dB)
    sentence = (
        Markup("{} and {} get equal voltage at <b>{:.0f}&nbsp;Hz</b>.").format(*dB, meet)
        if meet
        else Markup("What each driver gets of the amplifier’s voltage.")
    )
    top = max(float(y.max()) for y in dB.values())
    span = min(-30.0, top - 40), max(6.0, top + 3)
    strokes = [PENCILS[i % len(PENCILS)] for i in range(len(dB))]
    notes = [
        name_at(name, np.log10(F[np.argmax(y)]), float(y.max()), stroke, yshift=12)
        for (name, y), stroke in zip(dB.items(), strokes, strict=True)
    ]
    return chart(
        "transfer", sentence, ("Hz", *(f"{name}, dB" for name in dB)),
        [(f"{f}", *(f"{y[at(f)]:.1f}" for y in dB.values())) for f in LISTED],
        [curve(F, np.maximum(y, span[0] - 20), name, stroke)
         for (name, y), stroke in zip(dB.items(), strokes, strict=True)],
        log_axis(F[0], F[-1], TICKS), span,
        notes=(*notes, *axis_words("dB across the driver", "frequency, Hz")),
    )  # fmt: skip


def _meeting(dB):
    """Where two ways get equal voltage [Hz]; None unless there are two that do so once."""
    if len(dB) != 2:
        return None
    one, other = dB.values()
    passes = np.flatnonzero(np.diff(np.sign(one - other)))
    if len(passes) != 1:
        return None
    i = int(passes[0])
    share = (one - other)[i] / ((one - other)[i] - (one - other)[i + 1])
    return float(np.exp(np.log(F[i]) + share * np.log(F[i + 1] / F[i])))


def load_chart(found):
    """Magnitude and angle of the load, with its lowest point and how low it may fall."""
    Z, angle = abs(found.Z), np.angle(found.Z, deg=True)
    sentence = Markup("The amplifier meets no less than <b>{:.1f}&nbsp;Ω</b>, at {:.0f}&nbsp;Hz.").format(
        found.least.Z, found.least.f
    )
    span = 0.0, float(min(max(Z.max() * 1.05, 10.0), 60.0))
    notes, shapes = [], []
    if found.allowed:
        shapes = [level_line(found.allowed)]
        notes = [above(f"80 % of {found.rated:.0f} Ω", found.allowed, "right")]
    return chart(
        "load", sentence, ("Hz", "Ω", "angle, °"),
        [(f"{f}", f"{Z[at(f)]:.2f}", f"{angle[at(f)]:.0f}") for f in LISTED],
        [curve(F, Z, "load", PENCILS[0]), dot(found.least.f, found.least.Z)],
        log_axis(F[0], F[-1], TICKS), span,
        notes=(*notes, *axis_words("Ω", "frequency, Hz")), shapes=shapes,
    )  # fmt: skip
