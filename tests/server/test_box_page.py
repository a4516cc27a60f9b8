"""Box: the volume, the tuning, what they do to the driver, and where to begin."""

import json
from math import sqrt

import pytest
from places import PLACES
from reading import BOXES, MADE, check, check_answers, check_looking, check_refusal, said

from calc.evaluate import band_pass_starts, closed_starts, vented_starts
from server.pages import QUESTIONS

B = "alternatives.B."


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("box")
    check(page)
    assert page.heading == QUESTIONS["box"]


@pytest.mark.parametrize("name", ["reading_room", "hall_subwoofer"])
def test_its_answer_and_its_fields_are_the_results(desk, name):
    sitting = desk(name)
    page, box = sitting.look("box"), sitting.result.box
    assert f"{box.Vb * 1e3:.1f} litre" in page.lead
    assert f"tunes it to {box.fb:.0f} Hz" in page.lead
    assert f"down to {box.cutoffs[3.0]:.0f} Hz" in page.lead
    assert f"reaches {box.port.speed:.1f} m/s" in page.lead and f"at {box.watts:.0f} watts" in page.lead
    assert float(page.fields[B + "box.Vb"].value) == pytest.approx(box.Vb * 1e3)
    assert float(page.fields[B + "box.fb"].value) == pytest.approx(box.fb)
    assert page.fields[B + "P"].note == f"{box.volts:.1f} volts into {box.group.Re:.1f} Ω"


def test_a_closed_box_tells_its_Q(desk):
    sitting = desk()
    page = sitting.type("box", chosen="A")
    box = sitting.result.box
    assert f"total Q comes to {box.Qtc:.2f}" in page.lead and f"{box.cutoffs[3.0]:.0f} Hz" in page.lead
    assert B + "box.fb" not in page.fields and "alternatives.A.box.Vb" in page.fields
    assert page.sill["Box resonance"][0] == f"{sitting.result.built.fc:.0f} Hz"


def test_without_a_driver_it_says_so_and_what_it_knows(desk):
    sitting = desk("plan")
    page, box = sitting.look("box"), sitting.result.box
    assert "unknown until driver data" in page.lead and f"{box.fb:.1f}" in page.lead
    assert "No curves yet" in page.text and not list(page.root.all("figure", class_="chart"))
    assert page.sill["Lowest note, −3 dB"] == ("unknown", "") and page.sill["Amplifier load"] == (
        "unknown",
        "",
    )
    assert "Nothing can be proposed" in page.text


def test_six_charts_each_with_its_table_and_words(desk):
    page = desk().look("box")
    charts = list(page.root.all("figure", class_="chart"))
    assert [chart.attributes["id"].removeprefix("chart-") for chart in charts] == [
        "level", "port", "travel", "impedance", "largest", "delay",
    ]  # fmt: skip
    for chart in charts:
        (plot,) = chart.all("div", class_="plot")
        assert plot.attributes["aria-label"] == chart.one("figcaption").text
        assert json.loads(plot.attributes["data-figure"])["data"]
        assert len(list(chart.all("tr"))) > 8


def test_defaults_are_shown(desk):
    sitting = desk("drivers")
    page = sitting.look("box")
    shown = {
        path: page.fields[f"alternatives.A.{path}"].value for path in ("count", "Rs", "P", "V", "box.filling")
    }
    assert shown == {"count": "1", "Rs": "0", "P": "25", "V": "", "box.filling": ""}
    assert "what the cabinet leaves" in page.fields["alternatives.A.box.Vb"].note


def test_a_changed_volume_moves_what_follows_and_the_sill_says_by_how_much(desk):
    sitting = desk()
    before = sitting.result
    page = sitting.type("box", **{B + "box.fb": "50"})
    after = sitting.result
    text, by = page.sill["Tuning"]
    assert text == f"{after.built.fb:.0f} Hz" and by == f"▲ {after.built.fb - before.built.fb:.0f} Hz higher"
    assert page.sill["Weight, each"][1] == ""
    assert f"Port length{said(after.box.port.length, 'length')}" in page.text.replace(
        "Port length ", "Port length"
    )


REFUSALS = [
    ("box.Vb", "nineteen", "cannot be read as a number"),
    ("box.Vb", "14 Hz", "this is a frequency; a volume is wanted here"),
    ("box.Vb", "-3", "cannot be less than zero"),
    ("box.fb", "0", "must be a number above zero"),
    ("box.fb", "200", "the port would be shorter than nothing"),
    ("box.fb", "", "give the tuning or the port's length"),
    ("box.QL", "0.000001", "is too small for any loudspeaker"),
    ("box.filling", "2", "must be between 1 (empty) and 1.4"),
    ("box.port.shape.diameter", "0", "must be a number above zero"),
    ("box.port.shape.diameter", "20 m", "is too large for any loudspeaker"),
    ("count", "0", "must be a whole number from 1 to 16"),
    ("count", "1.5", "must be a whole number"),
    ("wiring", "series_parallel", "must be even"),
    ("Rs", "-1", "cannot be less than zero"),
    ("P", "1e14", "is too large"),
    ("driver", "ghost", "must be one of this project's drivers"),
]


@pytest.mark.parametrize(("field", "text", "words"), REFUSALS)
def test_refusals(desk, field, text, words):
    check_refusal(desk(), "box", B + field, text, words, (B + "name", "The middle one", "The middle one"))


def test_a_choice_that_is_none_is_refused_at_the_choice(desk):
    page = desk().refused("box", chosen="Z")
    assert page.fields["chosen"].says == "must be one of the boxes that are weighed"
    assert page.fields["chosen"].value == "B"


def test_a_driver_of_which_too_little_is_known_leaves_the_box_unknown(desk):
    page = desk().type("box", **{B + "driver": "dome"})
    assert "unknown until driver data" in page.lead and "give" in page.lead


def test_answers(desk):
    check_answers(desk(), "box", B + "box.Vb", "15")


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "box")


# --- beginning


def test_starting_points_are_those_of_the_driver(desk):
    sitting = desk()
    page, result = sitting.look("box"), sitting.result
    closed, vented = closed_starts(result), vented_starts(result)[0]
    rows = page.rows(label="Starting points")[1:]
    assert len(rows) == len(closed) + len(vented) + len(band_pass_starts(result)) + 1 >= 8
    for row, start in zip(rows, (*closed, *vented), strict=False):
        assert start.name in row[0]
        assert row[1] == (said(start.Vb, "volume"))
        assert row[4].startswith("✓ " if start.suits else "✗ ") and start.reason in row[4]
        assert (row[3] == "–") if start.f3 is None else row[3].endswith("Hz")


def test_every_starting_point_can_be_weighed(desk):
    offered = [do for do in desk().look("box").buttons if do.startswith("add-")]
    assert {do.partition(":")[0] for do in offered} == {
        "add-closed", "add-vented", "add-band-pass", "add-radiators",
    }  # fmt: skip
    for do in offered:
        sitting = desk()
        page = sitting.type("box", do)
        box, result = sitting.document["alternatives"]["D"]["box"], sitting.result
        assert sitting.document["chosen"] == "D" and page.fields["chosen"].value == "D"
        kind = {"band-pass": "band_pass", "radiators": "passive_radiator"}
        verb = do[4:].partition(":")[0]
        assert box["kind"] == kind.get(verb, verb)
        assert result.box.Vb == pytest.approx(box.get("Vb") or box["Vr"] + box["Vf"])
        if box["kind"] == "closed":
            start = next(s for s in closed_starts(result) if f"{s.Qtc}" == do.partition(":")[2])
            assert result.box.fc == pytest.approx(start.fc, rel=1e-4)
        elif box["kind"] == "band_pass":
            start = next(s for s in band_pass_starts(result) if f"{s.Qtc}" == do.partition(":")[2])
            assert result.box.fb == pytest.approx(start.f0, rel=1e-3)
            assert result.box.fc == pytest.approx(result.box.fb, rel=1e-3), "both chambers at one resonance"
        elif box["kind"] == "passive_radiator":
            assert result.box.fb == pytest.approx(vented_starts(result)[0][0].fb, rel=1e-3)
            assert box["radiator"]["Sp"] == pytest.approx(result.box.group.Sd, rel=1e-3), (
                "the driver's own cone"
            )
        else:
            start = next(s for s in vented_starts(result)[0] if s.name == do.partition(":")[2])
            assert result.box.fb == pytest.approx(start.fb, rel=1e-3)
            assert (box["port"]["x"], box["port"]["y"]) == (None, 0.3), "where the other ports stand"
        assert not [do for do in page.buttons if do.startswith(("add-", "copy"))], "four at a time"
        assert "drop one below first" in page.text


MOUNTED = (
    {"count": "2"},
    {"count": "2", "chambers": "2", "box.port.count": "2"},
    {"count": "4", "compound": "yes"},
)


@pytest.mark.parametrize("how", MOUNTED, ids=["together", "apart", "behind each other"])
def test_starting_points_are_for_the_drivers_as_they_are_mounted(desk, how):
    """Drivers that share a box want as many times the air of one, pairs behind one opening half of that.

    Derived: fs and Qs stay; n drivers have n times the Vas, a pair on one opening half of it.
    """
    one, many = desk(), desk()
    many.type("box", **{B + name: text for name, text in how.items()})
    air = {"2": 2, "4": 4 / 4}[how["count"]]
    for mine, of_one in zip(closed_starts(many.result), closed_starts(one.result), strict=True):
        assert mine.Vb == pytest.approx(air * of_one.Vb)
    for do in one.look("box").buttons:
        if do.startswith("add-") and do != "add-radiators:":
            sitting = desk()
            sitting.type("box", **{B + name: text for name, text in how.items()})
            sitting.type("box", do)
            box = sitting.result.box
            assert sitting.document["alternatives"]["D"]["count"] == int(how["count"]) and box.key == "D"
            if box.kind == "closed":
                start = next(s for s in closed_starts(sitting.result) if f"{s.Qtc}" == do.partition(":")[2])
                assert box.fc == pytest.approx(start.fc, rel=1e-4)


def test_starting_points_know_what_lies_before_the_drivers(desk):
    """With a total Q nearer to that of the box, the box for it grows: Vb = Vas/((Qtc/Qts)² - 1), by hand."""
    sitting = desk()
    sitting.type("box", **{B + "Rs": "0.8"})
    v = sitting.result.drivers["woofer"].constants
    Qes = v.Qes * (v.Re + 0.8) / v.Re
    Qts = v.Qms * Qes / (v.Qms + Qes)
    flat = next(start for start in closed_starts(sitting.result) if start.Qtc == 0.707)
    assert flat.Vb == pytest.approx(v.Vas / ((sqrt(0.5) / Qts) ** 2 - 1), rel=2e-3)


SHEET = {"fs": 34, "Qms": 4.2, "Qes": 0.42, "Vas": "62 l", "Sd": 214, "Re": 5.8, "Xmax": 6, "Pe": 70}
"""A 200 mm woofer; invented."""


@pytest.mark.parametrize(
    "do", ["add-vented:quasi-third-order", "add-band-pass:0.7", "add-radiators:", "add-closed:0.707"]
)
def test_another_box_is_weighed_beside_one_that_holds_what_the_cabinet_leaves(desk, do):
    sitting = desk("drivers")
    sitting.type("drivers", **{f"drivers.woofer.{name}": str(value) for name, value in SHEET.items()})
    page = sitting.type("box", do)
    check(page)
    assert page.fields["chosen"].value == "B"
    first = sitting.result.boxes["A"]
    assert first.Vb == sitting.result.cabinet.net and not first.ports and first.fc > 34
    for place in PLACES:
        check(sitting.look(place))


def test_a_fifth_box_is_refused(desk):
    sitting = desk()
    sitting.type("box", "copy:A")
    page = sitting.refused("box", "copy:A")
    assert "four boxes can be weighed at a time" in page.text
    assert list(sitting.document["alternatives"]) == list("ABCD")


def test_a_starting_point_of_another_day_is_refused(desk):
    for do in ("add-closed:0.123", "add-vented:nothing", "add-closed:", "add-band-pass:3"):
        assert "does not belong to the driver any more" in desk().refused("box", do).text


def test_copy_and_drop(desk):
    sitting = desk()
    page = sitting.type("box", "copy:B", **{B + "name": "First"})
    each = sitting.document["alternatives"]
    assert each["D"] == each["B"] and each["B"]["name"] == "First" and page.fields["chosen"].value == "D"
    page = sitting.type("box", "drop:B")
    assert list(sitting.document["alternatives"]) == ["A", "C", "D"] and "drop:B" not in page.buttons
    assert "choose another one first" in sitting.refused("box", "drop:D").text
    sitting.type("box", "copy:A")
    assert sitting.document["alternatives"]["B"] == each["A"], "the free letter"


def test_what_a_button_was_for_may_be_gone(desk):
    page = desk().refused("box", "copy:Q")
    assert "is not there any more" in page.text


def test_a_cabinet_that_leaves_less_air_than_wanted_is_told(desk):
    sitting = desk()
    page, cabinet = sitting.look("box"), sitting.result.cabinet
    share = abs(cabinet.difference / cabinet.wanted) * 100
    assert share < 0.5 or f"{share:.1f} percent" in page.text
    page = sitting.type("box", **{B + "box.Vb": "20"})
    cabinet = sitting.result.cabinet
    assert f"{abs(cabinet.difference / 0.02) * 100:.1f} percent less" in page.text
    assert f"would tune to {sitting.result.built.fb:.1f} Hz" in page.text


# --- other kinds of box


@pytest.mark.parametrize("kind", BOXES)
def test_every_kind_of_box_has_its_page(desk, kind):
    sitting = desk(kind)
    page, box = sitting.look("box"), sitting.result.box
    check(page)
    assert f"{box.cutoffs[3.0]:.0f}" in page.lead
    assert len(list(page.root.all(class_="chart"))) >= 5


def test_radiators_are_tuned_by_a_mass_or_give_the_tuning(desk):
    sitting = desk("radiators")
    page, radiator = sitting.look("box"), sitting.result.box.radiator
    assert f"screw {said(radiator.added, 'moving mass')} to each" in page.lead
    assert f"At 25 watts each radiator of A moves {radiator.travel * 1e3:.1f}" in page.text
    sitting.type("box", "hold-mass:")
    box = sitting.document["alternatives"]["A"]["box"]
    assert box["fb"] is None and box["radiator"]["added"] == pytest.approx(radiator.added, rel=1e-3)
    heavier = sitting.type("box", **{"alternatives.A.box.radiator.added": "60 g"})
    assert sitting.result.box.fb < 44
    assert said(sitting.result.box.fb, "frequency") in heavier.text
    sitting.type("box", "hold-tuning:")
    assert sitting.document["alternatives"]["A"]["box"]["fb"] == pytest.approx(
        sitting.result.box.fb, rel=1e-3
    )


def test_radiators_that_are_too_heavy_or_half_told_are_refused_at_their_field(desk):
    path = "alternatives.A.box."
    for field, text, words in (
        ("fb", "90", "is higher than the bare radiators tune it"),
        ("radiator.Mmp", "", "give the moving mass or Vas of the radiator"),
        ("radiator.Vap", "20", "give the moving mass or Vas of the radiator"),
        ("radiator.count", "0", "must be a whole number from 1 to 8"),
        ("radiator.Sp", "0", "must be a number above zero"),
    ):
        page = desk("radiators").refused("box", **{path + field: text})
        assert words in page.text, (field, page.text)


def test_a_band_pass_is_two_chambers_and_may_be_vented_twice(desk):
    sitting = desk("band-pass")
    page, box = sitting.look("box"), sitting.result.box
    assert f"{box.cutoffs[3.0]:.0f} to {box.upper:.0f} Hz" in page.lead
    page = sitting.type("box", "rear:vent")
    assert sitting.result.box.ports["rear"].length > 0
    assert sitting.document["alternatives"]["A"]["box"]["fr"] == 35.0
    assert page.fields["alternatives.A.box.fr"].value == "35"
    sitting.type("box", "rear:close")
    assert sitting.document["alternatives"]["A"]["box"]["rear"] is None
    assert sitting.result.box.response.level == pytest.approx(box.response.level)


def test_a_pair_behind_one_opening_needs_an_even_number(desk):
    page = desk().refused("box", **{B + "compound": "yes"})
    assert "must be even in each chamber" in page.text
    sitting = desk()
    sitting.type("box", **{B + "count": "2", B + "compound": "yes"})
    assert sitting.result.box.group.Vas == pytest.approx(sitting.result.drivers["woofer"].constants.Vas / 2)
    page = desk().refused("box", **{B + "chambers": "2"})
    assert "must share the drivers out evenly" in page.text


def test_a_warm_coil_brakes_less(desk):
    sitting = desk()
    cold = sitting.result.box
    sitting.type("box", **{B + "rise": "100"})
    warm = sitting.result.box
    assert warm.group.Re == pytest.approx(cold.group.Re * 1.393)  # 0.393 % a kelvin: copper
    assert warm.response.level.max() < cold.response.level.max()
