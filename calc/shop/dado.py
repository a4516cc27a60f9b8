"""A groove as wide as the plate that it takes: by a dado stack, in two passes, or by the router."""

from dataclasses import dataclass
from typing import NamedTuple

from calc.errors import require_positive
from calc.shop.unsafe import passes

MIDDLE = 0.002
"""How much narrower than its groove a stack is taken for two passes, at least. [m]"""

GOOD = 5e-5
"""A groove that is off by less is good (common practice, no source). [m]"""

NO_NEARER = 2e-5
"""A stack that is nearer by less is no better. [m]"""

_MICRON = 1e-6


class Owned(NamedTuple):
    """A dado stack: width of each `outer` blade, {name: width} of its `chippers` and `shims`. [m]"""

    outer: float
    chippers: dict
    shims: dict


@dataclass(frozen=True)
class Stack:
    """The two outer blades with `chippers` and `shims` between them, by name; all cut `width` [m]."""

    chippers: tuple
    shims: tuple
    width: float

    @property
    def parts(self):
        """What stands between the outer blades."""
        return *self.chippers, *self.shims


@dataclass(frozen=True)
class Correction:
    """What a scrap groove says: parts to be taken `out` and put `into` the stack, by name.

    error : of the groove after that [m]. nudge : or the fence away from the blade by that for a second
    pass, the stack as it is [m]; None where the groove is wide enough or too wide already.
    """

    out: tuple
    into: tuple
    error: float
    nudge: float | None


def stack_for(wanted, owned, least=0.0):
    """The `Stack` whose width is nearest to what is wanted, with the fewest parts; None if none comes near.

    Parameters
    ----------
    wanted : float
        Width of the groove. [m]
    owned : Owned
    least : float
        Narrower than this it must not be. [m]

    Notes
    -----
    The widths of the parts add up; that the teeth of real blades overlap or wobble a little is what the
    scrap groove is for. Parts are compared in micrometres; what is nearer by less than `NO_NEARER` is not
    worth another part.
    """
    require_positive(wanted=wanted, outer=owned.outer)
    room = _whole(wanted) - _whole(2 * owned.outer)
    sums = _sums(owned, room)
    allowed = [at for at in sums if at >= _whole(least) - _whole(2 * owned.outer)]
    if not allowed or room < 0:
        return None
    least_off = min(abs(at - room) for at in allowed)
    if least_off > _whole(MIDDLE):
        return None
    near = [at for at in allowed if abs(at - room) <= least_off + _whole(NO_NEARER)]
    return _stack(sums[min(near, key=lambda at: (len(sums[at]), abs(at - room)))], owned)


def two_passes(wanted, owned):
    """(stack of outer blades and chippers alone, nudge of the fence between its two passes [m]).

    None where two passes do not cover the width.
    """
    room = _whole(wanted) - _whole(2 * owned.outer) - _whole(MIDDLE)
    sums = _sums(owned._replace(shims={}), room)
    fitting = [at for at in sums if at <= room]
    if not fitting:
        return None
    stack = _stack(sums[max(fitting)], owned)
    nudge = wanted - stack.width
    return (stack, nudge) if nudge <= stack.width else None


def correction(used, then, wanted, measured):
    """The `Correction` after a groove in scrap.

    Parameters
    ----------
    used, then : Stack
        With which it was cut, and what `stack_for` gives once the difference is known.
    wanted, measured : float
        Width that it shall have and has. [m]

    Notes
    -----
    What the groove is wider than the stack's parts stays so when a shim is changed.
    """
    require_positive(wanted=wanted, measured=measured)
    was, now = set(used.parts), set(then.parts)
    return Correction(
        tuple(name for name in used.parts if name not in now),
        tuple(name for name in then.parts if name not in was),
        then.width + measured - used.width - wanted,
        wanted - measured if wanted - measured > GOOD else None,
    )


def turned(width, offset):
    """Width of a groove that is cut once from each end, the piece turned end for end. [m]

    It lies in the middle of the piece, and is wider by twice what the first cut lay off it.
    """
    return width + 2 * abs(offset)


class Routed(NamedTuple):
    """A groove by the router: the `bit`'s name and its `diameter`, where its near side runs, and depths.

    lanes : from the groove's near side to the bit's near side, one after the other [m]. depths : to which
    each lane is cut, one pass after the other [m].
    """

    bit: str
    diameter: float
    lanes: tuple
    depths: tuple


def routed(width, depth, bits, step):
    """The groove `Routed` with the widest bit that goes into it; None where none does.

    Parameters
    ----------
    width, depth : float
        Of the groove. [m]
    bits : dict of str to float
        Diameters. [m]
    step : float
        The most at one pass. [m]
    """
    fitting = {name: size for name, size in bits.items() if size <= width + _MICRON}
    if not fitting:
        return None
    bit = max(fitting, key=lambda name: fitting[name])
    diameter = fitting[bit]
    many = passes(width, diameter)
    lanes = tuple(n * (width - diameter) / max(1, many - 1) for n in range(many))
    count = passes(depth, step)
    return Routed(bit, diameter, lanes, tuple(depth * n / count for n in range(1, count + 1)))


def _sums(owned, room):
    """{sum [µm]: names of parts} of all that may stand between the outer blades, up to a little over `room`.

    Of equal sums the one with the fewest parts.
    """
    found = {0: ()}
    for name, width in (*owned.chippers.items(), *owned.shims.items()):
        thick = _whole(width)
        for at, names in list(found.items()):
            total = at + thick
            if total <= room + _whole(MIDDLE) and len(names) + 1 < len(found.get(total, (*names, 0, 0))):
                found[total] = (*names, name)
    return found


def _stack(names, owned):
    chippers = tuple(name for name in owned.chippers if name in names)
    shims = tuple(name for name in owned.shims if name in names)
    width = 2 * owned.outer + sum(owned.chippers[n] for n in chippers) + sum(owned.shims[n] for n in shims)
    return Stack(chippers, shims, width)


def _whole(length):
    return round(length / _MICRON)
