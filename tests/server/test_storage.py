"""Projects on disk: nothing is lost, nothing half written, nothing overwritten unseen."""

import json
import os
import re
import stat
from threading import Thread

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.project import FORMAT
from server import storage
from server.documents import FieldErrors, NewerFormat, amend
from server.storage import Damaged, Missing, ReadOnly, Stale, Store


def titled(document, title):
    return amend(document, {"title": title})


def project_file(store, id):
    return store.folder / "projects" / id / "project.json"


def test_a_new_project_is_found_again(store, document):
    id = store.create(document)
    stored = store.load(id)
    assert re.fullmatch(r"[\w-]{22}", id)
    assert (stored.id, stored.revision, stored.document, stored.damaged) == (id, 1, document, None)
    envelope = json.loads(project_file(store, id).read_text())
    assert list(envelope) == ["format", "revision", "saved", "project"]
    assert Store(store.folder).load(id) == stored, "another process sees the same"


def test_saves_count_up_and_every_revision_stays(store, document):
    id = store.create(document)
    for number in range(1, 6):
        assert store.save(id, titled(document, f"Title {number + 1}"), number) == number + 1
    assert [number for number, _ in store.earlier(id)] == [5, 4, 3, 2, 1]
    times = [saved for _, saved in store.earlier(id)]
    assert times == sorted(times, reverse=True)
    assert [store.load_revision(id, n).document["title"] for n in (1, 2, 6)] == [
        "Bench pair",
        "Title 2",
        "Title 6",
    ]
    assert (project_file(store, id).parent / "earlier" / "000005.json").exists()
    with pytest.raises(Missing):
        store.load_revision(id, 7)


def test_a_restored_revision_is_a_new_one(store, document):
    id = store.create(document)
    store.save(id, titled(document, "Second"), 1)
    assert store.restore(id, 1, 2) == 3
    assert store.load(id).document == document
    assert store.load_revision(id, 2).document["title"] == "Second"
    with pytest.raises(Stale):
        store.restore(id, 2, 2)


def test_a_stale_save_changes_nothing_and_shows_what_is_there(store, document):
    id = store.create(document)
    store.save(id, titled(document, "Hers"), 1)
    with pytest.raises(Stale) as caught:
        store.save(id, titled(document, "His"), 1)
    assert caught.value.current == store.load(id)
    assert caught.value.current.document["title"] == "Hers"
    assert store.load(id).revision == 2


def test_an_invalid_document_is_never_stored(store, document):
    with pytest.raises(FieldErrors):
        store.create(titled(document, ""))
    assert store.shelf() == []
    id = store.create(document)
    with pytest.raises(FieldErrors):
        store.save(id, titled(document, ""), 1)
    assert store.load(id).revision == 1


@pytest.mark.parametrize(
    "contents",
    [
        b"", b"{", b"\xff\xfe\x00", b"[]", b"null", b'{"revision": 1}',
        b'{"format": 1, "revision": 0, "saved": "2026-01-01T00:00:00+00:00", "project": {}}',
        b'{"format": 1, "revision": 9, "saved": "yesterday", "project": {"format": 1}}',
        b'{"format": 1, "revision": 9, "saved": "2026-01-01T00:00:00+00:00", "project": {"format": 1}}',
    ],
)  # fmt: skip
def test_a_damaged_file_is_reported_and_left_while_the_last_good_version_opens(store, document, contents):
    id = store.create(document)
    store.save(id, titled(document, "Second"), 1)
    store.save(id, titled(document, "Third"), 2)
    project_file(store, id).write_bytes(contents)
    stored = store.load(id)
    assert "damaged" in stored.damaged
    assert (stored.revision, stored.document["title"]) == (2, "Second")
    assert "damaged" in store.shelf()[0].problem
    with pytest.raises(Damaged):
        store.save(id, document, 2)
    assert project_file(store, id).read_bytes() == contents, "untouched"

    number = store.continue_from(id)
    assert number == 4, "the damaged one was 3: its number is not used again"
    assert store.load(id).document["title"] == "Second" and not store.load(id).damaged
    aside = list(project_file(store, id).parent.glob("damaged-*.json"))
    assert [path.read_bytes() for path in aside] == [contents], "kept under another name"
    assert store.save(id, titled(document, "Fifth"), number) == 5
    assert [number for number, _ in store.earlier(id)] == [4, 2, 1]
    assert store.continue_from(id) == 5, "nothing to do any more"


def test_damaged_earlier_versions_are_passed_over(store, document):
    id = store.create(document)
    for number in (1, 2, 3):
        store.save(id, titled(document, f"Title {number + 1}"), number)
    project_file(store, id).write_bytes(b"x")
    (project_file(store, id).parent / "earlier" / "000003.json").write_bytes(b"y")
    assert store.load(id).revision == 2
    assert [number for number, _ in store.earlier(id)] == [2, 1]
    assert store.continue_from(id) == 5


def test_with_no_good_version_left_the_files_stay_and_the_shelf_says_so(store, document):
    id = store.create(document)
    project_file(store, id).write_bytes(b"x")
    with pytest.raises(Damaged) as caught:
        store.load(id)
    assert "not touched" in caught.value.sentence
    assert store.shelf()[0].problem == caught.value.sentence
    with pytest.raises(Damaged):
        store.continue_from(id)
    assert project_file(store, id).read_bytes() == b"x"


def test_a_newer_format_is_refused_and_left(store, document):
    id = store.create(document)
    path = project_file(store, id)
    envelope = json.loads(path.read_text())
    envelope["format"] = envelope["project"]["format"] = FORMAT + 1
    newer = json.dumps(envelope)
    path.write_text(newer)
    for attempt in (
        lambda: store.load(id),
        lambda: store.save(id, document, 1),
        lambda: store.continue_from(id),
    ):
        with pytest.raises(NewerFormat):
            attempt()
    assert "newer version" in store.shelf()[0].problem
    assert path.read_text() == newer


def test_a_save_that_was_cut_between_its_two_steps_is_finished_by_the_next(store, document, monkeypatch):
    id = store.create(document)

    def cut(*_):
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(storage, "_write", cut)
        with pytest.raises(KeyboardInterrupt):
            store.save(id, titled(document, "Lost"), 1)
    assert store.load(id).document == document
    assert store.earlier(id) == [], "the first revision is still today's"
    assert store.save(id, titled(document, "Second"), 1) == 2
    assert store.load_revision(id, 1).document == document


def test_half_written_files_are_cleared_by_the_next_save(store, document):
    id = store.create(document)
    left = project_file(store, id).parent / ".writing-abc"
    left.write_bytes(b"half")
    store.save(id, document, 1)
    assert not left.exists()


def test_a_failed_write_leaves_the_old_revision(store, document, monkeypatch):
    id = store.create(document)

    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", full)
        with pytest.raises(OSError, match="No space"):
            store.save(id, titled(document, "Second"), 1)
    assert store.load(id).revision == 1
    assert sorted(path.name for path in project_file(store, id).parent.iterdir()) == [
        "earlier",
        "project.json",
    ]


def test_each_write_is_synced_before_it_is_moved_and_its_folder_after(store, document, monkeypatch):
    id = store.create(document)
    steps = []
    for name in ("fsync", "replace", "link"):
        real = getattr(os, name)

        def noted(*arguments, name=name, real=real):
            is_folder = name == "fsync" and stat.S_ISDIR(os.fstat(arguments[0]).st_mode)
            steps.append("fsync folder" if is_folder else name)
            return real(*arguments)

        monkeypatch.setattr(os, name, noted)
    store.save(id, document, 1)
    assert steps == ["link", "fsync folder", "fsync", "replace", "fsync folder"]


def test_a_disk_without_second_names_keeps_copies(store, document, monkeypatch):
    def refused(*_):
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)
    id = store.create(document)
    store.save(id, titled(document, "Second"), 1)
    assert store.load_revision(id, 1).document == document


def test_removing_moves_the_project_and_its_links_open_nothing(store, document):
    id = store.create(document)
    token = store.set_link(id, "look")
    store.remove(id)
    assert not store.holds(id) and store.shelf() == [] and store.linked(token) is None
    kept = list((store.folder / "removed").iterdir())
    assert len(kept) == 1 and json.loads((kept[0] / "project.json").read_text())["project"] == document
    with pytest.raises(Missing):
        store.load(id)


def test_the_shelf_shows_the_last_saved_first(store, document):
    ids = [store.create(titled(document, f"Project {n}")) for n in range(3)]
    store.save(ids[0], titled(document, "Project 0 again"), 1)
    assert store.shelf()[0].title == "Project 0 again"
    assert {summary.id for summary in store.shelf()} == set(ids)
    (store.folder / "projects" / "notes.txt").write_text("not a project")
    (store.folder / "projects" / ".new-abc").mkdir()
    assert len(store.shelf()) == 3


def test_links_are_made_withdrawn_and_made_anew(store, document):
    id = store.create(document)
    assert store.links(id) == {}
    look, edit = store.set_link(id, "look"), store.set_link(id, "edit")
    assert store.links(id) == {"look": look, "edit": edit}
    assert store.linked(look) == (id, "look") and store.linked(edit) == (id, "edit")
    again = store.set_link(id, "look")
    assert store.linked(look) is None and store.linked(again) == (id, "look")
    store.withdraw(id, "edit")
    assert store.links(id) == {"look": again} and store.linked(edit) is None
    with pytest.raises(Missing):
        store.set_link(id, "admin")
    (project_file(store, id).parent / "links.json").write_text("[1")
    assert store.links(id) == {} and store.linked(again) is None


BAD_IDS = [
    "",
    ".",
    "..",
    "../x",
    "a/b",
    "x" * 21,
    "x" * 23,
    "projects",
    "\0" * 22,
    "é" * 22,
    "../../../etc/passwd000",
]


@pytest.mark.parametrize("id", BAD_IDS)
def test_ids_that_are_no_ids_never_meet_a_path(store, document, id, monkeypatch):
    store.create(document)
    monkeypatch.setattr(os, "stat", None)
    assert not store.holds(id)
    assert store.linked(id) is None
    for attempt in (
        lambda: store.load(id),
        lambda: store.save(id, document, 1),
        lambda: store.remove(id),
        lambda: store.links(id),
        lambda: store.set_link(id, "look"),
        lambda: store.continue_from(id),
    ):
        with pytest.raises(Missing):
            attempt()


def test_a_read_only_store_shows_all_and_writes_nothing(store, document, tmp_path):
    id = store.create(document)
    token = store.set_link(id, "look")
    seen = Store(store.folder, read_only=True)
    assert seen.load(id).document == document and seen.linked(token) and len(seen.shelf()) == 1
    for attempt in (
        lambda: seen.create(document),
        lambda: seen.save(id, document, 1),
        lambda: seen.restore(id, 1, 1),
        lambda: seen.remove(id),
        lambda: seen.set_link(id, "edit"),
        lambda: seen.withdraw(id, "look"),
        lambda: seen.continue_from(id),
    ):
        with pytest.raises(ReadOnly):
            attempt()
    empty = Store(tmp_path / "nowhere", read_only=True)
    assert empty.shelf() == [] and empty.linked(token) is None and len(empty.shelf_key()) == 22
    assert not (tmp_path / "nowhere").exists()


def test_the_shelf_key_is_made_once_and_is_the_owners_alone(store):
    key = store.shelf_key()
    assert Store(store.folder).shelf_key() == key
    assert stat.S_IMODE((store.folder / "shelf-key").stat().st_mode) == 0o600
    (store.folder / "shelf-key").write_text("short")
    assert re.fullmatch(r"[\w-]{22}", Store(store.folder).shelf_key())


def test_one_of_many_threads_wins_each_revision(store, document):
    id = store.create(document)
    won, lost = [], []

    def work(name):
        own = Store(store.folder)
        for _ in range(10):
            current = own.load(id)
            try:
                won.append((own.save(id, titled(document, name), current.revision), name))
            except Stale:
                lost.append(name)

    threads = [Thread(target=work, args=(f"Editor {n}",)) for n in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(won) + len(lost) == 50
    assert sorted(number for number, _ in won) == list(range(2, len(won) + 2))
    for number, name in won:
        assert store.load_revision(id, number).document["title"] == name


@settings(max_examples=40)
@given(
    title=st.text(st.characters(codec="utf-8"), min_size=1, max_size=80).filter(str.strip),
    notes=st.text(st.characters(codec="utf-8")),
)
def test_any_text_survives_the_disk(tmp_path_factory, title, notes):
    document = json.loads(
        (storage.Path(__file__).parent.parent / "data" / "project_format_1.json").read_text()
    )
    store = Store(tmp_path_factory.mktemp("texts"))
    id = store.create({**document, "title": title, "notes": notes})
    stored = store.load(id).document
    assert (stored["title"], stored["notes"]) == (title, notes)


def test_a_page_opens_the_last_good_version_and_goes_on_from_it_when_told(store, document, client):
    id = store.create(document)
    store.save(id, titled(document, "Second"), 1)
    project_file(store, id).write_bytes(b"{")
    page = client.get(f"/projects/{id}/box")
    assert page.status_code == 200 and "damaged" in page.text and "Bench pair" in page.text
    refused = client.post(f"/projects/{id}/box", data={"revision": "1", "notes": "over it"})
    assert refused.status_code == 409
    assert project_file(store, id).read_bytes() == b"{"
    assert client.post(f"/projects/{id}/box", data={"revision": "1", "do": "continue"}).status_code == 303
    assert store.load(id).damaged is None


def test_a_page_refuses_a_newer_format_politely(store, document, client):
    id = store.create(document)
    envelope = json.loads(project_file(store, id).read_text())
    envelope["project"]["format"] = FORMAT + 1
    project_file(store, id).write_text(json.dumps(envelope))
    page = client.get(f"/projects/{id}/box")
    assert page.status_code == 409 and "newer version" in page.text
    assert "newer version" in client.get("/").text, "the shelf shows the rest all the same"
