"""What the JSON interface is asked: records that take nothing unknown, and name every fault at its field."""

from functools import partial
from typing import Annotated

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
from calc.sound.ranges import LIMITS, MAY_BE_ZERO

Name = Annotated[str, Field(min_length=1, max_length=60)]


class Strict(BaseModel):
    """A record of plain values: nothing unknown, no text for a number, no infinity."""

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


def given(data, *names):
    """Those of `names` that `data` has a value for."""
    return [name for name in names if data.get(name) is not None]


def needs_pair(data, *pair):
    """Yield the refusal of half a pair, at the other half."""
    if len(given(data, *pair)) == 1:
        (lacking,) = set(pair) - set(given(data, *pair))
        yield InputError(lacking, "is needed beside the other of the pair")


def kinds(*kinds):
    """A check that a record is of one of `kinds`, refused at its ``kind``."""

    def known(data):
        if isinstance(data, dict) and "kind" in data and data["kind"] not in kinds:
            raise InputError("kind", "must be " + ", ".join(kinds[:-1]) + " or " + kinds[-1])
        return data

    return BeforeValidator(known)


def size(symbol):
    """The type of a number that stands for `symbol`: finite, and of a size that a loudspeaker can have."""
    low, high = LIMITS[symbol]
    return within(0 if symbol in MAY_BE_ZERO else low, high)


def within(low, high, **more):
    """The type of a finite number from `low` to `high`; `more` is what its description says besides."""
    if low == 0:
        return Annotated[float, Field(ge=0, le=high, **more)]
    bounds = Field(gt=0, le=high, json_schema_extra={"minimum": low}, **more)
    return Annotated[float, bounds, AfterValidator(partial(_at_least, low))]


def _at_least(low, value):
    # apart from the bound at zero, which has a sentence of its own
    if value < low:
        raise PydanticKnownError("greater_than_equal", {"ge": low})
    return value
