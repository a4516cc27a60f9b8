"""Crossover boards: their room, what they run into, and whether they go in; the numbers are worked by hand.

The demo pair is 216.6 × 400.6 × 286.6 mm outside, of 18.3 mm sheet; its woofer's hole is 146.
"""

from math import hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate
from shapely.geometry import Point, box

from calc.cabinet.boards import air_taken, goes_through, met, room, sticks_out
from calc.cabinet.bodies import lined_walls
from calc.cabinet.polyhedra import block, common, sums
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_clashes import edited, mendings
from calc.project_cabinet import Board
from server.beginnings import demo
from server.documents import amend, read_project

PLAIN = demo("reading_room")
RESULT = evaluate(read_project(PLAIN))
CARCASS = RESULT.cabinet.carcass
PLAIN_HOLE = {"x": 0.1083, "y": PLAIN["cabinet"]["holes"]["terminals"]["y"]}
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
    assert "the left" in each.sentence and each.field == "cabinet.boards.board.x"


def test_into_the_shelf_and_into_the_woofer():
    shelf = RESULT.cabinet.braces["shelf"]
    deep = {**FLOOR, "depth": shelf.low[2] - 0.0183 + 0.01}
    closed = amend(PLAIN, {"cabinet.boards.board": deep, "cabinet.braces.shelf.window": None})
    tall = [each for each in evaluate(read_project(closed)).clashes if each.kind == "board"]
    assert not any("“shelf”" in each.sentence for each in clashes(depth=deep["depth"])), "it is in the window"
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


FLAT = st.floats(0.02, 0.3)


@settings(max_examples=60)
@given(FLAT, FLAT, st.floats(0.005, 0.02), FLAT, FLAT)
def test_through_a_rectangle_as_shapely_has_it(width, height, depth, wide, high):
    """Second route: the two shorter sides, turned by each degree, inside the rectangle."""
    p, q = sorted((width, height, depth))[1::-1]
    frame = box(-wide / 2, -high / 2, wide / 2, high / 2)
    board = Board("bottom", width, height, depth, 0.1, 0.1)

    def turned(by):
        flat = box(-p / 2 - by, -q / 2 - by, p / 2 + by, q / 2 + by)
        return any(frame.contains(rotate(flat, degree / 2)) for degree in range(360))

    if turned(0.0005):
        assert goes_through(board, wide, high)
    if not turned(-0.0005):
        assert not goes_through(board, wide, high)


def test_a_long_board_goes_aslant_through_a_square():
    """100 x 5 mm through 76 x 76: turned by 45° it needs (100 + 5) / sqrt 2 = 74.2 (derived)."""
    board = Board("bottom", 0.1, 0.3, 0.005, 0.1, 0.1)
    assert goes_through(board, 0.0743, 0.0743) and not goes_through(board, 0.0741, 0.0741)


@pytest.mark.parametrize("slope", [0.0, 12.0])
@settings(max_examples=40)
@given(
    panel=st.sampled_from(("front", "back", "left", "right", "bottom", "top")),
    x=st.floats(0.03, 0.2),
    y=st.floats(0.03, 0.3),
    low=st.tuples(*[st.floats(0.0, 0.3)] * 3),
    size=st.tuples(*[st.floats(0.02, 0.2)] * 3),
)
def test_a_board_meets_a_block_where_the_solids_do(slope, panel, x, y, low, size):
    """Second route: the two convex solids, clipped with each other; two that graze are left out."""
    carcass = SLOPED[slope].cabinet.carcass
    body = room(Board(panel, 0.1, 0.06, 0.04, x, y), carcass)
    other = block(low, tuple(a + b for a, b in zip(low, size, strict=True)))
    both = sums(common(body.solid, other))[0]
    found = met(body, other)
    if found is None or min(found[0], -body.shape.gap(found[1])) > 1e-4:
        assert (found is not None) == (both > 1e-12)
    if found is not None and found[0] == -body.shape.gap(
        found[1]
    ):  # moved so far along its face, it is clear
        shape, away = found[1], found[0] + 1e-6
        moves = [(away, 0), (-away, 0), (0, away), (0, -away)]
        assert (
            min(
                sums(common(body._replace(shape=body.shape.shifted(*move)).solid, other))[0] for move in moves
            )
            < 1e-12
        )
        assert shape.half_x > 0


SLOPED = {slope: evaluate(read_project(amend(PLAIN, {"cabinet.slope": slope}))) for slope in (0.0, 12.0)}


@pytest.mark.parametrize("slope", [0.0, 12.0])
@settings(max_examples=60)
@given(
    panel=st.sampled_from(("front", "back", "left", "right", "bottom", "top")),
    x=st.floats(0.01, 0.3),
    y=st.floats(0.01, 0.5),
    depth=st.floats(0.01, 0.4),
)
def test_what_sticks_out_and_by_how_much(slope, panel, x, y, depth):
    """Second route: the deepest corner beyond each wall; moved as told, it is beyond no more."""
    carcass = SLOPED[slope].cabinet.carcass
    walls = lined_walls(carcass)
    body = room(Board(panel, 0.05, 0.04, depth, x, y), carcass)
    found = sticks_out(body, walls)
    beyond = {
        name: -min(plane.above(corner) for corner in body.solid.corners) for name, plane in walls.items()
    }
    assert set(found) == {name for name, by in beyond.items() if by > 1e-9}
    inside = common(body.solid, carcass.air)
    assert bool(found) == (inside is None or sums(inside)[0] < sums(body.solid)[0] - 1e-12)
    for name, (by, side, along) in found.items():
        assert by == pytest.approx(beyond[name])
        steps = {"left": (along, 0), "right": (-along, 0), "bottom": (0, along), "top": (0, -along)}
        if side:
            moved = body._replace(shape=body.shape.shifted(*steps[side]))
            assert moved.beyond(walls[name]) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("changes", "other"),
    [
        (
            {"panel": "back", "width": 0.05, "height": 0.05, "depth": 0.05, **PLAIN_HOLE},
            "“terminals”",
        ),
        ({"panel": "left", "width": 0.1, "height": 0.05, "depth": 0.15, "x": 0.2, "y": 0.29}, "the port"),
        (
            {"panel": "front", "width": 0.05, "height": 0.05, "depth": 0.05, "x": 0.1083, "y": 0.19},
            "“woofer”",
        ),
    ],
)
def test_a_board_keeps_clear_of_holes_tubes_and_drivers(changes, other):
    assert any(other in each.sentence for each in clashes(**changes))


def test_every_remedy_of_a_board_clears_it():
    """Each is made, and the cabinet solved anew."""
    kinds = set()
    for changes in ({"x": 0.06}, {"depth": 0.2}, {"panel": "back", "width": 0.05, "height": 0.05, "y": 0.09},
                    {"width": 0.19, "height": 0.1}):  # fmt: skip
        project, result = solved(**changes)
        told = mendings(project, result)
        assert told
        for mending in told:
            for remedy in mending.remedies:
                kinds.add(remedy.name.partition(" ")[0])
                after = evaluate(edited(project, remedy.edits))
                assert mending.clash.key not in {each.key for each in after.clashes}
    assert {"move", "panel", "turn"} <= kinds


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
