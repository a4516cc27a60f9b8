"""Air speed in ports: what is said of it, and what the ends lose, against the simulator's own time steps."""

import subprocess
from dataclasses import replace
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import quad

from calc.errors import InputError
from calc.sound import port
from calc.sound import port_flow as flow
from calc.sound.box_circuit import VentedCircuit
from calc.sound.driver import constants

C, RHO, MU = 343.2, 1.204, 1.81e-5
WOOFER = constants(fs=36.0, Qms=4.5, Qes=0.4, Vas=0.032, Sd=0.0133, Re=5.7, c=C, rho=RHO)
AREA = pi * 0.03**2
VENTED = VentedCircuit(driver=WOOFER, c=C, rho=RHO, Vb=0.022, fb=40.0, QL=10.0, port_area=AREA)
LEFF = port.effective_length(0.022, 40.0, 1, AREA, C)
F = np.geomspace(15, 200, 60)


def solved(QP):
    return replace(VENTED, QP=QP).response(F)


# --- speed against power ---


def test_speed_and_power_belong_together():
    """Four times the power, twice the speed; and the power that was asked for comes back."""
    assert_allclose(flow.speed_at_power(6.0, 25.0, [0.0, 25.0, 100.0]), [0, 6, 12])
    P = flow.power_at_speed(6.0, 25.0, port.OLDER_SPEED.value)
    assert_allclose(flow.speed_at_power(6.0, 25.0, [P]), [17.0])


def test_judgement_follows_the_guidance_and_the_rounding():
    assert [flow.judgement(v, 40.0).word for v in (3.0, 10.0, 12.0, 17.0, 18.0)] == [
        "quiet", "quiet", "near", "near", "heard",
    ]  # fmt: skip
    assert flow.judgement(12.0, 40.0).held is None
    travel = 12.0 / (2 * pi * 40.0)  # 48 mm either way
    assert flow.judgement(12.0, 40.0, travel * 1.01).held is True
    assert flow.judgement(12.0, 40.0, travel * 0.99).held is False


def test_every_guidance_says_how_it_was_read():
    for each in (flow.TRANSITION, flow.GENTLE_FLARE, flow.BEST_FLARE, flow.CURVED):
        assert "seen" in each.source or "from memory" in each.source


def test_reynolds_by_the_boundary_layer():
    """The printed check of the port, by another way round."""
    assert_allclose(flow.boundary_reynolds(40.0, 12.0, RHO, MU), 276.09, rtol=1e-4)


# --- what the ends lose ---


def test_the_first_harmonic_of_a_square_law():
    """8/(3 pi): the share of cos in cos |cos|, integrated here."""
    first, _ = quad(lambda t: abs(np.cos(t)) * np.cos(t) ** 2 / pi, 0, 2 * pi)
    v, zeta = 7.0, 1.6
    resistance = zeta * RHO * v**2 / 2 * first / (v * AREA)
    mass = RHO * LEFF / AREA
    assert_allclose(flow.end_Q(40.0, v, LEFF, zeta), 2 * pi * 40 * mass / resistance, rtol=1e-9)


def test_losses_of_ends():
    """By the textbook: half and all of rho v²/2 flush, 0.8 and all standing; the mean of both ways."""
    assert flow.end_losses("flanged", "free", 0.06) == pytest.approx((1.65, 1.65))
    least, most = flow.end_losses("flared", "flared", 0.06, 0.03)
    assert_allclose([least, most], [0.5 * 0.08 + 1 / 16, 0.5 * 0.08 + 1])  # a mouth of twice the width
    assert flow.end_losses("flared", "flared", 0.06, 1e-6) == pytest.approx((1.5, 1.5), rel=1e-3)
    steps = [flow.end_losses("flared", "free", 0.06, r) for r in (0.001, 0.003, 0.01, 0.03)]
    assert all(np.diff([low for low, _ in steps]) < 0) and all(low < high for low, high in steps)
    for ends in (("flared", "free"), ("sharp", "free")):
        with pytest.raises(InputError, match="^ends: "):
            flow.end_losses(*ends, 0.06)


def test_without_a_drive_to_speak_of_nothing_is_lost():
    """And the speed is that of the box without this loss."""
    found = flow.separated(solved, [1e-4], 40.0, LEFF, 1.65, QP=80.0)
    assert_allclose(found.speed[0], solved(80.0).port_speed * 1e-4, rtol=1e-4)
    assert_allclose(found.loss, 0, atol=1e-3)


def test_driven_hard_the_speed_grows_as_the_root_of_the_drive():
    """Where the square law stands alone, four times the drive blows twice as fast: its exact limit."""
    found = flow.separated(solved, [10.0, 40.0], 40.0, LEFF, 500.0)
    ratio = found.speed[1] / found.speed[0]
    assert_allclose(ratio[F < 80], 2, rtol=0.05)  # above that the port's mass stands in the way


@settings(max_examples=30)
@given(st.floats(0.1, 20), st.floats(0.2, 2.5), st.one_of(st.none(), st.floats(5, 200)), st.floats(5, 60))
def test_the_speed_found_is_that_of_a_box_with_its_own_friction(drive, zeta, QP, QL):
    """Put back as friction, the ends' resistance at the speed found yields that speed: another solution."""
    circuit = replace(VENTED, QL=QL)
    found = flow.separated(lambda Q: replace(circuit, QP=Q).response(F), [drive], 40.0, LEFF, zeta, QP)
    cab = 0.022 / (RHO * C**2)
    friction = 0 if QP is None else 1 / (2 * pi * 40 * cab * QP)
    ends = 4 * RHO * zeta * found.speed[0] / (3 * pi * AREA)  # as `test_the_first_harmonic` integrates it
    Q = 1 / (2 * pi * 40 * cab * (friction + ends))
    again = replace(circuit, QP=Q).response(F)
    assert_allclose(again.port_speed * drive, found.speed[0], rtol=1e-5)
    plain = replace(circuit, QP=QP).response(F)
    assert_allclose(plain.level - again.level, found.loss[0], atol=1e-4)


def netlist(f, volts, zeta):
    """The vented box for ngspice in time: the port's ends push back with zeta rho v|v|/2."""
    Cab = 0.022 / (RHO * C**2)
    omega = 2 * pi * 40.0
    lines = [
        "* ends of a port", f"Vg in 0 SIN(0 {volts * np.sqrt(2)} {f})", "Re in a 5.7",
        f"Hemf a d Vmu {WOOFER.Bl}", "Vie d 0 0", f"Hf m1 0 Vie {WOOFER.Bl}", f"Lm m1 m2 {WOOFER.Mms}",
        f"Rm m2 m3 {WOOFER.Rms}", f"Cm m3 m4 {WOOFER.Cms}", "Rcm m3 m4 1e9", "Vmu m4 m5 0",
        "Epr m5 0 0 box 0.0133", "Fud box 0 Vmu 0.0133", f"Cab box 0 {Cab}", f"Rl box 0 {10 / (omega * Cab)}",
        "Vip box p1 0", f"Lap p1 p2 {1 / (omega**2 * Cab)}",
        f"Bend p2 0 V={zeta * RHO / (2 * AREA**2)}*i(Vip)*abs(i(Vip))",
        ".options reltol=1e-5 abstol=1e-12 vntol=1e-9 method=trap",
        ".control", "set wr_singlescale", f"tran {1 / f / 400} {44 / f} {40 / f} {1 / f / 400}",
        "linearize i(vip)", "wrdata out.txt i(vip)", "quit", ".endc", ".end",
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(("f", "volts"), [(40.0, 12.0), (40.0, 40.0), (32.0, 25.0), (55.0, 25.0)])
def test_the_first_harmonic_against_time_steps(tmp_path, f, volts):
    """ngspice follows the square law itself through time; its flow's first harmonic is taken over 4 periods.

    The describing function leaves out what the harmonics do to the first one: 2 % bounds that here.
    """
    zeta = 1.65
    (tmp_path / "ends.cir").write_text(netlist(f, volts, zeta))
    done = subprocess.run(
        ["ngspice", "-b", "ends.cir"], cwd=tmp_path, capture_output=True, text=True, timeout=60, check=False
    )
    assert (tmp_path / "out.txt").exists(), done.stdout[-1500:] + done.stderr[-1500:]
    t, U = np.loadtxt(tmp_path / "out.txt").T[:2]
    wave = np.exp(-2j * pi * f * t)
    first = abs(np.trapezoid(U * wave, t)) * 2 / (t[-1] - t[0])
    found = flow.separated(
        lambda QP: replace(VENTED, QP=QP).response([f]), [volts / 2.83], 40.0, LEFF, zeta
    ).speed[0, 0]
    assert_allclose(found, first / AREA, rtol=0.02)


def test_the_drive_that_costs_a_decibel():
    drives = np.geomspace(0.5, 20, 40)
    losses = flow.separated(solved, drives, 40.0, LEFF, 1.65).loss
    at = flow.drive_for_loss(losses, drives, 1.0)
    assert_allclose(flow.separated(solved, [at], 40.0, LEFF, 1.65).loss.max(), 1.0, atol=0.01)
    assert flow.drive_for_loss(losses, drives, 90.0) is None


@pytest.mark.parametrize(
    ("field", "make"),
    [
        ("v", lambda: flow.speed_at_power(0.0, 25.0, [1.0])),
        ("powers", lambda: flow.speed_at_power(1.0, 25.0, [-1.0])),
        ("powers", lambda: flow.speed_at_power(1.0, 25.0, [float("nan")])),
        ("limit", lambda: flow.power_at_speed(1.0, 25.0, float("inf"))),
        ("f", lambda: flow.judgement(1.0, 0.0)),
        ("flare", lambda: flow.judgement(1.0, 40.0, -0.01)),
        ("diameter", lambda: flow.end_losses("flanged", "free", 0.0)),
        ("drives", lambda: flow.separated(solved, [0.0], 40.0, LEFF, 1.65)),
        ("drives", lambda: flow.separated(solved, [1e5], 40.0, LEFF, 1.65)),
        ("zeta", lambda: flow.separated(solved, [1.0], 40.0, LEFF, 0.0)),
        ("v", lambda: flow.end_Q(40.0, 0.0, LEFF, 1.65)),
        ("mu", lambda: flow.boundary_reynolds(40.0, 1.0, RHO, 0.0)),
    ],
)
def test_refusals(field, make):
    with pytest.raises(InputError) as refusal:
        make()
    assert refusal.value.field == field
