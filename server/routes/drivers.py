"""Drivers: what their sheets say, and whether they agree with themselves."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError, inputs_at
from calc.evaluate import evaluate
from calc.project_network import without_driver
from calc.sound import voice_coil
from server import units
from server.documents import amend, read_project, without
from server.pages import GONE, bench, render, take, typed_fields

router = APIRouter(prefix="/projects/{key}/drivers")

READINGS = {"f1": "frequency", "Z1": "resistance", "f2": "frequency", "Z2": "resistance"}
"""What is read off an impedance curve, in fields as ``reading.woofer.f1``: no part of the document."""

HEARD = (200.0, 1000.0, 5000.0)
"""Where the page tells what the coil does. [Hz]"""


@router.get("")
def show(request: Request, key: str):
    """Show every driver with its numbers, given and derived."""
    now = bench(request, key)
    return render(request, "drivers", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited values, or add or drop a driver."""
    aside = tuple(path for path in typed if path.startswith("reading."))
    return take(request, key, "drivers", typed, view, ACTIONS, aside=aside)


def view(bench):
    """What the page needs beside the bench: which driver the chosen box uses, and what each coil does."""
    from server.drawings.driver import driver_section

    return {
        "used": bench.project.alternatives[bench.project.chosen].driver,
        "drawings": {key: driver_section(key, each) for key, each in bench.project.drivers.items()},
        "coils": {key: coil(each.constants) for key, each in bench.result.drivers.items()},
    }


def coil(constants):
    """What a coil does at each of `HEARD`: rows of (frequency, its impedance [ohm], level lost [dB])."""
    if constants is None:
        return ()
    ohms, lost = abs(voice_coil.held_still(HEARD, constants)), voice_coil.level_lost(HEARD, constants)
    return tuple(zip(HEARD, ohms.tolist(), lost.tolist(), strict=True))


def add(document, kind, typed, result):
    """Add an empty driver of that kind, and its seat above the others."""
    taken = document["drivers"]
    name = next(f"{kind}{n}" for n in ("", *range(2, 99)) if f"{kind}{n}" not in taken)
    return amend(document, {f"drivers.{name}": {"name": "", "kind": kind}})


def drop(document, name, typed, result):
    """Drop a driver that nothing stands on."""
    if any(each["driver"] == name for each in document["alternatives"].values()):
        raise InputError(
            f"drivers.{name}.name", "a box is reckoned with this driver; choose another for it first"
        )
    seats = {
        key: seat for key, seat in document["cabinet"].get("seats", {}).items() if seat["driver"] != name
    }
    rest = without(without(document, f"drivers.{name}"), f"ways.{name}")
    if document.get("network"):
        parts = without_driver(document["network"]["parts"], name)
        drives = any(part["kind"] == "driver" for part in parts.values())
        rest = amend(rest, {"network.parts": parts} if drives else {"network": None})
        for gone in set(document["network"]["parts"]) - set(parts):
            for board in ("board", "bought"):  # what was decided of it goes too
                rest = without(rest, f"network.{board}.parts.{gone}")
    return amend(rest, {"cabinet.seats": seats})


def fit(document, name, typed, result):
    """Fit K and n to two readings; they hold the whole coil, so its other inductances go."""
    if name not in document["drivers"]:
        raise InputError(f"drivers.{name}", GONE)
    readings = {
        symbol: _reading(typed, f"reading.{name}.{symbol}", kind) for symbol, kind in READINGS.items()
    }
    known = evaluate(read_project(document)).drivers[name].completed.values
    if "Re" not in known:
        raise InputError(f"drivers.{name}.Re", "is needed to fit the coil")
    moving = {symbol: known.get(symbol) for symbol in ("fs", "Qms", "Qes")}
    with inputs_at(f"reading.{name}"):
        found = voice_coil.semi_inductance_from(known["Re"], **readings, **moving)
    fitted = {"K": found.K, "n": found.n, "Le": None, "Le2": None, "Re2": None}
    return amend(document, {f"drivers.{name}.{symbol}": value for symbol, value in fitted.items()})


def _reading(typed, path, quantity):
    try:
        return units.read(typed.get(path, ""), quantity)
    except units.Unreadable as refusal:
        raise InputError(path, refusal.sentence) from refusal


ACTIONS = {"add": add, "drop": drop, "fit": fit}
