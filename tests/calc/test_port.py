"""Ports: lengths, ends, losses and speeds, against the check values and integrals done another way."""

from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from printed import CHECKS, checks, compare, name
from scipy.integrate import dblquad, quad
from scipy.special import i1e, k1e

from calc.errors import InputError
from calc.sound import port as p

C, RHO, MU = 343.2, 1.204, 1.81e-5


# --- ends ---


def test_free_end_of_levine_and_schwinger():
    """Their integral for ka -> 0: delta/a = 1/pi int ln[1/(2 I1(x) K1(x))]/x² dx, done here."""
    integral, _ = quad(lambda x: np.log(1 / (2 * i1e(x) * k1e(x))) / x**2, 0, np.inf, limit=200)
    compare(CHECKS["port.endcorr.unflanged"], {"delta_over_a": integral / pi})
    compare(CHECKS["port.endcorr.unflanged"], {"delta_over_a": p.round_end_correction(2.0, "free")})


def test_flanged_end_and_its_upper_bound():
    compare(CHECKS["port.endcorr.flanged"], {"delta_over_a": p.round_end_correction(2.0, "flanged")})
    compare(CHECKS["port.endcorr.piston"], {"delta_over_a": p.PISTON})
    assert p.FREE < p.FLANGED < p.PISTON


def test_ends_against_frequency():
    check = CHECKS["port.endcorr.freq"]
    ka = check["inputs"]["ka"]
    found = {
        "unflanged": [p.free_end_correction_at(at) for at in ka],
        "flanged": [p.flanged_end_correction_at(at) for at in ka],
    }
    compare(check, found)
    assert_allclose([p.free_end_correction_at(0.0), p.flanged_end_correction_at(0.0)], [p.FREE, 0.8216])
    for beyond in (p.free_end_correction_at, p.flanged_end_correction_at):
        for value in (-0.1, 4.0, float("nan")):
            with pytest.raises(InputError, match="^ka: "):
                beyond(value)


@pytest.mark.parametrize("check", checks("port.rect."), ids=name)
def test_slot_ends(check):
    aspect = check["inputs"]["aspect"]
    width, height = sqrt(aspect), 1 / sqrt(aspect)  # of unit area
    circle = p.PISTON * sqrt(1 / pi)
    found = {
        "delta_over_sqrtS": p.slot_end_correction(width, height, "flanged"),
        "delta_wall_over_sqrtS": p.slot_end_correction(width, height, "flanged", along_wall=True),
        "circle_same_area": circle,
    }
    compare(check, found)
    assert found["delta_over_sqrtS"] < circle


@pytest.mark.parametrize("a, b", [(1.0, 1.0), (0.3, 0.035), (2.0, 0.1)])
def test_the_mutual_integral_another_way(a, b):
    """Over all pairs of points, their distances (x, y) occur with weight 4 (a - x)(b - y)."""

    def inner(angle):
        # in polar form the 1/r goes, and the integral over r of a polynomial is done by hand
        R = min(a / np.cos(angle), b / max(np.sin(angle), 1e-300))
        x, y = np.cos(angle), np.sin(angle)
        return a * b * R - (a * y + b * x) * R**2 / 2 + x * y * R**3 / 3

    corner = np.arctan2(b, a)
    total = quad(inner, 0, corner)[0] + quad(inner, corner, pi / 2)[0]
    assert_allclose(p.mutual_integral(a, b), 4 * total, rtol=1e-9)


def test_a_wall_doubles_what_one_half_of_the_mirrored_slot_bears():
    """The mirrored opening, taken whole, has twice the area and twice the mutual integral of one half."""
    whole = p.mutual_integral(0.3, 0.07)
    assert_allclose(
        p.slot_end_correction(0.3, 0.035, "flanged", True), whole / (2 * pi * 0.3 * 0.07), rtol=1e-12
    )
    # by its pieces: a half with itself, and with its image (seen over the wall)
    itself = p.mutual_integral(0.3, 0.035)
    image = dblquad(
        lambda v, x: 4 * (0.3 - x) * (v if v < 0.035 else 0.07 - v) / np.hypot(x, v) / 2,
        0, 0.3, 0, 0.07, epsrel=1e-7,
    )[0]  # fmt: skip
    assert_allclose(whole / 2, itself + image, rtol=1e-5)


def test_slot_ends_know_no_up_and_down():
    for along_wall in (False, True):
        a = p.slot_end_correction(0.3, 0.035, "free", along_wall)
        assert a == p.slot_end_correction(0.035, 0.3, "free", along_wall)
        assert_allclose(a, p.slot_end_correction(0.3, 0.035, "flanged", along_wall) * 0.6133 / 0.8217)


def test_near_wall():
    check = CHECKS["port.near_wall"]
    compare(check, {"extra": p.near_wall_correction(**check["inputs"])})


def test_an_unknown_end_is_refused():
    with pytest.raises(InputError, match="^ends: "):
        p.round_end_correction(0.07, "flared")


# --- length and tuning ---


def ends(at):
    return (at["flanged"] * at["radius"], at["free"] * at["radius"])


@pytest.mark.parametrize("check", checks("port.length."), ids=name)
def test_length(check):
    at = check["inputs"]
    tuned = (at["Vb"], at["fb"], at["count"], p.round_area(2 * at["radius"]))
    found = {"length": p.port_length(*tuned, ends(at), at["c"])}
    if "effective_length" in check["expected"]:
        found["effective_length"] = p.effective_length(*tuned, at["c"])
    compare(check, found)
    own = [p.round_end_correction(2 * at["radius"], end) for end in ("flanged", "free")]
    assert_allclose(own, ends(at), rtol=1e-12)


def test_slot_length():
    check = CHECKS["port.slot_length"]
    at = check["inputs"]
    area = at["width"] * at["height"]
    tuned = (at["Vb"], at["fb"], 1, area)
    circle = p.round_end_correction(2 * sqrt(area / pi), "flanged")
    slot = p.slot_end_correction(at["width"], at["height"], "flanged")
    found = {
        "effective_length": p.effective_length(*tuned, at["c"]),
        "length_equal_area": p.port_length(*tuned, (circle, circle), at["c"]),
        "length_rectangle": p.port_length(*tuned, (slot, slot), at["c"]),
    }
    compare(check, found)


def test_tuning():
    check = CHECKS["port.tuning.forward"]
    at = check["inputs"]
    area = p.round_area(2 * at["radius"])
    compare(check, {"fb": p.port_tuning(at["Vb"], at["length"], at["count"], area, ends(at), at["c"])})


@given(
    st.floats(0.003, 0.3), st.floats(15, 80), st.integers(1, 4), st.floats(0.03, 0.15), st.floats(330, 355)
)
def test_length_and_tuning_undo_each_other(Vb, fb, count, diameter, c):
    area = p.round_area(diameter)
    corrections = [p.round_end_correction(diameter, end) for end in ("flanged", "free")]
    try:
        length = p.port_length(Vb, fb, count, area, corrections, c)
    except InputError as refusal:
        assert refusal.field == "fb"
        # the ends alone tune it lower than that
        assert p.port_tuning(Vb, 0.0, count, area, corrections, c) < fb
    else:
        assert_allclose(p.port_tuning(Vb, length, count, area, corrections, c), fb, rtol=1e-12)


def test_many_small_ports_are_shorter_than_one_of_their_area():
    """Each keeps only its own, smaller, end corrections; so the pipes themselves are longer, if anything."""
    one = p.round_end_correction(0.08, "flanged")
    four = p.round_end_correction(0.04, "flanged")
    lone = p.port_length(0.05, 40.0, 1, p.round_area(0.08), (one, one), C)
    each = p.port_length(0.05, 40.0, 4, p.round_area(0.04), (four, four), C)
    assert_allclose(each - lone, 2 * (one - four), rtol=1e-9)


def test_pipe_resonance():
    check = CHECKS["port.pipe_resonance"]
    at = check["inputs"]
    compare(check, {"f": p.pipe_resonance(at["length"] + at["end_sum"] * at["radius"], at["c"])})
    with pytest.raises(InputError, match="^length: "):
        p.pipe_resonance(0.0, C)


# --- losses and speeds ---


def test_wall_losses():
    check = CHECKS["port.viscous"]
    at = check["inputs"]
    wide = p.wall_resistance_wide(at["f"], at["radius"], RHO, MU)
    exact, mass = p.wall_impedance(at["f"], at["radius"], RHO, MU)
    area = p.round_area(2 * at["radius"])
    found = {
        "boundary_layer": p.boundary_layer(at["f"], RHO, MU),
        "resistance_wide": wide,
        "resistance_exact": exact,
        "mass_factor_exact": mass,
        "wall_Q": p.wall_Q(at["f"], area, at["length"], at["effective_length"], exact, RHO),
    }
    compare(check, found)


def test_wall_losses_of_narrow_and_of_wide_tubes():
    """Poiseuille's 8 mu/(pi a⁴) and 4/3 of the mass in a hair; the wide form in a drain pipe."""
    resistance, mass = p.wall_impedance(5.0, 1e-4, RHO, MU)
    assert_allclose([resistance, mass], [8 * MU / (pi * 1e-16), 4 / 3], rtol=1e-4)
    resistance, mass = p.wall_impedance(50.0, 4.0, RHO, MU)
    assert_allclose([resistance, mass], [p.wall_resistance_wide(50.0, 4.0, RHO, MU), 1], rtol=2e-4)


def test_a_port_of_no_length_has_no_wall():
    with pytest.raises(InputError, match="^length: "):
        p.wall_Q(40.0, 0.003, 0.0, 0.05, 700.0, RHO)


def test_slot_by_its_perimeter():
    check = CHECKS["port.slot_hydraulic"]
    width, height = check["inputs"].values()
    area = width * height
    radius = sqrt(area / pi)
    slot = p.wall_resistance(40.0, area, 2 * (width + height), RHO, MU)
    found = {
        "area": area,
        "radius_equal": radius,
        "hydraulic_diameter": p.hydraulic_diameter(width, height),
        "wall_loss_ratio_vs_circle": slot / p.wall_resistance_wide(40.0, radius, RHO, MU),
    }
    compare(check, found)


def test_air_speed_in_numbers_of_flow():
    check = CHECKS["port.reynolds"]
    at = check["inputs"]
    v, f = at["speed"], at["f"]
    found = {
        "reynolds": p.reynolds(v, at["diameter"], RHO, MU),
        "reynolds_boundary": p.reynolds(v, p.boundary_layer(f, RHO, MU), RHO, MU),
        "mach": p.mach(v, C),
        "travel": p.air_travel(f, v),
        "strouhal": p.strouhal(f, at["diameter"] / 2, v),
    }
    compare(check, found)


def test_smallest_area():
    check = CHECKS["port.small_min_area"]
    area = p.smallest_area(**check["inputs"])
    compare(check, {"area": area, "diameter": sqrt(4 * area / pi)})
    with pytest.raises(InputError, match="^Vd: "):
        p.smallest_area(40.0, 0.0)


def test_the_guidance_says_where_it_comes_from():
    assert p.CAUTIOUS_SPEED.value == 10 < p.OLDER_SPEED.value == 17
    for guidance in (p.CAUTIOUS_SPEED, p.OLDER_SPEED):
        assert "second-hand" in guidance.source or "from memory" in guidance.source


# --- sizes ---


def test_what_a_port_takes_from_the_box():
    assert_allclose(p.tube_outer_area(0.07, 0.003), pi * 0.038**2, rtol=1e-12)
    assert_allclose(p.channel_outer_area(0.2, 0.03, 0.012), 0.224 * 0.054, rtol=1e-12)
    assert_allclose(p.channel_outer_area(0.03, 0.2, 0.012, along_wall=True), 0.224 * 0.042, rtol=1e-12)
    assert p.tube_outer_area(0.07, 0.0) == p.round_area(0.07)
    for sized in (
        lambda: p.tube_outer_area(0.07, -0.001),
        lambda: p.channel_outer_area(0.2, 0.03, float("nan")),
    ):
        with pytest.raises(InputError, match="^wall: "):
            sized()


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf"), 1e-300, 1e300])
@pytest.mark.parametrize("field", ["Vb", "fb", "area", "c"])
def test_impossible_values_are_refused_at_their_symbol(field, value):
    asked = {"Vb": 0.02, "fb": 40.0, "count": 1, "area": 0.003, "corrections": (0.02, 0.02), "c": C}
    with pytest.raises(InputError) as refusal:
        p.port_length(**(asked | {field: value}))
    assert refusal.value.field == field


@pytest.mark.parametrize("count", [0, -1, 1.5, True + 0.5, 10**9])
def test_a_count_is_a_whole_number(count):
    with pytest.raises(InputError, match="^count: "):
        p.port_tuning(0.02, 0.1, count, 0.003, (0.0, 0.0), C)


def test_a_port_shorter_than_nothing_is_refused_at_the_tuning():
    with pytest.raises(InputError, match="^fb: "):
        p.port_length(0.02, 300.0, 1, 0.003, (0.03, 0.02), C)


def test_round_and_slot_of_one_area_are_equally_open():
    """Derived: pi d²/4 and w h come back to the area that they were made for."""
    d = p.diameter_of(2.46e-3)
    w, h = p.slot_of(2.46e-3)
    assert_allclose([p.round_area(d), w * h], 2.46e-3, rtol=1e-12)
    assert_allclose(w / h, 6, rtol=1e-12)
    assert p.slot_of(1e-3)[1] == 0.015, "no narrower than that"
