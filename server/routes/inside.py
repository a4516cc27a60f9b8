"""Inside: where the air of the box swings, what lining does about it, and what the box loses."""

from fastapi import APIRouter, Depends, Request

from calc.errors import InputError
from calc.evaluate_inside import USUAL_DENSITY, USUAL_DEPTH, USUAL_FIBRE, inside
from calc.sound import filling, losses
from calc.sound.cavity import still_places, walls_share
from server.documents import amend
from server.drawings.standing_waves import standing_wave
from server.pages import bench, render, take, typed_fields
from server.routes.box import labels

router = APIRouter(prefix="/projects/{key}/inside")

ACROSS = {"height": "depth", "depth": "height", "width": "height"}
"""The other side of the section in which a wave along a side is drawn."""

FROM_WHERE = {"height": "from the bottom", "depth": "behind the front", "width": "from the left"}
"""How places along a side are counted, inside."""

UNTOLD = {
    "driver": "What that does to the level is unknown until driver data.",
    "chambers": "What that does to the level cannot be told: the wall that parts the chambers is not in this"
    " model, and each of them has higher waves of its own.",
    "cones": "What that does to the level cannot be told before the drivers have their seats.",
    "ports": "What that does to the level cannot be told: not all ports or radiators have their place.",
}
"""Why there is no chart."""


@router.get("")
def show(request: Request, key: str):
    """Show what goes on inside the chosen box."""
    now = bench(request, key)
    return render(request, "inside", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited values, line the box, or take the lining out."""
    return take(request, key, "inside", typed, view, {"line": line, "unline": unline})


def view(bench):
    """The waves drawn, the chart of what they do, the ways to line the box, and its losses."""
    from server.charts import pencilled  # plotly takes its time: not before it is asked for
    from server.charts_inside import ripple_chart

    now = inside(bench.project, bench.result)
    return {
        "inside": now,
        "waves": [
            (wave, still_places(wave.half_waves, now.sides[wave.side]), _drawn(wave, now.sides))
            for wave in now.axial
        ],
        "from_where": FROM_WHERE,
        "chart": ripple_chart(now),
        "untold": UNTOLD.get(now.untold),
        "pencils": {key: n for n, key in enumerate(pencilled(bench.result))},
        "labels": labels(bench.project, bench.result),
        "materials": [(key, each.words) for key, each in filling.MATERIALS.items()],
        "seals": [(key, seal.words) for key, seal in losses.SEALS.items()],
        "filling": filling,
        "losses": losses,
        "combined": losses.combined_Q(*(cost.Q for cost in now.costs)) if now.costs else None,
    }


def _drawn(wave, sides):
    return standing_wave(
        wave.side, wave.half_waves, sides[wave.side], sides[ACROSS[wave.side]],
        wave.cones or (), wave.ports or (), name=f"wave-{wave.side}-{wave.half_waves}",
    )  # fmt: skip


def line(document, place, typed, result):
    """Line the walls of the chosen box, or fill half of it loosely, with the usual fibre."""
    path = f"alternatives.{document['chosen']}.box.lining"
    if place not in ("walls", "throughout"):
        raise InputError(path, "must be on the walls or throughout")
    inner = result.cabinet.carcass.mean_inner
    share = walls_share(*inner, min(USUAL_DEPTH, min(inner) / 4)) if place == "walls" else 0.5
    usual = {"material": USUAL_FIBRE, "density": USUAL_DENSITY, "share": round(share, 3), "place": place}
    return amend(document, {path: usual})


def unline(document, argument, typed, result):
    """Take the lining out of the chosen box."""
    return amend(document, {f"alternatives.{document['chosen']}.box.lining": None})
