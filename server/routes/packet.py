"""Packet: what goes on the shop wall, made to be printed."""

from fastapi import APIRouter, Request

from calc.evaluate_boring import marks, other_tools
from server.drilling import drilling
from server.pages import bench, render
from server.plates import all_openings, cabinet_section, letters
from server.routes.boring import faces, radiator_drawing, seat_drawings
from server.routes.box import labels
from server.routes.cutting import both, panel_drawings, sum_words
from server.routes.history import address, code
from server.routes.saw import settings
from server.work import tasks

router = APIRouter(prefix="/projects/{key}/packet")


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
    """The drawings and tables of the other pages, once more."""
    from server.drawings.exploded import exploded

    cabinet = bench.result.cabinet
    drawn = faces(bench)
    openings = all_openings(bench)
    return {
        "section": cabinet_section(bench, ()),
        "apart": exploded(
            cabinet.carcass, braces=cabinet.braces, letters=letters(bench.result), openings=openings
        ),
        "front": drawn.pop("front"),
        "others": drawn,
        "panels": panel_drawings(bench),
        "rows": bench.result.cut_list,
        "both": both(bench),
        "sum_words": sum_words(bench),
        "drawn": seat_drawings(bench),
        "radiator_drawn": radiator_drawing(bench),
        "marks": marks(bench.project, bench.result),
        "tools": other_tools(bench.result),
        **drilling(bench),
        "labels": labels(bench.project, bench.result),
        **settings(bench),
        "tasks": tasks(bench),
        "ticked": bench.store.ticks(bench.access.project_id),
    }
