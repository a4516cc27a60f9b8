"""Many variants at once, shape (n, 1), are the variants one by one: of driver, box, source and filter."""

from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound.band_pass import band_pass, double_band_pass
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.high_pass import HighPass
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.several_drivers import compound_pair, group
from calc.sound.vented_box import vented_box

C, RHO, N = 343.2, 1.204, 7
F = np.geomspace(10, 2000, 25)
DRIVER = {
    "fs": (20, 60), "Qms": (2, 8), "Qes": (0.2, 0.8), "Vas": (0.01, 0.1), "Sd": (0.008, 0.05), "Re": (3, 8),
    "Le": (1e-4, 2e-3), "Le2": (2e-4, 2e-3), "Re2": (2, 20), "K": (0.002, 0.03), "n": (0.5, 1.0),
}  # fmt: skip
SOURCE = {"V": (1, 30), "Rs": (0.01, 2), "capacitor": (1e-4, 5e-3), "distance": (0.5, 4), "corner": (10, 60)}
BOXES = {
    closed_box: {"Vb": (0.008, 0.08), "QL": (4, 50), "QA": (5, 90), "fq": (30, 90)},
    vented_box: {"Vb": (0.008, 0.08), "fb": (20, 60), "QL": (4, 50), "QA": (5, 90), "QP": (10, 90),
                 "port_area": (0.001, 0.01)},
    passive_radiator_box: {"Vb": (0.008, 0.08), "count": (1, 1), "Sp": (0.01, 0.05), "Cmp": (5e-4, 3e-3),
                           "Mmp": (0.01, 0.2), "Rmp": (0.1, 4), "QL": (4, 50), "QA": (5, 90)},
    band_pass: {"Vr": (0.008, 0.08), "Vf": (0.008, 0.08), "fb": (40, 90), "QL": (4, 50), "QP": (10, 90),
                "port_area": (0.001, 0.01)},
    double_band_pass: {"Vr": (0.008, 0.08), "fr": (20, 39), "Vf": (0.008, 0.08), "ff": (41, 90),
                       "QLr": (4, 50), "QPr": (10, 90), "QLf": (4, 50), "QPf": (10, 90),
                       "rear_area": (0.001, 0.01), "front_area": (0.001, 0.01)},
}  # fmt: skip


def drawn(ranges, rng):
    return {symbol: rng.uniform(*span, (N, 1)) for symbol, span in ranges.items()}


def row(values, k):
    return {symbol: float(value[k, 0]) for symbol, value in values.items()}


def source(values):
    values = dict(values)
    return values | {"high_pass": HighPass(3, values.pop("corner"))}


@pytest.mark.parametrize("wired", [None, "group", "pair"])
@pytest.mark.parametrize("box", BOXES, ids=lambda box: box.__name__)
def test_everything_may_vary_at_once(box, wired):
    rng = np.random.default_rng(4)
    sheets, sizes, sources = drawn(DRIVER, rng), drawn(BOXES[box], rng), drawn(SOURCE, rng)

    def whole(sheet):
        one = constants(**sheet, c=C, rho=RHO)
        if wired is None:
            return one
        return compound_pair(one, "series") if wired == "pair" else group(one, 4, "series_parallel")

    at_once = box(F, whole(sheets), **sizes, c=C, rho=RHO, **source(sources))
    for k in range(N):
        single = box(F, whole(row(sheets, k)), **row(sizes, k), c=C, rho=RHO, **source(row(sources, k)))
        for each in fields(single):
            one, many = getattr(single, each.name), getattr(at_once, each.name)
            if each.name == "f" or one is None:
                assert many is None or many.shape == one.shape
                continue
            assert many.shape == (N, len(F)), each.name
            assert_allclose(many[k], one, rtol=1e-9, atol=1e-12, err_msg=each.name)


@settings(max_examples=15)
@given(st.sampled_from([*DRIVER]))
def test_the_constants_of_variants_are_those_of_each(varied):
    rng = np.random.default_rng(6)
    middle = {symbol: (low + high) / 2 for symbol, (low, high) in DRIVER.items()}
    values = rng.uniform(*DRIVER[varied], (N, 1))
    at_once = constants(**(middle | {varied: values}), c=C, rho=RHO)
    for k in range(N):
        one = constants(**(middle | {varied: float(values[k, 0])}), c=C, rho=RHO)
        for each in fields(one):
            many = np.broadcast_to(getattr(at_once, each.name), (N, 1))
            assert_allclose(many[k, 0], getattr(one, each.name), rtol=1e-12)


@pytest.mark.parametrize("varied", ["V", "Rs", "Vb", "fs", "Re"])
def test_one_varied_value_gives_every_curve_all_its_rows(varied):
    """Also the curves that it does not touch, as the phase where only the volts differ."""
    values = np.array([[0.5], [1.0], [2.0]])
    given = {"V": 2.83, "Rs": 0.5, "Vb": 0.02, "fs": 36.0, "Re": 5.7}
    given[varied] = given[varied] * values
    one = constants(given.pop("fs"), 4.5, 0.4, 0.032, 0.0133, given.pop("Re"), C, RHO)
    response = closed_box(F, one, c=C, rho=RHO, **given)
    for each in fields(response):
        curve = getattr(response, each.name)
        if curve is not None and each.name != "f":
            assert curve.shape == (3, len(F)), each.name


def test_one_bad_variant_is_refused():
    for bad in (0.0, -1.0, np.nan, np.inf):
        with pytest.raises(InputError, match="^fs: "):
            constants(np.array([[36.0], [bad]]), 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO)
        with pytest.raises(InputError, match="^n: "):
            constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, C, RHO, K=0.02, n=np.array([[0.7], [bad]]))
