"""Measured curves as programs write them: separators, decimals, remarks, and refusals with their line."""

from math import log2

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import InputError
from calc.project_network import MOST_ROWS, Curve
from server.curve_text import curve

ROWS = [(20.5 * 2**i, 80.25 - i, -30.5 * i) for i in range(9)]


def lines(between, mark=".", columns=3, rows=ROWS):
    return "\n".join(
        between.join(f"{value:.3f}".replace(".", mark) for value in row[:columns]) for row in rows
    )


@pytest.mark.parametrize("columns", [2, 3])
@pytest.mark.parametrize(
    ("between", "mark"),
    [(" ", "."), ("\t", "."), (";", "."), (",", "."), (", ", "."), ("   ", ","), ("\t", ","), (" ; ", ",")],
)
def test_every_separator_and_both_decimals(between, mark, columns):
    found = curve(lines(between, mark, columns), "here")
    assert found["f"] == [row[0] for row in ROWS]
    assert found["level"] == [row[1] for row in ROWS]
    assert found["phase"] == ([row[2] for row in ROWS] if columns == 3 else None)
    assert found["name"] == "here" and Curve(**found)


@pytest.mark.parametrize("sign", ["*", "#", ";", '"', "//", "%", "!", "Freq(Hz) SPL(dB)", "-----", ""])
def test_remarks_before_among_and_after(sign):
    text = lines("\t").split("\n")
    text[4:4] = [sign]
    text = "\r\n".join([f"{sign} a remark with 20 88", *text, f"{sign} the end"])
    assert curve("\ufeff" + text)["f"] == [row[0] for row in ROWS]


def test_any_order_more_columns_and_the_line_at_zero():
    text = "\n".join(reversed(lines(" ").split("\n"))) + "\n0 -200 0"
    assert curve(text)["f"] == [row[0] for row in ROWS]
    more = "\n".join(line + " 0.99 x" for line in lines(" ").split("\n"))
    assert curve(more) == curve(lines(" "))
    assert curve(lines(" ").replace("-", "−")) == curve(lines(" "))


def test_powers_of_ten():
    assert curve("\n".join(f"{i}.0e+02 9E1" for i in range(1, 9)))["f"][:2] == [100.0, 200.0]


def test_whole_numbers_between_commas():
    """Two columns can only be two columns; three could be two with a decimal comma."""
    assert curve("\n".join(f"{100 * i},88" for i in range(1, 9)))["level"] == [88.0] * 8
    with pytest.raises(InputError, match="two ways in line 1"):
        curve("\n".join(f"{100 * i},88,30" for i in range(1, 9)))
    assert curve("\n".join(f"{100 * i},88.5,30" for i in range(1, 9)))["phase"] == [30.0] * 8


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("100", "needs hertz and decibels in line 3"),
        ("100 nan 0", "line 3 that is no number"),
        ("100 1e9999 0", "line 3 that is no number"),
        ("100 88", "another number of columns in line 3"),
        ("-100 88 0", "below zero in line 3"),
        ("1,000.5 88 0", "no number"),
        ("100,5 88,5 0", "a comma and with a point: look at line 3"),
        ("20 kHz 88", "line 3 that is no number"),
        ("20.5 88 0", "20.5 Hz twice"),
    ],
)
def test_what_is_refused_has_its_line(line, words):
    text = lines(" ").split("\n")
    text[2:2] = [line]
    with pytest.raises(InputError, match=words) as refusal:
        curve("\n".join(text))
    assert refusal.value.field == "text"


@pytest.mark.parametrize("text", ["", "nothing", "20 88\n40 88", "\x00\x01" * 50])
def test_too_little(text):
    with pytest.raises(InputError, match="at least 8 lines"):
        curve(text)


def test_a_phase_that_cannot_be_followed():
    """A flight of 3 ms, over 1 m, turns by 540 degrees between lines that are 500 Hz apart."""
    rows = [(500.0 * i, 88.0, -360 * 500.0 * i * 0.0031) for i in range(1, 30)]
    with pytest.raises(InputError, match="time of flight"):
        curve(lines(" ", rows=rows))
    near = [(f, level, phase / 20) for f, level, phase in rows]
    assert curve(lines(" ", rows=near))["phase"][0] == pytest.approx(near[0][2], abs=1e-3)


def test_too_many_lines_are_thinned_evenly():
    """A transform of 2 Hz steps to 20 kHz: no 48th of an octave has two lines, or none that had one."""
    rows = [(2.0 * i, 88.0 - i / 1e3) for i in range(1, 10001)]
    found = curve(lines(" ", columns=2, rows=rows))
    assert len(found["f"]) <= MOST_ROWS
    steps = [log2(later / one) for one, later in zip(found["f"], found["f"][1:], strict=False)]
    inside = [step for f, step in zip(found["f"], steps, strict=False) if f > 400]
    assert min(inside) > 0.4 / 48 and max(inside) < 1.6 / 48
    assert set(zip(found["f"], found["level"], strict=True)) <= {(f, round(dB, 3)) for f, dB in rows}


@given(st.text(alphabet="0123456789.,;+-eE \t\n#nx", max_size=200))
def test_whatever_it_is_it_is_read_or_refused(text):
    try:
        found = curve(text)
    except InputError as refusal:
        assert refusal.field == "text" and refusal.problem
    else:
        assert len(found["f"]) == len(found["level"]) >= 8
