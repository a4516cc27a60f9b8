"""Boring: where each driver sits on the front, and the router's settings that make its seat."""

from fastapi import APIRouter, Depends, Request

from calc.cabinet.places import seat_place
from calc.errors import InputError
from server.documents import amend, read_project, without
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import cabinet_openings, decisions, lengths

router = APIRouter(prefix="/projects/{key}/boring")


@router.get("")
def show(request: Request, key: str):
    """Show the front and each seat."""
    now = bench(request, key)
    return render(request, "boring", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited places and settings, or add and drop seats, holes and bits."""
    return take(request, key, "boring", typed, view, ACTIONS)


def view(bench):
    """The front with its seats, and for each seat its section and the circle jig."""
    from server.drawings.front import front

    return {
        "plate": front(bench.result.cabinet.carcass, cabinet_openings(bench, "front"), write=lengths(bench)),
        "drawn": seat_drawings(bench),
        "driver_names": [(key, each.name or key) for key, each in bench.project.drivers.items()],
        "bit_names": [
            (name, f"{name}, {lengths(bench)(size)}") for name, size in bench.project.workshop.bits.items()
        ],
    }


def seat_drawings(bench):
    """For each seat that can be bored: (section, jig)."""
    from server.drawings.boring import jig, seat_section

    project = bench.project
    drawn = {}
    for name, seat in bench.result.seats.items():
        if seat:
            frame = project.drivers[project.cabinet.seats[name].driver].frame
            thickness = bench.result.cabinet.carcass.panels["front"].thickness
            drawn[name] = (
                seat_section(
                    seat, frame, thickness, lengths(bench), finish=project.cabinet.finish, name=f"seat-{name}"
                ),
                jig(
                    seat,
                    seat.steps[0],
                    project.workshop.bits[project.workshop.bit],
                    lengths(bench),
                    name=f"jig-{name}",
                ),
            )
    return drawn


def add_seat(document, driver, typed, result):
    """Give a driver a seat in the middle of the front, where it is clear of the others if there is room."""
    if driver not in document["drivers"]:
        raise InputError("cabinet.seats", GONE)
    _, height, _ = result.cabinet.carcass.outer
    names = document["cabinet"].get("seats", {})
    name = next(f"{driver}{n}" for n in ("", *(f" {n}" for n in range(2, 99))) if f"{driver}{n}" not in names)
    highest = max((seat["y"] for seat in names.values()), default=height / 3)
    wanted = round((highest + height) / 2, 4)
    project, cabinet = read_project(document), result.cabinet
    room = seat_place(
        driver, wanted, cabinet.carcass, cabinet.openings, lengths=cabinet.port_lengths,
        braces=cabinet.braces, finish=project.cabinet.finish, clearance=project.workshop.flange_clearance,
        **decisions(project),
    )  # fmt: skip
    place = {"driver": driver, "x": None, "y": wanted if room is None else round(room, 6)}
    return amend(document, {f"cabinet.seats.{name}": place})


def drop_seat(document, name, typed, result):
    """Take a seat off the front."""
    return without(document, f"cabinet.seats.{name}")


def centre(document, name, typed, result):
    """Put a seat in the middle of the front's width, to stay there."""
    if name not in document["cabinet"]["seats"]:
        raise InputError("cabinet.seats", GONE)
    return amend(document, {f"cabinet.seats.{name}.x": None})


def add_hole(document, _, typed, result):
    """Add a round hole in the back, for terminals."""
    names = document["cabinet"].get("holes", {})
    name = next(f"hole{n}" for n in ("", *range(2, 99)) if f"hole{n}" not in names)
    _, height, _ = result.cabinet.carcass.outer
    hole = {"panel": "back", "diameter": 0.05, "x": None, "y": round(height / 3, 4)}
    return amend(document, {f"cabinet.holes.{name}": hole})


def drop_hole(document, name, typed, result):
    """Close a hole."""
    return without(document, f"cabinet.holes.{name}")


def add_bit(document, _, typed, result):
    """Add a bit to the shop and put it in the router; its size is typed next."""
    bits = document["workshop"]["bits"]
    name = next(f"bit{n}" for n in range(2, 99) if f"bit{n}" not in bits)
    return amend(document, {f"workshop.bits.{name}": 0.008, "workshop.bit": name})


def drop_bit(document, name, typed, result):
    """Drop a bit that is not in the router."""
    if name == document["workshop"]["bit"]:
        raise InputError(f"workshop.bits.{name}", "this bit cuts the seats; choose another one first")
    return without(document, f"workshop.bits.{name}")


ACTIONS = {
    "add-seat": add_seat, "drop-seat": drop_seat, "centre": centre, "add-hole": add_hole,
    "drop-hole": drop_hole,
    "add-bit": add_bit, "drop-bit": drop_bit,
}  # fmt: skip
