"""Terminal plates and cups: how far their rim reaches, where their screws stand, what air they take."""

from math import cos, pi, sin

from calc.cabinet.flat_shapes import Shape


def rim_shape(hole):
    """All that a plate covers of the panel's face, about its centre; None where it has no rim."""
    if not hole.rim:
        return None
    if hole.width is None:
        return Shape(0.0, 0.0, 0.0, 0.0, hole.diameter / 2 + hole.rim)
    half_x, half_y = (side / 2 + hole.rim - hole.radius for side in (hole.width, hole.height))
    return Shape(0.0, 0.0, half_x, half_y, hole.radius)


def circle_screws(count, circle, turn=0.0):
    """Places of screws evenly on a circle about (0, 0), the topmost two as far apart as all. [m]

    Parameters
    ----------
    count : int
    circle : float or None
        Its diameter. [m]
    turn : float
        To the right. [rad]
    """
    if not count or circle is None:
        return ()
    turns = [turn + 2 * pi * (n + 0.5) / count for n in range(count)]
    return tuple((circle / 2 * sin(t), circle / 2 * cos(t)) for t in turns)


def plate_screws(hole):
    """Places of a plate's screws about its centre, in the middle of its rim. [m]

    Notes
    -----
    Of a rectangle, two stand at the middles of its sides, four at its corners, six also at the middles of
    its longer sides, eight at those of all (common practice, no source: the plate itself decides).
    """
    if hole.width is None:
        return circle_screws(hole.screws, hole.diameter + hole.rim)
    x, y = (hole.width + hole.rim) / 2, (hole.height + hole.rim) / 2
    sides, ends = ((-x, 0.0), (x, 0.0)), ((0.0, y), (0.0, -y))
    if hole.width > hole.height:
        long, short = ends, sides
    else:
        long, short = sides, ends
    corners = ((-x, -y), (x, -y), (x, y), (-x, y))
    return {0: (), 2: sides, 4: corners, 6: corners + long, 8: corners + long + short}[hole.screws]


def opened(hole):
    """Area of a hole. [m²]"""
    if hole.width is None:
        return pi / 4 * hole.diameter**2
    return hole.width * hole.height - (4 - pi) * hole.radius**2


def cup_air(hole, behind):
    """Air that a cup takes inside, `behind` [m] the face on which it lies; nothing of a flat plate. [m³]"""
    return opened(hole) * max(0.0, hole.depth - behind)
