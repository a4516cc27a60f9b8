"""Project and its cabinet -> the parts of its grille."""

from calc.cabinet.grille import grille_parts
from calc.cabinet.layers import growth_of
from calc.errors import inputs_at


def grille(project, carcass, openings, layers):
    """The `GrilleParts` of a cabinet with `openings` under its `layers`, or None where none is wanted."""
    made = project.cabinet.grille
    if made is None:
        return None
    sheet, grown, front = project.workshop.sheets[made.sheet], growth_of(layers), carcass.panels["front"]
    size = carcass.outer[0] + grown["left"] + grown["right"], front.length + grown["top"] + grown["bottom"]
    clear = [
        (each.name, each.x + grown["left"], each.y + grown["bottom"], (each.outline or each.width or 0.0) / 2)
        for each in openings
        if each.panel == "front"
    ]
    with inputs_at("cabinet.grille"):
        return grille_parts(
            made, size, sheet.thickness, sheet.density, front.thickness + grown["front"], clear
        )
