"""Project and result -> what goes on inside the chosen box: its standing waves, its lining, its losses."""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from calc.sound import cavity, circuit, filling
from calc.sound.lined_line import Layer, Line, end_layers, middle_layer, mode_Q, slab_layer, wall_layers
from calc.sound.ripple import Placed, axial_ripple

FEW = 8
"""How many standing waves are told of."""

USUAL_DEPTH = 0.025
"""How deep lining lies where nothing was decided (common practice, no source). [m]"""

USUAL_FIBRE, USUAL_DENSITY = "polyester", 12.0
"""What it is of then, and how dense [kg/m³] (common practice, no source)."""


class Fibre(NamedTuple):
    """A material of `filling.MATERIALS` by its key, and its packed density [kg/m³]."""

    material: str
    density: float


@dataclass(frozen=True)
class Wave:
    """One standing wave: the `mode`, and how strongly drivers drive it and ports hear it, 0 to 1.

    `cones` and `ports` are their places [m] along its side, for one that swings along one side only; None
    where they are not known, or there are none.
    """

    mode: cavity.Mode
    driven: float | None = None
    heard: float | None = None
    cones: tuple | None = None
    ports: tuple | None = None

    @property
    def side(self):
        """The first of the sides along which it swings."""
        return self.mode.along[0]

    @property
    def half_waves(self):
        """How many fit along that side."""
        return self.mode.half_waves[cavity.SIDES.index(self.side)]


@dataclass(frozen=True)
class Treatment:
    """One way to line the box: what it takes [m³], and what it leaves of the waves.

    `rings` has the Q of the first wave along each side, None where that no longer rings. `ripple` [dB] is
    what the waves add to the level, `most` [dB] the largest of it up or down, `most_at` [Hz] where; None
    where that cannot be told.
    """

    name: str
    volume: float
    rings: dict
    ripple: np.ndarray | None = None
    most: float | None = None
    most_at: float | None = None


@dataclass(frozen=True)
class Cost:
    """One loss of the box: its Q [-], whether that was typed, and what it takes at the tuning [dB]."""

    name: str
    Q: float
    typed: bool
    takes: float


@dataclass(frozen=True)
class Inside:
    """What goes on inside the chosen box.

    sides : {"width", "height", "depth": [m]}, and `longest` of them
    spring : below it the air is a mere spring [Hz]
    first : the lowest standing wave [Hz]
    slanting : the lowest that swings along two sides at once [Hz]; the ripples know nothing of those
    waves : the lowest few; `axial` the lowest along one side, which are drawn
    worst : the side along which waves are heard most, bare; the longest where that cannot be told
    material, depth, sigma : of the lining in the treatments: a fibre, [m], flow resistivity [Pa s/m²]
    quarter : a quarter of the first wave [m]; `wall_share` what the lining takes of it at a wall, 0 to 1
    treatments : by name; the first is the box as it stands
    f : of the ripples [Hz]
    untold : why there are no ripples: "driver", "chambers", "cones" or "ports"; None where there are
    costs : of the losses, at the frequency `at` [Hz]
    advice : on how dense the filling is, None where there is none
    """

    sides: dict
    longest: str
    spring: float
    first: float
    slanting: float
    waves: tuple
    axial: tuple
    worst: str
    material: filling.Material
    depth: float
    sigma: float
    quarter: float
    wall_share: float
    treatments: dict
    f: np.ndarray
    untold: str | None
    costs: tuple
    at: float | None
    advice: filling.Advice | None

    @property
    def standing(self):
        """The box as it stands, lined or bare."""
        return next(iter(self.treatments.values()))


def inside(project, result):
    """What goes on inside the chosen box, as an `Inside`."""
    each, built, air = project.alternatives[project.chosen], result.built, result.air
    inner = dict(zip(cavity.SIDES, result.cabinet.carcass.mean_inner, strict=True))
    longest, length, second, _ = cavity.longest_side(**inner)
    first, slanting = air.c / (2 * length), air.c / 2 * np.hypot(1 / length, 1 / second)
    places = {side: _places(side, project, result) for side in cavity.SIDES}
    modes = cavity.modes(**inner, c=air.c, up_to=4 * first)
    fibre = _fibre(each.box.lining)
    depth = lining_depth(each.box.lining, inner)
    sigma = _sigma(fibre)
    f = np.geomspace(first / 4, 1.3 * slanting, 320)
    untold = _untold(each, built, places)

    def treated(name, layers):
        return _treatment(name, layers, inner, f, built, places, air, untold, slanting)

    bare = treated("bare", {})
    worst = longest if untold else _side_of(bare.most_at, inner, air.c)
    ways = _linings(each.box.lining, inner, worst, depth, sigma)
    treatments = {name: treated(name, layers) if layers else bare for name, layers in ways.items()}
    at = built.fb or built.fc
    return Inside(
        sides=inner,
        longest=longest,
        spring=air.c / (8 * length),
        first=first,
        slanting=float(slanting),
        waves=tuple(_wave(mode, inner, places) for mode in modes[:FEW]),
        axial=tuple(_wave(mode, inner, places) for mode in modes if mode.axial)[:3],
        worst=worst,
        material=filling.material_called(fibre.material),
        depth=depth,
        sigma=sigma,
        quarter=cavity.quarter_wave(first, air.c),
        wall_share=float(cavity.layer_absorption(first, depth, sigma, air.c, air.rho)),
        treatments=treatments,
        f=f,
        untold=untold,
        costs=_costs(built, at),
        at=at,
        advice=_advice(each.box.lining, built, at, air),
    )


# --- Where things are


def _places(side, project, result):
    """Places [m] of the chosen box's drivers, and of its ports' inner ends, along a side from inside.

    Each None where it cannot be told: a bent tube ends nobody knows where.
    """
    thickness = {name: panel.thickness for name, panel in result.cabinet.carcass.panels.items()}
    start = {"width": thickness["left"], "height": thickness["bottom"], "depth": 0.0}[side]
    length = result.cabinet.carcass.mean_inner[cavity.SIDES.index(side)]
    each = project.alternatives[project.chosen]
    seats = {name for name, seat in project.cabinet.seats.items() if seat.driver == each.driver}
    cones, ports = (
        [_place(side, one, length, each.box, result.built) for one in result.openings if wanted(one)]
        for wanted in (
            lambda one: one.kind == "seat" and one.name in seats,
            lambda one: one.kind in ("port", "radiator"),
        )
    )
    return tuple(
        None if not found or None in found or not all(0 <= x - start <= length for x in found)
        else tuple(x - start for x in found)
        for found in (cones, ports)
    )  # fmt: skip


def _place(side, opening, length, box, built):
    """Where an opening meets the air inside [m]: from the cabinet's outside, but the depth from inside."""
    if side != "depth":
        return {"width": opening.x, "height": opening.y}[side]
    if opening.panel not in ("front", "back"):
        return None
    reach = 0.0
    if opening.kind == "port":
        if getattr(box, opening.of).bends:
            return None
        reach = built.ports[opening.of].inside_length
    return reach if opening.panel == "front" else length - reach


def _wave(mode, inner, places):
    """A `Wave`, with the share of its pressure that drivers and ports feel."""
    felt = []
    for kind in (0, 1):
        known = [places[side][kind] for side in mode.along]
        if None in known:
            felt.append(None)
            continue
        shares = np.ones(len(known[0]))
        for side, at in zip(mode.along, known, strict=True):
            n = mode.half_waves[cavity.SIDES.index(side)]
            shares = shares * cavity.pressure_along(n, at, inner[side])
        felt.append(float(abs(np.mean(shares))))
    return Wave(mode, *felt, *(places[mode.along[0]] if mode.axial else (None, None)))


# --- The waves


def _untold(each, built, places):
    """Why it cannot be told what the standing waves do to the level; None if it can."""
    if built.circuit is None:
        return "driver"
    if built.kind == "band_pass" or each.chambers > 1:
        return "chambers"
    if any(cones is None for cones, _ in places.values()):
        return "cones"
    if getattr(each.box, "other", None) is not None:
        return "ports"
    if built.kind != "closed" and any(ports is None for _, ports in places.values()):
        return "ports"
    return None


def _treatment(name, layers, inner, f, built, places, air, untold, slanting):
    lines = {side: _line(side, inner, built.apparent, layers.get(side, ())) for side in cavity.SIDES}
    rings = {side: mode_Q(1, line, air.c, air.rho, air.mu) for side, line in lines.items()}
    rings = {side: ring and ring[0] for side, ring in rings.items()}
    tall = lines["height"]
    volume = sum((a.end - a.start) * a.share for a in tall.layers) / tall.length * built.Vb
    if untold:
        return Treatment(name, volume, rings)
    placed = [Placed(line, *(at or () for at in places[side])) for side, line in lines.items()]
    added = axial_ripple(f, built.circuit.driver, placed, air.c, air.rho, air.mu, **_others(f, built))
    told = np.flatnonzero(f < slanting)
    most = told[int(np.argmax(abs(added[told])))]
    return Treatment(name, volume, rings, added, float(abs(added[most])), float(f[most]))


def _side_of(f, inner, c):
    """The side that has a wave along it nearest to f [Hz]."""

    def off(side):
        half = c / (2 * inner[side])
        return abs(f - max(1, round(f / half)) * half)

    return min(inner, key=off)


def _line(side, inner, volume, layers):
    """A side of the box as a line that holds that much air."""
    a, b = (length for name, length in inner.items() if name != side)
    return Line(inner[side], volume / inner[side], 2 * (a + b), layers)


def _others(f, built):
    """What else hangs on the air: port or radiators, leak and absorption, and what feeds the drivers."""
    box, s = built.circuit, circuit.laplace(f)
    Cab = box.Vb / (box.rho * box.c**2)
    omega = 2 * np.pi * (built.fb or built.fc)
    lost = {
        "leak": 0.0 if box.QL is None else omega * Cab / box.QL,
        "absorption": 0.0 if box.QA is None else 1 / (omega * Cab * box.QA),
        "Rs": box.Rs,
        "capacitor": box.capacitor,
    }
    if built.kind == "vented":
        way = circuit.port(s, Cab, omega, box.QP)
    elif built.kind == "passive_radiator":
        way = circuit.radiator(s, box.count, box.Sp, box.Cmp, box.Mmp, box.Rmp)
    else:
        return lost
    return {**lost, "opening": way.inverse().value}


# --- Lining and losses


def _linings(lining, inner, worst, depth, sigma):
    """The ways to line the box, by name: layers along each side. The first is the box as it stands."""
    ways = {
        "bare": {},
        "ends": _across(inner, worst, 2 * depth, sigma, end_layers(inner[worst], depth, sigma)),
        "walls": {side: _on_walls(side, inner, depth, sigma) for side in cavity.SIDES},
        "pad": _across(inner, worst, depth, sigma, (middle_layer(inner[worst], depth, sigma),)),
    }
    if lining is None or not lining.share:
        return ways
    if lining.place == "walls":
        return {"walls": ways.pop("walls"), **ways}
    loose = _sigma(replace(lining, density=max(1.0, lining.density * lining.share)))
    return {"loose": {side: (Layer(0.0, inner[side], loose),) for side in inner}, **ways}


def _on_walls(side, inner, depth, sigma):
    others = tuple(length for name, length in inner.items() if name != side)
    return wall_layers(inner[side], others, depth, sigma)


def _across(inner, worst, thickness, sigma, along):
    """Layers `along` the worst side; for the others, whose air slides past them, what they are there."""
    slab = {
        side: (slab_layer(inner[side], thickness, inner[worst], sigma, faces=2),)
        for side in inner
        if side != worst
    }
    return {worst: along, **slab}


def _fibre(lining):
    """The lining as decided, or what is usual."""
    if lining is not None and lining.share:
        return lining
    return Fibre(USUAL_FIBRE, USUAL_DENSITY)


def _sigma(fibre):
    """Flow resistivity of a lining. [Pa s/m²]"""
    return float(filling.flow_resistivity(fibre.density, filling.material_called(fibre.material)))


def lining_depth(lining, inner):
    """How deep lining lies on the walls [m]: as decided, or the usual depth."""
    shortest = min(inner.values()) / 2
    if lining is None or lining.place != "walls" or not lining.share:
        return min(USUAL_DEPTH, shortest)
    return max(0.001, cavity.lining_depth(**inner, share=lining.share))


def _advice(lining, built, at, air):
    """The `filling.Advice` on how dense the filling is, at the tuning."""
    if lining is None or not lining.share or not at:
        return None
    thickness = filling.layer_thickness(lining.place, lining.share, built.Vb)
    material = filling.material_called(lining.material)
    return filling.density_advice(
        at, lining.share, lining.density, material, thickness, air.c, air.rho, air.mu
    )


def _costs(built, at):
    """Each loss with what it takes from the level at the tuning; none while the driver is not known."""
    if built.circuit is None or not built.losses:
        return ()
    level = built.circuit.response([at]).level[0]
    return tuple(
        Cost(name, Q, name in built.losses.typed, float(without.response([at]).level[0] - level))
        for name in ("QL", "QA", "QP")
        if (Q := getattr(built.losses, name)) is not None and hasattr(built.circuit, name)
        for without in [replace(built.circuit, **{name: None})]
    )
