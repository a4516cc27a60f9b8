"""How a driver's flange comes to lie flush: in a recess, or on a ring where skins are thicker than it."""

from typing import NamedTuple

from calc.errors import require_not_negative, require_positive


class Seating(NamedTuple):
    """A flange under its face. Lengths [m].

    cover : skins and finish over the bare face. recess : to be routed into the bare face. wanted : a spacer
    ring that would bring the flange flush; 0 where it is thicker than the cover. ring : the one that lies
    there. proud : how far the flange stands out of the finished face, sunk below zero. below : wood left
    under the recess.
    """

    cover: float
    recess: float
    wanted: float
    ring: float
    proud: float
    below: float


def seating(flange_thickness, gasket, cover, panel_thickness, ring=0.0, flush=True):
    """The `Seating` of a driver whose hole goes through skins and panel, the skins cut out to its flange.

    Parameters
    ----------
    flange_thickness, gasket : float
        Of the driver, the gasket as pressed. [m]
    cover : float
        Skins and finish that come onto the bare face of the panel. [m]
    panel_thickness : float
        Of the panel with what is laminated to it. [m]
    ring : float
        Thickness of the spacer ring under the gasket, 0 for none. [m]
    flush : bool
        Sunk to the finished face, or set on top of it.

    Notes
    -----
    Flange, gasket and ring lie on the floor of the recess; what they are thicker than the cover is routed out
    of the panel. Thinner than the cover they lie too deep, and only a thicker ring lifts them.
    """
    require_positive(flange_thickness=flange_thickness, panel_thickness=panel_thickness)
    require_not_negative(gasket=gasket, cover=cover, ring=ring)
    bare = flange_thickness + gasket
    if not flush:
        return Seating(cover, 0.0, 0.0, ring, bare + ring, panel_thickness)
    recess = max(0.0, bare + ring - cover)
    return Seating(
        cover, recess, max(0.0, cover - bare), ring, bare + ring - cover - recess, panel_thickness - recess
    )
