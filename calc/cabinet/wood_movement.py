"""How wide a piece of solid wood is in a dry winter and in a damp summer, and the room that it needs.

Wood takes up water from the air and gives it back, slowly, and swells across its grain as it does. Plywood
and boards of fibre hardly move. Moisture content M is percent of the dry wood's mass, as everywhere in the
trade; coefficients C are by percent.
"""

from dataclasses import dataclass

from calc.errors import InputError, require_not_negative, require_positive, require_within

HANDBOOK = "USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, Table 13-5"

FIBRE_SATURATION = 30.0
"""Above it wood holds free water and does not move. [% of dry mass]"""

PLAY = 5e-4
"""Room that is left on each side when the wood is at its widest. [m] Common practice, no source."""


@dataclass(frozen=True)
class Movement:
    """How a species moves, by percent of moisture: `CR` a quartersawn width, `CT` a flatsawn one."""

    name: str
    CR: float
    CT: float
    confidence: str
    source: str = HANDBOOK


_SEEN = (
    ("Alder, red", 0.00151, 0.00256),
    ("Ash, white", 0.00169, 0.00274),
    ("Basswood, American", 0.00230, 0.00330),
    ("Beech, American", 0.00190, 0.00431),
    ("Birch, paper", 0.00219, 0.00304),
    ("Birch, yellow", 0.00256, 0.00338),
    ("Cherry, black", 0.00126, 0.00248),
    ("Elm, American", 0.00144, 0.00338),
    ("Hickory, pecan", 0.00169, 0.00315),
    ("Maple, red", 0.00137, 0.00289),
    ("Maple, sugar", 0.00165, 0.00353),
    ("Red oak, commercial", 0.00158, 0.00369),
    ("White oak, commercial", 0.00180, 0.00365),
    ("Sweetgum", 0.00183, 0.00365),
    ("Sycamore, American", 0.00172, 0.00296),
    ("Walnut, black", 0.00190, 0.00274),
)
_REMEMBERED = (
    ("Douglas-fir, coast", 0.00165, 0.00267),
    ("Sitka spruce", 0.00148, 0.00263),
    ("Yellow-poplar", 0.00158, 0.00289),
)
MOVEMENT = {row[0]: Movement(*row, "seen") for row in _SEEN} | {
    row[0]: Movement(*row, "from memory") for row in _REMEMBERED
}
"""Species by name."""


@dataclass(frozen=True)
class SheetMovement:
    """How much longer a sheet gets, at most: `by_humidity` is its share by unit of humidity. [-]"""

    name: str
    by_humidity: float
    confidence: str
    source: str


SHEET_MOVEMENT = {
    "MDF": SheetMovement(
        "MDF", 0.0033 / 0.30, "seen",
        "ANSI A208.2: linear expansion at most 0.33 %, as a buyers' guide reprints it; that its step is from "
        "50 to 80 % is from memory",
    ),
    "particleboard": SheetMovement(
        "particleboard", 0.0035 / 0.30, "from memory", "ANSI A208.1: at most 0.35 % from 50 to 80 %",
    ),
    "birch plywood": SheetMovement(
        "birch plywood", 0.0020 / 0.60, "from memory",
        "Wood Handbook, chapter 12: about 0.2 % either way from 30 to 90 %",
    ),
    "softwood plywood": SheetMovement(
        "softwood plywood", 0.0020 / 0.60, "from memory",
        "Wood Handbook, chapter 12: about 0.2 % either way from 30 to 90 %",
    ),
}  # fmt: skip
"""Sheet goods by their name in `calc.cabinet.materials.BOARDS`: a tenth to a fifth of solid wood."""


def equilibrium_moisture(T, humidity):
    r"""Moisture that wood comes to after weeks in air of one temperature and humidity.

    Hailwood and Horrobin's two hydrates of wood, with the handbook's constants [1]_, [2]_:

    .. math:: M = \frac{1800}{W}\left[\frac{K h}{1 - K h}
        + \frac{K_1 K h + 2 K_1 K_2 K^2 h^2}{1 + K_1 K h + K_1 K_2 K^2 h^2}\right]

    Parameters
    ----------
    T : float
        Temperature of the air. [K]
    humidity : float
        Relative humidity, 0 to 0.98. [-]

    Returns
    -------
    M : float
        Equilibrium moisture content. [% of dry mass]

    Raises
    ------
    InputError
        Outside 263 to 343 K, or outside the humidity.

    Notes
    -----
    Fitted to one species, sitka spruce, and used for all: within 1 or 2 percent of moisture for most
    untreated woods (from memory), damper on the way down than on the way up.
    MDF and particleboard take up less.

    References
    ----------
    .. [1] A. J. Hailwood and S. Horrobin, "Absorption of water by polymers," Trans. Faraday Soc. 42B, 1946.
    .. [2] Wood Handbook, FPL-GTR-190, 2010, chapter 4; its polynomials are in degrees Fahrenheit.
    """
    require_within(263.15, 343.15, "must be the temperature of a room or a shed", T=T)
    require_within(0, 0.98, "must be from 0 to 98 percent; in wetter air wood takes up free water",
                   humidity=humidity)  # fmt: skip
    F, h = T * 9 / 5 - 459.67, humidity
    W = 330 + 0.452 * F + 0.00415 * F**2
    K = 0.791 + 4.63e-4 * F - 8.44e-7 * F**2
    K1 = 6.34 + 7.75e-4 * F - 9.35e-5 * F**2
    K2 = 1.09 + 2.84e-2 * F - 9.04e-5 * F**2
    Kh = K * h
    hydrates = (K1 * Kh + 2 * K1 * K2 * Kh**2) / (1 + K1 * Kh + K1 * K2 * Kh**2)
    return 1800 / W * (Kh / (1 - Kh) + hydrates)


def width_change(width, C, M_from, M_to):
    """Change of width of a board across the grain, by the coefficient: width C (M_to - M_from).

    Parameters
    ----------
    width : float
        Measured at `M_from`. [m]
    C : float
        `Movement.CT` of a flatsawn, `CR` of a quartersawn board. [1 per % of moisture]
    M_from, M_to : float
        Moisture content. [% of dry mass]

    Returns
    -------
    change : float
        Above zero where it swells. [m]

    Raises
    ------
    InputError
        A width or coefficient not above zero, a moisture outside 0 to 30.

    Notes
    -----
    Holds from 6 to 14 percent; outside it `wide_width_change`. Wood Handbook, equation 13-2 (seen).
    """
    _require_wood(width, C, M_from=M_from, M_to=M_to)
    return width * C * (M_to - M_from)


def wide_width_change(width, C, M_from, M_to):
    """Change of width from any moisture to any other, up to saturation; see `width_change`.

    Notes
    -----
    Wood Handbook, equation 13-3 (its form from memory): width (M_to - M_from) / (3000 / S - 30 + M_from), S
    the whole shrinkage from green, in percent. The printed coefficients are this formula's slope at 10
    percent, which gives 3000 / S = 1/C + 20. It counts the change from the width at `M_from`, so that going
    there and back comes out even.
    """
    _require_wood(width, C, M_from=M_from, M_to=M_to)
    return width * (M_to - M_from) / (1 / C - 10 + M_from)


def _require_wood(width, C, **moistures):
    require_positive(width=width, C=C)
    require_within(0, 0.02, "must be a share by percent of moisture, a few thousandths", C=C)
    for name, M in moistures.items():
        require_within(0, FIBRE_SATURATION, "must be moisture of wood that moves, from 0 to 30 percent",
                       **{name: M})  # fmt: skip


@dataclass(frozen=True)
class Year:
    """A board over the year: its width as made, at its narrowest and at its widest. [m]"""

    made: float
    narrowest: float
    widest: float

    @property
    def swing(self):
        """From narrowest to widest. [m]"""
        return self.widest - self.narrowest


def year_of(width, C, M_made, M_dry, M_damp):
    """What a width across the grain does between the driest and the dampest time of its place.

    Parameters
    ----------
    width, C
        See `width_change`; `width` is as made.
    M_made, M_dry, M_damp : float
        Moisture of the wood on the bench, and at the two ends of the year. [% of dry mass] `M_made` may lie
        outside the two: wood from a damp shed.

    Returns
    -------
    Year

    Notes
    -----
    As if the wood came to rest with the air of each season. A finish slows it and takes the top off short
    spells; over a season little of that is left, so this is the most that it moves.
    """
    _require_wood(width, C, M_made=M_made, M_dry=M_dry, M_damp=M_damp)
    if M_dry > M_damp:
        raise InputError("M_dry", "must be at most the moisture of the damp season")
    ends = [width + wide_width_change(width, C, M_made, M) for M in (M_dry, M_made, M_damp)]
    return Year(width, min(ends), max(ends))


@dataclass(frozen=True)
class Slot:
    """A slotted hole for a screw in wood that moves under it.

    length : along the movement, ends included; width : the clearance hole's [m].
    towards, away : how far the slot reaches from the screw's middle, made on the bench, towards the line that
        stays and away from it [m].
    """

    length: float
    width: float
    towards: float
    away: float


def screw_slot(distance, C, M_made, M_dry, M_damp, clearance, play=PLAY):
    """The slot that a screw needs, so that the wood never draws tight against it.

    Parameters
    ----------
    distance : float
        Across the grain from the line that stays (a glued middle, a fixed edge) to the screw. [m]
    C, M_made, M_dry, M_damp
        See `year_of`.
    clearance : float
        Diameter of the hole that the screw's shank passes freely. [m]
    play : float
        Left over at each end. [m] Common practice, no source.

    Returns
    -------
    Slot

    Notes
    -----
    The wood carries its hole along: swelling moves it outward, so the slot must reach inward (towards the
    line that stays) by the swelling, and outward by the shrinking.
    """
    require_positive(clearance=clearance)
    require_not_negative(play=play)
    year = year_of(distance, C, M_made, M_dry, M_damp)
    towards = year.widest - distance + play + clearance / 2
    away = distance - year.narrowest + play + clearance / 2
    return Slot(towards + away, clearance, towards, away)


def edge_gap(width, C, M_made, M_dry, M_damp, play=PLAY):
    """Gaps, least and most, beside a solid panel that is let into a frame or between two walls.

    Parameters as of `screw_slot`; `width` is what moves toward this one edge, half the panel's where its
    middle is held.

    Returns
    -------
    made, widest : float
        Gap to leave on the bench, so that `play` is left in the dampest time, and the gap that then shows or
        must be hidden in the driest. [m]
    """
    require_not_negative(play=play)
    year = year_of(width, C, M_made, M_dry, M_damp)
    made = year.widest - width + play
    return made, made + width - year.narrowest


@dataclass(frozen=True)
class SeatRoom:
    """A driver in a solid-wood front.

    diameter : of the recess on the bench, so that it never pinches the flange [m].
    tightest, widest : the recess across the grain in the driest and in the dampest time [m]. Along the grain
        it stays.
    screws : how far a screw of the bolt circle wanders from its hole in the flange, at most [m].
    """

    diameter: float
    tightest: float
    widest: float
    screws: float


def driver_seat_room(flange, C, M_made, M_dry, M_damp, bolt_circle=None, play=PLAY):
    """The recess that a round flange needs in a front of solid wood, so that it never tightens on it.

    Parameters
    ----------
    flange : float
        Diameter of the driver's flange, which does not move. [m]
    C, M_made, M_dry, M_damp
        See `year_of`.
    bolt_circle : float, optional
        Diameter of the circle of its screws; left out, the flange's. [m]
    play : float
        Left all round when the wood is driest. [m] Common practice, no source.

    Returns
    -------
    SeatRoom

    Notes
    -----
    A hole in wood shrinks and swells just as the wood that was in it would: it is *narrowest* in the driest
    time. So the recess is cut at D with D + change(D) = flange + 2 play at the driest.
    """
    require_positive(flange=flange, bolt_circle=bolt_circle)
    require_not_negative(play=play)
    shrunk = year_of(1.0, C, M_made, M_dry, M_damp)
    diameter = (flange + 2 * play) / shrunk.narrowest
    wander = max(shrunk.widest - 1, 1 - shrunk.narrowest) * (bolt_circle or flange) / 2
    return SeatRoom(diameter, diameter * shrunk.narrowest, diameter * shrunk.widest, wander)


def sheet_change(length, by_humidity, humidity_from, humidity_to):
    """Change of length or width of a sheet good between two humidities, at most. [m]

    Parameters
    ----------
    length : float
        [m]
    by_humidity : float
        Of `SHEET_MOVEMENT`. [1 per unit of humidity]
    humidity_from, humidity_to : float
        Relative humidity, 0 to 1. [-]

    Notes
    -----
    The standards' limits over their step, taken as even: an upper bound from 30 to 80 percent, and beyond it
    a guess. A sheet gets thicker by far more, by several percent, where its edge drinks water.
    """
    require_positive(length=length, by_humidity=by_humidity)
    require_within(
        0, 1, "must be from 0 to 100 percent", humidity_from=humidity_from, humidity_to=humidity_to
    )
    return length * by_humidity * (humidity_to - humidity_from)
