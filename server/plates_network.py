"""The drawings of a project's crossover."""

from calc.network.netlist import GROUND
from calc.network.series_parallel import series_parallel
from calc.project_network import SOURCE
from server import units
from server.drawings.schematic import Part, columns, schematic, ways_of

LEAST = 6
"""So many parts beside each other fill the paper: fewer are not drawn larger."""

VALUES = {"resistor": "resistance", "coil": "inductance", "capacitor": "capacitance"}


def drawn_ways(project):
    """(drawings, one for each way; what is told where they cannot be drawn)."""
    parts = project.network.parts
    tree = series_parallel({name: (each.start, each.end) for name, each in parts.items()}, SOURCE, GROUND)
    if tree is None:
        return (), (
            "A bridge leads from one way to another, so it is no ladder and is not drawn: the list of parts"
            " below says what joins what."
        )
    written = {name: Part(each.kind, name, _value(project, each)) for name, each in parts.items()}
    ways = ways_of(tree)
    least = max(LEAST, *(columns(way, written) for way in ways))
    return tuple(schematic(way, written, _title(way, parts), least) for way in ways), ""


def _value(project, part):
    """A part's value as it is written; of a driver nothing."""
    quantity = VALUES.get(part.kind)
    return units.with_unit(getattr(part, quantity), quantity, project.show) if quantity else ""


def _title(way, parts):
    drivers = [name for name in way.names if parts[name].kind == "driver"]
    return f"The way to {' and '.join(drivers)}" if drivers else "Across the terminals"
