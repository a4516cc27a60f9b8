"""What does not fit is said on every page that it concerns, with the way to the field that mends it."""

import pytest
from reading import check, made, said

from server import telling
from server.documents import amend, read_project

PLACES = ("box", "port", "cabinet", "braces", "boring", "packet")


@pytest.fixture
def crowded(desk):
    """A dome over the woofer, a shelf through it, a port too long, deep rabbets, and too many watts."""
    rabbets = {
        f"cabinet.edges.{side}-{end}.depth": 0.011 for side in ("left", "right") for end in ("top", "bottom")
    }
    return desk(
        amend(
            made("reading_room"),
            rabbets
            | {
                "cabinet.seats.dome.y": 0.31,
                "cabinet.braces.shelf.at": 0.1,
                "alternatives.B.P": 100.0,
                "alternatives.B.box.fb": 30.0,
                "alternatives.B.box.port.x": 0.035,
            },
        )
    )


def told(page):
    """Of each box of facts: its leading words, and (sentence, way) of each."""
    boxes = {}
    for box in page.root.all("div", class_="care"):
        lines = list(box.all("p"))
        lead = lines[0].one("b").text
        boxes[lead] = [
            (
                line.text.removeprefix(lead).removesuffix(line.one("a").text).strip(),
                line.one("a").attributes["href"],
            )
            for line in lines
        ]
    return boxes


WAYS = {
    "cabinet.seats": "boring",
    "cabinet.holes": "boring",
    "cabinet.braces": "braces",
    "cabinet.edges": "cabinet",
    "drivers": "drivers",
    "alternatives.B.P": "box",
    "alternatives.B.box": "port",
}


def way(field, here):
    (place,) = {place for start, place in WAYS.items() if field.startswith(start)}
    return f"{'' if place == here else place}#{field}"


CONCERNS = {
    "box": lambda field: field.startswith("alternatives."),
    "port": lambda field: field.startswith("alternatives.B.box.port."),
    "cabinet": lambda field: True,
    "braces": lambda field: field.startswith("cabinet.braces."),
    "boring": lambda field: not field.endswith((".fb", ".P")) and ".edges." not in field,
    "packet": lambda field: True,
}


@pytest.mark.parametrize("place", PLACES)
def test_each_page_tells_what_concerns_it_with_the_way_to_its_field(crowded, place):
    page, result = crowded.look(place), crowded.result
    check(page)
    assert len(result.misfits) >= 4 and len(result.facts) == len(result.misfits) + 2
    lead = "⚠ Not ready to cut:" if place == "packet" else "⚠ Does not fit."
    project = read_project(crowded.document)
    amounts = [
        (clash.field, telling.told(clash, project).replace(telling.GAP, " ")) for clash in result.clashes
    ]
    assert [field for field, _ in amounts] == [field for field, _ in result.misfits]
    expected = {lead: amounts, "⚠": result.facts[len(result.misfits) :]}
    expected = {
        words: [(sentence, way(field, place)) for field, sentence in facts if CONCERNS[place](field)]
        for words, facts in expected.items()
    }
    assert told(page) == {words: facts for words, facts in expected.items() if facts}


@pytest.mark.parametrize("place", PLACES)
def test_nothing_is_told_of_what_fits(desk, place):
    page = desk().look(place)
    assert told(page) == {} and "Not ready to cut" not in page.text


def test_the_ways_lead_to_fields(crowded):
    pages = {name: crowded.look(name) for name in ("box", "port", "cabinet", "braces", "boring", "drivers")}
    ways = [way for facts in told(crowded.look("packet")).values() for _, way in facts]
    assert len(ways) == len(crowded.result.facts)
    for each in ways:
        place, _, id = each.partition("#")
        assert id in pages[place].ids, each


def test_a_field_with_a_blank_in_its_name_is_found(desk):
    sitting = desk()
    sitting.type("boring", "add-seat:dome")
    page = sitting.type("boring", **{"cabinet.seats.dome 2.y": "330"})
    check(page)
    assert ("“dome” and “dome 2” overlap by 104.2 mm on the front.", "#cabinet.seats.dome~2.y") in told(page)[
        "⚠ Does not fit."
    ]


def test_a_centre_off_its_panel_is_refused_in_its_field(desk):
    sitting = desk()
    before = sitting.document
    page = sitting.refused("boring", **{"cabinet.seats.dome.y": "420"})
    assert "must lie on the front" in page.fields["cabinet.seats.dome.y"].says
    page = sitting.refused("port", **{"alternatives.B.box.port.x": "300"})
    assert "must lie on the back" in page.fields["alternatives.B.box.port.x"].says
    assert sitting.document == before


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer", "plan", "drivers"])
def test_a_shelf_more_runs_into_nothing(desk, name):
    sitting = desk(name)
    for _ in range(2):
        check(sitting.type("braces", "add-brace:shelf"))
        assert sitting.result.misfits == ()


def test_a_rib_that_is_clear_nowhere_stands_in_the_middle_and_says_so(desk):
    sitting = desk()
    page = sitting.type("braces", "add-brace:rib")
    assert sitting.document["cabinet"]["braces"]["rib"]["at"] == 0.09
    assert "“rib” runs 82.2 mm into the basket of “woofer”: move one of them." in page.text


def test_a_seat_more_is_clear_of_the_others(desk):
    sitting = desk()
    sitting.type("boring", "drop-seat:dome")
    sitting.type("boring", "add-seat:dome")
    assert sitting.document["cabinet"]["seats"]["dome"]["x"] is None and sitting.result.misfits == ()
    page = sitting.type("boring", "add-seat:dome")
    assert "“dome” and “dome 2” overlap by" in page.text, "there is no room for another one"


@pytest.mark.parametrize("place", ["boring", "packet"])
@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial"])
def test_other_round_holes_are_the_results(desk, name, place):
    sitting = desk(name)
    system = sitting.plain["show"], sitting.plain["fraction"]
    rows = sitting.look(place).rows("Other round holes")[1:]
    holes = sitting.result.holes
    assert len(rows) == len(holes) > 0
    for row, hole in zip(rows, holes, strict=True):
        assert row[0] == hole.name.capitalize() and row[1] == hole.panel
        assert row[2] == said(hole.diameter, "length", *system).rpartition(" ")[0]
        low, bottom, high, _ = sitting.result.cabinet.carcass.face_bounds(hole.panel)
        from_left = high - hole.x if hole.panel == "back" else hole.x - low  # a back's outside is seen turned
        assert row[3:5] == [said(each, "length", *system) for each in (from_left, hole.y - bottom)]
        assert row[5].startswith(said(hole.centre, "fine length", *system))
        assert said(hole.edge, "fine length", *system) + " to its near edge" in row[5]


def test_a_hole_as_small_as_the_bit_is_drilled_and_one_twice_as_large_has_no_near_edge(desk):
    sitting = desk()
    sitting.type("boring", **{"cabinet.holes.terminals.diameter": "6"})
    assert sitting.look("packet").rows("Other round holes")[2][5] == "the bit is as large: drill it"
    sitting.type("boring", **{"cabinet.holes.terminals.diameter": "10"})
    assert sitting.look("packet").rows("Other round holes")[2][5].startswith("1.83 mm")


def test_without_other_round_holes_there_is_no_table_of_them(desk):
    page = desk("drivers").look("boring")
    assert "Other round holes" not in page.text
