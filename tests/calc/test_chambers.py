"""Two chambers and the wall between them: by hand, by their sum, and in whole cabinets."""

from math import radians, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.cabinet.chambers import lower_air, shelf_height
from calc.errors import InputError
from calc.evaluate import evaluate
from server.beginnings import demo
from server.documents import amend, read_project

BOX = {
    "kind": "band_pass", "Vr": 0.008, "Vf": 0.01, "fb": 70.0,
    "port": {"shape": {"kind": "round", "diameter": 0.06}},
}  # fmt: skip
WALL = {"kind": "shelf", "at": None, "sheet": "ply", "depth": 0.006}


def walled(box=BOX, **edits):
    """The reading-room pair as a band-pass, its woofer in a shelf of 18.3 mm."""
    document = demo("reading_room")
    sheet = document["cabinet"]["panels"]["left"]
    return amend(document, {
        "alternatives.A": {"driver": "woofer", "box": box}, "chosen": "A",
        "cabinet.braces": {"wall": WALL | {"sheet": sheet}},
        "cabinet.seats.woofer": {"driver": "woofer", "wall": "wall", "x": None, "y": 0.145},
        "cabinet.size.width": 0.22, "cabinet.holes.terminals.y": 0.1, **edits,
    })  # fmt: skip


def cabinet(**edits):
    return evaluate(read_project(walled(**edits))).cabinet


# --- by hand


def test_air_below_a_shelf_by_hand():
    """0.2 x 0.3 m, 0.25 m up: 15 litres, less 1 of a driver, half of a 0.6 litre rib from floor to 0.5 m over
    it, and a 0.2 litre cup below; the 0.4 litre dome is above."""
    spread = [(0.0006, 0.02, 0.52), (0.0002, 0.1, 0.1), (0.0004, 0.4, 0.4)]
    assert lower_air(0.06, 0.02, 0.27, spread, fixed=0.001) == pytest.approx(0.0135, abs=1e-12)


@settings(max_examples=40)
@given(st.floats(0.02, 0.98), st.floats(0, 0.002), st.floats(0, 0.001))
def test_a_shelf_leaves_what_was_wanted(share, rib, fixed):
    floor, ceiling = 0.018, 0.5
    spread = [(rib, floor, 0.52), (0.0002, 0.3, 0.45)]
    most = lower_air(0.05, floor, ceiling, spread, fixed)
    wanted = share * most
    low = shelf_height(wanted, 0.05, floor, ceiling, spread, fixed)
    assert lower_air(0.05, floor, low, spread, fixed) == pytest.approx(wanted, abs=1e-9)


def test_a_chamber_that_cannot_be():
    with pytest.raises(InputError) as refusal:
        shelf_height(0.03, 0.05, 0.0, 0.5, [], 0.0)
    assert refusal.value.field == "at"


# --- in a cabinet


def test_the_wall_finds_its_place_by_hand():
    """Inside 220 x 364 x 250 mm. Net: 20.02 litres less woofer 0.95, dome 0.1, crossover 0.28, wall 1.0065
    and the port. 8/18 of it lies behind the cone, with all of the woofer and, by height, its part of the
    crossover, which may lie anywhere."""
    made = cabinet(**{"cabinet.hold": "inner", "cabinet.size.height": 0.364, "cabinet.size.depth": 0.25})
    taken = dict(made.ledger.displaced)
    assert taken["wall"] == pytest.approx(0.22 * 0.25 * 0.0183, rel=1e-12)
    net = 0.22 * 0.364 * 0.25 - sum(taken.values())
    rear, front = made.chambers
    assert rear == pytest.approx(net * 8 / 18, abs=1e-9) and rear + front == pytest.approx(net, abs=1e-12)
    up = made.braces["wall"].low[2] - 0.0183
    assert up * 0.22 * 0.25 == pytest.approx(rear + 0.00095 + 0.00028 * up / 0.364, abs=1e-9)


def test_the_air_that_is_held_is_shared_out_as_wanted():
    assert cabinet(**{"cabinet.hold": "volume"}).chambers == pytest.approx((0.008, 0.01), abs=1e-8)


def test_a_cone_that_looks_down_turns_the_chambers_over():
    up, down = cabinet(), cabinet(**{"cabinet.seats.woofer.faces": "down"})
    assert up.chambers == pytest.approx(down.chambers, rel=1e-9)
    assert up.braces["wall"].low[2] < 0.2 < down.braces["wall"].low[2]
    where = [{each.name: each for each in made.openings} for made in (up, down)]
    assert where[0]["port"].y > up.braces["wall"].high[2]
    assert where[1]["port"].y < down.braces["wall"].low[2]


def test_each_port_opens_its_chamber():
    two = BOX | {"fr": 45.0, "rear": {"shape": {"kind": "round", "diameter": 0.03}}}
    result = evaluate(read_project(walled(two)))
    where = {each.of: each for each in result.openings if each.kind == "port"}
    wall = result.cabinet.braces["wall"]
    assert where["port"].y - 0.033 > wall.high[2] and where["rear"].y + 0.0165 < wall.low[2]
    names = [name for name, _ in result.cabinet.ledger.displaced]
    assert "port" in names and "rear port" in names
    below, _ = result.cabinet.chambers
    assert below == pytest.approx(result.cabinet.net * 8 / 18, abs=1e-9)


def test_a_rib_through_the_wall_still_leaves_the_share():
    sheet = demo("reading_room")["cabinet"]["panels"]["left"]
    rib = {"kind": "rib", "at": 0.02, "sheet": sheet, "depth": 0.006,
           "window": {"width": 0.1, "height": 0.2, "radius": 0.01}}  # fmt: skip
    made = cabinet(**{"cabinet.braces.rib": rib})
    rear, front = made.chambers
    assert rear / (rear + front) == pytest.approx(8 / 18, abs=1e-6)


# --- facts and refusals


def facts(**edits):
    return dict(evaluate(read_project(walled(**edits))).misfits)


def test_it_fits_as_it_is():
    assert facts() == {}


def test_a_wall_that_was_placed_tells_how_far_off_it_is():
    made = cabinet(**{"cabinet.braces.wall.at": 0.2})
    rear, front = made.chambers
    off = rear / (rear + front) / (8 / 18) - 1
    assert off > 0.02
    words = facts(**{"cabinet.braces.wall.at": 0.2})["cabinet.braces.wall.at"]
    assert f"{off:.0%} more" in words


def test_a_band_pass_without_a_wall_is_told():
    edits = {"cabinet.seats.woofer.wall": None, "cabinet.seats.woofer.y": 0.18, "cabinet.braces.wall.at": 0.3}
    assert "two chambers" in facts(**edits)["cabinet.seats"]


def test_a_wall_in_a_box_of_one_chamber_is_told():
    document = walled()
    document = amend(document, {"chosen": "B"})
    result = evaluate(read_project(document))
    assert "one chamber" in dict(result.misfits)["cabinet.braces.wall.at"]
    assert result.cabinet.chambers is None


def test_a_port_in_the_wrong_chamber_is_told():
    words = facts(**{"alternatives.A.box.port.y": 0.08, "cabinet.holes.terminals.y": 0.3})
    assert "must not open the rear chamber" in words["alternatives.A.box.port.y"]


def test_a_tube_that_runs_into_the_driver_is_told():
    """A port of 150 mm at the woofer's own height: from 286.6 - 150 mm on, and the basket ends at 218."""
    two = BOX | {"fr": None, "rear": None}
    edits = {"alternatives.A.box.port.length": 0.15, "alternatives.A.box.fb": None,
             "alternatives.A.box.port.y": 0.12, "cabinet.holes.terminals.y": 0.3}  # fmt: skip
    words = [sentence for _, sentence in evaluate(read_project(walled(two, **edits))).misfits]
    assert any("runs into “woofer”" in sentence for sentence in words), words


def test_a_driver_too_deep_for_its_chamber_is_told():
    words = facts(**{"drivers.woofer.frame.depth": 0.2})
    assert "meets the bottom" in words["drivers.woofer.frame.depth"]


@pytest.mark.parametrize(
    ("field", "edits"),
    [
        ("cabinet.braces.shelf.at", {"cabinet.braces.shelf": WALL}),
        ("cabinet.seats.woofer.wall", {"cabinet.braces.wall.window": {"width": 0.1, "height": 0.1}}),
        ("cabinet.seats.woofer.y", {"cabinet.seats.woofer.y": 0.29}),
        ("cabinet.seats.woofer.x", {"cabinet.seats.woofer.x": 0.01}),
    ],
)
def test_refusals(field, edits):
    sheet = demo("reading_room")["cabinet"]["panels"]["left"]
    if "cabinet.braces.shelf" in edits:
        edits = {"cabinet.braces.shelf": WALL | {"sheet": sheet}}
    with pytest.raises(InputError) as refusal:
        evaluate(read_project(walled(**edits)))
    assert refusal.value.field == field


def test_a_wall_that_is_not_there_is_refused():
    from server.documents import FieldErrors

    with pytest.raises(FieldErrors) as refusal:
        read_project(walled(**{"cabinet.seats.woofer.wall": "loft"}))
    assert "cabinet.seats.woofer.wall" in refusal.value.by_field


def test_a_leaning_front_takes_its_wedge_from_the_air_below():
    """Derived: 0.2 m wide, 0.3 deep at the floor, up to 0.25 m under 6 degrees: w (D h - h² tan a / 2)."""
    exact = 0.2 * (0.3 * 0.25 - 0.25**2 * tan(radians(6)) / 2)
    narrows = 0.2 * tan(radians(6))
    assert lower_air(0.06, 0.018, 0.268, (), narrows=narrows) == pytest.approx(exact, rel=1e-12)
    assert shelf_height(exact, 0.06, 0.018, 0.4, (), narrows=narrows) == pytest.approx(0.268, abs=1e-9)


def test_under_a_leaning_front_the_chambers_still_share_the_air():
    made = cabinet(**{"cabinet.slope": 5.0})
    assert sum(made.chambers) == pytest.approx(made.net)
    assert made.chambers[0] / made.net == pytest.approx(0.008 / 0.018, rel=2e-3)
