"""Views: the cabinet to be turned and taken apart, in three views, sawn through, and panel by panel."""

from functools import partial

from fastapi import APIRouter, Request

from server import units
from server.drawings.panel import Paper
from server.pages import bench, render
from server.plates import all_openings, cabinet_paper_section, cabinet_three_views, letters
from server.routes.cutting import panel_drawings

router = APIRouter(prefix="/projects/{key}/views")

STEPS = {0: "Put together", 50: "Half apart", 100: "Taken apart"}
"""How far apart, in percent, for those whose browser runs no scripts."""


@router.get("")
def show(request: Request, key: str, view: str = "front", apart: str = "", part: str = ""):
    """Show the cabinet from every side."""
    from server.parts import parts
    from server.solid_view import VIEWS, holes, measures, turned

    now = bench(request, key)
    view = view if view in VIEWS else "front"
    share = int(apart) if apart in map(str, range(101)) else 0
    found, show, fraction = parts(now), now.project.show, now.project.fraction
    plain = partial(units.write, quantity="length", show=show, fraction=fraction)
    write = partial(units.with_unit, quantity="length", show=show, fraction=fraction)
    return render(
        request,
        "views",
        now,
        figure=turned(found, write, plain, apart=share / 100, view=view),
        parts=[(each, measures(each, write, plain), holes(each, write)) for each in found],
        lit=part if part in {each.name for each in found} else "",
        view=view,
        views={name: words for name, (words, _) in VIEWS.items()},
        apart=share,
        steps=STEPS,
        taken=_taken(now, share / 100),
        sheets=[
            ("Three views", cabinet_three_views(now, found)),
            ("Section through the middle", cabinet_paper_section(now, found)),
            *((name.capitalize(), drawing) for name, drawing in _faces(now).items()),
        ],
    )


def _faces(bench):
    """A sheet of paper for each panel and each brace."""
    project = bench.project
    return panel_drawings(bench, Paper(project.show, project.title, project.cabinet.mirrored))


def _taken(bench, share):
    """The cabinet taken apart as a drawing that needs no script."""
    from server.drawings.exploded import exploded

    cabinet = bench.result.cabinet
    return exploded(
        cabinet.carcass,
        braces=cabinet.braces,
        letters=letters(bench.result),
        openings=all_openings(bench),
        share=share,
    )
