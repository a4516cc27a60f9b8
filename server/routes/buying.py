"""To buy: everything that the pair needs, and what it costs at the prices that somebody typed."""

from fastapi import APIRouter, Depends, Request

from calc.evaluate_buying import buying
from server.pages import bench, render, take, typed_fields

router = APIRouter(prefix="/projects/{key}/buying")


@router.get("")
def show(request: Request, key: str):
    """Show what must be bought."""
    now = bench(request, key)
    return render(request, "buying", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take prices."""
    return take(request, key, "buying", typed, view)


def view(bench):
    """The lines under their headings."""
    bought, groups = buying(bench.project, bench.result), {}
    for line in bought.lines:
        groups.setdefault(line.group, []).append(line)
    return {"bought": bought, "groups": groups, "per": PER}


PER = {"piece": "each", "mass": "per kg", "length": "per metre", "sheet area": "per m²"}
"""What a price is for."""
