"""The schematic is the netlist: what its lines join on the paper is what the parts join."""

from itertools import combinations

import numpy as np
import pytest

from calc.network.series_parallel import Parallel, series_parallel
from server.drawings import schematic as drawn
from server.drawings.plate import Plate
from server.drawings.schematic import Part, columns, schematic, ways_of

KINDS = ("resistor", "coil", "capacitor", "driver")


def network(seed):
    """{name: (start, end)}, built by putting parts in series and in parallel; {name: kind}."""
    rng = np.random.default_rng(seed)
    ends = {"p0": ("in", "0")}
    for n in range(1, rng.integers(2, 12)):
        name = str(rng.choice(sorted(ends)))
        a, b = ends[name]
        new = f"p{n}"
        if rng.random() < 0.5:
            ends[new] = (a, b)
        else:
            ends[name], ends[new] = (a, f"n{n}"), (f"n{n}", b)
        if rng.random() < 0.5:
            ends[new] = ends[new][::-1]
    return ends, {name: str(rng.choice(KINDS, p=(0.3, 0.25, 0.25, 0.2))) for name in ends}


def on(point, line):
    """Whether a point lies on a level or upright line."""
    (x1, y1), (x2, y2) = line
    low, high = (min(x1, x2), min(y1, y2)), (max(x1, x2), max(y1, y2))
    return all(a - 0.01 <= p <= b + 0.01 for p, a, b in zip(point, low, high, strict=True))


@pytest.fixture
def paper(monkeypatch):
    """What is drawn: lines, and of each part where it begins and ends."""
    lines, places, boxes = [], {}, []

    def symbol(pen, leaf, start, end, plain=drawn._Pen.symbol):
        places[leaf.name] = (end, start) if leaf.turned else (start, end)
        plain(pen, leaf, start, end)

    def line(plate, kind, *points, plain=Plate.line):
        lines.append(points)
        plain(plate, kind, *points)

    def text(plate, x, y, words, kind="", plain=Plate.text):
        if words:
            boxes.append((x, y, words, "mid-a" in kind, plate.width))
        plain(plate, x, y, words, kind)

    monkeypatch.setattr(drawn._Pen, "symbol", symbol)
    monkeypatch.setattr(Plate, "line", line)
    monkeypatch.setattr(Plate, "text", text)
    return lines, places, boxes


def joints(lines, points):
    """A number for each of `points`: equal where lines join them."""
    group = list(range(len(lines)))

    def root(n):
        while group[n] != n:
            n = group[n]
        return n

    for (n, a), (m, b) in combinations(enumerate(lines), 2):
        touch = any(on(end, b) for end in a) or any(on(end, a) for end in b)
        if touch:
            group[root(n)] = root(m)
    return [next((root(n) for n, line in enumerate(lines) if on(point, line)), point) for point in points]


@pytest.mark.parametrize("seed", range(80))
def test_the_lines_join_what_the_parts_join(paper, seed):
    ends, kinds = network(seed)
    tree = series_parallel(ends, "in", "0")
    lines, places, _ = paper
    for way in ways_of(tree):
        lines.clear()
        places.clear()
        schematic(way, {name: Part(kinds[name], name, "1 µF") for name in way.names}, "A way")
        assert sorted(places) == sorted(way.names), "each part is drawn once"
        ends_of = [(name, k) for name in places for k in (0, 1)]
        found = dict(zip(ends_of, joints(lines, [places[name][k] for name, k in ends_of]), strict=True))
        net = {(name, k): ends[name][k] for name in way.names for k in (0, 1)}
        pairs = {(net[end], found[end]) for end in net}
        assert len(pairs) == len({a for a, _ in pairs}) == len({b for _, b in pairs}), pairs
        top, bottom = (
            found[next(e for e in net if net[e] == "in")],
            found[next(e for e in net if net[e] == "0")],
        )
        plus, minus = joints(lines, [(37, min(y for line in lines for _, y in line)), (37, 0)])
        assert {top, bottom} <= set(found.values()) and top != bottom and minus != plus


@pytest.mark.parametrize("seed", range(80))
def test_nothing_is_written_beside_the_paper(paper, seed):
    ends, kinds = network(seed)
    tree = series_parallel(ends, "in", "0")
    parts = {name: Part(kinds[name], name, "0.33 mH") for name in ends}
    least = max(columns(way, parts) for way in ways_of(tree))
    for way in ways_of(tree):
        paper[2].clear()
        svg = str(schematic(way, parts, "A way", least).svg)
        height = float(svg.split('viewBox="0 0 ')[1].split('"')[0].split()[1])
        for x, y, words, middle, width in paper[2]:
            wide = 9.5 * len(words)
            left = x - wide / 2 if middle else x
            assert left >= 0 and left + wide <= width, words
            assert 14 <= y <= height, words


def test_it_is_told_in_words():
    ends = {"L1": ("in", "m"), "C1": ("m", "0"), "woofer": ("0", "m")}
    parts = {"L1": Part("coil", "L1", "0.33 mH"), "C1": Part("capacitor", "C1", "10 µF"),
             "woofer": Part("driver", "woofer", "")}  # fmt: skip
    svg = str(schematic(series_parallel(ends, "in", "0"), parts, "The way to woofer").svg)
    assert (
        'aria-label="The way to woofer: L1 0.33 mH, then (C1 10 µF beside woofer with its plus away from the'
        ' red terminal)."' in svg
    )


def test_ways_are_what_lies_side_by_side():
    tree = series_parallel({"a": ("in", "0"), "b": ("in", "0")}, "in", "0")
    assert isinstance(tree, Parallel) and len(ways_of(tree)) == 2
    assert len(ways_of(series_parallel({"a": ("in", "0")}, "in", "0"))) == 1
