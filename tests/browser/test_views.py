"""The cabinet taken apart and its parts picked, by mouse and by keyboard, and without scripts."""

import pytest
from hands import made
from playwright.sync_api import expect

PLACES_OF = """name => {
    const trace = document.getElementById("plot-solid").data.find(t => t.name === name);
    const ends = axis => [Math.min(...trace[axis]), Math.max(...trace[axis])];
    return [ends("x"), ends("y"), ends("z")];
}"""
TURNED = """() => {
    const eye = document.getElementById("plot-solid")._fullLayout.scene._scene.getCamera().eye;
    return [eye.x, eye.y, eye.z];
}"""

LIT = """() => document.getElementById("plot-solid").data
    .filter(trace => trace.type === "mesh3d" && trace.opacity === 1).map(trace => trace.name)"""
PRESS = """part => {   // what the library tells of a press on the body
    const plot = document.getElementById("plot-solid");
    plot.dispatchEvent(new PointerEvent("pointerdown", {bubbles: true}));
    for (let n = 0; n < 3; n++) plot.emit("plotly_click", {points: [{data: {meta: {part}}}]});
    plot.dispatchEvent(new PointerEvent("pointerup", {bubbles: true}));
}"""


@pytest.fixture
def views(page):
    page.goto(f"/projects/{made(page, 'demo:reading_room')}/views")
    expect(page.locator("#plot-solid canvas").first).to_be_visible()
    return page


def test_the_slider_takes_the_cabinet_apart_by_keyboard(views):
    before = views.evaluate(PLACES_OF, "left")
    views.locator("#apart").focus()
    views.keyboard.press("End")
    expect(views.locator("output[for=apart]")).to_have_text("100 %")
    after = views.evaluate(PLACES_OF, "left")
    longest = max(high - low for low, high in views.evaluate(PLACES_OF, "front"))
    assert before[0][0] - after[0][0] == pytest.approx(0.3 * longest, abs=1)  # outwards by the step
    assert after[1:] == before[1:]
    assert views.evaluate(PLACES_OF, "shelf")[0] == pytest.approx([12.3, 204.3], abs=0.2)
    views.keyboard.press("Home")
    expect(views.locator("output[for=apart]")).to_have_text("0 %")
    assert views.evaluate(PLACES_OF, "left") == before


def test_a_row_lights_the_part_and_the_part_its_row(views):
    row = views.locator("tr[data-part=shelf]")
    row.locator("a").focus()
    views.keyboard.press("Enter")
    expect(row).to_have_class("lit")
    expect(row.locator("a")).to_have_attribute("aria-current", "true")
    expect(views.locator("#picked")).to_contain_text("Shelf")
    assert views.evaluate(LIT) == ["shelf"]
    views.evaluate(PRESS, "left")
    expect(views.locator("tr.lit")).to_have_attribute("data-part", "left")
    assert views.evaluate(LIT) == ["left"]
    views.locator("tr[data-part=left] a").click()
    expect(views.locator("tr.lit")).to_have_count(0)
    assert "/views" in views.url and "part=" not in views.url


def test_what_is_turned_stays_turned_while_it_is_taken_apart(views):
    at = views.locator("#plot-solid").bounding_box()
    x, y = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
    before = views.evaluate(TURNED)
    views.mouse.move(x, y)
    views.mouse.down()
    views.mouse.move(x + 120, y + 30, steps=6)
    views.mouse.up()
    turned = views.evaluate(TURNED)
    assert turned != pytest.approx(before, abs=0.01)
    expect(views.locator("tr.lit")).to_have_count(0)  # turning picks nothing
    views.locator("#apart").focus()
    views.keyboard.press("End")
    expect(views.locator("output[for=apart]")).to_have_text("100 %")
    assert views.evaluate(TURNED) == pytest.approx(turned, abs=0.02)


def test_without_scripts_links_take_it_apart(sit_down):
    page = sit_down(java_script_enabled=False)
    page.goto(f"/projects/{made(page, 'demo:reading_room')}/views")
    expect(page.locator("#apart")).to_be_hidden()
    drawing = page.locator("noscript svg").first
    expect(drawing).to_be_visible()
    whole = drawing.inner_html()
    page.get_by_role("link", name="Taken apart").click()
    assert "apart=100" in page.url
    assert page.locator("noscript svg").first.inner_html() != whole
    page.locator("tr[data-part=shelf] a").click()
    expect(page.locator("tr.lit")).to_have_attribute("data-part", "shelf")
