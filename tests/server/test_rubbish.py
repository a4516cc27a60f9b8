"""Whatever is typed, pressed or sent: a page answers, says why not, and keeps what was typed."""

import logging
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from places import PLACES
from reading import NO_NUMBER, Desk, Page, made
from starlette.testclient import TestClient

from server.app import create_app
from server.documents import read_project
from server.routes import (
    assembly,
    boring,
    box,
    cabinet,
    crossover,
    cutting,
    drivers,
    fit,
    loudness,
    map,
    port,
    saw,
    stock,
    ways,
    wiring,
)

TO_READ = ("packet", "views", "full_size")
"""Pages that take nothing."""

PROJECTS = (
    "reading_room",
    "hall_subwoofer imperial",
    "plan",
    "drivers imperial",
    "radiators",
    "double band-pass",
)

TEXTS = (
    "nineteen", "-1", "0", "1e9", "1e-9", "", "23 5/8", "0,33", "∞", "nan", "NaN", "-0", "1e999", "1/0",
    "1,234", "None", "😀", "x" * 5000, "<b>&\"'", "\x00", "\u202e12", "12 mm", "3 litre", "yes", "٣",
)  # fmt: skip

VERBS = (
    *box.ACTIONS, *cabinet.ACTIONS, *boring.ACTIONS, *drivers.ACTIONS, *loudness.ACTIONS, *map.ACTIONS,
    *assembly.ACTIONS, *crossover.ACTIONS, *wiring.ACTIONS, *ways.ACTIONS, *fit.ACTIONS, *port.ACTIONS,
    *saw.ACTIONS, *stock.ACTIONS, *cutting.ACTIONS, "line", "unline",
    "measured", "usual", "restore", "link", "withdraw", "continue", "remove", "", "begin", "__class__",
)  # fmt: skip

NAMES = (
    "__class__", "alternatives", "alternatives.B", "alternatives.B.box", "alternatives.B.box.kind", "format",
    "a.b.c", "alternatives.Z.box.fb", "drivers.ghost.fs", "drivers..fs", ".", "", "cabinet.panels.lid",
    "drivers.woofer.frame.flange.x", "cabinet.edges", "cabinet.edges.front-back.depth", "alternatives[0]",
    "cabinet.edges.left-top.mitre", "workshop.bits.new bit", "workshop.bits.<b>", "alternatives.0.box",
    "drivers.woofer.__init__", "a" * 300, "x." * 200 + "x", "😀", "air", "air.T.K", "chosen.B", "revision.x",
    "cabinet.size.width.", "thing",
)  # fmt: skip

ARGUMENTS = (
    "", "woofer", "dome", "A", "B", "shelf", "rib", "slot", "round", "length", "outer", "volume", "ghost",
    "a.b", "woofer.x", ".", "..", "0", "1", "-1", "²", "x" * 3000, "sheet", "ply", "straight", "hole",
    "terminals", "midrange", "Rabbeted", "0.707", "\x00", "😀", "<b>",
)  # fmt: skip

STEPS = ("alternatives", "B", "box", "port", "drivers", "woofer", "cabinet", "x", "0", "")


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """An application, its owner's browser, and projects that are sat down at anew after each change."""
    app = create_app(tmp_path_factory.mktemp("shop"))
    here = ("127.0.0.1", 50000)
    logging.disable(logging.CRITICAL)
    try:
        with TestClient(
            app,
            base_url="http://localhost",
            client=here,
            follow_redirects=False,
            raise_server_exceptions=False,
        ) as browser:
            yield _Shop(app.state.store, browser)
    finally:
        logging.disable(logging.NOTSET)


class _Shop:
    def __init__(self, store, browser):
        self.store, self.browser, self._desks, self._fields = store, browser, {}, {}

    def desk(self, name):
        """A project that nobody changed since it was made."""
        kept = self._desks.get(name)
        if kept is None or self.store.load(kept.key).revision != 1:
            self._desks[name] = Desk(self.browser, self.store.create(made(name)), self.store)
        return self._desks[name]

    def fields(self, name, place):
        """The fields on a page that change the project, found by reading it."""
        if (name, place) not in self._fields:
            found = self.desk(name).look(place).fields.values()
            self._fields[name, place] = [field for field in found if not field.asks]
        return self._fields[name, place]


def checked(answer, typed=""):
    """The page of an answer that holds no lost number, besides what somebody typed."""
    assert answer.status_code in (200, 422), answer.status_code
    page = Page(answer.text)
    values = [each.attributes["value"] for each in page.root.all("input") if "value" in each.attributes]
    shown = page.text
    for text in (*values, typed):
        if NO_NUMBER.search(text):
            assert text.strip() == typed.strip(), f"a field holds {text!r}"
    if not NO_NUMBER.search(typed):
        assert not NO_NUMBER.search(shown), shown
    for drawing in page.root.all("svg"):
        for part in drawing.all():
            for name, value in part.attributes.items():
                assert not NO_NUMBER.search(value or "") or typed in (value or ""), (part.tag, name, value)
    return page


def hold(shop, name, place, field, text):
    """Type one text into one field: it is taken, or it stands there with the reason."""
    sitting = shop.desk(name)
    before = sitting.plain
    answer = sitting.send(place, revision=1, **{field.name: text})
    page = checked(answer, text)
    if answer.status_code == 422:
        refused = page.fields[field.name]
        assert refused.wrong and refused.says, f"no word at {field.name} for {text[:20]!r}: {page.alert}"
        assert "1 value needs" in page.alert
        if refused.kind in ("input", "textarea"):
            assert refused.value.strip() == text.replace("\x00", "\ufffd").strip() or "\x00" in text
        assert sitting.plain == before
    else:
        read_project(sitting.document)
    return answer.status_code


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_any_text_in_any_field(shop, data):
    name = data.draw(st.sampled_from(PROJECTS))
    place = data.draw(st.sampled_from([place for place in PLACES if place not in TO_READ]))
    fields = shop.fields(name, place)
    if fields:
        field = data.draw(st.sampled_from(fields))
        text = data.draw(st.sampled_from(TEXTS) | st.text(max_size=40) | st.floats().map(str) | numbers())
        hold(shop, name, place, field, text)


@cache
def numbers():
    """Numbers over many sizes, as people write them, with and without a unit."""
    size = st.integers(-9, 9).map(lambda power: 10.0**power)
    number = st.tuples(st.floats(1, 10), size).map(lambda parts: f"{parts[0] * parts[1]:.4g}")
    return st.tuples(number, st.sampled_from(["", " mm", '"', " litre", " Hz", " kg", " %"])).map("".join)


@pytest.mark.parametrize("text", TEXTS)
def test_one_text_in_every_field_at_once(shop, text):
    """As a form without script sends it; each is taken or marked, and nothing falls over."""
    turn = TEXTS.index(text)
    name = ("reading_room", "plan", "hall_subwoofer imperial", "radiators", "double band-pass")[turn % 5]
    for place in PLACES[turn % 2 :: 2]:
        fields = shop.fields(name, place)
        if fields:
            sitting = shop.desk(name)
            page = checked(sitting.send(place, revision=1, **{field.name: text for field in fields}), text)
            read_project(sitting.document)
            for field in page.fields.values():
                if field.wrong and field.kind == "input" and "\x00" not in text:
                    assert field.value.strip() == text.strip() or field.name not in {f.name for f in fields}


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(
    name=st.sampled_from(PROJECTS),
    place=st.sampled_from([place for place in PLACES if place not in TO_READ]),
    verb=st.sampled_from(VERBS) | st.text(max_size=10),
    argument=st.sampled_from(ARGUMENTS) | st.text(max_size=12),
    panel=st.booleans(),
)
def test_any_button_with_any_argument(shop, name, place, verb, argument, panel):
    sitting = shop.desk(name)
    answer = sitting.send(place, f"{verb}:{argument}", revision=1, panel=panel)
    assert answer.status_code in (200, 303, 404, 409, 422), answer.status_code
    if answer.status_code in (200, 422):
        checked(answer, argument)
    read_project(sitting.document)
    if sitting.store.load(sitting.project).revision != 1:
        for other in (place, "cabinet", "packet"):  # whatever it did, it left a project that opens
            checked(sitting.browser.get(f"/projects/{sitting.key}/{other}"), argument)


@settings(max_examples=30, suppress_health_check=list(HealthCheck))
@given(
    name=st.sampled_from(NAMES)
    | st.text(max_size=30)
    | st.lists(st.sampled_from(STEPS), max_size=7).map(".".join),
    text=st.sampled_from(TEXTS),
    place=st.sampled_from(["box", "cabinet", "history"]),
)
def test_any_name_of_a_field(shop, name, text, place):
    sitting = shop.desk("reading_room")
    answer = sitting.send(place, **{"revision": "1", name: text})
    assert answer.status_code in (200, 409, 422), answer.status_code
    read_project(sitting.document)
    checked(sitting.browser.get(f"/projects/{sitting.key}/{place}"), text)


@pytest.mark.parametrize("name", NAMES)
def test_names_that_lead_nowhere(shop, name):
    for text in ("12", "x", ""):
        sitting = shop.desk("reading_room")
        answer = sitting.send("cabinet", **{"revision": "1", name: text})
        assert answer.status_code in (200, 409, 422), answer.status_code
        read_project(sitting.document)
    checked(sitting.browser.get(f"/projects/{sitting.key}/cabinet"))


def test_a_form_that_is_no_form(shop):
    sitting = shop.desk("reading_room")
    to = f"/projects/{sitting.key}/box"
    files = {"alternatives.B.box.fb": ("fb.txt", b"12")}
    for sent in (
        {"content": b"\xff\xfe&&&==;", "headers": {"Content-Type": "application/x-www-form-urlencoded"}},
        {"content": b"%zz=%q&revision=1", "headers": {"Content-Type": "application/x-www-form-urlencoded"}},
        {"content": b"{}", "headers": {"Content-Type": "application/json"}},
        {"content": b"", "headers": {}},
        {"content": b"--x\r\n", "headers": {"Content-Type": "multipart/form-data; boundary=x"}},
        {"content": b"junk", "headers": {"Content-Type": "multipart/form-data"}},
        {"files": files},
        {"data": {f"field{n}": "1" for n in range(3000)}},
        {"data": {"revision": ["1", "1"], "alternatives.B.P": ["30", "40"]}},
    ):
        answer = sitting.browser.post(to, **sent)
        assert answer.status_code < 500, sent
    assert sitting.document["alternatives"]["B"]["P"] == 40, "of several with one name, the last"


def test_the_watch_would_see_a_lost_number():
    assert (
        NO_NUMBER.search('<path d="M0 nan"/>') and NO_NUMBER.search(">None<") and NO_NUMBER.search("inf Hz")
    )
    assert not NO_NUMBER.search("None yet") and not NO_NUMBER.search("information, nanometre, none")
