"""Sheets as the Cutting page draws them: each piece and each cut where the layout has it."""

import re

import pytest
from reading import MADE

from calc.shop.sheet_layout import Piece, Sheet, fewest_sheets
from server.drawings.sheet import MARGIN, RADIUS, WIDTH, sheet_layout

DISC = re.compile(r'<g class="stop"><circle cx="([\d.]+)" cy="([\d.]+)" r="(\d+)"/><text[^>]*>(\d+)</text>')
LINE = re.compile(r'<path class="kerf thin" d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"/>')


@pytest.fixture
def drawn():
    pieces = [Piece("A", 0.6, 0.4, 3, "length"), Piece("B", 0.5, 0.3, 2, "width")]
    layout = fewest_sheets(pieces, Sheet(2.44, 1.22, 0.01), 0.0032)
    (sawn,) = layout.sheets
    return sawn, sheet_layout(sawn, (2.44, 1.22), 0.01, lambda metres: f"{1000 * metres:g}").svg


def test_every_piece_has_its_letter_and_its_size(drawn):
    _, svg = drawn
    words = re.findall(r"<text[^>]*>([^<]*)</text>", svg)
    assert words.count("A") == 3 and words.count("B") == 2
    assert words.count("600 × 400") == 3
    assert 'aria-label="5 pieces on a sheet' in svg


def test_cuts_are_numbered_in_order_and_each_number_stands_on_its_line(drawn):
    sawn, svg = drawn
    lines, discs = LINE.findall(svg), DISC.findall(svg)
    assert [int(number) for *_, number in discs] == list(range(1, len(sawn.cuts) + 1))
    assert len(lines) == len(sawn.cuts)
    scale = (WIDTH - 2 * MARGIN) / 2.44
    for cut, line, disc in zip(sawn.cuts, lines, discs, strict=True):
        x1, y1, x2, y2 = map(float, line)
        x, y = float(disc[0]), float(disc[1])
        if cut.axis == "x":
            assert y1 == y2 == pytest.approx(MARGIN + (1.22 - cut.at) * scale, abs=0.06)
            assert abs(y - y1) <= 0.1 and x1 - 0.1 <= x <= x2 + 0.1
        else:
            assert x1 == x2 == pytest.approx(MARGIN + cut.at * scale, abs=0.06)
            assert abs(x - x1) <= 0.1 and y2 - 0.1 <= y <= y1 + 0.1


def test_no_number_hides_another(drawn):
    _, svg = drawn
    places = [(float(x), float(y)) for x, y, *_ in DISC.findall(svg)]
    for n, (x, y) in enumerate(places):
        assert all((x - a) ** 2 + (y - b) ** 2 > (2 * RADIUS) ** 2 for a, b in places[:n])


@pytest.mark.parametrize("name", MADE)
def test_the_page_tells_how_many_sheets_and_every_cut(desk, name):
    sitting = desk(name)
    page, rows = sitting.look("cutting"), sitting.result.cut_list
    if not rows:
        return
    figures = re.findall(r", sheet (\d+) of (\d+): (\d+) pieces?, (\d+) cuts?", page.text)
    assert sum(int(pieces) for *_, pieces, _ in figures) == sum(row.count for row in rows)
    in_words = len(re.findall(r"(?:Along|Across) the sheet at", page.text))
    assert in_words == sum(int(cuts) for *_, cuts in figures)
    assert re.search(r": \d+ sheets?, and (?:no layout needs fewer|\d+ at the least)", page.lead)


def test_more_speakers_take_more_sheets(desk):
    sitting = desk()
    page = sitting.type("cutting", speakers="12")
    found = re.search(r": (\d+) sheets", page.lead)
    assert int(found[1]) >= sitting.result.sheets_at_least["ply"].at_least > 1
    assert page.text.count(f" of {found[1]}: ") == int(found[1])
