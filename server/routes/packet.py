"""Packet: what goes on the shop wall, made to be printed."""

from fastapi import APIRouter, Request

from calc.evaluate_boring import marks, other_tools
from server.pages import bench, render
from server.plates import all_openings, cabinet_section, letters
from server.routes.boring import faces, radiator_drawing, seat_drawings
from server.routes.box import labels
from server.routes.cutting import both, panel_drawings, sum_words
from server.routes.saw import settings

router = APIRouter(prefix="/projects/{key}/packet")


@router.get("")
def show(request: Request, key: str):
    """Show all that the shop needs, on paper."""
    now = bench(request, key)
    return render(request, "packet", now, **view(now))


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
        "labels": labels(bench.project, bench.result),
        **settings(bench),
    }
