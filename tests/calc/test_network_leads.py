"""Wires against the printed tables of gauges and copper, and the runs of the demo by hand."""

import pytest

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_leads import ENDS, HAND, leads
from calc.evaluate_network import network
from calc.evaluate_starts import textbook
from calc.network.leads import (
    GAUGES,
    Qts_behind,
    awg_diameter,
    level_lost,
    loop_resistance,
    thinnest,
)
from server.beginnings import demo
from server.documents import amend, read_project


@pytest.mark.parametrize(
    ("number", "diameter", "square", "per_km"),
    [
        (10, 2.588, 5.261, 3.277), (12, 2.053, 3.309, 5.211), (14, 1.628, 2.081, 8.286),
        (16, 1.291, 1.309, 13.17), (18, 1.024, 0.823, 20.95), (20, 0.812, 0.518, 33.31),
    ],
)  # fmt: skip
def test_gauges_are_those_of_the_table(number, diameter, square, per_km):
    """ASTM B258: d = 0.005 in x 92^((36 - n)/39) (seen), ohms at 58 MS/m, IEC 60028."""
    assert 1e3 * awg_diameter(number) == pytest.approx(diameter, abs=6e-4)
    area = GAUGES[f"AWG {number}"]
    assert 1e6 * area == pytest.approx(square, rel=1e-3)
    assert loop_resistance(500, area) == pytest.approx(per_km, rel=1e-3)


def test_three_metres_of_a_usual_cable():
    """3 m of AWG 16: 0.0790 ohm, 0.0854 dB into 8 ohm, 0.170 into 4; 3 and 5 m of 1.5 mm², 10 m of 2.5
    (derived, in the references)."""
    R = loop_resistance(3, GAUGES["AWG 16"])
    assert pytest.approx(0.0790, abs=1e-4) == R
    assert level_lost(8, R) == pytest.approx(0.0854, abs=2e-4)
    assert level_lost(4, R) == pytest.approx(0.170, abs=1e-3)
    for length, gauge, ohm in ((3, "1.5 mm²", 0.0688), (5, "1.5 mm²", 0.1147), (10, "2.5 mm²", 0.1376)):
        assert loop_resistance(length, GAUGES[gauge]) == pytest.approx(ohm, rel=4e-3)


@pytest.mark.parametrize(
    ("R", "Qts", "lost"),
    [(0, 0.3504, 0), (0.1, 0.3560, 0.15), (0.3, 0.3671, 0.44), (0.5, 0.3781, 0.72), (1.0, 0.4054, 1.38)],
)
def test_resistance_before_a_driver_raises_its_Q(R, Qts, lost):
    """Re 5.8, Qes 0.38, Qms 4.5 (derived, in the references)."""
    assert Qts_behind(4.5, 0.38, 5.8, R) == pytest.approx(Qts, abs=1e-4)
    assert level_lost(5.8, R) == pytest.approx(lost, abs=0.01)


def test_the_thinnest_wire_that_will_do():
    """5 % of 4 ohm is 0.2 ohm: 10 m need 2 x 10 / 58e6 / 0.2 = 1.72 mm² (derived), so AWG 14."""
    assert thinnest(10, 4.0) == "AWG 14"
    assert thinnest(10, 4.0, [name for name in GAUGES if "mm" in name]) == "2.5 mm²"
    assert thinnest(500, 4.0) == "6.0 mm²" and thinnest(0.5, 8.0) == "0.5 mm²"
    with pytest.raises(InputError):
        thinnest(1, 4.0, [])


def wired(**more):
    bare = read_project(demo("reading_room"))
    parts = textbook(bare, "linkwitz-riley", 2, [2500.0])
    project = read_project(amend(demo("reading_room"), {"network": {"parts": parts}, **more}))
    result = evaluate(project)
    return leads(project, result, network(project, result).least.Z)


def test_runs_go_along_the_walls_and_let_the_driver_lie_on_the_bench():
    """The terminals' hole is in the back, as high as it says; the woofer 29.6 mm above it (demo).

    Inside is 250 mm deep: that and the difference of heights is the route, both being in the middle.
    """
    found = wired()
    terminals, woofer, dome = found.runs
    assert found.terminals == "terminals" and found.on_board is None and terminals.route == 0
    assert woofer.route == pytest.approx(0.25 + 0.1896 - 0.16, abs=1e-3)
    assert dome.route == pytest.approx(0.25 + 0.3306 - 0.16, abs=1e-3)
    assert woofer.slack == pytest.approx(0.1896 + 0.166 / 2 + HAND, abs=1e-3)
    for run in found.runs:
        assert 0 <= run.length - (run.route + run.slack + ENDS) < 0.01
        assert pytest.approx(2 * run.length / 58.0e6 / GAUGES[run.gauge], rel=1e-3) == run.R
        assert run.R <= 0.05 * run.Z
    assert dome.reversed and not woofer.reversed, "a filter of order 2 turns the dome"
    assert found.total == pytest.approx(2 * sum(run.length for run in found.runs))


def test_a_board_in_the_box_parts_the_runs():
    board = {"panel": "bottom", "width": 0.1, "height": 0.1, "depth": 0.03, "x": 0.1083, "y": 0.15}
    found = wired(**{"cabinet.boards": {"filter": board}})
    assert found.on_board == "filter"
    terminals, woofer, _ = found.runs
    (x, y, z), (_, inlet_y, inlet_z) = terminals.end, terminals.start
    assert (x, y) == pytest.approx((0.1083, 0.15)) and z > 0
    assert terminals.route == pytest.approx(abs(x - terminals.start[0]) + inlet_y - y + inlet_z - z)
    assert woofer.start == terminals.end


def test_a_cable_and_thin_wire_cost_level_and_raise_Q():
    near, far = wired(), wired(**{"network.leads": {"cable": 10.0, "gauge": "0.5 mm²"}})
    assert far.runs[0].key == "amplifier" and far.runs[0].length == pytest.approx(10.06)
    alone, behind, R = far.Q["woofer"]
    assert pytest.approx(sum(run.R for run in far.runs if run.key != "dome")) == R
    assert behind == pytest.approx(Qts_behind(4.2, 0.405, 5.6, R)) and alone < near.Q["woofer"][1] < behind
    assert set(near.Q) == {"woofer"}, "a tweeter's Q is none of the box's business"
