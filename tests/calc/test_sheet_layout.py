"""How many sheets a cut list asks for at the least."""

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.shop.sheet_layout import sheets_at_least

KERF, TRIM = 0.0032, 0.01


@dataclass(frozen=True)
class Stock:
    length: float = 2.44
    width: float = 1.22


@dataclass(frozen=True)
class Piece:
    label: str
    length: float
    width: float
    count: int = 1
    sheet: str = "ply"


def need(pieces, stock=None, kerf=KERF, trim=TRIM):
    return sheets_at_least(pieces, {"ply": stock or Stock()}, kerf, trim)["ply"]


def test_area_by_hand():
    """Twelve pieces of 600 x 400, a kerf with each, are a thousandth more than a sheet within its trim."""
    piece = Piece("A", 0.6, 0.4, 12)
    share = 12 * 0.6032 * 0.4032 / ((2.44 - 0.02 + 0.0032) * (1.22 - 0.02 + 0.0032))
    assert share == pytest.approx(1.001, abs=1e-4)
    assert need([piece]).at_least == 2
    assert need([Piece("A", 0.6, 0.4, 11)]).at_least == 1
    assert need([piece], kerf=0.0).at_least == 1, "without a kerf they fit"


def test_pieces_that_fill_their_sheets_exactly():
    whole = Piece("A", 2.42, 1.2, 3)
    assert need([whole]) == need([whole]) and need([whole]).at_least == 3
    halves = Piece("A", (2.42 - KERF) / 2, 1.2, 6)
    assert need([halves]).at_least == 3, "the last cut needs no kerf beyond the edge"


@given(st.data())
def test_what_was_sawn_from_n_sheets_never_asks_for_more(data):
    """Sheets are sawn through at random; whatever came off them can be had from as many."""
    sheets = data.draw(st.integers(1, 3))
    kerf = data.draw(st.sampled_from([0.0, 0.0018, 0.0032]))
    pieces = []
    for _ in range(sheets):
        offcuts = [(2.42, 1.2)]
        for _ in range(data.draw(st.integers(0, 8))):
            length, width = offcuts.pop(data.draw(st.integers(0, len(offcuts) - 1)))
            if data.draw(st.booleans()):
                length, width = width, length
            at = data.draw(st.floats(0.05, 0.95)) * (length - kerf)
            offcuts += [(at, width), (length - kerf - at, width)]
        pieces += [Piece("A", *size) for size in offcuts if min(size) > 0.01]
    found = need(pieces, kerf=kerf)
    assert 1 <= found.at_least <= sheets
    assert found.too_big == ()


@given(
    st.lists(st.tuples(st.floats(0.1, 1.1), st.floats(0.1, 1.1), st.integers(1, 9)), min_size=1, max_size=6)
)
def test_never_fewer_than_the_bare_wood_and_more_pieces_never_need_less(sizes):
    pieces = [Piece("A", *size) for size in sizes]
    found = need(pieces).at_least
    wood = sum(piece.length * piece.width * piece.count for piece in pieces)
    assert found >= wood / (2.42 * 1.2) - 1e-9
    assert need([*pieces, Piece("B", 0.5, 0.5)]).at_least in (found, found + 1)


@pytest.mark.parametrize(
    ("length", "width", "fits"),
    [
        (2.42, 1.2, True), (1.2, 2.42, True), (2.4201, 0.1, False), (0.1, 2.4201, False), (1.21, 1.21, False),
        (2.44, 1.22, False),
    ],
)  # fmt: skip
def test_what_comes_out_of_no_sheet_is_named(length, width, fits):
    found = need([Piece("A", 0.5, 0.5), Piece("B", length, width)])
    assert found.too_big == (() if fits else ("B",))


def test_each_sheet_good_is_counted_for_itself():
    rows = [Piece("A", 2.0, 1.0, 2, "ply"), Piece("B", 0.5, 0.5, 1, "mdf"), Piece("C", 0.3, 0.3, 4, "ply")]
    found = sheets_at_least(rows, {"ply": Stock(), "mdf": Stock(1.0, 0.6), "unused": Stock()}, KERF, TRIM)
    assert list(found) == ["ply", "mdf"]
    assert found["ply"].at_least == 2 and found["mdf"].at_least == 1
    assert sheets_at_least([], {"ply": Stock()}, KERF, TRIM) == {}


@pytest.mark.parametrize("trim", [0.61, 0.7, 1.22, 50.0])
def test_a_sheet_that_its_trim_uses_up_gives_nothing(trim):
    found = need([Piece("A", 0.1, 0.1)], trim=trim)
    assert found.at_least == 0 and found.too_big == ("A",)
