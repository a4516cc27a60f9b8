"""The few numbers that any change may move, and what the last change did to them."""

from dataclasses import dataclass

from server import units


@dataclass(frozen=True)
class Number:
    """One cell of the sill: its name, its text, and `by`: what the last change did to it, or nothing."""

    name: str
    text: str
    by: str


def sill(project, result, before=None):
    """The cells of the sill for a result, marked against the result `before` the last change."""
    cells = zip(_numbers(project, result), _numbers(project, before) if before else (None,) * 7, strict=True)
    return tuple(_cell(project, now, then) for now, then in cells)


def _numbers(project, result):
    """(name, value in SI or None, quantity, what more of it is called, what less, words after it)."""
    built, cabinet = result.built, result.cabinet
    cutoffs = built.cutoffs or {}
    chosen = project.alternatives[project.chosen] if result.chosen == project.chosen else None
    watts = f" at {chosen.P:.0f} W" if chosen and chosen.V is None else ""
    sheets = sum(need.at_least for need in result.sheets_at_least.values())
    wood = "Sheets to buy" if project.workshop.stock else "Sheets"
    tuning = ("Tuning", built.fb) if built.fb else ("Box resonance", built.fc)
    if built.kind == "passive_radiator":
        moves = (f"Radiators move{watts}", built.radiator and built.radiator.travel, "travel")
    else:
        moves = (f"Port air{watts}", built.fastest_air, "speed")
    return (
        ("Net volume", cabinet.net, "volume", "more", "less", ""),
        (*tuning, "frequency", "higher", "lower", ""),
        ("Lowest note, −3 dB", cutoffs.get(3.0), "frequency", "higher", "lower", ""),
        (*moves, "more", "less", ""),
        ("Amplifier load", built.least_Z, "resistance", "more", "less", " least"),
        ("Weight, each", cabinet.mass, "mass", "more", "less", ""),
        (wood, sheets, "count", "more", "fewer", " at least"),
    )


_COARSE = {"frequency": 0, "resistance": 1, "mass": 1, "speed": 0, "volume": 1, "travel": 1}
"""Decimals on the sill; its numbers are read from across the bench."""


def _cell(project, now, then):
    name, value, quantity, more, less, after = now
    if value is None:
        return Number(name, "no port" if name.startswith("Port") and _closed(project) else "unknown", "")
    text = (
        "perhaps none" if quantity == "count" and value == 0 else _rounded(value, quantity, project) + after
    )
    if then is None or then[1] is None or then[0].split(" at ")[0] != name.split(" at ")[0]:
        return Number(name, text, "")
    change = value - then[1]
    if abs(change) <= 1e-3 * abs(value):
        return Number(name, text, "")
    by = f"{'▲' if change > 0 else '▼'} {_change(change, quantity, project)} {more if change > 0 else less}"
    return Number(name, text, by)


def _closed(project):
    return project.alternatives[project.chosen].box.kind == "closed"


def _rounded(value, quantity, project):
    number, sign = _in_unit(value, quantity, project)
    places = 3 if sign == "ft³" else _COARSE.get(quantity, 0)
    return f"{number:.{places}f} {_short(sign)}".strip()


def _change(change, quantity, project):
    """The size of a change, with as many decimals as it takes to see it."""
    number, sign = _in_unit(abs(change), quantity, project)
    for places in range(1 if quantity == "count" else 5):
        if round(number, places) >= 10**-places * 1.5 or places == 4:
            break
    return f"{number:.{places}f} {_short(sign)}".strip()


def _in_unit(value, quantity, project):
    return units.in_unit(value, quantity, project.show), units.unit(quantity, project.show)


def _short(sign):
    return {"litre": "L"}.get(sign, sign)
