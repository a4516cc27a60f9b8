"""The map in a real browser: its mark follows finger and keys, and so do the numbers."""

import json
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from hands import PHONE, SMALL_PHONE, kept, made
from hands import answered as sent
from playwright.sync_api import expect

AXE = Path(__file__).parents[1] / "vendor" / "axe-4.14.1.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def opened(page):
    page.goto("/")
    key = made(page, "demo:reading_room")
    page.goto(f"/projects/{key}/map")
    expect(page.locator("#mark")).to_have_attribute("role", "slider")
    return key


def values(page):
    return float(page.locator("#try-Vb").input_value()), page.locator("#try-fb").input_value()


def spot(page, Vb, fb):
    """Where a box lies on the screen, by the map's own scale."""
    page.locator("#land").scroll_into_view_if_needed()
    return page.evaluate(
        """([Vb, fb]) => {
        const land = document.getElementById("land"), paper = land.getBoundingClientRect();
        const edge = JSON.parse(land.dataset.ground);
        const share = ([low, high], v) => Math.log(v / low) / Math.log(high / low);
        const x = edge.left + share(edge.Vb, Vb) * (edge.right - edge.left);
        const y = fb ? edge.low - share(edge.fb, fb) * (edge.low - edge.top) : edge.strip;
        return [paper.left + x * paper.width, paper.top + y * paper.height];
    }""",
        [Vb, fb],
    )


def answered(page, act):
    with page.expect_response(lambda got: "/map/at?" in got.url) as waiting:
        act()
    assert waiting.value.status == 200
    told = waiting.value.json()
    expect(page.locator("#try-Vb")).to_have_value(told["typed"]["Vb"])
    expect(page.locator("#try-fb")).to_have_value(told["typed"]["fb"])
    return told


def test_a_tap_a_drag_and_the_keys_move_the_mark_and_the_numbers(page, workshop):
    key = opened(page)
    at = spot(page, 0.02, 38.0)
    told = answered(page, lambda: page.mouse.click(*at))
    assert told["Vb"] == pytest.approx(0.02, rel=0.02) and told["fb"] == pytest.approx(38, rel=0.02)
    expect(page.locator("#tried")).to_contain_text("lower than box B")
    box = page.locator("#mark").bounding_box()
    assert box["x"] + box["width"] / 2 == pytest.approx(at[0], abs=4)
    assert box["y"] + box["height"] / 2 == pytest.approx(at[1], abs=4)

    page.mouse.move(*at)
    page.mouse.down()
    page.mouse.move(*spot(page, 0.024, 36.0), steps=4)
    page.mouse.up()
    page.wait_for_function(
        "wanted => Math.abs(document.getElementById('try-Vb').value - wanted) < 0.6", arg=24
    )
    assert float(values(page)[1]) == pytest.approx(36, rel=0.03)

    before = values(page)
    page.locator("#mark").focus()
    answered(page, lambda: page.keyboard.press("ArrowRight"))
    assert values(page)[0] == pytest.approx(before[0] * 1.02, rel=0.01) and values(page)[1] == before[1]
    answered(page, lambda: page.keyboard.press("Shift+ArrowDown"))
    assert float(values(page)[1]) == pytest.approx(float(before[1]) / 1.1, rel=0.01)
    words = page.locator("#mark").get_attribute("aria-valuetext").replace("\N{NO-BREAK SPACE}", " ")
    assert words == f"{values(page)[0]:.1f} litre, tuned to {values(page)[1]} Hz"
    asked = parse_qs(urlsplit(page.url).query)
    assert asked["Vb"] == [page.locator("#try-Vb").input_value()], "the address can be kept"

    Vb, fb = values(page)
    with sent(page):
        page.locator("#take").click()
    box = kept(workshop, key)[0].alternatives["B"].box
    assert box.Vb * 1e3 == pytest.approx(Vb) and box.fb == pytest.approx(float(fb))
    answered(page, lambda: (page.locator("#mark").focus(), page.keyboard.press("Home")))
    assert values(page) == (Vb, fb), "home is the box itself, as it is now"


def test_into_the_strip_it_is_closed_and_out_again(page):
    opened(page)
    take = page.locator("#take")
    told = answered(page, lambda: page.mouse.click(*spot(page, 0.012, None)))
    assert told["fb"] is None and values(page)[1] == ""
    expect(take).to_be_hidden()
    page.locator("#mark").focus()
    answered(page, lambda: page.keyboard.press("ArrowUp"))
    assert float(values(page)[1]) > 15
    expect(take).to_be_visible()


def test_typed_values_and_other_lines_go_together(page):
    opened(page)
    page.locator("#try-Vb").fill("0.75 cubic feet")
    before = page.evaluate("window.swapped")
    page.keyboard.press("Tab")
    page.wait_for_function("before => window.swapped > before", arg=before)
    expect(page.locator("#tried")).to_contain_text("21.2")
    before = page.evaluate("window.swapped")
    page.locator('#of label:has-text("Port air")').click()
    page.wait_for_function("before => window.swapped > before", arg=before)
    expect(page.locator("figcaption").first).to_contain_text("as fast at its worst")
    assert values(page)[0] == pytest.approx(21.2, abs=0.05)
    expect(page.locator("#mark")).to_have_attribute("tabindex", "0")
    before = page.evaluate("window.swapped")
    page.locator("#try-Vb").fill("much")
    page.keyboard.press("Tab")
    page.wait_for_function("before => window.swapped > before", arg=before)
    expect(page.locator("#try-Vb")).to_have_attribute("aria-invalid", "true")
    assert page.locator("#try-Vb").input_value() == "much"


def test_without_a_script_the_fields_still_try_a_box(sit_down):
    page = sit_down(java_script_enabled=False)
    page.goto("/")
    key = made(page, "demo:reading_room")
    page.goto(f"/projects/{key}/map")
    page.locator("#try-Vb").fill("20")
    page.locator("#try-fb").fill("40")
    page.locator('#try button:has-text("Try it")').click()
    expect(page.locator("#tried")).to_contain_text("tuned to 40")
    assert not page.locator("#mark[role]").count(), "what only a script can do is not offered"
    page.locator("#take").click()
    page.goto(f"/projects/{key}/box")
    expect(page.locator('[name="alternatives.B.box.Vb"]')).to_have_value("20.0")


def test_on_a_phone_a_finger_draws_the_mark_and_nothing_is_wider(sit_down):
    page = sit_down(SMALL_PHONE, has_touch=True)
    opened(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.locator("#mark").evaluate("it => getComputedStyle(it).touchAction") == "none"
    size = page.locator("#mark").bounding_box()
    assert min(size["width"], size["height"]) >= 44
    letters = page.locator("#land svg text").first
    assert letters.evaluate("it => it.getBoundingClientRect().height") >= 12
    told = answered(page, lambda: page.touchscreen.tap(*spot(page, 0.016, 44.0)))
    assert told["Vb"] == pytest.approx(0.016, rel=0.03)


def test_on_paper_the_map_stands_with_its_mark(page):
    opened(page)
    page.emulate_media(media="print")
    expect(page.locator("#land svg")).to_be_visible()
    expect(page.locator("#mark")).to_be_visible()
    expect(page.locator("#of")).to_be_hidden()


@pytest.mark.parametrize("dark", [False, True])
def test_nobody_is_shut_out(sit_down, dark):
    for width in (1440, PHONE):
        page = sit_down(width, dark=dark)
        opened(page)
        page.evaluate(AXE.read_text())
        found = page.evaluate(
            """async tags => (await axe.run({runOnly: tags})).violations.map(
                each => [each.id, each.nodes.map(node => node.html)])""",
            TAGS,
        )
        assert not found, json.dumps(found, indent=1)
