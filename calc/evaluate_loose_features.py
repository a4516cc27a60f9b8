"""Project and result -> what the router cuts beside the box: plinth, grille, rings, crossover board."""

from calc.evaluate_board import THICKNESS, boarded
from calc.evaluate_opened import PRICK, bored, outline, pricks, through
from calc.shop.features import Circle, Feature, Part, tool
from calc.shop.flange_rings import half_sides, placed, spacer
from calc.shop.rings import rectangle

OUTER = {"outside": "outer face", "inside": "inner face"}
GRILLE = {"outside": "front face", "inside": "back face"}
EITHER = {"outside": "either face", "inside": "either face"}
PARTS_UP = {"outside": "the parts’ side", "inside": "the pads’ side"}


def plinth(project, result):
    """The four boards that the cabinet stands on."""
    for name, solid in result.cabinet.plinth.items():
        ring = rectangle(0.0, 0.0, solid.length, solid.width)
        mitred = "Both ends are mitred at 45°: its length is that of the long points, on the outer face."
        yield Part(
            name, solid.length, solid.width, solid.thickness, (outline(project, ring, solid.thickness),),
            False, OUTER, {"left": 45.0, "right": 45.0} if solid.mitred else {},
            (mitred,) if solid.mitred else (), "x",
        )  # fmt: skip


def grille(project, result):
    """The bars of the frame, seen from the front, and the whole frame to lay them out on."""
    frame, made = result.cabinet.grille, project.cabinet.grille
    if frame is None:
        return
    bars = frame.bars.values()
    left, low = (min(bar.middle[n] - size / 2 for bar in bars for size in (_sides(bar)[n],)) for n in (0, 1))
    for bar in bars:
        width, height = _sides(bar)
        corner = bar.middle[0] - width / 2, bar.middle[1] - height / 2
        inside = [
            place for place in frame.holes
            if corner[0] < place[0] < corner[0] + width and corner[1] < place[1] < corner[1] + height
        ]  # fmt: skip
        ring = rectangle(0.0, 0.0, width, height)
        features = outline(project, ring, bar.thickness), *_magnets(project, frame, inside, corner)
        grain = "y" if bar.length == height else "x"
        yield Part(bar.name, width, height, bar.thickness, features, False, GRILLE, {}, (), grain)
    thickness = next(iter(bars)).thickness
    inner = rectangle(made.bar, made.bar, frame.width - made.bar, frame.height - made.bar)
    bit = tool(project.workshop.bits.values(), min(frame.width, frame.height) - 2 * made.bar)
    features = (
        outline(project, rectangle(0.0, 0.0, frame.width, frame.height), thickness),
        Feature("window", "window", inner, thickness, "inside", True, bit),
        *_magnets(project, frame, frame.holes, (left, low)),
    )
    yield Part(
        "grille frame", frame.width, frame.height, thickness, features, False, GRILLE, {},
        ("The four bars together: glue them up on it, or cut the frame from one piece.",),
    )  # fmt: skip


def _sides(bar):
    """Width and height of a bar as it stands in the frame. [m]"""
    upright = bar.name.split()[-1] in ("left", "right")
    return (bar.width, bar.length) if upright else (bar.length, bar.width)


def _magnets(project, frame, places, corner):
    diameter, depth = project.cabinet.grille.diameter, frame.hole_depth[1]
    bit = tool(project.workshop.bits.values(), diameter, square=False)
    return [
        Feature("hole", project.cabinet.grille.holds, Circle(x - corner[0], y - corner[1], diameter), depth,
                "inside", False, bit)
        for x, y in places
        if depth
    ]  # fmt: skip


def spacer_rings(project, result):
    """The ring under each flange that a skin would leave too deep."""
    for each in result.openings:
        seat = project.cabinet.seats.get(each.name) if each.kind == "seat" else None
        if seat is None or seat.ring is None or each.width is None or bored(result, each) is None:
            continue
        frame = project.drivers[seat.driver].frame
        shape = spacer(seat, frame)
        half_x, half_y = half_sides(shape)
        thickness = project.workshop.sheets[seat.ring.sheet].thickness
        features = (
            outline(project, placed(shape, half_x, half_y), thickness),
            through(project, each, half_x, half_y, thickness),
            *pricks(each, half_x, half_y, "outside"),
        )
        yield Part(
            f"{each.name} ring", 2 * half_x, 2 * half_y, thickness, features, False, EITHER, {},
            ("Cut the hole first, while the wood round it holds the ring.",),
        )  # fmt: skip


def crossover_board(project):
    """The board of the crossover: where leads go through it, and its pads."""
    made = boarded(project)
    if made is None:
        return
    lie = made.layout
    holes = [("lead", f"{lead.part}", at) for lead, at in lie.leads.items()]
    holes += [("pad", pad.name, (pad.x, pad.y)) for pad in lie.pads]
    features = (
        outline(project, rectangle(0.0, 0.0, lie.width, lie.height), THICKNESS),
        *(Feature(kind, name, Circle(*at, PRICK), PRICK, "outside") for kind, name, at in holes),
    )
    yield Part(
        "crossover board", lie.width, lie.height, THICKNESS, features, False, PARTS_UP, {},
        ("Pads and leads are pricked through; which part lies where is told on the page Wiring.",),
    )  # fmt: skip
