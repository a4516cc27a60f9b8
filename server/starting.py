"""What the page Crossover offers to begin with, in words: textbook filters and small networks."""

from dataclasses import dataclass
from math import log10

from calc.errors import InputError
from calc.evaluate_network import in_box
from calc.evaluate_starts import is_pair
from calc.network.textbook import step_of_a_sphere
from calc.project_network import VALUE
from server import units

CORNER = 2500.0
"""Where two drivers are parted at first: a usual place for a woofer and a dome (common practice, no source).
[Hz]"""

STARTS = {
    "butterworth 1": "Butterworth, 1st order",
    "butterworth 2": "Butterworth, 2nd",
    "butterworth 3": "Butterworth, 3rd",
    "butterworth 4": "Butterworth, 4th",
    "linkwitz-riley 2": "Linkwitz-Riley, 2nd",
    "linkwitz-riley 4": "Linkwitz-Riley, 4th",
    "bessel 1": "Bessel, 1st",
    "bessel 2": "Bessel, 2nd",
    "bessel 3": "Bessel, 3rd",
    "bessel 4": "Bessel, 4th",
}
"""Textbook filters to begin with: what the button sends, and what it says."""


LOWER = 400.0
"""Where a midrange takes over at first, or a second woofer leaves off (common practice, no source). [Hz]"""

WAYS = {
    "two": "Two",
    "two and a half": "Two and a half: one of two woofers for the bass alone",
    "three": "Three",
}
"""Into how many ways a textbook filter parts the music: what is sent, and what the page says."""


def ways_of(project):
    """The `WAYS` that a project has the drivers for."""
    lacking = set() if is_pair(project) else {"two and a half"}
    if not any(each.kind == "midrange" and not in_box(project, key) for key, each in project.drivers.items()):
        lacking.add("three")
    return {ways: words for ways, words in WAYS.items() if ways not in lacking}


def corners(typed, ways):
    """The frequencies that were typed for so many ways, the usual where nothing was. [Hz]

    Raises
    ------
    InputError
        At "corner" or "lower".
    """
    found = {}
    for name, usual, least in (("lower", LOWER, 50), ("corner", CORNER, 100)):
        if name == "lower" and ways == "two":
            continue
        try:
            found[name] = usual if typed.get(name) is None else units.read(typed[name], "frequency")
        except units.Unreadable as refusal:
            raise InputError(name, refusal.sentence) from None
        if not least <= found[name] <= 15e3:
            raise InputError(name, f"must be where two drivers part, {least} to 15000 Hz")
    if found.get("lower", 0) >= found["corner"]:
        raise InputError("lower", "must lie below the frequency of the tweeter")
    return list(found.values())


@dataclass(frozen=True)
class Small:
    """A small network: its name, what it is for, and what it asks, {name: (label, quantity, usual value)}."""

    name: str
    purpose: str
    asks: dict


SMALL = {
    "pad": Small(
        "Softer: an L-pad",
        "Two resistors make a driver softer by the same at all frequencies, and the filter before them meets"
        " the same load as ever. Tweeters are mostly louder than woofers.",
        {"A": ("Softer by", "level", 3.0)},
    ),
    "zobel": Small(
        "Impedance compensation",
        "A resistor and a capacitor across the driver cancel the rise of its coil towards high notes (a Zobel"
        " network), so that the filter before it does what the textbook says. Mostly for woofers.",
        {},
    ),
    "notch": Small(
        "Notch for the resonance",
        "A resistor, a coil and a capacitor in a row across the driver flatten the peak of its impedance at"
        " fs, so that a filter close above it keeps its slope. For tweeters and midranges outside the box.",
        {},
    ),
    "trap": Small(
        "Trap for a hump",
        "A resistor, a coil and a capacitor side by side before the driver take a hump out of its sound:"
        " deepest in the middle, half of it at the two ends.",
        {
            "A": ("Takes off", "level", 3.0),
            "f1": ("half of it at", "frequency", 1000.0),
            "f2": ("and at", "frequency", 2000.0),
        },
    ),
    "step": Small(
        "Network for the baffle step",
        "Below some frequency the front is too small to send the bass forward, so that it sounds thin. A coil"
        " and a resistor side by side before the woofer take as much off all that lies above.",
        {"A": ("Takes off", "level", 4.0), "fm": ("half of it at", "frequency", 450.0)},
    ),
    "guard": Small(
        "Capacitor that protects a tweeter",
        "A large capacitor before the tweeter keeps low notes from it when a lead goes to the wrong terminal,"
        " or the amplifier clicks. It matters most where a tweeter is played without its filter.",
        {"A": ("Takes off", "level", 12.0), "f": ("at", "frequency", 200.0)},
    ),
}
"""Small networks by their kind in `calc.small_networks`; usual values are common practice, no source."""


@dataclass(frozen=True)
class Turned:
    """The slider of a value: steps of the E24 series, 24 to a decade and 0 at one of the unit shown."""

    least: int
    most: int
    now: int


SLIDERS = {"resistor": (-24, 48, 1.0), "coil": (-48, 24, 1e-3), "capacitor": (-24, 60, 1e-6)}
"""First and last step of the slider of each kind of part, and the unit in which it is shown [ohm, H, F]."""


def turned(part):
    """The slider of a part of the project's network; None of a driver."""
    if part.kind == "driver":
        return None
    least, most, unit = SLIDERS[part.kind]
    step = round(24 * log10(getattr(part, VALUE[part.kind]) / unit))
    return Turned(least, most, min(max(step, least), most))


ASIDE = (
    "corner",
    "lower",
    "ways",
    *(f"{kind}.{name}" for kind, small in SMALL.items() for name in small.asks),
)
"""Names of the fields that only the buttons read."""


def asked(kind, typed):
    """What was typed for a small network, in SI; the usual where nothing was.

    Raises
    ------
    InputError
        At the field, such as "pad.A".
    """
    found = {}
    for name, (_, quantity, usual) in SMALL[kind].asks.items():
        text = typed.get(f"{kind}.{name}")
        try:
            found[name] = usual if text is None else units.read(text, quantity)
        except units.Unreadable as refusal:
            raise InputError(f"{kind}.{name}", refusal.sentence) from None
    return found


def usual_texts(project, result):
    """What stands in the fields of all small networks at first: {"pad.A": "3"}."""
    texts = {
        f"{kind}.{name}": units.write(usual, quantity, project.show)
        for kind, small in SMALL.items()
        for name, (_, quantity, usual) in small.asks.items()
    }
    step = step_of_a_sphere(result.cabinet.carcass.outer[0], result.air.c)
    return texts | {"step.fm": units.write(round(step), "frequency", project.show)}
