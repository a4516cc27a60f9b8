"""Three views on paper: what hides what, to scale, and read as the shop reads them."""

import re
from types import SimpleNamespace

import numpy as np
import pytest
from reading import MADE, made
from test_views_page import BRACES, bench_of

from calc.evaluate import evaluate
from server import units
from server.documents import read_project
from server.drawings.paper import BAR, MM, PAPER, SCALES, Sheet
from server.drawings.projection import flat, showing
from server.drawings.surfaces import block, surface
from server.parts import parts
from server.plates import cabinet_three_views


def long(lines):
    return sum(np.hypot(q[0] - p[0], q[1] - p[1]) for p, q in lines)


def test_a_board_before_another_hides_what_lies_behind_it():
    """Seen from the front: 10 x 10 before 6 x 6 at its middle; from behind both show. Derived."""
    near = surface(block((0.0, 0.0, 0.0), (10.0, 1.0, 10.0)))
    far = surface(block((2.0, 3.0, 2.0), (8.0, 4.0, 8.0)))
    assert long(showing((near, far), "front")) == pytest.approx(40)
    assert long(showing((near, far), "back")) == pytest.approx(40 + 24)
    jutting = surface(block((8.0, 3.0, 2.0), (13.0, 4.0, 8.0)))  # 3 of its 5 show beside the near one
    assert long(showing((near, jutting), "front")) == pytest.approx(40 + 3 + 3 + 6)


def test_a_leaning_board_hides_only_what_is_behind_it():
    """A plate that leans through another: each shows where it is the nearer one."""
    upright = surface(block((0.0, 0.0, 0.0), (4.0, 0.1, 10.0)))
    rod = surface(block((1.0, -3.0, 5.0), (1.5, 3.0, 5.5)))  # pierces it: its near end shows, whole
    assert long(showing((upright, rod), "front")) == pytest.approx(28 + 2)
    assert long(showing((upright, rod), "right")) == pytest.approx(20.2 + 2 * (3 + 2.9) + 2 * 0.5, abs=1e-3)


@pytest.mark.parametrize("side", ["front", "back", "left", "right", "top"])
def test_sides_are_right_handed_and_square(side):
    from server.drawings.projection import SIDES

    right, up, away = SIDES[side]
    assert np.cross(right, up) @ np.array(away) == -1  # towards the eye is right x up
    assert flat((1.0, 2.0, 3.0), side) == (np.dot((1, 2, 3), right), np.dot((1, 2, 3), up))


def drawn(bench):
    return cabinet_three_views(bench, parts(bench))


def numbers(svg, kind):
    """The points of each path of a class."""
    return [
        [tuple(map(float, point)) for point in re.findall(r"(-?[\d.]+) (-?[\d.]+)", data)]
        for data in re.findall(rf'<path class="{kind}"[^>]* d="([^"]*)"', svg)
    ]


@pytest.mark.parametrize("name", MADE)
def test_the_front_is_as_wide_and_high_on_paper_as_its_scale_says(name):
    project = read_project(made(name))
    bench = SimpleNamespace(project=project, result=evaluate(project))
    drawing = drawn(bench)
    many = float(re.search(r"scale 1 : ([\d.]+)", drawing.notes[0])[1])
    assert many in SCALES[project.show]
    units = 1000 * MM / many
    width, height, depth = bench.result.cabinet.carcass.outer
    view = [point for points in numbers(drawing.svg, "o") for point in points]
    front = numbers(drawing.svg, "o")[0]
    xs, ys = zip(*front, strict=True)
    assert max(xs) - min(xs) == pytest.approx(width * units, abs=0.3)
    assert max(ys) - min(ys) == pytest.approx(height * units, abs=0.3)
    for x, y in view:
        assert 0 <= x <= PAPER[0] * MM and 0 <= y <= PAPER[1] * MM
    assert (width + depth) * units <= PAPER[0] * MM


def test_metric_shops_get_first_angle_and_others_third(document):
    for show, angle, below in (("metric", "First", True), ("imperial", "Third", False)):
        drawing = drawn(bench_of({**document, "show": show}))
        assert drawing.notes[0].startswith(f"{angle}-angle projection")
        front, _, top = numbers(drawing.svg, "o")[:3]
        lower = min(y for _, y in top) > max(y for _, y in front)
        assert lower == below
        side = "left" if below else "right"
        assert f">from the {side}</text>" in drawing.svg


def test_sizes_places_of_openings_and_of_braces_are_lettered(document):
    bench = bench_of(document, braces=BRACES)
    texts = re.findall(r"<text[^>]*>([^<]*)</text>", drawn(bench).svg)
    cabinet = bench.result.cabinet
    for metres in cabinet.carcass.outer:
        assert units.write(metres, "length", "metric") in texts
    assert units.write(cabinet.braces["shelf"].low[2], "length", "metric") in texts
    assert units.write(cabinet.braces["rib"].low[0], "length", "metric") in texts
    woofer = next(each for each in cabinet.openings if each.name == "woofer")
    assert units.write(woofer.y, "length", "metric") in texts
    assert any(text.startswith("⌀") for text in texts)


def test_what_stands_inside_is_dashed_and_hides_nothing(document):
    def ink(bench, kind):
        """Length of the lines of the three views. [m]"""
        drawing = drawn(bench)
        many = float(re.search(r"scale 1 : ([\d.]+)", drawing.notes[0])[1])
        paths = numbers(drawing.svg, kind)[:3]
        return sum(long(zip(path[::2], path[1::2], strict=True)) for path in paths) * many / 1000 / MM

    braced, bare = bench_of(document, braces=BRACES), bench_of(document)
    assert ink(braced, "hid") > ink(bare, "hid") + 0.5
    assert ink(braced, "o") == pytest.approx(ink(bare, "o"), rel=2e-3)


@pytest.mark.parametrize("show", ["metric", "imperial"])
def test_the_bar_is_as_long_as_it_says(show):
    sheet = Sheet("bar", show)
    sheet.foot("Title")
    (start, end), *_ = [p for p in numbers(sheet.finished("x").svg, "tick") if len(p) == 2]
    length, words = BAR[show]
    assert (end[0] - start[0]) / MM == pytest.approx(length)
    assert words == ("50 mm" if show == "metric" else "2 in") and length in (50, 50.8)
    assert f"this bar: {words}" in sheet.finished("x").svg


def test_a_drawing_takes_the_largest_scale_that_fits():
    sheet = Sheet("fit", "metric")
    assert sheet.fit(0.5, 0.1, 404, 1e4) == 800 and sheet.scale_words == "1 : 5"
    assert sheet.fit(0.5, 0.1, 399, 1e4) == pytest.approx(4000 / 6)
    assert sheet.fit(0.1, 0.05, 401, 1e4) == 4000 and sheet.scale_words == "1 : 1"
