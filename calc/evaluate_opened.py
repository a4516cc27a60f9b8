"""Project and result -> what a router cuts for drivers, ports and other holes into what they open."""

from calc.shop.features import Circle, Feature, tool
from calc.shop.flange_rings import flange, placed
from calc.shop.rings import rectangle

PRICK = 1e-3
"""Diameter and depth of the mark where a screw goes. [m]"""


def outline(project, shape, thickness):
    """The part's own outline."""
    bit = project.workshop.bits[project.workshop.bit]
    return Feature("outline", "outline", shape, thickness, "outside", True, bit)


def runs_left(face):
    """Whether the x of a face runs to the left for somebody who looks at it from outside."""
    (rx, ry, rz), (ux, uy, uz), (ix, iy, iz) = face.right, face.up, face.inward
    towards = (ry * uz - rz * uy) * ix + (rz * ux - rx * uz) * iy + (rx * uy - ry * ux) * iz
    return towards > 0


def opened(project, result, where, thickness, origin, face="outside"):
    """What opens a panel or a shelf, in the order of work: (features, notes on what is not known)."""
    found, missing = [], []
    for each in result.openings:
        if each.panel != where:
            continue
        seat = bored(result, each)
        if each.width is None or (each.kind in ("seat", "radiator") and seat is None):
            missing.append(left_out(each))
            continue
        x, y = each.x - origin[0], each.y - origin[1]
        if seat and seat.recess:
            shape, bit = recess(project, each, x, y)
            found.append(Feature("recess", each.name, shape, seat.recess_depth, face, False, bit))
        found.append(through(project, each, x, y, thickness, face))
        if seat and seat.chamfer:
            shape = Circle(x, y, seat.chamfer.mouth)
            back = "inside" if face == "outside" else "outside"
            found.append(Feature("chamfer", each.name, shape, seat.chamfer.depth, back))
        found += pricks(each, x, y, face)
    return found, missing


def left_out(opening):
    """What is said of an opening whose driver's sheet tells too little."""
    return f"“{opening.name}” is left out: its flange or cut-out is not known yet."


def bored(result, opening):
    """How a driver's or a radiator's seat is cut; None of what is neither, or is not known."""
    if opening.kind == "seat":
        return result.seats.get(opening.name)
    return result.radiator_seat if opening.kind == "radiator" else None


def through(project, opening, x, y, thickness, face="outside"):
    """The hole of an opening through a board, about x, y. [m]"""
    bits, bit = project.workshop.bits, project.workshop.bits[project.workshop.bit]
    if opening.round:
        shape, used = Circle(x, y, opening.width), bit if bit < opening.width else None
    else:
        half_x, half_y = opening.width / 2, opening.height / 2
        shape = rectangle(x - half_x, y - half_y, x + half_x, y + half_y, opening.corner)
        narrowest = min(opening.width, opening.height, 2 * opening.corner or opening.width)
        used = tool(bits.values(), narrowest, square=not opening.corner)
    return Feature("opening", opening.name, shape, thickness, face, True, used)


def recess(project, opening, x, y):
    """Shape of what takes a flange with its clearance, about x, y [m], and the bit that cuts it, None if none
    does; (None, None) while the flange is not known."""
    shop = project.workshop
    frame, turn = frame_of(project, opening)
    shape = flange(frame, turn, shop.flange_clearance)
    if shape is None:
        return None, None
    if frame.shape != "square":
        return placed(shape, x, y), shop.bits[shop.bit]
    radius = frame.corner + shop.flange_clearance / 2
    return placed(shape, x, y), tool(shop.bits.values(), 2 * radius, square=False)


def frame_of(project, opening):
    """The frame of what sits in an opening, and how far it is turned. [deg]"""
    if opening.kind == "seat":
        seat = project.cabinet.seats[opening.name]
        return project.drivers[seat.driver].frame, seat.turn
    return project.alternatives[project.chosen].box.radiator.frame, 0.0


def pricks(opening, x, y, face):
    """Where the screws of an opening go."""
    return [
        Feature("screw", opening.name, Circle(x + across, y + up, PRICK), PRICK, face)
        for across, up in opening.screws
    ]
