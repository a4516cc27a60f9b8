"""Boring: where each driver sits, and the router's settings that make its seat."""

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, said

from server.pages import QUESTIONS


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("boring")
    check(page)
    assert page.heading == QUESTIONS["boring"]


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial"])
def test_its_settings_are_the_results(desk, name):
    sitting = desk(name)
    page, seats = sitting.look("boring"), sitting.result.seats
    system = sitting.plain["show"], sitting.plain["fraction"]
    walks = [walk for walk in page.root.all("ol", class_="walk") if "pin to bit centre" in walk.text]
    assert len(walks) == len(seats)
    for walk, seat in zip(walks, seats.values(), strict=True):
        assert f"recess {said(seat.recess, 'length', *system)} across" in page.lead
        assert f"{said(seat.recess_depth, 'fine length', *system)} deep" in page.lead
        assert f"hole {said(seat.cutout, 'length', *system)}" in page.lead
        heads = [head.text for head in walk.all("h3")]
        assert len(heads) == len(seat.steps)
        for head, step, item in zip(heads, seat.steps, walk.all("li"), strict=False):
            assert head.startswith(said(step.centre, "fine length", *system) + " pin to bit centre")
            assert said(step.edge, "fine length", *system) in head
            for depth in step.depths:
                assert said(depth, "fine length", *system) in item.text


def test_the_worked_seat_by_hand(desk):
    """A flange of 166 mm, 0.8 mm play, a bit of 6.35 mm: the pin stands (166.8 - 6.35)/2 from the bit."""
    page = desk().look("boring")
    assert "recess 166.8 mm across and 5.5 mm deep, hole 146 mm" in page.lead
    heads = [head.text for head in page.root.all("h3", class_="set")]
    assert any(
        head.startswith(f"{(166.8 - 6.35) / 2:.2f}".rstrip("0") + " mm pin to bit centre") for head in heads
    )
    assert any(
        head.startswith(f"{(146 - 6.35) / 2:.2f}".rstrip("0") + " mm pin to bit centre") for head in heads
    )


@pytest.mark.parametrize("name", ["drivers", "plan"])
def test_without_flange_and_cutout_a_seat_waits(desk, name):
    page = desk(name).look("boring")
    assert "The seats wait for flange and cut-out sizes" in page.lead
    assert "needs the flange's sizes" in page.text


def test_defaults_are_shown(desk):
    fields = desk("drivers imperial").look("boring").fields
    assert fields["workshop.pass_depth"].value == "0.125" and fields["workshop.web"].value == "0.0625"
    assert (
        fields["cabinet.seats.woofer.flush"].value == "yes"
        and fields["workshop.bits.straight"].value == "0.5"
    )


def test_on_the_face_there_is_no_recess(desk):
    sitting = desk()
    page = sitting.type("boring", **{"cabinet.seats.woofer.flush": ""})
    assert sitting.result.seats["woofer"].recess is None or not sitting.result.seats["woofer"].recess
    assert "Demo W165: hole 146 mm" in page.lead and page.fields["cabinet.seats.woofer.flush"].value == ""
    page = sitting.type("boring", **{"cabinet.seats.woofer.flush": "yes"})
    assert "Demo W165: recess 166.8 mm" in page.lead


def test_finish_makes_the_recess_shallower(desk):
    sitting = desk()
    before = sitting.result.seats["woofer"].recess_depth
    page = sitting.type("boring", **{"cabinet.finish": "0.3 mm"})
    assert sitting.result.seats["woofer"].recess_depth == pytest.approx(before - 0.0003)
    assert "less the finish 0.3 mm" in page.text


def test_another_bit_moves_the_pin(desk):
    sitting = desk()
    before = sitting.result.seats["woofer"].steps[0].centre
    page = sitting.type("boring", **{"workshop.bit": "large"})
    assert page.fields["workshop.bit"].value == "large"
    assert before - sitting.result.seats["woofer"].steps[0].centre == pytest.approx((0.0127 - 0.00635) / 2)


def test_a_seat_more_centred_and_less(desk):
    sitting = desk()
    page = sitting.type("boring", "add-seat:dome")
    check(page)
    (name,) = set(sitting.document["cabinet"]["seats"]) - {"woofer", "dome"}
    assert sitting.document["cabinet"]["seats"][name]["x"] is None
    field = page.fields[f"cabinet.seats.{name}.x"]
    assert (field.value, field.note) == ("", "empty: the middle, 108.3 mm")
    sitting.type("boring", **{f"cabinet.seats.{name}.x": "70"})
    page = sitting.type("boring", f"centre:{name}")
    assert sitting.document["cabinet"]["seats"][name]["x"] is None
    page = sitting.type("boring", f"drop-seat:{name}")
    assert set(sitting.document["cabinet"]["seats"]) == {"woofer", "dome"}
    sitting.type("boring", "drop-seat:woofer")
    page = sitting.type("boring", "drop-seat:dome")
    check(page)
    assert "No driver has a seat yet" in page.lead and sitting.result.seats == {}


def test_a_hole_more_and_less(desk):
    sitting = desk()
    page = sitting.type("boring", "add-hole")
    check(page)
    assert sitting.document["cabinet"]["holes"]["hole"]["diameter"] == 0.05
    assert page.fields["cabinet.holes.hole.diameter"].value == "50"
    page = sitting.type("boring", "drop-hole:hole")
    assert list(sitting.document["cabinet"]["holes"]) == ["terminals"]


def test_a_hole_is_made_square_for_a_plate_and_round_again(desk):
    """From 56 mm round to a square of 56; then 90 x 60 with corners of 8, in which a 16 mm drill turns."""
    sitting = desk()
    path = "cabinet.holes.terminals"
    across = sitting.document["cabinet"]["holes"]["terminals"]["diameter"]
    page = sitting.type("boring", "square:terminals")
    check(page)
    assert sitting.document["cabinet"]["holes"]["terminals"]["width"] == across
    assert f"{path}.diameter" not in page.fields
    sizes = {"width": "90", "height": "60", "radius": "8", "rim": "12", "screws": "4", "depth": "45"}
    page = sitting.type("boring", **{f"{path}.{name}": text for name, text in sizes.items()})
    check(page)
    assert "a hole 90 mm wide and 60 mm high in the back" in page.text
    assert "16 mm drill, one hole in each corner" in page.text and "mark its 4 screws" in page.text
    assert "Clamp the panel" in page.text
    assert "Terminals" in sitting.look("cabinet").text
    assert "16 mm drill" in sitting.look("packet").text
    refused = sitting.refused("boring", **{f"{path}.radius": "31"})
    assert "at most half the opening's smaller side" in refused.text
    assert refused.fields[f"{path}.radius"].wrong
    assert "2, 4, 6 or 8" in sitting.refused("boring", **{f"{path}.screws": "5"}).text
    page = sitting.type("boring", "round:terminals")
    check(page)
    assert page.fields[f"{path}.diameter"].value == "60" and not sitting.result.sawn
    page = sitting.type("boring", "round:terminals")
    assert page.fields[f"{path}.diameter"].value == "60", "it was round when the button was pressed"
    assert "is not there any more" in sitting.refused("boring", "square:ghost").text


def test_a_deep_cup_is_told_where_it_stands(desk):
    sitting = desk()
    page = sitting.type("boring", **{"cabinet.holes.terminals.depth": "400"})
    assert "runs" in page.text and "into the front" in page.text


def test_a_truncated_flange_is_cut_along_its_flats_and_between_them(desk):
    """90 from flat to flat: with 0.8 of play 45.4 to each, and 42.225 to the middle of a bit of 6.35."""
    sitting = desk()
    page = sitting.type("drivers", **{"drivers.dome.frame.shape": "truncated"})
    check(page)
    assert "needs the flange's sizes" in sitting.look("boring").text
    sitting.type("drivers", **{"drivers.dome.frame.across": "90"})
    page = sitting.look("boring")
    check(page)
    assert "45.4 mm from the centre to each of the two flats; 42.23 mm to the middle of the bit" in page.text
    assert "Swing only between the flats" in page.text and "90.8 mm from flat to flat" in page.text
    page = sitting.type("boring", **{"cabinet.seats.dome.turn": "90"})
    assert page.fields["cabinet.seats.dome.turn"].value == "90"
    assert "from −180° to 180°" in sitting.refused("boring", **{"cabinet.seats.dome.turn": "200"}).text
    assert "45.4 mm from the centre" in sitting.look("packet").text


def test_a_square_flange_is_cut_along_its_sides_and_its_corners_are_told(desk):
    """A bit of 6.35 leaves 3.18 in the corners, enough for 8; one of 12.7 leaves 6.35, too much for 2."""
    sitting = desk()
    sizes = {"shape": "square", "across": "100", "corner": "8"}
    page = sitting.type("drivers", **{f"drivers.dome.frame.{name}": text for name, text in sizes.items()})
    check(page)
    assert page.fields["drivers.dome.frame.across"].value == "100"
    page = sitting.look("boring")
    check(page)
    assert "50.4 mm from the centre to each of the four sides" in page.text and "chisel" not in page.text
    assert "What stands in the corners goes freehand" in page.text
    sitting.type("drivers", **{"drivers.dome.frame.corner": "2"})
    page = sitting.type("boring", **{"workshop.bit": "large"})
    assert "square them with a chisel" in page.text
    refused = sitting.refused("drivers", **{"drivers.dome.frame.corner": "51"})
    assert "at most half the flange's side" in refused.text
    for place in ("cabinet", "views", "cutting", "port", "faces"):
        check(sitting.look(place))


def test_each_hole_is_marked_by_two_edges_and_checked_by_two(desk):
    sitting = desk()
    page = sitting.type("boring", **{"cabinet.seats.dome.x": "70"})
    check(page)
    dome = next(
        row.text for row in page.root.all("tr") if row.text.startswith("Dome") and "outside" in row.text
    )
    assert "70" in dome and f"{216.6 - 70:g}" in dome and f"{400.6 - 330.6:g}" in dome
    assert "the panel is turned over or upside down" in page.text
    page = sitting.type("boring", **{"cabinet.mirrored": "yes"})
    assert "left or right cabinet" in page.text
    assert "Before each hole" in sitting.look("packet").text


def test_scrap_other_tools_and_a_wrong_hole(desk):
    sitting = desk()
    page = sitting.type("boring", **{"cabinet.holes.terminals.diameter": "50"})
    check(page)
    assert "First on scrap: a piece of the same sheet, 216.8 mm square" in page.text
    assert "a Forstner bit of 50 mm in a drill press" in page.text
    assert "Bored in the wrong place?" in page.text
    assert any(row.text.startswith("Woofer") and "86.58" in row.text for row in page.root.all("tr"))
    page = sitting.type("boring", **{"cabinet.holes.terminals.diameter": "76.5"})
    assert "a hole saw of 76.2 mm: its hole comes out 76.7 to 77.2 mm wide" in page.text


def test_a_breathing_chamfer_is_given_typed_and_left_out(desk):
    """Of 18.3 mm less a recess of 5.5, 12.8 stay; half of it is 6.4, offered to half a millimetre."""
    sitting = desk()
    page = sitting.look("boring")
    assert "the basket breathes without a chamfer" in page.text
    page = sitting.type("boring", "add-relief:woofer")
    check(page)
    path = "cabinet.seats.woofer.relief"
    assert (page.fields[f"{path}.depth"].value, page.fields[f"{path}.angle"].value) == ("6", "45")
    assert "6 mm deep from the inside" in page.text and "158 mm across" in page.text
    assert "Chamfer behind woofer" in sitting.look("cabinet").text
    page = sitting.refused("boring", **{f"{path}.depth": "13"})
    assert "before the floor of the recess" in page.text and page.fields[f"{path}.depth"].wrong
    page = sitting.refused("boring", **{f"{path}.angle": "5"})
    assert "from 10° to 80°" in page.text
    page = sitting.type("boring", **{f"{path}.depth": "4", f"{path}.angle": "60"})
    assert sitting.result.seats["woofer"].chamfer.depth == pytest.approx(0.004)
    sitting.type("boring", "drop-relief:woofer")
    assert sitting.document["cabinet"]["seats"]["woofer"]["relief"] is None


def test_a_chamfer_waits_for_its_sizes(desk):
    sitting = desk("drivers")
    assert "waits for the sizes" in sitting.refused("boring", "add-relief:woofer").text
    assert "is not there any more" in sitting.refused("boring", "drop-relief:ghost").text


def test_a_bit_more_and_less(desk):
    sitting = desk()
    page = sitting.type("boring", "add-bit")
    assert page.fields["workshop.bits.bit2"].value == "8" and page.fields["workshop.bit"].value == "bit2"
    page = sitting.refused("boring", "drop-bit:bit2")
    assert "this bit cuts the seats" in page.text and page.fields["workshop.bits.bit2"].wrong
    sitting.type("boring", **{"workshop.bit": "large"})
    sitting.type("boring", "drop-bit:bit2")
    assert set(sitting.document["workshop"]["bits"]) == {"straight", "large"}


@pytest.mark.parametrize("do", ["centre:ghost", "add-seat:ghost", "add-seat:a.b", "centre:woofer.x"])
def test_what_a_button_was_for_may_be_gone(desk, do):
    sitting = desk()
    before = sitting.document
    assert "is not there any more" in sitting.refused("boring", do).text
    assert sitting.document == before


REFUSALS = [
    ("cabinet.seats.woofer.x", "0", "must be a number above zero"),
    ("cabinet.seats.woofer.y", "high", "cannot be read as a number"),
    ("workshop.pass_depth", "0", "must be a depth that a router takes"),
    ("workshop.web", "-1", "cannot be less than zero"),
    ("workshop.bits.straight", "90", "must be the diameter of a router bit"),
    ("workshop.bits.straight", "30 kg", "this is a weight"),
    ("workshop.bit", "ghost", "must be one of the bits that the shop owns"),
    ("cabinet.holes.terminals.diameter", "0", "must be a number above zero"),
    ("cabinet.holes.terminals.panel", "roof", "must be front or back"),
    ("cabinet.seats.woofer.flush", "maybe", "must be yes or no"),
]


@pytest.mark.parametrize(("path", "text", "words"), REFUSALS)
def test_refusals(desk, path, text, words):
    check_refusal(desk(), "boring", path, text, words, ("cabinet.seats.dome.y", "331", 0.331))


def test_answers(desk):
    check_answers(desk(), "boring", "cabinet.seats.woofer.y", "191")


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "boring")


def test_the_wood_left_about_each_opening_is_told(desk):
    """141 mm between the middles, recesses of 166.8 and 104.8 mm: 5.2 mm of wood (derived)."""
    sitting = desk()
    page = sitting.look("boring")
    rows = {row[0]: row for row in page.rows("Wood left about each opening")[1:]}
    assert rows["Woofer"][1:] == ["front", "24.9", "17", "5.2", "30.3", "5"]
    assert rows["Dome"][4] == "5.2" and rows["Port"][4] == rows["Terminals"][4] == "84"
    assert rows["Terminals"][5:] == ["–", "–"]
    page = sitting.type("boring", **{"workshop.least_wood": "6"})
    rows = {row[0]: row for row in page.rows("Wood left about each opening")[1:]}
    assert rows["Woofer"][4] == "⚠ 5.2" and "leave only 5.2 mm of wood between them" in page.text
    assert "6 mm is the least" in page.text


@pytest.mark.parametrize(
    ("path", "text", "words"),
    [
        ("workshop.least_wood", "200", "must be the wood left between two openings"),
        ("workshop.screw", "20", "must be the thickness of a wood screw"),
    ],
)
def test_limits_of_wood_and_screws_are_refused(desk, path, text, words):
    check_refusal(desk(), "boring", path, text, words, ("cabinet.seats.dome.y", "331", 0.331))


def test_a_mirrored_pair_tells_both_cabinets_places(desk):
    sitting = desk()
    page = sitting.type("boring", **{"cabinet.mirrored": "yes"})
    check(page)
    assert "left and right are alike" in page.says("pair")
    page = sitting.type("boring", **{"cabinet.seats.dome.x": "120"})
    check(page)
    width = sitting.result.cabinet.carcass.outer[0]
    rows = {row[0]: row[1:] for row in page.rows("Centres from the outer left, both cabinets")[1:]}
    assert rows["Dome"][1:3] == [said(0.12, "length"), said(width - 0.12, "length")]
    assert "Mirrored pair" in sitting.look("cutting").text


@pytest.mark.parametrize("place", ["boring", "packet"])
def test_a_hole_off_the_middle_of_the_back_is_marked_on_the_back_as_it_lies_outside_up(desk, place):
    """The back stands in rabbets of the walls: it is smaller than the box, and from outside left is right."""
    sitting = desk()
    carcass = sitting.result.cabinet.carcass
    low, bottom, high, _ = carcass.face_bounds("back")
    assert low > 0.005 and bottom > 0.005
    x, y = low + 0.06, bottom + 0.1
    sitting.type("boring", **{"cabinet.holes.terminals.x": f"{x * 1e3:.3f}",
                              "cabinet.holes.terminals.y": f"{y * 1e3:.3f}"})  # fmt: skip
    from_left, from_low = f"{(high - low) * 1e3 - 60:.1f}".removesuffix(".0"), "100 mm"
    row = next(row for row in sitting.look(place).rows("Other round holes") if row[0] == "Terminals")
    assert row[3:5] == [f"{from_left} mm", from_low]
    sitting.type("boring", "square:terminals")
    sitting.type("boring", **{"cabinet.holes.terminals.width": "60", "cabinet.holes.terminals.height": "40"})
    text = sitting.look(place).text
    assert f"{from_left} mm from the panel’s left edge, 100 mm from its lower edge" in text
    hole = next(each for each in sitting.result.sawn if each.name == "terminals")
    corners = text.partition("From the same two edges: ")[2].partition(". Scrap")[0].split("; ")
    along = sorted({float(each.split(" | ")[0]) for each in corners})
    assert len(corners) == 4 and sum(along) / 2 == pytest.approx(float(from_left), abs=0.06)
    assert along[1] - along[0] == pytest.approx((hole.width - hole.drill) * 1e3, abs=0.11)
