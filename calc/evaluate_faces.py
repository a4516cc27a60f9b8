"""Project and result -> its faces: skins, how each driver sits under them, the grille, and the bare stage."""

from dataclasses import dataclass, replace
from math import pi, sqrt

from calc.cabinet.constrained_layer import Core, constrained_layer
from calc.cabinet.panel_modes import first_mode_bounds
from calc.cabinet.plates import glued
from calc.cabinet.seating import seating
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_cabinet import cover
from calc.evaluate_port import tubes, way
from calc.evaluate_wood import panel_layer

TERMINALS = 2
"""Leads of one speaker that is played bare: plus and minus."""


@dataclass(frozen=True)
class Stage:
    """A speaker played bare, before what comes `later`, beside the finished one.

    rows : ((words, quantity, bare, finished), ...), None where it is not known. leads : the share of the
    port's area that the leads take, None without leads. later : names of layers and holes. thread : how much
    more a terminal's thread must reach through when it is finished [m].
    """

    rows: tuple
    leads: float | None
    later: tuple
    thread: float


@dataclass(frozen=True)
class Damping:
    """First note of a panel, between a supported and a clamped edge: bare, and with its layer; loss factors.

    bare, layered : (low, high) [Hz]. loss : (supported, clamped), None of a layer without a soft one.
    """

    name: str
    panel: str
    bare: tuple
    layered: tuple
    loss: tuple | None


@dataclass(frozen=True)
class Faces:
    """seatings : {seat: `Seating`}, None where the flange's thickness is not known.

    grille_room : from the furthest cone at its Xmax to the cloth [m], None without a grille; a surround that
    stands out of its frame takes from it. stage : a `Stage` or None. damping : of each layer whose stuff is
    known.
    """

    seatings: dict
    grille_room: float | None
    stage: Stage | None
    damping: tuple


def faces(project, result):
    """What covers the cabinet of a project, and what it does."""
    return Faces(
        seatings={name: _seating(project, result, name) for name in project.cabinet.seats},
        grille_room=_grille_room(project),
        stage=_stage(project, result),
        damping=tuple(_damping(project, result)),
    )


def _seating(project, result, name):
    seat = project.cabinet.seats[name]
    frame = project.drivers[seat.driver].frame
    if frame.flange_thickness is None:
        return None
    ring = 0.0 if seat.ring is None else project.workshop.sheets[seat.ring.sheet].thickness
    if seat.wall is not None:
        plate = result.cabinet.braces[seat.wall]
        return seating(frame.flange_thickness, frame.gasket, 0.0, plate.thickness, ring, seat.flush)
    front = result.cabinet.carcass.panels["front"].thickness
    return seating(frame.flange_thickness, frame.gasket, cover(project), front, ring, seat.flush)


def _grille_room(project):
    made = project.cabinet.grille
    if made is None:
        return None
    reach = [
        (driver.Xmax or 0.0) + (0.0 if seat.flush else driver.frame.flange_thickness or 0.0)
        for seat in project.cabinet.seats.values()
        if seat.wall is None
        for driver in (project.drivers[seat.driver],)
    ]
    return project.workshop.sheets[made.sheet].thickness - max(reach, default=0.0)


# --- Built in stages


def _stage(project, result):
    """The bare speaker beside the finished one; None where nothing comes later."""
    made = project.cabinet
    later = [name for name, each in (*made.layers.items(), *made.holes.items()) if each.later]
    if not later and made.lead is None:
        return None
    bare, leads = bare_stage(project, result)
    now = evaluate(bare)
    thread = max((cover(project, hole.panel) - cover(project, hole.panel, later=False))
                 for hole in made.holes.values()) if made.holes else 0.0  # fmt: skip
    return Stage(tuple(_rows(now, result)), leads, tuple(later), thread)


def bare_stage(project, result):
    """The project while it is played bare, and the share of the port that its leads take (None without).

    Notes
    -----
    A port's length is counted from the finished face: before its panel's skin is on, the channel is shorter
    by it. Leads take their section from the first port; it is reckoned as one that is narrower by that.
    """
    made = project.cabinet
    alternative = project.alternatives[project.chosen]
    box = (
        alternative.box if alternative.box.Vb is not None else replace(alternative.box, Vb=result.cabinet.net)
    )
    leads = None
    for n, (name, port) in enumerate(tubes(box).items()):
        shorter = cover(project, port.panel) - cover(project, port.panel, later=False)
        length = result.cabinet.port_lengths[name] - shorter
        if length <= 0:
            field = f"alternatives.{project.chosen}.box.{name}.length"
            raise InputError(field, "must be longer than the skin that comes later")
        port = replace(port, length=length)
        if n == 0 and made.lead is not None:
            leads = TERMINALS * pi / 4 * made.lead**2 / (way(port, name).area * port.count)
            if leads >= 1:
                raise InputError("cabinet.lead", "must leave air in the port")
            port = replace(port, shape=_narrower(port.shape, 1 - leads))
        box = replace(box, **{name: port}, **_untuned(name))
    return replace(
        project,
        cabinet=replace(
            made,
            hold="inner",
            moves="all",
            size=replace(
                made.size,
                **dict(zip(("width", "height", "depth"), result.cabinet.carcass.inner, strict=True)),
            ),
            layers={name: each for name, each in made.layers.items() if not each.later},
            holes={name: each for name, each in made.holes.items() if not each.later},
            lead=None,
            grille=None,
        ),
        alternatives={**project.alternatives, project.chosen: replace(alternative, box=box)},
    ), leads


def _untuned(name):
    return {"port": {"fb": None}, "rear": {"fr": None}}.get(name, {})


def _narrower(shape, share):
    """A port's shape with a share of its area."""
    if shape.kind == "round":
        return replace(shape, diameter=shape.diameter * sqrt(share))
    return replace(shape, height=shape.height * share)


def _rows(bare, finished):
    for n, side in enumerate(("width", "height", "depth")):
        yield (
            f"Outside, {side}",
            "length",
            bare.cabinet.carcass.finished[n],
            finished.cabinet.carcass.finished[n],
        )
    yield "Net volume", "volume", bare.cabinet.net, finished.cabinet.net
    if finished.built.fb is not None:
        yield "Tuning", "frequency", bare.built.fb, finished.built.fb
    if finished.built.port is not None:
        yield "Port, from its own face", "length", bare.built.port.length, finished.built.port.length
        if bare.built.port.speed is not None:
            yield "Air in the port", "speed", bare.built.port.speed, finished.built.port.speed
    yield "Weight", "mass", bare.cabinet.mass, finished.cabinet.mass
    for name, seat in finished.seats.items():
        if seat is not None and bare.seats.get(name) is not None:
            yield f"Recess of {name}, deep", "fine length", bare.seats[name].recess_depth, seat.recess_depth


# --- What a layer does to a panel's note


def _damping(project, result):
    for name, layer in project.cabinet.layers.items():
        panel = result.cabinet.carcass.panels[layer.panel]
        own = project.cabinet.panels[layer.panel]
        base, top = panel_layer(project, own), panel_layer(project, layer.sheet)
        if base is None or top is None:
            continue
        a, b = panel.length, panel.width
        bare = tuple(first_mode_bounds(glued(base), a, b))
        if layer.soft_G is None:
            yield Damping(name, layer.panel, bare, tuple(first_mode_bounds(glued(base, top), a, b)), None)
            continue
        supported, clamped = constrained_layer(
            base, Core(layer.soft, layer.soft_G, layer.soft_loss), top, a, b
        )
        yield Damping(name, layer.panel, bare, (supported.f, clamped.f), (supported.eta, clamped.eta))
