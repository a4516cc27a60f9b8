"""A sentence of calc with its numbers in the units of a project, as coarse as they are spoken."""

from server import units

GAP = "\N{NO-BREAK SPACE}"


def told(said, project):
    """A `calc.sound.verdict.Said` as a sentence."""
    return said.words.format(
        **{name: spoken(value, quantity, project) for name, (quantity, value) in said.values.items()}
    )


def spoken(value, quantity, project):
    """An SI value in the words of a sentence; of the quantity "" the text that it is."""
    if not quantity:
        return value
    if quantity == "count":
        return f"{value:.0f}"
    if quantity == "number":
        return f"{value:.1f}"
    if quantity not in _SPOKEN:
        return units.with_unit(value, quantity, project.show, project.fraction)
    number = units.in_unit(value, quantity, project.show)
    return f"{_SPOKEN[quantity](number)}{GAP}{units.unit(quantity, project.show)}"


def two_figures(number):
    """A number by its two leading figures: 130, 17, 7.6."""
    return f"{float(f'{number:.2g}'):g}"


def _coarse(number):
    return f"{number:.0f}" if abs(number) >= 20 else f"{number:.1f}"


_SPOKEN = {"frequency": _coarse, "level": _coarse, "time": two_figures}
"""How a number is spoken, by its quantity; the others are spoken as they are written."""
