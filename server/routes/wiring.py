"""Wiring: what a meter reads before the power goes on, and which mistake a reading tells."""

from math import isinf

from fastapi import APIRouter, Depends, Request

from calc.evaluate_network import lacking
from calc.evaluate_wiring import before_power
from calc.network.faults import METER, METER_SHARE
from server.pages import bench, render, take, typed_fields
from server.telling_network import fault_words, further, joint_words

router = APIRouter(prefix="/projects/{key}/wiring")


@router.get("")
def show(request: Request, key: str):
    """Show how it is joined."""
    now = bench(request, key)
    return render(request, "wiring", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take what a meter read."""
    return take(request, key, "wiring", typed, view)


def view(bench):
    """What readings mean."""
    project, result = bench.project, bench.result
    missing = lacking(project, result) if project.network else {}
    read = before_power(project, result) if project.network and not missing else None
    return {
        "missing": missing,
        "read": read,
        "further": further(read.explained) if read and read.explained else (),
        "fault_words": fault_words,
        "joint_words": joint_words,
        "isinf": isinf,
        "meter": METER,
        "meter_share": METER_SHARE,
    }
