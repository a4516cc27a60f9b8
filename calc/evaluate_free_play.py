"""How far each dimension of a project may move before something fails, clashes or is heard."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_as_cut import QUIET_SHARE, QUIET_TUNING, QUIET_VOLUME
from calc.evaluate_cabinet import clashes, opened_again
from calc.evaluate_clashes import edited, worse

FURTHEST = 0.03
"""No dimension is moved further than this: beyond, it is another cabinet. [m]"""

FINE = 1e-4
"""How finely the end of the play is looked for. [m]"""

GROUPS = ("sizes", "joints", "places")
"""Kinds of dimensions, as a page asks for them."""

_FEW = np.array([20.0, 50.0, 100.0])  # the play asks for tuning and air, not for curves


@dataclass(frozen=True)
class End:
    """Where the play of a dimension ends on one side: `by` [m] from where it is now, and what is there.

    kind : "fails" where it is refused, "clash", "heard", or "" where all stays well as far as was looked.
    clash : the `Clash`, if it is one. words : the refusal, or what is heard.
    """

    by: float
    kind: str
    words: str
    clash: object | None = None


@dataclass(frozen=True)
class Play:
    """A dimension: its `paths` in the document, which move together, its `value` [m], its two ends."""

    paths: tuple
    value: float
    less: End
    more: End


def free_play(project, result, group):
    """The `Play` of each dimension of a `group` of `GROUPS`.

    Notes
    -----
    Each is found by halving: the whole project is solved again with the dimension moved, the rest following
    as it always does. What clashes or is off already does not count, unless it becomes worse.
    """
    trial = _Trial(project, result)
    return tuple(
        Play(paths, value, trial.end(paths, value, -1), trial.end(paths, value, 1))
        for paths, value in dimensions(project, result, group)
    )


def dimensions(project, result, group):
    """((paths, value [m]), ...) of all dimensions of a group that the document decides."""
    return tuple({"sizes": _sizes, "joints": _joints, "places": _places}[group](project, result))


def _sizes(project, result):
    made = project.cabinet
    if made.hold != "volume":
        held = result.cabinet.carcass.inner if made.hold == "inner" else result.cabinet.carcass.outer
        for side, now in zip(("width", "height", "depth"), held, strict=True):
            yield (f"cabinet.size.{side}",), now
    elif made.moves != "all":
        for side in ("width", "height", "depth"):
            if side != made.moves:
                yield (f"cabinet.size.{side}",), getattr(made.size, side)
    used = {*made.panels.values(), *(brace.sheet for brace in made.braces.values())}
    for name, sheet in project.workshop.sheets.items():
        if name in used:
            yield (f"workshop.sheets.{name}.thickness",), sheet.thickness


def _joints(project, result):
    alike = {}
    for name, edge in project.cabinet.edges.items():
        if edge.depth:
            alike.setdefault(edge.depth, []).append(name)
    for depth, names in alike.items():
        yield tuple(f"cabinet.edges.{name}.depth" for name in names), depth
    for name, brace in project.cabinet.braces.items():
        path = f"cabinet.braces.{name}"
        if brace.at is not None:
            yield (f"{path}.at",), brace.at
        if brace.depth:
            yield (f"{path}.depth",), brace.depth
        if brace.window is not None:
            yield (f"{path}.window.width",), brace.window.width
            yield (f"{path}.window.height",), brace.window.height


def _places(project, result):
    for kind in ("seats", "holes"):
        for name in getattr(project.cabinet, kind):
            opening = next(each for each in result.openings if each.name == name)
            yield (f"cabinet.{kind}.{name}.x",), opening.x
            yield (f"cabinet.{kind}.{name}.y",), opening.y
    box = project.alternatives[project.chosen].box
    for part in ("port", "other", "rear"):
        port = getattr(box, part, None)
        if port is None:
            continue
        path = f"alternatives.{project.chosen}.box.{part}"
        opening = next((each for each in result.openings if each.of == part), None)
        if opening is not None and port.count == 1:
            yield (f"{path}.x",), opening.x
            yield (f"{path}.y",), opening.y
        if port.shape.kind == "round":
            yield (f"{path}.shape.diameter",), port.shape.diameter
        if port.length is not None:
            yield (f"{path}.length",), port.length


class _Trial:
    """A project in which dimensions are moved."""

    def __init__(self, project, result):
        self.project, self.result = project, result
        self.before = {each.key: each for each in result.clashes}
        self.wrong = lru_cache(None)(self._wrong)

    def end(self, paths, value, sign):
        """The `End` of the play of `paths` below (-1) or above (1)."""
        far = min(FURTHEST, value - FINE) if sign < 0 else FURTHEST
        if far <= 0:
            return End(0.0, "fails", "it would be nothing")
        at_far = self.wrong(paths, value + sign * far)
        if at_far is None:
            return End(sign * far, "", "")
        good, bad, reason = 0.0, far, at_far
        while bad - good > FINE:
            middle = (good + bad) / 2
            found = self.wrong(paths, value + sign * middle)
            if found is None:
                good = middle
            else:
                bad, reason = middle, found
        return End(sign * good, *reason)

    def _wrong(self, paths, value):
        """(kind, words, clash) of what is wrong with a value of a dimension, or None."""
        try:
            found, heard = self._solved(paths, value)
        except InputError as error:
            return "fails", error.problem, None
        for each in found:
            known = self.before.get(each.key)
            if known is None or worse(known, each):
                return "clash", "", each
        return ("heard", heard, None) if heard else None

    def _solved(self, paths, value):
        """The clashes with a value of a dimension, and what is heard of it."""
        project = edited(self.project, dict.fromkeys(paths, value))
        if all(path.endswith((".x", ".y")) for path in paths):  # openings move, the cabinet stays
            box = project.alternatives[project.chosen].box
            return clashes(project, box, opened_again(project, box, self.result.cabinet)), ""
        now = evaluate(project, _FEW)
        return now.clashes, self._heard(now)

    def _heard(self, now):
        """What is heard of a result, in words; nothing if it is not."""
        planned, built = self.result.built, now.built
        if abs(now.cabinet.net / self.result.cabinet.net - 1) > QUIET_VOLUME:
            return "the air inside changes by more than 2 percent"
        if planned.fb is not None and built.fb is not None:
            off = abs(built.fb - planned.fb)
            if off > max(QUIET_TUNING, QUIET_SHARE * planned.fb):
                return "the tuning moves by more than is heard"
        return ""
