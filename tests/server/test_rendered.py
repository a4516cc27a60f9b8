"""Templates as a printer gets them: rendered by another program, and measured in the picture."""

import re
import shutil
import subprocess

import numpy as np
import pytest
from reading import made
from test_exports import dressed, take

from calc.evaluate_features import parts
from server.documents import read_project
from server.exports.tiles import EDGE, FOOT, MARGIN, OVERLAP, PAPERS, room

DPI = 400
PIXEL = 25.4 / DPI
"""Width of a dot of the picture. [mm]"""


def poppler(program, pdf, folder, *options):
    """Run one of the programs that read a PDF; its absence is a failure, not a reason to skip."""
    path = shutil.which(program)
    assert path, f"{program} is not installed: see the second command of README"
    (folder / "asked.pdf").write_bytes(pdf)
    subprocess.run([path, *options, "asked.pdf", "found"], cwd=folder, check=True, timeout=120)


def pictures(pdf, folder):
    """Each page as an array of dots, True where it is dark; row 0 is the upper edge."""
    poppler("pdftoppm", pdf, folder, "-r", str(DPI), "-gray", "-aaVector", "no")
    return [_dark(path.read_bytes()) for path in sorted(folder.glob("found-*.pgm"))]


def _dark(contents):
    """A picture in the plain format of grey values: P5, width, height, 255, then a byte a dot."""
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", contents)
    width, height = int(head[1]), int(head[2])
    dots = np.frombuffer(contents, np.uint8, width * height, head.end())
    return dots.reshape(height, width) < 128


def runs(dark):
    """(first, last) of each unbroken dark stretch of a row of dots."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], dark.astype(np.int8), [0]))))
    return [(a, b - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def longest(picture, low, high, left=0.0, right=1e3):
    """{length [mm]: (middle x, y [mm] from the lower left corner)} of level stretches in a part of a page."""
    height = picture.shape[0]
    found = {}
    for row in range(height - round(high / PIXEL), height - round(low / PIXEL)):
        here = picture[row, round(left / PIXEL) : round(right / PIXEL)]
        for a, b in runs(here):
            found[(b - a) * PIXEL, row, a] = left + (a + b) / 2 * PIXEL, (height - row - 0.5) * PIXEL
    return found


@pytest.mark.parametrize("paper", PAPERS)
def test_the_check_lines_of_the_picture_are_as_long_as_they_say(desk, tmp_path, paper):
    """100 mm and 4 in = 101.6 mm, counted in dots of 0.0635 mm; a line's own width is 0.09 mm."""
    found = pictures(take(desk(), "part.pdf", part="front outside", paper=paper), tmp_path)
    width, height = PAPERS[paper]
    for picture in found:
        assert picture.shape == pytest.approx((height / PIXEL, width / PIXEL), abs=1.5)
        lines = longest(picture, EDGE, EDGE + 8, EDGE - 1, EDGE + 110)
        ends = {round(length, 1) for length, *_ in lines if length > 50}
        assert len(ends) == 2
        assert min(ends) == pytest.approx(100.0, abs=0.2) and max(ends) == pytest.approx(101.6, abs=0.2)


def marks(picture, paper, columns):
    """Middles (x, y) of the crosses in what a page shares with the one beside it: arms of 10 mm. [mm]"""
    wide, tall = room(paper)
    left = EDGE + (wide - OVERLAP if columns == "right" else 0.0)
    level = longest(picture, EDGE + FOOT + 15, EDGE + FOOT + tall - 15, left + 0.3, left + OVERLAP - 0.3)
    found = sorted((y, x) for (length, *_), (x, y) in level.items() if abs(length - 10.0) < 0.3)
    middles = []
    for y, x in found:
        if not middles or y - middles[-1][1] > 2:
            middles.append((x, y))
    return middles


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("upright", [False, True])
def test_pages_laid_on_each_other_by_their_marks_give_the_true_size(desk, tmp_path, paper, upright):
    """The outline of the front is measured from the left edge on one page to the right edge on the next,
    whose marks are laid on those of the first; that of the back from its lower edge to its upper one."""
    sitting, name = desk(), "back" if upright else "front"
    part = parts(read_project(sitting.document), sitting.result)[name]
    found = pictures(take(sitting, "part.pdf", part=f"{name} outside", paper=paper), tmp_path)
    assert len(found) == 4
    first, second = found[0], found[2 if upright else 1]
    if upright:
        across = EDGE + MARGIN + 30.0
        edges = [_crossed(each, across, paper) for each in (first, second)]
        seen = [_marks_above(each, paper, above) for each, above in ((first, True), (second, False))]
        wanted = part.height
    else:
        up = EDGE + FOOT + MARGIN + 15.0
        edges = [_along(each, up, paper) for each in (first, second)]
        seen = [marks(first, paper, "right"), marks(second, paper, "left")]
        wanted = part.width
    axis = 1 if upright else 0
    assert len(seen[0]) == len(seen[1]) == 2
    steps = [here[axis] - there[axis] for here, there in zip(*seen, strict=True)]
    aside = [here[1 - axis] - there[1 - axis] for here, there in zip(*seen, strict=True)]
    assert max(steps) - min(steps) < 0.15 and max(map(abs, aside)) < 0.15, "the pages lie straight"
    assert edges[1][-1] + sum(steps) / 2 - edges[0][0] == pytest.approx(1e3 * wanted, abs=0.3)


def _along(picture, up, paper):
    """Where a row of dots meets lines within the page's frame. [mm]"""
    row = picture[picture.shape[0] - round(up / PIXEL)]
    wide, _ = room(paper)
    return [x for a, b in runs(row) if EDGE + 0.5 < (x := (a + b) / 2 * PIXEL) < EDGE + wide - 0.5]


def _crossed(picture, across, paper):
    """The same of a column, from below."""
    column = picture[::-1, round(across / PIXEL)]
    _, tall = room(paper)
    low = EDGE + FOOT
    return [y for a, b in runs(column) if low + 0.5 < (y := (a + b) / 2 * PIXEL) < low + tall - 0.5]


def _marks_above(picture, paper, above):
    """Middles of the crosses in what a page shares with the one above or below it."""
    wide, tall = room(paper)
    low = EDGE + FOOT + (tall - OVERLAP if above else 0.0)
    level = longest(picture, low + 2, low + OVERLAP - 2, EDGE + 20, EDGE + wide - 20)
    found = sorted((x, y) for (length, *_), (x, y) in level.items() if abs(length - 10.0) < 0.3)
    middles = []
    for x, y in found:
        if not middles or x - middles[-1][0] > 2:
            middles.append((x, y))
    return middles


LONG = (
    "A pair of speakers for the reading room of the village library on the hill beyond the river and the wood"
)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial", "dressed"])
def test_no_word_leaves_the_printable_area(desk, tmp_path, name, paper):
    """Boxes of the words as another program finds them, against the frame; the edge of the paper is bare."""
    document = dressed() if name == "dressed" else made(name)
    document["title"] = LONG
    pdf = take(desk(document), "all.pdf", paper=paper)
    poppler("pdftotext", pdf, tmp_path, "-bbox")
    pages = (tmp_path / "found").read_text().split("<page")[1:]
    assert len(pages) > 10
    (width, height), told = PAPERS[paper], set()
    for page in pages:
        boxes = re.findall(
            r'xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">([^<]*)', page
        )
        assert len(boxes) > 15
        for *corners, word in boxes:
            left, top, right, low = (float(each) * 25.4 / 72 for each in corners)
            told.add(word)
            assert left >= EDGE - 0.1 and right <= width - EDGE + 0.1, word
            assert top >= EDGE - 0.1 and low <= height - EDGE + 1.2, word
            assert low <= height - EDGE - FOOT + 0.1 or top >= height - EDGE - FOOT - 0.1, word
    assert {"rabbet", "opening,", "groove", "deep", "through"} <= told
    poppler("pdftoppm", pdf, tmp_path, "-r", "60", "-gray", "-aaVector", "no", "-l", "30")
    for path in tmp_path.glob("found-*.pgm"):
        dots = _dark(path.read_bytes())
        bare = int((EDGE - 0.6) * 60 / 25.4)
        edges = dots[:bare], dots[-bare:], dots[:, :bare], dots[:, -bare:]
        assert not any(edge.any() for edge in edges), path.name


def test_the_paper_says_what_its_outline_is(desk, tmp_path):
    """Bevels are sawn before a template is laid on; and of two faces one alone has the outline to cut."""
    changes = {"cabinet.layers": {}, "cabinet.seats.woofer.relief": {"depth": 0.005}}
    sitting = desk(dressed(**changes))
    said = []
    for face in ("outside", "inside"):
        pdf = take(sitting, "part.pdf", part=f"front {face} left cabinet")
        poppler("pdftotext", pdf, tmp_path, "-layout")
        said.append((tmp_path / "found").read_text())
    assert all("The outline is that of the long points" in each for each in said)
    assert ["cut from the other face" in each for each in said] == [False, True]
    assert "Front, inside up, left cabinet" in said[1]
