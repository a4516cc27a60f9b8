"""The charts of the page "Port": its air against power, and the port as a pipe."""

import numpy as np
from markupsafe import Markup

from calc.sound.pipe import HIDDEN
from calc.sound.port import CAUTIOUS_SPEED, OLDER_SPEED
from server.figures import (
    PENCILS,
    above,
    axis_words,
    beside,
    chart,
    curve,
    level_line,
    log_axis,
    note,
    shaded,
    upright,
)

LEVELS = 48.0
"""What the chart of the pipe shows below its top. [dB]"""

NOTES = (70, 100, 150, 200, 300, 500, 700, 1000, 1500, 2000, 3000, 5000)


def power_chart(blowing, watts):
    """Peak air speed against power, without and with what tears off at the ends.

    Parameters
    ----------
    blowing : calc.evaluate_port_detail.Blowing
    watts : float
        The stated power. [W]
    """
    P = blowing.power
    lines = [("no loss", blowing.speed)]
    if blowing.most is not None:
        lines.insert(0, ("loss at its ends", blowing.most))
        if blowing.zeta[0] < blowing.zeta[1]:
            lines.insert(1, ("least loss", blowing.least))
    top = max(22.0, 1.08 * float(np.interp(min(4 * watts, P[-1]), P, blowing.speed)))
    notes = [
        *axis_words("m/s peak in the port", "power, watts"),
        above(f"{CAUTIOUS_SPEED.value:.0f} to {OLDER_SPEED.value:.0f}: heard", OLDER_SPEED.value, "left"),
    ]
    shapes = [
        level_line(CAUTIOUS_SPEED.value),
        level_line(OLDER_SPEED.value),
        shaded(CAUTIOUS_SPEED.value, OLDER_SPEED.value),
    ]
    if P[0] <= watts <= P[-1]:
        shapes.append(upright(watts, 0, top))
        notes.append(beside(f"{watts:.3g} W", watts, 0.06 * top))
    sentence = Markup(
        "The air comes to {:.0f}&nbsp;m/s at <b>{}&nbsp;watts</b>, to {:.0f} at <b>{}&nbsp;watts</b>{}."
    ).format(
        CAUTIOUS_SPEED.value, _round(blowing.power_at["cautious"]), OLDER_SPEED.value,
        _round(blowing.power_at["older"]), _costs(blowing),
    )  # fmt: skip
    ticks = _decades(P)
    return _chart(
        "power", sentence, P, lines, notes + _rising(P, lines, (0, top)), shapes, (0, top), ticks,
        ("W", *(f"{name}, m/s" for name, _ in lines), *_losses(blowing)),
        [
            (_round(P[i]), *(f"{y[i]:.1f}" for _, y in lines), *_lost(blowing, i))
            for i in range(0, len(P), 3)
        ],
        1,
    )  # fmt: skip


def _costs(blowing):
    if blowing.decibel is None:
        return ""
    return Markup("; what tears off at its ends costs 1&nbsp;dB at {}").format(_round(blowing.decibel))


def _losses(blowing):
    if blowing.loss_most is None:
        return ()
    sharp = blowing.zeta[0] == blowing.zeta[1]
    return ("lost, dB",) if sharp else ("lost at least, dB", "at most, dB")


def _lost(blowing, i):
    if blowing.loss_most is None:
        return ()
    most = f"{blowing.loss_most[i]:.1f}"
    return (most,) if blowing.zeta[0] == blowing.zeta[1] else (f"{blowing.loss_least[i]:.1f}", most)


def pipe_chart(pipes, panel="back"):
    """Level of the ports alone over the woofer's middle level; None where the line cannot tell it.

    `panel` is what they go through.
    """
    if pipes.level is None:
        return None
    f, level = pipes.f, pipes.level
    lines = [("as it is", level)]
    if pipes.filtered is not None:
        lines.insert(0, ("crossed over", pipes.filtered))
    if pipes.dead is not None:
        lines.append(("best lined", pipes.dead))
    top = max(6.0, float(np.ceil(level.max() + 3)))
    low = top - LEVELS
    notes = [
        *axis_words("dB over the woofer's middle level", "frequency, Hz"),
        above(f"{-HIDDEN:.0f} under: hidden", HIDDEN, "left", bgcolor="var(--leaf)"),
    ]
    shapes = [level_line(HIDDEN)]
    heard = pipes.filtered if pipes.filtered is not None else level
    for each in _strongest(pipes):
        at = float(np.interp(each.f, f, heard))
        if at > low:
            shapes.append(upright(each.f, low, at))
            notes.append(beside(f"{each.f:.0f}", each.f, low + 2))
    if pipes.plane < f[-1]:
        edge = float(max(pipes.plane, f[0]))
        shapes.append(shaded(low, top, xref="x", x0=edge, x1=float(f[-1])))
        notes.append(beside("others join", edge, top, yanchor="top"))
    ticks = [at for at in NOTES if f[0] <= at <= f[-1]]
    columns = ["Hz", "what fits there", "the port, dB"]
    if pipes.filtered is not None:
        columns.append("under the crossover, dB")
    rows = [_row(each) for each in pipes.resonances]
    notes += _apart(f, lines, (low, top)) if len(lines) > 1 else []
    return _chart(
        "pipe", _heard(pipes, panel), f, lines, notes, shapes, (low, top), ticks, tuple(columns), rows, 1
    )


def _row(each):
    what = "the port's length" if each.of == "pipe" else "the box's depth"
    cells = (f"{each.f:.0f}", what, f"{each.level:.0f}")
    return cells if each.filtered is None else (*cells, f"{each.filtered:.0f}")


def _heard_at(each):
    """Its level over the woofer [dB], under the crossover where that is known."""
    return each.level if each.filtered is None else each.filtered


def _strongest(pipes, most=4):
    """The resonances that are marked: those that stand highest."""
    rank = sorted(pipes.resonances, key=_heard_at, reverse=True)
    kept = []
    for each in rank[:most]:
        if each.f < 0.93 * pipes.f[-1] and all(abs(np.log(each.f / other.f)) > 0.15 for other in kept):
            kept.append(each)
    return sorted(kept, key=lambda each: each.f)


def loudest(pipes):
    """The highest of the resonances about the first half wave; of all, if none is there; None if none is.

    Higher ones are the model's least sure: the coil, the cone and the box's other sides rule there.
    """
    first = min(waves[0] for waves in pipes.half_waves.values())
    near = [each for each in pipes.resonances if each.f < 1.6 * first]
    return max(near or pipes.resonances, key=_heard_at, default=None)


def _heard(pipes, panel):
    """What the chart proves, and what to change."""
    each = loudest(pipes)
    if each is None:
        return Markup("The port sounds nowhere of itself in this range.")
    where = Markup("Of itself the port sounds first at <b>{:.0f}&nbsp;Hz</b>, ").format(each.f)
    if each.hidden:
        return where + Markup("but the crossover leaves it <b>{:.0f}&nbsp;dB</b> under the woofer.").format(
            -each.filtered
        )
    lined = ""
    if pipes.dead is not None:
        by = float(np.interp(each.f, pipes.f, pipes.dead)) + _heard_at(each) - each.level
        lined = f"; lining could bring it to {_over(by)} it" if by < _heard_at(each) - 1 else ""
    if each.hidden is None:
        return where + Markup("<b>{}</b> the woofer{}. Where the crossover lies is not known.").format(
            _over(each.level), lined
        )
    helps = "Put it to the back, or take a" if panel == "front" else "A"
    return where + Markup(
        "<b>{}</b> the woofer under the crossover{}. {} lower or steeper crossover{}."
    ).format(_over(each.filtered), lined, helps, "" if panel == "front" else " helps")


def _over(level):
    """A level against the woofer's, in words."""
    if abs(level) < 0.5:
        return "as loud as"
    return f"{abs(level):.0f}\N{NO-BREAK SPACE}dB {'over' if level > 0 else 'under'}"


def _chart(name, sentence, x, lines, notes, shapes, span, ticks, columns, rows, places):
    traces = [
        curve(x, y, words, PENCILS[pencil], places + 1)
        for pencil, (words, y) in reversed(list(enumerate(lines)))
    ]
    axis = log_axis(x[0], x[-1], ticks) | dict(tickangle=0)
    return chart(name, sentence, columns, rows, traces, axis, span, notes, shapes)


def _name(words, pencil, x, y, **side):
    """A line's name at a point of it."""
    font = dict(color=PENCILS[pencil]["color"])
    return note(words, float(np.log10(x)), float(y), bgcolor="var(--leaf)", font=font, **side)


def _rising(x, lines, span):
    """Names of lines that rise: left of each where it is high, the lowest one under its end."""
    notes = []
    for pencil, (words, y) in enumerate(lines):
        if pencil == 0 and len(lines) > 1:
            under = min(float(y[int(0.8 * len(y))]), 0.7 * span[1]) - 0.08 * span[1]
            notes.append(_name(words, pencil, x[-1], under, xanchor="right", yanchor="top"))
        else:
            at = (0.78 if pencil == 1 else 0.62) * span[1]
            i = min(int(np.searchsorted(y, at)), len(y) - 1)
            notes.append(_name(words, pencil, x[i], y[i], xanchor="right", yanchor="middle", xshift=-6))
    return notes


def _apart(x, lines, span):
    """Names of lines where each is in sight and farthest from the others, and from names there."""
    low, high = span
    reach = np.log(x / x[0]) / np.log(x[-1] / x[0])
    notes, taken = [], []
    for pencil, (words, y) in enumerate(lines):
        height = (y - low) / (high - low)
        gaps = [abs(y - other) / (high - low) for _, other in lines if other is not y]
        room = np.min(gaps, axis=0) if gaps else np.ones(len(x))
        room = np.minimum(room, 0.3) - 0.3 * abs(reach - 0.45)
        room[(height < 0.15) | (height > 0.85) | (reach < 0.1) | (reach > 0.85)] = -1
        room[abs(y - HIDDEN) < 0.1 * (high - low)] -= 0.5
        for across, up in taken:
            room[(abs(reach - across) < 0.3) & (abs(height - up) < 0.12)] = -1
        best = int(np.argmax(room))
        if room[best] <= -1:
            continue
        taken.append((reach[best], height[best]))
        notes.append(_name(words, pencil, x[best], y[best]))
    return notes


def _decades(P):
    """Ticks of a logarithmic axis: 1, 2, 5 of each decade in sight."""
    low, high = int(np.floor(np.log10(P[0]))), int(np.ceil(np.log10(P[-1])))
    every = (1, 2, 5) if high - low <= 4 else (1,)
    return [n * 10.0**k for k in range(low, high + 1) for n in every if P[0] <= n * 10.0**k <= P[-1]]


def _round(power):
    """Watts in two figures or whole ones."""
    return f"{power:.2g}" if power < 10 else f"{power:.0f}"
