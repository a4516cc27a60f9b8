"""POST /api/cabinet: from sizes, thicknesses and joints to blanks, volumes and weight."""

from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import Field

from calc.cabinet.balance import mass_and_centre
from calc.cabinet.brace_faults import brace_faults
from calc.cabinet.bracing import braces
from calc.cabinet.joints import joint_faults
from calc.cabinet.layers import layered, within_skins
from calc.cabinet.panels import carcass, grooved
from calc.cabinet.partitions import rooms
from calc.cabinet.rounding import rounded
from calc.cabinet.volume_ledger import ledger
from calc.errors import InputError
from calc.project_cabinet import Layer
from server.documents import FieldErrors
from server.questions import Name, Strict

router = APIRouter(prefix="/api")


MOST_PLATES = 6
"""Plates that may part the air."""

Length = Annotated[float, Field(gt=0, le=100)]
Depth = Annotated[float, Field(ge=0, le=100)]
Thickness = Annotated[float, Field(gt=0, le=0.5)]
Density = Annotated[float, Field(gt=0, le=25_000)]
Mass = Annotated[float, Field(ge=0, le=10_000)]
Volume = Annotated[float, Field(ge=0, le=1000)]
Slope = Annotated[float, Field(ge=0, le=30)]
Place = Annotated[float, Field(ge=-100, le=100)]
PanelName = Literal["front", "back", "left", "right", "top", "bottom"]


class SizeIn(Strict):
    """Width, height, depth [m] of the inner or outer box."""

    width: Length
    height: Length
    depth: Length


class PanelIn(Strict):
    """Thickness [m] and density [kg/m³] of a panel."""

    thickness: Thickness
    density: Density


class PanelsIn(Strict):
    """All six panels."""

    front: PanelIn
    back: PanelIn
    left: PanelIn
    right: PanelIn
    top: PanelIn
    bottom: PanelIn


class EdgeIn(Strict):
    """One panel goes `depth` [m] into the other, or both are mitred."""

    into: PanelName | None = None
    depth: Depth = 0.0
    mitre: bool = False


class WindowIn(Strict):
    """An opening in the middle of a brace [m]; `count` of them in a row, with a `bridge` between two."""

    width: Length
    height: Length
    radius: Depth = 0.0
    count: Annotated[int, Field(ge=1, le=6)] = 1
    bridge: Length = 0.03


class NotchIn(Strict):
    """A bite out of the edge of a plate that faces the panel `side`; `at` is its middle along it [m]."""

    side: PanelName
    at: Length
    width: Length
    depth: Length


class BraceIn(Strict):
    """A shelf `at` a height above the inner floor, a rib `at` a distance from the inner left wall [m].

    A frame stands `at` a distance from the inner front at the floor; a bar of the section `width` by
    `thickness`, or a dowel of the diameter `width`, joins two walls (`between`), `at` and `also_at`: between
    the sides, its height and its distance from the front; between front and back, from the left and its
    height; between top and bottom, from the left and from the front. `depth` [m] is how far each end goes
    into its groove or hole, `depth_far` the right, back or upper one where it differs. A plate that `seals`
    fits all round, without a window or a notch, and parts the air into rooms.
    """

    name: Name
    kind: Literal["shelf", "rib", "frame", "bar", "dowel"]
    at: Length
    also_at: Length | None = None
    width: Length | None = None
    between: Literal["sides", "front and back", "top and bottom"] = "sides"
    depth_far: Depth | None = None
    notches: dict[Name, NotchIn] = {}
    thickness: Thickness
    density: Density
    depth: Depth = 0.0
    window: WindowIn | None = None
    seals: bool = False


class LayerIn(Strict):
    """A skin on the finished carcass or a lining cut to its clear inside, in the order of gluing.

    A `soft` layer [m] under it weighs 1100 kg/m³. Boards that are laminated before they are cut
    are thickness of their panel.
    """

    name: Name
    panel: PanelName
    place: Literal["outside", "inside"] = "outside"
    thickness: Thickness
    density: Density
    soft: Annotated[float, Field(ge=1e-5, le=0.02)] | None = None


class RoundingIn(Strict):
    """The outer edges of the finished front: `size` [m] is the radius, or the leg of the chamfer."""

    size: Annotated[float, Field(ge=5e-4, le=0.2)]
    kind: Literal["round", "chamfer"] = "round"
    along: Literal["sides", "top", "sides and top", "all"] = "sides"


class LidIn(Strict):
    """The panel that comes off: its `gasket` as thick as when pressed, its `play` in a rabbet [m]."""

    panel: Literal["front", "back"]
    gasket: Annotated[float, Field(ge=0, le=0.02)] = 0.003
    play: Annotated[float, Field(ge=0, le=0.01)] = 0.001
    screws: Annotated[int, Field(ge=2, le=60)] = 10


class ThingIn(Strict):
    """What takes air inside: `volume` [m³], `mass` [kg], and where (`at` x, y, z) it stands [m].

    Without `at` it is weighed, but left out of the centre of gravity; where a plate parts the air, it is
    needed.
    """

    name: Name
    volume: Volume
    mass: Mass = 0.0
    at: Annotated[list[Place], Field(min_length=3, max_length=3)] | None = None


class CabinetIn(Strict):
    """One cabinet; the held size never moves. The front leans back by `slope` [deg] about its lower edge.

    `size.depth` is then the depth at the floor. The outer size is that over all skins.
    """

    hold: Literal["inner", "outer"]
    size: SizeIn
    slope: Slope = 0.0
    panels: PanelsIn
    edges: dict[str, EdgeIn]
    braces: Annotated[list[BraceIn], Field(max_length=50)] = []
    layers: Annotated[list[LayerIn], Field(max_length=30)] = []
    rounding: RoundingIn | None = None
    lid: LidIn | None = None
    displaced: Annotated[list[ThingIn], Field(max_length=200)] = []


@router.post("/cabinet")
def cabinet(asked: CabinetIn) -> dict:
    """Blanks, volume ledger, weight and centre of gravity of a cabinet."""
    box, bracing = _built(asked)
    entries = [(brace.name, brace.displaced) for brace in bracing.braces.values()]
    linings = [layer for layer in box.layers.values() if layer.place == "inside"]
    entries += [(layer.name, layer.volume) for layer in linings]
    entries += [(thing.name, thing.volume) for thing in asked.displaced]
    book = ledger(box.gross, entries)
    wood = [*box.panels.values(), *bracing.braces.values(), *box.layers.values()]
    placed = [(part.mass, part.centroid) for part in wood]
    placed += [(thing.mass, thing.at) for thing in asked.displaced if thing.at]
    unplaced = sum(thing.mass for thing in asked.displaced if not thing.at)
    mass, centre = mass_and_centre(placed)
    return {
        "outer": size(box.outer),
        "inner": size(box.inner),
        "finished": size(box.finished),
        "panels": [_panel(panel) for panel in box.panels.values()],
        "braces": [_blank(brace) for brace in bracing.braces.values()],
        "layers": [_blank(layer) | {"bevels": layer.bevels} for layer in box.layers.values()],
        "gasket": {"volume": box.gasket.volume, "play": box.gasket.play} if box.gasket else None,
        "ledger": {
            "gross": book.gross,
            "displaced": [{"name": name, "volume": volume} for name, volume in book.displaced],
            "net": book.net,
        },
        "rooms": [_room(room) for room in _rooms(asked, box, bracing)],
        "mass": mass + unplaced,
        "centre_of_gravity": list(centre),
        "facts": [fact._asdict() for fact in box.facts],
    }


def _built(asked):
    """The carcass with its grooves and the braces, or every refusal at its place."""
    panels = {name: (panel.thickness, panel.density) for name, panel in asked.panels}
    thicknesses = {name: thickness for name, (thickness, _) in panels.items()}
    _refuse(joint_faults(thicknesses, asked.edges))
    names = _names("braces", "brace", asked.braces)
    skins = _names("layers", "layer", asked.layers)
    layers = {
        each.name: (Layer(each.panel, "", each.place, soft=each.soft), each.thickness, each.density)
        for each in asked.layers
    }
    size = asked.size.width, asked.size.height, asked.size.depth
    if asked.hold == "outer":
        size = within_skins(size, layers, asked.slope)
    box = carcass(size, asked.hold, panels, asked.edges, asked.slope, asked.lid)
    plates = {brace.name: (brace, brace.thickness, brace.density) for brace in asked.braces}
    _refuse(_seal_faults(asked.braces))
    _refuse(
        _numbered(fault, "braces", names) for fault in brace_faults(box.inner, thicknesses, plates, box.slope)
    )
    bracing = braces(box.inner, thicknesses, plates, box.slope)
    box = grooved(box, bracing.grooves)
    try:
        box = layered(box, layers, bracing.braces.values())
    except InputError as fault:
        field = _numbered(fault, "layers", skins).field.replace(".sheet", ".thickness")
        raise InputError(field, fault.problem) from fault
    return rounded(box, asked.rounding, layers) if asked.rounding else box, bracing


def _seal_faults(braces):
    sealing = [(n, each) for n, each in enumerate(braces) if each.seals]
    for n, each in sealing:
        if each.kind in ("bar", "dowel") or each.window or each.notches:
            yield InputError(
                f"braces.{n}.seals", "must be a plate without a window or a notch to part the air"
            )
    for n, _ in sealing[MOST_PLATES:]:
        yield InputError(f"braces.{n}.seals", "parts the air into more chambers than a cabinet has")


def _rooms(asked, box, bracing):
    """The rooms between the plates that seal, from the left, the front and the floor; one where none does."""
    plates = {each.name: bracing.braces[each.name] for each in asked.braces if each.seals}
    if plates:
        _refuse(
            InputError(f"displaced.{n}.at", "is needed where a plate parts the air: whose does it take?")
            for n, thing in enumerate(asked.displaced)
            if not thing.at
        )
    linings = [layer.body for layer in box.layers.values() if layer.place == "inside"]
    things = [(thing.name, thing.at or box.air.corners[0], thing.volume) for thing in asked.displaced]
    try:
        return rooms(box.air, plates, bracing.braces.values(), linings, things)
    except InputError as fault:
        raise _numbered(fault, "braces", [each.name for each in asked.braces]) from fault


def _names(group, one, parts):
    """The names of a list of parts, none of them twice."""
    names = [part.name for part in parts]
    taken = [n for n, name in enumerate(names) if name in names[:n]]
    _refuse(InputError(f"{group}.{n}.name", f"is taken by another {one}") for n in taken)
    return names


def _refuse(faults):
    errors = {}
    for fault in faults:
        errors.setdefault(fault.field, fault.problem)
    if errors:
        raise FieldErrors(errors)


def _numbered(fault, group, names):
    """The fault of a part at its place in the list: calc knows it by name, which may hold dots."""
    for n, name in sorted(enumerate(names), key=lambda pair: -len(pair[1])):
        start = f"{group}.{name}."
        if fault.field.startswith(start):
            return InputError(f"{group}.{n}.{fault.field.removeprefix(start)}", fault.problem)
    return fault


def size(size):
    return dict(zip(("width", "height", "depth"), size, strict=True))


def _room(room):
    ends = (room.body.low, room.body.high)
    low, high = (dict(zip("xyz", corner, strict=True)) for corner in ends)
    sizes = {"low": low, "high": high, "gross": room.gross, "net": room.net}
    return sizes | {"plates": room.plates, "holds": room.things}


def _blank(part):
    return {
        "name": part.name, "length": part.length, "width": part.width, "thickness": part.thickness,
        "volume": part.volume, "mass": part.mass,
    }  # fmt: skip


def _panel(panel):
    allowances = [{"edge": allowance.edge, "add": allowance.add} for allowance in panel.allowances]
    return _blank(panel) | {"allowances": allowances, "bevels": panel.bevels, "tapers": panel.tapers}
