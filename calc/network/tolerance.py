"""What loose parts of a crossover do to the sound: its band, which part matters most, how alike two are."""

from dataclasses import dataclass, replace

import numpy as np

from calc.errors import InputError
from calc.network.fit import KINDS
from calc.network.netlist import Network
from calc.network.solve import solve
from calc.sound.summation import level

MOST = 0.5
"""No part is sold looser. [-]"""

WITHIN = (2.5, 97.5)
"""Percentiles between which 19 of 20 lie."""

SEED = 20


@dataclass(frozen=True, eq=False)
class Loose:
    """A crossover whose parts are only known within their tolerances.

    network : Network, every value the one that is printed on its part
    tolerances : {name of a part: how far off it may be, over its value [-]}, in the order that they are drawn
    f : [Hz], shape (m,); voices : {name of a driver part: its own pressure, complex, shape (m,)}

    Refused at the name of a part, or at "tolerances" where none is loose.
    """

    network: Network
    tolerances: dict
    f: np.ndarray
    voices: dict

    def __post_init__(self):
        for name, tolerance in self.tolerances.items():
            if not 0 <= tolerance <= MOST:
                raise InputError(name, "must be a tolerance from 0 to 50 percent")
        if not any(self.tolerances.values()):
            raise InputError("tolerances", "leave nothing loose")

    @property
    def widths(self):
        """All tolerances in their order. [-]"""
        return np.array(list(self.tolerances.values()), dtype=float)

    def draws(self, n, rng):
        """n samples of all parts: their values over the printed ones, shape (n, number of parts)."""
        return 1 + self.widths * rng.uniform(-1, 1, (n, self.widths.size))

    def levels(self, factors):
        """Level of the whole for values that are `factors`, shape (k, number of parts), of the printed ones.

        [dB], shape (k, m)
        """
        by_name = dict(zip(self.tolerances, np.asarray(factors).T, strict=True))
        parts = tuple(
            replace(part, **{KINDS[type(part)]: getattr(part, KINDS[type(part)]) * by_name[part.name]})
            if part.name in by_name
            else part
            for part in self.network.parts
        )
        solution = solve(Network(parts, self.network.node), self.f)
        return level(sum(solution.transfer(part) * self.voices[part.name] for part in self.network.drivers))

    def printed(self):
        """Level of the whole if every part is what is printed on it. [dB], shape (m,)"""
        return self.levels(np.ones((1, self.widths.size)))[0]


def band(loose, n=1000):
    """Between which levels 19 of 20 speakers lie at each frequency.

    Parameters
    ----------
    loose : Loose
    n : int
        Speakers that are drawn, always the same ones.

    Returns
    -------
    low, high : ndarray, shape (m,)
        [dB]

    Notes
    -----
    Every value within its tolerance is as likely as every other, and parts are independent. Parts of one
    batch are often alike and off by less; where a maker sorts out the good ones, those between are missing.
    """
    levels = loose.levels(loose.draws(n, np.random.default_rng(SEED)))
    low, high = np.percentile(levels, WITHIN, axis=0)
    return low, high


def influence(loose):
    """How much each part alone moves the whole, at the end of its tolerance.

    Returns
    -------
    {name: (change [dB], f [Hz] where it is largest)}
        The most of both ends, the most first.
    """
    ones = np.eye(loose.widths.size) * loose.widths
    moved = abs(loose.levels(np.concatenate((1 + ones, 1 - ones))) - loose.printed())
    most = moved.reshape(2, loose.widths.size, -1).max(axis=0)
    found = {
        name: (float(row.max()), float(loose.f[row.argmax()]))
        for name, row in zip(loose.tolerances, most, strict=True)
    }
    return dict(sorted(found.items(), key=lambda each: -each[1][0]))


def apart(loose, order, n=200):
    """How far two speakers differ at their worst frequency, while more and more of their parts are matched.

    Parameters
    ----------
    loose : Loose
    order : sequence of str
        Names of parts, in the order in which they are matched: the same in both speakers.
    n : int
        Pairs that are drawn, always the same ones.

    Returns
    -------
    ndarray, shape (len(order) + 1,)
        What 19 of 20 pairs stay below [dB]: with none matched, with the first, with the first two, ...
    """
    rng = np.random.default_rng(SEED)
    left, right = loose.draws(n, rng), loose.draws(n, rng)
    names = list(loose.tolerances)
    pairs = [right]
    for name in order:
        alike, at = pairs[-1].copy(), names.index(name)
        alike[:, at] = left[:, at]
        pairs.append(alike)
    one = loose.levels(left)
    others = loose.levels(np.concatenate(pairs)).reshape(len(pairs), n, -1)
    return np.percentile(abs(others - one).max(axis=-1), 95, axis=1)
