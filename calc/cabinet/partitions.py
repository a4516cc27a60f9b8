"""Plates that part the air: what lies on their two sides, and which of it is a chamber of its own."""

from typing import NamedTuple

from calc.cabinet.brace_places import NORMAL
from calc.cabinet.polyhedra import Plane, clipped, sums
from calc.errors import InputError


class Chamber(NamedTuple):
    """Air that a plate parts off: the `plate`, the `seats` that open it, its net `air` [m³], its `body`."""

    plate: str
    seats: tuple
    air: float
    body: object


class Twin(NamedTuple):
    """A plate with the box's drivers on both its sides, and the air that it leaves them. [m³]"""

    plate: str
    airs: tuple


def parted(air, plate):
    """Some air on the low and on the high side of a plate; None where there is none."""
    axis = NORMAL[plate.kind]
    out = tuple(float(k == axis) for k in range(3))
    back = tuple(-n for n in out)
    return clipped(air, Plane(*back, -plate.low[axis])), clipped(air, Plane(*out, plate.high[axis]))


def lies_in(point, plate, high):
    """Whether a point lies on the high side of a plate, or else on its low one."""
    axis = NORMAL[plate.kind]
    return (point[axis] > (plate.low[axis] + plate.high[axis]) / 2) == high


def chambers(air, plates, seats, takers):
    """What sealing plates make of the air.

    Parameters
    ----------
    air : Convex
        Between the walls.
    plates : dict of BraceSolid
        Those that seal, by name, in the order in which they part what is left of the box's air.
    seats : dict of str to (point, bool)
        Where each driver sits [m], and whether it is one of the box's.
    takers : iterable of (point, float)
        What takes air: where it stands [m], and its volume [m³].

    Returns
    -------
    own, twins : tuple of Chamber, tuple of Twin

    Raises
    ------
    InputError
        At ``braces.<name>.at``, where what stands in a chamber fills it.
    """
    takers, own, twins, seats = list(takers), [], [], dict(seats)
    for name, plate in plates.items():
        sides = parted(air, plate)
        here = [{n: s for n, s in seats.items() if lies_in(s[0], plate, high)} for high in (False, True)]
        ours = [any(box for _, box in side.values()) for side in here]
        left = [[t for t in takers if lies_in(t[0], plate, high)] for high in (False, True)]
        airs = [_net(side, taken, name) for side, taken in zip(sides, left, strict=True)]
        if all(ours):
            twins.append(Twin(name, tuple(airs)))
            continue
        keeps = 1 if ours[1] else 0
        cut = 1 - keeps
        own.append(Chamber(name, tuple(here[cut]), airs[cut], sides[cut]))
        air, seats, takers = sides[keeps], here[keeps], left[keeps]
    return tuple(own), tuple(twins)


def _net(side, taken, name):
    net = (0.0 if side is None else sums(side)[0]) - sum(volume for _, volume in taken)
    if net <= 0:
        raise InputError(f"braces.{name}.at", "leaves a chamber that is filled by what stands in it")
    return net


def called(chamber):
    """What a chamber is called."""
    return f"chamber of {' and '.join(chamber.seats)}" if chamber.seats else f"chamber behind {chamber.plate}"
