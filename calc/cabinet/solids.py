"""Volume and first moments of the few solids that cabinet joints are made of, exact and in closed form.

A solid's *sums* are (V, Mx, My, Mz): its volume [m³] and the integrals of x, y, z over it [m⁴].
Sums of parts add up and sums of cuts are taken away, which is all that a panel with joints needs.
A box is given by its corners `low` and `high`, each (x, y, z) [m].
"""

NOTHING = (0.0, 0.0, 0.0, 0.0)


def added(*sums):
    """Sums of solids that lie apart."""
    return tuple(map(sum, zip(*sums, strict=True)))


def taken(sums, *cuts):
    """Sums of a solid less parts of it that lie apart."""
    return tuple(whole - sum(parts) for whole, *parts in zip(sums, *cuts, strict=True))


def lump(volume, centre):
    """Sums of a solid of known `volume` [m³] and `centre` (x, y, z) [m]."""
    return (volume, *(volume * at for at in centre))


def common(low, high, other_low, other_high):
    """Corners of the box that two boxes share, or None if they share no volume."""
    low, high = tuple(map(max, low, other_low)), tuple(map(min, high, other_high))
    return (low, high) if all(a < b for a, b in zip(low, high, strict=True)) else None


def box_sums(low, high):
    """Sums of a box."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    return lump((x1 - x0) * (y1 - y0) * (z1 - z0), ((x0 + x1) / 2, (y0 + y1) / 2, (z0 + z1) / 2))


def wedge_sums(low, high, plane):
    """Sums of the part of a box on the positive side of a plane that is parallel to one axis.

    Parameters
    ----------
    low, high : tuple of float, shape (3,)
        Corners of the box. [m]
    plane : tuple
        (i, j, gi, gj, g0): the part where gi x_i + gj x_j + g0 > 0, with i and j two different axes.

    Notes
    -----
    The box's section across the third axis is clipped to a polygon, whose area and centroid
    follow from its corners (the trapezium sum); the third axis stretches it to a prism.
    """
    i, j, *line = plane
    k = 3 - i - j
    corners = [(low[i], low[j]), (high[i], low[j]), (high[i], high[j]), (low[i], high[j])]
    polygon = _clipped(corners, *line)
    if len(polygon) < 3:
        return NOTHING
    # Taken from the polygon's own first corner, a thin wedge far from the origin loses no digits.
    u0, v0 = polygon[0]
    area = u_moment = v_moment = 0.0
    for (u1, v1), (u2, v2) in zip(polygon[1:], polygon[2:], strict=False):
        twice = (u1 - u0) * (v2 - v0) - (u2 - u0) * (v1 - v0)
        area += twice / 2
        u_moment += twice / 6 * (u1 + u2 - 2 * u0)
        v_moment += twice / 6 * (v1 + v2 - 2 * v0)
    reach = high[k] - low[k]
    sums = [area * reach, 0.0, 0.0, 0.0]
    sums[1 + i] = (u_moment + area * u0) * reach
    sums[1 + j] = (v_moment + area * v0) * reach
    sums[1 + k] = area * reach * (low[k] + high[k]) / 2
    return tuple(sums)


def _clipped(corners, gi, gj, g0):
    """The part of a convex polygon where gi u + gj v + g0 > 0, corners in order."""
    side = [gi * u + gj * v + g0 for u, v in corners]
    kept = []
    for n, (u, v) in enumerate(corners):
        before, here = side[n - 1], side[n]
        if before * here < 0:
            share = before / (before - here)
            u0, v0 = corners[n - 1]
            kept.append((u0 + share * (u - u0), v0 + share * (v - v0)))
        if here >= 0:
            kept.append((u, v))
    return kept
