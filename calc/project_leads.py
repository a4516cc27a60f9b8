"""The wires of a loudspeaker as they are decided: how thick, how much slack, which colours, what joint."""

from dataclasses import dataclass, field
from typing import Literal

from calc.errors import require_within


@dataclass(frozen=True)
class Colours:
    """What the wires to one driver look like, and how its positive `tag` is known."""

    plus: str = ""
    minus: str = ""
    tag: str = ""


@dataclass(frozen=True)
class LeadPlan:
    """The wires of one speaker.

    `gauge` is that of all wires, None the thinnest that will do for each. `slack` [m] lets a driver lie
    beside the box, None: as much as that takes. `cable` [m] is how far the amplifier is. `colours` by the
    names of the drivers' seats.
    """

    gauge: (
        Literal[
            "0.5 mm²", "0.75 mm²", "1.0 mm²", "1.5 mm²", "2.5 mm²", "4.0 mm²", "6.0 mm²",
            "AWG 20", "AWG 18", "AWG 16", "AWG 14", "AWG 12", "AWG 10",
        ]
        | None
    ) = None  # fmt: skip
    slack: float | None = None
    cable: float | None = None
    joint: Literal["push-on", "solder"] = "push-on"
    colours: dict[str, Colours] = field(default_factory=dict)

    def __post_init__(self):
        require_within(0, 3, "must be from nothing to 3 m", slack=self.slack)
        require_within(0, 100, "must be from nothing to 100 m", cable=self.cable)
