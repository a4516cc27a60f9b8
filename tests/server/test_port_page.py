"""Port: how long, how fast its air, and whether it has room."""

from math import pi, sqrt

import pytest
from reading import BOXES, MADE, check, check_answers, check_looking, check_refusal, said

from calc.evaluate_port_detail import port_detail
from calc.sound.port import CAUTIOUS_SPEED, OLDER_SPEED
from server.documents import read_project
from server.pages import QUESTIONS

BOX = "alternatives.B.box."


@pytest.mark.parametrize("name", [*MADE, *BOXES])
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
    assert f"{said(box.port.area, 'area')}" in page.text and length(box.port.effective_length) in page.text


def detail_of(sitting):
    return port_detail(read_project(sitting.document), sitting.result)


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer imperial", "two ports"])
def test_lengths_for_other_tunings_are_those_of_the_calculation(desk, name):
    sitting = desk(name)
    page, cutting = sitting.look("port"), detail_of(sitting).cutting
    show, fraction = sitting.plain["show"], sitting.plain["fraction"]
    rows = page.rows(label="Lengths for other tunings")[1:]
    assert rows == [
        [f"{fb:.1f} Hz", "none does" if length is None else said(length, "length", show, fraction)]
        for fb, length in cutting.lengths
    ]
    both = "both" if name == "two ports" else "it"
    assert f"Leave {both} {said(cutting.leave, 'length', show, fraction)} long at first" in page.text


def test_speed_and_loss_against_power(desk):
    sitting = desk()
    page, blowing = sitting.look("port"), detail_of(sitting).blowing
    watts = {name: f"{P:.2g}" if P < 10 else f"{P:.0f}" for name, P in blowing.power_at.items()}
    words = (
        f"comes to {CAUTIOUS_SPEED.value:.0f} m/s at {watts['cautious']} watts, "
        f"to {OLDER_SPEED.value:.0f} at {watts['older']} watts"
    )
    assert words in page.text
    assert f"costs {blowing.now[1]:.1f} dB of its lowest notes" in page.lead
    assert f"{100 * blowing.mach:.1f} %" in page.text and f"{blowing.boundary:.0f}, smooth" in page.text
    assert "protected" in page.text, "loud tones come with their caution"


def test_the_crossover_tells_whether_the_pipe_is_hidden(desk):
    sitting = desk()
    page = sitting.look("port")
    assert "Where the crossover lies is not known" in page.text
    low_pass = "alternatives.B.low_pass"
    assert low_pass + ".order" not in page.fields
    page = sitting.type("port", **{low_pass + ".f": "90"})
    page = sitting.type("port", **{low_pass + ".order": "4"})
    assert sitting.document["alternatives"]["B"]["low_pass"] == {"f": 90, "order": 4}
    found = detail_of(sitting).pipes.resonances
    assert found and all(each.hidden for each in found)
    assert "but the crossover leaves it" in page.text and "dB under the woofer" in page.text
    page = sitting.type("port", **{low_pass + ".f": "3 kHz"})
    assert not detail_of(sitting).pipes.resonances[0].hidden and "lower or steeper crossover" in page.text
    sitting.type("port", "forget:crossover")
    assert sitting.document["alternatives"]["B"]["low_pass"] is None


def test_a_rounded_end_brings_its_radius_and_makes_the_port_longer(desk):
    """A rounded end moves less air, so that the tube itself has to hold more."""
    sitting = desk()
    before = sitting.result.box.port
    page = sitting.type("port", **{BOX + "port.outer": "flared"})
    port = sitting.document["alternatives"]["B"]["box"]["port"]
    assert (port["outer"], port["flare"]) == ("flared", pytest.approx(0.014))
    assert sitting.result.box.port.length > before.length
    assert page.fields[BOX + "port.outer"].value == "flared" and "rounded" in page.text
    sitting.type("port", **{BOX + "port.flare": "20"})
    assert detail_of(sitting).ends[0][3] < 0.0165
    page = sitting.refused("port", **{BOX + "port.flare": ""})
    assert "with what radius" in page.fields[BOX + "port.flare"].says


def test_a_port_is_longer_than_its_rounded_ends(desk):
    sitting = desk()
    sitting.type("port", "hold:length")
    sitting.type("port", **{BOX + "port.outer": "flared", BOX + "port.inner": "flared"})
    page = sitting.refused("port", **{BOX + "port.length": "20"})
    assert "longer than its rounded ends" in page.fields[BOX + "port.length"].says
    sitting.type("port", **{BOX + "port.length": "30"})
    page = sitting.refused("port", **{BOX + "port.flare": "40"})
    assert page.fields[BOX + "port.flare"].wrong, "where it was typed"


def test_an_elbow_lets_a_long_port_fit(desk):
    sitting = desk()
    page = sitting.type("port", **{BOX + "fb": "36"})
    assert "does not fit" in page.lead
    page = sitting.type("port", **{BOX + "port.bends": "1"})
    assert "does not fit" not in page.lead and "elbows, which air cuts short" in page.text


def test_a_second_size_comes_and_goes(desk):
    sitting = desk()
    first = sitting.result.box.port
    page = sitting.type("port", "other:add")
    check(page)
    box = sitting.document["alternatives"]["B"]["box"]
    assert box["other"]["shape"] == {"kind": "round", "diameter": 0.028} and box["other"]["length"] is None
    assert sitting.result.box.port.length > first.length, "more area, tuned alike"
    ports, (share, _) = sitting.result.box.ports, detail_of(sitting).shares["other"]
    assert f"carries {100 * share:.0f} % of the air" in page.text
    assert f"at up to {said(ports['other'].speed, 'speed')}" in page.text
    page = sitting.type("port", **{BOX + "other.length": "90"})
    assert sitting.result.box.ports["other"].length == 0.09
    assert page.fields[BOX + "other.length"].value == "90"
    sitting.type("port", "shape:slot other")
    assert sitting.document["alternatives"]["B"]["box"]["other"]["shape"]["kind"] == "slot"
    sitting.type("port", "other:add")
    assert sitting.document["alternatives"]["B"]["box"]["other"]["length"] == 0.09, (
        "pressed twice, added once"
    )
    page = sitting.type("port", "other:remove")
    assert sitting.document["alternatives"]["B"]["box"]["other"] is None
    assert BOX + "other.count" not in page.fields
    assert "not there any more" in sitting.refused("port", "shape:slot other").text


def test_it_is_put_where_there_is_most_room(desk):
    sitting = desk()
    page = sitting.look("port")
    best = detail_of(sitting).rooms["back"].best
    assert f"most room {said(best[0], 'length')} from the left and {said(best[1], 'length')} up" in page.text
    assert "Through the front it finds no room" in page.text
    sitting.type("port", "place:back")
    port = sitting.document["alternatives"]["B"]["box"]["port"]
    assert (port["panel"], port["x"], port["y"]) == (
        "back", pytest.approx(best[0], abs=5e-5), pytest.approx(best[1], abs=5e-5),
    )  # fmt: skip
    assert "has no room on the front" in sitting.refused("port", "place:front").text
    assert "has no room on the roof" in sitting.refused("port", "place:roof").text


def test_passive_radiators_have_no_port(desk):
    sitting = desk("radiators")
    page = sitting.look("port")
    assert "tuned by cones without motors" in page.lead
    for do in ("vent", "hold:length", "other:add", "place:back"):
        before = sitting.document
        sitting.refused("port", do)
        assert sitting.document == before


def test_of_a_band_pass_the_model_tells_no_level_of_the_pipe(desk):
    page = desk("band-pass").look("port")
    assert "this model can’t tell" in page.text
    assert not list(page.root.all("figure", id="chart-pipe"))


def test_a_closed_box_has_none_and_can_be_opened(desk):
    sitting = desk()
    sitting.type("box", chosen="A")
    closed = sitting.document["alternatives"]["A"]["box"]
    page = sitting.look("port")
    assert "Box A is closed" in page.lead and not page.fields
    page = sitting.type("port", "vent")
    check(page)
    box = sitting.document["alternatives"]["A"]["box"]
    assert (box["kind"], box["fb"]) == ("vented", 38.0)
    assert all(box[name] == closed[name] for name in ("Vb", "QL", "QA", "filling", "lining"))
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
    ("port.bends", "9", "must be a whole number from 0 to 4"),
    ("port.flare", "-2", "cannot be less than zero"),
    ("port.outer", "square", "must be flanged, free or flared"),
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


def test_its_answer_tells_the_air_in_ports_of_both_sizes(desk):
    sitting = desk("two ports")
    ports = sitting.result.box.ports
    lead = sitting.look("port").lead.replace("\N{NO-BREAK SPACE}", " ")
    assert ports["other"].speed > ports["port"].speed, "the smaller one blows faster"
    assert f"in the other size at {said(ports['other'].speed, 'speed')}" in lead
