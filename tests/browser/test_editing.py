"""How it feels to edit: slow answers, quick hands, two people, no JavaScript, the way back."""

import json
import re

import pytest
from hands import answered, field, kept, made, pressed, typed
from playwright.sync_api import expect

KERF, TRIM = "workshop.kerf", "workshop.trim"
TITLE, SPEAKERS, NOTES = "title", "speakers", "notes"


@pytest.fixture
def key(page):
    """A project of this test's own: a fresh copy of a demo."""
    return made(page, "demo:reading_room")


@pytest.fixture
def slow():
    """A function that makes every change of a page take its time on the way to the server."""

    def slowed(page, by=600):
        def late(route):
            if route.request.method == "POST":
                page.wait_for_timeout(by)
            route.continue_()

        page.route("**/projects/**", late)

    return slowed


def test_focus_and_half_typed_text_survive_a_slow_answer(page, workshop, key, slow):
    page.goto(f"/projects/{key}/cutting")
    slow(page)
    with answered(page):
        field(page, KERF).fill("2.8")
        page.keyboard.press("Tab")
        expect(field(page, TRIM)).to_be_focused()
        page.keyboard.type("12.")
    expect(field(page, TRIM)).to_be_focused()
    expect(field(page, TRIM)).to_have_value("12.")
    expect(field(page, KERF)).to_have_value("2.8")
    with answered(page):
        page.keyboard.type("5")
        page.keyboard.press("Tab")
    project, _ = kept(workshop, key)
    assert (project.workshop.kerf, project.workshop.trim) == (0.0028, 0.0125)


def test_two_quick_changes_both_land(page, workshop, key, slow):
    page.goto(f"/projects/{key}/cutting")
    slow(page, 400)
    before = page.evaluate("window.swapped")
    field(page, KERF).fill("2.6")
    page.keyboard.press("Tab")
    page.keyboard.type("11")
    page.keyboard.press("Tab")
    page.keyboard.type("3")
    page.keyboard.press("Tab")
    page.wait_for_function("before => window.swapped >= before + 3", arg=before)
    expect(page.get_by_role("heading", level=1)).to_have_text("What comes off the saw?")
    project, _ = kept(workshop, key)
    assert (project.workshop.kerf, project.workshop.trim, project.speakers) == (0.0026, 0.011, 3)
    assert [field(page, path).input_value() for path in (KERF, TRIM, SPEAKERS)] == ["2.6", "11", "3"]


def test_a_change_is_not_lost_while_a_button_is_pressed(page, workshop, key):
    page.goto(f"/projects/{key}/cabinet")
    path = "cabinet.edges.left-top.depth"
    before = page.evaluate("window.swapped")
    field(page, path).fill("6")
    page.locator("button[value='add-thing']").evaluate("it => { it.closest('details').open = true }")
    page.locator("button[value='add-thing']").click()
    page.wait_for_function("before => window.swapped >= before + 2", arg=before)
    project, _ = kept(workshop, key)
    assert project.cabinet.edges["left-top"].depth == 0.006
    assert "crossover board" in project.cabinet.displaced


def test_a_refused_text_stays_while_its_neighbour_is_kept(page, workshop, key):
    page.goto(f"/projects/{key}/cutting")
    typed(page, KERF, "thin", status=422)
    with answered(page, 422):
        field(page, TRIM).fill("9")
        page.keyboard.press("Tab")
    expect(field(page, KERF)).to_have_value("thin")
    expect(field(page, KERF)).to_have_attribute("aria-invalid", "true")
    expect(field(page, TRIM)).to_have_value("9")
    assert kept(workshop, key)[0].workshop.trim == 0.009
    page.get_by_role("alert").get_by_role("link", name="To the first").click()
    assert page.evaluate("document.activeElement.name || location.hash") in (KERF, f"#{KERF}")


def test_the_way_back_leads_to_the_page_before_as_it_is_now(page, key):
    page.goto(f"/projects/{key}/cutting")
    typed(page, KERF, "2.9")
    page.goto(f"/projects/{key}/boring")
    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text("What comes off the saw?")
    expect(field(page, KERF)).to_have_value("2.9")
    revision = field(page, "revision").input_value()
    typed(page, TRIM, "8")
    assert int(field(page, "revision").input_value()) == int(revision) + 1, "no conflict with oneself"
    page.go_forward()
    expect(page.get_by_role("heading", level=1)).to_have_text("How does each driver get its seat?")


def test_the_drawings_stay_and_the_charts_are_drawn_anew(page, key):
    page.goto(f"/projects/{key}/box")
    level = page.locator("#plot-level")
    curve = level.locator(".scatterlayer .js-line").first
    before = curve.get_attribute("d")
    typed(page, "alternatives.B.box.fb", "38")
    expect(curve).not_to_have_attribute("d", before)
    typed(page, "alternatives.B.box.port.shape.diameter", "50")
    for name in ("cabinet", "port", "box"):
        page.goto(f"/projects/{key}/{name}")
        if name == "cabinet":
            with answered(page):
                page.locator('[id="cabinet.hold.outer"]').check()
        if name == "port":
            pressed(page, "hold:length")
        for drawing in page.locator(".plate svg").all():
            box = drawing.bounding_box()
            assert box and box["height"] > 200, f"a drawing of the {name} page has gone"


def test_what_was_folded_open_stays_open(page, key):
    page.goto(f"/projects/{key}/box")
    page.locator("#losses > summary").click()
    typed(page, "alternatives.B.box.QL", "9")
    assert page.locator("#losses").get_attribute("open") is not None
    expect(field(page, "alternatives.B.box.QL")).to_be_visible()


def test_a_box_that_is_weighed_comes_into_view(page, key):
    page.goto(f"/projects/{key}/box")
    pressed(page, "copy:B")
    expect(page.locator("#chosen")).to_be_focused()
    expect(page.locator("#chosen")).to_be_in_viewport()


def test_the_same_forms_work_without_javascript(sit_down, workshop, key):
    page = sit_down(java_script_enabled=False)
    page.goto(f"/projects/{key}/box")
    assert page.locator(".plot svg").count() == 0
    table = page.locator("#chart-level table")
    assert table.locator("tbody tr").count() > 5
    expect(table.locator("thead th").first).to_contain_text("Hz")

    page.goto(f"/projects/{key}/cutting")
    field(page, KERF).fill("2.7")
    field(page, SPEAKERS).fill("4")
    page.get_by_role("button", name="Keep and reckon again").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What comes off the saw?")
    assert page.url.endswith("/cutting")
    project, _ = kept(workshop, key)
    assert (project.workshop.kerf, project.speakers) == (0.0027, 4)
    expect(field(page, KERF)).to_have_value("2.7")

    field(page, KERF).fill("thick")
    page.keyboard.press("Enter")
    expect(field(page, KERF)).to_have_value("thick")
    expect(page.locator(f'[id="{KERF}-note"]')).to_contain_text("cannot be read as a number")

    page.goto(f"/projects/{key}/cabinet")
    page.locator('[id="cabinet.hold.outer"]').check()
    page.get_by_role("button", name="Keep and reckon again").click()
    assert kept(workshop, key)[0].cabinet.hold == "outer"
    page.goto(f"/projects/{key}/braces")
    page.get_by_role("button", name="Add a rib").click()
    assert "rib" in kept(workshop, key)[0].cabinet.braces


def test_the_later_of_two_sees_both_values_and_chooses(sit_down, workshop, key):
    first, second = sit_down(), sit_down()
    for page in (first, second):
        page.goto(f"/projects/{key}/cutting")
    typed(first, KERF, "2.5")

    with answered(second, 409):
        field(second, KERF).fill("3.5")
        second.keyboard.press("Tab")
    expect(second.get_by_role("heading", level=1)).to_have_text("Which of the two shall stand?")
    row = second.locator("table.both tbody tr")
    expect(row).to_have_count(1)
    expect(row.locator("td")).to_have_text(["3.5", "2.5"])
    assert kept(workshop, key)[0].workshop.kerf == 0.0025
    with answered(second):
        second.get_by_role("button", name="Keep mine on top of theirs").click()
    expect(second.get_by_role("heading", level=1)).to_have_text("What comes off the saw?")
    assert kept(workshop, key)[0].workshop.kerf == 0.0035

    with answered(first, 409):
        field(first, KERF).fill("4.5")
        first.keyboard.press("Tab")
    first.get_by_role("link", name="Leave theirs").click()
    expect(first.get_by_role("heading", level=1)).to_have_text("What comes off the saw?")
    expect(field(first, KERF)).to_have_value("3.5")
    assert kept(workshop, key)[0].workshop.kerf == 0.0035


def test_two_changes_that_both_came_too_late_wait_for_one_choice(sit_down, workshop, key, slow):
    first, second = sit_down(), sit_down()
    for page in (first, second):
        page.goto(f"/projects/{key}/cutting")
    typed(first, KERF, "2.5")
    slow(second, 400)
    before = second.evaluate("window.swapped")
    field(second, KERF).fill("3.5")
    second.keyboard.press("Tab")
    second.keyboard.type("11")
    second.keyboard.press("Tab")
    second.wait_for_function("before => window.swapped >= before + 2", arg=before)
    expect(second.locator("table.both tbody tr")).to_have_count(2)
    with answered(second):
        second.get_by_role("button", name="Keep mine on top of theirs").click()
    project, _ = kept(workshop, key)
    assert (project.workshop.kerf, project.workshop.trim) == (0.0035, 0.011)


def test_put_back_before_the_answer_came_is_put_back(page, workshop, key, slow):
    page.goto(f"/projects/{key}/cabinet")
    slow(page, 400)
    was = page.locator("[name='cabinet.hold']:checked").get_attribute("id")
    before = page.evaluate("window.swapped")
    page.locator('[id="cabinet.hold.outer"]').check()
    page.locator(f'[id="{was}"]').check()
    page.wait_for_function("before => window.swapped >= before + 2", arg=before)
    expect(page.locator(f'[id="{was}"]')).to_be_checked()
    assert kept(workshop, key)[0].cabinet.hold == was.rsplit(".")[-1]


def test_enter_keeps_a_value_once(page, workshop, key, slow):
    page.goto(f"/projects/{key}/cutting")
    slow(page, 200)
    before = page.evaluate("window.swapped")
    field(page, KERF).fill("2.4")
    page.keyboard.press("Enter")
    page.wait_for_function("before => window.swapped >= before + 2", arg=before)
    expect(page.get_by_role("heading", level=1)).to_have_text("What comes off the saw?")
    expect(field(page, KERF)).to_be_focused()
    assert kept(workshop, key)[0].workshop.kerf == 0.0024
    assert field(page, "revision").input_value() == "2"


def test_it_says_so_when_the_workbench_does_not_answer(left_alone):
    page = left_alone("cutting")
    field(page, KERF).fill("2.3")
    page.keyboard.press("Tab")
    expect(page.get_by_role("alert")).to_contain_text("Not kept. The workbench does not answer.")
    expect(field(page, KERF)).to_have_value("2.3")


def test_a_link_is_copied_and_where_that_is_not_lent_it_is_marked(sit_down, key):
    page = sit_down(permissions=["clipboard-read", "clipboard-write"])
    page.goto(f"/projects/{key}/history")
    page.get_by_role("button", name="Make the link to look").click()
    link = page.locator(".address a").get_attribute("href")
    page.get_by_role("button", name="Copy it").click()
    expect(page.get_by_role("status")).to_have_text("The link is copied.")
    assert page.evaluate("navigator.clipboard.readText()") == link

    page.evaluate("Object.defineProperty(navigator, 'clipboard', { value: undefined })")
    page.get_by_role("button", name="Copy it").click()
    expect(page.get_by_role("status")).to_contain_text("The link is marked")
    assert page.evaluate("getSelection().toString()").strip() == link


def test_what_was_written_can_be_brought_back(page, workshop, key):
    page.goto(f"/projects/{key}/history")
    was = field(page, TITLE).input_value()
    typed(page, TITLE, "Another name")
    typed(page, NOTES, "Glue the back last.")
    restore = page.get_by_role("button", name=re.compile("^Bring back revision 1$"))
    with answered(page, 303):
        restore.click()
    expect(field(page, TITLE)).to_have_value(was)
    stored = json.loads((workshop.data / "projects" / key / "project.json").read_text())
    assert stored["revision"] == 4, "what was there stays in the list"
    assert stored["project"]["title"] == was


def test_what_a_change_moved_stands_under_the_drawing(page, workshop, key):
    page.goto(f"/projects/{key}/cabinet")
    expect(page.locator("#moved")).to_have_count(0)
    with answered(page):
        field(page, "cabinet.edges.left-top.depth").fill("12")
        page.keyboard.press("Tab")
    told = page.locator("#moved li")
    expect(told).to_have_count(1)
    expect(told).to_contain_text("Top and bottom are")
    expect(told).to_contain_text("2 × 3")
    page.goto(f"/projects/{key}/faces")
    typed(page, "cabinet.finish", "0.5")
    page.goto(f"/projects/{key}/cabinet")
    expect(page.locator("#moved")).to_contain_text("shallower")
    expect(page.locator("#moved")).not_to_contain_text("Top and bottom")
