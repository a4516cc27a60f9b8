"""What clears each clash of a project: single changes of the document, each tried before it is offered."""

from dataclasses import dataclass, is_dataclass, replace
from math import ceil, sqrt

from calc.cabinet.bodies import way_behind
from calc.cabinet.brace_places import NORMAL, brace_axis
from calc.cabinet.clash import Remedy
from calc.cabinet.flat_shapes import cut
from calc.errors import InputError
from calc.evaluate_cabinet import SIDES, cabinet, clashes, opened_again
from calc.evaluate_port import tubes
from calc.remedies_inside import INSIDE

FURTHER = (0.0, 0.01, 0.03)
"""Where the nearest clear place brings a new clash, one so much further is tried. [m]"""

STEPS = {"metric": 0.001, "imperial": 0.0254 / 16}
"""What a thing is moved in: whole millimetres, sixteenths of an inch. [m]"""

MOST_GROWTH = 0.5
"""A side is made longer by no more than this share of it: beyond, it is another box."""

TOWARDS = (("to the left", "to the right"), ("towards the front", "towards the back"), ("down", "up"))
"""What a move along each axis of the cabinet is called, one way and the other."""

HIGHER = tuple(1.1**n for n in range(1, 12))
"""How many times higher a tuning is looked for, at first."""


@dataclass(frozen=True)
class Mending:
    """A clash, the remedies that hold, and sentences on what was tried in `vain`."""

    clash: object
    remedies: tuple
    vain: tuple


def mendings(project, result):
    """The `Mending` of each clash of a `Result`, in its order.

    Notes
    -----
    A remedy is one change, tried on the whole cabinet: it clears its clash, brings no new one and makes none
    worse. Of each kind, the smallest that does; distances are rounded up to whole `STEPS`.
    """
    bench = _Bench(project, result)
    return tuple(bench.mending(clash) for clash in result.clashes)


def edited(record, edits):
    """A record with other values at dotted paths; a name that is missing in a dict is put in."""
    for path, value in edits.items():
        record = _with(record, path.split("."), value)
    return record


def _with(record, path, value):
    first, *rest = path
    if is_dataclass(record):
        return replace(record, **{first: _with(getattr(record, first), rest, value) if rest else value})
    return {**record, first: _with(record[first], rest, value) if rest else value}


class _Bench:
    """A project with its cabinet, where changes are tried."""

    further = FURTHER

    def __init__(self, project, result):
        self.project, self.result, self.made = project, result, result.cabinet
        self.step = STEPS[project.show]
        self.box = project.alternatives[project.chosen].box
        self.before = {each.key: each for each in result.clashes}

    def mending(self, clash):
        found, more, vain = [], [], []
        for party in clash.parties:
            if party.moves:
                ways = self.one_each_way(clash, party)
                found += ways[:1]
                more += ways[1:]
                if not ways:
                    vain.append(f"Moving {party.called} alone does not clear it.")
        for kind in (self.face, self.grow, self.bend, self.tune, self.narrow, *INSIDE):
            tried = kind(clash) if kind not in INSIDE else kind(self, clash)
            found += next(([each] for each in tried if self.clears(clash, each.edits)), [])
        found += more[: max(0, 2 - len(found))]
        return Mending(clash, tuple(found), tuple(vain))

    def one_each_way(self, clash, party):
        """The moves of a party that clear a clash: the shortest of each direction, the shortest first."""
        found = {}
        for each in self.move(clash, party):
            if each.name not in found and self.clears(clash, each.edits):
                found[each.name] = each
        return list(found.values())

    # Trying

    def edited(self, edits):
        """The project after `edits`."""
        return edited(self.project, edits)

    def clears(self, clash, edits):
        """Whether a clash is gone after `edits`, none is new, and none is worse."""
        after = self.after(edits)
        if after is None or clash.key in after or set(after) - set(self.before):
            return False
        return not any(worse(self.before[key], each) for key, each in after.items())

    def after(self, edits):
        """The clashes after `edits`, by their keys; None where they are refused."""
        try:
            project = self.edited(edits)
            box = project.alternatives[project.chosen].box
            if self.only_places(edits):
                made = opened_again(project, box, self.made)
            else:
                made = cabinet(project, project.alternatives[project.chosen], self.result.air)
            return {each.key: each for each in clashes(project, box, made)}
        except InputError:
            return None

    def only_places(self, edits):
        """Whether `edits` move openings in a cabinet that stays as it is."""
        finds_its_place = any(brace.at is None for brace in self.project.cabinet.braces.values())
        return not finds_its_place and all(
            path.endswith((".x", ".y")) and not path.startswith("cabinet.size") for path in edits
        )

    # The kinds of remedy

    def move(self, clash, party):
        """Move one party, the shortest way first."""
        ways = []
        for field, axis in party.moves:
            shifts = self.across_the_wall(clash, party, field) or clash.shifts(party, axis)
            for by in shifts:
                for further in FURTHER:
                    steps = max(1, ceil((abs(by) + further) / self.step - 1e-6))
                    ways.append((steps * self.step * (1 if by > 0 else -1), field))
        for by, field in sorted(ways, key=lambda way: abs(way[0])):
            towards = self.towards(party.of, field, by)
            yield Remedy(
                f"move {party.of} {towards}",
                f"Move {party.called} {towards} by {{by}}{self.seen(party.of, field)}",
                {"by": ("length", abs(by))},
                {f"{self.path(party.of)}.{field}": round(self.place(party.of, field) + by, 7)},
            )
        if len(clash.over) == 2:
            yield from self.out_of_a_corner(clash, party)

    def out_of_a_corner(self, clash, party):
        """Move what reaches over two edges that meet away from both."""
        edits, said, values = {}, [], {}
        for side, over in clash.over.items():
            field = "x" if side in ("left", "right") else "y"
            by = ceil(over / self.step - 1e-6) * self.step * (1 if side in ("left", "bottom") else -1)
            edits[f"{self.path(party.of)}.{field}"] = round(self.place(party.of, field) + by, 7)
            said.append(f"{self.towards(party.of, field, by)} by {{{field}}}")
            values[field] = ("length", abs(by))
        if len(edits) == 2:
            way = " and ".join(said) + self.seen(party.of, "x")
            yield Remedy(f"move {party.of} both", f"Move {party.called} {way}", values, edits)

    def across_the_wall(self, clash, party, field):
        """How far a port must go to open the other one of two chambers. [m]"""
        if clash.kind not in ("chamber", "parted"):
            return ()
        if clash.kind == "parted":
            wall = self.made.braces[clash.parties[0].of.partition(".")[2]]
        else:
            seats = self.project.cabinet.seats.values()
            wall = next(self.made.braces[seat.wall] for seat in seats if seat.wall)
        axis = NORMAL[wall.kind]
        if self.axis(party.of, field) != axis:
            return ()
        air, now = self.made.carcass.air, self.place(party.of, field)
        low, high = (
            (air.low[axis], wall.low[axis]) if now > wall.high[axis] else (wall.high[axis], air.high[axis])
        )
        return tuple(low + share * (high - low) - now for share in (0.5, 0.3, 0.7))

    def towards(self, of, field, by):
        """The direction of a move in words."""
        return TOWARDS[self.axis(of, field)][by > 0]

    def axis(self, of, field):
        """The axis of the cabinet along which a number of a party moves it."""
        kind, _, name = of.partition(".")
        if kind == "braces":
            return brace_axis(self.made.braces[name], field)
        panel = self.project.cabinet.boards[name].panel if kind == "boards" else self.openings(of)[0].panel
        if panel in ("left", "right"):
            return 1 if field == "x" else 2
        if field == "x":
            return 0
        return 2 if panel in ("front", "back") else 1

    def seen(self, of, field):
        """On the back, left and right are told as the drawings show them."""
        kind, _, name = of.partition(".")
        if kind in ("braces", "boards"):
            return ""
        on_back = self.openings(of)[0].panel == "back"
        return ", seen from the front" if field == "x" and on_back else ""

    def face(self, clash):
        """Set a flange on the face instead of in a recess."""
        if clash.kind not in ("edge", "deep", "magnet", "across", "close"):
            return
        for party in clash.parties:
            kind, _, name = party.of.partition(".")
            mount = self.project.cabinet.seats.get(name) if kind == "seats" else None
            if party.of == "radiator":
                mount = self.box.radiator
            if mount is not None and mount.flush:
                path = self.path(party.of)
                yield Remedy(
                    f"face {party.of}",
                    f"Set the flange of {party.called} on the face, without a recess",
                    {},
                    {f"{path}.flush": False},
                )

    def grow(self, clash):
        """Make the box larger one way."""
        for axis, by in self.growths(clash):
            by = ceil(by / self.step - 1e-6) * self.step
            made, held = self.project.cabinet, self.project.cabinet.hold
            if by > MOST_GROWTH * self.made.carcass.inner[axis]:
                return
            sizes = [made.size.width, made.size.height, made.size.depth]
            shrink = ""
            if held == "volume" and made.moves == SIDES[axis]:
                return
            if held == "volume" and made.moves == "all":
                sizes = list(self.made.carcass.inner)
                less = sqrt(sizes[axis] / (sizes[axis] + by))
                sizes = [side if n == axis else side * less for n, side in enumerate(sizes)]
                shrink = "; its other sides shrink, since the air is held"
            sizes[axis] += by
            edits = {f"cabinet.size.{SIDES[n]}": round(sizes[n], 6) for n in range(3)}
            if not shrink:
                edits = {f"cabinet.size.{SIDES[axis]}": edits[f"cabinet.size.{SIDES[axis]}"]}
            called = ("wider", "higher", "deeper")[axis]
            yield Remedy(
                "grow", f"Make the box {{by}} {called}{shrink}", {"by": ("length", by)}, edits
            )  # fmt: skip

    def growths(self, clash):
        """(axis, how much) of what may do: in the middle of a panel, half of it goes to either side. [m]"""
        if clash.kind in ("edge", "wall"):
            for side, by in clash.over.items():
                axis = 0 if side in ("left", "right") else 1
                yield from ((axis, by), (axis, 2 * by))
        elif clash.kind == "close" and len({party.of for party in clash.parties}) == 1:
            lacking = clash.amount + clash.need if "overlap" in clash.words else clash.need - clash.amount
            count = len(self.openings(clash.parties[0].of))
            yield from ((0, lacking * count), (0, 2 * lacking * count))
        elif clash.kind in ("deep", "magnet", "across") and clash.pairs[0].face.inward[1]:
            yield from (
                (2, (deep[1] - deep[0]) / abs(face.inward[1]) + self.step)
                for *_, deep, face in clash.pairs[:1]
            )
        elif clash.kind == "long":
            yield (2, clash.amount + self.narrow_way(clash.parties[0].of))

    def bend(self, clash):
        """Give a port an elbow."""
        if clash.kind == "long":
            of = clash.parties[0].of
            yield Remedy(
                "bend", "Give it an elbow, the length counted along its middle", {},
                {f"{self.path(of)}.bends": 1},
            )  # fmt: skip

    def tune(self, clash):
        """Tune a port that is too long higher, or cut it shorter, until its inner end breathes."""
        if clash.kind != "long":
            return
        of = clash.parties[0].of
        port, path = tubes(self.box)[of], self.path(of)
        if port.length is not None:
            by = ceil((clash.amount + self.narrow_way(of)) / self.step) * self.step
            yield Remedy("cut", "Cut it {by} shorter, which tunes higher", {"by": ("length", by)},
                         {f"{path}.length": round(port.length - by, 7)})  # fmt: skip
            return
        name = "fr" if of == "rear" else "fb"
        tuned = getattr(self.box, name)
        where = f"alternatives.{self.project.chosen}.box.{name}"
        if tuned is None:
            return

        def does(f):
            return self.breathes(of, {where: f})

        first = next((times * tuned for times in HIGHER if does(times * tuned)), None)
        higher = None if first is None else self.least(first / HIGHER[0], first, does)
        if higher is not None:
            f = ceil(2 * higher - 1e-6) / 2
            yield Remedy("tune", "Tune it higher, to {f}", {"f": ("frequency", f)}, {where: f})

    def narrow(self, clash):
        """Take narrower tubes, until the inner end breathes."""
        if clash.kind != "long":
            return
        of = clash.parties[0].of
        port, where = tubes(self.box)[of], f"{self.path(of)}.shape.diameter"
        if port.shape.kind != "round" or port.length is not None:
            return
        D = port.shape.diameter
        less = self.least(0.0, 0.8 * D, lambda by: self.breathes(of, {where: D - by}))
        if less is not None:
            by = ceil(less / self.step - 1e-6) * self.step
            yield Remedy(
                "narrow", "Take a tube that is {by} narrower, {to} inside; its air blows faster",
                {"by": ("length", by), "to": ("length", D - by)}, {where: round(D - by, 7)},
            )  # fmt: skip

    @staticmethod
    def least(low, high, does):
        """The least value from `low` to `high` that does, to a thousandth of the way; None if none does."""
        if not does(high):
            return None
        for _ in range(10):
            middle = (low + high) / 2
            low, high = (low, middle) if does(middle) else (middle, high)
        return high

    def breathes(self, of, edits):
        """Whether a port leaves its narrow way free before its inner end after `edits`."""
        try:
            project = edited(self.project, edits)
            chosen = project.alternatives[project.chosen]
            made = cabinet(project, chosen, self.result.air)
        except InputError:
            return False
        port = tubes(chosen.box)[of]
        within = made.port_lengths[of] - made.carcass.panels[port.panel].thickness
        ends = [each for each in made.openings if each.kind == "port" and each.of == of]
        ways = (way_behind(made.carcass, port.panel, cut(each))[1] for each in ends)
        return within + _narrow(port) <= min(ways)

    def narrow_way(self, of):
        return _narrow(tubes(self.box)[of])

    # Where things are

    def path(self, of):
        """The dotted path of a party in the document."""
        if of in ("port", "other", "rear", "radiator"):
            return f"alternatives.{self.project.chosen}.box.{of}"
        return f"cabinet.{of}"

    def openings(self, of):
        """The openings of a party."""
        kind, _, name = of.partition(".")
        if kind in ("seats", "holes"):
            return [each for each in self.made.openings if (each.kind + "s", each.name) == (kind, name)]
        if of == "radiator":
            return [each for each in self.made.openings if each.kind == "radiator"]
        return [each for each in self.made.openings if each.kind == "port" and each.of == of]

    def place(self, of, field):
        """Where a party is now, as the document would say it. [m]"""
        kind, _, name = of.partition(".")
        if kind == "boards":
            return getattr(self.project.cabinet.boards[name], field)
        if kind == "braces":
            decided, solid = getattr(self.project.cabinet.braces[name], field), self.made.braces[name]
            if decided is not None:
                return decided
            axis = brace_axis(solid, field)  # a wall that found its place: a shelf or a rib
            wall = ("left", "front", "bottom")[axis]
            return (solid.low[axis] + solid.high[axis]) / 2 - self.made.carcass.panels[wall].thickness
        places = [getattr(each, field) for each in self.openings(of)]
        return (min(places) + max(places)) / 2


def _narrow(port):
    """The narrow way of a port. [m]"""
    shape = port.shape
    return shape.diameter if shape.kind == "round" else min(shape.width, shape.height)


def worse(before, after):
    """Whether a clash that stays is worse than it was."""
    if None in (before.amount, after.amount):
        return False
    if ("only {by}" in before.words) != ("only {by}" in after.words):
        return "only {by}" in before.words
    grown = after.amount - before.amount
    return (-grown if "only {by}" in before.words else grown) > 1e-6
