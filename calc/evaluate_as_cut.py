"""Project and result -> what was really built: how it goes together, what it does, what saves the day."""

from dataclasses import dataclass, replace
from math import prod
from typing import NamedTuple

from calc.cabinet.as_cut import GLUED, PLAY, RING, along, bored, fits, misjoints
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_cabinet import cabinet
from calc.project_cabinet import AsCut, Size

QUIET_VOLUME = 0.02
"""A net volume that is off by no more is not heard (common practice, no source)."""

QUIET_TUNING, QUIET_SHARE = 1.0, 0.03
"""Nor is a tuning that is off by less than this [Hz], or by less than this share of it."""

SIDES = ("width", "height", "depth")

UNTOLD = 1e-6
"""A volume that is not worth a word. [m³]"""

NARROW = 0.005
"""Least ledge under a flange, least cover of a hole (a shop's habit). [m]"""


class Saying(NamedTuple):
    """A sentence with names in braces, and {name: (quantity, SI value)}; the quantity "" is text."""

    words: str
    values: dict


@dataclass(frozen=True)
class Saving:
    """Something that is not as planned: a `Saying` on it, and those of what mends it, the simplest first.

    part : what it is about. amount : how far it is off [m].
    """

    part: str
    amount: float
    said: Saying
    remedies: tuple


@dataclass(frozen=True)
class Built:
    """A cabinet as it was really cut.

    inner : what the glued ring encloses [m]. result : the project solved with it, or None and `refusal`, why
    it cannot be put together. rows : ((words, quantity, planned, as cut), ...). audible : words of what is
    heard of it. new : clashes that the plan did not have.
    """

    inner: tuple
    savings: tuple
    result: object | None
    refusal: str | None
    rows: tuple
    audible: tuple
    new: tuple

    @property
    def as_planned(self):
        return not self.savings and all(planned == now for *_, planned, now in self.rows)


def built(project, result):
    """The `Built` cabinet of a project whose `cabinet.as_cut` says what was measured.

    Notes
    -----
    The ports keep the length that they were cut to, so that the tuning follows what the air has become. An
    opening that lies off takes its driver along. A groove that lies off takes its brace along, by the mean
    of both ends.
    """
    made, real, edges = result.cabinet, project.cabinet.as_cut, project.cabinet.edges
    inner, found = fits(made.carcass, made.braces, edges, real)
    try:
        now, refusal = evaluate(as_made(project, result, inner)), None
    except InputError as error:
        now, refusal = None, error.problem
    wrong = misjoints(made.carcass, made.braces, edges, real)
    savings = [each for joint in wrong for each in _joint_savings(joint)]
    savings += [_part_saving(project, result, fit, inner) for fit in found]
    savings += [each for name in real.openings for each in _opening_savings(project, result, name)]
    rows = () if now is None else tuple(_rows(result, now))
    planned = {each.key for each in result.clashes}
    new = () if now is None else tuple(each for each in now.clashes if each.key not in planned)
    return Built(inner, tuple(savings), now, refusal, rows, tuple(_audible(rows)), new)


def as_made(project, result, inner):
    """The project that was really cut, its inside held at `inner` [m]."""
    made, real = project.cabinet, project.cabinet.as_cut
    sheets, panels, braces = dict(project.workshop.sheets), dict(made.panels), dict(made.braces)
    for name, part in real.parts.items():
        if part.thickness is None:
            continue
        if name in panels:
            panels[name] = _own_sheet(sheets, panels[name], name, part.thickness)
        elif name in braces:
            own = _own_sheet(sheets, braces[name].sheet, name, part.thickness)
            braces[name] = replace(braces[name], sheet=own)
    edges = dict(made.edges)
    for name, groove in real.grooves.items():
        panel, _, mate = name.partition(" ")
        edge = next((e for e in edges if set(e.split("-")) == {panel, mate}), None)
        if edge is not None and edges[edge].into == panel and groove.depth is not None:
            edges[edge] = replace(edges[edge], depth=groove.depth)
    for name, brace in braces.items():
        braces[name] = _shifted_brace(brace, _grooves_of(real, name))
    seats = {name: _shifted(seat, _opening(result, name), real, name) for name, seat in made.seats.items()}
    holes = {name: _shifted(hole, _opening(result, name), real, name) for name, hole in made.holes.items()}
    chosen = project.alternatives[project.chosen]
    if chosen.box.Vb is None:
        chosen = _holding(chosen, result)
    return replace(
        project,
        cabinet=replace(
            made, hold="inner", moves="all", size=Size(*inner), panels=panels, edges=edges, braces=braces,
            seats=seats, holes=holes, as_cut=AsCut(),
        ),
        workshop=replace(project.workshop, sheets=sheets),
        alternatives={**project.alternatives, project.chosen: chosen},
    )  # fmt: skip


def _own_sheet(sheets, sheet, part, thickness):
    """Put the sheet that one part is really cut from among the others; its name there."""
    name = f"{sheet} of {part}"
    sheets[name] = replace(sheets[sheet], thickness=thickness)
    return name


def _grooves_of(real, brace):
    return {key.partition(" ")[0]: g for key, g in real.grooves.items() if key.partition(" ")[2] == brace}


def _shifted_brace(brace, grooves):
    """A brace where its grooves really are: both ends' mean place, each end as deep as it was cut."""
    if not grooves:
        return brace
    at = None if brace.at is None else brace.at + sum(g.off for g in grooves.values()) / 2
    near = next((g.depth for wall, g in grooves.items() if wall in ("left", "bottom", "front")), None)
    far = next((g.depth for wall, g in grooves.items() if wall in ("right", "top", "back")), None)
    depth_far = brace.depth_far if brace.depth_far is not None else brace.depth
    return replace(
        brace, at=at, depth=brace.depth if near is None else near,
        depth_far=brace.depth_far if far is None else far if far != depth_far else brace.depth_far,
    )  # fmt: skip


def _opening(result, name):
    return next((each for each in result.openings if each.name == name), None)


def _shifted(decided, opening, real, name):
    """A seat or a hole where it was really bored."""
    each = real.openings.get(name)
    if each is None or opening is None or not (each.off_x or each.off_y):
        return decided
    return replace(decided, x=opening.x + each.off_x, y=opening.y + each.off_y)


# --- What it does


def _rows(result, made):
    """Planned and as cut: (words, quantity, planned, now)."""
    for n, side in enumerate(SIDES):
        yield f"Outside, {side}", "length", result.cabinet.carcass.outer[n], made.cabinet.carcass.outer[n]
    yield "Net volume", "volume", result.cabinet.net, made.cabinet.net
    planned, now = result.built, made.built
    for words, name in (("Tuning", "fb"), ("Resonance in the box", "fc"), ("3 dB down at", "f3")):
        if getattr(planned, name, None) is not None and getattr(now, name, None) is not None:
            yield words, "frequency", getattr(planned, name), getattr(now, name)
    yield "Weight", "mass", result.cabinet.mass, made.cabinet.mass


def _audible(rows):
    """Words of what is off by more than is heard."""
    for words, quantity, planned, now in rows:
        off = abs(now - planned)
        if quantity == "volume" and off > QUIET_VOLUME * planned:
            yield words
        if quantity == "frequency" and off > QUIET_TUNING and off > QUIET_SHARE * planned:
            yield words


# --- What saves the day


def _part_saving(project, result, fit, inner):
    part = {**result.cabinet.carcass.panels, **result.cabinet.braces}[fit.part]
    values = {"off": ("length", abs(fit.off)), "part": ("", _called(fit.part)), "side": ("", fit.side)}
    if fit.off < 0:
        words = "{part} is {off} too long along the {side} for what the ring encloses."
        right = getattr(part, fit.word) if fit.word else 0.0
        real = getattr(project.cabinet.as_cut.parts.get(fit.part), fit.word, None) or right
        trim = Saying(
            "Trim {off} off it, to {size}, with a few test cuts that creep up on it.",
            {**values, "size": ("length", real + fit.off)},
        )
        return Saving(fit.part, fit.off, Saying(words, values), (trim,))
    words = {
        "in": "{part} is {off} short along the {side}: that gap opens between it and its mates.",
        "over": "{part} is {off} short along the {side}: the edges that it covers stand out by that.",
        "mitre": "{part} is {off} short along the {side}: its mitres stay open by that.",
        "both": "{part} is {off} short along the {side}: its covering end lies back by that.",
        "between": "{part} is {off} short along the {side}: it stops short of front or back by that.",
    }[fit.how]
    return Saving(fit.part, fit.off, Saying(words, values), tuple(_for_short(project, result, fit, inner)))


def _for_short(project, result, fit, inner):
    """What mends a part that is short, the simplest first."""
    thick, long = fit.section
    values = {"off": ("length", fit.off), "thick": ("length", thick), "long": ("length", long)}
    if fit.how in ("in", "between") and fit.hidden and fit.off < fit.hidden / 2:
        yield Saying(
            "No harm: its joints go {hidden} deep together and still cover the gap. Share it out to both"
            " ends, and see that the glue seals.",
            {"hidden": ("length", fit.hidden)},
        )
    elif fit.how == "between":
        yield Saying("No harm if it is glued to its grooves: it is only less stiff at that edge.", {})
    if fit.how == "over":
        half = {"half": ("length", fit.off / 2)}
        yield Saying("Plane or flush-trim what stands out, {half} on each side.", half)
    else:
        yield Saying("Glue in one strip, {off} × {thick} × {long}, at the end that is hidden best.", values)
    if fit.part in RING:
        yield from _by_cutting_the_mates(project, result, fit, inner)
    planned = getattr({**result.cabinet.carcass.panels, **result.cabinet.braces}[fit.part], fit.word)
    yield Saying(
        "Cut it anew, {length} along its {word}: this piece is too short for that, so it takes another.",
        {"length": ("length", planned), "word": ("", fit.word)},
    )


def _by_cutting_the_mates(project, result, fit, inner):
    """Cut the others along that side down to this one, and let another side give the air back; tried."""
    n = SIDES.index(fit.side)
    shorter = tuple(size - fit.off if k == n else size for k, size in enumerate(inner))
    twins = [
        part.name
        for part in (*result.cabinet.carcass.panels.values(), *result.cabinet.braces.values())
        if part.name != fit.part and fit.side in along(part).values()
    ]
    other = "depth" if fit.side != "depth" else "height"
    n = SIDES.index(other)
    try:
        lost = -_off_in_air(project, result, shorter)
        more = _gives_back(project, result, shorter, n, lost)
    except InputError:
        return
    words = "Cut {twins} down by {off} as well: all meets again, "
    if abs(lost) < UNTOLD:
        words += "and the air is as planned."
    else:
        words += "the net volume " + ("falls" if lost > 0 else "grows") + " by {lost}"
        words += ", and {more} " + ("more" if more > 0 else "less") + " {other} inside gives it back."
    values = {"twins": ("", _listed(twins)), "off": ("length", fit.off), "other": ("", other)}
    yield Saying(words, {**values, "lost": ("volume", abs(lost)), "more": ("length", abs(more))})


def _off_in_air(project, result, inner):
    """Net volume of what was cut, its inside `inner` [m], over what was planned. [m³]"""
    made = as_made(project, result, inner)
    return cabinet(made, made.alternatives[made.chosen], result.air).net - result.cabinet.net


def _gives_back(project, result, inner, n, lost):
    """How much longer the inner side `n` must be to give `lost` [m³] of air back. [m]"""
    grown, off = 0.0, -lost
    by = lost * inner[n] / prod(inner)  # a box without anything in it; then by straight lines
    for _ in range(4):
        now = _off_in_air(project, result, (*inner[:n], inner[n] + grown + by, *inner[n + 1 :]))
        grown, by, off = grown + by, by * now / (off - now) if off != now else 0.0, now
    return grown


def _holding(alternative, result):
    """An alternative whose box wants just the air that was planned."""
    return replace(alternative, box=replace(alternative.box, Vb=result.cabinet.net))


def _joint_savings(joint):
    """What is wrong with a groove's width, its place and its depth."""
    values = {
        "panel": ("", _called(joint.panel).replace("The", "the")), "mate": ("", joint.mate),
        "loose": ("fine length", abs(joint.loose)), "off": ("length", abs(joint.off)),
        "deeper": ("fine length", abs(joint.deeper)),
    }  # fmt: skip
    told = "The groove of {panel} for the {mate} "

    def saving(amount, words, *ways):
        name = f"{joint.panel} {joint.mate}"
        return Saving(name, amount, Saying(told + words, values), tuple(Saying(way, values) for way in ways))

    if joint.loose < 0:
        yield saving(
            joint.loose,
            "is {loose} too narrow: it does not go in.",
            "Nudge the fence by {loose} and cut once more, or plane the tongue of the {mate} by that.",
        )
    if joint.loose > GLUED:
        yield saving(
            joint.loose,
            "is {loose} wider than that is thick.",
            "Glue a shim of {loose} to the hidden face of the {mate}: glue alone fills no gap.",
        )
    if abs(joint.off) > PLAY:
        yield saving(
            joint.off,
            "lies {off} off its place.",
            "Cut the groove across from it off by as much: the {mate} is then level, only moved.",
            "Glue a strip as wide as the groove into it, let it dry, and cut the groove anew at its place.",
        )
    if joint.deeper < -PLAY:
        yield saving(
            joint.deeper,
            "is {deeper} too shallow: the {mate} stands out of it by that.",
            "Set the blade or the bit {deeper} deeper and cut once more.",
            "Trim {deeper} off that end of the {mate}.",
        )
    if joint.deeper > PLAY:
        yield saving(
            joint.deeper,
            "is {deeper} too deep.",
            "Glue a strip of {deeper} into its bottom, so that the {mate} stands where it should.",
        )


def _opening_savings(project, result, name):
    opening, real = _opening(result, name), project.cabinet.as_cut.openings[name]
    if opening is None:
        return
    seat, frame = project.cabinet.seats.get(name), None
    if seat is not None:
        frame = project.drivers[seat.driver].frame
    planned = result.seats.get(name) if seat else None
    each = bored(
        name, real, opening.width, frame.wide if frame else None,
        planned.recess if planned and planned.recess else opening.outline,
        planned.recess_depth if planned and planned.recess else None,
    )  # fmt: skip
    thing = {"name": ("", name)}
    plug = Saying(
        "Plug it with a disc of {plug} from the same sheet, its grain along the panel’s, glued in flush, and"
        " bore it anew: a flush-trimmed plug under paint or veneer is not seen.",
        {"plug": ("length", each.plug)},
    )
    if each.tight > 0:
        words = "The opening of {name} is {tight} too small in diameter."
        tight = {**thing, "tight": ("fine length", each.tight), "half": ("fine length", each.tight / 2)}
        open_up = Saying("Set the jig out by {half} and go round once more.", tight)
        yield Saving(name, -each.tight, Saying(words, tight), (open_up,))
    if abs(each.proud) > PLAY:
        by = {**thing, "by": ("fine length", abs(each.proud))}
        if each.proud > 0:
            said, way = "The flange of {name} stands {by} proud.", "Deepen the recess by {by}."
        else:
            said = "The flange of {name} sits {by} too deep."
            way = "Lay a ring of card or cork, {by} thick, under it."
        yield Saving(name, each.proud, Saying(said, by), (Saying(way, by),))
    if each.ledge is not None and each.ledge < NARROW:
        ring = Saying("Glue a ring behind the panel that carries the screws, or plug and bore anew.", {})
        words = "The hole of {name} leaves {ledge} under the flange: too little for screws and seal."
        told = Saying(words, {**thing, "ledge": ("length", each.ledge)})
        yield Saving(name, each.ledge, told, (ring, plug))
    if each.off > PLAY:
        keep = Saying("Leave it: the other numbers on this page tell what that moves.", {})
        moved = Saying(
            "The centre of {name} lies {off} off its place.", {**thing, "off": ("length", each.off)}
        )
        yield Saving(name, each.off, moved, (keep, plug))


def _called(part):
    return f"The {part} side" if part in ("left", "right") else f"The {part}"


def _listed(names):
    if {"left", "right"} <= set(names):
        names = ["both sides", *(name for name in names if name not in ("left", "right"))]
    words = [name if " " in name else f"the {name}" for name in names]
    return " and ".join(words) if len(words) < 3 else f"{', '.join(words[:-1])} and {words[-1]}"
