"""Who may do what with a project, and who sees the shelf."""

import secrets

import pytest
from fastapi import Depends

from server import sharing
from server.app import PAGES as app_pages
from server.routes import shelf
from server.sharing import Access, Unknown, only_owner, opened
from server.storage import Store


def test_a_key_gives_what_it_was_made_for(store, document):
    id = store.create(document)
    edit, look = store.set_link(id, "edit"), store.set_link(id, "look")
    assert opened(store, id) == Access(id, id, may_edit=True, may_share=True)
    assert opened(store, edit) == Access(id, edit, may_edit=True, may_share=False)
    assert opened(store, look) == Access(id, look, may_edit=False, may_share=False)
    assert id not in (edit, look)


def test_a_withdrawn_or_unknown_key_opens_nothing_and_does_not_say_which(store, document):
    id = store.create(document)
    look = store.set_link(id, "look")
    store.withdraw(id, "look")
    refusals = []
    for key in (look, secrets.token_urlsafe(16), "x", "", "../" + id, id + "\n", "ü" * 22):
        with pytest.raises(Unknown) as caught:
            opened(store, key)
        refusals.append(str(caught.value))
    assert len(set(refusals)) == 1


def test_nobody_edits_while_the_workbench_only_shows(store, document):
    id = store.create(document)
    edit = store.set_link(id, "edit")
    shown = Store(store.folder, read_only=True)
    for key in (id, edit):
        assert not opened(shown, key).may_edit and not opened(shown, key).may_share


def test_every_token_is_compared_in_constant_time(store, document, monkeypatch):
    ids = [store.create(document) for _ in range(3)]
    tokens = [store.set_link(id, kind) for id in ids for kind in ("edit", "look")]
    compared = []
    real = secrets.compare_digest
    monkeypatch.setattr(secrets, "compare_digest", lambda a, b: compared.append(a) or real(a, b))
    opened(store, tokens[0])
    assert sorted(compared) == sorted(tokens), "all of them, found or not"


@pytest.fixture
def owners_page(app):
    """A page for the owner only, as the shelf is."""
    app.add_api_route("/only-owner", lambda: "the shelf", dependencies=[Depends(only_owner)])


def test_the_owner_sits_at_the_machine(owners_page, client, visitor):
    assert client.get("/only-owner").status_code == 200
    assert visitor.get("/only-owner").status_code == 404


def test_another_device_becomes_the_owners_by_the_printed_address(owners_page, store, visitor):
    assert visitor.get(f"/open/{secrets.token_urlsafe(16)}").status_code == 404
    assert visitor.get("/only-owner").status_code == 404
    answer = visitor.get(f"/open/{store.shelf_key()}")
    assert answer.status_code == 200 and 'href="/"' in answer.text
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie and "samesite=strict" in cookie
    assert visitor.get("/only-owner").status_code == 200
    visitor.cookies.clear()
    visitor.cookies.set(sharing.SHELF_COOKIE, "x" * 22)
    assert visitor.get("/only-owner").status_code == 404


@pytest.mark.parametrize(
    ("host", "here"),
    [
        ("127.0.0.1", True), ("127.9.9.9", True), ("::1", True), ("::ffff:127.0.0.1", True),
        ("192.168.7.20", False), ("::ffff:192.168.7.20", False), ("localhost.example", False), ("", False),
        ("testclient", False), ("fe80::1%eth0", False),
    ],
)  # fmt: skip
def test_which_addresses_are_this_machine(host, here):
    assert sharing._is_here(host) is here


def test_claimed_senders_are_not_believed(owners_page, visitor):
    for name in ("X-Forwarded-For", "X-Real-IP", "Forwarded"):
        assert visitor.get("/only-owner", headers={name: "127.0.0.1"}).status_code == 404


PAGES = [module.__name__.rpartition(".")[2] for module in app_pages if module is not shelf]


ASKED = {
    "/map/at": {"Vb": "0.014", "fb": "40"},
    **dict.fromkeys(("/part.dxf", "/part.svg", "/part.pdf"), {"part": "front outside"}),
    **dict.fromkeys(("/sheet.dxf", "/sheet.svg"), {"sheet": "ply", "number": "1"}),
}
"""What an address that tells of one thing is asked for."""


def addresses(app, key):
    """Every address of a project's pages that can be opened as it stands."""
    paths = {route.path for route in walk(app.routes) if "GET" in (getattr(route, "methods", None) or ())}
    return sorted(
        path.replace("{key}", key)
        for path in paths
        if path.startswith("/projects/{key}/") and path.count("{") == 1
    )


def walk(routes):
    """The routes, those of the included routers among them."""
    for route in routes:
        yield route
        yield from walk(
            getattr(route, "routes", None) or getattr(getattr(route, "original_router", None), "routes", ())
        )


def test_a_helper_sees_every_page_and_on_none_the_id_or_the_other_link(app, store, document, visitor):
    id = store.create(document)
    look, edit = store.set_link(id, "look"), store.set_link(id, "edit")
    for key, other in ((look, edit), (edit, look)):
        seen = addresses(app, key)
        assert {f"/projects/{key}/{page}" for page in PAGES} <= set(seen)
        for address in seen:
            asked = next((asked for end, asked in ASKED.items() if address.endswith(end)), {})
            answer = visitor.get(address, params=asked)
            assert answer.status_code == 200, address
            assert id not in answer.text and other not in answer.text, address


def test_a_look_link_changes_nothing(app, store, document, visitor):
    id = store.create(document)
    look = store.set_link(id, "look")
    for page in PAGES:
        answer = visitor.post(
            f"/projects/{look}/{page}", data={"revision": "1", "notes": f"changed on {page}"}
        )
        assert answer.status_code in (403, 405), page
    assert store.load(id).revision == 1


def test_an_edit_link_edits_until_it_is_taken_back_and_never_shares(store, document, visitor):
    id = store.create(document)
    edit = store.set_link(id, "edit")
    assert (
        visitor.post(f"/projects/{edit}/box", data={"revision": "1", "notes": "by a helper"}).status_code
        == 303
    )
    assert store.load(id).document["notes"] == "by a helper"
    for do in ("link:look", "link:edit", "withdraw:edit", "remove", "share:look"):
        visitor.post(f"/projects/{edit}/history", data={"revision": "2", "do": do})
    assert store.links(id) == {"edit": edit} and store.holds(id)
    store.withdraw(id, "edit")
    for page in PAGES:
        assert visitor.get(f"/projects/{edit}/{page}").status_code == 404
        refused = visitor.post(f"/projects/{edit}/{page}", data={"revision": "2", "notes": "again"})
        assert refused.status_code in (404, 405), page
    assert store.load(id).revision == 2


def test_the_shelf_is_not_there_for_others(store, document, client, visitor):
    id = store.create(document)
    assert id in client.get("/").text
    for answer in (visitor.get("/"), visitor.post("/", data={"do": f"remove:{id}"})):
        assert answer.status_code == 404 and id not in answer.text
    assert store.holds(id)
