"""How far a dimension may move: a bar from its least to its most, closed where something stops it."""

from server.drawings.plate import Plate

WIDTH, HEIGHT = 220, 26


def play_bar(less, more, furthest, write, *, name):
    """Draw the play of a dimension about where it is now.

    Parameters
    ----------
    less, more : (float, bool)
        How far it may go down and up [m], and whether something stops it there.
    furthest : float
        What was looked for; the bar's half length. [m]
    write : callable
        Writes a length [m] as text.

    Returns
    -------
    Drawing
    """
    plate = Plate(name, WIDTH, HEIGHT)
    middle, scale = WIDTH / 2, (WIDTH / 2 - 6) / furthest
    low, high = middle - less[0] * scale, middle + more[0] * scale
    plate.line("dim", (middle - furthest * scale, HEIGHT - 8), (middle + furthest * scale, HEIGHT - 8))
    plate.rect("cut", low, 6, max(high, low + 1), HEIGHT - 10, "slant")
    for x, stopped in ((low, less[1]), (high, more[1])):
        if stopped:
            plate.line("brk", (x, 1), (x, HEIGHT - 4))
            plate.line("o", (x, 1), (x, HEIGHT - 4))
    plate.line("o", (middle, HEIGHT - 8), (middle, HEIGHT - 1))
    return plate.finished(f"From {write(less[0])} less to {write(more[0])} more.")
