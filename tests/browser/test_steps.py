"""Two people in one shop: each ticks on a screen of their own, and both see it; and the packet on paper."""

import re

from hands import PHONE, answered, made
from playwright.sync_api import expect


def link(page, key, kind):
    """The address that opens the project for a helper."""
    page.request.post(f"/projects/{key}/history", form={"do": f"link:{kind}"}, max_redirects=0)
    page.goto(f"/projects/{key}/history")
    first = {"edit": "box", "look": "packet"}[kind]
    return re.search(rf"/projects/([\w-]{{22}})/{first}", page.content().replace(key, ""))[1]


def test_ticks_from_two_browsers_meet(sit_down):
    owner = sit_down()
    key = made(owner, "demo:reading_room")
    token = link(owner, key, "edit")
    helper = sit_down(PHONE, 800)
    owner.goto(f"/projects/{key}/steps")
    helper.goto(f"/projects/{token}/steps")
    mine, theirs = (owner.locator(".tasks .box").nth(n) for n in (2, 5))
    first, second = mine.get_attribute("id"), theirs.get_attribute("id")
    with answered(owner):
        mine.click()
    expect(owner.locator(f"#{first}")).to_have_attribute("aria-pressed", "true")
    expect(helper.locator(f"#{first}")).to_have_attribute("aria-pressed", "true")
    with answered(helper):
        helper.locator(f"#{second}").click()
    expect(owner.locator(f"#{second}")).to_have_attribute("aria-pressed", "true")
    expect(owner.locator(".lead")).to_contain_text("2 of")
    owner.reload()
    assert owner.locator(".tasks .box[aria-pressed=true]").count() == 2


def test_the_packet_prints_a_stamp_and_its_code_on_every_sheet(sit_down):
    page = sit_down()
    key = made(page, "demo:reading_room")
    link(page, key, "look")
    page.goto(f"/projects/{key}/packet")
    expect(page.locator(".stamp")).to_be_hidden()
    page.emulate_media(media="print")
    stamp = page.locator(".stamp")
    expect(stamp).to_be_visible()
    assert stamp.evaluate("it => getComputedStyle(it).position") == "fixed", "what is fixed is on each sheet"
    expect(stamp.locator("svg.qr")).to_be_visible()
    for paper in ("A4", "Letter"):
        sheets = len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper)))
        assert 5 <= sheets <= 14
