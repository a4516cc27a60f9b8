"""One project -> how sure the numbers of its chosen box are."""

from dataclasses import dataclass

import numpy as np

from calc.errors import InputError
from calc.explore.doubt import (
    VARIANTS,
    Chance,
    Doubt,
    chance,
    doubt,
    finite,
    left,
    level_band,
    range_of,
    what_matters,
)
from calc.explore.spread import unexplained
from calc.sound.limits import AUDIBLE
from calc.sound.port import OLDER_SPEED

NOTE = 40.0
"""Where the level is told: near the lowest string of a bass. [Hz]"""

SKETCH = np.geomspace(12, 600, 70)
"""Where a band is solved that only goes into a chart. [Hz]"""

HEARD = (20.0, 200.0)
"""Where the band is judged. [Hz]"""


@dataclass(frozen=True)
class DoubtResult:
    """How sure the chosen box is.

    told : the `Doubt`, with the band and all variants
    matters : what each source does alone, that which moves the lowest note most first
    left : the part of the cut-off's variance that no source explains alone; None where it is out of sight
    ranges : {name of `Outcomes`: its `Range`, in its unit} of what all variants have;
        the air of the fastest port
    lowest : that of the cut-off [Hz]; None where some variants have none in sight
    reach : ((frequency [Hz], `Chance` that the box falls 3 dB there or lower), ...), lowest first
    clean : `Chance` that the cone stays inside its own Xmax at the stated power, from the cut-off on paper
        up; None without Xmax
    quiet : `Chance` that the port's air stays under the older limit; None without a port
    free : `Chance` that the passive radiators stay inside their Xmax there; None without
    widest : (frequency [Hz], height [dB]) of the band where it is highest
    unexplained : values whose stated spread does not come from independent causes, and what share of it
    """

    told: Doubt
    matters: tuple
    left: float | None
    ranges: dict
    lowest: tuple | None
    reach: tuple
    clean: Chance | None
    quiet: Chance | None
    free: Chance | None
    widest: tuple
    unexplained: dict


def box_doubt(project, result):
    """The `DoubtResult` of the chosen box as it was asked for; None while its driver is not known.

    Raises
    ------
    InputError
        Where a value lies so near to what no loudspeaker can have that some variants have it.
    """
    box, each = result.box, project.alternatives[result.chosen]
    if box.missing:
        return None
    spread, cutoff = project.drivers[each.driver].spread, box.cutoffs[3.0]
    judged = cutoff if cutoff is not None and AUDIBLE < cutoff < HEARD[1] else AUDIBLE
    told = doubt(box.circuit, spread, project.doubt, NOTE, box.drive, box.Xmax, judged)
    outcomes = told.outcomes
    matters = what_matters(told)
    ranges = {name: range_of(outcome) for name, outcome in finite(outcomes).items()}
    if outcomes.port_speed is not None:
        ranges["port_speed"] = range_of(outcomes.port_speed * box.fastest_over_mean)
    return DoubtResult(
        told=told,
        matters=matters,
        left=left(matters, "f3"),
        ranges=ranges,
        lowest=ranges.get("f3"),
        reach=_reach(outcomes.f3) if "f3" in ranges else (),
        clean=None if outcomes.share is None else chance(outcomes.share <= 1),
        quiet=_quiet(box, outcomes),
        free=_free(box, outcomes),
        widest=_widest(told),
        unexplained=unexplained(told.sources),
    )


def box_band(project, result):
    """(f [Hz], `Range` of the level [dB]) of the chosen box, sooner than `box_doubt`.

    None while its driver is not known, and where some variants are no loudspeakers.
    """
    box, each = result.box, project.alternatives[result.chosen]
    if box.missing:
        return None
    spread = project.drivers[each.driver].spread
    try:
        return SKETCH, level_band(box.circuit, spread, project.doubt, SKETCH, VARIANTS // 2)
    except InputError:
        return None


def _reach(f3):
    """Chances at whole hertz across the range."""
    notes = np.unique(np.round(np.quantile(f3, (0.05, 0.25, 0.5, 0.75, 0.95))))
    return tuple((float(f), chance(f3 <= f)) for f in notes)


def _quiet(box, outcomes):
    if outcomes.port_speed is None:
        return None
    return chance(outcomes.port_speed * box.fastest_over_mean <= OLDER_SPEED.value)


def _free(box, outcomes):
    if outcomes.radiator is None or box.radiator.Xmax is None:
        return None
    return chance(outcomes.radiator <= box.radiator.Xmax)


def _widest(told):
    heard = (told.f >= HEARD[0]) & (told.f <= HEARD[1])
    height = np.where(heard, told.band.high - told.band.low, -np.inf)
    return float(told.f[np.argmax(height)]), float(np.max(height))
