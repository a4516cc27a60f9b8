"""What a terminal cup, sunk into the box, runs into: the wall across, drivers, and tubes of other panels."""

from calc.cabinet.bodies import shadow, way_behind
from calc.cabinet.clash import Clash, Pair, Party
from calc.cabinet.clash_room import field_of
from calc.cabinet.flat_shapes import HAIR, cut, rectangle
from calc.cabinet.polyhedra import block


def cups(room):
    """Cups that are deeper than the box, or meet what stands there; braces are `inside_clashes.crossed`."""
    for each in room.openings:
        thickness = room.carcass.panels[each.panel].thickness if each.kind == "hole" else 0.0
        if each.kind != "hole" or each.sunk <= thickness:
            continue
        across, way = way_behind(room.carcass, each.panel, cut(each))
        if (by := each.sunk - thickness - way) > HAIR:
            yield _clash(
                room, each, "depth", f"the {across}", Party(across, f"the {across}"), by,
                Pair(cut(each), cut(each), (each.sunk - by, each.sunk), room.facing(each.panel)),
            )  # fmt: skip
        cup = room.body(each)
        about = block(cup.low, cup.high)
        for other in room.openings:
            pair = _meeting(room, about, each, other)
            if pair:
                yield _clash(
                    room, each, "y", _called(room, other), room.party(other), -pair.a.gap(pair.b), pair
                )


def _clash(room, cup, part, what, other, by, pair):
    field, begun = f"{field_of(cup)}.{part}", f"The cup in {room.called(cup)} runs"
    return Clash(
        "cup", field, f"{begun} into {what}.", f"{begun} {{by}} into {what}.", by,
        parties=(room.party(cup), other), pairs=(pair,),
    )  # fmt: skip


def _called(room, other):
    return room.called(other) if other.kind == "port" else f"the basket of {room.called(other)}"


def _meeting(room, about, cup, other):
    """Where the block about a cup meets what stands behind another opening, as a `Pair`; None if it does not.

    What opens the same panel stands beside it and is judged on the face.
    """
    if other.kind == "hole" or other.panel == cup.panel or cut(other) is None:
        return None
    if other.panel in room.braces:
        low, high = room.hangs(other)
        seen = rectangle(*about.low[:2], *about.high[:2])
        deep, shape = (max(low, about.low[2]), min(high, about.high[2])), cut(other)
    else:
        body = room.body(other)
        if body is None or (other.kind == "port" and room.ports[other.of].bends):
            return None
        found = shadow(about, body.face, body.start, body.end)
        if found is None:
            return None
        (seen, deep), shape = found, body.shape
    if deep[1] - deep[0] <= HAIR or seen.gap(shape) >= -HAIR:
        return None
    return Pair(seen, shape, deep, room.facing(other.panel))
