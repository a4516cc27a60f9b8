"""Which way a hand-held router is pushed, so that the cut pulls it against its guide and not away from it.

Seen from above the bit turns clockwise. At its leading tooth the wood pushes it to the left of travel: that
side is where the guide must stand (derived). Round the outside of a piece that is counter-clockwise, inside
an opening clockwise, as router makers' manuals say (seen).
"""

from typing import NamedTuple

from calc.errors import InputError

GUIDES = {
    "opening": ("wood", "round"), "outside": ("wood", "round"), "disc": ("wood", "round"),
    "straightedge": ("clamped", "straight"), "edge guide": ("rides", "straight"),
}  # fmt: skip
"""What leads the router: the edge of the hole that stays, the outer edge, the disc that stays, a straightedge
clamped to the panel, a guide on the router that rides along the panel's edge."""


class Feed(NamedTuple):
    """How to push: `turn` is "clockwise" or "counter-clockwise" seen from above, None along a line; `side` of
    travel on which the guide then is, "left" or "right"."""

    turn: str | None
    side: str


def push(travel):
    """Which way the cut pushes the bit, for a way of `travel` (x, y) seen from above: to its left."""
    x, y = travel
    return -y, x


def feed(guide):
    """The `Feed` of a guide of `GUIDES`.

    Raises
    ------
    InputError
        At ``guide``, if it is none of them.

    Notes
    -----
    Wood that stays, and a straightedge, keep the bit from going further: they stand where it is pushed to, on
    the left. An edge guide hangs on the router itself, outside the panel's edge; pushed to the left, it is
    pulled against that edge when it hangs on the right.
    """
    if guide not in GUIDES:
        raise InputError("guide", "must be what leads the router: " + ", ".join(GUIDES))
    kind, path = GUIDES[guide]
    side = "right" if kind == "rides" else "left"
    if path == "straight":
        return Feed(None, side)
    # At the right of the circle, going up is counter-clockwise: the left of travel lies towards the centre.
    inward = push((0.0, 1.0))[0] < 0
    stays_inside = guide in ("outside", "disc")
    return Feed("counter-clockwise" if inward == stays_inside else "clockwise", side)
