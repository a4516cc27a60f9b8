"""Standing waves: exact frequencies, and lining on a wall by its own equations."""

from itertools import product
from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lined_boxes import RHO, C
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound import cavity as v

# --- the rectangular box ---


def test_axial_modes_are_half_waves():
    found = v.modes(0.2, 0.4, 0.3, C, 900.0)
    axial = {(m.along, sum(m.half_waves)): m.f for m in found if m.axial}
    assert_allclose(axial[("height",), 1], C / 0.8, rtol=1e-14)
    assert_allclose(axial[("height",), 2], C / 0.4, rtol=1e-14)
    assert_allclose(axial[("depth",), 1], C / 0.6, rtol=1e-14)
    assert_allclose(axial[("width",), 1], C / 0.4, rtol=1e-14)
    assert found[0].half_waves == (0, 1, 0) and found[0].axial
    assert [m.f for m in found] == sorted(m.f for m in found)


@settings(max_examples=25)
@given(*[st.floats(0.1, 1.2)] * 3, st.floats(200, 1200))
def test_modes_are_all_there(width, height, depth, up_to):
    """Second route: every triple counted out by hand (Morse and Ingard, from memory)."""
    found = {m.half_waves: m.f for m in v.modes(width, height, depth, C, up_to)}
    by_hand = {}
    for n in product(range(20), repeat=3):
        f = C / 2 * sqrt((n[0] / width) ** 2 + (n[1] / height) ** 2 + (n[2] / depth) ** 2)
        if 0 < f <= up_to:
            by_hand[n] = f
    assert found.keys() == by_hand.keys()
    assert_allclose([found[n] for n in by_hand], list(by_hand.values()), rtol=1e-13)


def test_modes_against_the_wave_equation_on_a_grid():
    """Second route: eigenvalues of the three-dimensional Laplacian with rigid walls by finite differences."""
    sides, cells = (0.21, 0.39, 0.27), (12, 18, 14)
    operators = []
    for side, n in zip(sides, cells, strict=True):
        A = 2 * np.eye(n) - np.eye(n, k=1) - np.eye(n, k=-1)
        A[0, 0] = A[-1, -1] = 1  # no flow through a wall
        operators.append(A * (n / side) ** 2)
    x, y, z = operators
    one = [np.eye(n) for n in cells]
    # the Laplacian is the sum along the three sides: solve the two shorter together, add the third
    pair = np.linalg.eigvalsh(np.kron(x, one[2]) + np.kron(one[0], z))
    squares = np.sort(np.add.outer(pair, np.linalg.eigvalsh(y)).ravel())
    grid = C / (2 * pi) * np.sqrt(squares[1:13])
    assert_allclose([m.f for m in v.modes(*sides, C, 2000.0)][:11], grid[:11], rtol=0.01)


def test_count_against_the_asymptotic_law():
    """4 pi/3 V (f/c)³ + pi/4 S (f/c)² + L/8 f/c, L all edges (H. Kuttruff, Room Acoustics, from memory).

    Derived: the lattice points of an ellipsoid's eighth, those on its faces and edges by 1/2 and 1/4.
    """
    w, h, d = 0.31, 0.52, 0.43
    volume, surface, edges = w * h * d, 2 * (w * h + h * d + d * w), 4 * (w + h + d)
    for f in (2000.0, 3500.0, 5000.0):
        k = f / C
        law = 4 * pi / 3 * volume * k**3 + pi / 4 * surface * k**2 + edges / 8 * k
        assert_allclose(len(v.modes(w, h, d, C, f)), law, rtol=0.03)


def test_no_mode_below_the_first():
    assert v.modes(0.2, 0.4, 0.3, C, 428.0) == ()
    assert len(v.modes(0.2, 0.4, 0.3, C, 429.0)) == 1
    assert v.modes(0.2, 0.4, 0.3, C, C / 0.8)[0].along == ("height",)


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf"), 1e300])
@pytest.mark.parametrize("field", ["width", "height", "depth", "c", "up_to"])
def test_a_box_of_no_size_is_refused(field, value):
    asked = {"width": 0.2, "height": 0.4, "depth": 0.3, "c": C, "up_to": 900.0}
    with pytest.raises(InputError) as refusal:
        v.modes(**(asked | {field: value}))
    assert refusal.value.field == field


def test_longest_side():
    assert v.longest_side(0.2, 0.3, 0.4) == ("depth", 0.4, 0.3, 0.2)
    assert v.longest_side(0.3, 0.3, 0.3)[0] == "width"


def test_where_a_mode_is_still():
    for n in (1, 2, 3):
        at = v.still_places(n, 0.6)
        assert len(at) == n
        assert_allclose(v.pressure_along(n, at, 0.6), 0, atol=1e-12)
        assert_allclose(abs(v.speed_along(n, at, 0.6)), 1, rtol=1e-12)
    assert_allclose(v.still_places(1, 0.6), [0.3])
    for n in (0, 1.5, True + 0.5, -1):
        with pytest.raises(InputError, match="^n: "):
            v.still_places(n, 0.6)


# --- a layer on a wall ---


def test_a_quarter_wave():
    assert_allclose(v.quarter_wave(343.2, C), 0.25)


def test_a_thin_sheet_takes_all_at_a_quarter_wave_and_nothing_at_half_a_wave():
    """Derived: a sheet of resistance r rho c before a gap g has the admittance 1/(r - j cot(k g)); at
    k g = pi/2 the gap is no load, and alpha = 4 r/(1 + r)²."""
    thin, gap = 1e-5, 0.2
    at_quarter, at_half = C / (4 * gap), C / (2 * gap)
    for r in (0.3, 1.0, 3.0):
        found = v.layer_absorption([at_quarter, at_half], thin, r * RHO * C / thin / 1e3, C, RHO, gap=gap)
        assert found.shape == (2,)
        share = r / 1e3
        assert_allclose(found[0], 4 * share / (1 + share) ** 2, rtol=2e-3)
        assert found[1] < 1e-5
    matched = v.layer_absorption(at_quarter, 5e-4, RHO * C / 5e-4, C, RHO, gap=gap)
    assert_allclose(matched, 1, atol=1e-4)


def test_absorption_by_the_textbook_tangent():
    """Second route: Z = -j Zc cot(k d) of the layer alone on the wall (M. Delany and E. Bazley's use of it,
    Applied Acoustics 3, 1970, from memory; here with the density rho + sigma/(j w))."""
    f, d, sigma = np.geomspace(50, 4000, 30), 0.05, 8000.0
    w = 2 * pi * f
    heavy = np.sqrt(1 + sigma / (1j * w * RHO))
    Z = -1j * heavy / np.tan(w / C * heavy * d)
    assert_allclose(v.layer_absorption(f, d, sigma, C, RHO), 1 - abs((Z - 1) / (Z + 1)) ** 2, rtol=1e-9)


def test_thin_lining_on_a_wall_does_little_and_a_gap_helps():
    """Limits: no lining takes nothing; 3 cm takes under a tenth of 200 Hz, and twice as much off the wall."""
    assert_allclose(v.layer_absorption([100.0, 1000.0], 0.03, 0.0, C, RHO), 0, atol=1e-12)
    on_wall = v.layer_absorption(200.0, 0.03, 8000.0, C, RHO)
    off_wall = v.layer_absorption(200.0, 0.03, 8000.0, C, RHO, gap=0.05)
    assert on_wall < 0.1 and off_wall > 2 * on_wall
    assert np.all(np.isfinite(v.layer_absorption(np.geomspace(1, 1e6, 40), 1.0, 1e6, C, RHO)))


def test_absorption_refuses():
    for field, asked in {
        "thickness": dict(thickness=0.0),
        "gap": dict(gap=-0.1),
        "sigma": dict(sigma=float("nan")),
        "f": dict(f=0.0),
    }.items():
        with pytest.raises(InputError, match=f"^{field}: "):
            v.layer_absorption(**(dict(f=100.0, thickness=0.03, sigma=5000.0, c=C, rho=RHO) | asked))
