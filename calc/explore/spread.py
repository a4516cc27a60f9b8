"""How far the drivers and boxes that are built lie off the numbers on paper, and what makes them differ.

A spread is relative and means that 19 of 20 samples lie within it, above or below. The values of one driver
are not independent: a stiffer suspension raises fs and both Qs at once and lowers Vas. So what varies here
are the parts that make the values (moving mass, suspension, motor, losses, coil, cone), and their spreads
are found from those that are stated of the values.
"""

from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from calc.errors import require_within

USUAL = {
    "fs": 0.10, "Qms": 0.20, "Qes": 0.15, "Vas": 0.20, "Sd": 0.02, "Re": 0.05, "Le": 0.10, "Xmax": 0.10,
}  # fmt: skip
"""Spread of each value of a bought driver, where nothing better is known (common practice, no source). They
go together: a mass within 4 %, a suspension within 20 % and a motor within 5 % bring just these about."""

BUILT = {"Vb": 0.02, "fb": 0.02, "QL": 0.35}
"""Spread of what is built: net volume; tuning, by what is not sure of the port alone; leak. The first two are
common practice, no source. The third spans, about the QL of 7 that Small calls a good first guess, the QB
of 5 to 10 that he found in most boxes of 25 to 100 litres (Vented-Box Loudspeaker Systems, Part III, J. Audio
Eng. Soc. 21(7), 1973, seen in translation)."""

WITHIN = NormalDist().inv_cdf(0.975)
"""Half the width that holds 19 of 20 of a normal distribution, in standard deviations. [-]"""

CAUSES = {
    "mass": {"fs": -0.5, "Qms": 0.5, "Qes": 0.5},
    "suspension": {"fs": -0.5, "Qms": -0.5, "Qes": -0.5, "Vas": 1.0},
    "motor": {"Qes": -2.0},
    "losses": {"Qms": -1.0},
    "coil": {"Re": 1.0, "Qes": 1.0},
    "cone": {"Sd": 1.0, "Vas": 2.0},
}
"""The power with which Mms, Cms, Bl, Rms, Re and Sd stand in each value of a driver: fs = 1/(2 pi sqrt(Mms
Cms)), Vas = rho c² Sd² Cms, Qes = sqrt(Mms/Cms) Re/Bl², Qms = sqrt(Mms/Cms)/Rms (Small 1972)."""

SHARED = ("fs", "Qms", "Qes", "Vas", "Sd", "Re")
"""The values that those causes move."""

NEGLIGIBLE = 1e-6
"""A share of a variance under which a remainder is rounding."""


@dataclass(frozen=True)
class Source:
    """One thing that differs from sample to sample, independent of all others.

    `name` is a key of `CAUSES`, or "own" and a value that varies for itself, or a part of the box. `moves`
    has the power with which it stands in each value, `spread` is how far 19 of 20 lie off [-].
    """

    name: str
    moves: dict
    spread: float


def driver_sources(stated):
    """What makes the drivers of a kind differ, so that the stated spreads come out.

    Parameters
    ----------
    stated : dict
        Value of `USUAL` to its spread; a missing one has the usual. [-]

    Returns
    -------
    tuple of Source
        The six causes, one source for what each of `SHARED` varies beyond them, and Le and Xmax.

    Raises
    ------
    InputError
        For a spread outside 0 to 60 percent.

    Notes
    -----
    In logarithms every value is a sum of causes, so variances add with the squares of the powers:

        fs: (m + k)/4    Vas: k + 4 s    Qes: (m + k)/4 + 4 b + r    Qms: (m + k)/4 + q    Sd: s    Re: r

    with m, k, b, q, r, s the variances of mass, suspension, motor, losses, coil and cone. Their least
    squares solution, none below zero and none making a value less sure than stated, is taken. What is
    stated of a value beyond that cannot come from independent causes, as Vas 20 % beside fs 1 %: a reading of
    one's own sample may have it so. That remainder varies the value for itself, see `unexplained`. The stated
    spread comes out in any case.
    """
    spreads = _completed(USUAL, stated)
    variances, own = _variances(tuple(spreads[value] for value in SHARED))
    return (
        *(Source(name, CAUSES[name], variances[name] ** 0.5) for name in CAUSES),
        *(Source(f"own {value}", {value: 1.0}, own[value] ** 0.5) for value in SHARED),
        Source("Le", {"Le": 1.0}, spreads["Le"]),
        Source("Xmax", {"Xmax": 1.0}, spreads["Xmax"]),
    )


def box_sources(names, stated):
    """What makes the boxes of one plan differ.

    Parameters
    ----------
    names : collection of str
        What the box has of Vb, Vr, Vf [m³], fb, fr [Hz], QL [-]; and "Mmp" [kg] in place of fb where passive
        radiators tune it.
    stated : dict
        Spreads of "Vb", "fb" and "QL" [-]; a missing one has that of `BUILT`.

    Returns
    -------
    tuple of Source
        A volume also moves the tuning, by the root of its inverse; passive radiators do that by themselves.
        The spread of fb is that of the port alone, or of the radiators' mass.
    """
    spreads = _completed(BUILT, stated)
    tunings = {"Vb": "fb", "Vf": "fb", "Vr": "fr"}
    found = []
    for volume, tuning in tunings.items():
        if volume in names:
            moved = {volume: 1.0} | ({tuning: -0.5} if tuning in names else {})
            found.append(Source(volume, moved, spreads["Vb"]))
    for tuning in ("fb", "fr"):
        if tuning in names:
            found.append(Source(f"port {tuning}", {tuning: 1.0}, spreads["fb"]))
    if "Mmp" in names:
        found.append(Source("radiator", {"Mmp": -2.0}, spreads["fb"]))
    if "QL" in names:
        found.append(Source("leak", {"QL": 1.0}, spreads["QL"]))
    return tuple(found)


def _completed(usual, stated):
    spreads = usual | {name: spread for name, spread in stated.items() if spread is not None}
    require_within(0, 0.6, "must be a spread from 0 to 60 percent", **spreads)
    return spreads


@lru_cache(maxsize=256)
def _variances(spreads):
    """Variances of the causes and of what each value varies beyond them, both by name.

    Spreads of `SHARED`, in that order; the scale of all of them is free, so 19-of-20 widths will do.
    """
    stated = np.square(spreads)
    powers = np.array([[CAUSES[cause].get(value, 0.0) ** 2 for cause in CAUSES] for value in SHARED])
    causes = np.linalg.solve(powers, stated)
    if np.any(causes < -NEGLIGIBLE * stated.max()):
        causes = _within(powers, stated)
    causes = np.maximum(causes, 0.0)
    own = stated - powers @ causes
    own[own < NEGLIGIBLE * stated] = 0.0
    return dict(zip(CAUSES, causes.tolist(), strict=True)), dict(zip(SHARED, own.tolist(), strict=True))


def _within(powers, stated):
    """Variances of causes, none negative, that bring about as much of those `stated` as they can, not more.

    The remainders, each over its stated variance, have the least sum of squares.
    """
    from scipy.optimize import nnls

    sure = stated == 0
    free = ~powers[sure].any(axis=0)  # a cause of what is known exactly cannot vary
    shares = powers[~sure][:, free] / stated[~sure, None]
    many, weight = len(shares), 1e6
    # The remainders are unknowns too, so that none is negative: the upper rows, which weigh the most, hold
    # causes and remainder to what is stated; the lower ones keep the remainders small.
    A = np.block([[weight * shares, weight * np.eye(many)], [np.zeros_like(shares), np.eye(many)]])
    solution, _ = nnls(A, np.concatenate([np.full(many, weight), np.zeros(many)]))
    causes = np.zeros(len(free))
    causes[free] = solution[: free.sum()]
    return causes


def unexplained(sources):
    """Values whose stated spread does not come from causes that are independent of each other.

    Returns
    -------
    dict of value to float
        For each the share of its variance that it varies for itself [-], where that is over one percent.
    """
    total = spread_of_values(sources)
    own = {source.name[4:]: source.spread for source in sources if source.name.startswith("own ")}
    shares = {value: (spread / total[value]) ** 2 if spread else 0.0 for value, spread in own.items()}
    return {value: share for value, share in shares.items() if share > 0.01}


def spread_of_values(sources):
    """The spread of each value that the sources move, {value: spread}. [-]"""
    values, powers = _powers(sources)
    variances = powers**2 @ np.square([source.spread for source in sources])
    return dict(zip(values, np.sqrt(variances).tolist(), strict=True))


def covariance(sources, values):
    """Covariance of the logarithms of `values`, shape (len(values),) * 2."""
    powers = np.array([[source.moves.get(value, 0.0) for source in sources] for value in values])
    scaled = powers * [source.spread / WITHIN for source in sources]
    return scaled @ scaled.T


def factors(sources, z):
    """What each value is multiplied by, {value: (n, 1)}, where the sources lie z standard deviations off.

    z has the shape (n, number of sources). The values spread as log-normal: 19 of 20 lie between 1/e^spread
    and e^spread of what is on paper, the median is that itself.
    """
    values, powers = _powers(sources)
    logarithms = z @ (powers * [source.spread / WITHIN for source in sources]).T
    return {value: np.exp(logarithms[:, [i]]) for i, value in enumerate(values)}


def _powers(sources):
    values = tuple(dict.fromkeys(value for source in sources for value in source.moves))
    return values, np.array([[source.moves.get(value, 0.0) for source in sources] for value in values])


@lru_cache(maxsize=32)
def samples(n, many):
    """n samples of `many` independent normal variables, always the same. [standard deviations]

    Returns
    -------
    z : ndarray, shape (n, many)
        A Latin hypercube: of each variable every n-th part of its probability is met once. What is left of
        chance correlation is taken out, so that means, variances and covariances are exactly 0, 1 and 0.
        More variables do not change those before them. Not to be written to.

    References
    ----------
    M. D. McKay, R. J. Beckman and W. J. Conover, "A Comparison of Three Methods for Selecting Values of Input
    Variables ...," Technometrics 21(2), 1979 (from memory).
    """
    rng = np.random.default_rng(19)
    ladder = np.array([NormalDist().inv_cdf((i + 0.5) / n) for i in range(n)])
    z = np.column_stack([rng.permutation(ladder) for _ in range(many)])
    root = np.linalg.cholesky(z.T @ z / n)
    z = np.linalg.solve(root, z.T).T
    z.setflags(write=False)
    return z
