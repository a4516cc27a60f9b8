"""One speaker as its parts: the body of each, where it goes when all is taken apart, and its facts."""

from dataclasses import dataclass, replace

from calc.cabinet.balance import feet_middles
from calc.cabinet.frames import edge_of
from calc.cabinet.joints import neighbours
from calc.cabinet.polyhedra import clipped
from calc.evaluate_cabinet import underside
from calc.evaluate_port import ports_called, tubes
from calc.evaluate_weights import ring_of, spacer_ring, sunk
from calc.shop.features import Circle
from calc.shop.flange_rings import half_sides, placed
from calc.shop.rings import flattened
from server.drawings.profile import half_profile, profile, radiator_profile
from server.drawings.solids import (
    bored,
    brace_surface,
    circle,
    depths,
    layer_surface,
    panel_surface,
    rounded_corners,
)
from server.drawings.surfaces import Surface, faces_of, prism, round_surface, surface
from server.plates import all_openings, letters, recess_above

STEP = 0.3
"""How far a panel stands off when all is taken apart, in the cabinet's longest side."""

FAR = {
    "inside": 0.6, "gasket": 0.8, "panel": 1.0, "outside": 1.4, "port": 1.8, "ring": 1.9, "driver": 2.1,
    "radiator": 2.1, "grille": 2.6,
}  # fmt: skip
"""How many steps each kind moves along the way out through its panel."""


@dataclass(frozen=True)
class Part:
    """One part of a speaker.

    name : unique among the parts. title : as people read it. letter : in the cut list, or "".
    kind : "panel", "layer", "brace", "plinth", "grille", "ring", "gasket", "driver", "radiator", "port",
        "board" or "foot".
    shape : server.drawings.surfaces.Surface, where the part belongs.
    move : the step that takes it apart from the others. [m]
    sizes : (long, wide, thick); of what is turned (diameter, None, depth). [m]
    mass : kg, None of what is not weighed.
    open : what is open in it: (name, width, height or None of a circle). [m]
    """

    name: str
    title: str
    letter: str
    kind: str
    shape: Surface
    move: tuple
    sizes: tuple
    mass: float | None
    open: tuple = ()


def parts(bench):
    """All parts of a bench's cabinet: panels, skins and linings, braces, drivers, radiators, ports."""
    cabinet, named, opened = bench.result.cabinet, letters(bench.result), _opened(bench)
    step = STEP * max(cabinet.carcass.outer)
    masses = {(kind, name): mass for name, kind, mass, _ in cabinet.masses}
    found = []

    def sawn(name, kind, solid, shape, move, openings):
        mass = masses[kind, name]
        found.append(_sawn(name, kind, solid, named[name], shape, move, openings, mass))

    for name, solid in cabinet.carcass.panels.items():
        shape = panel_surface(cabinet.carcass, name, opened.get(name, ()))
        away = tuple(-step * a for a in cabinet.carcass.facing(name).inward)
        sawn(name, "panel", solid, shape, away, opened.get(name, ()))
    for name, solid in cabinet.carcass.layers.items():
        own = opened.get(solid.panel, ())
        share = -step * FAR[solid.place]
        away = tuple(share * a for a in cabinet.carcass.facing(solid.panel).inward)
        shape = layer_surface(cabinet.carcass, name, own, cabinet.braces.values())
        sawn(name, "layer", solid, shape, away, ())
    for name, solid in cabinet.braces.items():
        above = recess_above(bench, name)
        shape = brace_surface(solid, opened.get(name, ()), above)
        sawn(name, "brace", solid, shape, (0.0, 0.0, 0.0), opened.get(name, ()))
    for name, solid in cabinet.plinth.items():
        shape, below = _plinth_surface(solid), (0.0, 0.0, -1.4 * step)
        sawn(name, "plinth", solid, shape, below, ())
    for name, bar in cabinet.grille.bars.items() if cabinet.grille else ():
        away = tuple(-FAR["grille"] * step * a for a in cabinet.carcass.facing("front").inward)
        sawn(name, "grille", bar, _bar(cabinet.carcass, bar), away, ())
    added = (*_rings(bench, step), *_gasket(cabinet.carcass, step))
    bought = (*_drivers(bench, step), *_ports(bench, step), *_boards(bench), *_feet(bench, step))
    return [*found, *added, *bought]


def _opened(bench):
    """All openings by panel, a recess as deep below the finished face as skins and router leave it."""
    box, cabinet = bench.project.alternatives[bench.project.chosen].box, bench.result.cabinet
    floors = {each.name: (each, sunk(bench.project, box, cabinet.carcass, each)) for each in cabinet.openings}
    return {
        panel: [_deepened(each, *floors.get(each.name, (None, None)), cabinet.carcass) for each in openings]
        for panel, openings in all_openings(bench).items()
    }


def _deepened(drawn, opening, floor, carcass):
    if floor is None or drawn.kind not in ("seat", "radiator"):
        return drawn
    skins = carcass.skin(opening.panel) if opening.panel in carcass.panels else 0.0
    return replace(drawn, recess=(opening.outline, skins + floor))


def _bar(carcass, bar):
    """The `Surface` of a bar of the grille, before the finished front."""
    upright = bar.name.split()[-1] in ("left", "right")
    across, up = (bar.width, bar.length) if upright else (bar.length, bar.width)
    x, y = bar.middle[0] - carcass.skin("left"), bar.middle[1] - carcass.skin("bottom")
    rim = rounded_corners(x - across / 2, y - up / 2, x + across / 2, y + up / 2, 0.0)
    face = -carcass.skin("front")
    return surface(bored(rim, carcass.facing("front").at, face - bar.thickness, face))


def _rings(bench, step):
    """Spacer rings under flanges, on the floor of the recess or on the face."""
    project, cabinet = bench.project, bench.result.cabinet
    box = project.alternatives[project.chosen].box
    masses = {name: mass for name, kind, mass, _ in cabinet.masses if kind == "ring"}
    for each in cabinet.openings:
        name = f"{each.name} ring"
        if name not in masses:
            continue
        at, out = _face_of(cabinet, project.cabinet.seats[each.name], each.panel)
        floor = sunk(project, box, cabinet.carcass, each)
        skins = cabinet.carcass.skin("front") if each.panel == "front" else 0.0
        low = -skins if floor is None else floor
        outline, t = spacer_ring(project, each)
        wide, high = (2 * half for half in half_sides(outline))
        sizes = wide, None if isinstance(outline, Circle) else high, t
        gap = bored(circle(each.x, each.y, each.width / 2), at, low - t - 1e-4, low + 1e-4)
        shape = surface(bored(_rim(outline, each.x, each.y), at, low - t, low), (gap,))
        away = tuple(FAR["ring"] * step * a for a in out)
        yield Part(
            name, f"Ring of {each.name}", "", "ring", shape, away, sizes, masses[name],
            ((each.name, each.width, None),),
        )  # fmt: skip


def _rim(outline, x, y):
    """Corners of the outline of a ring, put to its place. [m]"""
    if isinstance(outline, Circle):
        return circle(x, y, outline.diameter / 2)
    return flattened(placed(outline, x, y))


def _face_of(cabinet, seat, panel):
    """Places at (x, y, depth) under the bare face that a driver sits in, and the way out of it."""
    if seat.wall is None:
        face = cabinet.carcass.facing(panel)
        return face.at, tuple(-a for a in face.inward)
    top, down = _shelf_face(cabinet.braces[seat.wall], seat.faces)
    return (lambda x, y, depth: (x, y, top + down * depth)), (0.0, 0.0, -float(down))


def _gasket(carcass, step):
    """The ring of soft stuff under the panel that comes off."""
    if carcass.gasket is None or not carcass.gasket.thickness:
        return
    walls, name = carcass.walls, carcass.gasket.panel
    ring = clipped(walls.blanks[name], walls.plane(name, walls.thicknesses[name]))
    mouth = clipped(walls.body, *(walls.plane(mate, walls.thicknesses[mate]) for mate in neighbours(name)))
    away = tuple(-FAR["gasket"] * step * a for a in carcass.facing(name).inward)
    panel, shape = carcass.panels[name], surface(faces_of(ring), (faces_of(mouth),))
    sizes = panel.length, panel.width, carcass.gasket.thickness
    yield Part("gasket", "Gasket", "", "gasket", shape, away, sizes, None)


def _sawn(name, kind, solid, letter, shape, move, openings, mass):
    """A `Part` cut from a sheet."""
    sizes = solid.length, solid.width, solid.thickness
    open_ = tuple((o.name, o.width, None if o.round else o.height) for o in openings)
    return Part(name, name.capitalize(), letter, kind, shape, move, sizes, mass, open_)


def finished_face(carcass, panel):
    """The `Facing` of a panel's skin, or of itself."""
    face = carcass.facing(panel)
    return face._replace(origin=face.at(0.0, 0.0, depths(carcass, panel)[0]))


# What is bought ---------------------------------------------------------------------------------------


def _drivers(bench, step):
    """Drivers and passive radiators, each with its flange on its seat."""
    project, cabinet = bench.project, bench.result.cabinet
    radiator = getattr(project.alternatives[project.chosen].box, "radiator", None)
    for each in cabinet.openings:
        if each.kind == "seat":
            seat = project.cabinet.seats[each.name]
            driver = project.drivers[seat.driver]
            shape, frame, flush, wall, faces = (
                profile(driver),
                driver.frame,
                seat.flush,
                seat.wall,
                seat.faces,
            )
            title = driver.name or each.name.capitalize()
            finish = project.cabinet.finish if wall is None else 0.0
        elif each.kind == "radiator":
            shape, frame, flush, wall, faces = (
                radiator_profile(radiator),
                radiator.frame,
                radiator.flush,
                None,
                "",
            )
            title, finish = each.name.capitalize(), project.cabinet.finish if each.panel == "front" else 0.0
        else:
            continue
        if wall is None:
            face = finished_face(cabinet.carcass, each.panel)
            at, away = face.at, tuple(-a for a in face.inward)
        else:
            top, down = _shelf_face(cabinet.braces[wall], faces)
            at, away = (lambda x, y, depth, t=top, d=down: (x, y, t + d * depth)), (0.0, 0.0, -float(down))
        floor = sunk(project, project.alternatives[project.chosen].box, cabinet.carcass, each)
        ring = ring_of(project, seat) if each.kind == "seat" else 0.0
        if not flush:
            seated = -ring
        elif floor is None:  # its sheet gives no flange: as one of the usual size lies flush
            seated = max(0.0, shape.flange_thickness + frame.gasket - finish)
        else:
            seated = floor - ring + (cabinet.carcass.skin(each.panel) if wall is None else 0.0)
        front = seated - shape.flange_thickness - frame.gasket
        half = half_profile(shape, front, seated)
        if each.edge:
            half = [(front, half[2][1]), *half[2:]]
        turned = [*_face_profile(shape, front, seated), *half]
        body = round_surface(turned, lambda a, b, depth, at=at, e=each: at(e.x + a, e.y + b, depth))
        if each.edge:
            turn = 0.0 if each.kind == "radiator" else seat.turn
            rim = edge_of(frame, 0.0, turn).shifted(each.x, each.y)
            flange = _flange(rim, half[0][1], at, front, seated)
            body = Surface(body.faces + flange.faces, body.strokes + flange.strokes)
        kind = "driver" if each.kind == "seat" else "radiator"
        across = frame.narrow if each.edge else None
        yield Part(
            each.name, title, "", kind, body, tuple(FAR[kind] * step * a for a in away),
            (shape.flange, across, seated + shape.depth - front), frame.mass or None,
        )  # fmt: skip


def _flange(rim, hole, at, front, seated):
    """The `Surface` of a flange that is no circle, a ring within `rim` about a hole of radius `hole` [m]."""
    gap = bored(circle(rim.x, rim.y, hole), at, front - 1e-4, seated + 1e-4)
    return surface(bored(rim.corners(), at, front, seated), (gap,))


def _shelf_face(brace, faces):
    return (brace.high[2], -1) if faces == "up" else (brace.low[2], 1)


def _face_profile(shape, front, seated):
    """What shows of a driver from before, its cone or its dome: (depth, radius) from the axis."""
    if shape.kind == "tweeter":
        r = shape.dome / 2
        return [(front - 0.5 * r, 0.2 * r), (front - 0.38 * r, 0.7 * r), (front, r)]
    rim, coil = 0.43 * shape.cutout, 0.15 * shape.cutout
    return [(seated + 0.4 * shape.depth, coil), (front + 1e-4, rim), (front, 0.47 * shape.cutout)]


def _ports(bench, step):
    """Ports as tubes or ducts of their length, from the face of their panel inwards."""
    project, cabinet = bench.project, bench.result.cabinet
    for of, port in tubes(project.alternatives[project.chosen].box).items():
        length = cabinet.port_lengths.get(of) or port.length
        mouths = [each for each in cabinet.openings if each.kind == "port" and each.of == of]
        for n, each in enumerate(mouths, 1):
            if not length:
                continue
            face = finished_face(cabinet.carcass, each.panel)
            title = ports_called(of, 1).capitalize() + (f" {n}" if len(mouths) > 1 else "")
            yield Part(
                each.name, title, "", "port", _tube(each, port, face, length),
                tuple(-FAR["port"] * step * a for a in face.inward),
                (each.width, None if each.round else each.height, length), None,
            )  # fmt: skip


def _plinth_surface(board):
    """The `Surface` of a board of the plinth, its ends at 45 degrees where it is mitred."""
    (x0, y0, z0), (x1, y1, z1) = board.low, board.high
    a = board.thickness if board.mitred else 0.0
    base = {
        "front": ((x0, y0), (x1, y0), (x1 - a, y1), (x0 + a, y1)),
        "back": ((x0 + a, y0), (x1 - a, y0), (x1, y1), (x0, y1)),
        "left": ((x0, y0), (x1, y0 + a), (x1, y1 - a), (x0, y1)),
        "right": ((x0, y0 + a), (x1, y0), (x1, y1), (x0, y1 - a)),
    }[board.name.split()[-1]]
    return surface(prism([(x, y, z0) for x, y in base], (0.0, 0.0, z1 - z0)))


def _boards(bench):
    """Crossover boards, each with the room of its parts on the inner face of its panel."""
    carcass = bench.result.cabinet.carcass
    for name, board in bench.project.cabinet.boards.items():
        half_x, half_y = board.width / 2, board.height / 2
        rim = rounded_corners(board.x - half_x, board.y - half_y, board.x + half_x, board.y + half_y, 0.0)
        start = depths(carcass, board.panel)[1]
        shape = surface(bored(rim, carcass.facing(board.panel).at, start, start + board.depth))
        sizes = board.height, board.width, board.depth
        yield Part(name, name.capitalize(), "", "board", shape, (0.0, 0.0, 0.0), sizes, board.mass or None)


def _feet(bench, step):
    """Feet as turned bodies under the bottom or the plinth."""
    made, feet = bench.project.cabinet, bench.project.cabinet.feet
    if feet is None:
        return
    edges, down = underside(made, bench.result.cabinet.carcass)
    for n, (x, y) in enumerate(feet_middles(*edges, feet.count, feet.inset), 1):
        turned = [(0.0, feet.diameter / 2), (feet.height, feet.diameter / 2)]
        shape = round_surface(turned, lambda a, b, depth, x=x, y=y: (x + a, y - b, down - depth))
        sizes = feet.diameter, None, feet.height
        yield Part(f"foot {n}", f"Foot {n}", "", "foot", shape, (0.0, 0.0, -1.8 * step), sizes, None)


def _tube(mouth, port, face, length):
    """A tube or a duct at the opening `mouth`, open at both ends; one along the floor has none of its own."""
    wall = max(port.wall, 5e-4)
    if mouth.round:
        outer, inner = (circle(mouth.x, mouth.y, mouth.width / 2 - inset) for inset in (0.0, wall))
    else:
        x0, x1 = mouth.x - mouth.width / 2, mouth.x + mouth.width / 2
        y0, y1 = mouth.y - mouth.height / 2, mouth.y + mouth.height / 2
        below = 0.0 if port.shape.along_wall else wall
        outer = rounded_corners(x0 - wall, y0 - below, x1 + wall, y1 + wall, 0.0)
        inner = rounded_corners(x0, y0, x1, y1, 0.0)
    return surface(bored(outer, face.at, 0.0, length), (bored(inner, face.at, -wall, length + wall),))
