"""Project and result -> every sheet with its parts on it, each with all that the router cuts in it.

Of a part that is worked on both faces, the one that opens it first lies up; the other waits for its own file.
"""

from dataclasses import dataclass, replace

from calc.evaluate_cabinet import laminated
from calc.evaluate_features import handed, parts
from calc.evaluate_layer_features import board
from calc.evaluate_layout import layouts
from calc.shop.features import HANDS, Circle, side
from calc.shop.rings import moved, quarter, rectangle


@dataclass(frozen=True)
class OnSheet:
    """A part on its sheet.

    letter : of its row in the cut list.
    side : the `calc.shop.features.Side` that lies up. blank : the ring of what is sawn. features : those of
    the side. Both in the sheet's x (along its length and its grain) and y. [m]
    left_long : whether the blank is larger than the part, which is trimmed until it goes in.
    """

    letter: str
    side: object
    blank: tuple
    features: tuple
    left_long: bool


@dataclass(frozen=True)
class Nested:
    """One sheet: the `laid` of `calc.evaluate_layout`, and the `OnSheet`s on it."""

    laid: object
    parts: tuple


def apart(project, by):
    """How far parts lie apart: as wide as the saw cuts, or `by` "bit" as the router, if that is wider. [m]"""
    shop = project.workshop
    return max(shop.kerf, shop.bits[shop.bit]) if by == "bit" else shop.kerf


def nested(project, result, by="saw", bones=False):
    """{name of a sheet good: `Nested` of each of its sheets}."""
    found, rows = _parts(project, result), {row.label: row for row in result.cut_list}
    two_hands = handed(project, result, found)
    laid_out = layouts(project, result.cut_list, apart(project, by))
    in_runs = {part for layout in laid_out.values() for laid in layout.laid for part in laid.named.values()}
    waiting = {row.label: _others(project.speakers, row, in_runs) for row in result.cut_list}

    def one(laid, number, piece):
        name, speaker = laid.named.get(number) or next(waiting[piece.name])
        part, hand = found[name], HANDS[(speaker - 1) % 2] if name in two_hands else ""
        up = side(part, part.worked()[0], hand=hand, bones=bones)
        return _on_sheet(piece, rows[piece.name], up)

    return {
        good: tuple(
            Nested(laid, tuple(one(laid, n, piece) for n, piece in enumerate(laid.sawn.pieces)))
            for laid in layout.laid
        )
        for good, layout in laid_out.items()
    }


def _parts(project, result):
    """Each part as it comes off its sheet; of a laminated panel that is its first board."""
    own = {panel: board(project, result, panel, *boards[0]) for panel, boards in laminated(project).items()}
    return parts(project, result) | own


def _others(speakers, row, in_runs):
    """(name, speaker) of each piece of a row that stands in no run of grain, speaker by speaker."""
    for speaker in range(1, speakers + 1):
        for name in row.names:
            if (name, speaker) not in in_runs:
                yield name, speaker


def _on_sheet(piece, row, up):
    """A side moved to its piece; what is left long is beyond the edges that nothing is measured from."""
    part = up.part
    more = row.over if part.grain == "x" else row.over[::-1]
    width, height = part.width + more[0], part.height + more[1]
    # the datum is on the left of who looks at the inside face of a left cabinet's part
    aside = more[0] if (up.face == "outside") != (up.hand == HANDS[1]) else 0.0
    upright = (part.grain == "y") == piece.turned

    def to_sheet(shape):
        if isinstance(shape, Circle):
            x, y = shape.x + aside, shape.y
            x, y = (x, y) if upright else (y, width - x)
            return shape._replace(x=x + piece.x, y=y + piece.y)
        shape = moved(shape, aside, 0.0)
        return moved(shape if upright else quarter(shape, width), piece.x, piece.y)

    return OnSheet(
        row.label, up, to_sheet(moved(rectangle(0.0, 0.0, width, height), -aside, 0.0)),
        tuple(replace(each, shape=to_sheet(each.shape)) for each in up.features), any(more),
    )  # fmt: skip
