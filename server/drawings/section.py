"""The section: the cabinet sawn through the middle, seen from the right, its front at the left."""

from functools import partial
from math import ceil, cos, degrees, radians, sin
from re import sub
from typing import NamedTuple

from calc.cabinet.polyhedra import clipped
from server.drawings.plate import Plate, rounded, spread
from server.drawings.profile import half_profile, inner_lines, profile, radiator_profile
from server.drawings.shapes import inside
from server.drawings.solids import air_surface, bored, brace_surface, depths
from server.drawings.surfaces import block, faces_of, sawn, surface

WIDTH, TOP, BELOW = 1100, 62, 136
MARGIN = 300  # left free on either side for values

PLIES = {"shelf": "plyh", "rib": "grainv", "frame": "plyv", "bar": "plyh", "dowel": "plyh"}
"""How the wood of each kind of brace is shaded."""


def section(
    carcass, openings=(), *, braces=None, seats=None, drivers=None, ports=None, lengths=None, radiator=None,
    finish=0.0, ask=None, write=None, name="section", clashes=(),
):  # fmt: skip
    """Draw the section through the middle; each driver is cut through its own axis.

    Parameters
    ----------
    carcass : calc.cabinet.panels.Carcass
    openings : iterable of calc.cabinet.openings.Opening
        All of the cabinet.
    braces : dict of brace records (`kind`, `low`, `high`, `window`)
    seats, drivers : dicts of calc.project.Seat, Driver
    ports : dict of calc.project.Port
        By their names in the box; values stand at the first.
    lengths : dict of float
        Length of each from mouth to inner end [m]; the document's own is taken for one that is missing.
    radiator : calc.project.Radiator or None
    finish : float
        Paint or veneer on the front. [m]
    ask : iterable of str or None
        The values that the page will put on the drawing, of those named below; None for all.
    write : callable or None
        Writes a length [m] as text; given, the drawing letters those lengths that are not asked.
    name : str
        Begins the ids within the SVG.
    clashes : iterable of corners ((depth, height), ...)
        What does not fit. [m]

    Returns
    -------
    Drawing
        With spots ``net`` (the air), ``depth`` and ``height`` (inside), ``driver.<seat>``, and with a port
        ``port`` (its size), ``length``, ``tuning``; with holes ``hole.<name>``.
    """
    return _Section(
        carcass, openings, braces, seats, drivers, ports, lengths, radiator, finish, ask, write, name,
        clashes,
    ).drawing()  # fmt: skip


class _Bore(NamedTuple):
    """One kind of port where the section meets it: `x`, `z` of the first opening, its `size` upwards [m].

    on_wall : whether the floor is its lower wall. first : whether the page's values stand at it.
    """

    port: object
    length: float | None
    x: float
    z: float
    size: float
    on_wall: bool
    first: bool

    @property
    def back(self):
        return self.port.panel == "back"


class _Turned:
    """A plate whose paths are drawn with x and y exchanged."""

    def __init__(self, plate):
        self.plate = plate

    def path(self, kind, data):
        self.plate.path(kind, sub(r"(-?[\d.]+) (-?[\d.]+)", r"\2 \1", data))


class _Section:
    def __init__(
        self, carcass, openings, braces, seats, drivers, ports, lengths, radiator, finish, ask, write, name,
        clashes,
    ):  # fmt: skip
        self.carcass, self.braces = carcass, braces or {}
        self.seats, self.drivers = seats or {}, drivers or {}
        self.places = {each.name: each for each in openings if each.kind == "seat"}
        self.holes = [each for each in openings if each.kind == "hole"]
        self.cones = [each for each in openings if each.kind == "radiator"]
        self.mouths_of = [each for each in openings if each.kind == "port"]
        self.ports, self.lengths, self.radiator = ports or {}, lengths or {}, radiator
        self.finish, self.ask, self.write, self.clashes = finish, ask, write, tuple(clashes)
        self.low, self.high = inside(carcass)
        _, self.H, self.D = carcass.outer
        self.scale = min((WIDTH - 2 * MARGIN) / self.D, 680 / self.H)
        tall = self.H * self.scale
        height = min(max(tall + TOP + BELOW, 660), 880)
        self.left = (WIDTH - self.D * self.scale) / 2
        self.up = TOP + (height - TOP - BELOW - tall) / 2
        self.plate = Plate(name, WIDTH, height)
        self.lean = self.out = 0.0  # how far what is being drawn leans back [rad], and is moved [px]
        self.taken = []  # rectangles in px where no value should stand
        self.beside = []  # values for the margins: (name, side, y of the anchor, x where its leader starts)

    # Metres to the paper
    def x(self, y):
        return self.left + y * self.scale

    def y(self, z):
        return self.up + (self.H - z) * self.scale

    def at(self, points):
        return [(self.x(u), self.y(v)) for u, v in points]

    def box(self, kind, y0, z0, y1, z1, fill=None, faint=False):
        self.plate.rect(kind, self.x(y0), self.y(z1), self.x(y1), self.y(z0), fill, faint)

    def occupy(self, y0, z0, y1, z1):
        corners = [self.leant(self.x(y), self.y(z)) for y in (y0, y1) for z in (z0, z1)]
        xs, ys = zip(*corners, strict=True)
        self.taken.append((min(xs), min(ys), max(xs), max(ys)))

    def on(self, panel, draw):
        """Draw what sits in the front or the back, upright as if the front did not lean back with it."""
        if panel not in ("front", "back"):
            draw()
            return
        out = -depths(self.carcass, panel)[0]
        self.lean = radians(self.carcass.slope) if panel == "front" else 0.0
        self.out = out * self.scale * (-1 if panel == "front" else 1)
        if self.lean or self.out:
            self.plate.turned(degrees(self.lean), self.x(0), self.y(0), draw, self.out)
        else:
            draw()
        self.lean = self.out = 0.0

    def leant(self, x, y):
        """Where a point of the paper comes to lie, if what is drawn leans back."""
        along, up = x + self.out - self.x(0), self.y(0) - y
        c, s = cos(self.lean), sin(self.lean)
        return self.x(0) + along * c + up * s, self.y(0) - up * c + along * s

    def wants(self, name):
        return self.ask is None or name in self.ask

    def drawing(self):
        self.bores = [bore for of in self.ports if (bore := self.bore(of))]
        self.air()
        self.draw_braces()
        self.panels()
        for bore in self.bores:
            self.on(bore.port.panel, partial(self.draw_port, bore))
        for name in sorted(self.seats, key=lambda seat: -self.seats[seat].y):
            self.on("front" if self.seats[name].wall is None else None, partial(self.driver, name))
        if self.radiator:
            self.on(self.radiator.panel, self.radiators)
        for hole in self.holes:
            self.on(hole.panel, partial(self.draw_hole, hole))
        for corners in self.clashes:
            self.plate.clash(self.at(corners))
        self.sizes()
        self.values_beside()
        self.net()
        return self.plate.finished(self.sentence())

    # The box --------------------------------------------------------------------------------------------

    def air(self):
        loops = sawn(air_surface(self.carcass), 0, self.carcass.outer[0] / 2)
        self.within = [(self.x(y), self.y(z)) for _, y, z in loops[0]]
        self.plate.polygon("none", self.within, "dots", faint=True)

    def panels(self):
        for name, plies in (("front", "plyv"), ("back", "plyv"), ("top", "plyh"), ("bottom", "plyh")):
            panel, wide = self.carcass.panels[name], self.carcass.outer[0]
            gaps = []
            for y0, z0, y1, z1 in self.openings(name):
                gaps.append(self.slot(name, wide, y0, z0, y1, z1))
            layers = [layer for layer in self.carcass.layers.values() if layer.panel == name]
            for solid in (panel, *layers):
                cuts = [faces_of(cut.body) for cut in solid.cuts]
                body = clipped(solid.body, *self.carcass.rounded)
                loops = sawn(surface(faces_of(body), (*cuts, *gaps)), 0, wide / 2)
                self.plate.shapes("cutface", [self.at([(y, z) for _, y, z in loop]) for loop in loops], plies)

    def slot(self, panel, wide, y0, z0, y1, z1):
        """What an opening takes out, across the whole cabinet; that of a front leans back with it."""
        if panel != "front":
            return block((-1.0, y0, z0), (wide + 1.0, y1, z1))
        rim = ((-1.0, z0), (wide + 1.0, z0), (wide + 1.0, z1), (-1.0, z1))
        return bored(rim, self.carcass.facing("front").at, y0, y1)

    def openings(self, panel):
        solid = self.carcass.panels[panel]
        start, end = depths(self.carcass, panel) if panel in ("front", "back") else (0.0, 0.0)
        y0, y1 = (start, end) if panel == "front" else (solid.high[1] - end, solid.high[1] - start)
        found = [
            (y0, z0, y1, z1) for where, z0, z1 in self.mouths() if where == panel
        ] + [
            (y0, hole.y - hole.height / 2, y1, hole.y + hole.height / 2)
            for hole in self.holes
            if hole.panel == panel
        ]  # fmt: skip
        if panel == "front":
            for seat in self.seats.values():
                if seat.wall is None:
                    shape = profile(self.drivers[seat.driver])
                    found += self.through(y0, y1, seat.y, shape, y0 + self.recess(seat))
        if self.radiator and panel == self.radiator.panel:
            shape = radiator_profile(self.radiator)
            face, far = (y0, y1) if panel == "front" else (y1, y0)
            inwards = 1 if panel == "front" else -1
            for each in self.cones:
                if self.is_cut(each, shape.flange):
                    found += self.through(face, far, each.y, shape, face + inwards * self.sunk())
        return found

    @staticmethod
    def through(face, far, z, shape, floor):
        """Rectangles of a hole from `face` to `far`, and of its recess down to `floor`; none if unknown."""
        if not shape.known:
            return []
        hole, recess = sorted((face, far)), sorted((face, floor))
        half, wide = shape.cutout / 2, shape.flange / 2
        return [(hole[0], z - half, hole[1], z + half), (recess[0], z - wide, recess[1], z + wide)]

    def is_cut(self, opening, across):
        """Whether the section through the middle meets what is `across` [m] wide."""
        return abs(opening.x - self.carcass.outer[0] / 2) < across / 2

    def sunk(self):
        """Depth of a passive radiator's recess from its panel's face. [m]"""
        frame = self.radiator.frame
        if not self.radiator.flush:
            return 0.0
        finish = self.finish if self.radiator.panel == "front" else 0.0
        return max(0.0, (frame.flange_thickness or 0.005) + frame.gasket - finish)

    def recess(self, seat):
        """Depth of the recess of a seat from the outer face. [m]"""
        frame = self.drivers[seat.driver].frame
        if not seat.flush:
            return 0.0
        return max(0.0, (frame.flange_thickness or 0.005) + frame.gasket - self.finish)

    def draw_braces(self):
        middle = self.carcass.outer[0] / 2
        for brace in sorted(self.braces.values(), key=lambda b: b.kind):  # a rib lies behind a shelf
            (_, y0, z0), (_, y1, z1) = brace.low, brace.high
            if brace.kind != "rib" and brace.low[0] < middle < brace.high[0]:
                self.occupy(y0, z0, y1, z1)
                for (_, w0), (_, w1), _ in brace.windows if brace.kind == "shelf" else ():
                    self.box("pad", w0, z0, w1, z1)
                    for z in (z0, z1):
                        self.plate.line("hid", (self.x(w0), self.y(z)), (self.x(w1), self.y(z)))
                loops = [
                    self.at([(y, z) for _, y, z in loop]) for loop in sawn(brace_surface(brace), 0, middle)
                ]
                self.plate.clipped(
                    self.within, partial(self.plate.shapes, "cutface", loops, PLIES[brace.kind])
                )
            elif brace.low[0] > middle:  # sawn off with the near half
                windows = [(*low, *high) for low, high, _ in brace.windows]
                for rect in [(y0, z0, y1, z1), *windows]:
                    self.plate.clipped(self.within, partial(self.box, "hid", *rect))
                self.plate.note("What is dashed stands in the half that is sawn off.")
            else:
                self.plate.clipped(self.within, partial(self.rib, brace))

    def rib(self, brace):
        (_, y0, z0), (_, y1, z1) = brace.low, brace.high
        self.box("face", y0, z0, y1, z1)
        self.box("none", y0, z0, y1, z1, "grainv", faint=True)
        for (w0, v0), (w1, v1), radius in brace.windows:
            d = rounded(self.x(w0), self.y(v1), self.x(w1), self.y(v0), radius * self.scale)
            self.plate.path("leaf", d)
            self.plate.path("none", d, "dots", faint=True)

    def draw_hole(self, hole):
        back = hole.panel == "back"
        face, out = (self.D, 1) if back else (0.0, -1)
        plate_z = min(0.55 * hole.height + 0.006, self.H / 2)
        y0, y1 = sorted((face, face + out * 0.004))
        self.box("leaf", y0, hole.y - plate_z, y1, hole.y + plate_z)
        for z in (-0.2, 0.2):
            self.plate.circle("leaf", self.x(face + out * 0.008), self.y(hole.y + z * hole.height), 5)
        self.offer(f"hole.{hole.name}", back, self.y(hole.y), self.x(face) + out * 20)

    # Port -----------------------------------------------------------------------------------------------

    def bore(self, of):
        """The `_Bore` of a kind of port; None where no opening was placed."""
        port, opened = self.ports[of], [each for each in self.mouths_of if each.of == of]
        if not opened:
            return None
        shape = port.shape
        size = shape.diameter if shape.kind == "round" else shape.height
        first, z = not of or of == next(iter(self.ports)), opened[0].y
        along = shape.kind == "slot" and shape.along_wall
        on_wall = along and abs(z - size / 2 - self.low[2]) < 1e-6
        if port.y is None:
            self.plate.note("The port stands where there is room: its place is not settled yet.")
        return _Bore(port, self.lengths.get(of) or port.length, opened[0].x, z, size, on_wall, first)

    def mouths(self):
        return [
            (bore.port.panel, bore.z - bore.size / 2, bore.z + bore.size / 2)
            for bore in self.bores
            if not self.aside(bore)
        ]

    def aside(self, bore):
        """Whether a port runs beside a driver, so that a section through the driver cannot show it cut."""
        for name, seat in self.places.items():
            if self.seats[name].wall is not None:
                continue
            shape = profile(self.drivers[self.seats[name].driver])
            across = shape.magnet if bore.back else shape.flange
            deep = not bore.back or (bore.length or 0) + shape.depth > self.D
            if deep and abs(bore.z - seat.y) < (bore.size + across) / 2 < abs(bore.x - seat.x) + across / 2:
                return True
        return False

    def draw_port(self, bore):
        back, z, size = bore.back, bore.z, bore.size
        mouth, inwards = (self.D, -1) if back else (0.0, 1)
        end = mouth + inwards * (bore.length or 0.0)
        far = self.low[1] if back else self.high[1]
        within = max(end, far) if back else min(end, far)
        aside = self.aside(bore)
        for sign in (1, -1):
            edge = z + sign * size / 2
            if bore.length and not (bore.on_wall and sign < 0):
                self.tube_wall(bore.port, edge, edge + sign * bore.port.wall, mouth, within, aside)
            self.too_long(end, far, edge, inwards)
        y0, y1 = sorted((mouth + inwards * 0.001, within))
        if aside:
            self.plate.note("The dashed port runs beside the driver.")
        elif bore.length:
            self.box("pad", y0, z - size / 2, y1, z + size / 2)
        axis = self.y(z)
        self.plate.line("mid", (self.x(mouth) - inwards * 26, axis), (self.x(within) + inwards * 14, axis))
        half = size / 2 + bore.port.wall
        wall_inside = self.high[1] if back else self.low[1]
        self.occupy(min(wall_inside, within), z - half, max(wall_inside, within), z + half)
        if bore.length is None:
            self.plate.note("The port's length is not known yet, so only its mouth is drawn.")
        self.port_values(bore, inwards, mouth, self.stop(end, far, inwards))

    def tube_wall(self, port, inner, outer, mouth, end, aside):
        kind, plies = ("leaf", None) if port.shape.kind == "round" else ("cutface", "plyh")
        if aside:
            kind, plies = "hid", None
        self.box(kind, min(mouth, end), min(inner, outer), max(mouth, end), max(inner, outer), plies)

    def stop(self, end, far, inwards):
        """Where the drawn port ends: at its true end, unless that lies off the paper."""
        limit = (930 - self.left) / self.scale if inwards > 0 else (200 - self.left) / self.scale
        return min(end, limit) if inwards > 0 else max(end, limit)

    def too_long(self, end, far, edge, inwards):
        """What sticks out of a box that is too short for its port, dashed."""
        if (end - far) * inwards > 1e-6:
            stop = self.x(self.stop(end, far, inwards))
            self.plate.line("hid", (self.x(far), self.y(edge)), (stop, self.y(edge)))
            self.plate.note("The port is longer than the box is deep: what does not fit is dashed.")

    def port_values(self, bore, inwards, mouth, within):
        z, size, back = bore.z, bore.size, bore.back
        x, out = self.x(mouth), -inwards
        y0, y1 = self.y(z + size / 2), self.y(z - size / 2)
        if bore.first and self.wants("port"):
            self.plate.upright(y0, y1, x + out * 26)
            self.offer("port", back, y1, x + out * 26)
        elif self.write:
            self.plate.upright(y0, y1, x + out * 26, start=x + out * 4)
            side = "" if back else "end-a"
            self.plate.text(x + out * 38, (y0 + y1) / 2 + 6, self.write(size), "big " + side)
        if bore.first:
            self.offer("tuning", back, (y0 + y1) / 2, x + out * 78)
            if self.wants("tuning"):  # the air that breathes there
                for dy in (-7, 7):
                    start = f"M{x + out * 54 - 18:.1f} {(y0 + y1) / 2 + dy:.1f}"
                    self.plate.path("dim", f"{start}q9 -8 18 0t18 0")
        if not bore.length:
            return
        wall = bore.port.wall
        above = self.y(z + size / 2 + wall) - 26
        room_above = above - 34 > self.y(self.high[2])
        level = above if room_above else self.y(z - size / 2 - wall) + 26
        start = self.y(z + (1 if room_above else -1) * (size / 2 + wall))
        asked = bore.first and self.wants("length")
        words = self.write(bore.length) if self.write and not asked else ""
        if asked or words:
            self.plate.across(self.x(mouth), self.x(within), level, words, start=start)
            self.taken.append(
                (self.x(min(mouth, within)), level - 16, self.x(max(mouth, within)), level + 16)
            )
        if bore.first:
            self.offer("length", back, level, x)

    # Drivers --------------------------------------------------------------------------------------------

    def driver(self, name):
        seat = self.seats[name]
        if seat.wall is not None:
            self.driver_in_shelf(name, seat)
            return
        driver = self.drivers[seat.driver]
        shape = profile(driver)
        z = seat.y
        seat_y = self.recess(seat) if shape.known else (shape.flange_thickness if seat.flush else 0.0)
        front_y = seat_y - shape.flange_thickness - driver.frame.gasket
        if not shape.known:
            self.plate.note("A dashed driver is of the usual shape: its sheet does not give all sizes.")
        self.body(shape, front_y, seat_y, self.x, lambda r: self.y(z + r))
        back_y = seat_y + shape.depth
        self.occupy(0, z - shape.cutout / 2, 0.55 * back_y, z + shape.cutout / 2)
        self.occupy(0, z - shape.magnet / 2, back_y, z + shape.magnet / 2)
        self.plate.line("mid", (self.x(min(front_y, 0)) - 34, self.y(z)), (self.x(back_y) + 14, self.y(z)))
        self.offer(f"driver.{name}", False, self.y(z), self.x(min(front_y, 0)) - 34)

    def body(self, shape, front_y, seat_y, along, across, upright=False):
        """Draw a driver or a passive radiator; `along` and `across` put its depths and radii on the paper.

        An `upright` axis runs up the paper: there `along` gives its y, and `across` its x.
        """
        kind, line = ("leaf", "o") if shape.known else ("hid", "hid")
        right = half_profile(shape, front_y, seat_y)
        loop = [(y, r) for y, r in right] + [(y, -r) for y, r in reversed(right)]
        points = [(along(y), across(r)) for y, r in loop]
        if upright:
            points = [(u, v) for v, u in points]
        if not shape.known:
            self.plate.polygon("pad", points, faint=True)
        self.plate.polygon(kind, points)
        plate = _Turned(self.plate) if upright else self.plate
        inner_lines(plate, shape, line, along, across, front_y, seat_y)

    def radiators(self):
        """Passive radiators, each cut through its own axis; a row of them shows the first."""
        drawn = set()
        for each in self.cones:
            if round(each.y, 6) in drawn:
                self.plate.note("Passive radiators stand beside each other: one of a row is drawn.")
                continue
            drawn.add(round(each.y, 6))
            shape = radiator_profile(self.radiator)
            front = each.panel == "front"
            face, inwards = (0.0, 1) if front else (self.D, -1)
            seat_y = self.sunk() if shape.known else (shape.flange_thickness if self.radiator.flush else 0.0)
            front_y = seat_y - shape.flange_thickness - self.radiator.frame.gasket
            z = each.y

            def along(y, face=face, inwards=inwards):
                return self.x(face + inwards * y)

            self.body(shape, front_y, seat_y, along, lambda r, z=z: self.y(z + r))
            if not shape.known:
                self.plate.note("A dashed radiator is of the usual shape: its sheet does not give all sizes.")
            ends = along(min(front_y, 0)) - inwards * 34, along(seat_y + shape.depth) + inwards * 14
            self.plate.line("mid", (ends[0], self.y(z)), (ends[1], self.y(z)))
            deep = sorted((face, face + inwards * (seat_y + shape.depth)))
            self.occupy(deep[0], z - shape.cutout / 2, deep[1], z + shape.cutout / 2)

    def driver_in_shelf(self, name, seat):
        """A driver that lies in the shelf between two chambers, its axis upright."""
        place, plate = self.places[name], self.braces[seat.wall]
        driver = self.drivers[seat.driver]
        shape = profile(driver)
        face, inwards = (plate.high[2], -1) if seat.faces == "up" else (plate.low[2], 1)
        frame = driver.frame
        seat_y = ((frame.flange_thickness or 0.005) + frame.gasket) if seat.flush else 0.0
        front_y = seat_y - shape.flange_thickness - frame.gasket
        if not shape.known:
            self.plate.note("A dashed driver is of the usual shape: its sheet does not give all sizes.")
        half = shape.cutout / 2
        self.box("pad", place.y - half, plate.low[2], place.y + half, plate.high[2])
        self.body(
            shape, front_y, seat_y, lambda y: self.y(face + inwards * y), lambda r: self.x(place.y + r), True
        )
        ends = [
            self.y(face + inwards * min(front_y, 0)) + inwards * 34,
            self.y(face + inwards * (seat_y + shape.depth)) - inwards * 14,
        ]
        self.plate.line("mid", (self.x(place.y), ends[0]), (self.x(place.y), ends[1]))
        deep = sorted((face, face + inwards * (seat_y + shape.depth)))
        self.occupy(place.y - half, deep[0], place.y + half, deep[1])
        self.offer(f"driver.{name}", False, ends[0], self.x(place.y))

    # Sizes and values ----------------------------------------------------------------------------------

    def sizes(self):
        x0, x1 = self.x(self.low[1]), self.x(self.high[1])
        below = self.y(0) + 8
        row = min(11, ceil((below + 52) / self.plate.row(1)))
        level = self.plate.row(row)
        if self.wants("depth"):
            self.plate.across(x0, x1, level, start=below)
            self.plate.spot("depth", 6, row, ((x0 + x1) / 2, level))
        elif self.write:
            self.plate.across(x0, x1, level, self.write(self.high[1] - self.low[1]), start=below)
        y0, y1 = self.y(self.high[2]), self.y(self.low[2])
        past_port = any(bore.back for bore in self.bores) and not self.wants("height")
        x = self.x(self.D) + (150 if past_port else 98)  # its own size is lettered beside the port
        if self.wants("height"):
            self.plate.upright(y0, y1, x, start=self.x(self.D) + 8)
            self.offer("height", True, y1 - 0.12 * (y1 - y0), x)
        elif self.write:
            height = self.write(self.high[2] - self.low[2])
            self.plate.upright(y0, y1, x, height, start=self.x(self.D) + 8)

    def offer(self, name, right, y, x):
        """Note a value for the margin; its leader starts level at (x, y)."""
        if self.wants(name):
            x, y = self.leant(x, y)
            self.beside.append((name, right, y, x))

    def values_beside(self):
        for right in (False, True):
            values = sorted((value for value in self.beside if value[1] == right), key=lambda value: value[2])
            wanted = [value[2] / self.plate.row(1) for value in values]
            rows = [int(row + 0.5) for row in spread(wanted, 2, 1.5, 11)]
            for (name, _, y, x), row, lane in zip(values, rows, self.lanes(values, rows), strict=True):
                self.leader(name, right, y, x, row, lane)

    def lanes(self, values, rows):
        """Which upright lane each leader turns in, counted from its value, so that no two cross."""
        drop = [self.plate.row(row) - value[2] for value, row in zip(values, rows, strict=True)]
        down = [i for i, d in enumerate(drop) if d > 0]
        up = [i for i, d in enumerate(drop) if d <= 0][::-1]
        return [down.index(i) if i in down else up.index(i) for i in range(len(values))]

    def leader(self, name, right, y, x, row, lane):
        """A leader, level or upright, from its anchor to its value in the margin."""
        edge, inwards = (946, -1) if right else (186, 1)
        level = self.plate.row(row)
        elbow = edge + inwards * (12 + 9 * lane)
        if (elbow - x) * inwards > 0:
            elbow = x
        if abs(level - y) < 0.6 * self.plate.row(1):  # near enough: one straight stroke meets the value
            self.plate.line("dim", (x, y), (edge, y))
        else:
            self.plate.line("dim", (x, y), (elbow, y), (elbow, level), (edge, level))
        key = min(max(x + (24 if right else -24), 262), 748)
        self.plate.spot(name, 11 if right else 1, row, (key, y))

    def net(self):
        """The air's own value: in the air where there is room, else beside the box with a leader."""
        if not self.wants("net"):
            return
        x0, x1 = self.x(self.low[1]), self.x(self.high[1])
        y0, y1 = self.y(self.high[2]), self.y(self.low[2])
        places = [
            (self.net_cost(column, row, (x0 + x1) / 2, (y0 + y1) / 2), column, row)
            for column in range(4, 9)
            for row in range(2, 11)
            if x0 + 70 <= self.plate.column(column) <= x1 - 70 and y0 + 52 <= self.plate.row(row) <= y1 - 52
        ]
        cost, column, row = min(places, default=(1e9, 0, 0))
        if cost < 2500:
            self.plate.spot("net", column, row, (self.plate.column(column), self.plate.row(row)))
        elif self.up > 2.4 * self.plate.row(1):
            x, y = self.freest(
                [self.plate.column(c) for c in range(4, 9) if x0 < self.plate.column(c) < x1], y0, y1
            )
            row = int((self.up - 52) / self.plate.row(1))
            self.plate.circle("dot", x, y, 4)
            self.plate.line("dim", (x, y), (x, self.plate.row(row)))
            self.plate.spot("net", round(12 * x / WIDTH), row, (x, y))
        else:
            self.net_in_margin(x0, x1, y0, y1)

    def net_cost(self, column, row, middle_x, middle_y):
        x, y = self.plate.column(column), self.plate.row(row)
        value = (x - 70, y - 52, x + 70, y + 52)
        covered = sum(_overlap(value, rect) for rect in self.taken)
        return covered + 0.01 * (abs(x - middle_x) + abs(y - middle_y))

    def net_in_margin(self, x0, x1, y0, y1):
        """The air's value in the left margin, or in the right one where the left is full."""
        beside = [row for row in range(1, 12) if y0 + 10 < self.plate.row(row) < y1 - 10] or [6]
        free = {column: self.free_rows(column, beside) for column in (1, 11)}
        column = 1 if free[1] or not free[11] else 11
        x, y = self.freest(
            [x0 + (x1 - x0) * i / 8 for i in range(2, 7)],
            y0,
            y1,
            [self.plate.row(row) for row in free[column] or beside],
        )
        self.plate.circle("dot", x, y, 4)
        self.plate.line("dim", (x, y), (186 if column == 1 else 946, y))
        self.plate.spot("net", column, round(y / self.plate.row(1)), (x, y))

    def free_rows(self, column, rows):
        """Those of `rows` where a value in this column covers no other."""
        used = [row for other, row in self.plate.spots.values() if abs(other - column) < 2]
        return [row for row in rows if all(abs(row - other) >= 2 for other in used)]

    def freest(self, xs, y0, y1, ys=None):
        """The point in the air that is least hemmed in."""
        ys = ys or [y0 + (y1 - y0) * step / 12 for step in range(1, 12)]
        windows = self.windows()

        def crowd(point):
            x, y = point
            near = (x - 24, y - 24, x + 24, y + 24)
            on_rib = windows and not any(a < x < c and b < y < d for a, b, c, d in windows)
            return sum(_overlap(near, rect) for rect in self.taken) + 5000 * bool(on_rib)

        middle = (y0 + y1) / 2
        return min(((x, y) for x in xs or [(self.left + WIDTH / 2) / 2] for y in ys),
                   key=lambda point: (crowd(point), abs(point[1] - middle)))  # fmt: skip

    def windows(self):
        found = []
        for brace in self.braces.values():
            if brace.kind == "rib" and brace.low[0] <= self.carcass.outer[0] / 2:
                for (w0, v0), (w1, v1), _ in brace.windows:
                    found.append((self.x(w0), self.y(v1), self.x(w1), self.y(v0)))
        return found

    def sentence(self):
        seats = len(self.seats)
        where = "" if any(seat.wall for seat in self.seats.values()) else " in the front"
        parts = [f"{seats} driver seat{'s' * (seats > 1)}{where}" if seats else "no driver seat"]
        for port in self.ports.values():
            shape = "round" if port.shape.kind == "round" else "slot"
            parts.append(f"{shape} port through the {port.panel}")
        if self.radiator:
            many = self.radiator.count
            parts.append(f"{many} passive radiator{'s' * (many > 1)} in the {self.radiator.panel}")
        for kind in PLIES:
            count = sum(brace.kind == kind for brace in self.braces.values())
            if count:
                plural = "shelves" if kind == "shelf" else f"{kind}s"
                parts.append(f"{count} {plural if count > 1 else kind}")
        return (
            "Section through the middle of the cabinet, front at the left: "
            + ", ".join(parts)
            + (". What does not fit is hatched." if self.clashes else ".")
        )


def _overlap(a, b):
    return max(0.0, min(a[2], b[2]) - max(a[0], b[0])) * max(0.0, min(a[3], b[3]) - max(a[1], b[1]))
