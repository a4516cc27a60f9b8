"""Runs of grain on the drawing of a sheet: each with a second outline, its parts numbered along a line."""

from server.drawings.plate import lettering

INSIDE = 4
"""How far the second outline of a run lies within the first."""

ABOVE = 0.2
"""Share of the run's depth at which the line lies, clear of the letters."""


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
        ends, middles, place = match.run.axis == 0, [], [blank.x, blank.y]
        for member in match.run.members:
            size = member.extent[match.run.axis]
            middles.append(place[match.run.axis] + size / 2)
            place[match.run.axis] += size + _gap(match, blank)
        clear = lettering(f"{len(middles)} of {len(middles)}") / 2 + 2 * INSIDE
        wide = right - left
        lane = low + ABOVE * (top - low) if ends else left + min(max(clear, ABOVE * wide), wide / 2)
        points = [(at(middle, 0)[0], lane) if ends else (lane, at(0, middle)[1]) for middle in middles]
        plate.line("mid", points[0], points[-1])
        for n, (x, y) in enumerate(points, 1):
            words = f"{n} of {len(points)}"
            plate.text(x, y + 5, words, "mid-a")
            wide = lettering(words)
            lettered.append((x - wide / 2, y - 10, x + wide / 2, y + 10))
    return lettered


def _gap(match, blank):
    """The kerf between two members: what of the blank they leave, shared out. [m]"""
    along = (blank.length, blank.width)[match.run.axis]
    taken = sum(member.extent[match.run.axis] for member in match.run.members)
    return (along - taken) / (len(match.run.members) - 1)
