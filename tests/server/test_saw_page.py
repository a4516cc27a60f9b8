"""Saw: where the fence stands, one setting after another, and what the stack is made of."""

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, made, said

from calc.evaluate_sawing import sawing
from server.documents import amend, read_project
from server.pages import QUESTIONS
from server.routes.saw import EDGES


def plan_of(sitting):
    return sawing(read_project(sitting.plain), sitting.result)


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("saw")
    check(page)
    assert page.heading == QUESTIONS["saw"]


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial", "plan"])
def test_every_setting_is_told_in_order_with_its_ticks(desk, name):
    sitting = desk(name)
    page, plan = sitting.look("saw"), plan_of(sitting).plan
    show, fraction = sitting.plain["show"], sitting.plain["fraction"]
    assert page.lead.startswith(f"{len(plan.steps)} settings")
    assert f"one piece after the other would take {plan.one_by_one}" in page.lead
    steps = list(page.root.one("ol", class_="walk").all("li"))
    assert len(steps) == len(plan.steps)
    for step, planned in zip(steps, plan.steps, strict=True):
        fine = "fine length" if planned.cuts[0].depth else "length"
        assert said(abs(planned.setting.distance), fine, show, fraction) in step.one("h3").text
        for cut in planned.cuts:
            assert f"{cut.row} {', '.join(cut.parts)}: {cut.count} piece" in step.text
        assert f"{planned.passes} cut" in step.one("button").text


def test_a_tick_is_kept_for_all_and_stands_on_the_steps_and_the_packet(desk):
    sitting = desk()
    buttons = list(sitting.look("saw").root.one("ol", class_="walk").all("button"))
    assert {button.attributes["aria-pressed"] for button in buttons} == {"false"}
    before = sitting.plain
    do = buttons[2].attributes["value"]
    page = sitting.type("saw", do)
    assert sitting.plain == before, "no decision was changed"
    pressed = [each.attributes["aria-pressed"] for each in page.root.one("ol", class_="walk").all("button")]
    assert pressed == ["true" if n == 2 else "false" for n in range(len(buttons))]
    (ticked,) = sitting.look("steps").root.all("button", aria_pressed="true")
    assert ticked.attributes["id"] == do.removeprefix("tick:")
    walk = next(sitting.look("packet").root.all("ol", class_="walk"))
    assert [each.text[0] for each in walk.all("p", class_="tick")].index("☑") == 2
    sitting.type("saw", f"un{do}")
    assert not sitting.store.ticks(sitting.project)


def test_what_is_wider_than_long_goes_on_the_sled(desk):
    page = desk().look("saw")
    assert "On the sled: C, A wider across than long along the fence" in page.text
    assert "With the mitre gauge, since nothing is cut off here" in page.text
    assert "and shorter along it than 300 mm" in page.text


def test_a_narrow_rip_wants_a_push_stick(desk):
    sitting = desk()
    sitting.type("braces", "drop-brace:shelf")
    sitting.type("cabinet", **{"cabinet.size.width": "100"})
    assert "narrower than 150 mm: push stick" in sitting.look("saw").text


def test_a_rabbet_stands_in_the_sacrificial_fence(desk):
    page = desk().look("saw")
    assert "the stack stands that far in the sacrificial fence" in page.text
    assert "29 CFR 1910.213(a)" in page.text and "450 mm or more" in page.text


def test_the_groove_is_told_with_its_stack_and_both_other_ways(desk):
    sitting = desk()
    page, (groove,) = sitting.look("saw"), plan_of(sitting).grooves
    assert f"For shelf: {said(groove.wanted, 'fine length')} wide" in page.text
    for name in groove.stack.parts:
        assert name in page.text
    assert f"{said(groove.stack.width, 'fine length')} together" in page.text
    assert f"move the fence {said(groove.two[1], 'fine length')} away" in page.text
    assert f"the {said(groove.routed[0].diameter, 'fine length')} bit along a straightedge" in page.text
    assert "It may be loose without leaking" in page.text, "a shelf with the same air on both sides"


def test_a_groove_in_scrap_says_which_shim_comes_out(desk):
    sitting = desk()
    (groove,) = plan_of(sitting).grooves
    wide = groove.stack.width + 1e-4
    page = sitting.type("saw", "scrap:0", **{"scrap.0": f"{wide * 1e3:.4f}"})
    check(page)
    assert sitting.plain["workshop"]["saw"]["wider"] == pytest.approx(1e-4, abs=1e-7)
    (then,) = plan_of(sitting).grooves
    assert then.stack.width == pytest.approx(groove.stack.width - 1e-4, abs=2.1e-5)
    gone = set(groove.stack.parts) - set(then.stack.parts)
    assert gone and all(f"{name} (" in page.text for name in gone) and "Take out" in page.text
    assert "nudge the fence" not in page.text.lower().split("or in two passes")[0]


def test_a_narrow_groove_in_scrap_offers_the_nudge(desk):
    sitting = desk()
    (groove,) = plan_of(sitting).grooves
    narrow = groove.wanted - 1.5e-4
    page = sitting.type("saw", "scrap:0", **{"scrap.0": f"{narrow * 1e3:.4f}"})
    assert f"nudge the fence {said(1.5e-4, 'fine length')}" in page.text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("wide", "cannot be read as a number"),
        ("30", "another one measured"),
        ("", "is needed"),
        ("-18", "less than zero"),
    ],
)
def test_a_scrap_groove_that_cannot_be_is_refused_at_its_field(desk, text, words):
    sitting = desk()
    page = sitting.refused("saw", "scrap:0", **{"scrap.0": text})
    check(page)
    assert page.fields["scrap.0"].wrong and words in page.fields["scrap.0"].says
    assert sitting.plain["workshop"]["saw"]["wider"] == 0.0


def test_a_saw_without_a_stack_sends_the_grooves_to_the_router(desk):
    sitting = desk()
    page = sitting.type("saw", **{"workshop.saw.stack": ""})
    check(page)
    plan = plan_of(sitting)
    assert {s.setting.tool.name for s in plan.plan.steps} == {"blade", "bit"}
    assert "The router cuts it." in page.text and "router along a straightedge" in page.text


def test_a_mortise_is_told_with_its_ends(desk):
    stick = {"kind": "bar", "at": 0.3, "also_at": 0.1, "width": 0.03, "sheet": "ply", "depth": 0.006}
    made_with = amend(made("reading_room"), {"cabinet.braces.stick": {**stick, "between": "sides"}})
    page = desk(made_with).look("saw")
    check(page)
    assert "from 85 mm to 115 mm of its front edge" in page.text
    assert "ends within the panel: router, lowered between two stops" in page.text


def test_a_saw_that_crosscuts_first(desk):
    sitting = desk()
    sitting.type("saw", **{"workshop.saw.first": "crosscut"})
    steps = plan_of(sitting).plan.steps
    kinds = [cut.kind for step in steps for cut in step.cuts if "front" in cut.parts]
    assert kinds.index("crosscut") < kinds.index("rip")


def test_parts_of_the_stack_come_and_go(desk):
    sitting = desk()
    sitting.type("saw", "add:shim")
    assert len(sitting.plain["workshop"]["saw"]["shims"]) == 6
    sitting.type("saw", **{"workshop.saw.shims.shim 6": "0.05"})
    assert sitting.plain["workshop"]["saw"]["shims"]["shim 6"] == pytest.approx(5e-5)
    sitting.type("saw", "drop:shim 6")
    assert "shim 6" not in sitting.plain["workshop"]["saw"]["shims"]
    for button in ("drop:shim 99", "add:anvil", "scrap:7"):
        check(sitting.refused("saw", button))


REFUSALS = [
    ("workshop.saw.reach", "1", "must be how far a fence goes"),
    ("workshop.saw.outer_blade", "30", "must be the width of one outer blade"),
    ("workshop.saw.chippers.chipper 1", "0", "must be the width of a chipper"),
    ("workshop.saw.shims.shim 1", "thin", "cannot be read as a number"),
    ("workshop.saw.play", "5", "must be a little play"),
]


@pytest.mark.parametrize(("path", "text", "words"), REFUSALS)
def test_refusals(desk, path, text, words):
    beside = (
        ("workshop.saw.reach", "700", 0.7)
        if path != "workshop.saw.reach"
        else ("workshop.saw.play", "0.2", 0.0002)
    )
    check_refusal(desk(), "saw", path, text, words, beside)


def test_answers(desk):
    check_answers(desk(), "saw", "workshop.saw.reach", "900")


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "saw")


def test_each_way_in_which_a_piece_is_held_is_drawn(desk):
    """As many pictures as cuts differ by part, kind and edge at the fence, counted from the plan itself."""
    sitting = desk()
    page = sitting.look("saw")
    check(page)
    plan = sawing(read_project(sitting.document), sitting.result).plan
    wanted = [
        f"{cut.row} {', '.join(cut.parts)}: {EDGES[edge]} along the fence, inner face down."
        for step in plan.steps for cut in step.cuts if cut.depth and cut.guide != "router"
        for edge in cut.datum
    ]  # fmt: skip
    told = [each.text for each in page.root.all("figcaption")]
    assert len(wanted) > 4 and set(wanted) <= set(told)
    assert "more at this setting, drawn" in page.text
    assert any("square end against the stop" in words for words in told)


@pytest.mark.parametrize(
    ("kind", "words"), [("track", "rail of the track saw"), ("panel", "stop of the panel saw")]
)
def test_pieces_that_another_saw_sizes_are_told_with_its_guide(desk, kind, words):
    sitting = desk()
    sitting.type("cutting", **{"workshop.saw.kind": kind, "workshop.saw.rail": "300"})
    for place in ("saw", "steps", "packet", "cutting"):
        check(sitting.look(place))
    page = sitting.look("saw")
    sized = [s for s in plan_of(sitting).plan.steps if s.cuts[0].kind in ("rip", "crosscut")]
    assert sized and page.text.count(words) == len(sized)
    assert ("longer than the rail" in page.text) == (kind == "track")


def test_without_a_stack_the_router_is_told_from_the_edge_and_fears_no_blade(desk):
    sitting = desk()
    page = sitting.type("saw", **{"workshop.saw.stack": ""})
    steps = page.root.one("ol", class_="walk").all("li")
    routed = [step for step in steps if "router along a straightedge" in step.text]
    assert [step.one("h3").text for step in routed if "Rabbet" in step.text][0].startswith("At the edge")
    assert any("from the edge to the groove’s near side" in step.one("h3").text for step in routed)
    assert all("thrown back" not in step.text and "on the blade" not in step.text for step in routed)
    assert "thrown back" in page.text, "what the saw cuts still says why it is on the sled"
    assert "router at the edge" in sitting.look("steps").text
