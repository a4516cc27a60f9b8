"""A sheet of paper that is printed at full size: its scales, its title, and the bar to check it by."""

from server.drawings.plate import Plate

PAPER = (180, 240)
"""What is drawn on [mm]: what A4 and Letter have in common, within margins that any printer leaves."""

MM = 4
"""Units of the drawing to a millimetre of paper."""

SCALES = {
    "metric": (1, 2, 2.5, 3, 4, 5, 6, 8, 10, 15, 20, 30, 50),
    "imperial": (1, 2, 3, 4, 6, 8, 12, 16, 24, 48),
}
"""How many times smaller a drawing is made: numbers that a rule is easily read by."""

BAR = {"metric": (50, "50 mm"), "imperial": (50.8, "2 in")}
"""Length of the bar on paper [mm], and its words."""

FOOT = 64
"""Height of the strip with the title at the foot, in units."""


class Sheet(Plate):
    """A plate of the size of the paper, whose foot tells what it shows and at what scale."""

    def __init__(self, name, show, tall=PAPER[1]):
        super().__init__(name, PAPER[0] * MM, tall * MM)
        self.show, self.many = show, 1

    def fit(self, wide, tall, room_wide, room_tall):
        """Units to a metre at the largest scale at which `wide` by `tall` [m] fits into the room in units."""
        least = 1000 * MM * max(wide / room_wide, tall / room_tall)
        self.many = next((many for many in SCALES[self.show] if many >= least), SCALES[self.show][-1])
        return 1000 * MM / self.many

    @property
    def scale_words(self):
        """The scale as it is said: ``1 : 5``."""
        return f"1 : {self.many:g}"

    def foot(self, title):
        """Draw the foot: title, scale, and the bar."""
        length, words = BAR[self.show]
        bottom, right = self.height - 14, self.width - 6
        self.line("dim", (0, self.height - FOOT), (self.width, self.height - FOOT))
        self.text(6, self.height - 36, title if len(title) < 46 else title[:44] + "…", "big")
        self.text(6, bottom, f"Scale {self.scale_words} when printed at full size (100 %)")
        start = right - length * MM
        self.line("tick", (start, bottom - 10), (right, bottom - 10))
        for x in (start, right):
            self.line("dim", (x, bottom - 18), (x, bottom - 2))
        self.text((start + right) / 2, bottom - 20, f"this bar: {words}", "mid-a")
