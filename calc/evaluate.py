"""Project -> Result. Reads like a table of contents: air, drivers, ports, cabinet, boxes, cutting, boring."""

from contextlib import contextmanager
from math import sqrt
from typing import NamedTuple

import numpy as np

from calc.cabinet.balance import mass_and_centre
from calc.cabinet.bracing import braces as braced
from calc.cabinet.openings import misfits as cabinet_misfits
from calc.cabinet.openings import openings as placed_openings
from calc.cabinet.panels import carcass as built_carcass
from calc.cabinet.panels import grooved
from calc.cabinet.volume_ledger import inside_for_net, ledger, port_displacement
from calc.errors import InputError, inputs_at
from calc.result import AirResult, BoxResult, CabinetResult, DriverResult, PortResult, Result
from calc.shop.boring import round_hole
from calc.shop.boring import seat as bored_seat
from calc.shop.cut_list import cut_list, fence_groups
from calc.shop.sheet_layout import sheets_at_least
from calc.sound import air, alignments, driver, limits, port
from calc.sound.closed_box import closed_box, closed_box_lossy_Q, closed_box_tuning
from calc.sound.driver import with_source, without_inductance
from calc.sound.ranges import require_physical
from calc.sound.several_drivers import group as wired_group
from calc.sound.vented_box import vented_box

FREQUENCIES = np.geomspace(10, 1000, 500)
"""Where every curve is reckoned. [Hz]"""

TEST_VOLTS = 2.83
"""The drive that levels are quoted for. [V]"""

AUDIBLE = 15.0
"""Travel below this is not judged: no music is there, and a high-pass or the amplifier ends it. [Hz]"""

ENDS = ("flanged", "free")
"""A port's outer end lies flush in its panel, its inner end stands in the air."""

TRIMS = (-0.02, -0.01, -0.005, 0.005, 0.01, 0.02)
"""Changes of a port's length that its page tells the effect of. [m]"""

SHEET_HUMIDITY = 0.5
"""No data sheet says how moist its air was; that of an ordinary room, as everywhere else here."""

SYMBOLS = ("fs", "Qms", "Qes", "Qts", "Vas", "Sd", "Re", "Mms", "Cms", "Rms", "Bl")


def evaluate(project, f=FREQUENCIES):
    """Compute the `Result` of a `Project` at frequencies `f`, shape (n,). [Hz]

    Raises
    ------
    InputError
        Where the decisions cannot stand together: a joint that cannot be cut, a port whose length would
        be below zero. The field is the dotted path in the project document.
    """
    place = _air(project.air)
    drivers = {}
    for key, each in project.drivers.items():
        with inputs_at(f"drivers.{key}"):
            drivers[key] = _driver(each, place)
    chosen = project.alternatives[project.chosen]

    cabinet = _cabinet(project, chosen, place)
    boxes = {}
    for key in project.alternatives:
        with _fields_of(project, key):
            boxes[key] = _box(key, project, drivers, place, cabinet, f)
    with _fields_of(project, project.chosen):
        built = _box(project.chosen, project, drivers, place, cabinet, f, built=True)

    misfits = _misfits(project, chosen.box, cabinet)
    rows = cut_list(cabinet.carcass, cabinet.braces, project.speakers, _sheet_of_each(project))
    return Result(
        air=place,
        drivers=drivers,
        boxes=boxes,
        chosen=project.chosen,
        built=built,
        cabinet=cabinet,
        cut_list=rows,
        fences=fence_groups(rows),
        sheets_at_least=sheets_at_least(
            rows, project.workshop.sheets, project.workshop.kerf, project.workshop.trim
        ),
        seats=_seats(project),
        holes=_holes(project, cabinet),
        misfits=misfits,
        facts=(
            *misfits,
            *((f"cabinet.{field}", sentence) for field, sentence in cabinet.carcass.facts),
            *_power_fact(project, boxes[project.chosen]),
        ),
    )


def _air(place):
    with inputs_at("air"):
        return AirResult(
            c=air.speed_of_sound(place.T, place.p, place.humidity),
            rho=air.density(place.T, place.p, place.humidity),
            mu=air.viscosity(place.T),
        )


def _driver(each, place):
    """Complete the sheet's values, its Vas carried from the sheet's air to the place's."""
    sheet = {symbol: getattr(each, symbol) for symbol in SYMBOLS}
    if sheet["Vas"] is not None:
        c_sheet = air.speed_of_sound(each.sheet_T, each.sheet_p, SHEET_HUMIDITY)
        rho_sheet = air.density(each.sheet_T, each.sheet_p, SHEET_HUMIDITY)
        sheet["Vas"] = driver.Vas_in(sheet["Vas"], c_sheet, rho_sheet, place.c, place.rho)
    completed = driver.completed(sheet, place.c, place.rho)
    if completed.missing:
        return DriverResult(completed)
    v = completed.values
    constants = driver.constants(
        v["fs"], v["Qms"], v["Qes"], v["Vas"], v["Sd"], v["Re"], place.c, place.rho,
        each.Le or 0.0, each.Le2, each.Re2,
    )  # fmt: skip
    efficiency = driver.eta0(constants.fs, constants.Vas, constants.Qes, place.c)
    return DriverResult(
        completed=completed,
        constants=constants,
        eta0=efficiency,
        level_1w=driver.level_1w(efficiency, place.c, place.rho),
        level_2v83=driver.level_2v83(efficiency, constants.Re, place.c, place.rho),
        Vd=None if each.Xmax is None else driver.Vd(constants.Sd, each.Xmax),
        EBP=driver.EBP(constants.fs, constants.Qes),
    )


def closed_starts(result, key):
    """Closed starting points of the driver `key`; empty while the driver is not known."""
    v = result.drivers[key].constants
    return () if v is None else alignments.closed_starting_points(v.fs, v.Qts, v.Vas, v.Qes)


def vented_starts(result, key, QL):
    """Vented starting points of the driver `key` at the leak `QL`; empty while the driver is not known."""
    v = result.drivers[key].constants
    return () if v is None else alignments.vented_starting_point(v.fs, v.Qts, v.Vas, QL, v.Qes)


# --- Where a refusal belongs

_OF_DRIVER = (*SYMBOLS, "Le", "Le2", "Re2", "Xmax", "Pe")
_OF_PORT = {"wall": "wall", "length": "length", "count": "count"} | {
    name: f"shape.{name}" for name in ("diameter", "width", "height")
}


@contextmanager
def _fields_of(project, key):
    """Put the field of a refusal that the box `key` met where it stands in the document."""
    each = project.alternatives[key]
    drive = "V" if each.V is not None else "P"
    try:
        yield
    except InputError as error:
        name = error.field
        if name in _OF_DRIVER:
            place = f"drivers.{each.driver}.{name}"
        elif name in ("Vb", "fb", "QL", "QA", "QP"):
            place = f"alternatives.{key}.box.{name}"
        else:
            place = f"alternatives.{key}.{drive if name == 'V' else name}"
        raise InputError(place, error.problem) from error


@contextmanager
def _fields_of_port():
    """The same for what the ports of a box met, seen from that box."""
    try:
        yield
    except InputError as error:
        name = error.field
        raise InputError(f"port.{_OF_PORT[name]}" if name in _OF_PORT else name, error.problem) from error


# --- Ports


class _Way(NamedTuple):
    """Of one port: area, outer area [m²], its narrow way, its perimeter, and the end corrections [m]."""

    area: float
    outer: float
    narrow: float
    perimeter: float
    ends: list


def _opening(each):
    """The `_Way` of one port."""
    with _fields_of_port():
        return _opening_of(each)


def _opening_of(each):
    shape = each.shape
    if shape.kind == "round":
        d = shape.diameter
        ends = [port.round_end_correction(d, end) for end in ENDS]
        return _Way(port.round_area(d), port.tube_outer_area(d, each.wall), d, np.pi * d, ends)
    w, h = shape.width, shape.height
    ends = [port.slot_end_correction(w, h, end, shape.along_wall) for end in ENDS]
    outer = port.channel_outer_area(w, h, each.wall, shape.along_wall)
    return _Way(w * h, outer, min(w, h), 2 * (w + h), ends)


def _port_length(box, Vb, place):
    """Length of each port [m] where the box seems as large as Vb [m³]: as typed, or from the tuning."""
    way = _opening(box.port)
    if box.port.length is not None:
        return box.port.length
    return port.port_length(Vb, box.fb, box.port.count, way.area, way.ends, place.c)


def _displaced_by_ports(box, length, panel_thickness):
    """Air that the ports take, walls and bore. [m³]"""
    return port_displacement(_opening(box.port).outer, max(length - panel_thickness, 0.0), box.port.count)


def _port(box, apparent, fb, length, place, cabinet, response, drive, Vd):
    """The ports of a box that seems as large as `apparent` [m³]; air speed only where there is a response."""
    area, outer, narrow, perimeter, ends = _opening(box.port)
    effective = length + sum(ends)
    resistance = port.wall_resistance(fb, area, perimeter, place.rho, place.mu)
    fastest = None if response is None else int(np.argmax(response.port_speed))
    return PortResult(
        count=box.port.count,
        area=area,
        outer_area=outer,
        narrow=narrow,
        length=length,
        effective_length=effective,
        inside_length=max(length - cabinet.carcass.panels[box.port.panel].thickness, 0.0),
        room=cabinet.carcass.inner[2],
        pipe_resonance=port.pipe_resonance(effective, place.c),
        wall_Q=port.wall_Q(fb, area, length, effective, resistance, place.rho) if length > 0 else None,
        speed=None if response is None else float(response.port_speed[fastest]) * drive,
        speed_at=None if response is None else float(response.f[fastest]),
        smallest_area=None if Vd is None else port.smallest_area(fb, Vd),
        trims=tuple(
            (by, port.port_tuning(apparent, length + by, box.port.count, area, ends, place.c) - fb)
            for by in TRIMS
            if length + by > 0
        ),
    )


# --- The cabinet


def _cabinet(project, chosen, place):
    """Solve the carcass, its braces and the ledger; sizes follow what the document holds."""
    cabinet, box = project.cabinet, chosen.box
    walls = {name: _board(project, sheet) for name, sheet in cabinet.panels.items()}
    thicknesses = {name: thickness for name, (thickness, _) in walls.items()}
    plates = {name: (brace, *_board(project, brace.sheet)) for name, brace in cabinet.braces.items()}
    size = (cabinet.size.width, cabinet.size.height, cabinet.size.depth)

    def bracing_in(inner):
        return braced(inner, thicknesses, plates)

    def entries(bracing, port_length):
        return _entries(project, box, bracing, port_length, thicknesses)

    if cabinet.hold == "volume":
        length = _length_in(project, box, box.Vb, place)
        with inputs_at("cabinet"):
            size = inside_for_net(
                box.Vb, size, lambda inner: sum(v for _, v in entries(bracing_in(inner), length))
            )
    with inputs_at("cabinet"):
        carcass = built_carcass(size, "outer" if cabinet.hold == "outer" else "inner", walls, cabinet.edges)
        bracing = bracing_in(carcass.inner)
    carcass = grooved(carcass, bracing.grooves)
    gross = float(np.prod(carcass.inner))
    if box.kind == "vented" and box.Vb is None and box.fb is not None:
        length = _length_in_what_is_left(
            project, box, place, lambda L: gross - sum(v for _, v in entries(bracing, L))
        )
    elif box.kind == "vented":
        length = _length_in(project, box, box.Vb, place)
    else:
        length = 0.0
    with inputs_at("cabinet"):
        book = ledger(gross, entries(bracing, length))
    opened = _openings(project, box, carcass, bracing)
    mass, centre = mass_and_centre(_masses(project, carcass, bracing, opened))
    return CabinetResult(carcass, bracing.braces, opened, book, box.Vb, length, mass, centre)


def _board(project, sheet):
    """Thickness as measured [m] and density [kg/m³] of a sheet in stock."""
    return project.workshop.sheets[sheet].thickness, project.workshop.sheets[sheet].density


def _length_in(project, box, Vb, place):
    """Length of the chosen box's port where it is typed or its air is; 0 for a closed box. [m]"""
    if box.kind == "closed":
        return 0.0
    with inputs_at(f"alternatives.{project.chosen}.box"):
        return _port_length(box, None if Vb is None else Vb * (box.filling or 1.0), place)


def _length_in_what_is_left(project, box, place, net):
    """Length [m] where a longer port leaves itself less air: L = length(net(L)), closed by iteration."""
    length = 0.0
    with inputs_at(f"alternatives.{project.chosen}.box"):
        for _ in range(60):
            air_left = net(length)
            if air_left <= 0:
                break
            following = _port_length(box, air_left * (box.filling or 1.0), place)
            if abs(following - length) < 1e-9:
                return following
            length = following
        raise InputError(
            "fb", "would need ports that fill the box: tune higher, or take fewer or smaller ports"
        )


def _entries(project, box, bracing, port_length, thicknesses):
    """What takes air from the box, by name. [m³]"""
    entries = [
        (f"{seat}", project.drivers[each.driver].frame.volume) for seat, each in project.cabinet.seats.items()
    ]
    entries += [(name, brace.displaced) for name, brace in bracing.braces.items()]
    if box.kind == "vented":
        taken = _displaced_by_ports(box, port_length, thicknesses[box.port.panel])
        entries.append(("port" if box.port.count == 1 else f"{box.port.count} ports", taken))
    entries += [(name, thing.volume) for name, thing in project.cabinet.displaced.items()]
    return entries


def _openings(project, box, carcass, bracing):
    """Where drivers, ports and other holes lie in the front and the back."""
    cabinet = project.cabinet
    try:
        return placed_openings(
            carcass,
            seats=cabinet.seats,
            drivers=project.drivers,
            port=box.port if box.kind == "vented" else None,
            holes=cabinet.holes,
            braces=bracing.braces,
            clearance=project.workshop.flange_clearance,
        )
    except InputError as error:
        raise InputError(_path(project, error.field), error.problem) from error


def _misfits(project, box, cabinet):
    """What does not fit of drivers, ports, braces and wood: ((field, sentence), ...)."""
    found = cabinet_misfits(
        cabinet.carcass,
        cabinet.openings,
        seats=project.cabinet.seats,
        drivers=project.drivers,
        port=box.port if box.kind == "vented" else None,
        port_length=cabinet.port_length,
        braces=cabinet.braces,
        finish=project.cabinet.finish,
    )
    return tuple((_path(project, field), sentence) for field, sentence in found)


def _path(project, field):
    """Where a field that the cabinet's openings name stands in the document."""
    if field.startswith("drivers."):
        return field
    if field.partition(".")[0] in ("port", "fb"):
        return f"alternatives.{project.chosen}.box.{field}"
    return f"cabinet.{field}"


def _masses(project, carcass, bracing, opened):
    """Every part's mass [kg] and centre [m]; a driver hangs at a third of its depth behind the front."""
    parts = [(solid.mass, solid.centroid) for solid in (*carcass.panels.values(), *bracing.braces.values())]
    for each in opened:
        if each.kind == "seat":
            frame = project.drivers[project.cabinet.seats[each.name].driver].frame
            parts.append((frame.mass, (each.x, (frame.depth or 0.0) / 3, each.y)))
    middle = tuple(carcass.outer[axis] / 2 for axis in (0, 2, 1))
    parts += [(thing.mass, middle) for thing in project.cabinet.displaced.values()]
    return parts


# --- Boxes


def _box(key, project, drivers, place, cabinet, f, built=False):
    """One alternative; with `built`, holding the air and the port that the cabinet really has."""
    each = project.alternatives[key]
    box = each.box
    Vb = cabinet.net if built or box.Vb is None else box.Vb
    apparent = Vb * (box.filling or 1.0)
    constants = drivers[each.driver].constants
    Xmax = project.drivers[each.driver].Xmax
    Pe = project.drivers[each.driver].Pe
    fb, length = (None, None) if box.kind == "closed" else _tuned(box, apparent, cabinet, place, built)
    if constants is None:
        ports = None if fb is None else _port(box, apparent, fb, length, place, cabinet, None, None, None)
        return BoxResult(key, box.kind, Vb, apparent, fb, ports, drivers[each.driver].completed.missing)

    group = wired_group(constants, each.count, each.wiring)
    volts = each.V if each.V is not None else sqrt(each.P * group.Re)
    require_physical(V=volts)
    drive = volts / TEST_VOLTS
    if box.kind == "closed":
        fc, Qtc = _closed_tuning(group, apparent, box, each.Rs)
        losses = dict(QL=box.QL, QA=box.QA)

        def heard(f, group=group):
            return closed_box(f, group, apparent, place.c, place.rho, TEST_VOLTS, each.Rs, **losses)
    else:
        fc = Qtc = None
        losses = dict(QL=box.QL, QA=box.QA, QP=box.QP)
        total = box.port.count * _opening(box.port).area

        def heard(f, group=group):
            return vented_box(
                f, group, apparent, fb, place.c, place.rho, TEST_VOLTS, each.Rs, port_area=total, **losses
            )

    response = heard(f)
    reference = limits.reference_level(group, TEST_VOLTS, each.Rs, place.c, place.rho)
    plain = without_inductance(group)
    Vd = None if Xmax is None else driver.Vd(group.Sd, Xmax)
    heard_bass = (f >= 20) & (f <= 200)
    latest = int(np.argmax(np.where(heard_bass, response.group_delay, -np.inf)))
    least = int(np.argmin(response.Z))
    return BoxResult(
        key=key,
        kind=box.kind,
        Vb=Vb,
        apparent=apparent,
        fb=fb,
        port=None if fb is None else _port(box, apparent, fb, length, place, cabinet, response, drive, Vd),
        missing=(),
        group=group,
        watts=volts**2 / group.Re,
        volts=volts,
        drive=drive,
        response=response,
        reference=reference,
        cutoffs=limits.cutoffs(lambda f: heard(f, plain), reference),
        Qtc=Qtc,
        fc=fc,
        Xmax=Xmax,
        limits=limits.largest_level(
            response,
            TEST_VOLTS,
            group.Re,
            Xmax,
            None if Pe is None else Pe * each.count,
            port.OLDER_SPEED.value,
        ),
        travel_from=_travel_from(f, response.cone * drive, Xmax),
        travel_peak=float(np.max(response.cone[f >= AUDIBLE])) * drive,
        least_Z=float(response.Z[least]),
        least_Z_at=float(f[least]),
        delay_peak=float(response.group_delay[latest]),
        delay_at=float(f[latest]),
    )


def _tuned(box, apparent, cabinet, place, built):
    """Tuning [Hz] and port length [m] of a vented box that seems as large as `apparent` [m³]."""
    with inputs_at("box"), _fields_of_port():
        way = _opening(box.port)
        if built or box.Vb is None:
            length = cabinet.port_length
        else:
            length = _port_length(box, apparent, place)
        fb = port.port_tuning(apparent, length, box.port.count, way.area, way.ends, place.c)
    return fb, length


def _closed_tuning(group, apparent, box, Rs):
    """Resonance [Hz] and total Q [-] of a closed box, what lies before the driver and the losses counted."""
    Qts = with_source(group.Qms, group.Qes, group.Re, Rs).Qts
    fc, Qtc = closed_box_tuning(group.fs, Qts, group.Vas, apparent)
    return fc, closed_box_lossy_Q(Qtc, group.Vas / apparent, box.QL, box.QA)


def _travel_from(f, travel, Xmax):
    """Lowest frequency from which up the cone stays inside Xmax [Hz]; None if it always does."""
    if Xmax is None:
        return None
    over = np.flatnonzero((travel > Xmax) & (f >= AUDIBLE))
    if not over.size:
        return None
    i = int(over[-1])
    if i + 1 >= len(f):
        return float(f[i])
    share = (travel[i] - Xmax) / (travel[i] - travel[i + 1])
    return float(f[i] * (f[i + 1] / f[i]) ** share)


def _power_fact(project, box):
    """Whether the drivers bear what is stated; nothing is said where their sheet is silent."""
    each = project.alternatives[box.key]
    Pe = project.drivers[each.driver].Pe
    watts = box.watts if box.watts is not None else each.P if each.V is None else None
    if None in (Pe, watts) or watts <= Pe * each.count * (1 + 1e-9):
        return
    many = "driver bears" if each.count == 1 else "drivers bear together"
    yield (
        f"alternatives.{box.key}.{'P' if each.V is None else 'V'}",
        f"The stated power of box {box.key} is more than its {many}.",
    )


# --- The shop


def _sheet_of_each(project):
    """Which sheet each panel and each brace is cut from."""
    return {**project.cabinet.panels, **{name: brace.sheet for name, brace in project.cabinet.braces.items()}}


def _seats(project):
    """Router settings for each seat whose driver's flange and cut-out are known; None for the others."""
    shop, cabinet = project.workshop, project.cabinet
    thickness = shop.sheets[cabinet.panels["front"]].thickness
    seats = {}
    for name, each in cabinet.seats.items():
        frame = project.drivers[each.driver].frame
        if None in (frame.flange, frame.flange_thickness, frame.cutout):
            seats[name] = None
            continue
        with inputs_at(f"cabinet.seats.{name}"):
            seats[name] = bored_seat(
                frame.flange, frame.flange_thickness, frame.gasket, frame.cutout, cabinet.finish, each.flush,
                thickness, shop.bits[shop.bit], shop.flange_clearance, shop.pass_depth, shop.web,
            )  # fmt: skip
    return seats


def _holes(project, cabinet):
    """How the bit cuts each round hole beside the drivers': ports, terminals, cups."""
    bit = project.workshop.bits[project.workshop.bit]
    return tuple(
        round_hole(each.name, each.panel, each.width, each.x, each.y, bit)
        for each in cabinet.openings
        if each.kind != "seat" and each.round
    )
