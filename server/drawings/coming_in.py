"""One step of putting the box together: what stands already, and a part on its way in."""

from math import hypot

from server.drawings.exploded import ORDER, Oblique
from server.drawings.shapes import oblique_faces

WIDE, TALL = 420, 380

CLEAR = 0.2
"""How far out a part is drawn, beyond its own reach, as a share of the cabinet's largest side."""


def coming_in(carcass, there, coming, way, *, braces=None, letters=None, openings=None, name="coming-in"):
    """Draw the parts that stand, plain, and those that come in, hatched, with an arrow.

    Parameters
    ----------
    carcass : calc.cabinet.panels.Carcass
    there, coming : iterable of str
        Names of panels and braces.
    way : (x, y, z) or None
        Unit vector along which they would be taken out; None for the first, which is only laid down.
    braces, letters, openings, name
        As for `server.drawings.exploded.exploded`.

    Returns
    -------
    Drawing
    """
    view = _Coming(carcass, braces or {}, openings or {}, name)
    view.begin(tuple(there), tuple(coming), way)
    view.draw_parts()
    if way is not None:
        view.arrow(way)
    view.letter(letters or {})
    stands = f", onto {', '.join(there)}" if there else ", the first"
    return view.plate.finished(f"{' and '.join(coming).capitalize()} on its way in{stands}.")


class _Coming(Oblique):
    def begin(self, there, coming, way):
        self.there, self.coming = there, coming
        self.far = 0.0
        if way is not None:
            reach = max(_extent(self.solid(part), way) for part in coming)
            self.far = reach + CLEAR * max(self.carcass.outer)
            self.moves = {part: tuple(self.far * w for w in way) for part in coming}
        self.last = way is None or way[0] - way[1] + way[2] > 0
        self.fit(WIDE, TALL)

    def solid(self, name):
        return self.carcass.panels[name] if name in self.carcass.panels else self.braces[name]

    def shown(self):
        return (*self.there, *self.coming)

    def glued(self, name):
        """Skins and linings come later."""
        return []

    def draw_parts(self):
        """What stands from the far part to the near one; before or after it what comes in."""
        if not self.last:
            self.parts(self.coming)
        self.parts(self.there)
        if self.last:
            self.parts(self.coming)

    def parts(self, names):
        whole = self.braces
        for name in ORDER:
            if name == "braces":
                self.braces = {each: solid for each, solid in whole.items() if each in names}
                self.draw_braces()
                self.braces = whole
            elif name in names:
                self.panel(name)

    def faces(self, shape, name, plies):
        if name in self.coming:
            super().faces(shape, name, plies)
        else:
            self.plain(shape)

    def plain(self, shape):
        """A part that stands, without hatches."""

        def line(corners):
            return "M" + "L".join([f"{x:.1f} {y:.1f}" for x, y in map(self.at, corners)])

        for face in oblique_faces(shape):
            self.plate.path("pad", "Z".join([line(piece) for piece in face.pieces]) + "Z")
            if face.strokes:
                self.plate.path("o", "".join([line(stroke) for stroke in face.strokes]))

    def arrow(self, way):
        """From what comes in towards its place."""
        solid = self.solid(self.coming[0])
        middle = [(a + b) / 2 for a, b in zip(solid.low, solid.high, strict=True)]
        reach = _extent(solid, way) / 2
        start, end = (
            self.at([m + far * w for m, w in zip(middle, way, strict=True)])
            for far in (self.far - reach, max(reach, 0.25 * self.far))
        )
        long = hypot(end[0] - start[0], end[1] - start[1]) or 1.0
        u, v = (end[0] - start[0]) / long, (end[1] - start[1]) / long
        neck = end[0] - 16 * u, end[1] - 16 * v
        self.plate.line("brk", start, end)
        self.plate.line("tick", start, neck)
        wings = ((neck[0] - 9 * v, neck[1] + 9 * u), (neck[0] + 9 * v, neck[1] - 9 * u))
        self.plate.polygon("dot", (end, *wings))

    def letter(self, letters):
        """The letters of what comes in."""
        for name in self.coming:
            if letters.get(name):
                place = self.moved(name, self.disc_place(name, self.solid(name)))
                self.plate.disc(*self.at(place), letters[name])


def _extent(solid, way):
    """How far a part reaches along a way, by its box. [m]"""
    return sum(abs(w) * (high - low) for w, low, high in zip(way, solid.low, solid.high, strict=True))
