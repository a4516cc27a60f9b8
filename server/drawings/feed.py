"""Which way the router is pushed, seen from above: inside a hole, round a piece, along its guides."""

from math import cos, pi, sin

from calc.shop.feed import feed
from server.drawings.plate import Plate

WIDTH, HEIGHT, BIT = 260, 210, 13


def ways(name="feed"):
    """A small drawing of each guide of `calc.shop.feed.GUIDES` but the disc: {guide: Drawing}."""
    return {
        "opening": _opening(f"{name}-opening"),
        "outside": _outside(f"{name}-outside"),
        "straightedge": _straightedge(f"{name}-straightedge"),
        "edge guide": _edge_guide(f"{name}-edge-guide"),
    }


def _opening(name):
    plate, x, y, r = Plate(name, WIDTH, HEIGHT), WIDTH / 2, HEIGHT / 2, 74
    plate.shapes("cutface", [_box(30, 8, 230, 202), _ring(x, y, r)[::-1]], "plyh")
    _round(plate, x, y, r - BIT - 4, feed("opening").turn)
    return plate.finished("Inside a hole the router goes clockwise, seen from above.")


def _outside(name):
    plate, x, y, r = Plate(name, WIDTH, HEIGHT), WIDTH / 2, HEIGHT / 2, 62
    plate.polygon("cutface", _ring(x, y, r), "plyh")
    _round(plate, x, y, r + BIT + 4, feed("outside").turn)
    return plate.finished("Round the outside of a piece the router goes counter-clockwise, seen from above.")


def _straightedge(name):
    plate = Plate(name, WIDTH, HEIGHT)
    plate.polygon("cutface", _box(20, 8, 240, 202), "plyh")
    left = feed("straightedge").side == "left"
    bar = (60, 94) if left else (166, 200)
    plate.polygon("leaf", _box(bar[0], 0, bar[1], HEIGHT))
    _straight(plate, WIDTH / 2)
    return plate.finished("A clamped straightedge lies on the left of the way that the router goes.")


def _edge_guide(name):
    plate = Plate(name, WIDTH, HEIGHT)
    plate.polygon("cutface", _box(20, 8, 186, 202), "plyh")
    x = 188 if feed("edge guide").side == "right" else 4
    plate.polygon("leaf", _box(x, 60, x + 16, 180))
    plate.line("dim", (WIDTH / 2 - 10, 160), (x, 160))
    _straight(plate, WIDTH / 2 - 10)
    return plate.finished("A guide that rides along the panel's edge hangs on the right of the way.")


# --- Strokes


def _round(plate, x, y, r, turn):
    """The way round a circle, its arrow, and the bit on it."""
    way = 1 if turn == "clockwise" else -1  # with y down, a growing angle is clockwise
    start, end = -pi / 2 - way * 0.9, -pi / 2 + way * 1.6
    (x1, y1), (x2, y2) = (_on(x, y, r, angle) for angle in (start, end))
    plate.path("o", f"M{x1:.1f} {y1:.1f}A{r} {r} 0 0 {int(way > 0)} {x2:.1f} {y2:.1f}")
    _head(plate, x2, y2, end + way * pi / 2)
    _bit(plate, *_on(x, y, r, start))


def _straight(plate, x):
    plate.line("o", (x, 160), (x, 44))
    _head(plate, x, 38, -pi / 2)
    _bit(plate, x, 160)


def _bit(plate, x, y):
    """The bit with the way that it turns: clockwise."""
    plate.circle("leaf", x, y, BIT)
    r = BIT - 5
    (x1, y1), (x2, y2) = _on(x, y, r, -2.6), _on(x, y, r, 1.2)
    plate.path("o", f"M{x1:.1f} {y1:.1f}A{r} {r} 0 1 1 {x2:.1f} {y2:.1f}")
    _head(plate, x2, y2, 1.2 + pi / 2, 5)


def _head(plate, x, y, angle, size=11):
    """An arrow's head whose point looks along `angle`."""
    wings = (angle + 2.6, angle - 2.6)
    plate.polygon("dot", [_on(x, y, size / 2, angle), *(_on(x, y, size, wing) for wing in wings)])


def _on(x, y, r, angle):
    return x + r * cos(angle), y + r * sin(angle)


def _ring(x, y, r):
    return [_on(x, y, r, 2 * pi * n / 72) for n in range(72)]


def _box(x1, y1, x2, y2):
    return [(x1, y1), (x2, y1), (x2, y2), (x1, y2)]
