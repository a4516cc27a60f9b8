"""The six panels of a cabinet: sizes of the blanks, what is cut from them, and what is left.

Origin at the outer front lower left corner, x right, y back, z up. Every face is a plane: the wood is what
lies inside the six outer ones, the air what lies inside the six inner ones, and a panel's slab what lies
between its two. Joints only decide which panel owns the wood where slabs cross. So it stays where the front
leans back about its lower edge.
"""

from dataclasses import dataclass, field, replace
from functools import cached_property
from math import atan2, cos, degrees, radians, tan
from typing import NamedTuple

from calc.cabinet.facing import facing
from calc.cabinet.joint_facts import Fact, joint_facts
from calc.cabinet.joints import FACES, PANELS, edge_between, joint_faults, mitred, neighbours, runs_over
from calc.cabinet.lids import Gasket, gasket_of, lid_facts, require_lid
from calc.cabinet.polyhedra import (
    NOTHING,
    Convex,
    Plane,
    added,
    block,
    clipped,
    common,
    hull,
    lump,
    sums,
    taken,
)
from calc.errors import InputError, require_positive, require_within

SMALLEST, LARGEST = 1e-3, 10.0
"""Inner and outer sizes that are taken for a cabinet. [m]"""

AXES = ("width", "depth", "height")
"""Name of a cabinet's size along x, y, z."""

_HAIR = 1e-9  # m; nearer than this, two cuts meet
_STEP = 1e-6  # m; how far beyond the end of a cut one looks for wood


class Cut(NamedTuple):
    """Wood taken out of a panel for its mate: the `body`, between the corners `low` and `high` (x, y, z) [m].

    `name` is the edge or the brace. `kind` is "rabbet", "groove", "slot", "notch" or "hole".
    `stopped`: the cut ends inside the panel, so that the router must be lifted out or the end squared with
    a chisel.
    """

    name: str
    kind: str
    low: tuple
    high: tuple
    stopped: bool
    body: Convex


class Allowance(NamedTuple):
    """How far a blank reaches beyond the inner face at one `edge`: `add` [m] `along` its length or width."""

    edge: str
    add: float
    along: str


@dataclass(frozen=True)
class PanelSolid:
    """One finished panel and the blank that it is cut from.

    length, width, thickness : of the blank [m]; length is the height of front, back and sides, along the
        face, and the depth of top and bottom. A bevelled blank is measured at its long points.
    low, high : corners of the box about the blank in the cabinet [m].
    cuts, bevels : what is taken off; bevels are {edge: degrees from a square cut}.
    tapers : {edge: degrees} where an edge runs aslant to the blank's sides.
    spans : {"length" | "width": (on the outer face, on the inner face)} [m].
    outline : the blank seen from outside, as corners in the panel's own x, y [m], see `calc.cabinet.facing`.
    body : the blank with its bevels, before cuts.
    allowances : one `Allowance` for each edge; inner size and allowances add up to the blank.
    sums : {"length" | "width": (base, ((count, add), ...))}, to be read as `base + count x add` [m].
    volume [m³], mass [kg], centroid (x, y, z) [m] : of the solid with its cuts and bevels taken off.
    """

    name: str
    length: float
    width: float
    thickness: float
    density: float
    low: tuple
    high: tuple
    cuts: tuple
    bevels: dict
    tapers: dict
    spans: dict
    outline: tuple
    body: Convex
    allowances: tuple
    sums: dict
    volume: float
    mass: float
    centroid: tuple


@dataclass(frozen=True)
class Carcass:
    """The closed box: `outer` and `inner` (width, height, depth at the floor) [m], its panels, and facts.

    slope : how far the front leans back about its lower outer edge [deg].
    gross : the air from wall to wall [m³]. air : that air as a solid.
    finished : `outer` with all that is glued on outside [m].
    walls : the planes of its faces.
    layers : what is glued on inside and outside, by name: see `calc.cabinet.layers`.
    rounded : half-spaces that leave what the router leaves of the front's edges.
    gasket : the ring under the panel that comes off.
    """

    outer: tuple
    inner: tuple
    panels: dict
    facts: tuple
    slope: float
    gross: float
    air: Convex
    finished: tuple
    walls: "Walls"
    layers: dict = field(default_factory=dict)
    rounded: tuple = ()
    gasket: Gasket | None = None

    def facing(self, panel):
        """The outer face of a panel as a `Facing`."""
        return facing(panel, self.outer, self.slope)

    @property
    def mean_inner(self):
        """Inner width, height and mean depth [m]: the box of the same air that stands upright."""
        width, height, _ = self.inner
        return width, height, self.gross / (width * height)

    def depth_at(self, z):
        """Clear depth between front and back at the height `z`. [m]"""
        return self.outer[2] - self.panels["back"].thickness - self.front_inner(z)

    def face_bounds(self, panel):
        """Left, low, right and high edge of a panel's outer face, as places on it. [m]"""
        return self._bounds(panel, True)

    def clear_bounds(self, panel):
        """The same of what lies clear on its inner face, between the walls. [m]"""
        return self._bounds(panel, False)

    def _bounds(self, panel, outside):
        if (panel, outside) not in self._found:
            face, solid = self.facing(panel), self.panels[panel].body if outside else self.air
            placed = [face.of(corner) for corner in solid.corners]
            top = min(depth for *_, depth in placed) + _HAIR
            across, up, _ = zip(*(place for place in placed if place[2] <= top), strict=True)
            self._found[panel, outside] = min(across), min(up), max(across), max(up)
        return self._found[panel, outside]

    @cached_property
    def _found(self):
        """Bounds that were asked for."""
        return {}

    def skin(self, panel):
        """How far skins bring a panel's face out. [m]"""
        glued = (each for each in self.layers.values() if (each.panel, each.place) == (panel, "outside"))
        return sum(each.thickness + each.soft for each in glued)

    def lining(self, panel):
        """How far linings bring a panel's inner face in. [m]"""
        glued = (each for each in self.layers.values() if (each.panel, each.place) == (panel, "inside"))
        return sum(each.thickness + each.soft for each in glued)

    def front_inner(self, z):
        """How far back the front's inner face lies at the height `z`. [m]"""
        return _front_inner(z, self.panels["front"].thickness, self.slope)


def carcass(size, hold, panels, edges, slope=0.0, lid=None):
    """The six panels of a box of given size, with their joints.

    Parameters
    ----------
    size : (float, float, float)
        Width, height, depth at the floor. [m]
    hold : "inner" or "outer"
        Which size that is. The held one never moves; thickness moves the other.
    panels : dict of str to (float, float)
        Thickness [m] and density [kg/m³] of each panel.
    edges : dict of str to Edge-like
        The joint at each of the twelve edges, see `calc.cabinet.joints`.
    slope : float
        How far the front leans back about its lower outer edge. [deg]
    lid : Lid-like, optional
        The panel that comes off: `.panel`, `.gasket`, `.play` [m], `.screws`. Its bed is deeper by the
        gasket, which closes the ring between it and the wood; where it lies in a rabbet, it is cut smaller
        by the play.

    Raises
    ------
    InputError
        At ``size.*``, ``panels.*``, ``slope``, ``lid.*`` or ``edges.*``; joints that leave a hole are
        refused at an edge, front and back that meet over the air at the slope.

    Notes
    -----
    A blank is the outer body within the panel's slab, ended short of the outer face of each mate that runs
    over it, and at each mitre where the depths below the two outer faces are equal shares of the
    thicknesses. A finished panel is its blank less the blanks of the mates that it runs over. A cut goes
    only as far as the mate reaches, so that panels and air fill the outer body exactly.
    """
    thicknesses = _thicknesses(panels)
    require_within(0, 30, "must be an angle from 0° to 30° off upright", slope=slope)
    inner, outer = _sizes(size, hold, thicknesses, slope)
    gross = gross_volume(_as_sold(inner), slope)
    for fault in joint_faults(thicknesses, edges):
        raise fault
    if lid is not None:
        require_lid(lid, edges)
    box = Walls(outer, inner, thicknesses, edges, slope, lid)
    if slope and common(box.blanks["front"], box.blanks["back"]) is not None:
        raise InputError(
            "slope",
            "lets front and back meet in the joint of the top: lean the front less, or make it deeper",
        )
    solids = {name: _panel(name, panels[name][1], box) for name in PANELS}
    gasket = gasket_of(box, solids) if lid is not None else None
    facts = (*joint_facts(solids, thicknesses, edges), *_slope_facts(slope), *lid_facts(lid, gasket))
    sold = _as_sold(outer)
    return Carcass(sold, _as_sold(inner), solids, facts, slope, gross, box.air, sold, box, gasket=gasket)


def gross_volume(inner, slope):
    """Air between the walls of a box whose front leans back. [m³]

    Parameters
    ----------
    inner : (float, float, float)
        Width, height, depth at the floor. [m]
    slope : float
        How far the front leans back. [deg]

    Raises
    ------
    InputError
        At ``slope``, if it leaves no depth at the top.
    """
    width, height, depth = inner
    back = height * tan(radians(slope))
    if depth - back < SMALLEST:
        raise InputError("slope", "leaves no depth at the top: lean the front less, or make the box deeper")
    return width * height * (depth - back / 2)


def walls_about(inner, thicknesses, slope):
    """The `Walls` about an inner (width, height, depth) [m], where no joint matters yet."""
    return Walls(*reversed(_sizes(inner, "inner", thicknesses, slope)), thicknesses, {}, slope)


def grooved(box, grooves):
    """The `Carcass` with grooves for its braces taken out of the panels.

    `grooves` is {panel: (Groove, ...)}, in the wall's inner face, apart from each other and from the joints,
    as `calc.cabinet.bracing.braces` gives them.
    """
    panels = dict(box.panels)
    for name, new in grooves.items():
        panel = panels[name]
        face = box.facing(name)
        left = taken(lump(panel.volume, panel.centroid), *(groove.sums for groove in new))
        bodies = [cut.body for cut in panel.cuts]
        stops = [_stopped(body, _longer(body, face), panel.body, bodies) for _, body, _ in new]
        cuts = [
            Cut(brace, "hole" if round_ else "groove", body.low, body.high, stopped, body)
            for (brace, body, round_), stopped in zip(new, stops, strict=True)
        ]
        panels[name] = replace(panel, cuts=(*panel.cuts, *cuts), **weighed(left, panel.density))
    return replace(box, panels=panels)


@dataclass(frozen=True)
class Walls:
    """What one panel must know of the others; sizes here are along (x, y, z)."""

    outer: tuple
    inner: tuple
    thicknesses: dict
    edges: dict
    slope: float
    lid: object = None

    @cached_property
    def faces(self):
        """The `Facing` of each panel."""
        return {name: facing(name, _as_sold(self.outer), self.slope) for name in PANELS}

    def plane(self, name, depth):
        """The half-space that lies deeper than `depth` below the outer face of a panel."""
        face = self.faces[name]
        at = sum(n * o for n, o in zip(face.inward, face.origin, strict=True))
        return Plane(*face.inward, at + depth)

    @cached_property
    def body(self):
        """What the six outer faces enclose."""
        return clipped(block((0.0, 0.0, 0.0), self.outer), self.plane("front", 0.0))

    @cached_property
    def air(self):
        """What the six inner faces enclose."""
        t = self.thicknesses
        low = t["left"], 0.0 if self.slope else t["front"], t["bottom"]
        high = tuple(a - t[name] for a, name in zip(self.outer, ("right", "back", "top"), strict=True))
        return clipped(block(low, high), self.plane("front", t["front"])) if self.slope else block(low, high)

    @cached_property
    def blanks(self):
        """Each panel's blank with its bevels; of a lid its bed, with the gasket and the play."""
        return {name: self._blank(name) for name in PANELS}

    def bed(self, name):
        """How deep a panel's inner side lies below its outer face, with the gasket under it. [m]"""
        return self.thicknesses[name] + (self.lid.gasket if self.lid and self.lid.panel == name else 0.0)

    def cut_to(self, name):
        """A panel's blank as it is cut: a lid without its gasket, and smaller by its play in a rabbet."""
        if not self.lid or self.lid.panel != name:
            return self.blanks[name]
        rabbets = {mate: self.edges[edge_between(name, mate)] for mate in neighbours(name)}
        return clipped(
            self.blanks[name],
            self.plane(name, self.thicknesses[name]).turned(),
            *(
                self.plane(mate, self.thicknesses[mate] - edge.depth + self.lid.play)
                for mate, edge in rabbets.items()
                if edge.into == mate
            ),
        )

    def _blank(self, name):
        ends = [self.plane(name, self.bed(name)).turned()]
        for mate in neighbours(name):
            if mitred(self.edges, name, mate):
                ends.append(self.mitre(name, mate))
            elif runs_over(self.edges, mate, name):
                inset = self.bed(mate) - self.edges[edge_between(name, mate)].depth
                ends.append(self.plane(mate, inset))
        return clipped(self.body, *ends)

    def mitre(self, name, mate):
        """The panel's own side of a mitre: its depth is the smaller share of the thickness."""
        own, other = self.plane(name, 0.0), self.plane(mate, 0.0)
        t, s = self.thicknesses[name], self.thicknesses[mate]
        *normal, at = (t * b - s * a for a, b in zip(own, other, strict=True))
        long = sum(n * n for n in normal) ** 0.5
        return Plane(*(n / long for n in normal), at / long)

    def lost(self, name):
        """{mate: what a panel loses to it}, where the panel runs over its mate."""
        bodies = {
            mate: common(self.blanks[name], self.blanks[mate])
            for mate in neighbours(name)
            if runs_over(self.edges, name, mate)
        }
        return {mate: body for mate, body in bodies.items() if body is not None}


def _thicknesses(panels):
    for name in PANELS:
        if name not in panels:
            raise InputError(f"panels.{name}", "is needed")
        thickness, density = panels[name]
        require_positive(**{f"panels.{name}.thickness": thickness, f"panels.{name}.density": density})
        require_within(
            1e-4, 0.5, "must be the thickness of a panel", **{f"panels.{name}.thickness": thickness}
        )
        require_within(1, 25e3, "must be the density of a solid board", **{f"panels.{name}.density": density})
    return {name: panels[name][0] for name in PANELS}


def _sizes(size, hold, thicknesses, slope):
    """Inner and outer size along (x, y, z); only the one that is not held depends on thickness."""
    width, height, depth = size
    held = (width, depth, height)
    walls = [sum(thicknesses[p] for p in PANELS if FACES[p][0] == axis) for axis in range(3)]
    if slope:
        walls[1] = thicknesses["back"] + _front_inner(thicknesses["bottom"], thicknesses["front"], slope)
    if hold not in ("inner", "outer"):
        raise InputError("hold", "must be the inner or the outer size")
    inner = held if hold == "inner" else tuple(o - w for o, w in zip(held, walls, strict=True))
    outer = held if hold == "outer" else tuple(i + w for i, w in zip(held, walls, strict=True))
    for axis, name in enumerate(AXES):
        require_positive(**{f"size.{name}": held[axis]})
        if inner[axis] < SMALLEST:
            raise InputError(f"size.{name}", "must leave room inside, between the thicknesses of two panels")
        if outer[axis] > LARGEST:
            raise InputError(f"size.{name}", "must be the size of a cabinet that fits into a room")
    return inner, outer


def _front_inner(z, t, slope):
    """How far back the inner face of a front of thickness `t` lies at the height `z`. [m]"""
    lean = radians(slope)
    return t / cos(lean) + z * tan(lean)


def _as_sold(xyz):
    """(x, y, z) as width, height, depth."""
    return xyz[0], xyz[2], xyz[1]


def _panel(name, density, box):
    blank, t, face = box.cut_to(name), box.thicknesses[name], box.faces[name]
    placed = [face.of(corner) for corner in blank.corners]
    clear = [face.of(corner) for corner in box.air.corners]
    clear = [place for place in clear if abs(place[2] - t) < _HAIR]
    along = _axes_along(name)
    adds = {word: _adds(name, axis, box, placed, clear) for word, axis in along.items()}
    base = {word: _clear(axis, box, clear, word) for word, axis in along.items()}
    lost = box.lost(name)
    return PanelSolid(
        name=name,
        length=base["length"] + sum(adds["length"].values()),
        width=base["width"] + sum(adds["width"].values()),
        thickness=t,
        density=density,
        low=blank.low,
        high=blank.high,
        cuts=tuple(_edge_cut(name, mate, lost, box) for mate in lost),
        bevels=_bevels(name, box),
        tapers=_tapers(name, box),
        spans={word: _spans(placed, axis, t) for axis, word in enumerate(("width", "length"))},
        outline=hull((x, y) for x, y, _ in placed),
        body=blank,
        allowances=tuple(
            Allowance(edge_between(name, mate), add, word)
            for word in along
            for mate, add in adds[word].items()
        ),
        sums={word: _sum_of(name, base[word], adds[word], box) for word in along},
        **weighed(_panel_sums(name, lost, box), density),
    )


def _axes_along(name):
    """Axis of a panel's length and of its width: up for the walls, front to back for top and bottom."""
    across = FACES[name][0]
    length = 1 if across == 2 else 2
    return {"length": length, "width": 3 - across - length}


def _clear(axis, box, clear, word):
    """Size of a panel's inner face along one of its directions; the one that is held, to the last digit."""
    reached = [place[word == "length"] for place in clear]
    size = max(reached) - min(reached)
    return box.inner[axis] if abs(size - box.inner[axis]) < _HAIR else size


def _adds(name, axis, box, placed, clear):
    """How far a blank reaches beyond the inner face, at its two mates along one axis."""
    k = {word_axis: word == "length" for word, word_axis in _axes_along(name).items()}[axis]
    adds = {}
    for mate in neighbours(name):
        if FACES[mate][0] == axis:
            end = max if FACES[mate][1] else min
            plain = (
                box.edges[edge_between(name, mate)].depth
                if runs_over(box.edges, mate, name)
                else box.thicknesses[mate]
            )
            reach = end(place[k] for place in placed) - end(place[k] for place in clear)
            reach = reach if FACES[mate][1] else -reach
            adds[mate] = plain if abs(reach - plain) < _HAIR else reach
    return adds


def _sum_of(name, base, adds, box):
    """A blank's size as base and what the joints add: equal additions counted together, zeros left out."""
    joints = []
    for mate, add in adds.items():
        if runs_over(box.edges, name, mate) or add < 0:
            base += add
        elif add:
            joints.append(add)
    if len(joints) == 2 and joints[0] == joints[1]:
        return base, ((2, joints[0]),)
    return base, tuple((1, add) for add in joints)


def _spans(placed, axis, t):
    """A blank's size along one direction of its face, on its outer and on its inner face. [m]"""
    sizes = []
    for depth in (0.0, t):
        reached = [place[axis] for place in placed if abs(place[2] - depth) < _HAIR]
        sizes.append(max(reached) - min(reached) if reached else 0.0)
    return tuple(sizes)


def _bevels(name, box):
    """{edge: how far its cut is from square [deg]} where it is."""
    bevels = {}
    for mate in neighbours(name):
        end = box.mitre(name, mate) if mitred(box.edges, name, mate) else box.plane(mate, 0.0)
        aslant = sum(a * b for a, b in zip(end[:3], box.faces[name].inward, strict=True))
        if abs(aslant) > _HAIR:
            square = sum((a - aslant * b) ** 2 for a, b in zip(end[:3], box.faces[name].inward, strict=True))
            bevels[edge_between(name, mate)] = degrees(atan2(abs(aslant), square**0.5))
    return bevels


def _tapers(name, box):
    """{edge: how far it runs aslant to the blank's sides [deg]} where it does."""
    face, tapers = box.faces[name], {}
    for mate in neighbours(name):
        run = _crossed(face.inward, box.faces[mate].inward)
        across, up = (abs(sum(a * b for a, b in zip(run, way, strict=True))) for way in (face.right, face.up))
        if min(across, up) > _HAIR:
            tapers[edge_between(name, mate)] = degrees(atan2(min(across, up), max(across, up)))
    return tapers


def _crossed(a, b):
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _edge_cut(name, mate, lost, box):
    body = lost[mate]
    run = _crossed(box.faces[name].inward, box.faces[mate].inward)
    others = [other for key, other in lost.items() if key != mate]
    stopped = _stopped(body, run, box.blanks[name], others)
    return Cut(edge_between(name, mate), "rabbet", body.low, body.high, stopped, body)


def _panel_sums(name, lost, box):
    """Sums of a finished panel: blank, less what it loses at each edge, plus what two losses share."""
    shared = [
        sums(common(lost[a], box.blanks[b]))
        for a in lost
        for b in lost
        if PANELS.index(a) < PANELS.index(b) and FACES[a][0] != FACES[b][0]
    ]
    return added(taken(sums(box.cut_to(name)), *map(sums, lost.values())), NOTHING, *shared)


def weighed(total, density):
    """Volume [m³], mass [kg] and centroid [m] of a solid of these sums."""
    volume, *moments = total
    return {
        "volume": volume,
        "mass": volume * density,
        "centroid": tuple(moment / volume for moment in moments),
    }


def _longer(body, face):
    """The direction of a panel's face along which a cut is longer."""
    spans = {way: body.span(way) for way in (face.right, face.up)}
    return max(spans, key=lambda way: spans[way][1] - spans[way][0])


def _stopped(body, run, blank, others):
    """Tell whether an end of a cut, along its `run`, runs out neither of the blank nor into another cut."""
    reach = body.span(run)
    return not all(
        _is_open(tuple(at + _STEP * way * r for at, r in zip(corner, run, strict=True)), blank, others)
        for way, end in zip((-1, 1), reach, strict=True)
        for corner in body.corners
        if abs(sum(a * r for a, r in zip(corner, run, strict=True)) - end) < _HAIR
    )


def _is_open(point, blank, others):
    if any(plane.above(point) < -_HAIR for plane, _ in blank.faces):
        return True
    return any(all(plane.above(point) > -_HAIR for plane, _ in other.faces) for other in others)


def _slope_facts(slope):
    """What a leaning front asks of the saw."""
    if not slope:
        return
    yield Fact(
        "slope",
        f"The front leans back {slope:.3g}°: set the saw {slope:.3g}° from square where it meets top and "
        f"bottom, and cut the front edges of the sides {slope:.3g}° to their length.",
    )
