"""The cabinet as a body that the browser can turn: one mesh for each part, with its sawn edges inked.

Colours are the names of the sheet's tokens, as in `server.figures`. Lengths in the figure are millimetres.
"""

from math import cos, dist, pi, prod, sin

import orjson
import plotly.graph_objects as go

from server.drawings.shapes import FACING, mitre_lines, solid_faces, window_corners

VIEWS = {
    "front": ("From the front", (0.53, -0.77, 0.35)),
    "behind": ("From behind", (0.53, 0.77, 0.35)),
    "below": ("From below", (-0.5, -0.69, -0.52)),
}
"""Where the eye stands at first: words, and its direction from the middle, x right, y back, z up."""

FAR = 2.05
"""How far the eye stands off, in radii of a ball round the cabinet: all of it is in sight from anywhere."""

SHADE = ((0.45, 0.3), (0.7, 0.6), (0.0, 1.0))
"""How light a face is that looks along each axis, (backwards, forwards): from full shade 0 to 1."""

WOOD = ((0, "var(--hair)"), (1, "var(--wood)"))
FLAT = {"ambient": 1, "diffuse": 0, "specular": 0, "roughness": 1, "fresnel": 0}
DARK = FLAT | {"ambient": 0.26}
"""An opening is wood that hardly any light reaches, so that it is dark on paper of either colour."""

LIFT = 4e-4
"""How far an opening's disc lies off its panel, so that it is seen. [m]"""


def turned(result, *, openings=None, write=None, apart=False, view="front"):
    """The cabinet as a plotly figure.

    Parameters
    ----------
    result : calc.result.Result
    openings : dict of lists of server.drawings.openings.Opening
        Those of ``front``, ``back`` and of shelves that drivers sit in.
    write : callable or None
        Writes a length [m] as text with its unit; millimetres where None.
    apart : bool
        Whether the panels stand away from each other, so that their joints show.
    view : str
        Name of one of `VIEWS`.

    Returns
    -------
    figure : str
        JSON for plotly.js.
    """
    write = write or (lambda metres: f"{metres * 1000:.1f} mm")
    cabinet = result.cabinet
    letters = {name: row.label for row in result.cut_list for name in row.names}
    moves = _moves(cabinet.carcass) if apart else {}
    traces = []
    for name, solid in {**cabinet.carcass.panels, **cabinet.braces}.items():
        words = f"<b>{letters[name]}</b> {name.capitalize()}<br>{measures(solid, write)}"
        traces += _part(name, words, faces(cabinet, name), moves.get(name, (0, 0, 0)))
        if name in (openings or {}):
            traces += _openings(name, solid, openings[name], write, moves.get(name, (0, 0, 0)))
    hidden = {"visible": False, "showspikes": False}
    scene = {
        "aspectmode": "data",
        "dragmode": "orbit",  # a turntable overshoots where frames come slowly
        "bgcolor": "rgba(0,0,0,0)",
        "camera": {
            "eye": _eye(traces, VIEWS[view][1]),
            "up": {"x": 0, "y": 0, "z": 1},
            "projection": {"type": "orthographic"},
        },
        **dict.fromkeys(("xaxis", "yaxis", "zaxis"), hidden),
    }
    layout = {
        "scene": scene,
        "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
        "hovermode": "closest",
        "template": {},  # the page brings its own
    }
    figure = go.Figure({"data": traces, "layout": layout}, _validate=False)
    return orjson.dumps(figure.to_plotly_json()).decode()


def measures(solid, write):
    """A blank's length, width and thickness in words."""
    return " × ".join(write(side) for side in (solid.length, solid.width, solid.thickness))


def faces(cabinet, name):
    """The `SolidFace`s of a panel with its rabbets, grooves and mitres, or of a brace.

    A brace's window is square here: what its corner radius leaves standing is left out.
    """
    if name in cabinet.carcass.panels:
        solid, mitres = cabinet.carcass.panels[name], mitre_lines(cabinet.carcass, name)
    else:
        solid, mitres = cabinet.braces[name], ()
    cuts = [(cut.low, cut.high) for cut in solid.cuts]
    if getattr(solid, "window", None) is not None:
        (u0, v0), (u1, v1) = window_corners(solid)
        if solid.kind == "shelf":
            cuts.append(((u0, v0, solid.low[2]), (u1, v1, solid.high[2])))
        else:
            cuts.append(((solid.low[0], u0, v0), (solid.high[0], u1, v1)))
    return solid_faces(solid.low, solid.high, tuple(cuts), mitres)


def triangles(face):
    """The triangles of a `SolidFace`, their corners anticlockwise as seen from outside."""
    for piece in face.pieces:
        for b, c in zip(piece[1:-1], piece[2:], strict=True):
            turns = sum(n * t for n, t in zip(face.normal, _normal(piece[0], b, c), strict=True))
            yield (piece[0], b, c) if turns > 0 else (piece[0], c, b)


def _normal(a, b, c):
    (x1, y1, z1), (x2, y2, z2) = ([q - p for p, q in zip(a, end, strict=True)] for end in (b, c))
    return y1 * z2 - z1 * y2, z1 * x2 - x1 * z2, x1 * y2 - y1 * x2


def _eye(traces, direction):
    """Place of the camera. Plotly measures it in the geometric mean of the figure's three extents."""
    points = [p for t in traces if t["type"] == "mesh3d" for p in zip(t["x"], t["y"], t["z"], strict=True)]
    ends = [(min(values), max(values)) for values in zip(*points, strict=True)]
    middle = [(low + high) / 2 for low, high in ends]
    away = FAR * max(dist(middle, p) for p in points) / prod(high - low for low, high in ends) ** (1 / 3)
    return {axis: round(share * away, 3) for axis, share in zip("xyz", direction, strict=True)}


def _moves(carcass):
    """How far each panel stands off, outwards along its own normal. [m]"""
    step = 0.3 * max(carcass.outer)
    return {name: tuple(side * step * (a == axis) for a in range(3)) for name, (axis, side) in FACING.items()}


def _part(name, words, faces, move):
    """One part: its mesh, and its edges inked."""
    corners = [(triangle, _light(face.normal)) for face in faces for triangle in triangles(face)]
    strokes = [stroke for face in faces for stroke in face.strokes]
    mesh = _mesh(name, words, [triangle for triangle, _ in corners], move)
    shade = {
        "intensity": [light for _, light in corners],
        "intensitymode": "cell",
        "colorscale": WOOD,
        "cmin": 0,
        "cmax": 1,
        "showscale": False,
        "lighting": FLAT,
    }
    return [mesh | shade, _lines(f"{name}, edges", strokes, move)]


def _light(normal):
    """How light a face is; that of a slanted one lies between those of its neighbours."""
    length = sum(n * n for n in normal)
    return round(sum(n * n * light[n > 0] for n, light in zip(normal, SHADE, strict=True)) / length, 3)


def _openings(name, solid, openings, write, move):
    """What is open in a panel or a shelf: a dark disc on either face, a recess as a ring."""
    axis = 1 if name in FACING else 2
    outer, inner = (
        (solid.low[axis], solid.high[axis]) if name == "front" else (solid.high[axis], solid.low[axis])
    )
    out = LIFT if outer > inner else -LIFT
    corners, rings, told = [], [], []

    def at(places, depth):
        return [(u, depth, v) if axis == 1 else (u, v, depth) for u, v in places]

    for each in openings:
        for depth in (outer + out, inner - out):
            ring = at(_rim(each), depth)
            corners += [(ring[0], b, c) for b, c in zip(ring[1:-1], ring[2:], strict=True)]
            rings.append(ring)
        if each.recess:
            rings.append(at(_circle(each.x, each.y, each.recess[0] / 2), outer + out))
        size = write(each.width) if each.round else f"{write(each.width)} × {write(each.height)}"
        told.append(f"{each.name.capitalize()}, {size}")
    words = f"Open in the {name}<br>" + "<br>".join(told)
    if not corners:
        return []
    title = f"openings in the {name}"
    mesh = _mesh(title, words, corners, move)
    return [mesh | {"color": "var(--wood)", "lighting": DARK}, _lines(f"{title}, edges", rings, move)]


def _rim(opening):
    """An opening's outline (x, z), closed. [m]"""
    if opening.round:
        return _circle(opening.x, opening.y, opening.width / 2)
    half_x, half_y = opening.width / 2, opening.height / 2
    turns = ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))
    return [(opening.x + a * half_x, opening.y + b * half_y) for a, b in turns]


def _circle(x, y, radius, steps=48):
    return [
        (x + radius * cos(2 * pi * n / steps), y + radius * sin(2 * pi * n / steps)) for n in range(steps + 1)
    ]


def _mesh(name, words, corners, move):
    """A mesh3d trace of triangles; corners that several share are sent once."""
    index = {}
    sides = [[index.setdefault(_placed(point, move), len(index)) for point in each] for each in corners]
    x, y, z = zip(*index, strict=True)
    i, j, k = zip(*sides, strict=True)
    return {
        "type": "mesh3d",
        "name": name,
        "text": words,
        "hoverinfo": "text",
        "flatshading": True,
        **dict(zip("xyzijk", (x, y, z, i, j, k), strict=True)),
    }


def _lines(name, strokes, move):
    """A scatter3d trace of strokes, with a gap after each."""
    places = [place for stroke in strokes for place in [*(_placed(p, move) for p in stroke), (None,) * 3]]
    x, y, z = zip(*places, strict=True)
    return {
        "type": "scatter3d",
        "mode": "lines",
        "name": name,
        "hoverinfo": "skip",
        "line": {"color": "var(--ink)", "width": 3},
        **dict(zip("xyz", (x, y, z), strict=True)),
    }


def _placed(point, move):
    """A point where the figure shows it, to a hundredth. [mm]"""
    return tuple(round(1000 * (a + b), 2) for a, b in zip(point, move, strict=True))
