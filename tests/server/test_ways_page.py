"""Ways: curves that are pasted or sent as a file, offsets, stand-ins that say so, and how the ways meet."""

import numpy as np
import pytest
from reading import MADE, Page, check, check_answers, check_looking, check_refusal

from calc.evaluate_network import F, network
from calc.evaluate_sum import acoustic_sum
from calc.sound.summation import level
from server.documents import read_project
from server.pages import QUESTIONS

ROWS = "\n".join(f"{f:.2f}\t{90 - 3 * np.log2(f / 1000) ** 2:.3f}" for f in np.geomspace(300, 18e3, 200))


def heard(sitting):
    project = read_project(sitting.document)
    return acoustic_sum(project, sitting.result, network(project, sitting.result))


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("ways")
    check(page)
    assert page.heading == QUESTIONS["ways"]


def test_stand_ins_say_so_on_both_pages(sitting):
    page = sitting.look("ways")
    check(page)
    assert "Woofer and dome are equally loud at" in page.lead
    assert "Nobody has measured the woofer, the dome" in page.text
    assert "as loud as the driver in the box" in page.text, "the demo's dome has no sensitivity"
    crossover = sitting.look("crossover")
    check(crossover)
    assert "Nobody has measured the woofer, the dome" in crossover.text
    sitting.type("drivers", **{"drivers.dome.sensitivity": "91"})
    assert "as loud as the driver in the box" not in sitting.look("ways").text
    voice = heard(sitting).voices["dome"]
    assert level(voice.H)[-1] == pytest.approx(91, abs=0.02) and not voice.guessed


def test_a_pasted_curve_is_heard_and_taken_away_again(sitting):
    page = sitting.type("ways", "curve:dome", **{"pasted.dome": ROWS})
    check(page)
    assert "200 lines from 300 Hz to 18000 Hz, without phase" in page.text
    assert "Nobody has measured the woofer:" in page.text
    voice = heard(sitting).voices["dome"]
    at = int(np.argmin(abs(F - 4000)))
    assert voice.kind == "curve" and voice.minimum
    assert level(voice.H)[at] == pytest.approx(90 - 3 * np.log2(F[at] / 1000) ** 2, abs=0.01)
    sitting.type("ways", "uncurve:dome")
    assert sitting.document["ways"]["dome"]["curve"] is None
    assert heard(sitting).voices["dome"].kind == "sheet"


def test_a_file_of_any_letters_is_read(sitting):
    for data in (ROWS.encode(), ("\ufeff" + ROWS).encode("utf-16"), ("* höher\n" + ROWS).encode("latin-1")):
        answer = sitting.browser.post(
            f"/projects/{sitting.key}/ways-file",
            data={"revision": sitting.look("ways").revision, "driver": "woofer"},
            files={"file": ("box & baffle.txt", data)},
        )
        assert answer.status_code == 303, Page(answer.text).alert
        assert len(sitting.document["ways"]["woofer"]["curve"]["f"]) == 200
    page = sitting.look("ways")
    check(page)
    form = page.root.one("form", id="file-form").attributes
    assert form["action"] == f"/projects/{sitting.key}/ways-file"
    assert form["enctype"] == "multipart/form-data"
    assert "Measured (box & baffle.txt): 200 lines" in page.text
    assert "<b>box & baffle" not in page.markup


def test_a_file_that_is_none_is_refused_with_its_line(sitting):
    answer = sitting.browser.post(
        f"/projects/{sitting.key}/ways-file",
        data={"revision": sitting.look("ways").revision, "driver": "dome"},
        files={"file": ("x.txt", ROWS.replace("90.", "90x", 1).encode())},
    )
    page = Page(answer.text)
    check(page)
    assert answer.status_code == 422 and "that is no number" in page.fields["pasted.dome"].says
    assert "90x" in page.fields["pasted.dome"].value
    before = sitting.plain
    for broken in ({}, {"driver": "ghost"}, {"driver": "dome", "revision": "0"}):
        answer = sitting.browser.post(f"/projects/{sitting.key}/ways-file", data=broken)
        assert answer.status_code in (409, 422)
    assert sitting.plain == before


def test_an_offset_delays_one_way(sitting):
    """A few centimetres at the crossing: 360 degrees times the distance over the wavelength."""
    before = heard(sitting)
    sitting.type("ways", **{"ways.woofer.offset": "20 mm"})
    after = heard(sitting)
    turned = np.angle(after.ways["woofer"] / before.ways["woofer"], deg=True)
    at = int(np.argmin(abs(F - 2500)))
    assert turned[at] == pytest.approx(-360 * 0.02 * F[at] / sitting.result.air.c, abs=1e-6)
    assert np.allclose(after.ways["dome"], before.ways["dome"])


def test_a_measured_phase_is_kept_and_goes_on_beyond_its_ends(sitting):
    f = np.geomspace(400, 10e3, 120)
    phase = 40 * np.log2(f / 2000)
    rows = "\n".join(f"{a:.4f} 88 {b:.4f}" for a, b in zip(f, phase, strict=True))
    page = sitting.type("ways", "curve:dome", **{"pasted.dome": rows})
    check(page)
    assert "with their phase" in page.text
    voice = heard(sitting).voices["dome"]
    inside = (F > 400) & (F < 10e3)
    turn = np.exp(1j * np.radians(40 * np.log2(F[inside] / 2000)))
    assert np.allclose(voice.H[inside] / turn, 10 ** (88 / 20), rtol=1e-4)
    steps = abs(np.diff(level(voice.H)))
    assert steps.max() < 0.5 and abs(np.diff(np.unwrap(np.angle(voice.H)))).max() < 0.1, "no step at its ends"


def test_a_curve_that_is_the_stand_in_sounds_like_the_stand_in(sitting):
    """Level alone, read back: its minimum phase is the stand-in's own (a second route to the same phase)."""
    own = heard(sitting).voices["dome"].H
    rows = "\n".join(f"{a:.5f} {b:.5f}" for a, b in zip(F, level(own), strict=True))
    sitting.type("ways", "curve:dome", **{"pasted.dome": rows})
    again = heard(sitting).voices["dome"].H
    assert np.allclose(level(again), level(own), atol=1e-3)
    assert np.degrees(abs(np.angle(again / own))).max() < 1


def test_a_dropped_driver_takes_its_way_along(desk):
    sitting = desk()
    sitting.type("ways", **{"ways.dome.offset": "5"})
    assert sitting.document["ways"]["dome"]["offset"] == pytest.approx(0.005)
    check(sitting.type("drivers", "drop:dome"))
    assert set(sitting.document["network"]["parts"]) == {"L1", "C1", "R1", "C2", "woofer"}
    assert sitting.document["ways"] == {}


def test_versions_tell_of_a_curve(sitting):
    sitting.type("ways", "curve:dome", **{"pasted.dome": ROWS})
    sitting.type("ways", "curve:dome", **{"pasted.dome": ROWS.split("\n", 50)[-1]})
    sitting.type("ways", "uncurve:dome")
    page = sitting.look("history")
    check(page)
    assert "200 numbers → 150 numbers" in page.text


def test_what_cannot_be_is_refused_where_it_stands(sitting):
    good = ("ways.dome.offset", "-3", pytest.approx(-0.003))
    sitting.type("ways", **{"ways.woofer.offset": "1"})
    sitting.type("ways", **{"ways.dome.offset": "1"})
    check_refusal(sitting, "ways", "ways.woofer.offset", "2 m", "behind the front", good)
    page = sitting.refused("ways", "curve:dome", **{"pasted.dome": "20 88"})
    check(page)
    assert "at least 8 lines" in page.fields["pasted.dome"].says
    assert "ways" in sitting.refused("ways", "curve:ghost").text


def test_it_answers_and_is_looked_at(sitting, stranger):
    check_answers(sitting, "ways", "ways.woofer.offset", "12")
    check_looking(stranger(sitting), "ways")
