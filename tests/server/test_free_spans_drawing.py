"""The drawing of the panels' free fields: to scale, complete, within its paper."""

import pytest
from test_drawings import RIB, SHELF, THICKNESSES, box, check_dress, check_paper, marks, read

from calc.cabinet.joints import all_butt
from calc.cabinet.materials import BOARDS
from calc.cabinet.panel_modes import panel_report
from calc.project_cabinet import PANELS, Brace
from server.drawings.free_spans import ROWS, free_spans


def drawn(plates=None, materials=None, inner=(0.2, 0.4, 0.3), numbers=None):
    walls, solids = box(inner, THICKNESSES, all_butt(), plates)
    materials = dict.fromkeys(PANELS, BOARDS["MDF"]) if materials is None else materials
    panels = {each.name: each for each in panel_report(walls, solids, materials)}
    known = [name for name, each in panels.items() if each.weakest]
    numbers = {name: n + 1 for n, name in enumerate(known)} if numbers is None else numbers
    return panels, free_spans(panels, numbers)


def rectangles(drawing, kind):
    """(width, height) of each rectangle of a class, in units, in the order of drawing."""
    corners = [
        (points[0], points[2]) for tag, name, points in marks(drawing) if tag == "path" and name == kind
    ]
    return [(abs(x2 - x1), abs(y2 - y1)) for (x1, y1), (x2, y2) in corners]


@pytest.mark.parametrize("plates", [{}, {"shelf": SHELF}, {"shelf": SHELF, "rib": RIB}], ids=len)
@pytest.mark.parametrize("inner", [(0.2, 0.4, 0.3), (0.5, 0.2, 0.15), (0.1, 1.4, 0.12)])
def test_every_field_stands_on_the_paper_to_scale(plates, inner):
    thin = {name: Brace(each.kind, min(each.at, 0.05), "ply", 0.004, None) for name, each in plates.items()}
    panels, drawing = drawn(thin, inner=inner)
    check_paper("spans", drawing)
    check_dress("spans", drawing)
    order = [panels[name] for row in ROWS for name in row]
    fields = [field for panel in order for field in panel.fields]
    shown = rectangles(drawing, "leaf")
    assert len(shown) == len(fields) and len(rectangles(drawing, "none")) == 6
    whole = rectangles(drawing, "face")
    scale = whole[0][1] / order[0].a
    for sizes, parts in ((whole, order), (shown, fields)):
        for (wide, high), part in zip(sizes, parts, strict=True):
            assert (wide / scale, high / scale) == pytest.approx((part.b, part.a), abs=0.2 / scale)


def test_numbers_and_bounds_stand_in_the_weakest_fields():
    panels, drawing = drawn({"shelf": SHELF})
    words = [node.text for node in read(drawing).iter("text")]
    for number, panel in enumerate(panels.values(), 1):
        assert str(number) in words and panel.name in words
    left = panels["left"].weakest
    assert f"{left.supported:.0f}–{left.clamped:.0f}" in words
    assert "lies in the front" in str(drawing.svg), "the panel that was numbered 1"


def test_a_panel_of_unknown_stuff_says_so():
    _, drawing = drawn(materials={})
    check_dress("spans", drawing)
    words = [node.text for node in read(drawing).iter("text")]
    assert words.count("not known") == 6 and "is not known" in str(drawing.svg)
