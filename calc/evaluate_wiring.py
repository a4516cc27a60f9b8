"""What the page Wiring asks before power: what a meter should read, and which driver may be reversed."""

from dataclasses import dataclass
from math import inf

from calc.evaluate_network import assembled
from calc.network.faults import HEALTHY, explain, groups, meter_reading, next_probe, readings
from calc.network.netlist import GROUND
from calc.network.polarity import Null, reversals


@dataclass(frozen=True)
class Readings:
    """A meter at the two terminals before power.

    healthy : what it should read [ohm]; groups : `faults.Group`s of all single mistakes
    explained : mistakes that fit what was read, None while nothing was; probe : `faults.Probe` or None
    tags : ((from, to, what a meter should read between them [ohm]), ...): each driver's tags, and the way to
        them from the terminals; names of nodes, or (driver, "plus" or "minus")
    """

    healthy: float
    groups: tuple
    explained: tuple | None
    probe: object | None
    tags: tuple


def before_power(project, result, neighbours=()):
    """The `Readings` of a project whose crossover lacks nothing (`evaluate_network.lacking`).

    `neighbours` are pairs of joints whose pads lie side by side, so that a lead may bridge them.
    """
    made = assembled(project, result)
    expected = readings(made, neighbours)
    read = inf if project.network.reads_open else project.network.reading
    fit = None if read is None else explain(expected, read)
    return Readings(
        healthy=expected[HEALTHY],
        groups=groups(expected),
        explained=fit,
        probe=next_probe(made, fit) if fit and len(fit) > 1 else None,
        tags=tuple(_tags(made)),
    )


def _tags(made):
    """Two places of the healthy network after the other, and the reading between them. [ohm]"""
    for part in made.drivers:
        plus, minus = part.nodes
        yield (part.name, "plus"), (part.name, "minus"), meter_reading(made.parts, plus, minus)
        for node, tag in ((plus, "plus"), (minus, "minus")):
            if node == GROUND:
                yield GROUND, (part.name, tag), 0.0
            else:
                reading = 0.0 if node == made.node else meter_reading(made.parts, made.node, node)
                yield made.node, (part.name, tag), reading


@dataclass(frozen=True)
class Polarity:
    """What ohms cannot tell.

    nulls : `polarity.Null` of each pair that meets; at : where each pair meets [Hz]
    woofers : names of the drivers whose cone may be kicked
    fits : sets of reversed drivers that fit the tests, None while there was none
    """

    nulls: tuple
    at: tuple
    woofers: tuple
    fits: tuple | None


def polarity(project, heard):
    """The `Polarity` of a project and what is heard of it, a `calc.evaluate_sum.SumResult` or None."""
    net = project.network
    met = heard.meetings if heard else ()
    nulls = tuple(
        Null(low, high, "louder" if each.better_turned else "quieter", net.nulls.get(high))
        for low, high, each in met
    )
    woofers = tuple(
        name
        for name, part in net.parts.items()
        if part.kind == "driver" and project.drivers[part.driver].kind == "woofer"
    )
    kicks = {name: net.kicks[name] for name in woofers if net.kicks.get(name)}
    tried = kicks or any(null.heard for null in nulls)
    return Polarity(
        nulls=nulls,
        at=tuple(each.f for *_, each in met),
        woofers=woofers,
        fits=reversals(nulls, kicks) if tried else None,
    )
