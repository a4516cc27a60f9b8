"""Moisture of wood, what its width does over the year, and the room that a fixing needs."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.wood_movement import (
    HANDBOOK,
    MOVEMENT,
    SHEET_MOVEMENT,
    driver_seat_room,
    edge_gap,
    equilibrium_moisture,
    screw_slot,
    sheet_change,
    wide_width_change,
    width_change,
    year_of,
)
from calc.errors import InputError

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]
OAK = MOVEMENT["Red oak, commercial"]
PRINTED = {row["name"]: row for row in DATA["movement_coefficients"]["rows"]}


def row_name(row):
    return " ".join(str(value) for value in row.values())[:40]


@pytest.mark.parametrize("row", DATA["moisture"]["rows"], ids=row_name)
def test_moisture_is_that_of_the_printed_table(row):
    """Wood Handbook, Table 4-2, seen."""
    M = equilibrium_moisture(row["T"], row["humidity"])
    assert_allclose(M, row["M"], rtol=0, atol=DATA["moisture"]["tolerance"])


def test_dry_air_dries_wood_wholly_and_damp_air_never_past_saturation():
    assert equilibrium_moisture(293.15, 0.0) == 0
    assert 20 < equilibrium_moisture(293.15, 0.98) < 30


@given(T=st.floats(264, 343), h=st.floats(0.01, 0.9))
def test_damper_air_makes_damper_wood(T, h):
    assert equilibrium_moisture(T, h) < equilibrium_moisture(T, h + 0.05)


@pytest.mark.parametrize(
    ("field", "T", "humidity"),
    [
        ("T", 20, 0.5),
        ("T", float("nan"), 0.5),
        ("humidity", 293, 50),
        ("humidity", 293, -0.1),
        ("humidity", 293, 1),
    ],
)
def test_air_that_no_wood_stands_in_is_refused(field, T, humidity):
    with pytest.raises(InputError) as refusal:
        equilibrium_moisture(T, humidity)
    assert refusal.value.field == field


@pytest.mark.parametrize("name", PRINTED)
def test_coefficients_are_the_printed_ones(name):
    """Wood Handbook, Table 13-5, seen."""
    found, row = MOVEMENT[name], PRINTED[name]
    assert {"name": name, "CR": found.CR, "CT": found.CT} == row
    assert (found.confidence, found.source) == ("seen", HANDBOOK)


def test_what_is_not_printed_here_says_that_it_is_from_memory():
    others = MOVEMENT.keys() - PRINTED.keys()
    assert others and all(MOVEMENT[name].confidence == "from memory" for name in others)


@pytest.mark.parametrize("row", DATA["whole_shrinkage"]["rows"], ids=lambda row: row["name"])
def test_coefficients_are_the_slope_of_the_whole_shrinkage_at_ten_percent(row):
    """A second table: shrinkage from green, Table 4-3, from memory.

    Equation 13-3 at 10 % and for one percent: C = 1 / (3000/S - 30 + 10). Printed to five decimals.
    """
    found = MOVEMENT[row["name"]]
    for C, S in ((found.CR, row["SR"]), (found.CT, row["ST"])):
        assert_allclose(C, 1 / (3000 / S - 20), rtol=0, atol=1.05e-5)


@pytest.mark.parametrize("row", DATA["movement_examples"], ids=lambda row: row["what"])
def test_worked_examples(row):
    change = width_change(row["width"], row["C"], row["M_from"], row["M_to"])
    assert_allclose(change, row["change"], rtol=0, atol=row["tolerance"])


def test_the_two_formulas_meet_in_the_range_of_the_coefficients():
    """From 6 to 14 % they differ by at most 4 points off the middle times C: under 2 % of the change."""
    for wood in MOVEMENT.values():
        for C in (wood.CR, wood.CT):
            narrow, wide = width_change(0.3, C, 6, 14), wide_width_change(0.3, C, 6, 14)
            assert_allclose(wide, narrow, rtol=0.02)
            assert_allclose(
                wide_width_change(0.3, C, 10, 10.001), width_change(0.3, C, 10, 10.001), rtol=1e-6
            )


@pytest.mark.parametrize("row", DATA["whole_shrinkage"]["rows"], ids=lambda row: row["name"])
def test_from_green_to_dry_it_shrinks_by_the_whole_shrinkage(row):
    """Equation 13-3 from 30 to 0 % is -S by its own terms: 30 / (3000/S) = S/100. S from memory."""
    found = MOVEMENT[row["name"]]
    for C, S in ((found.CR, row["SR"]), (found.CT, row["ST"])):
        assert_allclose(wide_width_change(1.0, C, 30, 0), -S / 100, rtol=0.01)


ANY = st.floats(0, 30)


@given(C=st.floats(5e-4, 6e-3), width=st.floats(0.01, 2), a=ANY, b=ANY, c=ANY)
def test_there_and_back_comes_out_even_by_whatever_way(C, width, a, b, c):
    there = width + wide_width_change(width, C, a, b)
    on = there + wide_width_change(there, C, b, c)
    assert_allclose(on, width + wide_width_change(width, C, a, c), rtol=1e-12)


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("width", {"width": 0}),
        ("C", {"C": 0.3}),
        ("C", {"C": -1}),
        ("M_made", {"M_made": 31}),
        ("M_dry", {"M_dry": -1}),
        ("M_damp", {"M_damp": float("nan")}),
        ("M_dry", {"M_dry": 13}),
    ],
)
def test_a_year_that_cannot_be_is_refused(field, given):
    with pytest.raises(InputError) as refusal:
        year_of(**{"width": 0.3, "C": 0.003, "M_made": 9, "M_dry": 6, "M_damp": 12, **given})
    assert refusal.value.field == field


def test_a_year_of_a_red_oak_top():
    """300 mm at 9.2 %, winters at 6.2, summers at 12: by hand with C, 3.321 mm less and 3.100 mm more.

    Equation 13-3 counts from the moisture that the width was measured at, so 9.2 instead of 10 makes it
    1/(1 - 0.8 C) of that: 0.3 % more.
    """
    year = year_of(0.3, OAK.CT, 9.2, 6.2, 12.0)
    assert_allclose(0.3 - year.narrowest, 3.321e-3, rtol=0.004)
    assert_allclose(year.widest - 0.3, 0.3 * 0.00369 * 2.8, rtol=0.004)
    assert_allclose(year.swing, year.widest - year.narrowest)


def test_wood_made_in_a_damp_shed_only_shrinks():
    year = year_of(0.3, OAK.CT, 16, 6, 12)
    assert year.widest == year.made == 0.3 and year.narrowest < 0.29


MOISTURES = st.tuples(st.floats(3, 25), st.floats(3, 25), st.floats(3, 25))


@given(
    distance=st.floats(0.02, 1), C=st.floats(5e-4, 5e-3), moistures=MOISTURES, clearance=st.floats(3e-3, 8e-3)
)
def test_a_slot_never_draws_tight_on_its_screw(distance, C, moistures, clearance):
    """Followed through the year: the slot goes along with the wood, the screw stays."""
    made, (dry, damp) = moistures[0], sorted(moistures[1:])
    slot = screw_slot(distance, C, made, dry, damp, clearance, play=4e-4)
    tightest = []
    for M in (made, dry, (dry + damp) / 2, damp):
        moved = wide_width_change(distance, C, made, M)
        # a point of the wood at `distance` from the line that stays carries the slot's two ends
        inner, outer = distance + moved - slot.towards, distance + moved + slot.away
        tightest += [distance - clearance / 2 - inner, outer - (distance + clearance / 2)]
    assert min(tightest) == pytest.approx(4e-4, abs=1e-9), "never less, and no longer than it must be"
    assert slot.length == pytest.approx(slot.towards + slot.away) and slot.width == clearance


@given(width=st.floats(0.02, 1), C=st.floats(5e-4, 5e-3), moistures=MOISTURES)
def test_a_panel_in_a_frame_never_fills_its_gap(width, C, moistures):
    made, (dry, damp) = moistures[0], sorted(moistures[1:])
    gap, widest = edge_gap(width, C, made, dry, damp, play=3e-4)
    left = [gap - wide_width_change(width, C, made, M) for M in (made, dry, damp)]
    assert min(left) == pytest.approx(3e-4, abs=1e-9) and max(left) == pytest.approx(widest, abs=1e-9)


@given(flange=st.floats(0.05, 0.4), C=st.floats(5e-4, 5e-3), moistures=MOISTURES)
def test_a_recess_in_solid_wood_never_pinches_the_flange(flange, C, moistures):
    made, (dry, damp) = moistures[0], sorted(moistures[1:])
    room = driver_seat_room(flange, C, made, dry, damp, play=2e-4)
    over = [room.diameter + wide_width_change(room.diameter, C, made, M) - flange for M in (made, dry, damp)]
    assert min(over) == pytest.approx(4e-4, abs=1e-9)
    assert room.widest - flange == pytest.approx(max(over), abs=1e-9)
    assert 0 <= room.screws <= max(abs(wide_width_change(flange, C, made, M)) for M in (dry, made, damp))


def test_a_woofer_in_a_flatsawn_oak_front():
    """By hand: 186 mm across, 9 % made, winters at 6 %: 186 x 0.00369 x 3 = 2.06 mm less; + 1 mm of play."""
    room = driver_seat_room(0.186, OAK.CT, 9, 6, 12, bolt_circle=0.17)
    assert_allclose(room.diameter - 0.186, 2.06e-3 + 1e-3, atol=0.06e-3)
    assert_allclose(room.screws, 0.085 * 0.00369 * 3, rtol=0.02)


def test_sheet_goods_move_a_small_part_of_what_solid_wood_does():
    """300 mm of each from 35 to 65 % at 21 °C; 6.9 and 12.0 % of moisture by the printed table."""
    solid = width_change(0.3, OAK.CT, 6.9, 12.0)
    moved = {name: sheet_change(0.3, each.by_humidity, 0.35, 0.65) for name, each in SHEET_MOVEMENT.items()}
    assert moved["MDF"] == pytest.approx(0.3 * 0.0033), "the standard's limit, over as wide a step"
    assert moved["birch plywood"] == pytest.approx(0.3 * 0.001)
    for each in moved.values():
        assert solid / 20 < each < solid / 5
    assert sheet_change(0.3, 0.01, 0.65, 0.35) == -sheet_change(0.3, 0.01, 0.35, 0.65)


@pytest.mark.parametrize(
    ("field", "act"),
    [
        ("play", lambda: screw_slot(0.1, 0.003, 9, 6, 12, 0.005, play=-1)),
        ("clearance", lambda: screw_slot(0.1, 0.003, 9, 6, 12, 0)),
        ("play", lambda: edge_gap(0.1, 0.003, 9, 6, 12, play=float("nan"))),
        ("flange", lambda: driver_seat_room(-0.1, 0.003, 9, 6, 12)),
        ("humidity_to", lambda: sheet_change(0.3, 0.01, 0.3, 65)),
        ("length", lambda: sheet_change(0, 0.01, 0.3, 0.6)),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(field, act):
    with pytest.raises(InputError) as refusal:
        act()
    assert refusal.value.field == field
