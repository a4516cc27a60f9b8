"""One change, and all that hangs on it follows: the sheet, a joint and a skin, as hands change them."""

import pytest
from hands import kept, made, pressed, typed

THICKNESS = "workshop.sheets.ply.thickness"


@pytest.fixture
def key(page):
    """A project of this test's own: a fresh copy of a demo."""
    return made(page, "demo:reading_room")


def air(page):
    """The net volume that the sill tells. [litre]"""
    cell = page.locator(".sill div").filter(has_text="Net volume").locator("dd")
    return float(cell.evaluate("it => it.firstChild.textContent").split()[0])


def drawing(page):
    """The first drawing of the page, as it is drawn."""
    return page.locator("figure.plate svg").first.inner_html()


def test_a_sheet_a_joint_and_a_skin_move_all_that_hangs_on_them(page, workshop, key):
    page.goto(f"/projects/{key}/cabinet")
    _, before = kept(workshop, key)
    told, drawn = air(page), drawing(page)

    typed(page, THICKNESS, "24")
    _, thick = kept(workshop, key)
    inner = before.cabinet.carcass.inner
    assert thick.cabinet.carcass.inner == pytest.approx(inner), "the inside is held"
    assert thick.cabinet.carcass.outer == pytest.approx([side + 2 * 0.024 for side in inner])
    assert thick.cabinet.net < before.cabinet.net, "the shelf is thicker"
    assert air(page) == pytest.approx(thick.cabinet.net * 1e3, abs=0.051) and air(page) < told
    assert thick.built.fb > before.built.fb, "the port is as long, the air is less"
    assert thick.built.port.inside_length < before.built.port.inside_length
    assert thick.seats["woofer"].below > before.seats["woofer"].below
    assert drawing(page) != drawn

    drawn = drawing(page)
    pressed(page, "use:Mitred carcass")
    _, mitred = kept(workshop, key)
    assert mitred.cabinet.carcass.outer == pytest.approx(thick.cabinet.carcass.outer)
    assert mitred.cabinet.carcass.panels["top"].width == pytest.approx(inner[0] + 2 * 0.024)
    assert mitred.cabinet.net == pytest.approx(thick.cabinet.net)
    page.goto(f"/projects/{key}/cutting")
    assert page.locator("table").first.inner_text().count(f"{(inner[0] + 0.048) * 1e3:.0f}")

    page.goto(f"/projects/{key}/faces")
    pressed(page, "add-layer:front")
    pressed(page, "add-ring:woofer")
    _, skinned = kept(workshop, key)
    assert skinned.cabinet.carcass.finished[2] == pytest.approx(mitred.cabinet.carcass.outer[2] + 0.024)
    assert skinned.seats["woofer"].recess_depth == pytest.approx(before.seats["woofer"].recess_depth)
    assert skinned.seats["dome"].recess_depth == 0, "its flange is thinner than the skin"
    assert "Not flush: dome" in page.locator("p.lead").inner_text()
    assert "woofer" not in page.locator("p.lead").inner_text()
    page.goto(f"/projects/{key}/boring")
    assert page.locator("figure svg").count() >= 3
