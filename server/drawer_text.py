"""A drawer of parts as lines of text: "6,8 µF; 3.20", "0.56 mH; 0.25 ohm; 7.50", "4R7 ohm"."""

from calc.errors import InputError
from server import units

KINDS = {"capacitance": "capacitor", "inductance": "coil", "resistance": "resistor"}

MOST = 400
"""Parts that a drawer may hold."""


def drawer(text):
    """The parts of a text as plain data of `calc.project_network.Stock`.

    Raises
    ------
    InputError
        At "text", with the number of the line.
    """
    lines = [(i, line.strip()) for i, line in enumerate(text.splitlines(), 1)]
    parts = [_part(line, i) for i, line in lines if line and not line.startswith("#")]
    if len(parts) > MOST:
        raise InputError("text", f"holds more than {MOST} parts")
    return parts


def _part(line, i):
    value, *rest = (cell.strip() for cell in line.split(";"))
    kind, amount = _value(value, i)
    part = {"kind": kind, "value": amount, "Rdc": 0.0, "price": None}
    if kind == "coil" and rest:
        part["Rdc"] = _read(rest.pop(0), "resistance", i)
    if rest and rest[-1]:
        part["price"] = _read(rest[-1], "number", i)
        if part["price"] < 0:
            raise InputError("text", f"has a price below zero in line {i}")
    if len(rest) > 1:
        raise InputError("text", f"has more in line {i} than a part, a coil’s wire and a price")
    return part


def _value(text, i):
    """What a part is by its unit, and its size."""
    if text and text[-1:].isdigit():
        raise InputError("text", f"needs a unit in line {i}: µF, mH or ohm")
    for quantity, kind in KINDS.items():
        try:
            return kind, units.read(text, quantity)
        except units.Unreadable:
            continue
    raise InputError("text", f"has a part in line {i} that is not so many µF, mH or ohm")


def _read(text, quantity, i):
    try:
        return units.read(text, quantity)
    except units.Unreadable as refusal:
        raise InputError("text", f"has in line {i} something that {refusal.sentence}") from None


SIGNS = {"capacitor": (1e6, "µF"), "coil": (1e3, "mH"), "resistor": (1, "Ω")}


def text_of(parts):
    """The lines of a drawer, as `drawer` reads them."""
    return "\n".join(map(_line, parts))


def _line(part):
    factor, sign = SIGNS[part.kind]
    cells = [f"{part.value * factor:.7g} {sign}"]
    if part.kind == "coil":
        cells.append(f"{part.Rdc:.7g} Ω")
    if part.price is not None:
        cells.append(f"{part.price:.2f}")
    return "; ".join(cells)
