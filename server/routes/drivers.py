"""Drivers: what their sheets say, and whether they agree with themselves."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from server.documents import amend, without
from server.pages import bench, render, take, typed_fields

router = APIRouter(prefix="/projects/{key}/drivers")


@router.get("")
def show(request: Request, key: str):
    """Show every driver with its numbers, given and derived."""
    now = bench(request, key)
    return render(request, "drivers", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited values, or add or drop a driver."""
    return take(request, key, "drivers", typed, view, {"add": add, "drop": drop})


def view(bench):
    """What the page needs beside the bench: which driver the chosen box uses."""
    from server.drawings.driver import driver_section

    return {
        "used": bench.project.alternatives[bench.project.chosen].driver,
        "drawings": {key: driver_section(key, each) for key, each in bench.project.drivers.items()},
    }


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
    return amend(without(document, f"drivers.{name}"), {"cabinet.seats": seats})
