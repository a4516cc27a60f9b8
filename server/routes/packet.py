"""Packet: what goes on the shop wall, made to be printed."""

from fastapi import APIRouter, Request

from calc.evaluate_boring import corner_marks, marks, other_tools, windows
from server.drilling import drilling
from server.pages import bench, render
from server.plates import all_openings, cabinet_section, letters
from server.routes.assembly import put_together
from server.routes.boring import faces, radiator_drawing, seat_drawings
from server.routes.box import labels
from server.routes.cutting import both, panel_drawings, sheet_drawings, sum_words
from server.routes.history import address, code
from server.routes.saw import settings
from server.routes.wiring import joined, solved
from server.work import hands, tasks

router = APIRouter(prefix="/projects/{key}/packet")

PANEL = 155
"""How high a panel is drawn at most: so two stand on a sheet of paper, with lettering of 12 points."""

FACE = 760
"""How wide front and back are drawn, so that their lettering is as large."""

APART = 620
"""How wide the cabinet is drawn that is taken apart, so that its letters are."""


@router.get("")
def show(request: Request, key: str):
    """Show all that the shop needs, on paper."""
    now = bench(request, key)
    return render(request, "packet", now, **view(now), **stamp(request, now))


def stamp(request, bench):
    """The look-only address and its code, for every sheet; None where the reader has no such link to give."""
    access, store = bench.access, bench.store
    if access.may_share:
        token = store.links(access.project_id).get("look")
    else:
        token = access.key if store.linked(access.key) == (access.project_id, "look") else None
    link = address(request, token, "look") if token else None
    return {"look": link, "look_code": code(link, scale=2, border=1) if link else None}


def view(bench):
    """The drawings and tables of the other pages, in the order of the work."""
    drawn = faces(bench, FACE)
    shown = {
        "section": cabinet_section(bench, ()),
        "apart": _apart(bench),
        "front": drawn.pop("front"),
        "others": drawn,
        "panels": panel_drawings(bench, tall=PANEL),
        "rows": bench.result.cut_list,
        "both": both(bench),
        "sum_words": sum_words(bench),
        "drawn": seat_drawings(bench),
        "radiator_drawn": radiator_drawing(bench),
        "marks": marks(bench.project, bench.result),
        "corner_marks": corner_marks(bench.project, bench.result),
        "tools": other_tools(bench.result),
        "windows": windows(bench.project, bench.result),
        **drilling(bench),
        "labels": labels(bench.project, bench.result),
        "tasks": tasks(bench),
        "ticked": bench.store.ticks(bench.access.project_id),
    }
    return shown | sheet_drawings(bench) | settings(bench) | put_together(bench) | _wiring(bench)


def _apart(bench):
    from server.drawings.exploded import exploded

    cabinet = bench.result.cabinet
    return exploded(
        cabinet.carcass, braces=cabinet.braces, letters=letters(bench.result),
        openings=all_openings(bench), wide=APART,
    )  # fmt: skip


def _wiring(bench):
    """The board at full size and its pads, the wires, and the tests before the first power."""
    from server.drawings.board import board_papers

    shown, project = joined(bench, *solved(bench)), bench.project
    made = shown["made"]
    papers = board_papers(made.layout, project.show, project.title) if made else []
    return shown | {"papers": papers, "hands": hands(project)}
