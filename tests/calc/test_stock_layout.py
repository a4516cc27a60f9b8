"""Stock before new sheets: what is bought, which offcuts are begun, and that a saw can make all of it."""

from collections import Counter
from itertools import product
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sawing import inspect

from calc.errors import InputError
from calc.shop.sheet_layout import Layout, Piece, Sheet, fewest_sheets, fits
from calc.shop.stock_layout import Held, from_stock

NEW = Sheet(2440, 1220, 10)
KERF = 3


def checked(found, pieces, held, new=NEW, kerf=KERF):
    """Hold a layout against the independent saw; returns how often each piece of stock was begun."""
    sheets, laid = {each.key: each.sheet for each in held}, Counter()
    for key, sawn in found.laid:
        one = Layout((sawn,), 1, 1)
        laid += inspect(one, pieces, new if key is None else sheets[key], kerf)
        assert sawn.pieces, "nothing is laid out on a sheet that is not cut"
    assert laid == {piece.name: piece.count for piece in pieces if piece.count}
    begun = Counter(key for key, _ in found.laid)
    assert begun.pop(None, 0) == found.bought >= found.bound >= 0
    counts = {each.key: each.count for each in held}
    assert all(n <= counts[key] for key, n in begun.items())
    return dict(begun)


def test_an_offcut_that_takes_all_saves_the_sheet():
    pieces = (Piece("A", 400, 200, 2, "length"), Piece("B", 300, 200, 1, "length"))
    held = (Held("large", Sheet(1200, 700)), Held("small", Sheet(820, 410)), Held("scrap", Sheet(300, 100)))
    found = from_stock(pieces, held, NEW, KERF)
    assert checked(found, pieces, held) == {"small": 1} and found.proved


def test_stock_that_saves_no_sheet_stays_whole():
    """Four of 1200 x 590 fill a sheet; a fifth on the offcut would leave the four, and the sheet, needed."""
    pieces = (Piece("A", 1200, 590, 4, "length"),)
    held = (Held("offcut", Sheet(1300, 700)),)
    found = from_stock(pieces, held, NEW, KERF)
    assert checked(found, pieces, held) == {} and found.bought == 1 and found.proved
    five = (Piece("A", 1200, 590, 5, "length"),)
    found = from_stock(five, held, NEW, KERF)
    assert checked(found, five, held) == {"offcut": 1} and found.bought == 1, "but the fifth saves one"


def test_whole_sheets_of_the_shop_are_begun_after_its_offcuts_and_before_new_ones():
    pieces = (Piece("A", 1200, 590, 9, "length"),)
    held = (Held("sheet", NEW, 1, True), Held("offcut", Sheet(1250, 1200), 1))
    found = from_stock(pieces, held, NEW, KERF)
    assert checked(found, pieces, held) == {"sheet": 1, "offcut": 1}
    assert found.bought == 1, "four on the sheet, two on the offcut, three on a new one"
    few = (Piece("A", 1200, 590, 2, "length"),)
    assert checked(from_stock(few, held, NEW, KERF), few, held) == {"offcut": 1}


def test_a_piece_that_no_new_sheet_takes_comes_out_of_the_one_that_does():
    pieces = (Piece("long", 2900, 150, 1, "length"), Piece("B", 1000, 500, 3, "length"))
    held = (Held("long board", Sheet(3000, 600), 1, True),)
    found = from_stock(pieces, held, NEW, KERF)
    assert "long board" in checked(found, pieces, held)
    with pytest.raises(InputError) as refusal:
        from_stock(pieces, (Held("short", Sheet(1100, 600)),), NEW, KERF)
    assert refusal.value.field == "pieces.0.length"


def test_equal_offcuts_are_counted():
    pieces = (Piece("A", 500, 300, 7, "length"),)
    held = (Held("board", Sheet(1010, 310), 3),)
    found = from_stock(pieces, held, Sheet(520, 320), KERF)
    assert checked(found, pieces, held, Sheet(520, 320)) == {"board": 3}
    assert found.bought == 1 and found.proved, "three times two, and one more"


def test_without_stock_it_is_the_layout_of_new_sheets():
    pieces = (Piece("A", 600, 390, 30, "length"),)
    plain = fewest_sheets(pieces, NEW, KERF)
    for held in ((), (Held("too small", Sheet(500, 300)),), (Held("all trim", Sheet(500, 300, 200)),)):
        found = from_stock(pieces, held, NEW, KERF)
        assert (found.bought, found.bound) == (plain.used, plain.bound)
        assert [sawn for _, sawn in found.laid] == list(plain.sheets)


sizes = st.tuples(st.integers(60, 900), st.integers(60, 600))
woods = st.lists(st.tuples(sizes, st.integers(1, 3)), min_size=1, max_size=6)
stocks = st.lists(
    st.tuples(st.integers(200, 1400), st.integers(150, 1200), st.integers(1, 2), st.booleans()), max_size=3
)


@settings(max_examples=40)
@given(woods, stocks)
def test_stock_never_costs_a_sheet_and_everything_can_be_sawn(rows, owned):
    """The checker is shapely's. No more is bought than without stock, and no fewer than by bare area."""
    new = Sheet(1000, 700, 5)
    pieces = tuple(Piece(f"p{n}", *size, count, "length") for n, (size, count) in enumerate(rows))
    held = tuple(
        Held(f"s{n}", Sheet(length, width, 5 if whole else 0), count, whole)
        for n, (length, width, count, whole) in enumerate(owned)
    )
    found = from_stock(pieces, held, new, KERF)
    checked(found, pieces, held, new)
    assert found.bought <= fewest_sheets(pieces, new, KERF).used
    wood = sum(p.length * p.width * p.count for p in pieces)
    area = sum(each.area * each.count for each in held)
    assert found.bought >= (wood - area) / (990 * 690) - 1e-9
    assert from_stock(pieces, held, new, KERF) == found


@settings(max_examples=25)
@given(st.lists(st.tuples(st.integers(100, 400), st.integers(100, 300)), min_size=2, max_size=5), stocks)
def test_no_way_to_share_out_few_pieces_buys_fewer_than_is_proved(sizes, owned):
    """Every way to hand each piece to one board of the stock or to the new sheets: a second route."""
    new = Sheet(450, 400)
    pieces = tuple(Piece(f"p{n}", *size, 1, "length") for n, size in enumerate(sizes))
    held = tuple(Held(f"s{n}", Sheet(a, b), 1, whole) for n, (a, b, _, whole) in enumerate(owned))[:2]
    found, best = from_stock(pieces, held, new, KERF), inf
    for homes in product(range(len(held) + 1), repeat=len(pieces)):
        shares = [tuple(p for p, home in zip(pieces, homes, strict=True) if home == n) for n in range(3)]
        fine = all(
            all(fits(p, each.sheet, KERF) for p in shares[n])
            and fewest_sheets(shares[n], each.sheet, KERF).used <= 1
            for n, each in enumerate(held)
        )
        if fine:
            best = min(best, fewest_sheets(shares[len(held)], new, KERF).used)
    assert found.bound <= best <= found.bought
    assert found.bought <= best + 1, "a quick answer may be off by one"


def test_what_cannot_be_counted_is_refused():
    with pytest.raises(InputError) as refusal:
        from_stock((Piece("A", 0, 100),), (), NEW, KERF)
    assert refusal.value.field == "pieces.0.length"
