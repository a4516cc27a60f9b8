"""What the cabinet weighs, where it would balance, how far it can be tipped, and who lifts it.

Places are (x, y, z) as of `calc.cabinet.panels`: x to the right, y to the back, z up.
"""

from dataclasses import dataclass
from math import atan2, ceil, degrees, inf, radians, tan

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
class Feet:
    """The rectangle that a thing stands on: left to right, front to back, at the height `floor`. [m]"""

    left: float
    right: float
    front: float
    back: float
    floor: float = 0.0

    def __post_init__(self):
        require_within(
            -1e3, 1e3, "must be the place of a foot", left=self.left, right=self.right, front=self.front,
            back=self.back, floor=self.floor,
        )  # fmt: skip
        for low, high in (("left", "right"), ("front", "back")):
            if not getattr(self, low) < getattr(self, high):
                raise InputError(high, f"must lie beyond the {low} feet")


@dataclass(frozen=True)
class Standing:
    """How firm a thing stands.

    angles : {"left" | "right" | "front" | "back": tip angle over that edge [deg]}.
    weakest : the edge that it tips over first; angle : its tip angle [deg].
    margin : what that is above the tilt asked for [deg]; stable : whether it is more than that.
    push : {edge: level force [N] that tips it, at the height that was asked}, or empty.
    """

    angles: dict
    weakest: str
    angle: float
    margin: float
    stable: bool
    push: dict


def standing(mass, centre, feet, tilt=STEADY, push_height=None):
    """How firm a thing stands on its feet.

    Parameters
    ----------
    mass, centre
        Of `mass_and_centre`. [kg], [m]
    feet : Feet
    tilt : float
        That it must stand every way. [deg]
    push_height : float, optional
        Height above the floor at which somebody pushes. [m]

    Returns
    -------
    Standing

    Raises
    ------
    InputError
        If the centre is not above the feet's floor, or a value is none.
    """
    require_positive(mass=mass, push_height=push_height)
    require_within(0, 89.9, "must be a tilt of less than a right angle", tilt=tilt)
    x, y, z = centre
    if not z > feet.floor:
        raise InputError("floor", "must lie below the centre of gravity")
    reach = {"left": x - feet.left, "right": feet.right - x, "front": y - feet.front, "back": feet.back - y}
    angles = {edge: tip_angle(distance, z - feet.floor) for edge, distance in reach.items()}
    weakest = min(angles, key=angles.get)
    push = {}
    if push_height is not None:
        push = {edge: tipping_force(mass, distance, push_height) for edge, distance in reach.items()}
    margin = angles[weakest] - tilt
    return Standing(angles, weakest, angles[weakest], margin, margin > 0, push)


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
    """A stand: its `mass` [kg], `height` of its plate and of its own centre [m], base and plate [m].

    base, plate : (width, depth), both with their middles over the stand's middle.
    """

    mass: float
    height: float
    centre: float
    base: tuple
    plate: tuple

    def __post_init__(self):
        require_positive(mass=self.mass, height=self.height)
        require_within(0, self.height, "must lie between floor and plate", centre=self.centre)
        for name in ("base", "plate"):
            for side, length in zip(("width", "depth"), getattr(self, name), strict=True):
                require_positive(**{f"{name}.{side}": length})


@dataclass(frozen=True)
class OnStand:
    """A cabinet on a stand: both together on the floor, and the cabinet alone on the plate.

    `mass` [kg] and `centre` [m] are of both, x and y counted from the stand's middle, z from the floor.
    """

    mass: float
    centre: tuple
    together: Standing
    cabinet: Standing


def on_stand(mass, centre, outer, stand, shift=0.0, tilt=STEADY, push_height=None):
    """How firm a cabinet stands on a stand.

    Parameters
    ----------
    mass, centre
        Of the cabinet alone, see `standing`.
    outer : (float, float, float)
        The cabinet's outer width, height, depth. [m]
    stand : Stand
    shift : float
        How far back the cabinet's middle stands from the stand's middle. [m]
    tilt, push_height
        See `standing`; the height counts from the floor.

    Returns
    -------
    OnStand

    Notes
    -----
    The cabinet is taken as fixed to the plate where both tip together. Alone it tips over the edge of what
    its bottom and the plate share.
    """
    require_within(-1e3, 1e3, "must be a length", shift=shift)
    width, _, depth = outer
    lie = Feet(
        max(-stand.plate[0] / 2, -width / 2), min(stand.plate[0] / 2, width / 2),
        max(-stand.plate[1] / 2, shift - depth / 2), min(stand.plate[1] / 2, shift + depth / 2), stand.height,
    )  # fmt: skip
    at = (centre[0] - width / 2, centre[1] - depth / 2 + shift, centre[2] + stand.height)
    both, middle = mass_and_centre([(mass, at), (stand.mass, (0.0, 0.0, stand.centre))])
    base = Feet(-stand.base[0] / 2, stand.base[0] / 2, -stand.base[1] / 2, stand.base[1] / 2)
    return OnStand(
        both, middle, standing(both, middle, base, tilt, push_height), standing(mass, at, lie, tilt)
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
