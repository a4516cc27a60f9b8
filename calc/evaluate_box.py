"""One alternative -> what it does: its circuit, its curves, how low and how loud, its ports and radiators."""

from contextlib import contextmanager
from dataclasses import replace
from math import pi, sqrt
from typing import NamedTuple

import numpy as np

from calc.errors import InputError, inputs_at
from calc.evaluate_losses import losses as built_losses
from calc.evaluate_losses import seeming
from calc.evaluate_port import air_before, blown, lengths, port_result, tubes, tuning, way
from calc.result import BoxResult, RadiatorResult, fastest_over_mean
from calc.sound import driver, limits, port, voice_coil
from calc.sound.box_circuit import (
    BandPassCircuit,
    ClosedCircuit,
    DoubleBandPassCircuit,
    RadiatorCircuit,
    VentedCircuit,
)
from calc.sound.closed_box import closed_box_lossy_Q, closed_box_tuning
from calc.sound.driver import with_source
from calc.sound.high_pass import HighPass
from calc.sound.limits import AUDIBLE
from calc.sound.passive_radiator import radiator_mass, radiator_tuning
from calc.sound.ranges import require_physical
from calc.sound.several_drivers import compound_pair
from calc.sound.several_drivers import group as wired_group
from calc.sound.time_domain import latest

TEST_VOLTS = 2.83
"""The drive that levels are quoted for. [V]"""


class Air(NamedTuple):
    """Of one alternative: its air as it is and as it seems, all of it and `before` each port [m³].

    `lengths` [m] of its ports, by name; its tunings [Hz] are None where nothing tunes it, `fc` is the
    resonance of a closed chamber.
    """

    Vb: float
    apparent: float
    before: dict
    lengths: dict
    fb: float | None
    fr: float | None
    fc: float | None


def box(key, project, drivers, place, cabinet, f, built=False):
    """The `BoxResult` of one alternative; with `built`, holding the air and the ports the cabinet has."""
    each = project.alternatives[key]
    constants = drivers[each.driver].constants
    group = None if constants is None else grouped(constants, each)
    made = built or (each.box.Vb is None and key == project.chosen)
    air = _air_of(each, place, cabinet, group, built, made)
    ports = _ports(each.box, air, place, cabinet)
    cones = _radiator(each.box, air, place)
    if group is None:
        missing = drivers[each.driver].completed.missing
        return BoxResult(
            key, each.box.kind, air.Vb, air.apparent, air.fb, ports.get("port"), missing,
            ports=ports, radiator=cones,
        )  # fmt: skip
    Pe, Xmax = project.drivers[each.driver].Pe, project.drivers[each.driver].Xmax
    cold = grouped(constants, each, warm=False)
    volts = each.V if each.V is not None else sqrt(each.P * cold.Re)
    require_physical(V=volts)
    drive = volts / TEST_VOLTS
    with inputs_at("box"):
        losses = built_losses(each, air.fb or air.fc, air.apparent, ports, project, place)
    Qts = with_source(group.Qms, group.Qes, group.Re, each.Rs).Qts
    circuit = _circuit(each, group, air, losses, cones, place)
    response = circuit.response(f)
    plain = circuit.plain
    reference = _reference(each, plain, air, place)
    ports = _blown(ports, air, response, drive, None if Xmax is None else driver.Vd(group.Sd, Xmax))
    if cones is not None:
        cones = _moved(cones, response, drive)
    late = latest(f, response.group_delay)
    least = int(np.argmin(response.Z))
    return BoxResult(
        key=key,
        kind=each.box.kind,
        Vb=air.Vb,
        apparent=air.apparent,
        fb=air.fb,
        port=ports.get("port"),
        missing=(),
        ports=ports,
        radiator=cones,
        circuit=circuit,
        losses=losses,
        group=group,
        watts=volts**2 / cold.Re,
        volts=volts,
        drive=drive,
        response=response,
        reference=reference,
        cutoffs=limits.cutoffs(lambda f: plain.response(f), reference),
        upper=_upper(f, response.level, reference) if each.box.kind == "band_pass" else None,
        Qts=Qts,
        Qtc=_Qtc(Qts, group, air, losses) if each.box.kind == "closed" else None,
        fc=air.fc,
        Xmax=Xmax,
        limits=limits.largest_level(
            response,
            TEST_VOLTS,
            cold.Re,  # sheets state their power into the cold coils
            **own_limits(each, Xmax, Pe, ports),
            passed=1.0 if circuit.high_pass is None else circuit.high_pass.gain(f),
        ),
        travel_from=_travel_from(f, response.cone * drive, Xmax),
        travel_peak=float(np.max(response.cone[f >= AUDIBLE])) * drive,
        least_Z=float(response.Z[least]),
        least_Z_at=float(f[least]),
        delay_peak=late.delay,
        delay_at=late.f,
    )


def grouped(constants, each, warm=True):
    """The drivers of an alternative as one, wired and mounted; their coils as warm as it says."""
    if warm and each.rise:
        constants = _warmed(constants, each.rise)
    if not each.compound:
        return wired_group(constants, each.count, each.wiring)
    in_pair, pairs = ("series", "parallel") if each.wiring == "series_parallel" else (each.wiring,) * 2
    return wired_group(compound_pair(constants, in_pair), each.count // 2, pairs)


def _warmed(constants, rise):
    """The same driver with a coil that is `rise` [K] warmer: its motor brakes less."""
    Re = voice_coil.hot(constants.Re, rise)
    Qes = constants.Qes * Re / constants.Re
    return replace(constants, Re=Re, Qes=Qes, Qts=constants.Qms * Qes / (constants.Qms + Qes))


@contextmanager
def fields_of(project, key):
    """Put the field of a refusal that the box `key` met where it stands in the document."""
    each = project.alternatives[key]
    drive = "V" if each.V is not None else "P"
    try:
        yield
    except InputError as error:
        name = error.field
        if name in _OF_DRIVER:
            place = f"drivers.{each.driver}.{name}"
        elif name in ("Vb", "Vr", "Vf", "fb", "fr", "QL", "QA", "QP"):
            place = f"alternatives.{key}.box.{name}"
        elif name in _OF_RADIATOR:
            place = f"alternatives.{key}.box.radiator.{_OF_RADIATOR[name]}"
        else:
            place = f"alternatives.{key}.{drive if name == 'V' else name}"
        raise InputError(place, error.problem) from error


_OF_DRIVER = (*driver.SYMBOLS, "Le", "Le2", "Re2", "K", "n", "Xmax", "Pe")
_OF_RADIATOR = {
    "Sp": "Sp",
    "Cmp": "Mmp",
    "Mmp": "Mmp",
    "Rmp": "Qmp",
    "fp": "fp",
    "Vap": "Vap",
    "added": "added",
}


# --- The air, and what tunes it


def _air_of(each, place, cabinet, group, built, made):
    """Solve an alternative's air and tunings: built, in the cabinet's air; made, with the cabinet's ports."""
    box = each.box
    Vb = cabinet.net if built or box.Vb is None else box.Vb
    with inputs_at("box"):
        cut = cabinet.port_lengths if made else lengths(box, Vb, place)
        before, fb = _tuned(box, Vb, cut, place)
        fr = tuning(box, "rear", before["rear"], cut, place.c) if "rear" in cut else None
    filled = Vb * box.Vr / box.Vb if box.kind == "band_pass" else Vb
    fc = None
    if group is not None and box.kind in ("closed", "band_pass") and fr is None:
        fc, apparent = _resonance(box, group, filled, place)
    else:
        apparent = filled * seeming(box, fr or fb or getattr(box, "fb", None), filled, place)
    if box.kind == "passive_radiator":
        fb = _radiator_values(box.radiator, apparent, box.fb, place)[0].fb
    return Air(Vb, Vb - filled + apparent, before, cut, fb, fr, fc)


def _tuned(box, Vb, cut, place):
    """The air before each port as it seems at the tuning, and that tuning, which moves it a little."""
    fb = box.fb if "port" in cut else None
    for _ in range(4 if fb is None else 1):
        before = air_before(box, Vb, fb, place)
        fb = tuning(box, "port", before["port"], cut, place.c) if "port" in cut else None
    return before, fb


def _resonance(box, group, air, place):
    """Resonance fc [Hz] of drivers before closed air [m³], and how large that air seems there [m³]."""
    fc = group.fs
    for _ in range(4):
        apparent = air * seeming(box, fc, air, place)
        fc, _ = closed_box_tuning(group.fs, group.Qts, group.Vas, apparent)
    return fc, apparent


def _radiator_values(each, apparent, fb, place):
    """(tuning, Cmp, Mmp with what is added, Rmp, added) of passive radiators before that air."""
    wp = 2 * pi * each.fp
    if each.Mmp is not None:
        Mmp = each.Mmp
        Cmp = 1 / (wp**2 * Mmp)
    else:
        Cmp = each.Vap / (place.rho * place.c**2 * each.Sp**2)
        Mmp = 1 / (wp**2 * Cmp)
    Rmp = wp * Mmp / each.Qmp
    require_physical(Sp=each.Sp, Cmp=Cmp, Mmp=Mmp, Rmp=Rmp)
    added = each.added
    if added is None:
        added = radiator_mass(fb, apparent, each.count, each.Sp, Cmp, place.c, place.rho) - Mmp
        if added < 0:
            raise InputError(
                "fb", "is higher than the bare radiators tune it: tune lower, or take more or larger ones"
            )
    return (
        radiator_tuning(apparent, each.count, each.Sp, Cmp, Mmp + added, place.c, place.rho),
        Cmp, Mmp + added, Rmp, added,
    )  # fmt: skip


# --- The circuit


def _circuit(each, group, air, losses, cones, place):
    box = each.box
    filtered = each.high_pass and HighPass(each.high_pass.order, each.high_pass.f)
    common = dict(
        driver=group, c=place.c, rho=place.rho, V=TEST_VOLTS, Rs=each.Rs, QL=losses.QL,
        capacitor=each.capacitor, high_pass=filtered,
    )  # fmt: skip
    if box.kind == "closed":
        return ClosedCircuit(Vb=air.apparent, QA=losses.QA, **common)
    if box.kind == "passive_radiator":
        moving = dict(count=cones.count, Sp=box.radiator.Sp, Cmp=cones.Cmp, Mmp=cones.Mmp, Rmp=cones.Rmp)
        return RadiatorCircuit(Vb=air.apparent, QA=losses.QA, **moving, **common)
    area = {name: one.count * way(one, name).area for name, one in tubes(box).items()}
    if box.kind == "vented":
        return VentedCircuit(
            Vb=air.apparent, fb=air.fb, QA=losses.QA, QP=losses.QP, port_area=sum(area.values()), **common
        )
    front = air.before["port"]
    chambers = dict(Vr=air.apparent - front, Vf=front, fb=air.fb, QP=losses.QP, port_area=area["port"])
    if box.rear is None:
        return BandPassCircuit(**chambers, **common)
    return DoubleBandPassCircuit(fr=air.fr, rear_area=area["rear"], **chambers, **common)


def _reference(each, plain, air, place):
    """The level that cut-offs are counted from [dB]: of a band-pass that at its front chamber's tuning."""
    if each.box.kind == "band_pass":
        return float(plain.response([air.fb]).level[0])
    return limits.reference_level(plain.driver, TEST_VOLTS, each.Rs, place.c, place.rho)


def _upper(f, level, reference):
    """Where a band-pass falls 3 dB at its upper end [Hz]; None if it does not in sight."""
    last = _last_over(f, level, reference - 3)
    return None if last == f[-1] else last


def _last_over(f, curve, limit):
    """Where a curve falls through a limit for the last time [Hz]: f's end if over it there, None if never."""
    over = np.flatnonzero(curve > limit)
    if not over.size:
        return None
    i = int(over[-1])
    if i + 1 >= len(f):
        return float(f[i])
    share = (curve[i] - limit) / (curve[i] - curve[i + 1])
    return float(f[i] * (f[i + 1] / f[i]) ** share)


def _Qtc(Qts, group, air, losses):
    """Total Q of a closed box [-], what lies before the driver and the losses counted."""
    _, Qtc = closed_box_tuning(group.fs, Qts, group.Vas, air.apparent)
    return closed_box_lossy_Q(Qtc, group.Vas / air.apparent, losses.QL, losses.QA)


# --- What it says


def _ports(box, air, place, cabinet):
    """The `PortResult` of each kind of port, by its name in the document."""
    found = {}
    for name in tubes(box):
        with inputs_at("box"):
            found[name] = port_result(
                box, name, air.before[name], _tuning_of(name, air), air.lengths, place, cabinet.carcass
            )
    return found


def _blown(ports, air, response, drive, Vd):
    """The same with what the drivers do to their air."""
    speeds = {"rear": response.rear_port_speed}
    with inputs_at("box"):
        return {
            name: blown(
                found, _tuning_of(name, air), speeds.get(name, response.port_speed) * drive, response.f, Vd
            )
            for name, found in ports.items()
        }


def _tuning_of(name, air):
    return air.fr if name == "rear" else air.fb


def _radiator(box, air, place):
    """The `RadiatorResult` of passive radiators, without what moves them; None where there are none."""
    if box.kind != "passive_radiator":
        return None
    tuned, Cmp, Mmp, Rmp, added = _radiator_values(box.radiator, air.apparent, box.fb, place)
    return RadiatorResult(
        count=box.radiator.count,
        fb=tuned.fb,
        notch=tuned.fp,
        delta=tuned.delta,
        Mmp=Mmp,
        added=added,
        Cmp=Cmp,
        Rmp=Rmp,
        Xmax=box.radiator.Xmax,
    )


def _moved(cones, response, drive):
    """The same with their travel."""
    most = int(np.argmax(np.where(response.f >= AUDIBLE, response.radiator, 0.0)))
    return replace(cones, travel=float(response.radiator[most]) * drive, travel_at=float(response.f[most]))


def own_limits(each, Xmax, Pe, ports):
    """What an alternative may not exceed, as `calc.sound.limits` and `calc.sound.noise` take it.

    The port's limit is that of the fastest of its openings, told as the mean over all.
    """
    return {
        "Xmax": Xmax,
        "Pe": None if Pe is None else Pe * each.count,
        "port_limit": port.OLDER_SPEED.value / fastest_over_mean(ports),
        "amplifier": each.amplifier,
        "radiator_Xmax": each.box.radiator.Xmax if each.box.kind == "passive_radiator" else None,
    }


def _travel_from(f, travel, Xmax):
    """Lowest frequency from which up the cone stays inside Xmax [Hz]; None if it always does."""
    if Xmax is None:
        return None
    return _last_over(f, np.where(f >= AUDIBLE, travel, 0.0), Xmax)
