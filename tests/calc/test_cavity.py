"""Standing waves: exact frequencies, the line by three routes, lining by its own equations, ngspice."""

import subprocess
from itertools import product
from math import atanh, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import newton

from calc.errors import InputError
from calc.sound import cavity as v
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.vented_box import vented_box

C, RHO, MU = 343.2, 1.204, 1.81e-5
AIR = dict(c=C, rho=RHO, mu=MU)
STILL = dict(c=C, rho=RHO, mu=1e-13)
"""Air that hardly rubs, where a test wants none of it."""

SHEET = dict(fs=36.0, Qms=4.5, Qes=0.4, Vas=0.032, Sd=0.0133, Re=5.7, Le=0.00045)
DRIVER = constants(**SHEET, c=C, rho=RHO)
"""Invented."""

F = np.geomspace(12, 700, 160)


def line(*layers, walls=v.BARE_WALLS):
    return v.Line(0.42, 0.05, 0.9, layers, walls)


def hard(*layers):
    """The same with walls that take nothing: between them and `STILL` air nothing is lost."""
    return line(*layers, walls=0.0)


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


# --- the line ---


def test_the_bare_line_in_closed_form():
    """Derived: rho c/S cos(k x) cos(k (L - x0))/(j sin(k L)), k² = (w/c)² (1 - j/Q)."""
    a = line()
    Q = v.bare_Q(F, a, C, RHO, MU)
    lossy = np.sqrt(1 - 1j / Q)
    k = 2 * pi * F / C * lossy
    wanted = RHO * C / a.area * lossy * np.cos(k * 0.1) * np.cos(k * 0.12) / (1j * np.sin(k * a.length))
    assert_allclose(v.line_impedance(F, a, [0.1], [0.3], **AIR), wanted, rtol=1e-9)


def test_the_line_by_its_modes():
    """Second route: the sum over all modes, (rho c²/(S L)) j w sum e_n cos cos/(w_n² - w² (1 - j/Q))."""
    a = line()
    n = np.arange(200_000)[:, None]
    f = np.array([30.0, 220.0, 400.0, 409.0, 700.0, 1000.0])
    w, wn = 2 * pi * f, n * pi * C / a.length
    lossy = 1 - 1j / v.bare_Q(f, a, C, RHO, MU)
    shape = np.cos(n * pi * 0.05 / a.length) * np.cos(n * pi * 0.3 / a.length) * np.where(n == 0, 1, 2)
    # (w_n/c)² - k², and the density of the lossy air: j w rho lossy/S
    summed = (shape * 1j * w * RHO * lossy / ((wn / C) ** 2 - (w / C) ** 2 * lossy)).sum(0)
    found = v.line_impedance(f, a, [0.05], [0.3], **AIR)
    assert_allclose(found, summed / (a.area * a.length), rtol=1e-4)


def test_lined_stretches_against_finite_differences():
    """Second route: the wave equation in 4000 slices, each with its own density and compressibility."""
    pad = v.Layer(0.18, 0.26, 6000.0)
    walls = v.Layer(0.26, 0.4, 9000.0, share=0.4, depth=0.03)
    end = v.Layer(0.0, 0.03, 12000.0)
    a = line(end, pad, walls)
    source, listener, n = 0.11025, 0.3307625, 4000
    for f in (35.0, 160.0, 400.0, 640.0):
        w, d = 2 * pi * f, a.length / n
        middle = (np.arange(n) + 0.5) * d
        faces = np.arange(1, n) * d

        def of(x, w=w):
            air = RHO * (1 - 1j / v.bare_Q(w / (2 * pi), a, C, RHO, MU))
            if 0.18 <= x < 0.26:
                return air + 6000 / (1j * w), 1.0
            if x < 0.03:
                return air + 12000 / (1j * w), 1.0
            if 0.26 <= x < 0.4:
                z = 0.03 * np.sqrt(-1j * w * 9000 / (RHO * C**2))
                return 1 / (0.6 / air + 0.4 / (air + 9000 / (1j * w))), 0.6 + 0.4 * np.tan(z) / z
            return air, 1.0

        coupling = np.array([a.area / (1j * w * of(x)[0] * d) for x in faces])
        spring = np.array([1j * w * a.area * d * of(x)[1] / (RHO * C**2) for x in middle])
        main = spring.copy()
        main[:-1] += coupling
        main[1:] += coupling
        banded = np.zeros((3, n), complex)
        banded[0, 1:], banded[1], banded[2, :-1] = -coupling, main, -coupling
        from scipy.linalg import solve_banded

        flow = np.zeros(n)
        flow[int(source / d)] = 1
        p = solve_banded((1, 1), banded, flow)
        found = v.line_impedance(f, a, [source], [listener], **AIR)
        assert_allclose(found, p[int(listener / d)], rtol=3e-3)


def test_at_low_frequencies_the_line_is_a_spring():
    """Exact limit: whatever the lining and wherever driver and port are, 1/(j w Cab)."""
    f = np.array([0.01, 0.1])
    for a in (line(), line(v.Layer(0.1, 0.3, 3000.0)), line(v.Layer(0.0, 0.42, 8000.0, 0.3, 0.03))):
        spring = RHO * C**2 / (2j * pi * f * a.area * a.length)
        for place in ([0.0], [0.21], [0.42], [0.1, 0.3]):
            assert_allclose(v.line_impedance(f, a, [0.05], place, **AIR), spring, rtol=3e-3)


@settings(max_examples=25)
@given(st.floats(0, 0.42), st.floats(0, 0.42), st.floats(0, 30000), st.floats(0.0, 1.0))
def test_reciprocity_and_slicing(x, y, sigma, share):
    """Source and listener may change places; a layer in two slices is the same layer; turned round too."""
    whole = line(v.Layer(0.07, 0.31, sigma, share, 0.02))
    cut = line(v.Layer(0.07, 0.2, sigma, share, 0.02), v.Layer(0.2, 0.31, sigma, share, 0.02))
    turned = line(v.Layer(0.11, 0.35, sigma, share, 0.02))
    there = v.line_impedance(F, whole, [x], [y], **AIR)
    assert_allclose(v.line_impedance(F, whole, [y], [x], **AIR), there, rtol=1e-9)
    assert_allclose(v.line_impedance(F, cut, [x], [y], **AIR), there, rtol=1e-7)
    far = v.line_impedance(F, turned, [0.42 - x], [0.42 - y], **AIR)
    assert_allclose(far, there, rtol=1e-5)


def test_several_places_share_the_flow():
    a = line(v.Layer(0.2, 0.25, 4000.0))
    one, two = ([v.line_impedance(F, a, [x], [0.4], **AIR) for x in (0.1, 0.3)],)[0]
    assert_allclose(v.line_impedance(F, a, [0.1, 0.3], [0.4], **AIR), (one + two) / 2, rtol=1e-12)


@pytest.mark.parametrize("depth", [0.02, 0.04])
@pytest.mark.parametrize("sigma", [2000.0, 8000.0, 25000.0])
def test_lining_on_a_side_wall_against_the_exact_duct(sigma, depth):
    """Derived: in air cos(a y), in lining cos(b (H - y)), pressure and speed alike at the face:
    a tan(a h)/rho + b tan(b d)/rho' = 0, with a² = k0² - kx², b² = k0² rho'/rho - kx²."""
    H = 0.2
    a = v.Line(0.42, 0.05, 0.9, (v.Layer(0.0, 0.42, sigma, depth / H, depth),), 0.0)
    for f in (200.0, 300.0):
        w = 2 * pi * f
        Z = [v.line_impedance(f, a, [0.0], [x], **STILL) for x in (0.0, 0.42)]
        kx = np.arccos(complex(Z[0] / Z[1])) / 0.42
        heavy, k0 = 1 + sigma / (1j * w * RHO), w / C

        def at_the_face(k, k0=k0, heavy=heavy):
            in_air = np.sqrt(k0**2 - k**2 + 0j)
            in_lining = np.sqrt(k0**2 * heavy - k**2 + 0j)
            return in_air * np.tan(in_air * (H - depth)) + in_lining * np.tan(in_lining * depth) / heavy

        exact = newton(at_the_face, kx * (1 + 1e-3j), tol=1e-10)
        assert_allclose(kx.real, exact.real, rtol=0.02)
        assert_allclose(abs(kx.imag), abs(exact.imag), rtol=0.2)


def test_lining_of_all_walls():
    """Derived: the layers fill what the lining of the walls takes of the box; and the depth back from it."""
    length, sides, depth = 0.42, (0.2, 0.25), 0.03
    layers = v.wall_layers(length, sides, depth, 5000.0)
    filled = sum((a.end - a.start) * a.share for a in layers) * sides[0] * sides[1]
    whole = length * sides[0] * sides[1]
    left = (length - 2 * depth) * (sides[0] - 2 * depth) * (sides[1] - 2 * depth)
    assert_allclose(filled, whole - left, rtol=1e-12)
    assert_allclose(v.walls_share(length, *sides, depth), 1 - left / whole, rtol=1e-12)
    assert_allclose(v.lining_depth(length, *sides, 1 - left / whole), depth, rtol=1e-9)
    assert v.walls_share(0.2, 0.3, 0.4, 0.1) == 1.0 and v.walls_share(0.2, 0.3, 0.4, 0.0) == 0.0
    assert [(a.start, a.end) for a in layers] == [(0.0, 0.03), (0.03, 0.39), (0.39, 0.42)]
    assert v.wall_layers(0.05, sides, depth, 5000.0) == (v.Layer(0.0, 0.05, 5000.0),)
    assert v.side_layer(0.1, 0.2, sides, 0.1, 5000.0).share == 1.0, "it meets in the middle"
    pad = v.middle_layer(0.42, 0.04, 900.0)
    assert_allclose([pad.start, pad.end, pad.share], [0.19, 0.23, 1.0], rtol=1e-12)
    slab = v.slab_layer(0.42, 0.05, 0.2, 900.0, faces=2)
    assert (slab.share, slab.depth, slab.end) == (0.25, 0.025, 0.42)
    assert v.middle_layer(0.42, 1.0, 900.0) == v.Layer(0.0, 0.42, 900.0)


def test_depth_of_lining_at_its_ends():
    assert v.lining_depth(0.2, 0.3, 0.4, 0.0) < 1e-12
    assert_allclose(v.lining_depth(0.2, 0.3, 0.4, 1.0), 0.1, rtol=1e-9)
    with pytest.raises(InputError, match="^share: "):
        v.lining_depth(0.2, 0.3, 0.4, 1.1)
    with pytest.raises(InputError, match="^height: "):
        v.lining_depth(0.2, 0.0, 0.4, 0.5)


def test_the_line_refuses():
    for field, wrong in {
        "sources": lambda: v.line_impedance(F, line(), [0.43], [0.1], **AIR),
        "listeners": lambda: v.line_impedance(F, line(), [0.1], [float("nan")], **AIR),
        "layers": lambda: line(v.Layer(0.1, 0.5, 5000.0)),
        "end": lambda: v.Layer(0.2, 0.1, 5000.0),
        "share": lambda: v.Layer(0.1, 0.2, 5000.0, share=1.2),
        "sigma": lambda: v.line_impedance([1e5], line(v.Layer(0.0, 0.42, 1e6)), [0.0], [0.42], **AIR),
        "length": lambda: v.Line(0.0, 0.05, 0.9),
        "walls": lambda: line(walls=1.0),
        "f": lambda: v.line_impedance([0.0], line(), [0.1], [0.1], **AIR),
    }.items():
        with pytest.raises(InputError, match=f"^{field}: "):
            wrong()
    with pytest.raises(InputError, match="^layers: must not overlap"):
        line(v.Layer(0.1, 0.2, 5000.0), v.Layer(0.15, 0.3, 5000.0))
    with pytest.raises(InputError, match="^sources: needs"):
        v.line_impedance(F, line(), [], [0.1], **AIR)


# --- how long a mode rings ---


def test_ring_of_the_bare_line():
    """Half-power width of the resonance at the end wall: df = f/Q, read from the curve itself."""
    Q, f0 = v.mode_Q(1, line(), **AIR)
    assert_allclose(f0, C / 0.84, rtol=0.01)
    assert 10 < Q < 60, "a wooden box without lining rings, but is no bell"
    assert_allclose(Q, v.bare_Q(f0, line(), C, RHO, MU), rtol=0.01)
    f = np.linspace(f0 * 0.9, f0 * 1.1, 20001)
    power = abs(v.line_impedance(f, line(), [0.0], [0.42], **AIR)) ** 2
    above = f[power > power.max() / 2]
    assert_allclose(f0 / (above[-1] - above[0]), Q, rtol=0.02)


def test_what_bare_boards_take():
    """Derived. In an endless duct of wall admittance b = walls/8 (of diffuse sound a small one takes 8 b),
    k² = k0² - j k0 b P/S; at an end each bounce leaves ((1 - b)/(1 + b))² of the power, twice in 2 L/c."""
    f, w, b = 300.0, 2 * pi * 300.0, 0.04 / 8
    endless = v.Line(1e6, 0.05, 0.9, walls=0.04)
    assert_allclose(1 / v.bare_Q(f, endless, C, RHO, 1e-15), C / w * b * 0.9 / 0.05, rtol=1e-3)
    smooth = v.Line(0.42, 0.05, 1e-9, walls=0.04)
    left = ((1 - b) / (1 + b)) ** 4
    assert_allclose(1 / v.bare_Q(f, smooth, C, RHO, 1e-15), -np.log(left) * C / (2 * 0.42) / w, rtol=1e-3)
    rubbing = v.bare_Q(f, v.Line(0.42, pi * 0.1**2, 2 * pi * 0.1, walls=0.0), C, RHO, MU)
    # Kirchhoff's attenuation of a tube, 2.9e-5 sqrt(f)/r nepers per metre (handbooks, from memory)
    assert_allclose(w / C / (2 * rubbing), 2.9e-5 * sqrt(f) / 0.1, rtol=0.05)


@pytest.mark.parametrize("sigma", [50.0, 1000.0, 4000.0])
def test_ring_of_friction_all_along(sigma):
    """Derived: w² - j w sigma/rho = w_n², Im w = sigma/(2 rho), Re w = sqrt(w_n² - (sigma/(2 rho))²)."""
    for n in (1, 2):
        decay, rest = sigma / (2 * RHO), n * pi * C / 0.42
        Q, f = v.mode_Q(n, hard(v.Layer(0.0, 0.42, sigma)), **STILL)
        assert_allclose(
            [Q, 2 * pi * f], [sqrt(rest**2 - decay**2) / (2 * decay), sqrt(rest**2 - decay**2)], rtol=1e-5
        )


def test_friction_all_along_that_stops_the_swing():
    assert v.mode_Q(1, line(v.Layer(0.0, 0.42, 7000.0)), **STILL) is None


@pytest.mark.parametrize("r", [0.2, 0.6, 1.0, 1.5])
def test_ring_of_a_sheet_across_the_middle(r):
    """Derived: both halves swing against the sheet's drop, tanh(Im w L/(2 c)) = r/2, and the note stays."""
    thin = 1e-3
    Q, f = v.mode_Q(1, hard(v.Layer(0.21 - thin / 2, 0.21 + thin / 2, r * RHO * C / thin)), **STILL)
    assert_allclose(Q, pi / (4 * atanh(r / 2)), rtol=0.01)
    assert_allclose(f, C / 0.84, rtol=0.01)


def test_a_sheet_that_is_too_dense_parts_the_box():
    """The same equation has no swing from r = 2 on: what is left are two halves, each a box of its own."""
    thin = 1e-3
    sheet = hard(v.Layer(0.21 - thin / 2, 0.21 + thin / 2, 2.4 * RHO * C / thin))
    assert v.mode_Q(1, sheet, **STILL) is None
    assert v.mode_Q(2, sheet, **STILL)[0] > 20


def test_light_lining_counts_by_the_speed_of_the_air():
    """Derived, first order: 1/Q = sigma/(w rho) mean of sin² over mean of sin² along the line."""
    for n, start, end in ((1, 0.0, 0.03), (1, 0.195, 0.225), (2, 0.0, 0.03), (2, 0.195, 0.225)):
        sigma, L = 200.0, 0.42
        Q, f = v.mode_Q(n, hard(v.Layer(start, end, sigma)), **STILL)
        x = np.linspace(start, end, 2001)
        weight = np.trapezoid(np.sin(n * pi * x / L) ** 2, x) / (L / 2)
        assert_allclose(1 / Q, sigma / (2 * pi * f * RHO) * weight, rtol=0.02)


def test_a_pad_in_the_middle_does_fifty_times_what_it_does_at_an_end():
    """The rule of the docstring: (2/3) pi² (d/L)³ at an end, 2 d/L in the middle."""
    d, L = 0.03, 0.42
    at_end = v.mode_Q(1, hard(v.Layer(0.0, d, 300.0)), **STILL)[0]
    middle = v.mode_Q(1, hard(v.Layer((L - d) / 2, (L + d) / 2, 300.0)), **STILL)[0]
    assert_allclose(at_end / middle, 2 / (2 / 3 * pi**2 * (d / L) ** 2), rtol=0.03)
    assert at_end / middle > 50


def test_a_mode_never_rings_longer_with_lining():
    bare = v.mode_Q(1, line(), **AIR)[0]
    for layer in (v.Layer(0, 0.02, 20000.0), v.Layer(0, 0.42, 5000.0, 0.3, 0.03), v.Layer(0.2, 0.22, 3000.0)):
        assert v.mode_Q(1, line(layer), **AIR)[0] < bare


# --- driver and port on the line ---


def opening(f, Vb, fb, QP=None):
    """Impedance of a port that tunes Vb [m³] to fb [Hz], written out: j w Map + Rap."""
    Cab, wb = Vb / (RHO * C**2), 2 * pi * fb
    return 2j * pi * f / (wb**2 * Cab) + (0 if QP is None else 1 / (wb * Cab * QP))


def losses(Vb, fq, QL, QA):
    Cab, w = Vb / (RHO * C**2), 2 * pi * fq
    return dict(leak=w * Cab / QL, absorption=1 / (w * Cab * QA))


VB, LONG = 0.021, 0.42
LUMPED = np.geomspace(5, 45, 30)
"""Well below c/(8 L), which is 102 Hz here."""


@pytest.mark.parametrize("places", [([0.0], [0.42]), ([0.1], [0.35]), ([0.21], [0.0]), ([0.3, 0.1], [0.4])])
def test_at_low_frequencies_the_vented_line_is_the_vented_box(places):
    """Its exact limit is the lumped box; that this is `vented_box` follows from the flat box below."""
    cones, ports = places
    lost = losses(VB, 40, 9.0, 50.0)
    port = dict(ports=ports, opening=opening(LUMPED, VB, 40.0, 60.0))
    assert_allclose(v.ripple(LUMPED, DRIVER, line(), cones, Rs=0.3, **port, **lost, **AIR), 0, atol=0.05)
    deep = v.ripple([0.5], DRIVER, line(), cones, ports=ports, opening=opening(0.5, VB, 40.0), **AIR)
    assert_allclose(deep, 0, atol=1e-3)


def test_at_low_frequencies_the_closed_line_is_the_closed_box():
    for cones in ([0.0], [0.1], [0.21]):
        lost = losses(VB, 50.0, 12.0, 30.0)
        assert_allclose(v.ripple(LUMPED, DRIVER, line(), cones, **lost, **AIR), 0, atol=0.05)
        assert_allclose(v.ripple([0.5], DRIVER, line(), cones, **AIR), 0, atol=1e-5)
        lined = line(v.Layer(0.0, 0.1, 9000.0), v.Layer(0.2, 0.25, 4000.0))
        assert_allclose(v.ripple([0.5], DRIVER, lined, cones, **AIR), 0, atol=1e-3)


@pytest.mark.parametrize("cone", [0.0, 0.1, 0.21, 0.42])
def test_the_mass_of_the_air_in_the_line_moves_with_the_cone(cone):
    """Second route: a closed box whose cone is heavier by Sd² times that mass; well below the first mode."""
    mass = DRIVER.Mms + v.air_mass(line(), [cone], [cone], RHO) * DRIVER.Sd**2
    ws = 1 / sqrt(mass * DRIVER.Cms)
    heavier = constants(
        ws / (2 * pi), ws * mass / DRIVER.Rms, ws * mass * DRIVER.Re / DRIVER.Bl**2,
        DRIVER.Vas, DRIVER.Sd, DRIVER.Re, C, RHO, DRIVER.Le,
    )  # fmt: skip
    loud, lost = dict(V=4.0, distance=2.0), losses(VB, 50.0, 12.0, 30.0)
    found = v.line_level(LUMPED, DRIVER, line(), [cone], **loud, **lost, **AIR)
    box = closed_box(LUMPED, heavier, VB, C, RHO, QL=12.0, QA=30.0, fq=50.0, **loud)
    assert_allclose(found, box.level, atol=0.03)


def test_the_mass_of_the_air_in_the_line():
    """Derived: the slope of the impedance over its spring. Between the ends it is below zero."""
    w = 2 * pi * 20.0
    for x, y in ((0.0, 0.0), (0.1, 0.3), (0.0, 0.42), (0.21, 0.21)):
        Z = v.line_impedance(20.0, line(), [x], [y], **STILL) - RHO * C**2 / (1j * w * 0.05 * 0.42)
        assert_allclose(v.air_mass(line(), [x], [y], RHO), Z.imag / w, rtol=0.01, atol=0.01)
    assert v.air_mass(line(), [0.0], [0.42], RHO) < 0


def test_at_low_frequencies_a_radiator_too():
    Sp, Cmp, Mmp, Rmp = 0.0133, 0.0015, 0.032, 0.6
    s = 2j * pi * LUMPED
    Z = (s * Mmp + 1 / (s * Cmp) + Rmp) / Sp**2
    assert_allclose(v.ripple(LUMPED, DRIVER, line(), [0.1], ports=[0.35], opening=Z, **AIR), 0, atol=0.05)
    flat = v.Line(0.01, VB / 0.01, 6.0, walls=0.0)
    box = passive_radiator_box(LUMPED, DRIVER, VB, 1, Sp, Cmp, Mmp, Rmp, C, RHO)
    found = v.line_level(LUMPED, DRIVER, flat, [0.0], ports=[0.01], opening=Z, **STILL)
    assert_allclose(found, box.level, atol=0.01)


def test_a_pad_between_cone_and_port_is_a_loss_at_the_tuning():
    """What the docstring warns of: across the whole section the air to the port must pass it."""
    f = np.array([40.0])
    port = dict(ports=[0.42], opening=opening(f, VB, 40.0), **AIR)
    between = v.ripple(f, DRIVER, line(v.Layer(0.2, 0.25, 6000.0)), [0.0], **port)
    beside = v.ripple(f, DRIVER, line(v.Layer(0.0, 0.42, 6000.0, 0.2, 0.03)), [0.0], **port)
    assert between < -0.2 and abs(beside) < abs(between) / 2


def test_a_very_short_line_is_the_lumped_box_at_all_notes():
    """Exact limit of another kind: the same air as a flat box, whose first wave lies at 17 kHz."""
    flat = v.Line(0.01, VB / 0.01, 6.0, walls=0.0)
    f = np.geomspace(10, 500, 40)
    found = v.line_level(f, DRIVER, flat, [0.0], ports=[0.01], opening=opening(f, VB, 40.0, 80.0), **STILL)
    assert_allclose(found, vented_box(f, DRIVER, VB, 40.0, C, RHO, QP=80.0).level, atol=0.01)


def test_the_middle_neither_drives_nor_hears_the_first_mode():
    """Port at the end: a cone at the other end makes a peak at c/(2 L), one in the middle hardly any. And of
    a cone at the end a port in the middle gets the spring's pressure (and a rest of higher modes)."""
    f0 = C / (2 * LONG)
    f = np.linspace(0.9 * f0, 1.1 * f0, 301)
    port = dict(ports=[LONG], opening=opening(f, VB, 40.0), **AIR)
    loud, quiet = (v.ripple(f, DRIVER, line(), [x], **port) for x in (0.0, LONG / 2))
    assert np.ptp(loud) > 2 and np.ptp(loud) > 5 * np.ptp(quiet)
    heard, deaf = (abs(v.line_impedance(f0, line(), [0.0], [x], **AIR)) for x in (LONG, LONG / 2))
    spring = RHO * C**2 / (2 * pi * f0 * VB)
    assert heard > 20 * spring and deaf < 2 * spring


def test_three_sides_add_as_their_waves_do():
    """Second route: cone and port in a sum over the axial waves of a box; the circuit written out anew."""
    inner, cone, port = (0.2, 0.42, 0.3), (0.08, 0.11, 0.0), (0.15, 0.36, 0.3)
    volume = np.prod(inner)
    sides = []
    for axis, length in enumerate(inner):
        a, b = (side for k, side in enumerate(inner) if k != axis)
        sides.append(v.Placed(v.Line(length, a * b, 2 * (a + b)), (cone[axis],), (port[axis],)))
    f = np.array([150.0, 390.0, 409.0, 450.0, 572.0, 600.0])
    w = 2 * pi * f
    n = np.arange(1, 40_000)[:, None]
    total = dict.fromkeys(("cc", "cp", "pp"), RHO * C**2 / (1j * w * volume))
    for axis, (line_, _, _) in enumerate(sides):
        lossy, L = 1 - 1j / v.bare_Q(f, line_, C, RHO, MU), inner[axis]
        for pair in total:
            x, y = ({"c": cone, "p": port}[one][axis] for one in pair)
            shape = 2 * np.cos(n * pi * x / L) * np.cos(n * pi * y / L)
            swing = (n * pi / L) ** 2 - (w / C) ** 2 * lossy
            # each wave less what is left of it far below its note: the mass of the air
            modal = (shape * 1j * w * RHO * lossy * (1 / swing - 1 / (n * pi / L) ** 2)).sum(0)
            total[pair] = total[pair] + modal / volume
    Zo = opening(f, volume, 40.0)

    def outside(cc, cp, pp):
        Zm = 1j * w * DRIVER.Mms + DRIVER.Rms + 1 / (1j * w * DRIVER.Cms)
        Ze = DRIVER.Re + 1j * w * DRIVER.Le
        load = cc - cp**2 / (Zo + pp)
        u = DRIVER.Bl / (Ze * (Zm + DRIVER.Sd**2 * load) + DRIVER.Bl**2)
        return u * (1 - cp / (Zo + pp))

    spring = RHO * C**2 / (1j * w * volume)
    wanted = 20 * np.log10(abs(outside(*total.values()) / outside(spring, spring, spring)))
    found = v.axial_ripple(f, DRIVER, sides, C, RHO, MU, opening=Zo)
    assert_allclose(found, wanted, atol=0.01)
    alone = v.ripple(f, DRIVER, *sides[1][:2], C, RHO, MU, ports=sides[1].ports, opening=Zo)
    assert abs(found - alone).max() > 0.5, "the depth is heard too, at 572 Hz"
    deep = v.axial_ripple([0.5], DRIVER, sides, C, RHO, MU, opening=opening(0.5, volume, 40.0))
    assert_allclose(deep, 0, atol=1e-3)


def test_a_pad_in_the_middle_tames_the_ripple():
    f = np.geomspace(150, 500, 400)
    at = dict(cones=[0.0], ports=[LONG], opening=opening(f, VB, 40.0), **AIR)
    bare, pad, ends = (
        v.ripple(f, DRIVER, a, **at)
        for a in (
            line(),
            line(v.Layer(0.19, 0.23, 8000.0)),
            line(v.Layer(0.0, 0.02, 8000.0), v.Layer(0.40, 0.42, 8000.0)),
        )
    )
    assert abs(pad).max() < 0.4 * abs(ends).max() < 0.4 * abs(bare).max()


def test_source_resistance_and_capacitor_count():
    """A large capacitor is none; resistance and capacitor leave the terminals what they leave of the box."""
    f = np.geomspace(8, 25, 10)
    plain = v.line_level(f, DRIVER, line(), [0.1], **AIR)
    assert_allclose(v.line_level(f, DRIVER, line(), [0.1], capacitor=10.0, **AIR), plain, atol=0.01)
    with_both = v.line_level(f, DRIVER, line(), [0.1], capacitor=4e-4, Rs=0.5, **AIR)
    # the same before the terminals, by the impedance of the lumped box
    bare = closed_box(f, DRIVER, VB, C, RHO)
    Z = bare.Z * np.exp(1j * np.radians(bare.Z_phase))
    share = abs(Z / (Z + 0.5 + 1 / (2j * pi * f * 4e-4)))
    assert_allclose(with_both, plain + 20 * np.log10(share), atol=0.1)


def test_more_drive_more_level():
    louder = v.line_level(F, DRIVER, line(), [0.1], V=28.3, **AIR) - v.line_level(
        F, DRIVER, line(), [0.1], **AIR
    )
    assert_allclose(louder, 20, atol=1e-9)


def test_the_level_refuses():
    for field, asked in {"V": 0.0, "Rs": -1.0, "distance": float("nan"), "capacitor": 0.0}.items():
        with pytest.raises(InputError, match=f"^{field}: "):
            v.line_level(F, DRIVER, line(), [0.1], **AIR, **{field: asked})
    with pytest.raises(InputError, match="^ports: needs at least one place"):
        v.line_level(F, DRIVER, line(), [0.1], opening=opening(F, VB, 40.0), **AIR)


def test_the_whole_against_ngspice(tmp_path):
    """The box a ladder of 300 springs and masses with a pad's friction."""
    n, cone, port, fb = 300, 45, 269, 40.0
    a = hard(v.Layer(0.196, 0.224, 900.0))
    d = a.length / n
    spring, mass = a.area * d / (RHO * C**2), RHO * d / a.area
    lines = [
        "* the air of a box as a ladder",
        "Vg in 0 DC 0 AC 2.83",
        f"Re in e2 {DRIVER.Re}", f"Le e2 e4 {DRIVER.Le}",
        f"Hemf e4 e5 Vmu {DRIVER.Bl}", "Vie e5 0 0",
        f"Hf m1 0 Vie {DRIVER.Bl}", f"Lm m1 m2 {DRIVER.Mms}", f"Rm m2 m3 {DRIVER.Rms}",
        f"Cm m3 m4 {DRIVER.Cms}", "Rcm m3 m4 1e12",
        "Vmu m4 m5 0", f"Epr m5 0 0 n{cone} {DRIVER.Sd}",
        f"Fud n{cone} 0 Vmu {DRIVER.Sd}",
        f"Vip n{port} p1 0", f"Lap p1 0 {RHO * C**2 / (VB * (2 * pi * fb) ** 2)}",
        "Rdc n0 0 1e15",
    ]  # fmt: skip
    for i in range(n):
        lines.append(f"Ca{i} n{i} 0 {spring}")
        if i < n - 1:
            face = (i + 1) * d
            friction = 900.0 * d / a.area if 0.196 <= face < 0.224 else 1e-6
            lines += [f"La{i} n{i} r{i} {mass}", f"Ra{i} r{i} n{i + 1} {friction}"]
    out = tmp_path / "out.txt"
    lines += [
        ".options gmin=1e-30 reltol=1e-9 abstol=1e-30",
        ".control", "set numdgt=12", "set wr_singlescale", "set wr_vecnames",
        "ac dec 40 20 700", f"wrdata {out} i(vmu) i(vip)", "quit", ".endc", ".end",
    ]  # fmt: skip
    (tmp_path / "ladder.cir").write_text("\n".join(lines) + "\n")
    done = subprocess.run(
        ["ngspice", "-b", "ladder.cir"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert out.exists(), done.stdout[-2000:] + done.stderr[-2000:]
    table = np.loadtxt(out, skiprows=1)
    f = table[:, 0]
    flow = DRIVER.Sd * (table[:, 1] + 1j * table[:, 2]) + table[:, 3] + 1j * table[:, 4]
    level = 20 * np.log10(RHO * f * abs(flow) / 2e-5)
    x, y = ((i + 0.5) * d for i in (cone, port))
    found = v.line_level(f, DRIVER, a, [x], ports=[y], opening=opening(f, VB, fb), **STILL)
    assert_allclose(found, level, atol=0.05)
    lumped = vented_box(f, DRIVER, VB, fb, C, RHO)
    assert abs(found - lumped.level).max() > 1, "there is a ripple to agree on"
