"""Where the air goes: a bar of what the walls enclose, what the parts take, and what is left."""

from server.drawings.plate import LETTERS, Plate, lettering, spread

WIDTH, HEIGHT = 620, 98
_HATCHES = ("slant", "plyh", "cross", "level")


def ledger_bar(gross, displaced, net, write, *, name="ledger"):
    """Draw the volume ledger as a bar; the air is shortened by a zigzag where it is long.

    Parameters
    ----------
    gross, net : float
        Between the walls, and what is left. [m³]
    displaced : iterable of (name, volume)
        What each part takes. [m³]
    write : callable
        Writes a volume [m³] as text with its unit.
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
        `letters` are those under the parts, {name: letter}.
    """
    parts = [(what, volume) for what, volume in displaced if volume > 0]
    plate = Plate(name, WIDTH, HEIGHT)
    total = sum(volume for _, volume in parts)
    words = f"{write(net)} of air"
    air, shortened = _air_width(max(net, 0.0), total, words)
    scale = (WIDTH - 4 - air) / total if total > 0 else 0.0
    left, top, low = 2.0, 8.0, 54.0
    plate.rect("o", left, top, left + air, low)
    plate.rect("none", left, top, left + air, low, "dots", faint=True)
    plate.text(left + 14, 38, words, "big")
    x, middles = left + air, []
    for number, (_, volume) in enumerate(parts):
        end = x + volume * scale
        plate.rect("leaf", x, top, end, low)
        plate.rect("cutline", x, top, end, low, _HATCHES[number % len(_HATCHES)])
        middles.append((x + end) / 2)
        x = end
    for number, (middle, place) in enumerate(
        zip(middles, spread(middles, 19, left + 10, WIDTH - 10), strict=True)
    ):
        letter = LETTERS[number % 26]
        plate.letters[parts[number][0]] = letter
        plate.line("dim", (middle, low + 3), (place, low + 12))
        plate.text(place, 84, letter, "big mid-a")
    if shortened:
        _zigzag(plate, left + air - 26)
    taken = f", less {write(total)} displaced" if parts else ""
    return plate.finished(f"{write(gross)} inside{taken}, leaves {write(net)}.")


def _air_width(net, total, words):
    """Width of the air's part of the bar, and whether it is shorter than to scale."""
    room = WIDTH - 4
    least = min(lettering(words, "big") + 60, room)
    if total <= 0:
        return room, False
    true = room * net / (net + total)
    longest = max(240, least)
    if true > 1.3 * longest:  # a little too long is no reason to break it
        return longest, True
    return max(true, min(least, room * 0.6)), False


def _zigzag(plate, x):
    for kind in ("brk", "dim"):
        plate.line(kind, (x, 0), (x, 20), (x - 9, 26), (x + 9, 38), (x, 44), (x, 62))
