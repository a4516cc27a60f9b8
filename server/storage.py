"""Projects on disk: the only module that touches files.

    <data>/projects/<id>/project.json          today's revision
    <data>/projects/<id>/earlier/000012.json   each revision that was replaced
    <data>/projects/<id>/links.json            the tokens of its two links
    <data>/projects/<id>/ticks.json            steps that are done, and when; no decision, so no revision
    <data>/projects/<id>/damaged-*.json        unreadable files that were set aside, never deleted
    <data>/removed/                            projects taken off the shelf
    <data>/.locks/                             one lock a project
    <data>/shelf-key                           what lets another device see the shelf

A file is written beside its place, synced, and moved there in one step; then the folder is synced. So an
acknowledged save survives a killed process and a power cut, and a reader never sees half a file.
"""

import json
import os
import re
import secrets
import tempfile
import time
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

import orjson
from filelock import FileLock, Timeout

from calc.project import FORMAT
from server.documents import FieldErrors, NewerFormat, migrated, read_project

TOKEN = re.compile(r"[A-Za-z0-9_-]{22}")
"""What `secrets.token_urlsafe(16)` gives: the form of an id, a link's token and the shelf key."""

LINK_KINDS = ("edit", "look")

_HALF_WRITTEN = ".writing-"
_NEW_FOLDER = ".new-"


class Missing(Exception):
    """No such project or revision."""


class ReadOnly(Exception):
    """The workbench was started to look only."""

    sentence = "The workbench was started read-only, so nothing can be saved."


class Busy(Exception):
    """Another save of the same project did not end in time."""

    sentence = "This project is being saved by someone else. Nothing was changed; try again."


class Damaged(Exception):
    """A project of which no readable revision is left. Its files are untouched."""

    def __init__(self, sentence):
        super().__init__(sentence)
        self.sentence = sentence


class Stale(Exception):
    """The project was changed since the page was shown; `current` is what it is now."""

    sentence = "Someone else changed this project since your page was shown."

    def __init__(self, current):
        super().__init__(self.sentence)
        self.current = current


@dataclass(frozen=True)
class Stored:
    """A revision of a project. `damaged` says what is wrong where an older one had to be opened."""

    id: str
    revision: int
    document: dict
    saved: datetime
    damaged: str | None = None


@dataclass(frozen=True)
class Summary:
    """A project as the shelf shows it. `problem` says why it cannot be opened, or not as it was left."""

    id: str
    title: str
    revision: int | None
    saved: datetime | None
    problem: str | None = None


class Store:
    """The projects in the folder `folder`; one that is `read_only` writes nothing at all."""

    def __init__(self, folder, read_only=False):
        self.folder = Path(folder)
        self.read_only = read_only
        self._projects = self.folder / "projects"
        self._removed = self.folder / "removed"
        self._locks = self.folder / ".locks"
        if not read_only:
            for needed in (self._projects, self._removed, self._locks):
                needed.mkdir(parents=True, exist_ok=True)
            _sync_folder(self.folder)
        self._shelf_key = None

    def create(self, document):
        """Put a new project on the shelf and return its id."""
        self._must_write()
        read_project(document)
        id = secrets.token_urlsafe(16)
        new = Path(tempfile.mkdtemp(prefix=_NEW_FOLDER, dir=self._projects))
        (new / "earlier").mkdir()
        _write(new / "project.json", _envelope(document, 1))
        os.rename(new, self._projects / id)
        _sync_folder(self._projects)
        return id

    def holds(self, id):
        """Tell whether there is a project with this id."""
        return bool(TOKEN.fullmatch(id)) and (self._projects / id).is_dir()

    def load(self, id):
        """Return the newest readable revision, with a word where a newer one is damaged."""
        place = self._place(id)
        try:
            return self._read(id, place / "project.json")
        except (OSError, _Unreadable) as fault:
            sentence = str(fault) if isinstance(fault, _Unreadable) else "The project's file cannot be read."
        for number in self._numbers(place):
            try:
                good = self._read(id, _earlier(place, number))
            except (OSError, _Unreadable):
                continue
            return Stored(id, good.revision, good.document, good.saved, damaged=sentence)
        raise Damaged(f"{sentence} No earlier version of it is left. Its file was not touched.")

    def save(self, id, document, revision):
        """Store `document` in place of `revision` and return the new revision's number.

        Raises `Stale` where `revision` is no longer the current one, `FieldErrors` where the document
        is no valid project, `ReadOnly`, `Busy`.
        """
        self._must_write()
        read_project(document)
        with self._locked(id) as place:
            current = self.load(id)
            if current.damaged:
                raise Damaged(f"{current.damaged} Choose to continue from the last good version first.")
            if current.revision != revision:
                raise Stale(current)
            self._keep(place, revision)
            _write(place / "project.json", _envelope(document, revision + 1))
            return revision + 1

    def earlier(self, id):
        """Return the (revision, time) of each replaced revision that can be read, newest first."""
        place = self._place(id)
        try:
            current = self._read(id, place / "project.json", whole=False).revision
        except (OSError, _Unreadable):
            current = None
        kept = []
        for number in self._numbers(place):
            if number == current:
                continue  # a save was cut short after today's file got its second name
            try:
                stored = self._read(id, _earlier(place, number), whole=False)
            except (OSError, _Unreadable, NewerFormat):
                continue
            kept.append((number, stored.saved))
        return kept

    def load_revision(self, id, number):
        """Return one revision, today's or an earlier one."""
        place = self._place(id)
        try:
            current = self._read(id, place / "project.json")
            if current.revision == number:
                return current
        except (OSError, _Unreadable):
            pass
        try:
            return self._read(id, _earlier(place, number))
        except (OSError, _Unreadable) as fault:
            raise Missing(f"revision {number}") from fault

    def restore(self, id, number, revision):
        """Make the contents of revision `number` the newest one; `revision` is the one it replaces."""
        return self.save(id, self.load_revision(id, number).document, revision)

    def continue_from(self, id):
        """Set a damaged file aside under another name, and go on from the last good revision."""
        self._must_write()
        with self._locked(id) as place:
            good = self.load(id)
            if not good.damaged:
                return good.revision
            aside = place / f"damaged-{datetime.now(UTC):%Y%m%d-%H%M%S}-{secrets.token_hex(3)}.json"
            if (place / "project.json").exists():
                _second_name(place / "project.json", aside)
            # The damaged file was one past the newest that was kept: its number is not used again.
            number = max(self._numbers(place)) + 2
            _write(place / "project.json", _envelope(good.document, number))
            return number

    def shelf(self):
        """Return a `Summary` of each project, the last saved first."""
        if not self._projects.is_dir():
            return []
        summaries = [
            self._summary(entry.name)
            for entry in os.scandir(self._projects)
            if TOKEN.fullmatch(entry.name) and entry.is_dir()
        ]
        dawn = datetime.min.replace(tzinfo=UTC)
        return sorted(summaries, key=lambda summary: summary.saved or dawn, reverse=True)

    def remove(self, id):
        """Take a project off the shelf: it moves, whole, to the folder `removed`."""
        self._must_write()
        with self._locked(id) as place:
            place.rename(self._removed / f"{id}-{datetime.now(UTC):%Y%m%d-%H%M%S}")
            _sync_folder(self._projects)
            _sync_folder(self._removed)

    def links(self, id):
        """Return the tokens of the project's links by kind, "edit" and "look", where they exist."""
        return self._links(self._place(id))

    def set_link(self, id, kind):
        """Make a new token for a link; the former one, if there was one, opens nothing any more."""
        token = secrets.token_urlsafe(16)
        self._change_links(id, kind, token)
        return token

    def withdraw(self, id, kind):
        """Take a link back."""
        self._change_links(id, kind, None)

    def ticks(self, id):
        """Return the steps that are ticked, {key: when}; none where the file cannot be read."""
        try:
            kept = orjson.loads((self._place(id) / "ticks.json").read_bytes())
            return {key: datetime.fromisoformat(when).astimezone(UTC) for key, when in kept.items()}
        except (OSError, orjson.JSONDecodeError, AttributeError, TypeError, ValueError):
            return {}

    def tick(self, id, key, done):
        """Set the tick of a step, or take it away. Two who tick at once both count."""
        self._must_write()
        with self._locked(id) as place:
            ticks = {each: when.isoformat(timespec="seconds") for each, when in self.ticks(id).items()}
            if done:
                ticks.setdefault(key, datetime.now(UTC).isoformat(timespec="seconds"))
            else:
                ticks.pop(key, None)
            _write(place / "ticks.json", json.dumps(ticks).encode())

    def linked(self, token):
        """Return the (id, kind) that a link's token opens, or None."""
        if not TOKEN.fullmatch(token) or not self._projects.is_dir():
            return None
        found = None
        for entry in os.scandir(self._projects):
            if TOKEN.fullmatch(entry.name) and entry.is_dir():
                for kind, kept in self._links(Path(entry.path)).items():
                    if secrets.compare_digest(kept, token):
                        found = entry.name, kind
        return found

    def shelf_key(self):
        """Return the key that lets another device see the shelf; made at the first start."""
        if self._shelf_key is None:
            self._shelf_key = self._kept_shelf_key()
        return self._shelf_key

    def _kept_shelf_key(self):
        path = self.folder / "shelf-key"
        with self._lock("shelf-key") if not self.read_only else _nothing():
            try:
                kept = path.read_text("ascii").strip()
            except (OSError, UnicodeDecodeError):
                kept = ""
            if TOKEN.fullmatch(kept):
                return kept
            key = secrets.token_urlsafe(16)
            if not self.read_only:
                _write(path, key.encode())
            return key

    def _must_write(self):
        if self.read_only:
            raise ReadOnly(ReadOnly.sentence)

    def _place(self, id):
        if not self.holds(id):
            raise Missing("project")
        return self._projects / id

    @contextmanager
    def _lock(self, name):
        try:
            with FileLock(self._locks / f"{name}.lock", timeout=20):
                yield
        except Timeout as timeout:
            raise Busy(Busy.sentence) from timeout

    @contextmanager
    def _locked(self, id):
        place = self._place(id)
        with self._lock(id):
            if not self.holds(id):
                raise Missing("project")
            for left in [*place.glob(f"{_HALF_WRITTEN}*"), *place.glob(f"earlier/{_HALF_WRITTEN}*")]:
                left.unlink()  # by a process that was killed while it wrote: never acknowledged
            yield place

    def _read(self, id, path, whole=True):
        """Read one revision's file; raise `_Unreadable` with a sentence, or `NewerFormat`."""
        try:
            file = path.read_bytes()
            envelope = orjson.loads(file)
        except orjson.JSONDecodeError as fault:
            raise _Unreadable("The project's file is damaged: it is not readable as JSON.") from fault
        try:
            revision, saved, document = envelope["revision"], envelope["saved"], envelope["project"]
            saved = datetime.fromisoformat(saved).astimezone(UTC)
            if type(revision) is not int or revision < 1 or not isinstance(document, dict):
                raise ValueError
        except (KeyError, TypeError, ValueError, OverflowError) as fault:
            raise _Unreadable("The project's file is damaged: it is not in the form of a project.") from fault
        if whole:
            try:
                document = migrated(document)
                _require_valid(file)
            except FieldErrors as fault:
                place, sentence = next(iter(fault.by_field.items()))
                raise _Unreadable(f"The project's file is damaged: {place} {sentence}.") from fault
        return Stored(id, revision, document, saved)

    def _numbers(self, place):
        """The numbers of the replaced revisions, newest first."""
        try:
            names = os.listdir(place / "earlier")
        except OSError:
            return []
        return sorted((int(name[:-5]) for name in names if re.fullmatch(r"\d{6,}\.json", name)), reverse=True)

    def _keep(self, place, revision):
        """Give today's file its second name among the earlier ones, before another takes its place."""
        (place / "earlier").mkdir(exist_ok=True)
        kept = _earlier(place, revision)
        if kept.exists():
            if kept.read_bytes() == (place / "project.json").read_bytes():
                return  # a save was cut short between the two steps
            _second_name(kept, place / f"damaged-{revision:06d}-{secrets.token_hex(3)}.json")
            kept.unlink()
        _second_name(place / "project.json", kept)

    def _summary(self, id):
        try:
            stored = self.load(id)
        except (Missing, Damaged, NewerFormat) as fault:
            sentence = getattr(fault, "sentence", "It was just removed.")
            return Summary(id, "A project that cannot be opened", None, None, sentence)
        return Summary(id, stored.document["title"], stored.revision, stored.saved, stored.damaged)

    def _links(self, place):
        try:
            kept = orjson.loads((place / "links.json").read_bytes())
            return {kind: kept[kind] for kind in LINK_KINDS if TOKEN.fullmatch(kept.get(kind) or "")}
        except (OSError, orjson.JSONDecodeError, AttributeError, TypeError):
            return {}  # no link opens: the safe side for a file that cannot be read

    def _change_links(self, id, kind, token):
        self._must_write()
        if kind not in LINK_KINDS:
            raise Missing("link")
        with self._locked(id) as place:
            links = {**self._links(place), kind: token}
            kept = {kind: token for kind, token in links.items() if token}
            _write(place / "links.json", json.dumps(kept).encode())


def data_folder():
    """Return the folder where this user's projects live unless another is asked for."""
    from platformdirs import user_data_path

    return user_data_path("bafflewright", appauthor=False)


def shipped(name):
    """Return the folder `name` that comes with the program: inside the package, or beside it."""
    inside = Path(__file__).parent / name
    return inside if inside.is_dir() else Path(__file__).parent.parent / name


class _Unreadable(Exception):
    """A file that is no project; the text is a sentence for the page."""


def _envelope(document, revision):
    """The bytes of a project's file. Names and order are for people who open it in an editor."""
    envelope = {
        "format": FORMAT,
        "revision": revision,
        "saved": datetime.now(UTC).isoformat(timespec="milliseconds"),
        "project": document,
    }
    json.dumps(envelope, allow_nan=False)  # refuses what is no number, for which orjson would write null
    return orjson.dumps(envelope, option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


@lru_cache(maxsize=64)
def _require_valid(file):
    """Raise `FieldErrors` where the bytes of a file hold no valid project; bytes that passed pass again."""
    read_project(orjson.loads(file)["project"])


def _earlier(place, number):
    return place / "earlier" / f"{int(number):06d}.json"


def _write(path, contents):
    """Put `contents` at `path` in one step that a power cut cannot halve. Only its owner may read it."""
    handle, half = tempfile.mkstemp(prefix=_HALF_WRITTEN, dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(contents)
            file.flush()
            os.fsync(file.fileno())
        _move(half, path)
    except BaseException:
        Path(half).unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def _move(half, path):
    for attempt in range(3):
        try:
            os.replace(half, path)
            return
        except PermissionError:  # on Windows, while a reader has the file open
            if attempt == 2:
                raise
            time.sleep(0.05)


def _second_name(path, name):
    """Make the file at `path` also stand at `name`; a copy where the disk knows no second names."""
    try:
        os.link(path, name)
    except OSError:
        _write(name, path.read_bytes())
    else:
        _sync_folder(name.parent)


def _sync_folder(path):
    if os.name == "nt":
        return  # a folder cannot be opened there; the system keeps its own journal
    folder = os.open(path, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


@contextmanager
def _nothing():
    yield
