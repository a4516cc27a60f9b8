"""SVG at full size: one unit is one millimetre, a group for each depth and tool."""

from math import atan, hypot

from markupsafe import escape

from calc.shop.features import Circle
from server.exports.layers import layer

EDGE = 5.0
"""Empty paper round a drawing. [mm]"""


def side_svg(side):
    """One part with one face up, as the text of an SVG file."""
    part, groups = side.part, {}
    for feature in side.features:
        groups.setdefault(layer(feature, side.first), []).append(_shape(feature.shape, part.height))
    marks = "".join(f'<g id="{name}">{"".join(shapes)}</g>' for name, shapes in groups.items())
    return _file(side.name, part.width, part.height, marks)


def sheet_svg(sawn, size, trim, title):
    """A sheet with its pieces where they are sawn."""
    length, width = size

    def box(x0, y0, x1, y1):
        return _shape(((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)), width)

    marks = [f'<g id="STOCK">{box(0.0, 0.0, length, width)}</g>']
    if trim:
        marks.append(f'<g id="TRIM">{box(trim, trim, length - trim, width - trim)}</g>')
    pieces, letters = [], []
    for piece in sawn.pieces:
        along, across = (piece.width, piece.length) if piece.turned else (piece.length, piece.width)
        pieces.append(box(piece.x, piece.y, piece.x + along, piece.y + across))
        x, y = 1e3 * (piece.x + along / 2), 1e3 * (width - piece.y - across / 2)
        letters.append(f'<text x="{x:.3f}" y="{y:.3f}">{escape(piece.name)}</text>')
    marks.append(f'<g id="PIECES">{"".join(pieces)}</g>')
    marks.append(
        '<g id="LETTERS" fill="black" stroke="none" font-family="sans-serif" font-size="24">'
        f"{''.join(letters)}</g>"
    )
    return _file(title, length, width, "".join(marks))


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
