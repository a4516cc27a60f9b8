"""Port: how long, how fast its air, and whether it has room."""

from math import pi, sqrt

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal, said

from server.pages import QUESTIONS

BOX = "alternatives.B.box."


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("port")
    check(page)
    assert page.heading == QUESTIONS["port"]


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer", "reading_room imperial"])
def test_its_answer_and_its_tables_are_the_results(desk, name):
    sitting = desk(name)
    page, box = sitting.look("port"), sitting.result.box
    show, fraction = sitting.plain["show"], sitting.plain["fraction"]

    def length(value):
        return said(value, "length", show, fraction)

    assert f"It comes to {length(box.port.length)}" in page.lead
    assert f"At {box.watts:.0f} watts its air peaks at {said(box.port.speed, 'speed', show)}" in page.lead
    trims = page.rows(label="Trimming")[1:]
    assert [row[0] for row in trims] == [length(box.port.length + by) for by, _ in box.port.trims]
    for row, (_, change) in zip(trims, box.port.trims, strict=True):
        assert float(row[1].removesuffix(" Hz")) == pytest.approx(box.fb + change, abs=0.051)
        assert float(row[2].removesuffix(" Hz").replace("−", "-")) == pytest.approx(change, abs=0.051)
    assert f"sounds first at {box.port.pipe_resonance:.0f} Hz" in page.text
    assert f"{said(box.port.area, 'area')}" in page.text and length(box.port.effective_length) in page.text


def test_a_closed_box_has_none_and_can_be_opened(desk):
    sitting = desk()
    sitting.type("box", chosen="A")
    page = sitting.look("port")
    assert "Box A is closed" in page.lead and not page.fields
    page = sitting.type("port", "vent")
    check(page)
    box = sitting.document["alternatives"]["A"]["box"]
    assert (box["kind"], box["fb"], box["Vb"], box["QL"]) == ("vented", 38.0, 0.009, 10.0)
    assert sitting.result.box.port.length > 0 and "alternatives.A.box.fb" in page.fields
    sitting.send("port", "vent")
    assert sitting.document["alternatives"]["A"]["box"] == box, "pressed twice, opened once"


def test_without_a_driver_the_length_is_known_and_the_noise_is_not(desk):
    page = desk("plan").look("port")
    assert "It comes to 150 mm" in page.lead and "Its noise is unknown until driver data" in page.lead
    assert not list(page.root.all("figure", id="chart-port"))


def test_holding_the_length_lets_the_tuning_follow_and_back(desk):
    sitting = desk()
    before = sitting.result.box
    page = sitting.type("port", "hold:length")
    box = sitting.document["alternatives"]["B"]["box"]
    assert box["fb"] is None and box["port"]["length"] == pytest.approx(before.port.length, abs=5e-5)
    assert sitting.result.box.fb == pytest.approx(46.0, abs=0.02)
    assert BOX + "fb" not in page.fields and BOX + "port.length" in page.fields
    sitting.type("port", **{BOX + "port.length": "150"})
    ratio = sqrt((before.port.effective_length) / (before.port.effective_length - before.port.length + 0.15))
    assert sitting.result.box.fb == pytest.approx(46 * ratio, abs=0.01)
    page = sitting.type("port", "hold:tuning")
    box = sitting.document["alternatives"]["B"]["box"]
    assert box["port"]["length"] is None and box["fb"] == pytest.approx(46 * ratio, abs=0.051)
    assert BOX + "fb" in page.fields


def test_a_slot_of_the_same_area_and_back(desk):
    sitting = desk()
    page = sitting.type("port", "shape:slot")
    shape = sitting.document["alternatives"]["B"]["box"]["port"]["shape"]
    assert shape["kind"] == "slot" and shape["width"] * shape["height"] == pytest.approx(
        pi * 0.028**2, rel=0.03
    )
    assert page.fields[BOX + "port.shape.width"].value == f"{shape['width'] * 1e3:.1f}"
    assert page.fields[BOX + "port.shape.along_wall"].value == ""
    before = sitting.result.box.port.length
    page = sitting.type("port", **{BOX + "port.shape.along_wall": "yes"})
    assert page.fields[BOX + "port.shape.along_wall"].value == "yes"
    assert sitting.result.box.port.length < before, "the wall's mirror image makes it seem longer"
    sitting.type("port", "shape:round")
    shape = sitting.document["alternatives"]["B"]["box"]["port"]["shape"]
    assert shape == {"kind": "round", "diameter": pytest.approx(0.056, abs=0.001)}


@pytest.mark.parametrize("do", ["hold:length", "hold:tuning", "shape:slot", "shape:round"])
def test_a_button_for_a_port_that_is_gone_is_refused(desk, do):
    sitting = desk()
    sitting.type("box", chosen="A")
    before = sitting.document
    assert "a closed box has no port" in sitting.refused("port", do).text
    assert sitting.document == before


def test_a_port_that_does_not_fit_is_told_with_what_helps(desk):
    sitting = desk()
    page = sitting.type("port", **{BOX + "fb": "36"})
    port = sitting.result.box.port
    words = f"does not fit, it needs {said(port.inside_length, 'length')} inside a box 250 mm deep"
    assert words in page.lead and "an elbow" in page.text and "passive radiator" in page.text
    page = sitting.type("port", **{BOX + "fb": "44"})
    port = sitting.result.box.port
    assert f"its inner end stands only {said(port.clearance, 'length')} from the wall" in page.lead
    page = sitting.type("port", **{BOX + "fb": "60"})
    assert "⚠" not in page.text and "does not fit" not in page.lead


REFUSALS = [
    ("fb", "letters", "cannot be read as a number"),
    ("fb", "1 m", "this is a length; a frequency is wanted here"),
    ("fb", "300", "shorter than nothing"),
    ("fb", "", "give the tuning or the port's length"),
    ("port.count", "17", "must be a whole number from 1 to 16"),
    ("port.count", "1/2", "must be a whole number"),
    ("port.shape.diameter", "56 litre", "this is a volume"),
    ("port.shape.diameter", "-5", "cannot be less than zero"),
    ("port.wall", "3 m", "must be zero or a number above it"),
    ("port.panel", "roof", "must be front or back"),
]


@pytest.mark.parametrize(("field", "text", "words"), REFUSALS)
def test_refusals(desk, field, text, words):
    check_refusal(desk(), "port", BOX + field, text, words, (BOX + "port.y", "290", 0.29))


def test_two_good_edits_that_need_each_other_are_kept_beside_a_bad_one(desk):
    """Twice the tuning needs more area: alone it is refused, after the larger tube it is not."""
    sitting = desk()
    typed = {BOX + "fb": "95", BOX + "port.shape.diameter": "80", BOX + "port.count": "99"}
    page = sitting.refused("port", **typed)
    box = sitting.document["alternatives"]["B"]["box"]
    assert (box["fb"], box["port"]["shape"]["diameter"], box["port"]["count"]) == (95, 0.08, 1)
    assert [name for name, field in page.fields.items() if field.wrong] == [BOX + "port.count"]


def test_answers(desk):
    check_answers(desk(), "port", BOX + "port.shape.diameter", "60")


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "port")
