"""How long a crossover takes: ten thousand samples of one, its sum, its fit, what loose parts do to it."""

from dataclasses import replace

import numpy as np
import pytest

from calc import evaluate_fit
from calc.evaluate import evaluate
from calc.evaluate_network import network
from calc.evaluate_sum import acoustic_sum
from calc.evaluate_tolerance import loosened, tolerance
from calc.network import fit
from calc.network.netlist import Capacitor, Coil, DriverPart, Network, Resistor, Sheet
from calc.network.solve import solve
from server.beginnings import demo
from server.documents import read_project

VARIANTS = 10_000


def test_ten_thousand_networks_of_eight_nodes(benchmark):
    """A two-way, every value its own in each variant, at 100 frequencies: 2 s at most."""
    rng = np.random.default_rng(8)

    def about(value):
        return value * rng.uniform(0.9, 1.1, VARIANTS)

    woofer_load = Sheet(about(6.0), about(50.0), about(4.0), about(0.4), about(5e-4))
    tweeter_load = Sheet(about(5.6), about(900.0), about(3.0), about(1.2), about(5e-5))
    network = Network((
        Coil("L1", ("in", "a"), about(1e-3), about(0.3)),
        Capacitor("C1", ("a", "0"), about(1e-5), about(0.1)),
        Resistor("R1", ("a", "w"), about(0.2)), Coil("L2", ("w", "b"), about(5e-4), about(0.2)),
        Capacitor("C2", ("b", "0"), about(4e-6), about(0.1)),
        DriverPart("woofer", ("b", "0"), woofer_load),
        Capacitor("C3", ("in", "c"), about(6.8e-6)), Coil("L3", ("c", "0"), about(3e-4), about(0.2)),
        Capacitor("C4", ("c", "d"), about(12e-6)), Resistor("R2", ("d", "e"), about(2.2)),
        Resistor("R3", ("e", "0"), about(10.0)),
        DriverPart("tweeter", ("e", "0"), tweeter_load),
    ))  # fmt: skip
    nodes = {end for part in network.parts for end in part.nodes}
    assert len(nodes) == 8
    f = np.geomspace(20, 20e3, 100)

    def whole():
        solution = solve(network, f)
        return [solution.transfer(driver) for driver in network.drivers]

    woofer, tweeter = benchmark.pedantic(whole, rounds=3, warmup_rounds=1)
    assert woofer.shape == tweeter.shape == (VARIANTS, 100)
    assert benchmark.stats["min"] < 2.0


@pytest.fixture
def heard():
    """The demo's crossover with what is heard of it: project, result, electrical result, sum."""
    project = read_project(demo("reading_room"))
    result = evaluate(project)
    found = network(project, result)
    return project, result, found, acoustic_sum(project, result, found)


def test_the_fit_of_the_demo_and_its_rounding(benchmark, heard):
    """From values that are half as large again: 2 s at most, with values that are sold."""
    task = evaluate_fit.task(*heard)
    off = dict(zip(task.names, task.start * 1.5 ** (-1.0) ** np.arange(len(task.names)), strict=True))
    kinds = fit.KINDS
    parts = tuple(
        replace(part, **{kinds[type(part)]: off[part.name]}) if part.name in off else part
        for part in task.network.parts
    )
    task = replace(task, network=replace(task.network, parts=parts))
    (choice,) = benchmark.pedantic(lambda: evaluate_fit.chosen(heard[0], task, ("E24",)), rounds=3)
    assert choice.fitted.off_sum < 1
    assert benchmark.stats["min"] < 2.0


def test_the_sum_of_the_ways(benchmark, heard):
    """Reckoned with every changed part."""
    project, result, found, _ = heard
    benchmark(acoustic_sum, project, result, found)
    assert benchmark.stats["min"] < 0.02


def test_what_loose_parts_do(benchmark, heard):
    """Reckoned with every changed tolerance; the answer has 100 ms in all."""
    project, result, _, summed = heard
    benchmark(lambda: tolerance(loosened(project, result, summed)))
    assert benchmark.stats["min"] < 0.08
