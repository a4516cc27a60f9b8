"""Resistors, coils, capacitors and drivers, joined at named nodes into a network that can be computed.

Every value may be one number or an array of shape (k,), one for each of k variants of the same network.
"""

from dataclasses import dataclass
from math import inf, pi

import numpy as np

from calc.errors import InputError, require_within
from calc.sound.ranges import require_physical

GROUND = "0"
"""The node that all voltages are measured from: the amplifier's black terminal."""

LIMITS = {"R": (1e-4, 1e7), "L": (1e-9, 10.0), "C": (1e-13, 1.0), "Rdc": (0.0, 1e5), "ESR": (0.0, 1e5)}
"""Smallest and largest value of a part. [ohm, H, F, ohm, ohm]"""


def _require_part(**values):
    for symbol, value in values.items():
        low, high = LIMITS[symbol]
        value = np.asarray(value, dtype=float)
        if not np.all(np.isfinite(value) & ((value >= 0) if low == 0 else (value > 0))):
            words = "must be zero or a number above it" if low == 0 else "must be a number above zero"
            raise InputError(symbol, words)
        require_within(low, inf, "is too small for any crossover", **{symbol: value.min()})
        require_within(0, high, "is too large for any crossover", **{symbol: value.max()})


def _each(value):
    """A value [any unit] so shaped that it multiplies frequencies: () stays, (k,) becomes (k, 1)."""
    value = np.asarray(value, dtype=float)
    return value[..., None] if value.ndim else value


def _omega(f):
    require_physical(f=f)
    return 2 * pi * np.asarray(f, dtype=float)


@dataclass(frozen=True, eq=False)
class Resistor:
    """`R` [ohm] between two `nodes`."""

    name: str
    nodes: tuple
    R: float

    def __post_init__(self):
        _require_part(R=self.R)

    def impedance(self, f):
        """At f [Hz], shape (m,); shape () or (k, 1) suffices here. [ohm]"""
        return _each(self.R)

    def loss(self, f, Z):
        """The resistance that turns current into heat, for the impedance Z at f. [ohm]"""
        return _each(self.R)

    @property
    def dc(self):
        """What a meter reads across the part alone. [ohm]"""
        return self.R


@dataclass(frozen=True, eq=False)
class Coil:
    """`L` [H] with the resistance `Rdc` [ohm] of its wire in series."""

    name: str
    nodes: tuple
    L: float
    Rdc: float = 0.0

    def __post_init__(self):
        _require_part(L=self.L, Rdc=self.Rdc)

    def impedance(self, f):
        """At f [Hz]; shape (m,) or (k, m). [ohm]"""
        return _each(self.Rdc) + 1j * _each(self.L) * _omega(f)

    def loss(self, f, Z):
        return _each(self.Rdc)

    @property
    def dc(self):
        return self.Rdc


@dataclass(frozen=True, eq=False)
class Capacitor:
    """`C` [F] with the resistance `ESR` [ohm] of its foils and leads in series."""

    name: str
    nodes: tuple
    C: float
    ESR: float = 0.0

    def __post_init__(self):
        _require_part(C=self.C, ESR=self.ESR)

    def impedance(self, f):
        """At f [Hz]; shape (m,) or (k, m). [ohm]"""
        return _each(self.ESR) - 1j / (_each(self.C) * _omega(f))

    def loss(self, f, Z):
        return _each(self.ESR)

    @property
    def dc(self):
        return inf


@dataclass(frozen=True, eq=False)
class DriverPart:
    """A driver; the first of its `nodes` is its plus. `load` is its impedance: see `Sheet` and `Measured`."""

    name: str
    nodes: tuple
    load: object

    def impedance(self, f):
        """At f [Hz]; shape (m,) or (k, m). [ohm]"""
        return self.load.impedance(f)

    def loss(self, f, Z):
        """Re, or all that takes power where Re is not known. [ohm]"""
        return Z.real if self.load.Re is None else _each(self.load.Re)

    @property
    def dc(self):
        if self.load.Re is None:
            raise InputError(f"{self.name}.Re", "is needed: measure it across the driver's tags")
        return self.load.Re


@dataclass(frozen=True, eq=False)
class Sheet:
    r"""The impedance of a driver from its data sheet.

    .. math:: Z = R_e + j \omega L_e + \frac{j \omega L_{e2} R_{e2}}{R_{e2} + j \omega L_{e2}}
                  + \frac{R_e Q_{ms} / Q_{es}}{1 + j Q_{ms} (f/f_s - f_s/f)}

    Parameters
    ----------
    Re : float
        Resistance of the coil. [ohm]
    fs : float
        Resonance where the driver sits: in a closed box that of the box. [Hz]
    Qms, Qes : float
        Mechanical and electrical Q at `fs`. [-]
    Le : float
        [H]
    Le2, Re2 : float or None
        An inductance [H] and a resistance [ohm], parallel to each other and in series with `Le`.

    Notes
    -----
    In free air, on an open baffle or in a closed box. In a vented box take the box's impedance as `Measured`.

    References
    ----------
    R. H. Small, "Direct-Radiator Loudspeaker System Analysis," J. Audio Eng. Soc. 20(5), 1972.
    """

    Re: float
    fs: float
    Qms: float
    Qes: float
    Le: float = 0.0
    Le2: float | None = None
    Re2: float | None = None

    def __post_init__(self):
        require_physical(**vars(self))
        if (self.Le2 is None) != (self.Re2 is None):
            raise InputError("Re2" if self.Re2 is None else "Le2", "is needed beside the other of the pair")

    def impedance(self, f):
        """At f [Hz]; shape (m,) or (k, m). [ohm]"""
        omega, x = _omega(f), np.asarray(f, dtype=float) / _each(self.fs)
        Z = _each(self.Re) + 1j * omega * _each(self.Le)
        if self.Le2 is not None:
            Z = Z + 1 / (1 / _each(self.Re2) - 1j / (omega * _each(self.Le2)))
        peak = _each(self.Re) * _each(self.Qms) / _each(self.Qes)
        return Z + peak / (1 + 1j * _each(self.Qms) * (x - 1 / x))


@dataclass(frozen=True, eq=False)
class Measured:
    """An impedance read off a driver, or computed for a driver in its box.

    Between its points ln Z is a straight line over ln f: exact for whatever follows a power of frequency.

    Parameters
    ----------
    f : array_like, shape (p,)
        In any order, none twice. [Hz]
    Z, Z_phase : array_like, shape (p,)
        Magnitude [ohm] and angle within a quarter turn either way [deg].
    Re : float or None
        What a meter reads across the driver. Without it all power that the driver takes counts as heat. [ohm]
    name : str
        What a refusal calls this measurement.
    """

    f: np.ndarray
    Z: np.ndarray
    Z_phase: np.ndarray
    Re: float | None = None
    name: str = "the driver"

    def __post_init__(self):
        f, Z, phase = (np.asarray(column, dtype=float) for column in (self.f, self.Z, self.Z_phase))
        require_physical(f=f, Re=self.Re)
        if f.ndim != 1 or not f.size:
            raise InputError("f", "needs at least one frequency")
        for field, column in (("Z", Z), ("Z_phase", phase)):
            if column.shape != f.shape:
                raise InputError(field, "needs as many numbers as there are frequencies")
        if not np.all((Z >= 1e-4) & (Z <= 1e7)):
            raise InputError("Z", "must be magnitudes above zero, of a size that a driver can have")
        if not np.all(abs(phase) <= 90):
            raise InputError("Z_phase", "must stay within a quarter turn, or the driver would give power")
        if np.unique(f).size < f.size:
            raise InputError("f", "has a frequency twice")

    def impedance(self, f):
        """At f [Hz], shape (m,); refused at "f" outside of the measured range. [ohm]"""
        ask, order = np.log(_omega(f) / (2 * pi)), np.argsort(self.f)
        ln_f, Z, phase = (np.asarray(column, float)[order] for column in (self.f, self.Z, self.Z_phase))
        if not np.all((np.asarray(f) >= ln_f[0]) & (np.asarray(f) <= ln_f[-1])):
            raise InputError("f", f"must stay within the measured impedance of {self.name}")
        ln_f = np.log(ln_f)
        ln_Z = np.interp(ask, ln_f, np.log(Z)) + 1j * np.interp(ask, ln_f, np.radians(phase))
        return np.exp(ln_Z)


@dataclass(frozen=True, eq=False)
class Network:
    """Parts joined at nodes, fed at `node` against ground; one that exists can be computed.

    Raises
    ------
    InputError
        The first of what `objections` finds.
    """

    parts: tuple
    node: str = "in"

    def __post_init__(self):
        for objection in objections(self.parts, self.node):
            raise objection

    @property
    def drivers(self):
        """Those of the parts that are drivers."""
        return tuple(part for part in self.parts if isinstance(part, DriverPart))


def objections(parts, node):
    """Yield an `InputError` for each thing that keeps parts from being a network fed at `node`.

    Fields are "node", "parts", and "parts.2.nodes" or "parts.2.name" for the third part. A lead that ends
    nowhere is no objection, since no current flows there: `without_current` finds it.
    """
    if not parts:
        yield InputError("parts", "needs at least one part")
        return
    yield from _of_each(parts)
    nodes = {end for part in parts for end in part.nodes}
    if node == GROUND:
        yield InputError("node", "is ground: the source must feed another node")
        return
    if node not in nodes:
        yield InputError("node", "is at no part: the source is left open")
        return
    fed, grounded = _reached(parts, {node}), _reached(parts, {GROUND})
    floating = nodes - fed - grounded
    for i, part in enumerate(parts):
        if lost := sorted(floating.intersection(part.nodes)):
            yield InputError(f"parts.{i}.nodes", f"node {lost[0]} floats: it meets neither source nor ground")
    if GROUND not in fed:
        yield InputError("node", "has no way to ground through the parts: the network is open")
        return
    idle = without_current(parts, node)
    for i, part in enumerate(parts):
        if part.name in idle and isinstance(part, DriverPart) and not floating.intersection(part.nodes):
            yield InputError(f"parts.{i}.nodes", f"{part.name} is on no way from the source to ground")


def _of_each(parts):
    seen = set()
    for i, part in enumerate(parts):
        if part.name in seen:
            yield InputError(f"parts.{i}.name", f"{part.name} is the name of another part too")
        seen.add(part.name)
        if part.nodes[0] == part.nodes[1]:
            yield InputError(f"parts.{i}.nodes", f"{part.name} is shorted: both ends are at {part.nodes[0]}")


def _reached(parts, start, shut=None):
    """All nodes that leads join to those of `start`, never passing through the node `shut`."""
    beside = {}
    for part in parts:
        if shut not in part.nodes:
            for end in part.nodes:
                beside.setdefault(end, set()).update(part.nodes)
    reached, grown = set(), set(start) - {shut}
    while grown:
        reached |= grown
        grown = set().union(*(beside.get(node, ()) for node in grown)) - reached
    return reached


def without_current(parts, node):
    """Names of the parts that no current can flow through, however large it is elsewhere.

    What hangs at a single node and leads on to neither source nor ground carries none: were that node
    taken out, the part would be cut off from both.
    """
    idle = {part.name for part in parts if part.nodes[0] == part.nodes[1]}
    for shut in [None, *{end for part in parts for end in part.nodes}]:
        if shut in (node, GROUND):
            live = _reached(parts, {GROUND if shut == node else node}, shut)
        else:
            live = _reached(parts, {node, GROUND}, shut)
        beyond = {end for part in parts for end in part.nodes} - live - {shut}
        idle |= {part.name for part in parts if beyond.intersection(part.nodes)}
    return idle
