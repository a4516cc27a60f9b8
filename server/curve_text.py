"""A measured curve from a text file: hertz, decibels and, where they are there, degrees.

Columns are parted by semicolons, tabs, blanks or commas; a decimal has a point or, where commas do not part
the columns, a comma. A line that does not begin with a number is a remark. Columns behind the third are left
alone, and so is a line at 0 Hz, where there is no level. What could be read in two ways is refused.
"""

import re
from itertools import pairwise
from math import floor, log2

from calc.errors import InputError
from calc.project_network import MOST_ROWS

AN_OCTAVE = 48
"""How many lines an octave keeps where there are more than `MOST_ROWS` in all."""

FAST, OFTEN = 120.0, 0.1
"""A phase that turns by more than this from line to line [deg], in more than this part of them, is lost."""

_BEGINS = re.compile(r"[+\-]?[.,]?[0-9]")
_NUMBER = re.compile(r"[+\-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+\-]?[0-9]{1,3})?")
_MOST_LETTERS = 30


def curve(text, name=""):
    """The curve of a text as plain data of a `calc.project_network.Curve`.

    Raises
    ------
    InputError
        At "text", with the number of the line where it is one line's fault.
    """
    rows = _thinned(sorted(_rows(text.lstrip("\ufeff").replace("−", "-").splitlines())))
    if len(rows) < 8:
        raise InputError("text", "needs at least 8 lines of hertz and decibels")
    for one, later in pairwise(rows):
        if one[0] == later[0]:
            raise InputError("text", f"has {one[0]:g} Hz twice")
    f, level, *phase = (list(column) for column in zip(*rows, strict=True))
    if phase and _lost(phase[0]):
        raise InputError(
            "text", "has a phase that turns too fast from line to line: take the time of flight off it"
        )
    return {"f": f, "level": level, "phase": phase[0] if phase else None, "name": name}


def _rows(lines):
    """The two or three numbers of each line that is no remark."""
    lines = [(i, line.strip()) for i, line in enumerate(lines, 1) if _BEGINS.match(line.strip())]
    _refuse_two_readings(lines)
    rows, marks = [], set()
    for i, line in lines:
        cells = _cells(line)[:3]
        if len(cells) < 2:
            raise InputError("text", f"needs hertz and decibels in line {i}")
        if rows and len(cells) != len(rows[0]):
            raise InputError("text", f"has another number of columns in line {i} than before")
        for cell in cells:
            if len(cell) > _MOST_LETTERS or not _NUMBER.fullmatch(cell):
                raise InputError("text", f"has something in line {i} that is no number")
            marks |= set(cell) & {".", ","}
        if len(marks) > 1:
            raise InputError("text", f"writes decimals with a comma and with a point: look at line {i}")
        row = tuple(float(cell.replace(",", ".")) for cell in cells)
        if row[0] < 0:
            raise InputError("text", f"has a frequency below zero in line {i}")
        rows.append(row)
    return [row for row in rows if row[0] > 0]


def _cells(line):
    """The columns of a line, as they are written."""
    if ";" in line or "\t" in line:
        cells = re.split(r"[;\t]", line)
    elif re.search(r",\s", line) or not re.search(r"\s", line):
        cells = line.split(",")
    else:
        cells = line.split()
    cells = [cell.strip() for cell in cells]
    while cells and not cells[-1]:
        del cells[-1]
    return cells


def _refuse_two_readings(lines):
    """Refuse commas that may part columns or decimals: "20,5,88" is 20 and 5, or 20.5 and 88."""
    bare = [(i, line) for i, line in lines if not re.search(r"[;\s]", line)]
    if any("." in line for _, line in bare):
        return
    for i, line in bare:
        if line.count(",") > 1:
            raise InputError("text", f"can be read in two ways in line {i}: part its columns by semicolons")


def _thinned(rows):
    """The rows, or where there are too many, of each 48th of an octave the first."""
    if len(rows) <= MOST_ROWS:
        return rows
    kept = {}
    for row in rows:
        kept.setdefault(floor(AN_OCTAVE * log2(row[0])), row)
    return list(kept.values())


def _lost(phase):
    """Whether a phase [deg] leaps so often that nobody can tell how many turns it made."""
    leaps = [abs((later - one + 180) % 360 - 180) > FAST for one, later in pairwise(phase)]
    return sum(leaps) > OFTEN * len(leaps)
