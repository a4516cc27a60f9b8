"""Plain data <-> `Project`, and every refusal as a sentence at the place where it belongs."""

import json
import re
from collections import defaultdict
from dataclasses import fields, is_dataclass
from functools import cache

from calc.errors import InputError
from calc.project import FORMAT, Project

MIGRATIONS = {}
"""Format number -> function from a document of that format to one of the next; run before validation."""

KEY = re.compile(r"[^\W_][\w -]{0,59}")
"""What a name of a driver, a box, a sheet or a brace may be: it becomes part of a dotted path."""

KINDS = ("box", "shape")
"""The places that hold one of several records, told apart by their `kind`."""


class FieldErrors(Exception):
    """Input that cannot be used: `by_field` has a sentence for each dotted place."""

    def __init__(self, by_field):
        super().__init__("; ".join(f"{place}: {sentence}" for place, sentence in by_field.items()))
        self.by_field = dict(by_field)


class NewerFormat(Exception):
    """A document that a later version of this program wrote; it is refused and left as it is."""

    def __init__(self, found):
        self.sentence = (
            f"A newer version of the workbench saved this project (format {found}; this one reads up to "
            f"{FORMAT}). Nothing was changed. Open it with the newer version."
        )
        super().__init__(self.sentence)


def read_project(document):
    """Turn nested plain data into a valid `Project`, or raise `FieldErrors` with all the bad fields.

    A record stops at its first bad value. So that a form shows them all, each bad value is set aside
    in a copy and the rest is read again, until nothing new is found.
    """
    document = migrated(document)
    found = _bad_names(document)
    if found:
        raise FieldErrors(found)
    draft = document
    while True:
        project, errors = _attempt(draft)
        new = {place: words for place, words in errors.items() if place not in found}
        found.update(new)
        if not found:
            return project
        mended = _set_aside(draft, errors, new)
        if mended is draft:
            raise FieldErrors(found)
        draft = mended


def plain(project):
    """Return the document, nested dicts of plain values, that `read_project` turns into `project`."""
    # `dataclasses.asdict` copies each number and word besides, which takes five times as long
    names = _names(type(project))
    if names:
        return {name: plain(getattr(project, name)) for name in names}
    if isinstance(project, dict):
        return {name: plain(part) for name, part in project.items()}
    return [plain(part) for part in project] if isinstance(project, list) else project


@cache
def _names(record):
    """The fields of a kind of record; none for what is no record."""
    return tuple(each.name for each in fields(record)) if is_dataclass(record) else ()


def migrated(document):
    """Return `document` in today's format; raise `NewerFormat` where it is ahead of us."""
    if not isinstance(document, dict):
        raise FieldErrors({"project": "must be a set of named values"})
    while (found := document.get("format")) != FORMAT or isinstance(found, bool):
        if isinstance(found, int) and found > FORMAT:
            raise NewerFormat(found)
        if not isinstance(found, int) or found not in MIGRATIONS:
            raise FieldErrors({"format": "must be the number of a format that this program knows"})
        document = MIGRATIONS[found](document)
    return document


def amend(document, edits):
    """Return a new document with each dotted path of `edits` set to its value; `document` stays as it is."""
    for path, value in edits.items():
        document = _with(document, path.split("."), value)
    return document


def without(document, path):
    """Return a new document that lacks what stands at the dotted `path`."""
    name, _, rest = path.partition(".")
    if not isinstance(document, dict) or name not in document:
        return document
    if rest:
        return {**document, name: without(document[name], rest)}
    return {key: value for key, value in document.items() if key != name}


def at(document, path):
    """Return what stands at the dotted `path`, or None."""
    for name in path.split("."):
        if not isinstance(document, dict) or name not in document:
            return None
        document = document[name]
    return document


def differences(before, after, path=""):
    """Yield the dotted paths at which two documents differ, in the order of the later one."""
    if not (isinstance(before, dict) and isinstance(after, dict)):
        if before != after:
            yield path
        return
    for name in [*after, *(name for name in before if name not in after)]:
        yield from differences(before.get(name), after.get(name), f"{path}.{name}" if path else name)


def sentences(errors, document=None):
    """Turn the error list of pydantic or FastAPI into ``{dotted place: sentence}``.

    Parameters
    ----------
    errors : list of dict
        From ``ValidationError.errors()`` or ``RequestValidationError.errors()``, whose places start
        with "body".
    document : dict, optional
        What was read. With it, names that pydantic puts into a place for the member of a union that it
        tried are told from real ones, and only the complaints of the member that was meant are kept.
    """
    problems = [_Problem(error, document) for error in errors]
    found = {}
    for problem in _meant(problems):
        found.setdefault(problem.place, problem.sentence)
    return found


class _Problem:
    """One error of pydantic's: its path without union members, which members they were, its sentence."""

    def __init__(self, error, document):
        loc = error["loc"]
        if error["type"] == "json_invalid":
            loc = ("body",)
        elif loc[:1] == ("body",) and len(loc) > 1:
            loc = loc[1:]
        self.type = error["type"]
        self.path, self.members = _apart(loc, document, self.type)
        self.expected = str(error.get("ctx", {}).get("expected", "")).replace("'", "")
        cause = error.get("ctx", {}).get("error")
        if isinstance(cause, InputError):
            self.sentence = cause.problem
            self.path += tuple(cause.field.split("."))
        else:
            if self.type == "union_tag_not_found":
                self.path += (error["ctx"]["discriminator"].strip("'"),)
            self.sentence = _sentence(self.type, error.get("ctx", {}))
        self.place = ".".join(map(str, self.path)).encode("utf-8", "replace").decode() or "body"

    def strangeness(self, depth):
        """How much this error says that the member `depth` is not the one that was meant."""
        if self.type == "literal_error" and self.path == (*self.members[depth][0], "kind"):
            return 1000
        return 1 if self.type in ("missing", *_UNKNOWN) else 0


def _apart(loc, document, type_):
    """Split pydantic's `loc` into the path in the document and the union members [(path so far, member)]."""
    path, members, here = (), (), document
    for position, name in enumerate(loc):
        last = position == len(loc) - 1
        if document is None:
            is_member = isinstance(name, str) and bool(re.search(r"[A-Z]\w*[a-z][A-Z]|[\[(]", name))
        elif isinstance(here, dict):
            is_member = name not in here and not (last and type_ == "missing")
        elif isinstance(here, list):
            is_member = not isinstance(name, int)
        else:
            is_member = True
        if is_member:
            members += ((path, name),)
            continue
        path += (name,)
        if isinstance(here, dict):
            here = here.get(name)
        elif isinstance(here, list):
            here = here[name] if name < len(here) else None
    return path, members


def _meant(problems):
    """Keep, of a union's members that all failed, the complaints of the one that came nearest."""
    for depth in range(max((len(problem.members) for problem in problems), default=0) - 1, -1, -1):
        strangeness = defaultdict(lambda: defaultdict(int))
        for problem in problems:
            if len(problem.members) > depth:
                union = (problem.members[:depth], problem.members[depth][0])
                strangeness[union][problem.members[depth][1]] += problem.strangeness(depth)
        nearest = {union: min(members, key=members.get) for union, members in strangeness.items()}
        _join_kinds(problems, depth)
        problems = [
            problem
            for problem in problems
            if len(problem.members) <= depth
            or nearest[problem.members[:depth], problem.members[depth][0]] == problem.members[depth][1]
        ]
    return problems


def _join_kinds(problems, depth):
    """Where no member of a union has this `kind`, let the complaint name all the kinds there are."""
    wrong = [
        problem
        for problem in problems
        if len(problem.members) == depth + 1 and problem.strangeness(depth) >= 1000
    ]
    for problem in wrong:
        kinds = {other.expected for other in wrong if other.path == problem.path}
        problem.sentence = "must be one of " + ", ".join(sorted(kinds))


_UNKNOWN = ("extra_forbidden", "unexpected_keyword_argument")
_WORDS = {
    "missing": "is needed",
    "missing_argument": "is needed",
    "union_tag_not_found": "is needed",
    "json_invalid": "is not readable as JSON",
    "finite_number": "must be a finite number",
    "string_type": "must be text",
    "string_unicode": "must be readable text",
    "bool_type": "must be true or false",
    "list_type": "must be a list",
    "tuple_type": "must be a list",
    "value_error": "cannot be used",
} | dict.fromkeys(_UNKNOWN, "is not known here")
_BOUNDS = {
    "greater_than": ("gt", "above"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "below"),
    "less_than_equal": ("le", "at most"),
}


def _sentence(type_, context):
    """Say an error of pydantic's in the words of the shop."""
    if type_ in _WORDS:
        return _WORDS[type_]
    if type_ in _BOUNDS:
        bound, words = _BOUNDS[type_]
        limit = context[bound]
        if limit == 0:
            return {"gt": "must be a number above zero", "ge": "must be zero or a number above it"}.get(
                bound, f"must be {words} zero"
            )
        return f"must be {words} {limit:g}"
    if type_ in ("literal_error", "enum"):
        return "must be " + context["expected"].replace("'", "")
    if type_ == "union_tag_invalid":
        return "must be one of " + context["expected_tags"].replace("'", "")
    if type_ in ("too_short", "string_too_short"):
        return f"needs at least {context['min_length']}"
    if type_ in ("too_long", "string_too_long"):
        return f"is too long: at most {context['max_length']}"
    if type_.startswith("int"):
        return "must be a whole number"
    if type_.startswith(("float", "decimal")):
        return "must be a number"
    if type_.startswith(("dict", "model", "dataclass", "arguments")):
        return "must be a set of named values"
    return "cannot be used here"


@cache
def _adapter():
    from pydantic import TypeAdapter  # costs 0.2 s: only where a document is read

    return TypeAdapter(Project)


def _attempt(document):
    """Return the project, or None, and what stood in its way."""
    from pydantic import ValidationError

    try:
        # As JSON, because only there do pydantic's strict rules make records from named values.
        return _adapter().validate_json(json.dumps(document)), {}
    except ValidationError as error:
        return None, sentences(error.errors(), document)


def _set_aside(draft, errors, new):
    """Return a draft without the bad values, or with harmless ones where something is needed.

    It is `draft` itself where nothing is left to try.
    """
    mended = draft
    for place, sentence in errors.items():
        value = at(draft, place)
        needed = value is None and (sentence == _WORDS["missing"] or place not in new)
        if needed or ".bits." in place and value != _NUMBER:
            mended = amend(mended, {place: _NUMBER})
        elif value == _NUMBER and sentence == _WORDS["string_type"]:
            mended = amend(mended, {place: "stand-in"})
        elif value is not None and value not in (_NUMBER, "stand-in"):
            mended = without(mended, place)
    return mended


_NUMBER = 0.01
"""A number that nearly every rule accepts; it stands in only while more bad fields are looked for."""


def _with(part, names, value):
    name, *rest = names
    part = part if isinstance(part, dict) else {}
    return {**part, name: _with(part.get(name), rest, value) if rest else value}


def _bad_names(part, path=()):
    """Find names that cannot stand in a dotted path, and boxes and shapes that do not say their kind."""
    found = {}
    for name, value in part.items():
        place = (*path, name)
        if not isinstance(name, str) or not KEY.fullmatch(name):
            shown = str(name).encode("utf-8", "replace").decode()
            found[".".join((*path, shown))] = "a name holds letters, digits, spaces and hyphens, 60 at most"
        elif isinstance(value, dict):
            if len(place) > 12:
                return {".".join(place[:3]): "is nested too deep"}
            if name in KINDS and len(place) > 2 and "kind" not in value:
                found[".".join((*place, "kind"))] = _WORDS["missing"]
            found |= _bad_names(value, place)
    return found
