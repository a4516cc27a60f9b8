"""How much wood of the braces stands between two corners of the inside, where plates part it into rooms."""

from itertools import combinations

from calc.cabinet.brace_places import NORMAL, Placed
from calc.cabinet.crossings import crossing_sums
from calc.cabinet.polyhedra import block, common, sums


def wood_within(braces, low, high):
    """Volume of what braces take of the air between two corners; where two cross, it counts once. [m³]

    Parameters
    ----------
    braces : iterable of BraceSolid
    low, high : (float, float, float)
        Corners of a room that no brace ends at, but for the plates that part it off. [m]

    Notes
    -----
    Exact where the room's faces run past windows or through them: a slice of a plate is its blank's, less
    what its gaps take of the same slice. A bar lies in one room, since it goes through no whole plate.
    """
    braces = tuple(braces)
    return sum(_own(each, low, high) for each in braces) - sum(
        _shared(one, other, low, high)
        for one, other in combinations(braces, 2)
        if {one.kind, other.kind} <= set(NORMAL) and one.kind != other.kind
    )


def _own(solid, low, high):
    """What a brace alone fills of the room. [m³]"""
    if solid.kind not in NORMAL:
        inside = all(a < c < b for a, b, c in zip(low, high, solid.centroid, strict=True))
        return solid.displaced if inside else 0.0
    corners = _met((low, high), (solid.place.low, solid.place.high))
    if corners is None:
        return 0.0
    whole = sums(common(solid.body, block(*corners)))[0]
    if not solid.place.gaps:
        return whole
    room = Placed("rib" if solid.kind == "frame" else "frame", *corners)  # a plate across it, as thick
    return whole - _open(solid.place, room, *corners)


def _shared(one, other, low, high):
    """What two plates that cross share in the room. [m³]"""
    crossing = _met((one.place.low, one.place.high), (other.place.low, other.place.high))
    corners = crossing and _met((low, high), crossing)
    both = corners and common(common(one.body, other.body), block(*corners))
    if both is None:
        return 0.0
    c = 3 - NORMAL[one.kind] - NORMAL[other.kind]
    (start, end), square = (corners[0][c], corners[1][c]), _volume(*corners)
    return sums(both)[0] - (square - crossing_sums(one.place, other.place, start, end)[0])


def _open(place, room, low, high):
    """What a plate's gaps take of it between two corners that lie in it. [m³]"""
    c = 3 - NORMAL[place.kind] - NORMAL[room.kind]
    return _volume(low, high) - crossing_sums(place, room, low[c], high[c])[0]


def _met(one, other):
    """The corners of what two boxes share, or None."""
    low = tuple(map(max, one[0], other[0]))
    high = tuple(map(min, one[1], other[1]))
    return (low, high) if all(a < b for a, b in zip(low, high, strict=True)) else None


def _volume(low, high):
    x, y, z = (b - a for a, b in zip(low, high, strict=True))
    return x * y * z
