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
        With panel, x, y, width, height. [m]

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
        here = {_place((each.x, each.y), (each.width or 0.0, each.height or 0.0)) for each in holes}
        there = {_place((width - each.x, each.y), (each.width or 0.0, each.height or 0.0)) for each in holes}
        if image != {_place(cut.low, cut.high) for cut in mate.cuts} or here != there:
            names.append(name)
    return tuple(names)


def _place(*corners):
    return tuple(round(value / NEAR) for corner in corners for value in corner)
