"""A page read as its user has it before him: fields, buttons, sentences, tables, the sill."""

import re
from dataclasses import dataclass, field
from functools import cached_property
from html.parser import HTMLParser

from calc.evaluate import evaluate
from server import units
from server.beginnings import demo, from_drivers, from_plan
from server.documents import amend, plain, read_project

MADE = (
    "reading_room",
    "hall_subwoofer",
    "drivers",
    "plan",
    "reading_room imperial",
    "hall_subwoofer imperial",
    "drivers imperial",
    "plan imperial",
)
"""The projects that a first visit can make, in millimetres and in inches."""

RADIATORS = {
    "kind": "passive_radiator", "Vb": 0.014, "fb": 44.0,
    "radiator": {"count": 2, "Sp": 0.0133, "fp": 30.0, "Qmp": 5.0, "Mmp": 0.018, "Xmax": 0.008},
}  # fmt: skip
BAND_PASS = {
    "kind": "band_pass", "Vr": 0.008, "Vf": 0.01, "fb": 70.0,
    "port": {"shape": {"kind": "round", "diameter": 0.06}},
}  # fmt: skip
BOXES = {
    "radiators": {"box": RADIATORS},
    "band-pass": {"box": BAND_PASS},
    "double band-pass": {
        "box": {**BAND_PASS, "fr": 35.0, "rear": {"shape": {"kind": "round", "diameter": 0.04}, "y": 0.15}}
    },
    "two ports": {
        "box": {
            "kind": "vented",
            "Vb": 0.014,
            "fb": 46.0,
            "port": {"shape": {"kind": "round", "diameter": 0.05}, "y": 0.3},
            "other": {"shape": {"kind": "round", "diameter": 0.03}, "y": 0.08},
        }
    },
    "compound": {"box": {"kind": "closed", "Vb": 0.009}, "count": 2, "compound": True},
}
"""Other kinds of box than a first visit shows, as the alternative that is chosen; invented."""

VOID = {
    "meta",
    "link",
    "input",
    "br",
    "hr",
    "img",
    "path",
    "circle",
    "rect",
    "line",
    "use",
    "ellipse",
    "polygon",
}


def made(name):
    """The document of one of `MADE` or of `BOXES`."""
    if name in BOXES:
        pair = demo("reading_room")
        return plain(
            read_project(amend(pair, {"alternatives.A": {"driver": "woofer", **BOXES[name]}, "chosen": "A"}))
        )
    kind, _, show = name.partition(" ")
    show = show or "metric"
    begin = {"drivers": from_drivers, "plan": from_plan}.get(kind)
    return begin(show) if begin else {**demo(kind), "show": show}


NO_NUMBER = re.compile(r"\b(nan|NaN|inf|Infinity|None|Undefined|undefined)\b(?! yet)")
"""What stands on a page where a number was lost."""


def said(value, quantity, show="metric", fraction=64):
    """A value as a page says it, with its unit."""
    return units.with_unit(value, quantity, show, fraction).replace("\N{NO-BREAK SPACE}", " ")


def check(page):
    """Hold a page against what is true of every page."""
    lost = NO_NUMBER.search(page.markup)
    assert not lost, page.markup[max(0, lost.start() - 80) : lost.end() + 40]
    ids = page.ids
    assert len(ids) == len(set(ids)), sorted(id for id in ids if ids.count(id) > 1)
    for each in page.root.all():
        wanted = each.attributes.get("for"), *each.attributes.get("aria-describedby", "").split()
        for id in wanted:
            assert id is None or id in ids, f"nothing has the id {id}"
        to = each.attributes.get("href", "")
        assert not to.startswith("#") or to[1:] in ids, f"{to} leads nowhere"
    for name, each in page.fields.items():
        assert each.kind != "radio" or each.value is not None or each.wrong, f"no choice stands at {name}"


def check_refusal(desk, place, path, text, words, beside):
    """What is refused stays in its field with the reason; a good edit beside it is kept, all else stays.

    `beside` is the path, the text and the SI value of that good edit.
    """
    other, good, value = beside
    before = desk.plain
    page = desk.refused(place, **{path: text, other: good})
    check(page)
    refused = page.fields[path]
    assert refused.wrong and words in refused.says, refused.says
    assert refused.value == text or refused.kind not in ("input", "textarea")
    assert not page.fields[other].wrong and "1 value needs another look" in page.alert
    assert desk.plain == amend(before, {other: value})


def check_answers(desk, place, path, text):
    """A change is answered by the panel, or without script by the way back to the whole page."""
    again = desk.look(place).fields[path].value
    panel = desk.send(place, **{path: text})
    assert (
        panel.status_code == 200
        and "<html" not in panel.text
        and panel.headers["Vary"].startswith("HX-Request")
    )
    assert (
        Page(panel.text).root.one("form", id="page").attributes["hx-post"] == f"/projects/{desk.key}/{place}"
    )
    whole = desk.send(place, panel=False, **{path: again})
    assert whole.status_code == 303 and whole.headers["Location"] == f"/projects/{desk.key}/{place}"
    refused = desk.send(place, panel=False, **{path: "nineteen"})
    assert refused.status_code == 422 and "<html" in refused.text
    assert Page(refused.text).fields[path].wrong
    for headers, wanted in (({}, True), ({"HX-Request": "true"}, False)):
        answer = desk.browser.get(f"/projects/{desk.key}/{place}", headers=headers)
        assert ("<html" in answer.text) is wanted
    back = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
    assert "<html" in desk.browser.get(f"/projects/{desk.key}/{place}", headers=back).text


def check_looking(visitor, place):
    """Who has a link to look sees the page, can type nothing, and is refused what he sends all the same."""
    page = visitor.look(place)
    assert "disabled" in next(page.root.all("fieldset", class_="bare")).attributes
    assert "Looking only" in page.text
    form = page.root.one("form", id="page")
    assert "hx-post" not in form.attributes
    before = visitor.document
    for do in (*page.buttons, ""):
        assert visitor.send(place, do, title="Mine now").status_code == 403
    assert visitor.document == before


SPACED = {"th", "td", "tr", "p", "div", "li", "dt", "dd", "option", "text"}


@dataclass
class Element:
    """An element of a page with what stands in it: elements and texts."""

    tag: str
    attributes: dict
    inside: list = field(default_factory=list)
    around: "Element | None" = field(default=None, repr=False)
    flow: list = field(default_factory=list, repr=False)  # every element of the page, in its order
    first: int = 0  # where what stands in this one begins there, and ends
    last: int = 0

    def all(self, tag=None, **wanted):
        """The elements below with this tag and these attributes (``class_``: among its classes)."""
        names = {name.replace("_", "-"): value for name, value in wanted.items() if name != "class_"}
        among = wanted.get("class_")
        for part in self.flow[self.first : self.last]:
            named = tag in (None, part.tag) and (among is None or among in part.classes)
            if named and all(part.attributes.get(name) == value for name, value in names.items()):
                yield part

    def one(self, tag=None, **wanted):
        """The only such element."""
        (found,) = self.all(tag, **wanted)
        return found

    def within(self, tag):
        """The innermost element of that tag around this one."""
        frame = self.around
        while frame.tag != tag:
            frame = frame.around
        return frame

    @property
    def classes(self):
        return (self.attributes.get("class") or "").split()

    @property
    def text(self):
        """All that can be read in it, blanks drawn together."""
        return re.sub(r"\s+", " ", "".join(self._texts())).strip()

    def _texts(self):
        for part in self.inside:
            if isinstance(part, str):
                yield part
            elif part.tag not in ("script", "style"):
                yield from part._texts()
                yield " " if part.tag in SPACED else ""


@dataclass(frozen=True)
class Field:
    """What can be typed or chosen under one name; `says` is the refusal that stands at it.

    One that only `asks` stands in a form that changes nothing.
    """

    name: str
    kind: str
    value: str
    note: str
    wrong: bool
    says: str
    choices: tuple = ()
    asks: bool = False


class Page(HTMLParser):
    """A page, or the panel of one."""

    def __init__(self, markup):
        super().__init__(convert_charrefs=True)
        self.markup = markup
        self.root = Element("page", {})
        self._open = [self.root]
        self.feed(markup)
        self.close()
        self.root.last = len(self.root.flow)
        assert len(self._open) == 1, f"left open: {[element.tag for element in self._open]}"

    def handle_starttag(self, tag, attributes):
        element = self._add(tag, attributes)
        if tag not in VOID:
            self._open.append(element)

    def handle_startendtag(self, tag, attributes):
        self._add(tag, attributes)

    def _add(self, tag, attributes):
        flow = self.root.flow
        place = len(flow) + 1
        element = Element(tag, dict(attributes), around=self._open[-1], flow=flow, first=place, last=place)
        flow.append(element)
        self._open[-1].inside.append(element)
        return element

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        assert self._open[-1].tag == tag, f"</{tag}> closes <{self._open[-1].tag}>"
        self._open.pop().last = len(self.root.flow)

    def handle_data(self, text):
        self._open[-1].inside.append(text)

    @property
    def text(self):
        return self.root.text

    @property
    def heading(self):
        return self.root.one("h1").text

    @property
    def lead(self):
        """The answer in a sentence."""
        return next(self.root.all("p", class_="lead")).text

    @property
    def alert(self):
        return " ".join(element.text for element in self.root.all(role="alert"))

    @property
    def revision(self):
        return next(self.root.all("input", name="revision")).attributes["value"]

    @property
    def ids(self):
        return [each.attributes["id"] for each in self.root.all() if "id" in each.attributes]

    @property
    def buttons(self):
        """What the buttons do: ``verb:argument``."""
        return [
            each.attributes["value"]
            for each in self.root.all("button", name="do")
            if each.attributes["value"]
        ]

    def says(self, id):
        """The text of the element with that id."""
        return next(self.root.all(id=id)).text

    @property
    def sill(self):
        """The cells of the sill: name -> (number, what the last change did to it)."""
        cells = {}
        for cell in next(self.root.all("aside", class_="sill")).all("div"):
            by = cell.one("span", class_="by").text
            shown = cell.one("dd").text
            cells[cell.one("dt").text] = shown.removesuffix(by).strip(), by
        return cells

    def rows(self, caption=None, label=None):
        """The rows of a table by its caption, or by the label of what it scrolls in: lists of texts."""
        for table in self.root.all("table"):
            named = " ".join(element.text for element in table.all("caption"))
            if caption and named.startswith(caption):
                return _rows(table)
        for scroll in self.root.all("div", aria_label=label):
            return _rows(next(scroll.all("table")))
        raise AssertionError(f"no table {caption or label}")

    @cached_property
    def fields(self):
        """Every field by its name."""
        fields = {}
        notes = {}
        for note in self.root.all("span"):
            if note.attributes.get("id", "").endswith("-note"):
                notes.setdefault(note.attributes["id"], []).append(note)
        for holder in self.root.all():
            name = holder.attributes.get("name")
            if not name or holder.tag not in ("input", "select", "textarea"):
                continue
            if holder.attributes.get("type") == "radio":
                fields[name] = self._choice(name)
            elif name != "revision":
                fields[name] = self._field(
                    name, holder, notes.get(holder.attributes.get("aria-describedby"), [])
                )
        return fields

    def _field(self, name, holder, notes):
        if holder.tag == "select":
            options = list(holder.all("option"))
            chosen = [option.attributes["value"] for option in options if "selected" in option.attributes]
            value, choices = (chosen or [""])[0], tuple(option.attributes["value"] for option in options)
        else:
            value = holder.text if holder.tag == "textarea" else holder.attributes.get("value", "")
            choices = ()
        frame = holder.within("div")
        says = " ".join(note.text for note in notes if "says" in note.classes)
        note = " ".join(note.text for note in notes)
        wrong = "wrong" in frame.classes
        assert (
            wrong == bool(says) == (holder.attributes.get("aria-invalid") == "true")
            or holder.tag == "textarea"
        )
        return Field(name, holder.tag, value, note, wrong, says, choices, _asks(holder))

    def _choice(self, name):
        radios = list(self.root.all("input", name=name))
        assert {radio.attributes.get("type") for radio in radios} == {"radio"}
        chosen = [radio.attributes["value"] for radio in radios if "checked" in radio.attributes]
        frame = radios[0].within("fieldset")
        says = " ".join(element.text for element in frame.all("span", class_="says"))
        wrong = "wrong" in frame.classes
        choices = tuple(radio.attributes["value"] for radio in radios)
        return Field(name, "radio", (chosen or [None])[-1], "", wrong, says, choices, _asks(frame))


def _asks(element):
    return element.within("form").attributes.get("method") == "get"


def _rows(table):
    return [[cell.text for cell in row.inside if isinstance(cell, Element)] for row in table.all("tr")]


class Desk:
    """Somebody at one project's pages: opens them, types into them, presses their buttons."""

    def __init__(self, browser, key, store=None):
        self.browser, self.key, self.store = browser, key, store

    def look(self, place, panel=False):
        answer = self.browser.get(
            f"/projects/{self.key}/{place}", headers={"HX-Request": "true"} if panel else {}
        )
        assert answer.status_code == 200, (place, answer.status_code)
        return Page(answer.text)

    def send(self, place, do="", revision=None, panel=True, **typed):
        """The raw answer to what was typed on a page; dotted names stand in ``**{"air.T": ...}``."""
        if revision is None:
            revision = self.store.load(self.project).revision
        sent = {"revision": str(revision), **typed} | ({"do": do} if do else {})
        return self.browser.post(
            f"/projects/{self.key}/{place}", data=sent, headers={"HX-Request": "true"} if panel else {}
        )

    def type(self, place, do="", **typed):
        """The page after a change that is taken."""
        answer = self.send(place, do, **typed)
        assert answer.status_code == 200, (answer.status_code, Page(answer.text).alert)
        return Page(answer.text)

    def refused(self, place, do="", **typed):
        """The page after a change that is not taken whole."""
        answer = self.send(place, do, **typed)
        assert answer.status_code == 422, answer.status_code
        page = Page(answer.text)
        assert page.alert
        return page

    @property
    def project(self):
        linked = self.store.linked(self.key)
        return linked[0] if linked else self.key

    @property
    def document(self):
        """What is kept now, as it is written down."""
        return self.store.load(self.project).document

    @property
    def plain(self):
        """The same with its defaults."""
        return plain(read_project(self.document))

    @property
    def result(self):
        """What follows from what is kept."""
        return evaluate(read_project(self.document))
