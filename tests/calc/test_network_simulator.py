"""Sixty random networks by a circuit simulator, from 10 Hz to 40 kHz: 0.01 dB and 0.1 degree."""

import subprocess
from math import pi

import numpy as np
import pytest

from calc.network.netlist import Capacitor, Coil, DriverPart, Network, Resistor, Sheet
from calc.network.solve import solve

COUNT = 60
KINDS = ("ladder", "ladder with branches", "bridge", "two ways", "mesh")


def size(rng, low, high):
    """Any size between the two, as likely in one octave as in the next."""
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def part(rng, name, *nodes):
    match rng.integers(3):
        case 0:
            return Resistor(name, nodes, size(rng, 0.1, 100))
        case 1:
            return Coil(name, nodes, size(rng, 5e-5, 1e-2), size(rng, 0.05, 1))
    return Capacitor(name, nodes, size(rng, 5e-7, 3e-4), size(rng, 0.01, 0.5))


def driver(rng, name, *nodes):
    losses = dict(Le2=size(rng, 1e-4, 2e-3), Re2=size(rng, 1, 30)) if rng.integers(2) else {}
    qs = dict(Qms=size(rng, 1, 10), Qes=size(rng, 0.2, 2))
    load = Sheet(Re=size(rng, 2, 12), fs=size(rng, 20, 2000), Le=size(rng, 1e-5, 1e-3), **qs, **losses)
    return DriverPart(name, nodes, load)


def ladder(rng, prefix="", branches=()):
    """Series and shunt in turn, a driver at the end; each branch is two parts in series to ground."""
    steps = int(rng.integers(1, 4))
    nodes = ["in", *(f"{prefix}n{i}" for i in range(steps))]
    made = [part(rng, f"{prefix}S{i}", a, b) for i, (a, b) in enumerate(zip(nodes, nodes[1:], strict=False))]
    made += [part(rng, f"{prefix}P{i}", node, "0") for i, node in enumerate(nodes[1:])]
    for i in branches:
        at, middle = str(rng.choice(nodes[1:])), f"{prefix}b{i}"
        made += [part(rng, f"{prefix}B{i}", at, middle), part(rng, f"{prefix}G{i}", middle, "0")]
    return [*made, driver(rng, f"{prefix}D", nodes[-1], "0")]


def network(rng, kind):
    if kind == "ladder":
        made = ladder(rng)
    elif kind == "ladder with branches":
        made = ladder(rng, branches=range(3))
    elif kind == "two ways":
        made = [*ladder(rng, "t", range(1)), *ladder(rng, "w", range(2))]
    elif kind == "bridge":
        ends = [("in", "a"), ("in", "b"), ("a", "0"), ("b", "0"), ("b", "c"), ("c", "0")]
        made = [part(rng, f"P{i}", *pair) for i, pair in enumerate(ends)]
        made.append(driver(rng, "D", "a", "b"))
    else:
        nodes = ["in", "a", "b", "c", "d", "e", "0"]
        chain = list(zip(nodes, nodes[1:], strict=False))
        chain += [tuple(map(str, rng.choice(nodes, 2, replace=False))) for _ in range(5)]
        made = [part(rng, f"P{i}", *pair) for i, pair in enumerate(chain)]
        made.append(driver(rng, "D", "c", "0"))
    return Network(tuple(made))


def cards(one, prefix):
    """The lines of one part for the simulator, built of its own elements."""
    a, b = (node if node == "0" else prefix + node for node in one.nodes)
    n = f"{prefix}{one.name}"
    if isinstance(one, Resistor):
        return [f"R{n} {a} {b} {one.R!r}"]
    if isinstance(one, Coil):
        return [f"R{n} {a} {n}x {one.Rdc!r}", f"L{n} {n}x {b} {one.L!r}"]
    if isinstance(one, Capacitor):
        return [f"R{n} {a} {n}x {one.ESR!r}", f"C{n} {n}x {b} {one.C!r}"]
    load = one.load
    omega = 2 * pi * load.fs  # the moving parts as a resonant circuit: see the docstring of series_notch
    R, C, L = load.Re * load.Qms / load.Qes, load.Qes / (omega * load.Re), load.Re / (omega * load.Qes)
    end = f"{n}z"
    lines = [f"R{n} {a} {n}x {load.Re!r}", f"L{n} {n}x {n}y {load.Le!r}"]
    if load.Le2 is None:
        end = f"{n}y"
    else:
        lines += [f"L{n}2 {n}y {end} {load.Le2!r}", f"R{n}2 {n}y {end} {load.Re2!r}"]
    return [*lines, f"R{n}m {end} {b} {R!r}", f"C{n}m {end} {b} {C!r}", f"L{n}m {end} {b} {L!r}"]


@pytest.fixture(scope="module")
def networks():
    rng = np.random.default_rng(60)
    return [network(rng, KINDS[i % len(KINDS)]) for i in range(COUNT)]


@pytest.fixture(scope="module")
def simulated(networks, tmp_path_factory):
    """Frequencies, and for each network its source current and the voltage of each node, all in one run."""
    folder = tmp_path_factory.mktemp("networks")
    lines, asked = ["* random networks beside each other"], []
    for i, one in enumerate(networks):
        prefix = f"q{i}_"
        lines.append(f"V{prefix} {prefix}in 0 DC 0 AC 1")
        nodes = {end for each in one.parts for end in each.nodes} - {"0"}
        # a way for direct current, which the simulator wants; far too little to show
        lines += [f"R{prefix}{node}leak {prefix}{node} 0 1e13" for node in sorted(nodes)]
        lines += [card for each in one.parts for card in cards(each, prefix)]
        asked.append((f"i(v{prefix})", *(f"v({prefix}{node})" for node in sorted(nodes))))
    wanted = " ".join(name for names in asked for name in names)
    lines += [
        ".options gmin=1e-30 reltol=1e-9 abstol=1e-30",
        ".control", "set numdgt=14", "set wr_singlescale", "set wr_vecnames",
        "ac dec 12 10 40k", f"wrdata out.txt {wanted}", "quit", ".endc", ".end",
    ]  # fmt: skip
    (folder / "networks.cir").write_text("\n".join(lines) + "\n")
    done = subprocess.run(
        ["ngspice", "-b", "networks.cir"],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (folder / "out.txt").exists(), done.stdout[-2000:] + done.stderr[-2000:]
    header, *rows = (folder / "out.txt").read_text().splitlines()
    table = np.array([[float(number) for number in row.split()] for row in rows])
    columns = dict(zip(header.split()[1::2], (table[:, 1::2] + 1j * table[:, 2::2]).T, strict=True))
    return table[:, 0], columns


@pytest.mark.parametrize("i", range(COUNT))
def test_a_random_network_against_the_simulator(networks, simulated, i):
    f, columns = simulated
    assert f[0] == 10.0 and 35e3 < f[-1] <= 40e3 and len(f) > 40
    solution = solve(networks[i], f, V=1.0)
    theirs = {node: columns[f"v(q{i}_{node})".lower()] for node in solution.voltages if node != "0"}
    pairs = [(-1 / columns[f"i(vq{i}_)"], solution.Z)]
    pairs += [(V, solution.voltages[node]) for node, V in theirs.items()]
    theirs["0"] = 0.0
    for one in solution.network.drivers:
        plus, minus = one.nodes
        pairs.append((theirs[plus] - theirs[minus], solution.across(one)))
    for wanted, found in pairs:
        ratio = found / wanted
        assert abs(20 * np.log10(abs(ratio))).max() < 0.01
        assert abs(np.degrees(np.angle(ratio))).max() < 0.1


def test_the_networks_are_not_all_alike(networks):
    """Down to a tenth of an ohm or so, with and without a Le2, of four to eight nodes and more."""
    resistors = [part.R for one in networks for part in one.parts if isinstance(part, Resistor)]
    assert min(resistors) < 0.12 and max(resistors) > 80
    sizes = {len({end for part in one.parts for end in part.nodes}) for one in networks}
    assert min(sizes) <= 4 and max(sizes) >= 8
