"""How much of one coil's field another catches, and so hands on to the wrong driver."""

import numpy as np

from calc.network.part_sizes import BROOKS

MU0_4PI = 1e-7
"""Permeability of air over 4 pi. [H/m]"""

NOTICED = 0.01
"""From here on coils stand too near: a hundredth of one's voltage in the other is 40 dB down, about where a
filter should still be falling (common practice, no source). [-]"""


def coupling(c1, c2, axis1, axis2, between):
    r"""Coupling factor k = M / sqrt(L1 L2) of two air coils, as magnets far from each other.

    .. math:: M = \frac{\mu_0}{4 \pi r^3} (3 (m_1 \hat r)(m_2 \hat r) - m_1 m_2)

    with m = N pi 7 c²/3 along the axis: turns spread evenly from the radius c to 2c have that mean of r².
    L = 1.6994e-6 (3c/2) N², so the turns cancel.

    Parameters
    ----------
    c1, c2 : float
        Side of each coil's section, a quarter of its diameter. [m]
    axis1, axis2 : array_like, shape (..., 3)
        Direction of each axis, of length 1.
    between : array_like, shape (..., 3)
        From one middle to the other, not zero. [m]

    Returns
    -------
    k : ndarray, shape (...)
        Its size, without the sign. [-]

    Notes
    -----
    The field is that of a magnet far away: two diameters apart it is within some 15 percent on the axis
    they share. Nearer it tells which way of turning is better, not how much.

    References
    ----------
    Dipoles in any text of electricity; L from F. W. Grover, *Inductance Calculations*, 1946, as quoted.
    """
    axis1, axis2, between = (np.asarray(each, dtype=float) for each in (axis1, axis2, between))
    r = np.linalg.norm(between, axis=-1)
    along = between / r[..., None]
    field = 3 * (axis1 * along).sum(-1) * (axis2 * along).sum(-1) - (axis1 * axis2).sum(-1)
    moments = (np.pi * 7 / 3) ** 2 * (c1 * c2) ** 2
    k = MU0_4PI * moments * abs(field) / r**3 / (1.5 * BROOKS * np.sqrt(c1 * c2))
    return np.minimum(k, 1.0)
