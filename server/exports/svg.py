"""SVG at full size: one unit is one millimetre, a group for each depth and tool."""

from math import atan, hypot

from markupsafe import escape

from calc.shop.features import Circle
from server.exports.layers import names_on, of_sheet, of_side

EDGE = 5.0
"""Empty paper round a drawing. [mm]"""


LETTER = 10.0
"""Size of what is written on a part. [mm]"""


def side_svg(side):
    """One part with one face up, as the text of an SVG file."""
    part = side.part
    return _file(side.name, part.width, part.height, _groups(of_side(side), part.height))


def sheet_svg(sheet, title):
    """A `calc.evaluate_nested.Nested` with all that is cut in each of its parts."""
    length, width = sheet.laid.size
    words = ""
    for text, x, y, upright in names_on(sheet, LETTER):
        place = f"translate({x:.3f} {1e3 * width - y:.3f}){' rotate(-90)' if upright else ''}"
        words += f'<text transform="{place}" dy="0.35em">{escape(text)}</text>'
    letters = (
        f'<g id="LETTERS" fill="black" stroke="none" font-family="sans-serif" font-size="{LETTER:g}"'
        f' text-anchor="middle">{words}</g>'
    )
    return _file(title, length, width, _groups(of_sheet(sheet), width) + letters)


def _groups(marks, height):
    """A group for each layer, in the order of work."""
    groups = {}
    for name, shape in marks:
        groups.setdefault(name, []).append(_shape(shape, height))
    return "".join(f'<g id="{name}">{"".join(shapes)}</g>' for name, shapes in groups.items())


def _file(title, width, height, marks):
    wide, tall = 1e3 * width + 2 * EDGE, 1e3 * height + 2 * EDGE
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{tall:.3f}mm"'
        f' viewBox="{-EDGE:g} {-EDGE:g} {wide:.3f} {tall:.3f}">'
        f"<title>{escape(title)}</title>"
        f'<g fill="none" stroke="black" stroke-width="0.2">{marks}</g></svg>\n'
    )


def _shape(shape, height):
    if isinstance(shape, Circle):
        x, y, radius = 1e3 * shape.x, 1e3 * (height - shape.y), 500 * shape.diameter
        return f'<circle cx="{x:.4f}" cy="{y:.4f}" r="{radius:.4f}"/>'
    return f'<path d="{path(shape, lambda x, y: (1e3 * x, 1e3 * (height - y)))}"/>'


def path(ring, at):
    """A ring as the `d` of a path on paper, whose y runs down; `at` (x, y) gives a place on it."""
    words = []
    for n, (x, y, bulge) in enumerate((*ring, ring[0])):
        px, py = at(x, y)
        if n == 0:
            words.append(f"M{px:.4f} {py:.4f}")
            continue
        bx, by, bulge = ring[n - 1]
        if not bulge:
            words.append(f"L{px:.4f} {py:.4f}")
            continue
        qx, qy = at(bx, by)
        radius = hypot(px - qx, py - qy) * (1 + bulge**2) / (4 * abs(bulge))
        wide = int(abs(4 * atan(bulge)) > 3.14159266)
        words.append(f"A{radius:.4f} {radius:.4f} 0 {wide} {int(bulge < 0)} {px:.4f} {py:.4f}")
    return "".join(words) + "Z"
