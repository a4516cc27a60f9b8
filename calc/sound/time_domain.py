"""What a box does with a sudden push: the pressure after a step of voltage, and how late its bass comes."""

from dataclasses import dataclass

import numpy as np

from calc.errors import InputError

TOP = 4000.0
"""Up to where a step is put together from its frequencies [Hz]; beyond, its shape is known in advance."""

UNSETTLED = 0.05
"""How far the response at half of TOP may be from that at TOP, over its largest. [-]"""

SHORTEST, LONGEST = 0.25, 16.0
"""How long a step is followed at first, and at most. [s]"""

ROOM_DECAY = 0.4
"""Time in which the sound of a furnished living room falls by 60 dB (common practice, no source). [s]"""

SWELL, FULL = 3.0, 1.0
"""Peaks [dB] above the middle level from which the bass swells, and is full (common practice, no source)."""


@dataclass(frozen=True)
class Step:
    """Pressure after a step of voltage, over its largest push.

    t : [s] from the step on, even, (m,), until it stays below 1 %
    p : [-], (m,), its largest value 1
    rebound : largest push to the other side [-]
    settled : from when it stays below a tenth [s]
    swings : how often it pushes past rest by more than a tenth, after the largest push
    """

    t: np.ndarray
    p: np.ndarray
    rebound: float
    settled: float
    swings: int

    @property
    def length(self):
        """Until it stays below 1 %. [s]"""
        return float(self.t[-1])


def step_response(box):
    """The `Step` of a box: its sound pressure, far away in half space, after a sudden steady voltage.

    Parameters
    ----------
    box : callable
        Takes frequencies [Hz], gives a `Response` of one box. Build it from a driver without inductance
        (`driver.without_inductance`): the edge belongs to the tweeter, and the coil would round it.

    Returns
    -------
    Step or None
        None where it rings on for longer than `LONGEST`, or where its resonance is so near to `TOP` that the
        sum would not be complete: no loudspeaker for bass does either.

    Notes
    -----
    The complex volume acceleration A of the circuit, over s = j omega, put back into time by a Fourier sum
    whose period is doubled until nothing is left to run over its end. A box without inductance jumps at
    once; so A_top/(s + b), which jumps alike and starts alike, is taken off before and its exact
    exp(-b t) is added after: what remains falls with 1/s³ and is complete at `TOP`. It holds for what the
    box does: no room, no crossover, no tweeter. The sum over all time is zero, since no box moves air at
    0 Hz: that is why every step swings past rest at least once.
    """
    for doubling in range(7):
        period = SHORTEST * 2**doubling
        p = _over(box, period)
        if p is None:
            return None
        late = np.max(abs(p[len(p) // 2 :]))
        if late < 1e-3 * np.max(abs(p)):
            return _described(p, 1 / (2 * TOP))
    return None


def _over(box, period):
    """Pressure at each 1/(2 TOP) of a period [s], in units of its own; None where TOP is too low."""
    f = np.arange(1, round(TOP * period) + 1) / period
    response = box(f)
    if response.level.ndim != 1:
        raise InputError("box", "must be one box, not several variants")
    s = 2j * np.pi * f
    A = 10 ** ((response.level - np.max(response.level)) / 20) * np.exp(1j * np.radians(response.phase))
    last, half = A[-1].real, A[len(A) // 2 - 1].real
    if abs(last - half) > UNSETTLED:
        return None
    top = (4 * last - half) / 3  # what they still lack falls with 1/f²
    b = max(A[-1].imag * s[-1].imag / top, 1.0) if abs(top) > 1e-9 else 1.0
    rest = A / s - top / (s + b)
    number = 2 * len(f)
    p = np.fft.irfft(np.concatenate([[-top / b], rest]), number) * number / period
    return p + top * np.exp(-b * np.arange(number) / (2 * TOP))


def _described(p, dt):
    """The `Step` of a pressure at even times `dt` [s] apart, cut where it stays below 1 %."""
    most = int(np.argmax(abs(p)))
    p = p / p[most]
    end = min(_last_over(p, 0.01) + 2, len(p))
    p = p[:end]
    return Step(
        t=np.arange(end) * dt,
        p=p,
        rebound=float(max(-p.min(), 0.0)),
        settled=_staying_below(p, 0.1) * dt,
        swings=sum(1 for lobe in _lobes(p[most:])[1:] if np.max(abs(lobe)) > 0.1),
    )


def _last_over(p, share):
    return int(np.flatnonzero(abs(p) > share)[-1])


def _staying_below(p, share):
    """The place, between samples, from which abs(p) stays below a share."""
    i = _last_over(p, share)
    if i + 1 == len(p):
        return float(i)
    return float(i + (abs(p[i]) - share) / (abs(p[i]) - abs(p[i + 1])))


def _lobes(p):
    """The parts of p between its passings through zero."""
    return np.split(p, np.flatnonzero(np.diff(np.signbit(p))) + 1)


@dataclass(frozen=True)
class Latest:
    """The largest group delay, `delay` [s] at `f` [Hz]: so many `periods` of that tone itself."""

    delay: float
    f: float

    @property
    def periods(self):
        """Delay over the time of one period. [-]"""
        return self.delay * self.f


def latest(f, group_delay, low=20.0, high=200.0):
    """The `Latest` of the bass, between low and high [Hz].

    Parameters
    ----------
    f, group_delay : ndarray, shape (m,)
        [Hz] and [s].

    Notes
    -----
    No agreed threshold for hearing it was found below 500 Hz. From 500 Hz to 8 kHz 1 to 3 ms were heard
    with clicks in headphones (J. Blauert and P. Laws, "Group delay distortions in electroacoustical
    systems," J. Acoust. Soc. Am. 63, 1978; from memory); in periods these are 1.5 at 500 Hz and more above.
    """
    f, group_delay = np.asarray(f, float), np.asarray(group_delay, float)
    inside = np.flatnonzero((f >= low) & (f <= high))
    if not inside.size:
        raise InputError("f", "must reach into the bass")
    at = inside[np.argmax(group_delay[inside])]
    return Latest(float(group_delay[at]), float(f[at]))


def room_tenth(decay=ROOM_DECAY):
    """Time [s] in which a room that needs `decay` for 60 dB falls to a tenth, 20 dB."""
    if not 0 < decay < 100:
        raise InputError("decay", "must be a time above zero")
    return decay / 3


def character(settled, peak, decay=ROOM_DECAY):
    """What "tight" and "boomy" come to: "swells", "rings", "full" or "held".

    Parameters
    ----------
    settled : float or None
        See `Step`; None is for ever. [s]
    peak : float
        How far the bass rises above the middle level. [dB]
    decay : float
        Of the room, for 60 dB. [s]

    Notes
    -----
    Much of what is called boomy is a rise in level, of the box or of the room; a box whose swing dies away
    sooner than the room's own is covered by the room. Both bounds are common practice without a source, and
    a room's decay is longer in the bass than in the middle: this never calls a box boomy too early by it.
    """
    if peak >= SWELL:
        return "swells"
    if settled is None or settled > room_tenth(decay):
        return "rings"
    return "full" if peak >= FULL else "held"
