"""As cut: what was measured after the saw, what it makes of the cabinet, and how far anything may move."""

from fastapi import APIRouter, Depends, Request

from calc.cabinet.as_cut import along, fits
from calc.cabinet.joints import FACES
from calc.errors import InputError
from calc.evaluate_as_cut import QUIET_SHARE, QUIET_TUNING, QUIET_VOLUME, built
from calc.evaluate_free_play import FURTHEST, GROUPS, free_play
from server.documents import without
from server.pages import bench, path_words, render, take, typed_fields
from server.plates import lengths
from server.telling import told

router = APIRouter(prefix="/projects/{key}/as_cut")

PLAYS = {"sizes": "Sizes and sheets", "joints": "Joints and braces", "places": "Drivers, ports and holes"}
"""Groups of dimensions whose play can be asked for, and what their buttons say."""


@router.get("")
def show(request: Request, key: str, play: str = ""):
    """Show what was really cut; with `play`, how far the dimensions of that group may move."""
    now = bench(request, key)
    return render(request, "as_cut", now, **view(now, play))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take measured sizes, or forget them all."""
    return take(request, key, "as_cut", typed, view, {"forget": forget})


def view(bench, play=""):
    """What was built, the drawing of it, what can be measured, and the plays that were asked for."""
    from server.drawings.as_cut import as_cut

    project, cabinet = bench.project, bench.result.cabinet
    now = built(project, bench.result)
    parts = (*cabinet.carcass.panels.values(), *cabinet.braces.values())
    _, found = fits(cabinet.carcass, cabinet.braces, project.cabinet.edges, project.cabinet.as_cut)
    write = lengths(bench)
    return {
        "now": now,
        "told": lambda saying: told(saying, project),
        "plate": as_cut(
            [p for p in parts if p.name not in ("front", "back")], cabinet.carcass.outer, found, write
        ),
        "parts": [(part, tuple(along(part))) for part in parts],
        "grooves": list(_grooves(project, cabinet)),
        "bored": [(each, bench.result.seats.get(each.name)) for each in bench.result.openings],
        "measured": _measured(project.cabinet.as_cut),
        "quiet": (QUIET_VOLUME, QUIET_TUNING, QUIET_SHARE),
        "play": play if play in GROUPS else "",
        "plays": _plays(bench, play, write) if play in GROUPS else (),
        "asked": PLAYS,
    }


def _measured(real):
    """How many parts, grooves and openings are not as planned."""
    return len(real.parts), len(real.grooves), len(real.openings)


def _grooves(project, cabinet):
    """(panel, mate, depth [m], width [m]) of each groove and rabbet, as planned."""
    panels = cabinet.carcass.panels
    for name, edge in project.cabinet.edges.items():
        if edge.depth:
            (mate,) = set(name.split("-")) - {edge.into}
            yield edge.into, mate, edge.depth, panels[mate].thickness
    for panel in panels.values():
        for cut in panel.cuts:
            if cut.kind == "groove":
                axis = FACES[panel.name][0]
                yield panel.name, cut.name, cut.high[axis] - cut.low[axis], cabinet.braces[cut.name].thickness


def _plays(bench, group, write):
    """(words, value, drawing, less, more) of each dimension of a group."""
    from server.drawings.play import play_bar

    rows = []
    for n, play in enumerate(free_play(bench.project, bench.result, group)):
        ends = play.less, play.more
        sides = [(abs(end.by), bool(end.kind)) for end in ends]
        bar = play_bar(*sides, FURTHEST, write, name=f"play-{n}")
        rows.append((_dimension(play), play.value, bar, *((abs(end.by), _stop(end)) for end in ends)))
    return rows


def _dimension(play):
    """What a dimension is called."""
    first, *others = play.paths
    if others:
        return f"All {len(play.paths)} joints as deep as that"
    if ".sheets." in first:
        return path_words(first).replace("Sheets", "Sheet")
    return path_words(first)


def _stop(end):
    """Why the play ends, in words."""
    if end.clash is not None:
        return end.clash.sentence
    return end.words and end.words[0].upper() + end.words[1:] + "."


def forget(document, _, typed, result):
    """Take all as planned again."""
    if "as_cut" not in document["cabinet"]:
        raise InputError("cabinet.as_cut", "nothing was measured yet")
    return without(document, "cabinet.as_cut")
