"""What the numbers of a box come to in plain words.

Sentences are handed on with their numbers still in SI units (`Said`): the page puts in its own units.
"""

from dataclasses import dataclass
from math import isfinite, log2, log10

import numpy as np

from calc.errors import InputError
from calc.sound.notes import HIGHEST, LOWEST, everyday, nearest_note
from calc.sound.time_domain import character, room_tenth

BASS = (20.0, 200.0)
"""What is compared [Hz]: below, hardly any music; above, the crossover and the baffle have their say."""

LOUD_AT = 50.0
"""Where loudness is told, or at the lowest note if that is higher. [Hz]"""


@dataclass(frozen=True)
class Said:
    """One thing said: what it is `about`, the sentence, and {name in it: (quantity, SI value)}.

    `words` has each name in braces, as `str.format` reads it; the quantity "" is text as it stands.
    """

    about: str
    words: str
    values: dict


@dataclass(frozen=True, kw_only=True)
class PortNeed:
    """`count` equal ports of a box, `length` [m] long; whether they fit, and whether their ends are clear."""

    count: int
    length: float
    fits: bool
    breathes: bool


@dataclass(frozen=True, kw_only=True)
class Numbers:
    """What a verdict is made from; None is not known, or not there.

    key, kind : its letter; "closed", "vented", "passive_radiator" or "band_pass"
    Vb : net air [m³]; of a band-pass also Vr and Vf
    f, level : where and how loud it plays, over its middle level [Hz], [dB], (m,)
    reference : middle level at 1 m for 2.83 V [dB]
    f3, upper : 3 dB down at the lower end, and of a band-pass at the upper one [Hz]
    limit, by : largest clean level at 1 m [dB] and what stops it, both over f; None if nothing is known
    unknown : names of the limits that cannot be told
    speakers : how many are built
    settled : from when a step stays below a tenth [s]; None if that cannot be told
    delay : largest group delay of the bass [s]
    speed : peak air speed in the ports at the stated power [m/s]
    ports : of `PortNeed`
    radiators, added : how many passive radiators, and what is screwed to each [kg]
    """

    key: str
    kind: str
    Vb: float
    f: np.ndarray
    level: np.ndarray
    reference: float
    f3: float | None
    upper: float | None = None
    limit: np.ndarray | None = None
    by: np.ndarray | None = None
    unknown: tuple = ()
    speakers: int = 1
    settled: float | None
    delay: float
    speed: float | None = None
    ports: tuple = ()
    radiators: int = 0
    added: float | None = None
    Vr: float | None = None
    Vf: float | None = None

    @property
    def peak(self):
        """How far the bass rises above the middle level [dB]; not below 0."""
        bass = (self.f >= BASS[0]) & (self.f <= BASS[1])
        return max(float(np.max(self.level[bass], initial=0.0)), 0.0)

    @property
    def loud_at(self):
        """Where its loudness is told, no higher than it was reckoned. [Hz]"""
        at = max(LOUD_AT, self.f3 or 0.0)
        return min(at, self.upper or at, float(self.f[-1]))

    def loudest(self, f):
        """Largest clean level at f [Hz], one speaker [dB]; None if no limit is known, else maybe infinite."""
        return None if self.limit is None else float(np.interp(f, self.f, self.limit))

    def stopped_by(self, f):
        """What stops it at f [Hz]; None if no limit is known."""
        return None if self.by is None else str(self.by[int(np.argmin(abs(np.log(self.f / f))))])


def verdict(box):
    """What is to be known of one box, a tuple of `Said`: reach, loudness, stop, cabinet, bass.

    Parameters
    ----------
    box : Numbers
    """
    if box.kind not in _ASKS:
        raise InputError("kind", "must be a kind of box that is known here")
    return (_reach(box), *_loudness(box), _cabinet(box), _bass(box))


def _reach(box):
    if box.f3 is None:
        return Said("reach", "It never comes within 3 dB of its middle level, so no lowest note is told.", {})
    values = {"f3": ("frequency", box.f3)}
    if box.kind == "band_pass":
        if box.upper is None:
            return Said("reach", "It carries from {f3} up.", values)
        octaves = log2(box.upper / box.f3)
        return Said(
            "reach",
            "It carries {f3} to {upper}, {octaves} octaves; all else is left to other speakers.",
            {**values, "upper": ("frequency", box.upper), "octaves": ("number", octaves)},
        )
    if not LOWEST <= box.f3 <= HIGHEST:
        return Said("reach", "Its lowest note is {f3}, before it has lost 3 dB.", values)
    return Said(
        "reach",
        "Its lowest note is {f3}, about {note}, {known}; there it has lost 3 dB.",
        {**values, "note": ("", nearest_note(box.f3).name), "known": ("", everyday(box.f3))},
    )


STOPS = {
    "travel": "Cone travel stops it first.",
    "power": "The heat that its coil bears stops it first.",
    "port": "The air in its port stops it first.",
    "amplifier": "The amplifier stops it first.",
    "radiator": "The travel of its passive radiators stops it first.",
}
"""What stops a box, by the names of `calc.sound.limits`."""

SILENT = {
    "travel": "its Xmax",
    "power": "the power it bears",
    "radiator": "the Xmax of its passive radiators",
}
"""What a sheet may leave out, and how it is called."""


def _loudness(box):
    at = box.loud_at
    loud = box.loudest(at)
    if loud is None:
        yield Said("loud", "How loud it may play is unknown until the sheet gives Xmax or Pe.", {})
        return
    values = {"at": ("frequency", at)}
    if not isfinite(loud):
        yield Said("loud", "At {at} nothing that is known stops it.", values)
        return
    values["loud"] = ("level", loud)
    words = "At {at} one stays clean to {loud} at 1 m"
    if box.speakers > 1:
        together = "two together" if box.speakers == 2 else f"{box.speakers} together"
        words += f", {together} to {{all}} where they play the same bass"
        values["all"] = ("level", loud + 20 * log10(box.speakers))
    yield Said("loud", words + ".", values)
    missing = [words for name, words in SILENT.items() if name in box.unknown]
    doubt = f" The sheet is silent on {' and '.join(missing)}, so it may be less." if missing else ""
    yield Said("stop", STOPS[box.stopped_by(at)] + doubt, {})


def _cabinet(box):
    words, values = _ASKS[box.kind](box)
    return Said("cabinet", f"It asks for {words}.", values)


def _asks_closed(box):
    return "{Vb} of air and no opening but the driver's", {"Vb": ("volume", box.Vb)}


def _asks_vented(box):
    words, values = _ports_asked(box.ports)
    return f"{{Vb}} of air and {words}", {"Vb": ("volume", box.Vb), **values}


def _asks_radiators(box):
    many = "one passive radiator" if box.radiators == 1 else f"{box.radiators} passive radiators"
    each = "it" if box.radiators == 1 else "each"
    values = {"Vb": ("volume", box.Vb), "added": ("moving mass", box.added)}
    return f"{{Vb}} of air and {many} with {{added}} screwed to {each}", values


def _asks_band_pass(box):
    words, values = _ports_asked(box.ports)
    return (
        f"{{Vr}} behind the cone and {{Vf}} before it, a tight wall between them, and {words}",
        {"Vr": ("volume", box.Vr), "Vf": ("volume", box.Vf), **values},
    )


_ASKS = {
    "closed": _asks_closed,
    "vented": _asks_vented,
    "passive_radiator": _asks_radiators,
    "band_pass": _asks_band_pass,
}


def _ports_asked(ports):
    """Words for the ports of a box, how long they are and whether they find room, and the numbers in them."""
    said = [
        f"a port {{length{n}}} long" if each.count == 1 else f"{each.count} ports {{length{n}}} long"
        for n, each in enumerate(ports)
    ]
    values = {f"length{n}": ("length", each.length) for n, each in enumerate(ports)}
    alone = len(ports) == 1 and ports[0].count == 1
    if not all(each.fits for each in ports):
        fit = ", too long to lie straight in the cabinet as drawn"
    elif not all(each.breathes for each in ports):
        fit = f", whose inner {'end comes' if alone else 'ends come'} too near the far panel"
    else:
        fit = f", which {'has' if alone else 'have'} room in the cabinet as drawn"
    return " and ".join(said) + fit, values


BASS_WORDS = {
    "held": "Its bass is tight enough: after {settled} the swing of a sudden push is down to a tenth, "
    "where a furnished room takes some {room}.",
    "full": "Its bass is a little full, {peak} above the middle; the swing of a sudden push, {settled} down "
    "to a tenth, is covered by a furnished room's {room}.",
    "swells": "Its bass swells {peak} above the middle: that is heard as boomy before any ringing is.",
    "rings": "It rings: the swing of a sudden push takes {settled} down to a tenth, longer than a furnished "
    "room's {room}.",
}
"""Of each `calc.sound.time_domain.character`."""


UNTOLD_BASS = (
    "What it does with a sudden push cannot be told: it never comes to rest, or resonates far above the bass."
)


def _bass(box):
    values = {"room": ("time", room_tenth()), "peak": ("level", box.peak)}
    if box.settled is None:
        return Said("bass", UNTOLD_BASS, {})
    values["settled"] = ("time", box.settled)
    words = BASS_WORDS[character(box.settled, box.peak)]
    return Said("bass", words, {name: value for name, value in values.items() if f"{{{name}}}" in words})
