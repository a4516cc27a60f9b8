"""What of a cabinet's openings does not fit the wood, each other or what is inside: by how much, and where.

Places are seen from the front: x from the cabinet's outer left, y up from its lower edge.
"""

from dataclasses import dataclass, field, replace
from math import cos, pi, sin
from typing import NamedTuple

from calc.cabinet.flat_shapes import (
    HAIR,
    Shape,
    circle,
    common,
    cut,
    outline,
    plate,
    rectangle,
    way_out,
)  # fmt: skip
from calc.cabinet.openings import CALLED, LEAST_WOOD, inside, wall_of

SCREW = 0.0035
"""Diameter of the screws that hold a driver (common practice, no source). [m]"""

SCREW_EDGE = 2.0
"""From a screw's middle to an edge, over its diameter, at least (common practice, no source)."""


class Party(NamedTuple):
    """One of two that clash.

    of : its place in the document below the cabinet or the box ("seats.dome", "port", "braces.shelf"), or the
    name of a panel, which does not move. moves : (field, the axis of its plane: 0 or 1) of each number that
    moves it.
    """

    of: str
    called: str
    moves: tuple = ()


class Pair(NamedTuple):
    """Where two parties meet: their shapes in one plane, and from where to where along the third axis. [m]

    plane : "face", seen from the front, the third axis running from the front backwards; or "level", seen
    from above, the third axis running up.
    """

    a: Shape
    b: Shape
    deep: tuple
    plane: str = "face"


@dataclass(frozen=True)
class Clash:
    """Something that does not fit. Lengths [m].

    kind : "edge", "wall", "close", "screw", "brace", "deep", "long", "magnet", "across", "tube", "chamber",
        "parted" or "board".
    field, sentence : the field that it hangs on, and what is told of it without a number.
    words, values : the same with its amount, {name in braces: (quantity, SI value)}.
    parties : those that clash; the first is moved first.
    need : what must stand between them. pairs : where they meet. over : {side: how far one party reaches over
    it}. panel : whose face it shows on; None if it lies inside alone.
    """

    kind: str
    field: str
    sentence: str
    words: str
    amount: float | None = None
    least: float | None = None
    parties: tuple = ()
    need: float = 0.0
    pairs: tuple = ()
    over: dict = field(default_factory=dict)
    panel: str | None = None

    @property
    def values(self):
        return {"by": ("length", self.amount), "least": ("length", self.least)}

    @property
    def key(self):
        """What tells it from other clashes, whatever its amount."""
        return self.kind, frozenset(party.of for party in self.parties), self.panel

    def shifts(self, party, axis):
        """How far `party` must move along an axis of its plane to clear it: (back, forth) [m]; none if never.

        Reaching over both of two sides, nothing clears it.
        """
        if self.over:
            sides = (("right", "left"), ("top", "bottom"))[axis]
            back, forth = (self.over.get(side, 0.0) for side in sides)
            others = set(self.over) - set(sides)
            return () if others or (back and forth) else ((-back,) if back else (forth,) if forth else ())
        if not self.pairs or len({each.of for each in self.parties}) == 1:
            return ()
        first = party.of == self.parties[0].of
        found = []
        for sign in (-1, 1):
            steps = (sign, 0) if axis == 0 else (0, sign)
            ways = [
                way_out(a, b, self.need, *steps) if first else way_out(b, a, self.need, *steps)
                for a, b, *_ in self.pairs
            ]
            found.append(sign * max(ways))
        return tuple(found)

    def marks(self):
        """What to hatch: (panel or "section", corners) of each; the section is (depth, height). [m]"""
        found = []
        for a, b, deep, plane in self.pairs:
            grown = self.need / 2 if self.kind in ("close", "screw") else 0.0
            lens = common(a.grown(grown).corners(), b.grown(grown).corners())
            if len(lens) < 3:
                continue
            if self.panel:
                found.append((self.panel, tuple(lens)))
            across, up = [x for x, _ in lens], [y for _, y in lens]
            side = (deep[0], min(up), deep[1], max(up))
            if plane == "level":
                side = (min(up), deep[0], max(up), deep[1])
            if side[2] - side[0] > HAIR and side[3] - side[1] > HAIR and across:
                found.append(("section", tuple(rectangle(*side).corners())))
        return tuple(found)


class Misfit(NamedTuple):
    """Something that does not fit: the field that it hangs on, and a sentence."""

    field: str
    sentence: str


def misfits(carcass, openings, **decisions):
    """The `clashes`, each as its field and its sentence alone."""
    return tuple(Misfit(each.field, each.sentence) for each in clashes(carcass, openings, **decisions))


def clashes(carcass, openings, *, seats=None, drivers=None, ports=None, lengths=None, radiator=None,
            braces=None, finish=0.0, least_wood=LEAST_WOOD, screw=SCREW):  # fmt: skip
    """What of a cabinet's openings does not fit the wood, each other or what stands inside.

    Parameters
    ----------
    carcass : Carcass
    openings : tuple of Opening
        All of the cabinet.
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
    A brace touches front and back over its whole width and leaves a rim around its window, so that it is
    in the way of an opening whose outline it crosses, wherever its window lies. A driver takes a straight
    tube of its cut-out's diameter, its magnet one of the magnet's; a passive radiator is as wide inside as
    its cut-out. Screws stand evenly on their circle, the topmost two as far apart as all.
    """
    room = _room(
        carcass, openings, seats=seats, drivers=drivers, ports=ports, lengths=lengths, radiator=radiator,
        braces=braces, finish=finish, least_wood=least_wood, screw=screw,
    )  # fmt: skip
    found = {}
    for each in (
        *room.over_edges(), *room.into_walls(), *room.too_close(), *room.screws(), *room.crossed(),
        *room.too_deep(), *room.port_misfits(), *room.met_by_radiators(), *room.chamber_misfits(),
    ):  # fmt: skip
        told = each.field, each.sentence
        found[told] = _together(found[told], each) if told in found else each
    return tuple(found.values())


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


def distances(carcass, openings, **decisions):
    """The `Distances` of each opening whose size is known; what it takes is as for `clashes`."""
    room = _room(carcass, openings, **decisions)
    return tuple(room.distances(each) for each in room.openings if outline(each) is not None)


def _room(carcass, openings, seats=None, drivers=None, ports=None, lengths=None, radiator=None, braces=None,
          finish=0.0, least_wood=LEAST_WOOD, screw=SCREW):  # fmt: skip
    return _Room(
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


@dataclass(frozen=True)
class _Room:
    """A cabinet with its openings, as `clashes` takes them."""

    carcass: object
    openings: tuple
    seats: dict
    drivers: dict
    ports: dict
    lengths: dict
    radiator: object
    braces: dict
    finish: float
    least_wood: float
    screw: float

    # What takes part

    def party(self, opening):
        return Party(_field(opening), self.called(opening), (("x", 0), ("y", 1)))

    def brace_party(self, name):
        moves = {"shelf": (("at", 1),), "rib": (("at", 0),)}
        return Party(f"braces.{name}", f"“{name}”", moves.get(self.braces[name].kind, ()))

    def through(self, panel):
        """From where to where the wood of a panel lies along its third axis. [m]"""
        if panel in self.carcass.panels:
            solid = self.carcass.panels[panel]
            return solid.low[1], solid.high[1]
        solid = self.braces[panel]
        return solid.low[2], solid.high[2]

    def plane(self, panel):
        return "face" if panel in self.carcass.panels else "level"

    def behind(self, opening):
        """From where to where an opening's own body stands along the depth of the box. [m]"""
        depth = self.carcass.outer[2]
        if opening.kind == "port":
            reach = self.lengths.get(opening.of, 0.0)
        elif opening.kind == "hole":
            reach = 0.0
        else:
            reach = self.reach(opening) or 0.0
        reach = max(reach, self.carcass.panels[opening.panel].thickness)
        return (0.0, reach) if opening.panel == "front" else (depth - reach, depth)

    def face(self, panel):
        """Left, low, right and high edge of a panel's outer face, or of a shelf's from above. [m]"""
        if panel in self.carcass.panels:
            solid = self.carcass.panels[panel]
            return solid.low[0], solid.low[2], solid.high[0], solid.high[2]
        low, high = inside(self.carcass)
        return low[0], low[1], high[0], high[1]

    def mount(self, opening):
        """The decision that a driver or a passive radiator sits by."""
        return self.radiator if opening.kind == "radiator" else self.seats[opening.name]

    def frame(self, opening):
        """The frame of a driver or of a passive radiator."""
        mount = self.mount(opening)
        return mount.frame if opening.kind == "radiator" else self.drivers[mount.driver].frame

    def the(self, panel):
        return f"the {panel}" if panel in self.carcass.panels else f"“{panel}”"

    # On the face of a panel

    def over_edges(self):
        """Recesses and flanges that reach over the edge of their panel."""
        for each in self.openings:
            if each.outline is None:
                continue
            face = self.face(each.panel)
            over = outline(each).over(*face)
            if over:
                part = "recess" if self.mount(each).flush else "flange"
                the, called = self.the(each.panel), self.called(each)
                yield Clash(
                    "edge",
                    f"{_field(each)}.{_axis(next(iter(over)))}",
                    f"The {part} of {called} reaches over the edge of {the}.",
                    f"The {part} of {called} reaches {{by}} over the edge of {the}.",
                    max(over.values()),
                    parties=(self.party(each),),
                    pairs=self.beyond(each, outline(each), over, face),
                    over=over,
                    panel=each.panel,
                )

    def beyond(self, opening, shape, over, bounds):
        """What of a shape lies beyond the sides of a rectangle, as `Pair`s."""
        left, low, right, high = bounds
        wide = 1.0  # m; more than any panel
        sides = {
            "left": (left - wide, low - wide, left, high + wide),
            "right": (right, low - wide, right + wide, high + wide),
            "bottom": (left - wide, low - wide, right + wide, low),
            "top": (left - wide, high, right + wide, high + wide),
        }
        through, plane = self.through(opening.panel), self.plane(opening.panel)
        return tuple(Pair(shape, rectangle(*sides[side]), through, plane) for side in over)

    def into_walls(self):
        """Through holes that are not clear of the walls behind their panel."""
        low, high = inside(self.carcass)
        bounds = low[0], low[2], high[0], high[2]
        for each in self.openings:
            hole = cut(each) if each.panel in self.carcass.panels else None
            walls = hole.over(*bounds) if hole else {}
            if walls:
                panels = " and ".join(walls) + (" panels" if len(walls) > 1 else " panel")
                called = self.called(each)
                yield Clash(
                    "wall",
                    f"{_field(each)}.{_axis(next(iter(walls)))}",
                    f"The hole for {called} runs into the {panels}: keep it between the walls.",
                    f"The hole for {called} runs {{by}} into the {panels}: keep it between the walls.",
                    max(walls.values()),
                    parties=(self.party(each),),
                    pairs=self.beyond(each, hole, walls, bounds),
                    over=walls,
                    panel=each.panel,
                )

    def too_close(self):
        """Openings of one panel that overlap, or leave too little wood between them."""
        for n, b in enumerate(self.openings):
            for a in self.openings[:n]:
                if a.panel != b.panel or None in (outline(a), outline(b)):
                    continue
                gap = outline(a).gap(outline(b))
                if gap >= self.least_wood - HAIR:
                    continue
                alike = self.called(a) == self.called(b)
                both = self.called(b) if alike else f"{self.called(a)} and {self.called(b)}"
                both, where = f"{both[:1].upper()}{both[1:]}", self.the(b.panel)
                if gap < -HAIR:
                    plain, told = f"overlap on {where}.", f"overlap by {{by}} on {where}."
                else:
                    plain = f"leave hardly any wood between them on {where}."
                    told = f"leave only {{by}} of wood between them on {where}; {{least}} is the least."
                yield Clash(
                    "close",
                    f"{_field(b)}.{'x' if abs(a.x - b.x) > abs(a.y - b.y) else 'y'}",
                    f"{both} {plain}",
                    f"{both} {told}",
                    abs(gap),
                    self.least_wood,
                    (self.party(b), self.party(a)),
                    self.least_wood,
                    (Pair(outline(b), outline(a), self.through(b.panel), self.plane(b.panel)),),
                    panel=b.panel,
                )

    def screw_places(self, opening):
        """The screws of a driver or a passive radiator, as points; none where its sheet gives no circle."""
        if opening.kind not in ("seat", "radiator"):
            return []
        frame = self.frame(opening)
        if not frame.screws or not frame.screw_circle:
            return []
        turns = [2 * pi * (n + 0.5) / frame.screws for n in range(frame.screws)]
        radius = frame.screw_circle / 2
        return [Shape(opening.x + radius * sin(t), opening.y + radius * cos(t), 0, 0, HAIR) for t in turns]

    def distances(self, opening):
        """What is left about one opening."""
        taken, places, face = outline(opening), self.screw_places(opening), self.face(opening.panel)
        others = [
            (outline(each), each.name)
            for each in self.openings
            if each is not opening and each.panel == opening.panel and outline(each) is not None
        ]
        wall = None
        if opening.panel in self.carcass.panels and cut(opening) is not None:
            low, high = inside(self.carcass)
            wall = cut(opening).within(low[0], low[2], high[0], high[2])
        wood, beside = min(((taken.gap(other), name) for other, name in others), default=(None, ""))
        screw = [gap for place in places for gap in (place.within(*face), *(place.gap(o) for o, _ in others))]
        rim = [place.gap(cut(opening)) for place in places] if cut(opening) is not None else []
        return Distances(
            opening.name, opening.panel, taken.within(*face), wall, wood, beside,
            min(screw, default=None), min(rim, default=None),
        )  # fmt: skip

    def screws(self):
        """Screws that stand too near another opening, or the edge of the panel."""
        need = SCREW_EDGE * self.screw
        told_of = {clash.parties[0].of for clash in (*self.over_edges(), *self.into_walls())}
        for each in self.openings:
            places = self.screw_places(each)
            left, low, right, high = face = self.face(each.panel)
            inner = left + need, low + need, right - need, high - need
            over = {}
            for place in places:
                for side, by in place.over(*inner).items():
                    over[side] = max(over.get(side, 0.0), by)
            called, the = self.called(each), self.the(each.panel)
            if over and _field(each) not in told_of:  # of that a larger move is told
                yield Clash(
                    "screw",
                    f"{_field(each)}.{_axis(next(iter(over)))}",
                    f"A screw of {called} stands too near the edge of {the}.",
                    f"A screw of {called} has only {{by}} to the edge of {the}; {{least}} is the least.",
                    max(0.0, need - max(over.values())),
                    need,
                    (self.party(each),),
                    over=over,
                    pairs=tuple(
                        pair
                        for place in places
                        for pair in self.beyond(each, place.grown(need), place.grown(need).over(*face), face)
                    ),
                    panel=each.panel,
                )
            for other in self.openings:
                hole = outline(other)
                if other is each or other.panel != each.panel or hole is None:
                    continue
                gaps = [(place.gap(hole), place) for place in places]
                if (
                    not gaps
                    or min(gaps)[0] >= need - HAIR
                    or outline(each).gap(hole) < self.least_wood - HAIR
                ):
                    continue
                near = tuple(Pair(p, hole, self.through(each.panel), self.plane(each.panel))
                             for gap, p in gaps if gap < need)  # fmt: skip
                yield Clash(
                    "screw",
                    f"{_field(each)}.{'x' if abs(each.x - other.x) > abs(each.y - other.y) else 'y'}",
                    f"A screw of {called} stands too near {self.called(other)} on {the}.",
                    f"A screw of {called} has only {{by}} to {self.called(other)} on {the};"
                    " {least} is the least.",
                    max(0.0, min(gaps)[0]),
                    need,
                    (self.party(each), self.party(other)),
                    need,
                    near,
                    panel=each.panel,
                )

    # Inside

    def crossed(self):
        """Braces that stand in the way of a driver, a port or a hole."""
        for name, brace in self.braces.items():
            solid = plate(brace.low, brace.high)
            for each in self.openings:
                if each.panel not in self.carcass.panels:
                    if name != each.panel and self.wall_meets(each, brace):
                        yield self.wall_met(name, each)
                    continue
                taken = self.taken(each)
                if taken and (gap := taken.gap(solid)) < -HAIR:
                    low, high = self.behind(each)
                    deep = max(low, brace.low[1]), min(high, brace.high[1])
                    if deep[0] > deep[1] and brace.kind in ("shelf", "rib"):
                        deep = (low, high)  # it stands behind a hole without a body
                    if deep[0] > deep[1]:  # it ends before what stands across the box
                        continue
                    if _lets_through(brace, taken, deep):
                        continue
                    plain, told = self.meets(each)
                    yield Clash(
                        "brace",
                        f"braces.{name}.at",
                        f"“{name}” {plain}: move one of them.",
                        f"“{name}” {told}: move one of them.",
                        -gap,
                        parties=(self.brace_party(name), self.party(each)),
                        pairs=(Pair(solid, taken, deep),),
                        panel=each.panel,
                    )

    def wall_meets(self, opening, brace):
        """Whether a driver that sits in a shelf and another brace are in each other's way."""
        if cut(opening) is None:
            return False
        low, high = self.hangs(opening)
        across = self.from_above(brace)
        return low < brace.high[2] - HAIR and brace.low[2] + HAIR < high and cut(opening).gap(across) < -HAIR

    @staticmethod
    def from_above(brace):
        return rectangle(brace.low[0], brace.low[1], brace.high[0], brace.high[1])

    def wall_met(self, name, opening):
        """The clash of a brace with a driver that sits in a shelf."""
        brace, (low, high) = self.braces[name], self.hangs(opening)
        deep = max(low, brace.low[2]), min(high, brace.high[2])
        amount, pairs, moves = deep[1] - deep[0], (), ()
        if brace.kind == "rib":
            pairs = (Pair(self.from_above(brace), cut(opening), deep, "level"),)
            amount, moves = -pairs[0].a.gap(pairs[0].b), self.brace_party(name).moves
        plain, told = self.meets(opening)
        return Clash(
            "brace",
            f"braces.{name}.at",
            f"“{name}” {plain}: move one of them.",
            f"“{name}” {told}: move one of them.",
            amount,
            parties=(Party(f"braces.{name}", f"“{name}”", moves), self.party(opening)),
            pairs=pairs,
        )

    def hangs(self, opening):
        """From which height to which a driver in a shelf stands, the shelf included. [m]"""
        seat, solid = self.seats[opening.name], self.braces[opening.panel]
        depth = max(0.0, self.reach(opening) or 0.0)
        if seat.faces == "up":
            return min(solid.low[2], solid.high[2] - depth), solid.high[2]
        return solid.low[2], max(solid.high[2], solid.low[2] + depth)

    def meets(self, opening):
        """What a brace does to an opening, without its amount and with it."""
        called = self.called(opening)
        if opening.kind in ("seat", "radiator"):
            return f"runs into the basket of {called}", f"runs {{by}} into the basket of {called}"
        if opening.kind == "port":
            return f"runs into {called}", f"runs {{by}} into {called}"
        return f"stands behind the hole for {called}", f"stands {{by}} behind the hole for {called}"

    def taken(self, opening):
        """What an opening needs clear behind its panel, seen from the front; None where that is unknown."""
        hole = cut(opening)
        if opening.kind == "port":
            return self.tube(opening)
        if hole is None or opening.kind == "hole":
            return hole
        depth = self.frame(opening).depth
        thickness = self.carcass.panels[opening.panel].thickness
        shallow = depth is not None and self.recess(opening) + depth <= thickness
        return None if shallow else hole

    def tube(self, opening):
        """A port with its own walls, as far as they stand inside."""
        if opening.round:
            return cut(opening)
        low, high = inside(self.carcass)
        wall = self.ports[opening.of].wall
        half_x, half_y = opening.width / 2 + wall, opening.height / 2 + wall
        left, right = max(opening.x - half_x, low[0]), min(opening.x + half_x, high[0])
        below, above = max(opening.y - half_y, low[2]), min(opening.y + half_y, high[2])
        return rectangle(left, below, right, above)

    def recess(self, opening):
        """From a panel's face down to the seat of what sits in it. [m]"""
        if not self.mount(opening).flush:
            return 0.0
        frame = self.frame(opening)
        finish = self.finish if opening.panel == "front" else 0.0
        return max(0.0, (frame.flange_thickness or 0.0) + frame.gasket - finish)

    def reach(self, opening):
        """From a panel's face to the back of what sits in it; None where that is not known. [m]"""
        depth = self.frame(opening).depth
        return None if depth is None else self.recess(opening) + depth

    def too_deep(self):
        """Drivers and radiators that the panel across stops."""
        low, high = inside(self.carcass)
        for each in self.openings:
            if each.kind not in ("seat", "radiator") or (reach := self.reach(each)) is None:
                continue
            frame = self.frame(each)
            magnet = circle(each.x, each.y, frame.magnet or frame.cutout or 0.02)
            if each.panel in self.carcass.panels:
                across = "back" if each.panel == "front" else "front"
                depth, solid = self.carcass.outer[2], self.carcass.panels[across]
                by = reach - (depth - solid.thickness)
                deep = (
                    (depth - solid.thickness, reach) if across == "back" else (depth - reach, solid.high[1])
                )
            else:
                stands = self.hangs(each)
                across = "bottom" if self.seats[each.name].faces == "up" else "top"
                below, above = low[2] - stands[0], stands[1] - high[2]
                by = max(below, above)
                deep = (stands[0], low[2]) if below > above else (high[2], stands[1])
            if by > HAIR:
                what = "magnet" if each.kind == "seat" else "back"
                is_deeper, its = ("is", "its") if self.alone(each) else ("are", "their")
                end = f"deeper than the box: {its} {what} meets the {across}."
                yield Clash(
                    "deep",
                    f"{self.frame_field(each)}.depth",
                    f"{self.begun(each)} {is_deeper} {end}",
                    f"{self.begun(each)} {is_deeper} {{by}} {end}",
                    by,
                    parties=(Party(_field(each), self.called(each)), Party(across, f"the {across}")),
                    pairs=(Pair(magnet, magnet, deep, self.plane(each.panel)),),
                )

    def alone(self, opening):
        return opening.kind == "seat" or self.radiator.count == 1

    def frame_field(self, opening):
        if opening.kind == "radiator":
            return "radiator.frame"
        return f"drivers.{self.seats[opening.name].driver}.frame"

    def port_misfits(self):
        """Ports that are longer than the inside, or meet a magnet."""
        depth = self.carcass.outer[2]
        for of, port in self.ports.items():
            ports = [each for each in self.openings if each.kind == "port" and each.of == of]
            if not ports or port.bends:
                continue
            length = self.lengths.get(of, 0.0)
            within = length - self.carcass.panels[port.panel].thickness
            room = self.carcass.room_behind(ports)
            if within >= room:
                tuned_by = "fr" if of == "rear" else "fb"
                one = len(ports) == 1
                is_longer, needs = ("is", "it needs") if one else ("are", "they need")
                end = f"longer than the box is deep: {needs} an elbow."
                back = port.panel == "back"
                far = self.carcass.panels["front" if back else "back"].thickness
                deep = (depth - length, far) if back else (depth - far, length)
                yield Clash(
                    "long",
                    f"{of}.length" if port.length is not None or of == "other" else tuned_by,
                    f"{self.begun(ports[0])} {is_longer} {end}",
                    f"{self.begun(ports[0])} {is_longer} {{by}} {end}",
                    within - room,
                    parties=(Party(of, self.called(ports[0])), Party("front" if back else "back", "")),
                    pairs=tuple(Pair(self.tube(each), self.tube(each), deep) for each in ports),
                )
            elif port.panel == "back":
                yield from self.magnets_met(ports)

    def magnets_met(self, ports):
        of = ports[0].of
        end = self.carcass.outer[2] - self.lengths.get(of, 0.0)
        for seat in self.openings:
            if seat.kind != "seat" or seat.panel != "front":
                continue
            magnet, reach = self.frame(seat).magnet, self.reach(seat)
            if magnet is None or reach is None or reach <= end:
                continue
            lump = circle(seat.x, seat.y, magnet)
            words = "runs" if len(ports) == 1 else "run"
            for each in ports:
                if (gap := self.tube(each).gap(lump)) < -HAIR:
                    what = f"into the magnet of {self.called(seat)}."
                    yield Clash(
                        "magnet",
                        f"{of}.y",
                        f"{self.begun(each)} {words} {what}",
                        f"{self.begun(each)} {words} {{by}} {what}",
                        min(-gap, reach - end),
                        parties=(self.party(each), self.party(seat)),
                        pairs=(Pair(self.tube(each), lump, (end, reach)),),
                    )

    def met_by_radiators(self):
        """Passive radiators that meet a driver or a tube from the panel across."""
        for each in self.openings:
            if each.kind != "radiator" or (hole := cut(each)) is None or self.reach(each) is None:
                continue
            for other in self.openings:
                if other.kind != "seat" or other.panel in (each.panel, *self.braces):
                    continue
                frame, reach = self.frame(other), self.reach(other)
                wide = frame.magnet or frame.cutout
                if None in (reach, wide):
                    continue
                depth = self.carcass.outer[2]
                deep = reach + self.reach(each) - depth
                lump = circle(other.x, other.y, wide)
                if deep > HAIR and (gap := hole.gap(lump)) < -HAIR:
                    verb = "meets" if self.radiator.count == 1 else "meet"
                    words = f"{self.begun(each)} {verb} the magnet of {self.called(other)} inside"
                    yield Clash(
                        "across",
                        "radiator.y",
                        f"{words}.",
                        f"{words}, by {{by}}.",
                        min(-gap, deep),
                        parties=(self.party(each), self.party(other)),
                        pairs=(Pair(hole, lump, (depth - self.reach(each), reach)),),
                    )

    def tubes_met(self, seat):
        """The clashes of straight tubes with a driver that sits in a shelf."""
        hole = cut(seat)
        if hole is None:
            return
        low, high = self.hangs(seat)
        lump = Shape(seat.x, (low + high) / 2, hole.radius, (high - low) / 2)
        for each in self.openings:
            if each.kind != "port" or self.ports[each.of].bends:
                continue
            length, depth = self.lengths.get(each.of, 0.0), self.carcass.outer[2]
            start, end = (0.0, length) if each.panel == "front" else (depth - length, depth)
            deep = max(start, seat.y - hole.radius), min(end, seat.y + hole.radius)
            tube = self.tube(each)
            if deep[1] - deep[0] > HAIR and (gap := tube.gap(lump)) < -HAIR:
                words = "run" if self.called(each).endswith("s") else "runs"
                yield Clash(
                    "tube",
                    f"{each.of}.y",
                    f"{self.begun(each)} {words} into {self.called(seat)}.",
                    f"{self.begun(each)} {words} {{by}} into {self.called(seat)}.",
                    -gap,
                    parties=(self.party(each), Party(_field(seat), self.called(seat))),
                    pairs=(Pair(tube, lump, deep),),
                )

    def chamber_misfits(self):
        """Ports that open the wrong one of two chambers, or run into the driver between them."""
        for seat in self.openings:
            if seat.kind == "seat" and seat.panel in self.braces:
                yield from self.tubes_met(seat)
        wall = wall_of(self.seats, self.braces)
        if wall is None:
            return
        solid, rear_below = wall
        for each in self.openings:
            if each.kind != "port":
                continue
            middle = (solid.low[2] + solid.high[2]) / 2
            if (each.y < middle) != (rear_below == (each.of == "rear")):
                wrong = "front" if each.of == "rear" else "rear"
                sentence = (
                    f"{self.begun(each)} must not open the {wrong} chamber: move across “{solid.name}”."
                )
                yield Clash("chamber", f"{each.of}.y", sentence, sentence, parties=(self.party(each),))

    def called(self, opening):
        """What a sentence calls an opening; equal ones are told together."""
        if opening.kind == "port":
            many = sum(each.of == opening.of for each in self.openings if each.kind == "port") > 1
            return f"the {CALLED[opening.of]}{'s' * many}"
        if opening.kind == "radiator":
            return f"the passive radiator{'s' * (self.radiator.count > 1)}"
        return f"“{opening.name}”"

    def begun(self, opening):
        """The same at the head of a sentence."""
        called = self.called(opening)
        return called[:1].upper() + called[1:]


def _field(opening):
    """The document's place of an opening, below the cabinet or the box."""
    if opening.kind in ("port", "radiator"):
        return opening.of or "radiator"
    return f"{opening.kind}s.{opening.name}"


def _lets_through(brace, taken, deep):
    """Whether what stands behind an opening, `deep` in the box, lies within one gap of a plate."""
    x, z = taken.half_x + taken.radius, taken.half_y + taken.radius
    low, high = (taken.x - x, deep[0], taken.y - z), (taken.x + x, deep[1], taken.y + z)
    return any(
        all(a <= b + HAIR and c <= d + HAIR for a, b, c, d in zip(start, low, high, end, strict=True))
        for start, end in getattr(brace, "gaps", ())
    )


def _axis(side):
    return "x" if side in ("left", "right") else "y"
