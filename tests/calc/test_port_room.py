"""Where ports may go, held against what the cabinet itself says does not fit."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.cabinet.clashes import misfits
from calc.cabinet.port_room import PortRoom, near_inner_end, port_room
from calc.evaluate import evaluate
from calc.evaluate_port import tubes
from server.beginnings import demo
from server.documents import amend, read_project

PORT = "alternatives.B.box.port"
SLOT = {"kind": "slot", "width": 0.09, "height": 0.02, "along_wall": False}
THIN = {"kind": "round", "diameter": 0.025}
TWO_SIZES = {f"{PORT}.shape": THIN, f"{PORT}.y": 0.3, "alternatives.B.box.other": {"shape": SLOT, "y": 0.12}}
BAND_PASS = {
    "kind": "band_pass", "Vr": 0.006, "Vf": 0.009, "fb": 80.0, "fr": 40.0,
    "port": {"shape": {"kind": "round", "diameter": 0.05}}, "rear": {"shape": THIN},
}  # fmt: skip
PARTED = {
    "alternatives.B.box": BAND_PASS,
    "cabinet.braces.shelf.at": 0.2,
    "cabinet.braces.shelf.window": None,
    "cabinet.seats.woofer": {"driver": "woofer", "y": 0.13, "wall": "shelf"},
}
CASES = [
    ("reading_room", {}),
    ("reading_room", TWO_SIZES),
    ("reading_room", PARTED),
    ("reading_room", {f"{PORT}.count": 3, f"{PORT}.shape.diameter": 0.02, f"{PORT}.y": 0.3}),
    ("reading_room", {f"{PORT}.shape": SLOT, f"{PORT}.wall": 0.006}),
    ("reading_room", {f"{PORT}.shape.diameter": 0.03, "cabinet.seats.woofer.y": 0.2}),
    ("hall_subwoofer", {}),
    ("reading_room", {"cabinet.slope": 9.0, f"{PORT}.shape.diameter": 0.03}),
    ("reading_room", {**PARTED, "cabinet.slope": 9.0}),
]


def built(name, edits):
    """Project, what of it the rules ask for, and its port."""
    project = read_project(amend(demo(name), edits))
    made = evaluate(project).cabinet
    decided = {
        "seats": project.cabinet.seats,
        "drivers": project.drivers,
        "braces": made.braces,
        "finish": project.cabinet.finish,
    }
    return made, decided, project.alternatives[project.chosen].box.port


def moved(openings, panel, x, y):
    """All ports of one kind about another middle."""
    ports = [each for each in openings if each.of == "port"]
    (left, right), (low, high) = (
        (min(places), max(places)) for places in ([each.x for each in ports], [each.y for each in ports])
    )
    dx, dy = x - (left + right) / 2, y - (low + high) / 2
    return tuple(
        replace(each, panel=panel, x=each.x + dx, y=each.y + dy) if each.of == "port" else each
        for each in openings
    )


@pytest.mark.parametrize("panel", ["front", "back"])
@pytest.mark.parametrize(("name", "edits"), CASES)
def test_a_place_is_clear_where_nothing_misfits(name, edits, panel):
    """The slow way, place by place: no sentence that a port is in must be there, and none else is missing."""
    made, decided, port = built(name, edits)
    length = min(made.port_length, made.carcass.inner[2] * 0.6)  # a straight one, else it fits nowhere
    room = port_room(made.carcass, made.openings, port, length, panel, **decided, step=0.011)
    project = read_project(amend(demo(name), edits))
    ports = tubes(project.alternatives[project.chosen].box) | {"port": replace(port, panel=panel)}
    lengths = dict.fromkeys(ports, 0.01) | {"port": length}
    without = tuple(each for each in made.openings if each.of != "port")
    known = set(misfits(made.carcass, without, ports=ports, lengths=lengths, **decided))
    seen = set()
    for row, column in np.random.default_rng(7).integers(0, room.margin.shape, (60, 2)):
        openings = moved(made.openings, panel, room.x[column], room.y[row])
        found = set(misfits(made.carcass, openings, ports=ports, lengths=lengths, **decided)) - known
        among = {
            each for each in found if "leave hardly any wood" in each.sentence or "port" in each.sentence
        }
        assert bool(room.clear[row, column]) == (not among), (room.x[column], room.y[row], among)
        seen.add(not among)
    assert seen == {True, False} or room.share in (0.0, 1.0) or room.share < 0.05


def test_the_best_place_is_clear_and_far_from_everything():
    made, decided, port = built("reading_room", {f"{PORT}.shape.diameter": 0.03})
    room = port_room(made.carcass, made.openings, port, 0.15, "back", **decided)
    x, y = room.best
    margin = room.margin[np.argmin(abs(room.y - y)), np.argmin(abs(room.x - x))]
    assert_allclose(margin, room.margin.max(), atol=1e-5)
    assert 0 < room.share < 1
    area = sum(right - left for left, _, right, _ in room.regions)
    runs = sum((row.sum() - len(np.flatnonzero(np.diff([0, *row]) == 1))) for row in room.clear.astype(int))
    assert_allclose(area, runs * (room.x[1] - room.x[0]), rtol=1e-9)


def test_a_place_in_the_middle_wins_among_equals():
    x = y = np.linspace(0, 1, 5)
    assert PortRoom("back", x, y, np.zeros((5, 5))).best == (0.5, 0.5)
    assert PortRoom("back", x, y, np.full((5, 5), -0.01)).best is None
    assert PortRoom("back", x, y, np.full((5, 5), -0.01)).share == 0


def test_what_is_near_the_inner_end():
    """By hand: a port of 150 mm through the back at y = 300 mm, 62 mm wide with its wall.

    The box is 286.6 mm deep: the end is 136.6 mm from the front's face, 118.3 from its inside. The top's
    inside is at 400.6 - 18.3 = 382.3 mm, 82.3 over the middle of the port, 51.3 over its edge.
    """
    made, decided, port = built("reading_room", {f"{PORT}.y": 0.3, "cabinet.braces": {}})
    alone = tuple(each for each in made.openings if each.kind == "port")
    ahead, beside = near_inner_end(made.carcass, alone, port, 0.15, **decided)
    assert (ahead.name, beside.name) == ("front", "wall")
    assert_allclose([ahead.distance, beside.distance], [0.1183, 0.0513], atol=1e-6)


def test_a_magnet_in_line_is_nearer_than_the_front():
    made, decided, port = built("reading_room", {f"{PORT}.y": 0.15})
    seat = next(each for each in made.openings if each.name == "woofer")
    openings = moved(made.openings, "back", seat.x, seat.y)
    ahead = near_inner_end(made.carcass, openings, port, 0.12, **decided)[0]
    assert ahead.name == "woofer"
    frame = decided["drivers"]["woofer"].frame
    reach = frame.depth + frame.flange_thickness + frame.gasket - decided["finish"]
    assert_allclose(ahead.distance, made.carcass.outer[2] - 0.12 - reach, atol=1e-9)


def test_a_brace_beside_the_tube():
    made, decided, port = built("reading_room", {})
    shelf = next(iter(made.braces.values()))
    tube = next(each for each in made.openings if each.kind == "port")
    openings = moved(made.openings, "back", tube.x, shelf.high[2] + 0.031 + 0.004)
    _, beside = near_inner_end(made.carcass, openings, port, 0.12, **decided)
    assert beside.name in made.braces
    assert_allclose(beside.distance, 0.004, atol=1e-9)


def test_a_box_without_ports_has_nothing_near():
    made, decided, port = built("reading_room", {})
    seats = tuple(each for each in made.openings if each.kind != "port")
    assert near_inner_end(made.carcass, seats, port, 0.1, **decided) == ()
