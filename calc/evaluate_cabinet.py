"""The chosen box and the workshop -> the cabinet: its solids and openings, where its air goes, its weight."""

import numpy as np

from calc.cabinet.balance import mass_and_centre
from calc.cabinet.bracing import braces as braced
from calc.cabinet.openings import misfits as cabinet_misfits
from calc.cabinet.openings import openings as placed_openings
from calc.cabinet.panels import carcass as built_carcass
from calc.cabinet.panels import grooved
from calc.cabinet.volume_ledger import inside_for_net, ledger
from calc.errors import InputError, inputs_at
from calc.evaluate_port import displaced, lengths, ports_called, tubes
from calc.result import CabinetResult


def cabinet(project, chosen, place):
    """The `CabinetResult` of the chosen alternative; sizes follow what the document holds."""
    made, box = project.cabinet, chosen.box
    walls = {name: _board(project, sheet) for name, sheet in made.panels.items()}
    thicknesses = {name: thickness for name, (thickness, _) in walls.items()}
    plates = {name: (brace, *_board(project, brace.sheet)) for name, brace in made.braces.items()}
    size = (made.size.width, made.size.height, made.size.depth)

    def bracing_in(inner):
        return braced(inner, thicknesses, plates)

    def entries(bracing, cut):
        return _entries(project, box, bracing, cut, thicknesses)

    if made.hold == "volume":
        cut = _lengths(project, box, box.Vb, place)
        with inputs_at("cabinet"):
            size = inside_for_net(
                box.Vb, size, lambda inner: sum(v for _, v in entries(bracing_in(inner), cut))
            )
    with inputs_at("cabinet"):
        carcass = built_carcass(size, "outer" if made.hold == "outer" else "inner", walls, made.edges)
        bracing = bracing_in(carcass.inner)
    carcass = grooved(carcass, bracing.grooves)
    gross = float(np.prod(carcass.inner))
    if box.Vb is None and tubes(box) and box.fb is not None:
        cut = _lengths_in_what_is_left(
            project, box, place, lambda cut: gross - sum(v for _, v in entries(bracing, cut))
        )
    else:
        cut = _lengths(project, box, box.Vb, place)
    with inputs_at("cabinet"):
        book = ledger(gross, entries(bracing, cut))
    opened = _openings(project, box, carcass, bracing)
    mass, centre = mass_and_centre(_masses(project, box, carcass, bracing, opened))
    return CabinetResult(carcass, bracing.braces, opened, book, box.Vb, cut, mass, centre)


def misfits(project, box, made):
    """What does not fit of drivers, ports, braces and wood: ((field, sentence), ...)."""
    found = cabinet_misfits(
        made.carcass,
        made.openings,
        seats=project.cabinet.seats,
        drivers=project.drivers,
        ports=tubes(box),
        lengths=made.port_lengths,
        radiator=getattr(box, "radiator", None),
        braces=made.braces,
        finish=project.cabinet.finish,
    )
    return tuple((_path(project, field), sentence) for field, sentence in found)


def _board(project, sheet):
    """Thickness as measured [m] and density [kg/m³] of a sheet in stock."""
    return project.workshop.sheets[sheet].thickness, project.workshop.sheets[sheet].density


def _lengths(project, box, Vb, place):
    """Length of each port of the chosen box where they are typed or its air is. [m]"""
    with inputs_at(f"alternatives.{project.chosen}.box"):
        return lengths(box, Vb, place)


def _lengths_in_what_is_left(project, box, place, net):
    """Lengths [m] where a longer port leaves itself less air: L = length(net(L)), closed by iteration."""
    cut = dict.fromkeys(tubes(box), 0.0)
    with inputs_at(f"alternatives.{project.chosen}.box"):
        for _ in range(60):
            left = net(cut)
            if left <= 0:
                break
            following = lengths(box, left, place)
            if all(abs(following[name] - cut[name]) < 1e-9 for name in cut):
                return following
            cut = following
        raise InputError(
            "fb", "would need ports that fill the box: tune higher, or take fewer or smaller ports"
        )


def _entries(project, box, bracing, cut, thicknesses):
    """What takes air from the box, by name. [m³]"""
    entries = [
        (f"{seat}", project.drivers[each.driver].frame.volume) for seat, each in project.cabinet.seats.items()
    ]
    entries += [(name, brace.displaced) for name, brace in bracing.braces.items()]
    for name, each in tubes(box).items():
        taken = displaced(each, name, cut[name], thicknesses[each.panel])
        entries.append((ports_called(name, each.count), taken))
    if box.kind == "passive_radiator":
        many = box.radiator.count
        name = "passive radiator" if many == 1 else f"{many} passive radiators"
        entries.append((name, many * box.radiator.frame.volume))
    entries += [(name, thing.volume) for name, thing in project.cabinet.displaced.items()]
    return entries


def _openings(project, box, carcass, bracing):
    """Where drivers, ports and other holes lie in the front and the back."""
    made = project.cabinet
    try:
        return placed_openings(
            carcass,
            seats=made.seats,
            drivers=project.drivers,
            ports=tubes(box),
            radiator=getattr(box, "radiator", None),
            holes=made.holes,
            braces=bracing.braces,
            clearance=project.workshop.flange_clearance,
        )
    except InputError as error:
        raise InputError(_path(project, error.field), error.problem) from error


def _path(project, field):
    """Where a field that the cabinet's openings name stands in the document."""
    if field.startswith("drivers."):
        return field
    if field.partition(".")[0] in ("port", "other", "rear", "radiator", "fb", "fr"):
        return f"alternatives.{project.chosen}.box.{field}"
    return f"cabinet.{field}"


def _masses(project, box, carcass, bracing, opened):
    """Every part's mass [kg] and centre [m]; a driver hangs at a third of its depth behind its panel."""
    parts = [(solid.mass, solid.centroid) for solid in (*carcass.panels.values(), *bracing.braces.values())]
    for each in opened:
        if each.kind == "seat":
            seat = project.cabinet.seats[each.name]
            frame = project.drivers[seat.driver].frame
            parts.append((frame.mass, _hangs(each, frame, carcass, bracing, seat.faces)))
        elif each.kind == "radiator":
            frame = box.radiator.frame
            parts.append((frame.mass + (box.radiator.added or 0.0), _hangs(each, frame, carcass, bracing)))
    middle = tuple(carcass.outer[axis] / 2 for axis in (0, 2, 1))
    parts += [(thing.mass, middle) for thing in project.cabinet.displaced.values()]
    return parts


def _hangs(opening, frame, carcass, bracing, faces="up"):
    """Where the weight of a driver or a passive radiator is taken to hang. [m]"""
    inwards = (frame.depth or 0.0) / 3
    if opening.panel == "front":
        return opening.x, inwards, opening.y
    if opening.panel == "back":
        return opening.x, carcass.outer[2] - inwards, opening.y
    plate = bracing.braces[opening.panel]
    height = plate.high[2] - inwards if faces == "up" else plate.low[2] + inwards
    return opening.x, opening.y, height
