"""How many sheets, and how much value, no layout can beat."""

from math import ceil

import numpy as np

HAIR = 1e-9
"""What rounding may add to a sum of shares; real differences are larger by far."""

STEPS = 16
"""Thresholds that are tried along each side."""


def fewest_sheets(kinds, room):
    """Lower bound on the sheets that all pieces need, for any layout whatever.

    Lengths are replaced by dual feasible ones: functions f such that lengths that fit side by side still do.
    Of areas f(w) g(h), as of areas themselves, no sheet holds more than f(W) g(H). The ones used are the
    length itself, the length with all above a threshold made whole and all below its complement made nothing
    (two that are longer than half never stand side by side), and the length in coarse steps.

    Parameters
    ----------
    kinds : sequence of Kind
    room : (int, int)

    Returns
    -------
    int

    References
    ----------
    S. P. Fekete and J. Schepers, "New classes of fast lower bounds for bin packing problems," Mathematical
    Programming 91 (2001): functions and their use along several sides.
    """
    kinds = [kind for kind in kinds if kind.count]
    if not kinds:
        return 0
    counts = np.array([kind.count for kind in kinds], float)
    ways = max(len(kind.laid) for kind in kinds)
    laid = np.array([(kind.laid * ways)[:ways] for kind in kinds], dtype=np.int64)
    across = _scales(laid[:, :, 0], room[0])
    up = _scales(laid[:, :, 1], room[1])
    shares = (across[:, None] * up[None, :]).min(axis=-1) @ counts
    return max(1, ceil(shares.max() - HAIR))


def _scales(x, X):
    """Shares of `X` that lengths `x` count for, by every dual feasible function; first axis the functions."""
    share = x / X
    scales = [share]
    thresholds = np.unique(np.concatenate([x[2 * x <= X], (X - x[2 * x > X]) + 1]))
    thresholds = thresholds[(thresholds > 0) & (2 * thresholds <= X)]
    if len(thresholds) > STEPS:
        thresholds = thresholds[np.linspace(0, len(thresholds) - 1, STEPS).astype(int)]
    for least in [*thresholds, X // 2]:
        scales.append(np.where(x > X - least, 1.0, np.where(x < least, 0.0, share)))
    for k in range(1, 6):
        steps = (k + 1) * x // X
        scales.append(np.where((k + 1) * x % X == 0, share, steps / k))
    return np.array(scales)


def most_value(kinds, room):
    """Upper bound on what one sheet gives, by area alone: the dearest wood first, the last piece in part.

    Parameters
    ----------
    kinds : sequence of Kind
    room : (int, int)

    Returns
    -------
    float
    """
    left, value = float(room[0]) * float(room[1]), 0.0
    for kind in sorted(kinds, key=lambda kind: -kind.value / kind.area):
        many = min(float(kind.count), left / kind.area)
        value, left = value + many * kind.value, left - many * kind.area
    return value
