"""Ports as pipes, against the lumped box, ideal half waves and a general circuit simulator."""

import subprocess
from math import pi

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound import pipe, port
from calc.sound.driver import constants
from calc.sound.limits import reference_level
from calc.sound.vented_box import vented_box

C, RHO, MU = 343.2, 1.204, 1.81e-5
STILL = 1e-13  # Pa s: air that the wall does not hold
SHEET = {"fs": 36.0, "Qms": 4.5, "Qes": 0.4, "Vas": 0.032, "Sd": 0.0133, "Re": 5.7}
WOOFER = constants(**SHEET, c=C, rho=RHO, Le=0.45e-3)
D = 0.07
AREA = pi * D**2 / 4
ENDS = tuple(port.round_end_correction(D, end) for end in ("flanged", "free"))
REFERENCE = reference_level(WOOFER, 2.83, 0.0, C, RHO)


def tube(length, ends=ENDS, count=1):
    return (pipe.Tube(AREA, pi * D, length, *ends, count),)


@pytest.mark.parametrize("count", [1, 2])
@pytest.mark.parametrize("depth", [None, 0.6])
def test_at_low_frequencies_it_is_the_lumped_box(count, depth):
    """The port as a plug of air, the box as one spring: another calculation, its limit for long waves.

    What lines add grows as (kL)², so the box is a large one, tuned low.
    """
    Vb, length = 2.0, 0.15
    fb = port.port_tuning(Vb, length, count, AREA, ENDS, C)
    chamber = pipe.Chamber(Vb, depth, None if depth is None else 0.45)
    f = fb * np.array([0.25, 0.5, 1.0, 2.0])
    line = pipe.pipe_response(f, WOOFER, tube(length, count=count), chamber, fb, C, RHO, STILL, QL=8, QA=40)
    lumped = vented_box(f, WOOFER, Vb, fb, C, RHO, QL=8, QA=40, port_area=count * AREA)
    assert_allclose(line.level, lumped.level, rtol=0, atol=0.05)
    assert_allclose(np.sqrt(2) * abs(line.flow) / (count * AREA), lumped.port_speed, rtol=6e-3)


def test_the_air_inside_the_tube_belongs_to_the_box_as_well():
    """Far below the tuning all air moves as one: half of the tube's, whose pressure falls off along it.

    Derived: cone and port cancel but for what the air stores, which is pressure times volume over rho c²; the
    pressure falls straight along the tube, less what the ends' air takes of it.
    """
    Vb, length = 0.022, 0.25
    fb = port.port_tuning(Vb, length, 1, AREA, (0.0, 0.0), C)
    f = [fb / 10]
    bare = tube(length, (0.0, 0.0))
    line = pipe.pipe_response(f, WOOFER, bare, pipe.Chamber(Vb), fb, C, RHO, STILL)
    lumped = vented_box(f, WOOFER, Vb, fb, C, RHO, port_area=AREA)
    assert_allclose(line.level - lumped.level, 20 * np.log10(1 + AREA * length / 2 / Vb), atol=0.01)


def test_two_sizes_are_one_if_they_are_equal():
    """One tube beside two of its like is three."""
    f, chamber = np.geomspace(20, 1500, 50), pipe.Chamber(0.03, 0.3, 0.1)
    apart, together = (
        pipe.pipe_response(f, WOOFER, tubes, chamber, 40.0, C, RHO, MU, QL=9)
        for tubes in (tube(0.2) + tube(0.2, count=2), tube(0.2, count=3))
    )
    assert_allclose(apart.level, together.level, atol=1e-8)
    assert_allclose(apart.flow, together.flow, rtol=1e-9)


def test_two_sizes_at_low_frequencies_are_the_lumped_box():
    """Their inertances in parallel, by another calculation."""
    Vb, lengths = 2.0, (0.1, 0.3)
    ports = [(1, AREA, sum(ENDS)), (2, AREA, sum(ENDS))]
    fb = port.ports_tuning(Vb, ports, lengths, C)
    f = fb * np.array([0.25, 0.5, 2.0])
    tubes = tube(lengths[0]) + tube(lengths[1], count=2)
    line = pipe.pipe_response(f, WOOFER, tubes, pipe.Chamber(Vb), fb, C, RHO, STILL, QL=8)
    lumped = vented_box(f, WOOFER, Vb, fb, C, RHO, QL=8, port_area=3 * AREA)
    assert_allclose(line.level, lumped.level, rtol=0, atol=0.03)


def test_friction_of_the_wall_is_that_of_the_lumped_port():
    """Its resistance per metre by `wall_impedance`, which agrees with a printed check of its own."""
    f = np.array([5.0, 20.0, 40.0, 80.0])
    k, Z = pipe.wall_line(f, AREA, pi * D, C, RHO, MU)
    series = 1j * k * Z
    for at, found in zip(f, series, strict=True):
        resistance, mass = port.wall_impedance(at, D / 2, RHO, MU)
        assert_allclose(found.real, resistance, rtol=1e-9)
        assert_allclose(found.imag * AREA / (2 * pi * at * RHO), mass, rtol=1e-9)


def test_what_a_wide_pipe_takes_from_a_wave():
    """Kirchhoff's loss at the wall, sqrt(w mu/(2 rho))/(a c) (1 + (gamma - 1)/sqrt(Pr)), from memory; and the
    same from the two boundary layers: derived, each layer d deep loses k d/(2 a), heat (gamma - 1) of it.
    """
    f, a = 200.0, 0.05
    k, _ = pipe.wall_line([f], pi * a**2, 2 * pi * a, C, RHO, MU)
    w = 2 * pi * f
    kirchhoff = np.sqrt(w * MU / (2 * RHO)) / (a * C) * (1 + (pipe.GAMMA - 1) / np.sqrt(pipe.PRANDTL))
    assert_allclose(-k[0].imag, kirchhoff, rtol=0.01)
    drag = port.boundary_layer(f, RHO, MU)
    heat = drag / np.sqrt(pipe.PRANDTL)
    assert_allclose(-k[0].imag, w / C * (drag + (pipe.GAMMA - 1) * heat) / (2 * a), rtol=0.01)


def test_an_ideal_pipe_is_open_again_at_every_half_wave():
    """Exact: between open ends a pipe passes pressure on, its sign turned by each half wave; a quarter wave
    turns an open end into a wall."""
    f = np.array(pipe.half_waves(0.3, C))
    assert_allclose(f, [572.0, 1144.0, 1716.0], rtol=1e-12)
    k, Z = 2 * pi * f / C, RHO * C / AREA
    A, B, Cc, Dd = pipe.line(k, Z, 0.3)
    assert_allclose(A, [-1, 1, -1], atol=1e-12)
    assert_allclose(Dd, A)
    assert_allclose(abs(B) / Z, 0, atol=1e-12)
    assert_allclose(abs(Cc) * Z, 0, atol=1e-12)
    quarter = pipe.line(k[:1] / 2, Z, 0.3)
    assert abs(pipe.input_impedance(quarter, 1e-9 * Z))[0] > 1e8 * Z


@pytest.mark.parametrize("length", [0.12, 0.28, 0.45])
def test_the_port_sounds_where_half_waves_fit(length):
    """Behind a large box a thin pipe is open at both ends: peaks at n c/(2 L), exact for no ends."""
    thin = (pipe.Tube(pi * 0.004**2, pi * 0.008, length, 0.0, 0.0),)
    f = np.geomspace(150, 3.4 * C / (2 * length), 6000)
    response = pipe.pipe_response(f, WOOFER, thin, pipe.Chamber(5.0), 20.0, C, RHO, STILL)
    found = pipe.resonances(response, REFERENCE, thin, C)
    assert_allclose([each.f for each in found], pipe.half_waves(length, C), rtol=1e-3)
    assert all(each.of == "pipe" for each in found)


def test_the_depth_of_the_box_is_told_from_the_pipe():
    """A box much deeper than the port is long first sounds near its own half wave, c/(2 depth)."""
    short, deep = tube(0.05), pipe.Chamber(0.06, 0.9, 0.85)
    f = np.geomspace(150, 600, 4000)
    response = pipe.pipe_response(f, WOOFER, short, deep, 40.0, C, RHO, MU, QA=100)
    first = pipe.resonances(response, REFERENCE, short, C, 0.9)[0]
    assert first.of == "depth"
    assert_allclose(first.f, C / (2 * 0.9), rtol=0.1)
    damped = pipe.pipe_response(f, WOOFER, short, deep, 40.0, C, RHO, MU, QA=20)
    assert pipe.resonances(damped, REFERENCE, short, C, 0.9)[0].level < first.level - 1, "lining helps"


def test_a_dead_box_passes_on_what_the_cone_pushes():
    """Nothing comes back: the pressure is rho c U/A all along, so a tiny port takes its share of that."""
    area, depth = 0.05, 0.5
    tiny = pipe.Tube(1e-5, pi * 3.6e-3, 0.02, 0.0, 0.0)
    f = np.array([700.0, 900.0])
    found = pipe.pipe_response(
        f, WOOFER, (tiny,), pipe.Chamber(area * depth, depth, 0.2, True), 20.0, C, RHO, STILL
    )
    cone = 2.83 * WOOFER.Bl / (WOOFER.Re + 2j * pi * f * WOOFER.Le) * WOOFER.Sd
    moving = 2j * pi * f * WOOFER.Mms + WOOFER.Rms + 1 / (2j * pi * f * WOOFER.Cms)
    moving += WOOFER.Bl**2 / (WOOFER.Re + 2j * pi * f * WOOFER.Le) + WOOFER.Sd**2 * RHO * C / area
    pressure = abs(RHO * C / area * cone / moving)
    port_mass = 2 * pi * f * RHO * np.sinc(2 * f * 0.02 / C) * 0.02 / 1e-5  # of a short pipe, open outside
    assert_allclose(abs(found.flow), pressure / port_mass, rtol=0.01)


def netlist(length, count, chamber, fb, QL):
    """The same box for ngspice: the lines are its lossless ones, masses are coils, radiation is w² U.

    Voltage stands for volt, force and pressure; current for ampere, velocity and volume velocity.
    """
    Mms = 1 / ((2 * pi * SHEET["fs"]) ** 2 * WOOFER.Cms)
    Rms = 2 * pi * SHEET["fs"] * Mms / SHEET["Qms"]
    Bl = np.sqrt(2 * pi * SHEET["fs"] * Mms * SHEET["Re"] / SHEET["Qes"])
    across = chamber.Vb / chamber.depth
    Cab = chamber.Vb / (RHO * C**2)
    lines = [
        "* pipe", "Vg in 0 AC 2.83", "Re in a 5.7", "Le a b 0.45e-3", f"Hemf b d Vmu {Bl}", "Vie d 0 0",
        f"Hf m1 0 Vie {Bl}", f"Lm m1 m2 {Mms}", f"Rm m2 m3 {Rms}", f"Cm m3 m4 {WOOFER.Cms}", "Rcm m3 m4 1e12",
        "Vmu m4 m5 0", "Epr m5 0 0 front 0.0133", "Fud front 0 Vmu 0.0133",
        f"Tfront front 0 node 0 Z0={RHO * C / across} TD={chamber.at / C}",
        f"Tback node 0 end 0 Z0={RHO * C / across} TD={(chamber.depth - chamber.at) / C}",
        "Rend end 0 1e15", f"Vleak node leak 0\nRleak leak 0 {QL / (2 * pi * fb * Cab)}",
        f"Linner node p1 {RHO * ENDS[1] / (count * AREA)}",
        f"Ttube p1 0 p2 0 Z0={RHO * C / (count * AREA)} TD={length / C}",
        f"Louter p2 p3 {RHO * ENDS[0] / (count * AREA)}", "Vip p3 p4 0",
        "Ferst 0 q1 Vip 1", "Lerst q1 0 1", "Gagain 0 q2 q1 0 1", "Lagain q2 0 1",
        f"Erad p4 0 q2 0 {-RHO / (2 * pi * C)}",
        ".control", "set numdgt=12", "set wr_singlescale", "ac dec 40 20 1200",
        "wrdata out.txt i(vip) i(vmu) i(vleak)", "quit", ".endc", ".end",
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("count", [1, 3])
def test_against_the_simulator(tmp_path, count):
    """ngspice, with its own transmission lines. The leak, cone and port are summed here."""
    chamber, length, QL = pipe.Chamber(0.022, 0.31, 0.04), 0.21, 9.0
    fb = port.port_tuning(0.022, length, count, AREA, ENDS, C)
    (tmp_path / "pipe.cir").write_text(netlist(length, count, chamber, fb, QL))
    done = subprocess.run(
        ["ngspice", "-b", "pipe.cir"], cwd=tmp_path, capture_output=True, text=True, timeout=60, check=False
    )
    assert (tmp_path / "out.txt").exists(), done.stdout[-1500:] + done.stderr[-1500:]
    table = np.loadtxt(tmp_path / "out.txt")
    f, flow, u, leak = table[:, 0], *(table[:, n] + 1j * table[:, n + 1] for n in (1, 3, 5))
    level = 20 * np.log10(RHO * f * abs(flow + 0.0133 * u + leak) / 2e-5)
    found = pipe.pipe_response(f, WOOFER, tube(length, count=count), chamber, fb, C, RHO, STILL, QL=QL)
    assert_allclose(found.flow, flow, rtol=2e-3)
    assert_allclose(found.level, level, rtol=0, atol=0.02)


def test_the_crossover_hides_what_it_lowers():
    """Butterworth: half power at the corner, 6 dB for each order and octave far above it (textbook)."""
    assert_allclose(pipe.low_pass_level(2000.0, 2000.0, 3), -3.0103, atol=1e-3)
    assert_allclose(np.diff([pipe.low_pass_level(f, 100.0, 4) for f in (1600.0, 3200.0)]), -24.08, atol=0.01)
    f = np.geomspace(150, 1500, 3000)
    response = pipe.pipe_response(f, WOOFER, tube(0.28), pipe.Chamber(0.022, 0.3, 0.02), 40.0, C, RHO, MU)
    open_, low, high = (
        pipe.resonances(response, REFERENCE, tube(0.28), C, 0.3, low_pass)[0]
        for low_pass in (None, (100.0, 3), (2500.0, 2))
    )
    assert (open_.filtered, open_.hidden) == (None, None)
    assert low.hidden and not high.hidden
    assert low.level == open_.level == high.level
    assert_allclose(low.filtered - low.level, pipe.low_pass_level(low.f, 100.0, 3))


def test_where_the_plane_waves_end():
    assert_allclose(pipe.plane_below(0.2, 0.343, 343.0), 500.0)


@pytest.mark.parametrize(
    ("field", "make"),
    [
        ("area", lambda: pipe.Tube(0.0, 0.2, 0.1, 0.02, 0.02)),
        ("perimeter", lambda: pipe.Tube(0.004, float("nan"), 0.1, 0.02, 0.02)),
        ("length", lambda: pipe.Tube(0.004, 0.2, 0.1, -0.06, -0.06)),
        ("at", lambda: _solve(pipe.Chamber(0.02, 0.3, 0.4))),
        ("at", lambda: _solve(pipe.Chamber(0.02, 0.3))),
        ("depth", lambda: _solve(pipe.Chamber(0.02, -0.3, 0.1))),
        ("Vb", lambda: _solve(pipe.Chamber(float("inf"), 0.3, 0.1))),
        ("order", lambda: pipe.low_pass_level(100.0, 50.0, 5)),
        ("crossover", lambda: pipe.low_pass_level(100.0, 0.0, 2)),
        ("effective_length", lambda: pipe.half_waves(0.0, C)),
        ("width", lambda: pipe.plane_below(0.0, 0.3, C)),
    ],
)
def test_refusals(field, make):
    with pytest.raises(InputError) as refusal:
        make()
    assert refusal.value.field == field


def _solve(chamber):
    return pipe.pipe_response([100.0], WOOFER, tube(0.2), chamber, 40.0, C, RHO, MU)
