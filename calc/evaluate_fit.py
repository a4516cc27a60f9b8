"""What the page Fit asks of a project: how far its sound is off a target, and which values bring it near."""

from dataclasses import dataclass, replace

import numpy as np

from calc.errors import InputError
from calc.evaluate_network import F, assembled
from calc.network import fit
from calc.network.preferred_values import decades
from calc.network.textbook import FAMILIES

CLOSE = 1 + 1e-9
"""A frequency this near to the end of a band is in it. [-]"""

SERIES = ("E6", "E12", "E24")

KINDS = {"R": "resistor", "L": "coil", "C": "capacitor"}


@dataclass(frozen=True)
class Choice:
    """One row of values: from where (`SERIES`, "exact" or "drawer"), what comes of it, and its price.

    values : {name of a part: value [ohm, H, F]}; wires : {name of a coil: Rdc [ohm]} where another coil is
    taken; fitted : `calc.network.fit.Fitted`; price : of one speaker's parts, None where not all are known
    """

    source: str
    values: dict
    wires: dict
    fitted: object
    price: float | None = None


def task(project, result, found, heard):
    """The `fit.Task` of a project with its `NetworkResult` and its `SumResult`.

    Raises
    ------
    InputError
        At "target.f_upper" or "network.parts".
    """
    target, parts, f = project.target, project.network.parts, F
    return fit.Task(
        network=assembled(project, result),
        names=tuple(name for name, each in parts.items() if each.kind != "driver" and not each.fixed),
        f=f,
        inside=(f >= target.f1 / CLOSE) & (f <= target.f2 * CLOSE),
        voices={name: heard.own[name] for name in heard.names},
        shapes=dict(zip(heard.names, shapes(target, len(heard.names), f), strict=True)),
        least=target.least or found.allowed or 0.0,
    )


def shapes(target, ways, f):
    """What each of one, two or three ways should be at f [Hz], from the lowest up; pass band 1, complex."""
    corners = {1: (), 2: (target.f,), 3: (target.f, target.f_upper)}.get(ways)
    if corners is None:
        raise InputError("network.parts", "has more than three ways, which no target is made for")
    if None in corners:
        raise InputError("target.f_upper", "is needed: three ways part at two places")
    family, order = target.slope.split()
    D = FAMILIES[family](int(order))
    made = [np.ones(f.size, dtype=complex) for _ in range(ways)]
    for i, corner in enumerate(corners):
        s = 1j * f / corner
        made[: i + 1] = [way / np.polyval(D, s) for way in made[: i + 1]]
        made[i + 1 :] = [way / np.polyval(D, 1 / s) for way in made[i + 1 :]]
    return made


def chosen(project, to_fit, sources=(*SERIES, "exact", "drawer")):
    """A `Choice` for each of `sources`, all from one fit.

    Raises
    ------
    InputError
        At "drawer" where it has nothing for a part.
    """
    best = fit.fitted(to_fit)
    made = []
    for source in sources:
        if source == "exact":
            made.append(Choice(source, _named(to_fit, best.values), {}, best))
        elif source == "drawer":
            made.append(_from_drawer(project, to_fit, best))
        else:
            shelves = [decades(source, *fit.BOUNDS[fit.KINDS[type(part)]]) for part in to_fit.parts]
            found = fit.on_the_shelf(to_fit, best, shelves)
            made.append(Choice(source, _named(to_fit, found.values), {}, found))
    return made


def _named(to_fit, values):
    return {name: float(value) for name, value in zip(to_fit.names, values, strict=True)}


def _from_drawer(project, to_fit, best):
    """The `Choice` of what the shop owns; coils bring the wire that they have."""
    bought = [_of_kind(project, part) for part in to_fit.parts]
    shelves = [np.array([each.value for each in stock]) for stock in bought]
    for name, shelf in zip(to_fit.names, shelves, strict=True):
        if not shelf.size:
            raise InputError("drawer", f"has nothing to take the place of {name}")
    found = fit.on_the_shelf(to_fit, best, shelves)
    taken = {
        name: stock[int(np.argmin(abs(shelf - value)))]
        for name, stock, shelf, value in zip(to_fit.names, bought, shelves, found.values, strict=True)
    }
    wires = {name: stock.Rdc for name, stock in taken.items() if stock.kind == "coil"}
    wired = [
        replace(part, Rdc=wires[part.name]) if part.name in wires else part for part in to_fit.network.parts
    ]
    real = replace(to_fit, network=replace(to_fit.network, parts=tuple(wired)))
    prices = [stock.price for stock in taken.values()]
    return Choice(
        "drawer",
        _named(to_fit, found.values),
        wires,
        fit.judged(real, found.values),
        None if None in prices else sum(prices),
    )


def _of_kind(project, part):
    """What the drawer has of a part's kind, by rising value, of each value the cheapest."""
    kind = KINDS[fit.KINDS[type(part)]]
    by_price = sorted(
        (each for each in project.drawer if each.kind == kind),
        key=lambda each: (each.value, each.price is None, each.price),
    )
    cheapest = {}
    for each in by_price:
        cheapest.setdefault(each.value, each)
    return list(cheapest.values())
