"""The drawings that more than one page shows, from a bench."""

from functools import partial

from calc.evaluate_cabinet import cover
from calc.evaluate_port import tubes
from server import units
from server.drawings.openings import openings
from server.drawings.section import section
from server.drawings.shapes import inside


def lengths(bench):
    """A function that writes a length in the project's units, for drawings: ``268.3`` or ``10 9/16″``."""
    show, fraction = bench.project.show, bench.project.fraction
    if show == "imperial":
        return lambda metres: units.write(metres, "length", show, fraction) + "″"
    return partial(units.write, quantity="length", show=show, fraction=fraction)


def volumes(bench):
    """A function that writes a volume with its unit."""
    return partial(units.with_unit, quantity="volume", show=bench.project.show)


def cabinet_section(bench, ask):
    """The section through the middle, with room for the values in `ask`; lettered where none is asked."""
    project, cabinet = bench.project, bench.result.cabinet
    box = _box(project)
    return section(
        cabinet.carcass,
        bench.result.openings,
        braces=cabinet.braces,
        seats=project.cabinet.seats,
        drivers=project.drivers,
        ports=tubes(box),
        lengths=cabinet.port_lengths,
        radiator=getattr(box, "radiator", None),
        finish=cover(project),
        ask=ask,
        write=None if ask else lengths(bench),
        clashes=hatched(bench, "section"),
    )


def cabinet_three_views(bench, parts):
    """The cabinet from the front, from the side and from above, to scale on paper."""
    from server.drawings.solids import air_surface
    from server.drawings.three_views import Marks, Place, three_views

    cabinet = bench.result.cabinet
    places = [
        Place(panel, cabinet.carcass.facing(panel).at(o.x, o.y), o.width, None if o.round else o.height)
        for panel in ("front", "back")
        for o in cabinet_openings(bench, panel)
    ]
    marks = Marks(
        across=tuple(brace.low[0] for brace in cabinet.braces.values() if brace.kind == "rib"),
        deep=tuple(brace.low[1] for brace in cabinet.braces.values() if brace.kind == "frame"),
        high=tuple(brace.low[2] for brace in cabinet.braces.values() if brace.kind == "shelf"),
    )
    return three_views(
        parts,
        air_surface(cabinet.carcass),
        places,
        marks,
        lengths(bench),
        show=bench.project.show,
        title=bench.project.title,
    )


def cabinet_paper_section(bench, parts):
    """The section through the middle, to scale on paper."""
    from server.drawings.paper_section import paper_section

    carcass, project = bench.result.cabinet.carcass, bench.project
    middle = carcass.outer[0] / 2
    return paper_section(
        parts, middle, inside(carcass), lengths(bench), show=project.show, title=project.title
    )


def hatched(bench, where):
    """Corners of what does not fit on a panel, or in the "section"."""
    return [corners for clash in bench.result.clashes for place, corners in clash.marks() if place == where]


def cabinet_openings(bench, panel):
    """The openings of a panel, or of a shelf with a driver in it, each seat as the router will cut it."""
    return openings(
        bench.result.openings,
        panel,
        seats=bench.project.cabinet.seats,
        drivers=bench.project.drivers,
        bored={name: seat for name, seat in bench.result.seats.items() if seat},
        radiator=getattr(_box(bench.project), "radiator", None),
        radiator_bored=bench.result.radiator_seat,
    )


def all_openings(bench):
    """Those of the front, the back, and each shelf that a driver sits in: {name: openings}."""
    walls = dict.fromkeys(seat.wall for seat in bench.project.cabinet.seats.values() if seat.wall)
    return {name: cabinet_openings(bench, name) for name in ("front", "back", *walls)}


def recess_above(bench, wall):
    """Whether the drivers in a shelf are let in from above."""
    seats = bench.project.cabinet.seats.values()
    return next((seat.faces == "up" for seat in seats if seat.wall == wall), True)


def decisions(project):
    """What is decided of drivers, ports and radiators, as calc takes it where it looks for room."""
    box = _box(project)
    return {
        "seats": project.cabinet.seats,
        "drivers": project.drivers,
        "ports": tubes(box),
        "radiator": getattr(box, "radiator", None),
        "least_wood": project.workshop.least_wood,
        "screw": project.workshop.screw,
    }


def _box(project):
    """The box that is built."""
    return project.alternatives[project.chosen].box


def letters(result):
    """Letter of each panel and brace in the cut list, by name; "" of a dowel, which no sheet holds."""
    return dict.fromkeys(result.cabinet.braces, "") | {
        name: row.label for row in result.cut_list for name in row.names
    }
