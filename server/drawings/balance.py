"""Where a cabinet's weight hangs over what it stands on: from the front, from the side and from above."""

from math import radians, tan

from calc.cabinet.layers import extent
from server.drawings.plate import Plate

WIDTH, TALL, EDGE, GAP, HEAD, FOOT = 960, 520, 80, 175, 40, 68


def balance(carcass, feet, plinth, stood, name="balance"):
    """Draw the weakest way of a `calc.evaluate_standing.Stood`, to scale.

    Parameters
    ----------
    carcass : calc.cabinet.panels.Carcass
    feet, plinth : calc.project_cabinet.Feet and Plinth, or None
    stood : calc.evaluate_standing.Stood
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    low, high = extent(carcass)
    spans = [_span(stood, axis, low[axis], high[axis]) for axis in (0, 1)]
    across = [spans[0][1] - spans[0][0], spans[1][1] - spans[1][0], spans[0][1] - spans[0][0]]
    room = WIDTH - 2 * EDGE - 2 * GAP
    scale = min(room / sum(across), TALL / max(stood.top, across[1]))
    plate = Plate(name, WIDTH, HEAD + max(stood.top, across[1]) * scale + FOOT)
    ground = plate.height - FOOT
    left = (WIDTH - sum(across) * scale - 2 * GAP) / 2
    (x1, y1, z1), (x2, y2, z2) = low, high
    lean = tan(radians(carcass.slope)) * (z2 - z1)
    sides = (
        ("From the front", ((x1, z1), (x2, z1), (x2, z2), (x1, z2)), ("left", "right")),
        ("From the left", ((y1, z1), (y2, z1), (y2, z2), (y1 + lean, z2)), ("front", "back")),
    )
    for axis, (words, outline, ways) in enumerate(sides):
        origin = left - spans[axis][0] * scale
        _View(plate, stood, axis, origin, ground, scale).draw(words, outline, ways, feet, plinth)
        left += across[axis] * scale + GAP
    _above(plate, stood, low, high, left - spans[0][0] * scale, ground, scale, spans[1])
    return plate.finished(_sentence(stood))


def _sentence(stood):
    stands = stood.weakest.stands
    told = ", ".join(f"{way} {angle:.0f}°" for way, angle in stands.angles.items())
    return f"The centre of gravity over what it stands on. How far it can be tilted: {told}."


def _span(stood, axis, low, high):
    """Least and most that is drawn along an axis. [m]"""
    ends = [low, high, *(p[axis] for base in (stood.lie, stood.floor) for p in base.points)]
    return min(ends), max(ends)


class _View:
    """The view along x or y: a place of the cabinet to the paper."""

    def __init__(self, plate, stood, axis, origin, ground, scale):
        self.plate, self.stood, self.axis, self.scale = plate, stood, axis, scale
        self.origin, self.ground = origin, ground

    def at(self, along, z):
        return self.origin + along * self.scale, self.ground - (z + self.stood.lift) * self.scale

    def rect(self, kind, a, b, low, high):
        self.plate.rect(kind, *self.at(a, low), *self.at(b, high))

    def draw(self, words, outline, ways, feet, plinth):
        plate, stood = self.plate, self.stood
        a, b = (end(p[self.axis] for p in stood.lie.points) for end in (min, max))
        foot = outline[0][1]
        down = foot - (plinth.height if plinth else 0.0)
        if stood.floor is not stood.lie:
            self._stand(a, b)
        if feet:
            for x in (a, b - feet.diameter):
                self.rect("face", x, x + feet.diameter, stood.lie.floor, down)
        if plinth:
            self.rect("face", outline[0][0] + plinth.setback, outline[1][0] - plinth.setback, down, foot)
        plate.polygon("face", [self.at(*corner) for corner in outline])
        low, high = self._ends()
        plate.line("o", (low - 40, self.ground), (high + 40, self.ground))
        plate.text((low + high) / 2, 24, words, "mid-a")
        self._angles(ways)

    def _ends(self):
        ends = [
            self.at(p[self.axis], 0)[0] for base in (self.stood.lie, self.stood.floor) for p in base.points
        ]
        return min(ends), max(ends)

    def _stand(self, a, b):
        """A stand by its height and its base; what is between is not known, and dashed."""
        floor, top = self.stood.floor, self.stood.lie.floor
        c, d = (end(p[self.axis] for p in floor.points) for end in (min, max))
        slab = 0.06 * (top - floor.floor)
        self.rect("hid", a, b, top - slab, top)
        self.rect("face", c, d, floor.floor, floor.floor + slab)
        middle, half = (c + d) / 2, min(d - c, b - a) / 6
        self.rect("hid", middle - half, middle + half, floor.floor + slab, top - slab)

    def _angles(self, ways):
        """The plumb line from the centre, and the lines to the edges that it can tip over."""
        way, plate = self.stood.weakest, self.plate
        along, z = way.centre[self.axis], way.centre[2]
        x, y = self.at(along, z)
        foot = self.at(along, way.base.floor)[1]
        plate.line("mid", (x, y), (x, foot))
        direction = (1.0, 0.0) if self.axis == 0 else (0.0, 1.0)
        for name, sign, anchor in zip(ways, (-1, 1), ("end-a", ""), strict=True):
            reach = way.base.reach(*way.centre[:2], (sign * direction[0], sign * direction[1]))
            end = self.at(along + sign * reach, way.base.floor)
            plate.line("dim", (x, y), end)
            plate.circle("dot", *end, 4)
            said = f"{name} {way.stands.angles[name]:.0f}°"
            if foot > self.ground - 1:
                plate.text(end[0] + sign * 4, foot + 24 + 22 * self.axis, said, f"big {anchor}")
            else:
                plate.text(end[0] + sign * 26, foot + 6 + 22 * self.axis, said, f"big {anchor}")
        _centre(plate, x, y)


def _above(plate, stood, low, high, origin, ground, scale, span):
    """The hull of what it stands on, with the centre over it; the front is below."""
    way = stood.weakest

    def at(x, y):
        return origin + x * scale, ground - (y - span[0]) * scale

    plate.rect("hid", *at(*low[:2]), *at(*high[:2]))
    middle = at((low[0] + high[0]) / 2, 0)[0]
    plate.polygon("face", [at(*point) for point in way.base.points])
    plate.text(middle, 24, "From above, front below", "mid-a")
    x, y = at(*way.centre[:2])
    distance, normal = way.base.nearest(*way.centre[:2])
    end = at(way.centre[0] + distance * normal[0], way.centre[1] + distance * normal[1])
    plate.line("dim", (x, y), end)
    plate.circle("dot", *end, 4)
    _centre(plate, x, y)
    said = f"{way.stands.angle:.0f}° at least"
    plate.text(middle, ground + 24, said, "big mid-a")


def _centre(plate, x, y, r=11):
    """The quartered disc that marks a centre of gravity."""
    plate.circle("leaf", x, y, r)
    for a, b in ((1, -1), (-1, 1)):
        sweep = f"M{x:.1f} {y:.1f}L{x + a * r:.1f} {y:.1f}A{r} {r} 0 0 0 {x:.1f} {y + b * r:.1f}Z"
        plate.path("dot", sweep)
