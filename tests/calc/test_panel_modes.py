"""First modes of panels: published parameters, a second route on a grid, braces and their placing."""

import json
from itertools import pairwise
from math import log2, pi
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.bracing import braces as braced
from calc.cabinet.materials import BOARDS, SOLID_WOODS
from calc.cabinet.panel_modes import (
    UNEVEN,
    clamped_modes,
    first_mode_bounds,
    free_fields,
    free_spans,
    panel_report,
    placing,
    placings,
    supported_modes,
    weakest,
)
from calc.cabinet.panels import carcass
from calc.cabinet.plates import Layer, Plate, glued
from calc.errors import InputError
from calc.project_cabinet import EDGES, Brace, Edge

DATA = json.loads((Path(__file__).parents[1] / "data/shop.json").read_text())["records"]
UNIT = Plate(1.0, 1.0, 1.0, 1.0)
MDF = glued(Layer(0.018, 750, 3e9))


def of(material, h):
    """A `Plate` of one board."""
    return glued(Layer(h, material.density, material.E_along, material.E_across, material.G, material.nu))


PLATES = {
    "MDF": MDF,
    "birch plywood": of(BOARDS["birch plywood"], 0.018),
    "softwood plywood": of(BOARDS["softwood plywood"], 0.018),
    "oak": of(SOLID_WOODS[6].sawn("flat"), 0.022),
}


@pytest.mark.parametrize("row", DATA["plate_parameters"]["rows"], ids=lambda row: f"{row['a_by_b']:.3f}")
def test_first_modes_have_the_published_parameters(row):
    """omega a² sqrt(m/D): closed if supported, converged if clamped, and Leissa's table from memory."""
    low, high = (2 * pi * f for f in first_mode_bounds(UNIT, 1.0, 1 / row["a_by_b"]))
    tolerance = DATA["plate_parameters"]["tolerance"]
    assert_allclose((low, high), (row["supported"], row["clamped"]), rtol=tolerance)
    assert_allclose(high, row["printed"], rtol=tolerance)
    assert high < row["printed"] * 1.00005, "Ritz with fewer terms lies above, never below"


@pytest.mark.parametrize("row", DATA["panels"], ids=lambda row: row["what"])
def test_panels_of_mdf_ring_where_they_should(row):
    plate = glued(Layer(row["h"], row["density"], row["E"], nu=row["nu"]))
    found = first_mode_bounds(plate, row["a"], row["b"])
    assert_allclose(found, (row["supported"], row["clamped"]), rtol=row["tolerance"])


def test_higher_modes_of_a_clamped_square():
    """Leissa 1973, clamped square, 36 terms: 35.992 73.413 73.413 108.27 131.64 132.24. From memory."""
    found = 2 * pi * clamped_modes(UNIT, 1, 1, 6)
    assert_allclose(found, [35.992, 73.413, 73.413, 108.27, 131.64, 132.24], rtol=1e-3)


def on_a_grid(plate, a, b, clamped, n):
    """Lowest angular frequency by finite differences on n x n inner points; error of second order.

    The fourth difference needs one point beyond the edge: w there is +w of the first inner point where the
    edge is clamped (no slope), and -w where it is supported (no curvature).
    """
    from scipy.sparse import diags, identity, kron
    from scipy.sparse.linalg import eigsh

    def second(length):
        h = length / (n + 1)
        return diags([np.ones(n - 1), -2 * np.ones(n), np.ones(n - 1)], [-1, 0, 1]) / h**2, h

    def fourth(length):
        h = length / (n + 1)
        rows = [np.ones(n - 2), -4 * np.ones(n - 1), 6 * np.ones(n), -4 * np.ones(n - 1), np.ones(n - 2)]
        rows[2][[0, -1]] += 1 if clamped else -1
        return diags(rows, [-2, -1, 0, 1, 2]) / h**4

    one = identity(n)
    operator = (
        plate.D1 * kron(fourth(a), one)
        + plate.D2 * kron(one, fourth(b))
        + 2 * plate.H * kron(second(a)[0], second(b)[0])
    )
    return float(np.sqrt(eigsh((operator / plate.m).tocsc(), 1, sigma=0)[0][0]))


@pytest.mark.parametrize("clamped", [False, True], ids=["supported", "clamped"])
@pytest.mark.parametrize("name", PLATES)
@pytest.mark.parametrize(("a", "b"), [(0.4, 0.3), (0.2, 0.5)])
def test_first_modes_against_a_grid(name, a, b, clamped):
    """Second route: the plate's equation by finite differences, two grids, the error taken out.

    Richardson: for an error of h², w = w_fine + (w_fine - w_coarse) / (r² - 1), r the ratio of the steps.
    """
    plate = PLATES[name]
    coarse, fine = (on_a_grid(plate, a, b, clamped, n) for n in (19, 39))
    exact = fine + (fine - coarse) / 3
    assert_allclose(2 * pi * first_mode_bounds(plate, a, b)[clamped], exact, rtol=1e-3)


def test_a_long_strip_is_a_beam():
    """(pi/a)² and (4.730041/a)² sqrt(D1/m): the first root of cos x cosh x = 1, from memory."""
    plate = PLATES["birch plywood"]
    low, high = first_mode_bounds(plate, 0.2, 20.0)
    beam = np.sqrt(plate.D1 / plate.m) / (2 * pi)
    assert_allclose(low, (pi / 0.2) ** 2 * beam, rtol=1e-3)
    assert_allclose(high, (4.730041 / 0.2) ** 2 * beam, rtol=1e-3)


@pytest.mark.parametrize("name", PLATES)
def test_one_term_of_the_literature_lies_just_above(name):
    """R. F. S. Hearmon, J. Appl. Mech. 1959, from memory: one term for a clamped plate of wood,

    omega² m = 500.6 D1/a⁴ + 302.6 H/(a² b²) + 500.6 D2/b⁴ (4.730⁴ and 2 x 12.30²); an upper bound, 0.4 % off.
    """
    plate, a, b = PLATES[name], 0.35, 0.25
    squared = (500.6 * plate.D1 / a**4 + 302.6 * plate.H / (a * b) ** 2 + 500.6 * plate.D2 / b**4) / plate.m
    one_term = np.sqrt(squared) / (2 * pi)
    found = first_mode_bounds(plate, a, b)[1]
    assert found < one_term < 1.005 * found


SIDES = st.floats(0.05, 1.5)


@given(a=SIDES, b=SIDES, name=st.sampled_from(sorted(PLATES)), by=st.floats(1.05, 4))
def test_what_does_not_depend_on_the_plate(a, b, name, by):
    """Exact: supported below clamped; turned is the same; f goes with 1/length² and falls as a side grows."""
    plate = PLATES[name]
    turned = Plate(plate.D2, plate.D1, plate.H, plate.m)
    low, high = first_mode_bounds(plate, a, b)
    assert low < high < 2.28 * low, "between the square's 1.82 and the strip's (4.730041/pi)² = 2.267"
    assert_allclose(first_mode_bounds(turned, b, a), (low, high), rtol=1e-9)
    assert_allclose(first_mode_bounds(plate, by * a, by * b), (low / by**2, high / by**2), rtol=1e-9)
    longer = first_mode_bounds(plate, by * a, b)
    assert longer[0] < low and longer[1] < high
    assert_allclose(supported_modes(plate, a, b, 3)[0], low, rtol=1e-12)
    assert_allclose(clamped_modes(plate, a, b, 3)[0], high, rtol=1e-9)
    for modes in (supported_modes(plate, a, b, 8), clamped_modes(plate, a, b, 8)):
        assert (np.diff(modes) >= 0).all()


def test_thicker_stiffer_lighter_is_higher_as_thin_plates_say():
    """f as h and as sqrt(E/rho): derived from D ~ E h³, m ~ rho h."""
    base = first_mode_bounds(MDF, 0.4, 0.3)
    assert_allclose(first_mode_bounds(glued(Layer(0.036, 750, 3e9)), 0.4, 0.3), np.array(base) * 2)
    assert_allclose(first_mode_bounds(glued(Layer(0.018, 3000, 3e9)), 0.4, 0.3), np.array(base) / 2)
    assert_allclose(first_mode_bounds(glued(Layer(0.018, 750, 12e9)), 0.4, 0.3), np.array(base) * 2)


# --- Braces


def test_a_brace_along_the_long_side_does_twice_as_well_as_one_across():
    """The panel of the data file: 380.3 Hz across, 808.1 lengthwise."""
    whole = (((0.0, 0.3), ("front", "back")),)
    across = weakest(free_fields(MDF, free_spans(0.6, [("shelf", 0.3, 0.0)]), whole))
    lengthwise = weakest(free_fields(MDF, (((0.0, 0.6), ("", "")),), free_spans(0.3, [("rib", 0.15, 0.0)])))
    assert_allclose((across.supported, across.clamped), (380.3, 693.3), rtol=2e-3)
    assert_allclose((lengthwise.supported, lengthwise.clamped), (808.1, 1756.9), rtol=2e-3)
    assert 2.1 < lengthwise.supported / across.supported < 2.2


def test_spans_are_named_by_what_bounds_them():
    spans = free_spans(0.5, [("high", 0.4, 0.02), ("low", 0.1, 0.02)], ("bottom", "top"))
    assert [between for _, between in spans] == [("bottom", "low"), ("low", "high"), ("high", "top")]
    assert_allclose([span for span, _ in spans], [(0, 0.09), (0.11, 0.39), (0.41, 0.5)])


def test_a_brace_against_the_wall_leaves_no_span_there():
    spans = free_spans(0.5, [("shelf", 0.009, 0.018)], ("bottom", "top"))
    assert [between for _, between in spans] == [("shelf", "top")]


@given(
    length=st.floats(0.2, 2),
    shares=st.lists(st.floats(0.05, 0.95), max_size=5, unique=True),
    width=st.floats(0, 0.02),
)
def test_spans_and_braces_make_up_the_length(length, shares, width):
    middles, last = [], -1.0
    for share in sorted(shares):
        if share * length - last >= width + 1e-5 and width / 2 < share * length < length - width / 2:
            middles.append(share * length)
            last = middles[-1]
    spans = free_spans(length, [(str(n), middle, width) for n, middle in enumerate(middles)])
    free = sum(high - low for (low, high), _ in spans)
    assert free + len(middles) * width == pytest.approx(length, abs=1e-5)
    assert len(spans) <= len(middles) + 1


@pytest.mark.parametrize(
    ("field", "braces"),
    [
        ("braces.a.at", [("a", 0.6, 0.02)]),
        ("braces.a.at", [("a", 0.001, 0.02)]),
        ("braces.b.at", [("a", 0.2, 0.02), ("b", 0.21, 0.02)]),
        ("braces.a.width", [("a", 0.2, -0.02)]),
        ("braces.a.at", [("a", float("nan"), 0.02)]),
    ],
)
def test_a_brace_that_is_not_there_is_refused(field, braces):
    with pytest.raises(InputError) as refusal:
        free_spans(0.5, braces)
    assert refusal.value.field == field


@pytest.mark.parametrize("count", [1, 2, 3, 5])
def test_equal_spans_keep_the_weakest_strip_stiffest_and_uneven_ones_spread_the_notes(count):
    even, uneven = (placing(MDF, 0.9, 0.3, count, 0.018, ratio) for ratio in (1.0, UNEVEN))
    assert even.spread == pytest.approx(0, abs=1e-9) and even.nearest == pytest.approx(0, abs=1e-9)
    assert uneven.weakest[0] < even.weakest[0] and uneven.spread >= uneven.nearest > 0.1
    assert len(even.at) == count and len(even.fields) == len(uneven.fields) == count + 1
    spans = [field.a for field in uneven.fields]
    assert_allclose([b / a for a, b in pairwise(spans)], UNEVEN)
    assert sum(spans) + count * 0.018 == pytest.approx(0.9)
    first = [field.supported for field in uneven.fields]
    assert uneven.spread == pytest.approx(log2(max(first) / min(first)))


@given(count=st.integers(1, 4), ratio=st.floats(0.4, 2.5), b=st.floats(0.1, 0.8))
def test_no_placing_beats_equal_spans(count, ratio, b):
    """Exact: the longest of n + 1 spans is never shorter than the mean, and a longer span rings lower."""
    even = placing(MDF, 0.9, b, count, 0.018)
    other = placing(MDF, 0.9, b, count, 0.018, ratio)
    assert other.weakest[0] <= even.weakest[0] * (1 + 1e-9)
    assert other.weakest[1] <= even.weakest[1] * (1 + 1e-9)


@pytest.mark.parametrize(
    ("field", "act"),
    [
        ("a", lambda: first_mode_bounds(MDF, 0, 1)),
        ("b", lambda: supported_modes(MDF, 1, float("nan"))),
        ("count", lambda: clamped_modes(MDF, 1, 1, 11)),
        ("count", lambda: supported_modes(MDF, 1, 1, 0)),
        ("count", lambda: placing(MDF, 0.05, 0.3, 3, 0.018)),
        ("count", lambda: placing(MDF, 0.9, 0.3, 0, 0.018)),
        ("ratio", lambda: placing(MDF, 0.9, 0.3, 1, 0.018, 9)),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(field, act):
    with pytest.raises(InputError) as refusal:
        act()
    assert refusal.value.field == field


# --- The report of a cabinet


def cabinet(plates=()):
    """The worked box with front over all and butted joints, and its braces."""
    row = DATA["worked_box"]
    edges = {edge: Edge(into=edge.split("-")[0], depth=0.0) for edge in EDGES}
    panels = {name: (t, 750) for name, t in row["thickness"].items()}
    size = tuple(row["inner"][side] for side in ("width", "height", "depth"))
    box = carcass(size, "inner", panels, edges)
    return box, braced(box.inner, row["thickness"], dict(plates)).braces


MATERIALS = dict.fromkeys(("front", "back", "left", "right", "top", "bottom"), BOARDS["MDF"])
SHELF = (Brace(kind="shelf", at=0.15, sheet="ply", depth=0.006, window=None), 0.018, 700)
RIB = (Brace(kind="rib", at=0.1, sheet="ply", depth=0.006, window=None), 0.012, 700)


def test_without_braces_each_panel_is_one_field_of_its_free_size():
    report = {each.name: each for each in panel_report(*cabinet(), MATERIALS)}
    assert report.keys() == set(MATERIALS)
    free = {
        "front": (0.4, 0.2), "back": (0.4, 0.2), "left": (0.4, 0.3), "right": (0.4, 0.3),
        "top": (0.3, 0.2), "bottom": (0.3, 0.2),
    }  # fmt: skip
    for name, (a, b) in free.items():
        each = report[name]
        assert_allclose((each.a, each.b), (a, b))
        assert len(each.fields) == 1 and each.material == "MDF"
        plate = of(BOARDS["MDF"], each.thickness)
        assert_allclose(each.bare, first_mode_bounds(plate, a, b))
        assert_allclose((each.weakest.supported, each.weakest.clamped), each.bare)


def test_a_shelf_and_a_rib_part_the_panels_that_they_meet():
    report = {each.name: each for each in panel_report(*cabinet({"shelf": SHELF, "rib": RIB}), MATERIALS)}
    fields = {name: len(each.fields) for name, each in report.items()}
    assert fields == {"front": 4, "back": 4, "left": 2, "right": 2, "top": 2, "bottom": 2}
    left = report["left"]
    assert left.weakest.between == ("shelf", "top") and left.weakest.beside == ("front", "back")
    # the shelf's middle is 150 up and it is 18 thick: 141 below, 241 above
    assert_allclose([field.a for field in left.fields], [0.141, 0.241])
    assert_allclose([field.b for field in report["top"].fields], [0.094, 0.094])
    assert report["front"].weakest.beside in (("left", "rib"), ("rib", "right"))
    for each in report.values():
        assert each.weakest.supported > each.bare[0] and each.weakest.clamped > each.bare[1]


def test_a_panel_of_unknown_stuff_is_not_reckoned():
    report = {each.name: each for each in panel_report(*cabinet(), {**MATERIALS, "back": None})}
    back = report["back"]
    assert (back.material, back.bare, back.fields, back.weakest) == (None, None, (), None)
    assert report["left"].weakest


def test_the_face_grain_lies_along_the_blank():
    """Turned, a panel of plywood rings elsewhere; its length is the height, or a top's depth."""
    ply = BOARDS["softwood plywood"]
    along = {each.name: each.bare for each in panel_report(*cabinet(), dict.fromkeys(MATERIALS, ply))}
    across = {each.name: each.bare for each in panel_report(*cabinet(), dict.fromkeys(MATERIALS, ply.turned))}
    for name, bare in along.items():
        assert across[name] != pytest.approx(bare, rel=0.02)
    left = of(ply, 0.018)
    assert_allclose(along["left"], first_mode_bounds(left, 0.4, 0.3))
    assert_allclose(along["top"], first_mode_bounds(left, 0.3, 0.2))


def test_the_report_asks_for_plain_values():
    """Anything with these names will do."""
    box = SimpleNamespace(inner=(0.2, 0.4, 0.3), panels={"left": SimpleNamespace(thickness=0.018)})
    (left,) = panel_report(box, {}, {"left": BOARDS["MDF"]})
    assert left.weakest.supported > 100


def test_braces_across_one_panel_divide_its_height_or_its_width():
    box, _ = cabinet()
    ply = BOARDS["softwood plywood"]
    kind, rows = placings("left", box, ply, 0.012)
    assert kind == "shelf" and [count for count, *_ in rows] == [1], "two would leave 125 mm: under 8 x 18"
    ((_, even, uneven),) = rows
    assert_allclose(even.at, [0.2])
    assert even == placing(of(ply, 0.018), 0.4, 0.3, 1, 0.012)
    assert uneven == placing(of(ply, 0.018), 0.4, 0.3, 1, 0.012, UNEVEN)
    kind, rows = placings("front", box, ply, 0.012, (1,))
    assert kind == "shelf" and rows == (), "188 mm are under eight times its 25"
    kind, rows = placings("top", box, ply, 0.012, (1,))
    assert (kind, rows) == ("rib", ())


def test_ribs_meet_a_top_across_its_grain():
    """The rib divides the width, so what is along the blank lies across the span: Plate turned by hand."""
    box = SimpleNamespace(inner=(0.4, 0.5, 0.3), panels={"top": SimpleNamespace(thickness=0.012)})
    ply = BOARDS["softwood plywood"]
    ((count, even, _),) = placings("top", box, ply, 0.018, (1,))[1]
    along = of(ply, 0.012)
    turned = Plate(along.D2, along.D1, along.H, along.m)
    assert count == 1
    assert_allclose(even.weakest, first_mode_bounds(turned, 0.191, 0.3), rtol=1e-5)


def test_short_spans_are_told_from_thin_ones():
    report = {each.name: each for each in panel_report(*cabinet({"shelf": SHELF, "rib": RIB}), MATERIALS)}
    assert report["left"].thin, "241 x 300 of 18"
    assert not report["top"].thin, "94 x 300 of 18"


def test_braces_that_leave_nothing_free_leave_nothing_to_ring():
    """A shelf as thick as the box is high."""
    low, high = (0.018, 0.025, 0.018), (0.218, 0.325, 0.418)
    box, _ = cabinet()
    block = SimpleNamespace(kind="shelf", low=low, high=high)
    report = {each.name: each for each in panel_report(box, {"block": block}, MATERIALS)}
    assert (report["left"].fields, report["left"].weakest, report["left"].thin) == ((), None, False)
    assert report["left"].bare and report["top"].weakest
