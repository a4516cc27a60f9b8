"""History: earlier versions to go back to, links to give away, and the project's own page of settings."""

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse

from server import units
from server.documents import at, differences
from server.pages import bench, conflict, path_words, render, take, typed_fields
from server.sharing import opened
from server.storage import Missing, ReadOnly, Stale

router = APIRouter(prefix="/projects/{key}/history")

SHOWN = 40
"""Earlier versions on the page; all are kept."""


@router.get("")
def show(request: Request, key: str):
    """Show the versions, the links and the settings."""
    now = bench(request, key)
    return render(request, "history", now, **view(request, now))


@router.post("")
def update(request: Request, key: str, typed=Depends(typed_fields)):
    """Take edited settings, go back to a version, make or take back a link."""
    verb, _, argument = typed.get("do", "").partition(":")
    if verb == "restore":
        return restore(request, key, argument, typed.get("revision", ""))
    if verb in ("link", "withdraw"):
        return link(request, key, verb, argument)
    return take(request, key, "history", typed, lambda now: view(request, now))


def restore(request, key, number, revision):
    """Make an earlier version the newest one; nothing between is lost."""
    store = request.app.state.store
    access = opened(store, key)
    if not access.may_edit:
        raise ReadOnly()
    if not number.isdecimal() or len(number) > 9:
        raise Missing("There is no such version.")
    try:
        store.restore(access.project_id, int(number), _whole(revision))
    except Stale:
        return conflict(request, "history", bench(request, key), {}, {}, f"restore:{number}")
    return RedirectResponse(f"/projects/{key}/history", status_code=303)


def _whole(text):
    """The number that a form field holds, or one that no revision has."""
    return int(text) if text.isdecimal() and len(text) <= 9 else -1


def link(request, key, verb, kind):
    """Make a link anew, or take it back; only the owner may."""
    store = request.app.state.store
    access = opened(store, key)
    if not access.may_share:
        raise ReadOnly()
    if kind in ("edit", "look"):
        (store.set_link if verb == "link" else store.withdraw)(access.project_id, kind)
    return RedirectResponse(f"/projects/{key}/history#share", status_code=303)


def view(request, bench):
    """Versions, and the links as addresses with their codes to point a phone at."""
    store = request.app.state.store
    links = store.links(bench.access.project_id) if bench.access.may_share else {}
    return {
        "earlier": earlier(store, bench),
        "links": {kind: address(request, token, kind) for kind, token in links.items()},
        "codes": {kind: code(address(request, token, kind)) for kind, token in links.items()},
    }


def earlier(store, bench):
    """The earlier versions, newest first: (revision, time, what the change after it was)."""
    rows, after = [], bench.stored.document
    for revision, saved in store.earlier(bench.access.project_id)[:SHOWN]:
        before = store.load_revision(bench.access.project_id, revision).document
        rows.append((revision, saved, change(before, after)))
        after = before
    return rows


def change(before, after):
    """What one revision changed, in words: its first two values, and how many more."""
    paths = list(differences(before, after))
    words = [_changed(path, before, after) for path in paths[:2]]
    more = f"and {len(paths) - 2} more" if len(paths) > 2 else ""
    return "; ".join(filter(None, [*words, more])) or "nothing"


def _changed(path, before, after):
    """One place and its two values; a part that came or went is only named."""
    if isinstance(at(before, path), dict) or isinstance(at(after, path), dict):
        return path_words(path)
    was, now = (units.shown(document, path) or "(empty)" for document in (before, after))
    return f"{path_words(path)} {was} → {now}"


FIRST = {"look": "packet", "edit": "box"}
"""Where each link opens: who looks stands at the saw."""


def address(request, token, kind):
    """A link as another device on the network reaches it."""
    from server.security import lan_address

    host = request.url.hostname
    if host in ("localhost", "127.0.0.1", "::1"):
        host = lan_address() or host
    port = f":{request.url.port}" if request.url.port else ""
    return f"{request.url.scheme}://{host}{port}/projects/{token}/{FIRST[kind]}"


def code(text, scale=4, border=3):
    """A QR code as inline SVG, a module `scale` pixels wide, in a `border` of so many."""
    import segno

    drawn = segno.make(text, error="m")
    return drawn.svg_inline(scale=scale, border=border, dark="#000", light="#fff", svgclass="qr")
