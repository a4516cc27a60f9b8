"""Two people in one shop: each ticks on a screen of their own, and both see it."""

from hands import PHONE, answered, link, made
from playwright.sync_api import expect


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


def test_a_tick_that_nobody_takes_is_told_and_so_is_what_others_tick_meanwhile(left_alone):
    page = left_alone("steps")
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("What others tick or change meanwhile is not shown")
    tick = page.locator(".tasks .box").first
    tick.click()
    expect(alert).to_contain_text("The button changed nothing")
    expect(alert).to_have_count(1)
    assert tick.get_attribute("aria-pressed") == "false"
