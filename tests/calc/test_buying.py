"""What must be bought: counts and lengths by hand, sheets by their layout, sums by their prices."""

from math import isclose, pi

import pytest

from calc.errors import InputError
from calc.evaluate import evaluate
from calc.evaluate_assembly import assembly
from calc.evaluate_buying import buying
from calc.evaluate_layout import layouts
from calc.evaluate_leads import leads
from calc.evaluate_network import network
from server.documents import FieldErrors, amend, read_project
from tests.server.reading import BOXES, MADE, made


def bought(document):
    project = read_project(document)
    result = evaluate(project)
    return buying(project, result), project, result


def lines(document):
    return {line.key: line for line in bought(document)[0].lines}


@pytest.mark.parametrize("name", [*MADE[:4], *BOXES])
def test_every_line_is_of_something_and_has_a_key_of_its_own(name):
    found, project, _ = bought(made(name))
    keys = [line.key for line in found.lines]
    assert len(keys) == len(set(keys)) and all("." not in key for key in keys)
    for line in found.lines:
        assert line.one > 0 and line.one <= line.all <= project.speakers * line.one
        assert line.price is None and line.cost is None
    assert found.unpriced == len(found.lines) and found.one == found.all == 0
    priced, *_ = bought(amend(made(name), {"prices": dict.fromkeys(keys, 1.0)}))
    assert priced.unpriced == 0, "each may be given a price"


def test_the_reading_room_pair_by_hand():
    """Two drivers, 6 and 4 screws; a tube of the length on the Port page; tape midway under each flange."""
    document = made("reading_room")
    found, project, result = bought(document)
    by_key = {line.key: line for line in found.lines}
    frames = [project.drivers[name].frame for name in ("woofer", "dome")]
    assert by_key["screws"].sizes[1] == (pytest.approx(0.0153), "length", "long at most"), (
        "see the drill list"
    )
    assert by_key["screws"].one == sum(frame.screws for frame in frames) == 10 and by_key["screws"].all == 20
    tube = by_key["tube port"]
    assert (tube.one, tube.all) == (1, 2)
    assert [size[0] for size in tube.sizes] == [
        project.alternatives[project.chosen].box.port.shape.diameter, result.built.port.length,
    ]  # fmt: skip
    clearance = project.workshop.flange_clearance
    tape = sum(pi * (frame.cutout + frame.flange + clearance) / 2 for frame in frames)
    assert isclose(by_key["gasket"].all, 2 * tape, rel_tol=1e-9)
    assert by_key["glue"].all == pytest.approx(2 * assembly(project, result).glue)
    assert {key for key in by_key if key.startswith(("driver", "hole"))} == {
        "driver woofer", "driver dome", "hole terminals",
    }  # fmt: skip


def test_sheets_are_whole_and_one_speaker_may_need_as_many_as_two():
    document = made("reading_room")
    ply = lines(document)["sheet ply"]
    assert (ply.one, ply.all) == (1, 1)
    handy = amend(document, {"workshop.sheets.ply.length": 1.0, "workshop.sheets.ply.width": 0.9})
    small, (_, _, result) = lines(handy), bought(handy)
    area = sum(row.count * row.length * row.width for row in result.cut_list)
    assert small["sheet ply"].all >= area / 0.9 and small["sheet ply"].one < small["sheet ply"].all


def test_one_speaker_needs_half_of_a_pair():
    document = made("reading_room")
    pair, single = lines(document), lines(amend(document, {"speakers": 1}))
    for key, line in single.items():
        assert line.one == line.all
        if not key.startswith("sheet"):
            assert line.one == pytest.approx(pair[key].one) and pair[key].all == pytest.approx(2 * line.all)


def test_the_sum_is_that_of_the_priced_lines():
    prices = {"sheet ply": 89.0, "driver woofer": 60.5, "glue": 12.0}
    document = amend(made("reading_room"), {"prices": prices})
    found, project, result = bought(document)
    glue = assembly(project, result).glue
    assert found.all == pytest.approx(89.0 + 2 * 60.5 + 2 * glue * 12.0)
    assert found.one == pytest.approx(89.0 + 60.5 + glue * 12.0)
    assert found.unpriced == len(found.lines) - 3


def test_a_price_of_what_is_bought_no_more_counts_for_nothing():
    found, *_ = bought(amend(made("reading_room"), {"prices": {"cloth": 9.0, "rod 1": None}}))
    assert found.all == 0


@pytest.mark.parametrize("price", [-1.0, 2e6])
def test_a_price_is_no_debt_and_no_fortune(price):
    with pytest.raises((FieldErrors, InputError)) as refusal:
        read_project(amend(made("reading_room"), {"prices": {"glue": price}}))
    assert refusal.value.by_field["prices.glue"].startswith("must be a price")


def test_equal_crossover_parts_are_one_line():
    parts = {
        "L1": {"kind": "coil", "start": "in", "end": "a", "inductance": 1e-3, "Rdc": 0.3},
        "C1": {"kind": "capacitor", "start": "a", "end": "0", "capacitance": 6.8e-6},
        "C2": {"kind": "capacitor", "start": "in", "end": "b", "capacitance": 6.8e-6},
        "R1": {"kind": "resistor", "start": "b", "end": "c", "resistance": 2.2},
        "woofer": {"kind": "driver", "start": "a", "end": "0", "driver": "woofer"},
        "dome": {"kind": "driver", "start": "c", "end": "0", "driver": "dome"},
    }
    found = lines(amend(made("reading_room"), {"network": {"parts": parts}}))
    crossover = {line.words: line for line in found.values() if line.group == "Crossover"}
    counts = {words: line.one for words, line in crossover.items()}
    assert counts == {"Coil": 1, "Capacitor": 2, "Resistor": 1}
    assert crossover["Capacitor"].sizes[0][:2] == (6.8e-6, "capacitance")


ROD = {"kind": "dowel", "at": 0.1, "also_at": 0.12, "width": 0.02, "sheet": "ply"}


def test_rods_grille_and_feet():
    edits = {
        "cabinet.braces": {"rod": ROD},
        "cabinet.feet": {"count": 4},
        "cabinet.grille": {"sheet": "ply"},
    }
    found = lines(amend(made("reading_room"), edits))
    _, project, result = bought(amend(made("reading_room"), edits))
    assert found["rod 20000"].one == pytest.approx(result.cabinet.braces["rod"].length)
    assert found["feet"].all == 8
    assert found["magnets"].one == 2 * len(result.cabinet.grille.holes)
    assert [size[0] for size in found["cloth"].sizes] == list(result.cabinet.grille.cloth)


def test_fibres_are_weighed_out():
    """A tenth of the air at 20 kg/m³, as the box is lined; on the walls it covers what it is thick there."""
    document = made("reading_room")
    place = f"alternatives.{document['chosen']}.box.lining"
    lined = {"material": "wool", "share": 0.1, "density": 20.0, "place": "walls"}
    found, project, result = bought(amend(document, {place: lined}))
    lining = next(line for line in found.lines if line.key == "lining")
    assert lining.one == pytest.approx(0.1 * 20.0 * result.cabinet.net) and "sheep's wool" in lining.words
    area, thickness = assembly(project, result).lining
    assert area * thickness == pytest.approx(0.1 * result.cabinet.net)


def test_parts_of_sheets_are_bought_as_whole_sheets():
    """Broken down to halves, four halves that are cut are two sheets that are bought."""
    document = amend(
        made("reading_room"),
        {"workshop.sheets.ply.length": 1.3, "workshop.sheets.ply.width": 0.7, "workshop.most_length": 0.7},
    )
    _, project, result = bought(document)
    parts = layouts(project, result.cut_list)["ply"]
    assert parts.broken.parts == 2 and len(parts.laid) == parts.used
    assert lines(document)["sheet ply"].all == parts.bought == -(-parts.used // 2)


def test_screws_are_those_of_the_drill_list():
    """A plate of 4, a back of 10 that comes off, 4 feet; the back's are 50 mm long: see test_drilling."""
    edits = {
        "cabinet.holes.terminals.rim": 0.012, "cabinet.holes.terminals.screws": 4,
        "cabinet.feet": {"count": 4}, "cabinet.lid": {"panel": "back", "screws": 10},
        "workshop.screw_length": 0.015,
    }  # fmt: skip
    found = lines(amend(made("reading_room"), edits))
    kinds = {"screws": 10, "plate screws": 4, "lid screws": 10, "feet screws": 4}
    assert {key: found[key].one for key in kinds} == kinds
    long = {key: found[key].sizes[1][0] for key in kinds}
    assert long == {
        "screws": 0.015,
        "plate screws": 0.015,
        "lid screws": pytest.approx(0.05),
        "feet screws": 0.015,
    }


def test_the_drawer_gives_its_parts_and_its_prices():
    """By hand: the pair wants two capacitors of 5.6 µF; one is in the drawer, and others cost 3.20."""
    document, capacitor = made("reading_room"), {"kind": "capacitor", "value": 5.6e-6}
    key = "capacitor 5-6e-06"
    assert (lines(document)[key].all, lines(document)[key].price) == (2, None)
    some = lines(amend(document, {"drawer": [capacitor, {**capacitor, "price": 3.2}]}))[key]
    assert (some.one, some.all, some.owned, some.cost) == (0, 1, 1, (0.0, 3.2))
    typed = lines(amend(document, {"drawer": [{**capacitor, "price": 3.2}], "prices": {key: 4.0}}))[key]
    assert typed.cost == (4.0, 8.0), "what is typed on the page stands before the drawer"
    found, *_ = bought(amend(document, {"drawer": [capacitor, capacitor]}))
    assert [line.key for line in found.drawer] == [key] and key not in {line.key for line in found.lines}


def test_wire_board_ties_and_sockets_are_those_of_the_wiring():
    """Second route: the wires' own sum, two for each pair; two ties for each of seven parts, four tags."""
    document = made("reading_room")
    found, project, result = bought(document)
    wires = [line for line in found.lines if line.key.startswith("wire")]
    total = leads(project, result, network(project, result).least.Z).total
    assert sum(line.one for line in wires) == pytest.approx(total) and total > 1
    by_key = {line.key: line for line in found.lines}
    assert (by_key["ties"].one, by_key["sockets"].one, by_key["board"].all) == (14, 4, 2)
    soldered = lines(amend(document, {"network.leads.joint": "solder", "network.leads.cable": 4.0}))
    assert "sockets" not in soldered
    (cable,) = [line for key, line in soldered.items() if key.startswith("cable")]
    assert cable.one >= 4.0 and cable.unit == "length"
