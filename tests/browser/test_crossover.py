"""Crossover in the browser: the demo's built from nothing, values turned, curves that follow."""

import json

import numpy as np
import pytest
from hands import answered, field, kept, made, pressed, typed
from playwright.sync_api import expect

from calc.evaluate import evaluate
from calc.evaluate_network import network
from calc.project_network import VALUE
from server.beginnings import demo
from server.documents import read_project

SAME_PLACE = {
    "low L1": "L1", "low C2": "C1", "woofer zobel R": "R1", "woofer zobel C": "C2", "high C1": "C3",
    "high L2": "L2", "R1": "R2",
}  # fmt: skip
"""Parts as the buttons name them, and the demo's own in the same place."""

UNITS = {"inductance": 1e-3, "capacitance": 1e-6, "resistance": 1.0}

L1 = "network.parts.low L1.inductance"


@pytest.fixture
def key(page):
    """A project of this test's own whose crossover is taken away."""
    key = made(page, "demo:reading_room")
    page.goto(f"/projects/{key}/crossover")
    pressed(page, "clear:")
    return key


SAME = "plot => plot === window.first && plot.querySelector('svg').marked"


def curves(page, chart):
    """What is drawn in a chart: the paths of its curves."""
    lines = page.locator(f"#plot-{chart} .scatterlayer .js-line")
    expect(lines.first).to_be_visible()
    return [line.get_attribute("d") for line in lines.all()]


def held(page, chart):
    """The curves that a chart was given by the server, which its drawing is made from."""
    return json.loads(page.locator(f"#plot-{chart}").get_attribute("data-figure"))["data"]


def test_the_demos_crossover_is_built_from_nothing(page, workshop, key):
    assert kept(workshop, key)[0].network is None
    expect(page.locator("p.lead")).to_contain_text("There is no crossover yet")
    field(page, "corner").fill("2500")
    pressed(page, "begin:linkwitz-riley 2")
    pressed(page, "small:zobel woofer")
    pressed(page, "add:resistor after dome")
    there = demo("reading_room")["network"]["parts"]
    for name, same in SAME_PLACE.items():
        value = VALUE[there[same]["kind"]]
        typed(page, f"network.parts.{name}.{value}", f"{there[same][value] / UNITS[value]:.6g}")
    both = kept(workshop, key)[0], read_project(demo("reading_room"))
    built, wanted = (network(project, evaluate(project)) for project in both)
    np.testing.assert_allclose(built.Z, wanted.Z, rtol=1e-9)
    for name in ("woofer", "dome"):
        np.testing.assert_allclose(built.transfer[name], wanted.transfer[name], rtol=1e-9)
    expect(page.locator("p.lead")).to_contain_text(f"{wanted.least.Z:.2f}".rstrip("0"))


def test_a_value_is_turned_by_keys_and_every_curve_follows(page, workshop, key):
    pressed(page, "begin:linkwitz-riley 4")
    typed(page, L1, "1.1")
    page.wait_for_function("document.querySelectorAll('.plot .js-line').length > 6")
    field(page, L1).focus()
    for key_name, value in (("ArrowUp", 1.2), ("ArrowUp", 1.3), ("ArrowDown", 1.2)):
        before = {chart: curves(page, chart) for chart in ("transfer", "load", "sum")}
        with answered(page):
            page.keyboard.press(key_name)
        expect(field(page, L1)).to_have_value(f"{value}")
        expect(field(page, L1)).to_be_focused()
        assert kept(workshop, key)[0].network.parts["low L1"].inductance == pytest.approx(value * 1e-3)
        for chart, drawn in before.items():
            line = page.locator(f"#plot-{chart} .scatterlayer .js-line").first
            expect(line).not_to_have_attribute("d", drawn[0])
    field(page, L1).fill("0.7m")
    page.keyboard.press("ArrowUp")
    expect(field(page, L1)).to_have_value("0.7m"), "what only the server reads is left alone"


def test_a_value_is_turned_by_its_slider(page, workshop, key):
    pressed(page, "begin:linkwitz-riley 2")
    slider = page.locator(f'[data-turns="{L1.replace(" ", "~")}"]')
    before = page.evaluate("window.swapped")
    slider.focus()
    page.keyboard.press("Home")  # 0.01 mH
    page.wait_for_function("before => window.swapped > before", arg=before)
    expect(field(page, L1)).to_have_value("0.01")
    assert kept(workshop, key)[0].network.parts["low L1"].inductance == pytest.approx(1e-5)
    expect(slider).to_have_value("-48")


def test_a_chart_whose_data_are_new_goes_on_working(page, key):
    """It is the same drawing all the time, shows what came last, and follows the light and the window."""
    pressed(page, "begin:linkwitz-riley 4")
    curves(page, "transfer")
    plot = page.locator("#plot-transfer")
    plot.evaluate("plot => { window.first = plot; plot.querySelector('svg').marked = 'the same' }")
    size = plot.bounding_box()
    for text in ("0.9", "1.4", "2.2"):
        given, drawn = held(page, "transfer"), curves(page, "transfer")
        typed(page, L1, text)
        assert held(page, "transfer") != given
        expect(plot.locator(".scatterlayer .js-line").first).not_to_have_attribute("d", drawn[0])
        assert plot.evaluate(SAME) == "the same"
        assert plot.bounding_box()["height"] == pytest.approx(size["height"], abs=1)
        shown = plot.evaluate("plot => plot.data.map(trace => Array.from(trace.y).slice(0, 5))")
        sent = plot.evaluate("plot => JSON.parse(plot.dataset.figure).data.map(trace => trace.y.slice(0, 5))")
        assert shown == sent, "what is drawn is what came last"
    typed(page, "network.parts.low C2.ESR", "0.05")
    unchanged = curves(page, "transfer")
    with answered(page):
        page.locator('button[value="turn:dome"]').click()  # turns no voltage's size
    assert curves(page, "transfer") == unchanged
    line = plot.locator(".scatterlayer .js-line").first
    ink = line.evaluate("line => getComputedStyle(line).stroke")
    page.emulate_media(color_scheme="dark")
    stroke = "getComputedStyle(document.querySelector('#plot-transfer .js-line')).stroke"
    page.wait_for_function(f"ink => {stroke} !== ink", arg=ink)
    page.set_viewport_size({"width": 700, "height": 900})
    page.wait_for_function("() => document.querySelector('#plot-transfer svg').clientWidth <= 700")
