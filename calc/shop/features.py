"""What the router does to one part: its outline and all that is cut into it, each with depth, face and tool.

Places are the part's own, x right and y up from the lower left corner of its blank. [m]
"""

from dataclasses import dataclass, replace
from math import pi, sqrt
from typing import NamedTuple

from calc.shop.rings import area, boned, holds, mirrored

HANDS = ("left cabinet", "right cabinet")
"""The cabinets of a mirrored pair."""

PANELS = ("front", "back", "left", "right", "top", "bottom")

PRICKED = ("screw", "pad", "lead")
"""Kinds that are marked with an awl."""


class Circle(NamedTuple):
    """A round cut: centre x, y and `diameter`. [m]"""

    x: float
    y: float
    diameter: float


@dataclass(frozen=True)
class Feature:
    """One thing that is cut. Lengths [m].

    kind : "outline", "opening", "recess", "chamfer", "groove", "rabbet", "hole", "window", "slot", "notch",
        or one of `PRICKED`. name : what it is for.
    shape : `Circle`, or a ring of `calc.shop.rings`. depth : from the face that it is cut from.
    face : "outside" or "inside", from where it is cut. through : whether it goes through.
    bit : diameter of the bit that cuts it, None where the shop has none so narrow.
    slanted : whether its floor is not parallel to the face, so that a saw or a jig must cut it.
    """

    kind: str
    name: str
    shape: object
    depth: float
    face: str
    through: bool = False
    bit: float | None = None
    slanted: bool = False

    @property
    def area(self):
        """What it covers. [m²]"""
        if isinstance(self.shape, Circle):
            return pi / 4 * self.shape.diameter**2
        return area(self.shape)


@dataclass(frozen=True)
class Part:
    """One part as the router sees it. `width` runs along x, `height` along y. [m]

    mirrored : whether x runs to the left for somebody who looks at its outside face; there outside and inside
    are as in `faces`: what people call the two faces. bevels : {edge: degrees}. notes : sentences to know.
    grain : "x" or "y", along which of them its blank's length and its grain run.
    """

    name: str
    width: float
    height: float
    thickness: float
    features: tuple
    mirrored: bool
    faces: dict
    bevels: dict
    notes: tuple = ()
    grain: str = "y"

    @property
    def outline(self):
        """The `Circle` or ring of its blank."""
        return next(each.shape for each in self.features if each.kind == "outline")

    def worked(self):
        """The faces from which something is cut, the one that opens it first; at least one."""
        cut = {each.face for each in self.features if each.kind != "outline" and each.kind not in PRICKED}
        pricked = {each.face for each in self.features if each.kind in PRICKED}
        return [face for face in ("outside", "inside") if face in (cut or pricked)] or ["inside"]


@dataclass(frozen=True)
class Side:
    """A part as it lies on the machine, the face that is worked up: what is cut from there, as it is seen.

    `first` is whether its outline is cut at this setting; at another, the outline is there to lay it on.
    `hand` is one of `HANDS`, or "" of what both cabinets have alike.
    """

    part: Part
    face: str
    first: bool
    features: tuple
    hand: str = ""

    @property
    def called(self):
        """The part by its name in its own cabinet: the mirror image of a left side is a right one."""
        return swapped(self.part.name) if self.hand == HANDS[1] else self.part.name

    @property
    def name(self):
        """The part, the face that lies up, and of which cabinet it is."""
        words = self.called, f"{self.part.faces[self.face]} up", self.hand
        return ", ".join(filter(None, words))


def side(part, face, *, hand="", bones=False):
    """A part with one `face` up.

    Parameters
    ----------
    part : Part
    face : "outside" or "inside"
    hand : str
        One of `HANDS` where the right cabinet of a mirrored pair needs the mirror image.
    bones : bool
        Open the inside corners of what a square mate goes into, see `calc.shop.rings.boned`.
    """
    cut = [each for each in part.features if each.face == face or each.kind == "outline"]
    if bones:
        cut = [_with_bones(each, part, cut) for each in cut]
    twin = hand == HANDS[1]
    if (part.mirrored != (face == "inside")) != twin:
        cut = [replace(each, shape=_mirrored(each.shape, part.width)) for each in cut]
    if twin:
        cut = [replace(each, name=swapped(each.name)) for each in cut]
    return Side(part, face, part.worked()[0] == face, tuple(cut), hand)


def sides(part, *, hand="", bones=False):
    """A part on each face that is worked."""
    return tuple(side(part, face, hand=hand, bones=bones) for face in part.worked())


def swapped(name):
    """The name of a panel or an edge in the mirrored cabinet; any other name stays."""
    words = name.split("-")
    if not set(words) <= set(PANELS):
        return name
    return "-".join({"left": "right", "right": "left"}.get(word, word) for word in words)


def tool(bits, narrowest, *, square=True):
    """Diameter of the widest bit that cuts a pocket `narrowest` wide [m], None if all are wider.

    Where a mate with `square` corners goes in, first one that leaves room for bones: a bone reaches the bit
    over the root of two along each side, and two must go beside each other.
    """
    fitting = sorted(bit for bit in bits if bit <= narrowest + 1e-9)
    boning = [bit for bit in fitting if bit * sqrt(2) <= narrowest + 1e-9]
    found = (boning if square and boning else fitting)[-1:]
    return found[0] if found else None


def _with_bones(feature, part, others):
    """A feature whose mate is square, its inside corners opened."""
    if feature.kind not in ("groove", "rabbet", "slot", "notch", "hole", "opening") or feature.bit is None:
        return feature
    if isinstance(feature.shape, Circle):
        return feature
    beside = [
        each.shape
        for each in others
        if each is not feature
        and each.kind != "outline"
        and not isinstance(each.shape, Circle)
        and each.depth >= feature.depth - 1e-9
    ]

    def wood(x, y):
        return holds(part.outline, x, y) and not any(holds(ring, x, y) for ring in beside)

    return replace(feature, shape=boned(feature.shape, feature.bit, wood)[0])


def _mirrored(shape, width):
    if isinstance(shape, Circle):
        return shape._replace(x=width - shape.x)
    return mirrored(shape, width)
