"""Rounded ends, panels and neighbours near an end, bends, and ports of different sizes in one box."""

from math import hypot, pi, sqrt
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from potential_flow import end_length
from scipy.integrate import dblquad
from scipy.optimize import brentq

from calc.errors import InputError
from calc.sound import port as p

C = 343.2
A = 0.03  # m, radius of the round port in these tests


def round_port(diameter=2 * A):
    return SimpleNamespace(kind="round", diameter=diameter)


def slot(width, height, along_wall=False):
    return SimpleNamespace(kind="slot", width=width, height=height, along_wall=along_wall)


def on_the_grid(flare=0.0, free=False, panel=None):
    """In radii; the wall of a free end falls between the grid's lines, whose error goes as their distance."""
    if not free:
        return end_length(flare)
    return 2 * end_length(flare, 0.025, True, panel) - end_length(flare, 0.05, True, panel)


# --- ends ---


def test_the_grid_itself_finds_what_was_published():
    """Levine and Schwinger 1948, and Norris and Sheng 1989: the sharp ends."""
    assert_allclose(on_the_grid(), p.FLANGED, rtol=0.01)
    assert_allclose(on_the_grid(free=True), p.FREE, rtol=0.01)


@pytest.mark.parametrize("flare", [0.1, 0.25, 0.5, 1.0, 2.0])
def test_flares_in_a_panel_against_potential_flow(flare):
    found = p.end_correction(round_port(), "flared", flare * A) / A
    truth = on_the_grid(flare)
    assert truth - 0.036 < found < truth + 0.001, "spherical waves are a lower bound"
    if flare >= 0.5:
        assert found > truth - 0.02


@pytest.mark.parametrize("flare", [0.25, 1.0])
def test_flares_in_the_open_against_potential_flow(flare):
    found = p.end_correction(round_port(), "flared", flare * A, in_panel=False) / A
    assert_allclose(found, on_the_grid(flare, free=True), atol=0.04)


def test_a_flare_of_hardly_any_radius_is_a_sharp_end():
    for in_panel, end in ((True, "flanged"), (False, "free")):
        sharp = p.end_correction(round_port(), end)
        assert_allclose(p.end_correction(round_port(), "flared", 2e-5, in_panel), sharp, rtol=1e-3)
    flat = p.end_correction(slot(0.2, 0.03, True), "flanged")
    assert_allclose(p.end_correction(slot(0.2, 0.03, True), "flared", 2e-5), flat, rtol=1e-3)


@given(st.floats(1e-4, 0.1), st.floats(1.01, 3.0), st.booleans())
def test_more_rounding_leaves_less_air_to_move(flare, more, in_panel):
    """Taking wood away never adds mass (Rayleigh): the correction falls, flare and air together grow."""
    small, large = (p.end_correction(round_port(), "flared", r, in_panel) for r in (flare, flare * more))
    assert large < small < p.end_correction(round_port(), "flanged" if in_panel else "free")
    assert large + flare * more > small + flare


def test_sharp_ends_are_the_old_ones():
    assert p.end_correction(round_port(), "free") == p.round_end_correction(2 * A, "free")
    assert p.end_correction(slot(0.2, 0.03), "flanged") == p.slot_end_correction(0.2, 0.03, "flanged")
    along = p.end_correction(slot(0.2, 0.03, True), "free")
    assert along == p.slot_end_correction(0.2, 0.03, "free", True)


def test_a_panel_before_the_inner_end_against_potential_flow():
    alone = end_length(0.0, 0.05, True)
    for clear in (2.0, 4.0):
        found = p.panel_correction(pi * A**2, clear * A) / A
        assert_allclose(found, end_length(0.0, 0.05, True, clear) - alone, atol=0.017)
    assert p.panel_correction(pi * A**2, 1.9 * A) is None, "too near for an image far away"
    assert p.panel_correction(pi * A**2, 2 * A) is not None


def test_neighbours():
    """Two ends as far apart as they are wide: the mean of 1/distance over both discs, integrated here."""
    area, apart = pi * A**2, 0.09
    points = [
        (r * np.cos(t), r * np.sin(t))
        for r in A * np.sqrt((np.arange(12) + 0.5) / 12)
        for t in 2 * pi * (np.arange(24) + 0.5) / 24
    ]
    mean = np.mean([[1 / hypot(apart + x - u, y - v) for u, v in points] for x, y in points])
    found = p.neighbour_correction(area, [apart], "flanged")
    assert_allclose(found, area / (2 * pi) * mean, rtol=0.04)
    assert_allclose(p.neighbour_correction(area, [apart, apart], "free"), found)
    with pytest.raises(InputError, match="^distances: "):
        p.neighbour_correction(area, [0.05], "free")
    with pytest.raises(InputError, match="^ends: "):
        p.neighbour_correction(area, [0.09], "sharp")


@pytest.mark.parametrize("bend", [0.0301, 0.045, 0.09])
def test_a_bend_is_shorter_than_its_middle(bend):
    """Conductance per radian is the integral of dA/r over the bore, done here: 1/L = that over S."""
    integral, _ = dblquad(
        lambda y, x: 1 / (bend + x), -A, A, lambda x: -sqrt(A**2 - x**2), lambda x: sqrt(A**2 - x**2)
    )
    seems = pi * A**2 / integral * (pi / 2)
    assert_allclose(p.bend_correction(A, bend), seems - bend * pi / 2, rtol=1e-4)
    assert_allclose(p.bend_correction(A, 100 * A), 0, atol=2e-4 * A * 100)


# --- ports of different sizes ---

sizes = st.tuples(st.integers(1, 3), st.floats(5e-4, 0.01), st.floats(-0.02, 0.06))
boxes = st.tuples(st.floats(0.005, 0.2), st.floats(18, 60))


@given(boxes, st.lists(sizes, min_size=1, max_size=3))
def test_a_common_length_tunes_the_box(box, ports):
    """Against a general root finder, and put back into the tuning."""
    Vb, fb = box
    try:
        length = p.common_length(Vb, fb, ports, C)
    except InputError as refusal:
        assert refusal.field == "fb"
        least = max(1e-6, *(1e-6 - e for _, _, e in ports))
        assert p.ports_tuning(Vb, ports, [least] * len(ports), C) < fb * 1.001
        return
    assert_allclose(p.ports_tuning(Vb, ports, [length] * len(ports), C), fb, rtol=1e-9)
    wanted = (2 * pi * fb) ** 2 * Vb / C**2
    low = max(0.0, *(1e-10 - e for _, _, e in ports))
    root = brentq(lambda L: sum(n * S / (L + e) for n, S, e in ports) - wanted, low, 1e3, xtol=1e-13)
    assert_allclose(length, root, rtol=1e-6, atol=1e-10)


def test_equal_ports_have_the_length_of_the_old_way():
    area, ends = p.round_area(0.05), (0.02, 0.015)
    together = p.common_length(0.03, 38.0, [(1, area, sum(ends)), (2, area, sum(ends))], C)
    assert_allclose(together, p.port_length(0.03, 38.0, 3, area, ends, C), rtol=1e-10)
    assert_allclose(
        p.remaining_length(0.03, 38.0, (1, area, sum(ends)), [(2, area, sum(ends))], [together], C),
        together,
        rtol=1e-9,
    )


@settings(max_examples=50)
@given(boxes, sizes, sizes, st.floats(0.02, 0.5))
def test_the_second_length_given_the_first_follows(box, first, second, length):
    Vb, fb = box
    try:
        found = p.remaining_length(Vb, fb, first, [second], [length], C)
    except InputError as refusal:
        assert refusal.field in ("fb", "length")
        return
    assert_allclose(p.ports_tuning(Vb, [first, second], [found, length], C), fb, rtol=1e-9)


def test_a_port_that_alone_tunes_higher_is_refused():
    with pytest.raises(InputError, match="^fb: is lower than the other port alone"):
        p.remaining_length(0.02, 30.0, (1, 2e-3, 0.03), [(1, 5e-3, 0.05)], [0.05], C)


def test_shares_of_the_flow():
    """The same pressure accelerates each: v as 1/(L + e), shares add to one, and mean speed is the mean."""
    ports, lengths = [(1, 0.004, 0.05), (2, 0.001, 0.02)], [0.15, 0.08]
    shares, speeds = p.flow_shares(ports, lengths)
    assert_allclose(sum(shares), 1)
    assert_allclose(speeds[0] / speeds[1], 0.10 / 0.20)
    assert_allclose((speeds[0] * 0.004 + speeds[1] * 0.002) / 0.006, 1)


def test_rounded_ends_need_their_own_length():
    ends = [(1, 0.003, -0.01)]
    assert p.port_length(0.02, 60.0, 1, 0.003, (0.0, -0.01), C, least=0.05) > 0.05
    for asked in (
        lambda: p.port_length(0.02, 110.0, 1, 0.003, (0.0, -0.01), C, least=0.05),
        lambda: p.common_length(0.02, 110.0, ends, C, least=0.05),
        lambda: p.remaining_length(0.02, 110.0, ends[0], [], [], C, least=0.05),
    ):
        with pytest.raises(InputError, match="^fb: .*shorter than its rounded ends"):
            asked()
    with pytest.raises(InputError, match="^length: must be longer than its rounded ends"):
        p.ports_tuning(0.02, ends, [0.005], C)


def test_left_long_it_never_comes_out_too_high():
    """Whatever the box holds and the ends add within the doubt, the tuning is at most what was wanted."""
    ports = [(1, 0.003, 0.045), (1, 0.001, 0.025)]
    left = p.length_to_leave(0.025, 38.0, ports, C)
    assert left > p.common_length(0.025, 38.0, ports, C)
    worst = []
    for air in (0.95, 1.0, 1.05):
        for ends in (0.85, 1.0, 1.15):
            doubted = [(n, S, e * ends) for n, S, e in ports]
            worst.append(p.ports_tuning(0.025 * air, doubted, [left, left], C))
    assert_allclose(max(worst), 38.0, rtol=1e-9)
    assert p.length_to_leave(0.025, 38.0, ports, C, 0.0, (), 0.0, 0.0) == p.common_length(
        0.025, 38.0, ports, C
    )


@pytest.mark.parametrize(
    ("field", "make"),
    [
        ("flare", lambda: p.end_correction(round_port(), "flared")),
        ("flare", lambda: p.end_correction(round_port(), "flared", 0.0)),
        ("flare", lambda: p.end_correction(round_port(), "flared", float("nan"))),
        ("ends", lambda: p.end_correction(round_port(), "sharp")),
        ("ends", lambda: p.end_correction(slot(0.1, 0.02), "sharp")),
        ("diameter", lambda: p.end_correction(round_port(0.0), "flared", 0.01)),
        ("width", lambda: p.end_correction(slot(float("nan"), 0.02), "flared", 0.01)),
        ("bend_radius", lambda: p.bend_correction(A, A / 2)),
        ("air_doubt", lambda: p.length_to_leave(0.02, 40.0, [(1, 0.003, 0.04)], C, air_doubt=0.6)),
        ("ends_doubt", lambda: p.length_to_leave(0.02, 40.0, [(1, 0.003, 0.04)], C, ends_doubt=-0.1)),
        ("fb", lambda: p.common_length(0.02, float("nan"), [(1, 0.003, 0.04)], C)),
        ("area", lambda: p.common_length(0.02, 40.0, [(1, -0.003, 0.04)], C)),
        ("count", lambda: p.ports_tuning(0.02, [(0, 0.003, 0.04)], [0.1], C)),
    ],
)
def test_refusals(field, make):
    with pytest.raises(InputError) as refusal:
        make()
    assert refusal.value.field == field
