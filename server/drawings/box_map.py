"""The map of all boxes: lines of equal height over volume and tuning, with fences and places by name."""

from dataclasses import dataclass
from math import atan2, ceil, degrees, hypot, log

import numpy as np

from server.drawings.height_lines import height_lines, long, spot_on
from server.drawings.plate import Plate, lettering

WIDTH, HEIGHT = 480, 446
LEFT, RIGHT, TOP, LOW = 36.0, 470.0, 10.0, 350.0
STRIP, BOTTOM = 362.0, 394.0
"""Of the map, and of the strip of closed boxes under it, on the paper."""

MOST_LINES = 12
_SMALL = 0.8  # of the plate's usual lettering


@dataclass(frozen=True)
class Ground:
    """What the heights of a map are.

    z : (n, m), may be masked
    strip : (n,) of the closed boxes, None where they have none
    levels : ((height, words), ...), rising
    """

    z: np.ndarray
    strip: np.ndarray | None
    levels: tuple


@dataclass(frozen=True)
class Fence:
    """A line that is a limit: over `z` (n, m) at `level`, with its `words`."""

    z: np.ndarray
    level: float
    words: str


@dataclass(frozen=True)
class Scale:
    """Where volumes and tunings lie on the paper; both evenly on a log scale."""

    Vb: np.ndarray
    fb: np.ndarray

    def x(self, Vb):
        return LEFT + log(Vb / self.Vb[0]) / log(self.Vb[-1] / self.Vb[0]) * (RIGHT - LEFT)

    def y(self, fb):
        """Of a tuning; None is a closed box."""
        if fb is None:
            return (STRIP + BOTTOM) / 2
        return LOW - log(fb / self.fb[0]) / log(self.fb[-1] / self.fb[0]) * (LOW - TOP)

    def at(self, i, j):
        """The point (i, j) of the grid, in steps."""
        n, m = len(self.Vb) - 1, len(self.fb) - 1
        return LEFT + i / n * (RIGHT - LEFT), LOW - j / m * (LOW - TOP)

    def share(self, Vb, fb):
        """Where a box lies on the whole paper, from its left and its top: shares held to the map. [-]"""
        x = min(max(self.x(Vb), LEFT), RIGHT)
        y = self.y(None) if fb is None else min(max(self.y(fb), TOP), LOW)
        return x / WIDTH, y / HEIGHT

    def edges(self):
        """What a browser needs to read a place off the map: shares of the paper, and what lies there."""
        return {
            "left": LEFT / WIDTH, "right": RIGHT / WIDTH, "top": TOP / HEIGHT, "low": LOW / HEIGHT,
            "strip": (STRIP + BOTTOM) / 2 / HEIGHT,
            "Vb": (float(self.Vb[0]), float(self.Vb[-1])), "fb": (float(self.fb[0]), float(self.fb[-1])),
        }  # fmt: skip

    def holds(self, spot):
        """Whether a spot lies on the map at all."""
        return self.Vb[0] <= spot.Vb <= self.Vb[-1] and (
            spot.fb is None or self.fb[0] <= spot.fb <= self.fb[-1]
        )


def box_map_drawing(
    land, ground, fences=(), volumes=(), tunings=(), volume_words="litre", label="",
):  # fmt: skip
    """Draw the map.

    Parameters
    ----------
    land : calc.evaluate_map.Land
    ground : Ground
    fences : sequence of Fence
    volumes, tunings : sequences of (float, str)
        Ticks along the edges: the value, and what stands at it.
    volume_words : str
        Unit of the volumes.
    label : str
        The whole in a sentence, for who cannot see it.

    Returns
    -------
    Drawing
    """
    return _Map(land).drawing(ground, fences, volumes, tunings, volume_words, label)


class _Map:
    def __init__(self, land):
        self.land, self.scale = land, Scale(land.Vb, land.fb)
        self.plate = Plate("boxmap", WIDTH, HEIGHT)
        self.taken = []  # (x, y, half width, half height) of what is lettered
        self.names = []  # (x, y, name, anchor) of places

    def drawing(self, ground, fences, volumes, tunings, volume_words, label):
        self.impossible()
        self.edges(volumes, tunings, volume_words)
        self.reserve()
        self.flat()
        for fence in fences:
            self.fence(fence)
        self.heights(ground)
        self.strip(ground)
        self.places()
        self.designs()
        self.plate.rect("o", LEFT, TOP, RIGHT, LOW)
        self.plate.rect("o", LEFT, STRIP, RIGHT, BOTTOM)
        return self.plate.finished(label)

    # What cannot be ----------------------------------------------------------------------------------

    def impossible(self):
        """Hatch the boxes that the ports in hand cannot tune."""
        if self.land.length is None or not np.ma.getmaskarray(self.land.length).any():
            return
        shut = np.ma.getmaskarray(self.land.length)
        for ceiling in (True, False):
            self._hatched(shut, ceiling)

    def _hatched(self, shut, ceiling):
        """The shut tunings of each volume, from the top of the map down, or from its foot up."""
        m = shut.shape[1] - 1
        edge = []
        for i, column in enumerate(shut):
            run = column[::-1] if ceiling else column
            many = len(run) if run.all() else int(np.argmin(run))
            edge.append((i, m - many + 0.5 if ceiling else many - 0.5) if many else (i, m if ceiling else 0))
        edge = [(i, min(max(j, 0), m)) for i, j in edge]
        far = m if ceiling else 0
        if all(j == far for _, j in edge):
            return
        points = [self.scale.at(i, j) for i, j in edge] + [
            self.scale.at(edge[-1][0], far),
            self.scale.at(0, far),
        ]
        self.plate.polygon("shut", points, fill="slant")
        inside = [(i, j) for i, j in edge if abs(j - far) > 5]
        if inside:
            i, j = inside[-1] if ceiling else inside[0]
            x, y = self.scale.at(i, (j + far) / 2)
            words = "no such port"
            half = _SMALL * lettering(words) / 2
            self.letter(min(max(x, LEFT + half + 4), RIGHT - half - 4), y + 4, words, "mid-a")

    # The frame ---------------------------------------------------------------------------------------

    def edges(self, volumes, tunings, volume_words):
        for fb, words in tunings:
            y = self.scale.y(fb)
            self.plate.line("dim", (LEFT - 5, y), (LEFT, y))
            self.plate.text(LEFT - 8, y + 4, words, "end-a")
        last = -99.0
        for Vb, words in volumes:
            x = self.scale.x(Vb)
            self.plate.line("dim", (x, BOTTOM), (x, BOTTOM + 5))
            half = _SMALL * lettering(words) / 2
            if x - half > last + 3:
                self.plate.text(x, BOTTOM + 18, words, "mid-a")
                last = x + half
        self.plate.text(LEFT + 6, TOP + 14, "Hz, tuning")
        self.taken.append((LEFT + 36, TOP + 10, 36, 9))
        self.plate.text(RIGHT, HEIGHT - 12, f"{volume_words} of air, net", "end-a")

    # Lines ---------------------------------------------------------------------------------------------

    def heights(self, ground):
        """The lines of equal height, each with its number on it."""
        z = np.ma.filled(np.ma.masked_invalid(ground.z), np.nan)
        known = np.where(np.isnan(z), np.nanmin(z) if np.isfinite(z).any() else 0.0, z)
        for height, words in ground.levels:
            for line in height_lines(known, height):
                points = [self.scale.at(*point) for point in line]
                self.plate.line("hl", *points)
                self.along(points, words, least=46)

    def fence(self, fence):
        for line in height_lines(fence.z, fence.level):
            points = [self.scale.at(*point) for point in line]
            self.plate.line("fence", *points)
            self.along(points, fence.words, least=90, kind="strong")

    def flat(self):
        """The way along which boxes are flattest."""
        mask = np.ma.getmaskarray(self.land.flat)
        run = []
        runs = [run]
        for Vb, fb, gone in zip(self.land.Vb, self.land.flat.filled(0.0), mask, strict=True):
            if gone:
                run = []
                runs.append(run)
            else:
                run.append((self.scale.x(Vb), self.scale.y(float(fb))))
        for points in runs:
            if len(points) > 1:
                self.plate.line("flatway", *points)
                self.along(points, "flattest", least=110, kind="em")

    def along(self, points, words, least, kind=""):
        """Letter a line along its run, where there is room."""
        if long(points) < least:
            return
        half = _SMALL * lettering(words) / 2 + 3
        for share in (0.5, 0.36, 0.64, 0.22, 0.78, 0.12, 0.88):
            (x, y), (dx, dy) = spot_on(points, share)
            turn = degrees(atan2(dy, dx))
            turn = turn - 180 if turn > 90 else turn + 180 if turn < -90 else turn
            wide = half * abs(dx) / max(hypot(dx, dy), 1e-9) + 6
            tall = half * abs(dy) / max(hypot(dx, dy), 1e-9) + 6
            inside = LEFT + wide < x < RIGHT - wide and TOP + tall < y < LOW - tall
            if inside and self.free(x, y, wide, tall):
                self.letter(x, y + 4, words, f"mid-a {kind}", turn=(turn, x, y))
                self.taken.append((x, y, wide, tall))
                return

    def strip(self, ground):
        """The closed boxes: where the same heights cross their strip."""
        self.plate.text(LEFT - 3, (STRIP + BOTTOM) / 2 + 4, "shut", "end-a")
        if ground.strip is None:
            return
        for height, words in ground.levels:
            for Vb in _crossings(self.land.Vb, ground.strip, height):
                x = self.scale.x(Vb)
                self.plate.line("hl", (x, STRIP), (x, BOTTOM))
                half = _SMALL * lettering(words) / 2 + 2
                y = BOTTOM - 9
                if LEFT + half < x < RIGHT - half and self.free(x, y, half, 6):
                    self.letter(x, y + 4, words, "mid-a")
                    self.taken.append((x, y, half, 6))

    # Places --------------------------------------------------------------------------------------------

    def reserve(self):
        """Keep the lines' own lettering off what stands on the map, and find the places' names their room."""
        for spot in (*self.land.designs, *self.land.families):
            if self.scale.holds(spot):
                self.taken.append((self.scale.x(spot.Vb), self.scale.y(spot.fb), 13, 13))
        for spot in self.land.families:
            if spot.fb is not None:  # in the strip names would crowd: they are told beside the map
                self.name(spot)

    def name(self, spot):
        x, y = self.scale.x(spot.Vb), self.scale.y(spot.fb)
        half = _SMALL * lettering(spot.name) / 2
        for side, base in ((1, y), (-1, y), (1, y + 17), (-1, y + 17)):
            start, middle = x + 9 * side, x + (9 + half) * side
            inside = LEFT + half < middle < RIGHT - half and base < LOW - 8
            if inside and self.free(middle, base, half, 7, past=(x, y)):
                self.names.append((start, base + 4, spot.name, "em" if side > 0 else "em end-a"))
                self.taken.append((middle, base, half, 7))
                return

    def places(self):
        """The families of filter theory: a summit mark, and their name in italics."""
        for spot in self.land.families:
            x, y = self.scale.x(spot.Vb), self.scale.y(spot.fb)
            self.plate.polygon("peak", ((x - 5, y + 4), (x + 5, y + 4), (x, y - 5)))
        for each in self.names:
            self.plate.text(*each)

    def designs(self):
        for spot in self.land.designs:
            if self.scale.holds(spot):
                self.plate.disc(self.scale.x(spot.Vb), self.scale.y(spot.fb), spot.name, radius=10)

    # Lettering -----------------------------------------------------------------------------------------

    def letter(self, x, y, words, kind, turn=None):
        self.plate.text(x, y, words, kind)
        if turn and abs(turn[0]) > 2:
            mark = self.plate.marks.pop()
            degrees, cx, cy = turn
            self.plate.marks.append(
                mark.replace("<text ", f'<text transform="rotate({degrees:.0f} {cx:.1f} {cy:.1f})" ', 1)
            )

    def free(self, x, y, wide, tall, past=None):
        """Whether lettering finds room there; `past` is a place that it belongs to."""
        return all(
            abs(x - a) >= wide + w or abs(y - b) >= tall + t
            for a, b, w, t in self.taken
            if past is None or hypot(a - past[0], b - past[1]) > 1
        )


def _crossings(x, heights, level):
    """Where a curve over x has a height, straight in ln x between its points."""
    heights = np.ma.filled(heights, np.nan)
    with np.errstate(invalid="ignore"):
        turns = np.flatnonzero((heights[:-1] < level) != (heights[1:] < level))
    found = []
    for i in turns.tolist():
        a, b = float(heights[i]), float(heights[i + 1])
        if np.isfinite(a) and np.isfinite(b):
            found.append(float(x[i] * (x[i + 1] / x[i]) ** ((level - a) / (b - a))))
    return found


def even_levels(low, high, write):
    """About `MOST_LINES` / 2 heights or more between low and high, a round step apart, with their words."""
    step = next(step for step in _ROUND if (high - low) / step <= MOST_LINES) if high > low else _ROUND[-1]
    first, last = ceil(low / step), int(high // step)
    return tuple((k * step, write(k * step)) for k in range(first, last + 1) if k * step > 0)


_ROUND = tuple(step * 10.0**power for power in range(-9, 9) for step in (1, 2, 5))


def known_levels(candidates, low, high):
    """At most `MOST_LINES` of the (height, words) that lie between low and high, evenly left out."""
    inside = [each for each in candidates if low < each[0] < high]
    return tuple(inside[:: ceil(len(inside) / MOST_LINES)] if inside else ())
