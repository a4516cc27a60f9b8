"""The six panels of a cabinet: sizes of the blanks, what is cut from them, and what is left.

Origin at the outer front lower left corner, x right, y back, z up. The outer box is the inner box and
six slabs around it; joints only decide which panel owns the wood where slabs cross.
"""

from dataclasses import dataclass, replace
from math import atan2, degrees
from typing import NamedTuple

from calc.cabinet.joints import FACES, PANELS, edge_between, joint_faults, mitred, neighbours, runs_over
from calc.cabinet.solids import NOTHING, added, box_sums, common, lump, taken, wedge_sums
from calc.errors import InputError, require_positive, require_within

SMALLEST, LARGEST = 1e-3, 10.0
"""Inner and outer sizes that are taken for a cabinet. [m]"""

AXES = ("width", "depth", "height")
"""Name of a cabinet's size along x, y, z."""

SAW_TILT = 45.0
"""Bevel that every saw reaches. [deg from square]"""

_HAIR = 1e-9  # m; nearer than this, two cuts meet


class Fact(NamedTuple):
    """Something to know about a good input: the field that it hangs on, and a sentence."""

    field: str
    sentence: str


class Cut(NamedTuple):
    """Wood taken out of a panel for its mate, as the box from `low` to `high` (x, y, z) [m].

    `name` is the edge or the brace. `kind` is "rabbet", "groove" or "slot". `stopped`: the cut ends
    inside the panel, so that the router must be lifted out or the end squared with a chisel.
    Where the mate itself is mitred, the box reaches to the mate's long point.
    """

    name: str
    kind: str
    low: tuple
    high: tuple
    stopped: bool


class Allowance(NamedTuple):
    """How far a blank reaches beyond the inner face at one `edge`: `add` [m] `along` its length or width."""

    edge: str
    add: float
    along: str


@dataclass(frozen=True)
class PanelSolid:
    """One finished panel and the blank that it is cut from.

    length, width, thickness : of the blank [m]; length is the height of front, back and sides and the
        depth of top and bottom. A mitred blank is measured at its long points.
    low, high : the blank's corners in the cabinet [m].
    cuts, bevels : what is taken off; bevels are {edge: degrees from a square cut}.
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
    allowances: tuple
    sums: dict
    volume: float
    mass: float
    centroid: tuple


@dataclass(frozen=True)
class Carcass:
    """The closed box: `outer` and `inner` (width, height, depth) [m], its panels by name, and facts."""

    outer: tuple
    inner: tuple
    panels: dict
    facts: tuple


def carcass(size, hold, panels, edges):
    """The six panels of a box of given size, with their joints.

    Parameters
    ----------
    size : (float, float, float)
        Width, height, depth. [m]
    hold : "inner" or "outer"
        Which size that is. The held one never moves; thickness moves the other.
    panels : dict of str to (float, float)
        Thickness [m] and density [kg/m³] of each panel.
    edges : dict of str to Edge-like
        The joint at each of the twelve edges, see `calc.cabinet.joints`.

    Raises
    ------
    InputError
        At ``size.*``, ``panels.*`` or ``edges.*``; joints that leave a hole are refused at an edge.

    Notes
    -----
    Each panel's volume is summed from its own solid: the blank, less each cut and bevel, plus what two
    of them share at a corner and would be taken twice. A cut goes only as far as the mate reaches, so
    that panels fill the outer box exactly.
    """
    thicknesses = _thicknesses(panels)
    inner, outer = _sizes(size, hold, thicknesses)
    for fault in joint_faults(thicknesses, edges):
        raise fault
    blanks = {name: _blank(name, outer, thicknesses, edges) for name in PANELS}
    box = _Box(outer, inner, thicknesses, edges, blanks, {})
    box.losses.update((name, _losses(name, box)) for name in PANELS)
    solids = {name: _panel(name, panels[name][1], box) for name in PANELS}
    return Carcass(_as_sold(outer), _as_sold(inner), solids, tuple(_facts(solids, thicknesses, edges)))


def grooved(box, grooves):
    """The `Carcass` with grooves for its braces taken out of the panels.

    `grooves` is {panel: ((name, low, high), ...)}: boxes [m] in the wall's inner face, apart from each
    other and from the joints, as `calc.cabinet.bracing.braces` gives them.
    """
    panels = dict(box.panels)
    for name, boxes in grooves.items():
        panel = panels[name]
        sums = taken(lump(panel.volume, panel.centroid), *(box_sums(low, high) for _, low, high in boxes))
        new = [Cut(brace, "groove", low, high, False) for brace, low, high in boxes]
        cuts = (*panel.cuts, *(cut._replace(stopped=_is_stopped(cut, panel.cuts, panel)) for cut in new))
        panels[name] = replace(panel, cuts=cuts, **_weighed(sums, panel.density))
    return replace(box, panels=panels)


@dataclass(frozen=True)
class _Box:
    """What one panel must know of the others; sizes here are along (x, y, z)."""

    outer: tuple
    inner: tuple
    thicknesses: dict
    edges: dict
    blanks: dict
    losses: dict  # of each panel: {mate: corners of the wood that it loses there}

    def slab(self, name):
        """Low and high coordinate of a panel's slab along its own axis."""
        axis, end = FACES[name]
        t = self.thicknesses[name]
        return (self.outer[axis] - t, self.outer[axis]) if end else (0.0, t)

    def within(self, low, high, *names):
        """The part of a box that lies in the slabs of the named panels, or None."""
        low, high = list(low), list(high)
        for name in names:
            axis = FACES[name][0]
            a, b = self.slab(name)
            low[axis], high[axis] = max(low[axis], a), min(high[axis], b)
        return common(low, high, low, high)

    def beyond_mitre(self, name, mate):
        """Plane of a mitre, positive on the mate's side: depths below the outer faces, as shares of t."""
        (i, i_end), (j, j_end) = FACES[name], FACES[mate]
        ti, tj = self.thicknesses[name], self.thicknesses[mate]
        g0 = (self.outer[i] / ti if i_end else 0.0) - (self.outer[j] / tj if j_end else 0.0)
        return i, j, (-1 if i_end else 1) / ti, (1 if j_end else -1) / tj, g0


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


def _sizes(size, hold, thicknesses):
    """Inner and outer size along (x, y, z); only the one that is not held depends on thickness."""
    width, height, depth = size
    held = (width, depth, height)
    walls = tuple(sum(thicknesses[p] for p in PANELS if FACES[p][0] == axis) for axis in range(3))
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


def _as_sold(xyz):
    """(x, y, z) as width, height, depth."""
    return xyz[0], xyz[2], xyz[1]


def _blank(name, outer, thicknesses, edges):
    """Corners of a blank: out to the face where it runs through or is mitred, else `depth` past the inner."""
    low, high = [0.0, 0.0, 0.0], list(outer)
    axis, end = FACES[name]
    if end:
        low[axis] = outer[axis] - thicknesses[name]
    else:
        high[axis] = thicknesses[name]
    for mate in neighbours(name):
        if runs_over(edges, mate, name):
            k, far = FACES[mate]
            inset = thicknesses[mate] - edges[edge_between(name, mate)].depth
            if far:
                high[k] = outer[k] - inset
            else:
                low[k] = inset
    return tuple(low), tuple(high)


def _panel(name, density, box):
    low, high = box.blanks[name]
    along = _axes_along(name)
    adds = {word: _adds(name, axis, box) for word, axis in along.items()}
    size = {word: box.inner[axis] + sum(adds[word].values()) for word, axis in along.items()}
    bevels = {
        edge_between(name, mate): degrees(atan2(box.thicknesses[mate], box.thicknesses[name]))
        for mate in neighbours(name)
        if mitred(box.edges, name, mate)
    }
    blank = PanelSolid(
        name=name, length=size["length"], width=size["width"], thickness=box.thicknesses[name],
        density=density, low=low, high=high, cuts=(), bevels=bevels,
        allowances=tuple(
            Allowance(edge_between(name, mate), add, word)
            for word in along
            for mate, add in adds[word].items()
        ),
        sums={word: _sum_of(name, axis, adds[word], box) for word, axis in along.items()},
        **_weighed(_panel_sums(name, box), density),
    )  # fmt: skip
    cuts = _edge_cuts(name, box)
    return replace(
        blank, cuts=tuple(cut._replace(stopped=_is_stopped(cut, cuts, blank, box)) for cut in cuts)
    )


def _axes_along(name):
    """Axis of a panel's length and of its width: up for the walls, front to back for top and bottom."""
    across = FACES[name][0]
    length = 1 if across == 2 else 2
    return {"length": length, "width": 3 - across - length}


def _adds(name, axis, box):
    """How far a blank reaches beyond the inner face, at its two mates along one axis."""
    return {
        mate: box.edges[edge_between(name, mate)].depth
        if runs_over(box.edges, mate, name)
        else box.thicknesses[mate]
        for mate in neighbours(name)
        if FACES[mate][0] == axis
    }


def _sum_of(name, axis, adds, box):
    """A blank's size as base and what the joints add: equal additions counted together, zeros left out."""
    base, joints = box.inner[axis], []
    for mate, add in adds.items():
        if runs_over(box.edges, name, mate):
            base += add
        elif add:
            joints.append(add)
    if len(joints) == 2 and joints[0] == joints[1]:
        return base, ((2, joints[0]),)
    return base, tuple((1, add) for add in joints)


def _losses(name, box):
    """Corners of the wood that a panel loses at each edge; whole where the loss is a bevel."""
    losses = {}
    for mate in neighbours(name):
        if mitred(box.edges, name, mate):
            losses[mate] = box.within(*box.blanks[name], mate)
        elif runs_over(box.edges, name, mate):
            losses[mate] = common(*box.blanks[name], *box.blanks[mate])
    return {mate: loss for mate, loss in losses.items() if loss}


def _edge_cuts(name, box):
    return [
        Cut(edge_between(name, mate), "rabbet", *loss, False)
        for mate, loss in box.losses[name].items()
        if not mitred(box.edges, name, mate)
    ]


def _panel_sums(name, box):
    """Sums of a finished panel: blank, less the loss at each edge, plus what two losses share."""
    mates = list(box.losses[name])
    losses = [_loss(name, mate, box) for mate in mates]
    shared = [
        _shared_loss(name, a, b, box)
        for n, a in enumerate(mates)
        for b in mates[n + 1 :]
        if FACES[a][0] != FACES[b][0]
    ]
    return added(taken(box_sums(*box.blanks[name]), *losses), *shared)


def _loss(name, mate, box):
    """Sums of what a panel loses at one edge: a bevel's wedge, or a rabbet as far as its mate reaches."""
    loss = box.losses[name][mate]
    if mitred(box.edges, name, mate):
        return wedge_sums(*loss, box.beyond_mitre(name, mate))
    ends = [
        wedge_sums(*corner, box.beyond_mitre(mate, third))
        for third in neighbours(name)
        if FACES[third][0] != FACES[mate][0] and mitred(box.edges, mate, third)
        if (corner := box.within(*loss, third))
    ]
    return taken(box_sums(*loss), *ends)


def _shared_loss(name, a, b, box):
    """Sums of what the losses at two edges of a panel have in common at their corner."""
    if mitred(box.edges, name, a) and mitred(box.edges, name, b):
        return _pyramid(name, a, b, box)
    if mitred(box.edges, a, b):
        return NOTHING  # the mates' own mitre keeps their rabbets apart
    both = common(*box.losses[name][a], *box.losses[name][b])
    if both is None:
        return NOTHING
    for mate in (a, b):
        if mitred(box.edges, name, mate):
            return wedge_sums(*both, box.beyond_mitre(name, mate))
    return box_sums(*both)


def _pyramid(name, a, b, box):
    """Sums of what two bevels share where three mitres meet.

    With depths below the three outer faces as shares of the thicknesses, that is where the panel's own
    share is the largest: a pyramid on the corner's inner face, a third of the corner, with its centre at
    3/4 of the panel's and 3/8 of its mates' thicknesses.
    """
    volume, centre = 1 / 3, [0.0, 0.0, 0.0]
    for panel, share in ((name, 3 / 4), (a, 3 / 8), (b, 3 / 8)):
        axis, end = FACES[panel]
        depth = share * box.thicknesses[panel]
        centre[axis] = box.outer[axis] - depth if end else depth
        volume *= box.thicknesses[panel]
    return lump(volume, centre)


def _weighed(sums, density):
    volume, *moments = sums
    return {
        "volume": volume,
        "mass": volume * density,
        "centroid": tuple(moment / volume for moment in moments),
    }


def _is_stopped(cut, cuts, panel, box=None):
    """Tell whether one of the cut's ends runs out neither of the panel nor into another cut."""
    return not all(_end_is_open(cut, end, cuts, panel, box) for end in (0, 1))


def _end_is_open(cut, end, cuts, panel, box):
    """Tell whether the low (0) or high (1) end of a cut, along its run, runs out."""
    across = FACES[panel.name][0]
    run = max((axis for axis in range(3) if axis != across), key=lambda k: cut.high[k] - cut.low[k])
    at = (cut.low, cut.high)[end][run]
    if abs(at - (panel.low, panel.high)[end][run]) < _HAIR:
        return True
    if box is not None and _ends_in_bevel(cut, run, end, at, panel, box):
        return True
    sides = [axis for axis in range(3) if axis != run]
    return any(
        other is not cut
        and other.low[run] - _HAIR <= at <= other.high[run] + _HAIR
        and all(other.low[k] <= cut.low[k] + _HAIR and cut.high[k] <= other.high[k] + _HAIR for k in sides)
        for other in cuts
    )


def _ends_in_bevel(cut, run, end, at, panel, box):
    """Tell whether the end of a cut lies wholly in the wood that a bevel takes off."""
    mate = next(mate for mate, face in FACES.items() if face == (run, end))
    if not mitred(box.edges, panel.name, mate):
        return False
    (i, i_end), t = FACES[panel.name], box.thicknesses
    shallow = box.outer[i] - cut.high[i] if i_end else cut.low[i]
    reach = box.outer[run] - at if end else at
    return reach / t[mate] <= shallow / t[panel.name] + _HAIR


def _facts(solids, thicknesses, edges):
    """Facts of the joints; panels that are joined alike are told together."""
    steep = [
        (panel.name, edge, f"{bevel:.1f}°")
        for panel in solids.values()
        for edge, bevel in panel.bevels.items()
        if bevel > SAW_TILT + _HAIR
    ]
    for panels, mates, bevel, edge in _alike(steep):
        need, meet = ("need", "they meet") if len(panels) > 1 else ("needs", "it meets")
        yield Fact(
            f"edges.{edge}.into",
            f"{_named(panels).capitalize()} {need} a bevel of {bevel} from square where {meet} "
            f"{_named(mates)}, more than the 45° that a saw tilts: stand the panel on edge against a tall "
            "fence, or use equal thicknesses.",
        )
    deep = [
        (next(mate for mate in name.split("-") if mate != edge.into), name, None)
        for name, edge in edges.items()
        if edge.into and edge.depth > thicknesses[edge.into] / 2 + _HAIR
    ]
    for panels, mates, _, edge in _alike(deep):
        take = "rabbets of {} take" if len(panels) > 1 else "rabbet of {} takes"
        yield Fact(
            f"edges.{edge}.depth",
            f"The {take.format(_named(panels))} more than half of {_thickness_of(mates)}.",
        )


def _alike(joints):
    """Gather (panel, edge, kind) into (panels, mates, kind, first edge): one for panels joined alike."""
    mates, groups = {}, {}
    for panel, edge, kind in joints:
        (mate,) = set(edge.split("-")) - {panel}
        mates.setdefault((panel, kind), {})[mate] = edge
    for (panel, kind), edges in mates.items():
        groups.setdefault((tuple(sorted(edges, key=PANELS.index)), kind), []).append((panel, *edges.values()))
    for (at, kind), panels in groups.items():
        yield sorted((panel for panel, *_ in panels), key=PANELS.index), at, kind, panels[0][1]


def _named(panels):
    """Panels in a sentence; left and right together are the sides."""
    words = [f"{panel} side" if panel in ("left", "right") else panel for panel in panels]
    if {"left side", "right side"} <= set(words):
        words = ["sides", *(word for word in words if not word.endswith("side"))]
    return f"the {words[0]}" if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _thickness_of(panels):
    words = _named(panels)
    if not words.startswith("the "):
        return f"the thickness of {words}"
    return words + ("' thickness" if words.endswith("s") else "'s thickness")
