"""DXF in millimetres: closed outlines, circles as circles, arcs as arcs, a layer for each depth and tool."""

from io import StringIO

from calc.shop.features import Circle
from server.exports.layers import names_on, of_sheet, of_side

LETTER = 8.0
"""Height of what is written on a part. [mm]"""


def side_dxf(side):
    """One part with one face up, its lower left corner at the origin, as the text of a DXF file."""
    return _text(_drawn(of_side(side)))


def sheet_dxf(sheet):
    """A `calc.evaluate_nested.Nested`: stock, trimmed edge, what is sawn, what is cut in each part."""
    from ezdxf.enums import TextEntityAlignment

    drawing = _drawn(of_sheet(sheet))
    for words, x, y, upright in names_on(sheet, LETTER):
        text = drawing.modelspace().add_text(
            words, height=LETTER, dxfattribs={"layer": _layer(drawing, "LETTERS")}
        )
        text.dxf.rotation = 90 if upright else 0
        text.set_placement((x, y), align=TextEntityAlignment.MIDDLE_CENTER)
    return _text(drawing)


def _drawn(marks):
    drawing = _drawing()
    for name, shape in marks:
        _layer(drawing, name)
        if isinstance(shape, Circle):
            x, y, diameter = (1e3 * each for each in shape)
            drawing.modelspace().add_circle((x, y), diameter / 2, dxfattribs={"layer": name})
        else:
            points = [(1e3 * x, 1e3 * y, bulge) for x, y, bulge in shape]
            drawing.modelspace().add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": name})
    return drawing


def _drawing():
    import ezdxf
    from ezdxf import units

    drawing = ezdxf.new("R2010")
    drawing.units = units.MM
    return drawing


def _layer(drawing, name):
    if name not in drawing.layers:
        drawing.layers.add(name, color=1 + len(drawing.layers) % 7)
    return name


def _text(drawing):
    file = StringIO()
    drawing.write(file)
    return file.getvalue()
