"""Openings: what stands in the middle stays there, ports find their places, and what does not fit is told."""

import json
from math import hypot, pi
from pathlib import Path

import pytest

from calc.cabinet.places import brace_place, seat_place
from calc.errors import InputError
from calc.evaluate import evaluate
from server.beginnings import demo
from server.documents import amend, read_project

PORT = "alternatives.B.box.port"


def result_of(document, **edits):
    return evaluate(read_project(amend(document, edits)))


def pair(**edits):
    """The reading-room pair: outside 216.6 x 400.6 mm, walls of 18.3 mm, its port 62 mm over its wall."""
    return result_of(demo("reading_room"), **edits)


def by_name(result):
    return {opening.name: opening for opening in result.openings}


# --- places


@pytest.mark.parametrize("width", [0.17, 0.18, 0.25])
def test_what_stands_in_the_middle_stays_there_whatever_becomes_of_the_cabinet(width):
    result = pair(**{"cabinet.size.width": width})
    assert set(by_name(result)) == {"woofer", "dome", "port", "terminals"}
    for opening in result.openings:
        assert opening.x == pytest.approx((width + 2 * 0.0183) / 2)
        assert opening.x == pytest.approx(result.cabinet.carcass.outer[0] / 2)


def test_what_was_placed_stays_in_its_place():
    edits = {"cabinet.seats.dome.x": 0.07, "cabinet.holes.terminals.x": 0.1, f"{PORT}.x": 0.09}
    for width in (0.18, 0.25):
        found = by_name(pair(**edits, **{"cabinet.size.width": width}))
        assert [found[name].x for name in ("dome", "terminals", "port")] == [0.07, 0.1, 0.09]


def test_a_document_that_says_where_its_openings_are_keeps_them():
    """One that was written before a middle could be left out."""
    data = json.loads((Path(__file__).parents[1] / "data" / "project_format_1.json").read_text())
    found = by_name(evaluate(read_project(data)))
    for kind in ("seats", "holes"):
        for name, each in data["cabinet"][kind].items():
            assert (found[name].x, found[name].y) == (each["x"], each["y"])


def test_the_middle_of_a_back_between_unequal_sides_is_its_own():
    """The back lies 9 mm into sides of 18.3 and 30 mm: from 9.3 to 18.3 + 180 + 9, its middle at 108.3."""
    thick = {"name": "Thick", "thickness": 0.03, "density": 680.0}
    edits = {"workshop.sheets.thick": thick, "cabinet.panels.right": "thick"}
    found = by_name(pair(**edits))
    assert found["terminals"].x == pytest.approx(0.1083)
    assert found["woofer"].x == pytest.approx((0.0183 + 0.18 + 0.03) / 2), "the front covers all"


def test_a_tube_goes_through_its_panel_with_its_wall_and_a_slot_without():
    port = by_name(pair())["port"]
    assert (port.width, port.height, port.round) == (pytest.approx(0.062), pytest.approx(0.062), True)
    slot = {"kind": "slot", "width": 0.1, "height": 0.03, "along_wall": False}
    port = by_name(pair(**{f"{PORT}.shape": slot, f"{PORT}.wall": 0.012}))["port"]
    assert (port.width, port.height, port.round) == (0.1, 0.03, False)


def test_a_recess_is_wider_than_its_flange_and_a_flange_on_the_face_is_not():
    assert by_name(pair())["woofer"].outline == pytest.approx(0.1668)
    assert by_name(pair(**{"cabinet.seats.woofer.flush": False}))["woofer"].outline == 0.166
    bare = by_name(pair(**{"drivers.woofer.frame.flange": None, "drivers.woofer.frame.cutout": None}))
    assert (bare["woofer"].outline, bare["woofer"].width) == (None, None)


def test_equal_ports_stand_about_their_middle():
    edits = {f"{PORT}.count": 2, f"{PORT}.shape.diameter": 0.04, "alternatives.B.box.fb": 60.0}
    first, second = (by_name(pair(**edits))[name] for name in ("port 1", "port 2"))
    assert (first.x + second.x) / 2 == pytest.approx(0.1083) and first.y == second.y == 0.3
    assert second.x - first.x > 0.046


def test_ports_that_find_no_room_beside_each_other_stand_in_rows():
    edits = {f"{PORT}.count": 3, f"{PORT}.y": 0.2, "alternatives.B.box.fb": 60.0}
    ports = [each for each in pair(**edits).openings if each.kind == "port"]
    assert len({each.y for each in ports}) == 2
    assert (ports[0].y + ports[-1].y) / 2 == pytest.approx(0.2)
    assert all(hypot(a.x - b.x, a.y - b.y) > 0.062 for a in ports for b in ports if a is not b)


def test_a_port_without_a_height_keeps_clear_of_drivers_shelves_and_terminals():
    """Between magnets of 100 and 72 mm, a shelf at 76 to 94 mm and terminals of 50 mm at 160 mm."""
    for panel in ("front", "back"):
        result = pair(**{f"{PORT}.y": None, f"{PORT}.panel": panel, f"{PORT}.shape.diameter": 0.02})
        port = by_name(result)["port"]
        half = port.height / 2
        shelf = result.cabinet.braces["shelf"]
        taken = [(shelf.low[2], shelf.high[2])]
        for name, magnet in (("woofer", 0.1), ("dome", 0.072)):
            seat = by_name(result)[name]
            reach = (seat.outline - 0.0008 if panel == "front" else magnet) / 2
            taken.append((seat.y - reach, seat.y + reach))
        assert 0.0183 + half <= port.y <= 0.4006 - 0.0183 - half
        assert all(port.y + half <= low or port.y - half >= high for low, high in taken), panel


def test_a_slot_along_a_wall_lies_on_the_floor():
    document = amend(demo("hall_subwoofer"), {f"{PORT}.y": None})
    port = by_name(evaluate(read_project(document)))["port"]
    assert port.y - port.height / 2 == pytest.approx(0.0178)


def test_the_weight_hangs_where_the_driver_hangs():
    """The woofer's 1.9 kg move 30 mm to the left, and the hole in 680 kg/m³ with them (derived).

    A recess of 166.8 mm, 5.5 deep, and the cut-out of 146 through the other 12.8.
    """
    before, after = pair(), pair(**{"cabinet.seats.woofer.x": 0.0783})
    moved = before.cabinet.centre[0] - after.cabinet.centre[0]
    wood = 680 * pi / 4 * (0.1668**2 * 0.0055 + 0.146**2 * 0.0128)
    assert moved == pytest.approx(0.03 * (1.9 - wood) / before.cabinet.mass)
    assert before.cabinet.centre[0] == pytest.approx(0.1083)


REFUSED = {
    "cabinet.seats.woofer.x": (0.22, "must lie on the front"),
    "cabinet.seats.dome.y": (0.41, "must lie on the front"),
    "cabinet.holes.terminals.x": (0.005, "must lie on the back"),
    "cabinet.holes.terminals.y": (0.5, "must lie on the back"),
    f"{PORT}.x": (-0.1, "must lie on the back"),
    f"{PORT}.y": (0.4, "must lie on the back"),
}


@pytest.mark.parametrize("field", REFUSED)
def test_a_centre_outside_its_panel_is_refused_at_its_field(field):
    value, words = REFUSED[field]
    with pytest.raises(InputError) as refusal:
        pair(**{field: value})
    assert (refusal.value.field, refusal.value.problem) == (field, words)


# --- what does not fit


def told(**edits):
    return pair(**edits).misfits


def fields(**edits):
    return [field for field, _ in told(**edits)]


def test_the_demos_fit_as_they_are_chosen():
    for name in ("reading_room", "hall_subwoofer"):
        result = evaluate(read_project(demo(name)))
        assert result.misfits == () and result.facts == ()


SEAT, DOME, CUP = "cabinet.seats.woofer", "cabinet.seats.dome", "cabinet.holes.terminals"
ALONE = {"cabinet.braces": {}, "cabinet.holes": {}}
"""Nothing but drivers and the port."""


def test_the_bounds_of_a_recess_by_hand():
    """83.4 mm from the front's left edge it touches that; its hole begins at 10.4, in the side's 18.3."""
    at, over = told(**ALONE, **{f"{SEAT}.x": 0.0834}), told(**ALONE, **{f"{SEAT}.x": 0.0832})
    assert [words for _, words in at] == [
        "The hole for “woofer” runs into the left panel: keep it between the walls."
    ]
    assert over[0] == (f"{SEAT}.x", "The recess of “woofer” reaches over the edge of the front.")
    assert over[1:] == at and at[0][0] == f"{SEAT}.x"


def test_a_flange_on_the_face_is_narrower_than_its_recess():
    """The dome's top comes to 400.6 with a recess of 104.8 at 348.2, with a flange of 104 at 348.6."""
    edits = ALONE | {"cabinet.size.width": 0.25}
    assert fields(**edits, **{f"{DOME}.y": 0.3481}) == [f"{DOME}.y"], "its hole is at 385.1, in the top"
    assert len(fields(**edits, **{f"{DOME}.y": 0.3484})) == 2
    assert fields(**edits, **{f"{DOME}.y": 0.3484, f"{DOME}.flush": False}) == [f"{DOME}.y"]
    (_, (_, words)) = told(**edits, **{f"{DOME}.y": 0.349, f"{DOME}.flush": False})[::-1]
    assert words == "The flange of “dome” reaches over the edge of the front."


@pytest.mark.parametrize(
    ("edits", "field", "panels"),
    [
        ({f"{CUP}.x": 0.0431}, f"{CUP}.x", "left panel"),
        ({f"{CUP}.x": 0.1735}, f"{CUP}.x", "right panel"),
        ({f"{CUP}.y": 0.0431}, f"{CUP}.y", "bottom panel"),
        ({f"{CUP}.y": 0.3575, f"{PORT}.y": 0.2}, f"{CUP}.y", "top panel"),
        ({f"{CUP}.x": 0.02, f"{CUP}.y": 0.02}, f"{CUP}.x", "left and bottom panels"),
    ],
)
def test_a_hole_of_50_mm_stands_clear_of_each_wall(edits, field, panels):
    bare = {"cabinet.braces": {}, "cabinet.seats": {}}
    assert told(**bare, **edits) == (
        (field, f"The hole for “terminals” runs into the {panels}: keep it between the walls."),
    )
    nearer = {key: value + (0.0004 if value < 0.1 else -0.0004) for key, value in edits.items()}
    if len(edits) == 1 or PORT + ".y" in edits:
        assert told(**bare, **nearer) == ()


def test_a_slot_along_the_floor_touches_it_and_a_lower_one_runs_into_it():
    slot = {"kind": "slot", "width": 0.18, "height": 0.02, "along_wall": True}
    bare = {"cabinet.braces": {}, "cabinet.seats": {}, "cabinet.holes": {}, f"{PORT}.shape": slot,
            "alternatives.B.box.fb": 60.0}  # fmt: skip
    assert told(**bare, **{f"{PORT}.y": None}) == ()
    assert told(**bare, **{f"{PORT}.y": 0.0283}) == ()
    assert fields(**bare, **{f"{PORT}.y": 0.0281}) == [f"{PORT}.y"]
    assert fields(**bare, **{f"{PORT}.y": None, f"{PORT}.x": 0.11}) == [f"{PORT}.x"]


def test_two_openings_keep_five_millimetres_of_wood():
    """Recesses of 166.8 and 104.8 touch with their centres 135.8 apart, and are 5 mm apart at 140.8."""
    for apart, words in (
        (0.1409, None),
        (0.1407, "“woofer” and “dome” leave hardly any wood between them on the front."),
        (0.1359, "“woofer” and “dome” leave hardly any wood between them on the front."),
        (0.1357, "“woofer” and “dome” overlap on the front."),
    ):
        found = told(**ALONE, **{f"{DOME}.y": 0.1896 + apart})
        assert found == (((f"{DOME}.y", words),) if words else ()), apart


def test_openings_side_by_side_are_told_at_their_sideways_places():
    """A tube of 62 mm and a hole of 50 in the back: 56 between the centres is where they touch."""
    bare = {"cabinet.braces": {}, f"{PORT}.x": 0.07}
    assert fields(**bare, **{f"{CUP}.y": 0.3, f"{CUP}.x": 0.1311}) == []
    ((field, words),) = told(**bare, **{f"{CUP}.y": 0.3, f"{CUP}.x": 0.1259})
    assert (field, words) == (f"{CUP}.x", "The port and “terminals” overlap on the back.")


def test_openings_of_two_panels_do_not_meet():
    assert told(**ALONE, **{f"{PORT}.y": 0.19}) != (), "the tube meets the magnet behind"
    short = {"alternatives.B.box.fb": 70.0}
    assert told(**ALONE, **short, **{f"{PORT}.y": 0.19}) == (), "a short one ends before it"


def test_a_round_hole_beside_a_slot_is_measured_to_its_corner():
    """A slot 60 x 20 about (80, 200), a hole of 50 about (80+30+20, 200+10+21): 29 - 25 = 4 mm of wood."""
    slot = {"kind": "slot", "width": 0.06, "height": 0.02, "along_wall": False}
    edits = {"cabinet.braces": {}, "cabinet.seats": {}, f"{PORT}.shape": slot, f"{PORT}.x": 0.08,
             f"{PORT}.y": 0.2, f"{CUP}.x": 0.13}  # fmt: skip
    assert told(**edits, **{f"{CUP}.y": 0.231})[0][1] == (
        "The port and “terminals” leave hardly any wood between them on the back."
    )
    assert told(**edits, **{f"{CUP}.y": 0.233}) == (), "hypot(20, 23) is 30.5"
    assert "overlap" in told(**edits, **{f"{CUP}.y": 0.224})[0][1], "hypot(20, 14) is 24.4"


def test_equal_ports_are_told_together():
    """Three tubes of 62 mm in a width of 186.3 leave hardly anything between them, in each of two rows."""
    edits = {f"{PORT}.count": 6, f"{PORT}.y": 0.2, "cabinet.seats": {}, "cabinet.holes": {},
             "cabinet.braces": {}, "cabinet.size.width": 0.1863, "alternatives.B.box.fb": 100.0}  # fmt: skip
    ports = [each for each in pair(**edits).openings if each.kind == "port"]
    assert len({each.x for each in ports}) == 3
    assert [each for each in told(**edits) if "wood" in each[1]] == [
        (f"{PORT}.x", "The ports leave hardly any wood between them on the back.")
    ]


SHELF = "cabinet.braces.shelf.at"


@pytest.mark.parametrize(
    ("at", "words"),
    [
        # 18.3 mm thick, so it reaches 9.15 either way of at + 18.3; the woofer's hole is 116.6 to 262.6.
        (0.0890, None),
        (0.0893, "“shelf” runs into the basket of “woofer”: move one of them."),
        (0.2532, "“shelf” runs into the basket of “woofer”: move one of them."),
        (0.2536, None),
        (0.2659, None),
        (0.2663, "“shelf” runs into the basket of “dome”: move one of them."),
    ],
)
def test_a_shelf_runs_into_a_basket(at, words):
    bare = {"cabinet.holes": {}, "chosen": "A"}
    assert told(**bare, **{SHELF: at}) == (((SHELF, words),) if words else ())


def test_a_driver_no_deeper_than_the_front_leaves_room_for_a_shelf():
    edits = {"cabinet.holes": {}, "chosen": "A", SHELF: 0.15, "cabinet.seats.dome.y": 0.34}
    frame = "drivers.woofer.frame."
    assert fields(**edits) == [SHELF]
    assert fields(**edits, **{frame + "depth": 0.012}) == [], "recess 5.5 and 12 are less than 18.3"
    assert fields(**edits, **{frame + "depth": 0.013}) == [SHELF]
    assert fields(**edits, **{frame + "depth": None}) == [SHELF], "unknown: the shelf touches the front"
    assert fields(**edits, **{frame + "cutout": None, frame + "flange": None}) == [], "nothing is known"


def test_a_rib_runs_into_what_it_crosses_and_a_window_does_not_help():
    rib = {"kind": "rib", "at": 0.09, "sheet": "ply", "depth": 0.006}
    window = {"width": 0.2, "height": 0.3, "radius": 0.01}
    for each in (rib, rib | {"window": window}):
        found = told(**{"cabinet.braces": {"spine": each}})
        assert {words for _, words in found} == {
            "“spine” runs into the basket of “woofer”: move one of them.",
            "“spine” runs into the basket of “dome”: move one of them.",
            "“spine” runs into the port: move one of them.",
            "“spine” stands behind the hole for “terminals”: move one of them.",
        }
        assert {field for field, _ in found} == {"cabinet.braces.spine.at"}
    aside = {"cabinet.braces": {"spine": rib | {"at": 0.02}}, "cabinet.size.width": 0.22}
    assert told(**aside) == ()


def test_a_slots_own_boards_stand_in_the_way_too():
    """A slot 20 high about 300 with boards of 12: 278 to 322; a shelf of 18.3 from 268.7 at 259.5 + 18.3."""
    slot = {"kind": "slot", "width": 0.1, "height": 0.02, "along_wall": False}
    edits = {"cabinet.seats": {}, f"{PORT}.shape": slot, f"{PORT}.wall": 0.012}
    assert told(**edits, **{SHELF: 0.2504}) == ()
    assert fields(**edits, **{SHELF: 0.2508}) == [SHELF]


def test_a_driver_deeper_than_the_box():
    """Inside 250, front 18.3; seated 5.5 mm deep, its magnet meets the back beyond 262.8."""
    depth = "drivers.woofer.frame.depth"
    assert depth not in fields(chosen="A", **{depth: 0.2627})
    assert told(chosen="A", **{depth: 0.263}) == (
        (depth, "“woofer” is deeper than the box: its magnet meets the back."),
    )
    finish = {"cabinet.finish": 0.0005}
    assert told(chosen="A", **finish, **{depth: 0.263}) == (), "the finish makes the recess shallower"


@pytest.mark.parametrize("count", [1, 2])
def test_a_port_longer_than_the_box_needs_an_elbow(count):
    words = {
        1: "The port is longer than the box is deep: it needs an elbow.",
        2: "The ports are longer than the box is deep: they need an elbow.",
    }[count]
    bare = {"cabinet.seats": {}, "cabinet.holes": {}, "cabinet.braces": {}, f"{PORT}.count": count}
    fixed = {"alternatives.B.box.fb": None, f"{PORT}.shape.diameter": 0.05}
    assert told(**bare, **fixed, **{f"{PORT}.length": 0.268}) == (), "250 inside and 18.3 of the back"
    for length in (0.2684, 0.3):
        found = told(**bare, **fixed, **{f"{PORT}.length": length})
        assert found == ((f"{PORT}.length", words),)
    assert fields(**bare, **{"alternatives.B.box.fb": 25.0}) == ["alternatives.B.box.fb"]


def test_a_tube_runs_into_a_magnet_straight_opposite():
    """The magnet ends 81.5 behind the face of a box 286.6 deep: a tube of 205.1 mm touches it.

    Seen from the front they are clear when magnet 100 and tube 62 are 81 apart.
    """
    bare = {"cabinet.holes": {}, "cabinet.braces": {}, "cabinet.seats.dome.y": 0.34}
    fixed = {"alternatives.B.box.fb": None, f"{PORT}.y": 0.19}
    words = "The port runs into the magnet of “woofer”."
    assert told(**bare, **fixed, **{f"{PORT}.length": 0.205}) == ()
    assert told(**bare, **fixed, **{f"{PORT}.length": 0.206}) == ((f"{PORT}.y", words),)
    away = fixed | {f"{PORT}.length": 0.206}
    assert told(**bare, **away | {f"{PORT}.y": 0.1896 + 0.0811}) == ()
    assert told(**bare, **away | {f"{PORT}.y": 0.1896 + 0.0809}) == ((f"{PORT}.y", words),)
    for unknown in ("magnet", "depth"):
        assert told(**bare, **away, **{f"drivers.woofer.frame.{unknown}": None}) == ()


def test_facts_are_misfits_joints_and_power():
    """60 watts for one driver; four edges alike are one sentence."""
    edges = {
        f"cabinet.edges.{side}-{end}.depth": 0.01 for side in ("left", "right") for end in ("top", "bottom")
    }
    result = pair(**edges, **{"alternatives.B.P": 61.0, f"{DOME}.y": 0.32})
    assert result.facts == (
        (f"{DOME}.y", "“woofer” and “dome” overlap on the front."),
        ("cabinet.edges.left-top.depth",
         "The rabbets of top and bottom take more than half of the sides' thickness."),
        ("alternatives.B.P", "The stated power of box B is more than its driver bears."),
    )  # fmt: skip
    assert result.misfits == result.facts[:1]


@pytest.mark.parametrize(
    ("edits", "field"),
    [
        ({"P": 60.0}, None),
        ({"P": 60.1}, "P"),
        ({"P": 119.0, "count": 2}, None),
        ({"P": 121.0, "count": 2}, "P"),
        ({"V": 18.3}, None),  # 18.33 volts into 5.6 ohm are 60 watts
        ({"V": 18.4}, "V"),
    ],
)
def test_the_stated_power_against_what_the_drivers_bear(edits, field):
    result = pair(**{f"alternatives.A.{name}": value for name, value in edits.items()}, chosen="A")
    assert [each for each, _ in result.facts] == ([f"alternatives.A.{field}"] if field else [])


def test_of_a_driver_that_tells_no_power_none_is_said():
    assert pair(**{"drivers.woofer.Pe": None, "alternatives.B.P": 500.0}).facts == ()
    unknown = {"drivers.woofer.fs": None, "alternatives.B.P": 61.0}
    assert [field for field, _ in pair(**unknown).facts] == ["alternatives.B.P"]


# --- room for one thing more


def shelf_place(result, document, thickness=0.0183, kind="shelf"):
    project = read_project(document)
    cabinet = result.cabinet
    return brace_place(
        kind, thickness, cabinet.carcass, cabinet.openings, cabinet.braces, seats=project.cabinet.seats,
        drivers=project.drivers, ports={"port": project.alternatives["B"].box.port},
    )  # fmt: skip


def test_a_new_shelf_goes_to_the_middle_of_the_widest_clear_stretch():
    """Clear of the woofer's hole from 116.6 is the floor, 18.3: 98.3 mm, more than any stretch above it.

    From 262.6 to the dome's hole at 293.6 there are 31, and the port of 62 about 300 is behind those.
    """
    document = amend(demo("reading_room"), {"cabinet.braces": {}, "cabinet.holes": {}})
    result = evaluate(read_project(document))
    assert shelf_place(result, document) == pytest.approx((0.1166 - 0.0183) / 2, abs=0.001)
    thick = shelf_place(result, document, thickness=0.1)
    assert thick is None, "nothing of that thickness is clear"
    assert shelf_place(result, document, thickness=0.098) == pytest.approx(0.049, abs=0.002)


def test_in_an_empty_box_a_brace_goes_to_the_middle_and_the_next_ones_beside_it():
    document = amend(demo("reading_room"), {"cabinet.braces": {}, "cabinet.holes": {}, "cabinet.seats": {},
                                            "chosen": "A"})  # fmt: skip
    result = evaluate(read_project(document))
    project = read_project(document)
    for kind, span in (("shelf", 0.364), ("rib", 0.18)):
        place = brace_place(kind, 0.0183, result.cabinet.carcass, result.openings, {}, ports={},
                            seats={}, drivers=project.drivers)  # fmt: skip
        assert place == pytest.approx(span / 2, abs=1e-9)
        brace = {"kind": kind, "at": place, "sheet": "ply"}
        more = evaluate(read_project(amend(document, {"cabinet.braces": {"first": brace}})))
        second = brace_place(kind, 0.0183, more.cabinet.carcass, more.openings, more.cabinet.braces,
                             ports={}, seats={}, drivers=project.drivers)  # fmt: skip
        assert abs(second - place) == pytest.approx(span / 4 + 0.0183 / 4, abs=0.001)


def test_a_rib_that_is_clear_nowhere_has_no_place():
    """The woofer's hole of 146 leaves 17 mm on either side of it, and the rib is 18.3 thick."""
    document = amend(demo("reading_room"), {"cabinet.braces": {}})
    result = evaluate(read_project(document))
    assert shelf_place(result, document, kind="rib") is None
    assert shelf_place(result, document, kind="rib", thickness=0.0165) == pytest.approx(0.0085, abs=0.0003)


def driver_place(document, driver, wanted):
    project = read_project(document)
    cabinet = evaluate(project).cabinet
    return seat_place(driver, wanted, cabinet.carcass, cabinet.openings, project.cabinet.seats,
                      project.drivers, clearance=0.0008, braces=cabinet.braces,
                      ports={"port": project.alternatives["B"].box.port})  # fmt: skip


def test_a_new_seat_is_as_near_to_its_wish_as_it_is_clear():
    """Recesses of 166.8 and 104.8 leave 5 mm of wood with the dome at 189.6 + 140.8 = 330.4 or higher."""
    document = amend(demo("reading_room"), {"cabinet.seats": {"woofer": {"driver": "woofer", "y": 0.1896}}})
    assert driver_place(document, "dome", 0.335) == 0.335
    y = driver_place(document, "dome", 0.25)
    assert 0.3304 <= y <= 0.3304 + 0.002
    added = amend(document, {"cabinet.seats.dome": {"driver": "dome", "y": y}})
    assert evaluate(read_project(added)).misfits == ()
    assert driver_place(document, "woofer", 0.3) is None
    shelf = {"kind": "shelf", "at": 0.3, "sheet": "ply"}
    assert driver_place(amend(document, {"cabinet.braces": {"high": shelf}}), "dome", 0.335) is None


def test_a_new_seat_keeps_clear_of_drivers_that_tell_no_size():
    """A woofer without sizes takes the room of a usual one: a flange of 1.3 times its cone's 130 mm."""
    frame = {f"drivers.{key}.frame": {} for key in ("woofer", "dome")}
    document = amend(
        demo("reading_room"), frame | {"cabinet.seats": {"woofer": {"driver": "woofer", "y": 0.15}}}
    )
    y = driver_place(document, "dome", 0.2)
    flange = 1.3 * 2 * (0.0133 / pi) ** 0.5
    assert y - 0.15 == pytest.approx((flange + 0.1008) / 2 + 0.005, abs=0.0021)


# --- round holes beside the drivers'


def test_each_round_hole_has_its_place_and_its_jig():
    """A bit of 6.35 mm: (62 - 6.35) / 2 = 27.825 to its centre and 24.65 to its near edge."""
    port, terminals = pair().holes
    assert (port.name, port.panel, port.y) == ("port", "back", 0.3)
    assert (port.diameter, port.x) == (pytest.approx(0.062), pytest.approx(0.1083))
    assert (port.centre, port.edge) == (pytest.approx(0.027825), pytest.approx(0.02465))
    assert (terminals.name, terminals.diameter, terminals.x, terminals.y) == (
        "terminals", 0.05, pytest.approx(0.1083), 0.16,
    )  # fmt: skip
    assert (terminals.centre, terminals.edge) == (pytest.approx(0.021825), pytest.approx(0.01865))
    large = pair(**{"workshop.bit": "large"}).holes[1]
    assert (large.centre, large.edge) == (pytest.approx((0.05 - 0.0127) / 2), pytest.approx(0.0123))


@pytest.mark.parametrize(("diameter", "centre"), [(0.0064, 0.000025), (0.00635, None), (0.004, None)])
def test_a_hole_no_larger_than_the_bit_is_not_for_the_jig(diameter, centre):
    hole = pair(**{"cabinet.holes.terminals.diameter": diameter}).holes[1]
    assert hole.centre == (None if centre is None else pytest.approx(centre))
    assert (hole.edge is None) == (centre is None) and hole.diameter == diameter


def test_slots_and_seats_are_no_round_holes():
    slot = {"kind": "slot", "width": 0.1, "height": 0.03, "along_wall": False}
    assert [hole.name for hole in pair(**{f"{PORT}.shape": slot}).holes] == ["terminals"]
    two = pair(**{f"{PORT}.count": 2, f"{PORT}.shape.diameter": 0.04, "alternatives.B.box.fb": 60.0})
    assert [hole.name for hole in two.holes] == ["port 1", "port 2", "terminals"]


# --- passive radiators, and ports of two sizes

FRAME = {
    "flange": 0.16,
    "flange_thickness": 0.005,
    "gasket": 0.001,
    "cutout": 0.142,
    "depth": 0.06,
    "mass": 0.7,
}
CONES = {
    "kind": "passive_radiator", "Vb": 0.014, "fb": 44.0,
    "radiator": {"count": 2, "Sp": 0.0133, "fp": 30.0, "Qmp": 5.0, "Mmp": 0.018, "frame": FRAME},
}  # fmt: skip
TWO = {
    "kind": "vented", "Vb": 0.014, "fb": 46.0,
    "port": {"shape": {"kind": "round", "diameter": 0.05}, "y": 0.3},
    "other": {"shape": {"kind": "round", "diameter": 0.03}, "y": 0.09},
}  # fmt: skip
CONE = "alternatives.A.box.radiator"


def with_box(box, **edits):
    """The pair with another box, without its shelf and its terminals, which would stand in the way."""
    chosen = {"alternatives.A": {"driver": "woofer", "box": box}, "chosen": "A"}
    return pair(**chosen, **{"cabinet.braces": {}, "cabinet.holes": {}}, **edits)


def radiators(**edits):
    return with_box(CONES, **{f"{CONE}.{name}": value for name, value in edits.items()})


def test_passive_radiators_stand_over_each_other_on_a_narrow_back():
    """Recesses of 160.8 mm, 20 mm of wood between them, on a back of 364 mm between floor and top: their
    middle is that of the back, 18.3 + 182 = 200.3 mm up."""
    found = [each for each in radiators().openings if each.kind == "radiator"]
    assert [each.name for each in found] == ["radiator 1", "radiator 2"]
    assert all(each.panel == "back" and each.x == pytest.approx(0.1083) for each in found)
    upper, lower = found
    assert upper.y - lower.y == pytest.approx(0.1808)
    assert (upper.y + lower.y) / 2 == pytest.approx(0.2003, abs=5e-4)
    assert all((each.width, each.outline) == (0.142, pytest.approx(0.1608)) for each in found)
    assert radiators().misfits == ()


def test_a_radiator_on_the_face_needs_no_play_and_one_without_sizes_has_the_usual_room():
    face = radiators(flush=False)
    assert {each.outline for each in face.openings if each.kind == "radiator"} == {0.16}
    bare = radiators(frame={})
    cones = [each for each in bare.openings if each.kind == "radiator"]
    assert {(each.width, each.outline) for each in cones} == {(None, None)}
    assert cones[0].y - cones[1].y > 0.15
    assert bare.radiator_seat is None


def test_radiators_are_bored_in_their_own_panel():
    """Flange 5 and gasket 1 mm: 6 mm deep; paint is on the front alone."""
    assert radiators().radiator_seat.recess_depth == pytest.approx(0.006)
    painted = pair(
        **{"alternatives.A": {"driver": "woofer", "box": CONES}, "chosen": "A", "cabinet.finish": 0.0003}
    )
    assert painted.radiator_seat.recess_depth == pytest.approx(0.006)
    front = radiators(panel="front")
    assert front.radiator_seat.recess == pytest.approx(0.1608)
    assert pair().radiator_seat is None


def test_radiators_weigh_where_they_hang():
    """Two of 0.7 kg and 20 g added to each, 60 mm deep, a third of that before the back at 286.6 mm."""
    light = radiators(frame=FRAME | {"mass": 0.0})
    heavy = with_box(CONES | {"fb": None}, **{f"{CONE}.added": 0.02})
    assert heavy.cabinet.mass - light.cabinet.mass == pytest.approx(1.44, abs=1e-9)
    moment = heavy.cabinet.mass * heavy.cabinet.centre[1] - light.cabinet.mass * light.cabinet.centre[1]
    assert moment / 1.44 == pytest.approx(heavy.cabinet.carcass.outer[2] - 0.02, abs=1e-6)


@pytest.mark.parametrize(
    ("edits", "field", "words"),
    [
        ({"panel": "front"}, f"{CONE}.y", "“woofer” and the passive radiators overlap on the front."),
        ({"x": 0.06}, f"{CONE}.x", "The recess of the passive radiators reaches over the edge of the back."),
        ({"x": 0.06}, f"{CONE}.x", "The hole for the passive radiators runs into the left panel"),
        ({"frame": FRAME | {"depth": 0.27}}, f"{CONE}.frame.depth", "their back meets the front."),
        ({"frame": FRAME | {"depth": 0.2}}, f"{CONE}.y", "The passive radiators meet the magnet of “woofer”"),
    ],
)  # fmt: skip
def test_radiators_that_do_not_fit(edits, field, words):
    found = radiators(**edits).misfits
    assert any(where == field and words in sentence for where, sentence in found), found


def test_a_shelf_keeps_clear_of_radiators():
    shelf = {"kind": "shelf", "at": 0.1, "sheet": demo("reading_room")["cabinet"]["panels"]["left"]}
    found = with_box(CONES, **{"cabinet.braces.shelf": shelf}).misfits
    assert (
        "cabinet.braces.shelf.at",
        "“shelf” runs into the basket of the passive radiators: move one of them.",
    ) in found


def test_a_centre_outside_its_panel_is_refused_for_radiators_and_second_ports():
    for box, path in ((CONES, f"{CONE}.y"), (TWO, "alternatives.A.box.other.y")):
        with pytest.raises(InputError) as refusal:
            with_box(box, **{path: 0.9})
        assert refusal.value.field == path


def test_ports_of_two_sizes_have_each_their_hole_and_their_room_in_the_ledger():
    result = with_box(TWO)
    found = {each.of: each for each in result.openings if each.kind == "port"}
    assert (found["port"].y, found["other"].y) == (0.3, 0.09)
    assert (found["port"].width, found["other"].width) == (pytest.approx(0.056), pytest.approx(0.036))
    assert {"port", "other port"} <= {hole.name for hole in result.holes}
    taken = dict(result.cabinet.ledger.displaced)
    length = result.cabinet.port_lengths["other"]
    assert taken["other port"] == pytest.approx(pi / 4 * 0.036**2 * (length - 0.0183))


def test_a_second_port_without_a_height_keeps_clear_of_the_first():
    found = {each.of: each for each in with_box(TWO, **{"alternatives.A.box.other.y": None}).openings}
    assert abs(found["port"].y - found["other"].y) > (0.056 + 0.036) / 2 + 0.005


def test_each_kind_of_port_tells_its_own_misfit():
    long = with_box(TWO, **{"alternatives.A.box.other.length": 0.4}).misfits
    assert ("alternatives.A.box.other.length",
            "The other port is longer than the box is deep: it needs an elbow.") in long  # fmt: skip
    met = with_box(
        TWO, **{"alternatives.A.box.other.y": 0.19, "alternatives.A.box.other.length": 0.25}
    ).misfits
    assert ("alternatives.A.box.other.y", "The other port runs into the magnet of “woofer”.") in met
    bent = with_box(
        TWO, **{"alternatives.A.box.other.length": 0.4, "alternatives.A.box.other.bends": 1}
    ).misfits
    assert not any("elbow" in sentence for _, sentence in bent)
