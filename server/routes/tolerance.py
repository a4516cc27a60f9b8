"""Tolerance: what loose parts do to the sound, which of them matters, and whether to match pairs."""

from fastapi import APIRouter, Depends, Request

from calc.evaluate_network import lacking, network
from calc.evaluate_sum import acoustic_sum
from calc.evaluate_tolerance import AUDIBLE, loosened, tolerance
from server.pages import bench, render, take, typed_fields

router = APIRouter(prefix="/projects/{key}/tolerance")


@router.get("")
def show(request: Request, key: str):
    """Show what loose parts do."""
    now = bench(request, key)
    return render(request, "tolerance", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take tolerances."""
    return take(request, key, "tolerance", typed, view)


def view(bench):
    """The band, the parts behind it, and pairs of speakers."""
    from server.charts_tolerance import band_chart, pair_chart

    project, result = bench.project, bench.result
    missing = lacking(project, result) if project.network else {}
    known = project.network and not missing
    heard = acoustic_sum(project, result, network(project, result)) if known else None
    loose = loosened(project, result, heard) if heard else None
    found = tolerance(loose) if loose else None
    return {
        "found": found,
        "heard": heard,
        "missing": missing,
        "charts": [band_chart(found), pair_chart(found)] if found else [],
        "audible": AUDIBLE,
    }
