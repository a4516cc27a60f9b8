"""What saws the sheets of a project's shop, its table saw and its dado stack: see `calc.project`."""

from dataclasses import dataclass, field
from typing import Literal

from calc.errors import InputError, require_within


def _chippers():
    return {f"chipper {n}": 0.003175 for n in range(1, 5)} | {"thin": 0.00238125, "thinner": 0.0015875}


def _shims():
    return {"shim 1": 1e-4, "shim 2": 1e-4, "shim 3": 2e-4, "shim 4": 3e-4, "shim 5": 5e-4}


LIKES = {"table": "rip", "track": "crosscut", "panel": "crosscut"}
"""What each saw does first of a sheet (common practice, no source): a table saw rips along its fence; a rail
is mostly shorter than a sheet, and an upright panel saw crosscuts a sheet as it stands."""


@dataclass(frozen=True)
class Saw:
    """What saws the sheets, the table saw and what goes with it. [m]

    kind : what breaks the sheets down and sizes their pieces. first : what is cut first of each sheet; "any"
    is in any order from edge to edge, "" as this kind of saw likes it. rail : length of cut that the track
    saw's rail leads. reach : how far the fence goes from the blade. stack : whether it
    takes a dado stack. outer_blade : of which there are two; `chippers` and `shims` by name. wider : how much
    wider than its parts the stack cuts, as a scrap groove told. play : of a groove over what goes into it
    (0.1 to 0.2 mm, common practice, no source).
    """

    kind: Literal["table", "track", "panel"] = "table"
    first: Literal["", "any", "rip", "crosscut"] = ""
    rail: float = 1.4
    reach: float = 0.75
    stack: bool = True
    outer_blade: float = 0.003175
    chippers: dict[str, float] = field(default_factory=_chippers)
    shims: dict[str, float] = field(default_factory=_shims)
    play: float = 0.00015
    wider: float = 0.0

    def __post_init__(self):
        require_within(0.3, 6, "must be the longest cut that the rail leads", rail=self.rail)
        require_within(0.1, 4, "must be how far a fence goes from the blade", reach=self.reach)
        require_within(1e-3, 0.01, "must be the width of one outer blade", outer_blade=self.outer_blade)
        require_within(0, 0.001, "must be a little play, 0.1 to 0.2 mm", play=self.play)
        for kind, low, words in (
            ("chippers", 5e-4, "must be the width of a chipper"),
            ("shims", 1e-5, "must be the thickness of a shim"),
        ):
            owned = getattr(self, kind)
            if len(owned) > 12:
                raise InputError(kind, "are more than a stack has: twelve are the most")
            for name, width in owned.items():
                require_within(low, 0.01, words, **{f"{kind}.{name}": width})
        both = set(self.chippers) & set(self.shims)
        if both:
            raise InputError(f"shims.{min(both)}", "has the name of a chipper: give it its own")
        require_within(-0.003, 0.003, "must be a little off the width of the parts", wider=self.wider)

    @property
    def order(self):
        """The order of the cuts of a sheet: one of `calc.shop.sheet_layout.ORDERS`."""
        return self.first or LIKES[self.kind]
