"""The ports of the chosen box closely: how hard they may blow, how they sound, how to cut them, and where."""

from dataclasses import dataclass, replace
from math import hypot

import numpy as np

from calc.cabinet.port_room import near_inner_end, port_room
from calc.errors import InputError
from calc.evaluate_cabinet import cover
from calc.evaluate_port import air_before, sized, tubes, way
from calc.sound import pipe, port, port_flow

STEPS = range(-4, 5)
"""Changes of the tuning that lengths are told for. [Hz]"""

AROUND = np.geomspace(0.4, 2.5, 64)
"""Over the tuning: where the loss at the ends is looked for. [-]"""

BEND = 2.0
"""Radius of the middle of an elbow over that of its bore: a usual one (common practice, no source). [-]"""


@dataclass(frozen=True)
class Blowing:
    """How the air in the fastest of the ports blows.

    power : [W], (n,); speed : peak without loss; least, most : with the least and the largest loss of the
        ends [m/s], (n,)
    loss_least, loss_most : what that takes from the level at its worst note [dB], (n,)
    power_at : {"cautious" or "older": the power [W] that comes to that speed}
    now : (least, most) loss at the stated power [dB]
    decibel : power [W] that costs 1 dB by the largest loss, None beyond `power`
    f : of the fastest air [Hz]; mach, reynolds, boundary, strouhal [-], travel [m] : its numbers there
    zeta : (least, most) loss of the ends over rho v²/2 [-]

    What the losses make of it is None where they cannot be told.
    """

    judgement: port_flow.Judgement
    f: float
    mach: float
    reynolds: float
    boundary: float
    strouhal: float
    travel: float
    power: np.ndarray
    speed: np.ndarray
    power_at: dict
    zeta: tuple
    least: np.ndarray | None = None
    most: np.ndarray | None = None
    loss_least: np.ndarray | None = None
    loss_most: np.ndarray | None = None
    now: tuple | None = None
    decibel: float | None = None


@dataclass(frozen=True)
class Pipes:
    """The ports as pipes. `half_waves` [Hz] by name; the rest None where the line cannot tell.

    f : [Hz], (n,); level : of the ports alone over the woofer's middle level [dB], (n,); filtered : what the
        woofer's crossover leaves of it, None where it is not known
    dead : level where the walls of the box send nothing back, what lining can do at best [dB], (n,); None
        where the depth of the box is not in it. plane : up to where depth alone counts [Hz]
    """

    half_waves: dict
    untold: str | None
    plane: float
    f: np.ndarray | None = None
    level: np.ndarray | None = None
    filtered: np.ndarray | None = None
    resonances: tuple = ()
    dead: np.ndarray | None = None


@dataclass(frozen=True)
class Cutting:
    """How long for which tuning.

    lengths : ((tuning [Hz], length [m] or None), ...); leave : to cut first [m], None where there is none
    moved : name in the document of the port that is cut; both where they are cut alike.
    """

    lengths: tuple
    leave: float | None
    moved: str


@dataclass(frozen=True)
class Uncounted:
    """What is not in the length: "panel", "neighbours" or "bends". `by` [m] it acts longer, tuning `df` [Hz].

    Both None where it cannot be told.
    """

    name: str
    by: float | None
    df: float | None


@dataclass(frozen=True)
class PortDetail:
    """All of it. ends : ((name of the port, outer or inner, its kind, what it adds [m]), ...).

    rooms : {"front", "back": PortRoom} of the first kind of port; near : what is near its inner ends.
    shares : of ports that share the air, {name: (share of the flow [-], speed over the mean [-])}.
    """

    ends: tuple
    uncounted: tuple
    shares: dict
    cutting: Cutting
    blowing: Blowing | None
    pipes: Pipes
    rooms: dict
    near: tuple


def port_detail(project, result):
    """The `PortDetail` of the chosen box, None where it has no port."""
    box = result.box
    if box.port is None:
        return None
    decided = project.alternatives[project.chosen].box
    cut = {name: each.length for name, each in box.ports.items()}
    rooms, near = _rooms(project, result, decided)
    return PortDetail(
        ends=_ends(decided),
        uncounted=_uncounted(result, decided, box, cut),
        shares=_shares(decided, cut),
        cutting=_cutting(decided, box, cut, result.air),
        blowing=_blowing(decided, box, result.air, cut),
        pipes=_pipes(project, result, decided, cut),
        rooms=rooms,
        near=near,
    )


# --- ends


def _ends(decided):
    return tuple(
        (name, side, kind, adds)
        for name, each in tubes(decided).items()
        for side, kind, adds in zip(
            ("outer", "inner"), (each.outer, each.inner), way(each, name).ends, strict=True
        )
    )


def _uncounted(result, decided, box, cut):
    """What the length of the first ports leaves out, and what it would do to the tuning."""
    each, first = decided.port, box.port
    found = []
    if first.fits and not each.bends:
        found.append(("panel", port.panel_correction(first.area, first.clearance)))
    mouths = [one for one in result.openings if one.of == "port"]
    if each.count > 1 and len(mouths) == each.count:
        found.append(("neighbours", _neighbours(mouths, first.area)))
    if each.bends and first.narrow:
        radius = port.diameter_of(first.area) / 2
        found.append(("bends", each.bends * port.bend_correction(radius, BEND * radius)))
    told = [(name, by if by is None or first.effective_length + by > 0 else None) for name, by in found]
    return tuple(Uncounted(name, by, _moved(result, decided, box, cut, by)) for name, by in told)


def _neighbours(mouths, area):
    """What equal ports add to each other at both ends, on average over them [m]; None where they touch."""
    total = 0.0
    for one in mouths:
        apart = [hypot(one.x - other.x, one.y - other.y) for other in mouths if other is not one]
        if min(apart) < port.diameter_of(area):
            return None
        total += sum(port.neighbour_correction(area, apart, end) for end in ("flanged", "free"))
    return total / len(mouths)


def _moved(result, decided, box, cut, by):
    """Change of the tuning where the first ports act longer by that. [Hz]"""
    if by is None:
        return None
    names = _sharing(decided)
    ports = [sized(tubes(decided)[name], name) for name in names]
    longer = [(n, S, e + by if name == "port" else e) for name, (n, S, e) in zip(names, ports, strict=True)]
    before, after = (
        port.ports_tuning(1.0, some, [cut[name] for name in names], result.air.c) for some in (ports, longer)
    )
    return box.fb * (after / before - 1)


def _sharing(decided):
    """Names of the ports that breathe from the same air as the first."""
    return [name for name in tubes(decided) if name != "rear"]


def _shares(decided, cut):
    names = _sharing(decided)
    if len(names) == 1:
        return {}
    parts = port.flow_shares(
        [sized(tubes(decided)[name], name) for name in names], [cut[name] for name in names]
    )
    return dict(zip(names, zip(*parts, strict=True), strict=True))


# --- cutting


def _cutting(decided, box, cut, place):
    """Lengths of the first ports, or of both sizes where they are cut alike, around the tuning."""
    air = air_before(decided, box.Vb, box.fb, place)["port"]
    names = _sharing(decided)
    ports = [sized(tubes(decided)[name], name) for name in names]
    least = max(way(tubes(decided)[name], name).least for name in names)
    fixed = ()
    if "other" in cut and decided.other.length is not None:
        fixed, least = (cut["other"],), way(decided.port).least

    def length(fb):
        if fixed:
            return port.remaining_length(air, fb, ports[0], ports[1:], fixed, place.c, least)
        return port.common_length(air, fb, ports, place.c, least)

    def left(fb):
        return port.length_to_leave(air, fb, ports, place.c, least, fixed)

    return Cutting(
        tuple((box.fb + step, _or_none(length, box.fb + step)) for step in STEPS),
        _or_none(left, box.fb),
        "both" if len(names) > 1 and not fixed else "port",
    )


def _or_none(length, fb):
    try:
        return length(fb) if fb > 1 else None
    except InputError:
        return None  # no port of any length tunes it so


# --- blowing


def _blowing(decided, box, air, cut):
    known = {name: each for name, each in box.ports.items() if name != "rear" and each.speed is not None}
    if not known or not max(each.speed for each in known.values()) > 0:
        return None
    name = max(known, key=lambda name: known[name].speed)
    each, fast = tubes(decided)[name], known[name]
    v, f, across = fast.speed, fast.speed_at, port.diameter_of(fast.area)
    zeta = port_flow.end_losses(each.outer, each.inner, across, each.flare)
    power = _powers(box.watts, v)
    flares = None if "flared" not in (each.outer, each.inner) else each.flare
    blowing = Blowing(
        judgement=port_flow.judgement(v, f, flares),
        f=f,
        mach=port.mach(v, air.c),
        reynolds=port.reynolds(v, across, air.rho, air.mu),
        boundary=port_flow.boundary_reynolds(f, v, air.rho, air.mu),
        strouhal=port.strouhal(f, across / 2, v),
        travel=port.air_travel(f, v),
        power=power,
        speed=port_flow.speed_at_power(v, box.watts, power),
        power_at={
            key: port_flow.power_at_speed(v, box.watts, guidance.value)
            for key, guidance in (("cautious", port.CAUTIOUS_SPEED), ("older", port.OLDER_SPEED))
        },
        zeta=zeta,
    )
    if hasattr(box.circuit, "fr"):  # its QP is that of two chambers at once
        return blowing
    try:
        return _lossy(blowing, decided, box, cut, fast.speed_over_mean)
    except InputError:
        return blowing  # the ends lose more than a port that is any use


def _powers(watts, v):
    """From a hundredth to ten times the stated power, as far as the air stays below `FASTEST`. [W]"""
    most = port_flow.power_at_speed(v, watts, 0.99 * port_flow.FASTEST)
    return np.geomspace(min(watts, most) / 100, min(10 * watts, most), 31)


def _lossy(blowing, decided, box, cut, over_mean):
    """The same with what the ends lose at the worst note, by the least and by the largest loss.

    Ports of two sizes are taken as one of their area. What it loses is what they lose together, n S v³ of
    each; the ends of the fastest stand for all.
    """
    names = _sharing(decided)
    ports, cuts = [sized(tubes(decided)[name], name) for name in names], [cut[name] for name in names]
    area = sum(n * S for n, S, _ in ports)
    effective = area / port.conductance(ports, cuts)
    _, ratios = port.flow_shares(ports, cuts)
    power = sum(n * S / area * ratio**3 for (n, S, _), ratio in zip(ports, ratios, strict=True))
    QP, f = box.circuit.QP, box.fb * AROUND

    def solve(QP):
        return replace(box.circuit, QP=QP).response(f)

    drives = box.drive * np.sqrt(blowing.power / box.watts)
    found = {
        zeta: port_flow.separated(solve, drives, box.fb, effective, zeta * power, QP)
        for zeta in set(blowing.zeta)
    }
    low, high = (found[zeta] for zeta in blowing.zeta)
    worst = [each.loss.max(axis=1) for each in (low, high)]
    told = blowing.power[0] <= box.watts <= blowing.power[-1]
    return replace(
        blowing,
        least=low.speed.max(axis=1) * over_mean,
        most=high.speed.max(axis=1) * over_mean,
        loss_least=worst[0],
        loss_most=worst[1],
        now=tuple(float(np.interp(box.watts, blowing.power, each)) for each in worst) if told else None,
        decibel=port_flow.drive_for_loss(high.loss, blowing.power, 1.0),
    )


# --- pipes


def _pipes(project, result, decided, cut):
    box, air = result.box, result.air
    known = {
        name: pipe.Tube(
            each.area, way(tubes(decided)[name], name).perimeter, max(each.length, 1e-9),
            *way(tubes(decided)[name], name).ends, each.count,
        )
        for name, each in box.ports.items()
    }  # fmt: skip
    half_waves = {name: pipe.half_waves(each.effective_length, air.c) for name, each in known.items()}
    width, height, depth = result.cabinet.carcass.inner
    plane = pipe.plane_below(width, height, air.c)
    if box.circuit is None or box.kind != "vented":
        return Pipes(half_waves, "driver" if box.circuit is None else "chambers", plane)
    at = _inner_end(decided.port, box.port, depth)
    deep = at is not None and "other" not in cut
    chamber = pipe.Chamber(box.circuit.Vb, depth, at) if deep else pipe.Chamber(box.circuit.Vb)
    start = max(120.0, 2.5 * box.fb)
    f = np.geomspace(start, max(1.9 * max(waves[0] for waves in half_waves.values()), 2 * start), 800)

    def solved(chamber):
        return pipe.pipe_response(
            f, box.circuit.driver, tuple(known.values()), chamber, box.fb, air.c, air.rho, air.mu,
            Rs=box.circuit.Rs, QL=box.circuit.QL, QA=box.circuit.QA,
        )  # fmt: skip

    response = solved(chamber)
    low_pass = project.alternatives[project.chosen].low_pass
    low_pass = low_pass and (low_pass.f, low_pass.order)
    level = response.port - box.reference
    return Pipes(
        half_waves,
        None,
        plane,
        f,
        level,
        low_pass and level + pipe.low_pass_level(f, *low_pass),
        pipe.resonances(
            response, box.reference, tuple(known.values()), air.c, depth if deep else None, low_pass, start
        ),
        solved(chamber._replace(dead=True)).port - box.reference if deep else None,
    )


def _inner_end(each, first, depth):
    """How far behind the front's inside the first ports end [m]; None where a bend leads who knows where."""
    if each.bends or not first.fits:
        return None
    return first.inside_length if each.panel == "front" else depth - first.inside_length


# --- room


def _rooms(project, result, decided):
    made = result.cabinet
    common = {
        "seats": project.cabinet.seats,
        "drivers": project.drivers,
        "braces": made.braces,
        "finish": cover(project),
    }
    first = made.carcass, result.openings, decided.port, made.port_length
    wood = project.workshop.least_wood
    rooms = {panel: port_room(*first, panel, least_wood=wood, **common) for panel in ("front", "back")}
    return rooms, near_inner_end(*first, **common)
