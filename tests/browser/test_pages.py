"""What holds on every page: its name, its width, its policy, nothing fetched from elsewhere; and on paper."""

import re
import zlib

import pytest
from hands import PHONE, SMALL_PHONE, WIDE, made
from places import PLACES
from playwright.sync_api import expect

from server.pages import QUESTIONS


def test_each_page_is_named_and_asks_its_question(page):
    key = made(page, "demo:reading_room")
    for name in ("shelf", *PLACES):
        answer = page.goto("/" if name == "shelf" else f"/projects/{key}/{name}")
        expect(page.get_by_role("heading", level=1)).to_have_text(QUESTIONS[name])
        title = "The shelf" if name == "shelf" else "Reading-room pair"
        assert page.title() == f"{QUESTIONS[name]} - {title} - Bafflewright"
        here = page.locator("nav.rule [aria-current=page]")
        if name != "shelf":
            expect(here).to_have_count(1)
            expect(page.locator(".sill dt")).to_have_count(7)
        policy = answer.headers["content-security-policy"]
        assert "default-src 'self'" in policy and "unsafe-eval" not in policy
        assert page.locator("[data-title*='Share' i], [data-title*='cloud' i], .modebar-btn").count() == 0


WIDER_THAN_THE_PAGE = """() => {
    const page = document.documentElement.clientWidth;
    const inside = element => element.closest(".scroll, .sill, .over, .away, .skip, svg");
    return [...document.querySelectorAll("body *")]
        .filter(element => element.getBoundingClientRect().right > page + 1)
        .filter(element => !inside(element) || element.matches(".scroll, .sill, .over"))
        .map(element => element.outerHTML.slice(0, 120));
}"""


@pytest.mark.parametrize(
    ("beginning", "show"),
    [("demo:reading_room", "metric"), ("demo:hall_subwoofer", "imperial"), ("begin:plan", "imperial")],
)
def test_no_page_is_wider_than_a_phone(sit_down, beginning, show):
    page, faults = sit_down(SMALL_PHONE), []
    key = made(page, beginning, show)
    for name in PLACES:
        page.set_viewport_size({"width": SMALL_PHONE, "height": 800})
        page.goto(f"/projects/{key}/{name}")
        page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
        for width in (SMALL_PHONE, PHONE):
            page.set_viewport_size({"width": width, "height": 800})
            if page.evaluate("document.documentElement.scrollWidth") > width:
                faults.append((name, width, page.evaluate(WIDER_THAN_THE_PAGE)))
    assert faults == []


COVERED = """() => {
    const field = document.activeElement, sill = document.querySelector(".sill");
    if (!sill || sill.contains(field)) return false;
    const at = field.getBoundingClientRect(), top = sill.getBoundingClientRect().top;
    return at.top < 0 || at.bottom > top + 1;
}"""


@pytest.mark.parametrize("name", ["cabinet", "history"])
def test_the_sill_never_covers_what_has_the_focus(sit_down, name):
    page = sit_down(PHONE, 640)
    page.goto(f"/projects/{made(page, 'demo:reading_room')}/{name}")
    inputs = page.locator("#page input:visible:not([type=radio])").count()
    assert inputs > 3
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('#page input, #page .btn')"):
            assert not page.evaluate(COVERED), page.evaluate("document.activeElement.outerHTML")


def test_the_keyboard_reaches_the_question_first(page):
    page.goto(f"/projects/{made(page, 'demo:reading_room')}/box")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="To the question")).to_be_focused()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_the_charts_follow_the_dark(page):
    page.goto(f"/projects/{made(page, 'demo:reading_room')}/port")
    curve = page.locator(".plot .scatterlayer .js-line").first
    light = curve.evaluate("it => getComputedStyle(it).stroke")
    page.emulate_media(color_scheme="dark")
    page.wait_for_function(
        "light => getComputedStyle(document.querySelector('.plot .scatterlayer .js-line')).stroke !== light",
        arg=light,
    )
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") != "rgb(251, 246, 234)"


def test_the_cabinet_can_be_turned_and_nothing_offers_to_send_it_away(page):
    page.goto(f"/projects/{made(page, 'demo:reading_room')}/cabinet")
    page.get_by_role("link", name="Turn it in your hands").click()
    canvas = page.locator(".plot.solid canvas").first
    expect(canvas).to_be_visible()
    before = canvas.screenshot()
    box = canvas.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2 + 120, box["y"] + box["height"] / 2 + 30, steps=4)
    page.mouse.up()
    assert canvas.screenshot() != before, "it turns with the hand"
    assert page.locator("[data-title*='Share' i], [data-title*='cloud' i], .modebar-btn").count() == 0


# --- On paper


@pytest.mark.parametrize("width", [WIDE, PHONE])
def test_the_packet_on_paper_has_no_screen_furniture(sit_down, width):
    page = sit_down(width)
    page.goto(f"/projects/{made(page, 'demo:reading_room')}/packet")
    page.emulate_media(media="print")
    for furniture in (".rule", ".btn", ".skip", ".foot ol", ".foot h2"):
        assert not any(part.is_visible() for part in page.locator(furniture).all()), furniture
    sill = page.locator(".sill")
    if sill.is_visible():
        assert sill.evaluate("it => getComputedStyle(it).position") == "static", "it would lie over the print"
    colours = page.evaluate(
        "[...new Set([...document.querySelectorAll('main *')].filter(it => it.checkVisibility())"
        ".map(it => getComputedStyle(it).color))]"
    )
    for colour in colours:
        assert max(int(part) for part in re.findall(r"\d+", colour)[:3]) <= 0x33, (
            f"{colour} is not black on paper"
        )
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"


def test_the_packet_prints_on_several_sheets_from_the_dark_too(sit_down):
    page = sit_down(dark=True)
    page.goto(f"/projects/{made(page, 'demo:reading_room')}/packet")
    pdf = page.pdf(format="A4", prefer_css_page_size=True)
    sheets = len(re.findall(rb"/Type\s*/Page\b", pdf))
    assert 3 <= sheets <= 26, "one or two for each place of work"
    assert coloured(pdf) == set(), "print is black, grey and white"


def test_the_check_line_is_a_hundred_millimetres(page):
    page.goto(f"/projects/{made(page, 'demo:reading_room')}/packet")
    page.emulate_media(media="print")
    # A CSS millimetre is 96 / 25.4 px by definition.
    assert page.locator("svg.check").bounding_box()["width"] == pytest.approx(100 * 96 / 25.4, abs=0.5)


def coloured(pdf):
    """The fill and stroke colours of a PDF's pages that are no grey, as (r, g, b)."""
    found = set()
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.S):
        try:
            drawn = zlib.decompress(stream)
        except zlib.error:
            continue
        for each in re.findall(rb"(?<![\d.])([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG|scn|SCN)\b", drawn):
            red, green, blue = (float(part) for part in each)
            if max(red, green, blue) - min(red, green, blue) > 0.03:
                found.add((red, green, blue))
    return found
