"""What on the face of a panel does not fit: over its edge, into the walls behind, too little wood, screws."""

from dataclasses import dataclass

from calc.cabinet.clash import Clash, Pair
from calc.cabinet.clash_room import field_of
from calc.cabinet.flat_shapes import HAIR, cut, cut_inside, outline, rectangle

SCREW_EDGE = 2.0
"""From a screw's middle to an edge, over its diameter, at least (common practice, no source)."""


def over_edges(room):
    """Recesses and flanges that reach over the edge of their panel."""
    for each in room.openings:
        if each.outline is None:
            continue
        face = room.face(each.panel)
        over = outline(each).over(*face)
        if over:
            part = "rim" if each.kind == "hole" else "recess" if room.mount(each).flush else "flange"
            the, called = room.the(each.panel), room.called(each)
            yield Clash(
                "edge",
                f"{field_of(each)}.{_axis(next(iter(over)))}",
                f"The {part} of {called} reaches over the edge of {the}.",
                f"The {part} of {called} reaches {{by}} over the edge of {the}.",
                max(over.values()),
                parties=(room.party(each),),
                pairs=_beyond(room, each, outline(each), over, face),
                over=over,
                panel=each.panel,
            )


def _beyond(room, opening, shape, over, bounds):
    """What of a shape lies beyond the sides of a rectangle, as `Pair`s."""
    left, low, right, high = bounds
    wide = 1.0  # m; more than any panel
    sides = {
        "left": (left - wide, low - wide, left, high + wide),
        "right": (right, low - wide, right + wide, high + wide),
        "bottom": (left - wide, low - wide, right + wide, low),
        "top": (left - wide, high, right + wide, high + wide),
    }
    through, face = room.through(opening.panel), room.facing(opening.panel)
    return tuple(Pair(shape, rectangle(*sides[side]), through, face) for side in over)


def into_walls(room):
    """Through holes that are not clear of the walls behind their panel."""
    for each in room.openings:
        hole = cut_inside(each) if each.panel in room.carcass.panels else None
        walls = hole.over(*room.clear[each.panel]) if hole else {}
        if walls:
            panels = " and ".join(walls) + (" panels" if len(walls) > 1 else " panel")
            called = room.called(each)
            yield Clash(
                "wall",
                f"{field_of(each)}.{_axis(next(iter(walls)))}",
                f"The hole for {called} runs into the {panels}: keep it between the walls.",
                f"The hole for {called} runs {{by}} into the {panels}: keep it between the walls.",
                max(walls.values()),
                parties=(room.party(each),),
                pairs=_beyond(room, each, hole, walls, room.clear[each.panel]),
                over=walls,
                panel=each.panel,
            )


def too_close(room):
    """Openings of one panel that overlap, or leave too little wood between them."""
    for n, b in enumerate(room.openings):
        for a in room.openings[:n]:
            if a.panel != b.panel or None in (outline(a), outline(b)):
                continue
            gap = outline(a).gap(outline(b))
            if gap >= room.least_wood - HAIR:
                continue
            alike = room.called(a) == room.called(b)
            both = room.called(b) if alike else f"{room.called(a)} and {room.called(b)}"
            both, where = f"{both[:1].upper()}{both[1:]}", room.the(b.panel)
            if gap < -HAIR:
                plain, told = f"overlap on {where}.", f"overlap by {{by}} on {where}."
            else:
                plain = f"leave hardly any wood between them on {where}."
                told = f"leave only {{by}} of wood between them on {where}; {{least}} is the least."
            yield Clash(
                "close",
                f"{field_of(b)}.{'x' if abs(a.x - b.x) > abs(a.y - b.y) else 'y'}",
                f"{both} {plain}",
                f"{both} {told}",
                abs(gap),
                room.least_wood,
                (room.party(b), room.party(a)),
                room.least_wood,
                (Pair(outline(b), outline(a), room.through(b.panel), room.facing(b.panel)),),
                panel=b.panel,
            )


def screws(room):
    """Screws that stand too near another opening, or the edge of the panel."""
    need = SCREW_EDGE * room.screw
    told_of = {clash.parties[0].of for clash in (*over_edges(room), *into_walls(room))}
    for each in room.openings:
        places = room.screws(each)
        left, low, right, high = face = room.face(each.panel)
        inner = left + need, low + need, right - need, high - need
        over = {}
        for place in places:
            for side, by in place.over(*inner).items():
                over[side] = max(over.get(side, 0.0), by)
        called, the = room.called(each), room.the(each.panel)
        if over and field_of(each) not in told_of:  # of that a larger move is told
            yield Clash(
                "screw",
                f"{field_of(each)}.{_axis(next(iter(over)))}",
                f"A screw of {called} stands too near the edge of {the}.",
                f"A screw of {called} has only {{by}} to the edge of {the}; {{least}} is the least.",
                max(0.0, need - max(over.values())),
                need,
                (room.party(each),),
                over=over,
                pairs=tuple(
                    pair
                    for place in places
                    for pair in _beyond(room, each, place.grown(need), place.grown(need).over(*face), face)
                ),
                panel=each.panel,
            )
        for other in room.openings:
            hole = outline(other)
            if other is each or other.panel != each.panel or hole is None:
                continue
            gaps = [(place.gap(hole), place) for place in places]
            if not gaps or min(gaps)[0] >= need - HAIR or outline(each).gap(hole) < room.least_wood - HAIR:
                continue
            near = tuple(Pair(p, hole, room.through(each.panel), room.facing(each.panel))
                         for gap, p in gaps if gap < need)  # fmt: skip
            yield Clash(
                "screw",
                f"{field_of(each)}.{'x' if abs(each.x - other.x) > abs(each.y - other.y) else 'y'}",
                f"A screw of {called} stands too near {room.called(other)} on {the}.",
                f"A screw of {called} has only {{by}} to {room.called(other)} on {the};"
                " {least} is the least.",
                max(0.0, min(gaps)[0]),
                need,
                (room.party(each), room.party(other)),
                need,
                near,
                panel=each.panel,
            )


@dataclass(frozen=True)
class Distances:
    """What is left about one opening [m]; None where it is not known, or there is none.

    edge : from its recess, flange or hole to the nearest edge of its panel. wall : from its hole to the
    nearest wall behind. wood : to the nearest other opening, `beside`. screw : from the middle of a screw to
    the nearest edge or other opening. rim : from the middle of a screw to its own hole.
    """

    name: str
    panel: str
    edge: float
    wall: float | None
    wood: float | None
    beside: str
    screw: float | None
    rim: float | None


def distances(room, opening):
    """What is left about one opening."""
    taken, places, face = outline(opening), room.screws(opening), room.face(opening.panel)
    others = [
        (outline(each), each.name)
        for each in room.openings
        if each is not opening and each.panel == opening.panel and outline(each) is not None
    ]
    wall = None
    if opening.panel in room.carcass.panels and cut(opening) is not None:
        wall = cut_inside(opening).within(*room.clear[opening.panel])
    wood, beside = min(((taken.gap(other), name) for other, name in others), default=(None, ""))
    screw = [gap for place in places for gap in (place.within(*face), *(place.gap(o) for o, _ in others))]
    rim = [place.gap(cut(opening)) for place in places] if cut(opening) is not None else []
    return Distances(
        opening.name, opening.panel, taken.within(*face), wall, wood, beside,
        min(screw, default=None), min(rim, default=None),
    )  # fmt: skip


def _axis(side):
    return "x" if side in ("left", "right") else "y"
