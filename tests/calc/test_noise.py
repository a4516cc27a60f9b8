"""Pink noise: integrals by their closed forms, by quadrature, and by noise that is really made."""

from dataclasses import replace
from math import log, log10, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import quad

from calc.errors import InputError
from calc.sound import noise
from calc.sound.circuit import laplace
from calc.sound.closed_box import closed_box, closed_box_displacement
from calc.sound.driver import constants
from calc.sound.high_pass import HighPass
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.vented_box import vented_box

C, RHO = 343.2, 1.204
F = np.geomspace(20, 20e3, 400)
DRIVER = constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, Le=5e-4)


def vented(**more):
    return vented_box(F, DRIVER, 0.022, 40.0, C, RHO, QL=7.0, port_area=0.0025, **more)


# --- the integral


@given(st.floats(-6, 6), st.floats(1e-3, 1e3))
def test_any_slope_is_exact(slope, height):
    """X = h f^m: the mean square is h² (f2^2m - f1^2m)/(2 m ln(f2/f1)), flat h² (derived: df/f)."""
    f = np.geomspace(20, 2000, 30)
    span = log(100) if abs(slope) < 1e-9 else (2000 ** (2 * slope) - 20 ** (2 * slope)) / (2 * slope)
    wanted = height * sqrt(span / log(100))
    assert_allclose(noise.pink_rms(f, height * f**slope), wanted, rtol=1e-6)


def test_flat_and_twelve_decibels_an_octave():
    f = [20.0, 37.0, 200.0, 2000.0]
    assert_allclose(noise.pink_rms(f, np.full(4, 3.0)), 3.0, rtol=1e-12)
    X = np.array(f) ** -2.0
    wanted = sqrt((20.0**-4 - 2000.0**-4) / (4 * log(100)))
    assert_allclose(noise.pink_rms(f, X), wanted, rtol=1e-12)


def test_a_first_order_corner_converges_on_its_closed_form():
    """|X|² = 1/(1 + x²): the integral of dx/(x (1 + x²)) is ln(x²/(1 + x²))/2 (derived)."""
    primitive = lambda x: log(x**2 / (1 + x**2)) / 2  # noqa: E731
    wanted = sqrt((primitive(2000 / 100) - primitive(20 / 100)) / log(100))
    errors = []
    for points in (20, 40, 80):
        f = np.geomspace(20, 2000, points)
        errors.append(abs(noise.pink_rms(f, 1 / np.sqrt(1 + (f / 100) ** 2)) / wanted - 1))
    assert errors[-1] < 2e-4
    for coarse, fine in zip(errors, errors[1:], strict=False):
        assert 3 < coarse / fine < 6, "halved steps: a quarter of the error"


@pytest.mark.parametrize("Qtc", [0.5, 1.0, 4.0])
def test_a_resonance_against_quadrature(Qtc):
    """Source of the second number: adaptive quadrature of a general library."""
    square = lambda x: abs(closed_box_displacement([np.exp(x)], 60.0, Qtc)[0]) ** 2  # noqa: E731
    wanted = quad(square, log(20), log(2000), points=[log(60)], epsabs=0, epsrel=1e-10)[0] / log(100)
    f = np.geomspace(20, 2000, 250)
    assert_allclose(noise.pink_rms(f, abs(closed_box_displacement(f, 60.0, Qtc))), sqrt(wanted), rtol=6e-4)


def test_a_notch_is_no_gap():
    f = np.geomspace(20, 2000, 401)
    X = abs(np.log(f / 200))
    X[200] = 0.0
    wanted = sqrt(log(10) ** 2 / 3)  # the mean of y² over -ln 10 ... ln 10
    assert_allclose(noise.pink_rms(f, X), wanted, rtol=1e-3)
    assert noise.pink_rms(f, np.zeros(401)) == 0


@pytest.mark.parametrize("f", [[100.0], [100.0, 100.0], [200.0, 100.0], [0.0, 10.0], [10.0, float("nan")]])
def test_a_band_that_is_none_is_refused(f):
    with pytest.raises(InputError) as refusal:
        noise.pink_rms(f, np.ones(len(f)))
    assert refusal.value.field == "f"


# --- noise that is really made


def made_noise(seconds=64, rate=1024, low=20.0, high=200.0):
    """(spectrum, frequencies) of pink noise of rms 1 with random phases."""
    f = np.fft.rfftfreq(seconds * rate, 1 / rate)
    inside = (f >= low) & (f <= high)
    size = np.zeros(f.shape)
    size[inside] = f[inside] ** -0.5
    size /= sqrt((size**2).sum() / 2)
    turns = np.random.default_rng(1730).uniform(0, 2 * np.pi, f.size)
    return size * np.exp(1j * turns) * (seconds * rate / 2), f


def test_travel_of_noise_that_is_made():
    """Second route: noise in time through the transfer of the box, and its rms counted sample by sample."""
    spectrum, f = made_noise()
    X = closed_box_displacement(np.maximum(f, 1e-3), 55.0, 1.2)
    travel = np.fft.irfft(spectrum * X)
    assert_allclose(np.sqrt(np.mean(np.fft.irfft(spectrum) ** 2)), 1, rtol=1e-6)
    band = np.geomspace(20, 200, 200)
    wanted = noise.pink_rms(band, abs(closed_box_displacement(band, 55.0, 1.2)))
    assert_allclose(np.sqrt(np.mean(travel**2)), wanted, rtol=2e-3)


def test_the_peaks_of_a_resonance_tend_to_the_normal_distribution():
    """Noise of crest 1, a square wave of random signs, is normal behind a resonance."""
    signs = np.random.default_rng(41).choice([-1.0, 1.0], 2**18)
    f = np.fft.rfftfreq(signs.size, 1 / 1024)
    travel = np.fft.irfft(np.fft.rfft(signs) * closed_box_displacement(np.maximum(f, 1e-3), 30.0, 3.0))
    travel /= np.sqrt(np.mean(travel**2))
    assert np.max(abs(signs)) == 1 < 3 < np.max(abs(travel))
    for crest in (1.0, 1.5, 2.0):
        assert_allclose(np.mean(abs(travel) > crest), noise.share_beyond(crest), rtol=0.08)


def test_share_beyond_the_crest():
    """Tables of the normal distribution (from memory): 31.73, 4.550 and 0.2700 % beyond 1, 2, 3 sigma."""
    for crest, share in ((1, 0.3173), (2, 0.04550), (3, 0.002700), (4, 6.334e-5)):
        assert_allclose(noise.share_beyond(crest), share, rtol=2e-4)


# --- a box


def test_motion_of_a_box_is_that_of_its_curves():
    """Second route: quadrature over the curves of the same box at each frequency."""
    motion = noise.noise_motion(vented(), 2.83, 5.7, crest=3.0)

    def by_quadrature(curve):
        at = lambda x: curve(vented_box([np.exp(x)], DRIVER, 0.022, 40.0, C, RHO, QL=7.0, port_area=0.0025))  # noqa: E731
        area = quad(lambda x: float(at(x)[0]) ** 2, log(20), log(20e3), limit=200, epsrel=1e-6)[0]
        return sqrt(area / log(1000))

    assert_allclose(motion.travel, 3 / sqrt(2) * by_quadrature(lambda r: r.cone), rtol=1e-3)
    assert_allclose(motion.port_speed, 3 / sqrt(2) * by_quadrature(lambda r: r.port_speed), rtol=1e-3)
    current = by_quadrature(lambda r: 2.83 / r.Z)
    assert_allclose([motion.current, motion.power], [current, 5.7 * current**2], rtol=1e-3)
    assert_allclose(motion.level, 20 * log10(by_quadrature(lambda r: 10 ** (r.level / 20))), atol=0.01)
    assert_allclose(motion.volts, 3.0 * 2.83)


def test_a_resistor_gets_all_the_power():
    """A box far above its resonances, without inductance, is its coil: V²/Re."""
    f = np.geomspace(5e3, 20e3, 50)
    plain = constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO)
    motion = noise.noise_motion(closed_box(f, plain, 0.02, C, RHO, V=4.0), 4.0, 5.7)
    assert_allclose(motion.power, 16 / 5.7, rtol=1e-3)


def test_a_crossover_leaves_less():
    """A wall at 200 Hz: the level is that of a third of the decades, 10 log10(1/3) where it is flat."""
    flat = replace(vented(), level=np.full(F.size, 80.0))
    wall = np.where(F < 200, 1.0, 0.0)
    all_of_it, bass = (noise.noise_motion(flat, 2.83, 5.7, crossed=x) for x in (1.0, wall))
    assert_allclose(all_of_it.level, 80.0, atol=1e-9)
    assert_allclose(bass.level, 80 - 10 * log10(3), atol=0.05)
    assert bass.travel <= all_of_it.travel and bass.volts == all_of_it.volts


LIMITS = {"Xmax": 0.004, "Pe": 50.0, "port_limit": 17.0, "amplifier": 14.0, "radiator_Xmax": 0.006}


def with_radiators(**more):
    return passive_radiator_box(F, DRIVER, 0.016, 2, 0.0133, 1.5e-3, 0.032, 0.578, C, RHO, **more)


@pytest.mark.parametrize("box", [vented, with_radiators])
@pytest.mark.parametrize("crest", [2.0, 4.0])
def test_the_loudest_noise_meets_its_limit(box, crest):
    filtered = HighPass(2, 25.0)
    passed = abs(filtered.transfer(laplace(F)).value)
    motion = noise.noise_motion(box(high_pass=filtered), 2.83, 5.7, crest, passed)
    for left_out in ({}, {"travel": "Xmax"}, {"amplifier": "amplifier"}):
        limit = {k: v for k, v in LIMITS.items() if k not in left_out.values()}
        most = noise.largest_noise(motion, **limit)
        V = float(most.V)
        driven = noise.noise_motion(box(high_pass=filtered, V=V), V, 5.7, crest, passed)
        ratios = {
            "travel": driven.travel / 0.004,
            "power": driven.power / 50.0,
            "amplifier": driven.volts / sqrt(2) / 14.0,
            "port": (driven.port_speed or 0) / 17.0,
            "radiator": (driven.radiator or 0) / 0.006,
        }
        of_all = {name: ratio for name, ratio in ratios.items() if name in most.volts}
        assert_allclose(max(of_all.values()), 1, rtol=1e-9)
        assert_allclose(of_all[str(most.by)], 1, rtol=1e-9)
        assert_allclose(driven.level, most.level, atol=1e-9)


def test_higher_peaks_leave_less_level():
    """Twice the crest, half the volts, wherever peaks and not heat are what stops it."""
    sharp, blunt = (
        noise.largest_noise(noise.noise_motion(vented(), 2.83, 5.7, crest), **LIMITS) for crest in (4.0, 2.0)
    )
    for name in ("travel", "port", "amplifier"):
        assert_allclose(blunt.volts[name], 2 * sharp.volts[name])
    assert_allclose(blunt.volts["power"], sharp.volts["power"])


def test_variants_at_once_are_those_one_by_one():
    Vb = np.array([[0.01], [0.02], [0.04]])
    many = noise.largest_noise(
        noise.noise_motion(
            vented_box(F, DRIVER, Vb, 40.0, C, RHO, QL=7.0, port_area=0.0025), 2.83, 5.7
        ),
        **LIMITS,
    )  # fmt: skip
    for i, V in enumerate(Vb[:, 0]):
        one = vented_box(F, DRIVER, V, 40.0, C, RHO, QL=7.0, port_area=0.0025)
        alone = noise.largest_noise(noise.noise_motion(one, 2.83, 5.7), **LIMITS)
        assert_allclose([many.V[i], many.level[i]], [alone.V, alone.level], rtol=1e-12)
        assert many.by[i] == alone.by


def test_what_is_not_known_is_said():
    motion = noise.noise_motion(vented(), 2.83, 5.7)
    nothing = noise.largest_noise(motion)
    assert (nothing.V, nothing.level, nothing.by) == (None, None, None)
    assert nothing.unknown == ("travel", "power", "port")
    shut = noise.noise_motion(closed_box(F, DRIVER, 0.02, C, RHO), 2.83, 5.7)
    assert noise.largest_noise(shut, Xmax=0.004).unknown == ("power",)


def test_crest_in_decibels():
    assert_allclose(
        [noise.decibels(noise.TEST_CREST), noise.decibels(noise.MUSIC_CREST)], [6.0206, 12.0412], atol=1e-4
    )


@pytest.mark.parametrize("crest", [0.0, 0.99, 21.0, float("nan")])
def test_an_impossible_crest_is_refused(crest):
    with pytest.raises(InputError) as refusal:
        noise.noise_motion(vented(), 2.83, 5.7, crest)
    assert refusal.value.field == "crest"


@pytest.mark.parametrize("field", ["Xmax", "Pe", "port_limit", "amplifier", "radiator_Xmax"])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_impossible_limits_are_refused(field, value):
    with pytest.raises(InputError) as refusal:
        noise.largest_noise(noise.noise_motion(vented(), 2.83, 5.7), **{field: value})
    assert refusal.value.field == field
