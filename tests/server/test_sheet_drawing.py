"""Sheets as the Cutting page draws them: each piece and each cut where the layout has it."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading import MADE

from calc.shop.sheet_layout import ORDERS, Piece, Sheet, fewest_sheets
from calc.shop.sheet_sawing import Mark
from server.drawings.plate import lettering
from server.drawings.sheet import MARGIN, RADIUS, WIDTH, sheet_layout

DISC = re.compile(r'<g class="stop"><circle cx="([\d.]+)" cy="([\d.]+)" r="(\d+)"/><text[^>]*>(\d+)</text>')
LINE = re.compile(r'<path class="kerf thin" d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"/>')
LEADER = re.compile(r'<path class="dim" d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"/>')


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


def test_cuts_are_numbered_in_order_and_stand_where_the_layout_has_them(drawn):
    sawn, svg = drawn
    lines, discs = LINE.findall(svg), DISC.findall(svg)
    assert [int(number) for *_, number in discs] == list(range(1, len(sawn.cuts) + 1))
    assert len(lines) == len(sawn.cuts)
    scale = (WIDTH - 2 * MARGIN) / 2.44
    for cut, line in zip(sawn.cuts, lines, strict=True):
        x1, y1, x2, y2 = map(float, line)
        if cut.axis == "x":
            assert y1 == y2 == pytest.approx(MARGIN + (1.22 - cut.at) * scale, abs=0.06)
        else:
            assert x1 == x2 == pytest.approx(MARGIN + cut.at * scale, abs=0.06)


def legible(svg):
    """Refuse numbers that hide each other or lettering, and one whose line cannot be told."""
    discs = [(float(x), float(y)) for x, y, *_ in DISC.findall(svg)]
    lines = [tuple(map(float, line)) for line in LINE.findall(svg)]
    leaders = [tuple(map(float, line)) for line in LEADER.findall(svg)]
    letters = [
        (float(x), float(y), lettering(words, kind) / 2)
        for kind, x, y, words in re.findall(
            r'<text class="halo ([^"]*mid-a)" x="([\d.]+)" y="([\d.]+)">([^<]*)', svg
        )
    ]
    assert len(discs) == len(lines)
    for n, (x, y) in enumerate(discs):
        assert all((x - a) ** 2 + (y - b) ** 2 > (2 * RADIUS) ** 2 for a, b in discs[:n]), n + 1
        for a, base, half in letters:
            middle = base - 7
            assert abs(x - a) > half + RADIUS - 1 or abs(y - middle) > RADIUS + 5, (n + 1, "hides a letter")
        x1, y1, x2, y2 = lines[n]
        own = max(min(x1, x2) - x, 0, x - max(x1, x2)) + max(min(y1, y2) - y, 0, y - max(y1, y2))
        joined = any(
            abs(c - x) + abs(d - y) < 0.3
            and min(x1, x2) - 0.2 <= a <= max(x1, x2) + 0.2
            and min(y1, y2) - 0.2 <= b <= max(y1, y2) + 0.2
            for a, b, c, d in leaders
        )
        assert own <= RADIUS + 0.2 or joined, n + 1


def test_no_number_hides_another_or_a_letter(drawn):
    legible(drawn[1])


@pytest.mark.parametrize("name", MADE)
@pytest.mark.parametrize("first", ["rip", "crosscut", "any"])
def test_the_numbers_of_every_project_can_be_read(desk, name, first):
    sitting = desk(name)
    page = sitting.type("cutting", **{"workshop.saw.first": first})
    told = re.findall(r"\d pieces?, \d+ cuts?", page.text)
    plates = re.findall(r"<svg.*?</svg>", page.markup, flags=re.S)
    sheets = [svg for svg in plates if "numbered in order" in svg]
    assert len(sheets) == len(told)
    for svg in sheets:
        legible(svg)


@settings(max_examples=30)
@given(
    st.lists(
        st.tuples(st.integers(40, 900), st.integers(40, 600), st.integers(1, 5)), min_size=1, max_size=9
    ),
    st.sampled_from(ORDERS),
)
def test_the_numbers_of_random_lists_can_be_read(rows, order):
    pieces = [
        Piece(letter, a / 1e3, b / 1e3, count)
        for letter, (a, b, count) in zip("ABCDEFGHI", rows, strict=False)
    ]
    for sawn in fewest_sheets(pieces, Sheet(2.44, 1.22, 0.01), 0.0032, order).sheets:
        legible(sheet_layout(sawn, (2.44, 1.22), 0.01, lambda metres: f"{1000 * metres:g}").svg)


def test_a_sheet_of_two_hundred_strips_is_drawn_larger():
    pieces = [Piece("A", 0.2, 0.04, 200, "length")]
    (sawn,) = fewest_sheets(pieces, Sheet(2.44, 1.22), 0.003).sheets
    svg = sheet_layout(sawn, (2.44, 1.22), 0.0, lambda metres: f"{1000 * metres:g}").svg
    assert float(re.search(r'viewBox="0 0 ([\d.]+)', svg)[1]) > WIDTH
    legible(svg)


def test_marks_point_to_the_top_and_along_the_front_edge():
    """Two sides, the tops to the right: a bar along the lower edge of the one, the upper of the other."""
    layout = fewest_sheets([Piece("C", 0.4, 0.25, 2, "length")], Sheet(2.44, 1.22), 0.0032)
    (sawn,) = layout.sheets
    pair = [Mark("left", 1, "top", "low"), Mark("right", 1, "top", "high")]
    plain = sheet_layout(sawn, (2.44, 1.22), 0.0, lambda metres: f"{1000 * metres:g}").svg
    svg = sheet_layout(
        sawn, (2.44, 1.22), 0.0, lambda metres: f"{1000 * metres:g}", marks=pair, note="Good face up."
    ).svg
    assert plain.count('class="dot"') == 0 and svg.count('class="dot"') == 2
    bars = re.findall(r'class="cutline" d="M[\d.]+ ([\d.]+)L[\d.]+ ([\d.]+)"', svg)
    scale = (WIDTH - 2 * MARGIN) / 2.44
    for (y1, y2), piece, edge, step in zip(bars, sawn.pieces, (0.0, 0.25), (-4, 4), strict=True):
        assert y1 == y2
        assert float(y1) == pytest.approx(MARGIN + (1.22 - piece.y - edge) * scale + step, abs=0.1)
    words = re.findall(r"<text[^>]*>([^<]*)</text>", svg)
    assert "left" in words and "right" in words and "Good face up." in words


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
