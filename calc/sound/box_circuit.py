"""A box of any kind as one record that can be solved, and varied by `dataclasses.replace`."""

from dataclasses import dataclass

from calc.sound.band_pass import band_pass
from calc.sound.closed_box import closed_box
from calc.sound.driver import Constants
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.vented_box import vented_box


@dataclass(frozen=True)
class ClosedCircuit:
    """Drivers, wired and in their air, before a closed box. Any value may be an array (n, 1) of variants.

    driver : of the wired group, c [m/s], rho [kg/m³]
    Vb : as large as its filling makes it seem [m³]
    QL, QA : at `fq` [Hz], the resonance if None; None or infinity is no loss [-]
    V, Rs : source [volt rms] and the resistance before the terminals [ohm]
    """

    driver: Constants
    c: float
    rho: float
    Vb: float
    QL: float | None = None
    QA: float | None = None
    fq: float | None = None
    V: float = 2.83
    Rs: float = 0.0

    def response(self, f):
        """The `Response` at f [Hz], shape (m,)."""
        return closed_box(
            f, self.driver, self.Vb, self.c, self.rho, self.V, self.Rs, self.QL, self.QA, self.fq
        )


@dataclass(frozen=True)
class VentedCircuit:
    """The same before a vented box tuned to fb [Hz]; its Qs hold there. `port_area` is of all ports [m²]."""

    driver: Constants
    c: float
    rho: float
    Vb: float
    fb: float
    QL: float | None = None
    QA: float | None = None
    QP: float | None = None
    port_area: float | None = None
    V: float = 2.83
    Rs: float = 0.0

    def response(self, f):
        """The `Response` at f [Hz], shape (m,)."""
        return vented_box(
            f, self.driver, self.Vb, self.fb, self.c, self.rho, self.V, self.Rs,
            self.QL, self.QA, self.QP, self.port_area,
        )  # fmt: skip


@dataclass(frozen=True)
class RadiatorCircuit:
    """The same before a box with `count` passive radiators: Sp [m²], Cmp [m/N], Mmp [kg], Rmp [N s/m] of one.

    QL and QA hold at `fq` [Hz], the tuning if None.
    """

    driver: Constants
    c: float
    rho: float
    Vb: float
    count: int
    Sp: float
    Cmp: float
    Mmp: float
    Rmp: float
    QL: float | None = None
    QA: float | None = None
    fq: float | None = None
    V: float = 2.83
    Rs: float = 0.0

    def response(self, f):
        """The `Response` at f [Hz], shape (m,)."""
        return passive_radiator_box(
            f, self.driver, self.Vb, self.count, self.Sp, self.Cmp, self.Mmp, self.Rmp, self.c, self.rho,
            self.V, self.Rs, self.QL, self.QA, self.fq,
        )  # fmt: skip


@dataclass(frozen=True)
class BandPassCircuit:
    """The same between a closed chamber Vr and a vented one Vf [m³], tuned to fb, where QL and QP hold."""

    driver: Constants
    c: float
    rho: float
    Vr: float
    Vf: float
    fb: float
    QL: float | None = None
    QP: float | None = None
    port_area: float | None = None
    V: float = 2.83
    Rs: float = 0.0

    def response(self, f):
        """The `Response` at f [Hz], shape (m,)."""
        return band_pass(
            f, self.driver, self.Vr, self.Vf, self.fb, self.c, self.rho, self.V, self.Rs,
            self.QL, self.QP, self.port_area,
        )  # fmt: skip
