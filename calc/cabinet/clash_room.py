"""A cabinet with its openings as all who look for clashes see it: what stands where, and its name."""

from dataclasses import dataclass
from functools import cached_property

from calc.cabinet.bodies import TOUCHING, Body, lined_walls
from calc.cabinet.clash import Party
from calc.cabinet.flat_shapes import HAIR, Shape, cut, rectangle
from calc.cabinet.openings import CALLED, LEAST_WOOD

SCREW = 0.0035
"""Diameter of the screws that hold a driver (common practice, no source). [m]"""

ACROSS = {"front": "back", "back": "front"}


@dataclass(frozen=True)
class Room:
    """A cabinet with its openings and what is decided of them, as `calc.cabinet.clashes.clashes` takes it."""

    carcass: object
    openings: tuple
    seats: dict
    drivers: dict
    ports: dict
    lengths: dict
    radiator: object
    braces: dict
    finish: float = 0.0
    least_wood: float = LEAST_WOOD
    screw: float = SCREW

    # Faces

    @cached_property
    def faces(self):
        """Left, low, right and high edge of the outer face of each panel that opens. [m]"""
        return {panel: self.carcass.face_bounds(panel) for panel in ACROSS}

    @cached_property
    def clear(self):
        """The same of what their inner faces leave between the walls. [m]"""
        return {panel: self.carcass.clear_bounds(panel) for panel in ACROSS}

    @cached_property
    def walls(self):
        """The plane of each inner face, linings counted."""
        return lined_walls(self.carcass)

    def face(self, panel):
        """Left, low, right and high edge of a panel's outer face, or of a shelf's from above. [m]"""
        if panel in self.faces:
            return self.faces[panel]
        left, _, right, _ = self.clear["back"]
        back = self.carcass.outer[2] - self.carcass.panels["back"].thickness
        return left, self.carcass.front_inner(self.braces[panel].high[2]), right, back

    def facing(self, panel):
        """The face on which places of a panel are counted; of a shelf, the plan seen from above."""
        return self.carcass.facing(panel if panel in self.carcass.panels else "bottom")

    def through(self, panel):
        """From where to where the wood of a panel lies below its face. [m]"""
        if panel in self.carcass.panels:
            return 0.0, self.carcass.panels[panel].thickness
        solid = self.braces[panel]
        return solid.low[2], solid.high[2]

    def level(self, panel, y, depth=0.0):
        """The height over the floor of a place on a panel. [m]"""
        return self.carcass.facing(panel).at(0.0, y, depth)[2]

    # What opens them

    def mount(self, opening):
        """The decision that a driver or a passive radiator sits by."""
        return self.radiator if opening.kind == "radiator" else self.seats[opening.name]

    def frame(self, opening):
        """The frame of a driver or of a passive radiator."""
        mount = self.mount(opening)
        return mount.frame if opening.kind == "radiator" else self.drivers[mount.driver].frame

    def recess(self, opening):
        """From a panel's face down to the seat of what sits in it. [m]"""
        if not self.mount(opening).flush:
            return 0.0
        frame = self.frame(opening)
        finish = self.finish if opening.panel == "front" else 0.0
        return max(0.0, (frame.flange_thickness or 0.0) + frame.gasket - finish)

    def reach(self, opening):
        """From a panel's face to the back of what sits in it; None where that is not known. [m]"""
        depth = self.frame(opening).depth
        return None if depth is None else self.recess(opening) + depth

    def body(self, opening):
        """What an opening needs clear behind its panel; None where nothing is known to stand there."""
        hole = self.tube(opening) if opening.kind == "port" else cut(opening)
        thickness = self.carcass.panels[opening.panel].thickness
        reach = None
        if opening.kind == "port":
            reach = self.lengths.get(opening.of, 0.0)
        elif opening.kind == "hole":
            reach = opening.sunk
        else:
            reach = self.reach(opening)
            if reach is not None and reach <= thickness:
                return None
        if hole is None:
            return None
        return Body(hole, 0.0, max(reach or 0.0, thickness + TOUCHING), self.facing(opening.panel))

    def magnet(self, opening):
        """The body of a driver's magnet, or of a passive radiator, from the face on; None where unknown."""
        frame, reach = self.frame(opening), self.reach(opening)
        wide = frame.cutout if opening.kind == "radiator" else frame.magnet or frame.cutout
        if reach is None or wide is None:
            return None
        return Body(Shape(opening.x, opening.y, 0, 0, wide / 2), 0.0, reach, self.facing(opening.panel))

    def tube(self, opening):
        """A port with its own walls, as far as they stand inside."""
        if opening.round:
            return cut(opening)
        left, low, right, high = self.clear[opening.panel]
        wall = self.ports[opening.of].wall
        half_x, half_y = opening.width / 2 + wall, opening.height / 2 + wall
        return rectangle(
            max(opening.x - half_x, left), max(opening.y - half_y, low),
            min(opening.x + half_x, right), min(opening.y + half_y, high),
        )  # fmt: skip

    def hangs(self, opening):
        """From which height to which a driver in a shelf stands, the shelf included. [m]"""
        seat, solid = self.seats[opening.name], self.braces[opening.panel]
        depth = max(0.0, self.reach(opening) or 0.0)
        if seat.faces == "up":
            return min(solid.low[2], solid.high[2] - depth), solid.high[2]
        return solid.low[2], max(solid.high[2], solid.low[2] + depth)

    def screws(self, opening):
        """The screws of an opening, as points; none of a driver whose sheet gives no circle."""
        return [Shape(opening.x + x, opening.y + y, 0, 0, HAIR) for x, y in opening.screws]

    # Their names

    def party(self, opening):
        return Party(field_of(opening), self.called(opening), (("x", 0), ("y", 1)))

    def brace_party(self, name):
        """A brace, with what moves it across a panel that it stands behind."""
        solid = self.braces[name]
        moves = {"shelf": (("at", 1),), "rib": (("at", 0),)}.get(solid.kind, ())
        if solid.kind in ("bar", "dowel"):
            moves = ((("at", 1),), (("at", 0), ("also_at", 1)), (("at", 0),))[solid.axis]
        return Party(f"braces.{name}", f"“{name}”", moves)

    def the(self, panel):
        return f"the {panel}" if panel in self.carcass.panels else f"“{panel}”"

    def alone(self, opening):
        return opening.kind == "seat" or self.radiator.count == 1

    def called(self, opening):
        """What a sentence calls an opening; equal ones are told together."""
        if opening.kind == "port":
            many = sum(each.of == opening.of for each in self.openings if each.kind == "port") > 1
            return f"the {CALLED[opening.of]}{'s' * many}"
        if opening.kind == "radiator":
            return f"the passive radiator{'s' * (self.radiator.count > 1)}"
        return f"“{opening.name}”"

    def begun(self, opening):
        """The same at the head of a sentence."""
        called = self.called(opening)
        return called[:1].upper() + called[1:]


def field_of(opening):
    """The document's place of an opening, below the cabinet or the box."""
    if opening.kind in ("port", "radiator"):
        return opening.of or "radiator"
    return f"{opening.kind}s.{opening.name}"
