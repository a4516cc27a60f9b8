"""Driver and port on the line: the lumped box, three sides, ngspice."""

import subprocess
from math import pi, sqrt

import numpy as np
import pytest
from lined_boxes import AIR, DRIVER, MU, RHO, STILL, C, F, hard, line
from numpy.testing import assert_allclose

from calc.errors import InputError
from calc.sound import lined_line as tube
from calc.sound import ripple as waves
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.vented_box import vented_box

# --- driver and port on the line ---


def opening(f, Vb, fb, QP=None):
    """Impedance of a port that tunes Vb [m³] to fb [Hz], written out: j w Map + Rap."""
    Cab, wb = Vb / (RHO * C**2), 2 * pi * fb
    return 2j * pi * f / (wb**2 * Cab) + (0 if QP is None else 1 / (wb * Cab * QP))


def losses(Vb, fq, QL, QA):
    Cab, w = Vb / (RHO * C**2), 2 * pi * fq
    return dict(leak=w * Cab / QL, absorption=1 / (w * Cab * QA))


VB, LONG = 0.021, 0.42
LUMPED = np.geomspace(5, 45, 30)
"""Well below c/(8 L), which is 102 Hz here."""


@pytest.mark.parametrize("places", [([0.0], [0.42]), ([0.1], [0.35]), ([0.21], [0.0]), ([0.3, 0.1], [0.4])])
def test_at_low_frequencies_the_vented_line_is_the_vented_box(places):
    """Its exact limit is the lumped box; that this is `vented_box` follows from the flat box below."""
    cones, ports = places
    lost = losses(VB, 40, 9.0, 50.0)
    port = dict(ports=ports, opening=opening(LUMPED, VB, 40.0, 60.0))
    assert_allclose(waves.ripple(LUMPED, DRIVER, line(), cones, Rs=0.3, **port, **lost, **AIR), 0, atol=0.05)
    deep = waves.ripple([0.5], DRIVER, line(), cones, ports=ports, opening=opening(0.5, VB, 40.0), **AIR)
    assert_allclose(deep, 0, atol=1e-3)


def test_at_low_frequencies_the_closed_line_is_the_closed_box():
    for cones in ([0.0], [0.1], [0.21]):
        lost = losses(VB, 50.0, 12.0, 30.0)
        assert_allclose(waves.ripple(LUMPED, DRIVER, line(), cones, **lost, **AIR), 0, atol=0.05)
        assert_allclose(waves.ripple([0.5], DRIVER, line(), cones, **AIR), 0, atol=1e-5)
        lined = line(tube.Layer(0.0, 0.1, 9000.0), tube.Layer(0.2, 0.25, 4000.0))
        assert_allclose(waves.ripple([0.5], DRIVER, lined, cones, **AIR), 0, atol=1e-3)


@pytest.mark.parametrize("cone", [0.0, 0.1, 0.21, 0.42])
def test_the_mass_of_the_air_in_the_line_moves_with_the_cone(cone):
    """Second route: a closed box whose cone is heavier by Sd² times that mass; well below the first mode."""
    mass = DRIVER.Mms + tube.air_mass(line(), [cone], [cone], RHO) * DRIVER.Sd**2
    ws = 1 / sqrt(mass * DRIVER.Cms)
    heavier = constants(
        ws / (2 * pi), ws * mass / DRIVER.Rms, ws * mass * DRIVER.Re / DRIVER.Bl**2,
        DRIVER.Vas, DRIVER.Sd, DRIVER.Re, C, RHO, DRIVER.Le,
    )  # fmt: skip
    loud, lost = dict(V=4.0, distance=2.0), losses(VB, 50.0, 12.0, 30.0)
    found = waves.line_level(LUMPED, DRIVER, line(), [cone], **loud, **lost, **AIR)
    box = closed_box(LUMPED, heavier, VB, C, RHO, QL=12.0, QA=30.0, fq=50.0, **loud)
    assert_allclose(found, box.level, atol=0.03)


def test_the_mass_of_the_air_in_the_line():
    """Derived: the slope of the impedance over its spring. Between the ends it is below zero."""
    w = 2 * pi * 20.0
    for x, y in ((0.0, 0.0), (0.1, 0.3), (0.0, 0.42), (0.21, 0.21)):
        Z = tube.line_impedance(20.0, line(), [x], [y], **STILL) - RHO * C**2 / (1j * w * 0.05 * 0.42)
        assert_allclose(tube.air_mass(line(), [x], [y], RHO), Z.imag / w, rtol=0.01, atol=0.01)
    assert tube.air_mass(line(), [0.0], [0.42], RHO) < 0


def test_at_low_frequencies_a_radiator_too():
    Sp, Cmp, Mmp, Rmp = 0.0133, 0.0015, 0.032, 0.6
    s = 2j * pi * LUMPED
    Z = (s * Mmp + 1 / (s * Cmp) + Rmp) / Sp**2
    assert_allclose(waves.ripple(LUMPED, DRIVER, line(), [0.1], ports=[0.35], opening=Z, **AIR), 0, atol=0.05)
    flat = tube.Line(0.01, VB / 0.01, 6.0, walls=0.0)
    box = passive_radiator_box(LUMPED, DRIVER, VB, 1, Sp, Cmp, Mmp, Rmp, C, RHO)
    found = waves.line_level(LUMPED, DRIVER, flat, [0.0], ports=[0.01], opening=Z, **STILL)
    assert_allclose(found, box.level, atol=0.01)


def test_a_pad_between_cone_and_port_is_a_loss_at_the_tuning():
    """What the docstring warns of: across the whole section the air to the port must pass it."""
    f = np.array([40.0])
    port = dict(ports=[0.42], opening=opening(f, VB, 40.0), **AIR)
    between = waves.ripple(f, DRIVER, line(tube.Layer(0.2, 0.25, 6000.0)), [0.0], **port)
    beside = waves.ripple(f, DRIVER, line(tube.Layer(0.0, 0.42, 6000.0, 0.2, 0.03)), [0.0], **port)
    assert between < -0.2 and abs(beside) < abs(between) / 2


def test_a_very_short_line_is_the_lumped_box_at_all_notes():
    """Exact limit of another kind: the same air as a flat box, whose first wave lies at 17 kHz."""
    flat = tube.Line(0.01, VB / 0.01, 6.0, walls=0.0)
    f = np.geomspace(10, 500, 40)
    found = waves.line_level(
        f, DRIVER, flat, [0.0], ports=[0.01], opening=opening(f, VB, 40.0, 80.0), **STILL
    )
    assert_allclose(found, vented_box(f, DRIVER, VB, 40.0, C, RHO, QP=80.0).level, atol=0.01)


def test_the_middle_neither_drives_nor_hears_the_first_mode():
    """Port at the end: a cone at the other end makes a peak at c/(2 L), one in the middle hardly any. And of
    a cone at the end a port in the middle gets the spring's pressure (and a rest of higher modes)."""
    f0 = C / (2 * LONG)
    f = np.linspace(0.9 * f0, 1.1 * f0, 301)
    port = dict(ports=[LONG], opening=opening(f, VB, 40.0), **AIR)
    loud, quiet = (waves.ripple(f, DRIVER, line(), [x], **port) for x in (0.0, LONG / 2))
    assert np.ptp(loud) > 2 and np.ptp(loud) > 5 * np.ptp(quiet)
    heard, deaf = (abs(tube.line_impedance(f0, line(), [0.0], [x], **AIR)) for x in (LONG, LONG / 2))
    spring = RHO * C**2 / (2 * pi * f0 * VB)
    assert heard > 20 * spring and deaf < 2 * spring


def test_three_sides_add_as_their_waves_do():
    """Second route: cone and port in a sum over the axial waves of a box; the circuit written out anew."""
    inner, cone, port = (0.2, 0.42, 0.3), (0.08, 0.11, 0.0), (0.15, 0.36, 0.3)
    volume = np.prod(inner)
    sides = []
    for axis, length in enumerate(inner):
        a, b = (side for k, side in enumerate(inner) if k != axis)
        sides.append(waves.Placed(tube.Line(length, a * b, 2 * (a + b)), (cone[axis],), (port[axis],)))
    f = np.array([150.0, 390.0, 409.0, 450.0, 572.0, 600.0])
    w = 2 * pi * f
    n = np.arange(1, 40_000)[:, None]
    total = dict.fromkeys(("cc", "cp", "pp"), RHO * C**2 / (1j * w * volume))
    for axis, (line_, _, _) in enumerate(sides):
        lossy, L = 1 - 1j / tube.bare_Q(f, line_, C, RHO, MU), inner[axis]
        for pair in total:
            x, y = ({"c": cone, "p": port}[one][axis] for one in pair)
            shape = 2 * np.cos(n * pi * x / L) * np.cos(n * pi * y / L)
            swing = (n * pi / L) ** 2 - (w / C) ** 2 * lossy
            # each wave less what is left of it far below its note: the mass of the air
            modal = (shape * 1j * w * RHO * lossy * (1 / swing - 1 / (n * pi / L) ** 2)).sum(0)
            total[pair] = total[pair] + modal / volume
    Zo = opening(f, volume, 40.0)

    def outside(cc, cp, pp):
        Zm = 1j * w * DRIVER.Mms + DRIVER.Rms + 1 / (1j * w * DRIVER.Cms)
        Ze = DRIVER.Re + 1j * w * DRIVER.Le
        load = cc - cp**2 / (Zo + pp)
        u = DRIVER.Bl / (Ze * (Zm + DRIVER.Sd**2 * load) + DRIVER.Bl**2)
        return u * (1 - cp / (Zo + pp))

    spring = RHO * C**2 / (1j * w * volume)
    wanted = 20 * np.log10(abs(outside(*total.values()) / outside(spring, spring, spring)))
    found = waves.axial_ripple(f, DRIVER, sides, C, RHO, MU, opening=Zo)
    assert_allclose(found, wanted, atol=0.01)
    alone = waves.ripple(f, DRIVER, *sides[1][:2], C, RHO, MU, ports=sides[1].ports, opening=Zo)
    assert abs(found - alone).max() > 0.5, "the depth is heard too, at 572 Hz"
    deep = waves.axial_ripple([0.5], DRIVER, sides, C, RHO, MU, opening=opening(0.5, volume, 40.0))
    assert_allclose(deep, 0, atol=1e-3)


def test_a_pad_in_the_middle_tames_the_ripple():
    f = np.geomspace(150, 500, 400)
    at = dict(cones=[0.0], ports=[LONG], opening=opening(f, VB, 40.0), **AIR)
    bare, pad, ends = (
        waves.ripple(f, DRIVER, a, **at)
        for a in (
            line(),
            line(tube.Layer(0.19, 0.23, 8000.0)),
            line(tube.Layer(0.0, 0.02, 8000.0), tube.Layer(0.40, 0.42, 8000.0)),
        )
    )
    assert abs(pad).max() < 0.4 * abs(ends).max() < 0.4 * abs(bare).max()


def test_source_resistance_and_capacitor_count():
    """A large capacitor is none; resistance and capacitor leave the terminals what they leave of the box."""
    f = np.geomspace(8, 25, 10)
    plain = waves.line_level(f, DRIVER, line(), [0.1], **AIR)
    assert_allclose(waves.line_level(f, DRIVER, line(), [0.1], capacitor=10.0, **AIR), plain, atol=0.01)
    with_both = waves.line_level(f, DRIVER, line(), [0.1], capacitor=4e-4, Rs=0.5, **AIR)
    # the same before the terminals, by the impedance of the lumped box
    bare = closed_box(f, DRIVER, VB, C, RHO)
    Z = bare.Z * np.exp(1j * np.radians(bare.Z_phase))
    share = abs(Z / (Z + 0.5 + 1 / (2j * pi * f * 4e-4)))
    assert_allclose(with_both, plain + 20 * np.log10(share), atol=0.1)


def test_more_drive_more_level():
    louder = waves.line_level(F, DRIVER, line(), [0.1], V=28.3, **AIR) - waves.line_level(
        F, DRIVER, line(), [0.1], **AIR
    )
    assert_allclose(louder, 20, atol=1e-9)


def test_the_level_refuses():
    for field, asked in {"V": 0.0, "Rs": -1.0, "distance": float("nan"), "capacitor": 0.0}.items():
        with pytest.raises(InputError, match=f"^{field}: "):
            waves.line_level(F, DRIVER, line(), [0.1], **AIR, **{field: asked})
    with pytest.raises(InputError, match="^ports: needs at least one place"):
        waves.line_level(F, DRIVER, line(), [0.1], opening=opening(F, VB, 40.0), **AIR)


def test_the_whole_against_ngspice(tmp_path):
    """The box a ladder of 300 springs and masses with a pad's friction."""
    n, cone, port, fb = 300, 45, 269, 40.0
    a = hard(tube.Layer(0.196, 0.224, 900.0))
    d = a.length / n
    spring, mass = a.area * d / (RHO * C**2), RHO * d / a.area
    lines = [
        "* the air of a box as a ladder",
        "Vg in 0 DC 0 AC 2.83",
        f"Re in e2 {DRIVER.Re}", f"Le e2 e4 {DRIVER.Le}",
        f"Hemf e4 e5 Vmu {DRIVER.Bl}", "Vie e5 0 0",
        f"Hf m1 0 Vie {DRIVER.Bl}", f"Lm m1 m2 {DRIVER.Mms}", f"Rm m2 m3 {DRIVER.Rms}",
        f"Cm m3 m4 {DRIVER.Cms}", "Rcm m3 m4 1e12",
        "Vmu m4 m5 0", f"Epr m5 0 0 n{cone} {DRIVER.Sd}",
        f"Fud n{cone} 0 Vmu {DRIVER.Sd}",
        f"Vip n{port} p1 0", f"Lap p1 0 {RHO * C**2 / (VB * (2 * pi * fb) ** 2)}",
        "Rdc n0 0 1e15",
    ]  # fmt: skip
    for i in range(n):
        lines.append(f"Ca{i} n{i} 0 {spring}")
        if i < n - 1:
            face = (i + 1) * d
            friction = 900.0 * d / a.area if 0.196 <= face < 0.224 else 1e-6
            lines += [f"La{i} n{i} r{i} {mass}", f"Ra{i} r{i} n{i + 1} {friction}"]
    out = tmp_path / "out.txt"
    lines += [
        ".options gmin=1e-30 reltol=1e-9 abstol=1e-30",
        ".control", "set numdgt=12", "set wr_singlescale", "set wr_vecnames",
        "ac dec 40 20 700", f"wrdata {out} i(vmu) i(vip)", "quit", ".endc", ".end",
    ]  # fmt: skip
    (tmp_path / "ladder.cir").write_text("\n".join(lines) + "\n")
    done = subprocess.run(
        ["ngspice", "-b", "ladder.cir"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert out.exists(), done.stdout[-2000:] + done.stderr[-2000:]
    table = np.loadtxt(out, skiprows=1)
    f = table[:, 0]
    flow = DRIVER.Sd * (table[:, 1] + 1j * table[:, 2]) + table[:, 3] + 1j * table[:, 4]
    level = 20 * np.log10(RHO * f * abs(flow) / 2e-5)
    x, y = ((i + 0.5) * d for i in (cone, port))
    found = waves.line_level(f, DRIVER, a, [x], ports=[y], opening=opening(f, VB, fb), **STILL)
    assert_allclose(found, level, atol=0.05)
    lumped = vented_box(f, DRIVER, VB, fb, C, RHO)
    assert abs(found - lumped.level).max() > 1, "there is a ripple to agree on"
