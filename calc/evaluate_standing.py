"""Project and result -> how firm the cabinet stands: on its feet or plinth, and on its stand."""

from dataclasses import dataclass

from calc.cabinet.balance import (
    GRAVITY,
    STEADY,
    Base,
    Stand,
    Standing,
    on_stand,
    people_to_lift,
    rectangle,
    standing,
)
from calc.cabinet.layers import extent


@dataclass(frozen=True)
class Way:
    """One way in which it tips: what moves, `words`; how firm that `stands`; what pulls it over.

    `pull_top`, `pull_tweeter` : mass whose weight, pulling level at the cabinet's top and at its tweeter,
    begins to tip it the weakest way. [kg] `base`, `centre` : over what, and of what, in the cabinet's places.
    """

    words: str
    base: Base
    centre: tuple
    stands: Standing
    pull_top: float
    pull_tweeter: float


@dataclass(frozen=True)
class Stood:
    """How firm one speaker stands.

    lie : `Base` that the cabinet touches floor or stand with, in the cabinet's places.
    lift : height of the bare carcass's bottom above the floor; top, tweeter : their heights [m].
    seat : name of the seat that `tweeter` is the height of, or None.
    ways : the `Way`s, the weakest first. floor : `Base` on the floor, in the cabinet's places.
    both : mass [kg] and centre [m] of the cabinet with its stand, in its places; None without a stand.
    people : that lift the cabinet.
    """

    lie: Base
    lift: float
    top: float
    tweeter: float
    seat: str | None
    ways: tuple
    floor: Base
    both: tuple | None
    people: int

    @property
    def weakest(self):
        """The `Way` that gives way first."""
        return self.ways[0]


def stood(project, result):
    """How firm a speaker of `result` stands, as `Stood`.

    Notes
    -----
    A stand's own weight is taken to hang at half its height: most stands have it lower and are firmer. The
    cabinet's middle stands over the stand's middle. On a loose stand the cabinet tips alone or both together.
    """
    cabinet = result.cabinet
    low, high = extent(cabinet.carcass)
    height, middle = high[2], ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
    lie = cabinet.lie
    on = project.stand
    lift = (on.height if on else 0.0) - lie.floor
    seat, tweeter = _tweeter(project, cabinet)
    if on is None:
        alone = ("It tips", lie, cabinet.mass, cabinet.centre)
        ways, floor, both = (_way(*alone, height, tweeter),), lie, None
    else:
        foot = Stand(on.mass, on.height, on.height / 2, (on.width, on.depth))
        pair = on_stand(cabinet.mass, cabinet.centre, lie, middle, foot)
        x, y, z = pair.centre
        both = pair.mass, (x + middle[0], y + middle[1], z - lift)
        floor = rectangle(
            middle[0] - on.width / 2, middle[0] + on.width / 2, middle[1] - on.depth / 2,
            middle[1] + on.depth / 2, -lift,
        )  # fmt: skip
        ways = (_way("Both tip together", floor, *both, height, tweeter),)
        if not on.fixed:
            alone = ("The cabinet tips on its stand", lie, cabinet.mass, cabinet.centre)
            ways += (_way(*alone, height, tweeter),)
    ways = tuple(sorted(ways, key=lambda way: way.stands.angle))
    return Stood(
        lie, lift, lift + height, lift + tweeter, seat, ways, floor, both, people_to_lift(cabinet.mass)
    )


def _way(words, base, mass, centre, height, tweeter):
    """A `Way` that a body over `base` tips, pulled at the places `height` and `tweeter` of the cabinet."""
    stands = standing(mass, centre, base, STEADY, height)
    at_tweeter = standing(mass, centre, base, STEADY, tweeter)
    pulls = stands.least_push / GRAVITY, at_tweeter.least_push / GRAVITY
    return Way(words, base, centre, stands, *pulls)


def _tweeter(project, cabinet):
    """Name of the seat of a tweeter, or else of the highest driver in the front, and its height. [m]"""
    front = cabinet.carcass.facing("front")
    places = {
        each.name: front.at(each.x, each.y)[2]
        for each in cabinet.openings
        if each.kind == "seat" and each.panel == "front"
    }
    sung = [name for name in places if _kind(project, name) == "tweeter"] or list(places)
    if not sung:
        return None, cabinet.carcass.outer[1] / 2
    seat = max(sung, key=places.get)
    return seat, places[seat]


def _kind(project, seat):
    return project.drivers[project.cabinet.seats[seat].driver].kind
