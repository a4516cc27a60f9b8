"""What the page Tolerance asks of a project: the band of what is heard, the part behind it, and pairs."""

from dataclasses import dataclass

import numpy as np

from calc.evaluate_network import F, assembled
from calc.network.tolerance import Loose, apart, band, influence

POINTS = 60
"""At how many frequencies speakers are compared, evenly over the octaves of the target's band."""

AUDIBLE = 1.0
"""A pair that differs by less than this is as good as alike (common practice, no source). [dB]"""


@dataclass(frozen=True)
class ToleranceResult:
    """What loose parts do to the sound, over the band of the project's target.

    f : [Hz]; printed, low, high : level of the whole with every part as printed, and between what levels 19
    of 20 speakers lie [dB]; worst : (half the widest band [dB], its place [Hz])
    influence : {name: (change [dB], f [Hz])} of each part alone, the most first
    apart : what 19 of 20 pairs stay below at their worst frequency [dB], with the first 0, 1, 2, ... of
    `influence` matched
    """

    f: np.ndarray
    printed: np.ndarray
    low: np.ndarray
    high: np.ndarray
    worst: tuple
    influence: dict
    apart: np.ndarray

    @property
    def to_match(self):
        """How many parts must be matched for a pair to be as good as alike."""
        return int(np.argmax(self.apart < AUDIBLE))


def loosened(project, result, heard):
    """The crossover as `tolerance.Loose`; None where no part of it is loose."""
    parts = project.network.parts
    widths = {name: getattr(project.tolerance, each.kind) for name, each in parts.items() if not each.driver}
    if not any(widths.values()):
        return None
    first, last = np.searchsorted(F, (project.target.f1, project.target.f2 * (1 + 1e-9)))
    at = np.unique(np.linspace(first, last - 1, POINTS).round().astype(int))
    voices = {name: heard.own[name][at] for name in heard.names}
    return Loose(assembled(project, result), widths, F[at], voices)


def tolerance(loose):
    """The `ToleranceResult` of a `Loose` crossover."""
    low, high = band(loose, 300)
    alone = influence(loose)
    widest = int(np.argmax(high - low))
    return ToleranceResult(
        f=loose.f,
        printed=loose.printed(),
        low=low,
        high=high,
        worst=(float(high[widest] - low[widest]) / 2, float(loose.f[widest])),
        influence=alone,
        apart=apart(loose, list(alone), 60),
    )
