"""The pads of a crossover board: where leads are soldered together, and which wires link them."""

from dataclasses import dataclass
from itertools import combinations
from math import hypot

import numpy as np

from calc.network.board import TERMINALS, Lead, nodes_of

REACH = 0.035
"""How far a part's own lead is bent to a pad, before a wire is better (common practice, no source). [m]"""

NEAR = 0.012
"""Pads nearer than this are bridged by one folded lead or a drop of solder (common practice, no source).
[m]"""


@dataclass(frozen=True)
class Pad:
    """A point where leads are soldered together: its `node`, place [m], and the leads that end there."""

    name: str
    node: str
    x: float
    y: float
    leads: tuple


def are_near(one, other):
    """Whether two pads of different joints lie so close that a folded lead bridges them."""
    return one.node != other.node and hypot(one.x - other.x, one.y - other.y) < NEAR


def pads_of(width, height, ends, spots):
    """The pads of each node, and the links that join several of one node, as pairs of names.

    Parameters
    ----------
    width, height : float
        Of the board. [m]
    ends : dict of Lead to str
        The node of each lead.
    spots : dict of str to board_places.Spot
        Where the parts lie; the leads of all others are wires from elsewhere.

    Returns
    -------
    pads : tuple of Pad
    links : tuple of (str, str)
    leads : dict of Lead to (x, y)
        Where each lead leaves its part. [m]
    """
    leads = _lead_places(ends, spots)
    pads, links, letters, free = [], [], _letters(), _uncovered(width, height, spots)
    for node in dict.fromkeys(ends.values()):
        letter, made = next(letters), []
        here = {lead: at for lead, at in leads.items() if ends[lead] == node}
        groups = _groups(here) or [{}]
        for number, group in enumerate(groups, 1):
            wanted = np.mean(list(group.values()), axis=0) if group else _at_edge(width, height, ends, node)
            x, y = _nearest(free, wanted, pads + made)
            name = letter if len(groups) == 1 else f"{letter}{number}"
            made.append(Pad(name, node, x, y, tuple(group)))
        wires = [lead for lead in ends if ends[lead] == node and lead.part not in spots]
        made = _with_wires(width, made, wires)
        pads += made
        links += _tree(made)
    return tuple(pads), tuple(links), leads


def _letters():
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # without I and O, which are read as figures
    yield from letters
    yield from (a + b for a in letters for b in letters)


def _lead_places(ends, spots):
    """Where each lead leaves its part, ends chosen so that leads of a node are near each other."""
    turned = dict.fromkeys(spots, False)

    def places():
        return {
            Lead(name, end): spot.ends[end ^ turned[name]] for name, spot in spots.items() for end in (0, 1)
        }

    def way():
        nodes = {}
        for lead, at in places().items():
            nodes.setdefault(ends[lead], []).append(at)
        return sum(
            hypot(a[0] - b[0], a[1] - b[1]) for each in nodes.values() for a, b in combinations(each, 2)
        )

    least = way()
    for _ in range(2):
        for name in spots:
            turned[name] = not turned[name]
            now = way()
            if now < least - 1e-12:
                least = now
            else:
                turned[name] = not turned[name]
    return places()


def _groups(here):
    """The leads of a node in groups that each reach one pad: split in two until they do."""
    if not here:
        return []
    points = np.array(list(here.values()))
    if np.hypot(*(points - points.mean(axis=0)).T).max() <= REACH:
        return [here]
    a, b = max(combinations(points, 2), key=lambda pair: hypot(*(pair[0] - pair[1])))
    near = [lead for lead, at in here.items() if hypot(*(at - a)) <= hypot(*(at - b))]
    halves = near, [lead for lead in here if lead not in near]
    return [group for half in halves for group in _groups({lead: here[lead] for lead in half})]


def _at_edge(width, height, ends, node):
    """Where the pad of a node goes that only wires from elsewhere meet."""
    return (0.0 if node in nodes_of(ends, TERMINALS) else width), height / 2


def _uncovered(width, height, spots):
    """Places for a pad that no part covers, shape (n, 2); all of the board where they cover everything."""
    rim = min(0.006, width / 4, height / 4)
    x, y = (np.linspace(rim, side - rim, int((side - 2 * rim) / 0.003) + 2) for side in (width, height))
    at = np.stack(np.meshgrid(x, y), -1).reshape(-1, 2)
    free = np.ones(len(at), bool)
    for spot in spots.values():
        free &= (abs(at - (spot.x, spot.y)) > np.array(spot.size) / 2 + 0.003).any(axis=1)
    return at[free] if free.any() else at


def _nearest(free, wanted, pads):
    """The free place nearest to `wanted`, clear of other pads where there is room."""
    far = np.hypot(*(free - wanted).T)
    clear = np.ones(len(free), bool)
    for pad in pads:
        clear &= np.hypot(*(free - (pad.x, pad.y)).T) > NEAR
    best = int(np.where(clear, far, np.inf).argmin() if clear.any() else far.argmin())
    return float(free[best][0]), float(free[best][1])


def _with_wires(width, pads, wires):
    """The pads with wires from elsewhere: from the terminals at the leftmost, to drivers at the rightmost."""
    for wire in wires:
        edge = 0.0 if wire.part == TERMINALS else width
        best = min(range(len(pads)), key=lambda i: abs(pads[i].x - edge))
        one = pads[best]
        pads[best] = Pad(one.name, one.node, one.x, one.y, (*one.leads, wire))
    return pads


def _tree(pads):
    """Pairs of names that join all pads with the least wire."""

    def apart(pair):
        return hypot(pair[0].x - pair[1].x, pair[0].y - pair[1].y)

    joined, rest, links = pads[:1], pads[1:], []
    while rest:
        a, b = min(((a, b) for a in joined for b in rest), key=apart)
        links.append((a.name, b.name))
        joined, rest = [*joined, b], [pad for pad in rest if pad is not b]
    return links
