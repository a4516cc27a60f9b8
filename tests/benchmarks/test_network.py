"""How long ten thousand samples of one crossover take: what its parts' tolerances do to it."""

import numpy as np

from calc.network.netlist import Capacitor, Coil, DriverPart, Network, Resistor, Sheet
from calc.network.solve import solve

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
