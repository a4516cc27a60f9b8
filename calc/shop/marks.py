"""Where a hole's centre is marked on its panel as that lies on the bench, and what to check first."""

from typing import NamedTuple


class Mark(NamedTuple):
    """A hole's centre on one face of its panel, that face up and the panel's lower edge towards you. [m]

    left, low : to mark it by, from the edges at your left hand and before you. right, high : to check it by,
    to the two others. other_left : from the left hand edge of the mirrored cabinet's panel.
    """

    name: str
    panel: str
    face: str
    left: float
    low: float
    right: float
    high: float
    other_left: float

    @property
    def place(self):
        """The two distances that it is marked by. [m]"""
        return self.left, self.low


def mark(name, panel, face, x, y, bounds, turned=False):
    """The `Mark` of a centre.

    Parameters
    ----------
    name, panel, face : str
        What is bored, in which panel, and which of its faces lies up.
    x, y : float
        Its centre as seen from the front of the cabinet. [m]
    bounds : (float, float, float, float)
        Left, low, right and high edge of that face, in the same places. [m]
    turned : bool
        Whether that face looks away from who faces the front, as a back's outside: left is right on it.
    """
    left, low, right, high = bounds
    before, beyond = (right - x, x - left) if turned else (x - left, right - x)
    return Mark(name, panel, face, before, y - low, beyond, high - y, beyond)
