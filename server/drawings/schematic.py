"""The schematic of a crossover: each way beneath the other, from the terminals to its driver.

The symbols are those of IEC 60617; a plus stands at the plus of each driver.
"""

from dataclasses import dataclass

from calc.network.series_parallel import Leaf, Parallel, Series
from server.drawings.plate import Plate

COLUMN, ROW = 132, 118
"""What one part takes of a way, along the line and down to the other. [units]"""

LEFT, TOP, FOOT, RIGHT = 62, 78, 30, 128

LOOP = 0.75
"""From one part to the next above it in a loop of the rail, over `ROW`."""

LEAD = 14
"""From the rail's joint to the upright of a loop. [units]"""


@dataclass(frozen=True)
class Part:
    """What is written at a part: its `kind`, `name` and `value`."""

    kind: str
    name: str
    value: str


def ways_of(tree):
    """The ways of a crossover: what lies side by side between the terminals."""
    return tree.parts if isinstance(tree, Parallel) else (tree,)


def columns(tree, parts):
    """How many parts lie beside each other in the drawing of a tree."""
    return _Pen(tree, parts).down_size(tree)[0]


def schematic(tree, parts, title, least=0):
    """The drawing of one way, or of any `series_parallel` tree.

    Parameters
    ----------
    tree : Leaf, Series or Parallel
    parts : dict of str to Part
    title : str
        What the drawing shows; the parts on the way are added to it.
    least : int
        Columns of the widest of several drawings that stand beneath each other.
    """
    pen = _Pen(tree, parts)
    wide, tall = pen.down_size(tree)
    over = pen.over(tree)
    width = LEFT + max(wide, least) * COLUMN + RIGHT
    height = TOP + (over + tall) * ROW + FOOT
    plate = pen.plate = Plate("way " + "-".join(tree.names[:1]), width, height)
    rail, ground = TOP + over * ROW, TOP + (over + tall) * ROW
    pen.terminal(30, rail, "+")
    pen.terminal(30, ground, "−")
    plate.line("o", (37, rail), (LEFT, rail))
    end = pen.down(tree, LEFT, rail, ground)
    plate.line("o", (37, ground), (end, ground))
    return plate.finished(f"{title}: {pen.told(tree)}.")


class _Pen:
    """Draws a tree from a rail down to the other terminal's line.

    What comes before a driver lies along the rail, as in a ladder; the rest hangs from it. A tree that would
    need two rails hangs altogether.
    """

    def __init__(self, tree, parts):
        self.parts, self.plate = parts, None
        self.drivers = {name for name, part in parts.items() if part.kind == "driver"}
        self.ladder = True
        self.ladder = self.one_rail(tree)

    def split(self, tree):
        """Of a series: what lies along the rail, and what hangs from it down to the other line."""
        parts = tree.parts
        first = next((n for n, each in enumerate(parts) if self.drivers & set(each.names)), None)
        return (parts[:first], parts[first:]) if first and self.ladder else ((), parts)

    def along_first(self, tree):
        """Whether a tree begins along the rail."""
        return isinstance(tree, Series) and bool(self.split(tree)[0])

    def one_rail(self, tree, stacked=False):
        """Whether one rail is enough for a tree; none may begin within a stack that hangs."""
        if isinstance(tree, Leaf):
            return True
        if isinstance(tree, Parallel):
            rails = sum(self.along_first(each) for each in tree.parts)
            return rails <= (not stacked) and all(self.one_rail(each, stacked) for each in tree.parts)
        along, hanging = self.split(tree)
        if along and stacked:
            return False
        return all(self.one_rail(each, stacked or len(hanging) > 1) for each in hanging)

    # What a tree takes, in parts -------------------------------------------------------------------------

    def down_size(self, tree):
        """(columns, rows) of a tree that leads from the rail down."""
        if isinstance(tree, Leaf):
            return 1, 1
        if isinstance(tree, Parallel):
            sizes = [self.down_size(each) for each in tree.parts]
            return self.starts(tree)[-1] + sizes[self.order(tree)[-1]][0], max(h for _, h in sizes)
        along, hanging = self.split(tree)
        wide = sum(self.along_size(each)[0] for each in along)
        sizes = [self.down_size(each) for each in hanging]
        return wide + max(w for w, _ in sizes), sum(h for _, h in sizes)

    def order(self, tree):
        """Numbers of what lies side by side, as it is drawn: what goes on along the rail comes last."""
        parts = tree.parts
        return sorted(
            range(len(parts)),
            key=lambda n: (self.along_first(parts[n]), bool(self.drivers & set(parts[n].names))),
        )

    def starts(self, tree):
        """Columns at which what lies side by side begins; along the rail no text is to be kept clear of."""
        found, at = [], 0
        for n, number in enumerate(self.order(tree)):
            each = tree.parts[number]
            found.append(at - (n > 0 and self.along_first(each)))
            at = found[-1] + self.down_size(each)[0]
        return found

    def along_size(self, tree):
        """(columns, rows above the rail and on it) of a tree along the rail."""
        if isinstance(tree, Leaf):
            return 1, 1
        sizes = [self.along_size(each) for each in tree.parts]
        wide, high = [w for w, _ in sizes], [h for _, h in sizes]
        if isinstance(tree, Series):
            return sum(wide), max(high)
        return max(wide) + 2 * LEAD / COLUMN, sum(high)

    def over(self, tree):
        """Rows that stand above the rail."""
        if isinstance(tree, Leaf):
            return 0
        if isinstance(tree, Parallel):
            return max(self.over(each) for each in tree.parts)
        along, hanging = self.split(tree)
        above = [LOOP * (self.along_size(each)[1] - 1) for each in along]
        return max([*above, self.over(hanging[0])])

    # Drawing -----------------------------------------------------------------------------------------

    def down(self, tree, x, y, to):
        """Draw a tree from (x, y) on the rail down to `to`; returns the x where it ends."""
        if isinstance(tree, Leaf):
            self.symbol(tree, (x, y), (x, to))
            return x
        if isinstance(tree, Parallel):
            places = [x + at * COLUMN for at in self.starts(tree)]
            ends = [
                self.down(tree.parts[number], place, y, to)
                for number, place in zip(self.order(tree), places, strict=True)
            ]
            joints = sorted(set(places))
            self.plate.line("o", (x, y), (joints[-1], y))
            self.plate.line("o", (min(ends), to), (max(ends), to))
            for place in joints:
                if places.count(place) + (place < joints[-1]) > 1:
                    self.knot(place, y)
            for end in sorted(set(ends))[:-1]:
                self.knot(end, to)
            return max(ends)
        along, hanging = self.split(tree)
        for each in along:
            wide = self.along_size(each)[0] * COLUMN
            self.along(each, x, y, wide)
            x += wide
        rows = [self.down_size(each)[1] for each in hanging]
        step, last = (to - y) / sum(rows), x
        for each, high in zip(hanging, rows, strict=True):
            last = max(last, self.down(each, x, y, y + high * step))
            y += high * step
        return last if len(hanging) == 1 else x

    def along(self, tree, x, y, wide):
        """Draw a tree along the rail from (x, y), `wide` in all."""
        if isinstance(tree, Leaf):
            self.symbol(tree, (x, y), (x + wide, y))
        elif isinstance(tree, Series):
            share = wide / self.along_size(tree)[0]
            for each in tree.parts:
                own = share * self.along_size(each)[0]
                self.along(each, x, y, own)
                x += own
        else:
            left, right, top = x + LEAD, x + wide - LEAD, y
            self.plate.line("o", (x, y), (left, y))
            self.plate.line("o", (right, y), (x + wide, y))
            for n, each in enumerate(tree.parts):
                self.along(each, left, top, right - left)
                if n + 1 < len(tree.parts):
                    self.knot(left, top)
                    self.knot(right, top)
                    up = top - LOOP * ROW * self.along_size(each)[1]
                    self.plate.line("o", (left, top), (left, up))
                    self.plate.line("o", (right, top), (right, up))
                    top = up

    # Symbols -----------------------------------------------------------------------------------------

    def knot(self, x, y):
        self.plate.circle("dot", x, y, 4.5)

    def terminal(self, x, y, sign):
        self.plate.circle("leaf", x, y, 7)
        self.plate.text(x, y - 16, sign, "big mid-a")

    def symbol(self, leaf, start, end):
        """One part between two places of a level or an upright line, with its name and value."""
        part = self.parts[leaf.name]
        (x1, y1), (x2, y2) = start, end
        x, y = (x1 + x2) / 2, (y1 + y2) / 2
        level = y1 == y2
        half = {"resistor": 24, "coil": 28, "capacitor": 7, "driver": 20}[part.kind]
        if level:
            self.plate.line("o", start, (x - half, y))
            self.plate.line("o", (x + half, y), end)
        else:
            self.plate.line("o", start, (x, y - half))
            self.plate.line("o", (x, y + half), end)
        getattr(self, part.kind)(x, y, level, leaf)
        if level:
            over = {"driver": 36, "capacitor": 24, "resistor": 16, "coil": 13}[part.kind]
            self.plate.text(x, y - over - (20 if part.value else 0), part.name, "big mid-a")
            self.plate.text(x, y - over, part.value, "mid-a")
        else:
            self.plate.text(x + self.beside(part), y - 2, part.name, "big")
            self.plate.text(x + self.beside(part), y + 18, part.value)

    @staticmethod
    def beside(part):
        return {"resistor": 18, "coil": 20, "capacitor": 26, "driver": 46}[part.kind]

    def resistor(self, x, y, level, leaf):
        a, b = (24, 10) if level else (10, 24)
        self.plate.rect("leaf", x - a, y - b, x + a, y + b)

    def coil(self, x, y, level, leaf):
        if level:
            turns = "".join("a7 7 0 0 1 14 0" for _ in range(4))
            self.plate.path("o", f"M{x - 28:.1f} {y:.1f}{turns}")
        else:
            turns = "".join("a7 7 0 0 1 0 14" for _ in range(4))
            self.plate.path("o", f"M{x:.1f} {y - 28:.1f}{turns}")

    def capacitor(self, x, y, level, leaf):
        for side in (-7, 7):
            if level:
                self.plate.line("o", (x + side, y - 18), (x + side, y + 18))
            else:
                self.plate.line("o", (x - 18, y + side), (x + 18, y + side))

    def driver(self, x, y, level, leaf):
        """A loudspeaker: its motor and its horn, with a plus where its plus is."""
        self.plate.rect("leaf", x - 10, y - 20, x + 10, y + 20)
        self.plate.polygon("leaf", ((x + 10, y - 12), (x + 30, y - 30), (x + 30, y + 30), (x + 10, y + 12)))
        plus_first = not leaf.turned
        if level:
            self.plate.text(x - 26 if plus_first else x + 40, y - 8, "+", "big mid-a")
        else:
            self.plate.text(x - 18, y - 24 if plus_first else y + 34, "+", "big mid-a")

    # In words ----------------------------------------------------------------------------------------

    def told(self, tree, within=False):
        """A tree as a sentence."""
        if isinstance(tree, Leaf):
            part = self.parts[tree.name]
            if part.kind == "driver":
                return (
                    f"{part.name} with its plus {'away from' if tree.turned else 'towards'} the red terminal"
                )
            return f"{part.name} {part.value}".strip()
        words = [self.told(each, True) for each in tree.parts]
        if isinstance(tree, Series):
            return ", then ".join(words)
        said = " beside ".join(words)
        return f"({said})" if within else said
