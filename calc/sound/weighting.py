"""How loud a sound counts for an ear: the A-weighting of sound level meters."""

import numpy as np

from calc.sound.ranges import require_physical

POLES = (20.598997, 107.65265, 737.86223, 12194.217)
"""Corners of the A-weighting, two of them double (IEC 61672-1, from memory). [Hz]"""


def A_weighting(f):
    r"""What the A-weighting adds at f [Hz]. [dB]

    .. math:: A = 20 \log \frac{f_4^2 f^4}{(f^2 + f_1^2) \sqrt{(f^2 + f_2^2)(f^2 + f_3^2)} (f^2 + f_4^2)}

    over the same at 1 kHz.

    References
    ----------
    IEC 61672-1, *Electroacoustics: Sound level meters* (from memory).
    """
    require_physical(f=f)
    return _plain(np.asarray(f, dtype=float)) - _plain(np.float64(1000.0))


def _plain(f):
    f1, f2, f3, f4 = (pole**2 for pole in POLES)
    square = f**2
    return 20 * np.log10(
        f4 * square**2 / ((square + f1) * np.sqrt((square + f2) * (square + f3)) * (square + f4))
    )
