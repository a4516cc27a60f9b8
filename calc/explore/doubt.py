"""How sure the numbers of a box are: a band about its level, what each cause does, what chance a wish has.

A box is a circuit of `calc.sound.box_circuit`; `calc.explore.spread` says what differs between samples.
Everything is solved for all variants at once.
"""

from dataclasses import dataclass, fields, replace
from math import pi, sqrt
from typing import NamedTuple

import numpy as np

from calc.errors import require_within
from calc.explore.spread import WITHIN, box_sources, driver_sources, factors, samples
from calc.sound.closed_box import closed_box_lossy_Q, closed_box_tuning
from calc.sound.driver import constants
from calc.sound.limits import AUDIBLE, fastest_air, volume_velocity_level
from calc.sound.ranges import require_physical

GRID = np.geomspace(3, 1500, 200)
"""Where the variants are solved. Between them f3 is met to 0.01 Hz. [Hz]"""

VARIANTS = 400
"""As many are solved: ten of them lie beyond either edge of a band. [-]"""

BETWEEN = (0.025, 0.5, 0.975)
"""Shares of all samples that lie under the lower edge of a band, under its middle, under its upper edge."""


@dataclass(frozen=True)
class Outcomes:
    """What each variant does; arrays (n,), None where a box of its kind has no such number.

    f3 : where it comes up through 3 dB under its mid band; infinite where it never does [Hz]
    peak : how far its level rises above mid band, 0 where it nowhere does [dB]
    level : at the note asked for, at the stated drive [dB]
    fc, Qtc : of a closed box [Hz], [-]
    travel : largest of the cone where it is judged, at the stated drive [m]
    share : that travel over the sample's own Xmax [-]
    port_speed : largest from `AUDIBLE` up, at the stated drive, mean of all that share the air; of two
        chambers the faster [m/s]
    radiator : largest travel of each where it is judged, at the stated drive [m]
    """

    f3: np.ndarray
    peak: np.ndarray
    level: np.ndarray
    fc: np.ndarray | None
    Qtc: np.ndarray | None
    travel: np.ndarray
    share: np.ndarray | None
    port_speed: np.ndarray | None
    radiator: np.ndarray | None


class Range(NamedTuple):
    """Lowest, middle and highest of 19 in 20; shape (m,) each, or numbers."""

    low: np.ndarray
    median: np.ndarray
    high: np.ndarray


@dataclass(frozen=True)
class Doubt:
    """All variants of one box.

    f, band : frequencies [Hz], (m,), and the `Range` of the level there [dB re 20 µPa at the circuit's volts]
    outcomes : the `Outcomes` of each variant
    sources : what they differ by
    box, at, drive, Xmax, judged : as they were given to `doubt`
    """

    f: np.ndarray
    band: Range
    outcomes: Outcomes
    sources: tuple
    box: object
    at: float
    drive: float
    Xmax: float | None
    judged: float


@dataclass(frozen=True)
class Matter:
    """What one source does alone.

    effects : {name of `Outcomes`: change when the source lies one spread off}, in that outcome's unit
    shares : {name of `Outcomes`: the part of its variance that comes from this source alone} [-]
    """

    source: object
    effects: dict
    shares: dict


def doubt(box, spread, built, at, drive=1.0, Xmax=None, judged=AUDIBLE, n=VARIANTS):
    """Solve n variants of a box.

    Parameters
    ----------
    box : a circuit of `calc.sound.box_circuit`
    spread, built : dict
        Stated spreads of the driver's values and of the box's, see `driver_sources` and `box_sources`. [-]
    at : float
        The note at which the level is told. [Hz]
    drive : float
        Stated volts over those of the circuit; travel and air speed grow with it. [-]
    Xmax : float, optional
        Peak travel of one cone. [m]
    judged : float
        Travel counts from there up. [Hz]
    n : int

    Returns
    -------
    Doubt
        The same for the same arguments: the samples are fixed.

    Raises
    ------
    InputError
        For a spread that nobody can mean, or a note outside the grid.

    Notes
    -----
    Several drivers in one box all lie off alike, as those of one batch may; drivers that differ from each
    other lie off less together. The band holds at each frequency for itself: of 20 curves more than one may
    leave it somewhere. The model is the circuit's own: what it leaves out (diffraction, the room, breaking
    in, the warmth of the coil, how the suspension stiffens far out) is not in the band.
    """
    sources = sources_of(box, spread, built)
    by = factors(sources, samples(n, len(sources)))
    many = varied(box, by)
    response = many.response(GRID)
    band = Range(*np.quantile(np.atleast_2d(response.level), BETWEEN, axis=0))
    outcomes = _outcomes(many, response, by, at, drive, Xmax, judged)
    return Doubt(GRID, band, outcomes, sources, box, at, drive, Xmax, judged)


def level_band(box, spread, built, f, n=VARIANTS):
    """`Range` of the level alone, at frequencies f [Hz], shape (m,); the other arguments as for `doubt`."""
    sources = sources_of(box, spread, built)
    many = varied(box, factors(sources, samples(n, len(sources))))
    return Range(*np.quantile(np.atleast_2d(many.response(f).level), BETWEEN, axis=0))


def sources_of(box, spread, built):
    """All that differs between samples of one box; arguments as for `doubt`."""
    known = {each.name: getattr(box, each.name) for each in fields(box)}
    lossless = known.get("QL") is not None and np.isinf(known["QL"])
    names = {name for name, value in known.items() if value is not None and not (name == "QL" and lossless)}
    return driver_sources(spread) + box_sources(names, built)


def varied(box, by):
    """The box as variants: each value multiplied by its array (n, 1) of `by`, see `factors`."""
    each, coil = box.driver, by.get("Le", 1.0)
    driver = constants(
        *(getattr(each, value) * by.get(value, 1.0) for value in ("fs", "Qms", "Qes", "Vas", "Sd", "Re")),
        box.c, box.rho, Le=each.Le * coil,
        Le2=None if each.Le2 is None else each.Le2 * coil, Re2=each.Re2,
        K=None if each.K is None else each.K * coil, n=each.n,
    )  # fmt: skip
    own = {each.name for each in fields(box)}
    return replace(box, driver=driver, **{name: getattr(box, name) * by[name] for name in own & by.keys()})


def what_matters(told):
    """What each source of a `Doubt` does alone.

    Returns
    -------
    tuple of Matter
        Of the sources that have a spread, those that move f3 most first.

    Notes
    -----
    Central differences over one spread to either side. A share is the squared effect over the variance of all
    variants together: the shares add to one where the outcome follows its causes along a straight line, and
    what is missing, see `left`, comes from bends and from causes that work on each other.
    """
    live = [i for i, source in enumerate(told.sources) if source.spread > 0]
    z = np.zeros((2 * len(live), len(told.sources)))
    z[range(len(live)), live] = WITHIN
    z[range(len(live), 2 * len(live)), live] = -WITHIN
    by = factors(told.sources, z)
    many = varied(told.box, by)
    both = _outcomes(many, many.response(GRID), by, told.at, told.drive, told.Xmax, told.judged)
    known = finite(told.outcomes).keys() & finite(both).keys()
    effects = {name: _half_difference(getattr(both, name)) for name in known}
    shares = {name: _share(effects[name], getattr(told.outcomes, name)) for name in known}
    found = [
        Matter(
            told.sources[i],
            {name: float(effects[name][row]) for name in known},
            {name: float(shares[name][row]) for name in known},
        )
        for row, i in enumerate(live)
    ]
    first = "f3" if "f3" in known else "level"
    return tuple(sorted(found, key=lambda matter: -matter.shares[first]))


def left(matters, name):
    """The part of an outcome's variance that no source explains alone. [-]

    Below zero where sources take back together what each does alone. None where the outcome is not told.
    """
    if not matters or name not in matters[0].shares:
        return None
    return 1 - sum(matter.shares[name] for matter in matters)


def finite(outcomes):
    """The outcomes that all variants have."""
    found = {each.name: getattr(outcomes, each.name) for each in fields(outcomes)}
    return {name: value for name, value in found.items() if value is not None and np.all(np.isfinite(value))}


def _half_difference(outcome):
    up, down = np.split(outcome, 2)
    return (up - down) / 2


def _share(effects, outcome):
    variance = np.var(outcome)
    return (effects / WITHIN) ** 2 / variance if variance > 0 else np.zeros_like(effects)


class Chance(NamedTuple):
    """The share of all samples that meet a wish, and between what that lies as surely as 19 in 20. [-]"""

    share: float
    low: float
    high: float


def chance(met):
    """How likely a sample meets a wish, from which of n variants do; bool, shape (n,).

    The bounds are what n independent samples leave open, after E. B. Wilson, "Probable Inference, the Law of
    Succession, and Statistical Inference," J. Am. Stat. Assoc. 22, 1927 (from memory); a Latin hypercube
    leaves less. They know nothing of whether the stated spreads are right.
    """
    n, share = len(met), float(np.mean(met))
    widening = WITHIN**2 / n
    middle = (share + widening / 2) / (1 + widening)
    reach = WITHIN / (1 + widening) * sqrt(share * (1 - share) / n + widening / (4 * n))
    return Chance(share, max(middle - reach, 0.0), min(middle + reach, 1.0))


def range_of(outcome):
    """`Range` of one outcome of all variants, shape (n,); infinite where it is out of sight."""
    return Range(*(float(value) for value in np.quantile(outcome, BETWEEN, method="nearest")))


# --- outcomes, of all variants at once


def _outcomes(box, response, by, at, drive, Xmax, judged=AUDIBLE):
    """The `Outcomes` of variants whose `response` on the grid is known; arguments as for `doubt`."""
    require_within(float(GRID[0]), float(GRID[-1]), "must be a note between 3 and 1500 Hz", at=at)
    require_physical(Xmax=Xmax)
    plain = np.atleast_2d(box.plain.response(GRID).level)
    reference = mid_band(box) if not hasattr(box, "Vf") else _along(plain, box.fb)
    fc, Qtc = _closed(box) if not {"fb", "Mmp", "fr"} & {each.name for each in fields(box)} else (None, None)
    travel = _largest(response.cone, drive, judged)
    return Outcomes(
        f3=_last_rise(plain, reference - 3),
        peak=np.maximum(np.max(plain - reference, axis=1), 0.0),
        level=_along(np.atleast_2d(response.level), at)[:, 0] + 20 * np.log10(drive),
        fc=fc,
        Qtc=Qtc,
        travel=travel,
        share=None if Xmax is None else travel / (Xmax * by["Xmax"][:, 0]),
        port_speed=_largest(fastest_air(response), drive, AUDIBLE),
        radiator=_largest(response.radiator, drive, judged),
    )


def mid_band(box):
    """Level [dB] that each variant would hold in mid band, as `limits.reference_level`; shape (n, 1)."""
    each = box.driver
    acceleration = each.Bl * box.V / ((each.Re + box.Rs) * each.Mms)
    return volume_velocity_level(1.0, each.Sd * acceleration / (2 * pi), box.rho)


def _closed(box):
    """Resonance [Hz] and total Q [-] of closed boxes, with what lies before the driver and all losses."""
    each = box.driver
    Qes = each.Qes * (each.Re + box.Rs) / each.Re
    fc, Qtc = closed_box_tuning(each.fs, each.Qms * Qes / (each.Qms + Qes), each.Vas, box.Vb)
    return np.ravel(fc), np.ravel(closed_box_lossy_Q(Qtc, each.Vas / box.Vb, box.QL, box.QA))


def _largest(curve, drive, lowest=0.0):
    """Largest of each variant from `lowest` [Hz] up; None where there is no such curve."""
    return None if curve is None else np.max(np.atleast_2d(curve)[:, lowest <= GRID], axis=1) * drive


def _along(curves, f):
    """Each curve (n, m) at f [Hz], a number or (n, 1), bent like its neighbours; shape (n, 1)."""
    place = np.interp(np.log(np.ravel(f)), np.log(GRID), np.arange(len(GRID)))
    i = np.minimum(place.astype(int), len(GRID) - 2)
    start, rise, bend = _piece(curves, i)
    t = place - i
    return (start + rise * t - bend * t * (1 - t))[:, None]


def _last_rise(level, wanted):
    """Where each level (n, m) last comes up through `wanted` (n, 1); infinite where it never does. [Hz]"""
    rises = (level[:, :-1] < wanted) & (level[:, 1:] >= wanted)
    found = rises.any(axis=1)
    i = rises.shape[1] - 1 - np.argmax(rises[:, ::-1], axis=1)
    start, rise, bend = _piece(level, i)
    rise = np.where(found, rise, 1.0)
    t = straight = (wanted[:, 0] - start) / rise
    for _ in range(4):  # the bend is slight beside the rise
        t = straight + bend / rise * t * (1 - t)
    return np.where(found, GRID[i] * (GRID[1] / GRID[0]) ** t, np.inf)


def _piece(curves, i):
    """Of each curve the piece after point i: where it starts, how far it rises, and half its bend.

    Along the piece, t from 0 to 1, the curve is start + rise t - bend t (1 - t): the cubic through four
    points but for a term that is smaller still.
    """
    rows = np.arange(len(curves))
    last = curves.shape[1] - 1
    before, start, end, after = (curves[rows, np.clip(i + k, 0, last)] for k in (-1, 0, 1, 2))
    return start, end - start, (before - start - end + after) / 4
