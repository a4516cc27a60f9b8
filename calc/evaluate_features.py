"""Project and result -> what the router does to each part, as `calc.shop.features.Part`s.

Panels and braces are here. What is glued onto panels is in `evaluate_layer_features`, plinth, grille and
the like in `evaluate_loose_features`.
"""

from calc.cabinet.brace_places import NORMAL, SPAN, plane_axes
from calc.cabinet.polyhedra import hull
from calc.evaluate_cabinet import laminated
from calc.evaluate_layer_features import blind_holes, layers, second_boards
from calc.evaluate_loose_features import crossover_board, grille, plinth, spacer_rings
from calc.evaluate_opened import opened, outline, runs_left
from calc.shop.features import Circle, Feature, Part, tool
from calc.shop.hands import own_image, same, turns_over
from calc.shop.rings import moved, rectangle, straight

FACES = {"shelf": ("upper face", "lower face"), "rib": ("right face", "left face"),
         "frame": ("front face", "back face")}  # fmt: skip
"""What the two faces of a plate are called: that seen from above, the right or the front, and the other."""

_HAIR = 1e-7  # m


def parts(project, result):
    """Each panel, each brace that is cut from a sheet, and all that is cut beside them: {name: `Part`}."""
    cabinet = result.cabinet
    panels = {name: _panel(project, result, solid) for name, solid in cabinet.carcass.panels.items()}
    plates = {
        name: _brace(project, result, solid)
        for name, solid in cabinet.braces.items()
        if solid.kind != "dowel"
    }
    glued = (*second_boards(project, result), *layers(project, result))
    loose = (*plinth(project, result), *grille(project, result), *spacer_rings(project, result))
    boards = crossover_board(project)
    return panels | plates | {part.name: part for part in (*glued, *loose, *boards)}


def handed(project, result, found):
    """Names of the parts in `found` whose right one in a mirrored pair is the mirror image of the left one.

    To the panels come what is glued on them, since its good face looks outwards, and plates that are cut into
    from one face, as for a driver. All else can be turned over.
    """
    if not project.cabinet.mirrored:
        return set()
    carcass, names = result.cabinet.carcass, set(result.handed)
    on = {name: solid.panel for name, solid in carcass.layers.items()}
    on |= {name: panel for panel, boards in laminated(project).items() for name, _ in boards[1:]}
    for name, panel in on.items():
        mate = {"left": "right", "right": "left"}.get(panel)
        if mate is None:
            alike = own_image(found[name])
        else:
            alike = any(same(found[name], found[other]) for other, where in on.items() if where == mate)
        names |= set() if alike else {name}
    plates = (found[name] for name in result.cabinet.braces if name in found)
    return names | {each.name for each in plates if not turns_over(each) and not own_image(each)}


def _panel(project, result, solid):
    carcass = result.cabinet.carcass
    face, bits = carcass.facing(solid.name), project.workshop.bits.values()
    ring = straight(solid.outline)
    x0, y0 = (min(corner[n] for corner in ring) for n in (0, 1))
    width, height = (max(corner[n] for corner in ring) - low for n, low in ((0, x0), (1, y0)))
    features = [outline(project, moved(ring, -x0, -y0), solid.thickness)]
    for cut in solid.cuts:
        features.append(_joint(cut, face, solid.thickness, (x0, y0), bits))
    holes, missing = opened(project, result, solid.name, solid.thickness, (x0, y0))
    holes += blind_holes(project, result, solid.name, (x0, y0))
    notes = [*missing]
    if solid.bevels:
        notes.append("The outline is that of the long points: saw the bevels first.")
    if solid.name == "front" and project.cabinet.rounding:
        notes.append("Its outer edges are rounded after the box is glued.")
    if any(layer.panel == solid.name for layer in carcass.layers.values()):
        notes.append(
            "Skins and linings have templates of their own; or glue them on whole, and open them along this"
            " panel with a flush-trim bit."
        )
    return Part(
        solid.name, width, height, solid.thickness, (*features, *holes), runs_left(face),
        {"outside": "outside", "inside": "inside"}, solid.bevels, tuple(notes),
    )  # fmt: skip


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


def _brace(project, result, solid):
    """A plate or a bar, its plane's first axis along x; a bar lies with its length along x."""
    bits = project.workshop.bits.values()
    if solid.kind == "bar":
        features = [outline(project, rectangle(0.0, 0.0, solid.length, solid.width), solid.thickness)]
        return Part(
            solid.name, solid.length, solid.width, solid.thickness, tuple(features), False,
            {"outside": "either face", "inside": "either face"}, {}, (), "x",
        )  # fmt: skip
    u, v = plane_axes(solid.kind)
    x0, y0 = solid.low[u], solid.low[v]
    ring = straight(hull((corner[u], corner[v]) for corner in solid.body.corners))
    features = [outline(project, moved(ring, -x0, -y0), solid.thickness)]
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
    holes, missing = opened(
        project, result, solid.name, solid.thickness, (x0, y0), "outside" if above else "inside"
    )
    notes = [*missing]
    if any(abs(a - b) > _HAIR for a, b in _edges_apart(solid, NORMAL[solid.kind])):
        notes.append("Its front edge is bevelled to the leaning front: the outline is the long point's.")
    return Part(
        solid.name, solid.high[u] - x0, solid.high[v] - y0, solid.thickness, (*features, *holes),
        False, dict(zip(("outside", "inside"), FACES[solid.kind], strict=True)), {}, tuple(notes),
        "xy"[SPAN[solid.kind] == v],
    )  # fmt: skip


def _edges_apart(solid, normal):
    """Of the two faces of a plate, where each begins along the cabinet's depth: as a pair, if it is known."""
    low = [c[1] for c in solid.body.corners if c[normal] < solid.low[normal] + _HAIR]
    high = [c[1] for c in solid.body.corners if c[normal] > solid.high[normal] - _HAIR]
    return [(min(low), min(high))] if normal != 1 and low and high else []
