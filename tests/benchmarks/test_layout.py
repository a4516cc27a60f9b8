"""How long a sheet layout takes, in processor time: the machine may be busy with others."""

import json
import time
from pathlib import Path

import pytest

from calc.shop.sheet_layout import ORDERS, Piece, Sheet, fewest_sheets, most_from_one_sheet

PACKING = json.loads((Path(__file__).parents[1] / "data/packing.json").read_text())


def _timed(benchmark, work, rounds=5):
    spent = []

    def timed():
        start = time.process_time()
        layout = work()
        spent.append(time.process_time() - start)
        return layout

    layout = benchmark.pedantic(timed, rounds=rounds, warmup_rounds=1)
    return layout, min(spent)


@pytest.mark.parametrize("order", ORDERS)
def test_24_pieces(benchmark, order):
    """A pair of small cabinets of twelve panels each (sizes invented): 200 ms."""
    rows = [(436, 318), (436, 318), (236, 318), (236, 318), (436, 200), (400, 224), (200, 300), (190, 140)]
    counts = [4, 2, 4, 2, 4, 2, 4, 2]
    pieces = [Piece(f"p{n}", *row, count, "length" if n < 6 else "any")
              for n, (row, count) in enumerate(zip(rows, counts, strict=True))]  # fmt: skip
    layout, spent = _timed(benchmark, lambda: fewest_sheets(pieces, Sheet(2440, 1220, 10), 3.2, order))
    assert sum(counts) == 24 and layout.used == layout.bound == 1 and spent < 0.2


@pytest.mark.parametrize("known", PACKING, ids=lambda known: known["name"])
def test_known_instances(benchmark, known):
    """Under two seconds a call."""
    pieces = [Piece(f"p{n}", grain=known["grain"], **piece) for n, piece in enumerate(known["pieces"])]
    engine = fewest_sheets if known["goal"] == "all" else most_from_one_sheet
    layout, spent = _timed(
        benchmark, lambda: engine(pieces, Sheet(**known["sheet"]), known["kerf"]), rounds=1
    )
    assert layout.used == known["best"] and spent < 2


def test_the_slowest_kind_of_search(benchmark):
    """24 pieces that leave a tenth of the sheet, which the quick ways do not find."""
    pieces = [Piece(f"p{n}", 300 + 17 * n % 181, 190 + 29 * n % 157, 1) for n in range(24)]
    _, spent = _timed(benchmark, lambda: fewest_sheets(pieces, Sheet(2000, 1180), 3.2), rounds=1)
    assert spent < 3
