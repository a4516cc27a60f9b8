"""The JSON interface to what boxes and ports do: POST a question in SI units, get the numbers back."""

from dataclasses import replace
from typing import Annotated, Literal

import numpy as np
import orjson
from fastapi import APIRouter
from fastapi.responses import Response
from pydantic import (
    BaseModel,
    Field,
)

from calc.errors import InputError
from calc.project import Place
from calc.sound import air, port
from calc.sound.band_pass import NEARLY_ALIKE, band_pass, double_band_pass
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.ranges import LIMITS
from calc.sound.several_drivers import group
from calc.sound.vented_box import vented_box
from server.documents import FieldErrors
from server.questions import Strict, given, kinds, needs_pair, size

router = APIRouter(prefix="/api", tags=["sound"])

Count = Annotated[int, Field(ge=1, le=1000)]


class Air(Strict):
    """Either what sound feels of the air, `rho` and `c`, or what a thermometer and a barometer say of it."""

    rho: size("rho") | None = Field(None, description="density, kg/m³")
    c: size("c") | None = Field(None, description="speed of sound, m/s")
    T: Annotated[float, Field(ge=253.15, le=333.15)] | None = Field(None, description="K")
    p: Annotated[float, Field(ge=50e3, le=110e3)] | None = Field(None, description="Pa")
    humidity: Annotated[float, Field(ge=0, le=1)] | None = None

    @classmethod
    def _between(cls, data):
        yield from needs_pair(data, "rho", "c")
        if given(data, "rho", "c"):
            for symbol in given(data, "T", "p", "humidity"):
                yield InputError(symbol, "cannot stand beside rho and c: give one or the other")

    @property
    def constants(self):
        """(c, rho) [m/s], [kg/m³]."""
        if self.c is not None:
            return self.c, self.rho
        said = {"T": self.T, "p": self.p, "humidity": self.humidity}
        place = replace(Place(), **{symbol: value for symbol, value in said.items() if value is not None})
        here = (place.T, place.p, place.humidity)
        return air.speed_of_sound(*here), air.density(*here)


class DriverIn(Strict):
    """One driver; Vas holds in the air of the question.

    Le2 and Re2 are parallel, in series with Le; so is the semi-inductance K (j omega)^n.
    """

    fs: size("fs")
    Qms: size("Qms")
    Qes: size("Qes")
    Vas: size("Vas")
    Sd: size("Sd")
    Re: size("Re")
    Le: size("Le") = 0.0
    Le2: size("Le2") | None = None
    Re2: size("Re2") | None = None
    K: size("K") | None = Field(None, description="ohm s^n")
    n: size("n") | None = None
    Xmax: size("Xmax") | None = None
    Pe: size("Pe") | None = None

    @classmethod
    def _between(cls, data):
        yield from needs_pair(data, "Le2", "Re2")
        yield from needs_pair(data, "K", "n")


class Openings(Strict):
    """`count` equal ports; `area` is that of one."""

    count: Count
    area: size("area")

    @property
    def total(self):
        """Open area of all. [m²]"""
        return self.count * self.area


class ClosedIn(Strict):
    """A closed box; QL and QA hold at `fq`, which is fs sqrt(1 + count Vas/Vb) if left out."""

    kind: Literal["closed"]
    Vb: size("Vb")
    QL: size("QL") | None = None
    QA: size("QA") | None = None
    fq: size("fq") | None = None

    def response(self, f, driver, c, rho, **source):
        return closed_box(f, driver, self.Vb, c, rho, QL=self.QL, QA=self.QA, fq=self.fq, **source)


class VentedIn(Strict):
    """A vented box; its Qs hold at fb."""

    kind: Literal["vented"]
    Vb: size("Vb")
    fb: size("fb")
    QL: size("QL") | None = None
    QA: size("QA") | None = None
    QP: size("QP") | None = None
    port: Openings | None = None

    def response(self, f, driver, c, rho, **source):
        losses = {"QL": self.QL, "QA": self.QA, "QP": self.QP}
        area = self.port and self.port.total
        return vented_box(f, driver, self.Vb, self.fb, c, rho, port_area=area, **losses, **source)


class Radiators(Strict):
    """`count` equal passive radiators; the rest is of one: area, compliance, moving mass, loss."""

    count: Count
    Sp: size("Sp")
    Cmp: size("Cmp")
    Mmp: size("Mmp")
    Rmp: size("Rmp")


class PassiveRadiatorIn(Strict):
    """A box with passive radiators; QL and QA hold at `fq`, which is its tuning if left out."""

    kind: Literal["passive_radiator"]
    Vb: size("Vb")
    QL: size("QL") | None = None
    QA: size("QA") | None = None
    radiator: Radiators
    fq: size("fq") | None = None

    def response(self, f, driver, c, rho, **source):
        losses = {"QL": self.QL, "QA": self.QA, "fq": self.fq}
        radiator = dict(self.radiator)
        return passive_radiator_box(f, driver, self.Vb, c=c, rho=rho, **radiator, **losses, **source)


class BandPassIn(Strict):
    """A closed rear chamber Vr and a vented front one Vf tuned to fb, where both of its Qs hold."""

    kind: Literal["band_pass"]
    Vr: size("Vr")
    Vf: size("Vf")
    fb: size("fb")
    QL: size("QL") | None = None
    QP: size("QP") | None = None
    port: Openings | None = None

    def response(self, f, driver, c, rho, **source):
        area = self.port and self.port.total
        losses = {"QL": self.QL, "QP": self.QP}
        return band_pass(f, driver, self.Vr, self.Vf, self.fb, c, rho, port_area=area, **losses, **source)


class DoubleBandPassIn(Strict):
    """Two vented chambers, the rear Vr tuned to fr, the front Vf to ff, where the Qs of each hold."""

    kind: Literal["double_band_pass"]
    Vr: size("Vr")
    fr: size("fr")
    Vf: size("Vf")
    ff: size("ff")
    QLr: size("QLr") | None = None
    QPr: size("QPr") | None = None
    QLf: size("QLf") | None = None
    QPf: size("QPf") | None = None
    rear_port: Openings | None = None
    front_port: Openings | None = None

    @classmethod
    def _between(cls, data):
        low, high = LIMITS["fr"]
        tunings = [data.get(symbol) for symbol in ("fr", "ff")]
        if not all(isinstance(tuning, float | int) and low <= tuning <= high for tuning in tunings):
            return
        fr, ff = tunings
        if abs(fr / ff - 1) < NEARLY_ALIKE:
            yield InputError("fr", "must differ from ff: ports that are tuned alike cancel each other")

    def response(self, f, driver, c, rho, **source):
        losses = {"QLr": self.QLr, "QPr": self.QPr, "QLf": self.QLf, "QPf": self.QPf}
        areas = {
            "rear_area": self.rear_port and self.rear_port.total,
            "front_area": self.front_port and self.front_port.total,
        }
        tuned = (self.Vr, self.fr, self.Vf, self.ff)
        return double_band_pass(f, driver, *tuned, c, rho, **losses, **areas, **source)


class Source(Strict):
    """`V` volt rms behind `Rs` ohm and, if given, a `capacitor` in series."""

    V: size("V") = 2.83
    Rs: size("Rs") = 0.0
    capacitor: size("capacitor") | None = Field(None, description="F")


class BoxQuestion(Strict):
    """`count` equal drivers, wired together, in one box."""

    air: Air = Air()
    driver: DriverIn
    count: Count = 1
    wiring: Literal["parallel", "series", "series_parallel"] = "parallel"
    box: Annotated[
        ClosedIn | VentedIn | PassiveRadiatorIn | BandPassIn | DoubleBandPassIn,
        Field(discriminator="kind"),
        kinds("closed", "vented", "passive_radiator", "band_pass", "double_band_pass"),
    ]
    source: Source = Source()
    distance: size("distance") = 1.0
    f: Annotated[list[size("f")], Field(min_length=1, max_length=20000)]

    @classmethod
    def _between(cls, data):
        count = data.get("count", 1)
        if data.get("wiring") == "series_parallel" and isinstance(count, int) and count % 2:
            yield InputError("count", "must be even, to be wired as pairs in series")


class BoxAnswer(BaseModel):
    """One number for each frequency, in the order asked; null where the box has no such part."""

    f: list[float]
    level: list[float] = Field(description="dB re 20 µPa, half space, of all that faces outside")
    phase: list[float] = Field(description="deg, of the volume acceleration")
    group_delay: list[float] = Field(description="s")
    cone: list[float] = Field(description="m, peak, of each cone")
    port_speed: list[float] | None = Field(
        description="m/s, peak, mean over one port; of two chambers, the front's"
    )
    radiator: list[float] | None = Field(description="m, peak, of each passive radiator")
    Z: list[float] = Field(description="ohm, at the box terminals")
    Z_phase: list[float] = Field(description="deg")
    rear_port_speed: list[float] | None = Field(
        None, description="m/s; only where the rear chamber has a port"
    )


class RoundIn(Strict):
    """A tube of inside `diameter`."""

    kind: Literal["round"]
    diameter: size("diameter")

    @property
    def area(self):
        return port.round_area(self.diameter)

    def end_correction(self, end):
        return port.round_end_correction(self.diameter, end)


class SlotIn(Strict):
    """A channel; `along_wall` if its long side lies against a panel that goes on beyond its ends."""

    kind: Literal["slot"]
    width: size("width")
    height: size("height")
    along_wall: bool = False

    @property
    def area(self):
        return self.width * self.height

    def end_correction(self, end):
        return port.slot_end_correction(self.width, self.height, end, self.along_wall)


class PortQuestion(Strict):
    """`count` equal ports that tune Vb to fb."""

    air: Air = Air()
    Vb: size("Vb")
    fb: size("fb")
    count: Count
    shape: Annotated[RoundIn | SlotIn, Field(discriminator="kind"), kinds("round", "slot")]
    ends: Annotated[list[Literal["flanged", "free"]], Field(min_length=2, max_length=2)] = Field(
        ["flanged", "free"]
    )


class PortAnswer(BaseModel):
    """Lengths [m] of one port, its first lengthwise resonance [Hz], what the air adds at each end [m]."""

    length: float
    effective_length: float
    pipe_resonance: float
    end_corrections: list[float]


@router.post("/box-response", response_model=BoxAnswer, summary="What a box does at each frequency")
def box_response(question: BoxQuestion):
    """Level, phase, delay, cone travel, port air speed and impedance of drivers in a box."""
    c, rho = question.air.constants
    one = question.driver.model_dump(exclude={"Xmax", "Pe"})
    driver = group(constants(**one, c=c, rho=rho), question.count, question.wiring)
    source = dict(question.source) | {"distance": question.distance}
    response = question.box.response(np.array(question.f), driver, c, rho, **source)
    answer = {name: getattr(response, name) for name in BoxAnswer.model_fields} | {"f": question.f}
    if response.rear_port_speed is None:
        del answer["rear_port_speed"]
    # straight to bytes: the framework's own encoding takes longer than all of the acoustics
    return Response(orjson.dumps(answer, option=orjson.OPT_SERIALIZE_NUMPY), media_type="application/json")


@router.post("/port-length", summary="How long to cut a port")
def port_length(question: PortQuestion) -> PortAnswer:
    """Length of each of several equal ports that tune a box, with the air at both ends taken off."""
    c, _ = question.air.constants
    corrections = [question.shape.end_correction(end) for end in question.ends]
    tuned = (question.Vb, question.fb, question.count, question.shape.area)
    effective = port.effective_length(*tuned, c)
    try:
        length = port.port_length(*tuned, corrections, c)
    except InputError as error:
        raise FieldErrors({error.field: error.problem}) from error
    return PortAnswer(
        length=length,
        effective_length=effective,
        pipe_resonance=port.pipe_resonance(effective, c),
        end_corrections=corrections,
    )
