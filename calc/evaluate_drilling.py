"""Project and result -> the drill list: pilots by screw and wood, blind holes, whether the screws hold."""

from dataclasses import dataclass, replace
from math import ceil, sqrt
from typing import NamedTuple

from calc.cabinet.balance import GRAVITY, feet_middles
from calc.cabinet.joints import neighbours
from calc.cabinet.materials import material_of
from calc.evaluate_boring import marked
from calc.evaluate_cabinet import underside
from calc.evaluate_features import parts
from calc.shop.features import Circle, side
from calc.shop.marks import mark
from calc.shop.screws import DENSE, allowable, pilot, pilot_depth

FIBRES = ("MDF", "particleboard")
"""Boards without grain, of which the Wood Handbook's formula tells nothing."""

THROUGH_LID = 2.5
"""A lid's screw is so many times as long as the lid is thick (common practice, no source)."""

LENGTHS = 0.005
"""Screws are sold in steps of so much, or of a quarter inch. [m]"""

BEYOND = 0.002
"""A pilot hole in an edge goes deeper than the screw's point by this (common practice, no source). [m]"""


class Hold(NamedTuple):
    """What the screws of one driver carry. [N]

    weight : of the driver. drive : the peak of its motor's force at its rated power, None where the sheet
    does not tell. each : what one screw bears when the whole hangs on them, the speaker lying on its face.
    allowed : what one may bear for good; None in boards that the formula does not cover.
    """

    weight: float
    drive: float | None
    each: float
    allowed: float | None

    @property
    def margin(self):
        """How many times over they hold; None where nobody can say."""
        return None if self.allowed is None else self.allowed / self.each


@dataclass(frozen=True)
class Screws:
    """Equal pilot holes of one speaker. Lengths [m].

    kind : "driver", "radiator", "plate", "lid" or "feet". name : of what is screwed on. panel : into what.
    board, stuff : what that is called, and how it is drilled (of `calc.shop.screws.PILOTS`). length : of the
    screw, None where any is good that does not come through. lifted : what it passes before the wood. wood :
    under the drill, None while not known and of an edge, which is as deep as its panel. pilot :
    `Pilot`, None of a screw beyond the table. depth : `Depth`, None while the wood under it is not known.
    sunk : whether the hole starts from the floor of a recess. places : a `Mark` of each; none while the
    circle of the screws is not known, and of a lid. apart : between two screws of a lid. hold : `Hold`.
    """

    kind: str
    name: str
    panel: str
    board: str
    stuff: str
    count: int
    length: float | None
    lifted: float
    wood: float | None
    pilot: object
    depth: object
    sunk: bool = False
    places: tuple = ()
    apart: float | None = None
    hold: Hold | None = None


class Blind(NamedTuple):
    """Equal round holes that end in the wood. [m] `count` of them for `name` in a panel, from its `face`;
    `places` (x, y) from the left and the lower edge of that face."""

    name: str
    panel: str
    face: str
    count: int
    diameter: float
    depth: float
    places: tuple


def screws(project, result):
    """The `Screws` of one speaker: drivers, radiators, plates, the panel that comes off, feet."""
    return (
        *_drivers(project, result),
        *_radiators(project, result),
        *_plates(project, result),
        *_lid(project, result),
        *_feet(project, result),
    )


def _stuff(project, sheet, edge=False):
    """How a sheet is drilled, and its specific gravity, None where that tells nothing."""
    board = project.workshop.sheets[sheet]
    G = board.density / 1120  # 12 % of moisture, see calc.cabinet.materials.SolidWood
    material = material_of(board, sheet)
    if material is not None and material.name in FIBRES:
        return ("MDF edge" if edge else "MDF face"), None
    return ("dense" if G >= DENSE else "soft"), (G if material is not None and not edge else None)


def _line(project, kind, name, panel, sheet, count, wood, lifted, edge=False, **more):
    """`Screws` in one board; `wood` lies under the drill, None while not known."""
    shop = project.workshop
    stuff, _ = _stuff(project, sheet, edge)
    length = more.pop("length", shop.screw_length)
    depth = more.pop("depth", None) or (pilot_depth(wood, lifted, length) if wood else None)
    return Screws(
        kind, name, panel, shop.sheets[sheet].name or sheet, stuff, count, length, lifted, wood,
        pilot(shop.screw, stuff), depth, **more,
    )  # fmt: skip


def _drivers(project, result):
    opened = {each.name: each for each in result.openings if each.kind == "seat"}
    for name, seat in project.cabinet.seats.items():
        driver = project.drivers[seat.driver]
        frame = driver.frame
        if not frame.screws:
            continue
        opening, made = opened[name], project.cabinet
        sheet = made.panels["front"] if seat.wall is None else made.braces[seat.wall].sheet
        ring = project.workshop.sheets[seat.ring.sheet].thickness if seat.ring else 0.0
        wood = _under(result.seats[name], opening, seat.flush, result.cabinet)
        lifted = (frame.flange_thickness or 0.0) + frame.gasket + ring
        line = _line(
            project, "driver", name, opening.panel, sheet, frame.screws, wood, lifted,
            sunk=bool(result.seats[name] and result.seats[name].recess),
            places=_on_bench(project, result, opening),
        )  # fmt: skip
        yield _held(project, line, sheet, frame.mass, _drive(driver, result.drivers[seat.driver]))


def _under(bored, opening, flush, cabinet):
    """Wood under the screws of a seat; None while its recess is not known. [m]"""
    if bored is None:
        solid = {**cabinet.carcass.panels, **cabinet.braces}[opening.panel]
        return None if flush else solid.thickness
    chamfer = bored.chamfer
    return chamfer.under_screws if chamfer and chamfer.under_screws is not None else bored.below


def _on_bench(project, result, opening):
    return tuple(marked(project, result, opening, opening.x + x, opening.y + y) for x, y in opening.screws)


def _drive(driver, found):
    """The peak of a motor's force at the driver's rated power, Bl sqrt(2 Pe / Re) [N]; None if not known."""
    values = found.completed.values
    if driver.Pe is None or not {"Bl", "Re"} <= values.keys():
        return None
    return values["Bl"] * sqrt(2 * driver.Pe / values["Re"])


def _held(project, line, sheet, mass, drive=None):
    """The line with its `Hold`; without one while the driver's weight or the hole is not known."""
    if not mass or line.depth is None or not line.depth.thread:
        return line
    weight = mass * GRAVITY
    _, G = _stuff(project, sheet)
    allowed = allowable(G, project.workshop.screw, line.depth.thread) if G else None
    return replace(line, hold=Hold(weight, drive, (weight + (drive or 0.0)) / line.count, allowed))


def _radiators(project, result):
    box = project.alternatives[project.chosen].box
    each = getattr(box, "radiator", None)
    if each is None or not each.frame.screws:
        return
    frame, sheet = each.frame, project.cabinet.panels[each.panel]
    lifted = (frame.flange_thickness or 0.0) + frame.gasket
    for opening in result.openings:
        if opening.kind == "radiator":
            bored = result.radiator_seat
            wood = _under(bored, opening, each.flush, result.cabinet)
            line = _line(
                project, "radiator", opening.name, opening.panel, sheet, frame.screws, wood, lifted,
                sunk=bool(bored and bored.recess), places=_on_bench(project, result, opening),
            )  # fmt: skip
            yield _held(project, line, sheet, frame.mass)


def _plates(project, result):
    for opening in result.openings:
        plate = project.cabinet.holes.get(opening.name) if opening.kind == "hole" else None
        if plate and plate.screws:
            wood = result.cabinet.carcass.panels[opening.panel].thickness
            yield _line(
                project, "plate", opening.name, opening.panel, project.cabinet.panels[opening.panel],
                plate.screws, wood, 0.0, places=_on_bench(project, result, opening),
            )  # fmt: skip


def _lid(project, result):
    """Into the edges of the four panels that the lid lies on; a line for each sheet that they are of, the
    screws shared out by the length of their edges."""
    lid, carcass = project.cabinet.lid, result.cabinet.carcass
    if lid is None:
        return
    lifted = carcass.panels[lid.panel].thickness + lid.gasket
    length = ceil(THROUGH_LID * carcass.panels[lid.panel].thickness / LENGTHS - 1e-9) * LENGTHS
    hole = pilot_depth(1.0, lifted, length)  # an edge is as deep as its panel
    beds = neighbours(lid.panel)
    wide, high, _ = carcass.outer
    edges = {name: high if name in ("left", "right") else wide for name in beds}
    passed = given = 0
    for sheet in dict.fromkeys(project.cabinet.panels[name] for name in beds):
        panels = [name for name in beds if project.cabinet.panels[name] == sheet]
        passed += sum(edges[name] for name in panels)
        count = round(lid.screws * passed / sum(edges.values())) - given
        given += count
        yield _line(
            project, "lid", lid.panel, "edges of " + ", ".join(panels), sheet, count, None, lifted,
            edge=True, length=length, depth=hole._replace(hole=hole.hole + BEYOND),
            apart=carcass.gasket.around / lid.screws,
        )  # fmt: skip


def _feet(project, result):
    feet, made = project.cabinet.feet, project.cabinet
    if feet is None:
        return
    edges, _ = underside(made, result.cabinet.carcass)
    left, right, front, back = edges
    places = tuple(
        mark("feet", "bottom", "underside", x, y, (left, front, right, back), True)
        for x, y in feet_middles(*edges, feet.count, feet.inset)
    )
    if made.plinth:
        yield _line(project, "feet", "feet", "edge of the plinth", made.plinth.sheet, feet.count,
                    made.plinth.height, 0.0, edge=True, places=places)  # fmt: skip
    else:
        wood = result.cabinet.carcass.panels["bottom"].thickness
        yield _line(project, "feet", "feet", "bottom", made.panels["bottom"], feet.count, wood, 0.0,
                    places=places)  # fmt: skip


# --- Holes that are no pilots


def blind(project, result):
    """The `Blind` holes of one speaker: for the grille's magnets or pegs, and for dowels."""
    return (*_grille(project, result), *_dowels(project, result))


def _grille(project, result):
    grille = result.cabinet.grille
    if grille is None:
        return
    held = project.cabinet.grille
    for panel, face, deep in (
        ("front", "outside, finished", grille.hole_depth[0]),
        ("grille’s frame", "back", grille.hole_depth[1]),
    ):
        places = grille.holes if panel == "front" else ()
        yield Blind(held.holds, panel, face, len(grille.holes), held.diameter, deep, places)


def _dowels(project, result):
    dowels = {name for name, brace in result.cabinet.braces.items() if brace.kind == "dowel"}
    if not dowels:
        return
    for name, part in parts(project, result).items():
        for face in part.worked():
            for each in side(part, face).features:
                if each.kind == "hole" and each.name in dowels and isinstance(each.shape, Circle):
                    x, y, across = each.shape
                    yield Blind(each.name, name, part.faces[face], 1, across, each.depth, ((x, y),))
