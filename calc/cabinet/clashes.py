"""What of a cabinet's openings does not fit the wood, each other or what is inside: by how much, and where.

Places are those of a panel's face, as `calc.cabinet.facing` counts them.
"""

from dataclasses import replace

from calc.cabinet import cup_clashes, face_clashes, inside_clashes
from calc.cabinet.clash import Misfit
from calc.cabinet.clash_room import SCREW, Room
from calc.cabinet.flat_shapes import outline
from calc.cabinet.openings import LEAST_WOOD

LOOKED_FOR = (
    face_clashes.over_edges,
    face_clashes.into_walls,
    face_clashes.too_close,
    face_clashes.screws,
    inside_clashes.crossed,
    inside_clashes.too_deep,
    inside_clashes.port_misfits,
    inside_clashes.met_by_radiators,
    inside_clashes.chamber_misfits,
    cup_clashes.cups,
)


def misfits(carcass, openings, **decisions):
    """The `clashes`, each as its field and its sentence alone."""
    return tuple(Misfit(each.field, each.sentence) for each in clashes(carcass, openings, **decisions))


def clashes(carcass, openings, **decisions):
    """What of a cabinet's openings does not fit the wood, each other or what stands inside.

    Parameters
    ----------
    carcass : Carcass
    openings : tuple of Opening
        All of the cabinet.

    The rest by name, none of it needed:

    seats, drivers : dicts of Seat-like and Driver-like decisions
    ports, lengths : dicts of Port-like, and of the length of each from its outer face [m]
        By their names in the box.
    radiator : Radiator-like or None
    braces : dict of BraceSolid
    finish : float
        Paint or veneer on the front, which makes a recess shallower. [m]
    least_wood : float
        Between two openings of one panel. [m]
    screw : float
        Diameter of a driver's screws. [m]

    Returns
    -------
    clashes : tuple of Clash
        Fields start at ``seats``, ``holes``, ``port``, ``other``, ``rear``, ``radiator``, ``fb``, ``fr``,
        ``braces`` or ``drivers``. Facts of good input, each told once: of equal openings, the worst one.

    Notes
    -----
    A brace is in the way of what stands behind an opening unless that lies within one window or notch. A
    driver takes a straight tube of its cut-out's diameter, its magnet one of the magnet's; a passive radiator
    is as wide inside as its cut-out. All stand square to their panel: behind a front that leans back they
    point down. Seen from the back, such a body is told as a circle drawn out downwards, a hair more than it
    takes. Screws stand evenly on their circle, the topmost two as far apart as all.
    """
    return room_clashes(_room(carcass, openings, **decisions))


def room_clashes(room):
    """The `clashes` of a `Room`."""
    found = {}
    for each in (clash for looked in LOOKED_FOR for clash in looked(room)):
        told = each.field, each.sentence
        found[told] = _together(found[told], each) if told in found else each
    return tuple(found.values())


def distances(carcass, openings, **decisions):
    """The `Distances` of each opening whose size is known; what it takes is as for `clashes`."""
    room = _room(carcass, openings, **decisions)
    return tuple(face_clashes.distances(room, each) for each in room.openings if outline(each) is not None)


def _room(carcass, openings, seats=None, drivers=None, ports=None, lengths=None, radiator=None, braces=None,
          finish=0.0, least_wood=LEAST_WOOD, screw=SCREW):  # fmt: skip
    return Room(
        carcass, tuple(openings), seats or {}, drivers or {}, ports or {}, lengths or {}, radiator,
        braces or {}, finish, least_wood, screw,
    )  # fmt: skip


def _together(one, other):
    """Two clashes of equal openings as one: the worse amount, all places."""
    worse = one
    if None not in (one.amount, other.amount):
        smaller_is_worse = "only {by}" in one.words
        worse = min(one, other, key=lambda each: each.amount * (1 if smaller_is_worse else -1))
    over = {side: max(one.over.get(side, 0), other.over.get(side, 0)) for side in {**one.over, **other.over}}
    return replace(worse, pairs=(*one.pairs, *other.pairs), over=over)
