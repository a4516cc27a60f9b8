"""A box of any kind as one record that can be solved, and varied by `dataclasses.replace`."""

from dataclasses import dataclass, replace

from calc.sound.band_pass import band_pass, double_band_pass
from calc.sound.closed_box import closed_box
from calc.sound.driver import Constants, without_inductance
from calc.sound.high_pass import HighPass
from calc.sound.passive_radiator import passive_radiator_box
from calc.sound.vented_box import vented_box


@dataclass(frozen=True, kw_only=True)
class Fed:
    """What all boxes share. Any value may be an array (n, 1): n variants of one box.

    driver : of the wired group, in this air; c [m/s], rho [kg/m³]
    V, Rs : source [volt rms] and the resistance before the terminals [ohm]
    capacitor : in series [F], None is none; high_pass : a filter before the amplifier, None is none
    QL : leak, None or infinity is none [-]
    """

    driver: Constants
    c: float
    rho: float
    V: float = 2.83
    Rs: float = 0.0
    capacitor: float | None = None
    high_pass: HighPass | None = None
    QL: float | None = None

    @property
    def source(self):
        """What comes before the terminals, as the boxes take it."""
        return dict(V=self.V, Rs=self.Rs, capacitor=self.capacitor, high_pass=self.high_pass)

    @property
    def plain(self):
        """The same box before a driver whose coil has no inductance: its cut-off is judged there."""
        return replace(self, driver=without_inductance(self.driver))


@dataclass(frozen=True, kw_only=True)
class ClosedCircuit(Fed):
    """A closed box: Vb [m³] as large as it seems; QL and QA hold at `fq` [Hz], its resonance if None."""

    Vb: float
    QA: float | None = None
    fq: float | None = None

    def response(self, f):
        """The `Response` at f [Hz], shape (m,)."""
        return closed_box(
            f, self.driver, self.Vb, self.c, self.rho, QL=self.QL, QA=self.QA, fq=self.fq, **self.source
        )


@dataclass(frozen=True, kw_only=True)
class VentedCircuit(Fed):
    """A vented box, tuned to fb [Hz], where its Qs hold; `port_area` is of all ports [m²]."""

    Vb: float
    fb: float
    QA: float | None = None
    QP: float | None = None
    port_area: float | None = None

    def response(self, f):
        """The `Response` at f [Hz], shape (m,)."""
        return vented_box(
            f, self.driver, self.Vb, self.fb, self.c, self.rho,
            QL=self.QL, QA=self.QA, QP=self.QP, port_area=self.port_area, **self.source,
        )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class RadiatorCircuit(Fed):
    """A box with `count` passive radiators: Sp [m²], Cmp [m/N], Mmp [kg], Rmp [N s/m] of one.

    QL and QA hold at `fq` [Hz], the tuning if None.
    """

    Vb: float
    count: int
    Sp: float
    Cmp: float
    Mmp: float
    Rmp: float
    QA: float | None = None
    fq: float | None = None

    def response(self, f):
        """The `Response` at f [Hz], shape (m,)."""
        return passive_radiator_box(
            f, self.driver, self.Vb, self.count, self.Sp, self.Cmp, self.Mmp, self.Rmp, self.c, self.rho,
            QL=self.QL, QA=self.QA, fq=self.fq, **self.source,
        )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class BandPassCircuit(Fed):
    """A closed chamber Vr and a vented one Vf [m³], tuned to fb [Hz], where QL and QP hold."""

    Vr: float
    Vf: float
    fb: float
    QP: float | None = None
    port_area: float | None = None

    def response(self, f):
        """The `Response` at f [Hz], shape (m,)."""
        return band_pass(
            f, self.driver, self.Vr, self.Vf, self.fb, self.c, self.rho,
            QL=self.QL, QP=self.QP, port_area=self.port_area, **self.source,
        )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class DoubleBandPassCircuit(BandPassCircuit):
    """Both chambers vented: the rear one to fr [Hz]. QL and QP are each chamber's, at its own tuning."""

    fr: float
    rear_area: float | None = None

    def response(self, f):
        """The `Response` at f [Hz], shape (m,)."""
        return double_band_pass(
            f, self.driver, self.Vr, self.fr, self.Vf, self.fb, self.c, self.rho,
            QLr=self.QL, QLf=self.QL, QPr=self.QP, QPf=self.QP,
            rear_area=self.rear_area, front_area=self.port_area, **self.source,
        )  # fmt: skip
