"""Tolerance: a band, the part behind it, and whether two speakers need matched parts."""

import pytest
from reading import MADE, check, check_answers, check_looking, check_refusal

from server.pages import QUESTIONS


@pytest.mark.parametrize("name", MADE)
def test_it_opens(desk, name):
    page = desk(name).look("tolerance")
    check(page)
    assert page.heading == QUESTIONS["tolerance"]


def test_it_tells_the_band_the_part_and_the_pair(sitting):
    page = sitting.look("tolerance")
    check(page)
    head, *rows = page.rows("What each part moves")
    assert len(rows) == 8
    moves = [float(row[1].removesuffix(" dB")) for row in rows]
    assert moves == sorted(moves, reverse=True) and moves[0] > 0.2
    assert rows[0][0] in page.lead
    assert rows[-1][3] == "0.00 dB ✓", "with all matched a pair is alike"


def test_tighter_parts_need_no_matching(sitting):
    loose = sitting.type("tolerance", **dict.fromkeys(KINDS, "10"))
    assert "Match" in loose.lead and "not worth it" not in loose.lead
    tight = sitting.type("tolerance", **dict.fromkeys(KINDS, "1 %"))
    check(tight)
    assert "Matched pairs are not worth it" in tight.lead
    none = sitting.type("tolerance", **dict.fromkeys(KINDS, "0"))
    check(none)
    assert "No part is loose" in none.lead


KINDS = [f"tolerance.{kind}" for kind in ("resistor", "coil", "capacitor")]


def test_only_the_loose_kind_is_blamed(sitting):
    page = sitting.type("tolerance", **{"tolerance.coil": "0", "tolerance.resistor": "0"})
    check(page)
    moves = {row[0]: row[1] for row in page.rows("What each part moves")[1:]}
    assert moves["low L1"] == "0.00 dB" and moves["high C1"] != "0.00 dB"


def test_what_cannot_be_is_refused_where_it_stands(sitting):
    good = ("tolerance.capacitor", "2", pytest.approx(0.02))
    check_refusal(sitting, "tolerance", "tolerance.coil", "60", "50 percent", good)


def test_it_answers_and_is_looked_at(sitting, stranger):
    check_answers(sitting, "tolerance", "tolerance.coil", "7")
    check_looking(stranger(sitting), "tolerance")
