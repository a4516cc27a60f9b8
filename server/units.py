"""What people type and read <-> SI: the one place that knows workshop units.

`QUANTITIES` says in which unit each kind of number is shown; `ROWS` says which kind stands at a place of
the project document, found by the last names of its path. Reading is exact (fractions) until the last step,
takes any unit of the right kind, and refuses what could be read in two ways: it never guesses.
"""

import re
import unicodedata
from dataclasses import dataclass, fields, is_dataclass
from fractions import Fraction
from functools import cache, lru_cache
from math import ceil, floor, isfinite, log10
from types import NoneType, UnionType
from typing import Literal, Union, get_args, get_origin, get_type_hints

from calc.errors import InputError
from calc.project import Project
from calc.shop.fractions import INCH, fraction_words
from calc.shop.screws import gauge_diameter
from server.documents import at


class Unreadable(ValueError):
    """Text that is no value of the kind wanted; `sentence` says why, for the field's note."""

    def __init__(self, sentence):
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True)
class Quantity:
    """A kind of number: what it is called, its unit on metric and imperial pages, and how many decimals.

    `dimension` is the family of units that can be read. Decimals are (wanted, always shown); small sizes
    get more, so that three figures remain. "fraction" shows inches as a fraction.
    """

    words: str
    dimension: str
    metric: str
    imperial: str
    decimals: tuple[int, int]
    imperial_decimals: tuple[int, int] | Literal["fraction"] = (2, 0)
    signed: bool = False

    def unit(self, show):
        return self.imperial if show == "imperial" else self.metric


QUANTITIES = {
    "length": Quantity("a length", "length", "mm", "in", (1, 0), "fraction"),
    "fine length": Quantity("a length", "length", "mm", "in", (2, 0), (3, 0)),
    "offset": Quantity("a length", "length", "mm", "in", (1, 0), "fraction", signed=True),
    "fine offset": Quantity("a length", "length", "mm", "in", (2, 0), (3, 0), signed=True),
    "travel": Quantity("a length", "length", "mm", "mm", (1, 0), (1, 0)),
    "screw": Quantity("a length", "length", "mm", "in", (2, 0), (3, 0)),
    "distance": Quantity("a length", "length", "m", "ft", (2, 0), (1, 0)),
    "area": Quantity("an area", "area", "cm²", "cm²", (1, 0), (1, 0)),
    "joint area": Quantity("an area", "area", "cm²", "in²", (1, 0), (1, 0)),
    "sheet area": Quantity("an area", "area", "m²", "ft²", (2, 0), (1, 0)),
    "volume": Quantity("a volume", "volume", "litre", "ft³", (1, 1), (3, 0)),
    "mass": Quantity("a weight", "mass", "kg", "lb", (2, 0), (1, 0)),
    "moving mass": Quantity("a weight", "mass", "g", "g", (1, 0), (1, 0)),
    "frequency": Quantity("a frequency", "frequency", "Hz", "Hz", (1, 0), (1, 0)),
    "resistance": Quantity("a resistance", "resistance", "Ω", "Ω", (2, 0), (2, 0)),
    "inductance": Quantity("an inductance", "inductance", "mH", "mH", (2, 0), (2, 0)),
    "capacitance": Quantity("a capacitance", "capacitance", "µF", "µF", (1, 0), (1, 0)),
    "compliance": Quantity("a compliance", "compliance", "mm/N", "mm/N", (2, 0), (2, 0)),
    "force factor": Quantity("a force factor", "force factor", "T m", "T m", (1, 0), (1, 0)),
    "damping": Quantity("a mechanical resistance", "damping", "N s/m", "N s/m", (2, 0), (2, 0)),
    "force": Quantity("a force", "force", "N", "lbf", (0, 0), (0, 0)),
    "clamp force": Quantity("a force", "force", "kN", "lbf", (1, 0), (0, 0)),
    "power": Quantity("a power", "power", "W", "W", (0, 0), (0, 0)),
    "room volume": Quantity("a volume", "volume", "m³", "ft³", (1, 0), (0, 0)),
    "reverberation": Quantity("a time", "time", "s", "s", (2, 0), (2, 0)),
    "minutes": Quantity("a time", "time", "min", "min", (1, 0), (1, 0)),
    "voltage": Quantity("a voltage", "voltage", "V", "V", (2, 0), (2, 0)),
    "temperature": Quantity("a temperature", "temperature", "°C", "°F", (1, 0), (1, 0), signed=True),
    "pressure": Quantity("an air pressure", "pressure", "hPa", "inHg", (0, 0), (2, 0)),
    "clamp pressure": Quantity("a pressure", "pressure", "MPa", "psi", (2, 0), (0, 0)),
    "warming": Quantity("a temperature difference", "warming", "K", "K", (0, 0), (0, 0)),
    "share": Quantity("a percentage", "ratio", "%", "%", (1, 0), (1, 0)),
    "stiffness": Quantity("a stiffness", "stiffness", "GPa", "GPa", (2, 0), (2, 0)),
    "density": Quantity("a density", "density", "kg/m³", "lb/ft³", (0, 0), (1, 0)),
    "speed": Quantity("a speed", "speed", "m/s", "m/s", (1, 1), (1, 1)),
    "time": Quantity("a time", "time", "ms", "ms", (1, 0), (1, 0)),
    "level": Quantity("a level", "level", "dB", "dB", (1, 0), (1, 0), signed=True),
    "angle": Quantity("an angle", "angle", "°", "°", (1, 0), (1, 0), signed=True),
    "number": Quantity("a plain number", "number", "", "", (2, 0), (2, 0), signed=True),
    "price": Quantity("a price", "number", "", "", (2, 2), (2, 2)),
    "count": Quantity("a whole number", "number", "", "", (0, 0), (0, 0)),
}

THOU = 4
"""Decimals of an inch at most: a tenth of a thousandth, finer than any calliper of a shop reads."""

ROWS = {
    "cabinet.finish": "fine length",
    "driver.mass": "mass",
    "prices.*": "price",
    "spread.*": "share",
    "doubt.*": "share",
    "tolerance.*": "share",
    "shape.width": "length",
    "bits.*": "fine length",
    "chippers.*": "fine length",
    "shims.*": "fine length",
    "scrap.*": "fine length",
    "listening.level": "level",
    "listening.headroom": "level",
    "listening.distance": "distance",
    "listening.gain": "level",
    "listening.hours": "number",
    "listening.room": "room volume",
    "listening.reverberation": "reverberation",
    "workshop.open_time": "minutes",
    "workshop.pace": "minutes",
} | {
    name: quantity
    for quantity, names in {
        "length": "width height depth length x y at flange cutout magnet screw_circle diameter flare "
        "also_at bridge size bar outline rim across corner slack reach rail most_length "
        "most_width screw_length",
        "screw": "screw",
        "offset": "setback inset off_x off_y off offset",
        "distance": "cable",
        "fine length": "thickness nominal kerf trim pass_depth flange_clearance web gasket flange_thickness "
        "wall radius finish leak_gap least_wood depth_far soft play cloth lead recess outer_blade over",
        "fine offset": "wider",
        "travel": "Xmax",
        "area": "Sd Sp",
        "volume": "Vas Vb Vr Vf Vap volume encloses",
        "mass": "mass weighed",
        "moving mass": "Mms Mmp added",
        "frequency": "fs fb fp fr f f1 f2 f_upper",
        "resistance": "Re Re2 Rs Z Z1 Z2 resistance Rdc ESR reading least",
        "inductance": "Le Le2 inductance",
        "compliance": "Cms",
        "force factor": "Bl",
        "damping": "Rms",
        "power": "P Pe rated_power",
        "voltage": "V amplifier rated_voltage",
        "capacitance": "capacitor capacitance",
        "temperature": "T sheet_T",
        "pressure": "p sheet_p",
        "share": "humidity share dry made damp",
        "warming": "rise rated_rise",
        "density": "density",
        "level": "sensitivity subsonic",
        "angle": "slope angle turn",
        "stiffness": "E E_across soft_G",
        "number": "Qms Qes Qts Qmp QL QA QP filling crest K n loss soft_loss",
        "count": "count screws speakers fraction format order bends chambers",
    }.items()
    for name in names.split()
}
"""Last name of a path, or its last two where one does not tell, -> quantity."""


def quantity_of(path):
    """Return the name of the quantity at a dotted path, or None where text or a choice stands."""
    names = path.split(".")
    for row in (".".join(names[-2:]), ".".join((*names[-2:-1], "*")), names[-1]):
        if row in ROWS:
            return ROWS[row]
    return None


def unit(quantity, show="metric"):
    """Return the sign of the unit in which a quantity is shown."""
    return QUANTITIES[quantity].unit(show)


def in_unit(value, quantity, show="metric"):
    """Return an SI value as a float in the unit in which its quantity is shown."""
    wanted = QUANTITIES[quantity]
    factor, offset = _factor(wanted.dimension, wanted.unit(show))
    return float(Fraction(value) / factor - offset)


def write(value, quantity, show="metric", fraction=64):
    """Return an SI value as it stands in its field, without its unit; None is the empty field."""
    if value is None:
        return ""
    wanted = QUANTITIES[quantity]
    factor, offset = _factor(wanted.dimension, wanted.unit(show))
    exact = Fraction(value) / factor - offset
    decimals = wanted.imperial_decimals if show == "imperial" else wanted.decimals
    if decimals == "fraction":
        return fraction_words(value, fraction)
    # A level near 0 dB needs no more figures.
    grows = not wanted.signed or wanted.dimension in ("number", "length")
    most = THOU if show == "imperial" and wanted.dimension == "length" else decimals[0] + 4
    return _decimal(exact, *decimals, most if grows else decimals[0])


def with_unit(value, quantity, show="metric", fraction=64):
    """Return an SI value with its unit, ready for a sentence; a dash for None."""
    if value is None:
        return "–"
    sign = unit(quantity, show)
    gap = "" if sign in ("", "°") else "\N{NO-BREAK SPACE}"
    return f"{write(value, quantity, show, fraction)}{gap}{sign}"


def rule_size(value, document):
    """Return a size that a button writes [m] as a rule of the document's system shows it.

    Where inches are measured it is the nearest 1/8 in, and never none; millimetres are kept as they come.
    """
    if document.get("show") != "imperial" or not value:
        return value
    return max(1, floor(value / INCH * 8 + 0.5)) / 8 * INCH


def about(value, show="metric"):
    """Return a length that practice sets, not the project, with its unit.

    In inches, up to the next whole one, "about" said; below one inch to the nearest 1/16.
    """
    if show != "imperial":
        return with_unit(value, "length", show)
    if value < INCH:
        return with_unit(value, "length", show, 16)
    return f"about {ceil(value / INCH - 1e-9)}\N{NO-BREAK SPACE}in"


def also(value, quantity, show="metric", fraction=64):
    """Return the value in the other system, for the small line under a field; empty where it is the same."""
    other = "metric" if show == "imperial" else "imperial"
    if value is None or unit(quantity, other) == unit(quantity, show):
        return ""
    return with_unit(value, quantity, other, fraction)


def shown(document, path):
    """Return what stands in the field of `path`: the text that `edits` takes as untouched."""
    value = at(document, path)
    if isinstance(value, bool):
        return "yes" if value else ""
    quantity = quantity_of(path)
    if isinstance(value, list):
        return f"{len(value)} numbers"
    if quantity is None or isinstance(value, str):
        return "" if value is None else str(value)
    return write(value, quantity, *_system(document))


def edits(document, typed):
    """Turn the typed texts of a form into changes of the document.

    Parameters
    ----------
    document : dict
        The project as it was when the page was shown.
    typed : dict
        Dotted path -> text.

    Returns
    -------
    edits : dict
        Dotted path -> SI value, for `documents.amend`: only what differs from what was shown, so that
        the rounding of a shown number never creeps into the document.
    errors : dict
        Dotted path -> sentence, for each text that cannot be used.
    """
    changed, errors = {}, {}
    for path, text in typed.items():
        text = text.replace("\r\n", "\n").strip()
        if text == shown(document, path).strip() and (text or at(document, path) in (None, "", False)):
            continue
        try:
            changed[path] = _value(text, path, document)
        except Unreadable as refusal:
            errors[path] = refusal.sentence
    return changed, errors


def read(text, quantity, show="metric"):
    """Return the SI value of what somebody typed, or raise `Unreadable`."""
    wanted = QUANTITIES[quantity]
    if len(text) > 60:
        raise Unreadable("is too long for a number")
    tidy = _tidied(text)
    if not tidy:
        raise Unreadable("is needed")
    value = _gauge(tidy) if quantity == "screw" else None
    if value is None:
        value = _compound(tidy, wanted)
    if value is None:
        value = _code(tidy, wanted)
    if value is None:
        value = _single(tidy, wanted, wanted.unit(show))
    if value < 0 and not wanted.signed:
        raise Unreadable("cannot be less than zero")
    if quantity == "count":
        if value.denominator != 1:
            raise Unreadable("must be a whole number")
        return int(value)
    return float(value)


# ---- the units that can be read: spelling -> factor to SI, offset added before it is multiplied

_IN = Fraction(254, 10000)
_LB = Fraction(45359237, 100000000)
_MILLE = Fraction(1, 1000)

_UNITS = {
    "length": {
        "mm millimetre millimetres millimeter millimeters": _MILLE,
        "cm centimetre centimetres centimeter centimeters": Fraction(1, 100),
        "dm": Fraction(1, 10),
        "m metre metres meter meters": 1,
        "um micron microns": Fraction(1, 10**6),
        "in in. inch inches \"": _IN,
        "ft ft. foot feet '": 12 * _IN,
        "thou mil": _IN / 1000,
    },
    "area": {
        "mm2 sqmm": Fraction(1, 10**6),
        "cm2 sqcm": Fraction(1, 10**4),
        "dm2": Fraction(1, 100),
        "m2 sqm": 1,
        "in2 sqin sq.in.": _IN**2,
        "ft2 sqft sq.ft.": (12 * _IN) ** 2,
    },
    "volume": {
        "l litre litres liter liters ltr dm3": _MILLE,
        "ml millilitre millilitres milliliter milliliters cc ccm cm3": Fraction(1, 10**6),
        "mm3": Fraction(1, 10**9),
        "m3": 1,
        "ft3 cuft cu.ft. cubicfoot cubicfeet": (12 * _IN) ** 3,
        "in3 cuin cu.in. cubicinch cubicinches": _IN**3,
    },
    "mass": {
        "mg": Fraction(1, 10**6),
        "g gram grams gramme grammes": _MILLE,
        "kg kilo kilos kilogram kilograms": 1,
        "t tonne tonnes": 1000,
        "lb lbs lb. lbs. pound pounds": _LB,
        "oz oz. ounce ounces": _LB / 16,
    },
    "frequency": {"Hz hz HZ hertz": 1, "kHz khz KHz KHZ": 1000, "MHz": 10**6, "mHz": _MILLE},
    "resistance": {
        "Ω ohm ohms Ohm Ohms OHM R r": 1,
        "kΩ kohm kohms KΩ kOhm k K": 1000,
        "mΩ mohm mOhm milliohm": _MILLE,
        "MΩ Mohm MOhm megohm": 10**6,
    },
    "inductance": {
        "H henry henries": 1,
        "mH mh m": _MILLE,
        "uH uh u": Fraction(1, 10**6),
        "nH nh n": Fraction(1, 10**9),
    },
    "capacitance": {
        "F farad": 1,
        "mF": _MILLE,
        "uF uf u": Fraction(1, 10**6),
        "nF nf n": Fraction(1, 10**9),
        "pF pf p": Fraction(1, 10**12),
    },
    "compliance": {"m/N": 1, "mm/N": _MILLE, "um/N": Fraction(1, 10**6), "cm/dyn": 1000},
    "force factor": {"Tm Tesla·m Vs/m Wb/m": 1, "N/A": 1},
    "stiffness": {"Pa pascal": 1, "kPa": 1000, "MPa N/mm2": 10**6, "GPa gigapascal kN/mm2": 10**9},
    "damping": {"Ns/m kg/s mechanicalohm mechanicalohms": 1, "g/s": _MILLE},
    "force": {"N newton newtons": 1, "kN": 1000, "lbf": _LB * Fraction(980665, 100000)},
    "power": {"W w watt watts": 1, "mW": _MILLE, "kW": 1000},
    "voltage": {"V v volt volts Vrms": 1, "mV": _MILLE, "kV": 1000},
    "temperature": {
        "°C C c degC celsius": (1, Fraction(27315, 100)),
        "°F F f degF fahrenheit": (Fraction(5, 9), Fraction(45967, 100)),
        "K kelvin": 1,
    },
    "pressure": {
        "Pa pa": 1,
        "hPa hpa mbar mb millibar": 100,
        "kPa kpa": 1000,
        "MPa N/mm2": 10**6,
        "bar": 10**5,
        "inHg inhg \"Hg": Fraction(338638864, 100000),
        "mmHg mmhg torr": Fraction(133322387, 1000000),
        "psi": _LB * Fraction(980665, 100000) / _IN**2,
        "atm": 101325,
    },
    "ratio": {"% percent": Fraction(1, 100)},
    "warming": {"K °C C kelvin": 1, "°F F": Fraction(5, 9)},
    "density": {
        "kg/m3": 1,
        "g/cm3 g/cc kg/l kg/dm3": 1000,
        "g/l": 1,
        "lb/ft3 lbs/ft3 lb/cuft pcf": _LB / (12 * _IN) ** 3,
        "lb/in3": _LB / _IN**3,
    },
    "speed": {"m/s": 1, "km/h": Fraction(10, 36), "ft/s fps": 12 * _IN},
    "time": {"s sec second seconds": 1, "min minute minutes": 60, "ms": _MILLE, "us": Fraction(1, 10**6)},
    "level": {"dB db DB": 1},
    "angle": {"° deg degree degrees": 1},
    "number": {"": 1},
}  # fmt: skip

_FAMILIES = {quantity.dimension: quantity.words for quantity in reversed(QUANTITIES.values())}


@cache
def _spellings():
    """Dimension -> {spelling without blanks: (factor, offset)}."""
    return {
        dimension: {
            spelling: entry if isinstance(entry, tuple) else (entry, 0)
            for names, entry in table.items()
            for spelling in (names.split() or [""])
        }
        for dimension, table in _UNITS.items()
    }


def _factor(dimension, sign):
    """The factor and offset of a unit, by any spelling."""
    spelling = _tidied(sign).replace(" ", "")
    table = _spellings()[dimension]
    for known in (spelling, spelling.lower()):
        # Capitals are forgiven except in short signs with m or M, where they would change the size.
        if known in table and (known == spelling or known in _FORGIVING.split()):
            return table[known]
    return None


_FORGIVING = """
    mm cm dm in ft in. ft. inch inches feet foot l litre litres liter liters g kg lb lbs oz ohm ohms cc
    mm2 cm2 in2 ft2 cm3 in3 ft3 cuft cuin hz khz w v millimetre millimetres watt watts volt volts percent
    pound pounds ounce ounces metre metres mm/n n/a tm
"""


# ---- reading

_SAME = str.maketrans(
    {
        "″": '"', "“": '"', "”": '"', "„": '"', "ʺ": '"', "′": "'", "’": "'", "‘": "'", "ʹ": "'", "´": "'",
        "\N{MICRO SIGN}": "u", "\N{GREEK SMALL LETTER MU}": "u", "\N{OHM SIGN}": "Ω",
        "²": "2", "³": "3", "⁄": "/", "∕": "/",
        "−": "-", "–": "-", "‑": "-", "·": " ", "⋅": " ", "*": " ", "º": "°", "˚": "°", "℃": "°C", "℉": "°F",
    }
)  # fmt: skip

_DIGITS = r"(?:[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+|[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+|[0-9]{1,3}(?:,[0-9]{3}){2,}"
_DIGITS += r"|[0-9]{1,3}(?:\.[0-9]{3}){2,}|[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
_NUMBER = re.compile(
    rf"(?P<whole>[0-9]+)(?: |- ?)(?P<over>[0-9]+) ?/ ?(?P<under>[0-9]+)"
    rf"|(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)"
    rf"|(?P<digits>{_DIGITS})(?:[eE](?P<power>[+-]?[0-9]{{1,2}})(?![0-9]))?"
)

_COMPOUNDS = {
    "length": (12, "the inches", "ft ft. foot feet '", "in in. inch inches \""),
    "mass": (16, "the ounces", "lb lbs lb. lbs. pound pounds", "oz oz. ounce ounces"),
}  # fmt: skip

_CODE = re.compile(
    r"(?P<sign>[+-]?)(?P<left>[0-9]*)(?P<mark>[pnumkKMRr])(?P<right>[0-9]+) ?(?P<unit>[HFΩ]|[Oo]hms?)?"
)
_CODE_SIZE = {"p": -12, "n": -9, "u": -6, "m": -3, "R": 0, "r": 0, "k": 3, "K": 3, "M": 6}
_CODE_UNIT = {"H": "inductance", "F": "capacitance"}


def _tidied(text):
    """Bring the many ways to write a sign down to one."""
    spread = []
    for letter in text:
        parts = unicodedata.decomposition(letter).split()
        if parts[:1] == ["<fraction>"] and letter != "⅟":
            spread.append(" " + "".join(chr(int(part, 16)) for part in parts[1:]).replace("⁄", "/"))
        else:
            spread.append(" " if letter.isspace() else letter)
    plain = "".join(spread).translate(_SAME).replace("''", '"')
    return re.sub(r" +", " ", plain).strip()


def _sign(text):
    """Split a leading sign off."""
    if text[:1] in ("+", "-"):
        return (-1 if text[0] == "-" else 1), text[1:].lstrip()
    return 1, text


def _exact(found):
    """The `Fraction` that a match of `_NUMBER` stands for."""
    if found["under"] or found["bottom"]:
        over, under = int(found["over"] or found["top"]), int(found["under"] or found["bottom"])
        if under == 0:
            raise Unreadable("has a fraction that divides by zero")
        if found["whole"] and over >= under:
            raise Unreadable("has a whole number and a fraction of one or more: which is meant?")
        return int(found["whole"] or 0) + Fraction(over, under)
    digits = found["digits"]
    marks = re.findall("[.,]", digits)
    if len(set(marks)) == 2:  # 1,234.5 or 1.234,5: the first kind groups thousands
        digits = digits.replace(marks[0], "").replace(",", ".")
    elif len(marks) > 1:
        digits = re.sub("[.,]", "", digits)
    elif re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits):
        plain, decimal = digits.replace(",", ""), digits.replace(",", ".")
        raise Unreadable(f"can be read as {plain} or as {decimal}: write it without the comma")
    return Fraction(digits.replace(",", ".").rstrip(".")) * Fraction(10) ** int(found["power"] or 0)


def _single(text, wanted, own_unit):
    """Read one number and its unit, or the field's own unit where none is written."""
    sign, rest = _sign(text)
    found = _NUMBER.match(rest)
    if not found:
        raise Unreadable("cannot be read as a number")
    spelling = rest[found.end() :].replace(" ", "")
    if not spelling:
        if wanted.dimension == "length" and own_unit != "in" and (found["under"] or found["bottom"]):
            raise Unreadable("is a fraction: say whether it is mm or inch")
        spelling = own_unit
    scale = _factor(wanted.dimension, spelling)
    if scale is None:
        raise Unreadable(_why_not(spelling, wanted))
    factor, offset = scale
    return (sign * _exact(found) + offset) * factor


def _why_not(spelling, wanted):
    """Say what is wrong with a unit: of another kind, or not known."""
    for dimension in _UNITS:
        if dimension != wanted.dimension and len(spelling) > 0 and _factor(dimension, spelling):
            return f"this is {_FAMILIES[dimension]}; {wanted.words} is wanted here"
    if re.match(r"[0-9.,/]", spelling):
        return "cannot be read as one number"
    if wanted.unit("metric"):
        return f"has a unit that is not known here: write it in {wanted.unit('metric')}, for one"
    return f"cannot be read: {wanted.words} is wanted here, without a unit"


def _compound(text, wanted):
    """Read feet and inches, or pounds and ounces; None where it is not such a pair."""
    if wanted.dimension not in _COMPOUNDS:
        return None
    parts, name, large, small = _COMPOUNDS[wanted.dimension]
    sign, rest = _sign(text)
    pattern = rf"(?P<large>[0-9]+) ?(?:{_any(large)})(?: ?- ?| ?)(?P<rest>[0-9.,].*)"
    split = re.fullmatch(pattern, rest)
    if not split:
        return None
    found = _NUMBER.match(split["rest"])
    tail = split["rest"][found.end() :].strip() if found else "?"
    if not found or (tail.lower() not in small.split() and not (tail == "" and wanted.dimension == "length")):
        raise Unreadable("cannot be read as one number")
    remainder = _exact(found)
    if remainder >= parts:
        raise Unreadable(f"has {name} too large: {parts} of them are one more of the other")
    factor, _ = _factor(wanted.dimension, small.split()[0])
    return sign * (int(split["large"]) * parts + remainder) * factor


def _gauge(text):
    """Read a screw's number such as #8 or No. 8 as its thickness; None where none is written."""
    found = re.fullmatch(r"(?:#|no ?\.?|gauge|ga) ?([0-9]{1,2})|([0-9]{1,2}) ?(?:gauge|ga)", text.lower())
    if not found:
        return None
    try:
        return Fraction(gauge_diameter(int(found[1] or found[2])))
    except InputError as refusal:
        raise Unreadable("must be a number from #0 to #24, or a thickness") from refusal


def _any(spellings):
    return "|".join(re.escape(spelling) for spelling in sorted(spellings.split(), key=len, reverse=True))


def _code(text, wanted):
    """Read a part's code such as 4k7, 4R7, 2n2, where the size stands in place of the point."""
    found = _CODE.fullmatch(text)
    if not found or not (found["left"] or found["mark"] in "Rr"):
        return None
    mark, unit_typed = found["mark"], found["unit"]
    kind = _CODE_UNIT.get(unit_typed, "resistance") if unit_typed else None
    if mark in "Rr":
        kind = kind or "resistance"
    if wanted.dimension not in ("resistance", "inductance", "capacitance") and kind is None:
        return None
    if kind and kind != wanted.dimension:
        raise Unreadable(f"this is {_FAMILIES[kind]}; {wanted.words} is wanted here")
    value = Fraction(f"{found['left'] or 0}.{found['right']}") * Fraction(10) ** _CODE_SIZE[mark]
    return -value if found["sign"] == "-" else value


# ---- writing


def _decimal(exact, decimals, least, most):
    """Write with `decimals` places, up to `most` for small values, without trailing zeros beyond `least`."""
    if exact and abs(exact) < 10**6:
        decimals = min(max(decimals, 2 - floor(log10(abs(exact)))), most)
    # A half that floats write as 0.3124999... still rounds up, so that 5/16 always reads alike.
    text = f"{float(exact) * (1 + 1e-9):.{decimals}f}"
    if "." in text:
        whole, part = text.split(".")
        part = part.rstrip("0").ljust(least, "0")
        text = f"{whole}.{part}" if part else whole
    return text.lstrip("-") if not text.strip("-0.") else text


# ---- forms


def _system(document):
    """The document's system of units and its finest part of an inch; good ones even for a bad document."""
    show, fraction = document.get("show"), document.get("fraction")
    return ("imperial" if show == "imperial" else "metric"), (fraction if fraction in (16, 32, 64) else 64)


def _value(text, path, document):
    kind, optional = _kind_at(path)
    if kind is None:
        raise Unreadable("is not known here")
    if kind is bool:
        return _switch(text)
    if not text and optional:
        return None
    if kind is str:
        return text
    quantity = quantity_of(path) or "number"
    value = read(text, quantity, _system(document)[0])
    if not isfinite(value):
        raise Unreadable("is too large")
    return value


def _switch(text):
    if text.lower() in ("", "no", "off", "false", "0"):
        return False
    if text.lower() in ("yes", "on", "true", "1"):
        return True
    raise Unreadable("must be yes or no")


@lru_cache(4096)  # paths come from outside: never more than this many are kept
def _kind_at(path):
    """The plain type (str, bool, int, float) that the document holds at `path`; whether it may be None."""
    kinds = [Project]
    for name in path.split("."):
        inner = [kind for outer in kinds for kind in _inside(outer, name)]
        kinds = [kind for held in inner for kind in _members(held)]
    optional = NoneType in kinds
    for kind in kinds:
        if get_origin(kind) is Literal:
            return type(get_args(kind)[0]), optional
        if kind in (str, bool, int, float):
            return kind, optional
    return None, optional


def _inside(kind, name):
    """The types of what a record or a table holds under `name`."""
    if is_dataclass(kind) and name in {field.name for field in fields(kind)}:
        return [get_type_hints(kind)[name]]
    if get_origin(kind) is dict:
        return [get_args(kind)[1]]
    return []


def _members(kind):
    return get_args(kind) if get_origin(kind) in (Union, UnionType) else (kind,)
