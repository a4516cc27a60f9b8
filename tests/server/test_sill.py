"""The sill: the few numbers that any change moves, and by how much."""

import re

import pytest
from reading import made

from calc.evaluate import evaluate
from server.beginnings import demo, from_drivers, from_plan
from server.documents import amend, read_project
from server.sill import sill


def cells(document, before=None, **edits):
    """The cells after some edits: name -> (text, by)."""
    project = read_project(amend(document, edits))
    then = before and evaluate(read_project(before))
    return {cell.name: (cell.text, cell.by) for cell in sill(project, evaluate(project), then)}


def moved(**edits):
    """What the sill of the pair says of a change, of the cells that it moved."""
    document = demo("reading_room")
    return {name: by for name, (_, by) in cells(document, document, **edits).items() if by}


def number(text):
    return float(re.search(r"[\d.]+", text)[0])


def test_its_cells_are_the_results():
    project = read_project(demo("reading_room"))
    result = evaluate(project)
    shown = {name: text for name, (text, _) in cells(demo("reading_room")).items()}
    assert list(shown) == [
        "Net volume", "Tuning", "Lowest note, −3 dB", "Port air at 25 W", "Amplifier load", "Weight, each",
        "Sheets",
    ]  # fmt: skip
    assert number(shown["Net volume"]) == pytest.approx(result.cabinet.net * 1e3, abs=0.051)
    assert number(shown["Tuning"]) == pytest.approx(result.built.fb, abs=0.51)
    assert number(shown["Lowest note, −3 dB"]) == pytest.approx(result.built.cutoffs[3.0], abs=0.51)
    assert number(shown["Port air at 25 W"]) == pytest.approx(result.built.port.speed, abs=0.51)
    assert number(shown["Amplifier load"]) == pytest.approx(result.built.least_Z, abs=0.051)
    assert number(shown["Weight, each"]) == pytest.approx(result.cabinet.mass, abs=0.051)
    assert shown["Sheets"] == "1 at least"


def test_in_inches_it_speaks_of_feet_and_pounds():
    result = evaluate(read_project(demo("reading_room")))
    shown = {name: text for name, (text, _) in cells(demo("reading_room"), show="imperial").items()}
    assert shown["Net volume"] == f"{result.cabinet.net / 0.3048**3:.3f} ft³"
    assert shown["Weight, each"] == f"{result.cabinet.mass / 0.45359237:.1f} lb"
    assert shown["Port air at 25 W"] == f"{result.built.port.speed:.0f} m/s"
    assert shown["Tuning"].endswith("Hz")


def test_without_a_driver_it_knows_what_the_shop_knows():
    shown = cells(from_plan("metric"))
    unknown = [name for name, (text, _) in shown.items() if text == "unknown"]
    assert unknown == ["Lowest note, −3 dB", "Port air at 25 W", "Amplifier load"]
    shown = cells(from_drivers("metric"))
    assert shown["Box resonance"] == ("unknown", "") and shown["Port air at 25 W"] == ("no port", "")


def test_a_first_revision_has_moved_nothing():
    assert {by for _, by in cells(demo("hall_subwoofer")).values()} == {""}


def test_a_change_marks_what_it_moved_with_its_size_and_its_way():
    document = demo("reading_room")
    before = evaluate(read_project(document))
    path = "cabinet.size.depth"
    after = evaluate(read_project(amend(document, {path: 0.26})))
    by = moved(**{path: 0.26})
    assert set(by) >= {"Net volume", "Tuning", "Weight, each"}
    assert "Sheets" not in by
    assert re.fullmatch(r"▲ [\d.]+ (litre|L) more", by["Net volume"])
    assert number(by["Net volume"]) == pytest.approx((after.cabinet.net - before.cabinet.net) * 1e3, rel=0.05)
    assert re.fullmatch(r"▼ [\d.]+ Hz lower", by["Tuning"])
    assert number(by["Tuning"]) == pytest.approx(before.built.fb - after.built.fb, rel=0.1)
    assert by["Weight, each"].endswith("kg more")


@pytest.mark.parametrize(
    ("edits", "marks"),
    [
        ({"notes": "x"}, set()),
        ({"show": "imperial"}, set()),
        ({"alternatives.B.P": 50.0}, {"Port air at 50 W"}),
        ({"workshop.sheets.ply.density": 700.0}, {"Weight, each"}),
        ({"speakers": 8}, {"Sheets"}),
        ({f"cabinet.edges.{side}-top.depth": 0.0 for side in ("left", "right")}, set()),
        ({"alternatives.B.Rs": 0.4}, {"Lowest note, −3 dB", "Port air at 25 W"}),
    ],
)
def test_only_what_moved_is_marked(edits, marks):
    assert set(moved(**edits)) == marks


def test_a_small_change_shows_as_many_places_as_it_takes():
    by = moved(**{"cabinet.displaced.crossover.volume": 0.00032})
    assert by["Net volume"] in ("▼ 0.04 L less", "▼ 0.040 L less")


def test_nothing_is_compared_with_a_number_of_another_kind():
    by = moved(chosen="A")
    assert "Box resonance" not in by, "a resonance is no tuning"
    assert "Lowest note, −3 dB" in by


def test_volts_that_were_given_are_no_watts():
    shown = cells(demo("reading_room"), **{"alternatives.B.V": 12.0})
    assert "Port air" in shown and not [name for name in shown if name.endswith(" W")]


def test_of_ports_of_two_sizes_the_foot_tells_the_faster():
    document = made("two ports")
    built = evaluate(read_project(document)).built
    fast, slow = sorted((port.speed for port in built.ports.values()), reverse=True)
    assert fast > 1.05 * slow
    assert cells(document)["Port air at 25 W"][0] == f"{fast:.0f} m/s"
