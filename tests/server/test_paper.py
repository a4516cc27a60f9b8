"""Drawings to be printed: the section and each part's face, to scale, with datum edges and a bar."""

import re
from types import SimpleNamespace

import pytest
from reading import MADE, made
from test_three_views import numbers
from test_views_page import BRACES, bench_of

from calc.evaluate import evaluate
from server import units
from server.documents import read_project
from server.drawings.panel import Paper
from server.drawings.paper import MM, PAPER
from server.drawings.surfaces import beyond, block, prism, sawn, surface
from server.parts import parts
from server.plates import cabinet_paper_section
from server.routes.cutting import panel_drawings


def area(loop):
    return abs(sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(loop, loop[1:], strict=False))) / 2


def test_a_saw_through_a_bored_board_leaves_two_rests():
    """60 x 10 board, 20 bored out of its middle: sawn along the middle it shows 2 x 20 x 10. Derived."""
    bore = prism([(-1.0, 0.0, 20.0), (5.0, 0.0, 20.0), (5.0, 0.0, 40.0), (-1.0, 0.0, 40.0)], (0.0, 10.0, 0.0))
    board = surface(block((-30.0, 0.0, 0.0), (30.0, 10.0, 60.0)), (bore,))
    loops = [[(y, z) for _, y, z in loop] for loop in sawn(board, 0, 0.5)]
    assert sorted(area(loop) for loop in loops) == pytest.approx([200, 200])
    (whole,) = sawn(board, 0, 20.0)
    assert area([(y, z) for _, y, z in whole]) == pytest.approx(600)


def test_what_lies_beyond_the_saw_ends_at_it():
    board = surface(block((0.0, 0.0, 0.0), (6.0, 1.0, 2.0)))
    half = beyond(board, 0, 2.5)
    assert max(face.high[0] for face in half.faces) == 2.5 and len(half.faces) == 5
    assert not beyond(board, 0, -1.0).faces and len(beyond(board, 0, 7.0).faces) == 6


def bench(name):
    project = read_project(made(name))
    return SimpleNamespace(project=project, result=evaluate(project))


def scale_of(drawing):
    return 1000 * MM / float(re.search(r"[Ss]cale 1 : ([\d.]+)", " ".join(drawing.notes))[1])


@pytest.mark.parametrize("name", MADE)
def test_the_section_on_paper_is_to_scale_and_letters_outside_and_inside(name):
    now = bench(name)
    drawing = cabinet_paper_section(now, parts(now))
    cuts = numbers(drawing.svg, "cutface")
    width, height, depth = now.result.cabinet.carcass.outer
    for axis, size in ((0, depth), (1, height)):
        places = [point[axis] for cut in cuts for point in cut]
        assert max(places) - min(places) == pytest.approx(size * scale_of(drawing), abs=0.3)
        assert min(places) >= 0 and max(places) <= PAPER[axis] * MM
    texts = re.findall(r"<text[^>]*>([^<]*)</text>", drawing.svg)
    for size in (height, depth, *now.result.cabinet.carcass.inner[1:]):
        written = units.write(size, "length", now.project.show, now.project.fraction)
        assert any(text.startswith(written) for text in texts), size
    assert any(now.project.title[:20] in text for text in texts)


@pytest.mark.parametrize("name", MADE)
def test_every_part_has_a_sheet_to_scale_with_its_datum_edges(name):
    now = bench(name)
    drawings = panel_drawings(now, Paper(now.project.show, now.project.title))
    solids = {**now.result.cabinet.carcass.panels, **now.result.cabinet.braces}
    assert list(drawings) == list(solids)
    for part, drawing in drawings.items():
        scale = scale_of(drawing)
        ends = [path for path in numbers(drawing.svg, "tick") if len(path) == 2]
        long = sorted(max(abs(a - c), abs(b - d)) for (a, b), (c, d) in ends)
        sides = [side * scale for side in (solids[part].length, solids[part].width)]
        for side in sides:
            assert any(abs(side - each) < 0.3 for each in long), (part, side)
        face = numbers(drawing.svg, "face")[0]
        assert all(0 <= x <= PAPER[0] * MM and 0 <= y <= PAPER[1] * MM for x, y in face)
        assert "datum edges: left and lower" in drawing.svg


def test_the_sheet_says_which_face_it_shows_and_what_a_mirrored_pair_needs(document):
    now = bench_of(document, braces=BRACES)
    drawn = panel_drawings(now, Paper("metric", "Bench pair", True))
    assert "Left: its inside face, the outside lies down" in drawn["left"].svg
    assert "Shelf: seen from above" in drawn["shelf"].svg and "Rib: seen from the right" in drawn["rib"].svg
    for drawing in drawn.values():
        assert "Right-hand cabinet: mirror it, datum right and lower" in drawing.svg


def test_the_page_has_a_sheet_for_each_drawing_and_prints_them(desk):
    sat = desk("reading_room")
    now = bench("reading_room")
    text = sat.browser.get(f"/projects/{sat.key}/views").text
    names = re.findall(r'<details class="shown"[^>]*><summary>([^<]*)</summary>', text)
    cabinet = now.result.cabinet
    faces = [name.capitalize() for name in (*cabinet.carcass.panels, *cabinet.braces)]
    assert names == ["Three views", "Section through the middle", *faces]
    assert "data-print" in text
    ids = re.findall(r' id="([^"]*)"', text)
    assert len(ids) == len(set(ids))
