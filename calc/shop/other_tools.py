"""What bores a round hole beside the router's circle jig: a Forstner bit or a hole saw, where one is sold."""

from typing import NamedTuple

from calc.errors import require_positive

INCH = 0.0254

FORSTNER = tuple(
    sorted({n * 1e-3 for n in (10, 12, 15, 16, 18, 20, 22, 25, 28, 30, 32, 35, 38, 40, 45, 50)}
           | {n * INCH / 8 for n in range(3, 17)})
)  # fmt: skip
"""Forstner bits as they are usually sold, metric and by eighths of an inch (from memory). [m]"""

HOLE_SAWS = tuple(n * INCH / 8 for n in range(16, 49))
"""Hole saws as they are usually sold, by eighths from 2 to 6 inches (from memory). [m]"""

OVER = (0.0005, 0.001)
"""By how much a hole saw's hole comes out over its nominal size (common practice, from memory). [m]"""

TRUE = 0.00025
"""How far a Forstner bit may be off the hole (a shop's habit). [m]"""

LOOSE = 0.001
"""How much wider than planned a sawn hole may come out (a shop's habit). [m]"""


class OtherTool(NamedTuple):
    """A "Forstner bit" or a "hole saw" of size `nominal`, and the least and widest hole that it makes. [m]"""

    kind: str
    nominal: float
    least: float
    widest: float


def other_tool(diameter):
    """The `OtherTool` nearest to a hole's diameter [m]; None where no usual size makes it.

    Notes
    -----
    A Forstner bit cuts true; a hole saw's hole is never tighter than planned here, so that a tube goes in.
    """
    require_positive(diameter=diameter)
    bits = [OtherTool("Forstner bit", size, size, size) for size in FORSTNER if abs(size - diameter) <= TRUE]
    saws = [OtherTool("hole saw", size, size + OVER[0], size + OVER[1]) for size in HOLE_SAWS]
    saws = [saw for saw in saws if saw.least >= diameter - 1e-9 and saw.widest <= diameter + LOOSE + 1e-9]
    return min(bits or saws, key=lambda tool: abs(tool.least - diameter), default=None)
