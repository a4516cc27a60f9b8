"""The lumped circuit that all boxes share, solved together with its slope along the frequency.

Impedance analogy: pressure, force and volt drive volume velocity, velocity and current. Each quantity is an
`Analytic`: its value at s = j omega and its derivative with respect to s. The derivative makes the group
delay exact, where a difference of neighbouring phases would depend on the spacing.
"""

from dataclasses import dataclass
from math import pi

import numpy as np

from calc.sound.driver import P_REF
from calc.sound.ranges import require_physical
from calc.sound.response import Response


@dataclass(slots=True)
class Analytic:
    """A function of s by its `value` and its `slope` d/ds, arrays over frequency, with the rules of both."""

    value: np.ndarray
    slope: np.ndarray
    __array_ufunc__ = None  # an array on the left leaves the arithmetic to this class

    def __add__(self, other):
        if isinstance(other, Analytic):
            return Analytic(self.value + other.value, self.slope + other.slope)
        return Analytic(self.value + other, self.slope)

    def __mul__(self, other):
        if isinstance(other, Analytic):
            return Analytic(self.value * other.value, self.slope * other.value + self.value * other.slope)
        return Analytic(self.value * other, self.slope * other)

    def inverse(self):
        value = 1 / self.value
        return Analytic(value, -self.slope * value * value)

    __radd__ = __add__
    __rmul__ = __mul__


def laplace(f):
    """The variable s = j 2 pi f as an `Analytic`; f [Hz], shape (m,)."""
    require_physical(f=f)
    return Analytic(2j * pi * np.asarray(f, dtype=float), 1.0)


def coil(s, driver):
    """Electrical impedance of the coil held still. [ohm]"""
    Z = s * driver.Le + driver.Re
    if driver.Le2 is not None:
        Z = Z + (s.inverse() * (1 / driver.Le2) + 1 / driver.Re2).inverse()
    if driver.K is not None:
        Z = Z + power(s, driver.n) * driver.K
    return Z


def power(s, n):
    """s to the power n [-], for s = j omega."""
    value = s.value.imag**n * np.exp(0.5j * pi * np.asarray(n))
    return Analytic(value, n * value / s.value)


def before_terminals(s, Rs, capacitor=None):
    """Impedance between source and box: Rs [ohm] and a capacitor [F] in series; 0 if neither. [ohm]"""
    if capacitor is None:
        return Analytic(Rs, 0.0)
    return s.inverse() * (1 / capacitor) + Rs


def moving_parts(s, driver):
    """Mechanical impedance of cone and suspension, without the air of a box. [N s/m]"""
    return s * driver.Mms + s.inverse() * (1 / driver.Cms) + driver.Rms


def box_air(s, Cab, omega, QA=None):
    """Admittance of the air in a box, with what its filling absorbs.

    Cab [m³/Pa] is its compliance; QA [-] holds at `omega` [rad/s], None is no loss. [m³/(s Pa)]
    """
    Z = s.inverse() * (1 / Cab)
    return (Z if QA is None else Z + 1 / (omega * Cab * QA)).inverse()


def leak(Cab, omega, QL=None):
    """Admittance of the leaks of a box, real and the same at all frequencies; QL [-] holds at `omega`."""
    return 0.0 if QL is None else omega * Cab / QL


def port(s, Cab, omega, QP=None):
    """Admittance of a port that tunes air of compliance Cab to `omega`; QP [-] is its friction there."""
    Map = 1 / (omega**2 * Cab)
    Z = s * Map
    return (Z if QP is None else Z + 1 / (omega * Cab * QP)).inverse()


def radiator(s, count, Sp, Cmp, Mmp, Rmp):
    """Admittance of `count` equal passive radiators; one has Sp [m²], Cmp [m/N], Mmp [kg], Rmp [N s/m]."""
    one = s * Mmp + s.inverse() * (1 / Cmp) + Rmp
    return (one * (1 / (count * Sp**2))).inverse()


def solved(
    s, driver, Y, radiating, rho, V, Rs, distance,
    rear=None, yielding=1.0, opening=None, port_area=None, Sp=None,
    rear_opening=None, rear_area=None, capacitor=None, high_pass=None,
):  # fmt: skip
    """The `Response` of a driver whose cone works on air of admittance Y.

    Parameters
    ----------
    s : Analytic
        See `laplace`, shape (m,). [1/s]
    driver : Constants
    Y : Analytic
        All branches of the box in parallel, [m³/(s Pa)]; of two chambers, the product of both [squared].
    radiating : Analytic
        The part of Y whose flow is heard outside: what the cone gives out less what the box takes in
        equals the flow into the box air, so for a cone that faces outside this is the air's admittance.
    rho : float
        Density of air. [kg/m³]
    V : float
        Source, rms. [volt]
    Rs : float
        Resistance before the box terminals. [ohm]
    distance : float
        [m]
    rear : Analytic, optional
        Mechanical impedance of another closed chamber behind the cone. [N s/m]
    yielding : Analytic, optional
        What Y has to be divided by to give the admittance that the cone works on: 1 for one chamber, the
        sum of both admittances for two, which then yield in series.
    opening : Analytic, optional
        Admittance of the ports or passive radiators alone; of two chambers, times the other's admittance.
    port_area, Sp : float, optional
        Total open area [m²], or area of all passive radiators together [m²].
    rear_opening, rear_area : Analytic, float, optional
        The same of the rear chamber's ports.
    capacitor : float, optional
        In series before the terminals. [F]
    high_pass : HighPass, optional
        Before the amplifier.

    Notes
    -----
    Written without dividing by Y, which is exactly zero at the tuning of a box without losses: the cone
    then stands still and the port alone sounds.
    """
    still = coil(s, driver)
    before = before_terminals(s, Rs, capacitor)
    cone = moving_parts(s, driver)
    if rear is not None:
        cone = cone + rear
    loaded = cone * Y + driver.Sd**2 * yielding
    denominator = (still + before) * loaded + Y * driver.Bl**2
    acceleration = s * radiating
    source = V
    if high_pass is not None:
        passed = high_pass.transfer(s)
        acceleration, source = acceleration * passed, V * abs(passed.value)
    per_volt = driver.Sd * driver.Bl
    A = V * per_volt * acceleration.value / denominator.value
    delay = denominator.slope / denominator.value - acceleration.slope / acceleration.value
    per_branch = source * driver.Bl / abs(denominator.value)
    Z = still.value + driver.Bl**2 * Y.value / loaded.value
    magnitude = abs(Z)
    omega = s.value.imag

    def flow(port):
        return per_branch * driver.Sd * abs(port.value)

    curves = {
        "level": 20 * np.log10(rho / (2 * pi * distance * P_REF) * abs(A)),
        "phase": np.degrees(np.angle(A)),
        "group_delay": np.ascontiguousarray(delay.real),
        "cone": np.sqrt(2) * per_branch * abs(Y.value) / omega,
        "port_speed": None if port_area is None else np.sqrt(2) * flow(opening) / port_area,
        "Z": magnitude,
        "Z_phase": np.degrees(np.angle(Z)),
        "radiator": None if Sp is None else np.sqrt(2) * flow(opening) / (Sp * omega),
        "voltage": source * magnitude / abs(Z + before.value),
        "rear_port_speed": None if rear_area is None else np.sqrt(2) * flow(rear_opening) / rear_area,
    }
    return Response(f=omega / (2 * pi), **_of_one_shape(curves))


def _of_one_shape(curves):
    """All curves (m,), or all (n, m) as soon as one depends on the variant."""
    known = [curve for curve in curves.values() if curve is not None]
    shape = np.broadcast_shapes(*(curve.shape for curve in known))
    if all(curve.shape == shape for curve in known):
        return curves
    return {name: curve if curve is None else np.broadcast_to(curve, shape) for name, curve in curves.items()}
