"""Assembly: in which order the box goes together, with how much glue and how many clamps."""

from dataclasses import replace

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, said

import server.routes.assembly
import server.work
from calc.evaluate_assembly import assembly
from server.documents import amend, read_project
from server.pages import QUESTIONS


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("assembly")
    check(page)
    assert page.heading == QUESTIONS["assembly"]
    assert "3 glue-ups" in page.lead


def test_its_steps_and_clamps_are_the_results(desk):
    sitting = desk()
    page, built = sitting.look("assembly"), assembly(read_project(sitting.document), sitting.result)
    walks = list(page.root.all("ol", class_="walk"))
    assert len(walks) == len(built.stages)
    for number, (walk, stage) in enumerate(zip(walks, built.stages, strict=True), 1):
        steps = [heading.text for heading in walk.all("h3")]
        assert [step.split(". ")[1] for step in steps] == [step.parts[0] for step in stage.steps]
        rows = page.rows(f"Clamps of glue-up {number}, all on at once")[1:]
        assert [(row[0], int(row[1])) for row in rows] == [
            (each.axis.capitalize(), each.count) for each in stage.pressed
        ]
        assert rows[0][3] == said(stage.pressed[0].reach, "length")
    assert said(built.squares["front"].diagonal, "length") in page.text


def test_in_inches_joints_and_pressure_are_told_in_inches_and_pounds(desk):
    """in² of 25.4 mm squared, lbf of 0.45359237 kg x 9.80665 m/s²: by definition."""
    sitting = desk("reading_room imperial")
    page, built = sitting.look("assembly"), assembly(read_project(sitting.document), sitting.result)
    step, pressed = built.stages[0].steps[1], built.stages[0].pressed[0]
    text = page.text.replace("\N{NO-BREAK SPACE}", " ")
    assert f"{step.area / 0.0254**2:.1f} in² of joint" in text and "cm²" not in text
    assert f"{pressed.force / 4.4482216152605:.0f} lbf" in text and "kN" not in text
    assert "One clamp to about 10 in" in text


def test_clamps_come_and_go_and_are_held_against_the_joints(desk):
    sitting = desk()
    assert "nobody can say" in sitting.look("assembly").text
    page = sitting.type("assembly", "add-clamp")
    check(page)
    assert sitting.document["workshop"]["clamps"]["clamps1"]["count"] == 4
    assert "8 clamps are missing" in page.text
    path = "workshop.clamps.clamps1"
    page = sitting.type("assembly", **{f"{path}.count": "40", f"{path}.kind": "pipe"})
    assert "missing" not in page.text and page.text.count("are enough") == 3
    assert "188 kN" in page.text
    page = sitting.type("assembly", **{f"{path}.reach": "100"})
    assert "are enough" not in page.text
    sitting.type("assembly", "drop-clamp:clamps1")
    assert sitting.document["workshop"]["clamps"] == {}
    assert "is not there any more" in sitting.refused("assembly", "drop-clamp:clamps1").text


def test_the_scale_tells_whether_the_wood_is_as_reckoned(desk):
    sitting = desk()
    bare = assembly(read_project(sitting.document), sitting.result).bare
    page = sitting.type("assembly", **{"cabinet.weighed": f"{bare * 1.1:.3f}"})
    assert "+10.0 %" in page.text and "density is off" in page.text
    assert "put in 748 kg/m³ for Birch ply" in page.text, "680 and a tenth more"
    assert said(0.1 * bare, "mass") + " more" in page.text
    page = sitting.type("assembly", **{"cabinet.weighed": f"{bare * 1.01:.3f}"})
    assert "+1.0 %" in page.text and "the wood agree" in page.text


def test_what_is_bored_before_it_is_closed(desk):
    sitting = desk()
    page = sitting.look("assembly").text
    assert "Bore the front: woofer, dome." in page and "Bore the back: port, terminals." in page
    bare = sitting.document
    bare["cabinet"]["holes"] = {}
    assert "leads of the terminals" not in desk(bare).look("assembly").text


def test_nonsense_is_refused_in_its_field(desk):
    sitting = desk()
    sitting.type("assembly", "add-clamp")
    beside = ("workshop.clamps.clamps1.reach", "800", 0.8)
    check_refusal(sitting, "assembly", "workshop.clamps.clamps1.count", "0", "whole number", beside)
    check_refusal(
        sitting,
        "assembly",
        "cabinet.weighed",
        "0",
        "above zero",
        ("workshop.clamps.clamps1.reach", "900", 0.9),
    )


def test_it_answers_with_and_without_script_and_lets_a_guest_look(desk, stranger):
    sitting = desk()
    sitting.type("assembly", "add-clamp")
    check_answers(sitting, "assembly", "workshop.clamps.clamps1.count", "12")
    check_looking(stranger(sitting), "assembly")


def test_each_step_is_drawn_with_what_stands_and_what_comes_in(desk):
    page = desk().look("assembly")
    first, *others = list(page.root.all("ol", class_="walk"))
    drawn = [drawing.attributes["aria-label"] for drawing in first.all("svg", role="img")]
    assert drawn[0] == "Left on its way in, the first."
    assert drawn[-1] == "Right on its way in, onto left, bottom, shelf, top."
    assert [len(list(walk.all("svg", role="img"))) for walk in others] == [1, 1]


def test_slow_hands_are_offered_two_goes(desk):
    sitting = desk()
    assert (
        "Slower than the glue" in sitting.look("assembly").text
        and "In two goes" in sitting.look("assembly").text
    )
    page = sitting.type("assembly", **{"workshop.pace": "30 s"})
    assert sitting.document["workshop"]["pace"] == 30.0
    assert "Slower than the glue" not in page.text and "In two goes" not in page.text
    page = sitting.type("assembly", "add-clamp")
    assert (
        "Stiff cauls" in page.text
        and "Screws as clamps" in page.text
        and "Tape for the mitres" not in page.text
    )


def test_a_front_that_leans_back_has_only_its_own_diagonals(desk):
    """Its sides are no rectangles: their diagonals are not told."""
    straight, leaning = (desk(amend(desk().document, {"cabinet.slope": slope})) for slope in (0.0, 6.0))
    assert "Those of a side" in straight.look("assembly").text
    page = leaning.look("assembly")
    assert "Those of a side" not in page.text and "Both diagonals of the front" in page.text


def test_a_box_that_locks_a_part_out_is_told_on_page_steps_and_packet(desk, monkeypatch):
    """No box that can be typed locks one out; so the answer of the search is put in its place here."""

    def locked(project, result):
        return replace(assembly(project, result), stages=(), locked=("shelf", "right"))

    for module in (server.routes.assembly, server.work):
        monkeypatch.setattr(module, "assembly", locked)
    sitting = desk()
    page = sitting.look("assembly")
    check(page)
    assert "It cannot be put together" in page.lead and "shelf, right" in page.lead
    assert "Glue-up" not in sitting.look("packet").text and "Glue-up" not in sitting.look("steps").text
