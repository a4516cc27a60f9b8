"""What the cabinet weighs, where it would balance, how far it can be tipped, and who lifts it.

Places are (x, y, z) as of `calc.cabinet.panels`: x to the right, y to the back, z up.
"""

from dataclasses import dataclass
from math import atan2, ceil, cos, degrees, hypot, inf, pi, radians, sin, tan

from calc.errors import InputError, require_not_negative, require_positive, require_within

GRAVITY = 9.80665  # m/s², standard

STEADY = 10.0
"""Tilt that a thing must stand, every way. [deg] IEC 62368-1 ed. 3, clause 8.6, as quoted (seen)."""

PUSH_SHARE, PUSH_MOST, PUSH_HIGHEST = 0.13, 250.0, 1.5
"""The same clause's push: a share of the weight, at most so much [N], at most so high [m]."""

PER_PERSON = 15.0
"""What one person lifts from the floor to a stand, of a thing as unhandy as a cabinet. [kg] Common practice,
no source; `lifting_limit` reckons a case of its own."""


def mass_and_centre(parts):
    """Total mass and centre of gravity.

    Parameters
    ----------
    parts : iterable of (float, (float, float, float))
        Mass [kg] of each part and the place (x, y, z) of its own centre [m].

    Returns
    -------
    mass : float
        Sum of the masses. [kg]
    centre : tuple of float, shape (3,)
        Mean place, weighted by mass. [m]

    Raises
    ------
    InputError
        If a mass is below zero, or all are zero.
    """
    parts = list(parts)
    for mass, _ in parts:
        require_not_negative(mass=mass)
    total = sum(mass for mass, _ in parts)
    if not total > 0:
        raise InputError("mass", "something must weigh something")
    return total, tuple(sum(mass * place[axis] for mass, place in parts) / total for axis in range(3))


def tip_angle(x, z):
    """How far a thing can be tilted before it falls.

    Parameters
    ----------
    x : float
        Level distance from the centre of gravity to the edge that it tips over; below zero where the centre
        stands out over the edge. [m]
    z : float
        Height of the centre of gravity above that edge. [m]

    Returns
    -------
    angle : float
        From level to the point of balance; below zero where it falls by itself. [deg]

    Notes
    -----
    Moments about the edge: balance at tan(angle) = x / z. Rigid feet on a hard floor; soft feet or a deep
    carpet take a degree or two.
    """
    require_positive(z=z)
    require_within(-inf, inf, "must be a number", x=x)
    return degrees(atan2(x, z))


@dataclass(frozen=True)
class Base:
    """What a thing stands on, seen from above: the hull of `points` (x, y) at height `floor`. [m]"""

    points: tuple
    floor: float = 0.0

    def __post_init__(self):
        require_within(-1e3, 1e3, "must be the height of a floor", floor=self.floor)
        for x, y in self.points:
            require_within(-1e3, 1e3, "must be the place of a foot", x=x, y=y)
        object.__setattr__(self, "points", _hull(self.points))
        if len(self.points) < 3:
            raise InputError("points", "must be three or more that lie in no line")

    @property
    def edges(self):
        """((outward normal x, y), distance of the edge from the origin along it [m]) of each edge."""
        found = []
        for (x1, y1), (x2, y2) in zip(self.points, (*self.points[1:], self.points[0]), strict=True):
            long = hypot(x2 - x1, y2 - y1)
            n = (y2 - y1) / long, (x1 - x2) / long
            found.append((n, n[0] * x1 + n[1] * y1))
        return found

    def reach(self, x, y, way):
        """How far it goes from (x, y) along the unit vector `way`; below zero beyond the edge. [m]"""
        return min(
            (c - n[0] * x - n[1] * y) / along
            for n, c in self.edges
            if (along := n[0] * way[0] + n[1] * way[1]) > 1e-9
        )

    def nearest(self, x, y):
        """(distance [m], outward normal) of the edge that is nearest to (x, y)."""
        return min((c - n[0] * x - n[1] * y, n) for n, c in self.edges)


def rectangle(left, right, front, back, floor=0.0):
    """The `Base` of four corners: left to right, front to back. [m]"""
    if not left < right:
        raise InputError("right", "must lie beyond the left feet")
    if not front < back:
        raise InputError("back", "must lie beyond the front feet")
    return Base(((left, front), (right, front), (right, back), (left, back)), floor)


FOOT_CORNERS = 72
"""Corners of the ring that stands for a round foot; four of them are its outermost points."""


def feet_base(left, right, front, back, count, inset, diameter, floor=0.0):
    """The `Base` of round feet under a bottom.

    Parameters
    ----------
    left, right, front, back : float
        Edges of what they are fixed under. [m]
    count : 3 or 4
        Four stand in the corners; three are two in the front corners and one behind, in the middle.
    inset : float
        From an edge to the middle of a foot. [m]
    diameter : float
        Of the face of a foot that touches the floor. [m]
    floor : float
        Its height. [m]

    Raises
    ------
    InputError
        At ``inset``, where the feet would pass each other.

    Notes
    -----
    A thing tips over the outermost points of its feet, not over their middles.
    """
    require_positive(diameter=diameter)
    middles = feet_middles(left, right, front, back, count, inset)
    steps = [2 * pi * n / FOOT_CORNERS for n in range(FOOT_CORNERS)]
    return Base(
        tuple((a + diameter / 2 * cos(t), b + diameter / 2 * sin(t)) for a, b in middles for t in steps),
        floor,
    )


def feet_middles(left, right, front, back, count, inset):
    """Middles (x, y) of the feet that `feet_base` stands on; its errors are raised here. [m]"""
    require_not_negative(inset=inset)
    if 2 * inset >= min(right - left, back - front):
        raise InputError("inset", "must be less than half the bottom, or the feet pass each other")
    x, y = (left + inset, right - inset), (front + inset, back - inset)
    rear = x if count == 4 else (sum(x) / 2,)
    return [(x[0], y[0]), (x[1], y[0]), *((each, y[1]) for each in rear)]


def _hull(points):
    """Corners of the convex hull, counter-clockwise seen from above (Andrew's monotone chain)."""
    ordered = sorted(set(points))
    halves = []
    for run in (ordered, ordered[::-1]):
        half = []
        for point in run:
            while len(half) > 1 and _turn(half[-2], half[-1], point) <= 1e-12:
                half.pop()
            half.append(point)
        halves += half[:-1]
    return tuple(halves)


def _turn(a, b, c):
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


WAYS = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "front": (0.0, -1.0), "back": (0.0, 1.0)}
"""The four ways in which a thing can be tipped, as unit vectors (x, y)."""


def way_of(normal):
    """The `WAYS` that a level direction comes nearest to, in words: "front", or "front left"."""
    x, y = normal
    along = "front" if y < 0 else "back"
    across = "left" if x < 0 else "right"
    if abs(x) < tan(radians(22.5)) * abs(y):
        return along
    return across if abs(y) < tan(radians(22.5)) * abs(x) else f"{along} {across}"


@dataclass(frozen=True)
class Standing:
    """How firm a thing stands.

    angles : {"left" | "right" | "front" | "back": how far it can be tilted that way [deg]}.
    weakest : the way it tips first (or "front left"); angle : how far it can be tilted so [deg].
    margin : what that is above the tilt asked for [deg]; stable : whether it is more than that.
    push : {way: level force [N] that tips it, at the height that was asked}, or empty.
    least_push : that of the weakest way [N], or None.
    """

    angles: dict
    weakest: str
    angle: float
    margin: float
    stable: bool
    push: dict
    least_push: float | None = None


def standing(mass, centre, base, tilt=STEADY, push_height=None):
    """How firm a thing stands.

    Parameters
    ----------
    mass, centre
        Of `mass_and_centre`. [kg], [m]
    base : Base
    tilt : float
        That it must stand every way. [deg]
    push_height : float, optional
        Height above the origin at which somebody pushes; the moment counts from `base.floor`. [m]

    Returns
    -------
    Standing

    Raises
    ------
    InputError
        If the centre is not above the base's floor, or a value is none.
    """
    require_positive(mass=mass)
    require_within(0, 89.9, "must be a tilt of less than a right angle", tilt=tilt)
    x, y, z = centre
    if not z > base.floor:
        raise InputError("floor", "must lie below the centre of gravity")
    reach = {way: base.reach(x, y, direction) for way, direction in WAYS.items()}
    angles = {way: tip_angle(distance, z - base.floor) for way, distance in reach.items()}
    least, normal = base.nearest(x, y)
    angle, push, least_push = tip_angle(least, z - base.floor), {}, None
    if push_height is not None:
        height = push_height - base.floor
        require_positive(push_height=height)
        push = {way: tipping_force(mass, distance, height) for way, distance in reach.items()}
        least_push = tipping_force(mass, least, height)
    return Standing(angles, way_of(normal), angle, angle - tilt, angle > tilt, push, least_push)


def tipping_force(mass, x, height):
    """Level force at `height` [m] that begins to tip a thing over an edge `x` [m] from its centre. [N]

    Moments about the edge: force height = mass g x. Zero where the thing falls by itself. It slides before
    it tips where the force is more than the friction, mass g mu.
    """
    require_positive(mass=mass, height=height)
    require_within(-inf, inf, "must be a number", x=x)
    return max(0.0, mass * GRAVITY * x / height)


@dataclass(frozen=True)
class Push:
    """The push test: its `force` [N], its moment and that of the weight [N m], and whether it holds."""

    force: float
    overturning: float
    restoring: float
    holds: bool


def push_test(mass, x, height):
    """The standard's push, 13 percent of the weight and at most 250 N, up to 1.5 m high.

    Parameters as of `tipping_force`. The clause is meant for things with controls or a display; for a
    loudspeaker it is a measure, not a duty.
    """
    require_positive(mass=mass, height=height)
    require_within(-inf, inf, "must be a number", x=x)
    require_within(0, PUSH_HIGHEST, "must be at most the height at which the standard pushes", height=height)
    force = min(PUSH_SHARE * mass * GRAVITY, PUSH_MOST)
    overturning, restoring = force * height, mass * GRAVITY * x
    return Push(force, overturning, restoring, restoring > overturning)


@dataclass(frozen=True)
class Stand:
    """A stand: `mass` [kg], `height` of its top and of its own `centre` [m], `base` (width, depth) [m]."""

    mass: float
    height: float
    centre: float
    base: tuple

    def __post_init__(self):
        require_not_negative(mass=self.mass)
        require_positive(height=self.height)
        require_within(0, self.height, "must lie between floor and top", centre=self.centre)
        for side, length in zip(("width", "depth"), self.base, strict=True):
            require_positive(**{f"base.{side}": length})


@dataclass(frozen=True)
class OnStand:
    """A cabinet on a stand: both together on the floor, and the cabinet alone on the stand's top.

    `mass` [kg] and `centre` [m] are of both, x and y counted from the stand's middle, z from the floor.
    """

    mass: float
    centre: tuple
    together: Standing
    cabinet: Standing


def on_stand(mass, centre, lie, middle, stand, tilt=STEADY, push_height=None):
    """How firm a cabinet stands on a stand.

    Parameters
    ----------
    mass, centre
        Of the cabinet alone, see `standing`.
    lie : Base
        What the cabinet touches the stand's top with, in the cabinet's places.
    middle : (float, float)
        The place x, y of the cabinet that stands over the stand's middle. [m]
    stand : Stand
    tilt, push_height
        See `standing`; the height counts from the floor.

    Returns
    -------
    OnStand

    Notes
    -----
    Both together are taken as fixed to each other. Alone the cabinet tips over the edge of `lie`, which the
    stand's top must bear all of.
    """
    up = stand.height - lie.floor
    at = (centre[0] - middle[0], centre[1] - middle[1], centre[2] + up)
    moved = Base(tuple((x - middle[0], y - middle[1]) for x, y in lie.points), stand.height)
    both, mean = mass_and_centre([(mass, at), (stand.mass, (0.0, 0.0, stand.centre))])
    width, depth = stand.base
    floor = rectangle(-width / 2, width / 2, -depth / 2, depth / 2)
    return OnStand(
        both,
        mean,
        standing(both, mean, floor, tilt, push_height),
        standing(mass, at, moved, tilt, push_height),
    )


def base_for(x, z, tilt=STEADY):
    """How far an edge must lie from the centre of gravity, `z` [m] high, to stand a tilt. [m]

    `x` [m] is how far it lies now; the answer is never less, so that feet that do are left alone.
    """
    require_positive(z=z)
    require_within(0, 89.9, "must be a tilt of less than a right angle", tilt=tilt)
    return max(x, z * tan(radians(tilt)))


def people_to_lift(mass, limit=PER_PERSON):
    """How many people lift a thing: each his share of at most `limit` [kg]."""
    require_positive(mass=mass, limit=limit)
    return max(1, ceil(mass / limit - 1e-9))


def lifting_limit(H, V, D, A=0.0, FM=1.0, CM=1.0):
    """Weight that most people can lift safely in one way of lifting, by the revised NIOSH equation.

    Parameters
    ----------
    H : float
        Level distance of the hands from the ankles; nearer than 0.25 m counts as that. [m]
    V : float
        Height of the hands at the start. [m]
    D : float
        How far they go up or down; less than 0.25 m counts as that. [m]
    A : float
        Twist of the body. [deg]
    FM, CM : float
        For how often, and for how good a grip; 1 is seldom, and good. [-]

    Returns
    -------
    limit : float
        Recommended weight for one person. [kg]

    Raises
    ------
    InputError
        Outside the reach of the equation, where the limit is nothing.

    Notes
    -----
    T. R. Waters, V. Putz-Anderson, A. Garg, NIOSH 94-110, 1994; from memory. For two hands, standing, no
    hurry, one person: it says nothing of two who share a load.
    """
    require_within(0, 0.635, "must be a reach of the arms", H=H)
    require_within(0, 1.75, "must be a height that hands reach", V=V)
    require_within(0, 1.75, "must be a way that hands go", D=D)
    require_within(0, 135, "must be a twist that a body makes", A=A)
    require_within(0, 1, "must be from 0 to 1", FM=FM, CM=CM)
    H, D = max(H, 0.25), max(D, 0.25)
    return 23 * (0.25 / H) * (1 - 0.3 * abs(V - 0.75)) * (0.82 + 0.045 / D) * (1 - 0.0032 * A) * FM * CM
