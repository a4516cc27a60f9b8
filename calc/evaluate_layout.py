"""Project and the rows of its cut list -> what each of them is cut from: the layout that all pages show."""

from dataclasses import dataclass
from math import ceil

from calc.shop.sheet_layout import broken, cut_list_layouts


@dataclass(frozen=True)
class Laid:
    """One sheet, or part of a sheet that the shop breaks down, and what comes off it.

    good : its name among the workshop's sheets. number : among those of its good, from 1. sawn : a
    `SawnSheet`. length, width : before its edges are trimmed by `trim` [m]; the grain runs along the length.
    """

    good: str
    number: int
    sawn: object
    length: float
    width: float
    trim: float

    @property
    def size(self):
        return self.length, self.width


@dataclass(frozen=True)
class GoodLayout:
    """What is cut from one sheet good.

    laid : `Laid` in the order in which they are cut. used : sheets that it takes, or parts of sheets where
    the shop breaks each of them down into `broken`. bound : no layout takes fewer. proved : whether that is
    reached.
    """

    laid: tuple
    used: int
    bound: int
    proved: bool
    broken: object

    @property
    def sheets(self):
        return tuple(each.sawn for each in self.laid)

    @property
    def bought(self):
        """Whole sheets that are bought."""
        return ceil(self.used / self.broken.parts)


def carried(workshop):
    """The largest length and width that a sheet may come home with, None where it comes whole. [m]"""
    return workshop.most_length, workshop.most_width


def layouts(project, rows):
    """{name of a sheet good: `GoodLayout`} of all that the rows of a cut list ask for.

    Without the sheets on which a piece does not fit as its grain runs, or that have none to cut.
    """
    workshop = project.workshop
    found = cut_list_layouts(rows, workshop.sheets, workshop.kerf, workshop.trim, carried(workshop))
    return {name: _of_good(workshop, name, layout) for name, layout in found.items()}


def _of_good(workshop, name, layout):
    part = broken(workshop.sheets[name], workshop.kerf, carried(workshop))
    laid = tuple(
        Laid(name, n, sawn, part.length, part.width, workshop.trim) for n, sawn in enumerate(layout.sheets, 1)
    )
    return GoodLayout(laid, layout.used, layout.bound, layout.proved, part)
