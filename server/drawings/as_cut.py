"""The ring of the cabinet seen from the front, as it was cut: gaps and overhangs drawn large, told true."""

from server.drawings.plate import Plate

WIDTH, HEIGHT = 620, 470
_SHOWN = 15.0  # px; every gap is drawn as wide, or it could not be seen
_SIDES = {"width": 0, "height": 2}


def as_cut(parts, outer, fits, write, *, name="as-cut"):
    """Draw what stands between sides, top and bottom, and where it is short or long.

    Parameters
    ----------
    parts : iterable of solids
        With `.name`, `.low`, `.high` [m].
    outer : (float, float, float)
        Outer width, height, depth. [m]
    fits : iterable of Fit
        What is off, see `calc.cabinet.as_cut`.
    write : callable
        Writes a length [m] as text.

    Returns
    -------
    Drawing
    """
    plate = Plate(name, WIDTH, HEIGHT)
    scale = min((WIDTH - 220) / outer[0], (HEIGHT - 90) / outer[1])
    left, floor = (WIDTH - outer[0] * scale) / 2, HEIGHT - 45
    off = {(fit.part, _SIDES[fit.side]): fit.off for fit in fits if fit.side in _SIDES}

    def at(x, z):
        return left + x * scale, floor - z * scale

    marks = []
    for part in parts:
        (x0, z0), (x1, z1) = at(part.low[0], part.low[2]), at(part.high[0], part.high[2])
        for axis in (0, 2):
            amount = off.get((part.name, axis))
            if amount is None:
                continue
            end = _SHOWN if amount > 0 else -_SHOWN
            if axis == 0:
                marks.append((part.name, amount, (x1 - end, z1, x1, z0)))
                x1 -= end
            else:
                marks.append((part.name, amount, (x0, z1, x1, z1 + end)))
                z1 += end
        plate.rect("leaf", x0, z1, x1, z0)
        plate.rect("cut", x0, z1, x1, z0, "plyv" if part.name in ("left", "right") else "plyh")
    for number, (part, amount, (x0, z0, x1, z1)) in enumerate(marks):
        plate.clash([(x0, z0), (x1, z0), (x1, z1), (x0, z1)])
        y = 26 + 24 * number
        plate.line("dim", ((x0 + x1) / 2, (z0 + z1) / 2), (WIDTH - 96, y - 5))
        plate.text(WIDTH - 94, y, f"{part} {'−' if amount > 0 else '+'}{write(abs(amount))}")
    told = ", ".join(f"{p} {'short' if a > 0 else 'long'} by {write(abs(a))}" for p, a, _ in marks)
    return plate.finished(f"The cabinet from the front, its front lifted off: {told or 'all as planned'}.")
