"""The shelf: every project, and how to begin one; for its owner alone."""

import pytest
from places import PLACES
from reading import Desk, Page, check

from server.documents import at
from server.pages import QUESTIONS
from server.storage import Store


def spines(page):
    """Address and title of each project on the shelf."""
    return [(spine.attributes["href"], spine.one("b").text) for spine in page.root.all("a", class_="spine")]


def test_a_first_visit_finds_both_demos(client):
    page = Page(client.get("/").text)
    check(page)
    assert page.heading == QUESTIONS["shelf"]
    found = spines(page)
    assert [title for _, title in found] == ["Reading-room pair", "Hall subwoofer"]
    for href, title in found:
        opened = client.get(href)
        assert opened.status_code == 200 and title in opened.text
    assert spines(Page(client.get("/").text)) == found, "a second visit makes no more of them"


@pytest.mark.parametrize("show", ["metric", "imperial"])
@pytest.mark.parametrize(("way", "first"), [("drivers", "drivers"), ("plan", "cabinet")])
def test_a_new_project_begins_where_its_numbers_are_typed(client, store, way, first, show):
    answer = client.post("/", data={"do": f"begin:{way}", "show": show})
    assert answer.status_code == 303 and answer.headers["Location"].endswith(f"/{first}")
    key = answer.headers["Location"].split("/")[2]
    desk = Desk(client, key, store)
    assert desk.document["show"] == show
    for place in PLACES:
        check(desk.look(place))
    assert f"/projects/{key}/box" in [href for href, _ in spines(Page(client.get("/").text))]


SIZED = (
    "cabinet.size.width", "cabinet.size.height", "cabinet.size.depth", "cabinet.edges.left-top.depth",
    "workshop.sheets.sheet.length", "workshop.sheets.sheet.width", "workshop.kerf", "workshop.pass_depth",
    "workshop.saw.reach", "cabinet.seats.woofer.y", "cabinet.braces.shelf.at", "cabinet.braces.shelf.depth",
    "cabinet.braces.shelf.window.width", "cabinet.braces.shelf.window.radius", "cabinet.braces.dowel.width",
    "cabinet.holes.hole.diameter", "cabinet.holes.hole.y", "cabinet.boards.board.width",
    "cabinet.feet.height", "workshop.stock.offcut 1.length", "workshop.clamps.clamps1.reach",
    "workshop.bits.bit2",
)  # fmt: skip
"""Sizes that a new project has, and that buttons write."""


@pytest.mark.parametrize(("show", "step"), [("metric", 1e-4), ("imperial", 0.0254 / 16)])
@pytest.mark.parametrize("way", ["drivers", "plan"])
def test_a_new_project_and_its_buttons_write_sizes_of_its_own_rule(client, store, way, show, step):
    answer = client.post("/", data={"do": f"begin:{way}", "show": show})
    desk = Desk(client, answer.headers["Location"].split("/")[2], store)
    for place, do in (
        ("braces", "add-brace:shelf"), ("braces", "add-brace:dowel"), ("boring", "add-hole"),
        ("boring", "add-bit"), ("cabinet", "add-board"), ("standing", "add:feet"), ("stock", "offcut:sheet"),
        ("assembly", "add-clamp"),
    ):  # fmt: skip
        desk.type(place, do=do)
    for path in SIZED:
        value = at(desk.document, path)
        assert value / step == pytest.approx(round(value / step), abs=1e-6) and value > 0, path


def test_a_demo_is_taken_down_in_the_units_that_were_chosen(client, store):
    answer = client.post("/", data={"do": "demo:reading_room", "show": "imperial"})
    assert Desk(client, answer.headers["Location"].split("/")[2], store).document["show"] == "imperial"


def test_a_fresh_demo_is_a_copy_of_its_own(client, store):
    client.get("/")
    before = len(store.shelf())
    for name in ("reading_room", "hall_subwoofer"):
        answer = client.post("/", data={"do": f"demo:{name}"})
        assert answer.status_code == 303 and client.get(answer.headers["Location"]).status_code == 200
    assert len(store.shelf()) == before + 2


def test_a_project_put_away_leaves_the_shelf_and_is_kept(client, store):
    client.get("/")
    (href, title), *_ = spines(Page(client.get("/").text))
    key = href.split("/")[2]
    assert client.post("/", data={"do": f"remove:{key}"}).status_code == 303
    assert title not in [other for _, other in spines(Page(client.get("/").text))]
    assert client.get(href).status_code == 404
    assert [kept.name for kept in (store.folder / "removed").iterdir()][0].startswith(key)


@pytest.mark.parametrize("do", ["begin:rocket", "demo:../etc", "demo:", "nothing", "begin", ":", "x" * 5000])
def test_a_button_that_is_not_there_does_nothing(client, store, do):
    client.get("/")
    before = [each.id for each in store.shelf()]
    assert client.post("/", data={"do": do}).status_code == 303
    assert [each.id for each in store.shelf()] == before


@pytest.mark.parametrize("argument", ["", "x", "..", "../projects", "A" * 22])
def test_putting_away_what_is_not_there_finds_nothing(client, store, argument):
    client.get("/")
    assert client.post("/", data={"do": f"remove:{argument}"}).status_code == 404
    assert len(store.shelf()) == 2


def test_a_nonsense_system_of_units_is_metric(client, store):
    key = client.post("/", data={"do": "begin:plan", "show": "cubits"}).headers["Location"].split("/")[2]
    assert store.load(key).document["show"] == "metric"


def test_a_visitor_sees_no_shelf_and_no_way_to_it(desk, visitor, store):
    sitting = desk()
    look = store.set_link(sitting.project, "look")
    assert visitor.get("/").status_code == 404
    assert visitor.post("/", data={"do": "begin:plan"}).status_code == 404
    page = Page(visitor.get(f"/projects/{look}/box").text)
    rule = [link.text for link in next(page.root.all("nav", class_="rule")).all("a")]
    assert not [name for name in rule if "Shelf" in name]
    owners = [link.text for link in next(sitting.look("box").root.all("nav", class_="rule")).all("a")]
    assert [name for name in owners if "Shelf" in name]


def test_a_workbench_that_only_looks_begins_nothing(client, store):
    client.get("/")
    client.app.state.store = Store(store.folder, read_only=True)
    page = Page(client.get("/").text)
    check(page)
    assert "Looking only" in page.text and not page.buttons and len(spines(page)) == 2
    for do in ("begin:plan", "demo:reading_room", f"remove:{spines(page)[0][0].split('/')[2]}"):
        assert client.post("/", data={"do": do}).status_code == 403
    assert len(store.shelf()) == 2


def test_a_damaged_project_says_so_on_the_shelf_and_on_its_page(desk, client, store):
    sitting = desk()
    sitting.type("history", title="Twice kept")
    path = store.folder / "projects" / sitting.key / "project.json"
    path.write_text("{ half a")
    assert "damaged" in client.get("/").text
    page = sitting.look("box")
    check(page)
    assert "A damaged file" in page.text and page.revision == "1" and "continue" in page.buttons
    answer = sitting.send("box", revision=1, title="Over it")
    assert answer.status_code == 409 and path.read_text() == "{ half a", (
        "left untouched until somebody decides"
    )
    page = sitting.type("box", "continue", revision=1)
    assert "A damaged file" not in page.text and sitting.document["title"] == "Reading-room pair"
    assert page.revision == "3"
    sitting.type("history", title="Going on")
