"""Project and result -> which parts come out of a piece of stock, and the project that cuts them from it."""

from collections import Counter
from dataclasses import dataclass, replace
from math import floor

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_layout import SAME_THICKNESS, fits_thickness, laid_with_grain, layouts
from calc.shop.sheet_layout import Piece, most_from_one_sheet

LEAST = 0.3, 0.1
"""Length and width of an offcut that is worth its place in the rack (common practice, no source). [m]"""

WORTH = {(True, True): 1.0, (True, False): 0.1, (False, True): 0.01}
"""What a part counts for, for its area, by (its thickness is the offcut's, it is of the same sheet good)."""


@dataclass(frozen=True)
class Suits:
    """What comes out of a piece of stock.

    sawn : a `SawnSheet` of it, None where nothing fits. length, width, trim [m]. counts : {letter: how many}.
    share : of its area that becomes parts. whole : parts that come out of it for every speaker.
    thickness : that the parts get which are cut from it [m].
    """

    sawn: object
    length: float
    width: float
    trim: float
    counts: dict
    share: float
    whole: tuple
    thickness: float

    @property
    def size(self):
        return self.length, self.width


@dataclass(frozen=True)
class Change:
    """What cutting parts from a piece of stock does.

    rows : ((words, quantity, before, after), ...) of what moves. bought : sheets before and after. refusal :
    why the cabinet cannot be built so; None where it can.
    """

    rows: tuple
    bought: tuple
    refusal: str | None = None


def suits(project, result, key):
    """The most that comes out of the stock `key` at once, by the area of the parts, as `Suits`.

    Parts that are as thick as it come first, those of its own sheet good before others; a thicker or thinner
    part of its good is taken where there is room. Grain runs along each part.
    """
    workshop, piece = project.workshop, project.workshop.stock[key]
    sheet, thickness = laid_with_grain(piece, workshop.trim), thickness_of(workshop, piece)
    pieces = []
    for row in result.cut_list:
        right = abs(row.thickness - thickness) <= SAME_THICKNESS * (1 + 1e-9)
        worth = WORTH.get((right, row.sheet == piece.sheet))
        if worth:
            size = row.cut_length, row.cut_width
            pieces.append(Piece(row.label, *size, row.count, "length", worth * size[0] * size[1]))
    try:
        layout = most_from_one_sheet(pieces, sheet, workshop.kerf, workshop.saw.order)
    except InputError:  # its trim uses it up
        layout = None
    sawn = layout.sheets[0] if layout and layout.sheets else None
    counts = Counter(placed.name for placed in sawn.pieces) if sawn else Counter()
    area = sum(placed.length * placed.width for placed in sawn.pieces) if sawn else 0.0
    return Suits(
        sawn, sheet.length, sheet.width, sheet.trim, dict(sorted(counts.items())),
        area / (sheet.length * sheet.width), tuple(_whole(project, result, counts)), thickness,
    )  # fmt: skip


def thickness_of(workshop, piece):
    """How thick a piece of stock is: as measured, or else as its sheet good. [m]"""
    return workshop.sheets[piece.sheet].thickness if piece.thickness is None else piece.thickness


def _whole(project, result, counts):
    """Parts that `counts` has for all speakers, and whose sheet is decided part by part."""
    for row in result.cut_list:
        names = row.names[: counts[row.label] // project.speakers]
        yield from (name for name in names if _table(project, name))


def _table(project, name):
    """Where the sheet of a part is decided: "panels", "braces", "layers"; None where it goes with others."""
    made = project.cabinet
    return next((table for table in ("panels", "braces", "layers") if name in getattr(made, table)), None)


def cut_from(project, key, names):
    """The project whose parts `names` are cut from the stock `key`: its thickness is then theirs.

    Where it is as thick as its sheet good, the parts become of that. Else it becomes a sheet good of its own.
    """
    workshop, piece = project.workshop, project.workshop.stock[key]
    good = piece.sheet
    if not fits_thickness(workshop, piece):
        good = _own_good(workshop, key)
        source = workshop.sheets[piece.sheet]
        name = f"{source.name or piece.sheet}, {piece.name or key}"
        workshop = replace(
            workshop,
            sheets={**workshop.sheets, good: replace(source, name=name, thickness=piece.thickness)},
            stock={**workshop.stock, key: replace(piece, sheet=good, thickness=None)},
        )
    stock = {**workshop.stock, key: replace(workshop.stock[key], aside=False)}
    return replace(
        project,
        workshop=replace(workshop, stock=stock),
        cabinet=_of_good(project, names, good),
    )


def _own_good(workshop, key):
    """A name for the sheet good that a piece of stock becomes."""
    return next(
        name
        for name in (key, *(f"{key} no {n}" for n in range(2, len(workshop.sheets) + 3)))
        if name not in workshop.sheets
    )


def _of_good(project, names, good):
    """The cabinet whose parts `names` are cut from a sheet good."""
    made = project.cabinet
    tables = {table: dict(getattr(made, table)) for table in ("panels", "braces", "layers")}
    for name in names:
        table = _table(project, name)
        tables[table][name] = good if table == "panels" else replace(tables[table][name], sheet=good)
    return replace(made, **tables)


def change(project, result, key, names):
    """What it does to the cabinet to cut parts from a piece of stock, as a `Change`."""
    other = cut_from(project, key, names)
    before = _bought(project, result)
    try:
        after = evaluate(other)
    except InputError as refusal:
        return Change((), (before, before), refusal.problem)
    rows = (
        ("Net volume", "volume", result.cabinet.net, after.cabinet.net),
        ("Tuning", "frequency", result.built.fb, after.built.fb),
        ("Weight, each", "mass", result.cabinet.mass, after.cabinet.mass),
        *(
            (f"Outside, {side}", "length", was, now)
            for side, was, now in zip(
                ("width", "height", "depth"), result.cabinet.carcass.outer, after.cabinet.carcass.outer,
                strict=True,
            )
        ),
    )  # fmt: skip
    moved = tuple(row for row in rows if row[2] and row[3] and abs(row[3] - row[2]) > 1e-4 * abs(row[2]))
    return Change(moved, (before, _bought(other, after)))


def _bought(project, result):
    return sum(layout.bought for layout in layouts(project, result.cut_list).values())


def at_least(length):
    """What is told of an offcut's side, down to the millimetre: never more than is there. [m]"""
    return floor(length * 1e3 + 1e-6) / 1e3


def worth_keeping(laid):
    """The offcuts (number, length, width) [m] that a `Laid` leaves and that are worth their place."""
    for number, (_, _, length, width) in enumerate(laid.sawn.offcuts):
        long, short = max(length, width), min(length, width)
        if long >= LEAST[0] and short >= LEAST[1]:
            yield number, length, width
