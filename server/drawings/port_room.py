"""Where ports may go: a panel seen from the front, with all places where their middle is clear."""

from server.drawings.plate import Plate

WIDTH, HEIGHT = 360, 350
_ROOM = 290  # the panel's longer side on the paper


def port_places(carcass, room, openings, braces, *, name):
    """Draw one panel, seen from the front, with the places where the ports' middle is clear.

    Parameters
    ----------
    carcass : calc.cabinet.panels.Carcass
    room : calc.cabinet.port_room.PortRoom
    openings : iterable of calc.cabinet.openings.Opening
        All of the cabinet.
    braces : dict of BraceSolid
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    return _Places(carcass, room, openings, braces, name).drawing()


class _Places:
    def __init__(self, carcass, room, openings, braces, name):
        self.carcass, self.room, self.braces = carcass, room, braces
        self.openings = [each for each in openings if each.panel == room.panel and each.width]
        self.W, self.H, _ = carcass.outer
        self.scale = min(_ROOM / self.W, _ROOM / self.H)
        self.left, self.top = (WIDTH - self.W * self.scale) / 2, 10
        self.plate = Plate(name, WIDTH, HEIGHT)

    def x(self, x):
        return self.left + x * self.scale

    def y(self, y):
        return self.top + (self.H - y) * self.scale

    def drawing(self):
        self.plate.rect("leaf", self.x(0), self.y(0), self.x(self.W), self.y(self.H))
        self.clear()
        for brace in self.braces.values():
            (left, _, low), (right, _, high) = brace.low, brace.high
            self.plate.rect("hid", self.x(left), self.y(low), self.x(right), self.y(high))
        for each in self.openings:
            self.opening(each)
        best = self.room.best
        if best:
            self.cross(*best)
        self.plate.text(WIDTH / 2, HEIGHT - 16, self.words(), "mid-a")
        return self.plate.finished(f"Where the port may go. {self.words()[:1].upper()}{self.words()[1:]}.")

    def clear(self):
        """Clear places, hatched: a row as high as one step for each run of them."""
        half_x, half_y = (step[1] - step[0] for step in (self.room.x, self.room.y))
        half_x, half_y = half_x / 2, half_y / 2
        for left, low, right, high in self.room.regions:
            self.plate.rect(
                "none", self.x(left - half_x), self.y(low - half_y),
                self.x(right + half_x), self.y(high + half_y), "level",
            )  # fmt: skip

    def opening(self, each):
        x, y = self.x(each.x), self.y(each.y)
        if each.round:
            self.plate.circle("o", x, y, (each.outline or each.width) * self.scale / 2)
        else:
            half_x, half_y = each.width * self.scale / 2, each.height * self.scale / 2
            self.plate.rect("o", x - half_x, y - half_y, x + half_x, y + half_y)
        if each.kind == "port":
            self.plate.circle("dot", x, y, 3)

    def cross(self, x, y):
        """The place with most room."""
        x, y = self.x(x), self.y(y)
        self.plate.line("o", (x - 9, y), (x + 9, y))
        self.plate.line("o", (x, y - 9), (x, y + 9))

    def words(self):
        where = "the front" if self.room.panel == "front" else "the back, seen from the front"
        return f"{where}: {'room where ruled' if self.room.clear.any() else 'no room'}"
