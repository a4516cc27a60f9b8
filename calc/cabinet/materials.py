"""What panels are made of: what it weighs, how stiff it is, how it rings, how thick it really is.

A row is a starting point for the workshop's own sheet; the calliper and the scale have the last word, and
who has bent a strip of her own sheet under a weight adds her own `Material`.
"""

from dataclasses import dataclass, replace
from math import isfinite

from calc.errors import InputError, require_positive, require_within

BIRCH_SOURCE = "a supplier's data sheet of birch plywood, 1.4 mm veneers, mean thickness within EN 315 limits"
MDF_SOURCE = "EN 622-5 thickness classes; density range of common board"
PLY_SOURCE = "PS 1 performance categories; density range of common softwood plywood"
CHIP_SOURCE = "EN 312 thickness classes; density range of common board"
WOOD_SOURCE = "USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, Table 5-3"
RATIO_SOURCE = "USDA Forest Products Laboratory, Wood Handbook, Table 5-1; beech: R. F. S. Hearmon, 1948"

CONFIDENCES = ("seen", "derived", "from memory", "own")
"""How well a row is known: read in its source, worked out from one, remembered, or the user's own."""

PSI = 6894.757  # Pa


@dataclass(frozen=True)
class Material:
    """A board's stuff. Checked when made, so that a user's own row is as good as one from the table.

    density : [kg/m³].
    E_along, E_across : modulus in bending along and across the face grain [Pa]; alike where there is none.
    G : modulus of shear in the board's plane [Pa]; left out, that of a stuff alike in all directions.
    nu : Poisson's ratio, of a pull along the face grain.
    E_range : least and most `E_along` that is met [Pa], or None.
    loss : least and most loss factor, 1/Q of a freely ringing board, or None where it is not known.
    source, confidence : of the moduli; confidence is one of `CONFIDENCES`.
    """

    name: str
    density: float
    E_along: float
    E_across: float | None = None
    G: float | None = None
    nu: float = 0.3
    E_range: tuple | None = None
    loss: tuple | None = None
    source: str = "measured by its user"
    confidence: str = "own"

    def __post_init__(self):
        if not self.name.strip():
            raise InputError("name", "must have a name")
        require_positive(density=self.density, E_along=self.E_along)
        if self.E_across is None:
            object.__setattr__(self, "E_across", self.E_along)
        if self.G is None:
            object.__setattr__(self, "G", self.E_along / (2 * (1 + self.nu)))
        require_positive(E_across=self.E_across, G=self.G)
        require_within(1, 25e3, "must be the density of a solid board", density=self.density)
        stiff = "must be the stiffness of a solid board, from foam to steel"
        require_within(1e6, 3e11, stiff, E_along=self.E_along, E_across=self.E_across)
        require_within(1e5, 1.5e11, stiff, G=self.G)
        require_within(0, 0.499, "must be at least zero and less than a half", nu=self.nu)
        if self.nu**2 * self.E_across >= self.E_along:
            raise InputError("nu", "is too large for a stuff that is so much stiffer across than along")
        for name in ("E_range", "loss"):
            _require_pair(name, getattr(self, name))
        if self.confidence not in CONFIDENCES:
            raise InputError("confidence", "must be " + ", ".join(CONFIDENCES[:-1]) + " or own")

    @property
    def nu_across(self):
        """Poisson's ratio of a pull across the face grain."""
        return self.nu * self.E_across / self.E_along

    @property
    def turned(self):
        """The same board with its face grain the other way, as a `Material`."""
        return Material(
            self.name, self.density, self.E_across, self.E_along, self.G, self.nu_across, None, self.loss,
            self.source, self.confidence,
        )  # fmt: skip


def _require_pair(name, pair):
    if pair is None:
        return
    if len(pair) != 2 or not all(isfinite(each) for each in pair) or not 0 <= pair[0] <= pair[1]:
        raise InputError(name, "must be a least and a most, in this order")


BOARDS = {
    "birch plywood": Material(
        "birch plywood", 680, 10.0e9, 7.5e9, 0.62e9, 0.05, (9.0e9, 11.0e9), (0.01, 0.015),
        "Handbook of Finnish Plywood: along and across sum to 17.5 GPa at 18 mm", "from memory",
    ),
    "softwood plywood": Material(
        "softwood plywood", 525, 10.0e9, 3.5e9, 0.6e9, 0.07, (8.0e9, 12.0e9), (0.01, 0.02),
        "Wood Handbook, chapter 12: 8 to 12 along, 2 to 5 GPa across", "from memory",
    ),
    "MDF": Material(
        "MDF", 740, 3.0e9, None, None, 0.3, (2.2e9, 3.5e9), (0.01, 0.03),
        "EN 622-5: at least 2.2 GPa from 12 to 19 mm; 2.5 to 3.5 is usual", "from memory",
    ),
    "particleboard": Material(
        "particleboard", 670, 2.2e9, None, None, 0.3, (1.6e9, 2.8e9), (0.01, 0.03),
        "EN 312 class P2: at least 1.6 GPa from 13 to 20 mm", "from memory",
    ),
}  # fmt: skip
"""Sheet stuff by name. The middles of ranges: a sheet of your own may be a fifth stiffer or softer."""


@dataclass(frozen=True)
class SheetGood:
    """A kind of sheet in one thickness.

    nominal, thickness : as sold and as usually measured [m]; thickness_range : least and most [m], or None.
    density : [kg/m³]. sizes : ((length, width), ...) of whole sheets [m]. plies : of plywood, or None.
    board : its name in `BOARDS`, where its stiffness and loss stand.
    source, confidence : of thickness and density; "seen" in the source, "derived" from a seen rule, or
        "from memory".
    """

    name: str
    nominal: float
    thickness: float
    thickness_range: tuple | None
    density: float
    sizes: tuple
    source: str
    confidence: str
    board: str
    plies: int | None = None

    @property
    def material(self):
        """Its `Material`, with this thickness's own density."""
        return replace(BOARDS[self.board], name=self.name, density=self.density)


FEET_4_BY_8 = (2.4384, 1.2192)
METRIC_4_BY_8 = (2.44, 1.22)
METRIC = (2.5, 1.25)
FEET_5_BY_5 = (1.524, 1.524)
LARGE = (3.05, 1.525)

INCH = 0.0254


def _birch(nominal, plies, mean, least, most, density):
    return SheetGood(
        f"birch plywood {nominal:g} mm", nominal / 1e3, mean / 1e3, (least / 1e3, most / 1e3), density,
        (METRIC_4_BY_8, FEET_5_BY_5, METRIC, LARGE), BIRCH_SOURCE, "seen", "birch plywood", plies,
    )  # fmt: skip


def _mdf(nominal):
    # ANSI A208.2 allows the mean of a panel 0.125 mm either way (seen in a buyers' guide that reprints it).
    return SheetGood(
        f"MDF {nominal:g} mm", nominal / 1e3, nominal / 1e3, None, 740, (METRIC_4_BY_8, METRIC, LARGE),
        MDF_SOURCE, "from memory", "MDF",
    )  # fmt: skip


def _chip(nominal):
    return SheetGood(
        f"particleboard {nominal:g} mm", nominal / 1e3, nominal / 1e3, None, 670, (METRIC_4_BY_8, METRIC),
        CHIP_SOURCE, "from memory", "particleboard",
    )  # fmt: skip


def _softwood(sold, nominal, thirty_seconds):
    return SheetGood(
        f"softwood plywood {sold} in", nominal * INCH, thirty_seconds / 32 * INCH, None, 525, (FEET_4_BY_8,),
        PLY_SOURCE, "from memory", "softwood plywood",
    )  # fmt: skip


SHEET_GOODS = (
    _birch(6.5, 5, 6.4, 6.1, 6.9, 670),
    _birch(9, 7, 9.2, 8.8, 9.5, 710),
    _birch(12, 9, 12.0, 11.5, 12.5, 695),
    _birch(15, 11, 14.9, 14.3, 15.3, 690),
    _birch(18, 13, 17.7, 17.1, 18.1, 685),
    _birch(21, 15, 20.5, 20.0, 20.9, 680),
    _birch(24, 17, 23.4, 22.9, 23.7, 680),
    _birch(30, 21, 29.4, 28.7, 29.9, 672),
    *map(_mdf, (12, 16, 18, 19, 22, 25)),
    *map(_chip, (16, 19, 22)),
    _softwood("1/2", 1 / 2, 15),
    _softwood("5/8", 5 / 8, 19),
    _softwood("3/4", 3 / 4, 23),
)
"""The sheet goods that a page offers as starting points."""


@dataclass(frozen=True)
class SolidWood:
    """A species at 12 percent moisture.

    specific_gravity : oven-dry mass by the volume at 12 percent, against water.
    E : modulus in bending along the grain as tabled, shear of the test beam included: the pure value is
        about a tenth higher [Pa].
    tangential, radial : (E across / E along, G / E along) in the face of a flatsawn and of a quartersawn
        board; by `RATIO_SOURCE`, from memory.
    moves_as : its name in `calc.cabinet.wood_movement.MOVEMENT`.
    source, confidence : of specific gravity and E.
    """

    name: str
    specific_gravity: float
    E: float
    tangential: tuple
    radial: tuple
    moves_as: str
    confidence: str
    source: str = WOOD_SOURCE

    @property
    def density(self):
        """At 12 percent moisture: the dry wood and the water in it. [kg/m³]"""
        return 1.12 * 1000 * self.specific_gravity

    def sawn(self, how):
        """The `Material` of a board sawn "flat" or "quarter"."""
        if how not in ("flat", "quarter"):
            raise InputError("sawn", "must be flat or quarter")
        across, shear = self.tangential if how == "flat" else self.radial
        return Material(
            f"{self.name}, {how}sawn", self.density, self.E, across * self.E, shear * self.E, 0.4,
            None, (0.006, 0.012), f"{self.source}; across the grain by {RATIO_SOURCE}", "from memory",
        )  # fmt: skip


def _wood(name, gravity, mega_psi, radial, tangential, moves_as=None, confidence="from memory"):
    (ER, GLR), (ET, GLT) = radial, tangential
    return SolidWood(name, gravity, mega_psi * 1e6 * PSI, (ET, GLT), (ER, GLR), moves_as or name, confidence)


SOLID_WOODS = (
    _wood("Ash, white", 0.60, 1.74, (0.125, 0.109), (0.080, 0.077), confidence="seen"),
    _wood("Basswood, American", 0.37, 1.46, (0.066, 0.056), (0.027, 0.046), confidence="seen"),
    _wood("Beech, American", 0.64, 1.72, (0.164, 0.117), (0.083, 0.077), confidence="seen"),
    _wood("Birch, yellow", 0.62, 2.01, (0.078, 0.074), (0.050, 0.068), confidence="seen"),
    _wood("Cherry, black", 0.50, 1.49, (0.197, 0.147), (0.086, 0.097), confidence="seen"),
    _wood("Maple, sugar", 0.63, 1.83, (0.132, 0.111), (0.065, 0.063)),
    _wood("Red oak, northern", 0.63, 1.82, (0.154, 0.089), (0.082, 0.081), "Red oak, commercial"),
    _wood("White oak", 0.68, 1.78, (0.163, 0.086), (0.072, 0.086), "White oak, commercial"),
    _wood("Walnut, black", 0.55, 1.68, (0.106, 0.085), (0.056, 0.062)),
    _wood("Yellow-poplar", 0.42, 1.58, (0.092, 0.075), (0.043, 0.069)),
    _wood("Douglas-fir, coast", 0.48, 1.95, (0.068, 0.064), (0.050, 0.078)),
    _wood("Sitka spruce", 0.40, 1.57, (0.078, 0.064), (0.043, 0.061)),
)
"""Solid woods for a front, an edge or a brace. Their loss, 0.006 to 0.012 along the grain, is from memory;
flatsawn white oak, of which no shear is tabled, has that of the quartersawn board."""

_PLY_DIVIDE = 620  # kg/m³; birch plywood lies above, softwood plywood below

_WORDS = (
    ("MDF", ("mdf", "medium density fib", "fibreboard", "fiberboard")),
    ("particleboard", ("particle", "chipboard")),
    ("birch plywood", ("birch ply", "baltic", "birch-ply")),
    ("softwood plywood", ("softwood ply", "fir ply", "pine ply", "spruce ply", "sheathing")),
)


def board_called(name, density):
    """The `Material` that a sheet's own name tells, with the density that its user weighed.

    Parameters
    ----------
    name : str
        What the workshop calls the sheet, "Birch ply, sold as 18".
    density : float
        Of that sheet. [kg/m³]

    Returns
    -------
    Material or None
        Of `BOARDS`, or a flatsawn board of `SOLID_WOODS`; None where the name tells nothing. "Plywood" alone
        is birch from 620 kg/m³ on, else softwood.
    """
    said = name.lower()
    found = next((board for board, words in _WORDS if any(word in said for word in words)), None)
    if found is None and "ply" in said:
        found = "birch plywood" if density >= _PLY_DIVIDE else "softwood plywood"
    wood = None if found else wood_called(name)
    stuff = BOARDS[found] if found else wood and wood.sawn("flat")
    if stuff is None:
        return None
    return replace(stuff, density=density)


def wood_called(name):
    """The `SolidWood` that a sheet's own name tells ("black walnut", "walnut"), or None."""
    spoken = set(name.lower().replace(",", " ").replace("-", " ").split())
    best = max(SOLID_WOODS, key=lambda wood: (_alike(wood, spoken), wood.name == "Maple, sugar"))
    return best if _alike(best, spoken) else None


def _alike(wood, spoken):
    """How many words of a species' name were said; a mere colour or place names no wood."""
    words = set(wood.name.lower().replace(",", " ").replace("-", " ").split())
    trees = words - {"white", "black", "yellow", "red", "american", "northern", "coast", "sugar", "sitka"}
    return len(words & spoken) if trees & spoken else 0


def _rows():
    rows = dict(BOARDS)
    for wood in SOLID_WOODS:
        rows |= {made.name: made for made in (wood.sawn("flat"), wood.sawn("quarter"))}
    return rows


MATERIALS = _rows()
"""Every `Material` that a sheet can be said to be of, by name: boards first, then solid woods."""


def material_of(sheet, key=""):
    """The `Material` of a sheet in stock.

    Parameters
    ----------
    sheet : Sheet-like
        With name, density, and material, E, E_across [Pa] and loss [-], each None where it was not given.
    key : str
        What the workshop calls a sheet that has no name.

    Returns
    -------
    Material or None
        The chosen row, or what the sheet's name tells, with the density that its user weighed and the values
        that he measured; None where neither tells and no modulus was measured.

    Notes
    -----
    A modulus of the user's own keeps the row's ratios of E across and G to E along.
    """
    row = MATERIALS.get(sheet.material) or board_called(sheet.name or key, sheet.density)
    loss = None if sheet.loss is None else (sheet.loss, sheet.loss)
    if row is None:
        if sheet.E is None:
            return None
        return Material(sheet.name or key or "own", sheet.density, sheet.E, sheet.E_across, loss=loss)
    row = replace(row, density=sheet.density, loss=loss or row.loss)
    if sheet.E is None:
        return row
    by = sheet.E / row.E_along
    return replace(
        row,
        E_along=sheet.E,
        E_across=sheet.E_across or by * row.E_across,
        G=by * row.G,
        nu=row.nu if sheet.E_across is None else min(row.nu, 0.9 * (sheet.E / sheet.E_across) ** 0.5),
        E_range=None,
        source="measured by its user",
        confidence="own",
    )


def wood_of(sheet, key=""):
    """(`SolidWood`, "flat" or "quarter") of a sheet of solid wood; (None, None) of any other."""
    if sheet.material is None:
        wood = wood_called(sheet.name or key)
        return (wood, "flat") if wood else (None, None)
    for wood in SOLID_WOODS:
        for how in ("flat", "quarter"):
            if sheet.material == f"{wood.name}, {how}sawn":
                return wood, how
    return None, None
