"""What a network does: voltages, currents, heat and impedance, at all frequencies and in all variants.

Nodes are taken out one by one, each star of branches turned into the mesh that does the same between the
other nodes. That is Gaussian elimination of the nodal equations, with two gains: only branches that exist
cost anything, so that a ladder takes a few multiplications a node; and nothing is ever subtracted, so that
milliohms beside megohms lose no digits.
"""

from dataclasses import dataclass, field
from itertools import combinations

import numpy as np

from calc.errors import InputError
from calc.network.netlist import GROUND, Network
from calc.sound.ranges import require_physical

NO_LOSS = 1e-12
"""Branches that cancel to this part of their sizes resonate without loss, and no voltage can be told. [-]"""


@dataclass(frozen=True, eq=False)
class Solution:
    """What `solve` found; arrays have shape (m,), or (k, m) for k variants; volts and amperes are rms.

    Attributes
    ----------
    f : ndarray, shape (m,)
        [Hz]
    V : float
        Of the source, in front of its resistance. [V]
    Z : ndarray of complex
        Seen from the source's node into the network. [ohm]
    voltages : dict of str to ndarray of complex
        From each node to ground, the source's own phase being zero. [V]
    """

    network: Network
    f: np.ndarray
    V: float
    Z: np.ndarray
    voltages: dict
    _impedances: dict = field(repr=False)

    def across(self, part):
        """Voltage from the first node of a part to its second. [V]"""
        first, second = part.nodes
        return self.voltages[first] - self.voltages[second]

    def current(self, part):
        """Current through a part, from its first node to its second. [A]"""
        return self.across(part) / self._impedances[part.name]

    def transfer(self, part):
        """Voltage across a part relative to the source. [-]"""
        return self.across(part) / self.V

    def power(self, part):
        """Heat in the resistance of a part: its own, a coil's Rdc, a capacitor's ESR, a driver's Re. [W]

        For a driver whose Re is not known, all power that it takes.
        """
        Z, across = self._impedances[part.name], self.across(part)
        loss = part.loss(self.f, Z)
        return loss * _squared(across) / _squared(Z)


def solve(network, f, V=2.83, Rs=0.0):
    """Solve a network fed by a source.

    Parameters
    ----------
    network : Network
        Values of shape (k,) make k variants; all that have a shape have the same.
    f : array_like, shape (m,)
        In any order. [Hz]
    V : float
        Rms, in front of `Rs`. [V]
    Rs : float
        Resistance of source and cable. [ohm]

    Returns
    -------
    Solution

    Raises
    ------
    InputError
        At "V", "Rs" or "f"; at "parts" with the node named, where parts resonate without any loss.

    Notes
    -----
    Linear parts: no core saturates, no coil warms, and coils that stand close do not couple.

    References
    ----------
    The star-mesh transform is A. Rosen's, "A New Network Theorem," J. IEE 62, 1924 (from memory).
    """
    require_physical(V=V, Rs=Rs, f=f)
    f = np.asarray(f, dtype=float)
    impedances = {part.name: part.impedance(f) for part in network.parts}
    source = network.node
    branches, taken = _eliminated(_branches(network, impedances), source)
    Z = np.reciprocal(_conducting(branches.pop(frozenset((source, GROUND))), source))
    Z = np.broadcast_to(Z, np.broadcast_shapes(Z.shape, f.shape))  # resistors alone know no frequency
    voltages = {source: V * Z / (Z + Rs), GROUND: np.zeros(Z.shape)}
    for node, weights in reversed(taken):
        voltages[node] = sum(w * voltages[other] for other, w in weights.items() if other != GROUND)
        voltages[node] = voltages[node] + np.zeros(Z.shape)
    return Solution(network, f, V, Z, voltages, impedances)


def _branches(network, impedances):
    """Admittance [S] between each pair of nodes that parts join."""
    found = {}
    for part in network.parts:
        pair, Y = frozenset(part.nodes), np.reciprocal(impedances[part.name] + 0j)
        found[pair] = found[pair] + Y if pair in found else Y
    return found


def _eliminated(branches, source):
    """Take out every node but source and ground.

    Returns
    -------
    branches : dict
        What is left: at most the one between source and ground.
    taken : list of (node, weights)
        In the order taken; the node's voltage is the sum of its neighbours', each times its weight.
    """
    taken = []
    nodes = set().union(*branches) - {source, GROUND}
    while nodes:
        # the one with the fewest neighbours first: that keeps new branches few
        node = min(sorted(nodes), key=lambda one: sum(one in pair for pair in branches))
        nodes.remove(node)
        star = {}
        for pair in [pair for pair in branches if node in pair]:
            (other,) = pair - {node}
            star[other] = branches.pop(pair)
        total = _conducting(sum(star.values()), node, star.values())
        weights = {other: Y / total for other, Y in star.items()}
        taken.append((node, weights))
        for one, other in combinations(star, 2):
            pair, Y = frozenset((one, other)), star[one] * weights[other]
            branches[pair] = branches[pair] + Y if pair in branches else Y
    return branches, taken


def _conducting(total, node, branches=()):
    """`total` [S] as it is, refused if its branches cancel each other."""
    size = sum(abs(Y.real) + abs(Y.imag) for Y in branches)
    if np.any(abs(total.real) + abs(total.imag) <= NO_LOSS * size):
        words = "resonates without any loss at one of the frequencies: give its coil an Rdc"
        raise InputError("parts", f"node {node} {words}")
    return total


def _squared(value):
    return value.real**2 + value.imag**2
