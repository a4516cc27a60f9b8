"""Wiring in the browser: a mistake named from a meter's reading, from a null, and where neither can tell, the
next test."""

import pytest
from hands import SMALL_PHONE, answered, field, made, pressed, typed, unfolded
from playwright.sync_api import expect


@pytest.fixture
def key(page):
    """A demo of this test's own, with a textbook crossover."""
    key = made(page, "demo:reading_room")
    page.goto(f"/projects/{key}/crossover")
    with answered(page):
        page.locator("button[value='begin:linkwitz-riley 4']").click()
    page.goto(f"/projects/{key}/wiring")
    return key


def choose(page, path, value):
    with answered(page):
        page.locator(f"input[name='{path}'][value='{value}']").check()


def test_a_bridged_capacitor_is_named_from_a_reading(page, key):
    """With high C1 bridged the coil of 0.3 ohm lies across the terminals."""
    typed(page, "network.reading", "0.28")
    expect(page.locator("#named")).to_contain_text("high C1: bridged")


def test_an_undecidable_reading_is_answered_with_the_next_test(page, key):
    typed(page, "network.reading", "6.2")
    expect(page.locator("#named")).to_contain_text(
        "It reads as it should. These mistakes would read the same"
    )
    expect(page.locator("#named")).to_contain_text("Next test: meter from")
    expect(page.locator("#named")).to_contain_text("Polarity does not change ohms")


def test_a_reversed_tweeter_is_named_by_the_null_and_the_woofers_kick(page, key):
    choose(page, "network.nulls.dome", "louder")
    told = page.locator("#polarity")
    expect(told).to_contain_text("Next test: which way the cone of woofer jumps")
    choose(page, "network.kicks.woofer", "out")
    expect(told).to_contain_text("It is this: dome: plus and minus exchanged")


def test_a_board_is_laid_out_and_its_paper_opens(page, key):
    with answered(page):
        page.locator("button[value='lay-out:']").click()
    expect(page.locator("#checked")).to_contain_text("exactly as the crossover has them")
    typed(page, "network.board.width", "260")
    expect(field(page, "network.board.width")).to_have_value("260")
    page.get_by_role("link", name="Print it at full size").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Where does each part go?")
    expect(page.locator(".paper svg").first).to_be_visible()


def test_the_whole_page_and_the_paper_before_axe_and_on_a_small_phone(screens, judge, sit_down):
    somebody = sit_down()
    key = made(somebody, "demo:reading_room")
    somebody.goto(f"/projects/{key}/crossover")
    pressed(somebody, "begin:linkwitz-riley 4")
    somebody.goto(f"/projects/{key}/wiring")
    for action in ("lay-out:", "keep:", "bought:"):
        pressed(somebody, action)
    typed(somebody, "network.reading", "0.28")
    for place in ("wiring", "wiring/board"):
        for screen in screens:
            screen.goto(f"/projects/{key}/{place}")
        assert judge() == []
        somebody.set_viewport_size({"width": SMALL_PHONE, "height": 700})
        somebody.goto(f"/projects/{key}/{place}")
        assert somebody.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_part_is_drawn_to_its_place_on_the_board(page, key):
    """30 px to the right and 20 up on the screen are as many by the drawing's own scale on the board."""
    pressed(page, "lay-out:")
    part = page.locator('g.part[data-part="low L1"]')
    before = part.bounding_box()
    middle = before["x"] + before["width"] / 2, before["y"] + before["height"] / 2
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(middle[0] + 30, middle[1] - 20)
    page.mouse.up()
    assert page.locator("g.part[transform]").count() == 0, "parts that are not held find their own places"
    pressed(page, "keep:")
    unfolded(field(page, "network.board.parts.low L1.x"))
    x, y = (float(part.get_attribute(f"data-{axis}")) for axis in ("x", "y"))
    part.scroll_into_view_if_needed()
    box = part.bounding_box()
    pixels = part.evaluate("part => part.ownerSVGElement.getScreenCTM().a * Number(part.dataset.scale)")
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(middle[0] + 10, middle[1] - 5)
    page.mouse.move(middle[0] + 30, middle[1] - 20)
    with answered(page):
        page.mouse.up()
    moved = page.locator('g.part[data-part="low L1"]')
    expect(moved).not_to_have_attribute("data-x", str(x))
    assert float(moved.get_attribute("data-x")) == pytest.approx(x + 30 / pixels, abs=2e-4)
    assert float(moved.get_attribute("data-y")) == pytest.approx(y + 20 / pixels, abs=2e-4)
    expect(field(page, "network.board.parts.low L1.x")).to_have_value(
        f"{1000 * (x + 30 / pixels):.1f}".removesuffix(".0")
    )
