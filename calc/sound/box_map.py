"""Every vented box of a driver at once, over volume and tuning, and every closed one along their edge.

What a box does is a ratio of few admittances. For each unit of its compliance Cab the air of a box gives
y = y_air + y_port + y_leak, which knows the tuning but not the volume; what drives it is, seen from the air,
a flow behind an admittance u, which knows the driver alone. So

    heard ~ y_air / (y + u/Cab),    cone ~ y / (y + u/Cab),    port ~ y_port / (y + u/Cab)

and |y + u/Cab|² is a polynomial in 1/Cab, whose three coefficients are made once for each tuning and
frequency. All losses of the box and all of the coil are in it.
"""

from dataclasses import dataclass
from math import ceil, log2, pi
from typing import NamedTuple

import numpy as np

from calc.errors import InputError
from calc.sound import circuit
from calc.sound.closed_box import closed_box, closed_box_lossy_Q, closed_box_tuning
from calc.sound.driver import Constants, with_source, without_inductance
from calc.sound.high_pass import HighPass
from calc.sound.limits import AUDIBLE, reference_level
from calc.sound.ranges import require_physical

DROP = 3.0
"""How far under the reference the lowest note that counts lies. [dB]"""

LITTLE = 0.1
"""A rise that nobody hears: up to it a box counts as flat (common practice, no source). [dB]"""

_AT_A_TIME = 2**16
"""Numbers worked on in one pass: as many as stay in a processor's cache."""


@dataclass(frozen=True)
class BoxMap:
    """What each of n volumes by m tunings does; all of shape (n, m) but the first two.

    Vb : (n,) [m³]; fb : (m,) [Hz]
    f3 : masked array [Hz], where the level comes up for the last time through 3 dB under the reference;
        masked where it does not within the frequencies looked at
    peak : [dB] that the level rises over the reference; 0 where it does not
    travel : [m] peak travel of each cone at its worst from `AUDIBLE` up
    port_speed : [m/s] peak, mean over all openings, at its worst from there up; None where no port was given
    length : [m] to cut the ports to; below zero where they would be shorter than nothing, so that no such
        box exists with them. None where no port was given
    """

    Vb: np.ndarray
    fb: np.ndarray
    f3: np.ma.MaskedArray
    peak: np.ndarray
    travel: np.ndarray
    port_speed: np.ndarray | None
    length: np.ndarray | None


@dataclass(frozen=True)
class ClosedStrip:
    """What each of n closed boxes does; all of shape (n,).

    Vb [m³], fc [Hz] and Qtc [-] as evaluated for one box, f3, peak and travel as in `BoxMap`.
    """

    Vb: np.ndarray
    fc: np.ndarray
    Qtc: np.ndarray
    f3: np.ma.MaskedArray
    peak: np.ndarray
    travel: np.ndarray


def frequencies(driver, Vb, fb=(), Rs=0.0, high_pass=None):
    """Where the boxes of a map are solved: evenly on a log scale, through `AUDIBLE`.

    Parameters
    ----------
    driver : Constants
    Vb, fb : array_like
        All volumes [m³] and tunings [Hz] of the map.
    Rs : float
        Before the terminals. [ohm]
    high_pass : HighPass, optional

    Returns
    -------
    ndarray, shape (k,)
        At least 60, and 20 an octave: from below the lowest resonance to above the highest corner, which
        is fs/Qts for a strong motor, fc in a small box, and otherwise that of the tuning. [Hz]
    """
    Qts = with_source(driver.Qms, driver.Qes, driver.Re, Rs).Qts
    fc = driver.fs * (1 + driver.Vas / np.min(Vb)) ** 0.5
    corner = 0.0 if high_pass is None else high_pass.f
    low = min(AUDIBLE, driver.fs / 1.5, *(np.asarray(fb) / 1.5))
    high = 2.5 * max(AUDIBLE, driver.fs / Qts, fc, corner, *fb)
    octave = max(20.0, 59 / log2(high / low))
    steps = np.arange(-ceil(log2(AUDIBLE / low) * octave), ceil(log2(high / AUDIBLE) * octave) + 1)
    return AUDIBLE * 2 ** (steps / octave)


def box_map(
    driver, Vb, fb, c, rho,
    V=2.83, Rs=0.0, QL=None, QA=None, QP=None, ports=(), capacitor=None, high_pass=None, f=None,
):  # fmt: skip
    """f3, peak, cone travel, air speed and port length of all vented boxes of n volumes by m tunings.

    Parameters
    ----------
    driver : Constants
        Of the wired group, in this air.
    Vb : array_like, shape (n,)
        Volumes, as large as their filling makes them seem. [m³]
    fb : array_like, shape (m,)
        Tunings. [Hz]
    c, rho : float
        Speed of sound [m/s] and density [kg/m³] of the air.
    V, Rs : float
        Source [volt rms] and the resistance before the terminals [ohm].
    QL, QA, QP : float, optional
        Leak, absorption and port friction, the same of all boxes, each at its own fb; None is none. [-]
    ports : sequence of (int, float, float)
        Of each size: how many, the area of one [m²], what the air adds to both its ends together [m]. All
        are cut to one length.
    capacitor : float, optional
        In series before the terminals. [F]
    high_pass : HighPass, optional
        Before the amplifier.
    f : array_like, shape (k,), rising, optional
        Where the boxes are solved, [Hz]; `frequencies` if None.

    Returns
    -------
    BoxMap

    Raises
    ------
    InputError
        If an argument is not a size that a loudspeaker can have.

    Notes
    -----
    The model of `vented_box`. f3 and peak are judged without the coil's inductance against
    `limits.reference_level`, as `limits.cutoffs` does. A peak between two frequencies is read from the
    parabola through its neighbours: one that is narrower than their distance is told too low. A level that
    only just dips to 3 dB between two frequencies may be told to end above that dip or below it.
    """
    Vb, fb = np.asarray(Vb, dtype=float), np.asarray(fb, dtype=float)
    require_physical(Vb=Vb, fb=fb, c=c, rho=rho, V=V, Rs=Rs, QL=QL, QA=QA, QP=QP, capacitor=capacitor)
    for count, area, _ in ports:
        require_physical(port_area=count * area)
    f = _rising(frequencies(driver, Vb, fb, Rs, high_pass) if f is None else f)
    setting = _Setting(driver, c, rho, V, Rs, QL, QA, QP, ports, capacitor, high_pass)
    rise, worst = _scanned(f, Vb, fb, setting)
    return BoxMap(
        Vb=Vb,
        fb=fb,
        f3=_cutoffs(f, rise, Vb[:, None], fb, setting.plain()),
        peak=np.maximum(0.0, 10 * np.log10(worst.heard)),
        travel=np.sqrt(worst.cone),
        port_speed=np.sqrt(worst.port) if ports else None,
        length=common_lengths(Vb[:, None], fb, ports, c) if ports else None,
    )


class _Setting(NamedTuple):
    """What all boxes of a map share; see `box_map`."""

    driver: Constants
    c: float
    rho: float
    V: float
    Rs: float
    QL: float | None
    QA: float | None
    QP: float | None
    ports: tuple
    capacitor: float | None
    high_pass: HighPass | None

    def plain(self):
        """The same with a coil that is resistance alone: what f3 and peak are judged by."""
        return self._replace(driver=without_inductance(self.driver))

    def stiffness(self, Vb):
        """1/Cab of the air in a box. [Pa/m³]"""
        return self.rho * self.c**2 / Vb


class _Parts(NamedTuple):
    """Of boxes without regard to their volume, at each frequency.

    all, u : admittance of box air and of what drives it, complex
    heard, cone, port : what over |all + u/Cab|² gives the square of the level over its reference [-], of
        the cone's peak travel [m²], of the peak speed in the ports [m²/s²]; None where no port was given
    """

    all: np.ndarray
    u: np.ndarray
    heard: np.ndarray
    cone: np.ndarray
    port: np.ndarray | None


def _parts(f, fb, setting):
    """The `_Parts` at frequencies f of boxes tuned to fb [Hz], in any shapes that go together."""
    driver, (V, Rs) = setting.driver, setting[3:5]
    s = circuit.laplace(f)
    w, wb = s.value.imag, 2 * pi * fb
    still = (circuit.coil(s, driver) + circuit.before_terminals(s, Rs, setting.capacitor)).value
    own = still * circuit.moving_parts(s, driver).value + driver.Bl**2
    air = circuit.box_air(s, 1.0, wb, setting.QA).value
    opening = circuit.port(s, 1.0, wb, setting.QP).value
    passed = 1.0 if setting.high_pass is None else setting.high_pass.transfer(s).value
    flow = _square(V * driver.Sd * driver.Bl * passed / own)  # rms, that the cone would give into no load
    reference = driver.Sd * driver.Bl * V / ((driver.Re + Rs) * driver.Mms)
    area = sum(count * one for count, one, _ in setting.ports)
    y = air + opening + circuit.leak(1.0, wb, setting.QL)
    return _Parts(
        all=y,
        u=still * driver.Sd**2 / own,
        heard=flow * (w / reference) ** 2 * _square(air),
        cone=2 * flow / (driver.Sd * w) ** 2 * _square(y),
        port=2 * flow / area**2 * _square(opening) if area else None,
    )


def _square(z):
    return z.real**2 + z.imag**2


class _Worst(NamedTuple):
    """The largest over all frequencies of what `_Parts` calls by these names, (n, m)."""

    heard: np.ndarray
    cone: np.ndarray
    port: np.ndarray


def _scanned(f, Vb, fb, setting):
    """The `_Rise` of each box, and its `_Worst`."""
    driven, plain = setting, setting.plain()
    parts = _parts(f, fb[:, None], driven)
    judged = parts if plain.driver == driven.driver else _parts(f, fb[:, None], plain)
    driven, plain = _Load(parts), _Load(judged)
    shape = len(Vb), len(fb)
    rise = _Rise(np.empty(shape, dtype=int), np.empty(shape), np.empty(shape))
    worst = _Worst(np.empty(shape), np.empty(shape), np.empty(shape))
    step = max(1, _AT_A_TIME // (len(fb) * len(f)))
    floor = _floor(f)
    for start in range(0, len(Vb), step):
        rows = slice(start, start + step)
        stiffness = setting.stiffness(Vb[rows, None, None])
        yielding = plain.yielding(stiffness)
        level = judged.heard * yielding
        for whole, each in zip(rise, _last_rise(level, 10 ** (-DROP / 10)), strict=True):
            whole[rows] = each
        worst.heard[rows] = _summit(f, level)
        if judged is not parts:
            yielding = driven.yielding(stiffness)
        worst.cone[rows] = _summit(f[floor:], (parts.cone * yielding)[..., floor:])
        if parts.port is not None:
            worst.port[rows] = _summit(f[floor:], (parts.port * yielding)[..., floor:])
    return rise, worst


class _Load:
    """The coefficients of |y + u/Cab|² over powers of 1/Cab."""

    def __init__(self, parts):
        y, u = parts.all, parts.u
        self.y2, self.yu, self.u2 = _square(y), 2 * (y * u.conj()).real, _square(u)

    def yielding(self, stiffness):
        """1/|y + u/Cab|², (n, m, k), for each stiffness, (n, 1, 1)."""
        load = stiffness * self.u2 + self.yu
        load *= stiffness
        load += self.y2
        return np.reciprocal(load, out=load)


def _floor(f):
    """Index of the first frequency at `AUDIBLE` or above."""
    return int(np.searchsorted(f, AUDIBLE * (1 - 1e-9)))


class _Rise(NamedTuple):
    """Where a level comes up through what is wanted for the last time, (n, m).

    first : index of the interval's lower end, -1 if there is none
    under, over : level at its ends over what is wanted; as powers, not decibels [-]
    """

    first: np.ndarray
    under: np.ndarray
    over: np.ndarray


def _last_rise(level, wanted):
    """The `_Rise` of `level`, a power, along its last axis."""
    below = level < wanted
    rises = below[..., :-1] & ~below[..., 1:]
    last = rises.shape[-1] - 1 - np.argmax(rises[..., ::-1], axis=-1)
    ends = np.take_along_axis(level, last[..., None] + np.arange(2), axis=-1) / wanted
    return _Rise(np.where(rises.any(axis=-1), last, -1), ends[..., 0], ends[..., 1])


def _summit(f, square):
    """Largest value along the last axis, between the frequencies too; all values above zero.

    The parabola in ln f and ln value through the largest and its neighbours. At an end, the end's value.
    """
    top = np.argmax(square, axis=-1)
    inner = np.clip(top, 1, len(f) - 2)[..., None] + np.arange(-1, 2)
    x = np.log(f[inner])
    y = np.log(np.take_along_axis(square, inner, axis=-1))
    (a, b), span = np.moveaxis(np.diff(x, axis=-1), -1, 0), x[..., 2] - x[..., 0]
    left, right = (y[..., 1] - y[..., 0]) / a, (y[..., 2] - y[..., 1]) / b
    bend = (right - left) / span
    middle = (left * b + right * a) / span
    ends = (top == 0) | (top == len(f) - 1) | (bend >= 0)
    more = np.where(ends, 0.0, -(middle**2) / (4 * np.where(ends, -1.0, bend)))
    return np.take_along_axis(square, top[..., None], axis=-1)[..., 0] * np.exp(more)


def _cutoffs(f, rise, Vb, fb, setting):
    """f3 [Hz] of each box, solved within the interval of its `_Rise`; masked where it has none."""
    Vb, fb = np.broadcast_arrays(Vb, fb)

    def power(f, found):
        parts = _parts(f, fb[found], setting)
        return parts.heard / _square(parts.all + parts.u * setting.stiffness(Vb[found]))

    return _solved(f, rise, power)


def _solved(f, rise, power, turns=3):
    """Frequencies [Hz] at which `power(f, found)` meets `DROP`, by false position in ln f and decibels."""
    found = rise.first >= 0
    low, high = f[rise.first[found]], f[rise.first[found] + 1]
    under, over = np.log(rise.under[found]), np.log(rise.over[found])
    wanted = -DROP / 10 * np.log(10)
    for _ in range(turns):
        middle = low * (high / low) ** _share(under, over)
        here = np.log(power(middle, found)) - wanted
        low, under = np.where(here < 0, (middle, here), (low, under))
        high, over = np.where(here < 0, (high, over), (middle, here))
    solved = np.ma.masked_all(found.shape)
    solved[found] = low * (high / low) ** _share(under, over)
    return solved


def _share(under, over):
    """How far along a straight line crosses zero; `under` lies below zero, `over` on it or above. [-]"""
    return under / (under - over)


# --- ports ---


def common_lengths(Vb, fb, ports, c):
    """Length [m] that all `ports` are cut to in boxes of Vb [m³] tuned to fb [Hz]; both go together in shape.

    `port.common_length` of many boxes, below zero where no port is so short; `ports` as for `box_map`.

    Notes
    -----
    The sum of n S/(L + e) over the sizes has to be wb² Vb/c². It falls ever more slowly with L, so that
    Newton's steps from below never pass the root; a single size is there at once.
    """
    wanted = (2 * pi * fb) ** 2 * Vb / c**2
    L = np.max([count * area / wanted - ends for count, area, ends in ports], axis=0)
    for _ in range(0 if len(ports) == 1 else 12):
        each = [(count * area, L + ends) for count, area, ends in ports]
        conductance = sum(S / length for S, length in each)
        L = L + (conductance - wanted) / sum(S / length**2 for S, length in each)
    return L


# --- the edge, and the way ---


def closed_strip(
    driver, Vb, c, rho,
    V=2.83, Rs=0.0, QL=None, QA=None, capacitor=None, high_pass=None, f=None,
):  # fmt: skip
    """What closed boxes of n volumes do: the edge of the map, where the tuning comes to nothing.

    Arguments and refusals as for `box_map`; QL and QA hold at each box's fc.

    Returns
    -------
    ClosedStrip

    Notes
    -----
    The model of `closed_box`. A vented box of vanishing tuning is that one, but for its losses, which hold
    at another frequency.
    """
    Vb = np.asarray(Vb, dtype=float)
    require_physical(Vb=Vb, c=c, rho=rho, V=V, Rs=Rs, QL=QL, QA=QA, capacitor=capacitor)
    f = _rising(frequencies(driver, Vb, Rs=Rs, high_pass=high_pass) if f is None else f)
    common = dict(V=V, Rs=Rs, QL=QL, QA=QA, capacitor=capacitor, high_pass=high_pass)
    plain = without_inductance(driver)
    reference = reference_level(plain, V, Rs, c, rho)

    def power(f, Vb):
        return 10 ** ((closed_box(f, plain, Vb, c, rho, **common).level - reference) / 10)

    heard = power(f, Vb[:, None])
    rise = _last_rise(heard, 10 ** (-DROP / 10))
    travel = closed_box(f, driver, Vb[:, None], c, rho, **common).cone[:, _floor(f) :]
    Qts = with_source(driver.Qms, driver.Qes, driver.Re, Rs).Qts
    fc, Qtc = closed_box_tuning(driver.fs, Qts, driver.Vas, Vb)
    return ClosedStrip(
        Vb=Vb,
        fc=fc,
        Qtc=closed_box_lossy_Q(Qtc, driver.Vas / Vb, QL, QA),
        f3=_solved(f, rise, lambda f, found: power(f, Vb[found])),
        peak=np.maximum(0.0, 10 * np.log10(_summit(f, heard))),
        travel=np.sqrt(_summit(f[_floor(f) :], travel**2)),
    )


def flattest(boxes, allowed=LITTLE):
    """The tuning of each volume of a map that reaches lowest without rising by more than `allowed` [dB].

    Parameters
    ----------
    boxes : BoxMap
        Its tunings rising, evenly on a log scale.
    allowed : float
        [dB]

    Returns
    -------
    masked array, shape (n,)
        [Hz]; masked where every tuning of the map rises by more, or the best lies at the map's edge.
    """
    if not 0 < allowed < 100:
        raise InputError("allowed", "must be a rise above zero")
    flat = boxes.peak <= allowed
    reach = np.where(flat, boxes.f3.filled(np.inf), np.inf)
    best = np.argmin(reach, axis=1)
    each = np.arange(len(boxes.Vb))
    inside = (best > 0) & (best < len(boxes.fb) - 2) & np.isfinite(reach[each, best])
    best = np.where(inside, best, 1)
    ends = ~flat[each, best + 1]
    share = np.where(ends, _last_flat(boxes.peak, each, best, allowed), _lowest(boxes.f3, each, best))
    x = np.log(boxes.fb)
    return np.ma.array(np.exp(np.interp(best + share, np.arange(len(x)), x)), mask=~inside)


def _last_flat(peak, each, best, allowed):
    """How far past the tuning `best` the rise comes to what is allowed, in steps of the map, 0 to 1.

    A rise begins as the square of the way past its beginning: so its root runs straight, and is drawn back
    from the two tunings above.
    """
    near, far = np.sqrt(peak[each, best + 1]), np.sqrt(peak[each, best + 2])
    steps = far - near
    back = np.where(steps > 0, (near - np.sqrt(allowed)) / np.where(steps > 0, steps, 1.0), 0.5)
    return np.clip(1 - back, 0.0, 1.0)


def _lowest(f3, each, best):
    """Where the parabola through three tunings is lowest, in steps from the middle one, -1/2 to 1/2."""
    left, middle, right = (f3.filled(np.inf)[each, best + k] for k in (-1, 0, 1))
    known = np.isfinite(left) & np.isfinite(right)
    left, right = np.where(known, left, middle), np.where(known, right, middle)
    bend = left + right - 2 * middle
    return np.clip((left - right) / np.where(bend > 0, 2 * bend, np.inf), -0.5, 0.5)


def _rising(f):
    f = np.asarray(f, dtype=float)
    require_physical(f=f)
    if f.ndim != 1 or len(f) < 4 or not np.all(np.diff(f) > 0):
        raise InputError("f", "must be four or more frequencies, each above the one before")
    if not f[-4] > AUDIBLE:
        raise InputError("f", "must go on above the lowest note at which travel is judged")
    return f
