"""Boxes of other kinds where the wood is: their seats, walls and tubes on the pages of the shop."""

import pytest
from reading import BOXES, check, check_refusal, made, said

from server.documents import amend

FRAME = {
    "flange": 0.16, "flange_thickness": 0.005, "gasket": 0.001, "cutout": 0.142, "depth": 0.06,
    "screws": 8, "screw_circle": 0.151, "mass": 0.7, "volume": 0.0004,
}  # fmt: skip
CONE = "alternatives.A.box.radiator"
BARE = {"cabinet.braces": {}, "cabinet.holes": {}}
SHOP = ("boring", "cabinet", "views", "cutting", "packet")


def framed(**edits):
    """A box with two passive radiators whose sheet gives all sizes."""
    return amend(made("radiators"), {f"{CONE}.frame": FRAME, **BARE, **edits})


def walled(name="band-pass", **edits):
    """A band-pass with its woofer in the wall between its chambers, which finds its own place."""
    document = made(name)
    wall = {"kind": "shelf", "at": None, "sheet": document["cabinet"]["panels"]["left"], "depth": 0.006}
    seat = {"driver": "woofer", "wall": "wall", "x": None, "y": 0.145}
    made_wider = {"cabinet.braces": {"wall": wall}, "cabinet.seats.woofer": seat, "cabinet.size.width": 0.22}
    return amend(document, BARE | made_wider | edits)


DOCUMENTS = {
    **{name: lambda name=name: made(name) for name in BOXES},
    "framed radiators": framed,
    "radiators in the front": lambda: framed(**{f"{CONE}.panel": "front"}),
    "walled": walled,
    "walled, cone down": lambda: walled(**{"cabinet.seats.woofer.faces": "down"}),
    "walled, vented twice": lambda: walled("double band-pass", **{"alternatives.A.box.rear.y": None}),
    "walled, without a driver's sizes": lambda: walled(**{"drivers.woofer.frame": {}}),
    "walled in inches": lambda: walled(show="imperial"),
}


@pytest.mark.parametrize("place", SHOP)
@pytest.mark.parametrize("name", DOCUMENTS)
def test_it_opens(desk, name, place):
    check(desk(DOCUMENTS[name]()).look(place))


# --- passive radiators


def test_the_seat_of_a_radiator_by_hand(desk):
    """A flange of 160 mm with 0.8 mm of play, 5 mm thick on a gasket of 1 mm: pin at (160.8 - 6.35)/2."""
    sitting = desk(framed())
    for place in ("boring", "packet"):
        page = sitting.look(place)
        assert (
            "Recess first: 160.8 mm across, 6 mm deep" in page.text
            or "Recess 160.8 mm, 6 mm deep" in page.text
        )
        heads = [head.text for head in page.root.all("h3", class_="set")]
        assert any(head.startswith("77.23 mm pin to bit centre") for head in heads), heads
        for each in sitting.result.openings:
            if each.kind == "radiator":
                right = sitting.result.cabinet.carcass.face_bounds("back")[2]
                from_left = said(right - each.x, "length")  # of the back itself, its outside up
                assert f"{each.name.capitalize()}, pin in the back: {from_left}" in page.text
    added = said(sitting.result.built.radiator.added, "moving mass")
    assert sitting.look("packet").says("packet-added") == f"{added} added to each"


def test_a_radiator_without_sizes_waits(desk):
    page = desk("radiators").look("boring")
    assert "waits for the flange's diameter" in page.text
    typed = {
        f"{CONE}.frame.flange": "160",
        f"{CONE}.frame.flange_thickness": "5",
        f"{CONE}.frame.cutout": "142",
    }
    page = desk("radiators").type("boring", **typed)
    assert "Recess first: 160.8 mm across, 5 mm deep" in page.text


def test_radiators_are_moved_on_boring(desk):
    sitting = desk(framed())
    assert "where there is room" in sitting.look("boring").fields[f"{CONE}.y"].note
    sitting.type("boring", **{f"{CONE}.panel": "front", f"{CONE}.flush": ""})
    radiator = sitting.plain["alternatives"]["A"]["box"]["radiator"]
    assert (radiator["panel"], radiator["flush"]) == ("front", False)
    page = sitting.look("boring")
    assert "overlap by" in page.text and "on the front" in page.text


def test_a_radiator_off_its_panel_is_refused(desk):
    check_refusal(
        desk(framed()),
        "boring",
        f"{CONE}.y",
        "900",
        "must lie on the back",
        ("cabinet.finish", "0.2", 0.0002),
    )


def test_the_back_of_the_cut_list_has_their_holes(desk):
    page = desk(framed()).look("cutting")
    assert page.markup.count("142") >= 2


# --- the wall between two chambers


def test_a_driver_goes_into_a_new_wall_and_back(desk):
    sitting = desk(amend(made("band-pass"), {**BARE, "cabinet.size.width": 0.22}))
    page = sitting.look("boring")
    assert "two chambers" in page.text
    page = sitting.type("boring", do="wall:woofer")
    check(page)
    seat = sitting.plain["cabinet"]["seats"]["woofer"]
    assert seat["wall"] == "wall" and sitting.plain["cabinet"]["braces"]["wall"]["at"] is None
    rear, front = sitting.result.cabinet.chambers
    assert rear / front == pytest.approx(0.8, rel=1e-6)
    assert (
        f"rear chamber, {said(rear, 'volume')}" in page.text
        and f"front one, {said(front, 'volume')}" in page.text
    )
    assert sitting.result.misfits == ()
    at = sitting.result.cabinet.braces["wall"].low
    page = sitting.type("boring", do="front:woofer")
    check(page)
    kept = sitting.plain["cabinet"]
    assert kept["seats"]["woofer"]["wall"] is None
    assert sitting.result.cabinet.braces["wall"].low == pytest.approx(at, abs=1e-4), "the shelf stays"


def test_a_shelf_without_a_window_that_is_there_serves(desk):
    document = made("band-pass")
    sheet = document["cabinet"]["panels"]["left"]
    floor = {"kind": "shelf", "at": 0.2, "sheet": sheet, "depth": 0.006}
    sitting = desk(amend(document, {**BARE, "cabinet.braces": {"floor": floor}, "cabinet.size.width": 0.22}))
    page = sitting.type("boring", do="wall:woofer")
    assert sitting.plain["cabinet"]["seats"]["woofer"]["wall"] == "floor"
    assert "than its share" in page.text
    sitting.type("braces", **{"cabinet.braces.floor.at": ""})
    assert sitting.result.misfits == ()


def test_a_seat_dropped_leaves_its_shelf(desk):
    sitting = desk(walled())
    check(sitting.type("boring", do="drop-seat:woofer"))
    assert "woofer" not in sitting.plain["cabinet"]["seats"]
    assert sitting.plain["cabinet"]["braces"]["wall"]["at"] > 0


@pytest.mark.parametrize("do", ["wall:gone", "front:gone"])
def test_what_a_button_was_for_may_be_gone(desk, do):
    desk(walled()).refused("boring", do=do)


def test_the_cabinet_tells_the_air_of_both_chambers(desk):
    sitting = desk(walled())
    page = sitting.look("cabinet")
    rows = {row[0]: row[1] for row in page.rows(caption="Volume ledger, one speaker") if row}
    rear, front = sitting.result.cabinet.chambers
    assert rows["of it behind the cone"] == f"{rear * 1e3:.3f}"
    assert rows["of it before the cone"] == f"{front * 1e3:.3f}"
    page, solid = sitting.look("braces"), sitting.result.cabinet.braces["wall"]
    place = (solid.low[2] + solid.high[2]) / 2 - sitting.result.cabinet.carcass.panels["bottom"].thickness
    assert said(place, "length") in page.fields["cabinet.braces.wall.at"].note
    assert "drop-brace:wall" not in page.markup and "window:wall" not in page.markup


def test_a_shelf_more_keeps_clear_of_the_driver_in_the_wall(desk):
    sitting = desk(walled())
    sitting.type("braces", do="add-brace:shelf")
    assert not [sentence for field, sentence in sitting.result.misfits if "basket" in sentence]


def test_the_wall_is_bored_with_its_own_thickness(desk):
    sitting = desk(walled())
    thin = {"name": "Thin", "thickness": 0.012, "density": 680.0}
    edits = {"workshop.sheets.thin": thin, "cabinet.braces.wall.sheet": "thin", "cabinet.finish": 0.0004}
    sitting = desk(walled(**edits))
    seat = sitting.result.seats["woofer"]
    assert seat.steps[-1].depths[-1] == pytest.approx(0.012 - 0.0015)
    frame = sitting.plain["drivers"]["woofer"]["frame"]
    assert seat.recess_depth == pytest.approx(frame["flange_thickness"] + frame["gasket"]), "no paint inside"


def test_the_wall_is_drawn_with_its_hole_where_it_is_cut(desk):
    page = desk(walled()).look("cutting")
    assert "with the seat of woofer" in page.markup
    assert "with the seat of woofer" in desk(walled()).look("packet").markup


def test_packet_tells_every_kind_of_port(desk):
    sitting = desk("two ports")
    page = sitting.look("packet")
    ports = sitting.result.built.ports
    assert page.says("packet-port") == said(ports["port"].length, "length")
    assert page.says("packet-other") == said(ports["other"].length, "length")
