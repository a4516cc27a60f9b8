"""Project and result -> skins, linings and second boards as the router sees them, each with its openings.

A skin is cut out to the flanges that lie in it, as it is for its weight (`calc.cabinet.bored`). A lining is
open as wide as a chamfered hole is to the inside, and leaves room for the braces that stand in it.
"""

from dataclasses import replace

from calc.cabinet.flat_shapes import HAIR
from calc.cabinet.polyhedra import block, common, hull
from calc.evaluate_cabinet import laminated
from calc.evaluate_opened import left_out, opened, outline, pricks, recess, runs_left, through
from calc.evaluate_weights import sunk
from calc.shop.features import Circle, Feature, Part, tool
from calc.shop.rings import moved, straight

FACES = {"outside": "outside", "inside": "inside"}


def second_boards(project, result):
    """The board behind each panel that is laminated to it: what both are to be opened by."""
    for panel, boards in laminated(project).items():
        for name, thickness in boards[1:]:
            yield board(project, result, panel, name, thickness)


def board(project, result, panel, name, thickness):
    """One board of a panel that is laminated, before it is glued: the panel's blank and its holes."""
    carcass = result.cabinet.carcass
    ring = straight(carcass.panels[panel].outline)
    origin, width, height = _blank(ring)
    holes, missing = opened(project, result, panel, thickness, origin)
    features = (
        outline(project, moved(ring, -origin[0], -origin[1]), thickness),
        *(each for each in holes if each.kind == "opening"),
    )
    notes = *missing, f"Glue it to the {panel} first: both are then cut to size and grooved as one."
    return _part(carcass, panel, name, (width, height, thickness), features, {}, notes)


def layers(project, result):
    """Each skin and each lining."""
    for solid in result.cabinet.carcass.layers.values():
        yield _skin(project, result, solid) if solid.place == "outside" else _lining(project, result, solid)


def _skin(project, result, solid):
    carcass = result.cabinet.carcass
    ring = straight(solid.outline)
    origin, width, height = _blank(ring)
    features = [outline(project, moved(ring, -origin[0], -origin[1]), solid.thickness)]
    box, notes = project.alternatives[project.chosen].box, []
    for each in result.openings:
        if each.panel != solid.panel:
            continue
        x, y = each.x - origin[0], each.y - origin[1]
        if each.width is None:
            notes.append(left_out(each))
        elif sunk(project, box, carcass, each) is None:
            features.append(through(project, each, x, y, solid.thickness))
            if _skins(carcass, solid.panel)[-1] == solid:
                features += pricks(each, x, y, "outside")
        else:
            shape, bit = recess(project, each, x, y)
            features.append(Feature("opening", each.name, shape, solid.thickness, "outside", True, bit))
    features += blind_holes(project, result, solid.name, origin)
    notes.append("Or glue it on whole, and open it along the panel under it with a flush-trim bit.")
    return _part(
        carcass, solid.panel, solid.name, (width, height, solid.thickness), features, solid.bevels, notes
    )


def _lining(project, result, solid):
    carcass, bits = result.cabinet.carcass, project.workshop.bits.values()
    ring = straight(solid.outline)
    origin, width, height = _blank(ring)
    features, notes = [outline(project, moved(ring, -origin[0], -origin[1]), solid.thickness)], []
    for each in result.openings:
        if each.panel != solid.panel:
            continue
        if each.width is None:
            notes.append(left_out(each))
            continue
        x, y = each.x - origin[0], each.y - origin[1]
        hole = through(project, each, x, y, solid.thickness, "inside")
        features.append(hole if each.mouth is None else replace(hole, shape=Circle(x, y, each.mouth)))
    for name, brace in result.cabinet.braces.items():
        bite = common(solid.body, block(brace.low, brace.high))
        if bite is None:
            continue
        places = [carcass.facing(solid.panel).of(corner) for corner in bite.corners]
        shape = moved(straight(hull((x, y) for x, y, _ in places)), -origin[0], -origin[1])
        spans = [max(c[n] for c in shape) - min(c[n] for c in shape) for n in (0, 1)]
        features.append(
            Feature("notch", name, shape, solid.thickness, "inside", True, tool(bits, min(spans)))
        )
        if spans[0] > width - HAIR or spans[1] > height - HAIR:
            notes.append(f"“{name}” parts it: saw it through there.")
    notes.append(f"Or glue it on before the {solid.panel} is bored, and open both at once.")
    return _part(
        carcass, solid.panel, solid.name, (width, height, solid.thickness), features, solid.bevels, notes
    )


def blind_holes(project, result, board, origin):
    """Holes for a grille's magnets or pegs in one `board` of the front, the outermost first."""
    frame, carcass = result.cabinet.grille, result.cabinet.carcass
    boards = [*reversed(_skins(carcass, "front")), carcass.panels["front"]]
    if frame is None or board not in [each.name for each in boards]:
        return []
    left, diameter = frame.hole_depth[0], project.cabinet.grille.diameter
    while boards[0].name != board:
        over = boards.pop(0)
        left -= over.thickness + over.soft
    deep = min(left, boards[0].thickness)
    bit = tool(project.workshop.bits.values(), diameter, square=False)
    aside, up = carcass.skin("left") + origin[0], carcass.skin("bottom") + origin[1]
    through_it = deep > boards[0].thickness - HAIR
    return [
        Feature("hole", "grille", Circle(x - aside, y - up, diameter), deep, "outside", through_it, bit)
        for x, y in frame.holes
        if deep > HAIR
    ]


def _skins(carcass, panel):
    """What covers a panel, the outermost last."""
    return [each for each in carcass.layers.values() if (each.panel, each.place) == (panel, "outside")]


def _blank(ring):
    """Lower left corner of what a ring covers, its width and its height. [m]"""
    lows, highs = ([end(corner[n] for corner in ring) for n in (0, 1)] for end in (min, max))
    return tuple(lows), highs[0] - lows[0], highs[1] - lows[1]


def _part(carcass, panel, name, sizes, features, bevels, notes):
    if bevels:
        notes = (*notes, "The outline is that of the long points: saw the bevels first.")
    return Part(name, *sizes, tuple(features), runs_left(carcass.facing(panel)), FACES, bevels, tuple(notes))
