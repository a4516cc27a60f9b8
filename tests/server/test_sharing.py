"""Who may do what with a project, and who sees the shelf."""

import secrets

import pytest
from fastapi import Depends

from server import sharing
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
def shelf(app):
    """A page for the owner only, as the shelf is."""
    app.add_api_route("/only-owner", lambda: "the shelf", dependencies=[Depends(only_owner)])


def test_the_owner_sits_at_the_machine(shelf, client, visitor):
    assert client.get("/only-owner").status_code == 200
    assert visitor.get("/only-owner").status_code == 404


def test_another_device_becomes_the_owners_by_the_printed_address(shelf, store, visitor):
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


def test_claimed_senders_are_not_believed(shelf, visitor):
    for name in ("X-Forwarded-For", "X-Real-IP", "Forwarded"):
        assert visitor.get("/only-owner", headers={name: "127.0.0.1"}).status_code == 404
