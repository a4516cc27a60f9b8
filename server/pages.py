"""A page: opened by its key, shown whole or as what htmx swaps, and changed by what was typed into it."""

import json
import threading
from collections import OrderedDict
from dataclasses import dataclass, fields
from functools import cached_property, partial
from importlib import import_module

from fastapi import Request
from fastapi.responses import RedirectResponse
from fastapi.templating import Jinja2Templates
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from calc.errors import InputError
from calc.evaluate import UNREAD, evaluate
from server import units
from server.documents import FieldErrors, amend, at, plain, read_project
from server.sharing import opened, owner
from server.sill import sill
from server.storage import ReadOnly, Stale, Stored, shipped
from server.telling import told

PLACES = (
    ("shelf", "Shelf", "What are you building?"),
    ("drivers", "Drivers", "What do the drivers say they are?"),
    ("box", "Box", "How much air should each speaker hold?"),
    ("side_by_side", "Side by side", "Which box would you rather live with?"),
    ("port", "Port", "How long must the port be, and will it be heard?"),
    ("crossover", "Crossover", "What reaches each driver?"),
    ("cabinet", "Cabinet", "What size must it be to hold that air?"),
    ("cutting", "Cutting", "What comes off the saw?"),
    ("boring", "Boring", "How does each driver get its seat?"),
    ("assembly", "Assembly", "In which order does it go together?"),
    ("packet", "Packet", "What goes on the shop wall?"),
    ("history", "History", "Who may see it, and what was it before?"),
)
"""Name of the page and its route, name on the rule, and the question that it answers."""

ROOMS = (
    ("map", "box", "Every size", "What if the box were larger, or tuned lower?"),
    ("loudness", "box", "Loudness", "How loud may it play, and what stops it?"),
    ("inside", "box", "Inside", "What goes on inside the box?"),
    ("doubt", "box", "Doubt", "How sure are these numbers?"),
    ("ways", "crossover", "Ways", "Do the drivers add up at the ear?"),
    ("fit", "crossover", "Fit", "Which values bring the sound where it should be?"),
    ("tolerance", "crossover", "Tolerance", "Do loose parts spoil it?"),
    ("wiring", "crossover", "Wiring", "Is it joined right, before the power goes on?"),
    ("braces", "cabinet", "Braces", "What stiffens it, and where?"),
    ("materials", "cabinet", "Materials", "What is it made of?"),
    ("faces", "cabinet", "Faces", "What covers it, and how do the drivers still sit flush?"),
    ("standing", "cabinet", "Standing", "Will it stay where it is put?"),
    ("as_cut", "cabinet", "As cut", "What did the saw really make of it?"),
    ("views", "cabinet", "Views", "How does it look from every side?"),
    ("stock", "cutting", "Stock", "What stands in the rack already, and what comes out of it?"),
    ("saw", "cutting", "Saw", "Where does the fence stand, and what is cut next?"),
    ("full_size", "boring", "Templates", "What does the router follow?"),
    ("steps", "packet", "Steps", "What is done, and what comes next?"),
    ("buying", "packet", "To buy", "What must be bought, and what does it cost?"),
)
"""Pages that stand behind a place: name of the page and its route, that place, name on its row, question."""

QUESTIONS = {name: question for name, *_, question in (*PLACES, *ROOMS)}


def _environment():
    environment = Environment(
        loader=FileSystemLoader(shipped("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["svg"] = Markup  # drawings escape their own words
    environment.filters["clock"] = lambda time: f"{time:%d.%m.%Y, %H:%M} UTC" if time else "unknown"
    return environment


templates = Jinja2Templates(env=_environment())
templates.env.globals["chart_template"] = lambda: import_module("server.figures").TEMPLATE


@dataclass(frozen=True)
class Bench:
    """One project as a page needs it: who looks, what is stored, what follows from it, and what moved."""

    access: object
    stored: Stored
    project: object
    result: object
    store: object

    @cached_property
    def sill(self):
        """The numbers along the foot, marked against the revision before this one."""
        return sill(self.project, self.result, self.before and self.before[1])

    @cached_property
    def before(self):
        """(project, result) of the revision before this one; None where none can be solved."""
        return _before(self.store, self.stored)

    @cached_property
    def document(self):
        """The whole document, what was left to its default included, as the fields show it."""
        return plain(self.project)


class _Results:
    """The results of the revisions that were shown last; a stored revision never changes."""

    def __init__(self, room=48):
        self._room, self._kept, self._lock = room, OrderedDict(), threading.Lock()

    def of(self, stored):
        """Return (project, result) of a stored revision."""
        key = stored.id, stored.revision, stored.saved
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        project = read_project(stored.document)
        return self.keep(stored, (project, evaluate(project)))

    def keep(self, stored, solved):
        with self._lock:
            self._kept[stored.id, stored.revision, stored.saved] = solved
            while len(self._kept) > self._room:
                self._kept.popitem(last=False)
        return solved


_results = _Results()


GONE = "what this button was for is not there any more"
"""A button's refusal, where it was shown before somebody dropped what it acts on."""


def bench(request, key):
    """Open a project by the key in its address."""
    store = request.app.state.store
    access = opened(store, key)
    return _bench(store, access, store.load(access.project_id))


def _bench(store, access, stored):
    project, result = _results.of(stored)
    return Bench(access, stored, project, result, store)


def _before(store, stored):
    """(project, result) of the revision before this one; None where there is none that can be solved."""
    try:
        return _results.of(store.load_revision(stored.id, stored.revision - 1))
    except Exception:  # an earlier version may be lost or not be solvable any more; then nothing has moved
        return None


async def typed_fields(request: Request):
    """The texts of a form by name; of several with one name, the last."""
    form = await request.form(max_files=0, max_fields=2000)
    return {name: value for name, value in form.multi_items() if isinstance(value, str)}


def wants_panel(request):
    """Tell whether htmx wants what stands inside the page; going back in history wants a page."""
    sent = request.headers
    return "HX-Request" in sent and "HX-History-Restore-Request" not in sent


def render(request, name, bench=None, status_code=200, place=None, **context):
    """Answer with ``<name>.html``, whole or as its panel; `place` is where the rule shows it."""
    key = bench.access.key if bench else None
    here = f"/projects/{key}/{name}" if bench else "/"
    document = bench.document if bench else {}
    show = (document.get("show", "metric"), document.get("fraction", 64))
    context = {
        "errors": {},
        "typed": {},
        "strays": {},
        "question": QUESTIONS.get(name, "Bafflewright"),
        "title": document.get("title", "The shelf"),
        "panel": wants_panel(request),
        "following": _following(name, key),
        "places": _places(place or _place_of(name), key, owner(request)),
        "rooms": _rooms(name, key),
        "action": here,
        "bench": bench,
        "access": bench and bench.access,
        "stored": bench and bench.stored,
        "project": bench and bench.project,
        "result": bench and bench.result,
        "document": document,
        "amounts": _amounts(bench) if bench else {},
        "shown": partial(units.shown, document),
        "also": partial(_also, document, show),
        "unit_of": partial(_unit_of, show[0]),
        "w": lambda value, quantity: units.with_unit(value, quantity, *show),
        "about": lambda value: units.about(value, show[0]),
        "plain": lambda value, quantity: units.write(value, quantity, *show),
        "sign": lambda quantity: units.unit(quantity, show[0]),
        "other": lambda value, quantity: units.also(value, quantity, *show),
        "signed": signed,
        "path_words": path_words,
        **context,
    }
    return templates.TemplateResponse(request, f"{name}.html", context, status_code, {"Vary": "HX-Request"})


def _amounts(bench):
    """What does not fit, by (field, sentence), with its amount in the project's units."""
    return {(each.field, each.sentence): told(each, bench.project) for each in bench.result.clashes}


def _places(name, key, may_see_shelf):
    """The rule: every place with its address; near are the one before, this one and the one after."""
    if key is None:
        return []
    names = [place for place, _, _ in PLACES]
    here = names.index(name) if name in names else -9
    return [
        {
            "name": words,
            "href": "/" if place == "shelf" else f"/projects/{key}/{place}",
            "here": place == name,
            "near": abs(index - here) <= 1,
        }
        for index, (place, words, _) in enumerate(PLACES)
        if place != "shelf" or may_see_shelf
    ]


def _place_of(name):
    """The place that a page belongs to: itself, unless it is a room behind another."""
    return next((place for room, place, *_ in ROOMS if room == name), name)


def _rooms(name, key):
    """The row of rooms behind the place where this page stands, that place first; none, no row."""
    here = _place_of(name)
    behind = [(room, words) for room, place, words, _ in ROOMS if place == here]
    if key is None or not behind:
        return []
    first = next(words for place, words, _ in PLACES if place == here)
    return [
        {"name": words, "href": f"/projects/{key}/{room}", "here": room == name}
        for room, words in ((here, first), *behind)
    ]


def _following(name, key):
    """The place after this one in the order of the job, or None."""
    names = [place for place, _, _ in PLACES]
    if key is None or name not in names[:-1]:
        return None
    place, words, question = PLACES[names.index(name) + 1]
    return {"name": words, "question": question, "href": f"/projects/{key}/{place}"}


def _also(document, show, path):
    quantity = units.quantity_of(path)
    return units.also(at(document, path), quantity, *show) if quantity else ""


def _unit_of(show, path):
    quantity = units.quantity_of(path)
    return units.unit(quantity, show) if quantity else ""


def signed(value, places):
    """A difference with its sign, and none where it rounds to nothing."""
    text = f"{abs(value):.{places}f}"
    return text if not float(text) else ("+" if value > 0 else "−") + text


WORDS = {
    "alternatives": "box", "cabinet": "", "workshop": "", "box": "", "frame": "", "shape": "", "port": "port",
    "drivers": "", "seats": "seat", "holes": "hole", "braces": "", "displaced": "", "edges": "edge",
    "panels": "panel", "bits": "bit", "sheets": "", "stock": "", "matched": "run of grain",
    "air": "air", "size": "", "window": "window",
    "notches": "", "also_at": "place across", "depth_far": "depth at the other end",
    "between": "what it lies between",
    "Vb": "net volume", "fb": "tuning", "QL": "leak QL", "QA": "absorption QA", "QP": "port friction QP",
    "P": "stated power",
    "V": "drive", "Rs": "resistance before the drivers", "count": "how many", "x": "centre from the left",
    "y": "centre from the bottom", "web": "web left at last", "pass_depth": "deepest pass",
    "least_wood": "wood between openings", "screw": "screws, thick", "screw_length": "screws, long",
    "flange_clearance": "play of the flange", "flange_thickness": "thickness of the flange",
    "at": "place", "T": "temperature", "p": "pressure", "sheet_T": "the sheet's temperature",
    "sheet_p": "the sheet's pressure",
    "feet": "feet", "plinth": "plinth", "stand": "stand", "inset": "inset of the feet",
    "setback": "set back by",
    "weighed": "on the scale", "prices": "price of", "clamps": "clamps",
    "open_time": "glue stays open", "pace": "time for a joint",
    "as_cut": "as cut", "parts": "", "grooves": "groove", "openings": "opening", "off": "off its place",
    "off_x": "off to the right", "off_y": "off upwards", "outline": "recess, across",
    "network": "crossover", "Rdc": "wire", "ESR": "ESR", "ways": "",
    "rated_power": "made for", "rated_voltage": "made for",
    "offset": "acoustic centre behind the front", "f_upper": "upper parting",
    "reads_open": "meter shows open",
    "saw": "saw", "first": "what is cut first", "rail": "length of the rail",
    "reach": "reach of the fence", "outer_blade": "an outer blade", "chippers": "", "shims": "",
    "thickness": "thickness as measured", "nominal": "sold as", "into": "joint", "show": "units",
}  # fmt: skip
"""Names in the document that a page says in other words; nothing where the rest tells enough."""


def path_words(path):
    """A dotted path as the pages' own words: ``alternatives.B.box.fb`` is "Box B, tuning"."""
    said = [WORDS.get(name, name.replace("_", " ")) for name in path.split(".")]
    if path.startswith("alternatives.") and len(said) > 1:
        said[:2] = [f"box {said[1]}"]
    words = ", ".join(word for word in said if word)
    return words[:1].upper() + words[1:]


# --- Changing


def take(request, key, name, typed, view, actions=None, brings=None, aside=(), stays=()):
    """Change a project by a form of its page `name`, and answer with the page.

    Parameters
    ----------
    typed : dict
        Texts by dotted path, and beside them ``revision`` (that the page was shown at) and ``do``
        (``verb`` or ``verb:argument`` of the button that was pressed).
    view : callable
        Takes a `Bench`, gives what the template needs beside it.
    actions : dict
        Verb -> function(document, argument, typed, result) -> changed document.
    brings : callable
        Takes a `Bench`, the path and the value of an edit, gives the edits that it brings with it.
    aside : tuple of str
        Names of fields that are no part of the document; only an action reads them.
    stays : tuple of str
        Those of them that still show what was typed when the action is done.

    What can be kept is kept; what is refused stands in its field with the sentence, as it was typed.
    """
    store = request.app.state.store
    access = opened(store, key)
    if not access.may_edit:
        raise ReadOnly()
    now = _bench(store, access, store.load(access.project_id))
    revision, do = typed.pop("revision", ""), typed.pop("do", "")
    if do == "continue" and now.stored.damaged:
        store.continue_from(access.project_id)
        return _answer(request, name, bench(request, key), view)
    spare = {path: typed[path] for path in aside if path in typed}
    changed, errors = units.edits(now.document, {p: text for p, text in typed.items() if p not in spare})
    meant = [*changed, *errors]
    changed = {
        path: {path: value, **(brings(now, path, value) if brings else {})} for path, value in changed.items()
    }
    if revision != str(now.stored.revision) and (meant or do):
        return conflict(request, name, now, typed, meant, do, spare)

    verb, _, argument = do.partition(":")
    act = (actions or {}).get(verb)

    def acted(document):
        return act(document, argument, typed, now.result) if act else document

    document, refused, solved = _kept(now, changed, acted)
    errors |= refused
    if solved and not _same(document, now.document):
        try:
            store.save(access.project_id, document, now.stored.revision)
        except Stale:
            return conflict(request, name, bench(request, key), typed, meant, do, spare)
        stored = store.load(access.project_id)
        _results.keep(stored, solved)
        now = _bench(store, access, stored)
    if errors:
        refused_texts = {path: typed[path] for path in errors if path in typed} | spare
        strays = {path: sentence for path, sentence in errors.items() if path not in typed}
        return render(request, name, now, 422, typed=refused_texts, errors=errors, strays=strays, **view(now))
    left = {path: text for path, text in spare.items() if path in stays} if do else spare
    return _answer(request, name, now, view, typed=left)


def _same(document, other):
    """Whether two documents say the same in the same order: a later skin covers the edges of an earlier."""
    return json.dumps(document) == json.dumps(other)


def _answer(request, name, bench, view, typed=()):
    if wants_panel(request):
        return render(request, name, bench, typed=dict(typed), **view(bench))
    return RedirectResponse(f"/projects/{bench.access.key}/{name}", status_code=303)


def _kept(now, changed, act):
    """Make the changes that can stand: all of them, or all but the ones that are refused.

    `changed` has for the path of each field that was changed the edits that it stands for.
    Returns the document, {path: sentence} of what was refused, and (project, result), None where nothing
    could be solved.
    """
    document, refused, edits = now.document, {}, dict(changed)
    while True:
        try:
            edited = amend(document, {p: v for edit in edits.values() for p, v in edit.items()})
            solved = _solved(act(edited), now)
        except (FieldErrors, InputError) as error:
            found = _by_field(error)
            blamed = [path for path in edits if path in found]
            if not blamed:
                break
            refused |= {path: found[path] for path in blamed}  # what else it said may follow from them
            for path in blamed:
                del edits[path]
        else:
            return plain(solved[0]), refused, solved
    solved, guilty = _one_by_one(now, edits)
    try:
        solved = _solved(act(plain(solved[0]) if solved else document), now)
    except (FieldErrors, InputError) as error:
        guilty = {**_by_field(error), **guilty}
    return (plain(solved[0]) if solved else document), {**guilty, **refused}, solved


TRIED_ALONE = 24
"""As many edits are tried one by one, when what they break is named where nobody typed."""


def _one_by_one(now, edits):
    """Make each edit that can stand on those before it; the others are told what they would break.

    Returns (project, result) with the edits that stand, None where none does; {path: sentence} of the rest.
    """
    document, solved, guilty, left = now.document, None, {}, dict(list(edits.items())[:TRIED_ALONE])
    waiting = True
    while left and waiting:  # an edit may have to wait for another one after it
        waiting = False
        for path, edit in list(left.items()):
            try:
                solved = _solved(amend(document, edit), now)
            except (FieldErrors, InputError) as error:
                place, sentence = next(iter(_by_field(error).items()))
                elsewhere = f"does not go with “{path_words(place)}”, which {sentence}"
                guilty[path] = sentence if place == path else elsewhere
            else:
                document, waiting = plain(solved[0]), True
                guilty.pop(path, None)
                del left[path]
    untried = dict.fromkeys(list(edits)[TRIED_ALONE:], "waits for another value: type it once more")
    return solved, guilty | untried


def _solved(document, now):
    """(project, result) of a document; the result of `now` where nothing changed that it hangs on."""
    project = read_project(document)
    return project, (now.result if _stands(now.project, project) else evaluate(project))


def _stands(one, other):
    """Whether two projects have the same result; the order of their tables counts, which == does not see."""
    names = [each.name for each in fields(one) if each.name not in UNREAD]
    return all(repr(getattr(one, name)) == repr(getattr(other, name)) for name in names)


def _by_field(error):
    return error.by_field if isinstance(error, FieldErrors) else {error.field: error.problem}


def conflict(request, name, bench, typed, meant, do, spare=()):
    """Somebody else has changed the project meanwhile: show both, and let the later one choose.

    `meant` are the paths of the fields that were changed, by texts that can be read or not; `spare` are
    texts that only the button reads.
    """
    differences = [(path, typed[path], units.shown(bench.document, path)) for path in meant]
    again = {path: typed[path] for path in meant} | dict(spare)
    return render(
        request, "conflict", bench, 409, action=f"/projects/{bench.access.key}/{name}",
        differences=differences, again=again, do=do,
        question="Which of the two shall stand?",
    )  # fmt: skip
