"""Driver seats: recess and through hole, cut with a router that turns about a pin."""

from dataclasses import dataclass, replace
from math import ceil

from calc.errors import InputError, require_not_negative, require_positive
from calc.shop.flats import square_flats, swing, truncated_flats

NARROW_LEDGE = 0.005
"""A ledge below this leaves the screws too little wood. [m] A shop's habit."""

MANUAL_PASS = 0.125 * 0.0254
"""Deepest pass that two router makers' manuals allow, whatever the bit (seen). [m]"""

SHOP_PASS = 0.006
"""What shops go to at most, and no deeper than half the bit is wide (common practice, no source). [m]"""

WEBS = 0.001, 0.002
"""A web that holds the disc until it is taped (common practice, no source). [m]"""

_HAIR = 1e-9  # floats write 18 / 3 as 6.000000000000001; that is still six passes


def router_passes(depth, pass_depth):
    """How many equal passes cut `depth` [m] with at most `pass_depth` [m] each."""
    require_positive(depth=depth, pass_depth=pass_depth)
    passes = depth / pass_depth
    if passes > 10_000:
        raise InputError("pass_depth", "must be a depth that a router cuts, or the cut never ends")
    return max(1, ceil(passes - _HAIR))


def circle_jig(diameter, bit, keep="hole"):
    """Distances to set on a circle jig.

    Parameters
    ----------
    diameter : float
        Finished diameter of the hole, or of the disc. [m]
    bit : float
        Diameter of the bit. [m]
    keep : "hole" or "disc"
        What stays: the bit runs inside the circle, or outside it.

    Returns
    -------
    centre, edge : float
        From the pin's centre to the bit's centre, and to the bit's nearest cutting edge. [m]

    Raises
    ------
    InputError
        If the bit is as large as the hole.
    """
    require_positive(diameter=diameter, bit=bit)
    if keep == "hole" and bit >= diameter:
        raise InputError("bit", "must be smaller than the hole that it cuts")
    centre = diameter / 2 + (bit / 2 if keep == "disc" else -bit / 2)
    return centre, centre - bit / 2


@dataclass(frozen=True)
class RoundHole:
    """A plain round hole of a panel. Lengths [m].

    diameter, x, y : its size, and its centre from the cabinet's outer lower left corner, seen from the front.
    centre, edge : from the circle jig's pin to the bit's centre and near edge; None where the bit is as large
        as the hole.
    """

    name: str
    panel: str
    diameter: float
    x: float
    y: float
    centre: float | None
    edge: float | None


def round_hole(name, panel, diameter, x, y, bit):
    """The `RoundHole` that a `bit` [m] cuts on the circle jig; the others as its fields."""
    centre, edge = (None, None) if bit >= diameter else circle_jig(diameter, bit)
    return RoundHole(name, panel, diameter, x, y, centre, edge)


BLADE = 0.01
"""A hole that a jigsaw's blade goes into, at least (common practice, no source). [m]"""


@dataclass(frozen=True)
class SawnHole:
    """A rectangular hole of a panel: its corners drilled, sawn between them. Lengths [m].

    width, height, radius, x, y : its size, its corners', and its centre, as of a `RoundHole`.
    drill : diameter of the drill. centres : (x, y) of the drill in each corner, from the lower left one on
    counter-clockwise. filed : whether the drill leaves corners that must be filed out to `radius`.
    """

    name: str
    panel: str
    width: float
    height: float
    radius: float
    x: float
    y: float
    drill: float
    centres: tuple
    filed: bool


def sawn_hole(name, panel, width, height, radius, x, y):
    """The `SawnHole` with corners as round as their drill, or the least that lets a blade in.

    Notes
    -----
    The drill touches both sides at each corner: its centre stands half its diameter off them.
    """
    require_positive(width=width, height=height)
    require_not_negative(radius=radius)
    drill = min(max(2 * radius, BLADE), width, height)
    half_x, half_y = (width - drill) / 2, (height - drill) / 2
    corners = ((-half_x, -half_y), (half_x, -half_y), (half_x, half_y), (-half_x, half_y))
    centres = tuple((x + a, y + b) for a, b in corners)
    return SawnHole(name, panel, width, height, radius, x, y, drill, centres, drill > 2 * radius + _HAIR)


@dataclass(frozen=True)
class Step:
    """One setting of the circle jig.

    cut : "recess" or "through". centre, edge : from the pin to the bit's centre and near edge [m].
    depths : of the bit below the bare face, pass by pass [m]. swing : how far the arm turns to each side of
    the line along a recess's flats [deg]; None all round.
    """

    cut: str
    centre: float
    edge: float
    depths: tuple
    swing: float | None = None


@dataclass(frozen=True)
class Seat:
    """How to bore one driver seat. Lengths [m], depths from the bare face.

    recess : diameter of the recess, or the side of a square one, and recess_depth; None and 0 where the
    flange sits on the face. cutout : diameter of the through hole. ledge : least width of what carries the
    flange.
    below : what is left of the panel under the recess. web : left standing at the last pass.
    steps : in working order, all from one pin hole: the recess from outside in, then the through hole.
    facts : ((field, sentence), ...) to know before the router is switched on.
    chamfer : calc.shop.chamfer.Chamfer from the inside, or None. flats : calc.shop.flats.Flats of a recess
    that is no circle, which are cut first; else None.
    """

    recess: float | None
    recess_depth: float
    cutout: float
    ledge: float | None
    below: float
    web: float
    steps: tuple
    facts: tuple
    chamfer: object = None
    flats: object = None


def seat(
    flange, flange_thickness, gasket, cutout, finish, flush, panel_thickness, bit, clearance, pass_depth, web,
    shape="round", across=None, corner=0.0,
):  # fmt: skip
    """Settings that bore a driver seat.

    Parameters
    ----------
    flange, flange_thickness, gasket : float
        Outer diameter, or a square's side, and thickness of the flange, thickness of the compressed gasket.
        [m] The first two may be None where the driver sits on the face (then no ledge is known).
    cutout : float
        Diameter of the through hole. [m]
    finish : float
        What paint or veneer will add to the face after boring; the recess stays bare. [m]
    flush : bool
        Recessed by the flange, or set on the face.
    panel_thickness, bit : float
        Thickness of the front and diameter of the bit. [m]
    clearance : float
        Added to the flange's diameter, so that it drops in. [m]
    pass_depth, web : float
        Deepest pass of the router, and what is left standing until the disc is taped or clamped. [m]
    shape : "round", "truncated" or "square"
    across, corner : float
        Between a truncated flange's flats, and radius of a square one's corners. [m]

    Returns
    -------
    Seat

    Raises
    ------
    InputError
        At the argument that cannot be cut so.

    Notes
    -----
    The recess is cut before the finish: it lies ``flange_thickness + gasket - finish`` below the bare
    face, and the finish brings the face up to the flange. Recess first, while the pin has wood all round
    it; then the through hole from the same pin hole. Rings of the recess step inward in equal steps of at
    most the bit's diameter, until the last one ends at the through hole. Straight sides come before all: the
    jig's outer rings end where the bit drops into them. Of a square the rings begin at the circle that
    touches its sides; what is left in its corners is cleared freehand between the sides.
    """
    require_positive(cutout=cutout, panel_thickness=panel_thickness, bit=bit, pass_depth=pass_depth)
    require_not_negative(gasket=gasket, finish=finish, clearance=clearance, web=web)
    require_positive(flange=flange, flange_thickness=flange_thickness)
    if flange is not None and cutout >= flange:
        raise InputError("cutout", "must be smaller than the flange, or the driver falls through")
    recess, recess_depth = None, 0.0
    if flush:
        recess, recess_depth = _recess(flange, flange_thickness, gasket, finish, clearance, panel_thickness)
    below = panel_thickness - recess_depth
    if web >= below:
        raise InputError("web", "must be thinner than the wood that is left under the flange")
    sides = None
    if flush:
        sides = _sides(shape, recess, across, corner, bit, clearance)
        if sides:
            sides = sides._replace(depths=_step("recess", (0, 0), 0.0, recess_depth, pass_depth).depths)
    steps = _recess_steps(recess, recess_depth, cutout, bit, pass_depth) if flush else ()
    steps = tuple(replace(step, swing=swing(step.centre, sides) if sides else None) for step in steps)
    through = _step("through", circle_jig(cutout, bit), recess_depth, panel_thickness - web, pass_depth)
    narrow = across if shape == "truncated" else flange
    ledge = None if narrow is None else (narrow + (clearance if flush else 0.0) - cutout) / 2
    facts = tuple(_facts(ledge, below, panel_thickness, through, sides))
    return Seat(recess, recess_depth, cutout, ledge, below, web, (*steps, through), facts, flats=sides)


def _sides(shape, recess, across, corner, bit, clearance):
    """The straight sides of a recess; None of a round one."""
    if shape == "truncated":
        return truncated_flats(recess, across + clearance, bit)
    return square_flats(recess, bit, corner, clearance) if shape == "square" else None


def _recess(flange, flange_thickness, gasket, finish, clearance, panel_thickness):
    """Diameter and depth of the recess."""
    if flange is None:
        raise InputError("flange", "is needed for a flush seat")
    if flange_thickness is None:
        raise InputError("flange_thickness", "is needed for a flush seat")
    depth = flange_thickness + gasket - finish
    if depth <= 0:
        raise InputError("finish", "is as thick as flange and gasket: set this driver on the face")
    if depth >= panel_thickness:
        raise InputError("flange_thickness", "with its gasket must be thinner than the panel that it sits in")
    return flange + clearance, depth


def _recess_steps(recess, depth, cutout, bit, pass_depth):
    """Rings of the recess from outside in; the last one's inner edge is the through hole's."""
    outer, _ = circle_jig(recess, bit)
    ledge = (recess - cutout) / 2
    rings = max(1, ceil(ledge / bit - _HAIR))
    if rings > 1000:
        raise InputError("bit", "must be wide enough to sweep the ledge")
    inward = (ledge - bit) / (rings - 1) if rings > 1 else 0.0
    centres = [outer - ring * inward for ring in range(rings)]
    return tuple(_step("recess", (centre, centre - bit / 2), 0.0, depth, pass_depth) for centre in centres)


def _step(cut, jig, start, end, pass_depth):
    passes = router_passes(end - start, pass_depth)
    depths = tuple(start + (end - start) * (n + 1) / passes for n in range(passes))
    return Step(cut, *jig, depths)


def _facts(ledge, below, panel_thickness, through, sides):
    if sides and sides.chisel:
        yield (
            "bit",
            "The bit is rounder than the flange's corners: square them with a chisel, or take a smaller bit.",
        )
    if ledge is not None and ledge < NARROW_LEDGE:
        yield "cutout", "The ledge under the flange is narrow: check that the screws still find wood."
    if below < panel_thickness / 2:
        yield "flange_thickness", "The recess takes more than half of the panel's thickness."
    if through.edge < NARROW_LEDGE:
        yield (
            "bit",
            "The bit comes close to the pin at this hole: use a smaller bit, or bore it with a hole saw.",
        )
