"""The frame that a cabinet stands on: four boards on edge under its bottom."""

from dataclasses import dataclass

from calc.errors import InputError, require_positive


@dataclass(frozen=True)
class PlinthBoard:
    """One board of a plinth: a blank `length` by `width` (its height) by `thickness`. [m]

    low, high : its corners in the cabinet [m]; mitred boards are measured at their long points.
    sums : as of a panel. volume [m³], mass [kg], centroid [m] : of the board with its mitres cut.
    """

    name: str
    length: float
    width: float
    thickness: float
    density: float
    mitred: bool
    low: tuple
    high: tuple
    sums: dict
    volume: float
    centroid: tuple

    @property
    def mass(self):
        return self.volume * self.density


def plinth_boards(low, high, height, setback, thickness, density, mitred=False):
    """The four boards of a plinth, {name: `PlinthBoard`}; it hangs below `low`.

    Parameters
    ----------
    low, high : (float, float, float)
        Corners (x, y, z) of the cabinet that stands on it. [m]
    height, setback : float
        Of the plinth, and how far each side stands back from the cabinet's; below zero it stands out. [m]
    thickness, density : float
        Of its sheet. [m], [kg/m³]
    mitred : bool
        Corners at 45°; else front and back run through and the sides are butted between them.

    Raises
    ------
    InputError
        At ``setback``, where no frame is left.

    Notes
    -----
    Butted, a side is 2 t shorter than the plinth is deep. A mitre takes t²/2 of each end's area, so that both
    ways enclose the same and weigh the same.
    """
    require_positive(height=height, thickness=thickness, density=density)
    t = thickness
    x, y = ((low[axis] + setback, high[axis] - setback) for axis in (0, 1))
    width, depth = x[1] - x[0], y[1] - y[0]
    if min(width, depth) <= 2 * t:
        raise InputError("setback", "leaves no room for a frame: its boards would touch")
    end = 0.0 if mitred else t
    spans = {
        "plinth front": ((x[0], y[0]), (x[1], y[0] + t)),
        "plinth back": ((x[0], y[1] - t), (x[1], y[1])),
        "plinth left": ((x[0], y[0] + end), (x[0] + t, y[1] - end)),
        "plinth right": ((x[1] - t, y[0] + end), (x[1], y[1] - end)),
    }
    inwards = {"front": (0, 1), "back": (0, -1), "left": (1, 0), "right": (-1, 0)}
    boards = {}
    for name, (a, b) in spans.items():
        across = name.endswith(("front", "back"))
        length = b[0] - a[0] if across else b[1] - a[1]
        whole = width if across else depth
        adds = () if mitred or across else ((2, -t),)
        area = length * t - (t * t if mitred else 0.0)
        # the centre of a trapeze of sides L and L - 2t lies t/2 - t²/(6 (L - t)) from the long one
        inward = t / 2 - (t * t / (6 * (length - t)) if mitred else 0.0)
        way = inwards[name.split()[-1]]
        face = ((a[0] + b[0]) / 2 - way[0] * t / 2, (a[1] + b[1]) / 2 - way[1] * t / 2)
        boards[name] = PlinthBoard(
            name=name, length=length, width=height, thickness=t, density=density, mitred=mitred,
            low=(*a, low[2] - height), high=(*b, low[2]),
            sums={"length": (whole, adds), "width": (height, ())},
            volume=area * height,
            centroid=(face[0] + way[0] * inward, face[1] + way[1] * inward, low[2] - height / 2),
        )  # fmt: skip
    return boards
