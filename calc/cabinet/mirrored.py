"""A mirrored pair: what stands off the middle in the left cabinet stands off the other way in the right."""

NEAR = 1e-6  # m; nearer than this, two places are one


def other_side(width, x):
    """Where a place `x` from the outer left lies in the mirrored cabinet, from its outer left too. [m]"""
    return width - x


def handed(carcass, openings):
    """Names of the panels that the right cabinet of a mirrored pair needs as mirror images.

    Parameters
    ----------
    carcass : Carcass-like
        With `outer` and `panels`, whose `cuts` have corners low and high.
    openings : iterable of Opening-like
        With panel, x, y, width, height, edge. [m]

    Returns
    -------
    tuple of str
        None of them where the cabinet is its own mirror image.

    Notes
    -----
    The left side of one cabinet is the right side of the other: its rabbets and grooves are held against
    those of the other side. A panel whose cuts and openings are their own images can be cut twice alike.
    """
    width = carcass.outer[0]
    names = []
    for name, panel in carcass.panels.items():
        mate = carcass.panels[{"left": "right", "right": "left"}.get(name, name)]
        image = {_place((width - c.high[0], *c.low[1:]), (width - c.low[0], *c.high[1:])) for c in panel.cuts}
        holes = [each for each in openings if each.panel == name]
        here = {_opening(each) for each in holes}
        there = {_opening(each, width) for each in holes}
        if image != {_place(cut.low, cut.high) for cut in mate.cuts} or here != there:
            names.append(name)
    return tuple(names)


def _opening(each, width=None):
    """What tells an opening, or its image in a cabinet of a `width`; a turned flange by its corners."""
    x, side = (each.x, 1) if width is None else (width - each.x, -1)
    corners = each.edge.corners() if each.edge else ()
    edge = frozenset(_place((side * across, up)) for across, up in corners)
    return _place((x, each.y), (each.width or 0.0, each.height or 0.0)), edge


def _place(*corners):
    return tuple(round(value / NEAR) for corner in corners for value in corner)
