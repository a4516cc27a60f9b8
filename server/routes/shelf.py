"""The shelf: every project, and how to begin one. Only its owner sees it."""

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse

from server.beginnings import DEMOS, demo, from_drivers, from_plan, stock
from server.pages import render, typed_fields
from server.sharing import only_owner

router = APIRouter(dependencies=[Depends(only_owner)])

BEGINNINGS = {
    "drivers": from_drivers,
    "plan": from_plan,
}


@router.get("/")
def show(request: Request):
    """Show all projects, the demos among them on a first visit."""
    store = request.app.state.store
    stock(store)
    return render(request, "shelf", projects=store.shelf(), read_only=store.read_only)


@router.post("/")
def begin(request: Request, typed=Depends(typed_fields)):
    """Begin a project, or put one away."""
    store = request.app.state.store
    verb, _, argument = typed.get("do", "").partition(":")
    show = "imperial" if typed.get("show") == "imperial" else "metric"
    if verb == "begin" and argument in BEGINNINGS:
        document = BEGINNINGS[argument](show)
        document["title"] = typed.get("title", "").strip()[:80] or document["title"]
        return RedirectResponse(
            f"/projects/{store.create(document)}/{_first_page(argument)}", status_code=303
        )
    if verb == "demo" and argument in DEMOS:
        return RedirectResponse(
            f"/projects/{store.create({**demo(argument), 'show': show})}/box", status_code=303
        )
    if verb == "remove":
        store.remove(argument)
    return RedirectResponse("/", status_code=303)


def _first_page(beginning):
    return "drivers" if beginning == "drivers" else "cabinet"
