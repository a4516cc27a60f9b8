"""Two chambers, one over the other, parted by a shelf that a driver sits in: their air, the shelf's place."""

from calc.errors import InputError, require_not_negative, require_positive


def lower_air(area, floor, low, spread, fixed=0.0, narrows=0.0):
    """Air below a shelf. [m³]

    Parameters
    ----------
    area : float
        Of the inside at its floor, seen from above. [m²]
    floor, low : float
        Heights of the inner floor and of the shelf's lower face. [m]
    spread : iterable of (float, float, float)
        What takes air: its volume [m³], and from which height to which it stands [m]. What reaches past the
        shelf counts for the part that is below; what is as low as high, by its place.
    fixed : float
        Volume of what stands below wherever the shelf is; below zero where its walls were cut away. [m³]
    narrows : float
        By how much the area shrinks with the height, where the front leans back. [m²/m]
    """
    require_positive(area=area)
    require_not_negative(narrows=narrows)
    up = low - floor
    return (
        area * up - narrows * up**2 / 2 - fixed - sum(volume * _below(low, a, b) for volume, a, b in spread)
    )


def shelf_height(wanted, area, floor, ceiling, spread, fixed=0.0, narrows=0.0):
    """Height of the lower face of a shelf that leaves `wanted` [m³] of air below it. [m]

    Other parameters as for `lower_air`; `ceiling` is the highest that the face may lie. Found by halving:
    the air grows with the height as long as what is spread fills no layer.

    Raises
    ------
    InputError
        At ``at`` where no height does.
    """
    require_positive(wanted=wanted)
    spread = tuple(spread)
    low, high = floor, ceiling
    if lower_air(area, floor, high, spread, fixed, narrows) < wanted:
        raise InputError("at", "no place leaves the chambers their air: what stands inside fills one of them")
    for _ in range(60):
        middle = (low + high) / 2
        if lower_air(area, floor, middle, spread, fixed, narrows) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _below(height, a, b):
    """Share of what stands from a to b [m] that is below a height [m]."""
    if b <= a:
        return 1.0 if a < height else 0.0
    return min(max((height - a) / (b - a), 0.0), 1.0)
