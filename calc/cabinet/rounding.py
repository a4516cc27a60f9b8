"""The front's outer edges rounded or chamfered: what that takes from every solid there, skins too."""

from dataclasses import replace
from math import acos, cos, sin, sqrt, tan

from calc.cabinet.joint_facts import Fact, named
from calc.cabinet.joints import PANELS, mitred
from calc.cabinet.layers import growth_of
from calc.cabinet.panels import weighed
from calc.cabinet.polyhedra import Plane, added, clipped, common, sums, taken
from calc.errors import InputError

FACETS = 4
"""Flat facets that stand for a rounded edge; they take just as much from it as the arc."""

_ALONG = {
    "sides": ("left", "right"),
    "top": ("top",),
    "sides and top": ("left", "right", "top"),
    "all": ("left", "right", "top", "bottom"),
}


def rounded(box, rounding, layers):
    """The `Carcass` with the outer edges of its finished front rounded or chamfered.

    Parameters
    ----------
    box : Carcass
        With its layers and grooves.
    rounding : Rounding-like
        `.size` [m]: radius, or leg of the chamfer on each face; `.kind`, `.along`.
    layers : dict
        As `calc.cabinet.layers.layered` takes them.

    Raises
    ------
    InputError
        At ``rounding.size``, if it would reach the air inside.

    Notes
    -----
    Along one edge the volume is exact: the facets' cross section equals the arc's. Where two rounded edges
    meet in a corner, the facets are off by a few per cent of what the corner itself loses. Blanks, cuts and
    bodies stay as they are before the router comes; volume, mass and centre are those after it.
    """
    planes = edge_planes(box, rounding, layers)
    if clipped(box.air, *planes) is not box.air:
        raise InputError("rounding.size", "reaches the air inside: take it smaller, or the front thicker")
    panels = {name: _left(panel, planes) for name, panel in box.panels.items()}
    solids = {name: _left(layer, planes) for name, layer in box.layers.items()}
    reached = [
        name
        for name in PANELS
        if name != "front"
        and panels[name] is not box.panels[name]
        and not mitred(box.walls.edges, "front", name)
    ]
    facts = (*box.facts, *_through(reached))
    return replace(box, panels=panels, layers=solids, rounded=planes, facts=facts)


def edge_planes(box, rounding, layers):
    """The half-spaces that leave what rounding or chamfering leaves."""
    grown = growth_of(layers)
    front = box.walls.plane("front", -grown["front"])
    planes = []
    for mate in _ALONG[rounding.along]:
        beside = box.walls.plane(mate, -grown[mate])
        shape = _facets if rounding.kind == "round" else _chamfer
        planes += shape(front, beside, rounding.size)
    return tuple(planes)


def _chamfer(one, other, leg):
    """A leg along each face: there lies the other face at the leg times the sine of their angle."""
    turn = _turn(one, other)
    *normal, at = (a + b for a, b in zip(one, other, strict=True))
    long = sqrt(sum(n * n for n in normal))
    return [Plane(*(n / long for n in normal), (at + leg * sin(turn)) / long)]


def _facets(one, other, r):
    """Planes about the arc's axis, all as far from it as makes their cross section the arc's."""
    turn = _turn(one, other)
    step = turn / (FACETS + 1)
    reach = _reach(turn, step) * r
    planes = []
    for n in range(1, FACETS + 1):
        a, b = sin(turn - n * step) / sin(turn), sin(n * step) / sin(turn)
        *normal, _ = (a * p + b * q for p, q in zip(one, other, strict=True))
        planes.append(Plane(*normal, a * (one.at + r) + b * (other.at + r) - reach))
    return planes


def _reach(turn, step):
    """Distance of the facets from the axis over the radius.

    Between two tangents at distances p and q from a centre, turned by d, the area of the quadrilateral with
    the centre is (2 p q - (p² + q²) cos d) / (2 sin d). Summed over the faces (at 1) and the facets (at x)
    it must be that of the sector, turn / 2: a quadratic in x, whose root near 1 is taken.
    """
    a = (FACETS - 1) * tan(step / 2) - cos(step) / sin(step)
    b, c = 2 / sin(step), -cos(step) / sin(step) - turn / 2
    root = sqrt(b * b - 4 * a * c)
    return min(((-b + way * root) / (2 * a) for way in (1, -1)), key=lambda x: abs(x - 1))


def _turn(one, other):
    return acos(sum(a * b for a, b in zip(one[:3], other[:3], strict=True)))


def _left(solid, planes):
    """A panel or a layer after the router: the same one, if nothing of it is reached."""
    body = clipped(solid.body, *planes)
    if body is solid.body:
        return solid
    cuts = [(cut.body, clipped(cut.body, *planes)) for cut in solid.cuts]
    reached = [before is not after for before, after in cuts]
    lost = [taken(sums(solid.body), sums(body))]
    less = [taken(sums(before), sums(after)) for before, after in cuts if before is not after]
    for n, (before, after) in enumerate(cuts):
        for m in range(n + 1, len(cuts)):
            if reached[n] and reached[m]:  # what two cuts share is reached only where both are
                other, its = cuts[m]
                lost.append(taken(sums(common(before, other)), sums(common(after, its))))
    whole = solid.volume, *(solid.volume * at for at in solid.centroid)
    return replace(solid, **weighed(added(taken(whole, *lost), (0.0,) * 4, *less), solid.mass / solid.volume))


def _through(reached):
    if reached:
        yield Fact(
            "rounding.size",
            f"The rounded edge reaches through the front into {named(reached)}: the joint shows in it, and "
            "no screw may stand there.",
        )
