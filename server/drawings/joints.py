"""A joint cut open, large: how the panel that goes in meets the one that runs through."""

from math import atan2, degrees

from server.drawings.plate import Plate

WIDTH, HEIGHT = 320, 176
WORDS = {"butt": "Butt", "rabbet": "Rabbet", "groove": "Groove", "mitre": "Mitre"}


def joint(thickness_a, thickness_b, edge, write, *, groove=False, name="joint"):
    """Draw one joint in section; its two panels to scale with each other.

    Parameters
    ----------
    thickness_a, thickness_b : float
        Of the panel that runs through, and of the one that meets it. [m]
    edge : calc.project.Edge
        `depth` [m] and `mitre`.
    write : callable
        Writes a length [m] as text.
    groove : bool
        The panel meets the other away from its end, as a brace does.
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    kind = "mitre" if edge.mitre else "groove" if groove else "rabbet" if edge.depth > 0 else "butt"
    plate = Plate(name, WIDTH, HEIGHT)
    scale = 78 / max(thickness_a, thickness_b)
    a, b, d = thickness_a * scale, thickness_b * scale, edge.depth * scale
    if kind == "mitre":
        _mitre(plate, a, b)
    else:
        _square(plate, a, b, d, kind)
        _depth(plate, a, b, d, kind, write(edge.depth))
    return plate.finished(f"{WORDS[kind]}, in section{_sizes(kind, edge, thickness_a, thickness_b, write)}.")


def _square(plate, a, b, d, kind):
    """The upright panel at the left, the level one in it or against it."""
    left, inner, top = 40, 40 + a, 24
    shoulder = 34 if kind == "groove" else top
    low = shoulder + b
    if kind == "butt":
        plate.rect("cutface", left, top, inner, 150, "bigv")
        plate.rect("cutface", inner, top, 262, top + b, "bigh")
        return
    outline = [(left, 150), (left, 10 if kind == "groove" else top)]
    if kind == "groove":
        outline += [(inner, 10), (inner, shoulder), (inner - d, shoulder)]
    else:
        outline += [(inner - d, top)]
    outline += [(inner - d, low), (inner, low), (inner, 150)]
    plate.polygon("cutface", outline, "bigv")
    plate.rect("cutface", inner - d, shoulder, 262, low, "bigh")


def _depth(plate, a, b, d, kind, words):
    inner, low = 40 + a, (34 if kind == "groove" else 24) + b
    if kind == "butt":
        plate.line("tick", (inner, 14), (inner, low + 10))
        plate.text(inner + 14, low + 30, "glued face to edge")
        return
    level = 162
    plate.line("dim", (inner - d, low + 4), (inner - d, level + 8))
    plate.line("dim", (inner, 152), (inner, level + 8))
    plate.line("dim", (inner - d - 8, level), (inner + 34, level))
    plate.tick(inner - d, level)
    plate.tick(inner, level)
    plate.text(inner + 40, level + 6, f"{words} deep", "big")


def _mitre(plate, a, b):
    """Both panels cut from the outer to the inner corner."""
    left, top, inner, low = 40, 24, 40 + a, 24 + b
    plate.polygon("cutface", [(left, top), (inner, low), (inner, 150), (left, 150)], "bigv")
    plate.polygon("cutface", [(left, top), (262, top), (262, low), (inner, low)], "bigh")
    lying, standing = degrees(atan2(a, b)), degrees(atan2(b, a))
    words = "both at 45°" if abs(lying - 45) < 0.05 else f"{lying:.1f}° and {standing:.1f}°"
    plate.line("tick", (left - 8, top - 8 * b / a), (inner + 8, low + 8 * b / a))
    plate.text(inner + 16, low + 32, words, "big")


def _sizes(kind, edge, a, b, write):
    if kind in ("rabbet", "groove"):
        return f": {write(edge.depth)} deep, {write(b)} wide"
    return ""
