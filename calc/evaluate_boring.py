"""Project and its cabinet -> how its seats and holes are bored, and how the baskets breathe behind them."""

from dataclasses import replace
from math import floor, inf
from typing import NamedTuple

from calc.cabinet.brace_places import plane_axes
from calc.cabinet.breathing import wants_chamfer, way_out
from calc.cabinet.frames import IRON, body
from calc.errors import InputError, inputs_at
from calc.evaluate_cabinet import cover
from calc.shop.boring import circle_jig, round_hole, sawn_hole
from calc.shop.boring import seat as bored_seat
from calc.shop.chamfer import UNDER_SCREWS, chamfer
from calc.shop.marks import mark
from calc.shop.other_tools import other_tool


def seats(project, result):
    """Router settings for each seat whose driver's flange and cut-out are known; None for the others."""
    cabinet = project.cabinet
    found = {}
    for name, each in cabinet.seats.items():
        plate = result.carcass.panels["front"] if each.wall is None else result.braces[each.wall]
        over = cover(project) if each.wall is None else 0.0
        ring = project.workshop.sheets[each.ring.sheet].thickness if each.ring else 0.0
        frame = project.drivers[each.driver].frame
        with inputs_at(f"cabinet.seats.{name}"):
            bored = _bored(project, frame, each.flush, plate.thickness, over, ring)
            cut = _chamfered(project, each, frame, plate.thickness - (bored.recess_depth if bored else 0.0))
        found[name] = replace(bored, chamfer=cut) if bored else None
    return found


def _chamfered(project, seat, frame, below):
    """How the hole of a seat is chamfered from the inside; None where it is not, or is not known."""
    if seat.relief is None or frame.cutout is None:
        return None
    shop = project.workshop
    with inputs_at("relief"):
        return chamfer(
            frame.cutout, seat.relief.depth, seat.relief.angle, below, shop.pass_depth,
            frame.screw_circle if frame.screws else None, shop.screw,
        )  # fmt: skip


def radiator_seat(project, result):
    """The same for each passive radiator of the chosen box; None where there is none, or its sizes miss."""
    box = project.alternatives[project.chosen].box
    if box.kind != "passive_radiator":
        return None
    each = box.radiator
    plate, over = result.carcass.panels[each.panel], cover(project, each.panel)
    with inputs_at(f"alternatives.{project.chosen}.box.radiator"):
        return _bored(project, each.frame, each.flush, plate.thickness, over)


def _bored(project, frame, flush, thickness, over, ring=0.0):
    """How the router bores a seat under skins and finish; a flange that is thinner than skins needs none."""
    shop = project.workshop
    if None in (frame.wide, frame.narrow, frame.flange_thickness, frame.cutout):
        return None
    if over > project.cabinet.finish and frame.flange_thickness + frame.gasket + ring <= over:
        flush = False
    return bored_seat(
        frame.wide, frame.flange_thickness, frame.gasket + ring, frame.cutout, over, flush,
        thickness, shop.bits[shop.bit], shop.flange_clearance, shop.pass_depth, shop.web,
        frame.shape, frame.narrow, frame.corner,
    )  # fmt: skip


def holes(project, cabinet):
    """How the bit cuts each round hole beside the drivers': ports, terminals, cups."""
    bit = project.workshop.bits[project.workshop.bit]
    return tuple(
        round_hole(each.name, each.panel, each.width, each.x, each.y, bit)
        for each in cabinet.openings
        if each.kind in ("port", "hole") and each.round
    )


def sawn(cabinet):
    """How each rectangular hole is sawn: slots and plates."""
    return tuple(
        sawn_hole(each.name, each.panel, each.width, each.height, each.corner, each.x, each.y)
        for each in cabinet.openings
        if each.kind in ("port", "hole") and not each.round
    )


# --- What the pages alone ask


class Window(NamedTuple):
    """A brace's window as a `SawnHole`, its places from the blank's own left and lower (front) edge, and the
    shop's widest router `bit` that turns in its corners [m]; None where all are wider."""

    hole: object
    bit: float | None


def windows(project, result):
    """The `Window`s of every brace; equal ones of a brace are numbered."""
    found = []
    for name, solid in result.cabinet.braces.items():
        if not solid.windows:
            continue
        u, v = plane_axes(solid.kind)
        for n, ((a, b), (c, d), radius) in enumerate(solid.windows, 1):
            called = f"{name}, window {n}" if len(solid.windows) > 1 else f"{name}, window"
            x, y = (a + c) / 2 - solid.low[u], (b + d) / 2 - solid.low[v]
            hole = sawn_hole(called, name, c - a, d - b, radius, x, y)
            turns = min(c - a, d - b, 2 * radius or inf)
            fitting = [bit for bit in project.workshop.bits.values() if bit <= turns + 1e-9]
            found.append(Window(hole, max(fitting, default=None)))
    return tuple(found)


def marks(project, result):
    """The `Mark` of each opening on the face that it is bored from: outside, or where a shelf's recess is."""
    return tuple(marked(project, result, each, each.x, each.y) for each in result.openings)


def corner_marks(project, result):
    """{(panel, name): the `Mark` of each corner that is drilled} of each rectangular hole of a panel."""
    openings = {(each.panel, each.name): each for each in result.openings}
    return {
        (hole.panel, hole.name): tuple(
            marked(project, result, openings[hole.panel, hole.name], x, y) for x, y in hole.centres
        )
        for hole in result.sawn
    }


def marked(project, result, opening, x, y):
    """The `Mark` of a place x, y about an `Opening`, as its own centre or one of its screws. [m]"""
    cabinet = result.cabinet
    if opening.panel in cabinet.carcass.panels:
        bounds, back = cabinet.carcass.face_bounds(opening.panel), opening.panel == "back"
        return mark(opening.name, opening.panel, "outside", x, y, bounds, back)
    low, high = cabinet.braces[opening.panel].low, cabinet.braces[opening.panel].high
    up = project.cabinet.seats[opening.name].faces == "up"
    bounds, face = (low[0], low[1], high[0], high[1]), "upper face" if up else "lower face"
    return mark(opening.name, opening.panel, face, x, y, bounds, not up)


class Plug(NamedTuple):
    """A disc that fills a hole in the wrong place, and from pin to bit that cuts it. Lengths [m]."""

    name: str
    diameter: float
    centre: float


def plugs(project, result):
    """The `Plug` of each round opening: of its recess where it has one, or else of its hole."""
    bit = project.workshop.bits[project.workshop.bit]
    found = []
    for each in result.openings:
        bored = result.seats.get(each.name) if each.kind == "seat" else None
        wide = (bored and bored.recess and each.outline) or (each.width if each.round else None)
        if wide:
            found.append(Plug(each.name, wide, circle_jig(wide, bit, keep="disc")[0]))
    return tuple(found)


def other_tools(result):
    """{opening: `OtherTool`} of each round hole that a usual bit or saw makes."""
    round_ = {each.name: each.width for each in result.openings if each.round and each.width}
    return {name: tool for name, width in round_.items() if (tool := other_tool(width))}


class Breathing(NamedTuple):
    """How a basket breathes. Lengths [m], areas [m²].

    below : wood behind the seat. before, after : `Way`s out without a chamfer and with the decided one, None
    without one. Sd : area of the cone, None if not known. known : whether the sheet gave magnet and depth.
    wanted : whether a chamfer is worth it.
    """

    below: float
    before: object
    after: object
    Sd: float | None
    known: bool
    wanted: bool


def breathing(project, result):
    """{seat: `Breathing`} of each driver with an open basket whose seat can be bored."""
    found = {}
    for name, bored in result.seats.items():
        seat = project.cabinet.seats[name]
        driver = project.drivers[seat.driver]
        if bored is None or driver.kind == "tweeter":
            continue
        sizes = body(driver.frame, driver.kind, driver.Sd)
        round_it = bored.cutout, sizes.magnet, (1 - IRON) * sizes.depth, bored.below
        before, cut = way_out(*round_it), bored.chamfer
        found[name] = Breathing(
            bored.below, before, way_out(*round_it, cut.depth, cut.angle) if cut else None, driver.Sd,
            None not in (driver.frame.magnet, driver.frame.depth), wants_chamfer(bored.below, before.gap),
        )  # fmt: skip
    return found


def relief_that_fits(project, result, name):
    """Depth of a chamfer of 45° that a seat bears: half the wood, less where the screws need it. [m]

    Raises
    ------
    InputError
        At the seat's ``relief``, where its sizes are not known, or nothing is left for a chamfer.
    """
    bored, seat = result.seats.get(name), project.cabinet.seats[name]
    place = f"cabinet.seats.{name}.relief"
    if bored is None:
        raise InputError(place, "waits for the sizes of flange and cut-out")
    frame, screw = project.drivers[seat.driver].frame, project.workshop.screw
    depth = bored.below / 2
    if frame.screws and frame.screw_circle:
        ledge = max(0.0, (frame.screw_circle - screw - bored.cutout) / 2)
        depth = min(depth, ledge + max(0.0, bored.below - UNDER_SCREWS * screw))
    depth = floor(depth * 2000) / 2000  # to half a millimetre
    if depth <= 0:
        raise InputError(place, "finds no wood that the screws can spare")
    return depth
