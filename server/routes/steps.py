"""Steps: what is done and what comes next, ticked by whoever stands at the machine."""

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse

from server.pages import bench, render, typed_fields, wants_panel
from server.storage import ReadOnly
from server.work import keys, tasks

router = APIRouter(prefix="/projects/{key}/steps")


@router.get("")
def show(request: Request, key: str):
    """Show the steps with their ticks."""
    now = bench(request, key)
    return render(request, "steps", now, **view(now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Set a tick or take it away."""
    return tick(request, key, "steps", typed, view)


def tick(request, key, name, typed, view):
    """Set a tick on the page `name` or take it away; it changes no decision, so it makes no revision."""
    now = bench(request, key)
    if not now.access.may_edit:
        raise ReadOnly()
    verb, _, step = typed.get("do", "").partition(":")
    if verb in ("tick", "untick") and step in keys(tasks(now)):
        now.store.tick(now.access.project_id, step, verb == "tick")
    if wants_panel(request):
        return render(request, name, now, **view(now))
    return RedirectResponse(f"/projects/{key}/{name}", status_code=303)


def view(bench):
    """The steps, when each was ticked, how many are, and the first that is not."""
    found = tasks(bench)
    ticked = bench.store.ticks(bench.access.project_id)
    waiting = [
        (task, key) for _, each in found for task in each for key, _ in task.ticks if key not in ticked
    ]
    everything = keys(found)
    return {
        "tasks": found,
        "ticked": ticked,
        "done": len(everything & set(ticked)),
        "all": len(everything),
        "next_task": waiting[0][0] if waiting else None,
    }
