"""Fitting: known answers found again from far off, the load kept up, shelves searched whole."""

from dataclasses import replace
from itertools import product
from math import pi

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.network import fit, textbook
from calc.network.netlist import Coil, DriverPart, Network, Resistor, Sheet
from calc.network.preferred_values import decades
from calc.sound.summation import level, resonant_high_pass

F = np.geomspace(200, 10e3, 50)
F0, R = 2000.0, 8.0


class Plain:
    """A driver that is a resistor and sounds as loud at every frequency."""

    Re = R

    def impedance(self, f):
        return np.full(np.shape(f), R + 0j)


def two_way(D, off=1.0, voices=None):
    """A task whose exact answer is the textbook's, with its first guess `off` times that."""
    g = textbook.ladder(D)
    parts = (
        *textbook.as_parts(textbook.low_pass(g, R, F0), "in", "w", "low "),
        *textbook.as_parts(textbook.high_pass(g, R, F0), "in", "t", "high "),
    )
    factors = off ** np.array([(-1) ** i for i in range(len(parts))])
    guess = tuple(
        replace(part, **{fit.KINDS[type(part)]: getattr(part, fit.KINDS[type(part)]) * factor})
        for part, factor in zip(parts, factors, strict=True)
    )
    drivers = DriverPart("woofer", ("w", "0"), Plain()), DriverPart("dome", ("t", "0"), Plain())
    s = 1j * F / F0
    task = fit.Task(
        network=Network((*guess, *drivers)),
        names=tuple(part.name for part in parts),
        f=F,
        inside=np.ones(F.size, dtype=bool),
        voices=voices or {"woofer": np.full(F.size, 1e4 + 0j), "dome": np.full(F.size, 1e4 + 0j)},
        shapes={"woofer": 1 / np.polyval(D, s), "dome": 1 / np.polyval(D, 1 / s)},
        least=4.0,
    )
    return task, np.array([getattr(part, fit.KINDS[type(part)]) for part in parts])


@pytest.mark.parametrize("n", [2, 4])
def test_it_finds_the_textbook_where_the_textbook_is_right(n):
    """Flat drivers that are resistors: the published values follow from the target alone.

    Of order 2 the dome is turned, or the sum could not be flat.
    """
    task, wanted = two_way(textbook.linkwitz_riley(n), 1.3)
    if n == 2:
        *rest, dome = task.network.parts
        dome = replace(dome, nodes=dome.nodes[::-1])
        task = replace(task, network=replace(task.network, parts=(*rest, dome)))
    found = fit.fitted(task)
    assert_allclose(found.values, wanted, rtol=0.03)
    assert found.off_sum < 0.05 and found.off_ways < 0.2
    assert found.loud == pytest.approx(80, abs=0.1)


def test_a_tweeter_that_falls_by_itself_needs_less():
    """A dome that is a second-order Butterworth itself, followed by another, is a Linkwitz-Riley of order 4.

    The element values are the published ones of order 2: 1.4142 and 0.7071.
    """
    D = textbook.linkwitz_riley(4)
    s = 1j * F / F0
    voices = {
        "woofer": 1e4 / np.polyval(textbook.butterworth(2), s),
        "dome": 1e4 * resonant_high_pass(F, F0, 0.5**0.5),
    }
    task, _ = two_way(textbook.butterworth(2), 1.4, voices)
    task = replace(task, shapes={"woofer": 1 / np.polyval(D, s), "dome": 1 / np.polyval(D, 1 / s)})
    found = dict(zip(task.names, fit.fitted(task).values, strict=True))
    omega = 2 * pi * F0
    assert found["low L1"] == pytest.approx(1.4142 * R / omega, rel=0.03)
    assert found["low C2"] == pytest.approx(0.7071 / R / omega, rel=0.03)
    assert found["high C1"] == pytest.approx(1 / (1.4142 * R * omega), rel=0.03)
    assert found["high L2"] == pytest.approx(R / (0.7071 * omega), rel=0.03)


def padded(sensitive, least=1.0):
    """One driver of 8 ohm behind a divider: a resistor before it and one across it."""
    parts = (
        Resistor("Rs", ("in", "a"), 3.0),
        Resistor("Rp", ("a", "0"), 15.0),
        DriverPart("dome", ("a", "0"), Plain()),
        DriverPart("woofer", ("in", "0"), Plain()),
    )
    voices = {"dome": np.full(F.size, 10 ** (sensitive / 20) + 0j), "woofer": np.full(F.size, 1e-9 + 0j)}
    flat = np.ones(F.size)
    return fit.Task(
        Network(parts), ("Rs", "Rp"), F, flat > 0, voices, {"dome": flat, "woofer": 1e-6 * flat}, least
    )


def test_derivatives_are_those_of_the_misfits():
    """Against central differences of a single network at a time."""
    task, wanted = two_way(textbook.linkwitz_riley(2), 1.2)
    x = np.array([*np.log(task.start), 79.0])
    slopes = fit._slopes(task, x)
    for i in range(x.size):
        h = np.zeros(x.size)
        h[i] = 1e-3
        up, down = (fit.misfits(task, np.exp((x + way)[:-1]), (x + way)[-1]) for way in (h, -h))
        assert_allclose(slopes[:, i], (up - down) / 2e-3, rtol=2e-3, atol=2e-3)


def test_a_row_of_variants_is_each_of_them():
    task, wanted = two_way(textbook.linkwitz_riley(4), 1.1)
    rows = np.stack([wanted, wanted * 1.1, task.start])
    together = fit.misfits(task, rows, np.array([80.0, 79.0, 81.0]))
    for row, loud, found in zip(rows, (80.0, 79.0, 81.0), together, strict=True):
        assert_allclose(found, fit.misfits(task, row, loud), atol=1e-12)


def test_the_shelf_gives_what_trying_everything_gives():
    """Three values around each part, all 81 choices tried one by one."""
    task, wanted = two_way(textbook.linkwitz_riley(2), 1.15)
    best = fit.fitted(task)
    shelves = []
    for value in best.values:
        shelf = decades("E6", value / 20, value * 20)
        near = int(np.argmin(abs(np.log(shelf / value))))
        shelves.append(shelf[near - 1 : near + 2])
    found = fit.on_the_shelf(task, best, shelves)
    all_costs = [np.sum(fit.misfits(task, np.array(row), best.loud) ** 2) for row in product(*shelves)]
    assert found.cost == pytest.approx(min(all_costs), rel=1e-9)
    assert all(value in shelf for value, shelf in zip(found.values, shelves, strict=True))


def test_a_finer_shelf_is_no_worse():
    task, _ = two_way(textbook.linkwitz_riley(4), 1.15)
    best = fit.fitted(task)
    costs = []
    for series in ("E6", "E24", "E96"):
        shelves = [decades(series, *fit.BOUNDS[fit.KINDS[type(part)]]) for part in task.parts]
        costs.append(fit.on_the_shelf(task, best, shelves).cost)
    assert costs[0] >= costs[1] >= costs[2] >= best.cost * 0.999


def test_what_is_judged_is_what_is_heard():
    """Of a textbook network: flat, its ways on their target, its load that of two filters side by side."""
    task, wanted = two_way(textbook.linkwitz_riley(4))
    judged = fit.judged(task, wanted)
    assert judged.off_sum < 1e-6 and judged.off_ways < 1e-6 and judged.loud == pytest.approx(80)
    padded_task = padded(86.0)
    found = fit.judged(padded_task, [3.0, 15.0])
    divided = 1 / (1 / 15 + 1 / R) / (3.0 + 1 / (1 / 15 + 1 / R))
    assert found.loud == pytest.approx(86 + level(divided), abs=1e-6)
    assert found.least == pytest.approx(1 / (1 / 8 + 1 / (3.0 + 1 / (1 / 15 + 1 / 8))))


def test_refusals():
    task, _ = two_way(textbook.linkwitz_riley(2))
    with pytest.raises(InputError) as refusal:
        fit.fitted(replace(task, names=()))
    assert refusal.value.field == "parts"
    with pytest.raises(InputError) as refusal:
        fit.on_the_shelf(task, fit.judged(task, task.start), [np.array([])] * 4)
    assert refusal.value.field == "low L1"


def real():
    """A two-way with wire in its coils and drivers that resonate; invented."""
    task, _ = two_way(textbook.linkwitz_riley(4))
    loads = {"woofer": Sheet(5.6, 60.0, 4.0, 0.4, 4e-4), "dome": Sheet(5.2, 780.0, 1.9, 0.95, 3e-5)}
    parts = [
        replace(part, load=loads[part.name]) if isinstance(part, DriverPart) else part
        for part in task.network.parts
    ]
    parts = [replace(part, Rdc=0.2) if isinstance(part, Coil) else part for part in parts]
    voices = {"woofer": task.voices["woofer"], "dome": 1e4 * resonant_high_pass(F, 780.0, 0.633)}
    return replace(task, network=Network(tuple(parts)), voices=voices)


def test_real_coils_and_drivers_do_not_stop_it_and_the_load_is_kept_up():
    """Within a decibel where the textbook is two off; and a load that the textbook falls below is kept."""
    before = fit.judged(real(), real().start)
    assert before.off_sum > 2 and before.least < 5.3
    assert fit.fitted(real()).off_sum < 1
    kept = fit.fitted(replace(real(), least=5.4))
    assert kept.least > 5.4 and kept.off_sum < before.off_sum
