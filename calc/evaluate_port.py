"""The ports of a box -> what they are cut to, what they take from the air, and how they blow."""

from contextlib import contextmanager
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from calc.cabinet.volume_ledger import port_displacement
from calc.errors import InputError
from calc.evaluate_losses import seeming
from calc.result import PortResult
from calc.sound import port
from calc.sound.limits import AUDIBLE

TRIMS = (-0.02, -0.01, -0.005, 0.005, 0.01, 0.02)
"""Changes of a port's length that its page tells the effect of. [m]"""


def tubes(box):
    """The `Port`s of a box by their name in the document; none for a closed box or passive radiators."""
    names = {"vented": ("port", "other"), "band_pass": ("port", "rear")}.get(box.kind, ())
    return {name: getattr(box, name) for name in names if getattr(box, name) is not None}


class Way(NamedTuple):
    """Of one port: area, outer area [m²], its narrow way, perimeter, end corrections and least length [m]."""

    area: float
    outer: float
    narrow: float
    perimeter: float
    ends: tuple
    least: float


_OF_PORT = {name: name for name in ("wall", "length", "count", "flare", "bends")} | {
    name: f"shape.{name}" for name in ("diameter", "width", "height")
}


@contextmanager
def fields_of(name):
    """Put the field of a refusal that the port `name` met where it stands, seen from its box."""
    try:
        yield
    except InputError as error:
        inside = _OF_PORT.get(error.field)
        tuned = "fr" if (name, error.field) == ("rear", "fb") else error.field
        raise InputError(f"{name}.{inside}" if inside else tuned, error.problem) from error


def way(each, name="port"):
    """The `Way` of a port."""
    with fields_of(name):
        return _way(each)


@lru_cache(maxsize=64)  # asked some fifty times for each project
def _way(each):
    shape = each.shape
    ends = (
        port.end_correction(shape, each.outer, each.flare, in_panel=True),
        port.end_correction(shape, each.inner, each.flare, in_panel=False),
    )
    least = (each.flare or 0.0) * (each.outer, each.inner).count("flared")
    if shape.kind == "round":
        d = shape.diameter
        return Way(port.round_area(d), port.tube_outer_area(d, each.wall), d, np.pi * d, ends, least)
    w, h = shape.width, shape.height
    outer = port.channel_outer_area(w, h, each.wall, shape.along_wall)
    return Way(w * h, outer, min(w, h), 2 * (w + h), ends, least)


def air_before(box, Vb, fb, place):
    """How large the air behind each port seems at the tuning fb [m³], by the port's name; all of it is Vb.

    Only the rear chamber of a band-pass is filled. Nothing is told where Vb is not known yet.
    """
    if Vb is None or not tubes(box):
        return {}
    if box.kind == "band_pass":
        rear = box.Vr * Vb / box.Vb
        return {"port": Vb - rear, "rear": rear * seeming(box, box.fr, rear, place)}
    return dict.fromkeys(("port", "other"), Vb * seeming(box, fb, Vb, place))


def lengths(box, Vb, place):
    """What each port is cut to [m], as typed or from the tuning, where the box holds Vb [m³] of air.

    Vb is not asked for where the length is typed.
    """
    ports = tubes(box)
    air = air_before(box, Vb, box.fb, place) if ports else {}
    if "other" in ports:
        return _of_two_sizes(box, air.get("port"), place.c)
    return {name: _length(box, name, each, air.get(name), place.c) for name, each in ports.items()}


def _typed(each, name, least=0.0):
    """A typed length [m], refused where the rounded ends alone are longer."""
    if each.length is not None and each.length < max(least, way(each, name).least):
        raise InputError(f"{name}.length", "must be longer than its rounded ends")
    return each.length


def _length(box, name, each, air, c):
    if each.length is not None:
        return _typed(each, name)
    here = way(each, name)
    with fields_of(name):
        fb = box.fr if name == "rear" else box.fb
        return port.port_length(air, fb, each.count, here.area, here.ends, c, here.least)


def _of_two_sizes(box, air, c):
    """Lengths of ports of two sizes in one box: those typed, and what the tuning leaves to the others."""
    first, other = sized(box.port, "port"), sized(box.other, "other")
    least, least_other = way(box.port).least, way(box.other, "other").least
    known_other = _typed(box.other, "other")
    known = _typed(box.port, "port", least_other if known_other is None else 0.0)
    if known is not None:
        return {"port": known, "other": known if known_other is None else known_other}
    with fields_of("port"):
        if known_other is None:
            length = port.common_length(air, box.fb, (first, other), c, max(least, least_other))
            return {"port": length, "other": length}
        rest = port.remaining_length(air, box.fb, first, (other,), (known_other,), c, least)
        return {"port": rest, "other": known_other}


def sized(each, name):
    """How many, the area of one [m²], what the air adds at both ends together [m]."""
    here = way(each, name)
    return each.count, here.area, sum(here.ends)


def tuning(box, name, air, cut, c):
    """Tuning [Hz] of the ports `name`, and all that share their air, cut to their lengths in `cut` [m]."""
    sharing = {"other": tubes(box)["other"]} if name == "port" and "other" in cut else {}
    sharing = {name: tubes(box)[name]} | sharing
    with fields_of(name):
        return port.ports_tuning(
            air, [sized(each, one) for one, each in sharing.items()], [cut[one] for one in sharing], c
        )


def speed_over_mean(box, cut):
    """Air speed in each kind of port over the mean of all that share its air [-], by name."""
    if "other" not in cut:
        return dict.fromkeys(cut, 1.0)
    sizes = [sized(box.port, "port"), sized(box.other, "other")]
    _, ratios = port.flow_shares(sizes, [cut["port"], cut["other"]])
    return dict(zip(("port", "other"), ratios, strict=True))


def displaced(each, name, length, panel_thickness):
    """Air that the ports take, walls and bore. [m³]"""
    return port_displacement(way(each, name).outer, max(length - panel_thickness, 0.0), each.count)


def ports_called(name, count):
    """What the ledger calls them."""
    word = {"port": "port", "other": "other port", "rear": "rear port"}[name]
    return word if count == 1 else f"{count} {word}s"


def port_result(box, name, air, fb, cut, place, carcass):
    """The `PortResult` of the ports `name`, tuned to fb, each kind cut to its length in `cut` [m].

    What is known before any driver plays: see `blown` for the rest.
    """
    each, length = tubes(box)[name], cut[name]
    area, outer, narrow, perimeter, ends, least = way(each, name)
    effective = length + sum(ends)
    resistance = port.wall_resistance(fb, area, perimeter, place.rho, place.mu)
    return PortResult(
        count=each.count,
        area=area,
        outer_area=outer,
        narrow=narrow,
        length=length,
        effective_length=effective,
        inside_length=max(length - carcass.panels[each.panel].thickness - carcass.skin(each.panel), 0.0),
        room=carcass.mean_inner[2],
        pipe_resonance=port.pipe_resonance(effective, place.c),
        wall_Q=port.wall_Q(fb, area, length, effective, resistance, place.rho) if length > 0 else None,
        speed_over_mean=speed_over_mean(box, cut)[name],
        trims=tuple(
            (by, tuning(box, name, air, cut | {name: length + by}, place.c) - fb)
            for by in TRIMS
            if length + by > least
        ),
    )


def blown(found, fb, speed, f, Vd):
    """A `PortResult` with what the drivers do to its air.

    `speed` [m/s, over f] is the mean over all openings that share the air; it is judged from `AUDIBLE` up, as
    travel is. `Vd` [m³] is what the drivers move, None where their travel is not known.
    """
    fastest = int(np.argmax(np.where(f >= AUDIBLE, speed, 0.0)))
    return replace(
        found,
        speed=float(speed[fastest]) * found.speed_over_mean,
        speed_at=float(f[fastest]),
        smallest_area=None if Vd is None else port.smallest_area(fb, Vd),
    )
