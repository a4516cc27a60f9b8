"""Every cut that the saw makes, read from the parts of a cabinet: sizes, grooves, rabbets, bevels."""

from dataclasses import dataclass, replace
from itertools import takewhile
from math import radians, tan
from typing import NamedTuple

from calc.cabinet.joints import FACES
from calc.shop.fence_plan import SAME_FENCE
from calc.shop.unsafe import Held, held, on_edge, railed

BURIED = 0.0015
"""How much of a stack at least stands in the sacrificial fence (common practice, no source). [m]"""

SAME_STACK = 2e-5
"""Grooves whose widths differ by less are cut with one stack. [m]"""

_HAIR = 1e-7
_STEP = 1e-6  # layouts are in whole micrometres
_NORMAL = {"shelf": 2, "rib": 0, "frame": 1}
_ENDS = (("left", "right"), ("front", "back"), ("bottom", "top"))


class Tool(NamedTuple):
    """What turns: "blade", "stack" or "bit"; its `width` [m], 0 for the kerf; its tilt `angle` [deg]."""

    name: str
    width: float = 0.0
    angle: float = 0.0


@dataclass(frozen=True)
class SawCut:
    """One cut of `count` pieces that are alike, `each` times on one piece.

    row : letter of the cut list. parts : their names. sheet : what they are cut from.
    kind : "rip", "crosscut", "fit" (what was left over is trimmed off), "groove", "rabbet", "slot", "bevel"
        or "taper".
    guide, dangers : see `calc.shop.unsafe.held`; "jig" holds a taper, "jigsaw" cuts slots.
    turn : of the two cuts that size a piece 1 is the later one. after : letters of the rows whose rip parts
        the strip that this comes from.
    distance : from fence or stop to the near side of blade or stack, at the table [m]; below zero it stands
        in the sacrificial fence. Of a taper its angle [deg].
    along, across : the piece, along and across the fence [m]. thickness [m].
    width, depth : of a groove, as it shall be [m]; depth None is through.
    long_point : of a bevel, on the far face [m]. long_face : which face that is.
    stops : of a cut that ends within the piece, where it begins and ends from the `stop_edge` [m].
    datum : the edges that run along the fence. mates : what goes into the cut.
    """

    row: str
    parts: tuple
    count: int
    sheet: str
    kind: str
    tool: Tool
    guide: str
    distance: float
    along: float
    across: float
    thickness: float
    each: int = 1
    width: float | None = None
    depth: float | None = None
    long_point: float | None = None
    long_face: str = ""
    stops: tuple = ()
    stop_edge: str = ""
    datum: tuple = ()
    mates: tuple = ()
    dangers: tuple = ()
    turn: int = 0
    after: tuple = ()


@dataclass(frozen=True)
class Shop:
    """What the cuts must know of the shop. [m]

    reach : how far the fence goes. play : of a groove over the thickness that it takes. stack : whether the
    saw takes a dado stack. kind, rail, first : what sizes the pieces, the longest cut of its rail, what it
    does first of a sheet, see `calc.project_saw.Saw`. strips : {letter: `Strip`}, where known. stacked : how
    wide the stack cuts that is set up for a (wanted, least) width, None where there is none; None: any width.
    """

    reach: float = float("inf")
    play: float = 0.0
    stack: bool = True
    kind: str = "table"
    rail: float = float("inf")
    first: str = "rip"
    strips: object = None
    stacked: object = None


class Strip(NamedTuple):
    """What the pieces of a row come from: the rip is `ripped` long, the crosscut is `crosscut` long. [m]

    first : "rip" or "crosscut", what is cut first of them. after : letters of wider rows in their strips.
    """

    ripped: float
    crosscut: float
    first: str
    after: tuple = ()


def saw_cuts(rows, solids, faces, braces, shop, slope=0.0, speakers=1):
    """All cuts of a cabinet's parts, equal ones of one row together.

    Parameters
    ----------
    rows : sequence of calc.shop.cut_list.Row
    solids : dict of str to solid
        Panels, layers, braces, boards of the plinth; what is not in it is cut square.
    faces : dict of str to Facing
        Of the six panels.
    braces : dict of str to BraceSolid
    shop : Shop
    slope : float
        How far the front leans back. [deg]
    speakers : int

    Returns
    -------
    list of SawCut
    """
    found = []
    for row in rows:
        found += _sizing(row, shop)
        for name in row.names:
            solid = solids.get(name)
            one = replace(
                found[-1], parts=(name,), count=speakers, mates=(), dangers=(), each=1, turn=0, after=()
            )
            if name in faces:
                found += _worked(one, solid, faces[name], braces, shop, slope)
            elif name in braces:
                found += (*_slots(one, solid), *_leaning_edge(one, solid, slope, shop))
            elif solid is not None:
                found += _ends_mitred(one, solid)
    return _stacked(_together(found), shop)


def strips(layout, kerf, order="rip"):
    """What the pieces of a layout are ripped and crosscut from: {letter: `Strip`}.

    Parameters
    ----------
    layout : calc.shop.sheet_layout.Layout
        Of pieces whose lengths lie along the sheet; of others, in a run of grain, nothing is told.
    kerf : float
        Of the layout. [m]
    order : str
        That of the layout.

    Notes
    -----
    The shorter of the cuts that give a piece its two sides. A piece that is narrower than its strip is
    ripped to width after it was crosscut; equal pieces are cut at one setting, so that all wait for it.
    """
    usual = "crosscut" if order == "crosscut" else "rip"
    found = {}
    for sheet in layout.sheets:
        for piece in _along(sheet):
            rips, crosscuts = _sides(sheet.cuts, piece, kerf)
            one = Strip(
                min((run for _, run in rips), default=piece.length),
                min((run for _, run in crosscuts), default=piece.width),
                "crosscut" if max(rips, default=(-1,))[0] > max(crosscuts, default=(-1,))[0] else "rip",
                _widest(sheet, piece) if order == "rip" else (),
            )
            found[piece.name] = _both(found.get(piece.name, one), one, usual)
    return found


def _along(sheet):
    """The pieces whose lengths lie along the sheet."""
    return [piece for piece in sheet.pieces if not piece.turned]


def _sides(cuts, piece, kerf):
    """(number, length) of the cuts that give a piece its width, and of those that give its length."""
    spans = {"x": (piece.y, piece.width), "y": (piece.x, piece.length)}
    found = []
    for axis, other in (("x", "y"), ("y", "x")):
        (at, size), (start, reach) = spans[axis], spans[other]
        found.append([
            (number, cut.end - cut.start)
            for number, cut in enumerate(cuts)
            if cut.axis == axis
            and (abs(cut.at - at - size) < _STEP or abs(cut.at + kerf - at) < _STEP)
            and cut.start < start + _STEP
            and cut.end > start + reach - _STEP
        ])  # fmt: skip
    return found


def _widest(sheet, piece):
    """Letters of the widest pieces in the strip of a piece that is narrower, where rips come first."""
    rips = [cut.at for cut in takewhile(lambda cut: cut.axis == "x", sheet.cuts)]

    def strip(each):
        return sum(at < each.y for at in rips)

    beside = [other for other in _along(sheet) if strip(other) == strip(piece)]
    most = max(other.width for other in beside)
    if most - piece.width < SAME_FENCE:
        return ()
    return tuple(dict.fromkeys(other.name for other in beside if most - other.width < SAME_FENCE))


def _both(one, other, usual):
    """What two pieces of a row come from together."""
    first = one.first if one.first != usual else other.first
    after = tuple(dict.fromkeys((*one.after, *other.after)))
    return Strip(min(one.ripped, other.ripped), min(one.crosscut, other.crosscut), first, after)


def _sizing(row, shop):
    """The rip and the crosscut of a row; of one that is fitted the last trim, too."""
    length, width = row.cut_length, row.cut_width
    usual = "crosscut" if shop.first == "crosscut" else "rip"
    strip = (shop.strips or {}).get(row.label, Strip(length, width, usual))
    sizing = [(0, "rip", strip.ripped, width), (1, "crosscut", width, length)]
    if strip.first == "crosscut":
        sizing = [(0, "crosscut", strip.crosscut, length), (1, "rip", length, width)]
    sizing += [(0, "fit", width, row.length)] if row.over[0] else []
    sizing += [(0, "fit", row.length, row.width)] if row.over[1] else []
    for turn, kind, along, across in sizing:
        guide, dangers = _sized(along, across, shop, kind)
        yield SawCut(
            row.label, tuple(dict.fromkeys(row.names)), row.count, row.sheet, kind, Tool("blade"), guide,
            across, along, across, row.thickness, dangers=dangers, turn=turn,
            after=strip.after if turn == 0 and kind == "crosscut" else (),
        )  # fmt: skip


def _sized(along, across, shop, kind):
    """How a piece is held that is sized; one that is fitted goes over the table saw at last."""
    if kind == "fit" or shop.kind == "table":
        return held(along, across, across, through=True, reach=shop.reach)
    if shop.kind == "panel":
        return Held("panel", ())
    return railed(along, across, shop.rail)


def _worked(one, panel, face, braces, shop, slope):
    """Grooves, rabbets, bevels and tapers of a panel."""
    blank = [face.of(corner) for corner in panel.body.corners]
    sizes = [_reach(blank, k) for k in (0, 1)]
    one = replace(one, thickness=panel.thickness)
    for cut in panel.cuts:
        if cut.kind != "hole":
            yield _groove(one, panel, face, sizes, cut, braces, shop, slope)
    for edge, angle in panel.bevels.items():
        yield _bevel(one, panel, blank, sizes, edge, angle, shop)
    for edge, angle in panel.tapers.items():
        k, _ = _local(panel.name, _mate(edge, panel.name))
        yield replace(
            one, kind="taper", tool=Tool("blade", 0.0, 0.0), guide="jig", distance=angle, depth=None,
            along=_size(sizes[1 - k]), across=_size(sizes[k]), datum=(_mate(edge, panel.name),),
        )  # fmt: skip


def _groove(one, panel, face, sizes, cut, braces, shop, slope):
    """A groove or a rabbet as the saw makes it."""
    places = [face.of(corner) for corner in cut.body.corners]
    mate = _mate(cut.name, panel.name) if "-" in cut.name and cut.kind == "rabbet" else cut.name
    k = _across(panel.name, mate, places, braces)
    (low, high), (start, end), depths = _reach(places, k), sizes[k], _reach(places, 2)
    width, depth = round(high - low, 9), round(_size(depths), 9)
    axis = _axes(panel.name)[k]
    plate = braces[mate].kind in _NORMAL if mate in braces else True
    rabbet = min(low - start, end - high) < _HAIR
    from_end = rabbet and end - high < low - start or axis == 1 and slope and not rabbet
    distance = 0.0 if rabbet else (end - high if from_end else low - start)
    along, across = _size(sizes[1 - k]), _size(sizes[k])
    stopped = cut.stopped or not plate
    guide, dangers = held(along, across, distance, through=False, stopped=stopped, reach=shop.reach)
    if not shop.stack and guide != "router":
        guide, dangers = "router", ()  # what would turn on a blade lies still
    run, (first, _) = _reach(places, 1 - k), sizes[1 - k]
    aslant = slope if panel.name == "front" and axis == 2 else 0.0
    return replace(
        one, kind="rabbet" if rabbet else "groove", tool=Tool("stack", width, aslant),
        guide=guide, distance=distance, along=along, across=across,
        width=width, depth=depth, datum=(_ENDS[axis][from_end],), mates=(mate,), dangers=dangers,
        stops=tuple(_one(end - first) for end in run) if stopped else (),
        stop_edge=_ENDS[_axes(panel.name)[1 - k]][0] if stopped else "",
    )  # fmt: skip


def _bevel(one, panel, blank, sizes, edge, angle, shop):
    """A bevelled end; the blade leans away from the fence, so that the table has the short point."""
    mate = _mate(edge, panel.name)
    k, high = _local(panel.name, mate)
    outside, inside = (
        (max if high else min)(place[k] for place in blank if abs(place[2] - depth) < _HAIR)
        for depth in (0.0, panel.thickness)
    )
    outer_longer = (outside > inside) == bool(high)
    long = _size(sizes[k])
    short = long - panel.thickness * tan(radians(angle))
    along = _size(sizes[1 - k])
    guide, dangers = held(along, long, short, through=True, reach=shop.reach)
    return replace(
        one, kind="bevel", tool=Tool("blade", 0.0, round(angle, 3)), guide=guide, distance=short,
        along=along, across=long, long_point=long, long_face="outer" if outer_longer else "inner",
        datum=(_ENDS[_axes(panel.name)[k]][not high],), mates=(mate,), dangers=dangers,
    )  # fmt: skip


def _ends_mitred(one, board):
    """The two mitred ends of a board on edge, and the bevelled edges of a layer."""
    if getattr(board, "mitred", False):
        short = board.length - board.thickness
        guide, dangers = held(board.width, board.length, short, through=True)
        yield replace(
            one, kind="bevel", tool=Tool("blade", 0.0, 45.0), guide=guide, distance=short, each=2,
            along=board.width, across=board.length, long_point=board.length, long_face="outer",
            dangers=dangers,
        )  # fmt: skip
    if not hasattr(board, "place"):
        return
    for edge, angle in board.bevels.items():
        k, _ = _local(board.panel, _mate(edge, board.panel))
        long, along = (board.width, board.length) if k == 0 else (board.length, board.width)
        short = long - board.thickness * tan(radians(angle))
        guide, dangers = held(along, long, short, through=True)
        yield replace(
            one, kind="bevel", tool=Tool("blade", 0.0, round(angle, 3)), guide=guide, distance=short,
            along=along, across=long, long_point=long, long_face="outer",
            mates=(_mate(edge, board.panel),), dangers=dangers,
        )  # fmt: skip


def _slots(one, brace):
    """Where plates cross: each is slotted halfway. On the saw it would stand on edge over the stack."""
    for cut in brace.cuts:
        if cut.kind == "slot":
            deep, at = _slot_axes(brace, cut)
            height = brace.high[deep] - brace.low[deep]
            width = cut.high[at] - cut.low[at]
            yield replace(
                one, kind="slot", tool=Tool("saw", _one(width)), guide="jigsaw",
                distance=cut.low[at] - brace.low[at], along=brace.high[at] - brace.low[at], across=height,
                width=width, depth=cut.high[deep] - cut.low[deep], datum=(_ENDS[at][0],), mates=(cut.name,),
                dangers=on_edge(height),
            )  # fmt: skip


def _leaning_edge(one, brace, slope, shop):
    """The front edge of a plate that meets a leaning front: a shelf's is bevelled, a rib's runs aslant."""
    if not slope or brace.kind not in ("shelf", "rib") or not _leans(brace):
        return
    deep, wide = brace.high[1] - brace.low[1], _other_side(brace)
    one = replace(one, thickness=brace.thickness, datum=("front",), mates=("front",))
    if brace.kind == "rib":
        yield replace(
            one, kind="taper", tool=Tool("blade"), guide="jig", distance=slope, along=wide, across=deep,
        )  # fmt: skip
        return
    short = deep - brace.thickness * tan(radians(slope))
    guide, dangers = held(wide, deep, short, through=True, reach=shop.reach)
    yield replace(
        one, kind="bevel", tool=Tool("blade", 0.0, round(slope, 3)), guide=guide, distance=short, along=wide,
        across=deep, long_point=deep, long_face="lower", datum=("back",), dangers=dangers,
    )  # fmt: skip


def _leans(plate):
    """Whether the front edge of a plate lies farther back at its upper side than at its lower one."""
    ends = [
        min(y for _, y, z in plate.body.corners if abs(z - level) < _HAIR)
        for level in (plate.low[2], plate.high[2])
    ]
    return ends[1] - ends[0] > _HAIR


def _other_side(plate):
    """The size of a plate that is not its depth. [m]"""
    axis = 0 if plate.kind == "shelf" else 2
    return plate.high[axis] - plate.low[axis]


def _slot_axes(brace, cut):
    """The axis along which a slot is deep, and that along which its place is measured."""
    plane = [axis for axis in range(3) if axis != _NORMAL[brace.kind]]
    open_at = [
        axis for axis in plane
        if min(abs(cut.low[axis] - brace.low[axis]), abs(brace.high[axis] - cut.high[axis])) < _HAIR
    ]  # fmt: skip
    deep = open_at[0] if len(open_at) == 1 else max(plane, key=lambda axis: cut.high[axis] - cut.low[axis])
    return deep, next(axis for axis in plane if axis != deep)


# --- Together


def _together(cuts):
    """Equal cuts of one row as one: of several parts, or several times on each."""
    alike = {}
    for cut in cuts:
        key = replace(
            cut, parts=(), count=0, each=1, datum=(), mates=(), distance=_whole(cut.distance),
            along=_whole(cut.along), across=_whole(cut.across), width=_whole(cut.width),
            depth=_whole(cut.depth), long_point=_whole(cut.long_point),
            tool=cut.tool._replace(width=_whole(cut.tool.width)),
        )  # fmt: skip
        alike.setdefault(key, []).append(cut)
    return [each for group in alike.values() for each in _merged(group)]


def _merged(group):
    """Cuts that are alike in all but their parts: those of one part are made `each` times."""
    times, mates, datum = {}, {}, {}
    for cut in group:
        times[cut.parts] = times.get(cut.parts, 0) + cut.each
        mates.setdefault(cut.parts, []).extend(cut.mates)
        datum.setdefault(cut.parts, []).extend(cut.datum)
    by_times = {}
    for parts, each in times.items():
        by_times.setdefault(each, []).append(parts)
    for each, lists in by_times.items():
        names = [name for parts in lists for name in parts]
        one = next(cut for cut in group if cut.parts in lists)
        yield replace(
            one, parts=tuple(names), count=one.count * len(lists), each=each,
            mates=tuple(dict.fromkeys(mate for parts in lists for mate in mates[parts])),
            datum=tuple(dict.fromkeys(edge for parts in lists for edge in datum[parts])),
        )  # fmt: skip


def _stacked(cuts, shop):
    """The cuts with a stack for each groove, as wide as its mate and the play, and one for each rabbet.

    A rabbet needs no width of its own: what is too much of the stack stands in the sacrificial fence. It
    takes the stack of a groove where one is wide enough.
    """
    cuts = [replace(cut, width=cut.width + shop.play) if cut.kind == "groove" else cut for cut in cuts]
    stacked = shop.stacked or (lambda wanted, least: wanted)
    widths = {}
    for cut in sorted(cuts, key=lambda cut: cut.width or 0.0):
        if cut.kind == "groove" and cut.guide != "router":
            known = next((w for w in widths if abs(cut.width - w) < SAME_STACK), None)
            if known is None:
                widths[cut.width] = stacked(cut.width, cut.width - shop.play)
    return [_with_stack(cut, widths, stacked) for cut in cuts]


def _with_stack(cut, widths, stacked):
    if cut.kind not in ("groove", "rabbet"):
        return cut
    if cut.kind == "groove":
        made = next((made for wanted, made in widths.items() if abs(cut.width - wanted) < SAME_STACK), None)
    else:
        wider = [made for made in widths.values() if made is not None and made > cut.width - _HAIR]
        made = min(wider) if wider else stacked(cut.width + BURIED, cut.width)
    if made is None and cut.guide != "router":
        cut = replace(cut, guide="router", dangers=())
    if cut.guide == "router":
        return replace(cut, tool=Tool("bit", _one(cut.width), cut.tool.angle))
    distance = cut.distance if cut.kind == "groove" else cut.width - made
    return replace(cut, tool=cut.tool._replace(width=_one(made)), distance=distance)


# --- A panel's own directions


def _axes(panel):
    """Axes of the cabinet along x and y of a panel's face."""
    return {0: (1, 2), 1: (0, 2), 2: (0, 1)}[FACES[panel][0]]


def _mate(edge, panel):
    (mate,) = set(edge.split("-")) - {panel}
    return mate


def _local(panel, mate):
    """On which axis of a panel's face its `mate` stands (0 is x), and whether at its high end."""
    axis, high = FACES[mate]
    return _axes(panel).index(axis), high


def _across(panel, mate, places, braces):
    """On which axis of a panel's face a groove is narrow: that on which its mate stands."""
    if mate in FACES:
        return _local(panel, mate)[0]
    normal = _NORMAL.get(braces[mate].kind) if mate in braces else None
    if normal is not None:
        return _axes(panel).index(normal)
    return min((0, 1), key=lambda k: _size(_reach(places, k)))


def _reach(places, k):
    return min(place[k] for place in places), max(place[k] for place in places)


def _size(pair):
    return pair[1] - pair[0]


def _whole(length):
    return None if length is None else round(length * 1e6)


def _one(length):
    return round(length, 7)
