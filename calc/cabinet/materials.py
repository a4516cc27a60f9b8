"""Sheet goods to start from: what they weigh and how thick they really are.

A row is a starting point for the workshop's own sheet; the calliper has the last word.
"""

from dataclasses import dataclass

BIRCH_SOURCE = "a supplier's data sheet of birch plywood, 1.4 mm veneers, mean thickness within EN 315 limits"
MDF_SOURCE = "EN 622-5 thickness classes; density range of common board"
PLY_SOURCE = "PS 1 performance categories; density range of common softwood plywood"


@dataclass(frozen=True)
class SheetGood:
    """A kind of sheet in one thickness.

    nominal, thickness : as sold and as usually measured [m]; thickness_range : least and most [m], or None.
    density : [kg/m³]. sizes : ((length, width), ...) of whole sheets [m].
    confidence : "seen" in the source, "derived" from a seen rule, or "from memory".
    """

    name: str
    nominal: float
    thickness: float
    thickness_range: tuple | None
    density: float
    sizes: tuple
    source: str
    confidence: str


FEET_4_BY_8 = (2.4384, 1.2192)
METRIC_4_BY_8 = (2.44, 1.22)
METRIC = (2.5, 1.25)
FEET_5_BY_5 = (1.524, 1.524)
LARGE = (3.05, 1.525)

INCH = 0.0254


def _birch(nominal, mean, least, most, density):
    return SheetGood(
        f"birch plywood {nominal:g} mm", nominal / 1e3, mean / 1e3, (least / 1e3, most / 1e3), density,
        (METRIC_4_BY_8, FEET_5_BY_5, METRIC, LARGE), BIRCH_SOURCE, "seen",
    )  # fmt: skip


def _mdf(nominal):
    return SheetGood(
        f"MDF {nominal:g} mm", nominal / 1e3, nominal / 1e3, None, 740, (METRIC_4_BY_8, METRIC, LARGE),
        MDF_SOURCE, "from memory",
    )  # fmt: skip


def _softwood(sold, nominal, thirty_seconds):
    return SheetGood(
        f"softwood plywood {sold} in", nominal * INCH, thirty_seconds / 32 * INCH, None, 525, (FEET_4_BY_8,),
        PLY_SOURCE, "from memory",
    )  # fmt: skip


SHEET_GOODS = (
    _birch(6.5, 6.4, 6.1, 6.9, 670),
    _birch(9, 9.2, 8.8, 9.5, 710),
    _birch(12, 12.0, 11.5, 12.5, 695),
    _birch(15, 14.9, 14.3, 15.3, 690),
    _birch(18, 17.7, 17.1, 18.1, 685),
    _birch(21, 20.5, 20.0, 20.9, 680),
    _birch(24, 23.4, 22.9, 23.7, 680),
    _birch(30, 29.4, 28.7, 29.9, 672),
    *map(_mdf, (12, 16, 18, 19, 22, 25)),
    _softwood("1/2", 1 / 2, 15),
    _softwood("5/8", 5 / 8, 19),
    _softwood("3/4", 3 / 4, 23),
)
"""The sheet goods that a page offers as starting points."""
