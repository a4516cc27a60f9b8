"""Bending of layered panels: double thickness, glued or slipping, and a soft layer between two boards."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.cabinet.constrained_layer import Core, constrained_layer, sandwich_stiffness
from calc.cabinet.panel_modes import first_mode_bounds
from calc.cabinet.plates import Layer, glued, slipping
from calc.errors import InputError

MDF = Layer(0.018, 750, 3e9)
PLY = Layer(0.012, 680, 10e9, 7.5e9, 0.62e9, 0.05)


def test_one_board_has_the_textbooks_stiffness():
    """D = E h³ / (12 (1 - nu²)) = 3e9 x 5.832e-6 / 10.92 = 1602.2 N m, all ways alike; derived."""
    plate = glued(MDF)
    assert_allclose((plate.D1, plate.D2, plate.H), 1602.1978, rtol=1e-7)
    assert_allclose(plate.m, 13.5)


def test_plywood_has_the_orthotropic_textbooks():
    """D1 = E1 h³ / 12 / (1 - nu12 nu21), H = nu21 D1 + 2 G h³ / 12; derived by hand for 12 mm:

    h³/12 = 1.44e-7; nu21 = 0.05 x 0.75 = 0.0375; D1 = 1440 / 0.998125 = 1442.705; D2 = 1082.029;
    H = 0.0375 x 1442.705 + 2 x 0.62e9 x 1.44e-7 = 54.101 + 178.56 = 232.661.
    """
    plate = glued(PLY)
    assert_allclose((plate.D1, plate.D2, plate.H), (1442.705, 1082.029, 232.661), rtol=1e-5)


LAYERS = st.builds(
    lambda h, density, E1, share, nu: Layer(h, density, E1, share * E1, 0.2 * E1, nu),
    st.floats(0.001, 0.04),
    st.floats(300, 2000),
    st.floats(1e8, 1e11),
    st.floats(0.05, 1),
    st.floats(0, 0.45),
)


@given(layer=LAYERS, parts=st.integers(2, 5))
def test_a_board_glued_of_slices_is_the_board(layer, parts):
    thin = Layer(layer.h / parts, layer.density, layer.E1, layer.E2, layer.G, layer.nu)
    whole, sliced = glued(layer), glued(*[thin] * parts)
    for name in ("D1", "D2", "H", "m"):
        assert_allclose(getattr(sliced, name), getattr(whole, name), rtol=1e-6)
    loose = slipping(*[thin] * parts)
    assert_allclose((loose.D1, loose.H), (whole.D1 / parts**2, whole.H / parts**2), rtol=1e-9)


def test_twice_the_thickness_is_twice_the_note_if_it_is_glued_and_the_same_if_it_slips():
    single = np.array(first_mode_bounds(glued(MDF), 0.4, 0.3))
    assert_allclose(first_mode_bounds(glued(MDF, MDF), 0.4, 0.3), 2 * single, rtol=1e-9)
    assert_allclose(first_mode_bounds(slipping(MDF, MDF), 0.4, 0.3), single, rtol=1e-9)


@given(a=LAYERS, b=LAYERS)
def test_two_boards_bend_about_their_common_neutral_plane(a, b):
    """Second route, for beams (nu = 0): the transformed section's parallel-axis sum about its centroid."""
    a, b = Layer(a.h, a.density, a.E1, nu=0), Layer(b.h, b.density, b.E1, nu=0)
    areas = np.array([a.E1 * a.h, b.E1 * b.h])
    at = np.array([a.h / 2, a.h + b.h / 2])
    centroid = areas @ at / areas.sum()
    section = sum(areas * (np.array([a.h, b.h]) ** 2 / 12 + (at - centroid) ** 2))
    assert_allclose(glued(a, b).D1, section, rtol=1e-7)
    assert_allclose(glued(b, a).D1, section, rtol=1e-7)
    assert section > slipping(a, b).D1


# --- A soft layer between two boards

BASE, COVER, SOFT = Layer(0.012, 740, 3e9), Layer(0.006, 740, 3e9), Core(0.001, 1e6, 0.8)


def condensed(base, core, cover, k):
    """Second route: the sandwich as three degrees of freedom for a wave of wave number k, by energies.

    w sin kx for all, u1 cos kx and u3 cos kx for the middles of the boards. Energies by length: stretching
    K k² u² each, bending B k⁴ w², shear G h gamma² with h gamma = u3 - u1 + k d w. Solving the equilibrium of
    u1 and u3 for w = 1 leaves B* k⁴.
    """
    K1, K3 = (layer.E1 / (1 - layer.nu**2) * layer.h for layer in (base, cover))
    bending = (K1 * base.h**2 + K3 * cover.h**2) / 12
    d = core.h + (base.h + cover.h) / 2
    g = core.G * (1 + 1j * core.eta) / core.h
    S = np.zeros((3, 3), complex)
    S[0, 0], S[1, 1], S[2, 2] = K1 * k**2, K3 * k**2, bending * k**4
    slip = np.array([-1, 1, k * d])
    S += g * np.outer(slip, slip)
    return (S[2, 2] - S[2, :2] @ np.linalg.solve(S[:2, :2], S[:2, 2])) / k**4


@pytest.mark.parametrize("k", [2.0, 8.0, 15.0, 60.0])
@pytest.mark.parametrize("G", [1e4, 1e6, 1e9])
@pytest.mark.parametrize("eta", [0.0, 0.8])
def test_a_sandwich_is_as_stiff_as_its_energies_say(k, G, eta):
    core = Core(0.001, G, eta)
    assert_allclose(sandwich_stiffness(BASE, core, COVER, k), condensed(BASE, core, COVER, k), rtol=1e-9)


def test_its_loss_is_the_published_closed_form():
    """Ross, Ungar, Kerwin 1959, from memory: eta X Y / (1 + (2 + Y) X + (1 + Y)(1 + eta²) X²)."""
    k = 12.0
    K1, K3 = (3e9 / (1 - 0.09) * h for h in (0.012, 0.006))
    Y = 0.01**2 / ((K1 * 0.012**2 + K3 * 0.006**2) / 12) * K1 * K3 / (K1 + K3)
    X = 1e6 / (0.001 * k**2) * (1 / K1 + 1 / K3)
    B = sandwich_stiffness(BASE, SOFT, COVER, k)
    loss = 0.8 * X * Y / (1 + (2 + Y) * X + (1 + Y) * (1 + 0.8**2) * X**2)
    assert_allclose(B.imag / B.real, loss, rtol=1e-9)


def test_a_very_soft_core_slips_and_a_very_stiff_one_is_glue():
    """The two limits, by the other module; a core as thin as glue."""
    thin = 1e-6
    soft, stiff = (sandwich_stiffness(BASE, Core(thin, G, 0.5), COVER, 10.0) for G in (1e-3, 1e14))
    assert_allclose(soft.real, slipping(BASE, COVER).D1, rtol=1e-4)
    assert_allclose(stiff.real, glued(BASE, COVER).D1, rtol=1e-3)
    assert abs(soft.imag / soft.real) < 1e-4 and abs(stiff.imag / stiff.real) < 1e-4


def test_a_damped_panel_rings_between_the_slipping_and_the_glued_one():
    a, b = 0.4, 0.3
    middle = Layer(SOFT.h, SOFT.density, 1.0, nu=0)
    loose = first_mode_bounds(slipping(BASE, middle, COVER), a, b)
    for n, each in enumerate(constrained_layer(BASE, SOFT, COVER, a, b)):
        assert loose[n] < each.f < first_mode_bounds(glued(Layer(0.019, 740, 3e9)), a, b)[n]
        assert 0.1 < each.eta < SOFT.eta
    stiff = constrained_layer(BASE, Core(1e-6, 1e14, 0.0, 1.0), COVER, a, b)
    found = [each.f for each in stiff]
    assert_allclose(found, first_mode_bounds(glued(Layer(0.018, 740, 3e9)), a, b), rtol=1e-3)


def test_there_is_a_best_softness():
    """Between slip and glue the loss has a peak, at X = 1 / sqrt((1 + Y)(1 + eta²)): by d/dX = 0."""
    k, loss = 12.0, {}
    for G in np.geomspace(1e3, 1e9, 2001):
        B = sandwich_stiffness(BASE, Core(0.001, G, 0.8), COVER, k)
        loss[G] = B.imag / B.real
    best = max(loss, key=loss.get)
    K1, K3 = (3e9 / (1 - 0.09) * h for h in (0.012, 0.006))
    Y = 0.01**2 / ((K1 * 0.012**2 + K3 * 0.006**2) / 12) * K1 * K3 / (K1 + K3)
    X = best / (0.001 * k**2) * (1 / K1 + 1 / K3)
    assert_allclose(X, 1 / np.sqrt((1 + Y) * (1 + 0.8**2)), rtol=0.01)


@pytest.mark.parametrize(
    ("field", "act"),
    [
        ("h", lambda: Layer(0, 700, 1e9)),
        ("E2", lambda: Layer(0.01, 700, 1e9, -1)),
        ("nu", lambda: Layer(0.01, 700, 1e9, nu=0.5)),
        ("nu", lambda: Layer(0.01, 700, 1e9, 9e9, nu=0.4)),
        ("layers", lambda: glued()),
        ("layers", lambda: slipping()),
        ("G", lambda: Core(0.001, 0, 0.5)),
        ("eta", lambda: Core(0.001, 1e6, float("nan"))),
        ("eta", lambda: Core(0.001, 1e6, 50)),
        ("a", lambda: constrained_layer(BASE, SOFT, COVER, -1, 1)),
        ("k", lambda: sandwich_stiffness(BASE, SOFT, COVER, 0)),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(field, act):
    with pytest.raises(InputError) as refusal:
        act()
    assert refusal.value.field == field


def test_a_heavier_core_only_slows_it():
    """f goes with one over the root of the mass; derived from omega² m = B k⁴."""
    light, heavy = (Core(SOFT.h, SOFT.G, SOFT.eta, density) for density in (1000.0, 4000.0))
    boards = 740 * 0.018
    for a, b in zip(
        *(constrained_layer(BASE, core, COVER, 0.4, 0.3) for core in (light, heavy)), strict=True
    ):
        assert_allclose(b.f / a.f, np.sqrt((boards + 1.0) / (boards + 4.0)), rtol=1e-9)
        assert b.eta == a.eta
