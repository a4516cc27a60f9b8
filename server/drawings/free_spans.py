"""The six panels side by side with the fields that braces leave free, the weakest of each hatched."""

from server.drawings.plate import Plate, lettering

WIDTH, GAP, EDGE, NAME = 620, 16, 16, 30
TALLEST = 620

ROWS = ("front", "left", "right", "back"), ("top", "bottom")


def free_spans(panels, numbers, name="spans"):
    """Draw the free fields of all panels, to scale.

    Parameters
    ----------
    panels : dict of str to calc.cabinet.panel_modes.PanelStiffness
        All six.
    numbers : dict of str to int
        Number of each panel whose stuff is known, 1 for the weakest; it stands in its weakest field.
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    wide = [sum(panels[panel].b for panel in row) for row in ROWS]
    tall = [max(panels[panel].a for panel in row) for row in ROWS]
    gaps = [(len(row) - 1) * GAP for row in ROWS]
    scale = min(
        *((WIDTH - 2 * EDGE - gap) / sides for gap, sides in zip(gaps, wide, strict=True)),
        TALLEST / sum(tall),
    )
    plate = Plate(name, WIDTH, sum(tall) * scale + len(ROWS) * NAME + 2 * EDGE)
    y = EDGE
    for row, sides, gap, high in zip(ROWS, wide, gaps, tall, strict=True):
        x = (WIDTH - sides * scale - gap) / 2
        for panel in row:
            _panel(plate, panels[panel], numbers.get(panel), x, y, scale)
            x += panels[panel].b * scale + GAP
        y += high * scale + NAME
    return plate.finished(_sentence(numbers))


def _sentence(numbers):
    if not numbers:
        return "The six panels; what they are made of is not known."
    weak = min(numbers, key=numbers.get)
    return f"The six panels and their free fields; the weakest lies in the {weak}, hatched and numbered 1."


def _panel(plate, panel, number, left, up, scale):
    """One panel, its length up the paper, with its fields and its name below."""
    right, down = left + panel.b * scale, up + panel.a * scale
    plate.rect("face", left, up, right, down)
    for field in panel.fields:
        x1, x2 = (left + at * scale for at in field.over)
        y1, y2 = (down - at * scale for at in reversed(field.along))
        plate.rect("leaf", x1, y1, x2, y2)
        if field is panel.weakest:
            plate.rect("none", x1, y1, x2, y2, "slant", faint=True)
            _label(plate, panel, number, (x1 + x2) / 2, (y1 + y2) / 2, x2 - x1, y2 - y1)
    if panel.material is None and lettering("not known") < right - left:
        plate.text((left + right) / 2, (up + down) / 2 + 5, "not known", "em mid-a")
    plate.text((left + right) / 2, down + 20, panel.name, "em mid-a")


def _label(plate, panel, number, x, y, wide, high):
    """The number of the field, and below it the bounds of its note where there is room for them."""
    field = panel.weakest
    words = f"{field.supported:.0f}–{field.clamped:.0f}" if panel.thin else f"< {field.clamped:.0f}"
    roomy = lettering(words) + 8 <= wide and high >= 76
    plate.disc(x, y - 14 if roomy else y, str(number))
    if roomy:
        plate.text(x, y + 25, words, "mid-a")
