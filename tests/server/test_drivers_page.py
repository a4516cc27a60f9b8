"""Drivers: what their sheets say, what follows, and where they contradict themselves."""

import numpy as np
import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal

from calc.sound import voice_coil
from server.pages import QUESTIONS

WOOFER = "drivers.woofer."


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("drivers")
    check(page)
    assert page.heading == QUESTIONS["drivers"]


def test_what_the_sheet_says_stands_in_its_fields_and_what_follows_under_them(desk):
    sitting = desk()
    page, known = sitting.look("drivers"), sitting.result.drivers["woofer"]
    given = {
        "fs": "38",
        "Qms": "4.2",
        "Vas": "26.0",
        "Sd": "133",
        "Re": "5.6",
        "Le": "0.4",
        "Xmax": "5.5",
        "Pe": "60",
    }
    assert {symbol: page.fields[WOOFER + symbol].value for symbol in given} == given
    derived = {"Qts": "0.369", "Mms": "g", "Cms": "mm/N", "Rms": "N s/m", "Bl": "T m"}
    for symbol, words in derived.items():
        field = page.fields[WOOFER + symbol]
        assert field.value == "" and field.note.startswith("= ") and words in field.note
    assert page.fields[WOOFER + "Qts"].note == "= 0.369 from Qms, Qes"
    assert f"{known.constants.Bl:.2f}" in page.fields[WOOFER + "Bl"].note
    assert f"{known.level_2v83:.0f} dB" in page.lead and f"{known.constants.Qts:.2f}" in page.lead
    for shown in (f"{known.eta0 * 100:.2f} %", f"{known.level_1w:.1f} dB", f"{known.EBP:.0f} Hz", "73 cm³"):
        assert shown in page.text, shown


def test_frame_sizes_stand_on_the_drawing_in_either_system(desk):
    metric, imperial = desk().look("drivers"), desk("reading_room imperial").look("drivers")
    path = WOOFER + "frame.flange"
    assert (metric.fields[path].value, metric.fields[path].note) == (
        "166",
        "6 17/32\xa0in".replace("\xa0", " "),
    )
    assert (imperial.fields[path].value, imperial.fields[path].note) == ("6 17/32", "166 mm")
    assert imperial.fields[WOOFER + "Vas"].value == "0.918"


def test_defaults_stand_where_the_sheet_is_silent(desk):
    page = desk("drivers").look("drivers")
    assert page.fields[WOOFER + "sheet_T"].value == "20" and page.fields[WOOFER + "sheet_p"].value == "1013"
    assert (
        page.fields[WOOFER + "kind"].value == "woofer" and page.fields[WOOFER + "frame.screws"].value == "0"
    )
    assert page.fields[WOOFER + "fs"].value == ""


def test_a_sheet_typed_in_the_ways_people_write_is_kept_in_si(desk):
    sitting = desk("plan")
    typed = {
        "fs": "45 Hz",
        "Qms": "5",
        "Qes": "0,5",
        "Vas": "20 l",
        "Sd": "133 cm2",
        "Re": "6R0",
        "Le": "470u",
    }
    page = sitting.type("drivers", **{WOOFER + symbol: text for symbol, text in typed.items()})
    kept = sitting.document["drivers"]["woofer"]
    assert {symbol: kept[symbol] for symbol in typed} == pytest.approx(
        {"fs": 45, "Qms": 5, "Qes": 0.5, "Vas": 0.02, "Sd": 0.0133, "Re": 6, "Le": 0.00047}
    )
    assert "agrees with itself" in page.lead
    assert page.sill["Lowest note, −3 dB"][0].endswith("Hz")


def test_what_is_missing_is_asked_for(desk):
    sitting = desk("plan")
    assert "give fs and Qms and Qes and Vas and Sd and Re" in sitting.look("drivers").lead
    typed = {"fs": "45", "Qms": "5", "Qes": "0.5", "Vas": "20", "Sd": "133"}
    page = sitting.type("drivers", **{WOOFER + symbol: text for symbol, text in typed.items()})
    assert "Not enough yet" in page.lead and "give Re" in page.lead


def test_a_sheet_that_contradicts_itself_is_told_with_both_numbers(desk):
    page = desk().type("drivers", **{WOOFER + "Qts": "0.45"})
    assert "contradicts itself" in page.lead
    assert "Qts disagrees. The sheet says 0.45; its Qms, Qes make it 0.369, 18 percent less" in page.text


REFUSALS = [
    ("fs", "nineteen", "cannot be read as a number"),
    ("fs", "-1", "cannot be less than zero"),
    ("fs", "0", "must be a number above zero"),
    ("Sd", "133 litre", "this is a volume; an area is wanted here"),
    ("Vas", "1,234", "can be read as 1234 or as 1.234"),
    ("Pe", "1e9", "is too large for any loudspeaker"),
    ("frame.flange", "100", "must be smaller than the flange"),
    ("frame.flange_thickness", "40", "must be thinner than the panel"),
    ("frame.screws", "2.5", "must be a whole number"),
    ("sheet_T", "200", "must be a room temperature"),
    ("Le2", "0.3", "is needed beside the other of the pair"),
    ("K", "0.02", "is needed beside the other of the pair"),
    ("n", "0.7", "is needed beside the other of the pair"),
    ("kind", "trumpet", "must be woofer, midrange or tweeter"),
]


@pytest.mark.parametrize(("symbol", "text", "words"), REFUSALS)
def test_refusals(desk, symbol, text, words):
    check_refusal(desk(), "drivers", WOOFER + symbol, text, words, ("drivers.dome.fs", "800", 800.0))


def test_several_refusals_stand_each_at_its_field(desk):
    page = desk().refused("drivers", **{WOOFER + "fs": "x", WOOFER + "Re": "-2", "drivers.dome.Z": "y"})
    assert "3 values need another look" in page.alert
    wrong = {name: field.value for name, field in page.fields.items() if field.wrong}
    assert wrong == {WOOFER + "fs": "x", WOOFER + "Re": "-2", "drivers.dome.Z": "y"}


def test_answers(desk):
    check_answers(desk(), "drivers", WOOFER + "fs", "39")


def test_looking(desk, stranger):
    check_looking(stranger(desk()), "drivers")


@pytest.mark.parametrize("kind", ["woofer", "midrange", "tweeter"])
def test_a_driver_more(desk, kind):
    sitting = desk("hall_subwoofer")
    page = sitting.type("drivers", f"add:{kind}")
    added = set(sitting.document["drivers"]) - {"woofer"}
    (name,) = added
    assert sitting.document["drivers"][name]["kind"] == kind
    assert f"drivers.{name}.fs" in page.fields and f"drop:{name}" in page.buttons
    sitting.type("drivers", f"add:{kind}")
    assert len(sitting.document["drivers"]) == 3


def test_a_driver_less_takes_its_seat_along(desk):
    sitting = desk()
    sitting.type("drivers", "drop:dome")
    assert set(sitting.document["drivers"]) == {"woofer"} == set(sitting.document["cabinet"]["seats"])
    assert "drop:woofer" not in sitting.look("drivers").buttons, "the last one stays"


def test_the_driver_of_a_box_stays_and_what_was_typed_beside_is_kept(desk):
    sitting = desk()
    page = sitting.refused("drivers", "drop:woofer", **{"drivers.dome.fs": "900"})
    assert "a box is reckoned with this driver" in page.text
    assert "woofer" in sitting.document["drivers"] and sitting.document["drivers"]["dome"]["fs"] == 900


# --- the coil ---


def test_a_semi_inductance_is_kept_and_told(desk):
    """K (j w)^n beside Le 0.4 mH and Re 5.6 ohm, at 1 kHz; by hand."""
    sitting = desk()
    page = sitting.type("drivers", **{WOOFER + "K": "0.01", WOOFER + "n": "0.7"})
    check(page)
    assert (page.fields[WOOFER + "K"].value, page.fields[WOOFER + "n"].value) == ("0.01", "0.7")
    omega = 2 * np.pi * 1000
    Z = abs(5.6 + 1j * omega * 0.4e-3 + 0.01 * (1j * omega) ** 0.7)
    told = page.says("coil-woofer")
    assert f"{Z:.1f} Ω at 1 kHz" in told and f"{20 * np.log10(Z / 5.6):.1f} dB less" in told
    (name,) = [each.attributes["aria-label"] for each in page.root.one(id="coil-woofer").all(role="group")]
    rows = [[cell.replace("\xa0", " ") for cell in row] for row in page.rows(label=name)]
    assert ["1000 Hz", f"{Z:.1f} Ω", f"{20 * np.log10(Z / 5.6):.1f} dB"] in rows
    assert sitting.result.drivers["woofer"].constants.K == 0.01


def test_an_exponent_that_no_coil_has_is_refused(desk):
    page = desk().refused("drivers", **{WOOFER + "K": "0.01", WOOFER + "n": "1.2"})
    assert "must be from 0.5" in page.fields[WOOFER + "n"].says
    assert "open" in page.root.one(id="coil-woofer").attributes


READ = "reading.woofer."


def points(f1, f2, K=0.012, n=0.68):
    """Two readings of the demo's woofer in free air, fs 38 Hz, Qms 4.2, Qes 0.405, Re 5.6 ohm."""
    f = np.array([f1, f2])
    motion = 5.6 / 0.405 / (1 / 4.2 + 1j * (f / 38 - 38 / f))
    Z = abs(5.6 + motion + voice_coil.semi_inductance(f, K, n))
    return dict(
        zip((READ + "f1", READ + "Z1", READ + "f2", READ + "Z2"), map(str, (f1, Z[0], f2, Z[1])), strict=True)
    )


def test_two_points_of_a_curve_give_the_coil(desk):
    sitting = desk()
    page = sitting.type("drivers", "fit:woofer", **points(1000, 9000))
    kept = sitting.plain["drivers"]["woofer"]
    assert (kept["K"], kept["n"]) == (pytest.approx(0.012, rel=1e-6), pytest.approx(0.68, rel=1e-6))
    assert kept["Le"] is kept["Le2"] is kept["Re2"] is None, "the fit holds the whole coil"
    assert page.fields[WOOFER + "n"].value == "0.68" and page.fields[READ + "f1"].value == ""
    assert f"{abs(5.6 + voice_coil.semi_inductance(1000.0, 0.012, 0.68)):.1f} Ω" in page.says("coil-woofer")


def test_points_are_kept_in_their_fields_until_the_button_is_pressed(desk):
    sitting = desk()
    before = sitting.plain
    page = sitting.type("drivers", **{READ + "f1": "1 kHz", READ + "Z1": "8,2"})
    assert page.fields[READ + "f1"].value == "1 kHz" and page.fields[READ + "Z1"].value == "8,2"
    assert sitting.plain == before and "open" in page.root.one(id="coil-woofer").attributes


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"Z2": ""}, "Z2", "is needed"),
        ({"Z1": "loud"}, "Z1", "cannot be read as a number"),
        ({"f1": "3 l"}, "f1", "this is a volume; a frequency is wanted here"),
        ({"f2": "500"}, "f2", "must lie well above the first"),
        ({"Z1": "4"}, "Z1", "must be above what the coil has"),
        ({"Z2": "400"}, "Z2", "climbs more from the first than a pure inductance"),
    ],
)
def test_points_that_no_coil_gives_are_refused_at_their_field(desk, change, field, words):
    sitting = desk()
    before = sitting.plain
    typed = points(1000, 9000) | {READ + symbol: text for symbol, text in change.items()}
    page = sitting.refused("drivers", "fit:woofer", **typed)
    check(page)
    assert words in page.fields[READ + field].says and page.fields[READ + field].value == typed[READ + field]
    assert sitting.plain == before
    assert "open" in page.root.one(id="coil-woofer").attributes


def test_without_the_coils_resistance_nothing_is_fitted(desk):
    sitting = desk("plan")
    page = sitting.refused("drivers", "fit:woofer", **points(1000, 9000))
    assert "is needed to fit the coil" in page.fields[WOOFER + "Re"].says
    page = sitting.type("drivers", "fit:woofer", **points(1000, 9000), **{WOOFER + "Re": "5.6"})
    assert 0.5 < sitting.plain["drivers"]["woofer"]["n"] < 1, "fitted although the motion is not known"


def test_a_driver_that_has_gone_is_not_fitted(desk):
    page = desk().refused("drivers", "fit:nobody", **points(1000, 9000))
    assert "not there any more" in page.text
