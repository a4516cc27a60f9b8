"""What a driver in a box does at each frequency."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Response:
    """Shape (m,) for one box at m frequencies, (n, m) for n variants; `f` is always (m,), in the order given.

    f : [Hz]
    level : [dB] re 20 µPa, half space, from the total volume velocity of what faces outside
    phase : [deg] of the volume acceleration against the source, travel time left out, within ±180
    group_delay : [s] of the same, analytic
    cone : [m] peak travel of each cone
    port_speed : [m/s] peak, mean over the open area; None without a port or its area
    Z, Z_phase : [ohm], [deg] at the box terminals, source resistance left out
    radiator : [m] peak travel of each passive radiator; None without one
    voltage : [V rms] that is left at the box terminals
    rear_port_speed : [m/s] peak, of a rear chamber's own port, whose front one is `port_speed`; else None
    """

    f: np.ndarray
    level: np.ndarray
    phase: np.ndarray
    group_delay: np.ndarray
    cone: np.ndarray
    port_speed: np.ndarray | None
    Z: np.ndarray
    Z_phase: np.ndarray
    radiator: np.ndarray | None = None
    voltage: np.ndarray | None = None
    rear_port_speed: np.ndarray | None = None
