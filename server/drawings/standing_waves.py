"""A standing wave in the section of a box: where its pressure swings, and where its air moves."""

from math import ceil

from calc.sound.cavity import pressure_along, still_places
from server.drawings.plate import Plate

WIDTH, HEIGHT = 360, 306
_ROOM, _LEAST = 216, 90  # the box's longer side on the paper, and its shorter one at least
_STEP, _DOT = 13.5, 4.2  # between the dots, and the radius of the largest


def standing_wave(side, half_waves, length, breadth, cones=(), ports=(), *, name="wave"):
    """Draw the wave of `half_waves` along one side of a box, in a section through it.

    Parameters
    ----------
    side : {"width", "height", "depth"}
        Along which it swings: upright for the height, else level, the front at the left of the depth.
    half_waves : int
    length, breadth : float
        Of the section: along the wave, and across. [m]
    cones, ports : sequences of float
        Where drivers and ports are along that side. [m]
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    return _Wave(side, half_waves, length, breadth, cones, ports, name).drawing()


class _Wave:
    def __init__(self, side, half_waves, length, breadth, cones, ports, name):
        self.side, self.n, self.length = side, half_waves, length
        self.cones, self.ports = cones, ports
        self.upright = side == "height"
        scale = _ROOM / max(length, breadth)
        self.along, self.across = max(length * scale, _LEAST), max(breadth * scale, _LEAST)
        wide, tall = (self.across, self.along) if self.upright else (self.along, self.across)
        self.left, self.top = (WIDTH - wide) / 2, (HEIGHT - tall) / 2
        self.right, self.low = self.left + wide, self.top + tall
        self.plate = Plate(name, WIDTH, HEIGHT)

    def at(self, x, across):
        """A point on the paper: x [m] along the wave, and the share of the way across it."""
        along = x / self.length * self.along
        if self.upright:
            return self.left + across * self.across, self.low - along
        return self.left + along, self.top + across * self.across

    def drawing(self):
        self.pressure()
        self.motion()
        self.plate.rect("o", self.left, self.top, self.right, self.low)
        self.marks(self.cones, "driver", near=True)
        self.marks(self.ports, "port", near=False)
        return self.plate.finished(self.sentence())

    def pressure(self):
        """Dots as large as the pressure swings."""
        rows, columns = (max(4, ceil(size / _STEP)) for size in (self.along, self.across))
        for i in range(rows):
            x = (i + 0.5) / rows * self.length
            radius = _DOT * abs(float(pressure_along(self.n, x, self.length)))
            if radius < 0.6:
                continue
            for j in range(columns):
                self.plate.circle("dot", *self.at(x, (j + 0.5) / columns), radius)

    def motion(self):
        """Arrows where the air swings to and fro most, on paper laid clear for them."""
        reach = 0.28 * self.length / self.n
        for x in still_places(self.n, self.length):
            for across in (0.25, 0.5, 0.75):
                self.arrow(self.at(x - reach, across), self.at(x + reach, across))
            for edge in (-0.06, 1.06):
                self.plate.line("mid", self.at(x, 0.5), self.at(x, edge))

    def arrow(self, start, end):
        """An arrow with a head at either end."""
        self.plate.line("brk", start, end)
        self.plate.line("o", start, end)
        for tip, tail in ((start, end), (end, start)):
            step = [8 if b > a else -8 if b < a else 0 for a, b in zip(tip, tail, strict=True)]
            aside = (step[1] * 0.6, step[0] * 0.6)
            for turn in (1, -1):
                barb = (tip[0] + step[0] + turn * aside[0], tip[1] + step[1] + turn * aside[1])
                self.plate.line("o", tip, barb)

    def marks(self, places, word, near):
        """Ticks on one side of the box for what sits there, and the word beside the first."""
        for number, x in enumerate(sorted(places)):
            edge = self.at(x, 0.0 if near == self.upright else 1.0)
            if self.upright:
                out = -14 if near else 14
                self.plate.line("tick", edge, (edge[0] + out, edge[1]))
                if number == 0:
                    self.plate.text(edge[0] + 1.5 * out, edge[1] + 5, word, "end-a" if near else "")
            else:
                out = 14 if near else -14
                self.plate.line("tick", edge, (edge[0], edge[1] + out))
                if number == 0:
                    kind = "" if x < self.length / 5 else "end-a" if x > self.length * 4 / 5 else "mid-a"
                    self.plate.text(edge[0], edge[1] + (34 if near else -22), word, kind)

    def sentence(self):
        many = "one half wave" if self.n == 1 else f"{self.n} half waves"
        where = "in the middle" if self.n == 1 else f"at {self.n} places between them"
        return (
            f"Section along the {self.side}: {many}. The pressure swings most at both ends"
            f"{'' if self.n == 1 else ' and between'}; the air moves most {where}."
        )
