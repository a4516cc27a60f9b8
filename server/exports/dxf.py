"""DXF in millimetres: closed outlines, circles as circles, arcs as arcs, a layer for each depth and tool."""

from io import StringIO

from calc.shop.features import Circle
from server.exports.layers import layer


def side_dxf(side):
    """One part with one face up, its lower left corner at the origin, as the text of a DXF file."""
    drawing = _drawing()
    for feature in side.features:
        name = _layer(drawing, layer(feature, side.first))
        if isinstance(feature.shape, Circle):
            x, y, diameter = (1e3 * each for each in feature.shape)
            drawing.modelspace().add_circle((x, y), diameter / 2, dxfattribs={"layer": name})
        else:
            _ring(drawing, feature.shape, name)
    return _text(drawing)


def sheet_dxf(sawn, size, trim):
    """A sheet with its pieces where they are sawn: stock, trimmed edge, each piece and its letter."""
    drawing = _drawing()
    length, width = size
    _box(drawing, "STOCK", 0.0, 0.0, length, width)
    if trim:
        _box(drawing, "TRIM", trim, trim, length - trim, width - trim)
    for piece in sawn.pieces:
        along, across = (piece.width, piece.length) if piece.turned else (piece.length, piece.width)
        _box(drawing, "PIECES", piece.x, piece.y, piece.x + along, piece.y + across)
        place = (1e3 * (piece.x + along / 2), 1e3 * (piece.y + across / 2))
        attributes = {"layer": _layer(drawing, "LETTERS")}
        drawing.modelspace().add_text(piece.name, height=20, dxfattribs=attributes).set_placement(place)
    return _text(drawing)


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


def _ring(drawing, ring, name):
    points = [(1e3 * x, 1e3 * y, bulge) for x, y, bulge in ring]
    drawing.modelspace().add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": name})


def _box(drawing, name, x0, y0, x1, y1):
    _ring(drawing, ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)), _layer(drawing, name))


def _text(drawing):
    file = StringIO()
    drawing.write(file)
    return file.getvalue()
