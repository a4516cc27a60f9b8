"""The paper and the pens: an SVG being drawn, and the record of one that is finished.

A `Plate` is drawn on in its own units, x to the right and y down; on its usual width one unit is one
pixel, so that 15 is the smallest lettering. Nothing in it sets a colour or a style: app.css does.
"""

from contextlib import contextmanager
from dataclasses import dataclass, field
from math import hypot

from markupsafe import Markup, escape

from server.drawings.patterns import definitions

LETTERS = "abcdefghijklmnopqrstuvwxyz"

_NEAR = sorted(((21 * i, 21 * j) for i in range(-6, 7) for j in range(-6, 7)), key=lambda step: hypot(*step))


@dataclass(frozen=True)
class Drawing:
    """A finished drawing.

    `svg` is safe markup. `spots` {name: (column, row)} are the places on the plate's 12 x 12 grid where
    values may stand (the classes ``cN rN``); `letters` {name: letter} are those of the discs that stand
    there on a narrow screen. `notes` are sentences that its caption should repeat.
    """

    svg: Markup
    spots: dict = field(default_factory=dict)
    letters: dict = field(default_factory=dict)
    notes: tuple = ()


class Plate:
    """An SVG of `width` by `height` units, with the `name` that its pattern ids begin with."""

    def __init__(self, name, width, height):
        self.name, self.width, self.height = escape(name.replace(" ", "-")), width, height
        self.marks, self.patterns, self.clips = [], set(), 0
        self.spots, self.letters, self.keys, self.notes = {}, {}, [], []

    # Strokes -----------------------------------------------------------------------------------------

    def path(self, kind, d, fill=None, faint=False):
        """A path of CSS class `kind`, filled with the pattern `fill` (thinly if `faint`)."""
        self.marks.append(f'<path class="{kind}"{self._fill(fill)}{_faint(faint)} d="{d}"/>')

    def line(self, kind, *points):
        """A stroke through `points` ((x, y), ...)."""
        self.path(kind, "M" + "L".join(_at(point) for point in points))

    def polygon(self, kind, points, fill=None, faint=False):
        """A closed shape with corners `points`."""
        self.path(kind, closed(points), fill, faint)

    def shapes(self, kind, loops, fill=None, faint=False):
        """Several closed shapes as one, a hole where one lies in another."""
        if loops:
            self.path(kind, "".join(closed(loop) for loop in loops), fill, faint)

    def rect(self, kind, x1, y1, x2, y2, fill=None, faint=False):
        """A rectangle between two opposite corners."""
        self.polygon(kind, ((x1, y1), (x2, y1), (x2, y2), (x1, y2)), fill, faint)

    def clash(self, points):
        """What does not fit: red, and hatched, so that no colour need be seen."""
        within = [(min(max(x, 4), self.width - 4), min(max(y, 4), self.height - 4)) for x, y in points]
        self.polygon("clash", within, "clash")
        self.note("What does not fit is hatched.")

    def clipped(self, points, draw):
        """What `draw` draws, as far as it lies within the polygon `points`."""
        self.clips += 1
        name = f"{self.name}-clip{self.clips}"
        self.marks.append(
            f'<clipPath id="{name}"><path d="{closed(points)}"/></clipPath><g clip-path="url(#{name})">'
        )
        draw()
        self.marks.append("</g>")

    @contextmanager
    def group(self, kind, **told):
        """What is drawn within is one thing to a script, which reads what is `told` of it."""
        data = "".join(f' data-{name}="{escape(value)}"' for name, value in told.items())
        self.marks.append(f'<g class="{kind}"{data}>')
        yield
        self.marks.append("</g>")

    def turned(self, degrees, x, y, draw, shift=0.0):
        """What `draw` draws, moved to the right by `shift` and turned to the right about (x, y)."""
        turn = f"rotate({degrees:.4f} {x:.2f} {y:.2f}) translate({shift:.2f} 0)"
        self.marks.append(f'<g transform="{turn}">')
        draw()
        self.marks.append("</g>")

    def circle(self, kind, x, y, radius, fill=None):
        self.marks.append(
            f'<circle class="{kind}"{self._fill(fill)} cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}"/>'
        )

    def _fill(self, pattern):
        if pattern is None:
            return ""
        self.patterns.add(pattern)
        return f' fill="url(#{self.name}-{pattern})"'

    # Lettering ---------------------------------------------------------------------------------------

    def text(self, x, y, words, kind=""):
        """One line of lettering whose baseline passes (x, y)."""
        self.marks.append(f'<text class="halo {kind}" x="{x:.1f}" y="{y:.1f}">{escape(words)}</text>')

    def disc(self, x, y, letter, radius=15):
        """An inked disc with a letter or a number, in sight on every screen."""
        self.marks.append(
            f'<g class="stop"><circle cx="{x:.1f}" cy="{y:.1f}" r="{radius}"/>'
            f'<text x="{x:.1f}" y="{y + 5.5:.1f}">{escape(letter)}</text></g>'
        )

    # Dimensions --------------------------------------------------------------------------------------

    def tick(self, x, y):
        """The slashed end of a dimension line."""
        self.line("tick", (x - 5.5, y + 5.5), (x + 5.5, y - 5.5))

    def across(self, x1, x2, y, words="", start=None, kind="big", clear=0.0):
        """A level dimension line at height `y`; extension lines start at heights `start` (one, or two).

        Words that find no room between the ends stand to the right, beyond `clear`.
        """
        x1, x2 = sorted((x1, x2))
        for x, origin in zip((x1, x2), _pair(start), strict=True):
            if origin is not None:
                self.line("dim", (x, origin), (x, y + (8 if y > origin else -8)))
        room = lettering(words, kind) + 14
        if words and room <= x2 - x1 - 8:
            middle = (x1 + x2) / 2
            self.line("dim", (x1, y), (middle - room / 2, y))
            self.line("dim", (middle + room / 2, y), (x2, y))
            self.text(middle, y + 6, words, kind + " mid-a")
        elif words:  # no room between the slashes: behind the right one, or the left at the paper's edge
            out = max(x2 + 14, clear)
            beyond = out + room < self.width
            self.line("dim", (x1 if beyond else x1 - 14, y), (out if beyond else x2, y))
            self.text(out + 6 if beyond else x1 - 20, y + 6, words, kind if beyond else kind + " end-a")
        else:
            self.line("dim", (x1, y), (x2, y))
        self.tick(x1, y)
        self.tick(x2, y)

    def upright(self, y1, y2, x, words="", start=None, kind="big", at=0.5):
        """An upright dimension line at `x`; its words lie level, `at` of the way up from the lower end."""
        y1, y2 = sorted((y1, y2))
        for y, origin in zip((y1, y2), _pair(start), strict=True):
            if origin is not None:
                self.line("dim", (origin, y), (x + (8 if x > origin else -8), y))
        if words and y2 - y1 >= 40:
            middle = y2 - at * (y2 - y1)
            middle = min(max(middle, y1 + 20), y2 - 20)
            self.line("dim", (x, y1), (x, middle - 13))
            self.line("dim", (x, middle + 13), (x, y2))
            self.text(x, middle + 6, words, kind + " mid-a")
        elif words:
            self.line("dim", (x, y1), (x, y2 + 12))
            self.text(x, y2 + 28, words, kind + " mid-a")
        else:
            self.line("dim", (x, y1), (x, y2))
        self.tick(x, y1)
        self.tick(x, y2)

    def diameter(self, x, y, radius, words, right):
        """The diameter `words` of a circle: in it if there is room, else beside it up to `right`, or below.

        Returns the middle and the half sizes of what the words take.
        """
        words = f"⌀ {words}"
        wide = lettering(words)
        if wide + 8 <= 1.8 * radius:
            at = x, y + 0.3 * radius + 10
        elif x + radius + 12 + wide <= right:
            at = x + radius + 12 + wide / 2, y - 6
        else:
            at = x, y + radius + 24
        self.text(*at, words, "mid-a")
        return at[0], at[1] - 5, wide / 2, 10

    # Values that a page puts on the drawing -------------------------------------------------------------

    def column(self, number):
        """x of the middle of the value at column `number`."""
        return self.width * number / 12

    def row(self, number):
        """y of the middle of the value at row `number`."""
        return self.height * number / 12

    def spot(self, name, column, row, key):
        """Offer the place (column, row) for the value `name`; its disc on a narrow screen stands at `key`."""
        letter = LETTERS[len(self.letters) % 26]
        self.spots[name], self.letters[name] = (column, row), letter
        self.keys.append((letter, *self.free_key(*key)))

    def free_key(self, x, y):
        """The place nearest to (x, y) where a disc hides no other."""
        for right, down in _NEAR:
            place = (x + right, y + down)
            inside = 20 <= place[0] <= self.width - 20 and 20 <= place[1] <= self.height - 20
            if inside and all(hypot(place[0] - a, place[1] - b) >= 42 for _, a, b in self.keys):
                return place
        return x, y

    def note(self, sentence):
        if sentence not in self.notes:
            self.notes.append(sentence)

    def finished(self, label):
        """The `Drawing`, described by the sentence `label`."""
        discs = "".join(
            f'<g transform="translate({x:.0f} {y:.0f})"><circle r="19"/>'
            f'<text class="big" y="7">{letter}</text></g>'
            for letter, x, y in self.keys
        )
        keys = f'<g class="keys" aria-hidden="true">{discs}</g>' if discs else ""
        svg = (
            f'<svg viewBox="0 0 {self.width:.0f} {self.height:.0f}" role="img" aria-label="{escape(label)}">'
            f"{definitions(self.patterns, self.name)}{''.join(self.marks)}{keys}</svg>"
        )
        return Drawing(Markup(svg), self.spots, self.letters, tuple(self.notes))


def closed(points):
    """SVG path data of the polygon with corners `points`."""
    return "M" + "L".join([f"{x:.1f} {y:.1f}" for x, y in points]) + "Z"


def rounded(x0, y0, x1, y1, r):
    """SVG path data of a rectangle with corners of radius `r`."""
    r = min(r, (x1 - x0) / 2, (y1 - y0) / 2)
    turn = f"A{r:.1f} {r:.1f} 0 0 1"
    return (
        f"M{x0 + r:.1f} {y0:.1f}L{x1 - r:.1f} {y0:.1f}{turn} {x1:.1f} {y0 + r:.1f}"
        f"L{x1:.1f} {y1 - r:.1f}{turn} {x1 - r:.1f} {y1:.1f}"
        f"L{x0 + r:.1f} {y1:.1f}{turn} {x0:.1f} {y1 - r:.1f}"
        f"L{x0:.1f} {y0 + r:.1f}{turn} {x0 + r:.1f} {y0:.1f}Z"
    )


def lettering(words, kind=""):
    """About how many units wide `words` come out; on the wide side, since fonts differ."""
    return len(words) * (11.2 if "big" in kind else 8.6)


def spread(wanted, step, low, high):
    """Move the places `wanted` as little as needed to stand `step` apart within [low, high], in order."""
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    placed = [0.0] * len(wanted)
    if step * (len(wanted) - 1) > high - low:
        step = (high - low) / (len(wanted) - 1)
    floor = low
    for i in order:
        placed[i] = max(floor, wanted[i])
        floor = placed[i] + step
    ceiling = high
    for i in reversed(order):
        placed[i] = min(ceiling, placed[i])
        ceiling = placed[i] - step
    return placed


def _at(point):
    return f"{point[0]:.1f} {point[1]:.1f}"


def _pair(start):
    return start if isinstance(start, tuple) else (start, start)


def _faint(faint):
    return ' opacity=".55"' if faint else ""
