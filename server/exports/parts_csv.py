"""The parts as a table for other programs: comma separated, sizes as the project shows them and in mm."""

import csv
from io import StringIO
from unicodedata import normalize

HEAD = (
    "letter", "parts", "pieces", "sheet", "length", "width", "thickness", "cut_length", "cut_width",
    "length_mm", "width_mm", "thickness_mm", "cut_length_mm", "cut_width_mm", "fit", "grain", "datum_edge",
)  # fmt: skip
"""What stands in each column: `length` and `width` are the finished sizes, `cut_` those off the saw."""


def parts_csv(rows, sheets, write, datum):
    """The cut list, a line for each different blank, as the text of a CSV file (RFC 4180).

    Parameters
    ----------
    rows : iterable of calc.shop.cut_list.Row
    sheets : dict of str to Sheet-like
        With `.name`.
    write : callable
        Writes a length [m] with its unit: takes the length and its quantity, see `server.units`.
    datum : callable
        Takes the names of a row's parts, and says which of their edges all is measured from.
    """
    file = StringIO()
    table = csv.writer(file)
    table.writerow(HEAD)
    for row in rows:
        sizes = row.length, row.width, row.thickness, row.cut_length, row.cut_width
        quantities = "length", "length", "fine length", "length", "length"  # a thickness is measured finer
        sheet = sheets.get(row.sheet)
        words = (
            row.label, ", ".join(row.names), row.count, sheet.name if sheet and sheet.name else row.sheet,
            *map(write, sizes, quantities), *(f"{1e3 * size:.2f}" for size in sizes),
            _fit(row), "along the length", datum(row.names),
        )  # fmt: skip
        table.writerow([_plain(each) if isinstance(each, str) else each for each in words])
    return file.getvalue()


def _fit(row):
    """Which sides are cut over, to be trimmed until the part goes in."""
    return " and ".join(side for side, more in zip(("length", "width"), row.over, strict=True) if more)


def _plain(text):
    """A text that no spreadsheet takes for a formula, however wide its first letter is."""
    first = normalize("NFKC", text.lstrip())[:1]
    return "'" + text if first in ("=", "+", "-", "@") or text[:1] in ("\t", "\r", "\n") else text
