"""Marks and checks before a hole is bored, the disc that plugs a wrong one, and other tools for a hole."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.evaluate import evaluate
from calc.evaluate_boring import marks, other_tools, plugs
from calc.shop.marks import mark
from calc.shop.other_tools import FORSTNER, HOLE_SAWS, INCH, other_tool
from server.beginnings import demo
from server.documents import amend, read_project


def marked(**edits):
    project = read_project(amend(demo("reading_room"), edits))
    result = evaluate(project)
    return {each.name: each for each in marks(project, result)}, project, result


def test_on_a_fronts_outside_left_is_left_and_on_a_backs_it_is_right():
    """A panel from 9 to 209 and from 10 to 310; a centre at 59 | 110 from the front. Derived."""
    bounds = (0.009, 0.010, 0.209, 0.310)
    front = mark("a", "front", "outside", 0.059, 0.11, bounds)
    assert (front.left, front.low, front.right, front.high) == pytest.approx((0.05, 0.1, 0.15, 0.2))
    back = mark("a", "back", "outside", 0.059, 0.11, bounds, turned=True)
    assert (back.left, back.right) == pytest.approx((0.15, 0.05))
    assert (front.other_left, back.other_left) == pytest.approx((0.15, 0.05))


def test_what_is_marked_and_what_is_checked_make_the_panel():
    found, _, result = marked(**{"cabinet.seats.dome.x": 0.07, "cabinet.holes.terminals.x": 0.08})
    for each in found.values():
        panel = result.cabinet.carcass.panels[each.panel]
        assert each.left + each.right == pytest.approx(panel.width, abs=1e-9)
        assert each.low + each.high == pytest.approx(panel.length, abs=1e-9)
        assert each.face == "outside"
    assert found["dome"].left == pytest.approx(0.07), "the front covers the sides"
    back = result.cabinet.carcass.panels["back"]
    assert found["terminals"].left == pytest.approx(back.high[0] - 0.08), "from the back's own left hand"


def test_a_front_that_leans_back_is_marked_along_its_face():
    found, _, result = marked(**{"cabinet.slope": 8.0})
    left, low, right, high = result.cabinet.carcass.face_bounds("front")
    woofer = next(each for each in result.openings if each.name == "woofer")
    assert found["woofer"].low == pytest.approx(woofer.y - low)
    assert found["woofer"].low + found["woofer"].high == pytest.approx(high - low)
    assert high - low > result.cabinet.carcass.outer[1] * 1.005, "a leaning face is longer"


def test_a_plug_fills_the_hole_that_its_jig_cuts():
    """The disc of a recess of 166.8 with a bit of 6.35: 83.4 + 3.175 from the pin. Derived."""
    _, project, result = marked()
    found = {each.name: each for each in plugs(project, result)}
    assert found["woofer"].centre == pytest.approx(0.086575)
    assert found["port"].diameter == pytest.approx(0.062)
    square = {"panel": "back", "x": None, "y": 0.1, "width": 0.08, "height": 0.06}
    _, project, result = marked(**{"cabinet.holes.terminals": square})
    assert "terminals" not in {each.name for each in plugs(project, result)}


def test_a_forstner_bit_makes_the_hole_that_it_is_sold_for():
    assert other_tool(0.035) == ("Forstner bit", 0.035, 0.035, 0.035)
    assert other_tool(0.0352).nominal == pytest.approx(0.035)
    assert other_tool(2 * INCH).kind == "Forstner bit"
    assert other_tool(0.0365) is None, "between 35, 36.5 = 1.437 in, and 38"


def test_a_hole_saw_comes_out_a_little_wider():
    """Of 3 in, 76.2, its hole is 76.7 to 77.2 wide: right for 76.5, too wide for 76.1, too tight for 77."""
    assert other_tool(0.0765).nominal == pytest.approx(3 * INCH)
    assert other_tool(0.0765)[2:] == pytest.approx((0.0767, 0.0772))
    assert other_tool(0.0761) is None and other_tool(0.077) is None


@given(st.floats(0.005, 0.3))
def test_no_tool_is_told_that_leaves_the_hole_off_by_more_than_a_millimetre(diameter):
    tool = other_tool(diameter)
    if tool is None:
        return
    assert tool.least - diameter >= -0.00026 and tool.widest - diameter <= 0.001 + 1e-8
    assert tool.nominal in (FORSTNER if tool.kind == "Forstner bit" else HOLE_SAWS)


def test_a_cabinet_tells_only_of_round_holes_that_have_one():
    _, _, result = marked(**{"cabinet.holes.terminals.diameter": 0.05})
    tools = other_tools(result)
    assert tools["terminals"].kind == "Forstner bit" and "woofer" not in tools
