"""The cabinet of a project document, as its user decided it: see `calc.project`."""

from dataclasses import dataclass, field
from typing import Literal

from calc.errors import (
    InputError,
    require_not_negative,
    require_one,
    require_pair,
    require_positive,
    require_whole,
    require_within,
)

PANELS = ("front", "back", "left", "right", "top", "bottom")
EDGES = (
    "front-left", "front-right", "front-top", "front-bottom",
    "back-left", "back-right", "back-top", "back-bottom",
    "left-top", "left-bottom", "right-top", "right-bottom",
)  # fmt: skip
"""The twelve edges, each named by its two panels in the order of `PANELS`."""

PLATE_SCREWS = (0, 2, 4, 6, 8)
"""How many screws hold a rectangular plate: two at its sides, or four at its corners and more between."""


@dataclass(frozen=True)
class Frame:
    """What the saw and the router must know of a driver. Lengths [m], volume [m³], mass [kg].

    A truncated flange is a round one with two flats, `across` apart; a square one is `across` wide and high,
    with corners of radius `corner`.
    """

    shape: Literal["round", "truncated", "square"] = "round"
    flange: float | None = None  # outer diameter of the flange; none of a square one
    across: float | None = None
    corner: float = 0.0
    flange_thickness: float | None = None
    gasket: float = 0.0  # as compressed, under the flange
    cutout: float | None = None  # diameter of the through hole
    depth: float | None = None  # from the seat to the back of the magnet
    magnet: float | None = None  # diameter of the magnet
    volume: float = 0.0  # that it takes from the air inside
    mass: float = 0.0
    screws: int = 0
    screw_circle: float | None = None  # diameter

    def __post_init__(self):
        require_positive(
            flange=self.flange, flange_thickness=self.flange_thickness, cutout=self.cutout,
            depth=self.depth, magnet=self.magnet, screw_circle=self.screw_circle, across=self.across,
        )  # fmt: skip
        require_not_negative(volume=self.volume, mass=self.mass, screws=self.screws, corner=self.corner)
        size = "is no size of a driver: was it meant in millimetres?"
        require_within(
            0.01,
            0.8,
            size,
            flange=self.flange,
            cutout=self.cutout,
            across=self.across,
            magnet=self.magnet,
            screw_circle=self.screw_circle,
        )
        require_within(
            1e-4,
            0.05,
            "is no thickness of a flange: was it meant in millimetres?",
            flange_thickness=self.flange_thickness,
        )
        require_within(0, 0.02, "must be the gasket's thickness when pressed", gasket=self.gasket)
        require_within(0.005, 0.6, size, depth=self.depth)
        self._require_shape()

    def _require_shape(self):
        if self.shape != "square" and self.flange and self.cutout and self.cutout >= self.flange:
            raise InputError("cutout", "must be smaller than the flange, or the driver falls through")
        if self.shape == "round":
            return
        if self.across and self.cutout and self.cutout >= self.across:
            raise InputError("across", "must be wider than the cut-out, or the driver falls through")
        if self.shape == "truncated" and self.flange and self.across and self.across >= self.flange:
            raise InputError("across", "must be less than the diameter: the flats are cut from it")
        if self.shape == "square" and self.across and 2 * self.corner > self.across:
            raise InputError("corner", "must be at most half the flange's side")

    @property
    def wide(self):
        """Diameter of the flange, or the side of a square one; None while not known. [m]"""
        return self.across if self.shape == "square" else self.flange

    @property
    def narrow(self):
        """The least width of the flange across its middle; None while not known. [m]"""
        return self.flange if self.shape == "round" else self.across

    @property
    def about(self):
        """Diameter of the circle about the flange; None while not known. [m]"""
        if self.shape != "square":
            return self.flange
        return None if self.across is None else self.across * 2**0.5 - 2 * self.corner * (2**0.5 - 1)


@dataclass(frozen=True)
class Size:
    """Width, height, depth [m]; only their ratios count where the volume is held."""

    width: float
    height: float
    depth: float

    def __post_init__(self):
        require_positive(width=self.width, height=self.height, depth=self.depth)


@dataclass(frozen=True)
class Edge:
    """How two panels meet: the other one goes `depth` [m] into the panel `into` (0 is a butt), or a mitre."""

    into: Literal["front", "back", "left", "right", "top", "bottom"] | None = None
    depth: float = 0.0
    mitre: bool = False

    def __post_init__(self):
        require_not_negative(depth=self.depth)
        if self.mitre == (self.into is not None):
            raise InputError("into", "name the panel that runs through, or choose a mitre")


@dataclass(frozen=True)
class Window:
    """An opening in a brace, centred on it: width, height [m], corner `radius` [m].

    `count` equal ones stand in a row along the brace's longer side, `bridge` [m] of wood between two.
    """

    width: float
    height: float
    radius: float = 0.0
    count: int = 1
    bridge: float = 0.03

    def __post_init__(self):
        require_positive(width=self.width, height=self.height)
        require_not_negative(radius=self.radius)
        if 2 * self.radius > min(self.width, self.height):
            raise InputError("radius", "must be at most half the window's smaller side")
        require_whole(1, 6, count=self.count)
        require_positive(bridge=self.bridge)


@dataclass(frozen=True)
class Notch:
    """A bite out of one edge of a brace, where a driver or a port passes. Lengths [m].

    `side` is the cabinet's panel that this edge faces, `at` the bite's middle along the edge, from its left,
    front or lower end inside.
    """

    side: Literal["front", "back", "left", "right", "top", "bottom"]
    at: float
    width: float
    depth: float

    def __post_init__(self):
        require_positive(at=self.at, width=self.width, depth=self.depth)


@dataclass(frozen=True)
class Brace:
    """What stiffens the inside: a plate, a bar or a dowel.

    A `shelf` lies level, a `rib` stands front to back, a `frame` stands across, parallel to the back. A `bar`
    of the section `width` [m] by its sheet's thickness, or a `dowel` of diameter `width`, joins two facing
    panels, named by `between`.

    `at` [m] is where the middle of a plate stands: a shelf's height above the inner floor, a rib's distance
    from the inner left wall, a frame's from the inner front at the floor. None only of a wall that parts the
    air: where it leaves each chamber its share. A bar or dowel stands at `at` and `also_at`: between the
    sides, its height and its distance from the front; between front and back, its distance from the left
    and its height; between top and bottom, its distances from the left and from the front.
    `sheet` names its material, `depth` [m] how far each end goes into its groove, `depth_far` that of the
    right, back or upper end where it differs. A plate that `seals` fits all round, without a window or a
    notch: what it parts from the box's drivers is a chamber of its own. Where that is to hold the net air
    `encloses` [m³], `at` is None and the plate stands where it does.
    """

    kind: Literal["shelf", "rib", "frame", "bar", "dowel"]
    at: float | None
    sheet: str
    depth: float = 0.0
    window: Window | None = None
    depth_far: float | None = None
    between: Literal["sides", "front and back", "top and bottom"] = "sides"
    also_at: float | None = None
    width: float | None = None
    notches: dict[str, Notch] = field(default_factory=dict)
    seals: bool = False
    encloses: float | None = None

    def __post_init__(self):
        require_positive(at=self.at, also_at=self.also_at, width=self.width, encloses=self.encloses)
        require_not_negative(depth=self.depth, depth_far=self.depth_far)
        if self.kind in ("bar", "dowel"):
            for name in ("at", "also_at", "width"):
                if getattr(self, name) is None:
                    raise InputError(name, "is needed of a bar or a dowel")
            if self.window is not None or self.notches:
                raise InputError("kind", "must be a plate to have a window or a notch")
        if self.seals and (self.kind in ("bar", "dowel") or self.window is not None or self.notches):
            raise InputError("seals", "must be a plate without a window or a notch to part the air")
        if self.encloses is not None and not self.seals:
            raise InputError("encloses", "is air that only a plate parts off which is sealed all round")
        if self.encloses is not None and self.at is not None:
            raise InputError("encloses", "finds its own place: leave that of the plate empty")


@dataclass(frozen=True)
class Ring:
    """A spacer under a driver's flange, `sheet` thick, that brings it out to the face of a skin.

    `diameter` [m] is its outer one; None: that of the flange.
    """

    sheet: str
    diameter: float | None = None

    def __post_init__(self):
        require_positive(diameter=self.diameter)


@dataclass(frozen=True)
class Relief:
    """A breathing chamfer behind a driver: `angle` [deg] from its axis, `depth` [m] from the inside."""

    depth: float
    angle: float = 45.0

    def __post_init__(self):
        require_positive(depth=self.depth)
        require_within(10, 80, "must be an angle from 10° to 80° from the driver's axis", angle=self.angle)


@dataclass(frozen=True)
class Seat:
    """Where a driver sits on the front: its centre from the outer lower left corner, along the face [m].

    `x` None is the middle of the front's width, wherever that comes to lie. With `wall` it sits in that
    shelf, which parts two chambers, its cone facing up or down; `y` then runs from the front backwards. The
    chamber behind the cone is the rear one. `turn` [deg] turns the flats or the corners of its flange, and
    its screws, to the right; at 0 the flats stand upright.
    """

    driver: str
    y: float
    x: float | None = None
    flush: bool = True  # recessed by the flange, or set on the face
    wall: str | None = None
    faces: Literal["up", "down"] = "up"
    ring: Ring | None = None
    relief: Relief | None = None
    turn: float = 0.0

    def __post_init__(self):
        require_positive(x=self.x, y=self.y)
        require_within(-180, 180, "must be an angle from −180° to 180°", turn=self.turn)


@dataclass(frozen=True)
class Hole:
    """Another opening, for terminals or a cup: `panel`, size, centre x, y as for a seat. Lengths [m].

    Round with its `diameter`, or a rectangle of `width` and `height` with corners of `radius`. What sits in
    it stands `depth` into the box, counted from the face; its rim covers `rim` of the panel around the hole,
    held by `screws`. One that comes `later` is plugged while the speaker is played bare.
    """

    panel: Literal["front", "back"]
    y: float
    diameter: float | None = None
    x: float | None = None
    width: float | None = None
    height: float | None = None
    radius: float = 0.0
    depth: float = 0.0
    rim: float = 0.0
    screws: int = 0
    later: bool = False

    def __post_init__(self):
        require_positive(diameter=self.diameter, x=self.x, y=self.y, width=self.width, height=self.height)
        require_not_negative(radius=self.radius)
        require_within(0, 0.5, "must be how far it stands into the box", depth=self.depth)
        require_within(0, 0.1, "must be how much of the panel its rim covers", rim=self.rim)
        require_whole(0, 24, screws=self.screws)
        require_one("diameter", "give the diameter, or the width and the height", self.diameter, self.width)
        require_pair(width=self.width, height=self.height)
        if self.width and 2 * self.radius > min(self.width, self.height):
            raise InputError("radius", "must be at most half the opening's smaller side")
        if self.screws and not self.rim:
            raise InputError("rim", "is needed: the screws stand in it")
        if self.width and self.screws not in PLATE_SCREWS:
            raise InputError("screws", "must be 2, 4, 6 or 8 of a rectangular plate, or none")


@dataclass(frozen=True)
class Board:
    """A crossover board, fixed to a panel inside. Lengths [m], volume [m³], mass [kg].

    `width` and `height` lie on the panel, `depth` is the board with the parts on it. x, y is its centre: on
    front and back as for a seat; on the floor and the top from the outer left and from the front; on the
    sides from the front and from the lower edge. `volume` is the air that it takes, None a third of its
    room.
    """

    panel: Literal["front", "back", "left", "right", "top", "bottom"]
    width: float
    height: float
    depth: float
    x: float
    y: float
    volume: float | None = None
    mass: float = 0.0

    def __post_init__(self):
        require_positive(
            width=self.width, height=self.height, depth=self.depth, x=self.x, y=self.y, volume=self.volume
        )
        require_not_negative(mass=self.mass)


@dataclass(frozen=True)
class Thing:
    """Something inside that takes air: `volume` [m³] and `mass` [kg]."""

    volume: float
    mass: float = 0.0

    def __post_init__(self):
        require_not_negative(volume=self.volume, mass=self.mass)


@dataclass(frozen=True)
class Layer:
    """A board or a veneer glued onto `panel`, cut from `sheet`.

    place "through": laminated to the back of the panel before both are cut as one, so that the joints count
    both. "inside": cut to the clear inside of the panel, behind it. "outside": a skin over the finished
    carcass; each later one in the document covers the edges of the earlier. A layer that comes `later` is
    not there while the speaker is played bare. A soft layer between, `soft` [m] thick with shear modulus
    `soft_G` [Pa] and `soft_loss` [-], damps it.
    """

    panel: Literal["front", "back", "left", "right", "top", "bottom"]
    sheet: str
    place: Literal["through", "inside", "outside"] = "outside"
    later: bool = False
    soft: float | None = None
    soft_G: float | None = None
    soft_loss: float | None = None

    def __post_init__(self):
        require_within(1e-5, 0.02, "must be the thickness of a soft layer", soft=self.soft)
        require_within(
            1e3, 1e10, "must be the shear of something soft, from gel to hard glue", soft_G=self.soft_G
        )
        require_within(0, 5, "must be a loss factor, at most a few", soft_loss=self.soft_loss)
        require_pair(soft_G=self.soft_G, soft_loss=self.soft_loss)
        if self.soft_G is not None and self.soft is None:
            raise InputError("soft", "is needed: how thick is the soft layer?")


@dataclass(frozen=True)
class Lid:
    """The panel that comes off, screwed on: `gasket` as thick as when pressed, `play` all round [m]."""

    panel: Literal["front", "back"]
    gasket: float = 0.003
    play: float = 0.001
    screws: int = 10

    def __post_init__(self):
        require_within(0, 0.02, "must be the gasket's thickness when pressed", gasket=self.gasket)
        require_within(0, 0.01, "must be a little play, a millimetre or so", play=self.play)
        require_whole(2, 60, screws=self.screws)


@dataclass(frozen=True)
class Rounding:
    """The outer edges of the front, rounded with radius `size` or chamfered by `size` at 45° [m]."""

    size: float
    kind: Literal["round", "chamfer"] = "round"
    along: Literal["sides", "top", "sides and top", "all"] = "sides"

    def __post_init__(self):
        require_within(5e-4, 0.2, "must be the radius or the leg of a chamfer, in the wood", size=self.size)


@dataclass(frozen=True)
class Feet:
    """`count` feet: their `height` and `diameter`, their middles `inset` from the cabinet's edges [m]."""

    count: Literal[3, 4] = 4
    height: float = 0.01
    inset: float = 0.03
    diameter: float = 0.02

    def __post_init__(self):
        require_positive(height=self.height, diameter=self.diameter)
        require_not_negative(inset=self.inset)


@dataclass(frozen=True)
class Plinth:
    """A frame under the cabinet, `height` high, cut from `sheet`, each side set back by `setback` [m].

    Its corners are `mitred`, or front and back run through.
    """

    sheet: str
    height: float
    setback: float = 0.0
    mitred: bool = False

    def __post_init__(self):
        require_positive(height=self.height)
        require_within(
            -0.3, 0.3, "must be how far it stands back, or out if below zero", setback=self.setback
        )


@dataclass(frozen=True)
class Grille:
    """A frame with cloth before the front, cut from `sheet`. Lengths [m].

    Its bars are `bar` wide, its outer edge lies `inset` from that of the front; the cloth and its fold take
    `cloth` at each edge. It is held by `magnets` in blind holes, or by `pegs`, of `diameter`.
    """

    sheet: str
    bar: float = 0.02
    inset: float = 0.003
    cloth: float = 0.0008
    holds: Literal["magnets", "pegs"] = "magnets"
    diameter: float = 0.01

    def __post_init__(self):
        require_positive(bar=self.bar, diameter=self.diameter)
        require_not_negative(cloth=self.cloth)
        require_within(-0.1, 0.2, "must be how far its edge lies inside that of the front", inset=self.inset)


@dataclass(frozen=True)
class RealPart:
    """What a part measures after it was cut: the blank's sides [m]; None is as planned."""

    length: float | None = None
    width: float | None = None
    thickness: float | None = None

    def __post_init__(self):
        require_positive(length=self.length, width=self.width, thickness=self.thickness)


@dataclass(frozen=True)
class RealGroove:
    """What a groove or a rabbet measures: `width`, `depth`, and how far its middle lies `off` [m]."""

    width: float | None = None
    depth: float | None = None
    off: float = 0.0

    def __post_init__(self):
        require_positive(width=self.width)
        require_not_negative(depth=self.depth)
        require_within(-0.2, 0.2, "must be how far it lies off, right or up above zero", off=self.off)


@dataclass(frozen=True)
class RealOpening:
    """What an opening measures: hole and recess, depth of the recess, and how far its centre lies off [m]."""

    width: float | None = None
    outline: float | None = None
    recess: float | None = None
    off_x: float = 0.0
    off_y: float = 0.0

    def __post_init__(self):
        require_positive(width=self.width, outline=self.outline)
        require_not_negative(recess=self.recess)
        require_within(
            -0.3,
            0.3,
            "must be how far it lies off, right or up above zero",
            off_x=self.off_x,
            off_y=self.off_y,
        )


@dataclass(frozen=True)
class AsCut:
    """What the saw and the router really made: parts and openings by name, grooves by "<panel> <mate>"."""

    parts: dict[str, RealPart] = field(default_factory=dict)
    grooves: dict[str, RealGroove] = field(default_factory=dict)
    openings: dict[str, RealOpening] = field(default_factory=dict)


@dataclass(frozen=True)
class Cabinet:
    """One cabinet. `hold` says which of its sizes never moves; `size` is that one, or the proportions.

    hold "volume": the inside follows the wanted net volume in the proportions of `size`;
    "inner": `size` is the inside; "outer": `size` is the outside. `moves` names the one side that follows
    the net volume, while `size` holds the other two.
    `panels` names a sheet of the workshop for each panel. `finish` [m] is what paint or veneer adds to
    the front before the drivers go in. `seal` is how what is screwed on is made tight, `leak_gap` [m] the gap
    that it leaves, where somebody knows it.
    `slope` [deg] is how far the front leans back about its lower edge; `size.depth` is then that at the
    floor. In a pair that is `mirrored`, what stands off the middle of the left cabinet's width stands off to
    the other side in the right one. While it is played bare, a lead of diameter `lead` [m] for each terminal
    goes out through the port. `weighed` [kg] is what one box weighs on a scale, glued and bare of drivers.
    `fitted` names the parts that are cut over along a side, and trimmed until they go in.
    """

    hold: Literal["volume", "inner", "outer"]
    size: Size
    panels: dict[Literal["front", "back", "left", "right", "top", "bottom"], str]
    edges: dict[str, Edge]
    braces: dict[str, Brace] = field(default_factory=dict)
    seats: dict[str, Seat] = field(default_factory=dict)
    holes: dict[str, Hole] = field(default_factory=dict)
    displaced: dict[str, Thing] = field(default_factory=dict)
    finish: float = 0.0
    moves: Literal["all", "width", "height", "depth"] = "all"
    seal: Literal["gasket", "mastic", "bare"] = "gasket"
    leak_gap: float | None = None
    slope: float = 0.0
    layers: dict[str, Layer] = field(default_factory=dict)
    lid: Lid | None = None
    rounding: Rounding | None = None
    boards: dict[str, Board] = field(default_factory=dict)
    fitted: dict[str, Literal["", "length", "width", "both"]] = field(default_factory=dict)
    feet: Feet | None = None
    plinth: Plinth | None = None
    grille: Grille | None = None
    mirrored: bool = False
    lead: float | None = None
    as_cut: AsCut = field(default_factory=AsCut)
    weighed: float | None = None

    def __post_init__(self):
        require_positive(weighed=self.weighed)
        require_within(0, 30, "must be an angle from 0° to 30° off upright", slope=self.slope)
        require_within(5e-4, 0.02, "must be the diameter of a lead with its sleeve", lead=self.lead)
        for panel in PANELS:
            if panel not in self.panels:
                raise InputError(f"panels.{panel}", "is needed")
        for edge in EDGES:
            if edge not in self.edges:
                raise InputError(f"edges.{edge}", "is needed")
        for name, edge in self.edges.items():
            if name not in EDGES:
                raise InputError(f"edges.{name}", "is not one of the twelve edges")
            if edge.into is not None and edge.into not in name.split("-"):
                raise InputError(f"edges.{name}.into", "must be one of the edge's own two panels")
        for name in self.layers:
            if name in PANELS or name in self.braces:
                raise InputError(f"layers.{name}", "must have a name that no panel and no brace has")
        require_not_negative(finish=self.finish)
        require_within(
            1e-6, 0.003, "must be a gap that a leak comes through, under 3 mm", leak_gap=self.leak_gap
        )
