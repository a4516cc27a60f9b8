"""The drawing of a setting: all of it on its plate, with the distances that are set."""

import re

import pytest

from calc.evaluate import evaluate
from calc.evaluate_sawing import sawing
from server.beginnings import demo
from server.documents import amend, read_project
from server.drawings.set_up import set_up


def write(metres):
    return f"{metres * 1e3:.2f}"


def steps(**edits):
    project = read_project(amend(demo("reading_room"), edits))
    return sawing(project, evaluate(project)).plan.steps


MITRED = {
    f"cabinet.edges.{side}-{end}": {"into": None, "depth": 0.0, "mitre": True}
    for side in ("left", "right")
    for end in ("top", "bottom")
}

CASES = [{}, MITRED, {"workshop.saw.stack": False}, {"cabinet.size.height": 0.9}]


@pytest.mark.parametrize("edits", CASES, ids=["rabbeted", "mitred", "router", "tall"])
def test_it_stays_on_its_plate_and_says_its_distance(edits):
    for step in steps(**edits):
        drawn = set_up(step.cuts[0], step.setting, write)
        assert drawn
        for drawing in drawn:
            width, height = map(float, re.search(r'viewBox="0 0 (\S+) (\S+)"', drawing.svg).groups())
            points = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", drawing.svg)
            points += re.findall(r'<text[^>]* x="(-?[\d.]+)" y="(-?[\d.]+)"', drawing.svg)
            for x, y in points:
                assert -1 <= float(x) <= width + 1 and -1 <= float(y) <= height + 1, (step.setting, x, y)
        shown = step.setting.distance if step.setting.distance > 0 else step.cuts[0].width
        assert write(shown) in drawn[0].svg
        assert len(drawn) == (2 if step.cuts[0].depth or step.cuts[0].kind == "bevel" else 1)


def test_the_bevel_shows_both_its_points():
    (cut,) = {c for step in steps(**MITRED) for c in step.cuts if c.kind == "bevel" and "left" in c.parts}
    setting = next(step.setting for step in steps(**MITRED) if cut in step.cuts)
    along = set_up(cut, setting, write)[1]
    assert write(cut.distance) in along.svg and write(cut.across) in along.svg


def test_what_nothing_leads_is_not_drawn():
    rib = {"kind": "rib", "at": 0.09, "sheet": "ply", "depth": 0.006}
    slots = [step for step in steps(**{"cabinet.braces.rib": rib}) if step.setting.guide == "jigsaw"]
    assert slots and all(set_up(step.cuts[0], step.setting, write) == () for step in slots)
