"""Project and result -> what the wood of the cabinet does: how stiff and how it moves."""

from dataclasses import dataclass
from typing import NamedTuple

from calc.cabinet.materials import material_of, wood_of
from calc.cabinet.panel_modes import layer_of, panel_report, placings
from calc.cabinet.wood_movement import (
    MOVEMENT,
    SHEET_MOVEMENT,
    Slot,
    Year,
    driver_seat_room,
    edge_gap,
    equilibrium_moisture,
    screw_slot,
    sheet_change,
    year_of,
)

ROOM = 293.15
"""Temperature of the house over the year. [K]"""

SHANK_HOLE = 0.0045
"""Hole that the shank of a number 8 screw passes: its 4.17 mm and a little. [m]"""


class PanelYear(NamedTuple):
    """What a panel of solid wood does over the year: across its grain a `Year` [m], and by species name.

    Held along its middle, a screw at its edge needs `slot`, and each edge the `gap` [m] when it is made.
    `seats` are {driver: SeatRoom} of the drivers that sit in it, whose flange is known.
    """

    name: str
    species: str
    year: Year
    slot: Slot
    gap: float
    seats: dict


class SheetYear(NamedTuple):
    """What the longest panel of one sheet stuff does between dry and damp, at most. `length`, `change` [m]"""

    name: str
    board: str
    length: float
    change: float


@dataclass(frozen=True)
class Wood:
    """What the wood of one cabinet does.

    panels : `PanelStiffness` of each, the weakest first, those of unknown stuff last.
    kind, placings : braces across the weakest panel, see `calc.cabinet.panel_modes.placings`; None and ()
        where no panel's stuff is known.
    solid, sheets : `PanelYear`s and `SheetYear`s.
    """

    panels: tuple
    kind: str | None
    placings: tuple
    solid: tuple
    sheets: tuple

    @property
    def weakest(self):
        """The panel with the lowest first note, or None where none is known."""
        return self.panels[0] if self.panels[0].weakest else None


def wood(project, result):
    """What the wood does in the cabinet of `result`, as `Wood`."""
    cabinet = result.cabinet
    materials = {name: _board(project, sheet) for name, sheet in project.cabinet.panels.items()}
    panels = sorted(
        panel_report(cabinet.carcass, cabinet.braces, materials),
        key=lambda each: each.weakest.supported if each.weakest else float("inf"),
    )
    kind, rows = None, ()
    if panels[0].weakest:
        weak, brace = panels[0].name, cabinet.carcass.panels["left"].thickness
        kind, rows = placings(weak, cabinet.carcass, materials[weak], brace)
    return Wood(
        tuple(panels),
        kind,
        rows,
        _solid(project, cabinet),
        _sheets(materials, cabinet.carcass, project.climate),
    )


def _board(project, sheet):
    """What a sheet in stock is made of, as its user chose or as it is called."""
    return material_of(project.workshop.sheets[sheet], sheet)


def panel_layer(project, sheet):
    """A sheet in stock as a `Layer` for bending; None where it is not known what it is made of."""
    material = _board(project, sheet)
    return None if material is None else layer_of(material, project.workshop.sheets[sheet].thickness)


def _solid(project, cabinet):
    """The panels of solid wood over the year; their grain lies along the blank, they move across it."""
    moistures = [equilibrium_moisture(ROOM, humidity) for humidity in _year(project)]
    years = []
    for name, sheet in project.cabinet.panels.items():
        good = project.workshop.sheets[sheet]
        board, (species, sawn) = _board(project, sheet), wood_of(good, sheet)
        if board is None or species is None or board.name in SHEET_MOVEMENT:
            continue
        C = getattr(MOVEMENT[species.moves_as], "CT" if sawn == "flat" else "CR")
        width = cabinet.carcass.panels[name].width
        year = year_of(width, C, *moistures)
        slot = screw_slot(width / 2, C, *moistures, SHANK_HOLE)
        gap, _ = edge_gap(width / 2, C, *moistures)
        seats = {}
        if name == "front":
            for seat, each in project.cabinet.seats.items():
                frame = project.drivers[each.driver].frame
                if frame.wide:
                    seats[seat] = driver_seat_room(frame.wide, C, *moistures, bolt_circle=frame.screw_circle)
        years.append(PanelYear(name, species.name, year, slot, gap, seats))
    return tuple(years)


def _year(project):
    """Humidity on the bench, in the driest and in the dampest month. [-]"""
    climate = project.climate
    return climate.made, climate.dry, climate.damp


def _sheets(materials, carcass, climate):
    """Of each sheet stuff the longest panel."""
    longest = {}
    for name, material in materials.items():
        if material is None or material.name not in SHEET_MOVEMENT:
            continue
        length = max(carcass.panels[name].length, carcass.panels[name].width)
        if material.name not in longest or length > longest[material.name].length:
            by = SHEET_MOVEMENT[material.name].by_humidity
            change = sheet_change(length, by, climate.dry, climate.damp)
            longest[material.name] = SheetYear(name, material.name, length, change)
    return tuple(longest.values())
