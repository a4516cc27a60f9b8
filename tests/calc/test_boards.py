"""Crossover boards: their room, what they run into, and whether they go in; the numbers are worked by hand.

The demo pair is 216.6 × 400.6 × 286.6 mm outside, of 18.3 mm sheet; its woofer's hole is 146.
"""

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import rotate
from shapely.geometry import Point, box

from calc.cabinet.boards import air_taken, goes_through, overlap, room, sticks_out
from calc.cabinet.polyhedra import block, sums
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_clashes import mendings
from calc.project_cabinet import Board
from server.beginnings import demo
from server.documents import amend, read_project

PLAIN = demo("reading_room")
RESULT = evaluate(read_project(PLAIN))
CARCASS = RESULT.cabinet.carcass
FLOOR = {
    "panel": "bottom",
    "width": 0.1,
    "height": 0.15,
    "depth": 0.05,
    "x": 0.1083,
    "y": 0.1433,
    "mass": 0.6,
}


def solved(**changes):
    project = read_project(amend(PLAIN, {"cabinet.boards.board": {**FLOOR, **changes}}))
    return project, evaluate(project)


def clashes(**changes):
    return [each for each in solved(**changes)[1].clashes if each.kind == "board"]


def test_a_board_on_the_floor_stands_on_it():
    solid = room(Board(**FLOOR), CARCASS)
    assert solid.low == pytest.approx((0.0583, 0.0683, 0.0183))
    assert solid.high == pytest.approx((0.1583, 0.2183, 0.0683))


@pytest.mark.parametrize(
    ("panel", "low", "high"),
    [
        ("back", (0.05, 0.2183, 0.1), (0.15, 0.2683, 0.2)),
        ("left", (0.0183, 0.05, 0.1), (0.0683, 0.15, 0.2)),
        ("right", (0.1483, 0.05, 0.1), (0.1983, 0.15, 0.2)),
        ("top", (0.05, 0.1, 0.3323), (0.15, 0.2, 0.3823)),
    ],
)
def test_a_board_lies_on_the_inner_face_of_its_panel(panel, low, high):
    x, y = {"left": (0.1, 0.15), "right": (0.1, 0.15), "top": (0.1, 0.15)}.get(panel, (0.1, 0.15))
    solid = room(Board(panel, 0.1, 0.1, 0.05, x, y), CARCASS)
    assert solid.low == pytest.approx(low) and solid.high == pytest.approx(high)


def test_it_takes_a_third_of_its_room_or_what_was_measured():
    assert air_taken(Board(**FLOOR)) == pytest.approx(0.1 * 0.15 * 0.05 / 3)
    _, result = solved()
    assert RESULT.cabinet.net - result.cabinet.net == pytest.approx(0.00025)
    _, result = solved(volume=0.0004)
    assert RESULT.cabinet.net - result.cabinet.net == pytest.approx(0.0004)


def test_it_weighs_at_its_place():
    _, result = solved()
    assert result.cabinet.mass == pytest.approx(RESULT.cabinet.mass + 0.6)
    (place,) = [at for name, kind, _, at in result.cabinet.masses if kind == "board"]
    assert place == pytest.approx((0.1083, 0.1433, 0.0433))


def test_held_air_grows_to_make_up_for_it():
    held = amend(PLAIN, {"cabinet.hold": "volume", "cabinet.moves": "depth"})
    bare = evaluate(read_project(held))
    filled = evaluate(read_project(amend(held, {"cabinet.boards.board": FLOOR})))
    assert filled.cabinet.net == pytest.approx(bare.cabinet.net, abs=1e-9)
    assert filled.cabinet.carcass.inner[2] > bare.cabinet.carcass.inner[2]


def test_where_it_is_clear_nothing_is_told():
    assert not clashes(height=0.1)


def test_through_a_wall_the_amount_is_told():
    (each,) = clashes(x=0.06)
    assert each.amount == pytest.approx(0.0183 + 0.05 - 0.06)
    assert "the walls" in each.sentence and each.field == "cabinet.boards.board.x"


def test_into_the_shelf_and_into_the_woofer():
    shelf = RESULT.cabinet.braces["shelf"]
    tall = clashes(depth=shelf.low[2] - 0.0183 + 0.01)
    assert any("“shelf”" in each.sentence and each.amount == pytest.approx(0.01) for each in tall)
    near = clashes(panel="back", width=0.05, height=0.05, depth=0.22, x=0.1083, y=0.19)
    assert any("“woofer”" in each.sentence for each in near)


def test_what_goes_in_by_no_opening_is_told():
    wide = {"width": 0.16, "height": 0.16, "depth": 0.12, "panel": "back", "y": 0.12, "x": 0.1083}
    assert any("does not go straight through" in each.sentence for each in clashes(**wide))
    lid = read_project(
        amend(PLAIN, {"cabinet.boards.board": {**FLOOR, **wide}, "cabinet.lid": {"panel": "back"}})
    )
    assert not [e for e in evaluate(lid).clashes if "does not go" in e.sentence]


@given(st.floats(0.02, 0.2), st.floats(0.02, 0.2), st.floats(0.02, 0.2), st.floats(0.05, 0.25))
def test_through_a_circle_as_shapely_has_it(width, height, depth, diameter):
    """Second route: the rectangle of the two shorter sides, turned every which way, inside the disc."""
    a, b, _ = sorted((width, height, depth))
    if abs(hypot(a, b) - diameter) < 1e-3:
        return
    disc = Point(0, 0).buffer(diameter / 2, 256)
    flat = box(-a / 2, -b / 2, a / 2, b / 2)
    passes = any(disc.contains(rotate(flat, turn)) for turn in range(0, 180, 15))
    assert goes_through(Board("bottom", width, height, depth, 0.1, 0.1), diameter) == passes


@given(st.tuples(*[st.floats(-0.1, 0.1)] * 3))
def test_two_blocks_are_parted_by_what_is_told(at):
    one = block((0.0, 0.0, 0.0), (0.1, 0.06, 0.05))
    other = block(at, tuple(a + 0.08 for a in at))
    by = overlap(one, other)
    assert by >= 0
    if by:
        moves = [tuple(by * way * (k == axis) for k in range(3)) for axis in range(3) for way in (-1, 1)]
        parted = [
            overlap(block(tuple(a + m for a, m in zip(at, move, strict=True)),
                          tuple(a + 0.08 + m for a, m in zip(at, move, strict=True))), one)
            for move in moves
        ]  # fmt: skip
        assert min(parted) < 1e-9


def test_what_lies_inside_does_not_stick_out():
    air = block((0.0, 0.0, 0.0), (0.2, 0.2, 0.2))
    assert sticks_out(block((0.1, 0.1, 0.1), (0.2, 0.15, 0.15)), air) == 0
    assert sticks_out(block((0.15, 0.1, 0.1), (0.23, 0.15, 0.15)), air) == pytest.approx(0.03)
    assert sums(air)[0] == pytest.approx(0.008)


def test_looking_for_remedies_stands_a_board_that_clashes():
    project, result = solved(x=0.06)
    assert len(mendings(project, result)) == len(result.clashes)


@pytest.mark.parametrize("field", ["width", "height", "depth", "x", "y", "volume"])
def test_no_board_is_nothing(field):
    with pytest.raises(InputError) as refusal:
        Board(**{**FLOOR, field: 0.0})
    assert refusal.value.field == field


def test_a_lining_carries_its_board():
    lined = read_project(
        amend(
            PLAIN,
            {
                "cabinet.boards.board": FLOOR,
                "cabinet.layers.floor": {"panel": "bottom", "sheet": "ply", "place": "inside"},
            },
        )
    )
    (place,) = [at for _, kind, _, at in evaluate(lined).cabinet.masses if kind == "board"]
    assert place[2] == pytest.approx(0.0433 + 0.0183)
