"""Steps: what is done and what comes next, ticked by whoever stands at the machine."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest
from reading import MADE, Page, check

from server.pages import QUESTIONS
from server.storage import ReadOnly, Store


def boxes(page):
    """{key: whether it is ticked} of each box on the page."""
    return {
        each.attributes["id"]: each.attributes["aria-pressed"] == "true"
        for each in page.root.all("button")
        if "box" in each.classes
    }


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("steps")
    check(page)
    assert page.heading == QUESTIONS["steps"]
    assert f"0 of {len(boxes(page))} ticked" in page.lead


@pytest.mark.parametrize("name", MADE)
def test_a_setting_reads_as_it_does_at_the_saw(desk, name):
    sitting = desk(name)
    saw, steps = sitting.look("saw"), sitting.look("steps")
    at_the_saw = [
        re.match(r"−?[\d ./]*\d\s(?:mm|in)\b", each.text)[0] for each in saw.root.all("h3", class_="set")
    ]
    in_steps = re.findall(r"[a-z] at (−?[\d ./]*\d\s(?:mm|in))\b", steps.text)
    assert at_the_saw and list(dict.fromkeys(at_the_saw)) == list(dict.fromkeys(in_steps))


def test_a_tick_stays_and_goes_again(desk):
    sitting = desk()
    key = list(boxes(sitting.look("steps")))[3]
    page = sitting.type("steps", f"tick:{key}")
    check(page)
    assert [each for each, done in boxes(page).items() if done] == [key] and "1 of" in page.lead
    assert boxes(sitting.look("steps"))[key]
    page = sitting.type("steps", f"untick:{key}")
    assert not any(boxes(page).values())


def test_a_tick_is_no_decision_and_makes_no_revision(desk):
    sitting = desk()
    revision = sitting.store.load(sitting.project).revision
    document = sitting.document
    sitting.type("steps", f"tick:{next(iter(boxes(sitting.look('steps'))))}")
    assert sitting.store.load(sitting.project).revision == revision and sitting.document == document


def test_a_tick_outlives_a_change_of_the_project(desk):
    """Other sizes, other joints, other numbers of settings: the front is bored all the same."""
    sitting = desk()
    before = boxes(sitting.look("steps"))
    for key in before:
        sitting.store.tick(sitting.project, key, True)
    sitting.type("cabinet", **{"cabinet.size.width": "200"})
    after = boxes(sitting.look("steps"))
    bored = [key for key in before if key.startswith(("bore-", "glue-", "seat-", "pilots-"))]
    assert len(bored) > 10 and all(after[key] for key in bored)
    document = sitting.document
    document["cabinet"]["holes"]["switch"] = {"panel": "back", "diameter": 0.012, "y": 0.2}
    other = desk(document)
    new = set(boxes(other.look("steps"))) - set(before)
    assert len(new) == 2 and all(key.startswith("bore-") for key in new)


def test_each_speaker_has_its_own_boxes(desk):
    document = desk().document
    document["speakers"] = 1
    one = boxes(desk(document).look("steps"))
    document["speakers"] = 3
    three = desk(document)
    glued = [[key for key in found if key.startswith("glue-")] for found in (one, boxes(three.look("steps")))]
    assert len(glued[1]) == 3 * len(glued[0])
    assert "speaker 3" in three.look("steps").text
    document |= {"speakers": 2}
    document["cabinet"]["mirrored"] = True
    assert "☐ left" in desk(document).look("steps").text.replace("\N{NO-BREAK SPACE}", " ")


def test_the_order_is_that_of_the_work(desk):
    page = desk().look("steps")
    headings = [heading.text for heading in page.root.all("h2")]
    assert headings[:3] == ["Sheets", "Saw", "Router and drill"]
    assert headings[3:7] == [
        "Glue-up 1",
        "Glue-up 2",
        "Glue-up 3",
        "Board and wires",
    ]
    assert headings[7:9] == ["When the box is closed", "Before and at the first power"]
    words = [item.text for item in page.root.all("li")]
    places = [next(n for n, text in enumerate(words) if sought in text) for sought in (
        "Break down", "Rip", "Groove", "Woofer in the front: bored", "E shelf: glued in", "C right: glued in",
        "A front: glued in", "Joints soldered", "Leak test", "Meter across the terminals reads 5.9",
        "Plus on plus", "First power",
    )]  # fmt: skip
    assert places == sorted(places)


def test_two_people_tick_at_once_and_both_count(desk, stranger):
    owner = desk()
    helper = stranger(owner, "edit")
    keys = list(boxes(owner.look("steps")))[:12]
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda key: owner.store.tick(owner.project, key, True), keys[:6]))
    for key in keys[6:]:
        assert helper.send("steps", f"tick:{key}").status_code == 200
    assert [key for key, done in boxes(owner.look("steps")).items() if done] == keys


def test_it_goes_without_script_and_a_guest_only_looks(desk, stranger):
    owner = desk()
    key = next(iter(boxes(owner.look("steps"))))
    answer = owner.send("steps", f"tick:{key}", panel=False)
    assert answer.status_code == 303 and answer.headers["Location"] == f"/projects/{owner.key}/steps"
    guest = stranger(owner)
    page = guest.look("steps")
    assert boxes(page)[key], "sees what is done"
    assert "a link that only looks" in page.text and "a link that only looks" not in owner.look("steps").text
    assert "disabled" in page.root.one("fieldset", class_="bare").attributes
    assert guest.send("steps", f"untick:{key}").status_code == 403
    assert boxes(owner.look("steps"))[key]


def test_the_page_asks_again_by_itself(desk):
    sitting = desk()
    live = sitting.look("steps").root.one("p", id="live").attributes
    assert live["hx-get"].endswith("/steps") and live["hx-trigger"].startswith("every ")
    panel = sitting.look("steps", panel=True)
    assert "<html" not in panel.markup and boxes(panel)


@pytest.mark.parametrize(
    "do", ["tick:ghost", "tick:", "untick:../links", "burn:all", "", "tick:" + "x" * 5000]
)
def test_what_is_no_step_is_not_kept(desk, do):
    sitting = desk()
    assert sitting.send("steps", do).status_code == 200
    assert sitting.store.ticks(sitting.project) == {}


def test_a_spoilt_file_of_ticks_is_no_tick_and_no_fault(desk):
    sitting = desk()
    file = sitting.store.folder / "projects" / sitting.project / "ticks.json"
    for spoilt in (b"", b"{", b"[1]", b'{"a": 5}', b'{"a": "yesterday"}', b"\xff\xfe"):
        file.write_bytes(spoilt)
        assert not any(boxes(sitting.look("steps")).values())
    sitting.store.tick(sitting.project, "leak-1", True)
    assert list(sitting.store.ticks(sitting.project)) == ["leak-1"]


def test_a_store_to_look_at_takes_no_tick(desk):
    sitting = desk()
    with pytest.raises(ReadOnly):
        Store(sitting.store.folder, read_only=True).tick(sitting.project, "leak-1", True)


# --- On paper


def test_the_packet_has_the_same_steps_with_the_same_ticks(desk):
    sitting = desk()
    steps = sitting.look("steps")
    sitting.type("steps", f"tick:{next(iter(boxes(steps)))}")
    packet = sitting.look("packet")
    tasks = [item.text for each in packet.root.all("section", class_="tasks") for item in each.all("li")]
    assert len(tasks) == sum(1 for each in steps.root.all("section", class_="tasks") for _ in each.all("li"))
    assert sum(text.count("☑") for text in tasks) == 1
    assert sum(text.count("☐") for text in tasks) == len(boxes(steps)) - 1


def test_each_sheet_says_whose_it_is_and_where_to_look(desk, stranger):
    sitting = desk()
    stamp = sitting.look("packet").root.one("div", class_="stamp")
    assert "Reading-room pair, revision 1" in stamp.text and "Look it up" not in stamp.text
    guest = stranger(sitting)
    for page in (sitting.look("packet"), guest.look("packet")):
        stamp = page.root.one("div", class_="stamp")
        assert f"/projects/{guest.key}/packet" in stamp.text
        assert len(list(stamp.all("svg", class_="qr"))) == 1
    helper = stranger(sitting, "edit").look("packet")
    assert helper.root.one("div", class_="stamp").text.count("projects/") == 0, "gives no edit link away"


def test_the_code_on_the_sheet_holds_the_look_only_address(desk, stranger):
    """The code is the one that the same address gives; its colours are black on white."""
    import segno

    sitting = desk()
    guest = stranger(sitting)
    markup = sitting.look("packet").markup
    address = re.search(r"Look it up: (\S+?)<", markup)[1]
    assert guest.key in address
    drawn = re.search(r'class="code">(<svg.*?</svg>)', markup, re.S)[1]
    again = segno.make(address, error="m").svg_inline(
        scale=2, border=1, dark="#000", light="#fff", svgclass="qr"
    )
    assert Page(drawn).root.one("svg").attributes == Page(again).root.one("svg").attributes
    assert re.findall(r' d="([^"]*)"', drawn) == re.findall(r' d="([^"]*)"', again)
