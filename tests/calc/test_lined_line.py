"""The line by three routes, and how long a mode rings."""

from math import atanh, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lined_boxes import AIR, MU, RHO, STILL, C, F, hard, line
from numpy.testing import assert_allclose
from scipy.optimize import newton

from calc.errors import InputError
from calc.sound import cavity as v
from calc.sound import lined_line as tube

# --- the line ---


def test_the_bare_line_in_closed_form():
    """Derived: rho c/S cos(k x) cos(k (L - x0))/(j sin(k L)), k² = (w/c)² (1 - j/Q)."""
    a = line()
    Q = tube.bare_Q(F, a, C, RHO, MU)
    lossy = np.sqrt(1 - 1j / Q)
    k = 2 * pi * F / C * lossy
    wanted = RHO * C / a.area * lossy * np.cos(k * 0.1) * np.cos(k * 0.12) / (1j * np.sin(k * a.length))
    assert_allclose(tube.line_impedance(F, a, [0.1], [0.3], **AIR), wanted, rtol=1e-9)


def test_the_line_by_its_modes():
    """Second route: the sum over all modes, (rho c²/(S L)) j w sum e_n cos cos/(w_n² - w² (1 - j/Q))."""
    a = line()
    n = np.arange(200_000)[:, None]
    f = np.array([30.0, 220.0, 400.0, 409.0, 700.0, 1000.0])
    w, wn = 2 * pi * f, n * pi * C / a.length
    lossy = 1 - 1j / tube.bare_Q(f, a, C, RHO, MU)
    shape = np.cos(n * pi * 0.05 / a.length) * np.cos(n * pi * 0.3 / a.length) * np.where(n == 0, 1, 2)
    # (w_n/c)² - k², and the density of the lossy air: j w rho lossy/S
    summed = (shape * 1j * w * RHO * lossy / ((wn / C) ** 2 - (w / C) ** 2 * lossy)).sum(0)
    found = tube.line_impedance(f, a, [0.05], [0.3], **AIR)
    assert_allclose(found, summed / (a.area * a.length), rtol=1e-4)


def test_lined_stretches_against_finite_differences():
    """Second route: the wave equation in 4000 slices, each with its own density and compressibility."""
    pad = tube.Layer(0.18, 0.26, 6000.0)
    walls = tube.Layer(0.26, 0.4, 9000.0, share=0.4, depth=0.03)
    end = tube.Layer(0.0, 0.03, 12000.0)
    a = line(end, pad, walls)
    source, listener, n = 0.11025, 0.3307625, 4000
    for f in (35.0, 160.0, 400.0, 640.0):
        w, d = 2 * pi * f, a.length / n
        middle = (np.arange(n) + 0.5) * d
        faces = np.arange(1, n) * d

        def of(x, w=w):
            air = RHO * (1 - 1j / tube.bare_Q(w / (2 * pi), a, C, RHO, MU))
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
        found = tube.line_impedance(f, a, [source], [listener], **AIR)
        assert_allclose(found, p[int(listener / d)], rtol=3e-3)


def test_at_low_frequencies_the_line_is_a_spring():
    """Exact limit: whatever the lining and wherever driver and port are, 1/(j w Cab)."""
    f = np.array([0.01, 0.1])
    for a in (line(), line(tube.Layer(0.1, 0.3, 3000.0)), line(tube.Layer(0.0, 0.42, 8000.0, 0.3, 0.03))):
        spring = RHO * C**2 / (2j * pi * f * a.area * a.length)
        for place in ([0.0], [0.21], [0.42], [0.1, 0.3]):
            assert_allclose(tube.line_impedance(f, a, [0.05], place, **AIR), spring, rtol=3e-3)


@settings(max_examples=25)
@given(st.floats(0, 0.42), st.floats(0, 0.42), st.floats(0, 30000), st.floats(0.0, 1.0))
def test_reciprocity_and_slicing(x, y, sigma, share):
    """Source and listener may change places; a layer in two slices is the same layer; turned round too."""
    whole = line(tube.Layer(0.07, 0.31, sigma, share, 0.02))
    cut = line(tube.Layer(0.07, 0.2, sigma, share, 0.02), tube.Layer(0.2, 0.31, sigma, share, 0.02))
    turned = line(tube.Layer(0.11, 0.35, sigma, share, 0.02))
    there = tube.line_impedance(F, whole, [x], [y], **AIR)
    assert_allclose(tube.line_impedance(F, whole, [y], [x], **AIR), there, rtol=1e-9)
    assert_allclose(tube.line_impedance(F, cut, [x], [y], **AIR), there, rtol=1e-7)
    far = tube.line_impedance(F, turned, [0.42 - x], [0.42 - y], **AIR)
    assert_allclose(far, there, rtol=1e-5)


def test_several_places_share_the_flow():
    a = line(tube.Layer(0.2, 0.25, 4000.0))
    one, two = ([tube.line_impedance(F, a, [x], [0.4], **AIR) for x in (0.1, 0.3)],)[0]
    assert_allclose(tube.line_impedance(F, a, [0.1, 0.3], [0.4], **AIR), (one + two) / 2, rtol=1e-12)


@pytest.mark.parametrize("depth", [0.02, 0.04])
@pytest.mark.parametrize("sigma", [2000.0, 8000.0, 25000.0])
def test_lining_on_a_side_wall_against_the_exact_duct(sigma, depth):
    """Derived: in air cos(a y), in lining cos(b (H - y)), pressure and speed alike at the face:
    a tan(a h)/rho + b tan(b d)/rho' = 0, with a² = k0² - kx², b² = k0² rho'/rho - kx²."""
    H = 0.2
    a = tube.Line(0.42, 0.05, 0.9, (tube.Layer(0.0, 0.42, sigma, depth / H, depth),), 0.0)
    for f in (200.0, 300.0):
        w = 2 * pi * f
        Z = [tube.line_impedance(f, a, [0.0], [x], **STILL) for x in (0.0, 0.42)]
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
    layers = tube.wall_layers(length, sides, depth, 5000.0)
    filled = sum((a.end - a.start) * a.share for a in layers) * sides[0] * sides[1]
    whole = length * sides[0] * sides[1]
    left = (length - 2 * depth) * (sides[0] - 2 * depth) * (sides[1] - 2 * depth)
    assert_allclose(filled, whole - left, rtol=1e-12)
    assert_allclose(v.walls_share(length, *sides, depth), 1 - left / whole, rtol=1e-12)
    assert_allclose(v.lining_depth(length, *sides, 1 - left / whole), depth, rtol=1e-9)
    assert v.walls_share(0.2, 0.3, 0.4, 0.1) == 1.0 and v.walls_share(0.2, 0.3, 0.4, 0.0) == 0.0
    assert [(a.start, a.end) for a in layers] == [(0.0, 0.03), (0.03, 0.39), (0.39, 0.42)]
    assert tube.wall_layers(0.05, sides, depth, 5000.0) == (tube.Layer(0.0, 0.05, 5000.0),)
    assert tube.side_layer(0.1, 0.2, sides, 0.1, 5000.0).share == 1.0, "it meets in the middle"
    pad = tube.middle_layer(0.42, 0.04, 900.0)
    assert_allclose([pad.start, pad.end, pad.share], [0.19, 0.23, 1.0], rtol=1e-12)
    slab = tube.slab_layer(0.42, 0.05, 0.2, 900.0, faces=2)
    assert (slab.share, slab.depth, slab.end) == (0.25, 0.025, 0.42)
    assert tube.middle_layer(0.42, 1.0, 900.0) == tube.Layer(0.0, 0.42, 900.0)


def test_depth_of_lining_at_its_ends():
    assert v.lining_depth(0.2, 0.3, 0.4, 0.0) < 1e-12
    assert_allclose(v.lining_depth(0.2, 0.3, 0.4, 1.0), 0.1, rtol=1e-9)
    with pytest.raises(InputError, match="^share: "):
        v.lining_depth(0.2, 0.3, 0.4, 1.1)
    with pytest.raises(InputError, match="^height: "):
        v.lining_depth(0.2, 0.0, 0.4, 0.5)


def test_the_line_refuses():
    for field, wrong in {
        "sources": lambda: tube.line_impedance(F, line(), [0.43], [0.1], **AIR),
        "listeners": lambda: tube.line_impedance(F, line(), [0.1], [float("nan")], **AIR),
        "layers": lambda: line(tube.Layer(0.1, 0.5, 5000.0)),
        "end": lambda: tube.Layer(0.2, 0.1, 5000.0),
        "share": lambda: tube.Layer(0.1, 0.2, 5000.0, share=1.2),
        "sigma": lambda: tube.line_impedance([1e5], line(tube.Layer(0.0, 0.42, 1e6)), [0.0], [0.42], **AIR),
        "length": lambda: tube.Line(0.0, 0.05, 0.9),
        "walls": lambda: line(walls=1.0),
        "f": lambda: tube.line_impedance([0.0], line(), [0.1], [0.1], **AIR),
    }.items():
        with pytest.raises(InputError, match=f"^{field}: "):
            wrong()
    with pytest.raises(InputError, match="^layers: must not overlap"):
        line(tube.Layer(0.1, 0.2, 5000.0), tube.Layer(0.15, 0.3, 5000.0))
    with pytest.raises(InputError, match="^sources: needs"):
        tube.line_impedance(F, line(), [], [0.1], **AIR)


# --- how long a mode rings ---


def test_ring_of_the_bare_line():
    """Half-power width of the resonance at the end wall: df = f/Q, read from the curve itself."""
    Q, f0 = tube.mode_Q(1, line(), **AIR)
    assert_allclose(f0, C / 0.84, rtol=0.01)
    assert 10 < Q < 60, "a wooden box without lining rings, but is no bell"
    assert_allclose(Q, tube.bare_Q(f0, line(), C, RHO, MU), rtol=0.01)
    f = np.linspace(f0 * 0.9, f0 * 1.1, 20001)
    power = abs(tube.line_impedance(f, line(), [0.0], [0.42], **AIR)) ** 2
    above = f[power > power.max() / 2]
    assert_allclose(f0 / (above[-1] - above[0]), Q, rtol=0.02)


def test_what_bare_boards_take():
    """Derived. In an endless duct of wall admittance b = walls/8 (of diffuse sound a small one takes 8 b),
    k² = k0² - j k0 b P/S; at an end each bounce leaves ((1 - b)/(1 + b))² of the power, twice in 2 L/c."""
    f, w, b = 300.0, 2 * pi * 300.0, 0.04 / 8
    endless = tube.Line(1e6, 0.05, 0.9, walls=0.04)
    assert_allclose(1 / tube.bare_Q(f, endless, C, RHO, 1e-15), C / w * b * 0.9 / 0.05, rtol=1e-3)
    smooth = tube.Line(0.42, 0.05, 1e-9, walls=0.04)
    left = ((1 - b) / (1 + b)) ** 4
    assert_allclose(1 / tube.bare_Q(f, smooth, C, RHO, 1e-15), -np.log(left) * C / (2 * 0.42) / w, rtol=1e-3)
    rubbing = tube.bare_Q(f, tube.Line(0.42, pi * 0.1**2, 2 * pi * 0.1, walls=0.0), C, RHO, MU)
    # Kirchhoff's attenuation of a tube, 2.9e-5 sqrt(f)/r nepers per metre (handbooks, from memory)
    assert_allclose(w / C / (2 * rubbing), 2.9e-5 * sqrt(f) / 0.1, rtol=0.05)


@pytest.mark.parametrize("sigma", [50.0, 1000.0, 4000.0])
def test_ring_of_friction_all_along(sigma):
    """Derived: w² - j w sigma/rho = w_n², Im w = sigma/(2 rho), Re w = sqrt(w_n² - (sigma/(2 rho))²)."""
    for n in (1, 2):
        decay, rest = sigma / (2 * RHO), n * pi * C / 0.42
        Q, f = tube.mode_Q(n, hard(tube.Layer(0.0, 0.42, sigma)), **STILL)
        assert_allclose(
            [Q, 2 * pi * f], [sqrt(rest**2 - decay**2) / (2 * decay), sqrt(rest**2 - decay**2)], rtol=1e-5
        )


def test_friction_all_along_that_stops_the_swing():
    assert tube.mode_Q(1, line(tube.Layer(0.0, 0.42, 7000.0)), **STILL) is None


@pytest.mark.parametrize("r", [0.2, 0.6, 1.0, 1.5])
def test_ring_of_a_sheet_across_the_middle(r):
    """Derived: both halves swing against the sheet's drop, tanh(Im w L/(2 c)) = r/2, and the note stays."""
    thin = 1e-3
    Q, f = tube.mode_Q(1, hard(tube.Layer(0.21 - thin / 2, 0.21 + thin / 2, r * RHO * C / thin)), **STILL)
    assert_allclose(Q, pi / (4 * atanh(r / 2)), rtol=0.01)
    assert_allclose(f, C / 0.84, rtol=0.01)


def test_a_sheet_that_is_too_dense_parts_the_box():
    """The same equation has no swing from r = 2 on: what is left are two halves, each a box of its own."""
    thin = 1e-3
    sheet = hard(tube.Layer(0.21 - thin / 2, 0.21 + thin / 2, 2.4 * RHO * C / thin))
    assert tube.mode_Q(1, sheet, **STILL) is None
    assert tube.mode_Q(2, sheet, **STILL)[0] > 20


def test_light_lining_counts_by_the_speed_of_the_air():
    """Derived, first order: 1/Q = sigma/(w rho) mean of sin² over mean of sin² along the line."""
    for n, start, end in ((1, 0.0, 0.03), (1, 0.195, 0.225), (2, 0.0, 0.03), (2, 0.195, 0.225)):
        sigma, L = 200.0, 0.42
        Q, f = tube.mode_Q(n, hard(tube.Layer(start, end, sigma)), **STILL)
        x = np.linspace(start, end, 2001)
        weight = np.trapezoid(np.sin(n * pi * x / L) ** 2, x) / (L / 2)
        assert_allclose(1 / Q, sigma / (2 * pi * f * RHO) * weight, rtol=0.02)


def test_a_pad_in_the_middle_does_fifty_times_what_it_does_at_an_end():
    """The rule of the docstring: (2/3) pi² (d/L)³ at an end, 2 d/L in the middle."""
    d, L = 0.03, 0.42
    at_end = tube.mode_Q(1, hard(tube.Layer(0.0, d, 300.0)), **STILL)[0]
    middle = tube.mode_Q(1, hard(tube.Layer((L - d) / 2, (L + d) / 2, 300.0)), **STILL)[0]
    assert_allclose(at_end / middle, 2 / (2 / 3 * pi**2 * (d / L) ** 2), rtol=0.03)
    assert at_end / middle > 50


def test_a_mode_never_rings_longer_with_lining():
    bare = tube.mode_Q(1, line(), **AIR)[0]
    for layer in (
        tube.Layer(0, 0.02, 20000.0),
        tube.Layer(0, 0.42, 5000.0, 0.3, 0.03),
        tube.Layer(0.2, 0.22, 3000.0),
    ):
        assert tube.mode_Q(1, line(layer), **AIR)[0] < bare
