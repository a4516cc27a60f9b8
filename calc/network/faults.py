"""What a meter should read at the terminals before power, for a network as drawn and with one mistake in it.

At rest a capacitor is open, a coil is its wire and a driver is Re. A meter cannot see polarity, nor
anything behind a capacitor.
"""

from dataclasses import dataclass, replace
from itertools import combinations
from math import inf, isfinite

from calc.errors import InputError, require_not_negative
from calc.network.netlist import GROUND, Coil

METER = 0.1
"""Ohms that a plain meter and its leads may be off, after the leads were subtracted (common practice, no
source). [ohm]"""

METER_SHARE = 0.02
"""Part of the reading that a plain meter may be off besides (common practice, no source). [-]"""


@dataclass(frozen=True)
class Fault:
    """One mistake: its `kind` and the names of the parts or nodes that it is at.

    healthy   none at all
    open      a part burned out, left off, or with a dry joint at either lead
    bridged   the two ends of a part joined, or two neighbouring nodes
    swapped   two parts of a kind in each other's place
    reversed  a driver with plus and minus exchanged
    unfed     a dry joint at the terminals
    """

    kind: str
    names: tuple = ()


HEALTHY = Fault("healthy")


def single_faults(network, neighbours=()):
    """Every single mistake that a network can have, the healthy one first.

    Parameters
    ----------
    network : Network
    neighbours : iterable of (str, str)
        Nodes whose pads lie side by side, where solder or a folded lead may bridge them.

    Returns
    -------
    tuple of Fault
    """
    parts = network.parts
    pairs = [(a, b) for a, b in combinations(parts, 2) if type(a) is type(b) and _differ(a, b)]
    return (
        HEALTHY,
        Fault("unfed"),
        *(Fault("open", (part.name,)) for part in parts),
        *(Fault("bridged", (part.name,)) for part in parts),
        *(Fault("bridged", tuple(pair)) for pair in neighbours),
        *(Fault("swapped", (a.name, b.name)) for a, b in pairs),
        *(Fault("reversed", (part.name,)) for part in network.drivers),
    )


def _differ(a, b):
    return replace(a, name="", nodes=()).__dict__ != replace(b, name="", nodes=()).__dict__


def faulted(network, fault):
    """The parts of a network with a mistake in it, and the node that is fed.

    Returns
    -------
    parts : tuple
        No longer a network that must make sense: nodes may float or be shorted.
    node : str

    Raises
    ------
    InputError
        At "names" if the network has none of that name.
    """
    parts = {part.name: part for part in network.parts}
    nodes = {end for part in network.parts for end in part.nodes}
    if fault.kind == "bridged" and len(fault.names) == 2:
        _require_known(fault.names, nodes)
        return _joined(network.parts, network.node, *fault.names)
    _require_known(fault.names, parts)
    if fault.kind == "open":
        del parts[fault.names[0]]
    elif fault.kind == "bridged":
        one = parts.pop(fault.names[0])
        return _joined(parts.values(), network.node, *one.nodes)
    elif fault.kind == "swapped":
        a, b = (parts[name] for name in fault.names)
        parts[a.name], parts[b.name] = replace(a, nodes=b.nodes), replace(b, nodes=a.nodes)
    elif fault.kind == "reversed":
        one = parts[fault.names[0]]
        parts[one.name] = replace(one, nodes=one.nodes[::-1])
    elif fault.kind == "unfed":
        return network.parts, ""  # no part is at a node of that name
    elif fault.kind != "healthy":
        raise InputError("kind", "must be healthy, open, bridged, swapped, reversed or unfed")
    return tuple(parts.values()), network.node


def _require_known(names, known):
    for name in names:
        if name not in known:
            raise InputError("names", f"the network has no {name}")


def _joined(parts, node, one, other):
    """The parts with the nodes `one` and `other` made the same; ground, then the source keep their names."""
    keep, lose = (one, other) if one == GROUND or (one == node and other != GROUND) else (other, one)
    moved, node = _renamed(parts, node, {lose: keep})
    return tuple(part for part in moved if part.nodes[0] != part.nodes[1]), node


def _renamed(parts, node, names):
    moved = tuple(replace(part, nodes=tuple(names.get(end, end) for end in part.nodes)) for part in parts)
    return moved, names.get(node, node)


def meter_reading(parts, node, other=GROUND):
    """What a meter reads from `node` to another, everything at rest.

    Parameters
    ----------
    parts : iterable of parts
        Each of one value, drivers with a known Re.
    node, other : str
        Where its tips are held.

    Returns
    -------
    R : float
        0 for a short, infinite for an open circuit. [ohm]

    Raises
    ------
    InputError
        At "<driver>.Re" if a driver was measured without it.

    Notes
    -----
    The meter's leads are not in it: hold them together and subtract what it reads. A large capacitor lets
    the reading climb for a second.
    """
    names = {} if other == GROUND else {other: GROUND, GROUND: other}  # the second tip plays ground's part
    resting = [
        (tuple(names.get(end, end) for end in part.nodes), float(part.dc))
        for part in parts
        if isfinite(part.dc)
    ]
    joined, fed = _without_wires(resting, names.get(node, node))
    if fed == GROUND:
        return 0.0
    G = {}  # conductance between each pair of nodes
    for nodes, dc in joined:
        pair = frozenset(nodes)
        G[pair] = G.get(pair, 0.0) + 1 / dc
    for gone in set().union(*G) - {fed, GROUND}:
        star = {next(iter(pair - {gone})): G.pop(pair) for pair in [*G] if gone in pair}
        total = sum(star.values())
        for a, b in combinations(star, 2):
            pair = frozenset((a, b))
            G[pair] = G.get(pair, 0.0) + star[a] * star[b] / total
    return 1 / G[frozenset((fed, GROUND))] if G else inf


def _without_wires(resting, node):
    """Pairs of nodes with their ohms, the ends of what has none made one node; and the node that is fed."""
    while wire := next((nodes for nodes, dc in resting if not dc), None):
        a, b = wire
        keep, lose = (a, b) if a == GROUND or (a == node and b != GROUND) else (b, a)
        moved = ((tuple(keep if end == lose else end for end in nodes), dc) for nodes, dc in resting)
        resting = [(nodes, dc) for nodes, dc in moved if nodes[0] != nodes[1]]
        node = keep if node == lose else node
    return resting, node


@dataclass(frozen=True)
class Group:
    """Mistakes that a meter cannot tell apart, with their readings between `low` and `high` [ohm]."""

    low: float
    high: float
    faults: tuple

    @property
    def healthy(self):
        """Whether a sound network reads the same, so that the meter does not show these mistakes."""
        return HEALTHY in self.faults


def readings(network, neighbours=()):
    """The reading [ohm] for each of `single_faults`, as a dict; the healthy one comes first."""
    return {fault: meter_reading(*faulted(network, fault)) for fault in single_faults(network, neighbours)}


def groups(expected, meter=METER, share=METER_SHARE):
    """Sort readings into groups that a meter tells apart.

    Parameters
    ----------
    expected : dict of Fault to float
        See `readings`. [ohm]
    meter, share : float
        What the meter may be off: in ohms, and besides as a part of the reading. [ohm, -]

    Returns
    -------
    tuple of Group
        Rising. Between neighbouring groups lies more than the meter may be off; within one, each reading
        is closer than that to the next.
    """
    require_not_negative(meter=meter, share=share)
    found = []
    for fault, R in sorted(expected.items(), key=lambda item: item[1]):
        if found and not _apart(found[-1].high, R, meter, share):
            found[-1] = Group(found[-1].low, R, (*found[-1].faults, fault))
        else:
            found.append(Group(R, R, (fault,)))
    return tuple(found)


def _apart(low, high, meter, share):
    if low == high:
        return False
    return high == inf or high - low > meter + share * high


def explain(expected, reading, meter=METER, share=METER_SHARE):
    """The mistakes, and perhaps the healthy network, that a reading [ohm, infinite if open] may come from.

    Parameters are those of `groups`. Empty if no single mistake reads so.
    """
    require_not_negative(meter=meter, share=share)
    if not reading >= 0:
        raise InputError("reading", "must be zero or a number above it, or open")
    return tuple(fault for fault, R in expected.items() if not _apart(*sorted((R, reading)), meter, share))


@dataclass(frozen=True)
class Probe:
    """Two `nodes` to hold a meter to, and the `groups` that it then tells apart."""

    nodes: tuple
    groups: tuple


def next_probe(network, faults, meter=METER, share=METER_SHARE):
    """Where to hold the meter next, when a reading leaves several mistakes open.

    Parameters
    ----------
    network : Network
    faults : iterable of Fault
        What the readings so far leave open, see `explain`.
    meter, share : float
        See `groups`. [ohm, -]

    Returns
    -------
    Probe or None
        The pair of nodes that tells the most of them apart, and of equal ones that which leaves the fewest
        together; None if no reading of ohms can: then by continuity of each joint, by polarity, by ear.

    Notes
    -----
    The tips are held to the joints themselves; nothing is unsoldered.
    """
    faults = tuple(faults)
    best, score = None, (1, 0)
    nodes = sorted({end for part in network.parts for end in part.nodes})
    touched = {fault: _touched(network, fault) for fault in faults}
    for pair in combinations(nodes, 2):
        read = {fault: meter_reading(parts, *pair) for fault, parts in touched.items()}
        found = groups(read, meter, share)
        gained = (len(found), -max((len(group.faults) for group in found), default=0))
        if len(found) > 1 and gained > score:
            best, score = Probe(pair, found), gained
    return best


def _touched(network, fault):
    """The parts of a network with a mistake, all of its nodes still there to be touched."""
    parts, _ = faulted(network, fault)
    if fault.kind == "unfed":
        return network.parts
    if fault.kind == "bridged":
        ends = fault.names if len(fault.names) == 2 else _named(network.parts, fault.names[0]).nodes
        return (*network.parts, Coil("bridge", tuple(ends), L=1e-6))  # of no resistance: a wire
    return parts


def _named(parts, name):
    return next(part for part in parts if part.name == name)
