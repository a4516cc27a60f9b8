"""The result document: all that follows from a `Project`. Pages, charts and drawings read this alone.

SI units throughout. What cannot be known yet is None, and `missing` says what it waits for; there is
no NaN anywhere.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class AirResult:
    """The air that everything is reckoned in: c [m/s], rho [kg/m³], mu [Pa s]."""

    c: float
    rho: float
    mu: float


@dataclass(frozen=True)
class DriverResult:
    """A driver with every member that its data sheet implies.

    `completed` is `calc.sound.driver.Completed`; the rest is None while too little is given.
    """

    completed: object
    constants: object | None = None
    eta0: float | None = None
    level_1w: float | None = None
    level_2v83: float | None = None
    Vd: float | None = None
    EBP: float | None = None


@dataclass(frozen=True)
class PortResult:
    """The ports of one box. Areas [m²], lengths [m] of one; `speed` [m/s] is peak at the stated power.

    Where ports of two sizes share the air, `speed` is `speed_over_mean` times the mean over all openings.
    """

    count: int
    area: float
    outer_area: float
    narrow: float
    length: float
    effective_length: float
    inside_length: float
    room: float
    pipe_resonance: float
    wall_Q: float | None
    speed_over_mean: float
    trims: tuple
    speed: float | None = None
    speed_at: float | None = None
    smallest_area: float | None = None

    @property
    def clearance(self):
        """What is left between the inner end and the panel that faces it. [m]"""
        return self.room - self.inside_length

    @property
    def fits(self):
        """Whether a straight port has its inner end inside the box at all."""
        return self.clearance > 0

    @property
    def breathes(self):
        """Whether the inner end also stands one diameter clear (common practice, no source)."""
        return self.clearance >= self.narrow


def fastest_over_mean(ports):
    """Largest `speed_over_mean` of a box's ports, {name: `PortResult`}; 1 where there are none."""
    return max((port.speed_over_mean for port in ports.values()), default=1.0)


@dataclass(frozen=True)
class RadiatorResult:
    """The passive radiators of one box; all of one but `count`.

    `fb` is the tuning, the response has a notch at `notch` [Hz]. `delta` [-] is their compliance over the
    air's, `Mmp` [kg] the moving mass with what is `added` to it, Cmp [m/N], Rmp [N s/m]. `travel` [m] is the
    peak at the stated power, at `travel_at` [Hz], None while the driver is not known; `Xmax` None where the
    sheet gives none.
    """

    count: int
    fb: float
    notch: float
    delta: float
    Mmp: float
    added: float
    Cmp: float
    Rmp: float
    Xmax: float | None
    travel: float | None = None
    travel_at: float | None = None


@dataclass(frozen=True)
class Losses:
    """QL, QA, QP that a box is reckoned with [-], None where there is no such loss.

    `typed` names those that stand in the document; the others follow from how the box is built.
    """

    QL: float | None
    QA: float | None
    QP: float | None
    typed: tuple


@dataclass(frozen=True)
class BoxResult:
    """What one alternative does. All but the box's own numbers are None while `missing` is not empty.

    `response` holds for 2.83 V; `volts` is the drive at the stated power, `watts` = volts²/Re; the model
    is linear, so travel and air speed scale by `drive` = volts / 2.83. `circuit` (calc.sound.box_circuit)
    solves the box again, at other frequencies or varied. `ports` has the `PortResult` of each kind of port by
    its name in the document, `port` the first of them. `upper` [Hz] is where a band-pass falls by 3 dB again.
    `Qts` is that of the drivers with all that lies before them.
    """

    key: str
    kind: str
    Vb: float
    apparent: float
    fb: float | None
    port: PortResult | None
    missing: tuple
    ports: dict = field(default_factory=dict)
    radiator: RadiatorResult | None = None
    circuit: object | None = None
    losses: Losses | None = None
    group: object | None = None
    watts: float | None = None
    volts: float | None = None
    drive: float | None = None
    response: object | None = None
    reference: float | None = None
    cutoffs: dict | None = None
    upper: float | None = None
    Qts: float | None = None
    Qtc: float | None = None
    fc: float | None = None
    Xmax: float | None = None
    limits: object | None = None
    travel_from: float | None = None
    travel_peak: float | None = None
    least_Z: float | None = None
    least_Z_at: float | None = None
    delay_peak: float | None = None
    delay_at: float | None = None

    @property
    def fastest_over_mean(self):
        """Air speed in the fastest of the ports that share the air over the mean of all of them [-]."""
        return fastest_over_mean(self.ports)

    @property
    def fastest_air(self):
        """Peak air speed in the fastest of its ports at the stated power [m/s]; None while it is unknown."""
        return max((port.speed for port in self.ports.values() if port.speed is not None), default=None)


@dataclass(frozen=True)
class CabinetResult:
    """The cabinet as it will stand: its solids, where the air goes, what it weighs.

    `openings` are `calc.cabinet.openings.Opening`s, each where it lies. `wanted` is the net volume that was
    asked for, None where the cabinet decides it; `port_lengths` [m] are what the chosen box's ports are cut
    to, by their name in the document. `chambers` are the air behind the cones and before them [m³],
    None where no wall parts two. `masses` are (name, kind, mass [kg], centre [m]) of all that weighs,
    `plinth` the boards under it by name, `lie` the `calc.cabinet.balance.Base` that it
    touches the floor with, `grille` the `calc.cabinet.grille.GrilleParts` before its front, None without.
    `rooms` are the `calc.cabinet.partitions.Chamber`s that sealing plates part off, `twins` those that divide
    the box itself.
    """

    carcass: object
    braces: dict
    openings: tuple
    ledger: object
    wanted: float | None
    port_lengths: dict
    mass: float
    centre: tuple
    chambers: tuple | None = None
    masses: tuple = ()
    plinth: dict = field(default_factory=dict)
    lie: object | None = None
    grille: object | None = None
    rooms: tuple = ()
    twins: tuple = ()

    @property
    def net(self):
        """Air left for the woofer. [m³]"""
        return self.ledger.net

    @property
    def port_length(self):
        """What the first kind of port is cut to [m]; 0 where there is none."""
        return self.port_lengths.get("port", 0.0)

    @property
    def difference(self):
        """Net less wanted [m³], None where nothing was wanted."""
        return None if self.wanted is None else self.ledger.net - self.wanted


@dataclass(frozen=True)
class Result:
    """All of it. `built` is the chosen box once more, with the air that the cabinet really leaves it.

    `clashes` are `calc.cabinet.clashes.Clash`es, what cannot stand as it is, by how much and where;
    `misfits` are the same as ((field, sentence), ...); `facts` are those and all else that
    is to be known before the first cut, joints and power too. `radiator_seat` is how each passive radiator of
    the chosen box is bored, as `seats` are for drivers; None where there is none or its sheet gives no size.
    `handed` are panels that the right cabinet of a mirrored pair needs as mirror images.
    """

    air: AirResult
    drivers: dict
    boxes: dict
    chosen: str
    built: BoxResult
    cabinet: CabinetResult
    cut_list: tuple
    sheets_at_least: dict
    seats: dict
    holes: tuple
    sawn: tuple
    clashes: tuple
    misfits: tuple
    facts: tuple
    radiator_seat: object | None = None
    handed: tuple = ()

    @property
    def box(self):
        """The chosen box as it was asked for."""
        return self.boxes[self.chosen]

    @property
    def openings(self):
        """What opens the front and the back: drivers, ports and other holes, each at its place."""
        return self.cabinet.openings
