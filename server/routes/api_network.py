"""POST /api/network: what a network of coils, capacitors, resistors and drivers does at each frequency."""

from typing import Annotated, Literal

import numpy as np
import orjson
from fastapi import APIRouter
from fastapi.responses import Response
from pydantic import BaseModel, BeforeValidator, Discriminator, Field, Tag

from calc.errors import InputError
from calc.network.netlist import (
    LIMITS,
    Capacitor,
    Coil,
    DriverPart,
    Measured,
    Network,
    Resistor,
    Sheet,
    objections,
)
from calc.network.solve import solve
from server.documents import FieldErrors
from server.questions import Name, Strict, needs_pair, size, within

router = APIRouter(prefix="/api", tags=["network"])

MOST_PARTS = 200
"""More than any crossover has; the time to judge how they are joined grows with the square."""

Nodes = Annotated[list[Name], Field(min_length=2, max_length=2)]


def _of_part(symbol, **more):
    return within(*LIMITS[symbol], **more)


class _PartIn(Strict):
    name: Name
    nodes: Nodes


class ResistorIn(_PartIn):
    """`value` in ohm."""

    kind: Literal["resistor"]
    value: _of_part("R", description="ohm")

    def part(self, loads):
        return Resistor(self.name, tuple(self.nodes), self.value)


class CoilIn(_PartIn):
    """`value` in henry; Rdc is the resistance of its wire."""

    kind: Literal["coil"]
    value: _of_part("L", description="H")
    Rdc: _of_part("Rdc", description="ohm") = 0.0

    def part(self, loads):
        return Coil(self.name, tuple(self.nodes), self.value, self.Rdc)


class CapacitorIn(_PartIn):
    """`value` in farad; ESR is the resistance in series with it."""

    kind: Literal["capacitor"]
    value: _of_part("C", description="F")
    ESR: _of_part("ESR", description="ohm") = 0.0

    def part(self, loads):
        return Capacitor(self.name, tuple(self.nodes), self.value, self.ESR)


class DriverPartIn(_PartIn):
    """A driver whose impedance stands among `drivers`; its first node is its plus."""

    kind: Literal["driver"]
    driver: Name

    def part(self, loads):
        return DriverPart(self.name, tuple(self.nodes), loads[self.driver])


KINDS = ("resistor", "coil", "capacitor", "driver")


def _known(data):
    if isinstance(data, dict) and data.get("kind") not in KINDS:
        words = "must be resistor, coil, capacitor or driver" if "kind" in data else "is needed"
        raise InputError("kind", words)
    return data


def _which(data):
    # not the kind itself: "driver" is the name of a field too, and an error's place must tell them apart
    kind = data.get("kind") if isinstance(data, dict) else getattr(data, "kind", None)
    return f"a {kind}" if kind in KINDS else "a resistor"


PartIn = Annotated[
    Annotated[ResistorIn, Tag("a resistor")]
    | Annotated[CoilIn, Tag("a coil")]
    | Annotated[CapacitorIn, Tag("a capacitor")]
    | Annotated[DriverPartIn, Tag("a driver")],
    Discriminator(_which),
    BeforeValidator(_known),
]


class SheetIn(Strict):
    """A driver by its data sheet; Le2 and Re2 are parallel, in series with Le."""

    Re: size("Re")
    Le: size("Le") = 0.0
    Le2: size("Le2") | None = None
    Re2: size("Re2") | None = None
    fs: size("fs")
    Qms: size("Qms")
    Qes: size("Qes")

    @classmethod
    def _between(cls, data):
        yield from needs_pair(data, "Le2", "Re2")

    def load(self, key):
        return Sheet(**dict(self))


class MeasuredIn(Strict):
    """A driver by its measured impedance; ln Z is taken as straight over ln f between its points."""

    f: Annotated[list[size("f")], Field(min_length=1, max_length=20000)]
    Z: Annotated[list[Annotated[float, Field(ge=1e-4, le=1e7)]], Field(max_length=20000)]
    Z_phase: Annotated[list[Annotated[float, Field(ge=-90, le=90)]], Field(max_length=20000)]

    def load(self, key):
        return Measured(self.f, self.Z, self.Z_phase, name=key)


def _how_told(data):
    """Which kind of driver is meant: one that names any column of a measurement is a measured one."""
    if isinstance(data, MeasuredIn):
        return "measured"
    return "measured" if isinstance(data, dict) and {"f", "Z", "Z_phase"} & data.keys() else "sheet"


DriverIn = Annotated[
    Annotated[SheetIn, Tag("sheet")] | Annotated[MeasuredIn, Tag("measured")], Discriminator(_how_told)
]


class NetworkSource(Strict):
    """`V` volt rms behind `Rs` ohm, from `node` to ground, which is "0"."""

    V: size("V") = 2.83
    node: Name
    Rs: size("Rs") = 0.0


class NetworkQuestion(Strict):
    """Parts joined at named nodes."""

    parts: Annotated[
        list[PartIn],
        Field(min_length=1, max_length=MOST_PARTS),
    ]
    drivers: Annotated[dict[Name, DriverIn], Field(max_length=50)] = {}
    source: NetworkSource
    f: Annotated[list[size("f")], Field(min_length=1, max_length=20000)]

    @classmethod
    def _between(cls, data):
        parts, drivers = data.get("parts"), data.get("drivers", {})
        if not isinstance(parts, list) or len(parts) > MOST_PARTS or not all(map(_joinable, parts)):
            return
        for i, part in enumerate(parts):
            named = part["kind"] == "driver" and isinstance(drivers, dict) and part.get("driver")
            if isinstance(named, str) and named not in drivers:
                yield InputError(f"parts.{i}.driver", "is not among the drivers")
        source = data.get("source")
        node = source.get("node") if isinstance(source, dict) else None
        if _readable(node) and parts:
            for error in objections(tuple(map(_outline, parts)), node):
                field = "source.node" if error.field == "node" else error.field
                yield InputError(field, error.problem)


def _joinable(part):
    """Whether a part as sent says enough to judge how it is joined."""
    if not isinstance(part, dict) or not _readable(part.get("name")):
        return False
    nodes = part.get("nodes")
    two = isinstance(nodes, list) and len(nodes) == 2 and all(map(_readable, nodes))
    return two and part.get("kind") in KINDS


def _readable(text):
    """Whether it is text that a refusal can repeat: half of a surrogate pair cannot be sent back."""
    return isinstance(text, str) and text.encode(errors="ignore") == text.encode(errors="replace") != b""


def _outline(part):
    """A part that is joined like the one sent; its value does not count here."""
    ends = part["name"], tuple(part["nodes"])
    return DriverPart(*ends, None) if part["kind"] == "driver" else Resistor(*ends, 1.0)


class DriverVoltage(BaseModel):
    """Between the tags of a driver, plus against minus; null where nothing at all arrives."""

    level: list[float | None] = Field(description="dB re the source")
    phase: list[float] = Field(description="deg")


class NetworkAnswer(BaseModel):
    """One number for each frequency, in the order asked."""

    Z: list[float] = Field(description="ohm, from the source's node, Rs left out")
    Z_phase: list[float] = Field(description="deg")
    voltage: dict[str, DriverVoltage]
    power: dict[str, list[float]] = Field(
        description="W: heat in a resistor, Rdc, ESR or Re; of a measured driver, all that it takes"
    )


@router.post("/network", response_model=NetworkAnswer, summary="What a crossover does at each frequency")
def network(question: NetworkQuestion):
    """Impedance, voltage at each driver, and heat in each part."""
    solution = _solved(question)
    answer = {
        "Z": abs(solution.Z),
        "Z_phase": np.degrees(np.angle(solution.Z)),
        "voltage": {part.name: _voltage(solution, part) for part in solution.network.drivers},
        "power": {
            part.name: np.broadcast_to(solution.power(part), solution.f.shape).copy()
            for part in solution.network.parts
        },
    }
    return Response(orjson.dumps(answer, option=orjson.OPT_SERIALIZE_NUMPY), media_type="application/json")


def _voltage(solution, part):
    H = solution.transfer(part)
    with np.errstate(divide="ignore"):  # a balanced bridge: minus infinity becomes null
        level = 20 * np.log10(abs(H))
    return {"level": level, "phase": np.degrees(np.angle(H))}


def _solved(question):
    refused, loads = {}, {}
    for key, driver in question.drivers.items():
        try:
            loads[key] = driver.load(key)
        except InputError as error:
            refused[f"drivers.{key}.{error.field}"] = error.problem
    if refused:
        raise FieldErrors(refused)
    source, parts = question.source, tuple(part.part(loads) for part in question.parts)
    return solve(Network(parts, source.node), question.f, source.V, source.Rs)
