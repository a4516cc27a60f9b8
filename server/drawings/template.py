"""One part with one face up, small: what the files of the same part hold."""

from calc.shop.features import PRICKED, Circle
from server.drawings.plate import Plate
from server.exports.svg import path

WIDTH, EDGE, TALLEST = 420, 14, 420


def template(side, *, name):
    """Draw a `calc.shop.features.Side`; `name` begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    part = side.part
    scale = min((WIDTH - 2 * EDGE) / part.width, TALLEST / part.height)
    plate = Plate(name, WIDTH, part.height * scale + 2 * EDGE)
    left = (WIDTH - part.width * scale) / 2

    def at(x, y):
        return left + x * scale, plate.height - EDGE - y * scale

    for feature in side.features:
        kind, fill = _looks(feature)
        if isinstance(feature.shape, Circle):
            x, y = at(feature.shape.x, feature.shape.y)
            if feature.kind in PRICKED:
                plate.circle("dot", x, y, 2.5)
                continue
            plate.circle(kind, x, y, feature.shape.diameter / 2 * scale)
        else:
            plate.path(kind, path(feature.shape, at), fill, faint=True)
    cuts = sum(each.kind != "outline" and each.kind not in PRICKED for each in side.features)
    return plate.finished(f"{side.name}: {cuts} {'cut' if cuts == 1 else 'cuts'} in it.")


def _looks(feature):
    """The classes and the pattern of a cut: what goes through is empty, what does not is hatched."""
    if feature.kind == "outline":
        return "face", None
    if feature.through:
        return "leaf", None
    return ("hid", None) if isinstance(feature.shape, Circle) else ("cutline", "slant")
