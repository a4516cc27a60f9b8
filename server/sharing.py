"""Who may do what: an address is the permission.

The pages of a project live at ``/projects/{key}/...``. The key is the project's own id (its owner: may edit
and share), the token of its edit link, or that of its look link. A helper's pages carry only the token they
came with, never the id, so that taking the link back shuts them out.

The shelf, which shows every id, is only for the owner: someone at the machine itself, or a device that has
opened the address printed at the start, which leaves the shelf key there as a cookie.
"""

import ipaddress
import secrets
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

SHELF_COOKIE = "shelf"

router = APIRouter(include_in_schema=False)


class Unknown(Exception):
    """An address that opens nothing: never made, mistyped, or taken back. The answer does not say which."""

    sentence = "Nothing is found at this address. If you were sent it as a link, it may have been taken back."


@dataclass(frozen=True)
class Access:
    """What `key` lets its holder do with a project. Pages build addresses with `key`, never with the id."""

    project_id: str
    key: str
    may_edit: bool
    may_share: bool


def opened(store, key):
    """Return the `Access` that a page's key gives, or raise `Unknown`."""
    if store.holds(key):
        return Access(key, key, may_edit=not store.read_only, may_share=not store.read_only)
    linked = store.linked(key)
    if linked is None:
        raise Unknown(Unknown.sentence)
    project_id, kind = linked
    return Access(project_id, key, may_edit=kind == "edit" and not store.read_only, may_share=False)


def owner(request):
    """Tell whether the request comes from this machine or from a device that holds the shelf key."""
    if request.client and _is_here(request.client.host):
        return True
    kept = request.cookies.get(SHELF_COOKIE, "")
    return _same(kept, request.app.state.store.shelf_key())


def only_owner(request: Request):
    """Shut a page to all but the owner, as if there were no such page. A dependency for routes."""
    if not owner(request):
        raise Unknown(Unknown.sentence)


@router.get("/open/{shelf_key}")
def open_shelf(request: Request, shelf_key: str):
    """Leave the shelf key on the device that opened the address printed at the start."""
    if not _same(shelf_key, request.app.state.store.shelf_key()):
        raise Unknown(Unknown.sentence)
    # A page and not a redirect: a strict cookie is not sent along the redirect of a link from elsewhere.
    answer = HTMLResponse(
        '<!doctype html><html lang="en"><meta charset="utf-8"><meta http-equiv="refresh" content="0; url=/">'
        "<title>Opening the shelf</title>"
        '<main><h1>Opening the shelf</h1><p><a href="/">Go to the shelf</a></p>'
        "</main></html>"
    )
    year = 365 * 24 * 3600
    answer.set_cookie(SHELF_COOKIE, shelf_key, max_age=year, httponly=True, samesite="strict", path="/")
    return answer


def _same(given, kept):
    return secrets.compare_digest(given.encode("utf-8", "replace"), kept.encode())


def _is_here(host):
    try:
        address = ipaddress.ip_address(host.partition("%")[0])
    except ValueError:
        return False
    return (getattr(address, "ipv4_mapped", None) or address).is_loopback
