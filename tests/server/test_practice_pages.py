"""Facts of safety and of the trade, each asserted on the page that shows it, in millimetres and in inches.

The figures are those of tests/data/shop.json, with their sources; the code's own constants are not read.
"""

import json
from pathlib import Path

import pytest
from reading import check, said

from server.documents import amend

SHOP = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]
SAW, DUST, GAS, FEED = SHOP["saw"], SHOP["dust"], SHOP["formaldehyde"], SHOP["router_feed"]

SYSTEMS = pytest.mark.parametrize("show", ["metric", "imperial"])


INCHES = {
    "riving_knife_gap": "5/16 in", "push_stick": "about 18 in", "push_stick_for_last": "about 12 in",
    "fence_overlap": "11/16 in", "table_behind": "about 48 in",
}  # fmt: skip
"""The same limits as a shop that measures in inches says them."""


def look(desk, place, show):
    page = desk("reading_room imperial" if show == "imperial" else "reading_room").look(place)
    check(page)
    return page.text


@SYSTEMS
def test_the_saw_page_tells_what_the_law_wants_of_the_saw(desk, show):
    text = look(desk, "saw", show)

    def length(name):
        return INCHES[name] if show == "imperial" else said(SAW[name], "length", show)

    for words in (
        f"riving knife within {length('riving_knife_gap')} of the blade",
        f"push stick of {length('push_stick')} or more",
        f"for the last {length('push_stick_for_last')} of every cut",
        f"its end at most {length('fence_overlap')} past the front of the blade",
        f"table or rollers {length('table_behind')} behind the spindle",
        f"no smaller than {SAW['least_blade_over_largest'] * 100:.0f} % of the largest",
        f"the blade rests within {SAW['brake']:.0f} s of the switch",
        f"never within {'about 12 in' if show == 'imperial' else '300 mm'} of the blade’s front",
        "A deep rip is made in one pass, never in two",
        "thicker than its plate and thinner than its kerf",
        "29 CFR 1910.213(c)", "featherboards", "29 CFR 1910.213(a)",
    ):  # fmt: skip
        assert words in text, words


@pytest.mark.parametrize(("show", "words"), [("metric", "3 to 6 mm"), ("imperial", "1/8 to 1/4 in")])
def test_the_teeth_stand_little_above_the_work(desk, show, words):
    """3 to 6 mm, 1/8 to 1/4 in: common practice, from memory."""
    assert f"Blade {words} above the work" in look(desk, "saw", show)


def test_wider_than_long_goes_on_the_sled_never_fence_and_gauge_together(desk):
    text = look(desk, "saw", "metric")
    assert "What is wider across the fence than it is long along it" in text and "goes on the sled" in text
    assert "never the fence and the mitre gauge together where something is cut off" in text


@SYSTEMS
def test_boring_tells_which_way_the_router_goes(desk, show):
    text = look(desk, "boring", show)
    assert f"Inside a hole: {FEED['inside']}" in text
    assert f"Round the outside of a piece, or of a disc: {FEED['outside']}" in text
    assert f"clamped straightedge: keep it on the {FEED['straightedge']} of travel" in text
    assert f"the guide on the {FEED['edge_guide']} of travel" in text
    assert f"the wood pushes it to the {FEED['push']} of the way that it goes" in text


@pytest.mark.parametrize(
    ("show", "a_pass", "web"), [("metric", "3.18 mm", "1 to 2 mm"), ("imperial", "1/8 in", "3/64 to 5/64 in")]
)  # fmt: skip
def test_boring_tells_how_deep_a_pass_may_be_and_what_web_holds_the_disc(desk, show, a_pass, web):
    """1/8 in a pass: two makers' manuals (seen). Web 1 to 2 mm: common practice, from memory."""
    text = look(desk, "boring", show)
    assert f"Makers’ manuals allow {a_pass} a pass" in text and f"A web of {web} at the last" in text


@SYSTEMS
def test_cutting_tells_the_limits_of_dust_and_formaldehyde(desk, show):
    text = look(desk, "cutting", show)
    for words, key in (
        ("OSHA, all of it", "OSHA_total"), ("OSHA, what reaches the lungs", "OSHA_respirable"),
        ("NIOSH", "NIOSH"), ("ACGIH", "ACGIH"), ("ACGIH, western red cedar", "ACGIH_western_red_cedar"),
        ("EU, with hardwood in it", "EU_hardwood"),
    ):  # fmt: skip
        assert f"{words}: {DUST[key]:g} mg/m³ of wood dust over eight hours" in text, words
    assert f"EU allows {DUST['EU_hardwood']:g} mg in a cubic metre" in text
    for board in ("hardwood plywood", "particleboard", "MDF"):
        assert f"{board} {GAS[board]:.2f}" in text
    assert f"thin MDF, up to {said(GAS['thin'], 'length', show)}, {GAS['thin MDF']:.2f}" in text


@pytest.mark.parametrize(
    ("show", "lines"),
    [
        ("metric", ("Softwood: 0.689 to 1.03 MPa", "Medium wood: 1.03 to 1.38 MPa",
                    "Hardwood: 1.38 to 2.07 MPa", "Clamps 38.1 to 50.8 mm")),
        ("imperial", ("Softwood: 100 to 150 psi", "Medium wood: 150 to 200 psi",
                      "Hardwood: 200 to 300 psi", "Clamps 1 1/2 to 2 in")),
    ],
)  # fmt: skip
def test_assembly_tells_pressure_spread_and_time(desk, show, lines):
    """A glue maker's guide (seen): both columns as printed; the inset 1.5 to 2 in there."""
    text = look(desk, "assembly", show)
    for words in (*lines, "30 to 60 min in its clamps", "24 h", "150 to 250 g/m²",
                  "wood at 6 to 8 %, air at 40 to 50 %"):  # fmt: skip
        assert words in text, words


@SYSTEMS
def test_the_pages_of_steps_point_to_their_cautions(desk, show):
    text = look(desk, "steps", show)
    assert "look up the step’s own page for its cautions" in text


def test_a_round_hole_is_told_its_other_tool_with_speed_and_oversize(desk):
    """Forstner to 50 mm at 600 down to 250 turns; a hole saw cuts 0.5 to 1 mm over: from memory."""
    text = look(desk, "boring", "metric")
    assert "a Forstner bit of 50 mm in a drill press, 600 turns a minute, down to 250 for the largest" in text
    wide = desk(amend(desk().document, {"cabinet.holes.terminals.diameter": 0.0638})).look("boring").text
    assert "a hole saw of 63.5 mm: its hole comes out 64 to 64.5 mm wide. From both faces" in wide


@pytest.mark.parametrize(
    ("show", "kerfs", "trim"),
    [
        ("metric", "a full blade it is about 3.2 mm, of a thin one it is about 2.4 mm, of", "5 to 10 mm"),
        ("imperial", "a full blade it is about 1/8 in, of a thin one it is about 3/32", "13/64 to 25/64 in"),
    ],
)  # fmt: skip
def test_cutting_tells_what_the_saw_takes(desk, show, kerfs, trim):
    """The trade's kerfs, 1/8 and 3/32 in, and 5 to 10 mm of trim: from memory."""
    text = look(desk, "cutting", show)
    assert kerfs in text and f"{trim} come off each factory edge" in text
    assert "a kerf between each two; one more where an offcut is left" in text


def test_faces_tells_which_way_a_skin_is_trimmed(desk):
    text = look(desk, "faces", "metric")
    assert f"goes {FEED['outside']} round the outside, {FEED['inside']} round an opening" in text
