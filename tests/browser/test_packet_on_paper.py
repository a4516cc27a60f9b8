"""The packet as the printer gets it: each sheet says whose it is, none cuts anything in two, all can be read.

Oracle: the printed PDF itself, read without the project: which marks stand on each of its sheets.
"""

import re
import zlib
from itertools import pairwise

import pytest
import segno
from hands import link, made

ROOM = {"A4": (182, 297 - 28 - 19), "Letter": (187.9, 279.4 - 28 - 19)}
"""Between the margins, less the strip with the stamp. [mm]"""

PX = 96 / 25.4

DEMOS = ("reading_room", "hall_subwoofer")


def sheets_of(pdf):
    """The drawing operators of each sheet of a PDF, as sets of lines."""
    found = {int(m[1]): m[2] for m in re.finditer(rb"(\d+) 0 obj\b(.*?)endobj", pdf, re.S)}
    pages = [each for each in found.values() if re.search(rb"/Type\s*/Page\b", each)]
    streams = [found[int(re.search(rb"/Contents (\d+) 0 R", page)[1])] for page in pages]
    return [
        set(zlib.decompress(each[each.index(b"stream") + 6 :].lstrip(b"\r\n")).split(b"\n"))
        for each in streams
    ]


def runs(code):
    """How many level runs of dark modules a code has: each is a stroke that begins once."""
    rows = [[0, *row, 0] for row in code.matrix]
    return sum(b and not a for row in rows for a, b in pairwise(row))


@pytest.fixture(params=DEMOS)
def packet(sit_down, request):
    """The packet of a demo, with the address of its look-only link."""
    page = sit_down()
    key = made(page, f"demo:{request.param}")
    link(page, key, "look")
    page.goto(f"/projects/{key}/packet")
    return page, page.locator(".stamp .quiet").text_content().removeprefix("Look it up: ")


@pytest.mark.parametrize("paper", ROOM)
def test_every_sheet_has_the_stamp_with_its_code(packet, paper):
    page, address = packet
    assert page.locator(".stamp").is_hidden(), "it is for paper"
    sheets = sheets_of(page.pdf(format=paper))
    assert 10 <= len(sheets) <= 28
    strokes = [line for line in set.intersection(*sheets) if re.fullmatch(rb"\d+ \d+ m", line)]
    assert len(strokes) >= runs(segno.make(address, error="m")) > 100
    page.locator(".stamp .code").evaluate("it => it.remove()")
    bare = set.intersection(*sheets_of(page.pdf(format=paper)))
    assert not [line for line in bare if re.fullmatch(rb"\d+ \d+ m", line)], "which were the code's"


@pytest.mark.parametrize("paper", ROOM)
def test_no_sheet_cuts_a_drawing_or_shrinks_what_is_at_full_size(packet, paper):
    page, _ = packet
    wide, tall = (mm * PX for mm in ROOM[paper])
    page.emulate_media(media="print")
    page.set_viewport_size({"width": int(wide), "height": 900})
    assert page.evaluate("document.documentElement.scrollWidth") <= int(wide), (
        "a wider one is printed smaller"
    )
    found = page.locator("figure, tr, .facts, .walk > li, .tasks li, .care").evaluate_all(
        """all => all.filter(it => it.checkVisibility()).map(it => [it.textContent.slice(0, 40),
            getComputedStyle(it).breakInside, it.getBoundingClientRect().height])"""
    )
    assert len(found) > 40
    for words, inside, height in found:
        assert inside == "avoid" and height < tall, words
    line = page.locator(".check").evaluate("it => it.getBoundingClientRect().width")
    assert abs(line / PX - 100) < 0.1
    for drawing in page.locator(".to-size svg").all():
        assert abs(drawing.evaluate("it => it.getBoundingClientRect().width") / PX - 180) < 0.1


def test_what_is_worked_to_is_read_at_arms_length(packet):
    """12 points, 16 px, at least; what a drawing letters, as it comes out on the paper."""
    page, _ = packet
    page.emulate_media(media="print")
    page.set_viewport_size({"width": int(ROOM["A4"][0] * PX), "height": 900})
    numbers = page.locator("td.n b, .set, .facts dd, .sled, td.n, .tasks li > span").evaluate_all(
        "all => all.filter(it => it.checkVisibility()).map(it => parseFloat(getComputedStyle(it).fontSize))"
    )
    assert len(numbers) > 20 and min(numbers) >= 15.99
    drawn = page.locator(".panels text.big, .face-on text.big, .seat .chart text.big").evaluate_all(
        "all => all.map(it => parseFloat(getComputedStyle(it).fontSize) * it.getScreenCTM().a)"
    )
    assert len(drawn) > 20 and min(drawn) >= 15.99
