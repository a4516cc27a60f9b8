"""The crossover as it is decided: its parts between joints, what a meter read of it, how each way sounds."""

import dataclasses
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from calc.errors import InputError, require_positive, require_within
from calc.network.netlist import GROUND, Capacitor, Coil, DriverPart, Resistor, objections
from calc.project_board import BoardPlan, BoughtBoard
from calc.project_leads import LeadPlan
from calc.project_listening import Listening
from calc.sound.summation import FARTHEST

SOURCE = "in"
"""The joint of the red terminal; the black one's is calc.network.netlist.GROUND."""

VALUE = {"resistor": "resistance", "coil": "inductance", "capacitor": "capacitance", "driver": "driver"}
"""What each kind of part must give."""


@dataclass(frozen=True)
class NetworkPart:
    """One part from the joint `start` to the joint `end`; a driver's plus is at its start.

    A resistor has its `resistance` [ohm], a coil its `inductance` [H] and the resistance `Rdc` of its wire
    [ohm], a capacitor its `capacitance` [F] and `ESR` [ohm]. A driver is one of the project's; of the one
    that fills the chosen box it stands for the whole group there, unless `alone`: then for one of them, with
    leads of its own whatever their wiring there. What is `fixed` is left alone by a fit. A resistor's
    `rated_power` [W] and a capacitor's `rated_voltage` [V] are what is printed on them; None where unknown.
    """

    kind: Literal["resistor", "coil", "capacitor", "driver"]
    start: str
    end: str
    resistance: float | None = None
    inductance: float | None = None
    capacitance: float | None = None
    Rdc: float = 0.0
    ESR: float = 0.0
    driver: str | None = None
    fixed: bool = False
    alone: bool = False
    rated_power: float | None = None
    rated_voltage: float | None = None

    def __post_init__(self):
        require_positive(rated_power=self.rated_power, rated_voltage=self.rated_voltage)
        wanted = VALUE[self.kind]
        if getattr(self, wanted) is None:
            raise InputError(wanted, f"is needed for a {self.kind}")
        for end in ("start", "end"):
            if not getattr(self, end).strip():
                raise InputError(end, "must be the name of a joint")
        try:
            self.part("part")
        except InputError as error:
            names = {"R": "resistance", "L": "inductance", "C": "capacitance"}
            raise InputError(names.get(error.field, error.field), error.problem) from None

    def part(self, name, load=None):
        """The part as calc.network computes with it; `load` is a driver's impedance."""
        nodes = self.start, self.end
        if self.kind == "resistor":
            return Resistor(name, nodes, self.resistance)
        if self.kind == "coil":
            return Coil(name, nodes, self.inductance, self.Rdc)
        if self.kind == "capacitor":
            return Capacitor(name, nodes, self.capacitance, self.ESR)
        return DriverPart(name, nodes, load)


@dataclass(frozen=True)
class Crossover:
    """Parts by name, fed at `SOURCE`, the board they lie on, and what a meter read across the terminals.

    `reading` [ohm]; None while nothing was read. `reads_open`: it showed no number but an open circuit.
    `nulls`, by the higher driver of two: what exchanging its leads did where the two meet. `kicks`, by
    driver: which way its cone jumped from a battery, plus to plus.
    """

    parts: dict[str, NetworkPart]
    reading: float | None = None
    reads_open: bool = False
    nulls: dict[str, Literal["quieter", "louder"] | None] = dataclasses.field(default_factory=dict)
    kicks: dict[str, Literal["out", "in"] | None] = dataclasses.field(default_factory=dict)
    board: BoardPlan | None = None
    bought: BoughtBoard | None = None
    leads: LeadPlan = dataclasses.field(default_factory=LeadPlan)
    listening: Listening = dataclasses.field(default_factory=Listening)

    def __post_init__(self):
        if self.reading is not None and not 0 <= self.reading <= 1e7:
            raise InputError("reading", "must be zero or a number of ohms that a meter shows")
        names = list(self.parts)
        for objection in objections(tuple(each.part(name) for name, each in self.parts.items()), SOURCE):
            _, number, *_ = (*objection.field.split("."), None)
            at = f"parts.{names[int(number)]}.start" if number is not None else "parts"
            raise InputError(at, objection.problem)
        if not any(each.kind == "driver" for each in self.parts.values()):
            raise InputError("parts", "needs a driver")
        for name, each in self.board.parts.items() if self.board else ():
            if each.turn == "flat" and name in self.parts and self.parts[name].kind != "coil":
                raise InputError(
                    f"board.parts.{name}.turn", "must be level or upright: only a coil lies flat"
                )


@dataclass(frozen=True)
class Target:
    """Where the sound should go: ways parted at `f` [Hz] with a `slope`, flat from `f1` to `f2` [Hz].

    Three ways part at `f_upper` [Hz], too. `least` [ohm] is how low the load may fall; None: the least that
    the drivers' nominal impedance allows.
    """

    slope: Literal[
        "butterworth 1", "butterworth 2", "butterworth 3", "butterworth 4", "linkwitz-riley 2",
        "linkwitz-riley 4", "bessel 2", "bessel 3", "bessel 4",
    ] = "linkwitz-riley 4"  # fmt: skip
    f: float = 2500.0
    f_upper: float | None = None
    f1: float = 200.0
    f2: float = 10000.0
    least: float | None = None

    def __post_init__(self):
        heard = "must be a frequency that is heard, 20 to 20000 Hz"
        require_within(20, 20e3, heard, f=self.f, f_upper=self.f_upper, f1=self.f1, f2=self.f2)
        require_within(1, 100, "must be an impedance of loudspeakers, 1 to 100 ohms", least=self.least)
        if self.f1 * 2 > self.f:
            raise InputError("f1", "must lie an octave at least below where the ways part")
        if self.f2 < 2 * (self.f_upper or self.f):
            raise InputError("f2", "must lie an octave at least above where the ways part")
        if self.f_upper is not None and self.f_upper <= self.f:
            raise InputError("f_upper", "must lie above where the lower two ways part")


@dataclass(frozen=True)
class Tolerance:
    """How far off the value that is printed on it a part of each kind may be, over that value [0..0.5].

    The usual ones are common practice, no source.
    """

    resistor: float = 0.05
    coil: float = 0.05
    capacitor: float = 0.05

    def __post_init__(self):
        words = "must be a tolerance from 0 to 50 percent"
        require_within(0, 0.5, words, resistor=self.resistor, coil=self.coil, capacitor=self.capacitor)


@dataclass(frozen=True)
class Stock:
    """A part that the shop owns: a coil's `value` is in H with the resistance `Rdc` [ohm] of its wire.

    A capacitor's is in F, a resistor's in ohm. `price` is of one, in whatever money.
    """

    kind: Literal["resistor", "coil", "capacitor"]
    value: float
    Rdc: float = 0.0
    price: float | None = None

    def __post_init__(self):
        NetworkPart(self.kind, "in", "0", Rdc=self.Rdc, **{VALUE[self.kind]: self.value})
        require_within(0, 1e6, "must be a price", price=self.price)


MOST_ROWS = 1000
"""As many rows as a curve may have."""


@dataclass(frozen=True)
class Curve:
    """What a microphone heard of one driver in its box, at 2.83 V and 1 m as of all the others.

    `level` [dB] and, unless it is None, `phase` [deg] at f [Hz]. `name` tells where it is from.
    """

    f: list[float]
    level: list[float]
    phase: list[float] | None = None
    name: str = ""

    def __post_init__(self):
        if not 8 <= len(self.f) <= MOST_ROWS:
            raise InputError("f", f"must have from 8 to {MOST_ROWS} rows")
        if any(later <= one for one, later in pairwise(self.f)):
            raise InputError("f", "must rise from row to row")
        require_within(1, 2e5, "must be frequencies of sound, 1 to 200000 Hz", f=self.f[0])
        require_within(1, 2e5, "must be frequencies of sound, 1 to 200000 Hz", f=self.f[-1])
        columns = (("level", self.level, 300), ("phase", self.phase, 1e6))
        for field, column, most in columns:
            if column is not None and len(column) != len(self.f):
                raise InputError(field, "needs as many numbers as there are frequencies")
            if column is not None and not all(abs(value) <= most for value in column):
                raise InputError(field, "has a number beyond all reason")


@dataclass(frozen=True)
class Way:
    """How one driver sounds on its own: its measured `curve`, and its `offset` [m].

    That is how far behind the front its acoustic centre lies; below zero before it. None: at the front.
    """

    curve: Curve | None = None
    offset: float | None = None

    def __post_init__(self):
        words = "must be how far behind the front the sound comes from"
        require_within(-FARTHEST, FARTHEST, words, offset=self.offset)


def added(parts, beside, kind, how):
    """Parts of the document with one more: in series "before" or "after" the part `beside`, or "across" it.

    Values are ordinary ones, to be changed. A part stays on a way from source to ground, so that what was a
    network is one still.

    Raises
    ------
    InputError
        At "parts", of what is no part, kind or way to add one.
    """
    if beside not in parts or kind not in USUAL or how not in ("before", "after", "across"):
        raise InputError("parts", "has no such part to add to")
    name = _free(LETTERS[kind], parts)
    one = parts[beside]
    if how == "across":
        return {**parts, name: {"kind": kind, "start": one["start"], "end": one["end"], **USUAL[kind]}}
    joints = {joint for each in parts.values() for joint in (each["start"], each["end"])}
    joint = _free("n", joints)
    if how == "after":
        new = {"kind": kind, "start": joint, "end": one["end"], **USUAL[kind]}
        return {**parts, beside: {**one, "end": joint}, name: new}
    new = {"kind": kind, "start": one["start"], "end": joint, **USUAL[kind]}
    return {**parts, beside: {**one, "start": joint}, name: new}


def removed(parts, name):
    """Parts of the document without one; where that would leave an end loose, its two ends become one joint.

    Raises
    ------
    InputError
        At "parts" if there is none of that name.
    """
    if name not in parts:
        raise InputError("parts", "has no such part to take out")
    rest = {key: each for key, each in parts.items() if key != name}
    if not _loose(rest):
        return rest
    keep, lose = parts[name]["start"], parts[name]["end"]
    if lose in (SOURCE, GROUND):
        keep, lose = lose, keep
    return {
        key: {**each, **{end: keep for end in ("start", "end") if each[end] == lose}}
        for key, each in rest.items()
    }


def without_driver(parts, driver):
    """Parts of the document without those of one driver, and without the way that led to it alone."""
    parts = dict(parts)
    for name in [name for name, each in parts.items() if each.get("driver") == driver]:
        way = _way(parts, name)
        if any(parts[other].get("driver") not in (None, driver) for other in way):
            parts = removed(parts, name)
        else:
            parts = {key: each for key, each in parts.items() if key not in way}
    return parts


def _way(parts, name):
    """Names of the parts that hang together with one by joints other than the two terminals."""
    way, joints = {name}, set()
    while True:
        joints |= {parts[each][end] for each in way for end in ("start", "end")} - {SOURCE, GROUND}
        more = {key for key, each in parts.items() if {each["start"], each["end"]} & joints}
        if more <= way:
            return way
        way |= more


def _loose(parts):
    """Whether parts of the document are no network, or one with an end that leads nowhere."""
    made = tuple(NetworkPart(**each).part(name) for name, each in parts.items())
    ends = [end for part in made for end in part.nodes]
    if any(ends.count(end) == 1 for end in ends if end not in (SOURCE, GROUND)):
        return True
    return any(True for _ in objections(made, SOURCE))


def _free(letter, taken):
    return next(f"{letter}{i}" for i in range(1, len(taken) + 2) if f"{letter}{i}" not in taken)


LETTERS = {"resistor": "R", "coil": "L", "capacitor": "C"}

USUAL = {
    "resistor": {"resistance": 4.7},
    "coil": {"inductance": 1e-3, "Rdc": 0.3},
    "capacitor": {"capacitance": 10e-6},
}
"""Values that a part begins with: ordinary ones of the trade (common practice, no source)."""
