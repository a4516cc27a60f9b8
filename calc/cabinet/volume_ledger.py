"""The air in the box: what the walls enclose, what takes from it, and what is left."""

from dataclasses import dataclass
from math import prod

from calc.errors import InputError, require_not_negative, require_positive

EXACT = 1e-12
"""How near `inside_for_net` comes to the wanted net volume. [m³]"""

_NOTHING = 1e-9  # share of the gross volume; less than this is what floats leave of nothing

_LINES = 8  # straight lines that are tried before a root is kept between two sizes

LARGEST = 10.0
"""Largest inner size that is tried for a wanted volume. [m]"""


@dataclass(frozen=True)
class Ledger:
    """`gross` and `net` volume [m³]; between them what is `displaced` and `gained`, as (name, volume)."""

    gross: float
    displaced: tuple
    net: float
    gained: tuple = ()


def ledger(gross, entries, gained=()):
    """The volume ledger of a box.

    Parameters
    ----------
    gross : float
        Volume that the walls enclose. [m³]
    entries : iterable of (str, float)
        What takes air from it, by name: braces, drivers, ports, boards. [m³]
    gained : iterable of (str, float)
        What was cut from the inside of its walls, by name. [m³]

    Returns
    -------
    Ledger

    Raises
    ------
    InputError
        If a volume is below zero, or nothing is left (at ``displaced``).
    """
    require_positive(gross=gross)
    displaced, gained = tuple(entries), tuple(gained)
    for name, volume in (*displaced, *gained):
        require_not_negative(**{f"displaced.{name}": volume})
    net = gross + sum(volume for _, volume in gained) - sum(volume for _, volume in displaced)
    if not net > _NOTHING * gross:
        raise InputError("displaced", "take more air than the box holds")
    return Ledger(gross, displaced, net, gained)


def port_displacement(outer_area, inside_length, count=1):
    """Volume that ports take from the air inside. [m³]

    Parameters
    ----------
    outer_area : float
        Section of one port over its own walls: the air in a port is not the box's. [m²]
    inside_length : float
        What stands inside the box, from the panel's inner face. [m]
    count : int
        Number of equal ports.
    """
    require_not_negative(outer_area=outer_area, inside_length=inside_length, count=count)
    return outer_area * inside_length * count


def inside_for_net(wanted, proportions, displaced_for, moves=None, gross_for=prod):
    """The inner size that leaves a wanted net volume.

    Parameters
    ----------
    wanted : float
        Net air volume. [m³]
    proportions : (float, float, float)
        Width, height, depth. In any one unit, where only their ratios count; the inner size [m], where but
        one side moves.
    displaced_for : callable
        Takes an inner size (width, height, depth) [m] and returns what is displaced in it [m³]. It may
        raise `InputError` where the box is too small for what stands in it.
    moves : {0, 1, 2}, optional
        The one side that moves; all of them in proportion, if None.
    gross_for : callable, optional
        Takes an inner size and returns what the walls enclose [m³], where that is no box. It may refuse.

    Returns
    -------
    tuple of float
        Inner width, height, depth. [m]

    Raises
    ------
    InputError
        At ``size`` if no box of these proportions leaves that volume, or what `displaced_for` refuses in
        every box that does.

    Notes
    -----
    Braces grow with the box, so its gross volume V solves V - displaced(V) = wanted. Straight lines through
    the last two sizes find it where nothing bends far; else the root is kept between two sizes and found by
    straight lines through those (the Illinois rule), halving where the smaller box cannot be built.
    """
    width, height, depth = proportions
    require_positive(**{"wanted": wanted, "size.width": width, "size.height": height, "size.depth": depth})
    search = _Search(wanted, proportions, displaced_for, moves, gross_for)
    found = search.straight()
    if found is not None:
        return search.inside(found)
    low, short, high, over = search.bracket()
    kept = None
    for _ in range(200):
        share = 0.5 if short is None else short / (short - over)
        middle = low + (high - low) * share
        excess = search.excess(middle)
        if excess is not None and abs(excess) <= EXACT:
            return search.inside(middle)
        # An end that is kept twice counts half, or a bent curve would keep it for ever.
        if excess is None or excess < 0:
            low, short, over = middle, excess, over / 2 if kept == "high" else over
            kept = "high"
        else:
            high, over = middle, excess
            short = short / 2 if kept == "low" and short is not None else short
            kept = "low"
    raise search.refusal or InputError(
        "size", "no box of these proportions leaves just the wanted volume: what stands inside grows in steps"
    )


class _Search:
    """Net volume as a function of width x height x depth; `refusal` is the last reason against a box."""

    def __init__(self, wanted, proportions, displaced_for, moves, gross_for):
        width, height, depth = proportions
        self.wanted, self.displaced_for, self.gross_for, self.refusal = wanted, displaced_for, gross_for, None
        self.held, self.moves = proportions, moves
        self.proportions = 1.0, height / width, depth / width
        require_positive(**{"size.height": self.proportions[1], "size.depth": self.proportions[2]})
        self.unit = self.proportions[1] * self.proportions[2]
        require_positive(**{"size.width": self.unit})

    def inside(self, block):
        """Inner size with that width x height x depth."""
        if self.moves is not None:
            size = list(self.held)
            size[self.moves] *= block / prod(self.held)
            return tuple(size)
        scale = (block / self.unit) ** (1 / 3)
        return tuple(scale * part for part in self.proportions)

    def excess(self, block):
        """Net volume less the wanted one, or None where such a box cannot be built."""
        try:
            inner = self.inside(block)
            return self.gross_for(inner) - self.displaced_for(inner) - self.wanted
        except InputError as refusal:
            self.refusal = refusal
            return None

    def straight(self):
        """Width x height x depth by straight lines from the wanted volume up, or None."""
        last, short = self.wanted, self.excess(self.wanted)
        if short is None or short >= 0:
            return None
        at = last - short
        for _ in range(_LINES):
            excess = self.excess(at) if self.wanted < at and max(self.inside(at)) <= LARGEST else None
            if excess is None or excess == short:
                return None
            if abs(excess) <= EXACT:
                return at
            last, short, at = at, excess, at - excess * (at - last) / (excess - short)
        return None

    def bracket(self):
        """A box that is too small and one that is too large, each with its excess; by quarters upward."""
        low, short = self.wanted, self.excess(self.wanted)
        while True:
            high = 1.25 * low
            if max(self.inside(high)) > LARGEST:
                raise self.refusal or InputError(
                    "size", "no box of these proportions leaves the wanted volume, with all that stands in it"
                )
            over = self.excess(high)
            if over is not None and over > 0:
                return low, short, high, over
            low, short = high, over
