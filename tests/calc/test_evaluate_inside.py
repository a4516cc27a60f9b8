"""What goes on inside a box of the document: each number by a second way from the places in the document."""

from math import cos, pi

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.evaluate import evaluate
from calc.evaluate_inside import USUAL_DENSITY, USUAL_DEPTH, USUAL_FIBRE, inside
from calc.sound import filling
from calc.sound.cavity import walls_share
from calc.sound.vented_box import vented_box
from server.documents import amend, read_project

PLY = 0.0183
"""The thickness of every panel of the document. [m]"""


@pytest.fixture
def found(document):
    """A function that gives project, result and what goes on inside, after some edits."""

    def after(**edits):
        project = read_project(amend(document, edits))
        result = evaluate(project)
        return project, result, inside(project, result)

    return after


BOX = "alternatives.B.box."
LINED = {BOX + "lining": {"material": "glass", "share": 0.4, "density": 30.0, "place": "walls"}}
LOOSE = {BOX + "lining": {"material": "wool", "share": 0.5, "density": 12.0, "place": "throughout"}}
RADIATOR = {"count": 1, "Sp": 0.0133, "fp": 30.0, "Qmp": 5.0, "Mmp": 0.018}


def test_the_waves_and_who_drives_them(found):
    """The woofer at 190 mm and a port typed to 250 mm above the lower edge, both from the outside."""
    _, result, now = found(**{BOX + "port.y": 0.25})
    c = result.air.c
    assert now.longest == "height" and now.sides == {"width": 0.18, "height": 0.364, "depth": 0.25}
    assert_allclose([now.first, now.spring], [c / 0.728, c / (8 * 0.364)], rtol=1e-12)
    assert_allclose(now.slanting, c / 2 * np.hypot(1 / 0.364, 1 / 0.25), rtol=1e-12)
    assert [wave.mode.half_waves for wave in now.waves[:3]] == [(0, 1, 0), (0, 0, 1), (0, 1, 1)]
    assert [wave.side for wave in now.axial] == ["height", "depth", "height"]
    tall, deep, twice = now.axial
    assert_allclose(tall.cones, [0.19 - PLY], rtol=1e-12)
    assert_allclose(tall.ports, [0.25 - PLY], rtol=1e-12)
    for wave, n in ((tall, 1), (twice, 2)):
        assert_allclose(wave.driven, abs(cos(n * pi * (0.19 - PLY) / 0.364)), rtol=1e-9)
        assert_allclose(wave.heard, abs(cos(n * pi * (0.25 - PLY) / 0.364)), rtol=1e-9)
    assert deep.cones == (0.0,) and deep.driven == 1.0
    # the tube comes in through the back and ends its length less the panel before it
    end = 0.25 - (result.built.port.length - PLY)
    assert_allclose(deep.ports, [end], rtol=1e-12)
    slanting = now.waves[2]
    assert_allclose(slanting.heard, tall.heard * abs(cos(pi * end / 0.25)), rtol=1e-9)


def test_a_port_in_the_front_ends_at_its_own_length(found):
    _, result, now = found(**{BOX + "port.panel": "front"})
    assert_allclose(now.axial[1].ports, [result.built.port.length - PLY], rtol=1e-12)


def test_ports_of_two_sizes_end_each_at_its_own_length(found):
    other = {"shape": {"kind": "round", "diameter": 0.03}, "panel": "front", "length": 0.05, "y": 0.1}
    tuned = {BOX + "fb": None, BOX + "port.length": 0.15, BOX + "other": other}
    _, _, now = found(**tuned)
    assert_allclose(sorted(now.axial[1].ports), [0.05 - PLY, 0.25 - (0.15 - PLY)], rtol=1e-9)
    assert now.untold == "ports"


def test_two_drivers_drive_by_their_mean(found):
    _, _, now = found(**{"cabinet.seats.second": {"driver": "woofer", "x": 0.108, "y": 0.33}})
    wave = now.axial[0]
    places = sorted(wave.cones)
    assert_allclose(places, [0.19 - PLY, 0.33 - PLY], rtol=1e-12)
    assert_allclose(wave.driven, abs(sum(cos(pi * x / 0.364) for x in places)) / 2, rtol=1e-9)


def test_the_ripple_is_nothing_low_down_and_the_worst_side_is_found(found):
    """At a quarter of the first wave the box is a spring. The woofer sits at the middle of the height, so
    that the wave along the depth is heard most."""
    _, result, now = found()
    assert now.untold is None and now.worst == "depth"
    bare = now.treatments["bare"]
    assert now.standing is bare and abs(bare.ripple[0]) < 0.2
    assert_allclose(bare.most_at, result.air.c / 0.5, rtol=0.03)
    assert_allclose(bare.most, np.max(abs(bare.ripple[now.f < now.slanting])), rtol=1e-12)
    # in a flat box with the woofer near the top it is the height: the depth's wave lies above the slanting
    _, _, flat = found(
        **{"cabinet.seats.woofer.y": 0.29, "cabinet.size.depth": 0.15, "cabinet.braces": {}, "chosen": "A"}
    )
    assert flat.worst == "height"


def test_what_each_lining_takes(found):
    """A pad is its thickness times the section; walls take what is left when the sides shrink."""
    _, result, now = found()
    Vb = result.built.Vb
    assert now.depth == USUAL_DEPTH
    taken = {name: way.volume / Vb for name, way in now.treatments.items()}
    assert taken["bare"] == 0
    assert_allclose(taken["pad"], USUAL_DEPTH / 0.25, rtol=1e-9)
    assert_allclose(taken["ends"], 2 * USUAL_DEPTH / 0.25, rtol=1e-9)
    assert_allclose(taken["walls"], walls_share(0.18, 0.364, 0.25, USUAL_DEPTH), rtol=1e-9)
    usual = filling.flow_resistivity(USUAL_DENSITY, filling.MATERIALS[USUAL_FIBRE])
    assert_allclose(now.sigma, usual, rtol=1e-12)


def test_what_each_lining_does(found):
    """The end walls least, for twice the material of the pad, which brakes its own direction most."""
    _, _, now = found()
    ways = now.treatments
    assert ways["pad"].most < 0.7 * ways["ends"].most and ways["ends"].most < ways["bare"].most
    assert ways["walls"].most < ways["pad"].most
    for side in now.sides:
        assert ways["walls"].rings[side] < ways["bare"].rings[side]
    assert ways["pad"].rings["depth"] < 0.6 * ways["ends"].rings["depth"]
    assert ways["pad"].rings["width"] > ways["walls"].rings["width"]


def test_lining_as_decided(found):
    _, result, now = found(**LINED)
    assert list(now.treatments) == ["walls", "bare", "ends", "pad"] and now.standing.name == "walls"
    assert_allclose(walls_share(0.18, 0.364, 0.25, now.depth), 0.4, rtol=1e-6)
    assert_allclose(now.standing.volume, 0.4 * result.built.Vb, rtol=1e-6)
    assert now.material is filling.MATERIALS["glass"]
    assert_allclose(now.sigma, filling.flow_resistivity(30.0, now.material), rtol=1e-12)
    assert now.advice.verdict in ("little", "right", "much", "nothing")
    heavier = found(**LINED, **{BOX + "lining.density": 60.0})[2]
    assert heavier.sigma > 2.5 * now.sigma


def test_loose_filling_is_spread_over_the_whole(found):
    _, result, now = found(**LOOSE)
    assert next(iter(now.treatments)) == "loose" and now.depth == USUAL_DEPTH
    assert_allclose(now.standing.volume, result.built.Vb, rtol=1e-9)
    assert now.standing.most < now.treatments["bare"].most


def test_no_lining_is_none_of_it(found):
    empty = LINED[BOX + "lining"] | {"share": 0.0}
    for edits in ({BOX + "lining": None}, {BOX + "lining": empty}):
        _, _, now = found(**edits)
        assert now.advice is None and now.standing.name == "bare" and "loose" not in now.treatments


def test_what_each_loss_takes_at_the_tuning(found):
    """Second route: the vented box with all losses and again without the one, straight from calc.sound."""
    _, result, now = found(**{BOX + "QL": 8.0, BOX + "QA": 30.0, BOX + "QP": 60.0})
    box = result.built.circuit
    losses = {"QL": 8.0, "QA": 30.0, "QP": 60.0}

    def level(**kept):
        return vented_box([box.fb], box.driver, box.Vb, box.fb, box.c, box.rho, **kept).level[0]

    assert [cost.name for cost in now.costs] == ["QL", "QA", "QP"] and now.at == result.built.fb
    for cost in now.costs:
        without = {name: Q for name, Q in losses.items() if name != cost.name}
        assert_allclose(cost.takes, level(**without) - level(**losses), rtol=1e-9)
        assert cost.typed and losses[cost.name] == cost.Q and cost.takes > 0


def test_a_loss_that_follows_from_the_build_is_not_called_typed(found):
    _, result, now = found(**{BOX + "QL": None, BOX + "QP": 60.0})
    typed = {cost.name: cost.typed for cost in now.costs}
    assert typed["QP"] is True
    assert all(typed[name] is (name in result.built.losses.typed) for name in typed)


def test_closed_boxes_too(found):
    _, result, now = found(chosen="A")
    assert now.untold is None and now.at == result.built.fc
    assert now.axial[0].heard is None and now.axial[0].ports is None
    assert abs(now.standing.ripple[0]) < 0.2 and now.standing.most > 0.3


REASONS = {
    "driver": {"drivers.woofer.Vas": None},
    "chambers": {"cabinet.seats.second": {"driver": "woofer", "x": 0.108, "y": 0.33},
                 "alternatives.B.count": 2, "alternatives.B.chambers": 2, BOX + "port.count": 2},
    "cones": {"cabinet.seats": {}},
    "ports": {BOX + "port.bends": 1},
}  # fmt: skip


@pytest.mark.parametrize("reason", REASONS)
def test_what_cannot_be_told_is_not(found, reason):
    _, _, now = found(**REASONS[reason])
    assert now.untold == reason and now.worst == now.longest
    for way in now.treatments.values():
        assert way.ripple is None and way.most is None and way.most_at is None
    assert now.treatments["pad"].rings[now.longest] < now.treatments["bare"].rings[now.longest]
    assert (now.costs == ()) is (reason == "driver")


def test_two_chambers_cannot_be_told(found):
    band_pass = {"kind": "band_pass", "Vr": 0.008, "Vf": 0.006, "fb": 70.0, "QL": 10.0}
    _, _, now = found(**{"alternatives.B.box": band_pass})
    assert now.untold == "chambers" and {cost.name for cost in now.costs} >= {"QL"}


def test_radiators_are_heard_where_they_sit(found):
    box = {"kind": "passive_radiator", "Vb": 0.014, "fb": 44.0, "QL": 10.0}
    _, result, now = found(**{"alternatives.B.box": box | {"radiator": RADIATOR}})
    placed = [one for one in result.openings if one.kind == "radiator"]
    if not placed:
        assert now.untold == "ports"
        return
    assert now.untold is None and now.axial[1].ports == (0.25,)
    assert_allclose(now.axial[0].ports, [placed[0].y - PLY], rtol=1e-12)
    assert abs(now.standing.ripple[0]) < 0.3


@pytest.mark.parametrize("edits", [
    {"cabinet.size": {"width": 0.05, "height": 0.06, "depth": 0.05}, "cabinet.seats": {}, "cabinet.holes": {},
     "cabinet.braces": {}, "cabinet.displaced": {}, "chosen": "A"},
    LINED | {BOX + "lining.share": 1.0, BOX + "lining.density": 200.0, BOX + "lining.material": "mineral"},
    LINED | {BOX + "lining.share": 1e-6},
    LOOSE | {BOX + "lining.share": 1.0, BOX + "lining.density": 200.0, BOX + "lining.material": "mineral"},
])  # fmt: skip
def test_extremes_have_numbers_too(found, edits):
    _, _, now = found(**edits)
    for way in now.treatments.values():
        assert way.ripple is None or np.all(np.isfinite(way.ripple))
        assert all(Q is None or 0 < Q < 1000 for Q in way.rings.values())
