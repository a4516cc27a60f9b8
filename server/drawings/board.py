"""A crossover board from above: parts, leads and pads, for the screen and at full size to be glued down."""

from math import ceil

from server.drawings.paper import FOOT, MM, Sheet
from server.drawings.plate import Plate, rounded, spread

WIDTH = 960
SIDE, TOP, BELOW = 150, 20, 56

TILE = (168.0, 200.0)
"""What one sheet of paper shows of a large board. [mm]"""

LAP = 10.0
"""What two sheets both show, to be laid over each other. [mm]"""

PAD = 13


def board(made, wires, write, name="board"):
    """Draw a board to scale, the terminals' wires on its left, the drivers' on its right.

    Parameters
    ----------
    made : calc.network.board_places.Layout
    wires : dict of calc.network.board.Lead to (str, bool)
        What a lead from elsewhere is called, and whether it comes in from the left.
    write : callable
        Writes a length [m] as text.

    Returns
    -------
    Drawing
    """
    scale = (WIDTH - 2 * SIDE) / made.width
    plate = Plate(name, WIDTH, TOP + made.height * scale + BELOW)
    view = _Board(plate, made, scale, SIDE, TOP + made.height * scale)
    view.draw(wires)
    plate.across(SIDE, WIDTH - SIDE, plate.height - 20, write(made.width), start=view.floor)
    plate.upright(TOP, view.floor, 34, write(made.height), start=SIDE)
    return plate.finished(
        f"The board from above, {write(made.width)} by {write(made.height)}: "
        f"{len(made.spots)} parts and {len(made.pads)} pads. The table beside it says what ends at each pad."
    )


def board_papers(made, show, title, name="board-paper"):
    """The board at full size, on as many sheets of paper as it needs, from the lower left on.

    Returns
    -------
    list of Drawing
    """
    many = tuple(
        max(1, ceil((1000 * side - LAP) / (room - LAP)))
        for side, room in zip((made.width, made.height), TILE, strict=True)
    )
    seen = min(1000 * made.height, TILE[1])
    found = []
    for row in range(many[1]):
        for column in range(many[0]):
            plate = Sheet(f"{name}-{column}-{row}", show, seen + (FOOT + 40) / MM)
            left = 24 - column * (TILE[0] - LAP) * MM
            floor = plate.height - FOOT - 34 + row * (TILE[1] - LAP) * MM
            view = _Board(plate, made, 1000 * MM, left, floor)
            window = (
                24,
                plate.height - FOOT - 34 - seen * MM,
                24 + TILE[0] * MM,
                plate.height - FOOT - 34,
            )
            x0, y0, x1, y1 = window
            plate.clipped(((x0 - 2, y0 - 2), (x1 + 2, y0 - 2), (x1 + 2, y1 + 2), (x0 - 2, y1 + 2)), view.draw)
            _crosses(plate, window, many)
            number = f", sheet {len(found) + 1} of {many[0] * many[1]}" if many != (1, 1) else ""
            plate.foot(f"Board{number}: {title}")
            found.append(plate.finished(f"The board at full size{number}."))
    return found


def _crosses(plate, window, many):
    """Marks at the ends of what both neighbours show, where sheets are laid over each other."""
    x0, y0, x1, y1 = window
    lap = LAP * MM
    columns = (x0, x0 + lap, x1 - lap, x1) if many[0] > 1 else (x0, x1)
    rows = (y0, y0 + lap, y1 - lap, y1) if many[1] > 1 else (y0, y1)
    for x in columns if many != (1, 1) else ():
        for y in rows:
            plate.line("dim", (x - 7, y), (x + 7, y))
            plate.line("dim", (x, y - 7), (x, y + 7))


class _Board:
    """The board on a plate: `left` and `floor` are its lower left corner there."""

    def __init__(self, plate, made, scale, left, floor):
        self.plate, self.made, self.scale, self.left, self.floor = plate, made, scale, left, floor

    def at(self, x, y):
        return self.left + x * self.scale, self.floor - y * self.scale

    def draw(self, wires=()):
        made, plate = self.made, self.plate
        plate.rect("leaf", *self.at(0, 0), *self.at(made.width, made.height))
        if wires:
            self.wires(wires)
        places = {pad.name: self.at(pad.x, pad.y) for pad in made.pads}
        for a, b in made.links:
            plate.line("hid", places[a], places[b])
        for pad in made.pads:
            for lead in pad.leads:
                if lead in made.leads:
                    plate.line("o", self.at(*made.leads[lead]), places[pad.name])
        for name, spot in made.spots.items():
            with plate.group("part", part=name, scale=f"{self.scale:.3f}", x=spot.x, y=spot.y):
                self.part(name, spot)
        for pad in made.pads:
            plate.disc(*places[pad.name], pad.name, PAD)

    def part(self, name, spot):
        plate, (x, y) = self.plate, self.at(spot.x, spot.y)
        wide, tall = (side * self.scale for side in spot.size)
        box = x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2
        if spot.turn == "flat":
            for part, kind in ((1.0, "face"), (0.85, "ply"), (0.7, "ply"), (0.5, "leaf")):
                plate.circle(kind, x, y, part * wide / 2)
        elif spot.body.kind == "coil":
            plate.rect("face", *box)
            self.windings(box, spot.turn)
        elif spot.body.kind == "capacitor":
            plate.path("face", rounded(*box, min(wide, tall) / 4))
        else:
            plate.rect("face", *box)
            plate.rect("none", *box, fill="slant")
        plate.text(x, y + 5, name, "mid-a")

    def windings(self, box, turn):
        """The wire of a coil on edge: lines across its axis, and the flanges' hole dashed."""
        x0, y0, x1, y1 = box
        for i in range(1, 4):
            if turn == "level":
                x = x0 + (x1 - x0) * i / 4
                self.plate.line("ply", (x, y0), (x, y1))
            else:
                y = y0 + (y1 - y0) * i / 4
                self.plate.line("ply", (x0, y), (x1, y))

    def wires(self, wires):
        """The wires from the terminals and to the drivers, lettered where they leave the board."""
        pads = {lead: pad for pad in self.made.pads for lead in pad.leads}
        for left in (True, False):
            here = [lead for lead, (_, on_left) in wires.items() if on_left is left and lead in pads]
            wanted = [self.at(pads[lead].x, pads[lead].y)[1] for lead in here]
            heights = spread(wanted, 26, 20, self.floor - 6) if here else []
            for lead, y in zip(here, heights, strict=True):
                pad = self.at(pads[lead].x, pads[lead].y)
                edge = self.left - 12 if left else self.left + self.made.width * self.scale + 12
                self.plate.line("mid", pad, (edge, y))
                self.plate.text(edge + (-6 if left else 6), y + 5, wires[lead][0], "end-a" if left else "")
