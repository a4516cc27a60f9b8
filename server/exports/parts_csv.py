"""The parts as a table for other programs: comma separated, millimetres and inches beside each other."""

import csv
from io import StringIO

from calc.shop.fractions import INCH

HEAD = (
    "letter", "parts", "pieces", "material", "length_mm", "width_mm", "thickness_mm", "length_in", "width_in",
    "thickness_in", "grain",
)  # fmt: skip


def parts_csv(rows, sheets):
    """The cut list, a line for each different blank, as the text of a CSV file (RFC 4180)."""
    file = StringIO()
    table = csv.writer(file)
    table.writerow(HEAD)
    for row in rows:
        sizes = row.length, row.width, row.thickness
        sheet = sheets.get(row.sheet)
        table.writerow(
            [
                _plain(row.label),
                _plain(", ".join(row.names)),
                row.count,
                _plain(sheet.name if sheet else row.sheet),
                *(f"{1e3 * size:.2f}" for size in sizes),
                *(f"{size / INCH:.4f}" for size in sizes),
                "along the length",
            ]
        )
    return file.getvalue()


def _plain(text):
    """A text that no spreadsheet takes for a formula."""
    return "'" + text if text[:1] in "=+-@\t\r" else text
