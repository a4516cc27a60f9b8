"""What the cabinet weighs, and where it would balance."""

from calc.errors import InputError, require_not_negative


def mass_and_centre(parts):
    """Total mass and centre of gravity.

    Parameters
    ----------
    parts : iterable of (float, (float, float, float))
        Mass [kg] of each part and the place (x, y, z) of its own centre [m].

    Returns
    -------
    mass : float
        Sum of the masses. [kg]
    centre : tuple of float, shape (3,)
        Mean place, weighted by mass. [m]

    Raises
    ------
    InputError
        If a mass is below zero, or all are zero.
    """
    parts = list(parts)
    for mass, _ in parts:
        require_not_negative(mass=mass)
    total = sum(mass for mass, _ in parts)
    if not total > 0:
        raise InputError("mass", "something must weigh something")
    return total, tuple(sum(mass * place[axis] for mass, place in parts) / total for axis in range(3))
