"""A sheet of stock with its pieces, what is left over, and the cuts numbered as they are sawn."""

import numpy as np

from server.drawings.plate import Plate, lettering
from server.drawings.runs import runs as draw_runs

WIDTH, MARGIN = 620, 16
RADIUS = 11
"""Of the discs that number the cuts."""

WIDER = 2**0.5
"""By how much a drawing grows whose numbers find no room."""

LARGEST = 16 * WIDTH
APART = 2.0
"""Between discs, and between a disc and lettering."""

STEP = 4
"""Between places beside the lines that are tried."""

NOTE = 28
"""Height of the line that says which face lies up."""


def sheet_layout(sawn, size, trim, write, *, marks=(), runs=(), note="", name="sheet"):
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
    marks : sequence of calc.shop.sheet_sawing.Mark
        What is written on each piece.
    runs : sequence of (Matched-like, Placed-like)
        Runs of grain with their blanks, see `calc.evaluate_layout`.
    note : str
        Stands below the sheet.
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing

    Notes
    -----
    A number stands on its line where there is room, else beside it, at the end of a leader. A sheet of very
    many cuts is drawn larger.
    """
    width = WIDTH
    while True:
        plate = Plate(name, width, size[1] * (width - 2 * MARGIN) / size[0] + 2 * MARGIN + NOTE * bool(note))
        places = _Sheet(plate, sawn, size, trim, write, marks, runs, note).draw()
        if places is not None or width > LARGEST:
            break
        width *= WIDER
    for number, (x, y) in enumerate(places or (), 1):
        plate.disc(x, y, number, RADIUS)
    return plate.finished(f"{len(sawn.pieces)} pieces on a sheet, {len(sawn.cuts)} cuts, numbered in order.")


class _Sheet:
    """One try at a drawing; `taken` are the rectangles of its lettering."""

    def __init__(self, plate, sawn, size, trim, write, marks, runs, note):
        self.plate, self.sawn, self.size, self.trim, self.write = plate, sawn, size, trim, write
        self.marks, self.foot = marks or [None] * len(sawn.pieces), NOTE * bool(note)
        self.scale = (plate.width - 2 * MARGIN) / size[0]
        self.note, self.runs, self.taken = note, runs, []

    def at(self, x, y):
        return MARGIN + x * self.scale, self.plate.height - self.foot - MARGIN - y * self.scale

    def draw(self):
        """Draw all but the numbers; returns the places of these, or None if there is no room."""
        plate, at, trim = self.plate, self.at, self.trim
        plate.rect("leaf", *at(0, 0), *at(*self.size))
        plate.rect("none", *at(0, 0), *at(*self.size), "slant", faint=True)
        plate.rect("dim", *at(trim, trim), *at(self.size[0] - trim, self.size[1] - trim))
        for piece, mark in zip(self.sawn.pieces, self.marks, strict=True):
            self._piece(piece, mark)
        self.taken += draw_runs(plate, self.runs, at)
        if self.note:
            plate.text(MARGIN, plate.height - 10, self.note)
        lines = [[at(*_point(cut, along)) for along in (cut.start, cut.end)] for cut in self.sawn.cuts]
        for line in lines:
            plate.line("kerf thin", *line)
        field = (MARGIN, MARGIN, plate.width - MARGIN, plate.height - self.foot - MARGIN)
        places = numbered(lines, self.taken, field)
        for line, place in zip(lines, places or (), strict=False):
            foot = _foot(line, place)
            if np.hypot(foot[0] - place[0], foot[1] - place[1]) > RADIUS:
                plate.line("dim", foot, place)
        return places

    def _piece(self, piece, mark):
        """Draw a piece with its letter, its name, its size and its marks, as far as there is room."""
        along, across = (piece.width, piece.length) if piece.turned else (piece.length, piece.width)
        (left, low), (right, top) = self.at(piece.x, piece.y), self.at(piece.x + along, piece.y + across)
        plate = self.plate
        plate.rect("leaf", left, low, right, top)
        plate.rect("none", left, low, right, top, "grainv" if piece.turned else "grain", faint=True)
        if mark is not None:
            self._marked(mark, left, low, right, top)
        size = f"{self.write(piece.length)} × {self.write(piece.width)}"
        lines = [(piece.name, "big")]
        room = right - left - 40
        for words in ((mark.name,) if mark is not None else ()) + (size,):
            if lettering(words) <= room and 21 * (len(lines) + 1) + 14 <= low - top:
                lines.append((words, ""))
        x, y = (left + right) / 2, (low + top) / 2 - 21 * len(lines) / 2
        for words, kind in lines:
            wide = lettering(words, kind)
            plate.text(x, y + 17, words, f"{kind} mid-a".strip())
            self.taken.append((x - wide / 2, y, x + wide / 2, y + 21))
            y += 21

    def _marked(self, mark, left, low, right, top):
        """A triangle that points to the top edge, or the front one; a bar along the front edge of a side."""
        if mark.end:
            deep = min(12, (right - left) / 4, (low - top) / 4)
            tip, middle = right - 2, (low + top) / 2
            corners = ((tip, middle), (tip - deep, middle - deep * 0.7), (tip - deep, middle + deep * 0.7))
            self.plate.polygon("dot", corners)
            self.taken.append((tip - deep, middle - deep * 0.7, tip, middle + deep * 0.7))
        if mark.side:
            y = low - 4 if mark.side == "low" else top + 4
            inset = min(14, (right - left) / 4)
            self.plate.line("cutline", (left + inset, y), (right - inset, y))


def numbered(lines, taken, field):
    """Where the numbers of lines stand so that none hides another or any lettering.

    Parameters
    ----------
    lines : list of [(x1, y1), (x2, y2)]
    taken : list of (left, top, right, bottom)
        Of the lettering.
    field : (left, top, right, bottom)
        Within which numbers stand beside their lines.

    Returns
    -------
    list of (x, y), or None
        None where there is no room. Each on its line if it can stand there clear of all others, near its
        beginning; else near it, clear of all lines; else wherever no disc and no lettering is.
    """
    left, top, right, bottom = field
    xs = np.arange(left + RADIUS, right - RADIUS, STEP)
    ys = np.arange(top + RADIUS, bottom - RADIUS, STEP)
    grid = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    boxes = np.array(taken, float).reshape(-1, 4)
    strokes = np.array([[*np.min(line, axis=0), *np.max(line, axis=0)] for line in lines]).reshape(-1, 4)
    grid = grid[_clear(grid, boxes)]
    open_grid = grid[_clear(grid, strokes)]
    places, placed = [None] * len(lines), np.empty((0, 2))
    for n in sorted(range(len(lines)), key=lambda n: (_length(lines[n]), n)):
        line = np.array(lines[n], float)
        on = line[0] + np.linspace(0, 1, 33)[:, None] * (line[1] - line[0])
        on = on[_clear(on, boxes)]
        alone = on[_clear(on, np.delete(strokes, n, axis=0))]
        place = _first(alone, placed)
        if place is None:
            place = _first(_nearest(open_grid, line), placed)
        if place is None:
            place = _first(on, placed)
        if place is None:
            place = _first(_nearest(grid, line), placed)
        if place is None:
            return None
        places[n] = tuple(float(each) for each in place)
        placed = np.vstack([placed, place])
    return places


def _first(places, discs):
    """The first of the places where a disc touches none of those that stand."""
    for place in places:
        if not len(discs) or (((discs - place) ** 2).sum(axis=1) >= (2 * RADIUS + APART) ** 2).all():
            return place
    return None


def _clear(places, boxes):
    """Whether a disc at each of the places touches no lettering."""
    nearest = np.clip(places[:, None], boxes[None, :, :2], boxes[None, :, 2:])
    return (np.hypot(*np.moveaxis(places[:, None] - nearest, -1, 0)) >= RADIUS + APART).all(axis=1)


def _nearest(places, line):
    """The places in order of how far they are from a level or upright line."""
    apart = places - np.clip(places, line.min(axis=0), line.max(axis=0))
    return places[np.argsort(np.hypot(*apart.T), kind="stable")]


def _foot(line, place):
    """The point of a level or upright line that is nearest to a place."""
    ends = np.array(line, float)
    return tuple(float(each) for each in np.clip(place, ends.min(axis=0), ends.max(axis=0)))


def _length(line):
    (x1, y1), (x2, y2) = line
    return abs(x2 - x1) + abs(y2 - y1)


def _point(cut, along):
    return (along, cut.at) if cut.axis == "x" else (cut.at, along)
