"""Saw: the settings of fence and stop one after another, and the dado stack with its test in scrap."""

from dataclasses import replace

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_sawing import SLIP, sawing, widened
from calc.shop.dado import correction
from calc.shop.unsafe import (
    ABOVE,
    BRAKE,
    FENCE_OVERLAP,
    HANDS,
    KNIFE_GAP,
    LEAST_BLADE,
    NARROW,
    OUTFEED,
    PUSH_STICK,
    PUSHED,
    SHORT,
    SLIVER,
    TALL,
)
from server import units
from server.documents import amend, read_project, without
from server.pages import GONE, bench, render, take, typed_fields
from server.plates import lengths
from server.routes.steps import tick
from server.work import saw_key

router = APIRouter(prefix="/projects/{key}/saw")

EDGES = {
    "left": "left edge", "right": "right edge", "front": "front edge", "back": "rear edge",
    "top": "upper edge", "bottom": "lower edge",
}  # fmt: skip
"""What an edge of a part is called, by where it lies in the cabinet."""


@router.get("")
def show(request: Request, key: str):
    """Show where the fence stands for each cut."""
    now = bench(request, key)
    return render(request, "saw", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take the saw's own settings and its stack, what a groove in scrap measured, or a tick."""
    if typed.get("do", "").startswith(("tick:", "untick:")):
        return tick(request, key, "saw", typed, view)
    aside = tuple(name for name in typed if name.startswith("scrap."))
    return take(request, key, "saw", typed, view, ACTIONS, aside=aside)


def view(bench):
    """The plan with a drawing of each setting, and of each groove its stack and what a test said of it."""
    shown = settings(bench)
    sawn = shown["sawn"]
    return shown | {
        "ticked": bench.store.ticks(bench.access.project_id),
        "set_ups": _drawn(sawn.plan, bench.project.show, lengths(bench)),
        "tests": [_test(bench, n, groove) for n, groove in enumerate(sawn.grooves)],
        "widened": widened,
        "slip": SLIP,
    }


def settings(bench):
    """The plan, and of each step why its pieces are held as they are: what the list of settings tells."""
    sawn = sawing(bench.project, bench.result)
    return {
        "sawn": sawn,
        "set_ups": [()] * len(sawn.plan.steps),
        "edge_names": EDGES,
        "step_keys": [saw_key(step) for step in sawn.plan.steps],
        "reasons": [_reasons(step) for step in sawn.plan.steps],
        "limits": {
            "short": SHORT, "narrow": NARROW, "sliver": SLIVER, "tall": TALL, "push_stick": PUSH_STICK,
            "pushed": PUSHED, "knife": KNIFE_GAP, "hands": HANDS, "outfeed": OUTFEED,
            "overlap": FENCE_OVERLAP, "least_blade": LEAST_BLADE, "brake": BRAKE, "above": ABOVE,
        },
    }  # fmt: skip


def _drawn(plan, show, write):
    """Of each step every cut that is held in another way: [(cut, edge at the fence or "", drawings), ...].

    The view along the cut is drawn where it differs from those before; grooves to the hundredth, as told.
    """
    from server.drawings.set_up import set_up

    mark = "″" if show == "imperial" else ""

    def fine(metres):
        return units.write(metres, "fine length", show) + mark

    found = []
    for n, step in enumerate(plan.steps):
        found.append([])
        profiles, held = set(), set()
        for cut in step.cuts:
            for edge in cut.datum if cut.kind in ("groove", "rabbet") else ("",):
                alike, profile = (cut.row, cut.parts, cut.kind, edge), (cut.kind, cut.depth, cut.thickness)
                if alike in held:
                    continue
                held.add(alike)
                name = f"set-up-{n}-{len(found[n])}"
                views = set_up(cut, step.setting, fine if cut.depth else write, name=name)
                if views:
                    found[n].append((cut, edge, views[:1] if profile in profiles else views))
                profiles.add(profile)
    return found


def _reasons(step):
    """Why pieces are held as they are: (guide, letters of the rows, their dangers)."""
    found = {}
    for cut in step.cuts:
        if cut.dangers:
            found.setdefault((cut.guide, cut.dangers), []).append(cut.row)
    return [(guide, list(dict.fromkeys(rows)), dangers) for (guide, dangers), rows in found.items()]


def _test(bench, n, groove):
    """What a scrap groove that was told in this revision says of groove `n`: a `Correction`, or None."""
    if groove.stack is None or bench.before is None:
        return None
    was, now = bench.before[0].workshop.saw, bench.project.workshop.saw
    if was.wider == now.wider or replace(was, wider=now.wider) != now:
        return None
    earlier = sawing(*bench.before).grooves
    if n >= len(earlier) or earlier[n].stack is None or abs(earlier[n].wanted - groove.wanted) > 1e-7:
        return None
    used = earlier[n].stack
    return correction(used, groove.stack, groove.wanted, used.width + now.wider)


# --- Actions


def scrap(document, which, typed, result):
    """Learn from a groove in scrap how much wider than its parts the stack cuts."""
    project = read_project(document)
    grooves = sawing(project, result).grooves
    if not which.isdecimal() or not which.isascii() or int(which) >= len(grooves):
        raise InputError("workshop.saw", GONE)
    groove, place = grooves[int(which)], f"scrap.{int(which)}"
    if groove.stack is None:
        raise InputError("workshop.saw", GONE)
    try:
        measured = units.read(typed.get(place, "").strip(), "fine length", project.show)
    except units.Unreadable as refusal:
        raise InputError(place, refusal.sentence) from refusal
    if abs(measured - groove.wanted) > 0.003:
        raise InputError(place, "is no width of this groove: was another one measured?")
    return amend(document, {"workshop.saw.wider": round(measured - groove.stack.width, 7)})


PARTS = {"chipper": ("chippers", 0.003175), "shim": ("shims", 0.0001)}
"""What may be added to a stack: where it stands in the document, and an ordinary thickness. [m]"""


def add(document, kind, typed, result):
    """Add a chipper or a shim of an ordinary thickness, to be changed."""
    if kind not in PARTS:
        raise InputError("workshop.saw", "must be a chipper or a shim")
    place, thickness = PARTS[kind]
    saw = document["workshop"]["saw"]
    name = next(
        f"{kind} {n}" for n in range(1, 99) if all(f"{kind} {n}" not in saw[p] for p in ("chippers", "shims"))
    )
    return amend(document, {f"workshop.saw.{place}.{name}": thickness})


def drop(document, name, typed, result):
    """Take a part out of the stack that the shop owns."""
    saw = document["workshop"]["saw"]
    for place in ("chippers", "shims"):
        if name in saw[place]:
            return without(document, f"workshop.saw.{place}.{name}")
    raise InputError("workshop.saw", GONE)


ACTIONS = {"scrap": scrap, "add": add, "drop": drop}
