"""Runs of grain on the drawing of a sheet: every part numbered where it lies."""

import re

import pytest

from calc.shop.matched import Run, cut_apart, lying
from calc.shop.sheet_layout import Sheet, fewest_sheets
from server.drawings.plate import lettering
from server.drawings.sheet import MARGIN, WIDTH, sheet_layout


class Match:
    def __init__(self, run):
        self.run = run


@pytest.mark.parametrize(
    ("way", "parts"),
    [
        ("end", [("C", 0.4, 0.27), ("D", 0.27, 0.2), ("C", 0.4, 0.27)]),
        ("side", [("A", 0.4, 0.2), ("A", 0.4, 0.2)]),
        ("side", [("A", 0.1, 0.2), ("B", 0.1, 0.15), ("C", 0.09, 0.2)]),
    ],
)
def test_each_part_has_its_number_inside_its_outline(way, parts):
    run = Run("run 1", way, lying(way, parts))
    (sawn,) = fewest_sheets([run.blank(0.003)], Sheet(2.4, 1.2, 0.01), 0.003).sheets
    apart, (blank,) = cut_apart(sawn, {"run 1": run}, 0.003), sawn.pieces
    drawing = sheet_layout(apart, (2.4, 1.2), 0.01, str, runs=[(Match(run), blank)])
    scale = (WIDTH - 2 * MARGIN) / 2.4
    top = 1.2 * scale + MARGIN
    for n, piece in enumerate(apart.pieces, 1):
        words = f"{n} of {len(parts)}"
        ((x, y),) = re.findall(
            rf'<text class="halo mid-a" x="([\d.]+)" y="([\d.]+)">{words}</text>', drawing.svg
        )
        along, across = (piece.width, piece.length) if piece.turned else (piece.length, piece.width)
        left, low = MARGIN + piece.x * scale, top - piece.y * scale
        assert left <= float(x) <= left + along * scale
        assert low - across * scale <= float(y) - 5 <= low
        if way == "side" and piece.length > 0.3:
            assert float(x) - lettering(words) / 2 >= left
