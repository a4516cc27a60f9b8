"""The parts of a cabinet as surfaces: panels with their joints and openings, braces with their windows."""

from dataclasses import replace
from math import cos, pi, sin

from calc.cabinet.brace_places import NORMAL
from calc.cabinet.polyhedra import clipped
from server.drawings.surfaces import block, faces_of, prism, surface

CORNERS = 32
"""Of a circle, where a hole is sawn out of a body."""


def panel_surface(carcass, name, openings=()):
    """The `Surface` of a panel with its joints, and what is open in it."""
    return _sawn(carcass, carcass.panels[name], name, openings)


def layer_surface(carcass, name, openings=(), braces=()):
    """The `Surface` of a skin or a lining, with what is open in it as in its panel.

    A lining stops at the `braces`, which go through it to their panel.
    """
    solid = carcass.layers[name]
    through = [block(brace.low, brace.high) for brace in braces] if solid.place == "inside" else []
    return _sawn(carcass, solid, solid.panel, openings, through)


def _sawn(carcass, solid, panel, openings, gaps=()):
    gaps = [*gaps, *(faces_of(cut.body) for cut in solid.cuts)]
    ends = depths(carcass, panel) if openings else None
    for o in openings:
        gaps += bores(o, carcass.facing(panel).at, *ends)
    return surface(faces_of(clipped(solid.body, *carcass.rounded)), tuple(gaps))


def depths(carcass, panel):
    """From where to where the wood of a panel reaches, with its skins and linings: below its own face. [m]"""
    layers = [layer for layer in carcass.layers.values() if layer.panel == panel]
    out = sum(layer.thickness + layer.soft for layer in layers if layer.place == "outside")
    within = sum(layer.thickness + layer.soft for layer in layers if layer.place == "inside")
    return 0.0 - out, carcass.panels[panel].thickness + within


def brace_surface(solid, openings=(), above=True):
    """The `Surface` of a brace with its window and slots, and the seats in it."""
    gaps = [block(cut.low, cut.high) for cut in solid.cuts]
    for low, high, radius in solid.windows:
        gaps.append(_across(rounded_corners(*low, *high, radius), solid, NORMAL[solid.kind]))
    top, down = (solid.high[2], -1) if above else (solid.low[2], 1)
    for o in openings:
        gaps += bores(o, lambda x, y, depth: (x, y, top + down * depth), 0.0, solid.thickness)
    return surface(_rod(solid) if solid.kind == "dowel" else faces_of(solid.body), tuple(gaps))


def _rod(solid):
    """The faces of a dowel; where its front end meets a front that leans back it is drawn square."""
    u, v = (axis for axis in range(3) if axis != solid.axis)
    middle = [(a + b) / 2 for a, b in zip(solid.low, solid.high, strict=True)]
    return _across(circle(middle[u], middle[v], solid.width / 2), solid, solid.axis)


def _across(ring, solid, axis):
    """The prism over a ring in the plane across an axis, as long as the solid reaches along it."""
    base = [(*point[:axis], solid.low[axis], *point[axis:]) for point in ring]
    return prism(base, tuple(solid.high[n] - solid.low[n] if n == axis else 0.0 for n in range(3)))


def upright(carcass, name):
    """A panel as a `PanelSolid` that stands upright: that of a front which leans back is set up straight."""
    solid = carcass.panels[name]
    if name != "front" or not carcass.slope:
        return solid
    face = carcass.facing(name)

    def stood(body):
        places = (face.of(corner) for corner in body.corners)
        return replace(body, corners=tuple((x, depth, y) for x, y, depth in places))

    body, cuts = stood(solid.body), []
    for cut in solid.cuts:
        stands = stood(cut.body)
        cuts.append(cut._replace(body=stands, low=stands.low, high=stands.high))
    return replace(solid, body=body, low=body.low, high=body.high, cuts=tuple(cuts))


def air_surface(carcass):
    """The `Surface` of the inside, wall to wall."""
    return surface(faces_of(carcass.air))


def bores(opening, at, start, end):
    """What an opening takes from the wood between two depths; `at` (x, y, depth) is their place."""
    gaps = [bored(opening_rim(opening), at, start, end)]
    if opening.recess:
        gaps.append(bored(recess_rim(opening), at, start, min(start + opening.recess[1], end)))
    return gaps


def bored(rim, at, start, end):
    """The body over the outline `rim` from one depth to another. [m]"""
    base, far = at(*rim[0], start), at(*rim[0], end)
    run = tuple(b - a for a, b in zip(base, far, strict=True))
    return prism([at(x, y, start) for x, y in rim], run)


def opening_rim(opening):
    """Corners (x, y) of an opening's outline. [m]"""
    if opening.round:
        return circle(opening.x, opening.y, opening.width / 2)
    half_x, half_y = opening.width / 2, opening.height / 2
    x, y = opening.x, opening.y
    return rounded_corners(x - half_x, y - half_y, x + half_x, y + half_y, opening.corner)


def recess_rim(opening):
    """Corners (x, y) of the outline of its recess. [m]"""
    if opening.rim is not None:
        return opening.rim.corners()
    return circle(opening.x, opening.y, opening.recess[0] / 2)


def circle(x, y, radius):
    """Corners of a circle."""
    turns = [2 * pi * n / CORNERS for n in range(CORNERS)]
    return [(x + radius * cos(turn), y + radius * sin(turn)) for turn in turns]


def rounded_corners(u0, v0, u1, v1, radius):
    """Corners of a rectangle, each rounded one as five points."""
    r = min(radius, (u1 - u0) / 2, (v1 - v0) / 2)
    if r <= 0:
        return [(u0, v0), (u1, v0), (u1, v1), (u0, v1)]
    middles = ((u1 - r, v0 + r), (u1 - r, v1 - r), (u0 + r, v1 - r), (u0 + r, v0 + r))
    return [
        (u + r * sin(pi / 2 * (n + k / 4)), v - r * cos(pi / 2 * (n + k / 4)))
        for n, (u, v) in enumerate(middles)
        for k in range(5)
    ]
