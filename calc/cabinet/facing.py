"""The faces of a cabinet as planes: from a place on a panel, as it is marked there, to where that is.

Places on front and back are seen from the front, x from the outer left and y up along the face from its
lower edge; on top and bottom x runs from the outer left and y from the front; on the sides x runs from the
front and y up from the lower edge. Cabinet coordinates are those of `calc.cabinet.panels`.
"""

from math import cos, radians, sin
from typing import NamedTuple


class Facing(NamedTuple):
    """The outer face of a panel: its `origin`, and unit vectors along x and y of the face and `inward`."""

    origin: tuple
    right: tuple
    up: tuple
    inward: tuple

    def at(self, x, y, depth=0.0):
        """Where the place x, y [m] of this face lies, `depth` [m] below it, in the cabinet. [m]"""
        (o, p, q), (a, b, c), (d, e, f), (g, h, i) = self
        return (
            o + x * a + y * d + depth * g,
            p + x * b + y * e + depth * h,
            q + x * c + y * f + depth * i,
        )

    def of(self, point):
        """The place x, y of this face under a `point` of the cabinet, and its depth below. [m]"""
        (o, p, q), (a, b, c), (d, e, f), (g, h, i) = self
        x, y, z = point[0] - o, point[1] - p, point[2] - q
        return x * a + y * b + z * c, x * d + y * e + z * f, x * g + y * h + z * i


_X, _Y, _Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def facing(panel, outer, slope=0.0):
    """The `Facing` of a panel.

    Parameters
    ----------
    panel : str
        One of the six.
    outer : (float, float, float)
        Outer width, height, depth (at the floor). [m]
    slope : float
        How far the front leans back about its lower edge. [deg]
    """
    width, height, depth = outer
    lean = radians(slope)
    return {
        "front": Facing((0.0, 0.0, 0.0), _X, (0.0, sin(lean), cos(lean)), (0.0, cos(lean), -sin(lean))),
        "back": Facing((0.0, depth, 0.0), _X, _Z, (0.0, -1.0, 0.0)),
        "left": Facing((0.0, 0.0, 0.0), _Y, _Z, _X),
        "right": Facing((width, 0.0, 0.0), _Y, _Z, (-1.0, 0.0, 0.0)),
        "bottom": Facing((0.0, 0.0, 0.0), _X, _Y, _Z),
        "top": Facing((0.0, 0.0, height), _X, _Y, (0.0, 0.0, -1.0)),
    }[panel]
