"""The JSON interface to what boxes and ports do: POST a question in SI units, get the numbers back."""

from dataclasses import replace
from functools import partial
from typing import Annotated, Literal

import numpy as np
import orjson
from fastapi import APIRouter
from fastapi.responses import Response
from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
    model_validator,
)
from pydantic_core import PydanticKnownError

from calc.errors import InputError
from calc.project import Place
from calc.sound import air, port
from calc.sound.band_pass import NEARLY_ALIKE, band_pass, double_band_pass
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.ranges import LIMITS, MAY_BE_ZERO
from calc.sound.several_drivers import group
from calc.sound.vented_box import vented_box
from server.documents import FieldErrors

router = APIRouter(prefix="/api", tags=["sound"])


def _size(symbol):
    """The type of a number that stands for `symbol`: finite, and of a size that a loudspeaker can have."""
    low, high = LIMITS[symbol]
    if symbol in MAY_BE_ZERO:
        return Annotated[float, Field(ge=0, le=high)]
    bounds = Field(gt=0, le=high, json_schema_extra={"minimum": low})
    return Annotated[float, bounds, AfterValidator(partial(_at_least, low))]


def _at_least(low, value):
    # apart from the bound at zero, which has a sentence of its own
    if value < low:
        raise PydanticKnownError("greater_than_equal", {"ge": low})
    return value


Count = Annotated[int, Field(ge=1, le=1000)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)

    @model_validator(mode="wrap")
    @classmethod
    def _whole(cls, data, handler):
        """Say what is wrong between the fields along with what is wrong in them, not only after that."""
        between = [
            {"type": "value_error", "loc": (), "input": None, "ctx": {"error": fault}}
            for fault in (cls._between(data) if isinstance(data, dict) else ())
        ]
        try:
            made = handler(data)
        except ValidationError as refusal:
            between += [{key: error[key] for key in _KEPT & error.keys()} for error in refusal.errors()]
        if between:
            raise ValidationError.from_exception_data(cls.__name__, between)
        return made

    @classmethod
    def _between(cls, data):
        """Yield an `InputError` for each rule that binds several fields and that `data`, as sent, breaks."""
        return ()


_KEPT = {"type", "loc", "input", "ctx"}


def _given(data, *names):
    return [name for name in names if data.get(name) is not None]


def _needs_pair(data, *pair):
    """Yield the refusal of half a pair, at the other half."""
    if len(_given(data, *pair)) == 1:
        (lacking,) = set(pair) - set(_given(data, *pair))
        yield InputError(lacking, "is needed beside the other of the pair")


def _kinds(*kinds):
    """A check that a record is of one of `kinds`, refused at its ``kind``."""

    def known(data):
        if isinstance(data, dict) and "kind" in data and data["kind"] not in kinds:
            raise InputError("kind", "must be " + ", ".join(kinds[:-1]) + " or " + kinds[-1])
        return data

    return BeforeValidator(known)


class Air(_Strict):
    """Either what sound feels of the air, `rho` and `c`, or what a thermometer and a barometer say of it."""

    rho: _size("rho") | None = Field(None, description="density, kg/m³")
    c: _size("c") | None = Field(None, description="speed of sound, m/s")
    T: Annotated[float, Field(ge=253.15, le=333.15)] | None = Field(None, description="K")
    p: Annotated[float, Field(ge=50e3, le=110e3)] | None = Field(None, description="Pa")
    humidity: Annotated[float, Field(ge=0, le=1)] | None = None

    @classmethod
    def _between(cls, data):
        yield from _needs_pair(data, "rho", "c")
        if _given(data, "rho", "c"):
            for symbol in _given(data, "T", "p", "humidity"):
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


class DriverIn(_Strict):
    """One driver; Vas holds in the air of the question.

    Le2 and Re2 are parallel, in series with Le; so is the semi-inductance K (j omega)^n.
    """

    fs: _size("fs")
    Qms: _size("Qms")
    Qes: _size("Qes")
    Vas: _size("Vas")
    Sd: _size("Sd")
    Re: _size("Re")
    Le: _size("Le") = 0.0
    Le2: _size("Le2") | None = None
    Re2: _size("Re2") | None = None
    K: _size("K") | None = Field(None, description="ohm s^n")
    n: _size("n") | None = None
    Xmax: _size("Xmax") | None = None
    Pe: _size("Pe") | None = None

    @classmethod
    def _between(cls, data):
        yield from _needs_pair(data, "Le2", "Re2")
        yield from _needs_pair(data, "K", "n")


class Openings(_Strict):
    """`count` equal ports; `area` is that of one."""

    count: Count
    area: _size("area")

    @property
    def total(self):
        """Open area of all. [m²]"""
        return self.count * self.area


class ClosedIn(_Strict):
    """A closed box; QL and QA hold at `fq`, which is fs sqrt(1 + count Vas/Vb) if left out."""

    kind: Literal["closed"]
    Vb: _size("Vb")
    QL: _size("QL") | None = None
    QA: _size("QA") | None = None
    fq: _size("fq") | None = None

    def response(self, f, driver, c, rho, **source):
        return closed_box(f, driver, self.Vb, c, rho, QL=self.QL, QA=self.QA, fq=self.fq, **source)


class VentedIn(_Strict):
    """A vented box; its Qs hold at fb."""

    kind: Literal["vented"]
    Vb: _size("Vb")
    fb: _size("fb")
    QL: _size("QL") | None = None
    QA: _size("QA") | None = None
    QP: _size("QP") | None = None
    port: Openings | None = None

    def response(self, f, driver, c, rho, **source):
        losses = {"QL": self.QL, "QA": self.QA, "QP": self.QP}
        area = self.port and self.port.total
        return vented_box(f, driver, self.Vb, self.fb, c, rho, port_area=area, **losses, **source)


class Radiators(_Strict):
    """`count` equal passive radiators; the rest is of one: area, compliance, moving mass, loss."""

    count: Count
    Sp: _size("Sp")
    Cmp: _size("Cmp")
    Mmp: _size("Mmp")
    Rmp: _size("Rmp")


class PassiveRadiatorIn(_Strict):
    """A box with passive radiators; QL and QA hold at `fq`, which is its tuning if left out."""

    kind: Literal["passive_radiator"]
    Vb: _size("Vb")
    QL: _size("QL") | None = None
    QA: _size("QA") | None = None
    radiator: Radiators
    fq: _size("fq") | None = None

    def response(self, f, driver, c, rho, **source):
        losses = {"QL": self.QL, "QA": self.QA, "fq": self.fq}
        radiator = dict(self.radiator)
        return passive_radiator_box(f, driver, self.Vb, c=c, rho=rho, **radiator, **losses, **source)


class BandPassIn(_Strict):
    """A closed rear chamber Vr and a vented front one Vf tuned to fb, where both of its Qs hold."""

    kind: Literal["band_pass"]
    Vr: _size("Vr")
    Vf: _size("Vf")
    fb: _size("fb")
    QL: _size("QL") | None = None
    QP: _size("QP") | None = None
    port: Openings | None = None

    def response(self, f, driver, c, rho, **source):
        area = self.port and self.port.total
        losses = {"QL": self.QL, "QP": self.QP}
        return band_pass(f, driver, self.Vr, self.Vf, self.fb, c, rho, port_area=area, **losses, **source)


class DoubleBandPassIn(_Strict):
    """Two vented chambers, the rear Vr tuned to fr, the front Vf to ff, where the Qs of each hold."""

    kind: Literal["double_band_pass"]
    Vr: _size("Vr")
    fr: _size("fr")
    Vf: _size("Vf")
    ff: _size("ff")
    QLr: _size("QLr") | None = None
    QPr: _size("QPr") | None = None
    QLf: _size("QLf") | None = None
    QPf: _size("QPf") | None = None
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


class Source(_Strict):
    """`V` volt rms behind `Rs` ohm and, if given, a `capacitor` in series."""

    V: _size("V") = 2.83
    Rs: _size("Rs") = 0.0
    capacitor: _size("capacitor") | None = Field(None, description="F")


class BoxQuestion(_Strict):
    """`count` equal drivers, wired together, in one box."""

    air: Air = Air()
    driver: DriverIn
    count: Count = 1
    wiring: Literal["parallel", "series", "series_parallel"] = "parallel"
    box: Annotated[
        ClosedIn | VentedIn | PassiveRadiatorIn | BandPassIn | DoubleBandPassIn,
        Field(discriminator="kind"),
        _kinds("closed", "vented", "passive_radiator", "band_pass", "double_band_pass"),
    ]
    source: Source = Source()
    distance: _size("distance") = 1.0
    f: Annotated[list[_size("f")], Field(min_length=1, max_length=20000)]

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


class RoundIn(_Strict):
    """A tube of inside `diameter`."""

    kind: Literal["round"]
    diameter: _size("diameter")

    @property
    def area(self):
        return port.round_area(self.diameter)

    def end_correction(self, end):
        return port.round_end_correction(self.diameter, end)


class SlotIn(_Strict):
    """A channel; `along_wall` if its long side lies against a panel that goes on beyond its ends."""

    kind: Literal["slot"]
    width: _size("width")
    height: _size("height")
    along_wall: bool = False

    @property
    def area(self):
        return self.width * self.height

    def end_correction(self, end):
        return port.slot_end_correction(self.width, self.height, end, self.along_wall)


class PortQuestion(_Strict):
    """`count` equal ports that tune Vb to fb."""

    air: Air = Air()
    Vb: _size("Vb")
    fb: _size("fb")
    count: Count
    shape: Annotated[RoundIn | SlotIn, Field(discriminator="kind"), _kinds("round", "slot")]
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
