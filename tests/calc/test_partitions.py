"""Plates that part the air: worked by hand on the demo pair, 180 × 364 × 250 inside, of 18.3 mm sheet."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.cabinet.partitions import called
from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_clashes import edited, mendings
from server.beginnings import demo
from server.documents import FieldErrors, amend, read_project

BARE = amend(demo("reading_room"), {"cabinet.braces": {}})
PLATE = {"kind": "shelf", "sheet": "ply", "depth": 0.006, "seals": True}


def solved(braces, **edits):
    project = read_project(amend(BARE, {"cabinet.braces": braces, **edits}))
    return project, evaluate(project)


def volumes(project, names):
    return sum(project.drivers[project.cabinet.seats[name].driver].frame.volume for name in names)


# The woofer sits 189.6 over the lower edge, the dome 330.6. A shelf whose middle stands 280 over the inner
# floor leaves 180 x 250 x (364 - 280 - 9.15) above it: 3.368 litre for the dome, less the dome itself.
def test_a_shelf_between_them_gives_the_tweeter_a_chamber():
    project, result = solved({"wall": {**PLATE, "at": 0.28}})
    (chamber,) = result.cabinet.rooms
    assert chamber.seats == ("dome",) and called(chamber) == "chamber of dome"
    assert chamber.air == pytest.approx(0.18 * 0.25 * (0.364 - 0.28 - 0.00915) - volumes(project, ["dome"]))
    without = evaluate(read_project(BARE)).cabinet.net
    assert result.cabinet.net == pytest.approx(without - chamber.air - 0.18 * 0.25 * 0.0183, abs=1e-9)
    assert dict(result.cabinet.ledger.displaced)["chamber of dome"] == chamber.air


@given(st.sampled_from(["shelf", "rib", "frame"]), st.floats(0.03, 0.15), st.sampled_from([0.0, 6.0]))
def test_all_the_air_is_somewhere(kind, at, slope):
    """Gross = net + chambers + all that takes air: the plate between them is wood, and counted as that."""
    try:
        project, result = solved({"wall": {**PLATE, "kind": kind, "at": at}}, **{"cabinet.slope": slope})
    except InputError:
        return
    cabinet = result.cabinet
    assert len(cabinet.rooms) + len(cabinet.twins) == 1
    own = sum(chamber.air for chamber in cabinet.rooms)
    others = sum(v for name, v in cabinet.ledger.displaced if not name.startswith("chamber "))
    assert cabinet.carcass.gross == pytest.approx(cabinet.net + own + others, abs=1e-12)


def test_held_air_keeps_the_box_its_own():
    edits = {"cabinet.hold": "volume", "cabinet.moves": "depth"}
    project, result = solved({"wall": {**PLATE, "at": 0.28}}, **edits)
    wanted = project.alternatives[project.chosen].box.Vb
    assert result.cabinet.net == pytest.approx(wanted, abs=1e-9)
    assert result.cabinet.rooms[0].air > 0.003


def test_two_plates_part_off_two_chambers():
    braces = {"upper": {**PLATE, "at": 0.28}, "lower": {**PLATE, "at": 0.05}}
    _, result = solved(braces)
    assert [chamber.plate for chamber in result.cabinet.rooms] == ["upper", "lower"]
    said = [each.sentence for each in result.clashes]
    assert "“lower” parts off air that no driver uses." in said


def test_a_port_into_the_wrong_chamber_is_told():
    _, result = solved({"wall": {**PLATE, "at": 0.28}}, **{"alternatives.B.box.port.y": 0.35})
    assert any("opens the chamber of dome" in each.sentence for each in result.clashes)
    _, result = solved({"wall": {**PLATE, "at": 0.28}}, **{"alternatives.B.box.port.y": 0.1})
    assert not any("opens the chamber" in each.sentence for each in result.clashes)


def test_between_two_woofers_it_divides_the_box():
    woofers = {"low": {"driver": "woofer", "y": 0.1}, "high": {"driver": "woofer", "y": 0.3}}
    edits = {"cabinet.seats": woofers, "alternatives.B.count": 2}
    _, result = solved({"wall": {**PLATE, "at": 0.182}}, **edits)
    (twin,) = result.cabinet.twins
    assert twin.airs[0] == pytest.approx(twin.airs[1]) and not result.cabinet.rooms
    assert any("give the box two chambers" in each.sentence for each in result.clashes)
    edits |= {"alternatives.B.chambers": 2, "alternatives.B.box.port.count": 2}
    _, even = solved({"wall": {**PLATE, "at": 0.182}}, **edits)
    assert not any(each.kind == "parted" for each in even.clashes)
    _, uneven = solved({"wall": {**PLATE, "at": 0.15}}, **edits)
    assert any("unequal air" in each.sentence for each in uneven.clashes)


def test_looking_for_remedies_stands_what_is_told():
    project, result = solved({"wall": {**PLATE, "at": 0.05}})
    assert len(mendings(project, result)) == len(result.clashes)


@pytest.mark.parametrize(
    "more", [{"window": {"width": 0.1, "height": 0.1}}, {"kind": "bar", "also_at": 0.1, "width": 0.03}]
)
def test_only_a_whole_plate_parts_the_air(more):
    with pytest.raises(FieldErrors) as refusal:
        solved({"wall": {**PLATE, "at": 0.1, **more}})
    assert "cabinet.braces.wall.seals" in refusal.value.by_field


def remedies(braces, **edits):
    """{name: project after it} of the remedies of what is wrong with a plate; each clears it."""
    project, result = solved(braces, **edits)
    found = {}
    for each in mendings(project, result):
        if each.clash.kind == "parted":
            for remedy in each.remedies:
                after = edited(project, remedy.edits)
                assert each.clash.key not in {clash.key for clash in evaluate(after).clashes}
                found[remedy.name] = after
    return found


def test_a_port_in_the_wrong_chamber_is_moved_across_or_the_plate_let_open():
    found = remedies({"wall": {**PLATE, "at": 0.28}}, **{"alternatives.B.box.port.y": 0.35})
    assert {"move port down", "open braces.wall"} <= set(found)


def test_an_uneven_twin_is_shared_out():
    """Where the shares are alike is found again by a solve of the whole cabinet."""
    edits = {
        "cabinet.seats": {"low": {"driver": "woofer", "y": 0.1}, "high": {"driver": "woofer", "y": 0.3}},
        "alternatives.B.count": 2,
        "alternatives.B.chambers": 2,
        "alternatives.B.box.port.count": 2,
    }
    after = remedies({"wall": {**PLATE, "at": 0.15}}, **edits)["share braces.wall"]
    (twin,) = evaluate(after).cabinet.twins
    assert twin.airs[0] == pytest.approx(twin.airs[1], rel=1e-3)
    assert after.cabinet.braces["wall"].at == pytest.approx(0.182, abs=1e-3)


def test_a_brace_on_both_sides_of_the_plate_is_shared_out():
    """A rib across the whole height, of 18.3 mm: each side loses its own part of it, by hand."""
    rib = {"kind": "rib", "at": 0.09, "sheet": "ply", "depth": 0.0}
    braces = {"wall": {**PLATE, "at": 0.28}}
    project, alone = solved(braces)
    _, both = solved({**braces, "rib": rib})
    lost = 0.0183 * 0.25 * (0.364 - 0.28 - 0.00915)
    assert both.cabinet.rooms[0].air == pytest.approx(alone.cabinet.rooms[0].air - lost, abs=1e-12)
    rest = 0.0183 * 0.25 * (0.28 - 0.00915)
    assert both.cabinet.net == pytest.approx(alone.cabinet.net - rest, abs=1e-12)


def test_a_lining_in_a_chamber_takes_its_air():
    """18.3 mm on the back, behind the shelf and above it."""
    braces = {"wall": {**PLATE, "at": 0.28}}
    lining = {"cabinet.layers.felt": {"panel": "back", "sheet": "ply", "place": "inside"}}
    air = [solved(braces, **edits)[1].cabinet.rooms[0].air for edits in ({}, lining)]
    assert air[0] - air[1] == pytest.approx(0.0183 * 0.18 * (0.364 - 0.28 - 0.00915), abs=1e-12)


def test_two_plates_that_cross_part_off_three_rooms():
    braces = {"shelf": {**PLATE, "at": 0.28}, "rib": {**PLATE, "kind": "rib", "at": 0.04, "depth": 0.0}}
    _, result = solved(braces)
    found = {(each.plate, each.seats): each.air for each in result.cabinet.rooms}
    assert len(result.cabinet.rooms) == 3 and set(found) == {("shelf", ("dome",)), ("shelf", ()), ("rib", ())}
    height, width = 0.364 - 0.28 - 0.00915, 0.04 - 0.00915
    assert found["shelf", ()] == pytest.approx(height * width * 0.25, abs=1e-12)
    assert found["rib", ()] == pytest.approx((0.28 - 0.00915) * width * 0.25, abs=1e-12)


def test_a_plate_finds_the_place_that_encloses_its_air():
    """3 litre net over the shelf: by hand, (3 + what the dome takes) / (180 x 250) below the top."""
    project, result = solved({"wall": {**PLATE, "at": None, "encloses": 0.003}})
    (chamber,) = result.cabinet.rooms
    assert chamber.seats == ("dome",) and chamber.air == pytest.approx(0.003, abs=1e-12)
    deep = (0.003 + volumes(project, ["dome"])) / (0.18 * 0.25)
    wall = result.cabinet.braces["wall"]
    assert wall.high[2] == pytest.approx(0.0183 + 0.364 - deep, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(["shelf", "rib", "frame"]),
    st.floats(0.0005, 0.004),
    st.sampled_from([0.0, 6.0]),
    st.booleans(),
)
def test_an_enclosed_chamber_holds_its_air_or_says_why_not(kind, wanted, slope, crossed):
    """Also in a box that leans, beside a rib that stands through it, while the box keeps its own air."""
    braces = {"wall": {**PLATE, "kind": kind, "at": None, "encloses": wanted, "depth": 0.0}}
    if crossed and kind != "rib":
        window = {"width": 0.1, "height": 0.15, "radius": 0.03}
        braces["rib"] = {"kind": "rib", "at": 0.05, "sheet": "ply", "depth": 0.0, "window": window}
    edits = {"cabinet.slope": slope, "cabinet.hold": "volume", "cabinet.moves": "depth"}
    try:
        project, result = solved(braces, **edits)
    except InputError as refusal:
        assert "braces.wall" in refusal.field and refusal.problem
        return
    (chamber,) = result.cabinet.rooms
    assert chamber.air == pytest.approx(wanted, abs=1e-11)
    assert result.cabinet.net == pytest.approx(project.alternatives[project.chosen].box.Vb, abs=1e-11)


def test_two_plates_that_cross_both_enclose_what_they_are_to():
    upper = {**PLATE, "at": None, "encloses": 0.003}
    beside = {**PLATE, "kind": "frame", "at": None, "encloses": 0.002, "depth": 0.0}
    _, result = solved({"upper": upper, "lower": {**PLATE, "at": None, "encloses": 0.001}})
    assert [chamber.air for chamber in result.cabinet.rooms] == pytest.approx([0.003, 0.001], abs=1e-12)
    _, result = solved({"upper": upper, "beside": beside})
    assert len(result.cabinet.rooms) == 3


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"at": None, "encloses": 0.5}, "encloses", "finds no place"),
        ({"at": 0.2, "encloses": 0.003}, "encloses", "leave that of the plate empty"),
        ({"at": None, "encloses": 0.003, "seals": False}, "encloses", "sealed all round"),
        ({"at": None}, "at", "is needed"),
        ({"at": None, "encloses": -1.0}, "encloses", "above zero"),
    ],
)
def test_air_that_cannot_be_enclosed_is_refused_at_its_field(more, field, words):
    with pytest.raises((FieldErrors, InputError)) as refusal:
        solved({"wall": {**PLATE, **more}})
    errors = getattr(refusal.value, "by_field", None) or {refusal.value.field: refusal.value.problem}
    assert words in errors[f"cabinet.braces.wall.{field}"]


@pytest.mark.parametrize("panel", ["front", "back"])
def test_a_port_with_no_height_of_its_own_opens_the_box_and_not_the_chamber(panel):
    """The roomiest height of the whole back lies over the plate; that of the box's own air does not."""
    edits = {"alternatives.B.box.port.y": None, "alternatives.B.box.port.panel": panel, "cabinet.holes": {}}
    _, result = solved({"wall": {**PLATE, "at": 0.28}}, **edits)
    (port,) = [each for each in result.openings if each.kind == "port"]
    plate = result.cabinet.braces["wall"]
    assert port.y + port.height / 2 < plate.low[2]
    assert not any(each.kind == "parted" for each in result.clashes)
