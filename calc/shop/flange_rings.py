"""Outline of a driver's flange as a router follows it, and shapes put to their places."""

from math import pi, radians

from calc.shop.features import Circle
from calc.shop.rings import area, flattened, moved, rectangle, truncated, turned


def flange(frame, turn=0.0, more=0.0):
    """Outline of a flange about (0, 0), as a `Circle` or a ring [m]; None while its size is not known.

    Parameters
    ----------
    frame : Frame-like
        `.shape`, `.wide` (diameter, or a square's side), `.narrow` (across flats) [m], `.corner` [m].
    turn : float
        To the right. [deg]
    more : float
        By which what takes the flange is wider. [m]
    """
    if frame.wide is None or frame.narrow is None:
        return None
    if frame.shape == "round":
        return Circle(0.0, 0.0, frame.wide + more)
    if frame.shape == "truncated":
        return turned(truncated(frame.wide + more, frame.narrow + more), radians(turn))
    half = (frame.wide + more) / 2
    return turned(rectangle(-half, -half, half, half, frame.corner + more / 2), radians(turn))


def spacer(seat, frame):
    """Outline of the ring under a flange, about (0, 0): its own circle, else the flange's outline; None while
    that is not known."""
    own = seat.ring.diameter
    return Circle(0.0, 0.0, own) if own else flange(frame, seat.turn)


def enclosed(shape):
    """What a `Circle` or a ring encloses. [m²]"""
    return pi / 4 * shape.diameter**2 if isinstance(shape, Circle) else area(shape)


def half_sides(shape):
    """How far a shape about (0, 0) reaches to the side, and up. [m]"""
    if isinstance(shape, Circle):
        return shape.diameter / 2, shape.diameter / 2
    return tuple(max(abs(place[n]) for place in flattened(shape, step=0.002)) for n in (0, 1))


def placed(shape, x, y):
    """A shape about (0, 0), or in other axes, shifted. [m]"""
    if isinstance(shape, Circle):
        return shape._replace(x=shape.x + x, y=shape.y + y)
    return moved(shape, x, y)
