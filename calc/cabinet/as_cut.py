"""What was really cut: how parts that are short, long or thick, and joints that are deep, go together.

A part asks for an inner size: its own length, less what its joints and its mates' thicknesses take. As
planned all ask for the same; as cut they differ. The ring of sides, top and bottom is glued first, and its
longest parts say how far apart their mates stand. What is put in or laid on afterwards, front, back and
braces, finds that size as it is.
"""

from math import cos, radians
from typing import NamedTuple

from calc.cabinet.joints import FACES, edge_between, neighbours, runs_over

RING = ("left", "right", "top", "bottom")

AXIS = {"width": 0, "height": 2, "depth": 1}
"""Axis of each side of the cabinet."""

PLAY = 2e-4
"""What is off by less goes together as it is (common practice, no source). [m]"""

_PLATES = {"shelf": ("width", "depth"), "rib": ("height", "depth"), "frame": ("width", "height")}
"""Sides of the cabinet along the length and the width of each kind of plate."""

_SIDE = {axis: side for side, axis in AXIS.items()}


class Fit(NamedTuple):
    """How a part goes with what stands along one `side` of the cabinet. Lengths [m].

    off : what it is short by, long if below zero, once the ring is glued. how : "in" where it stands between
    two mates, "over" where it covers both, "mitre", or "both" where it covers one and stands against the
    other. hidden : how much of a gap its joints cover. section : the two other sides of a strip that fills
    the gap. leads : whether it is one of those that say how far apart its mates stand.
    """

    part: str
    side: str
    word: str
    off: float
    how: str
    hidden: float
    section: tuple
    leads: bool


def along(part):
    """The sides of the cabinet along a part's length and width, as {"length": side, "width": side}."""
    kind = getattr(part, "kind", None)
    if kind in _PLATES:
        return dict(zip(("length", "width"), _PLATES[kind], strict=True))
    if kind is not None:
        return {"length": _SIDE[part.axis]}
    across = FACES[part.name][0]
    length = "depth" if across == 2 else "height"
    return {"length": length, "width": next(s for s in AXIS if s != length and AXIS[s] != across)}


def fits(carcass, braces, edges, real):
    """The inner size of what was really cut, and how each part goes with it.

    Parameters
    ----------
    carcass : Carcass
        As it was planned.
    braces : dict of BraceSolid
    edges : dict of Edge-like
        The joints as planned.
    real : AsCut-like
        `.parts` {name: .length, .width, .thickness}, `.grooves` {"<panel> <mate>": .depth}; None as planned.

    Returns
    -------
    inner : (float, float, float)
        Width, height, depth that the glued ring encloses. [m]
    fits : tuple of Fit
        Of every part along each of its sides, those that are off by more than `PLAY` alone.

    Notes
    -----
    Derived from the joints' geometry: a part that stands in two rabbets encloses its length less both
    depths, one that covers its mates its length less both thicknesses. Along the height a leaning front
    counts by its length upright.
    """
    asked = [
        _asked(part, word, side, carcass, edges, real)
        for part in (*carcass.panels.values(), *braces.values())
        for word, side in along(part).items()
    ]
    grown = {
        side: max(change for part, _, at, change, *_ in asked if at == side and part in RING) for side in AXIS
    }
    inner = tuple(size + grown[side] for side, size in zip(AXIS, carcass.inner, strict=True))
    found = []
    for part, word, side, change, how, hidden, section in asked:
        off = grown[side] - change
        leads = part in RING and off < PLAY
        if abs(off) > PLAY:
            found.append(Fit(part, side, word, off, how, hidden, section, leads))
    return inner, tuple(found)


def _asked(part, word, side, carcass, edges, real):
    """(name, word, side, change of the inner side that it asks for, how, hidden, section), as in `Fit`."""
    size, upright = _real(real, part.name, word), 1.0
    if part.name == "front" and side == "height":
        upright = cos(radians(carcass.slope))
    grown = 0.0 if size is None else (size - getattr(part, word)) * upright
    other = next((w for w in along(part) if w != word), None)
    section = (part.thickness, getattr(part, other) if other else part.thickness)
    if part.name not in carcass.panels:
        depths = _brace_depths(part, word, side, carcass)
        deeper = sum(
            depth - planned
            for mate, planned in depths.items()
            if (depth := _real_depth(real, mate, part.name)) is not None
        )
        how = "in" if word == "length" else "between"
        return part.name, word, side, grown - deeper, how, sum(depths.values()), section
    mates = [mate for mate in neighbours(part.name) if FACES[mate][0] == AXIS[side]]
    ends, hidden = [], 0.0
    for mate in mates:
        edge = edges[edge_between(part.name, mate)]
        if runs_over(edges, mate, part.name):
            ends.append("in")
            hidden += edge.depth
            depth = _real_depth(real, mate, part.name)
            grown -= 0.0 if depth is None else depth - edge.depth
        else:
            ends.append("mitre" if edge.mitre else "over")
            thickness = _real(real, mate, "thickness")
            grown -= 0.0 if thickness is None else thickness - carcass.panels[mate].thickness
    how = ends[0] if len(set(ends)) == 1 else "both"
    return part.name, word, side, grown, how, hidden, section


def _brace_depths(part, word, side, carcass):
    """How deep a brace was planned to go into each of the two walls along `side`. [m]"""
    if word != "length":
        return {}
    axis = AXIS[side]
    near, far = (name for end in (0, 1) for name, face in FACES.items() if face == (axis, end))
    walls = carcass.panels[near].high[axis], carcass.panels[far].low[axis]
    return {near: max(0.0, walls[0] - part.low[axis]), far: max(0.0, part.high[axis] - walls[1])}


def _real(real, part, word):
    return getattr(real.parts[part], word) if part in real.parts else None


def _real_depth(real, panel, mate):
    groove = real.grooves.get(f"{panel} {mate}")
    return None if groove is None else groove.depth


class Misjoint(NamedTuple):
    """A groove or a rabbet of `panel` for `mate` that is not as planned. [m]

    loose : how much wider it is than the mate is thick; too tight if below zero. off : as it was measured.
    deeper : than planned, shallower if below zero.
    """

    panel: str
    mate: str
    loose: float
    off: float
    deeper: float


GLUED = 3e-4
"""A groove wider than its mate by more than this wants a shim (common practice, no source). [m]"""


def misjoints(carcass, braces, edges, real):
    """Every `Misjoint`: too tight, looser than `GLUED`, off or deeper or shallower by more than `PLAY`."""
    solids = {**carcass.panels, **braces}
    found = []
    for name, groove in real.grooves.items():
        panel, _, mate = name.partition(" ")
        if panel not in carcass.panels or mate not in solids:
            continue
        thickness = _real(real, mate, "thickness") or solids[mate].thickness
        loose = 0.0 if groove.width is None else groove.width - thickness
        deeper = (
            0.0
            if groove.depth is None
            else groove.depth - _planned_depth(panel, solids[mate], carcass, edges)
        )
        if loose < 0 or loose > GLUED or max(abs(groove.off), abs(deeper)) > PLAY:
            found.append(Misjoint(panel, mate, loose, groove.off, deeper))
    return tuple(found)


def _planned_depth(panel, mate, carcass, edges):
    """How deep a panel's groove for a mate was to be. [m]"""
    if mate.name in carcass.panels:
        return edges[edge_between(panel, mate.name)].depth
    return _brace_depths(mate, "length", along(mate)["length"], carcass).get(panel, 0.0)


class Bored(NamedTuple):
    """What an opening that was bored otherwise leaves of a driver's seat. Lengths [m], None as unknown.

    off : how far its centre lies off. ledge : ring of wood under the flange at its narrowest. open : how far
    the hole reaches out from under the flange; below zero, how much covers it. tight : what the recess or the
    hole must be opened by before the driver goes in. proud : how far the flange stands out; sunk below zero.
    plug : least diameter of a disc that takes all of the wrong hole.
    """

    name: str
    off: float
    ledge: float | None
    open: float | None
    tight: float
    proud: float
    plug: float


def bored(name, real, cutout, flange, outline, recess):
    """The `Bored` of an opening.

    Parameters
    ----------
    real : RealOpening-like
        `.width` of the hole, `.outline` and `.recess` (depth) of the recess, `.off_x`, `.off_y`. [m]
    cutout, flange, outline, recess : float or None
        Diameter of the hole that was planned, diameter of the flange, of its recess, the recess's depth. [m]

    Notes
    -----
    The driver stays with its wrong hole: `off` is then a place on the front, not a fault of the seat. With
    the hole plugged and bored anew at its place, what must be taken is the whole of it and of its recess.
    """
    width = real.width or cutout
    wide = real.outline or outline
    off = (real.off_x**2 + real.off_y**2) ** 0.5
    ledge = None if None in (width, flange) else (flange - width) / 2
    short = [
        needed - made
        for needed, made in ((cutout, real.width), (flange, real.outline))
        if None not in (needed, made)
    ]
    return Bored(
        name, off, ledge, None if ledge is None else -ledge, max(0.0, *short, 0.0),
        0.0 if None in (recess, real.recess) else recess - real.recess,
        max(x for x in (width, wide, 0.0) if x is not None),
    )  # fmt: skip
