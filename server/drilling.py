"""The drill list in words: drills of both sets, how deep, and whether the screws hold."""

from functools import partial

from calc.evaluate_drilling import blind, screws
from calc.shop.fractions import fraction_words
from calc.shop.screws import CORNER, DENSE, KEPT, SAFETY, nearest_gauge
from server import units

AMPLE = 4.0
"""Times over that the screws should hold, or a nut behind is the better way (common practice, no source)."""

HEAVY = 5.0
"""Weight of a driver from which nuts behind the panel are worth their trouble (common practice). [kg]"""

STUFF = {
    "dense": "hard wood", "soft": "soft wood", "MDF face": "face of MDF", "MDF edge": "edge of MDF",
}  # fmt: skip


def drilling(bench):
    """What the drill list of a page needs."""
    project = bench.project
    return {
        "drill_list": [(line, _told(bench, line)) for line in screws(project, bench.result)],
        "blind_holes": blind(project, bench.result),
        "stuff_words": STUFF,
        "drill_words": partial(drill_words, project.show),
        "screw_hint": _screw_hint(project),
        "kept": KEPT,
        "corner": CORNER,
        "dense": DENSE * 1120,
        "safety": SAFETY,
    }


def _screw_hint(project):
    """Under the field of the screw's thickness: its number, or how to type one."""
    number = nearest_gauge(project.workshop.screw)
    return "or its number, such as #8" if number is None else f"about #{number}; its number will do"


def drill_words(show, drills):
    """A drill of both sets as a page says it, its own system first: ("2.5 mm", "3/32 in")."""
    metric, inch = drills
    both = units.with_unit(metric, "fine length"), f"{fraction_words(inch, 64)}\N{NO-BREAK SPACE}in"
    return both[::-1] if show == "imperial" else both


def pilot_words(project, line):
    """A pilot in a few words, for a step: "2.5 mm (3/32 in), 9.8 mm deep"; empty where it is not known."""
    if line.pilot is None:
        return ""
    own, other = drill_words(project.show, line.pilot.drills)
    words = f"{own} ({other}) drill"
    if line.depth is None or not line.depth.hole:
        return words
    return f"{words}, {units.with_unit(line.depth.hole, 'fine length', project.show, project.fraction)} deep"


def _told(bench, line):
    """Sentences on one line of the list: (⚠ or not, sentence)."""
    project = bench.project
    write = partial(units.with_unit, show=project.show, fraction=project.fraction)
    return *_fits(line, write), *_holds(line, write)


def _fits(line, write):
    depth = line.depth
    if line.pilot is None:
        yield True, "No table tells the root of so thin or so thick a screw: find its pilot on scrap."
    if depth is None:
        yield False, "How deep, waits for the sizes of flange and cut-out."
    elif line.length is not None and not depth.thread:
        yield (
            True,
            f"It does not reach the wood, {write(line.lifted, 'fine length')} down: take a longer one.",
        )
    elif depth.over or not depth.hole:
        longest = max(0.0, depth.thread - depth.over) + line.lifted
        if depth.hole:
            yield (
                True,
                f"The screw is too long: its point comes nearer than {write(KEPT, 'fine length')} to the"
                f" other face. {write(longest, 'fine length')} is the most.",
            )
        else:
            yield True, "Too little wood for a screw: bolt it through, with nuts and washers behind."
    if line.stuff == "MDF edge":
        yield (
            False,
            f"MDF splits at its edge: no screw within {write(CORNER, 'length')} of a corner, the pilot"
            " deeper than the point, and a clamp across the faces while the screw goes in.",
        )


def _holds(line, write):
    hold = line.hold
    if hold is None:
        return
    pull = f"Face down, {line.count} screws carry its {write(hold.weight, 'force')}"
    if hold.drive:
        pull += f" and at full power {write(hold.drive, 'force')} of its motor"
    pull += f", {write(hold.each, 'force')} each"
    if hold.allowed is None:
        yield (
            hold.weight > HEAVY * 9.81,
            f"{pull}. The Wood Handbook’s formula does not cover this board: ask its maker, or seat"
            " a heavy driver on nuts.",
        )
    elif hold.margin < AMPLE:
        yield True, f"{pull}; {write(hold.allowed, 'force')} is what one may bear: seat it on nuts behind."
    else:
        yield (
            False,
            f"{pull}; one may bear {write(hold.allowed, 'force')} for good: they hold"
            f" {hold.margin:.0f} times over.",
        )
