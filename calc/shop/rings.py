"""Outlines that a router follows: closed rings of straight lines and arcs, and round bones at inside corners.

A ring is ((x, y, bulge), ...), counter-clockwise; `bulge` is that of the side from this corner to the next:
the tangent of a quarter of the angle that its arc turns through, 0 for a straight side, above zero where it
turns left. So an arc's chord c and bulge b give its radius c (1 + b²) / (4 b).
"""

from math import acos, atan, atan2, cos, hypot, pi, sin, tan

_HAIR = 1e-9  # m; nearer than this, two corners are one


def straight(points):
    """The ring of straight sides through `points` ((x, y), ...) [m], turned counter-clockwise."""
    ring = tuple((x, y, 0.0) for x, y in points)
    return ring if area(ring) > 0 else ring[::-1]


def rectangle(x0, y0, x1, y1, radius=0.0):
    """A rectangle, its corners rounded with `radius` [m]."""
    r = min(radius, (x1 - x0) / 2, (y1 - y0) / 2)
    if r <= 0:
        return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
    quarter = tan(pi / 8)
    corners = (
        (x0 + r, y0, 0.0), (x1 - r, y0, quarter), (x1, y0 + r, 0.0), (x1, y1 - r, quarter),
        (x1 - r, y1, 0.0), (x0 + r, y1, quarter), (x0, y1 - r, 0.0), (x0, y0 + r, quarter),
    )  # fmt: skip
    return _closed_up(corners)


def _closed_up(corners):
    """Without the sides that have no length, as where two roundings meet."""
    kept = []
    for n, (x, y, bulge) in enumerate(corners):
        ahead = corners[(n + 1) % len(corners)]
        if hypot(ahead[0] - x, ahead[1] - y) > _HAIR:
            kept.append((x, y, bulge))
    return tuple(kept)


def area(ring):
    """What a ring encloses: above zero where it runs counter-clockwise. [m²]"""
    total = 0.0
    for n, (x, y, bulge) in enumerate(ring):
        ahead = ring[(n + 1) % len(ring)]
        total += (x * ahead[1] - ahead[0] * y) / 2
        if bulge:
            turn = 4 * atan(bulge)
            radius = hypot(ahead[0] - x, ahead[1] - y) * (1 + bulge**2) / (4 * abs(bulge))
            total += radius**2 * (turn - sin(turn)) / 2
    return total


def mirrored(ring, width):
    """The ring as it is seen from the other face of a part that is `width` wide. [m]"""
    turned = ring[::-1]
    return tuple((width - x, y, ring[len(ring) - 2 - n][2]) for n, (x, y, _) in enumerate(turned))


def truncated(diameter, across):
    """A circle about (0, 0) less what lies beyond two upright flats, `across` apart. [m]"""
    half = acos(min(1.0, across / diameter))
    x, y, bulge = across / 2, diameter / 2 * sin(half), tan((pi - 2 * half) / 4)
    return ((x, -y, 0.0), (x, y, bulge), (-x, y, 0.0), (-x, -y, bulge))


def turned(ring, turn):
    """The ring, turned to the right about (0, 0) [rad]."""
    c, s = cos(turn), sin(turn)
    return tuple((x * c + y * s, y * c - x * s, bulge) for x, y, bulge in ring)


def quarter(ring, width):
    """The ring of a part that is `width` wide, turned a quarter to the right; the corner stays. [m]"""
    return tuple((y, width - x, bulge) for x, y, bulge in ring)


def moved(ring, x, y):
    """The ring, shifted. [m]"""
    return tuple((a + x, b + y, bulge) for a, b, bulge in ring)


def flattened(ring, step=0.05):
    """Points (x, y) along a ring, those of an arc at most `step` [rad] apart. [m]"""
    found = []
    for n, (x, y, bulge) in enumerate(ring):
        found.append((x, y))
        if not bulge:
            continue
        ahead = ring[(n + 1) % len(ring)]
        turn = 4 * atan(bulge)
        # the centre lies left of the chord by its half over the tangent of half the turn
        away = (1 - bulge**2) / (4 * bulge)
        cx = (x + ahead[0]) / 2 - away * (ahead[1] - y)
        cy = (y + ahead[1]) / 2 + away * (ahead[0] - x)
        start, radius = atan2(y - cy, x - cx), hypot(x - cx, y - cy)
        pieces = max(2, int(abs(turn) / step) + 1)
        found += [
            (cx + radius * cos(start + turn * k / pieces), cy + radius * sin(start + turn * k / pieces))
            for k in range(1, pieces)
        ]
    return found


def boned(ring, bit, wanted):
    """A pocket's ring with a round bone at each corner, so that a square mate goes in.

    Parameters
    ----------
    ring : ring
        Of the pocket, straight at the corners in question. [m]
    bit : float
        Diameter of the bit. [m]
    wanted : callable
        Takes a place (x, y) a little beyond a corner, and tells whether wood stands there.

    Returns
    -------
    ring, bones : ring, int
        And how many corners were opened; one whose sides are too short for the bit stays as it is.

    Notes
    -----
    The bit's circle, its centre on the corner's bisector, passes through the corner. At an inside angle a it
    meets both sides ``bit cos(a/2)`` from the corner, and the arc between them through the corner turns
    through 2 pi - 2 a: a half circle at a square corner.
    """
    kept, bones = [], 0
    for n, (x, y, bulge) in enumerate(ring):
        behind, ahead = ring[n - 1], ring[(n + 1) % len(ring)]
        corner = _corner(behind, (x, y), ahead) if not behind[2] and not bulge else None
        reach = bit * cos(corner[0] / 2) if corner else 0.0
        if (
            corner is None
            or 2 * reach > min(corner[1:3]) + _HAIR
            or not wanted(x - 1e-6 * corner[3][0], y - 1e-6 * corner[3][1])
        ):
            kept.append((x, y, bulge))
            continue
        angle, before, after, _ = corner
        kept += [
            (*_towards((x, y), behind, reach / before), tan((pi - angle) / 2)),
            (*_towards((x, y), ahead, reach / after), 0.0),
        ]
        bones += 1
    return _closed_up(tuple(kept)), bones


def _towards(start, end, share):
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _corner(behind, at, ahead):
    """Inside angle [rad], the two sides [m] and the bisector of a corner; None where it opens outwards."""
    ax, ay, bx, by = behind[0] - at[0], behind[1] - at[1], ahead[0] - at[0], ahead[1] - at[1]
    before, after = hypot(ax, ay), hypot(bx, by)
    if bx * ay - by * ax <= _HAIR * before * after:
        return None
    angle = acos(max(-1.0, min(1.0, (ax * bx + ay * by) / (before * after))))
    mx, my = ax / before + bx / after, ay / before + by / after
    long = hypot(mx, my)
    return angle, before, after, (mx / long, my / long)


def holds(ring, x, y):
    """Whether a place lies within a ring of straight sides."""
    inside = False
    for n, (ax, ay, _) in enumerate(ring):
        bx, by, _ = ring[n - 1]
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            inside = not inside
    return inside
