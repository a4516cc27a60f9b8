"""Runs of grain on the drawing of a sheet: each with a second outline, its parts numbered along a line."""

from server.drawings.plate import lettering

INSIDE = 4
"""How far the second outline of a run lies within the first."""

UP = 9
"""How far the line and the numbers lie above the lower edge of each part, below its letter and name."""


def runs(plate, laid, at):
    """Draw the runs of a sheet over its pieces.

    Parameters
    ----------
    plate : Plate
    laid : sequence of (Matched-like, Placed-like)
        Each run with its blank as it lies. [m]
    at : callable
        From metres on the sheet to the plate.

    Returns
    -------
    list of (left, top, right, bottom)
        Where its lettering stands.
    """
    lettered = []
    for match, blank in laid:
        (left, low), (right, top) = at(blank.x, blank.y), at(blank.x + blank.length, blank.y + blank.width)
        plate.rect("dim", left + INSIDE, low - INSIDE, right - INSIDE, top + INSIDE)
        words = [f"{n} of {len(match.run.members)}" for n in range(1, len(match.run.members) + 1)]
        beside = min(left + lettering(words[0]) / 2 + 2 * INSIDE, (left + right) / 2)
        places = [
            ((at(start + size / 2, 0)[0], low) if match.run.axis == 0 else (beside, at(0, start)[1]))
            for start, size in _spans(match.run, blank)
        ]
        points = [(x, y - UP) for x, y in places]
        plate.line("mid", points[0], points[-1])
        for (x, y), each in zip(points, words, strict=True):
            plate.text(x, y + 5, each, "mid-a")
            wide = lettering(each)
            lettered.append((x - wide / 2, y - 10, x + wide / 2, y + 10))
    return lettered


def _spans(run, blank):
    """(start, size) of each member along its run. [m]"""
    start, gap = (blank.x, blank.y)[run.axis], _gap(run, blank)
    for member in run.members:
        size = member.extent[run.axis]
        yield start, size
        start += size + gap


def _gap(run, blank):
    """The kerf between two members: what of the blank they leave, shared out. [m]"""
    along = (blank.length, blank.width)[run.axis]
    taken = sum(member.extent[run.axis] for member in run.members)
    return (along - taken) / (len(run.members) - 1)
