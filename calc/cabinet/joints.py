"""How the six panels meet: the twelve edges, which corners can be cut, and the usual constructions.

At each edge one panel runs through (`into`) and the other ends against its face (depth 0, a butt) or
inside it (a rabbet), or both are mitred. An edge is anything with `.into`, `.depth` [m] and `.mitre`.
"""

from dataclasses import dataclass
from functools import cache
from itertools import combinations, product

from calc.errors import InputError

FACES = {
    "front": (1, 0), "back": (1, 1), "left": (0, 0), "right": (0, 1), "top": (2, 1), "bottom": (2, 0),
}  # fmt: skip
"""Axis across each panel (0 is x, 1 is y, 2 is z) and its end of that axis: 0 is the low one."""

PANELS = tuple(FACES)
EDGES = tuple(f"{a}-{b}" for a, b in combinations(PANELS, 2) if FACES[a][0] != FACES[b][0])
CORNERS = tuple(product(("front", "back"), ("left", "right"), ("top", "bottom")))


@cache
def edge_between(a, b):
    """Name of the edge at which the panels `a` and `b` meet."""
    return f"{a}-{b}" if PANELS.index(a) < PANELS.index(b) else f"{b}-{a}"


@cache
def neighbours(panel):
    """The four panels that meet `panel`."""
    return tuple(other for other in PANELS if FACES[other][0] != FACES[panel][0])


def mitred(edges, a, b):
    """Tell whether the panels `a` and `b` meet in a mitre."""
    return edges[edge_between(a, b)].mitre


def runs_over(edges, a, b):
    """Tell whether the panel `a` runs through where it meets `b`."""
    return edges[edge_between(a, b)].into == a


def joint_faults(thicknesses, edges):
    """Every joint that cannot be cut, as a list of `InputError` at ``edges.<edge>...``.

    Parameters
    ----------
    thicknesses : dict of str to float
        Thickness of each panel. [m]
    edges : dict of str to Edge-like
        The joint at each of the twelve edges.

    Notes
    -----
    Three square joints meet in a corner without a hole if one panel runs over both others and one of
    those over the last. Where each runs over the next in a ring, nothing fills the outermost part.
    A mitre needs its two panels to meet the third one alike; two mitres need a third.
    """
    faults = [
        InputError(f"edges.{name}", "is not one of the twelve edges") for name in edges if name not in EDGES
    ]
    faults += [InputError(f"edges.{name}", "is needed") for name in EDGES if name not in edges]
    if not faults:
        faults += [fault for name in EDGES for fault in _edge_faults(name, edges[name], thicknesses)]
    if not faults:
        faults += [fault for corner in CORNERS for fault in _corner_faults(corner, edges)]
    return faults


def _edge_faults(name, edge, thicknesses):
    if edge.mitre == (edge.into is not None):
        yield InputError(f"edges.{name}.into", "name the panel that runs through, or choose a mitre")
    elif edge.into is not None and edge.into not in name.split("-"):
        yield InputError(f"edges.{name}.into", "must be one of the edge's own two panels")
    elif not 0 <= edge.depth < float("inf"):
        yield InputError(f"edges.{name}.depth", "must be zero or a number above it")
    elif edge.mitre and edge.depth:
        yield InputError(f"edges.{name}.depth", "must be zero: at a mitre neither panel goes into the other")
    elif not edge.mitre and edge.depth >= thicknesses[edge.into]:
        yield InputError(f"edges.{name}.depth", f"must be less than the thickness of the {edge.into} panel")


def _corner_faults(corner, edges):
    words = " ".join((*corner, "corner"))
    names = [edge_between(a, b) for a, b in combinations(corner, 2)]
    mitres = [name for name in names if edges[name].mitre]
    square = [name for name in names if not edges[name].mitre]
    if not mitres and len({edges[name].into for name in names}) == 3:
        yield InputError(
            f"edges.{names[0]}.into",
            f"each panel runs over the next in a ring at the {words}, which leaves a hole there: "
            "let one panel run over both others",
        )
    if len(mitres) == 1:
        (third,) = set(corner) - set(mitres[0].split("-"))
        if len({edges[name].into == third for name in square}) == 2:
            yield InputError(
                f"edges.{square[0]}.into",
                f"at the {words} the {third} panel must run over both mitred panels, or both over it",
            )
    if len(mitres) == 2:
        yield InputError(
            f"edges.{square[0]}.into",
            f"two mitres and a square joint cannot meet at the {words}: mitre all three, or only one",
        )


@dataclass(frozen=True)
class Construction:
    """A usual way to join a whole cabinet: its `name`, one sentence of `words`, and the twelve `edges`.

    Each edge is plain data: ``{"into": panel or None, "depth": metres, "mitre": bool}``.
    """

    name: str
    words: str
    edges: dict


def _into(panel, depth=0.0):
    return {"into": panel, "depth": depth, "mitre": False}


def _mitre():
    return {"into": None, "depth": 0.0, "mitre": True}


def _edge_set(sides, front, back):
    """Twelve edges: `sides` gives the joint of a side with top or bottom, the others theirs with all four."""
    walls = ("left", "right", "top", "bottom")
    edges = {f"front-{wall}": front(wall) for wall in walls} | {f"back-{wall}": back(wall) for wall in walls}
    return edges | {f"{side}-{end}": sides(side) for side in walls[:2] for end in walls[2:]}


def all_butt():
    """Edges of the plainest box: top and bottom between the sides, back inside, front over all."""
    return _edge_set(_into, front=lambda wall: _into("front"), back=_into)


def covered():
    """Edges of a ring of sides, top and bottom, butted, with front and back laid over both its ends."""
    return _edge_set(_into, front=lambda wall: _into("front"), back=lambda wall: _into("back"))


def rabbeted(depth, back_depth):
    """Edges with top and bottom `depth` [m] into the sides, the back `back_depth` [m] into all four."""
    return _edge_set(
        lambda side: _into(side, depth),
        front=lambda wall: _into("front"),
        back=lambda wall: _into(wall, back_depth),
    )


def mitred_carcass(back_depth):
    """Edges with sides, top and bottom mitred, the back `back_depth` [m] into them, the front over all."""
    return _edge_set(
        lambda side: _mitre(), front=lambda wall: _into("front"), back=lambda wall: _into(wall, back_depth)
    )


def all_mitred():
    """Edges with every joint mitred: no panel shows its edge anywhere."""
    return _edge_set(lambda side: _mitre(), front=lambda wall: _mitre(), back=lambda wall: _mitre())


def constructions(thicknesses):
    """The usual constructions for panels of these `thicknesses` [m], rabbets half as deep as the wood."""
    side = min(thicknesses["left"], thicknesses["right"]) / 2
    wall = min(thicknesses[name] for name in ("left", "right", "top", "bottom")) / 2
    return (
        Construction(
            "Butted", "Top, bottom and back sit between the sides; the front covers all.", all_butt()
        ),
        Construction("Butted ring", "Front and back both cover a ring of sides, top and bottom.", covered()),
        Construction(
            "Rabbeted",
            "Top and bottom lie in rabbets of the sides, the back in one all round; the front covers all.",
            rabbeted(side, wall),
        ),
        Construction(
            "Mitred carcass",
            "Sides, top and bottom meet in mitres, the back lies in a rabbet; the front covers all.",
            mitred_carcass(wall),
        ),
        Construction("All mitred", "Every edge is mitred, so that no end grain shows.", all_mitred()),
    )
