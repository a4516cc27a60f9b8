"""The constants of a driver: how they follow from one another, and what they say about it."""

from dataclasses import dataclass, field, replace
from itertools import combinations
from math import log10, pi
from typing import NamedTuple

import numpy as np

from calc.errors import InputError
from calc.sound.ranges import require_physical

P_REF = 2e-5
"""Sound pressure of 0 dB. [Pa]"""

COPPER = 0.00393
"""How much the resistance of a copper coil grows per kelvin above 20 °C (handbooks, from memory). [1/K]"""

LEAST_N, MOST_N = 0.5, 1.0
"""Exponents of a semi-inductance: 1 is a plain inductance, 0.5 a coil about solid iron that lets no flux in
deeper than its skin (after Leach 2002, range from memory)."""


@dataclass(frozen=True)
class Constants:
    """All lumped constants of one driver, or of several wired as one.

    fs [Hz], Qms Qes Qts [-], Vas [m³], Sd [m²], Re [ohm], Le [H], Le2 [H] in parallel with Re2 [ohm] and
    in series with Le (None if absent), Mms [kg], Cms [m/N], Rms [N s/m], Bl [T m]; a semi-inductance
    K (j omega)^n of K [ohm s^n] and n [-], also in series with Le (None if absent).

    Each value may be an ndarray of shape (k, 1): k variants of one driver.
    """

    fs: float
    Qms: float
    Qes: float
    Qts: float
    Vas: float
    Sd: float
    Re: float
    Le: float
    Le2: float | None
    Re2: float | None
    Mms: float
    Cms: float
    Rms: float
    Bl: float
    K: float | None = None
    n: float | None = None


def constants(fs, Qms, Qes, Vas, Sd, Re, c, rho, Le=0.0, Le2=None, Re2=None, K=None, n=None):
    """All constants of a driver from the six that describe it in air of `c` [m/s] and `rho` [kg/m³].

    Parameters
    ----------
    fs, Qms, Qes, Vas, Sd, Re : float or ndarray, shape (k, 1)
        As in `Constants`; Vas as it is in this air.
    Le, Le2, Re2 : float or ndarray, shape (k, 1), optional
        Coil inductance; Le2 and Re2 come as a pair.
    K, n : float or ndarray, shape (k, 1), optional
        Semi-inductance, a pair too, see `voice_coil`.

    Returns
    -------
    Constants

    Raises
    ------
    InputError
        For a value that no loudspeaker can have, or half of the pair.

    References
    ----------
    R. H. Small, "Direct-Radiator Loudspeaker System Analysis," J. Audio Eng. Soc. 20(5), 1972.
    """
    require_physical(fs=fs, Qms=Qms, Qes=Qes, Vas=Vas, Sd=Sd, Re=Re, Le=Le, Le2=Le2, Re2=Re2, c=c, rho=rho)
    require_physical(K=K)
    require_exponent(n)
    _require_pairs(Le2=Le2, Re2=Re2)
    _require_pairs(K=K, n=n)
    ws = 2 * pi * fs
    Cms = Vas / (rho * c**2 * Sd**2)
    Mms = 1 / (ws**2 * Cms)
    return Constants(
        fs=fs, Qms=Qms, Qes=Qes, Qts=Qms * Qes / (Qms + Qes), Vas=Vas, Sd=Sd, Re=Re, Le=Le, Le2=Le2, Re2=Re2,
        Mms=Mms, Cms=Cms, Rms=ws * Mms / Qms, Bl=(ws * Mms * Re / Qes) ** 0.5, K=K, n=n,
    )  # fmt: skip


def require_exponent(n):
    """Refuse an n [-] that no coil's semi-inductance has; None passes as "not given"."""
    if n is not None and not np.all((np.asarray(n) >= LEAST_N) & (np.asarray(n) <= MOST_N)):
        raise InputError("n", "must lie between 0.5, a coil about solid iron, and 1, a plain inductance")


def _require_pairs(**pair):
    """Refuse half of a pair, at the half that is missing."""
    missing = [name for name, value in pair.items() if value is None]
    if len(missing) == 1:
        raise InputError(missing[0], "is needed beside the other of the pair")


def without_inductance(driver):
    """The same `Constants` with a coil that is resistance alone: what cut-off frequencies are judged by."""
    return replace(driver, Le=0.0, Le2=None, Re2=None, K=None, n=None)


def Vas_in(Vas, c_sheet, rho_sheet, c, rho):
    """The Vas [m³] of a driver in the air of a place: its suspension stays, the air's stiffness changes.

    Vas holds where sound runs at `c_sheet` [m/s] and air weighs `rho_sheet` [kg/m³]; the place has c, rho.
    """
    require_physical(Vas=Vas, c=c, rho=rho)
    return Vas * rho * c**2 / (rho_sheet * c_sheet**2)


# --- what the constants say ---


def eta0(fs, Vas, Qes, c):
    """Reference efficiency [-] into half space: 4 pi² fs³ Vas / (c³ Qes) (Small 1972)."""
    require_physical(fs=fs, Vas=Vas, Qes=Qes, c=c)
    return 4 * pi**2 / c**3 * fs**3 * Vas / Qes


def level_1w(efficiency, c, rho):
    """Level [dB] at 1 m in half space of 1 W put into Re, for a reference efficiency [-]."""
    return 10 * log10(efficiency * rho * c / (2 * pi) / P_REF**2)


def level_2v83(efficiency, Re, c, rho):
    """Level [dB] at 1 m in half space of 2.83 V at a driver of Re [ohm] and a reference efficiency [-]."""
    return level_1w(efficiency, c, rho) + 10 * log10(2.83**2 / Re)


def Vd(Sd, Xmax):
    """Air that a cone of area Sd [m²] moves from rest to its travel Xmax [m]. [m³]"""
    require_physical(Sd=Sd, Xmax=Xmax)
    return Sd * Xmax


def EBP(fs, Qes):
    """Efficiency-bandwidth product fs/Qes. [Hz]"""
    require_physical(fs=fs, Qes=Qes)
    return fs / Qes


def Res(Bl, Rms):
    """How far the impedance peak stands above Re: Bl²/Rms. [ohm]"""
    require_physical(Bl=Bl, Rms=Rms)
    return Bl**2 / Rms


def Cmes(Mms, Bl):
    """The moving mass as the amplifier sees it: a capacitance Mms/Bl². [F]"""
    require_physical(Mms=Mms, Bl=Bl)
    return Mms / Bl**2


def Lces(Cms, Bl):
    """The suspension as the amplifier sees it: an inductance Cms Bl². [H]"""
    require_physical(Cms=Cms, Bl=Bl)
    return Cms * Bl**2


class WithSource(NamedTuple):
    """Qes and Qts [-] behind a resistance, and the mid-band `loss` [dB] that it costs."""

    Qes: float
    Qts: float
    loss: float


def with_source(Qms, Qes, Re, Rs):
    """What a resistance Rs [ohm] before a driver of coil Re [ohm] does to it; see `WithSource`."""
    require_physical(Qms=Qms, Qes=Qes, Re=Re, Rs=Rs)
    ratio = (Re + Rs) / Re
    return WithSource(Qes * ratio, Qms * Qes * ratio / (Qms + Qes * ratio), 20 * log10(ratio))


class HotCoil(NamedTuple):
    """A coil hotter than 20 °C: `resistance` and `Qes` over their cold values [-], mid-band `loss` [dB],
    `power` drawn from the same volts over the cold one [-]."""

    resistance: float
    Qes: float
    loss: float
    power: float


def hot_coil(rise):
    """What heating a copper coil by `rise` [K] above 20 °C does, where the mass rules and Le is left out."""
    if not 0 <= rise <= 1000:
        raise InputError("rise", "must be between cold and the heat that melts copper")
    ratio = 1 + COPPER * rise
    return HotCoil(ratio, ratio, 20 * log10(ratio), 1 / ratio)


# --- the sheet: what it implies, and where it disagrees with itself ---

SYMBOLS = ("Re", "Sd", "fs", "Qms", "Qes", "Vas", "Qts", "Cms", "Mms", "Bl", "Rms")
"""In the order in which a sheet is believed: a later one is held against those before it."""

ENOUGH = ("fs", "Qms", "Qes", "Vas", "Sd", "Re")
"""What a box is computed from."""

TOLERANCE = 0.03
"""How far two facts of one sheet may differ before it is said."""

# Each relation is a product of powers that equals a constant; ws = 2 pi fs. The last three follow from the
# others without the mass: they serve a sheet that leaves the mass and one more out.
_PRODUCTS = (
    ({"Vas": 1, "Sd": -2, "Cms": -1}, lambda c, rho: rho * c**2),
    ({"fs": 2, "Mms": 1, "Cms": 1}, lambda c, rho: 1 / (2 * pi) ** 2),
    ({"fs": 1, "Mms": 1, "Re": 1, "Qes": -1, "Bl": -2}, lambda c, rho: 1 / (2 * pi)),
    ({"fs": 1, "Mms": 1, "Qms": -1, "Rms": -1}, lambda c, rho: 1 / (2 * pi)),
    ({"Qes": 1, "Bl": 2, "Re": -1, "Qms": -1, "Rms": -1}, lambda c, rho: 1.0),
    ({"fs": 1, "Cms": 1, "Qes": 1, "Bl": 2, "Re": -1}, lambda c, rho: 1 / (2 * pi)),
    ({"fs": 1, "Cms": 1, "Qms": 1, "Rms": 1}, lambda c, rho: 1 / (2 * pi)),
)
_QS = frozenset(("Qts", "Qms", "Qes"))
_GROUPS = (_QS, *(frozenset(powers) for powers, _ in _PRODUCTS))


@dataclass(frozen=True)
class Disagreement:
    """A value of the sheet that its others contradict: `ratio` = `given`/`implied`.

    `of` names the values of the sheet that imply it.
    """

    symbol: str
    given: float
    implied: float
    of: tuple[str, ...]
    ratio: float


@dataclass(frozen=True)
class Completed:
    """A data sheet with all that follows from it.

    values : {symbol: float}
        Given and derived, SI.
    derived : {symbol: tuple of symbols}
        For each derived value, the values of the sheet that it came from.
    disagreements : tuple of Disagreement
        Facts that the sheet states twice and that differ by more than 3 %.
    missing : tuple of tuples of symbols
        Up to four short additions, any of which would let a box be computed; empty if nothing is missing.
    """

    values: dict
    derived: dict = field(default_factory=dict)
    disagreements: tuple = ()
    missing: tuple = ()


def completed(sheet, c, rho):
    """Derive whatever follows from a data sheet, and hold what it says twice against itself.

    Parameters
    ----------
    sheet : dict
        Symbol of `SYMBOLS` to value in SI units, None where the sheet does not say. Other keys are ignored.
    c, rho : float
        Speed of sound [m/s] and density [kg/m³] of the air in which the sheet's Vas holds.

    Returns
    -------
    Completed
        Given values stand as they were given, contradicted or not.

    Raises
    ------
    InputError
        For a value that no driver can have, or Qts not below the Q that it is made of.
    """
    given = {symbol: sheet[symbol] for symbol in SYMBOLS if sheet.get(symbol) is not None}
    require_physical(c=c, rho=rho, **given)
    values, sources = _closure(given, c, rho)
    derived = {symbol: sources[symbol] for symbol in SYMBOLS if symbol in values and symbol not in given}
    return Completed(values, derived, _disagreements(given, c, rho), _missing(set(given)))


def _closure(given, c, rho):
    """All values that follow from `given`, and for each the given symbols that it rests on."""
    values, sources = dict(given), {symbol: (symbol,) for symbol in given}
    found = True
    while found:
        found = False
        for group in _GROUPS:
            unknown = group - values.keys()
            if len(unknown) == 1:
                (symbol,) = unknown
                values[symbol] = _implied(symbol, group, values, c, rho)
                roots = {root for other in group - unknown for root in sources[other]}
                sources[symbol] = tuple(root for root in SYMBOLS if root in roots)
                found = True
    return values, sources


def _implied(symbol, group, values, c, rho):
    """The value of `symbol` by the relation among `group`, the others being known."""
    if group == _QS:
        return _implied_Q(symbol, values)
    powers, constant = _PRODUCTS[_GROUPS.index(group) - 1]
    others = 1.0
    for other, power in powers.items():
        if other != symbol:
            others *= values[other] ** power
    return (constant(c, rho) / others) ** (1 / powers[symbol])


def _implied_Q(symbol, values):
    if symbol == "Qts":
        return 1 / (1 / values["Qms"] + 1 / values["Qes"])
    other = "Qes" if symbol == "Qms" else "Qms"
    remainder = 1 / values["Qts"] - 1 / values[other]
    if remainder <= 0:
        raise InputError("Qts", f"must be lower than {other}: it is that loss and one more together")
    return 1 / remainder


def _disagreements(given, c, rho):
    """Each fact that the sheet states a second time and differently, once."""
    independent, believed, found = {}, {}, []
    for symbol in given:
        known, sources = _closure(independent, c, rho)
        if symbol not in known:
            independent[symbol] = given[symbol]
        else:
            implied, of = known[symbol], sources[symbol]
            for group in _GROUPS:  # the nearest relation reads best
                if symbol in group and group - {symbol} <= believed.keys():
                    implied = _implied(symbol, group, believed, c, rho)
                    of = tuple(other for other in SYMBOLS if other in group - {symbol})
                    break
            ratio = given[symbol] / implied
            if max(ratio, 1 / ratio) > 1 + TOLERANCE:
                found.append(Disagreement(symbol, given[symbol], implied, of, ratio))
        believed[symbol] = given[symbol]
    return tuple(found)


def _missing(known):
    """At most four shortest sets that complete `known`; beyond two symbols, what sheets usually list."""
    if _reaches(known):
        return ()
    for size in (1, 2):
        found = [more for more in combinations(SYMBOLS, size) if _reaches(known | set(more))]
        if found:
            found.sort(key=lambda more: sum(symbol not in ENOUGH for symbol in more))
            return tuple(found[:4])
    return (tuple(symbol for symbol in ENOUGH if symbol not in known),)


def _reaches(known):
    known = set(known)
    while True:
        more = {symbol for group in _GROUPS if len(group - known) == 1 for symbol in group - known}
        if not more:
            return known >= set(ENOUGH)
        known |= more
