"""The ports of a box -> what they are cut to, what they take from the air, and how they blow."""

from contextlib import contextmanager
from typing import NamedTuple

import numpy as np

from calc.cabinet.volume_ledger import port_displacement
from calc.errors import InputError
from calc.result import PortResult
from calc.sound import port

TRIMS = (-0.02, -0.01, -0.005, 0.005, 0.01, 0.02)
"""Changes of a port's length that its page tells the effect of. [m]"""


def tubes(box):
    """The `Port`s of a box by their name in the document; none for a closed box or passive radiators."""
    names = {"vented": ("port", "other"), "band_pass": ("port", "rear")}.get(box.kind, ())
    return {name: getattr(box, name) for name in names if getattr(box, name) is not None}


class Way(NamedTuple):
    """Of one port: area, outer area [m²], its narrow way, its perimeter, and the end corrections [m]."""

    area: float
    outer: float
    narrow: float
    perimeter: float
    ends: tuple


_OF_PORT = {"wall": "wall", "length": "length", "count": "count"} | {
    name: f"shape.{name}" for name in ("diameter", "width", "height")
}


@contextmanager
def fields_of(name):
    """Put the field of a refusal that the port `name` met where it stands, seen from its box."""
    try:
        yield
    except InputError as error:
        inside = _OF_PORT.get(error.field)
        raise InputError(f"{name}.{inside}" if inside else error.field, error.problem) from error


def way(each, name="port"):
    """The `Way` of a port."""
    with fields_of(name):
        return _way(each)


def _way(each):
    shape = each.shape
    ends = (each.outer, each.inner)
    if shape.kind == "round":
        d = shape.diameter
        corrections = tuple(port.round_end_correction(d, end) for end in ends)
        return Way(port.round_area(d), port.tube_outer_area(d, each.wall), d, np.pi * d, corrections)
    w, h = shape.width, shape.height
    corrections = tuple(port.slot_end_correction(w, h, end, shape.along_wall) for end in ends)
    outer = port.channel_outer_area(w, h, each.wall, shape.along_wall)
    return Way(w * h, outer, min(w, h), 2 * (w + h), corrections)


def seeming(box, f):
    """How many times larger than it is the filling makes the air seem at f [Hz]."""
    return 1.0 if box.filling is None else box.filling


def air_before(box, Vb, fb):
    """How large the air behind each port seems at the tuning fb [m³], by the port's name; all of it is Vb.

    Only the rear chamber of a band-pass is filled. None where Vb is not known yet.
    """
    if Vb is None or not tubes(box):
        return {}
    if box.kind == "band_pass":
        share = Vb / box.Vb
        return {"port": box.Vf * share, "rear": box.Vr * share * seeming(box, box.fr)}
    return dict.fromkeys(("port", "other"), Vb * seeming(box, fb))


def lengths(box, Vb, c):
    """What each port is cut to [m], as typed or from the tuning, where the box holds Vb [m³] of air.

    Vb is not asked for where the length is typed.
    """
    ports = tubes(box)
    air = air_before(box, Vb, box.fb) if ports else {}
    return {name: _length(box, name, each, air.get(name), c) for name, each in ports.items()}


def _length(box, name, each, air, c):
    with fields_of(name):
        if each.length is not None:
            return each.length
        if name == "rear":
            with _tuning_called("fr"):
                return port.port_length(air, box.fr, each.count, *_open(each, name), c)
        return port.port_length(air, box.fb, each.count, *_open(each, name), c)


@contextmanager
def _tuning_called(name):
    try:
        yield
    except InputError as error:
        raise InputError(name if error.field == "fb" else error.field, error.problem) from error


def _open(each, name):
    here = way(each, name)
    return here.area, here.ends


def tuning(air, length, each, c, name="port"):
    """Tuning [Hz] of ports cut to `length` [m] before air that seems as large as `air` [m³]."""
    with fields_of(name):
        return port.port_tuning(air, length, each.count, *_open(each, name), c)


def displaced(each, name, length, panel_thickness):
    """Air that the ports take, walls and bore. [m³]"""
    return port_displacement(way(each, name).outer, max(length - panel_thickness, 0.0), each.count)


def ports_called(name, count):
    """What the ledger calls them."""
    word = {"port": "port", "other": "other port", "rear": "rear port"}[name]
    return word if count == 1 else f"{count} {word}s"


def port_result(each, name, air, fb, length, place, carcass, speed=None, f=None, Vd=None):
    """The `PortResult` of ports tuned to fb; their air speed only where `speed` [m/s, over f] is known."""
    area, outer, narrow, perimeter, ends = way(each, name)
    effective = length + sum(ends)
    resistance = port.wall_resistance(fb, area, perimeter, place.rho, place.mu)
    fastest = None if speed is None else int(np.argmax(speed))
    return PortResult(
        count=each.count,
        area=area,
        outer_area=outer,
        narrow=narrow,
        length=length,
        effective_length=effective,
        inside_length=max(length - carcass.panels[each.panel].thickness, 0.0),
        room=carcass.inner[2],
        pipe_resonance=port.pipe_resonance(effective, place.c),
        wall_Q=port.wall_Q(fb, area, length, effective, resistance, place.rho) if length > 0 else None,
        speed=None if speed is None else float(speed[fastest]),
        speed_at=None if speed is None else float(f[fastest]),
        smallest_area=None if Vd is None else port.smallest_area(fb, Vd),
        trims=tuple(
            (by, port.port_tuning(air, length + by, each.count, area, ends, place.c) - fb)
            for by in TRIMS
            if length + by > 0
        ),
    )
