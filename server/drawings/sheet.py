"""A sheet of stock with its pieces, what is left over, and the cuts numbered as they are sawn."""

from math import hypot

from server.drawings.plate import Plate, lettering
from server.drawings.runs import runs as draw_runs

WIDTH, MARGIN = 620, 16
RADIUS = 11
"""Of the discs that number the cuts."""


def sheet_layout(sawn, size, trim, write, *, runs=(), name="sheet"):
    """Draw one sheet of a layout, its length lying level.

    Parameters
    ----------
    sawn : SawnSheet-like
        With `.pieces` and `.cuts` in metres, see `calc.shop.sheet_layout`.
    size : (float, float)
        Length and width of the sheet. [m]
    trim : float
        What is taken off each edge. [m]
    write : callable
        Writes a length [m].
    runs : sequence of (Matched-like, Placed-like)
        Runs of grain with their blanks, see `calc.evaluate_layout`.
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    scale = (WIDTH - 2 * MARGIN) / size[0]
    plate = Plate(name, WIDTH, size[1] * scale + 2 * MARGIN)

    def at(x, y):
        return MARGIN + x * scale, plate.height - MARGIN - y * scale

    plate.rect("leaf", *at(0, 0), *at(*size))
    plate.rect("none", *at(0, 0), *at(*size), "slant", faint=True)
    plate.rect("dim", *at(trim, trim), *at(size[0] - trim, size[1] - trim))
    taken = [_piece(plate, piece, at, write) for piece in sawn.pieces]
    draw_runs(plate, runs, at)
    discs = []
    for number, cut in enumerate(sawn.cuts, 1):
        ends = [at(*_point(cut, along)) for along in (cut.start, cut.end)]
        plate.line("kerf thin", *ends)
        discs.append((number, *_free(ends, [*taken, *(disc[1:] for disc in discs)])))
    for number, x, y in discs:
        plate.disc(x, y, number, RADIUS)
    return plate.finished(f"{len(sawn.pieces)} pieces on a sheet, {len(sawn.cuts)} cuts, numbered in order.")


def _piece(plate, piece, at, write):
    """Draw a piece with its letter and its size; returns the middle of its lettering."""
    along, across = (piece.width, piece.length) if piece.turned else (piece.length, piece.width)
    (left, low), (right, top) = at(piece.x, piece.y), at(piece.x + along, piece.y + across)
    plate.rect("leaf", left, low, right, top)
    plate.rect("none", left, low, right, top, "grainv" if piece.turned else "grain", faint=True)
    x, y = (left + right) / 2, (low + top) / 2
    size = f"{write(piece.length)} × {write(piece.width)}"
    roomy = right - left > lettering(size) + 30 and low - top > 56
    plate.text(x, y - 3 if roomy else y + 6, piece.name, "big mid-a")
    if roomy:
        plate.text(x, y + 17, size, "mid-a")
    return x, y


def _point(cut, along):
    return (along, cut.at) if cut.axis == "x" else (cut.at, along)


def _free(ends, taken):
    """The place along a cut, near its start, where its number hides no letter and no other number."""
    (x1, y1), (x2, y2) = ends
    places = [(x1 + t / 20 * (x2 - x1), y1 + t / 20 * (y2 - y1)) for t in range(21)]
    for x, y in places:
        if all(hypot(x - a, y - b) > 2.1 * RADIUS for a, b in taken):
            return x, y
    return max(places, key=lambda place: min(hypot(place[0] - a, place[1] - b) for a, b in taken))
