"""Project and its cabinet -> what each part weighs, with its holes, and where."""

from dataclasses import replace
from math import pi

from calc.cabinet.bored import bores, lost
from calc.cabinet.layers import growth_of
from calc.evaluate_boards import rooms as board_rooms
from calc.shop.chamfer import air_gained
from calc.shop.flange_rings import enclosed, spacer

MAGNET = 7500.0
"""Density of a magnet of neodymium, iron and boron (common practice, no source). [kg/m³]"""


def masses(project, box, carcass, bracing, opened, plinth, parts, layers):
    """(name, kind, mass [kg], centre [m]) of all that weighs.

    `parts` are the `GrilleParts` or None, `layers` as `calc.cabinet.layers.growth_of` takes them. A driver
    hangs a third of its depth inside; gaskets, filling, wires and the grille's cloth are left out.
    """
    taken = _taken(project, box, carcass, bracing, opened)
    kinds = (
        ("panel", carcass.panels),
        ("layer", carcass.layers),
        ("brace", bracing.braces),
        ("plinth", plinth),
    )
    for kind, solids in kinds:
        for name, solid in solids.items():
            yield name, kind, *_bored(solid, taken.get((kind, name), ()))
    yield from _drivers(project, box, carcass, bracing, opened)
    yield from _rings(project, carcass, bracing, opened)
    yield from _grille(project, carcass, parts, layers)
    for name, solid in board_rooms(project, carcass).items():
        middle = solid.face.at(solid.shape.x, solid.shape.y, (solid.start + solid.end) / 2)
        yield name, "board", project.cabinet.boards[name].mass, middle
    middle = tuple(carcass.outer[axis] / 2 for axis in (0, 2, 1))
    for name, thing in project.cabinet.displaced.items():
        yield name, "thing", thing.mass, middle


# --- Holes


def _bored(solid, holes):
    """Mass and centre of a part less the (volume [m³], centre [m]) of its holes."""
    density = solid.mass / solid.volume
    mass = solid.mass - density * sum(volume for volume, _ in holes)
    moments = [
        solid.mass * whole - density * sum(volume * at[axis] for volume, at in holes)
        for axis, whole in enumerate(solid.centroid)
    ]
    return mass, tuple(moment / mass for moment in moments)


def _taken(project, box, carcass, bracing, opened):
    """{(kind, name): [(volume, centre), ...]} of what openings take out of panels, layers and braces."""
    found = {}
    for each in opened:
        bored, chamfer = bores(each, sunk(project, box, carcass, each)), _chamfer(project, each)
        if each.panel not in carcass.panels:
            brace = bracing.braces[each.panel]
            volume, _ = lost(bored, 0.0, brace.thickness)
            middle = each.x, each.y, (brace.low[2] + brace.high[2]) / 2
            found.setdefault(("brace", each.panel), []).append((volume + chamfer, middle))
            continue
        face = carcass.facing(each.panel)
        for kind, name, start, end in _stack(carcass, each.panel):
            volume, depth = lost(bored, start, end)
            found.setdefault((kind, name), []).append((volume, face.at(each.x, each.y, depth)))
        if chamfer:
            inner = face.at(each.x, each.y, carcass.panels[each.panel].thickness)
            found["panel", each.panel].append((chamfer, inner))
    return found


def _stack(carcass, panel):
    """(kind, name, from, to) of the boards that lie on each other at a panel, below its bare face. [m]"""
    thickness = carcass.panels[panel].thickness
    yield "panel", panel, 0.0, thickness
    out, inner = 0.0, thickness
    for name, layer in carcass.layers.items():
        if layer.panel != panel:
            continue
        thick = layer.thickness + layer.soft
        if layer.place == "outside":
            yield "layer", name, out - thick, out
            out -= thick
        else:
            yield "layer", name, inner, inner + thick
            inner += thick


def _chamfer(project, opening):
    """What the chamfer behind a driver takes. [m³]"""
    if opening.kind != "seat":
        return 0.0
    seat = project.cabinet.seats[opening.name]
    return air_gained(seat, project.drivers[seat.driver].frame)


def sunk(project, box, carcass, opening):
    """How deep the floor of an opening's recess lies below the bare face [m]; None without a recess.

    Skins are cut out to the flange; what they are thicker than flange, gasket and ring leaves it too deep.
    """
    if opening.kind == "seat":
        seat = project.cabinet.seats[opening.name]
        frame, ring = project.drivers[seat.driver].frame, ring_of(project, seat)
    elif opening.kind == "radiator":
        seat, frame, ring = box.radiator, box.radiator.frame, 0.0
    else:
        return None
    if not seat.flush or frame.flange_thickness is None or opening.outline is None:
        return None
    skins = carcass.skin(opening.panel) if opening.panel in carcass.panels else 0.0
    finish = project.cabinet.finish if opening.panel == "front" else 0.0
    return max(0.0, frame.flange_thickness + frame.gasket + ring - skins - finish)


def ring_of(project, seat):
    """Thickness of the spacer ring under a driver; 0 without one. [m]"""
    return 0.0 if seat.ring is None else project.workshop.sheets[seat.ring.sheet].thickness


def spacer_ring(project, opening):
    """Outline about its middle and thickness of the spacer ring of a seat [m]; None without one, or while its
    flange or its hole is not known."""
    seat = project.cabinet.seats[opening.name]
    if seat.ring is None or opening.width is None:
        return None
    frame = project.drivers[seat.driver].frame
    shape, least = spacer(seat, frame), seat.ring.diameter or frame.narrow
    return None if shape is None or least <= opening.width else (shape, ring_of(project, seat))


# --- What is bought and what is hung on


def _drivers(project, box, carcass, bracing, opened):
    for each in opened:
        if each.kind == "seat":
            seat = project.cabinet.seats[each.name]
            frame = project.drivers[seat.driver].frame
            yield each.name, "driver", frame.mass, _hangs(each, frame, carcass, bracing, seat.faces)
        elif each.kind == "radiator":
            frame = box.radiator.frame
            at = _hangs(each, frame, carcass, bracing)
            yield each.name, "driver", frame.mass + (box.radiator.added or 0.0), at


def _hangs(opening, frame, carcass, bracing, faces="up"):
    """Where the weight of a driver or a passive radiator is taken to hang. [m]"""
    inwards = (frame.depth or 0.0) / 3
    if opening.panel in ("front", "back"):
        return carcass.facing(opening.panel).at(opening.x, opening.y, inwards)
    plate = bracing.braces[opening.panel]
    height = plate.high[2] - inwards if faces == "up" else plate.low[2] + inwards
    return opening.x, opening.y, height


def _rings(project, carcass, bracing, opened):
    for each in opened:
        found = spacer_ring(project, each) if each.kind == "seat" else None
        if found is not None:
            seat = project.cabinet.seats[each.name]
            shape, t = found
            density = project.workshop.sheets[seat.ring.sheet].density
            mass = (enclosed(shape) - pi / 4 * each.width**2) * t * density
            flat = replace(project.drivers[seat.driver].frame, depth=None)
            yield f"{each.name} ring", "ring", mass, _hangs(each, flat, carcass, bracing, seat.faces)


def _grille(project, carcass, parts, layers):
    """The bars of the frame before the finished front, and the magnets in both."""
    if parts is None:
        return
    grown, face = growth_of(layers), carcass.facing("front")

    def at(x, y, before):
        return face.at(x - grown["left"], y - grown["bottom"], -grown["front"] - before)

    for name, bar in parts.bars.items():
        yield name, "grille", bar.mass, at(*bar.middle, bar.thickness / 2)
    made = project.cabinet.grille
    if made.holds == "magnets":
        each = pi / 4 * made.diameter**2 * sum(parts.hole_depth) * MAGNET
        x, y = (sum(place[k] for place in parts.holes) / len(parts.holes) for k in (0, 1))
        yield "magnets", "grille", each * len(parts.holes), at(x, y, 0.0)
