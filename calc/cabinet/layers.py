"""What is glued onto the panels: skins over the finished carcass, linings cut to its clear inside.

Each skin covers the whole face as it stands, the edges of earlier skins with it. Linings that meet in a
corner are cut one after the other, so that the later is the shorter. Boards that are laminated before they
are cut are no layers here: they are thickness of their panel.
"""

from dataclasses import dataclass, replace
from math import asin, cos, degrees, radians, tan

from calc.cabinet.joint_facts import Fact
from calc.cabinet.joints import PANELS, edge_between, neighbours
from calc.cabinet.panels import weighed
from calc.cabinet.polyhedra import Convex, block, clipped, common, hull, sums, taken
from calc.errors import InputError

SOFT = 1100.0
"""Density of a soft layer: rubbery glue or damping sheet (common practice, no source). [kg/m³]"""

_HAIR = 1e-9


@dataclass(frozen=True)
class LayerSolid:
    """One layer as it is glued on; what is named as in a `PanelSolid` means the same.

    panel, place, later : as decided. soft : thickness of the soft layer between it and the panel [m].
    thickness : of its sheet, without the soft layer [m].
    volume, mass : with the soft layer [m³], [kg]. What braces take of a lining is left out.
    """

    name: str
    panel: str
    place: str
    later: bool
    soft: float
    length: float
    width: float
    thickness: float
    density: float
    low: tuple
    high: tuple
    bevels: dict
    outline: tuple
    body: Convex
    sums: dict
    volume: float
    mass: float
    centroid: tuple
    cuts: tuple = ()


def growth(layers, slope):
    """By how much skins make the outside wider, higher and deeper (at the floor). [m]

    `layers` is {name: (Layer-like, thickness [m], density [kg/m³])}.
    """
    grown = growth_of(layers)
    lean = radians(slope)
    deep = grown["back"] + grown["front"] / cos(lean) + grown["bottom"] * tan(lean)
    return grown["left"] + grown["right"], grown["top"] + grown["bottom"], deep


def within_skins(size, layers, slope):
    """What is left of a finished outer (width, height, depth) for the carcass under its skins. [m]

    Raises
    ------
    InputError
        At ``size.*``, if nothing is left.
    """
    left = tuple(outer - by for outer, by in zip(size, growth(layers, slope), strict=True))
    for side, each in zip(("width", "height", "depth"), left, strict=True):
        if each <= 0:
            raise InputError(f"size.{side}", "must leave room for the skins and a carcass in them")
    return left


def lined(walls, layers, braces=()):
    """What linings take from the air between `walls`, beside `braces`: {name: volume [m³]}.

    Raises
    ------
    InputError
        At ``layers.<name>.sheet``, where no room is left for one.
    """
    return {name: lining_volume(body, braces) for name, body in lining_bodies(walls, layers).items()}


def lining_volume(body, braces):
    """Volume of a lining, or of a part of one, beside `braces`. [m³]"""
    return taken(sums(body), *_around(body, braces))[0]


def layered(box, layers, braces=()):
    """The `Carcass` with its skins and linings.

    Parameters
    ----------
    box : Carcass
        Without layers.
    layers : dict of str to (Layer-like, float, float)
        The decision, its sheet's thickness [m] and density [kg/m³], in the order of gluing.
    braces : iterable of BraceSolid-like
        What linings are cut out around.
    """
    bodies = _skins(box.walls, layers) | lining_bodies(box.walls, layers)
    solids = {
        name: _layer(name, *layers[name], bodies[name], box, braces) for name in layers if name in bodies
    }
    solids = {name: solids[name] for name in layers if name in solids}
    more = growth(layers, box.slope)
    finished = tuple(size + by for size, by in zip(box.outer, more, strict=True))
    facts = (*box.facts, *_over_a_lid(box, solids))
    return replace(box, layers=solids, finished=finished, facts=facts)


def _over_a_lid(box, solids):
    """Skins that cover the joint of a panel that comes off."""
    if box.gasket is None:
        return
    lid = box.gasket.panel
    covered = {mate for mate in neighbours(lid) if box.walls.edges[edge_between(lid, mate)].into == lid}
    for name, solid in solids.items():
        if solid.place == "outside" and solid.panel in covered:
            yield Fact(
                f"layers.{name}.panel",
                f"“{name}” covers the edge of the {lid}, which comes off: cut it through at that joint.",
            )


def _thick(layer, thickness):
    return thickness + (layer.soft or 0.0)


def growth_of(layers):
    """By how much skins bring each face out: {panel: thickness [m]}."""
    grown = dict.fromkeys(PANELS, 0.0)
    for layer, t, _ in layers.values():
        if layer.place == "outside":
            grown[layer.panel] += _thick(layer, t)
    return grown


def _skins(walls, layers):
    """The body of each skin: its slab as far as the faces beside it reach by then."""
    far = 1.0 + 2 * sum(_thick(layer, t) for layer, t, _ in layers.values())
    around = block((-far,) * 3, tuple(size + far for size in walls.outer))
    grown, bodies = dict.fromkeys(PANELS, 0.0), {}
    for name, (layer, t, _) in layers.items():
        if layer.place != "outside":
            continue
        at = grown[layer.panel]
        grown[layer.panel] += _thick(layer, t)
        bodies[name] = clipped(
            around,
            walls.plane(layer.panel, -grown[layer.panel]),
            walls.plane(layer.panel, -at).turned(),
            *(walls.plane(mate, -grown[mate]) for mate in neighbours(layer.panel)),
        )
    return bodies


def lining_bodies(walls, layers):
    """The body of each lining, by name: a slab off what the earlier ones leave of the air.

    Raises
    ------
    InputError
        At ``layers.<name>.sheet``, where no room is left for one.
    """
    left, depth, bodies = walls.air, dict(walls.thicknesses), {}
    for name, (layer, t, _) in layers.items():
        if layer.place != "inside":
            continue
        depth[layer.panel] += _thick(layer, t)
        inner = walls.plane(layer.panel, depth[layer.panel])
        bodies[name], left = clipped(left, inner.turned()), clipped(left, inner)
        if bodies[name] is None or left is None:
            raise InputError(f"layers.{name}.sheet", "leaves no room inside: it is thicker than the box")
    return bodies


def _layer(name, layer, t, density, body, box, braces):
    face = box.facing(layer.panel)
    placed = [face.of(corner) for corner in body.corners]
    width, length = (max(p[k] for p in placed) - min(p[k] for p in placed) for k in (0, 1))
    whole = sums(body)
    if layer.place == "inside":
        whole = taken(whole, *_around(body, braces))
    return LayerSolid(
        name=name, panel=layer.panel, place=layer.place, later=layer.later, soft=layer.soft or 0.0,
        length=length, width=width, thickness=t, density=density, low=body.low, high=body.high,
        bevels=_bevels(layer.panel, box), outline=hull((x, y) for x, y, _ in placed), body=body,
        sums={"length": (length, ()), "width": (width, ())},
        **weighed(whole, (density * t + SOFT * (layer.soft or 0.0)) / _thick(layer, t)),
    )  # fmt: skip


def _around(body, braces):
    """Sums of what braces take of a lining; where two cross, it is taken once."""
    bites = [bite for each in braces if (bite := common(body, block(each.low, each.high))) is not None]
    twice = [sums(common(a, b)) for n, a in enumerate(bites) for b in bites[n + 1 :]]
    return [*map(sums, bites), *(tuple(-part for part in both) for both in twice)]


def _bevels(panel, box):
    """{edge: how far its cut is from square [deg]} where faces do not meet square."""
    inward, bevels = box.facing(panel).inward, {}
    for mate in neighbours(panel):
        aslant = abs(sum(a * b for a, b in zip(inward, box.facing(mate).inward, strict=True)))
        if aslant > _HAIR:
            bevels[edge_between(panel, mate)] = degrees(asin(aslant))
    return bevels


def extent(box):
    """(low, high) corners (x, y, z) of the finished outside, skins included. [m]"""
    width, height, depth = box.outer
    skins = [each for each in box.layers.values() if each.place == "outside"]
    lows = [(0.0, 0.0, 0.0), *(each.low for each in skins)]
    highs = [(width, depth, height), *(each.high for each in skins)]
    return tuple(map(min, zip(*lows, strict=True))), tuple(map(max, zip(*highs, strict=True)))
