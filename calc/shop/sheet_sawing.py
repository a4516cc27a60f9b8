"""Sawing a sheet cut by cut: what lies on the saw, how it is led, and what comes off."""

from dataclasses import dataclass

from calc.shop.unsafe import SLED, Held, held, railed

_STEP = 2e-6  # layouts are in whole micrometres


@dataclass(frozen=True)
class Stroke:
    """One cut of a sheet as it is made.

    cut : the `Pass` of the layout. off : what it takes off, from the edge that is measured from [m]. along :
    how long the cut is, across : how wide what lies on the saw is across it [m]. guide, dangers : as of
    `calc.shop.unsafe.held`, "panel" for a panel saw's stop; "large" is too large for the sled. near, far :
    the places (in the sheet's pieces) of what lies before the cut and beyond it. whole : whether these are
    finished, (before, beyond).
    """

    cut: object
    off: float
    along: float
    across: float
    guide: str
    dangers: tuple
    near: tuple
    far: tuple
    whole: tuple


def strokes(sawn, size, trim, kerf, saw):
    """The `Stroke` of each cut of a sheet.

    Parameters
    ----------
    sawn : calc.shop.sheet_layout.SawnSheet
    size : (float, float)
        Of the sheet before its edges are trimmed. [m]
    trim, kerf : float
        [m]
    saw : calc.project_saw.Saw-like
        With `.kind`, `.reach`, `.rail`.
    """
    lying = [((trim, trim), tuple(side - trim for side in size))]
    made = []
    for cut in sawn.cuts:
        k = "xy".index(cut.axis)  # the saw runs along axis k
        part = next(part for part in lying if _reaches(part, cut, k))
        lying.remove(part)
        low, high = part
        before = low, _with(high, 1 - k, cut.at)
        beyond = _with(low, 1 - k, cut.at + kerf), high
        lying += [before, beyond]
        near, far = (_within(sawn.pieces, each) for each in (before, beyond))
        along, across, off = cut.end - cut.start, high[1 - k] - low[1 - k], cut.at - low[1 - k]
        guide, dangers = _led(saw, along, across, off)
        whole = tuple(
            len(some) == 1 and _is(sawn.pieces[some[0]], each)
            for some, each in ((near, before), (far, beyond))
        )
        made.append(Stroke(cut, off, along, across, guide, dangers, near, far, whole))
    return tuple(made)


def _led(saw, along, across, off):
    """How what lies on the saw is led: a whole sheet is too large for the sled."""
    if saw.kind == "panel":
        return Held("panel", ())
    if saw.kind == "track":
        return railed(along, off, saw.rail)
    led = held(along, across, off, through=True, reach=saw.reach)
    return Held("track", ("large",)) if led.guide == "sled" and along > SLED else led


def _reaches(part, cut, k):
    """Whether a cut along axis `k` goes from edge to edge of a part."""
    (low, high), across = part, 1 - k
    ends = abs(low[k] - cut.start) < _STEP and abs(high[k] - cut.end) < _STEP
    return ends and low[across] < cut.at < high[across]


def _with(corner, k, value):
    return (value, corner[1]) if k == 0 else (corner[0], value)


def _extent(piece):
    return (piece.width, piece.length) if piece.turned else (piece.length, piece.width)


def _within(pieces, part):
    (left, low), (right, high) = part
    return tuple(
        n for n, piece in enumerate(pieces) if left - _STEP < piece.x < right and low - _STEP < piece.y < high
    )


def _is(piece, part):
    low, high = part
    return all(abs(high[k] - low[k] - size) < _STEP for k, size in enumerate(_extent(piece)))


# What lies where ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Mark:
    """What is written on a piece before it is sawn.

    name : of the part. speaker : which one it is for, from 1. end : the edge of the part at the end of the
    piece towards which the sheet's length runs, "top" or "front", or "". side : where its front edge lies,
    "low" or "high" on the sheet's width, or "".
    """

    name: str
    speaker: int
    end: str
    side: str


ENDS = dict.fromkeys(("front", "back", "left", "right"), "top") | {"top": "front", "bottom": "front"}
"""The edge that each panel's mark points to: its length is the cabinet's height, or its depth."""


def marks(rows, laid, speakers, good_face_up):
    """The `Mark` of each piece: a list for each of the sheets that are `laid`.

    Parameters
    ----------
    rows : sequence of calc.shop.cut_list.Row
    laid : sequence of calc.evaluate_layout.Laid-like
        In the order in which they are cut, with `.sawn` and `.named`.
    speakers : int
    good_face_up : bool
        Whether the outside of the parts lies up.

    Notes
    -----
    Speaker by speaker, as the pieces come. A left side that is seen from outside, its top to the right, has
    its front edge below; a right side is its mirror image. So the two are told apart before either has a
    groove, and both have their good face outside. A piece in a run of grain is named by it, and lies as the
    run does.
    """
    taken = {part for each in laid for part in each.named.values()}
    waiting = {
        row.label: [(name, n) for n in range(1, speakers + 1) for name in row.names if (name, n) not in taken]
        for row in rows
    }
    below = "left" if good_face_up else "right"

    def mark(piece, part):
        if part is not None:
            return Mark(*part, "", "")
        name, speaker = waiting[piece.name].pop(0)
        side = {True: "low", False: "high"}[name == below] if name in ("left", "right") else ""
        return Mark(name, speaker, ENDS.get(name, ""), side)

    return [[mark(piece, each.named.get(n)) for n, piece in enumerate(each.sawn.pieces)] for each in laid]
