"""Where the wires of a speaker run: the cabinet from its left side, numbered as in the table beside it."""

from math import radians, tan

from server.drawings.plate import Plate

WIDTH, TALL, EDGE, FOOT = 480, 400, 100, 36

STEP = 7
"""From one wire to the next where they run side by side."""


def wires(carcass, runs, name="wires"):
    """Draw the runs of the wires.

    Parameters
    ----------
    carcass : calc.cabinet.panels.Carcass
    runs : iterable of calc.evaluate_leads.Run
        Numbered from 1; those that lie outside are not drawn.

    Returns
    -------
    Drawing
    """
    _, deep, tall = carcass.outer[0], carcass.outer[2], carcass.outer[1]
    scale = min((WIDTH - 2 * EDGE) / deep, TALL / tall)
    plate = Plate(name, WIDTH, 20 + tall * scale + FOOT)
    left, floor = (WIDTH - deep * scale) / 2, plate.height - FOOT

    def at(y, z):
        return left + y * scale, floor - z * scale

    lean = tan(radians(carcass.slope)) * tall
    plate.polygon("face", [at(0, 0), at(deep, 0), at(deep, tall), at(lean, tall)])
    inner = [(y, z) for _, y, z in _side(carcass.air)]
    plate.polygon("leaf", [at(*corner) for corner in inner])
    plate.text(*_moved(at(0, 0), -8, 24), "front", "end-a")
    plate.text(*_moved(at(deep, 0), 8, 24), "back")
    inside = [(number, run) for number, run in enumerate(runs, 1) if run.start is not None]
    discs = [_run(plate, at, run, number) for number, run in inside]
    for disc in discs:
        plate.disc(*disc, 13)
    return plate.finished(
        "The cabinet from its left side, with the wires from the terminals to the crossover and on to each"
        " driver, numbered as in the table."
    )


def _side(air):
    """The corners of the air's outline from the left, round about."""
    corners = {(round(y, 6), round(z, 6)) for _, y, z in air.corners}
    low, high = min(z for _, z in corners), max(z for _, z in corners)
    lower = sorted(y for y, z in corners if z == low)
    upper = sorted(y for y, z in corners if z == high)
    return [(0, lower[0], low), (0, lower[-1], low), (0, upper[-1], high), (0, upper[0], high)]


def _moved(point, right, down):
    return point[0] + right, point[1] + down


def _run(plate, at, run, number):
    """One pair of wires: along the depth, then up or down, a little beside the others. Returns its disc."""
    shift = (number - 1) * STEP
    (_, y1, z1), (_, y2, z2) = run.start, run.end
    start, end = at(y1, z1), at(y2, z2)
    corner = end[0] + shift, start[1] + shift
    kind = "kerf" if run.driver else "o"
    plate.line(kind, start, (start[0], corner[1]), corner, (corner[0], end[1]), end)
    plate.circle("dot", *start, 5)
    plate.circle("dot", *end, 5)
    if run.driver:
        plate.text(*_moved(end, -30, 5), run.key, "end-a")
    return *_free(start, corner, end, number), str(number)


def _free(start, corner, end, number):
    """Where the number of a run stands clear of the others': on its upright leg, or along its level one."""
    if abs(end[1] - corner[1]) > 60:
        return corner[0], (end[1] + corner[1]) / 2
    if abs(start[0] - corner[0]) > 60:
        return corner[0] + 34 * number, corner[1]
    return start[0] + 34, start[1]
