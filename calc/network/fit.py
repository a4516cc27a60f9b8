"""Values of a crossover's parts so that what is heard, not the voltage, follows a target.

Every trial is a variant of one network, so that a whole row of them, a derivative or all neighbours on the
shelf, costs a single solve.
"""

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from calc.errors import InputError
from calc.network.netlist import Capacitor, Coil, Network, Resistor
from calc.network.solve import solve
from calc.sound.summation import level

KINDS = {Resistor: "R", Coil: "L", Capacitor: "C"}
"""The value that each kind of part is bought by."""

BOUNDS = {"R": (0.1, 1e3), "L": (1e-5, 3e-2), "C": (1e-7, 1e-3)}
"""What is sold for crossovers (common practice, no source). [ohm, H, F]"""

DEEPEST = -26.0
"""Below this a way need not follow its target any more, only stay beneath. [dB]"""

FAINT = 0.1
"""A decibel of a way weighs as its target is loud, but never less than this of one in its band. [-]"""

STEP = 1e-4
"""Of a logarithm, for derivatives. [-]"""

TRIES, SCATTER = 4, 0.4
"""How often a fit begins anew besides, and how far off: a standard deviation of logarithms."""

SUM, HOLD = 1.5, 0.02
"""What a decibel of the sum weighs against one of a way in its band; and a part that is e times what it was,
which only keeps values from running off where nothing depends on them."""

GENTLE, LOAD = 20.0, 300.0
"""What a load weighs that is too low by its whole: while values are sought, and at last. [-]"""

RESERVE = 0.01
"""How much above its least the load is held, so that it stays there between the frequencies. [-]"""


@dataclass(frozen=True, eq=False)
class Task:
    """What is to be fitted.

    network : Network, whose values are the first guess; names : of the parts that may change
    f : [Hz], shape (m,), fine enough for any resonance and as wide as the load is judged; inside : True
    where the whole and its ways are
    voices : {name of a driver part: its pressure for the test volts, complex}
    shapes : {name of a driver part: its target, pass band 1, complex or its size}
    least : of the load [ohm], 0 where any will do
    """

    network: Network
    names: tuple
    f: np.ndarray
    inside: np.ndarray
    voices: dict
    shapes: dict
    least: float

    @property
    def parts(self):
        """The parts that may change, in the order of `names`."""
        by_name = {part.name: part for part in self.network.parts}
        return [by_name[name] for name in self.names]

    @property
    def start(self):
        """Their values. [ohm, H, F]"""
        return np.array([getattr(part, KINDS[type(part)]) for part in self.parts], dtype=float)

    def heard(self, values):
        """(levels of the ways, of their sum [dB], load [ohm]) for `values`, shape (n,) or (k, n)."""
        values = np.asarray(values, dtype=float).T
        new = {
            part.name: replace(part, **{KINDS[type(part)]: value})
            for part, value in zip(self.parts, values, strict=True)
        }
        made = replace(self.network, parts=tuple(new.get(part.name, part) for part in self.network.parts))
        solution = solve(made, self.f)
        ways = [solution.transfer(part) * self.voices[part.name] for part in made.drivers]
        return np.stack([level(way) for way in ways]), level(sum(ways)), abs(solution.Z)

    def targets(self):
        """Levels of the targets of all ways, in the order of the network's drivers. [dB], shape (w, m)"""
        return np.stack([level(self.shapes[part.name]) for part in self.network.drivers])


def misfits(task, values, loud, load=LOAD):
    """How far off each way, the sum and the load are, weighted; shape (..., number of them).

    `loud` [dB] is the level of the target, shape () or (k,); `load` what a load too low weighs.
    """
    ways, total, Z = task.heard(values)
    loud = np.asarray(loud)[..., None]
    each = [
        _off_target(way - loud, shape, task.inside) for way, shape in zip(ways, task.targets(), strict=True)
    ]
    low = load * np.maximum(0, (1 + RESERVE) * task.least - Z) / (task.least or 1)
    held = HOLD * np.log(np.asarray(values) / task.start)
    count = np.sqrt(task.inside.sum())  # so that a weight means the same however fine f is
    whole = SUM * (total - loud)[..., task.inside]
    return np.concatenate([*each, whole, low, held * count], axis=-1) / count


def _off_target(way, shape, inside):
    """How far a way is off its shape [dB], weighted; where it shall be faint only how far it is not."""
    faint = shape < DEEPEST
    off = np.where(faint, np.maximum(0, way - DEEPEST), np.where(inside, way - shape, 0))
    return off * np.maximum(10 ** (shape / 20), FAINT)


@dataclass(frozen=True, eq=False)
class Fitted:
    """What came of a task.

    values : of its parts, in their order; loud : level of the target [dB]; off_sum : the most that the sum
    strays from its own middle [dB]; off_ways : the most that a way strays where its target lies within 12 dB
    of the pass band [dB]; least : lowest load [ohm]; cost : sum of squares of `misfits`
    """

    values: np.ndarray
    loud: float
    off_sum: float
    off_ways: float
    least: float
    cost: float


def judged(task, values, loud=None):
    """The `Fitted` of given values; without `loud` against the level that suits them best."""
    ways, total, load = task.heard(values)
    total = total[task.inside]
    if loud is None:
        loud = float(total.max() + total.min()) / 2
    shape = task.targets()
    off = abs(ways - loud - shape)[(shape >= -12) & task.inside]
    return Fitted(
        values=np.asarray(values, dtype=float),
        loud=float(loud),
        off_sum=float(np.ptp(total) / 2),
        off_ways=float(off.max()),
        least=float(load.min()),
        cost=float(np.sum(misfits(task, values, loud) ** 2)),
    )


def fitted(task):
    """The values that follow the target best, as a `Fitted`, from the network's own on.

    Raises
    ------
    InputError
        At "parts" if none may change.

    Notes
    -----
    The best near by: far better values with another order of parts are not looked for. Coils keep the
    resistance of their wire. Levels that no part can change, a dip of the driver itself for one, stay.
    """
    if not task.names:
        raise InputError("parts", "leaves none that may change")
    first = np.log(task.start)
    loud = float(np.median(task.heard(task.start)[1][task.inside]))
    rng = np.random.default_rng(1)
    tries = [
        _settled(task, [*first + off, loud], GENTLE)
        for off in (0 * first, *rng.normal(0, SCATTER, (TRIES, first.size)))
    ]
    best = sorted(tries, key=lambda one: one.cost)[:2]  # a steep bound at once would stop many on their way
    found = min((_settled(task, one.x, LOAD) for one in best), key=lambda one: one.cost).x
    return judged(task, np.exp(found[:-1]), found[-1])


def _settled(task, x, load):
    """Where least squares settle from x: logarithms of the values, and the level."""
    from scipy.optimize import least_squares  # costs 0.3 s: only where something is fitted

    low, high = np.log([BOUNDS[KINDS[type(part)]] for part in task.parts]).T
    *x, loud = x
    return least_squares(
        lambda x: misfits(task, np.exp(x[:-1]), x[-1], load),
        [*np.clip(x, low + 1e-6, high - 1e-6), loud],
        lambda x: _slopes(task, x, load),
        ([*low, loud - 40], [*high, loud + 40]),
        x_scale=[*np.ones(low.size), 3.0],
        ftol=1e-4,
        xtol=1e-4,
        max_nfev=40,
    )


def _slopes(task, x, load=LOAD):
    """Derivatives of `misfits` by each logarithm and by the level; shape (number of misfits, n + 1)."""
    moved = x + STEP * np.vstack([np.zeros(x.size), np.eye(x.size)])
    all_of = misfits(task, np.exp(moved[:, :-1]), moved[:, -1], load)
    return (all_of[1:] - all_of[0]).T / STEP


def on_the_shelf(task, fit, shelves):
    """The values nearest to a fit that can be bought.

    Parameters
    ----------
    task : Task
    fit : Fitted
    shelves : sequence of ndarray
        For each part what there is, rising. [ohm, H, F]

    Returns
    -------
    Fitted

    Raises
    ------
    InputError
        At the name of a part for which there is nothing.

    Notes
    -----
    Each part begins with what is nearest by ratio; then single parts and pairs of them take a neighbour
    as long as the whole fits better by it. With many parts a better choice may exist still.
    """
    for name, shelf in zip(task.names, shelves, strict=True):
        if not len(shelf):
            raise InputError(name, "has nothing on the shelf that could take its place")
    at = np.array([np.argmin(abs(np.log(shelf / x))) for shelf, x in zip(shelves, fit.values, strict=True)])
    best = judged(task, _taken(shelves, at), fit.loud).cost
    moves = _moves(len(shelves))
    ends = np.array([len(shelf) - 1 for shelf in shelves])
    while True:
        trial = np.clip(at + moves, 0, ends)
        costs = np.sum(misfits(task, _taken(shelves, trial), np.full(len(trial), fit.loud)) ** 2, axis=-1)
        least = int(np.argmin(costs))
        if costs[least] >= best * (1 - 1e-9):
            return judged(task, _taken(shelves, at), fit.loud)
        at, best = trial[least], costs[least]


def _taken(shelves, at):
    """The values at places of the shelves, `at` of shape (n,) or (k, n)."""
    return np.stack([shelf[place] for shelf, place in zip(shelves, np.asarray(at).T, strict=True)], axis=-1)


def _moves(n):
    """One or two steps of each of n parts, and a step of each two of them."""
    ones = np.eye(n, dtype=int)
    single = [way * one for one in ones for way in (-2, -1, 1, 2)]
    pairs = [
        p * ones[i] + q * ones[j] for i, j in combinations(range(n), 2) for p in (-1, 1) for q in (-1, 1)
    ]
    return np.array(single + pairs)
