"""The chosen box and the workshop -> the cabinet: its solids and openings, where its air goes, its weight."""

from dataclasses import replace
from functools import lru_cache
from math import radians, tan

from calc.cabinet.balance import feet_base, mass_and_centre, rectangle
from calc.cabinet.boards import air_taken
from calc.cabinet.bracing import braces as braced
from calc.cabinet.chambers import lower_air, shelf_height
from calc.cabinet.clash import Clash
from calc.cabinet.clash_room import Room
from calc.cabinet.clashes import room_clashes
from calc.cabinet.layers import SOFT, extent, growth_of, layered, lined, within_skins
from calc.cabinet.openings import openings as placed_openings
from calc.cabinet.panels import carcass as built_carcass
from calc.cabinet.panels import grooved, gross_volume, walls_about
from calc.cabinet.partitions import called
from calc.cabinet.plinth import plinth_boards
from calc.cabinet.rims import cup_air
from calc.cabinet.rounding import rounded
from calc.cabinet.volume_ledger import inside_for_net, ledger
from calc.errors import InputError, inputs_at
from calc.evaluate_boards import board_clashes
from calc.evaluate_grille import grille
from calc.evaluate_partitions import own_heights, parted_off, partition_clashes, placed_by_air
from calc.evaluate_port import displaced, lengths, ports_called, tubes
from calc.evaluate_weights import masses as weighed
from calc.result import CabinetResult
from calc.shop.chamfer import air_gained

UNEVEN = 0.02
"""How far a chamber's share of the air may be off before it is told, over that share."""

SIDES = ("width", "height", "depth")


def cabinet(project, chosen, place):
    """The `CabinetResult` of the chosen alternative; sizes follow what the document holds."""
    made, box = project.cabinet, chosen.box
    walls = {name: _wall_of_boards(project, name) for name in made.panels}
    thicknesses = {name: thickness for name, (thickness, _) in walls.items()}
    layers = glued_on(project)
    plates = {name: (brace, *_board(project, brace.sheet)) for name, brace in made.braces.items()}
    size = (made.size.width, made.size.height, made.size.depth)

    @lru_cache(maxsize=1)  # the search ends with the size that is built
    def bracing_in(inner):
        return _braced(project, box, inner, thicknesses, plates, place)

    def entries(inner, bracing, cut):
        return _entries(project, box, inner, bracing, cut, thicknesses)

    gained = tuple(_gained(project))
    more = sum(volume for _, volume in gained)

    if made.hold == "volume":
        cut = _lengths(project, box, box.Vb, place)
        with inputs_at("cabinet"):
            size = inside_for_net(
                box.Vb,
                size,
                lambda inner: sum(v for _, v in entries(inner, bracing_in(inner), cut)) - more,
                None if made.moves == "all" else SIDES.index(made.moves),
                lambda inner: gross_volume(inner, made.slope),
            )
    if made.hold == "outer":
        with inputs_at("cabinet"):
            size = within_skins(size, layers, made.slope)
    with inputs_at("cabinet"):
        held = "outer" if made.hold == "outer" else "inner"
        carcass = built_carcass(size, held, walls, made.edges, made.slope, made.lid)
        bracing = bracing_in(carcass.inner)
        carcass = grooved(carcass, bracing.grooves)
        carcass = layered(carcass, layers, bracing.braces.values())
        if made.rounding:
            carcass = rounded(carcass, made.rounding, layers)
    gross = carcass.gross
    if box.Vb is None and tubes(box) and box.fb is not None:
        cut = _lengths_in_what_is_left(
            project,
            box,
            place,
            lambda cut: gross + more - sum(v for _, v in entries(carcass.inner, bracing, cut)),
        )
    else:
        cut = _lengths(project, box, box.Vb, place)
    with inputs_at("cabinet"):
        book = ledger(gross, entries(carcass.inner, bracing, cut), gained)
    opened = _openings(project, box, carcass, bracing)
    rooms, twins = parted_off(
        project, carcass.inner, thicknesses, layers, bracing.braces, _cups(project, thicknesses)
    )
    plinth = _plinth(project, carcass)
    lie = _lie(project.cabinet, carcass)
    frame = grille(project, carcass, opened, layers)
    masses = tuple(weighed(project, box, carcass, bracing, opened, plinth, frame, layers))
    mass, centre = mass_and_centre((mass, place) for _, _, mass, place in masses)
    chambers = _chambers(project, box, carcass, bracing, cut, book.net)
    return CabinetResult(
        carcass,
        bracing.braces,
        opened,
        book,
        box.Vb,
        cut,
        mass,
        centre,
        chambers,
        masses,
        plinth,
        lie,
        grille=frame,
        rooms=rooms,
        twins=twins,
    )


def opened_again(project, box, made):
    """A `CabinetResult` whose openings alone lie elsewhere, as the `project` says now."""
    return replace(made, openings=_openings(project, box, made.carcass, made))


def clashes(project, box, made):
    """What does not fit of drivers, ports, braces and wood: `Clash`es, their fields as in the document."""
    room = Room(
        made.carcass,
        made.openings,
        seats=project.cabinet.seats,
        drivers=project.drivers,
        ports=tubes(box),
        lengths=made.port_lengths,
        radiator=getattr(box, "radiator", None),
        braces=made.braces,
        finish=cover(project),
        least_wood=project.workshop.least_wood,
        screw=project.workshop.screw,
    )
    chambers = (Clash("chamber", field, said, said) for field, said in _chamber_facts(project, box, made))
    boards = (*board_clashes(project, made, room), *partition_clashes(project, made, room))
    return tuple(
        replace(each, field=_path(project, each.field)) for each in (*room_clashes(room), *chambers, *boards)
    )


# --- Two chambers


def _braced(project, box, inner, thicknesses, plates, place):
    """The `Bracing`; a wall that nobody placed stands where it shares the air out between two chambers."""
    wall, _ = _wall(project)
    for name, (brace, *_) in plates.items():
        if brace.at is None and brace.encloses is None and name != wall:
            raise InputError(
                f"braces.{name}.at",
                "is needed: only a wall with a driver in it or a plate that encloses air finds its place",
            )
    cups = _cups(project, thicknesses)
    plates = placed_by_air(project, inner, thicknesses, glued_on(project), plates, cups)
    if wall is None or plates[wall][0].at is not None:
        return braced(inner, thicknesses, plates, project.cabinet.slope)
    brace, t, density = plates[wall]

    def with_wall(at):
        placed = plates | {wall: (replace(brace, at=at), t, density)}
        return braced(inner, thicknesses, placed, project.cabinet.slope)

    at = inner[1] / 2
    bracing = with_wall(at)
    if box.kind != "band_pass":
        return bracing
    cut = _lengths(project, box, box.Vb, place)
    for _ in range(5):  # the other plates change a little with the wall's place
        before = at
        with inputs_at(f"braces.{wall}"):
            at = _wall_place(project, box, inner, bracing, cut, thicknesses)
        if abs(at - before) < 1e-9:
            break
        bracing = with_wall(at)
    return bracing


def _wall(project):
    """Name of the shelf that a driver sits in, and whether the rear chamber is below it; (None, None)."""
    for seat in project.cabinet.seats.values():
        if seat.wall is not None:
            return seat.wall, seat.faces == "up"
    return None, None


def _wall_place(project, box, inner, bracing, cut, thicknesses):
    """Height of the wall's middle over the inner floor that gives the rear chamber its share. [m]"""
    wall, rear_below = _wall(project)
    t, floor = bracing.braces[wall].thickness, thicknesses["bottom"]
    parts = _entries(project, box, inner, bracing, cut, thicknesses)
    net = gross_volume(inner, project.cabinet.slope) - sum(volume for _, volume in parts)
    net += sum(volume for _, volume in _gained(project))
    rear = net * box.Vr / box.Vb
    taken = _taken_below(project, box, inner, bracing, cut, thicknesses)
    below, ceiling = rear if rear_below else net - rear, floor + inner[1] - t
    low = shelf_height(below, inner[0] * inner[2], floor, ceiling, *taken, _narrows(project, inner))
    return low - floor + t / 2


def _narrows(project, inner):
    """By how much the inside, seen from above, shrinks with the height under a leaning front. [m²/m]"""
    return inner[0] * tan(radians(project.cabinet.slope))


def _taken_below(project, box, inner, bracing, cut, thicknesses):
    """What takes air, as `lower_air` asks for it: at which heights, and what stands below the wall anyway."""
    made, (wall, rear_below) = project.cabinet, _wall(project)
    floor = thicknesses["bottom"]
    spread = [(b.displaced, b.low[2], b.high[2]) for name, b in bracing.braces.items() if name != wall]
    linings = _linings(project, inner, bracing, thicknesses)
    spread += [(volume, floor, floor + inner[1]) for volume in linings.values()]
    spread += [(thing.volume, floor, floor + inner[1]) for thing in made.displaced.values()]
    behind = before = 0.0
    for seat in made.seats.values():
        frame = project.drivers[seat.driver].frame
        volume = frame.volume - air_gained(seat, frame)
        if seat.wall is None:
            spread.append((volume, seat.y, seat.y))
        else:
            behind += volume
    for _, air, hole in _cups(project, thicknesses):
        half = (hole.height or hole.diameter) / 2
        spread.append((air, hole.y - half, hole.y + half))
    for name, each in tubes(box).items():
        volume = displaced(each, name, cut[name], thicknesses[each.panel] + skin(project, each.panel))
        behind, before = (behind + volume, before) if name == "rear" else (behind, before + volume)
    return spread, behind if rear_below else before


def _chambers(project, box, carcass, bracing, cut, net):
    """Air behind the cones and before them [m³]; None where no wall parts it."""
    wall, rear_below = _wall(project)
    if wall is None or box.kind != "band_pass":
        return None
    inner = carcass.inner
    thicknesses = {name: solid.thickness for name, solid in carcass.panels.items()}
    spread, fixed = _taken_below(project, box, inner, bracing, cut, thicknesses)
    floor, low = thicknesses["bottom"], bracing.braces[wall].low[2]
    below = lower_air(inner[0] * inner[2], floor, low, spread, fixed, _narrows(project, inner))
    return (below, net - below) if rear_below else (net - below, below)


def _chamber_facts(project, box, made):
    """Whether a wall parts the chambers of a band-pass, and no others."""
    wall, _ = _wall(project)
    if box.kind != "band_pass":
        if wall is not None:
            yield f"braces.{wall}.at", f"“{wall}” parts the air of a box that has one chamber: take it out."
        return
    if wall is None:
        yield (
            "seats",
            "A band-pass has two chambers: seat its driver in a shelf without a window that parts them.",
        )
        return
    rear, front = made.chambers
    off = rear / (rear + front) / (box.Vr / box.Vb) - 1
    if abs(off) > UNEVEN:
        more = "more" if off > 0 else "less"
        yield (
            f"braces.{wall}.at",
            f"“{wall}” leaves the air behind the cone {abs(off):.0%} {more} than its share; where its place"
            " is left empty, it finds it.",
        )


def _board(project, sheet):
    """Thickness as measured [m] and density [kg/m³] of a sheet in stock."""
    return project.workshop.sheets[sheet].thickness, project.workshop.sheets[sheet].density


def _wall_of_boards(project, panel):
    """Thickness [m] and mean density [kg/m³] of a panel with all that is laminated to it before it is cut."""
    thickness, density = _board(project, project.cabinet.panels[panel])
    mass = thickness * density
    for layer in project.cabinet.layers.values():
        if layer.panel == panel and layer.place == "through":
            more, its = _board(project, layer.sheet)
            soft = layer.soft or 0.0
            thickness, mass = thickness + more + soft, mass + more * its + soft * SOFT
    return thickness, mass / thickness


def glued_on(project):
    """Skins and linings: {name: (Layer, thickness [m], density [kg/m³])}, in the order of gluing."""
    layers = project.cabinet.layers.items()
    return {name: (each, *_board(project, each.sheet)) for name, each in layers if each.place != "through"}


def skin(project, panel):
    """Skins over a panel's bare face. [m]"""
    return growth_of(glued_on(project))[panel]


def cover(project, panel="front", later=True):
    """Skins over a panel's bare face, with its finish; without those that come later, if asked. [m]"""
    layers = {name: each for name, each in glued_on(project).items() if later or not each[0].later}
    return growth_of(layers)[panel] + (project.cabinet.finish if panel == "front" else 0.0)


def laminated(project):
    """The boards of each panel that has more than one: {panel: ((name, thickness [m]), ...)}."""
    boards = {}
    for name, layer in project.cabinet.layers.items():
        if layer.place == "through":
            own = (layer.panel, _board(project, project.cabinet.panels[layer.panel])[0])
            boards.setdefault(layer.panel, [own]).append((name, _board(project, layer.sheet)[0]))
    return boards


def _linings(project, inner, bracing, thicknesses):
    """What linings take from the air: {name: volume [m³]}."""
    layers = glued_on(project)
    if not any(layer.place == "inside" for layer, *_ in layers.values()):
        return {}
    walls = walls_about(inner, thicknesses, project.cabinet.slope)
    return lined(walls, layers, bracing.braces.values())


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


def _entries(project, box, inner, bracing, cut, thicknesses):
    """What takes air from the box, by name. [m³]"""
    entries = [
        (f"{seat}", project.drivers[each.driver].frame.volume) for seat, each in project.cabinet.seats.items()
    ]
    entries += [(name, brace.displaced) for name, brace in bracing.braces.items()]
    entries += _linings(project, inner, bracing, thicknesses).items()
    for name, each in tubes(box).items():
        taken = displaced(each, name, cut[name], thicknesses[each.panel] + skin(project, each.panel))
        entries.append((ports_called(name, each.count), taken))
    if box.kind == "passive_radiator":
        many = box.radiator.count
        name = "passive radiator" if many == 1 else f"{many} passive radiators"
        entries.append((name, many * box.radiator.frame.volume))
    cups = _cups(project, thicknesses)
    own, _ = parted_off(project, inner, thicknesses, glued_on(project), bracing.braces, cups)
    entries += [(called(chamber), chamber.air) for chamber in own]
    entries += [(name, air_taken(board)) for name, board in project.cabinet.boards.items()]
    entries += [(name, air) for name, air, _ in cups]
    entries += [(name, thing.volume) for name, thing in project.cabinet.displaced.items()]
    return entries


def _cups(project, thicknesses):
    """(name, air that it takes [m³], decision) of each cup that stands inside."""
    for name, hole in project.cabinet.holes.items():
        air = cup_air(hole, thicknesses[hole.panel] + skin(project, hole.panel))
        if air:
            yield name, air, hole


def _gained(project):
    """What chamfers behind drivers give back to the air, by name. [m³]"""
    for name, seat in project.cabinet.seats.items():
        if seat.relief is not None:
            yield f"chamfer behind {name}", air_gained(seat, project.drivers[seat.driver].frame)


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
            heights=own_heights(project, carcass, bracing.braces),
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


def _plinth(project, carcass):
    """The boards of the frame that it stands on, by name; none where it has none."""
    each = project.cabinet.plinth
    if each is None:
        return {}
    thickness, density = _board(project, each.sheet)
    with inputs_at("cabinet.plinth"):
        return plinth_boards(*extent(carcass), each.height, each.setback, thickness, density, each.mitred)


def underside(made, carcass):
    """Edges (left, right, front, back) and height of what the feet are fixed under. [m]"""
    low, high = extent(carcass)
    back, tall = (made.plinth.setback, made.plinth.height) if made.plinth else (0.0, 0.0)
    return (low[0] + back, high[0] - back, low[1] + back, high[1] - back), low[2] - tall


def _lie(made, carcass):
    """What the cabinet touches floor or stand with; its floor is below the bottom by plinth and feet."""
    edges, down = underside(made, carcass)
    if made.feet is None:
        return rectangle(*edges, down)
    feet = made.feet
    with inputs_at("cabinet.feet"):
        return feet_base(*edges, feet.count, feet.inset, feet.diameter, down - feet.height)
