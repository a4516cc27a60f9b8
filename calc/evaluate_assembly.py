"""Project and result -> how the box is put together: order, glue, clamps, squareness, weight on the scale."""

from dataclasses import dataclass
from functools import cache
from itertools import combinations
from math import inf, pi

from calc.cabinet.contact import Sweep, pieces, touching
from calc.cabinet.polyhedra import block
from calc.shop.assembly import order
from calc.shop.gluing import APART, CAUL, FORCES, SHEET_PRESSURE, bars, glue, pressing, short_of, square
from calc.sound.filling import layer_thickness

LAST = ("front", "back", "right", "top")
"""What is put on last, if it can be: the front closes the box (common practice, no source)."""

FIRST = ("bottom", "left")
"""What everything else is set on, if it can be."""

AXES = ("width", "depth", "height")


@dataclass(frozen=True)
class Step:
    """One part, or a few as one, that is put to what stands.

    way : from where it comes: "front", "back", "left", "right", "top", "bottom" or "forward" (level, where
    the front leans). onto : the parts that it touches. area : of the joints [m²]. slides : whether it slides
    along its joints and presses none, so that glue would be wiped off. screwed : whether it comes off again.
    """

    parts: tuple
    way: str
    onto: tuple
    area: float
    slides: bool
    screwed: bool


@dataclass(frozen=True)
class Pressed:
    """Clamps along one axis of a stage.

    count : so many that none stands too far from the next. few : with stiff cauls that let them stand twice
    as far. full : so many for the full pressure on the glue. reach : how far they open, cauls under them [m].
    force : that pressure, as a force [N]. owned : how many the shop has that reach.
    """

    axis: str
    count: int
    few: int
    full: int
    reach: float
    force: float
    owned: int


@dataclass(frozen=True)
class Stage:
    """What is glued and clamped at one go.

    joints : how many. area [m²], glue [kg]. pressed : `Pressed` for each axis. missing : clamps that the shop
    lacks; None where it owns none. each : time for each joint while the glue stays open [s]. needs : time
    that the joints take [s]; late : longer than the glue stays open. split : so many steps first, and the
    rest when they have dried, where that mends what is missing or late; else None. mitred : names of parts
    with mitres. mass : of what stands after it, on the scale [kg].
    """

    steps: tuple
    joints: int
    area: float
    glue: float
    pressed: tuple
    missing: int | None
    each: float | None
    needs: float
    late: bool
    split: int | None
    mitred: tuple
    mass: float


@dataclass(frozen=True)
class Assembly:
    """`stages` in order; `locked` are parts of which none can come in last, and then there are no stages.

    linings, skins : names of what is glued inside before the box is closed, and outside after it. squares :
    {"front" or "side": `Square`}. bare, whole : weight of the box alone, and with all that it carries [kg].
    weighed : weighed over reckoned bare weight [-], None where nobody weighed. gaskets : ((what, length [m]),
    ...). lining : (area [m²], thickness [m]) of what lines the walls, or None. glue : of all joints and of
    layers [kg]. strength : what the shop's clamps press with together [N].
    """

    stages: tuple
    locked: tuple
    linings: tuple
    skins: tuple
    squares: dict
    bare: float
    whole: float
    weighed: float | None
    gaskets: tuple
    lining: tuple | None
    glue: float
    strength: float


def assembly(project, result):
    """The `Assembly` of one speaker."""
    carcass, bodies = result.cabinet.carcass, _bodies(result.cabinet)
    ways = ways_out(carcass)
    lid = project.cabinet.lid.panel if project.cabinet.lid else None
    names = _last_first(bodies, lid)
    own = {name: _ways_of(name, ways) for name in bodies}
    braces = tuple(name for name in bodies if name in result.cabinet.braces)
    together = [*combinations(braces, 2), *([braces] if len(braces) > 2 else [])]
    found = order(names, _meeting(bodies, ways), own, together)
    contacts = _contacts(bodies, lid)
    steps = _steps(found.moves, contacts, ways, lid)
    layers = carcass.layers.values()
    bare = sum(mass for _, kind, mass, _ in result.cabinet.masses if kind in ("panel", "brace", "layer"))
    weighed = project.cabinet.weighed
    stages = _stages(project, result, steps, contacts)
    return Assembly(
        stages, found.locked,
        tuple(each.name for each in layers if each.place == "inside"),
        tuple(each.name for each in layers if each.place == "outside"),
        _squares(carcass), bare, result.cabinet.mass, weighed / bare if weighed else None,
        tuple(_gaskets(project, result)), _lining(project, result),
        sum(stage.glue for stage in stages) + sum(glue(each.length * each.width) for each in layers),
        sum(each.count * FORCES[each.kind] for each in project.workshop.clamps.values()),
    )  # fmt: skip


# --- Bodies and the ways between them


def _bodies(cabinet):
    """Convex pieces of each panel and each brace, by name."""
    found = {
        name: pieces(solid.body, [cut.body for cut in solid.cuts])
        for name, solid in cabinet.carcass.panels.items()
    }
    for name, solid in cabinet.braces.items():
        gaps = [block(*(_within(solid, corner) for corner in gap)) for gap in solid.gaps]
        slots = [block(cut.low, cut.high) for cut in solid.cuts if cut.kind != "notch"]
        found[name] = pieces(solid.body, [*gaps, *slots])
    return found


def _within(solid, corner):
    """A corner that lies without end across a plate, just outside the plate instead."""
    return tuple(
        low - 1e-3 if at == -inf else high + 1e-3 if at == inf else at
        for at, low, high in zip(corner, solid.low, solid.high, strict=True)
    )


def ways_out(carcass):
    """{way out: unit vector}: square to each panel, and level where the front leans."""
    ways = {name: tuple(-a for a in carcass.facing(name).inward) for name in carcass.panels}
    return ways | ({"forward": (0.0, -1.0, 0.0)} if carcass.slope else {})


def _ways_of(name, ways):
    """The ways out to try: a panel's own first, of a brace out of the grooves that it is pressed into."""
    first = (name,) if name in ways else ("right", "top", "left", "bottom")
    return [*first, *(way for way in ways if way not in first)]


def _meeting(bodies, ways):
    """Whether a part, moved out along a way, meets another: each asked once."""

    @cache
    def swept(part, way):
        return [Sweep(piece, ways[way]) for piece in bodies[part]]

    @cache
    def meets(part, way, other):
        return any(sweep.meets(piece) for sweep in swept(part, way) for piece in bodies[other])

    return meets


def _last_first(bodies, lid):
    """Parts in the order in which one would like to take the finished box apart."""
    last = [name for name in (lid, *LAST) if name]
    middle = [name for name in reversed(bodies) if name not in (*last, *FIRST)]
    return list(dict.fromkeys((*last, *middle, *FIRST)))


def _contacts(bodies, lid):
    """{(part, other): touching places} of all that is glued to each other."""
    pairs = combinations([name for name in bodies if name != lid], 2)
    return {(a, b): found for a, b in pairs if (found := touching(bodies[a], bodies[b]))}


def _between(contacts, one, other):
    """Where one part touches another, normals out of the first."""
    if (one, other) in contacts:
        return contacts[one, other]
    return [(tuple(-n for n in normal), *rest) for normal, *rest in contacts.get((other, one), ())]


def _steps(moves, contacts, ways, lid):
    there, steps = [], []
    for move in moves:
        touched = {
            other: [place for part in move.parts for place in _between(contacts, part, other)]
            for other in there
        }
        onto = tuple(other for other, places in touched.items() if places)
        places = [place for other in onto for place in touched[other]]
        out = ways[move.way]
        pressed = any(sum(n * o for n, o in zip(normal, out, strict=True)) < -0.5 for normal, *_ in places)
        area = sum(place[1] for place in places)
        steps.append(Step(move.parts, move.way, onto, area, bool(places) and not pressed, lid in move.parts))
        there += move.parts
    return steps


# --- Glue and clamps


def _stages(project, result, steps, contacts):
    """The ring with its braces first; then each panel that closes it, which lets the squaring dry."""
    groups, closing = [[]], False
    for step in steps:
        closes = step.parts[0] in ("front", "back") and len(step.parts) == 1
        if groups[-1] and (closes or closing):
            groups.append([])
        closing = closes
        groups[-1].append(step)
    stages, mass = [], 0.0
    for group in groups if steps else ():
        mass += sum(_mass(result, part) for step in group for part in step.parts)
        stages.append(_stage(project, result, group, contacts, mass))
    return tuple(stages)


def _mass(result, part):
    kind = "panel" if part in result.cabinet.carcass.panels else "brace"
    return next(mass for name, its, mass, _ in result.cabinet.masses if (its, name) == (kind, part))


def _stage(project, result, steps, contacts, mass):
    glued = [step for step in steps if not step.screwed]
    joints = sum(len(step.onto) for step in glued)
    area = sum(step.area for step in glued)
    pressed, missing = _clamped(project, result, glued, contacts)
    shop, panels = project.workshop, result.cabinet.carcass.panels
    late = _late(shop, glued)
    split = _split(project, result, glued, contacts) if late or missing else None
    mitred = tuple(
        part for step in glued for part in step.parts if part in panels and panels[part].bevels and step.onto
    )
    return Stage(
        tuple(steps), joints, area, glue(area), pressed, missing,
        shop.open_time / joints if joints else None, joints * shop.pace, late, split, mitred, mass,
    )  # fmt: skip


def _late(shop, steps):
    """Whether the glue of these steps would skin over before the last joint is closed."""
    return sum(len(step.onto) for step in steps) * shop.pace > shop.open_time


def _split(project, result, steps, contacts):
    """After how many steps to let it dry, so that both goes are in time and have clamps enough; or None."""

    def good(go):
        return not _late(project.workshop, go) and not _clamped(project, result, go, contacts)[1]

    half = len(steps) / 2
    for first in sorted(range(2, len(steps)), key=lambda n: abs(n - half)):
        if good(steps[:first]) and good(steps[first:]):
            return first
    return None


def _clamped(project, result, steps, contacts):
    """What is pressed along each axis, and how many clamps are missing for it; None where none are owned."""
    owned = [(each.count, each.reach) for each in project.workshop.clamps.values()]
    pressed = tuple(_pressed(result, steps, contacts, owned))
    return pressed, short_of([(each.count, each.reach) for each in pressed], owned) if owned else None


def _pressed(result, steps, contacts, owned):
    """Clamps along each axis: each presses one end of the box against the other, and all joints near it."""
    areas, lines, outer = {}, {}, [result.cabinet.carcass.outer[_size_of(axis)] for axis in range(3)]
    for step in steps:
        for part in step.parts:
            for other in step.onto:
                for axis, area, low, high in _faces(_between(contacts, part, other)):
                    end = low[axis] + high[axis] > outer[axis]
                    areas[axis, end] = areas.get((axis, end), 0.0) + area
                    lines.setdefault(axis, []).append(_line(axis, low, high))
    for axis, joints in sorted(lines.items()):
        area = max(areas.get((axis, end), 0.0) for end in (False, True))
        places, reach = bars(joints), outer[axis] + 2 * CAUL
        yield Pressed(
            AXES[axis], len(places), len(bars(joints, 2 * APART)), pressing(area, places), reach,
            SHEET_PRESSURE * area, sum(count for count, far in owned if far >= reach),
        )  # fmt: skip


def _line(axis, low, high):
    """The middle line of a joint in the plane square to an axis, along its longer side."""
    u, v = (k for k in range(3) if k != axis)
    if high[u] - low[u] >= high[v] - low[v]:
        return (low[u], (low[v] + high[v]) / 2), (high[u], (low[v] + high[v]) / 2)
    return ((low[u] + high[u]) / 2, low[v]), ((low[u] + high[u]) / 2, high[v])


def _faces(places):
    """What of a joint clamps press: (axis, area, low, high); not the cheeks of a groove."""
    found = {}
    for normal, area, low, high in places:
        axis = max(range(3), key=lambda k: abs(normal[k]))
        if abs(normal[axis]) > 0.7:
            known, lowest, highest = found.get((axis, normal[axis] > 0), (0.0, low, high))
            found[axis, normal[axis] > 0] = (
                known + area, tuple(map(min, lowest, low)), tuple(map(max, highest, high)),
            )  # fmt: skip
    for (axis, side), sizes in found.items():
        if (axis, not side) not in found:
            yield axis, *sizes


def _size_of(axis):
    """Where the carcass keeps the outer size along an axis: width, height, depth."""
    return (0, 2, 1)[axis]


# --- Square, tight and lined


def _squares(carcass):
    width, height, depth = carcass.outer
    found = {"front": square(width, height)}
    return found if carcass.slope else found | {"side": square(depth, height)}


def _gaskets(project, result):
    """Rings that seal what is screwed on: round each driver under its flange, and under the lid."""
    if result.cabinet.carcass.gasket:
        yield result.cabinet.carcass.gasket.panel, result.cabinet.carcass.gasket.around
    for each in result.openings:
        if each.kind in ("seat", "radiator") and each.width and each.outline:
            yield each.name, pi * (each.width + each.outline) / 2


def _lining(project, result):
    """Area and thickness of the fibres on the walls; None where there are none, or they lie throughout."""
    lining = project.alternatives[project.chosen].box.lining
    if lining is None or lining.place != "walls" or not lining.share:
        return None
    air = result.cabinet.net
    thickness = layer_thickness(lining.place, lining.share, air)
    return lining.share * air / thickness, thickness
