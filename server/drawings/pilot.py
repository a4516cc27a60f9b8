"""A pilot hole in section: what the screw passes, how deep the drill goes to its stop, and what stays."""

from server.drawings.plate import Plate

WIDTH = 380


def pilot_section(screw, drill, lifted, depth, write, *, name):
    """Draw one pilot hole with its screw beside it, the face that is drilled upwards.

    Parameters
    ----------
    screw : float
        Thickness of its shank. [m]
    drill : float
        Diameter of the pilot hole. [m]
    lifted : float
        What the screw passes before the wood: flange, gasket. [m]
    depth : (float, float)
        Of the hole, and of the wood under the drill. [m]
    write : callable
        Writes a length [m] as text.
    name : str
        Begins the ids within the SVG.

    Returns
    -------
    Drawing
    """
    hole, wood = depth
    scale = min(150 / (wood + lifted + screw), 9000)
    top = 40 + (lifted + screw) * scale
    low, floor = top + wood * scale, top + hole * scale
    plate = Plate(name, WIDTH, low + 44)
    x, half = 150.0, max(drill / 2 * scale, 2.0)
    point = min(half, (low - floor) / 2)
    plate.polygon(
        "cutface",
        [(40, top), (x - half, top), (x - half, floor - point), (x, floor), (x + half, floor - point),
         (x + half, top), (260, top), (260, low), (40, low)],
        "plyh",
    )  # fmt: skip
    if lifted:
        plate.rect("leaf", x - 54, top - lifted * scale, x + 54, top)
    _screw(plate, x, top - lifted * scale, screw * scale, floor)
    plate.upright(top, floor, 292, write(hole), start=(x + half, x + half))
    plate.text(40, low + 26, f"{write(wood - hole)} stay below; drill {write(drill)}")
    return plate.finished(
        f"Pilot hole in section: {write(drill)} wide, {write(hole)} deep, {write(wood - hole)} of wood stay."
    )


def _screw(plate, x, seat, thick, point):
    """The screw in the hole: head, shank, and a line to its point."""
    half, head = thick / 2, thick
    plate.polygon(
        "leaf", [(x - head, seat - half), (x + head, seat - half), (x + half, seat), (x - half, seat)]
    )
    plate.line("hid", (x - half, seat), (x - half, point - thick), (x, point), (x + half, point - thick),
               (x + half, seat))  # fmt: skip
