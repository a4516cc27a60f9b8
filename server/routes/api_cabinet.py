"""POST /api/cabinet: from sizes, thicknesses and joints to blanks, volumes and weight."""

from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import Field

from calc.cabinet.balance import mass_and_centre
from calc.cabinet.brace_faults import brace_faults
from calc.cabinet.bracing import braces
from calc.cabinet.joints import joint_faults
from calc.cabinet.panels import carcass, grooved
from calc.cabinet.volume_ledger import ledger
from calc.errors import InputError
from server.documents import FieldErrors
from server.questions import Name, Strict

router = APIRouter(prefix="/api")


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
    into its groove or hole, `depth_far` the right, back or upper one where it differs.
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


class ThingIn(Strict):
    """What takes air inside: `volume` [m³], `mass` [kg], and where (`at` x, y, z) it stands [m].

    Without `at` it is weighed, but left out of the centre of gravity.
    """

    name: Name
    volume: Volume
    mass: Mass = 0.0
    at: Annotated[list[Place], Field(min_length=3, max_length=3)] | None = None


class CabinetIn(Strict):
    """One cabinet; the held size never moves. The front leans back by `slope` [deg] about its lower edge.

    `size.depth` is then the depth at the floor.
    """

    hold: Literal["inner", "outer"]
    size: SizeIn
    slope: Slope = 0.0
    panels: PanelsIn
    edges: dict[str, EdgeIn]
    braces: Annotated[list[BraceIn], Field(max_length=50)] = []
    displaced: Annotated[list[ThingIn], Field(max_length=200)] = []


@router.post("/cabinet")
def cabinet(asked: CabinetIn) -> dict:
    """Blanks, volume ledger, weight and centre of gravity of a cabinet."""
    box, bracing = _built(asked)
    entries = [(brace.name, brace.displaced) for brace in bracing.braces.values()]
    entries += [(thing.name, thing.volume) for thing in asked.displaced]
    book = ledger(box.gross, entries)
    wood = [*box.panels.values(), *bracing.braces.values()]
    placed = [(part.mass, part.centroid) for part in wood]
    placed += [(thing.mass, thing.at) for thing in asked.displaced if thing.at]
    unplaced = sum(thing.mass for thing in asked.displaced if not thing.at)
    mass, centre = mass_and_centre(placed)
    return {
        "outer": size(box.outer),
        "inner": size(box.inner),
        "panels": [_panel(panel) for panel in box.panels.values()],
        "braces": [_blank(brace) for brace in bracing.braces.values()],
        "ledger": {
            "gross": book.gross,
            "displaced": [{"name": name, "volume": volume} for name, volume in book.displaced],
            "net": book.net,
        },
        "mass": mass + unplaced,
        "centre_of_gravity": list(centre),
        "facts": [fact._asdict() for fact in box.facts],
    }


def _built(asked):
    """The carcass with its grooves and the braces, or every refusal at its place."""
    panels = {name: (panel.thickness, panel.density) for name, panel in asked.panels}
    thicknesses = {name: thickness for name, (thickness, _) in panels.items()}
    _refuse(joint_faults(thicknesses, asked.edges))
    size = asked.size.width, asked.size.height, asked.size.depth
    box = carcass(size, asked.hold, panels, asked.edges, asked.slope)
    names = [brace.name for brace in asked.braces]
    _refuse(
        InputError(f"braces.{n}.name", "is taken by another brace")
        for n, name in enumerate(names)
        if name in names[:n]
    )
    plates = {brace.name: (brace, brace.thickness, brace.density) for brace in asked.braces}
    _refuse(_numbered(fault, names) for fault in brace_faults(box.inner, thicknesses, plates, box.slope))
    bracing = braces(box.inner, thicknesses, plates, box.slope)
    return grooved(box, bracing.grooves), bracing


def _refuse(faults):
    errors = {}
    for fault in faults:
        errors.setdefault(fault.field, fault.problem)
    if errors:
        raise FieldErrors(errors)


def _numbered(fault, names):
    """The fault of a brace at the brace's place in the list: calc knows it by name, which may hold dots."""
    for n, name in sorted(enumerate(names), key=lambda pair: -len(pair[1])):
        start = f"braces.{name}."
        if fault.field.startswith(start):
            return InputError(f"braces.{n}.{fault.field.removeprefix(start)}", fault.problem)
    return fault


def size(size):
    return dict(zip(("width", "height", "depth"), size, strict=True))


def _blank(part):
    return {
        "name": part.name, "length": part.length, "width": part.width, "thickness": part.thickness,
        "volume": part.volume, "mass": part.mass,
    }  # fmt: skip


def _panel(panel):
    allowances = [{"edge": allowance.edge, "add": allowance.add} for allowance in panel.allowances]
    return _blank(panel) | {"allowances": allowances, "bevels": panel.bevels, "tapers": panel.tapers}
