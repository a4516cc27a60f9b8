"""The cabinet as a body that the browser can turn: one mesh for each part, with its sharp edges inked.

Colours are the names of the sheet's tokens, as in `server.figures`. Lengths in the figure are millimetres.
Each trace says in its `meta` which `part` it draws and by how much it can `move`; static/views.js takes the
cabinet apart by that.
"""

from math import dist, prod

import orjson

from server.drawings.surfaces import triangles

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
IRON = ((0, "var(--hair)"), (1, "var(--leaf)"))
"""Colours of what is sawn and of what is bought, from shade to light."""

FLAT = {"ambient": 1, "diffuse": 0, "specular": 0, "roughness": 1, "fresnel": 0}


def turned(parts, write, plain, *, apart=0.0, view="front"):
    """The cabinet as a plotly figure.

    Parameters
    ----------
    parts : list of server.parts.Part
    write : callable
        Writes a length [m] as text with its unit.
    plain : callable
        Writes it without.
    apart : float
        How far it is taken apart, from 0 to 1.
    view : str
        Name of one of `VIEWS`.

    Returns
    -------
    figure : str
        JSON for plotly.js.
    """
    traces = [trace for part in parts for trace in _part(part, write, plain, apart)]
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
        "uirevision": view,  # how it was turned outlasts being taken apart
        "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
        "hovermode": "closest",
        "template": {},  # the page brings its own
    }
    return orjson.dumps({"data": traces, "layout": layout}).decode()


_ALONG = {"port": "long", "foot": "high", "ring": "thick"}


def measures(part, write, plain):
    """A part's sizes in words; `plain` writes a length without its unit."""
    length, width, depth = part.sizes
    if width is None:
        return f"⌀ {plain(length)}, {write(depth)} {_ALONG.get(part.kind, 'deep')}"
    return f"{plain(length)} × {plain(width)} × {write(depth)}"


def holes(part, write):
    """What is open in a part, in words."""
    return [
        f"{name.capitalize()}, "
        + (f"⌀ {write(width)}" if height is None else f"{write(width)} × {write(height)}")
        for name, width, height in part.open
    ]


def _eye(traces, direction):
    """Place of the camera. Plotly measures it in the geometric mean of the figure's three extents."""
    points = [p for t in traces if t["type"] == "mesh3d" for p in zip(t["x"], t["y"], t["z"], strict=True)]
    ends = [(min(values), max(values)) for values in zip(*points, strict=True)]
    middle = [(low + high) / 2 for low, high in ends]
    away = FAR * max(dist(middle, p) for p in points) / prod(high - low for low, high in ends) ** (1 / 3)
    return {axis: round(share * away, 3) for axis, share in zip("xyz", direction, strict=True)}


def _part(part, write, plain, apart):
    """One part: its mesh, and its edges inked."""
    named = f"<b>{part.letter}</b> {part.title}" if part.letter else part.title
    words = "<br>".join([named, measures(part, write, plain), *holes(part, write)])
    sides = [(list(triangles(face)), _light(face.normal)) for face in part.shape.faces]
    meta = {"part": part.name, "move": [round(1000 * a, 2) for a in part.move]}
    move = tuple(apart * a for a in part.move)
    mesh = _mesh(part.name, words, [each for side, _ in sides for each in side], move)
    shade = {
        "intensity": [light for side, light in sides for _ in side],
        "intensitymode": "cell",
        "colorscale": WOOD if part.letter else IRON,
        "cmin": 0,
        "cmax": 1,
        "showscale": False,
        "lighting": FLAT,
        "meta": meta,
    }
    return [mesh | shade, _lines(f"{part.name}, edges", part.shape.strokes, move) | {"meta": meta}]


def _light(normal):
    """How light a face is; that of a slanted one lies between those of its neighbours."""
    return round(sum(n * n * light[n > 0] for n, light in zip(normal, SHADE, strict=True)), 2)


def _mesh(name, words, corners, move):
    """A mesh3d trace of triangles; corners that several share are sent once."""
    index = {}
    points = dict.fromkeys(point for each in corners for point in each)
    numbers = {point: index.setdefault(_placed(point, move), len(index)) for point in points}
    sides = [[numbers[point] for point in each] for each in corners]
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
    """A point where the figure shows it, to a tenth. [mm]"""
    (x, y, z), (u, v, w) = point, move
    return round(1000 * (x + u), 1), round(1000 * (y + v), 1), round(1000 * (z + w), 1)
