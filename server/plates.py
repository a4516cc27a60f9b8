"""The drawings that more than one page shows, from a bench."""

from functools import partial

from server import units
from server.drawings.section import section


def lengths(bench):
    """A function that writes a length in the project's units, for drawings: ``268.3`` or ``10 9/16″``."""
    show, fraction = bench.project.show, bench.project.fraction
    if show == "imperial":
        return lambda metres: units.write(metres, "length", show, fraction) + "″"
    return partial(units.write, quantity="length", show=show, fraction=fraction)


def cabinet_section(bench, ask):
    """The section through the middle, with room for the values in `ask`."""
    project, cabinet = bench.project, bench.result.cabinet
    box = project.alternatives[project.chosen].box
    return section(
        cabinet.carcass,
        braces=cabinet.braces,
        seats=project.cabinet.seats,
        drivers=project.drivers,
        port=box.port if box.kind == "vented" else None,
        port_length=cabinet.port_length or None,
        holes=project.cabinet.holes,
        finish=project.cabinet.finish,
        ask=ask,
    )
