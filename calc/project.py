"""The project document: what the woodworker decided, in SI units, and nothing that can be computed.

Each record refuses a bad value when it is made, so a `Project` that exists is valid.
`server.documents` reads plain data into these records; a refusal carries its dotted path
(``alternatives.B.box.Vb``), which is also the name of its form field.
"""

from dataclasses import dataclass, field
from typing import Literal

from calc.cabinet.materials import MATERIALS
from calc.errors import (
    InputError,
    require_not_negative,
    require_one,
    require_pair,
    require_positive,
    require_whole,
    require_within,
)
from calc.project_cabinet import Cabinet, Frame
from calc.project_layout import MOST, Match, StockPiece
from calc.project_network import Crossover, Stock, Target, Tolerance, Way
from calc.project_saw import Saw

FORMAT = 1
"""The document format that this code writes."""

DoubtfulValue = Literal["fs", "Qms", "Qes", "Vas", "Sd", "Re", "Le", "Xmax"]


@dataclass(frozen=True)
class Place:
    """The air where the speakers will play: T [K], p [Pa], humidity [0..1]."""

    T: float = 293.15
    p: float = 101325.0
    humidity: float = 0.5

    def __post_init__(self):
        require_within(253.15, 333.15, "must be a temperature that people live in, -20 to 60 °C", T=self.T)
        require_within(50e3, 110e3, "must be a pressure found on land, 500 to 1100 hPa", p=self.p)
        require_within(0, 1, "must be between 0 and 100 percent", humidity=self.humidity)


@dataclass(frozen=True)
class Driver:
    """One driver as its data sheet gives it; what the sheet leaves out stays None.

    fs [Hz], Qms Qes Qts [-], Vas [m³], Sd [m²], Re [ohm], Le [H], Le2 [H] in parallel with Re2 [ohm],
    a semi-inductance K (j w)^n [ohm],
    Mms [kg], Cms [m/N], Rms [N s/m], Bl [T m], Xmax [m] one way, Pe [W], Z nominal [ohm],
    sensitivity [dB at 1 m, half space, for 2.83 V]; rated_rise, how much warmer Pe makes the coil [K].
    The sheet's Vas holds in air at sheet_T [K] and sheet_p [Pa]. `spread` is how far 19 of 20 samples lie
    off a value, over that value; what is not named there, or is None, has the usual one.
    """

    name: str = ""
    kind: Literal["woofer", "midrange", "tweeter"] = "woofer"
    fs: float | None = None
    Qms: float | None = None
    Qes: float | None = None
    Qts: float | None = None
    Vas: float | None = None
    Sd: float | None = None
    Re: float | None = None
    Le: float | None = None
    Le2: float | None = None
    Re2: float | None = None
    K: float | None = None
    n: float | None = None
    Mms: float | None = None
    Cms: float | None = None
    Rms: float | None = None
    Bl: float | None = None
    Xmax: float | None = None
    Pe: float | None = None
    Z: float | None = None
    sensitivity: float | None = None
    rated_rise: float | None = None
    sheet_T: float = 293.15
    sheet_p: float = 101325.0
    frame: Frame = field(default_factory=Frame)
    spread: dict[DoubtfulValue, float | None] = field(default_factory=dict)

    def __post_init__(self):
        require_positive(
            fs=self.fs, Qms=self.Qms, Qes=self.Qes, Qts=self.Qts, Vas=self.Vas, Sd=self.Sd, Re=self.Re,
            Le2=self.Le2, Re2=self.Re2, Mms=self.Mms, Cms=self.Cms, Rms=self.Rms, Bl=self.Bl,
            Xmax=self.Xmax, Pe=self.Pe, Z=self.Z, K=self.K,
        )  # fmt: skip
        require_not_negative(Le=self.Le)
        require_within(0.5, 1, "must be from 0.5, a coil on solid iron, to 1, a plain one", n=self.n)
        _require_spreads("spread", self.spread)
        require_within(0, 130, "must be a level in decibel, such as 88", sensitivity=self.sensitivity)
        require_within(20, 400, "must be how much warmer Pe makes the coil", rated_rise=self.rated_rise)
        require_within(253.15, 333.15, "must be a room temperature", sheet_T=self.sheet_T)
        require_within(50e3, 110e3, "must be a pressure found on land", sheet_p=self.sheet_p)
        require_pair(Le2=self.Le2, Re2=self.Re2)
        require_pair(K=self.K, n=self.n)


@dataclass(frozen=True)
class RoundPort:
    """A tube of inside `diameter` [m]."""

    kind: Literal["round"] = "round"
    diameter: float = 0.05

    def __post_init__(self):
        require_positive(diameter=self.diameter)


@dataclass(frozen=True)
class SlotPort:
    """A rectangular channel, `width` by `height` [m]; `along_wall` if its long side lies on a panel."""

    kind: Literal["slot"] = "slot"
    width: float = 0.15
    height: float = 0.02
    along_wall: bool = False

    def __post_init__(self):
        require_positive(width=self.width, height=self.height)


@dataclass(frozen=True)
class Port:
    """`count` equal ports; `wall` [m] is the thickness of the tube's or channel's own wall.

    `length` [m] is given only where a plan or a bought tube fixes it; then the tuning follows from it.
    It is counted along the middle, round each of `bends` elbows of 90°. A flared end is rounded with the
    radius `flare` [m], within the length.
    """

    count: int = 1
    shape: RoundPort | SlotPort = field(default_factory=RoundPort)
    wall: float = 0.003
    length: float | None = None
    panel: Literal["front", "back"] = "back"
    x: float | None = None  # centre, from the outer lower left corner seen from the front [m]; None: middle
    y: float | None = None  # None: where there is most room
    outer: Literal["flanged", "free", "flared"] = "flanged"
    inner: Literal["flanged", "free", "flared"] = "free"
    flare: float | None = None
    bends: int = 0

    def __post_init__(self):
        require_whole(1, 16, count=self.count)
        require_not_negative(wall=self.wall)
        require_positive(length=self.length, flare=self.flare)
        require_whole(0, 4, bends=self.bends)
        if "flared" in (self.outer, self.inner) and self.flare is None:
            raise InputError("flare", "is needed: with what radius is the end rounded?")


@dataclass(frozen=True)
class Lining:
    """Fibres on the walls of a box, or loose throughout: `share` of the air, `density` [kg/m³] there."""

    material: str
    share: float
    density: float
    place: Literal["walls", "throughout"] = "walls"

    def __post_init__(self):
        require_within(0, 1, "must be a share of the box, from 0 to 100 percent", share=self.share)
        require_within(
            1, 200, "must be how heavy the packed fibres are, 1 to 200 kg/m³", density=self.density
        )


@dataclass(frozen=True)
class Radiator:
    """`count` equal cones without motors, each as its sheet gives it.

    Sp [m²], fp [Hz] and Qmp [-] in free air, and either the moving mass Mmp [kg] or Vap [m³], the air that is
    as compliant as its suspension. Xmax [m] one way. `added` [kg] is screwed to each; None lets it follow
    from the wanted tuning.
    """

    count: int
    Sp: float
    fp: float
    Qmp: float
    Mmp: float | None = None
    Vap: float | None = None
    Xmax: float | None = None
    added: float | None = None
    frame: Frame = field(default_factory=Frame)
    panel: Literal["front", "back"] = "back"
    x: float | None = None  # centre of all, as for a port
    y: float | None = None
    flush: bool = True  # recessed by the flange, or set on the face

    def __post_init__(self):
        require_whole(1, 8, count=self.count)
        require_positive(
            Sp=self.Sp, fp=self.fp, Qmp=self.Qmp, Mmp=self.Mmp, Vap=self.Vap, Xmax=self.Xmax,
            x=self.x, y=self.y,
        )  # fmt: skip
        require_not_negative(added=self.added)
        mass = "give the moving mass or Vas of the radiator: one of them, the other follows"
        require_one("Mmp", mass, self.Mmp, self.Vap)


IDEAL = "must be between 1 (empty) and 1.4 (the ideal limit)"
ONE_OF_TWO = "give the tuning or the port's length: one of them, the other follows"


@dataclass(frozen=True)
class ClosedBox:
    """A sealed box. Vb [m³] is the net air wanted, or None: what the cabinet happens to hold.

    Of every box: QL, QA and QP are its losses by leak, absorption and port friction at its own tuning or
    resonance, where they are known; None lets them follow from how it is built. `filling` is the apparent
    volume over the real one, 1 to 1.4; None lets it follow from the `lining`.
    """

    kind: Literal["closed"] = "closed"
    Vb: float | None = None
    QL: float | None = None
    QA: float | None = None
    filling: float | None = None
    lining: Lining | None = None

    def __post_init__(self):
        require_positive(Vb=self.Vb, QL=self.QL, QA=self.QA)
        require_within(1, 1.4, IDEAL, filling=self.filling)


@dataclass(frozen=True)
class VentedBox:
    """A vented box, tuned to fb [Hz], or by the length of its port when fb is None.

    `other` are ports of another size beside the first; without a length of their own they are cut alike.
    """

    kind: Literal["vented"] = "vented"
    Vb: float | None = None
    fb: float | None = None
    QL: float | None = None
    QA: float | None = None
    QP: float | None = None
    filling: float | None = None
    lining: Lining | None = None
    port: Port = field(default_factory=Port)
    other: Port | None = None

    def __post_init__(self):
        require_positive(Vb=self.Vb, fb=self.fb, QL=self.QL, QA=self.QA, QP=self.QP)
        require_within(1, 1.4, IDEAL, filling=self.filling)
        require_one("fb", ONE_OF_TWO, self.fb, self.port.length)


@dataclass(frozen=True)
class PassiveRadiatorBox:
    """A box tuned by cones without motors: to fb [Hz], or by the mass added to them when fb is None."""

    radiator: Radiator
    kind: Literal["passive_radiator"] = "passive_radiator"
    Vb: float | None = None
    fb: float | None = None
    QL: float | None = None
    QA: float | None = None
    filling: float | None = None
    lining: Lining | None = None

    def __post_init__(self):
        require_positive(Vb=self.Vb, fb=self.fb, QL=self.QL, QA=self.QA)
        require_within(1, 1.4, IDEAL, filling=self.filling)
        mass = "give the tuning or the added mass: one of them, the other follows"
        require_one("fb", mass, self.fb, self.radiator.added)


@dataclass(frozen=True)
class BandPassBox:
    """A closed chamber Vr [m³] behind the drivers and a vented one Vf before them: only the port is heard.

    With `fr` [Hz] and a port of its own, `rear`, the rear chamber is vented too. Losses are the front
    chamber's; `filling` and `lining` are the rear one's.
    """

    Vr: float
    Vf: float
    kind: Literal["band_pass"] = "band_pass"
    fb: float | None = None
    QL: float | None = None
    QA: float | None = None
    QP: float | None = None
    filling: float | None = None
    lining: Lining | None = None
    port: Port = field(default_factory=Port)
    fr: float | None = None
    rear: Port | None = None

    def __post_init__(self):
        require_positive(Vr=self.Vr, Vf=self.Vf, fb=self.fb, fr=self.fr, QL=self.QL, QA=self.QA, QP=self.QP)
        require_within(1, 1.4, IDEAL, filling=self.filling)
        require_one("fb", ONE_OF_TWO, self.fb, self.port.length)
        require_pair(fr=self.fr, rear=self.rear)

    @property
    def Vb(self):
        """Air of both chambers. [m³]"""
        return self.Vr + self.Vf


@dataclass(frozen=True)
class _Filter:
    f: float
    order: int = 2

    def __post_init__(self):
        require_whole(1, 4, order=self.order)


@dataclass(frozen=True)
class HighPass(_Filter):
    """A Butterworth filter before the amplifier: `order` 1 to 4, 3 dB down at f [Hz]."""

    def __post_init__(self):
        require_within(1, 2000, "must be a frequency from 1 to 2000 Hz", f=self.f)
        super().__post_init__()


@dataclass(frozen=True)
class LowPass(_Filter):
    """Where the crossover hands over to the next driver: `order` 1 to 4, at f [Hz]."""

    def __post_init__(self):
        require_within(20, 20000, "must be a frequency from 20 to 20000 Hz", f=self.f)
        super().__post_init__()


@dataclass(frozen=True)
class Alternative:
    """One box that is being weighed, with the drivers that share it and what feeds them.

    `P` [W] is the stated power: V = sqrt(P x Re of the wired group), unless `V` [volt rms] is given.
    `Rs` [ohm] is all that lies before the drivers: cable, coil, amplifier. `chambers` divides box and
    drivers into equal parts; `compound` mounts them in pairs, one behind the other. The coils are `rise` [K]
    warmer than the sheet has them. `capacitor` [F] lies in series. `amplifier` [volt rms] is its largest
    sine; noise peaks `crest` times above its rms. `subsonic` [dB re the drive] is what a record player adds
    below the music; None: there is none.
    """

    box: ClosedBox | VentedBox | PassiveRadiatorBox | BandPassBox
    driver: str
    name: str = ""
    count: int = 1
    wiring: Literal["parallel", "series", "series_parallel"] = "parallel"
    Rs: float = 0.0
    P: float = 25.0
    V: float | None = None
    chambers: int = 1
    compound: bool = False
    rise: float = 0.0
    capacitor: float | None = None
    high_pass: HighPass | None = None
    low_pass: LowPass | None = None
    amplifier: float | None = None
    crest: float = 4.0
    subsonic: float | None = None

    def __post_init__(self):
        require_whole(1, 16, count=self.count)
        self._require_shared_out()
        if self.wiring == "series_parallel" and self.count % 2:
            raise InputError("count", "must be even, to be wired as pairs in series")
        require_not_negative(Rs=self.Rs)
        require_positive(P=self.P, V=self.V, capacitor=self.capacitor, amplifier=self.amplifier)
        require_within(0, 300, "must be how much warmer the coil is, 0 to 300 degrees", rise=self.rise)
        require_within(1, 20, "must be a peak over its rms: 1.4 for a sine, 4 for music", crest=self.crest)
        require_within(-80, 0, "must be a level below the music's, such as −20 dB", subsonic=self.subsonic)

    def _require_shared_out(self):
        if not 1 <= self.chambers <= self.count or self.count % self.chambers:
            raise InputError("chambers", "must share the drivers out evenly")
        if self.compound and (self.count // self.chambers) % 2:
            raise InputError(
                "count", "must be even in each chamber, to be mounted as pairs one behind the other"
            )
        box = self.box
        ports = [p for p in (getattr(box, "port", None), getattr(box, "other", None)) if p is not None]
        if any(p.count % self.chambers for p in ports):
            raise InputError("box.port.count", "must share out evenly among the chambers")
        if box.kind == "passive_radiator" and box.radiator.count % self.chambers:
            raise InputError("box.radiator.count", "must share out evenly among the chambers")


@dataclass(frozen=True)
class Sheet:
    """A sheet good: `thickness` as measured, `nominal` as sold, `length`, `width` [m], `density` [kg/m³].

    `material` is a row of the table of materials; None: what its name says. `E`, `E_across` [Pa] and `loss`
    [-] are its user's own, where he has measured them.
    """

    name: str
    thickness: float
    density: float
    nominal: float | None = None
    length: float = 2.44
    width: float = 1.22
    material: str | None = None
    E: float | None = None
    E_across: float | None = None
    loss: float | None = None

    def __post_init__(self):
        if self.material is not None and self.material not in MATERIALS:
            raise InputError("material", "must be a row of the table of materials")
        if self.E_across is not None and self.E is None:
            raise InputError("E", "is needed beside the one across the grain")
        stiff = "must be the stiffness of a solid board, from foam to steel"
        require_within(1e6, 3e11, stiff, E=self.E, E_across=self.E_across)
        require_within(0, 1, "must be a loss factor, from 0 to 1", loss=self.loss)
        require_positive(
            thickness=self.thickness, density=self.density, nominal=self.nominal,
            length=self.length, width=self.width,
        )  # fmt: skip
        require_within(0, 0.1, "must be the thickness of one sheet, measured with a calliper; write the unit"
                       " if yours is another", thickness=self.thickness)  # fmt: skip


@dataclass(frozen=True)
class Clamp:
    """`count` clamps of a kind, that reach `reach` [m]."""

    kind: Literal["one hand", "parallel jaw", "pipe", "I-beam"]
    count: int
    reach: float

    def __post_init__(self):
        require_whole(1, 200, count=self.count)
        require_within(0.02, 5, "must be how far the clamp opens", reach=self.reach)


@dataclass(frozen=True)
class Workshop:
    """What the shop has: sheets by name, router bits by name (diameters [m]), and its habits."""

    sheets: dict[str, Sheet]
    bits: dict[str, float]
    bit: str  # the one that cuts the driver seats
    kerf: float = 0.0032
    trim: float = 0.01  # taken off each factory edge
    pass_depth: float = 0.0032  # of the router, at most
    flange_clearance: float = 0.0008  # on the diameter of a recess
    web: float = 0.0015  # left standing until the disc is taped or clamped
    least_wood: float = 0.005  # between two openings of one panel (common practice, no source)
    screw: float = 0.0035  # thickness of the screws' shank (common practice, no source)
    screw_length: float | None = None  # of drivers' and plates' screws; None: as long as the wood bears
    saw: Saw = field(default_factory=Saw)
    most_length: float | None = None  # of a sheet that comes home, if the shop breaks it down
    most_width: float | None = None
    over: float = 0.0015  # that a part which is fitted is cut longer at first (common practice, no source)
    clamps: dict[str, Clamp] = field(default_factory=dict)
    open_time: float = 300.0  # that the glue stays open, and that
    pace: float = 60.0  # one joint takes, spread and closed [s] (common practice, no source)
    stock: dict[str, StockPiece] = field(default_factory=dict)  # sheets and offcuts that need not be bought

    def __post_init__(self):
        require_within(2e-4, 0.01, "must be as wide as a saw cuts", kerf=self.kerf)
        require_within(
            5e-4, 0.01, "must be a depth that a router takes at one pass", pass_depth=self.pass_depth
        )
        require_within(0, 0.1, "must be what is trimmed off a factory edge", trim=self.trim)
        require_within(
            0, 0.005, "must be play for a flange, a millimetre or so", flange_clearance=self.flange_clearance
        )
        require_within(
            5e-4, 0.01, "must be a thin web that holds the disc, a millimetre or two", web=self.web
        )
        require_within(
            0, 0.1, "must be the wood left between two openings, some millimetres", least_wood=self.least_wood
        )
        require_within(
            1e-3, 0.012, "must be the thickness of a wood screw, such as 4 mm or #8", screw=self.screw
        )
        require_within(5e-3, 0.15, "must be the length of a wood screw", screw_length=self.screw_length)
        carried = "must be a size that is carried home, 0.3 m or more"
        require_within(0.3, 10, carried, most_length=self.most_length, most_width=self.most_width)
        require_within(0, 0.02, "must be a little left to be trimmed, a millimetre or two", over=self.over)
        require_within(
            30, 7200, "must be how long the glue stays open, some minutes", open_time=self.open_time
        )
        require_within(5, 3600, "must be how long one joint takes, a minute or so", pace=self.pace)
        for name, diameter in self.bits.items():
            require_within(0.001, 0.06, "must be the diameter of a router bit", **{f"bits.{name}": diameter})
        if len(self.stock) > MOST:
            raise InputError("stock", f"is a long list: {MOST} lines are the most")
        if self.bit not in self.bits:
            raise InputError("bit", "must be one of the bits that the shop owns")


@dataclass(frozen=True)
class Climate:
    """Humidity of the place over the year, and of the bench on the day it is made [0..1]."""

    dry: float = 0.35
    made: float = 0.50
    damp: float = 0.65

    def __post_init__(self):
        moist = "must be a humidity of a house, from 10 to 90 percent"
        require_within(0.1, 0.9, moist, dry=self.dry, made=self.made, damp=self.damp)
        if self.dry > self.damp:
            raise InputError("damp", "must be at least that of the driest month")


@dataclass(frozen=True)
class Stand:
    """What the cabinet stands on: its `height`, `width` and `depth` on the floor [m], its `mass` [kg].

    `fixed`: the cabinet is screwed or stuck to it, and they tip as one.
    """

    height: float
    width: float
    depth: float
    mass: float
    fixed: bool = False

    def __post_init__(self):
        require_positive(height=self.height, width=self.width, depth=self.depth)
        require_not_negative(mass=self.mass)


@dataclass(frozen=True)
class Project:
    """The whole document. `show` is the units of the pages, `fraction` the finest part of an inch.

    `doubt` is the spread of what is built, as `Driver.spread` is that of what is bought.
    """

    # How plain data is read into these records: nothing unknown, no text for a number, no infinity.
    __pydantic_config__ = {"extra": "forbid", "strict": True, "allow_inf_nan": False}

    title: str
    drivers: dict[str, Driver]
    alternatives: dict[str, Alternative]
    chosen: str
    cabinet: Cabinet
    workshop: Workshop
    format: int = FORMAT
    notes: str = ""
    show: Literal["metric", "imperial"] = "metric"
    fraction: Literal[16, 32, 64] = 64
    speakers: int = 2  # how many of this cabinet are built
    air: Place = field(default_factory=Place)
    doubt: dict[Literal["Vb", "fb", "QL"], float | None] = field(default_factory=dict)
    climate: Climate = field(default_factory=Climate)
    stand: Stand | None = None
    network: Crossover | None = None
    ways: dict[str, Way] = field(default_factory=dict)  # by driver
    target: Target = field(default_factory=Target)
    drawer: list[Stock] = field(default_factory=list)
    tolerance: Tolerance = field(default_factory=Tolerance)
    matched: dict[str, Match] = field(default_factory=dict)  # runs of grain
    prices: dict[str, float | None] = field(default_factory=dict)  # by line of the buying list, any one money

    def __post_init__(self):
        _require_spreads("doubt", self.doubt)
        for key, price in self.prices.items():
            require_within(0, 1e6, "must be a price, from nothing to a million", **{f"prices.{key}": price})
        self._need_one_run_each()
        if not self.title.strip():
            raise InputError("title", "needs a name to find it by")
        require_whole(1, 20, speakers=self.speakers)
        if self.chosen not in self.alternatives:
            raise InputError("chosen", "must be one of the boxes that are weighed")
        for key, alternative in self.alternatives.items():
            self._need(alternative.driver, self.drivers, f"alternatives.{key}.driver", "drivers")
        for key, seat in self.cabinet.seats.items():
            self._need(seat.driver, self.drivers, f"cabinet.seats.{key}.driver", "drivers")
            if seat.wall is not None:
                self._need(seat.wall, self.cabinet.braces, f"cabinet.seats.{key}.wall", "braces")
        for key, part in (self.network.parts if self.network else {}).items():
            if part.kind == "driver":
                self._need(part.driver, self.drivers, f"network.parts.{key}.driver", "drivers")
        for key in self.ways:
            self._need(key, self.drivers, f"ways.{key}", "drivers")
        for place, sheet in self.sheets_named():
            self._need(sheet, self.workshop.sheets, place, "sheets")
        if self.cabinet.hold == "volume" and self.alternatives[self.chosen].box.Vb is None:
            raise InputError(
                f"alternatives.{self.chosen}.box.Vb", "is needed while the cabinet follows the net volume"
            )

    def _need_one_run_each(self):
        taken = set()
        for key, match in self.matched.items():
            for place, part in match.parts.items():
                if part in taken:
                    raise InputError(f"matched.{key}.parts.{place}", "stands in another run already")
            taken |= set(match.order)

    def sheets_named(self):
        """Where a sheet good of the workshop is named: (path, its name)."""
        made = self.cabinet
        yield from ((f"cabinet.panels.{panel}", sheet) for panel, sheet in made.panels.items())
        yield from ((f"cabinet.braces.{key}.sheet", each.sheet) for key, each in made.braces.items())
        yield from ((f"workshop.stock.{key}.sheet", each.sheet) for key, each in self.workshop.stock.items())
        yield from ((f"cabinet.layers.{key}.sheet", each.sheet) for key, each in made.layers.items())
        rings = ((key, seat.ring) for key, seat in made.seats.items() if seat.ring is not None)
        yield from ((f"cabinet.seats.{key}.ring.sheet", ring.sheet) for key, ring in rings)
        for key in ("plinth", "grille"):
            if getattr(made, key) is not None:
                yield f"cabinet.{key}.sheet", getattr(made, key).sheet

    @staticmethod
    def _need(name, among, place, kind):
        if name not in among:
            raise InputError(place, f"must be one of this project's {kind}")


def _require_spreads(place, spreads):
    for name, spread in spreads.items():
        require_within(0, 0.6, "must be a spread from 0 to 60 percent", **{f"{place}.{name}": spread})
