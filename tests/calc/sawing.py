"""An independent saw: it makes the cuts of a layout on a sheet and looks at what comes off."""

from collections import Counter

from shapely import STRtree
from shapely.geometry import box


def saw(sheet, kerf, cuts, near=1e-6):
    """The rectangles (shapely) that come off a trimmed sheet; refuses a cut that is not from edge to edge.

    `cuts` are (axis, at, start, end). A kerf may run off the edge of what is cut.
    """
    trim = sheet.trim
    parts = [(trim, trim, sheet.length - trim, sheet.width - trim)]
    for axis, at, start, end in cuts:
        i = "xy".index(axis)
        j = 1 - i
        hit = [
            part
            for part in parts
            if abs(part[i] - start) < near and abs(part[i + 2] - end) < near and part[j] < at < part[j + 2]
        ]
        assert len(hit) == 1, (
            f"cut {axis} at {at} from {start} to {end} goes edge to edge of {len(hit)} parts"
        )
        parts.remove(hit[0])
        below, beyond = list(hit[0]), list(hit[0])
        below[j + 2], beyond[j] = at, at + kerf
        parts += [tuple(part) for part in (below, beyond) if part[j + 2] - part[j] > near]
    return [box(*part) for part in parts]


def outline(piece):
    """A placed piece as it lies on its sheet."""
    along, across = (piece.width, piece.length) if piece.turned else (piece.length, piece.width)
    return box(piece.x, piece.y, piece.x + along, piece.y + across)


def inspect(layout, pieces, sheet, kerf, near=1e-6):
    """Refuse a layout that overlaps, loses the kerf or the grain, or is not what its cuts yield.

    Returns how many of each name were laid.
    """
    sizes = {(p.name, p.length, p.width): p for p in pieces}
    laid = Counter()
    stock = box(sheet.trim, sheet.trim, sheet.length - sheet.trim, sheet.width - sheet.trim)
    for one in layout.sheets:
        shapes = [outline(piece) for piece in one.pieces]
        for piece, shape in zip(one.pieces, shapes, strict=True):
            asked = sizes[piece.name, piece.length, piece.width]
            assert asked.grain == "any" or piece.turned == (asked.grain == "width"), "grain"
            assert stock.buffer(near).covers(shape)
            laid[piece.name] += 1
        tree = STRtree(shapes)
        for n, shape in enumerate(shapes):
            close = tree.query(shape, predicate="dwithin", distance=kerf - near) if kerf else []
            assert list(close) in ([n], []), "a kerf apart"
            overlaps = [m for m in tree.query(shape) if m != n and shapes[m].intersection(shape).area > near]
            assert not overlaps
        off = saw(sheet, kerf, [(cut.axis, cut.at, cut.start, cut.end) for cut in one.cuts], near)
        for shape in shapes:
            match = [part for part in off if part.hausdorff_distance(shape) < near]
            assert len(match) == 1, "every piece comes off the saw at its size and place"
            off.remove(match[0])
    for piece in pieces:
        most = sum(p.count for p in pieces if p.name == piece.name) if piece.count is not None else None
        assert most is None or laid[piece.name] <= most
    return laid
