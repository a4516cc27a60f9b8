"""The cut list: one row for each different blank."""

from dataclasses import dataclass, replace

from calc.errors import InputError

_SAME_SIZE = 1e-6  # m; blanks that differ by less are one row


@dataclass(frozen=True)
class Row:
    """One blank and how often it is cut.

    label : a letter. names : the parts of one cabinet that are cut so. count : pieces for all cabinets.
    sheet : the material's name, or "" if none is known. length, width, thickness [m].
    length_sum, width_sum : (base, ((count, add), ...)) [m], to be read as `base + count x add`.
    Grain runs along the length. over : how much longer and wider it is cut first, to be fitted [m].
    """

    label: str
    names: tuple
    count: int
    sheet: str
    length: float
    width: float
    thickness: float
    length_sum: tuple
    width_sum: tuple
    over: tuple = (0.0, 0.0)

    @property
    def cut_length(self):
        """Length that the piece leaves the saw with. [m]"""
        return self.length + self.over[0]

    @property
    def cut_width(self):
        """Width that the piece leaves the saw with. [m]"""
        return self.width + self.over[1]


def cut_list(carcass, braces=(), speakers=1, sheets=None, plies=None, over=None):
    """The blanks of a cabinet.

    Parameters
    ----------
    carcass : Carcass-like
        With `.panels` and `.layers`, {name: solid}; a solid has name, length, width, thickness [m] and sums.
    braces : mapping or iterable of brace solids
        With the same attributes.
    speakers : int
        How many cabinets are cut.
    sheets : dict of str to str, optional
        Material of each panel, brace and layer by name. Blanks of two materials are never one row.
    plies : dict of str to ((str, float), ...), optional
        The boards of a panel that is laminated before it is cut, by name, with their thickness [m].
    over : dict of str to (float, float), optional
        How much longer and wider a part is cut first, by name, since it is fitted later. [m]

    Returns
    -------
    tuple of Row
        Panels in the order of the carcass, then layers and braces; equal blanks in one row.
    """
    if speakers < 1:
        raise InputError("speakers", "must be at least one")
    parts = list(braces.values() if hasattr(braces, "values") else braces)
    rows = {}
    boards = [board for panel in carcass.panels.values() for board in _boards(panel, plies or {})]
    for part in [*boards, *carcass.layers.values(), *parts]:
        left_long = (over or {}).get(part.name, (0.0, 0.0))
        row = replace(_row(part, speakers, (sheets or {}).get(part.name, "")), over=left_long)
        key = _same_blank(row)
        if key in rows:
            known = rows[key]
            row = replace(known, names=(*known.names, part.name), count=known.count + speakers)
        rows[key] = row
    return tuple(replace(row, label=label(n)) for n, row in enumerate(rows.values()))


def label(n):
    """A, B ... Z, AA, AB ... for row `n`, counted from 0."""
    before, letter = divmod(n, 26)
    return (label(before - 1) if before else "") + chr(ord("A") + letter)


def _boards(panel, plies):
    """The boards that a panel is laminated from; the panel itself, if it is one board."""
    if panel.name not in plies:
        return [panel]
    return [replace(panel, name=name, thickness=thickness) for name, thickness in plies[panel.name]]


def _row(part, speakers, sheet):
    return Row(
        label="", names=(part.name,), count=speakers, sheet=sheet,
        length=part.length, width=part.width, thickness=part.thickness,
        length_sum=part.sums["length"], width_sum=part.sums["width"],
    )  # fmt: skip


def _same_blank(row):
    sums = [
        (_steps(base), tuple((count, _steps(add)) for count, add in adds))
        for base, adds in (row.length_sum, row.width_sum)
    ]
    return row.sheet, *map(_steps, (row.length, row.width, row.thickness, *row.over)), *sums


def _steps(length):
    """A length in whole steps, so that floats which differ by a hair are equal."""
    return round(length / _SAME_SIZE)
