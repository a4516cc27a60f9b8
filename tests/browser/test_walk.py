"""The whole path as a new user goes it, from the shelf to a packet on the wall and a link given away."""

import re

import pytest
from hands import PHONE, WIDE, answered, field, kept, pressed, typed, unfolded
from playwright.sync_api import expect

# An invented driver, typed as such sheets and such hands write it.
SHEET = {
    "fs": "38",
    "Qms": "4.2",
    "Qes": ".42",
    "Vas": "26 l",
    "Sd": "133 cm2",
    "Re": "5,6 ohm",
    "Le": "0,4 mH",
    "Xmax": "5",
    "Pe": "60 W",
    "Z": "8Ω",
}
FRAME = {
    "flange": "170",
    "flange_thickness": "5",
    "cutout": "14.6 cm",
    "depth": "78 mm",
    "magnet": '4 1/2"',
}
IN_SI = {"fs": 38, "Qes": 0.42, "Vas": 0.026, "Sd": 0.0133, "Re": 5.6, "Le": 0.0004, "Xmax": 0.005, "Z": 8}
FRAME_IN_SI = {"flange": 0.17, "flange_thickness": 0.005, "cutout": 0.146, "depth": 0.078, "magnet": 0.1143}

DRIVER = "drivers.woofer"
THICKNESS = "workshop.sheets.sheet.thickness"
BACK_RABBET = "cabinet.edges.back-left.depth"


@pytest.mark.parametrize("width", [WIDE, PHONE])
def test_the_whole_path_from_drivers(sit_down, workshop, width):
    page = sit_down(width)
    begun_from_drivers(page)
    key = page.url.split("/")[4]

    the_sheet_is_typed(page, workshop, key)
    boxes_are_weighed(page)
    the_port_follows(page, workshop, key)
    the_cabinet_holds_the_air(page, workshop, key)
    nonsense_is_refused_at_its_field(page, workshop, key)
    the_blanks_show_their_sums(page)
    the_seats_have_settings(page)
    three_numbers_of_the_packet_are_those_of_calc(page, workshop, key)
    a_link_is_given_and_taken_back(page, sit_down, key)


def begun_from_drivers(page):
    page.goto("/")
    expect(page.get_by_role("link", name="Reading-room pair").first).to_be_visible()
    expect(page.get_by_role("link", name="Hall subwoofer").first).to_be_visible()
    page.get_by_role("button", name="From drivers").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What do the drivers say they are?")
    expect(page.locator(".lead")).to_contain_text("Not enough yet")


def the_sheet_is_typed(page, workshop, key):
    typed(page, f"{DRIVER}.name", "Reed 165")
    for symbol, text in SHEET.items():
        typed(page, f"{DRIVER}.{symbol}", text)
    for name, text in FRAME.items():
        typed(page, f"{DRIVER}.frame.{name}", text)
    note = page.locator(f'[id="{DRIVER}.Qts-note"]')
    expect(note).to_have_text("= 0.382 from Qms, Qes")
    expect(field(page, f"{DRIVER}.Qts")).to_have_value("")
    expect(page.locator(".lead")).to_contain_text("agrees with itself")
    driver = kept(workshop, key)[0].drivers["woofer"]
    for symbol, value in IN_SI.items():
        assert getattr(driver, symbol) == pytest.approx(value, rel=1e-12), symbol
    for name, value in FRAME_IN_SI.items():
        assert getattr(driver.frame, name) == pytest.approx(value, rel=1e-12), name


def boxes_are_weighed(page):
    to(page, "Box")
    pressed(page, "add-closed:0.707")
    vented = page.locator("#starts button[value^='add-vented']")
    unfolded(vented.first)
    names = [button.get_attribute("value") for button in vented.all()]
    assert len(names) >= 2, "two vented boxes to weigh"
    for name in names[:2]:
        pressed(page, name)
    expect(page.locator(".lead")).to_contain_text("a port that tunes it to")
    assert drawn_charts(page) == 6

    to(page, "Side by side")
    table = page.locator("table.compare")
    expect(table.locator("thead th")).to_have_text(["What", "A", "B", "C", "D, chosen", "Which is better"])
    tuned = table.locator("tr", has=page.get_by_role("rowheader", name="Tuned to")).locator("td")
    expect(tuned.nth(1)).to_have_text("–")  # the closed one
    expect(tuned.nth(2)).to_contain_text("Hz")
    expect(tuned.nth(3)).to_contain_text("Hz")
    assert drawn_charts(page) == 7, "and the sudden push"
    curves = page.locator("#plot-level .scatterlayer .trace").count()
    assert curves >= 4, "a curve for each box"
    with answered(page):
        page.locator('[id="chosen.C"]').check()
    expect(table.locator("thead th").nth(3)).to_have_text("C, chosen")


def the_port_follows(page, workshop, key):
    to(page, "Port")
    path = "alternatives.C.box"
    length = page.locator(".val", has_text="Port length").locator(".out")
    before = mm(length.inner_text())
    typed(page, f"{path}.port.shape.diameter", "60")
    wider = mm(length.inner_text())
    assert wider > before, "a wider port is longer for the same tuning"
    assert wider == pytest.approx(kept(workshop, key)[1].box.port.length * 1e3, abs=0.05)

    pressed(page, "hold:length")
    typed(page, f"{path}.port.length", "100")
    tuning = page.locator(".val", has_text="Tuning").locator(".out")
    assert mm(tuning.inner_text()) == pytest.approx(kept(workshop, key)[1].box.fb, abs=0.05)
    assert kept(workshop, key)[0].alternatives["C"].box.port.length == 0.1
    pressed(page, "hold:tuning")
    assert drawn_charts(page) == 3, "air speed, what power does to it, the pipe itself"


def the_cabinet_holds_the_air(page, workshop, key):
    to(page, "Cabinet")
    with answered(page):
        page.locator('[id="cabinet.hold.volume"]').check()
    expect(page.locator(".lead")).to_contain_text("The air is held")
    project, result = kept(workshop, key)
    wanted = project.alternatives["C"].box.Vb
    assert result.cabinet.net == pytest.approx(wanted, rel=1e-6)

    typed(page, THICKNESS, "18.3")
    moved = page.locator(".sill .moved")
    expect(moved.filter(has_text="Weight, each")).to_contain_text(re.compile(r"▲ \d+(\.\d+)? kg more"))
    assert kept(workshop, key)[1].cabinet.net == pytest.approx(wanted, rel=1e-6)

    # Another joint moves blanks alone: neither the outside nor the sill's volume.
    outside = kept(workshop, key)[1].cabinet.carcass.outer
    others = page.locator("button[value^='use:']:not([aria-pressed])")
    pressed(page, others.first.get_attribute("value"))
    assert kept(workshop, key)[1].cabinet.carcass.outer == pytest.approx(outside, rel=1e-9)
    pressed(page, page.locator("button[value^='use:']").first.get_attribute("value"))

    typed(page, BACK_RABBET, "7")
    depths = {edge: joint.depth for edge, joint in kept(workshop, key)[0].cabinet.edges.items()}
    assert [depths[edge] for edge in ("back-left", "back-right", "back-top", "back-bottom")] == [0.007] * 4

    page.goto(f"/projects/{key}/braces")
    pressed(page, "add-brace:shelf")
    expect(page.get_by_role("heading", level=2, name="Shelf", exact=True)).to_be_visible()
    shelf = kept(workshop, key)[1]
    assert shelf.cabinet.net == pytest.approx(wanted, rel=1e-6), "the inside grew to make up for the shelf"
    assert dict(shelf.cabinet.ledger.displaced)["shelf"] > 0
    expect(moved.filter(has_text="Weight, each")).to_be_visible()
    page.goto(f"/projects/{key}/cabinet")


def nonsense_is_refused_at_its_field(page, workshop, key):
    before = (workshop.data / "projects" / key / "project.json").read_bytes()
    for text, sentence in [
        ("nineteen", "cannot be read as a number"),
        ("-1", "cannot be less than zero"),
        ("1,234", "can be read as 1234 or as 1.234"),
        ("0", "must be a number above zero"),
        ("18.3 kg", "this is a weight"),
    ]:
        typed(page, THICKNESS, text, status=422)
        box = field(page, THICKNESS)
        expect(box).to_have_value(text)
        expect(box).to_have_attribute("aria-invalid", "true")
        expect(page.locator(f'[id="{THICKNESS}-note"]')).to_contain_text(sentence)
        expect(page.locator(f'[id="{THICKNESS}-note"]')).to_contain_text("18.3 is kept")
        expect(page.get_by_role("alert")).to_contain_text("Not kept yet")
    assert (workshop.data / "projects" / key / "project.json").read_bytes() == before
    typed(page, THICKNESS, "18.3")
    expect(page.get_by_role("alert")).to_have_count(0)


def the_blanks_show_their_sums(page):
    to(page, "Cutting")
    sums = page.locator("table.stack .also").all_inner_texts()
    assert any(re.fullmatch(r"[\d.]+ \+ 2 × [\d.]+ =", text) for text in sums), sums
    for text, total in zip(sums, page.locator("table.stack .also + b").all_inner_texts(), strict=True):
        base, *adds = text.rstrip(" =").split(" + ")
        parts = [float(part) for part in [base]]
        for add in adds:
            count, _, each = add.rpartition(" × ")
            parts.append(int(count or 1) * float(each))
        assert sum(parts) == pytest.approx(float(total), abs=0.05 * (len(parts) + 1)), text
    page.get_by_role("link", name="settings of the saw").click()
    expect(page.locator(".walk > li").nth(2)).to_be_visible()
    page.locator(".walk button").first.click()
    expect(page.locator(".walk button").first).to_have_attribute("aria-pressed", "true")


def the_seats_have_settings(page):
    to(page, "Boring")
    radii = [mm(text) for text in page.locator(".driver .walk .set").all_inner_texts()]
    # Recess 170 + 0.8 play, the 12 mm bit inside it: 170.8 / 2 - 6. Through hole 146 / 2 - 6.
    assert radii[0] == pytest.approx(79.4, abs=0.05)
    assert radii[-1] == pytest.approx(67.0, abs=0.05)
    assert all(0 < out - into <= 12.01 for out, into in zip(radii, radii[1:], strict=False)), (
        "no ring is left"
    )
    expect(page.locator(".driver .walk")).to_contain_text("Through hole, same pin hole")


def three_numbers_of_the_packet_are_those_of_calc(page, workshop, key):
    to(page, "Packet")
    result = kept(workshop, key)[1]
    net = page.locator("#packet-net").inner_text()
    assert net == f"{result.cabinet.net * 1e3:.2f} litre"
    port = mm(page.locator("#packet-port").inner_text())
    assert port == pytest.approx(result.built.port.length * 1e3, abs=0.051)
    width, height, depth = (1e3 * side for side in result.cabinet.carcass.outer)
    outside = [mm(part) for part in page.locator("#packet-outside").inner_text().split("×")]
    assert outside == pytest.approx([width, depth, height], abs=0.051)


def a_link_is_given_and_taken_back(page, sit_down, key):
    to(page, "History")
    pressed(page, "link:look", status=303)
    address = page.locator(".address a").get_attribute("href")
    assert key not in address, "a helper's link never tells the project's own key"
    path = re.sub("^https?://[^/]+", "", address)
    expect(page.locator("svg.qr")).to_be_visible()

    helper = sit_down(PHONE)
    helper.goto(path)
    expect(helper.locator(".head")).to_contain_text("Looking only")
    expect(helper.get_by_role("button", name="Print the packet")).to_be_enabled()
    box = path.replace("/packet", "/box")
    helper.goto(box)
    expect(helper.locator(".head")).to_contain_text("Looking only")
    fields = helper.locator("#page input:not([type=hidden]), #page select, #page textarea, #page button")
    assert fields.count() > 5
    assert all(each.is_disabled() for each in fields.all() if each.get_attribute("aria-hidden") != "true")
    refused = helper.request.post(box, form={"revision": "1", "alternatives.C.box.Vb": "99"})
    assert refused.status == 403
    assert key not in helper.content()

    pressed(page, "withdraw:look", status=303)
    assert helper.goto(path).status == 404
    expect(helper.get_by_role("heading", level=1)).to_have_text("Nothing is here.")


@pytest.mark.parametrize("width", [WIDE, PHONE])
def test_the_other_way_in_from_a_plan(sit_down, workshop, width):
    page = sit_down(width)
    page.goto("/")
    page.get_by_role("radio", name="inches and fractions").check()
    page.get_by_role("button", name="From a plan").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What size must it be to hold that air?")
    key = page.url.split("/")[4]
    for side, text in {"width": '8 3/4"', "height": "1' 4 1/2\"", "depth": "11 13/16 in"}.items():
        typed(page, f"cabinet.size.{side}", text)
    expect(field(page, "cabinet.size.height")).to_have_value("16 1/2")
    typed(page, THICKNESS, "18.3 mm")
    typed(page, "cabinet.edges.left-top.depth", "3/8")
    project, result = kept(workshop, key)
    size = project.cabinet.size
    assert [size.width, size.height, size.depth] == pytest.approx([0.22225, 0.4191, 0.3000375], rel=1e-12)
    assert result.cabinet.carcass.inner[0] == pytest.approx(0.22225 - 2 * 0.0183, abs=1e-9)

    to(page, "Box")
    expect(page.locator(".lead")).to_contain_text("unknown until driver data")
    assert page.locator(".plot").count() == 0
    to(page, "Side by side")
    expect(page.locator(".lead")).to_contain_text("unknown until driver data")

    to(page, "Cutting")
    first = page.locator("table.stack tbody tr").first
    expect(first).to_contain_text(re.compile(r"\d \d+/\d+"))
    sums = page.locator("table.stack .also").all_inner_texts()
    assert any(re.search(r" \+ 2 × (3/8|0\.375)\W", text) for text in sums), sums
    to(page, "Drivers")
    for name, text in {"flange": "6 11/16", "flange_thickness": "3/16", "cutout": '5 3/4"'}.items():
        typed(page, f"{DRIVER}.frame.{name}", text)
    to(page, "Boring")
    # Through hole 5 3/4 with a 1/2 inch bit: 5.75 / 2 - 0.25.
    expect(page.locator(".driver .walk .set").last).to_contain_text("2.625")
    to(page, "Packet")
    expect(page.locator("main")).to_contain_text(
        "The sound is unknown until driver data; the shop's numbers stand."
    )


def to(page, name):
    """Turn to a page of the book by its rule, or by the list at the foot where the rule is folded."""
    on_rule = page.locator("nav.rule").get_by_role("link", name=name)
    link = (
        on_rule
        if on_rule.count() and on_rule.is_visible()
        else page.locator(".foot").get_by_role("link", name=name)
    )
    link.click()
    page.wait_for_url("**/" + name.lower().replace(" ", "_"))


def drawn_charts(page):
    """How many charts stand on the page, each with a curve really drawn in it."""
    plots = page.locator(".plot")
    for plot in plots.all():
        expect(plot.locator("svg .scatterlayer .js-line").first).to_be_attached()
    return plots.count()


def mm(text):
    """The number that a text begins with, as a float."""
    return float(re.search(r"\d+(\.\d+)?", text)[0])
