"""The order of all cuts in which fence and stop are set the fewest times."""

from collections import defaultdict
from dataclasses import dataclass

SAME_FENCE = 5e-5
"""Distances that differ by less are cut at one setting. [m]"""

SEARCH = 20_000
"""As many half-done states are looked into where some setting must come twice; then a good order stands."""


@dataclass(frozen=True)
class Setting:
    """What stands still while cuts follow each other: see `calc.shop.saw_cuts.SawCut` for the names."""

    guide: str
    tool: tuple
    distance: float


@dataclass(frozen=True)
class Step:
    """One `setting` and the `cuts` that are made at it, the longest along the fence first where it may."""

    setting: Setting
    cuts: tuple

    @property
    def passes(self):
        """How often a piece goes over the saw at this setting."""
        return sum(cut.count * cut.each for cut in self.cuts)


@dataclass(frozen=True)
class FencePlan:
    """The `steps` in order.

    `one_by_one` is how many settings it takes to finish one piece after another. `proved`: no order that
    keeps the rules needs fewer.
    """

    steps: tuple
    one_by_one: int
    proved: bool


def fence_plan(cuts):
    """The `FencePlan` of some cuts.

    Parameters
    ----------
    cuts : sequence of calc.shop.saw_cuts.SawCut

    Notes
    -----
    Distances that differ by less than `SAME_FENCE` are cut at one setting. The rules are those of `before`.
    """
    cuts = sorted(cuts, key=lambda cut: -cut.along)
    settings = settings_of(cuts)
    order, proved = fewest_settings(settings, before(cuts), _rank)
    steps = tuple(Step(settings[block[0]], tuple(cuts[n] for n in block)) for block in order)
    return FencePlan(steps, _one_by_one(cuts, settings), proved)


def settings_of(cuts):
    """The `Setting` of each cut; distances that agree within `SAME_FENCE` of the widest are the widest's."""
    alike = defaultdict(list)
    for n, cut in enumerate(cuts):
        alike[_station(cut.guide), cut.tool].append((cut.distance, n))
    settings = [None] * len(cuts)
    for (guide, tool), places in alike.items():
        widest = None
        for distance, n in sorted(places, reverse=True):
            if widest is None or widest - distance > SAME_FENCE:
                widest = distance
            settings[n] = Setting(guide, tool, widest)
    return settings


def before(cuts):
    """For each cut the numbers of those that must be made before it.

    Notes
    -----
    A piece is sized, and fitted where it was left long, before it is grooved, and grooved before it is
    bevelled: a square edge runs along the fence, and a wrong size costs no joint. It is ripped first or
    crosscut first, as it lies on its sheet, and crosscut only from a strip that is there. Of one sheet the
    wider rips come first, while it is stiff enough and wide enough to be held (common practice, no source).
    """
    return [
        {
            m
            for m, other in enumerate(cuts)
            if set(other.parts) & set(cut.parts)
            and other.row == cut.row
            and _stage(other) < _stage(cut)
            or other.kind == "rip"
            and other.row in cut.after
            and other.sheet == cut.sheet
            or other.kind == cut.kind == "rip"
            and other.sheet == cut.sheet
            and other.distance - cut.distance > SAME_FENCE
        }
        for cut in cuts
    ]


STAGES = {"rip": 0, "crosscut": 0, "fit": 1, "taper": 2, "groove": 3, "rabbet": 3, "slot": 4, "bevel": 5}


def _stage(cut):
    """Where a cut stands among those of its piece."""
    return STAGES[cut.kind], cut.turn


def fewest_settings(settings, before, rank=lambda setting, now: 0):
    """An order of cuts with the fewest settings.

    Parameters
    ----------
    settings : sequence
        What each cut is made at; equal ones need no move between them.
    before : sequence of set of int
        The cuts that must be made before each.
    rank : callable
        Of a setting and the one before it (None at first): which of equally good ones comes first.

    Returns
    -------
    blocks : list of list of int
        The cuts at one setting after another.
    proved : bool
        Whether no order has fewer.

    Notes
    -----
    A setting at which all that it has left can be made is made at once: in any order that follows, its
    first block may be moved to the front with all that it has left, which adds no setting. Where there is
    none, some setting must come twice, and each is tried, with all that can be made at it: to make more at a
    setting never hinders what follows.
    """
    search = _Search(settings, before)
    done, blocks, now = 0, [], None
    while done != search.all:
        chosen = min(search.best(done), key=lambda setting: rank(setting, now))
        block = search.made_at(done, chosen)
        blocks.append(block)
        done, now = done | _bits(block), chosen
    return blocks, search.proved


class _Search:
    """Sets of cuts as bits of a whole number."""

    def __init__(self, settings, before):
        self.before = [_bits(earlier) for earlier in before]
        self.at = defaultdict(list)
        for n, setting in enumerate(settings):
            self.at[setting].append(n)
        self.all = (1 << len(settings)) - 1
        self.proved, self.known = True, {self.all: 0}

    def made_at(self, done, setting):
        """The cuts that can be made at a setting, in order, one thing letting another follow."""
        made, left = [], [n for n in self.at[setting] if not done >> n & 1]
        while (n := next((n for n in left if not self.before[n] & ~done), None)) is not None:
            made.append(n)
            left.remove(n)
            done |= 1 << n
        return made

    def left(self, done):
        """{setting: what can be made at it now, as bits} where that is something."""
        return {setting: _bits(made) for setting in self.at if (made := self.made_at(done, setting))}

    def finished(self, done, setting, made):
        return all((done | made) >> n & 1 for n in self.at[setting])

    def best(self, done):
        """The settings that may come next in an order with the fewest."""
        left = self.left(done)
        whole = [setting for setting, made in left.items() if self.finished(done, setting, made)]
        if whole:
            return whole
        costs = {setting: self.fewest(done | made) for setting, made in left.items()}
        least = min(costs.values())
        return [setting for setting, cost in costs.items() if cost == least]

    def fewest(self, done):
        """How many settings what is left takes."""
        start, spent = done, 0
        left = self.left(done)
        while left:
            whole = next((s for s, made in left.items() if self.finished(done, s, made)), None)
            if whole is None:
                break
            done, spent = done | left[whole], spent + 1
            left = self.left(done)
        if done not in self.known:
            if len(self.known) > SEARCH:
                self.proved = False
                most = max(left, key=lambda setting: bin(left[setting]).count("1"))
                return spent + 1 + self.fewest(done | left[most])
            self.known[done] = 1 + min(self.fewest(done | made) for made in left.values())
        self.known[start] = spent + self.known[done]
        return self.known[start]


def _bits(numbers):
    return sum(1 << n for n in numbers)


STATIONS = {"fence": "fence", "gauge": "fence"}
"""A mitre gauge that runs along the fence leaves it where it stands."""


def _station(guide):
    return STATIONS.get(guide, guide)


_ORDER = (
    "panel blade",
    "rail blade",
    "fence blade",
    "sled blade",
    "track blade",
    "fence stack",
    "sled stack",
    "router bit",
)


def _rank(setting, now):
    """Stay at the tool that is in the saw, then in the order of the job, the widest first."""
    kind = f"{setting.guide} {setting.tool.name}" if not setting.tool.angle else "tilted"
    place = _ORDER.index(kind) if kind in _ORDER else len(_ORDER)
    stays = now is not None and (setting.guide, setting.tool) == (now.guide, now.tool)
    return not stays, place, setting.guide, setting.tool, -setting.distance


def _one_by_one(cuts, settings):
    """How many settings it takes to finish each piece before the next is begun."""
    moves, now = 0, None
    pieces = defaultdict(list)
    for n, cut in enumerate(cuts):
        for part in cut.parts:
            pieces[cut.row, part].append(n)
    for mine in pieces.values():
        order = sorted(mine, key=lambda n: (_stage(cuts[n]), cuts[n].tool, cuts[n].distance))
        for _ in range(cuts[mine[0]].count // len(cuts[mine[0]].parts)):
            for n in order:
                moves += settings[n] != now
                now = settings[n]
    return moves
