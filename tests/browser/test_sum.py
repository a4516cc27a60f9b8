"""From a measured file to fitted parts: what is read, said and kept, in a real browser."""

from math import log2

import pytest
from hands import PHONE, WIDE, field, kept, made, pressed, typed, unfolded
from playwright.sync_api import expect

from calc.evaluate_network import network
from calc.evaluate_sum import acoustic_sum

CURVE = "* an invented dome\n" + "\n".join(
    f"{300 * 2 ** (i / 12):.1f};{88 - 0.4 * log2(300 * 2 ** (i / 12) / 3000) ** 2:.2f}".replace(".", ",")
    for i in range(72)
)


def heard(workshop, key):
    project, result = kept(workshop, key)
    return acoustic_sum(project, result, network(project, result))


@pytest.mark.parametrize("width", [WIDE, PHONE])
def test_a_measured_dome_moves_the_sum_and_the_parts_follow(sit_down, workshop, width):
    page = sit_down(width)
    key = made(page, "demo:reading_room")
    page.goto(f"/projects/{key}/ways")
    expect(page.get_by_text("Nobody has measured the woofer, the dome")).to_be_visible()
    page.get_by_label("The curve is of").select_option("dome")
    file = {"name": "dome.txt", "mimeType": "text/plain", "buffer": CURVE.encode()}
    page.locator("#file").set_input_files(file)
    page.get_by_role("button", name="Read the file").click()
    expect(page.get_by_text("Measured (dome.txt)")).to_be_visible()
    expect(page.get_by_text("72 lines from 300 Hz")).to_be_visible()
    assert heard(workshop, key).stand_ins == ("woofer",)

    before = heard(workshop, key).meetings[0][2]
    typed(page, "ways.woofer.offset", "25")
    after = heard(workshop, key).meetings[0][2]
    assert abs(after.angle - before.angle) > 30
    expect(page.locator(".lead")).to_contain_text(f"{after.f:.0f} Hz")

    page.goto(f"/projects/{key}/fit")
    was = kept(workshop, key)[0].network.parts["C3"].capacitance
    pressed(page, "fit:E12")
    assert kept(workshop, key)[0].network.parts["C3"].capacitance != was
    page.get_by_role("link", name="Compare all rows of values first").click()
    table = page.get_by_role("group", name="What each row of values makes of it")
    expect(table.get_by_role("row")).to_have_count(6)


def test_a_pasted_curve_that_is_none_stays_to_be_mended(sit_down, workshop):
    page = sit_down(WIDE)
    key = made(page, "demo:reading_room")
    page.goto(f"/projects/{key}/ways")
    pasted = field(page, "pasted.dome")
    unfolded(pasted)
    typed(page, "pasted.dome", CURVE.replace("300,0", "300,0 Hz"))
    pressed(page, "curve:dome", status=422)
    expect(page.get_by_text("in line 2 that is no number")).to_be_visible()
    assert "300,0 Hz" in pasted.input_value()
    typed(page, "pasted.dome", CURVE)
    pressed(page, "curve:dome")
    assert len(kept(workshop, key)[0].ways["dome"].curve.f) == 72


def test_tolerances_tell_what_to_match(sit_down, workshop):
    page = sit_down(WIDE)
    key = made(page, "demo:reading_room")
    page.goto(f"/projects/{key}/tolerance")
    for kind in ("coil", "capacitor", "resistor"):
        typed(page, f"tolerance.{kind}", "1")
    expect(page.locator(".lead")).to_contain_text("Matched pairs are not worth it")
    assert kept(workshop, key)[0].tolerance.coil == pytest.approx(0.01)
