"""Project and result -> what the router does to each panel and each brace, as `calc.shop.features.Part`s."""

from math import radians

from calc.cabinet.brace_places import NORMAL, plane_axes
from calc.cabinet.polyhedra import hull
from calc.shop.features import Circle, Feature, Part, tool
from calc.shop.rings import moved, rectangle, straight, truncated, turned

PRICK = 1e-3
"""Diameter and depth of the mark where a screw goes. [m]"""

FACES = {"shelf": ("upper face", "lower face"), "rib": ("right face", "left face"),
         "frame": ("front face", "back face")}  # fmt: skip
"""What the two faces of a plate are called: that seen from above, the right or the front, and the other."""

_HAIR = 1e-7  # m


def parts(project, result):
    """Each panel, then each brace that is cut from a sheet: {name: `Part`}."""
    cabinet = result.cabinet
    panels = {name: _panel(project, result, solid) for name, solid in cabinet.carcass.panels.items()}
    plates = {
        name: _brace(project, result, solid)
        for name, solid in cabinet.braces.items()
        if solid.kind != "dowel"
    }
    return panels | plates


def _panel(project, result, solid):
    carcass = result.cabinet.carcass
    face, bits = carcass.facing(solid.name), project.workshop.bits.values()
    ring = straight(solid.outline)
    x0, y0 = (min(corner[n] for corner in ring) for n in (0, 1))
    width, height = (max(corner[n] for corner in ring) - low for n, low in ((0, x0), (1, y0)))
    features = [_outline(project, moved(ring, -x0, -y0), solid.thickness)]
    for cut in solid.cuts:
        features.append(_joint(cut, face, solid.thickness, (x0, y0), bits))
    opened, missing = _openings(project, result, solid.name, solid.thickness, (x0, y0))
    notes = [*missing]
    if solid.bevels:
        notes.append("The outline is that of the long points: saw the bevels first.")
    if solid.name == "front" and project.cabinet.rounding:
        notes.append("Its outer edges are rounded after the box is glued.")
    if any(layer.panel == solid.name for layer in carcass.layers.values()):
        notes.append("Skins and linings are opened along this panel with a flush-trim bit, once glued on.")
    return Part(
        solid.name, width, height, solid.thickness, (*features, *opened), _runs_left(face),
        {"outside": "outside", "inside": "inside"}, solid.bevels, tuple(notes),
    )  # fmt: skip


def _runs_left(face):
    """Whether the x of a face runs to the left for somebody who looks at it from outside."""
    (rx, ry, rz), (ux, uy, uz), (ix, iy, iz) = face.right, face.up, face.inward
    towards = (ry * uz - rz * uy) * ix + (rz * ux - rx * uz) * iy + (rx * uy - ry * ux) * iz
    return towards > 0


def _outline(project, ring, thickness):
    bit = project.workshop.bits[project.workshop.bit]
    return Feature("outline", "outline", ring, thickness, "outside", True, bit)


def _joint(cut, face, thickness, origin, bits):
    """A rabbet, a groove or a hole for a mate, from the inside face."""
    places = [face.of(corner) for corner in cut.body.corners]
    shallow = min(depth for *_, depth in places)
    top = hull((x, y) for x, y, depth in places if depth > thickness - _HAIR)
    floor = hull((x, y) for x, y, depth in places if depth < shallow + _HAIR)
    depth = min(thickness, thickness - shallow)
    ring = moved(straight(hull((x, y) for x, y, _ in places)), -origin[0], -origin[1])
    wide, tall = (max(c[n] for c in ring) - min(c[n] for c in ring) for n in (0, 1))
    through = depth > thickness - _HAIR
    if cut.kind == "hole":
        middle = sum(c[0] for c in ring) / len(ring), sum(c[1] for c in ring) / len(ring)
        shape, bit = Circle(*middle, min(wide, tall)), tool(bits, min(wide, tall), square=False)
    else:
        shape, bit = ring, tool(bits, min(wide, tall))
    slanted = len(floor) != len(top) or any(
        abs(a - b) > _HAIR for p, q in zip(floor, top, strict=True) for a, b in zip(p, q, strict=True)
    )
    return Feature(cut.kind, cut.name, shape, depth, "inside", through, bit, slanted)


def _openings(project, result, where, thickness, origin, face="outside"):
    """What opens a panel or a shelf, in the order of work: (features, notes on what is not known)."""
    found, missing = [], []
    bit = project.workshop.bits[project.workshop.bit]
    for each in result.openings:
        if each.panel != where:
            continue
        seat = _bored(result, each)
        if each.width is None or (each.kind in ("seat", "radiator") and seat is None):
            missing.append(f"“{each.name}” is left out: its flange or cut-out is not known yet.")
            continue
        x, y = each.x - origin[0], each.y - origin[1]
        if seat and seat.recess:
            shape, used = Circle(x, y, seat.recess), bit
            if seat.flats:
                ring, used = _recess(project, each, seat)
                shape = moved(ring, x, y)
            found.append(Feature("recess", each.name, shape, seat.recess_depth, face, False, used))
        if each.round:
            shape, used = Circle(x, y, each.width), bit if bit < each.width else None
        else:
            half_x, half_y = each.width / 2, each.height / 2
            shape = rectangle(x - half_x, y - half_y, x + half_x, y + half_y, each.corner)
            narrowest = min(each.width, each.height, 2 * each.corner or each.width)
            used = tool(project.workshop.bits.values(), narrowest, square=not each.corner)
        found.append(Feature("opening", each.name, shape, thickness, face, True, used))
        if seat and seat.chamfer:
            shape = Circle(x, y, seat.chamfer.mouth)
            back = "inside" if face == "outside" else "outside"
            found.append(Feature("chamfer", each.name, shape, seat.chamfer.depth, back))
        for across, up in each.screws:
            place = Circle(x + across, y + up, PRICK)
            found.append(Feature("screw", each.name, place, PRICK, face))
    return found, missing


def _bored(result, opening):
    """How a driver's or a radiator's seat is cut; None of what is neither, or is not known."""
    if opening.kind == "seat":
        return result.seats.get(opening.name)
    return result.radiator_seat if opening.kind == "radiator" else None


def _recess(project, opening, bored):
    """Ring of a recess that is no circle, about its centre, and the bit that cuts it, None if none does."""
    shop = project.workshop
    if opening.kind == "seat":
        seat = project.cabinet.seats[opening.name]
        frame, turn = project.drivers[seat.driver].frame, radians(seat.turn)
    else:
        frame, turn = project.alternatives[project.chosen].box.radiator.frame, 0.0
    if frame.shape == "truncated":
        return turned(truncated(bored.recess, 2 * bored.flats.edge), turn), shop.bits[shop.bit]
    half, radius = bored.recess / 2, frame.corner + shop.flange_clearance / 2
    ring = rectangle(-half, -half, half, half, radius)
    return turned(ring, turn), tool(shop.bits.values(), 2 * radius, square=False)


def _brace(project, result, solid):
    """A plate or a bar, its plane's first axis along x; a bar lies with its length along x."""
    bits = project.workshop.bits.values()
    if solid.kind == "bar":
        features = [_outline(project, rectangle(0.0, 0.0, solid.length, solid.width), solid.thickness)]
        return Part(
            solid.name, solid.length, solid.width, solid.thickness, tuple(features), False,
            {"outside": "either face", "inside": "either face"}, {},
        )  # fmt: skip
    u, v = plane_axes(solid.kind)
    x0, y0 = solid.low[u], solid.low[v]
    ring = straight(hull((corner[u], corner[v]) for corner in solid.body.corners))
    features = [_outline(project, moved(ring, -x0, -y0), solid.thickness)]
    for (a, b), (c, d), radius in solid.windows:
        shape = rectangle(a - x0, b - y0, c - x0, d - y0, radius)
        widest = tool(bits, min(c - a, d - b, 2 * radius or 1.0), square=False)
        features.append(Feature("window", "window", shape, solid.thickness, "outside", True, widest))
    for cut in solid.cuts:
        low, high = (cut.low[u] - x0, cut.low[v] - y0), (cut.high[u] - x0, cut.high[v] - y0)
        bit = tool(bits, min(high[0] - low[0], high[1] - low[1]))
        features.append(
            Feature(cut.kind, cut.name, rectangle(*low, *high), solid.thickness, "outside", True, bit)
        )
    above = all(seat.faces == "up" for seat in project.cabinet.seats.values() if seat.wall == solid.name)
    opened, missing = _openings(
        project, result, solid.name, solid.thickness, (x0, y0), "outside" if above else "inside"
    )
    notes = [*missing]
    if any(abs(a - b) > _HAIR for a, b in _edges_apart(solid, NORMAL[solid.kind])):
        notes.append("Its front edge is bevelled to the leaning front: the outline is the long point's.")
    return Part(
        solid.name, solid.high[u] - x0, solid.high[v] - y0, solid.thickness, (*features, *opened),
        False, dict(zip(("outside", "inside"), FACES[solid.kind], strict=True)), {}, tuple(notes),
    )  # fmt: skip


def _edges_apart(solid, normal):
    """Of the two faces of a plate, where each begins along the cabinet's depth: as a pair, if it is known."""
    low = [c[1] for c in solid.body.corners if c[normal] < solid.low[normal] + _HAIR]
    high = [c[1] for c in solid.body.corners if c[normal] > solid.high[normal] - _HAIR]
    return [(min(low), min(high))] if normal != 1 and low and high else []
