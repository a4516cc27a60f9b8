"""What stands behind the openings, and what it runs into: braces, walls, magnets and tubes from across."""

from calc.cabinet.bodies import Body, shadow, way_behind
from calc.cabinet.clash import Clash, Pair, Party
from calc.cabinet.clash_room import ACROSS, field_of
from calc.cabinet.flat_shapes import HAIR, Shape, cut, rectangle
from calc.cabinet.polyhedra import block


def crossed(room):
    """Braces that stand in the way of a driver, a port or a hole."""
    behind = [
        (each, room.body(each) if each.panel in room.carcass.panels else None) for each in room.openings
    ]
    for name, brace in room.braces.items():
        for each, body in behind:
            if each.panel not in room.carcass.panels:
                if name != each.panel and _wall_meets(room, each, brace):
                    yield _wall_met(room, name, each)
                continue
            seen = body and brace.body and shadow(brace.body, body.face, body.start, body.end)
            if not seen or (gap := body.shape.gap(seen[0])) >= -HAIR:
                continue
            if lets_through(brace, body, *seen):
                continue
            plain, told = _meets(room, each)
            yield Clash(
                "brace",
                f"braces.{name}.at",
                f"“{name}” {plain}: move one of them.",
                f"“{name}” {told}: move one of them.",
                -gap,
                parties=(room.brace_party(name), room.party(each)),
                pairs=(Pair(seen[0], body.shape, seen[1], body.face),),
                panel=each.panel,
                away=body.end - seen[1][0],
            )


def lets_through(brace, body, shape, deep):
    """Whether a body, where a plate takes the `shape` of its face, lies within one window or notch of it.

    `deep` is from where to where the plate lies below the face. [m]
    """
    part = Body(body.shape.within_reach_of(shape), *deep, body.face)
    low, high = part.low, part.high
    return any(
        all(a <= b + HAIR and c <= d + HAIR for a, b, c, d in zip(start, low, high, end, strict=True))
        for start, end in getattr(brace, "gaps", ())
    )


def _meets(room, opening):
    """What a brace does to an opening, without its amount and with it."""
    called = room.called(opening)
    if opening.kind in ("seat", "radiator"):
        return f"runs into the basket of {called}", f"runs {{by}} into the basket of {called}"
    if opening.kind == "port":
        return f"runs into {called}", f"runs {{by}} into {called}"
    return f"stands behind the hole for {called}", f"stands {{by}} behind the hole for {called}"


def _wall_meets(room, opening, brace):
    """Whether a driver that sits in a shelf and another brace are in each other's way."""
    if cut(opening) is None:
        return False
    low, high = room.hangs(opening)
    across = _from_above(brace)
    return low < brace.high[2] - HAIR and brace.low[2] + HAIR < high and cut(opening).gap(across) < -HAIR


def _from_above(brace):
    return rectangle(brace.low[0], brace.low[1], brace.high[0], brace.high[1])


def _wall_met(room, name, opening):
    """The clash of a brace with a driver that sits in a shelf."""
    brace, (low, high) = room.braces[name], room.hangs(opening)
    deep = max(low, brace.low[2]), min(high, brace.high[2])
    amount, pairs, moves = deep[1] - deep[0], (), ()
    if brace.kind == "rib":
        pairs = (Pair(_from_above(brace), cut(opening), deep, room.facing(opening.panel)),)
        amount, moves = -pairs[0].a.gap(pairs[0].b), room.brace_party(name).moves
    plain, told = _meets(room, opening)
    return Clash(
        "brace",
        f"braces.{name}.at",
        f"“{name}” {plain}: move one of them.",
        f"“{name}” {told}: move one of them.",
        amount,
        parties=(Party(f"braces.{name}", f"“{name}”", moves), room.party(opening)),
        pairs=pairs,
    )


def too_deep(room):
    """Drivers and radiators that the panel across stops."""
    for each in room.openings:
        if each.kind not in ("seat", "radiator") or room.reach(each) is None:
            continue
        on_panel = each.panel in room.carcass.panels
        for across, by, deep, over in (_through_walls if on_panel else _out_of_chamber)(room, each):
            frame = room.frame(each)
            magnet = Shape(each.x, each.y, 0, 0, (frame.magnet or frame.cutout or 0.02) / 2)
            what = "magnet" if each.kind == "seat" else "back"
            is_deeper, its = ("is", "its") if room.alone(each) else ("are", "their")
            end = f"deeper than the box: {its} {what} meets the {across}."
            yield Clash(
                "deep",
                f"{_frame_field(room, each)}.depth",
                f"{room.begun(each)} {is_deeper} {end}",
                f"{room.begun(each)} {is_deeper} {{by}} {end}",
                by,
                parties=(
                    Party(field_of(each), room.called(each), (("y", 1),) if over else ()),
                    Party(across, f"the {across}"),
                ),
                pairs=(Pair(magnet, magnet, deep, room.facing(each.panel)),),
                over=over,
            )


def _through_walls(room, opening):
    """(wall, by how much, from where to where below the face, {side that it must move from: how far})."""
    body = room.magnet(opening)
    if body is None:
        frame = room.frame(opening)
        wide = frame.magnet or frame.cutout or 0.02
        body = Body(Shape(opening.x, opening.y, 0, 0, wide / 2), 0.0, room.reach(opening),
                    room.facing(opening.panel))  # fmt: skip
    face = body.face
    for across, plane in room.walls.items():
        closing = -sum(a * b for a, b in zip(face.inward, plane[:3], strict=True))
        if closing <= HAIR or (by := body.beyond(plane)) <= HAIR:
            continue
        rising = sum(a * b for a, b in zip(face.up, plane[:3], strict=True))
        over = {}
        if abs(rising) > HAIR:
            over = {"bottom" if rising > 0 else "top": by / abs(rising)}
        yield across, by, (body.end - by / closing, body.end), over


def _out_of_chamber(room, opening):
    """The same of a driver in a shelf."""
    low, high = room.walls["bottom"].at, -room.walls["top"].at
    stands = room.hangs(opening)
    across = "bottom" if room.seats[opening.name].faces == "up" else "top"
    below, above = low - stands[0], stands[1] - high
    if max(below, above) > HAIR:
        yield across, max(below, above), (stands[0], low) if below > above else (high, stands[1]), {}


def _frame_field(room, opening):
    if opening.kind == "radiator":
        return "radiator.frame"
    return f"drivers.{room.seats[opening.name].driver}.frame"


def port_misfits(room):
    """Ports that are longer than the inside, or meet a magnet."""
    for of, port in room.ports.items():
        ports = [each for each in room.openings if each.kind == "port" and each.of == of]
        if not ports or port.bends:
            continue
        length = room.lengths.get(of, 0.0)
        within = length - room.carcass.panels[port.panel].thickness
        across, way = min(
            (way_behind(room.carcass, port.panel, room.tube(each)) for each in ports), key=lambda way: way[1]
        )
        if within >= way:
            tuned_by = "fr" if of == "rear" else "fb"
            one, face = len(ports) == 1, room.facing(port.panel)
            is_longer, needs = ("is", "it needs") if one else ("are", "they need")
            end = f"longer than the box is deep: {needs} an elbow."
            yield Clash(
                "long",
                f"{of}.length" if port.length is not None or of == "other" else tuned_by,
                f"{room.begun(ports[0])} {is_longer} {end}",
                f"{room.begun(ports[0])} {is_longer} {{by}} {end}",
                within - way,
                parties=(Party(of, room.called(ports[0])), Party(across, "")),
                pairs=tuple(
                    Pair(room.tube(each), room.tube(each), (length - within + way, length), face)
                    for each in ports
                ),
            )
        elif port.panel == "back":
            yield from _magnets_met(room, ports)


def _magnets_met(room, ports):
    """Drivers of the front that a tube through the back meets before its end."""
    depth, length = room.carcass.outer[2], room.lengths.get(ports[0].of, 0.0)
    end = depth - length
    for seat in room.openings:
        if seat.kind != "seat" or seat.panel != "front" or room.frame(seat).magnet is None:
            continue
        magnet = room.magnet(seat)
        lump = magnet and magnet.seen_level(end)
        if not lump:
            continue
        words = "runs" if len(ports) == 1 else "run"
        reach = magnet.high[1]
        for each in ports:
            if (gap := room.tube(each).gap(lump)) < -HAIR:
                what = f"into the magnet of {room.called(seat)}."
                yield Clash(
                    "magnet",
                    f"{each.of}.y",
                    f"{room.begun(each)} {words} {what}",
                    f"{room.begun(each)} {words} {{by}} {what}",
                    min(-gap, reach - end),
                    parties=(room.party(each), room.party(seat)),
                    pairs=(Pair(room.tube(each), lump, (depth - reach, length), room.facing("back")),),
                )


def met_by_radiators(room):
    """Passive radiators that meet a driver from the panel across."""
    depth = room.carcass.outer[2]
    for each in room.openings:
        if each.kind != "radiator" or each.panel != "back" or (own := room.magnet(each)) is None:
            continue
        for other in room.openings:
            if other.kind != "seat" or other.panel != ACROSS[each.panel]:
                continue
            magnet = room.magnet(other)
            lump = magnet and magnet.seen_level(depth - own.end)
            if not lump or (gap := own.shape.gap(lump)) >= -HAIR:
                continue
            deep = magnet.high[1] + own.end - depth
            verb = "meets" if room.radiator.count == 1 else "meet"
            words = f"{room.begun(each)} {verb} the magnet of {room.called(other)} inside"
            yield Clash(
                "across",
                "radiator.y",
                f"{words}.",
                f"{words}, by {{by}}.",
                min(-gap, deep),
                parties=(room.party(each), room.party(other)),
                pairs=(Pair(own.shape, lump, (own.end - deep, own.end), own.face),),
            )


def chamber_misfits(room):
    """Ports that open the wrong one of two chambers, or run into the driver between them."""
    for seat in room.openings:
        if seat.kind != "seat" or seat.panel not in room.braces:
            continue
        yield from _tubes_met(room, seat)
        solid, rear_below = room.braces[seat.panel], room.seats[seat.name].faces == "up"
        for each in room.openings:
            if each.kind != "port":
                continue
            middle = (solid.low[2] + solid.high[2]) / 2
            height = room.level(each.panel, each.y, room.carcass.panels[each.panel].thickness)
            if (height < middle) != (rear_below == (each.of == "rear")):
                wrong = "front" if each.of == "rear" else "rear"
                sentence = (
                    f"{room.begun(each)} must not open the {wrong} chamber: move across “{solid.name}”."
                )
                yield Clash("chamber", f"{each.of}.y", sentence, sentence, parties=(room.party(each),))


def _tubes_met(room, seat):
    """The clashes of straight tubes with a driver that sits in a shelf."""
    hole = cut(seat)
    if hole is None:
        return
    low, high = room.hangs(seat)
    r = hole.radius
    about = block((seat.x - r, seat.y - r, low), (seat.x + r, seat.y + r, high))
    for each in room.openings:
        if each.kind != "port" or room.ports[each.of].bends:
            continue
        tube = room.body(each)
        seen = shadow(about, tube.face, tube.start, room.lengths.get(each.of, 0.0))
        if seen and (gap := tube.shape.gap(seen[0])) < -HAIR:
            words = "run" if room.called(each).endswith("s") else "runs"
            yield Clash(
                "tube",
                f"{each.of}.y",
                f"{room.begun(each)} {words} into {room.called(seat)}.",
                f"{room.begun(each)} {words} {{by}} into {room.called(seat)}.",
                -gap,
                parties=(room.party(each), Party(field_of(seat), room.called(seat))),
                pairs=(Pair(tube.shape, *seen, tube.face),),
            )
