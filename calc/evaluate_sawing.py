"""Project and result -> how the saw is set: the fence plan, and of each groove its stack and its test."""

from dataclasses import dataclass
from functools import partial

from calc.evaluate_layout import layouts
from calc.shop.dado import Owned, routed, stack_for, turned, two_passes
from calc.shop.fence_plan import fence_plan
from calc.shop.saw_cuts import SAME_STACK, Shop, saw_cuts, strips
from calc.shop.sheet_sawing import marks, strokes

SLIP = 0.0005
"""A slip by which grooves that are turned end for end are told to widen, for an example. [m]"""


@dataclass(frozen=True)
class Groove:
    """Grooves of one width: what goes into them, and how they are cut.

    least, wanted : thickness that goes in, and that with its play [m]. depths [m]. mates, panels : by name.
    ends : the datum edges, each for its mate. stack : None where the saw or its parts give none.
    two : (stack, nudge) of the way in two passes, or None. routed : the same by the router, or None.
    loose : whether one that is too wide leaks no air. cuts : the `SawCut`s.
    """

    least: float
    wanted: float
    depths: tuple
    mates: tuple
    panels: tuple
    stack: object
    two: object
    routed: tuple
    loose: bool
    cuts: tuple


@dataclass(frozen=True)
class Sawing:
    """The `plan`, and the `grooves` and `rabbets` in it by width.

    datums : {part: the edges that its grooves are set from}, for the parts that have grooves.
    """

    plan: object
    grooves: tuple
    rabbets: tuple
    datums: dict


def sawing(project, result):
    """The `Sawing` of a cabinet."""
    saw, cabinet, workshop = project.workshop.saw, result.cabinet, project.workshop
    runs = {}
    for layout in layouts(project, result.cut_list).values():
        runs |= strips(layout, workshop.kerf, saw.order)
    carcass = cabinet.carcass
    cuts = saw_cuts(
        result.cut_list,
        carcass.panels | carcass.layers | cabinet.braces | cabinet.plinth,
        {name: carcass.facing(name) for name in carcass.panels},
        cabinet.braces,
        Shop(
            saw.reach, saw.play, saw.stack, saw.kind, saw.rail, saw.order, runs,
            partial(stacked, saw) if saw.stack else None,
        ),
        carcass.slope,
        project.speakers,
    )  # fmt: skip
    grooves = tuple(_groove(project, group) for group in _by_width(cuts, "groove"))
    rabbets = tuple(_groove(project, group) for group in _by_width(cuts, "rabbet"))
    datums = {}
    for cut in cuts:
        if cut.kind == "groove":
            for part in cut.parts:
                datums.setdefault(part, {}).update(dict.fromkeys(cut.datum))
    datums = {part: tuple(edges) for part, edges in datums.items()}
    return Sawing(fence_plan(cuts), grooves, rabbets, datums)


@dataclass(frozen=True)
class AsSawn:
    """A sheet as it is sawn: what is `laid` on it, a `Stroke` for each cut and a `Mark` for each piece."""

    laid: object
    strokes: tuple
    marks: tuple


def good_face_up(saw):
    """Whether the outside of the parts lies up: teeth that come up through the wood splinter that face."""
    return saw.kind != "track"


def sheets_as_sawn(project, result, found):
    """{sheet good: `AsSawn` of each of its sheets} of the `found` layouts."""
    workshop, saw = project.workshop, project.workshop.saw
    sawn = {}
    for good, layout in found.items():
        rows = [row for row in result.cut_list if row.sheet == good]
        written = marks(rows, layout.laid, project.speakers, good_face_up(saw))
        sawn[good] = tuple(
            AsSawn(laid, strokes(laid.sawn, laid.size, laid.trim, workshop.kerf, saw), tuple(mark))
            for laid, mark in zip(layout.laid, written, strict=True)
        )
    return sawn


def owned(saw):
    """The parts of the saw's stack, as `calc.shop.dado` takes them."""
    return Owned(saw.outer_blade, saw.chippers, saw.shims)


def stacked(saw, wanted, least):
    """How wide the stack cuts that is set up for a width, by the scrap groove; None without one. [m]"""
    stack = stack_for(wanted - saw.wider, owned(saw), least - saw.wider)
    return None if stack is None else stack.width + saw.wider


def _by_width(cuts, kind):
    groups = []
    for cut in sorted((cut for cut in cuts if cut.kind == kind), key=lambda cut: cut.width):
        if groups and cut.width - groups[-1][0].width < SAME_STACK:
            groups[-1].append(cut)
        else:
            groups.append([cut])
    return groups


def _groove(project, cuts):
    saw, workshop, first = project.workshop.saw, project.workshop, cuts[0]
    rabbet = first.kind == "rabbet"
    wanted, least = first.width, first.width - (0.0 if rabbet else saw.play)
    depths = tuple(sorted({round(cut.depth, 7) for cut in cuts}))
    mates = tuple(dict.fromkeys(mate for cut in cuts for mate in cut.mates))
    on_saw = saw.stack and any(cut.guide != "router" for cut in cuts)
    width = next((cut.tool.width for cut in cuts if cut.tool.name == "stack"), wanted)
    stack = stack_for(width - saw.wider, owned(saw), least - saw.wider) if on_saw else None
    return Groove(
        least, wanted, depths, mates,
        tuple(dict.fromkeys(part for cut in cuts for part in cut.parts)),
        stack,
        two_passes(wanted - saw.wider, owned(saw)) if on_saw and not rabbet else None,
        tuple(routed(wanted, depth, workshop.bits, workshop.pass_depth) for depth in depths),
        all(_loose(project, mate) for mate in mates),
        tuple(cuts),
    )  # fmt: skip


def _loose(project, mate):
    """Whether a brace has the same air on both its sides, so that a loose groove of it leaks nothing."""
    brace = project.cabinet.braces.get(mate)
    walls = {seat.wall for seat in project.cabinet.seats.values()}
    return brace is not None and not brace.seals and mate not in walls


def widened(groove):
    """How wide a groove gets that is cut once from each end, a slip of `SLIP` off the middle. [m]"""
    return turned(groove.wanted, SLIP)
