"""What the page Wiring asks of a project: what a meter should read before power, and what a reading means."""

from dataclasses import dataclass
from math import inf

from calc.evaluate_network import assembled
from calc.network.faults import HEALTHY, explain, groups, next_probe, readings


@dataclass(frozen=True)
class Readings:
    """A meter at the two terminals before power.

    healthy : what it should read [ohm]; groups : `faults.Group`s of all single mistakes
    explained : mistakes that fit what was read, None while nothing was; probe : `faults.Probe` or None
    """

    healthy: float
    groups: tuple
    explained: tuple | None
    probe: object | None


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
    )
