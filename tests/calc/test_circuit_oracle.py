"""The boxes against ngspice, a general circuit simulator, on random drivers and boxes.

The netlists are written here from mechanical values that are drawn here: nothing of calc is in them. calc is
given fs, the Qs and Vas, which follow by the lines of `sheet`. Voltage stands for volt, force and pressure;
current for ampere, velocity and volume velocity. All boxes share one run, side by side on their own nodes.
"""

import random
import subprocess
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calc.sound.band_pass import band_pass
from calc.sound.closed_box import closed_box
from calc.sound.driver import constants
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.several_drivers import group
from calc.sound.vented_box import vented_box

SEED = 20731
BOXES = 80
KINDS = ("closed", "vented", "vented", "passive_radiator", "band_pass")
PER_DECADE, FROM, TO = 6, 8.0, 800.0


@dataclass
class Box:
    """One drawn box: mechanical values of one driver, how many and how wired, and the box."""

    kind: str
    c: float
    rho: float
    Re: float
    Le: float
    Le2: float | None
    Re2: float | None
    Bl: float
    Mms: float
    Cms: float
    Rms: float
    Sd: float
    count: int
    wiring: str
    V: float
    Rs: float
    Vb: float
    Vr: float  # closed rear chamber of a band-pass
    fb: float
    QL: float | None
    QA: float | None
    QP: float | None
    area: float
    radiators: int
    Sp: float
    Cmp: float
    Mmp: float
    Rmp: float

    @property
    def strings(self):
        """Coils in series in one string, strings in parallel."""
        series = {"parallel": 1, "series": self.count, "series_parallel": 2}[self.wiring]
        return series, self.count // series

    @property
    def Cab(self):
        return self.Vb / (self.rho * self.c**2)

    @property
    def omega(self):
        """Where the box's Qs hold: at the tuning, of a closed box at its resonance."""
        if self.kind == "closed":
            stiffness = 1 / self.Cms + self.count * self.Sd**2 / self.Cab
            return sqrt(stiffness / self.Mms)
        if self.kind == "passive_radiator":
            stiffness = 1 / self.Cmp + self.radiators * self.Sp**2 / self.Cab
            return sqrt(stiffness / self.Mmp)
        return 2 * pi * self.fb

    @property
    def sheet(self):
        """What a data sheet would say of one driver."""
        ws = 1 / sqrt(self.Mms * self.Cms)
        return {
            "fs": ws / (2 * pi),
            "Qms": ws * self.Mms / self.Rms,
            "Qes": ws * self.Mms * self.Re / self.Bl**2,
            "Vas": self.rho * self.c**2 * self.Sd**2 * self.Cms,
            "Sd": self.Sd,
            "Re": self.Re,
        }


def drawn(rng, kind):
    """A box such as people build, losses and second inductance present or not."""

    def between(low, high):
        return low * (high / low) ** rng.random()

    def perhaps(low, high):
        return between(low, high) if rng.random() < 0.6 else None

    Mms, fs, Qms, Qes = between(4e-3, 0.2), between(18, 70), between(1.5, 9), between(0.2, 0.9)
    ws, Re = 2 * pi * fs, between(2.5, 9)
    c, rho = rng.uniform(335, 350), rng.uniform(1.0, 1.3)
    Sd, Cms = between(0.006, 0.09), 1 / (ws**2 * Mms)
    wiring = rng.choice(("parallel", "series", "series_parallel"))
    count = rng.choice((2, 4)) if wiring == "series_parallel" else rng.choice((1, 1, 2, 3))
    whole = count * rho * c**2 * Sd**2 * Cms
    Vb, fb = whole / between(0.4, 5), fs * between(0.6, 1.6)
    pair = rng.random() < 0.5
    Sp, Cmp = Sd * between(0.7, 2), Cms * between(0.5, 3)
    radiators = rng.choice((1, 2))
    Mmp = (1 / Cmp + radiators * Sp**2 * rho * c**2 / Vb) / (2 * pi * fb) ** 2
    return Box(
        kind=kind, c=c, rho=rho, Re=Re, Le=rng.choice((0.0, between(1e-4, 2e-3))),
        Le2=between(2e-4, 3e-3) if pair else None, Re2=between(2, 30) if pair else None,
        Bl=sqrt(ws * Mms * Re / Qes), Mms=Mms, Cms=Cms, Rms=ws * Mms / Qms, Sd=Sd, count=count, wiring=wiring,
        V=between(1, 40), Rs=rng.choice((0.0, between(0.05, 3))), Vb=Vb, Vr=whole / between(0.5, 4), fb=fb,
        QL=perhaps(4, 60), QA=perhaps(5, 100) if kind != "band_pass" else None, QP=perhaps(10, 150),
        area=Sd * between(0.1, 0.6), radiators=radiators, Sp=Sp, Cmp=Cmp, Mmp=Mmp,
        Rmp=2 * pi * fb * Mmp / between(3, 15),
    )  # fmt: skip


# --- the simulator's side ---


def netlist(n, box):
    """Lines for box number n; every node and part carries the number.

    Every driver of the group is there with its own coil and cone; strings of coils lie across the terminals.
    """
    lines = [f"Vg{n} g{n} 0 DC 0 AC {box.V}", f"Rs{n} g{n} t{n} {max(box.Rs, 1e-9)}"]
    in_series, in_parallel = box.strings
    for p in range(in_parallel):
        node = f"t{n}"
        for q in range(in_series):
            last = q == in_series - 1
            end = "0" if last else f"t{n}_{p}_{q}"
            lines += driver_lines(f"_{n}_{p}_{q}", node, end, box, n)
            node = end
    flow = f"Ffront{n} a{n} 0 Vcones{n} 1"  # cones moving out draw air from the box ...
    if box.kind == "band_pass":
        flow = f"Ffront{n} 0 a{n} Vcones{n} 1"  # ... or push it into the front chamber
        lines += [f"Frear{n} r{n} 0 Vcones{n} 1", f"Crear{n} r{n} 0 {box.Vr / (box.rho * box.c**2)}"]
        lines += [f"Rdr{n} r{n} 0 1e15"]
    # the air moved by all cones together, summed by currents into one ammeter
    lines += [f"Vcones{n} sum{n} 0 0", flow, *air_lines(n, box)]
    return lines


def driver_lines(tag, start, end, box, n):
    lines = [f"Re{tag} {start} x{tag} {box.Re}", f"Le{tag} x{tag} y{tag} {max(box.Le, 1e-15)}"]
    if box.Le2 is None:
        lines += [f"Rj{tag} y{tag} z{tag} 1e-9"]
    else:
        lines += [f"Le2{tag} y{tag} z{tag} {box.Le2}", f"Re2{tag} y{tag} z{tag} {box.Re2}"]
    # a cone moving out meets the box's pressure, which it has lowered; moving into a front chamber, both
    against = [f"Ea{tag} m5{tag} 0 0 a{n} {box.Sd}"]
    if box.kind == "band_pass":
        against = [f"Er{tag} m5{tag} m6{tag} 0 r{n} {box.Sd}", f"Ea{tag} m6{tag} 0 a{n} 0 {box.Sd}"]
    return [
        *lines,
        f"Hemf{tag} z{tag} w{tag} Vu{tag} {box.Bl}",
        f"Vi{tag} w{tag} {end} 0",
        f"Hf{tag} m1{tag} 0 Vi{tag} {box.Bl}",
        f"Lm{tag} m1{tag} m2{tag} {box.Mms}",
        f"Rm{tag} m2{tag} m3{tag} {box.Rms}",
        f"Cm{tag} m3{tag} m4{tag} {box.Cms}",
        f"Rdm{tag} m3{tag} m4{tag} 1e13",
        f"Vu{tag} m4{tag} m5{tag} 0",
        *against,
        f"Fs{tag} 0 sum{n} Vu{tag} {box.Sd}",
    ]


def air_lines(n, box):
    lines = [f"Cab{n} a{n} b{n} {box.Cab}", f"Rdc{n} a{n} 0 1e15"]
    absorbed = 1e-3 if box.QA is None else 1 / (box.omega * box.Cab * box.QA)
    lines += [f"Rab{n} b{n} 0 {absorbed}"]
    leak = 1e15 if box.QL is None else box.QL / (box.omega * box.Cab)
    lines += [f"Vl{n} a{n} l{n} 0", f"Ral{n} l{n} 0 {leak}"]
    if box.kind in ("vented", "band_pass"):
        friction = 1e-6 if box.QP is None else 1 / (box.omega * box.Cab * box.QP)
        lines += [
            f"Vp{n} a{n} p{n} 0",
            f"Lap{n} p{n} q{n} {1 / (box.omega**2 * box.Cab)}",
            f"Rap{n} q{n} 0 {friction}",
        ]
    if box.kind == "passive_radiator":
        for k in range(box.radiators):
            lines += [
                f"Vp{n}_{k} a{n} p{n}_{k} 0",
                f"Lap{n}_{k} p{n}_{k} q{n}_{k} {box.Mmp / box.Sp**2}",
                f"Rap{n}_{k} q{n}_{k} v{n}_{k} {box.Rmp / box.Sp**2}",
                f"Cap{n}_{k} v{n}_{k} 0 {box.Cmp * box.Sp**2}",
                f"Rdp{n}_{k} v{n}_{k} 0 1e15",
            ]
    return lines


def wanted_vectors(n, box):
    """What to read of box n: terminals, source current, one cone's velocity, flow of cones, opening, leak."""
    opening = {"closed": f"vl{n}", "passive_radiator": f"vp{n}_0"}.get(box.kind, f"vp{n}")
    return [f"v(t{n})", f"i(vg{n})", f"i(vu_{n}_0_0)", f"i(vcones{n})", f"i({opening})", f"i(vl{n})"]


def simulated(boxes, folder):
    """Complex vectors of each box over frequency: array (boxes, 6, m), after the frequencies (m,)."""
    lines = ["* random boxes"]
    for n, box in enumerate(boxes):
        lines += netlist(n, box)
    vectors = [vector for n, box in enumerate(boxes) for vector in wanted_vectors(n, box)]
    out = folder / "out.txt"
    lines += [
        ".options gmin=1e-30 reltol=1e-9 abstol=1e-30",
        ".control", "set numdgt=12", "set wr_singlescale", "set wr_vecnames",
        f"ac dec {PER_DECADE} {FROM} {TO}",
        f"wrdata {out} " + " ".join(vectors), "quit", ".endc", ".end",
    ]  # fmt: skip
    (folder / "boxes.cir").write_text("\n".join(lines) + "\n")
    done = subprocess.run(
        ["ngspice", "-b", "boxes.cir"], cwd=folder, capture_output=True, text=True, timeout=120, check=False
    )
    assert out.exists(), done.stdout[-2000:] + done.stderr[-2000:]
    table = np.loadtxt(out, skiprows=1)
    values = (table[:, 1::2] + 1j * table[:, 2::2]).T
    return table[:, 0], values.reshape(len(boxes), 6, -1)


# --- calc's side ---


def computed(f, box):
    sheet = constants(**box.sheet, c=box.c, rho=box.rho, Le=box.Le, Le2=box.Le2, Re2=box.Re2)
    whole = group(sheet, box.count, box.wiring)
    common = {"c": box.c, "rho": box.rho, "V": box.V, "Rs": box.Rs, "QL": box.QL}
    if box.kind == "closed":
        return closed_box(f, whole, box.Vb, QA=box.QA, **common)
    if box.kind == "vented":
        return vented_box(f, whole, box.Vb, box.fb, QA=box.QA, QP=box.QP, port_area=box.area, **common)
    if box.kind == "band_pass":
        return band_pass(f, whole, box.Vr, box.Vb, box.fb, QP=box.QP, port_area=box.area, **common)
    radiator = (box.radiators, box.Sp, box.Cmp, box.Mmp, box.Rmp)
    return passive_radiator_box(f, whole, box.Vb, *radiator, QA=box.QA, **common)


@pytest.fixture(scope="module")
def runs(tmp_path_factory):
    rng = random.Random(SEED)
    boxes = [drawn(rng, KINDS[n % len(KINDS)]) for n in range(BOXES)]
    f, values = simulated(boxes, tmp_path_factory.mktemp("circuits"))
    return boxes, f, values


def test_every_kind_and_every_feature_is_among_the_boxes(runs):
    boxes, f, _ = runs
    assert len(f) >= 11 and f[0] <= 8.01 and f[-1] >= 700
    for kind in set(KINDS):
        some = [box for box in boxes if box.kind == kind]
        assert len(some) >= 12
        assert {box.wiring for box in some} == {"parallel", "series", "series_parallel"}
        assert {box.QL is None for box in some} == {box.Le2 is None for box in some} == {True, False}
        assert max(box.count for box in some) >= 3


@pytest.mark.parametrize("n", range(BOXES))
def test_a_random_box(runs, n):
    """The tolerances are the simulator's: values from 1e-15 to 1e15 in one matrix leave it 4 to 5 digits."""
    boxes, f, values = runs
    box = boxes[n]
    terminal, source, u, cones, opening, leak = values[n]
    response = computed(f, box)
    omega = 2 * pi * f
    Z = terminal / -source
    openings = {"closed": 0, "passive_radiator": box.radiators}.get(box.kind, 1)
    outside = (0 if box.kind == "band_pass" else cones) + openings * opening + leak
    A = 1j * omega * outside
    assert_allclose(response.level, 20 * np.log10(box.rho * abs(A) / (2 * pi) / 2e-5), atol=1e-3)
    assert_allclose(abs(np.exp(1j * np.radians(response.phase)) - A / abs(A)), 0, atol=3e-4)
    assert_allclose(response.Z, abs(Z), rtol=2e-4)
    assert_allclose(response.Z_phase, np.degrees(np.angle(Z)), atol=0.03)
    assert_allclose(response.cone, sqrt(2) * abs(u) / omega, rtol=2e-4)
    if box.kind in ("vented", "band_pass"):
        assert_allclose(response.port_speed, sqrt(2) * abs(opening) / box.area, rtol=2e-4)
    if box.kind == "passive_radiator":
        assert_allclose(response.radiator, sqrt(2) * abs(opening) / (box.Sp * omega), rtol=2e-4)
