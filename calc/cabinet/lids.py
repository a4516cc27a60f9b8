"""A front or a back that comes off: where it may lie, the gasket under it, and how close its screws stand."""

from math import ceil
from typing import NamedTuple

from calc.cabinet.joint_facts import Fact
from calc.cabinet.joints import edge_between, neighbours
from calc.cabinet.polyhedra import clipped, sums
from calc.errors import InputError

APART = 0.15
"""Screws of a lid stand no further apart, or the gasket gapes between them (common practice). [m]"""


class Gasket(NamedTuple):
    """The ring under a lid: its `panel`, `thickness` when pressed [m], `volume` and `play`: the gap beside
    the lid where it lies in rabbets [m³], and the length `around` the opening [m]. It weighs nothing here.
    """

    panel: str
    thickness: float
    volume: float
    play: float
    around: float


def require_lid(lid, edges):
    """Raise `InputError` at ``lid.*`` unless the panel can come off: laid over the others, or in rabbets."""
    for mate in neighbours(lid.panel):
        edge = edges[edge_between(lid.panel, mate)]
        if edge.mitre:
            raise InputError("lid.panel", f"cannot come off a mitre, as it has with the {mate} panel")
        if edge.into == lid.panel and edge.depth:
            raise InputError("lid.panel", f"cannot come off while the {mate} panel stands in a rabbet of it")
        if edge.into == mate and not edge.depth:
            raise InputError(
                "lid.panel", f"has nothing to press its gasket on at the {mate} panel: give that a rabbet"
            )
        if edge.into == mate and lid.play >= edge.depth:
            raise InputError("lid.play", f"must be less than the rabbet in the {mate} panel is deep")


def gasket_of(walls, solids):
    """The `Gasket` in the bed of a lid.

    Notes
    -----
    The bed is cut as if the lid were thicker by the gasket. Of that, the air inside reaches up to the lid
    itself, and the ring fills the rest, out to where the bed ends.
    """
    name, t = walls.lid.panel, walls.thicknesses[walls.lid.panel]
    bed, inner = walls.blanks[name], walls.plane(name, t)
    under, air = clipped(bed, inner), clipped(walls.air, walls.plane(name, walls.bed(name)).turned())
    play = sums(clipped(bed, inner.turned()))[0] - solids[name].volume
    clear = [walls.faces[name].of(corner) for corner in walls.air.corners]
    clear = [place for place in clear if abs(place[2] - t) < 1e-9]
    width, height = (max(p[k] for p in clear) - min(p[k] for p in clear) for k in (0, 1))
    volume = sums(under)[0] - sums(air)[0]
    return Gasket(name, walls.lid.gasket, volume, max(play, 0.0), 2 * (width + height))


def lid_facts(lid, gasket):
    """Whether the screws of a lid stand close enough."""
    if lid is None:
        return
    least = ceil(gasket.around / APART)
    if lid.screws < least:
        yield Fact(
            "lid.screws",
            f"The {lid.panel} wants {least} screws to press its gasket evenly: one every 15 cm (6 inches) at "
            "least, common practice.",
        )
